//! How a crew seals here: from what the sketch says and the catalogue's methods to the ways of every seam.

use std::collections::BTreeMap;

use petgraph::Undirected;
use petgraph::algo::dijkstra;
use petgraph::graph::NodeIndex;

use super::crew::{Crew, SealMethod, Way};
use super::groups::Seams;
use super::notes::{Notes, SAID, source_words};
use super::places::Places;
use super::shape;
use super::types::{Piece, PlaceIdx, Reach, Seam, SeamAt, SeamIdx, SeamRole, System};
use crate::catalog::{Basis, Catalog, MethodRow, ServeRow};
use crate::sketch::{self, Diagnostic, OwnMethod, Span};

/// Length of a joint that is counted by the piece and whose section is not known, m. Engineering estimate.
const UNKNOWN_JOINT_M: f64 = 0.5;

/// What the sketch says of the crew, its seams and places found.
pub(super) struct CrewDraft<'a> {
    said: &'a sketch::Crew,
    leave: Vec<SeamIdx>,
    set_up: Vec<(PlaceIdx, f64)>,
}

/// Resolves what the sketch says of the crew; what makes no sense is noted.
pub(super) fn resolve_crew<'a>(
    said: &'a sketch::Crew,
    seams: &Seams,
    places: &mut Places,
    notes: &mut Notes,
) -> CrewDraft<'a> {
    let mut leave: Vec<SeamIdx> = said
        .leave
        .iter()
        .filter_map(|words| seams.find(words, places, notes))
        .flat_map(|found| found.seams)
        .collect();
    leave.sort_unstable();
    leave.dedup();

    let mut set_up = Vec::new();
    let mut first_at: BTreeMap<PlaceIdx, Span> = BTreeMap::new();
    for one in &said.set_up {
        let Some(place) = places.in_use(&one.place, notes) else {
            continue;
        };
        if let Some(first) = first_at.insert(place, one.place.at) {
            notes.wrong(
                Diagnostic::new(
                    "E0260",
                    one.place.at,
                    format!("the set-up of `{}` stands twice", places.name(place)),
                )
                .label("the same place")
                .also(first, "first here")
                .hint("keep one of them"),
            );
        }
        set_up.push((place, one.minutes.value));
    }
    for own in &said.methods {
        if let Some(row) = row_of(seams.book.catalog, own) {
            check(said, own, row, notes);
        }
    }
    CrewDraft {
        said,
        leave,
        set_up,
    }
}

/// The row that a method of the sketch is about.
fn row_of<'c>(catalog: &'c Catalog, own: &OwnMethod) -> Option<&'c MethodRow> {
    catalog.method(&own.method.replace(' ', "-"))
}

/// Whether what is said of a method agrees with itself and with the method.
fn check(said: &sketch::Crew, own: &OwnMethod, row: &MethodRow, notes: &mut Notes) {
    let method = own.method;
    if row.from_inside {
        match &said.from_inside {
            Some(offered) if !offered.value && own.is_used => notes.wrong(
                Diagnostic::new(
                    "E0261",
                    own.at,
                    format!("`{method}` is described, but sealing from inside is not offered"),
                )
                .label("described here")
                .also(offered.at, "not offered")
                .hint(format!("write `from inside: yes`, or take `{method}` out")),
            ),
            Some(offered) if offered.value && !own.is_used => notes.wrong(
                Diagnostic::new(
                    "E0261",
                    own.at,
                    format!("sealing from inside is offered, but `{method}` is not used"),
                )
                .label("not used")
                .also(offered.at, "offered")
                .hint(format!("take `{method}` out, or write `from inside: no`")),
            ),
            None if own.is_used => notes.warn(
                "from-inside-not-offered",
                format!(
                    "the crew describes `{method}`, but does not say `from inside: yes`: it is not used"
                ),
            ),
            _ => {}
        }
    }
    if let Some(price) = &own.price
        && !row.counts_material()
    {
        notes.wrong(
            Diagnostic::new(
                "E0262",
                price.at,
                format!(
                    "`{method}` uses no material that is counted: a price of one unit means nothing"
                ),
            )
            .label("price of what?")
            .hint("write `price once`: money to set it up once on a job"),
        );
    }
}

impl CrewDraft<'_> {
    /// The crew of the whole system; seams are counted as where [`resolve_crew`] found them, later ones after them.
    pub fn settle(&self, system: &System, catalog: &Catalog) -> Crew {
        let from_inside = self.said.from_inside.as_ref().is_some_and(|yes| yes.value);
        let own = |row: &MethodRow| {
            let mut all = self.said.methods.iter();
            all.find(|own| own.method.replace(' ', "-") == row.id)
        };
        let rows: Vec<&MethodRow> = catalog
            .methods()
            .iter()
            .filter(|row| own(row).is_none_or(|own| own.is_used))
            .collect();
        let methods: Vec<SealMethod> = rows.iter().map(|row| method(row, own(row))).collect();
        let builder = Ways::new(system, catalog, (&rows, &methods), from_inside);
        let mut ways = Vec::with_capacity(system.seams.len());
        let mut left = Vec::with_capacity(system.seams.len());
        for (i, seam) in system.seams.iter().enumerate() {
            let (of_seam, why) = if self.leave.binary_search(&i).is_ok() {
                (Vec::new(), Some("left, as the sketch says".to_owned()))
            } else {
                builder.of(seam)
            };
            ways.push(of_seam);
            left.push(why);
        }
        let minutes = |task: &str| system.task(task).map_or(0.0, |task| task.minutes);
        let mut place_minutes = vec![minutes("place-set-up"); system.places.len()];
        for &(place, minutes) in &self.set_up {
            place_minutes[place] = minutes;
        }
        Crew {
            methods,
            ways,
            left,
            place_minutes,
            place_minutes_source: self.set_up_source(system),
            reattach_minutes: minutes("reattach"),
            money_per_hour: self.said.hour,
            money_per_visit: self.said.visit,
            currency: self
                .said
                .currency
                .as_ref()
                .map_or(String::new(), |word| word.value.clone()),
            from_inside,
        }
    }

    fn set_up_source(&self, system: &System) -> String {
        let usual = system
            .task("place-set-up")
            .map_or(String::new(), |task| task.source.clone());
        let said: Vec<&str> = self
            .set_up
            .iter()
            .map(|&(place, _)| system.places[place].name.as_str())
            .collect();
        match said.len() {
            0 => usual,
            n if n == system.places.len() => SAID.to_owned(),
            _ => format!("{SAID} for {}; the rest: {usual}", said.join(", ")),
        }
    }
}

/// A method of the catalogue with the person's own figures laid over.
fn method(row: &MethodRow, own: Option<&OwnMethod>) -> SealMethod {
    let own = own.cloned().unwrap_or_default();
    let given = own.given();
    let usual = source_words(&row.source);
    let source = if given.is_empty() {
        usual
    } else {
        format!("{SAID}: {}; the rest: {usual}", given.join(", "))
    };
    SealMethod {
        id: row.id.clone(),
        words: row.words.clone(),
        from_inside: row.from_inside,
        gap_to_m: own.gap_to_m.unwrap_or(row.gap_to_m),
        beyond_m: row.beyond_m,
        remains: own.remains.unwrap_or(row.remains),
        remains_own_gsd: row.remains_own_gsd,
        remains_shared_gsd: row.remains_shared_gsd,
        missed: own.missed.unwrap_or(row.missed),
        missed_shared_gsd: row.missed_shared_gsd,
        minutes_each: own.minutes_each.unwrap_or(row.minutes_each),
        minutes_per_m: own.minutes_per_m.unwrap_or(row.minutes_per_m),
        minutes_once: own.minutes_once.unwrap_or(row.minutes_once),
        material: row.material.clone(),
        unit: row.unit.clone(),
        material_each: row.material_each,
        material_per_m: row.material_per_m,
        money_per_unit: own.price.map(|price| price.value),
        money_once: own.price_once,
        cure_h: own.cure_h.unwrap_or(row.cure_h),
        source,
    }
}

/// What the ways of a seam hang on.
struct Ways<'s> {
    rows: &'s [&'s MethodRow],
    methods: &'s [SealMethod],
    served: BTreeMap<&'s str, &'s ServeRow>,
    pieces: BTreeMap<&'s str, &'s Piece>,
    /// By junction; `None` where no duct leads.
    from_unit_m: Vec<Option<f64>>,
    system: &'s System,
    bare_minutes: f64,
    from_inside: bool,
}

impl<'s> Ways<'s> {
    fn new(
        system: &'s System,
        catalog: &'s Catalog,
        (rows, methods): (&'s [&'s MethodRow], &'s [SealMethod]),
        from_inside: bool,
    ) -> Self {
        let lengths = system
            .graph
            .map(|_, _| (), |_, piece| piece.length_m)
            .into_edge_type::<Undirected>();
        let start = system.unit.supply_plenum;
        // The unit's own pieces have no length, so this counts from both plenums.
        let found = dijkstra(&lengths, start, None, |edge| *edge.weight());
        Ways {
            rows,
            methods,
            served: catalog
                .joints()
                .iter()
                .filter_map(|joint| Some((joint.id.as_str(), catalog.served(joint)?)))
                .collect(),
            pieces: system
                .graph
                .edge_weights()
                .map(|piece| (piece.id.as_str(), piece))
                .collect(),
            from_unit_m: system
                .graph
                .node_indices()
                .map(|node| found.get(&node).copied())
                .collect(),
            system,
            bare_minutes: system
                .task("bare-insulation")
                .map_or(0.0, |task| task.minutes),
            from_inside,
        }
    }

    /// The ways of a seam, best suited first, and why nobody seals it here, if so. Ways from inside stand there whether
    /// they are offered or not, so that it can be said what they would take away.
    fn of(&self, seam: &Seam) -> (Vec<Way>, Option<String>) {
        let Some(served) = self.served.get(seam.joint_type.as_str()) else {
            return (Vec::new(), Some("no method is known for it".to_owned()));
        };
        if seam.role == SeamRole::Unsketched || served.methods.is_empty() {
            return (Vec::new(), Some("nobody knows where it is".to_owned()));
        }
        let ways: Vec<Way> = served
            .methods
            .iter()
            .filter_map(|id| self.methods.iter().position(|method| method.id == *id))
            .filter(|&i| self.can(seam, served, &self.methods[i]))
            .map(|i| self.way(seam, served, i))
            .collect();
        let serves = |way: &Way| self.from_inside || !self.methods[way.method].from_inside;
        let why = (!ways.iter().any(serves)).then(|| {
            match seam.reach {
                Reach::BehindFinish => "behind finish",
                Reach::None => "out of reach",
                Reach::Open | Reach::UnderInsulation => "no method used here serves it",
            }
            .to_owned()
        });
        (ways, why)
    }

    /// Whether a method that serves the joint type can be used where this seam is.
    fn can(&self, seam: &Seam, served: &ServeRow, method: &SealMethod) -> bool {
        if method.from_inside {
            // Cabinet, coil and filter slot are kept out, and a boot's gap lies behind the plug in its throat.
            return seam.role == SeamRole::Duct;
        }
        // With the register off a boot's gap is reached from the room, whatever covers the boot.
        let in_reach =
            served.from_room || matches!(seam.reach, Reach::Open | Reach::UnderInsulation);
        in_reach && (method.beyond_m <= 0.0 || self.distance(seam) > method.beyond_m)
    }

    /// How far from the nearer plenum a seam lies along the ducts, m.
    fn distance(&self, seam: &Seam) -> f64 {
        let of = |node: NodeIndex| self.from_unit_m.get(node.index()).copied().flatten();
        match seam.at {
            SeamAt::Junction(node) => of(node).unwrap_or(0.0),
            SeamAt::Piece(edge, along) => {
                let graph = &self.system.graph;
                let Some((tail, head)) = graph.edge_endpoints(edge) else {
                    return 0.0;
                };
                let length = graph[edge].length_m;
                let from = |node, part: f64| of(node).map(|d| d + part * length);
                let both = [from(tail, along), from(head, 1.0 - along)];
                let nearer = both.into_iter().flatten().min_by(f64::total_cmp);
                nearer.unwrap_or(0.0)
            }
        }
    }

    fn way(&self, seam: &Seam, served: &ServeRow, i: usize) -> Way {
        let by_hand = !self.methods[i].from_inside;
        let is_fastened = by_hand && !served.fasten.is_empty();
        let is_bared = by_hand
            && !served.from_room
            && !self.rows[i].bares
            && seam.reach == Reach::UnderInsulation;
        Way {
            method: i,
            fasten: is_fastened.then(|| served.fasten.clone()),
            fasten_minutes: if is_fastened {
                served.fasten_minutes
            } else {
                0.0
            },
            bare_minutes: if is_bared { self.bare_minutes } else { 0.0 },
            joint_m: self.joint_m(seam, served),
            from_room: by_hand && served.from_room,
            caution: served.caution.clone(),
        }
    }

    /// Metres of joint that are covered: as counted, as the table has it, or once round the section.
    fn joint_m(&self, seam: &Seam, served: &ServeRow) -> f64 {
        let of_one = match (served.metres, seam.basis) {
            (Some(metres), _) => metres,
            (None, Basis::PerMetre) => 1.0,
            (None, Basis::Each) => self
                .pieces
                .get(seam.piece.as_str())
                .map_or(UNKNOWN_JOINT_M, |piece| shape::perimeter(&piece.section)),
        };
        seam.amount * of_one
    }
}

#[cfg(test)]
#[path = "crew_tests.rs"]
mod tests;
