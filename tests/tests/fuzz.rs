//! A while of fuzzing on any compiler: each target's corpus, what it begins from, and changes of both.
//!
//! `SLACKWATER_FUZZ` multiplies the number of inputs, `SLACKWATER_SEED` changes them. `tests/fuzz` runs the same
//! targets under libFuzzer, which looks for what no input has reached yet.

use std::fs;
use std::path::PathBuf;

use slackwater_checks::fuzz::{TARGETS, Target, target};

/// Any generator does: Marsaglia, 'Xorshift RNGs', J. Stat. Softw. 8 (14), 2003.
struct Dice(u64);

impl Dice {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

fn corpus(name: &str) -> Vec<Vec<u8>> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR"))
        .join("fuzz/corpus")
        .join(name);
    let Ok(entries) = fs::read_dir(folder) else {
        return Vec::new();
    };
    let mut paths: Vec<PathBuf> = entries.map(|e| e.unwrap().path()).collect();
    paths.sort();
    paths.iter().map(|p| fs::read(p).unwrap()).collect()
}

/// One input made of others.
fn changed(from: &[Vec<u8>], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = from[dice.below(from.len())].clone();
    for _ in 0..=dice.below(4) {
        let at = dice.below(bytes.len() + 1);
        match dice.below(7) {
            0 if at < bytes.len() => bytes[at] ^= 1 << dice.below(8),
            1 if at < bytes.len() => bytes[at] = dice.below(256) as u8,
            2 => bytes.truncate(at),
            3 => bytes.insert(at, dice.below(256) as u8),
            4 => {
                let other = &from[dice.below(from.len())];
                let (a, b) = (dice.below(other.len() + 1), dice.below(other.len() + 1));
                let part = other[a.min(b)..a.max(b)].to_vec();
                bytes.splice(at..at, part);
            }
            5 => {
                let end = (at + dice.below(40)).min(bytes.len());
                drop(bytes.drain(at..end));
            }
            _ => {
                const WORDS: [&str; 8] = ["-1", "1e308", "\"", "\u{202e}", "null", "{", "[[", "\n"];
                bytes.splice(at..at, WORDS[dice.below(WORDS.len())].bytes());
            }
        }
    }
    bytes
}

fn number(name: &str) -> u64 {
    std::env::var(name).map_or(1, |n| n.parse().unwrap())
}

fn fuzz(name: &str) {
    let Target {
        run, seeds, tries, ..
    } = target(name);
    let mut from = corpus(name);
    from.extend(seeds());
    let known = from.len();
    let mut dice = Dice(number("SLACKWATER_SEED").wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let tries = tries * number("SLACKWATER_FUZZ");
    let kept = from.clone();
    for n in 0..known as u64 + tries {
        let input = match kept.get(n as usize) {
            Some(input) => input.clone(),
            None => changed(&from, &mut dice),
        };
        let tried = std::panic::catch_unwind(|| run(&input));
        if tried.is_err() {
            let at = std::env::temp_dir().join(format!("slackwater-fuzz-{name}"));
            fs::write(&at, &input).unwrap();
            panic!(
                "{name}: input {n} of {} bytes, kept as {}",
                input.len(),
                at.display()
            );
        }
    }
    println!("{name}: {known} known inputs, {tries} changed");
    assert!(known > 3, "{known}");
}

#[test]
fn the_body_of_an_event() {
    fuzz("body");
}

#[test]
fn a_line_of_a_file_of_everything() {
    fuzz("line");
}

#[test]
fn a_hold_log() {
    fuzz("hold_log");
}

#[test]
fn a_hold_log_judged() {
    fuzz("hold_judged");
}

#[test]
fn a_procedure() {
    fuzz("procedure");
}

#[test]
fn a_photo() {
    fuzz("photo");
}

#[test]
fn the_events_of_a_segment() {
    fuzz("segment");
}

#[test]
fn what_a_phone_says_to_have() {
    fuzz("hello");
}

#[test]
fn a_parcel() {
    fuzz("parcel");
}

#[test]
fn a_code_to_join_by() {
    fuzz("join_code");
}

#[test]
fn a_parcel_that_is_taken() {
    fuzz("taken");
}

#[test]
fn events_that_are_signed() {
    fuzz("events");
}

#[test]
fn a_file_of_everything() {
    fuzz("everything");
}

#[test]
fn places_and_actions_across_the_boundary() {
    fuzz("boundary");
}

#[test]
fn every_target_is_tried() {
    for target in &TARGETS {
        let called = format!("fuzz(\"{}\");", target.name);
        assert!(include_str!("fuzz.rs").contains(&called), "{called}");
    }
}
