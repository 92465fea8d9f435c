//! Words that mean the same in a file, on paper and in the log: one enum each,
//! with the name it is stored under.

/// The words of an enum: all of them, the one of a variant and back, and how it
/// is displayed.
#[macro_export]
macro_rules! worded {
    ($name:ident { $($variant:ident = $word:literal,)+ }) => {
        impl $name {
            /// Every word, in the order a person meets them.
            pub const WORDS: &'static [&'static str] = &[$($word,)+];

            /// The word as written in a file and on paper.
            #[must_use]
            pub const fn word(self) -> &'static str {
                match self { $($name::$variant => $word,)+ }
            }

            /// What a word stands for.
            #[must_use]
            pub fn of(word: &str) -> Option<Self> {
                match word { $($word => Some($name::$variant),)+ _ => None }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                f.write_str(self.word())
            }
        }
    };
}

/// Declares an enum of fixed words: written in files as `word`, stored as the
/// name after `as`.
macro_rules! terms {
    ($(#[$doc:meta])* $vis:vis enum $name:ident {
        $($(#[$vdoc:meta])* $variant:ident = $word:literal as $stored:literal,)+
    }) => {
        $(#[$doc])*
        #[derive(
            Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize,
        )]
        $vis enum $name { $($(#[$vdoc])* #[doc = concat!("`", $word, "`.")] #[serde(rename = $stored)] $variant,)+ }

        $crate::worded!($name { $($variant = $word,)+ });
    };
}

pub mod bar;
pub mod clock;
mod counted;
pub mod customer;
pub mod decide;
pub mod empty;
mod full_size;
pub mod instrument;
mod method;
pub mod name;
pub mod odometer;
pub mod shell;
mod sketch;
pub mod unseen;

/// Most characters of a sentence or paragraph that is printed whole.
pub const PRINTED: usize = 1200;

/// How the ids of readings begin that name who from outside makes a test, and by which
/// certificate: `outside-tester.MT.J4`.
pub const OUTSIDE: &str = "outside-";

/// What the id of a box begins with where what the figures wanted settled is written down.
pub const SETTLED: &str = "settled-";

/// What stands in the words of a weld before what only its acceptance asks.
pub const ACCEPTED_BY: &str = "; accepted by ";

pub use counted::counted;
pub use full_size::FullSize;
pub use method::Method;
pub use sketch::Sketch;

terms! {
    /// Kind of a point in the work where somebody looks and signs.
    #[derive(Default)]
    pub enum PointKind {
        /// Work stops until the role signs.
        #[default]
        Hold = "hold" as "hold",
        /// The role is called; work may go on if nobody comes, and that is
        /// recorded.
        Witness = "witness" as "witness",
        /// A document is looked at and signed.
        Review = "review" as "review",
    }
}

impl PointKind {
    /// Letter before its number: `H4`.
    #[must_use]
    pub const fn letter(self) -> char {
        match self {
            PointKind::Hold => 'H',
            PointKind::Witness => 'W',
            PointKind::Review => 'R',
        }
    }
}

terms! {
    /// Whether a point stands before or after its operation.
    pub enum Moment {
        /// Before the first step.
        Before = "before" as "before",
        /// After the last step.
        After = "after" as "after",
    }
}

terms! {
    /// Signal words of ANSI Z535.6, the worst first.
    #[derive(Default)]
    pub enum Signal {
        /// Death or serious injury will follow.
        Danger = "danger" as "DANGER",
        /// Death or serious injury could follow.
        Warning = "warning" as "WARNING",
        /// Minor or moderate injury could follow.
        #[default]
        Caution = "caution" as "CAUTION",
        /// Damage, not injury.
        Notice = "notice" as "NOTICE",
    }
}

terms! {
    /// Paper of a traveler.
    #[derive(Default)]
    pub enum Paper {
        /// US Letter: 8.5 x 11 in (215.9 x 279.4 mm).
        #[default]
        Letter = "letter" as "us-letter",
        /// ISO A4: 210 x 297 mm (ISO 216).
        A4 = "a4" as "a4",
    }
}

terms! {
    /// Which units stand first.
    #[derive(Default)]
    pub enum Units {
        /// Inches first, SI behind.
        #[default]
        Inch = "inch" as "inch",
        /// SI first, inches behind.
        Metric = "metric" as "metric",
    }
}

terms! {
    /// What somebody may do and sign.
    pub enum Role {
        /// Plans, releases, gives dispositions.
        Lead = "lead" as "lead",
        /// Welds.
        Welder = "welder" as "welder",
        /// Fits, measures, assembles.
        Fitter = "fitter" as "fitter",
        /// Accepts welds; never the own ones.
        Inspector = "inspector" as "inspector",
        /// Represents the customer.
        Customer = "customer" as "customer",
        /// Anyone else who signs.
        Other = "other" as "other",
    }
}

terms! {
    /// What a lead decides about a found condition.
    pub enum Disposition {
        /// Good enough as it is.
        UseAsIs = "use as is" as "use as is",
        /// Bring it to the drawing.
        Rework = "rework" as "rework",
        /// Make it safe by another way than the drawing.
        Repair = "repair" as "repair",
        /// Replace it.
        Reject = "reject" as "reject",
    }
}

impl Disposition {
    /// Every one, in the order they are offered.
    pub const ALL: [Self; 4] = [Self::UseAsIs, Self::Rework, Self::Repair, Self::Reject];

    /// Whether somebody works on what was found after it.
    #[must_use]
    pub const fn puts_right(self) -> bool {
        matches!(self, Self::Rework | Self::Repair)
    }
}

terms! {
    /// What a photo of the work shows.
    pub enum Shows {
        /// Before anything was done.
        AsFound = "as found" as "as found",
        /// When it was done.
        AsLeft = "as left" as "as left",
    }
}

terms! {
    /// Side of a vehicle, looking forward.
    pub enum Side {
        Left = "left" as "left",
        Right = "right" as "right",
    }
}

impl Side {
    /// Both, left first.
    pub const BOTH: [Self; 2] = [Self::Left, Self::Right];
}

terms! {
    /// How much hangs on a step, a reading or an operation, the least first.
    #[derive(Default)]
    pub enum Level {
        /// Text without a box.
        #[default]
        Practice = "practice" as "practice",
        /// A number with a limit, or one a figure or the law needs.
        Control = "control" as "control",
        /// A failure injures or can't be undone.
        Safety = "safety" as "safety",
    }
}

terms! {
    /// What a word written in a box does.
    #[derive(Default)]
    pub enum Does {
        /// Nothing is left to decide.
        #[default]
        Conforms = "conforms" as "conforms",
        /// It is a found condition and waits for a disposition.
        Found = "found" as "found",
        /// It shuts the next hold until the lead has decided.
        Stops = "stops" as "stops",
    }
}

terms! {
    /// How a value follows from readings.
    #[derive(Default)]
    pub enum Take {
        /// The left reading less the right one.
        LeftMinusRight = "left minus right" as "left minus right",
        /// The first reading less all others.
        #[default]
        Difference = "difference" as "difference",
        /// The arithmetic mean.
        Mean = "mean" as "mean",
        /// The one nearest to minus infinity, not to zero.
        Least = "least" as "least",
        /// The one farthest from minus infinity, not from zero.
        Largest = "largest" as "largest",
        /// Volts and amps over how fast the weld grows: energy for each length of it.
        ArcEnergy = "arc energy" as "arc energy",
    }
}

impl Take {
    /// The value that follows from these, in their order; none from nothing.
    #[must_use]
    pub fn of_all(self, values: &[f64]) -> Option<f64> {
        let (first, others) = values.split_first()?;
        Some(match self {
            Self::LeftMinusRight | Self::Difference => first - others.iter().sum::<f64>(),
            #[allow(clippy::cast_precision_loss)]
            Self::Mean => values.iter().sum::<f64>() / values.len() as f64,
            Self::Least => values.iter().copied().fold(f64::INFINITY, f64::min),
            Self::Largest => values.iter().copied().fold(f64::NEG_INFINITY, f64::max),
            Self::ArcEnergy => {
                let (power, slow) = others.split_first().map(|(amps, more)| (first * amps, more))?;
                let growth: f64 = slow.iter().product();
                return (!slow.is_empty() && growth > 0.0).then_some(power / growth);
            }
        })
    }
}

impl Take {
    /// Standard uncertainty of the value that follows from these, each with its own, in its
    /// unit; none from nothing. Readings of a difference stand for themselves; a mean shares
    /// what its instrument is off by; the least or largest may be any of them.
    ///
    /// Source: JCGM 100:2008, 5.1.2; for a mean 5.2.2 with all correlated, the worst case.
    #[must_use]
    pub fn spread_of(self, values: &[(f64, f64)]) -> Option<f64> {
        let own = || values.iter().map(|(_, spread)| *spread);
        Some(match self {
            Self::LeftMinusRight | Self::Difference => own().map(|u| u * u).sum::<f64>().sqrt(),
            #[allow(clippy::cast_precision_loss)]
            Self::Mean => own().sum::<f64>() / values.len() as f64,
            Self::Least | Self::Largest => own().fold(0.0, f64::max),
            Self::ArcEnergy => {
                let value = self.of_all(&values.iter().map(|(value, _)| *value).collect::<Vec<_>>())?;
                // A factor that is nothing makes nothing, whatever it is off by.
                let shares = values.iter().filter(|(value, _)| *value != 0.0).map(|(value, u)| u / value);
                value.abs() * shares.map(|share| share * share).sum::<f64>().sqrt()
            }
        })
        .filter(|u| u.is_finite())
    }
}

terms! {
    /// What came of comparing a value with its limits.
    pub enum Verdict {
        /// Proven inside.
        Conform = "conform" as "conform",
        /// Proven outside.
        NotConform = "not conform" as "not conform",
        /// Neither is proven.
        NotProven = "not proven" as "not proven",
    }
}

/// What came of a reading: decided against its limits, or only recorded, because
/// there are none.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[serde(into = "String", try_from = "String")]
pub enum Judged {
    /// Compared with limits.
    Decided(Verdict),
    /// There is no limit to compare with.
    Recorded,
}

impl Judged {
    /// Word of a reading that is only recorded.
    const RECORDED: &'static str = "recorded";

    /// The word as stored and as printed.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Decided(verdict) => verdict.word(),
            Self::Recorded => Self::RECORDED,
        }
    }

    /// What a word stands for.
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        if word == Self::RECORDED { Some(Self::Recorded) } else { Verdict::of(word).map(Self::Decided) }
    }

    /// Whether it was compared with limits.
    #[must_use]
    pub const fn decided(self) -> bool {
        matches!(self, Self::Decided(_))
    }

    /// Whether it is this verdict.
    #[must_use]
    pub fn is(self, verdict: Verdict) -> bool {
        self == Self::Decided(verdict)
    }
}

impl std::fmt::Display for Judged {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(self.word())
    }
}

impl From<Judged> for String {
    fn from(judged: Judged) -> Self {
        judged.word().to_owned()
    }
}

impl TryFrom<String> for Judged {
    type Error = String;

    fn try_from(word: String) -> Result<Self, String> {
        Self::of(&word).ok_or_else(|| format!("\"{word}\" is no verdict"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_verdict_is_stored_under_its_word() {
        for word in Verdict::WORDS.iter().copied().chain(["recorded"]) {
            let judged = Judged::of(word).unwrap();
            let stored = serde_json::to_string(&judged).unwrap();
            assert_eq!(stored, format!("\"{word}\""));
            assert_eq!(serde_json::from_str::<Judged>(&stored).unwrap(), judged);
        }
        assert!(serde_json::from_str::<Judged>("\"fine\"").is_err());
        assert!(!Judged::Recorded.decided() && Judged::Decided(Verdict::NotProven).is(Verdict::NotProven));
    }

    #[test]
    fn what_was_stored_before_is_read() {
        assert_eq!(serde_json::to_string(&PointKind::Witness).unwrap(), "\"witness\"");
        assert_eq!(serde_json::from_str::<Signal>("\"DANGER\"").unwrap(), Signal::Danger);
        assert!(Signal::Danger < Signal::Notice && Level::Safety > Level::Control);
        assert_eq!(PointKind::of("hold").map(PointKind::letter), Some('H'));
    }
}
