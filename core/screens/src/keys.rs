//! Keys of fields that more than one form has, or that a fault or a question names from elsewhere. A key that one form
//! alone has stands where its field is specified.

pub(super) const AIR: &str = "air";
pub(super) const AMBIENT: &str = "ambient";
pub(super) const CLOSURE: &str = "closure";
pub(super) const CODE: &str = "code";
pub(super) const COUNT: &str = "count";
pub(super) const DAYS: &str = "days";
pub(super) const DEPTH: &str = "depth";
pub(super) const DISPLACED: &str = "volume_cm3";
pub(super) const GAUGE: &str = "gauge";
pub(super) const HARDNESS: &str = "hardness";
pub(super) const HEAVY: &str = "heavy";
pub(super) const INSIDE: &str = "inside";
pub(super) const KIND: &str = "kind";
pub(super) const MASS: &str = "mass_g";
pub(super) const MATERIAL: &str = "material";
pub(super) const MEMBER: &str = "member";
pub(super) const MINUTES: &str = "minutes";
pub(super) const NAME: &str = "name";
pub(super) const NOTE: &str = "note";
pub(super) const OPEN_READS: &str = "open_reads";
pub(super) const REASON: &str = "reason";
pub(super) const RESOLUTION: &str = "resolution";
pub(super) const SALINITY: &str = "salinity";
pub(super) const SALT: &str = "salt";
pub(super) const SIZE: &str = "size";
pub(super) const STOOD: &str = "stood";
pub(super) const TEMPERATURE: &str = "temperature";
pub(super) const TEXT: &str = "text";
pub(super) const UNIT: &str = "unit";
pub(super) const WATER: &str = "water";
pub(super) const WITH: &str = "with";

// Choices of the crew: a field of its page has the key of the choice that it makes.
pub(super) const SD_AIR: &str = "sd_air_k";
pub(super) const SD_BAROMETER: &str = "sd_barometer_pa";
pub(super) const SD_INSIDE: &str = "sd_inside_k";
pub(super) const SD_SURFACE: &str = "sd_surface_k";
pub(super) const UNIT_DEPTH: &str = "unit_depth";
pub(super) const UNIT_PRESSURE: &str = "unit_pressure";
pub(super) const UNIT_TEMPERATURE: &str = "unit_temperature";
pub(super) const UNIT_WATER: &str = "unit_water";
pub(super) const UNIT_WEIGHT: &str = "unit_weight";
