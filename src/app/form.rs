//! The boxes of a paper: what the document asks for in each, and where the
//! typesetter put it.

use std::collections::BTreeMap;

use super::plan::Failure;
use crate::form::{BoxKind, BoxName, Form, FormBox, Page};
use crate::record::{Frozen, sha256};
use crate::render::{Marks, Placed};
use crate::traveler::Document;
use crate::traveler::document::{Block, Initials, Point, Reading, Row, Safety};

/// What goes into a box, before its place is known.
#[derive(Debug, Clone)]
struct Asked {
    kind: BoxKind,
    asks: String,
    word: Option<String>,
    unit: Option<String>,
    covers: Vec<String>,
    steps: Vec<u32>,
}

/// A box by its name, and the place of its word among several to choose from.
type Key = (BoxName, Option<usize>);

/// The pages of a paper, and what stands on them.
#[derive(Debug, Clone, Copy)]
pub struct Laid<'a> {
    /// Sizes of the pages.
    pub pages: &'a [Page],
    /// Boxes on these pages, in the order they were laid out.
    pub boxes: &'a [Placed],
    /// Those of its work papers.
    pub papers: &'a [Placed],
}

/// The form of a paper: the boxes of its document, in the order they stand on its pages.
///
/// # Errors
/// If a box on a page has no name, or none the document knows, or stands there twice:
/// a template is at fault.
pub fn form(document: &Document, plan: &Frozen, laid: Laid<'_>, marks: &Marks) -> Result<Form, Failure> {
    let asked = asked(document);
    Ok(Form {
        number: plan.number.clone(),
        revision: plan.revision.clone(),
        digest: marks.digest.clone(),
        pages: laid.pages.to_vec(),
        boxes: named(&asked, plan, laid.boxes)?,
        papers: named(&asked, plan, laid.papers)?,
    })
}

/// The boxes of a paper by name.
fn named(asked: &BTreeMap<Key, Asked>, plan: &Frozen, all: &[Placed]) -> Result<Vec<FormBox>, Failure> {
    let fault = |name: &str, why: &str| Failure::System(format!("the box {name} {why}"));
    let mut stood = BTreeMap::new();
    let mut boxes = Vec::with_capacity(all.len());
    let mut digests: BTreeMap<&str, String> = BTreeMap::new();
    for placed in all {
        if placed.nameless() {
            let at = placed.rect;
            let place = format!("{:.0} mm from the left and {:.0} mm from the top of page", at.x, at.y);
            return Err(fault(&place, &format!("{} has no name", placed.page)));
        }
        let name: BoxName = placed.name.parse().map_err(|_| fault(&placed.name, "has no name of a box"))?;
        let key = (name, placed.choice);
        if let Some(asks) = placed.asks.as_ref().filter(|_| key.0.on_paper()) {
            if let Some(before) = stood.insert(key.clone(), placed.page) {
                return Err(fault(
                    &placed.name,
                    &format!("stands on page {before} and on page {}", placed.page),
                ));
            }
            boxes.push(FormBox {
                kind: if key.0.of_bars() { BoxKind::Value } else { BoxKind::Note },
                page: placed.page,
                rect: placed.rect,
                asks: asks.clone(),
                unit: None,
                word: None,
                covers: Vec::new(),
                steps: Vec::new(),
                operation_digest: sha256(asks.as_bytes()),
                name: key.0,
            });
            continue;
        }
        let one = asked.get(&key).cloned().ok_or_else(|| fault(&placed.name, "is asked for nowhere"))?;
        if let Some(before) = stood.insert(key.clone(), placed.page) {
            return Err(fault(&placed.name, &format!("stands on page {before} and on page {}", placed.page)));
        }
        let name = key.0;
        let of = plan
            .operations
            .iter()
            .find(|o| o.key == name.operation)
            .ok_or_else(|| fault(&placed.name, "belongs to no operation"))?;
        let operation_digest = digests.entry(&of.key).or_insert_with(|| of.digest()).clone();
        boxes.push(FormBox {
            kind: one.kind,
            page: placed.page,
            rect: placed.rect,
            asks: one.asks,
            unit: one.unit,
            word: one.word,
            covers: one.covers,
            steps: one.steps,
            operation_digest,
            name,
        });
    }
    Ok(boxes)
}

/// Everything the station pages of a document ask for, by name.
fn asked(document: &Document) -> BTreeMap<Key, Asked> {
    let mut asked = Boxes { document, list: BTreeMap::new() };
    for station in document.stations.iter().chain(&document.later_stations) {
        for block in &station.blocks {
            asked.rows(&block.rows());
            match block {
                Block::Point(point) => asked.point(point),
                Block::Safety(safety) => asked.safety(safety),
                Block::Initials(list) => list.iter().for_each(|one| asked.initials(one)),
                _ => {}
            }
        }
    }
    asked.list
}

struct Boxes<'a> {
    document: &'a Document,
    list: BTreeMap<Key, Asked>,
}

impl Boxes<'_> {
    fn put(&mut self, name: &BoxName, kind: BoxKind, asks: String) -> &mut Asked {
        let asked = Asked { kind, asks, word: None, unit: None, covers: Vec::new(), steps: Vec::new() };
        self.list.entry((name.clone(), None)).insert_entry(asked).into_mut()
    }

    fn rows(&mut self, rows: &[&Row]) {
        rows.iter().flat_map(|r| &r.boxes).for_each(|b| self.reading(b));
    }

    fn reading(&mut self, reading: &Reading) {
        let Some(name) = &reading.name else { return };
        let asks = asks(reading);
        // A narrow place has a box to write the word in. Beside boxes of words it is the line
        // for the paper one of them rests on.
        let own = match reading.papers.is_empty() {
            true => asks.clone(),
            false => format!("{asks}: number and date of the paper, for {}", reading.papers.join(" or ")),
        };
        self.put(name, BoxKind::Value, own).unit.clone_from(&reading.unit);
        for (place, word) in reading.choices.iter().enumerate() {
            let asks = format!("{asks}: {word}");
            let asked = Asked {
                kind: BoxKind::Tick,
                asks,
                word: Some(word.clone()),
                unit: None,
                covers: Vec::new(),
                steps: Vec::new(),
            };
            self.list.insert((name.clone(), Some(place)), asked);
        }
    }

    fn safety(&mut self, safety: &Safety) {
        if let Some(name) = safety.name.as_ref().filter(|_| safety.initials) {
            let own = format!(".{}", safety.step);
            let asks = format!(
                "{}{}, {}, initials: {}",
                safety.number,
                safety.span.as_ref().unwrap_or(&own),
                safety.who,
                safety.text.text()
            );
            let others = safety.last.map_or(0..0, |last| safety.step + 1..last + 1);
            self.put(name, BoxKind::Initials, asks).steps = others.collect();
        }
    }

    fn initials(&mut self, initials: &Initials) {
        let Some(name) = &initials.name else { return };
        let numbers: Vec<String> = initials.operations.iter().map(u32::to_string).collect();
        let asks = format!("{}, initials and date; done: {}", initials.role, numbers.join(" "));
        let all = self.document.operations.iter().chain(&self.document.after_hand_over);
        let covers = all.filter(|o| initials.operations.contains(&o.number)).map(|o| o.key.clone()).collect();
        self.put(name, BoxKind::Initials, asks).covers = covers;
    }

    fn point(&mut self, point: &Point) {
        point.readings.iter().for_each(|r| self.reading(r));
        let roles = std::iter::once(&point.who).chain(&point.second);
        for (names, role) in point.names.iter().zip(roles) {
            let says = |what: &str| format!("{}, {role}: {what}", point.number);
            let boxes = [
                (&names.name, says("printed name and identification")),
                (&names.mark, says(&format!("signature, “{}”", point.meaning))),
                (&names.when, says("date and time")),
            ];
            for (name, asks) in boxes {
                self.put(name, BoxKind::Signature, asks);
            }
        }
    }
}

/// Label, limit and unit in a line.
fn asks(reading: &Reading) -> String {
    let mut text = reading.label.clone();
    let aim = [&reading.target, &reading.tolerance];
    let aim: Vec<&str> = aim.into_iter().flatten().map(String::as_str).collect();
    if !aim.is_empty() {
        text.push_str(&format!(": {}", aim.join(" ")));
    }
    if let Some(unit) = &reading.unit {
        text.push_str(&format!(", in {unit}"));
    }
    if let Some(instrument) = &reading.instrument {
        text.push_str(&format!(", with {instrument}"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::traveler::document::Station;

    #[test]
    fn steps_printed_as_one_have_one_box_that_says_so() {
        let name = BoxName::step("frame/prove-pins", 2);
        let safety = Safety {
            number: 50,
            step: 2,
            span: Some(".2–4".to_owned()),
            last: Some(4),
            who: "fitter".to_owned(),
            initials: true,
            name: Some(name.clone()),
            ..Safety::default()
        };
        let alone = Safety {
            step: 5,
            span: None,
            last: None,
            name: Some(BoxName::step("frame/prove-pins", 5)),
            ..safety.clone()
        };
        let blocks = vec![Block::Safety(Box::new(safety)), Block::Safety(Box::new(alone.clone()))];
        let document =
            Document { stations: vec![Station { blocks, ..Station::default() }], ..Document::default() };
        let list = asked(&document);
        let one = &list[&(name, None)];
        assert_eq!(one.steps, [3, 4]);
        assert!(one.asks.starts_with("50.2–4, fitter, initials"), "{}", one.asks);
        let other = &list[&(alone.name.unwrap(), None)];
        assert!(other.steps.is_empty() && other.asks.starts_with("50.5, "), "{}", other.asks);
    }
}
