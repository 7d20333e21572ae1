//! The rig from the side and from the front, as it comes to rest with what hangs now. Parts are
//! drawn as cubes of their volume: nobody measures their outlines.

use super::cx::Cx;
use super::trim::{
    TrimDrawing, TrimLabel, TrimLegend, TrimShape, TrimShapeKind, TrimSpot, net_words,
};
use super::trim_words::attitude_words;
use slackwater_domain::state::RigFacts;
use slackwater_domain::trim::TrimNow;
use slackwater_physics::trim::Attitude;

/// Beyond this a drawing is not turned further: a rig on its back is said in words.
const TURN_MAX_RAD: f64 = 1.0;
/// Half the edge below which a part is not drawn, m.
const INSIDE_M: f64 = 0.001;
/// Free room round the drawing, in widths.
const MARGIN: f64 = 0.09;
/// Least height of a drawing, in widths.
const HEIGHT_MIN: f64 = 0.45;
/// Most height of a drawing, in widths.
const HEIGHT_MAX: f64 = 1.1;

/// One view: which way is to the right, and by how much it is turned.
struct View {
    /// Sideways axis: forward, or to port.
    across: fn([f64; 3]) -> f64,
    turn_rad: f64,
    title: String,
    left: String,
    right: String,
}

impl View {
    /// In metres: right and up, turned about the origin. A positive turn lifts what is to the right.
    fn place(&self, at: [f64; 3]) -> (f64, f64) {
        let (x, z) = ((self.across)(at), at[2]);
        let (sin, cos) = self.turn_rad.sin_cos();
        (x * cos - z * sin, z * cos + x * sin)
    }
}

/// What the marks mean.
pub(super) fn legend(cx: &Cx<'_>) -> Vec<TrimLegend> {
    [
        (TrimShapeKind::Hangs, "screen_trim_legend_hangs"),
        (TrimShapeKind::ToChange, "screen_trim_legend_change"),
        (TrimShapeKind::Free, "screen_trim_legend_free"),
        (TrimShapeKind::MassCentre, "screen_trim_legend_mass"),
        (TrimShapeKind::LiftCentre, "screen_trim_legend_lift"),
        (TrimShapeKind::Level, "screen_trim_legend_level"),
    ]
    .into_iter()
    .map(|(kind, key)| TrimLegend {
        kind,
        text: cx.t(key),
    })
    .collect()
}

/// The two drawings.
pub(super) fn drawings(cx: &Cx<'_>, rig: &RigFacts, now: &TrimNow) -> Vec<TrimDrawing> {
    let (pitch, roll) = match now.now.attitude {
        Attitude::Rests {
            pitch,
            roll,
            certain: true,
        } => (pitch.value, roll.value),
        _ => (0.0, 0.0),
    };
    let turned = |rad: f64| rad.clamp(-TURN_MAX_RAD, TURN_MAX_RAD);
    let views = [
        View {
            across: |at| at[0],
            // Nose up lifts the right.
            turn_rad: turned(pitch),
            title: cx.t("screen_trim_from_right"),
            left: cx.t("screen_trim_rear"),
            right: cx.t("screen_trim_front"),
        },
        View {
            // From ahead, port is to the right; starboard down lifts it.
            across: |at| -at[1],
            turn_rad: turned(roll),
            title: cx.t("screen_trim_from_front"),
            left: cx.t("screen_trim_its_right"),
            right: cx.t("screen_trim_its_left"),
        },
    ];
    views.iter().map(|v| drawing(cx, rig, now, v)).collect()
}

fn drawing(cx: &Cx<'_>, rig: &RigFacts, now: &TrimNow, view: &View) -> TrimDrawing {
    let question = &now.question;
    let b = &now.now;
    let mut outlines: Vec<Vec<(f64, f64)>> = Vec::new();
    let mut named: Vec<(String, (f64, f64))> = Vec::new();
    for (_, part) in question.model.on_rig() {
        let half = part.volume_m3.value.max(0.0).cbrt() / 2.0;
        let c = part.volume_centre_m;
        named.push((part.name.clone(), view.place(c)));
        // What is shut inside a housing has no outline of its own.
        if half < INSIDE_M {
            continue;
        }
        let corners = [(-1.0, -1.0), (1.0, -1.0), (1.0, 1.0), (-1.0, 1.0)].map(|(a, z)| {
            // Along both sideways axes at once: the view takes the one it shows.
            view.place([c[0] + a * half, c[1] - a * half, c[2] + z * half])
        });
        outlines.push(corners.to_vec());
    }
    let points: Vec<(TrimShapeKind, (f64, f64))> = question
        .points
        .iter()
        .enumerate()
        .map(|(p, point)| (state(now, p), view.place(point.position_m)))
        .collect();
    let value = |c: &[slackwater_physics::trim::Estimate; 3]| c.map(|e| e.value);
    let mass = view.place(value(&b.centre_of_mass_m));
    let lift = view.place(value(&b.centre_of_buoyancy_m));

    let all: Vec<(f64, f64)> = outlines
        .iter()
        .flatten()
        .chain(points.iter().map(|p| &p.1))
        .chain([&mass, &lift])
        .copied()
        .collect();
    let frame = Frame::around(&all);
    let mut shapes = Vec::new();
    for outline in &outlines {
        let spots = outline.iter().map(|at| frame.spot(*at)).collect();
        shapes.push(TrimShape {
            kind: TrimShapeKind::Part,
            spots,
            tap: None,
        });
    }
    // Through the centre of mass, about which it turns.
    let level = frame.spot(mass).y;
    shapes.push(TrimShape {
        kind: TrimShapeKind::Level,
        spots: vec![TrimSpot { x: 0.0, y: level }, TrimSpot { x: 1.0, y: level }],
        tap: None,
    });
    for (n, (kind, at)) in points.iter().enumerate() {
        shapes.push(TrimShape {
            kind: *kind,
            spots: vec![frame.spot(*at)],
            tap: super::trim::to_points(rig, &together(&points, n, &frame)),
        });
    }
    for (kind, at) in [
        (TrimShapeKind::MassCentre, mass),
        (TrimShapeKind::LiftCentre, lift),
    ] {
        shapes.push(TrimShape {
            kind,
            spots: vec![frame.spot(at)],
            tap: None,
        });
    }
    let mut labels = number_labels(&points, &frame);
    labels.push(TrimLabel {
        at: TrimSpot { x: 0.0, y: 0.0 },
        text: view.left.clone(),
    });
    labels.push(TrimLabel {
        at: TrimSpot { x: 1.0, y: 0.0 },
        text: view.right.clone(),
    });
    TrimDrawing {
        title: view.title.clone(),
        height: frame.height as f32,
        shapes,
        labels,
        spoken: spoken(cx, rig, now, view, &named, mass, lift),
    }
}

/// Whether two places share one label, and a finger can't tell them apart.
fn near(a: TrimSpot, b: TrimSpot) -> bool {
    (a.x - b.x).abs() < 0.05 && (a.y - b.y).abs() < 0.06
}

/// The points that lie where this one does in this view, itself among them.
fn together(points: &[(TrimShapeKind, (f64, f64))], n: usize, frame: &Frame) -> Vec<usize> {
    let here = frame.spot(points[n].1);
    let all = points.iter().enumerate();
    all.filter(|(_, (_, at))| near(frame.spot(*at), here))
        .map(|(i, _)| i)
        .collect()
}

/// The number of each point; points that lie on each other in this view share one label.
fn number_labels(points: &[(TrimShapeKind, (f64, f64))], frame: &Frame) -> Vec<TrimLabel> {
    let mut labels: Vec<TrimLabel> = Vec::new();
    for (n, (_, at)) in points.iter().enumerate() {
        let spot = frame.spot(*at);
        match labels.iter_mut().find(|l| near(l.at, spot)) {
            Some(label) => label.text = format!("{}, {}", label.text, n + 1),
            None => labels.push(TrimLabel {
                at: spot,
                text: (n + 1).to_string(),
            }),
        }
    }
    labels
}

fn state(now: &TrimNow, point: usize) -> TrimShapeKind {
    let have = &now.question.hanging[point];
    let want = now.plan.as_ref().ok().map(|p| &p.placement[point]);
    if want.is_some_and(|w| w != have) {
        TrimShapeKind::ToChange
    } else if have.iter().any(|&n| n > 0) {
        TrimShapeKind::Hangs
    } else {
        TrimShapeKind::Free
    }
}

/// Everything in the drawing in words, from left to right.
fn spoken(
    cx: &Cx<'_>,
    rig: &RigFacts,
    now: &TrimNow,
    view: &View,
    parts: &[(String, (f64, f64))],
    mass: (f64, f64),
    lift: (f64, f64),
) -> String {
    let mut texts = vec![format!(
        "{}. {}, {}",
        view.title,
        net_words(cx, now.now.net_n),
        attitude_words(cx, &now.now)
    )];
    let mm = |m: f64| format!("{:.0}\u{a0}mm", (m * 1e3).abs());
    let where_from_mass = |at: (f64, f64)| {
        let (dx, dz) = (at.0 - mass.0, at.1 - mass.1);
        let side = if dx >= 0.0 { &view.right } else { &view.left };
        let height = cx.t(if dz >= 0.0 {
            "a11y_trim_above"
        } else {
            "a11y_trim_below"
        });
        cx.say(
            "a11y_trim_at",
            &[
                ("across", (&mm(dx)).into()),
                ("side", side.into()),
                ("along", (&mm(dz)).into()),
                ("height", (&height).into()),
            ],
        )
    };
    for (name, at) in parts {
        texts.push(format!("{name}: {}", where_from_mass(*at)));
    }
    texts.push(cx.say(
        "a11y_trim_lift",
        &[("where", (&where_from_mass(lift)).into())],
    ));
    for (p, point) in now.question.points.iter().enumerate() {
        let hangs: Vec<String> = now
            .question
            .weights
            .iter()
            .zip(&now.question.hanging[p])
            .filter(|(_, n)| **n > 0)
            .map(|((mass_g, _), n)| cx.units.weights(*mass_g, *n))
            .collect();
        let what = if hangs.is_empty() {
            cx.t("a11y_trim_nothing")
        } else {
            hangs.join(", ")
        };
        let name = rig
            .def
            .mounting_points
            .get(p)
            .map_or("", |d| d.name.as_str());
        texts.push(cx.say(
            "a11y_trim_point",
            &[
                ("number", (&(p + 1).to_string()).into()),
                ("name", name.into()),
                ("what", (&what).into()),
                (
                    "where",
                    (&where_from_mass(view.place(point.position_m))).into(),
                ),
            ],
        ));
    }
    texts.join(". ")
}

/// From metres to widths of the drawing.
struct Frame {
    left: f64,
    top: f64,
    scale: f64,
    from_left: f64,
    from_top: f64,
    height: f64,
}

impl Frame {
    fn around(all: &[(f64, f64)]) -> Frame {
        let fold = |f: fn(f64, f64) -> f64, start: f64, of: &dyn Fn(&(f64, f64)) -> f64| {
            all.iter().map(of).fold(start, f)
        };
        let (left, right) = (
            fold(f64::min, f64::INFINITY, &|p| p.0),
            fold(f64::max, f64::NEG_INFINITY, &|p| p.0),
        );
        let (bottom, top) = (
            fold(f64::min, f64::INFINITY, &|p| p.1),
            fold(f64::max, f64::NEG_INFINITY, &|p| p.1),
        );
        // A rig of one point has no extent: a centimetre keeps the scale finite.
        let (wide, tall) = ((right - left).max(0.01), (top - bottom).max(0.01));
        let room = 1.0 - 2.0 * MARGIN;
        let scale = (room / wide).min((HEIGHT_MAX - 2.0 * MARGIN) / tall);
        let height = (tall * scale + 2.0 * MARGIN).max(HEIGHT_MIN);
        Frame {
            left,
            top,
            scale,
            from_left: (1.0 - wide * scale) / 2.0,
            from_top: (height - tall * scale) / 2.0,
            height,
        }
    }

    fn spot(&self, at: (f64, f64)) -> TrimSpot {
        TrimSpot {
            x: (self.from_left + (at.0 - self.left) * self.scale) as f32,
            y: (self.from_top + (self.top - at.1) * self.scale) as f32,
        }
    }
}
