//! Zones that natural draft hangs on.

use crate::flow::FlowState;
use crate::system::{Draft, PlaceIdx, System};

/// The zone that stands lowest of those that natural draft may hang on.
#[derive(Debug, Clone, PartialEq)]
pub struct LowestZone {
    /// Its name, as a sentence begins: `` `basement` ``, `The house`.
    pub name: String,
    /// Its pressure against outdoors, Pa.
    pub pa: f64,
    /// The appliances with natural draft and where they stand.
    pub appliances: String,
}

/// The lowest pressure against outdoors of any zone that natural draft may hang on: the places of such appliances, the
/// house, closed rooms. `None` without such an appliance.
#[must_use]
pub fn lowest_zone(system: &System, state: &FlowState) -> Option<LowestZone> {
    let natural: Vec<_> = system
        .combustion
        .iter()
        .filter(|appliance| appliance.draft == Draft::Natural)
        .collect();
    let first = natural.first()?;
    let of_place = |place: PlaceIdx| state.place_pa(system, place);
    let zone_name = |place: PlaceIdx| format!("`{}`", system.places[place].name);
    let mut lowest = (zone_name(first.place), of_place(first.place));
    let mut look = |name: String, pa: f64| {
        if pa < lowest.1 {
            lowest = (name, pa);
        }
    };
    for appliance in &natural {
        look(zone_name(appliance.place), of_place(appliance.place));
    }
    look("The house".to_owned(), state.house_pa);
    for (room, state) in system.rooms.iter().zip(&state.rooms) {
        if state.apart {
            look(
                format!("`{}` with its door closed", room.name),
                state.pressure_pa,
            );
        }
    }
    let appliances: Vec<String> = natural
        .iter()
        .map(|a| format!("{} ({})", a.name, system.places[a.place].name))
        .collect();
    Some(LowestZone {
        name: lowest.0,
        pa: lowest.1,
        appliances: appliances.join(", "),
    })
}
