//! The sketch at hand with its look-ups: which word wins when several levels speak.

use std::collections::BTreeMap;

use super::notes::{ESTIMATE, Notes, PRACTICE};
use super::places::{Places, split_tail};
use super::shape;
use super::trade::{self, Build};
use super::types::{PlaceIdx, RunIdx};
use crate::catalog::{Catalog, JointType, Work};
use crate::quantity::{Size, UnitSystem};
use crate::sketch::{
    Diagnostic, Marked, Material, Overrides, Reach, Run, Sketch, Usual, nearest, some_of,
};

/// Flex compression taken when nobody says. ASHRAE flex tests: a released duct relaxes to about 15 %.
const COMPRESSION: f64 = 0.15;

/// The sketch with its look-ups.
pub(super) struct Book<'a> {
    pub sketch: &'a Sketch,
    pub catalog: &'a Catalog,
    pub units: UnitSystem,
    runs: BTreeMap<&'a str, RunIdx>,
    usual: BTreeMap<Option<Material>, &'a Usual>,
}

/// What surrounds a step: all of it is said, inherited or assumed.
#[derive(Debug, Clone, Copy)]
pub(super) struct Around {
    pub place: PlaceIdx,
    pub reach: Reach,
    /// Whether the step itself or its run said the reach.
    pub reach_said: bool,
    pub work: Work,
    pub insulation: f64,
}

/// How the sections of a material are built here.
#[derive(Debug, Clone, Copy)]
pub(super) struct Sections<'c> {
    pub seam: Option<&'c JointType>,
    pub joint: Option<&'c JointType>,
    pub section_m: Option<f64>,
    pub gauge_m: Option<f64>,
    /// Roughness without a liner, m.
    pub bare_roughness_m: f64,
    /// Roughness when the run says nothing, m.
    pub usual_roughness_m: f64,
}

impl<'a> Book<'a> {
    /// Opens the book; twins among run ids and `usual` entries are errors.
    pub fn open(sketch: &'a Sketch, catalog: &'a Catalog, notes: &mut Notes) -> Book<'a> {
        let mut runs = BTreeMap::new();
        for (i, run) in sketch.runs.iter().enumerate() {
            if run.id.value == "unit" {
                notes.wrong(
                    Diagnostic::new(
                        "E0203",
                        run.id.at,
                        "`unit` names the air handler and cannot name a run",
                    )
                    .hint("give the run another id"),
                );
            }
            if let Some(first) = runs.insert(run.id.value.as_str(), i) {
                let earlier = sketch.runs[first].id.at;
                notes.wrong(
                    Diagnostic::new(
                        "E0204",
                        run.id.at,
                        format!("two runs are called `{}`", run.id.value),
                    )
                    .label("the second one")
                    .also(earlier, "the first one")
                    .hint("give each run its own id"),
                );
                runs.insert(run.id.value.as_str(), first);
            }
        }
        let usual = sketch.usual.iter().map(|u| (u.material, u)).collect();
        Book {
            sketch,
            catalog,
            units: sketch.units,
            runs,
            usual,
        }
    }

    /// The run of an id; an unknown one is an error.
    pub fn run(&self, id: &Marked<String>, notes: &mut Notes) -> Option<RunIdx> {
        let found = self.run_called(&id.value);
        if found.is_none() {
            let near = notes.near(&id.value, self.runs.keys().copied());
            let problem =
                Diagnostic::new("E0205", id.at, format!("no run is called `{}`", id.value))
                    .label("unknown run");
            let split = split_tail(&id.value, |head| self.run_called(head).is_some());
            notes.wrong(match (near, split) {
                (_, Some((run, _))) => problem.hint(format!(
                    "did you mean the run `{run}`? After a run stands `at LENGTH` before any place, reach or work: \
                     `joins {run} at 12 ft mastic`"
                )),
                (Some(_), None) => problem.suggest(near),
                (None, None) => problem.hint(format!("the runs are: {}", self.some_runs())),
            });
        }
        found
    }

    /// The run of an id, if there is one.
    pub fn run_called(&self, id: &str) -> Option<RunIdx> {
        self.runs.get(id.trim()).copied()
    }

    /// The run ids.
    pub fn run_ids(&self) -> impl Iterator<Item = &'a str> + '_ {
        self.runs.keys().copied()
    }

    /// The ids of some runs, for a hint.
    pub fn some_runs(&self) -> String {
        some_of(self.sketch.runs.iter().map(|r| r.id.value.as_str()))
    }

    /// The material of a run at its start.
    pub fn material(&self, run: &Run) -> Material {
        match &run.material {
            Some(m) => m.value,
            None => material_by_shape(&run.size.value),
        }
    }

    /// The usual entry of a material.
    pub fn usual(&self, material: Material) -> Option<&'a Usual> {
        self.usual.get(&Some(material)).copied()
    }

    /// Length of a section of a material, m; `None` for what comes in one piece.
    pub fn section(&self, material: Material) -> Option<f64> {
        let usual = trade::build_of(material).section_m?;
        let own = self.usual(material).and_then(|u| u.section.as_ref());
        let all = self.usual.get(&None).and_then(|u| u.section.as_ref());
        Some(own.or(all).map_or(usual, |said| said.value.si()))
    }

    /// The four levels that may speak of a step, nearest first.
    fn levels(
        &self,
        step: Option<&'a Overrides>,
        run: Option<&'a Overrides>,
        material: Material,
    ) -> [Option<&'a Overrides>; 4] {
        [
            step,
            run,
            self.usual(material).map(|u| &u.over),
            self.usual.get(&None).map(|u| &u.over),
        ]
    }

    /// What surrounds a step.
    ///
    /// The first level that speaks wins: step, run, usual of the material, usual of all; then the place of the parent
    /// and the built-in defaults, which are noted.
    pub fn around(
        &self,
        step: Option<&'a Overrides>,
        run: Option<&'a Overrides>,
        material: Material,
        inherited: PlaceIdx,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Around {
        let about = trade::build_of(material).words;
        self.around_levels(
            self.levels(step, run, material),
            about,
            inherited,
            places,
            notes,
        )
    }

    /// What surrounds a part of the unit: its own words, then usual of the material if it has one, then usual of all.
    pub fn around_unit(
        &self,
        own: Option<&'a Overrides>,
        material: Option<Material>,
        about: &str,
        inherited: PlaceIdx,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Around {
        let usual = material.and_then(|m| self.usual(m)).map(|u| &u.over);
        let levels = [own, None, usual, self.usual.get(&None).map(|u| &u.over)];
        self.around_levels(levels, about, inherited, places, notes)
    }

    fn around_levels(
        &self,
        levels: [Option<&'a Overrides>; 4],
        about: &str,
        inherited: PlaceIdx,
        places: &mut Places,
        notes: &mut Notes,
    ) -> Around {
        let say = |notes: &mut Notes| {
            notes.assume(
                about,
                "work: ordinary (taped or gasketed, not inspected)",
                ESTIMATE,
            );
            Work::Ordinary
        };
        let place = first(&levels, |o| o.place.as_ref())
            .and_then(|p| places.resolve(p, notes))
            .unwrap_or(inherited);
        let said = levels[..2].iter().flatten().any(|o| o.reach.is_some());
        let reach = match first(&levels, |o| o.reach.as_ref()) {
            Some(reach) => reach.value,
            None => {
                let reach = places.usual_reach(place);
                notes.assume(
                    &format!("place {}", places.name(place)),
                    &format!("reach: {}", reach_words(reach)),
                    PRACTICE,
                );
                reach
            }
        };
        let work = match first(&levels, |o| o.work.as_ref()) {
            Some(work) => work.value,
            None => say(notes),
        };
        let insulation = first(&levels, |o| o.insulation.as_ref()).map_or(0.0, |r| r.value.si());
        Around {
            place,
            reach,
            reach_said: said,
            work,
            insulation,
        }
    }

    /// How the sections of a material are built in a run.
    pub fn sections(&self, material: Material, notes: &mut Notes) -> Sections<'a> {
        let build = trade::build_of(material);
        let all = self.usual.get(&None).copied();
        let own = self.usual(material);
        let pick = |get: fn(&'a Usual) -> Option<&'a Marked<String>>| {
            own.and_then(get).or_else(|| all.and_then(get))
        };
        let seam = match pick(|u| u.seam.as_ref()).filter(|_| build.seam.is_some()) {
            Some(words) => self.said_joint(words, material, notes),
            None => self.usual_joint(build.seam, &build, "lengthwise seam", notes),
        };
        let joint = match pick(|u| u.joint.as_ref()) {
            Some(words) => self.said_joint(words, material, notes),
            None => self.usual_joint(Some(build.joint), &build, "joint", notes),
        };
        let section_m = own
            .and_then(|u| u.section.as_ref())
            .or_else(|| all.and_then(|u| u.section.as_ref()));
        let section_m = match (section_m, build.section_m) {
            (_, None) => None,
            (Some(said), _) => Some(said.value.si()),
            (None, Some(length)) => {
                notes.assume(
                    build.words,
                    &format!("section: {}", build.section_words),
                    PRACTICE,
                );
                Some(length)
            }
        };
        let gauge_m = own
            .and_then(|u| u.gauge.as_ref())
            .or_else(|| all.and_then(|u| u.gauge.as_ref()));
        let said = own
            .and_then(|u| u.roughness.as_ref())
            .or_else(|| all.and_then(|u| u.roughness.as_ref()));
        let bare_roughness_m = match said {
            Some(said) => said.value.si(),
            None => self.roughness(build.roughness),
        };
        let lined = own
            .and_then(|u| u.lined.as_ref())
            .or_else(|| all.and_then(|u| u.lined.as_ref()))
            .is_some_and(|lined| lined.value);
        // A figure of the person's own is nearer the truth than the row of the liner.
        let usual_roughness_m = if lined && said.is_none() && material == Material::Rectangular {
            self.roughness("lined")
        } else {
            bare_roughness_m
        };
        Sections {
            seam,
            joint,
            section_m,
            gauge_m: gauge_m.map(|g| g.value.si()),
            bare_roughness_m,
            usual_roughness_m,
        }
    }

    /// Roughness inside a run's length of a material, m: the run may say that it is lined, or not.
    pub fn inside(&self, run: &Run, material: Material, sections: &Sections) -> f64 {
        match run.lined.as_ref().map(|lined| lined.value) {
            Some(true) if material == Material::Rectangular => self.roughness("lined"),
            Some(false) => sections.bare_roughness_m,
            _ => sections.usual_roughness_m,
        }
    }

    fn roughness(&self, id: &str) -> f64 {
        self.catalog.roughness(id).map_or(0.0, |r| r.eps_mm * 1e-3)
    }

    /// Flex compression of a run.
    pub fn compression(&self, run: &Run, notes: &mut Notes) -> f64 {
        let usual = self
            .usual(Material::Flex)
            .or_else(|| self.usual.get(&None).copied());
        match run
            .compression
            .as_ref()
            .or_else(|| usual.and_then(|u| u.compression.as_ref()))
        {
            Some(said) => said.value.si(),
            None => {
                notes.assume(
                    trade::build_of(Material::Flex).words,
                    &format!("compression: {} % of its full length", COMPRESSION * 100.0),
                    "ASHRAE flex duct tests: a released duct relaxes to about 15 %; from a trade article",
                );
                COMPRESSION
            }
        }
    }

    /// The joint type that a person's words mean; `none` means none, unknown words are an error.
    pub fn said_joint(
        &self,
        words: &Marked<String>,
        material: Material,
        notes: &mut Notes,
    ) -> Option<&'a JointType> {
        if words.value.trim().eq_ignore_ascii_case("none") {
            return None;
        }
        let id = trade::joint_id(&words.value, material, self.catalog);
        if id.is_none() {
            notes.wrong(self.unknown_joint(words));
        }
        id.and_then(|id| self.catalog.joint(id))
    }

    /// Says that words name no joint type, with the nearest that do.
    pub fn unknown_joint(&self, words: &Marked<String>) -> Diagnostic {
        let mut names: Vec<&str> = self
            .catalog
            .joints()
            .iter()
            .map(|j| j.id.as_str())
            .collect();
        names.extend(trade::joint_words().map(|word| -> &str { word }));
        let near = nearest(&words.value, names);
        let problem = Diagnostic::new(
            "E0206",
            words.at,
            format!("unknown joint type `{}`", words.value),
        )
        .label("not in the catalogue");
        match near {
            Some(_) => problem.suggest(near),
            None => problem.hint("`ductseam catalog` lists the joint types"),
        }
    }

    /// A built-in joint type by id.
    pub fn joint(&self, id: &str) -> Option<&'a JointType> {
        self.catalog.joint(id)
    }

    /// Loss coefficient of a fitting row; 0 when the catalogue has none.
    pub fn loss(&self, id: &str) -> f64 {
        self.catalog.fitting(id).map_or(0.0, |f| f.c)
    }

    /// Checks words that no step may ever look at: `usual` entries of materials not used.
    pub fn check_usual(&self, places: &mut Places, notes: &mut Notes) {
        for usual in &self.sketch.usual {
            let material = usual.material.unwrap_or(Material::Rectangular);
            for words in [&usual.seam, &usual.joint].into_iter().flatten() {
                self.said_joint(words, material, notes);
            }
            if let (Some(material), Some(lined)) = (usual.material, &usual.lined)
                && lined.value
                && material != Material::Rectangular
            {
                notes.wrong(
                    Diagnostic::new(
                        "E0236",
                        lined.at,
                        format!(
                            "only rectangular sheet metal is lined, not {}",
                            trade::build_of(material).words
                        ),
                    )
                    .label("no sheet metal with a liner")
                    .hint("write `lined: yes` under `rectangular`, or in a run"),
                );
            }
            if let Some(place) = &usual.over.place {
                places.resolve(place, notes);
            }
        }
    }

    fn usual_joint(
        &self,
        id: Option<&str>,
        build: &Build,
        what: &str,
        notes: &mut Notes,
    ) -> Option<&'a JointType> {
        let joint = self.joint(id?)?;
        notes.assume(build.words, &format!("{what}: {}", joint.name), PRACTICE);
        Some(joint)
    }

    /// Words for a section.
    pub fn size(&self, size: &Size) -> String {
        shape::words(size, self.units)
    }
}

/// Round sections are round pipe, others rectangular duct.
pub(super) fn material_by_shape(size: &Size) -> Material {
    if shape::is_round(size) {
        Material::Round
    } else {
        Material::Rectangular
    }
}

/// The word of a reach.
pub(super) fn reach_words(reach: Reach) -> &'static str {
    match reach {
        Reach::Open => "open",
        Reach::UnderInsulation => "under insulation",
        Reach::BehindFinish => "behind finish",
        Reach::None => "none",
    }
}

fn first<'a, T>(
    levels: &[Option<&'a Overrides>],
    get: impl Fn(&'a Overrides) -> Option<&'a T>,
) -> Option<&'a T> {
    levels.iter().flatten().find_map(|o| get(o))
}
