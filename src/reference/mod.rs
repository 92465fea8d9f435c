//! Tables with their sources: threads, grades, metals, electrodes, sizes.

pub mod correlation;
pub mod electrode;
pub mod en_filler;
pub mod friction;
pub mod grade;
pub mod metal;
pub mod nut;
pub mod other_metal;
pub mod process;
pub mod steel_name;
pub mod thread;
pub mod thread_table;
pub mod thread_tolerance;
pub mod tightening;
