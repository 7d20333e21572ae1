//! The chart of a hold: readings at constant temperature and barometer, fit, band and limit.

use super::cx::Cx;
use super::hold::{ChartFit, ChartPoint, ChartTick, HoldChart};
use super::measures::Units;
use slackwater_domain::book::Judged;
use slackwater_physics::units::PressureUnit;

/// A hold longer than this, minutes, is drawn in hours.
const HOURS_FROM_MIN: f64 = 180.0;

/// Most readings that a screen reader is told of the chart; all of them stand in the list.
const SPOKEN_POINTS: usize = 12;

/// The limit's line may take at least this many of the gauge's steps.
const LEAST_STEPS: f64 = 8.0;

/// The chart of a hold; none before it can be judged.
pub(super) fn chart(cx: &Cx<'_>, judged: &Judged, unit: PressureUnit) -> Option<HoldChart> {
    let j = judged.judgement.as_ref()?;
    let mut points = Vec::new();
    for (i, &row) in judged.judged_rows.iter().enumerate() {
        let (Some(pa), Some(r)) = (j.reduced_pa.get(i), judged.readings.get(row)) else {
            continue;
        };
        points.push(ChartPoint {
            x: r.reading.t_s / 60.0,
            y: unit.from_pa(*pa),
            aside: j.suspects.contains(&i),
        });
    }
    let mut fit: Vec<ChartFit> = j
        .curve
        .iter()
        .map(|c| ChartFit {
            x: c.t_s / 60.0,
            y: unit.from_pa(c.fit_pa),
            low: unit.from_pa(c.low_pa),
            high: unit.from_pa(c.high_pa),
            limit: unit.from_pa(c.limit_pa),
        })
        .collect();
    let minutes = points
        .iter()
        .map(|p| p.x)
        .chain(fit.iter().map(|f| f.x))
        .fold(1.0_f64, f64::max);
    // A night is read in hours.
    let (per_unit, x_unit) = if minutes > HOURS_FROM_MIN {
        (60.0, "h")
    } else {
        (1.0, "min")
    };
    for p in &mut points {
        p.x /= per_unit;
    }
    for f in &mut fit {
        f.x /= per_unit;
    }
    let x_max = minutes / per_unit;
    let step = unit.from_pa(judged.hold.setup.gauge_resolution_pa);
    let (y_min, y_max) = heights(&points, &fit, step)?;
    let limit = cx.units.water(judged.hold.setup.limit_ml);
    let limit_label = match fit.iter().find(|f| f.limit < y_min || f.limit > y_max) {
        None => cx.say("screen_hold_limit_line", &[("limit", (&limit).into())]),
        Some(gone) => {
            let at = moment(&cx.units, gone.x, x_unit);
            let said = [("limit", (&limit).into()), ("at", (&at).into())];
            cx.say("screen_hold_limit_line_leaves", &said)
        }
    };
    let every = points.len().div_ceil(SPOKEN_POINTS).max(1);
    let spoken_points: Vec<String> = points
        .iter()
        .step_by(every)
        .map(|p| {
            let x = cx.units.plain(p.x, 3);
            format!("{x}\u{a0}{x_unit} {}", cx.units.rounded(p.y, 0.1))
        })
        .collect();
    let end = fit.last();
    let spoken = cx.say(
        "a11y_hold_chart",
        &[
            ("unit", unit.symbol().into()),
            ("readings", (&spoken_points.join(", ")).into()),
            (
                "fit",
                (&end.map_or_else(String::new, |f| cx.units.rounded(f.y, 0.1))).into(),
            ),
            (
                "low",
                (&end.map_or_else(String::new, |f| cx.units.rounded(f.low, 0.1))).into(),
            ),
            (
                "high",
                (&end.map_or_else(String::new, |f| cx.units.rounded(f.high, 0.1))).into(),
            ),
            (
                "limit",
                (&end.map_or_else(String::new, |f| cx.units.rounded(f.limit, 0.1))).into(),
            ),
        ],
    );
    Some(HoldChart {
        points,
        fit,
        x_min: 0.0,
        x_max,
        y_min,
        y_max,
        x_ticks: ticks(&cx.units, 0.0, x_max, 4),
        y_ticks: ticks(&cx.units, y_min, y_max, 4),
        x_unit: x_unit.into(),
        y_unit: unit.symbol().into(),
        limit_label,
        spoken,
    })
}

/// A moment of the hold in the chart's unit, or in minutes where that would be a part of an hour.
fn moment(units: &Units, x: f64, x_unit: &str) -> String {
    if x_unit == "h" && x < 1.0 {
        format!("{}\u{a0}min", units.plain(x * 60.0, 3))
    } else {
        format!("{}\u{a0}{x_unit}", units.plain(x, 3))
    }
}

/// From where to where the chart reaches. Readings and fit lead; the limit's line may take up to as
/// much again and then leaves it: over a night it would press everything else flat. The band may be
/// wider still, above all at the start.
fn heights(points: &[ChartPoint], fit: &[ChartFit], step: f64) -> Option<(f64, f64)> {
    let seen = points.iter().filter(|p| !p.aside).map(|p| p.y);
    let ys: Vec<f64> = seen
        .chain(fit.iter().map(|f| f.y))
        .filter(|y| y.is_finite())
        .collect();
    let mut low = ys.iter().copied().fold(f64::INFINITY, f64::min);
    let mut high = ys.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !low.is_finite() || !high.is_finite() {
        return None;
    }
    // Readings that never move are not drawn as a mountain range of the gauge's steps.
    let room = (high - low).max(LEAST_STEPS * step);
    let (least, most) = (low - room, high + room);
    for limit in fit.iter().map(|f| f.limit).filter(|y| y.is_finite()) {
        low = low.min(limit.max(least));
        high = high.max(limit.min(most));
    }
    let pad = ((high - low) * 0.1).max(step);
    Some((low - pad, high + pad))
}

/// About `wanted` ticks at 1, 2 or 5 times a power of ten.
fn ticks(units: &Units, min: f64, max: f64, wanted: u32) -> Vec<ChartTick> {
    let raw = (max - min) / f64::from(wanted);
    if !raw.is_finite() || raw <= 0.0 {
        return Vec::new();
    }
    let power = 10f64.powf(raw.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0]
        .into_iter()
        .map(|m| m * power)
        .find(|s| *s >= raw * 0.999)
        .unwrap_or(10.0 * power);
    let decimals = (-step.log10().floor()).clamp(0.0, 4.0) as usize;
    let first = (min / step).ceil() as i64;
    let last = (max / step).floor() as i64;
    (first..=last)
        .take(20)
        .map(|i| {
            let at = i as f64 * step;
            ChartTick {
                at,
                label: units.fixed(at, decimals),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hold(ys: &[f64], limit_at_end: f64) -> (Vec<ChartPoint>, Vec<ChartFit>) {
        let at = |i: usize| i as f64 / (ys.len() - 1) as f64;
        let points = ys.iter().enumerate().map(|(i, &y)| ChartPoint {
            x: at(i),
            y,
            aside: false,
        });
        let fit = ys.iter().enumerate().map(|(i, &y)| ChartFit {
            x: at(i),
            y,
            low: y - 1.0,
            high: y + 1.0,
            limit: ys[0] + (limit_at_end - ys[0]) * at(i),
        });
        (points.collect(), fit.collect())
    }

    #[test]
    fn readings_take_a_third_of_the_height_however_far_the_limit_goes() {
        let (points, fit) = hold(&[200.0, 199.0, 198.5, 198.0], 60.0);
        let (low, high) = heights(&points, &fit, 0.1).unwrap();
        assert!(low < 198.0 && high > 200.0);
        assert!(2.0 / (high - low) > 1.0 / 3.0, "{low} to {high}");
        assert!(fit.last().unwrap().limit < low, "the limit has left it");
    }

    #[test]
    fn a_near_limit_and_a_reading_that_counts_are_inside_and_one_set_aside_is_not() {
        let (mut points, fit) = hold(&[200.0, 199.0, 198.0], 196.5);
        let (low, high) = heights(&points, &fit, 0.1).unwrap();
        assert!(low < 196.5 && high > 200.0);
        points[1].y = 900.0;
        assert!(heights(&points, &fit, 0.1).unwrap().1 > 900.0);
        points[1].aside = true;
        assert!(heights(&points, &fit, 0.1).unwrap().1 < 210.0);
    }

    #[test]
    fn a_part_of_an_hour_is_told_in_minutes() {
        assert_eq!(moment(&Units::default(), 0.12, "h"), "7.2\u{a0}min");
        assert_eq!(moment(&Units::default(), 1.26, "h"), "1.26\u{a0}h");
        assert_eq!(moment(&Units::default(), 104.0, "min"), "104\u{a0}min");
        assert_eq!(moment(&Units::default(), 0.5, "min"), "0.5\u{a0}min");
    }

    #[test]
    fn readings_that_never_move_leave_the_limit_room_and_nothing_has_no_chart() {
        let (points, fit) = hold(&[200.0; 5], 199.4);
        let (low, high) = heights(&points, &fit, 0.1).unwrap();
        assert!(low < 199.4 && high > 200.0, "{low} to {high}");
        assert_eq!(heights(&[], &[], 0.1), None);
    }
}
