//! What goes wrong in the days of a crew, drawn before they begin so that it can be left out one by
//! one: slips of people, and faults of things.

use super::dice::Dice;

/// What goes wrong.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Wrong {
    /// The kind of gauge is said wrongly at the set-up of a hold.
    GaugeKind,
    /// Its unit is said wrongly.
    GaugeUnit,
    /// A reading is typed with its decimal sign in the wrong place.
    DecimalSign,
    /// Two digits of a reading change places.
    Digits,
    /// The gauge of the other housing is read.
    OtherGauge,
    /// A temperature is typed in the other unit or a digit off.
    AirWrong,
    /// The barometer is typed for another place.
    BarometerWrong,
    /// The plug is left out and said to be in; the second member may see it.
    PlugForgotten,
    /// As before, and the second member doesn't look.
    PlugByBoth,
    /// The plug is out for a reading of the gauge and stays out.
    PlugAfterGauge,
    /// One person signs for two.
    OneForTwo,
    /// A step is skipped with a reason.
    SkipStep,
    /// A ring is said to be serviced and isn't.
    NotServiced,
    /// A nicked ring goes back in, and the finding is said.
    NickedBack,
    /// A ring is left out.
    RingLeftOut,
    /// The clock is set ahead.
    ClockAhead,
    /// The clock is set back.
    ClockBack,
    /// The clock is set ahead and back again, the app closed between.
    ClockThereAndBack,
    /// The clock jumps ahead during a hold.
    ClockInHold,
    /// Somebody opens a closure and shuts it, and says nothing.
    LentOpened,
    /// As before, and pumps it down again.
    LentPumped,
    /// A seal is taken off the list.
    RemoveSeal,
    /// The open second housing is taken off the rig.
    RemoveEnclosure,
    /// A control is unassigned.
    UnassignControl,
    /// The depth rating is typed too high.
    RaiseRating,
    /// The limit is raised after a leak was found.
    RaiseLimit,
    /// The free volume is typed too small.
    LessVolume,
    /// The hold is judged under a shallow plan, which is then deepened.
    PlanShallow,
    /// The plan goes deeper than the housing stands.
    PlanDeep,
    /// The plan's water is said cold for the hold, and warm afterwards.
    PlanCold,
    /// A logged hold of another day is brought in.
    BringHold,
    /// The other member opened it and wrote it on another phone; the logs meet before the dive.
    OtherPhoneOpened,
    /// The camera is said to be cold.
    CameraSaidCold,
    /// The fresh desiccant isn't said.
    DesiccantUnsaid,
    /// At the recheck the number that the screen foretells is typed.
    TypesForetold,
    /// After a recheck that found a change, the number foretold is typed.
    TypesAgain,
    /// A control that fails is said to work.
    DeadSaidWorks,
    /// Water is found, and the fault closed with a word.
    WaterClosed,
    /// Dives on the recheck of before the last dive.
    NoRecheck,
    /// The dive goes deeper than the housing stands.
    DivesDeep,
    /// Readings that fall are set aside.
    SetAside,
    /// A fall of the recheck's vacuum is pumped away without a word.
    PumpsAgain,

    /// A leak begins.
    LeakBegins,
    /// A leak that opens only at depth.
    LeakDeep,
    /// A hair stays on a ring at its service.
    Hair,
    /// A control dies.
    ControlDies,
    /// A leak is there before the hold.
    LeakBefore,
}

/// The slips of people.
pub const SLIPS: [Wrong; 42] = [
    Wrong::GaugeKind,
    Wrong::GaugeUnit,
    Wrong::DecimalSign,
    Wrong::Digits,
    Wrong::OtherGauge,
    Wrong::AirWrong,
    Wrong::BarometerWrong,
    Wrong::PlugForgotten,
    Wrong::PlugByBoth,
    Wrong::PlugAfterGauge,
    Wrong::OneForTwo,
    Wrong::SkipStep,
    Wrong::NotServiced,
    Wrong::NickedBack,
    Wrong::RingLeftOut,
    Wrong::ClockAhead,
    Wrong::ClockBack,
    Wrong::ClockThereAndBack,
    Wrong::ClockInHold,
    Wrong::LentOpened,
    Wrong::LentPumped,
    Wrong::RemoveSeal,
    Wrong::RemoveEnclosure,
    Wrong::UnassignControl,
    Wrong::RaiseRating,
    Wrong::RaiseLimit,
    Wrong::LessVolume,
    Wrong::PlanShallow,
    Wrong::PlanDeep,
    Wrong::PlanCold,
    Wrong::BringHold,
    Wrong::OtherPhoneOpened,
    Wrong::CameraSaidCold,
    Wrong::DesiccantUnsaid,
    Wrong::TypesForetold,
    Wrong::TypesAgain,
    Wrong::DeadSaidWorks,
    Wrong::WaterClosed,
    Wrong::NoRecheck,
    Wrong::DivesDeep,
    Wrong::SetAside,
    Wrong::PumpsAgain,
];

/// The faults of things.
pub const FAULTS: [Wrong; 5] = [
    Wrong::LeakBegins,
    Wrong::LeakDeep,
    Wrong::Hair,
    Wrong::ControlDies,
    Wrong::LeakBefore,
];

impl Wrong {
    /// Comes at its hour; the others at the first occasion of their day.
    #[must_use]
    pub fn comes_by_itself(self) -> bool {
        matches!(
            self,
            Wrong::LeakBegins | Wrong::LeakDeep | Wrong::ControlDies
        )
    }

    /// Slips that do harm only with a fault of things beside them, and which.
    fn wants(self) -> &'static [Wrong] {
        match self {
            Wrong::GaugeKind
            | Wrong::GaugeUnit
            | Wrong::LessVolume
            | Wrong::PlanShallow
            | Wrong::PlanCold
            | Wrong::BringHold
            | Wrong::RaiseLimit
            | Wrong::SetAside
            | Wrong::ClockInHold
            | Wrong::CameraSaidCold
            | Wrong::DesiccantUnsaid
            | Wrong::OtherGauge => &[Wrong::LeakBefore],
            Wrong::TypesForetold | Wrong::TypesAgain | Wrong::PumpsAgain => &[Wrong::LeakBegins],
            Wrong::UnassignControl | Wrong::DeadSaidWorks => &[Wrong::ControlDies],
            Wrong::RemoveSeal => &[Wrong::NickedBack],
            _ => &[],
        }
    }
}

impl Wrong {
    /// A slip in a number or a choice, which can be asked about where it is typed.
    #[must_use]
    pub fn is_typed(self) -> bool {
        matches!(
            self,
            Wrong::GaugeKind
                | Wrong::GaugeUnit
                | Wrong::DecimalSign
                | Wrong::Digits
                | Wrong::OtherGauge
                | Wrong::AirWrong
                | Wrong::BarometerWrong
                | Wrong::TypesForetold
                | Wrong::TypesAgain
        )
    }
}

/// One thing that goes wrong on one day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mishap {
    /// What.
    pub what: Wrong,
    /// On which day, from 0.
    pub day: usize,
    /// When in that day at the earliest, 0 to 1 (faults of things begin then).
    pub when: f64,
    /// How large: for a leak, in limits.
    pub size: f64,
    /// Of which of several things.
    pub which: usize,
}

/// What goes wrong in so many days of a crew. A third of all crews make no slip.
#[must_use]
pub fn draw(seed: u64, days: usize) -> Vec<Mishap> {
    let mut d = Dice::of(seed, &[1]);
    let careful = d.chance(0.35);
    let lucky = d.chance(0.5);
    let mut all = Vec::new();
    for day in 0..days {
        let one = |d: &mut Dice, what| Mishap {
            what,
            day,
            when: d.unit(),
            size: match what {
                Wrong::LeakBegins | Wrong::LeakBefore | Wrong::LeakDeep | Wrong::Hair => {
                    d.log_between(0.3, 40.0)
                }
                _ => d.unit(),
            },
            which: d.below(64),
        };
        if !lucky && d.chance(0.3) {
            let what = d.of_these(&FAULTS);
            all.push(one(&mut d, what));
        }
        if careful {
            continue;
        }
        let slips = [0, 1, 1, 1, 2, 2, 3][d.below(7)];
        for _ in 0..slips {
            let what = d.of_these(&SLIPS);
            all.push(one(&mut d, what));
            if !what.wants().is_empty() && d.chance(0.7) {
                let beside = d.of_these(what.wants());
                all.push(one(&mut d, beside));
            }
        }
    }
    all
}
