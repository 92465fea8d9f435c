//! The gate for pictures of paper: printed pages of three demonstration travelers on
//! letter and A4, filled by drawn hands of many kinds, captured in many ways. A small
//! part with fixed seeds runs always; the whole of it, with pages for each way:
//! `TACKWRIGHT_PICTURES=60 cargo test --release --test suite pictures_gate -- --nocapture`
//! (with `TACKWRIGHT_SEED` for others). No real paper was used.

use tackwright::app::compose::compose;
use tackwright::app::plan::{load, plan};
use tackwright::app::record::freeze;
use tackwright::form::{BoxKind, Form};
use tackwright::picture::Pictures;

use crate::support::desk::{Desk, folder, shipped};
use crate::support::drawn_page::{Capture, Dice};
use crate::support::gate::{Count, Printed, tried};

/// A job's pages as they are printed on a paper.
fn papers() -> Vec<(Form, Vec<u8>)> {
    let shelf = shipped();
    let jobs = folder("jobs", "toml");
    let of = |name: &str| jobs.iter().find(|(n, _)| n == name).map(|(_, text)| text.clone()).unwrap();
    [("hoist-frame", "letter"), ("pump-trailer", "a4"), ("forest-carrier", "letter")]
        .into_iter()
        .map(|(name, paper)| {
            let text: Vec<String> =
                of(name).lines().filter(|l| !l.starts_with("paper")).map(str::to_owned).collect();
            let text = text.join("\n").replacen("[job]\n", &format!("[job]\npaper = \"{paper}\"\n"), 1);
            let loaded = load(&Desk::with("job.toml", &text), "job.toml".as_ref(), &shelf).unwrap();
            let plan = plan(&loaded, &shelf).unwrap();
            let (mut content, _) = freeze::content(&plan, &shelf, &compose(&plan)).unwrap();
            let form = serde_json::from_slice(&content.files["form.json"]).unwrap();
            (form, content.files.remove("traveler.pdf").unwrap())
        })
        .collect()
}

/// Pages with questions to tick.
fn asked(papers: &[(Form, Vec<u8>)]) -> Vec<(usize, u32)> {
    let mut list = Vec::new();
    for (at, (form, _)) in papers.iter().enumerate() {
        for page in 1..=u32::try_from(form.pages.len()).unwrap() {
            if form.on(page).filter(|b| b.kind == BoxKind::Tick).count() > 3 {
                list.push((at, page));
            }
        }
    }
    list
}

/// Tries so many pages captured one way; every one of them its own seed.
fn count(papers: &[(Form, Vec<u8>)], how: Capture, pages: u64, seed: u64) -> Count {
    let list = asked(papers);
    let half = |odd: u64| {
        let mut count = Count::default();
        for seed in (seed..seed + pages).filter(|s| s % 2 == odd) {
            let pick = Dice(seed ^ 0x00AB_CDEF).next() * list.len() as f64;
            #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a place in a list")]
            let (at, page) = list[pick as usize % list.len()];
            let (form, pdf) = &papers[at];
            let printed = Printed::of(form, &Pictures::open(pdf).unwrap(), page);
            tried(&printed, how, seed, &mut count);
        }
        count
    };
    let mut both = std::thread::scope(|scope| {
        let halves = [scope.spawn(|| half(0)), scope.spawn(|| half(1))];
        halves.map(|h| h.join().expect("no panic"))
    });
    let [all, other] = &mut both;
    all.add(std::mem::take(other));
    std::mem::take(all)
}

#[test]
#[allow(clippy::print_stdout, reason = "the table is what a large run is made for")]
fn nothing_is_made_up_on_printed_pages_however_they_are_captured() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let asked = number("TACKWRIGHT_PICTURES");
    let (pages, seed) = (asked.unwrap_or(2), number("TACKWRIGHT_SEED").unwrap_or(90_210));
    let grey = [Capture::ScanAt(200), Capture::ScanAt(240), Capture::ScanAt(300)];
    let others = [Capture::ScanAt(150), Capture::Photocopy, Capture::TwoToneAt(200), Capture::Camera];
    let kinds: Vec<Capture> = match asked {
        Some(_) => grey.into_iter().chain(others).collect(),
        None => vec![Capture::ScanAt(200), Capture::TwoToneAt(200), Capture::Camera],
    };
    let papers = papers();
    let mut sharp = Count::default();
    for how in kinds {
        let one = count(&papers, how, pages, seed);
        println!("{how:?}: {one}");
        one.why.iter().for_each(|(why, n)| println!("    {n} {why}"));
        assert_eq!((one.wrong, one.made_up, one.struck_ticked), (0, 0, 0), "{how:?}: {:#?}", one.faults);
        assert_eq!((one.doubles_proposed, one.written_empty), (0, 0), "{how:?}: {:#?}", one.faults);
        assert!(one.missed * 1000 <= one.ticked * 3, "{how:?}: {:#?}", one.faults);
        if grey.contains(&how) {
            assert_eq!(one.unread, 0, "{how:?}: {:?}", one.why);
            sharp.add(one);
        }
    }
    println!("grey scans of 200 dpi and more: {sharp}");
    // A few pages say little about a share, and of a handful of marks two may be looked at
    // by chance; many pages have to keep it.
    let (most, chance) = if pages < 20 { (30, 2) } else { (15, 0) };
    assert!(sharp.look.saturating_sub(chance) * 100 <= sharp.ticked * most, "{sharp}: {:#?}", sharp.why);
}
