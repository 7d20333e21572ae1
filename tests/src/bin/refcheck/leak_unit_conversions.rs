//! Units of a leak rate.

use slackwater_core::physics::units::{LeakUnit, convert_leak};

use crate::Kind;
use crate::report::{Report, Within};
use crate::table::Table;

pub const KIND: Kind = Kind {
    name: "leak_unit_conversions",
    files: &["leak_unit_conversions.csv"],
    check,
};

fn unit(text: &str) -> Result<LeakUnit, String> {
    let standard = |rest: &str| {
        rest.trim_end_matches('K')
            .parse::<f64>()
            .map_err(|_| format!("unit '{text}' is not known"))
    };
    match text {
        "Pa m3/s" => Ok(LeakUnit::PaM3PerS),
        "mbar L/s" => Ok(LeakUnit::MbarLPerS),
        "Pa L/s" => Ok(LeakUnit::PaLPerS),
        "Torr L/s" => Ok(LeakUnit::TorrLPerS),
        "atm cm3/s" => Ok(LeakUnit::AtmCm3PerS),
        "lusec" => Ok(LeakUnit::Lusec),
        "mol/s" => Ok(LeakUnit::MolPerS),
        _ => {
            if let Some(t) = text.strip_prefix("std cm3/s @") {
                Ok(LeakUnit::StdCm3PerS(standard(t)?))
            } else if let Some(t) = text.strip_prefix("sccm @") {
                Ok(LeakUnit::Sccm(standard(t)?))
            } else {
                Err(format!("unit '{text}' is not known"))
            }
        }
    }
}

fn check(tables: &[Table]) -> Result<Report, String> {
    let mut report = Report::default();
    for row in tables.first().ok_or("no table")?.rows() {
        let (from, to) = (unit(row.text("from_unit")?)?, unit(row.text("to_unit")?)?);
        let found = convert_leak(
            row.number("value")?,
            from,
            to,
            row.number("gas_temperature_K")?,
        );
        report.compare(row, "converted", found, Within::Relative(1e-12))?;
        if let Some(published) = row.maybe("published")? {
            let off = found / published - 1.0;
            report.compare(row, "relative_difference", off, Within::Absolute(1e-12))?;
        }
    }
    Ok(report)
}
