//! The customer's pages, section by section: what they say of the story's record, and
//! of the same record with something missing or bad in its log.

use tackwright::app::record::completed::{self, Parts, Sealing};
use tackwright::app::record::pdf::attachments;
use tackwright::record::log::{self, Chain};
use tackwright::record::{Entry, entry::Action, state};
use tackwright::term::{Judged, Paper, Shows, Verdict};
use tackwright::traveler::document::{CustomerPages, Document, Exception, OutcomeRow};

use crate::record_story;
use crate::support::bench::Bench;
use crate::support::pdf;
use crate::support::printed::is_letter;

fn parts() -> Parts {
    Parts::of(attachments(&record_story::record()).unwrap()).0
}

/// The document of the story's record after a change of its log.
fn document(change: impl FnOnce(&mut Vec<Entry>)) -> (Parts, Chain, Document) {
    let parts = parts();
    let mut chain = log::check(&parts.log);
    change(&mut chain.entries);
    let document = completed::document(&parts, &chain, None).unwrap();
    (parts, chain, document)
}

fn pages(change: impl FnOnce(&mut Vec<Entry>)) -> CustomerPages {
    *document(change).2.customer.unwrap()
}

fn as_told() -> CustomerPages {
    pages(|_| {})
}

/// Changes the last reading of this id in an operation whose key ends so.
fn read_again(entries: &mut [Entry], key: &str, id: &str, value: Option<&str>, verdict: Verdict) {
    let found = entries.iter_mut().rev().find_map(|e| match &mut e.what {
        Action::Measure { reading } if reading.operation.key.ends_with(key) && reading.reading == id => {
            Some(reading)
        }
        _ => None,
    });
    let reading = found.unwrap_or_else(|| panic!("no {id} at {key}"));
    reading.verdict = Judged::Decided(verdict);
    if let Some(value) = value {
        reading.value = Some(value.to_owned());
    }
}

fn row<'a>(pages: &'a CustomerPages, what: &str, side: Option<&str>) -> &'a OutcomeRow {
    let all = pages.outcome.rows.iter();
    let mut fits = all.filter(|r| r.what == what && r.side.as_deref() == side);
    fits.next().unwrap_or_else(|| panic!("no line {what}: {:#?}", pages.outcome.rows))
}

fn exceptions<'a>(pages: &'a CustomerPages, kind: &str) -> Vec<&'a Exception> {
    pages.exceptions.rows.iter().filter(|r| r.kind.starts_with(kind)).collect()
}

fn text(words: &[tackwright::plan::Words]) -> String {
    words.iter().map(tackwright::plan::Words::text).collect::<Vec<_>>().join(" ")
}

#[test]
fn the_first_page_says_what_changed_and_when_to_come_back() {
    let told = as_told().summary;
    assert_eq!(told.sentences.len(), 5, "{:#?}", told.sentences);
    let said = text(&told.sentences);
    for part in
        ["Asked. Front axle", "clearance for field fires", "gusset under the left pad", "(F1: repair)"]
    {
        assert!(said.contains(part), "{part}: {said}");
    }
    // Factor 64 in / (2 x 31 in) before; the centre of gravity came up since.
    let changed = text(&told.changed);
    for part in [
        "It rolls over sooner. Side stability factor 1.03 before",
        // 0.6 deg read, 1.15 before: a change to the better is no warning.
        "(read, limit ≤ 1.2°; −1.15° computed before): less than before",
        "Both ends changed. Front up 5-15/16 in, rear up 6 in against as found",
    ] {
        assert!(changed.contains(part), "{part}: {changed}");
    }
    // What was done is said in words, with what was settled before it; and which word was not
    // as it has to be.
    for part in [
        "Done. The leaf springs of front axle stand over the axle now",
        "both steering knuckles of front axle were cut free, turned and welded again",
        "Settled before the work: ",
        "raised arm SA-7",
        "not as they have to be: fault codes, “new code” (F2: use as is)",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    // 84 219 mi at hand-over and 50 mi, 100 to 500 mi more.
    let meters: Vec<&str> = told.back.rows.iter().map(|r| r.meter.as_str()).collect();
    assert!(meters.contains(&"84 269 mi") && meters.contains(&"84 319 mi to 84 719 mi"), "{meters:?}");
    assert!(told.back.rows.iter().all(|r| r.date == "2026-05-04"), "{:#?}", told.back.rows);
    assert!(told.pictures.iter().all(|p| p.photo.is_some()), "{:#?}", told.pictures);
    // A waived witness and an inspector without a PIN stand against a plain yes.
    assert!(told.doubtful && !told.status.contains("conform"), "{}", told.status);
    assert!(told.doubts.iter().any(|d| d.contains("nobody there")), "{:?}", told.doubts);
    // Each reading outside is counted once, with what became of it.
    let outside: Vec<&String> = told.doubts.iter().filter(|d| d.contains("outside a limit")).collect();
    assert!(outside.len() == 1 && outside[0].contains("1 put right and read again"), "{outside:?}");
    assert!(said.contains("operations up to hand-over") && said.contains("follow after it"), "{said}");
    assert!(told.back.rows.iter().all(|r| !r.meter.is_empty()), "{:#?}", told.back.rows);
    assert!(told.doubts.iter().any(|d| d.contains("Inspector One (IO)")), "{:?}", told.doubts);
}

#[test]
fn the_first_page_says_what_is_missing() {
    let lacking = pages(|entries| {
        entries.retain(|e| match &e.what {
            Action::Photographed { shows, .. } => *shows != Shows::AsLeft,
            Action::Measure { reading } => {
                reading.reading != "meter"
                    && !reading.reading.starts_with("height-")
                    && !reading.operation.key.ends_with("bump-steer")
            }
            Action::Closed { .. } => false,
            _ => true,
        });
    })
    .summary;
    assert!(lacking.pictures[0].photo.is_some() && lacking.pictures[1].photo.is_none());
    assert_eq!(lacking.pictures[1].lacking, "No picture as left is in this record.");
    assert_eq!(lacking.status, "NOT CLOSED: the work is not finished.");
    assert!(text(&lacking.back.notes).contains("NOT READ"), "{:#?}", lacking.back);
    assert!(lacking.back.rows.iter().all(|r| r.date == "no date set"));
    let changed = text(&lacking.changed);
    assert!(
        changed.contains("computed, NOT MEASURED") && changed.contains("heights were NOT READ"),
        "{changed}"
    );
}

#[test]
fn all_conform_is_said_only_when_nothing_stands_against_it() {
    let clean = |entries: &mut Vec<Entry>| {
        let decided = |e: &Entry| matches!(&e.what, Action::Found { .. } | Action::Disposition { .. });
        entries.retain(|e| !decided(e));
        for entry in entries.iter_mut() {
            match &mut entry.what {
                Action::Measure { reading } => {
                    let torque = reading.kind.as_deref() == Some("torque");
                    if torque || reading.verdict != Judged::Recorded {
                        reading.verdict = Judged::Decided(Verdict::Conform);
                    }
                }
                // Everybody who signs had a PIN when it was issued.
                Action::Issued { issue } | Action::Revised { issue, .. } => {
                    let all = ["LO", "LT", "IO", "CR", "WO", "WT"].map(|id| (id.to_owned(), "0".repeat(64)));
                    issue.pins.extend(all);
                    // Another lead issued it than read it.
                    (entry.by.id, entry.by.name) = ("LT".to_owned(), "Lead Two".to_owned());
                }
                Action::Sign { identified, .. } => *identified = "pin".to_owned(),
                Action::WitnessWaived { operation, point, slot, .. } => {
                    let (operation, point, slot) = (operation.clone(), point.clone(), slot.clone());
                    entry.by.role = "lead".to_owned();
                    entry.what = Action::Sign {
                        identified: "pin".to_owned(),
                        meaning: String::new(),
                        operation,
                        point,
                        rests_on: Vec::new(),
                        slot,
                    };
                }
                _ => {}
            }
        }
    };
    let pages_of = |more: &dyn Fn(&mut Vec<Entry>)| {
        pages(|entries| {
            clean(entries);
            more(entries);
        })
    };
    let said = pages_of(&|_| {});
    // Prints nobody measured are told; whether one was used only the shop knows.
    let rows = &said.exceptions.rows;
    assert!(rows.iter().all(|r| r.kind == "Print not measured"), "{rows:#?}");
    assert!(
        said.summary.status.ends_with("All conform.") && !said.summary.doubtful,
        "{:?}",
        said.summary.status
    );
    let never = |what: &str, more: &dyn Fn(&mut Vec<Entry>)| {
        let said = pages_of(more).summary;
        assert!(
            !said.status.contains("conform") && said.doubtful && !said.doubts.is_empty(),
            "{what}: {said:#?}"
        );
    };
    never("a reading outside, not decided", &|entries| {
        read_again(entries, "read-alignment", "caster.left", None, Verdict::NotConform);
    });
    never("a stop rule: left and right two degrees apart", &|entries| {
        read_again(entries, "read-alignment", "caster.left", Some("0.14"), Verdict::Conform);
    });
    never("a signature without a PIN", &|entries| {
        let sign = entries.iter_mut().rev().find_map(|e| match &mut e.what {
            Action::Sign { identified, .. } => Some(identified),
            _ => None,
        });
        *sign.unwrap() = "not by PIN: the book has none".to_owned();
    });
    never("a point nobody signed", &|entries| {
        let at = entries.iter().rposition(|e| matches!(e.what, Action::Sign { .. })).unwrap();
        entries.remove(at);
    });
    never("a witness nobody came to", &|entries| {
        let sign = entries
            .iter_mut()
            .find(|e| matches!(&e.what, Action::Sign { point, .. } if point.starts_with('W')));
        let entry = sign.unwrap();
        let Action::Sign { operation, point, slot, .. } = entry.what.clone() else { unreachable!() };
        entry.what = Action::WitnessWaived { notice: "called".to_owned(), operation, point, slot };
    });
}

#[test]
fn one_table_says_as_found_planned_limit_and_as_left() {
    let told = as_told();
    let caster = row(&told, "caster", Some("left"));
    assert_eq!((caster.found.as_deref(), caster.left.as_deref()), (Some("4.0°"), Some("6.0°")));
    assert_eq!(caster.planned.as_deref(), Some("6.0°"));
    assert_eq!((caster.limit.as_deref(), caster.verdict.as_str()), (Some("5.71° to 6.29°"), "conforms"));
    let height = row(&told, "height, front", Some("left"));
    assert_eq!((height.found.as_deref(), height.left.as_deref()), (Some("33.5 in"), Some("39.4 in")));
    // Nothing superseded: the link's planned slope without its remedy stands nowhere.
    let link = row(&told, "drag link off level", None);
    assert_eq!(link.planned, None);
    for what in [
        "frame rail, nose up",
        "total toe",
        "pinion angle",
        "bump steer",
        "wheelbase",
        "side stability factor",
        "bend of the tube, vertical",
        "bend of the tube, level",
    ] {
        assert!(told.outcome.rows.iter().any(|r| r.what == what), "{what}");
    }
    for what in ["camber", "kingpin inclination"] {
        assert!(row(&told, what, Some("right")).left.is_some(), "{what}");
    }
    // What follows from two readings has its limits and its verdict, and a bar.
    for (end, side) in [("front", "left"), ("front", "right"), ("rear", "left"), ("rear", "right")] {
        let rise = row(&told, &format!("rise, {end}"), Some(side));
        assert!(rise.verdict == "conforms" && rise.limit.as_ref().unwrap().contains(" to "), "{rise:#?}");
        let bars = told.bars.rows.iter().find(|r| r.what == format!("rise, {end}")).unwrap();
        assert!(bars.left.is_some() && bars.right.is_some());
    }
    // Every judged value stands in a table, with the welds, among the torques or in the count.
    let note = text(&told.judged.notes);
    assert!(note.contains("judged on the way") && note.contains("weld bay"), "{note}");
    // The tube as it came stands beside the tube after the heat.
    let bend = row(&told, "bend of the tube, vertical", None);
    assert!(bend.found.is_some() && bend.left.is_some() && bend.limit.is_some(), "{bend:#?}");
    // What was read in the work is not passed off as read at the wheels.
    let rail = row(&told, "frame rail, nose up", None);
    assert!(rail.left.as_ref().is_some_and(|l| l.ends_with("on stands")), "{rail:#?}");
    assert!(!height.left.as_ref().unwrap().contains("stands"));
    assert!(text(&told.outcome.notes).contains("no wheel on the ground"));
}

#[test]
fn the_table_says_what_is_outside_and_what_was_not_read() {
    let bad = pages(|entries| {
        read_again(entries, "read-alignment", "caster.left", None, Verdict::NotConform);
        entries.retain(|e| match &e.what {
            Action::Measure { reading } => !reading.operation.key.ends_with("set-toe"),
            _ => true,
        });
    });
    let caster = row(&bad, "caster", Some("left"));
    assert!(caster.bad && caster.verdict == "OUTSIDE; NOT DECIDED", "{caster:#?}");
    let toe = row(&bad, "total toe", None);
    assert!(toe.bad && toe.left.is_none() && toe.verdict == "NOT READ", "{toe:#?}");
    let notes = text(&bad.outcome.notes);
    assert!(notes.contains("caster left") && notes.contains("total toe"), "{notes}");
}

#[test]
fn bars_show_the_band_and_the_value_left_beside_right() {
    let told = as_told();
    let bar = |pages: &CustomerPages| pages.bars.rows.iter().find(|r| r.what == "caster").unwrap().clone();
    let caster = bar(&told);
    let (left, right) = (caster.left.unwrap(), caster.right.unwrap());
    assert!(
        left.drawing.alt.starts_with("caster left: 6.0°, between 5.71° and 6.29°"),
        "{}",
        left.drawing.alt
    );
    assert!(right.drawing.alt.contains("right"));
    // 6.0 lies in the middle of 5.71 to 6.29: so does the mark of the frame, 16 to 46 mm.
    let mark = left.drawing.paths.iter().find(|p| p.filled).unwrap();
    assert!((mark.start.x - 31.0).abs() < 0.6, "{:?}", mark.start);
    let wheelbase = told.bars.rows.iter().find(|r| r.what == "wheelbase").unwrap();
    assert!(wheelbase.left.is_some() && wheelbase.right.is_some());
    // Outside: at the end of the paper, and crossed.
    let bad =
        bar(&pages(|e| read_again(e, "read-alignment", "caster.left", Some("0.2"), Verdict::NotConform)));
    let out = bad.left.unwrap();
    assert!(out.bad && out.drawing.paths.len() == left.drawing.paths.len() + 2);
    assert!(out.drawing.paths.iter().find(|p| p.filled).unwrap().start.x > 46.0);
    assert!(out.drawing.alt.ends_with("OUTSIDE; NOT DECIDED"), "{}", out.drawing.alt);
}

#[test]
fn exceptions_name_who_decided_and_what_shows_the_repair() {
    let told = as_told();
    let gusset = exceptions(&told, "Found condition F1")[0];
    assert!(
        gusset.reason.starts_with("repair: cut out") && gusset.decided.contains("Lead One"),
        "{gusset:#?}"
    );
    assert!(
        gusset.proof.contains("Inspector One") && gusset.proof.contains("cut out the old gusset"),
        "{gusset:#?}"
    );
    assert_eq!(gusset.photos.len(), 1);
    let wrench =
        told.exceptions.rows.iter().find(|r| r.what.contains("pulled before the stages were done")).unwrap();
    assert!(wrench.proof.contains("read again") && wrench.proof.contains("conforms"), "{wrench:#?}");
    // What was outside and read again since does not simply conform.
    let again = told.torques.rows.iter().filter(|r| r.verdict.starts_with("conforms; OUTSIDE before: "));
    assert!(again.count() == 1, "{:#?}", told.torques.rows);
    let waived = exceptions(&told, "Nobody came to witness");
    assert!(waived.len() == 1 && waived[0].reason.contains("called by telephone"), "{waived:#?}");
    let people: Vec<&str> = exceptions(&told, "Signed without").iter().map(|r| r.place.as_str()).collect();
    assert!(people.iter().any(|p| p.contains("Inspector One")), "{people:?}");
    // The knuckles are marked by both wrap strips; nobody measured their bars.
    let prints = exceptions(&told, "Print not measured");
    assert!(prints.len() == 1 && prints[0].what.contains("front-left-wrap-strip"), "{prints:#?}");
    assert!(!prints[0].what.contains("caster-angle-gauge"), "no operation uses it: {prints:#?}");
    let makers = exceptions(&told, "Maker's figure");
    assert!(makers.iter().any(|r| r.what.contains("hub fasteners, torque set 50 lbf-ft")), "{makers:#?}");
    assert!(
        exceptions(&told, "Reading outside").iter().all(|r| !r.open && r.reason.contains("decided with F"))
    );
    assert!(told.exceptions.rows.iter().all(|r| !r.open), "{:#?}", told.exceptions);
}

#[test]
fn open_departures_and_repairs_nothing_shows_stand_first() {
    let bad = pages(|entries| {
        let number = |e: &Entry| match &e.what {
            Action::Disposition { found, .. } => Some(found.clone()),
            _ => None,
        };
        entries.retain(|e| number(e).as_deref() != Some("F2"));
        let added = entries.iter().position(
            |e| matches!(&e.what, Action::Sign { operation, .. } if operation.key.contains("gusset")),
        );
        entries.remove(added.unwrap());
        read_again(entries, "read-alignment", "caster.left", Some("0.14"), Verdict::Conform);
    });
    let open: Vec<&Exception> = bad.exceptions.rows.iter().take_while(|r| r.open).collect();
    let kinds: Vec<&str> = open.iter().map(|r| r.kind.as_str()).collect();
    assert!(kinds.contains(&"Found condition F1") && kinds.contains(&"Found condition F2"), "{kinds:?}");
    assert!(kinds.contains(&"Stop rule") && kinds.contains(&"Work not finished"), "{kinds:?}");
    let of = |kind: &str| *open.iter().find(|r| r.kind == kind).unwrap();
    assert_eq!(of("Found condition F1").proof, "Nothing in this record shows that it was put right.");
    assert_eq!(of("Found condition F2").reason, "NOT DECIDED.");
    assert!(
        of("Stop rule").what.contains("left and right") || of("Stop rule").what.contains("left less right"),
        "{:#?}",
        of("Stop rule")
    );
    assert!(bad.exceptions.rows.iter().skip(open.len()).all(|r| !r.open));
}

/// The symbol on a joint's card stands in the customer's pages too, the same one, beside
/// who welded it and who accepted it.
#[test]
fn the_symbol_of_a_card_stands_beside_who_welded_and_who_accepted() {
    let document = document(|_| {}).2;
    let told = document.customer.as_ref().unwrap();
    assert_eq!(told.welds.rows.len(), document.welds.len());
    for row in &told.welds.rows {
        let card = document.welds.iter().find(|c| c.id == row.id).unwrap();
        assert_eq!((&row.symbol, &row.drawing), (&card.symbol, &card.drawing), "{}", row.id);
        let drawing = &row.drawing.as_ref().unwrap().drawing;
        assert!(drawing.alt.starts_with("Weld symbol by AWS A2.4: "), "{}", drawing.alt);
        assert!(!drawing.paths.is_empty() && !drawing.labels.is_empty(), "{}", row.id);
        let welded = row.facts.iter().find(|f| f.label == "welded by").and_then(|f| f.value.as_deref());
        assert!(welded.is_some_and(|w| w.contains("Welder One (WO)")), "{}: {welded:?}", row.id);
        assert!(row.accepted.contains("Inspector One"), "{}: {}", row.id, row.accepted);
    }
}

#[test]
fn every_joint_says_who_what_was_asked_and_read_and_who_accepted() {
    let told = as_told();
    assert_eq!(told.welds.rows.len(), 4);
    let left = told.welds.rows.iter().find(|w| w.id == "J2").unwrap();
    let fact = |label: &str| {
        let found = left.facts.iter().find(|f| f.label.starts_with(label)).and_then(|f| f.value.clone());
        found.unwrap_or_else(|| panic!("{label}: {:#?}", left.facts))
    };
    assert!(fact("welded by").contains("Welder One") && fact("welded by").contains("Q-WO-TUBE"), "{left:#?}");
    assert!(text(&told.welds.notes).contains("AWS D1.1:2020"), "{:#?}", told.welds.notes);
    assert!(fact("procedure").contains("WPS-05"));
    assert!(fact("coldest").contains("°F; asked ≥ 250 °F"), "{left:#?}");
    assert!(fact("hottest").contains("asked ≤ 400 °F") && fact("heat input").contains("kJ/in"));
    assert!(
        fact("cap over the surface").contains("asked 0 in (0.0 mm) to 1/8 in")
            && fact("crack test").starts_with("clear")
    );
    assert!(
        left.accepted.contains("AWS D1.1 cyclic") && left.accepted.contains("Inspector One"),
        "{}",
        left.accepted
    );
    assert!(!left.bad && left.drawing.is_some());
    let pads = told.welds.rows.iter().find(|w| w.id == "J1").unwrap();
    assert!(
        pads.facts
            .iter()
            .any(|f| f.label.contains("filler lot") && f.value.as_ref().unwrap().contains("7A-4471"))
    );
    let bad = pages(|entries| {
        entries.retain(|e| match &e.what {
            Action::Sign { operation, .. } => !operation.key.ends_with("accept-knuckles"),
            Action::Measure { reading } => reading.reading != "preheat.J2",
            _ => true,
        });
    });
    let left = bad.welds.rows.iter().find(|w| w.id == "J2").unwrap();
    assert!(left.bad && left.accepted.starts_with("NOT ACCEPTED"), "{left:#?}");
    assert!(left.facts.iter().any(|f| f.value.as_deref() == Some("NOT READ")), "{left:#?}");
    assert!(text(&bad.welds.notes).contains("J2, J3"));
}

#[test]
fn torques_and_parts_have_their_numbers() {
    let told = as_told();
    let first = told.torques.rows.iter().find(|r| r.id == "B1").unwrap();
    assert!(
        first.read.contains("130 lbf-ft") && first.asked.contains("125 lbf-ft") && first.by.contains("TW-3"),
        "{first:#?}"
    );
    assert!(!first.bad);
    // A figure read at the work stands beside what was set by it, and proves no more than that.
    let hub: Vec<_> = told.torques.rows.iter().filter(|r| r.title.starts_with("hub fasteners")).collect();
    assert!(hub.len() == 1 && hub[0].verdict == "agrees" && !hub[0].bad, "{hub:#?}");
    assert!(hub[0].asked.contains("50 lbf-ft, maker's figure as WO read it"), "{hub:#?}");
    // One the job states is judged like any other.
    let wheel = told.torques.rows.iter().find(|r| r.id == "B4").unwrap();
    assert!(wheel.verdict == "conforms" && wheel.asked.contains("135 lbf-ft"), "{wheel:#?}");
    assert!(text(&told.torques.notes).contains("nobody proved"), "{:#?}", told.torques.notes);
    // The new steering part is told with its number, and nothing says that none was asked.
    let arm = told.parts.rows.iter().find(|p| p.named.contains("SA-7")).unwrap();
    assert!(arm.what.contains("teering") && !text(&told.parts.notes).contains("no number"), "{arm:#?}");
    let numbers: Vec<&str> = told.parts.rows.iter().map(|p| p.named.as_str()).collect();
    assert!(numbers.contains(&"7A-4471") && numbers.contains(&"9L-3120"), "{numbers:?}");
    assert!(text(&told.parts.notes).contains("U-bolts, front axle, left"));
    let bad = pages(|entries| {
        entries.retain(|e| match &e.what {
            Action::Measure { reading } => {
                !reading.reading.ends_with(".B1") && !reading.reading.starts_with("lot")
            }
            _ => true,
        });
    });
    let first = bad.torques.rows.iter().find(|r| r.id == "B1").unwrap();
    assert!(first.bad && first.read == "NOT READ" && first.verdict == "not on record", "{first:#?}");
    assert!(!bad.parts.rows.iter().any(|p| p.named == "7A-4471"));
}

#[test]
fn approval_names_rules_roles_certificates_and_how_people_were_known() {
    let told = as_told().approval;
    let notes = text(&told.notes);
    for part in [
        "AWS D1.1 cyclic for J1, J2, J3, J4",
        "Inspection, entry or permit: none needed",
        "No answer of a licensed engineer",
    ] {
        assert!(notes.contains(part), "{part}: {notes}");
    }
    let person = |id: &str| told.people.iter().find(|p| p.name.contains(id)).unwrap();
    assert!(person("(LO)").identified == "by PIN" && !person("(LO)").by_id);
    assert!(
        person("(IO)").by_id && person("(IO)").certificate.contains("penetrant"),
        "{:#?}",
        person("(IO)")
    );
    let waived = told.rows.iter().find(|r| r.who == "nobody came").unwrap();
    assert!(waived.bad);
    let bad = pages(|entries| {
        entries.retain(|e| !matches!(&e.what, Action::Sign { operation, .. } if operation.key.ends_with("final-release")));
        entries.retain(|e| !matches!(&e.what, Action::Measure { reading } if reading.reading == "law"));
    })
    .approval;
    assert!(bad.rows.iter().any(|r| r.bad && r.who.contains("inspector: NOT SIGNED")), "{:#?}", bad.rows);
    assert!(text(&bad.notes).contains("No entry says which inspection"));
}

#[test]
fn proof_names_instruments_revisions_and_the_digest_of_the_log() {
    let (parts, _, document) = document(|_| {});
    let told = document.customer.unwrap().proof;
    assert!(told.instruments.rows.iter().all(|i| !i.bad && !i.what.is_empty()), "{:#?}", told.instruments);
    let finder = told.instruments.rows.iter().find(|i| i.id == "AF-1").unwrap();
    assert_eq!(finder.until, "2026-09-15");
    let letters: Vec<&str> = told.changes.iter().map(|c| c.revision.as_str()).collect();
    assert_eq!(letters, ["A", "B"]);
    let log = tackwright::record::sha256(&parts.log);
    assert!(told.seals.iter().any(|f| f.value.as_ref() == Some(&log)), "{:#?}", told.seals);
    let bad = pages(|entries| {
        for entry in entries {
            if let Action::Measure { reading } = &mut entry.what
                && reading.tool.as_deref() == Some("AF-1")
            {
                reading.calibrated_until = Some("2026-03-04".to_owned());
            }
        }
    });
    assert!(bad.proof.instruments.rows.iter().any(|i| i.id == "AF-1" && i.bad));
    assert!(text(&bad.proof.instruments.notes).contains("had ended"));
}

/// Pages before the first station, and all of them.
fn counted(bytes: &[u8]) -> (usize, usize) {
    let pages = pdf::pages(bytes);
    let first = pages.iter().position(|p| p.runs.iter().any(is_letter)).unwrap();
    (first, pages.len())
}

#[test]
fn the_customers_pages_are_at_most_eight_on_either_paper() {
    let (parts, chain, document) = document(|_| {});
    assert!(state::fold(&chain.entries).closed.is_some());
    let approved = document.customer.as_ref().unwrap().approval.rows.clone();
    assert!(approved.len() > 20);
    for paper in [Paper::Letter, Paper::A4] {
        let mut document = document.clone();
        document.meta.paper = paper;
        let made = completed::lay_out(document, &parts, &chain, Sealing::None).unwrap();
        if let Some(folder) = std::env::var_os("TACKWRIGHT_PAGES") {
            let name = format!("customer-{paper}.pdf");
            std::fs::write(std::path::Path::new(&folder).join(name), &made.bytes).unwrap();
        }
        let (customer, all) = counted(&made.bytes);
        assert!(customer <= 8 && all <= 36, "{paper}: {customer} of {all} pages");
        let pages: Vec<String> = pdf::pages(&made.bytes).iter().map(pdf::Page::text).collect();
        let text = pages.concat();
        // Beside a signature stands the page of its box.
        for row in &approved {
            let own = format!("POINT{}signedby", row.number);
            let page = 1 + pages.iter().position(|page| page.contains(&own)).expect(&row.number);
            let line = format!("{}{}{}{}{page}", row.number, row.what, row.who, row.at);
            assert!(text.contains(&pdf::squeeze(&line)), "{paper}: {line}");
        }
        for part in ["Whatisdifferentnow", "Asfoundandasleft", "Howtocheckthisfile"] {
            assert!(text.contains(part), "{paper}: {part}");
        }
    }
}

#[test]
fn small_jobs_have_sentences_where_they_have_nothing_to_show() {
    for (job, number) in [("hoist-frame", "HF-12"), ("pump-trailer", "")] {
        let bench = Bench::new();
        let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("jobs/{job}.toml"));
        bench.write("job.toml", std::fs::read(file).unwrap());
        let issued = bench.run(&["issue", "job.toml"]);
        assert_eq!(issued.code, 0, "{job}{number}: {}{}", issued.out, issued.err);
        let folder = std::fs::read_dir(bench.path("travelers"))
            .unwrap()
            .flatten()
            .find(|e| e.path().is_dir())
            .unwrap();
        let number = folder.file_name().into_string().unwrap();
        let said = bench.run(&["complete", &number, "--by", "LO"]);
        assert_eq!(said.code, 0, "{job}: {}{}", said.out, said.err);
        let bytes = bench.read(&format!("travelers/{number}/{number}-completed.pdf"));
        if let Some(folder) = std::env::var_os("TACKWRIGHT_PAGES") {
            std::fs::write(std::path::Path::new(&folder).join(format!("{job}.pdf")), &bytes).unwrap();
        }
        let (customer, _) = counted(&bytes);
        assert!(customer <= 6, "{job}: {customer} pages before the first station");
        let (parts, ..) = Parts::of(attachments(&bytes).unwrap());
        let chain = log::check(&parts.log);
        let pages = completed::document(&parts, &chain, None).unwrap().customer.unwrap();
        assert_eq!(pages.summary.status, "NOT CLOSED: the work is not finished.");
        assert!(!pages.bars.notes.is_empty() && pages.bars.rows.is_empty(), "{job}: {:#?}", pages.bars);
        assert!(pages.exceptions.rows.iter().any(|r| r.open && r.kind == "Work not finished"));
        assert!(pages.welds.rows.iter().all(|w| w.bad && w.accepted.starts_with("NOT ACCEPTED")), "{job}");
        assert!(pages.approval.rows.iter().all(|r| r.bad), "{job}");
    }
}
