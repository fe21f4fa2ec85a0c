//! `page`: the drawing board in the browser.

use std::io::{self, ErrorKind};
use std::path::Path;

use super::files::{self, Existing};
use super::page_args::PageWords;
use super::{Ended, Refused};
use crate::page::{self, Address, Serve, Store, Trouble};

/// Serves the drawing board until Ctrl-C, or does what builders and the server itself ask.
pub fn page(words: &PageWords) -> Result<Ended, Refused> {
    if words.work {
        return work();
    }
    if let (Some(out), Some(library)) = (&words.one_file, &words.library) {
        return one_file(out, library);
    }
    if words.sketch == Path::new("-") {
        return Err(Refused(
            "error: the drawing board needs a file to keep the sketch in\nhint: `ductseam page house.yaml`\n".into(),
        ));
    }
    let store = Store::open(&words.sketch).map_err(refused)?;
    let name = store.name();
    page::serve(Serve {
        store,
        port: words.port,
        ready: |address: &Address| {
            files::talk(&format!(
                "drawing board of {name}: {}\nend with Ctrl-C\n",
                address.told
            ));
            if words.no_open {
                return;
            }
            if let Err(error) = open::that_detached(&address.once) {
                files::talk(&format!(
                    "no browser could be opened ({error}); open the address above in yours\n"
                ));
            }
        },
    })
    .map_err(refused)?;
    Ok(Ended::Answered)
}

fn work() -> Result<Ended, Refused> {
    match page::work(io::stdin().lock(), io::stdout().lock()) {
        Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(Refused(format!(
            "error: requests cannot be answered: {error}\n"
        ))),
        _ => Ok(Ended::Answered),
    }
}

fn one_file(out: &Path, library: &Path) -> Result<Ended, Refused> {
    files::keep_apart(Some(out), &[Some(library)])?;
    let wasm = files::read(library)?;
    if !wasm.starts_with(b"\0asm") {
        return Err(Refused(format!(
            "error: `{}` is no WebAssembly\nhint: build the library for the web first\n",
            files::shown(library)
        )));
    }
    files::write_whole(out, page::one_file(&wasm).as_bytes(), Existing::Replace)?;
    Ok(Ended::Answered)
}

fn refused(trouble: Trouble) -> Refused {
    Refused::with_hint(&trouble.title, trouble.hint)
}
