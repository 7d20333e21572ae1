//! What is wrong, in the crew's language: of each error of the floors below the sentence in the file of
//! the language. Their own `Display` is for logs. What SQLite, the system, the reader of a file or a
//! decoder says of itself stands in brackets behind a sentence of ours.

use super::keys;
use super::measures::{NBSP, Units};
use super::texts::{Arg, Texts};
use slackwater_domain::backup::{BackupFault, LineFault, NotEverything, PartFault, TooMuch};
use slackwater_domain::book::{BookFault, CODE_LEAST, Refusal};
use slackwater_domain::hold_log::{Allowed, Excess, LogFault, RowFault, WrongRow};
use slackwater_domain::photos::{Doing, PhotoFault, Unclean};
use slackwater_domain::procedure::{self, Form, Slip};
use slackwater_domain::rig::{Thing, Wrong};
use slackwater_domain::trim::TrimFault;
use slackwater_journal::event::Forged;
use slackwater_journal::store::IngestFault;
use slackwater_journal::{Damage, JournalFault, Unwritable};
use slackwater_physics::hold::{HoldFault, RangeOf, Why};
use slackwater_physics::oring::{Length, OringError};
use slackwater_physics::trim::solver::SolverError;
use slackwater_physics::trim::{Count, LearnError, Of, PartError, PlanError, Quantity};
use slackwater_physics::water::WaterError;

/// Wrong rows of a logged hold that are named in one sentence.
const ROWS_NAMED: usize = 5;

/// The words of what is wrong.
#[derive(Clone, Copy)]
pub struct FaultWords<'a> {
    texts: &'a Texts,
    units: Units,
}

/// A sentence from a clause: its first letter is large.
fn sentence(clause: String) -> String {
    let mut letters = clause.chars();
    match letters.next() {
        Some(first) => first.to_uppercase().chain(letters).collect(),
        None => clause,
    }
}

/// Mass as a scale shows it, in the unit of force of the solver.
const GF_PER_MGF: f64 = 1e-3;

impl<'a> FaultWords<'a> {
    /// In a language and the crew's units.
    pub fn new(texts: &'a Texts, units: Units) -> FaultWords<'a> {
        FaultWords { texts, units }
    }

    fn t(&self, key: &str) -> String {
        self.texts.get(key)
    }

    fn say(&self, key: &str, args: &[(&str, Arg<'_>)]) -> String {
        self.texts.say(key, args)
    }

    /// A text with one placeholder.
    fn with<'b>(&self, key: &str, name: &str, value: impl Into<Arg<'b>>) -> String {
        self.say(key, &[(name, value.into())])
    }

    /// 'a, b or c'.
    fn or(&self, words: &[&str]) -> String {
        match words.split_last() {
            Some((last, rest)) if !rest.is_empty() => self.say(
                "common_or",
                &[
                    ("first", (&rest.join(", ")).into()),
                    ("last", (*last).into()),
                ],
            ),
            _ => words.concat(),
        }
    }

    /// A number with its unit.
    fn number(&self, value: f64, unit: &str) -> String {
        let number = match value {
            f64::INFINITY => "∞".to_owned(),
            value => self.units.plain(value, 4),
        };
        match unit {
            "" => number,
            unit => format!("{number}{NBSP}{unit}"),
        }
    }

    /// Between bounds that are numbers of one unit.
    fn between(&self, low: f64, high: f64, unit: &str) -> String {
        self.say(
            "error_bounds",
            &[
                ("low", (&self.number(low, "")).into()),
                ("high", (&self.number(high, unit)).into()),
            ],
        )
    }

    /// Why an action failed, whatever it was.
    pub fn book(&self, fault: &BookFault) -> String {
        match fault {
            BookFault::Journal(e) => sentence(self.journal(e)),
            BookFault::NotFound { id, .. } => self.with("error_not_here", "id", id),
            BookFault::Refused(refusal) => self.refusal(refusal),
            BookFault::Rig(faults) => {
                let each: Vec<String> = faults.iter().map(|f| self.wrong(&f.why)).collect();
                each.join("; ")
            }
            BookFault::Hold(e) => self.hold(e),
            BookFault::NotWritable { .. } => self.t("error_figure_no_number"),
            BookFault::HoldLog(e) => self.log(e),
            BookFault::Procedure(faults) => {
                let line = |f: &procedure::ProcedureFault| self.procedure(f);
                let each: Vec<String> = faults.iter().map(line).collect();
                each.join("; ")
            }
            BookFault::Photo(e) => sentence(self.photo(e)),
        }
    }

    /// The sentence of a refusal.
    pub fn refusal(&self, refusal: &Refusal) -> String {
        let name = |key: &str, enclosure: &String| self.say(key, &[("name", enclosure.into())]);
        match refusal {
            Refusal::EnclosureClosed { enclosure } => name("error_enclosure_closed", enclosure),
            Refusal::EnclosureOpen { enclosure } => name("error_enclosure_open", enclosure),
            Refusal::NoValve { enclosure } => name("error_no_valve", enclosure),
            Refusal::HoldRunning { enclosure } => name("error_hold_running", enclosure),
            Refusal::NotProved { enclosure } => name("error_not_proved", enclosure),
            Refusal::PlugOff { enclosure } => name("error_plug_off", enclosure),
            Refusal::HoldEnded => self.t("error_hold_ended"),
            Refusal::TooFewReadings => self.t("error_too_few_readings"),
            Refusal::StepsFirst { titles } => self.say(
                "error_steps_first",
                &[("steps", (&titles.join("; ")).into())],
            ),
            Refusal::PartsOpen { left } => self.say("error_parts_open", &[("n", (*left).into())]),
            Refusal::ControlsOpen { left } => {
                self.say("error_controls_open", &[("n", (*left).into())])
            }
            Refusal::PhotoWanted => self.t("error_photo_wanted"),
            Refusal::NumberWanted => self.t("error_number_wanted"),
            Refusal::NobodyNamed => self.t("error_nobody_named"),
            Refusal::TooLong => self.t("error_phone_too_long"),
            Refusal::SameMember => self.t("error_same_member"),
            Refusal::NothingToSign => self.t("error_nothing_to_sign"),
            Refusal::TooSoon { minutes } => {
                self.say("error_too_soon", &[("n", (*minutes as usize).into())])
            }
            Refusal::NoCode { name: who } => name("error_no_code", who),
            Refusal::CodeWrong => self.t("error_code_wrong"),
            Refusal::CodeWait { minutes } => {
                self.say("error_code_wait", &[("n", (*minutes as usize).into())])
            }
            Refusal::CodeShort => self.say("error_code_short", &[("n", CODE_LEAST.into())]),
            Refusal::OtherPhone { name: who } => name("error_other_phone", who),
            Refusal::FreshPhotoWanted => self.t("error_fresh_photo"),
            Refusal::StepNotDone => self.t("error_step_not_done"),
            Refusal::PrepEnded => self.t("error_prep_ended"),
            Refusal::ReasonWanted => self.t("error_reason_wanted"),
            Refusal::NoSlip => self.t("error_no_slip"),
            Refusal::SameGauge => self.t("error_same_gauge"),
            Refusal::NotRetractable => self.t("error_not_retractable"),
            Refusal::MarkTooSmall => self.t("error_sketch_small"),
            Refusal::MarkOutside => self.t("error_sketch_outside"),
            Refusal::SketchFull => self.t("error_sketch_full"),
            Refusal::InsideShut { part } => name("error_inside_shut", part),
            Refusal::LookInside { enclosures } => self.say(
                "error_look_inside",
                &[("names", (&enclosures.join(", ")).into())],
            ),
            Refusal::NotFaulty => self.t("error_not_faulty"),
            Refusal::SealNotServiced { seal } => name("error_seal_not_serviced", seal),
            Refusal::OwnCode => self.t("error_own_code"),
            Refusal::CodeOver => self.t("error_code_over"),
            Refusal::BoxLacks { size, have } => self.say(
                "error_box_lacks",
                &[("n", (*have).into()), ("size", size.into())],
            ),
            Refusal::RingMustBeReplaced => self.t("error_ring_must_be_replaced"),
        }
    }

    // ---- A logged hold ----

    /// Why a logged hold can't be read.
    pub fn log(&self, fault: &LogFault) -> String {
        let at = |key: &str, line: usize| self.with(key, "line", line);
        match fault {
            LogFault::NotAHoldLog => self.t("error_log_not_one"),
            LogFault::Version { version } => self.with("error_log_version", "version", version),
            LogFault::MissingKey { key } => self.with("error_log_key_missing", "key", *key),
            LogFault::Twice { line, key } => self.say(
                "error_log_key_twice",
                &[("line", (*line).into()), ("key", key.into())],
            ),
            LogFault::BadValue {
                line,
                key,
                value,
                why,
            } => self.say(
                "error_log_value",
                &[
                    ("line", (*line).into()),
                    ("key", key.into()),
                    ("value", value.into()),
                    ("why", (&self.allowed(*why)).into()),
                ],
            ),
            LogFault::TooMuch { line, what, most } => self.say(
                "error_log_too_much",
                &[
                    ("line", (*line).into()),
                    ("what", (&self.excess(*what)).into()),
                    ("most", (&most.to_string()).into()),
                ],
            ),
            LogFault::NoHeader { line } => at("error_log_no_header", *line),
            LogFault::WrongRows { rows } => {
                let row = |r: &WrongRow| self.wrong_row(r);
                let mut named: Vec<String> = rows.iter().take(ROWS_NAMED).map(row).collect();
                if rows.len() > ROWS_NAMED {
                    let more = rows.len() - ROWS_NAMED;
                    named.push(self.with("error_log_rows_more", "n", more));
                }
                self.say(
                    "error_log_rows",
                    &[
                        ("n", rows.len().into()),
                        ("rows", (&named.join("; ")).into()),
                    ],
                )
            }
        }
    }

    /// 'Line 12: no gauge'.
    pub fn wrong_row(&self, row: &WrongRow) -> String {
        self.say(
            "screen_hold_file_row",
            &[
                ("line", row.line.into()),
                ("why", (&self.row(&row.reason)).into()),
            ],
        )
    }

    /// What is wrong with a row. Numbers of the file stand as they are written there.
    pub fn row(&self, fault: &RowFault) -> String {
        match fault {
            RowFault::Cells { here, wanted } => self.say(
                "error_row_cells",
                &[("here", (*here).into()), ("wanted", (*wanted).into())],
            ),
            RowFault::Empty { column } => self.with("error_row_empty", "column", *column),
            RowFault::NotANumber { column, cell } => self.say(
                "error_row_no_number",
                &[("column", (*column).into()), ("cell", cell.into())],
            ),
            RowFault::Outside {
                column,
                cell,
                low,
                high,
            } => self.say(
                "error_row_outside",
                &[
                    ("column", (*column).into()),
                    ("cell", cell.into()),
                    ("low", (&low.to_string()).into()),
                    ("high", (&high.to_string()).into()),
                ],
            ),
            RowFault::Earlier { time, before, line } => self.say(
                "error_row_earlier",
                &[
                    ("time", time.into()),
                    ("before", before.into()),
                    ("line", (*line).into()),
                ],
            ),
        }
    }

    /// What the value of a key may be, as it would be written there.
    pub fn allowed(&self, allowed: Allowed) -> String {
        match allowed {
            Allowed::Between { low, high, unit } => {
                let high = format!("{high}{NBSP}{unit}");
                self.say(
                    "error_log_between",
                    &[("low", low.into()), ("high", (&high).into())],
                )
            }
            Allowed::UpToTheVolume => self.t("error_log_up_to_the_volume"),
            Allowed::AboveZero { unit: "" } => self.t("error_why_above_zero"),
            Allowed::AboveZero { unit } => {
                self.with("error_log_above_zero", "zero", &format!("0{NBSP}{unit}"))
            }
            Allowed::Words(words) => self.with("error_log_words", "words", &self.or(words)),
            Allowed::WordsAtARecheck(words) => {
                self.with("error_log_words_recheck", "words", &self.or(words))
            }
        }
    }

    /// Of what a log has too much.
    pub fn excess(&self, what: Excess) -> String {
        self.t(match what {
            Excess::FileBytes => "error_log_file_bytes",
            Excess::LineBytes => "error_log_line_bytes",
            Excess::Keys => "error_log_keys",
            Excess::Columns => "error_log_columns",
            Excess::Rows => "error_log_rows_many",
            Excess::Rechecks => "error_log_rechecks",
            Excess::WrongRows => "error_log_wrong_rows",
        })
    }

    // ---- Photos, the file of everything, the record's own file ----

    fn disk(&self, key: &str, doing: Doing, path: &std::path::Path, said: &str) -> String {
        let path = path.display().to_string();
        self.say(
            key,
            &[
                ("doing", (&self.doing(doing)).into()),
                ("path", (&path).into()),
                ("said", said.into()),
            ],
        )
    }

    /// 'reading', as it stands before the name of a file.
    pub fn doing(&self, doing: Doing) -> String {
        self.t(match doing {
            Doing::Reading => "error_doing_reading",
            Doing::Writing => "error_doing_writing",
            Doing::Making => "error_doing_making",
            Doing::MakingFolder => "error_doing_making_folder",
            Doing::MovingPhoto => "error_doing_moving_photo",
            Doing::Naming => "error_doing_naming",
            Doing::SyncingFolder => "error_doing_syncing_folder",
        })
    }

    /// Why the photo store could not do what was asked; a clause.
    pub fn photo(&self, fault: &PhotoFault) -> String {
        match fault {
            PhotoFault::Empty => self.t("error_photo_empty"),
            PhotoFault::TooLarge { bytes, limit } => self.say(
                "error_photo_too_large",
                &[
                    ("size", (&self.units.file_size(*bytes)).into()),
                    ("limit", (&self.units.file_size(*limit)).into()),
                ],
            ),
            PhotoFault::UnknownKind { start } => self.with("error_photo_kind", "start", start),
            PhotoFault::NotAHash { text } => self.with("error_photo_name", "text", text),
            PhotoFault::DiskFull { doing, path } => self.disk("error_disk_full", *doing, path, ""),
            PhotoFault::NotAllowed {
                doing,
                path,
                source,
            } => self.disk("error_disk_not_allowed", *doing, path, &source.to_string()),
            PhotoFault::Io {
                doing,
                path,
                source,
            } => self.disk("error_disk_failed", *doing, path, &source.to_string()),
            PhotoFault::NotAFile { path } => {
                self.with("error_photo_no_file", "path", &path.display().to_string())
            }
            PhotoFault::Missing { .. } => self.t("error_photo_missing"),
            PhotoFault::Damaged { .. } => self.t("error_photo_damaged"),
            PhotoFault::Unreadable { why, .. } => self.with("error_photo_unread", "said", why),
            PhotoFault::NoThumbnail { kind, .. } => {
                self.with("error_photo_no_thumbnail", "kind", &kind.to_string())
            }
            PhotoFault::TooManyPixels {
                width,
                height,
                limit,
                ..
            } => self.say(
                "error_photo_pixels",
                &[
                    ("w", (&width.to_string()).into()),
                    ("h", (&height.to_string()).into()),
                    ("limit", (&limit.to_string()).into()),
                ],
            ),
            PhotoFault::Undecodable { why, .. } => {
                self.with("error_photo_undecodable", "said", why)
            }
            PhotoFault::CannotClean { kind, .. } => {
                self.with("error_photo_keeps_place", "kind", &kind.to_string())
            }
            PhotoFault::Uncleanable {
                why: Unclean::TellsPlace,
                ..
            } => self.t("error_photo_tells_place"),
            PhotoFault::Uncleanable {
                why: Unclean::Build(_),
                at,
                ..
            } => self.with("error_photo_build", "at", &at.to_string()),
        }
    }

    /// Why everything could not be kept in a file, or a file not be brought in; a clause.
    pub fn backup(&self, fault: &BackupFault) -> String {
        match fault {
            BackupFault::Other { why } => self.not_everything(why),
            BackupFault::Newer { found, known } => self.say(
                "error_backup_newer",
                &[
                    ("found", (&found.to_string()).into()),
                    ("known", (&known.to_string()).into()),
                ],
            ),
            BackupFault::Damaged { part, why } => {
                let why = match why {
                    PartFault::Unread(said) => self.with("error_backup_unread", "said", said),
                    PartFault::NoHash(text) => self.with("error_photo_name", "text", text),
                    PartFault::OtherPhoto => self.t("error_backup_other_photo"),
                };
                self.say(
                    "error_backup_part",
                    &[("part", part.into()), ("why", (&why).into())],
                )
            }
            BackupFault::Line { line, why } => self.say(
                "error_backup_line",
                &[
                    ("line", (&line.to_string()).into()),
                    ("why", (&self.event_line(why)).into()),
                ],
            ),
            BackupFault::TooMuch { what } => {
                self.with("error_backup_too_much", "what", &self.too_much(*what))
            }
            BackupFault::GivenUp => self.t("error_given_up"),
            BackupFault::Event(e) => self.ingest(e),
            BackupFault::Io {
                doing,
                path,
                source,
            } => self.disk("error_disk_failed", *doing, path, &source.to_string()),
            BackupFault::Full { doing, path } => self.disk("error_disk_full", *doing, path, ""),
            BackupFault::Journal(e) => self.journal(e),
            BackupFault::Book(e) => self.book(e),
            BackupFault::Photo(e) => self.photo(e),
        }
    }

    fn not_everything(&self, why: &NotEverything) -> String {
        match why {
            NotEverything::NoZip(said) => self.with("error_backup_no_zip", "said", said),
            NotEverything::NoAbout => self.t("error_backup_no_about"),
            NotEverything::Called(name) => self.with("error_backup_called", "name", name),
        }
    }

    fn event_line(&self, why: &LineFault) -> String {
        match why {
            LineFault::Unread(said) => self.with("error_backup_unread", "said", said),
            LineFault::Hex { field, digits } => self.say(
                "error_line_hex",
                &[
                    ("field", (*field).into()),
                    ("digits", (&digits.to_string()).into()),
                ],
            ),
            LineFault::BodyHex => self.t("error_line_body_hex"),
            LineFault::Body => self.t("error_line_body"),
            LineFault::Number => self.t("error_line_number"),
            LineFault::Heard(text) => self.with("error_line_heard", "text", text),
            LineFault::TooLong => self.t("error_line_too_long"),
            LineFault::EndsEarly { here, wanted } => self.say(
                "error_line_ends_early",
                &[
                    ("here", (&here.to_string()).into()),
                    ("wanted", (&wanted.to_string()).into()),
                ],
            ),
        }
    }

    fn too_much(&self, what: TooMuch) -> String {
        match what {
            TooMuch::Parts(n) => self.with("error_too_much_parts", "n", &n.to_string()),
            TooMuch::Photos { mib } => self.with("error_too_much_photos", "mib", &mib.to_string()),
            TooMuch::Events => self.t("error_too_much_events"),
            TooMuch::Time => self.t("error_too_much_time"),
        }
    }

    /// Why entries of another phone could not be taken in; a clause.
    pub fn ingest(&self, fault: &IngestFault) -> String {
        match fault {
            IngestFault::Forged(event, why) => {
                let key = match why {
                    Forged::Content => "error_entry_content",
                    Forged::Signature => "error_entry_signature",
                    Forged::Devices => "error_entry_devices",
                };
                self.with(key, "entry", &event.to_string())
            }
            IngestFault::Gap { event, wanted } => self.say(
                "error_entry_gap",
                &[
                    ("entry", (&event.to_string()).into()),
                    ("from", (&wanted.to_string()).into()),
                ],
            ),
            IngestFault::TooLong => self.t("error_too_much_time"),
            IngestFault::GivenUp => self.t("error_given_up"),
            IngestFault::Journal(e) => self.journal(e),
        }
    }

    /// Why the record's file can't be used; a clause.
    pub fn journal(&self, fault: &JournalFault) -> String {
        let shown = |path: &std::path::Path| path.display().to_string();
        match fault {
            JournalFault::Busy { path } => self.with("error_journal_busy", "path", &shown(path)),
            JournalFault::Newer { path, found, known } => self.say(
                "error_journal_newer",
                &[
                    ("path", (&shown(path)).into()),
                    ("found", (&found.to_string()).into()),
                    ("known", (&known.to_string()).into()),
                ],
            ),
            JournalFault::NotWritable {
                path,
                why: Unwritable::Replaced,
            } => self.with("error_journal_replaced", "path", &shown(path)),
            JournalFault::NotWritable {
                path,
                why: Unwritable::Said(said),
            } => self.say(
                "error_journal_not_writable",
                &[("path", (&shown(path)).into()), ("said", said.into())],
            ),
            JournalFault::Full => self.t("error_journal_full"),
            JournalFault::Damaged { path, why } => self.say(
                "error_journal_damaged",
                &[
                    ("path", (&shown(path)).into()),
                    ("why", (&self.damage(why)).into()),
                ],
            ),
            JournalFault::Sqlite { source, .. } => {
                self.with("error_journal_failed", "said", &source.to_string())
            }
        }
    }

    /// What was found of a damaged file, to stand in brackets.
    pub fn damage(&self, damage: &Damage) -> String {
        match damage {
            Damage::Empty => self.t("error_damage_empty"),
            Damage::NoDatabase(n) => self.with("error_damage_no_database", "n", &n.to_string()),
            Damage::Cut { here, wanted } => self.say(
                "error_damage_cut",
                &[
                    ("here", (&here.to_string()).into()),
                    ("wanted", (&wanted.to_string()).into()),
                ],
            ),
            Damage::NoKey(n) => self.with("error_damage_no_key", "n", &n.to_string()),
            Damage::Said(said) => said.clone(),
        }
    }

    // ---- Procedures ----

    /// 'Line 12: it is missing'.
    pub fn procedure(&self, fault: &procedure::ProcedureFault) -> String {
        self.say(
            "error_procedure_line",
            &[
                ("line", (fault.line as usize).into()),
                ("why", (&self.slip(&fault.why)).into()),
            ],
        )
    }

    /// What is wrong at one place of a procedure file; a clause.
    pub fn slip(&self, slip: &Slip) -> String {
        let most = |n: usize| n.to_string();
        match slip {
            Slip::Toml(said) => self.with("error_slip_toml", "said", said),
            Slip::FileTooLong { kib } => self.say(
                "error_slip_file_long",
                &[
                    ("kib", (&kib.to_string()).into()),
                    ("most", (&most(procedure::limits::FILE_BYTES / 1024)).into()),
                ],
            ),
            Slip::Utf16 => self.t("error_slip_utf16"),
            Slip::NotUtf8(byte) => {
                self.with("error_slip_not_utf8", "byte", &format!("0x{byte:02x}"))
            }
            Slip::Missing => self.t("error_slip_missing"),
            Slip::FormatMissing => self.with(
                "error_slip_format_missing",
                "known",
                &procedure::FORMAT.to_string(),
            ),
            Slip::FormatBelowOne => self.t("error_slip_format_below_one"),
            Slip::FormatNewer(found) => self.say(
                "error_slip_format_newer",
                &[
                    ("found", (&found.to_string()).into()),
                    ("known", (&procedure::FORMAT.to_string()).into()),
                ],
            ),
            Slip::Wrong { wanted, is } => self.say(
                "error_slip_form",
                &[
                    ("wanted", (&self.form(*wanted)).into()),
                    ("is", (&self.form(*is)).into()),
                ],
            ),
            Slip::NoSteps => self.t("error_slip_no_steps"),
            Slip::TooManySteps(n) => self.say(
                "error_slip_steps",
                &[
                    ("n", (&n.to_string()).into()),
                    ("most", (&most(procedure::limits::STEPS)).into()),
                ],
            ),
            Slip::TooManyPoints(n) => self.say(
                "error_slip_points",
                &[
                    ("n", (&n.to_string()).into()),
                    ("most", (&most(procedure::limits::POINTS)).into()),
                ],
            ),
            Slip::NeverApplies { kind, only } => self.say(
                "error_slip_never_applies",
                &[("kind", (*kind).into()), ("only", (*only).into())],
            ),
            Slip::PointsWanted => self.t("error_slip_points_wanted"),
            Slip::NotForEach {
                kind,
                each,
                allowed,
            } => self.say(
                "error_slip_each",
                &[
                    ("kind", (*kind).into()),
                    ("each", (*each).into()),
                    ("allowed", (&self.or(allowed)).into()),
                ],
            ),
            Slip::UnknownWord { word, known } => self.say(
                "error_slip_word",
                &[("word", word.into()), ("known", (&self.or(known)).into())],
            ),
            Slip::UnknownKey { known } => self.with("error_slip_key", "known", &self.or(known)),
            Slip::Twice(word) => self.with("error_slip_twice", "word", word),
            Slip::NeverBoth(one, other) => self.say(
                "error_slip_never_both",
                &[("one", one.into()), ("other", (*other).into())],
            ),
            Slip::OnlyOfSeals(word) => self.with("error_slip_only_of_seals", "word", word),
            Slip::MeasureWanted => self.t("error_slip_measure_wanted"),
            Slip::MeasureNotHere => self.t("error_slip_measure_not_here"),
            Slip::NotAUnit {
                unit,
                quantity,
                units,
            } => self.say(
                "error_slip_no_unit",
                &[
                    ("unit", unit.into()),
                    ("quantity", (*quantity).into()),
                    ("units", (&self.or(units)).into()),
                ],
            ),
            Slip::MinAboveMax { min, max } => self.say(
                "error_slip_min_above_max",
                &[("min", min.into()), ("max", max.into())],
            ),
            Slip::NotFinite => self.t("error_slip_not_finite"),
            Slip::SameId { line } => self.with("error_slip_same_id", "line", *line as usize),
            Slip::NoStep(id) => self.with("error_slip_no_step", "id", id),
            Slip::WaitsForItself => self.t("error_slip_waits_for_itself"),
            Slip::Circle(chain) => {
                let waits = |(step, before): &(String, String)| {
                    self.say(
                        "error_slip_waits",
                        &[("step", step.into()), ("before", before.into())],
                    )
                };
                let chain: Vec<String> = chain.iter().map(waits).collect();
                self.with("error_slip_circle", "chain", &chain.join(", "))
            }
            Slip::LoneBrace => self.braces("error_slip_lone_brace", ""),
            Slip::TargetAlone => self.braces("error_slip_target_alone", "{target}"),
            Slip::EnclosureAlone => self.braces("error_slip_enclosure_alone", "{enclosure}"),
            Slip::ScrewsAlone => self.braces("error_slip_screws_alone", "{screws}"),
            Slip::UnknownBraces(inside) => {
                self.braces("error_slip_unknown_braces", &format!("{{{inside}}}"))
            }
            Slip::Empty => self.t("error_slip_empty"),
            Slip::TooLong { here, most } => self.say(
                "error_slip_too_long",
                &[
                    ("n", (&here.to_string()).into()),
                    ("most", (&most.to_string()).into()),
                ],
            ),
            Slip::ControlCharacter => self.t("error_slip_control"),
            Slip::NotASlug(text) => self.with("error_slip_slug", "text", text),
        }
    }

    /// A clause about what may stand in braces, which Fluent has for its own.
    fn braces(&self, key: &str, braces: &str) -> String {
        let known = self.or(&["{target}", "{enclosure}", "{screws}"]);
        self.say(
            key,
            &[("braces", braces.into()), ("known", (&known).into())],
        )
    }

    /// What stands, or should stand, at a key.
    pub fn form(&self, form: Form) -> String {
        self.t(match form {
            Form::Text => "error_form_text",
            Form::Word => "error_form_word",
            Form::Whole => "error_form_whole",
            Form::Number => "error_form_number",
            Form::Flag => "error_form_flag",
            Form::Date => "error_form_date",
            Form::List => "error_form_list",
            Form::Texts => "error_form_texts",
            Form::Steps => "error_form_steps",
            Form::Step => "error_form_step",
            Form::Measure => "error_form_measure",
            Form::Table => "error_form_table",
        })
    }

    // ---- What was entered ----

    /// What is wrong with a thing that was entered.
    pub fn wrong(&self, why: &Wrong) -> String {
        let about = |key: &str, what: &String| self.with(key, "what", what);
        let most = |key: &str, n: usize| self.with(key, "n", n);
        match why {
            Wrong::Range {
                value,
                low,
                high,
                unit,
            } => {
                let with = |number: &str| match *unit {
                    "" => self.units.number(number),
                    unit => format!("{}{NBSP}{unit}", self.units.number(number)),
                };
                let low = self.units.number(low);
                let bounds = self.say(
                    "error_possible",
                    &[("low", (&low).into()), ("high", (&with(high)).into())],
                );
                let value = value.as_ref().map(|v| format!("{}; ", with(v)));
                value.unwrap_or_default() + &bounds
            }
            Wrong::NameWanted => self.t("error_name_wanted"),
            Wrong::TooLong(n) => most("error_too_long", *n),
            Wrong::NamesNobody => self.t("error_names_nobody"),
            Wrong::NameTaken(name) => about("error_name_taken", name),
            Wrong::ScrewsWanted => self.t("error_screws_wanted"),
            Wrong::WarnsAfterBlocking => self.t("error_warns_after_blocking"),
            Wrong::SizeTwice => self.t("error_size_twice"),
            Wrong::CuredAhead(cured) => about("error_cured_ahead", cured),
            Wrong::CuredAfterUse(day) => about("error_cured_after_use", day),
            Wrong::UsedAhead => self.t("error_used_ahead"),
            Wrong::UsedTooLong => self.t("error_used_too_long"),
            Wrong::Day => self.t("error_day"),
            Wrong::CoarserOnly => self.t("error_coarser_only"),
            Wrong::NoSuch { thing, id } => {
                let key = match thing {
                    Thing::Enclosure => "error_no_enclosure",
                    Thing::Lens => "error_no_lens",
                    Thing::Part => "error_no_part",
                };
                about(key, id)
            }
            Wrong::NoClosure { enclosure, id } => self.say(
                "error_no_closure",
                &[("name", enclosure.into()), ("what", id.into())],
            ),
            Wrong::StandsInForStandIn => self.t("error_stand_in_for_stand_in"),
            Wrong::NoStandIn(id) => about("error_no_stand_in", id),
            Wrong::PointsMost(n) => most("error_points_most", *n),
            Wrong::SizesMost(n) => most("error_sizes_most", *n),
            Wrong::RoomMost { here, most } => self.say(
                "error_room_most",
                &[
                    ("here", (*here as usize).into()),
                    ("most", (*most as usize).into()),
                ],
            ),
            Wrong::LensClosure => self.t("error_lens_closure"),
            Wrong::NoId => self.t("error_no_id"),
            Wrong::IdTwice => self.t("error_id_twice"),
            Wrong::NoSqueeze {
                depth_mm,
                section_mm,
            } => self.say(
                "error_no_squeeze",
                &[
                    ("depth", (&self.number(*depth_mm, "mm")).into()),
                    ("section", (&self.number(*section_mm, "mm")).into()),
                ],
            ),
            Wrong::BoxHolds { holds, elsewhere } => self.say(
                "error_box_holds",
                &[
                    ("n", (*holds as usize).into()),
                    ("elsewhere", (*elsewhere as usize).into()),
                ],
            ),
            Wrong::PointTakes {
                point,
                takes,
                others,
            } => self.say(
                "error_point_takes",
                &[
                    ("name", point.into()),
                    ("n", (*takes as usize).into()),
                    ("others", (*others as usize).into()),
                ],
            ),
            Wrong::NotOnRig(part) => about("error_not_on_rig", part),
            Wrong::Ring(e) => self.ring(e),
            Wrong::Trim(e) => self.trim(e),
            Wrong::Plan(e) => self.plan(e),
            Wrong::Lesson(e) => self.lesson(e),
        }
    }

    // ---- O-rings ----

    /// Why an o-ring question has no answer.
    pub fn ring(&self, fault: &OringError) -> String {
        let given = |key: &str, given: &String| self.with(key, "given", given);
        match fault {
            OringError::UnknownSize { given, count } => self.say(
                "error_ring_unknown_size",
                &[("given", given.into()), ("n", (*count).into())],
            ),
            OringError::SizeNotUnderstood { given: text } => given("error_ring_no_size", text),
            OringError::SizeAmbiguous { given, dash } => self.say(
                "error_ring_ambiguous",
                &[("given", given.into()), ("dash", dash.into())],
            ),
            OringError::CureDate { given: text } => given("error_ring_cure_date", text),
            OringError::Range {
                quantity,
                value,
                min,
                max,
            } => self.say(
                "error_ring_range",
                &[
                    ("what", (&self.length(*quantity)).into()),
                    ("value", (&self.number(*value, "mm")).into()),
                    ("bounds", (&self.between(*min, *max, "mm")).into()),
                ],
            ),
            OringError::GrooveNarrowerThanSection {
                width_mm,
                section_mm,
            } => self.say(
                "error_ring_groove",
                &[
                    ("width", (&self.number(*width_mm, "mm")).into()),
                    ("section", (&self.number(*section_mm, "mm")).into()),
                ],
            ),
            OringError::UnknownMaterial { given, known } => self.say(
                "error_ring_material",
                &[("given", given.into()), ("known", known.into())],
            ),
            OringError::Date { years, from } => self.say(
                "error_ring_date",
                &[
                    ("years", (*years as usize).into()),
                    ("from", (&from.to_string()).into()),
                ],
            ),
        }
    }

    /// A length of a ring or its gland.
    pub fn length(&self, length: Length) -> String {
        self.t(match length {
            Length::Inside => "error_length_inside",
            Length::Section => "error_length_section",
            Length::InsideUncertainty => "error_length_inside_sd",
            Length::SectionUncertainty => "error_length_section_sd",
            Length::Seat => "error_length_seat",
            Length::Depth => "error_length_depth",
            Length::Width => "error_length_width",
        })
    }

    // ---- Trim ----

    /// Why nothing can be worked out.
    pub fn trim(&self, fault: &TrimFault) -> String {
        match fault {
            TrimFault::NoParts => self.t("screen_trim_no_parts"),
            TrimFault::Part(e) => self.part(e),
            TrimFault::Water(e) => {
                let (_, text) = self.water(e);
                self.with("screen_trim_no_water", "why", &text)
            }
        }
    }

    /// The field and the sentence of a water that can't be.
    pub fn water(&self, fault: &WaterError) -> (&'static str, String) {
        match fault {
            WaterError::Salinity { .. } => (keys::SALINITY, self.t("error_salinity")),
            WaterError::Temperature { min_c, max_c, .. } => {
                let shown = |c: f64| self.units.temperature(c + 273.15);
                let text = self.say(
                    "error_water_temperature",
                    &[
                        ("low", (&shown(*min_c)).into()),
                        ("high", (&shown(*max_c)).into()),
                    ],
                );
                (keys::TEMPERATURE, text)
            }
            WaterError::Range { .. } | WaterError::UnknownPreset { .. } => {
                let most = self.units.depth(1000.0);
                (keys::DEPTH, self.with("error_water_depth", "most", &most))
            }
        }
    }

    /// Why a part can't be used.
    pub fn part(&self, fault: &PartError) -> String {
        let absurd = |why: String| self.with("error_absurd", "why", &why);
        match fault {
            PartError::NoParts => self.t("screen_trim_no_parts"),
            PartError::HeavierInWater {
                part,
                in_air_kg,
                in_water_kg,
            } => self.say(
                "error_heavier_in_water",
                &[
                    ("name", part.into()),
                    ("air", (&self.units.weight(in_air_kg * 1e3)).into()),
                    ("water", (&self.units.weight(in_water_kg * 1e3)).into()),
                ],
            ),
            PartError::Range {
                part,
                quantity,
                value,
                min,
                max,
                unit,
            } => absurd(self.out_of_range(Some(part), *quantity, (*value, *min, *max), unit)),
            PartError::Correlation { part, correlation } => absurd(self.say(
                "error_trim_correlation",
                &[
                    ("of", part.into()),
                    ("value", (&self.number(*correlation, "")).into()),
                ],
            )),
            PartError::Covariance { .. } => absurd(self.t("error_trim_covariance")),
        }
    }

    /// Why it can't be said what to hang.
    pub fn plan(&self, fault: &PlanError) -> String {
        let absurd = |why: String| self.with("error_absurd", "why", &why);
        let off = |key: &str, mgf: i64| {
            let amount = self.units.force(mgf.abs() as f64 * GF_PER_MGF, 1.0);
            self.with(key, "amount", &amount)
        };
        match fault {
            PlanError::Part(e) => self.part(e),
            PlanError::Range {
                item,
                quantity,
                value,
                min,
                max,
                unit,
            } => absurd(self.out_of_range(Some(item), *quantity, (*value, *min, *max), unit)),
            PlanError::Solver(e) => match e {
                SolverError::EmptyBox { off_target } => off("screen_trim_empty_box", *off_target),
                SolverError::NoPoint { off_target } => off("screen_trim_no_point", *off_target),
                SolverError::TooLarge { .. } => self.t("screen_trim_too_large"),
                SolverError::Range {
                    quantity,
                    index,
                    value,
                    min,
                    max,
                } => absurd(self.say(
                    "error_trim_count",
                    &[
                        ("what", (&self.count(*quantity)).into()),
                        ("index", (*index).into()),
                        ("value", (&value.to_string()).into()),
                        ("low", (&min.to_string()).into()),
                        ("high", (&max.to_string()).into()),
                    ],
                )),
                SolverError::HangingShape { .. } => absurd(self.t("error_trim_hanging_shape")),
            },
        }
    }

    /// Why something seen can't be learnt from.
    pub fn lesson(&self, fault: &LearnError) -> String {
        match fault {
            LearnError::NothingUncertain => self.t("error_nothing_uncertain"),
            LearnError::NoAttitude => self.t("error_no_attitude"),
            LearnError::Impossible { part, .. } => {
                self.with("error_impossible_lesson", "name", part)
            }
            LearnError::Part(e) => self.part(e),
            LearnError::NothingSeen => self.t("error_nothing_seen"),
            LearnError::Range {
                quantity,
                value,
                min,
                max,
                unit,
            } => {
                let why = self.out_of_range(None, *quantity, (*value, *min, *max), unit);
                self.with("error_absurd", "why", &why)
            }
        }
    }

    /// 'Fill light: mass 1200 kg; 0 to 1000 kg are possible'.
    fn out_of_range(
        &self,
        of: Option<&Of>,
        quantity: Quantity,
        (value, low, high): (f64, f64, f64),
        unit: &str,
    ) -> String {
        let clause = self.say(
            "error_trim_range",
            &[
                ("what", (&self.quantity(quantity)).into()),
                ("value", (&self.number(value, unit)).into()),
                ("bounds", (&self.between(low, high, unit)).into()),
            ],
        );
        let of = match of {
            None | Some(Of::Request) => return clause,
            Some(Of::Named(name)) => name.clone(),
            Some(Of::Rig) => self.t("error_trim_of_rig"),
            Some(Of::Water) => self.t("error_trim_of_water"),
            Some(Of::Scale) => self.t("error_trim_of_scale"),
        };
        format!("{of}: {clause}")
    }

    /// A quantity of the trim.
    pub fn quantity(&self, quantity: Quantity) -> String {
        self.t(match quantity {
            Quantity::Mass => "error_quantity_mass",
            Quantity::MassUncertainty => "error_quantity_mass_sd",
            Quantity::Volume => "error_quantity_volume",
            Quantity::VolumeUncertainty => "error_quantity_volume_sd",
            Quantity::CentreOfMass => "error_quantity_centre_mass",
            Quantity::CentreOfVolume => "error_quantity_centre_volume",
            Quantity::CentreUncertainty => "error_quantity_centre_sd",
            Quantity::BulkModulus => "error_quantity_bulk",
            Quantity::GasShare => "error_quantity_gas",
            Quantity::WeightInAir => "error_quantity_in_air",
            Quantity::WeightInWater => "error_quantity_in_water",
            Quantity::SinkerInWater => "error_quantity_sinker",
            Quantity::ReadingUncertainty | Quantity::ScaleUncertainty => {
                "error_quantity_reading_sd"
            }
            Quantity::Density => "error_quantity_density",
            Quantity::DensityUncertainty => "error_quantity_density_sd",
            Quantity::WaterDensity => "error_quantity_water_density",
            Quantity::WaterDensityUncertainty => "error_quantity_water_density_sd",
            Quantity::AirDensity => "error_quantity_air_density",
            Quantity::SeaPressure => "error_quantity_sea_pressure",
            Quantity::NetForce => "error_quantity_net",
            Quantity::Pitch => "error_quantity_pitch",
            Quantity::Roll => "error_quantity_roll",
            Quantity::SeenUncertainty => "error_quantity_seen_sd",
            Quantity::Position => "error_quantity_position",
            Quantity::LoadLimit => "error_quantity_load",
            Quantity::Target => "error_quantity_target",
            Quantity::NetTolerance => "error_quantity_net_tolerance",
            Quantity::LevelTolerance => "error_quantity_level_tolerance",
            Quantity::AcceptableNet => "error_quantity_acceptable_net",
            Quantity::AcceptableAngle => "error_quantity_acceptable_angle",
        })
    }

    /// A whole number of the solver.
    pub fn count(&self, count: Count) -> String {
        self.t(match count {
            Count::NetForce => "error_quantity_net",
            Count::Target => "error_quantity_target",
            Count::PitchMoment => "error_count_pitch_moment",
            Count::RollMoment => "error_count_roll_moment",
            Count::NetTolerance => "error_quantity_net_tolerance",
            Count::LevelTolerance => "error_quantity_level_tolerance",
            Count::ForceOfWeight => "error_count_force",
            Count::MassOfWeight => "error_count_mass",
            Count::StockOfWeight => "error_count_stock",
            Count::XOfPoint => "error_count_x",
            Count::YOfPoint => "error_count_y",
            Count::CapacityOfPoint => "error_count_capacity",
            Count::LoadLimitOfPoint => "error_count_load",
            Count::CapacityOfAll => "error_count_capacity_all",
            Count::PiecesHanging => "error_count_hanging",
            Count::PiecesOnRig => "error_count_hanging_all",
        })
    }

    // ---- Holds ----

    /// The sentence of a fault of a reading or figure.
    pub fn hold(&self, fault: &HoldFault) -> String {
        let why = match fault {
            HoldFault::OutOfOrder { .. } => return self.t("error_reading_out_of_order"),
            HoldFault::Absurd { why, .. } | HoldFault::AbsurdReading { why, .. } => why,
        };
        let key = match why {
            Why::Outside { range, .. } => {
                return self.say(
                    "error_range",
                    &[
                        ("low", (&self.end_of(range.low, range.of)).into()),
                        ("high", (&self.end_of(range.high, range.of)).into()),
                    ],
                );
            }
            Why::AboveZero => "error_why_above_zero",
            Why::NotBelowZero => "error_why_not_below_zero",
            Why::NoNumber => "error_why_no_number",
            Why::NoTime => "error_why_no_time",
            Why::ContentsTooLarge => "error_why_contents",
            Why::ReadingsTooNear => "error_why_too_near",
            Why::AirTookNothingOrAll => "error_why_air_took",
            Why::NotBetween => "error_why_not_between",
            Why::NotLowered => "error_why_not_lowered",
            Why::NoPair => "error_why_no_pair",
            Why::NothingToCompare => "error_why_nothing_to_compare",
            Why::NotLater => "error_why_not_later",
            Why::OtherKind => "error_why_other_kind",
            Why::TooDeepOrAbove => "error_why_too_deep",
        };
        self.with("error_absurd", "why", &self.t(key))
    }

    /// One end of a range of SI numbers, in the crew's units.
    fn end_of(&self, value: f64, of: RangeOf) -> String {
        let u = &self.units;
        let (value, symbol) = match of {
            RangeOf::Pressure => (u.pressure.from_pa(value), u.pressure.symbol()),
            RangeOf::Temperature => (u.from_k(value), u.temperature_symbol()),
            RangeOf::Depth => (u.from_m(value), u.depth_symbol()),
            RangeOf::Water => (u.from_ml(value), u.water_symbol()),
            RangeOf::Volume => (value * 1e3, "L"),
            RangeOf::Minutes => (value, "min"),
            RangeOf::Salinity => (value, "g/kg"),
            RangeOf::Kelvins => (value, "K"),
            RangeOf::Share => (value * 100.0, "%"),
        };
        self.number(value, symbol)
    }
}
