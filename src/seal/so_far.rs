//! What a growing plan has set up, and what a shrinking one would spare.

use super::choices::Choices;

/// Seams taken, places gone to, methods set up.
#[derive(Debug, Clone)]
pub(super) struct SoFar {
    seams: Vec<bool>,
    places: Vec<bool>,
    methods: Vec<bool>,
}

impl SoFar {
    pub fn of(choices: &Choices, picked: &[usize]) -> Self {
        let seams = choices.all.iter().map(|c| c.seam + 1).max().unwrap_or(0);
        let mut so_far = SoFar {
            seams: vec![false; seams],
            places: vec![false; choices.place_minutes.len()],
            methods: vec![false; choices.method_once.len()],
        };
        for &c in picked {
            so_far.add(choices, c);
        }
        so_far
    }

    pub fn add(&mut self, choices: &Choices, c: usize) {
        let choice = &choices.all[c];
        self.seams[choice.seam] = true;
        self.methods[choice.method] = true;
        if let Some(place) = choice.place {
            self.places[place] = true;
        }
    }

    /// Whether the seam of a choice is taken already.
    pub fn has(&self, choices: &Choices, c: usize) -> bool {
        self.seams[choices.all[c].seam]
    }

    /// Minutes that one more choice takes, with the set-ups that it needs first.
    pub fn added_minutes(&self, choices: &Choices, c: usize) -> f64 {
        choices.all[c].minutes + self.set_up_minutes(choices, c)
    }

    /// Those set-ups alone.
    pub fn set_up_minutes(&self, choices: &Choices, c: usize) -> f64 {
        let choice = &choices.all[c];
        let place = choice
            .place
            .filter(|&place| !self.places[place])
            .map_or(0.0, |place| choices.place_minutes[place]);
        let method = if self.methods[choice.method] {
            0.0
        } else {
            choices.method_once[choice.method].0
        };
        place + method
    }
}

/// How many steps of a plan need each place and method.
#[derive(Debug, Clone)]
pub(super) struct Uses {
    places: Vec<usize>,
    methods: Vec<usize>,
}

impl Uses {
    pub fn of(choices: &Choices, picked: &[usize]) -> Self {
        let mut uses = Uses {
            places: vec![0; choices.place_minutes.len()],
            methods: vec![0; choices.method_once.len()],
        };
        for &c in picked {
            let choice = &choices.all[c];
            uses.methods[choice.method] += 1;
            if let Some(place) = choice.place {
                uses.places[place] += 1;
            }
        }
        uses
    }

    /// Minutes that dropping one of the steps spares.
    pub fn spared_minutes(&self, choices: &Choices, c: usize) -> f64 {
        let choice = &choices.all[c];
        let mut minutes = choice.minutes;
        if let Some(place) = choice.place
            && self.places[place] == 1
        {
            minutes += choices.place_minutes[place];
        }
        if self.methods[choice.method] == 1 {
            minutes += choices.method_once[choice.method].0;
        }
        minutes
    }
}
