//! What every file of a trade is written with: `use crate::figure::prelude::*;`.

pub(super) use std::f64::consts::PI;

pub(super) use super::range::{ABOVE_ZERO, NOT_NEGATIVE, Range, count, positive, within};
pub(super) use super::read::{Read, Stated, lacking, require};
pub(super) use super::root::{larger, smaller};
pub(super) use super::shown::{
    FINE_LENGTH, FINE_RPM, HUNDRED_THOUSANDTH, HUNDREDTH, TEN_THOUSANDTH, THOUSANDTH, WHOLE, show,
};
pub(super) use super::trouble::{Refuse, Result};
pub(super) use super::{Gives, Out, Said, Trouble};
pub(super) use crate::quantity::show::{ANGLE, FINE_ANGLE, GAUGE, LENGTH, SECONDS, TAPE};
pub(super) use crate::quantity::typed::*;
pub(super) use crate::quantity::{Form, Kind, Style, Toward, math, round, unit};
pub(super) use crate::source::Source;
pub(super) use crate::{family, words};
