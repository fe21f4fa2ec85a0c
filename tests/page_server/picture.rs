//! The guide picture and its place.

use std::fs;

use serde_json::json;

use crate::board_server::{Server, folder};

const PNG: &[u8] = b"\x89PNG\r\n\x1a\n and whatever follows";

#[test]
fn the_guide_picture_is_kept_beside_the_sketch() {
    let folder = folder("photo");
    let sketch = folder.join("house.yaml");
    fs::write(&sketch, "a: 1\n").expect("written");
    let server = Server::start(&sketch);
    assert_eq!(server.ask("GET", "/api/photo", b"").status, 404);
    assert_eq!(server.ask("GET", "/api/photo/place", b"").status, 404);
    for other in [
        &b"<svg xmlns='http://www.w3.org/2000/svg'/>"[..],
        b"GIF89a",
        b"",
    ] {
        let reply = server.ask("PUT", "/api/photo", other);
        assert_eq!(reply.status, 415);
        assert_eq!(reply.refused(), "the guide picture is no JPEG, PNG or WebP");
    }
    assert_eq!(server.ask("PUT", "/api/photo", PNG).status, 200);
    let reply = server.ask("GET", "/api/photo", b"");
    assert_eq!(
        (reply.status, reply.header("content-type")),
        (200, Some("image/png"))
    );
    assert_eq!(reply.body, PNG);
    assert_eq!(fs::read(folder.join("house.photo.jpg")).expect("read"), PNG);
    assert_eq!(server.open()["photo"], true);

    let place =
        json!({"x_m": 1.5, "y_m": -2.0, "scale_m_per_px": 0.01, "angle": 0.1, "opacity": 0.5});
    let put = server.ask("PUT", "/api/photo/place", place.to_string().as_bytes());
    assert_eq!(put.status, 200);
    assert_eq!(server.ask("GET", "/api/photo/place", b"").json(), place);
    assert!(folder.join("house.photo.json").is_file());

    assert_eq!(server.ask("DELETE", "/api/photo", b"").status, 200);
    assert_eq!(server.open()["photo"], false);
    assert_eq!(fs::read_dir(&folder).expect("read").count(), 1);
    // What is not there is removed already.
    assert_eq!(server.ask("DELETE", "/api/photo", b"").status, 200);
}

#[test]
fn a_file_of_that_name_that_is_no_picture_is_not_shown() {
    let folder = folder("no-photo");
    let sketch = folder.join("house.yaml");
    fs::write(folder.join("house.photo.jpg"), "<script>").expect("written");
    let server = Server::start(&sketch);
    assert_eq!(server.ask("GET", "/api/photo", b"").status, 415);
}
