//! What may happen to a rig that stands about: edits, a phone that is lent, another phone.

use super::*;
use crate::drive::one_crew;

impl Crew {
    pub(super) fn edit_place(&self, part: &str) -> Place {
        Place::RigEdit {
            rig: self.rig.clone(),
            part: Some(part.to_owned()),
        }
    }

    pub(super) fn edits_enclosure(&mut self, v: usize, typed: &[(&str, &str)]) -> Result<()> {
        let at = self.edit_place(&format!("enclosure/{}", self.vessels[v].id));
        self.send(&at, "", typed)?;
        Ok(())
    }

    pub(super) fn changes_plan(&mut self, typed: &[(&str, &str)]) -> Result<()> {
        self.plan_before.get_or_insert(self.plan());
        let at = self.rig_place(Some("plan"));
        self.send(&at, "plan", typed)?;
        Ok(())
    }

    pub(super) fn restores_plan(&mut self) -> Result<()> {
        if let Some(p) = self.plan_before.take() {
            let typed = [
                ("depth", format!("{}", p.depth_m)),
                ("minutes", format!("{}", p.minutes)),
                ("salinity", format!("{}", p.salinity)),
                ("water", format!("{}", p.water_c)),
            ];
            let typed: Vec<(&str, &str)> = typed.iter().map(|(k, v)| (*k, v.as_str())).collect();
            let at = self.rig_place(Some("plan"));
            self.send(&at, "plan", &typed)?;
        }
        Ok(())
    }

    fn is_on_the_rig(&self, v: usize) -> bool {
        let at = self.edit_place(&format!("enclosure/{}", self.vessels[v].id));
        !matches!(self.desk.show(&at), Err(BookFault::NotFound { .. }))
    }

    pub(super) fn removes(&mut self, part: &str) -> Result<()> {
        let at = self.edit_place(part);
        if let Err(BookFault::NotFound { .. }) = self.desk.show(&at) {
            return Ok(());
        }
        let action = RigEditAction::Remove {
            part: part.to_owned(),
        };
        self.tap(&at, Action::RigEdit { action })?;
        Ok(())
    }

    /// What may happen to a rig that stands about, at any moment.
    pub(super) fn between(&mut self) -> Result<()> {
        if let Some(m) = self.fires(Wrong::ClockAhead) {
            self.clock.advance((m.size * 12.0 * 3_600_000.0) as i64);
        }
        if let Some(m) = self.fires(Wrong::ClockBack) {
            self.clock.advance(-(m.size * 12.0 * 3_600_000.0) as i64);
        }
        if let Some(m) = self.fires(Wrong::LentOpened) {
            self.lent(m, false);
        }
        if let Some(m) = self.fires(Wrong::LentPumped) {
            self.lent(m, true);
        }
        if self.fires(Wrong::BringHold).is_some() {
            self.brings_hold()?;
        }
        if let Some(m) = self.fires(Wrong::OtherPhoneOpened) {
            self.other_phone(m)?;
        }
        if self.fires(Wrong::RemoveSeal).is_some() {
            let bad = self
                .vessels
                .iter()
                .flat_map(|v| &v.seals)
                .find(|s| s.damaged || !s.serviced)
                .map(|s| s.id.clone());
            if let Some(seal) = bad {
                self.removes(&format!("seal/{seal}"))?;
            }
        }
        if self.vessels.len() > 1
            && self.is_on_the_rig(1)
            && self.fires(Wrong::RemoveEnclosure).is_some()
        {
            let id = self.vessels[1].id.clone();
            self.opens(1, None, true);
            let at = self.rig_place(None);
            let action = RigAction::OpenClosure {
                enclosure: id.clone(),
                closure: None,
            };
            self.tap(&at, Action::Rig { action })?;
            self.removes(&format!("enclosure/{id}"))?;
        }
        if let Some(m) = self.fires(Wrong::RaiseRating) {
            let v = m.which % self.vessels.len();
            if self.is_on_the_rig(v) {
                self.edits_enclosure(v, &[("depth_rating_m", "200")])?;
                self.vessels[v].rated_m = self.plan().depth_m - 5.0;
                self.vessels[v].rating_mistyped = true;
            }
        }
        if self.fires(Wrong::PlanDeep).is_some() {
            let at = self.rig_place(Some("plan"));
            self.send(&at, "plan", &[("depth", "75")])?;
        }
        Ok(())
    }

    /// Which enclosure a mishap meets; none where it stands open or is no longer on the rig.
    pub(super) fn met(&self, m: Mishap) -> Option<usize> {
        let v = m.which % self.vessels.len();
        let rig = self.desk.book().rig(&self.rig).ok()?;
        let listed = rig.def.enclosure(&self.vessels[v].id).is_some();
        (listed && !self.vessels[v].open()).then_some(v)
    }

    pub(super) fn lent(&mut self, m: Mishap, pumped: bool) {
        let Some(v) = self.met(m) else {
            return;
        };
        let n = self.vessels[v].closures.len();
        let closure = self.vessels[v].closures[m.which % n.max(1)].0.clone();
        let plug = self.vessels[v].plug_in;
        let ambient = self.weather.ambient_pa(self.t);
        let below = ambient - self.vessels[v].inside_pa();
        self.opens(v, Some(&closure), false);
        self.wait_s(300.0);
        self.shuts(v, Some(&closure));
        self.vessels[v].valve_open = false;
        if pumped {
            let ambient = self.weather.ambient_pa(self.t);
            self.vessels[v].pump(ambient, below);
            self.pasts[v].pumped_untold = true;
        }
        self.vessels[v].plug_in = plug;
    }

    pub(super) fn brings_hold(&mut self) -> Result<()> {
        let enclosure = self.vessels[0].id.clone();
        let place = Place::HoldSetup {
            rig: self.rig.clone(),
            enclosure,
        };
        let rows: String = (0..40)
            .map(|k| format!("{},200.{},25.0,1013.0\n", k * 60, k % 2))
            .collect();
        let text = format!(
            "# hold-log: 1\n# enclosure: Main housing\n# volume_L: 12.0\n# volume_sd_L: 0.6\n# gauge: below_ambient\n# gauge_unit: mbar\n# gauge_resolution: 0.1\n# temperature_source: inside\n# limit_mL_per_dive: 60\n# dive_depth_m: 60\n# dive_minutes: 90\n# water_salinity_g_kg: 35\n# water_C: 20\ntime_s,gauge,temperature_C,ambient_mbar\n{rows}"
        );
        let paper = slackwater_core::screens::common::Document {
            name: "hold.csv".into(),
            media_type: "text/csv".into(),
            bytes: text.into_bytes(),
            file: None,
        };
        self.desk.bring(&place, "hold-log", &paper)?;
        Ok(())
    }

    /// The other member opens and shuts a closure and writes the opening down on another phone;
    /// then the logs meet.
    pub(super) fn other_phone(&mut self, m: Mishap) -> Result<()> {
        let Some(v) = self.met(m) else {
            return Ok(());
        };
        let closure = self.vessels[v].closures[0].0.clone();
        let enclosure = self.vessels[v].id.clone();
        let plug = self.vessels[v].plug_in;
        self.opens(v, Some(&closure), true);
        self.shuts(v, Some(&closure));
        self.vessels[v].valve_open = false;
        self.vessels[v].plug_in = plug;
        let theirs = self.folder.join("theirs");
        let mut book = Book::open(&theirs, env(&self.clock, self.seed ^ 0x5eed))?;
        quick(&book);
        one_crew(self.desk.book_mut(), &mut book)?;
        let events = all_events(self.desk.book())?;
        book.ingest_all(
            events
                .into_iter()
                .map(Ok::<_, slackwater_core::journal::store::IngestFault>),
        )
        .map_err(|e| BookFault::NotFound {
            what: "log",
            id: e.to_string(),
        })?;
        book.hold_phone(&self.members[1])?;
        book.open_closure(&self.rig, &enclosure, Some(&closure))?;
        let events = all_events(&book)?;
        self.desk
            .book_mut()
            .ingest_all(
                events
                    .into_iter()
                    .map(Ok::<_, slackwater_core::journal::store::IngestFault>),
            )
            .map_err(|e| BookFault::NotFound {
                what: "log",
                id: e.to_string(),
            })?;
        drop(book);
        let _ = std::fs::remove_dir_all(&theirs);
        Ok(())
    }
}
