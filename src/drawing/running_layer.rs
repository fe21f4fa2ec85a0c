//! Static pressure while the unit runs.

use super::ask::{DrawError, Layer};
use super::label::Label;
use super::layer::Pen;
use super::palette as ink;
use super::scene::{Asked, mm, write_labels};
use super::seams_layer::{step, step_words, thresholds};
use super::spots::Frame;
use super::svg::{Svg, polyline};
use crate::allocate::Allocation;
use crate::flow::{FlowState, SeamLaws, running_state};
use crate::seal::mean_laws;
use crate::system::System;

/// Solves the running system, its seams as the allocation found them (means), else as the catalogue has them.
///
/// # Errors
/// [`DrawError::Missing`] where it cannot be prepared or does not settle.
pub(super) fn solved(
    system: &System,
    allocation: Option<&Allocation>,
) -> Result<FlowState, DrawError> {
    let (ln_q25, n) = match allocation {
        Some(a) => mean_laws(a),
        None => system.prior_laws(),
    };
    let laws = SeamLaws {
        ln_q25: &ln_q25,
        n: &n,
    };
    let missing = |why: String| DrawError::Missing {
        layer: Layer::Running.word(),
        needs: format!("a system that can be solved while it runs: {why}"),
    };
    let state = running_state(system, laws).map_err(|error| missing(error.to_string()))?;
    if state.outcome.status.is_solved() {
        Ok(state)
    } else {
        Err(missing("the solve did not settle".into()))
    }
}

/// Draws the layer.
pub(super) fn draw(
    svg: &mut Svg,
    pen: &Pen<'_, '_>,
    state: &FlowState,
    allocation: Option<&Allocation>,
    first: bool,
) -> usize {
    let scene = pen.scene;
    let seams = match allocation {
        Some(a) => format!(
            "seams leaking the means of the allocation, {}",
            super::words::evidence(scene.facts.system, a)
        ),
        None => "nothing was read: seams leaking what such ducts usually leak (means of the \
                 catalogue)"
            .to_owned(),
    };
    let words = format!(
        "Static pressure against outdoors while the unit runs, {seams}{}.",
        state
            .blower_m3_s
            .filter(|q| q.is_finite())
            .map_or_else(String::new, |q| format!(
                "; air through the blower {}",
                super::words::flow(q, scene.ask.units)
            ))
    );
    pen.open(svg, Layer::Running, first, &words);
    let most = state
        .pieces
        .iter()
        .zip(&scene.lines.on)
        .filter(|(_, on)| on.is_some())
        .filter_map(|(piece, _)| *piece)
        .map(|p| p.head_static_pa.abs())
        .filter(|p| p.is_finite())
        .fold(0.0, f64::max);
    let limits = thresholds(most);
    let mut groups: std::collections::BTreeMap<(usize, bool, String), String> =
        std::collections::BTreeMap::new();
    for (edge, piece) in state.pieces.iter().enumerate() {
        let (Some(piece), Some(on)) = (piece, scene.lines.on.get(edge).copied().flatten()) else {
            continue;
        };
        if on.to - on.from < 0.05 || !piece.head_static_pa.is_finite() {
            continue;
        }
        let track = &scene.lines.tracks[on.track];
        let k = step(piece.head_static_pa.abs(), &limits);
        let width = mm((2.0 * track.half_at(0.5 * (on.from + on.to)) - 0.5).clamp(0.6, 6.0));
        let d = polyline(&track.part(on.from, on.to, 0.0));
        groups
            .entry((k, piece.head_static_pa < 0.0, width))
            .or_default()
            .push_str(&d);
    }
    svg.open(
        "g",
        &[
            ("class", "marks"),
            ("fill", "none"),
            ("stroke-linejoin", "round"),
        ],
    );
    for ((k, below, width), d) in &groups {
        let class = format!("pressure k{k}{}", if *below { " below" } else { "" });
        let mut attrs = vec![
            ("class", class.as_str()),
            ("stroke", ink::STEPS[*k]),
            ("stroke-width", width),
        ];
        if *below {
            attrs.push(("stroke-dasharray", "1.4 0.6"));
        }
        svg.path(d, &attrs);
    }
    svg.close("g");
    svg.newline();

    let mut asked = Vec::new();
    let mut ask = |frame, at, clear_mm, pa: f64, priority| {
        if pa.is_finite() {
            asked.push(Asked {
                frame,
                label: Label {
                    lines: vec![pascal(pa)],
                    size_mm: scene.text,
                    bold: true,
                    at,
                    clear_mm,
                    priority,
                    leader: true,
                },
            });
        }
    };
    let middle = |r: super::label::Rect| [0.5 * (r.x0 + r.x1), 0.5 * (r.y0 + r.y1)];
    for (pa, r) in [
        (state.supply_plenum_pa, scene.detail.supply),
        (state.return_plenum_pa, scene.detail.back),
    ] {
        if let Some(pa) = pa {
            ask(Frame::Detail, middle(r), 9.0, pa, 100.0);
        }
    }
    for (run, tracks) in scene.lines.of_run.iter().enumerate() {
        // The last piece of each run: at a register, or at the end of a trunk.
        let last = scene
            .bits
            .iter()
            .rfind(|b| b.run == Some(run) && !b.is_link());
        let (Some(last), Some((_, track))) = (last, tracks) else {
            continue;
        };
        let Some(piece) = state.pieces.get(last.edge.index()).copied().flatten() else {
            continue;
        };
        let track = &scene.lines.tracks[*track];
        let trunk = scene.facts.system.runs[run].opening.is_none();
        let clear = track.end_half.max(track.half_at(track.length())) + 1.2;
        ask(
            Frame::Panel(track.panel),
            track.end(),
            clear,
            piece.head_static_pa,
            if trunk { 50.0 } else { 20.0 },
        );
    }
    let mut taken = pen.taken.to_vec();
    let placed = scene.place(&asked, &[], &mut taken);
    let mut missing = 0;
    write_labels(svg, "labels", &asked, &placed, None, |_| missing += 1);

    svg.open("g", &[("class", "legend")]);
    let mut column = pen.column(svg);
    column.head("Static pressure against outdoors, running");
    column.words(
        "Figures and shades are those at a piece's end away from the unit; pressures are in Pa.",
    );
    let used: std::collections::BTreeSet<usize> = groups.keys().map(|g| g.0).collect();
    let steps: Vec<usize> = used.into_iter().rev().collect();
    let words: Vec<String> = steps
        .iter()
        .map(|&k| step_words(k, &limits, "Pa"))
        .collect();
    column.keys(&words, 9.0, |svg, i, at| {
        let k = steps[i];
        svg.path(
            &polyline(&[[at[0] - 4.0, at[1]], [at[0] + 4.0, at[1]]]),
            &[
                ("class", &format!("k{k}")),
                ("stroke", ink::STEPS[k]),
                ("stroke-width", "1.6"),
            ],
        );
    });
    column.keys(
        &["above outdoors (+)".into(), "below outdoors (−)".into()],
        9.0,
        |svg, i, at| {
            let mut attrs = vec![("stroke", ink::STEPS[4]), ("stroke-width", "1.6")];
            if i == 1 {
                attrs.push(("stroke-dasharray", "1.4 0.6"));
            }
            svg.path(
                &polyline(&[[at[0] - 4.0, at[1]], [at[0] + 4.0, at[1]]]),
                &attrs,
            );
        },
    );
    let missing = pen.left_out(&mut column, missing);
    svg.close("g");
    pen.close(svg);
    missing
}

/// `+38 Pa`, `−12 Pa`.
fn pascal(pa: f64) -> String {
    let size = super::words::three_digits(pa.abs());
    let sign = match pa {
        pa if pa.abs() < 0.005 => "",
        pa if pa < 0.0 => "−",
        _ => "+",
    };
    format!("{sign}{} Pa", if sign.is_empty() { "0" } else { &size })
}

#[cfg(test)]
mod tests {
    use super::pascal;

    #[test]
    fn pressures_have_their_sign() {
        assert_eq!(pascal(38.04), "+38.0 Pa");
        assert_eq!(pascal(-1.26), "−1.3 Pa");
        assert_eq!(pascal(-0.001), "0 Pa");
    }
}
