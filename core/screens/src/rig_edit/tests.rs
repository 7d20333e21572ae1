//! What stands in a form, sent back as it stands, changes nothing, whatever the units and the language.

use super::kind::{Kind, Of};
use super::path::EditAt;
use super::{RigEditAction, change, drawn, weigh};
use crate::Action;
use crate::common::{Field, FieldValue};
use crate::cx::Typed;
use crate::desk::Desk;
use slackwater_domain::book::Book;
use slackwater_domain::demo;
use slackwater_domain::rig::{
    BoxWeight, Cable, Closure, ClosureKind, FastenerPattern, Foam, Part, PatternShape, Penetrator,
    RigDef, SealGland, SealGlandKind, StripItem, Weighed, templates,
};
use slackwater_journal::{Env, FixedClock, SeededEntropy};
use slackwater_physics::oring::GreaseBase;
use std::sync::Arc;

/// A rig with something of each kind and each way to be, in figures that no field shows whole.
fn awkward() -> RigDef {
    let mut def = templates()[0].rig.clone();
    let third = 1.0 / 3.0;
    def.name = "Awkward rig".into();
    def.note = "Two lines\nof a note".into();
    let main = &mut def.enclosures[0];
    main.volume_l += third * 1e-6;
    main.volume_sd_l += third * 1e-7;
    main.depth_rating_m = 200.0 * third;
    main.limit_ml = Some(50.0 * third);
    let screws = |id: &str, shape, torque_nm| Closure {
        id: id.into(),
        name: format!("Plate {id}"),
        kind: ClosureKind::Screws,
        fasteners: Some(FastenerPattern {
            count: 8,
            shape,
            torque_nm,
        }),
    };
    main.closures.extend([
        screws("plate", PatternShape::Frame, Some(4.0 * third)),
        screws("lid", PatternShape::Circle, None),
    ]);
    main.penetrators.push(Penetrator {
        id: "spare".into(),
        name: "Spare".into(),
    });
    let seals = &mut def.seals;
    seals[0].material = "nitrile".into();
    seals[0].grease = Some(GreaseBase::Perfluoropolyether);
    seals[0].gland = Some(SealGland {
        kind: SealGlandKind::Radial,
        seat_mm: 160.0 + third,
        depth_mm: 2.7 + third * 1e-6,
        width_mm: 4.0 + third,
        tol_mm: 0.05 * third,
    });
    seals[1].closure = None;
    seals[1].limits.soft_dives = Some(7);
    def.cables.push(Cable {
        id: "cable".into(),
        name: "Cable".into(),
        from: "camera".into(),
        to: String::new(),
    });
    def.strip_list.push(StripItem {
        id: "cap".into(),
        name: "Cap".into(),
    });
    let mut lens = def.lenses[0].clone();
    lens.id = "another".into();
    lens.name = "Another".into();
    lens.rings = vec!["30 mm ring".into(), "A ring, with a comma".into()];
    def.lenses.push(lens);
    let part = |id: &str| Part {
        id: id.into(),
        name: format!("Part {id}"),
        mass_g: 1_000.0 * third,
        volume_cm3: 500.0 * third,
        mass_sd_g: Some(third),
        centre_sd_mm: Some(10.0 * third),
        mass_at_mm: [100.0 * third, -third, 0.0],
        ..Part::default()
    };
    let kept = def.parts[0].id.clone();
    def.parts.extend([
        Part {
            foam: Some(Foam::Soft { gas_share: third }),
            weighed: Some(Weighed {
                in_air_g: 1_000.0 * third,
                in_water_g: -500.0 * third,
                sinker_g: Some(2_000.0 * third),
                scale_sd_g: third,
                water_kg_m3: 1_024.0 + third * 1e-3,
                water_sd_kg_m3: 0.07,
            }),
            lenses: vec!["another".into()],
            ..part("soft")
        },
        Part {
            foam: Some(Foam::Stiff {
                bulk_mpa: 40.0 * third,
            }),
            in_place_of: Some(kept),
            ..part("stiff")
        },
        Part {
            inside: true,
            volume_cm3: 0.0,
            ..part("within")
        },
    ]);
    def.mounting_points[0].at_mm[1] = 10.0 * third;
    def.mounting_points[0].max_mass_g = Some(1_000.0 * third);
    def.weight_box = [(20.0, Some(200.0 * third)), (100.0 * third, None)]
        .map(|(mass_g, volume_cm3)| BoxWeight {
            mass_g,
            count: 3,
            volume_cm3,
        })
        .to_vec();
    def
}

/// The demo's record with every template and the awkward rig beside its own.
fn desk() -> (tempfile::TempDir, Desk, Vec<String>) {
    let dir = tempfile::tempdir().unwrap();
    let env = Env {
        clock: Arc::new(FixedClock::at(1_780_293_600_000)),
        entropy: Arc::new(SeededEntropy::new(3)),
        device_seed: None,
    };
    demo::fill_if_empty(dir.path(), &env).unwrap();
    let mut book = Book::open(dir.path(), env).unwrap();
    for template in templates() {
        let name = format!("From {}", template.id);
        book.create_from_template(template.id, &name).unwrap();
    }
    book.create_rig(awkward(), "test").unwrap();
    let rigs: Vec<String> = book.rigs().unwrap().into_iter().map(|r| r.id).collect();
    assert_eq!(rigs.len(), 5);
    (dir, Desk::new(book, 0), rigs)
}

/// Everything of a rig that can be opened and has a form of what stands there.
fn all(of: Of<'_>) -> Vec<EditAt> {
    let mut all = vec![EditAt::Rig];
    for kind in Kind::ALL {
        let opened = kind.sort().rows(of, kind).into_iter().map(|row| {
            let Action::RigEdit {
                action: RigEditAction::OpenPart { part },
            } = row.tap.unwrap().action
            else {
                panic!("a row of {kind:?} opens nothing");
            };
            part.parse().unwrap()
        });
        all.extend(opened);
    }
    all.extend(of.def().seals.iter().map(|s| EditAt::Gland(s.id.clone())));
    all
}

fn sent(fields: &[Field]) -> Vec<FieldValue> {
    let value = |f: &Field| FieldValue {
        key: f.key.clone(),
        value: f.value.clone(),
    };
    fields.iter().map(value).collect()
}

const METRIC: [(&str, &str); 4] = [
    ("unit_pressure", "mbar"),
    ("unit_depth", "m"),
    ("unit_water", "mL"),
    ("unit_weight", "g"),
];
const IMPERIAL: [(&str, &str); 4] = [
    ("unit_pressure", "psi"),
    ("unit_depth", "ft"),
    ("unit_water", "fl oz"),
    ("unit_weight", "oz"),
];

#[test]
fn what_is_sent_back_as_it_stands_changes_nothing() {
    let (_dir, mut desk, rigs) = desk();
    let (mut rounded, mut weighings) = (0, 0);
    let mut seen = Vec::new();
    for units in [METRIC, IMPERIAL] {
        desk.book.choose(&units).unwrap();
        for language in ["en", "es"] {
            desk.phone_speaks(language);
            let cx = &desk.cx().unwrap();
            for rig in &rigs {
                let rig = &*desk.book.rig(rig).unwrap();
                let of = Of { cx, rig };
                for at in all(of) {
                    let fields = drawn(of, &at).unwrap().fields;
                    let values = sent(&fields);
                    let mut typed = Typed::new(desk.texts, &values);
                    let mut def = rig.def.clone();
                    change(of, &at, &mut typed, &mut def).unwrap().unwrap();
                    assert_eq!(typed.faults, [], "{at}");
                    assert!(def == rig.def, "{at} in {units:?}, {language}");
                    let long = |f: &&Field| f.value.contains(cx.units.decimal);
                    rounded += fields.iter().filter(long).count();
                    seen.extend(match at {
                        EditAt::Item(kind, _) => Some(kind),
                        _ => None,
                    });
                }
                for part in rig.def.parts.iter().filter(|p| p.weighed.is_some()) {
                    let at = EditAt::Weigh(part.id.clone());
                    let values = sent(&drawn(of, &at).unwrap().fields);
                    let mut typed = Typed::new(desk.texts, &values);
                    let readings = weigh::weighed(of, part.weighed, &mut typed);
                    assert_eq!(typed.faults, [], "{at}");
                    assert_eq!(Some(readings), part.weighed, "{at}");
                    weighings += 1;
                }
            }
        }
    }
    for kind in Kind::ALL {
        assert!(seen.contains(&kind), "none of {kind:?} was looked at");
    }
    assert!(rounded > 100 && weighings >= 8, "{rounded}, {weighings}");
}
