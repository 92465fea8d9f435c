//! A sheet as DXF, the documented exchange format of drawings, in its plain
//! text form of release 12 (`AC1009`), which every reader knows: pairs of lines,
//! a group code and a value. Lengths are millimetres; `$INSUNITS` 4 says so to
//! readers of later releases.

use std::fmt::Write as _;

use super::{Anchor, Form, Layer, Point, Shape, Sheet};

/// The sheet with its scale bars as a DXF file.
#[must_use]
pub fn write(sheet: &Sheet) -> String {
    let whole = sheet.with_bars();
    let extent = whole.extent();
    let mut out = File::default();
    out.pair(999, &words(&sheet.title));
    out.pair(999, &words(&sheet.origin));
    out.section("HEADER");
    out.pair(9, "$ACADVER");
    out.pair(1, "AC1009");
    out.pair(9, "$INSUNITS");
    out.pair(70, "4");
    for (name, corner) in [("$EXTMIN", extent.low), ("$EXTMAX", extent.high)] {
        out.pair(9, name);
        out.place(10, corner);
    }
    out.pair(0, "ENDSEC");
    tables(&mut out, &whole.layers());
    out.section("ENTITIES");
    whole.shapes.iter().for_each(|shape| entity(&mut out, shape));
    out.pair(0, "ENDSEC");
    out.pair(0, "EOF");
    out.0
}

#[derive(Default)]
struct File(String);

impl File {
    fn pair(&mut self, code: u32, value: &str) {
        let _ = writeln!(self.0, "{code:>3}\n{value}");
    }

    fn number(&mut self, code: u32, value: f64) {
        let value = if value.is_finite() { value + 0.0 } else { 0.0 };
        self.pair(code, &format!("{value:.6}"));
    }

    /// A place: its x under `code`, y ten and z twenty above it.
    fn place(&mut self, code: u32, at: Point) {
        self.number(code, at.x);
        self.number(code + 10, at.y);
        self.number(code + 20, 0.0);
    }

    fn section(&mut self, name: &str) {
        self.pair(0, "SECTION");
        self.pair(2, name);
    }
}

/// Line types and layers: number of the colour, line type.
fn tables(out: &mut File, layers: &[Layer]) {
    const LINES: [(&str, &[f64]); 3] =
        [("CONTINUOUS", &[]), ("DASHED", &[4.0, -1.5]), ("CENTER", &[6.0, -1.0, 1.0, -1.0])];
    out.section("TABLES");
    out.pair(0, "TABLE");
    out.pair(2, "LTYPE");
    out.pair(70, "3");
    for (name, dashes) in LINES {
        out.pair(0, "LTYPE");
        out.pair(2, name);
        out.pair(70, "0");
        out.pair(3, "");
        out.pair(72, "65");
        out.pair(73, &dashes.len().to_string());
        out.number(40, dashes.iter().map(|d| d.abs()).sum());
        dashes.iter().for_each(|d| out.number(49, *d));
    }
    out.pair(0, "ENDTAB");
    out.pair(0, "TABLE");
    out.pair(2, "LAYER");
    out.pair(70, &layers.len().to_string());
    for (colour, layer) in (1_u32..).zip(layers) {
        out.pair(0, "LAYER");
        out.pair(2, layer.name());
        out.pair(70, "0");
        out.pair(62, &colour.to_string());
        out.pair(
            6,
            match layer {
                Layer::Bend | Layer::Guide => "DASHED",
                Layer::Centre => "CENTER",
                _ => "CONTINUOUS",
            },
        );
    }
    out.pair(0, "ENDTAB");
    out.pair(0, "ENDSEC");
}

fn entity(out: &mut File, shape: &Shape) {
    let layer = shape.layer.name();
    let begin = |out: &mut File, kind: &str| {
        out.pair(0, kind);
        out.pair(8, layer);
    };
    match &shape.form {
        Form::Line { from, to } => {
            begin(out, "LINE");
            out.place(10, *from);
            out.place(11, *to);
        }
        Form::Path { points, closed } => {
            begin(out, "POLYLINE");
            out.pair(66, "1");
            out.place(10, Point::default());
            out.pair(70, if *closed { "1" } else { "0" });
            for point in points {
                begin(out, "VERTEX");
                out.place(10, *point);
            }
            begin(out, "SEQEND");
        }
        Form::Circle { centre, radius } => {
            begin(out, "CIRCLE");
            out.place(10, *centre);
            out.number(40, *radius);
        }
        Form::Arc { centre, radius, start, sweep } => {
            begin(out, "ARC");
            out.place(10, *centre);
            out.number(40, *radius);
            out.number(50, start.rem_euclid(360.0));
            out.number(51, (start + sweep).rem_euclid(360.0));
        }
        Form::Text { at, size, turn, anchor, text } => {
            begin(out, "TEXT");
            out.place(10, *at);
            // Its height is that of a capital.
            out.number(40, size * 0.72);
            out.pair(1, &words(text));
            out.number(50, *turn);
            let justified = match anchor {
                Anchor::Start => None,
                Anchor::Middle => Some("1"),
                Anchor::End => Some("2"),
            };
            if let Some(code) = justified {
                out.pair(72, code);
                out.place(11, *at);
            }
        }
    }
}

/// Words on one line of ASCII: what has a meaning in the format is spelled so
/// that it has none.
#[must_use]
pub fn words(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '°' => out.push_str("%%d"),
            '±' => out.push_str("%%p"),
            '%' => out.push_str("%%%"),
            '^' => out.push_str("^ "),
            c if c.is_control() => out.push(' '),
            '\\' => out.push_str("\\U+005C"),
            c if c.is_ascii() => out.push(c),
            c => {
                let mut units = [0; 2];
                for unit in c.encode_utf16(&mut units) {
                    let _ = write!(out, "\\U+{unit:04X}");
                }
            }
        }
    }
    out
}
