//! Whether words and places are wanted: a survey of millions of pairs asks only what each comes to.

use std::cell::Cell;

thread_local! {
    static BRIEF: Cell<bool> = const { Cell::new(false) };
}

/// Puts the switch back, a panic included.
struct Before(bool);

impl Drop for Before {
    fn drop(&mut self) {
        BRIEF.set(self.0);
    }
}

/// Does `work` without words and places on this thread: sentences are empty, cells are not named, and
/// nothing else changes.
///
/// ```
/// use sparemesh::findings::{in_brief, is_brief};
/// assert!(in_brief(is_brief) && !is_brief());
/// ```
pub fn in_brief<T>(work: impl FnOnce() -> T) -> T {
    let _before = Before(BRIEF.replace(true));
    work()
}

/// Whether this thread does without words.
#[must_use]
pub fn is_brief() -> bool {
    BRIEF.get()
}

/// `format!` where somebody reads it; nothing in brief.
macro_rules! words {
    ($($arg:tt)*) => {
        if $crate::findings::is_brief() { String::new() } else { format!($($arg)*) }
    };
}
pub(crate) use words;
