//! The bar that proves a print at full size.

/// The metric bar, in millimetres.
pub const METRIC: f64 = 100.0;
/// How far the metric bar may be off, in millimetres.
pub const LIMIT: f64 = 0.5;

/// Whether a bar that measured so many millimetres proves its print.
#[must_use]
pub fn holds(measured: f64) -> bool {
    (measured - METRIC).abs() <= LIMIT + 1e-9
}
