//! s
use super::JobFigures; use crate::job::model::Fastener;
pub(super) fn compute(_s: &Fastener, _sheet: &mut JobFigures) {}
