//! Crossing orders of screws.

use slackwater_core::physics::fasteners::{Shape, crossing_order, is_crossing};

use crate::Kind;
use crate::report::Report;
use crate::table::Table;

pub const KIND: Kind = Kind {
    name: "bolts",
    files: &["bolts.csv"],
    check,
};

fn check(tables: &[Table]) -> Result<Report, String> {
    let mut report = Report::default();
    let table = tables.first().ok_or("no table")?;
    for row in table.rows() {
        let parse = |s: &str| {
            s.parse::<u32>()
                .map_err(|_| format!("line {}: '{s}'", row.line))
        };
        let order: Vec<u32> = row
            .text("order")?
            .split('-')
            .map(parse)
            .collect::<Result<_, _>>()?;
        let crossing = is_crossing(&order).map_err(|e| e.to_string())?;
        report.same(row, "crossing", if crossing { "true" } else { "false" })?;
        if row.text("kind")? == "general rule" {
            let n = row.number("bolts")? as u32;
            let ours = crossing_order(n, Shape::Circle).map_err(|e| e.to_string())?;
            let text: Vec<String> = ours.iter().map(u32::to_string).collect();
            report.same(row, "order", &text.join("-"))?;
        }
    }
    Ok(report)
}
