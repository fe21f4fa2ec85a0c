//! Sums over groups of seams.

use std::collections::BTreeMap;

use super::record::Recorded;
use super::types::GroupResult;
use super::weights::{self, band};
use crate::catalog::Basis;
use crate::system::{Reach, Seam, SeamIdx, System};

/// All groupings of an answer.
pub(crate) struct Groups {
    pub by_joint_type: Vec<GroupResult>,
    pub by_run: Vec<GroupResult>,
    pub by_place: Vec<GroupResult>,
    pub by_reach: Vec<GroupResult>,
    pub hidden: GroupResult,
}

/// Words for reach, easiest first.
const REACHES: [(Reach, &str); 4] = [
    (Reach::Open, "open"),
    (Reach::UnderInsulation, "under insulation"),
    (Reach::BehindFinish, "behind finish"),
    (Reach::None, "none"),
];

/// Makes all groupings.
/// Chances are those of holding more than `asked` of the total.
pub(crate) fn groups(system: &System, recorded: &Recorded, asked: f64) -> Groups {
    let by = |key: &dyn Fn(&Seam) -> (String, String)| {
        let mut members: BTreeMap<(String, String), Vec<SeamIdx>> = BTreeMap::new();
        for (i, seam) in system.seams.iter().enumerate() {
            members.entry(key(seam)).or_default().push(i);
        }
        let mut results: Vec<GroupResult> = members
            .into_iter()
            .map(|((id, name), seams)| group(system, recorded, asked, id, name, &seams))
            .collect();
        // Stable, so equal shares keep the alphabetical order.
        results.sort_by(|a, b| b.share.mean.total_cmp(&a.share.mean));
        results
    };
    let reached = |is_in: &dyn Fn(Reach) -> bool| -> Vec<SeamIdx> {
        (0..system.seams.len())
            .filter(|&i| is_in(system.seams[i].reach))
            .collect()
    };
    Groups {
        by_joint_type: by(&|s| (s.joint_type.clone(), s.joint_name.clone())),
        by_run: by(&|s| (s.run.clone(), s.run.clone())),
        by_place: by(&|s| {
            let name = system.places[s.place].name.clone();
            (name.clone(), name)
        }),
        by_reach: REACHES
            .iter()
            .map(|&(reach, word)| {
                let seams = reached(&|r| r == reach);
                group(
                    system,
                    recorded,
                    asked,
                    word.to_owned(),
                    word.to_owned(),
                    &seams,
                )
            })
            .collect(),
        hidden: group(
            system,
            recorded,
            asked,
            "hidden".to_owned(),
            "behind finish or out of reach".to_owned(),
            &reached(&|r| matches!(r, Reach::BehindFinish | Reach::None)),
        ),
    }
}

fn group(
    system: &System,
    recorded: &Recorded,
    asked: f64,
    id: String,
    name: String,
    members: &[SeamIdx],
) -> GroupResult {
    let layout = recorded.layout;
    let sum_of = |row: &[f64], column: usize| members.iter().map(|&i| row[column + i]).sum::<f64>();
    let (mut q25, mut test, mut share) = (Vec::new(), Vec::new(), Vec::new());
    for row in recorded.rows() {
        let total: f64 = row[layout.test()..][..layout.n_seams].iter().sum();
        let part = sum_of(row, layout.test());
        q25.push(sum_of(row, layout.q25()));
        test.push(part);
        share.push(if total > 0.0 { part / total } else { 0.0 });
    }
    let basis: Option<Basis> = members
        .first()
        .map(|&i| system.seams[i].basis)
        .filter(|basis| members.iter().all(|&i| system.seams[i].basis == *basis));
    let mut pairs = Vec::new();
    GroupResult {
        id,
        name,
        count: members.len(),
        amount: basis.map(|_| members.iter().map(|&i| system.seams[i].amount).sum()),
        basis,
        q25_m3_s: band(&q25, &recorded.weights, &mut pairs),
        test_m3_s: band(&test, &recorded.weights, &mut pairs),
        share_chance: {
            let above: Vec<f64> = share
                .iter()
                .map(|s| f64::from(u8::from(*s > asked)))
                .collect();
            weights::mean(&above, &recorded.weights)
        },
        share: band(&share, &recorded.weights, &mut pairs),
    }
}
