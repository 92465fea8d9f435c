//! ISO 9606-1: welder performance ranges.

use super::{Derived, Range, Thickness, union};
use crate::quantity::{Dimensioned, Length, unit};
use crate::shop::Band;
use crate::shop::model::{Form, Qualification, WeldKind};
use crate::shop::position::{Place, Position};
use crate::source::Source;

const BUTT: Source = Source::standard("ISO 9606-1:2012", "table 6, deposited thickness").from_memory();
const FILLET: Source =
    Source::standard("ISO 9606-1:2012", "table 8, material thickness of fillets").from_memory();
const DIAMETER: Source = Source::standard("ISO 9606-1:2012", "table 7, outside diameter").from_memory();
const POSITIONS: Source = Source::standard("ISO 9606-1:2012", "tables 9 and 10, positions").from_memory();
const TYPES: Source =
    Source::standard("ISO 9606-1:2012", "5.3 and 5.4, plate and pipe, butt and fillet").from_memory();

fn mm(value: f64) -> Length {
    Length::of(value, unit::MM)
}

/// Butt weld places of a tested position.
fn butt(position: Position) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead, VerticalDown, VerticalUp};
    use Position as P;
    match position {
        P::PA => vec![Flat],
        P::PC => vec![Flat, Horizontal],
        P::PE => vec![Flat, Horizontal, Overhead],
        P::PF => vec![Flat, VerticalUp],
        P::PG => vec![VerticalDown],
        P::PH => vec![Flat, VerticalUp, Overhead],
        P::PJ => vec![Flat, VerticalDown, Overhead],
        P::HL045 => vec![Flat, Horizontal, VerticalUp, Overhead],
        P::JL045 => vec![Flat, Horizontal, VerticalDown, Overhead],
        _ => Vec::new(),
    }
}

/// Fillet places of a tested position.
fn fillet(position: Position) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead, VerticalDown, VerticalUp};
    use Position as P;
    match position {
        P::PA => vec![Flat],
        P::PB | P::PC => vec![Flat, Horizontal],
        P::PD | P::PE => vec![Flat, Horizontal, Overhead],
        P::PF => vec![Flat, Horizontal, VerticalUp],
        P::PG => vec![VerticalDown],
        P::PH => vec![Flat, Horizontal, VerticalUp, Overhead],
        P::PJ => vec![Flat, Horizontal, VerticalDown, Overhead],
        _ => Vec::new(),
    }
}

/// Deposited thickness a butt test qualifies.
fn deposit(s: Length) -> Band<Length> {
    let tested = s.to(unit::MM);
    let room = 1e-9;
    if tested < 3.0 - room {
        let twice = s * 2.0;
        Band::between(s, if twice > mm(3.0) { twice } else { mm(3.0) })
    } else if tested < 12.0 - room {
        Band::between(mm(3.0), s * 2.0)
    } else {
        Band::from(mm(3.0))
    }
}

/// Parent thickness a fillet test qualifies.
fn parent(t: Length) -> Band<Length> {
    if t.to(unit::MM) < 3.0 - 1e-9 {
        let twice = t * 2.0;
        Band::between(t, if twice > mm(3.0) { twice } else { mm(3.0) })
    } else {
        Band::from(mm(3.0))
    }
}

/// Diameter a pipe test qualifies.
fn diameter(d: Length) -> Band<Length> {
    if d.to(unit::MM) <= 25.0 + 1e-9 {
        return Band::between(d, d * 2.0);
    }
    let half = d / 2.0;
    Band::from(if half > mm(25.0) { half } else { mm(25.0) })
}

pub(super) fn derive(test: &Qualification) -> Derived {
    let mut derived = Derived::default();
    let kind = test.weld.value;
    let (places, thickness, of, source) = match kind {
        WeldKind::Groove => (union(test, butt), deposit(test.deposit()), Thickness::Deposit, BUTT),
        WeldKind::Fillet => {
            (union(test, fillet), parent(test.thickness.value.value), Thickness::Base, FILLET)
        }
        // Refused before it comes here.
        WeldKind::Plug => return derived,
    };
    let mut push = |kind, form, places: Vec<Place>, thickness, of, diameter| {
        if !places.is_empty() {
            derived.ranges.push(Range { kind, form, places, thickness, of, diameter });
        }
    };
    // Plate covers fixed pipe from 500 mm, and rotating pipe from 75 mm in the
    // flat and horizontal positions.
    let rotating: Vec<Place> =
        places.iter().copied().filter(|p| matches!(p, Place::Flat | Place::Horizontal)).collect();
    let od = test.diameter.as_ref().map(|d| d.value.value);
    let small = od.is_some_and(|d| d.to(unit::MM) <= 25.0 + 1e-9);
    if !small {
        push(kind, Form::Plate, places.clone(), thickness, of, Band::any());
    }
    match (test.form.value, od) {
        (Form::Pipe, Some(d)) => push(kind, Form::Pipe, places.clone(), thickness, of, diameter(d)),
        (Form::Pipe, None) => {}
        (Form::Plate, _) => {
            push(kind, Form::Pipe, places.clone(), thickness, of, Band::from(mm(500.0)));
            push(kind, Form::Pipe, rotating, thickness, of, Band::from(mm(75.0)));
        }
    }
    // Since 2012 a butt weld covers fillets only with the supplementary test.
    if kind == WeldKind::Groove && test.fillet_test {
        let places = union(test, |p| {
            let mut places = butt(p);
            places.extend([Place::Flat, Place::Horizontal]);
            places
        });
        let parent = parent(test.thickness.value.value);
        push(WeldKind::Fillet, Form::Plate, places.clone(), parent, Thickness::Base, Band::any());
        let od = od.map_or(Band::from(mm(500.0)), diameter);
        push(WeldKind::Fillet, Form::Pipe, places, parent, Thickness::Base, od);
    } else if kind == WeldKind::Groove {
        derived.flaws.push(
            "a butt weld covers no fillets without the supplementary fillet test (ISO 9606-1:2012, 5.4)"
                .to_owned(),
        );
    }
    derived.cite(source);
    if test.form.value == Form::Pipe {
        derived.cite(DIAMETER);
    }
    derived.cite(POSITIONS);
    derived.cite(TYPES);
    derived
}
