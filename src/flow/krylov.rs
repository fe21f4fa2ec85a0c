//! Linear systems of which only the product with a vector is at hand: GMRES.

use crate::math::hypot;

/// Memory of a solve; grows at first use and is kept.
#[derive(Debug, Clone, Default)]
pub(super) struct Space {
    basis: Vec<Vec<f64>>,
    /// Columns of the triangular factor.
    upper: Vec<Vec<f64>>,
    turns: Vec<(f64, f64)>,
    rhs: Vec<f64>,
}

/// Most vectors in a basis.
const MOST_VECTORS: usize = 40;

impl Space {
    /// Solves A·x = b, from x = 0, until the residual is `tolerance` of |b|, restarting once. `product` overwrites
    /// its second argument with A times its first. Returns the residual as part of |b|.
    ///
    /// # Source
    /// Generalised minimal residual method with modified Gram-Schmidt and plane rotations, SIAM Journal on Scientific
    /// and Statistical Computing 7(3), 1986.
    pub(super) fn solve(
        &mut self,
        b: &[f64],
        x: &mut [f64],
        tolerance: f64,
        mut product: impl FnMut(&[f64], &mut [f64]),
    ) -> f64 {
        let whole = norm(b);
        x.fill(0.0);
        if whole.is_nan() || whole <= 0.0 {
            return 0.0;
        }
        let mut left = 1.0;
        for round in 0..2 {
            self.vector(0, b.len());
            let mut first = std::mem::take(&mut self.basis[0]);
            if round == 0 {
                first.copy_from_slice(b);
            } else {
                product(x, &mut first);
                for (r, b) in first.iter_mut().zip(b) {
                    *r = b - *r;
                }
            }
            let size = norm(&first);
            left = size / whole;
            if left.is_nan() || left <= tolerance {
                self.basis[0] = first;
                break;
            }
            first.iter_mut().for_each(|v| *v /= size);
            self.basis[0] = first;
            left = self.run(size, x, tolerance * whole, &mut product) / whole;
            if left <= tolerance {
                break;
            }
        }
        left
    }

    fn vector(&mut self, at: usize, len: usize) {
        while self.basis.len() <= at {
            self.basis.push(vec![0.0; len]);
        }
        self.basis[at].resize(len, 0.0);
    }

    fn run(
        &mut self,
        size: f64,
        x: &mut [f64],
        enough: f64,
        product: &mut impl FnMut(&[f64], &mut [f64]),
    ) -> f64 {
        self.turns.clear();
        self.rhs.clear();
        self.rhs.push(size);
        let mut used = 0;
        for k in 0..MOST_VECTORS.min(x.len() + 1) {
            self.vector(k + 1, x.len());
            let (done, rest) = self.basis.split_at_mut(k + 1);
            let next = &mut rest[0];
            product(&done[k], next);
            if self.upper.len() <= k {
                self.upper.push(Vec::new());
            }
            let column = &mut self.upper[k];
            column.clear();
            for v in done.iter() {
                let along: f64 = v.iter().zip(next.iter()).map(|(a, b)| a * b).sum();
                next.iter_mut().zip(v).for_each(|(n, v)| *n -= along * v);
                column.push(along);
            }
            let below = norm(next);
            for (at, &(c, s)) in self.turns.iter().enumerate() {
                let (a, b) = (column[at], column[at + 1]);
                (column[at], column[at + 1]) = (c * a + s * b, c * b - s * a);
            }
            let last = column[k];
            let radius = hypot(last, below);
            if radius.is_nan() || radius <= 0.0 {
                break;
            }
            let (c, s) = (last / radius, below / radius);
            column[k] = radius;
            self.turns.push((c, s));
            let r = self.rhs[k];
            self.rhs[k] = c * r;
            self.rhs.push(-s * r);
            used = k + 1;
            if (s * r).abs() <= enough || below <= f64::EPSILON * radius {
                break;
            }
            next.iter_mut().for_each(|v| *v /= below);
        }
        for k in (0..used).rev() {
            let mut y = self.rhs[k];
            for later in k + 1..used {
                y -= self.upper[later][k] * self.rhs[later];
            }
            self.rhs[k] = y / self.upper[k][k];
        }
        for (y, v) in self.rhs[..used].iter().zip(&self.basis) {
            x.iter_mut().zip(v).for_each(|(x, v)| *x += y * v);
        }
        self.rhs.get(used).map_or(0.0, |r| r.abs())
    }
}

fn norm(v: &[f64]) -> f64 {
    v.iter().map(|a| a * a).sum::<f64>().sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use rand::{RngExt, SeedableRng};

    #[test]
    fn agrees_with_dense_elimination() {
        let mut rng = rand_pcg::Pcg64::seed_from_u64(5);
        for n in [1, 2, 7, 30, 60] {
            let a = DMatrix::from_fn(n, n, |i, j| {
                let off = rng.random_range(-1.0..1.0) / n as f64;
                if i == j { 1.0 + off } else { off }
            });
            let b = DVector::from_fn(n, |_, _| rng.random_range(-1.0..1.0));
            let expected = a.clone().lu().solve(&b).expect("regular");
            let mut x = vec![0.0; n];
            let left = Space::default().solve(b.as_slice(), &mut x, 1e-13, |v, out| {
                out.copy_from_slice((&a * DVector::from_column_slice(v)).as_slice());
            });
            assert!(left <= 1e-12, "{n} {left}");
            for (got, want) in x.iter().zip(expected.iter()) {
                assert!((got - want).abs() < 1e-10, "{n}");
            }
        }
    }

    #[test]
    fn nothing_on_the_right_gives_nothing() {
        let mut x = vec![1.0; 3];
        Space::default().solve(&[0.0; 3], &mut x, 1e-12, |v, out| out.copy_from_slice(v));
        assert!(x.iter().all(|x| x.abs() < f64::MIN_POSITIVE));
    }
}
