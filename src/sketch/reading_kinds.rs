//! The kinds of reading: which key says which, and what value it takes.

use super::limits::{self, Bounds};
use super::span::Marked;
use super::types::ReadingKind;

/// What a kind of reading takes.
#[derive(Debug, Clone, Copy)]
pub(super) enum Takes {
    /// A flow.
    Flow(&'static Bounds),
    /// A pressure.
    Pressure(&'static Bounds),
}

/// One kind of reading as written.
#[derive(Debug, Clone, Copy)]
pub(super) struct ReadingForm {
    /// Its key.
    pub key: &'static str,
    /// Its value.
    pub takes: Takes,
    /// Whether a test fan holds a pressure meanwhile, which `at` says.
    pub held: bool,
}

const fn flow(key: &'static str, bounds: &'static Bounds, held: bool) -> ReadingForm {
    ReadingForm {
        key,
        takes: Takes::Flow(bounds),
        held,
    }
}

const fn pressure(key: &'static str, bounds: &'static Bounds, held: bool) -> ReadingForm {
    ReadingForm {
        key,
        takes: Takes::Pressure(bounds),
        held,
    }
}

/// All kinds, in the order in which they are listed.
pub(super) static FORMS: [ReadingForm; 20] = [
    flow("total", &limits::LEAKAGE, true),
    flow("to outside", &limits::LEAKAGE, true),
    flow("supply", &limits::LEAKAGE, true),
    flow("return", &limits::LEAKAGE, true),
    flow("isolated", &limits::LEAKAGE, true),
    flow("guarded supply", &limits::LEAKAGE, true),
    flow("guarded return", &limits::LEAKAGE, true),
    flow("rough-in", &limits::LEAKAGE, true),
    pressure("pan", &limits::PAN, true),
    flow("house fan open", &limits::AIRFLOW, true),
    flow("house fan masked", &limits::AIRFLOW, true),
    flow("register flow", &limits::AIRFLOW, false),
    flow("airflow", &limits::AIRFLOW, false),
    pressure("supply static", &limits::STATIC, false),
    pressure("return static", &limits::RETURN_STATIC, false),
    pressure("static rise", &limits::STATIC, false),
    pressure("room pressure", &limits::SPACE, false),
    pressure("place pressure", &limits::SPACE, true),
    pressure("house pressure", &limits::SPACE, false),
    flow("nulling flow", &limits::NULLING, false),
];

/// Names that some kinds need.
#[derive(Debug, Default)]
pub(super) struct Names {
    pub run: Option<Marked<String>>,
    pub room: Option<Marked<String>>,
    pub place: Option<Marked<String>>,
}

/// The kind of a key of [`FORMS`]; `None` where the name that it needs is missing, which is noted elsewhere.
pub(super) fn kind_of(key: &str, names: Names) -> Option<ReadingKind> {
    Some(match key {
        "total" => ReadingKind::Total,
        "to outside" => ReadingKind::ToOutside,
        "supply" => ReadingKind::Supply,
        "return" => ReadingKind::Return,
        "isolated" => ReadingKind::Isolated { run: names.run? },
        "guarded supply" => ReadingKind::GuardedSupply,
        "guarded return" => ReadingKind::GuardedReturn,
        "rough-in" => ReadingKind::RoughIn,
        "pan" => ReadingKind::Pan { run: names.run? },
        "house fan open" => ReadingKind::HouseFanOpen,
        "house fan masked" => ReadingKind::HouseFanMasked,
        "register flow" => ReadingKind::RegisterFlow { run: names.run? },
        "airflow" => ReadingKind::Airflow,
        "supply static" => ReadingKind::SupplyStatic,
        "return static" => ReadingKind::ReturnStatic,
        "static rise" => ReadingKind::StaticRise,
        "room pressure" => ReadingKind::RoomPressure { room: names.room? },
        "place pressure" => ReadingKind::PlacePressure {
            place: names.place?,
        },
        "house pressure" => ReadingKind::HousePressure,
        "nulling flow" => ReadingKind::NullingFlow,
        _ => return None,
    })
}

#[cfg(test)]
mod tests {
    use super::super::tables::READING;
    use super::*;

    #[test]
    fn every_key_that_says_a_kind_has_its_form_and_its_kind() {
        let keys: Vec<&str> = FORMS.iter().map(|form| form.key).collect();
        assert_eq!(keys, READING.one_of);
        for key in keys {
            assert!(READING.fields.iter().any(|field| field.key == key), "{key}");
            let name = || Some(Marked::new("x".to_owned(), Default::default()));
            let names = Names {
                run: name(),
                room: name(),
                place: name(),
            };
            assert!(kind_of(key, names).is_some(), "{key}");
        }
    }
}
