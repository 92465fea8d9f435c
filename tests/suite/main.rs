//! One test binary; a module per subject.

#![allow(clippy::expect_used, clippy::unwrap_used, clippy::panic, reason = "a test may stop at the first surprise")]

mod drawings;
mod figures;
mod figures_axle;
mod figures_driveline;
mod figures_fastening;
mod figures_fastening_laws;
mod figures_metrology;
mod figures_suspension;
mod figures_weld_strength;
mod figures_welding_heat;
mod figures_welding_inputs;
mod figures_welding_joint;
mod pages;
mod quantities;
mod routing;
mod routing_folder;
mod routing_growth;
mod routing_jobs;
mod routing_rules;
mod routing_why;
mod support;
