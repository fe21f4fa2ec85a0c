use super::*;
use crate::catalog::Scope;

fn read(text: &str) -> Result<SeriesTable, Vec<CatalogError>> {
    let basis = Basis {
        scope: Scope::Total,
        stage: None,
    };
    read_series(text, "series.csv", basis, &TestRecord::default())
}

fn plain(text: &str) -> Vec<(f64, f64)> {
    let table = read(text).unwrap_or_else(|e| panic!("{text}: {e:?}"));
    let round = |value: f64| (value * 1e6).round() / 1e6;
    table
        .readings
        .iter()
        .map(|r| {
            (
                round(r.point.pressure_pa),
                round(Flow::new(r.point.flow_m3_s).to_cfm()),
            )
        })
        .collect()
}

#[test]
fn spreadsheets_are_read_as_people_save_them() {
    let expected = [(10.0, 151.5), (25.0, 263.0), (50.0, 398.0)];
    for text in [
        "pressure (Pa),flow (cfm)\n10,151.5\n25,263\n50,398\n",
        "pressure,flow\n10 Pa,151.5 cfm\n25 Pa,263 cfm\n50 Pa,398 cfm\n",
        "\u{feff}Pressure [Pa]; Flow [cfm] ;Note\r\n 10 ; 151,5 ;first\r\n25;263;\r\n;;\r\n50;398;\r\n",
        "# a test\n\nFlow cfm\tDuct_pressure Pa\n151.5\t-10\n263\t-25\n398\t-50\n",
        "point,pressure Pa,baseline Pa,flow in cfm\na,10.5,0.5,151.5\nb,25.5,0.5,263\nc,50.5,0.5,398\n",
    ] {
        assert_eq!(plain(text), expected, "{text}");
    }
    let table = read("pressure (Pa),flow (cfm),weather\n10,100,dry\n").expect("good");
    assert_eq!(table.passed_over, ["weather"]);
    assert_eq!(table.readings[0].id, "point 1");
}

#[test]
fn errors_are_parts_or_in_the_unit_of_their_value() {
    let table = read(
        "id,pressure (Pa),flow (cfm),flow error,pressure error\na,25,200,3 %,0.5 Pa\nb,50,300,6 cfm,1 %\nc,60,300,,\n",
    )
    .expect("good");
    let sd: Vec<(f64, f64)> = table
        .readings
        .iter()
        .map(|r| {
            (
                Flow::new(r.point.flow_sd_m3_s).to_cfm(),
                r.point.pressure_sd_pa,
            )
        })
        .collect();
    for ((flow, pressure), (expected_flow, expected_pressure)) in
        sd.iter().zip([(6.0, 0.5), (6.0, 0.5), (9.0, 0.6)])
    {
        assert!((flow - expected_flow).abs() < 1e-9 && (pressure - expected_pressure).abs() < 1e-9);
    }
}

#[test]
fn a_bad_row_is_named_by_its_line_and_column() {
    for (text, line, column, wrong) in [
        (
            "pressure (Pa),flow (cfm)\n10,100\n25,lots\n",
            3,
            "flow (cfm)",
            "lots",
        ),
        (
            "pressure (Pa),flow (cfm)\n10,100\n25,\n",
            3,
            "flow (cfm)",
            "empty",
        ),
        (
            "pressure (Pa),flow (cfm)\n10,100\n25\n",
            3,
            "flow (cfm)",
            "empty",
        ),
        (
            "pressure (Pa),flow (cfm)\n10,-100\n",
            2,
            "flow (cfm)",
            "not above zero",
        ),
        (
            "pressure (Pa),flow (cfm)\n0,100\n",
            2,
            "pressure (Pa)",
            "not above zero",
        ),
        ("pressure,flow (cfm)\n10,100\n", 2, "pressure", "no unit"),
        (
            "pressure (cfm),flow (cfm)\n10,100\n",
            1,
            "pressure (cfm)",
            "no unit of this column",
        ),
        (
            "presure (Pa),flow (cfm)\n10,100\n",
            1,
            "presure (Pa)",
            "no column is called",
        ),
        (
            "pressure (Pa)\n10\n",
            1,
            "header",
            "no column holds the flow",
        ),
        (
            "pressure (Pa),flow (cfm),flow (cfm)\n10,1,1\n",
            1,
            "flow (cfm)",
            "twice",
        ),
        ("pressure (Pa),flow (cfm)\n", 1, "row", "no points"),
        (
            "pressure (Pa),flow (cfm)\nNaN,100\n",
            2,
            "pressure (Pa)",
            "",
        ),
        (
            "pressure (Pa),flow (cfm),flow error\n10,100,-3 %\n",
            2,
            "flow error",
            "",
        ),
        ("", 1, "header", "empty"),
        ("   \n\n", 1, "header", "empty"),
    ] {
        let errors = read(text).expect_err(text);
        assert!(
            errors.iter().any(|e| e.line == line
                && e.column == column
                && e.wrong.contains(wrong)
                && !e.hint.is_empty()),
            "{text}: {errors:?}"
        );
    }
}

#[test]
fn a_comma_that_can_be_read_two_ways_is_asked_about() {
    for text in [
        "pressure (Pa);flow (cfm)\n25;1,250\n",
        "pressure (Pa)\tflow (cfm)\n25\t1,250\n",
        "pressure (Pa),flow (cfm)\n25,\"1,250\"\n",
        "pressure (Pa);flow\n25;1,250 cfm\n",
    ] {
        let errors = read(text).expect_err(text);
        assert!(
            errors[0].wrong.contains("thousands or decimals")
                && errors[0].hint.contains("`1250")
                && errors[0].hint.contains("`1.250"),
            "{text}: {errors:?}"
        );
    }
    // Tabs part cells of people who write decimal points: a comma is none.
    assert!(read("pressure (Pa)\tflow (cfm)\n25\t151,5\n").is_err());
    assert_eq!(
        plain("pressure (inwc);flow (cfm)\n0,100;151,5\n"),
        [(24.908891, 151.5)]
    );
}

#[test]
fn of_a_large_error_only_the_instruments_part_is_shared() {
    let table = read("pressure (Pa),flow (cfm),flow error\n4,20,3 cfm\n25,200,2 cfm\n50,300,\n")
        .expect("good");
    let shared: Vec<f64> = table.readings.iter().map(|r| r.shared_part_sd).collect();
    for (found, expected) in shared.iter().zip([0.03, 0.01, 0.03]) {
        assert!((found - expected).abs() < 1e-12, "{shared:?}");
    }
}
