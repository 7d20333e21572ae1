//! What rings are made of: storage life, temperature, grease.

use chrono::{Months, NaiveDate};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

use super::OringError;

/// One material.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Material {
    /// Code by ISO 1629: NBR, EPDM, FKM, ….
    pub code: String,
    /// Plain name.
    pub name: String,
    /// ISO 2230 storage group: A, B or C.
    pub iso2230_group: String,
    /// Years from cure by that group.
    pub iso2230_initial_years: u32,
    /// Years of one extension after inspection.
    pub iso2230_extension_years: u32,
    /// ARP5316: years, "unlimited", or `None` where texts disagree or were not found.
    pub arp5316_years: Option<String>,
    /// Coldest for continuous use, °C. From memory, for common compounds.
    pub min_c: f64,
    /// Warmest, °C. From memory, for common compounds.
    pub max_c: f64,
    /// How the storage years are known.
    pub known: String,
}

/// What a grease is based on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum GreaseBase {
    /// Silicone.
    Silicone,
    /// Mineral oil (petroleum).
    Mineral,
    /// Perfluoropolyether.
    Perfluoropolyether,
}

/// Whether a grease goes with a material.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Do not use.
    Avoid,
    /// Only if the maker says so.
    Caution,
    /// Goes together.
    Suitable,
}

/// A grease on a material.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct GreaseRule {
    /// Material code.
    pub material: String,
    /// Grease.
    pub base: GreaseBase,
    /// Verdict.
    pub verdict: Verdict,
    /// What happens.
    pub effect: String,
    /// Where that is published.
    pub source: String,
    /// How it is known here.
    pub known: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    material: Vec<Material>,
    grease: Vec<GreaseRule>,
}

// Compiled in; a test reads it.
static FILE: LazyLock<File> = LazyLock::new(|| {
    toml::from_str(include_str!("../../../data/oring_materials.toml")).unwrap_or(File {
        material: Vec::new(),
        grease: Vec::new(),
    })
});

/// All materials.
#[must_use]
pub fn materials() -> &'static [Material] {
    &FILE.material
}

/// One material by its code ('NBR') or plain name ('nitrile'), in any case.
///
/// # Errors
/// [`OringError::UnknownMaterial`], with the codes there are.
pub fn material(code: &str) -> Result<&'static Material, OringError> {
    let wanted = code.trim();
    FILE.material
        .iter()
        .find(|m| m.code.eq_ignore_ascii_case(wanted) || m.name.eq_ignore_ascii_case(wanted))
        .ok_or_else(|| {
            let known: Vec<&str> = FILE.material.iter().map(|m| m.code.as_str()).collect();
            OringError::UnknownMaterial {
                given: code.to_owned(),
                known: known.join(", "),
            }
        })
}

/// What is known of a grease on a material. `None`: nothing here; the housing maker's manual decides, as
/// it does against this table.
///
/// # Errors
/// [`OringError::UnknownMaterial`].
pub fn grease(code: &str, base: GreaseBase) -> Result<Option<&'static GreaseRule>, OringError> {
    let material = material(code)?;
    Ok(FILE
        .grease
        .iter()
        .find(|g| g.material == material.code && g.base == base))
}

/// By which standard storage is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum StorageRule {
    /// ISO 2230, as packed.
    Iso2230,
    /// ISO 2230 with its one extension, after the inspection it asks for.
    Iso2230Extended,
    /// SAE ARP5316.
    Arp5316,
}

/// Until when an unused ring may be fitted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum UseBy {
    /// Until this day.
    Date(NaiveDate),
    /// No limit by that standard, if stored as it asks.
    Unlimited,
    /// The standard's value for this material is not known here.
    NotKnown,
}

/// Until when a ring cured on `cured` may be fitted, if it was stored cool, dark, dry and unstretched as
/// the standards ask. Where a pack gives a quarter ("3Q24"), take its first day. Sources: ISO 2230:2002
/// and ARP5316 as in `core/data/oring_materials.toml`.
///
/// # Errors
/// [`OringError::UnknownMaterial`], [`OringError::Date`].
pub fn use_by(code: &str, cured: NaiveDate, rule: StorageRule) -> Result<UseBy, OringError> {
    let m = material(code)?;
    let years = match rule {
        StorageRule::Iso2230 => m.iso2230_initial_years,
        StorageRule::Iso2230Extended => m.iso2230_initial_years + m.iso2230_extension_years,
        StorageRule::Arp5316 => match m.arp5316_years.as_deref() {
            Some("unlimited") => return Ok(UseBy::Unlimited),
            Some(text) => match text.parse() {
                Ok(years) => years,
                Err(_) => return Ok(UseBy::NotKnown),
            },
            None => return Ok(UseBy::NotKnown),
        },
    };
    cured
        .checked_add_months(Months::new(12 * years))
        .map(UseBy::Date)
        .ok_or(OringError::Date { years, from: cured })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day(y: i32, m: u32, d: u32) -> NaiveDate {
        NaiveDate::from_ymd_opt(y, m, d).unwrap()
    }

    #[test]
    fn the_file_is_read_and_agrees_with_itself() {
        assert_eq!(materials().len(), 10);
        for m in materials() {
            // The storage groups of ISO 2230: 5+2, 7+3, 10+5 years.
            let years = (m.iso2230_initial_years, m.iso2230_extension_years);
            let group = match m.iso2230_group.as_str() {
                "A" => (5, 2),
                "B" => (7, 3),
                _ => (10, 5),
            };
            assert_eq!(years, group, "{}", m.code);
            assert!(m.min_c < 0.0 && m.max_c > 50.0);
            let arp = use_by(&m.code, day(2024, 7, 1), StorageRule::Arp5316).unwrap();
            assert_eq!(arp == UseBy::NotKnown, m.arp5316_years.is_none());
        }
        for g in &FILE.grease {
            assert!(material(&g.material).is_ok(), "{}", g.material);
        }
    }

    #[test]
    fn storage_counts_from_cure() {
        let cured = day(2024, 7, 1);
        let by = |code, rule| use_by(code, cured, rule).unwrap();
        assert_eq!(
            by("NBR", StorageRule::Iso2230),
            UseBy::Date(day(2031, 7, 1))
        );
        assert_eq!(
            by("nbr", StorageRule::Iso2230Extended),
            UseBy::Date(day(2034, 7, 1))
        );
        assert_eq!(by("EPDM", StorageRule::Arp5316), UseBy::Unlimited);
        assert_eq!(by("NR", StorageRule::Arp5316), UseBy::NotKnown);
        // From a leap day to the last of February.
        let leap = use_by("AU", day(2024, 2, 29), StorageRule::Iso2230).unwrap();
        assert_eq!(leap, UseBy::Date(day(2029, 2, 28)));
        let e = use_by("XYZ", cured, StorageRule::Iso2230)
            .unwrap_err()
            .to_string();
        assert!(e.contains("\"XYZ\"") && e.contains("NBR"), "{e}");
        assert!(use_by("NBR", NaiveDate::MAX, StorageRule::Iso2230).is_err());
    }

    #[test]
    fn grease_conflicts() {
        let verdict = |m, b| grease(m, b).unwrap().unwrap().verdict;
        assert_eq!(verdict("VMQ", GreaseBase::Silicone), Verdict::Avoid);
        assert_eq!(verdict("EPDM", GreaseBase::Mineral), Verdict::Avoid);
        assert_eq!(verdict("NBR", GreaseBase::Silicone), Verdict::Suitable);
        assert!(grease("XYZ", GreaseBase::Silicone).is_err());
    }
}
