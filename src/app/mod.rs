//! The use cases, and the host interface through which they reach files, the
//! clock and the environment.

pub mod reckon;
