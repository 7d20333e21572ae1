//! Reference files and how far each of their columns is from ours.

use std::fmt;
use std::path::{Path, PathBuf};

/// How far one column of one file is from ours, over all rows.
#[derive(Debug, Clone)]
pub struct ColumnDeviation {
    /// File name.
    pub file: String,
    /// Column, and in brackets what of ours it is compared with if that is not plain.
    pub column: String,
    /// Rows compared.
    pub rows: usize,
    /// Largest deviation.
    pub worst: f64,
    /// Which row that is.
    pub worst_row: String,
    /// Largest allowed.
    pub tolerance: f64,
    /// Unit of both.
    pub unit: &'static str,
}

impl ColumnDeviation {
    /// Whether anything was compared and all of it is within the tolerance.
    #[must_use]
    pub fn holds(&self) -> bool {
        self.rows > 0 && self.worst <= self.tolerance
    }
}

impl fmt::Display for ColumnDeviation {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} {} / {}: {} rows, worst {:.3e} {} at {} (allowed {:.1e})",
            if self.holds() { "ok  " } else { "FAIL" },
            self.file,
            self.column,
            self.rows,
            self.worst,
            self.unit,
            self.worst_row,
            self.tolerance
        )
    }
}

/// Why a file could not be compared.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CheckFailure {
    /// The file.
    pub file: PathBuf,
    /// What is wrong, and where.
    pub what: String,
}

impl fmt::Display for CheckFailure {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.file.display(), self.what)
    }
}
impl std::error::Error for CheckFailure {}

/// A comma-separated file with one header row; cells may be quoted.
pub struct Table {
    path: PathBuf,
    header: Vec<String>,
    rows: Vec<Vec<String>>,
}

fn cells(line: &str) -> Vec<String> {
    let mut all = vec![String::new()];
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                chars.next();
                if let Some(cell) = all.last_mut() {
                    cell.push('"');
                }
            }
            '"' => quoted = !quoted,
            ',' if !quoted => all.push(String::new()),
            c => {
                if let Some(cell) = all.last_mut() {
                    cell.push(c);
                }
            }
        }
    }
    all
}

impl Table {
    /// Reads a file. No cell may hold a line end (none of the reference files does).
    ///
    /// # Errors
    /// The file cannot be read, has no rows, or a row has another number of cells than the header.
    pub fn read(path: &Path) -> Result<Table, CheckFailure> {
        let fail = |what: String| CheckFailure {
            file: path.to_owned(),
            what,
        };
        let text = std::fs::read_to_string(path).map_err(|e| fail(e.to_string()))?;
        let mut lines = text.lines().map(cells);
        let header = lines.next().ok_or_else(|| fail("is empty".into()))?;
        let rows: Vec<Vec<String>> = lines.collect();
        if rows.is_empty() {
            return Err(fail("has no rows".into()));
        }
        if let Some(at) = rows.iter().position(|r| r.len() != header.len()) {
            return Err(fail(format!(
                "line {} has not {} cells",
                at + 2,
                header.len()
            )));
        }
        Ok(Table {
            path: path.to_owned(),
            header,
            rows,
        })
    }

    /// How many rows.
    #[must_use]
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    /// Whether there is none (never, after [`Table::read`]).
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    /// The file's name.
    #[must_use]
    pub fn name(&self) -> String {
        self.path
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned())
    }

    /// A failure at a row.
    #[must_use]
    pub fn failure(&self, row: usize, what: impl fmt::Display) -> CheckFailure {
        CheckFailure {
            file: self.path.clone(),
            what: format!("line {}: {what}", row + 2),
        }
    }

    /// A cell's text.
    ///
    /// # Errors
    /// No such column.
    pub fn text(&self, row: usize, column: &str) -> Result<&str, CheckFailure> {
        let at = self.header.iter().position(|h| h == column);
        at.map(|at| self.rows[row][at].as_str())
            .ok_or_else(|| self.failure(row, format!("there is no column {column}")))
    }

    /// A cell's number.
    ///
    /// # Errors
    /// No such column, or not a number.
    pub fn number(&self, row: usize, column: &str) -> Result<f64, CheckFailure> {
        let text = self.text(row, column)?;
        text.parse()
            .map_err(|_| self.failure(row, format!("{column} is {text:?}, not a number")))
    }

    /// A cell's number, or `None` where the cell is empty.
    ///
    /// # Errors
    /// No such column, or neither.
    pub fn maybe(&self, row: usize, column: &str) -> Result<Option<f64>, CheckFailure> {
        if self.text(row, column)?.is_empty() {
            Ok(None)
        } else {
            self.number(row, column).map(Some)
        }
    }
}

/// Collects the deviations of one file, column by column.
pub struct Columns {
    file: String,
    all: Vec<ColumnDeviation>,
}

impl Columns {
    /// For a file of this name.
    #[must_use]
    pub fn new(file: String) -> Columns {
        Columns {
            file,
            all: Vec::new(),
        }
    }

    /// Adds one deviation (its absolute value; NaN counts as infinite).
    pub fn add(&mut self, column: &str, unit: &'static str, tolerance: f64, off: f64, row: &str) {
        let off = if off.is_nan() {
            f64::INFINITY
        } else {
            off.abs()
        };
        let at = self
            .all
            .iter()
            .position(|c| c.column == column)
            .unwrap_or_else(|| {
                self.all.push(ColumnDeviation {
                    file: self.file.clone(),
                    column: column.to_owned(),
                    rows: 0,
                    worst: 0.0,
                    worst_row: String::new(),
                    tolerance,
                    unit,
                });
                self.all.len() - 1
            });
        let column = &mut self.all[at];
        column.rows += 1;
        if column.worst_row.is_empty() || off > column.worst {
            column.worst = off;
            column.worst_row = row.to_owned();
        }
    }

    /// Adds whether two things are the same: 0 or 1, none allowed.
    pub fn same(&mut self, column: &str, same: bool, row: &str) {
        self.add(column, "mismatches", 0.0, if same { 0.0 } else { 1.0 }, row);
    }

    /// What was collected.
    #[must_use]
    pub fn done(self) -> Vec<ColumnDeviation> {
        self.all
    }
}

/// Compares row by row: `check` gets a table, the number of a row in it, and where deviations go.
///
/// # Errors
/// A file that cannot be read; what `check` refuses.
pub fn each_row(
    files: &[PathBuf],
    mut check: impl FnMut(&Table, usize, &mut Columns) -> Result<(), CheckFailure>,
) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    let mut all = Vec::new();
    for file in files {
        let table = Table::read(file)?;
        let mut columns = Columns::new(table.name());
        for row in 0..table.len() {
            check(&table, row, &mut columns)?;
        }
        all.extend(columns.done());
    }
    Ok(all)
}
