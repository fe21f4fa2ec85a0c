//! What the words of the report mean, and what it cannot know.

use maud::html;

use super::House;
use super::page::Part;
use super::parts::facts;
use crate::report::figures::number;

pub fn section(house: &House<'_>) -> Option<Part> {
    let pa = number(house.allocation.house.test_pressure_pa, 0);
    let words = [
        ("Seam", "Any joint, slit or gap of the ducts through which air can leak: a collar, the lock along a pipe, a gap round a boot, the cabinet of the unit.".to_owned()),
        ("Share", "The part of the leakage of all seams that one of them holds on average. Shares of all seams add up to 100 %.".to_owned()),
        ("90 % band", "Nine chances in ten that the true figure lies in it, one in twenty below and one in twenty above. A wide band says that little is known.".to_owned()),
        ("Reach", "Open: a hand gets there. Under insulation: once the insulation is opened. Behind finish: only by opening a wall, floor or ceiling. None: no hand gets there.".to_owned()),
        ("Total", format!("Leakage to anywhere, the ducts held at {pa} Pa and the house open to outdoors. It is not what leaks while the unit runs, when every place in the ducts has a pressure of its own.")),
        ("To outside", "What leaks out of the house and not into its rooms: measured with the house held at the pressure of the ducts.".to_owned()),
        ("Among the largest", format!("The chance that a seam is one of the {} that leak most.", house.allocation.top)),
        ("Hangs open", "The chance that a joint is off, or was never closed, and leaks far more than such joints do.".to_owned()),
        ("Mean", "The average over all that is possible given what was read. Where a band is lopsided it lies nearer to the band's lower end; where a joint may hang open with a small chance, the mean may even lie above the band. A share is the mean of shares, not the share of means.".to_owned()),
    ];
    let body = html! {
        (facts(&words))
        h3 { "What this report cannot know" }
        ul {
            li { "Where exactly the air leaks. A test fan reads one flow; the rest is sharing it out by what is known of joints, by the pressure at each, and by what was seen. A large share says where it is likeliest." }
            li { "What the sketch does not show: a branch left out, a joint made otherwise than was written, a hole nobody drew. Two lines of the table, one a side, stand for what is not sketched." }
            li { "How well joints of a kind are made here. Most figures of joint types are engineering estimates; the section on assumptions names the source of each." }
            li { "What will come of the work. Times, material and what remains after sealing are estimates until the test after it." }
            li { "Whether a rule is met. That is for the authority having jurisdiction to say." }
        }
    };
    Some(Part::new("how-to-read", "How to read this", &body))
}
