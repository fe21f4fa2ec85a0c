//! From a sketch to a system.

use petgraph::graph::DiGraph;

use super::beliefs;
use super::book::Book;
use super::crew_build::resolve_crew;
use super::frame::Frame;
use super::groups::Seams;
use super::layout::{End, Layout, Leg, SAME_SPOT_M, lay_out};
use super::looks::{resolve_looks, weigh_seen, work_as_seen};
use super::notes::{ESTIMATE, Notes};
use super::openings::put_filter;
use super::order::{Origin, check_starts, origins, parents_first, side_word, warn_crowded};
use super::places::Places;
use super::readings::{ReadingFacts, resolve_readings};
use super::sealing::{Stages, resolve_sealing};
use super::shape;
use super::site::{NewSeam, Site, Spot, seam};
use super::spaces;
use super::stand_open;
use super::types::{
    Appliance, JunctionForm, Opening, PieceKind, Run, RunIdx, Seam, SeamAt, SeamRole, Side, System,
    TakeoffForm, Unit,
};
use super::unit::build_unit;
use super::walk::{Before, From, class_of, usual_takeoff, walk};
use super::{book::Around, bounds, warn};
use crate::catalog::{Catalog, Work};
use crate::sketch::{
    self, Diagnostic, Diagnostics, FilterAt, Heading, Material, Reach, Sketch, StepKind,
};

/// Part of a side's other leakage that stands for what the sketch forgot. Engineering estimate.
const UNSKETCHED_PART: f64 = 0.05;
/// A branch no taller than this part of the main counts as low: Handbook of Hydraulic Resistance, 3rd edition 1994, tees.
const LOW_BRANCH: f64 = 2.0 / 3.0;
/// Spread of what the sketch forgot. Engineering estimate.
const UNSKETCHED_GSD: f64 = 3.0;

/// Builds the system that a sketch describes.
///
/// Runs become pieces between junctions, every piece brings its seams with readable ids, and everything that the
/// sketch leaves open is filled by a default that [`System::defaults`] lists with its source.
///
/// # Errors
/// All semantic errors of the sketch at once, each with its place in `text`: unknown names, accidental loops, takeoffs
/// beyond a run's end or larger than the face they sit on, sides that do not fit, runs that end open, readings and
/// looks that speak of what is not there. `text` and `file_name` serve the rendering only.
///
/// # Accuracy
/// Work and memory grow in proportion to pieces and seams.
pub fn build(
    sketch: &Sketch,
    text: &str,
    file_name: &str,
    catalog: &Catalog,
) -> Result<System, Diagnostics> {
    let mut notes = Notes::default();
    let mut places = Places::named(&sketch.places, &mut notes);
    let book = Book::open(sketch, catalog, &mut notes);
    book.check_usual(&mut places, &mut notes);
    let rooms = spaces::rooms(sketch, book.units, &mut notes);

    let layouts: Vec<Layout> = sketch
        .runs
        .iter()
        .map(|run| lay_out(run, &book, &mut notes))
        .collect();
    if !bounds::check(&layouts, &book, &mut notes) {
        return Err(Diagnostics::new(file_name, text, notes.problems));
    }
    let starts = origins(&book, &mut notes);
    let order = parents_first(&starts, &book, &mut notes);
    let well = check_starts(&starts, &layouts, &book, &mut notes);
    check_joins(&book, &mut notes);
    warn_crowded(&starts, &layouts, &book, &mut notes);

    // A run is built when it and all that carries it are sound; looks at the others cannot be judged.
    let mut buildable = vec![false; sketch.runs.len()];
    for &i in &order {
        let carried = match starts[i] {
            Origin::Off { run, .. } => buildable[run],
            Origin::Plenum(_) => true,
            Origin::Lost => false,
        };
        buildable[i] = carried && layouts[i].sound && well[i];
    }

    let mut next_opening = 0;
    let opening_of: Vec<Option<usize>> = layouts
        .iter()
        .zip(&buildable)
        .map(|(layout, &built)| {
            (built && layout.end == End::Opening).then(|| {
                next_opening += 1;
                next_opening - 1
            })
        })
        .collect();
    let mut site = Site::new(&book, places, notes, opening_of, rooms);
    let unit = build_unit(&mut site);
    let stops = stops(&starts, &layouts, &book);
    for &i in order.iter().filter(|&&i| buildable[i]) {
        let from = start_of(&site, i, &starts[i], &layouts, &unit);
        walk(&mut site, i, from, &stops[i], &layouts[i]);
    }
    close_joins(&mut site, &buildable);
    finish(site, unit, &layouts, &buildable, text, file_name)
}

/// The distances along every run where others hang on it, in order and each once.
fn stops(starts: &[Origin], layouts: &[Layout], book: &Book) -> Vec<Vec<f64>> {
    let mut stops: Vec<Vec<f64>> = vec![Vec::new(); starts.len()];
    for origin in starts {
        if let Origin::Off {
            run,
            along: Some(along),
            ..
        } = origin
        {
            stops[*run].push(along.min(layouts[*run].length));
        }
    }
    for run in &book.sketch.runs {
        if let Some(StepKind::Joins {
            run: other,
            along: Some(along),
        }) = run.walk.last().map(|s| &s.kind)
            && let Some(o) = book.run_called(&other.value)
        {
            stops[o].push(along.value.si().min(layouts[o].length));
        }
    }
    for list in &mut stops {
        list.sort_by(f64::total_cmp);
        list.dedup_by(|b, a| *b - *a < SAME_SPOT_M);
    }
    stops
}

/// The spot of a run at a distance, or its end.
fn spot(site: &Site<'_>, run: RunIdx, along: Option<f64>) -> Option<Spot> {
    let spots = &site.spots[run];
    match along {
        None => spots.last().copied(),
        // The first spot that is near enough: at a fitting, the side towards the unit.
        Some(along) => {
            let i = spots.partition_point(|s| s.along < along - SAME_SPOT_M);
            spots.get(i).or(spots.last()).copied()
        }
    }
}

/// How a run leaves another's side.
fn takeoff_form(run: &sketch::Run, leg: &Leg, face: Option<Heading>) -> TakeoffForm {
    let (main, branch) = (&leg.size, &run.size.value);
    // Across the plane of both ducts: upright for a takeoff on a side, level for one on top or bottom.
    let (main_across, branch_across) = match face {
        Some(Heading::Up | Heading::Down) => (
            shape::width(main),
            shape::width(branch).min(shape::height(branch)),
        ),
        _ => (shape::height(main), shape::height(branch)),
    };
    let round = shape::is_round(main) || shape::is_round(branch);
    TakeoffForm {
        form: JunctionForm::Tee,
        angle_deg: 90.0,
        low_branch: !round && branch_across <= LOW_BRANCH * main_across + 1e-9,
    }
}

fn start_of(site: &Site<'_>, i: RunIdx, origin: &Origin, layouts: &[Layout], unit: &Unit) -> From {
    let run = &site.book.sketch.runs[i];
    let material = site.book.material(run);
    let unit_place = unit.place;
    let plenum = |side: Side| {
        let (node, at, flat) = match side {
            Side::Supply => (unit.supply_plenum, [0.0, 0.0, 0.0], [0.0, 1.0, 0.0]),
            Side::Return => (unit.return_plenum, [0.0, -1.0, 0.0], [0.0, -1.0, 0.0]),
        };
        From {
            node,
            frame: Frame::new(at, flat),
            before: Before::Box,
            place: unit_place,
            takeoff: None,
            takeoff_form: None,
            at_plenum: true,
            heading_assumed: true,
        }
    };
    match origin {
        Origin::Plenum(side) => plenum(*side),
        Origin::Lost => plenum(run.side.value),
        Origin::Off {
            run: parent,
            along,
            face,
        } => {
            let Some(spot) = spot(site, *parent, *along) else {
                return plenum(run.side.value);
            };
            let layout = &layouts[*parent];
            let mut frame = spot.frame;
            let at_end = along.is_none();
            let open_end = at_end && layout.end == End::Open;
            if !open_end {
                let usual = if at_end {
                    Heading::Ahead
                } else {
                    Heading::Left
                };
                frame.face(frame.vector(face.unwrap_or(usual)));
            }
            let last = layout
                .legs
                .last()
                .map_or(Material::Rectangular, |l| l.material);
            From {
                node: spot.node,
                frame,
                before: if open_end {
                    Before::After(class_of(last))
                } else {
                    Before::Box
                },
                place: spot.place,
                takeoff: if open_end {
                    None
                } else {
                    usual_takeoff(material)
                },
                takeoff_form: along
                    .and_then(|along| layout.leg_at(along))
                    .map(|leg| takeoff_form(run, leg, *face)),
                at_plenum: false,
                heading_assumed: !at_end && face.is_none(),
            }
        }
    }
}

fn check_joins(book: &Book, notes: &mut Notes) {
    for (i, run) in book.sketch.runs.iter().enumerate() {
        for step in &run.walk {
            let StepKind::Joins { run: other, .. } = &step.kind else {
                continue;
            };
            if book.run(other, notes) == Some(i) {
                notes.wrong(
                    Diagnostic::new(
                        "E0222",
                        other.at,
                        format!("`{}` cannot join itself", run.id.value),
                    )
                    .hint("name the other run that it meets"),
                );
            }
        }
    }
}

/// Closes the loops made on purpose.
fn close_joins(site: &mut Site<'_>, buildable: &[bool]) {
    for join in std::mem::take(&mut site.joins) {
        if !buildable[join.target] {
            continue;
        }
        if let Some(to) = spot(site, join.target, join.along) {
            let edge = site.piece(join.from, to.node, join.piece);
            if let (true, Some(run)) = (join.is_first, site.runs[join.run].as_mut()) {
                run.first_piece = edge;
            }
        }
    }
}

fn finish(
    mut site: Site<'_>,
    mut unit: Unit,
    layouts: &[Layout],
    buildable: &[bool],
    text: &str,
    file_name: &str,
) -> Result<System, Diagnostics> {
    let book = site.book;
    let sketch = book.sketch;
    let combustion = sketch
        .combustion
        .iter()
        .filter_map(|a| {
            let place = site.places.resolve(&a.place, &mut site.notes)?;
            Some(Appliance {
                name: a.appliance.value.clone(),
                draft: a.draft.value,
                place,
            })
        })
        .collect();
    let whole = site.runs.iter().all(Option::is_some);
    let stages = Stages::new(&sketch.sealing, &mut site.notes);
    let facts = ReadingFacts {
        book,
        layouts,
        buildable,
        opening_of: &site.opening_of,
        rooms: &site.rooms,
        stages: &stages,
    };
    let readings = resolve_readings(&facts, &mut site.places, &mut site.notes);

    let mut seams = std::mem::take(&mut site.unit_seams);
    seams.extend(site.run_seams.iter_mut().flat_map(std::mem::take));
    let named = Seams::new(book, &seams, buildable);
    let (places, notes) = (&mut site.places, &mut site.notes);
    let looks = resolve_looks(&sketch.looks, &named, &stages, places, notes);
    let work = work_as_seen(&looks, &seams);
    let sealing = resolve_sealing(&sketch.sealing, &named, work, places, notes);
    let crew = resolve_crew(&sketch.crew, &named, places, notes);
    let variants = super::variant::resolve(&sketch.variants, &named, places, notes);
    one_currency(sketch, notes);
    let limits = super::limits::limits(sketch, book.catalog, notes);
    let record = super::limits::record(sketch, notes);
    if !(site.notes.problems.is_empty() && whole) {
        return Err(Diagnostics::new(file_name, text, site.notes.problems));
    }

    let elevation = sketch.house.elevation.as_ref().map(|e| e.value.si());
    if elevation.is_none() {
        site.notes.assume("house", "elevation: sea level", ESTIMATE);
    }
    for side in [Side::Supply, Side::Return] {
        let node = if side == Side::Supply {
            unit.supply_plenum
        } else {
            unit.return_plenum
        };
        let rest = unsketched(&mut site, &seams, side, node, unit.place);
        seams.extend(rest);
    }
    let runs: Vec<Run> = site.runs.into_iter().flatten().collect();
    let mut openings: Vec<Opening> = site.openings.into_iter().flatten().collect();
    if filter_at(sketch) == FilterAt::Grille
        && let Some(filter) = unit.filter.take()
        && !put_filter(&mut openings, filter)
    {
        site.notes.warn(
            "filter-without-grille",
            "the filter is said to be at the grille, but no return run ends in one: it loses no pressure here",
        );
    }
    let envelope = spaces::envelope(&sketch.house, book.units, &mut site.notes);
    let mut places = site.places.into_list();
    spaces::settle_paths(&mut places, envelope.as_ref(), book.units, &mut site.notes);
    let energy = super::energy::energy(sketch, &places);
    let mut system = System {
        title: sketch.title.value.clone(),
        units: sketch.units,
        floor_area_m2: sketch.house.floor_area.as_ref().map(|a| a.value.si()),
        elevation_m: elevation.unwrap_or(0.0),
        envelope,
        rooms: site.rooms.list,
        places,
        runs,
        graph: site.graph,
        seams,
        openings,
        unit,
        readings: Vec::new(),
        looks: Vec::new(),
        before_looks: Vec::new(),
        look_figures: *book.catalog.look_figures(),
        sealing,
        beliefs: beliefs::beliefs(&sketch.prior),
        minutes: beliefs::tasks(&sketch.minutes, book.catalog),
        crew: super::crew::Crew::default(),
        energy,
        limits,
        record,
        variants,
        combustion,
        suspect_tape: sketch.suspect_tape,
        defaults: site.notes.defaults,
        warnings: site.notes.warnings,
    };
    system.crew = crew.settle(&system, book.catalog);
    stand_open::fill_areas(&mut system);
    let mut unsolvable = Vec::new();
    for draft in readings {
        match draft.settle(&mut system) {
            Ok(measured) => system.readings.extend(measured),
            Err(wrong) => unsolvable.extend(wrong),
        }
    }
    super::test_air::bring_to_standard(&mut system);
    // A reading that is refused would be missed by the looks made during it.
    if unsolvable.is_empty() {
        for look in looks {
            let look = look.settle(&system.readings, &mut unsolvable);
            system.looks.extend(look);
        }
    }
    if !unsolvable.is_empty() {
        return Err(Diagnostics::new(file_name, text, unsolvable));
    }
    let mut notes = Notes::default();
    weigh_seen(&mut system, book.catalog, &mut notes);
    system.warnings.append(&mut notes.warnings);
    warn::look_over(&mut system);
    Ok(system)
}

fn filter_at(sketch: &Sketch) -> FilterAt {
    let said = sketch.air_handler.filter.as_ref();
    said.map_or(FilterAt::Unit, |filter| filter.value)
}

/// The seam of what the sketch forgot on one side.
fn unsketched(
    site: &mut Site<'_>,
    seams: &[Seam],
    side: Side,
    node: petgraph::graph::NodeIndex,
    unit_place: usize,
) -> Option<Seam> {
    let joint = site.book.joint("unsketched")?;
    let mean = UNSKETCHED_PART
        * seams
            .iter()
            .filter(|s| s.side == side)
            .map(|s| s.mean_q25_m3_s)
            .sum::<f64>();
    site.notes.assume(
        &format!("{} side", side_word(side)),
        &format!(
            "what the sketch forgot leaks {} % of the side's seams, spread {UNSKETCHED_GSD}",
            UNSKETCHED_PART * 100.0
        ),
        ESTIMATE,
    );
    let place = main_place(&site.graph, side, site.places.list().len()).unwrap_or(unit_place);
    let around = Around {
        place,
        reach: Reach::None,
        reach_said: false,
        work: Work::Unsealed,
        insulation: 0.0,
    };
    let mut made = seam(NewSeam {
        id: format!("{}/unsketched", side_word(side)),
        run: "unit",
        piece: format!("{} plenum", side_word(side)),
        what: format!("what the sketch forgot on the {} side", side_word(side)),
        joint,
        amount: 1.0,
        factor: 1.0,
        around,
        side,
        at: SeamAt::Junction(node),
        role: SeamRole::Unsketched,
        own: None,
        own_part: 1.0,
    });
    made.mean_q25_m3_s = mean;
    made.gsd = UNSKETCHED_GSD;
    Some(made)
}

/// The place with most duct surface of a side.
fn main_place(
    graph: &DiGraph<super::types::Junction, super::types::Piece>,
    side: Side,
    places: usize,
) -> Option<usize> {
    let mut surface = vec![0.0; places];
    for piece in graph
        .edge_weights()
        .filter(|p| p.side == side && p.kind == PieceKind::Straight)
    {
        surface[piece.place] += piece.surface_m2;
    }
    let mut best: Option<usize> = None;
    for (i, &s) in surface.iter().enumerate() {
        if s > best.map_or(0.0, |b: usize| surface[b]) {
            best = Some(i);
        }
    }
    best
}

/// Work and energy are told in one currency.
fn one_currency(sketch: &Sketch, notes: &mut Notes) {
    if let (Some(crew), Some(energy)) = (&sketch.crew.currency, &sketch.energy.currency)
        && crew.value != energy.value
    {
        notes.wrong(
            Diagnostic::new(
                "E0263",
                energy.at,
                format!(
                    "prices of energy are in {}, those of the crew in {}",
                    energy.value, crew.value
                ),
            )
            .label("one currency")
            .also(crew.at, "another one")
            .hint("write all prices of a sketch in one currency"),
        );
    }
}
