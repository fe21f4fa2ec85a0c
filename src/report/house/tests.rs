//! The page as a whole, from answers made by hand.

use super::*;
use crate::drawing::Layer;
use crate::report::samples;

fn drawing() -> Drawing {
    Drawing {
        svg: "<svg class=\"plan-drawing\" viewBox=\"0 0 297 210\"><g class=\"layer layer-seams\" data-layer=\"seams\"></g></svg>".to_owned(),
        width_mm: 297.0,
        height_mm: 210.0,
        layers: vec![Layer::Seams, Layer::Top],
        left_out: 0,
    }
}

fn bare<'a>(system: &'a System, allocation: &'a Allocation, drawing: &'a Drawing) -> House<'a> {
    House {
        system,
        catalog: Catalog::builtin(),
        units: UnitSystem::Ip,
        allocation,
        drawing,
        predicted: None,
        compared: None,
        limits: None,
        next: None,
        plan: None,
        effects: None,
        proof: None,
        untold: &[],
    }
}

fn ids(html: &str) -> Vec<String> {
    html.split("<section id=\"")
        .skip(1)
        .filter_map(|rest| Some(rest.split('"').next()?.to_owned()))
        .collect()
}

#[test]
fn a_section_stands_only_where_its_answer_is_there() {
    let system = samples::system();
    let allocation = samples::allocation(&system);
    let drawing = drawing();
    let mut house = bare(&system, &allocation, &drawing);
    let found = ids(&house_html(&house));
    assert_eq!(
        found,
        [
            "summary",
            "cautions",
            "drawing",
            "seams",
            "shares",
            "groups",
            "readings",
            "assumptions",
            "how-to-read"
        ]
    );
    let (next, compared) = (samples::next(&system), samples::compared(&system));
    house.next = Some(&next);
    house.compared = Some(&compared);
    let html = house_html(&house);
    assert!(ids(&html).contains(&"next".to_owned()));
    assert!(html.contains("register of kitchen left unmasked"));
    assert_eq!(html, house_html(&house), "same input, same bytes");
}

#[test]
fn every_seam_stands_once_in_the_table_and_shares_add_up() {
    let system = samples::system();
    let allocation = samples::allocation(&system);
    let drawing = drawing();
    let html = house_html(&bare(&system, &allocation, &drawing));
    let mut seen: Vec<usize> = html
        .split("<tr data-seam=\"")
        .skip(1)
        .map(|rest| {
            rest.split('"')
                .next()
                .expect("a value")
                .parse()
                .expect("an index")
        })
        .collect();
    let sum: f64 = html
        .split("data-n=\"")
        .skip(1)
        .map(|rest| {
            let figures = rest.split('"').next().expect("a value");
            figures
                .split(' ')
                .nth(2)
                .expect("a share")
                .parse::<f64>()
                .expect("a number")
        })
        .sum();
    seen.sort_unstable();
    assert_eq!(seen, (0..system.seams.len()).collect::<Vec<_>>());
    assert!((sum - 1.0).abs() < 1e-4, "{sum}");
}

#[test]
fn what_people_wrote_is_escaped() {
    let mut system = samples::system();
    system.seams[0].id = "<b>\"x\" & 'y'".to_owned();
    let mut allocation = samples::allocation(&system);
    allocation.title = "<script>alert(1)</script>".to_owned();
    allocation.seams[0].place = "attic <img src=x>".to_owned();
    let drawing = drawing();
    let html = house_html(&bare(&system, &allocation, &drawing));
    assert!(!html.contains("<script>alert") && !html.contains("<b>") && !html.contains("<img"));
    assert!(html.contains("&lt;script&gt;alert(1)"));
}

#[test]
fn doubt_and_a_stop_stand_before_the_summary() {
    let mut system = samples::system();
    system.suspect_tape = crate::system::SuspectTape::Suspected;
    let mut allocation = samples::allocation(&system);
    allocation.status = crate::allocate::Status::Doubtful {
        reasons: vec!["too few draws count".to_owned()],
    };
    let drawing = drawing();
    let html = house_html(&bare(&system, &allocation, &drawing));
    let at = |word: &str| html.find(word).unwrap_or_else(|| panic!("no {word}"));
    assert!(at("<strong>Stop: </strong>") < at("id=\"summary\""));
    assert!(at("<strong>Doubtful: </strong>") < at("id=\"summary\""));
    assert!(at("too few draws count") < at("id=\"summary\""));
}

#[test]
fn without_evidence_the_summary_says_that_it_is_no_finding() {
    let system = samples::system();
    let mut allocation = samples::allocation(&system);
    let drawing = drawing();
    let said = "It is not a finding about this house.";
    assert!(!house_html(&bare(&system, &allocation, &drawing)).contains(said));
    allocation.diagnostics.method = Method::Prior;
    allocation.readings.clear();
    allocation.looks.clear();
    let html = house_html(&bare(&system, &allocation, &drawing));
    assert!(html.contains(said));
    assert!(!ids(&html).contains(&"readings".to_owned()));
}

#[test]
fn nothing_outside_the_file_is_asked_for() {
    let system = samples::system();
    let allocation = samples::allocation(&system);
    let drawing = drawing();
    let html = house_html(&bare(&system, &allocation, &drawing));
    assert!(html.contains("default-src &#39;none&#39;") || html.contains("default-src 'none'"));
    for word in ["http://", "https://", "@import", "url(", " src=", "eval("] {
        assert!(!html.contains(word), "{word}");
    }
}

#[test]
fn every_id_of_the_page_is_its_own() {
    let system = samples::system();
    let allocation = samples::allocation(&system);
    let (drawing, compared) = (drawing(), samples::compared(&system));
    let mut house = bare(&system, &allocation, &drawing);
    house.compared = Some(&compared);
    let html = house_html(&house);
    let mut all: Vec<&str> = html
        .split(" id=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect();
    let count = all.len();
    all.sort_unstable();
    all.dedup();
    assert_eq!(all.len(), count);
}

#[test]
fn under_a_stop_the_summary_advises_nothing_that_touches_the_ducts() {
    let mut system = samples::system();
    let allocation = samples::allocation(&system);
    let (drawing, next) = (drawing(), samples::next(&system));
    let advice = ["Do next", "Smoke near a joint", "Look there first"];
    let summary = |system: &System| {
        let mut house = bare(system, &allocation, &drawing);
        house.next = Some(&next);
        let html = house_html(&house);
        let from = html.find("<section id=\"summary\"").expect("a summary");
        let until = html[from..].find("</section>").expect("its end");
        html[from..from + until].to_owned()
    };
    let calm = summary(&system);
    assert!(calm.contains("Smoke near a joint"), "{calm}");
    system.suspect_tape = crate::system::SuspectTape::Suspected;
    let stopped = summary(&system);
    for word in advice {
        assert!(!stopped.contains(word), "{word}");
    }
    assert!(stopped.contains("Nothing else is done before."));
}

#[test]
fn the_sheet_is_printed_for_each_reader_by_classes_of_its_own() {
    let system = samples::system();
    let allocation = samples::allocation(&system);
    let drawing = drawing();
    let html = house_html(&bare(&system, &allocation, &drawing));
    assert!(html.contains("<div class=\"sheet owner-top all-seams\" style=\"--w:297.0\""));
    for size in ["fit", "150", "200", "300", "whole"] {
        assert!(html.contains(&format!("name=\"zoom\" value=\"{size}\"")));
    }
}
