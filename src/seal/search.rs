//! The best plan by mean cuts, as a mixed-integer programme for a kept solver.

use microlp::{
    ComparisonOp, LinearExpr, OptimizationDirection, Problem, SolveOptions, SolveOutcome, Variable,
};

use super::choices::Choices;
use super::greedy::{Bounds, ROUNDING, greedy};
use super::types::SealError;

/// A search stops once its plan is proved to be this near the best (part of its value).
const NEAR_ENOUGH: f64 = 1e-3;

/// What is sought.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Goal {
    /// Most cut within minutes and money.
    Most { minutes: f64, money: f64 },
    /// Least minutes for this sum of cuts, within minutes and money.
    Least { cut: f64, minutes: f64, money: f64 },
}

/// A plan.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Found {
    pub picked: Vec<usize>,
    /// Gap between the plan and the best that the search left possible, as a part of the plan's value.
    pub gap: f64,
    /// Whether the search ran to its end.
    pub proved: bool,
}

/// The best plan, never worse than the greedy one. `None` where the goal cannot be met.
pub(super) fn search(
    choices: &Choices,
    goal: Goal,
    nodes: u64,
) -> Result<Option<Found>, SealError> {
    let (bounds, least) = match goal {
        Goal::Most { minutes, money } => (
            Bounds {
                minutes,
                money,
                enough: f64::INFINITY,
            },
            None,
        ),
        Goal::Least {
            cut,
            minutes,
            money,
        } => (
            Bounds {
                minutes,
                money,
                enough: cut,
            },
            Some(cut),
        ),
    };
    if choices.all.is_empty() {
        return Ok(least.is_none_or(|cut| cut <= 0.0).then(|| Found {
            picked: Vec::new(),
            gap: 0.0,
            proved: true,
        }));
    }
    if bounds.money < choices.visit {
        // Not even the visit can be paid.
        return Ok(least.is_none().then(|| Found {
            picked: Vec::new(),
            gap: 0.0,
            proved: true,
        }));
    }
    let first = greedy(choices, bounds);
    let model = Model::of(choices, bounds, least);
    let outcome = model.solve(choices, &first, nodes);
    let found = match outcome {
        Ok(SolveOutcome::Solution(solution)) => {
            let picked: Vec<usize> = (0..choices.all.len())
                .filter(|&c| solution.var_value(model.choices[c]) > 0.5)
                .collect();
            Some(Found {
                picked,
                gap: solution.gap().unwrap_or(0.0).max(0.0),
                proved: solution.status() == microlp::SolutionStatus::Optimal,
            })
        }
        Ok(_) => None,
        Err(microlp::Error::Infeasible) => {
            return Ok(None);
        }
        // A numerical failure: the greedy plan stands, and nothing is proved.
        Err(_) => None,
    };
    let reaches = |picked: &[usize]| least.is_none_or(|cut| choices.cut(picked) >= cut - ROUNDING);
    let value = |picked: &[usize]| match least {
        None => choices.cut(picked),
        Some(_) => -choices.minutes(picked),
    };
    let no_worse = |a: f64, b: f64| a >= b - ROUNDING * b.abs();
    let plain = Found {
        picked: first,
        gap: f64::INFINITY,
        proved: false,
    };
    let mut best = match found {
        Some(found)
            if reaches(&found.picked)
                && (!reaches(&plain.picked)
                    || no_worse(value(&found.picked), value(&plain.picked))) =>
        {
            found
        }
        _ if reaches(&plain.picked) => plain,
        _ => return Ok(None),
    };
    best.picked.sort_unstable();
    Ok(Some(best))
}

struct Model {
    problem: Problem,
    choices: Vec<Variable>,
    places: Vec<Option<Variable>>,
    methods: Vec<Option<Variable>>,
}

impl Model {
    fn of(choices: &Choices, bounds: Bounds, least: Option<f64>) -> Self {
        // Cuts in thousandths of all that could be cut, so that figures are of one size.
        let scale = 1000.0 / choices.all.iter().map(|c| c.cut).sum::<f64>();
        let most = least.is_none();
        let mut problem = Problem::new(if most {
            OptimizationDirection::Maximize
        } else {
            OptimizationDirection::Minimize
        });
        let worth = |cut: f64, minutes: f64| if most { cut * scale } else { minutes };
        let variables: Vec<Variable> = choices
            .all
            .iter()
            .map(|c| problem.add_binary_var(worth(c.cut, c.minutes)))
            .collect();
        let places: Vec<Option<Variable>> = choices
            .place_minutes
            .iter()
            .enumerate()
            .map(|(place, &minutes)| {
                (minutes > 0.0 && choices.all.iter().any(|c| c.place == Some(place)))
                    .then(|| problem.add_binary_var(worth(0.0, minutes)))
            })
            .collect();
        let methods: Vec<Option<Variable>> = choices
            .method_once
            .iter()
            .enumerate()
            .map(|(method, &(minutes, money))| {
                let used = choices.all.iter().any(|c| c.method == method);
                ((minutes > 0.0 || money > 0.0) && used)
                    .then(|| problem.add_binary_var(worth(0.0, minutes)))
            })
            .collect();
        let mut model = Model {
            problem,
            choices: variables,
            places,
            methods,
        };
        model.link(choices);
        model.limit(choices, bounds);
        if let Some(cut) = least {
            let mut sum = LinearExpr::empty();
            for (c, choice) in choices.all.iter().enumerate() {
                sum.add(model.choices[c], choice.cut * scale);
            }
            model
                .problem
                .add_constraint(sum, ComparisonOp::Ge, cut * scale);
        }
        model
    }

    /// One way a seam, only where its place is gone to and its method is set up.
    fn link(&mut self, choices: &Choices) {
        let mut from = 0;
        while from < choices.all.len() {
            let seam = choices.all[from].seam;
            let to = from
                + choices.all[from..]
                    .iter()
                    .take_while(|c| c.seam == seam)
                    .count();
            let hand = |c: &usize| choices.all[*c].place.is_some();
            let by_hand: Vec<usize> = (from..to).filter(hand).collect();
            let place = by_hand
                .first()
                .and_then(|&c| choices.all[c].place)
                .and_then(|place| self.places[place]);
            if let Some(place) = place {
                let mut sum = LinearExpr::empty();
                for &c in &by_hand {
                    sum.add(self.choices[c], 1.0);
                }
                sum.add(place, -1.0);
                self.problem.add_constraint(sum, ComparisonOp::Le, 0.0);
            }
            if to - from > 1 && (place.is_none() || by_hand.len() < to - from) {
                let mut sum = LinearExpr::empty();
                for c in from..to {
                    sum.add(self.choices[c], 1.0);
                }
                self.problem.add_constraint(sum, ComparisonOp::Le, 1.0);
            }
            for c in from..to {
                if let Some(once) = self.methods[choices.all[c].method] {
                    let mut sum = LinearExpr::empty();
                    sum.add(self.choices[c], 1.0);
                    sum.add(once, -1.0);
                    self.problem.add_constraint(sum, ComparisonOp::Le, 0.0);
                }
            }
            from = to;
        }
    }

    /// Minutes and money.
    fn limit(&mut self, choices: &Choices, bounds: Bounds) {
        let minute = choices.money_per_minute.unwrap_or(0.0);
        let sums: [(f64, f64, f64); 2] = [
            (bounds.minutes, 1.0, 0.0),
            (bounds.money - choices.visit, minute, 1.0),
        ];
        for (most, a_minute, a_coin) in sums {
            if !most.is_finite() {
                continue;
            }
            let mut sum = LinearExpr::empty();
            for (c, choice) in choices.all.iter().enumerate() {
                sum.add(
                    self.choices[c],
                    a_minute * choice.minutes + a_coin * choice.money,
                );
            }
            for (place, variable) in self.places.iter().enumerate() {
                if let Some(variable) = variable {
                    sum.add(*variable, a_minute * choices.place_minutes[place]);
                }
            }
            for (method, variable) in self.methods.iter().enumerate() {
                if let Some(variable) = variable {
                    let (minutes, money) = choices.method_once[method];
                    sum.add(*variable, a_minute * minutes + a_coin * money);
                }
            }
            self.problem
                .add_constraint(sum, ComparisonOp::Le, most.max(0.0));
        }
    }

    fn solve(
        &self,
        choices: &Choices,
        first: &[usize],
        nodes: u64,
    ) -> Result<SolveOutcome, microlp::Error> {
        let mut start: Vec<(Variable, f64)> = self.choices.iter().map(|&v| (v, 0.0)).collect();
        let mut places = vec![0.0; self.places.len()];
        let mut methods = vec![0.0; self.methods.len()];
        for &c in first {
            start[c].1 = 1.0;
            if let Some(place) = choices.all[c].place {
                places[place] = 1.0;
            }
            methods[choices.all[c].method] = 1.0;
        }
        let more = self
            .places
            .iter()
            .zip(places)
            .chain(self.methods.iter().zip(methods));
        start.extend(more.filter_map(|(v, is)| v.map(|v| (v, is))));
        let mut options = SolveOptions::default();
        options.node_limit = Some(nodes);
        options.mip_gap = NEAR_ENOUGH;
        options.warm_start = Some(start);
        self.problem.solve_with(options)
    }
}
