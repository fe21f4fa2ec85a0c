//! The catalogue's joint types by leakage: by the metre, and by the piece.

use crate::catalog::{Basis, Catalog, JointType, Work};

/// A joint type with its place among those counted alike.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ranked<'c> {
    /// Place, 1 for the leakiest of its basis.
    pub rank: usize,
    /// The joint type.
    pub joint: &'c JointType,
}

/// Joint types of one basis in one state of workmanship, the leakiest mean first; equals keep the catalogue's order.
///
/// What the sketch forgot (group `remainder`) is no joint type and left out.
///
/// # Examples
/// ```
/// use ductseam::catalog::{Basis, Catalog, Work};
/// let by_metre = ductseam::teach::ranking(Catalog::builtin(), Basis::PerMetre, Work::Unsealed);
/// let place = |id| by_metre.iter().find(|r| r.joint.id == id).expect("a row").rank;
/// assert!(place("seam-snaplock-round") < place("seam-spiral"));
/// ```
#[must_use]
pub fn ranking(catalog: &Catalog, basis: Basis, work: Work) -> Vec<Ranked<'_>> {
    let mut joints: Vec<&JointType> = catalog
        .joints()
        .iter()
        .filter(|joint| joint.basis == basis && joint.group != REMAINDER)
        .collect();
    joints.sort_by(|a, b| b.state(work).mean_q25.total_cmp(&a.state(work).mean_q25));
    joints
        .into_iter()
        .enumerate()
        .map(|(at, joint)| Ranked {
            rank: at + 1,
            joint,
        })
        .collect()
}

/// Group of the rows that stand for what a sketch forgot.
pub(super) const REMAINDER: &str = "remainder";

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_joint_type_stands_once_and_means_never_rise() {
        let catalog = Catalog::builtin();
        for work in Work::ALL {
            let mut seen = 0;
            for basis in [Basis::PerMetre, Basis::Each] {
                let found = ranking(catalog, basis, work);
                assert!(found.windows(2).all(|pair| {
                    pair[0].joint.state(work).mean_q25 >= pair[1].joint.state(work).mean_q25
                        && pair[0].rank + 1 == pair[1].rank
                }));
                seen += found.len();
            }
            let forgotten = catalog.joints().iter().filter(|j| j.group == REMAINDER);
            assert_eq!(seen + forgotten.count(), catalog.joints().len());
        }
    }
}
