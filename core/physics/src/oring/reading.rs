//! Rings as people write them: sizes, cure dates, materials.

use chrono::NaiveDate;

use super::catalogue::INCH_MM;
use super::{OringError, RingSize, as568, as568_sizes, material, metric, range};

/// Two sizes nearer than this are the same ring under two names, mm: the standards' own rounding.
const SAME_INSIDE_MM: f64 = 0.06;
/// The same for the section, mm.
const SAME_SECTION_MM: f64 = 0.03;

/// Reads a size: 'AS568-258', 'AS 258', '-258', '258', '151.77 x 3.53 mm', '151,77 × 3,53',
/// '5.984 x 0.139 in'. Without a unit it is in millimetres. One that AS568 has gets its tolerances from
/// there, any other those of ISO 3601-1 class B. Three digits alone are a dash number, which always
/// has three; fewer may be a diameter as well and are asked about.
///
/// # Errors
/// [`OringError::UnknownSize`] for a dash number that the table lacks, [`OringError::SizeAmbiguous`] for
/// one or two digits alone, [`OringError::SizeNotUnderstood`] for what is neither, [`OringError::Range`]
/// for dimensions that no ring has.
pub fn size(text: &str) -> Result<RingSize, OringError> {
    let given = text.trim();
    let lower = given.to_lowercase();
    let not_understood = || OringError::SizeNotUnderstood {
        given: given.chars().take(40).collect(),
    };
    if let Some(dash) = dash_number(&lower) {
        return as568(dash).map(super::As568::size);
    }
    let bare = !lower.is_empty() && lower.bytes().all(|b| b.is_ascii_digit());
    if bare && lower.len() == 3 {
        return as568(&lower).map(super::As568::size);
    }
    if bare && let Ok(listed) = as568(&lower) {
        return Err(OringError::SizeAmbiguous {
            given: given.chars().take(40).collect(),
            dash: listed.dash.clone(),
        });
    }
    let Some((inside, rest)) = lower.split_once(['x', '×', '*']) else {
        return Err(not_understood());
    };
    let rest = rest.trim();
    let (section, inches) = if let Some(mm) = rest.strip_suffix("mm") {
        (mm, false)
    } else if let Some(inch) = ["inch", "in", "\"", "″"]
        .iter()
        .find_map(|unit| rest.strip_suffix(unit))
    {
        (inch, true)
    } else {
        (rest, false)
    };
    let number = |part: &str| -> Result<f64, OringError> {
        let part = part
            .trim()
            .trim_end_matches("mm")
            .trim_end()
            .replace(',', ".");
        let plain = !part.is_empty() && part.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        match part.parse::<f64>() {
            Ok(value) if plain => Ok(value),
            _ => Err(not_understood()),
        }
    };
    let scale = if inches { INCH_MM } else { 1.0 };
    let (inside, section) = (number(inside)? * scale, number(section)? * scale);
    range(super::Length::Inside, inside, 0.5, 1000.0)?;
    range(super::Length::Section, section, 0.5, 20.0)?;
    let listed = as568_sizes().iter().map(super::As568::size).find(|s| {
        (s.inside_mm - inside).abs() <= SAME_INSIDE_MM
            && (s.section_mm - section).abs() <= SAME_SECTION_MM
    });
    match listed {
        Some(size) => Ok(RingSize {
            inside_mm: inside,
            section_mm: section,
            ..size
        }),
        None => metric(inside, section),
    }
}

/// The number of 'AS568-258', 'AS 568A 258', 'AS258', '-258', 'dash 258'; lower case.
fn dash_number(lower: &str) -> Option<&str> {
    let rest = if let Some(rest) = lower.strip_prefix("as") {
        let rest = rest.trim_start_matches([' ', '-']);
        // Of 'AS568' alone the number is 568, which the table lacks.
        match rest.strip_prefix("568") {
            Some(after) if !after.is_empty() => after.strip_prefix('a').unwrap_or(after),
            _ => rest,
        }
    } else {
        lower
            .strip_prefix("dash")
            .or_else(|| lower.strip_prefix('-'))?
    };
    let number = rest.trim_start_matches([' ', '-']);
    (!number.is_empty() && number.bytes().all(|b| b.is_ascii_digit())).then_some(number)
}

/// Whether two written sizes mean the same ring; texts that are no sizes are compared as texts.
#[must_use]
pub fn same_size(a: &str, b: &str) -> bool {
    match (size(a), size(b)) {
        (Ok(a), Ok(b)) => {
            (a.inside_mm - b.inside_mm).abs() <= SAME_INSIDE_MM
                && (a.section_mm - b.section_mm).abs() <= SAME_SECTION_MM
        }
        (Err(_), Err(_)) => a.trim().eq_ignore_ascii_case(b.trim()),
        _ => false,
    }
}

/// Whether two written materials are the same: by code or by plain name ('NBR', 'nitrile').
#[must_use]
pub fn same_material(a: &str, b: &str) -> bool {
    match (material(a), material(b)) {
        (Ok(a), Ok(b)) => a.code == b.code,
        (Err(_), Err(_)) => a.trim().eq_ignore_ascii_case(b.trim()),
        _ => false,
    }
}

/// Reads a cure date as packs print it: '2Q25', '2Q2025', 'Q2 2025', '2025-05', '2025-05-14',
/// '05/2025'. Gives its first day: the ring is at most that old. Quarter and year is how elastomer
/// seals are marked by common practice.
///
/// # Errors
/// [`OringError::CureDate`].
pub fn cure_date(text: &str) -> Result<NaiveDate, OringError> {
    let given = text.trim();
    let wrong = || OringError::CureDate {
        given: given.chars().take(40).collect(),
    };
    let upper = given.to_uppercase();
    let digits = |part: &str, lengths: &[usize]| -> Option<u32> {
        let fits = lengths.contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
        fits.then(|| part.parse().ok()).flatten()
    };
    let year = |part: &str| {
        digits(part.trim(), &[2, 4]).map(|y| if part.trim().len() == 2 { 2000 + y } else { y })
    };
    let made = |y: Option<u32>, m: Option<u32>, d: u32| -> Option<NaiveDate> {
        let y = i32::try_from(y?)
            .ok()
            .filter(|y| (1980..=2200).contains(y))?;
        NaiveDate::from_ymd_opt(y, m?, d)
    };
    let quarter = |q: Option<u32>| q.filter(|q| (1..=4).contains(q)).map(|q| q * 3 - 2);
    let date = if let Some((before, after)) = upper.split_once('Q') {
        if before.trim().is_empty() {
            // 'Q2 2025', 'Q2/25'.
            let after = after.trim();
            let split = after.find(|c: char| !c.is_ascii_digit()).unwrap_or(1);
            let (q, y) = after.split_at_checked(split).ok_or_else(wrong)?;
            let y = y.trim_start_matches([' ', '/', '-', '.']);
            made(year(y), quarter(digits(q, &[1])), 1)
        } else {
            let after = after.trim_start_matches([' ', '/', '-', '.']);
            made(year(after), quarter(digits(before.trim(), &[1])), 1)
        }
    } else if let Some((month, y)) = upper.split_once('/') {
        made(digits(y, &[4]), digits(month, &[1, 2]), 1)
    } else {
        let mut parts = upper.split('-');
        let (y, m, d) = (parts.next(), parts.next(), parts.next());
        let day = match d {
            Some(d) => digits(d, &[1, 2]),
            None => Some(1),
        };
        match (y, m, day, parts.next()) {
            (Some(y), Some(m), Some(day), None) => made(digits(y, &[4]), digits(m, &[1, 2]), day),
            _ => None,
        }
    };
    date.ok_or_else(wrong)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_size_is_read_as_it_is_written() {
        let s = size("AS568-258").unwrap();
        assert!((s.inside_mm - 5.984 * 25.4).abs() < 1e-9);
        for text in [
            "-258",
            // Seen: refused, though it stands so on packs and in lists.
            "258",
            "AS 258",
            "AS258",
            "as-258",
            "AS568A-258",
            "AS 568 258",
            "dash 258",
            "as568-258",
            "151.99 x 3.53 mm",
            "151,99×3,53",
            "5.984 x 0.139 in",
        ] {
            assert!(same_size("AS568-258", text), "{text}");
        }
        // Its tolerance is the table's, not that of ISO 3601-1.
        let by_mm = size("151.99 x 3.53 mm").unwrap();
        assert!((by_mm.inside_tol_mm - s.inside_tol_mm).abs() < 1e-12);
        let free = size("112 x 3 mm").unwrap();
        assert!((free.section_tol_mm - 0.09).abs() < 1e-12);
        assert!(!same_size("112 x 3 mm", "112 x 3.5 mm"));
        assert!(same_size("the maker's own", "The maker's own "));
    }

    #[test]
    fn what_is_no_size_says_so() {
        assert!(matches!(
            size("AS568-999"),
            Err(OringError::UnknownSize { .. })
        ));
        assert!(matches!(size("-0"), Err(OringError::UnknownSize { .. })));
        // One or two digits may be a diameter: asked about, with the dash number named.
        for (text, dash) in [("14", "014"), ("4", "004")] {
            let e = size(text).unwrap_err();
            assert!(
                matches!(&e, OringError::SizeAmbiguous { dash: d, .. } if d == dash),
                "{text}: {e:?}"
            );
            assert!(e.to_string().contains(&format!("AS568-{dash}")), "{e}");
        }
        assert_eq!(size("014").unwrap(), size("AS568-014").unwrap());
        assert!(matches!(size("999"), Err(OringError::UnknownSize { .. })));
        for text in [
            "",
            "2580",
            "AS",
            "AS large",
            "large",
            "x",
            "3 x",
            "x 3",
            "1e2 x 3",
            "-4 x 3",
            "NaN x 3",
            "4 x 3 x 2",
        ] {
            assert!(
                matches!(size(text), Err(OringError::SizeNotUnderstood { .. })),
                "{text}: {:?}",
                size(text)
            );
        }
        assert!(matches!(size("0 x 3 mm"), Err(OringError::Range { .. })));
        assert!(matches!(
            size("99999 x 3 mm"),
            Err(OringError::Range { .. })
        ));
        let e = size("AS568-999").unwrap_err().to_string();
        assert!(e.contains("999"), "{e}");
    }

    #[test]
    fn a_cure_date_is_read_as_packs_print_it() {
        let day = |y, m, d| NaiveDate::from_ymd_opt(y, m, d).unwrap();
        for (text, wanted) in [
            ("2Q25", day(2025, 4, 1)),
            ("4q2019", day(2019, 10, 1)),
            ("Q1 2024", day(2024, 1, 1)),
            ("Q3/24", day(2024, 7, 1)),
            ("2025-05", day(2025, 5, 1)),
            (" 2025-05-14 ", day(2025, 5, 14)),
            ("05/2025", day(2025, 5, 1)),
        ] {
            assert_eq!(cure_date(text).unwrap(), wanted, "{text}");
        }
        for text in [
            "",
            "5Q25",
            "0Q25",
            "batch 55",
            "2025",
            "2025-13",
            "2025-02-30",
            "1Q1900",
            "13/2025",
            "2Q",
            "Q",
            "QQ",
            "2025-05-14-1",
            "é",
            "Q2é",
        ] {
            let e = cure_date(text).unwrap_err();
            assert!(matches!(e, OringError::CureDate { .. }), "{text}: {e}");
        }
    }

    #[test]
    fn a_material_has_a_code_and_a_name() {
        assert!(same_material("NBR", "nitrile"));
        assert!(same_material("silicone", "vmq"));
        assert!(!same_material("NBR", "EPDM"));
        assert!(same_material("Compound 7", "compound 7"));
    }

    proptest! {
        /// Whatever is typed: an answer or an error, never a panic.
        #[test]
        fn anything_may_be_typed(text in "\\PC{0,24}") {
            let _ = size(&text);
            let _ = cure_date(&text);
            let _ = same_size(&text, "AS568-258");
        }

        /// What is written in millimetres is read back, whatever the sign between.
        #[test]
        fn millimetres_are_read_back(inside in 1.0..900.0f64, section in 0.6..8.0f64) {
            for text in [format!("{inside:.2} x {section:.2} mm"), format!("{inside:.2}×{section:.2}")] {
                let got = size(&text).unwrap();
                prop_assert!((got.inside_mm - inside).abs() < 0.006);
                prop_assert!((got.section_mm - section).abs() < 0.006);
                prop_assert!(got.inside_tol_mm > 0.0 && got.section_tol_mm > 0.0);
            }
        }
    }
}
