//! How large an opening a seam leaves when it hangs open or comes off.

use super::types::{SeamAt, SeamRole, System};

/// Fills [`Seam::opening_m2`](super::Seam::opening_m2) from the finished graph: the section of the piece that the seam
/// belongs to, else the smallest section at its junction; a boot's gap is held to the boot's own opening.
pub(super) fn fill_areas(system: &mut System) {
    let by_id: std::collections::BTreeMap<&str, f64> = system
        .graph
        .edge_weights()
        .map(|piece| (piece.id.as_str(), piece.section.area().si()))
        .collect();
    let smallest_at = |node| {
        system
            .graph
            .edges_directed(node, petgraph::Direction::Incoming)
            .chain(
                system
                    .graph
                    .edges_directed(node, petgraph::Direction::Outgoing),
            )
            .map(|edge| edge.weight().section.area().si())
            .fold(f64::INFINITY, f64::min)
    };
    let areas: Vec<f64> = system
        .seams
        .iter()
        .map(
            |seam| match (seam.role, seam.at, by_id.get(seam.piece.as_str())) {
                (SeamRole::BootGap(opening), ..) => system.openings[opening].size.area().si(),
                (_, _, Some(area)) => *area,
                (_, SeamAt::Piece(piece, _), None) => system.graph[piece].section.area().si(),
                (_, SeamAt::Junction(node), None) => smallest_at(node),
            },
        )
        .collect();
    for (seam, area) in system.seams.iter_mut().zip(areas) {
        if area.is_finite() {
            seam.opening_m2 = area;
        }
    }
}
