//! How long the parts of the work take: `cargo bench --profile dev`, which
//! shares its build with the tests. Every benchmark asserts its answer.

#![allow(
    clippy::expect_used,
    clippy::unwrap_used,
    clippy::panic,
    reason = "a benchmark may stop at the first surprise"
)]

mod demo;
mod figures;
mod issue;
mod record;
mod routing;

fn main() {
    divan::main();
}
