//! A logged hold as text: reading and writing, no files.
//!
//! `# key: value` lines, one header row, one row a reading; UTF-8, `\n` or `\r\n`. Keys in any
//! order; unknown keys are kept and named. Numbers are in the file's own units until
//! [`HoldLog::input`] turns them into SI. After a line `# recheck` stand rows read later, before each of
//! which `# camera: on` or `# camera: off` may say whether the camera inside runs then.

use slackwater_physics::hold::{
    Camera, Desiccant, Dive, GaugeKind, HoldInput, Later, Reading, ShutIn, Stood, TemperatureSource,
};
use slackwater_physics::units::{PressureUnit, celsius_to_k, k_to_celsius};

/// The most that a log may hold. A night read every second is 4 MB and 43,000 rows; what is longer
/// is no hold's, and costs a phone its memory or its minute.
pub mod limits {
    /// Longest file, bytes.
    pub const FILE_BYTES: usize = 8 << 20;
    /// Longest line, bytes.
    pub const LINE_BYTES: usize = 4 << 10;
    /// Most keys.
    pub const KEYS: usize = 200;
    /// Most columns.
    pub const COLUMNS: usize = 64;
    /// Most rows.
    pub const ROWS: usize = 200_000;
    /// Most rows after `# recheck`: each is judged with all before it.
    pub const RECHECKS: usize = 100;
    /// Most wrong rows: with more of them it isn't a log that a person can mend.
    pub const WRONG_ROWS: usize = 1_000;
}

/// Version of the format that is written.
const VERSION: &str = "1";

/// One row, in the file's units.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Row {
    /// Line of the file, from 1; 0 where the row did not come from a file.
    pub line: usize,
    /// Seconds since the valve was closed.
    pub time_s: f64,
    /// Gauge, in the log's gauge unit.
    pub gauge: f64,
    /// Temperature, °C.
    pub temperature_c: Option<f64>,
    /// Ambient pressure, mbar.
    pub ambient_mbar: Option<f64>,
}

impl Row {
    fn reading(&self, unit: PressureUnit) -> Reading {
        Reading {
            t_s: self.time_s,
            gauge_pa: unit.to_pa(self.gauge),
            temperature_k: self.temperature_c.map(celsius_to_k),
            ambient_pa: self.ambient_mbar.map(|p| PressureUnit::Mbar.to_pa(p)),
        }
    }

    fn of(r: &Reading, unit: PressureUnit) -> Self {
        Self {
            line: 0,
            time_s: r.t_s,
            gauge: tidy(unit.from_pa(r.gauge_pa)),
            temperature_c: r.temperature_k.map(|t| tidy(k_to_celsius(t))),
            ambient_mbar: r.ambient_pa.map(|p| tidy(PressureUnit::Mbar.from_pa(p))),
        }
    }
}

/// Nine digits: far below any gauge's step, and 200.1 stays 200.1.
fn tidy(v: f64) -> f64 {
    format!("{v:.8e}").parse::<f64>().unwrap_or(v)
}

/// A row of a recheck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RecheckRow {
    /// What was read.
    pub row: Row,
    /// Whether the camera inside runs, or ran in the last half hour; `None` where not said.
    pub camera_on: Option<bool>,
}

/// What is wrong with a row.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum RowFault {
    /// More or fewer cells than the header names.
    #[error("{here} cells where the header has {wanted}")]
    Cells {
        /// How many there are.
        here: usize,
        /// How many the header has.
        wanted: usize,
    },
    /// An empty cell where something must stand.
    #[error("no {column}")]
    Empty {
        /// The column.
        column: &'static str,
    },
    /// A cell that is no number.
    #[error("{column} '{cell}' is not a number")]
    NotANumber {
        /// The column.
        column: &'static str,
        /// The cell as it stood.
        cell: String,
    },
    /// A number that can't be.
    #[error("{column} {cell} is outside {low} to {high}")]
    Outside {
        /// The column.
        column: &'static str,
        /// The cell as it stood.
        cell: String,
        /// Least, in the column's unit.
        low: i32,
        /// Most.
        high: i32,
    },
    /// Earlier than the row before.
    #[error("time_s {time} is earlier than {before} of line {line}")]
    Earlier {
        /// Its time, s.
        time: String,
        /// That of the row before, s.
        before: String,
        /// Line of the row before, from 1.
        line: usize,
    },
}

/// What the value of a key may be.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Allowed {
    /// A number within these.
    Between {
        /// Least.
        low: &'static str,
        /// Most.
        high: &'static str,
        /// Unit of both.
        unit: &'static str,
    },
    /// A number up to the free volume, and not below 0.
    UpToTheVolume,
    /// A number above 0.
    AboveZero {
        /// Its unit; empty where another key says it.
        unit: &'static str,
    },
    /// One of these words of the format.
    Words(&'static [&'static str]),
    /// At a recheck, one of these words of the format.
    WordsAtARecheck(&'static [&'static str]),
}

impl std::fmt::Display for Allowed {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let or = |words: &[&str]| match words.split_last() {
            Some((last, rest)) if !rest.is_empty() => format!("{} or {last}", rest.join(", ")),
            _ => words.concat(),
        };
        match self {
            Self::Between { low, high, unit } => write!(f, "{low} to {high} {unit} is allowed"),
            Self::UpToTheVolume => write!(f, "0 up to the volume is allowed"),
            Self::AboveZero { unit: "" } => write!(f, "more than 0 is needed"),
            Self::AboveZero { unit } => write!(f, "more than 0 {unit} is needed"),
            Self::Words(words) => write!(f, "{} is allowed", or(words)),
            Self::WordsAtARecheck(words) => write!(f, "{} is allowed at a recheck", or(words)),
        }
    }
}

/// Of what a log has more than a hold's log has, by [`limits`].
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Excess {
    /// The file's length.
    FileBytes,
    /// A line's length.
    LineBytes,
    /// Keys.
    Keys,
    /// Columns.
    Columns,
    /// Rows of the hold.
    Rows,
    /// Rechecks.
    Rechecks,
    /// Rows that can't be used.
    WrongRows,
}

impl std::fmt::Display for Excess {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::FileBytes => "the file is longer than 8 MiB (bytes)",
            Self::LineBytes => "the line is too long (bytes)",
            Self::Keys => "too many keys",
            Self::Columns => "too many columns",
            Self::Rows => "too many rows",
            Self::Rechecks => "too many rechecks",
            Self::WrongRows => "too many wrong rows",
        })
    }
}

/// A row that can't be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("line {line}: {reason}")]
pub struct WrongRow {
    /// Line of the file, from 1.
    pub line: usize,
    /// What is wrong with it.
    pub reason: RowFault,
    /// The line as it stood.
    pub text: String,
}

/// Something to know about a log that can be used all the same.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum LogWarning {
    /// A key that is not known; it is kept.
    UnknownKey {
        /// Line of the file, from 1.
        line: usize,
        /// The key.
        key: String,
    },
    /// A key that was not there, and what is assumed.
    Assumed {
        /// The key.
        key: &'static str,
        /// The value that is assumed, as it would be written.
        value: String,
    },
    /// The log says a temperature source but has no temperatures.
    NoTemperatures,
}

impl std::fmt::Display for LogWarning {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::UnknownKey { line, key } => write!(f, "line {line}: unknown key '{key}' is kept"),
            Self::Assumed { key, value } => write!(f, "no '{key}': {value} is assumed"),
            Self::NoTemperatures => write!(f, "no temperature_C was read: the source is none"),
        }
    }
}

/// Why a log can't be read.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum LogFault {
    /// The first line is not that of a hold log.
    #[error("line 1: '# hold-log: 1' is needed")]
    NotAHoldLog,
    /// A later version of the format.
    #[error("line 1: hold-log version {version} is not known; version 1 is")]
    Version {
        /// The version that the file says.
        version: String,
    },
    /// A key that must be there is not.
    #[error("the key '{key}' is missing")]
    MissingKey {
        /// The key.
        key: &'static str,
    },
    /// A key stands twice.
    #[error("line {line}: the key '{key}' stands there twice")]
    Twice {
        /// Line of the second one, from 1.
        line: usize,
        /// The key.
        key: String,
    },
    /// A key's value can't be right.
    #[error("line {line}: '{key}' is '{value}': {why}")]
    BadValue {
        /// Line of the file, from 1.
        line: usize,
        /// The key.
        key: String,
        /// The value as it stood.
        value: String,
        /// What is allowed.
        why: Allowed,
    },
    /// More of something than a hold's log has, by [`limits`].
    #[error("line {line}: {what}; a log has at most {most}")]
    TooMuch {
        /// Line of the file where it became too much, from 1.
        line: usize,
        /// Of what.
        what: Excess,
        /// How many are allowed.
        most: usize,
    },
    /// No header row with `time_s` and `gauge`.
    #[error("line {line}: a header row with time_s and gauge is needed")]
    NoHeader {
        /// Line of the file, from 1.
        line: usize,
    },
    /// Rows are wrong and nobody said to keep the good ones.
    #[error("{} wrong row(s): {}", rows.len(), name(rows))]
    WrongRows {
        /// The wrong rows.
        rows: Vec<WrongRow>,
    },
}

fn name(rows: &[WrongRow]) -> String {
    let mut text: Vec<String> = rows.iter().take(5).map(ToString::to_string).collect();
    if rows.len() > 5 {
        text.push(format!("and {} more", rows.len() - 5));
    }
    text.join("; ")
}

/// A logged hold.
#[derive(Debug, Clone, PartialEq)]
pub struct HoldLog {
    /// The enclosure's name.
    pub enclosure: Option<String>,
    /// Free gas volume, L.
    pub volume_l: f64,
    /// Its standard uncertainty, L.
    pub volume_sd_l: f64,
    /// The gauge's kind.
    pub gauge: GaugeKind,
    /// The gauge's unit.
    pub unit: PressureUnit,
    /// The gauge's resolution, in its unit.
    pub resolution: f64,
    /// Where temperatures come from.
    pub temperature_source: TemperatureSource,
    /// What is shut in, as far as the file says.
    pub shut_in: ShutIn,
    /// The crew's limit, mL per dive.
    pub limit_ml: f64,
    /// Depth, m.
    pub depth_m: f64,
    /// Time at that depth, minutes.
    pub minutes: f64,
    /// Salinity, g/kg.
    pub salinity_g_kg: f64,
    /// Water temperature, °C.
    pub water_c: f64,
    /// Keys that are not known, as they stood.
    pub unknown: Vec<(String, String)>,
    /// Good rows of the hold, in time order.
    pub rows: Vec<Row>,
    /// Good rows of rechecks after it, in time order.
    pub rechecks: Vec<RecheckRow>,
    /// Wrong rows.
    pub wrong: Vec<WrongRow>,
    /// What else to know.
    pub warnings: Vec<LogWarning>,
}

fn camera_word(camera: Camera) -> &'static str {
    match camera {
        Camera::Cold => "cold",
        Camera::Warm => "warm",
        Camera::On => "on",
    }
}

fn number(text: &str) -> Option<f64> {
    text.parse::<f64>().ok().filter(|v| v.is_finite())
}

struct Keys {
    found: Vec<(usize, String, String)>,
    warnings: Vec<LogWarning>,
}

impl Keys {
    fn take(&mut self, key: &str) -> Option<(usize, String)> {
        let i = self.found.iter().position(|(_, k, _)| k == key)?;
        let (line, _, value) = self.found.remove(i);
        Some((line, value))
    }

    fn number(
        &mut self,
        key: &'static str,
        range: std::ops::RangeInclusive<f64>,
        why: Allowed,
    ) -> Result<Option<f64>, LogFault> {
        let Some((line, value)) = self.take(key) else {
            return Ok(None);
        };
        match number(&value).filter(|v| range.contains(v)) {
            Some(v) => Ok(Some(v)),
            None => Err(LogFault::BadValue {
                line,
                key: key.into(),
                value,
                why,
            }),
        }
    }

    /// One of a few words; none where the key isn't there: nobody said.
    fn word<T: Copy>(
        &mut self,
        key: &'static str,
        words: &[(&str, T)],
        why: Allowed,
    ) -> Result<Option<T>, LogFault> {
        let Some((line, value)) = self.take(key) else {
            return Ok(None);
        };
        match words.iter().find(|(word, _)| *word == value) {
            Some((_, meaning)) => Ok(Some(*meaning)),
            None => Err(LogFault::BadValue {
                line,
                key: key.into(),
                value,
                why,
            }),
        }
    }

    fn or(&mut self, key: &'static str, found: Option<f64>, assumed: f64) -> f64 {
        found.unwrap_or_else(|| {
            self.warnings.push(LogWarning::Assumed {
                key,
                value: assumed.to_string(),
            });
            assumed
        })
    }
}

/// Reads a hold log.
///
/// # Errors
/// [`LogFault`] where the file can't be read at all. Wrong rows are no fault here: they are listed
/// in [`HoldLog::wrong`], and [`HoldLog::input`] asks what to do with the good ones.
pub fn read(text: &str) -> Result<HoldLog, LogFault> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let too_much = |line, what, most| Err(LogFault::TooMuch { line, what, most });
    if text.len() > limits::FILE_BYTES {
        return too_much(1, Excess::FileBytes, limits::FILE_BYTES);
    }
    let mut lines = text
        .lines()
        .enumerate()
        .map(|(i, l)| (i + 1, l.trim_end_matches('\r')));
    let first = lines.next().map_or("", |(_, l)| l);
    let version = first
        .strip_prefix('#')
        .and_then(|l| l.trim().strip_prefix("hold-log"))
        .and_then(|l| l.trim().strip_prefix(':'))
        .ok_or(LogFault::NotAHoldLog)?
        .trim();
    if version != VERSION {
        return Err(LogFault::Version {
            version: version.into(),
        });
    }
    let mut keys = Keys {
        found: Vec::new(),
        warnings: Vec::new(),
    };
    let mut header: Option<Columns> = None;
    let mut rows: Vec<Row> = Vec::new();
    let mut rechecks: Vec<RecheckRow> = Vec::new();
    // Whether it goes on with rechecks, and what the line before a row says of the camera.
    let mut later = false;
    let mut camera_on = None;
    let mut wrong = Vec::new();
    let mut last_line = 1;
    for (line, l) in lines {
        last_line = line;
        if l.len() > limits::LINE_BYTES {
            return too_much(line, Excess::LineBytes, limits::LINE_BYTES);
        }
        if l.trim().is_empty() {
            continue;
        }
        if let Some(rest) = l.trim_start().strip_prefix('#') {
            if rest.trim() == "recheck" {
                later = true;
                continue;
            }
            let Some((key, value)) = rest.split_once(':') else {
                continue;
            };
            let (key, value) = (key.trim().to_owned(), value.trim().to_owned());
            if later && key == "camera" {
                camera_on = Some(runs(line, &value)?);
                continue;
            }
            if keys.found.iter().any(|(_, k, _)| *k == key) {
                return Err(LogFault::Twice { line, key });
            }
            if keys.found.len() == limits::KEYS {
                return too_much(line, Excess::Keys, limits::KEYS);
            }
            keys.found.push((line, key, value));
            continue;
        }
        let Some(columns) = header.as_ref() else {
            let columns = Columns::read(l).ok_or(LogFault::NoHeader { line })?;
            if columns.count > limits::COLUMNS {
                return too_much(line, Excess::Columns, limits::COLUMNS);
            }
            header = Some(columns);
            continue;
        };
        if rows.len() == limits::ROWS {
            return too_much(line, Excess::Rows, limits::ROWS);
        }
        if rechecks.len() == limits::RECHECKS {
            return too_much(line, Excess::Rechecks, limits::RECHECKS);
        }
        if wrong.len() == limits::WRONG_ROWS {
            return too_much(line, Excess::WrongRows, limits::WRONG_ROWS);
        }
        let before = rechecks.last().map(|r| &r.row).or(rows.last());
        match columns.row(line, l, before) {
            Ok(row) if later => rechecks.push(RecheckRow {
                row,
                camera_on: camera_on.take(),
            }),
            Ok(row) => rows.push(row),
            Err(reason) => wrong.push(WrongRow {
                line,
                reason,
                text: l.into(),
            }),
        }
    }
    if header.is_none() {
        return Err(LogFault::NoHeader { line: last_line });
    }
    let mut log = finish(keys, rows, wrong)?;
    log.rechecks = rechecks;
    Ok(log)
}

/// Whether the camera runs at the recheck that follows.
fn runs(line: usize, value: &str) -> Result<bool, LogFault> {
    match value {
        "on" => Ok(true),
        "off" => Ok(false),
        _ => Err(LogFault::BadValue {
            line,
            key: "camera".into(),
            value: value.into(),
            why: Allowed::WordsAtARecheck(&["on", "off"]),
        }),
    }
}

fn finish(mut keys: Keys, rows: Vec<Row>, wrong: Vec<WrongRow>) -> Result<HoldLog, LogFault> {
    let missing = |key| LogFault::MissingKey { key };
    let volume_l = keys
        .number(
            "volume_L",
            0.001..=10_000.0,
            Allowed::Between {
                low: "0.001",
                high: "10000",
                unit: "L",
            },
        )?
        .ok_or(missing("volume_L"))?;
    let sd = keys.number("volume_sd_L", 0.0..=volume_l, Allowed::UpToTheVolume)?;
    let (line, kind) = keys.take("gauge").ok_or(missing("gauge"))?;
    let gauge = match kind.as_str() {
        "below_ambient" => GaugeKind::BelowAmbient,
        "absolute" => GaugeKind::Absolute,
        _ => {
            return Err(LogFault::BadValue {
                line,
                key: "gauge".into(),
                value: kind,
                why: Allowed::Words(&["below_ambient", "absolute"]),
            });
        }
    };
    let (line, unit_text) = keys.take("gauge_unit").ok_or(missing("gauge_unit"))?;
    let unit = PressureUnit::from_symbol(&unit_text)
        .filter(|u| *u != PressureUnit::Pa)
        .ok_or(LogFault::BadValue {
            line,
            key: "gauge_unit".into(),
            value: unit_text,
            why: Allowed::Words(&["mbar", "kPa", "inHg", "psi", "mmHg"]),
        })?;
    let resolution = keys
        .number(
            "gauge_resolution",
            1e-9..=1e6,
            Allowed::AboveZero { unit: "" },
        )?
        .ok_or(missing("gauge_resolution"))?;
    let source = match keys.take("temperature_source") {
        None => None,
        Some((line, value)) => Some(match value.as_str() {
            "inside" => TemperatureSource::Inside,
            "surface" => TemperatureSource::Surface,
            "air" => TemperatureSource::Air,
            "none" => TemperatureSource::None,
            _ => {
                return Err(LogFault::BadValue {
                    line,
                    key: "temperature_source".into(),
                    value,
                    why: Allowed::Words(&["inside", "surface", "air", "none"]),
                });
            }
        }),
    };
    let limit = keys.number(
        "limit_mL_per_dive",
        1e-6..=1e9,
        Allowed::AboveZero { unit: "mL" },
    )?;
    let depth = keys.number(
        "dive_depth_m",
        0.0..=11_000.0,
        Allowed::Between {
            low: "0",
            high: "11000",
            unit: "m",
        },
    )?;
    let minutes = keys.number(
        "dive_minutes",
        1e-3..=1e6,
        Allowed::AboveZero { unit: "min" },
    )?;
    let salinity = keys.number(
        "water_salinity_g_kg",
        0.0..=150.0,
        Allowed::Between {
            low: "0",
            high: "150",
            unit: "g/kg",
        },
    )?;
    let water = keys.number(
        "water_C",
        -3.0..=50.0,
        Allowed::Between {
            low: "-3",
            high: "50",
            unit: "°C",
        },
    )?;
    let shut_in = ShutIn {
        camera: keys.word(
            "camera",
            &[
                ("cold", Camera::Cold),
                ("warm", Camera::Warm),
                ("on", Camera::On),
            ],
            Allowed::Words(&["cold", "warm", "on"]),
        )?,
        desiccant: keys.word(
            "desiccant",
            &[("none", Desiccant::None), ("fresh", Desiccant::Fresh)],
            Allowed::Words(&["fresh", "none"]),
        )?,
        stood: keys.word(
            "place",
            &[("here", Stood::Here), ("moved", Stood::Moved)],
            Allowed::Words(&["here", "moved"]),
        )?,
    };
    let enclosure = keys.take("enclosure").map(|(_, v)| v);

    let volume_sd_l = keys.or("volume_sd_L", sd, 0.1 * volume_l);
    let limit_ml = keys.or(
        "limit_mL_per_dive",
        limit,
        slackwater_physics::hold::DEFAULT_LIMIT_ML,
    );
    let depth_m = keys.or("dive_depth_m", depth, 30.0);
    let minutes = keys.or("dive_minutes", minutes, 60.0);
    let salinity_g_kg = keys.or("water_salinity_g_kg", salinity, 35.0);
    let water_c = keys.or("water_C", water, 20.0);
    let measured = rows.iter().any(|r| r.temperature_c.is_some());
    let temperature_source = match source {
        Some(s) if measured => s,
        Some(TemperatureSource::None) => TemperatureSource::None,
        Some(_) => {
            keys.warnings.push(LogWarning::NoTemperatures);
            TemperatureSource::None
        }
        None if measured => {
            keys.warnings.push(LogWarning::Assumed {
                key: "temperature_source",
                value: "air".into(),
            });
            TemperatureSource::Air
        }
        None => TemperatureSource::None,
    };
    let mut unknown = Vec::new();
    let mut warnings = keys.warnings;
    for (line, key, value) in keys.found {
        warnings.push(LogWarning::UnknownKey {
            line,
            key: key.clone(),
        });
        unknown.push((key, value));
    }
    Ok(HoldLog {
        enclosure,
        volume_l,
        volume_sd_l,
        gauge,
        unit,
        resolution,
        temperature_source,
        shut_in,
        limit_ml,
        depth_m,
        minutes,
        salinity_g_kg,
        water_c,
        unknown,
        rows,
        rechecks: Vec::new(),
        wrong,
        warnings,
    })
}

/// Where each column stands in the header row.
struct Columns {
    count: usize,
    time: usize,
    gauge: usize,
    temperature: Option<usize>,
    ambient: Option<usize>,
}

impl Columns {
    fn read(line: &str) -> Option<Self> {
        let names: Vec<&str> = line.split(',').map(str::trim).collect();
        let at = |name: &str| names.iter().position(|n| *n == name);
        Some(Self {
            count: names.len(),
            time: at("time_s")?,
            gauge: at("gauge")?,
            temperature: at("temperature_C"),
            ambient: at("ambient_mbar"),
        })
    }

    fn row(&self, line: usize, text: &str, before: Option<&Row>) -> Result<Row, RowFault> {
        let cells: Vec<&str> = text.split(',').map(str::trim).collect();
        if cells.len() != self.count {
            return Err(RowFault::Cells {
                here: cells.len(),
                wanted: self.count,
            });
        }
        let not_a_number = |column: &'static str, cell: &str| RowFault::NotANumber {
            column,
            cell: cell.to_owned(),
        };
        let must = |at: usize, column: &'static str| {
            let cell = cells.get(at).copied().unwrap_or("");
            if cell.is_empty() {
                return Err(RowFault::Empty { column });
            }
            number(cell).ok_or_else(|| not_a_number(column, cell))
        };
        let may = |at: Option<usize>, column: &'static str, low: i32, high: i32| {
            let cell = at.and_then(|at| cells.get(at).copied()).unwrap_or("");
            if cell.is_empty() {
                return Ok(None);
            }
            let v = number(cell).ok_or_else(|| not_a_number(column, cell))?;
            if (f64::from(low)..=f64::from(high)).contains(&v) {
                Ok(Some(v))
            } else {
                Err(RowFault::Outside {
                    column,
                    cell: cell.to_owned(),
                    low,
                    high,
                })
            }
        };
        let row = Row {
            line,
            time_s: must(self.time, "time_s")?,
            gauge: must(self.gauge, "gauge")?,
            temperature_c: may(self.temperature, "temperature_C", -73, 126)?,
            ambient_mbar: may(self.ambient, "ambient_mbar", 300, 1200)?,
        };
        if let Some(b) = before
            && row.time_s < b.time_s
        {
            return Err(RowFault::Earlier {
                time: row.time_s.to_string(),
                before: b.time_s.to_string(),
                line: b.line,
            });
        }
        Ok(row)
    }
}

/// What happens to the good rows of a log that has wrong ones.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WrongRows {
    /// Nothing is taken.
    Refuse,
    /// The user has seen the wrong rows and keeps the good ones.
    KeepGood,
}

impl HoldLog {
    /// The hold in SI, for [`slackwater_physics::hold::judge`].
    ///
    /// # Errors
    /// [`LogFault::WrongRows`] where rows are wrong and `wrong` is [`WrongRows::Refuse`].
    pub fn input(&self, wrong: WrongRows) -> Result<HoldInput, LogFault> {
        if wrong == WrongRows::Refuse && !self.wrong.is_empty() {
            return Err(LogFault::WrongRows {
                rows: self.wrong.clone(),
            });
        }
        Ok(HoldInput {
            volume_m3: self.volume_l * 1e-3,
            volume_sd_m3: self.volume_sd_l * 1e-3,
            gauge: self.gauge,
            gauge_resolution_pa: self.unit.to_pa(self.resolution),
            temperature_source: self.temperature_source,
            dive: Dive {
                depth_m: self.depth_m,
                minutes: self.minutes,
                salinity_g_kg: self.salinity_g_kg,
                water_k: celsius_to_k(self.water_c),
            },
            limit_ml: self.limit_ml,
            temperature_sd_k: None,
            barometer_sd_pa: None,
            humidity: None,
            shut_in: self.shut_in,
            zero_pa: 0.0,
            zero_sd_pa: 0.0,
            readings: self.rows.iter().map(|r| r.reading(self.unit)).collect(),
        })
    }

    /// The rechecks in SI, in time order, for [`slackwater_physics::hold::recheck()`].
    #[must_use]
    pub fn later(&self) -> Vec<Later> {
        self.rechecks
            .iter()
            .map(|r| Later {
                reading: r.row.reading(self.unit),
                camera_on: r.camera_on,
                other_barometer: false,
                came_up: None,
                brought: false,
            })
            .collect()
    }

    /// The same log with rechecks.
    #[must_use]
    pub fn with_rechecks(mut self, later: &[Later]) -> Self {
        self.rechecks = later
            .iter()
            .map(|l| RecheckRow {
                row: Row::of(&l.reading, self.unit),
                camera_on: l.camera_on,
            })
            .collect();
        self
    }

    /// A log of a hold in SI, in the gauge's own unit.
    #[must_use]
    pub fn from_input(enclosure: &str, unit: PressureUnit, h: &HoldInput) -> Self {
        // The file has no word for a gauge that is off: what it showed is set right.
        let h = &*slackwater_physics::hold::zeroed(h);
        Self {
            enclosure: Some(enclosure.split_whitespace().collect::<Vec<_>>().join(" ")),
            volume_l: tidy(h.volume_m3 * 1e3),
            volume_sd_l: tidy(h.volume_sd_m3 * 1e3),
            gauge: h.gauge,
            unit,
            resolution: tidy(unit.from_pa(h.gauge_resolution_pa)),
            temperature_source: h.temperature_source,
            shut_in: h.shut_in,
            limit_ml: h.limit_ml,
            depth_m: h.dive.depth_m,
            minutes: h.dive.minutes,
            salinity_g_kg: h.dive.salinity_g_kg,
            water_c: tidy(k_to_celsius(h.dive.water_k)),
            unknown: Vec::new(),
            rows: h.readings.iter().map(|r| Row::of(r, unit)).collect(),
            rechecks: Vec::new(),
            wrong: Vec::new(),
            warnings: Vec::new(),
        }
    }

    /// The log as text. Wrong rows are not written; unknown keys are.
    #[must_use]
    pub fn write(&self) -> String {
        use std::fmt::Write as _;
        let mut out = format!("# hold-log: {VERSION}\n");
        let mut key = |k: &str, v: &str| {
            let _ = writeln!(out, "# {k}: {v}");
        };
        if let Some(e) = &self.enclosure {
            key("enclosure", e);
        }
        key("volume_L", &self.volume_l.to_string());
        key("volume_sd_L", &self.volume_sd_l.to_string());
        key(
            "gauge",
            match self.gauge {
                GaugeKind::BelowAmbient => "below_ambient",
                GaugeKind::Absolute => "absolute",
            },
        );
        key("gauge_unit", self.unit.symbol());
        key("gauge_resolution", &self.resolution.to_string());
        key(
            "temperature_source",
            match self.temperature_source {
                TemperatureSource::Inside => "inside",
                TemperatureSource::Surface => "surface",
                TemperatureSource::Air => "air",
                TemperatureSource::None => "none",
            },
        );
        key("limit_mL_per_dive", &self.limit_ml.to_string());
        key("dive_depth_m", &self.depth_m.to_string());
        key("dive_minutes", &self.minutes.to_string());
        key("water_salinity_g_kg", &self.salinity_g_kg.to_string());
        key("water_C", &self.water_c.to_string());
        if let Some(camera) = self.shut_in.camera {
            key("camera", camera_word(camera));
        }
        match self.shut_in.desiccant {
            Some(Desiccant::Fresh) => key("desiccant", "fresh"),
            Some(Desiccant::None) => key("desiccant", "none"),
            None => {}
        }
        match self.shut_in.stood {
            Some(Stood::Here) => key("place", "here"),
            Some(Stood::Moved) => key("place", "moved"),
            None => {}
        }
        for (k, v) in &self.unknown {
            key(k, v);
        }
        out.push_str("time_s,gauge,temperature_C,ambient_mbar\n");
        let cell = |v: Option<f64>| v.map_or_else(String::new, |v| v.to_string());
        let row = |r: &Row| {
            format!(
                "{},{},{},{}\n",
                r.time_s,
                r.gauge,
                cell(r.temperature_c),
                cell(r.ambient_mbar)
            )
        };
        out.extend(self.rows.iter().map(row));
        if !self.rechecks.is_empty() {
            out.push_str("# recheck\n");
        }
        for r in &self.rechecks {
            if let Some(on) = r.camera_on {
                let _ = writeln!(out, "# camera: {}", if on { "on" } else { "off" });
            }
            out.push_str(&row(&r.row));
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const GOOD: &str = "# hold-log: 1\r\n# enclosure: Main housing\r\n# volume_L: 12.0\r\n\
        # volume_sd_L: 0.6\r\n# gauge: below_ambient\r\n# gauge_unit: inHg\r\n\
        # gauge_resolution: 0.05\r\n# temperature_source: inside\r\n# limit_mL_per_dive: 10\r\n\
        # dive_depth_m: 30\r\n# dive_minutes: 60\r\n# water_salinity_g_kg: 35\r\n# water_C: 20\r\n\
        # weather: windy\r\ntime_s,gauge,temperature_C,ambient_mbar\r\n0,5.9,24.9,1012.8\r\n\
        20,5.85,,1012.8\r\n";

    #[test]
    fn there_and_back() {
        let log = read(GOOD).unwrap();
        assert_eq!(log.rows.len(), 2);
        assert_eq!(
            log.unknown,
            vec![("weather".to_owned(), "windy".to_owned())]
        );
        assert_eq!(
            log.warnings,
            vec![LogWarning::UnknownKey {
                line: 14,
                key: "weather".into()
            }]
        );
        let mut again = read(&log.write()).unwrap();
        again.warnings = log.warnings.clone();
        for (a, b) in again.rows.iter_mut().zip(&log.rows) {
            a.line = b.line;
        }
        assert_eq!(again, log);
        let input = log.input(WrongRows::Refuse).unwrap();
        let back = HoldLog::from_input("Main housing", log.unit, &input);
        assert_eq!(back.rows[1].gauge, 5.85);
        assert_eq!(back.rows[0].temperature_c, Some(24.9));
        assert_eq!(back.resolution, 0.05);
    }

    #[test]
    fn what_is_shut_in_is_read_and_written_and_what_was_not_said_stays_so() {
        assert!(read(GOOD).unwrap().shut_in.is_unsaid());
        let said = GOOD.replace(
            "# weather: windy\r\n",
            "# camera: warm\r\n# desiccant: fresh\r\n# place: moved\r\n",
        );
        let log = read(&said).unwrap();
        let all = ShutIn {
            camera: Some(Camera::Warm),
            desiccant: Some(Desiccant::Fresh),
            stood: Some(Stood::Moved),
        };
        assert_eq!(log.shut_in, all);
        assert_eq!(log.input(WrongRows::Refuse).unwrap().shut_in, all);
        assert_eq!(read(&log.write()).unwrap().shut_in, all);
        assert!(matches!(
            read(&said.replace("camera: warm", "camera: lukewarm")),
            Err(LogFault::BadValue { line: 14, .. })
        ));
    }

    #[test]
    fn rechecks_stand_behind_the_hold_each_with_its_camera() {
        let text = GOOD.to_owned()
            + "# recheck\r\n# camera: on\r\n40000,5.1,22.0,1010\r\n47200,5.2,,1010\r\n\
               # camera: off\r\n50000,5.3,21,1009\r\n";
        let log = read(&text).unwrap();
        assert_eq!(log.rows.len(), 2);
        let cameras: Vec<Option<bool>> = log.rechecks.iter().map(|r| r.camera_on).collect();
        assert_eq!(cameras, vec![Some(true), None, Some(false)]);
        // The hold's own camera is another matter, and neither is said twice.
        assert_eq!(log.shut_in.camera, None);
        assert_eq!(log.input(WrongRows::Refuse).unwrap().readings.len(), 2);
        let later = log.later();
        assert_eq!(later[1].reading.temperature_k, None);
        let again = HoldLog::from_input(
            "Main housing",
            log.unit,
            &log.input(WrongRows::Refuse).unwrap(),
        )
        .with_rechecks(&later);
        assert_eq!(read(&again.write()).unwrap().later(), later);
        for (wrong, why) in [("# camera: warm", "on or off"), ("# camera:", "on or off")] {
            let bad = text.replace("# camera: off", wrong);
            let fault = read(&bad).unwrap_err();
            assert!(fault.to_string().contains(why), "{fault}");
        }
        // Earlier than the row before it.
        let bad = text.replace("47200,", "30000,");
        assert!(
            read(&bad).unwrap().wrong[0]
                .reason
                .to_string()
                .contains("earlier")
        );
    }

    #[test]
    fn wrong_rows_are_named_and_not_taken_unasked() {
        let text = GOOD.to_owned()
            + "40,5,8,24,1012\n60,abc,,\n50,5.8,,\n10,5.8,,\n,5.8,,\n70,5.8,9999,\n";
        let log = read(&text).unwrap();
        let lines: Vec<usize> = log.wrong.iter().map(|w| w.line).collect();
        assert_eq!(lines, vec![18, 19, 21, 22, 23]);
        assert!(log.wrong[1].reason.to_string().contains("abc"));
        assert!(log.wrong[2].reason.to_string().contains("earlier"));
        assert!(matches!(
            log.input(WrongRows::Refuse),
            Err(LogFault::WrongRows { .. })
        ));
        assert_eq!(log.input(WrongRows::KeepGood).unwrap().readings.len(), 3);
    }

    #[test]
    fn what_is_missing_is_said() {
        for key in ["volume_L", "gauge", "gauge_unit", "gauge_resolution"] {
            let text: String = GOOD
                .lines()
                .filter(|l| !l.starts_with(&format!("# {key}:")))
                .map(|l| format!("{l}\n"))
                .collect();
            assert_eq!(read(&text), Err(LogFault::MissingKey { key }));
        }
        assert_eq!(read("time_s,gauge\n0,1\n"), Err(LogFault::NotAHoldLog));
        assert_eq!(read(""), Err(LogFault::NotAHoldLog));
        assert!(matches!(
            read("# hold-log: 2\n"),
            Err(LogFault::Version { .. })
        ));
        assert!(matches!(
            read("# hold-log: 1\n# gauge: odd\n"),
            Err(LogFault::NoHeader { line: 2 })
        ));
        let twice = GOOD.replacen("# gauge:", "# gauge: absolute\n# gauge:", 1);
        assert!(matches!(read(&twice), Err(LogFault::Twice { .. })));
        let bad = GOOD.replacen("volume_L: 12.0", "volume_L: NaN", 1);
        assert!(matches!(
            read(&bad),
            Err(LogFault::BadValue { line: 3, .. })
        ));
    }
}
