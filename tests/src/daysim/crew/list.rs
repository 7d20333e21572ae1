//! What stands in the way, worked off from the rig page.

use super::*;

impl Crew {
    /// Works off what stands in the way until the app says ready, or there is no way on.
    ///
    /// # Errors
    /// The file.
    pub fn work_off(&mut self) -> Result<Fate> {
        self.between()?;
        let place = self.rig_place(None);
        let mut last = String::new();
        let mut same = 0;
        for _ in 0..MOST_TAPS {
            let readiness = self.desk.book().readiness(&self.rig)?;
            if readiness.is_ready() {
                if self.plan_before.is_some() {
                    self.restores_plan()?;
                    continue;
                }
                return Ok(Fate::Done);
            }
            let Screen::Rig { screen } = self.desk.show(&place)? else {
                return Ok(Fate::Stuck("a rig that is none".into()));
            };
            let Some(row) = screen.obstacles.first() else {
                return Ok(Fate::Stuck("not ready, and not why".into()));
            };
            let name = obstacle_name(&readiness.obstacles[0]);
            same = if row.title == last { same + 1 } else { 0 };
            last.clone_from(&row.title);
            if same >= 3 {
                return Ok(Fate::Stuck(name));
            }
            let title = row.title.clone();
            self.tell(|_| format!("in the way: {title}"));
            let action = row.tap.clone().and_then(|tap| tap.action.try_into().ok());
            let Some(action) = action else {
                return Ok(Fate::Stuck(name));
            };
            self.wait_s(20.0);
            let fate = self.works_off_one(&place, action)?;
            if let Fate::Stuck(why) = fate {
                return Ok(Fate::Stuck(format!("{name}: {why}")));
            }
        }
        Ok(Fate::Stuck("the list goes round".into()))
    }

    pub(super) fn works_off_one(&mut self, place: &Place, action: RigAction) -> Result<Fate> {
        match &action {
            RigAction::CloseEnclosure { enclosure } => {
                if let Some(v) = self.index(enclosure) {
                    // Before it is shut, what was disturbed is serviced.
                    let open: Vec<String> = self.vessels[v]
                        .seals
                        .iter()
                        .filter(|s| !s.serviced)
                        .map(|s| s.id.clone())
                        .collect();
                    for s in open {
                        let fate = self.service_seal(&s)?;
                        if fate != Fate::Done {
                            return Ok(fate);
                        }
                    }
                    self.shuts(v, None);
                }
            }
            RigAction::PlugOn { enclosure } => {
                if let Some(v) = self.index(enclosure) {
                    self.puts_plug_in(v);
                }
            }
            RigAction::Hold { enclosure } => return self.hold_from_rig(place, &enclosure.clone()),
            RigAction::ShowControls => return self.tries_all(),
            RigAction::OpenRecheck => return self.recheck(),
            RigAction::OpenSeals { seal: Some(seal) } => return self.service_seal(&seal.clone()),
            RigAction::ResumePrep { prep } => return self.work_prep(&prep.clone()),
            RigAction::StartPrep { procedure } => return self.prep(&procedure.clone()),
            // The edits of these days are slips: what was taken off the list is still on the rig, and
            // the other member, who is shown what it is, doesn't sign for that.
            RigAction::OpenStep { step, .. } if step.starts_with("@loss/") => {
                return Ok(Fate::Stuck("the other doesn't sign".into()));
            }
            RigAction::OpenStep { prep, step } => {
                return self.open_step(&prep.clone(), &step.clone());
            }
            RigAction::CloseDefect { defect } => return self.puts_right(&defect.clone()),
            RigAction::Edit | RigAction::EditPart { .. } => {
                return Ok(Fate::Stuck("an edit is asked for".into()));
            }
            RigAction::ShowForm { form } => return self.answers_form(&form.clone()),
            _ => {}
        }
        let outcome = self.tap(place, Action::Rig { action })?;
        Ok(match outcome.faults.first() {
            Some(f) => Fate::Stuck(f.text.clone()),
            None => Fate::Done,
        })
    }

    /// A form that stands in the way of the list.
    pub(super) fn answers_form(&mut self, form: &str) -> Result<Fate> {
        let (kind, enclosure) = form.split_once('/').unwrap_or((form, ""));
        let at = self.rig_place(Some(form));
        let v = self.index(enclosure.trim_start_matches("enclosure/"));
        let sent = match (kind, v) {
            ("open", Some(v)) => {
                self.opens_all(v)?;
                return Ok(Fate::Done);
            }
            // An enclosure, or a fault on what was taken off the rig.
            ("inspect", looked) => {
                if let Some(v) = looked {
                    self.vessels[v].been_m = 0.0;
                }
                self.send(&at, form, &[("note", "looked over, nothing found")])?
            }
            // Less deep than anything on the rig stands, as its list says.
            ("plan", _) => {
                let rig = self.desk.book().rig(&self.rig)?;
                let ratings = rig.def.enclosures.iter().map(|e| e.depth_rating_m);
                let depth = format!("{:.0}", ratings.fold(20.0, f64::min));
                self.send(&at, form, &[("depth", &depth)])?
            }
            _ => None,
        };
        Ok(match sent {
            Some(o) if o.faults.is_empty() => Fate::Done,
            Some(o) => Fate::Stuck(o.faults[0].text.clone()),
            None => Fate::Stuck(format!("the form '{form}' isn't there")),
        })
    }

    /// Opens every closure of an enclosure, and writes each down.
    pub(super) fn opens_all(&mut self, v: usize) -> Result<()> {
        let at = self.rig_place(None);
        let enclosure = self.vessels[v].id.clone();
        let closures: Vec<String> = self.vessels[v]
            .closures
            .iter()
            .map(|c| c.0.clone())
            .collect();
        for c in closures {
            self.opens(v, Some(&c), true);
            let action = RigAction::OpenClosure {
                enclosure: enclosure.clone(),
                closure: Some(c),
            };
            self.tap(&at, Action::Rig { action })?;
        }
        // Where water was found, its way in is looked for, and found.
        self.vessels[v].leaks.clear();
        Ok(())
    }

    pub(super) fn hold_from_rig(&mut self, place: &Place, enclosure: &str) -> Result<Fate> {
        let action = RigAction::Hold {
            enclosure: enclosure.to_owned(),
        };
        let outcome = self.tap(place, Action::Rig { action })?;
        match outcome.go {
            // Judged again for another plan, or one that runs.
            Some(Place::Hold { hold, .. }) => {
                let facts = self.desk.book().hold(&hold)?;
                if facts.hold.concluded.is_some() {
                    return Ok(Fate::Done);
                }
                let Some(v) = self.index(enclosure) else {
                    return Ok(Fate::Done);
                };
                let truth = &self.vessels[v].gauge;
                let said = (truth.absolute, truth.unit);
                self.follow_hold(&hold, v, said)
            }
            _ => {
                let fate = self.hold(enclosure)?;
                if fate != Fate::Done {
                    return Ok(fate);
                }
                let rig = self.desk.book().rig(&self.rig)?;
                let leaks = rig
                    .enclosure(enclosure)
                    .and_then(|e| e.holds.iter().max_by_key(|h| h.started))
                    .and_then(|h| h.concluded.as_ref())
                    .is_some_and(|c| {
                        c.2.verdict == slackwater_core::domain::facts::VerdictFact::Leaking
                    });
                if leaks {
                    self.answers_leak(enclosure)
                } else {
                    Ok(Fate::Done)
                }
            }
        }
    }

    pub(super) fn tries_all(&mut self) -> Result<Fate> {
        let place = self.rig_place(Some("controls"));
        let (mut dead, mut tried, mut shut_out) = (false, false, None);
        for round in 0..2 {
            let screen = self.desk.show(&place)?;
            for t in targets(&screen) {
                let Action::Rig {
                    action:
                        RigAction::ControlTested {
                            control,
                            works: true,
                        },
                } = &t.action
                else {
                    continue;
                };
                // One of another housing, which stands open: its closing stands in the list, too.
                if !t.enabled {
                    shut_out = t.why_not;
                    continue;
                }
                tried = true;
                let control = control.clone();
                self.wait_s(10.0);
                let works = self.tries_control(&control);
                dead |= !works;
                self.tap(
                    &place,
                    Action::Rig {
                        action: RigAction::ControlTested { control, works },
                    },
                )?;
            }
            if !dead || round == 1 {
                break;
            }
            if self.fires(Wrong::UnassignControl).is_some() {
                self.unassigns_dead()?;
            }
            self.mends_controls();
            dead = false;
        }
        if let Some(why) = shut_out.filter(|_| !tried) {
            return Ok(Fate::Stuck(why));
        }
        Ok(Fate::Done)
    }

    /// Whether a seal is on the rig's list.
    pub(super) fn lists(&self, seal: &str) -> Result<bool> {
        Ok(self.desk.book().rig(&self.rig)?.def.seal(seal).is_some())
    }

    pub(super) fn service_seal(&mut self, seal: &str) -> Result<Fate> {
        if !self.lists(seal)? {
            return Ok(Fate::Done);
        }
        let Some(v) = self
            .vessels
            .iter()
            .position(|v| v.seals.iter().any(|s| s.id == seal))
        else {
            return Ok(Fate::Stuck("a seal that is not there".into()));
        };
        let closure = self.vessels[v]
            .seals
            .iter()
            .find(|s| s.id == seal)
            .and_then(|s| s.closure.clone());
        let rig = self.desk.book().rig(&self.rig)?;
        if self.desk.book().is_closed(&rig, &self.vessels[v].id) {
            self.opens(v, closure.as_deref(), true);
            let at = Place::Seal {
                rig: self.rig.clone(),
                seal: seal.to_owned(),
                form: None,
            };
            self.tap(
                &at,
                Action::Seals {
                    action: SealsAction::OpenClosure,
                },
            )?;
        } else {
            // It can't be reached with its closure shut.
            for c in &mut self.vessels[v].closures {
                if closure.is_none() || Some(&c.0) == closure.as_ref() {
                    c.1 = true;
                }
            }
        }
        let rig = self.desk.book().rig(&self.rig)?;
        let faulty = rig.seal(seal).is_some_and(|f| f.faulty.is_some());
        let damaged = self.vessels[v]
            .seals
            .iter()
            .any(|s| s.id == seal && s.damaged);
        self.services(v, seal);
        let at = Place::Service {
            rig: self.rig.clone(),
            seal: seal.to_owned(),
            stage: "look".into(),
            prep: None,
            step: None,
        };
        self.service_at(at, "clean", faulty || damaged)
    }

    pub(super) fn open_step(&mut self, prep: &str, key: &str) -> Result<Fate> {
        let facts = self.desk.book().prep(prep)?;
        let Some(step) = facts.steps.iter().find(|s| s.key == key).cloned() else {
            // What is signed for whatever the procedure says.
            return self.sign(prep, key);
        };
        let place = Self::prep_place(prep, Some(key), None);
        let screen = self.desk.show(&place)?;
        let open = facts.state(key) == StepState::Open;
        let Some(Action::Prep { action }) = crate::shell::main_target(&screen).map(|t| t.action)
        else {
            return Ok(Fate::Stuck("the step leads nowhere".into()));
        };
        match action {
            PrepAction::ShowForm { form } if form.starts_with("sign") => self.sign(prep, key),
            // Steps before it are open, or it waits for something of its own.
            PrepAction::GoTo { .. } if open => self.work_prep(prep),
            _ if open => {
                let fate = self.do_step(prep, &step)?;
                if fate == Fate::Done || facts.ended.is_some() {
                    Ok(fate)
                } else {
                    self.work_prep(prep)
                }
            }
            // Done or skipped before: opened again and done.
            PrepAction::GoTo { .. } => {
                let action = PrepAction::Reopen {
                    step: key.to_owned(),
                };
                self.tap(&place, Action::Prep { action })?;
                self.do_step(prep, &step)
            }
            _ => Ok(Fate::Stuck("the step leads nowhere".into())),
        }
    }

    pub(super) fn puts_right(&mut self, defect: &str) -> Result<Fate> {
        let water = self
            .desk
            .book()
            .rig(&self.rig)?
            .defects
            .iter()
            .any(|d| d.id == defect && d.water);
        if water && self.fires(Wrong::WaterClosed).is_none() {
            let wet: Vec<usize> = (0..self.vessels.len())
                .filter(|v| self.vessels[*v].wet)
                .collect();
            for v in wet {
                self.opens_all(v)?;
            }
        }
        let at = self.rig_place(Some(&format!("close-defect/{defect}")));
        let sent = self.send(&at, "close-defect", &[("how", "ok")])?;
        Ok(match sent {
            Some(o) if o.faults.is_empty() => Fate::Done,
            Some(o) => Fate::Stuck(o.faults[0].text.clone()),
            None => Fate::Stuck("a fault that can't be closed".into()),
        })
    }
}
