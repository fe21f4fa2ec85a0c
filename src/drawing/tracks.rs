//! Runs as lines on the sheet, along which marks are spread.

use super::ask::View;
use super::geometry::{Bit, across, direction, off};
use super::levels::Levels;
use super::project::nearness;
use super::sheet::Layout;
use crate::math::hypot;
use crate::system::{PlaceIdx, RunIdx, Side, System};

/// Radius of a riser's circle, mm.
pub(super) const RISER_R: f64 = 1.5;
/// Narrowest duct, mm.
const NARROWEST: f64 = 0.8;

/// A part of a run on one panel.
#[derive(Debug, Clone)]
pub(super) struct Track {
    pub panel: usize,
    pub run: RunIdx,
    pub points: Vec<[f64; 2]>,
    /// Length up to each point, mm.
    pub cum: Vec<f64>,
    /// Half the duct's width up to a distance, mm.
    halves: Vec<(f64, f64)>,
    /// Marks stand between these distances, mm.
    pub low: f64,
    pub high: f64,
    /// Ends in a riser.
    pub rises: bool,
    /// Half the size of the symbol at its end, mm.
    pub end_half: f64,
}

impl Track {
    fn new(panel: usize, run: RunIdx, at: [f64; 2]) -> Track {
        Track {
            panel,
            run,
            points: vec![at],
            cum: vec![0.0],
            halves: Vec::new(),
            low: 0.0,
            high: 0.0,
            rises: false,
            end_half: 0.0,
        }
    }

    /// Length on the sheet, mm.
    pub fn length(&self) -> f64 {
        self.cum.last().copied().unwrap_or(0.0)
    }

    /// Its last point.
    pub fn end(&self) -> [f64; 2] {
        self.points.last().copied().unwrap_or([0.0; 2])
    }

    fn go(&mut self, to: [f64; 2], half: f64) {
        let from = self.end();
        let step = hypot(to[0] - from[0], to[1] - from[1]);
        if step > 1e-6 {
            self.cum.push(self.length() + step);
            self.points.push(to);
        }
        self.halves.push((self.length(), half));
    }

    /// Half the duct's width at a distance, mm.
    pub fn half_at(&self, s: f64) -> f64 {
        self.halves
            .iter()
            .find(|h| h.0 >= s - 1e-6)
            .or(self.halves.last())
            .map_or(0.5 * NARROWEST, |h| h.1)
    }

    /// The point at a distance and the way it goes there.
    pub fn at(&self, s: f64) -> ([f64; 2], [f64; 2]) {
        let n = self.points.len();
        if n < 2 {
            return (self.end(), [1.0, 0.0]);
        }
        let i = self.cum.partition_point(|c| *c < s).clamp(1, n - 1);
        let along = direction(self.points[i - 1], self.points[i]).unwrap_or([1.0, 0.0]);
        let s = s.clamp(self.cum[i - 1], self.cum[i]);
        (off(self.points[i - 1], along, s - self.cum[i - 1]), along)
    }

    /// The part between two distances, moved to its right by `aside`, mm.
    pub fn part(&self, from: f64, to: f64, aside: f64) -> Vec<[f64; 2]> {
        let mut stops = vec![from];
        stops.extend(
            self.cum
                .iter()
                .copied()
                .filter(|c| *c > from + 1e-6 && *c < to - 1e-6),
        );
        stops.push(to);
        let mut points = Vec::with_capacity(stops.len());
        for pair in stops.windows(2) {
            let (_, along) = self.at(0.5 * (pair[0] + pair[1]));
            for s in pair {
                let (p, _) = self.at(*s);
                let p = off(p, across(along), aside);
                if points.last() != Some(&p) {
                    points.push(p);
                }
            }
        }
        points
    }
}

/// Where a piece lies on a track.
#[derive(Debug, Clone, Copy)]
pub(super) struct On {
    pub track: usize,
    pub from: f64,
    pub to: f64,
    /// On a riser: seen as a point in the plan.
    pub upright: bool,
}

/// A duct as drawn: one width, one side.
#[derive(Debug, Clone)]
pub(super) struct Duct {
    pub panel: usize,
    pub points: Vec<[f64; 2]>,
    pub half: f64,
    pub side: Side,
    pub run: RunIdx,
    pub place: PlaceIdx,
    pub near: f64,
    pub edges: Vec<usize>,
    /// Where the run goes over into a narrower duct: two points on its axis with half the width at each.
    pub taper: Option<[([f64; 2], f64); 2]>,
}

impl Duct {
    /// Order of drawing: what is higher is drawn later; in a layer of one height supply over return.
    pub fn rank(&self, view: View) -> (i64, bool) {
        (rank(self.near, view), self.side == Side::Supply)
    }
}

/// The layer of a nearness to the eye, the farthest first.
pub(super) fn rank(near: f64, view: View) -> i64 {
    let step = match view {
        View::Plan => 0.4,
        View::Isometric => 1.5,
    };
    (near / step).round() as i64
}

/// A duct that leaves a level.
#[derive(Debug, Clone)]
pub(super) struct Riser {
    pub run: RunIdx,
    pub from: (usize, [f64; 2]),
    pub to: (usize, [f64; 2]),
    pub rise_m: f64,
}

/// All lines of a sheet.
#[derive(Debug, Clone, Default)]
pub(super) struct Lines {
    pub tracks: Vec<Track>,
    /// Where each piece lies, in the order of the graph.
    pub on: Vec<Option<On>>,
    pub ducts: Vec<Duct>,
    pub risers: Vec<Riser>,
    /// Thin joins: panel and ends.
    pub links: Vec<(usize, [[f64; 2]; 2])>,
    /// First track of each run, and the last.
    pub of_run: Vec<Option<(usize, usize)>>,
}

/// Half the width of a piece on the sheet, mm.
pub(super) fn half_mm(bit: &Bit, layout: &Layout) -> f64 {
    (0.5 * bit.width_m * layout.mm_per_m).max(0.5 * NARROWEST)
}

/// Draws the runs as lines.
pub(super) fn lines(
    system: &System,
    bits: &[Bit],
    levels: &Levels,
    layout: &Layout,
    view: View,
) -> Lines {
    let mut all = Lines {
        on: vec![None; bits.len()],
        of_run: vec![None; system.runs.len()],
        ..Lines::default()
    };
    let mut by_run: Vec<Vec<&Bit>> = vec![Vec::new(); system.runs.len()];
    for bit in bits {
        if let Some(run) = bit.run {
            by_run[run].push(bit);
        }
    }
    for (run, chain) in by_run.iter().enumerate() {
        one_run(&mut all, run, chain, levels, layout, view);
    }
    ends(&mut all, system, bits, levels, layout, view);
    super::taper::tapers(&mut all.ducts);
    all
}

fn one_run(
    all: &mut Lines,
    run: RunIdx,
    chain: &[&Bit],
    levels: &Levels,
    layout: &Layout,
    view: View,
) {
    let first_track = all.tracks.len();
    let mut last: Option<[f64; 3]> = None;
    let mut open = false;
    let mut climbed = 0.0;
    let mut was_riser = false;
    for bit in chain {
        let (from, to) = (levels.tail(bit), levels.head(bit));
        let (a, b) = (
            layout.panels[from].point(bit.tail),
            layout.panels[to].point(bit.head),
        );
        let half = half_mm(bit, layout);
        if bit.is_link() && bit.length_apart() > 1e-6 {
            if from == to {
                all.links.push((from, [a, b]));
            } else {
                all.risers.push(Riser {
                    run,
                    from: (from, a),
                    to: (to, b),
                    rise_m: bit.rise_m(),
                });
            }
            if !open {
                all.tracks.push(Track::new(from, run, a));
                open = true;
            }
            let track = all.tracks.len() - 1;
            let s = all.tracks[track].length();
            all.on[bit.edge.index()] = Some(On {
                track,
                from: s,
                to: s,
                upright: false,
            });
            last = Some(bit.head);
            continue;
        }
        let joins_on = last.is_some_and(|p| near(p, bit.tail));
        if !open || !joins_on || all.tracks.last().is_none_or(|t| t.panel != from) {
            all.tracks.push(Track::new(from, run, a));
            open = true;
        }
        last = Some(bit.head);
        let track = all.tracks.len() - 1;
        let s = all.tracks[track].length();
        let crosses = from != to;
        if bit.is_steep() {
            climbed += bit.rise_m();
        } else if bit.level_m() > 1e-6 {
            climbed = 0.0;
        }
        if crosses && bit.is_steep() {
            all.on[bit.edge.index()] = Some(On {
                track,
                from: s,
                to: s,
                upright: true,
            });
            all.tracks[track].rises = true;
            match all.risers.last_mut().filter(|r| was_riser && r.run == run) {
                Some(riser) => {
                    riser.rise_m = climbed;
                    riser.to = (to, b);
                }
                None => all.risers.push(Riser {
                    run,
                    from: (from, a),
                    to: (to, b),
                    rise_m: climbed,
                }),
            }
            was_riser = true;
            all.tracks.push(Track::new(to, run, b));
            continue;
        }
        let here = layout.panels[from].point(bit.head);
        all.tracks[track].go(here, half);
        let end = all.tracks[track].length();
        all.on[bit.edge.index()] = Some(On {
            track,
            from: s,
            to: end,
            upright: false,
        });
        if end > s + 1e-6 {
            was_riser = false;
            add_duct(all, bit, run, from, [a, here], half, view);
        }
        if crosses {
            // It slants: it is drawn to its end here and goes on from the same spot there.
            all.tracks[track].rises = true;
            all.risers.push(Riser {
                run,
                from: (from, here),
                to: (to, b),
                rise_m: bit.rise_m(),
            });
            all.tracks.push(Track::new(to, run, b));
        }
    }
    if all.tracks.len() > first_track {
        all.of_run[run] = Some((first_track, all.tracks.len() - 1));
    }
}

fn add_duct(
    all: &mut Lines,
    bit: &Bit,
    run: RunIdx,
    panel: usize,
    [a, b]: [[f64; 2]; 2],
    half: f64,
    view: View,
) {
    let edge = bit.edge.index();
    let near = 0.5 * (nearness(view, bit.tail) + nearness(view, bit.head));
    if let Some(duct) = all.ducts.last_mut()
        && duct.run == run
        && duct.panel == panel
        && (duct.half - half).abs() < 1e-9
        && duct.place == bit.place
        && duct
            .points
            .last()
            .is_some_and(|p| hypot(p[0] - a[0], p[1] - a[1]) < 1e-6)
    {
        duct.points.push(b);
        duct.edges.push(edge);
        duct.near = duct.near.max(near);
        return;
    }
    all.ducts.push(Duct {
        panel,
        points: vec![a, b],
        half,
        side: bit.side,
        run,
        place: bit.place,
        near,
        edges: vec![edge],
        taper: None,
    });
}

/// Where marks may stand: not inside the duct that a run leaves, not on the symbol at its end.
fn ends(
    all: &mut Lines,
    system: &System,
    bits: &[Bit],
    levels: &Levels,
    layout: &Layout,
    view: View,
) {
    // Where each run begins, and the pieces at each junction.
    let mut starts = vec![None; system.runs.len()];
    let mut at_node: Vec<Vec<&Bit>> = vec![Vec::new(); system.graph.node_count()];
    for bit in bits {
        if let Some(run) = bit.run {
            starts[run].get_or_insert(bit.tail_node);
        }
        for node in [bit.tail_node, bit.head_node] {
            at_node[node.index()].push(bit);
        }
    }
    for (run, start) in starts.into_iter().enumerate() {
        let Some((first, last)) = all.of_run[run] else {
            continue;
        };
        let (_, along) = all.tracks[first].at(0.0);
        let mut inside = 0.0_f64;
        if let Some(node) = start.filter(|_| all.tracks[first].length() > 0.0) {
            for other in at_node[node.index()].iter().filter(|b| b.run != Some(run)) {
                let panel = &layout.panels[levels.tail(other)];
                let way = direction(panel.point(other.tail), panel.point(other.head));
                let parallel = way.is_some_and(|w| (w[0] * along[0] + w[1] * along[1]).abs() > 0.9);
                if !parallel || other.run.is_none() {
                    inside = inside.max(half_mm(other, layout));
                }
            }
        }
        let track = &mut all.tracks[first];
        track.low = inside.min(0.6 * track.length());
        for t in first..=last {
            let track = &mut all.tracks[t];
            track.high = track.length();
            if track.rises && view == View::Plan {
                track.end_half = RISER_R;
                track.high = (track.high - RISER_R).max(track.low);
            }
        }
        let track = &mut all.tracks[last];
        if let Some(opening) = system.runs[run].opening {
            let (_, along) = track.at(track.length());
            let [w, h] = super::symbols::register_mm(&system.openings[opening], layout);
            track.end_half = 0.5 * (along[0].abs() * w + along[1].abs() * h);
            track.high = (track.high - track.end_half - 0.4).max(track.low);
        }
    }
}

impl Bit {
    /// Distance from tail to head, m.
    fn length_apart(&self) -> f64 {
        hypot(self.level_m(), self.rise_m())
    }
}

fn near(a: [f64; 3], b: [f64; 3]) -> bool {
    (0..3).all(|i| (a[i] - b[i]).abs() < 1e-6)
}
