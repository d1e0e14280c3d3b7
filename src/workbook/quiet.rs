//! Runs code that may panic on a damaged file, without its panic reaching the screen.

use std::cell::Cell;
use std::panic::{AssertUnwindSafe, catch_unwind, set_hook, take_hook};
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}
static HOOK: Once = Once::new();

/// The result of `job`, or `None` if it panicked.
pub(super) fn catch<T>(job: impl FnOnce() -> T) -> Option<T> {
    HOOK.call_once(|| {
        let before = take_hook();
        set_hook(Box::new(move |info| {
            if !QUIET.get() {
                before(info);
            }
        }));
    });
    let was = QUIET.replace(true);
    let result = catch_unwind(AssertUnwindSafe(job)).ok();
    QUIET.set(was);
    result
}
