//! Lists of runs on random tables: values, never panics, and sketches that the system takes or refuses by line and column.

use ductseam::catalog::Catalog;
use ductseam::takeoff::{Settings, draw};
use ductseam::{sketch, system};
use proptest::prelude::*;

const HEADER: &str =
    "run,from,at (ft),size,length (ft),material,fittings,place,work,room,airflow (cfm),insulation";

type Table = Vec<Vec<String>>;

/// Cells of every column, right by themselves.
const CELLS: [&[&str]; 12] = [
    &[
        "a", "b", "main", "c 3", "ret", "yes", "12", "d.1", "e_2", "no end", "null",
    ],
    &[
        "",
        "",
        "plenum",
        "a",
        "main",
        "ret",
        "b at 3 ft left",
        "main end",
    ],
    &["", "", "", "2 ft", "1", "2 ft right", "end", "top"],
    &[
        "6 in",
        "6 in",
        "8 in",
        "20x8 in",
        "150 mm",
        "14x6 in oval",
        "6",
        "8x8 in",
    ],
    &["9 ft", "24", "3.5 m", "7 ft 6 in", ""],
    &[
        "",
        "",
        "sheet metal",
        "flex",
        "round",
        "panned joist",
        "spiral",
    ],
    &[
        "",
        "cap",
        "2 elbows",
        "tab collar, boot 10x4 in",
        "boot",
        "takeoff",
        "3 ft, elbow up, 3 ft, cap",
        "reducer to 6x6 in",
        "90, damper",
        "joins a",
        "bend",
    ],
    &["", "attic", "basement", "hay loft", "no"],
    &["", "mastic", "taped"],
    &["", "kitchen", "#1: \"den\"", "- x"],
    &["", "100", "47 L/s"],
    &["", "R-6", "none"],
];

/// Rows of cells that seldom fit each other, and now and then are nothing at all.
fn loose() -> impl Strategy<Value = Table> {
    let cell = |good: &'static [&'static str]| {
        prop_oneof![
            24 => proptest::sample::select(good).prop_map(str::to_owned),
            1 => "[ -~]{0,12}",
            1 => "\\PC{0,6}",
        ]
    };
    let row: Vec<_> = CELLS.iter().map(|good| cell(good).boxed()).collect();
    proptest::collection::vec(row, 0..5)
}

/// A trunk and rows that mostly fit it: names of their own, sizes that suit the material.
fn tidy() -> impl Strategy<Value = Table> {
    let pick =
        |good: &'static [&'static str]| proptest::sample::select(good).prop_map(str::to_owned);
    let duct = proptest::sample::select(
        [
            ("6 in", ""),
            ("6 in", "flex"),
            ("150 mm", "spiral"),
            ("8 in", "round"),
            ("8x8 in", ""),
            ("10x6 in", "duct board"),
            ("14x6 in oval", "sheet metal"),
            ("14x9 in", "panned joist"),
        ]
        .as_slice(),
    );
    let fittings: &[&str] = &[
        "",
        "2 elbows",
        "boot",
        "takeoff, damper",
        "4 ft, elbow up, 5 ft, boot 10x4 in",
        "end boot 10x4 in, 45, two 90 elbows",
        "canvas; test port; cap",
    ];
    let row = (
        pick(CELLS[0]),
        pick(&["", "plenum", "main 0", "main 0", "main 0"]),
        duct,
        pick(&["9", "3.5 m", "0.1", "7 ft 6 in", "333.333"]),
        pick(fittings),
        (
            pick(&["", "attic", "hay loft", "2nd floor", "yes"]),
            pick(CELLS[8]),
            pick(CELLS[9]),
        ),
        (pick(CELLS[10]), pick(CELLS[11])),
    );
    proptest::collection::vec(row, 0..7).prop_map(|rows| {
        let trunk = [
            "main 0", "plenum", "", "20x10 in", "40", "", "cap", "attic", "", "", "", "",
        ];
        let mut table = vec![trunk.map(str::to_owned).to_vec()];
        for (
            i,
            (name, from, (size, material), mut length, parts, (place, work, room), (flow, r)),
        ) in rows.into_iter().enumerate()
        {
            if parts.contains(" ft") {
                length.clear();
            }
            let cells = [
                format!("{name} {}", i + 1),
                from,
                String::new(),
                size.to_owned(),
                length,
                material.to_owned(),
                parts,
                place,
                work,
                room,
                flow,
                r,
            ];
            table.push(cells.to_vec());
        }
        table
    })
}

fn as_csv(rows: &Table) -> String {
    let mut text = format!("{HEADER}\n");
    for row in rows {
        let cells = row
            .iter()
            .map(|cell| format!("\"{}\"", cell.replace('"', "\"\"")));
        text.push_str(&cells.collect::<Vec<_>>().join(","));
        text.push('\n');
    }
    text
}

/// What holds of any list: values, not panics; a sketch that reads; what the system refuses is told of a line and a column.
fn holds(list: &[u8]) -> Result<bool, TestCaseError> {
    let settings = Settings {
        places: system::known_places().map(str::to_owned).collect(),
        ..Settings::default()
    };
    let drawn = match draw(list, "runs.csv", &settings) {
        Ok(drawn) => drawn,
        Err(faults) => {
            prop_assert!(faults.count() > 0);
            prop_assert!(faults.items.iter().all(|fault| !fault.what.is_empty()));
            return Ok(false);
        }
    };
    let found = match sketch::read(&drawn.text, "s") {
        Ok(sketch) => match system::build(&sketch, &drawn.text, "s", Catalog::builtin()) {
            Ok(built) => {
                prop_assert_eq!(built.runs.len(), drawn.runs);
                return Ok(true);
            }
            Err(found) => found,
        },
        Err(found) => found,
    };
    for fault in drawn.faults(&found).items {
        prop_assert!(
            fault.line > 1 && !fault.column.is_empty(),
            "{}\n{}",
            fault,
            drawn.text
        );
    }
    Ok(false)
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(1500) })]

    #[test]
    fn a_loose_table_is_a_sketch_that_builds_or_is_refused_by_line_and_column(rows in loose()) {
        holds(as_csv(&rows).as_bytes())?;
    }

    #[test]
    fn any_bytes_are_a_value(
        bytes in proptest::collection::vec(any::<u8>(), 0..200),
        text in "(run|size|,|;|\t|\n|\r|\"|a|6 in|9 ft|\\PC){0,40}",
    ) {
        holds(&bytes)?;
        holds(text.as_bytes())?;
    }
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(400) })]

    #[test]
    fn a_tidy_table_is_a_sketch_that_builds_or_is_refused_by_line_and_column(rows in tidy()) {
        holds(as_csv(&rows).as_bytes())?;
    }
}

#[test]
fn tidy_tables_are_mostly_accepted() {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let mut accepted = 0;
    for _ in 0..200 {
        let rows = tidy().new_tree(&mut runner).expect("a table").current();
        accepted += usize::from(holds(as_csv(&rows).as_bytes()).expect("it holds"));
    }
    assert!(
        accepted > 100,
        "the property speaks of too few sketches: {accepted} of 200"
    );
}
