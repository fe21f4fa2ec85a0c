//! The mapping of `minutes`, key by key.

use super::fields::Shape::Number;
use super::fields::{Field, Table, may};
use super::limits;

const fn minutes(key: &'static str, doc: &'static str) -> Field {
    may(
        key,
        Number(limits::MINUTES.least, limits::MINUTES.most),
        doc,
    )
}

/// `minutes`: the ids of the catalogue's table of tasks.
pub(super) static MINUTES: Table = Table {
    name: "`minutes`",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        minutes("smoke look", "smoke at one seam"),
        minutes(
            "gap look",
            "the width of one gap measured, or one seam looked at without smoke",
        ),
        minutes(
            "place set up",
            "getting to a place once: ladder, light, boards to stand on",
        ),
        minutes(
            "total",
            "a total test: registers masked, fan set up, one pressure",
        ),
        minutes(
            "another pressure",
            "the same test at another pressure, or once more",
        ),
        minutes(
            "to outside",
            "a test to outside after a total test: fan in a door, both held alike",
        ),
        minutes("one side", "one side alone behind a barrier"),
        minutes(
            "guarded",
            "one side alone, the other held at the same pressure by a second fan",
        ),
        minutes("plug run", "one run plugged at its start"),
        minutes(
            "isolated",
            "one run alone behind a plug, fan at its own register",
        ),
        minutes(
            "rough in",
            "a test of the ducts before the air handler is set",
        ),
        minutes(
            "house fan",
            "a fan in an outside door set up, burners off, house closed",
        ),
        minutes("mask registers", "all registers masked or opened again"),
        minutes("pan", "one register under a pan, the house fan running"),
        minutes("statics", "static pressures of both plenums while running"),
        minutes("register flow", "the flow at one register or grille"),
        minutes(
            "airflow",
            "the flow of the air handler, with a plate or by a fan on the return",
        ),
        minutes("room pressure", "pressure of one room while running"),
        minutes(
            "place pressure",
            "pressure of one place against the house, a tube laid to it",
        ),
        minutes(
            "house pressure",
            "pressure of the house against outdoors while running",
        ),
        minutes(
            "nulling flow",
            "the flow that brings a running house back to its pressure at rest, the house fan set up",
        ),
        minutes(
            "reattach",
            "a joint found hanging open put back in its place, before it is sealed",
        ),
        minutes(
            "bare insulation",
            "insulation pulled back from one joint, kept, and put back",
        ),
    ],
};
