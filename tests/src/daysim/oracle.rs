//! Whether a rig that goes in may truly go in, and if not, whether anything could have shown it.

use super::world::{Plan, Ring, Vessel};

/// Who says something: the two people of the crew.
pub type Human = usize;

/// A fault that a rig has as it goes in.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct False {
    /// A reading, or what the app was told, could have shown it.
    pub showable: bool,
    /// What it is.
    pub cause: &'static str,
}

/// What happened to an enclosure, when (s), and what was said of it.
#[derive(Debug, Clone, Default)]
pub struct Past {
    /// Opened last.
    pub opened_s: f64,
    /// That opening stands in the record.
    pub opened_told: bool,
    /// Pumped down last, for a hold that the app knows.
    pub held_from_s: f64,
    /// The last true reading of that hold.
    pub held_to_s: f64,
    /// The last true reading of its own gauge that was typed.
    pub read_s: f64,
    /// What the gauge had lost by a leak between those two, Pa.
    pub lost_pa: f64,
    /// What such a loss is known within, Pa (1 sd), by this crew's instruments.
    pub known_pa: f64,
    /// Pumped down after a loss or an opening that nobody wrote down.
    pub pumped_untold: bool,
    /// At the last recheck the number foretold was typed, and the gauge showed another.
    pub typed_foretold: bool,
    /// Who has said since the plug came out that it is in.
    pub plug_said: Vec<Human>,
    /// One person signed in another's name since then.
    pub one_for_two: bool,
    /// The last true reading of all, s of true time.
    pub rechecked_s: f64,
}

/// A control as it is and as it was said to be.
#[derive(Debug, Clone)]
pub struct ControlTruth {
    /// Control id.
    pub id: String,
    /// In which enclosure.
    pub enclosure: String,
    /// Dead since, s.
    pub dead_s: Option<f64>,
    /// Last truly tried, s.
    pub tried_s: Option<f64>,
    /// What was said last: when, and that it works.
    pub said: Option<(f64, bool)>,
}

/// So many uncertainties a loss must have for a reading to have shown it.
const SHOWS: f64 = 4.0;
/// Slack on the crew's limit for the age of a recheck, s.
const AGE_SLACK_S: f64 = 300.0;

/// What is wrong with a rig that goes in at `t` on that plan: the worst of it, what could have been
/// shown first.
#[must_use]
pub fn wrong(
    vessels: &[Vessel],
    pasts: &[Past],
    controls: &[ControlTruth],
    plan: &Plan,
    t: f64,
    recheck_limit_s: f64,
) -> Vec<False> {
    let mut all = Vec::new();
    for (v, p) in vessels.iter().zip(pasts) {
        vessel(v, p, plan, t, recheck_limit_s, &mut all);
    }
    for c in controls {
        let Some(p) = vessels
            .iter()
            .position(|v| v.id == c.enclosure)
            .map(|i| &pasts[i])
        else {
            continue;
        };
        control(c, p, &mut all);
    }
    all.sort_by_key(|f| !f.showable);
    all
}

fn vessel(v: &Vessel, p: &Past, plan: &Plan, t: f64, recheck_limit_s: f64, all: &mut Vec<False>) {
    let mut say = |showable, cause| all.push(False { showable, cause });
    if v.open() {
        say(true, "a closure is open");
    }
    if !v.plug_in {
        match (p.plug_said.len(), p.one_for_two) {
            (0, _) => say(true, "the plug is out and nobody said that it is in"),
            (_, true) => say(
                false,
                "the plug is out; one person said twice that it is in",
            ),
            (_, false) if p.plug_said.iter().all(|h| *h == p.plug_said[0]) => {
                say(true, "the plug is out; one person said once that it is in");
            }
            _ => say(false, "the plug is out; both said that it is in"),
        }
    }
    if v.wet {
        say(true, "water inside that nobody dried");
    }
    if v.been_m > v.rated_m && !v.rating_mistyped {
        say(
            true,
            "it has been deeper than it stands, and not been looked at",
        );
    }
    if plan.depth_m > v.rated_m {
        if v.rating_mistyped {
            say(
                false,
                "the plan is deeper than it stands, whose rating was typed too high",
            );
        } else {
            say(true, "the plan is deeper than it stands");
        }
    }
    leak(v, p, plan, t, &mut say);
    for s in &v.seals {
        // One that leaks over the limit is counted above.
        match s.ring {
            Ring::Missing => say(false, "a ring is missing, and holds a vacuum all the same"),
            Ring::Bad if s.damaged && v.takes_ml(s.pore, plan) <= v.limit_ml => {
                say(false, "a damaged ring that leaks less than the limit");
            }
            _ if !s.serviced && s.said => {
                say(false, "a ring that was said to be serviced and wasn't");
            }
            _ if !s.serviced && s.told => {
                say(true, "a ring not serviced since its closure was opened");
            }
            _ if !s.serviced => say(false, "a ring disturbed without a word"),
            _ => {}
        }
    }
    if p.opened_s > p.held_from_s {
        if p.opened_told {
            say(true, "opened since its hold, and said so");
        } else if p.read_s > p.opened_s && !p.pumped_untold {
            say(true, "opened since its hold; the gauge was read after that");
        } else {
            say(false, "opened and shut again without a word");
        }
    }
    if t - p.rechecked_s > recheck_limit_s + AGE_SLACK_S {
        say(true, "the recheck is older than the limit");
    }
}

fn leak(v: &Vessel, p: &Past, plan: &Plan, t: f64, say: &mut dyn FnMut(bool, &'static str)) {
    let over = |pore: f64| v.takes_ml(pore, plan) > v.limit_ml;
    if !over(v.pore_deep(t)) {
        return;
    }
    if !over(v.pore(t)) {
        say(false, "it leaks over the limit only at depth");
        return;
    }
    if over(v.pore(p.held_from_s)) {
        say(true, "it leaked over the limit when its hold began");
        return;
    }
    if p.lost_pa > SHOWS * p.known_pa {
        if p.pumped_untold {
            say(
                false,
                "it leaks; what it had lost was pumped away without a word",
            );
        } else if p.typed_foretold {
            say(
                false,
                "it leaks; the gauge showed it, and the number foretold was typed in its place",
            );
        } else {
            say(
                true,
                "it leaks; the last reading had lost enough to show it",
            );
        }
    } else {
        say(
            false,
            "it leaks since, or too little to show, before the last reading",
        );
    }
}

fn control(c: &ControlTruth, p: &Past, all: &mut Vec<False>) {
    let Some(dead) = c.dead_s else { return };
    let (showable, cause) = match (c.said, c.tried_s) {
        (Some((_, false)), _) => (true, "a control that was said to fail"),
        (None, _) => (true, "a dead control that nobody tried"),
        (Some((at, true)), _) if at < p.opened_s && p.opened_told => {
            (true, "a dead control not tried since the opening")
        }
        (Some((at, true)), Some(tried)) if tried >= dead && tried >= at - 1.0 => {
            (false, "a dead control that was said to work")
        }
        (Some((at, true)), tried) if tried.is_none_or(|s| s < at - 1.0) => {
            (false, "a control said to work that nobody tried")
        }
        _ => (false, "a control that died after it was tried"),
    };
    all.push(False { showable, cause });
}
