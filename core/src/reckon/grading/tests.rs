use super::*;
use crate::flock::{Animal, AnimalFile, Flock, Sire};
use crate::terms::{AnimalId, Breed, Sex, Tag};

struct Made {
    flock: Flock,
}

impl Made {
    fn add(
        &mut self,
        tag: &str,
        sex: Sex,
        breed: &str,
        sire: Option<AnimalId>,
        dam: Option<AnimalId>,
    ) -> AnimalId {
        let mut d = crate::entry::AnimalDraft::new(Tag::parse(tag).unwrap(), sex);
        d.breed = Breed::parse(breed).unwrap();
        d.sire = sire.map_or(Sire::Unknown, Sire::Known);
        d.dam = dam;
        let id = d.id;
        let today = crate::terms::Day::new(2026, 1, 1).unwrap();
        let checked = crate::entry::animals(vec![d], &self.flock, today).unwrap();
        let crate::entry::Entry::Animals { animals, .. } = checked.entry() else { panic!("animals") };
        self.flock.put(AnimalFile::of(animals[0].clone()));
        id
    }

    fn change(&mut self, id: AnimalId, f: impl Fn(&mut Animal)) {
        let mut file = self.flock.file(id).unwrap().clone();
        f(&mut file.animal);
        self.flock.put(file);
    }
}

fn made() -> Made {
    Made { flock: Flock::default() }
}

fn share(text: &str) -> Share {
    Share::parse(text).unwrap()
}

#[test]
fn shares_are_exact_fractions() {
    let mut m = made();
    let ram = m.add("R1", Sex::Ram, "Fellside", None, None);
    let ewe = m.add("1", Sex::Ewe, "Hillgrey 1/3 + Fellside 2/3", None, None);
    let lamb = m.add("2", Sex::Ewe, "", Some(ram), Some(ewe));
    let half = m.add("3", Sex::Ewe, "", Some(ram), None);
    let none = m.add("4", Sex::Ewe, "", None, None);
    let wrote = m.add("5", Sex::Ewe, "Fellside", Some(ram), Some(ewe));
    let s = Shares::of(&m.flock);
    assert_eq!(s.parts(lamb), [("Fellside", share("5/6")), ("Hillgrey", share("1/6"))]);
    assert_eq!(s.words(half), "Fellside 1/2, unknown 1/2");
    assert_eq!((s.words(none), s.words(wrote)), ("unknown".into(), "Fellside".into()));
    assert_eq!(s.share(lamb, "fellside"), share("5/6"));
}

/// Every cross with the pure breed halves what is foreign, and the shares sum to one however deep it goes.
#[test]
fn crosses_again_and_again() {
    let mut m = made();
    let ram = m.add("R1", Sex::Ram, "Fellside", None, None);
    let mut at = m.add("0", Sex::Ewe, "Hillgrey", None, None);
    for n in 1..=90u32 {
        at = m.add(&n.to_string(), Sex::Ewe, "", Some(ram), Some(at));
        if n <= 5 || n == 90 {
            let s = Shares::of(&m.flock);
            let foreign = s.share(at, "Hillgrey");
            if n <= 5 {
                assert_eq!(Some(foreign), Share::new(1, 1 << n));
            }
            let sum = foreign.value() + s.share(at, "Fellside").value();
            assert!((sum - 1.0).abs() < 1e-12, "{n}: {sum}");
        }
    }
}

/// Up the shipped ladder: a foundation ewe and pure rams, a step a generation.
#[test]
fn a_step_a_generation() {
    let mut m = made();
    let ram = m.add("R1", Sex::Ram, "Fellside", None, None);
    let ram2 = m.add("R2", Sex::Ram, "Fellside", None, None);
    let ewe = m.add("1", Sex::Ewe, "Hillgrey", None, None);
    m.change(ewe, |a| a.section = Some("foundation".into()));
    let mut at = ewe;
    for section in ["Section C", "Section B", "Section A", "Full book"] {
        at = m.add(section, Sex::Ewe, "", Some(ram), Some(at));
        let g = Grading::of(&m.flock).unwrap();
        let grade = g.get(at).unwrap();
        assert_eq!(grade.qualifies.map(|q| g.name(q)), Some(section));
    }
    let son = m.add("S", Sex::Ram, "", Some(ram), Some(ewe));
    let other = m.add("O", Sex::Ewe, "", Some(son), Some(at));
    let pure = m.add("P", Sex::Ewe, "", Some(ram2), None);
    let g = Grading::of(&m.flock).unwrap();
    assert_eq!(g.stands(ram).map(|s| g.name(s)), Some("Full book"), "pure and of unknown parents");
    let son = g.get(son).unwrap();
    assert_eq!((son.qualifies, son.next.map(|n| g.name(n))), (None, Some("Full book")));
    assert_eq!(
        son.missing,
        ["15/16 Fellside is asked, it has 1/2", "Section A is asked of its dam, 1 stands in Foundation"]
    );
    assert_eq!(g.get(other).unwrap().missing, ["Full book is asked of its sire, S stands in none"]);
    assert_eq!(g.get(pure).unwrap().missing, ["its dam is not known: Foundation is asked of the dam"]);
}

#[test]
fn what_is_written_and_disagrees() {
    let mut m = made();
    let ram = m.add("R1", Sex::Ram, "Fellside", None, None);
    let ewe = m.add("1", Sex::Ewe, "Hillgrey", None, None);
    let lamb = m.add("2", Sex::Ewe, "", Some(ram), Some(ewe));
    let said =
        |m: &Made, id| Grading::of(&m.flock).unwrap().get(id).unwrap().disagrees.clone().unwrap_or_default();
    let write = |m: &mut Made, id, text: &str| m.change(id, |a| a.section = Some(text.into()));
    assert_eq!(said(&m, lamb), "");
    write(&mut m, lamb, "Annex");
    assert!(said(&m, lamb).contains("no section of the rules"));
    write(&mut m, lamb, "Section B");
    assert!(said(&m, lamb).contains("does not qualify: 3/4 Fellside is asked, it has 1/2"));
    write(&mut m, ewe, "Foundation");
    assert!(said(&m, lamb).contains("it qualifies for Section C only"));
    write(&mut m, lamb, "Section C");
    assert_eq!(said(&m, lamb), "");
    write(&mut m, lamb, "Foundation");
    assert!(said(&m, lamb).contains("a higher section"));
    write(&mut m, ram, "Section C");
    assert!(said(&m, ram).contains("takes no ram"));
}

#[test]
fn the_keepers_own_rules_and_their_faults() {
    let own = "[ladder]\nbreed = \"Hillgrey\"\n\n[[section]]\nname = \"Half\"\nleast = \"1/2\"\n";
    let ladder = Ladder::parse(own).unwrap();
    assert_eq!((ladder.breed.as_deref(), ladder.sections.len()), (Some("Hillgrey"), 1));
    assert_eq!(Ladder::parse("  ").unwrap(), *Ladder::shipped());
    assert_eq!(Ladder::parse(Ladder::shipped_words()).unwrap(), *Ladder::shipped());
    for (from, to, line, why) in [
        ("\"1/2\"", "\"half\"", 6, "is no share"),
        ("\"1/2\"", "\"3/2\"", 6, "is no share"),
        ("least =", "lest =", 6, "unknown field"),
        ("name = \"Half\"", "name = \"\"", 5, "needs a name"),
        ("least = \"1/2\"", "sex = \"cow\"", 6, "neither ewe nor ram"),
        ("least = \"1/2\"", "dam = \"Full\"", 6, "no section is called 'Full'"),
        ("[[section]]", "[[section", 4, ""),
        ("least = \"1/2\"", "least = \"1/2\"\n[[section]]\nname = \"half\"", 8, "two sections"),
    ] {
        assert!(own.contains(from), "{from}");
        let said = Ladder::parse(&own.replacen(from, to, 1)).unwrap_err().0;
        assert!(said.starts_with(&format!("line {line}: ")) && said.contains(why), "{why}: {said}");
    }
}
