//! An invented job, complete enough to fill every page: a rescue district's
//! brush truck, front axle, springs moved over the axle, knuckles re-indexed.

use chrono::{TimeZone, Utc};
use tackwright::plan::Words;
use tackwright::quantity::{Angle, Dimensioned, Length, Time, unit};
use tackwright::term::{Side, Units};
use tackwright::traveler::document::*;
use tackwright::traveler::end_view::{EndView, end_view};
use tackwright::traveler::lanes::{Stop, lanes};
use tackwright::traveler::side_view::{Points, Seat, Seating, Shaft, SideView, Turn, side_view};

fn inches(x: f64) -> Length {
    Length::of(x, unit::IN)
}

fn degrees(x: f64) -> Angle {
    Angle::of(x, unit::DEG)
}

/// The axle of the sample.
pub(crate) fn axle() -> SideView {
    SideView {
        tube_od: inches(3.25),
        pack: inches(2.0),
        before: Seating { seat: Seat::Under, height: inches(0.25) },
        after: Seating { seat: Seat::Over, height: inches(0.5) },
        pinion_points: Points::Rear,
        pinion: Some(Turn { before: degrees(3.5), after: degrees(11.0) }),
        pinion_reach: Some(inches(9.0)),
        caster: Some(("left".to_owned(), Turn { before: degrees(-1.5), after: degrees(6.0) })),
        shaft: Some(Shaft {
            angle: Turn { before: degrees(5.9), after: degrees(16.1) },
            joint: Some(Turn { before: degrees(2.4), after: degrees(5.1) }),
        }),
        ground: Some(inches(15.5)),
        units: Units::Inch,
    }
}

/// One end of it.
pub(crate) fn knuckle(side: Side) -> EndView {
    EndView {
        side,
        tube_od: inches(3.25),
        caster_before: degrees(-1.5),
        caster_after: degrees(6.0),
        rotation: degrees(7.5),
        mark_arc: inches(0.2127),
        units: Units::Inch,
    }
}

fn reading(
    label: &str,
    target: &str,
    tolerance: Option<&str>,
    instrument: Option<&str>,
    unit: &str,
) -> Reading {
    Reading {
        id: label.replace(' ', "-"),
        label: label.to_owned(),
        mark: ["left", "right"]
            .into_iter()
            .find(|side| label.ends_with(&format!(", {side}")))
            .map(str::to_owned),
        target: Some(target.to_owned()),
        tolerance: tolerance.map(str::to_owned),
        instrument: instrument.map(str::to_owned),
        unit: Some(unit.to_owned()),
        ..Reading::default()
    }
}

fn caution(signal: Signal, hazard: &str, consequence: &str, avoid: &str) -> Caution {
    Caution {
        signal,
        hazard: hazard.to_owned(),
        consequence: consequence.to_owned(),
        avoid: avoid.to_owned(),
    }
}

fn steps(list: Vec<(Words, Vec<Reading>)>) -> Vec<Step> {
    (1..)
        .zip(list)
        .map(|(number, (text, readings))| Step { number, text, readings, ..Step::default() })
        .collect()
}

fn point(kind: PointKind, number: &str, first: &str, rest: &str, who: &str, meaning: &str) -> Point {
    Point {
        kind,
        number: number.to_owned(),
        what: Words::default().strong(first).then(format!(" {rest}")),
        who: who.to_owned(),
        meaning: meaning.to_owned(),
        ..Point::default()
    }
}

fn operation(number: u32, verb: &str, title: &str, station: &str, minutes: u32) -> Operation {
    Operation {
        number,
        id: title.to_lowercase().replace(' ', "-"),
        verb: verb.to_owned(),
        title: title.to_owned(),
        station: station.to_owned(),
        time: format!("{minutes} min"),
        component: Some("front axle".to_owned()),
        ..Operation::default()
    }
}

fn rotation_table() -> LookUp {
    let row = |head: &str, cells: &[&str]| LookUpRow {
        head: head.to_owned(),
        cells: cells.iter().map(|c| (*c).to_owned()).collect(),
    };
    LookUp {
        title: "Caster read with the pinion set, knuckle rotation to give back, arc on the 3-1/4 in tube".to_owned(),
        rows: vec![
            row("caster reading", &["−4.0°", "−3.5°", "−3.0°", "−2.5°", "−2.0°", "−1.5°", "−1.0°", "−0.5°", "0.0°"]),
            row("rotate", &["10.0°", "9.5°", "9.0°", "8.5°", "8.0°", "7.5°", "7.0°", "6.5°", "6.0°"]),
            row("arc on tube", &["9/32", "17/64", "1/4", "15/64", "15/64", "7/32", "13/64", "3/16", "11/64"]),
        ],
        note: Some("Rotation = 6.0° − reading. Arc = tube radius × rotation in radians; shop inches to the nearest 1/64.".to_owned()),
    }
}

fn operations() -> Vec<Operation> {
    let mut list = vec![Operation {
        steps: steps(vec![
            ("Compare unit and serial number with the first page.".into(), vec![]),
            (
                "Photograph both sides of the axle, springs and brake lines before anything is loosened."
                    .into(),
                vec![reading("photos", "record", None, None, "")],
            ),
            ("Fuel tank level and tank vent checked; battery earth lead off.".into(), vec![]),
        ]),
        before: vec![point(
            PointKind::Review,
            "R1",
            "Job, shop book and manufacturer's sheets are the ones named on the first page.",
            "Local rules for altered suspension have been read.",
            "shop lead",
            "read and understood",
        )],
        ..operation(10, "receive", "Take the unit in and write down what it is", "lift", 30)
    }];
    list.push(Operation {
        steps: steps(vec![
            (
                "Unit level, tires at road pressure, weight on the springs.".into(),
                vec![reading("tire pressure, front", "record", None, Some("tire gauge TG-1"), "psi")],
            ),
            (
                "Pinion angle on the machined flange face. Read twice, turn the tool end for end.".into(),
                vec![reading("pinion angle", "record", None, Some("angle finder AF-2"), "°")],
            ),
            (
                "Caster on the machined kingpin face, each side, read twice.".into(),
                vec![
                    reading("caster, left", "record", None, Some("angle finder AF-2"), "°"),
                    reading("caster, right", "record", None, Some("angle finder AF-2"), "°"),
                ],
            ),
            (
                "Ride height from the hub centre to the frame, each side.".into(),
                vec![
                    reading("height, left", "record", None, Some("tape"), "in"),
                    reading("height, right", "record", None, Some("tape"), "in"),
                ],
            ),
        ]),
        role: Some("fitter".to_owned()),
        tools: vec!["angle finder, 0.1°".to_owned(), "tape, 16 ft".to_owned()],
        ..operation(20, "measure", "As found, weight on the springs", "alignment rack", 45)
    });
    list.push(Operation {
        cautions: vec![caution(
            Signal::Danger,
            "A unit that slips off its stands kills.",
            "Nobody under it on a jack alone.",
            "Stands under the frame on both sides, shaken by hand before work goes on.",
        )],
        steps: {
            let mut list = steps(vec![
                ("Frame on stands, axle on a transmission jack.".into(), vec![]),
                ("U-bolts off; springs free of the pads.".into(), vec![]),
                ("Brake hoses off and capped; shafts, seals and bearings out.".into(), vec![]),
            ]);
            list[1].cautions = vec![caution(
                Signal::Warning,
                "The spring pack stores energy.",
                "A leaf that jumps breaks a hand.",
                "Clamp the pack before the centre bolt is loosened.",
            )];
            list
        },
        ..operation(30, "strip", "Axle out, housing bare", "lift", 150)
    });
    list.push(Operation {
        steps: {
            let mut list = steps(vec![
                (Words::plain("Housing in the vee blocks. Turn it until the pinion reads ").strong("11.0°").then(" nose up; clamp and jam-mark it."), vec![reading("pinion angle", "11.0°", Some("± 0.5°"), Some("angle finder AF-2"), "°")]),
                ("Angle finder on the machined kingpin face, left. Read twice, turn the tool end for end.".into(), vec![reading("left, first", "record", None, Some("AF-2"), "°"), reading("left, second", "within 0.3°", None, Some("AF-2"), "°")]),
                ("Same, right.".into(), vec![reading("right, first", "record", None, Some("AF-2"), "°"), reading("right, second", "within 0.3°", None, Some("AF-2"), "°")]),
                ("Rotation to give back. Use the table below or ask for a slip.".into(), vec![reading("rotation, left", "6.0° − reading", None, None, "°"), reading("rotation, right", "6.0° − reading", None, None, "°")]),
            ]);
            list[3].table = Some(rotation_table());
            list
        },
        after: vec![point(PointKind::Hold, "H1", "No cut before this signature.", "Both caster readings taken twice and within 0.3°; left and right differ by less than 0.5°, or the lead has written why.", "shop lead", "checked and released")],
        ..operation(40, "measure", "Caster again, with the pinion set", "weld bay", 25)
    });
    list.push(Operation {
        cautions: vec![caution(Signal::Warning, "Cutting deeper than the stop goes through the tube into the sleeve.", "The housing is scrap and the disc can jam.", "Face shield, guard on, fire watch; nobody in line with the disc.")],
        steps: steps(vec![
            ("Scribe two index lines across the seam, top and front, 2 in (50 mm) to each side of the cut.".into(), vec![]),
            ("Gauge the tube wall at four places in the cut plane.".into(), vec![reading("wall, least of 4", "≥ 0.28 in (7.1 mm)", None, Some("ultrasonic gauge UT-1"), "in"), reading("wall, top", "record", None, Some("UT-1"), "in"), reading("wall, front", "record", None, Some("UT-1"), "in"), reading("wall, bottom", "record", None, Some("UT-1"), "in"), reading("wall, behind", "record", None, Some("UT-1"), "in")]),
            (Words::plain("Groove ").strong("7/16 in (11 mm)").then(" inboard of the seam weld. Depth stop ").strong("0.23 in (5.8 mm), never over 0.25 in (6.3 mm)").then("."), vec![reading("stop set to", "0.23 in (5.8 mm)", None, Some("caliper"), "in")]),
            ("Three light passes round the tube. Stop when the line of the joint shows. Break the rest free; do not force it with heat.".into(), vec![]),
        ]),
        role: Some("fitter, cutting disc instruction on file".to_owned()),
        ..operation(50, "cut", "Free both knuckles at the seam", "weld bay", 90)
    });
    list.push(Operation {
        steps: steps(vec![
            (
                Words::plain("Lay off the arc from the index mark: left ")
                    .strong("7/32 in (5.4 mm)")
                    .then(", right as worked out in operation 40. Top to the rear."),
                vec![
                    reading("arc, left", "7/32 in (5.4 mm)", Some("± 1/64"), Some("flexible rule"), "in"),
                    reading("arc, right", "as operation 40", Some("± 1/64"), Some("flexible rule"), "in"),
                ],
            ),
            ("Turn the knuckle to the mark, press it home, tack in four places 90° apart.".into(), vec![]),
        ]),
        joints: vec![
            Words::default()
                .strong("J1")
                .then(" knuckle to tube, left · fillet 5/16 in (8 mm), all round · WPS-3"),
            Words::default()
                .strong("J2")
                .then(" knuckle to tube, right · fillet 5/16 in (8 mm), all round · WPS-3"),
        ],
        after: vec![point(
            PointKind::Witness,
            "WO",
            "Caster after tacking is 6.0° ± 0.5° on both sides.",
            "The inspector may read it again before the root is closed.",
            "inspector",
            "witnessed",
        )],
        ..operation(60, "rotate", "Turn the knuckles to the marks and tack", "weld bay", 60)
    });
    list.push(Operation {
        cautions: vec![
            caution(
                Signal::Warning,
                "Fumes and arc rays.",
                "Burns and lung damage.",
                "Hood, extraction, no coated parts nearer than 4 in (100 mm) to the joint.",
            ),
            caution(
                Signal::Notice,
                "Arc through bearings pits them.",
                "They fail on the road.",
                "Earth clamp on the housing itself, never across the shaft.",
            ),
        ],
        joints: vec![
            Words::default()
                .strong("J1")
                .then(" knuckle to tube, left · fillet 5/16 in (8 mm), all round · WPS-3"),
            Words::default()
                .strong("J2")
                .then(" knuckle to tube, right · fillet 5/16 in (8 mm), all round · WPS-3"),
        ],
        steps: steps(vec![
            (
                Words::plain("Preheat to at least ")
                    .strong("200 °F (95 °C)")
                    .then(", 3 in (75 mm) to both sides."),
                vec![
                    reading(
                        "preheat, left",
                        "≥ 200 °F (95 °C)",
                        None,
                        Some("contact thermometer CT-1"),
                        "°F",
                    ),
                    reading(
                        "preheat, right",
                        "≥ 200 °F (95 °C)",
                        None,
                        Some("contact thermometer CT-1"),
                        "°F",
                    ),
                ],
            ),
            (
                "Root in four quarters, opposite quarters one after the other.".into(),
                vec![reading("current", "160 to 190 A", None, Some("machine display"), "A")],
            ),
            (
                Words::plain("Interpass never over ")
                    .strong("500 °F (260 °C)")
                    .then(". Wrap it; let it cool in still air."),
                vec![reading("interpass, highest", "≤ 500 °F (260 °C)", None, Some("CT-1"), "°F")],
            ),
        ]),
        after: vec![point(
            PointKind::Hold,
            "H2",
            "Both welds accepted by eye and by magnetic particles.",
            "No crack, no undercut over 1/32 in (0.8 mm), leg at least 5/16 in (8 mm).",
            "inspector",
            "accepted",
        )],
        role: Some("welder qualified to WPS-3, position 5F".to_owned()),
        ..operation(70, "weld", "Knuckles to tube", "weld bay", 150)
    });
    list.push(Operation {
        fasteners: vec![Words::default().strong("B1").then(" U-bolts · 5/8-18 UNF · 4 per side · new")],
        steps: steps(vec![
            (
                "Springs over the tube, centre bolt heads in the pads, new U-bolts, threads oiled.".into(),
                vec![],
            ),
            (
                Words::plain("Cross pattern in stages 32, 64, ").strong("105 ft-lb (142 N·m)").then("."),
                vec![
                    reading(
                        "left, as tightened",
                        "95 to 110 ft-lb",
                        None,
                        Some("torque wrench TW-2"),
                        "ft-lb",
                    ),
                    reading(
                        "right, as tightened",
                        "95 to 110 ft-lb",
                        None,
                        Some("torque wrench TW-2"),
                        "ft-lb",
                    ),
                ],
            ),
        ]),
        after: vec![point(
            PointKind::Hold,
            "H3",
            "Unit may go on the road.",
            "Every box of this traveler is filled; no found condition is open.",
            "shop lead",
            "released",
        )],
        ..operation(80, "torque", "Clamp the springs over the axle", "lift", 90)
    });
    for one in &mut list {
        let number = one.number;
        one.before.iter_mut().for_each(|p| p.place = format!("before operation {number}"));
        one.after.iter_mut().for_each(|p| p.place = format!("after operation {number}"));
    }
    list
}

/// The sample traveler, blank.
pub(crate) fn traveler() -> Document {
    let operations = operations();
    let mut stops = Vec::new();
    for one in &operations {
        let minutes: f64 = one.time.trim_end_matches(" min").parse().unwrap();
        stops.push(Stop::Operation {
            number: one.number,
            title: format!("{}: {}", one.verb, one.title),
            station: one.station.clone(),
            time: Time::of(minutes, unit::MINUTE),
        });
        for p in one.after.iter().filter(|p| p.kind == PointKind::Hold) {
            stops.push(Stop::Hold {
                number: p.number.clone(),
                text: format!("{} {}", p.what.0[0].text, p.who),
            });
        }
    }
    let points = operations
        .iter()
        .flat_map(|one| {
            one.before
                .iter()
                .map(|p| (p, format!("before {}", one.number)))
                .chain(one.after.iter().map(|p| (p, format!("after {}", one.number))))
        })
        .map(|(p, place)| PointEntry {
            number: p.number.clone(),
            kind: p.kind,
            place,
            what: p.what.0[0].text.clone(),
            who: p.who.clone(),
            signed: None,
        })
        .collect();
    let mut document = Document {
        meta: Meta {
            kind: "Job traveler".to_owned(),
            title: "Job traveler BT-0412 rev B, Brush truck 7".to_owned(),
            author: "Millrace Fabrication".to_owned(),
            language: "en".to_owned(),
            keywords: Vec::new(),
            ident: "BT-0412 B 7f3ac21e".to_owned(),
            issued: Utc.with_ymd_and_hms(2026, 3, 9, 7, 30, 0).unwrap(),
            paper: Paper::Letter,
        },
        running: Running {
            number: "BT-0412".to_owned(),
            revision: "B".to_owned(),
            unit: "Brush truck 7".to_owned(),
            work: "front axle, springs over and knuckles re-indexed".to_owned(),
            validity: "A printed copy is valid with its revision only. Local law, the manufacturer's data, the governing code and licensed practice come before this sheet.".to_owned(),
            digest: "7f3a c21e".to_owned(),
            stamp: None,
        },
        logo: None,
        head: head(points),
        route: Some(lanes(&stops)),
        geometry: Some(geometry()),
        operations,
        after_hand_over: vec![Operation {
            steps: steps(vec![("U-bolts again at 105 ft-lb (142 N·m), weight on the springs.".into(), vec![reading("left", "95 to 110 ft-lb", None, Some("TW-2"), "ft-lb"), reading("right", "95 to 110 ft-lb", None, Some("TW-2"), "ft-lb")])]),
            ..operation(90, "torque", "U-bolts after 50 miles (80 km)", "road", 20)
        }],
        welds: vec![weld("J1", "knuckle to tube, left"), weld("J2", "knuckle to tube, right")],
        torques: torques(),
        pick_list: pick_list(),
        found: Some(found()),
        changes: changes(),
        worksheets: worksheets(),
        record: None,
        ..Document::default()
    };
    document.lay_out();
    document
}

fn head(points: Vec<PointEntry>) -> Head {
    Head {
        own_procedures: Vec::new(),
        shop: "Millrace Fabrication".to_owned(),
        shop_lines: vec!["4 Canal Yard".to_owned(), "shop telephone 555 0142".to_owned()],
        facts: vec![
            Fact::new("job", "BT-0412"),
            Fact::new("revision", "B, 9 March 2026"),
            Fact::new("customer", "Upper Valley Rescue District"),
            Fact::new("promised", "27 March 2026"),
            Fact::new("unit", "Brush truck 7, front axle 4,500 lb"),
            Fact::blank("serial number"),
            Fact::blank("odometer in"),
            Fact::new("labour, estimated", "11 h 5 min"),
        ],
        done: Vec::new(),
        scope: vec![
            "Moves the front leaf springs from under the axle to over it, turns the housing so that the pinion meets the transfer case, and cuts and re-indexes the knuckles so that the caster comes back to 6.0°.".into(),
            "Steering links, brake hoses and the bump stops are measured here and changed on a job of their own.".into(),
        ],
        people: vec![
            Person { role: "lead".to_owned(), name: Some("Ines Marlow".to_owned()), id: Some("L-2".to_owned()), qualification: "releases holds".to_owned(), initials: None },
            Person { role: "welder".to_owned(), name: Some("Dov Kestrel".to_owned()), id: Some("W-11".to_owned()), qualification: "WPS-3, 5F, valid until 2026-09-01".to_owned(), initials: None },
            Person { role: "inspector".to_owned(), name: None, id: None, qualification: "magnetic particle, level 2".to_owned(), initials: None },
        ],
        tools: vec![Tool {
            id: "TW-3".to_owned(),
            what: "torque wrench, 1/2 in drive".to_owned(),
            purpose: "U-bolts and shackle bolts".to_owned(),
            until: "2026-09-15".to_owned(),
        }],
        points,
        waivers: vec![Waiver { rule: "Alignment read on a rack".to_owned(), reason: "Rack out of service; angle finder on machined faces, read twice.".to_owned(), who: "Ines Marlow, lead".to_owned(), date: "9 March 2026".to_owned() }],
        cautions: vec![caution(Signal::Warning, "Steering and suspension carry lives.", "A weld or clamp that fails puts the unit across the road.", "No step is skipped; what is not on this paper is a found condition.")],
        blanks: vec!["Serial number of the unit: read it from the plate at operation 10.".into()],
        disclaimer: vec!["This traveler was computed from the job file and the shop book named in it. It does not know local rules for altered vehicles, the condition of parts nobody measured, or the manufacturer's unpublished limits. Where they differ from this paper, they win.".into()],
    }
}

fn geometry() -> Geometry {
    let row =
        |what: &str, side: Option<&str>, found: Option<&str>, planned: Option<&str>, tolerance: &str| {
            GeometryRow {
                what: what.to_owned(),
                side: side.map(str::to_owned),
                found: found.map(str::to_owned),
                planned: planned.map(str::to_owned),
                tolerance: Some(tolerance.to_owned()),
                left: None,
            }
        };
    Geometry {
        note: Some(
            "Pinion angle positive nose up. Caster positive with the top of the kingpin line to the rear."
                .to_owned(),
        ),
        drawings: vec![side_view(&axle()), end_view(&knuckle(Side::Left)), end_view(&knuckle(Side::Right))],
        rows: vec![
            row("pinion angle", None, Some("3.5°"), Some("11.0°"), "± 0.5°"),
            row("caster", Some("left"), Some("−1.5°"), Some("6.0°"), "± 0.5°"),
            row("caster", Some("right"), None, Some("6.0°"), "± 0.5°"),
            row(
                "frame height over the axle",
                Some("left"),
                Some("8-1/4 in (209.5 mm)"),
                Some("14-1/4 in (362 mm)"),
                "± 1/4 in (6 mm)",
            ),
            row("toe, total", None, None, None, "manufacturer"),
            row("wheelbase, left less right", None, Some("1/16 in (1.5 mm)"), Some("0"), "± 1/8 in (3 mm)"),
        ],
        tables: vec![rotation_table()],
    }
}

fn weld(id: &str, title: &str) -> WeldCard {
    WeldCard {
        id: id.to_owned(),
        title: title.to_owned(),
        drawing: None,
        symbol: "fillet, 5/16 in (8 mm), all round, arrow side".to_owned(),
        operations: "60, 70".to_owned(),
        facts: vec![
            Fact::new("process", "GMAW, short arc root"),
            Fact::new("WPS", "WPS-3 rev 2"),
            Fact::new("filler", "ER70S-6, 0.035 in (0.9 mm)"),
            Fact::new("gas", "75 Ar / 25 CO₂, 35 ft³/h (16.5 L/min)"),
            Fact::new("size, least to most", "5/16 to 3/8 in (8 to 9.5 mm)"),
            Fact::new("preheat, least", "200 °F (95 °C)"),
            Fact::new("interpass, most", "500 °F (260 °C)"),
            Fact::new("current", "160 to 190 A"),
            Fact::new("voltage", "19 to 22 V"),
            Fact::new("travel", "9 to 12 in/min (230 to 305 mm/min)"),
            Fact::new("heat input", "20 to 28 kJ/in (0.8 to 1.1 kJ/mm)"),
            Fact::blank("heat number of the filler"),
        ],
        notes: vec![
            "Four tacks of 3/4 in (19 mm), 90° apart, opposite ones first; feather both ends.".into(),
            "Undercut at most 1/32 in (0.8 mm); no crack of any length.".into(),
        ],
        boxes: vec![
            reading("welder", "initials", None, None, ""),
            reading("leg, least of 4", "≥ 5/16 in (8 mm)", None, Some("fillet gauge FG-1"), "in"),
        ],
    }
}

fn torques() -> Vec<TorqueRow> {
    vec![
        TorqueRow {
            id: "B1".to_owned(),
            title: "U-bolts, front springs, 8 nuts".to_owned(),
            thread: "5/8-18 UNF, grade 8".to_owned(),
            condition: "oiled, hardened washers".to_owned(),
            stages: vec!["32 ft-lb (43 N·m)".to_owned(), "64 ft-lb (87 N·m)".to_owned()],
            torque: Some("105 ft-lb (142 N·m)".to_owned()),
            range: Some("95 to 110 ft-lb".to_owned()),
            pattern: Some("cross, 1-3-2-4".to_owned()),
            source: "computed from preload, K = 0.15".to_owned(),
            again: Some("after 50 and 500 miles (80 and 800 km)".to_owned()),
            wrench: Some("TW-2, 40 to 250 ft-lb".to_owned()),
        },
        TorqueRow {
            id: "B2".to_owned(),
            title: "Drag link stud, castle nut".to_owned(),
            thread: "9/16-18 UNF".to_owned(),
            condition: "dry, taper clean".to_owned(),
            source: "manufacturer's sheet, not in the shop yet".to_owned(),
            ..TorqueRow::default()
        },
    ]
}

fn pick_list() -> Vec<PickGroup> {
    let row = |quantity: &str, what: &str, detail: &str, label: Option<&str>| PickRow {
        quantity: quantity.to_owned(),
        what: what.to_owned(),
        detail: Some(detail.to_owned()),
        reading: label.map(|l| reading(l, "record", None, None, "")),
        done: None,
    };
    vec![
        PickGroup {
            title: "Material".to_owned(),
            rows: vec![
                row(
                    "2",
                    "spring pad, 1/2 in (12.7 mm) over a 3-1/4 in tube",
                    "A36, drilled 5/8 in",
                    Some("heat number"),
                ),
                row("4", "U-bolt, 5/8-18, round", "grade 8, with nuts and hardened washers", Some("lot")),
            ],
        },
        PickGroup {
            title: "Consumables".to_owned(),
            rows: vec![
                row("2.4 lb (1.1 kg)", "wire ER70S-6, 0.035 in (0.9 mm)", "J1, J2", Some("heat number")),
                row("28 ft³ (793 L)", "gas 75 Ar / 25 CO₂", "J1, J2", None),
            ],
        },
        PickGroup {
            title: "Tools and gauges".to_owned(),
            rows: vec![
                row("1", "angle finder AF-2", "0.1°, calibration due 2026-08-01", None),
                row("1", "torque wrench TW-2", "30 to 250 ft-lb, calibration due 2026-05-15", None),
            ],
        },
    ]
}

fn found() -> FoundSheet {
    FoundSheet {
        rule: vec![Words::default().strong("Stop when you find something this traveler does not mention:").then(" a crack, an old weld, a bent part, a size that does not match. Write it here, call the lead, do not go on with that part before the lead has decided.")],
        entries: vec![FoundEntry {
            number: "F1".to_owned(),
            place: "operation 30, Dov Kestrel, 6 March 2026 14:20".to_owned(),
            found: "Old weld repair on the left spring pad, undercut 1/16 in (1.6 mm) deep, paint over slag.".to_owned(),
            disposition: Some("repair".to_owned()),
            action: Some("Grind out, magnetic particles, weld again with the new pad; revision B.".to_owned()),
            decided: Some("Ines Marlow, lead, 6 March 2026 15:05".to_owned()),
            photos: Vec::new(),
        }],
        blanks: 2,
        dispositions: ["use as is", "rework", "repair", "reject"].map(str::to_owned).to_vec(),
    }
}

fn changes() -> Vec<Change> {
    vec![
        Change {
            revision: "A".to_owned(),
            date: "2 March 2026".to_owned(),
            who: "Ines Marlow".to_owned(),
            what: "First issue".to_owned(),
            why: "New job".to_owned(),
            effect: "everything is open".to_owned(),
        },
        Change {
            revision: "B".to_owned(),
            date: "9 March 2026".to_owned(),
            who: "Ines Marlow".to_owned(),
            what: "Old weld on the left pad cut out and welded again".to_owned(),
            why: "Found condition F1".to_owned(),
            effect: "reopens 30; keeps 10, 20".to_owned(),
        },
    ]
}

fn worksheets() -> Vec<Worksheet> {
    vec![Worksheet {
        title: "Front axle".to_owned(),
        figures: vec![
            WorkedFigure {
                id: "lift".to_owned(),
                title: "lift of the frame at the axle".to_owned(),
                value: Some("6 in (152.5 mm)".to_owned()),
                uncertainty: Some("± 0.03 in (k = 2)".to_owned()),
                formula: "tube_od + pack + seat_old + seat_new".to_owned(),
                inputs: vec![
                    Fact::new("tube_od", "3-1/4 in"),
                    Fact::new("pack", "2 in ± 1/32 in"),
                    Fact::new("seat_old", "1/4 in"),
                    Fact::new("seat_new", "1/2 in"),
                ],
                source: "derived: the clamp face moves from below the tube to above it".to_owned(),
                rounding: Some("nearest 1/32 in, nearest 0.5 mm".to_owned()),
                warnings: vec![],
            },
            WorkedFigure {
                id: "toe_target".to_owned(),
                title: "toe, total".to_owned(),
                value: None,
                uncertainty: None,
                formula: "2 x tire_diameter x sin(toe_angle)".to_owned(),
                inputs: vec![Fact::blank("toe_angle"), Fact::new("tire_diameter", "33 in")],
                source: "manufacturer's data".to_owned(),
                rounding: None,
                warnings: vec![
                    "The toe angle is not in the job: take it from the manufacturer's sheet.".to_owned(),
                ],
            },
        ],
    }]
}

/// The sample as a completed record: every box filled, one of them out of tolerance.
pub(crate) fn completed() -> Document {
    let mut document = traveler();
    document.meta.kind = "Completed record".to_owned();
    document.meta.title = "Completed record BT-0412 rev B, Brush truck 7".to_owned();
    document.running.stamp = Some("COMPLETED".to_owned());
    let by = "DK 11 Mar 10:20";
    let fill = |one: &mut Reading, text: &str| one.filled = Some(Filled::new(text).by(by));
    for one in document.operations.iter_mut().chain(&mut document.after_hand_over) {
        one.initials = Some(Filled::new("DK"));
        one.done_at = Some(Filled::new("11 Mar 2026 10:40"));
        for step in &mut one.steps {
            step.done = Some(Filled::new("DK"));
            step.readings.iter_mut().for_each(|r| fill(r, "11.2°"));
        }
        for p in one.before.iter_mut().chain(&mut one.after) {
            p.signed = Some(Signature {
                name: "Ines Marlow".to_owned(),
                id: "L-2".to_owned(),
                mark: "signed in the record, entry 41".to_owned(),
                at: "11 Mar 2026 11:02".to_owned(),
            });
        }
    }
    let reading = &mut document.operations[3].steps[0].readings[0];
    reading.filled = Some(Filled {
        value: "11.8°".to_owned(),
        by: Some(by.to_owned()),
        outside: true,
        remark: Some(
            "11.3° struck out by DK, 11 Mar 10:24: read on the cast face, not the machined one.".to_owned(),
        ),
    });
    if let Some(g) = &mut document.geometry {
        g.rows.iter_mut().for_each(|r| r.left = Some(Filled::new("6.1°").by(by)));
    }
    document.record = Some(RecordSheet {
        note: vec!["Each entry carries the hash of the one before; the last one seals them all.".into()],
        entries: (1..=12)
            .map(|number| RecordEntry {
                number,
                at: "11 Mar 2026 10:20".to_owned(),
                who: "Dov Kestrel".to_owned(),
                what: format!("operation {}0 step 1 done", number.min(8)),
                hash: format!("{number:02}c4 77e0 91ab"),
            })
            .collect(),
        seals: vec![
            Fact::new("plan", "7f3a c21e 55d0 9b12"),
            Fact::new("last entry", "12c4 77e0 91ab"),
            Fact::new("entries", "12"),
        ],
    });
    document
}
