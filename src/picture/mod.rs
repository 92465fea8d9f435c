//! Pictures of filled paper: which page it is, which boxes are ticked, where
//! something is written. What is found are proposals; a person confirms them. The
//! layer knows pages and boxes and nothing of the record.
//!
//! The rules and their limits were set on synthetic pictures only: drawn strokes,
//! simulated scans and telephone pictures. No real paper was used.

mod code;
pub mod decode;
mod discs;
pub mod geometry;
pub mod grey;
mod ink;
mod paper_scan;
mod quiet;
mod read;
mod register;
mod rule;

pub use decode::{Pictures, Unreadable};
pub use ink::Features;
pub use read::{Blank, BoxSeen, NotRead, PageSeen, code_of, crop, read, straight};
pub use rule::RULE;

/// Points to the mm at which boxes are looked at.
pub const SAMPLES: f64 = 8.0;

#[cfg(feature = "debug")]
pub fn debug(grey: &grey::Grey, form: &crate::form::Form) {
    for k in 1..4 { println!("scale 1/{k}: {:?}", code::at_scale(&grey.shrunk(k), k as f64).map(|f| f.code.page)); }
    println!("doubled: {:?}", code::at_scale(&grey.doubled(), 0.5).map(|f| f.code.page));
    let spots = discs::find(grey, &form.pages[0]);
    let even = grey::Evened::of(grey);
    let rect = form.pages[0].code.unwrap();
    let f = register::by_discs(&even, &form.pages[0], rect, &spots);
    println!("by discs {:?}", f);
    if let Some(f) = code::find(grey).or(f.map(|f| f.1)) {
        let boxes: Vec<_> = form.on(f.code.page).collect();
        let laid = register::by_code(&even, &f, &form.pages[0], rect, &spots, &boxes);
        println!("{f:?}");
        if let Some(l) = laid { for (x,y) in form.pages[0].discs() { println!("disc at {:?}", l.map.apply(geometry::Point::new(x,y))); } for (b,o) in boxes.iter().zip(&l.boxes) { println!("{:?} {:.2} {:.2} dark {:.2} seen {:.2}", b.rect, o.shift.0, o.shift.1, o.dark, o.seen); } }
    }
    println!("{} spots", spots.len());
    for s in &spots { println!("   {:?}", s); }
}
