//! What voids what.

use super::counts::opened_by_hand;
use super::is_known;
use crate::procedure::{StepInstance, StepKind, Target};
use crate::rig::RigDef;
use crate::state::{PrepFacts, RigFacts, Seen, StepState, Told};
use slackwater_journal::Stamp;

/// Something that happened to a rig and takes away what was proved of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum News<'a> {
    /// An enclosure was opened.
    Opened {
        /// Enclosure id.
        enclosure: &'a str,
        /// By which closure; none where that isn't known, which is as bad as all of them.
        closure: Option<&'a str>,
    },
    /// A plug came out: taken out, or for a hold.
    PlugOut {
        /// Enclosure id.
        enclosure: &'a str,
    },
    /// A hold began: it works the valve.
    HoldBegun {
        /// Enclosure id.
        enclosure: &'a str,
    },
    /// A ring was worked on or looked at, which can't be with the enclosure shut.
    Touched {
        /// Enclosure id.
        enclosure: &'a str,
        /// Seal id.
        seal: &'a str,
        /// It came after the last closing, so that it tells of an opening that nobody recorded.
        after_closing: bool,
    },
    /// The rig was in the water: a dive was logged, work begun that follows one, or seen how it hung.
    Dived,
}

/// Something that was proved of a rig, or that a step of a procedure attests.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Proof<'a> {
    /// A seal was serviced.
    Service {
        /// Enclosure id.
        enclosure: &'a str,
        /// Seal id.
        seal: &'a str,
    },
    /// A closure is shut, its screws tight.
    Shut {
        /// Enclosure id.
        enclosure: &'a str,
        /// Closure id; none for all of them.
        closure: Option<&'a str>,
    },
    /// An enclosure or a closure was looked at by two, open or shut.
    Seen {
        /// Enclosure id.
        enclosure: &'a str,
        /// Closure id; none for all of them.
        closure: Option<&'a str>,
    },
    /// An enclosure held.
    Hold {
        /// Enclosure id.
        enclosure: &'a str,
    },
    /// Its plug is in.
    Plug {
        /// Enclosure id.
        enclosure: &'a str,
    },
    /// It was rechecked.
    Recheck {
        /// Enclosure id.
        enclosure: &'a str,
    },
    /// Its controls work.
    Functions {
        /// Enclosure id.
        enclosure: &'a str,
    },
}

/// Whether news voids a proof. The only such table.
///
/// Opening an enclosure voids its hold, recheck, plug and function tests, the service of the seals
/// of the closure that was opened (and only those), and what that closure's closing attests. A plug
/// taken out voids the plug and the recheck, a new hold the hold before it as well; a dive voids the
/// recheck. A ring that was worked on tells of an opening: of what was shut always, of what was looked
/// at by two if it came after the closing.
pub fn voids(def: &RigDef, news: &News<'_>, proof: &Proof<'_>) -> bool {
    match *news {
        News::Opened {
            enclosure: opened,
            closure: by,
        } => match *proof {
            Proof::Service { enclosure, seal } => {
                let known = def.seal(seal).and_then(|s| s.closure.as_deref());
                enclosure == opened && (by.is_none() || by == known)
            }
            Proof::Shut { enclosure, closure } | Proof::Seen { enclosure, closure } => {
                enclosure == opened && (by.is_none() || closure.is_none() || by == closure)
            }
            Proof::Hold { enclosure }
            | Proof::Plug { enclosure }
            | Proof::Recheck { enclosure }
            | Proof::Functions { enclosure } => enclosure == opened,
        },
        News::PlugOut { enclosure: out } => match *proof {
            Proof::Plug { enclosure } | Proof::Recheck { enclosure } => enclosure == out,
            _ => false,
        },
        News::HoldBegun { enclosure: begun } => match *proof {
            Proof::Hold { enclosure }
            | Proof::Plug { enclosure }
            | Proof::Recheck { enclosure } => enclosure == begun,
            _ => false,
        },
        News::Touched {
            enclosure: touched,
            seal,
            after_closing,
        } => {
            // A ring of no closure: by which one it was reached isn't known.
            let by = def.seal(seal).and_then(|s| s.closure.as_deref());
            let reached =
                |closure: Option<&str>| by.is_none() || closure.is_none() || by == closure;
            match *proof {
                // What else was done with the enclosure open.
                Proof::Service { .. } => false,
                Proof::Seen { enclosure, closure } => {
                    after_closing && enclosure == touched && reached(closure)
                }
                Proof::Shut { enclosure, closure } => enclosure == touched && reached(closure),
                Proof::Hold { enclosure }
                | Proof::Plug { enclosure }
                | Proof::Recheck { enclosure }
                | Proof::Functions { enclosure } => enclosure == touched,
            }
        }
        News::Dived => matches!(proof, Proof::Recheck { .. }),
    }
}

/// What a step of a procedure attests as far as news can undo it. What two members looked at
/// together is of its enclosure as it was when it was shut, whatever the kind of the step; other
/// steps without evidence (the bench is clean, the settings are noted) attest nothing that can be
/// undone.
pub fn attests<'a>(def: &'a RigDef, instance: &'a StepInstance) -> Vec<Proof<'a>> {
    let kind = instance.step.kind;
    // That it was opened, a plug taken out, or the gauge read before, stays so.
    if matches!(kind, StepKind::Open | StepKind::PlugOut | StepKind::Gauge) {
        return Vec::new();
    }
    let two = instance.step.two_person;
    match &instance.target {
        Target::Rig => match kind {
            StepKind::Controls => (def.enclosures.iter())
                .map(|e| Proof::Functions { enclosure: &e.id })
                .collect(),
            StepKind::Sign => (def.enclosures.iter())
                .map(|e| Proof::Shut {
                    enclosure: &e.id,
                    closure: None,
                })
                .collect(),
            _ => Vec::new(),
        },
        Target::Enclosure { enclosure } => match kind {
            StepKind::Hold => vec![Proof::Hold { enclosure }],
            StepKind::Recheck => vec![Proof::Recheck { enclosure }],
            StepKind::Controls => vec![Proof::Functions { enclosure }],
            // That the plug is in now is asked of the plug itself; the step saw it put in.
            StepKind::Close | StepKind::Fasteners | StepKind::Sign | StepKind::Plug => {
                vec![Proof::Shut {
                    enclosure,
                    closure: None,
                }]
            }
            _ if two => vec![Proof::Seen {
                enclosure,
                closure: None,
            }],
            _ => Vec::new(),
        },
        Target::Closure { enclosure, closure } => {
            let lasting = matches!(kind, StepKind::Close | StepKind::Fasteners | StepKind::Sign);
            if lasting {
                vec![Proof::Shut {
                    enclosure,
                    closure: Some(closure),
                }]
            } else if two {
                vec![Proof::Seen {
                    enclosure,
                    closure: Some(closure),
                }]
            } else {
                Vec::new()
            }
        }
        Target::Seal { enclosure, seal } => {
            if two || matches!(kind, StepKind::Seal | StepKind::Sign) {
                vec![Proof::Service { enclosure, seal }]
            } else {
                Vec::new()
            }
        }
    }
}

/// The news on record, the newest of each kind by each phone.
fn news_of(rig: &RigFacts) -> Vec<(Seen, News<'_>)> {
    let mut news = Vec::new();
    for e in &rig.enclosures {
        let enclosure = e.id.as_str();
        for (closure, seen) in opened_by_hand(e) {
            news.push((seen.clone(), News::Opened { enclosure, closure }));
        }
        // What was done to it off the rig nobody recorded here.
        for seen in e.added.iter().flat_map(Told::all) {
            let closure = None;
            news.push((seen.clone(), News::Opened { enclosure, closure }));
        }
        for seen in e.plug_off.iter().flat_map(Told::all) {
            news.push((seen.clone(), News::PlugOut { enclosure }));
        }
        for hold in &e.holds {
            let seen = Seen {
                stamp: hold.started,
                wall_ms: hold.started_ms,
                author: hold.author.clone(),
                value: String::new(),
            };
            news.push((seen, News::HoldBegun { enclosure }));
        }
    }
    for (def, seal) in rig.def.seals.iter().zip(&rig.seals) {
        let enclosure = rig.enclosure(&def.enclosure);
        let services = seal.serviced.iter().flat_map(Told::all).cloned();
        let looks = seal.looked_at.iter().copied().map(at_stamp);
        for seen in services.chain(looks) {
            let after_closing = enclosure
                .is_some_and(|e| e.closed.is_some() && !is_known(rig, &e.closed, &seen.stamp));
            let told = News::Touched {
                enclosure: &def.enclosure,
                seal: &def.id,
                after_closing,
            };
            news.push((seen, told));
        }
    }
    news.extend(in_water(rig).into_iter().map(|seen| (seen, News::Dived)));
    news
}

/// The times that a rig was in the water: dives that were logged, work begun that follows one, and what was seen of
/// how it hung, also where that was taken back since.
pub fn in_water(rig: &RigFacts) -> Vec<Seen> {
    let told = [&rig.dived, &rig.surfaced, &rig.trim.was_in_water];
    let told = told.into_iter().flatten().flat_map(Told::all).cloned();
    let hung = rig.trim.seen.iter().map(|seen| at_stamp(seen.stamp));
    told.chain(hung).collect()
}

/// Something of which only its place in the order is kept.
fn at_stamp(stamp: Stamp) -> Seen {
    Seen {
        stamp,
        wall_ms: stamp.hlc().ms(),
        author: String::new(),
        value: String::new(),
    }
}

/// The last news on record that voids one of the proofs, of what whoever wrote them had not heard of.
pub fn unanswered<'a>(
    rig: &'a RigFacts,
    proofs: &[Proof<'_>],
    written: &Stamp,
) -> Option<(Seen, News<'a>)> {
    news_of(rig)
        .into_iter()
        .filter(|(seen, _)| !rig.heard.after(written, &seen.stamp))
        .filter(|(_, news)| proofs.iter().any(|p| voids(&rig.def, news, p)))
        .max_by_key(|(seen, _)| seen.stamp)
}

/// Opens again what news has undone since it was done: the step's last opening is then that news.
/// So a prep, a screen and readiness can't differ on whether a step stands.
pub fn reopen_void(rig: &RigFacts, prep: &mut PrepFacts) {
    for instance in &prep.steps {
        let Some(step) = prep.done.get_mut(&instance.key) else {
            continue;
        };
        if step.state(&rig.heard) != StepState::Done {
            continue;
        }
        let proofs = attests(&rig.def, instance);
        // Of those who did it, the ones who knew of all that undoes it; of none, the news opens it again.
        let mut standing = Vec::new();
        let mut undone = None;
        for done in step.done.iter().flat_map(Told::all) {
            match unanswered(rig, &proofs, &done.stamp) {
                None => standing.push(done.clone()),
                news => undone = news,
            }
        }
        match (Told::of_all(standing), undone) {
            (None, Some((news, _))) => step.reopened = Some(news.into()),
            (standing, _) => step.done = standing,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::templates;

    /// The table, line by line: what of the main housing and of another each piece of news voids.
    #[test]
    fn what_voids_what() {
        let mut def = templates()[0].rig.clone();
        def.seals.push(crate::rig::Seal {
            id: "fixed".into(),
            closure: None,
            ..def.seals[0].clone()
        });
        let def = &def;
        let seal = |closure: &str| {
            let of = |s: &&crate::rig::Seal| s.closure.as_deref() == Some(closure);
            def.seals.iter().find(of).unwrap().id.as_str()
        };
        let (enclosure, other) = ("main", "monitor");
        let proofs = [
            ("hold", Proof::Hold { enclosure }),
            ("plug", Proof::Plug { enclosure }),
            ("recheck", Proof::Recheck { enclosure }),
            ("functions", Proof::Functions { enclosure }),
            (
                "shut",
                Proof::Shut {
                    enclosure,
                    closure: None,
                },
            ),
            (
                "port shut",
                Proof::Shut {
                    enclosure,
                    closure: Some("port"),
                },
            ),
            (
                "back shut",
                Proof::Shut {
                    enclosure,
                    closure: Some("back"),
                },
            ),
            (
                "port seal",
                Proof::Service {
                    enclosure,
                    seal: seal("port"),
                },
            ),
            (
                "back seal",
                Proof::Service {
                    enclosure,
                    seal: seal("back"),
                },
            ),
            (
                "fixed seal",
                Proof::Service {
                    enclosure,
                    seal: "fixed",
                },
            ),
            ("other hold", Proof::Hold { enclosure: other }),
            ("other plug", Proof::Plug { enclosure: other }),
            ("other recheck", Proof::Recheck { enclosure: other }),
        ];
        let voided = |news: News<'_>| -> Vec<&str> {
            (proofs.iter())
                .filter(|(_, proof)| voids(def, &news, proof))
                .map(|(name, _)| *name)
                .collect()
        };
        let by = |closure| News::Opened { enclosure, closure };
        let always = ["hold", "plug", "recheck", "functions", "shut"];
        assert_eq!(
            voided(by(Some("port"))),
            [&always[..], &["port shut", "port seal"]].concat()
        );
        assert_eq!(
            voided(by(None)),
            [
                &always[..],
                &[
                    "port shut",
                    "back shut",
                    "port seal",
                    "back seal",
                    "fixed seal"
                ]
            ]
            .concat()
        );
        assert_eq!(voided(News::PlugOut { enclosure }), ["plug", "recheck"]);
        assert_eq!(
            voided(News::HoldBegun { enclosure }),
            ["hold", "plug", "recheck"]
        );
        assert_eq!(voided(News::Dived), ["recheck", "other recheck"]);
        // A ring worked on: whatever was shut wasn't then; what two saw of it open still stands,
        // unless it had been closed.
        let touched = |seal, after_closing| News::Touched {
            enclosure,
            seal,
            after_closing,
        };
        assert_eq!(
            voided(touched(seal("port"), false)),
            [&always[..], &["port shut"]].concat()
        );
        assert_eq!(
            voided(touched("fixed", false)),
            [&always[..], &["port shut", "back shut"]].concat()
        );
        let seen = Proof::Seen {
            enclosure,
            closure: Some("port"),
        };
        assert!(voids(def, &touched(seal("port"), true), &seen));
        assert!(!voids(def, &touched(seal("port"), false), &seen));
        assert!(!voids(def, &touched(seal("back"), true), &seen));
        assert!(voids(def, &by(Some("port")), &seen));
    }
}
