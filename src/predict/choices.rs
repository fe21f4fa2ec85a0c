//! What could be built otherwise: one thing at a time, and two.

use super::expected::{Drawn, is_inside};
use super::types::{Choice, Outlook, What};
use crate::allocate::{AllocateError, AllocateSettings, SeamResult};
use crate::catalog::{Catalog, Work};
use crate::sketch::SealClass;
use crate::system::{Change, SeamRole, System, sealed_by_class};

/// Part by which runs are tried shorter. A figure to compare with, not a proposal.
const SHORTER: f64 = 0.2;
/// A choice that takes off less than this part of what leaks is not told.
const LEAST_PART: f64 = 0.002;
/// Part of the smaller choice's seams from which two choices count as one thing.
const SAME_THING: f64 = 0.5;

/// The sketch as it stands, in all draws and in those of the choices: a few wide draws weigh on a mean, and on what is
/// taken off it, alike.
#[derive(Clone, Copy)]
pub(super) struct Scale<'a> {
    pub whole: &'a Outlook,
    pub few: &'a Outlook,
}

impl Scale<'_> {
    /// The part that goes in the few draws, of the mean in all.
    fn cut(&self, after: &Outlook, mean: impl Fn(&Outlook) -> f64) -> f64 {
        let before = mean(self.few);
        if before > 0.0 {
            mean(self.whole) * (1.0 - mean(after) / before)
        } else {
            0.0
        }
    }
}

/// A choice and the changes that make it.
pub(super) struct Single {
    pub choice: Choice,
    changes: Vec<Change>,
}

/// Choices one at a time, solved anew: those that the draws at hand, scaled seam by seam, promise most of.
pub(super) fn choices(
    system: &System,
    catalog: &Catalog,
    settings: &AllocateSettings,
    expected: &[SeamResult],
    scale: Scale<'_>,
    most: usize,
) -> Result<Vec<Single>, AllocateError> {
    let mut tried: Vec<(f64, What, Vec<Change>, System)> = candidates(system, catalog)
        .into_iter()
        .map(|(what, changes)| {
            let built = system.built_otherwise(catalog, &changes);
            (promise(system, &built, expected), what, changes, built)
        })
        .collect();
    tried.sort_by(|a, b| b.0.total_cmp(&a.0));
    // Where ducts lie changes what goes to outside alone: such a choice always has its row.
    let (inside, mut others): (Vec<_>, Vec<_>) = tried
        .into_iter()
        .partition(|(_, what, ..)| matches!(what, What::Inside { .. }));
    others.truncate(most);
    let mut found = Vec::new();
    for (_, what, changes, built) in others.into_iter().chain(inside) {
        let choice = judged(&built, what, settings, scale)?;
        let worth = choice.total_cut_m3_s > LEAST_PART * scale.whole.total_m3_s.mean
            || choice.outside_cut_m3_s > LEAST_PART * scale.whole.outside_m3_s.mean;
        if worth {
            found.push(Single { choice, changes });
        }
    }
    found.sort_by(|a, b| by_cut(&a.choice, &b.choice));
    Ok(found)
}

/// Pairs of the choices that take off most, seal classes left out: they are bundles themselves.
pub(super) fn pairs(
    system: &System,
    catalog: &Catalog,
    settings: &AllocateSettings,
    scale: Scale<'_>,
    singles: &[Single],
    of: usize,
) -> Result<Vec<Choice>, AllocateError> {
    let mut plain: Vec<&Single> = singles
        .iter()
        .filter(|single| !matches!(single.choice.what, What::SealClass(_) | What::Inside { .. }))
        .take(of)
        .collect();
    let inside = singles
        .iter()
        .filter(|single| matches!(single.choice.what, What::Inside { .. }));
    plain.extend(inside.max_by(|a, b| {
        a.choice
            .outside_cut_m3_s
            .total_cmp(&b.choice.outside_cut_m3_s)
    }));
    let mut found = Vec::new();
    for (i, a) in plain.iter().enumerate() {
        for b in &plain[i + 1..] {
            if is_same_thing(system, a, b) {
                continue;
            }
            let changes: Vec<Change> = in_order(a, b);
            let built = system.built_otherwise(catalog, &changes);
            let what = What::Both(
                Box::new(a.choice.what.clone()),
                Box::new(b.choice.what.clone()),
            );
            found.push(judged(&built, what, settings, scale)?);
        }
    }
    found.sort_by(by_cut);
    Ok(found)
}

/// Joint types change before workmanship, which speaks of seams.
fn in_order(a: &Single, b: &Single) -> Vec<Change> {
    let mut changes: Vec<Change> = a.changes.iter().chain(&b.changes).cloned().collect();
    changes.sort_by_key(|change| !matches!(change, Change::Swap { .. }));
    changes
}

/// Whether two choices are mostly about the same seams, so that the second adds little.
fn is_same_thing(system: &System, a: &Single, b: &Single) -> bool {
    let seams = |single: &Single| -> Vec<usize> {
        single
            .changes
            .iter()
            .flat_map(|change| match change {
                Change::Work { seams, .. } => seams.clone(),
                Change::Swap { from, .. } => (0..system.seams.len())
                    .filter(|&i| system.seams[i].joint_type == *from)
                    .collect(),
                Change::Move { .. } | Change::Shorter { .. } => Vec::new(),
            })
            .collect()
    };
    let (a, b) = (seams(a), seams(b));
    let fewer = a.len().min(b.len());
    let common = a.iter().filter(|i| b.contains(i)).count();
    fewer > 0 && common as f64 >= SAME_THING * fewer as f64
}

fn by_cut(a: &Choice, b: &Choice) -> std::cmp::Ordering {
    let key = |choice: &Choice| choice.total_cut_m3_s.max(0.0);
    key(b)
        .total_cmp(&key(a))
        .then(b.outside_cut_m3_s.total_cmp(&a.outside_cut_m3_s))
}

fn judged(
    built: &System,
    what: What,
    settings: &AllocateSettings,
    scale: Scale<'_>,
) -> Result<Choice, AllocateError> {
    let after = Drawn::new(built, settings)?.outlook(built);
    Ok(Choice {
        what,
        total_cut_m3_s: scale.cut(&after, |outlook| outlook.total_m3_s.mean),
        outside_cut_m3_s: scale.cut(&after, |outlook| outlook.outside_m3_s.mean),
        after,
    })
}

/// What a choice promises to take off the total, from the mean test flow of each seam and the change of its mean.
fn promise(system: &System, built: &System, expected: &[SeamResult]) -> f64 {
    system
        .seams
        .iter()
        .zip(&built.seams)
        .zip(expected)
        .map(|((was, now), found)| {
            found.test_m3_s.mean * (1.0 - now.mean_q25_m3_s / was.mean_q25_m3_s)
        })
        .fold(0.0, |sum, cut| sum + cut)
}

/// Everything that is tried.
fn candidates(system: &System, catalog: &Catalog) -> Vec<(What, Vec<Change>)> {
    let mut found = Vec::new();
    let mut types: Vec<&str> = system
        .seams
        .iter()
        .filter(|seam| seam.role != SeamRole::Unsketched && !seam.own_figure)
        .map(|seam| seam.joint_type.as_str())
        .collect();
    types.sort_unstable();
    types.dedup();
    for joint_type in &types {
        let seams: Vec<usize> = (0..system.seams.len())
            .filter(|&i| system.seams[i].joint_type == *joint_type)
            .filter(|&i| system.seams[i].work < Work::Mastic)
            .collect();
        let Some(&first) = seams.first() else {
            continue;
        };
        found.push((
            What::Work {
                joint_type: (*joint_type).to_owned(),
                name: system.seams[first].joint_name.clone(),
                seams: seams.len(),
                work: Work::Mastic,
            },
            vec![Change::Work {
                seams,
                work: Work::Mastic,
            }],
        ));
    }
    for class in SealClass::ALL {
        let seams = sealed_by_class(&system.seams, catalog, class);
        if seams.iter().any(|&i| system.seams[i].work < Work::Mastic) {
            found.push((
                What::SealClass(class),
                vec![Change::Work {
                    seams,
                    work: Work::Mastic,
                }],
            ));
        }
    }
    for row in catalog.alternatives() {
        let seams = system.seams.iter().filter(|s| s.joint_type == row.from);
        let seams = seams.count();
        if seams > 0 {
            found.push((
                What::Swap {
                    words: row.words.clone(),
                    seams,
                },
                vec![Change::Swap {
                    from: row.from.clone(),
                    to: row.to.clone(),
                }],
            ));
        }
    }
    found.push((
        What::Shorter { by: SHORTER },
        vec![Change::Shorter {
            runs: (0..system.runs.len()).collect(),
            by: SHORTER,
        }],
    ));
    found.extend(moves(system));
    found
}

/// Each place outside brought inside, where the system has an inside to bring it to.
fn moves(system: &System) -> Vec<(What, Vec<Change>)> {
    let Some(inside) = system.places.iter().position(is_inside) else {
        return Vec::new();
    };
    (0..system.places.len())
        .filter(|&place| system.places[place].house_share < 1.0)
        .filter(|&place| system.seams.iter().any(|seam| seam.place == place))
        .map(|place| {
            (
                What::Inside { place },
                vec![Change::Move {
                    from: place,
                    to: inside,
                }],
            )
        })
        .collect()
}
