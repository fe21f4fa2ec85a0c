//! Figures without their unit, and the unit for the head of their column.

use crate::allocate::Band;
use crate::quantity::{Area, Flow, Length, UnitSystem, significant};
use crate::system::Observable;

/// The unit of flows.
pub fn flow_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "cfm",
        UnitSystem::Si => "L/s",
    }
}

/// The unit of lengths.
pub fn length_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "ft",
        UnitSystem::Si => "m",
    }
}

/// The unit of areas.
pub fn area_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "ft2",
        UnitSystem::Si => "m2",
    }
}

/// The unit of openings that stand open.
pub fn opening_unit(units: UnitSystem) -> &'static str {
    match units {
        UnitSystem::Ip => "in2",
        UnitSystem::Si => "cm2",
    }
}

/// A flow in [`flow_unit`].
pub fn flow(m3_s: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Flow::new(m3_s).to_cfm(),
        UnitSystem::Si => Flow::new(m3_s).to_litres_s(),
    }
}

/// A length in [`length_unit`].
pub fn length(m: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Length::new(m).to_ft(),
        UnitSystem::Si => m,
    }
}

/// The width of a gap with its unit, millimetres or inches.
pub fn gap(m: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => format!("{} in", significant(m / 0.0254, 2)),
        UnitSystem::Si => format!("{} mm", significant(1000.0 * m, 2)),
    }
}

/// An area in [`area_unit`].
pub fn area(m2: f64, units: UnitSystem) -> f64 {
    match units {
        UnitSystem::Ip => Area::new(m2).to_ft2(),
        UnitSystem::Si => m2,
    }
}

/// A number with fixed decimals, never a zero below zero, `n/a` where it is none.
pub fn number(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return "n/a".to_owned();
    }
    let shown = format!("{value:.decimals$}");
    let is_zero = shown.chars().all(|c| matches!(c, '-' | '0' | '.'));
    match shown.strip_prefix('-') {
        Some(rest) if is_zero => rest.to_owned(),
        _ => shown,
    }
}

/// Three significant digits: whole numbers from 100 on, two decimals at most.
pub fn three_digits(value: f64) -> String {
    let decimals = match value.abs() {
        size if size >= 99.95 => 0,
        size if size >= 0.995 => 1,
        _ => 2,
    };
    number(value, decimals)
}

/// A flow in [`flow_unit`], with its sign.
pub fn signed_flow(m3_s: f64, units: UnitSystem) -> String {
    three_digits(flow(m3_s, units))
}

/// A leak in [`flow_unit`]. A meter shows nothing below zero, where a modelled reading may fall when next to nothing
/// leaks and the house stands above the ducts.
pub fn leak(m3_s: f64, units: UnitSystem) -> String {
    // `max` turns what is no number into a zero, which would be a lie.
    signed_flow(if m3_s < 0.0 { 0.0 } else { m3_s }, units)
}

/// The 90 % band of a leak.
pub fn leaks(band: Band, units: UnitSystem) -> String {
    format!("{} to {}", leak(band.p05, units), leak(band.p95, units))
}

/// A value of a reading in [`reading_unit`].
pub fn of_reading(observable: Observable, value: f64, units: UnitSystem) -> String {
    match (observable, observable.unit()) {
        (Observable::FanFlow, _) => leak(value, units),
        (_, crate::system::ReadingUnit::Flow) => signed_flow(value, units),
        (_, crate::system::ReadingUnit::Pressure) => {
            let decimals = match value.abs() {
                size if size >= 99.95 => 0,
                size if size >= 9.995 => 1,
                _ => 2,
            };
            number(value, decimals)
        }
    }
}

/// The 90 % band of a reading.
pub fn band_of_reading(observable: Observable, band: Band, units: UnitSystem) -> String {
    format!(
        "{} to {}",
        of_reading(observable, band.p05, units),
        of_reading(observable, band.p95, units)
    )
}

/// The unit of a reading. Pressures stay in Pa in both systems, as the trade says test pressures.
pub fn reading_unit(observable: Observable, units: UnitSystem) -> &'static str {
    match observable.unit() {
        crate::system::ReadingUnit::Flow => flow_unit(units),
        crate::system::ReadingUnit::Pressure => "Pa",
    }
}

/// Something that stands open, in [`opening_unit`].
pub fn opening(m2: f64, units: UnitSystem) -> String {
    match units {
        UnitSystem::Ip => number(Area::new(m2).to_in2(), 1),
        UnitSystem::Si => number(m2 * 1e4, 0),
    }
}

/// A part in per cent, with the sign.
pub fn percent(part: f64) -> String {
    if part.is_finite() {
        format!("{} %", percent_digits(part))
    } else {
        "n/a".to_owned()
    }
}

/// A part in per cent, without the sign.
pub fn percent_digits(part: f64) -> String {
    let value = 100.0 * part;
    number(value, if value >= 9.95 { 0 } else { 1 })
}

/// A chance in per cent, small ones with a decimal; what is not nothing never shows as nothing, nor what is not sure as
/// sure.
pub fn chance(part: f64) -> String {
    match 100.0 * part {
        value if !value.is_finite() => "n/a".to_owned(),
        value if value > 0.0 && value < 0.095 => "<0.1 %".to_owned(),
        value if value > 0.0 && value < 0.95 => format!("{} %", number(value, 1)),
        value if value > 99.4 && value < 100.0 => ">99 %".to_owned(),
        value => format!("{} %", number(value, 0)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::system::Side;

    #[test]
    fn pressures_stay_in_pascal_with_their_sign_and_fans_show_nothing_below_zero() {
        let ip = UnitSystem::Ip;
        let back = Observable::PlenumStatic(Side::Return);
        assert_eq!(of_reading(back, -34.26, ip), "-34.3");
        assert_eq!(of_reading(back, -3.426, ip), "-3.43");
        assert_eq!(of_reading(back, 134.26, ip), "134");
        assert_eq!(reading_unit(back, ip), "Pa");
        assert_eq!(of_reading(Observable::FanFlow, -0.01, ip), "0.00");
        // 1 ft3/min is 0.3048^3/60 m3/s = 4.719474432e-4 m3/s: 0.0471947 m3/s are 100 cfm.
        assert_eq!(
            of_reading(Observable::RegisterFlow(0), -0.047_194_744_32, ip),
            "-100"
        );
        assert_eq!(of_reading(Observable::FanFlow, f64::NAN, ip), "n/a");
    }

    #[test]
    fn small_chances_never_show_as_none_nor_large_ones_as_sure() {
        assert_eq!(chance(0.0), "0 %");
        assert_eq!(chance(0.000_3), "<0.1 %");
        assert_eq!(chance(0.004), "0.4 %");
        assert_eq!(chance(0.012), "1 %");
        assert_eq!(chance(0.75), "75 %");
        assert_eq!(chance(0.999), ">99 %");
        assert_eq!(chance(0.9949), ">99 %");
        assert_eq!(chance(1.0), "100 %");
        assert_eq!(chance(f64::NAN), "n/a");
    }

    #[test]
    fn an_opening_is_shown_in_square_inches_or_centimetres() {
        // 1 in = 0.0254 m: 0.00645160 m2 are 10 in2.
        assert_eq!(opening(0.006_451_6, UnitSystem::Ip), "10.0");
        assert_eq!(opening(0.006_451_6, UnitSystem::Si), "65");
    }
}
