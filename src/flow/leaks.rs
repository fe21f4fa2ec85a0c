//! Leaks of a network put into groups, and the pressures that hang on flows.

use std::collections::BTreeMap;

use super::lag::{Act, Lag, LagLaw};
use super::matrix::Pattern;
use super::network::{AirRatio, Group, Leak, NONE, Zone};
use super::number::Numbering;
use super::probe::Section;
use crate::math::ln;

/// A leak before it is put into a group.
struct Loose {
    node: u32,
    zone: u32,
    stream: u32,
    leak: Leak,
}

impl Numbering<'_> {
    /// Zones, and leaks grouped by node, zone and stream.
    #[allow(clippy::type_complexity)] // the four lists of a network that belong together
    pub(super) fn leaks(
        &self,
        number: &[u32],
        free: usize,
        pattern: &Pattern,
        branch_of: &[u32],
        streams: &mut Streams,
    ) -> (Vec<AirRatio>, Vec<Zone>, Vec<Group>, Vec<Leak>) {
        let given = self.given;
        let mut airs = vec![AirRatio::of(given.air)];
        let mut zones = Zones::default();
        let mut all: Vec<Loose> = Vec::new();
        for (index, seam) in given.seams.iter().enumerate() {
            let Some(seam) = seam else { continue };
            let ratio = AirRatio::of(seam.air);
            let air = airs.iter().position(|a| *a == ratio).unwrap_or_else(|| {
                airs.push(ratio);
                airs.len() - 1
            });
            let zone = Zone {
                house_share: seam.at.house_share,
                fixed_pa: seam.at.fixed_pa,
                node: seam.zone.map_or(NONE, |zone| number[self.root[zone.0]]),
            };
            all.push(Loose {
                node: number[self.root[seam.at.node.0]],
                zone: zones.index(zone),
                stream: seam.stream.map_or(NONE, |s| streams.index(s, branch_of)),
                leak: Leak {
                    seam: index as u32,
                    ln_part: ln(seam.at.part),
                    mask: (0.0, 0.5),
                    air: air as u32,
                },
            });
        }
        for mask in &given.masks {
            let zone = Zone {
                house_share: mask.house_share,
                fixed_pa: 0.0,
                node: mask.zone.map_or(NONE, |zone| number[self.root[zone.0]]),
            };
            all.push(Loose {
                node: number[self.root[mask.node.0]],
                zone: zones.index(zone),
                stream: NONE,
                leak: Leak {
                    seam: NONE,
                    ln_part: 0.0,
                    mask: (ln(mask.q25), mask.n),
                    air: 0,
                },
            });
        }
        // A leak between two nodes that are one moves no air.
        all.retain(|loose| loose.node != zones.list[loose.zone as usize].node);
        all.sort_by_key(|loose| (loose.node, loose.zone, loose.stream));
        let mut groups: Vec<Group> = Vec::new();
        let mut last = (NONE, NONE, NONE);
        for (at, loose) in all.iter().enumerate() {
            let key = (loose.node, loose.zone, loose.stream);
            if let Some(group) = groups.last_mut().filter(|_| key == last) {
                group.end += 1;
                continue;
            }
            last = key;
            let zone_node = zones.list[loose.zone as usize].node;
            let inner = zone_node != NONE && (loose.node.max(zone_node) as usize) < free;
            if loose.stream != NONE {
                let act = Act::Group(groups.len() as u32);
                streams.list[loose.stream as usize].1.push(act);
            }
            groups.push(Group {
                node: loose.node,
                zone: loose.zone,
                zone_node,
                slot: if inner {
                    pattern.slot(loose.node, zone_node)
                } else {
                    NONE
                },
                start: at as u32,
                end: at as u32 + 1,
            });
        }
        let leaks = all.into_iter().map(|loose| loose.leak).collect();
        (airs, zones.list, groups, leaks)
    }

    /// Velocity pressures at leaks and the tap, and losses at takeoffs.
    pub(super) fn lags(&self, mut streams: Streams, branch_of: &[u32]) -> Vec<Lag> {
        if let Some(stream) = self.given.tap_stream {
            let at = streams.index(stream, branch_of);
            if at != NONE {
                streams.list[at as usize].1.push(Act::Tap);
            }
        }
        let mut lags: Vec<Lag> = streams
            .list
            .into_iter()
            .filter(|(_, acts)| !acts.is_empty())
            .map(|((branch, factor), acts)| Lag {
                law: LagLaw::Velocity { branch, factor },
                acts,
            })
            .collect();
        for takeoff in &self.given.takeoffs {
            let (branch, common) = (branch_of[takeoff.branch.0], branch_of[takeoff.common.0]);
            if branch == NONE || common == NONE {
                continue;
            }
            let legs = [(false, Some(takeoff.branch)), (true, takeoff.straight)];
            for (straight, leg) in legs {
                let Some(leg) = leg.map(|leg| branch_of[leg.0]).filter(|&leg| leg != NONE) else {
                    continue;
                };
                lags.push(Lag {
                    law: LagLaw::Leg {
                        law: takeoff.law,
                        straight,
                        branch,
                        common,
                        sign: if takeoff.against { -1.0 } else { 1.0 },
                    },
                    acts: vec![Act::Branch(leg)],
                });
            }
        }
        lags
    }
}

/// Zones without repetition.
#[derive(Default)]
struct Zones {
    list: Vec<Zone>,
    seen: BTreeMap<(u64, u64, u32), u32>,
}

impl Zones {
    fn index(&mut self, zone: Zone) -> u32 {
        let key = if zone.node == NONE {
            (
                (zone.house_share + 0.0).to_bits(),
                (zone.fixed_pa + 0.0).to_bits(),
                NONE,
            )
        } else {
            (0, 0, zone.node)
        };
        *self.seen.entry(key).or_insert_with(|| {
            self.list.push(zone);
            self.list.len() as u32 - 1
        })
    }
}

/// Streams without repetition, each with what its velocity pressure acts on.
#[derive(Default)]
pub(super) struct Streams {
    list: Vec<((u32, f64), Vec<Act>)>,
    seen: BTreeMap<(u32, u64), u32>,
}

impl Streams {
    /// `NONE` for a stream in a branch that is no part of the network: nothing moves there.
    fn index(&mut self, stream: Section, branch_of: &[u32]) -> u32 {
        let branch = branch_of[stream.branch.0];
        if branch == NONE {
            return NONE;
        }
        let factor = stream.factor();
        let list = &mut self.list;
        *self
            .seen
            .entry((branch, factor.to_bits()))
            .or_insert_with(|| {
                list.push(((branch, factor), Vec::new()));
                list.len() as u32 - 1
            })
    }
}
