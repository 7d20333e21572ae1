//! Sizes: AS568, ISO 3601-1, metric; and the likely size of a ring measured.

use serde::Deserialize;
use std::sync::LazyLock;

use super::{OringError, range};

/// mm per inch, exact.
pub(super) const INCH_MM: f64 = 25.4;

/// Largest inside diameter, mm.
const INSIDE_MAX_MM: f64 = 1000.0;

/// A ring's dimensions with plus-minus tolerances, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingSize {
    /// Inside diameter.
    pub inside_mm: f64,
    /// Its tolerance, plus and minus.
    pub inside_tol_mm: f64,
    /// Cross-section.
    pub section_mm: f64,
    /// Its tolerance, plus and minus.
    pub section_tol_mm: f64,
}

/// How a catalogue value is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// From memory and equal to a transcription that was read.
    Read,
    /// From memory only.
    Memory,
    /// Sources differ in a tolerance.
    Disputed,
}

/// One AS568 size, in the standard's inches.
#[derive(Debug, Clone, PartialEq)]
pub struct As568 {
    /// Dash number, three digits.
    pub dash: String,
    /// Inside diameter, inch.
    pub inside_in: f64,
    /// Its tolerance, inch.
    pub inside_tol_in: f64,
    /// Cross-section, inch.
    pub section_in: f64,
    /// Its tolerance, inch.
    pub section_tol_in: f64,
    /// How it is known.
    pub known: Known,
}

impl As568 {
    /// In millimetres, exactly converted (the standard's own mm column is rounded to 0.01).
    #[must_use]
    pub fn size(&self) -> RingSize {
        RingSize {
            inside_mm: self.inside_in * INCH_MM,
            inside_tol_mm: self.inside_tol_in * INCH_MM,
            section_mm: self.section_in * INCH_MM,
            section_tol_mm: self.section_tol_in * INCH_MM,
        }
    }
}

fn as568_row(line: &str) -> Option<As568> {
    let mut cells = line.split(',');
    let dash = cells.next()?.to_owned();
    let mut number = || cells.next().and_then(|c| c.parse::<f64>().ok());
    let (inside_in, inside_tol_in) = (number()?, number()?);
    let (section_in, section_tol_in) = (number()?, number()?);
    let known = match cells.next()? {
        "read" => Known::Read,
        "memory" => Known::Memory,
        "disputed" => Known::Disputed,
        _ => return None,
    };
    Some(As568 {
        dash,
        inside_in,
        inside_tol_in,
        section_in,
        section_tol_in,
        known,
    })
}

// Files are compiled in and tests read every row, so nothing is dropped here in silence.
static AS568: LazyLock<Vec<As568>> = LazyLock::new(|| {
    include_str!("../../../data/as568.csv")
        .lines()
        .filter(|l| !l.starts_with('#'))
        .skip(1)
        .filter_map(as568_row)
        .collect()
});

/// All AS568 sizes by dash number, from `core/data/as568.csv` (its head says how they are known).
#[must_use]
pub fn as568_sizes() -> &'static [As568] {
    &AS568
}

/// One AS568 size by its dash number: "214", "-214", "AS568-214"; leading zeros may be left out.
///
/// # Errors
/// [`OringError::UnknownSize`].
pub fn as568(dash: &str) -> Result<&'static As568, OringError> {
    let text = dash.trim().to_ascii_uppercase();
    let text = text.strip_prefix("AS568").unwrap_or(&text);
    let text = text.trim_start_matches(['A', ' ', '-']);
    let digits = format!("{text:0>3}");
    AS568
        .iter()
        .find(|s| s.dash == digits)
        .ok_or_else(|| OringError::UnknownSize {
            given: dash.to_owned(),
            count: AS568.len(),
        })
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Band {
    to_mm: f64,
    plus_minus_mm: f64,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Series {
    sections_mm: Vec<f64>,
    #[serde(default)]
    inside_mm: Vec<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Iso {
    inside_a: f64,
    inside_b: f64,
    inside_power: f64,
    band: Vec<Band>,
    series: Series,
    stock: Series,
}

static ISO: LazyLock<Option<Iso>> =
    LazyLock::new(|| toml::from_str(include_str!("../../../data/iso3601.toml")).ok());

/// ISO 3601-1 class B tolerances of inside diameter and section, mm: `±(0.11 + 0.009 d1^0.95)` and by
/// bands. Range: inside diameter above 0 to 1000 mm, section 0.5 to 8.4 mm.
///
/// Source: see `core/data/iso3601.toml`.
///
/// # Errors
/// [`OringError::Range`].
pub fn iso_tolerances(inside_mm: f64, section_mm: f64) -> Result<(f64, f64), OringError> {
    let inside = range(super::Length::Inside, inside_mm, 0.5, INSIDE_MAX_MM)?;
    let outside = || OringError::Range {
        quantity: super::Length::Section,
        value: section_mm,
        min: 0.5,
        max: ISO
            .as_ref()
            .and_then(|i| i.band.last())
            .map_or(0.0, |b| b.to_mm),
    };
    let iso = ISO.as_ref().ok_or_else(outside)?;
    if section_mm.is_nan() || section_mm < 0.5 {
        return Err(outside());
    }
    let band = iso
        .band
        .iter()
        .find(|b| section_mm <= b.to_mm)
        .ok_or_else(outside)?;
    Ok((
        iso.inside_a + iso.inside_b * inside.powf(iso.inside_power),
        band.plus_minus_mm,
    ))
}

/// A metric ring of any size, with ISO 3601-1 class B tolerances.
///
/// # Errors
/// [`OringError::Range`].
pub fn metric(inside_mm: f64, section_mm: f64) -> Result<RingSize, OringError> {
    let (inside_tol_mm, section_tol_mm) = iso_tolerances(inside_mm, section_mm)?;
    Ok(RingSize {
        inside_mm,
        inside_tol_mm,
        section_mm,
        section_tol_mm,
    })
}

/// A ring that was measured.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// Inside diameter, mm.
    pub inside_mm: f64,
    /// Its standard uncertainty, mm: rubber gives under a calliper; 0.1 + 0.3 % is common practice.
    pub inside_sd_mm: f64,
    /// Section, mm.
    pub section_mm: f64,
    /// Its standard uncertainty, mm: 0.05 is common practice.
    pub section_sd_mm: f64,
}

impl Measured {
    /// From millimetres, with the usual uncertainties.
    #[must_use]
    pub fn mm(inside_mm: f64, section_mm: f64) -> Measured {
        Measured {
            inside_mm,
            inside_sd_mm: 0.1 + 0.003 * inside_mm.abs(),
            section_mm,
            section_sd_mm: 0.05,
        }
    }

    /// From inches, with the usual uncertainties.
    #[must_use]
    pub fn inch(inside_in: f64, section_in: f64) -> Measured {
        Measured::mm(inside_in * INCH_MM, section_in * INCH_MM)
    }
}

/// What a size is called.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Designation {
    /// AS568 dash number.
    As568(String),
    /// In the general-purpose series of ISO 3601-1.
    Iso3601,
    /// A metric size outside that series.
    Metric,
}

/// A size that a measured ring may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// What it is called.
    pub designation: Designation,
    /// Its dimensions.
    pub size: RingSize,
    /// Measured less nominal inside diameter, mm.
    pub inside_off_mm: f64,
    /// Measured less nominal section, mm.
    pub section_off_mm: f64,
    /// How far off that is in standard uncertainties, tolerance (taken as 2 sd) included. Below 2 is likely.
    pub misfit: f64,
}

/// Misfit beyond which a size is not offered.
const MISFIT_MAX: f64 = 3.5;
/// How many are offered.
const OFFERED_MAX: usize = 12;

/// The likely sizes of a ring measured, best first; at most twelve, none with a misfit above 3.5. Empty
/// if nothing comes near. A used ring may have stretched, swollen or set: compare with the one on the
/// other port, or with the maker's list.
///
/// # Errors
/// [`OringError::Range`]: inside diameter 0.5 to 1000 mm, section 0.5 to 8.4 mm, uncertainties above 0.
pub fn find(measured: &Measured) -> Result<Vec<Candidate>, OringError> {
    range(
        super::Length::Inside,
        measured.inside_mm,
        0.5,
        INSIDE_MAX_MM,
    )?;
    range(super::Length::Section, measured.section_mm, 0.5, 8.4)?;
    range(
        super::Length::InsideUncertainty,
        measured.inside_sd_mm,
        1e-3,
        50.0,
    )?;
    range(
        super::Length::SectionUncertainty,
        measured.section_sd_mm,
        1e-3,
        2.0,
    )?;
    let mut found = Vec::new();
    let mut offer = |designation: Designation, size: RingSize| {
        let inside_off_mm = measured.inside_mm - size.inside_mm;
        let section_off_mm = measured.section_mm - size.section_mm;
        let inside = inside_off_mm / measured.inside_sd_mm.hypot(size.inside_tol_mm / 2.0);
        let section = section_off_mm / measured.section_sd_mm.hypot(size.section_tol_mm / 2.0);
        let misfit = inside.hypot(section);
        if misfit <= MISFIT_MAX {
            found.push(Candidate {
                designation,
                size,
                inside_off_mm,
                section_off_mm,
                misfit,
            });
        }
    };
    for size in AS568.iter() {
        offer(Designation::As568(size.dash.clone()), size.size());
    }
    if let Some(iso) = ISO.as_ref() {
        for &section in &iso.series.sections_mm {
            for &inside in &iso.series.inside_mm {
                offer(Designation::Iso3601, metric(inside, section)?);
            }
        }
        let step = if measured.inside_mm < 30.0 { 0.5 } else { 1.0 };
        let nearest = (measured.inside_mm / step).round();
        for &section in &iso.stock.sections_mm {
            for k in -2..=2 {
                let inside = (nearest + f64::from(k)) * step;
                if inside >= 0.5 {
                    offer(Designation::Metric, metric(inside, section)?);
                }
            }
        }
    }
    // Equal misfits keep the order of the tables: AS568, ISO, other metric.
    found.sort_by(|a, b| a.misfit.total_cmp(&b.misfit));
    found.truncate(OFFERED_MAX);
    Ok(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_row_is_read() {
        let text = include_str!("../../../data/as568.csv");
        let rows = text.lines().filter(|l| !l.starts_with('#')).count() - 1;
        assert_eq!((as568_sizes().len(), rows), (349, 349));
        assert!(ISO.is_some());
        let mut dashes: Vec<_> = as568_sizes().iter().map(|s| &s.dash).collect();
        dashes.dedup();
        assert_eq!(dashes.len(), 349);
        // Within a series, a larger dash is a larger ring.
        for pair in as568_sizes().windows(2) {
            if pair[0].section_in.to_bits() == pair[1].section_in.to_bits() {
                assert!(pair[1].inside_in > pair[0].inside_in, "{}", pair[1].dash);
                assert!(
                    pair[1].inside_tol_in >= pair[0].inside_tol_in,
                    "{}",
                    pair[1].dash
                );
            }
        }
    }

    #[test]
    fn a_dash_is_written_in_many_ways() {
        for text in ["214", "-214", "AS568-214", "as568a-214", " 214 "] {
            assert_eq!(as568(text).unwrap().dash, "214");
        }
        assert_eq!(as568("8").unwrap().dash, "008");
        let e = as568("999").unwrap_err().to_string();
        assert!(e.contains("\"999\"") && e.contains("349"), "{e}");
        assert!(as568("").is_err());
    }

    #[test]
    fn a_measured_ring_is_recognised() {
        let got = find(&Measured::inch(0.986, 0.139)).unwrap();
        assert_eq!(got[0].designation, Designation::As568("214".into()));
        assert!((got[0].inside_off_mm - 0.002 * INCH_MM).abs() < 1e-9);
        // 25 × 3.55 is so near that measuring cannot tell them apart: both are offered.
        assert!(
            got[1..]
                .iter()
                .any(|c| c.designation == Designation::Iso3601 && c.misfit < 1.0)
        );
        let got = find(&Measured::mm(112.1, 3.02)).unwrap();
        assert_eq!(got[0].designation, Designation::Metric);
        assert!((got[0].size.inside_mm - 112.0).abs() < 1e-9);
        let got = find(&Measured::mm(87.4, 5.31)).unwrap();
        assert!(got.iter().any(|c| c.designation == Designation::Iso3601));
        assert!(find(&Measured::mm(700.0, 1.25)).unwrap().is_empty());
        let e = find(&Measured::mm(-1.0, 2.0)).unwrap_err().to_string();
        assert!(e.contains("inside diameter is -1 mm"), "{e}");
    }

    proptest! {
        /// Any catalogue size measured without error comes back, with no misfit.
        #[test]
        fn every_size_finds_itself(at in 0usize..349) {
            let size = &as568_sizes()[at];
            let s = size.size();
            let got = find(&Measured::mm(s.inside_mm, s.section_mm)).unwrap();
            let me = got.iter().find(|c| c.designation == Designation::As568(size.dash.clone()));
            prop_assert!(me.is_some_and(|c| c.misfit < 1e-9));
            prop_assert!(got[0].misfit < 1e-9);
        }
    }
}
