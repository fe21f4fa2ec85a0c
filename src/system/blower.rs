//! The blower's curve, as given or by its kind.

use super::notes::{ESTIMATE, Notes};
use super::types::{Blower, BlowerKind};
use crate::quantity::{Flow, Pressure, UnitSystem};
use crate::sketch::{self, Diagnostic, FlowAt, Marked};

/// A shape: static pressure rise, Pa, and flow, m³/s.
type Shape = [(f64, f64); 5];

/// A split-capacitor motor on one speed tap, for a system of 10.5 kW. From memory of many curves; synthetic, of no
/// particular machine.
const FIXED_SPEED: Shape = [
    (25.0, 0.66),
    (75.0, 0.63),
    (125.0, 0.58),
    (175.0, 0.52),
    (225.0, 0.44),
];

/// A brushless motor that holds its flow, for the same system. From memory; synthetic, of no particular machine.
const CONSTANT_FLOW: Shape = [
    (25.0, 0.57),
    (75.0, 0.57),
    (125.0, 0.57),
    (175.0, 0.565),
    (225.0, 0.53),
];

/// Pressure rise at which a shape gives the airflow, Pa: the common rating point of 0.5 inwc.
const RATED_PA: f64 = 125.0;

/// Words for where a shape comes from.
const SHAPE_SOURCE: &str = "from memory; synthetic, of no particular machine";

/// The curve of the blower: the points of the person, or a shape drawn through the airflow at [`RATED_PA`].
pub(super) fn curve(
    said: Option<&Marked<sketch::Blower>>,
    airflow_m3_s: f64,
    units: UnitSystem,
    notes: &mut Notes,
) -> Blower {
    let (kind, shape, words) = match said.map(|blower| &blower.value) {
        Some(sketch::Blower::Points(points)) => return given(points, units, notes),
        Some(sketch::Blower::ConstantFlow) => {
            (BlowerKind::ConstantFlow, CONSTANT_FLOW, "constant-flow")
        }
        Some(sketch::Blower::FixedSpeed) | None => {
            (BlowerKind::FixedSpeed, FIXED_SPEED, "split-capacitor")
        }
    };
    if said.is_none() {
        notes.assume("air handler", "blower: fixed speed", ESTIMATE);
    }
    notes.assume(
        "air handler",
        &format!(
            "blower curve: the shape of a {words} motor, {} at {RATED_PA} Pa",
            Flow::new(airflow_m3_s).show(units)
        ),
        SHAPE_SOURCE,
    );
    Blower {
        kind,
        points: scaled(&shape, airflow_m3_s),
        source: format!("shape of a {words} motor, {SHAPE_SOURCE}"),
    }
}

/// A shape scaled in flow so that it gives the airflow at [`RATED_PA`].
fn scaled(shape: &Shape, airflow_m3_s: f64) -> Vec<(f64, f64)> {
    let rated = shape
        .iter()
        .find(|(rise, _)| *rise >= RATED_PA)
        .map_or(shape[0].1, |(_, q)| *q);
    shape
        .iter()
        .map(|(rise, q)| (*rise, q * airflow_m3_s / rated))
        .collect()
}

/// The points of the person, by rise, without those on a rising part.
fn given(points: &[Marked<FlowAt>], units: UnitSystem, notes: &mut Notes) -> Blower {
    let (kept, cut) = falling(points);
    if !cut.is_empty() {
        let words: Vec<String> = cut
            .iter()
            .map(|p| {
                format!(
                    "{} at {}",
                    p.value.flow.show(units),
                    shown(p.value.pressure, units)
                )
            })
            .collect();
        notes.warn(
            "blower-curve-rises",
            format!(
                "the blower's flow rises with pressure at {}: the curve is cut there, since no flow can be trusted on a rising \
                 part; read those points again",
                words.join(", ")
            ),
        );
    }
    if let ([only], Some(first)) = (kept.as_slice(), points.first()) {
        notes.wrong(
            Diagnostic::new(
                "E0239",
                first.at,
                "the blower's flow rises with pressure all along its points",
            )
            .label("a point with less flow at less pressure")
            .also(only.at, "the peak")
            .hint(
                "a blower gives less flow at more pressure: were flow and pressure changed round?",
            ),
        );
    }
    Blower {
        kind: BlowerKind::Points,
        points: kept
            .iter()
            .map(|p| (p.value.pressure.si(), p.value.flow.si()))
            .collect(),
        source: super::notes::SAID.to_owned(),
    }
}

/// Points with the rise ascending: those on the falling part of the curve, and those cut off.
///
/// A point lies on a rising part when another has both a higher rise and more flow: then the curve goes up between
/// them, seen either way, and what stands before its peak is cut.
fn falling(points: &[Marked<FlowAt>]) -> (Vec<&Marked<FlowAt>>, Vec<&Marked<FlowAt>>) {
    let mut sorted: Vec<&Marked<FlowAt>> = points.iter().collect();
    sorted.sort_by(|a, b| a.value.pressure.si().total_cmp(&b.value.pressure.si()));
    let mut most = f64::NEG_INFINITY;
    let mut on_falling: Vec<bool> = sorted
        .iter()
        .rev()
        .map(|p| {
            let q = p.value.flow.si();
            let keeps = q >= most;
            most = most.max(q);
            keeps
        })
        .collect();
    on_falling.reverse();
    let pick = |want: bool| {
        sorted
            .iter()
            .zip(&on_falling)
            .filter(|(_, keeps)| **keeps == want)
            .map(|(p, _)| *p)
            .collect()
    };
    (pick(true), pick(false))
}

/// A pressure as a blower's tables have it.
pub(super) fn shown(pressure: Pressure, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => pressure
            .show_in("in. w.g.", 3)
            .unwrap_or_else(|| pressure.show(units)),
        UnitSystem::Si => pressure.show(units),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sketch::Span;

    fn points(list: &[(f64, f64)]) -> Vec<Marked<FlowAt>> {
        list.iter()
            .map(|(rise, q)| {
                Marked::new(
                    FlowAt {
                        flow: Flow::new(*q),
                        pressure: Pressure::new(*rise),
                    },
                    Span::default(),
                )
            })
            .collect()
    }

    fn made(list: &[(f64, f64)]) -> (Blower, Notes) {
        let mut notes = Notes::default();
        let said = Marked::new(sketch::Blower::Points(points(list)), Span::default());
        let blower = curve(Some(&said), 0.5, UnitSystem::Si, &mut notes);
        (blower, notes)
    }

    #[test]
    fn a_shape_gives_the_airflow_at_half_an_inch() {
        for said in [
            None,
            Some(Marked::new(sketch::Blower::ConstantFlow, Span::default())),
        ] {
            let blower = curve(said.as_ref(), 0.5, UnitSystem::Si, &mut Notes::default());
            let at = |rise: f64| {
                let found = blower.points.iter().find(|p| (p.0 - rise).abs() < 1e-9);
                found.map(|p| p.1)
            };
            assert!(at(125.0).is_some_and(|q| (q - 0.5).abs() < 1e-12));
        }
        // 0.44 of 0.58: the shape of the split-capacitor motor keeps its proportions
        let fixed = curve(None, 0.58, UnitSystem::Si, &mut Notes::default());
        assert!((fixed.points[4].1 - 0.44).abs() < 1e-12);
    }

    #[test]
    fn points_are_sorted_by_rise() {
        let (blower, notes) = made(&[(200.0, 0.42), (50.0, 0.6), (125.0, 0.55)]);
        assert_eq!(
            blower.points,
            [(50.0, 0.6), (125.0, 0.55), (200.0, 0.42)].to_vec()
        );
        assert!(notes.warnings.is_empty() && notes.problems.is_empty());
    }

    #[test]
    fn a_rising_part_is_cut_at_the_peak_with_a_warning() {
        // low flow at low pressure, and the stall before shut-off: both rise
        for (list, kept) in [
            (
                [(25.0, 0.50), (75.0, 0.60), (150.0, 0.40)],
                [(75.0, 0.60), (150.0, 0.40)],
            ),
            (
                [(150.0, 0.60), (200.0, 0.10), (250.0, 0.30)],
                [(150.0, 0.60), (250.0, 0.30)],
            ),
        ] {
            let (blower, notes) = made(&list);
            assert_eq!(blower.points, kept.to_vec());
            assert_eq!(notes.warnings[0].code, "blower-curve-rises");
        }
    }

    #[test]
    fn equal_flows_at_rising_pressures_are_a_constant_flow() {
        let (blower, notes) = made(&[(50.0, 0.5), (100.0, 0.5), (200.0, 0.45)]);
        assert_eq!(blower.points.len(), 3);
        assert!(notes.warnings.is_empty());
    }

    #[test]
    fn a_curve_that_only_rises_is_refused() {
        let (_, notes) = made(&[(50.0, 0.4), (100.0, 0.5)]);
        assert_eq!(notes.problems[0].code, "E0239");
    }
}
