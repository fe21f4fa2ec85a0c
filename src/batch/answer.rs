//! One record answered.

use serde_json::{Value, json};

use super::record::Record;
use super::tables::{Row, Table};
use crate::allocate::{AllocateSettings, Allocation, Status, allocate};
use crate::catalog::Catalog;
use crate::report::words;
use crate::sketch::{self, Diagnostics};
use crate::system::{self, Beliefs, System};

use super::evidence::{HouseEvidence, evidence};

/// What all records of a batch are asked.
#[derive(Debug, Clone)]
pub struct Ask<'a> {
    /// Joint types and all other figures.
    pub catalog: &'a Catalog,
    /// Settings of every allocation; a record's own seed and what its sketch says under `prior` go before them.
    pub settings: AllocateSettings,
    /// What is believed whatever a sketch says.
    pub beliefs: Beliefs,
    /// Whether to gather what each system says of its crew's habits, see [`Answered::evidence`].
    pub learn: bool,
}

/// What one record gave: one row of [`Table::Systems`] whatever happened, and the others where it could be answered.
#[derive(Debug, Clone, PartialEq)]
pub struct Answered {
    /// Name of the record.
    pub id: String,
    /// Why it was refused; `None` where it was answered.
    pub refused: Option<String>,
    /// Whether the answer is doubtful.
    pub doubtful: bool,
    system: Row,
    joint_types: Vec<Row>,
    seams: Vec<Row>,
    /// What it says of its crew's habits: nothing where there is no reading of a flow and no look.
    pub evidence: Option<HouseEvidence>,
}

impl Answered {
    /// Rows of a table.
    #[must_use]
    pub fn rows(&self, table: Table) -> &[Row] {
        match table {
            Table::Systems => std::slice::from_ref(&self.system),
            Table::JointTypes => &self.joint_types,
            Table::Seams => &self.seams,
        }
    }

    /// A record that cannot be answered, for this reason.
    #[must_use]
    pub fn refused(id: &str, why: &str) -> Answered {
        Answered::refused_in_short(id, why, why)
    }

    /// The same, with other words for the row, where line ends have no place.
    fn refused_in_short(id: &str, why: &str, short: &str) -> Answered {
        let mut row: Row = vec![Value::Null; Table::Systems.columns().len()];
        row[0] = json!(id);
        row[2] = json!("refused");
        row[3] = json!(one_line(short));
        Answered {
            id: id.to_owned(),
            refused: Some(why.trim_end().to_owned()),
            doubtful: false,
            system: row,
            joint_types: Vec::new(),
            seams: Vec::new(),
            evidence: None,
        }
    }
}

/// Answers one record: reads its sketch, expands it, spreads what was measured. Its figures are those that
/// [`allocate`] gives for the same sketch, catalogue, settings and seed.
///
/// Never fails: a record that cannot be answered is [`Answered::refused`] with the words that reading its sketch gives.
///
/// # Examples
/// ```
/// use ductseam::batch::{Ask, Record, Table, answer};
/// use ductseam::{allocate::AllocateSettings, catalog::Catalog};
///
/// let settings = AllocateSettings { draws: 500, ..Default::default() };
/// let ask = Ask { catalog: Catalog::builtin(), settings, beliefs: Default::default(), learn: false };
/// let record = Record { id: "h1".into(), sketch: "ductseam: 1\nruns: [".into(), seed: None };
/// let answered = answer(&record, &ask);
/// assert!(answered.refused.as_ref().unwrap().contains("h1:2"));
/// assert!(answered.rows(Table::Systems)[0][3].as_str().unwrap().starts_with("line 2, column "));
/// ```
#[must_use]
pub fn answer(record: &Record, ask: &Ask<'_>) -> Answered {
    let read = sketch::read(&record.sketch, &record.id)
        .and_then(|read| system::build(&read, &record.sketch, &record.id, ask.catalog));
    let system = match read {
        Ok(system) => system,
        Err(found) => {
            return Answered::refused_in_short(&record.id, &found.render(false), &in_short(&found));
        }
    };
    let mut settings = ask
        .settings
        .clone()
        .with_beliefs(&ask.beliefs.over(&system.beliefs));
    if let Some(seed) = record.seed {
        settings.seed = seed;
    }
    let allocation = match allocate(&system, &settings) {
        Ok(allocation) => allocation,
        Err(error) => return Answered::refused(&record.id, &format!("error: {error}")),
    };
    let (status, why) = match &allocation.status {
        Status::Converged => ("answered", Value::Null),
        Status::Doubtful { reasons } => ("doubtful", json!(one_line(&reasons.join(" ")))),
    };
    Answered {
        id: record.id.clone(),
        refused: None,
        doubtful: status == "doubtful",
        system: system_row(&record.id, &system, &allocation, status, why),
        joint_types: joint_rows(&record.id, &allocation),
        seams: seam_rows(&record.id, &allocation),
        evidence: if ask.learn {
            evidence(&record.id, &system, &settings, &allocation)
        } else {
            None
        },
    }
}

/// Faults told in a row.
const TOLD: usize = 3;

/// The first faults of a sketch, with line and column.
fn in_short(found: &Diagnostics) -> String {
    let mut told: Vec<String> = found
        .items
        .iter()
        .take(TOLD)
        .map(|item| {
            let (line, column) = found.line_column(item.at.start);
            let hint = item
                .hint
                .as_ref()
                .map_or_else(String::new, |hint| format!("; {hint}"));
            format!("line {line}, column {column}: {}{hint}", item.title)
        })
        .collect();
    let more = found.count().saturating_sub(TOLD);
    if more > 0 {
        told.push(format!("{more} more"));
    }
    told.join(" | ")
}

/// The text with its line ends and runs of blanks as single blanks: many readers of CSV take each line end for a row's.
fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn system_row(id: &str, system: &System, allocation: &Allocation, status: &str, why: Value) -> Row {
    let house = &allocation.house;
    let top = allocation
        .leakiest_first()
        .first()
        .map(|&s| &allocation.seams[s]);
    let open = allocation.gross.first();
    let worst = allocation
        .readings
        .iter()
        .map(|reading| reading.residual_sd)
        .max_by(|a, b| a.abs().total_cmp(&b.abs()));
    vec![
        json!(id),
        json!(one_line(&allocation.title)),
        json!(status),
        why,
        json!(allocation.seed),
        json!(allocation.draws),
        json!(allocation.diagnostics.effective_draws),
        json!(allocation.diagnostics.method.word()),
        json!(allocation.seams.len()),
        json!(allocation.readings.len()),
        json!(allocation.looks.len()),
        json!(house.test_pressure_pa),
        json!(house.total_m3_s.mean),
        json!(house.total_m3_s.p05),
        json!(house.total_m3_s.p50),
        json!(house.total_m3_s.p95),
        json!(house.supply_m3_s.mean),
        json!(house.return_m3_s.mean),
        json!(house.to_outside_m3_s.mean),
        json!(house.to_outside_m3_s.p05),
        json!(house.to_outside_m3_s.p95),
        json!(house.prior_total_m3_s.mean),
        json!(allocation.hidden.share.mean),
        json!(top.map(|seam| seam.id.as_str())),
        json!(top.map(|seam| seam.share)),
        json!(
            open.and_then(|open| open.seams.first())
                .map(|&s| allocation.seams[s].id.as_str())
        ),
        json!(open.map(|open| open.chance)),
        json!(allocation.diagnostics.any_wrong_setup_chance),
        json!(worst),
        json!(system.warnings.len() + allocation.warnings.len()),
    ]
}

fn joint_rows(id: &str, allocation: &Allocation) -> Vec<Row> {
    allocation
        .by_joint_type
        .iter()
        .map(|group| {
            vec![
                json!(id),
                json!(group.id),
                json!(group.name),
                json!(group.count),
                json!(group.amount),
                json!(group.basis.map(|basis| basis.word())),
                json!(group.q25_m3_s.mean),
                json!(group.q25_m3_s.p05),
                json!(group.q25_m3_s.p50),
                json!(group.q25_m3_s.p95),
                json!(group.test_m3_s.mean),
                json!(group.test_m3_s.p05),
                json!(group.test_m3_s.p95),
                json!(group.share.mean),
                json!(group.share.p05),
                json!(group.share.p95),
            ]
        })
        .collect()
}

fn seam_rows(id: &str, allocation: &Allocation) -> Vec<Row> {
    allocation
        .leakiest_first()
        .into_iter()
        .enumerate()
        .map(|(rank, index)| {
            let seam = &allocation.seams[index];
            vec![
                json!(id),
                json!(rank + 1),
                json!(seam.id),
                json!(seam.run),
                json!(seam.piece),
                json!(seam.what),
                json!(seam.joint_type),
                json!(words::side(seam.side)),
                json!(seam.place),
                json!(words::reach(seam.reach)),
                json!(seam.work.word()),
                json!(seam.amount),
                json!(seam.basis.word()),
                json!(seam.n),
                json!(seam.prior_q25_m3_s.mean),
                json!(seam.q25_m3_s.mean),
                json!(seam.q25_m3_s.p05),
                json!(seam.q25_m3_s.p50),
                json!(seam.q25_m3_s.p95),
                json!(seam.test_pa),
                json!(seam.test_m3_s.mean),
                json!(seam.test_m3_s.p05),
                json!(seam.test_m3_s.p95),
                json!(seam.share),
                json!(seam.to_outside_m3_s.mean),
                json!(seam.to_outside_share),
                json!(seam.top_chance),
                json!(seam.gross_chance),
            ]
        })
        .collect()
}
