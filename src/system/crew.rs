//! What sealing takes on this job: the methods at hand, which seams each can serve, times and rates.

use super::notes::SAID;
use super::types::{SeamIdx, System};

/// How a crew seals here: the catalogue's methods with the person's own figures laid over.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Crew {
    /// Methods, in the order of the catalogue.
    pub methods: Vec<SealMethod>,
    /// How each seam can be served by hand or from inside, in the order of [`System::seams`]; best suited first.
    pub ways: Vec<Vec<Way>>,
    /// Why nobody seals a seam, in words, in the order of [`System::seams`]; `None` where it may be sealed.
    pub left: Vec<Option<String>>,
    /// Getting to each place once, minutes, in the order of [`System::places`].
    pub place_minutes: Vec<f64>,
    /// Where those minutes come from, in words.
    pub place_minutes_source: String,
    /// Putting back a seam that is found hanging open, before it is sealed, minutes.
    pub reattach_minutes: f64,
    /// Labour, money an hour for the whole crew; `None` where the sketch says nothing.
    pub money_per_hour: Option<f64>,
    /// Coming to the house once, money.
    pub money_per_visit: Option<f64>,
    /// The word for the money, as written; empty where the sketch says none.
    pub currency: String,
    /// Whether sealing from inside is offered here.
    pub from_inside: bool,
}

/// One way of sealing.
#[derive(Debug, Clone, PartialEq)]
pub struct SealMethod {
    /// Id, such as `mastic-mesh`.
    pub id: String,
    /// What is done, in trade words: `mastic with mesh`.
    pub words: String,
    /// Works from inside the ducts, between plugs, without reaching any seam.
    pub from_inside: bool,
    /// Widest gap that it closes, m.
    pub gap_to_m: f64,
    /// Only this far from the air handler along the ducts, m, and beyond; 0 anywhere.
    pub beyond_m: f64,
    /// Part of a treated length's leakage that usually remains (median).
    pub remains: f64,
    /// Its geometric standard deviation from seam to seam.
    pub remains_own_gsd: f64,
    /// Its geometric standard deviation from job to job, shared by all seams so sealed.
    pub remains_shared_gsd: f64,
    /// Part of a joint that is usually missed (mean): not seen, not reached round the back.
    pub missed: f64,
    /// Its geometric standard deviation from job to job, shared by all seams so sealed.
    pub missed_shared_gsd: f64,
    /// Minutes for each seam, whatever its length.
    pub minutes_each: f64,
    /// Minutes for each metre of joint besides.
    pub minutes_per_m: f64,
    /// Minutes to set the method up once on a job.
    pub minutes_once: f64,
    /// Material: `mastic`, `foil tape`.
    pub material: String,
    /// What the material is counted in: `L`, `m`, `each`.
    pub unit: String,
    /// Material for each seam.
    pub material_each: f64,
    /// Material for each metre of joint besides.
    pub material_per_m: f64,
    /// Price of one unit of material.
    pub money_per_unit: Option<f64>,
    /// Money to set the method up once on a job.
    pub money_once: Option<f64>,
    /// Wait before a test, h.
    pub cure_h: f64,
    /// Where its figures come from, in words, with how sure.
    pub source: String,
}

/// A method that can serve a seam.
#[derive(Debug, Clone, PartialEq)]
pub struct Way {
    /// Index in [`Crew::methods`].
    pub method: usize,
    /// What is fastened first, in words; `None` where nothing is.
    pub fasten: Option<String>,
    /// Minutes for fastening.
    pub fasten_minutes: f64,
    /// Minutes to bare the joint and put insulation back.
    pub bare_minutes: f64,
    /// Metres of joint that are covered.
    pub joint_m: f64,
    /// Done from the room with the register off: the place round the ducts is not gone to.
    pub from_room: bool,
    /// What must stay free or safe at such a joint; empty where there is nothing to say.
    pub caution: String,
}

impl Crew {
    /// The method of an id.
    #[must_use]
    pub fn method(&self, id: &str) -> Option<usize> {
        self.methods.iter().position(|method| method.id == id)
    }
}

impl SealMethod {
    /// The figures that the person who wrote the sketch gave, as keys of the sketch; `None` where all are the catalogue's.
    #[must_use]
    pub fn given(&self) -> Option<&str> {
        let keys = self.source.strip_prefix(SAID)?.strip_prefix(": ")?;
        keys.split("; the rest").next()
    }
}

impl Way {
    /// Minutes for the seam, the place's set-up and reattaching left out.
    #[must_use]
    pub fn minutes(&self, method: &SealMethod) -> f64 {
        method.minutes_each
            + method.minutes_per_m * self.joint_m
            + self.fasten_minutes
            + self.bare_minutes
    }

    /// Material for the seam, in the method's unit.
    #[must_use]
    pub fn material(&self, method: &SealMethod) -> f64 {
        method.material_each + method.material_per_m * self.joint_m
    }
}

impl System {
    /// The ways in which a seam can be sealed.
    #[must_use]
    pub fn ways(&self, seam: SeamIdx) -> &[Way] {
        self.crew.ways.get(seam).map_or(&[], Vec::as_slice)
    }
}
