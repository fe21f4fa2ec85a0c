use super::*;
use crate::catalog::Work;
use crate::quantity::{Length, UnitSystem};

/// A sketch of one run with one step between its takeoff and its end.
fn with_step(step: &str) -> String {
    format!(
        "ductseam: 1\ntitle: One step\nruns:\n- id: A\n  from: supply plenum\n  size: 6 in\n  walk:\n  - {step}\n  - cap\n"
    )
}

fn step(words: &str) -> Step {
    match read(&with_step(words), "step.yaml") {
        Ok(sketch) => sketch.runs[0].walk[0].clone(),
        Err(wrong) => panic!("{}", wrong.render(false)),
    }
}

fn codes(text: &str) -> Vec<&'static str> {
    match read(text, "test.yaml") {
        Ok(_) => Vec::new(),
        Err(wrong) => wrong.items.iter().map(|item| item.code).collect(),
    }
}

fn ft(feet: f64) -> Length {
    Length::from_ft(feet)
}

#[test]
fn the_starter_is_read_and_says_what_its_comments_say() {
    let sketch = read(starter(), "starter.yaml").unwrap_or_else(|d| panic!("{}", d.render(false)));
    assert_eq!(sketch.units, UnitSystem::Ip);
    let sides: Vec<_> = sketch.runs.iter().map(|run| run.side.value).collect();
    // The takeoffs take the side of the trunk that they leave.
    assert_eq!(
        sides,
        [Side::Supply, Side::Supply, Side::Supply, Side::Return]
    );
    assert_eq!(
        sketch.places[1].house_share.as_ref().unwrap().value.si(),
        46.0 / 50.0
    );
    assert_eq!(
        sketch.runs[2].walk[3].over.reach.as_ref().unwrap().value,
        Reach::BehindFinish
    );
}

#[test]
fn straight_lengths_carry_heading_material_place_reach_and_work() {
    let kind = |heading, feet, material| StepKind::Straight {
        heading,
        length: ft(feet),
        material,
    };
    assert_eq!(step("4 ft").kind, kind(None, 4.0, None));
    assert_eq!(
        step("NORTH 24 ft").kind,
        kind(Some(Heading::North), 24.0, None)
    );
    assert_eq!(
        step("up 9 ft rectangular in outer wall behind finish taped").kind,
        kind(Some(Heading::Up), 9.0, Some(Material::Rectangular))
    );
    assert_eq!(
        step("12 ft of flex duct").kind,
        kind(None, 12.0, Some(Material::Flex))
    );
    let StepKind::Straight { length, .. } = step("\"9 ft 6 in in attic\"").kind else {
        panic!("not a straight length");
    };
    assert!((length.to_ft() - 9.5).abs() < 1e-12);
    let over = step("9 ft in open porch under insulation sealed").over;
    assert_eq!(over.place.unwrap().value, "open porch");
    assert_eq!(over.reach.unwrap().value, Reach::UnderInsulation);
    assert_eq!(over.work.unwrap().value, Work::Mastic);
}

#[test]
fn fittings_are_known_by_their_trade_names() {
    let elbow = |kind, heading, degrees| StepKind::Elbow {
        kind,
        heading,
        degrees,
    };
    for (words, kind) in [
        (
            "adjustable elbow up",
            elbow(ElbowKind::Adjustable, Some(Heading::Up), 90.0),
        ),
        (
            "swivel elbow 45 degrees left",
            elbow(ElbowKind::Adjustable, Some(Heading::Left), 45.0),
        ),
        (
            "45° elbow down",
            elbow(ElbowKind::Fixed, Some(Heading::Down), 45.0),
        ),
        ("elbow", elbow(ElbowKind::Fixed, None, 90.0)),
        (
            "miter elbow east",
            elbow(ElbowKind::Mitre, Some(Heading::East), 90.0),
        ),
        (
            "mitre elbow with vanes east",
            elbow(ElbowKind::MitreVanes, Some(Heading::East), 90.0),
        ),
        (
            "mitre elbow with turning vanes",
            elbow(ElbowKind::MitreVanes, None, 90.0),
        ),
        (
            "flex bend 30 deg right",
            elbow(ElbowKind::FlexBend, Some(Heading::Right), 30.0),
        ),
        ("spin-in collar", StepKind::Takeoff(Takeoff::SpinIn)),
        ("finger collar", StepKind::Takeoff(Takeoff::TabCollar)),
        ("side tap", StepKind::Takeoff(Takeoff::SideTap)),
        ("balancing damper", StepKind::Damper { degrees: 0.0 }),
        ("canvas connector", StepKind::Canvas),
        ("filter slot", StepKind::FilterSlot),
        ("test port", StepKind::TestHole),
        ("flex splice", StepKind::Splice),
        (
            "reducer 5 in",
            StepKind::Reducer {
                to: "5 in".parse().unwrap(),
            },
        ),
        (
            "transition to 12x3.25 in",
            StepKind::Reducer {
                to: "12x3.25 in".parse().unwrap(),
            },
        ),
        (
            "access panel 12x8 in",
            StepKind::AccessDoor {
                size: "12x8 in".parse().unwrap(),
            },
        ),
    ] {
        assert_eq!(step(words).kind, kind, "{words}");
    }
}

#[test]
fn endings_carry_their_size_or_run() {
    let last = |words: &str| {
        let text = with_step("4 ft").replace("- cap", &format!("- {words}"));
        let sketch = read(&text, "end.yaml").unwrap_or_else(|d| panic!("{}", d.render(false)));
        sketch.runs[0].walk[1].clone()
    };
    let boot = |kind, size: &str| StepKind::Boot {
        kind,
        size: size.parse().unwrap(),
    };
    assert_eq!(
        last("boot 10x4 in in wall behind finish").kind,
        boot(BootKind::Turn, "10x4 in")
    );
    assert_eq!(
        last("end boot 300x100 mm").kind,
        boot(BootKind::Straight, "300x100 mm")
    );
    assert_eq!(
        last("grille 20x20 in").kind,
        boot(BootKind::ReturnBox, "20x20 in")
    );
    let StepKind::Joins { run, along } = last("joins look at me at 12 ft mastic").kind else {
        panic!("not a joint of two runs");
    };
    assert_eq!(
        (run.value.as_str(), along.unwrap().value),
        ("look at me", ft(12.0))
    );
    assert!(matches!(
        last("joins B").kind,
        StepKind::Joins { along: None, .. }
    ));
}

#[test]
fn words_that_yaml_takes_for_numbers_and_truth_survive() {
    let text = with_step("4 ft")
        .replace("One step", "010")
        .replace("id: A", "id: 1e3")
        .replace("size: 6 in", "size: 6 in\n  room: no");
    let sketch = read(&text, "plain.yaml").unwrap();
    assert_eq!(sketch.title.value, "010");
    assert_eq!(sketch.runs[0].id.value, "1e3");
    assert_eq!(sketch.runs[0].room.as_ref().unwrap().value, "no");
}

#[test]
fn a_byte_order_mark_and_line_ends_of_another_system_change_nothing() {
    let plain = read(starter(), "a.yaml").unwrap();
    let other = read(
        &format!("\u{feff}{}", starter().replace('\n', "\r\n")),
        "a.yaml",
    )
    .unwrap();
    assert_eq!(plain.runs.len(), other.runs.len());
    assert_eq!(plain.runs[1].walk[2].kind, other.runs[1].walk[2].kind);
}

#[test]
fn an_alias_stands_for_its_value() {
    let text = with_step("4 ft")
        .replace("id: A", "id: &name A")
        .replace("size: 6 in", "size: 6 in\n  room: *name");
    assert_eq!(
        read(&text, "alias.yaml").unwrap().runs[0]
            .room
            .as_ref()
            .unwrap()
            .value,
        "A"
    );
}

/// Every `Span { start: a, end: b }` in a debug print.
fn spans(debug: &str) -> Vec<(usize, usize)> {
    debug
        .split("Span { start: ")
        .skip(1)
        .map(|rest| {
            let (start, rest) = rest.split_once(", end: ").unwrap();
            let (end, _) = rest.split_once(" }").unwrap();
            (start.parse().unwrap(), end.parse().unwrap())
        })
        .collect()
}

#[test]
fn no_place_is_empty_in_a_full_sketch_and_names_stand_where_they_are_said_to() {
    let text = include_str!("../../tests/good/full.yaml");
    let sketch = read(text, "full.yaml").unwrap_or_else(|d| panic!("{}", d.render(false)));
    let debug = format!("{sketch:?}");
    let all = spans(&debug);
    assert!(all.len() > 150, "{} places", all.len());
    for (start, end) in all {
        assert!(
            start < end && end <= text.len() && text.get(start..end).is_some(),
            "{start}..{end}"
        );
    }
    let mut names = 0;
    for rest in debug.split("Marked { value: \"").skip(1) {
        let (value, rest) = rest.split_once("\", at: ").unwrap();
        let (start, end) = spans(rest)[0];
        if !text[start..end].contains('\n') {
            assert_eq!(&text[start..end], value);
            names += 1;
        }
    }
    assert!(names > 50, "{names} names");
}

#[test]
fn every_key_of_every_table_is_used_by_the_full_sketch() {
    let text = include_str!("../../tests/good/full.yaml");
    for table in [
        &tables::SKETCH,
        &tables::HOUSE,
        &tables::ROOM,
        &tables::PLACE_TABLE,
        &tables::AIR_HANDLER,
        &tables::BLOWER,
        &tables::PLENUM,
        &tables::APPLIANCE,
        &tables::USUAL,
        &tables::USUAL_ENTRY,
        &tables::RUN,
        &tables::STEP,
        &tables::READING,
        &tables::LOOK,
        &tables::SEALING,
        &tables::PRIOR,
        &tables::MINUTES,
        &tables::CREW,
        &tables::METHODS,
        &tables::METHOD,
        &energy_tables::ENERGY,
        &energy_tables::HEATING,
        &energy_tables::COOLING,
        &energy_tables::CLIMATE,
        &energy_tables::BIN,
        &limit_tables::LIMIT,
        &tables::RECORD,
        &tables::VARIANT,
    ] {
        for field in table.fields {
            assert!(text.contains(&format!("{}:", field.key)), "{}", field.key);
        }
    }
}

#[test]
fn a_side_is_inherited_through_any_number_of_runs_in_any_order() {
    let text = "ductseam: 1\ntitle: Order\nruns:\n- {id: C, from: B end, size: 6 in, walk: [2 ft, cap]}\n- {id: B, from: A at 2 ft, size: 6 in, walk: [2 ft, cap]}\n- {id: A, from: return plenum, size: 8 in, walk: [4 ft, cap]}\n";
    assert!(
        read(text, "order.yaml")
            .unwrap()
            .runs
            .iter()
            .all(|run| run.side.value == Side::Return)
    );
    // Runs in a circle are refused when they are joined, not here; reading them ends.
    let circle = text.replace("return plenum", "C end");
    assert!(read(&circle, "circle.yaml").is_ok());
}

#[test]
fn at_most_fifty_are_drawn_and_the_rest_is_counted() {
    let keys: String = (0..1234).map(|i| format!("k{i}: 1\n")).collect();
    let wrong = read(&format!("{}{keys}", with_step("4 ft")), "many.yaml").unwrap_err();
    assert_eq!(wrong.count(), 1234);
    let drawn = wrong.render(false);
    assert_eq!(drawn.matches("error[").count(), 50);
    assert!(
        drawn.contains("and 1184 more"),
        "{}",
        &drawn[drawn.len() - 200..]
    );
}

#[test]
fn a_huge_file_is_refused_in_few_words() {
    let text = format!("note: {}\n", "x".repeat(20_000_000));
    let wrong = read(&text, "huge.yaml").unwrap_err();
    assert_eq!(wrong.items[0].code, "E0102");
    assert!(wrong.render(false).len() < 500 && wrong.text.is_empty());
}

#[test]
fn a_line_of_a_million_letters_is_shortened() {
    let text = with_step(&"x".repeat(1_000_000));
    let wrong = read(&text, "line.yaml").unwrap_err();
    assert!(wrong.render(false).len() < 3_000);
    assert!(wrong.to_json().len() < 3_000);
}

#[test]
fn too_many_values_are_refused() {
    let text = format!("ductseam: 1\nnote: [{}x]\n", "x,".repeat(1_000_001));
    assert_eq!(codes(&text), ["E0107"]);
}

#[test]
fn a_hundred_thousand_pieces_are_read() {
    let runs: String = (0..20_000)
        .map(|i| format!("- {{id: r{i}, from: supply plenum, size: 6 in, walk: [tab collar, 3 ft, elbow left, 2 ft, boot 10x4 in]}}\n"))
        .collect();
    let sketch = read(
        &format!("ductseam: 1\ntitle: Large\nruns:\n{runs}"),
        "large.yaml",
    )
    .unwrap();
    assert_eq!(
        sketch.runs.iter().map(|run| run.walk.len()).sum::<usize>(),
        100_000
    );
}

#[test]
fn json_carries_place_label_and_patch() {
    let text = with_step("nroth 4 ft");
    let wrong = read(&text, "one.yaml").unwrap_err();
    let json: serde_json::Value = serde_json::from_str(&wrong.to_json()).unwrap();
    assert_eq!(json["format"], "ductseam/diagnostics/1");
    assert_eq!(
        (
            json["count"].as_u64(),
            json["items"].as_array().map(Vec::len)
        ),
        (Some(1), Some(1))
    );
    let item = &json["items"][0];
    assert_eq!(
        (item["at"]["line"].as_u64(), item["at"]["column"].as_u64()),
        (Some(8), Some(5))
    );
    let (start, end) = (
        item["at"]["start"].as_u64().unwrap() as usize,
        item["at"]["end"].as_u64().unwrap() as usize,
    );
    assert_eq!(
        (&text[start..end], item["patch"].as_str()),
        ("nroth", Some("north"))
    );
    assert_eq!(
        wrong.to_string(),
        "one.yaml:8:5: no walk step starts with `nroth 4 ft`"
    );
}

#[test]
fn a_patch_puts_the_file_right() {
    let text = starter()
        .replace("adjustable elbow up, 1 ft", "adjustible elbow up, 1 ft")
        .replace("size: 16x8", "siez: 16x8")
        .replace("smoke: wisp", "smoke: whisp");
    let wrong = read(&text, "patch.yaml").unwrap_err();
    assert_eq!(wrong.items.len(), 3);
    let mut mended = text.clone();
    for item in wrong.items.iter().rev() {
        mended.replace_range(item.at.start..item.at.end, item.patch.as_ref().unwrap());
    }
    assert_eq!(mended, starter());
}

#[test]
fn colour_is_asked_for() {
    let wrong = read(&with_step("nroth 4 ft"), "one.yaml").unwrap_err();
    assert!(!wrong.render(false).contains('\u{1b}'));
    assert!(wrong.render(true).contains('\u{1b}'));
}

#[test]
fn near_names_are_found_and_far_ones_are_not() {
    assert_eq!(nearest("siez", ["id", "size", "side"]), Some("size"));
    assert_eq!(
        nearest("adjustible elbow", ["elbow", "adjustable elbow"]),
        Some("adjustable elbow")
    );
    assert_eq!(nearest("weather", ["title", "runs"]), None);
}
