use super::*;

#[test]
fn what_is_written_is_read_again() {
    let mut own = GrowthRules::shipped().clone();
    assert_eq!(GrowthRules::parse(&own.text()).as_ref(), Ok(&own));
    assert_eq!(GrowthRules::parse("  "), Ok(own.clone()));
    own.class_mut(Effect::Sex, 1).unwrap().factor = 0.91;
    own.table = "Hill \"breed\" society \\ 2019".into();
    own.ages.push(GrowthRules::own_age(150));
    own.groups.by_sex = false;
    own.class_mut(Effect::Type, 3).unwrap().ground = Ground::Memory("the keeper".into());
    assert_eq!(GrowthRules::parse(&own.text()), Ok(own));
}

#[test]
fn a_list_left_out_is_as_shipped() {
    let own = GrowthRules::parse(
        "[groups]\nspan_days = 0\nby_sex = false\nby_pen = false\nby_weighing = false\nleast = 3\n",
    );
    let own = own.unwrap();
    assert_eq!((own.groups.span_days, own.groups.least), (0, 3));
    assert_eq!(own.ages, GrowthRules::shipped().ages);
    assert_eq!(own.classes(Effect::Ewe), GrowthRules::shipped().classes(Effect::Ewe));
}

#[test]
fn broken_tables_are_refused_with_their_line() {
    for (text, why) in [
        ("[[factor]]\nsex = \"ram\"\nfactor = 0.9\n", "must be the base"),
        ("\n[[factor]]\nsex = \"sheep\"\nfactor = 0.9\n", "line 2: 'sheep' is no sex"),
        ("[[factor]]\nborn = 1\nfactor = 0.9\n", "line 1: a factor is for"),
        ("[[factor]]\nsex = \"ewe\"\nfactor = 0.9\nbase = true\n", "is the base"),
        ("[[factor]]\nsex = \"ram\"\nfactor = 9.0\n", "between 0.5 and 2"),
        (
            "[[factor]]\newe_from = 1\newe_to = 3\nfactor = 1.0\n[[factor]]\newe_from = 3\newe_to = 4\nfactor = 1.0\n",
            "two factors",
        ),
        ("[[age]]\ndays = 60\nfrom = 70\nto = 80\nleast = 1\nmost = 90\n", "in this order"),
        ("[[age]]\ndays = 0\nfrom = 0\nto = 0\nleast = 0\nmost = 0\n", "no age"),
        ("[least]\nper_class = 0\nbirth_weights = 1\n", "2 or more"),
        (
            "[groups]\nspan_days = 900\nby_sex = true\nby_pen = true\nby_weighing = true\nleast = 5\n",
            "0 to 365",
        ),
        ("[milk]\nages = []\nscore = 3.0\nscore_percent = 12\nnear_days = 30\n", "a ewe's milk needs"),
        ("[factors]\nname = \" \"\n", "needs a name"),
        ("[factors]\nnome = 1\n", "line 2: unknown field"),
        ("nonsense", "line 1"),
    ] {
        let said = GrowthRules::parse(text).unwrap_err().0;
        assert!(said.contains(why), "{why}: {said}");
    }
    let twice = format!("{0}{0}", "[[age]]\ndays = 60\nfrom = 53\nto = 67\nleast = 42\nmost = 120\n");
    assert!(GrowthRules::parse(&twice).unwrap_err().0.contains("twice"));
}

#[test]
fn every_shipped_factor_is_one() {
    let rules = GrowthRules::shipped();
    assert!(Effect::ALL.iter().flat_map(|e| rules.classes(*e)).all(|c| c.factor == 1.0));
    assert!(rules.table.contains("no complete published table was found"));
}

#[test]
fn classes_are_found() {
    let rules = GrowthRules::shipped();
    let of = |effect: Effect, at: Option<usize>| at.map(|i| rules.classes(effect)[i].of.words());
    let kind = |born, reared| of(Effect::Type, rules.type_class(born, reared));
    assert_eq!(kind(2, 2).as_deref(), Some("born twin, reared twin"));
    assert_eq!(kind(5, 4).as_deref(), Some("born triplet, reared triplet"), "the highest is 'or more'");
    assert_eq!(kind(2, 0).as_deref(), Some("born twin, bottle"));
    let ewe = |years| of(Effect::Ewe, rules.ewe_class(years));
    assert_eq!(ewe(1).as_deref(), Some("ewe of 1 year"));
    assert_eq!(ewe(6).as_deref(), Some("ewe of 3 to 6 years"));
    assert_eq!(ewe(9).as_deref(), Some("ewe of 7 years and more"));
    assert_eq!(rules.base(Effect::Ewe), 2);
    for (at_age, to) in [(74, 60), (75, 90), (100, 90), (101, 120)] {
        assert_eq!(rules.usual_age(at_age), Some(to), "weighed at {at_age} days");
    }
    assert!(rules.age(60).is_some_and(|a| a.holds(53) && a.holds(67) && !a.holds(68)));
}
