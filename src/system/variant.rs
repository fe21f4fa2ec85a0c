//! Other ways of building the same system: what a sketch's `variants` mean for its seams, places and runs.

use std::collections::BTreeMap;

use super::groups::Seams;
use super::notes::Notes;
use super::places::Places;
use super::rebuilt::swap_joints;
use super::trade;
use super::types::{PlaceIdx, RunIdx, Seam, SeamIdx, SeamRole};
use crate::catalog::{Catalog, JointType, Work};
use crate::sketch::{self, Diagnostic, Marked, Material, SealClass, Span, some_of};

/// The seam whose metres are not those of the duct.
const WOUND: &str = "seam-spiral";

/// What it costs to swap joint types, in seams that are looked through: all seams are copied and their ids gathered anew
/// (engineering estimate).
const SWAP_COSTS: usize = 20;

/// One variant of a design.
#[derive(Debug, Clone, PartialEq)]
pub struct Variant {
    /// Its name.
    pub id: String,
    /// What is built otherwise, in order.
    pub changes: Vec<Change>,
}

/// One thing that is built otherwise.
#[derive(Debug, Clone, PartialEq)]
pub enum Change {
    /// Seams are made in another workmanship. Seams with a person's own figure keep it.
    Work {
        /// The seams.
        seams: Vec<SeamIdx>,
        /// How they are made.
        work: Work,
    },
    /// A joint type takes the place of another that is counted alike.
    Swap {
        /// Id of the joint type that goes.
        from: String,
        /// Id of the one that comes.
        to: String,
    },
    /// Ducts lie in another place, with all their seams.
    Move {
        /// The place they leave.
        from: PlaceIdx,
        /// The place they come to.
        to: PlaceIdx,
    },
    /// Straight duct of some runs is shorter, with the joints and seams that it brings.
    Shorter {
        /// The runs.
        runs: Vec<RunIdx>,
        /// Part of the length that goes, 0 to 1.
        by: f64,
    },
}

/// The seams that a class of sealing covers, what the sketch forgot left out: C transverse joints (between lengths, at
/// takeoffs, caps, collars and the unit), B the lengthwise seams of ducts, fittings and boots too, A what passes through a
/// duct's wall too. The gap round a boot and building cavities belong to no class.
///
/// # Source
/// SMACNA HVAC Air Duct Leakage Test Manual, 1st edition 1985 (second-hand), for metal duct; which joint type counts as what
/// is an engineering estimate.
#[must_use]
pub fn sealed_by_class(seams: &[Seam], catalog: &Catalog, class: SealClass) -> Vec<SeamIdx> {
    let covers = |seam: &Seam| {
        let Some(joint) = catalog.joint(&seam.joint_type) else {
            return false;
        };
        seam.role != SeamRole::Unsketched && class_of(joint).is_some_and(|least| class <= least)
    };
    (0..seams.len()).filter(|&i| covers(&seams[i])).collect()
}

/// The least class that seals a joint type.
fn class_of(joint: &JointType) -> Option<SealClass> {
    match (joint.group.as_str(), joint.id.as_str()) {
        (_, "access-door" | "penetration") | ("opening", _) => Some(SealClass::A),
        ("seam", _)
        | (_, "elbow-fixed-round" | "fitting-body-rect" | "reducer-body" | "boot-body") => {
            Some(SealClass::B)
        }
        ("joint" | "fitting" | "flex", _) | (_, "conn-supply-plenum" | "conn-return-plenum") => {
            Some(SealClass::C)
        }
        _ => None,
    }
}

/// The variants of a sketch; what makes no sense is noted.
pub(super) fn resolve(
    said: &[sketch::Variant],
    seams: &Seams,
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<Variant> {
    let mut seen: BTreeMap<String, Span> = BTreeMap::new();
    let mut found = Vec::new();
    for variant in said {
        let id = &variant.id;
        if let Some(first) = seen.insert(id.value.to_lowercase(), id.at) {
            notes.wrong(
                Diagnostic::new(
                    "E0291",
                    id.at,
                    format!("the variant `{}` stands twice", id.value),
                )
                .label("the same name")
                .also(first, "first here")
                .hint("give one of them another name"),
            );
            continue;
        }
        found.push(Variant {
            id: id.value.clone(),
            changes: changes(variant, seams, places, notes),
        });
    }
    found
}

fn changes(
    said: &sketch::Variant,
    seams: &Seams,
    places: &mut Places,
    notes: &mut Notes,
) -> Vec<Change> {
    let mut changes = Vec::new();
    for (from, to) in &said.swap {
        changes.extend(swap(from, to, seams, notes));
    }
    // Joint types change first: groups and classes speak of what is then there.
    let mut swapped = Vec::new();
    let swapped_seams;
    let seams = if changes.is_empty() {
        seams
    } else {
        if !seams.spend(SWAP_COSTS * seams.list.len(), 0, &said.id, notes) {
            return changes;
        }
        swapped.extend_from_slice(seams.list);
        swap_joints(&mut swapped, seams.book.catalog, &changes);
        swapped_seams = seams.with_list(&swapped);
        &swapped_seams
    };
    for change in &said.work {
        let which = match &change.seams {
            None => {
                let made: Vec<SeamIdx> = (0..seams.list.len())
                    .filter(|&i| seams.list[i].field_made)
                    .filter(|&i| seams.list[i].role != SeamRole::Unsketched)
                    .collect();
                if !seams.spend(seams.list.len(), made.len(), &said.id, notes) {
                    continue;
                }
                made
            }
            Some(words) => match seams.find(words, places, notes) {
                Some(found) => found.seams,
                None => continue,
            },
        };
        changes.push(Change::Work {
            seams: which,
            work: change.work.value,
        });
    }
    if let Some(class) = &said.seal_class {
        let covered = sealed_by_class(seams.list, seams.book.catalog, class.value);
        if seams.spend(seams.list.len(), covered.len(), &said.id, notes) {
            changes.push(Change::Work {
                seams: covered,
                work: Work::Mastic,
            });
        }
    }
    let mut occupied = vec![false; places.count()];
    for seam in seams.list {
        occupied[seam.place] = true;
    }
    for (from, to) in &said.moved {
        let (Some(from_place), Some(to_place)) =
            (places.resolve(from, notes), places.resolve(to, notes))
        else {
            continue;
        };
        if !occupied.get(from_place).is_some_and(|there| *there) {
            notes.wrong(
                Diagnostic::new(
                    "E0292",
                    from.at,
                    format!("no duct of this system lies in `{}`", from.value),
                )
                .label("nothing to move")
                .hint("name a place where ducts lie; `ductseam check` lists them"),
            );
            continue;
        }
        changes.push(Change::Move {
            from: from_place,
            to: to_place,
        });
    }
    for (run, part) in &said.shorter {
        let runs = match run {
            None => (0..seams.book.sketch.runs.len()).collect(),
            Some(run) => match seams.book.run(run, notes) {
                Some(run) => vec![run],
                None => continue,
            },
        };
        changes.push(Change::Shorter {
            runs,
            by: part.value.si(),
        });
    }
    changes
}

fn swap(
    from: &Marked<String>,
    to: &Marked<String>,
    seams: &Seams,
    notes: &mut Notes,
) -> Option<Change> {
    let (catalog, here) = (seams.book.catalog, seams.list);
    let is_here = |id: &str| here.iter().any(|seam| seam.joint_type == id);
    // A trade word may mean two types, for round and for other ducts: the one that is there.
    let meant = |said: &Marked<String>| {
        [Material::Round, Material::Rectangular]
            .into_iter()
            .filter_map(|material| trade::joint_id(&said.value, material, catalog))
            .collect::<Vec<_>>()
    };
    let (from_ids, to_ids) = (meant(from), meant(to));
    for (said, ids) in [(from, &from_ids), (to, &to_ids)] {
        if ids.is_empty() {
            notes.wrong(seams.book.unknown_joint(said));
        }
    }
    if from_ids.is_empty() || to_ids.is_empty() {
        return None;
    }
    let Some(at) = from_ids.iter().position(|id| is_here(id)) else {
        let mut types: Vec<&str> = here.iter().map(|seam| seam.joint_type.as_str()).collect();
        types.sort_unstable();
        types.dedup();
        notes.wrong(
            Diagnostic::new(
                "E0292",
                from.at,
                format!("no seam of this system is a `{}`", from.value),
            )
            .label("not here")
            .hint(format!("here are: {}", some_of(types))),
        );
        return None;
    };
    let (from_id, to_id) = (from_ids[at], to_ids[at.min(to_ids.len() - 1)]);
    if from_id == WOUND || to_id == WOUND {
        notes.wrong(
            Diagnostic::new(
                "E0293",
                to.at,
                "a spiral seam winds round the duct and has other metres than a straight one",
            )
            .label("cannot be swapped")
            .hint("give the runs `material: spiral` in a sketch of their own"),
        );
        return None;
    }
    let basis = |id: &str| catalog.joint(id).map(|joint| joint.basis);
    if basis(from_id) != basis(to_id) {
        notes.wrong(
            Diagnostic::new(
                "E0293",
                to.at,
                format!(
                    "`{from_id}` and `{to_id}` are not counted alike: one by the metre, the other by the piece"
                ),
            )
            .label("cannot take its place")
            .hint("name a joint type that is counted alike; `ductseam catalog` lists them"),
        );
        return None;
    }
    Some(Change::Swap {
        from: from_id.to_owned(),
        to: to_id.to_owned(),
    })
}
