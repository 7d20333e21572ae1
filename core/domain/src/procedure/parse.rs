//! Reads a procedure file and finds as many faults in it as can be found in one go.
//!
//! The TOML reader recovers after an error and keeps the place of every key and value, so each
//! fault names its line. Faults of syntax come first; where there are any, only those faults of
//! content are added that a half-read file cannot feign.

use std::collections::{HashMap, HashSet};
use std::ops::Range;

use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

use super::{
    Each, FORMAT, Form, Measure, Only, Procedure, ProcedureFault, ProcedureKind, Quantity, Slip,
    Step, StepKind, graph, limits,
};

/// Reads a procedure from text.
///
/// # Errors
/// Every fault found, in the order of the lines; never an empty list.
pub fn parse(source: &str) -> Result<Procedure, Vec<ProcedureFault>> {
    let source = source.strip_prefix('\u{feff}').unwrap_or(source);
    if source.len() > limits::FILE_BYTES {
        return Err(vec![ProcedureFault {
            line: 1,
            what: "file".into(),
            why: Slip::FileTooLong {
                kib: source.len().div_ceil(1024),
            },
        }]);
    }
    let mut reader = Reader::new(source);
    let (document, errors) = DeTable::parse_recoverable(source);
    for error in &errors {
        let at = error.span().map_or(0, |span| span.start);
        reader.fault(
            Certainty::Syntax,
            at,
            "file",
            Slip::Toml(error.message().to_string()),
        );
    }
    let procedure = reader.procedure(document.get_ref());
    reader.finish(procedure)
}

/// Reads a procedure from the bytes of a file; a byte-order mark and Windows line ends are
/// accepted, any text encoding but UTF-8 is refused with the line of the first wrong byte.
///
/// # Errors
/// As [`parse`].
pub fn parse_bytes(source: &[u8]) -> Result<Procedure, Vec<ProcedureFault>> {
    let refuse = |line: usize, why: Slip| {
        Err(vec![ProcedureFault {
            line: u32::try_from(line).unwrap_or(u32::MAX),
            what: "file".into(),
            why,
        }])
    };
    if source.starts_with(&[0xff, 0xfe]) || source.starts_with(&[0xfe, 0xff]) {
        return refuse(1, Slip::Utf16);
    }
    match std::str::from_utf8(source) {
        Ok(text) => parse(text),
        Err(error) => {
            let good = source.get(..error.valid_up_to()).unwrap_or_default();
            let line = 1 + good.iter().filter(|byte| **byte == b'\n').count();
            let byte = source.get(error.valid_up_to()).copied().unwrap_or_default();
            refuse(line, Slip::NotUtf8(byte))
        }
    }
}

/// What a fault is worth when a part of the file could not be read.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Certainty {
    /// The text is not TOML.
    Syntax,
    /// The fault is in what stands there.
    Sure,
    /// The fault is in what seems to be missing, or in a name that something else should
    /// explain; after an error of syntax it may be an echo of that error.
    Echo,
}

struct Found {
    certainty: Certainty,
    at: usize,
    what: String,
    why: Slip,
}

/// What was read of one step, and where.
struct Draft {
    step: Step,
    at: usize,
    id_at: usize,
    /// Place of each entry of `after`, in the same order.
    after_at: Vec<usize>,
}

/// One table with a name for the fault messages and the place of its header.
#[derive(Clone, Copy)]
struct Part<'t> {
    table: &'t DeTable<'t>,
    name: &'t str,
    at: usize,
}

impl<'t> Part<'t> {
    fn get(&self, key: &str) -> Option<(&'t Spanned<DeString<'t>>, &'t Spanned<DeValue<'t>>)> {
        self.table
            .iter()
            .find(|(name, _)| name.get_ref().as_ref() == key)
    }

    fn what(&self, key: &str) -> String {
        format!("{}: {key}", self.name)
    }
}

pub(super) const PROCEDURE_KEYS: &[&str] = &["format", "id", "title", "kind", "step"];
pub(super) const STEP_KEYS: &[&str] = &[
    "id",
    "section",
    "title",
    "text",
    "kind",
    "each",
    "only",
    "after",
    "two_person",
    "shut",
    "caution",
    "points",
    "note",
    "measure",
];
pub(super) const MEASURE_KEYS: &[&str] = &["quantity", "unit", "min", "max"];

struct Reader<'s> {
    source: &'s str,
    found: Vec<Found>,
}

impl<'s> Reader<'s> {
    fn new(source: &'s str) -> Self {
        Reader {
            source,
            found: Vec::new(),
        }
    }

    fn fault(&mut self, certainty: Certainty, at: usize, what: impl Into<String>, why: Slip) {
        // Each is told with its line and costs a look through the file.
        if self.found.len() >= limits::FAULTS {
            return;
        }
        self.found.push(Found {
            certainty,
            at,
            what: what.into(),
            why,
        });
    }

    fn sure(&mut self, at: usize, what: impl Into<String>, why: Slip) {
        self.fault(Certainty::Sure, at, what, why);
    }

    fn echo(&mut self, at: usize, what: impl Into<String>, why: Slip) {
        self.fault(Certainty::Echo, at, what, why);
    }

    fn line(&self, at: usize) -> u32 {
        let before = self.source.as_bytes().get(..at).unwrap_or_default();
        let line = 1 + before.iter().filter(|byte| **byte == b'\n').count();
        u32::try_from(line).unwrap_or(u32::MAX)
    }

    fn finish(self, procedure: Procedure) -> Result<Procedure, Vec<ProcedureFault>> {
        // On a line that could not be read, only the reason for that is worth telling.
        let broken_lines: HashSet<u32> = self
            .found
            .iter()
            .filter(|found| found.certainty == Certainty::Syntax)
            .map(|found| self.line(found.at))
            .collect();
        let told = |found: &&Found| match found.certainty {
            Certainty::Syntax => true,
            Certainty::Sure => !broken_lines.contains(&self.line(found.at)),
            Certainty::Echo => broken_lines.is_empty(),
        };
        let mut faults: Vec<(usize, ProcedureFault)> = self
            .found
            .iter()
            .filter(told)
            .map(|found| {
                let fault = ProcedureFault {
                    line: self.line(found.at),
                    what: found.what.clone(),
                    why: found.why.clone(),
                };
                (found.at, fault)
            })
            .collect();
        if faults.is_empty() {
            return Ok(procedure);
        }
        faults.sort_by_key(|(at, _)| *at);
        let mut faults: Vec<ProcedureFault> = faults.into_iter().map(|(_, fault)| fault).collect();
        faults.dedup();
        Err(faults)
    }

    fn procedure(&mut self, table: &DeTable<'_>) -> Procedure {
        let part = Part {
            table,
            name: "procedure",
            at: 0,
        };
        let format = self.format(&part);
        let mut procedure = Procedure {
            format: format.unwrap_or(FORMAT),
            id: String::new(),
            title: String::new(),
            kind: ProcedureKind::Build,
            steps: Vec::new(),
        };
        // A newer format may use keys and words that this program can't judge.
        if format.is_some_and(|format| format > FORMAT) {
            return procedure;
        }
        self.unknown_keys(&part, PROCEDURE_KEYS);
        procedure.id = self.slug(&part, "id");
        procedure.title = self.text(&part, "title", limits::TITLE, Need::Required);
        procedure.kind = self
            .word(
                &part,
                "kind",
                ProcedureKind::from_word,
                ProcedureKind::ALL.iter().map(|k| k.word()),
            )
            .unwrap_or(ProcedureKind::Build);
        let drafts = self.steps(&part);
        self.references(&drafts);
        procedure.steps = drafts.into_iter().map(|draft| draft.step).collect();
        procedure
    }

    fn format(&mut self, part: &Part<'_>) -> Option<u32> {
        let Some((_, value)) = part.get("format") else {
            self.echo(part.at, part.what("format"), Slip::FormatMissing);
            return None;
        };
        let at = value.span().start;
        let number = match value.get_ref() {
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix()).ok(),
            other => {
                self.wrong_type(part, "format", at, Form::Whole, other);
                return None;
            }
        };
        match number.and_then(|number| u32::try_from(number).ok()) {
            Some(0) | None => {
                self.sure(at, part.what("format"), Slip::FormatBelowOne);
                None
            }
            Some(number) => {
                if number > FORMAT {
                    self.sure(at, part.what("format"), Slip::FormatNewer(number));
                }
                Some(number)
            }
        }
    }

    fn steps(&mut self, part: &Part<'_>) -> Vec<Draft> {
        let Some((key, value)) = part.get("step") else {
            self.echo(part.at, part.what("step"), Slip::NoSteps);
            return Vec::new();
        };
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(part, "step", key.span().start, Form::Steps, value.get_ref());
            return Vec::new();
        };
        if items.is_empty() {
            self.sure(key.span().start, part.what("step"), Slip::NoSteps);
        }
        if items.len() > limits::STEPS {
            self.sure(
                key.span().start,
                part.what("step"),
                Slip::TooManySteps(items.len()),
            );
            return Vec::new();
        }
        let mut drafts = Vec::new();
        for (index, item) in items.iter().enumerate() {
            let at = item.span().start;
            match item.get_ref() {
                DeValue::Table(table) => drafts.push(self.step(table, at, index + 1)),
                other => self.wrong_type(part, "step", at, Form::Step, other),
            }
        }
        drafts
    }

    fn step(&mut self, table: &DeTable<'_>, at: usize, number: usize) -> Draft {
        let id_text = table
            .iter()
            .find(|(name, _)| name.get_ref().as_ref() == "id")
            .and_then(|(_, value)| value.get_ref().as_str());
        let name = match id_text {
            Some(id) if is_slug(id) => format!("step \"{id}\""),
            _ => format!("step {number}"),
        };
        let part = Part {
            table,
            name: &name,
            at,
        };
        self.unknown_keys(&part, STEP_KEYS);
        let id = self.slug(&part, "id");
        let section = self.text(&part, "section", limits::SECTION, Need::Required);
        let title = self.text(&part, "title", limits::TITLE, Need::Required);
        let text = self.text(&part, "text", limits::TEXT, Need::Optional);
        let caution = part
            .get("caution")
            .map(|_| self.text(&part, "caution", limits::CAUTION, Need::Required));
        let kind = self.word(
            &part,
            "kind",
            StepKind::from_word,
            StepKind::ALL.iter().map(|k| k.word()),
        );
        let each = match part.get("each") {
            None => Some(Each::Rig),
            Some(_) => self.word(
                &part,
                "each",
                Each::from_word,
                Each::ALL.iter().map(|k| k.word()),
            ),
        };
        let two_person = self.flag(&part, "two_person");
        let shut = self.flag(&part, "shut");
        let note = self.flag(&part, "note");
        let points: Vec<String> = self
            .list(&part, "points")
            .into_iter()
            .map(|(point, at)| {
                let point = plain_line_ends(&point);
                self.check_text(&part, "points", at, &point, limits::POINT, Need::Required);
                point.trim().to_string()
            })
            .collect();
        if points.len() > limits::POINTS {
            let at = key_at(&part, "points");
            self.sure(at, part.what("points"), Slip::TooManyPoints(points.len()));
        }
        let only = self.conditions(&part, each);
        let (after, after_at): (Vec<String>, Vec<usize>) =
            self.list(&part, "after").into_iter().unzip();
        let measure = self.measure(&part, kind);
        if let Some(implied) = kind.and_then(StepKind::implied)
            && let Some(against) = only.iter().find(|only| implied.excludes(**only))
        {
            let at = key_at(&part, "only");
            let kind = kind.map_or("", StepKind::word);
            self.sure(
                at,
                part.what("only"),
                Slip::NeverApplies {
                    kind,
                    only: against.word(),
                },
            );
        }
        if let (Some(kind), Some(each)) = (kind, each) {
            self.target_of_kind(&part, kind, each);
            if kind == StepKind::Seal && points.is_empty() {
                self.echo(at, part.what("points"), Slip::PointsWanted);
            }
            for (key, text) in [
                ("title", Some(&title)),
                ("text", Some(&text)),
                ("caution", caution.as_ref()),
            ] {
                if let Some(text) = text {
                    let at = key_at(&part, key);
                    self.placeholders(&part, key, at, text, kind, each);
                }
            }
            for point in &points {
                let at = key_at(&part, "points");
                self.placeholders(&part, "points", at, point, kind, each);
            }
        }
        Draft {
            at,
            id_at: key_at(&part, "id"),
            after_at,
            step: Step {
                id,
                section,
                title,
                text,
                kind: kind.unwrap_or(StepKind::Do),
                each: each.unwrap_or(Each::Rig),
                only,
                after,
                two_person,
                shut,
                caution,
                points,
                note,
                measure,
            },
        }
    }

    /// `each` must be something that the kind can be done to.
    fn target_of_kind(&mut self, part: &Part<'_>, kind: StepKind, each: Each) {
        let allowed = kind.targets();
        if !allowed.contains(&each) {
            let at = part
                .get("each")
                .map_or(part.at, |(_, value)| value.span().start);
            self.sure(
                at,
                part.what("each"),
                Slip::NotForEach {
                    kind: kind.word(),
                    each: each.word(),
                    allowed: allowed.iter().map(|each| each.word()).collect(),
                },
            );
        }
    }

    fn conditions(&mut self, part: &Part<'_>, each: Option<Each>) -> Vec<Only> {
        let mut only: Vec<Only> = Vec::new();
        for (word, at) in self.list(part, "only") {
            let Some(condition) = Only::from_word(&word) else {
                self.sure(
                    at,
                    part.what("only"),
                    Slip::UnknownWord {
                        word: shown(&word),
                        known: Only::ALL.iter().map(|only| only.word()).collect(),
                    },
                );
                continue;
            };
            if only.contains(&condition) {
                self.sure(at, part.what("only"), Slip::Twice(word));
                continue;
            }
            if let Some(other) = only.iter().find(|other| condition.excludes(**other)) {
                self.sure(
                    at,
                    part.what("only"),
                    Slip::NeverBoth(word.clone(), other.word()),
                );
            }
            let of_seal = matches!(condition, Only::InClosure | Only::NotInClosure);
            if of_seal && each.is_some_and(|each| each != Each::Seal) {
                self.sure(at, part.what("only"), Slip::OnlyOfSeals(word.clone()));
            }
            only.push(condition);
        }
        only
    }

    fn measure(&mut self, part: &Part<'_>, kind: Option<StepKind>) -> Option<Measure> {
        let Some((key, value)) = part.get("measure") else {
            if kind == Some(StepKind::Measure) {
                self.echo(part.at, part.what("measure"), Slip::MeasureWanted);
            }
            return None;
        };
        let at = key.span().start;
        if kind.is_some_and(|kind| kind != StepKind::Measure) {
            self.sure(at, part.what("measure"), Slip::MeasureNotHere);
        }
        let DeValue::Table(table) = value.get_ref() else {
            self.wrong_type(
                part,
                "measure",
                value.span().start,
                Form::Measure,
                value.get_ref(),
            );
            return None;
        };
        let name = format!("{}: measure", part.name);
        let part = Part {
            table,
            name: &name,
            at,
        };
        self.unknown_keys(&part, MEASURE_KEYS);
        let quantity = self.word(
            &part,
            "quantity",
            Quantity::from_word,
            Quantity::ALL.iter().map(|q| q.word()),
        );
        let unit = self.text(&part, "unit", limits::UNIT, Need::Required);
        if let Some(quantity) = quantity {
            let units = quantity.units();
            if !unit.is_empty() && !units.is_empty() && !units.contains(&unit.as_str()) {
                let at = key_at(&part, "unit");
                self.sure(
                    at,
                    part.what("unit"),
                    Slip::NotAUnit {
                        unit: shown(&unit),
                        quantity: quantity.word(),
                        units: units.to_vec(),
                    },
                );
            }
        }
        let min = self.number(&part, "min");
        let max = self.number(&part, "max");
        if let (Some(min), Some(max)) = (min, max)
            && min > max
        {
            let at = key_at(&part, "min");
            self.echo(
                at,
                part.what("min"),
                Slip::MinAboveMax {
                    min: min.to_string(),
                    max: max.to_string(),
                },
            );
        }
        Some(Measure {
            quantity: quantity.unwrap_or(Quantity::Other),
            unit,
            min,
            max,
        })
    }

    /// Duplicate ids, prerequisites that don't exist or stand twice, circles.
    fn references(&mut self, drafts: &[Draft]) {
        let mut by_id: HashMap<&str, usize> = HashMap::new();
        for (index, draft) in drafts.iter().enumerate() {
            let id = draft.step.id.as_str();
            if id.is_empty() {
                continue;
            }
            if let Some(first) = by_id.get(id) {
                let line = drafts.get(*first).map_or(0, |first| self.line(first.id_at));
                self.sure(
                    draft.id_at,
                    format!("step \"{id}\": id"),
                    Slip::SameId { line },
                );
            } else {
                by_id.insert(id, index);
            }
        }
        let mut edges: Vec<Vec<usize>> = vec![Vec::new(); drafts.len()];
        for (index, draft) in drafts.iter().enumerate() {
            let what = match draft.step.id.as_str() {
                "" => format!("step {}: after", index + 1),
                id => format!("step \"{id}\": after"),
            };
            for (place, name) in draft.step.after.iter().enumerate() {
                let at = draft.after_at.get(place).copied().unwrap_or(draft.at);
                match by_id.get(name.as_str()) {
                    None => self.echo(at, what.clone(), Slip::NoStep(shown(name))),
                    Some(_)
                        if draft
                            .step
                            .after
                            .iter()
                            .take(place)
                            .any(|earlier| earlier == name) =>
                    {
                        self.sure(at, what.clone(), Slip::Twice(name.clone()));
                    }
                    Some(first) => {
                        if let Some(list) = edges.get_mut(index) {
                            list.push(*first);
                        }
                    }
                }
            }
        }
        for circle in graph::circles(&edges) {
            let ids: Vec<&str> = circle
                .iter()
                .filter_map(|index| drafts.get(*index))
                .map(|draft| draft.step.id.as_str())
                .collect();
            let (Some(first), Some(id)) =
                (circle.first().and_then(|i| drafts.get(*i)), ids.first())
            else {
                continue;
            };
            let at = first.after_at.first().copied().unwrap_or(first.at);
            let why = if ids.len() == 1 {
                Slip::WaitsForItself
            } else {
                let next = ids.iter().cycle().skip(1);
                let waits = |(step, before): (&&str, &&str)| (step.to_string(), before.to_string());
                Slip::Circle(ids.iter().zip(next).map(waits).collect())
            };
            self.sure(at, format!("step \"{id}\": after"), why);
        }
    }

    /// `{target}`, `{enclosure}` and `{screws}` are known where there is something to put in.
    fn placeholders(
        &mut self,
        part: &Part<'_>,
        key: &str,
        at: usize,
        text: &str,
        kind: StepKind,
        each: Each,
    ) {
        let mut rest = text;
        while let Some(open) = rest.find(['{', '}']) {
            let tail = rest.get(open..).unwrap_or_default();
            let inside = tail
                .strip_prefix('{')
                .and_then(|tail| tail.split_once('}'))
                .map(|(inside, _)| inside);
            let Some(inside) = inside else {
                self.sure(at, part.what(key), Slip::LoneBrace);
                return;
            };
            let why = match inside {
                "target" if each == Each::Rig => Some(Slip::TargetAlone),
                "enclosure" if !matches!(each, Each::Closure | Each::Seal) => {
                    Some(Slip::EnclosureAlone)
                }
                "screws" if kind != StepKind::Fasteners => Some(Slip::ScrewsAlone),
                "target" | "enclosure" | "screws" => None,
                other => Some(Slip::UnknownBraces(shown(other))),
            };
            if let Some(why) = why {
                self.sure(at, part.what(key), why);
            }
            rest = tail.get(inside.len() + 2..).unwrap_or_default();
        }
    }

    fn unknown_keys(&mut self, part: &Part<'_>, known: &[&'static str]) {
        for (key, _) in part.table.iter() {
            let name = key.get_ref().as_ref();
            if !known.contains(&name) {
                self.sure(
                    key.span().start,
                    part.what(&shown(name)),
                    Slip::UnknownKey {
                        known: known.to_vec(),
                    },
                );
            }
        }
    }

    fn wrong_type(
        &mut self,
        part: &Part<'_>,
        key: &str,
        at: usize,
        wanted: Form,
        is: &DeValue<'_>,
    ) {
        let is = match is {
            DeValue::String(_) => Form::Text,
            DeValue::Integer(_) => Form::Whole,
            DeValue::Float(_) => Form::Number,
            DeValue::Boolean(_) => Form::Flag,
            DeValue::Datetime(_) => Form::Date,
            DeValue::Array(_) => Form::List,
            DeValue::Table(_) => Form::Table,
        };
        self.sure(at, part.what(key), Slip::Wrong { wanted, is });
    }

    fn missing(&mut self, part: &Part<'_>, key: &str) {
        self.echo(part.at, part.what(key), Slip::Missing);
    }

    fn text(&mut self, part: &Part<'_>, key: &str, longest: usize, need: Need) -> String {
        let Some((_, value)) = part.get(key) else {
            if need == Need::Required {
                self.missing(part, key);
            }
            return String::new();
        };
        let at = value.span().start;
        let DeValue::String(text) = value.get_ref() else {
            self.wrong_type(part, key, at, Form::Text, value.get_ref());
            return String::new();
        };
        let text = plain_line_ends(text);
        self.check_text(part, key, at, &text, longest, need);
        text.trim().to_string()
    }

    fn check_text(
        &mut self,
        part: &Part<'_>,
        key: &str,
        at: usize,
        text: &str,
        longest: usize,
        need: Need,
    ) {
        if need == Need::Required && text.trim().is_empty() {
            self.sure(at, part.what(key), Slip::Empty);
        }
        let length = text.chars().count();
        if length > longest {
            self.sure(
                at,
                part.what(key),
                Slip::TooLong {
                    here: length,
                    most: longest,
                },
            );
        }
        if text.chars().any(|c| c.is_control() && c != '\n') {
            self.sure(at, part.what(key), Slip::ControlCharacter);
        }
    }

    fn slug(&mut self, part: &Part<'_>, key: &str) -> String {
        let text = self.text(part, key, limits::ID, Need::Required);
        if !text.is_empty() && !is_slug(&text) {
            let at = key_at(part, key);
            self.sure(at, part.what(key), Slip::NotASlug(shown(&text)));
        }
        text
    }

    fn word<T>(
        &mut self,
        part: &Part<'_>,
        key: &str,
        from_word: impl Fn(&str) -> Option<T>,
        known: impl Iterator<Item = &'static str>,
    ) -> Option<T> {
        let Some((_, value)) = part.get(key) else {
            self.missing(part, key);
            return None;
        };
        let at = value.span().start;
        let DeValue::String(text) = value.get_ref() else {
            self.wrong_type(part, key, at, Form::Word, value.get_ref());
            return None;
        };
        let found = from_word(text);
        if found.is_none() {
            self.sure(
                at,
                part.what(key),
                Slip::UnknownWord {
                    word: shown(text),
                    known: known.collect(),
                },
            );
        }
        found
    }

    fn flag(&mut self, part: &Part<'_>, key: &str) -> bool {
        match part
            .get(key)
            .map(|(_, value)| (value.span().start, value.get_ref()))
        {
            None => false,
            Some((_, DeValue::Boolean(flag))) => *flag,
            Some((at, other)) => {
                self.wrong_type(part, key, at, Form::Flag, other);
                false
            }
        }
    }

    fn number(&mut self, part: &Part<'_>, key: &str) -> Option<f64> {
        let (_, value) = part.get(key)?;
        let at = value.span().start;
        let number = match value.get_ref() {
            #[allow(clippy::cast_precision_loss)] // limits of a reading, far below 2^53
            DeValue::Integer(number) => i64::from_str_radix(number.as_str(), number.radix())
                .ok()
                .map(|n| n as f64),
            DeValue::Float(number) => number.as_str().parse().ok(),
            other => {
                self.wrong_type(part, key, at, Form::Number, other);
                return None;
            }
        };
        match number {
            Some(number) if f64::is_finite(number) => Some(number),
            _ => {
                self.sure(at, part.what(key), Slip::NotFinite);
                None
            }
        }
    }

    fn list(&mut self, part: &Part<'_>, key: &str) -> Vec<(String, usize)> {
        let Some((_, value)) = part.get(key) else {
            return Vec::new();
        };
        let DeValue::Array(items) = value.get_ref() else {
            self.wrong_type(part, key, value.span().start, Form::Texts, value.get_ref());
            return Vec::new();
        };
        let mut list = Vec::new();
        for item in items.iter() {
            match item.get_ref() {
                DeValue::String(text) => list.push((text.to_string(), item.span().start)),
                other => self.wrong_type(part, key, item.span().start, Form::Texts, other),
            }
        }
        list
    }
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Need {
    Required,
    Optional,
}

fn key_at(part: &Part<'_>, key: &str) -> usize {
    part.get(key)
        .map_or(part.at, |(_, value): (_, &Spanned<DeValue<'_>>)| {
            let span: Range<usize> = value.span();
            span.start
        })
}

/// Small letters, digits and single hyphens, beginning with a letter. An instance key is built
/// from it with `@`, which therefore can't stand in it.
fn is_slug(text: &str) -> bool {
    text.starts_with(|c: char| c.is_ascii_lowercase())
        && !text.ends_with('-')
        && !text.contains("--")
        && text
            .chars()
            .all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-')
}

/// A text of a file with Windows line ends as it would be in one without.
fn plain_line_ends(text: &str) -> String {
    text.replace("\r\n", "\n")
}

/// A foreign text as it may stand in a message: short, on one line.
fn shown(text: &str) -> String {
    let mut short: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .take(40)
        .collect();
    if text.chars().count() > 40 {
        short.push('…');
    }
    short
}
