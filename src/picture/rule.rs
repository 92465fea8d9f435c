//! The rules that make a proposal of what a box shows. Their limits were set on
//! synthetic pictures; no real paper was used.

use super::ink::Features;
use crate::form::Proposed;

/// Name and version of these rules; it changes with every limit.
pub const RULE: &str = "picture-2";

/// What holds of the whole picture.
#[derive(Debug, Clone, Copy)]
pub(super) struct Around {
    /// It shows black and white only: a faint mark would be lost, so "empty" is
    /// never decided.
    pub(super) two_tone: bool,
}

fn look(why: &str) -> Proposed {
    Proposed::Look(why.to_owned())
}

/// What speaks against deciding anything about a box.
fn unclear(f: &Features, shown: f64) -> Option<Proposed> {
    if f.outline < shown {
        return Some(look("its outline hardly shows"));
    }
    if f.print < 0.3 {
        return Some(look("the print is too pale here"));
    }
    None
}

/// A tick: not ticked, ticked, or look.
pub(super) fn tick(f: &Features, around: Around) -> Proposed {
    if let Some(look) = unclear(f, 0.75) {
        return look;
    }
    let nothing = (f.pale_area < 0.12 || f.pale_length < 0.9) && (f.faint_area < 0.6 || f.faint_length < 1.5);
    // A broad pen inks half a box; what is scribbled over leaves gaps between strokes.
    if f.covered > 0.6 || f.covered > 0.45 && f.strokes > 2 {
        return look("it is inked all over");
    }
    if nothing {
        return if f.beside >= 0.5 && f.beside_length >= 1.2 {
            look("something is written beside it")
        } else if f.stain > 0.25 {
            look("a dark patch lies on it")
        } else if around.two_tone {
            look("black and white only: a faint mark would not show")
        } else {
            Proposed::Empty
        };
    }
    if f.area < 0.9 || f.length < 2.4 {
        return look("a small or faint mark");
    }
    if f.through {
        return look("a line runs through it: perhaps taken back");
    }
    if f.strokes > 2 {
        return look("many strokes: perhaps scribbled over");
    }
    if f.beside > f.total {
        return look("most of the mark is beside it");
    }
    // The long arm of a check mark leaves to the right or above. What comes in from
    // the left or below is a note's, or the arm of another box's mark.
    if f.onward > f.total || f.onward_left > 0.3 * f.total {
        return look("the mark goes on beside it");
    }
    if f.level > 0.4 {
        return look("something is written beside it");
    }
    if f.stain > 0.25 {
        return look("a dark patch lies on it");
    }
    if f.area / f.length > 0.9 && f.deep < 0.4 * f.pale_total {
        return look("a broad pale mark");
    }
    // A pencil's line stands alone; a fingerprint's goes on beside the box.
    if f.deep < 0.25 * f.pale_total && (f.beside > 0.25 || f.area / f.length > 0.7) {
        return look("a pale mark, and more beside it");
    }
    Proposed::Ticked
}

/// A field of writing: empty, written, or look. What is written there is never
/// proposed: a person types it from the crop.
pub(super) fn writing(f: &Features, around: Around) -> Proposed {
    // Long sides show whole, or the box is not where it was looked for.
    if let Some(look) = unclear(f, 0.85) {
        return look;
    }
    if f.total >= 4.0 && f.wide >= 2.2 && f.high >= 2.0 {
        return Proposed::Written;
    }
    // A hard pencil leaves little at 0.22 and much at 0.11.
    let nothing =
        (f.pale_total < 0.35 || f.pale_length < 1.3) && (f.faint_area < 0.6 || f.faint_length < 1.5);
    if nothing {
        return if f.stain > 0.25 {
            look("a dark patch lies on it")
        } else if around.two_tone {
            look("black and white only: faint writing would not show")
        } else {
            Proposed::Empty
        };
    }
    look("a little is written here")
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A plain tick as measured on a drawn one.
    fn plain() -> Features {
        Features {
            faint_area: 3.4,
            faint_length: 7.0,
            pale_area: 3.1,
            pale_length: 6.8,
            pale_total: 3.1,
            area: 2.8,
            length: 6.5,
            total: 2.8,
            wide: 5.0,
            high: 5.0,
            deep: 2.2,
            covered: 0.1,
            outline: 1.0,
            print: 0.8,
            ..Features::default()
        }
    }

    fn looks(f: &Features) -> bool {
        matches!(tick(f, Around { two_tone: false }), Proposed::Look(_))
    }

    #[test]
    fn each_doubt_alone_stops_a_tick() {
        let grey = Around { two_tone: false };
        assert_eq!(tick(&plain(), grey), Proposed::Ticked);
        assert_eq!(tick(&plain(), Around { two_tone: true }), Proposed::Ticked);
        // A broad pen, and an arm that leaves to the right.
        let broad = Features { covered: 0.55, strokes: 2, onward: 1.2, beside: 1.2, ..plain() };
        assert_eq!(tick(&broad, grey), Proposed::Ticked);
        let doubts: [fn(&mut Features); 13] = [
            |f| f.outline = 0.74,
            |f| f.print = 0.29,
            |f| f.covered = 0.61,
            |f| (f.covered, f.strokes) = (0.46, 3),
            |f| f.strokes = 3,
            |f| f.onward = 2.9,
            |f| f.onward_left = 0.9,
            |f| f.level = 0.41,
            |f| f.through = true,
            |f| f.beside = 2.9,
            |f| f.stain = 0.26,
            |f| f.area = 0.89,
            |f| (f.deep, f.beside) = (0.5, 0.3),
        ];
        for (i, doubt) in doubts.iter().enumerate() {
            let mut features = plain();
            doubt(&mut features);
            assert!(looks(&features), "doubt {i}");
        }
    }

    #[test]
    fn empty_is_decided_in_grey_only_and_beside_nothing() {
        let empty =
            Features { outline: 1.0, print: 0.8, faint_area: 0.3, faint_length: 1.0, ..Features::default() };
        let grey = Around { two_tone: false };
        assert_eq!(tick(&empty, grey), Proposed::Empty);
        assert!(matches!(tick(&empty, Around { two_tone: true }), Proposed::Look(_)));
        assert!(looks(&Features { beside: 1.0, beside_length: 3.0, ..empty }));
        assert!(looks(&Features { stain: 0.4, ..empty }));
        assert!(looks(&Features { faint_area: 0.7, faint_length: 2.0, ..empty }));
        assert_eq!(writing(&empty, Around { two_tone: false }), Proposed::Empty);
        let faint = Features { faint_area: 8.0, faint_length: 5.6, ..empty };
        assert!(matches!(writing(&faint, grey), Proposed::Look(_)));
        assert!(matches!(writing(&empty, Around { two_tone: true }), Proposed::Look(_)));
        assert!(matches!(writing(&Features { outline: 0.8, ..plain() }, grey), Proposed::Look(_)));
        assert_eq!(
            writing(
                &Features { total: 4.1, pale_total: 4.4, wide: 8.0, ..plain() },
                Around { two_tone: true }
            ),
            Proposed::Written
        );
    }
}
