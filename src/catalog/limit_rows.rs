//! Reading the tables of limits and of classes.

use super::class::{class_flow, leakage_class};
use super::error::CatalogError;
use super::limits::{ClassRow, ClassScale, Limit, Measure, Scope, Stage};
use super::read::{Row, once};
use super::tables::rows;
use super::units::{CFM, FOOT, INCH_WATER};

const LIMIT: &[&str] = &[
    "id",
    "words",
    "issuer",
    "edition",
    "section",
    "stages",
    "scope",
    "measure",
    "figure",
    "least_cfm",
    "condition",
    "source",
    "sure",
];
const CLASS: &[&str] = &["id", "scale", "name", "words", "factor", "source", "sure"];

/// The codes of what a limit is measured in.
const MEASURES: [&str; 5] = [
    "cfm",
    "cfm-per-100-ft2-floor",
    "percent-of-airflow",
    "class",
    "cfm-per-100-ft2-duct-at-0.1-inwc",
];

/// A hundred square feet, m².
pub const HUNDRED_FT2: f64 = 100.0 * FOOT * FOOT;

/// Reads the table of limits.
pub(super) fn read_limits(text: &str, file: &str, errors: &mut Vec<CatalogError>) -> Vec<Limit> {
    let rows = rows(text, file, LIMIT, errors, |row| {
        let (id, words) = (row.id("id"), row.text("words", "say what is limited"));
        let issuer = row.text("issuer", "name the code, standard or programme");
        let edition = row.text("edition", "write the edition or year");
        let (section, condition) = (row.free_text("section"), row.free_text("condition"));
        let (stages, scope) = (stages(row), scope(row));
        let measure = measure(row);
        let least = row.number("least_cfm", 0.0, 1e6);
        let source = row.source("source", "sure");
        Some(Limit {
            id: id?,
            words: words?,
            issuer: issuer?,
            edition: edition?,
            section: section?,
            stages: stages?,
            scope: scope?,
            measure: measure?,
            least_m3_s: least? * CFM,
            condition: condition?,
            source: source?,
            own: false,
        })
    });
    once(rows.iter().map(|row| row.id.as_str()), file, errors);
    rows
}

/// Reads the table of classes.
pub(super) fn read_classes(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> Vec<ClassRow> {
    let rows = rows(text, file, CLASS, errors, |row| {
        let id = row.id("id");
        let scale = match row.cell("scale") {
            "leakage-class" => Some(ClassScale::Leakage),
            "tightness-class" => Some(ClassScale::Tightness),
            other => {
                let wrong = format!("`{other}` is no scale of classes");
                row.fail(
                    "scale",
                    wrong,
                    "write `leakage-class` or `tightness-class`".into(),
                );
                None
            }
        };
        let name = row.text("name", "name the class");
        let words = row.text("words", "say what it stands for");
        let factor = match row.cell("factor") {
            "" => Some(None),
            _ => row.number("factor", 1e-6, 1000.0).map(Some),
        };
        let source = row.source("source", "sure");
        Some(ClassRow {
            id: id?,
            scale: scale?,
            name: name?,
            words: words?,
            factor: factor?,
            source: source?,
        })
    });
    once(rows.iter().map(|row| row.id.as_str()), file, errors);
    rows
}

fn stages(row: &mut Row) -> Option<Vec<Stage>> {
    let mut found = Vec::new();
    for word in row.cell("stages").split_whitespace() {
        let Some(stage) = Stage::ALL.into_iter().find(|stage| stage.code() == word) else {
            let codes: Vec<&str> = Stage::ALL.into_iter().map(Stage::code).collect();
            row.fail(
                "stages",
                format!("`{word}` is no stage of a test"),
                format!(
                    "write some of: {}; nothing stands for any stage",
                    codes.join(" ")
                ),
            );
            return None;
        };
        found.push(stage);
    }
    Some(found)
}

fn scope(row: &mut Row) -> Option<Scope> {
    let cell = row.cell("scope");
    let found = Scope::ALL.into_iter().find(|scope| scope.code() == cell);
    if found.is_none() {
        let codes: Vec<&str> = Scope::ALL.into_iter().map(Scope::code).collect();
        row.fail(
            "scope",
            format!("`{cell}` is no scope of leakage"),
            format!("write one of: {}", codes.join(", ")),
        );
    }
    found
}

fn measure(row: &mut Row) -> Option<Measure> {
    let code = row.cell("measure");
    let figure = row.number("figure", 0.001, 1e6)?;
    let cfm = figure * CFM;
    Some(match MEASURES.iter().position(|known| *known == code) {
        Some(0) => Measure::Flow(cfm),
        Some(1) => Measure::PerFloorArea(cfm / HUNDRED_FT2),
        Some(2) if figure <= 100.0 => Measure::PartOfAirflow(figure / 100.0),
        Some(2) => {
            row.fail(
                "figure",
                format!("{figure} % of the airflow is more than all of it"),
                "write a percentage up to 100".into(),
            );
            return None;
        }
        Some(3) => Measure::Class(figure),
        Some(_) => Measure::Class(leakage_class(cfm, HUNDRED_FT2, 0.1 * INCH_WATER)),
        None => {
            row.fail(
                "measure",
                format!("nothing is measured in `{code}`"),
                format!("write one of: {}", MEASURES.join(", ")),
            );
            return None;
        }
    })
}

impl ClassRow {
    /// The class as an inch-pound leakage class; `None` for what is not classified.
    #[must_use]
    pub fn class_ip(&self) -> Option<f64> {
        let factor = self.factor?;
        Some(match self.scale {
            ClassScale::Leakage => factor,
            // L/(s·m²) at 1 Pa over a square metre.
            ClassScale::Tightness => leakage_class(factor * 1e-3, 1.0, 1.0),
        })
    }

    /// The largest flow by duct surface at a pressure, m³/s per m²; `None` for what is not classified.
    #[must_use]
    pub fn by_surface(&self, pressure_pa: f64) -> Option<f64> {
        Some(class_flow(self.class_ip()?, 1.0, pressure_pa))
    }
}

#[cfg(test)]
#[path = "limit_rows_tests.rs"]
mod tests;
