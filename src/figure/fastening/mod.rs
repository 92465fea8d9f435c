//! Threads and tightening.
//!
//! Torque is positive when it tightens, preload when it stretches the bolt.
//! Where published values disagree the safe one is used and the answer says so;
//! a torque the manufacturer states comes before a computed one.

pub mod assembly;
pub mod bears;
pub mod charts;
pub mod embedding;
pub mod factor;
pub mod friction;
pub mod grade;
pub mod limits;
pub mod maker;
pub mod nut;
pub mod nut_factor;
pub mod preload;
pub mod profile;
pub mod scatter;
pub mod selection;
pub mod sequence;
pub mod shear;
pub mod short_form;
pub mod stages;
pub mod stiffness;
pub mod thread;
pub mod torque;
pub mod total_friction;
pub mod ubolt;
pub mod wrench;

use super::Family;

/// Families of this trade.
pub const FAMILIES: &[&Family] = &[
    &thread::THREAD_SIZE,
    &grade::GRADE_STRENGTH,
    &nut::NUT_MATCH,
    &torque::TORQUE,
    &nut_factor::NUT_FACTOR,
    &preload::PRELOAD,
    &scatter::PRELOAD_SCATTER,
    &friction::TORQUE_FRICTION,
    &total_friction::FRICTION_TOTAL,
    &assembly::VDI_PRELOAD,
    &stages::TORQUE_STAGES,
    &wrench::PREVAILING_TORQUE,
    &wrench::ADAPTER,
    &wrench::WRENCH_CHOICE,
    &stiffness::JOINT_STIFFNESS,
    &embedding::EMBEDDING_LOSS,
    &embedding::TURN_TO_LOAD,
    &embedding::TURN_OF_NUT,
    &ubolt::UBOLT_CLAMP,
    &ubolt::UBOLT_SIZE,
    &shear::BOLT_SHEAR,
    &shear::CENTRE_PIN,
    &charts::UBOLT_CHART,
    &charts::WHEEL_NUTS,
    &charts::RETORQUE,
];
