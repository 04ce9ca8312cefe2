//! Random flocks: every gap leads to its record, and goes when it is filled.

use super::tests::{bought, counted, day, ewe, flock, full, product, today};
use super::{Answer, Gap, visit};
use crate::flock::{
    Batch, Cupboard, Flock, Link, MoveDetails, Movement, RecordRef, StockChange, StockMove, Treatment,
};
use crate::terms::{Dose, MovementId, ProductClass, Status, Withdrawal};
use proptest::prelude::*;

/// A random flock: which bits of each record are blank.
fn random(animals: &[(u16, u8)], batch: u8, rules: &str) -> Flock {
    let products =
        [product("levamisole", ProductClass::Wormer), product("oxytetracycline", ProductClass::Antibiotic)];
    let mut files = Vec::new();
    for (n, (bits, kind)) in animals.iter().enumerate() {
        let mut f = ewe(&format!("{:04}", n + 100));
        let mut t = full(f.animal.id, &products[n % 2], "2026-02-01");
        let is = |b: u16| bits & (1 << b) != 0;
        if is(0) {
            t.dose = None
        }
        if is(1) {
            t.meat = Withdrawal::Unknown
        }
        if is(2) {
            t.milk = Withdrawal::Unknown
        }
        if is(3) {
            t.batch = None
        }
        if is(4) {
            t.reason = None
        }
        if is(5) {
            t.route = None
        }
        if is(6) {
            t.given_by = None
        }
        if is(7) {
            t.more.off_label = Some("dose".into())
        }
        if is(8) {
            t.product = "something else".into()
        }
        if is(9) {
            f.animal.identities.truncate(1)
        }
        let to = [Status::Present, Status::Sold, Status::Dead, Status::Culled][usize::from(*kind % 4)];
        if to != Status::Present {
            f.animal.status = to;
            f.animal.status_on = (!is(10)).then(|| day("2026-02-10"));
            f.movements.push(Movement {
                id: MovementId::new(),
                animal: f.animal.id,
                on: day("2026-02-10"),
                to,
                other: is(11).then(|| "Hollin Farm".into()),
                reason: is(12).then(|| "old".into()),
                details: Default::default(),
                struck: None,
            });
        }
        f.treatments.push(t);
        files.push(f);
    }
    let mut b = bought(&products[0]);
    let has = |n: u8| batch & (1 << n) != 0;
    if has(0) {
        b.supplier = None
    }
    if has(1) {
        b.invoice = None
    }
    if has(2) {
        b.quantity = None
    }
    if has(3) {
        b.expiry = Some(day("2026-01-01"))
    }
    let mut moves = Vec::new();
    if has(4) {
        moves.push(counted(&products[0], 3))
    }
    if has(5) {
        moves.push(StockMove { change: StockChange::Disposed, ..counted(&products[0], 5) })
    }
    let cupboard = Cupboard { batches: vec![b], moves, ..Cupboard::default() };
    flock(files, products.to_vec(), cupboard, rules)
}

fn resolves(f: &Flock, link: Link) -> bool {
    match link {
        Link::Animal(id) => f.file(id).is_some(),
        Link::Record(id, RecordRef::Treatment(t)) => {
            f.file(id).is_some_and(|f| f.treatments.iter().any(|r| r.id == t))
        }
        Link::Record(id, RecordRef::Movement(m)) => {
            f.file(id).is_some_and(|f| f.movements.iter().any(|r| r.id == m))
        }
        Link::Record(..) => false,
        Link::Cupboard(record) => crate::reckon::trail::kept_words(f, record).is_some(),
        Link::Daybook(_) | Link::Feedroom(_) => false,
        Link::Holding => true,
    }
}

/// Fills everything of the record a gap leads to.
fn filled(f: &Flock, link: Link) -> Flock {
    let mut new = f.clone();
    match link {
        Link::Record(id, RecordRef::Treatment(t)) => {
            let mut file = f.file(id).unwrap().clone();
            let old = file.treatments.iter_mut().find(|r| r.id == t).unwrap();
            let product = f.product(&old.product).cloned().unwrap_or_else(|| f.products()[0].clone());
            let whole = full(id, &product, &old.at.day.to_string());
            *old = Treatment { id: t, prescribed_by: Some("A. Sykes".into()), ..whole };
            new.put(file);
        }
        Link::Record(id, RecordRef::Movement(m)) => {
            let mut file = f.file(id).unwrap().clone();
            let old = file.movements.iter_mut().find(|r| r.id == m).unwrap();
            let some = || Some(crate::terms::Words::from("12/345/6789"));
            old.other = some();
            old.reason = some();
            old.details = MoveDetails {
                number: some(),
                address: some(),
                carrier: some(),
                vehicle: some(),
                document: some(),
                cause: some(),
                disposal: some(),
                receipt: some(),
            }
            .into();
            new.put(file);
        }
        Link::Animal(id) => {
            let mut file = f.file(id).unwrap().clone();
            file.animal.status_on = Some(day("2026-02-10"));
            let tag = file.animal.tag().to_string();
            file.animal.identities = ewe(&tag).animal.identities;
            new.put(file);
        }
        Link::Cupboard(RecordRef::Batch(id)) => {
            let mut c = (**f.cupboard()).clone();
            let b = c.batches.iter_mut().find(|b| b.id == id).unwrap();
            let p = f.products().iter().find(|p| p.id == b.product).unwrap();
            *b = Batch { id, quantity: Some(Dose::Volume(100_000_000)), ..bought(p) };
            new.set_cupboard(c);
        }
        Link::Cupboard(RecordRef::StockMove(id)) => {
            let mut c = (**f.cupboard()).clone();
            let m = c.moves.iter_mut().find(|m| m.id == id).unwrap();
            (m.how, m.place, m.reason) = (Some("a".into()), Some("b".into()), Some("c".into()));
            new.set_cupboard(c);
        }
        Link::Cupboard(_) | Link::Record(..) | Link::Daybook(_) | Link::Feedroom(_) | Link::Holding => {}
    }
    new
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 150, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_gap_leads_to_a_record_and_goes_when_it_is_filled(
        animals in prop::collection::vec((any::<u16>(), any::<u8>()), 0..5),
        batch in any::<u8>(),
        rules in prop::sample::select(vec!["gb", "eu", "us", "nz", ""]),
        pick in any::<prop::sample::Index>(),
    ) {
        let f = random(&animals, batch, rules);
        let v = visit(&f, today());
        let gaps: Vec<(u8, &Gap)> = v.questions.iter().flat_map(|q| q.gaps.iter().map(move |g| (q.number, g))).collect();
        for (n, g) in &gaps {
            prop_assert!(resolves(&f, g.link), "question {n}: {}", g.words);
            prop_assert!(g.on.is_none_or(|d| d <= today()), "question {n}: {}", g.words);
        }
        for q in &v.questions {
            prop_assert_eq!(q.answer == Answer::No, !q.gaps.is_empty());
        }
        prop_assert_eq!(v.missing == 0, !gaps.iter().any(|(_, g)| g.asked));
        if !gaps.is_empty() {
            let (n, g) = gaps[pick.index(gaps.len())];
            let blank = match g.link {
                // What was sold too early stays sold too early; a copy is not made by a name; a count is not made by a batch.
                Link::Record(_, RecordRef::Movement(_)) => n != 3,
                Link::Record(..) => !matches!(n, 4 | 9),
                Link::Cupboard(RecordRef::Batch(_)) => n == 4,
                Link::Cupboard(RecordRef::Product(_)) | Link::Holding => false,
                _ => true,
            };
            if blank {
                let after = visit(&filled(&f, g.link), today());
                let stays = after.questions.iter().filter(|q| q.number == n).flat_map(|q| &q.gaps).any(|o| o.link == g.link);
                prop_assert!(!stays, "question {n} still asks: {}", g.words);
            }
        }
    }
}
