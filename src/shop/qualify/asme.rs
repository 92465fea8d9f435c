//! ASME Section IX: welder performance ranges.

use super::{Derived, Range, Thickness, union};
use crate::quantity::{Dimensioned, Length, unit};
use crate::shop::Band;
use crate::shop::model::{Form, Qualification, WeldKind};
use crate::shop::position::{Place, Position, Progression};
use crate::source::Source;

const THICKNESS: Source = Source::standard("ASME IX:2023", "QW-452.1(b), thickness");
const DIAMETER: Source = Source::standard("ASME IX:2023", "QW-452.3, diameter");
const POSITIONS: Source = Source::standard("ASME IX:2023", "QW-461.9, positions");
const PLATE_TO_PIPE: Source =
    Source::standard("ASME IX:2023", "QW-461.9, plate tests for pipe up to 24 in").from_memory();
const FILLETS: Source =
    Source::standard("ASME IX:2023", "QW-303.1 and QW-452.5, fillets of any size, thickness and diameter")
        .from_memory();
const SMALL_FILLETS: Source =
    Source::standard("ASME IX:2023", "QW-452.4 and QW-452.5, fillet tests").from_memory();

fn inch(value: f64) -> Length {
    Length::of(value, unit::IN)
}

fn groove(position: Position, vertical: Place) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead};
    use Position as P;
    match position {
        P::G1 => vec![Flat],
        P::G2 => vec![Flat, Horizontal],
        P::G3 => vec![Flat, vertical],
        P::G4 => vec![Flat, Overhead],
        P::G5 => vec![Flat, vertical, Overhead],
        P::G6 | P::G6R => vec![Flat, Horizontal, vertical, Overhead],
        _ => Vec::new(),
    }
}

/// Places on pipe from 2-7/8 to 24 in that a plate test qualifies.
fn groove_small_pipe(position: Position) -> Vec<Place> {
    match position {
        Position::G2 => vec![Place::Flat, Place::Horizontal],
        Position::G1 | Position::G3 | Position::G4 => vec![Place::Flat],
        _ => Vec::new(),
    }
}

fn fillet(position: Position, vertical: Place) -> Vec<Place> {
    use Place::{Flat, Horizontal, Overhead};
    use Position as P;
    match position {
        P::G1 | P::F1 => vec![Flat],
        P::G2 | P::F2 => vec![Flat, Horizontal],
        P::G3 | P::F3 => vec![Flat, Horizontal, vertical],
        P::G4 | P::F4 => vec![Flat, Horizontal, Overhead],
        P::G5 | P::F5 | P::G6 | P::G6R => vec![Flat, Horizontal, vertical, Overhead],
        _ => Vec::new(),
    }
}

/// Weld metal a groove test qualifies.
fn deposit(tested: Length, layers: u32) -> Band<Length> {
    if tested.to(unit::IN) >= 0.5 - 1e-9 && layers >= 3 { Band::any() } else { Band::to(tested * 2.0) }
}

/// Diameter a pipe test qualifies.
fn diameter(tested: Length) -> Band<Length> {
    let od = tested.to(unit::IN);
    Band::from(if od < 1.0 - 1e-9 {
        tested
    } else if od < 2.875 - 1e-9 {
        inch(1.0)
    } else {
        inch(2.875)
    })
}

pub(super) fn derive(test: &Qualification) -> Derived {
    let mut derived = Derived::default();
    let vertical = test.progression.unwrap_or(Progression::Up).place();
    let fillet_places = union(test, |p| fillet(p, vertical));
    let mut push = |kind, form, places: &[Place], thickness, of, diameter| {
        if !places.is_empty() {
            derived.ranges.push(Range { kind, form, places: places.to_vec(), thickness, of, diameter });
        }
    };
    if test.weld.value == WeldKind::Fillet {
        // A fillet test on plate of 3/16 in or more covers all thicknesses;
        // thinner ones from the test thickness to twice it. On pipe from
        // 2-7/8 in up, or by the diameter tested.
        let t = test.thickness.value.value;
        let thickness = if t.to(unit::IN) >= 0.1875 - 1e-9 { Band::any() } else { Band::between(t, t * 2.0) };
        let od = test.diameter.as_ref().map_or(Band::from(inch(2.875)), |d| diameter(d.value.value));
        push(WeldKind::Fillet, Form::Plate, &fillet_places, thickness, Thickness::Base, Band::any());
        push(WeldKind::Fillet, Form::Pipe, &fillet_places, thickness, Thickness::Base, od);
        derived.cite(POSITIONS);
        derived.cite(SMALL_FILLETS);
        return derived;
    }
    let weld_metal = deposit(test.deposit(), test.layers.unwrap_or(0));
    let places = union(test, |p| groove(p, vertical));
    push(WeldKind::Groove, Form::Plate, &places, weld_metal, Thickness::Deposit, Band::any());
    match (test.form.value, &test.diameter) {
        (Form::Pipe, Some(tested)) => {
            let od = diameter(tested.value.value);
            push(WeldKind::Groove, Form::Pipe, &places, weld_metal, Thickness::Deposit, od);
        }
        (Form::Pipe, None) => {}
        (Form::Plate, _) => {
            let large = Band::from(inch(24.0));
            push(WeldKind::Groove, Form::Pipe, &places, weld_metal, Thickness::Deposit, large);
            let small = Band::between(inch(2.875), inch(24.0));
            let flat = union(test, groove_small_pipe);
            push(WeldKind::Groove, Form::Pipe, &flat, weld_metal, Thickness::Deposit, small);
        }
    }
    push(WeldKind::Fillet, Form::Plate, &fillet_places, Band::any(), Thickness::Base, Band::any());
    push(WeldKind::Fillet, Form::Pipe, &fillet_places, Band::any(), Thickness::Base, Band::any());
    derived.cite(THICKNESS);
    derived.cite(POSITIONS);
    derived.cite(if test.form.value == Form::Pipe { DIAMETER } else { PLATE_TO_PIPE });
    derived.cite(FILLETS);
    derived
}
