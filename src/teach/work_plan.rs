//! A learner's plan: what it takes away, and the most that as many seams or as many minutes can.

use super::exercise::SeamTruth;
use super::sealed::mean_part;
use crate::catalog::opening::opening_area;
use crate::flow::REFERENCE_PA;
use crate::system::{SeamIdx, System};

/// With at most so many places every choice of places is tried.
const FEW_PLACES: usize = 6;

/// A plan against the truth.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanMarks {
    /// What the learner seals, in the learner's order; seams that cannot be sealed are in `refused`.
    pub sealed: Vec<Sealing>,
    /// Seams named that nobody seals, and why.
    pub refused: Vec<(SeamIdx, String)>,
    /// Mean cut in the total set-up, m³/s.
    pub cut_m3_s: f64,
    /// Minutes by the crew's figures, getting to places and setting up included.
    pub minutes: f64,
    /// Minutes that the learner wrote down.
    pub said_minutes: Option<f64>,
    /// The most that the same number of seams can cut, m³/s, and those seams, the largest cut first.
    pub best_by_number: (f64, Vec<SeamIdx>),
    /// The most found for the same minutes, m³/s, its minutes, and those seams.
    pub best_by_minutes: (f64, f64, Vec<SeamIdx>),
}

impl PlanMarks {
    /// Part of what the same number of seams can cut; `None` where that is nothing, as for a plan that seals no seam.
    #[must_use]
    pub fn score_by_number(&self) -> Option<f64> {
        part(self.cut_m3_s, self.best_by_number.0)
    }

    /// Part of the most found for the same minutes; `None` where that is nothing.
    #[must_use]
    pub fn score_by_minutes(&self) -> Option<f64> {
        part(self.cut_m3_s, self.best_by_minutes.0)
    }
}

fn part(of: f64, whole: f64) -> Option<f64> {
    (whole > 0.0).then(|| of / whole)
}

/// A seam sealed by the method that takes away most.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sealing {
    /// The seam.
    pub seam: SeamIdx,
    /// Index in [`Crew::methods`](crate::system::Crew::methods).
    pub method: usize,
    /// Mean cut in the total set-up, m³/s.
    pub cut_m3_s: f64,
    /// Minutes without getting to the place and setting up.
    pub minutes: f64,
    /// Place to be gone to; `None` for work from the room.
    pub place: Option<usize>,
}

/// Marks a plan: the seams that a learner would seal.
///
/// Each seam is sealed by the method that takes most of its true leakage away on average ([`mean_part`]); one that hangs
/// open is put back first and then leaks as its joint type does. Cuts are taken as adding up. The best for the same
/// minutes is found by taking the best cut for its time, for every choice of places where there are few; it is not proved.
pub(super) fn plan_marks(
    system: &System,
    truth: &[SeamTruth],
    named: &[SeamIdx],
    said_minutes: Option<f64>,
) -> PlanMarks {
    let best: Vec<Option<Sealing>> = (0..system.seams.len())
        .map(|seam| best_way(system, truth, seam))
        .collect();
    let sealed: Vec<Sealing> = named.iter().filter_map(|&seam| best[seam]).collect();
    let refused = named
        .iter()
        .filter(|&&seam| best[seam].is_none())
        .map(|&seam| (seam, why_not(system, seam)))
        .collect();
    let cut = sealed.iter().map(|one| one.cut_m3_s).sum();
    let minutes = minutes(system, &sealed);
    let mut all: Vec<Sealing> = best.into_iter().flatten().collect();
    all.sort_by(|a, b| b.cut_m3_s.total_cmp(&a.cut_m3_s).then(a.seam.cmp(&b.seam)));
    let by_number = &all[..named.len().min(all.len())];
    PlanMarks {
        best_by_number: (
            by_number.iter().map(|one| one.cut_m3_s).sum(),
            by_number.iter().map(|one| one.seam).collect(),
        ),
        best_by_minutes: within_minutes(system, &all, minutes, &sealed),
        refused,
        cut_m3_s: cut,
        minutes,
        said_minutes,
        sealed,
    }
}

/// The way that takes away most of a seam's true leakage; `None` where nobody seals it.
fn best_way(system: &System, truth: &[SeamTruth], seam: SeamIdx) -> Option<Sealing> {
    let of = &system.seams[seam];
    let now = &truth[seam];
    let crew = &system.crew;
    let mut best: Option<Sealing> = None;
    for way in system.ways(seam) {
        let method = &crew.methods[way.method];
        let closed_q25 = if now.open {
            of.mean_q25_m3_s.min(now.q25_m3_s)
        } else {
            now.q25_m3_s
        };
        let gap = opening_area(closed_q25, REFERENCE_PA) / way.joint_m.max(0.05);
        let from_inside = method.from_inside;
        if method.gap_to_m < gap || (from_inside && (!crew.from_inside || now.open)) {
            continue;
        }
        let left = now.test_m3_s * closed_q25 / now.q25_m3_s * mean_part(method);
        let again = if now.open { crew.reattach_minutes } else { 0.0 };
        let found = Sealing {
            seam,
            method: way.method,
            cut_m3_s: now.test_m3_s - left,
            minutes: way.minutes(method) + again,
            place: (!from_inside && !way.from_room).then_some(of.place),
        };
        if best.is_none_or(|best| found.cut_m3_s > best.cut_m3_s) {
            best = Some(found);
        }
    }
    best
}

fn why_not(system: &System, seam: SeamIdx) -> String {
    let left = system.crew.left.get(seam).cloned().flatten();
    left.unwrap_or_else(|| "its gap is too wide for every method that serves it".to_owned())
}

/// Minutes of sealing some seams: each place gone to once, each method set up once.
fn minutes(system: &System, sealed: &[Sealing]) -> f64 {
    let mut so_far = SoFar::new(system);
    for one in sealed {
        so_far.add(one);
    }
    so_far.minutes
}

struct SoFar<'s> {
    system: &'s System,
    places: Vec<bool>,
    methods: Vec<bool>,
    minutes: f64,
}

impl<'s> SoFar<'s> {
    fn new(system: &'s System) -> Self {
        SoFar {
            system,
            places: vec![false; system.places.len()],
            methods: vec![false; system.crew.methods.len()],
            minutes: 0.0,
        }
    }

    fn added(&self, one: &Sealing) -> f64 {
        let crew = &self.system.crew;
        let place = one.place.filter(|&place| !self.places[place]);
        let place = place.and_then(|place| crew.place_minutes.get(place));
        let once = if self.methods[one.method] {
            0.0
        } else {
            crew.methods[one.method].minutes_once
        };
        one.minutes + place.copied().unwrap_or(0.0) + once
    }

    fn add(&mut self, one: &Sealing) {
        self.minutes += self.added(one);
        if let Some(place) = one.place {
            self.places[place] = true;
        }
        self.methods[one.method] = true;
    }
}

/// The most found within some minutes; never less than the learner's own.
fn within_minutes(
    system: &System,
    all: &[Sealing],
    most: f64,
    own: &[Sealing],
) -> (f64, f64, Vec<SeamIdx>) {
    let n_places = system.places.len();
    let choices = if n_places <= FEW_PLACES {
        1_usize << n_places
    } else {
        1
    };
    let mut best = (
        own.iter().map(|one| one.cut_m3_s).sum::<f64>(),
        most,
        own.iter().map(|one| one.seam).collect::<Vec<_>>(),
    );
    for choice in 0..choices {
        // With many places: all of them.
        let allowed =
            |one: &Sealing| choices == 1 || one.place.is_none_or(|place| choice >> place & 1 == 1);
        let found = greedy(system, all.iter().filter(|one| allowed(one)), most);
        if found.0 > best.0 {
            best = found;
        }
    }
    best
}

fn greedy<'a>(
    system: &System,
    from: impl Iterator<Item = &'a Sealing>,
    most: f64,
) -> (f64, f64, Vec<SeamIdx>) {
    let mut left: Vec<&Sealing> = from.filter(|one| one.cut_m3_s > 0.0).collect();
    let mut so_far = SoFar::new(system);
    let (mut cut, mut seams) = (0.0, Vec::new());
    loop {
        let mut next: Option<(f64, usize)> = None;
        for (at, one) in left.iter().enumerate() {
            let added = so_far.added(one);
            if so_far.minutes + added > most + 1e-9 {
                continue;
            }
            let rate = one.cut_m3_s / added.max(1e-6);
            if next.is_none_or(|(best, _)| rate > best) {
                next = Some((rate, at));
            }
        }
        let Some((_, at)) = next else {
            break;
        };
        let one = left.remove(at);
        so_far.add(one);
        cut += one.cut_m3_s;
        seams.push(one.seam);
    }
    (cut, so_far.minutes, seams)
}
