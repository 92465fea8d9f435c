//! Tables with their sources: threads, grades, metals, electrodes, sizes.

pub mod electrode;
pub mod metal;
pub mod process;
