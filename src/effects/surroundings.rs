//! The air round the ducts: temperatures by season and how much of a loss comes back, by kind of place.

use super::defaults::Defaults;
use crate::quantity::{Temperature, UnitSystem, significant};
use crate::system::{Place, PlaceAir, System};

/// Heating or cooling.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Mode {
    /// Heating.
    Heating,
    /// Cooling.
    Cooling,
}

/// How a kind of place usually is. `winter` and `summer` are parts of the way from outdoors to indoors; the sun adds
/// `sun_k` in summer.
struct Kind {
    /// Words of names that mean it.
    words: &'static [&'static str],
    name: &'static str,
    winter: f64,
    summer: f64,
    sun_k: f64,
    temperature_source: &'static str,
    regain: (f64, f64),
    regain_source: &'static str,
}

const TWO_TABLES: &str = "two public tables that both follow ASHRAE 152 (second hand)";
const ESTIMATE: &str = "engineering estimate";

/// Kinds of place, by their names; the first that fits counts.
const KINDS: &[Kind] = &[
    Kind {
        words: &["attic", "loft", "knee wall", "kneewall", "roof"],
        name: "attic",
        winter: 0.0,
        summer: 0.0,
        sun_k: 8.0,
        temperature_source: "winter as outdoors (design conditions of the ASHRAE Handbook of Fundamentals 2021, second \
                             hand), in summer 8 K above outdoors, half of what those conditions have: engineering \
                             estimate",
        regain: (0.10, 0.10),
        regain_source: TWO_TABLES,
    },
    Kind {
        words: &["garage", "carport", "shed"],
        name: "garage",
        winter: 0.25,
        summer: 0.25,
        sun_k: 0.0,
        temperature_source: ESTIMATE,
        regain: (0.05, 0.10),
        regain_source: TWO_TABLES,
    },
    Kind {
        words: &["crawl"],
        name: "crawlspace",
        winter: 0.25,
        summer: 0.9,
        sun_k: 0.0,
        temperature_source: "engineering estimate; the design conditions of the ASHRAE Handbook of Fundamentals 2021 \
                             (second hand) have it as outdoors in winter and near indoors in summer",
        regain: (0.12, 0.60),
        regain_source: "two public tables that both follow ASHRAE 152 (second hand), from a floor insulated above it to \
                        none",
    },
    Kind {
        words: &["basement", "cellar"],
        name: "basement",
        winter: 0.9,
        summer: 1.0,
        sun_k: 0.0,
        temperature_source: "design conditions of the ASHRAE Handbook of Fundamentals 2021 (second hand): 18 °C in \
                             winter; in summer taken as indoors",
        regain: (0.50, 0.78),
        regain_source: "two public tables that both follow ASHRAE 152 (second hand), from no insulation to insulated \
                        walls; under an insulated ceiling far less",
    },
    Kind {
        words: &["slab"],
        name: "under slab",
        winter: 0.7,
        summer: 0.9,
        sun_k: 0.0,
        temperature_source: ESTIMATE,
        regain: (0.20, 0.83),
        regain_source: TWO_TABLES,
    },
    Kind {
        words: &["belly"],
        name: "belly",
        winter: 0.3,
        summer: 0.3,
        sun_k: 0.0,
        temperature_source: ESTIMATE,
        regain: (0.30, 0.62),
        regain_source: "high end from a public table that follows ASHRAE 152 (second hand), low end an engineering \
                        estimate",
    },
    Kind {
        words: &["wall"],
        name: "outer wall",
        winter: 0.5,
        summer: 0.5,
        sun_k: 0.0,
        temperature_source: ESTIMATE,
        regain: (0.20, 0.50),
        regain_source: TWO_TABLES,
    },
];

/// A place that stands open to outdoors and has no kind.
const OUTDOORS: Kind = Kind {
    words: &[],
    name: "outdoors",
    winter: 0.0,
    summer: 0.0,
    sun_k: 0.0,
    temperature_source: "by its meaning",
    regain: (0.0, 0.0),
    regain_source: "by its meaning",
};

/// A place between house and outdoors that has no kind.
const BUFFER: Kind = Kind {
    words: &[],
    name: "buffer",
    winter: 0.5,
    summer: 0.5,
    sun_k: 0.0,
    temperature_source: ESTIMATE,
    regain: (0.10, 0.60),
    regain_source: "engineering estimate: the range of the other kinds",
};

fn kind_of(place: &Place) -> &'static Kind {
    let name = place.name.to_lowercase();
    let named = KINDS
        .iter()
        .find(|kind| kind.words.iter().any(|word| name.contains(word)));
    named.unwrap_or(if place.house_share <= 0.0 {
        &OUTDOORS
    } else {
        &BUFFER
    })
}

/// Air round ducts at one place in one season.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Around {
    /// Temperature at the season's mean outdoor temperature, K.
    pub k: f64,
    /// How much it follows outdoors: K for K.
    pub follows: f64,
    /// Part of a loss that comes back, low and high.
    pub regain: (f64, f64),
}

impl Around {
    /// Temperature when it is `more_k` warmer outdoors than the season's mean, K.
    #[must_use]
    pub fn at(&self, more_k: f64) -> f64 {
        self.k + self.follows * more_k
    }
}

/// Air of every place of a system; indoor air for those inside the conditioned space.
pub fn around(
    system: &System,
    mode: Mode,
    indoors_k: f64,
    outdoors_k: f64,
    touched: &[bool],
    defaults: &mut Defaults,
) -> Vec<Around> {
    let said = |place: usize| {
        let own = system.energy.places.get(place);
        own.copied().unwrap_or_else(PlaceAir::default)
    };
    system
        .places
        .iter()
        .enumerate()
        .map(|(index, place)| {
            if !place.unconditioned {
                return Around {
                    k: indoors_k,
                    follows: 0.0,
                    regain: (1.0, 1.0),
                };
            }
            let (kind, own) = (kind_of(place), said(index));
            let (way, sun_k, said_k, season) = match mode {
                Mode::Heating => (kind.winter, 0.0, own.winter_k, "winter"),
                Mode::Cooling => (kind.summer, kind.sun_k, own.summer_k, "summer"),
            };
            let usual_k = outdoors_k + way * (indoors_k - outdoors_k) + sun_k;
            let about = format!("place {}", place.name);
            if said_k.is_none() && touched[index] {
                let taken = format!(
                    "{season} {} (as {})",
                    temperature(usual_k, system.units),
                    kind.name
                );
                defaults.assume(&about, &taken, kind.temperature_source);
            }
            if own.regain.is_none() && touched[index] {
                let (low, high) = kind.regain;
                let taken = format!("regain {} (as {})", percents(low, high), kind.name);
                defaults.assume(&about, &taken, kind.regain_source);
            }
            Around {
                k: said_k.unwrap_or(usual_k),
                follows: 1.0 - way,
                regain: own.regain.map_or(kind.regain, |part| (part, part)),
            }
        })
        .collect()
}

fn percents(low: f64, high: f64) -> String {
    let percent = |part: f64| significant(100.0 * part, 2);
    if high - low < 1e-9 {
        format!("{} %", percent(low))
    } else {
        format!("{} to {} %", percent(low), percent(high))
    }
}

/// A temperature in whole degrees.
pub fn temperature(k: f64, units: UnitSystem) -> String {
    let found = Temperature::new(k);
    let whole = |value: f64| {
        let rounded = value.round();
        // No zero below zero.
        if rounded.abs() < 0.5 { 0.0 } else { rounded }
    };
    match units {
        UnitSystem::Ip => format!("{} °F", whole(found.to_fahrenheit())),
        UnitSystem::Si => format!("{} °C", whole(found.to_celsius())),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn place(name: &str, house_share: f64) -> Place {
        Place {
            name: name.to_owned(),
            house_share,
            unconditioned: true,
            source: String::new(),
            to_outdoors: None,
            to_house: None,
        }
    }

    #[test]
    fn kinds_go_by_name_and_then_by_the_pressure_of_the_place() {
        for (name, share, kind) in [
            ("Attic over garage", 0.0, "attic"),
            ("two-car garage", 0.1, "garage"),
            ("crawl space", 0.1, "crawlspace"),
            ("knee wall", 0.2, "attic"),
            ("outer wall", 0.5, "outer wall"),
            ("roof deck", 0.0, "attic"),
            ("porch", 0.0, "outdoors"),
            ("workshop", 0.4, "buffer"),
        ] {
            assert_eq!(kind_of(&place(name, share)).name, kind, "{name}");
        }
    }

    #[test]
    fn every_kind_lies_between_and_gives_back_no_more_than_all() {
        for kind in KINDS.iter().chain([&OUTDOORS, &BUFFER]) {
            let (low, high) = kind.regain;
            assert!(0.0 <= low && low <= high && high <= 1.0, "{}", kind.name);
            for way in [kind.winter, kind.summer] {
                assert!((0.0..=1.0).contains(&way), "{}", kind.name);
            }
        }
    }

    #[test]
    fn a_place_follows_outdoors_by_what_is_not_of_the_house() {
        // A quarter of the way from 0 °C to 20 °C: 5 °C; ten kelvin warmer outdoors: 7.5 K more.
        let around = Around {
            k: 278.15,
            follows: 0.75,
            regain: (0.0, 0.0),
        };
        assert!((around.at(10.0) - 285.65).abs() < 1e-12);
    }
}
