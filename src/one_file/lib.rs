//! The library for a browser: a message in, a message out, as plain bytes. No function of the browser
//! is called, so that nothing has to be generated around it.
//!
//! A message lies in one block of memory: four bytes with the length of its head (little endian),
//! the head as JSON ([`desk::Task`], [`desk::Told`]), then bytes one after the other, whose lengths
//! the head tells. The script asks for [`room`], writes the message there, calls [`ask`], and finds
//! the answer at the place that it returns, [`length`] bytes long. Whatever traps in here leaves the
//! script with its own copy of the tables, and a new instance to be made.

mod desk;
mod message;

use std::sync::{Mutex, MutexGuard, PoisonError};

use desk::Desk;

/// The message in hand.
static MESSAGE: Mutex<Vec<u8>> = Mutex::new(Vec::new());
/// What is open.
static DESK: Mutex<Option<Desk>> = Mutex::new(None);

/// One thread alone ever asks.
fn held<T>(mutex: &Mutex<T>) -> MutexGuard<'_, T> {
    mutex.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Room for a message of `size` bytes: its place in memory.
#[unsafe(no_mangle)]
pub extern "C" fn room(size: usize) -> *mut u8 {
    let mut message = held(&MESSAGE);
    message.clear();
    message.resize(size, 0);
    message.as_mut_ptr()
}

/// Does what the message says; gives the place of the answer.
#[unsafe(no_mangle)]
pub extern "C" fn ask() -> *const u8 {
    let mut message = held(&MESSAGE);
    let answer = held(&DESK).get_or_insert_default().hear(&message);
    *message = answer;
    message.as_ptr()
}

/// How long the answer is, bytes.
#[unsafe(no_mangle)]
pub extern "C" fn length() -> usize {
    held(&MESSAGE).len()
}
