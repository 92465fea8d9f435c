//! stub
use super::JobFigures;
use crate::job::JobFile;
use crate::job::model::Axle;
pub(super) fn compute(_job: &JobFile, _axle: &Axle, _sheet: &mut JobFigures) {}
