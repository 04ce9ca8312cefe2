//! Doses of courses on Tonight: by pen, gone on with by the keyboard, or the course ended with a reason.

use egui::{Key, Role};
use hirsel_app::desk::Desk;
use hirsel_core::entry::{self, CourseDraft, DoseDraft, TreatmentDraft, TreatmentExtra};
use hirsel_core::flock::{Flock, RecordRef};
use hirsel_core::reckon::courses::open_doses;
use hirsel_core::terms::{AnimalId, Dose, Minute, Moment, Route, Withdrawal};
use hirsel_tests::flocks::{self, ctrl, day, desk_sized, has_keyboard, press, says, type_in};
use hirsel_tests::shot;
use std::sync::Arc;

const TODAY: &str = "2026-04-10";

type Page = egui_kittest::Harness<'static, Desk>;

fn flock(h: &Page) -> Arc<Flock> {
    h.state().flock().cloned().expect("a book is open")
}

/// The shed with a course of three doses, a day apart, begun yesterday evening for 0412 and 0417; today's is not written.
fn begun(folder: &flocks::Folder, size: [f32; 2]) -> (Page, [AnimalId; 4]) {
    let (mut book, ids) = flocks::shed_book(folder);
    let draft = TreatmentDraft {
        animals: ids[..2].to_vec(),
        at: Moment { day: day("2026-04-09"), time: Minute::new(18, 30) },
        product: "Fellcillin".into(),
        batch: Some("FC2".into()),
        dose: DoseDraft::Typed(Dose::from_ml(6.0)),
        route: Some(Route::Intramuscular),
        site: Some("left neck".into()),
        reason: Some("foot abscess".into()),
        given_by: Some("Tam".into()),
        prescribed_by: Some("Orla Brennan".into()),
        meat: Some(Withdrawal::Days(35)),
        milk: Some(Withdrawal::Hours(84)),
        more: TreatmentExtra {
            course: Some(CourseDraft { doses: 3, every_hours: 24 }),
            ..TreatmentExtra::default()
        },
    };
    // As it stood yesterday evening.
    let check = entry::treatments(vec![draft], &book.flock(), day("2026-04-09"));
    flocks::write(&mut book, check);
    (desk_sized(folder, book, day(TODAY), size), ids)
}

#[test]
fn the_next_dose_is_written_for_all_but_one() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = begun(&folder, [1240.0, 800.0]);
    assert!(says(&h, "Top shed, Fellcillin, dose 2 of 3, 0412, 0417, today, 18:30"));
    assert!(says(&h, "2 doses to go on with"));
    // A dose that is due has the keyboard first.
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    assert!(says(&h, "Fellcillin, dose 2 of 3: 2 animals in Top shed"));
    assert!(says(&h, "0412, 0417: 6 ml into the muscle, last given 9 Apr 2026, 18:30"));
    assert!(has_keyboard(&h, Role::RadioGroup, "They are"));
    press(&mut h, Key::Enter);
    type_in(&mut h, "0417");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    let given = &f.file(ids[0]).expect("ewe").treatments;
    assert_eq!(given.len(), 2);
    let t = &given[1];
    assert_eq!(t.at, Moment { day: day(TODAY), time: Minute::new(18, 30) }, "at its own time");
    assert_eq!((t.dose, t.batch.as_deref(), t.meat), (Dose::from_ml(6.0), Some("FC2"), Withdrawal::Days(35)));
    assert_eq!(t.more.course.map(|c| (c.nth, c.of)), Some((2, 3)));
    assert_eq!(t.site, None, "not the same place again without being said");
    assert_eq!(f.file(ids[1]).expect("ewe").treatments.len(), 1, "left for later");
    let open: Vec<(AnimalId, u8)> = open_doses(&f).iter().map(|d| (d.animal, d.part.nth)).collect();
    assert_eq!(open, [(ids[1], 2), (ids[0], 3)]);
    ctrl(&mut h, Key::Z);
    assert_eq!(flock(&h).file(ids[0]).expect("ewe").treatments.len(), 1, "undone");
}

#[test]
fn a_course_ends_with_a_reason_and_nothing_is_struck_out() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = begun(&folder, [1240.0, 800.0]);
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    press(&mut h, Key::ArrowRight);
    ctrl(&mut h, Key::Enter);
    assert!(says(&h, "a reason is needed"));
    assert!(has_keyboard(&h, Role::TextInput, "Why"));
    type_in(&mut h, "well again");
    ctrl(&mut h, Key::Enter);
    let f = flock(&h);
    assert!(open_doses(&f).is_empty());
    for id in &ids[..2] {
        let t = &f.file(*id).expect("ewe").treatments[0];
        assert!(t.struck.is_none());
        assert_eq!(t.more.course.map(|c| (c.nth, c.of)), Some((1, 1)));
        assert_eq!(f.amendments(RecordRef::Treatment(t.id))[0].reason, "well again");
    }
    assert!(!says(&h, "Doses to go on with"));
}

#[test]
fn a_course_on_tonight_looks_right() {
    let folder = flocks::Folder::new();
    let (mut h, _) = begun(&folder, [1240.0, 800.0]);
    shot::check(&mut h, "courses_tonight");
    press(&mut h, Key::Home);
    press(&mut h, Key::Enter);
    shot::check(&mut h, "courses_form");
}

#[test]
fn the_log_and_the_leaf_tell_of_the_course() {
    let folder = flocks::Folder::new();
    let (mut h, ids) = begun(&folder, [1240.0, 800.0]);
    ctrl(&mut h, Key::Num6);
    ctrl(&mut h, Key::PageDown);
    ctrl(&mut h, Key::PageDown);
    for key in [Key::Enter, Key::Home] {
        press(&mut h, key);
    }
    assert!(says(&h, "Fellcillin, batch FC2, dose 1 of 3, 6 ml, into the muscle, left neck"));
    press(&mut h, Key::Enter);
    let leaf = h.state_mut().pages().and_then(|p| p.leaf.open);
    assert_eq!(leaf, Some(ids[0]));
    assert!(says(&h, "treatment, Fellcillin, 6 ml, dose 1 of 3 for foot abscess"));
}
