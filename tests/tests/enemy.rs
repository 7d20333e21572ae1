//! An enemy's attacks at edits unheard of, verdicts given again, dives, instruments said apart, what is told before
//! a phone is admitted. Each asserts the safe outcome; what is known and not mended is ignored by name.

use slackwater_checks::drive::{Day, begin_hold, env, one_crew, reading, tell};
use slackwater_core::domain::book::{Book, NewRing, Refit};
use slackwater_core::domain::facts::Finding;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::rig::{Closure, Penetrator, RigDef, Valve};

fn obstacles(book: &Book, rig: &str) -> Vec<Obstacle> {
    book.readiness(rig).unwrap().obstacles
}

fn edit(book: &mut Book, rig: &str, f: impl FnOnce(&mut RigDef)) {
    let mut def = book.rig(rig).unwrap().def.clone();
    f(&mut def);
    if let Err(e) = book.edit_rig(rig, def) {
        panic!("REFUSED {e:?}");
    }
}

fn second(day: &mut Day) -> (tempfile::TempDir, Book) {
    let dir = tempfile::tempdir().unwrap();
    let mut b = Book::open(dir.path(), env(&day.clock, 2)).unwrap();
    one_crew(&mut day.book, &mut b).unwrap();
    tell(&day.book, &mut b);
    tell(&b, &mut day.book);
    tell(&day.book, &mut b);
    b.hold_phone(&day.dp).unwrap();
    (dir, b)
}

fn meet(a: &mut Book, b: &mut Book) {
    tell(a, b);
    tell(b, a);
}

fn day() -> (tempfile::TempDir, Day) {
    let dir = tempfile::tempdir().unwrap();
    let day = Day::dry_parts(dir.path()).unwrap();
    (dir, day)
}

fn say(what: &str, v: impl std::fmt::Debug) {
    println!("ENEMY {what}: {v:?}");
}

/// Volume lowered in steps, its error raised first. Main leaks 30 mbar/h of 12 L, some 100 mL: *leaking*; after the
/// edits, which ask nobody, the same leak holds.
#[test]
fn a_volume_in_small_steps() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].limit_ml = Some(60.0)
    });
    day.ready().unwrap();
    day.hold("main", 30.0).unwrap();
    say("before", obstacles(&day.book, &rig));
    for (v, sd) in [
        (12.0, 12.0),
        (6.1, 6.1),
        (3.1, 3.1),
        (1.6, 1.6),
        (1.2, 0.9),
        (1.2, 0.5),
        (1.2, 0.26),
        (1.2, 0.14),
    ] {
        edit(&mut day.book, &rig, |d| {
            d.enclosures[0].volume_l = v;
            d.enclosures[0].volume_sd_l = sd;
        });
    }
    say("losses", &day.book.rig(&rig).unwrap().losses);
    let old = day.book.rig(&rig).unwrap().enclosure("main").unwrap().holds[0]
        .id
        .clone();
    day.book.judge_again(&old).unwrap();
    let again = day.book.hold(&old).unwrap();
    say(
        "judged again",
        again
            .hold
            .concluded
            .as_ref()
            .map(|c| (c.2.verdict, c.2.limit_ml, c.2.volume_m3, c.2.leak_ml)),
    );
    let h = day.hold("main", 30.0).unwrap();
    let again = day.book.hold(&h).unwrap();
    say(
        "new",
        again
            .hold
            .concluded
            .as_ref()
            .map(|c| (c.2.verdict, c.2.limit_ml, c.2.volume_m3, c.2.leak_ml)),
    );
    let facts = day.book.rig(&rig).unwrap();
    // The gauge of a recheck at once shows what the hold ended at.
    let last = *again.readings.last().map(|r| &r.reading.gauge_pa).unwrap();
    day.book
        .record_recheck(&rig, "main", reading(last / 100.0))
        .map_err(|e| say("r", e))
        .ok();
    day.book.plug_on(&rig, "main").map_err(|e| say("p", e)).ok();
    let dp = day.dp.clone();
    day.book.sign_plugs(&rig, dp.as_str()).ok();
    day.book
        .record_recheck(&rig, "monitor", reading(200.0))
        .ok();
    day.book.plug_on(&rig, "monitor").ok();
    day.book.sign_plugs(&rig, dp.as_str()).ok();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(!facts.losses.is_empty());
}

/// The error of a volume lowered by a little under half at a time.
#[test]
fn a_volume_error_in_small_steps() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| d.enclosures[0].volume_sd_l = 3.0);
    day.ready().unwrap();
    for _ in 0..8 {
        edit(&mut day.book, &rig, |d| d.enclosures[0].volume_sd_l *= 0.51);
    }
    say(
        "sd",
        day.book.rig(&rig).unwrap().def.enclosures[0].volume_sd_l,
    );
    let facts = day.book.rig(&rig).unwrap();
    assert!(!facts.losses.is_empty());
}

/// A limit eight times as large by way of the volume.
#[test]
fn a_limit_by_way_of_the_volume() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let was = day.book.rig(&rig).unwrap().def.enclosures[1].clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[1].volume_l = 12.0;
        d.enclosures[1].volume_sd_l = 4.0;
    });
    edit(&mut day.book, &rig, |d| {
        d.enclosures[1].limit_ml = Some(d.enclosures[1].limit())
    });
    for v in [8.1, 4.2] {
        edit(&mut day.book, &rig, |d| d.enclosures[1].volume_l = v);
    }
    for v in [2.1, 1.1, 0.6] {
        edit(&mut day.book, &rig, |d| d.enclosures[1].volume_sd_l = v);
    }
    for v in [3.7, 3.2, 2.7, 2.2, 1.7, 1.4] {
        edit(&mut day.book, &rig, |d| d.enclosures[1].volume_l = v);
    }
    for v in [0.31, 0.16, 0.15] {
        edit(&mut day.book, &rig, |d| d.enclosures[1].volume_sd_l = v);
    }
    let facts = day.book.rig(&rig).unwrap();
    let e = &facts.def.enclosures[1];
    say("limit", (was.limit(), e.limit(), e.volume_l, e.volume_sd_l));
    // A hold that leaks 20 mL by the limit that was.
    let hold = day.hold("monitor", 2.5).unwrap();
    let judged = day.book.hold(&hold).unwrap();
    say(
        "verdict",
        judged
            .hold
            .concluded
            .as_ref()
            .map(|c| (c.2.verdict, c.2.limit_ml)),
    );
    day.recheck().unwrap();
    say("ready", obstacles(&day.book, &rig));
    assert!(!day.book.rig(&rig).unwrap().losses.is_empty());
}

/// Gauge readable with the plug in, said by two edits: valve off, valve on.
#[test]
fn a_valve_off_and_on() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    edit(&mut day.book, &rig, |d| d.enclosures[0].valve = None);
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].valve = Some(Valve {
            name: "v".into(),
            reads_with_plug_on: true,
        });
    });
    let facts = day.book.rig(&rig).unwrap();
    say("losses", &facts.losses);
    // A recheck now, the plug out and left out.
    day.book
        .record_recheck(&rig, "main", reading(200.0))
        .unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(!o.is_empty());
}

/// B knows that the rig is in use and not that it was held; a second signs for what B's page lists; what
/// comes out later rides on that signature.
#[test]
fn a_signature_given_before_the_rest_came_out() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    meet(&mut day.book, &mut b);
    edit(&mut b, &rig, |d| {
        d.controls.retain(|c| c.id != "assist");
        d.enclosures[0].volume_l = 6.0;
        d.enclosures[0].penetrators.push(Penetrator {
            id: "hole".into(),
            name: "Hole".into(),
        });
        d.seals[0].size = "AS568-260".into();
    });
    let loss = b.rig(&rig).unwrap().losses[0].clone();
    say("signed for", &loss.what);
    b.sign_loss(&rig, &loss.event, day.assistant.as_str())
        .unwrap();
    // A had not heard of it, and makes the rig ready.
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    day.recheck().unwrap();
    assert_eq!(obstacles(&day.book, &rig), []);
    meet(&mut day.book, &mut b);
    let facts = day.book.rig(&rig).unwrap();
    say("lost", &facts.losses[0].what);
    say("merged", obstacles(&day.book, &rig));
    for h in day
        .book
        .rig(&rig)
        .unwrap()
        .enclosures
        .iter()
        .map(|e| e.holds[0].id.clone())
        .collect::<Vec<_>>()
    {
        day.book.judge_again(&h).unwrap();
    }
    day.recheck().unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(!o.is_empty());
}

/// A puts in a ring that lay too long, B, who had not heard, says that it is of another material.
#[test]
fn a_ring_too_old_made_of_something_else_unheard() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let (_e, mut b) = second(&mut day);
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    meet(&mut day.book, &mut b);
    day.minutes(1);
    let ring = NewRing {
        cured: "2015-01".into(),
        ..NewRing::default()
    };
    for seal in ["main-port", "main-ring"] {
        let ring = if seal == "main-port" {
            ring.clone()
        } else {
            NewRing::default()
        };
        day.book
            .refit_seal(&rig, seal, Refit::New(ring), None)
            .unwrap();
    }
    say("A sees", obstacles(&day.book, &rig));
    edit(&mut b, &rig, |d| {
        d.seals
            .iter_mut()
            .find(|s| s.id == "main-port")
            .unwrap()
            .material = "FKM".into();
    });
    say("B lost", &b.rig(&rig).unwrap().losses);
    meet(&mut day.book, &mut b);
    let o = obstacles(&day.book, &rig);
    say("losses", &day.book.rig(&rig).unwrap().losses);
    say("after", &o);
    assert!(
        o.iter().any(|o| matches!(
            o,
            Obstacle::SealPastLimit { .. } | Obstacle::LossUnsigned { .. }
        )),
        "{o:?}"
    );
}

/// The same, direct: A tells B first.
#[test]
fn a_ring_too_old_made_of_something_else_heard() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    day.book.open_closure(&rig, "main", Some("port")).unwrap();
    day.minutes(1);
    let ring = NewRing {
        cured: "2015-01".into(),
        ..NewRing::default()
    };
    day.book
        .refit_seal(&rig, "main-port", Refit::New(ring), None)
        .unwrap();
    say("A sees", obstacles(&day.book, &rig));
    edit(&mut day.book, &rig, |d| {
        d.seals
            .iter_mut()
            .find(|s| s.id == "main-port")
            .unwrap()
            .material = "FKM".into();
    });
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(
        o.iter().any(|o| matches!(
            o,
            Obstacle::SealPastLimit { .. } | Obstacle::LossUnsigned { .. }
        )),
        "{o:?}"
    );
}

/// Another lens, by a phone that knew of no use.
#[test]
fn another_lens_by_who_knew_of_no_use() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    day.ready().unwrap();
    b.choose_lens(&rig, "macro").unwrap();
    meet(&mut day.book, &mut b);
    let o = obstacles(&day.book, &rig);
    say("merged", &o);
    // One keeps it.
    let def = day.book.rig(&rig).unwrap().def.clone();
    say("lens", &def.lens);
    day.book.edit_rig(&rig, def).unwrap();
    let o = obstacles(&day.book, &rig);
    say("kept", &o);
    assert!(!o.is_empty());
}

/// Another lens, by a phone that knew of the use, and thinks the housing open.
#[test]
fn another_lens_by_who_thinks_it_open() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    meet(&mut day.book, &mut b);
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    day.recheck().unwrap();
    assert_eq!(obstacles(&day.book, &rig), []);
    b.choose_lens(&rig, "macro").unwrap();
    meet(&mut day.book, &mut b);
    let o = obstacles(&day.book, &rig);
    say("lens", &day.book.rig(&rig).unwrap().def.lens);
    say("merged", &o);
    assert!(!o.is_empty());
}

/// Edits made apart, settled by choosing a lens: nobody looked, and what came off isn't proved anew.
#[test]
fn edits_apart_settled_by_a_lens() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let (_e, mut b) = second(&mut day);
    // B takes the monitor off, and its housing is open on the table; a second signs.
    edit(&mut b, &rig, |d| {
        d.enclosures.retain(|e| e.id != "monitor");
        d.seals.retain(|s| s.enclosure != "monitor");
        d.controls.retain(|c| c.enclosure != "monitor");
    });
    let loss = b.rig(&rig).unwrap().losses[0].clone();
    b.sign_loss(&rig, &loss.event, day.assistant.as_str())
        .unwrap();
    // A, apart, writes a note.
    edit(&mut day.book, &rig, |d| d.note = "hello".into());
    meet(&mut day.book, &mut b);
    say("merged", obstacles(&day.book, &rig));
    day.book.choose_lens(&rig, "macro").unwrap();
    let o = obstacles(&day.book, &rig);
    say("lens chosen", &o);
    assert!(
        o.iter().any(|o| matches!(o, Obstacle::EditedApart)
            || matches!(o, Obstacle::NotClosed { enclosure } if enclosure == "monitor")),
        "{o:?}"
    );
}

/// Water in the monitor is known; then water in the main housing: the flood procedure notes nothing of it.
#[test]
fn a_second_flood_in_another_housing() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let defect = day
        .book
        .open_defect(&rig, "enclosure/monitor", true, true, "water")
        .unwrap();
    day.minutes(5);
    let procs: Vec<String> = day
        .book
        .procedures()
        .unwrap()
        .iter()
        .map(|p| p.id.clone())
        .collect();
    say("procedures", &procs);
    let flood = procs.iter().find(|p| p.contains("flood")).unwrap().clone();
    let prep = day.book.start_prep(&rig, &flood).unwrap();
    day.book
        .end_prep(&prep, "main housing looked wet, in a hurry")
        .unwrap();
    day.book.open_closure(&rig, "monitor", None).unwrap();
    day.minutes(1);
    day.book.close_defect(&rig, &defect, "dried").unwrap();
    day.book
        .service_seal(&rig, "monitor-frame", Finding::Clean, "")
        .unwrap();
    day.book.close_enclosure(&rig, "monitor").unwrap();
    day.book
        .test_control(&rig, "monitor-power", true, "")
        .unwrap();
    day.hold("monitor", 0.0).unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    let facts = day.book.rig(&rig).unwrap();
    say(
        "main opened",
        facts.enclosure("main").unwrap().opened.is_some(),
    );
    // Work it to ready: a turnaround governs.
    let t = procs.iter().find(|p| p.contains("turn")).unwrap().clone();
    let prep = day.book.start_prep(&rig, &t).unwrap();
    let w = day.work(&prep, None);
    say("worked", w.is_ok());
    say("ended", day.book.end_prep(&prep, "").is_ok());
    say("rechecked", day.recheck().is_ok());
    let o = obstacles(&day.book, &rig);
    say("end", &o);
    assert!(!o.is_empty());
}

/// Reverse: what was never there, put on and off while setting up.
#[test]
#[ignore = "known: it wants one signature more than it need"]
fn a_thing_put_on_and_off_while_setting_up() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    day.ready().unwrap();
    edit(&mut b, &rig, |d| {
        let like = d.enclosures[0].closures[0].clone();
        d.enclosures[0].closures.push(Closure {
            id: "x".into(),
            name: "X".into(),
            ..like
        });
    });
    edit(&mut b, &rig, |d| {
        d.enclosures[0].closures.pop();
    });
    meet(&mut day.book, &mut b);
    let o = obstacles(&day.book, &rig);
    say("losses", &day.book.rig(&rig).unwrap().losses);
    say("merged", &o);
    assert!(
        !o.iter().any(|o| matches!(o, Obstacle::LossUnsigned { .. })),
        "asked to sign for a thing that never was: {o:?}"
    );
}

/// Uses other than preps and holds: A services, closes and tests, B deletes unheard, A then begins its build
/// having heard.
#[test]
fn worked_on_but_no_prep() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    day.book
        .service_seal(&rig, "monitor-frame", Finding::Clean, "")
        .unwrap();
    day.book.close_enclosure(&rig, "monitor").unwrap();
    day.book
        .test_control(&rig, "monitor-power", false, "dead")
        .unwrap();
    edit(&mut b, &rig, |d| {
        d.enclosures.retain(|e| e.id != "monitor");
        d.seals.retain(|s| s.enclosure != "monitor");
        d.controls.retain(|c| c.enclosure != "monitor");
    });
    meet(&mut day.book, &mut b);
    say("merged", obstacles(&day.book, &rig).len());
    day.ready().unwrap();
    let o = obstacles(&day.book, &rig);
    say("end", &o);
    assert!(!o.is_empty());
}

/// A dive logged with the housing open by the record: nothing of it stands.
#[test]
fn a_dive_with_a_housing_open() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    day.book.open_closure(&rig, "monitor", None).unwrap();
    day.book
        .service_seal(&rig, "monitor-frame", Finding::Clean, "")
        .unwrap();
    day.minutes(1);
    day.book.log_dive(&rig, 20.0, 60.0, "").unwrap();
    day.minutes(60);
    say("after", obstacles(&day.book, &rig));
    let before = day.book.rig(&rig).unwrap();
    let need = before
        .seals
        .iter()
        .zip(&before.def.seals)
        .map(|(s, d)| {
            (
                d.id.clone(),
                slackwater_core::domain::rules::needs_service(&before, d, s),
            )
        })
        .collect::<Vec<_>>();
    say("needs service", need);
    let id = begin_hold(&mut day.book, &rig, "monitor");
    say("hold", id.is_ok());
    day.book.close_enclosure(&rig, "monitor").unwrap();
    say(
        "closed after dive without service",
        obstacles(&day.book, &rig),
    );
}

/// Three phones: C is not of the crew. What a yes to C changes, against what was told of it.
fn strangers(
    f: impl Fn(&mut Book),
    g: impl Fn(&mut Book),
) -> (tempfile::TempDir, tempfile::TempDir, Day, Book) {
    let (d, mut day) = day();
    let e = tempfile::tempdir().unwrap();
    let mut c = Book::open(e.path(), env(&day.clock, 3)).unwrap();
    tell(&day.book, &mut c);
    c.admit(&[day.book.journal().device()]).unwrap();
    let dp = day.dp.clone();
    c.hold_phone(&dp).unwrap();
    f(&mut c);
    day.minutes(5);
    g(&mut day.book);
    tell(&c, &mut day.book);
    (d, e, day, c)
}

#[test]
fn an_error_of_an_instrument_that_comes_with_a_phone() {
    let (_d, _e, mut day, c) = strangers(
        |c| drop(c.choose(&[("sd_barometer_pa", "300")]).unwrap()),
        |a| drop(a.choose(&[("sd_barometer_pa", "50")]).unwrap()),
    );
    let before = day.book.choices().unwrap();
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = day.book.choices().unwrap();
    say("told", &told.choices);
    say(
        "was, is",
        (before.get("sd_barometer_pa"), after.get("sd_barometer_pa")),
    );
    assert_eq!(before != after, !told.choices.is_empty());
}

#[test]
fn a_gauge_that_comes_with_a_phone() {
    use slackwater_core::domain::facts::Gauge;
    let gauge = |pa: f64| Gauge {
        name: "Hand gauge".into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: pa,
        accuracy_pa: Some(pa),
        checked: String::new(),
        retired: false,
    };
    let (_d, mut day) = day();
    let id = day.book.define_gauge(None, gauge(100.0)).unwrap();
    let e = tempfile::tempdir().unwrap();
    let mut c = Book::open(e.path(), env(&day.clock, 3)).unwrap();
    tell(&day.book, &mut c);
    c.admit(&[day.book.journal().device()]).unwrap();
    c.hold_phone(&day.dp).unwrap();
    c.define_gauge(Some(&id), gauge(1000.0)).unwrap();
    day.minutes(5);
    day.book.define_gauge(Some(&id), gauge(10.0)).unwrap();
    tell(&c, &mut day.book);
    let before = day.book.gauges().unwrap();
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = day.book.gauges().unwrap();
    say("told", &told.gauges);
    say(
        "was, is",
        (before[0].1.resolution_pa, after[0].1.resolution_pa),
    );
    assert_eq!(before != after, !told.gauges.is_empty());
}

/// Seen: comparisons that a yes brings along were not told before it.
#[test]
fn a_comparison_of_gauges_that_comes_with_a_phone() {
    use slackwater_core::domain::facts::Gauge;
    let gauge = |name: &str| Gauge {
        name: name.into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: 100.0,
        accuracy_pa: None,
        checked: String::new(),
        retired: false,
    };
    let (_d, mut day) = day();
    let one = day.book.define_gauge(None, gauge("one")).unwrap();
    let two = day.book.define_gauge(None, gauge("two")).unwrap();
    let e = tempfile::tempdir().unwrap();
    let mut c = Book::open(e.path(), env(&day.clock, 3)).unwrap();
    tell(&day.book, &mut c);
    c.admit(&[day.book.journal().device()]).unwrap();
    c.hold_phone(&day.dp).unwrap();
    c.compare_gauges(&one, &two, 20_000.0, 12_000.0).unwrap();
    tell(&c, &mut day.book);
    let before = day.book.comparison(&one).unwrap();
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = day.book.comparison(&one).unwrap();
    say("told", &told);
    say("was, is", (&before, &after));
    assert_eq!((before, after.is_some()), (None, true));
    assert_eq!(told.compared, ["one"]);
    assert_eq!(told.gauges, []);
}

/// Whose phone it is, and that it signs as its member's own.
#[test]
fn whose_phone_it_is_comes_with_it() {
    let (_d, _e, mut day, c) = strangers(|c| drop(c.own_phone().unwrap()), |_| ());
    let rig = day.book.rig(&day.rig).unwrap();
    say(
        "owner before",
        rig.crew
            .phone_of(&slackwater_core::journal::Stamp::new(
                Default::default(),
                c.journal().device(),
                0,
            ))
            .map(str::to_owned),
    );
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    say("told", &told);
    day.book.admit(&[c.journal().device()]).unwrap();
    let rig = day.book.rig(&day.rig).unwrap();
    let after = rig
        .crew
        .phone_of(&slackwater_core::journal::Stamp::new(
            Default::default(),
            c.journal().device(),
            0,
        ))
        .map(str::to_owned);
    say("owner after", &after);
}

/// Seen: what a yes makes of a member was not told before it.
#[test]
fn a_role_and_alone_come_with_a_phone() {
    let (_d, _e, mut day, c) = strangers(
        |c| {
            let me = c.me().to_owned();
            c.change_member(&me, "Ilse", slackwater_core::domain::facts::Role::Assistant)
                .unwrap();
        },
        |_| (),
    );
    let before = day.book.members().unwrap();
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = day.book.members().unwrap();
    say("told", &told);
    assert_ne!(before, after);
    use slackwater_core::domain::facts::Role;
    let now = [("Ilse".to_owned(), Role::Dp, Role::Assistant)];
    assert_eq!(told.roles, now, "{before:?} {after:?}");
    assert_eq!(told.members, []);
}

/// Told of an instrument's error, and doesn't come.
#[test]
fn an_error_that_is_told_and_does_not_come() {
    let (_d, mut day) = day();
    day.book.choose(&[("sd_barometer_pa", "300")]).unwrap();
    let e = tempfile::tempdir().unwrap();
    let mut c = Book::open(e.path(), env(&day.clock, 3)).unwrap();
    tell(&day.book, &mut c);
    day.minutes(5);
    let dev = day.book.journal().device();
    c.admit(&[dev]).ok();
    day.book.choose(&[("sd_barometer_pa", "310")]).unwrap();
    day.minutes(5);
    c.hold_phone(&day.dp).unwrap();
    c.choose(&[("sd_barometer_pa", "50")]).unwrap();
    tell(&c, &mut day.book);
    let before = day.book.choices().unwrap();
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = day.book.choices().unwrap();
    say("told", &told.choices);
    say(
        "was, is",
        (before.get("sd_barometer_pa"), after.get("sd_barometer_pa")),
    );
    assert_eq!(before != after, !told.choices.is_empty());
}

/// A says that the barometer is bad, B apart takes back what was said before: nothing is known, which is better
/// than bad.
#[test]
fn a_bad_instrument_and_one_taken_back_apart() {
    let (_d, mut day) = day();
    day.book
        .choose(&[("sd_barometer_pa", "500"), ("sd_inside_k", "0.5")])
        .unwrap();
    let (_e, mut b) = second(&mut day);
    day.book
        .choose(&[("sd_barometer_pa", "2000"), ("sd_inside_k", "4")])
        .unwrap();
    day.minutes(1);
    b.choose(&[("sd_barometer_pa", ""), ("sd_inside_k", "")])
        .unwrap();
    meet(&mut day.book, &mut b);
    let (k, pa) = day.book.measured_errors("inside").unwrap();
    say("errors", (k, pa));
    assert_eq!((k, pa), (Some(4.0), Some(2000.0)));
}

/// A takes a gauge out of use, B apart renames it later by the clock: in use.
#[test]
fn a_gauge_out_of_use_and_renamed_apart() {
    use slackwater_core::domain::facts::Gauge;
    let gauge = |name: &str, retired: bool, acc: Option<f64>| Gauge {
        name: name.into(),
        absolute: false,
        unit: "mbar".into(),
        resolution_pa: 100.0,
        accuracy_pa: acc,
        checked: String::new(),
        retired,
    };
    let (_d, mut day) = day();
    let id = day
        .book
        .define_gauge(None, gauge("one", false, Some(100.0)))
        .unwrap();
    let (_e, mut b) = second(&mut day);
    day.book
        .define_gauge(Some(&id), gauge("one", true, Some(5000.0)))
        .unwrap();
    day.minutes(1);
    b.define_gauge(Some(&id), gauge("uno", false, None))
        .unwrap();
    meet(&mut day.book, &mut b);
    say("gauges", day.book.gauges().unwrap());
    assert!(day.book.gauges().unwrap().is_empty());
}

/// A second flood, on the rig as a whole, begun while an earlier water defect stands here and was closed elsewhere:
/// whoever closed it had not heard of the second.
#[test]
fn a_second_flood_while_the_first_is_closed_elsewhere() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let defect = day.book.open_defect(&rig, "", true, true, "water").unwrap();
    let (_e, mut b) = second(&mut day);
    day.minutes(5);
    // B opens both, dries them, puts all in order and proves it.
    for e in ["main", "monitor"] {
        b.open_closure(&rig, e, None).unwrap();
    }
    b.close_defect(&rig, &defect, "dried").unwrap();
    day.minutes(5);
    let prep = b.start_prep(&rig, "general-build").unwrap();
    std::mem::swap(&mut day.book, &mut b);
    std::mem::swap(&mut day.assistant, &mut day.dp);
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    day.recheck().unwrap();
    say("B sees", obstacles(&day.book, &rig));
    // A, who heard nothing of that, begins the flood procedure: it surfaced with water in it.
    b.start_prep(&rig, "flood").unwrap();
    say("A sees", obstacles(&b, &rig).len());
    meet(&mut b, &mut day.book);
    say("merged", obstacles(&day.book, &rig));
    day.minutes(5);
    day.recheck().unwrap();
    let o = obstacles(&day.book, &rig);
    say("rechecked", &o);
    say("defects", day.book.rig(&rig).unwrap().defects.len());
    assert!(!o.is_empty());
}

/// The rig was dived by A without a prep; B, who knows of nothing, takes the limit by dives off.
#[test]
fn a_limit_by_dives_taken_off_unheard_of_dives() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        let s = d
            .seals
            .iter_mut()
            .find(|s| s.id == "main-port-base")
            .unwrap();
        s.limits.hard_dives = Some(2);
        s.limits.soft_dives = Some(1);
    });
    let (_e, mut b) = second(&mut day);
    day.book
        .fit_seal(
            &rig,
            "main-port-base",
            "",
            "",
            Some(slackwater_checks::drive::MORNING_MS - 86_400_000),
        )
        .unwrap();
    for _ in 0..3 {
        day.minutes(60);
        day.book.log_dive(&rig, 10.0, 30.0, "").unwrap();
    }
    let past = |b: &Book| {
        obstacles(b, &rig)
            .into_iter()
            .any(|o| matches!(o, Obstacle::SealPastLimit { .. }))
    };
    say("past", past(&day.book));
    edit(&mut b, &rig, |d| {
        let s = d
            .seals
            .iter_mut()
            .find(|s| s.id == "main-port-base")
            .unwrap();
        s.limits.hard_dives = None;
        s.limits.soft_dives = None;
    });
    meet(&mut day.book, &mut b);
    say("past", past(&day.book));
    say("losses", &day.book.rig(&rig).unwrap().losses);
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    // Only what is disturbed is serviced; the ring stays.
    let w = day.work(&prep, None);
    say("worked", w.is_ok());
    say("ended", day.book.end_prep(&prep, "").is_ok());
    day.recheck().unwrap();
    let o = obstacles(&day.book, &rig);
    say("end", &o);
    assert!(!o.is_empty());
}

/// A lens by an unknowing phone, then any edit by it once it knows: nobody is asked anything.
#[test]
fn another_lens_then_a_note() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    day.ready().unwrap();
    b.choose_lens(&rig, "macro").unwrap();
    tell(&day.book, &mut b);
    edit(&mut b, &rig, |d| d.note = "x".into());
    tell(&b, &mut day.book);
    let o = obstacles(&day.book, &rig);
    say("merged", &o);
    assert!(!o.is_empty());
}

/// A plan typed wrong, judged again, and put right: the hold that proved the rig proves it no more.
#[test]
fn a_plan_typed_wrong_and_put_right() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let was = day.book.rig(&rig).unwrap().def.plan;
    for (depth, minutes) in [(59.0, 600.0), (was.depth_m, was.minutes)] {
        edit(&mut day.book, &rig, |d| {
            d.plan.depth_m = depth;
            d.plan.minutes = minutes;
        });
        say("planned", obstacles(&day.book, &rig));
        for e in 0..2 {
            let h = day.book.rig(&rig).unwrap().enclosures[e].holds[0]
                .id
                .clone();
            day.book.judge_again(&h).unwrap();
            let c = day.book.hold(&h).unwrap().hold.concluded.clone().unwrap().2;
            say("verdict", (c.verdict, c.depth_m));
        }
    }
    say("rechecked", day.recheck().is_ok());
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert_eq!(o, []);
}

/// C, not of this crew's yet, has dismissed B. What a yes to C does to B.
#[test]
fn a_dismissal_that_comes_with_a_phone() {
    let (_d, mut day) = day();
    let (_e, mut b) = second(&mut day);
    let e = tempfile::tempdir().unwrap();
    let mut c = Book::open(e.path(), env(&day.clock, 3)).unwrap();
    meet(&mut day.book, &mut b);
    tell(&day.book, &mut c);
    tell(&b, &mut c);
    c.admit(&[day.book.journal().device(), b.journal().device()])
        .unwrap();
    c.hold_phone(&day.dp).unwrap();
    c.dismiss(&[b.journal().device()]).unwrap();
    tell(&c, &mut day.book);
    let list = |x: &Book| format!("{:?}", x.phone(&b.journal().device()).unwrap());
    let before = list(&day.book);
    let told = day.book.if_admitted(&[c.journal().device()]).unwrap();
    day.book.admit(&[c.journal().device()]).unwrap();
    let after = list(&day.book);
    say("told", &told);
    say("before", &before);
    say("after", &after);
    // Does what B writes from now on count?
    b.add_member("Third", slackwater_core::domain::facts::Role::Assistant)
        .unwrap();
    tell(&b, &mut day.book);
    let n = day.book.members().unwrap().len();
    say("members", n);
    assert!(n == 3 || told.phones_lost == 1, "{told:?}");
}

/// The valve's two edits through the page's own form.
#[test]
fn a_valve_off_and_on_unheard() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    day.ready().unwrap();
    // The plug of the main housing is out, and known to be.
    edit(&mut b, &rig, |d| d.enclosures[0].valve = None);
    edit(&mut b, &rig, |d| {
        d.enclosures[0].valve = Some(Valve {
            name: "v".into(),
            reads_with_plug_on: true,
        })
    });
    meet(&mut day.book, &mut b);
    say("merged", obstacles(&day.book, &rig));
    let def = day.book.rig(&rig).unwrap().def.clone();
    day.book.edit_rig(&rig, def).unwrap();
    day.book
        .record_recheck(&rig, "main", reading(200.0))
        .unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(!o.is_empty());
}

/// A lens taken off the list and put on again as opening something else; choosing the other one then opens that.
#[test]
fn a_lens_off_and_on() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let lens = day
        .book
        .rig(&rig)
        .unwrap()
        .def
        .lenses
        .iter()
        .find(|l| l.id == "macro")
        .unwrap()
        .clone();
    edit(&mut day.book, &rig, |d| {
        d.lenses.retain(|l| l.id != "macro");
        d.parts.retain(|p| p.lenses != ["macro"]);
    });
    edit(&mut day.book, &rig, |d| {
        let mut lens = lens.clone();
        (lens.enclosure, lens.closure) = ("monitor".into(), "frame".into());
        d.lenses.push(lens);
    });
    say("losses", &day.book.rig(&rig).unwrap().losses);
    day.book.choose_lens(&rig, "macro").unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(
        o.iter().any(
            |o| matches!(o, Obstacle::NotClosed { enclosure } if enclosure == "main")
                || matches!(o, Obstacle::LossUnsigned { .. })
        ),
        "{o:?}"
    );
}

/// Signed for twice over by one who made neither, unheard and apart; and by an edit that nobody is named for.
#[test]
fn deletions_by_who_knew_of_some() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    let (_e, mut b) = second(&mut day);
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    meet(&mut day.book, &mut b);
    day.work(&prep, None).unwrap();
    day.book.end_prep(&prep, "").unwrap();
    day.recheck().unwrap();
    for n in 0..6 {
        edit(&mut b, &rig, |d| match n {
            0 => {
                let like = d.enclosures[0].closures[0].clone();
                d.enclosures[0].closures.push(Closure {
                    id: "x".into(),
                    name: "X".into(),
                    ..like
                })
            }
            1 => d.enclosures[0].penetrators.clear(),
            2 => d.enclosures[0].depth_rating_m = 90.0,
            3 => d.enclosures[0].limit_ml = Some(500.0),
            4 => d.seals[0].limits.hard_days = None,
            _ => d.seals[1].closure = Some("back".into()),
        });
    }
    meet(&mut day.book, &mut b);
    let o = obstacles(&day.book, &rig);
    say("merged", &o);
    let unsigned = o
        .iter()
        .filter(|o| matches!(o, Obstacle::LossUnsigned { .. }))
        .count();
    assert_eq!(unsigned, 6);
}

/// The database emptied or gone, and what the witness and the log beside it do: told, and no second history
/// under one key.
#[test]
fn a_database_emptied() {
    use std::fs;
    let mut bad = Vec::new();
    for case in 0..6 {
        let (dir, mut day) = day();
        let rig = day.rig.clone();
        day.book.close_enclosure(&rig, "monitor").ok();
        let (_e, b) = second(&mut day);
        day.book.open_defect(&rig, "", true, true, "water").unwrap();
        let device = day.book.journal().device();
        let clock = day.clock.clone();
        // Gone as the power goes: the log beside it stays.
        let kept = tempfile::tempdir().unwrap();
        for f in fs::read_dir(dir.path()).unwrap() {
            let f = f.unwrap();
            if f.file_type().unwrap().is_file() {
                fs::copy(f.path(), kept.path().join(f.file_name())).unwrap();
            }
        }
        drop(day);
        let p = kept.path();
        let db = p.join("slackwater.db");
        let wal = p.join("slackwater.db-wal");
        let shm = p.join("slackwater.db-shm");
        let head = p.join("slackwater.head");
        if case == 0 {
            let names: Vec<_> = fs::read_dir(p)
                .unwrap()
                .map(|f| {
                    let f = f.unwrap();
                    (f.file_name(), f.metadata().unwrap().len())
                })
                .collect();
            say("files", names);
        }
        fs::write(&db, b"").unwrap();
        let what = match case {
            0 => {
                fs::remove_file(&wal).ok();
                fs::remove_file(&shm).ok();
                "emptied, no log"
            }
            1 => {
                fs::remove_file(&shm).ok();
                "emptied, log there"
            }
            2 => {
                fs::remove_file(&wal).ok();
                fs::remove_file(&shm).ok();
                fs::write(&head, b"").unwrap();
                "emptied, no log, head emptied"
            }
            3 => {
                fs::remove_file(&shm).ok();
                fs::write(&head, b"").unwrap();
                "emptied, log there, head emptied"
            }
            4 => continue,
            _ => {
                fs::remove_file(&wal).ok();
                fs::remove_file(&shm).ok();
                fs::remove_file(&head).unwrap();
                fs::create_dir(&head).unwrap();
                "emptied, head can't be read"
            }
        };
        match Book::open(p, env(&clock, 77)) {
            Ok(mut book) => {
                let same = book.journal().device() == device;
                let told = book.opening.set_aside.is_some()
                    || book.opening.lost.is_some()
                    || book.opening.other_key;
                let mut forked = false;
                if book.rigs().unwrap().is_empty() {
                    book.add_member("New", slackwater_core::domain::facts::Role::Dp)
                        .unwrap();
                    forked = book.journal().device() == device;
                    let _ = &b;
                }
                say(
                    what,
                    (
                        same,
                        told,
                        book.rigs().unwrap().len(),
                        forked,
                        &book.opening,
                    ),
                );
                let names: Vec<_> = fs::read_dir(p)
                    .unwrap()
                    .map(|f| {
                        let f = f.unwrap();
                        (f.file_name(), f.metadata().unwrap().len())
                    })
                    .collect();
                say("left", names);
                if !told || forked {
                    bad.push(what);
                }
            }
            Err(e) => say(what, e),
        }
    }
    assert!(bad.is_empty(), "{bad:?}");
}

/// A dive logged with the plug known to be out: asked about?
#[test]
fn a_dive_with_the_plug_out() {
    use slackwater_core::screens::Action;
    use slackwater_core::screens::common::{FieldValue, Place};
    use slackwater_core::screens::desk::Desk;
    use slackwater_core::screens::rig::RigAction;
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    day.minutes(5);
    day.book.plug_off(&rig, "main").unwrap();
    let Day {
        book,
        clock,
        dp,
        assistant,
        alone,
        ..
    } = day;
    let mut desk = Desk::new(book, 0);
    let place = Place::Rig {
        rig: rig.clone(),
        form: Some("dive".into()),
    };
    let v = |key: &str, value: &str| FieldValue {
        key: key.into(),
        value: value.into(),
    };
    let action = RigAction::Submit {
        form: "dive".into(),
        values: vec![v("depth", "15"), v("minutes", "40"), v("salt", "yes")],
    };
    let out = desk.act(&place, Action::Rig { action }).unwrap();
    say("dive", &out);
    let asked = !out.faults.is_empty();
    drop(desk);
    let book = Book::open(_d.path(), env(&clock, 1)).unwrap();
    let mut day = Day {
        book,
        clock,
        assistant,
        dp,
        rig: rig.clone(),
        alone,
    };
    day.minutes(60);
    day.recheck().unwrap();
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(asked || !o.is_empty());
}

/// The rating raised by B, unheard by A, whose dive then was below the one that A knew.
#[test]
fn a_rating_raised_unheard_of_by_who_dived() {
    for first in [true, false] {
        let (_d, mut day) = day();
        let rig = day.rig.clone();
        day.ready().unwrap();
        let (_e, mut b) = second(&mut day);
        day.minutes(5);
        let raise = |b: &mut Book| {
            edit(b, &rig, |d| {
                d.enclosures
                    .iter_mut()
                    .for_each(|e| e.depth_rating_m = 100.0)
            });
            let loss = b.rig(&rig).unwrap().losses[0].event.clone();
            b.sign_loss(&rig, &loss, day.assistant.as_str()).unwrap();
        };
        if first {
            raise(&mut b);
            day.minutes(5);
        }
        day.book.log_dive(&rig, 75.0, 30.0, "").unwrap();
        let deep = |b: &Book| {
            obstacles(b, &rig)
                .iter()
                .filter(|o| matches!(o, Obstacle::WasTooDeep { .. }))
                .count()
        };
        say("A sees", deep(&day.book));
        day.minutes(5);
        if !first {
            raise(&mut b);
        }
        meet(&mut day.book, &mut b);
        say("merged", obstacles(&day.book, &rig));
        assert_eq!(deep(&day.book), 2, "raised first by the clock: {first}");
    }
}

/// The figures of a page beside the verdict that is on record, after the volume's error grew. Seen: the page
/// reckoned with the error of the set-up, and told half of what the record leaves possible.
#[test]
fn a_page_beside_its_verdict() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].limit_ml = Some(60.0);
        d.enclosures[0].volume_sd_l = 0.3;
    });
    day.ready().unwrap();
    let h = day.hold("main", 12.0).unwrap();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].volume_l = 12.1;
        d.enclosures[0].volume_sd_l = 4.0;
    });
    day.book.judge_again(&h).unwrap();
    let on_record = day.book.hold(&h).unwrap().hold.concluded.clone().unwrap().2;
    let page = day.book.hold_as_concluded(&h).unwrap();
    let j = page.judgement.as_ref().unwrap();
    say(
        "record",
        (
            on_record.verdict,
            on_record.leak_ml,
            on_record.at_most_ml,
            on_record.volume_m3,
        ),
    );
    say("page", (j.verdict, j.leak_ml, j.at_most_ml));
    let near = |a: f64, b: f64| (a - b).abs() < 0.02 * a.abs().max(1.0);
    assert!(on_record.at_most_ml.is_none_or(|a| near(a, j.at_most_ml)));
}

/// What a page says of it.
#[test]
fn what_the_page_says() {
    use slackwater_core::screens::common::Place;
    use slackwater_core::screens::desk::Desk;
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].limit_ml = Some(60.0);
        d.enclosures[0].volume_sd_l = 0.3;
    });
    day.ready().unwrap();
    let h = day.hold("main", 12.0).unwrap();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].volume_l = 12.1;
        d.enclosures[0].volume_sd_l = 4.0;
    });
    day.book.judge_again(&h).unwrap();
    let desk = Desk::new(day.book, 0);
    let screen = desk
        .show(&Place::Hold {
            hold: h.clone(),
            form: None,
        })
        .unwrap();
    if let slackwater_core::screens::Screen::Hold { screen } = screen {
        let text = format!("{screen:?}");
        say("page", &text[..text.len().min(2500)]);
    }
    let screen = desk
        .show(&Place::Rig {
            rig: rig.clone(),
            form: None,
        })
        .unwrap();
    if let slackwater_core::screens::Screen::Rig { screen } = screen {
        let text = format!("{:?}", screen.obstacles);
        say("rig", &text[..text.len().min(1200)]);
    }
}

fn copied(from: &std::path::Path) -> tempfile::TempDir {
    let to = tempfile::tempdir().unwrap();
    for f in std::fs::read_dir(from).unwrap() {
        let f = f.unwrap();
        if f.file_type().unwrap().is_file() && f.file_name() != "slackwater.lock" {
            std::fs::copy(f.path(), to.path().join(f.file_name())).unwrap();
        }
    }
    to
}

type Change = (&'static str, fn(&mut RigDef));

const CHANGES: &[Change] = &[
    ("name", |d| d.name = "Other".into()),
    ("seal off", |d| {
        d.seals.remove(1);
    }),
    ("monitor off", |d| {
        d.enclosures.retain(|e| e.id != "monitor");
        d.seals.retain(|s| s.enclosure != "monitor");
        d.controls.retain(|c| c.enclosure != "monitor");
    }),
    ("control off", |d| d.controls.retain(|c| c.id != "iso")),
    ("control unassigned", |d| {
        let c = &mut d.controls[1];
        c.function = String::new();
        c.record_trigger = false;
    }),
    ("closure off", |d| {
        d.seals
            .iter_mut()
            .filter(|s| s.closure.as_deref() == Some("port-base"))
            .for_each(|s| s.closure = None);
        d.enclosures[0].closures.retain(|c| c.id != "port-base");
    }),
    ("closure on", |d| {
        let like = d.enclosures[0].closures[0].clone();
        if d.enclosures[0].closures.iter().all(|c| c.id != "x") {
            d.enclosures[0].closures.push(Closure {
                id: "x".into(),
                name: "X".into(),
                ..like
            })
        }
    }),
    ("penetrator off", |d| d.enclosures[0].penetrators.clear()),
    ("penetrator on", |d| {
        if d.enclosures[0].penetrators.iter().all(|p| p.id != "hole") {
            d.enclosures[0].penetrators.push(Penetrator {
                id: "hole".into(),
                name: "H".into(),
            })
        }
    }),
    ("volume less", |d| d.enclosures[0].volume_l = 9.0),
    ("volume little less", |d| {
        d.enclosures[0].volume_l -= 0.9 * d.enclosures[0].volume_sd_l
    }),
    ("volume more", |d| d.enclosures[0].volume_l = 14.0),
    ("sd less", |d| d.enclosures[0].volume_sd_l = 0.3),
    ("sd more", |d| d.enclosures[0].volume_sd_l = 4.0),
    ("rating up", |d| d.enclosures[0].depth_rating_m = 90.0),
    ("rating down", |d| d.enclosures[0].depth_rating_m = 40.0),
    ("limit up", |d| d.enclosures[0].limit_ml = Some(200.0)),
    ("limit down", |d| d.enclosures[0].limit_ml = Some(30.0)),
    ("limit none", |d| d.enclosures[0].limit_ml = None),
    ("valve off", |d| d.enclosures[0].valve = None),
    ("valve on", |d| {
        if d.enclosures[0].valve.is_none() {
            d.enclosures[0].valve = Some(Valve {
                name: "v".into(),
                reads_with_plug_on: false,
            })
        }
    }),
    ("valve plugged", |d| {
        d.enclosures[0].valve = Some(Valve {
            name: "v".into(),
            reads_with_plug_on: true,
        })
    }),
    ("days up", |d| d.seals[0].limits.hard_days = Some(4000)),
    ("days off", |d| d.seals[0].limits.hard_days = None),
    ("openings off", |d| d.seals[0].limits.hard_openings = None),
    ("other ring", |d| d.seals[0].size = "AS568-260".into()),
    ("other material", |d| d.seals[0].material = "FKM".into()),
    ("material unsaid", |d| d.seals[0].material = String::new()),
    ("seal elsewhere", |d| {
        d.seals[0].closure = Some("port".into())
    }),
    ("seal free", |d| d.seals[0].closure = None),
    ("lens", |d| d.lens = Some("macro".into())),
    ("lens elsewhere", |d| {
        d.lenses[1].closure = "back".into();
    }),
    ("plan deeper", |d| d.plan.depth_m = 25.0),
    ("plan shallower", |d| d.plan.depth_m = 10.0),
];

fn kinds(book: &Book, rig: &str) -> std::collections::BTreeSet<String> {
    obstacles(book, rig)
        .iter()
        .map(|o| {
            let text = format!("{o:?}");
            text.split([' ', '{', '(']).next().unwrap().to_owned()
        })
        .collect()
}

/// Whatever two edits by B, knowing of nothing, of some or of all that A did: asked for is no less than had A made
/// them itself, and ready no sooner; and nothing more but that edits were made apart.
#[test]
#[ignore = "minutes"]
fn the_same_edits_apart_and_alone() {
    let (da, mut day) = day();
    let rig = day.rig.clone();
    let (db, mut b) = second(&mut day);
    let mut levels = vec![("nothing".to_owned(), copied(db.path()))];
    let prep = day.book.start_prep(&rig, "general-build").unwrap();
    let mut n = 0;
    loop {
        if n % 12 == 0 {
            tell(&day.book, &mut b);
            levels.push((format!("{n} steps"), copied(db.path())));
        }
        if day.work_one(&prep).unwrap() == 0 {
            break;
        }
        n += 1;
    }
    day.book.end_prep(&prep, "").unwrap();
    tell(&day.book, &mut b);
    levels.push(("all but the recheck".into(), copied(db.path())));
    day.recheck().unwrap();
    let a = copied(da.path());
    let clock = day.clock.clone();
    say("levels", levels.iter().map(|l| &l.0).collect::<Vec<_>>());
    let began = std::time::Instant::now();
    let mut found = std::collections::BTreeMap::new();
    let mut seed: u64 = 7;
    let mut next = |n: usize| {
        seed = seed
            .wrapping_mul(6364136223846793005)
            .wrapping_add(1442695040888963407);
        (seed >> 33) as usize % n
    };
    let mut pairs: Vec<Vec<usize>> = (0..CHANGES.len()).map(|i| vec![i]).collect();
    for _ in 0..120 {
        pairs.push(vec![next(CHANGES.len()), next(CHANGES.len())]);
    }
    let mut tried = 0;
    for pair in &pairs {
        if began.elapsed().as_secs() > 420 {
            break;
        }
        let name: Vec<&str> = pair.iter().map(|i| CHANGES[*i].0).collect();
        let name = name.join(" + ");
        let apply = |book: &mut Book| -> bool {
            pair.iter().all(|i| {
                let mut def = book.rig(&rig).unwrap().def.clone();
                CHANGES[*i].1(&mut def);
                book.edit_rig(&rig, def).is_ok()
            })
        };
        let alone_at = copied(a.path());
        let mut alone = Book::open(alone_at.path(), env(&clock, 1)).unwrap();
        if !apply(&mut alone) {
            continue;
        }
        let want = kinds(&alone, &rig);
        let which = if pair.len() == 1 {
            (0..levels.len()).collect::<Vec<_>>()
        } else {
            vec![0, next(levels.len())]
        };
        for l in which {
            tried += 1;
            let (aa, bb) = (copied(a.path()), copied(levels[l].1.path()));
            let mut book = Book::open(aa.path(), env(&clock, 1)).unwrap();
            let mut b = Book::open(bb.path(), env(&clock, 2)).unwrap();
            if !apply(&mut b) {
                continue;
            }
            meet(&mut book, &mut b);
            let mut got = kinds(&book, &rig);
            let asked = got.remove("EditedApart");
            let missing: Vec<_> = want.difference(&got).cloned().collect();
            let more: Vec<_> = got.difference(&want).cloned().collect();
            if !missing.is_empty() || !more.is_empty() {
                found
                    .entry(format!(
                        "{name}: missing {missing:?} more {more:?} asked {asked}"
                    ))
                    .or_insert_with(Vec::new)
                    .push(levels[l].0.clone());
            }
        }
        if want.is_empty() && pair.len() == 1 {
            say("alone ready after", &name);
        }
    }
    say("tried", tried);
    for (what, levels) in &found {
        println!("ENEMY FOUND {what}   @ {levels:?}");
    }
}

/// As above with a leak of 30 mL: the wrong plan makes it *leaking*, and the right one does not take that back.
#[test]
fn a_plan_typed_wrong_makes_it_leak() {
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    edit(&mut day.book, &rig, |d| {
        d.enclosures[0].limit_ml = Some(60.0);
        d.enclosures[0].volume_sd_l = 0.3;
    });
    day.ready().unwrap();
    let h = day.hold("main", 12.0).unwrap();
    let was = day.book.rig(&rig).unwrap().def.plan;
    for minutes in [600.0, was.minutes] {
        edit(&mut day.book, &rig, |d| d.plan.minutes = minutes);
        day.book.judge_again(&h).unwrap();
        let c = day.book.hold(&h).unwrap().hold.concluded.clone().unwrap().2;
        say("verdict", (c.verdict, c.minutes, c.leak_ml));
    }
    let o = obstacles(&day.book, &rig);
    say("after", &o);
    assert!(
        !o.iter().any(|o| matches!(o, Obstacle::NoHold { .. })),
        "{o:?}"
    );
}

/// The two edits of the valve as the page sends them.
#[test]
fn a_valve_off_and_on_by_its_form() {
    use slackwater_core::screens::common::{FieldValue, Place};
    use slackwater_core::screens::desk::Desk;
    use slackwater_core::screens::rig_edit::RigEditAction;
    use slackwater_core::screens::{Action, Screen};
    let (_d, mut day) = day();
    let rig = day.rig.clone();
    day.ready().unwrap();
    let mut desk = Desk::new(day.book, 0);
    let place = Place::RigEdit {
        rig: rig.clone(),
        part: Some("enclosure/main".into()),
    };
    for (valve, plugged) in [("no", "no"), ("yes", "yes")] {
        let form = match desk.show(&place).unwrap() {
            Screen::RigEdit { screen } => screen.form.unwrap(),
            other => panic!("{other:?}"),
        };
        let values = form
            .fields
            .iter()
            .map(|f| FieldValue {
                key: f.key.clone(),
                value: match f.key.as_str() {
                    "valve" => valve.into(),
                    "reads_with_plug_on" => plugged.into(),
                    _ => f.value.clone(),
                },
            })
            .collect();
        let out = desk
            .act(
                &place,
                Action::RigEdit {
                    action: RigEditAction::Submit {
                        form: form.key,
                        values,
                    },
                },
            )
            .unwrap();
        say("sent", (&out.faults, &out.said));
    }
    let book = desk.book_mut();
    book.record_recheck(&rig, "main", reading(200.0)).unwrap();
    let o = obstacles(book, &rig);
    say("after", &o);
    assert!(!o.is_empty());
}
