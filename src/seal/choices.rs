//! What could be done: every way of every seam with its minutes, money and mean cut.

use super::draws::Left;
use super::order::LIKELY_OPEN;
use super::running::leak;
use super::so_far::SoFar;
use super::types::Basis;
use crate::catalog::opening::opening_area;
use crate::flow::REFERENCE_PA;
use crate::system::{PlaceIdx, SeamIdx, Seen};

/// Least mean cut of a seam that is sealed when time and money are no object, as a part of all leakage. Engineering
/// estimate: a thousand such seams would be needed to halve it.
const SHOWS: f64 = 5e-4;
/// Least mean cut of a choice that the search looks at, as a part of all leakage.
const LEAST_CUT: f64 = 1e-5;

/// One way to seal one seam.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Choice {
    pub seam: SeamIdx,
    pub way: usize,
    pub method: usize,
    /// Place to be gone to; `None` for work from inside or from the rooms.
    pub place: Option<PlaceIdx>,
    /// Minutes, reattaching counted by its chance, without set-ups.
    pub minutes: f64,
    /// Money for material, without labour.
    pub money: f64,
    /// Mean cut on the basis, m³/s.
    pub cut: f64,
}

/// All choices, and what a set-up takes.
#[derive(Debug, Clone)]
pub(super) struct Choices {
    pub all: Vec<Choice>,
    /// Minutes to get to each place.
    pub place_minutes: Vec<f64>,
    /// Minutes and money to set each method up.
    pub method_once: Vec<(f64, f64)>,
    /// Money of a minute's work; `None` where nothing has a price.
    pub money_per_minute: Option<f64>,
    /// Money for coming once.
    pub visit: f64,
    /// Mean leakage of all seams on the basis, m³/s.
    pub leakage: f64,
}

/// The flow of a seam on a basis in a draw, m³/s.
pub(super) fn flow(
    left: &Left<'_>,
    basis: Basis,
    running_pa: Option<&[f64]>,
    draw: usize,
    seam: SeamIdx,
) -> f64 {
    match basis {
        Basis::Total => left.test(draw, seam),
        Basis::Outside => left.outside(draw, seam).max(0.0),
        Basis::Running => running_pa.map_or(0.0, |pa| {
            leak(left.q25(draw, seam), left.n(draw, seam), pa[seam])
        }),
    }
}

impl Choices {
    /// Of all seams; ways that another way of the same seam beats in everything are left out.
    pub fn of(left: &Left<'_>, basis: Basis, running_pa: Option<&[f64]>) -> Self {
        let system = left.system;
        let crew = &system.crew;
        let mut all = Vec::new();
        let gaps: Vec<(f64, bool)> = gaps(left);
        let mut whole = 0.0;
        for (seam, &(gap, _)) in gaps.iter().enumerate() {
            let flows: Vec<f64> = (0..left.count())
                .map(|draw| flow(left, basis, running_pa, draw, seam))
                .collect();
            whole += left.mean(&flows);
            let open = left.open_chance(seam);
            let mut own: Vec<Choice> = Vec::new();
            for (index, way) in system.ways(seam).iter().enumerate() {
                let method = &crew.methods[way.method];
                if method.gap_to_m < gap || (method.from_inside && !crew.from_inside) {
                    continue;
                }
                let cut = flows
                    .iter()
                    .enumerate()
                    .map(|(draw, flow)| {
                        left.weights[draw] * flow * (1.0 - left.part(draw, seam, way.method))
                    })
                    .sum();
                let again = if method.from_inside {
                    0.0
                } else {
                    open * crew.reattach_minutes
                };
                own.push(Choice {
                    seam,
                    way: index,
                    method: way.method,
                    place: (!method.from_inside && !way.from_room)
                        .then(|| system.seams[seam].place),
                    minutes: way.minutes(method) + again,
                    money: way.material(method) * method.money_per_unit.unwrap_or(0.0),
                    cut,
                });
            }
            keep_best(&mut own, |method| {
                let by = &crew.methods[method];
                by.minutes_once > 0.0 || by.money_once.is_some_and(|money| money > 0.0)
            });
            all.extend(own);
        }
        all.retain(|choice| choice.cut > LEAST_CUT * whole);
        let has_price = crew.money_per_hour.is_some()
            || crew.money_per_visit.is_some()
            || crew
                .methods
                .iter()
                .any(|m| m.money_per_unit.is_some() || m.money_once.is_some());
        Choices {
            all,
            place_minutes: (0..system.places.len())
                .map(|place| crew.place_minutes.get(place).copied().unwrap_or(0.0))
                .collect(),
            method_once: crew
                .methods
                .iter()
                .map(|m| (m.minutes_once, m.money_once.unwrap_or(0.0)))
                .collect(),
            money_per_minute: has_price.then(|| crew.money_per_hour.unwrap_or(0.0) / 60.0),
            visit: crew.money_per_visit.unwrap_or(0.0),
            leakage: whole,
        }
    }

    /// Minutes of a plan, its set-ups counted once.
    pub fn minutes(&self, picked: &[usize]) -> f64 {
        let mut so_far = SoFar::of(self, &[]);
        picked
            .iter()
            .map(|&c| {
                let added = so_far.added_minutes(self, c);
                so_far.add(self, c);
                added
            })
            .sum()
    }

    /// Money of a plan, with labour and the visit; 0 for an empty one.
    pub fn money(&self, picked: &[usize]) -> f64 {
        if picked.is_empty() {
            return 0.0;
        }
        let mut methods = vec![false; self.method_once.len()];
        for &c in picked {
            methods[self.all[c].method] = true;
        }
        let once: f64 = methods
            .iter()
            .zip(&self.method_once)
            .filter(|(used, _)| **used)
            .map(|(_, once)| once.1)
            .sum();
        let material: f64 = picked.iter().map(|&c| self.all[c].money).sum();
        self.visit + once + material + self.minutes(picked) * self.money_per_minute.unwrap_or(0.0)
    }

    /// Mean cut of a plan.
    pub fn cut(&self, picked: &[usize]) -> f64 {
        picked.iter().map(|&c| self.all[c].cut).sum()
    }

    /// The `most` choices with the best mean cut for their time, in the order of all; `None` where there are no more.
    pub fn narrowed(&self, most: usize) -> Option<Choices> {
        if self.all.len() <= most {
            return None;
        }
        let rate = |c: &usize| self.all[*c].cut / self.all[*c].minutes.max(1e-6);
        let mut order: Vec<usize> = (0..self.all.len()).collect();
        order.sort_by(|a, b| rate(b).total_cmp(&rate(a)).then(a.cmp(b)));
        order.truncate(most);
        order.sort_unstable();
        Some(Choices {
            all: order.into_iter().map(|c| self.all[c].clone()).collect(),
            ..self.clone()
        })
    }

    /// Everything that can be sealed, each seam by the way that suits it best.
    pub fn everything(&self) -> Vec<usize> {
        self.each_by(|a, b| b.way < a.way)
    }

    /// The same without seams of which no meter would show the difference.
    pub fn all_that_shows(&self) -> Vec<usize> {
        let whole = self.leakage;
        let mut picked = self.everything();
        picked.retain(|&c| self.all[c].cut >= SHOWS * whole);
        picked
    }

    /// Everything that can be sealed, each seam by the way that takes away most.
    pub fn strongest(&self) -> Vec<usize> {
        self.each_by(|a, b| b.cut > a.cut)
    }

    /// One choice a seam; `better` says whether the second beats the first.
    fn each_by(&self, better: impl Fn(&Choice, &Choice) -> bool) -> Vec<usize> {
        let mut best: Vec<usize> = Vec::new();
        for (c, choice) in self.all.iter().enumerate() {
            match best.last_mut() {
                Some(last) if self.all[*last].seam == choice.seam => {
                    if better(&self.all[*last], choice) {
                        *last = c;
                    }
                }
                _ => best.push(c),
            }
        }
        best
    }
}

/// Drops ways that another one beats or equals in minutes, money and cut; the first of equals stays.
fn keep_best(own: &mut Vec<Choice>, once: impl Fn(usize) -> bool) {
    // What needs another set-up is no rival: whether that is paid already hangs on the rest of the plan.
    let beaten = |a: &Choice, b: &Choice| {
        b.place == a.place
            && (!once(b.method) || b.method == a.method)
            && b.minutes <= a.minutes
            && b.money <= a.money
            && b.cut >= a.cut
    };
    let mut kept: Vec<Choice> = Vec::new();
    for choice in own.drain(..) {
        if kept.iter().any(|other| beaten(&choice, other)) {
            continue;
        }
        kept.retain(|other| !beaten(other, &choice));
        kept.push(choice);
    }
    *own = kept;
}

/// Width of every seam's gap, m, and whether somebody measured it. Where nobody did: an even gap along the whole joint
/// that would leak the expected flow, by the orifice equation.
pub(super) fn gaps(left: &Left<'_>) -> Vec<(f64, bool)> {
    let system = left.system;
    let mut gaps: Vec<(f64, bool)> = (0..system.seams.len())
        .map(|seam| {
            let likely_open = left.open_chance(seam) >= LIKELY_OPEN;
            let q25 = if likely_open {
                system.seams[seam].mean_q25_m3_s
            } else {
                left.posterior.allocation.seams[seam].q25_m3_s.p50
            };
            let joint_m = system.ways(seam).first().map_or(1.0, |way| way.joint_m);
            (opening_area(q25, REFERENCE_PA) / joint_m.max(0.05), false)
        })
        .collect();
    let stage = left.posterior.allocation.stage;
    for look in &system.looks {
        let Seen::Gap(width) = &look.seen else {
            continue;
        };
        let since = &system.sealing[look.stage.min(stage)..stage];
        for &seam in &look.seams {
            // What was sealed since has another gap.
            if look.stage <= stage && !since.iter().any(|step| step.seams.contains(&seam)) {
                gaps[seam] = (width.si(), true);
            }
        }
    }
    gaps
}
