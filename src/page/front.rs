//! The list of the front end's files, in the order in which they are joined.

/// The page itself.
pub const PAGE: &str = include_str!("front/page.html");

/// Style sheets, in order.
pub const STYLES: &[&str] = &[
    include_str!("front/page.css"),
    include_str!("front/drawing.css"),
];

/// Scripts, in order: what is used while the page loads stands before what uses it.
pub const SCRIPTS: &[&str] = &[
    include_str!("front/base.js"),
    include_str!("front/pick.js"),
    include_str!("front/host_server.js"),
    include_str!("front/worker_file.js"),
    include_str!("front/host_file.js"),
    include_str!("front/places.js"),
    include_str!("front/doc.js"),
    include_str!("front/asking.js"),
    include_str!("front/numbers.js"),
    include_str!("front/words.js"),
    include_str!("front/diff.js"),
    include_str!("front/conflict.js"),
    include_str!("front/new_sketch.js"),
    include_str!("front/side.js"),
    include_str!("front/status.js"),
    include_str!("front/cautions.js"),
    include_str!("front/field.js"),
    include_str!("front/forms.js"),
    include_str!("front/form_run.js"),
    include_str!("front/form_step.js"),
    include_str!("front/form_unit.js"),
    include_str!("front/form_house.js"),
    include_str!("front/looks.js"),
    include_str!("front/reading_fields.js"),
    include_str!("front/readings.js"),
    include_str!("front/faults.js"),
    include_str!("front/text_view.js"),
    include_str!("front/answers.js"),
    include_str!("front/outline.js"),
    include_str!("front/snap.js"),
    include_str!("front/scene.js"),
    include_str!("front/camera.js"),
    include_str!("front/room.js"),
    include_str!("front/paint.js"),
    include_str!("front/signs.js"),
    include_str!("front/marks.js"),
    include_str!("front/hit.js"),
    include_str!("front/acts.js"),
    include_str!("front/over.js"),
    include_str!("front/hint.js"),
    include_str!("front/strip.js"),
    include_str!("front/length_box.js"),
    include_str!("front/pen.js"),
    include_str!("front/tools.js"),
    include_str!("front/gestures.js"),
    include_str!("front/moving.js"),
    include_str!("front/taps.js"),
    include_str!("front/keys.js"),
    include_str!("front/photo_under.js"),
    include_str!("front/drawing.js"),
    include_str!("front/main.js"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_file_of_the_folder_is_sent_once() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/src/page/front");
        for entry in std::fs::read_dir(folder).expect("the folder") {
            let path = entry.expect("a file").path();
            let text = std::fs::read_to_string(&path).expect("text");
            let among: &[&str] = match path.extension().and_then(|end| end.to_str()) {
                Some("js") => SCRIPTS,
                Some("css") => STYLES,
                _ => &[PAGE],
            };
            let times = among.iter().filter(|one| **one == text).count();
            assert_eq!(times, 1, "{}", path.display());
        }
    }
}
