//! The first start: three pages that found the crew, help on every page, and what the program is.

use std::collections::HashSet;
use std::sync::Arc;

use slackwater_checks::drive::{Day, MORNING_MS, env, png};
use slackwater_core::domain::backup;
use slackwater_core::domain::book::Book;
use slackwater_core::domain::crew::ALONE;
use slackwater_core::journal::FixedClock;
use slackwater_core::screens::Action;
use slackwater_core::screens::common::{Button, Document, FieldValue, Form, Place};
use slackwater_core::screens::days::DaysFilter;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::help::Topic;
use slackwater_core::screens::navigation::{Reply, Stack};
use slackwater_core::screens::page::{Block, Page};
use slackwater_core::screens::rigs::RigsAction;
use slackwater_core::screens::sketch::Tool;
use slackwater_core::screens::start::{StartAction, StartPage};

/// A phone as one holds it: a desk and the places down to the page that is shown.
struct Phone {
    desk: Desk,
    stack: Stack,
}

impl Phone {
    fn new(folder: &std::path::Path) -> Phone {
        let clock = Arc::new(FixedClock::at(MORNING_MS));
        let desk = Desk::new(Book::open(folder, env(&clock, 3)).unwrap(), 0);
        let stack = desk.opened("").unwrap();
        Phone { desk, stack }
    }

    fn page(&self) -> Page {
        self.desk.top(&self.stack).unwrap()
    }

    fn tap(&mut self, label: &str) -> Reply {
        let page = self.page();
        let button = buttons(&page).into_iter().find(|b| b.label == label);
        let labels: Vec<String> = buttons(&page).into_iter().map(|b| b.label).collect();
        let action = button.unwrap_or_else(|| panic!("no '{label}' in {labels:?}"));
        self.desk
            .act_from(&mut self.stack, &page.at, action.action)
            .unwrap()
    }

    fn send(&mut self, typed: &[(&str, &str)]) -> Reply {
        let page = self.page();
        let form = page.forms().next().expect("a form").clone();
        let values = filled(&form, typed);
        self.desk
            .submit_from(&mut self.stack, &page.at, &form.key, values)
            .unwrap()
    }

    fn events(&self) -> u64 {
        self.desk.book().journal().count(None).unwrap()
    }

    /// The process ends, and another begins with what the phone kept.
    fn killed(self, folder: &std::path::Path) -> Phone {
        let kept = self.page().kept;
        drop(self);
        let phone = Phone::new(folder);
        let stack = phone.desk.opened(&kept).unwrap();
        Phone { stack, ..phone }
    }
}

fn filled(form: &Form, typed: &[(&str, &str)]) -> Vec<FieldValue> {
    for (key, _) in typed {
        assert!(form.fields.iter().any(|f| f.key == *key), "no field {key}");
    }
    let value = |key: &str, preset: &str| {
        let over = typed.iter().find(|(k, _)| *k == key);
        over.map_or(preset, |(_, v)| v).to_owned()
    };
    (form.fields.iter())
        .map(|f| FieldValue {
            key: f.key.clone(),
            value: value(&f.key, &f.value),
        })
        .collect()
}

fn buttons(page: &Page) -> Vec<Button> {
    let of = |block: &Block| match block {
        Block::Buttons { buttons, .. } => buttons.clone(),
        Block::Rows { rows, .. } => rows.iter().filter_map(|r| r.tap.clone()).collect(),
        _ => Vec::new(),
    };
    page.main
        .iter()
        .cloned()
        .chain(page.blocks.iter().flat_map(of))
        .collect()
}

fn start(page: StartPage) -> Place {
    Place::Start { page }
}

#[test]
fn an_empty_record_opens_on_three_pages_that_found_the_crew() {
    let dir = tempfile::tempdir().unwrap();
    let mut phone = Phone::new(dir.path());
    let page = phone.page();
    assert_eq!(page.title, "Who are you?");
    assert_eq!(page.detail, "First start, 1 of 3");
    assert!(page.answer.is_none() && page.main.is_none());
    // Nothing typed: said at the field, nothing recorded.
    let faults = phone.send(&[]).faults;
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert_eq!((faults[0].field.as_str(), phone.events()), ("name", 0));
    assert_eq!(phone.send(&[("name", "Noor"), ("role", "dp")]).faults, []);
    assert_eq!(phone.page().detail, "First start, 2 of 3");
    assert_eq!(phone.desk.book().members().unwrap()[0].name, "Noor");
    assert!(!phone.desk.book().me().is_empty());
    let choices = phone.desk.book().choices().unwrap();
    assert_ne!(choices.get(ALONE).map(String::as_str), Some("yes"));
    // The gauge: what can't be is said where it was typed.
    let typed = [("name", "Digital"), ("unit", "kPa"), ("kind", "absolute")];
    let wrong = phone.send(&[typed[0], typed[1], typed[2], ("resolution", "0")]);
    assert_eq!(wrong.faults[0].field, "resolution", "{wrong:?}");
    let wrong = phone.send(&[typed[0], typed[1], typed[2], ("resolution", "900")]);
    assert_eq!(wrong.faults[0].field, "resolution", "{wrong:?}");
    let right = phone.send(&[typed[0], typed[1], typed[2], ("resolution", "0.1")]);
    assert_eq!(right.faults, []);
    let (_, gauge) = phone.desk.book().gauges().unwrap().remove(0);
    assert_eq!((gauge.name.as_str(), gauge.absolute), ("Digital", true));
    assert!((gauge.resolution_pa - 100.0).abs() < 1e-9, "{gauge:?}");
    // The rig, and with it the pages of the first start are left together.
    assert_eq!(phone.page().detail, "First start, 3 of 3");
    let blank = phone.send(&[("name", " ")]);
    assert_eq!(blank.faults[0].field, "name");
    assert_eq!(phone.send(&[("name", "Reef rig")]).faults, []);
    let rig = phone.desk.book().rigs().unwrap()[0].id.clone();
    let places = [
        Place::Rigs { form: None },
        Place::Rig {
            rig: rig.clone(),
            form: None,
        },
    ];
    assert_eq!(phone.stack.places(), places);
    assert!(
        !phone.desk.book().readiness(&rig).unwrap().is_ready(),
        "a template proves nothing"
    );
    // From then on the app opens on its rigs.
    let again = Phone::new(&dir.path().join("gone"));
    assert_eq!(again.page().title, "Who are you?", "another record");
    drop(again);
    drop(phone);
    let phone = Phone::new(dir.path());
    assert_eq!(phone.stack, Stack::default());
}

/// Back goes back, a killed process comes back to the same page, and what was answered is not asked again.
#[test]
fn back_and_a_killed_process_record_nothing_twice() {
    let dir = tempfile::tempdir().unwrap();
    let mut phone = Phone::new(dir.path());
    let mut first = phone.page();
    phone = phone.killed(dir.path());
    assert_eq!(phone.page(), first);
    assert_eq!(phone.send(&[("name", "Noor")]).faults, []);
    first.kept.clear();
    let before = phone.events();
    phone = phone.killed(dir.path());
    assert_eq!(phone.stack.place(), start(StartPage::Gauge));
    phone.stack.back();
    assert_eq!(phone.stack.place(), start(StartPage::Who));
    let page = phone.page();
    assert_eq!(page.forms().count(), 0, "{page:#?}");
    assert!(page.answer.unwrap().text.contains("Noor"));
    // The same form sent late, by whatever: refused, and nothing recorded.
    let form = first.forms().next().unwrap().clone();
    let late = Action::submit(
        &start(StartPage::Who),
        "who",
        filled(&form, &[("name", "Ilse")]),
    );
    let late = phone
        .desk
        .act(&start(StartPage::Who), late.unwrap())
        .unwrap();
    assert_eq!((late.faults.len(), phone.events()), (1, before));
    // Of another page of the three, too.
    let other = Action::submit(
        &start(StartPage::Rig),
        "who",
        filled(&form, &[("name", "Ilse")]),
    );
    let other = phone
        .desk
        .act(&start(StartPage::Rig), other.unwrap())
        .unwrap();
    assert_eq!((other.faults.len(), phone.events()), (1, before));
    phone.tap("Go on to the gauge");
    phone.tap("Go on without a gauge on record");
    assert_eq!(phone.stack.place(), start(StartPage::Rig));
    assert_eq!(phone.events(), before, "passed over, nothing is recorded");
    phone.stack.back();
    assert_eq!(phone.send(&[("name", "Round one")]).faults, []);
    phone.stack.back();
    let page = phone.page();
    assert_eq!(page.forms().count(), 0, "a gauge is on record");
    assert!(format!("{:?}", page.blocks).contains("Round one"));
    phone.tap("Go on to the first rig");
    phone.tap("Leave the rig for later");
    assert_eq!(phone.stack, Stack::default());
    // A rig that came meanwhile is no second first one.
    phone.stack.go(start(StartPage::Rig));
    (phone.desk.book_mut())
        .create_from_template("single-housing", "Pool rig")
        .unwrap();
    let page = phone.page();
    assert_eq!(page.forms().count(), 0);
    phone.tap("Go to the rigs");
    assert_eq!(phone.stack, Stack::default());
}

#[test]
fn who_preps_alone_says_so_at_the_first_start() {
    let dir = tempfile::tempdir().unwrap();
    let mut phone = Phone::new(dir.path());
    assert_eq!(
        phone.send(&[("name", "Noor"), ("with", "alone")]).faults,
        []
    );
    let choices = phone.desk.book().choices().unwrap();
    assert_eq!(choices.get(ALONE).map(String::as_str), Some("yes"));
    // What the form doesn't offer is no answer.
    let dir = tempfile::tempdir().unwrap();
    let mut phone = Phone::new(dir.path());
    for with in ["", "both"] {
        let faults = phone.send(&[("name", "Noor"), ("with", with)]).faults;
        assert_eq!(faults[0].field, "with", "{faults:?}");
    }
    assert_eq!(phone.events(), 0);
}

/// The rigs' page of an empty record leads to the first start, and from there a crew that exists is joined.
#[test]
fn the_empty_rigs_page_leads_there_and_a_crew_that_exists_is_joined_from_it() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(&dir.path().join("a")).unwrap();
    day.ready().unwrap();
    let file = dir.path().join("all.zip");
    backup::write(&day.book, &file).unwrap();
    let mut phone = Phone::new(&dir.path().join("b"));
    phone.stack.back();
    assert_eq!(phone.stack, Stack::default());
    let page = phone.page();
    assert!(
        buttons(&page)
            .iter()
            .any(|b| b.action == RigsAction::JoinCrew)
    );
    assert_eq!(
        phone.desk.opened(&page.kept).unwrap(),
        Stack::default(),
        "kept is kept"
    );
    phone.tap("Begin: say who you are");
    assert_eq!(phone.stack.place(), start(StartPage::Who));
    let join = buttons(&phone.page());
    assert!(join.iter().any(|b| b.action == StartAction::JoinCrew));
    let wanted = phone.tap("Join a crew: bring in its file").bring.unwrap();
    let paper = |file: &std::path::Path| Document {
        name: "all.zip".into(),
        media_type: "application/zip".into(),
        bytes: Vec::new(),
        file: Some(file.display().to_string()),
    };
    // A file that is none: said, and the page stays.
    let none = dir.path().join("none.zip");
    std::fs::write(&none, b"nothing").unwrap();
    let reply = (phone.desk)
        .bring_at(&mut phone.stack, &wanted, &paper(&none))
        .unwrap();
    assert_eq!(reply.faults.len(), 1);
    assert_eq!(phone.stack.place(), start(StartPage::Who));
    let reply = (phone.desk)
        .bring_at(&mut phone.stack, &wanted, &paper(&file))
        .unwrap();
    assert_eq!(reply.faults, []);
    assert_eq!(phone.page().forms().next().unwrap().fields[0].key, "ours");
    assert_eq!(phone.send(&[("ours", "yes")]).faults, []);
    assert_eq!(
        phone.stack,
        Stack::default(),
        "whoever joins a crew founds none"
    );
    assert!(phone.desk.book().rig(&day.rig).is_ok());
    // Handed in by another app while the first start stands there: the same.
    let mut phone = Phone::new(&dir.path().join("c"));
    let reply = (phone.desk)
        .receive_at(&mut phone.stack, &paper(&file))
        .unwrap();
    assert_eq!(reply.faults, []);
    assert_eq!(phone.stack.places().len(), 2, "{:?}", phone.stack);
    // A record whose members are known, and none of them as holding this phone: the crew's page says it.
    let mut phone = Phone::new(&dir.path().join("d"));
    phone
        .desk
        .book_mut()
        .add_member("Ilse", slackwater_core::domain::facts::Role::Other)
        .unwrap();
    phone.tap("Say who holds the phone");
    assert_eq!(phone.stack.place(), Place::Crew { form: None });
}

/// What the opening has to say stands on the page that the app opens on.
#[test]
fn a_record_that_was_set_aside_is_told_on_the_first_start() {
    let dir = tempfile::tempdir().unwrap();
    drop(Phone::new(dir.path()));
    let database = std::fs::read_dir(dir.path())
        .unwrap()
        .map(|f| f.unwrap().path());
    let database = database
        .into_iter()
        .find(|p| p.extension().is_some_and(|e| e == "db"));
    std::fs::write(database.unwrap(), b"nonsense ".repeat(4096)).unwrap();
    let phone = Phone::new(dir.path());
    assert_eq!(phone.stack.place(), start(StartPage::Who));
    let page = phone.page();
    assert!(
        page.blocks
            .iter()
            .any(|b| matches!(b, Block::Lines { lines }
            if lines.iter().any(|l| l.text.contains("set aside whole")))),
        "{page:#?}"
    );
}

/// One of each kind of page, on a day that has them all.
fn every_kind(day: &mut Day) -> Vec<Place> {
    let rig = day.rig.clone();
    day.ready().unwrap();
    let hold = day.hold("main", 0.0).unwrap();
    let prep = day.book.start_prep(&rig, "turnaround").unwrap();
    let subject = format!("{rig}/hold/{hold}");
    let (photo, _) = day.book.add_photo(&subject, "the gauge", &png()).unwrap();
    let entries = day.book.journal().page(None, None, 1).unwrap();
    let (of, form) = (|| rig.clone(), None::<String>);
    let (seal, enclosure) = ("main-back".to_owned(), "main".to_owned());
    vec![
        start(StartPage::Rig),
        Place::Rigs { form: None },
        Place::Rig {
            rig: of(),
            form: form.clone(),
        },
        Place::RigEdit {
            rig: of(),
            part: None,
        },
        Place::Prep {
            prep,
            step: None,
            form: form.clone(),
        },
        Place::HoldSetup {
            rig: of(),
            enclosure,
        },
        Place::Hold {
            hold,
            form: form.clone(),
        },
        Place::Recheck { rig: of() },
        Place::Seals { rig: of() },
        Place::Seal {
            rig: of(),
            seal: seal.clone(),
            form: form.clone(),
        },
        Place::Service {
            rig: of(),
            seal,
            stage: "look".into(),
            prep: None,
            step: None,
        },
        Place::RingBox { form: form.clone() },
        Place::Spares {
            rig: of(),
            form: form.clone(),
        },
        Place::Trim {
            rig: of(),
            form: form.clone(),
        },
        Place::Journal {
            rig: None,
            before: None,
        },
        Place::Days {
            rig: None,
            before: None,
            filter: DaysFilter::default(),
            form: form.clone(),
        },
        Place::Entry {
            event: entries[0].event.reference().to_string(),
        },
        Place::Photo {
            photo: photo.hash.to_string(),
        },
        Place::Sketch {
            photo: photo.hash.to_string(),
            tool: Tool::default(),
        },
        Place::About { licence: None },
        Place::Crew { form },
    ]
}

/// The words of a page, titles aside.
fn texts(page: &Page) -> Vec<String> {
    let text = |b: &Block| match b {
        Block::Text { text, .. } => Some(text.clone()),
        _ => None,
    };
    page.blocks.iter().filter_map(text).collect()
}

/// A page of a kind that has no help, or whose help says nothing, is found here.
#[test]
fn every_page_leads_to_its_help_and_back() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let places = every_kind(&mut day);
    let kinds: HashSet<Topic> = places.iter().filter_map(Topic::of).collect();
    let all: HashSet<Topic> = Topic::ALL.iter().copied().collect();
    assert_eq!(kinds, all, "a kind of page is not among these");
    assert_eq!(kinds.len(), places.len(), "two kinds share a help");
    let desk = Desk::new(day.book, 0);
    let stack = Stack::of(vec![Place::Rigs { form: None }]);
    let mut phone = Phone { desk, stack };
    let mut said: HashSet<String> = HashSet::new();
    for place in places {
        phone.stack = Stack::of(vec![place.clone()]);
        let from = phone.page();
        phone.tap("About this page");
        let of = Topic::of(&place).unwrap();
        assert_eq!(phone.stack.place(), Place::Help { of });
        let page = phone.page();
        let words = texts(&page);
        assert_eq!(words.len(), 3, "{place:?}: {page:#?}");
        for text in words {
            assert!(
                text.contains(' ') && !text.contains("help_"),
                "{place:?}: {text}"
            );
            assert!(
                text.len() < 420,
                "{place:?}: nobody reads this on deck: {text}"
            );
            assert!(said.insert(text), "{place:?}: said of another page");
        }
        let label = |b: &Button| b.label == "About this page";
        assert!(!buttons(&page).iter().any(label), "no help of help");
        phone.stack.back();
        assert_eq!(phone.page(), from);
    }
    // A form that stands alone has its page's help, too.
    phone.stack = Stack::of(vec![Place::Crew {
        form: Some("limits".into()),
    }]);
    phone.tap("About this page");
    assert_eq!(phone.stack.place(), Place::Help { of: Topic::Crew });
}

/// Where somebody can be hurt, the help says so, and who has the say.
#[test]
fn help_defers_to_the_makers_manual_where_people_can_be_hurt() {
    let dir = tempfile::tempdir().unwrap();
    let phone = Phone::new(dir.path());
    let cautions = |of: Topic| {
        let page = phone.desk.page(&Place::Help { of }).unwrap();
        let caution = |b: &Block| match b {
            Block::Caution { text } => Some(text.clone()),
            _ => None,
        };
        page.blocks.iter().find_map(caution)
    };
    for of in [Topic::Prep, Topic::Hold, Topic::Rig, Topic::Trim] {
        let text = cautions(of).unwrap();
        assert!(
            text.contains("maker's manual") && text.contains("local rules"),
            "{text}"
        );
    }
    assert_eq!(cautions(Topic::Days), None);
}

/// What the program is, and each licence whole, one tap away.
#[test]
fn about_says_what_it_is_what_it_cannot_prove_and_every_licence() {
    let dir = tempfile::tempdir().unwrap();
    let mut phone = Phone::new(dir.path());
    phone.stack = Stack::of(vec![Place::Crew { form: None }]);
    phone.tap("About Slackwater");
    let about = Place::About { licence: None };
    assert_eq!(phone.stack.place(), about);
    let page = phone.page();
    let answer = page.answer.clone().unwrap().text;
    assert!(answer.ends_with(env!("CARGO_PKG_VERSION")), "{answer}");
    let shown = format!("{:?}", page.blocks);
    assert!(shown.contains("fraction of an atmosphere"), "{shown}");
    assert!(shown.contains("maker's manual"), "{shown}");
    assert!(shown.len() < 30_000, "{} bytes at once", shown.len());
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("..");
    let read = |path: &str| std::fs::read_to_string(root.join(path)).unwrap();
    let rows: Vec<Button> = buttons(&page);
    let mut all = String::new();
    let mut opened = 0;
    for row in rows {
        let Action::Go { place } = &row.action else {
            panic!("{row:?}");
        };
        if !matches!(place, Place::About { .. }) {
            continue;
        }
        let page = phone.desk.page(place).unwrap();
        assert_ne!(page.title, "", "{place:?}");
        all.push_str(&format!("{} ", page.title));
        for block in &page.blocks {
            match block {
                Block::Footnote { text, .. } | Block::Text { text, .. } => {
                    all.push_str(&format!("{text} "));
                }
                Block::Rows { rows, .. } => {
                    for row in rows {
                        all.push_str(&format!("{}: {} ", row.title, row.detail));
                    }
                }
                _ => {}
            }
        }
        opened += 1;
    }
    assert!(opened > 25, "{opened} licences");
    // Nothing of what is inside is left out, word for word.
    let words =
        |text: &str| -> Vec<String> { text.split_whitespace().map(str::to_owned).collect() };
    let shown: HashSet<String> = words(&all).into_iter().collect();
    for file in ["core/data/licences.txt", "LICENSE"] {
        let text = read(file);
        let (head, texts) = text.split_once("\n\n").unwrap();
        let lost: Vec<String> = (words(texts).into_iter())
            .filter(|w| w != "----" && !shown.contains(w))
            .collect();
        assert!(lost.is_empty(), "{file} ({head}): {lost:?}");
    }
    // One that an older version kept and that isn't there any more leads to no dead end.
    let gone = Place::About {
        licence: Some("4000".into()),
    };
    assert_eq!(phone.desk.page(&gone).unwrap().title, page.title);
}
