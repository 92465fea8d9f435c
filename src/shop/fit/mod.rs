//! Joint x welder x procedure x machine: who may, and the reason of every no.

mod machine;
mod need;
mod table;
mod tool;
mod welder;
mod wps;

pub use machine::{amps_at, check as machine, cold_limit};
pub use need::Need;
pub use table::{JointFit, MachineFit, Procedure, Row, Table, Task, ToolFit, WelderFit, fit};
pub use tool::{ReadingNeed, TorqueNeed, readings, torques};
pub use welder::{Outcome, check as welder};
pub use wps::{Ranges, check as wps, ranges};

use crate::quantity::{Dimensioned, Style};
use crate::source::Source;
use crate::term::Units;

/// One thing found when a joint was compared with the book.
#[derive(Debug, Clone, PartialEq)]
pub struct Finding {
    /// What, in words: names the variable and both values.
    pub text: String,
    /// Whether it is a no; else a remark.
    pub refuses: bool,
    /// Rule, where a standard says so.
    pub source: Option<Source>,
    /// What it is about, where somebody asks for it.
    pub topic: Topic,
    /// Key of the joint that is to blame, and a value that would do.
    pub write: Option<(&'static str, String)>,
    /// Whether that value is the only one that would do; else it is the nearest of several,
    /// and only told.
    pub only: bool,
}

/// What a finding is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Topic {
    /// Nothing anybody asks for.
    #[default]
    Any,
    /// Current and voltage that leave a cold joint.
    ColdJoint,
    /// A range that does not hold the value.
    Range,
    /// A tool the job names.
    NamedTool,
    /// A calibration that does not hold on the day.
    Calibration,
}

impl Finding {
    /// A reason for a no.
    #[must_use]
    pub fn no(text: impl Into<String>) -> Self {
        Self { text: text.into(), refuses: true, source: None, topic: Topic::Any, write: None, only: false }
    }

    /// Something to know that refuses nothing.
    #[must_use]
    pub fn remark(text: impl Into<String>) -> Self {
        Self { text: text.into(), refuses: false, source: None, topic: Topic::Any, write: None, only: false }
    }

    /// The same with its rule.
    #[must_use]
    pub fn by(mut self, source: Source) -> Self {
        self.source = Some(source);
        self
    }

    /// The same with the key to blame and what to write there.
    #[must_use]
    pub fn write(mut self, key: &'static str, value: impl Into<String>) -> Self {
        self.write = Some((key, value.into()));
        self.only = true;
        self
    }

    /// The same with the key to blame and the nearest of several values that would do.
    #[must_use]
    pub fn near(mut self, key: &'static str, value: impl Into<String>) -> Self {
        self.write = Some((key, value.into()));
        self.only = false;
        self
    }

    /// The same with what it is about.
    #[must_use]
    pub const fn about(mut self, topic: Topic) -> Self {
        self.topic = topic;
        self
    }
}

/// Whether none of the findings is a no.
#[must_use]
pub fn may(findings: &[Finding]) -> bool {
    !findings.iter().any(|f| f.refuses)
}

/// A value with the units of a job first.
fn shown<T: Dimensioned>(units: Units, value: T) -> String {
    ordered(units, Style::of(T::KIND)).both(value.into())
}

/// A style with the units of a job first.
const fn ordered(units: Units, style: Style) -> Style {
    match units {
        Units::Inch => style,
        Units::Metric => style.metric_first(),
    }
}
