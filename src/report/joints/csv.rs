//! `ductseam joints --format csv`: one row a joint type and state of workmanship, SI. Joint types that the systems have
//! come first, the largest part first; then the rest of the catalogue.

use crate::catalog::{Catalog, Work};
use crate::report::csv_table::{csv_table, optional};
use crate::teach::{JointTypes, TypePart};

/// Columns of the table, in order.
pub const COLUMNS: [&str; 21] = [
    "joint_type",
    "name",
    "basis",
    "work",
    "catalog_mean_m3_s",
    "catalog_p05_m3_s",
    "catalog_p95_m3_s",
    "sure",
    "source",
    "count",
    "seams_of_this_work",
    "amount",
    "test_mean_m3_s",
    "test_p05_m3_s",
    "test_p95_m3_s",
    "test_share",
    "test_leakiest_chance",
    "running_mean_m3_s",
    "running_share",
    "all_so_part_of_type",
    "all_so_part_of_total",
];

/// The joint types.
#[must_use]
pub fn joints_csv(catalog: &Catalog, found: &JointTypes) -> String {
    let seen = found
        .types
        .iter()
        .map(|one| (one.joint_type.as_str(), Some(one)));
    let unseen = catalog
        .joints()
        .iter()
        .map(|joint| joint.id.as_str())
        .filter(|id| !found.types.iter().any(|one| one.joint_type == *id))
        .map(|id| (id, None));
    let rows = seen
        .chain(unseen)
        .flat_map(|(id, one)| Work::ALL.map(|work| row(catalog, id, one, work)));
    csv_table(&COLUMNS, rows)
}

fn row(catalog: &Catalog, id: &str, one: Option<&TypePart>, work: Work) -> [String; 21] {
    let joint = catalog.joint(id);
    let state = joint.map(|joint| joint.state(work));
    let band = state.map(crate::catalog::State::band_90);
    let change = one.and_then(|one| match work {
        Work::Unsealed => None,
        Work::Ordinary => Some(one.to_ordinary),
        Work::Mastic => Some(one.to_mastic),
    });
    let at = Work::ALL.iter().position(|other| *other == work);
    let text = |text: Option<&str>| text.unwrap_or_default().to_owned();
    let whole = |count: Option<usize>| count.map_or_else(String::new, |count| count.to_string());
    let test = one.map(|one| one.test);
    let running = one.and_then(|one| one.running);
    [
        id.to_owned(),
        text(
            one.map(|one| one.name.as_str())
                .or(joint.map(|j| j.name.as_str())),
        ),
        text(
            one.map(|one| one.basis)
                .or(joint.map(|j| j.basis))
                .map(|b| b.word()),
        ),
        work.word().to_owned(),
        optional(state.map(|state| state.mean_q25)),
        optional(band.map(|band| band.0)),
        optional(band.map(|band| band.1)),
        text(state.map(|state| state.source.sure.code())),
        text(state.map(|state| state.source.text.as_str())),
        whole(one.map(|one| one.count)),
        whole(one.and_then(|one| at.map(|at| one.works[at]))),
        optional(one.map(|one| one.amount)),
        optional(test.map(|part| part.flow_m3_s.mean)),
        optional(test.map(|part| part.flow_m3_s.p05)),
        optional(test.map(|part| part.flow_m3_s.p95)),
        optional(test.map(|part| part.share)),
        optional(test.map(|part| part.leakiest_chance)),
        optional(running.map(|part| part.flow_m3_s.mean)),
        optional(running.map(|part| part.share)),
        optional(change.map(|change| change.of_type)),
        optional(change.map(|change| change.of_total)),
    ]
}
