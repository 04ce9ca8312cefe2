use super::*;
use crate::terms::Withdrawal;
use proptest::prelude::*;

fn floor(id: &str, what: Commodity, product: &OffLabelUse) -> Floor {
    rule_set(id).unwrap().floor(what, product)
}

fn known(label: &[Withdrawal]) -> OffLabelUse {
    OffLabelUse {
        label: label.to_vec(),
        for_food_animals: Some(true),
        for_milk_animals: Some(true),
        other_family: Some(false),
    }
}

fn days(floor: &Floor) -> Option<u16> {
    match floor {
        Floor::Days { days, .. } => Some(*days),
        _ => None,
    }
}

#[test]
fn the_sum_is_shown() {
    let why = |what, label| match floor("eu", what, &known(&[label])) {
        Floor::Days { why, .. } => why,
        other => panic!("{other:?}"),
    };
    assert_eq!(why(Commodity::Meat, Withdrawal::Days(21)), "1.5 × 21 days = 31.5, rounded up to 32 days");
    assert_eq!(why(Commodity::Meat, Withdrawal::Days(20)), "1.5 × 20 days = 30 days");
    assert_eq!(
        why(Commodity::Milk, Withdrawal::Hours(60)),
        "1.5 × 60 hours = 90 hours, rounded up to 4 days"
    );
    assert_eq!(why(Commodity::Milk, Withdrawal::Days(0)), "1 day, the label says zero");
    assert_eq!(
        floor("eu", Commodity::Meat, &known(&[Withdrawal::Days(21)])).words(),
        "at least 32 days: 1.5 × 21 days = 31.5, rounded up to 32 days (Regulation (EU) 2019/6 art 115(1)(a), (2))"
    );
}

/// The longest of several label periods counts, whichever unit it is in.
#[test]
fn the_longest_label_period_counts() {
    let label = [Withdrawal::Days(3), Withdrawal::Hours(120), Withdrawal::Unknown, Withdrawal::Days(4)];
    let found = floor("eu", Commodity::Milk, &known(&label));
    assert_eq!(days(&found), Some(8), "120 h × 1.5 = 180 h = 7.5 days");
    assert!(found.words().contains("one is not"), "{}", found.words());
}

/// What is not known takes the stricter figure; without any label period of a product for food nothing is computed.
#[test]
fn unknown_facts_take_the_stricter_figure() {
    let product = |label: &[Withdrawal], food, milk, other| OffLabelUse {
        label: label.to_vec(),
        for_food_animals: food,
        for_milk_animals: milk,
        other_family: other,
    };
    let meat = |id, p: OffLabelUse| days(&floor(id, Commodity::Meat, &p));
    let milk = |id, p: OffLabelUse| days(&floor(id, Commodity::Milk, &p));
    let d = Withdrawal::Days;
    assert_eq!(meat("eu", product(&[d(10)], None, None, None)), Some(28));
    assert_eq!(meat("eu", product(&[d(21)], None, None, None)), Some(32));
    assert_eq!(meat("eu", product(&[d(0)], Some(true), None, None)), Some(1));
    assert_eq!(meat("eu", product(&[d(0)], Some(true), None, Some(false))), Some(0));
    assert_eq!(
        meat("gb", product(&[d(0)], Some(true), None, Some(false))),
        Some(1),
        "from memory, it tightens"
    );
    assert_eq!(milk("eu", product(&[d(2)], Some(true), None, None)), Some(7));
    assert_eq!(milk("eu", product(&[], Some(false), None, None)), Some(7), "not for food, so not milked");
    assert_eq!(
        milk("gb", product(&[d(9)], Some(true), Some(false), None)),
        Some(14),
        "above the flat figure"
    );
    for id in ["eu", "gb", "gb-wales"] {
        let found = floor(id, Commodity::Meat, &product(&[], Some(true), None, None));
        assert!(matches!(found, Floor::Unknown { .. }) && !found.refuses(d(1)), "{id} {found:?}");
        assert!(found.words().contains("meat period is not written"), "{}", found.words());
    }
    assert_eq!(meat("ni", product(&[], Some(true), None, None)), Some(28));
    assert_eq!(floor("nz", Commodity::Meat, &known(&[d(3)])), Floor::NotKnown);
    assert!(!Floor::NotKnown.refuses(d(0)) && Floor::NotKnown.words().contains("ask your vet"));
}

#[test]
fn a_label_that_forbids_stays_never() {
    for id in ["eu", "gb", "ni", "us"] {
        let found = floor(id, Commodity::Milk, &known(&[Withdrawal::Days(3), Withdrawal::Never]));
        assert_eq!(found, Floor::Never, "{id}");
        assert!(found.refuses(Withdrawal::Days(400)) && !found.refuses(Withdrawal::Never));
    }
}

#[test]
fn a_period_below_the_floor_is_refused() {
    let found = floor("eu", Commodity::Meat, &known(&[Withdrawal::Days(21)]));
    for (written, refused) in [
        (Withdrawal::Days(31), true),
        (Withdrawal::Hours(767), true),
        (Withdrawal::Hours(768), false),
        (Withdrawal::Days(32), false),
        (Withdrawal::Never, false),
        (Withdrawal::Unknown, false),
    ] {
        assert_eq!(found.refuses(written), refused, "{written}");
    }
    let vet = floor("us", Commodity::Milk, &known(&[Withdrawal::Hours(60)]));
    assert!(matches!(vet, Floor::VetSetsMoreThan { days: Some(3), .. }), "{vet:?}");
    assert!(vet.refuses(Withdrawal::Days(3)) && !vet.refuses(Withdrawal::Days(4)));
    assert!(vet.words().contains("more than the label's 3 days") && vet.words().contains("(from memory)"));
    let open = floor("us", Commodity::Meat, &known(&[]));
    assert!(matches!(open, Floor::VetSetsMoreThan { days: None, .. }) && !open.refuses(Withdrawal::Days(1)));
}

fn period() -> impl Strategy<Value = Withdrawal> {
    prop_oneof![
        (0u16..=u16::MAX).prop_map(Withdrawal::Days),
        (0u16..60).prop_map(Withdrawal::Days),
        (0u16..2000).prop_map(Withdrawal::Hours),
        Just(Withdrawal::Unknown),
    ]
}

fn product() -> impl Strategy<Value = OffLabelUse> {
    let fact = || proptest::option::of(any::<bool>());
    (proptest::collection::vec(period(), 0..5), fact(), fact(), fact()).prop_map(
        |(label, for_food_animals, for_milk_animals, other_family)| OffLabelUse {
            label,
            for_food_animals,
            for_milk_animals,
            other_family,
        },
    )
}

/// A product that shortens the withdrawal of a label would be a danger: whatever the set and whatever is known, a
/// written period below any label period is refused, but for one that no label gives.
fn refuses_all_below(floor: &Floor, label: &[Withdrawal]) -> bool {
    label.iter().all(|period| match period {
        Withdrawal::Days(0) | Withdrawal::Hours(0) | Withdrawal::Unknown | Withdrawal::Never => true,
        Withdrawal::Days(d) => floor.refuses(Withdrawal::Days(d - 1)),
        Withdrawal::Hours(h) => floor.refuses(Withdrawal::Hours(h - 1)),
    })
}

/// The least number of whole days the floor lets pass.
fn least(floor: &Floor) -> u32 {
    match floor {
        Floor::Days { days, .. } => (*days).into(),
        Floor::VetSetsMoreThan { days, .. } => days.map_or(0, |d| u32::from(d) + 1),
        Floor::Never => u32::MAX,
        Floor::Unknown { .. } | Floor::NotKnown => 0,
    }
}

fn sets() -> impl Strategy<Value = &'static str> {
    prop_oneof![Just("eu"), Just("gb"), Just("gb-scotland"), Just("ni"), Just("us")]
}

fn commodity() -> impl Strategy<Value = Commodity> {
    prop_oneof![Just(Commodity::Meat), Just(Commodity::Milk)]
}

proptest! {
    #[test]
    fn no_floor_is_below_a_label_period(id in sets(), what in commodity(), product in product()) {
        let found = floor(id, what, &product);
        prop_assert!(refuses_all_below(&found, &product.label), "{found:?}");
    }

    #[test]
    fn a_longer_label_never_lowers_the_floor(
        id in sets(), what in commodity(), product in product(), at in 0usize..5, more in 0u16..400,
    ) {
        let mut longer = product.clone();
        if let Some(period) = longer.label.get_mut(at) {
            *period = match *period {
                Withdrawal::Days(d) => Withdrawal::Days(d.saturating_add(more)),
                Withdrawal::Hours(h) => Withdrawal::Hours(h + more),
                other => other,
            };
        }
        prop_assert!(least(&floor(id, what, &longer)) >= least(&floor(id, what, &product)));
    }

    /// Knowing less never lowers the floor either, as long as a label period is known.
    #[test]
    fn knowing_less_never_lowers_the_floor(id in sets(), what in commodity(), product in product()) {
        let known = product.label.iter().any(|p| matches!(p, Withdrawal::Days(_) | Withdrawal::Hours(_)));
        let mut less = product.clone();
        (less.for_food_animals, less.for_milk_animals, less.other_family) = (None, None, None);
        prop_assert!(!known || least(&floor(id, what, &less)) >= least(&floor(id, what, &product)));
    }
}
