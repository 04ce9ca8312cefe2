use super::*;

#[test]
fn what_is_shipped_reads_and_is_whole() {
    let rules = FeedRules::shipped();
    assert!(rules.needs.len() > 50 && rules.targets.is_empty() && rules.creep.len() == 3);
    for limit in Limit::ALL {
        let (least, most) = limit.range();
        assert!((least..=most).contains(&rules.limit(*limit)), "{}", limit.key());
        assert!(!rules.ground(*limit).is_memory(), "{}", limit.key());
        assert_eq!(Limit::parse(limit.key()), Some(*limit));
        assert!(!limit.words().is_empty() && !limit.unit().is_empty());
    }
    assert_eq!(FeedRules::parse("  ").as_ref(), Ok(rules));
    assert_eq!(
        FeedRules::parse(FeedRules::shipped_words()).as_ref(),
        Ok(rules),
        "read over itself it is the same"
    );
}

#[test]
fn the_creep_steps_down_by_age() {
    let rules = FeedRules::shipped();
    let at = |day: i64| rules.creep_at(day).map(|s| s.protein);
    assert_eq!(
        [6, 7, 23, 24, 41, 42, 90].map(at),
        [None, Some(20.0), Some(20.0), Some(18.0), Some(18.0), Some(16.0), Some(16.0)]
    );
    let next = |day: i64| rules.creep_after(day).map(|s| (s.from_day, s.protein));
    assert_eq!([0, 7, 24, 42].map(next), [Some((7, 20.0)), Some((24, 18.0)), Some((42, 16.0)), None]);
}

#[test]
fn the_keeper_changes_what_is_written_and_the_rest_stays() {
    let own = "[[target]]\neaters = \"rams\"\ndry_matter_kg = 2\nprotein_g = 180\n\n[[creep]]\nfrom_day = 10\nprotein = 19\n\n\
               [[limit]]\nkey = \"copper_warn\"\nvalue = 8\n";
    let rules = FeedRules::parse(own).expect("rules");
    assert_eq!(rules.limit(Limit::CopperWarn), 8.0);
    assert_eq!(rules.limit(Limit::CopperStop), 15.0);
    assert!(rules.ground(Limit::CopperWarn).to_string().contains("the keeper"));
    assert_eq!(rules.needs, FeedRules::shipped().needs);
    assert_eq!((rules.creep.len(), rules.creep[0].base), (1, Base::AsFed));
    let target = rules.target(Eaters::Rams).expect("a target");
    assert_eq!(target.figures, [(Nutrient::DryMatter, 2.0), (Nutrient::Protein, 180.0)]);
    let holding = Holding { feeding: own.into(), ..Holding::default() };
    assert_eq!(FeedRules::of(&holding), rules);
    let broken = Holding { feeding: "limit = 3".into(), ..Holding::default() };
    assert_eq!(&FeedRules::of(&broken), FeedRules::shipped());
}

#[test]
fn what_cannot_be_read_is_told_with_its_line() {
    for (text, line, why) in [
        (
            "[[limit]]\nkey = \"gold\"\nvalue = 1\n",
            "line 1",
            "no bound of feeding: write copper_warn, copper_stop",
        ),
        ("\n[[limit]]\nkey = \"copper_stop\"\nvalue = 100\n", "line 2", "copper_stop is 100: write 8 to 25"),
        (
            "[[limit]]\nkey = \"copper_warn\"\nvalue = 15\n[[limit]]\nkey = \"copper_stop\"\nvalue = 12\n",
            "",
            "warn first",
        ),
        (
            "[[limit]]\nkey = \"thin_score\"\nvalue = 3\n[[limit]]\nkey = \"fat_score\"\nvalue = 3\n",
            "",
            "not below fat_score",
        ),
        (
            "[[target]]\neaters = \"goats\"\nprotein_g = 1\n",
            "line 1",
            "is no group that eats: write dry ewes",
        ),
        ("[[target]]\neaters = \"rams\"\n", "line 1", "a row without a figure"),
        ("[[target]]\neaters = \"rams\"\nprotein_g = -1\n", "line 1", "protein_g is -1: write more than 0"),
        (
            "[[target]]\neaters = \"rams\"\nprotein_g = 1\n[[target]]\neaters = \"rams\"\nprotein_g = 2\n",
            "line 4",
            "stand twice",
        ),
        (
            "[[need]]\neaters = \"rams\"\nweight_kg = 1\nprotein_g = 100\n",
            "line 1",
            "weight_kg is 1: write 2 to 200",
        ),
        (
            "[[creep]]\nfrom_day = 20\nprotein = 18\n[[creep]]\nfrom_day = 10\nprotein = 20\n",
            "line 4",
            "youngest first",
        ),
        ("[[creep]]\nfrom_day = 20\nprotein = 18\nbase = \"wet\"\n", "line 1", "is no base"),
        ("[[creep]]\nfrom_day = 20\nprotein = 1\n", "line 1", "protein is 1: write 8 to 40"),
        ("[[creep]]\nfrom_day = 20\n", "line 1", "missing field"),
        ("[[target]]\neaters = \"rams\"\nprotein_g = 100\nwater = 4\n", "line", "unknown field"),
        ("[[limit]]\nkey = \"copper_warn\"\nvalue = 9\nsource = \"A book\"\n", "line 1", "needs the mark"),
    ] {
        let said = FeedRules::parse(text).expect_err(text).0;
        assert!(said.starts_with(line) && said.contains(why), "{text}\n{said}");
    }
    // Shipped bounds stand on a text or on practice.
    let shipped = FeedRules::shipped_words();
    let weak = shipped.replacen(
        "sheep101.info, feeding and watering equipment: 16 inches\"\nseen = true",
        "x\"\nseen = false",
        1,
    );
    assert!(read::read(&weak, None).unwrap_err().0.contains("a bound needs a text that was read"));
    let short = shipped.replacen(
        "[[limit]]\nkey = \"reserve_days\"\nvalue = 7\nsource = \"common practice, no source\"\n",
        "",
        1,
    );
    assert_eq!(read::read(&short, None).unwrap_err().0, "reserve_days is left out");
}
