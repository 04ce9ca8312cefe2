//! The open standard of animal data, out and in: our files beside its schemas, whole flocks there and back, files of
//! others, the window.

use egui::{Key, Role};
use egui_kittest::kittest::Queryable as _;
use hirsel_core::book::Book;
use hirsel_core::exchange::standard::{self, Options, Zone};
use hirsel_core::flock::{AnimalFile, Flock, Holding, Sire};
use hirsel_core::terms::{Born, Day, Fate, IdentityId, MeantFor, Rearing, ScoreKind, Status};
use hirsel_tests::ade::Schemas;
use hirsel_tests::book::{new_book, room, today};
use hirsel_tests::flocks::{self, ctrl, desk_sized, press, says, type_in, wait_for};
use hirsel_tests::maker::{Kind, Maker};
use hirsel_tests::{cli, shot};
use proptest::prelude::*;
use serde_json::Value;
use std::path::Path;

#[path = "others.rs"]
mod others;

use others::OTHERS;

fn options(today: Day) -> Options {
    Options { zone: Zone::Utc, ..Options::of(today) }
}

fn exported(book: &Book, today: Day) -> String {
    standard::export(&book.flock(), &book.stamps().expect("stamps"), &options(today))
}

/// Brings a document into a book, with any word on what looks unlikely; how many records were new.
fn bring(book: &mut Book, text: &str, today: Day) -> Result<usize, String> {
    let found = standard::read("flock.json", text.as_bytes(), &book.flock(), Zone::Utc, today)
        .map_err(|e| e.to_string())?;
    let n = found.new.len();
    if !found.is_empty() {
        // A dose far beyond its label must be said once more.
        let word: Vec<String> = found.cautions.iter().map(|c| c.why.clone()).collect();
        let (what, all) = found.sure(&word.join(" ")).map_err(|(e, _)| e.to_string())?;
        book.write_many(&what, all).map_err(|e| e.to_string())?;
    }
    Ok(n)
}

fn demo(room: &Path) -> (Book, Day) {
    let today = Day::parse_iso("2026-04-10").expect("a day");
    let path = room.join("demo.hirsel");
    let mut book = Book::create(&path, hirsel_demo::holding()).expect("a book");
    let spec = hirsel_demo::Spec { ewes: 40, seasons: 4, seed: 11 };
    hirsel_demo::make(&mut book, &spec, today, &mut |_| {}).expect("a flock");
    (book, today)
}

// --- beside the schemas --------------------------------------------------------------------------

#[test]
fn every_resource_is_as_its_schema_says() {
    let room = room();
    let (book, today) = demo(room.path());
    let mut how = Options { struck: true, ..options(today) };
    let first = book.flock().files().next().expect("an animal").animal.id;
    how.values =
        vec![standard::Value { animal: first, of: "weight:60".into(), value: 1.25, accuracy: Some(0.5) }];
    let text = standard::export(&book.flock(), &book.stamps().expect("stamps"), &how);
    let document: Value = serde_json::from_str(&text).expect("JSON");
    let mut schemas = Schemas::default();
    let mut counts = Vec::new();
    for (name, collection) in document.as_object().expect("an object") {
        let faults = schemas.faults(&format!("collections/{name}.json"), collection);
        assert!(faults.is_empty(), "{name}: {:#?}", &faults[..faults.len().min(10)]);
        let members = collection["member"].as_array().expect("members");
        let kind = name.replace("Collection", "Resource");
        for m in members {
            assert_eq!(m["resourceType"], kind.as_str());
            let faults = schemas.faults(&format!("resources/{kind}.json"), m);
            assert!(faults.is_empty(), "{m}: {faults:#?}");
        }
        counts.push((kind, members.len()));
    }
    assert_eq!(counts.len(), 14);
    for (kind, n) in &counts {
        assert!(*n > 0, "the made-up flock has no {kind}: {counts:?}");
    }
    // A look that finds nothing wrong in anything would be none.
    let mut wrong = document["icarWeightEventCollection"]["member"][0].clone();
    wrong["weight"]["units"] = "stone".into();
    wrong["colour"] = "grey".into();
    wrong["remark"] = Value::Null;
    wrong.as_object_mut().expect("an object").remove("animal");
    let faults = schemas.faults("resources/icarWeightEventResource.json", &wrong);
    for part in ["stone", "/colour: no such field", "animal is missing", "/remark: null"] {
        assert!(faults.iter().any(|f| f.contains(part)), "{part}: {faults:#?}");
    }
}

// --- there and back ------------------------------------------------------------------------------

/// What the standard cannot say is taken out, field by field; all else must come back.
fn sayable(f: &AnimalFile, flock: &Flock) -> AnimalFile {
    let mut f = f.clone();
    let a = &mut f.animal;
    // A genetic dam alone is told like any dam.
    if a.dam.is_none() {
        a.dam = a.genetic_dam.take();
    }
    // Put on its own dam is reared by its dam.
    if a.dam.is_some_and(|dam| a.rearing == Rearing::Foster(dam)) {
        a.rearing = Rearing::Dam;
    }
    // Days between which a mark was worn.
    for i in &mut a.identities {
        (i.id, i.from, i.to) = (IdentityId::from_bytes([0; 16]), None, None);
    }
    a.identities.sort_by_key(|i| (i.kind, format!("{:?}", i.ended), i.tag.clone()));
    // The birth goes with its lambing; a fate that the standing contradicts is not carried, as in tables.
    let lambing = f.birth.as_ref().and_then(|b| {
        flock
            .file(b.ewe)
            .and_then(|e| e.lambings.iter().find(|l| l.id == b.lambing))
            .filter(|l| l.struck.is_none())
    });
    f.birth = f.birth.filter(|_| lambing.is_some());
    if let Some(b) = f.birth.as_mut().filter(|_| a.status != Status::Dead) {
        b.fate = Fate::Alive;
    }
    // Of an animal neither born here nor with a day it came the rest is not told.
    let came = f.movements.iter().any(|m| m.struck.is_none() && m.to == Status::Present);
    if f.birth.is_none() && !came {
        a.born = a.born.exact().map_or(Born::Unknown, Born::On);
        (a.birth_type, a.rear_type, a.birth_weight) = (None, None, None);
        (a.section, a.marks, a.note, a.meant_for) = (None, None, None, MeantFor::Undecided);
        if a.rearing == Rearing::Bottle {
            a.rearing = Rearing::Dam;
        }
        if a.sire.known().is_none() {
            a.sire = Sire::Unknown;
        }
    }
    // Ancestors outside: since when, and in which pen they would be.
    if a.status == Status::Outside {
        (a.status_on, a.status_reason) = (None, None);
    }
    // Why one is here of which no day is known.
    if a.status == Status::Present && a.status_on.is_none() {
        a.status_reason = None;
    }
    if a.status != Status::Present {
        a.pen = None;
    }
    // Struck-out records stay in the book.
    f.lambings.retain(|r| r.struck.is_none());
    f.joinings.retain(|r| r.struck.is_none());
    f.weighings.retain(|r| r.struck.is_none());
    f.treatments.retain(|r| r.struck.is_none());
    f.movements.retain(|r| r.struck.is_none());
    f.scans.retain(|r| r.struck.is_none());
    // Scores other than condition; sessions at the scale; prescriptions.
    f.scores.retain(|r| r.struck.is_none() && r.score.kind() == ScoreKind::Condition);
    f.scores.iter_mut().for_each(|s| s.session = None);
    f.weighings.iter_mut().for_each(|w| w.session = None);
    f.treatments.iter_mut().for_each(|t| t.more.prescription = None);
    // No resource at all: pens of the past, notes, ticks, crayons, tests, decisions, groups.
    (f.pen_moves, f.remarks, f.ticks, f.marks) = Default::default();
    (f.crayons, f.tests, f.decisions, f.groups) = Default::default();
    // Reckoned from the lambs' parents, which are compared with the lambs.
    f.offspring.clear();
    f.lambings.sort_by_key(|r| r.id);
    f.joinings.sort_by_key(|r| r.id);
    f.weighings.sort_by_key(|r| r.id);
    f.treatments.sort_by_key(|r| r.id);
    f.movements.sort_by_key(|r| r.id);
    f.scans.sort_by_key(|r| r.id);
    f.scores.sort_by_key(|r| r.id);
    f
}

/// A document without what the journal tells of each record: that of the new book begins with the import.
fn timeless(text: &str) -> Value {
    fn strip(v: &mut Value) {
        match v {
            Value::Object(o) => {
                if let Some(meta) = o.get_mut("meta").and_then(Value::as_object_mut) {
                    meta.retain(|k, _| !["modified", "created", "creator"].contains(&k.as_str()));
                }
                o.values_mut().for_each(strip);
            }
            Value::Array(all) => all.iter_mut().for_each(strip),
            _ => {}
        }
    }
    let mut v: Value = serde_json::from_str(text).expect("JSON");
    strip(&mut v);
    v
}

/// Without what hangs on records that do not travel: the cupboard's expiry of a batch, the prescription.
fn unsaid(name: &str, one: &Value) -> Value {
    let mut one = one.clone();
    let lists = match name {
        "icarTreatmentEventCollection" => vec![&mut one],
        "icarTreatmentProgramEventCollection" => {
            one["courses"].as_array_mut().into_iter().flatten().collect()
        }
        _ => Vec::new(),
    };
    for holder in lists {
        for batch in holder.get_mut("batches").and_then(Value::as_array_mut).into_iter().flatten() {
            batch.as_object_mut().map(|b| b.remove("expiryDate"));
        }
    }
    // The rest of a treatment's remark is compared as the flock has it.
    if name == "icarTreatmentEventCollection" {
        one.as_object_mut().map(|o| o.remove("remark"));
    }
    one
}

/// Out of one book, into another: the same flock, the same document; again: nothing.
fn there_and_back(book: &Book, today: Day, room: &Path) -> Result<(), String> {
    let text = exported(book, today);
    let holding = Holding { ..book.flock().holding().clone() };
    let mut other = Book::create(&room.join("other.hirsel"), holding).map_err(|e| e.to_string())?;
    let n = bring(&mut other, &text, today)?;
    let (a, b) = (book.flock(), other.flock());
    if a.len() != b.len() {
        return Err(format!("{} animals went out, {} came in", a.len(), b.len()));
    }
    for f in a.files() {
        let g = b.file(f.animal.id).ok_or_else(|| format!("{} did not come", f.animal.tag()))?;
        let (f, g) = (sayable(f, &a), sayable(g, &b));
        if f != g {
            return Err(format!("{}:\n{f:#?}\ncame as\n{g:#?}", f.animal.tag()));
        }
    }
    let again = exported(&other, today);
    let (x, y) = (timeless(&text), timeless(&again));
    for (name, collection) in x.as_object().into_iter().flatten() {
        for (i, one) in collection["member"].as_array().into_iter().flatten().enumerate() {
            let (there, here) = (unsaid(name, one), unsaid(name, &y[name]["member"][i]));
            if here != there {
                return Err(format!("{name} {i}: {there}\ncame as {here}"));
            }
        }
    }
    if n > 0 && bring(&mut other, &text, today)? != 0 {
        return Err("the same file again brought something".into());
    }
    // One line, one undo.
    let before = other.flock().len();
    if n > 0 {
        other.undo().map_err(|e| e.to_string())?.ok_or("nothing to undo")?;
        if !other.flock().is_empty() {
            return Err(format!("{} of {before} animals stayed", other.flock().len()));
        }
    }
    Ok(())
}

#[test]
fn the_made_up_flock_comes_back_whole() {
    let room = room();
    let (book, today) = demo(room.path());
    there_and_back(&book, today, room.path()).unwrap_or_else(|e| panic!("{}", &e[..e.len().min(8000)]));
}

/// Kinds of entries of which the standard carries something, and some that must not disturb it.
const KINDS: [Kind; 18] = [
    Kind::Animals,
    Kind::Retag,
    Kind::Lambings,
    Kind::Joinings,
    Kind::Weighings,
    Kind::Treatments,
    Kind::Products,
    Kind::PenMoves,
    Kind::Movements,
    Kind::Scans,
    Kind::Scorings,
    Kind::Remarks,
    Kind::StrikeWeighing,
    Kind::StrikeTreatment,
    Kind::StrikeScan,
    Kind::StrikeJoining,
    Kind::Weighed,
    Kind::Parted,
];

fn config(cases: u32) -> ProptestConfig {
    let given = ProptestConfig::default();
    let cases = if std::env::var_os("PROPTEST_CASES").is_some() { given.cases } else { cases };
    ProptestConfig { cases, max_shrink_iters: 60, failure_persistence: None, ..given }
}

proptest! {
    #![proptest_config(config(20))]

    #[test]
    fn any_flock_comes_back_whole(seed in any::<u64>(), steps in 5usize..40) {
        let room = room();
        let mut book = new_book(room.path());
        let mut maker = Maker::new(seed, today());
        let mut pick = fastrand::Rng::with_seed(seed);
        for _ in 0..steps {
            let kind = if book.flock().len() < 4 { Kind::Animals } else { KINDS[pick.usize(..KINDS.len())] };
            let Some(sure) = maker.make(kind, &book.flock()) else { continue };
            book.write(sure).map_err(|e| TestCaseError::fail(e.to_string()))?;
        }
        // A lambing written later over an animal that came first may leave it a standing that its own lines contradict:
        // such a flock settles to its lines when it comes in, and is not compared.
        let stands = |f: &AnimalFile| {
            let last = f.movements.iter().filter(|m| m.struck.is_none()).max_by_key(|m| (m.on, m.id));
            last.is_none_or(|m| m.to == f.animal.status && Some(m.on) == f.animal.status_on)
        };
        prop_assume!(book.flock().files().all(stands));
        match there_and_back(&book, today(), room.path()) {
            // The same way a ram may get a day of birth after he ran with ewes: refused as it stands.
            Err(e) if e.contains("nothing can have been done to it") => {
                return Err(TestCaseError::reject("a flock that contradicts itself"));
            }
            done => done.map_err(TestCaseError::fail)?,
        }
    }
}

// --- the command line ----------------------------------------------------------------------------

#[test]
fn the_command_line_takes_it_out_and_brings_it_in_in_any_zone() {
    let folder = flocks::Folder::new();
    let call = |zone: &str, args: &[&str]| {
        let mut c = cli::hirsel(folder.path());
        c.env("TZ", zone).args(args);
        let out = cli::run(c);
        let text = |b: &[u8]| String::from_utf8_lossy(b).into_owned();
        (out.status.code(), text(&out.stdout), text(&out.stderr))
    };
    let on = ["--on", "2026-04-10"];
    let made = call(
        "UTC0",
        &["demo", "a.hirsel", "--ewes", "12", "--seasons", "2", "--seed", "3", "--on", "2026-04-10"],
    );
    assert_eq!(made.0, Some(0), "{}", made.2);
    // Five and a half hours east of Greenwich, no clock changes.
    let out = call("XST-5:30", &["export", "a.hirsel", "standard", "-o", "a.json", on[0], on[1]]);
    assert_eq!(out.0, Some(0), "{}", out.2);
    let new = call(
        "XST-5:30",
        &["new", "b.hirsel", "--flock", "Pipitfold Quernfold Greys", "--number", "99/999/0042"],
    );
    assert_eq!(new.0, Some(0), "{}", new.2);
    let dry = call("XST-5:30", &["import", "b.hirsel", "standard", "a.json", "--dry-run", on[0], on[1]]);
    assert!(
        dry.1.starts_with("Would write ") && dry.1.contains("; nothing was written\nanimal of "),
        "{}{}",
        dry.1,
        dry.2
    );
    let came = call("XST-5:30", &["import", "b.hirsel", "standard", "a.json", on[0], on[1]]);
    assert!(came.1.starts_with("Wrote ") && came.1.contains(" animals, "), "{}{}", came.1, came.2);
    let again = call("XST-5:30", &["import", "b.hirsel", "standard", "a.json", on[0], on[1]]);
    assert!(again.1.starts_with("Wrote nothing new from a.json; "), "{}", again.1);
    for kind in ["weighings", "treatments", "lambings"] {
        let of = |book: &str| {
            let text = call("XST-5:30", &["export", book, kind]).1;
            // The session at the scale is not carried; nor is the prescription.
            let dropped = ["session", "prescription"];
            let mut table =
                csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
            let mut lines =
                table.records().map(|r| r.expect("a row").iter().map(str::to_string).collect::<Vec<_>>());
            let head = lines.next().expect("a head");
            let keep: Vec<usize> =
                (0..head.len()).filter(|i| !dropped.contains(&head[*i].as_str())).collect();
            let mut rows: Vec<String> = lines
                .map(|l| keep.iter().filter_map(|i| l.get(*i)).cloned().collect::<Vec<_>>().join(","))
                .collect();
            rows.sort();
            rows
        };
        let (a, b) = (of("a.hirsel"), of("b.hirsel"));
        assert!(a.len() > 10, "{kind}");
        assert_eq!(a, b, "{kind} in a zone of its own");
    }
    let stray = call("UTC0", &["export", "a.hirsel", "animals", "--struck"]);
    assert_eq!(
        (stray.0, stray.2.as_str()),
        (Some(2), "hirsel: --struck goes with standard only: leave it out\n")
    );
    let values = call("UTC0", &["export", "a.hirsel", "standard", "--trait", "weight:60", on[0], on[1]]);
    assert_eq!(values.0, Some(0), "{}", values.2);
    let v: Value = serde_json::from_str(&values.1).expect("JSON");
    let first = &v["icarBreedingValueCollection"]["member"][0];
    assert_eq!(first["breedingValues"][0]["traitLabel"]["id"], "weight:60");
    std::fs::write(folder.path().join("bad.json"), "{\"resourceType\": \"icarAnimalCoreResource\"}")
        .expect("a file");
    let bad = call("UTC0", &["import", "b.hirsel", "standard", "bad.json"]);
    assert_eq!(bad.0, Some(1));
    assert!(bad.2.contains("bad.json was refused, nothing was written"), "{}", bad.2);
}

// --- the window ----------------------------------------------------------------------------------

#[test]
fn the_window_writes_reads_shows_and_brings_in() {
    let folder = flocks::Folder::new();
    let (book, _) = flocks::shed_book(&folder);
    let mut h = desk_sized(&folder, book, today(), [1240.0, 1000.0]);
    ctrl(&mut h, Key::Num0);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::ArrowRight);
    press(&mut h, Key::Enter);
    let field = |h: &mut egui_kittest::Harness<'static, hirsel_app::desk::Desk>, name: &str, text: &str| {
        h.get_by_role_and_label(Role::TextInput, name).focus();
        h.run();
        ctrl(h, Key::A);
        type_in(h, text);
        press(h, Key::Enter);
    };
    // Tests lie in a folder of another name each time.
    flocks::retype(&mut h, "Into the folder", "~/flock tables");
    shot::check(&mut h, "standard_out");
    field(&mut h, "As the file", "out");
    wait_for(&mut h, "the file", |h| says(h, "The flock is taken out to"));
    let text = std::fs::read_to_string(folder.path().join("out.json")).expect("the file");
    assert!(text.contains("\"icarWeightEventCollection\": {\"view\": {\"totalItems\": 3}"), "{text}");
    std::fs::write(folder.path().join("others.json"), OTHERS.replace("2022-03-28", "2021-03-27"))
        .expect("a file");
    ctrl(&mut h, Key::Num0);
    h.get_by_role_and_label(Role::RadioButton, "Tables in").click();
    h.run();
    let mine = "{\"resourceType\": \"icarAnimalCoreResource\", \"identifier\": {\"scheme\": \"net.hirsel.tag\", \"id\": \"0412\"}, \"specie\": \"Sheep\", \"gender\": \"Male\"}";
    std::fs::write(folder.path().join("wrong.json"), mine).expect("a file");
    field(&mut h, "Data file", "wrong.json");
    wait_for(&mut h, "the refusal", |h| says(h, "wrong.json was refused and nothing was written"));
    assert!(says(&h, "0412 wears that mark in the book and is a ewe"));
    h.get_by_role_and_label(Role::Button, "Close").click();
    h.run();
    field(&mut h, "Data file", "others.json");
    wait_for(&mut h, "the file", |h| {
        says(h, "Read and checked: 1 animal, 1 joining, 1 lambing, 1 weighing, 1 treatment")
    });
    let weights = |h: &egui_kittest::Harness<'static, hirsel_app::desk::Desk>| {
        h.state().flock().map(|f| f.files().map(|f| f.weighings.len()).sum::<usize>())
    };
    assert_eq!(weights(&h), Some(3), "nothing is written by reading");
    shot::check(&mut h, "standard_in");
    if says(&h, "look unlikely") || says(&h, "looks unlikely") {
        type_in(&mut h, "as the other program has it");
        press(&mut h, Key::Enter);
    } else {
        press(&mut h, Key::Enter);
    }
    wait_for(&mut h, "the write", |h| says(h, "Brought in 1 animal"));
    assert_eq!(weights(&h), Some(4));
    ctrl(&mut h, Key::Z);
    assert_eq!(weights(&h), Some(3), "one undo takes all of it back");
}
