use super::*;
use crate::entry::{AnimalDraft, Unusual, animals};
use crate::flock::AnimalFile;
use crate::terms::{AnimalId, LambingId, Sex, Tag};

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

/// One ewe, 0412, with these papers.
fn flock(documents: impl Fn(AnimalId) -> Vec<Document>) -> (Flock, AnimalId) {
    let draft = AnimalDraft::new(Tag::parse("0412").unwrap(), Sex::Ewe);
    let id = draft.id;
    let checked = animals(vec![draft], &Flock::default(), day("2026-04-10")).unwrap();
    let Entry::Animals { animals, .. } = checked.entry().clone() else { panic!("animals") };
    let mut flock = Flock::default();
    animals.into_iter().for_each(|a| flock.put(AnimalFile::of(a)));
    flock.set_documents(documents(id));
    (flock, id)
}

fn draft(of: impl Into<DocumentOf>, bytes: &[u8]) -> DocumentDraft {
    DocumentDraft { of: of.into(), name: "ewe.jpg".into(), bytes: bytes.to_vec().into(), on: None }
}

const JPEG: &[u8] = b"\xff\xd8\xff\xe0";

#[test]
fn a_paper_belongs_to_what_is_in_the_book() {
    let (flock, id) = flock(|_| Vec::new());
    let today = day("2026-04-10");
    let checked = documents(vec![draft(RecordRef::Animal(id), JPEG)], &flock, today).unwrap();
    assert_eq!(checked.sentence(), "Picture ewe.jpg kept with 0412");
    let checked = documents(vec![draft(DocumentOf::Holding, b"%PDF-1.7")], &flock, today).unwrap();
    assert_eq!(checked.sentence(), "Paper ewe.jpg kept with the flock and its keeper");
    let stray = [RecordRef::Animal(AnimalId::new()), RecordRef::Lambing(LambingId::new())];
    for of in stray.into_iter().chain([RecordRef::Document(DocumentId::new())]) {
        let why = documents(vec![draft(of, JPEG)], &flock, today).unwrap_err();
        assert_eq!(why[0].why, Refused::Gone);
    }
    let mut ahead = draft(RecordRef::Animal(id), JPEG);
    ahead.on = Some(day("2026-04-11"));
    assert!(matches!(documents(vec![ahead], &flock, today).unwrap_err()[0].why, Refused::DayAhead { .. }));
    let twice = vec![draft(RecordRef::Animal(id), JPEG), draft(RecordRef::Animal(id), JPEG)];
    let checked = documents(twice, &flock, today).unwrap();
    let kept = CupboardUnusual::KeptAlready { name: "ewe.jpg".into() };
    assert_eq!(checked.questions()[0].what, Unusual::from(kept));
}

fn kept(of: impl Into<DocumentOf>, kind: &str) -> Document {
    Document {
        id: DocumentId::new(),
        of: of.into(),
        name: "a".into(),
        kind: kind.into(),
        size: 4,
        on: day("2026-04-03"),
        sha: crate::flock::Sha::of(JPEG),
        portrait: false,
        struck: None,
    }
}

#[test]
fn only_a_picture_of_the_animal_stands_for_it() {
    let (flock, _) =
        flock(|id| vec![kept(RecordRef::Animal(id), "jpeg"), kept(RecordRef::Animal(id), "pdf")]);
    let all = flock.documents().all();
    let pdf = all.iter().find(|d| d.kind == "pdf").unwrap();
    let picture = all.iter().find(|d| d.kind == "jpeg").unwrap();
    assert_eq!(portrait(pdf.id, &flock).unwrap_err()[0].why, CupboardRefused::NoPortrait("a".into()).into());
    assert_eq!(portrait(DocumentId::new(), &flock).unwrap_err()[0].why, Refused::Gone);
    assert_eq!(portrait(picture.id, &flock).unwrap().sentence(), "Picture a stands for 0412");
}

#[test]
fn a_name_is_mended_and_nothing_else() {
    let (flock, id) = flock(|id| vec![kept(RecordRef::Animal(id), "jpeg")]);
    let old = flock.documents().all()[0].clone();
    let amend =
        |d: Document| crate::entry::amend(Amended::Document(d), "misspelt", &flock, day("2026-04-10"));
    let checked = amend(Document { name: "the ewe".into(), ..old.clone() }).unwrap();
    assert_eq!(checked.sentence(), "Amended picture of 0412");
    assert_eq!(
        amend(Document { name: " ".into(), ..old.clone() }).unwrap_err()[0].why,
        Refused::Missing("a name")
    );
    let other = Document { sha: crate::flock::Sha::of(b"other"), ..old.clone() };
    assert_eq!(amend(other).unwrap_err()[0].why, Refused::Gone);
    let moved = Document { of: RecordRef::Lambing(LambingId::new()).into(), ..old.clone() };
    assert_eq!(amend(moved).unwrap_err()[0].why, Refused::Gone);
    assert_eq!(amend(old).unwrap_err()[0].why, Refused::NothingChanged);
    assert!(flock.documents().portrait(id).is_some());
}
