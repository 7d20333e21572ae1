//! What is done about how a rig hangs: a water chosen, weights hung, a trim confirmed, something
//! seen in the water; and what is worked out from it, once for each change.

use std::sync::{Arc, OnceLock};

use super::super::facts::{Fact, SeenFact, WaterFact, WeightFact};
use super::super::rig::{RigDef, RigFault, TrimAim, Wrong, weight_key};
use super::super::rules::closed_since;
use super::super::state::EnclosureFacts;
use super::super::subject::At;
use super::super::trim::{
    TrimFault, TrimNow, WhatIfs, hung_elsewhere, swapped_with, trim_fact, water_now, water_seen,
    what_ifs, work_out,
};
use super::{Book, BookFault, Recorded, Refusal};
use slackwater_physics::trim::solver::COUNT_MAX;

/// A rig worked out; what might be otherwise is only worked out when asked for.
#[derive(Debug)]
pub struct Worked {
    /// How it hangs and what to hang, or why that can't be said.
    pub now: Result<TrimNow, TrimFault>,
    what_ifs: OnceLock<Result<WhatIfs, TrimFault>>,
}

impl Book {
    /// How a rig hangs and what to hang on it. Worked out once for each change of the rig.
    ///
    /// # Errors
    /// No such rig; the file. What can't be worked out is in [`Worked::now`].
    pub fn trim(&self, rig: &str) -> Result<Arc<Worked>, BookFault> {
        if let Some(worked) = self.trims.borrow().get(rig) {
            return Ok(worked.clone());
        }
        let facts = self.rig(rig)?;
        let before = self.chosen.borrow().get(rig).cloned();
        let now = work_out(&facts, before.as_ref()).map(|(now, chosen)| {
            if let Some(chosen) = chosen {
                self.chosen.borrow_mut().insert(rig.to_owned(), chosen);
            }
            now
        });
        let worked = Arc::new(Worked {
            now,
            what_ifs: OnceLock::new(),
        });
        self.trims
            .borrow_mut()
            .insert(rig.to_owned(), worked.clone());
        Ok(worked)
    }

    /// What each thing that might be otherwise would change.
    ///
    /// # Errors
    /// No such rig; the file. `Err` within: nothing can be worked out.
    pub fn trim_what_ifs(&self, rig: &str) -> Result<Result<WhatIfs, TrimFault>, BookFault> {
        let worked = self.trim(rig)?;
        let facts = self.rig(rig)?;
        let all = worked.what_ifs.get_or_init(|| match &worked.now {
            Ok(now) => what_ifs(&facts, now),
            Err(e) => Err(e.clone()),
        });
        Ok(all.clone())
    }

    /// Records the water that the rig is trimmed for from now on.
    ///
    /// # Errors
    /// No such rig; the file.
    pub fn choose_water(&mut self, rig: &str, water: WaterFact) -> Result<Recorded, BookFault> {
        self.rig(rig)?;
        self.record(vec![(rig.to_owned(), Fact::WaterChosen { water })])
    }

    /// Records how many weights of a size hang at a mounting point now.
    ///
    /// # Errors
    /// No such point or size, more than the box holds or the point takes; the file. What hangs can
    /// always be taken off, whatever became of its point or size.
    pub fn hang(
        &mut self,
        rig: &str,
        point: &str,
        weight: WeightFact,
    ) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        if weight.count > 0 {
            self.can_hang(rig, point, weight)?;
        } else if !facts.trim.hung.iter().any(|h| h.point == point) {
            // Nothing hangs there: nothing to record.
            return Ok(Recorded::default());
        }
        self.record(vec![(
            At::Point(point).of(rig),
            Fact::WeightsHung { weight },
        )])
    }

    /// Records that everything hangs as worked out: all of it or nothing.
    ///
    /// # Errors
    /// Nothing can be worked out; no such rig; the file.
    pub fn hang_plan(&mut self, rig: &str) -> Result<Recorded, BookFault> {
        let worked = self.trim(rig)?;
        let now = worked.now.as_ref().map_err(cannot)?;
        let plan = now.plan.as_ref().map_err(|e| {
            BookFault::Rig(vec![RigFault {
                at: "trim".into(),
                why: e.clone().into(),
            }])
        })?;
        let question = &now.question;
        let facts = plan
            .changes
            .iter()
            .map(|c| {
                let (mass_g, volume_cm3) = question.weights[c.size];
                let weight = WeightFact {
                    mass_g,
                    volume_cm3,
                    count: plan.placement[c.point][c.size],
                };
                let at = At::Point(&question.point_ids[c.point]).of(rig);
                (at, Fact::WeightsHung { weight })
            })
            .collect();
        self.record(facts)
    }

    fn can_hang(&self, rig: &str, point: &str, weight: WeightFact) -> Result<(), BookFault> {
        let facts = self.rig(rig)?;
        let known = facts.def.mounting_points.iter().find(|p| p.id == point);
        let known = known.ok_or_else(|| BookFault::NotFound {
            what: "mounting point",
            id: point.to_owned(),
        })?;
        let key = weight_key(weight.mass_g, weight.volume_cm3);
        let stock = facts.def.weight_box.iter().find(|w| w.key() == key);
        let stock = stock.ok_or_else(|| BookFault::NotFound {
            what: "weight",
            id: key.clone(),
        })?;
        let fault = |why: Wrong| {
            Err(BookFault::Rig(vec![RigFault {
                at: "hang/count".into(),
                why,
            }]))
        };
        let elsewhere = hung_elsewhere(&facts, &key, point);
        if weight.count > stock.count.saturating_sub(elsewhere) {
            return fault(Wrong::BoxHolds {
                holds: stock.count,
                elsewhere,
            });
        }
        let others: u32 = facts
            .trim
            .hung
            .iter()
            .filter(|h| h.point == point && weight_key(h.weight.mass_g, h.weight.volume_cm3) != key)
            .map(|h| h.weight.count)
            .sum();
        if weight.count.saturating_add(others) > known.capacity.min(COUNT_MAX) {
            return fault(Wrong::PointTakes {
                point: known.name.clone(),
                takes: known.capacity,
                others,
            });
        }
        Ok(())
    }

    /// Records that the rig hangs as worked out, for its parts, its water and its weights now.
    ///
    /// # Errors
    /// Nothing can be worked out; no such rig; the file.
    pub fn confirm_trim(&mut self, rig: &str) -> Result<Recorded, BookFault> {
        let worked = self.trim(rig)?;
        let facts = self.rig(rig)?;
        let now = worked.now.as_ref().map_err(cannot)?;
        let trim = trim_fact(&facts, now);
        self.record(vec![(rig.to_owned(), Fact::Trimmed { trim })])
    }

    /// Records how the rig hung in the water of the day, with what is on it now. What it teaches is
    /// worked out first: an observation that no such rig could make is not recorded.
    ///
    /// # Errors
    /// Nothing was seen; it can't be learnt from; no such rig; the file.
    pub fn saw_in_water(
        &mut self,
        rig: &str,
        net: Option<SeenFact>,
        pitch: Option<SeenFact>,
        roll: Option<SeenFact>,
    ) -> Result<Recorded, BookFault> {
        let seen = self.seen(rig, net, pitch, roll)?;
        self.record(vec![seen])
    }

    /// As [`Book::saw_in_water`], and in one with it that what was in the water open, or without its plug, is to be
    /// looked into before anything counts of it, for which `why` are the words.
    ///
    /// # Errors
    /// As [`Book::saw_in_water`].
    pub fn saw_in_water_and_look(
        &mut self,
        rig: &str,
        (net, pitch, roll): (Option<SeenFact>, Option<SeenFact>, Option<SeenFact>),
        why: &str,
    ) -> Result<Recorded, BookFault> {
        let mut facts = vec![self.seen(rig, net, pitch, roll)?];
        facts.extend(self.to_look_into_after(rig, why)?);
        self.record(facts)
    }

    /// What was seen in the water, if something can be learnt from it.
    fn seen(
        &self,
        rig: &str,
        net: Option<SeenFact>,
        pitch: Option<SeenFact>,
        roll: Option<SeenFact>,
    ) -> Result<(String, Fact), BookFault> {
        let facts = self.rig(rig)?;
        let water = water_now(&facts).map_err(|e| cannot(&TrimFault::Water(e)))?;
        let seen = water_seen(&facts, water, net, pitch, roll);
        if let Some(why) = super::super::trim::teaches(&facts, &seen) {
            return Err(BookFault::Rig(vec![RigFault {
                at: "seen/net".into(),
                why,
            }]));
        }
        Ok((rig.to_owned(), Fact::SeenInWater { seen }))
    }

    /// Fits a part in place of the one it stands in for, or takes it off again.
    ///
    /// # Errors
    /// No such part, or one that stands in for none; the file.
    pub fn fit_part(&mut self, rig: &str, part: &str, on: bool) -> Result<Recorded, BookFault> {
        let facts = self.rig(rig)?;
        let def = facts.def.clone();
        if def.part(part).is_none_or(|p| p.in_place_of.is_none()) {
            return Err(BookFault::NotFound {
                what: "part to swap",
                id: part.to_owned(),
            });
        }
        // What lies inside was not changed with everything shut.
        let inside = |id: &str| def.part(id).is_some_and(|p| p.inside);
        let of = def.part(part).and_then(|p| p.in_place_of.as_deref());
        let open = |e: &EnclosureFacts| closed_since(&facts, e).is_none();
        if (inside(part) || of.is_some_and(inside)) && !facts.enclosures.iter().any(open) {
            let name = def.part(part).map_or_else(String::new, |p| p.name.clone());
            return Self::refuse(Refusal::InsideShut { part: name });
        }
        let swapped = swapped_with(&def, part, on);
        self.edit_rig(rig, RigDef { swapped, ..def })
    }

    /// Sets how heavy the rig is to be in the water, g.
    ///
    /// # Errors
    /// A number that can't be; no such rig; the file.
    pub fn aim_trim(&mut self, rig: &str, heavy_g: f64) -> Result<Recorded, BookFault> {
        let def = RigDef {
            trim: TrimAim { heavy_g },
            ..self.rig(rig)?.def.clone()
        };
        self.edit_rig(rig, def)
    }
}

fn cannot(fault: &TrimFault) -> BookFault {
    BookFault::Rig(vec![RigFault {
        at: "trim".into(),
        why: fault.clone().into(),
    }])
}
