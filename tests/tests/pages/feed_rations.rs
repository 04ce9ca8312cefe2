//! Rations day by day with the keyboard: the form Enter by Enter, what each pen is carried, needs and cautions, the
//! trade's rule, an own target, amending and striking out, the feed sheet.

use egui::{Key, Role};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use hirsel_app::desk::Desk;
use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, AnimalDraft, CreepDraft, FeedDraft, MeasureDraft, RationDraft, WeighingDraft,
};
use hirsel_core::flock::{Flock, RecordRef};
use hirsel_core::reckon::ration::FeedRules;
use hirsel_core::terms::{
    Analysis, AnimalId, Born, Day, Eaters, FeedKind, MadeFor, Mass, Moment, Nutrient, Sex, Tag, Weight,
};
use hirsel_tests::cli;
use hirsel_tests::flocks::{
    Folder, ctrl, day, desk, empty_book, enter, has_keyboard, press, retype, says, type_in, wait_for, write,
};
use hirsel_tests::shot;
use std::sync::Arc;

type Page = Harness<'static, Desk>;

const TODAY: &str = "2026-04-20";

fn today() -> Day {
    day(TODAY)
}

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// Two barns of ewes with lambs, rams in a paddock; hay in bales and flakes, ewe nuts in bags and scoops, lamb pellets
/// in the creep of the first barn.
fn book(folder: &Folder) -> Book {
    let mut book = empty_book(folder);
    let mut drafts: Vec<AnimalDraft> = Vec::new();
    let mut put = |tag: &str, sex, born: &str, pen: &str, dam: Option<AnimalId>| {
        let mut d = AnimalDraft::new(Tag::parse(tag).expect("a tag"), sex);
        d.born = Born::parse(born).expect("a day");
        d.pen = Some(pen.into());
        d.dam = dam;
        let id = d.id;
        drafts.push(d);
        id
    };
    let mut ewes = Vec::new();
    for n in 0..8 {
        let pen = if n < 5 { "Jug row 1" } else { "Jug row 2" };
        let ewe = put(&format!("{:04}", 412 + n), Sex::Ewe, "2021-03-01", pen, None);
        ewes.push(ewe);
        let lambs = if n == 4 || n == 7 { 1 } else { 2 };
        for l in 0..lambs {
            put(&format!("26{n}{l}"), [Sex::Ewe, Sex::Ram][l % 2], "2026-04-01", pen, Some(ewe));
        }
    }
    put("R7", Sex::Ram, "2022-03-01", "Ram paddock", None);
    put("R9", Sex::Ram, "2023-03-01", "Ram paddock", None);
    let check = entry::animals(drafts, &book.flock(), today());
    write(&mut book, check);
    let weighed = |(n, ewe): (usize, &AnimalId)| WeighingDraft {
        animal: *ewe,
        at: Moment::day(day("2026-03-20")),
        weight: Weight::from_grams(66_000 + 1_000 * n as i64).expect("a weight"),
        note: None,
    };
    let check = entry::weighings(ewes.iter().enumerate().map(weighed).collect(), &book.flock(), today());
    write(&mut book, check);
    let mut hay = FeedDraft::called("Meadow hay", FeedKind::Hay);
    (hay.like, hay.bag, hay.made_for) = (Some("hay mid".into()), Some(kg(18.0)), MadeFor::Plain);
    let mut nuts = FeedDraft::called("Ewe nuts", FeedKind::Compound);
    (nuts.bag, nuts.made_for) = (Some(kg(25.0)), MadeFor::Sheep);
    nuts.own = Analysis::default()
        .with(Nutrient::DryMatter, 88.0)
        .and_then(|a| a.with(Nutrient::Protein, 13.6))
        .expect("figures");
    let mut creep = FeedDraft::called("Lamb pellets", FeedKind::Compound);
    (creep.like, creep.made_for) = (Some("creep 20".into()), MadeFor::Sheep);
    let check = entry::feeds(vec![hay, nuts, creep], &book.flock());
    write(&mut book, check);
    let measure = |feed: &str, name: &str, grams: [u64; 3]| MeasureDraft {
        feed: feed.into(),
        name: name.into(),
        on: day("2026-04-02"),
        weighed: grams.iter().filter_map(|g| Mass::from_grams(*g)).collect(),
    };
    let weighed_out = vec![
        measure("Meadow hay", "flake", [1_450, 1_500, 1_550]),
        measure("Ewe nuts", "scoop", [440, 450, 460]),
    ];
    let check = entry::measures(weighed_out, &book.flock(), today());
    write(&mut book, check);
    let draft = CreepDraft {
        id: None,
        pen: "Jug row 1".into(),
        from: day("2026-04-10"),
        to: None,
        feed: Some("Lamb pellets".into()),
        holds: Some(kg(8.0)),
        note: None,
    };
    let check = entry::creeps(vec![draft], &book.flock(), today());
    write(&mut book, check);
    book
}

/// The part is shown.
fn shown(folder: &Folder, book: Book) -> Page {
    let mut h = desk(folder, book, today());
    ctrl(&mut h, Key::D);
    ctrl(&mut h, Key::PageDown);
    wait_for(&mut h, "who is there", |h| says(h, "24 heads in 3 pens"));
    h
}

/// What is given stands beside what is needed.
fn against_needs(h: &mut Page) {
    h.get_by_role_and_label(Role::RadioGroup, "Beside").focus();
    h.run();
    press(h, Key::ArrowRight);
    assert!(says(h, "Is given"));
}

fn line(eaters: Eaters, feed: &str, kg_each: f64) -> RationDraft {
    RationDraft {
        eaters,
        pen: None,
        feed: feed.into(),
        from: day("2026-04-01"),
        each: kg(kg_each),
        measure: None,
        note: None,
    }
}

/// With rations for all ewes and rams.
fn fed(folder: &Folder) -> Book {
    let mut book = book(folder);
    let lines = vec![
        line(Eaters::NursingTwo, "Meadow hay", 1.5),
        line(Eaters::NursingTwo, "Ewe nuts", 0.9),
        line(Eaters::NursingOne, "Meadow hay", 1.5),
        line(Eaters::NursingOne, "Ewe nuts", 0.45),
        line(Eaters::Rams, "Meadow hay", 1.5),
    ];
    let check = entry::rations(lines, &book.flock());
    write(&mut book, check);
    book
}

#[test]
fn rations_are_written_enter_by_enter() {
    let folder = Folder::new();
    let mut h = shown(&folder, book(&folder));
    assert!(says(&h, "No ration for ewes nursing one: Jug row 1, Jug row 2"));
    assert!(says(&h, "no ration for rams and wethers: Ram paddock"));
    assert!(says(&h, "no creep open for lambs old enough: Jug row 2"));
    assert!(has_keyboard(&h, Role::TextInput, "Group"));
    // Group, everywhere, from today; hay by the flake, then nuts by the scoop.
    enter(&mut h, &["nursing two", "", "", "meadow"]);
    type_in(&mut h, "1 flake");
    assert!(says(&h, "1.5 kg; 6 ewes nursing two: 9 kg a day"));
    enter(&mut h, &["", ""]);
    assert!(has_keyboard(&h, Role::TextInput, "Feed"), "the next feed of the same group");
    enter(&mut h, &["ewe nuts", "2 scoops", "in two feeds"]);
    let f = flock(&h);
    let rations = &f.feedroom().rations;
    assert_eq!(rations.len(), 2);
    let told: Vec<(Eaters, u64, bool, Option<&str>)> =
        rations.iter().map(|r| (r.eaters, r.each.grams(), r.measure.is_some(), r.note.as_deref())).collect();
    let two = Eaters::NursingTwo;
    assert_eq!(told, [(two, 1_500, true, None), (two, 900, true, Some("in two feeds"))]);
    assert!(says(&h, "2 scoops (900 g)") && says(&h, "1 flake (1.5 kg)"), "in the measure it was typed in");
    // What is carried to a pen: four ewes nursing two in the first.
    assert!(says(&h, "Jug row 1, 4 ewes nursing two: Meadow hay, 4 flakes, 6 kg"));
    assert!(says(&h, "Jug row 2, 2 ewes nursing two: Ewe nuts, 4 scoops, 1.8 kg"));
    // A pen's own line, and the end of it.
    retype(&mut h, "Pen", "Jug row 2");
    enter(&mut h, &["", "", "ewe nuts", "1 scoop", ""]);
    assert!(says(&h, "Jug row 2, 2 ewes nursing two: Ewe nuts, 2 scoops, 900 g"));
    assert!(says(&h, "Jug row 1, 4 ewes nursing two: Ewe nuts, 8 scoops, 3.6 kg"), "the others as before");
    enter(&mut h, &["ewe nuts", "0", ""]);
    assert_eq!(flock(&h).feedroom().rations.len(), 4);
    assert!(!says(&h, "Jug row 2, 2 ewes nursing two: Ewe nuts"), "none of it there now");
    // What is not understood is refused in its field.
    enter(&mut h, &["ewe nuts", "3 buckets"]);
    assert!(says(&h, "its measures are scoop"));
    assert!(has_keyboard(&h, Role::TextInput, "A head a day"));
    ctrl(&mut h, Key::Z);
}

#[test]
fn what_it_holds_beside_the_needs() {
    let folder = Folder::new();
    let mut h = shown(&folder, fed(&folder));
    assert!(says(&h, "Jug row 1, 1 nursing one, 4 nursing two: Meadow hay, 5 flakes, 7.5 kg"));
    shot::check(&mut h, "feed_rations");
    against_needs(&mut h);
    retype(&mut h, "Whose", "nursing two");
    press(&mut h, Key::Enter);
    assert!(says(&h, "ewes nursing two: "), "whose");
    assert!(says(&h, "6 of 6 weighed"));
    assert!(says(&h, "NRC, Nutrient Requirements of Sheep"), "the source of the need");
    // Copper of the nuts is written nowhere.
    assert!(says(&h, "Copper of the whole diet is not known"));
    assert!(says(&h, "Mind: Sheep bear less copper than any other farm stock"));
    assert!(says(&h, "Mind: Bring grain in over"));
    shot::check(&mut h, "feed_rations_needs");
    // Of rams the tables know nothing: the keeper's own target is asked for, and kept in his rules.
    retype(&mut h, "Whose", "rams");
    press(&mut h, Key::Enter);
    assert!(says(&h, "What rams and wethers need of dry matter"));
    retype(&mut h, "Own", "2.1");
    press(&mut h, Key::Enter);
    let target = FeedRules::of(flock(&h).holding()).target(Eaters::Rams).map(|t| t.figures.clone());
    assert_eq!(target, Some(vec![(Nutrient::DryMatter, 2.1)]));
    assert!(says(&h, "your target"));
    retype(&mut h, "Own", "much");
    press(&mut h, Key::Enter);
    assert!(says(&h, "'much' is no amount of"));
}

#[test]
fn the_trades_rule_is_written_with_one_key() {
    let folder = Folder::new();
    let mut h = shown(&folder, book(&folder));
    assert!(says(&h, "1.5 kg of Meadow hay to ewes nursing one; 900 g of Ewe nuts to ewes nursing one"));
    press(&mut h, Key::Escape);
    press(&mut h, Key::T);
    let f = flock(&h);
    assert_eq!(f.feedroom().rations.len(), 4);
    assert!(!says(&h, "Write the trade's rule"), "nobody is left to propose it for");
    // All that grain at once, where there was none.
    assert!(says(&h, "Take care (ewes nursing one): Grain and mixes go from 0 to 0.9 kg a head at once"));
    against_needs(&mut h);
    assert!(says(&h, "Take care: Grain and mixes go from 0 to 0.9 kg a head at once"));
    ctrl(&mut h, Key::Z);
    assert!(flock(&h).feedroom().rations.is_empty(), "one undo takes all back");
}

#[test]
fn a_line_is_amended_and_struck_out() {
    let folder = Folder::new();
    let book = fed(&folder);
    let id = book.flock().feedroom().rations.iter().find(|r| r.eaters == Eaters::Rams).map(|r| r.id);
    let id = id.expect("of the rams");
    let mut h = shown(&folder, book);
    h.state_mut().pages().expect("open").feed.show_record(RecordRef::Ration(id));
    h.run();
    assert!(says(&h, "Meadow hay to rams and wethers, from 1 Apr 2026"));
    assert!(has_keyboard(&h, Role::TextInput, "A head a day"));
    retype(&mut h, "A head a day", "2 kg");
    enter(&mut h, &["", "", "", "weighed again"]);
    let each = |h: &Page| flock(h).feedroom().rations.iter().find(|r| r.id == id).map(|r| r.each.grams());
    assert_eq!(each(&h), Some(2_000));
    h.state_mut().pages().expect("open").feed.show_record(RecordRef::Ration(id));
    h.run();
    assert!(says(&h, "weighed again"), "the trail stays readable");
    retype(&mut h, "Reason", "written twice");
    // On from the reason to its two buttons.
    press(&mut h, Key::Tab);
    press(&mut h, Key::Tab);
    press(&mut h, Key::Space);
    assert_eq!(flock(&h).feedroom().struck(RecordRef::Ration(id)), Some(true));
    assert!(says(&h, "o ration for rams and wethers: Ram paddock"));
}

#[test]
fn the_feed_sheet_from_a_key_and_from_the_command_line() {
    let folder = Folder::new();
    let mut h = shown(&folder, fed(&folder));
    press(&mut h, Key::Escape);
    press(&mut h, Key::P);
    wait_for(&mut h, "the pages", |h| says(h, "Page 1 of 1: Feed sheet"));
    let page = h.get_by_role_and_label(Role::Image, "Page 1 of 1: Feed sheet, 20 Apr 2026");
    let words = page.accesskit_node().description().unwrap_or_default();
    for said in ["Jug row 1", "Jug row 2", "Ram paddock", "4 ewes nursing two", "Ewe nuts:", "none open"] {
        assert!(words.contains(said), "{said} in {words}");
    }
    shot::check(&mut h, "feed_rations_paper");
    drop(h);
    let call = |words: &[&str]| {
        let mut c = cli::hirsel(folder.path());
        c.args(words);
        cli::run(c)
    };
    let sheet = ["print", "flock.hirsel", "feed-sheet", "-o", "sheet.pdf", "--on", TODAY];
    let made = call(&sheet);
    assert!(made.status.success(), "{}", cli::said(&made));
    let doc = lopdf::Document::load(folder.path().join("sheet.pdf")).expect("a PDF");
    let pages: Vec<u32> = doc.get_pages().into_keys().collect();
    let text = doc.extract_text(&pages).expect("text");
    for said in
        ["Jug row 1", "Jug row 2", "Ram paddock", "Meadow hay", "rams and wethers", "Creep: filled in"]
    {
        let bare = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert!(bare(&text).contains(&bare(said)), "{said} in {text}");
    }
    let both = ["--pen", "Jug row 2", "--feeds", "1"];
    let made = call(&[&sheet[..], &both[..]].concat());
    assert!(made.status.success(), "{}", cli::said(&made));
    let other = call(&["print", "flock.hirsel", "due-list", "-o", "d.pdf", "--feeds", "1"]);
    assert_eq!(other.status.code(), Some(2));
    assert!(cli::said(&other).contains("leave --feeds out"), "{}", cli::said(&other));
    let early = call(&["print", "flock.hirsel", "feed-sheet", "-o", "e.pdf", "--on", "2020-01-01"]);
    assert_eq!(early.status.code(), Some(1));
    assert!(cli::said(&early).contains("nothing to put on the feed sheet"), "{}", cli::said(&early));
}
