//! s
use super::JobFigures; use crate::job::JobFile; use crate::job::model::Joint;
pub(super) fn compute(_job: &JobFile, _s: &Joint, _sheet: &mut JobFigures) {}
