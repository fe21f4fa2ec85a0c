//! A sketch as a page draws it.

use std::collections::BTreeMap;

use super::change;
use super::mend::{self, Stands};
use super::place;
use super::view::{self, Caution, FORMAT, Fault, Opening, Piece, Point, Seam, Step, View};
use crate::catalog::Catalog;
use crate::quantity::{Size, UnitSystem};
use crate::report::{self, piece_kind};
use crate::said::words::reach;
use crate::sketch::{
    self, Diagnostics, Item, Run, Side, Sketch, Start, Written, edit, holds, is_end, read_in_part,
};
use crate::system::{self, System};

/// A sketch looked at: what it says, what stands of it, and what is wrong.
pub(super) struct Look<'t> {
    text: &'t str,
    written: Option<Written<'t>>,
    sketch: Option<Sketch>,
    found: Option<Diagnostics>,
    stands: Option<Stands>,
}

/// Looks at a sketch.
pub(super) fn look(text: &str) -> Look<'_> {
    let catalog = Catalog::builtin();
    let written = Written::read(text);
    let (sketch, mut found) = read_in_part(text, "");
    let mut stands = None;
    if let (Some(sketch), None) = (&sketch, &found) {
        match system::build(sketch, text, "", catalog) {
            Ok(system) => {
                stands = Some(Stands {
                    system,
                    runs: sketch.runs.clone(),
                });
            }
            Err(wrong) => found = Some(wrong),
        }
    }
    if let (Some(sketch), Some(written), None) = (&sketch, &written, &stands) {
        stands = mend::mended(sketch.clone(), text, written, catalog);
    }
    Look {
        text,
        written,
        sketch,
        found,
        stands,
    }
}

impl Look<'_> {
    /// What a page draws.
    pub fn view(&self) -> View<'_> {
        let runs = self
            .written
            .as_ref()
            .map(|written| written.items("runs"))
            .unwrap_or_default();
        let steps: Vec<Vec<Item<'_, '_>>> = runs.iter().map(|run| run.items("walk")).collect();
        let file = File { runs, steps };
        let built = self.stands.as_ref().map(|stands| Built::new(stands, &file));
        let system = self.stands.as_ref().map(|stands| &stands.system);
        let shown_runs = self.runs(&file, built.as_ref());
        let (faults, more_faults) = self.faults(&shown_runs);
        View {
            format: FORMAT,
            stands: self.found.is_none() && system.is_some(),
            title: self
                .sketch
                .as_ref()
                .map_or_else(String::new, |sketch| sketch.title.value.clone()),
            units: match self.sketch.as_ref().map(|sketch| sketch.units) {
                Some(UnitSystem::Si) => "si",
                _ => "ip",
            },
            sketch: self.written.as_ref(),
            faults,
            more_faults,
            warnings: match system {
                Some(system) if self.found.is_none() => {
                    system.warnings.iter().map(|w| w.text.clone()).collect()
                }
                _ => Vec::new(),
            },
            cautions: system.map_or_else(Vec::new, |system| {
                report::cautions(system)
                    .into_iter()
                    .map(|caution| Caution {
                        stop: caution.stop,
                        text: caution.text,
                    })
                    .collect()
            }),
            pieces: built.as_ref().map_or_else(Vec::new, Built::pieces),
            seams: built.as_ref().map_or_else(Vec::new, Built::seams),
            openings: built.as_ref().map_or_else(Vec::new, Built::openings),
            places: system.map_or_else(Vec::new, |system| {
                system
                    .places
                    .iter()
                    .map(|place| place.name.clone())
                    .collect()
            }),
            runs: shown_runs,
        }
    }

    fn runs(&self, file: &File<'_, '_>, built: Option<&Built<'_>>) -> Vec<view::Run> {
        let said: Vec<Option<&Run>> = file.sorted(self.sketch.as_ref().map_or(&[], |s| &s.runs));
        let by_id: BTreeMap<&str, usize> = said
            .iter()
            .enumerate()
            .filter_map(|(k, run)| Some((run.as_ref()?.id.value.as_str(), k)))
            .collect();
        file.runs
            .iter()
            .enumerate()
            .map(|(k, item)| {
                let run = said[k];
                let place = built.and_then(|built| built.run(k));
                view::Run {
                    id: run
                        .map(|run| run.id.value.clone())
                        .or_else(|| item.value("id").map(str::to_owned)),
                    side: run.map(|run| side(run.side.value)),
                    drawn: place.is_some(),
                    length_m: place.as_ref().map(|place| place.length_m),
                    start: place.as_ref().map(|place| place.start),
                    end: place.as_ref().map(|place| place.end),
                    end_heading: place.as_ref().map(|place| place.heading),
                    open_end: run.is_some_and(|run| !run.walk.iter().any(|s| is_end(&s.kind))),
                    on_run: run.and_then(|run| match &run.from.value {
                        Start::Off { run, .. } => by_id.get(run.value.as_str()).copied(),
                        _ => None,
                    }),
                    steps: file.steps[k]
                        .iter()
                        .enumerate()
                        .map(|(j, step)| {
                            let at = place.as_ref().and_then(|place| place.steps.get(&j));
                            let text = step.words();
                            Step {
                                parts: step.is_plain().then(|| change::parts_of(&text)).flatten(),
                                text,
                                start: at.map(|at| at.0),
                                end: at.map(|at| at.1),
                            }
                        })
                        .collect(),
                }
            })
            .collect()
    }

    fn faults(&self, runs: &[view::Run]) -> (Vec<Fault>, usize) {
        let Some(found) = &self.found else {
            return (Vec::new(), 0);
        };
        let units = Units::of(self.text);
        let faults = found
            .items
            .iter()
            .map(|item| {
                let (line, column) = found.line_column(item.at.start);
                let path = self
                    .written
                    .as_ref()
                    .map(|written| written.path_of(item.at));
                let index = |at: usize, key: &str| match path.as_deref() {
                    Some(path) if path.get(at) == Some(&edit::Step::Key(key.to_owned())) => {
                        match path.get(at + 1) {
                            Some(edit::Step::Item(index)) => Some(*index),
                            _ => None,
                        }
                    }
                    _ => None,
                };
                let run = index(0, "runs");
                let step = run.and_then(|_| index(2, "walk"));
                Fault {
                    code: item.code,
                    title: item.title.clone(),
                    label: item.label.clone(),
                    hint: item.hint.clone(),
                    patch: item.patch.clone(),
                    line,
                    column,
                    text_from: units.at(item.at.start),
                    text_to: units.at(item.at.end),
                    at: run
                        .and_then(|run| runs.get(run))
                        .and_then(|r| spot(r, item.code, step)),
                    path,
                    run,
                    step,
                }
            })
            .collect();
        (faults, found.more)
    }
}

/// Code of the fault that a run has no end: it is at the end.
const NO_END: &str = "E0132";

/// Where a fault of a run is shown: at its step, or after the last step before it that is drawn.
fn spot(run: &view::Run, code: &str, step: Option<usize>) -> Option<Point> {
    if code == NO_END {
        return run.end.or(run.start);
    }
    let Some(step) = step else {
        return run.start;
    };
    let own = run.steps.get(step).and_then(|step| step.start);
    own.or_else(|| run.steps.iter().take(step).rev().find_map(|step| step.end))
        .or(run.start)
}

/// Offsets of a text in UTF-16 units.
struct Units<'t> {
    text: &'t str,
}

impl<'t> Units<'t> {
    fn of(text: &'t str) -> Units<'t> {
        Units { text }
    }

    fn at(&self, byte: usize) -> usize {
        self.text[..self.text.floor_char_boundary(byte)]
            .encode_utf16()
            .count()
    }
}

/// The runs and steps as they stand in the file.
struct File<'n, 't> {
    runs: Vec<Item<'n, 't>>,
    steps: Vec<Vec<Item<'n, 't>>>,
}

impl File<'_, '_> {
    /// The runs that were read, each at its place in the file.
    fn sorted<'r>(&self, runs: &'r [Run]) -> Vec<Option<&'r Run>> {
        let mut sorted = vec![None; self.runs.len()];
        for run in runs {
            if let Some(k) = self.run_at(run) {
                sorted[k] = Some(run);
            }
        }
        sorted
    }

    fn run_at(&self, run: &Run) -> Option<usize> {
        let k = self
            .runs
            .partition_point(|item| item.at().start <= run.id.at.start)
            .checked_sub(1)?;
        holds(self.runs[k].at(), run.id.at).then_some(k)
    }

    fn step_at(&self, k: usize, step: &sketch::Step) -> Option<usize> {
        let steps = &self.steps[k];
        let j = steps
            .partition_point(|item| item.at().start <= step.at.start)
            .checked_sub(1)?;
        (step.at.end > 0 && holds(steps[j].at(), step.at)).then_some(j)
    }
}

/// Where a run was drawn.
#[derive(Debug, Clone)]
struct Drawn {
    start: Point,
    end: Point,
    heading: Point,
    length_m: f64,
    /// Start and end of every step that is drawn.
    steps: BTreeMap<usize, (Point, Point)>,
}

/// What was built, with the indices of the file.
struct Built<'a> {
    system: &'a System,
    /// Of every run of the system, its place in the file.
    runs: Vec<Option<usize>>,
    /// Of every step of every run of the system, its place in the file.
    steps: Vec<Vec<Option<usize>>>,
    /// By place in the file.
    drawn: BTreeMap<usize, Drawn>,
    by_id: BTreeMap<&'a str, usize>,
}

impl<'a> Built<'a> {
    fn new(stands: &'a Stands, file: &File<'_, '_>) -> Built<'a> {
        let runs: Vec<Option<usize>> = stands.runs.iter().map(|run| file.run_at(run)).collect();
        let steps = stands
            .runs
            .iter()
            .zip(&runs)
            .map(|(run, k)| {
                run.walk
                    .iter()
                    .map(|step| k.and_then(|k| file.step_at(k, step)))
                    .collect()
            })
            .collect();
        let system = &stands.system;
        let by_id = system
            .runs
            .iter()
            .enumerate()
            .map(|(r, run)| (run.id.as_str(), r))
            .collect();
        let mut built = Built {
            system,
            runs,
            steps,
            drawn: BTreeMap::new(),
            by_id,
        };
        built.walk();
        built.place_small_steps();
        built
    }

    /// Follows the pieces of every run in the order of the walk.
    fn walk(&mut self) {
        for edge in self.system.graph.edge_indices() {
            let piece = &self.system.graph[edge];
            let Some(r) = piece.run else { continue };
            let (Some(k), Some((tail, head))) = (self.file_run(r), place::ends(self.system, edge))
            else {
                continue;
            };
            let run = &self.system.runs[r];
            let drawn = self.drawn.entry(k).or_insert_with(|| Drawn {
                start: tail,
                end: tail,
                heading: run.end_heading,
                length_m: run.length_m,
                steps: BTreeMap::new(),
            });
            // A link to another run is no part of the walk.
            if piece.kind == system::PieceKind::Link && tail != head {
                continue;
            }
            drawn.end = head;
            let step = piece
                .step
                .and_then(|s| self.steps[r].get(s).copied().flatten());
            if let Some(step) = step {
                drawn
                    .steps
                    .entry(step)
                    .and_modify(|at| at.1 = head)
                    .or_insert((tail, head));
            }
        }
    }

    /// Steps that bring no piece (a cap, a test hole) are where the step before them ended.
    fn place_small_steps(&mut self) {
        for (r, steps) in self.steps.iter().enumerate() {
            let Some(drawn) = self.runs[r].and_then(|k| self.drawn.get_mut(&k)) else {
                continue;
            };
            let mut last = drawn.start;
            for step in steps.iter().flatten() {
                last = drawn.steps.entry(*step).or_insert((last, last)).1;
            }
        }
    }

    fn file_run(&self, run: usize) -> Option<usize> {
        self.runs.get(run).copied().flatten()
    }

    fn file_step(&self, run: Option<usize>, step: Option<usize>) -> Option<usize> {
        self.steps.get(run?)?.get(step?).copied().flatten()
    }

    fn run(&self, k: usize) -> Option<&Drawn> {
        self.drawn.get(&k)
    }

    /// A part of a walk that only closes it for the drawing.
    fn is_stand_in(&self, run: Option<usize>, step: Option<usize>) -> bool {
        match run {
            None => false,
            Some(r) if self.file_run(r).is_none() => true,
            Some(_) => step.is_some() && self.file_step(run, step).is_none(),
        }
    }

    fn pieces(&self) -> Vec<Piece> {
        self.system
            .graph
            .edge_indices()
            .filter_map(|edge| {
                let piece = &self.system.graph[edge];
                if self.is_stand_in(piece.run, piece.step) {
                    return None;
                }
                let (tail, head) = place::ends(self.system, edge)?;
                Some(Piece {
                    id: piece.id.clone(),
                    run: piece.run.and_then(|run| self.file_run(run)),
                    step: self.file_step(piece.run, piece.step),
                    kind: piece_kind(piece.kind),
                    tail,
                    head,
                    width_m: seen_width_m(piece.section),
                    section: piece.section.show(self.system.units),
                    place: self.place(piece.place),
                    side: side(piece.side),
                    length_m: piece.length_m,
                    made_of: piece.made_of.clone(),
                })
            })
            .collect()
    }

    fn seams(&self) -> Vec<Seam> {
        let catalog = Catalog::builtin();
        self.system
            .seams
            .iter()
            .enumerate()
            .filter_map(|(i, seam)| {
                let run = self.by_id.get(seam.run.as_str()).copied();
                if mend::is_stand_in(&seam.run) || self.is_stand_in(run, seam.step) {
                    return None;
                }
                let (at, at_end) = place::of_seam(self.system, catalog, seam);
                Some(Seam {
                    i,
                    id: seam.id.clone(),
                    run: run.and_then(|run| self.file_run(run)),
                    step: self.file_step(run, seam.step),
                    what: seam.what.clone(),
                    joint_type: seam.joint_type.clone(),
                    joint_name: seam.joint_name.clone(),
                    place: self.place(seam.place),
                    reach: reach(seam.reach),
                    work: seam.work.word(),
                    side: side(seam.side),
                    at,
                    at_end,
                    prior_q25_m3_s: seam.mean_q25_m3_s,
                })
            })
            .collect()
    }

    fn openings(&self) -> Vec<Opening> {
        self.system
            .openings
            .iter()
            .map(|opening| Opening {
                run: self.file_run(opening.run),
                room: opening.room.clone(),
                at: self.system.graph[opening.node].position_m,
                size: opening.size.show(self.system.units),
            })
            .collect()
    }

    fn place(&self, place: usize) -> String {
        self.system
            .places
            .get(place)
            .map_or_else(String::new, |place| place.name.clone())
    }
}

/// Width of a section seen from above, m.
fn seen_width_m(section: Size) -> f64 {
    Some(section.width().si())
        .filter(|width| width.is_finite())
        .map_or(0.0, |width| width.max(0.0))
}

fn side(side: Side) -> &'static str {
    match side {
        Side::Supply => "supply",
        Side::Return => "return",
    }
}
