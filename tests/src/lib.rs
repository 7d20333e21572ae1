//! What checks Slackwater from outside.

pub mod drive;
