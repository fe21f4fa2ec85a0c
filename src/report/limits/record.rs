//! `ductseam limits --record`: the record of the test in words and as a table.

use super::fit_words::{coefficient, floor};
use super::record_readings::set_up;
use super::said;
use crate::limits::{Answer, At25, Fit, Found, How};
use crate::quantity::{Pressure, Quantity, Temperature, UnitSystem};
use crate::report::allocation_text::{before_you_touch, listed, stops};
use crate::report::cautions::cautions;
use crate::report::csv_table::csv_table;
use crate::report::figures::{area, area_unit, flow_unit, leak, percent};
use crate::report::lines::{Holds, Table, wrapped};
use crate::report::words;
use crate::system::{PressureError, System, USUAL_FLOW_ERROR};

/// Columns of the record as a table.
pub const RECORD_COLUMNS: [&str; 2] = ["item", "value"];

const NOT_STATED: &str = "not stated";

/// Item and value, in order, in words.
fn items(system: &System, answer: &Answer<'_>, units: UnitSystem) -> Vec<(String, String)> {
    let record = &system.record;
    let mut found: Vec<(String, String)> = Vec::new();
    let mut say = |item: &str, value: String| found.push((item.to_owned(), value));
    let free = |said: &Option<String>| said.clone().unwrap_or_else(|| NOT_STATED.to_owned());
    say("job", system.title.clone());
    say("date", free(&date(system)));
    say(
        "stage",
        answer
            .stage
            .map_or_else(|| NOT_STATED.to_owned(), |stage| stage.words().to_owned()),
    );
    say("tester", free(&record.tester));
    say("weather", free(&record.weather));
    say("set-up", free(&record.set_up));
    say("instruments", free(&record.instruments));
    say("errors of instruments", errors(system));
    if let Some(said) = floor(system, answer, units) {
        say("least error", said);
    }
    for (item, kelvin) in [
        ("duct air", record.duct_k),
        ("indoor air", record.indoor_k),
        ("outdoor air", record.outdoor_k),
    ] {
        say(item, shown(kelvin.map(Temperature::new), units));
    }
    say(
        "air pressure",
        format!(
            "{:.1} kPa, {}",
            record.air_pressure_pa(system.elevation_m) / 1000.0,
            if record.barometer_pa.is_none() {
                by_elevation(system)
            } else {
                "barometer"
            }
        ),
    );
    say(
        "flows",
        match (answer.meter_corrects, answer.meter_said) {
            (true, true) => "at 1.204 kg/m3, by a meter that corrects",
            (true, false) => {
                "at 1.204 kg/m3; whether the meter corrects is not stated (taken as: it does)"
            }
            (false, _) => "at 1.204 kg/m3, brought there from a meter that does not correct",
        }
        .to_owned(),
    );
    for (item, pascal) in [
        ("baseline before", record.baseline_before_pa),
        ("baseline after", record.baseline_after_pa),
    ] {
        say(item, shown(pascal.map(Pressure::new), units));
    }
    say(
        "floor area served",
        system.floor_area_m2.map_or_else(
            || NOT_STATED.to_owned(),
            |m2| format!("{:.0} {}", area(m2, units), area_unit(units)),
        ),
    );
    say(
        "airflow",
        system.unit.airflow_m3_s.map_or_else(
            || NOT_STATED.to_owned(),
            |(flow, by)| {
                format!(
                    "{} {}, {}",
                    leak(flow, units),
                    flow_unit(units),
                    words::airflow_by(by)
                )
            },
        ),
    );
    for measured in &system.readings {
        let Some(flow) = measured.fan_flow_m3_s() else {
            continue;
        };
        let replaced = if answer.replaced.contains(&measured.id) {
            "; replaced by the series, not judged"
        } else {
            ""
        };
        let date = measured
            .date
            .as_ref()
            .map_or_else(String::new, |day| format!(", read on {day}"));
        say(
            &format!("reading `{}`", measured.id),
            format!(
                "{}, {}{date}{replaced}",
                said::with_unit(flow, units),
                set_up(system, measured)
            ),
        );
    }
    for found in &answer.found {
        results(found, units, &mut say);
    }
    for held in &answer.held {
        say(
            &format!("limit `{}`", held.limit.id),
            match &held.judged {
                Ok(judged) => format!(
                    "{}, {} {}: {}",
                    said::measure(&held.limit, units),
                    leak(judged.limit_m3_s, units),
                    flow_unit(units),
                    judged.verdict.words()
                ),
                Err(why) => format!(
                    "{}: not comparable, {why}",
                    said::measure(&held.limit, units)
                ),
            },
        );
    }
    found
}

/// What the readings of one set-up come to: of a series its points and its line too.
fn results(found: &Found<'_>, units: UnitSystem, say: &mut impl FnMut(&str, String)) {
    let scope = found.basis.scope.words();
    if found.is_given {
        for reading in &found.readings {
            let point = &reading.point;
            say(
                &format!("series, {scope}, `{}`", reading.id),
                format!(
                    "{} at {} Pa, ± {} and {:.2} Pa (one standard deviation)",
                    said::with_unit(point.flow_m3_s, units),
                    said::pascals(point.pressure_pa),
                    leak(point.flow_sd_m3_s, units),
                    point.pressure_sd_pa
                ),
            );
        }
    }
    let Ok(at) = &found.at_25 else { return };
    if let Some(fit) = fit_of(at) {
        say(
            &format!("fit, {scope}"),
            format!(
                "{} points, {}, n {:.3}, r2 {:.4}",
                fit.points,
                coefficient(fit, units),
                fit.n,
                fit.r2
            ),
        );
    }
    say(
        &format!("at 25 Pa, {scope}"),
        format!(
            "{}{} {}, {}",
            if at.is_bound() { "below " } else { "" },
            said::with_unit(at.flow_m3_s(), units),
            said::half_95(at, units),
            said::method(at),
        ),
    );
}

/// The line of a series.
pub(super) fn fit_of(at: &At25) -> Option<&Fit> {
    match at.how() {
        How::Series(fit) => Some(fit),
        _ => None,
    }
}

/// How the pressure of the air was had where no barometer was read.
fn by_elevation(system: &System) -> &'static str {
    let of = |one: &crate::system::DefaultUsed| one.taken.starts_with("elevation:");
    if system.defaults.iter().any(of) {
        "elevation not stated (taken as sea level)"
    } else {
        "by the elevation"
    }
}

/// Day of the test: the record's, else that of the latest reading that has one.
pub(super) fn date(system: &System) -> Option<String> {
    let read = system.readings.iter().filter_map(|r| r.date.clone()).max();
    system.record.date.clone().or(read)
}

fn shown<Q: Quantity + ShowIn>(value: Option<Q>, units: UnitSystem) -> String {
    value.map_or_else(|| NOT_STATED.to_owned(), |value| value.shown(units))
}

/// What can be shown in a unit system.
trait ShowIn {
    fn shown(self, units: UnitSystem) -> String;
}

impl ShowIn for Temperature {
    fn shown(self, units: UnitSystem) -> String {
        self.show(units)
    }
}

impl ShowIn for Pressure {
    fn shown(self, units: UnitSystem) -> String {
        self.show_with(units, 2)
    }
}

fn errors(system: &System) -> String {
    let record = &system.record;
    let mut usual = system
        .readings
        .iter()
        .filter(|one| one.fan_flow_m3_s().is_some());
    let flow = match record.flow_part_sd {
        Some(part) => format!("flow {}", percent(part)),
        None if usual.any(|one| one.error_is_usual) => format!(
            "flow not stated (taken as {} where a reading states none, engineering estimate)",
            percent(USUAL_FLOW_ERROR)
        ),
        None => "flow as each reading says".to_owned(),
    };
    let pressure = &record.pressure_error;
    let figures = format!(
        "{} and at least {:.2} Pa",
        percent(pressure.part_sd),
        pressure.least_sd_pa
    );
    let pressure = if *pressure == PressureError::default() {
        format!("pressure not stated (taken as {figures}, engineering estimate)")
    } else {
        format!("pressure {figures}, {}", pressure.source)
    };
    let how = if record.errors_are_limits {
        "; what is stated was stated as limits and divided by 1.96"
    } else {
        ""
    };
    format!("{flow}; {pressure}; one standard deviation{how}")
}

/// The record for a terminal.
#[must_use]
pub fn record_text(system: &System, answer: &Answer<'_>, units: UnitSystem) -> String {
    let mut table = Table::new(&[("item", Holds::Names, 34), ("value", Holds::Words, 60)]);
    for (item, value) in items(system, answer, units) {
        table.row(vec![item, value]);
    }
    let mut text = "Record of a duct leakage test\n\n".to_owned();
    text.push_str(&stops(system));
    text.push_str(&table.text());
    text.push('\n');
    let doubts = answer.record_doubts();
    text.push_str(&listed("Doubtful", doubts.iter().map(String::as_str)));
    text.push_str(&before_you_touch(system));
    text.push_str(&wrapped(
        "",
        "Whether a rule is met is for the authority having jurisdiction to decide.",
    ));
    text
}

/// What makes the record doubtful, and what to be careful of; text has them beneath and above its table.
fn notices(system: &System, answer: &Answer<'_>) -> Vec<(String, String)> {
    let doubts = answer.record_doubts().into_iter();
    let careful = cautions(system).into_iter().map(|caution| {
        let item = if caution.stop { "STOP" } else { "caution" };
        (item.to_owned(), caution.text)
    });
    doubts
        .map(|doubt| ("doubtful".to_owned(), doubt))
        .chain(careful)
        .collect()
}

/// The record as a table.
#[must_use]
pub fn record_csv(system: &System, answer: &Answer<'_>, units: UnitSystem) -> String {
    csv_table(
        &RECORD_COLUMNS,
        items(system, answer, units)
            .into_iter()
            .chain(notices(system, answer))
            .map(|(item, value)| [item, value]),
    )
}
