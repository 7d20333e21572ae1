//! A vacuum hold. Its one question: is it tight, and how long must I still wait?

use super::common::{FieldValue, Form, Line, Mark, PhotoTile, Quantity, Severity, acting};

acting!(
    /// A button of the hold screen.
    HoldButton,
    /// A row of the hold screen: a reading.
    HoldRow,
    HoldAction
);

/// What the hold screens accept.
#[derive(Debug, Clone, PartialEq, uniffi::Enum)]
pub enum HoldAction {
    /// Sends a form: 'setup' starts the hold, 'reading' adds a reading.
    Submit {
        /// [`Form::key`].
        form: String,
        /// What was typed.
        values: Vec<FieldValue>,
    },
    /// Ends the hold with the verdict as it stands.
    Conclude,
    /// Gives the hold up; the reason is asked for by the form 'abandon'.
    ShowForm {
        /// Which form.
        form: String,
    },
    /// Hides the form.
    HideForm,
    /// Sets a reading aside as mistyped (it stays in the record).
    SetAside {
        /// Event reference of the reading.
        reading: String,
    },
    /// Records that the plug was refitted.
    PlugOn,
    /// Back to the rig.
    OpenRig,
}

/// A point of the chart. x in minutes since the valve was closed, y in the chart's pressure unit.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ChartPoint {
    /// Minutes.
    pub x: f64,
    /// Depression in the unit of [`HoldChart::y_unit`].
    pub y: f64,
    /// True where the reading looks mistyped or was set aside.
    pub aside: bool,
}

/// A point of the fitted curve with its band and the limit.
#[derive(Debug, Clone, Copy, PartialEq, uniffi::Record)]
pub struct ChartFit {
    /// Minutes.
    pub x: f64,
    /// Fit.
    pub y: f64,
    /// Lower edge of the 95 % band.
    pub low: f64,
    /// Upper edge of the 95 % band.
    pub high: f64,
    /// A leak exactly at the limit.
    pub limit: f64,
}

/// A tick of an axis.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct ChartTick {
    /// Position in the axis' unit.
    pub at: f64,
    /// Its text.
    pub label: String,
}

/// The chart: time along, pressure as depression at constant temperature and barometer.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HoldChart {
    /// Readings, reduced.
    pub points: Vec<ChartPoint>,
    /// Fit, band and limit line.
    pub fit: Vec<ChartFit>,
    /// Smallest and largest x shown.
    pub x_min: f64,
    /// Largest x shown.
    pub x_max: f64,
    /// Smallest y shown.
    pub y_min: f64,
    /// Largest y shown.
    pub y_max: f64,
    /// Ticks of the time axis.
    pub x_ticks: Vec<ChartTick>,
    /// Ticks of the pressure axis.
    pub y_ticks: Vec<ChartTick>,
    /// 'min'.
    pub x_unit: String,
    /// 'mbar'.
    pub y_unit: String,
    /// Label of the dashed line: 'limit: 10 mL per dive'.
    pub limit_label: String,
    /// Every number of the chart as text, for a screen reader.
    pub spoken: String,
}

/// Setting up a hold.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HoldSetupScreen {
    /// Rig id.
    pub rig: String,
    /// Enclosure's name.
    pub enclosure_name: String,
    /// The instruction: 'Pump Main housing to 200 mbar below ambient, then close the valve'.
    pub instruction: String,
    /// What stands in the way of a hold that counts (not closed, a seal not serviced).
    pub obstacles: Vec<Line>,
    /// The form: gauge, unit, first reading, temperature, barometer.
    pub form: Form,
    /// What a vacuum hold can't prove.
    pub caveat: String,
}

/// A hold under way or ended.
#[derive(Debug, Clone, PartialEq, uniffi::Record)]
pub struct HoldScreen {
    /// Hold id.
    pub hold: String,
    /// Rig id.
    pub rig: String,
    /// Enclosure's name.
    pub enclosure_name: String,
    /// The sentence: 'Tight to 3 mL per dive' or 'Not yet: about 14 more minutes'.
    pub verdict: String,
    /// Its mark.
    pub mark: Mark,
    /// Its weight.
    pub severity: Severity,
    /// Beneath it: what it rests on, what limits it, what a better thermometer would save.
    pub reasons: Vec<Line>,
    /// Figures: leak with interval, would-miss, limit, pressure now.
    pub figures: Vec<Quantity>,
    /// When the next reading is wanted ('Next reading in 2 min').
    pub next_reading: Option<String>,
    /// Seconds from now until then, for the shell's alarm; 0 or less: now.
    pub next_reading_s: Option<i64>,
    /// The chart; none before there are two readings.
    pub chart: Option<HoldChart>,
    /// The readings, newest first.
    pub readings: Vec<HoldRow>,
    /// The form for a reading or the one asked for; none when ended.
    pub form: Option<Form>,
    /// Photos of this hold.
    pub photos: Vec<PhotoTile>,
    /// Subject to attach a photo to.
    pub photo_subject: String,
    /// The main action.
    pub main: Option<HoldButton>,
    /// The others.
    pub others: Vec<HoldButton>,
    /// True while it runs.
    pub running: bool,
    /// What a vacuum hold can't prove.
    pub caveat: String,
}
