//! Lists of runs made into sketches: the program as a black box.

#[path = "common/program.rs"]
mod black_box;

use std::path::{Path, PathBuf};

use black_box::{run, stderr, stdout};
use ductseam::catalog::Catalog;
use ductseam::{sketch, system};

fn scratch(name: &str) -> PathBuf {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join(name);
    let _ = std::fs::remove_dir_all(&folder);
    std::fs::create_dir_all(&folder).expect("a scratch folder");
    folder
}

/// What the program makes of a list: exit code, answer, talk.
fn made(folder: &Path, name: &str, list: &[u8]) -> (Option<i32>, String, String) {
    let path = folder.join(name);
    std::fs::write(&path, list).expect("a list is written");
    let output = run(&["new", "--from", &path.display().to_string()]);
    (output.status.code(), stdout(&output), stderr(&output))
}

#[test]
fn the_example_list_gives_the_runs_and_seams_of_the_sketch_written_by_hand() {
    let output = run(&["new", "--from", "models/runs.csv"]);
    assert_eq!(output.status.code(), Some(0), "{}", stderr(&output));
    let built = |text: &str| {
        let sketch = sketch::read(text, "s").unwrap_or_else(|d| panic!("{}", d.render(false)));
        system::build(&sketch, text, "s", Catalog::builtin())
            .unwrap_or_else(|d| panic!("{}", d.render(false)))
    };
    let by_hand = Path::new(env!("CARGO_MANIFEST_DIR")).join("models/bungalow.yaml");
    let by_hand = built(&std::fs::read_to_string(by_hand).expect("the model"));
    let listed = built(&stdout(&output));
    let runs = |system: &system::System| {
        let runs = system::summary(system).runs;
        let of = |run: &system::RunSummary| {
            (
                run.id.clone(),
                run.side,
                run.size,
                run.length_m,
                run.seams,
                run.room.clone(),
            )
        };
        runs.iter().map(of).collect::<Vec<_>>()
    };
    assert_eq!(runs(&listed), runs(&by_hand));
    assert_eq!(runs(&listed).len(), 17);
    // Every seam of the runs has its name, its joint type, its amount, its place and its work.
    let seams = |system: &system::System| {
        let of_runs = system
            .seams
            .iter()
            .filter(|seam| system.runs.iter().any(|r| r.id == seam.run));
        let of = |seam: &system::Seam| {
            let place = system.places[seam.place].name.clone();
            (
                seam.id.clone(),
                seam.joint_type.clone(),
                seam.amount,
                place,
                seam.work,
            )
        };
        of_runs.map(of).collect::<Vec<_>>()
    };
    assert_eq!(seams(&listed), seams(&by_hand));
    assert!(seams(&listed).len() > 150);
    let flows = |system: &system::System| {
        system
            .runs
            .iter()
            .map(|run| run.design_flow_m3_s)
            .collect::<Vec<_>>()
    };
    assert_eq!(flows(&listed), flows(&by_hand));
}

const PLAIN: &str = "run,side,from,at,size,length,material,fittings,place,room,airflow\n\
    trunk,supply,,,20x8 in,24.5 ft,sheet metal,cap,basement,,\n\
    kitchen,,trunk,6 ft left,6 in,9 ft,round,\"tab collar, elbow, elbow, boot 10x4 in\",basement,kitchen,100 cfm\n\
    bath,,trunk,,5 in,12.25 ft,flex,\"takeoff, damper, boot\",attic,bath,60 cfm\n\
    hall return,return,,,14x8 in,6 ft,,return box,basement,hall,\n";

#[test]
fn dialects_of_one_list_give_one_sketch() {
    let folder = scratch("takeoff-dialects");
    let (code, want, talk) = made(&folder, "plain.csv", PLAIN.as_bytes());
    assert_eq!(code, Some(0), "{talk}");
    let others: [(&str, String); 8] = [
        ("bom", format!("\u{feff}{PLAIN}")),
        ("crlf", PLAIN.replace('\n', "\r\n")),
        ("blank lines", PLAIN.replace('\n', "\n\n,,,\n")),
        ("tabs", {
            let tabs = "run\tside\tfrom\tat\tsize\tlength\tmaterial\tfittings\tplace\troom\tairflow\n\
                trunk\tsupply\t\t\t20x8 in\t24.5 ft\tsheet metal\tcap\tbasement\t\t\n\
                kitchen\t\ttrunk\t6 ft left\t6 in\t9 ft\tround\ttab collar, elbow, elbow, boot 10x4 in\tbasement\tkitchen\t100 cfm\n\
                bath\t\ttrunk\t\t5 in\t12.25 ft\tflex\ttakeoff, damper, boot\tattic\tbath\t60 cfm\n\
                hall return\treturn\t\t\t14x8 in\t6 ft\t\treturn box\tbasement\thall\t\n";
            tabs.to_owned()
        }),
        ("units in the header", {
            let list = "Run Name,System,Parent,Distance (ft),Duct Size [in],length_ft,Type,Fittings,Location,Serves,CFM\n\
                trunk,S,plenum,,20 x 8,24.5,Sheet Metal,end cap,Basement,,\n\
                kitchen,,TRUNK,6 ft left,6,9,Pipe,2x elbow; tab collar; 10x4 boot,Basement,kitchen,100\n\
                bath,,Trunk,,5,12.25,Flex Duct,takeoff + VD + register,in attic,bath,60\n\
                hall return,RA,plenum,,14 by 8,6,,grille,basement,hall,\n";
            list.to_owned()
        }),
        ("other columns first", {
            let list = "airflow,room,place,fittings,material,length,size,from,side,run\n\
                ,,basement,cap,metal,24' 6\",\"20\"\"x8\"\"\",supply plenum,supply,trunk\n\
                100 cfm,kitchen,basement,\"tab collar, two 90 elbows, boot 10x4 in\",round,108 in,\"6\"\"\",trunk @ 6 ft left,,kitchen\n\
                60 cfm,bath,attic,\"take-off, damper, boot\",flex,147 in,5 in round,trunk,,bath\n\
                ,hall,basement,return grille,,72 in,14x8 in,return plenum,return,hall return\n";
            list.to_owned()
        }),
        ("counts", PLAIN.replace("elbow, elbow", "2 x 90 elbow")),
        ("counts behind", PLAIN.replace("elbow, elbow", "elbows x2")),
    ];
    // What is told of the list as a whole may differ (that a column was left out, say); here nothing of that kind is.
    for (name, list) in others {
        let (code, answer, talk) = made(&folder, "other.csv", list.as_bytes());
        assert_eq!(code, Some(0), "{name}: {talk}");
        assert_eq!(answer, want, "{name}");
    }
}

#[test]
fn semicolons_bring_decimal_commas_and_say_so() {
    let folder = scratch("takeoff-commas");
    let list = "run;size (mm);length (m);fittings\na;150;3,5;\"Bogen\"\n"
        .replace("\"Bogen\"", "2 elbows, boot 250x100 mm");
    let (code, answer, talk) = made(&folder, "a.csv", list.as_bytes());
    assert_eq!(code, Some(0), "{talk}");
    assert!(talk.contains("decimal commas"));
    let points = list.replace(';', "\t").replace("3,5", "3.5");
    let (_, same, _) = made(&folder, "b.csv", points.as_bytes());
    let comma =
        "# assumed: semicolons part the cells, so commas between digits are decimal commas\n";
    assert_eq!(answer.replace(comma, ""), same);
}

#[test]
fn bad_lists_are_refused_in_words_with_line_and_column() {
    let folder = scratch("takeoff-bad");
    let head = "run,from,at,size,length,material,fittings,side\n";
    let trunk = "trunk,plenum,,16x8 in,24 ft,,cap,\n";
    let row = |row: &str| format!("{head}{trunk}{row}\n");
    let cases: [(&str, String, &[&str]); 22] = [
        (
            "no unit",
            row("a,trunk,,6 in,9,,,"),
            &["line 3, column `length`", "no unit", "`9 ft`"],
        ),
        (
            "no unit of a size",
            row("a,trunk,,20x8,9 ft,,,"),
            &["line 3, column `size`", "no unit", "20x8 in"],
        ),
        (
            "twins",
            row("Trunk,plenum,,6 in,9 ft,,,"),
            &["line 3, column `run`", "two runs", "line 2"],
        ),
        (
            "unknown parent",
            row("a,trnk,,6 in,9 ft,,,"),
            &["line 3, column `from`", "did you mean `trunk`"],
        ),
        (
            "a loop",
            row("a,b,,6 in,9 ft,,,\nb,a,,6 in,9 ft,,,"),
            &["line 3, column `from`", "start from each other"],
        ),
        (
            "beyond the end",
            row("a,trunk,30 ft,6 in,9 ft,,,"),
            &["line 3, column `at`", "24 ft long"],
        ),
        (
            "a size in words",
            row("a,trunk,,big,9 ft,,,"),
            &["line 3, column `size`", "big"],
        ),
        (
            "below zero",
            row("a,trunk,,6 in,-9 ft,,,"),
            &["line 3, column `length`", "below zero"],
        ),
        (
            "absurd",
            row("a,trunk,,6 in,9000 ft,,,"),
            &["line 3, column `length`", "at most"],
        ),
        (
            "a misspelt material",
            row("a,trunk,,6 in,9 ft,flx,,"),
            &["line 3, column `material`", "`flex`"],
        ),
        (
            "a misspelt fitting",
            row("a,trunk,,6 in,9 ft,,tab colar,"),
            &["line 3, column `fittings`", "`tab collar`"],
        ),
        (
            "the other side",
            row("a,trunk,,6 in,9 ft,,,return"),
            &["line 3, column `side`", "supply run `trunk`"],
        ),
        (
            "no name",
            row(",trunk,,6 in,9 ft,,,"),
            &["line 3, column `run`", "no name"],
        ),
        (
            "no length",
            row("a,trunk,,6 in,,,,"),
            &["line 3, column `length`", "no length"],
        ),
        (
            "too large for its trunk",
            row("a,trunk,,24 in,9 ft,,,"),
            &["line 3, column `size`", "larger than the face"],
        ),
        (
            "flex that is square",
            row("a,trunk,,6x6 in,9 ft,flex,,"),
            &["line 3, column `material`", "round section"],
        ),
        (
            "a name of the unit",
            row("supply,plenum,,6 in,9 ft,,,"),
            &["line 3, column `run`", "part of the unit"],
        ),
        (
            "commas without quotes",
            row("a,trunk,,6 in,9 ft,,tab collar,,boot"),
            &["line 3", "more cells than the header", "quotation marks"],
        ),
        (
            "two ends",
            row("a,trunk,,6 in,9 ft,,\"boot 10x4 in, cap\","),
            &["line 3, column `fittings`", "after its end"],
        ),
        (
            "lengths that differ",
            row("a,trunk,,6 in,9 ft,,\"4 ft, elbow, 4 ft, cap\","),
            &["line 3, column `length`", "add up"],
        ),
        ("only a header", head.to_owned(), &["no runs"]),
        (
            "no size column",
            "run,length\na,9 ft\n".to_owned(),
            &["line 1", "no column holds the size"],
        ),
    ];
    for (name, list, needles) in cases {
        let (code, answer, talk) = made(&folder, "bad.csv", list.as_bytes());
        assert_eq!(code, Some(2), "{name}: {talk}");
        assert_eq!(answer, "", "{name}");
        for needle in needles {
            assert!(talk.contains(needle), "{name}: no {needle:?} in\n{talk}");
        }
        assert!(talk.contains("hint: "), "{name}: {talk}");
    }
    for (name, bytes, needle) in [
        ("a PDF", b"%PDF-1.7 \xe2\xe3".to_vec(), "PDF"),
        ("a binary", vec![1, 0, 2, 255, 7], "not a text file"),
        ("nothing", Vec::new(), "empty"),
        ("20 MB", vec![b'x'; 20 * 1024 * 1024], "larger than 8 MB"),
        (
            "prose",
            b"Dear all,\nthe ducts are fine.\n".to_vec(),
            "no header",
        ),
    ] {
        let (code, answer, talk) = made(&folder, "bad.csv", &bytes);
        assert_eq!((code, answer.as_str()), (Some(2), ""), "{name}");
        assert!(talk.contains(needle), "{name}: {talk}");
    }
}

#[test]
fn all_that_is_wrong_is_told_at_once() {
    let folder = scratch("takeoff-all");
    let list =
        "run,size,length,material\na,6,9 ft,flx\nb,6 in,nine,\nc,6 in,9 ft,\nc,6 in,-1 ft,\n";
    let (_, _, talk) = made(&folder, "bad.csv", list.as_bytes());
    for place in [
        "line 2, column `size`",
        "line 2, column `material`",
        "line 3, column `length`",
        "line 5, column `run`",
        "line 5, column `length`",
    ] {
        assert!(talk.contains(place), "{place}: {talk}");
    }
    assert!(talk.contains("5 things are wrong"), "{talk}");
}

#[test]
fn a_sketch_is_written_whole_and_never_over_another() {
    let folder = scratch("takeoff-files");
    let list = folder.join("runs.csv");
    std::fs::write(&list, PLAIN).expect("a list");
    let (list, out) = (list.display().to_string(), folder.join("house.yaml"));
    let out = out.display().to_string();
    let arguments = [
        "new",
        "--from",
        &list,
        "-o",
        &out,
        "--title",
        "Invented: a \"house\"",
        "--units",
        "si",
    ];
    let first = run(&arguments);
    assert_eq!(first.status.code(), Some(0), "{}", stderr(&first));
    assert_eq!(stdout(&first), "");
    assert!(
        stderr(&first).contains("assumed: `bath`: "),
        "{}",
        stderr(&first)
    );
    assert!(stderr(&first).contains("next: ductseam check"));
    let text = std::fs::read_to_string(&out).expect("the sketch");
    assert!(text.contains("units: si") && text.contains("Invented"));
    let checked = run(&["check", &out]);
    assert_eq!(checked.status.code(), Some(0), "{}", stderr(&checked));
    let again = run(&arguments);
    assert_eq!(again.status.code(), Some(2));
    assert!(stderr(&again).contains("exists already"));
    let over = run(&["new", "--from", &list, "-o", &list]);
    assert_eq!(over.status.code(), Some(2));
    assert_eq!(std::fs::read_to_string(&list).expect("the list"), PLAIN);
    // A list that is refused leaves no file.
    let bad = folder.join("bad.csv");
    std::fs::write(&bad, "run,size\na,6\n").expect("a list");
    let none = folder.join("none.yaml");
    let refused = run(&[
        "new",
        "--from",
        &bad.display().to_string(),
        "-o",
        &none.display().to_string(),
    ]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(!none.exists());
}
