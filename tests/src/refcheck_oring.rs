//! O-ring catalogues and gland arithmetic against the reference files.

use std::path::PathBuf;

use slackwater_core::physics::oring::{
    Gland, GlandKind, GreaseBase, RingSize, Toleranced, Verdict, as568, fit, grease,
    iso_tolerances, material,
};

use crate::columns::{CheckFailure, ColumnDeviation, each_row};

/// `oring_as568.csv`: every value, to the digit in inches and to the standard's rounding in mm.
///
/// # Errors
/// A file that cannot be read or a size that is not known.
pub fn as568_sizes(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let dash = table.text(row, "dash")?;
        let at = format!("-{dash}");
        let ours = as568(dash).map_err(|e| table.failure(row, e))?;
        let mm = ours.size();
        for (column, unit, tolerance, value) in [
            ("id_in", "in", 1e-12, ours.inside_in),
            ("id_tol_in", "in", 1e-12, ours.inside_tol_in),
            ("cs_in", "in", 1e-12, ours.section_in),
            ("cs_tol_in", "in", 1e-12, ours.section_tol_in),
            ("id_mm_exact", "mm", 1e-6, mm.inside_mm),
            ("cs_mm_exact", "mm", 1e-6, mm.section_mm),
            ("id_mm_printed", "mm", 0.0065, mm.inside_mm),
            ("id_tol_mm_printed", "mm", 0.0065, mm.inside_tol_mm),
            ("cs_mm_printed", "mm", 0.0065, mm.section_mm),
            ("cs_tol_mm_printed", "mm", 0.0065, mm.section_tol_mm),
        ] {
            let off = value - table.number(row, column)?;
            columns.add(column, unit, tolerance, off, &at);
        }
        Ok(())
    })
}

/// `oring_iso3601_tolerances.csv`.
///
/// # Errors
/// A file that cannot be read or a size that is refused.
pub fn iso3601_tolerances(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let at = format!("case {}", table.text(row, "case")?);
        let n = |column| table.number(row, column);
        let (d1, d2) =
            iso_tolerances(n("d1_mm")?, n("d2_mm")?).map_err(|e| table.failure(row, e))?;
        columns.add("d1_tol_mm", "mm", 1e-12, d1 - n("d1_tol_mm")?, &at);
        columns.add(
            "d1_tol_rounded_mm",
            "mm",
            0.0051,
            d1 - n("d1_tol_rounded_mm")?,
            &at,
        );
        columns.add("d2_tol_mm", "mm", 1e-12, d2 - n("d2_tol_mm")?, &at);
        if let Some(printed) = table.maybe(row, "published_d1_tol_mm")? {
            columns.add("published_d1_tol_mm", "mm", 0.0051, d1 - printed, &at);
        }
        Ok(())
    })
}

fn exact(mm: f64) -> Toleranced {
    Toleranced { mm, tol_mm: 0.0 }
}

/// `oring_examples.csv`. Two columns are not compared because nothing here uses them:
/// `cs_after_stretch_simple_mm` (an approximation) and `cs_after_stretch_handbook_fit_mm` (a fit known
/// from memory only); the constant-volume section is.
///
/// # Errors
/// A file that cannot be read or a gland that is refused.
pub fn examples(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let at = format!("case {}", table.text(row, "case")?);
        let n = |column| table.number(row, column);
        let ring = RingSize {
            inside_mm: n("id_mm")?,
            inside_tol_mm: n("id_tol_mm")?,
            section_mm: n("cs_mm")?,
            section_tol_mm: n("cs_tol_mm")?,
        };
        let catalogue = as568(table.text(row, "dash")?).map_err(|e| table.failure(row, e))?;
        let off = catalogue.size().inside_mm - ring.inside_mm;
        columns.add("id_mm", "mm", 1e-9, off, &at);
        let kind = match table.text(row, "seal")? {
            "piston" => GlandKind::Radial,
            "face" => GlandKind::Face,
            other => return Err(table.failure(row, format!("seal is {other:?}"))),
        };
        let gland = Gland {
            kind,
            seat_diameter: exact(n("groove_diameter_mm")?),
            depth: exact(n("gland_depth_mm")?),
            width: exact(n("groove_width_mm")?),
        };
        let got = fit(&ring, &gland).map_err(|e| table.failure(row, e))?;
        let percent = [
            ("stretch_percent", got.stretch.nominal),
            ("stretch_min_percent", got.stretch.min),
            ("stretch_max_percent", got.stretch.max),
            ("squeeze_nominal_percent", got.squeeze.nominal),
            ("squeeze_min_percent", got.squeeze.min),
            ("squeeze_max_percent", got.squeeze.max),
            (
                "squeeze_after_stretch_percent",
                got.squeeze_stretched.nominal,
            ),
            ("fill_area_nominal_percent", got.fill.nominal),
            ("fill_area_max_percent", got.fill.max),
            ("fill_volume_percent", got.fill_volume),
        ];
        for (column, value) in percent {
            columns.add(column, "%", 1e-9, value - n(column)?, &at);
        }
        let off = got.section_stretched_mm - n("cs_after_stretch_constant_volume_mm")?;
        columns.add("cs_after_stretch_constant_volume_mm", "mm", 1e-9, off, &at);
        let broken = |quantity: &str, low: bool| {
            got.broken
                .iter()
                .any(|b| b.quantity == quantity && b.too_low == low)
        };
        let truth = |column: &str| table.text(row, column).map(|t| t == "true");
        columns.same(
            "fill_ok_max_85",
            broken("fill", false) != truth("fill_ok_max_85")?,
            &at,
        );
        // Ours counts the worst tolerance, theirs the nominal ring: compare where nominal breaks.
        let over = got
            .broken
            .iter()
            .any(|b| b.quantity == "stretch" && !b.too_low && b.at_nominal);
        columns.same("stretch_over_5", over == truth("stretch_over_5")?, &at);
        Ok(())
    })
}

/// `oring_shelf_life.csv`.
///
/// # Errors
/// A file that cannot be read or a material that is not known.
pub fn shelf_life(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let code = table.text(row, "material")?;
        let ours = material(code).map_err(|e| table.failure(row, e))?;
        let initial = f64::from(ours.iso2230_initial_years);
        let off = initial - table.number(row, "iso2230_initial_years")?;
        columns.add("iso2230_initial_years", "years", 0.0, off, code);
        let extension = f64::from(ours.iso2230_extension_years);
        let off = extension - table.number(row, "iso2230_extension_years")?;
        columns.add("iso2230_extension_years", "years", 0.0, off, code);
        let group = table.text(row, "iso2230_group")?;
        columns.same("iso2230_group", ours.iso2230_group == group, code);
        let arp = ours.arp5316_years.as_deref().unwrap_or("");
        columns.same(
            "arp5316_years",
            arp == table.text(row, "arp5316_years")?,
            code,
        );
        columns.same("name", ours.name == table.text(row, "name")?, code);
        Ok(())
    })
}

/// `oring_lubricants.csv`.
///
/// # Errors
/// A file that cannot be read or a material that is not known.
pub fn lubricants(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let code = table.text(row, "seal_material")?;
        let lubricant = table.text(row, "lubricant_base")?;
        let base = if lubricant.contains("silicone") {
            GreaseBase::Silicone
        } else {
            GreaseBase::Mineral
        };
        let ours = grease(code, base).map_err(|e| table.failure(row, e))?;
        let verdict = ours.map(|g| match g.verdict {
            Verdict::Avoid => "avoid",
            Verdict::Caution => "caution",
            Verdict::Suitable => "suitable",
        });
        let at = format!("{code} with {lubricant}");
        columns.same("verdict", verdict == Some(table.text(row, "verdict")?), &at);
        Ok(())
    })
}

/// `oring_gland_limits.csv`: each limit is tried by a gland just inside and one just outside it, so that
/// the limit that the code applies is compared, not a copy of the table.
///
/// # Errors
/// A file that cannot be read or a gland that is refused.
pub fn gland_limits(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    each_row(files, |table, row, columns| {
        let id = table.text(row, "id")?.to_owned();
        let quantity = table.text(row, "quantity")?;
        let kind = match table.text(row, "kind")? {
            "static face" => GlandKind::Face,
            _ => GlandKind::Radial,
        };
        let section_in = table.maybe(row, "cs_in")?;
        let name = match (quantity, kind) {
            ("gland depth", _) => "depth",
            ("squeeze" | "squeeze, general range", _) => "squeeze",
            ("groove width, liquids", GlandKind::Face)
            | ("groove width, no back-up ring", GlandKind::Radial) => "width",
            ("inside-diameter stretch, installed (piston)", _) => "stretch",
            ("gland fill, largest ring in smallest gland", _) => "fill",
            // Vacuum service, diametral clearance, rule of thumb: in the data, not applied to a housing.
            _ => return Ok(()),
        };
        let inch = table.text(row, "unit")? == "in";
        for (side, low) in [("low", true), ("high", false)] {
            let Some(limit) = table.maybe(row, side)? else {
                return Ok(());
            };
            let limit = if inch { limit * 25.4 } else { limit };
            // Without a section in the row, one that no chart has.
            let section = section_in.map_or(4.0, |i| i * 25.4);
            let step = if inch { 0.1 } else { 0.01 };
            let outward = if low { -step } else { step };
            for (way, breaks) in [(-outward, false), (outward, true)] {
                let (ring, gland) = trial(kind, section, name, limit + way);
                let got = fit(&ring, &gland).map_err(|e| table.failure(row, e))?;
                let found = got
                    .broken
                    .iter()
                    .find(|b| b.quantity == name && b.too_low == low);
                columns.same(
                    &format!("{side} [kept or broken]"),
                    found.is_some() == breaks,
                    &id,
                );
                if let Some(b) = found {
                    let unit = if inch { "mm" } else { "%" };
                    columns.add(&format!("{side}, {unit}"), unit, 1e-9, b.limit - limit, &id);
                }
            }
        }
        Ok(())
    })
}

/// A ring without tolerances and a gland in which one quantity has this value.
fn trial(kind: GlandKind, section: f64, name: &str, value: f64) -> (RingSize, Gland) {
    let ring = RingSize {
        inside_mm: 60.0,
        inside_tol_mm: 0.0,
        section_mm: section,
        section_tol_mm: 0.0,
    };
    let mut gland = Gland {
        kind,
        seat_diameter: exact(61.2),
        depth: exact(section * 0.78),
        width: exact(section * 1.36),
    };
    match name {
        "depth" => gland.depth.mm = value,
        "squeeze" => gland.depth.mm = section * (1.0 - value / 100.0),
        "width" => gland.width.mm = value,
        "stretch" => gland.seat_diameter.mm = 60.0 * (1.0 + value / 100.0),
        _ => {
            let area = std::f64::consts::FRAC_PI_4 * section * section;
            gland.width.mm = area / (gland.depth.mm * value / 100.0);
        }
    }
    (ring, gland)
}
