//! Acts as a shell would, knowing only what a screen record says: which targets and forms it has,
//! how an outcome moves the stack of places, and what of it a person reads.

use slackwater_core::domain::book::BookFault;
use slackwater_core::screens::common::{FieldValue, Form, Mark, Outcome, Place};
use slackwater_core::screens::desk::Desk;
use slackwater_core::screens::help::Topic;
use slackwater_core::screens::navigation::Stack;
use slackwater_core::screens::page::{Block, Page};
use slackwater_core::screens::recheck::RecheckItem;
use slackwater_core::screens::{Action, Screen};

/// Something that can be tapped.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Where on the screen ('main', 'others', 'obstacles', ...).
    pub at: &'static str,
    /// The row's title; empty for a button.
    pub row: String,
    /// What it says.
    pub label: String,
    /// What it sends.
    pub action: Action,
    /// Whether it can be used now.
    pub enabled: bool,
    /// Why it can't.
    pub why_not: Option<String>,
    /// The question asked first.
    pub confirm: Option<String>,
}

macro_rules! buttons {
    ($out:ident, $at:literal, $buttons:expr) => {
        for b in IntoIterator::into_iter($buttons) {
            $out.push(Target {
                at: $at,
                row: String::new(),
                label: b.label.clone(),
                action: b.action.clone(),
                enabled: b.enabled,
                why_not: b.why_not.clone(),
                confirm: b.confirm.clone(),
            });
        }
    };
}

macro_rules! rows {
    ($out:ident, $at:literal, $rows:expr) => {
        for r in $rows {
            for b in r.tap.iter().chain(&r.other) {
                $out.push(Target {
                    at: $at,
                    row: r.title.clone(),
                    label: b.label.clone(),
                    action: b.action.clone(),
                    enabled: b.enabled,
                    why_not: b.why_not.clone(),
                    confirm: b.confirm.clone(),
                });
            }
        }
    };
}

/// All that can be tapped on a screen, forms aside, in reading order.
pub fn targets(screen: &Screen) -> Vec<Target> {
    let mut out = Vec::new();
    match screen {
        Screen::Rigs { screen: s } => {
            rows!(out, "rigs", &s.rigs);
            rows!(out, "retired", &s.retired);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Rig { screen: s } => {
            rows!(out, "obstacles", &s.obstacles);
            rows!(out, "enclosures", &s.enclosures);
            rows!(out, "defects", &s.defects);
            rows!(out, "procedures", &s.procedures);
            rows!(out, "controls", &s.controls);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::RigEdit { screen: s } => {
            for section in &s.sections {
                rows!(out, "section", &section.rows);
                buttons!(out, "add", [&section.add]);
            }
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Prep { screen: s } => {
            rows!(out, "parts", &s.parts);
            rows!(out, "steps", &s.steps);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::HoldSetup { screen: s } => buttons!(out, "others", &s.others),
        Screen::Hold { screen: s } => {
            buttons!(out, "with_verdict", &s.with_verdict);
            rows!(out, "readings", &s.readings);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Recheck { screen: s } => {
            buttons!(out, "next", s.items.iter().filter_map(|i| i.next.as_ref()));
            buttons!(out, "main", &s.main);
        }
        Screen::Seals { screen: s } => {
            rows!(out, "seals", &s.seals);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Seal { screen: s } => {
            rows!(out, "sizes", &s.sizes);
            rows!(out, "history", &s.history);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Service { screen: s } => {
            rows!(out, "choices", &s.choices);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::RingBox { screen: s } => {
            rows!(out, "lots", &s.lots);
            buttons!(out, "main", &s.main);
        }
        Screen::Spares { screen: s } => {
            rows!(out, "due", &s.due);
            rows!(out, "spares", &s.spares);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Trim { screen: s } => {
            rows!(out, "list", &s.list);
            rows!(out, "points", &s.points);
            rows!(out, "weights", s.at_points.iter().flat_map(|p| &p.weights));
            rows!(out, "swaps", &s.swaps);
            rows!(out, "lessons", &s.lessons);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
        Screen::Journal { screen: s } => rows!(out, "entries", &s.entries),
        Screen::Page { page } => {
            for block in &page.blocks {
                match block {
                    Block::Rows { rows, .. } => rows!(out, "lines", rows),
                    Block::Buttons { buttons, .. } => buttons!(out, "others", buttons),
                    _ => {}
                }
            }
            buttons!(out, "main", &page.main);
        }
        Screen::Entry { screen: s } => buttons!(out, "others", &s.others),
        Screen::Photo { screen: s } => {
            rows!(out, "places", &s.places);
            buttons!(out, "others", &s.others);
        }
        Screen::Crew { screen: s } => {
            rows!(out, "members", &s.members);
            rows!(out, "choices", &s.choices);
            buttons!(out, "main", &s.main);
            buttons!(out, "others", &s.others);
        }
    }
    out
}

/// The main action of a screen.
pub fn main_target(screen: &Screen) -> Option<Target> {
    targets(screen).into_iter().find(|t| t.at == "main")
}

/// The forms of a screen.
pub fn forms(screen: &Screen) -> Vec<Form> {
    screen.forms().into_iter().cloned().collect()
}

/// The action that sends a form of the screen at `place`; none where that screen has no forms.
pub fn submit(place: &Place, form: &str, values: Vec<FieldValue>) -> Option<Action> {
    Action::submit(place, form, values)
}

/// All that a page sends when it is tapped, forms aside.
fn sent(page: &Page) -> Vec<&Action> {
    let mut all: Vec<&Action> = page.main.iter().map(|b| &b.action).collect();
    for block in &page.blocks {
        match block {
            Block::Rows { rows, .. } => {
                let taps = rows.iter().flat_map(|r| r.tap.iter().chain(&r.other));
                all.extend(taps.map(|b| &b.action));
            }
            Block::Buttons { buttons, .. } => all.extend(buttons.iter().map(|b| &b.action)),
            Block::Ticks { ticks, .. } => all.extend(ticks.iter().map(|t| &t.action)),
            _ => {}
        }
    }
    all
}

/// What of a screen its page leaves out, and what a page must not be.
pub fn page_lacks(place: &Place, screen: &Screen, page: &Page) -> Vec<String> {
    let mut wrong = Vec::new();
    if page.title.trim().is_empty() {
        wrong.push("a page without a title".to_owned());
    }
    let at_thumb = |b: &&Block| matches!(b, Block::Fields { at_thumb: true, .. });
    let thumbs = page.blocks.iter().filter(at_thumb).count() + usize::from(page.main.is_some());
    if thumbs > 1 {
        wrong.push(format!("{thumbs} things at the thumb"));
    }
    let empty = |b: &&Block| match b {
        Block::Rows { rows, .. } => rows.is_empty(),
        Block::Lines { lines } => lines.is_empty(),
        Block::Ticks { ticks, .. } => ticks.is_empty(),
        Block::Buttons { buttons, .. } => buttons.is_empty(),
        Block::Figures { figures, .. } => figures.is_empty(),
        Block::Text { text, .. } | Block::Title { text } | Block::Caution { text } => {
            text.is_empty()
        }
        _ => false,
    };
    wrong.extend(
        page.blocks
            .iter()
            .find(empty)
            .map(|b| format!("nothing in {b:?}")),
    );
    // One housing is read at a time, and one that reads as it should is not read again.
    let later = |form: &Form| match screen {
        Screen::Recheck { screen } => {
            let left = screen.items.iter().filter(|i| i.mark == Mark::Hollow);
            let next = left.filter_map(|i| i.form.as_ref()).next();
            let of = |i: &RecheckItem| i.form.as_ref() == Some(form);
            let item = screen.items.iter().find(|i| of(i));
            item.is_some_and(|i| i.mark == Mark::Full)
                || screen.main.is_none() && next.is_some() && item.is_some() && next != Some(form)
        }
        _ => false,
    };
    for form in screen.forms() {
        if !later(form)
            && !page
                .forms()
                .any(|f| f.key == form.key && f.fields == form.fields)
        {
            wrong.push(format!("the form {} is not on the page", form.key));
        }
    }
    // A form or list that is asked for stands alone.
    let asked_for = !format!("{place:?}").contains("form: None");
    let at_points = matches!(screen, Screen::Trim { screen } if !screen.at_points.is_empty());
    let controls = matches!(screen, Screen::Rig { screen } if !screen.controls.is_empty());
    let lists = page.answer.is_none() || at_points || controls;
    let alone = asked_for && (screen.forms().len() == 1 || lists);
    let sent = sent(page);
    if let Some(of) = Topic::of(place)
        && !sent.iter().any(|a| {
            **a == Action::Go {
                place: Place::Help { of },
            }
        })
    {
        wrong.push("no way to its help".to_owned());
    }
    for target in targets(screen) {
        if !alone && !sent.contains(&&target.action) {
            wrong.push(format!(
                "'{}' of {} is not on the page",
                target.label, target.at
            ));
        }
    }
    wrong
}

/// The values a form starts from.
pub fn preset(form: &Form) -> Vec<FieldValue> {
    form.fields
        .iter()
        .map(|f| FieldValue {
            key: f.key.clone(),
            value: f.value.clone(),
        })
        .collect()
}

/// As [`preset`], with some values typed over.
pub fn filled(form: &Form, typed: &[(&str, &str)]) -> Vec<FieldValue> {
    let mut values = preset(form);
    for (key, value) in typed {
        match values.iter_mut().find(|v| v.key == *key) {
            Some(v) => (*value).clone_into(&mut v.value),
            None => values.push(FieldValue {
                key: (*key).to_owned(),
                value: (*value).to_owned(),
            }),
        }
    }
    values
}

/// What is wrong with how a screen reads: an empty text where one belongs, a key in place of a
/// text, a unit said twice, a number that is none. Found in the record as a whole, so that a field
/// added later is looked at, too.
pub fn reads_badly(screen: &Screen) -> Vec<String> {
    let shown = format!("{screen:?}");
    let mut wrong = Vec::new();
    for field in [
        "title",
        "answer",
        "label",
        "name",
        "rig_name",
        "enclosure_name",
        "verdict",
        "instruction",
        "procedure",
        "text",
        "caveat",
        "count",
        "submit",
        "state",
        "caption",
        "spoken",
        "holder",
    ] {
        let empty = format!(" {field}: \"\"");
        for (at, _) in shown.match_indices(&empty) {
            let after = &shown[at + empty.len()..];
            // A form's title may be empty; so may the text below an instruction.
            let form_title = field == "title" && after.starts_with(", fields: ");
            let step_text = field == "text" && after.starts_with(", caution: ");
            // The heading of a block may be empty.
            let block = ["Rows {", "Footnote {", "Buttons {", "Ticks {", "Figures {"];
            let heading = field == "title" && block.iter().any(|b| shown[..at].ends_with(b));
            if !form_title && !step_text && !heading {
                wrong.push(format!("empty {field}: …{}", around(&shown, at)));
            }
        }
    }
    for text in quoted(&shown) {
        for word in
            text.split(|c: char| !(c.is_ascii_lowercase() || c == '_' || c.is_ascii_digit()))
        {
            let key = word.split_once('_').is_some_and(|(first, rest)| {
                !rest.is_empty()
                    && matches!(
                        first,
                        "screen"
                            | "error"
                            | "common"
                            | "action"
                            | "role"
                            | "a11y"
                            | "shell"
                            | "unit"
                            | "obstacle"
                            | "help"
                    )
            });
            if key && !FIELD_KEYS.contains(&word) {
                wrong.push(format!("raw key {word} in {text:?}"));
            }
        }
        if text.contains("{ $") || text.contains("{$") {
            wrong.push(format!("open placeholder in {text:?}"));
        }
        let plain = text.replace("\\u{a0}", " ");
        for unit in [
            "mbar", "kPa", "mL", "°C", "min", "g/kg", "cm³", "g", "m", "L", "h",
        ] {
            let twice = format!(" {unit} {unit} ");
            if format!(" {plain} ").contains(&twice) {
                wrong.push(format!("{unit} twice in {text:?}"));
            }
        }
        for word in plain.split(|c: char| !c.is_alphanumeric()) {
            if word == "NaN" || word == "inf" {
                wrong.push(format!("{word} in {text:?}"));
            }
        }
    }
    if let Screen::Hold { screen } = screen
        && let Some(chart) = &screen.chart
    {
        let mut numbers = vec![chart.x_min, chart.x_max, chart.y_min, chart.y_max];
        numbers.extend(chart.points.iter().flat_map(|p| [p.x, p.y]));
        numbers.extend(
            chart
                .fit
                .iter()
                .flat_map(|f| [f.x, f.y, f.low, f.high, f.limit]),
        );
        numbers.extend(chart.x_ticks.iter().chain(&chart.y_ticks).map(|t| t.at));
        if let Some(n) = numbers.iter().find(|n| !n.is_finite()) {
            wrong.push(format!("{n} in the chart"));
        }
        if chart.x_min >= chart.x_max || chart.y_min >= chart.y_max {
            wrong.push("the chart has no extent".into());
        }
    }
    if let Screen::Trim { screen } = screen {
        for drawing in &screen.drawings {
            let spots = drawing.shapes.iter().flat_map(|s| &s.spots);
            let out = spots.chain(drawing.labels.iter().map(|l| &l.at)).find(|s| {
                let inside = (0.0..=1.0).contains(&s.x) && (0.0..=drawing.height).contains(&s.y);
                !inside
            });
            if let Some(spot) = out {
                wrong.push(format!("{spot:?} is outside the drawing {}", drawing.title));
            }
        }
    }
    wrong
}

/// Keys of fields that look like keys of texts but never reach a person.
const FIELD_KEYS: [&str; 5] = [
    "unit_pressure",
    "unit_temperature",
    "unit_depth",
    "unit_water",
    "unit_weight",
];

fn around(text: &str, at: usize) -> String {
    let mut from = at.saturating_sub(90);
    while !text.is_char_boundary(from) {
        from -= 1;
    }
    let mut to = (at + 60).min(text.len());
    while !text.is_char_boundary(to) {
        to += 1;
    }
    text[from..to].to_owned()
}

/// The string literals of a `Debug` text, their escapes left in.
fn quoted(shown: &str) -> Vec<&str> {
    let mut all = Vec::new();
    let mut start = None;
    let mut escaped = false;
    for (i, c) in shown.char_indices() {
        match (start, c) {
            (Some(_), _) if escaped => escaped = false,
            (Some(_), '\\') => escaped = true,
            (Some(from), '"') => {
                all.push(&shown[from..i]);
                start = None;
            }
            (None, '"') => start = Some(i + 1),
            _ => {}
        }
    }
    all
}

/// A shell over a desk.
pub struct Shell {
    /// The desk.
    pub desk: Desk,
    /// The places, the present one last; never empty.
    pub stack: Vec<Place>,
}

impl Shell {
    /// At the list of rigs.
    pub fn new(desk: Desk) -> Shell {
        Shell {
            desk,
            stack: Stack::default().places().to_vec(),
        }
    }

    /// Where it is.
    pub fn place(&self) -> Place {
        Stack::of(self.stack.clone()).place()
    }

    /// What is shown.
    ///
    /// # Errors
    /// As [`Desk::show`].
    pub fn screen(&self) -> Result<Screen, BookFault> {
        self.desk.show(&self.place())
    }

    /// Sends an action and moves as it says.
    ///
    /// # Errors
    /// As [`Desk::act`].
    pub fn act(&mut self, action: Action) -> Result<Outcome, BookFault> {
        let outcome = self.desk.act(&self.place(), action)?;
        self.follow(&outcome);
        Ok(outcome)
    }

    /// Moves as an outcome says.
    pub fn follow(&mut self, outcome: &Outcome) {
        let mut stack = Stack::of(std::mem::take(&mut self.stack));
        stack.follow(outcome);
        self.stack = stack.places().to_vec();
    }
}
