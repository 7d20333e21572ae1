//! The readings made ready: checked, gaps filled, in absolute pressure.

use std::borrow::Cow;

use super::{
    GaugeKind, HoldFault, HoldInput, Quantity, Range, RangeOf, Reading, TemperatureSource, Why,
};
use crate::gas::ATM;

/// A filled-in series. All vectors have one entry a reading.
#[derive(Debug, Clone)]
pub(super) struct Series {
    pub t: Vec<f64>,
    /// What the gauge showed, Pa.
    pub gauge: Vec<f64>,
    /// Temperature by the source, K, gaps filled.
    pub temp: Vec<f64>,
    /// Ambient, Pa, gaps filled.
    pub ambient: Vec<f64>,
    /// What the temperature is good for, after gaps are looked at.
    pub source: TemperatureSource,
    /// Whether there is a barometer worth its name.
    pub barometer: bool,
    /// Of a thermometer that is there and was not read often enough to be followed: the longest time
    /// without it, s.
    pub unread_s: Option<f64>,
}

impl Series {
    /// Absolute pressure inside, Pa, if the gauge shows `gauge` with `ambient` outside.
    pub(super) fn inside(kind: GaugeKind, gauge: f64, ambient: f64) -> f64 {
        match kind {
            GaugeKind::BelowAmbient => ambient - gauge,
            GaugeKind::Absolute => gauge,
        }
    }
}

fn range(
    quantity: Quantity,
    value: f64,
    (low, high): (f64, f64),
    of: RangeOf,
    said: &'static str,
) -> Result<(), HoldFault> {
    if value.is_finite() && value >= low && value <= high {
        Ok(())
    } else {
        Err(HoldFault::absurd(
            quantity,
            value,
            Why::Outside {
                range: Range { low, high, of },
                said,
            },
        ))
    }
}

/// Temperatures that a thermometer beside a housing can show, K.
const TEMPERATURES_K: (f64, f64) = (200.0, 400.0);
/// Air pressures, Pa: from the highest mountains to a pressure chamber's door.
const AMBIENT_PA: (f64, f64) = (30_000.0, 120_000.0);

/// A gauge that is off by more is broken, Pa.
const MOST_ZERO_PA: f64 = 20_000.0;

/// The same hold as read by a gauge without an error of its zero. What is known of [`HoldInput::zero_sd_pa`]
/// stays.
pub fn zeroed(h: &HoldInput) -> Cow<'_, HoldInput> {
    if h.zero_pa == 0.0 {
        return Cow::Borrowed(h);
    }
    let mut right = h.clone();
    for r in &mut right.readings {
        r.gauge_pa -= h.zero_pa;
    }
    right.zero_pa = 0.0;
    Cow::Owned(right)
}

/// How far what drives the leak may be off because the gauge's zero is, as a share of it (1 sd). A leak
/// goes by Pₐ² − P², which an error e of the pressure inside changes by 2·P·e.
pub(super) fn zero_share(h: &HoldInput) -> f64 {
    let Some(first) = h.readings.first().filter(|_| h.zero_sd_pa > 0.0) else {
        return 0.0;
    };
    let air = h.readings.iter().find_map(|r| r.ambient_pa).unwrap_or(ATM);
    let inside = Series::inside(h.gauge, first.gauge_pa - h.zero_pa, air).max(0.0);
    let drive = (air * air - inside * inside).abs().max(1.0);
    (2.0 * inside * h.zero_sd_pa / drive).min(0.29)
}

/// Checks that everything can exist.
///
/// # Errors
/// [`HoldFault`] for the first thing that can't.
pub(super) fn check(h: &HoldInput) -> Result<(), HoldFault> {
    use RangeOf as Of;
    range(
        Quantity::FreeVolume,
        h.volume_m3,
        (1e-6, 10.0),
        Of::Volume,
        "a volume of 1 mL to 10 m³ is allowed",
    )?;
    range(
        Quantity::VolumeError,
        h.volume_sd_m3,
        (0.0, h.volume_m3),
        Of::Volume,
        "0 up to the volume itself is allowed",
    )?;
    range(
        Quantity::Resolution,
        h.gauge_resolution_pa,
        (1e-3, 20_000.0),
        Of::Pressure,
        "0.001 Pa to 200 mbar is allowed",
    )?;
    range(
        Quantity::Limit,
        h.limit_ml,
        (1e-6, 1e9),
        Of::Water,
        "more than nothing is needed, mL per dive",
    )?;
    range(
        Quantity::Depth,
        h.dive.depth_m,
        (0.0, 11_000.0),
        Of::Depth,
        "0 to 11 000 m is allowed",
    )?;
    range(
        Quantity::Minutes,
        h.dive.minutes,
        (1e-3, 1e6),
        Of::Minutes,
        "more than 0 minutes is needed",
    )?;
    range(
        Quantity::Salinity,
        h.dive.salinity_g_kg,
        (0.0, 150.0),
        Of::Salinity,
        "0 to 150 g/kg is allowed",
    )?;
    range(
        Quantity::WaterTemperature,
        h.dive.water_k,
        (270.15, 323.15),
        Of::Temperature,
        "-3 to 50 °C is allowed",
    )?;
    if let Some(sd) = h.temperature_sd_k {
        range(
            Quantity::ThermometerError,
            sd,
            (1e-3, 20.0),
            Of::Kelvins,
            "0.001 to 20 K is allowed",
        )?;
    }
    if let Some(sd) = h.barometer_sd_pa {
        range(
            Quantity::BarometerError,
            sd,
            (0.1, 5_000.0),
            Of::Pressure,
            "0.1 Pa to 50 mbar is allowed",
        )?;
    }
    if let Some(rh) = h.humidity {
        range(
            Quantity::Humidity,
            rh,
            (0.0, 1.0),
            Of::Share,
            "0 to 100 % is allowed",
        )?;
    }
    range(
        Quantity::GaugeOpen,
        h.zero_pa,
        (-MOST_ZERO_PA, MOST_ZERO_PA),
        Of::Pressure,
        "a gauge that is off by more than 200 mbar is broken",
    )?;
    range(
        Quantity::GaugeError,
        h.zero_sd_pa,
        (0.0, MOST_ZERO_PA),
        Of::Pressure,
        "0 to 200 mbar is allowed",
    )?;
    let mut before = f64::NEG_INFINITY;
    for (index, r) in h.readings.iter().enumerate() {
        let absurd = |quantity, value, why| {
            Err(HoldFault::AbsurdReading {
                index,
                quantity,
                value,
                why,
            })
        };
        let outside = |(low, high), of, said| Why::Outside {
            range: Range { low, high, of },
            said,
        };
        if !r.t_s.is_finite() || r.t_s.abs() > 1e9 {
            return absurd(Quantity::Time, r.t_s, Why::NoTime);
        }
        if r.t_s < before {
            return Err(HoldFault::OutOfOrder { index });
        }
        before = r.t_s;
        if let Some(t) = r.temperature_k
            && !(t.is_finite() && (TEMPERATURES_K.0..=TEMPERATURES_K.1).contains(&t))
        {
            return absurd(
                Quantity::Temperature,
                t,
                outside(TEMPERATURES_K, Of::Temperature, "-73 to 127 °C is allowed"),
            );
        }
        if let Some(p) = r.ambient_pa
            && !(p.is_finite() && (AMBIENT_PA.0..=AMBIENT_PA.1).contains(&p))
        {
            return absurd(
                Quantity::Ambient,
                p,
                outside(AMBIENT_PA, Of::Pressure, "300 to 1200 mbar is allowed"),
            );
        }
        if !r.gauge_pa.is_finite() {
            return absurd(Quantity::Gauge, r.gauge_pa, Why::NoNumber);
        }
    }
    Ok(())
}

/// A hand pump's vacuum is far from this; nearer to nothing the gas law's logarithms end, Pa.
const LEAST_PA: f64 = 1.0;

/// What the gauge can show at a reading, Pa: no vacuum is deeper than the air outside. Where no
/// barometer was read, the highest air pressure there is bounds it.
fn can_show(h: &HoldInput, index: usize) -> (f64, f64) {
    let air = || {
        let (before, after) = h.readings.split_at(index + 1);
        let of = |r: &Reading| r.ambient_pa;
        before
            .iter()
            .rev()
            .find_map(of)
            .or_else(|| after.iter().find_map(of))
            .unwrap_or(AMBIENT_PA.1)
    };
    match h.gauge {
        GaugeKind::BelowAmbient => (-AMBIENT_PA.1, air() - LEAST_PA),
        GaugeKind::Absolute => (LEAST_PA, 2.0 * AMBIENT_PA.1),
    }
}

/// Marks gauge readings that no gauge can show. A few are slips of the finger, to be pointed out.
///
/// # Errors
/// [`HoldFault::AbsurdReading`] names the first where they are more than a third: the unit or the
/// kind of the gauge is wrong then.
pub(super) fn impossible(h: &HoldInput) -> Result<Vec<bool>, HoldFault> {
    let wrong: Vec<bool> = h
        .readings
        .iter()
        .enumerate()
        .map(|(i, r)| {
            let (low, high) = can_show(h, i);
            !(low..=high).contains(&r.gauge_pa)
        })
        .collect();
    let count = wrong.iter().filter(|w| **w).count();
    if 3 * count <= wrong.len() {
        return Ok(wrong);
    }
    let index = wrong.iter().position(|w| *w).unwrap_or(0);
    let (low, high) = can_show(h, index);
    Err(HoldFault::AbsurdReading {
        index,
        quantity: Quantity::Gauge,
        value: h.readings.get(index).map_or(f64::NAN, |r| r.gauge_pa),
        why: Why::Outside {
            range: Range {
                low,
                high,
                of: RangeOf::Pressure,
            },
            said: "no vacuum is deeper than the air outside; is the unit right?",
        },
    })
}

/// Fills gaps by straight lines between the readings at hand, level beyond their ends.
fn fill(t: &[f64], v: &[Option<f64>], otherwise: f64) -> Vec<f64> {
    let known: Vec<(f64, f64)> = t
        .iter()
        .zip(v)
        .filter_map(|(&t, v)| v.map(|v| (t, v)))
        .collect();
    let (Some(first), Some(last)) = (known.first(), known.last()) else {
        return vec![otherwise; t.len()];
    };
    let mut k = 0;
    t.iter()
        .map(|&now| {
            if now <= first.0 {
                return first.1;
            }
            if now >= last.0 {
                return last.1;
            }
            while k + 2 < known.len() && known[k + 1].0 < now {
                k += 1;
            }
            let (a, b) = (known[k], known[k + 1]);
            if b.0 > a.0 {
                a.1 + (b.1 - a.1) * (now - a.0) / (b.0 - a.0)
            } else {
                b.1
            }
        })
        .collect()
}

/// A column is followed where no more than this share of the hold passes without it …
pub(super) const UNREAD_SHARE: f64 = 0.35;
/// … or no more than this, s. What moves meanwhile is not seen. Common practice.
pub(super) const UNREAD_S: f64 = 600.0;

/// Whether readings of a column reach far enough through the hold to follow it.
fn follows(t: &[f64], v: &[Option<f64>]) -> bool {
    let (Some(&start), Some(&end)) = (t.first(), t.last()) else {
        return false;
    };
    let times = || {
        t.iter()
            .zip(v)
            .filter(|(_, v)| v.is_some())
            .map(|(&t, _)| t)
    };
    let (Some(first), Some(last)) = (times().next(), times().next_back()) else {
        return false;
    };
    let slack = (0.15 * (end - start)).max(120.0);
    let mut before = first;
    let mut gap: f64 = 0.0;
    for now in times() {
        gap = gap.max(now - before);
        before = now;
    }
    let most = (UNREAD_SHARE * (end - start)).max(UNREAD_S);
    first - start <= slack && end - last <= slack && gap <= most
}

/// The longest time without an entry of a column, from the first reading to the last, s.
fn unread(t: &[f64], v: &[Option<f64>]) -> f64 {
    let read = t.iter().zip(v).filter(|(_, v)| v.is_some()).map(|x| *x.0);
    let (start, end) = (t.first().copied(), t.last().copied());
    let all: Vec<f64> = start.into_iter().chain(read).chain(end).collect();
    all.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max)
}

/// Makes the first `n` readings ready, in which `wrong_t` and `wrong_p` mark temperatures and
/// barometer readings to pass over.
pub(super) fn ready(h: &HoldInput, wrong_t: &[bool], wrong_p: &[bool]) -> Series {
    let t: Vec<f64> = h.readings.iter().map(|r| r.t_s).collect();
    let keep = |wrong: &[bool], i: usize| !wrong.get(i).copied().unwrap_or(false);
    let temps: Vec<Option<f64>> = h
        .readings
        .iter()
        .enumerate()
        .map(|(i, r)| r.temperature_k.filter(|_| keep(wrong_t, i)))
        .collect();
    let ambients: Vec<Option<f64>> = h
        .readings
        .iter()
        .enumerate()
        .map(|(i, r)| r.ambient_pa.filter(|_| keep(wrong_p, i)))
        .collect();
    let has_one = h.temperature_source != TemperatureSource::None;
    let source = if has_one && follows(&t, &temps) {
        h.temperature_source
    } else {
        TemperatureSource::None
    };
    let unread_s = (has_one && source == TemperatureSource::None).then(|| unread(&t, &temps));
    let barometer = follows(&t, &ambients);
    // Without a followed temperature the gas is taken to stay as it was; the model's spread says so.
    let temp = if source == TemperatureSource::None {
        vec![temps.iter().flatten().next().copied().unwrap_or(293.15); t.len()]
    } else {
        fill(&t, &temps, 293.15)
    };
    Series {
        gauge: h.readings.iter().map(|r| r.gauge_pa).collect(),
        temp,
        ambient: fill(&t, &ambients, ATM),
        t,
        source,
        barometer,
        unread_s,
    }
}
