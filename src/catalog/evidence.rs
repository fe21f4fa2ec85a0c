//! What looks are worth, how large a gross leak is, and how long looks and tests take.

use super::error::CatalogError;
use super::read::nearest;
use super::tables::rows;
use super::types::Source;

/// Figures of looks and gross leaks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LookFigures {
    /// Flow at which half of the lookers see smoke drift, m³/s per metre of joint, or each.
    pub wisp_from: f64,
    /// Flow at which half see it drawn or blown, m³/s per metre of joint, or each.
    pub strong_from: f64,
    /// Standard deviation of the logarithm of one look's error.
    pub sd: f64,
    /// The same under insulation, where smoke says little.
    pub under_insulation_sd: f64,
    /// Standard deviation of the logarithm of one person's offset.
    pub observer_sd: f64,
    /// Geometric standard deviation of a gap's flow from its width.
    pub gap_gsd: f64,
    /// Discharge coefficient of a gap.
    pub gap_cd: f64,
    /// Chance that a seam that hangs open is said to hang loose when looked at.
    pub hanging_if_open: f64,
    /// Chance that one that does not is said to.
    pub hanging_if_not: f64,
    /// Chance that a seam that hangs open is said to be sealed and sound.
    pub sealed_if_open: f64,
    /// Median part of the duct's own area that stands open when a seam hangs loose.
    pub open_part: f64,
    /// Its geometric standard deviation.
    pub open_gsd: f64,
    /// Flow exponent of an open seam.
    pub open_n: f64,
    /// Geometric standard deviation of what remains after sealing, shared by one step's seams.
    pub remains_shared_gsd: f64,
    /// The same, of each seam alone.
    pub remains_own_gsd: f64,
}

/// One figure of looks or gross leaks, as its table has it.
#[derive(Debug, Clone, PartialEq)]
pub struct LookRow {
    /// Id, the field of [`LookFigures`] with hyphens.
    pub id: String,
    /// Value in `unit`.
    pub value: f64,
    /// `L/s`, `ln` (standard deviation of a logarithm), `factor` (geometric), `chance`, `part` or `1`.
    pub unit: String,
    /// Where it comes from.
    pub source: Source,
}

/// How long one kind of look or test takes.
#[derive(Debug, Clone, PartialEq)]
pub struct TaskRow {
    /// Id.
    pub id: String,
    /// What it is, in words.
    pub words: String,
    /// Minutes.
    pub minutes: f64,
    /// Where the minutes come from.
    pub source: Source,
}

impl Default for LookFigures {
    /// The built-in catalogue's.
    fn default() -> Self {
        *super::Catalog::builtin().look_figures()
    }
}

/// The unit of each figure with its bounds in it, and where it goes.
type Place = (
    &'static str,
    &'static str,
    f64,
    f64,
    fn(&mut LookFigures) -> &mut f64,
);

const PLACES: [Place; 15] = [
    ("wisp-from", "L/s", 1e-4, 100.0, |f| &mut f.wisp_from),
    ("strong-from", "L/s", 1e-4, 100.0, |f| &mut f.strong_from),
    ("sd", "ln", 0.01, 5.0, |f| &mut f.sd),
    ("under-insulation-sd", "ln", 0.01, 5.0, |f| {
        &mut f.under_insulation_sd
    }),
    ("observer-sd", "ln", 0.0, 5.0, |f| &mut f.observer_sd),
    ("gap-gsd", "factor", 1.01, 20.0, |f| &mut f.gap_gsd),
    ("gap-cd", "1", 0.1, 1.0, |f| &mut f.gap_cd),
    ("hanging-if-open", "chance", 0.0, 1.0, |f| {
        &mut f.hanging_if_open
    }),
    ("hanging-if-not", "chance", 0.0, 1.0, |f| {
        &mut f.hanging_if_not
    }),
    ("sealed-if-open", "chance", 0.0, 1.0, |f| {
        &mut f.sealed_if_open
    }),
    ("open-part", "part", 0.001, 1.0, |f| &mut f.open_part),
    ("open-gsd", "factor", 1.01, 20.0, |f| &mut f.open_gsd),
    ("open-n", "1", 0.5, 1.0, |f| &mut f.open_n),
    ("remains-shared-gsd", "factor", 1.01, 20.0, |f| {
        &mut f.remains_shared_gsd
    }),
    ("remains-own-gsd", "factor", 1.01, 20.0, |f| {
        &mut f.remains_own_gsd
    }),
];

const LOOK: &[&str] = &["id", "value", "unit", "source", "sure"];
const TASK: &[&str] = &["id", "words", "minutes", "source", "sure"];

/// Reads the table of looks and gathers its figures; every one must stand once.
pub(super) fn read_looks(
    text: &str,
    file: &str,
    errors: &mut Vec<CatalogError>,
) -> (LookFigures, Vec<LookRow>) {
    let rows = rows(text, file, LOOK, errors, |row| {
        let id = row.id("id")?;
        let Some((_, unit, low, high, _)) = PLACES.iter().find(|(known, ..)| *known == id) else {
            let near = nearest(&id, PLACES.iter().map(|(known, ..)| *known));
            let hint = near.map_or_else(
                || "take the row out".to_owned(),
                |near| format!("did you mean `{near}`?"),
            );
            row.fail("id", format!("no figure of looks is called `{id}`"), hint);
            return None;
        };
        let value = row.number("value", *low, *high);
        let said = row.text("unit", "write the unit")?;
        if said != *unit {
            row.fail(
                "unit",
                format!("`{id}` is in `{unit}`, found `{said}`"),
                format!("write `{unit}`"),
            );
            return None;
        }
        let source = row.source("source", "sure");
        Some(LookRow {
            id,
            value: value?,
            unit: said,
            source: source?,
        })
    });
    let mut figures = LookFigures {
        wisp_from: 0.0,
        strong_from: 0.0,
        sd: 0.0,
        under_insulation_sd: 0.0,
        observer_sd: 0.0,
        gap_gsd: 0.0,
        gap_cd: 0.0,
        hanging_if_open: 0.0,
        hanging_if_not: 0.0,
        sealed_if_open: 0.0,
        open_part: 0.0,
        open_gsd: 0.0,
        open_n: 0.0,
        remains_shared_gsd: 0.0,
        remains_own_gsd: 0.0,
    };
    for (id, unit, _, _, place) in PLACES {
        let mut of_id = rows.iter().filter(|row| row.id == id);
        match (of_id.next(), of_id.next()) {
            (Some(row), None) => {
                let si = if unit == "L/s" { 1e-3 } else { 1.0 };
                *place(&mut figures) = row.value * si;
            }
            (found, _) => errors.push(CatalogError {
                file: file.into(),
                line: 1,
                column: "id".into(),
                wrong: match found {
                    None => format!("the figure `{id}` is missing or wrong"),
                    Some(_) => format!("the figure `{id}` stands twice"),
                },
                hint: "write each figure once".into(),
            }),
        }
    }
    (figures, rows)
}

/// Reads the table of tasks.
pub(super) fn read_tasks(text: &str, file: &str, errors: &mut Vec<CatalogError>) -> Vec<TaskRow> {
    rows(text, file, TASK, errors, |row| {
        let minutes = row.number("minutes", 0.0, 600.0);
        let (id, words) = (row.id("id"), row.text("words", "say what is done"));
        let source = row.source("source", "sure");
        Some(TaskRow {
            id: id?,
            words: words?,
            minutes: minutes?,
            source: source?,
        })
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = include_str!("data/looks.csv");

    #[test]
    fn figures_come_out_of_their_table_in_si() {
        let mut errors = Vec::new();
        let (figures, rows) = read_looks(TEXT, "looks.csv", &mut errors);
        assert!(errors.is_empty(), "{errors:?}");
        assert_eq!(rows.len(), PLACES.len());
        // 0.15 and 0.8 L/s
        assert!((figures.wisp_from - 1.5e-4).abs() < 1e-12);
        assert!((figures.strong_from - 8e-4).abs() < 1e-12);
        assert!((figures.open_n - 0.5).abs() < 1e-12 && (figures.gap_cd - 0.6).abs() < 1e-12);
    }

    #[test]
    fn a_figure_that_is_missing_twice_there_or_in_another_unit_is_refused() {
        for (from, to, word) in [
            ("gap-cd,0.6,1", "gap-dc,0.6,1", "no figure of looks"),
            ("gap-cd,0.6,1", "open-n,0.6,1", "stands twice"),
            ("sd,0.7,ln", "sd,0.7,factor", "is in `ln`"),
            ("sd,0.7,ln", "sd,70,ln", "out of range"),
        ] {
            let mut errors = Vec::new();
            assert!(TEXT.contains(from));
            read_looks(&TEXT.replacen(from, to, 1), "looks.csv", &mut errors);
            assert!(
                errors.iter().any(|e| e.wrong.contains(word)),
                "{to}: {errors:?}"
            );
        }
    }
}
