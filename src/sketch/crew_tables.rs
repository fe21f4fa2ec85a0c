//! The mappings of `crew`, key by key.

use super::fields::Shape::{Either, Form, List, Map, Named, Number, Text, YesNo};
use super::fields::{Field, Shape, Table, may};
use super::limits::{self, Bounds};
use super::tables::{FRACTION, LENGTH};

const fn number(bounds: &Bounds) -> Shape {
    Number(bounds.least, bounds.most)
}

const MONEY: Shape = number(&limits::MONEY);
const MINUTES: Shape = number(&limits::SEAL_MINUTES);
const SET_UP: Shape = number(&limits::SET_UP);

/// `crew`.
pub(super) static CREW: Table = Table {
    name: "`crew`",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may(
            "currency",
            Text,
            "the word for the money, at most 8 characters",
        ),
        may("hour", MONEY, "money an hour for the whole crew"),
        may("visit", MONEY, "money for coming to the house once"),
        may(
            "set up",
            Named(&SET_UP),
            "minutes to get to a place once, by place",
        ),
        may(
            "from inside",
            YesNo,
            "whether sealing from inside by aerosol is offered; no if not said",
        ),
        may(
            "leave",
            Either(&[Text, List(&Text, false)]),
            "seams, or groups of seams, that nobody seals",
        ),
        may(
            "methods",
            Map(&METHODS),
            "methods with figures of your own, or `no` where one is not used here",
        ),
    ],
};

const USE: Shape = Either(&[YesNo, Map(&METHOD)]);

const fn method(key: &'static str, doc: &'static str) -> Field {
    may(key, USE, doc)
}

/// `methods` of the crew: the ids of the catalogue's table of methods.
pub(super) static METHODS: Table = Table {
    name: "`methods`",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        method("mastic", "brush mastic"),
        method("mastic mesh", "mastic with glass-fibre mesh"),
        method(
            "bridge mesh",
            "bridged with tape or sheet metal, then mastic with mesh",
        ),
        method("patch", "rigid patch fastened, then mastic with mesh"),
        method("foil tape", "listed foil tape on clean metal or board"),
        method("gasket", "gasket under a panel or door"),
        method(
            "flex mastic",
            "core clamped with a metal band and sealed with mastic",
        ),
        method("caulk", "sealant between boot and surface"),
        method("redo", "joint taken apart and made anew"),
        method("inside", "sealed from inside by aerosol between plugs"),
    ],
};

/// One method of the crew.
pub(super) static METHOD: Table = Table {
    name: "a method",
    one_of: &[],
    needs: &[],
    only_with: &[],
    fields: &[
        may("minutes each", MINUTES, "minutes for each seam"),
        may(
            "minutes per metre",
            MINUTES,
            "minutes for each metre of joint besides",
        ),
        may(
            "minutes once",
            MINUTES,
            "minutes to set it up once on a job",
        ),
        may(
            "remains",
            FRACTION,
            "part of a treated length's leakage that usually remains",
        ),
        may(
            "missed",
            FRACTION,
            "part of a joint that is missed on average",
        ),
        may(
            "cure",
            Form(r"^\s*[0-9]*\.?[0-9]+\s*[hH]\s*$", &["24 h"]),
            "wait before a test",
        ),
        may("price", MONEY, "price of one unit of its material"),
        may("price once", MONEY, "money to set it up once on a job"),
        may("gap to", LENGTH, "widest gap that it closes"),
    ],
};
