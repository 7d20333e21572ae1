//! The service of a seal, one thing at a time with greasy fingers. Its one question: what now?
//!
//! Each tap leads on; where it stands is in the place, so Back is one step back, and nothing is
//! recorded before the last tap, but for a ring that must not go back: that is news as it is seen, whoever is called
//! away then. From the seal's screen to the record it takes five taps of a
//! clean ring, and seven at most.

use super::common::{FieldValue, Form, Line, Mark, Outcome, PhotoTile, Place, Severity};
use super::cx::{Cx, Typed, button, done, form, go, line};
use super::desk::Desk;
use super::keys;
use super::names::{
    cured_field, enclosure_name, finding_name, finding_of, grease_words, lot_detail, lot_name,
    lot_until_words, pack_field,
};
use super::page::{Draft, Page};
use super::spec::{Spec, draw, long_text_in, read_new};
use slackwater_domain::book::{BookFault, NewRing, Refit};
use slackwater_domain::facts::Finding;
use slackwater_domain::rig::Seal;
use slackwater_domain::rules::{MaterialDoubt, faulty, material_doubts};
use slackwater_domain::spares::{lot_fits, lot_until, today};
use slackwater_domain::state::{RigFacts, SealFacts};
use slackwater_domain::subject;

pub use super::common::{Button as ServiceButton, Row as ServiceRow};

/// What the service accepts.
#[derive(Debug, Clone, PartialEq, serde::Serialize, serde::Deserialize)]
pub enum ServiceAction {
    /// The ring was looked at, and this was found.
    Found {
        /// Finding key: 'clean', 'hair', 'sand', 'nick', 'flat', 'swollen', 'dry'.
        finding: String,
    },
    /// This is done; on to the next.
    Next,
    /// The ring that came out went back in. Where it must not, that takes a second tap.
    SameRing,
    /// A new ring from the box went in.
    NewRing {
        /// Lot in the box.
        lot: String,
    },
    /// Shows the form for a note, or for a ring from elsewhere: 'note', 'fit'.
    ShowForm {
        /// Which.
        form: String,
    },
    /// Sends a form.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Leaves the service; nothing of it is recorded.
    OpenSeal,
}

/// One step of a service.
#[derive(Debug, Clone, PartialEq)]
pub struct ServiceScreen {
    /// Rig id.
    pub rig: String,
    /// Seal id.
    pub seal: String,
    /// The seal and its enclosure.
    pub name: String,
    /// Where in the service: '2 of 5'.
    pub place: String,
    /// What to do now.
    pub instruction: String,
    /// How to know that it is right.
    pub text: String,
    /// What should be known: what was found, a grease that doesn't go with the ring.
    pub notices: Vec<Line>,
    /// What may have been found, or the rings that may go in.
    pub choices: Vec<ServiceRow>,
    /// A note, or a ring from elsewhere.
    pub form: Option<Form>,
    /// Photos of the seal.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action.
    pub main: Option<ServiceButton>,
    /// The others.
    pub others: Vec<ServiceButton>,
}

/// Steps of a service, the taking out included.
const STEPS: usize = 5;

/// Where a service stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    Look,
    Clean,
    Grease,
    Back,
    /// Back in, with a note.
    Note,
    /// A new ring that isn't from the box.
    Fit,
}

impl Stage {
    const ALL: [Self; 6] = [
        Self::Look,
        Self::Clean,
        Self::Grease,
        Self::Back,
        Self::Note,
        Self::Fit,
    ];

    /// As a place names it; a form that is a stage has its key.
    fn word(self) -> &'static str {
        match self {
            Self::Look => "look",
            Self::Clean => "clean",
            Self::Grease => "grease",
            Self::Back => "back",
            Self::Note => "note",
            Self::Fit => "fit",
        }
    }

    fn from_word(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|stage| stage.word() == word)
    }

    /// With what was found ('clean/hair').
    fn with(self, found: Finding) -> String {
        format!("{}/{}", self.word(), found.key())
    }
}

/// What a service's place names.
#[derive(Debug, Clone, Copy)]
pub(super) struct At<'a> {
    /// Rig id.
    pub rig: &'a str,
    /// Seal id.
    pub seal: &'a str,
    /// 'look', or a stage with what was found ('clean/hair').
    pub stage: &'a str,
    /// Prep and step it is done for.
    pub step: Option<(&'a str, &'a str)>,
}

impl At<'_> {
    fn place(&self, stage: String) -> Place {
        Place::Service {
            rig: self.rig.to_owned(),
            seal: self.seal.to_owned(),
            stage,
            prep: self.step.map(|s| s.0.to_owned()),
            step: self.step.map(|s| s.1.to_owned()),
        }
    }

    fn read(&self) -> Result<(Stage, Finding), BookFault> {
        let (stage, found) = match self.stage.split_once('/') {
            Some((stage, found)) => (stage, finding_of(found)),
            None => (self.stage, Some(Finding::Clean)),
        };
        Stage::from_word(stage)
            .zip(found)
            .ok_or_else(|| BookFault::NotFound {
                what: "part of a service",
                id: self.stage.to_owned(),
            })
    }
}

/// What was found on the ring that is in and must not go back, where that stands.
fn stood(rig: &RigFacts, seal: &SealFacts) -> Option<Finding> {
    faulty(rig, seal).and_then(|f| finding_of(&f.value))
}

/// Where a service begins: with a look, or, where it is on record that the ring must not go back, with what is done
/// before a new one goes in.
pub(super) fn begins(rig: &RigFacts, seal: &SealFacts) -> String {
    stood(rig, seal).map_or_else(|| Stage::Look.word().to_owned(), |f| Stage::Clean.with(f))
}

/// Builds the screen.
pub(super) fn show(cx: &Cx<'_>, at: At<'_>) -> Result<ServiceScreen, BookFault> {
    let (stage, found) = at.read()?;
    let rig = cx.book.rig(at.rig)?;
    let def = rig.def.seal(at.seal).ok_or_else(|| no_seal(at.seal))?;
    // A second look that finds nothing makes no good ring of it: another member says that it isn't so.
    let found = match (rig.seal(at.seal)).and_then(|s| stood(&rig, s)) {
        Some(stood) if !found.needs_new_ring() => stood,
        _ => found,
    };
    let enclosure = enclosure_name(&rig, &def.enclosure);
    // Closed in the meantime, by another phone: nothing can be recorded here.
    let closed = cx
        .book
        .is_closed(&rig, &def.enclosure)
        .then(|| cx.say("error_enclosure_closed", &[("name", (&enclosure).into())]));
    let bad = found.needs_new_ring();
    let mut notices = Vec::new();
    if stage != Stage::Look && found != Finding::Clean {
        let what = finding_name(cx, found);
        let words = |key: &str| cx.say(key, &[("what", (&what).into())]);
        notices.push(if bad {
            line(
                words("screen_service_bad"),
                Severity::Blocking,
                Some(Mark::Struck),
            )
        } else {
            line(words("screen_service_found"), Severity::Notice, None)
        });
    }
    if stage == Stage::Grease {
        notices.extend(grease_notice(cx, def, &rig.def.plan));
    }
    if let (Some((prep, step)), Stage::Back | Stage::Note | Stage::Fit) = (at.step, stage) {
        notices.extend(confirms(cx, prep, step)?);
    }
    let (n, key) = match stage {
        Stage::Look => (2, "screen_service_look"),
        Stage::Clean if bad => (3, "screen_service_clean_bad"),
        Stage::Clean => (3, "screen_service_clean"),
        Stage::Grease if bad => (4, "screen_service_grease_bad"),
        Stage::Grease => (4, "screen_service_grease"),
        Stage::Back | Stage::Note | Stage::Fit if bad => (5, "screen_service_back_bad"),
        Stage::Back | Stage::Note | Stage::Fit => (5, "screen_service_back"),
    };
    let text = cx.t(match stage {
        Stage::Look => "screen_service_look_text",
        Stage::Clean => "screen_service_clean_text",
        Stage::Grease => "screen_service_grease_text",
        Stage::Back | Stage::Note | Stage::Fit => "screen_service_back_text",
    });
    let usable = |b: ServiceButton| ServiceButton {
        enabled: closed.is_none(),
        why_not: closed.clone(),
        ..b
    };
    let mut others = Vec::new();
    let mut choices = Vec::new();
    let mut main = None;
    let mut shown_form = None;
    match stage {
        Stage::Look => choices = findings(cx),
        Stage::Clean => main = Some(button(cx.t("action_cleaned"), ServiceAction::Next)),
        Stage::Grease => main = Some(button(cx.t("action_greased"), ServiceAction::Next)),
        Stage::Back => {
            choices = rings(cx, def, closed.as_deref())?;
            let offered = !choices.is_empty();
            let fit = usable(show_form(cx.t("action_ring_elsewhere"), "fit"));
            if bad {
                if !offered {
                    notices.push(line(
                        cx.t("screen_service_box_lacks"),
                        Severity::Notice,
                        None,
                    ));
                }
                main = (!offered).then(|| fit.clone());
                if offered {
                    others.push(fit);
                }
                others.push(ServiceButton {
                    confirm: Some(cx.say(
                        "screen_service_keep_confirm",
                        &[("what", (&finding_name(cx, found)).into())],
                    )),
                    ..usable(button(
                        cx.t("action_same_ring_bad"),
                        ServiceAction::SameRing,
                    ))
                });
            } else {
                main = Some(usable(button(
                    cx.t("action_same_ring"),
                    ServiceAction::SameRing,
                )));
                others.push(usable(show_form(cx.t("action_same_ring_note"), "note")));
                others.push(fit);
            }
        }
        Stage::Note => {
            shown_form = Some(form(
                "note",
                cx.t("screen_service_note_title"),
                draw(&note_field(cx), &cx.units, None),
                cx.t("action_same_ring"),
            ));
        }
        Stage::Fit => {
            shown_form = Some(form(
                "fit",
                cx.t("screen_seal_fit_title"),
                draw(&fit_fields(cx), &cx.units, None),
                cx.t("action_fit_new"),
            ));
        }
    }
    others.push(button(
        cx.t("action_leave_service"),
        ServiceAction::OpenSeal,
    ));
    Ok(ServiceScreen {
        rig: at.rig.to_owned(),
        seal: at.seal.to_owned(),
        name: format!("{}, {enclosure}", def.name),
        place: cx.say(
            "screen_service_place",
            &[("n", n.into()), ("of", STEPS.into())],
        ),
        instruction: cx.t(key),
        text,
        notices,
        choices,
        form: shown_form,
        photos: cx.photos(at.rig, subject::At::Seal(at.seal))?,
        photo_subject: subject::At::Seal(at.seal).of(at.rig),
        main,
        others,
    })
}

fn note_field<'a>(cx: &Cx<'_>) -> [Spec<'a, String>; 1] {
    [long_text_in(keys::NOTE, cx.t("common_note"), |t| t).must()]
}

fn fit_fields<'a>(cx: &Cx<'_>) -> [Spec<'a, NewRing>; 2] {
    [
        pack_field(cx, |r: &mut NewRing| &mut r.pack),
        cured_field(cx, |r: &mut NewRing| &mut r.cured),
    ]
}

/// The parts of a prep's step, which the last tap confirms with it.
fn confirms(cx: &Cx<'_>, prep: &str, step: &str) -> Result<Option<Line>, BookFault> {
    let facts = cx.book.prep(prep)?;
    let points = facts
        .steps
        .iter()
        .find(|s| s.key == step)
        .map(|s| s.step.points.join("; "))
        .filter(|points| !points.is_empty());
    Ok(points.map(|points| {
        line(
            cx.say("screen_service_confirms", &[("parts", (&points).into())]),
            Severity::Plain,
            None,
        )
    }))
}

/// What speaks against the grease in use.
fn grease_notice(cx: &Cx<'_>, def: &Seal, plan: &slackwater_domain::rig::Plan) -> Option<Line> {
    material_doubts(def, plan)
        .into_iter()
        .find(|d| matches!(d, MaterialDoubt::Grease { .. }))
        .map(|d| {
            line(
                grease_words(cx, def, &d),
                Severity::Notice,
                Some(Mark::Hatched),
            )
        })
}

fn findings(cx: &Cx<'_>) -> Vec<ServiceRow> {
    Finding::ALL
        .into_iter()
        .map(|f| {
            let title = finding_name(cx, f);
            ServiceRow {
                detail: if f.needs_new_ring() {
                    cx.t("screen_service_wants_new")
                } else {
                    String::new()
                },
                footnote: None,
                mark: None,
                severity: Severity::Plain,
                tap: Some(ServiceButton {
                    // It is on record with the tap: no slip of a wet finger.
                    confirm: f.needs_new_ring().then(|| {
                        cx.say("screen_service_bad_confirm", &[("what", (&title).into())])
                    }),
                    ..button(
                        title.clone(),
                        ServiceAction::Found {
                            finding: f.key().to_owned(),
                        },
                    )
                }),
                other: None,
                photo: None,
                title,
            }
        })
        .collect()
}

/// The rings in the box that fit, the oldest that may still be fitted first.
fn rings(cx: &Cx<'_>, def: &Seal, closed: Option<&str>) -> Result<Vec<ServiceRow>, BookFault> {
    let day = today(cx.now);
    let mut rows = Vec::new();
    for lot in cx.book.ring_box()? {
        if lot.count < 1 || !lot_fits(&lot, def) {
            continue;
        }
        let name = lot_name(cx, &lot.lot);
        let title = cx.say("screen_service_new_ring", &[("name", (&name).into())]);
        let too_old = lot_until(&lot, true).filter(|until| day > *until);
        rows.push((
            too_old.is_some(),
            ServiceRow {
                detail: lot_detail(cx, &lot),
                footnote: lot_until_words(cx, &lot),
                mark: too_old.map(|_| Mark::Struck),
                severity: Severity::Plain,
                tap: Some(ServiceButton {
                    enabled: closed.is_none(),
                    why_not: closed.map(str::to_owned),
                    confirm: too_old.map(|until| {
                        cx.say(
                            "screen_service_too_old_confirm",
                            &[("until", (&until.to_string()).into())],
                        )
                    }),
                    ..button(
                        title.clone(),
                        ServiceAction::NewRing {
                            lot: lot.id.clone(),
                        },
                    )
                }),
                other: None,
                photo: None,
                title,
            },
        ));
    }
    rows.sort_by_key(|(old, _)| *old);
    Ok(rows.into_iter().map(|(_, row)| row).collect())
}

fn no_seal(seal: &str) -> BookFault {
    BookFault::NotFound {
        what: "seal",
        id: seal.to_owned(),
    }
}

/// Does an action.
pub(super) fn act(
    desk: &mut Desk,
    at: At<'_>,
    action: ServiceAction,
) -> Result<Outcome, BookFault> {
    let (stage, found) = at.read()?;
    if desk.book.rig(at.rig)?.def.seal(at.seal).is_none() {
        return Err(no_seal(at.seal));
    }
    let elsewhere = |desk: &Desk| super::cx::fault("", desk.texts.get("error_other_screen"));
    let next = |stage: Stage, found: Finding| go(at.place(stage.with(found)));
    let refit = match action {
        ServiceAction::Found { finding } => {
            let Some(finding) = finding_of(&finding).filter(|_| stage == Stage::Look) else {
                return Ok(elsewhere(desk));
            };
            return written_down(desk, at, finding, next(Stage::Clean, finding));
        }
        ServiceAction::Next => {
            return Ok(match stage {
                Stage::Clean => next(Stage::Grease, found),
                Stage::Grease => next(Stage::Back, found),
                _ => elsewhere(desk),
            });
        }
        ServiceAction::ShowForm { form } => {
            return Ok(match (stage, Stage::from_word(&form)) {
                (Stage::Back, Some(shown @ (Stage::Note | Stage::Fit))) => next(shown, found),
                _ => elsewhere(desk),
            });
        }
        ServiceAction::OpenSeal => return Ok(back(at)),
        // That it must not was written down when it was seen.
        ServiceAction::SameRing if stage == Stage::Back && stands(desk, at, found)? => {
            return Ok(back(at));
        }
        // Nothing is put in before it was looked at, cleaned and greased.
        ServiceAction::SameRing if stage == Stage::Back => Refit::Same {
            finding: found,
            note: String::new(),
        },
        ServiceAction::NewRing { lot } if stage == Stage::Back => Refit::New(NewRing {
            lot: Some(lot),
            found: Some(found).filter(|f| *f != Finding::Clean),
            ..NewRing::default()
        }),
        ServiceAction::SameRing | ServiceAction::NewRing { .. } => return Ok(elsewhere(desk)),
        ServiceAction::Submit { form, values } => {
            let mut typed = Typed::new(desk.texts, &values);
            let cx = desk.cx()?;
            let refit = match (stage, form.as_str()) {
                (Stage::Note, "note") => Refit::Same {
                    finding: found,
                    note: read_new(&note_field(&cx), &cx.units, &mut typed),
                },
                (Stage::Fit, "fit") => Refit::New(NewRing {
                    found: Some(found).filter(|f| *f != Finding::Clean),
                    ..read_new(&fit_fields(&cx), &cx.units, &mut typed)
                }),
                _ => return Ok(elsewhere(desk)),
            };
            if let Some(faults) = typed.faults() {
                return Ok(faults);
            }
            refit
        }
    };
    let said = match &refit {
        Refit::New(_) => "screen_seal_said_fitted",
        Refit::Same { finding, .. } if finding.needs_new_ring() => "screen_seal_said_faulty",
        Refit::Same { .. } => "screen_seal_said_serviced",
    };
    let faulty = said == "screen_seal_said_faulty";
    let recorded = desk.book.refit_seal(at.rig, at.seal, refit, at.step)?;
    let to = match at.step {
        // The step is done: on to where the prep stands now.
        Some((prep, _)) if !faulty => go(Place::Prep {
            prep: prep.to_owned(),
            step: None,
            form: None,
        }),
        _ => back(at),
    };
    Ok(Outcome {
        go: to.go,
        ..done(recorded, desk.texts.get(said))
    })
}

/// Writes down, on the way to somewhere, a ring that must not go back, unless it is on record.
fn written_down(
    desk: &mut Desk,
    at: At<'_>,
    finding: Finding,
    to: Outcome,
) -> Result<Outcome, BookFault> {
    let rig = desk.book.rig(at.rig)?;
    let shut = (rig.def.seal(at.seal)).is_none_or(|s| desk.book.is_closed(&rig, &s.enclosure));
    if !finding.needs_new_ring() || shut || stands(desk, at, finding)? {
        return Ok(to);
    }
    let seen = Refit::Same {
        finding,
        note: String::new(),
    };
    let recorded = desk.book.refit_seal(at.rig, at.seal, seen, None)?;
    Ok(Outcome {
        go: to.go,
        ..done(recorded, desk.texts.get("screen_seal_said_seen"))
    })
}

/// Whether a finding is on record of the ring that is in, and nothing answered it.
fn stands(desk: &Desk, at: At<'_>, found: Finding) -> Result<bool, BookFault> {
    let rig = desk.book.rig(at.rig)?;
    let known = rig.seal(at.seal).and_then(|s| stood(&rig, s));
    Ok(known.is_some_and(|f| f == found || !found.needs_new_ring()))
}

/// To where the service began: the step of a prep, or the seal.
fn back(at: At<'_>) -> Outcome {
    match at.step {
        Some((prep, step)) => go(Place::Prep {
            prep: prep.to_owned(),
            step: Some(step.to_owned()),
            form: None,
        }),
        None => go(Place::Seal {
            rig: at.rig.to_owned(),
            seal: at.seal.to_owned(),
            form: None,
        }),
    }
}

fn show_form(label: String, form: &str) -> ServiceButton {
    button(
        label,
        ServiceAction::ShowForm {
            form: form.to_owned(),
        },
    )
}

impl ServiceScreen {
    pub(super) fn page(self) -> Page {
        Draft::new(&self.name, &self.place)
            .answer(&self.instruction, None, Severity::Plain)
            .beneath(&self.text)
            .lines(self.notices)
            .rows("", self.choices)
            .fields(self.form, self.main.is_none())
            .buttons("", self.others)
            .photos(self.photos, &self.photo_subject)
            .main(self.main)
            .done()
    }
}
