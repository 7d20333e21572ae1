//! What a fault of the trim is about.

use crate::named::named;

named! {
    /// A quantity of a part, a weighing, the water, or what was seen.
    pub enum Quantity {
        Mass = "mass",
        MassUncertainty = "mass uncertainty",
        Volume = "volume",
        VolumeUncertainty = "volume uncertainty",
        CentreOfMass = "centre of mass",
        CentreOfVolume = "centre of volume",
        CentreUncertainty = "centre uncertainty",
        BulkModulus = "bulk modulus",
        GasShare = "gas share",
        WeightInAir = "weight in air",
        WeightInWater = "weight in water",
        SinkerInWater = "weight of the sinker in water",
        ReadingUncertainty = "reading uncertainty",
        Density = "density",
        DensityUncertainty = "density uncertainty",
        WaterDensity = "water density",
        WaterDensityUncertainty = "water density uncertainty",
        AirDensity = "air density",
        SeaPressure = "sea pressure",
        ScaleUncertainty = "uncertainty",
        NetForce = "net force",
        Pitch = "pitch",
        Roll = "roll",
        SeenUncertainty = "uncertainty of what was seen",
        Position = "position",
        LoadLimit = "load limit",
        Target = "target",
        NetTolerance = "net tolerance",
        LevelTolerance = "level tolerance",
        AcceptableNet = "acceptable net",
        AcceptableAngle = "acceptable angle",
    }
}

named! {
    /// A whole number that the solver takes.
    pub enum Count {
        NetForce = "net force",
        Target = "target",
        PitchMoment = "pitch moment",
        RollMoment = "roll moment",
        NetTolerance = "net tolerance",
        LevelTolerance = "level tolerance",
        ForceOfWeight = "force of weight",
        MassOfWeight = "mass of weight",
        StockOfWeight = "stock of weight",
        XOfPoint = "x of mounting point",
        YOfPoint = "y of mounting point",
        CapacityOfPoint = "capacity of mounting point",
        LoadLimitOfPoint = "load limit of mounting point",
        CapacityOfAll = "capacity of all mounting points",
        PiecesHanging = "pieces hanging",
        PiecesOnRig = "pieces hanging on the rig",
    }
}

/// What a quantity is one of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Of {
    /// A part, weight or point, by its name.
    Named(String),
    /// The whole rig.
    Rig,
    /// The water.
    Water,
    /// The scale.
    Scale,
    /// What is asked for.
    Request,
}

impl From<&String> for Of {
    fn from(name: &String) -> Of {
        Of::Named(name.clone())
    }
}

impl std::fmt::Display for Of {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Of::Named(name) => name,
            Of::Rig => "the whole rig",
            Of::Water => "the water",
            Of::Scale => "the scale",
            Of::Request => "the request",
        })
    }
}
