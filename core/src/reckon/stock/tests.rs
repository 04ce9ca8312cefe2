use super::*;
use crate::flock::{
    Animal, AnimalFile, Batch, Cupboard, Product, ProductMore, StockChange, StockMove, Treatment,
};
use crate::terms::{
    AnimalId, Born, DoseRule, MeantFor, Moment, Rearing, Sex, Status, TreatmentId, Withdrawal,
};

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn ml(ml: u32) -> Dose {
    Dose::Volume(ml * 1000)
}

fn product(name: &str) -> Product {
    Product {
        id: ProductId::new(),
        name: name.into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::PerKg(100),
        route: None,
        meat: Withdrawal::Days(28),
        milk: Withdrawal::Never,
        licensed_for: None,
        more: ProductMore { opened_days: Some(28), ..ProductMore::default() },
    }
}

fn batch(p: &Product, number: &str, expiry: &str, bought: &str, quantity: Option<Dose>) -> Batch {
    Batch {
        id: BatchId::new(),
        product: p.id,
        number: number.into(),
        expiry: Some(day(expiry)),
        bought_on: Some(day(bought)),
        supplier: None,
        supplier_address: None,
        quantity,
        price: None,
        invoice: None,
        opened_on: None,
        note: None,
        struck: None,
    }
}

fn moved(p: &Product, number: Option<&str>, on: &str, change: StockChange, q: Option<Dose>) -> StockMove {
    StockMove {
        id: StockMoveId::new(),
        product: p.id,
        batch: number.map(Into::into),
        on: day(on),
        change,
        quantity: q,
        how: None,
        place: None,
        reason: None,
        struck: None,
    }
}

fn animal() -> Animal {
    Animal {
        id: AnimalId::new(),
        identities: Default::default(),
        name: None,
        sex: Sex::Ewe,
        breed: None,
        born: Born::Unknown,
        dam: None,
        sire: Default::default(),
        genetic_dam: None,
        rearing: Rearing::Dam,
        birth_type: None,
        rear_type: None,
        birth_weight: None,
        prefix: None,
        section: None,
        colour: None,
        marks: None,
        pen: None,
        note: None,
        meant_for: MeantFor::Undecided,
        status: Status::Present,
        status_on: None,
        status_reason: None,
    }
}

fn given(name: &str, number: Option<&str>, on: &str, dose: Option<Dose>) -> Treatment {
    Treatment {
        id: TreatmentId::new(),
        animal: AnimalId::new(),
        at: Moment::day(day(on)),
        product: name.into(),
        batch: number.map(Into::into),
        dose,
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        more: Default::default(),
        struck: None,
    }
}

fn flock(products: Vec<Product>, cupboard: Cupboard, treatments: Vec<Treatment>) -> Flock {
    let mut flock = Flock::default();
    flock.set_products(products);
    flock.set_cupboard(cupboard);
    let mut file = AnimalFile::of(animal());
    file.treatments = treatments.into();
    flock.put(file);
    flock
}

#[test]
fn two_deliveries_of_one_number_add_up_and_a_count_sets_the_level() {
    let p = product("Fellmectin");
    let shelf = Cupboard {
        batches: vec![
            batch(&p, "L 41", "2027-05-01", "2026-01-05", Some(ml(50))),
            batch(&p, "l41", "2027-04-01", "2026-02-01", Some(ml(50))),
        ],
        moves: vec![
            moved(&p, Some("L41"), "2026-02-03", StockChange::Wasted, Some(ml(5))),
            moved(&p, Some("L41"), "2026-02-10", StockChange::Counted, Some(ml(70))),
            moved(&p, Some("L41"), "2026-02-11", StockChange::Disposed, Some(ml(10))),
        ],
        ..Cupboard::default()
    };
    let log = vec![
        given("fellmectin ", Some("L41"), "2026-02-04", Some(ml(15))),
        // On the day of the count: it was counted after it.
        given("Fellmectin", Some("L 41"), "2026-02-10", Some(ml(6))),
        given("Fellmectin", Some("L 41"), "2026-02-12", Some(ml(2))),
        given("Another", Some("L 41"), "2026-02-12", Some(ml(9))),
    ];
    let flock = flock(vec![p.clone()], shelf, log);
    let lines = of(&flock, day("2026-02-12"));
    assert_eq!(lines.len(), 1);
    let l = &lines[0];
    assert_eq!(
        (l.received, l.given, l.wasted, l.disposed),
        (Some(ml(100)), Some(ml(23)), Some(ml(5)), Some(ml(10)))
    );
    assert_eq!(l.counts[0].book, Some(Amount::of(ml(74))));
    assert_eq!(l.difference, Difference::Less(ml(4)));
    assert_eq!(l.left, Some(ml(58)));
    assert_eq!((l.expiry, l.deliveries.len()), (Some(day("2027-04-01")), 2));
    // The day before the second delivery.
    assert_eq!(level(&flock, p.id, Some("L41"), day("2026-01-31")), Some(ml(50)));
    assert_eq!(level(&flock, p.id, None, day("2026-02-12")), Some(ml(58)));
}

#[test]
fn amounts_of_two_kinds_are_not_added_until_they_are_counted() {
    let p = product("Fellvax");
    let log = vec![given("Fellvax", Some("V1"), "2026-02-04", Some(ml(2)))];
    let batches = vec![batch(&p, "V1", "2027-05-01", "2026-01-05", Some(Dose::Pieces(50)))];
    let shelf = Cupboard { batches, ..Cupboard::default() };
    let at = flock(vec![p.clone()], shelf.clone(), log.clone());
    assert_eq!(of(&at, day("2026-03-01"))[0].left, None);
    let moves = vec![moved(&p, Some("V1"), "2026-03-01", StockChange::Counted, Some(ml(40)))];
    let at = flock(vec![p.clone()], Cupboard { moves, ..shelf }, log);
    let l = &of(&at, day("2026-03-01"))[0];
    assert_eq!((l.left, l.difference), (Some(ml(40)), Difference::Unknown));
}

#[test]
fn what_is_given_without_a_number_counts_against_the_product_until_all_is_counted() {
    let p = product("Fellmectin");
    let batches = vec![
        batch(&p, "A", "2027-05-01", "2026-01-05", Some(ml(50))),
        batch(&p, "B", "2027-06-01", "2026-01-05", Some(ml(50))),
    ];
    let log = vec![given("Fellmectin", None, "2026-02-04", Some(ml(10)))];
    let mut moves = vec![moved(&p, Some("A"), "2026-02-05", StockChange::Counted, Some(ml(42)))];
    let shelf = |moves: &[StockMove]| Cupboard {
        batches: batches.clone(),
        moves: moves.to_vec(),
        ..Cupboard::default()
    };
    let whole = |moves: &[StockMove]| {
        let f = flock(vec![p.clone()], shelf(moves), log.clone());
        level(&f, p.id, None, day("2026-02-09"))
    };
    assert_eq!(whole(&[]), Some(ml(90)));
    assert_eq!(whole(&moves), Some(ml(82)), "B was not counted: the dose may have come from there");
    moves.push(moved(&p, Some("B"), "2026-02-05", StockChange::Counted, Some(ml(48))));
    assert_eq!(whole(&moves), Some(ml(90)), "both were counted after it");
    let f = flock(vec![p.clone()], shelf(&moves), log.clone());
    let lines = of(&f, day("2026-02-09"));
    let last = lines.last().unwrap();
    assert_eq!((last.batch.as_deref(), last.left, last.state), (None, None, State::Fine));
    assert!(last.words.contains("without a batch number"), "{}", last.words);
}

#[test]
fn each_state_has_its_day() {
    let p = product("Fellmectin");
    let on = day("2026-03-01");
    let one = |change: &dyn Fn(&mut Batch), doses: &[(&str, u32)]| {
        let mut b = batch(&p, "A", "2027-05-01", "2026-01-05", Some(ml(100)));
        change(&mut b);
        let log = doses.iter().map(|(d, n)| given("Fellmectin", Some("A"), d, Some(ml(*n)))).collect();
        let f = flock(vec![p.clone()], Cupboard { batches: vec![b], ..Cupboard::default() }, log);
        (of(&f, on)[0].clone(), warnings(&f, on))
    };
    let same = |_: &mut Batch| {};
    for (state, (line, said), word) in [
        (State::Fine, one(&same, &[("2026-02-20", 50)]), ""),
        (State::RunningOut, one(&same, &[("2026-02-20", 51)]), "given in the last 30 days"),
        (State::Fine, one(&same, &[("2026-01-30", 60)]), ""),
        (State::RunningOut, one(&same, &[("2026-01-30", 91)]), "9 ml left"),
        (State::Fine, one(&|b| b.expiry = Some(day("2026-04-01")), &[]), ""),
        (State::ExpiresSoon, one(&|b| b.expiry = Some(day("2026-03-31")), &[]), "expires in 30 days"),
        (State::ExpiresSoon, one(&|b| b.expiry = Some(on), &[]), "expires today"),
        (State::Expired, one(&|b| b.expiry = Some(day("2026-02-28")), &[]), "expired on 28 Feb"),
        (State::Fine, one(&|b| b.opened_on = Some(day("2026-02-01")), &[]), ""),
        (State::OpenedTooLong, one(&|b| b.opened_on = Some(day("2026-01-31")), &[]), "open since"),
        (State::Empty, one(&same, &[("2026-01-30", 100)]), ""),
        (State::Empty, one(&same, &[("2026-02-20", 100)]), "none left"),
        (State::Negative, one(&same, &[("2026-02-20", 101)]), "1 ml more went than ever came"),
        (
            State::Expired,
            one(&|b| (b.expiry, b.quantity) = (Some(day("2026-02-01")), None), &[]),
            "not known",
        ),
    ] {
        assert_eq!(line.state, state, "{}", line.words);
        match word {
            "" => assert_eq!(said, [], "{}", line.words),
            word => assert!(said.len() == 1 && said[0].words.contains(word), "{said:?}"),
        }
    }
}

#[test]
fn the_first_to_expire_is_used_first_and_of_two_the_open_one() {
    let p = product("Fellmectin");
    let on = day("2026-03-01");
    let mut open = batch(&p, "OPEN", "2026-09-01", "2026-02-05", Some(ml(50)));
    open.opened_on = Some(day("2026-02-20"));
    let mut stale = batch(&p, "STALE", "2026-08-01", "2026-02-05", Some(ml(50)));
    stale.opened_on = Some(day("2026-01-20"));
    let mut batches = vec![
        batch(&p, "SHUT", "2026-09-01", "2026-01-05", Some(ml(50))),
        open,
        stale,
        batch(&p, "OUT", "2026-02-01", "2026-01-05", Some(ml(50))),
        batch(&p, "EMPTY", "2026-07-01", "2026-01-05", Some(ml(20))),
    ];
    let log = vec![given("Fellmectin", Some("EMPTY"), "2026-02-04", Some(ml(20)))];
    let first = |batches: &[Batch], on| {
        let shelf = Cupboard { batches: batches.to_vec(), ..Cupboard::default() };
        first_to_use(&flock(vec![p.clone()], shelf, log.clone()), p.id, on).map(|(n, _)| n)
    };
    assert_eq!(first(&batches, on).as_deref(), Some("OPEN"));
    assert_eq!(first(&batches, day("2026-03-25")).as_deref(), Some("SHUT"), "then OPEN is open too long");
    let mut never = batch(&p, "NEVER", "2026-09-01", "2026-01-05", Some(ml(50)));
    never.expiry = None;
    batches.push(never);
    assert_eq!(first(&batches, day("2026-10-01")).as_deref(), Some("NEVER"), "no day is last of all");
    assert_eq!(first(&batches[3..5], on), None);
}

#[test]
fn a_bottle_running_out_is_not_told_while_another_is_full() {
    let p = product("Fellmectin");
    let batches = vec![
        batch(&p, "A", "2027-05-01", "2026-01-05", Some(ml(100))),
        batch(&p, "B", "2027-06-01", "2026-01-05", Some(ml(100))),
    ];
    let log = vec![given("Fellmectin", Some("A"), "2026-02-20", Some(ml(95)))];
    let f = flock(vec![p.clone()], Cupboard { batches, ..Cupboard::default() }, log);
    let on = day("2026-03-01");
    assert_eq!(of(&f, on)[0].state, State::RunningOut);
    assert_eq!(warnings(&f, on), []);
}

#[test]
fn many_treatments_are_one_pass() {
    let p = product("Fellmectin");
    let batches = vec![batch(&p, "A", "2027-05-01", "2026-01-05", Some(ml(2000)))];
    let log =
        (0..100_000).map(|_| given("Fellmectin", Some("A"), "2026-02-20", Some(Dose::Volume(10)))).collect();
    let f = flock(vec![p.clone()], Cupboard { batches, ..Cupboard::default() }, log);
    assert_eq!(level(&f, p.id, Some("a"), day("2026-03-01")), Some(ml(1000)));
}

mod random {
    use super::*;
    use proptest::prelude::*;

    #[derive(Debug, Clone, Copy)]
    enum Act {
        Bought,
        Given,
        Wasted,
        Disposed,
    }

    fn act() -> impl Strategy<Value = (Act, u8, u32, i64)> {
        let acts = prop_oneof![Just(Act::Bought), Just(Act::Given), Just(Act::Wasted), Just(Act::Disposed)];
        (acts, 0u8..3, 1u32..900_000, 0i64..200)
    }

    const NUMBERS: [&str; 3] = ["A 1", "B", "ç2"];

    /// The flock of these acts, and what must be left of each number at the end of a day.
    fn world(
        p: &Product,
        acts: &[(Act, u8, u32, i64)],
        on: Day,
    ) -> (Cupboard, Vec<Treatment>, [Option<i64>; 3]) {
        let (mut shelf, mut log, mut left) = (Cupboard::default(), Vec::new(), [None; 3]);
        for (act, n, ul, back) in acts {
            let (n, ul, when) = (usize::from(*n), *ul, day("2026-06-01").plus(-back).to_string());
            let number = NUMBERS[n];
            let counts = day(&when) <= on;
            let add = |left: &mut [Option<i64>; 3], by: i64, bought: bool| {
                if counts && (bought || left[n].is_some()) {
                    left[n] = Some(left[n].unwrap_or(0) + by);
                }
            };
            match act {
                Act::Bought => {
                    shelf.batches.push(batch(p, number, "2028-01-01", &when, Some(Dose::Volume(ul))));
                    add(&mut left, i64::from(ul), true);
                }
                Act::Given => {
                    log.push(given(&p.name.to_uppercase(), Some(number), &when, Some(Dose::Volume(ul))));
                    add(&mut left, -i64::from(ul), false);
                }
                Act::Wasted | Act::Disposed => {
                    let change =
                        if matches!(act, Act::Wasted) { StockChange::Wasted } else { StockChange::Disposed };
                    shelf.moves.push(moved(p, Some(number), &when, change, Some(Dose::Volume(ul))));
                    add(&mut left, -i64::from(ul), false);
                }
            }
        }
        (shelf, log, left)
    }

    proptest! {
        #[test]
        fn left_is_received_less_all_that_went(
            mut acts in prop::collection::vec(act(), 0..40), end in 0i64..220, found in 0u32..500_000
        ) {
            // A purchase is heeded whenever it stands in the log: here it comes first.
            acts.sort_by_key(|(a, ..)| !matches!(a, Act::Bought));
            let p = product("Fellmectin");
            let on = day("2026-06-01").plus(-end);
            let (mut shelf, log, left) = world(&p, &acts, on);
            let f = flock(vec![p.clone()], shelf.clone(), log.clone());
            for (n, number) in NUMBERS.iter().enumerate() {
                let lines = of(&f, on);
                let line = line_of(&lines, p.id, number);
                let there = line.and_then(|l| l.left.map(|d| Amount::of(d).n - l.short.map_or(0, |s| Amount::of(s).n)));
                prop_assert_eq!(there, left[n], "{}", number);
                prop_assert_eq!(level(&f, p.id, Some(number), on), line.and_then(|l| l.left));
            }
            // A count on the last day is the level, whatever was before; and its difference is what was missing.
            shelf.moves.push(moved(&p, Some("B"), &on.to_string(), StockChange::Counted, Some(Dose::Volume(found))));
            let f = flock(vec![p.clone()], shelf, log);
            let lines = of(&f, on);
            let line = line_of(&lines, p.id, "B").unwrap();
            prop_assert_eq!(line.left, Some(Dose::Volume(found)));
            let by = left[1].map(|l| i64::from(found) - l);
            let said = match by {
                None => Difference::Unknown,
                Some(0) => Difference::Same,
                Some(n) if n > 0 => Difference::More(Dose::Volume(n as u32)),
                Some(n) => Difference::Less(Dose::Volume(n.unsigned_abs() as u32)),
            };
            prop_assert_eq!(line.difference, said);
        }
    }
}
