//! The few functions of probability that judging a study takes.

/// Chance of a χ² at least this large, for `freedom` degrees of freedom: Q(freedom/2, χ²/2).
pub fn chi2_tail(chi2: f64, freedom: f64) -> f64 {
    upper_gamma(0.5 * freedom, 0.5 * chi2)
}

/// Regularised upper incomplete gamma function Q(a, x) for half-integer or integer a, x ≥ 0, by its exact finite sum.
///
/// # Equation
/// ```text
/// Q(a, x) = Q(a₀, x) + Σ x^b·e^−x/Γ(b + 1) over b = a₀, a₀ + 1, … a − 1
/// Q(1, x) = e^−x,   Q(½, x) = erfc(√x)
/// ```
fn upper_gamma(a: f64, x: f64) -> f64 {
    let is_whole = (a - a.round()).abs() < 1e-9;
    let (mut b, mut sum, mut term) = if is_whole {
        (1.0, (-x).exp(), x * (-x).exp())
    } else {
        let at_half = 2.0 * (x / std::f64::consts::PI).sqrt() * (-x).exp();
        (0.5, 2.0 * normal_cdf(-(2.0 * x).sqrt()), at_half)
    };
    while b < a - 0.25 {
        sum += term;
        b += 1.0;
        term *= x / b;
    }
    sum
}

/// Standard normal distribution function; relative error below 2e-7 in both tails.
///
/// # Source
/// Rational Chebyshev fit of erfc with relative error 1.2e-7 everywhere, as printed in books of numerical methods; from
/// memory, tested against tables below.
pub fn normal_cdf(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.5 * z);
    let fit = [
        0.170_872_77,
        -0.822_152_23,
        1.488_515_87,
        -1.135_203_98,
        0.278_868_07,
        -0.186_288_06,
        0.096_784_18,
        0.374_091_96,
        1.000_023_68,
        -1.265_512_23,
    ];
    let sum = fit.iter().fold(0.0, |sum, c| sum * t + c);
    let tail = 0.5 * t * (sum - z * z).exp();
    if x > 0.0 { 1.0 - tail } else { tail }
}

/// Smallest and largest count of `n` trials that are not in the outer half per cent of either side: a central interval
/// that holds a binomial count of this chance at least 99 times in a hundred.
pub fn binomial_99(n: usize, chance: f64) -> (usize, usize) {
    let odds = (chance / (1.0 - chance)).ln();
    let mut ln_mass = n as f64 * (1.0 - chance).ln();
    let (mut below, mut low, mut high) = (0.0, None, n);
    for k in 0..=n {
        let up_to = below + ln_mass.exp();
        if low.is_none() && up_to > 0.005 {
            low = Some(k);
        }
        if up_to >= 0.995 {
            high = k;
            break;
        }
        below = up_to;
        ln_mass += odds + ((n - k) as f64 / (k + 1) as f64).ln();
    }
    (low.unwrap_or(0), high)
}

/// Mean and standard error of independent values.
pub fn mean_and_error(values: impl Iterator<Item = f64> + Clone) -> (f64, f64) {
    let n = values.clone().count() as f64;
    let mean = values.clone().sum::<f64>() / n;
    let squares: f64 = values.map(|v| (v - mean).powi(2)).sum();
    (mean, (squares / (n - 1.0).max(1.0) / n).sqrt())
}

/// A well mixed 64-bit number of two others (finishing mix of the SplitMix64 generator, public domain; from memory).
pub fn mixed(seed: u64, index: u64) -> u64 {
    let mut z = seed
        .wrapping_mul(0x9e37_79b9_7f4a_7c15)
        .wrapping_add(index.wrapping_mul(0xd134_2543_de82_ef95));
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

/// Figures of printed tables.
pub fn check_against_tables() {
    for (x, p) in [
        (0.0, 0.5),
        (-1.0, 0.158_655_254),
        (2.0, 0.977_249_868),
        (-5.0, 2.866_516e-7),
    ] {
        assert!((normal_cdf(x) / p - 1.0).abs() < 1e-6, "normal {x}");
    }
    // Upper 5 %, 1 % and 0.1 % points of χ² with nine degrees of freedom, and two with two.
    for (chi2, p) in [(16.919, 0.05), (21.666, 0.01), (27.877, 0.001)] {
        assert!((chi2_tail(chi2, 9.0) / p - 1.0).abs() < 1e-3, "χ² {chi2}");
    }
    assert!((chi2_tail(5.991, 2.0) - 0.05).abs() < 1e-4);
    // Ten throws of a fair coin: 0 and 10 heads have 1/1024 each, 1 and 9 ten times that.
    assert_eq!(binomial_99(10, 0.5), (1, 9));
}
