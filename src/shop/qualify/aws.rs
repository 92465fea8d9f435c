//! AWS D1.1: welder performance ranges.

use super::{Derived, Range, Thickness, union};
use crate::quantity::{Dimensioned, Length, unit};
use crate::shop::Band;
use crate::shop::model::{Form, Qualification, WeldKind};
use crate::shop::position::{Place, Position, Progression};
use crate::source::Source;

/// The clauses of one edition; the numbers moved in 2020, the values did not.
pub(super) struct Edition {
    thickness: Source,
    pipe: Source,
    positions: Source,
    fillets: Source,
}

pub(super) const OF_2015: Edition = Edition {
    thickness: Source::standard("AWS D1.1:2015", "table 4.11, plate tests").from_memory(),
    pipe: Source::standard("AWS D1.1:2015", "table 4.11, pipe tests; least diameter above 4 in unsure")
        .from_memory(),
    positions: Source::standard("AWS D1.1:2015", "table 4.10, positions").from_memory(),
    fillets: Source::standard("AWS D1.1:2015", "table 4.11, fillets of any size on any thickness")
        .from_memory(),
};

pub(super) const OF_2020: Edition = Edition {
    thickness: Source::standard("AWS D1.1:2020", "table 6.11, plate tests").from_memory(),
    pipe: Source::standard("AWS D1.1:2020", "table 6.11, pipe tests; least diameter above 4 in unsure")
        .from_memory(),
    positions: Source::standard("AWS D1.1:2020", "table 6.10, positions").from_memory(),
    fillets: Source::standard("AWS D1.1:2020", "table 6.11, fillets of any size on any thickness")
        .from_memory(),
};

fn inch(value: f64) -> Length {
    Length::of(value, unit::IN)
}

/// Groove places of a tested position.
fn groove(position: Position, vertical: Place) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead};
    use Position as P;
    match position {
        P::G1 => vec![Flat],
        P::G2 => vec![Flat, Horizontal],
        P::G3 => vec![Flat, Horizontal, vertical],
        P::G4 => vec![Flat, Overhead],
        P::G5 => vec![Flat, vertical, Overhead],
        P::G6 | P::G6R => vec![Flat, Horizontal, vertical, Overhead],
        _ => Vec::new(),
    }
}

/// Fillet places of a tested position.
fn fillet(position: Position, vertical: Place) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead};
    use Position as P;
    match position {
        P::F1 => vec![Flat],
        P::G1 | P::F2 | P::G2 => vec![Flat, Horizontal],
        P::F3 | P::G3 => vec![Flat, Horizontal, vertical],
        P::F4 | P::G4 => vec![Flat, Horizontal, Overhead],
        P::G5 => vec![Flat, vertical, Overhead],
        P::F5 | P::G6 | P::G6R => vec![Flat, Horizontal, vertical, Overhead],
        _ => Vec::new(),
    }
}

/// Thickness a plate groove test qualifies.
fn plate(tested: Length) -> Option<Band<Length>> {
    let t = tested.to(unit::IN);
    let room = 1e-9;
    if t < 0.375 - room {
        None
    } else if t < 1.0 - room {
        Some(Band::between(inch(0.125), tested * 2.0))
    } else {
        Some(Band::from(inch(0.125)))
    }
}

/// Thickness and diameter a pipe groove test qualifies.
fn pipe(wall: Length, diameter: Length) -> (Band<Length>, Band<Length>) {
    let room = 1e-9;
    if diameter.to(unit::IN) <= 4.0 + room {
        return (Band::between(inch(0.125), inch(0.75)), Band::between(inch(0.75), inch(4.0)));
    }
    let half = diameter / 2.0;
    let least = if half > inch(4.0) { half } else { inch(4.0) };
    let thickness = if wall.to(unit::IN) <= 0.375 + room {
        Band::between(inch(0.125), inch(0.75))
    } else {
        Band::from(inch(0.1875))
    };
    (thickness, Band::from(least))
}

pub(super) fn derive(test: &Qualification, edition: &Edition) -> Derived {
    let mut derived = Derived::default();
    let vertical = test.progression.unwrap_or(Progression::Up).place();
    let groove_places = union(test, |p| groove(p, vertical));
    let fillet_places = union(test, |p| fillet(p, vertical));
    derived.cite(edition.positions);
    let mut push = |kind, form, places: &[Place], thickness, diameter| {
        if !places.is_empty() {
            let places = places.to_vec();
            derived.ranges.push(Range { kind, form, places, thickness, of: Thickness::Base, diameter });
        }
    };
    // The code starts at 1/8 in; footnote to the plate and pipe tests.
    let any = Band::from(inch(0.125));
    // A plate test covers large pipe only.
    let large = Band::from(inch(24.0));
    if test.weld.value == WeldKind::Fillet {
        push(WeldKind::Fillet, Form::Plate, &fillet_places, any, Band::any());
        let diameter = if test.form.value == Form::Pipe { Band::any() } else { large };
        push(WeldKind::Fillet, Form::Pipe, &fillet_places, any, diameter);
        derived.cite(edition.fillets);
        return derived;
    }
    let wall = test.thickness.value.value;
    let qualified = match (test.form.value, &test.diameter) {
        (Form::Plate, _) => plate(wall).map(|t| (t, large, edition.thickness)),
        (Form::Pipe, Some(diameter)) => {
            let (thickness, diameter) = pipe(wall, diameter.value.value);
            Some((thickness, diameter, edition.pipe))
        }
        (Form::Pipe, None) => None,
    };
    match qualified {
        Some((thickness, diameter, source)) => {
            push(WeldKind::Groove, Form::Plate, &groove_places, thickness, Band::any());
            push(WeldKind::Groove, Form::Pipe, &groove_places, thickness, diameter);
            push(WeldKind::Fillet, Form::Plate, &fillet_places, any, Band::any());
            push(WeldKind::Fillet, Form::Pipe, &fillet_places, any, Band::any());
            derived.cite(source);
            derived.cite(edition.fillets);
        }
        None => derived.flaws.push(
            "the table of the code starts at a 3/8 in test plate; this test qualifies nothing".to_owned(),
        ),
    }
    derived
}
