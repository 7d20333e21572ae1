//! A CSV table with a header row; cells may be quoted.

/// A table, by column name.
pub struct Table {
    names: Vec<String>,
    rows: Vec<Vec<String>>,
}

/// One row of a table.
#[derive(Clone, Copy)]
pub struct Row<'a> {
    table: &'a Table,
    cells: &'a [String],
    /// Line of the file, from 1 (where no cell holds a line break).
    pub line: usize,
}

fn cells(line: &str) -> Vec<String> {
    let mut out = Vec::new();
    let mut cell = String::new();
    let mut quoted = false;
    let mut chars = line.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '"' if quoted && chars.peek() == Some(&'"') => {
                cell.push('"');
                chars.next();
            }
            '"' => quoted = !quoted,
            ',' if !quoted => out.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    out.push(cell);
    out
}

impl Table {
    /// Reads a table.
    pub fn read(text: &str) -> Result<Self, String> {
        let mut lines = text.lines();
        let names = cells(lines.next().ok_or("the file is empty")?);
        let mut rows = Vec::new();
        for (i, l) in lines.enumerate() {
            let row = cells(l);
            if row.len() != names.len() {
                return Err(format!(
                    "line {}: {} cells, {} columns",
                    i + 2,
                    row.len(),
                    names.len()
                ));
            }
            rows.push(row);
        }
        if rows.is_empty() {
            return Err("no rows".into());
        }
        Ok(Self { names, rows })
    }

    /// All rows in order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_>> {
        self.rows.iter().enumerate().map(|(i, cells)| Row {
            table: self,
            cells,
            line: i + 2,
        })
    }
}

impl<'a> Row<'a> {
    /// The cell of a column.
    pub fn text(&self, name: &str) -> Result<&'a str, String> {
        let at = self.table.names.iter().position(|n| n == name);
        at.and_then(|at| self.cells.get(at))
            .map(String::as_str)
            .ok_or_else(|| format!("no column {name}"))
    }

    /// A number; `None` for an empty cell.
    pub fn maybe(&self, name: &str) -> Result<Option<f64>, String> {
        let t = self.text(name)?;
        if t.is_empty() {
            return Ok(None);
        }
        let v = t
            .parse()
            .map_err(|_| format!("line {}: {name} '{t}' is no number", self.line))?;
        Ok(Some(v))
    }

    /// A number.
    pub fn number(&self, name: &str) -> Result<f64, String> {
        self.maybe(name)?
            .ok_or_else(|| format!("line {}: {name} is empty", self.line))
    }
}
