//! Many jobs in one process: each on a thread of its own, never inside another.

use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::thread;

use rayon::{ThreadPool, ThreadPoolBuilder};

use crate::render;

/// Says that the program ends with its one document, and need not tidy up behind it.
pub fn only_one() {
    render::keep(usize::MAX);
}

/// Does the work for every job, as many at a time as there are processors, and
/// gives the results in the order of the jobs.
///
/// Each thread has its own pool for what the typesetter does in parallel. On a
/// shared pool a thread that waits for the typesetter would begin the next job
/// in the meantime, and keep the memory of the first until that one is done:
/// in the end the jobs of the whole batch would be open at once.
pub fn each<J: Sync, R: Send>(jobs: &[J], work: impl Fn(&J) -> R + Sync) -> Vec<R> {
    let processors = rayon::current_num_threads().max(1);
    let threads = processors.min(jobs.len());
    if jobs.len() < 2 {
        return jobs.iter().map(work).collect();
    }
    render::keep(threads);
    let next = AtomicUsize::new(0);
    let done = Mutex::new(Vec::with_capacity(jobs.len()));
    let worker = || {
        let pool = ThreadPoolBuilder::new().num_threads(processors / threads).build().ok();
        loop {
            let index = next.fetch_add(1, Ordering::Relaxed);
            let Some(job) = jobs.get(index) else { break };
            let result = within(pool.as_ref(), || work(job));
            done.lock().unwrap_or_else(PoisonError::into_inner).push((index, result));
        }
    };
    thread::scope(|scope| {
        for _ in 0..threads {
            scope.spawn(worker);
        }
    });
    render::keep(0);
    let mut done = done.into_inner().unwrap_or_else(PoisonError::into_inner);
    done.sort_by_key(|(index, _)| *index);
    done.into_iter().map(|(_, result)| result).collect()
}

/// Runs on the pool, or here if the system gave none.
fn within<R: Send>(pool: Option<&ThreadPool>, work: impl FnOnce() -> R + Send) -> R {
    match pool {
        Some(pool) => pool.install(work),
        None => work(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn results_stand_in_the_order_of_the_jobs() {
        let jobs: Vec<usize> = (0..200).collect();
        let doubled = each(&jobs, |n| {
            if n % 7 == 0 {
                thread::yield_now();
            }
            2 * n
        });
        assert_eq!(doubled, jobs.iter().map(|n| 2 * n).collect::<Vec<_>>());
        assert!(each(&[] as &[usize], |n| *n).is_empty());
    }

    #[test]
    fn a_job_that_waits_for_its_pool_begins_no_other() {
        let open = Mutex::new(std::collections::BTreeMap::new());
        each(&(0..40).collect::<Vec<usize>>(), |_| {
            let this = thread::current().id();
            let mut guard = open.lock().unwrap_or_else(PoisonError::into_inner);
            let count: &mut usize = guard.entry(format!("{this:?}")).or_default();
            *count += 1;
            assert_eq!(*count, 1, "two jobs are open on one thread");
            drop(guard);
            rayon::join(|| (), || ());
            while let Some(rayon::Yield::Executed) = rayon::yield_now() {}
            open.lock().unwrap_or_else(PoisonError::into_inner).insert(format!("{this:?}"), 0);
        });
    }
}
