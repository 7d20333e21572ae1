//! Two people sign, whatever was worked through, edited, merged or named. Each test says what was
//! called ready before it was mended.

use slackwater_checks::drive::{Day, env, one_crew, picture, png, reading};
use slackwater_core::domain::book::{Book, BookFault, Refusal, Signer};
use slackwater_core::domain::facts::{Fact, Finding, Role};
use slackwater_core::domain::procedure::StepKind;
use slackwater_core::domain::readiness::{Obstacle, Remark, Unsigned};
use slackwater_core::domain::rig::{Enclosure, Seal};
use slackwater_core::screens::common::Place;
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::prep::{PrepAction, PrepScreen};
use slackwater_core::screens::rig::RigAction;
use slackwater_core::screens::{Action, Screen};

fn ready_day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    day.ready().unwrap();
    assert_eq!(obstacles(&day), []);
    (dir, day)
}

fn obstacles(day: &Day) -> Vec<Obstacle> {
    day.book.readiness(&day.rig).unwrap().obstacles
}

/// What is left to sign, recheck aside: a plug that was out wants one, and so does a turnaround.
fn to_sign(day: &Day) -> Vec<Obstacle> {
    let mut left = obstacles(day);
    left.retain(|o| !matches!(o, Obstacle::NoRecheck { .. }));
    left
}

/// Closes, proves and rechecks an enclosure, by the assistant alone.
fn prove(day: &mut Day, enclosure: &str) {
    let rig = day.rig.clone();
    day.book.close_enclosure(&rig, enclosure).unwrap();
    day.hold(enclosure, 0.0).unwrap();
    day.book
        .record_recheck(&rig, enclosure, reading(200.0))
        .unwrap();
    day.book.plug_on(&rig, enclosure).unwrap();
}

fn plug_unseen(enclosure: &str) -> Obstacle {
    Obstacle::PlugUnseen {
        enclosure: enclosure.into(),
    }
}

// Before: a third housing added after the build, closed and proved by one, was ready.
#[test]
fn an_enclosure_added_after_the_build_waits_for_two() {
    let (_dir, mut day) = ready_day();
    let (rig, dp) = (day.rig.clone(), day.dp.clone());
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    let light = Enclosure {
        id: "light".into(),
        name: "Light".into(),
        ..def.enclosures[1].clone()
    };
    let frame = Seal {
        id: "light-frame".into(),
        enclosure: "light".into(),
        ..def
            .seals
            .iter()
            .find(|s| s.enclosure == "monitor")
            .unwrap()
            .clone()
    };
    def.enclosures.push(light);
    def.seals.push(frame);
    day.book.edit_rig(&rig, def).unwrap();
    day.book
        .service_seal(&rig, "light-frame", Finding::Clean, "")
        .unwrap();
    prove(&mut day, "light");
    assert_eq!(
        obstacles(&day),
        [
            Obstacle::WalkRound {
                why: Unsigned::NotDone,
                step: None
            },
            plug_unseen("light")
        ]
    );
    day.book.walk_round(&rig).unwrap();
    assert_eq!(
        obstacles(&day)[0],
        Obstacle::WalkRound {
            why: Unsigned::SecondMember,
            step: None
        }
    );
    day.book.sign_walk(&rig, &dp).unwrap();
    day.book.sign_plugs(&rig, &dp).unwrap();
    assert_eq!(obstacles(&day), []);
}

// Before: a build that nobody signed was ready once a turnaround of the crew's own was signed.
#[test]
fn a_turnaround_covers_only_what_it_attests_itself() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let file = |id: &str, kind: &str, steps: &str| {
        format!("format = 1\nid = \"{id}\"\ntitle = \"Own\"\nkind = \"{kind}\"\n{steps}")
    };
    let step = |id: &str, two: bool| {
        format!(
            "[[step]]\nid = \"{id}\"\nsection = \"Work\"\ntitle = \"Do {id}\"\nkind = \"check\"\n\
             two_person = {two}\n"
        )
    };
    let build = file(
        "own-build",
        "build",
        &(step("lens-lock", true) + &step("tidy", false)),
    );
    let turn = file("own-turn", "turnaround", &step("tidy", true));
    for source in [build, turn] {
        day.book.add_procedure(source.as_bytes()).unwrap();
    }
    let own = day.book.start_prep(&rig, "own-build").unwrap();
    let wanted = Obstacle::Unsigned {
        prep: own.clone(),
        step: "lens-lock".into(),
        why: Unsigned::NotDone,
    };
    assert_eq!(to_sign(&day), std::slice::from_ref(&wanted));
    let turn = day.book.start_prep(&rig, "own-turn").unwrap();
    let work = |day: &mut Day, prep: &str, key: &str| {
        day.book.do_step(prep, key, "").unwrap();
        let dp = day.dp.clone();
        day.book.sign_step(prep, key, &dp).unwrap();
    };
    work(&mut day, &turn, "tidy");
    assert_eq!(to_sign(&day), [wanted], "the build's own step still counts");
    work(&mut day, &own, "lens-lock");
    assert_eq!(to_sign(&day), []);
}

// Before: a file of one step under the built-in's id, done by one, was a build, and the rig ready.
#[test]
fn a_procedure_of_fewer_steps_leaves_nothing_unsigned() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let (rig, dp) = (day.rig.clone(), day.dp.clone());
    let source = "format = 1\nid = \"general-build\"\ntitle = \"Short\"\nkind = \"build\"\n\
                  [[step]]\nid = \"all\"\nsection = \"All\"\ntitle = \"Do all\"\nkind = \"do\"\n";
    day.book.add_procedure(source.as_bytes()).unwrap();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    let def = day.book.rig(&rig).unwrap().def.clone();
    for s in def.seals.iter().filter(|s| s.closure.is_some()) {
        day.book
            .service_seal(&rig, &s.id, Finding::Clean, "")
            .unwrap();
    }
    for e in &def.enclosures {
        prove(&mut day, &e.id);
    }
    for c in def.controls.iter().filter(|c| c.assigned()) {
        day.book.test_control(&rig, &c.id, true, "").unwrap();
    }
    assert_eq!(
        obstacles(&day),
        [
            Obstacle::WalkRound {
                why: Unsigned::NotDone,
                step: None
            },
            plug_unseen("main"),
            plug_unseen("monitor")
        ]
    );
    day.book.walk_round(&rig).unwrap();
    day.book.sign_walk(&rig, &dp).unwrap();
    day.book.sign_plugs(&rig, &dp).unwrap();
    assert_eq!(obstacles(&day), []);
}

// Before: another phone's service of a ring was an opening for the hold, and not for the signature.
#[test]
fn a_signature_is_void_with_an_opening_that_a_service_tells_of() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.minutes(1);
    // As it comes in from a phone that had not heard of the closing.
    let fact = Fact::SealServiced {
        finding: Finding::Clean,
        note: String::new(),
    };
    day.book
        .record(vec![(format!("{rig}/seal/monitor-frame"), fact)])
        .unwrap();
    let walk = |o: &Obstacle| matches!(o, Obstacle::WalkRound { .. });
    assert!(obstacles(&day).iter().any(walk), "{:?}", obstacles(&day));
    prove(&mut day, "monitor");
    assert!(obstacles(&day).iter().any(walk), "closing again is no look");
}

// Before: after a new hold the plug was put back by one, and the signature of the one before stood.
#[test]
fn a_plug_put_back_after_a_new_hold_is_seen_by_two_again() {
    let (_dir, mut day) = ready_day();
    let (rig, dp, assistant) = (day.rig.clone(), day.dp.clone(), day.assistant.clone());
    day.minutes(10);
    day.hold("main", 0.0).unwrap();
    day.book
        .record_recheck(&rig, "main", reading(200.0))
        .unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    assert_eq!(to_sign(&day), [plug_unseen("main")]);
    assert!(matches!(
        day.book.sign_plugs(&rig, &assistant),
        Err(BookFault::Refused(Refusal::SameMember))
    ));
    day.book.sign_plugs(&rig, &dp).unwrap();
    assert_eq!(to_sign(&day), []);
    // A look is at what was there, and at nothing put in since.
    day.minutes(1);
    day.book.plug_off(&rig, "main").unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    assert_eq!(to_sign(&day), [plug_unseen("main")]);
}

// Before: 'Nobody' was a name like any other, and signed.
#[test]
fn a_member_named_nobody_is_refused_and_signs_nothing() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    for name in ["nobody", " No body ", "\u{200b}\u{2060}", ""] {
        let refused = day.book.add_member(name, Role::Other);
        assert!(matches!(refused, Err(BookFault::Rig(_))), "{name:?}");
    }
    // One who came in from another phone.
    let fact = Fact::MemberDefined {
        name: "Nobody".into(),
        role: Role::Other,
    };
    day.book.record(vec![("crew/n".into(), fact)]).unwrap();
    day.book.plug_off(&rig, "main").unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    assert!(matches!(
        day.book.sign_plugs(&rig, "n"),
        Err(BookFault::Refused(Refusal::NobodyNamed))
    ));
    assert_eq!(to_sign(&day), [plug_unseen("main")]);
}

// Before: 'Noor' added twice signed both sides.
#[test]
fn a_name_is_taken_once_and_twins_of_a_merge_are_one_person() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    // Seen: with a Cyrillic or a Greek o the same name was another's.
    for name in ["Noor", " noor", "NO\u{200b}OR", "N\u{43e}or", "No\u{3bf}r"] {
        let refused = day.book.add_member(name, Role::Other);
        assert!(matches!(refused, Err(BookFault::Rig(_))), "{name:?}");
    }
    // As a merge brings one.
    let fact = Fact::MemberDefined {
        name: "Noor ".into(),
        role: Role::Other,
    };
    day.book.record(vec![("crew/twin".into(), fact)]).unwrap();
    let names: Vec<String> = day
        .book
        .members()
        .unwrap()
        .iter()
        .map(|m| m.name.clone())
        .collect();
    let unique: std::collections::BTreeSet<_> = names.iter().collect();
    assert_eq!(unique.len(), names.len(), "{names:?}");
    day.book.plug_off(&rig, "main").unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    assert!(matches!(
        day.book.sign_plugs(&rig, "twin"),
        Err(BookFault::Refused(Refusal::SameMember))
    ));
    // Nor does a name that only looks the same, as a merge may bring it.
    let fact = Fact::MemberDefined {
        name: "N\u{43e}or".into(),
        role: Role::Other,
    };
    day.book.record(vec![("crew/alike".into(), fact)]).unwrap();
    assert!(matches!(
        day.book.sign_plugs(&rig, "alike"),
        Err(BookFault::Refused(Refusal::SameMember))
    ));
    // Renamed, they are two.
    day.book
        .change_member("twin", "Noor K", Role::Other)
        .unwrap();
    day.book.sign_plugs(&rig, "twin").unwrap();
    assert_eq!(to_sign(&day), []);
    // Joined, they are one again, and the signature goes.
    day.book
        .join_members("twin", &day.assistant.clone())
        .unwrap();
    assert_eq!(to_sign(&day), [plug_unseen("main")]);
}

#[test]
fn who_left_the_crew_signs_no_more_and_what_they_signed_stands() {
    let (_dir, mut day) = ready_day();
    let (rig, dp) = (day.rig.clone(), day.dp.clone());
    day.book.retire_member(&dp, true).unwrap();
    assert_eq!(to_sign(&day), []);
    day.book.plug_off(&rig, "main").unwrap();
    day.book.plug_on(&rig, "main").unwrap();
    assert!(matches!(
        day.book.sign_plugs(&rig, &dp),
        Err(BookFault::Refused(Refusal::NobodyNamed))
    ));
    day.book.retire_member(&dp, false).unwrap();
    day.book.sign_plugs(&rig, &dp).unwrap();
    assert_eq!(to_sign(&day), []);
}

// Before: a crew of one made up a second name.
#[test]
fn a_crew_of_one_looks_twice_and_ready_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let mut day = Day::dry_parts(dir.path()).unwrap();
    let (rig, noor) = (day.rig.clone(), day.assistant.clone());
    day.book.retire_member(&day.dp.clone(), true).unwrap();
    day.book.choose(&[("crew_of_one", "yes")]).unwrap();
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    day.work(&prep, Some(StepKind::Plug)).unwrap();
    let plug = day.book.prep(&prep).unwrap();
    let key = Book::current_step(&plug).unwrap().key.clone();
    day.book.do_step(&prep, &key, "").unwrap();
    let too_soon = day.book.sign_step(&prep, &key, &noor);
    assert!(
        matches!(
            too_soon,
            Err(BookFault::Refused(Refusal::TooSoon { minutes: 5 }))
        ),
        "{too_soon:?}"
    );
    let subject = format!("{rig}/prep/{prep}/{key}");
    day.book.add_photo(&subject, "at once", &png()).unwrap();
    day.minutes(5);
    let no_photo = day.book.sign_step(&prep, &key, &noor);
    assert!(
        matches!(no_photo, Err(BookFault::Refused(Refusal::FreshPhotoWanted))),
        "{no_photo:?}"
    );
    // Seen: the picture of before, handed in once more, passed for one of how it was now.
    day.book.add_photo(&subject, "now", &png()).unwrap();
    let no_photo = day.book.sign_step(&prep, &key, &noor);
    assert!(
        matches!(no_photo, Err(BookFault::Refused(Refusal::FreshPhotoWanted))),
        "{no_photo:?}"
    );
    day.book.add_photo(&subject, "now", &picture(1)).unwrap();
    day.book.sign_step(&prep, &key, &noor).unwrap();
    // The rest of the build, and the recheck, the same way.
    day.dp = noor.clone();
    day.alone = true;
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    day.recheck().unwrap();
    let says = day.book.readiness(&rig).unwrap();
    assert_eq!(says.obstacles, []);
    assert!(says.remarks.contains(&Remark::OneWord));
    // Someone joins the crew: what one person said is one person's.
    day.book.add_member("Teo", Role::Other).unwrap();
    assert!(!day.book.readiness(&rig).unwrap().is_ready());
}

/// A rig that was ready, whose crew is one since and has just put a plug in again.
fn plug_in_by_one() -> (tempfile::TempDir, Day) {
    let (dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.retire_member(&day.dp.clone(), true).unwrap();
    day.book.choose(&[("crew_of_one", "yes")]).unwrap();
    day.book.plug_off(&rig, "main").unwrap();
    day.minutes(1);
    day.book.plug_on(&rig, "main").unwrap();
    (dir, day)
}

/// Seen: one photo served as the fresh one of two looks.
#[test]
fn one_photo_serves_one_look_of_a_crew_of_one() {
    let (_dir, mut day) = plug_in_by_one();
    let (rig, noor) = (day.rig.clone(), day.assistant.clone());
    day.book.walk_round(&rig).unwrap();
    day.minutes(6);
    day.book.add_photo(&rig, "now", &picture(1)).unwrap();
    day.book.sign_plugs(&rig, &noor).unwrap();
    let spent = day.book.sign_walk(&rig, &noor);
    assert!(
        matches!(spent, Err(BookFault::Refused(Refusal::FreshPhotoWanted))),
        "{spent:?}"
    );
    day.book.add_photo(&rig, "and now", &picture(2)).unwrap();
    day.book.sign_walk(&rig, &noor).unwrap();
}

/// Seen: the clock set five minutes ahead, a photo, and a crew of one had looked twice within ten seconds.
#[test]
fn the_second_look_of_a_crew_of_one_waits_by_a_clock_that_nobody_can_set() {
    let (dir, mut day) = plug_in_by_one();
    let (rig, noor) = (day.rig.clone(), day.assistant.clone());
    day.clock.jump(6 * 60_000);
    day.book.add_photo(&rig, "at once", &png()).unwrap();
    let too_soon = |day: &mut Day| {
        let refused = day.book.sign_plugs(&rig, &noor);
        assert!(
            matches!(
                refused,
                Err(BookFault::Refused(Refusal::TooSoon { minutes: 5 }))
            ),
            "{refused:?}"
        );
    };
    too_soon(&mut day);
    // Nor after the app was closed meanwhile.
    day.book = {
        let clock = day.clock.clone();
        drop(std::mem::replace(
            &mut day.book,
            Book::open(tempfile::tempdir().unwrap().path(), env(&clock, 3)).unwrap(),
        ));
        Book::open(dir.path(), env(&clock, 4)).unwrap()
    };
    too_soon(&mut day);
    // Five minutes by that clock are five minutes, though the time of day was set back meanwhile.
    day.minutes(5);
    day.book.add_photo(&rig, "now", &picture(2)).unwrap();
    day.clock.jump(-10 * 60_000);
    day.book.sign_plugs(&rig, &noor).unwrap();
    assert_eq!(to_sign(&day), []);
}

// Before: 'We are one person' over signatures of two said nothing beside ready.
#[test]
fn a_crew_of_one_says_so_over_older_signatures_of_two() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.retire_member(&day.dp.clone(), true).unwrap();
    let said = |day: &Day| day.book.readiness(&rig).unwrap().remarks;
    assert!(!said(&day).contains(&Remark::CrewOfOne));
    day.book.choose(&[("crew_of_one", "yes")]).unwrap();
    assert_eq!(obstacles(&day), []);
    assert!(said(&day).contains(&Remark::CrewOfOne));
    let desk = Desk::new(day.book, 0);
    let Screen::Rig { screen } = desk.show(&Place::Rig { rig, form: None }).unwrap() else {
        panic!("no rig");
    };
    assert!(
        screen.answer.ends_with("on one person's word"),
        "{}",
        screen.answer
    );
}

/// The page on which what an edit took away is signed for, from the rig's page.
fn loss_page(desk: &mut Desk, rig: &str) -> (Place, PrepScreen) {
    let at = Place::Rig {
        rig: rig.to_owned(),
        form: None,
    };
    let Screen::Rig { screen } = desk.show(&at).unwrap() else {
        panic!("no rig");
    };
    let to_sign = |a: &Action| matches!(a, Action::Rig { action: RigAction::OpenStep { step, .. } } if step.starts_with("@loss/"));
    let taps = screen.obstacles.into_iter().filter_map(|o| o.tap);
    let tap = taps.into_iter().find(|t| to_sign(&t.action)).unwrap();
    let out = desk.act(&at, tap.action).unwrap();
    let place = out.go.unwrap();
    match desk.show(&place).unwrap() {
        Screen::Prep { screen } => (place, screen),
        other => panic!("{other:?}"),
    }
}

// Before: signed in a form of the rig's page that showed nothing of what is attested.
#[test]
fn an_edit_is_signed_for_on_the_page_of_signing() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.enclosures[0].limit_ml = Some(10_000.0);
    day.book.edit_rig(&rig, def).unwrap();
    let mut desk = Desk::new(day.book, 0);
    let (place, page) = loss_page(&mut desk, &rig);
    let told = |words: &str| page.parts.iter().any(|r| r.title.contains(words));
    assert!(told("leak limit of"), "{:?}", page.parts);
    assert!(told("Hold of"), "{:?}", page.parts);
    let sign = page.main.unwrap();
    assert!(sign.enabled && sign.label.contains("Ilse"), "{sign:?}");
    let out = desk.act(&place, sign.action).unwrap();
    assert!(out.faults.is_empty(), "{:?}", out.faults);
    let says = desk.book().readiness(&rig).unwrap();
    assert!(says.is_ready(), "{:?}", says.obstacles);
}

// Before: the code was asked for, and only what was typed was answered with 'no code yet'.
#[test]
fn who_has_no_code_yet_is_told_before_anything_is_typed() {
    let (_dir, mut day) = ready_day();
    let rig = day.rig.clone();
    day.book.choose(&[("signed_with", "code")]).unwrap();
    let mut def = day.book.rig(&rig).unwrap().def.clone();
    def.seals[0].limits.hard_days = None;
    day.book.edit_rig(&rig, def).unwrap();
    let mut desk = Desk::new(day.book, 0);
    let (_, page) = loss_page(&mut desk, &rig);
    assert!(page.form.is_none());
    let sign = page.main.unwrap();
    assert!(matches!(
        sign.action,
        Action::Prep {
            action: PrepAction::Sign { .. }
        }
    ));
    assert!(!sign.enabled);
    assert!(sign.why_not.unwrap().starts_with("Ilse has no code yet"));
}

// A crew that asks for more than a name.
#[test]
fn a_member_s_own_code_is_asked_for_a_few_times_and_then_after_a_wait() {
    let (_dir, mut day) = ready_day();
    let (rig, dp, assistant) = (day.rig.clone(), day.dp.clone(), day.assistant.clone());
    day.book.choose(&[("signed_with", "code")]).unwrap();
    assert!(
        !obstacles(&day).is_empty(),
        "what was signed by name alone is not enough now"
    );
    let with = |code: &'static str| Signer { member: &dp, code };
    let refusal = |r: Result<_, BookFault>| match r {
        Err(BookFault::Refused(why)) => why,
        other => panic!("{other:?}"),
    };
    let why = refusal(day.book.sign_plugs(&rig, with("4711")));
    assert!(matches!(why, Refusal::NoCode { .. }), "{why:?}");
    day.book.hold_phone(&dp).unwrap();
    assert_eq!(refusal(day.book.set_code("471", "")), Refusal::CodeShort);
    day.book.set_code("4711", "").unwrap();
    assert_eq!(
        refusal(day.book.set_code("0000", "1234")),
        Refusal::CodeWrong
    );
    day.book.hold_phone(&assistant).unwrap();
    for _ in 0..4 {
        assert_eq!(
            refusal(day.book.sign_plugs(&rig, with("0000"))),
            Refusal::CodeWrong
        );
    }
    // Also the right one waits now.
    assert_eq!(
        refusal(day.book.sign_plugs(&rig, with("4711"))),
        Refusal::CodeWait { minutes: 1 }
    );
    day.minutes(1);
    day.book.sign_plugs(&rig, with(" 4711 ")).unwrap();
    let unseen = |o: &Obstacle| matches!(o, Obstacle::PlugUnseen { .. });
    assert!(!obstacles(&day).iter().any(unseen));
    day.book.walk_round(&rig).unwrap();
    day.book.sign_walk(&rig, with("4711")).unwrap();
    assert_eq!(obstacles(&day), []);
}

#[test]
fn a_member_s_own_phone_is_asked_for() {
    let (dir, mut day) = ready_day();
    let (rig, dp) = (day.rig.clone(), day.dp.clone());
    day.book.choose(&[("signed_with", "phone")]).unwrap();
    let refused = day.book.sign_plugs(&rig, &dp);
    assert!(
        matches!(refused, Err(BookFault::Refused(Refusal::OtherPhone { .. }))),
        "{refused:?}"
    );
    // The assistant's phone is the assistant's, whoever holds it.
    day.book.own_phone().unwrap();
    assert!(day.book.sign_plugs(&rig, &dp).is_err());
    // The DP's own hears of it, signs, and the first hears of that.
    let other = tempfile::tempdir().unwrap();
    let mut theirs = Book::open(other.path(), env(&day.clock, 5)).unwrap();
    let tell = |from: &Book, to: &mut Book| {
        let page = from.journal().page(None, None, u32::MAX).unwrap();
        for entry in page.iter().rev() {
            to.ingest(&entry.event).unwrap();
        }
    };
    one_crew(&mut day.book, &mut theirs).unwrap();
    tell(&day.book, &mut theirs);
    theirs.hold_phone(&dp).unwrap();
    theirs.own_phone().unwrap();
    day.minutes(1);
    theirs.sign_plugs(&rig, &dp).unwrap();
    theirs.sign_walk(&rig, &dp).unwrap();
    tell(&theirs, &mut day.book);
    assert_eq!(obstacles(&day), []);
    // Whoever says later that it is theirs takes the signatures with it.
    let noor = day.assistant.clone();
    theirs.hold_phone(&noor).unwrap();
    theirs.own_phone().unwrap();
    tell(&theirs, &mut day.book);
    assert!(!obstacles(&day).is_empty());
    drop(dir);
}
