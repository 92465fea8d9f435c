//! Tolerances of ISO metric threads, normal length of engagement, as ISO 965-1
//! prints them; from memory. Grade 6 is tabulated; the other grades stand four
//! numbers of the R 40 series apart for each step.

use crate::quantity::{Dimensioned, Length, unit};
use crate::source::Source;

/// Source of every figure here.
pub const ISO_965: Source = Source::standard("ISO 965-1", "tables of tolerances, grade 6").from_memory();

/// By pitch in mm; micrometres: deviation e (0: not listed), f (0: not listed),
/// g, tolerance of the major diameter of the bolt and of the minor diameter of
/// the nut, grade 6.
#[rustfmt::skip]
const BY_PITCH: &[(f64, [f64; 3], f64, f64)] = &[
    (0.35, [0.0, 34.0, 19.0], 85.0, 100.0),
    (0.4, [0.0, 34.0, 19.0], 95.0, 112.0),
    (0.45, [0.0, 35.0, 20.0], 100.0, 125.0),
    (0.5, [50.0, 36.0, 20.0], 106.0, 140.0),
    (0.6, [53.0, 36.0, 21.0], 125.0, 160.0),
    (0.7, [56.0, 38.0, 22.0], 140.0, 180.0),
    (0.75, [56.0, 38.0, 22.0], 140.0, 190.0),
    (0.8, [60.0, 38.0, 24.0], 150.0, 200.0),
    (1.0, [60.0, 40.0, 26.0], 180.0, 236.0),
    (1.25, [63.0, 42.0, 28.0], 212.0, 265.0),
    (1.5, [67.0, 45.0, 32.0], 236.0, 300.0),
    (1.75, [71.0, 48.0, 34.0], 265.0, 335.0),
    (2.0, [71.0, 52.0, 38.0], 280.0, 375.0),
    (2.5, [80.0, 58.0, 42.0], 335.0, 450.0),
    (3.0, [85.0, 63.0, 48.0], 375.0, 500.0),
    (3.5, [90.0, 70.0, 53.0], 425.0, 560.0),
    (4.0, [95.0, 75.0, 60.0], 475.0, 600.0),
    (4.5, [100.0, 80.0, 63.0], 500.0, 670.0),
    (5.0, [106.0, 85.0, 71.0], 530.0, 710.0),
    (5.5, [112.0, 90.0, 75.0], 560.0, 750.0),
    (6.0, [118.0, 95.0, 80.0], 600.0, 800.0),
];

/// By diameter (above, to) and pitch in mm; micrometres: tolerance of the pitch
/// diameter of the bolt and of the nut, grade 6.
#[rustfmt::skip]
const BY_SIZE: &[(f64, f64, f64, f64, f64)] = &[
    (1.4, 2.8, 0.35, 63.0, 85.0), (1.4, 2.8, 0.4, 67.0, 90.0), (1.4, 2.8, 0.45, 71.0, 95.0),
    (2.8, 5.6, 0.35, 67.0, 90.0), (2.8, 5.6, 0.5, 75.0, 100.0), (2.8, 5.6, 0.6, 85.0, 112.0),
    (2.8, 5.6, 0.7, 90.0, 118.0), (2.8, 5.6, 0.75, 90.0, 118.0), (2.8, 5.6, 0.8, 95.0, 125.0),
    (5.6, 11.2, 0.75, 100.0, 132.0), (5.6, 11.2, 1.0, 112.0, 150.0), (5.6, 11.2, 1.25, 118.0, 160.0),
    (5.6, 11.2, 1.5, 132.0, 180.0),
    (11.2, 22.4, 1.0, 118.0, 160.0), (11.2, 22.4, 1.25, 132.0, 180.0), (11.2, 22.4, 1.5, 140.0, 190.0),
    (11.2, 22.4, 1.75, 150.0, 200.0), (11.2, 22.4, 2.0, 160.0, 212.0), (11.2, 22.4, 2.5, 170.0, 224.0),
    (22.4, 45.0, 1.0, 125.0, 170.0), (22.4, 45.0, 1.5, 150.0, 200.0), (22.4, 45.0, 2.0, 170.0, 224.0),
    (22.4, 45.0, 3.0, 200.0, 265.0), (22.4, 45.0, 3.5, 212.0, 280.0), (22.4, 45.0, 4.0, 224.0, 300.0),
    (22.4, 45.0, 4.5, 236.0, 315.0),
    (45.0, 90.0, 1.5, 160.0, 212.0), (45.0, 90.0, 2.0, 180.0, 236.0), (45.0, 90.0, 3.0, 212.0, 280.0),
    (45.0, 90.0, 4.0, 236.0, 315.0), (45.0, 90.0, 5.0, 250.0, 335.0), (45.0, 90.0, 5.5, 265.0, 355.0),
    (45.0, 90.0, 6.0, 280.0, 375.0),
];

/// One decade of the R 40 series of preferred numbers, ISO 3.
#[rustfmt::skip]
const R40: [f64; 40] = [
    100.0, 106.0, 112.0, 118.0, 125.0, 132.0, 140.0, 150.0, 160.0, 170.0, 180.0, 190.0, 200.0, 212.0,
    224.0, 236.0, 250.0, 265.0, 280.0, 300.0, 315.0, 335.0, 355.0, 375.0, 400.0, 425.0, 450.0, 475.0,
    500.0, 530.0, 560.0, 600.0, 630.0, 670.0, 710.0, 750.0, 800.0, 850.0, 900.0, 950.0,
];

/// Tolerance of another grade than 6, four preferred numbers for each step,
/// whole micrometres as printed.
fn of_grade(grade_6: f64, grade: u32) -> Option<f64> {
    let (decade, first) = match grade_6 {
        t if t < 100.0 => (10.0, -40),
        t if t < 1000.0 => (1.0, 0),
        _ => return None,
    };
    let place = R40.iter().position(|n| (n - grade_6 * decade).abs() < 0.5 * decade)?;
    let steps = 4 * (i32::try_from(grade).ok()? - 6);
    let at = i32::try_from(place).ok()? + first + steps;
    let index = usize::try_from(at.rem_euclid(40)).ok()?;
    let value = R40.get(index)? * [0.01, 0.1, 1.0, 10.0].get(usize::try_from(at.div_euclid(40) + 2).ok()?)?;
    Some(value.round())
}

/// Tolerances and deviation of one thread in one class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Metric {
    /// Distance of the tolerance zone from the basic profile, into the material
    /// of a bolt, out of that of a nut.
    pub deviation: Length,
    /// Tolerance of the pitch diameter.
    pub pitch: Length,
    /// Tolerance of the major diameter of a bolt or the minor diameter of a nut.
    pub crest: Length,
}

/// Tolerances of a thread of `major` and `lead`, by grade of the pitch diameter,
/// grade of the crest and position letter: e to h for bolts, G and H for nuts.
#[must_use]
pub fn metric(major: Length, lead: Length, grades: (u32, u32), position: char) -> Option<Metric> {
    let (d, p) = (major.to(unit::MM), lead.to(unit::MM));
    let near = |a: f64| (a - p).abs() < 1e-6;
    let (_, [e, f, g], bolt, nut) = BY_PITCH.iter().find(|row| near(row.0))?;
    let (.., bolt_pitch, nut_pitch) =
        BY_SIZE.iter().find(|row| d > row.0 + 1e-9 && d <= row.1 + 1e-9 && near(row.2))?;
    let deviation = match position {
        'e' if *e > 0.0 => *e,
        'f' if *f > 0.0 => *f,
        'g' | 'G' => *g,
        'h' | 'H' => 0.0,
        _ => return None,
    };
    let (pitch, crest) =
        if position.is_ascii_uppercase() { (*nut_pitch, *nut) } else { (*bolt_pitch, *bolt) };
    let micrometres = |v: f64| Length::of(v, unit::UM);
    Some(Metric {
        deviation: micrometres(deviation),
        pitch: micrometres(of_grade(pitch, grades.0)?),
        crest: micrometres(of_grade(crest, grades.1)?),
    })
}
