//! Where pieces and seams are, m.

use petgraph::graph::EdgeIndex;

use super::view::Point;
use crate::catalog::{Basis, Catalog};
use crate::system::{Seam, SeamAt, SeamRole, System};

/// Tail and head of a piece.
pub(super) fn ends(system: &System, edge: EdgeIndex) -> Option<(Point, Point)> {
    let (tail, head) = system.graph.edge_endpoints(edge)?;
    Some((system.graph[tail].position_m, system.graph[head].position_m))
}

/// Where a seam is; of a lengthwise one, from where to where.
pub(super) fn of_seam(system: &System, catalog: &Catalog, seam: &Seam) -> (Point, Option<Point>) {
    if let SeamRole::BootGap(opening) = seam.role
        && let Some(opening) = system.openings.get(opening)
    {
        return (system.graph[opening.node].position_m, None);
    }
    match seam.at {
        SeamAt::Junction(node) => (system.graph[node].position_m, None),
        SeamAt::Piece(edge, part) => match ends(system, edge) {
            Some((tail, head)) if is_lengthwise(catalog, seam) && tail != head => {
                (tail, Some(head))
            }
            Some((tail, head)) => (
                std::array::from_fn(|i| tail[i] + part * (head[i] - tail[i])),
                None,
            ),
            None => ([0.0; 3], None),
        },
    }
}

/// Whether a seam runs along the duct.
fn is_lengthwise(catalog: &Catalog, seam: &Seam) -> bool {
    seam.basis == Basis::PerMetre
        && catalog
            .joint(&seam.joint_type)
            .is_some_and(|joint| matches!(joint.group.as_str(), "seam" | "cavity"))
}
