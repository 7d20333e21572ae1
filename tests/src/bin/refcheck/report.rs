//! The largest deviation of each column.

use std::collections::BTreeMap;

use crate::table::Row;

/// How far a column may be off.
#[derive(Clone, Copy)]
pub enum Within {
    /// Share of the reference value.
    Relative(f64),
    /// In the column's own unit.
    Absolute(f64),
    /// The same text.
    Same,
}

struct Worst {
    off: f64,
    line: usize,
    count: usize,
    within: Within,
}

/// What a kind found.
#[derive(Default)]
pub struct Report {
    columns: BTreeMap<String, Worst>,
}

impl Report {
    fn note(&mut self, column: &str, line: usize, off: f64, within: Within) {
        let w = self.columns.entry(column.to_owned()).or_insert(Worst {
            off: 0.0,
            line,
            count: 0,
            within,
        });
        w.count += 1;
        // A NaN is as far off as can be.
        let off = if off.is_nan() { f64::INFINITY } else { off };
        if off > w.off {
            w.off = off;
            w.line = line;
        }
    }

    /// Compares a computed number with a row's cell.
    pub fn compare(
        &mut self,
        row: Row<'_>,
        column: &str,
        found: f64,
        within: Within,
    ) -> Result<(), String> {
        let want = row.number(column)?;
        self.values(row, column, found, want, within);
        Ok(())
    }

    /// The same, where the reference may be empty.
    pub fn compare_if(
        &mut self,
        row: Row<'_>,
        column: &str,
        found: f64,
        within: Within,
    ) -> Result<(), String> {
        if let Some(want) = row.maybe(column)? {
            self.values(row, column, found, want, within);
        }
        Ok(())
    }

    /// Compares two numbers under a name of its own.
    pub fn values(&mut self, row: Row<'_>, name: &str, found: f64, want: f64, within: Within) {
        let off = match within {
            Within::Relative(_) if want == 0.0 => found.abs(),
            Within::Relative(_) => (found / want - 1.0).abs(),
            Within::Absolute(_) => (found - want).abs(),
            Within::Same => f64::from(u8::from(found != want)),
        };
        self.note(name, row.line, off, within);
    }

    /// Compares texts.
    pub fn same(&mut self, row: Row<'_>, column: &str, found: &str) -> Result<(), String> {
        let want = row.text(column)?;
        self.note(
            column,
            row.line,
            f64::from(u8::from(found != want)),
            Within::Same,
        );
        Ok(())
    }

    /// Prints; true where all is within tolerance.
    pub fn print(&self, kind: &str) -> bool {
        println!("{kind}: largest deviation of each column");
        let mut good = !self.columns.is_empty();
        for (name, w) in &self.columns {
            let (limit, unit) = match w.within {
                Within::Relative(x) => (x, "relative"),
                Within::Absolute(x) => (x, "absolute"),
                Within::Same => (0.0, "the same"),
            };
            let ok = w.off <= limit;
            good &= ok;
            println!(
                "  {name:44} {:10.3e} of {limit:8.1e} {unit}, {} values, worst in line {}{}",
                w.off,
                w.count,
                w.line,
                if ok { "" } else { "  TOO FAR" }
            );
        }
        good
    }
}
