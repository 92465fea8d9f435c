//! One test binary; a module per subject.

#![allow(
    clippy::disallowed_methods,
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a test may stop at the first surprise, and reckon with the platform's own mathematics"
)]

mod architecture;
mod blank_jobs;
mod bounds;
mod boxes;
mod cli;
mod codes;
mod copies;
mod demo_jobs;
mod demo_walks;
mod drawings;
mod figures;
mod figures_axle;
mod figures_driveline;
mod figures_earned;
mod figures_fastening;
mod figures_fastening_laws;
mod figures_metrology;
mod figures_names;
mod figures_suspension;
mod figures_weld_columns;
mod figures_weld_earned;
mod figures_weld_strength;
mod figures_welding_heat;
mod figures_welding_inputs;
mod figures_welding_joint;
mod file_slips;
mod full_size;
mod golden;
mod hostile_jobs;
mod invalid_jobs;
mod job_digits;
mod job_fields;
mod job_keys;
mod job_limits;
mod job_results;
mod job_schema;
mod job_values;
mod less_to_write;
mod mended_values;
mod one_wrong_thing;
mod order_of_the_trade;
mod order_of_the_work;
mod out_paths;
mod pages;
mod paper_pictures;
mod paper_safety;
mod paper_words;
mod patterns;
mod pictures;
mod pictures_gate;
mod places;
mod plan;
mod procedures;
mod quantities;
mod quantity_spellings;
mod readme;
mod ready;
mod ready_places;
mod record_accepted;
mod record_attacks;
mod record_customer;
mod record_cut;
mod record_fallen;
mod record_files;
mod record_gates;
mod record_held;
mod record_hostile;
mod record_log;
mod record_persons;
mod record_released;
mod record_rules;
mod record_slips;
mod record_story;
mod record_times;
mod record_told;
mod record_versions;
mod record_ways_out;
mod record_witness;
mod routing;
mod routing_folder;
mod routing_growth;
mod routing_jobs;
mod routing_order;
mod routing_rules;
mod routing_why;
mod shop;
mod shop_fit;
mod shop_plan;
mod signature_keys;
mod signature_pages;
mod signature_records;
mod support;
mod told_keys;
mod way_back;
mod way_back_desk;
mod way_back_truck;
mod weld_rules;
mod weld_symbols;
