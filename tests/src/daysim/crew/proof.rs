//! The hold and the recheck.

use super::*;
use slackwater_core::domain::readiness::Obstacle;
use slackwater_core::domain::rules::RecheckMissing;

impl Crew {
    /// Pumps an enclosure down and follows its hold to a verdict.
    pub(super) fn hold(&mut self, enclosure: &str) -> Result<Fate> {
        let Some(v) = self.index(enclosure) else {
            return Ok(Fate::Stuck(format!(
                "a hold of {enclosure}, which is not there"
            )));
        };
        if let Some(m) = self.fires(Wrong::LeakBefore) {
            let m = Mishap { which: v, ..m };
            self.begin_leak(m, false);
        }
        if self.fires(Wrong::PlanShallow).is_some() {
            self.changes_plan(&[("depth", "1"), ("minutes", "1")])?;
        }
        if self.fires(Wrong::PlanCold).is_some() {
            self.changes_plan(&[("water", "2")])?;
        }
        if let Some(m) = self.fires(Wrong::LessVolume) {
            let litres = self.vessels[v].volume_m3 * 1e3 * (0.15 + 0.3 * m.size);
            self.edits_enclosure(
                v,
                &[
                    ("volume_l", &format!("{litres:.2}")),
                    ("volume_sd_l", "0.1"),
                ],
            )?;
        }
        let camera = self
            .dice
            .of_these(&[Camera::Cold, Camera::Cold, Camera::Warm, Camera::On]);
        let rested = std::mem::take(&mut self.rested);
        if camera != Camera::Cold && !rested {
            self.vessels[v].set_camera(camera);
        }
        let moved = self.dice.chance(0.15) && !rested;
        if moved {
            let by = self.dice.between(-8.0, 8.0);
            self.vessels[v].comes_from(by);
        }
        self.moved = moved;
        let drawn = self.dice.between(15_000.0, 26_000.0);
        let depth = if std::mem::take(&mut self.deeper) {
            30_500.0
        } else {
            drawn
        };
        let ambient = self.weather.ambient_pa(self.t);
        self.plug_comes_out(v);
        self.vessels[v].pump(ambient, depth);
        let t = self.t;
        let past = &mut self.pasts[v];
        past.held_from_s = t;
        past.held_to_s = t;
        past.pumped_untold = false;
        past.typed_foretold = false;
        past.lost_pa = 0.0;
        self.tell(|c| {
            format!(
                "pumps {enclosure} to {:.0} mbar below; camera {camera:?}, fresh desiccant: {}",
                depth / 100.0,
                c.vessels[v].desiccant
            )
        });
        let truth = self.vessels[v].gauge.clone();
        let mut said = (truth.absolute, truth.unit);
        if self.fires(Wrong::GaugeKind).is_some() {
            said.0 = !said.0;
        }
        if let Some(m) = self.fires(Wrong::GaugeUnit) {
            said.1 = (said.1 + 1 + m.which % 4) % UNITS.len();
        }
        let mut place = Place::HoldSetup {
            rig: self.rig.clone(),
            enclosure: enclosure.to_owned(),
        };
        for _ in 0..8 {
            let hold = match &place {
                Place::Hold { hold, .. } => hold.clone(),
                _ => {
                    let sent = self.sends(&place, None, "setup", v, &mut said, None)?;
                    let Some(outcome) = sent else {
                        if self.closes_from_rig(enclosure)? {
                            continue;
                        }
                        return Ok(Fate::Stuck(format!("the set-up led to {place:?}")));
                    };
                    if let Some(f) = outcome.faults.first() {
                        return Ok(Fate::Stuck(format!("a set-up is refused: {}", f.text)));
                    }
                    if let Some(go) = outcome.go {
                        place = go;
                    }
                    continue;
                }
            };
            // Most read what stands there before the wait.
            let told = {
                let screen = self.desk.show(&place)?;
                let Screen::Hold { screen } = screen else {
                    return Ok(Fate::Stuck("a hold that is none".into()));
                };
                screen.reasons
            };
            if self.dice.chance(0.7) && self.rests_as_told(v, &told) {
                let at = Place::Hold {
                    hold: hold.clone(),
                    form: Some("abandon".into()),
                };
                self.send(&at, "abandon", &[("reason", "as the page says")])?;
                return self.hold(enclosure);
            }
            return self.follow_hold(&hold, v, said);
        }
        Ok(Fate::Stuck("the set-up of a hold goes round".into()))
    }

    /// Does what the page says a hold wants first, if it says so: then the next hold is of a camera that is off and of
    /// a housing that stood here, or of a deeper vacuum.
    fn rests_as_told(&mut self, v: usize, told: &[slackwater_core::screens::common::Line]) -> bool {
        let texts = self.desk.texts();
        let says = |key: &str| {
            let text = texts.get(key);
            told.iter().any(|l| l.text == text)
        };
        self.deeper = told
            .iter()
            .any(|l| l.text.contains("at this vacuum. Draw it to"));
        let minutes = if says("screen_hold_stood_first") || says("screen_hold_cold_first") {
            65.0
        } else if says("screen_hold_camera_off_first") {
            35.0
        } else {
            return self.deeper;
        };
        self.vessels[v].camera = Camera::Cold;
        self.wait_s(minutes * 60.0);
        self.rested = true;
        self.tell(|_| format!("   as told: the camera off and {minutes} min here"));
        true
    }

    /// Whether the rig's list had this enclosure to be closed, and it is now.
    fn closes_from_rig(&mut self, enclosure: &str) -> Result<bool> {
        let place = self.rig_place(None);
        let Screen::Rig { screen } = self.desk.show(&place)? else {
            return Ok(false);
        };
        let closes = screen.obstacles.iter().find_map(|row| {
            let action: RigAction = row.tap.clone()?.action.try_into().ok()?;
            let this =
                matches!(&action, RigAction::CloseEnclosure { enclosure: e } if e == enclosure);
            this.then_some(action)
        });
        let Some(action) = closes else {
            return Ok(false);
        };
        Ok(self.works_off_one(&place, action)? == Fate::Done)
    }

    pub(super) fn follow_hold(
        &mut self,
        hold: &str,
        v: usize,
        mut said: (bool, usize),
    ) -> Result<Fate> {
        let place = Place::Hold {
            hold: hold.to_owned(),
            form: None,
        };
        let began = self.t;
        let mut asides = 0;
        let jump = self.fires(Wrong::ClockInHold);
        let patience = if self.dice.chance(0.9) {
            LONGEST_HOLD_S
        } else {
            3_600.0
        };
        let screen = self.desk.show(&place)?;
        let Some(form) = forms(&screen).into_iter().find(|f| f.key == "reading") else {
            return Ok(Fate::Stuck("a hold that takes no reading".into()));
        };
        loop {
            let mut judged = self.desk.book().hold(hold)?;
            if !judged.steps_doubted.is_empty() {
                self.looks_at_the_steps(&place, v)?;
                judged = self.desk.book().hold(hold)?;
            }
            let verdict = judged.judgement.as_ref().map(|j| j.verdict);
            if matches!(verdict, Some(Verdict::Holding | Verdict::Leaking)) {
                let screen = self.desk.show(&place)?;
                let Screen::Hold { screen: s } = &screen else {
                    return Ok(Fate::Stuck("a hold that is none".into()));
                };
                let says = s.verdict.clone();
                self.tell(|_| format!("   {says}"));
                if s.mark == Mark::Struck && asides == 0 && self.fires(Wrong::SetAside).is_some() {
                    asides = self.sets_falling_aside(&place, &screen)?;
                    continue;
                }
                let concludes = |b: &HoldButton| b.action == HoldAction::Conclude;
                if s.with_verdict.iter().any(concludes) {
                    break;
                }
            }
            let lasted = self.t - began;
            if lasted > patience {
                self.tell(|_| "   gives up waiting".into());
                let screen = self.desk.show(&place)?;
                let others = targets(&screen);
                let conclude = others.iter().find(|t| {
                    matches!(
                        &t.action,
                        Action::Hold {
                            action: HoldAction::Conclude
                        }
                    )
                });
                if let Some(t) = conclude {
                    self.tap(&place, t.action.clone())?;
                }
                return Ok(Fate::Stuck("the hold did not settle".into()));
            }
            // As the phone calls, but not more often than hands do in a long hold.
            let due = self
                .desk
                .due_readings()?
                .into_iter()
                .find(|d| d.hold == hold);
            let wait = due.map_or(60.0, |d| d.wait_ms as f64 / 1_000.0);
            self.wait_s(wait.clamp(30.0, 1_200.0).max(lasted / 6.0));
            if let Some(m) = jump.filter(|_| lasted < 600.0 && self.t - began >= 600.0) {
                self.clock.advance((m.size * 10.0 * 3_600_000.0) as i64);
            }
            let sent = self.sends(&place, Some(&form), "reading", v, &mut said, None)?;
            let Some(outcome) = sent else {
                return Ok(Fate::Stuck("no way to send a reading".into()));
            };
            if let Some(f) = outcome
                .faults
                .first()
                .filter(|_| self.t - began > LONGEST_HOLD_S * 1.2)
            {
                return Ok(Fate::Stuck(format!("a reading is refused: {}", f.text)));
            }
        }
        self.pasts[v].held_to_s = self.t;
        self.pasts[v].lost_pa = 0.0;
        self.tap(
            &place,
            Action::Hold {
                action: HoldAction::Conclude,
            },
        )?;
        Ok(Fate::Done)
    }

    /// Says which steps the gauge shows: the coarsest of those offered that it goes in, or those said.
    fn looks_at_the_steps(&mut self, place: &Place, v: usize) -> Result<()> {
        let truth = self.vessels[v].gauge.step_pa();
        let screen = self.desk.show(place)?;
        let offered: Vec<(Option<f64>, Target)> = targets(&screen)
            .into_iter()
            .filter_map(|t| match &t.action {
                Action::Hold {
                    action: HoldAction::GaugeSteps { step_pa },
                } => Some((*step_pa, t)),
                _ => None,
            })
            .collect();
        let shown = offered
            .iter()
            .find(|(pa, _)| pa.is_some_and(|pa| pa <= 1.01 * truth));
        let stands = offered.iter().find(|(pa, _)| pa.is_none());
        if let Some((_, t)) = shown.or(stands) {
            self.tell(|_| "   looks at the gauge's steps".into());
            self.tap(place, t.action.clone())?;
        }
        Ok(())
    }

    pub(super) fn sets_falling_aside(&mut self, place: &Place, screen: &Screen) -> Result<usize> {
        let all: Vec<Target> = targets(screen)
            .into_iter()
            .filter(|t| {
                matches!(
                    &t.action,
                    Action::Hold {
                        action: HoldAction::SetAside { .. }
                    }
                )
            })
            .collect();
        // Newest first: all but the first and the last few.
        let keep = all.len().saturating_sub(3);
        for t in all.iter().take(keep) {
            self.tap(place, t.action.clone())?;
        }
        Ok(keep.max(1))
    }

    pub(super) fn tracks_loss(&mut self, v: usize) {
        // What a leak has let in since the hold ended, as a fall of the gauge.
        let (t, held) = (self.t, self.pasts[v].held_to_s);
        let vessel = &self.vessels[v];
        let mut lost = 0.0;
        let steps = 60;
        let dt = (t - held).max(0.0) / f64::from(steps);
        let below = 20_000.0;
        for k in 0..steps {
            let at = held + dt * (f64::from(k) + 0.5);
            let pore = vessel.pore(at);
            let ambient = 101_325.0_f64;
            let inside = ambient - below + lost;
            if inside >= ambient {
                break;
            }
            lost += pore * (ambient.powi(2) - inside.powi(2)) / 1.82e-5 / vessel.volume_m3 * dt;
        }
        self.pasts[v].lost_pa = lost.min(below);
    }

    pub(super) fn recheck(&mut self) -> Result<Fate> {
        let place = Place::Recheck {
            rig: self.rig.clone(),
        };
        let unclear = self.rechecks_unclear()?;
        if let Some(enclosure) = unclear.first() {
            if self.t < self.brought_until {
                // As the page says: it stands here for an hour.
                self.wait_s(self.brought_until - self.t + 60.0);
                self.tell(|_| "it has stood here for an hour".into());
            } else if self.vessels[0].camera == Camera::On && !self.vessels[0].open() {
                // As the page says: half an hour after switching it off, or longer where it says so.
                let told = self.item(&place, enclosure)?.and_then(|i| minutes_told(&i));
                let minutes = told.unwrap_or(0.0).max(35.0) + 1.0;
                self.vessels[0].camera = Camera::Cold;
                self.wait_s(minutes * 60.0);
                self.tell(|_| format!("the camera is off for {minutes:.0} min"));
            } else {
                let next = self.item(&place, enclosure)?.and_then(|i| i.next);
                let next = next.and_then(|b| RecheckAction::try_from(b.action).ok());
                if let Some(RecheckAction::Hold { .. }) = next {
                    return self.hold(enclosure);
                }
                // As the page says: so soon after the hold, or out of the water, it can't tell yet.
                let told = self.item(&place, enclosure)?.and_then(|i| minutes_told(&i));
                let minutes = told.unwrap_or(9.0) + 1.0;
                self.wait_s(minutes * 60.0);
                self.tell(|_| format!("waits {minutes:.0} min to read again"));
            }
        } else if self.dice.chance(0.06) {
            // It was in a cooled cabin, or in the sun, and is carried out to be read.
            let apart = self.dice.between(-14.0, 10.0);
            let elsewhere = self.weather.air_k(self.t) + apart;
            self.wait_in(90.0 * 60.0, Some(elsewhere));
            self.wait_s(180.0);
            self.brought_until = self.t + 3_600.0;
            self.tell(|_| format!("carried out of a place {apart:+.0} K from here"));
        } else if self.dice.chance(0.1) && !self.vessels[0].open() {
            // A crew tests its controls and rolls before the dive; a reading before that tells more,
            // which the page says and most do.
            self.vessels[0].set_camera(Camera::On);
            let minutes = self.dice.between(1.0, 30.0);
            self.wait_s(minutes * 60.0);
            self.tell(|_| format!("the camera has run for {minutes:.0} min"));
        }
        if self.recheck_air(&place, 0)?.is_none() {
            return Ok(Fate::Stuck("the recheck asks for no air".into()));
        }
        let Screen::Recheck { screen } = self.desk.show(&place)? else {
            return Ok(Fate::Stuck("a recheck that is none".into()));
        };
        let mut did = false;
        for item in &screen.items {
            let Some(v) = self.index(&item.enclosure) else {
                continue;
            };
            let Some(form) = &item.form else {
                continue;
            };
            did = true;
            // The gauge can't be read with the plug in.
            self.plug_comes_out(v);
            self.tracks_loss(v);
            if self.pasts[v].lost_pa > 1_000.0 && self.fires(Wrong::PumpsAgain).is_some() {
                let ambient = self.weather.ambient_pa(self.t);
                self.vessels[v].pump(ambient, 20_000.0);
                self.pasts[v].pumped_untold = true;
            }
            let truth = self.vessels[v].gauge.clone();
            let mut reads = self.reads_gauge(v);
            let foretold = item.expected.as_ref().map(|q| q.value.clone());
            self.pasts[v].typed_foretold = false;
            if let Some(f) = foretold.clone()
                && f != reads
                && self.fires(Wrong::TypesForetold).is_some()
            {
                reads = f;
                self.pasts[v].typed_foretold = true;
            }
            let mut said = (truth.absolute, truth.unit);
            self.sends(&place, Some(form), &form.key, v, &mut said, Some(&reads))?;
            let again = self.item(&place, &item.enclosure)?;
            let mut next = again.as_ref().and_then(|i| i.next.clone());
            if let Some(i) = again.as_ref().filter(|i| i.mark != Mark::Full) {
                let why: Vec<&str> = i.reasons.iter().map(|l| l.text.as_str()).collect();
                let to = next.as_ref().map(|n| n.label.as_str());
                self.tell(|_| format!("   {}; {}; to: {to:?}", i.state, why.join(" ")));
            }
            let changed = again
                .as_ref()
                .is_some_and(|i| matches!(i.mark, Mark::Struck));
            if changed
                && self.fires(Wrong::TypesAgain).is_some()
                && let Some(i) = &again
                && let (Some(form), Some(q)) = (&i.form, &i.expected)
            {
                let mut said = (truth.absolute, truth.unit);
                self.sends(&place, Some(form), &form.key, v, &mut said, Some(&q.value))?;
                next = self.item(&place, &item.enclosure)?.and_then(|i| i.next);
            }
            match next.and_then(|b| RecheckAction::try_from(b.action).ok()) {
                Some(RecheckAction::PlugOn { enclosure }) => {
                    if self.fires(Wrong::PlugAfterGauge).is_some() {
                        continue;
                    }
                    self.puts_plug_in(v);
                    self.tap(
                        &place,
                        Action::Recheck {
                            action: RecheckAction::PlugOn { enclosure },
                        },
                    )?;
                }
                Some(RecheckAction::Hold { .. }) => {
                    // A change is answered by a new hold, and so is a hold that no reading can be held against: as
                    // the page says, with the camera off, or once it has stood here.
                    if let Some(i) = &again {
                        self.rests_as_told(v, &i.reasons);
                    }
                    let fate = self.hold(&item.enclosure)?;
                    if fate != Fate::Done {
                        return Ok(fate);
                    }
                }
                _ => {
                    // Practice: what was taken out goes back in, asked for or not.
                    if self.fires(Wrong::PlugAfterGauge).is_none() {
                        self.vessels[v].plug_in = true;
                    }
                }
            }
        }
        Ok(if did {
            Fate::Done
        } else {
            Fate::Stuck("the recheck offers nothing to read".into())
        })
    }

    /// The enclosures whose recheck could not tell.
    fn rechecks_unclear(&self) -> Result<Vec<String>> {
        let judged = self.desk.book().readiness(&self.rig)?;
        Ok(judged
            .obstacles
            .into_iter()
            .filter_map(|o| match o {
                Obstacle::NoRecheck {
                    enclosure,
                    why: RecheckMissing::Unclear,
                } => Some(enclosure),
                _ => None,
            })
            .collect())
    }

    pub(super) fn item(
        &self,
        place: &Place,
        enclosure: &str,
    ) -> Result<Option<slackwater_core::screens::recheck::RecheckItem>> {
        let Screen::Recheck { screen } = self.desk.show(place)? else {
            return Ok(None);
        };
        Ok(screen.items.into_iter().find(|i| i.enclosure == enclosure))
    }

    pub(super) fn recheck_air(&mut self, place: &Place, v: usize) -> Result<Option<()>> {
        let sent = self.sends(place, None, "air", v, &mut (false, 0), Some(""))?;
        Ok(sent.filter(|o| o.faults.is_empty()).map(|_| ()))
    }
}

/// The minutes that a page says to wait.
fn minutes_told(item: &slackwater_core::screens::recheck::RecheckItem) -> Option<f64> {
    let of = |text: &str| -> Option<f64> {
        let (before, _) = text.split_once(" min")?;
        before.rsplit([' ', '\u{a0}']).next()?.parse().ok()
    };
    let waits = |l: &&slackwater_core::screens::common::Line| {
        ["Wait ", "Read the gauge in", "read the gauge in"]
            .iter()
            .any(|w| l.text.contains(w))
    };
    item.reasons.iter().filter(waits).find_map(|l| of(&l.text))
}
