//! The mapping of a variant, key by key.

use super::fields::Shape::{Either, Name, Named, Text, Words};
use super::fields::{Table, may, must};
use super::tables::FRACTION;
use super::words::{self, listed};

/// One of `variants`.
pub(super) static VARIANT: Table = Table {
    name: "a variant",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        must("id", Name, "its name"),
        may(
            "work",
            Either(&[
                Words(|| listed(words::WORK)),
                Named(&Words(|| listed(words::WORK))),
            ]),
            "workmanship of every joint made on site, or by seam or group of seams",
        ),
        may(
            "seal class",
            Words(|| listed(words::SEAL_CLASS)),
            "what is sealed with mastic: C transverse joints, B lengthwise seams too, A what passes through the wall too",
        ),
        may(
            "swap",
            Named(&Text),
            "joint types that others take the place of: `tab collar: spin-in`",
        ),
        may(
            "move",
            Named(&Name),
            "places whose ducts lie elsewhere: `attic: inside`",
        ),
        may(
            "shorter",
            Either(&[FRACTION, Named(&FRACTION)]),
            "by how much all runs, or runs by name, are shorter",
        ),
    ],
};
