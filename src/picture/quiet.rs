//! A guard around outside readers that may panic on hostile files: it is caught
//! where it happens, and the terminal is spared the report.

use std::cell::Cell;
use std::panic;
use std::sync::Once;

thread_local! {
    static QUIET: Cell<bool> = const { Cell::new(false) };
}

static HOOK: Once = Once::new();

/// Runs something whose panics the caller catches, without a report of them.
pub(super) fn guard<T>(run: impl FnOnce() -> T) -> T {
    HOOK.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            if !QUIET.with(Cell::get) {
                before(info);
            }
        }));
    });
    let was = QUIET.with(|q| q.replace(true));
    let done = run();
    QUIET.with(|q| q.set(was));
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_panic_is_caught_and_the_next_one_is_reported_again() {
        let caught = guard(|| panic::catch_unwind(|| panic!("a broken file")));
        assert!(caught.is_err());
        assert!(!QUIET.with(Cell::get));
    }
}
