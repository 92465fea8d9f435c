//! Until when a qualification holds: six-month continuity by process, and the
//! retest or revalidation date of ISO 9606-1.

use chrono::{Months, NaiveDate};

use crate::shop::model::{Book, Qualification, Revalidation, Standard};
use crate::shop::process;
use crate::source::Source;

const D11_2015: Source = Source::standard("AWS D1.1:2015", "4.1.3, six months without the process");
const D11_2020: Source = Source::standard("AWS D1.1:2020", "6.4.1, six months without the process");
const ASME: Source = Source::standard("ASME IX:2023", "QW-322, six months without the process").from_memory();
const ISO: Source = Source::standard(
    "ISO 9606-1:2012",
    "9.2 six-month confirmation by the employer, 9.3 revalidation a) three years, b) two years, c) open",
);

/// Months a process may rest.
const CONTINUITY: Months = Months::new(6);

/// Last days of a qualification.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Validity {
    /// Last day by continuity of the process.
    pub continuity: NaiveDate,
    /// Last day by retest or revalidation, if the standard sets one.
    pub retest: Option<NaiveDate>,
    /// Rule.
    pub source: Source,
}

impl Validity {
    /// The first of both last days.
    #[must_use]
    pub fn until(&self) -> NaiveDate {
        self.retest.map_or(self.continuity, |r| r.min(self.continuity))
    }
}

/// Last days of a test. Under the US codes any weld with the process keeps all
/// of a welder's tests with it alive; under ISO 9606-1 each certificate is
/// confirmed on its own. A use dated after `on` has not been: it keeps nothing alive.
#[must_use]
pub fn validity(book: &Book, test: &Qualification, on: NaiveDate) -> Validity {
    let standard = test.standard.value;
    let used = if standard.iso() {
        test.last_used.0
    } else {
        let own = process::counted(&test.process.value);
        book.qualifications(&test.person.0)
            .filter(|q| {
                let other = process::counted(&q.process.value);
                !q.standard.value.iso() && other.is_some() && other.map(|c| c.us) == own.map(|c| c.us)
            })
            .map(|q| q.last_used.0)
            .filter(|used| *used <= on)
            .fold(test.last_used.0, NaiveDate::max)
    };
    let add = |date: NaiveDate, months| date.checked_add_months(months).unwrap_or(NaiveDate::MAX);
    let renewed = test.revalidated.as_ref().unwrap_or(&test.date).0;
    let retest = match (standard.iso(), test.revalidation.as_ref().map(|r| r.value)) {
        (true, Some(Revalidation::ThreeYears)) => Some(add(renewed, Months::new(36))),
        // Without a stated way the shorter term holds.
        (true, None | Some(Revalidation::TwoYears)) => Some(add(renewed, Months::new(24))),
        (true, Some(Revalidation::Open)) | (false, _) => None,
    };
    let source = match standard {
        Standard::D11Of2015 => D11_2015,
        Standard::D11Of2020 => D11_2020,
        Standard::AsmeOf2023 => ASME,
        Standard::IsoOf2012 | Standard::IsoOf2017 => ISO,
    };
    Validity { continuity: add(used, CONTINUITY), retest, source }
}
