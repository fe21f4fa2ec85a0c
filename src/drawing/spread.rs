//! Marks on one line moved apart, as little as it takes.

/// Moves wanted positions apart so that neighbours keep their gaps, in the order given, within `low..high`.
///
/// # Equation
/// ```text
/// least Σ (x_i − want_i)²    with   x_{i+1} − x_i ≥ gap_i,   low ≤ x_0,   x_last ≤ high
/// ```
/// With y_i = x_i − Σ_{j<i} gap_j this is monotone regression of y, solved by pooling neighbours, and a clamp. Where the
/// gaps do not fit, all shrink by one factor and the line is filled evenly.
///
/// `gap[i]` is kept between `i` and `i + 1`; missing gaps are 0. Positions that are not finite count as `low`.
///
/// # Source
/// Pooling of adjacent violators, a standard method of monotone regression; from memory.
pub(super) fn spread(want: &[f64], gaps: &[f64], low: f64, high: f64) -> Vec<f64> {
    let high = high.max(low);
    let gap = |i: usize| gaps.get(i).copied().filter(|g| *g > 0.0).unwrap_or(0.0);
    let n = want.len();
    let all: f64 = (0..n.saturating_sub(1)).map(gap).sum();
    let shrink = if all > high - low && all > 0.0 {
        (high - low) / all
    } else {
        1.0
    };
    let mut offset = vec![0.0; n];
    for i in 1..n {
        offset[i] = offset[i - 1] + shrink * gap(i - 1);
    }
    // Pools of mean and count.
    let mut pools: Vec<(f64, usize)> = Vec::with_capacity(n);
    for (w, off) in want.iter().zip(&offset) {
        let mut pool = (if w.is_finite() { *w } else { low } - off, 1);
        while let Some(&(mean, count)) = pools.last() {
            if mean <= pool.0 {
                break;
            }
            pools.pop();
            let both = count + pool.1;
            pool = (
                (mean * count as f64 + pool.0 * pool.1 as f64) / both as f64,
                both,
            );
        }
        pools.push(pool);
    }
    let last = (high - offset.last().copied().unwrap_or(0.0)).max(low);
    pools
        .iter()
        .flat_map(|&(mean, count)| std::iter::repeat_n(mean, count))
        .zip(&offset)
        .map(|(y, off)| y.clamp(low, last) + off)
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_with_room_stay() {
        assert_eq!(
            spread(&[1.0, 5.0, 9.0], &[1.0, 1.0], 0.0, 10.0),
            [1.0, 5.0, 9.0]
        );
    }

    #[test]
    fn three_on_one_spot_stand_about_it() {
        assert_eq!(spread(&[5.0; 3], &[1.0, 1.0], 0.0, 10.0), [4.0, 5.0, 6.0]);
    }

    #[test]
    fn at_an_end_they_move_inwards() {
        assert_eq!(spread(&[10.0; 3], &[1.0, 1.0], 0.0, 10.0), [8.0, 9.0, 10.0]);
        assert_eq!(spread(&[0.0; 2], &[3.0], 1.0, 10.0), [1.0, 4.0]);
    }

    #[test]
    fn what_does_not_fit_is_evenly_packed() {
        let x = spread(&[2.0; 5], &[1.0; 4], 0.0, 2.0);
        for (i, x) in x.iter().enumerate() {
            assert!((x - 0.5 * i as f64).abs() < 1e-12);
        }
        assert!(spread(&[], &[], 0.0, 1.0).is_empty());
        assert_eq!(spread(&[f64::NAN, 3.0], &[0.5], 1.0, 1.0), [1.0, 1.0]);
    }
}
