//! Small dense systems solved in place, without allocating.

use crate::math::ln;

/// Factorises the row-major `n × n` matrix in place and solves for `b` in place, by elimination with row exchange.
/// Gives ln |det| and whether the determinant is positive; `None` when a pivot is 0 or not finite.
pub(crate) fn solve(a: &mut [f64], b: &mut [f64]) -> Option<(f64, bool)> {
    let n = b.len();
    let (mut ln_det, mut positive) = (0.0, true);
    for j in 0..n {
        let pivot_row = (j..n).max_by(|p, q| a[p * n + j].abs().total_cmp(&a[q * n + j].abs()))?;
        let pivot = a[pivot_row * n + j];
        if !(pivot.is_finite() && pivot.abs() > 0.0) {
            return None;
        }
        if pivot_row != j {
            for col in 0..n {
                a.swap(j * n + col, pivot_row * n + col);
            }
            b.swap(j, pivot_row);
            positive = !positive;
        }
        ln_det += ln(pivot.abs());
        positive ^= pivot < 0.0;
        for row in j + 1..n {
            let factor = a[row * n + j] / pivot;
            for col in j..n {
                a[row * n + col] -= factor * a[j * n + col];
            }
            b[row] -= factor * b[j];
        }
    }
    for j in (0..n).rev() {
        let above: f64 = (j + 1..n).map(|col| a[j * n + col] * b[col]).sum();
        b[j] = (b[j] - above) / a[j * n + j];
    }
    Some((ln_det, positive))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_system_worked_by_hand_is_solved_with_its_determinant() {
        // 0·x + 2·y = 4, 3·x + y = 5: y = 2, x = 1; det = −6.
        let (mut a, mut b) = ([0.0, 2.0, 3.0, 1.0], [4.0, 5.0]);
        let (ln_det, positive) = solve(&mut a, &mut b).unwrap();
        assert!((b[0] - 1.0).abs() < 1e-14 && (b[1] - 2.0).abs() < 1e-14);
        assert!((ln_det - 6.0_f64.ln()).abs() < 1e-14 && !positive);
        assert!(solve(&mut [1.0, 2.0, 2.0, 4.0], &mut [1.0, 1.0]).is_none());
    }
}
