//! Tables with their sources: threads, grades, metals, electrodes, sizes.

pub mod friction;
pub mod grade;
pub mod nut;
pub mod thread;
pub mod thread_table;
pub mod tightening;
