//! The kinds of reference files of water, trim and o-rings.

use std::path::PathBuf;

use crate::columns::{CheckFailure, ColumnDeviation};
use crate::{refcheck_oring, refcheck_trim, refcheck_water};

/// Compares files of one kind with ours.
pub type Check = fn(&[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure>;

/// Kinds of reference files of water, trim and o-rings, named as the files without ending.
pub const RIG_KINDS: &[(&str, Check)] = &[
    ("seawater_density", refcheck_water::seawater_density),
    ("fresh_water_density", refcheck_water::fresh_water_density),
    ("depth_pressure", refcheck_water::depth_pressure),
    ("density_check_values", refcheck_water::density_check_values),
    ("trim", refcheck_trim::trim),
    ("oring_as568", refcheck_oring::as568_sizes),
    (
        "oring_iso3601_tolerances",
        refcheck_oring::iso3601_tolerances,
    ),
    ("oring_gland_limits", refcheck_oring::gland_limits),
    ("oring_shelf_life", refcheck_oring::shelf_life),
    ("oring_lubricants", refcheck_oring::lubricants),
    ("oring_examples", refcheck_oring::examples),
];
