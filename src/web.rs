//! The library for the web: the drawing board's one door as WebAssembly, without glue code.
//!
//! A page writes a request (UTF-8) to the place that [`board_reserve`] gives, calls [`board_call`] with its length and reads
//! as many bytes as that says from [`board_reply`]. Nothing is imported: no clock, no network, no files. A panic ends in a trap;
//! its message can then be read by [`board_last_words`], and the instance must be thrown away.
//!
//! As a program for a machine this is empty: it exists for `wasm32-unknown-unknown` alone (`.ci/one-file` builds it).

use std::cell::RefCell;
use std::panic;
use std::sync::Once;

thread_local! {
    static REQUEST: RefCell<Vec<u8>> = const { RefCell::new(Vec::new()) };
    static REPLY: RefCell<String> = const { RefCell::new(String::new()) };
    static LAST_WORDS: RefCell<String> = const { RefCell::new(String::new()) };
}

static HEARD: Once = Once::new();

fn main() {}

/// Makes room for a request of so many bytes and says where; good until the next call of it.
#[unsafe(no_mangle)]
pub extern "C" fn board_reserve(bytes: usize) -> *mut u8 {
    REQUEST.with_borrow_mut(|request| {
        request.clear();
        request.resize(bytes, 0);
        request.as_mut_ptr()
    })
}

/// Answers the request in the first so many bytes of the place reserved; gives the reply's length.
#[unsafe(no_mangle)]
pub extern "C" fn board_call(bytes: usize) -> usize {
    HEARD.call_once(|| {
        panic::set_hook(Box::new(|info| {
            let said = info.to_string();
            // Were the message itself being read, it is better lost than a panic within a panic.
            LAST_WORDS.with(|words| {
                if let Ok(mut words) = words.try_borrow_mut() {
                    *words = said;
                }
            });
        }));
    });
    let request = REQUEST.with_borrow(|request| {
        let end = bytes.min(request.len());
        String::from_utf8_lossy(&request[..end]).into_owned()
    });
    let reply = ductseam::board::call(&request);
    let length = reply.len();
    REPLY.set(reply);
    length
}

/// Where the last reply stands; good until the next [`board_call`].
#[unsafe(no_mangle)]
pub extern "C" fn board_reply() -> *const u8 {
    REPLY.with_borrow(|reply| reply.as_ptr())
}

/// Where the message of the panic stands that ended this instance.
#[unsafe(no_mangle)]
pub extern "C" fn board_last_words() -> *const u8 {
    LAST_WORDS.with_borrow(|words| words.as_ptr())
}

/// Length of that message in bytes; 0 if there was no panic.
#[unsafe(no_mangle)]
pub extern "C" fn board_last_words_length() -> usize {
    LAST_WORDS.with_borrow(|words| words.len())
}
