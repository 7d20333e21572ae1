//! The shell's own few words: titles of sections, Back, Undo. Asked once at start.

use super::texts::Texts;

/// The words that stand on every screen or on none in particular.
#[derive(Debug, Clone, PartialEq, Eq, uniffi::Record)]
pub struct ShellWords {
    /// "Back".
    pub back: String,
    /// "Undo".
    pub undo: String,
    /// "No, leave it".
    pub no: String,
    /// "Try again".
    pub again: String,
    /// "Older entries".
    pub older: String,
    /// "Choose another".
    pub choose_other: String,
    /// "Add a photo".
    pub add_photo: String,
    /// "Choose a photo of this phone's".
    pub choose_photo: String,
    /// "No camera app answers on this phone. …".
    pub no_camera: String,
    /// "The file can't be read: …".
    pub file_unreadable: String,
    /// "Give it up".
    pub give_up: String,
    /// "Note on the photo".
    pub photo_note: String,
    /// "Keep the photo".
    pub keep_photo: String,
    /// "Drop the photo".
    pub drop_photo: String,
    /// "Screen".
    pub light_title: String,
    /// "Day".
    pub light_day: String,
    /// "Full sun".
    pub light_sun: String,
    /// "Night".
    pub light_night: String,
    /// "Deck recheck".
    pub recheck_title: String,
    /// "Seals".
    pub seals_title: String,
    /// "Trim".
    pub trim_title: String,
    /// "What to hang".
    pub trim_list: String,
    /// "Fitted".
    pub trim_swaps: String,
    /// "Learnt in the water".
    pub trim_lessons: String,
    /// "What if".
    pub trim_what_ifs: String,
    /// "Crew".
    pub crew_title: String,
    /// "Hold".
    pub hold_title: String,
    /// "In the way".
    pub in_the_way: String,
    /// "Enclosures".
    pub enclosures: String,
    /// "Defects".
    pub defects: String,
    /// "Preps and procedures".
    pub procedures: String,
    /// "Plan".
    pub plan: String,
    /// "Controls".
    pub controls: String,
    /// "Photos".
    pub photos: String,
    /// "More".
    pub more: String,
    /// "Retired".
    pub retired: String,
    /// "Readings".
    pub readings: String,
    /// "Why".
    pub why: String,
    /// "Figures".
    pub figures: String,
    /// "History".
    pub history: String,
    /// "To pack".
    pub to_pack: String,
    /// "Falls due".
    pub falls_due: String,
    /// "Members".
    pub members: String,
    /// "Limits and units".
    pub choices: String,
    /// "About".
    pub about: String,
    /// "All steps".
    pub steps: String,
    /// "As recorded".
    pub record: String,
    /// "Air on deck".
    pub air: String,
}

impl ShellWords {
    /// In a language.
    pub fn of(texts: &Texts) -> ShellWords {
        ShellWords {
            back: texts.get("shell_back"),
            undo: texts.get("shell_undo"),
            no: texts.get("shell_no"),
            again: texts.get("shell_again"),
            older: texts.get("shell_older"),
            choose_other: texts.get("shell_choose_other"),
            add_photo: texts.get("shell_add_photo"),
            choose_photo: texts.get("shell_choose_photo"),
            no_camera: texts.get("shell_no_camera"),
            file_unreadable: texts.get("shell_file_unreadable"),
            give_up: texts.get("shell_give_up"),
            photo_note: texts.get("shell_photo_note"),
            keep_photo: texts.get("shell_keep_photo"),
            drop_photo: texts.get("shell_drop_photo"),
            light_title: texts.get("shell_light_title"),
            light_day: texts.get("shell_light_day"),
            light_sun: texts.get("shell_light_sun"),
            light_night: texts.get("shell_light_night"),
            recheck_title: texts.get("shell_recheck_title"),
            seals_title: texts.get("shell_seals_title"),
            trim_title: texts.get("shell_trim_title"),
            trim_list: texts.get("shell_trim_list"),
            trim_swaps: texts.get("shell_trim_swaps"),
            trim_lessons: texts.get("shell_trim_lessons"),
            trim_what_ifs: texts.get("shell_trim_what_ifs"),
            crew_title: texts.get("shell_crew_title"),
            hold_title: texts.get("shell_hold_title"),
            in_the_way: texts.get("shell_in_the_way"),
            enclosures: texts.get("shell_enclosures"),
            defects: texts.get("shell_defects"),
            procedures: texts.get("shell_procedures"),
            plan: texts.get("shell_plan"),
            controls: texts.get("shell_controls"),
            photos: texts.get("shell_photos"),
            more: texts.get("shell_more"),
            retired: texts.get("shell_retired"),
            readings: texts.get("shell_readings"),
            why: texts.get("shell_why"),
            figures: texts.get("shell_figures"),
            history: texts.get("shell_history"),
            to_pack: texts.get("shell_to_pack"),
            falls_due: texts.get("shell_falls_due"),
            members: texts.get("shell_members"),
            choices: texts.get("shell_choices"),
            about: texts.get("shell_about"),
            steps: texts.get("shell_steps"),
            record: texts.get("shell_record"),
            air: texts.get("shell_air"),
        }
    }
}
