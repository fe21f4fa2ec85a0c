//! The part of `check` about the crew: methods in use, times, rates, and what nobody seals.

use std::collections::BTreeMap;

use serde::Serialize;

use super::figures::gap;
use super::lines::{Holds, Table, wrapped};
use super::words::counted;
use crate::quantity::{UnitSystem, significant};
use crate::system::{SealMethod, System};

/// The crew in one block.
pub(super) fn text(system: &System, units: UnitSystem) -> String {
    let crew = &system.crew;
    let mut text = String::from(
        "Crew (minutes at the joint; fastening, baring insulation and getting there come on top)\n",
    );
    let mut table = Table::new(&[
        ("method", Holds::Names, 12),
        ("each", Holds::Numbers, 5),
        ("per m", Holds::Numbers, 5),
        ("once", Holds::Numbers, 5),
        ("remains", Holds::Numbers, 7),
        ("missed", Holds::Numbers, 6),
        ("gap to", Holds::Numbers, 8),
        ("wait", Holds::Numbers, 6),
        ("your own", Holds::Words, 28),
    ]);
    let percent = |part: f64| format!("{} %", significant(100.0 * part, 2));
    for method in &crew.methods {
        table.row(vec![
            method.id.clone(),
            significant(method.minutes_each, 3),
            significant(method.minutes_per_m, 3),
            significant(method.minutes_once, 3),
            percent(method.remains),
            percent(method.missed),
            gap(method.gap_to_m, units),
            format!("{} h", significant(method.cure_h, 3)),
            method.given().unwrap_or("-").to_owned(),
        ]);
    }
    text.push_str(&table.text());
    for (head, words) in lines(system) {
        text.push_str(&wrapped(&format!("  {head}: "), &words));
    }
    text.push_str(&wrapped(
        "  ",
        "Figures that are not your own are estimates; `ductseam catalog` has their sources.",
    ));
    text.push('\n');
    text
}

/// Rates, prices, set-up, sealing from inside, what nobody seals.
fn lines(system: &System) -> Vec<(&'static str, String)> {
    let crew = &system.crew;
    let money = |amount: f64| match crew.currency.as_str() {
        "" => format!("{amount}"),
        currency => format!("{amount} {currency}"),
    };
    let mut lines = Vec::new();
    let rates: Vec<String> = [
        (crew.money_per_hour, "an hour"),
        (crew.money_per_visit, "a visit"),
    ]
    .into_iter()
    .filter_map(|(rate, per)| Some(format!("{} {per}", money(rate?))))
    .collect();
    lines.push((
        "rates",
        match rates.is_empty() {
            true => "none given: no costs are told".to_owned(),
            false => rates.join(", "),
        },
    ));
    let prices: Vec<String> = crew
        .methods
        .iter()
        .filter_map(|m| price(m, money))
        .collect();
    if !prices.is_empty() {
        lines.push(("prices", prices.join("; ")));
    }
    let places: Vec<String> = system
        .places
        .iter()
        .zip(&crew.place_minutes)
        .map(|(place, minutes)| format!("{} {} min", place.name, significant(*minutes, 3)))
        .collect();
    lines.push((
        "getting to a place once",
        format!("{} ({})", places.join(", "), crew.place_minutes_source),
    ));
    let from_inside = if crew.from_inside { "" } else { "not " };
    lines.push(("sealing from inside", format!("{from_inside}offered")));
    let mut left: BTreeMap<&str, usize> = BTreeMap::new();
    for why in crew.left.iter().flatten() {
        *left.entry(why).or_default() += 1;
    }
    if !left.is_empty() {
        let left: Vec<String> = left
            .iter()
            .map(|(why, count)| format!("{} ({why})", counted(*count, "seam", "seams")))
            .collect();
        lines.push(("nobody seals", left.join(", ")));
    }
    lines
}

/// The prices of a method, where any is given.
fn price(method: &SealMethod, money: impl Fn(f64) -> String) -> Option<String> {
    let unit = method
        .money_per_unit
        .map(|price| match method.unit.as_str() {
            "each" => format!("{} each", money(price)),
            unit => format!("{} a {unit} of {}", money(price), method.material),
        });
    let once = method
        .money_once
        .map(|once| format!("{} once", money(once)));
    let said: Vec<String> = unit.into_iter().chain(once).collect();
    (!said.is_empty()).then(|| format!("{}: {}", method.id, said.join(", ")))
}

/// The crew for programs, SI.
#[derive(Debug, Serialize)]
pub(super) struct Crew<'a> {
    methods: Vec<Method<'a>>,
    from_inside: bool,
    places: Vec<Place<'a>>,
    place_minutes_source: &'a str,
    reattach_minutes: f64,
    currency: &'a str,
    money_per_hour: Option<f64>,
    money_per_visit: Option<f64>,
    /// Seams that nobody seals.
    left: Vec<Left<'a>>,
}

/// A method in use.
#[derive(Debug, Serialize)]
struct Method<'a> {
    id: &'a str,
    words: &'a str,
    from_inside: bool,
    gap_to_m: f64,
    beyond_m: f64,
    remains: f64,
    remains_own_gsd: f64,
    remains_shared_gsd: f64,
    missed: f64,
    missed_shared_gsd: f64,
    minutes_each: f64,
    minutes_per_m: f64,
    minutes_once: f64,
    material: &'a str,
    unit: &'a str,
    material_each: f64,
    material_per_m: f64,
    money_per_unit: Option<f64>,
    money_once: Option<f64>,
    cure_h: f64,
    /// Keys of the figures that the sketch gives; null where all are the catalogue's.
    given: Option<&'a str>,
    source: &'a str,
    /// Seams that it can serve.
    seams: usize,
}

/// Getting to a place once.
#[derive(Debug, Serialize)]
struct Place<'a> {
    name: &'a str,
    minutes: f64,
}

/// A seam that nobody seals, and why.
#[derive(Debug, Serialize)]
struct Left<'a> {
    seam: &'a str,
    why: &'a str,
}

/// The crew for programs.
pub(super) fn crew(system: &System) -> Crew<'_> {
    let crew = &system.crew;
    let mut served = vec![0; crew.methods.len()];
    for way in crew.ways.iter().flatten() {
        served[way.method] += 1;
    }
    Crew {
        methods: crew
            .methods
            .iter()
            .zip(served)
            .map(|(method, seams)| Method {
                id: &method.id,
                words: &method.words,
                from_inside: method.from_inside,
                gap_to_m: method.gap_to_m,
                beyond_m: method.beyond_m,
                remains: method.remains,
                remains_own_gsd: method.remains_own_gsd,
                remains_shared_gsd: method.remains_shared_gsd,
                missed: method.missed,
                missed_shared_gsd: method.missed_shared_gsd,
                minutes_each: method.minutes_each,
                minutes_per_m: method.minutes_per_m,
                minutes_once: method.minutes_once,
                material: &method.material,
                unit: &method.unit,
                material_each: method.material_each,
                material_per_m: method.material_per_m,
                money_per_unit: method.money_per_unit,
                money_once: method.money_once,
                cure_h: method.cure_h,
                given: method.given(),
                source: &method.source,
                seams,
            })
            .collect(),
        from_inside: crew.from_inside,
        places: system
            .places
            .iter()
            .zip(&crew.place_minutes)
            .map(|(place, &minutes)| Place {
                name: &place.name,
                minutes,
            })
            .collect(),
        place_minutes_source: &crew.place_minutes_source,
        reattach_minutes: crew.reattach_minutes,
        currency: &crew.currency,
        money_per_hour: crew.money_per_hour,
        money_per_visit: crew.money_per_visit,
        left: crew
            .left
            .iter()
            .zip(&system.seams)
            .filter_map(|(why, seam)| {
                Some(Left {
                    seam: &seam.id,
                    why: why.as_deref()?,
                })
            })
            .collect(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalog;

    fn system(name: &str, text: &str) -> System {
        let sketch = crate::sketch::read(text, name).expect("a good sketch");
        crate::system::build(&sketch, text, name, Catalog::builtin()).expect("a good system")
    }

    fn full() -> System {
        system("full.yaml", include_str!("../../tests/good/full.yaml"))
    }

    #[test]
    fn methods_in_use_own_figures_and_rates_are_shown() {
        for units in [UnitSystem::Ip, UnitSystem::Si] {
            let text = text(&full(), units);
            let flat: String = text.split_whitespace().collect::<Vec<_>>().join(" ");
            for words in [
                "rates: 95 EUR an hour, 60 EUR a visit",
                "mastic-mesh: 14 EUR a L of mastic, 0 EUR once",
                "inside: 900 EUR once",
                "attic 20 min",
                "crawlspace 25 min",
                "given in the sketch for attic, crawlspace",
                "sealing from inside: offered",
                "left, as the sketch says",
                "nobody knows where it is",
            ] {
                assert!(flat.contains(words), "{words} in {text}");
            }
            assert!(!flat.contains("foil-tape"), "{text}");
            assert!(
                text.lines().all(|line| line.chars().count() <= 100),
                "{text}"
            );
        }
        assert!(text(&full(), UnitSystem::Ip).contains("0.24 in"));
        assert!(text(&full(), UnitSystem::Si).contains("6 mm"));
    }

    #[test]
    fn without_a_word_of_the_crew_nothing_is_given_and_no_cost_told() {
        let system = system("base.yaml", include_str!("../../tests/good/base.yaml"));
        let text = text(&system, UnitSystem::Ip);
        assert!(text.contains("rates: none given") && text.contains("inside: not offered"));
        let json = serde_json::to_value(crew(&system)).expect("plain data");
        assert!(json["money_per_hour"].is_null() && json["methods"][0]["given"].is_null());
    }

    #[test]
    fn programs_are_told_what_each_method_can_serve_and_what_nobody_seals() {
        let system = full();
        let json = serde_json::to_value(crew(&system)).expect("plain data");
        let methods = json["methods"].as_array().expect("a list");
        let mesh = methods
            .iter()
            .find(|m| m["id"] == "mastic-mesh")
            .expect("is used");
        assert!(
            mesh["given"]
                .as_str()
                .is_some_and(|g| g.contains("price once"))
        );
        assert!(mesh["seams"].as_u64().is_some_and(|n| n > 0));
        let left = json["left"].as_array().expect("a list");
        assert!(left.iter().any(|l| l["seam"] == "S/cap"));
        let with_ways = system.crew.ways.iter().filter(|ways| !ways.is_empty());
        assert_eq!(left.len() + with_ways.count(), system.seams.len());
    }
}
