//! What checks Slackwater from outside.

pub mod columns;
pub mod daysim;
pub mod disk;
pub mod drive;
pub mod fuzz;
pub mod licences;
pub mod logs;
pub mod model;
pub mod nature;
pub mod refcheck_oring;
pub mod refcheck_rig;
pub mod refcheck_trim;
pub mod refcheck_water;
pub mod shell;
pub mod stranger;
pub mod surroundings;
pub mod walk;
pub mod wrongs;
