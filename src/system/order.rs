//! Which run hangs on which: references, accidental loops, and whether each takeoff fits where it sits.

use super::book::Book;
use super::layout::{End, Layout, SAME_SPOT_M};
use super::notes::Notes;
use super::shape;
use super::types::RunIdx;
use crate::quantity::Length;
use crate::sketch::{Diagnostic, Heading, Marked, Material, Run, Side, Start, StepKind};

/// Runs of a loop, or at one spot, that a message names.
const NAMED: usize = 20;

/// Where a run starts, resolved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Origin {
    /// A plenum.
    Plenum(Side),
    /// Off a run, at a distance or at its end.
    Off {
        run: RunIdx,
        along: Option<f64>,
        face: Option<Heading>,
    },
    /// Nobody knows: an error was noted.
    Lost,
}

/// Resolves the start of every run.
pub(super) fn origins(book: &Book, notes: &mut Notes) -> Vec<Origin> {
    book.sketch
        .runs
        .iter()
        .map(|run| match &run.from.value {
            Start::SupplyPlenum => Origin::Plenum(Side::Supply),
            Start::ReturnPlenum => Origin::Plenum(Side::Return),
            Start::Off {
                run: parent,
                along,
                face,
            } => match book.run(parent, notes) {
                Some(i) => Origin::Off {
                    run: i,
                    along: along.as_ref().map(|a| a.value.si()),
                    face: face.as_ref().map(|f| f.value),
                },
                None => Origin::Lost,
            },
        })
        .collect()
}

/// The runs with parents before children; runs in an accidental loop, which is an error, are left out.
pub(super) fn parents_first(origins: &[Origin], book: &Book, notes: &mut Notes) -> Vec<RunIdx> {
    #[derive(Clone, Copy, PartialEq)]
    enum Mark {
        New,
        OnPath,
        Done,
    }
    let parent = |i: RunIdx| match origins[i] {
        Origin::Off { run, .. } => Some(run),
        _ => None,
    };
    let mut marks = vec![Mark::New; origins.len()];
    let mut order = Vec::with_capacity(origins.len());
    for start in 0..origins.len() {
        let mut path = Vec::new();
        let mut at = Some(start);
        while let Some(i) = at
            && marks[i] == Mark::New
        {
            marks[i] = Mark::OnPath;
            path.push(i);
            at = parent(i);
        }
        if let Some(i) = at
            && marks[i] == Mark::OnPath
        {
            loop_problem(
                &path[path.iter().position(|&p| p == i).unwrap_or(0)..],
                book,
                notes,
            );
        }
        for &i in path.iter().rev() {
            marks[i] = Mark::Done;
            order.push(i);
        }
    }
    // A run in a loop, or hanging on one, never meets a plenum.
    let mut rooted = vec![false; origins.len()];
    order.retain(|&i| {
        rooted[i] = match origins[i] {
            Origin::Plenum(_) => true,
            Origin::Off { run, .. } => rooted[run],
            Origin::Lost => false,
        };
        rooted[i]
    });
    order
}

fn loop_problem(members: &[RunIdx], book: &Book, notes: &mut Notes) {
    let runs = &book.sketch.runs;
    let first = members
        .iter()
        .copied()
        .min_by_key(|&i| runs[i].from.at)
        .unwrap_or(members[0]);
    let turn = members.iter().position(|&i| i == first).unwrap_or(0);
    let name = |&i: &RunIdx| format!("`{}`", runs[i].id.value);
    let ring = members[turn..].iter().chain(&members[..turn]);
    let mut names: Vec<String> = ring.take(NAMED).map(name).collect();
    if members.len() > NAMED {
        names.push(format!("{} more", members.len() - NAMED));
    }
    names.push(name(&first));
    let title = match members.len() {
        1 => format!("{} starts from itself", names[0]),
        _ => format!("these runs start from each other: {}", names.join(" from ")),
    };
    notes.wrong(
        Diagnostic::new("E0214", runs[first].from.at, title)
            .label("an accidental loop")
            .hint("start one of them at a plenum or another run; a loop made on purpose ends in `joins RUN`"),
    );
}

/// Checks every run against the run or plenum that it starts from. Gives for each run whether all is well.
pub(super) fn check_starts(
    origins: &[Origin],
    layouts: &[Layout],
    book: &Book,
    notes: &mut Notes,
) -> Vec<bool> {
    let runs = &book.sketch.runs;
    let mut goes_on = vec![false; runs.len()];
    let mut well: Vec<bool> = Vec::with_capacity(runs.len());
    for (i, run) in runs.iter().enumerate() {
        let before = notes.problems.len();
        match origins[i] {
            Origin::Plenum(side) => check_side(run, side, None, notes),
            Origin::Off {
                run: p,
                along,
                face,
            } if p != i => {
                check_side(run, runs[p].side.value, Some(&runs[p]), notes);
                match along {
                    None => {
                        goes_on[p] = true;
                        if layouts[p].end == End::Opening {
                            notes.wrong(
                                Diagnostic::new(
                                    "E0231",
                                    run.from.at,
                                    format!("`{}` ends at a room's surface, and nothing can start there", runs[p].id.value),
                                )
                                .label("the end of a boot or return box")
                                .hint(format!("write a distance along it: `{} at LENGTH`", runs[p].id.value)),
                            );
                        }
                    }
                    Some(along) => {
                        check_takeoff(run, along, face, &runs[p], &layouts[p], book, notes)
                    }
                }
            }
            _ => {}
        }
        well.push(notes.problems.len() == before);
    }
    for (i, run) in runs.iter().enumerate() {
        for step in &run.walk {
            if let StepKind::Joins { run: other, along } = &step.kind
                && let Some(o) = book.run_called(&other.value)
                && o != i
                && let Some(along) = along
            {
                reaches(along, &runs[o], &layouts[o], book, notes);
            }
        }
    }
    for (i, run) in runs.iter().enumerate() {
        if layouts[i].end == End::Open && !goes_on[i] {
            let at = run.walk.last().map_or(run.id.at, |s| s.at);
            notes.wrong(
                Diagnostic::new("E0215", at, format!("the run `{}` ends open", run.id.value))
                    .label("the walk stops here")
                    .hint("end it with `boot SIZE`, `return box SIZE`, `cap` or `joins RUN`, or start another run `from: RUN end`"),
            );
            well[i] = false;
        }
    }
    well
}

fn check_side(run: &Run, side: Side, parent: Option<&Run>, notes: &mut Notes) {
    if run.side.value == side {
        return;
    }
    let from = match parent {
        Some(p) => format!("the {} run `{}`", side_word(side), p.id.value),
        None => format!("the {} plenum", side_word(side)),
    };
    notes.wrong(
        Diagnostic::new(
            "E0216",
            run.from.at,
            format!(
                "the {} run `{}` starts from {from}",
                side_word(run.side.value),
                run.id.value
            ),
        )
        .label("the other side of the unit")
        .hint(format!(
            "write `side: {}`, or start it on its own side; a bypass ends in `joins RUN`",
            side_word(side)
        )),
    );
}

fn reaches(
    along: &Marked<Length>,
    parent: &Run,
    layout: &Layout,
    book: &Book,
    notes: &mut Notes,
) -> bool {
    let at = along.value.si();
    if layout.legs.is_empty() {
        notes.wrong(
            Diagnostic::new(
                "E0217",
                along.at,
                format!("`{}` has no straight length to sit on", parent.id.value),
            )
            .hint(format!("write `{} end`", parent.id.value)),
        );
        return false;
    }
    if at < 0.0 || at > layout.length + SAME_SPOT_M {
        let length = Length::new(layout.length).show(book.units);
        notes.wrong(
            Diagnostic::new("E0218", along.at, format!("`{}` is beyond the end of `{}`", along.value.show(book.units), parent.id.value))
                .label(format!("`{}` is {length} long", parent.id.value))
                .hint(format!("distances are counted along the walk of `{}` from its start; `{} end` means its end", parent.id.value, parent.id.value)),
        );
        return false;
    }
    true
}

fn check_takeoff(
    run: &Run,
    along: f64,
    face: Option<Heading>,
    parent: &Run,
    layout: &Layout,
    book: &Book,
    notes: &mut Notes,
) {
    let Start::Off {
        along: Some(marked),
        ..
    } = &run.from.value
    else {
        return;
    };
    if !reaches(marked, parent, layout, book, notes) {
        return;
    }
    let Some(leg) = layout.leg_at(along) else {
        return;
    };
    if leg.material == Material::Flex
        && along > leg.from + SAME_SPOT_M
        && along < leg.to - SAME_SPOT_M
    {
        notes.wrong(
            Diagnostic::new("E0219", run.from.at, format!("`{}` starts in the middle of the flex duct `{}`", run.id.value, parent.id.value))
                .label("flex takes no collar here")
                .hint("put a short length of pipe there, for instance `12 ft, 1 ft round, 8 ft`, and start on the pipe"),
        );
        return;
    }
    let (width, height) = (shape::width(&leg.size), shape::height(&leg.size));
    let (branch_width, branch_height) = (
        shape::width(&run.size.value),
        shape::height(&run.size.value),
    );
    let (face_words, room, need) = match (shape::is_round(&leg.size), face) {
        (true, _) => ("diameter", width, branch_width.max(branch_height)),
        (false, Some(Heading::Left | Heading::Right)) => ("side", height, branch_height),
        (false, Some(Heading::Up | Heading::Down)) => {
            ("top and bottom", width, branch_width.min(branch_height))
        }
        (false, _) => (
            "larger side",
            width.max(height),
            branch_width.min(branch_height),
        ),
    };
    if need > room + 1e-4 {
        notes.wrong(
            Diagnostic::new(
                "E0220",
                run.size.at,
                format!("a takeoff of `{}` is larger than the face of `{}` that it sits on", book.size(&run.size.value), parent.id.value),
            )
            .label(format!("the {face_words} of `{}` measures {}", book.size(&leg.size), Length::new(room).show(book.units)))
            .also(run.from.at, "it starts here")
            .hint("give a smaller or flatter size, another face (`left`, `right`, `top`, `bottom`), or start it at the end of the run"),
        );
    }
}

/// Warns of takeoffs drawn on top of each other.
pub(super) fn warn_crowded(origins: &[Origin], layouts: &[Layout], book: &Book, notes: &mut Notes) {
    let runs = &book.sketch.runs;
    let mut by_parent: Vec<Vec<(f64, Option<Heading>, RunIdx)>> = vec![Vec::new(); runs.len()];
    for (i, origin) in origins.iter().enumerate() {
        if let Origin::Off {
            run,
            along: Some(along),
            face,
        } = origin
        {
            by_parent[*run].push((*along, *face, i));
        }
    }
    for (p, mut children) in by_parent.into_iter().enumerate() {
        children.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.2.cmp(&b.2)));
        for group in children.chunk_by(|a, b| (a.0 - b.0).abs() < SAME_SPOT_M) {
            let faces = if layouts[p]
                .leg_at(group[0].0)
                .is_some_and(|l| shape::is_round(&l.size))
            {
                3
            } else {
                4
            };
            let twins = || {
                group
                    .iter()
                    .enumerate()
                    .any(|(k, a)| a.1.is_some() && group[..k].iter().any(|b| a.1 == b.1))
            };
            if group.len() > faces || twins() {
                let mut names: Vec<String> = group
                    .iter()
                    .take(NAMED)
                    .map(|c| format!("`{}`", runs[c.2].id.value))
                    .collect();
                if group.len() > NAMED {
                    names.push(format!("{} more", group.len() - NAMED));
                }
                notes.warn(
                    "crowded-takeoffs",
                    format!(
                        "{} start at the same spot of `{}`, {} along: more than fit there on faces of their own",
                        names.join(", "),
                        runs[p].id.value,
                        Length::new(group[0].0).show(book.units)
                    ),
                );
            }
        }
    }
}

/// The word of a side.
pub(super) fn side_word(side: Side) -> &'static str {
    match side {
        Side::Supply => "supply",
        Side::Return => "return",
    }
}
