//! Which run starts from which, and where: joins the drafts, and fills in what the list leaves open.

use std::collections::BTreeMap;

use super::cells::{self, Cells};
use super::columns::Column;
use super::fault::{Assumed, Found, Spot};
use super::fittings::Part;
use super::rows::Draft;
use super::text::{distance_step_m, length_words};
use crate::quantity::{Length, Size, UnitSystem};
use crate::sketch::{Heading, Material, Side, StepKind, nearest, parts, quoted};

/// Distances that differ less than this, m, are the same spot: as the system has it.
const SAME_SPOT_M: f64 = 1e-3;

/// Where a run starts.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Start {
    pub parent: Option<usize>,
    /// Distance along the parent, m; `None` is its end, or not settled yet.
    pub along: Option<f64>,
    pub is_end: bool,
    pub face: Option<Heading>,
    pub side: Side,
}

/// Joins the runs.
pub(super) fn starts(
    drafts: &[Draft<'_>],
    cells: &Cells<'_>,
    units: UnitSystem,
    found: &mut Found,
    assumed: &mut Vec<Assumed>,
) -> Vec<Start> {
    let names: BTreeMap<String, usize> = drafts
        .iter()
        .enumerate()
        .map(|(i, draft)| (draft.name.to_lowercase(), i))
        .collect();
    let mut starts: Vec<Start> = drafts
        .iter()
        .map(|draft| start(draft, &names, cells, found))
        .collect();
    let order = parents_first(drafts, &starts, cells, found);
    settle_sides(drafts, &mut starts, &order, cells, found, assumed);
    spread(drafts, &mut starts, units, assumed);
    check_distances(drafts, &starts, cells, units, found);
    faces(drafts, &mut starts, assumed);
    starts
}

const PLENUMS: [(&str, Option<Side>); 16] = [
    ("plenum", None),
    ("unit", None),
    ("air handler", None),
    ("furnace", None),
    ("ahu", None),
    ("equipment", None),
    ("supply plenum", Some(Side::Supply)),
    ("supply", Some(Side::Supply)),
    ("supply air plenum", Some(Side::Supply)),
    ("sa plenum", Some(Side::Supply)),
    ("the supply plenum", Some(Side::Supply)),
    ("return plenum", Some(Side::Return)),
    ("return", Some(Side::Return)),
    ("return air plenum", Some(Side::Return)),
    ("ra plenum", Some(Side::Return)),
    ("the return plenum", Some(Side::Return)),
];

/// What `from` and `at` of one row say.
fn start(
    draft: &Draft<'_>,
    names: &BTreeMap<String, usize>,
    cells: &Cells<'_>,
    found: &mut Found,
) -> Start {
    let from = cells.columns.cell(draft.row, Column::From);
    let at = cells.columns.cell(draft.row, Column::At);
    let mut start = Start {
        parent: None,
        along: None,
        is_end: false,
        face: draft.face,
        side: draft.side.unwrap_or(Side::Supply),
    };
    let words = cells.pointed(from.cell);
    let lower = words.to_lowercase();
    if let Some((_, side)) = PLENUMS.iter().find(|(word, _)| *word == lower) {
        if let (Some(side), Some(said)) = (side, draft.side)
            && *side != said
        {
            found.wrong(
                from,
                format!(
                    "the {} run {} starts from the other side of the unit",
                    side_word(said),
                    quoted(&draft.name)
                ),
                format!("write `{} plenum`, or change its side", side_word(said)),
            );
        }
        start.side = side.unwrap_or_else(|| guessed(draft));
        no_distance(at, found);
        return start;
    }
    if words.is_empty() {
        start.side = guessed(draft);
        no_distance(at, found);
        return start;
    }
    let (name, behind) = parent_words(&lower, names);
    let Some(&parent) = names.get(name.trim()) else {
        let near = (!found.is_full())
            .then(|| nearest(name, names.keys().map(String::as_str)))
            .flatten();
        found.wrong(
            from,
            format!("no run of the list is called {}", quoted(name)),
            match near {
                Some(near) => format!("did you mean `{near}`?"),
                None => "write the name of another row, or `supply plenum` or `return plenum`"
                    .to_owned(),
            },
        );
        return start;
    };
    start.parent = Some(parent);
    if !behind.is_empty() && !at.cell.is_empty() {
        found.wrong(
            at,
            "the distance is said twice, here and with the run it starts from",
            "keep one of them",
        );
        return start;
    }
    let (spot, words) = if behind.is_empty() {
        (at, cells.pointed(at.cell).to_lowercase())
    } else {
        (from, behind.to_owned())
    };
    distance(spot, &words, &mut start, cells, found);
    start
}

/// Cuts ` at 6 ft left`, ` @ 6 ft`, ` end` off a name; `end of S` is `S end`.
fn parent_words<'w>(lower: &'w str, names: &BTreeMap<String, usize>) -> (&'w str, &'w str) {
    if names.contains_key(lower) {
        return (lower, "");
    }
    if let Some(name) = lower.strip_prefix("end of ") {
        return (name.trim(), "end");
    }
    if let Some(i) = lower.rfind(" at ") {
        return (lower[..i].trim(), lower[i + 4..].trim());
    }
    if let Some((name, rest)) = lower.split_once('@') {
        return (name.trim(), rest.trim());
    }
    match lower.strip_suffix(" end") {
        Some(name) => (name.trim(), "end"),
        None => (lower, ""),
    }
}

/// `6 ft`, `6 ft left`, `end`, `left`.
fn distance(at: Spot<'_>, words: &str, start: &mut Start, cells: &Cells<'_>, found: &mut Found) {
    if words.is_empty() {
        return;
    }
    if ["end", "its end", "the end"].contains(&words) {
        start.is_end = true;
        return;
    }
    let (length, face) = match words.rsplit_once(' ') {
        Some((length, face)) if parts::face(face).is_ok() => (length.trim(), Some(face)),
        _ if parts::face(words).is_ok() => ("", Some(words)),
        _ => (words, None),
    };
    if let Some(face) = face {
        let said = cells::face(Spot { cell: face, ..at }, found);
        if let (Some(said), Some(other)) = (said, start.face)
            && said != other
        {
            found.wrong(
                at,
                "two different faces are said for one takeoff",
                "keep one of them",
            );
        }
        start.face = start.face.or(said);
    }
    let spot = Spot { cell: length, ..at };
    start.along = cells.along(spot, found).map(Length::si);
}

fn no_distance(at: Spot<'_>, found: &mut Found) {
    if !at.cell.is_empty() {
        found.wrong(
            at,
            "a distance is said, but no run on which it is counted",
            "write that run in the column of starts, or leave the distance out: a plenum takes none",
        );
    }
}

/// The side of a run at a plenum: said, or return where the name says so, else supply.
fn guessed(draft: &Draft<'_>) -> Side {
    draft.side.unwrap_or_else(|| {
        let lower = draft.name.to_lowercase();
        let mut words = lower.split(|c: char| !c.is_alphanumeric());
        if words.any(|word| ["return", "returns", "ret"].contains(&word)) {
            Side::Return
        } else {
            Side::Supply
        }
    })
}

pub(super) fn side_word(side: Side) -> &'static str {
    match side {
        Side::Supply => "supply",
        Side::Return => "return",
    }
}

/// Parents before children. Runs that start from each other are refused, once a loop.
fn parents_first(
    drafts: &[Draft<'_>],
    starts: &[Start],
    cells: &Cells<'_>,
    found: &mut Found,
) -> Vec<usize> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        OnPath,
        Done,
    }
    let mut marks = vec![Mark::New; starts.len()];
    let mut order = Vec::with_capacity(starts.len());
    for first in 0..starts.len() {
        let mut path = Vec::new();
        let mut now = Some(first);
        while let Some(i) = now
            && marks[i] == Mark::New
        {
            marks[i] = Mark::OnPath;
            path.push(i);
            now = starts[i].parent;
        }
        if let Some(i) = now
            && marks[i] == Mark::OnPath
        {
            const SHOWN: usize = 6;
            let from = path.iter().position(|&p| p == i).unwrap_or(0);
            let loop_names = path[from..].iter().chain([&i]);
            let names: Vec<_> = loop_names
                .take(SHOWN)
                .map(|&p| quoted(&drafts[p].name))
                .collect();
            found.wrong(
                cells.columns.cell(drafts[i].row, Column::From),
                match path.len() - from {
                    1 => format!("{} starts from itself", names[0]),
                    _ => format!("these runs start from each other: {}", names.join(" from ")),
                },
                "start one of them at a plenum; a loop made on purpose ends in `joins RUN`",
            );
        }
        for &i in path.iter().rev() {
            marks[i] = Mark::Done;
            order.push(i);
        }
    }
    order
}

fn settle_sides(
    drafts: &[Draft<'_>],
    starts: &mut [Start],
    order: &[usize],
    cells: &Cells<'_>,
    found: &mut Found,
    assumed: &mut Vec<Assumed>,
) {
    for &i in order {
        let draft = &drafts[i];
        let Some(parent) = starts[i].parent else {
            continue;
        };
        starts[i].side = starts[parent].side;
        if let Some(said) = draft.side
            && said != starts[parent].side
        {
            found.wrong(
                cells.columns.cell(draft.row, Column::Side),
                format!(
                    "{} is said to be {}, but starts from the {} run {}",
                    quoted(&draft.name),
                    side_word(said),
                    side_word(starts[parent].side),
                    quoted(&drafts[parent].name)
                ),
                "correct the side, or the run it starts from",
            );
        }
    }
    for (draft, start) in drafts.iter().zip(&*starts) {
        let from = cells
            .columns
            .cell(draft.row, Column::From)
            .cell
            .to_lowercase();
        let said = PLENUMS
            .iter()
            .any(|(word, side)| *word == from && side.is_some());
        if start.parent.is_none() && draft.side.is_none() && !said {
            let side = side_word(start.side);
            let why = if start.side == Side::Return {
                "by its name"
            } else {
                "since nothing says otherwise"
            };
            assumed.push(Assumed {
                run: draft.name.clone(),
                what: format!("on the {side} side, from the {side} plenum, {why}"),
            });
        }
    }
}

/// Runs without a distance are spread evenly along the run they start from; flex is left at its end.
fn spread(
    drafts: &[Draft<'_>],
    starts: &mut [Start],
    units: UnitSystem,
    assumed: &mut Vec<Assumed>,
) {
    let mut open: Vec<Vec<usize>> = vec![Vec::new(); drafts.len()];
    for (i, start) in starts.iter().enumerate() {
        if let Some(parent) = start.parent
            && start.along.is_none()
            && !start.is_end
        {
            open[parent].push(i);
        }
    }
    for (parent, children) in open.iter().enumerate() {
        let length = drafts[parent].length_m();
        let flex = drafts[parent].material() == Material::Flex;
        for (k, &child) in children.iter().enumerate() {
            let name = quoted(&drafts[parent].name);
            let what = if flex || length <= 0.0 {
                starts[child].is_end = true;
                format!("starts at the end of {name}: flex takes no collar on its way")
            } else {
                let even = length * (k + 1) as f64 / (children.len() + 1) as f64;
                let step = distance_step_m(Length::new(length), units);
                let along = ((even / step).round() * step).min(length);
                starts[child].along = Some(along);
                let words = length_words(Length::new(along), units);
                if children.len() == 1 {
                    format!("starts half way along {name}, {words} from its start")
                } else {
                    format!(
                        "starts {words} along {name}, takeoffs without a distance spread evenly"
                    )
                }
            };
            assumed.push(Assumed {
                run: drafts[child].name.clone(),
                what,
            });
        }
    }
}

fn check_distances(
    drafts: &[Draft<'_>],
    starts: &[Start],
    cells: &Cells<'_>,
    units: UnitSystem,
    found: &mut Found,
) {
    for (draft, start) in drafts.iter().zip(starts) {
        let (Some(parent), Some(along)) = (start.parent, start.along) else {
            continue;
        };
        let length = drafts[parent].length_m();
        // A parent without any length is refused for that.
        if length > 0.0 && along > length + SAME_SPOT_M {
            found.wrong(
                distance_cell(draft, cells),
                format!(
                    "{} starts {} along {}, which is {} long",
                    quoted(&draft.name),
                    length_words(Length::new(along), units),
                    quoted(&drafts[parent].name),
                    length_words(Length::new(length), units)
                ),
                "distances are counted from the start of the run that it starts from; `end` is its end",
            );
        }
    }
}

/// The cell that holds the distance of a run.
pub(super) fn distance_cell<'a>(draft: &'a Draft<'_>, cells: &'a Cells<'_>) -> Spot<'a> {
    let at = cells.columns.cell(draft.row, Column::At);
    if at.cell.is_empty() {
        cells.columns.cell(draft.row, Column::From)
    } else {
        at
    }
}

/// Takeoffs without a face sit left and right in turn, on top where they are too high for a side.
fn faces(drafts: &[Draft<'_>], starts: &mut [Start], assumed: &mut Vec<Assumed>) {
    let mut turn = vec![0usize; drafts.len()];
    for (i, draft) in drafts.iter().enumerate() {
        let (Some(parent), Some(along), None) = (starts[i].parent, starts[i].along, starts[i].face)
        else {
            continue;
        };
        let (Some(main), Some(branch)) = (size_at(&drafts[parent], along), draft.size) else {
            continue;
        };
        let (wide, high) = (main.width().si(), main.height().si());
        let (branch_wide, branch_high) = (branch.width().si(), branch.height().si());
        let face = if main.is_round() || branch_high <= high {
            turn[parent] += 1;
            if turn[parent] % 2 == 1 {
                Heading::Left
            } else {
                Heading::Right
            }
        } else if branch_wide.min(branch_high) <= wide {
            Heading::Up
        } else {
            continue; // It fits on no face, and the system says so.
        };
        starts[i].face = Some(face);
        let why = if face == Heading::Up {
            "too high for its side"
        } else {
            "left and right in turn"
        };
        assumed.push(Assumed {
            run: draft.name.clone(),
            what: format!(
                "sits on the {} of {}, {why}",
                if face == Heading::Up {
                    "top"
                } else {
                    parts::heading_word(face)
                },
                quoted(&drafts[parent].name)
            ),
        });
    }
}

/// The section of a run at a distance from its start. Reducers among loose fittings stand where the walk will put them.
fn size_at(draft: &Draft<'_>, along: f64) -> Option<Size> {
    let mut size = draft.size?;
    let middles = super::walk::middles(&draft.parts);
    let gap = draft.length_m() / (middles + 1) as f64;
    let (mut at, mut passed) = (0.0, 0usize);
    for part in &draft.parts {
        match part {
            Part::Step(StepKind::Straight { length, .. }, _) => {
                if along <= at + length.si() + SAME_SPOT_M {
                    return Some(size);
                }
                at += length.si();
            }
            Part::Step(kind, _) if super::walk::is_middle(kind) => {
                passed += 1;
                if !draft.is_walk() && along <= gap * passed as f64 + SAME_SPOT_M {
                    return Some(size);
                }
                if let StepKind::Reducer { to } = kind {
                    size = *to;
                }
            }
            _ => {}
        }
    }
    Some(size)
}
