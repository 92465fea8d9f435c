//! A sheet as SVG 1.1 in true size: user units are millimetres, one group a
//! layer.

use std::fmt::Write as _;

use super::{Anchor, Form, Layer, Point, Sheet};

/// Free edge round the shapes.
const MARGIN: f64 = 10.0;

/// The sheet with its scale bars as an SVG file.
#[must_use]
pub fn write(sheet: &Sheet) -> String {
    document(&sheet.with_bars(), false)
}

/// A picture as an SVG file on white, without bars: nothing is cut from it.
#[must_use]
pub fn picture(sheet: &Sheet) -> String {
    document(&sheet.at_margin(MARGIN), true)
}

/// Shapes whose lower left corner is at the margin.
fn document(whole: &Sheet, white: bool) -> String {
    let extent = whole.extent();
    let far = |v: f64| if v.is_finite() { v + MARGIN } else { 2.0 * MARGIN };
    let (width, height) = (far(extent.high.x), far(extent.high.y));
    // SVG counts downward.
    let turned = |p: Point| (number(p.x), number(height - p.y));
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" viewBox=\"0 0 {w} {h}\">\n{}\n<desc>{}</desc>\n",
        title(&whole.title),
        plain(&whole.alt),
        w = number(width),
        h = number(height)
    );
    if white {
        let _ = writeln!(out, "<rect width=\"100%\" height=\"100%\" fill=\"#fff\"/>");
    }
    for layer in whole.layers() {
        let (stroke, dash) = look(layer);
        let weight = if bold(layer) { " font-weight=\"bold\"" } else { "" };
        let _ = writeln!(
            out,
            "<g id=\"{}\" fill=\"none\" stroke=\"#000\" stroke-width=\"{stroke}\"{dash}>",
            layer.name()
        );
        for shape in whole.shapes.iter().filter(|s| s.layer == layer) {
            if !shape.told.is_empty() {
                // What is drawn on it lies over it: the whole face is to be pointed at.
                let _ = writeln!(out, "<g pointer-events=\"all\">\n{}", title(&shape.told));
            }
            let _ = match &shape.form {
                Form::Line { from, to } => {
                    let ((x1, y1), (x2, y2)) = (turned(*from), turned(*to));
                    writeln!(out, "<line x1=\"{x1}\" y1=\"{y1}\" x2=\"{x2}\" y2=\"{y2}\"/>")
                }
                Form::Path { points, closed } => {
                    let all: Vec<String> =
                        points.iter().map(|p| turned(*p)).map(|(x, y)| format!("{x},{y}")).collect();
                    let name = if *closed { "polygon" } else { "polyline" };
                    writeln!(out, "<{name} points=\"{}\"/>", all.join(" "))
                }
                Form::Circle { centre, radius } => {
                    let (x, y) = turned(*centre);
                    writeln!(out, "<circle cx=\"{x}\" cy=\"{y}\" r=\"{}\"/>", number(*radius))
                }
                Form::Arc { centre, radius, start, sweep } => {
                    let end = |at: f64| turned(centre.plus(super::curve::toward(at, *radius)));
                    let ((x1, y1), (x2, y2)) = (end(*start), end(start + sweep));
                    let (r, large) = (number(*radius), u8::from(*sweep > 180.0));
                    writeln!(out, "<path d=\"M{x1} {y1}A{r} {r} 0 {large} 0 {x2} {y2}\"/>")
                }
                Form::Text { at, size, turn, anchor, text } => {
                    let (x, y) = turned(*at);
                    let anchor = match anchor {
                        Anchor::Start => "start",
                        Anchor::Middle => "middle",
                        Anchor::End => "end",
                    };
                    writeln!(
                        out,
                        "<text x=\"{x}\" y=\"{y}\" font-family=\"sans-serif\" font-size=\"{}\"{weight} text-anchor=\"{anchor}\" fill=\"#000\" stroke=\"none\" transform=\"rotate({} {x} {y})\">{}</text>",
                        number(*size),
                        number(-turn),
                        plain(text)
                    )
                }
            };
            if !shape.told.is_empty() {
                out.push_str("</g>\n");
            }
        }
        out.push_str("</g>\n");
    }
    out.push_str("</svg>\n");
    out
}

/// Whether words of a layer are printed bold.
const fn bold(layer: Layer) -> bool {
    matches!(layer, Layer::Stop | Layer::Heading)
}

/// Width of the line, and its dashes as an attribute.
const fn look(layer: Layer) -> (&'static str, &'static str) {
    match layer {
        Layer::Cut => ("0.35", ""),
        Layer::Bend => ("0.25", " stroke-dasharray=\"4 1.5\""),
        Layer::Centre => ("0.18", " stroke-dasharray=\"6 1 1 1\""),
        Layer::Mark | Layer::Scale | Layer::Link => ("0.25", ""),
        Layer::KeepOut | Layer::Text | Layer::Heading => ("0.13", ""),
        Layer::Outline => ("0.4", ""),
        Layer::Stop => ("1.2", ""),
        Layer::Guide => ("0.15", " stroke-dasharray=\"0.6 1.2\""),
    }
}

/// To a ten-thousandth of a millimetre, never a minus before nothing.
fn number(value: f64) -> String {
    let fine = (value * 1e4).round() / 1e4 + 0.0;
    if fine.is_finite() { fine.to_string() } else { "0".to_owned() }
}

/// Text for an XML element: no markup, nothing XML 1.0 forbids.
fn plain(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() || matches!(c, '\u{FFFE}' | '\u{FFFF}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

/// The element that holds the title of a file.
#[must_use]
pub fn title(words: &str) -> String {
    format!("<title>{}</title>", plain(words))
}
