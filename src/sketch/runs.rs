//! Reads the runs and their walks.

use std::collections::BTreeMap;

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::limits;
use super::reader::{Cut, Reader};
use super::sides::{Draft, settle_sides};
use super::span::{Marked, Span};
use super::steps;
use super::tables;
use super::tree::{Kind, Node};
use super::types::{OwnLeak, Run, Side, Start, Step, StepKind};
use super::whole::{around_at, overrides, quantity};
use super::words::{self, FACE};
use crate::quantity::{Flow, Length, Stated};

/// Names that seams of the unit and of its sides carry, or that stand for places at the unit.
pub(super) const RESERVED: [&str; 6] = [
    "unit",
    "supply",
    "return",
    "supply plenum",
    "return plenum",
    "blower panel",
];

/// Reads the list of runs.
pub(super) fn runs<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Run> {
    let Some(items) = reader.list_up_to(node, "the runs", limits::RUNS) else {
        return Vec::new();
    };
    if items.is_empty() {
        reader.report(
            Diagnostic::new("E0110", node.at, "the sketch has no runs")
                .label("an empty list")
                .hint("add at least one run with `id`, `from`, `size` and `walk`"),
        );
    }
    let mut ids: BTreeMap<String, Span> = BTreeMap::new();
    let mut drafts = Vec::new();
    for item in items {
        drafts.extend(run(reader, item, &mut ids));
    }
    settle_sides(reader, drafts)
}

/// Notes an id that stands twice.
pub(super) fn unique(
    reader: &mut Reader<'_>,
    id: &Marked<String>,
    what: &str,
    ids: &mut BTreeMap<String, Span>,
) {
    if let Some(first) = ids.get(&id.value) {
        reader.report(
            Diagnostic::new(
                "E0151",
                id.at,
                format!("two {what} are called {}", quoted(&id.value)),
            )
            .label("a second time")
            .also(*first, "first here")
            .hint("give each its own name"),
        );
    } else {
        ids.insert(id.value.clone(), id.at);
    }
}

fn run<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    ids: &mut BTreeMap<String, Span>,
) -> Option<Draft> {
    let entries = reader.mapping(node, &tables::RUN)?;
    let id = entries
        .get("id")
        .and_then(|node| reader.id(node, "the name of a run"));
    if let Some(id) = &id {
        if RESERVED
            .iter()
            .any(|name| name.eq_ignore_ascii_case(&id.value))
        {
            reader.report(
                Diagnostic::new(
                    "E0152",
                    id.at,
                    format!("a run cannot be called {}", quoted(&id.value)),
                )
                .label("this name stands for a part of the unit")
                .hint("add a word, for instance `main return`"),
            );
        }
        unique(reader, id, "runs", ids);
    }
    let side = entries
        .get("side")
        .and_then(|node| reader.choice(node, "the side of a run", words::SIDE));
    let from = entries.get("from").and_then(|node| start(reader, node));
    let size = entries
        .get("size")
        .and_then(|node| reader.size(node, &limits::DUCT_SIDE));
    let material = entries
        .get("material")
        .and_then(|node| reader.choice(node, "a material", words::MATERIAL));
    let over = overrides(reader, &entries, &tables::RUN);
    let compression = quantity(reader, &entries, "compression", &limits::COMPRESSION);
    let lined = entries
        .get("lined")
        .and_then(|node| reader.choice(node, "`lined`", words::YES_NO));
    let room = entries
        .get("room")
        .and_then(|node| reader.name(node, "a room"));
    let floor = entries
        .get("floor")
        .and_then(|node| reader.id(node, "the name of a floor"));
    let design_flow = quantity::<Flow>(reader, &entries, "design flow", &limits::AIRFLOW);
    let walk = entries.get("walk").and_then(|node| walk(reader, node));
    let from = from?;
    Some(Draft {
        run: Run {
            id: id?,
            side: Marked::new(Side::Supply, from.at),
            from,
            size: size?,
            material,
            over,
            compression,
            lined,
            room,
            floor,
            design_flow,
            walk: walk?,
        },
        side,
    })
}

const PLENA: [&str; 2] = ["supply plenum", "return plenum"];

/// `supply plenum`, `return plenum`, `S at 6 ft left`, `S end`.
fn start<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<Start>> {
    const HINT: &str =
        "write `supply plenum`, `return plenum`, `S at 6 ft`, `S at 6 ft left` or `S end`";
    let cut = reader.words(node, "the start of a run")?;
    let at = cut.inner();
    let lower = cut
        .text
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .to_lowercase();
    match lower.as_str() {
        "supply plenum" => return Some(Marked::new(Start::SupplyPlenum, at)),
        "return plenum" => return Some(Marked::new(Start::ReturnPlenum, at)),
        _ => {}
    }
    if let Some((run, rest)) = around_at(&cut) {
        if let Some(plenum) = PLENA.iter().find(|p| p.eq_ignore_ascii_case(run)) {
            reader.report(
                Diagnostic::new("E0160", at, "a plenum takes no distance and no face")
                    .label("a whole plenum is one spot")
                    .hint(format!("write `{plenum}`"))
                    .patch(*plenum),
            );
            return None;
        }
        let run = reader.id_in(&cut, run, "the name of a run")?;
        let (length, face) = split_face(rest);
        let along: Marked<Length> = reader.quantity_in(&cut, length, &limits::ALONG)?;
        let face = match face {
            Some(word) => Some(reader.choice_in(&cut, word, "the face of a run", FACE)?),
            None => None,
        };
        return Some(Marked::new(
            Start::Off {
                run,
                along: Some(along),
                face,
            },
            at,
        ));
    }
    if lower.ends_with(" end") {
        let name = cut.text[..cut.text.len() - 3].trim();
        let run = reader.id_in(&cut, name, "the name of a run")?;
        return Some(Marked::new(
            Start::Off {
                run,
                along: None,
                face: None,
            },
            at,
        ));
    }
    let near = reader.near(&lower, PLENA);
    let found = Diagnostic::new(
        "E0160",
        at,
        format!("{} does not say where a run starts", quoted(cut.text)),
    )
    .label("where on what?");
    reader.report(match near {
        Some(_) => found.suggest(near),
        None => found.hint(HINT),
    });
    None
}

/// Cuts the last word off when it is letters and not part of the length.
fn split_face(rest: &str) -> (&str, Option<&str>) {
    if rest.parse::<Length>().is_ok() {
        return (rest, None);
    }
    match rest.rsplit_once(char::is_whitespace) {
        Some((length, face)) if length.trim().parse::<Length>().is_ok() => {
            (length.trim(), Some(face))
        }
        // Neither reads: point at the face only if it is one.
        Some((length, face)) if FACE.iter().any(|(word, _)| word.eq_ignore_ascii_case(face)) => {
            (length.trim(), Some(face))
        }
        _ => (rest, None),
    }
}

fn walk<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Vec<Step>> {
    let items = reader.list(node, "a walk")?;
    if items.is_empty() {
        reader.report(
            Diagnostic::new("E0133", node.at, "the walk is empty")
                .label("no steps")
                .hint("write steps such as `[north 24 ft, cap]`"),
        );
        return None;
    }
    let steps: Vec<Option<Step>> = items.iter().map(|item| step(reader, item)).collect();
    check_order(reader, items, &steps);
    check_length(reader, items, &steps);
    // A vector of the right length: steps are large, and there may be many of them. What is wrong with the others is noted.
    let mut walk = Vec::with_capacity(steps.len());
    walk.extend(steps.into_iter().flatten());
    Some(walk)
}

/// Whether a step ends its run.
pub(super) fn ends(kind: &StepKind) -> bool {
    matches!(
        kind,
        StepKind::Cap | StepKind::Boot { .. } | StepKind::Intake { .. } | StepKind::Joins { .. }
    )
}

/// A takeoff is the first step, an ending the last one, and there is one. A step that could not be read is given the benefit of the doubt.
fn check_order<'t>(reader: &mut Reader<'t>, items: &[Node<'t>], steps: &[Option<Step>]) {
    let last = steps.len() - 1;
    if let Some(i) = steps[..last]
        .iter()
        .position(|step| step.as_ref().is_some_and(|step| ends(&step.kind)))
    {
        let at = reader.head(&items[i + 1]);
        let end = reader.head(&items[i]);
        reader.report(
            Diagnostic::new("E0134", at, "the walk goes on after its end")
                .label("comes after the end")
                .also(end, "the run ends here")
                .hint("move the end to the last place, or write the rest as a run of its own"),
        );
    } else if steps[last].as_ref().is_some_and(|step| !ends(&step.kind)) {
        reader.report(
            Diagnostic::new("E0132", reader.head(&items[last]), "the run has no end")
                .label("the last step")
                .hint("end the walk with `boot SIZE`, `end boot SIZE`, `return box SIZE`, `cap`, or `joins RUN at LENGTH`"),
        );
    }
    for (item, step) in items.iter().zip(steps).skip(1) {
        if step
            .as_ref()
            .is_some_and(|step| matches!(step.kind, StepKind::Takeoff(_)))
        {
            reader.report(
                Diagnostic::new(
                    "E0134",
                    reader.head(item),
                    "a takeoff can only be the first step of a walk",
                )
                .label("in the middle of a walk")
                .hint("start a new run here, with `from: RUN at LENGTH`"),
            );
        }
    }
}

fn check_length<'t>(reader: &mut Reader<'t>, items: &[Node<'t>], steps: &[Option<Step>]) {
    let mut total = 0.0;
    for (item, step) in items.iter().zip(steps) {
        if let Some(Step {
            kind: StepKind::Straight { length, .. },
            ..
        }) = step
        {
            total += length.si();
            if total > limits::RUN.most {
                let at = reader.head(item);
                reader.report(
                    Diagnostic::new(
                        "E0121",
                        at,
                        format!(
                            "{} must be at most {}",
                            limits::RUN.name,
                            limits::RUN.most_words
                        ),
                    )
                    .label("with this length it becomes too long")
                    .hint("check the units of the lengths"),
                );
                return;
            }
        }
    }
}

fn step<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Step> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let cut = reader.words(node, "a walk step")?;
        let (kind, over) = steps::step(reader, &cut)?;
        return Some(Step {
            at: cut.inner(),
            kind,
            over,
        });
    }
    let entries = reader.mapping(node, &tables::STEP)?;
    let said = entries.get("step").and_then(|node| {
        let cut = reader.words(node, "a walk step")?;
        steps::step(reader, &cut)
    });
    let keyed = overrides(reader, &entries, &tables::STEP);
    let joint = entries
        .get("joint")
        .and_then(|node| reader.name(node, "a joint type"));
    let leak = match entries.get("leak") {
        Some(node) => Some(own_leak(reader, &entries, node)?),
        None => None,
    };
    let (kind, mut over) = said?;
    for (key, twice) in [
        ("work", over.work.is_some() && keyed.work.is_some()),
        ("place", over.place.is_some() && keyed.place.is_some()),
        ("reach", over.reach.is_some() && keyed.reach.is_some()),
    ] {
        if let (true, Some(at)) = (twice, entries.key_at(key)) {
            reader.report(
                Diagnostic::new(
                    "E0142",
                    at,
                    format!("the {key} is said twice, in the step's words and by this key"),
                )
                .label("a second time")
                .hint("keep one of them"),
            );
        }
    }
    over.work = over.work.or(keyed.work);
    over.place = over.place.or(keyed.place);
    over.reach = over.reach.or(keyed.reach);
    over.insulation = keyed.insulation;
    over.joint = joint;
    over.leak = leak;
    Some(Step {
        at: entries.at,
        kind,
        over,
    })
}

/// `leak: 1.2 cfm at 25 Pa` with its spread, exponent and source.
fn own_leak<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    node: &Node<'t>,
) -> Option<OwnLeak> {
    let cut = reader.words(node, "an own leak")?;
    let q25 = leak_at_25(reader, &cut);
    let spread = entries
        .get("spread")
        .and_then(|node| reader.number(node, &limits::SPREAD));
    let n = entries
        .get("n")
        .and_then(|node| reader.number(node, &limits::EXPONENT));
    let source = entries
        .get("source")
        .and_then(|node| reader.text(node, "a source", limits::LINE));
    Some(OwnLeak {
        q25: q25?,
        spread,
        n,
        source: source?,
    })
}

fn leak_at_25(reader: &mut Reader<'_>, cut: &Cut<'_>) -> Option<Marked<Flow>> {
    let at = cut.inner();
    let bad = |reader: &mut Reader<'_>, title: &str| {
        reader.report(
            Diagnostic::new("E0120", at, format!("{title}, found {}", quoted(cut.text)))
                .label("own leak")
                .hint(
                    "write a flow at 25 Pa like `1.2 cfm at 25 Pa`, and its doubt as `spread: 1.5`",
                ),
        );
        None
    };
    match cut.text.parse::<Stated<Flow>>() {
        Err(error) => {
            reader.refuse(at, &error);
            None
        }
        Ok(leak) if leak.below || leak.relative_sd.is_some() || leak.absolute_sd.is_some() => {
            bad(reader, "an own leak is a plain flow")
        }
        Ok(leak)
            if leak
                .at
                .is_none_or(|pressure| (pressure.si() - 25.0).abs() > 1e-6) =>
        {
            bad(reader, "an own leak is stated at 25 Pa")
        }
        Ok(leak) => reader
            .within(at, cut.text, leak.value.si(), &limits::LEAKAGE)
            .then(|| Marked::new(leak.value, at)),
    }
}
