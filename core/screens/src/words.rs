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
    /// "Photos".
    pub photos: String,
    /// The pad's key before the parts of one: "." or ",".
    pub pad_decimal: String,
    /// "Take back a digit".
    pub pad_delete: String,
    /// "Put the keys away".
    pub pad_close: String,
}

impl ShellWords {
    /// In a language.
    pub fn of(texts: &Texts) -> ShellWords {
        ShellWords {
            back: texts.get("shell_back"),
            undo: texts.get("shell_undo"),
            no: texts.get("shell_no"),
            again: texts.get("shell_again"),
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
            photos: texts.get("shell_photos"),
            pad_decimal: texts.decimal().to_string(),
            pad_delete: texts.get("shell_pad_delete"),
            pad_close: texts.get("shell_pad_close"),
        }
    }
}
