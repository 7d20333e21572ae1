//! What the hands do, and what goes wrong with it.

use super::*;

impl Crew {
    pub(super) fn opens(&mut self, v: usize, closure: Option<&str>, told: bool) {
        let t = self.t;
        let vessel = &mut self.vessels[v];
        vessel.valve_open = true;
        for c in &mut vessel.closures {
            if closure.is_none_or(|id| id == c.0) {
                c.1 = true;
            }
        }
        for s in &mut vessel.seals {
            if s.closure.is_some() && (closure.is_none() || s.closure.as_deref() == closure) {
                s.serviced = false;
                s.said = false;
                s.told = told;
            }
        }
        vessel.been_m = 0.0;
        vessel.wet = false;
        let past = &mut self.pasts[v];
        past.opened_s = t;
        past.opened_told = told;
        past.pumped_untold = false;
        past.typed_foretold = false;
        self.plug_comes_out(v);
        // So that the gas is what it is now.
        self.wait_s(1.0);
    }

    pub(super) fn plug_comes_out(&mut self, v: usize) {
        if self.vessels[v].plug_in {
            self.vessels[v].plug_in = false;
            self.pasts[v].plug_said.clear();
            self.pasts[v].one_for_two = false;
        }
    }

    pub(super) fn shuts(&mut self, v: usize, closure: Option<&str>) {
        for c in &mut self.vessels[v].closures {
            if closure.is_none_or(|id| id == c.0) {
                c.1 = false;
            }
        }
    }

    /// Services a ring, or says so. Gives what was found, as the screens know it.
    pub(super) fn services(&mut self, v: usize, seal: &str) -> &'static str {
        let plan = self.plan();
        let limit = self.vessels[v].limit_ml;
        let s = self.vessels[v].seals.iter().position(|s| s.id == seal);
        let Some(s) = s else { return "clean" };
        self.vessels[v].seals[s].said = true;
        if self.fires(Wrong::NotServiced).is_some() {
            return "clean";
        }
        let bad = |ml: f64| Vessel::pore_of(ml, &plan);
        let nicked = self.fires(Wrong::NickedBack);
        let out = self.fires(Wrong::RingLeftOut);
        let hair = self.fires(Wrong::Hair);
        let ring = &mut self.vessels[v].seals[s];
        ring.serviced = true;
        if let Some(m) = nicked {
            ring.ring = Ring::Bad;
            ring.damaged = true;
            ring.pore = bad(0.05 * limit * (1.0 + m.size));
            return "nick";
        }
        if let Some(m) = out {
            ring.ring = Ring::Missing;
            ring.pore = bad((20.0 + 200.0 * m.size) * limit);
            return "clean";
        }
        if let Some(m) = hair {
            ring.ring = Ring::Bad;
            ring.pore = bad(m.size * limit);
            return "clean";
        }
        // A careful look finds what was wrong; a damaged ring is replaced.
        if ring.ring != Ring::Fine {
            ring.ring = Ring::Fine;
            ring.damaged = false;
            ring.pore = 0.0;
        }
        "clean"
    }

    pub(super) fn puts_plug_in(&mut self, v: usize) {
        if self.fires(Wrong::PlugForgotten).is_none() && self.fires(Wrong::PlugByBoth).is_none() {
            self.vessels[v].plug_in = true;
        }
        let holder = self.holder;
        self.pasts[v].plug_said.push(holder);
    }

    /// The other member looks before signing; or one person signs for both.
    pub(super) fn second_looks(&mut self, enclosure: Option<&str>) {
        let one = self.fires(Wrong::OneForTwo).is_some();
        let blind = one
            || self
                .script
                .iter()
                .enumerate()
                .any(|(i, m)| m.what == Wrong::PlugByBoth && self.fired.contains(&i));
        let other = 1 - self.holder;
        for v in 0..self.vessels.len() {
            if enclosure.is_some_and(|e| e != self.vessels[v].id) {
                continue;
            }
            if !blind
                && !self.vessels[v].plug_in
                && !self.vessels[v].open()
                && self.dice.chance(0.9)
            {
                self.vessels[v].plug_in = true;
                self.tell(|_| "   the second member saw the plug and put it in".into());
            }
            if one {
                self.pasts[v].one_for_two = true;
            } else {
                self.pasts[v].plug_said.push(other);
            }
        }
    }

    pub(super) fn tries_control(&mut self, control: &str) -> bool {
        let t = self.t;
        let lie = self
            .controls
            .iter()
            .any(|c| c.id == control && c.dead_s.is_some())
            && self.fires(Wrong::DeadSaidWorks).is_some();
        let Some(c) = self.controls.iter_mut().find(|c| c.id == control) else {
            return true;
        };
        c.tried_s = Some(t);
        let works = c.dead_s.is_none() || lie;
        c.said = Some((t, works));
        works
    }
}
