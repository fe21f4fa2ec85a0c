//! A plan told seam by seam, with what it leaves.

use super::choices::{Choice, Choices, flow, gaps};
use super::draws::Left;
use super::order::{LIKELY_OPEN, place_order, rank};
use super::running::leak;
use super::so_far::SoFar;
use super::types::{Basis, Hidden, LookFirst, Material, Step};
use crate::system::{Reach, SeamIdx, System};

/// What a step must take away where nothing in reach is left out: this part of its own mean cut a minute. Engineering
/// estimate.
const WORTH_PART: f64 = 0.5;
/// A look that spares less than this is not spoken of, minutes. Engineering estimate.
const LEAST_SPARED: f64 = 2.0;
/// Part of the useless steps that a look shows to be useless. Engineering estimate: smoke that does not move is right
/// about two times in three.
const LOOK_IS_RIGHT: f64 = 0.65;

/// A plan in words' reach.
pub(super) struct Told {
    pub steps: Vec<Step>,
    pub hidden: Vec<Hidden>,
    pub left: Vec<(SeamIdx, String)>,
    pub look_first: Vec<LookFirst>,
    pub materials: Vec<Material>,
    pub cure_h: f64,
    pub worth_m3_s_min: Option<f64>,
}

/// Tells it.
pub(super) fn tell(
    left: &Left<'_>,
    choices: &Choices,
    picked: &[usize],
    running_pa: Option<&[f64]>,
    basis: Basis,
) -> Told {
    let system = left.system;
    let gaps = gaps(left);
    let worth = worth_rate(choices, picked);
    let ordered = in_order(left, choices, picked);
    let mut so_far = SoFar::of(choices, &[]);
    let steps: Vec<Step> = ordered
        .iter()
        .map(|&c| {
            let choice = &choices.all[c];
            let set_up = so_far.set_up_minutes(choices, c);
            so_far.add(choices, c);
            let rate = worth.unwrap_or(WORTH_PART * choice.cut / choice.minutes.max(1e-6));
            step(left, choice, set_up, rate, (running_pa, basis), &gaps)
        })
        .collect();
    let look = system.task("smoke-look").map_or(0.0, |task| task.minutes);
    let mut look_first: Vec<LookFirst> = steps
        .iter()
        .filter(|step| step.open_chance < LIKELY_OPEN)
        .map(|step| LookFirst {
            seam: step.seam,
            look_minutes: look,
            spared_minutes: LOOK_IS_RIGHT * (1.0 - step.worth_chance) * step.minutes - look,
        })
        .filter(|look| look.spared_minutes > LEAST_SPARED)
        .collect();
    look_first.sort_by(|a, b| {
        b.spared_minutes
            .total_cmp(&a.spared_minutes)
            .then(a.seam.cmp(&b.seam))
    });
    let cure_h = steps
        .iter()
        .map(|step| system.crew.methods[step.method].cure_h)
        .fold(0.0, f64::max);
    let mut taken = vec![false; system.seams.len()];
    for step in &steps {
        taken[step.seam] = true;
    }
    Told {
        materials: materials(system, &steps),
        hidden: hidden(left, running_pa, basis, &taken),
        left: left_out(system, choices, picked),
        look_first,
        cure_h,
        worth_m3_s_min: worth,
        steps,
    }
}

/// Cut a minute of the best choice of a seam that is left out, with the set-ups that it would need besides; `None` where
/// nothing is left out that takes time of its own.
fn worth_rate(choices: &Choices, picked: &[usize]) -> Option<f64> {
    let so_far = SoFar::of(choices, picked);
    (0..choices.all.len())
        .filter(|&c| !so_far.has(choices, c) && choices.all[c].minutes > 0.0)
        .map(|c| choices.all[c].cut / so_far.added_minutes(choices, c))
        .max_by(f64::total_cmp)
}

fn in_order(left: &Left<'_>, choices: &Choices, picked: &[usize]) -> Vec<usize> {
    let system = left.system;
    let mut cut = vec![0.0; system.places.len()];
    let mut minutes = vec![0.0; system.places.len()];
    let mut loose = vec![false; system.places.len()];
    let open: Vec<f64> = picked
        .iter()
        .map(|&c| left.open_chance(choices.all[c].seam))
        .collect();
    for (&c, &open) in picked.iter().zip(&open) {
        let place = system.seams[choices.all[c].seam].place;
        cut[place] += choices.all[c].cut;
        minutes[place] += choices.all[c].minutes;
        loose[place] |= open >= LIKELY_OPEN;
    }
    let rate: Vec<f64> = cut
        .iter()
        .zip(&minutes)
        .map(|(cut, minutes)| if *minutes > 0.0 { cut / minutes } else { 0.0 })
        .collect();
    let places = place_order(system, &loose, &rate);
    let mut ordered: Vec<(usize, f64)> = picked.iter().copied().zip(open).collect();
    ordered.sort_by_key(|&(c, open)| rank(system, &choices.all[c], open, &places));
    ordered.into_iter().map(|(c, _)| c).collect()
}

fn step(
    left: &Left<'_>,
    choice: &Choice,
    set_up_minutes: f64,
    worth_rate: f64,
    (running_pa, basis): (Option<&[f64]>, Basis),
    gaps: &[(f64, bool)],
) -> Step {
    let (system, seam) = (left.system, choice.seam);
    let method = &system.crew.methods[choice.method];
    let way = &system.ways(seam)[choice.way];
    let of = |value: &dyn Fn(usize) -> f64| -> Vec<f64> { (0..left.count()).map(value).collect() };
    let away = of(&|draw| 1.0 - left.part(draw, seam, choice.method));
    let cut =
        |flows: Vec<f64>| -> Vec<f64> { flows.iter().zip(&away).map(|(f, a)| f * a).collect() };
    let test = of(&|draw| left.test(draw, seam));
    let outside = of(&|draw| left.outside(draw, seam));
    let running =
        running_pa.map(|pa| of(&|draw| leak(left.q25(draw, seam), left.n(draw, seam), pa[seam])));
    let on_basis = cut(of(&|draw| flow(left, basis, running_pa, draw, seam)));
    Step {
        seam,
        method: choice.method,
        way: choice.way,
        fasten: way.fasten.clone(),
        open_chance: left.open_chance(seam),
        minutes: choice.minutes,
        set_up_minutes,
        material_money: method
            .money_per_unit
            .map(|price| price * way.material(method)),
        gap_m: gaps[seam],
        test_m3_s: left.band(&test),
        test_cut_m3_s: left.band(&cut(test)),
        outside_cut_m3_s: left.band(&cut(outside)),
        running_cut_m3_s: running.map(|flows| left.band(&cut(flows))),
        worth_chance: left.chance(|draw| on_basis[draw] >= worth_rate * choice.minutes),
    }
}

fn materials(system: &System, steps: &[Step]) -> Vec<Material> {
    let mut found: Vec<Material> = Vec::new();
    for step in steps {
        let method = &system.crew.methods[step.method];
        let amount = system.ways(step.seam)[step.way].material(method);
        if amount <= 0.0 {
            continue;
        }
        let money = method.money_per_unit.map(|price| price * amount);
        match found
            .iter_mut()
            .find(|m| m.material == method.material && m.unit == method.unit)
        {
            Some(same) => {
                same.amount += amount;
                same.money = same.money.zip(money).map(|(a, b)| a + b);
            }
            None => found.push(Material {
                material: method.material.clone(),
                unit: method.unit.clone(),
                amount,
                money,
            }),
        }
    }
    found
}

/// Why nobody seals a seam by hand; `None` where somebody can.
fn why_not(system: &System, seam: SeamIdx) -> Option<String> {
    let by_hand = system
        .ways(seam)
        .iter()
        .any(|way| !system.crew.methods[way.method].from_inside);
    if by_hand {
        return None;
    }
    let said = system.crew.left.get(seam).cloned().flatten();
    Some(said.unwrap_or_else(|| match system.seams[seam].reach {
        Reach::BehindFinish => "behind finish".to_owned(),
        Reach::None => "out of reach".to_owned(),
        Reach::Open | Reach::UnderInsulation => "no method serves it".to_owned(),
    }))
}

fn hidden(
    left: &Left<'_>,
    running_pa: Option<&[f64]>,
    basis: Basis,
    taken: &[bool],
) -> Vec<Hidden> {
    let system = left.system;
    let mut groups: Vec<(usize, String, Vec<SeamIdx>)> = Vec::new();
    for seam in (0..system.seams.len()).filter(|&seam| !taken[seam]) {
        let Some(why) = why_not(system, seam) else {
            continue;
        };
        let place = system.seams[seam].place;
        match groups.iter_mut().find(|g| g.0 == place && g.1 == why) {
            Some(group) => group.2.push(seam),
            None => groups.push((place, why, vec![seam])),
        }
    }
    let of = |draw: usize, seam: SeamIdx| flow(left, basis, running_pa, draw, seam);
    let mut means = vec![0.0; system.seams.len()];
    for &seam in groups.iter().flat_map(|group| &group.2) {
        means[seam] = (0..left.count())
            .map(|draw| left.weights[draw] * of(draw, seam))
            .sum();
    }
    let mut found: Vec<Hidden> = groups
        .into_iter()
        .map(|(place, why, mut seams)| {
            let flows: Vec<f64> = (0..left.count())
                .map(|draw| seams.iter().map(|&seam| of(draw, seam)).sum())
                .collect();
            let inside = seams
                .iter()
                .filter_map(|&seam| {
                    let ways = system.ways(seam);
                    let way = ways
                        .iter()
                        .find(|way| system.crew.methods[way.method].from_inside)?;
                    Some(
                        (0..left.count())
                            .map(|draw| {
                                left.weights[draw]
                                    * of(draw, seam)
                                    * (1.0 - left.part(draw, seam, way.method))
                            })
                            .sum::<f64>(),
                    )
                })
                .fold(0.0, |sum, cut| sum + cut);
            seams.sort_by(|&a, &b| means[b].total_cmp(&means[a]).then(a.cmp(&b)));
            Hidden {
                place: system.places[place].name.clone(),
                why,
                seams,
                flow_m3_s: left.band(&flows),
                inside_cut_m3_s: inside,
            }
        })
        .collect();
    found.sort_by(|a, b| b.flow_m3_s.mean.total_cmp(&a.flow_m3_s.mean));
    found
}

/// Seams in reach that the plan leaves.
fn left_out(system: &System, choices: &Choices, picked: &[usize]) -> Vec<(SeamIdx, String)> {
    let mark = |these: &mut dyn Iterator<Item = usize>| {
        let mut marked = vec![false; system.seams.len()];
        these.for_each(|seam| marked[seam] = true);
        marked
    };
    let taken = mark(&mut picked.iter().map(|&c| choices.all[c].seam));
    let offered = mark(&mut choices.all.iter().map(|c| c.seam));
    (0..system.seams.len())
        .filter(|&seam| !taken[seam] && why_not(system, seam).is_none())
        .map(|seam| {
            let why = if offered[seam] {
                "takes away too little for its time, or is not needed for the target"
            } else {
                "next to nothing to take away, or the gap is too wide for its methods"
            };
            (seam, why.to_owned())
        })
        .collect()
}
