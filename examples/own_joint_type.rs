//! Figures of one's own for a joint type: what they change in the answer.
//!
//! `cargo run --example own_joint_type`
//!
//! Somebody put tab collars on a bench and found them to leak four times what the catalogue says. Their row, with its
//! source, is laid over the built-in one. House, bench and reading are invented.

use std::error::Error;

use ductseam::allocate::{AllocateSettings, allocate};
use ductseam::catalog::{Catalog, JOINTS_CSV, Work};
use ductseam::{sketch, system};

const SKETCH: &str = "
ductseam: 1
title: two collars on a trunk (invented)
air handler: {place: attic}
usual:
  all: {place: attic, work: unsealed}
runs:
  - {id: trunk, side: supply, from: supply plenum, size: 12x8 in, walk: [north 16 ft, cap]}
  - {id: kitchen, from: trunk at 6 ft left, size: 6 in, walk: [tab collar, 5 ft, boot 10x4 in]}
  - {id: bath, from: trunk at 12 ft right, size: 5 in, walk: [tab collar, 8 ft, boot 8x4 in]}
readings:
  - {id: first, total: 60 cfm at 25 Pa ± 3 %}
";

const COLLAR: &str = "takeoff-tab-collar";
const SOURCE: &str = "own bench, 12 collars at 25 Pa (invented)";

fn main() -> Result<(), Box<dyn Error>> {
    let builtin = Catalog::builtin();
    let own = builtin
        .clone()
        .overlay(&own_row(builtin)?, "bench.csv")
        .map_err(|faults| {
            faults
                .iter()
                .map(|one| format!("{one}\n"))
                .collect::<String>()
        })?;

    let before = collars_share(builtin)?;
    let after = collars_share(&own)?;
    let state = |catalog: &Catalog| {
        let joint = catalog.joint(COLLAR).expect("it is in the catalogue");
        let state = joint.state(Work::Unsealed);
        (1e3 * state.mean_q25, state.source.text.clone())
    };
    println!(
        "built-in: {:.2} L/s each, {:.1} % of the leakage",
        state(builtin).0,
        100.0 * before
    );
    println!(
        "own: {:.2} L/s each, {:.1} % of the leakage",
        state(&own).0,
        100.0 * after
    );
    println!("source: {}", state(&own).1);
    Ok(())
}

/// A file of one's own: the header of the built-in table and one row. Here the built-in row with another mean and source;
/// usually a person writes it by hand.
fn own_row(catalog: &Catalog) -> Result<String, Box<dyn Error>> {
    let mean_l_s = 1e3
        * catalog
            .joint(COLLAR)
            .ok_or("no such row")?
            .state(Work::Unsealed)
            .mean_q25;
    let mut table = csv::Reader::from_reader(JOINTS_CSV.as_bytes());
    let columns = table.headers()?.clone();
    let mut file = csv::Writer::from_writer(Vec::new());
    file.write_record(&columns)?;
    for row in table.records() {
        let row = row?;
        if row.get(0) != Some(COLLAR) {
            continue;
        }
        let cells = columns.iter().zip(&row).map(|(column, cell)| match column {
            "mean_unsealed_l_s" => (4.0 * mean_l_s).to_string(),
            "source_unsealed" => SOURCE.to_owned(),
            "sure_unsealed" => "read".to_owned(),
            _ => cell.to_owned(),
        });
        file.write_record(cells)?;
    }
    Ok(String::from_utf8(file.into_inner()?)?)
}

/// The part of the leakage that the tab collars are expected to carry.
fn collars_share(catalog: &Catalog) -> Result<f64, Box<dyn Error>> {
    let sketch = sketch::read(SKETCH, "two.yaml").map_err(|wrong| wrong.render(false))?;
    let system =
        system::build(&sketch, SKETCH, "two.yaml", catalog).map_err(|wrong| wrong.render(false))?;
    let answer = allocate(&system, &AllocateSettings::default())?;
    let collars = answer.seams.iter().filter(|seam| seam.joint_type == COLLAR);
    Ok(collars.map(|seam| seam.share).sum())
}
