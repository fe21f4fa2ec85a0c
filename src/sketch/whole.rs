//! Reads the whole sketch: house, places, air handler, usual ways; runs and readings have files of their own.

use super::diagnostics::{Diagnostic, quoted};
use super::entries::{Entries, twin_key};
use super::fields::Table;
use super::limits;
use super::reader::{Cut, Reader};
use super::span::{Marked, Span};
use super::tables::{self, VERSION};
use super::tree::{Kind, Node};
use super::types::{
    AirHandler, AirflowBy, Appliance, House, Material, Overrides, Place, PlaceLike, Plenum, Sketch,
    SuspectTape, Usual,
};
use super::words::{self, listed};
use super::{readings, runs};
use crate::quantity::{Flow, Fraction, Gauge, Pressure, Quantity, UnitSystem};

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
        .and_then(|node| house(reader, node))
        .unwrap_or_default();
    let suspect_tape = entries
        .get("suspect tape")
        .and_then(|node| reader.choice(node, "suspect tape", words::SUSPECT_TAPE));
    let places = entries
        .get("places")
        .map(|node| places(reader, node))
        .unwrap_or_default();
    let air_handler = match entries.get("air handler") {
        Some(node) => air_handler(
            reader,
            node,
            entries.key_at("air handler").unwrap_or_default(),
        ),
        None => Some(no_air_handler()),
    };
    let combustion = entries
        .get("combustion")
        .map(|node| each(reader, node, "the appliances", appliance))
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
        .map(|node| each(reader, node, "the looks", readings::look))
        .unwrap_or_default();
    Some(Sketch {
        title: title?,
        note,
        units: units.map_or(UnitSystem::default(), |units| units.value),
        house,
        places,
        air_handler: air_handler?,
        combustion,
        suspect_tape: suspect_tape.map_or(SuspectTape::default(), |tape| tape.value),
        usual,
        runs,
        readings,
        looks,
    })
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

fn house<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<House> {
    let entries = reader.mapping(node, &tables::HOUSE)?;
    Some(House {
        floor_area: quantity(reader, &entries, "floor area", &limits::FLOOR),
        height: quantity(reader, &entries, "height", &limits::HEIGHT),
        elevation: quantity(reader, &entries, "elevation", &limits::ELEVATION),
    })
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

fn places<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Vec<Place> {
    let Kind::Mapping(pairs) = &node.kind else {
        reader.wrong_shape(node, "the places", "a mapping like `attic: outside`");
        return Vec::new();
    };
    let mut places: Vec<Place> = Vec::new();
    let mut seen: std::collections::BTreeMap<String, Span> = std::collections::BTreeMap::new();
    for (key, value) in pairs {
        let Some(name) = reader.id(key, "the name of a place") else {
            continue;
        };
        if let Some(first) = seen.get(&name.value) {
            reader.report(twin_key(name.at, &name.value, *first));
            continue;
        }
        seen.insert(name.value.clone(), name.at);
        if value.kind == Kind::Nothing {
            reader.report(
                Diagnostic::new(
                    "E0111",
                    name.at,
                    format!("nothing is written for {}", quoted(&name.value)),
                )
                .label("no value follows")
                .hint("write inside, outside or buffer"),
            );
            continue;
        }
        places.extend(place(reader, name, value));
    }
    places
}

fn place<'t>(reader: &mut Reader<'t>, name: Marked<String>, node: &Node<'t>) -> Option<Place> {
    if !matches!(node.kind, Kind::Mapping(_)) {
        let like = reader.choice(node, "a place", words::LIKE)?;
        return Some(Place {
            name,
            like,
            house_share: None,
        });
    }
    let entries = reader.mapping(node, &tables::PLACE_TABLE)?;
    let like = entries
        .get("like")
        .and_then(|node| reader.choice(node, "a place", words::LIKE));
    let by_zone = entries
        .get("zone reading")
        .map(|node| zone_reading(reader, node));
    let by_part = entries.get("outside").map(|node| {
        let part: Marked<Fraction> = reader.quantity(node, &limits::OUTSIDE)?;
        Some(Marked::new(Fraction::new(1.0 - part.value.si()), part.at))
    });
    if let (Some(zone), Some(part)) = (entries.key_at("zone reading"), entries.key_at("outside")) {
        reader.report(
            Diagnostic::new("E0140", part, "a place says twice how far it is outdoors")
                .label("and again here")
                .also(zone, "said here")
                .hint("keep the zone reading, which is measured"),
        );
        return None;
    }
    let house_share = match (by_zone, by_part) {
        (Some(share), _) | (_, Some(share)) => Some(share?),
        _ => None,
    };
    let like = like?;
    if let Some(share) = &house_share
        && like.value != PlaceLike::Buffer
    {
        reader.report(
            Diagnostic::new(
                "E0171",
                share.at,
                format!(
                    "only a buffer stands between house and outdoors, but {} does not",
                    quoted(&name.value)
                ),
            )
            .label("said of a place that is not a buffer")
            .also(like.at, "said here")
            .hint("write `like: buffer`, or take this out"),
        );
        return None;
    }
    Some(Place {
        name,
        like,
        house_share,
    })
}

/// `46 of 50 Pa to outdoors`: the part of the house's pressure against outdoors at which the place sits.
fn zone_reading<'t>(reader: &mut Reader<'t>, node: &Node<'t>) -> Option<Marked<Fraction>> {
    const HINT: &str = "write the place's pressure, the house's, and what the place was read against: `46 of 50 Pa to outdoors` or `4 of 50 Pa to house`";
    let cut = reader.words(node, "a zone reading")?;
    let bad = |reader: &mut Reader<'_>, title: &str| {
        reader.report(
            Diagnostic::new(
                "E0170",
                cut.inner(),
                format!("{title} in {}", quoted(cut.text)),
            )
            .label("zone reading")
            .hint(HINT),
        );
        None
    };
    let lower = cut.text.to_ascii_lowercase();
    let (values, to) = match lower.rfind(" to ") {
        Some(i) => (&cut.text[..i], cut.text[i + 4..].trim()),
        None => return bad(reader, "the reference is missing"),
    };
    let Some((zone, house)) = values.split_once(" of ") else {
        return bad(reader, "`of` and the pressure of the house are missing");
    };
    let house_pa: Marked<Pressure> =
        reader.quantity_in(&cut, house.trim(), &limits::ZONE_PRESSURE)?;
    let zone = zone.trim();
    let zone_pa = if zone.parse::<f64>().is_ok() {
        // `46 of 50 Pa`: the unit of the house's pressure holds for both.
        let unit = house
            .trim()
            .trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | '-' | '+' | '−'));
        match format!("{zone} {}", unit.trim()).parse::<Pressure>() {
            Ok(value) => reader
                .within(cut.span(zone), zone, value.si(), &limits::ZONE_PRESSURE)
                .then_some(value)?,
            Err(error) => {
                reader.refuse(cut.span(zone), &error);
                return None;
            }
        }
    } else {
        reader
            .quantity_in::<Pressure>(&cut, zone, &limits::ZONE_PRESSURE)?
            .value
    };
    if house_pa.value.si() <= 0.0 {
        return bad(reader, "the house has no pressure");
    }
    let part = zone_pa.si() / house_pa.value.si();
    if part > 1.0 {
        return bad(reader, "the place has more pressure than the house");
    }
    let share = match to.to_ascii_lowercase().as_str() {
        "outdoors" | "outside" => part,
        "house" | "the house" => 1.0 - part,
        _ => return bad(reader, "the reference is neither `outdoors` nor `house`"),
    };
    Some(Marked::new(Fraction::new(share), cut.inner()))
}

fn no_air_handler() -> AirHandler {
    AirHandler {
        at: Span::default(),
        place: None,
        airflow: None,
        coil: None,
        filter: None,
        over: Overrides::default(),
        supply_plenum: None,
        return_plenum: None,
    }
}

fn air_handler<'t>(reader: &mut Reader<'t>, node: &Node<'t>, key: Span) -> Option<AirHandler> {
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

/// The words of a cut before and after the last ` at `.
pub(super) fn around_at<'n>(cut: &Cut<'n>) -> Option<(&'n str, &'n str)> {
    let i = cut.text.to_ascii_lowercase().rfind(" at ")?;
    Some((cut.text[..i].trim(), cut.text[i + 4..].trim()))
}
