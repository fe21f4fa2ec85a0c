//! Where model and measurement part: sums over seams before the evidence and after it.

use crate::allocate::{Allocation, SeamResult};
use crate::report::words;

/// Seams of one kind, before any evidence and with all of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Parting {
    /// Id of the side or joint type.
    pub id: String,
    /// Readable name.
    pub name: String,
    /// How many seams.
    pub count: usize,
    /// Mean flow at 25 Pa before any evidence, m³/s.
    pub before_m3_s: f64,
    /// Mean flow at 25 Pa with all evidence, m³/s.
    pub after_m3_s: f64,
}

impl Parting {
    /// After over before; `None` where nothing was expected.
    pub fn factor(&self) -> Option<f64> {
        (self.before_m3_s > 0.0).then(|| self.after_m3_s / self.before_m3_s)
    }
}

/// Supply and return.
pub fn by_side(allocation: &Allocation) -> Vec<Parting> {
    let key = |seam: &SeamResult| {
        let side = words::side(seam.side).to_owned();
        (side.clone(), side)
    };
    parted(allocation, key)
}

/// Joint types, those that changed most first.
pub fn by_joint_type(allocation: &Allocation) -> Vec<Parting> {
    let mut found = parted(allocation, |seam| {
        (seam.joint_type.clone(), seam.joint_name.clone())
    });
    let change = |one: &Parting| (one.after_m3_s - one.before_m3_s).abs();
    // Stable, so equal changes keep the order of the system.
    found.sort_by(|a, b| change(b).total_cmp(&change(a)));
    found
}

fn parted(allocation: &Allocation, key: impl Fn(&SeamResult) -> (String, String)) -> Vec<Parting> {
    let mut found: Vec<Parting> = Vec::new();
    for seam in &allocation.seams {
        let (id, name) = key(seam);
        let at = found
            .iter()
            .position(|one| one.id == id)
            .unwrap_or_else(|| {
                found.push(Parting {
                    id,
                    name,
                    count: 0,
                    before_m3_s: 0.0,
                    after_m3_s: 0.0,
                });
                found.len() - 1
            });
        let one = &mut found[at];
        one.count += 1;
        one.before_m3_s += seam.prior_q25_m3_s.mean;
        one.after_m3_s += seam.q25_m3_s.mean;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::samples;

    #[test]
    fn sums_are_whole_and_the_greatest_change_comes_first() {
        let system = samples::system();
        let mut allocation = samples::allocation(&system);
        let last = allocation.seams.len() - 1;
        let of_last = allocation.seams[last].joint_type.clone();
        allocation.seams[last].q25_m3_s.mean = 7.0;
        let types = by_joint_type(&allocation);
        assert_eq!(types[0].id, of_last);
        assert!(types[0].factor().expect("expected") > 100.0);
        let count = |found: &[Parting]| found.iter().map(|one| one.count).sum::<usize>();
        assert_eq!(count(&types), system.seams.len());
        let sides = by_side(&allocation);
        assert_eq!((sides.len(), count(&sides)), (2, system.seams.len()));
        // Every prior of the sample is twice its posterior, the changed seam aside.
        let other = types.iter().find(|one| one.id != of_last).expect("another");
        assert!((other.factor().expect("expected") - 0.5).abs() < 1e-12);
        let nothing = Parting {
            before_m3_s: 0.0,
            ..other.clone()
        };
        assert_eq!(nothing.factor(), None);
    }
}
