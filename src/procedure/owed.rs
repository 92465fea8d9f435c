//! What the shop book has nobody or nothing for, and a lead looks at.

use crate::term::{Method, Moment, OUTSIDE};

/// What the shop book has nobody or nothing for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lacks {
    /// A welding procedure that covers the joint: looked at before its first arc.
    Procedure,
    /// Somebody certified for a test: looked at before the weld is accepted.
    Tester(Method),
}

impl Lacks {
    /// What the lead signs for.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Procedure => "procedure, welder and machine released",
            Self::Tester(_) => "outside tester named, certificate seen",
        }
    }

    /// What is written beside the signature, in words.
    #[must_use]
    pub const fn written(self) -> &'static str {
        match self {
            Self::Procedure => "Procedure, welder and machine",
            Self::Tester(_) => "Name and certificate",
        }
    }

    /// How it is written, before anybody signs.
    #[must_use]
    pub const fn how(self) -> &'static str {
        match self {
            Self::Procedure => "as released for the weld, before the signature.",
            Self::Tester(_) => "as seen before the test.",
        }
    }

    /// Where it is signed for: a procedure in front of the weld that is made by it; a tester
    /// behind the tests of the weld, so that a test that is asked later touches its acceptance
    /// alone.
    #[must_use]
    pub const fn moment(self) -> Moment {
        match self {
            Self::Procedure => Moment::Before,
            Self::Tester(_) => Moment::After,
        }
    }

    /// What is written for these joints: id and label of each box. Those of a tester are named
    /// for the test, `outside-tester.MT.J4`.
    #[must_use]
    pub fn boxes(self, joints: &[String]) -> Vec<(String, String)> {
        let (list, said) = (joints.join("-"), joints.join(", "));
        let named = |all: &[(&str, &str)], of: &str, what: &str| -> Vec<(String, String)> {
            all.iter()
                .map(|(id, label)| (format!("{id}.{of}{list}"), format!("{said}{what}: {label}")))
                .collect()
        };
        match self {
            Self::Procedure => named(
                &[
                    ("released-by", "procedure, number, who released it"),
                    ("released-welder", "welder or operator"),
                    ("released-machine", "machine"),
                ],
                "",
                "",
            ),
            Self::Tester(method) => named(
                &[
                    (&format!("{OUTSIDE}tester"), "outside tester, name and firm"),
                    (&format!("{OUTSIDE}certificate"), "certificate, method, level, until"),
                ],
                &format!("{}.", method.letters()),
                &format!(", {}", method.word()),
            ),
        }
    }

    /// What has to be looked at, of these joints.
    pub(super) fn said(self, joints: &str, why: &str) -> String {
        match self {
            Self::Procedure => format!(
                "Procedure to be qualified for {joints}. {why}; nothing goes on for it before one is, or before a licensed person has released the values of the weld card."
            ),
            Self::Tester(_) => format!(
                "Outside tester for {joints}. {why}; no test before one is named and the certificate for the method is seen."
            ),
        }
    }
}

/// A review the shop lead owes before a joint is welded or tested.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Review {
    /// Joint it concerns.
    pub joint: String,
    /// What is lacking.
    pub lacks: Lacks,
    /// Why, a sentence without its full stop.
    pub why: String,
}

/// A review of one or more joints of which the same is said.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Owed {
    /// Joints it concerns.
    pub joints: Vec<String>,
    /// What is lacking.
    pub lacks: Lacks,
    /// What has to be looked at.
    pub what: String,
}
