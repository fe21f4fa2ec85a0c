//! `ductseam exercise --mark` as a black box.

#[path = "common/program.rs"]
mod black_box;
#[path = "common/classroom.rs"]
mod classroom;

use classroom::{BUNGALOW, Class, RIG, answered, exit, number, one_screen, shown};

/// The marks of a list in words.
fn marks_text(class: &Class, list: &str) -> String {
    answered(&[
        "exercise",
        &class.sketch,
        "--mark",
        list,
        "--answers",
        &class.answers,
        "--draws",
        "500",
    ])
}

#[test]
fn a_perfect_list_scores_all_and_a_reversed_one_less_than_joint_types_alone() {
    let class = Class::of("scores", BUNGALOW, "3");
    let order = class.truly();
    let perfect = class.marks(&order[..15].join("\n"));
    assert_eq!(perfect["format"], "ductseam/marks/1");
    assert!((number(&perfect["score"]["score"]) - 1.0).abs() < 1e-12);
    assert!(perfect["missed"].as_array().expect("a list").is_empty());
    for rival in ["guess", "joint_type", "program"] {
        let score = number(&perfect[rival]["score"]);
        assert!(score > 0.0 && score < 1.0, "{rival}: {score}");
    }
    let last: Vec<String> = order.iter().rev().take(15).cloned().collect();
    let reversed = class.marks(&last.join("\n"));
    let score = number(&reversed["score"]["score"]);
    assert!(score < number(&reversed["joint_type"]["score"]));
    assert!(score < number(&reversed["guess"]["score"]));
    assert_eq!(reversed["missed"][0]["true_rank"], 1);
    // The rivals do not hang on who is marked.
    assert_eq!(reversed["joint_type"], perfect["joint_type"]);
    assert_eq!(reversed["best"], perfect["best"]);
}

#[test]
fn the_best_plan_of_its_number_scores_all_and_marks_fit_a_screen() {
    let class = Class::of("plan", BUNGALOW, "5");
    let order = class.truly();
    let first = class.marks(&order[..8].join("\n"));
    let plan = &first["plan"];
    let best: Vec<String> = plan["best_by_number"]["seams"]
        .as_array()
        .expect("a list")
        .iter()
        .map(|id| format!("{};yes", id.as_str().expect("a name")))
        .collect();
    let again = class.marks(&format!("seam;seal\r\n{}\r\n", best.join("\r\n")));
    assert!((number(&again["plan"]["score_by_number"]) - 1.0).abs() < 1e-12);
    assert!(
        again["plan"]["refused"]
            .as_array()
            .expect("a list")
            .is_empty()
    );
    let list = class.list(&format!(
        "seam,rank,seal,minutes\n{},1,yes,12\n{},2,no,\n",
        order[9], order[2]
    ));
    let text = marks_text(&class, &list);
    one_screen(&text);
    // Lines may break anywhere between words.
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for word in [
        "Your list:",
        "by joint type",
        "What was there:",
        "Sealing:",
        "you wrote 12",
    ] {
        assert!(text.contains(word), "{word}: {text}");
    }
}

#[test]
fn a_plan_that_seals_nothing_is_told_so_and_has_no_score() {
    let class = Class::of("nothing", BUNGALOW, "5");
    let order = class.truly();
    let list = format!("# first thoughts; not more\nseam,seal\n{},no\n", order[0]);
    let plan = &class.marks(&list)["plan"];
    assert!(plan["score_by_number"].is_null() && plan["score_by_minutes"].is_null());
    assert!(number(&plan["cut_m3_s"]).abs() < 1e-15);
    let list = class.list(&list);
    let text = marks_text(&class, &list);
    let line = text.lines().find(|line| line.starts_with("Sealing: "));
    let line = line.expect("a line on sealing");
    assert!(
        line.contains("seals no seam") && !line.contains('%'),
        "{line}"
    );
}

#[test]
fn wrong_lists_are_refused_with_the_line_and_what_was_meant() {
    let class = Class::of("lists", BUNGALOW, "6");
    let order = class.truly();
    let error = class.refusal(&format!("{}\nkitchen/tab collr\n{0}\n", order[0]));
    assert!(error.contains("learner.csv:2"), "{error}");
    assert!(
        error.contains("did you mean `kitchen/tab collar`?"),
        "{error}"
    );
    assert!(
        error.contains("learner.csv:3") && error.contains("twice"),
        "{error}"
    );
    let some = class.refusal(&format!("{},1\n{},\n", order[0], order[1]));
    assert!(
        some.contains("learner.csv:2") && some.contains("give every seam a rank"),
        "{some}"
    );
    assert!(class.refusal("").contains("names no seam"));
    assert!(class.refusal("seam,rank\n").contains("names no seam"));
}

#[test]
fn answers_of_another_exercise_or_another_kind_are_refused() {
    let class = Class::of("answers", BUNGALOW, "7");
    let same_ducts = Class::of("answers-2", BUNGALOW, "8");
    let other = Class::of("answers-3", RIG, "7");
    let list = class.list(&class.truly()[0]);
    let ask = |answers: &str| {
        exit(
            &[
                "exercise",
                &class.sketch,
                "--mark",
                &list,
                "--answers",
                answers,
            ],
            2,
        )
    };
    assert!(ask(&same_ducts.answers).contains("other readings or looks"));
    assert!(ask(&other.answers).contains("not all the same"));
    assert!(ask(&class.sketch).contains("not JSON"));
    assert!(ask(&shown(&class.folder.join("none.json"))).contains("no such file"));
    let without = exit(&["exercise", &class.sketch, "--mark", &list], 2);
    assert!(without.contains("--answers"), "{without}");
}

#[test]
fn a_list_of_all_seams_is_told_that_it_sorts_nothing_and_its_order_counts() {
    let class = Class::of("all", BUNGALOW, "3");
    let order = class.truly();
    let reversed: Vec<String> = order.iter().rev().cloned().collect();
    let marks = class.marks(&reversed.join("\n"));
    assert!((number(&marks["score"]["score"]) - 1.0).abs() < 1e-12);
    assert!(number(&marks["order_score"]) < 0.5 && marks["is_long"] == true);
    assert_eq!(marks["seal_stated"], false);
    let list = class.list(&order.join("\n"));
    let text = marks_text(&class, &list);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    for said in [
        "More than a fifth of all seams were named",
        "order score 100 %",
        "every seam named counts as sealed",
    ] {
        assert!(text.contains(said), "{said}: {text}");
    }
}

#[test]
fn other_files_are_refused_in_few_words_and_heads_without_seams_told() {
    let class = Class::of("other-files", BUNGALOW, "6");
    let line = "bGVha3kgZHVjdHMgYXJlIG5vdCB0aWdodCBkdWN0cyBhbmQgdGhpcyBpcyBubyBsaXN0IG9mIHNlYW1z\n";
    let some = class.refusal(&line.repeat(13_000));
    assert!(some.contains("and 12980 more faults"), "{some}");
    assert!(some.lines().count() < 50, "{}", some.lines().count());
    assert!(
        class
            .refusal(&line.repeat(250_000))
            .contains("larger than 8 MB")
    );
    let head = class.refusal("where;Rank\nkitchen/tab collar;1\n");
    assert!(head.contains("no column is called `seam`"), "{head}");
    let tie = class.refusal("Seam ID;Rank\nkitchen/tab collar;1\nunit/filter slot;1\n");
    assert!(tie.contains("rank 1 is given in line 2 already"), "{tie}");
    let blank = class.list("Seam ID;Seal\nkitchen/tab collar;yes\nunit/filter slot;\n");
    let text = marks_text(&class, &blank);
    let text = text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(
        text.contains("`seal` is left empty for 1 seam: that counts as no"),
        "{text}"
    );
}

#[test]
fn a_sketch_changed_after_it_was_handed_out_is_named_as_such() {
    let class = Class::of("changed", BUNGALOW, "6");
    let list = class.list("kitchen/tab collar\n");
    let sketch = std::fs::read_to_string(&class.sketch).expect("a sketch");
    let from = sketch.find("smoke: none").expect("a look without smoke");
    let mut changed = sketch.clone();
    changed.replace_range(from..from + "smoke: none".len(), "smoke: strong");
    std::fs::write(&class.sketch, changed).expect("written");
    let mut ask = vec!["exercise", &class.sketch, "--mark", &list];
    ask.extend(["--answers", &class.answers]);
    let error = exit(&ask, 2);
    assert!(
        error.contains("mark with the sketch as handed out"),
        "{error}"
    );
}
