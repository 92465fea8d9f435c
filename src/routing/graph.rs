//! A route as a picture: operations in their stations, what they hand on, and
//! where work stops.
//!
//! Time runs down the page, one row per operation, one lane per station. On
//! the left, each state an operation provides runs down its own track to those
//! who need it; the row of an operation left of its box is empty, so no line
//! crosses a box. Only the nearest needs are drawn; what follows from them is
//! told when a box is pointed at. It is drawn with the shapes that sheets at full
//! size are drawn with, in black and white.

use std::collections::BTreeMap;

use super::numbers::number;
use super::problem::{Moment, Operation, Point, PointKind, Problem, StateId};
use crate::shape::{Anchor, LETTER, Layer, Point as Place, Sheet, count};

// Millimetres of the picture.
const LANE: f64 = 66.0;
const LABELS: f64 = 52.0;
const TRACK: f64 = 2.4;
const LINE: f64 = 4.2;
const GAP: f64 = 3.2;
/// Free strip between the boxes of two lanes.
const AISLE: f64 = 4.0;
/// Column of the number in a box.
const NUMBER: f64 = 12.0;
/// From the upper edge of a line to its base line.
const BASE: f64 = 3.2;
const TYPE: f64 = 3.2;
const SMALL: f64 = 2.8;
/// Dot where a line leaves its track.
const DOT: f64 = 0.6;

/// One state handed from its provider to those who need it.
struct Cable {
    state: StateId,
    from: usize,
    to: Vec<usize>,
    track: usize,
}

/// Draws `order`: the shapes, and in words what they show.
#[must_use]
pub fn sheet(problem: &Problem, order: &[usize], title: &str) -> Sheet {
    let operations = problem.operations();
    let rows: Vec<&Operation> = order.iter().filter_map(|&i| operations.get(i)).collect();
    let mut lanes: Vec<&str> = Vec::new();
    for op in &rows {
        if !lanes.contains(&op.station.as_str()) {
            lanes.push(&op.station);
        }
    }
    let mut cables = direct(cables(&rows), rows.len());
    let gutter = count(assign_tracks(&mut cables)) * TRACK;
    let first_lane = gutter + LABELS;
    let width = first_lane + count(lanes.len().max(1)) * LANE;
    let track = |cable: &Cable| gutter - (count(cable.track) + 0.5) * TRACK;
    let ends = ends(&cables, rows.len());

    let mut sheet = Sheet {
        name: "route".to_owned(),
        title: title.to_owned(),
        alt: in_words(&rows, &lanes),
        ..Sheet::default()
    };
    sheet.words_on(Layer::Heading, Place::new(0.0, LINE), 5.0, title);
    // Down the page is down in y.
    let mut y = -2.0 * LINE;
    let mut bars: Vec<(f64, f64)> = Vec::new();
    let mut anchors: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for (row, op) in rows.iter().enumerate() {
        for point in holds(op, Moment::Before) {
            let low = bar(&mut sheet, (first_lane, width), y, &stop(point, number(row)));
            bars.push((y, low));
            y = low - GAP / 2.0;
        }
        let lines = lines(op);
        let ins = ends[row].iter().filter(|(_, incoming)| *incoming).count();
        let outs = usize::from(ins < ends[row].len());
        let height = LINE * count(lines.len().max(ins + outs)) + 2.0;
        let lane = lanes.iter().position(|l| *l == op.station).unwrap_or(0);
        let x = first_lane + count(lane) * LANE;
        draw_box(&mut sheet, Place::new(x, y), height, number(row), &lines);
        sheet.tell(notes(problem, op));
        // Needs come in line by line; all that is handed on leaves on one line below them.
        for (slot, &(cable, incoming)) in ends[row].iter().enumerate() {
            let at = y - 1.0 - LINE * count(slot.min(ins)) - BASE;
            anchors.insert((cable, row), at);
            let (from, to) = (Place::new(track(&cables[cable]), at), Place::new(x, at));
            sheet.circle(Layer::Link, from, DOT);
            if incoming {
                sheet.arrow(Layer::Link, from, to);
                let name = problem.state_of(cables[cable].state).map_or("", |s| s.name.as_str());
                let words = clip(name, fitting(LABELS - 4.0, SMALL));
                sheet.words(Place::new(gutter + 1.0, at + 0.95), SMALL, words);
            } else {
                sheet.line(Layer::Link, from, to);
            }
        }
        y -= height;
        for point in holds(op, Moment::After) {
            let top = y - GAP / 2.0;
            y = bar(&mut sheet, (first_lane, width), top, &stop(point, number(row)));
            bars.push((top, y));
        }
        y -= GAP;
    }
    for (i, cable) in cables.iter().enumerate() {
        let last = cable.to.iter().max().copied().unwrap_or(cable.from);
        if let (Some(top), Some(bottom)) = (anchors.get(&(i, cable.from)), anchors.get(&(i, last))) {
            let x = track(cable);
            sheet.line(Layer::Link, Place::new(x, *top), Place::new(x, *bottom));
        }
    }
    for (i, lane) in lanes.iter().enumerate() {
        let x = first_lane + count(i) * LANE;
        let name = if lane.is_empty() { "no station" } else { *lane };
        let name = clip(name, fitting(LANE - AISLE, 4.0));
        sheet.words_on(Layer::Heading, Place::new(x, -LINE), 4.0, name);
        let aside = x - AISLE / 2.0;
        // Not through the words of a bar.
        let mut from = 0.0;
        for (top, low) in bars.iter().copied().chain([(y, y)]) {
            sheet.line(Layer::Guide, Place::new(aside, from), Place::new(aside, top));
            from = low;
        }
    }
    sheet
}

/// In and out lines of each row, in a fixed order: the cable, and whether it comes in.
fn ends(cables: &[Cable], rows: usize) -> Vec<Vec<(usize, bool)>> {
    let mut ends: Vec<Vec<(usize, bool)>> = vec![Vec::new(); rows];
    for (i, cable) in cables.iter().enumerate() {
        cable.to.iter().for_each(|&row| ends[row].push((i, true)));
    }
    for (i, cable) in cables.iter().enumerate() {
        ends[cable.from].push((i, false));
    }
    ends
}

/// Letters of this size that surely fit a width.
fn fitting(width: f64, size: f64) -> usize {
    let letter = LETTER * size;
    (0..400_usize).take_while(|n| count(n + 1) * letter <= width).count()
}

/// The whole picture for who does not see it: operations in order with their
/// stations, and where work stops.
fn in_words(rows: &[&Operation], lanes: &[&str]) -> String {
    let mut said = vec![format!("{} operations at {} stations, from first to last", rows.len(), lanes.len())];
    for (row, op) in rows.iter().enumerate() {
        said.extend(holds(op, Moment::Before).map(|point| stop(point, number(row))));
        let title = if op.title.is_empty() { &op.key } else { &op.title };
        said.push(format!("{} {title}, {}, at {}", number(row), op.place(), op.station));
        said.extend(holds(op, Moment::After).map(|point| stop(point, number(row))));
    }
    said.join(". ")
}

fn stop(point: &Point, number: usize) -> String {
    let moment = if point.moment == Moment::Before { "before" } else { "after" };
    let sign = if point.role.contains(" and ") { "sign" } else { "signs" };
    format!("HOLD {moment} {number}: {} {sign}: {}", point.role, point.what)
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

/// A bar across all lanes, from the first to the edge of the picture; says where it
/// ends.
fn bar(sheet: &mut Sheet, (left, right): (f64, f64), top: f64, text: &str) -> f64 {
    let right = right - AISLE;
    let lines = wrap(text, fitting(right - left - 4.0, TYPE), usize::MAX);
    let low = top - LINE * count(lines.len()) - 1.6;
    sheet.rectangle(Layer::Stop, Place::new(left, low), Place::new(right, top));
    for (i, line) in lines.into_iter().enumerate() {
        let at = Place::new(left + 2.0, top - 0.8 - LINE * count(i) - BASE);
        sheet.words_on(Layer::Stop, at, TYPE, line);
    }
    low
}

/// A line of a box: its words, their size and whether they are its title.
type Line = (String, f64, Layer);

/// The lines of a box: title, component and time, who else is called.
fn lines(op: &Operation) -> Vec<Line> {
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
    let room = LANE - AISLE - NUMBER - 2.0;
    let of = |text: &str, size, layer| {
        wrap(text, fitting(room, size), 4).into_iter().map(move |l| (l, size, layer)).collect::<Vec<Line>>()
    };
    let mut lines = of(title, TYPE, Layer::Heading);
    lines.extend(of(&small.join(", "), SMALL, Layer::Text));
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
    clip(&told.collect::<Vec<_>>().join("; "), 2000)
}

/// Breaks a text into lines of so many characters, so many lines at the most; a word
/// longer than a line is cut, and what finds no line ends with a mark.
fn wrap(text: &str, most: usize, most_lines: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split_whitespace() {
        let full = lines.len() == most_lines;
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

/// A box with its number in front; the last shape is its edge.
fn draw_box(sheet: &mut Sheet, corner: Place, height: f64, number: usize, lines: &[Line]) {
    let (x, y) = (corner.x, corner.y);
    for (i, (line, size, layer)) in lines.iter().enumerate() {
        let at = Place::new(x + NUMBER + 1.0, y - 1.0 - LINE * count(i) - BASE);
        sheet.words_on(*layer, at, *size, line.clone());
    }
    let place = Place::new(x + NUMBER / 2.0, y - 1.0 - BASE);
    sheet.put(Layer::Heading, place, 4.0, 0.0, Anchor::Middle, number.to_string());
    let bar = x + NUMBER;
    sheet.line(Layer::Outline, Place::new(bar, y), Place::new(bar, y - height));
    sheet.rectangle(Layer::Outline, Place::new(x, y - height), Place::new(x + LANE - AISLE, y));
}

/// Text that fits in so many characters.
fn clip(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    let mut out: String = text.chars().take(most.saturating_sub(1)).collect();
    out.push('…');
    out
}
