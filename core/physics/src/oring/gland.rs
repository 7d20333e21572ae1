//! A ring in its gland: stretch, squeeze, fill, and the published limits for static seals.

use serde::Deserialize;
use std::sync::LazyLock;

use super::catalogue::INCH_MM;
use super::{OringError, RingSize, range};

/// A dimension with its plus-minus tolerance, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Toleranced {
    /// Nominal, mm.
    pub mm: f64,
    /// Plus and minus, mm.
    pub tol_mm: f64,
}

impl Toleranced {
    fn least(self) -> f64 {
        self.mm - self.tol_mm
    }
    fn most(self) -> f64 {
        self.mm + self.tol_mm
    }
}

/// Which way the ring is squeezed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum GlandKind {
    /// Between two flat faces, pressure from outside: the ring sits against the inner wall of the groove.
    Face,
    /// Round a cylinder (a port's or plug's barrel): the ring sits on the bottom of the groove.
    Radial,
}

/// A gland as measured or drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gland {
    /// Face or radial.
    pub kind: GlandKind,
    /// What the ring's inside sits on: inner wall (face) or groove bottom (radial), diameter.
    pub seat_diameter: Toleranced,
    /// From groove bottom to the opposite surface, any clearance included.
    pub depth: Toleranced,
    /// Groove width.
    pub width: Toleranced,
}

/// Least, nominal and most of a quantity over all tolerances, in percent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// Everything against it.
    pub min: f64,
    /// With nominal dimensions.
    pub nominal: f64,
    /// Everything for it.
    pub max: f64,
}

/// A published limit that is not kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Broken {
    /// Which quantity: "squeeze", "stretch", "fill", "depth", "width".
    pub quantity: &'static str,
    /// The value at the end of its span that breaks the limit.
    pub value: f64,
    /// The limit.
    pub limit: f64,
    /// Whether the value is too low (else too high).
    pub too_low: bool,
    /// By how much, in the unit below.
    pub by: f64,
    /// "%" or "mm".
    pub unit: &'static str,
    /// Whether nominal dimensions break it too; if not, only the worst tolerances do.
    pub at_nominal: bool,
    /// Where the limit is published.
    pub source: &'static str,
}

/// How a ring sits in a gland.
#[derive(Debug, Clone, PartialEq)]
pub struct Fit {
    /// Inside diameter's stretch, %; negative: the ring is too large for its seat.
    pub stretch: Span,
    /// Section after stretch, mm, nominal: constant rubber volume.
    pub section_stretched_mm: f64,
    /// Squeeze of the free section, %: the convention of published limits.
    pub squeeze: Span,
    /// Squeeze of the section as thinned by stretch, %: what is really left.
    pub squeeze_stretched: Span,
    /// Section's area over the gland's, %.
    pub fill: Span,
    /// Ring's volume over the gland's, %, nominal.
    pub fill_volume: f64,
    /// Limits not kept. Empty: all are.
    pub broken: Vec<Broken>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitRow {
    #[allow(dead_code)]
    id: String,
    kind: String,
    section_in: Option<f64>,
    quantity: String,
    low: Option<f64>,
    high: Option<f64>,
    unit: String,
    source: String,
    #[allow(dead_code)]
    known: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LimitFile {
    limit: Vec<LimitRow>,
}

// Compiled in; a test reads it.
static LIMITS: LazyLock<Vec<LimitRow>> = LazyLock::new(|| {
    toml::from_str::<LimitFile>(include_str!("../../../data/oring_glands.toml"))
        .map(|f| f.limit)
        .unwrap_or_default()
});

/// Section of a torus of inside diameter `inside` and section `section` when its inside is stretched to
/// `seat`, at constant volume: `d'² (D' + d') = d² (D + d)`. All mm.
fn thinned(inside: f64, section: f64, seat: f64) -> f64 {
    if seat <= inside {
        return section;
    }
    let volume = section * section * (inside + section);
    let mut x = section;
    for _ in 0..60 {
        let step = (x * x * (seat + x) - volume) / (2.0 * x * (seat + x) + x * x);
        x -= step;
        if step.abs() < 1e-15 {
            break;
        }
    }
    x
}

/// The limit for a quantity: the row of this kind and section, else of this kind or "static" or "any"
/// without section.
fn limit_for(kind: GlandKind, section_mm: f64, quantity: &str) -> Option<&'static LimitRow> {
    let kind = match kind {
        GlandKind::Face => "face",
        GlandKind::Radial => "radial",
    };
    // A chart's row holds for metric sections beside its own: 1.8 for 1.78, 3.5 or 3.55 for 3.53.
    let near = |inch: f64| (inch * INCH_MM - section_mm).abs() <= 0.03 * section_mm;
    let of = |row: &&LimitRow| row.quantity == quantity;
    LIMITS
        .iter()
        .filter(of)
        .find(|r| r.kind == kind && r.section_in.is_some_and(near))
        .or_else(|| {
            LIMITS.iter().filter(of).find(|r| {
                r.section_in.is_none() && (r.kind == kind || r.kind == "static" || r.kind == "any")
            })
        })
}

/// Stretch, squeeze and fill with the worst stack of tolerances, and which published static limits that
/// breaks.
///
/// Definitions: stretch = (seat − ID)/ID; squeeze = (section − depth)/section; fill = section area over
/// width × depth. Limits: `core/data/oring_glands.toml`, each with its source; where its charts have no
/// row for the section, general ranges apply (squeeze 15–30 %, fill up to 85 %, stretch up to 5 %, and at
/// least 1 % on a cylinder). Stretch, fill and squeeze are checked at the ends of their spans; depth and
/// width at nominal. A gland made by a maker for its own ring may break a chart and be right.
///
/// # Errors
/// [`OringError::Range`] for a dimension that is none, [`OringError::GrooveNarrowerThanSection`].
pub fn fit(ring: &RingSize, gland: &Gland) -> Result<Fit, OringError> {
    let inside = Toleranced {
        mm: ring.inside_mm,
        tol_mm: ring.inside_tol_mm,
    };
    let section = Toleranced {
        mm: ring.section_mm,
        tol_mm: ring.section_tol_mm,
    };
    let (seat, depth, width) = (gland.seat_diameter, gland.depth, gland.width);
    let all = [
        (super::Length::Inside, inside, 1000.0),
        (super::Length::Section, section, 20.0),
        (super::Length::Seat, seat, 2000.0),
        (super::Length::Depth, depth, 50.0),
        (super::Length::Width, width, 100.0),
    ];
    for (quantity, value, max) in all {
        range(quantity, value.mm, 0.1, max)?;
        // A tolerance as large as the dimension leaves nothing.
        range(quantity, value.tol_mm, 0.0, value.mm * 0.9)?;
    }
    if width.mm < section.mm {
        return Err(OringError::GrooveNarrowerThanSection {
            width_mm: width.mm,
            section_mm: section.mm,
        });
    }
    let percent_over = |a: f64, b: f64| (a - b) / b * 100.0;
    let stretch = Span {
        min: percent_over(seat.least(), inside.most()),
        nominal: percent_over(seat.mm, inside.mm),
        max: percent_over(seat.most(), inside.least()),
    };
    let squeezed = |section: f64, depth: f64| (section - depth) / section * 100.0;
    let squeeze = Span {
        min: squeezed(section.least(), depth.most()),
        nominal: squeezed(section.mm, depth.mm),
        max: squeezed(section.most(), depth.least()),
    };
    let section_stretched_mm = thinned(inside.mm, section.mm, seat.mm);
    let squeeze_stretched = Span {
        min: squeezed(
            thinned(inside.least(), section.least(), seat.most()),
            depth.most(),
        ),
        nominal: squeezed(section_stretched_mm, depth.mm),
        max: squeezed(
            thinned(inside.most(), section.most(), seat.least()),
            depth.least(),
        ),
    };
    let quarter_pi = std::f64::consts::FRAC_PI_4;
    let filled = |section: f64, width: f64, depth: f64| {
        quarter_pi * section * section / (width * depth) * 100.0
    };
    let fill = Span {
        min: filled(section.least(), width.most(), depth.most()),
        nominal: filled(section.mm, width.mm, depth.mm),
        max: filled(section.most(), width.least(), depth.least()),
    };
    let on = seat.mm.max(inside.mm);
    let ring_volume = std::f64::consts::PI
        * quarter_pi
        * section_stretched_mm.powi(2)
        * (on + section_stretched_mm);
    let across = match gland.kind {
        GlandKind::Radial => depth.mm,
        GlandKind::Face => width.mm,
    };
    let gland_volume = std::f64::consts::PI * width.mm * depth.mm * (seat.mm + across);
    let mut fit = Fit {
        stretch,
        section_stretched_mm,
        squeeze,
        squeeze_stretched,
        fill,
        fill_volume: ring_volume / gland_volume * 100.0,
        broken: Vec::new(),
    };
    let nominal_only = |mm: f64| Span {
        min: mm,
        nominal: mm,
        max: mm,
    };
    let width_name = match gland.kind {
        GlandKind::Face => "width_liquids",
        GlandKind::Radial => "width",
    };
    for (quantity, row_name, span) in [
        ("squeeze", "squeeze", fit.squeeze),
        ("stretch", "stretch", fit.stretch),
        ("fill", "fill", fit.fill),
        ("depth", "depth", nominal_only(depth.mm)),
        ("width", width_name, nominal_only(width.mm)),
    ] {
        if let Some(row) = limit_for(gland.kind, section.mm, row_name) {
            check(quantity, gland.kind, span, row, &mut fit.broken);
        }
    }
    Ok(fit)
}

fn check(
    quantity: &'static str,
    kind: GlandKind,
    span: Span,
    row: &'static LimitRow,
    broken: &mut Vec<Broken>,
) {
    let (scale, unit) = if row.unit == "in" {
        (INCH_MM, "mm")
    } else {
        (1.0, "%")
    };
    // Rounded inches: half of the last printed digit is no breach.
    let grace = if row.unit == "in" {
        0.0005 * INCH_MM
    } else {
        0.0
    };
    let source = row.source.as_str();
    // A face seal needs no stretch to stay in its groove.
    let low = row
        .low
        .filter(|_| !(quantity == "stretch" && kind == GlandKind::Face));
    if let Some(limit) = low.map(|l| l * scale)
        && span.min < limit - grace
    {
        broken.push(Broken {
            quantity,
            value: span.min,
            limit,
            too_low: true,
            by: limit - span.min,
            unit,
            at_nominal: span.nominal < limit - grace,
            source,
        });
    }
    if let Some(limit) = row.high.map(|h| h * scale)
        && span.max > limit + grace
    {
        broken.push(Broken {
            quantity,
            value: span.max,
            limit,
            too_low: false,
            by: span.max - limit,
            unit,
            at_nominal: span.nominal > limit + grace,
            source,
        });
    }
}

#[cfg(test)]
mod tests {
    use super::super::as568;
    use super::*;
    use proptest::prelude::*;

    fn exact(mm: f64) -> Toleranced {
        Toleranced { mm, tol_mm: 0.0 }
    }

    fn gland(kind: GlandKind, seat: f64, depth: f64, width: f64) -> Gland {
        Gland {
            kind,
            seat_diameter: exact(seat),
            depth: exact(depth),
            width: exact(width),
        }
    }

    #[test]
    fn the_file_is_read() {
        assert!(LIMITS.len() >= 40);
        for row in LIMITS.iter() {
            assert!(["face", "radial", "static", "any"].contains(&row.kind.as_str()));
            assert!(row.low.is_some() || row.high.is_some(), "{}", row.id);
            assert!(row.unit == "in" || row.unit == "percent");
            assert!(!row.source.is_empty() && !row.known.is_empty());
        }
    }

    #[test]
    fn a_textbook_radial_gland_keeps_all_limits() {
        // -228 (56.74 × 3.53) on a groove bottom 3 % larger, chart depth and width.
        let ring = as568("228").unwrap().size();
        let g = gland(
            GlandKind::Radial,
            ring.inside_mm * 1.03,
            0.112 * 25.4,
            0.190 * 25.4,
        );
        let got = fit(&ring, &g).unwrap();
        assert!(got.broken.is_empty(), "{:?}", got.broken);
        assert!(got.section_stretched_mm < ring.section_mm);
        assert!(got.squeeze_stretched.nominal < got.squeeze.nominal);
    }

    #[test]
    fn what_is_broken_is_named_with_by_how_much() {
        let ring = as568("228").unwrap().size();
        let g = gland(GlandKind::Radial, ring.inside_mm * 1.08, 3.4, 0.190 * 25.4);
        let got = fit(&ring, &g).unwrap();
        let stretch = got.broken.iter().find(|b| b.quantity == "stretch").unwrap();
        assert!(
            !stretch.too_low && stretch.at_nominal && stretch.by > 3.0,
            "{stretch:?}"
        );
        let squeeze = got.broken.iter().find(|b| b.quantity == "squeeze").unwrap();
        assert!(
            squeeze.too_low && squeeze.limit > 15.9 && squeeze.by > 10.0,
            "{squeeze:?}"
        );
        assert!(squeeze.source.contains("Chart 4-1"));
        let depth = got.broken.iter().find(|b| b.quantity == "depth").unwrap();
        assert!((depth.by - (3.4 - 0.113 * 25.4)).abs() < 1e-9);
        // Only the worst tolerances break this one.
        let mut g = gland(GlandKind::Face, ring.inside_mm, 0.104 * 25.4, 0.180 * 25.4);
        g.depth.tol_mm = 0.25;
        let got = fit(&ring, &g).unwrap();
        assert!(
            got.broken
                .iter()
                .any(|b| b.quantity == "squeeze" && !b.at_nominal),
            "{got:?}"
        );
    }

    #[test]
    fn bad_glands_are_refused() {
        let ring = as568("228").unwrap().size();
        let e = fit(&ring, &gland(GlandKind::Face, 57.0, 2.7, 3.0))
            .unwrap_err()
            .to_string();
        assert!(e.contains("3 mm wide") && e.contains("3.53"), "{e}");
        let e = fit(&ring, &gland(GlandKind::Face, 57.0, 0.0, 5.0))
            .unwrap_err()
            .to_string();
        assert!(e.contains("gland depth is 0 mm"), "{e}");
        assert!(fit(&ring, &gland(GlandKind::Face, f64::NAN, 2.7, 5.0)).is_err());
    }

    proptest! {
        /// Nominal lies in every span, and a deeper gland never squeezes more.
        #[test]
        fn spans_hold_their_nominal(at in 0usize..349, st in -0.01..0.06f64, sq in 0.05..0.35f64, w in 1.1..1.7f64, tol in 0.0..0.1f64) {
            let ring = super::super::as568_sizes()[at].size();
            let d = ring.section_mm;
            let g = Gland {
                kind: if at % 2 == 0 { GlandKind::Face } else { GlandKind::Radial },
                seat_diameter: Toleranced { mm: ring.inside_mm * (1.0 + st), tol_mm: tol },
                depth: Toleranced { mm: d * (1.0 - sq), tol_mm: tol / 2.0 },
                width: Toleranced { mm: d * w, tol_mm: tol },
            };
            let got = fit(&ring, &g).unwrap();
            for span in [got.stretch, got.squeeze, got.squeeze_stretched, got.fill] {
                prop_assert!(span.min <= span.nominal && span.nominal <= span.max, "{span:?}");
            }
            // Rubber keeps its volume.
            let seat = g.seat_diameter.mm.max(ring.inside_mm);
            let s = got.section_stretched_mm;
            let before = d * d * (ring.inside_mm + d);
            prop_assert!((s * s * (seat + s) / before - 1.0).abs() < 1e-12);
            let mut deeper = g;
            deeper.depth.mm += 0.05;
            prop_assert!(fit(&ring, &deeper).unwrap().squeeze.nominal < got.squeeze.nominal);
        }
    }
}
