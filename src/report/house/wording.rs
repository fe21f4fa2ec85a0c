//! Sentences that tell whoever runs the program what to write or to run, as whoever holds the page reads them.

/// What stands in the answers of a terminal, and what the owner and the crew read instead.
const TOLD: [(&str, &str); 5] = [
    (" Then say `suspect tape: none seen` in the sketch.", ""),
    (
        "The sketch names no burning appliance.",
        "No burning appliance was entered.",
    ),
    ("say so under `combustion`, and have", "have"),
    (
        " `ductseam plan` says what more work would buy.",
        " A plan made from the newest readings says what more work would buy.",
    ),
    (
        ": say `price once` for `inside` under `crew`.",
        ": it was not entered.",
    ),
];

/// A text without the words of the command line and of the sketch.
pub fn for_readers(text: &str) -> String {
    TOLD.iter().fold(text.to_owned(), |text, (from, told)| {
        text.replace(from, told)
    })
}

/// Where the work waits nobody is sent to look: what is known stays, what to do about it goes.
pub fn sends_nobody(text: &str) -> String {
    text.replace(" Look there first.", "").replace(
        ": look there first; put it together and read again before sealing joints",
        "",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::cautions::cautions;
    use crate::report::samples;
    use crate::system::SuspectTape;

    #[test]
    fn cautions_lose_the_words_of_the_sketch_and_keep_what_they_warn_of() {
        let mut system = samples::system();
        system.combustion.clear();
        system.suspect_tape = SuspectTape::NotChecked;
        let before: Vec<String> = cautions(&system).into_iter().map(|one| one.text).collect();
        let told: Vec<String> = before.iter().map(|text| for_readers(text)).collect();
        assert!(
            before
                .iter()
                .any(|text| text.contains("under `combustion`"))
        );
        assert!(before.iter().any(|text| text.contains("in the sketch")));
        for text in &told {
            assert!(!text.contains('`') && !text.contains("sketch"), "{text}");
        }
        let all = told.join(" ");
        for kept in [
            "If there is one (furnace, boiler, water heater, fireplace), have draft, spillage and carbon monoxide tested",
            "it may hold asbestos. If in doubt stop and have it tested.",
        ] {
            assert!(all.contains(kept), "{kept}: {all}");
        }
    }

    /// Every sentence that is replaced is still written so where it comes from.
    #[test]
    fn what_is_replaced_is_still_said() {
        let sources = [
            include_str!("../cautions.rs"),
            include_str!("../prove/text.rs"),
            include_str!("../plan/mod.rs"),
        ]
        .join(" ")
        // Long strings go on at the next line after a backslash.
        .replace("\\\n", "");
        let sources = sources.split_whitespace().collect::<Vec<_>>().join(" ");
        for (from, _) in TOLD {
            assert!(sources.contains(from.trim()), "{from}");
        }
    }
}
