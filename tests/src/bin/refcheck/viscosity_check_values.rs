//! The release's own check values for the viscosity of water.

use slackwater_core::physics::viscosity::water_iapws;

use crate::Kind;
use crate::report::{Report, Within};
use crate::table::Table;

pub const KIND: Kind = Kind {
    name: "viscosity_check_values",
    files: &["viscosity_check_values.csv"],
    check,
};

fn check(tables: &[Table]) -> Result<Report, String> {
    let mut report = Report::default();
    for row in tables.first().ok_or("no table")?.rows() {
        let found = water_iapws(row.number("T_K")?, row.number("rho_kg_m3")?) * 1e6;
        let published = row.number("mu_published_uPa_s")?;
        // Table 5 has the critical enhancement, which nothing here needs (it is for within a few
        // kelvin of the critical point) and which ours leaves out: 3.6 % there.
        let (suffix, within) = if row.text("table")?.contains("Table 4") {
            ("Table 4", Within::Absolute(1e-6))
        } else {
            (
                "Table 5, critical enhancement left out",
                Within::Relative(0.05),
            )
        };
        report.values(
            row,
            &format!("mu_published_uPa_s ({suffix})"),
            found,
            published,
            within,
        );
        report.values(
            row,
            &format!("mu_computed_uPa_s ({suffix})"),
            found,
            row.number("mu_computed_uPa_s")?,
            within,
        );
    }
    Ok(report)
}
