//! Draws of the standard normal law.

use std::sync::LazyLock;

use rand::distr::{Distribution, Open01};
use rand::{Rng, RngExt};

use super::{exp, ln, normal};

/// Layers that the area under the density is cut into.
const LAYERS: usize = 256;
/// Where the tail begins: with it 256 layers of one area cover the half-plane under the density.
const TAIL: f64 = 3.654_152_885_361_009;

/// The standard normal law, drawn by layers of one area (ziggurat).
///
/// It takes the same words of the generator in the same order as `rand_distr::StandardNormal`, whose tail and slopes rest on
/// the C library's logarithm and exponential.
///
/// # Source
/// "The ziggurat method for generating random variables", Journal of Statistical Software 5(8), 2000, with the layer and the
/// place in it from separate bits of one word as in "An improved ziggurat method to generate normal random samples", 2005
/// (both from memory).
#[derive(Debug, Clone, Copy)]
pub(crate) struct StandardNormal;

/// Right ends of the layers, from the lowest up, and the density there.
struct Layers {
    end: [f64; LAYERS + 1],
    density: [f64; LAYERS + 1],
}

static TABLE: LazyLock<Layers> = LazyLock::new(|| {
    let density = |x: f64| exp(-0.5 * x * x);
    let tail_area = (2.0 * std::f64::consts::PI).sqrt() * normal::cdf(-TAIL);
    let area = TAIL * density(TAIL) + tail_area;
    let mut end = [0.0; LAYERS + 1];
    // The lowest layer holds the tail too: its end is that of a rectangle of the same area.
    end[0] = area / density(TAIL);
    end[1] = TAIL;
    for i in 2..LAYERS {
        end[i] = (-2.0 * ln(area / end[i - 1] + density(end[i - 1]))).sqrt();
    }
    Layers {
        end,
        density: end.map(density),
    }
});

impl Distribution<f64> for StandardNormal {
    fn sample<R: Rng + ?Sized>(&self, random: &mut R) -> f64 {
        let Layers { end, density } = &*TABLE;
        loop {
            let bits = random.next_u64();
            let layer = (bits & 0xff) as usize;
            // The upper 52 bits as a number in [2, 4), less 3.
            let side = f64::from_bits((bits >> 12) | (2.0_f64).to_bits()) - 3.0;
            let x = side * end[layer];
            if x.abs() < end[layer + 1] {
                return x;
            }
            if layer == 0 {
                return tail(random).copysign(side);
            }
            let height = density[layer] - density[layer + 1];
            if density[layer + 1] + height * random.random::<f64>() < exp(-0.5 * x * x) {
                return x;
            }
        }
    }
}

/// A draw beyond the beginning of the tail, by rejection from an exponential.
fn tail<R: Rng + ?Sized>(random: &mut R) -> f64 {
    loop {
        let beyond = -ln(random.sample(Open01)) / TAIL;
        let height = -ln(random.sample(Open01));
        if 2.0 * height >= beyond * beyond {
            return TAIL + beyond;
        }
    }
}

#[cfg(test)]
mod tests {
    use rand::SeedableRng;
    use rand_pcg::Pcg64;

    use super::*;

    #[test]
    fn draws_are_those_of_the_kept_library_but_for_last_digits() {
        let mut ours = Pcg64::seed_from_u64(5);
        let mut theirs = Pcg64::seed_from_u64(5);
        // Each layer's end rests on the one below: rounding grows to 1e-11 at the top.
        let mut in_tail = 0;
        for i in 0..1_000_000 {
            let a: f64 = ours.sample(StandardNormal);
            let b: f64 = theirs.sample(rand_distr::StandardNormal);
            assert!((a - b).abs() < 1e-9, "draw {i}: {a:e} {b:e}");
            in_tail += usize::from(a.abs() > TAIL);
        }
        // 2.6 in ten thousand lie there.
        assert!((180..340).contains(&in_tail), "{in_tail} in the tail");
    }

    #[test]
    fn layers_close_at_the_top() {
        let (end, density) = (&TABLE.end, &TABLE.density);
        let area = |i: usize| end[i] * (density[i + 1] - density[i]);
        let whole = end[0] * density[1];
        for i in 1..LAYERS {
            assert!((area(i) / whole - 1.0).abs() < 1e-10, "layer {i}");
        }
    }
}
