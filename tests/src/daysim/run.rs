//! Many crews, counted.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicUsize, Ordering};

use slackwater_core::domain::book::BookFault;

use super::crew::{Crew, Fate};
use super::dice::Dice;
use super::oracle::False;
use super::script::{Mishap, Wrong, draw};

/// Days that one crew is followed.
pub const DAYS_OF_A_CREW: usize = 6;

/// What came of the days of one crew.
#[derive(Debug, Default, Clone)]
pub struct Told {
    /// Days lived.
    pub days: u64,
    /// Times the app said ready as the rig went in.
    pub ready: u64,
    /// Every *ready* that was false, by the worst of what was wrong, each kind once. After one that
    /// something could have shown, the crew's days end.
    pub wrong: Vec<False>,
    /// Times that a rig was in order and all was done as practice asks.
    pub in_order: u64,
    /// Of these, those that the app refused, and by what.
    pub refused: Vec<String>,
    /// What a crew, mishap or not, was stuck at.
    pub stuck: Vec<String>,
    /// Mishaps that came to pass.
    pub came: Vec<Wrong>,
    /// Mishaps that the app asked about where they were typed.
    pub caught: Vec<Wrong>,
    /// The story, where asked for.
    pub story: Vec<String>,
}

/// Lives the days of one crew.
///
/// # Errors
/// The file, or an action that no screen should answer so.
pub fn live(seed: u64, days: usize, script: &[Mishap], tell: bool) -> Result<Told, BookFault> {
    let memory = Path::new("/dev/shm");
    let folder = tempfile::tempdir_in(memory)
        .or_else(|_| tempfile::tempdir())
        .map_err(|e| BookFault::NotFound {
            what: "folder",
            id: e.to_string(),
        })?;
    let mut crew = Crew::new(folder.path(), seed, script.to_vec(), tell)?;
    let mut told = Told::default();
    let lived = days_of(&mut crew, &mut told, days);
    told.came = crew.came();
    told.caught.clone_from(&crew.caught);
    told.story = crew.story.take().unwrap_or_default();
    if let Err(e) = lived {
        if !tell {
            return Err(e);
        }
        told.story.push(format!("ended in an error: {e}"));
    }
    Ok(told)
}

fn days_of(crew: &mut Crew, told: &mut Told, days: usize) -> Result<(), BookFault> {
    let mut build = true;
    for day in 0..days {
        crew.begin_day(day);
        told.days += 1;
        if build || crew.dice().chance(0.1) {
            if let Fate::Stuck(why) = crew.prep("general-build")? {
                told.stuck.push(why);
            }
        } else if crew.dice().chance(0.3) {
            crew.changes_lens()?;
        }
        build = false;
        let dives = 1 + crew.dice().below(3);
        for n in 0..dives {
            crew.clock_there_and_back()?;
            let fate = if n > 0 && crew.skips_recheck() {
                Fate::Done
            } else {
                crew.work_off()?
            };
            let ready = crew.says_ready()?;
            let truth = crew.truth();
            if crew.unharmed() && truth.is_empty() {
                told.in_order += 1;
                if !ready {
                    told.refused.push(match &fate {
                        Fate::Stuck(why) => why.clone(),
                        Fate::Done => "not ready in the end".into(),
                    });
                }
            }
            if !ready {
                if let Fate::Stuck(why) = fate {
                    told.stuck.push(why);
                }
                build = true;
                break;
            }
            told.ready += 1;
            if let Some(first) = truth.first() {
                if !told.wrong.contains(first) {
                    told.wrong.push(first.clone());
                }
                if first.showable {
                    return Ok(());
                }
            }
            let wet = crew.dive()?;
            if n + 1 < dives {
                if !wet && crew.dice().chance(0.4) {
                    if let Fate::Stuck(why) = crew.prep("turnaround")? {
                        told.stuck.push(why);
                    }
                } else {
                    crew.wait_s(3_000.0);
                }
            }
        }
        if crew.dice().chance(0.2) {
            crew.changes_lens()?;
        }
    }
    Ok(())
}

/// One false *ready* told shortly.
#[derive(Debug, Clone)]
pub struct Example {
    /// The crew.
    pub crew: usize,
    /// What was needed for it.
    pub script: Vec<Mishap>,
    /// The story.
    pub story: Vec<String>,
}

/// Many crews, counted.
#[derive(Debug, Default)]
pub struct Tally {
    /// Days lived.
    pub days: u64,
    /// Times ready.
    pub ready: u64,
    /// Times in order.
    pub in_order: u64,
    /// Refused though in order, by what.
    pub refused: BTreeMap<String, Vec<usize>>,
    /// False ready by cause, with the crews.
    pub wrong: BTreeMap<False, Vec<usize>>,
    /// How often each mishap came to pass, and how often the app asked about it.
    pub came: BTreeMap<Wrong, (u64, u64)>,
    /// What crews were stuck at, with the crews.
    pub stuck: BTreeMap<String, Vec<usize>>,
    /// Crews whose day ended in an error, with it.
    pub broke: Vec<(usize, String)>,
}

impl Tally {
    fn add(&mut self, crew: usize, lived: Result<Told, BookFault>) {
        let told = match lived {
            Ok(told) => told,
            Err(e) => {
                self.broke.push((crew, e.to_string()));
                return;
            }
        };
        self.days += told.days;
        self.ready += told.ready;
        self.in_order += told.in_order;
        for why in told.refused {
            self.refused.entry(why).or_default().push(crew);
        }
        for f in told.wrong {
            self.wrong.entry(f).or_default().push(crew);
        }
        for what in told.came {
            self.came.entry(what).or_default().0 += 1;
        }
        for what in told.caught {
            self.came.entry(what).or_default().1 += 1;
        }
        for why in told.stuck {
            self.stuck.entry(why).or_default().push(crew);
        }
    }

    /// False ready that something could have shown, or that nothing could.
    #[must_use]
    pub fn false_ready(&self, showable: bool) -> u64 {
        self.wrong
            .iter()
            .filter(|(f, _)| f.showable == showable)
            .map(|(_, crews)| crews.len() as u64)
            .sum()
    }

    /// Refused though in order.
    #[must_use]
    pub fn refusals(&self) -> u64 {
        self.refused.values().map(|c| c.len() as u64).sum()
    }

    /// The last line of the program.
    #[must_use]
    pub fn json(&self) -> String {
        format!(
            "{{\"days\":{},\"ready\":{},\"false_ready_showable\":{},\"false_ready_hidden\":{},\"in_order\":{},\"in_order_refused\":{}}}",
            self.days,
            self.ready,
            self.false_ready(true),
            self.false_ready(false),
            self.in_order,
            self.refusals(),
        )
    }
}

/// The seed of one of the crews.
#[must_use]
pub fn seed_of(seed: u64, crew: usize) -> u64 {
    Dice::of(seed, &[0, crew as u64]).bits()
}

/// Lives so many days, in crews of [`DAYS_OF_A_CREW`], on so many threads; the same for a seed
/// whatever their number.
#[must_use]
pub fn live_all(days: usize, seed: u64, threads: usize) -> Tally {
    let crews = days.div_ceil(DAYS_OF_A_CREW);
    let next = AtomicUsize::new(0);
    let all = Mutex::new(BTreeMap::new());
    std::thread::scope(|scope| {
        for _ in 0..threads.max(1) {
            scope.spawn(|| {
                loop {
                    let crew = next.fetch_add(1, Ordering::Relaxed);
                    if crew >= crews {
                        return;
                    }
                    let lived = one(days, seed, crew, false);
                    if let Ok(mut all) = all.lock() {
                        all.insert(crew, lived);
                    }
                }
            });
        }
    });
    let mut tally = Tally::default();
    for (crew, lived) in all.into_inner().unwrap_or_default() {
        tally.add(crew, lived);
    }
    tally
}

fn days_left(days: usize, crew: usize) -> usize {
    days.saturating_sub(crew * DAYS_OF_A_CREW)
        .min(DAYS_OF_A_CREW)
}

/// Lives the days of one of the crews.
///
/// # Errors
/// As [`live`].
pub fn one(days: usize, seed: u64, crew: usize, tell: bool) -> Result<Told, BookFault> {
    let of_it = seed_of(seed, crew);
    live(
        of_it,
        days_left(days, crew),
        &draw(of_it, DAYS_OF_A_CREW),
        tell,
    )
}

/// Leaves out of a false *ready* what it doesn't need: mishaps one by one, then the days after.
#[must_use]
pub fn shrink(days: usize, seed: u64, crew: usize, wrong: &False) -> Example {
    let of_it = seed_of(seed, crew);
    let most = days_left(days, crew);
    let same = |script: &[Mishap], tell: bool| {
        live(of_it, most, script, tell)
            .ok()
            .filter(|t| t.wrong.contains(wrong))
    };
    let mut script = draw(of_it, DAYS_OF_A_CREW);
    let mut at = script.len();
    while at > 0 {
        at -= 1;
        let mut less = script.clone();
        less.remove(at);
        if same(&less, false).is_some() {
            script = less;
        }
    }
    let story = same(&script, true).map(|t| t.story).unwrap_or_default();
    Example {
        crew,
        script,
        story,
    }
}
