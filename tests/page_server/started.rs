//! How the command starts, is refused, and what builders ask of it.

use std::fs;
use std::process::Output;

use crate::board_server::{Server, folder, program};

fn refused(arguments: &[&str]) -> String {
    let Output {
        status,
        stdout,
        stderr,
    } = program().args(arguments).output().expect("it starts");
    let stderr = String::from_utf8(stderr).expect("UTF-8");
    assert_eq!(status.code(), Some(2), "{arguments:?}: {stderr}");
    assert!(stdout.is_empty());
    stderr
}

#[test]
fn what_is_no_sketch_is_refused_in_words() {
    let folder = folder("refused");
    let path = |name: &str| folder.join(name).display().to_string();
    fs::write(path("picture.png"), b"\x89PNG\r\n\x1a\n\0\0").expect("written");
    fs::write(path("zeros"), [0; 64]).expect("written");
    fs::write(path("large.yaml"), vec![b'#'; 8 * 1024 * 1024 + 1]).expect("written");
    for (name, words) in [
        ("", "is a folder"),
        ("picture.png", "is not UTF-8 text (byte 1)"),
        ("zeros", "is not UTF-8 text (byte 1)"),
        ("large.yaml", "is larger than 8 MB"),
        ("nowhere/house.yaml", "there is no folder"),
        ("zeros/house.yaml", "there is no folder"),
    ] {
        let told = refused(&["page", "--no-open", &path(name)]);
        assert!(
            told.starts_with("error: ") && told.contains(words),
            "{told}"
        );
        assert!(told.contains("\nhint: "), "{told}");
    }
    assert!(refused(&["page", "--no-open", "-"]).contains("needs a file"));
    assert!(refused(&["page", "--no-open", "/dev/null"]).contains("is no plain file"));
}

#[test]
fn a_port_in_use_is_told() {
    let sketch = folder("port").join("house.yaml");
    let server = Server::start(&sketch);
    let port = server.port.to_string();
    let told = refused(&[
        "page",
        "--no-open",
        "--port",
        &port,
        &sketch.display().to_string(),
    ]);
    assert!(
        told.contains(&format!("port {port} cannot be used")),
        "{told}"
    );
}

#[test]
fn every_start_has_its_own_token() {
    let sketch = folder("tokens").join("house.yaml");
    let (a, b) = (Server::start(&sketch), Server::start(&sketch));
    assert_ne!(a.token, b.token);
}

#[test]
fn one_file_holds_page_and_library() {
    let folder = folder("one-file");
    let path = |name: &str| folder.join(name).display().to_string();
    fs::write(path("library.wasm"), b"\0asm\x01\0\0\0").expect("written");
    fs::write(path("no.wasm"), b"MZ").expect("written");
    let (out, library) = (path("board.html"), path("library.wasm"));
    let ended = program()
        .args(["page", "--one-file", &out, "--library", &library])
        .status()
        .expect("it starts");
    assert!(ended.success());
    let page = fs::read_to_string(&out).expect("written");
    assert!(page.contains("id=\"library\">AGFzbQEAAAA=</script>"));
    assert!(page.contains("data-home=\"file\""));
    assert!(page.contains("'wasm-unsafe-eval'"));
    let told = refused(&["page", "--one-file", &out, "--library", &path("no.wasm")]);
    assert!(told.contains("is no WebAssembly"), "{told}");
}
