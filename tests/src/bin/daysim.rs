//! Lives random days of a crew over a world of its own, and counts how often the app calls ready what
//! isn't, and how often it refuses what is in order.
//!
//! `daysim --days N --seed S [--threads T] [--examples K] [--crew C] [--story]`
//!
//! Prints a table per 100,000 days and, as its last line, the counts as JSON. For each cause the
//! first `K` false *ready*s are shrunk to the mishaps they need; `--story` tells them whole.
//! `--crew C` tells the days of one crew of that seed.

use std::process::ExitCode;

use slackwater_checks::daysim::run::{Example, Tally, live_all, one, seed_of, shrink};

struct Wish {
    days: usize,
    seed: u64,
    threads: usize,
    examples: usize,
    crew: Option<usize>,
    story: bool,
}

fn wish() -> Result<Wish, String> {
    let mut wish = Wish {
        days: 1_000,
        seed: 1,
        threads: std::thread::available_parallelism().map_or(1, usize::from),
        examples: 1,
        crew: None,
        story: false,
    };
    let mut args = std::env::args().skip(1);
    while let Some(arg) = args.next() {
        if arg == "--story" {
            wish.story = true;
            continue;
        }
        let value = args.next().ok_or_else(|| format!("{arg} wants a number"))?;
        let number: u64 = value
            .parse()
            .map_err(|_| format!("{arg}: {value} is no number"))?;
        let count = usize::try_from(number).map_err(|e| e.to_string())?;
        match arg.as_str() {
            "--days" => wish.days = count,
            "--seed" => wish.seed = number,
            "--threads" => wish.threads = count,
            "--examples" => wish.examples = count,
            "--crew" => wish.crew = Some(count),
            other => return Err(format!("{other} is not known")),
        }
    }
    Ok(wish)
}

fn main() -> ExitCode {
    let wish = match wish() {
        Ok(wish) => wish,
        Err(why) => {
            eprintln!("{why}");
            return ExitCode::from(2);
        }
    };
    if let Some(crew) = wish.crew {
        return tell_one(&wish, crew);
    }
    let began = std::time::Instant::now();
    let tally = live_all(wish.days, wish.seed, wish.threads);
    let seconds = began.elapsed().as_secs_f64();
    table(&wish, &tally);
    println!(
        "{} days in {seconds:.0} s: {:.0} a second on {} threads",
        tally.days,
        tally.days as f64 / seconds,
        wish.threads
    );
    println!("{}", tally.json());
    if tally.broke.is_empty() {
        ExitCode::SUCCESS
    } else {
        ExitCode::FAILURE
    }
}

fn tell_one(wish: &Wish, crew: usize) -> ExitCode {
    match one(wish.days, wish.seed, crew, true) {
        Ok(told) => {
            for line in &told.story {
                println!("{line}");
            }
            println!("came: {:?}", told.came);
            println!("stuck: {:?}", told.stuck);
            println!("false ready: {:?}", told.wrong);
            println!("in order {}, refused {:?}", told.in_order, told.refused);
            ExitCode::SUCCESS
        }
        Err(e) => {
            eprintln!("{e}");
            ExitCode::FAILURE
        }
    }
}

fn table(wish: &Wish, tally: &Tally) {
    let per = |n: u64| n as f64 * 1e5 / tally.days.max(1) as f64;
    println!(
        "seed {}; per 100,000 days: ready {:.0}",
        wish.seed,
        per(tally.ready)
    );
    for showable in [true, false] {
        println!(
            "\nfalse ready, {}: {:.0} ({})",
            if showable {
                "which a reading or what was said could have shown"
            } else {
                "which nothing could have shown"
            },
            per(tally.false_ready(showable)),
            tally.false_ready(showable)
        );
        for (f, crews) in tally.wrong.iter().filter(|(f, _)| f.showable == showable) {
            println!(
                "{:10.0}  {} ({})",
                per(crews.len() as u64),
                f.cause,
                crews.len()
            );
            for crew in crews.iter().take(wish.examples) {
                example(wish, &shrink(wish.days, wish.seed, *crew, f));
            }
        }
    }
    let share = tally.refusals() as f64 * 100.0 / tally.in_order.max(1) as f64;
    println!(
        "\nnot ready though in order: {} of {} ({share:.1} %)",
        tally.refusals(),
        tally.in_order
    );
    for (why, crews) in &tally.refused {
        println!("{:10}  {why} (crews {crews:?})", crews.len());
    }
    println!("\nmishaps that came to pass; asked about where they were typed");
    for (what, (came, caught)) in &tally.came {
        println!("{came:10}  {what:?}; {caught}");
    }
    println!("\ncrews stuck, mishap or not");
    for (why, crews) in &tally.stuck {
        println!("{:10}  {why} (crew {})", crews.len(), crews[0]);
    }
    for (crew, why) in &tally.broke {
        println!(
            "crew {crew} (seed {}) ended in an error: {why}",
            seed_of(wish.seed, *crew)
        );
    }
}

fn example(wish: &Wish, e: &Example) {
    let needs: Vec<String> = e
        .script
        .iter()
        .map(|m| format!("{:?} (day {}, size {:.2})", m.what, m.day + 1, m.size))
        .collect();
    let needs = if needs.is_empty() {
        "nothing".to_owned()
    } else {
        needs.join(", ")
    };
    println!("            crew {}: needs {needs}", e.crew);
    if wish.story {
        for line in &e.story {
            println!("                {line}");
        }
    }
}
