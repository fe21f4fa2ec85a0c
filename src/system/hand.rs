//! Sketches made by hand, for tests: the values that the reader would make of the words.

use crate::quantity::{Flow, Length, Size, UnitSystem};
use crate::sketch::*;

/// A value without a place in a file.
pub(crate) fn said<T>(value: T) -> Marked<T> {
    Marked {
        value,
        at: Span::default(),
    }
}

/// Feet.
pub(crate) fn ft(feet: f64) -> Length {
    Length::new(feet * 0.3048)
}

/// A section in words.
pub(crate) fn size(words: &str) -> Size {
    words.parse().expect("a size")
}

/// An empty sketch: a unit in the basement, nothing else said.
pub(crate) fn sketch() -> Sketch {
    Sketch {
        title: said("by hand (invented)".to_owned()),
        note: None,
        units: UnitSystem::Ip,
        house: House::default(),
        rooms: Vec::new(),
        places: Vec::new(),
        air_handler: AirHandler {
            at: Span::default(),
            place: Some(said("basement".to_owned())),
            airflow: None,
            coil: None,
            filter: None,
            blower: None,
            filter_loss: None,
            coil_loss: None,
            over: Overrides::default(),
            supply_plenum: None,
            return_plenum: None,
        },
        combustion: Vec::new(),
        suspect_tape: SuspectTape::NoneSeen,
        usual: Vec::new(),
        runs: Vec::new(),
        readings: Vec::new(),
        looks: Vec::new(),
        sealing: Vec::new(),
        prior: Prior::default(),
        minutes: Vec::new(),
        crew: Crew::default(),
        energy: Energy::default(),
        variants: Vec::new(),
        limits: Vec::new(),
        record: crate::sketch::Record::default(),
    }
}

/// A run. `from`: `supply plenum`, `return plenum`, `S at 6`, `S at 6 left`, `S end` (feet).
pub(crate) fn run(
    id: &str,
    side: Side,
    from: &str,
    section: &str,
    material: Option<Material>,
    walk: Vec<StepKind>,
) -> Run {
    let words: Vec<&str> = from.split(' ').collect();
    let start = match words[..] {
        ["supply", "plenum"] => Start::SupplyPlenum,
        ["return", "plenum"] => Start::ReturnPlenum,
        [parent, "end"] => Start::Off {
            run: said(parent.to_owned()),
            along: None,
            face: None,
        },
        [parent, "at", feet, ..] => Start::Off {
            run: said(parent.to_owned()),
            along: Some(said(ft(feet.parse().expect("feet")))),
            face: words.get(3).map(|w| {
                said(match *w {
                    "left" => Heading::Left,
                    "right" => Heading::Right,
                    "top" => Heading::Up,
                    _ => Heading::Down,
                })
            }),
        },
        _ => panic!("no start in `{from}`"),
    };
    Run {
        id: said(id.to_owned()),
        side: said(side),
        from: said(start),
        size: said(size(section)),
        material: material.map(said),
        over: Overrides::default(),
        compression: None,
        lined: None,
        room: None,
        floor: None,
        design_flow: None,
        walk: walk.into_iter().map(step).collect(),
    }
}

/// A step that says nothing about work or place.
pub(crate) fn step(kind: StepKind) -> Step {
    Step {
        at: Span::default(),
        kind,
        over: Overrides::default(),
    }
}

/// A straight length on the present heading, feet.
pub(crate) fn on(feet: f64) -> StepKind {
    StepKind::Straight {
        heading: None,
        length: ft(feet),
        material: None,
    }
}

/// A straight length on a heading, feet.
pub(crate) fn to(heading: Heading, feet: f64) -> StepKind {
    StepKind::Straight {
        heading: Some(heading),
        length: ft(feet),
        material: None,
    }
}

/// An elbow of 90 degrees.
pub(crate) fn elbow(kind: ElbowKind, heading: Heading) -> StepKind {
    StepKind::Elbow {
        kind,
        heading: Some(heading),
        degrees: 90.0,
    }
}

/// A boot.
pub(crate) fn boot(words: &str) -> StepKind {
    StepKind::Boot {
        kind: BootKind::Turn,
        size: size(words),
    }
}

/// A return box.
pub(crate) fn return_box(words: &str) -> StepKind {
    StepKind::Boot {
        kind: BootKind::ReturnBox,
        size: size(words),
    }
}

/// A total reading in cfm at 25 Pa with nothing else said.
pub(crate) fn total(cfm: f64) -> Reading {
    Reading {
        id: said("test".to_owned()),
        kind: ReadingKind::Total,
        values: vec![ReadValue {
            relation: Relation::Equals,
            value: said(Amount::Flow(Flow::new(cfm * 4.719474432e-4))),
            pressure: None,
            relative_sd: None,
            absolute_sd: None,
        }],
        depressurised: None,
        fan: None,
        tap: None,
        barrier: None,
        mask: None,
        plugged: Vec::new(),
        gauge: None,
        date: None,
        when: None,
        note: None,
    }
}

/// Smoke at a seam.
pub(crate) fn smoke(seam: &str, seen: Smoke) -> Look {
    Look {
        seams: vec![said(seam.to_owned())],
        seen: said(Seen::Smoke(seen)),
        by: None,
        at: None,
        during: None,
        when: None,
    }
}

/// The small house of many tests: one trunk, one pipe branch, one flex branch, one panned return.
pub(crate) fn small_house() -> Sketch {
    let mut s = sketch();
    s.runs = vec![
        run(
            "S",
            Side::Supply,
            "supply plenum",
            "20x8 in",
            None,
            vec![to(Heading::North, 24.0), StepKind::Cap],
        ),
        run(
            "kitchen",
            Side::Supply,
            "S at 6 left",
            "6 in",
            None,
            vec![
                StepKind::Takeoff(Takeoff::TabCollar),
                on(4.0),
                elbow(ElbowKind::Adjustable, Heading::Up),
                on(9.0),
                boot("10x4 in"),
            ],
        ),
        run(
            "bath",
            Side::Supply,
            "S at 12 right",
            "6 in",
            Some(Material::Flex),
            vec![on(20.0), boot("10x4 in")],
        ),
        run(
            "R",
            Side::Return,
            "return plenum",
            "14x8 in",
            Some(Material::PannedJoist),
            vec![to(Heading::South, 12.0), return_box("20x20 in")],
        ),
    ];
    s
}
