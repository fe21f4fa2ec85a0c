//! The prior bent by the looks, and the most probable point under it.

use super::best_point::{BestPoint, Search, best_point, dot};
use super::case::{Case, Open};
use super::problem::Problem;
use super::readout::Readout;
use super::sites::{GaussRows, Site, sites};
use super::tilt::{Bare, Tilt};

/// The prior bent by the looks, first alone, then as the readings leave room for them; and the best point.
pub(crate) fn settle<R: Readout>(
    problem: &Problem<'_, R>,
    work: &mut R::Work,
) -> (Tilt, BestPoint) {
    let dim = problem.prior.dim();
    let looks = &problem.looks.looks;
    let alone = GaussRows {
        slopes: &[],
        targets: &[],
    };
    let found = sites(problem.prior, looks, Open::default(), &alone);
    let mut tilt =
        Tilt::new(found, dim).unwrap_or_else(|| Tilt::new(Vec::new(), dim).unwrap_or_default());
    let start = vec![0.0; dim];
    let mut best = best_point(problem, Case::default(), &tilt, &start, Search::FULL, work);
    if !looks.is_empty() && !problem.readings.is_empty() {
        let mut x = best.xi.clone();
        tilt.apply(&mut x);
        // r ≈ slopes·x − target.
        let targets: Vec<f64> = best
            .rows
            .slopes
            .chunks_exact(dim)
            .zip(&best.rows.r)
            .map(|(row, r)| dot(row, &x) - r)
            .collect();
        let rows = GaussRows {
            slopes: &best.rows.slopes,
            targets: &targets,
        };
        let found = sites(problem.prior, looks, Open::default(), &rows);
        if let Some(better) = Tilt::new(found, dim) {
            let start = better.undo(&x);
            best = best_point(
                problem,
                Case::default(),
                &better,
                &start,
                Search::FULL,
                work,
            );
            tilt = better;
        }
    }
    (tilt, best)
}

/// Bends the prior by all sites but those at open seams, whose looks are taken as they are.
pub(crate) fn tilt_without<R: Readout>(
    problem: &Problem<'_, R>,
    all: &[Site],
    open: Open,
    dim: usize,
) -> Option<Tilt> {
    let looks = &problem.looks.looks;
    let kept: Vec<Site> = all
        .iter()
        .filter(|site| !open.has(looks[site.look].seam))
        .cloned()
        .collect();
    let mut tilt = Tilt::new(kept, dim)?;
    tilt.bare = looks
        .iter()
        .enumerate()
        .filter(|(_, look)| open.has(look.seam))
        .map(|(at, look)| {
            let (constant, slopes) = look.form(problem.prior, open);
            Bare {
                look: at,
                constant,
                slopes,
            }
        })
        .collect();
    Some(tilt)
}
