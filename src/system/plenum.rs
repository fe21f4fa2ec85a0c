//! The plenum boxes at the unit.

use petgraph::graph::NodeIndex;

use super::notes::{ESTIMATE, PRACTICE};
use super::order::side_word;
use super::shape;
use super::site::Site;
use super::trade;
use super::types::{PlaceIdx, SeamRole, Side};
use super::unit::push;
use crate::quantity::{Length, Size};
use crate::sketch::{Material, Plenum};

/// Section of a plenum when nobody says, m: 20 by 20 in. Common practice.
const PLENUM_SIDE_M: f64 = Length::from_in(20.0).si();
/// Length of a plenum when nobody says, m: 3 ft. Common practice.
const PLENUM_LENGTH_M: f64 = Length::from_ft(3.0).si();
/// Joints of a plenum round the air: at its foot, its top and between. Engineering estimate.
const PLENUM_JOINTS: usize = 3;
/// Corners of a plenum that are lengthwise seams. Engineering estimate.
const PLENUM_CORNERS: f64 = 4.0;

/// The section of a plenum.
pub(super) fn plenum_size(site: &mut Site<'_>, plenum: Option<&Plenum>, side: Side) -> Size {
    match plenum.and_then(|p| p.size.as_ref()) {
        Some(size) => size.value,
        None => {
            let size = Size::Rect(Length::new(PLENUM_SIDE_M), Length::new(PLENUM_SIDE_M));
            let taken = format!("size: {}", site.book.size(&size));
            site.notes
                .assume(&format!("{} plenum", side_word(side)), &taken, PRACTICE);
            size
        }
    }
}

/// The seams of a plenum box.
pub(super) fn plenum_seams(
    site: &mut Site<'_>,
    plenum: Option<&Plenum>,
    size: Size,
    side: Side,
    at: NodeIndex,
    place: PlaceIdx,
) {
    let about = format!("{} plenum", side_word(side));
    let material = match plenum.and_then(|p| p.material.as_ref()) {
        Some(m) => m.value,
        None => {
            let m = if shape::is_round(&size) {
                Material::Round
            } else {
                Material::Rectangular
            };
            site.notes.assume(
                &about,
                &format!("material: {}", trade::build_of(m).words),
                PRACTICE,
            );
            m
        }
    };
    let length = match plenum.and_then(|p| p.length.as_ref()) {
        Some(length) => length.value.si(),
        None => {
            let taken = format!(
                "length: {}",
                Length::new(PLENUM_LENGTH_M).show(site.book.units)
            );
            site.notes.assume(&about, &taken, PRACTICE);
            PLENUM_LENGTH_M
        }
    };
    let own = plenum.map(|p| &p.over);
    let book = site.book;
    let around = book.around_unit(
        own,
        Some(material),
        &about,
        place,
        &mut site.places,
        &mut site.notes,
    );
    let sections = site.sections(material);
    let build = trade::build_of(material);
    site.notes.assume(
        &about,
        "3 joints round the air and seams along 4 corners",
        ESTIMATE,
    );
    let words = site.book.size(&size);
    if let Some(joint) = sections.joint {
        for k in 1..=PLENUM_JOINTS {
            push(
                site,
                format!("unit/{about} joint {k}"),
                &about,
                format!("joint of {about} {words}"),
                joint,
                shape::perimeter(&size),
                1.0,
                around,
                side,
                at,
                SeamRole::Duct,
            );
        }
    }
    if let Some(lock) = sections.seam {
        let factor = sections.gauge_m.map_or(1.0, |t| lock.gauge_factor(t));
        let id = format!("unit/{about} {}", build.seam_word);
        let what = format!("{} of {about} {words}", build.seam_word);
        push(
            site,
            id,
            &about,
            what,
            lock,
            PLENUM_CORNERS * length,
            factor,
            around,
            side,
            at,
            SeamRole::Duct,
        );
    }
}
