//! Two things of one check, done at the same time.

use std::{panic, thread};

/// Stack of the typesetter, as the main thread's.
const STACK: usize = 64 << 20;

/// Does one thing on a thread of its own while the other is done here.
pub(super) fn beside<A: Send, B>(there: impl Fn() -> A + Sync, here: impl FnOnce() -> B) -> (A, B) {
    thread::scope(|scope| {
        let doing = thread::Builder::new().stack_size(STACK).spawn_scoped(scope, &there);
        let done = here();
        let beside = match doing.map(thread::ScopedJoinHandle::join) {
            Ok(Ok(beside)) => beside,
            Ok(Err(fault)) => panic::resume_unwind(fault),
            // The system gave no thread.
            Err(_) => there(),
        };
        (beside, done)
    })
}
