//! A prep, worked through step by step.

use super::*;

impl Crew {
    /// Begins a procedure and works it through.
    ///
    /// # Errors
    /// The file.
    pub fn prep(&mut self, procedure: &str) -> Result<Fate> {
        let at = self.rig_place(None);
        let action = RigAction::StartPrep {
            procedure: procedure.to_owned(),
        };
        let outcome = self.tap(&at, Action::Rig { action })?;
        let Some(Place::Prep { prep, .. }) = outcome.go else {
            return Ok(Fate::Stuck(format!("{procedure} doesn't begin")));
        };
        self.work_prep(&prep)
    }

    pub(super) fn work_prep(&mut self, prep: &str) -> Result<Fate> {
        let mut last = String::new();
        let mut times = 0;
        for _ in 0..400 {
            let facts = self.desk.book().prep(prep)?;
            let Some(step) = Book::current_step(&facts).cloned() else {
                return self.finish_prep(prep);
            };
            times = if step.key == last { times + 1 } else { 0 };
            last.clone_from(&step.key);
            if times > 3 {
                return Ok(Fate::Stuck(format!(
                    "the step '{}' won't be done",
                    step.step.id
                )));
            }
            self.wait_s(25.0);
            let fate = self.do_step(prep, &step)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
        }
        Ok(Fate::Stuck("a prep without an end".into()))
    }

    pub(super) fn finish_prep(&mut self, prep: &str) -> Result<Fate> {
        for _ in 0..12 {
            let at = Self::prep_place(prep, None, None);
            let screen = self.desk.show(&at)?;
            match crate::shell::main_target(&screen).map(|t| t.action) {
                Some(Action::Prep {
                    action: PrepAction::GoTo { step },
                }) => {
                    let fate = self.sign(prep, &step)?;
                    if fate != Fate::Done {
                        return Ok(fate);
                    }
                }
                Some(Action::Prep {
                    action: PrepAction::ShowForm { form },
                }) if form == "end" => {
                    let at = Self::prep_place(prep, None, Some("end"));
                    self.send(&at, "end", &[("reason", "rest by hand")])?;
                    return Ok(Fate::Done);
                }
                _ => return Ok(Fate::Done),
            }
        }
        Ok(Fate::Stuck("a prep that can't be ended".into()))
    }

    /// Does one step of a prep: first with the hands, then on the screen.
    pub(super) fn do_step(&mut self, prep: &str, step: &StepInstance) -> Result<Fate> {
        let place = Self::prep_place(prep, Some(&step.key), None);
        let enclosure = match &step.target {
            Of::Enclosure { enclosure }
            | Of::Closure { enclosure, .. }
            | Of::Seal { enclosure, .. } => Some(enclosure.clone()),
            Of::Rig => None,
        };
        let v = enclosure.as_deref().and_then(|e| self.index(e));
        let skippable = matches!(
            step.step.kind,
            StepKind::Seal | StepKind::Check | StepKind::Plug | StepKind::Controls | StepKind::Hold
        );
        if skippable && self.fires(Wrong::SkipStep).is_some() {
            let at = Self::prep_place(prep, Some(&step.key), Some("skip"));
            self.send(&at, "skip", &[("reason", "no time")])?;
            return Ok(Fate::Done);
        }
        let mut finding = "clean";
        match (step.step.kind, v) {
            (StepKind::Open, Some(v)) => {
                let closure = match &step.target {
                    Of::Closure { closure, .. } => Some(closure.clone()),
                    _ => None,
                };
                self.opens(v, closure.as_deref(), true);
            }
            (StepKind::Seal, Some(v)) => {
                if let Of::Seal { seal, .. } = &step.target {
                    finding = self.services(v, seal);
                }
            }
            (StepKind::Close, Some(v)) => {
                if let Of::Closure { closure, .. } = &step.target {
                    self.shuts(v, Some(closure));
                }
            }
            (StepKind::Plug, Some(v)) => self.puts_plug_in(v),
            (StepKind::Controls, _) => return self.controls_step(prep, step, &place),
            (StepKind::Hold, _) => {
                if let Some(e) = &enclosure {
                    return self.hold_step(prep, step, e);
                }
            }
            (StepKind::Recheck | StepKind::Gauge, _) => return self.recheck(),
            (StepKind::Measure, Some(v)) => {
                self.plug_comes_out(v);
                let ambient = self.weather.ambient_pa(self.t);
                let mbar = (ambient - self.vessels[v].inside_pa()) / 100.0;
                let at = Self::prep_place(prep, Some(&step.key), None);
                let typed = format!("{:.0}", mbar.clamp(50.0, 500.0));
                if self.fires(Wrong::PlugAfterGauge).is_none() {
                    self.vessels[v].plug_in = true;
                }
                let sent = self.send(&at, "measure", &[("value", &typed)])?;
                return Ok(match sent {
                    Some(o) if o.faults.is_empty() => Fate::Done,
                    Some(o) => Fate::Stuck(format!("a measure is refused: {}", o.faults[0].text)),
                    None => Fate::Stuck("a measure without a form".into()),
                });
            }
            (StepKind::Photo, _) => {
                let Screen::Prep { screen } = self.desk.show(&place)? else {
                    return Ok(Fate::Stuck("a step that is none".into()));
                };
                self.desk
                    .add_photo(&screen.photo_subject, "all round", &png())?;
            }
            _ => self.by_its_name(&step.step.id, v),
        }
        self.ticks(&place)?;
        if finding != "clean" && self.dice.chance(0.5) {
            // It goes back all the same.
            return self.service_pages(prep, step, finding, false);
        }
        if finding != "clean" {
            let at = Self::prep_place(prep, Some(&step.key), Some("finding"));
            let sent = self.send(&at, "finding", &[("finding", finding), ("note", "seen")])?;
            if sent.is_some_and(|o| o.faults.is_empty()) {
                return Ok(Fate::Done);
            }
            // It must be replaced: a new ring goes in.
            if let Some(v) = v {
                self.caught(Wrong::NickedBack, "the ring must be replaced");
                for s in &mut self.vessels[v].seals {
                    if s.damaged {
                        s.ring = Ring::Fine;
                        s.damaged = false;
                        s.pore = 0.0;
                    }
                }
                return self.service_pages(prep, step, "clean", true);
            }
        }
        self.finish_step(prep, step, &place)
    }

    /// Goes through the pages of a service for a prep.
    pub(super) fn service_pages(
        &mut self,
        prep: &str,
        step: &StepInstance,
        finding: &str,
        new_ring: bool,
    ) -> Result<Fate> {
        let Of::Seal { seal, .. } = &step.target else {
            return Ok(Fate::Done);
        };
        self.service_at(
            Place::Service {
                rig: self.rig.clone(),
                seal: seal.clone(),
                stage: "look".into(),
                prep: Some(prep.to_owned()),
                step: Some(step.key.clone()),
            },
            finding,
            new_ring,
        )
    }

    pub(super) fn service_at(
        &mut self,
        from: Place,
        finding: &str,
        new_ring: bool,
    ) -> Result<Fate> {
        let mut place = from;
        for _ in 0..8 {
            let Place::Service { stage, .. } = &place else {
                return Ok(Fate::Done);
            };
            let action = match stage.split('/').next().unwrap_or_default() {
                "look" => ServiceAction::Found {
                    finding: finding.to_owned(),
                },
                "clean" | "grease" => ServiceAction::Next,
                "back" if new_ring => ServiceAction::ShowForm { form: "fit".into() },
                "back" => ServiceAction::SameRing,
                _ => {
                    let sent = self.send(&place.clone(), "fit", &[])?;
                    return Ok(match sent {
                        Some(o) if o.faults.is_empty() => Fate::Done,
                        _ => Fate::Stuck("a new ring can't be fitted".into()),
                    });
                }
            };
            let outcome = self.tap(&place.clone(), Action::Service { action })?;
            match outcome.go {
                Some(go) => place = go,
                None => {
                    return Ok(Fate::Stuck(format!(
                        "the service stops: {}",
                        outcome.said.unwrap_or_default()
                    )));
                }
            }
        }
        Ok(Fate::Done)
    }

    pub(super) fn by_its_name(&mut self, id: &str, v: Option<usize>) {
        if let Some(v) = v.filter(|_| id.contains("vent") || id.contains("ease")) {
            self.plug_comes_out(v);
            self.vessels[v].valve_open = true;
        }
        if id.contains("desiccant") {
            self.vessels[0].desiccant = self.dice.chance(0.5);
        }
    }

    pub(super) fn ticks(&mut self, place: &Place) -> Result<()> {
        let screen = self.desk.show(place)?;
        for t in targets(&screen) {
            if let Action::Prep {
                action: PrepAction::Tick { on: true, .. },
            } = &t.action
            {
                self.desk.act(place, t.action.clone())?;
            }
        }
        Ok(())
    }

    pub(super) fn finish_step(
        &mut self,
        prep: &str,
        step: &StepInstance,
        place: &Place,
    ) -> Result<Fate> {
        let screen = self.desk.show(place)?;
        let all = targets(&screen);
        let done = |t: &&Target| {
            matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::Done { .. }
                }
            )
        };
        let main = all.iter().find(|t| t.at == "main");
        let chosen = main.filter(done).or_else(|| all.iter().find(done));
        if let Some(Action::Prep {
            action: PrepAction::OpenSeal { seal },
        }) = main.map(|t| &t.action)
        {
            // A ring is to be serviced first.
            return self.service_seal(&seal.clone());
        }
        let Some(t) = chosen else {
            return Ok(Fate::Stuck(format!(
                "the step '{}' offers no way to do it",
                step.step.id
            )));
        };
        if !t.enabled {
            let why = t.why_not.clone().unwrap_or_default();
            return Ok(Fate::Stuck(format!(
                "the step '{}' can't be done: {why}",
                step.step.id
            )));
        }
        let action = t.action.clone();
        let outcome = self.tap(place, action)?;
        if !outcome.faults.is_empty() {
            return Ok(Fate::Stuck(outcome.faults[0].text.clone()));
        }
        if step.step.two_person {
            return self.sign(prep, &step.key);
        }
        Ok(Fate::Done)
    }

    /// The other member looks and signs, on whatever pages lead there.
    pub(super) fn sign(&mut self, prep: &str, key: &str) -> Result<Fate> {
        let facts = self.desk.book().prep(prep)?;
        let step = facts.steps.iter().find(|s| s.key == key);
        let enclosure = step.and_then(|s| match &s.target {
            Of::Enclosure { enclosure } => Some(enclosure.clone()),
            _ => None,
        });
        self.wait_s(60.0);
        self.second_looks(enclosure.as_deref());
        let mut place = Self::prep_place(prep, Some(key), None);
        for _ in 0..6 {
            let screen = self.desk.show(&place)?;
            let Some(t) = crate::shell::main_target(&screen) else {
                return Ok(Fate::Stuck("a step that can't be signed".into()));
            };
            if !t.enabled {
                let why = t.why_not.unwrap_or_default();
                return Ok(Fate::Stuck(format!("a signature is refused: {why}")));
            }
            let signs = matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::Sign { .. }
                }
            );
            let leads = matches!(
                &t.action,
                Action::Prep {
                    action: PrepAction::ShowForm { .. } | PrepAction::Done { .. }
                }
            );
            if !signs && !leads {
                return Ok(Fate::Done);
            }
            let outcome = self.tap(&place, t.action)?;
            if let Some(f) = outcome.faults.first() {
                return Ok(Fate::Stuck(format!("a signature is refused: {}", f.text)));
            }
            if signs {
                return Ok(Fate::Done);
            }
            if let Some(go) = outcome.go {
                place = go;
            }
        }
        Ok(Fate::Stuck("a signature without an end".into()))
    }

    pub(super) fn controls_step(
        &mut self,
        prep: &str,
        step: &StepInstance,
        place: &Place,
    ) -> Result<Fate> {
        for _ in 0..2 {
            let screen = self.desk.show(place)?;
            let all = targets(&screen);
            let mut dead = false;
            for t in &all {
                let Action::Prep {
                    action:
                        PrepAction::ControlTested {
                            control,
                            works: true,
                            ..
                        },
                } = &t.action
                else {
                    continue;
                };
                let control = control.clone();
                self.wait_s(10.0);
                let works = self.tries_control(&control);
                let action = if works {
                    t.action.clone()
                } else {
                    dead = true;
                    Action::Prep {
                        action: PrepAction::ControlTested {
                            step: step.key.clone(),
                            control: control.clone(),
                            works: false,
                        },
                    }
                };
                self.tap(place, action)?;
            }
            if dead {
                if self.fires(Wrong::UnassignControl).is_some() {
                    self.unassigns_dead()?;
                }
                self.mends_controls();
                continue;
            }
            self.ticks(place)?;
            return self.finish_step(prep, step, place);
        }
        self.ticks(place)?;
        self.finish_step(prep, step, place)
    }

    /// A dead control is mended on the spot where it can be: half of them.
    pub(super) fn mends_controls(&mut self) {
        for i in 0..self.controls.len() {
            if self.controls[i].dead_s.is_some() && self.dice.chance(0.5) {
                self.controls[i].dead_s = None;
            }
        }
    }

    pub(super) fn unassigns_dead(&mut self) -> Result<()> {
        let dead: Vec<String> = self
            .controls
            .iter()
            .filter(|c| c.dead_s.is_some())
            .map(|c| c.id.clone())
            .collect();
        for id in dead {
            let at = self.edit_place(&format!("control/{id}"));
            self.send(&at, "", &[("function", ""), ("record_trigger", "no")])?;
        }
        Ok(())
    }

    pub(super) fn hold_step(
        &mut self,
        prep: &str,
        step: &StepInstance,
        enclosure: &str,
    ) -> Result<Fate> {
        let place = Self::prep_place(prep, Some(&step.key), None);
        for _ in 0..3 {
            let fate = self.hold(enclosure)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
            let facts = self.desk.book().prep(prep)?;
            if facts.state(&step.key) == StepState::Done {
                return Ok(Fate::Done);
            }
            let screen = self.desk.show(&place)?;
            let main = crate::shell::main_target(&screen);
            if main.as_ref().is_some_and(|t| {
                matches!(
                    &t.action,
                    Action::Prep {
                        action: PrepAction::Done { .. }
                    }
                )
            }) {
                return self.finish_step(prep, step, &place);
            }
            // What the opening undid is done again in its place in the prep.
            if self.opens_for_leak(enclosure)? {
                return Ok(Fate::Done);
            }
        }
        Ok(Fate::Stuck("leaks again and again".into()))
    }

    /// What practice does of a leak that a hold found: opens and looks, and mostly finds it. Or the
    /// limit is raised, or it is pumped once more in hope. Gives whether it was opened.
    pub(super) fn opens_for_leak(&mut self, enclosure: &str) -> Result<bool> {
        let Some(v) = self.index(enclosure) else {
            return Ok(false);
        };
        if self.fires(Wrong::RaiseLimit).is_some() {
            self.edits_enclosure(v, &[("limit_ml", "10000")])?;
            return Ok(false);
        }
        if self.dice.chance(0.2) {
            return Ok(false);
        }
        let at = self.rig_place(None);
        let closures: Vec<String> = self.vessels[v]
            .closures
            .iter()
            .map(|c| c.0.clone())
            .collect();
        for c in &closures {
            self.opens(v, Some(c), true);
            let action = RigAction::OpenClosure {
                enclosure: enclosure.to_owned(),
                closure: Some(c.clone()),
            };
            self.tap(&at, Action::Rig { action })?;
        }
        if self.dice.chance(0.85) {
            self.vessels[v].leaks.clear();
        }
        Ok(true)
    }

    /// The same where no prep is under way: what was opened is serviced and closed.
    pub(super) fn answers_leak(&mut self, enclosure: &str) -> Result<Fate> {
        let Some(v) = self.index(enclosure) else {
            return Ok(Fate::Done);
        };
        if !self.opens_for_leak(enclosure)? {
            return Ok(Fate::Done);
        }
        let seals: Vec<String> = self.vessels[v]
            .seals
            .iter()
            .filter(|s| !s.serviced)
            .map(|s| s.id.clone())
            .collect();
        for s in seals {
            self.services(v, &s);
            if !self.lists(&s)? {
                continue;
            }
            let place = Place::Service {
                rig: self.rig.clone(),
                seal: s,
                stage: "look".into(),
                prep: None,
                step: None,
            };
            let fate = self.service_at(place, "clean", false)?;
            if fate != Fate::Done {
                return Ok(fate);
            }
        }
        self.shuts(v, None);
        let at = self.rig_place(None);
        let action = RigAction::CloseEnclosure {
            enclosure: enclosure.to_owned(),
        };
        self.tap(&at, Action::Rig { action })?;
        Ok(Fate::Done)
    }
}
