//! Reads the air handler and its plenums.

use super::diagnostics::{Diagnostic, quoted};
use super::limits;
use super::reader::Reader;
use super::span::{Marked, Span};
use super::tables;
use super::tree::{Kind, Node};
use super::types::{AirHandler, AirflowBy, Blower, FlowAt, Overrides, Plenum};
use super::whole::{flow_at, overrides, quantity};
use super::words::{self, BlowerWord, listed};
use crate::quantity::Flow;

/// Points of a blower nearer than this in pressure are the same, Pa: a tenth of what a gauge shows.
const SAME_RISE_PA: f64 = 0.01;

/// The air handler of a sketch that does not speak of it.
pub(super) fn none() -> AirHandler {
    AirHandler {
        at: Span::default(),
        place: None,
        airflow: None,
        coil: None,
        filter: None,
        blower: None,
        filter_loss: None,
        coil_loss: None,
        over: Overrides::default(),
        supply_plenum: None,
        return_plenum: None,
    }
}

/// Reads `air handler`.
pub(super) fn air_handler<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    key: Span,
) -> Option<AirHandler> {
    let entries = reader.mapping(node, &tables::AIR_HANDLER)?;
    let over = overrides(reader, &entries, &tables::AIR_HANDLER);
    Some(AirHandler {
        at: key.to(entries.at),
        place: over.place.clone(),
        airflow: entries
            .get("airflow")
            .and_then(|node| airflow(reader, node)),
        coil: entries
            .get("coil")
            .and_then(|node| reader.choice(node, "the coil", words::COIL)),
        filter: entries
            .get("filter")
            .and_then(|node| reader.choice(node, "the filter", words::FILTER)),
        blower: entries.get("blower").and_then(|node| blower(reader, node)),
        filter_loss: quantity(reader, &entries, "filter loss", &limits::COMPONENT_LOSS),
        coil_loss: quantity(reader, &entries, "coil loss", &limits::COMPONENT_LOSS),
        over,
        supply_plenum: entries
            .get("supply plenum")
            .and_then(|node| plenum(reader, node)),
        return_plenum: entries
            .get("return plenum")
            .and_then(|node| plenum(reader, node)),
    })
}

/// `1200 cfm by plate at filter`.
fn airflow<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<(Marked<Flow>, AirflowBy)> {
    let cut = reader.words(node, "an airflow")?;
    let lower = cut.text.to_ascii_lowercase();
    let (flow, by) = match (lower.find(" by "), lower.rfind(' ')) {
        (Some(i), _) => (&cut.text[..i], cut.text[i + 4..].trim()),
        (None, Some(i)) if lower[i..].trim() == "assumed" => (&cut.text[..i], &cut.text[i + 1..]),
        _ => (cut.text, ""),
    };
    let value: Option<Marked<Flow>> = reader.quantity_in(&cut, flow.trim(), &limits::AIRFLOW);
    if by.is_empty() {
        if value.is_some() {
            reader.report(
                Diagnostic::new(
                    "E0120",
                    cut.inner(),
                    format!("{} does not say how the airflow was got", quoted(cut.text)),
                )
                .label("by what?")
                .hint(airflow_forms(flow.trim())),
            );
        }
        return None;
    }
    if lower.contains(" by ") && by.eq_ignore_ascii_case("assumed") {
        let better = format!("{} assumed", flow.trim());
        reader.report(
            Diagnostic::new("E0112", cut.inner(), "an airflow is not got by assumption")
                .label("`by` stands before a way of measuring")
                .suggest(Some(&better)),
        );
        return None;
    }
    let by = reader.choice_in(&cut, by, "the way an airflow was got", words::AIRFLOW_BY)?;
    Some((value?, by.value))
}

/// The forms of an airflow, with the flow that a person wrote.
fn airflow_forms(flow: &str) -> String {
    let ways: Vec<_> = listed(words::AIRFLOW_BY)
        .into_iter()
        .filter(|way| *way != "assumed")
        .collect();
    format!(
        "write `{flow} by {}` (or by {}), or `{flow} assumed`",
        ways[0],
        ways[1..].join(", by ")
    )
}

fn plenum<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Plenum> {
    let entries = reader.mapping(node, &tables::PLENUM)?;
    Some(Plenum {
        at: entries.at,
        size: entries
            .get("size")
            .and_then(|node| reader.size(node, &limits::DUCT_SIDE)),
        length: quantity(reader, &entries, "length", &limits::PLENUM),
        material: entries
            .get("material")
            .and_then(|node| reader.choice(node, "a material", words::MATERIAL)),
        over: overrides(reader, &entries, &tables::PLENUM),
    })
}

/// `fixed speed`, `constant flow`, or points.
fn blower<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<Blower>> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let kind = reader.choice(node, "a blower", words::BLOWER)?;
        let blower = match kind.value {
            BlowerWord::FixedSpeed => Blower::FixedSpeed,
            BlowerWord::ConstantFlow => Blower::ConstantFlow,
        };
        return Some(Marked::new(blower, kind.at));
    }
    let entries = reader.mapping(node, &tables::BLOWER)?;
    let list = entries.get("points")?;
    let items = reader.list(list, "the points of a blower")?;
    let points: Vec<Option<Marked<FlowAt>>> = items
        .iter()
        .map(|item| {
            flow_at(
                reader,
                item,
                "a point of a blower",
                "1310 cfm at 0.2 inwc",
                &limits::RISE,
            )
        })
        .collect();
    let points: Vec<Marked<FlowAt>> = points.into_iter().collect::<Option<_>>()?;
    if points.len() < 2 {
        reader.report(
            Diagnostic::new(
                "E0172",
                reader.head(list),
                format!("a blower needs two points at least, found {}", points.len()),
            )
            .label("too few to draw a curve")
            .hint("write flows at two static pressures or more like `[1310 cfm at 0.2 inwc, 900 cfm at 0.8 inwc]`, or `fixed speed`"),
        );
        return None;
    }
    let mut by_rise: Vec<&Marked<FlowAt>> = points.iter().collect();
    by_rise.sort_by(|a, b| a.value.pressure.si().total_cmp(&b.value.pressure.si()));
    let twins = by_rise
        .windows(2)
        .find(|pair| pair[1].value.pressure.si() - pair[0].value.pressure.si() < SAME_RISE_PA);
    if let Some(pair) = twins {
        let (first, second) = (pair[0].at.min(pair[1].at), pair[0].at.max(pair[1].at));
        reader.report(
            Diagnostic::new(
                "E0172",
                second,
                "two points of a blower stand at one pressure",
            )
            .label("a second flow at it")
            .also(first, "the first")
            .hint("keep one of them"),
        );
        return None;
    }
    Some(Marked::new(Blower::Points(points), entries.at))
}
