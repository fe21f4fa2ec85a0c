//! The way from a list to a sketch, whole lists at a time.

use super::*;
use crate::catalog::Catalog;
use crate::quantity::UnitSystem;
use crate::{sketch, system};

fn settings() -> Settings {
    Settings {
        places: system::known_places().map(str::to_owned).collect(),
        ..Settings::default()
    }
}

fn drawn(list: &str) -> Drawn {
    draw(list.as_bytes(), "runs.csv", &settings()).unwrap_or_else(|faults| panic!("{faults}"))
}

fn refused(list: &str) -> Vec<Fault> {
    match draw(list.as_bytes(), "runs.csv", &settings()) {
        Ok(drawn) => panic!("{list}\nwas read:\n{}", drawn.text),
        Err(faults) => faults.items,
    }
}

fn built(drawn: &Drawn) -> system::System {
    let sketch = sketch::read(&drawn.text, "s").unwrap_or_else(|d| panic!("{}", d.render(false)));
    system::build(&sketch, &drawn.text, "s", Catalog::builtin())
        .unwrap_or_else(|d| panic!("{}", d.render(false)))
}

const LIST: &str = "\
run,from,at,size,length,fittings,place
trunk,plenum,,16x8 in,24 ft,cap,basement
kitchen,trunk,6 ft left,6 in,9 ft,\"tab collar, elbow, boot 10x4 in\",basement
bath,trunk,,5 in,12 ft,,attic
den,trunk,,6 in,12 ft,,attic
hall return,,,14x8 in,6 ft,,basement
";

#[test]
fn what_the_list_leaves_open_is_assumed_and_told() {
    let drawn = drawn(LIST);
    assert_eq!(drawn.runs, 5);
    // Two takeoffs without a distance on 24 ft: at 8 ft and 16 ft, by hand.
    assert!(
        drawn.text.contains("from: trunk at 8 ft left"),
        "{}",
        drawn.text
    );
    assert!(drawn.text.contains("from: trunk at 16 ft right"));
    assert!(
        drawn
            .text
            .contains("walk: [tab collar, 12 ft, boot 10x4 in]")
    );
    // 14x8 in is 112 in2; the first usual opening that is no smaller is 14x8 in.
    assert!(drawn.text.contains("from: return plenum"));
    assert!(drawn.text.contains("walk: [6 ft, return box 14x8 in]"));
    for one in &drawn.assumed {
        assert!(
            drawn.text.contains(&format!("# assumed: {}\n", one.what)),
            "{one}"
        );
    }
    let of_bath: Vec<_> = drawn
        .assumed
        .iter()
        .filter(|one| one.run == "bath")
        .collect();
    assert_eq!(of_bath.len(), 4, "spot, face, takeoff, end: {of_bath:?}");
    let system = built(&drawn);
    assert_eq!(system.runs.len(), 5);
}

#[test]
fn a_list_that_says_all_of_a_run_has_nothing_assumed_of_it() {
    let all = "run,from,at,size,length,material,fittings,place,work\n\
        trunk,supply plenum,,16x8 in,24 ft,rectangular,cap,basement,unsealed\n\
        den,trunk,6 ft left,6 in,9 ft,round,\"tab collar, boot 10x4 in\",basement,mastic\n";
    let drawn = drawn(all);
    assert!(
        drawn.assumed.iter().all(|one| one.run.is_empty()),
        "{:?}",
        drawn.assumed
    );
}

#[test]
fn straight_length_is_kept_to_the_inch_however_it_is_cut() {
    let list = "run,size,length,fittings\na,6 in,10 ft,\"elbow, elbow, boot 10x4 in\"\n\
        b,6 in,1/2 in,\"2 elbows, damper, boot 10x4 in\"\nc,150 mm,3.35 m,\"elbow, elbow, boot 10x4 in\"\n";
    let system = built(&drawn(list));
    let lengths: Vec<f64> = system::summary(&system)
        .runs
        .iter()
        .map(|run| run.length_m)
        .collect();
    for (found, want) in lengths.iter().zip([3.048, 0.0127, 3.35]) {
        assert!((found - want).abs() < 1e-6, "{lengths:?}");
    }
}

#[test]
fn a_takeoff_too_high_for_the_side_sits_on_top() {
    let list = "run,from,size,length,material,fittings\nret main,return plenum,24x8 in,17 ft,,cap\n\
        bay,ret main,14x9 in,8 ft,panned joist,return box 14x8 in\n";
    let drawn = drawn(list);
    assert!(
        drawn.text.contains("from: ret main at 8.5 ft up"),
        "{}",
        drawn.text
    );
    built(&drawn);
}

#[test]
fn a_run_off_flex_starts_at_its_end() {
    let list = "run,from,size,length,material,fittings\nflex main,plenum,8 in,17 ft,flex,cap\n\
        den,flex main,6 in,8 ft,flex,boot 10x4 in\n";
    let drawn = drawn(list);
    assert!(drawn.text.contains("from: flex main end"), "{}", drawn.text);
    built(&drawn);
}

#[test]
fn totals_and_strange_columns_are_told() {
    let list = format!("{LIST}\n,,,,63 ft,,\nTotal,,,,63 ft,,\n");
    let drawn = drawn(&list);
    let told = drawn
        .assumed
        .iter()
        .filter(|one| one.what.contains("is a total"))
        .count();
    assert_eq!((told, drawn.runs), (2, 5));
    // A total in the middle is a run without a size.
    let middle = LIST.replace("bath,", "total,,,,63 ft,,\nbath,");
    assert!(refused(&middle)[0].what.contains("no size"));
}

#[test]
fn a_place_of_its_own_is_described_and_a_misspelt_one_refused() {
    let drawn = drawn(&LIST.replace("attic", "hay loft"));
    assert!(drawn.text.contains("  hay loft: {like: buffer}"));
    built(&drawn);
    let faults = refused(&LIST.replace("attic", "atic"));
    assert_eq!(faults.len(), 2);
    assert!(faults[0].hint.contains("did you mean `attic`"));
}

#[test]
fn what_the_system_refuses_is_told_of_the_list() {
    let list = LIST.replace("bath,trunk,,5 in", "bath,trunk,,24 in");
    let drawn = drawn(&list);
    let sketch = sketch::read(&drawn.text, "s").unwrap();
    let found = system::build(&sketch, &drawn.text, "s", Catalog::builtin()).unwrap_err();
    let faults = drawn.faults(&found);
    let first = &faults.items[0];
    assert_eq!(
        (first.line, first.column.as_str(), first.cell.as_str()),
        (4, "size", "24 in")
    );
    assert!(
        first.what.contains("larger than the face"),
        "{}",
        first.what
    );
}

#[test]
fn loops_and_strangers_are_refused_once_each() {
    let list = "run,from,size,length\na,b,6 in,3 ft\nb,c,6 in,3 ft\nc,a,6 in,3 ft\nd,d,6 in,3 ft\ne,a,6 in,3 ft\nf,g,6 in,3 ft\n";
    let faults = refused(list);
    let words: Vec<_> = faults
        .iter()
        .map(|fault| (fault.line, fault.what.as_str()))
        .collect();
    assert_eq!(
        words,
        [
            (
                2,
                "these runs start from each other: `a` from `b` from `c` from `a`"
            ),
            (5, "`d` starts from itself"),
            (7, "no run of the list is called `g`"),
        ]
    );
}

#[test]
fn ten_thousand_runs_become_one_sketch_and_ten_thousand_faults_stay_few() {
    let mut good =
        String::from("run,from,size,length (ft),fittings\ntrunk,plenum,40x20 in,3000,cap\n");
    let mut bad = good.clone();
    for i in 0..10_000 {
        good.push_str(&format!(
            "branch {i},trunk,6 in,9,\"2 elbows, boot 10x4 in\"\n"
        ));
        bad.push_str(&format!("branch {i},trunkk,6,9 ftt,\"2 elbwos\"\n"));
    }
    let drawn = drawn(&good);
    assert_eq!(drawn.runs, 10_001);
    assert_eq!(sketch::read(&drawn.text, "s").unwrap().runs.len(), 10_001);
    let faults = draw(bad.as_bytes(), "runs.csv", &settings()).unwrap_err();
    assert!(
        faults.items.len() <= 60 && faults.count() >= 40_000,
        "{}",
        faults.count()
    );
}

#[test]
fn units_are_those_of_most_of_the_list_unless_said() {
    let metric = "run,size (mm),length (m)\na,150,3.5\nb,200,4\n";
    let drawn = drawn(metric);
    assert!(drawn.text.contains("units: si") && drawn.text.contains("size: 150 mm"));
    let said = Settings {
        units: Some(UnitSystem::Ip),
        title: Some("A \"title\": with # signs".to_owned()),
        ..settings()
    };
    let drawn = draw(metric.as_bytes(), "runs.csv", &said).unwrap();
    assert!(drawn.text.contains("units: ip") && drawn.text.contains("3.5 m"));
    let sketch = sketch::read(&drawn.text, "s").unwrap();
    assert_eq!(Some(sketch.title.value), said.title);
}

#[test]
fn a_note_of_asbestos_stops_advice_and_a_row_is_one_run() {
    let list = "run,size,length,notes\ntrunk,12x8 in,20 ft,Asbestos tape seen\n";
    let drawn = drawn(list);
    assert!(
        drawn.text.contains("suspect tape: suspected"),
        "{}",
        drawn.text
    );
    assert!(drawn.text.contains("no run is on the return side"));
    let list = "run,size,length,qty\ntrunk,12x8 in,20 ft,3\nother,12x8 in,20 ft,1\n";
    let faults = refused(list);
    assert_eq!(faults.len(), 1, "{faults:?}");
    assert!(faults[0].what.contains("stands for `3` runs") && faults[0].line == 2);
}
