//! O-rings: sizes, fit in a gland, materials.
//!
//! Lengths are in millimetres, as the standards and every calliper have them; names say so.
//!
//! - [`as568`], [`metric`], [`find`]: catalogue, and the likely sizes of a ring measured.
//! - [`fit`]: squeeze, stretch and fill with tolerances, against published static limits.
//! - [`size`], [`cure_date`], [`same_size`], [`same_material`]: as people and packs write them.
//! - [`material`], [`use_by`], [`grease`]: storage life, temperature range, what grease does.
//!
//! What this cannot say: whether a ring seals. A nick, a hair, sand, a scratched groove or a set ring are
//! seen by looking. The maker's manual outranks every table here.

mod catalogue;
mod gland;
mod material;
mod reading;

pub use catalogue::{
    As568, Candidate, Designation, Known, Measured, RingSize, as568, as568_sizes, find,
    iso_tolerances, metric,
};
pub use gland::{Broken, Fit, Gland, GlandKind, Span, Toleranced, fit};
pub use material::{
    GreaseBase, GreaseRule, Material, StorageRule, UseBy, Verdict, grease, material, materials,
    use_by,
};
pub use reading::{cure_date, same_material, same_size, size};

use crate::named::named;
use thiserror::Error;

named! {
    /// A length of a ring or its gland.
    pub enum Length {
        Inside = "inside diameter",
        Section = "section",
        InsideUncertainty = "uncertainty of the inside diameter",
        SectionUncertainty = "uncertainty of the section",
        Seat = "seat diameter",
        Depth = "gland depth",
        Width = "groove width",
    }
}

/// Why an o-ring question has no answer.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum OringError {
    /// No such dash size.
    #[error(
        "AS568 has no size {given:?} among the {count} known here (001 to 475; fitting sizes 9xx are left out)"
    )]
    UnknownSize {
        /// What was asked for.
        given: String,
        /// How many sizes are known.
        count: usize,
    },
    /// What was written is no size.
    #[error("{given:?} is no size; write it as AS568-258 or as 151.99 x 3.53 mm")]
    SizeNotUnderstood {
        /// What was given.
        given: String,
    },
    /// A number alone that may be a dash number or a diameter.
    #[error(
        "{given:?} may be AS568-{dash} or an inside diameter in mm; write AS568-{dash}, or inside x section in mm"
    )]
    SizeAmbiguous {
        /// What was given.
        given: String,
        /// The dash number it may be.
        dash: String,
    },
    /// What was written is no cure date.
    #[error("{given:?} is no cure date; write it as 2Q25 or as 2025-05")]
    CureDate {
        /// What was given.
        given: String,
    },
    /// A length outside what makes sense.
    #[error("{quantity} is {value} mm: allowed are {min} to {max} mm")]
    Range {
        /// Which quantity.
        quantity: Length,
        /// What was given.
        value: f64,
        /// Smallest allowed.
        min: f64,
        /// Largest allowed.
        max: f64,
    },
    /// The ring does not go into the groove.
    #[error(
        "the groove is {width_mm} mm wide, narrower than the ring's section of {section_mm} mm"
    )]
    GrooveNarrowerThanSection {
        /// Groove width, mm.
        width_mm: f64,
        /// Section, mm.
        section_mm: f64,
    },
    /// No such material.
    #[error("no material {given:?} among {known}")]
    UnknownMaterial {
        /// What was asked for.
        given: String,
        /// Codes that are known.
        known: String,
    },
    /// A date that cannot be counted from.
    #[error("counting {years} years from {from} leaves the calendar")]
    Date {
        /// Years.
        years: u32,
        /// Start.
        from: chrono::NaiveDate,
    },
}

pub(crate) fn range(quantity: Length, value: f64, min: f64, max: f64) -> Result<f64, OringError> {
    // Written so that NaN fails.
    if value >= min && value <= max {
        Ok(value)
    } else {
        Err(OringError::Range {
            quantity,
            value,
            min,
            max,
        })
    }
}
