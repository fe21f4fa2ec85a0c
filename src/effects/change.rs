//! Before, after and the change between, over paired draws.

use crate::allocate::Band;

/// One figure before and after, in the unit of the field that holds it.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Change {
    /// Before.
    pub before: Band,
    /// After.
    pub after: Band,
    /// After less before, draw by draw.
    pub change: Band,
}

impl Change {
    /// From paired values; all `NaN` where there are none.
    #[must_use]
    pub fn of(pairs: impl Iterator<Item = (f64, f64)>) -> Change {
        let (before, after): (Vec<f64>, Vec<f64>) = pairs.unzip();
        let change = before.iter().zip(&after).map(|(b, a)| a - b).collect();
        Change {
            before: band(before),
            after: band(after),
            change: band(change),
        }
    }
}

/// Mean and quantiles of equally weighted values; `NaN` where there are none.
///
/// Quantiles go linearly between the sorted values, the smallest at 0 and the largest at 1 (definition 7 of "Sample
/// quantiles in statistical packages", The American Statistician, 1996; from memory).
#[must_use]
pub fn band(mut values: Vec<f64>) -> Band {
    let count = values.len();
    if count == 0 {
        return Band {
            mean: f64::NAN,
            p05: f64::NAN,
            p50: f64::NAN,
            p95: f64::NAN,
        };
    }
    let mean = values.iter().sum::<f64>() / count as f64;
    values.sort_by(f64::total_cmp);
    let at = |part: f64| {
        let place = part * (count - 1) as f64;
        let low = place.floor() as usize;
        let high = (low + 1).min(count - 1);
        values[low] + (place - low as f64) * (values[high] - values[low])
    };
    Band {
        mean,
        p05: at(0.05),
        p50: at(0.5),
        p95: at(0.95),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_of_a_ramp_lie_on_it_and_changes_are_paired() {
        let found = band((0..=100).rev().map(f64::from).collect());
        for (value, expected) in [
            (found.mean, 50.0),
            (found.p05, 5.0),
            (found.p50, 50.0),
            (found.p95, 95.0),
        ] {
            assert!((value - expected).abs() < 1e-12);
        }
        // Every draw loses 3, however far the draws lie apart.
        let change = Change::of([1.0, 10.0, 100.0].iter().map(|b| (*b, b - 3.0)));
        assert!((change.change.p05 + 3.0).abs() < 1e-12);
        assert!((change.change.p95 + 3.0).abs() < 1e-12);
        assert!(band(Vec::new()).mean.is_nan());
    }
}
