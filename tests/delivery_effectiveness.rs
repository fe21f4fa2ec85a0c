//! The equations of delivery, held against a heat balance written from first principles, and against worked values.
//!
//! The balance follows the air round the system with temperatures in kelvin and heat in watts: what leaves the rooms,
//! what the return ducts lose, what they draw, what the equipment adds, what the supply ducts lose and leak. It shares
//! no algebra with the closed forms.

use ductseam::effects::{
    CP, Ducts, combined_infiltration_m3_s, conduction_factor, degree_day_energy_j,
    delivery_effectiveness, delivery_effectiveness_by_enthalpy, expansion_valve_factor,
    load_factor, with_regain,
};
use rand::{RngExt, SeedableRng};
use rand_pcg::Pcg64;

/// A made-up system in watts and kelvin.
#[derive(Debug, Clone, Copy)]
struct House {
    indoors_k: f64,
    round_supply_k: f64,
    round_return_k: f64,
    drawn_k: f64,
    mass_kg_s: f64,
    capacity_w: f64,
    supply_leak: f64,
    return_leak: f64,
    supply_ua: f64,
    return_ua: f64,
}

impl House {
    fn invent(rng: &mut Pcg64) -> House {
        let mut between = |low: f64, high: f64| low + (high - low) * rng.random::<f64>();
        let cooling = between(0.0, 1.0) < 0.5;
        let indoors_k = between(290.0, 300.0);
        let out = |between: &mut dyn FnMut(f64, f64) -> f64| {
            if cooling {
                indoors_k + between(-3.0, 30.0)
            } else {
                indoors_k - between(-3.0, 40.0)
            }
        };
        let mass_kg_s = between(0.2, 2.0);
        let rise = if cooling {
            between(-16.0, -8.0)
        } else {
            between(15.0, 40.0)
        };
        House {
            indoors_k,
            round_supply_k: out(&mut between),
            round_return_k: out(&mut between),
            drawn_k: out(&mut between),
            mass_kg_s,
            capacity_w: rise * mass_kg_s * CP,
            supply_leak: between(0.0, 0.4),
            return_leak: between(0.0, 0.4),
            supply_ua: between(0.0, 120.0),
            return_ua: between(0.0, 60.0),
        }
    }

    /// Air that goes through a duct of `ua` from end to end by small steps, K: no exponential is used.
    fn through(k: f64, round_k: f64, ua: f64, mass_kg_s: f64) -> f64 {
        const STEPS: usize = 4000;
        let each = ua / STEPS as f64 / (mass_kg_s * CP);
        // Midpoint rule: the loss of a step at its own mean temperature.
        (0..STEPS).fold(k, |k, _| {
            let excess = k - round_k;
            k - each * excess / (1.0 + 0.5 * each)
        })
    }

    /// Heat that the rooms get from the supply air less what was in it at room temperature, over the capacity.
    fn delivered(&self) -> f64 {
        let whole = self.mass_kg_s;
        let from_rooms = whole * (1.0 - self.return_leak);
        let drawn = whole * self.return_leak;
        let at_return = Self::through(self.indoors_k, self.round_return_k, self.return_ua, whole);
        let mixed_k = (from_rooms * at_return + drawn * self.drawn_k) / whole;
        let plenum_k = mixed_k + self.capacity_w / (whole * CP);
        let at_register = Self::through(plenum_k, self.round_supply_k, self.supply_ua, whole);
        let blown = whole * (1.0 - self.supply_leak);
        blown * CP * (at_register - self.indoors_k) / self.capacity_w
    }

    fn ducts(&self) -> Ducts {
        Ducts {
            a_s: 1.0 - self.supply_leak,
            a_r: 1.0 - self.return_leak,
            b_s: conduction_factor(self.supply_ua, self.mass_kg_s),
            b_r: conduction_factor(self.return_ua, self.mass_kg_s),
            rise_k: self.capacity_w / (self.mass_kg_s * CP),
            supply_k: self.indoors_k - self.round_supply_k,
            return_k: self.indoors_k - self.round_return_k,
            drawn_k: self.indoors_k - self.drawn_k,
        }
    }
}

/// Rounding of the stepped ducts: 4000 midpoint steps are good to (UA/ṁc)²/(12·4000²), below 1e-8.
const STEPPED: f64 = 1e-7;

#[test]
fn the_closed_form_is_the_heat_balance() {
    let mut rng = Pcg64::seed_from_u64(152);
    for _ in 0..2000 {
        let house = House::invent(&mut rng);
        let (ours, balance) = (delivery_effectiveness(&house.ducts()), house.delivered());
        assert!(
            (ours - balance).abs() < STEPPED * (1.0 + balance.abs()),
            "{ours} against {balance} of {house:?}"
        );
    }
}

#[test]
fn without_moisture_the_enthalpy_form_is_the_sensible_one() {
    let mut rng = Pcg64::seed_from_u64(7);
    for _ in 0..2000 {
        let house = House::invent(&mut rng);
        let ducts = house.ducts();
        let plenum_k = house.indoors_k - ducts.return_loss_k() + ducts.rise_k;
        let by_enthalpy = delivery_effectiveness_by_enthalpy(
            &ducts,
            CP * (house.drawn_k - house.indoors_k),
            plenum_k - house.round_supply_k,
        );
        let sensible = delivery_effectiveness(&ducts);
        assert!((by_enthalpy - sensible).abs() < 1e-12 * (1.0 + sensible.abs()));
    }
}

#[test]
fn moist_air_drawn_by_a_return_leak_lowers_what_cooling_delivers() {
    let ducts = Ducts {
        a_s: 1.0,
        a_r: 0.9,
        b_s: 1.0,
        b_r: 1.0,
        rise_k: -12.0,
        supply_k: 0.0,
        return_k: 0.0,
        drawn_k: 0.0,
    };
    // By hand: 10 % of air with 12072 J/kg more than indoors undoes a tenth of the 12072 J/kg of the coil.
    let found = delivery_effectiveness_by_enthalpy(&ducts, 12.0 * CP, 0.0);
    assert!((found - 0.9).abs() < 1e-12);
}

fn worked(leak: f64) -> Ducts {
    // ρ 1.2 kg/m³, 0.5 m³/s, surfaces of 40 and 10 m², 0.7 m²K/W, 20 K round the ducts, 28 K over the equipment.
    let mass = 1.2 * 0.5;
    Ducts {
        a_s: 1.0 - leak,
        a_r: 1.0 - leak,
        b_s: conduction_factor(40.0 / 0.7, mass),
        b_r: conduction_factor(10.0 / 0.7, mass),
        rise_k: 28.0,
        supply_k: 20.0,
        return_k: 20.0,
        drawn_k: 20.0,
    }
}

#[test]
fn the_worked_case_comes_out_to_four_digits() {
    // Calculated apart from this program: B_s 0.9097, B_r 0.9766; 0.6765 at leaks of 11 %, 0.7866 at 3 %; 14.0 % saved.
    let (before, after) = (worked(0.11), worked(0.03));
    for (found, expected) in [
        (before.b_s, 0.9097),
        (before.b_r, 0.9766),
        (delivery_effectiveness(&before), 0.6765),
        (delivery_effectiveness(&after), 0.7866),
    ] {
        assert!((found - expected).abs() < 5.1e-5, "{found} {expected}");
    }
    let saved = 1.0 - delivery_effectiveness(&before) / delivery_effectiveness(&after);
    assert!((saved - 0.140).abs() < 5e-4, "{saved}");
}

#[test]
fn limits_come_out_by_hand() {
    let tight = Ducts {
        a_s: 1.0,
        a_r: 1.0,
        b_s: 1.0,
        b_r: 1.0,
        rise_k: 30.0,
        supply_k: 15.0,
        return_k: 15.0,
        drawn_k: 15.0,
    };
    let off = |ducts: Ducts, expected: f64| (delivery_effectiveness(&ducts) - expected).abs();
    assert!(off(tight, 1.0) < 1e-15);
    // A supply leak of a tenth alone.
    let supply = Ducts {
        a_s: 0.9,
        drawn_k: 0.0,
        return_k: 0.0,
        ..tight
    };
    assert!(off(supply, 0.9) < 1e-15);
    // A return leak of a tenth alone, half the rise colder than the rooms.
    let back = Ducts { a_r: 0.9, ..tight };
    assert!(off(back, 0.95) < 1e-15);
    // exp(−0.1) = 0.9048.
    assert!((conduction_factor(0.1 * CP, 1.0) - 0.9048).abs() < 5e-5);
}

#[test]
fn regain_of_everything_gives_back_all_but_what_return_leaks_draw() {
    let mut rng = Pcg64::seed_from_u64(3);
    for _ in 0..500 {
        let mut house = House::invent(&mut rng);
        house.drawn_k = house.round_return_k;
        let (leaky, mut tight) = (house.ducts(), house.ducts());
        tight.a_r = 1.0;
        let delivery = delivery_effectiveness(&tight);
        assert!((with_regain(&tight, delivery, 1.0, 1.0) - 1.0).abs() < 1e-12);
        // The published form with one temperature round the return ducts.
        let (f_s, f_r) = (0.3, 0.6);
        let delivery = delivery_effectiveness(&leaky);
        let Ducts {
            a_r,
            b_r,
            return_k,
            rise_k,
            ..
        } = leaky;
        let published = delivery + f_s * (1.0 - delivery)
            - (f_s - f_r - b_r * (a_r * f_s - f_r)) * return_k / rise_k;
        let ours = with_regain(&leaky, delivery, f_s, f_r);
        assert!((ours - published).abs() < 1e-12 * (1.0 + published.abs()));
        assert!((with_regain(&leaky, delivery, 0.0, 0.0) - delivery).abs() < 1e-15);
    }
}

#[test]
fn more_leakage_never_delivers_more_heat() {
    // True where the surroundings are colder than the rooms, and the supply air warmer: heating.
    let mut rng = Pcg64::seed_from_u64(11);
    let mut seen = 0;
    while seen < 1000 {
        let house = House::invent(&mut rng);
        let coldest = [house.round_supply_k, house.round_return_k, house.drawn_k];
        if house.capacity_w < 0.0 || coldest.iter().any(|k| *k >= house.indoors_k) {
            continue;
        }
        // Leaks that draw colder air than the surface loses to; else a leak may warm the return.
        let house = House {
            drawn_k: house.drawn_k.min(house.round_return_k),
            ..house
        };
        let now = delivery_effectiveness(&house.ducts());
        if now <= 0.0 {
            continue;
        }
        seen += 1;
        for worse in [
            House {
                supply_leak: house.supply_leak + 0.05,
                ..house
            },
            House {
                return_leak: house.return_leak + 0.05,
                ..house
            },
        ] {
            let then = delivery_effectiveness(&worse.ducts());
            assert!(then <= now + 1e-12, "{then} after {now} of {house:?}");
        }
    }
}

#[test]
fn infiltration_combines_as_published() {
    // 400 m³ at 0.35 air changes an hour: 0.0389 m³/s; 0.030 m³/s out of balance. Calculated apart from this program.
    let natural = 0.0389;
    for (unbalanced, expected) in [(0.030, 0.0541), (-0.030, 0.0179), (-0.0390, 0.0)] {
        let found = combined_infiltration_m3_s(natural, unbalanced);
        assert!((found - expected).abs() < 5.1e-5, "{found} {expected}");
    }
    let mut last = 0.0;
    for step in -60..60 {
        let found = combined_infiltration_m3_s(natural, f64::from(step) * 1e-3);
        assert!(found >= last);
        last = found;
    }
}

#[test]
fn factors_come_out_by_hand() {
    assert!((expansion_valve_factor(1.0) - 1.0).abs() < 1e-12);
    // 1.62 − 0.558 + 0.647·ln 0.9 = 0.9938.
    assert!((expansion_valve_factor(0.9) - 0.9938).abs() < 5e-5);
    // 0.01 m³/s of air 20 K colder takes 1.204·1006·0.01·20 = 242.2 W; 2.422 % of 10 kW.
    assert!((load_factor(20.0, 0.01, 10_000.0) - 0.975_775).abs() < 1e-6);
    assert!((load_factor(-8.0, 0.01, -10_000.0) - (1.0 - 0.009_69)).abs() < 1e-5);
    // 200 W/K over 3000 K·day at 80 % and 75 %: 24·200·3000/1000/0.6 = 24 000 kWh.
    let found = degree_day_energy_j(200.0, 3000.0 * 86_400.0, 0.8, 0.75);
    assert!((found / 3.6e6 - 24_000.0).abs() < 1e-6);
}
