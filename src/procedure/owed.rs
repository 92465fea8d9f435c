//! What the shop book has nobody or nothing for, and a lead looks at before the work.

/// What the shop book has nobody or nothing for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lacks {
    /// A welding procedure that covers the joint: looked at before its first arc.
    Procedure,
    /// Somebody certified for the testing: looked at before the weld is accepted.
    Tester,
}

impl Lacks {
    /// What the lead signs for.
    #[must_use]
    pub const fn meaning(self) -> &'static str {
        match self {
            Self::Procedure => "procedure, welder and machine released",
            Self::Tester => "outside tester named, certificate seen",
        }
    }

    /// What is written beside the signature, in words.
    #[must_use]
    pub const fn written(self) -> &'static str {
        match self {
            Self::Procedure => "Procedure, welder and machine",
            Self::Tester => "Name and certificate",
        }
    }

    /// How it is written, before anybody signs.
    #[must_use]
    pub const fn how(self) -> &'static str {
        match self {
            Self::Procedure => "as released for the weld, before the signature.",
            Self::Tester => "as seen for the test, before the signature.",
        }
    }

    /// What is written beside the signature: name and label of each box.
    #[must_use]
    pub const fn boxes(self) -> &'static [(&'static str, &'static str)] {
        match self {
            Self::Procedure => &[
                ("released-by", "procedure, number, who released it"),
                ("released-welder", "welder or operator"),
                ("released-machine", "machine"),
            ],
            Self::Tester => &[
                ("outside-tester", "outside tester, name and firm"),
                ("outside-certificate", "certificate, method, level, until"),
            ],
        }
    }

    /// What has to be looked at, of these joints.
    pub(super) fn said(self, joints: &str, why: &str) -> String {
        match self {
            Self::Procedure => format!(
                "Procedure to be qualified for {joints}. {why}; nothing goes on for it before one is, or before a licensed person has released the values of the weld card."
            ),
            Self::Tester => format!(
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
