//! Gauss-Legendre quadrature for the content of a duct.

/// Abscissae and weights of the eight-point rule on −1..1, positive half.
/// Source: roots of the Legendre polynomial P₈; standard tables.
const RULE: [(f64, f64); 4] = [
    (0.183_434_642_495_649_8, 0.362_683_783_378_362),
    (0.525_532_409_916_329, 0.313_706_645_877_887_3),
    (0.796_666_477_413_626_7, 0.222_381_034_453_374_48),
    (0.960_289_856_497_536_2, 0.101_228_536_290_376_26),
];

/// ∫ f over `from`..`to`, by eight points on each panel at most `panel` wide.
pub(super) fn integrate(from: f64, to: f64, panel: f64, f: impl Fn(f64) -> f64) -> f64 {
    let panels = ((to - from) / panel).ceil().clamp(1.0, 1000.0);
    let half = 0.5 * (to - from) / panels;
    let mut sum = 0.0;
    let mut middle = from + half;
    for _ in 0..panels as usize {
        for (x, w) in RULE {
            sum += w * (f(middle - half * x) + f(middle + half * x));
        }
        middle += 2.0 * half;
    }
    sum * half
}

#[cfg(test)]
mod tests {
    use super::integrate;

    #[test]
    fn integral_of_exp_is_exact_to_rounding() {
        let got = integrate(-1.0, 2.0, 1.0, f64::exp);
        assert!((got - (2f64.exp() - (-1f64).exp())).abs() < 1e-14);
    }

    #[test]
    fn integral_of_a_fifteenth_power_is_exact() {
        let got = integrate(0.0, 1.0, 2.0, |x| x.powi(15));
        assert!((got - 1.0 / 16.0).abs() < 1e-15);
    }
}
