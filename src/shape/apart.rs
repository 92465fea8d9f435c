//! How far apart two drawings of the same sheet are.

use super::{Form, Layer, Point, Sheet};

/// The farthest any line of `a` lies from the same line of `b`, in millimetres; none
/// if they are not drawn of the same lines. Words and the lines across a keep-out
/// follow from the others and are not looked at.
#[must_use]
pub fn farthest(a: &Sheet, b: &Sheet) -> Option<f64> {
    let (a, b) = (lines(a), lines(b));
    if a.len() != b.len() {
        return None;
    }
    a.iter().zip(&b).try_fold(0.0_f64, |most, (a, b)| Some(most.max(between(a, b)?)))
}

fn lines(sheet: &Sheet) -> Vec<(Layer, &Form)> {
    let counts = |layer: Layer, form: &Form| match form {
        Form::Text { .. } => false,
        Form::Line { .. } => layer != Layer::KeepOut,
        _ => true,
    };
    sheet.shapes.iter().map(|s| (s.layer, &s.form)).filter(|(layer, form)| counts(*layer, form)).collect()
}

fn between((on_a, a): &(Layer, &Form), (on_b, b): &(Layer, &Form)) -> Option<f64> {
    if on_a != on_b {
        return None;
    }
    let apart = |p: &Point, q: &Point| libm::hypot(p.x - q.x, p.y - q.y);
    match (a, b) {
        (Form::Line { from, to }, Form::Line { from: f, to: t }) => Some(apart(from, f).max(apart(to, t))),
        (Form::Path { points: p, closed: c }, Form::Path { points: q, closed: d }) => {
            let same = c == d && p.len() == q.len();
            same.then(|| p.iter().zip(q).map(|(p, q)| apart(p, q)).fold(0.0, f64::max))
        }
        (Form::Circle { centre, radius }, Form::Circle { centre: c, radius: r }) => {
            Some(apart(centre, c) + (radius - r).abs())
        }
        (
            Form::Arc { centre, radius, start, sweep },
            Form::Arc { centre: c, radius: r, start: s, sweep: w },
        ) => {
            let turned = (start - s).abs().max((start + sweep - s - w).abs());
            Some(apart(centre, c) + (radius - r).abs() + radius * turned.to_radians())
        }
        _ => None,
    }
}
