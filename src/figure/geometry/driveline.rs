//! Joint angles and the turn of the joint planes of shafts that run one behind
//! the other.

use super::axis::{Vector, between, cross, dot, unit};
use super::joint_angle::Views;
use crate::figure::prelude::*;

/// A joint between two members.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Joint {
    /// True angle between the members it joins, never negative.
    pub angle: Angle,
    /// Turn of its plane against the plane of the first joint, counted along
    /// the shafts; zero if all members lie in one plane.
    pub plane: Angle,
}

/// Sine of the joint angle below which a joint has no plane of its own.
const STRAIGHT: f64 = 1e-9;

/// The joints of members in order, from their side and plan angles.
#[must_use]
pub fn joints(members: &[Views]) -> Vec<Joint> {
    let directions: Vec<Vector> =
        members.iter().map(|v| unit([1.0, math::tan(v.plan), math::tan(v.side)])).collect();
    let mut plane = 0.0;
    let mut last: Option<Vector> = None;
    directions
        .windows(2)
        .filter_map(|pair| <[Vector; 2]>::try_from(pair).ok())
        .map(|[before, after]| {
            let normal = cross(before, after);
            // A straight joint has no plane; it takes over the one before.
            if dot(normal, normal).sqrt() > STRAIGHT {
                if let Some(last) = last {
                    plane += math::atan2(dot(before, cross(last, normal)), dot(last, normal)).si();
                }
                last = Some(normal);
            }
            Joint { angle: between(before, after), plane: Angle::from_si(plane) }
        })
        .collect()
}
