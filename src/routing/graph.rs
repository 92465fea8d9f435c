//! A route as a picture: operations in their stations, what they hand on, and
//! where work stops.
//!
//! Time runs down the page, one row per operation, one lane per station. On
//! the left, each state an operation provides runs down its own track to those
//! who need it; the row of an operation left of its box is empty, so no line
//! crosses a box. Only the nearest needs are drawn; what follows from them is
//! told when a box is pointed at. Black and white, plain SVG 1.1, no font needed.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use super::numbers::number;
use super::problem::{Moment, Operation, Point, PointKind, Problem, StateId};

const LANE: usize = 250;
const LABELS: usize = 190;
const TRACK: usize = 9;
const MARGIN: usize = 16;
const LINE: usize = 16;
const BAR: usize = 22;
const GAP: usize = 12;

/// One state handed from its provider to those who need it.
struct Cable {
    state: StateId,
    from: usize,
    to: Vec<usize>,
    track: usize,
}

/// Draws `order` as an SVG document with this title.
#[must_use]
pub fn svg(problem: &Problem, order: &[usize], title: &str) -> String {
    let operations = problem.operations();
    let rows: Vec<&Operation> = order.iter().filter_map(|&i| operations.get(i)).collect();
    let mut lanes: Vec<&str> = Vec::new();
    for op in &rows {
        if !lanes.contains(&op.station.as_str()) {
            lanes.push(&op.station);
        }
    }
    let mut cables = direct(cables(&rows), rows.len());
    let tracks = assign_tracks(&mut cables);
    let gutter = MARGIN + tracks * TRACK;
    let first_lane = gutter + LABELS;
    let width = first_lane + lanes.len().max(1) * LANE + MARGIN;

    // In and out lines of each row, in a fixed order.
    let mut ends: Vec<Vec<(usize, bool)>> = vec![Vec::new(); rows.len()];
    for (i, cable) in cables.iter().enumerate() {
        cable.to.iter().for_each(|&row| ends[row].push((i, true)));
    }
    for (i, cable) in cables.iter().enumerate() {
        ends[cable.from].push((i, false));
    }

    let mut body = String::new();
    let mut y = MARGIN + 2 * LINE;
    let mut anchors: BTreeMap<(usize, usize), usize> = BTreeMap::new();
    for (row, op) in rows.iter().enumerate() {
        for point in holds(op, Moment::Before) {
            bar(&mut body, (first_lane, width), &mut y, point, number(row));
        }
        let lines = lines(op);
        let ins = ends[row].iter().filter(|(_, incoming)| *incoming).count();
        let height = (LINE * lines.len().max(ins + usize::from(ins < ends[row].len()))).max(LINE) + 10;
        let lane = lanes.iter().position(|l| *l == op.station).unwrap_or(0);
        let x = first_lane + lane * LANE;
        draw_box(&mut body, (x, y), height, number(row), &lines, &notes(problem, op));
        // Needs come in line by line; all that is handed on leaves on one line below them.
        for (slot, &(cable, incoming)) in ends[row].iter().enumerate() {
            let line_y = y + LINE * slot.min(ins) + 14;
            anchors.insert((cable, row), line_y);
            let track_x = gutter - (cables[cable].track + 1) * TRACK + TRACK / 2;
            let (to, arrow) = if incoming { (x - 1, " marker-end=\"url(#arrow)\"") } else { (x, "") };
            let _ = writeln!(body, "<path d=\"M{track_x} {line_y}H{to}\" class=\"line\"{arrow}/>");
            if incoming {
                let name = problem.state_of(cables[cable].state).map_or("", |s| s.name.as_str());
                let _ = writeln!(
                    body,
                    "<text x=\"{}\" y=\"{}\" class=\"state\">{}</text>",
                    gutter + 4,
                    line_y - 3,
                    clip(name, 28)
                );
            }
        }
        y += height;
        for point in holds(op, Moment::After) {
            y += 4;
            bar(&mut body, (first_lane, width), &mut y, point, number(row));
        }
        y += GAP;
    }
    for (i, cable) in cables.iter().enumerate() {
        let last = cable.to.iter().max().copied().unwrap_or(cable.from);
        if let (Some(top), Some(bottom)) = (anchors.get(&(i, cable.from)), anchors.get(&(i, last))) {
            let x = gutter - (cable.track + 1) * TRACK + TRACK / 2;
            let _ = writeln!(body, "<path d=\"M{x} {top}V{bottom}\" class=\"line\"/>");
        }
    }
    let height = y + MARGIN;
    let mut lanes_svg = String::new();
    for (i, lane) in lanes.iter().enumerate() {
        let x = first_lane + i * LANE;
        let name = if lane.is_empty() { "no station".to_owned() } else { clip(lane, 24) };
        let _ = writeln!(lanes_svg, "<text x=\"{x}\" y=\"{}\" class=\"lane\">{name}</text>", MARGIN + LINE);
        let _ =
            writeln!(lanes_svg, "<path d=\"M{} {}V{}\" class=\"fence\"/>", x - 8, MARGIN, height - MARGIN);
    }
    format!("{}{lanes_svg}{body}</svg>\n", head(width, height, title))
}

fn head(width: usize, height: usize, title: &str) -> String {
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" \
         viewBox=\"0 0 {width} {height}\">\n<title>{title}</title>\n<style>\
         text{{font-family:sans-serif;font-size:12px;fill:#000}}\
         .lane{{font-size:15px;font-weight:bold}}.number{{font-size:15px;font-weight:bold;fill:#fff}}\
         .title{{font-weight:bold}}.state{{font-size:11px}}.bar{{font-weight:bold;fill:#fff}}\
         .line{{fill:none;stroke:#000;stroke-width:1}}\
         .fence{{fill:none;stroke:#000;stroke-width:.5;stroke-dasharray:2 4}}\
         .box{{fill:#fff;stroke:#000;stroke-width:1.5}}</style>\n\
         <defs><marker id=\"arrow\" viewBox=\"0 0 8 8\" refX=\"8\" refY=\"4\" markerWidth=\"8\" \
         markerHeight=\"8\" orient=\"auto\"><path d=\"M0 0L8 4L0 8z\"/></marker></defs>\n\
         <rect width=\"{width}\" height=\"{height}\" fill=\"#fff\"/>\n"
    )
}

/// Who hands which state to whom: from the operation that last provided it.
fn cables(rows: &[&Operation]) -> Vec<Cable> {
    let mut cables: Vec<Cable> = Vec::new();
    let mut open: BTreeMap<StateId, (usize, Option<usize>)> = BTreeMap::new();
    for (row, op) in rows.iter().enumerate() {
        let mut needs = op.requires.clone();
        needs.sort_unstable();
        needs.dedup();
        for state in needs {
            let Some((from, cable)) = open.get_mut(&state) else { continue };
            let index = *cable.get_or_insert_with(|| {
                cables.push(Cable { state, from: *from, to: Vec::new(), track: 0 });
                cables.len() - 1
            });
            if let Some(cable) = cables.get_mut(index) {
                cable.to.push(row);
            }
        }
        for state in &op.clears {
            open.remove(state);
        }
        for &state in &op.provides {
            open.insert(state, (row, None));
        }
    }
    cables
}

/// Without the hand-overs that follow from others: what an operation needs from
/// far up, and what stands in front of its nearer needs anyway, is not drawn,
/// nor is a second state between the same two.
fn direct(cables: Vec<Cable>, rows: usize) -> Vec<Cable> {
    let mut from: Vec<Vec<usize>> = vec![Vec::new(); rows];
    for cable in &cables {
        for &to in &cable.to {
            if !from[to].contains(&cable.from) {
                from[to].push(cable.from);
            }
        }
    }
    let words = rows.div_ceil(64);
    let mut above: Vec<Vec<u64>> = Vec::with_capacity(rows);
    let mut drawn: Vec<Vec<usize>> = Vec::with_capacity(rows);
    let has = |set: &[u64], row: usize| set[row / 64] >> (row % 64) & 1 == 1;
    for needs in &from {
        let mut all = vec![0_u64; words];
        for &need in needs {
            for (mine, theirs) in all.iter_mut().zip(&above[need]) {
                *mine |= theirs;
            }
        }
        drawn.push(needs.iter().copied().filter(|&n| !has(&all, n)).collect());
        needs.iter().for_each(|&n| all[n / 64] |= 1 << (n % 64));
        above.push(all);
    }
    let mut kept = Vec::new();
    for mut cable in cables {
        cable.to.retain(|&to| {
            let place = drawn[to].iter().position(|&f| f == cable.from);
            place.map(|p| drawn[to].swap_remove(p)).is_some()
        });
        if !cable.to.is_empty() {
            kept.push(cable);
        }
    }
    kept
}

/// Gives each cable the first free track; short cables stay near the boxes.
fn assign_tracks(cables: &mut [Cable]) -> usize {
    let span = |c: &Cable| (c.from, c.to.iter().max().copied().unwrap_or(c.from));
    let mut by_length: Vec<usize> = (0..cables.len()).collect();
    by_length.sort_by_key(|&i| (span(&cables[i]).1 - span(&cables[i]).0, cables[i].from, cables[i].state));
    let mut taken: Vec<Vec<(usize, usize)>> = Vec::new();
    for i in by_length {
        let (from, to) = span(&cables[i]);
        let free = |spans: &Vec<(usize, usize)>| spans.iter().all(|&(a, b)| b < from || to < a);
        let track = taken.iter().position(free).unwrap_or_else(|| {
            taken.push(Vec::new());
            taken.len() - 1
        });
        taken[track].push((from, to));
        cables[i].track = track;
    }
    taken.len()
}

fn holds(op: &Operation, moment: Moment) -> impl Iterator<Item = &Point> {
    op.points.iter().filter(move |p| p.kind == PointKind::Hold && p.moment == moment)
}

/// A bar across all lanes, from the first to the edge of the page.
fn bar(body: &mut String, (x, width): (usize, usize), y: &mut usize, point: &Point, number: usize) {
    let wide = width - MARGIN - x;
    let moment = if point.moment == Moment::Before { "before" } else { "after" };
    let text = clip(&format!("HOLD {moment} {number}: {} signs: {}", point.role, point.what), wide / 8);
    let _ = writeln!(body, "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{BAR}\" fill=\"#000\"/>");
    let _ = writeln!(body, "<text x=\"{}\" y=\"{}\" class=\"bar\">{text}</text>", x + 8, *y + 15);
    *y += BAR + 4;
}

/// The lines of a box, each with its style class: title, component and time,
/// who else is called.
fn lines(op: &Operation) -> Vec<(String, &'static str)> {
    let title = if op.title.is_empty() { &op.key } else { &op.title };
    let mut small = vec![op.place().to_owned()];
    if op.minutes > 0 {
        small.push(format!("{} min", op.minutes));
    }
    if op.deferred {
        small.push("after hand-over".to_owned());
    }
    for point in &op.points {
        match point.kind {
            PointKind::Hold => {}
            PointKind::Witness => small.push(format!("witness: {}", point.role)),
            PointKind::Review => small.push(format!("review: {}", point.role)),
        }
    }
    let mut lines: Vec<(String, &str)> = wrap(title, 24).into_iter().map(|l| (l, "title")).collect();
    lines.extend(wrap(&small.join(", "), 30).into_iter().map(|l| (l, "state")));
    lines
}

/// What a box tells when it is pointed at: all it needs, gives, ends and bars.
fn notes(problem: &Problem, op: &Operation) -> String {
    let lists =
        [("needs", &op.requires), ("gives", &op.provides), ("ends", &op.clears), ("not while", &op.forbids)];
    let told = lists.into_iter().filter(|(_, states)| !states.is_empty()).map(|(word, states)| {
        let keys: Vec<&str> = states.iter().map(|&s| problem.state_key(s)).collect();
        format!("{word}: {}", keys.join(", "))
    });
    told.collect::<Vec<_>>().join("; ")
}

/// Breaks a text into lines of about `most` characters, three at the most.
fn wrap(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines.len() == 3;
        let Some(line) = lines.last_mut() else { break };
        if line.is_empty() || full || line.chars().count() + 1 + word.chars().count() <= most {
            if !line.is_empty() {
                line.push(' ');
            }
            line.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines.iter().map(|line| clip(line, most)).collect()
}

fn draw_box(
    body: &mut String,
    (x, y): (usize, usize),
    height: usize,
    number: usize,
    lines: &[(String, &str)],
    notes: &str,
) {
    let wide = LANE - 16;
    let _ = writeln!(body, "<g><title>{}</title>", clip(notes, 2000));
    let _ = writeln!(body, "<rect x=\"{x}\" y=\"{y}\" width=\"{wide}\" height=\"{height}\" class=\"box\"/>");
    let _ = writeln!(body, "<rect x=\"{x}\" y=\"{y}\" width=\"50\" height=\"{height}\" fill=\"#000\"/>");
    let _ = writeln!(body, "<text x=\"{}\" y=\"{}\" class=\"number\">{number}</text>", x + 5, y + 20);
    for (i, (line, class)) in lines.iter().enumerate() {
        let (text_x, text_y) = (x + 56, y + 16 + LINE * i);
        let _ = writeln!(body, "<text x=\"{text_x}\" y=\"{text_y}\" class=\"{class}\">{line}</text>");
    }
    let _ = writeln!(body, "</g>");
}

/// Text that fits in `most` characters, safe inside an SVG element.
fn clip(text: &str, most: usize) -> String {
    let plain: Vec<char> = text.chars().map(|c| if legal(c) { c } else { ' ' }).collect();
    let cut = plain.len() > most;
    let mut out = String::new();
    for c in plain.into_iter().take(if cut { most.saturating_sub(1) } else { most }) {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            c => out.push(c),
        }
    }
    if cut {
        out.push('…');
    }
    out
}

/// Whether XML 1.0 allows the character, controls and line ends left out.
fn legal(c: char) -> bool {
    !c.is_control() && !matches!(c, '\u{FFFE}' | '\u{FFFF}')
}
