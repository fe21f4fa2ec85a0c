//! Set-ups: how the system is prepared for a test.

use super::types::{
    FanPlace, LeadsTo, OpeningIdx, RunIdx, Seam, SeamIdx, Setup, Side, System, TapPlace, TestKind,
};
use crate::math::{ln, powf};
use crate::sketch::{Barrier, Mask};

impl System {
    /// The usual total test: blown up to 25 Pa, house open to outdoors, registers masked round their flanges.
    ///
    /// The fan stands at the largest return grille, else in the blower panel's place; the tap is in the supply plenum.
    pub fn total_setup(&self) -> Setup {
        setup(self, TestKind::Total)
    }

    /// The usual test to outside: as [`System::total_setup`], with the house held at the ducts' pressure.
    pub fn to_outside_setup(&self) -> Setup {
        setup(self, TestKind::ToOutside)
    }

    /// The usual test of one side behind a barrier in the filter's place.
    pub fn one_side_setup(&self, side: Side) -> Setup {
        setup(self, TestKind::OneSide(side))
    }

    /// The usual test of one run behind a plug at its start; fan and tap at its own opening.
    ///
    /// A run without an opening has nowhere to put the fan: then the set-up names the blower panel, and the
    /// flow solver refuses it.
    pub fn isolated_setup(&self, run: RunIdx) -> Setup {
        setup(self, TestKind::Isolated(run))
    }

    /// The usual set-up of any kind: what its recipe says, registers masked round their flanges, a barrier in the
    /// filter's place.
    pub fn setup(&self, kind: TestKind) -> Setup {
        setup(self, kind)
    }

    /// The seam of an id.
    pub fn seam_by_id(&self, id: &str) -> Option<SeamIdx> {
        self.seams.iter().position(|s| s.id == id)
    }

    /// Sum of the prior mean flows of all seams at 25 Pa, m³/s: every seam at the full test pressure.
    pub fn prior_q25_m3_s(&self) -> f64 {
        self.seams.iter().map(|s| s.mean_q25_m3_s).sum()
    }

    /// Natural logarithm of the prior mean flow at 25 Pa, m³/s, and exponent of every seam.
    pub fn prior_laws(&self) -> (Vec<f64>, Vec<f64>) {
        self.seams
            .iter()
            .map(|s| (ln(s.mean_q25_m3_s), s.n))
            .unzip()
    }

    /// Sum of the prior mean flows of one side's seams at 25 Pa, m³/s.
    pub fn prior_side_q25_m3_s(&self, side: Side) -> f64 {
        self.seams
            .iter()
            .filter(|s| s.side == side)
            .map(|s| s.mean_q25_m3_s)
            .sum()
    }

    /// Prior mean flow of a seam in a test to outside with ducts and house at 25 Pa, m³/s: only the part of the
    /// pressure that its place lacks drives it.
    pub fn prior_to_outside_m3_s(&self, seam: &Seam) -> f64 {
        let part = 1.0 - self.places[seam.place].house_share;
        if part > 0.0 {
            seam.mean_q25_m3_s * powf(part, seam.n)
        } else {
            0.0
        }
    }

    /// The opening to a room with the largest area on a side; the first of equals.
    pub fn largest_opening(&self, side: Side) -> Option<OpeningIdx> {
        let mut best: Option<(f64, OpeningIdx)> = None;
        for (i, opening) in self
            .openings
            .iter()
            .enumerate()
            .filter(|(_, o)| o.side == side && o.leads_to == LeadsTo::Room)
        {
            let area = opening.size.area().si();
            if best.is_none_or(|(most, _)| area > most) {
                best = Some((area, i));
            }
        }
        best.map(|b| b.1)
    }
}

/// The usual set-up of a kind.
pub(super) fn setup(system: &System, kind: TestKind) -> Setup {
    let barrier = Barrier::Filter;
    let usual = kind.recipe().usual_pa;
    Setup {
        kind,
        pressure_pa: usual.abs(),
        pressurise: usual >= 0.0,
        fan: usual_fan(system, kind, barrier),
        tap: usual_tap(system, kind),
        barrier,
        mask: Mask::Flange,
        plugged: Vec::new(),
    }
}

/// Where the fan stands when nobody says.
pub(super) fn usual_fan(system: &System, kind: TestKind, barrier: Barrier) -> FanPlace {
    let opening = match kind {
        TestKind::Total
        | TestKind::ToOutside
        | TestKind::OneSide(Side::Return)
        | TestKind::Guarded(Side::Return) => system.largest_opening(Side::Return),
        // Behind a barrier in the filter's place the cabinet is on the supply side, and its panel takes the fan.
        TestKind::OneSide(Side::Supply) | TestKind::Guarded(Side::Supply) => match barrier {
            Barrier::Filter => None,
            Barrier::BlowerInlet | Barrier::BlowerOutlet => system.largest_opening(Side::Supply),
        },
        TestKind::Isolated(run) => system.runs[run].opening,
        // The fan stands where the air handler will, and the others have none on the ducts.
        TestKind::RoughIn
        | TestKind::Pan(_)
        | TestKind::HouseFanOpen
        | TestKind::HouseFanMasked
        | TestKind::Running
        | TestKind::RunningHeld => None,
    };
    opening.map_or(FanPlace::BlowerPanel, FanPlace::Opening)
}

/// Where the tap is when nobody says.
pub(super) fn usual_tap(system: &System, kind: TestKind) -> TapPlace {
    match kind {
        TestKind::OneSide(Side::Return) | TestKind::Guarded(Side::Return) => TapPlace::ReturnPlenum,
        TestKind::Isolated(run) => system.runs[run]
            .opening
            .map_or(TapPlace::SupplyPlenum, TapPlace::Opening),
        TestKind::Pan(opening) => TapPlace::Opening(opening),
        TestKind::Total
        | TestKind::ToOutside
        | TestKind::OneSide(Side::Supply)
        | TestKind::Guarded(Side::Supply)
        | TestKind::RoughIn
        | TestKind::HouseFanOpen
        | TestKind::HouseFanMasked
        | TestKind::Running
        | TestKind::RunningHeld => TapPlace::SupplyPlenum,
    }
}
