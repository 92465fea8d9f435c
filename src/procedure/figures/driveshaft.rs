//! s
use super::JobFigures; use crate::job::JobFile; use crate::job::model::Driveshaft;
pub(super) fn compute(_job: &JobFile, _s: &Driveshaft, _sheet: &mut JobFigures) {}
