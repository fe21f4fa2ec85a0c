//! What the person believes beforehand, said on the command line: laid over the sketch's `prior`, field by field.

use crate::allocate::AllocateSettings;
use crate::math::ln;
use crate::quantity::Fraction;
use crate::system::Beliefs;

/// Spreads, chances and factors that an answer starts from, and what it is asked about.
#[derive(Debug, clap::Args)]
#[command(next_help_heading = "What is believed beforehand (goes before the sketch's `prior`)")]
pub struct Believed {
    /// Spread of the whole system's workmanship, a geometric standard deviation: 1.7 says that two systems of three lie
    /// within a factor of 1.7 of the usual. 1.7 if nothing is said.
    #[arg(long, value_name = "FACTOR", value_parser = spread)]
    pub workmanship_spread: Option<f64>,
    /// Spread of a crew's habit with one kind of joint, a geometric standard deviation. 1.3 if nothing is said.
    #[arg(long, value_name = "FACTOR", value_parser = spread)]
    pub habit_spread: Option<f64>,
    /// Spread of the flow exponent of one kind of joint, a standard deviation. 0.04 if nothing is said.
    #[arg(long, value_name = "NUMBER", value_parser = exponent_spread)]
    pub exponent_spread: Option<f64>,
    /// Chance that a reading's set-up was wrong. 5% if nothing is said.
    #[arg(long, value_name = "PERCENT", value_parser = chance)]
    pub wrong_set_up_chance: Option<f64>,
    /// Factor on every seam's chance to hang open; 0 leaves that out.
    #[arg(long, value_name = "FACTOR", value_parser = gross_factor)]
    pub gross_factor: Option<f64>,
    /// Factor on the flow from which smoke moves: above 1, smoke needs more.
    #[arg(long, value_name = "FACTOR", value_parser = factor)]
    pub smoke_factor: Option<f64>,
    /// Spread between people who look at smoke, a geometric standard deviation. 1.65 if nothing is said.
    #[arg(long, value_name = "FACTOR", value_parser = spread)]
    pub observer_spread: Option<f64>,
    /// Ask for the chance that a group of seams holds more than this part of all leakage.
    #[arg(long, value_name = "PERCENT", default_value = "25%", value_parser = share, help_heading = "What is asked")]
    pub share_above: f64,
    /// Answer for the ducts as they were before any sealing step of the sketch; else as they are after the last.
    #[arg(long, help_heading = "What is asked")]
    pub before_sealing: bool,
}

impl Believed {
    /// What was said here.
    #[must_use]
    pub fn beliefs(&self) -> Beliefs {
        Beliefs {
            workmanship_gsd: self.workmanship_spread,
            habit_gsd: self.habit_spread,
            exponent_sd: self.exponent_spread,
            gross_factor: self.gross_factor,
            wrong_setup_chance: self.wrong_set_up_chance,
            smoke_factor: self.smoke_factor,
            observer_sd: self.observer_spread.map(ln),
            // Shared gauges, nulling and taps have no option of their own.
            ..Beliefs::default()
        }
    }

    /// What was said here, over what the sketch says.
    #[must_use]
    pub fn over(&self, sketch: &Beliefs) -> Beliefs {
        self.beliefs().over(sketch)
    }

    /// Settings for what is asked, all beliefs laid over the usual figures.
    #[must_use]
    pub fn settings(&self, seed: u64, draws: u32, beliefs: &Beliefs) -> AllocateSettings {
        AllocateSettings {
            seed,
            draws: draws as usize,
            share_asked: self.share_above,
            stage: self.before_sealing.then_some(0),
            ..AllocateSettings::default()
        }
        .with_beliefs(beliefs)
    }
}

// Ranges are those of the same words in a sketch.

/// Least and widest spread: a factor of ten either way says that nothing is known. Engineering estimates.
const SPREADS: (f64, f64) = (1.01, 10.0);
/// Least and widest spread of an exponent; exponents themselves lie between 0.5 and 1.
const EXPONENT_SPREADS: (f64, f64) = (0.001, 0.2);
/// Least and largest factor on the flow that moves smoke. Engineering estimates.
const SMOKE_FACTORS: (f64, f64) = (0.1, 10.0);
/// Least and largest factor on a chance. Engineering estimates.
const CHANCE_FACTORS: (f64, f64) = (0.0, 100.0);
/// From the larger one on a reading would sooner be wrong than right.
const WRONG_SET_UPS: (f64, f64) = (0.0, 0.5);

fn spread(text: &str) -> Result<f64, String> {
    within(number(text)?, SPREADS, "a factor")
}

fn exponent_spread(text: &str) -> Result<f64, String> {
    within(number(text)?, EXPONENT_SPREADS, "a number")
}

fn factor(text: &str) -> Result<f64, String> {
    within(number(text)?, SMOKE_FACTORS, "a factor")
}

fn gross_factor(text: &str) -> Result<f64, String> {
    within(number(text)?, CHANCE_FACTORS, "a factor")
}

fn chance(text: &str) -> Result<f64, String> {
    within(part(text)?, WRONG_SET_UPS, "a part of 1")
}

fn share(text: &str) -> Result<f64, String> {
    within(part(text)?, (0.0, 1.0), "a part of 1")
}

fn number(text: &str) -> Result<f64, String> {
    text.trim()
        .parse()
        .map_err(|_| format!("expected a number, found `{text}`"))
}

fn part(text: &str) -> Result<f64, String> {
    match text.trim().parse::<Fraction>() {
        Ok(found) => Ok(found.si()),
        Err(error) => Err(match error.hint() {
            Some(hint) => format!("{error} ({hint})"),
            None => error.to_string(),
        }),
    }
}

fn within(value: f64, (least, most): (f64, f64), what: &str) -> Result<f64, String> {
    if value >= least && value <= most {
        Ok(value)
    } else {
        Err(format!(
            "expected {what} from {least} to {most}, found {value}"
        ))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::Parser;

    #[derive(Debug, Parser)]
    struct Line {
        #[command(flatten)]
        believed: Believed,
    }

    fn read(words: &[&str]) -> Result<Believed, clap::Error> {
        let line = std::iter::once("test").chain(words.iter().copied());
        Line::try_parse_from(line).map(|line| line.believed)
    }

    #[test]
    fn what_is_said_here_goes_before_the_sketch_and_the_rest_stays() {
        let said = read(&[
            "--workmanship-spread",
            "2.2",
            "--wrong-set-up-chance",
            "10%",
            "--observer-spread",
            "2",
        ])
        .expect("good options");
        let sketch = Beliefs {
            workmanship_gsd: Some(1.5),
            habit_gsd: Some(1.4),
            tap_sd_pa: Some(0.3),
            observer_sd: Some(0.2),
            ..Beliefs::default()
        };
        let found = said.over(&sketch);
        assert_eq!(found.workmanship_gsd, Some(2.2));
        assert_eq!(found.habit_gsd, Some(1.4));
        assert_eq!(found.tap_sd_pa, Some(0.3));
        assert_eq!(found.exponent_sd, None);
        // A factor of two is a standard deviation of ln 2 = 0.693147 in the logarithm.
        assert!((found.observer_sd.expect("said") - std::f64::consts::LN_2).abs() < 1e-6);
        assert!((found.wrong_setup_chance.expect("said") - 0.1).abs() < 1e-12);
    }

    #[test]
    fn nothing_said_leaves_the_sketch_as_it_is() {
        let sketch = Beliefs {
            workmanship_gsd: Some(1.5),
            habit_gsd: Some(1.4),
            exponent_sd: Some(0.02),
            gross_factor: Some(3.0),
            wrong_setup_chance: Some(0.02),
            gauge_shared: Some(0.4),
            smoke_factor: Some(2.0),
            observer_sd: Some(0.3),
            nulling_sd_pa: Some(0.7),
            tap_sd_pa: Some(0.2),
        };
        let said = read(&[]).expect("no options");
        assert_eq!(said.over(&sketch), sketch);
        let settings = said.settings(3, 600, &Beliefs::default());
        assert_eq!(
            (settings.seed, settings.draws, settings.stage),
            (3, 600, None)
        );
        assert!((settings.share_asked - 0.25).abs() < 1e-12);
        let before = read(&["--before-sealing", "--share-above", "40 %"]).expect("good options");
        let settings = before.settings(3, 600, &Beliefs::default());
        assert_eq!(settings.stage, Some(0));
        assert!((settings.share_asked - 0.4).abs() < 1e-12);
    }

    #[test]
    fn figures_that_make_no_sense_are_refused_with_their_range() {
        for (words, said) in [
            (["--workmanship-spread", "0.5"], "from 1.01 to 10"),
            (["--habit-spread", "nan"], "from 1.01 to 10"),
            (["--gross-factor", "1e9"], "from 0 to 100"),
            (["--smoke-factor", "0"], "from 0.1 to 10"),
            (["--exponent-spread", "much"], "expected a number"),
            (["--wrong-set-up-chance", "60%"], "from 0 to 0.5"),
            (["--share-above", "half"], "half"),
        ] {
            let error = read(&words).expect_err("refused").to_string();
            assert!(error.contains(said), "{words:?}: {error}");
        }
    }
}
