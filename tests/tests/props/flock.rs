//! The read model and the reckoning beside simple pictures of the same: clear dates, pedigree circles, finding.

use hirsel_core::entry::{AnimalDraft, Refusal, Refused, animals, edit_animal};
use hirsel_core::flock::{AnimalFile, Flock, Sire, Treatment, natural};
use hirsel_core::reckon::clearance::{Clear, Clearance, clearance, clearance_in};
use hirsel_core::terms::{AnimalId, Day, Minute, Moment, Sex, Tag, TreatmentId, Withdrawal, norm};
use hirsel_tests::book::{new_book, room, today};
use hirsel_tests::maker::{Kind, Maker};
use proptest::prelude::*;
use std::collections::{BTreeMap, HashMap};
use std::sync::{Arc, OnceLock};

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

// --- clear dates ---------------------------------------------------------------------------------

fn period() -> impl Strategy<Value = Withdrawal> {
    prop_oneof![
        1 => Just(Withdrawal::Unknown),
        1 => Just(Withdrawal::Never),
        8 => (0u16..60).prop_map(Withdrawal::Days),
        4 => (0u16..400).prop_map(Withdrawal::Hours),
    ]
}

fn treatment() -> impl Strategy<Value = Treatment> {
    let time = prop::option::of((0u32..24, 0u32..60));
    (0i64..80, time, period(), period()).prop_map(|(back, time, meat, milk)| Treatment {
        id: TreatmentId::new(),
        animal: AnimalId::from_bytes([1; 16]),
        at: Moment { day: today().plus(-back), time: time.and_then(|(h, m)| Minute::new(h, m)) },
        product: "Fellmectin".into(),
        batch: None,
        dose: None,
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat,
        milk,
        struck: None,
        more: Default::default(),
    })
}

/// Days from the first treatment on, over which two clear dates are compared.
fn days() -> impl Iterator<Item = Day> {
    (-90..120).map(|n| today().plus(n))
}

proptest! {
    #![proptest_config(config(400))]

    #[test]
    fn one_more_treatment_never_makes_a_day_clear(all in prop::collection::vec(treatment(), 0..6), more in treatment()) {
        let file = |treatments: Vec<Treatment>| AnimalFile { treatments: treatments.into(), ..empty() };
        let without = clearance(&file(all.clone()), today());
        let with = clearance(&file([all.clone(), vec![more.clone()]].concat()), today());
        for (side, other, period) in [(&without.meat, &with.meat, more.meat), (&without.milk, &with.milk, more.milk)] {
            for d in days() {
                prop_assert!(side.clear.is_clear(d) || !other.clear.is_clear(d), "{d} became clear");
            }
            // An unknown period, like one that never ends, is clear on no day.
            if matches!(period, Withdrawal::Unknown | Withdrawal::Never) {
                prop_assert!(!matches!(other.clear, Clear::Free | Clear::From(_)));
            }
            let last = all.iter().chain([&more]).find(|t| Some(t.id) == other.because);
            prop_assert_eq!(last.map(|t| t.at.day), other.given, "the day is that of the treatment named");
        }
        // Struck out again it is as before.
        let struck = Treatment { struck: Some(Box::new(hirsel_core::flock::Struck { on: today(), reason: "twice".into() })), ..more };
        prop_assert_eq!(clearance(&file([all, vec![struck]].concat()), today()), without);
    }
}

/// Every side as it is ordered: nothing, a day, unknown, never.
fn order(c: &Clear) -> (u8, Option<Day>) {
    match c {
        Clear::Free => (0, None),
        Clear::From(d) => (1, Some(*d)),
        Clear::Unknown => (2, None),
        Clear::Never => (3, None),
    }
}

fn sides(c: &Clearance) -> [(u8, Option<Day>); 3] {
    [&c.meat, &c.milk, &c.export].map(|s| order(&s.clear))
}

/// A flock without animals under a rule set, kept organically or not.
fn under(rules: &str, organic: bool) -> Arc<Flock> {
    static FLOCKS: OnceLock<HashMap<(String, bool), Arc<Flock>>> = OnceLock::new();
    let all = FLOCKS.get_or_init(|| {
        let mut all = HashMap::new();
        for set in hirsel_core::rules::rule_sets() {
            for organic in [false, true] {
                let room = room();
                let holding = hirsel_core::flock::Holding {
                    flock: "Test flock".into(),
                    rules: set.id().into(),
                    organic,
                    ..Default::default()
                };
                let path = room.path().join("a.hirsel");
                let book = hirsel_core::book::Book::create(&path, holding).expect("made");
                all.insert((set.id().to_string(), organic), book.flock());
            }
        }
        all
    });
    all[&(rules.to_string(), organic)].clone()
}

/// Doses of courses and single ones, with an export period now and then.
fn dose() -> impl Strategy<Value = Treatment> {
    let part = (0u8..3, 1u8..5, 1u16..100);
    (treatment(), period(), prop::option::of(part)).prop_map(|(mut t, export, part)| {
        t.more.export = if t.at.day.day() % 2 == 0 { export } else { Withdrawal::Unknown };
        t.more.course = part.map(|(course, nth, hours)| hirsel_core::flock::CoursePart {
            id: hirsel_core::terms::CourseId::from_bytes([course; 16]),
            nth,
            // Of one course each dose says the same; cutting it short is an amendment.
            of: 4,
            every_hours: hours,
        });
        t
    })
}

proptest! {
    #![proptest_config(config(300))]

    #[test]
    fn nothing_written_or_chosen_brings_a_day_forward(all in prop::collection::vec(dose(), 0..7), more in dose()) {
        let file = |treatments: Vec<Treatment>| AnimalFile { treatments: treatments.into(), ..empty() };
        let (before, after) = (file(all.clone()), file([all, vec![more]].concat()));
        let home = under("gb", false);
        let base = clearance_in(&home, &before, today());
        for set in hirsel_core::rules::rule_sets() {
            for organic in [false, true] {
                let flock = under(set.id(), organic);
                let (without, with) = (clearance_in(&flock, &before, today()), clearance_in(&flock, &after, today()));
                for (a, b) in sides(&without).into_iter().zip(sides(&with)) {
                    prop_assert!(a <= b, "{}: {without:?} {with:?}", set.id());
                }
                // Another rule set changes nothing at home; where export is counted apart it is no earlier.
                prop_assert_eq!(sides(&without)[..2].to_vec(), sides(&base)[..2].to_vec());
                let export = (sides(&without)[2], sides(&base)[2]);
                let fits = if set.tracks_export() { export.0 >= export.1 } else { export.0 == export.1 };
                prop_assert!(fits, "{}: {export:?}", set.id());
                let [meat, _, export] = sides(&without);
                prop_assert!(export >= meat || without.export.clear == Clear::Free, "export before meat");
                prop_assert!(!set.tracks_export() || export >= meat);
            }
        }
    }
}

/// The file of an animal with nothing in it.
fn empty() -> AnimalFile {
    static FILE: OnceLock<AnimalFile> = OnceLock::new();
    FILE.get_or_init(|| {
        let room = room();
        let mut book = new_book(room.path());
        let draft = AnimalDraft::new(Tag::parse("0412").expect("a tag"), Sex::Ewe);
        let id = draft.id;
        let sure = animals(vec![draft], &book.flock(), today()).expect("fits").sure().expect("no question");
        book.write(sure).expect("written").flock.file(id).expect("there").clone()
    })
    .clone()
}

// --- circles in a pedigree -----------------------------------------------------------------------

/// Parents by child, both as numbers; even numbers are ewes, odd ones rams.
type Links = Vec<(usize, Vec<usize>)>;

/// Peels off animals whose parents are all peeled off already; a circle is what is left.
fn has_circle(n: usize, links: &Links) -> bool {
    let mut left: BTreeMap<usize, Vec<usize>> = (0..n).map(|i| (i, Vec::new())).collect();
    for (child, parents) in links {
        left.entry(*child).or_default().extend(parents);
    }
    loop {
        let free: Vec<usize> =
            left.iter().filter(|(_, up)| up.iter().all(|p| !left.contains_key(p))).map(|(c, _)| *c).collect();
        if free.is_empty() {
            return !left.is_empty();
        }
        for c in free {
            left.remove(&c);
        }
    }
}

fn drafts(n: usize, links: &[(usize, usize, usize, usize)]) -> (Vec<AnimalDraft>, Links) {
    let mut all: Vec<AnimalDraft> = (0..n)
        .map(|i| {
            let sex = if i % 2 == 0 { Sex::Ewe } else { Sex::Ram };
            AnimalDraft::new(Tag::parse(&format!("T{i}")).expect("a tag"), sex)
        })
        .collect();
    let ids: Vec<AnimalId> = all.iter().map(|d| d.id).collect();
    let mut parents: Links = Vec::new();
    for (child, ewe, ram, how) in links {
        let (child, ewe, ram) = (child % n, (ewe % n) & !1, ((ram % n) | 1) % n);
        let ram = (ram % 2 == 1).then_some(ram);
        let d = &mut all[child];
        (d.dam, d.genetic_dam, d.sire) = (None, None, Sire::Unknown);
        let mut of = Vec::new();
        if how % 2 == 0 {
            d.dam = Some(ids[ewe]);
            of.push(ewe);
        } else if how % 5 == 0 {
            d.genetic_dam = Some(ids[ewe]);
            of.push(ewe);
        }
        if let Some(ram) = ram.filter(|_| how % 3 == 0) {
            d.sire = if how % 4 == 0 { Sire::OneOf(vec![ids[ram]]) } else { Sire::Known(ids[ram]) };
            of.push(ram);
        }
        parents.retain(|(c, _)| *c != child);
        parents.push((child, of));
    }
    (all, parents)
}

/// The circle that a refusal names, as numbers.
fn named(refusals: &[Refusal]) -> Vec<Vec<usize>> {
    refusals
        .iter()
        .filter_map(|r| match &r.why {
            Refused::Loop(names) => {
                Some(names.iter().map(|n| n[1..].parse().expect("our own tag")).collect())
            }
            _ => None,
        })
        .collect()
}

fn is_true_circle(circle: &[usize], links: &Links) -> bool {
    circle.len() > 1
        && circle.first() == circle.last()
        && circle.windows(2).all(|w| links.iter().any(|(c, up)| *c == w[0] && up.contains(&w[1])))
}

proptest! {
    #![proptest_config(config(400))]

    #[test]
    fn a_circle_is_refused_and_named(n in 1usize..12, links in prop::collection::vec((0usize..12, 0usize..12, 0usize..12, 0usize..60), 0..14)) {
        let (all, links) = drafts(n, &links);
        let circle = has_circle(n, &links);
        match animals(all, &Flock::default(), today()) {
            Ok(_) => prop_assert!(!circle, "a circle was let through: {:?}", links),
            Err(refusals) => {
                let named = named(&refusals);
                prop_assert_eq!(named.len(), refusals.len(), "nothing but circles is wrong: {:?}", refusals);
                prop_assert!(circle, "no circle in {:?}", links);
                for c in named {
                    prop_assert!(is_true_circle(&c, &links), "{:?} in {:?}", c, links);
                }
            }
        }
    }

    #[test]
    fn an_edit_that_closes_a_circle_is_refused(child in 0usize..40, parent in 0usize..40, as_genetic in any::<bool>()) {
        let (flock, ids, links) = pedigree();
        let mut a = flock.animal(ids[child]).expect("there").clone();
        let mut links = links.clone();
        let mut up = links.iter().find(|(c, _)| *c == child).map(|(_, up)| up.clone()).unwrap_or_default();
        up.retain(|p| p % 2 != parent % 2);
        up.push(parent);
        if parent % 2 == 1 {
            a.sire = Sire::Known(ids[parent]);
        } else if as_genetic {
            up.extend(links.iter().find(|(c, _)| *c == child).into_iter().flat_map(|(_, up)| up).filter(|p| *p % 2 == 0));
            a.genetic_dam = Some(ids[parent]);
        } else {
            a.dam = Some(ids[parent]);
        }
        links.retain(|(c, _)| *c != child);
        links.push((child, up));
        let circle = has_circle(ids.len(), &links);
        let found = edit_animal(a, None, flock, today()).map_or_else(|r| r, |_| Vec::new());
        let named = named(&found);
        prop_assert_eq!(!named.is_empty(), circle, "{:?}", found);
        for c in named {
            prop_assert!(is_true_circle(&c, &links), "{:?}", c);
        }
    }
}

/// A flock of forty with parents among the earlier ones.
fn pedigree() -> &'static (Arc<Flock>, Vec<AnimalId>, Links) {
    static FLOCK: OnceLock<(Arc<Flock>, Vec<AnimalId>, Links)> = OnceLock::new();
    FLOCK.get_or_init(|| {
        let mut rng = fastrand::Rng::with_seed(3);
        let wanted: Vec<_> = (2..40)
            .map(|i| (i, rng.usize(..i), rng.usize(..i) | 1, if rng.bool() { 0 } else { 6 }))
            .collect();
        // A ram's number is at most that of its lamb: left out where it would be the lamb itself.
        let wanted: Vec<_> = wanted.into_iter().filter(|(c, _, r, _)| r < c).collect();
        let (all, links) = drafts(40, &wanted);
        let ids = all.iter().map(|d| d.id).collect();
        let room = room();
        let mut book = new_book(room.path());
        let sure = animals(all, &book.flock(), today()).expect("no circle").sure().expect("no question");
        (book.write(sure).expect("written").flock, ids, links)
    })
}

// --- finding -------------------------------------------------------------------------------------

/// A flock with tags of every kind, lost ones among them, names, and animals that have left.
fn searched() -> &'static Arc<Flock> {
    static FLOCK: OnceLock<Arc<Flock>> = OnceLock::new();
    FLOCK.get_or_init(|| {
        let room = room();
        let mut book = new_book(room.path());
        let mut maker = Maker::new(5, today());
        for i in 0..160 {
            let kind = match i % 8 {
                6 => Kind::Retag,
                7 => Kind::Movements,
                _ => Kind::Animals,
            };
            if let Some(sure) = maker.make(kind, &book.flock()) {
                book.write(sure).expect("written");
            }
        }
        book.flock()
    })
}

/// How an animal fits, straight from the words of the rule.
fn rank(f: &AnimalFile, wanted: &str) -> Option<u8> {
    let worn = f.animal.identities.iter().filter(|i| i.ended.is_none()).map(|i| i.tag.norm());
    let lost = f.animal.identities.iter().filter(|i| i.ended.is_some()).map(|i| i.tag.norm());
    let name = f.animal.name.as_deref().map(norm).unwrap_or_default();
    let worn: Vec<String> = worn.collect();
    let tests: [&dyn Fn() -> bool; 6] = [
        &|| worn.iter().any(|t| t == wanted),
        &|| worn.iter().any(|t| t.starts_with(wanted)),
        &|| worn.iter().any(|t| t.ends_with(wanted)),
        &|| worn.iter().any(|t| t.contains(wanted)),
        &|| name.contains(wanted),
        &|| lost.clone().any(|t| t.contains(wanted)),
    ];
    tests.iter().position(|t| t()).and_then(|i| u8::try_from(i).ok())
}

/// Every animal looked at, then sorted: exact ones first, those here before those gone, then by rank and tag.
fn naive(flock: &Flock, text: &str) -> HashMap<AnimalId, (bool, bool, u8)> {
    let wanted = norm(text);
    let mut all = HashMap::new();
    for f in flock.files() {
        if let Some(rank) = rank(f, &wanted).filter(|_| !wanted.is_empty()) {
            all.insert(f.animal.id, (rank > 0, !f.animal.status.is_here(), rank));
        }
    }
    all
}

proptest! {
    #![proptest_config(config(600))]

    #[test]
    fn find_gives_what_looking_at_every_animal_gives(
        text in prop_oneof!["[0-9]{1,4}", "[bBrRéÉ] ?[0-9]{0,3}", "uk-?[0-9]{0,3}", "82[0-9]{0,4}", "[a-zå’ .-]{1,6}", any::<String>()],
        limit in 0usize..30,
    ) {
        let flock = searched();
        let wanted = naive(flock, &text);
        let all = flock.find(&text, usize::MAX, |_| true);
        prop_assert_eq!(all.len(), wanted.len());
        for f in &all {
            prop_assert_eq!(wanted.get(&f.id).map(|(_, _, r)| *r), Some(f.rank));
        }
        let key = |id: AnimalId| wanted[&id];
        for pair in all.windows(2) {
            let (a, b) = (pair[0].id, pair[1].id);
            let by = key(a).cmp(&key(b)).then_with(|| natural(flock.tag(a), flock.tag(b)));
            prop_assert!(by.is_le(), "{} before {}", flock.tag(a), flock.tag(b));
        }
        let few = flock.find(&text, limit, |_| true);
        prop_assert_eq!(few.len(), limit.min(all.len()));
        for (a, b) in few.iter().zip(&all) {
            let same = key(a.id) == key(b.id) && natural(flock.tag(a.id), flock.tag(b.id)).is_eq();
            prop_assert!(same, "the first {} are the best", limit);
        }
        let ewes = flock.find(&text, usize::MAX, |f| f.animal.sex == Sex::Ewe);
        prop_assert_eq!(ewes.len(), all.iter().filter(|f| flock.animal(f.id).is_some_and(|a| a.sex == Sex::Ewe)).count());
    }
}

#[test]
fn find_is_asked_things_that_are_there() {
    let flock = searched();
    let ranks: std::collections::BTreeSet<u8> = ["1", "12", "B1", "uk", "826", "siân", "É2"]
        .iter()
        .flat_map(|t| flock.find(t, usize::MAX, |_| true))
        .map(|f| f.rank)
        .collect();
    assert!(ranks.is_superset(&[1, 2, 3, 4, 5].into()), "{ranks:?}");
    assert!(flock.find(" - ", 9, |_| true).is_empty());
}
