//! A gate for the reader of pictures: printed pages of demonstration travelers, filled
//! by drawn hands of many kinds and captured in many ways, all from a seed. No real
//! paper was used: what is counted here holds for these pictures.
#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "small numbers of a die, none below zero"
)]

use std::collections::BTreeMap;
use std::fmt;
use std::time::{Duration, Instant};

use tackwright::form::{BoxKind, BoxName, Form, Proposed, Rect};
use tackwright::picture::grey::Grey;
use tackwright::picture::{Pictures, read};

use super::drawn_page::{Capture, Dice, captured_at, stroke_at};

/// What a hand did to a tick box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Mark {
    /// Nothing.
    Nothing,
    /// A check mark, as it comes.
    Check,
    /// A check mark far out of its box.
    Wide,
    /// A cross.
    Cross,
    /// One stroke from corner to corner.
    Slash,
    /// A broad pen.
    Heavy,
    /// A pencil.
    Light,
    /// Scribbled over, tightly or loosely, with nothing out of the box.
    Scribbled,
    /// Ticked and taken back.
    Struck,
    /// Beside the box.
    Beside,
    /// A dot or the end of another stroke.
    Stray,
    /// A line of a note runs across it.
    Note,
    /// Ticked, and another word of the same question too.
    Double,
}

impl Mark {
    /// Whether the box was plainly meant to be ticked.
    fn plain(self) -> bool {
        matches!(self, Self::Check | Self::Wide | Self::Cross | Self::Slash | Self::Heavy | Self::Light)
    }

    /// Whether calling it ticked makes something up.
    fn never(self) -> bool {
        matches!(self, Self::Nothing | Self::Beside | Self::Stray | Self::Note)
    }
}

/// A printed page of a traveler.
pub(crate) struct Printed<'a> {
    pub(crate) form: &'a Form,
    pub(crate) number: u32,
    pub(crate) grey: Grey,
    pub(crate) per: f64,
}

impl<'a> Printed<'a> {
    pub(crate) fn of(form: &'a Form, paper: &Pictures<'_>, number: u32) -> Self {
        let grey = paper.get(number as usize - 1).expect("a page");
        let per = grey.width as f64 / form.pages[number as usize - 1].width;
        Self { form, number, grey, per }
    }
}

/// What is counted of one kind of capture.
#[derive(Debug, Clone, Default)]
pub(crate) struct Count {
    pub(crate) pages: u32,
    /// Pages taken for another, or not read at all.
    pub(crate) wrong: u32,
    pub(crate) unread: u32,
    /// Boxes nothing was ticked in, and those called ticked.
    pub(crate) unticked: u32,
    pub(crate) made_up: u32,
    pub(crate) unticked_look: u32,
    pub(crate) struck: u32,
    pub(crate) struck_ticked: u32,
    /// Boxes plainly ticked, those called empty, those to be looked at.
    pub(crate) ticked: u32,
    pub(crate) missed: u32,
    pub(crate) look: u32,
    /// Two words of one question, and any of them proposed.
    pub(crate) doubles: u32,
    pub(crate) doubles_proposed: u32,
    pub(crate) written: u32,
    pub(crate) written_empty: u32,
    pub(crate) time: Duration,
    /// Why boxes that were ticked are to be looked at.
    pub(crate) why: BTreeMap<String, u32>,
    /// What must not be, in words.
    pub(crate) faults: Vec<String>,
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let share = |a: u32, b: u32| 100.0 * f64::from(a) / f64::from(b.max(1));
        write!(
            f,
            "{} pages, {} wrong, {} unread; made up {}/{}, struck {}/{}, missed {}/{}, doubles {}/{}, \
             written called empty {}/{}; to look at {:.1} % of ticked, {:.1} % of the others; {:.2} s a page",
            self.pages,
            self.wrong,
            self.unread,
            self.made_up,
            self.unticked,
            self.struck_ticked,
            self.struck,
            self.missed,
            self.ticked,
            self.doubles_proposed,
            self.doubles,
            self.written_empty,
            self.written,
            share(self.look, self.ticked),
            share(self.unticked_look, self.unticked),
            self.time.as_secs_f64() / f64::from(self.pages.max(1))
        )
    }
}

/// Fills, captures and reads a page, and counts what came of it.
pub(crate) fn tried(printed: &Printed<'_>, how: Capture, seed: u64, count: &mut Count) {
    let mut dice = Dice(seed);
    let mut paper = printed.grey.clone();
    let marks = filled(printed, &mut paper, &mut dice);
    let file = captured_at(&paper, printed.per, how, 0.0, &mut dice);
    let began = Instant::now();
    let picture = Pictures::open(&file).expect("a picture").get(0).expect("a whole one");
    let seen = read(&picture, printed.form, &|page| {
        Some(if page == printed.number { printed.grey.clone() } else { Grey::plain(1800, 2300, 255) })
    });
    count.time += began.elapsed();
    count.pages += 1;
    let seen = match seen {
        Ok(seen) if seen.code.page == printed.number => seen,
        Ok(_) => {
            count.wrong += 1;
            return;
        }
        Err(why) => {
            count.unread += 1;
            *count.why.entry(format!("UNREAD {why}")).or_default() += 1;
            return;
        }
    };
    for (mark, one) in marks.iter().zip(&seen.boxes) {
        let ticked = one.value == Proposed::Ticked;
        let looked = matches!(one.value, Proposed::Look(_));
        let fault = |count: &mut Count| {
            count.faults.push(format!(
                "{how:?} seed {seed} page {} {} {mark:?}: {:?} {:?}",
                printed.number,
                one.label(),
                one.value,
                one.features
            ));
        };
        let Some(mark) = mark else {
            count.written += 1;
            if one.value == Proposed::Empty {
                count.written_empty += 1;
                fault(count);
            }
            continue;
        };
        if one.kind != BoxKind::Tick {
            continue;
        }
        match mark {
            m if m.never() => {
                count.unticked += 1;
                count.unticked_look += u32::from(looked);
                if ticked {
                    count.made_up += 1;
                    fault(count);
                }
            }
            Mark::Struck | Mark::Scribbled => {
                count.struck += 1;
                if ticked {
                    count.struck_ticked += 1;
                    fault(count);
                }
            }
            Mark::Double => {
                count.doubles += 1;
                if ticked {
                    count.doubles_proposed += 1;
                    fault(count);
                }
            }
            m if m.plain() => {
                count.ticked += 1;
                if let Proposed::Look(why) = &one.value {
                    count.look += 1;
                    *count.why.entry(format!("{m:?}: {why}")).or_default() += 1;
                }
                if one.value == Proposed::Empty {
                    count.missed += 1;
                    fault(count);
                }
            }
            _ => {}
        }
    }
}

/// What each box of the page got; none for writing.
fn filled(printed: &Printed<'_>, paper: &mut Grey, dice: &mut Dice) -> Vec<Option<Mark>> {
    let boxes: Vec<_> = printed.form.on(printed.number).collect();
    let mut marks = vec![Some(Mark::Nothing); boxes.len()];
    let (pen, dark) = (dice.between(0.35, 0.6), dice.between(0.65, 0.95));
    let mut done: Vec<&BoxName> = Vec::new();
    for (i, one) in boxes.iter().enumerate() {
        if one.kind != BoxKind::Tick {
            if dice.next() < 0.6 {
                marks[i] = None;
                let word = writing(one.rect, dice);
                stroke_at(paper, printed.per, &word, pen, dark);
            }
            continue;
        }
        if done.contains(&&one.name) {
            continue;
        }
        done.push(&one.name);
        let group: Vec<usize> = (0..boxes.len()).filter(|k| boxes[*k].name == one.name).collect();
        let any = |dice: &mut Dice| group[(dice.next() * group.len() as f64) as usize % group.len()];
        let first = any(dice);
        // Mostly check marks and crosses; how often a hand does what is a guess.
        let plain = [
            Mark::Check,
            Mark::Check,
            Mark::Check,
            Mark::Check,
            Mark::Cross,
            Mark::Cross,
            Mark::Wide,
            Mark::Slash,
            Mark::Heavy,
            Mark::Light,
        ];
        let other =
            [Mark::Struck, Mark::Struck, Mark::Scribbled, Mark::Beside, Mark::Stray, Mark::Note, Mark::Note];
        let pick =
            |from: &[Mark], dice: &mut Dice| from[(dice.next() * from.len() as f64) as usize % from.len()];
        let chance = dice.next();
        if chance < 0.72 {
            marks[first] = Some(pick(&plain, dice));
        }
        let second = any(dice);
        if (0.56..0.88).contains(&chance) && (second != first || chance >= 0.72) {
            marks[second] = Some(pick(&other, dice));
        }
        if (0.5..0.56).contains(&chance) && second != first {
            (marks[first], marks[second]) = (Some(Mark::Double), Some(Mark::Double));
        }
    }
    for (mark, one) in marks.iter().zip(&boxes) {
        for (line, wide, deep) in mark.iter().flat_map(|m| strokes(*m, one.rect, pen, dark, dice)) {
            stroke_at(paper, printed.per, &line, wide, deep);
        }
    }
    marks
}

type Stroke = (Vec<(f64, f64)>, f64, f64);

fn strokes(mark: Mark, r: Rect, pen: f64, dark: f64, dice: &mut Dice) -> Vec<Stroke> {
    let s = r.width.min(r.height);
    let (cx, cy) = (r.x + r.width / 2.0, r.y + r.height / 2.0);
    let check = |dice: &mut Dice, x: f64, y: f64, k: f64| -> Vec<(f64, f64)> {
        let tilt = dice.near(0.12);
        let corners = [(-0.36, 0.0), (-0.2, 0.2), (-0.1, 0.34), (0.14, 0.0), (0.46, -0.44)];
        corners
            .iter()
            .map(|(u, v)| {
                let (u, v) = (u * k - v * tilt, v * k + u * tilt);
                (x + s * u + dice.near(0.04 * s), y + s * v + dice.near(0.04 * s))
            })
            .collect()
    };
    let (ox, oy) = (cx + dice.near(0.08 * s), cy + dice.near(0.08 * s));
    let plain = |lines: Vec<Vec<(f64, f64)>>| lines.into_iter().map(|l| (l, pen, dark)).collect();
    match mark {
        Mark::Nothing => Vec::new(),
        Mark::Check | Mark::Double => {
            let k = dice.between(0.75, 1.15);
            plain(vec![check(dice, ox, oy, k)])
        }
        Mark::Wide => {
            let k = dice.between(1.3, 1.9);
            plain(vec![check(dice, ox + 0.15 * s, oy - 0.15 * s, k)])
        }
        Mark::Cross => {
            let a = dice.between(0.3, 0.7) * s;
            let mut at =
                |u: f64, v: f64| (ox + u * a + dice.near(0.05 * s), oy + v * a + dice.near(0.05 * s));
            plain(vec![vec![at(-1.0, -1.0), at(1.0, 1.0)], vec![at(1.0, -1.0), at(-1.0, 1.0)]])
        }
        Mark::Slash => {
            let a = dice.between(0.35, 0.8) * s;
            plain(vec![vec![
                (ox - a, oy + a * dice.between(0.8, 1.1)),
                (ox + a, oy - a * dice.between(0.8, 1.1)),
            ]])
        }
        Mark::Heavy => {
            let k = dice.between(0.8, 1.2);
            vec![(check(dice, ox, oy, k), dice.between(0.8, 1.2), 0.95)]
        }
        Mark::Light => {
            let k = dice.between(0.8, 1.2);
            vec![(check(dice, ox, oy, k), dice.between(0.4, 0.6), dice.between(0.38, 0.55))]
        }
        Mark::Scribbled => {
            let rows = 5 + (dice.next() * 6.0) as u32;
            let upright = dice.next() < 0.4;
            let line = (0..rows).map(|k| {
                let along = 0.1 + 0.8 * f64::from(k) / f64::from(rows - 1);
                let across = (if k % 2 == 0 { 0.12 } else { 0.88 }) + dice.near(0.05);
                let (u, v) = if upright { (along, across) } else { (across, along) };
                (r.x + r.width * u, r.y + r.height * v)
            });
            let line = line.collect();
            let mut all = if dice.next() < 0.5 { vec![check(dice, ox, oy, 0.9)] } else { Vec::new() };
            all.push(line);
            plain(all)
        }
        Mark::Struck => {
            let k = dice.between(0.75, 1.3);
            let mut all = vec![check(dice, ox, oy, k)];
            let style = dice.next();
            if style < 0.4 {
                let y = cy + s * dice.between(-0.2, 0.2);
                let (left, right) = (dice.between(0.35, 1.2) * s, dice.between(0.35, 1.2) * s);
                all.push(vec![
                    (r.x - left, y + dice.near(0.5)),
                    (cx, y + dice.near(0.2)),
                    (r.x + r.width + right, y + dice.near(0.5)),
                ]);
            } else if style < 0.7 {
                let n = 12;
                let zigzag = (0..n).map(|k| {
                    let up = if k % 2 == 0 { 0.08 } else { 0.92 };
                    (r.x + s * (-0.3 + 1.6 * f64::from(k) / f64::from(n - 1)), r.y + s * up + dice.near(0.1))
                });
                all.push(zigzag.collect());
            } else {
                // Two lines close together, a little inclined.
                let tilt = dice.near(0.15) * s;
                for y in [-0.12, 0.12] {
                    let y = cy + s * y;
                    all.push(vec![(r.x - 0.5 * s, y + tilt), (r.x + 1.5 * s, y - tilt)]);
                }
            }
            plain(all)
        }
        Mark::Beside => {
            let left = dice.next() < 0.6;
            let x = if left { r.x - 0.7 * s } else { r.x + r.width + 0.75 * s };
            let k = dice.between(0.7, 1.1);
            plain(vec![check(dice, x, cy, k)])
        }
        Mark::Stray => {
            if dice.next() < 0.5 {
                let (x, y) = (ox, oy);
                plain(vec![vec![(x, y), (x + dice.between(0.1, 0.9), y + dice.near(0.4))]])
            } else {
                // The end of a stroke that began elsewhere.
                let y = r.y + r.height * dice.between(0.1, 0.9);
                plain(vec![vec![
                    (r.x - dice.between(3.0, 8.0), y + dice.near(2.0)),
                    (r.x + dice.between(0.2, 1.2), y),
                ]])
            }
        }
        Mark::Note => {
            let n = 24;
            let (from, y) = (r.x - dice.between(8.0, 14.0), cy + dice.near(0.4 * s));
            let high = dice.between(0.8, 1.3);
            let line = (0..n).map(|k| {
                let up = if k % 2 == 0 { -high } else { high };
                (from + 1.1 * f64::from(k), y + up + dice.near(0.35))
            });
            plain(vec![line.collect()])
        }
    }
}

fn writing(r: Rect, dice: &mut Dice) -> Vec<(f64, f64)> {
    let n = 6 + (dice.next() * 5.0) as u32;
    let (left, wide) = (0.15 * r.width, 0.7 * r.width.min(34.0));
    let line = (0..n).map(|k| {
        let up = if k % 2 == 0 { 0.4 } else { 0.85 };
        (r.x + left + wide * f64::from(k) / f64::from(n - 1), r.y + r.height * (up + dice.near(0.05)))
    });
    line.collect()
}

impl Count {
    /// Puts another count to this one.
    pub(crate) fn add(&mut self, other: Self) {
        self.pages += other.pages;
        self.wrong += other.wrong;
        self.unread += other.unread;
        self.unticked += other.unticked;
        self.made_up += other.made_up;
        self.unticked_look += other.unticked_look;
        self.struck += other.struck;
        self.struck_ticked += other.struck_ticked;
        self.ticked += other.ticked;
        self.missed += other.missed;
        self.look += other.look;
        self.doubles += other.doubles;
        self.doubles_proposed += other.doubles_proposed;
        self.written += other.written;
        self.written_empty += other.written_empty;
        self.time += other.time;
        self.faults.extend(other.faults);
        for (why, n) in other.why {
            *self.why.entry(why).or_default() += n;
        }
    }
}
