//! What holds for every system: attached seams, positive amounts, unique ids, one piece of graph.

use std::collections::BTreeSet;

use petgraph::unionfind::UnionFind;
use proptest::prelude::*;

use super::hand::{boot, elbow, ft, on, return_box, run, said, size, sketch};
use super::*;
use crate::catalog::{Catalog, Work};
use crate::sketch::{ElbowKind, Heading, Material, Run, Sketch, StepKind, Takeoff};

fn any_heading() -> impl Strategy<Value = Heading> {
    prop::sample::select(vec![
        Heading::North,
        Heading::East,
        Heading::Up,
        Heading::Down,
        Heading::Left,
        Heading::Right,
    ])
}

fn any_middle(round: bool, flex: bool) -> BoxedStrategy<Vec<StepKind>> {
    let length = (1u32..400).prop_map(|tenths| on(f64::from(tenths) / 10.0));
    let kinds = match (round, flex) {
        (_, true) => vec![ElbowKind::FlexBend, ElbowKind::Adjustable],
        (true, false) => vec![ElbowKind::Adjustable, ElbowKind::Fixed, ElbowKind::Mitre],
        (false, false) => vec![ElbowKind::Fixed, ElbowKind::Mitre, ElbowKind::MitreVanes],
    };
    let turn = (prop::sample::select(kinds), any_heading()).prop_map(|(kind, to)| elbow(kind, to));
    let small = prop::sample::select(vec![
        StepKind::Damper { degrees: 0.0 },
        StepKind::Canvas,
        StepKind::TestHole,
        StepKind::FilterSlot,
        StepKind::AccessDoor {
            size: size("8x8 in"),
        },
    ]);
    let tail = prop::collection::vec(
        prop_oneof![3 => length.clone(), 2 => turn, 1 => small],
        0..6,
    );
    (length, tail)
        .prop_map(|(first, mut rest)| {
            rest.insert(0, first);
            rest
        })
        .boxed()
}

#[derive(Debug, Clone)]
struct Branch {
    parent: usize,
    part: f64,
    material: Material,
    middle: Vec<StepKind>,
    takeoff: Option<Takeoff>,
    capped: bool,
    work: Option<Work>,
}

fn any_branch() -> impl Strategy<Value = Branch> {
    let material = prop::sample::select(vec![Material::Round, Material::Spiral, Material::Flex]);
    (any::<prop::sample::Index>(), 0.0..1.0, material).prop_flat_map(|(parent, part, material)| {
        (
            any_middle(true, material == Material::Flex),
            prop::option::of(prop::sample::select(vec![
                Takeoff::TabCollar,
                Takeoff::SpinIn,
                Takeoff::SideTap,
            ])),
            any::<bool>(),
            prop::option::of(prop::sample::select(Work::ALL.to_vec())),
        )
            .prop_map(move |(middle, takeoff, capped, work)| Branch {
                parent: parent.index(64),
                part,
                material,
                middle,
                takeoff,
                capped,
                work,
            })
    })
}

fn length_ft(run: &Run) -> f64 {
    run.walk
        .iter()
        .map(|s| {
            if let StepKind::Straight { length, .. } = &s.kind {
                length.si() / 0.3048
            } else {
                0.0
            }
        })
        .sum()
}

fn any_sketch() -> impl Strategy<Value = Sketch> {
    let trunk = prop::sample::select(vec![
        Material::Rectangular,
        Material::DuctBoard,
        Material::PannedJoist,
        Material::Cavity,
    ]);
    let trunks = prop::collection::vec((trunk, any_middle(false, false), any::<bool>()), 1..4);
    (trunks, prop::collection::vec(any_branch(), 0..12)).prop_map(|(trunks, branches)| {
        let mut s = sketch();
        for (i, (material, mut walk, supply)) in trunks.into_iter().enumerate() {
            walk.push(if supply {
                StepKind::Cap
            } else {
                return_box("20x20 in")
            });
            let (side, from) = if supply {
                (Side::Supply, "supply plenum")
            } else {
                (Side::Return, "return plenum")
            };
            s.runs.push(run(
                &format!("trunk {i}"),
                side,
                from,
                "20x10 in",
                Some(material),
                walk,
            ));
        }
        for (i, b) in branches.into_iter().enumerate() {
            // flex takes no collar in its middle
            let parents: Vec<usize> = (0..s.runs.len())
                .filter(|&p| {
                    s.runs[p]
                        .material
                        .as_ref()
                        .is_none_or(|m| m.value != Material::Flex)
                })
                .collect();
            let p = parents[b.parent % parents.len()];
            let mut walk = b.middle;
            if let Some(kind) = b.takeoff {
                walk.insert(0, StepKind::Takeoff(kind));
            }
            walk.push(if b.capped {
                StepKind::Cap
            } else {
                boot("10x4 in")
            });
            let mut new = run(
                &format!("branch {i}"),
                s.runs[p].side.value,
                "X at 1",
                "6 in",
                Some(b.material),
                walk,
            );
            new.from = said(crate::sketch::Start::Off {
                run: said(s.runs[p].id.value.clone()),
                along: Some(said(ft(b.part * length_ft(&s.runs[p])))),
                face: None,
            });
            new.over.work = b.work.map(said);
            s.runs.push(new);
        }
        // the order of the file must not matter
        s.runs.reverse();
        s
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn every_seam_is_attached_positive_and_named_once(sketch in any_sketch()) {
        let system = build(&sketch, "", "random", Catalog::builtin());
        let system = system.map_err(|d| TestCaseError::fail(format!("{:#?}", d.items)))?;
        let mut ids = BTreeSet::new();
        for seam in &system.seams {
            prop_assert!(ids.insert(seam.id.clone()), "{} twice", seam.id);
            prop_assert!(seam.amount > 0.0 && seam.mean_q25_m3_s > 0.0 && seam.gsd > 1.0, "{seam:?}");
            prop_assert!((0.5..=1.0).contains(&seam.n));
            match seam.at {
                SeamAt::Junction(node) => prop_assert!(node.index() < system.graph.node_count()),
                SeamAt::Piece(edge, part) => {
                    prop_assert!(edge.index() < system.graph.edge_count());
                    prop_assert!((0.0..=1.0).contains(&part));
                }
            }
            prop_assert!(seam.place < system.places.len());
        }
        let mut sets = UnionFind::new(system.graph.node_count());
        for edge in system.graph.edge_indices() {
            let (a, b) = system.graph.edge_endpoints(edge).expect("ends");
            prop_assert!(sets.union(a.index(), b.index()), "no loop was drawn");
        }
        prop_assert_eq!(system.graph.edge_count() + 1, system.graph.node_count());
        let mut names = BTreeSet::new();
        for piece in system.graph.edge_weights() {
            prop_assert!(names.insert(piece.id.clone()), "{} twice", piece.id);
        }
        let mut names = BTreeSet::new();
        for node in system.graph.node_weights() {
            prop_assert!(names.insert(node.id.clone()), "{} twice", node.id);
        }
    }

    #[test]
    fn the_straight_pieces_of_a_run_add_up_to_its_walk(sketch in any_sketch()) {
        let system = build(&sketch, "", "random", Catalog::builtin());
        let system = system.map_err(|d| TestCaseError::fail(format!("{:#?}", d.items)))?;
        for (i, r) in sketch.runs.iter().enumerate() {
            let pieces: f64 = system.graph.edge_weights().filter(|p| p.run == Some(i)).map(|p| p.length_m).sum();
            prop_assert!((pieces - 0.3048 * length_ft(r)).abs() < 1e-9);
            prop_assert!((system.runs[i].length_m - pieces).abs() < 1e-9);
        }
    }

    #[test]
    fn a_branch_more_leaves_the_ids_of_the_others_alone(sketch in any_sketch(), b in any_branch()) {
        let before = build(&sketch, "", "random", Catalog::builtin());
        let before = before.map_err(|d| TestCaseError::fail(format!("{:#?}", d.items)))?;
        let mut more = sketch.clone();
        let trunk = sketch.runs.iter().position(|r| r.id.value == "trunk 0").expect("a trunk");
        let mut new = run("late", sketch.runs[trunk].side.value, "X at 1", "6 in", Some(b.material), {
            let mut walk = b.middle;
            walk.push(StepKind::Cap);
            walk
        });
        new.from = said(crate::sketch::Start::Off {
            run: said("trunk 0".to_owned()),
            along: Some(said(ft(b.part * length_ft(&sketch.runs[trunk])))),
            face: None,
        });
        more.runs.push(new);
        let after = build(&more, "", "random", Catalog::builtin());
        let after = after.map_err(|d| TestCaseError::fail(format!("{:#?}", d.items)))?;
        let ids: BTreeSet<&str> = after.seams.iter().map(|s| s.id.as_str()).collect();
        for seam in &before.seams {
            prop_assert!(ids.contains(seam.id.as_str()), "{} is gone", seam.id);
        }
    }
}
