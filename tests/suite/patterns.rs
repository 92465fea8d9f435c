//! Shapes at full size: developments against intersections found by walking in
//! space, lengths on the rendered page, and SVG and DXF against both.

#![allow(
    clippy::disallowed_methods,
    reason = "the oracle uses the platform's functions, not the ones under test"
)]

use std::path::Path;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::Pdf;
use hayro::{RenderCache, RenderSettings, render};
use proptest::prelude::*;
use tackwright::app::System;
use tackwright::app::template::{Drawn, Order, bench, kind, write};
use tackwright::quantity::{Dimensioned, Length, unit};
use tackwright::shape::{Form, Layer, Point, Shape, dxf, svg};
use tackwright::term::Paper;

use crate::support::pdf;

pub(crate) const MM: f64 = 72.0 / 25.4;

pub(crate) fn drawn(name: &str, inputs: &[&str]) -> Drawn {
    let inputs: Vec<String> = inputs.iter().map(|i| (*i).to_owned()).collect();
    bench(kind(name).expect(name), &inputs).unwrap_or_else(|e| panic!("{name}: {e:?}")).1.expect("a sheet")
}

fn refusal(name: &str, inputs: &[&str]) -> String {
    let inputs: Vec<String> = inputs.iter().map(|i| (*i).to_owned()).collect();
    let why = bench(kind(name).expect(name), &inputs).expect_err("a refusal").report();
    why.problems.iter().map(|p| p.message.clone()).collect::<Vec<_>>().join("; ")
}

pub(crate) fn paper(drawn: &Drawn, paper: Paper, measured: Option<(f64, f64)>) -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let mm = |v: f64| Length::of(v, unit::MM);
    let order = Order {
        out: folder.path().to_owned(),
        paper: Some(paper),
        svg: false,
        dxf: false,
        measured: measured.map(|(x, y)| (mm(x), mm(y))),
    };
    let written = write(&System, drawn, &order).expect("written");
    std::fs::read(&written.files[0]).expect("a file")
}

/// The cut outline of a sheet.
fn outline(shapes: &[Shape]) -> Vec<Point> {
    let closed = shapes.iter().find_map(|s| match &s.form {
        Form::Path { points, closed: true } if s.layer == Layer::Cut => Some(points.clone()),
        _ => None,
    });
    closed.expect("an outline")
}

/// Where a straight line of the branch leaves the run, by bisection in space.
fn leaves(run: f64, radius: f64, offset: f64, angle: f64, turn: f64) -> f64 {
    let (b, q) = (angle.to_radians(), turn * std::f64::consts::TAU);
    let at = |s: f64| {
        let y = radius * q.sin() + offset;
        let z = s * b.sin() - radius * q.cos() * b.cos();
        y.hypot(z) - run
    };
    let (mut low, mut high) = (radius * q.cos() * b.cos() / b.sin(), 40.0 * run);
    for _ in 0..200 {
        let middle = f64::midpoint(low, high);
        if at(middle) < 0.0 { low = middle } else { high = middle }
    }
    low
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn a_cope_unrolls_what_is_met_in_space(
        run in 30.0..60.0f64, share in 0.3..0.95f64, lean in 30.0..150.0f64, aside in -1.0..1.0f64, wall in 0.05..0.3f64,
    ) {
        let branch = run * share;
        let offset = aside * (run - branch) * 0.98;
        let inside = branch * (1.0 - wall);
        let inputs = [
            format!("branch_od={} mm", 2.0 * branch), format!("run_od={} mm", 2.0 * run),
            format!("angle={lean} deg"), format!("offset={offset} mm"), format!("wall={} mm", branch - inside),
        ];
        let sheet = drawn("cope", &inputs.iter().map(String::as_str).collect::<Vec<_>>()).sheet;
        let points = outline(&sheet.shapes);
        let curve = &points[..points.len() - 2];
        let girth = std::f64::consts::TAU * branch;
        prop_assert!((curve[curve.len() - 1].x - girth).abs() < 1e-9);
        // The wall, edge to edge: whichever of its lines reaches farthest touches first.
        let met = |x: f64| (0..=400)
            .map(|i| leaves(run, inside + (branch - inside) * f64::from(i) / 400.0, offset, lean, x / girth))
            .fold(f64::MIN, f64::max);
        let base = curve[0].y - met(0.0);
        for pair in curve.windows(2).step_by(curve.len() / 12) {
            prop_assert!((pair[0].y - base - met(pair[0].x)).abs() < 2e-3);
            // Between two points the line stays within 0.02 mm of the curve, square to it.
            let middle = Point::new((pair[0].x + pair[1].x) / 2.0, (pair[0].y + pair[1].y) / 2.0);
            let slope = (pair[1].y - pair[0].y).atan2(pair[1].x - pair[0].x);
            let off = (middle.y - base - met(middle.x)) * slope.cos();
            prop_assert!(off.abs() < 0.02, "{off}");
        }
    }

    #[test]
    fn a_rolled_up_mitre_is_a_plane(od in 20.0..120.0f64, between in 60.0..175.0f64) {
        let sheet = drawn("mitre", &[&format!("od={od} mm"), &format!("between={between} deg")]).sheet;
        let points = outline(&sheet.shapes);
        let curve = &points[..points.len() - 2];
        let tan = ((180.0 - between) / 2.0).to_radians().tan();
        let back = |p: &Point| { let q = 2.0 * p.x / od; p.y - od / 2.0 * q.cos() * tan };
        for p in curve {
            prop_assert!((back(p) - back(&curve[0])).abs() < 1e-9);
        }
    }
}

#[test]
fn on_a_flat_run_a_cope_is_a_mitre() {
    // A run so large that it is flat: only the lean is left, r cos q / tan b.
    let sheet = drawn("cope", &["branch_od=50 mm", "run_od=10 km", "angle=60 deg"]).sheet;
    let points = outline(&sheet.shapes);
    let curve = &points[..points.len() - 2];
    for p in curve {
        let flat = 25.0 * ((p.x / 25.0).cos() - 1.0) / 60_f64.to_radians().tan();
        assert!((p.y - curve[0].y - flat).abs() < 1e-3, "{p:?}");
    }
}

pub(crate) fn near(found: f64, wanted: f64) -> bool {
    (found - wanted).abs() < 0.1
}

#[test]
fn bars_strips_and_holes_measure_true_on_paper() {
    let strip = drawn("wrap-strip", &["od=45 mm", "rotation=9 deg", "side=right", "seam=60 deg"]);
    let plate = drawn(
        "drill-pattern",
        &["length=160 mm", "width=100 mm", "along=120 mm", "across=50 mm", "hole=16 mm", "centre_hole=14 mm"],
    );
    for size in [Paper::Letter, Paper::A4] {
        let pages = pdf::pages(&paper(&strip, size, None));
        assert_eq!(pages.len(), 1);
        let boxes: Vec<(f64, f64)> =
            pages[0].paths.iter().map(|r| (r.width() / MM, r.height() / MM)).collect();
        let has = |w: f64, h: f64| boxes.iter().any(|b| near(b.0, w) && near(b.1, h));
        assert!(has(100.0, 0.0) && has(101.6, 0.0) && has(0.0, 100.0) && has(0.0, 101.6), "{boxes:?}");
        assert!(has(45.0 * std::f64::consts::PI, 70.0), "{boxes:?}");
        let text = pages[0].text();
        for said in
            ["Printat100%", "thesheetisvoid", "Notofatraveler", "FRONT", "w8", "tubeseam", "across,100mmbar:"]
        {
            assert!(text.contains(said), "{said} in {text}");
        }

        let pages = pdf::pages(&paper(&plate, size, None));
        let holes: Vec<_> = pages[0]
            .paths
            .iter()
            .filter(|r| near(r.width() / MM, 16.0) && near(r.height() / MM, 16.0))
            .map(|r| r.center())
            .collect();
        assert_eq!(holes.len(), 4);
        let far = holes.iter().map(|h| h.distance(holes[0]) / MM).fold(0.0, f64::max);
        assert!(near(far, 130.0), "{far}");
    }
}

/// Darkness along a row or column of pixels: first and last dark place, in pixels.
#[test]
fn the_lying_bar_measures_true_in_pixels() {
    let gauge = drawn("angle-gauge", &["angle=30 deg"]);
    let bytes = paper(&gauge, Paper::A4, None);
    let bar = pdf::pages(&bytes)[0]
        .paths
        .iter()
        .find(|r| near(r.width() / MM, 100.0) && r.height() < 0.1)
        .copied()
        .expect("the bar");
    let file = Pdf::new(std::sync::Arc::new(bytes)).expect("a file");
    let scale = 12.0_f32;
    let white = hayro::vello_cpu::color::palette::css::WHITE;
    let settings =
        RenderSettings { bg_color: white, x_scale: scale, y_scale: scale, ..RenderSettings::default() };
    let pixels = render(&file.pages()[0], &RenderCache::new(), &InterpreterSettings::default(), &settings);
    let width = usize::from(pixels.width());
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a row of pixels")]
    let row = (bar.center().y * f64::from(scale)).round() as usize;
    let near_bar = |x: usize| {
        let at = x as f64 / f64::from(scale);
        at > bar.x0 - 9.0 && at < bar.x1 + 9.0
    };
    let dark: Vec<usize> =
        (0..width).filter(|x| near_bar(*x) && pixels.data()[row * width + x].g < 128).collect();
    let long = (dark[dark.len() - 1] + 1 - dark[0]) as f64 / f64::from(scale) / MM;
    // The end strokes are half a point wide.
    assert!((long - 100.0 - 0.5 / MM).abs() < 0.1, "{long}");
}

#[test]
fn a_long_strip_is_joined_at_the_same_places() {
    let strip = drawn("equal-division", &["od=200 mm", "parts=12"]);
    let pages = pdf::pages(&paper(&strip, Paper::A4, None));
    assert!(pages.len() >= 3, "{}", pages.len());
    // Each page shows its marks a twelfth of the girth apart; the joints add up to the length.
    let wide = 297.0 - 2.0 * 9.0 - 20.0;
    let step = wide - 14.0;
    let length = 200.0 * std::f64::consts::PI;
    let mut marks = Vec::new();
    for (n, page) in (0_u32..).zip(&pages) {
        for path in page.paths.iter().filter(|r| r.width() < 0.01 && near(r.height() / MM, 30.0)) {
            marks.push(path.x0 / MM - 29.0 + f64::from(n) * step);
        }
    }
    for i in 0..12 {
        let wanted = length * f64::from(i) / 12.0;
        assert!(marks.iter().any(|m| near(*m, wanted)), "{wanted} in {marks:?}");
    }
    assert!(pages[0].text().contains("page1of"));
}

#[test]
fn a_corrected_copy_makes_up_for_the_printer() {
    // The printer shrinks to 99 % across and 98.5 % along.
    let strip = drawn("wrap-strip", &["od=45 mm"]);
    let pages = pdf::pages(&paper(&strip, Paper::A4, Some((99.0, 98.5))));
    let boxes: Vec<(f64, f64)> =
        pages[0].paths.iter().map(|r| (r.width() / MM * 0.99, r.height() / MM * 0.985)).collect();
    let has = |w: f64, h: f64| boxes.iter().any(|b| near(b.0, w) && near(b.1, h));
    assert!(has(100.0, 0.0) && has(0.0, 100.0) && has(45.0 * std::f64::consts::PI, 70.0), "{boxes:?}");
    assert!(pages[0].text().contains("CORRECTEDCOPY"));
}

/// Entities of a DXF file: kind, then its pairs. Written here from the format's
/// description: a group code on one line, its value on the next.
fn entities(text: &str) -> Vec<(String, Vec<(u32, String)>)> {
    let lines: Vec<&str> = text.lines().collect();
    let pairs: Vec<(u32, &str)> =
        lines.chunks_exact(2).map(|p| (p[0].trim().parse().expect("a group code"), p[1])).collect();
    assert_eq!(pairs.last(), Some(&(0, "EOF")));
    let start = pairs.iter().position(|p| *p == (2, "ENTITIES")).expect("entities");
    let mut found: Vec<(String, Vec<(u32, String)>)> = Vec::new();
    for (code, value) in &pairs[start + 1..] {
        match (code, *value) {
            (0, "ENDSEC") => break,
            (0, kind) => found.push((kind.to_owned(), Vec::new())),
            (code, value) => found.last_mut().expect("an entity").1.push((*code, value.to_owned())),
        }
    }
    found
}

#[test]
fn dxf_and_svg_say_what_the_sheet_says() {
    let inputs = ["length=160 mm", "width=100 mm", "along=120 mm", "across=50 mm", "hole=16 mm"];
    let sheet = drawn("drill-pattern", &inputs).sheet;
    let text = dxf::write(&sheet);
    assert!(text.is_ascii() && text.contains("$INSUNITS\n 70\n4\n") && text.contains("AC1009"));
    let all = entities(&text);
    let number = |e: &(String, Vec<(u32, String)>), code: u32| -> f64 {
        e.1.iter().find(|p| p.0 == code).expect("a value").1.parse().expect("a number")
    };
    let circles: Vec<_> = all.iter().filter(|e| e.0 == "CIRCLE").collect();
    assert_eq!(circles.len(), 4);
    for layer in ["cut", "centre", "scale", "text"] {
        assert!(all.iter().any(|e| e.1.contains(&(8, layer.to_owned()))), "{layer}");
    }
    let first = circles[0];
    let far = circles
        .iter()
        .map(|c| (number(c, 10) - number(first, 10)).hypot(number(c, 20) - number(first, 20)))
        .fold(0.0, f64::max);
    assert!((far - 130.0).abs() < 1e-5 && (number(first, 40) - 8.0).abs() < 1e-9);
    let bar = all.iter().filter(|e| e.0 == "LINE" && e.1.contains(&(8, "scale".to_owned())));
    let lengths: Vec<f64> =
        bar.map(|e| (number(e, 11) - number(e, 10)).hypot(number(e, 21) - number(e, 20))).collect();
    for wanted in [100.0, 101.6] {
        assert_eq!(lengths.iter().filter(|l| (**l - wanted).abs() < 1e-5).count(), 2, "{lengths:?}");
    }

    let picture = svg::write(&sheet);
    let head = picture.lines().next().expect("a line");
    let value = |text: &str, key: &str| -> f64 {
        let at = text.find(&format!(" {key}=\"")).expect(key) + key.len() + 3;
        text[at..].split(['"', 'm']).next().expect("a value").parse().expect("a number")
    };
    let view = head.split("viewBox=\"0 0 ").nth(1).expect("a view").split('"').next().expect("its size");
    assert_eq!(view, format!("{} {}", value(head, "width"), value(head, "height")), "true size");
    let rings: Vec<(f64, f64, f64)> = picture
        .lines()
        .filter(|l| l.starts_with("<circle"))
        .map(|l| (value(l, "cx"), value(l, "cy"), value(l, "r")))
        .collect();
    assert_eq!(rings.len(), 4);
    for (ring, circle) in rings.iter().zip(&circles) {
        assert!((ring.0 - number(circle, 10)).abs() < 1e-3);
        assert!((value(head, "height") - ring.1 - number(circle, 20)).abs() < 1e-3, "counted downward");
        assert!((ring.2 - 8.0).abs() < 1e-9);
    }
}

#[test]
fn words_stay_words() {
    let mut sheet = drawn("angle-gauge", &["angle=30 deg"]).sheet;
    sheet.title = "a<b>&\" \\U+0041 %%c ^J \n0\nLINE #eval(1)".to_owned();
    let lines = svg::write(&sheet);
    assert!(lines.contains("a&lt;b&gt;&amp;") && !lines.contains("a<b>"));
    let found = entities(&dxf::write(&sheet));
    let words =
        found.iter().find(|e| e.0 == "TEXT" && e.1.iter().any(|p| p.0 == 1 && p.1.starts_with("a<b>")));
    let text = &words.expect("the title").1.iter().find(|p| p.0 == 1).expect("its words").1;
    assert!(text.contains("\\U+005CU+0041") && text.contains("%%%%%%c") && text.contains("^ J"), "{text}");
    let own = drawn("angle-gauge", &["angle=30 deg"]);
    let bytes = paper(&Drawn { sheet, ..own }, Paper::Letter, None);
    assert!(pdf::pages(&bytes)[0].text().contains("#eval(1)"));
}

#[test]
fn nonsense_is_refused_in_a_sentence() {
    assert!(refusal("cope", &["od=3 in", "on=2 in"]).contains("larger than the run"));
    assert!(refusal("cope", &["od=2 in", "on=3 in", "wall=1.5 in"]).contains("inside radius"));
    assert!(refusal("cope", &["od=2 in", "on=3 in", "angle=0 deg"]).contains("angle is 0"));
    assert!(refusal("cope", &["od=2 in", "on=3 in", "offset=1 in"]).contains("past the side"));
    assert!(refusal("wrap-strip", &["od=3 in", "cut_line=80 mm"]).contains("beyond the strip"));
    assert!(
        refusal(
            "bent-bracket",
            &["leg_a=10 mm", "leg_b=40 mm", "thickness=6 mm", "radius=9 mm", "width=50 mm"]
        )
        .contains("first leg")
    );
    assert!(refusal("gusset", &["leg_a=60 mm", "leg_b=60 mm", "snipe=60 mm"]).contains("leaves nothing"));
}

#[test]
fn a_job_writes_the_sheets_it_carries() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/brush-truck.toml");
    let run = |more: &[&str]| {
        let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
        command.arg("template").args(more);
        command.arg("--out").arg(folder.path());
        command.output().expect("an end")
    };
    let job = job.to_string_lossy().into_owned();
    let done = run(&[&job, "--svg", "--dxf"]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    let strip = std::fs::read(folder.path().join("tw-2041-a-front-left-wrap-strip.pdf")).expect("the strip");
    let text: String = pdf::pages(&strip).iter().map(pdf::Page::text).collect();
    assert!(text.contains("OftravelerTW-2041,revisionA,plan"), "{text}");
    // Again over its own copies, not over something else.
    assert_eq!(run(&[&job]).status.code(), Some(0));
    // On the paper of the job, or on the one asked for.
    let wide = |name: &str| pdf::pages(&std::fs::read(folder.path().join(name)).expect("a sheet"))[0].width;
    assert!(near(wide("tw-2041-a-front-left-wrap-strip.pdf"), 8.5 * 72.0), "the truck is on letter");
    let metric = folder.path().join("metric.toml");
    let text =
        std::fs::read_to_string(&job).expect("the job").replace("paper = \"letter\"", "paper = \"a4\"");
    std::fs::write(&metric, text.replace("TW-2041", "TW-2042")).expect("written");
    let metric = metric.to_string_lossy().into_owned();
    let shop = Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs/shop.toml");
    let done = run(&[&metric, "--shop", &shop.to_string_lossy()]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(near(wide("tw-2042-a-front-left-wrap-strip.pdf") / MM, 210.0), "A4, as the job says");
    let done = run(&[&metric, "--shop", &shop.to_string_lossy(), "--paper", "letter"]);
    assert_eq!(done.status.code(), Some(0), "{}", String::from_utf8_lossy(&done.stderr));
    assert!(near(wide("tw-2042-a-front-left-wrap-strip.pdf"), 8.5 * 72.0), "letter was asked for");
    std::fs::write(folder.path().join("cope.pdf"), "mine").expect("written");
    let cope = ["cope", "od=1-3/4 in", "wall=0.120 in", "on=2 in", "angle=45 deg"];
    assert_eq!(run(&cope).status.code(), Some(1), "another file is kept");
    let void = run(&["mitre", "od=2 in", "between=90 deg", "--scale-x", "99.2 mm", "--scale-y", "100 mm"]);
    assert_eq!(void.status.code(), Some(1));
    assert!(String::from_utf8_lossy(&void.stderr).contains("VOID"));
    assert!(folder.path().join("mitre-corrected.pdf").exists());
    let good = run(&["mitre", "od=2 in", "between=90 deg", "--scale-x", "99.6 mm", "--scale-y", "100.2 mm"]);
    assert_eq!(good.status.code(), Some(0));
    assert_eq!(run(&["copee"]).status.code(), Some(2));
}

#[test]
fn a_page_on_which_nothing_would_stand_is_not_printed() {
    let folder = tempfile::tempdir().expect("a folder");
    let mut command = assert_cmd::Command::cargo_bin("tackwright").expect("the program");
    command.args(["template", "gusset", "leg_a=300 mm", "leg_b=250 mm", "--paper", "a4", "--out"]);
    let output = command.arg(folder.path()).output().expect("an end");
    // Two by two pages hold the square round it; its slope leaves the far corner free.
    let said =
        String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr);
    assert!(said.contains("3 pages"), "{said}");
}
