//! Files nobody vouches for, given to `verify`: a verdict in words, never a
//! panic, and never "whole".

use std::path::Path;

use tackwright::app::record::completed::{ATTACHED, LOG, MANIFEST, Parts};
use tackwright::app::record::verify::{self, Trust, Verdict};
use tackwright::app::record::{pdf, whole};
use tackwright::render::{self, Attachment, Relationship};
use tackwright::traveler::Document;

fn verify(bytes: &[u8]) -> Verdict {
    verify::verify(bytes, &Trust::default())
}

/// Numbers that look random and are the same every time.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        // xorshift64, Marsaglia 2003.
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % below.max(1) as u64).unwrap()
    }
}

/// A small file with the attachments of the sample of a completed record.
fn seed() -> Vec<u8> {
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/TW-2041-completed.pdf");
    let files = pdf::attachments(&std::fs::read(sample).unwrap()).unwrap();
    let names: Vec<&str> = ATTACHED.iter().copied().chain([MANIFEST, LOG]).collect();
    let attachments: Vec<Attachment> = names
        .iter()
        .map(|name| Attachment {
            name: (*name).to_owned(),
            bytes: files[*name].as_slice().into(),
            mime: "application/octet-stream".to_owned(),
            relationship: Relationship::Data,
            description: "part of the record".to_owned(),
        })
        .collect();
    let mut document = Document::default();
    let salt = Parts::of(files).0.salt();
    document.meta.keywords = whole::keywords(&salt);
    whole::finish(render::pdf(&document, &attachments).unwrap().bytes, &salt)
}

fn mutate(seed: &[u8], dice: &mut Dice) -> Vec<u8> {
    let mut bytes = seed.to_vec();
    match dice.roll(6) {
        // Single bits.
        0 => {
            for _ in 0..=dice.roll(32) {
                let at = dice.roll(bytes.len());
                bytes[at] ^= 1 << dice.roll(8);
            }
        }
        // Cut short.
        1 => bytes.truncate(dice.roll(bytes.len())),
        // A block twice.
        2 => {
            let from = dice.roll(bytes.len());
            let block = bytes[from..(from + dice.roll(4096)).min(bytes.len())].to_vec();
            let at = dice.roll(bytes.len());
            bytes.splice(at..at, block);
        }
        // A block gone.
        3 => {
            let from = dice.roll(bytes.len());
            let to = (from + 1 + dice.roll(4096)).min(bytes.len());
            bytes.drain(from..to);
        }
        // Huge and negative numbers.
        4 => {
            let digits: Vec<usize> =
                (0..bytes.len() - 3).filter(|i| bytes[*i..*i + 3].iter().all(u8::is_ascii_digit)).collect();
            for _ in 0..=dice.roll(6) {
                let at = digits[dice.roll(digits.len())];
                let new = [b"999", b"-99", b"000"][dice.roll(3)];
                bytes[at..at + 3].copy_from_slice(new);
            }
        }
        // References to the wrong objects, itself included.
        _ => {
            let references: Vec<usize> =
                (1..bytes.len() - 4).filter(|i| bytes[*i..].starts_with(b" 0 R")).collect();
            for _ in 0..=dice.roll(6) {
                let at = references[dice.roll(references.len())];
                bytes[at - 1] = b'0' + u8::try_from(dice.roll(10)).unwrap();
            }
        }
    }
    bytes
}

#[test]
fn damaged_files_get_a_verdict_and_are_never_whole() {
    let seed = seed();
    // Its parts are those of the sample, its pages are not.
    let verdict = verify(&seed);
    assert!(!verdict.whole() && verdict.looked.len() > 5, "{verdict:#?}");
    let rounds = std::env::var("TACKWRIGHT_FUZZ").ok().and_then(|n| n.parse().ok()).unwrap_or(150);
    let mut dice = Dice(0x9E37_79B9_7F4A_7C15);
    for round in 0..rounds {
        let bytes = mutate(&seed, &mut dice);
        if bytes == seed {
            continue;
        }
        let verdict = verify(&bytes);
        assert!(!verdict.whole(), "round {round}: {verdict:#?}");
        assert!(verdict.looked.iter().all(|l| !l.words.is_empty()), "round {round}");
    }
}

#[test]
fn files_made_to_hurt_are_refused_in_words() {
    let nested = |open: &str, close: &str| {
        let body = format!("{}{}", open.repeat(200_000), close.repeat(200_000));
        format!("%PDF-1.7\n1 0 obj\n{body}\nendobj\ntrailer<</Root 1 0 R>>\n%%EOF").into_bytes()
    };
    let loops = b"%PDF-1.7\n1 0 obj\n<</Type/Catalog/Pages 1 0 R/Names 1 0 R/Kids[1 0 R]>>\nendobj\ntrailer<</Root 1 0 R/Prev 9>>\nstartxref\n9\n%%EOF".to_vec();
    let huge =
        b"%PDF-1.7\n1 0 obj\n<</Length 99999999999999999999>>\nstream\nx\nendstream\nendobj\n%%EOF".to_vec();
    for bytes in [nested("[", "]"), nested("<<", ">>"), nested("(", ")"), loops, huge, vec![0; 1 << 20]] {
        let verdict = verify(&bytes);
        assert!(!verdict.whole() && verdict.broken());
        assert!(verdict.looked.iter().any(|l| !l.words.is_empty()));
    }
}
