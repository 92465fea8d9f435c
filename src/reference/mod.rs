//! Tables with their sources: threads, grades, metals, electrodes, sizes.
