//! What is said of how long something took, where clocks disagree or don't tell.

use super::common::{Line, Severity};
use super::cx::{Cx, line};
use super::times::span;
use slackwater_domain::facts::ReadingFact;
use slackwater_domain::spans::{TimeDoubts, doubts};

/// What a page says of the times that its judgement rests on: a clock set on the way, a span that
/// isn't sure.
pub(super) fn lines(cx: &Cx<'_>, found: TimeDoubts) -> Vec<Line> {
    let ms = |s: f64| (s * 1_000.0) as i64;
    let mut out = Vec::new();
    if let Some(by) = clock_set(cx, found.set_s) {
        out.push(line(
            cx.say("common_clock_set_spans", &[("by", (&by).into())]),
            Severity::Notice,
            None,
        ));
    }
    if let Some((likely, least)) = found.unsure_s {
        out.push(line(
            cx.say(
                "common_span_unsure",
                &[
                    ("likely", (&span(ms(likely))).into()),
                    ("least", (&span(ms(least))).into()),
                ],
            ),
            Severity::Notice,
            None,
        ));
    }
    out
}

/// What the record says of a reading's time, beside it; nothing where it is sure.
pub(super) fn beside(cx: &Cx<'_>, reading: &ReadingFact) -> String {
    let found = doubts(std::slice::from_ref(reading));
    let mut out = String::new();
    if let Some(by) = clock_set(cx, found.set_s) {
        out.push_str(" · ");
        out.push_str(&cx.say("common_clock_set", &[("by", (&by).into())]));
    }
    if let Some(least) = reading.least_s {
        let least = span((least * 1_000.0) as i64);
        out.push_str(" · ");
        out.push_str(&cx.say("common_span_at_least", &[("least", (&least).into())]));
    }
    out
}

/// By how much the time of day was set, with the direction; none where it was not.
fn clock_set(cx: &Cx<'_>, set_s: f64) -> Option<String> {
    let time = span((set_s.abs() * 1_000.0) as i64);
    let key = if set_s > 0.0 {
        "common_clock_ahead"
    } else {
        "common_clock_back"
    };
    (set_s != 0.0).then(|| cx.say(key, &[("time", (&time).into())]))
}
