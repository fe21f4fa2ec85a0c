//! The drawing board as one file that needs no server: page, style, scripts and library in one.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest, Sha256};

use super::assets;

/// Where the page names its style sheet, its script, its home, and where its parts go. `page.html` holds each exactly once.
const STYLE_LINK: &str = "<link rel=\"stylesheet\" href=\"/front.css\">";
const SCRIPT_LINK: &str = "<script src=\"/front.js\" defer></script>";
const HOME: &str = "data-home=\"server\"";
const CHARSET: &str = "<meta charset=\"utf-8\">";
const BODY_END: &str = "</body>";

/// The page with everything in it; `wasm` is the library compiled for the web.
///
/// The page's own rule (CSP) lets run the one script that stands in it, known by its SHA-256, and WebAssembly; it lets
/// nothing be fetched from anywhere.
#[must_use]
pub fn one_file(wasm: &[u8]) -> String {
    let script = inside_a_tag(&assets::script());
    let style = inside_a_tag(&assets::style());
    let rule = format!(
        "default-src 'none'; script-src '{}' 'wasm-unsafe-eval'; style-src '{}'; img-src data: blob:; worker-src blob:; \
         connect-src 'none'; base-uri 'none'; form-action 'none'",
        hash(&script),
        hash(&style)
    );
    let head =
        format!("{CHARSET}\n<meta http-equiv=\"Content-Security-Policy\" content=\"{rule}\">");
    let body = format!(
        "<script type=\"application/octet-stream;base64\" id=\"library\">{}</script>\n<script>{script}</script>\n{BODY_END}",
        STANDARD.encode(wasm)
    );
    assets::page()
        .replacen(CHARSET, &head, 1)
        .replacen(HOME, "data-home=\"file\"", 1)
        .replacen(SCRIPT_LINK, "", 1)
        .replacen(STYLE_LINK, &format!("<style>{style}</style>"), 1)
        .replacen(BODY_END, &body, 1)
}

/// Text that does not end the tag in which it stands, nor open a comment there. In strings and comments, where alone these
/// letters can be, a backslash changes nothing.
fn inside_a_tag(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("</") {
        let (before, from) = rest.split_at(at + 1);
        out.push_str(before);
        let ends = ["/script", "/style"].iter().any(|end| {
            from.get(..end.len())
                .is_some_and(|found| found.eq_ignore_ascii_case(end))
        });
        if ends {
            out.push('\\');
        }
        rest = from;
    }
    out.push_str(rest);
    out.replace("<!--", "<\\!--").replace("\r\n", "\n")
}

fn hash(text: &str) -> String {
    format!("sha256-{}", STANDARD.encode(Sha256::digest(text)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_page_holds_each_mark_once() {
        for mark in [STYLE_LINK, SCRIPT_LINK, HOME, CHARSET, BODY_END] {
            assert_eq!(assets::page().matches(mark).count(), 1, "{mark}");
        }
    }

    #[test]
    fn one_file_asks_nobody_and_holds_the_library() {
        let page = one_file(b"\0asm");
        assert!(page.contains("data-home=\"file\""));
        assert!(page.contains("id=\"library\">AGFzbQ==</script>"));
        assert!(!page.contains("/front."));
        let script = page
            .rsplit_once("<script>")
            .and_then(|(_, rest)| rest.split_once("</script>"))
            .expect("a script")
            .0;
        let style = page
            .split_once("<style>")
            .and_then(|(_, rest)| rest.split_once("</style>"))
            .expect("a style")
            .0;
        let rule = page
            .split_once("Content-Security-Policy\" content=\"")
            .and_then(|(_, rest)| rest.split_once('"'))
            .expect("a rule")
            .0;
        assert!(rule.contains(&format!("script-src '{}'", hash(script))));
        assert!(rule.contains(&format!("style-src '{}'", hash(style))));
        // The rule stands before what it rules.
        assert!(page.find("Content-Security-Policy") < page.find("<style>"));
    }

    #[test]
    fn a_known_digest() {
        // FIPS 180-2, appendix B.1: SHA-256 of "abc", ba7816bf…, as base64.
        assert_eq!(
            hash("abc"),
            "sha256-ungWv48Bz+pBQUDeXa4iI7ADYaOWF3qctBD/YfIAFa0="
        );
    }

    #[test]
    fn a_script_cannot_end_its_own_tag() {
        assert_eq!(
            inside_a_tag("a</b/ '</Script>' '<!--'"),
            "a</b/ '<\\/Script>' '<\\!--'"
        );
    }
}
