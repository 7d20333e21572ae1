//! The trim solver and the rig's balance against integer programs solved by HiGHS.

use std::path::{Path, PathBuf};

use serde_json::Value;
use slackwater_core::physics::trim::solver::{
    Limits, Point, Problem, Proof, Size, evaluate, solve,
};
use slackwater_core::physics::trim::{
    Acceptable, Compression, Estimate, HungWeight, Model, MountingPoint, Part, Request,
    Surroundings, WeightSize, balance, plan,
};
use slackwater_core::physics::water::{Density, STANDARD_GRAVITY_M_S2};

use crate::columns::{CheckFailure, ColumnDeviation, Columns};

/// One case of `trim.json`.
pub struct Case {
    /// Its id.
    pub id: i64,
    /// As the solver takes it: mgf, mm, g, about the origin as the reference defines it.
    pub problem: Problem,
    /// The whole case.
    pub json: Value,
}

/// Walks into a JSON value by keys and indices, naming the path that is missing.
struct At<'a> {
    value: &'a Value,
    path: String,
    file: &'a Path,
}

impl<'a> At<'a> {
    fn key(&self, key: &str) -> Result<At<'a>, CheckFailure> {
        let path = format!("{}.{key}", self.path);
        match self.value.get(key) {
            Some(value) => Ok(At {
                value,
                path,
                file: self.file,
            }),
            None => Err(CheckFailure {
                file: self.file.to_owned(),
                what: format!("no {path}"),
            }),
        }
    }

    fn items(&self) -> Result<Vec<At<'a>>, CheckFailure> {
        let list = self.value.as_array().ok_or_else(|| self.wrong("a list"))?;
        Ok(list
            .iter()
            .enumerate()
            .map(|(i, value)| At {
                value,
                path: format!("{}[{i}]", self.path),
                file: self.file,
            })
            .collect())
    }

    fn wrong(&self, wanted: &str) -> CheckFailure {
        CheckFailure {
            file: self.file.to_owned(),
            what: format!("{} is not {wanted}", self.path),
        }
    }

    fn int(&self, key: &str) -> Result<i64, CheckFailure> {
        let at = self.key(key)?;
        at.value.as_i64().ok_or_else(|| at.wrong("a whole number"))
    }

    fn float(&self, key: &str) -> Result<f64, CheckFailure> {
        let at = self.key(key)?;
        at.value.as_f64().ok_or_else(|| at.wrong("a number"))
    }

    fn text(&self, key: &str) -> Result<&'a str, CheckFailure> {
        let at = self.key(key)?;
        at.value.as_str().ok_or_else(|| at.wrong("text"))
    }

    fn place(&self, key: &str) -> Result<[i64; 3], CheckFailure> {
        let at = self.key(key)?;
        let list: Vec<i64> = at
            .value
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(Value::as_i64)
            .collect();
        list.try_into().map_err(|_| at.wrong("three whole numbers"))
    }
}

fn count(value: i64, at: &At) -> Result<u32, CheckFailure> {
    u32::try_from(value).map_err(|_| at.wrong("free of negative counts"))
}

/// Reads all cases.
///
/// # Errors
/// The file cannot be read or lacks something.
pub fn cases(file: &Path) -> Result<Vec<Case>, CheckFailure> {
    let fail = |what: String| CheckFailure {
        file: file.to_owned(),
        what,
    };
    let text = std::fs::read_to_string(file).map_err(|e| fail(e.to_string()))?;
    let json: Value = serde_json::from_str(&text).map_err(|e| fail(e.to_string()))?;
    let root = At {
        value: &json,
        path: "$".into(),
        file,
    };
    root.key("cases")?.items()?.iter().map(case).collect()
}

fn case(at: &At) -> Result<Case, CheckFailure> {
    let rho = at.int("water_density_kg_m3")?;
    let mut problem = Problem {
        net: 0,
        pitch: 0,
        roll: 0,
        target: 1000 * at.int("target_net_gf")?,
        net_tolerance: 0,
        level_tolerance: 0,
        sizes: Vec::new(),
        points: Vec::new(),
        hanging: Vec::new(),
    };
    for part in at.key("parts")?.items()? {
        let (m, v) = (1000 * part.int("mass_g")?, rho * part.int("volume_cm3")?);
        let (cm, cv) = (
            part.place("mass_centre_mm")?,
            part.place("volume_centre_mm")?,
        );
        problem.net += v - m;
        problem.pitch += v * cv[0] - m * cm[0];
        problem.roll += v * cv[1] - m * cm[1];
    }
    for weight in at.key("weights")?.items()? {
        let mass = weight.int("mass_g")?;
        problem.sizes.push(Size {
            force: rho * weight.int("volume_cm3")? - 1000 * mass,
            mass,
            stock: count(weight.int("stock")?, &weight)?,
        });
    }
    for point in at.key("points")?.items()? {
        let [x, y, _] = point.place("position_mm")?;
        let capacity = count(point.int("capacity")?, &point)?;
        problem.points.push(Point {
            x,
            y,
            capacity,
            max_mass: None,
        });
    }
    Ok(Case {
        id: at.int("id")?,
        problem,
        json: at.value.clone(),
    })
}

/// The same case as a rig in SI.
fn rig(
    at: &At,
) -> Result<(Model, Surroundings, Vec<WeightSize>, Vec<MountingPoint>), CheckFailure> {
    let metres = |mm: [i64; 3]| mm.map(|v| v as f64 / 1000.0);
    let sure = |value: f64| Estimate { value, sd: 0.0 };
    let mut parts = Vec::new();
    for part in at.key("parts")?.items()? {
        parts.push(Part {
            name: part.text("name")?.to_owned(),
            mass_kg: sure(part.int("mass_g")? as f64 / 1000.0),
            volume_m3: sure(part.int("volume_cm3")? as f64 / 1e6),
            mass_volume_cov: 0.0,
            mass_centre_m: metres(part.place("mass_centre_mm")?),
            mass_centre_sd_m: 0.0,
            volume_centre_m: metres(part.place("volume_centre_mm")?),
            volume_centre_sd_m: 0.0,
            compression: Compression::Rigid,
        });
    }
    let fail = |e: &dyn std::fmt::Display| CheckFailure {
        file: at.file.to_owned(),
        what: format!("{}: {e}", at.path),
    };
    let model = Model::new(parts).map_err(|e| fail(&e))?;
    let kg_m3 = at.int("water_density_kg_m3")? as f64;
    let water = Surroundings {
        density: Density {
            kg_m3,
            sd_kg_m3: 0.0,
        },
        sea_pressure_pa: 0.0,
    };
    let mut sizes = Vec::new();
    for weight in at.key("weights")?.items()? {
        sizes.push(WeightSize {
            name: weight.text("name")?.to_owned(),
            mass_kg: weight.int("mass_g")? as f64 / 1000.0,
            volume_m3: weight.int("volume_cm3")? as f64 / 1e6,
            stock: count(weight.int("stock")?, &weight)?,
        });
    }
    let mut points = Vec::new();
    for point in at.key("points")?.items()? {
        points.push(MountingPoint {
            name: point.text("name")?.to_owned(),
            position_m: metres(point.place("position_mm")?),
            capacity: count(point.int("capacity")?, &point)?,
            max_mass_kg: None,
        });
    }
    Ok((model, water, sizes, points))
}

/// `trim.json`: the three optima, exactly; the reference's placement judged by our own sums; the rig's balance
/// with it; and the optimum net force again by way of the rig in SI.
///
/// # Errors
/// A file that cannot be read or a case that is refused.
pub fn trim(files: &[PathBuf]) -> Result<Vec<ColumnDeviation>, CheckFailure> {
    let mut all = Vec::new();
    for file in files {
        let name = file
            .file_name()
            .map_or_else(String::new, |n| n.to_string_lossy().into_owned());
        let mut columns = Columns::new(name);
        for case in cases(file)? {
            one(&case, file, &mut columns)?;
        }
        all.extend(columns.done());
    }
    Ok(all)
}

fn one(case: &Case, file: &Path, columns: &mut Columns) -> Result<(), CheckFailure> {
    let row = format!("case {}", case.id);
    let at = At {
        value: &case.json,
        path: row.clone(),
        file,
    };
    let fail = |e: &dyn std::fmt::Display| CheckFailure {
        file: file.to_owned(),
        what: format!("{row}: {e}"),
    };
    let problem = &case.problem;
    let untrimmed = at.key("untrimmed")?;
    for (column, ours) in [
        ("net_mgf", problem.net),
        ("pitch_mgf_mm", problem.pitch),
        ("roll_mgf_mm", problem.roll),
    ] {
        let off = (ours - untrimmed.int(column)?) as f64;
        columns.add(&format!("untrimmed.{column}"), "", 0.0, off, &row);
    }
    let optimum = at.key("optimum")?;
    let wanted = [
        (
            "stage1_abs_net_minus_target_mgf",
            optimum.int("stage1_abs_net_minus_target_mgf")?,
        ),
        (
            "stage2_abs_pitch_plus_abs_roll_mgf_mm",
            optimum.int("stage2_abs_pitch_plus_abs_roll_mgf_mm")?,
        ),
        ("stage3_added_mass_g", optimum.int("stage3_added_mass_g")?),
    ];
    let got = solve(problem).map_err(|e| fail(&e))?;
    columns.same("proven optimal", got.proof == Proof::Optimal, &row);
    let again = evaluate(problem, &got.placement);
    let ours = [again.off_target, again.off_level, again.mass];
    for ((column, want), ours) in wanted.iter().zip(ours) {
        columns.add(column, "", 0.0, (ours - want) as f64, &row);
    }
    let fits = problem
        .sizes
        .iter()
        .enumerate()
        .all(|(s, size)| got.placement.iter().map(|r| r[s]).sum::<u32>() <= size.stock)
        && problem
            .points
            .iter()
            .zip(&got.placement)
            .all(|(p, r)| r.iter().sum::<u32>() <= p.capacity);
    columns.same("stock and capacities kept", fits, &row);

    // Their placement.
    let mut theirs = vec![vec![0u32; problem.sizes.len()]; problem.points.len()];
    let names = at.key("points")?.items()?;
    for item in optimum.key("one_optimal_placement")?.items()? {
        let name = item.text("point")?;
        let mut index = None;
        for (i, point) in names.iter().enumerate() {
            if point.text("name")? == name {
                index = Some(i);
            }
        }
        let index = index.ok_or_else(|| item.wrong("at a known point"))?;
        for (s, n) in item.key("counts")?.items()?.iter().enumerate() {
            let n_value = n.value.as_i64().ok_or_else(|| n.wrong("a whole number"))?;
            theirs[index][s] = count(n_value, n)?;
        }
    }
    let judged = evaluate(problem, &theirs);
    for (column, ours) in [
        ("net_mgf", judged.net),
        ("pitch_mgf_mm", judged.pitch),
        ("roll_mgf_mm", judged.roll),
    ] {
        let off = (ours - optimum.int(column)?) as f64;
        columns.add(&format!("{column} of their placement"), "", 0.0, off, &row);
    }
    // What hangs already as they placed it needs no change: the fourth stage.
    let mut kept = problem.clone();
    kept.hanging = theirs.clone();
    let same = solve(&kept).map_err(|e| fail(&e))?;
    columns.add(
        "changes from an optimal placement",
        "pieces",
        0.0,
        f64::from(same.changes),
        &row,
    );

    // The rig in SI.
    let (model, water, sizes, points) = rig(&at)?;
    let mut hung = Vec::new();
    for (point, counts) in points.iter().zip(&theirs) {
        for (size, &n) in sizes.iter().zip(counts) {
            hung.push(HungWeight {
                mass_kg: size.mass_kg * f64::from(n),
                volume_m3: size.volume_m3 * f64::from(n),
                position_m: point.position_m,
            });
        }
    }
    let b = balance(&model, &hung, &water).map_err(|e| fail(&e))?;
    let above = (b.centre_of_buoyancy_m[2].value - b.centre_of_mass_m[2].value) * 1000.0;
    let want = optimum.float("centre_of_buoyancy_above_centre_of_gravity_mm")?;
    columns.add(
        "centre_of_buoyancy_above_centre_of_gravity_mm",
        "mm",
        1e-9,
        above - want,
        &row,
    );
    let net_mgf = b.net_n.value / STANDARD_GRAVITY_M_S2 * 1e6;
    let off = net_mgf - optimum.int("net_mgf")? as f64;
    columns.add(
        "net_mgf of their placement [rig in SI]",
        "mgf",
        1e-3,
        off,
        &row,
    );
    let request = Request {
        model: &model,
        water,
        sizes: &sizes,
        points: &points,
        hanging: &[],
        target_n: at.int("target_net_gf")? as f64 / 1000.0 * STANDARD_GRAVITY_M_S2,
        net_tolerance_n: 0.0,
        level_tolerance_n_m: 0.0,
        acceptable: Acceptable {
            net_n: 1.0,
            angle_rad: 0.1,
        },
        limits: Limits::default(),
    };
    let planned = plan(&request).map_err(|e| fail(&e))?;
    let off = (planned.after.net_n.value - request.target_n).abs() / STANDARD_GRAVITY_M_S2 * 1e6
        - wanted[0].1 as f64;
    columns.add(
        "stage1_abs_net_minus_target_mgf [rig in SI]",
        "mgf",
        1e-3,
        off,
        &row,
    );
    Ok(())
}
