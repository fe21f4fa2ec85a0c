//! Reads the whole sketch: its head, appliances and usual ways; house, unit, runs and readings have files of their own.

use super::diagnostics::{Diagnostic, quoted};
use super::entries::Entries;
use super::fields::Table;
use super::limits;
use super::reader::{Cut, Reader};
use super::span::{Marked, Span};
use super::tables::{self, VERSION};
use super::tree::Node;
use super::types::{Appliance, FlowAt, Material, Overrides, Sketch, SuspectTape, Usual};
use super::words;
use super::{beliefs, crew, energy, house, limit_items, looks, readings, runs, unit, variants};
use crate::quantity::{Flow, Gauge, Parts, Pressure, Quantity, UnitSystem};

/// Reads the tree of a file; what is wrong is left with the reader.
pub(super) fn sketch<'t>(reader: &mut Reader<'t>, root: &Node<'t>) -> Option<Sketch> {
    let entries = reader.mapping(root, &tables::SKETCH)?;
    if let Some(node) = entries.get("ductseam") {
        version(reader, node);
    }
    let title = entries
        .get("title")
        .and_then(|node| reader.text(node, "a title", limits::LINE));
    let note = entries
        .get("note")
        .and_then(|node| reader.text(node, "a note", limits::NOTE));
    let units = entries
        .get("units")
        .and_then(|node| reader.choice(node, "the units of answers", words::UNITS));
    let house = entries
        .get("house")
        .and_then(|node| house::house(reader, node))
        .unwrap_or_default();
    let suspect_tape = entries
        .get("suspect tape")
        .and_then(|node| reader.choice(node, "suspect tape", words::SUSPECT_TAPE));
    let places = entries
        .get("places")
        .map(|node| house::places(reader, node))
        .unwrap_or_default();
    let rooms = entries
        .get("rooms")
        .map(|node| house::rooms(reader, node))
        .unwrap_or_default();
    let air_handler = match entries.get("air handler") {
        Some(node) => unit::air_handler(
            reader,
            node,
            entries.key_at("air handler").unwrap_or_default(),
        ),
        None => Some(unit::none()),
    };
    let combustion = entries
        .get("combustion")
        .map(|node| appliances(reader, node))
        .unwrap_or_default();
    let usual = entries
        .get("usual")
        .map(|node| usual(reader, node))
        .unwrap_or_default();
    let runs = entries
        .get("runs")
        .map(|node| runs::runs(reader, node))
        .unwrap_or_default();
    let readings = entries
        .get("readings")
        .map(|node| readings::readings(reader, node))
        .unwrap_or_default();
    let looks = entries
        .get("looks")
        .map(|node| each(reader, node, "the looks", looks::look))
        .unwrap_or_default();
    let sealing = entries
        .get("sealing")
        .map(|node| looks::sealing(reader, node))
        .unwrap_or_default();
    let prior = entries
        .get("prior")
        .map(|node| beliefs::prior(reader, node))
        .unwrap_or_default();
    let minutes = entries
        .get("minutes")
        .map(|node| beliefs::minutes(reader, node))
        .unwrap_or_default();
    let crew = entries
        .get("crew")
        .map(|node| crew::crew(reader, node))
        .unwrap_or_default();
    let energy = entries
        .get("energy")
        .map(|node| energy::energy(reader, node))
        .unwrap_or_default();
    let variants = entries
        .get("variants")
        .map(|node| variants::variants(reader, node))
        .unwrap_or_default();
    let limits = entries
        .get("limits")
        .map(|node| limit_items::limit_items(reader, node))
        .unwrap_or_default();
    let record = entries
        .get("record")
        .map(|node| limit_items::record(reader, node))
        .unwrap_or_default();
    Some(Sketch {
        // Nothing here makes up for what is wrong: the reader holds it, and then the sketch is at most drawn.
        title: title.unwrap_or_else(|| Marked::new(String::new(), root.at)),
        note,
        units: units.map_or(UnitSystem::default(), |units| units.value),
        house,
        rooms,
        places,
        air_handler: air_handler.unwrap_or_else(unit::none),
        combustion,
        suspect_tape: suspect_tape.map_or(SuspectTape::default(), |tape| tape.value),
        usual,
        runs,
        readings,
        looks,
        sealing,
        prior,
        minutes,
        crew,
        energy,
        variants,
        limits,
        record,
    })
}

/// Words that people write where nothing burns fuel.
const NOTHING_BURNS: [&str; 6] = ["none", "no", "nothing", "electric", "all electric", "n/a"];

fn appliances<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Appliance> {
    let none = reader
        .cut(node)
        .filter(|cut| NOTHING_BURNS.contains(&cut.text.to_lowercase().as_str()));
    if let Some(cut) = none {
        reader.report(
            Diagnostic::new(
                "E0111",
                cut.at,
                format!(
                    "expected a list of the appliances that burn fuel, found {}",
                    quoted(cut.text)
                ),
            )
            .label("no list")
            .hint("where nothing burns fuel write `combustion: []`, or leave the line out")
            .patch("[]".to_owned()),
        );
        return Vec::new();
    }
    each(reader, node, "the appliances", appliance)
}

/// Reads every item of a list, leaving out those with something wrong.
pub(super) fn each<'n, 't, T>(
    reader: &mut Reader<'t>,
    node: &'n Node<'t>,
    what: &str,
    read: fn(&mut Reader<'t>, &'n Node<'t>) -> Option<T>,
) -> Vec<T> {
    let Some(items) = reader.list(node, what) else {
        return Vec::new();
    };
    items.iter().filter_map(|item| read(reader, item)).collect()
}

fn version<'t>(reader: &mut Reader<'t>, node: &Node<'t>) {
    let Some(cut) = reader.words(node, "the version of the file format") else {
        return;
    };
    if cut.text.parse() != Ok(VERSION) {
        reader.report(
            Diagnostic::new(
                "E0113",
                cut.inner(),
                format!(
                    "this program reads version {VERSION} of the file format, found {}",
                    quoted(cut.text)
                ),
            )
            .label("unknown version")
            .hint(format!("write `ductseam: {VERSION}`")),
        );
    }
}

/// The quantity under a key, if it stands.
pub(super) fn quantity<'t, Q: Quantity>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    key: &str,
    bounds: &limits::Bounds,
) -> Option<Marked<Q>> {
    reader.quantity(entries.get(key)?, bounds)
}

fn appliance<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Appliance> {
    let entries = reader.mapping(node, &tables::APPLIANCE)?;
    let appliance = entries
        .get("appliance")
        .and_then(|node| reader.name(node, "an appliance"));
    let draft = entries
        .get("draft")
        .and_then(|node| reader.choice(node, "the draft of an appliance", words::DRAFT));
    let place = entries
        .get("place")
        .and_then(|node| reader.id(node, "the name of a place"));
    Some(Appliance {
        appliance: appliance?,
        draft: draft?,
        place: place?,
    })
}

fn usual<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Usual> {
    const KEYS: [(&str, Option<Material>); 8] = [
        ("all", None),
        ("rectangular", Some(Material::Rectangular)),
        ("round", Some(Material::Round)),
        ("spiral", Some(Material::Spiral)),
        ("flex", Some(Material::Flex)),
        ("duct board", Some(Material::DuctBoard)),
        ("panned joist", Some(Material::PannedJoist)),
        ("cavity", Some(Material::Cavity)),
    ];
    let Some(entries) = reader.mapping(node, &tables::USUAL) else {
        return Vec::new();
    };
    KEYS.iter()
        .filter_map(|(key, material)| {
            let node = entries.get(key)?;
            let own = reader.mapping(node, &tables::USUAL_ENTRY)?;
            Some(Usual {
                material: *material,
                at: entries.key_at(key)?.to(own.at),
                seam: own
                    .get("seam")
                    .and_then(|node| reader.name(node, "a joint type")),
                joint: own
                    .get("joint")
                    .and_then(|node| reader.name(node, "a joint type")),
                section: quantity(reader, &own, "section", &limits::SECTION),
                gauge: quantity::<Gauge>(reader, &own, "gauge", &limits::SHEET)
                    .map(|gauge| Marked::new(gauge.value.thickness(), gauge.at)),
                compression: quantity(reader, &own, "compression", &limits::COMPRESSION),
                roughness: quantity(reader, &own, "roughness", &limits::ROUGHNESS),
                lined: own
                    .get("lined")
                    .and_then(|node| reader.choice(node, "`lined`", words::YES_NO)),
                over: overrides(reader, &own, &tables::USUAL_ENTRY),
            })
        })
        .collect()
}

/// Work, place, reach and insulation, as far as the table has those keys; `joint` and `leak` only belong to steps.
pub(super) fn overrides<'t>(
    reader: &mut Reader<'t>,
    entries: &Entries<'_, 't>,
    table: &Table,
) -> Overrides {
    let has = |key: &str| table.fields.iter().any(|field| field.key == key);
    let get = |key: &str| if has(key) { entries.get(key) } else { None };
    Overrides {
        work: get("work").and_then(|node| reader.choice(node, "the work", words::WORK)),
        place: get("place").and_then(|node| reader.id(node, "the name of a place")),
        reach: get("reach").and_then(|node| reader.choice(node, "the reach", words::REACH)),
        insulation: get("insulation").and_then(|node| reader.quantity(node, &limits::INSULATION)),
        joint: None,
        leak: None,
    }
}

/// A plain flow at a pressure, as an envelope or a blower has it: `2400 cfm at 50 Pa`.
pub(super) fn flow_at<'t>(
    reader: &mut Reader<'t>,
    node: &Node<'t>,
    what: &str,
    example: &str,
    pressures: &limits::Bounds,
) -> Option<Marked<FlowAt>> {
    let cut = reader.words(node, what)?;
    let at = cut.inner();
    let bad = |reader: &mut Reader<'_>, at: Span, title: String, label: &str| {
        reader.report(
            Diagnostic::new("E0120", at, title)
                .label(label)
                .hint(format!("write a flow and its pressure like `{example}`")),
        );
        None
    };
    let parts = match Parts::cut(cut.text) {
        Ok(parts) => parts,
        Err(error) => {
            reader.refuse(at, &error);
            return None;
        }
    };
    if parts.below || parts.error.is_some() {
        let title = format!(
            "{what} is a plain flow at a pressure, found {}",
            quoted(cut.text)
        );
        return bad(reader, at, title, "more than that");
    }
    let flow = reader.quantity_in::<Flow>(&cut, parts.value, &limits::AIRFLOW);
    let Some(pressure) = parts.at else {
        if flow.is_some() {
            let title = format!("{} does not say at what pressure", quoted(cut.text));
            return bad(reader, at, title, "at what pressure?");
        }
        return None;
    };
    if pressure.parse::<f64>().is_ok() {
        let title = format!("{} has no unit", quoted(pressure));
        return bad(reader, cut.span(pressure), title, "no unit");
    }
    let pressure = reader.quantity_in::<Pressure>(&cut, pressure, pressures);
    Some(Marked::new(
        FlowAt {
            flow: flow?.value,
            pressure: pressure?.value,
        },
        at,
    ))
}

/// The words of a cut before and after the last ` at `.
pub(super) fn around_at<'n>(cut: &Cut<'n>) -> Option<(&'n str, &'n str)> {
    let i = cut.text.to_ascii_lowercase().rfind(" at ")?;
    Some((cut.text[..i].trim(), cut.text[i + 4..].trim()))
}
