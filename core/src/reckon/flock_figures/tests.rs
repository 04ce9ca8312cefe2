use super::*;
use crate::terms::Day;

#[test]
fn the_shipped_settings_hold_together() {
    let s = Settings::shipped();
    assert!(s.less_sold && s.plus_in_lamb && s.empty_stay && !s.less_dead);
    assert_eq!((s.weaning_days, s.first_cycle_days, s.month, s.loss_of), (60, 20, 1, LossOf::Born));
    for r in &s.ranges {
        assert!(What::from_key(&r.figure).is_some(), "{}", r.figure);
    }
    assert!(s.range("fertility_percent").is_some_and(|r| r.holds(96.0) && !r.holds(95.9)));
    assert!(s.range("barren_percent").is_some_and(|r| r.holds(5.0) && !r.holds(5.1)));
}

#[test]
fn causes_are_found_by_the_beginnings_of_words() {
    let s = Settings::shipped();
    let name = |written: &str| s.cause_of(written).map(|n| s.causes[n].name.as_str());
    for (written, is) in [
        ("Scouring since Monday", Some("scour")),
        ("found cold and wet", Some("starved or cold")),
        ("watery mouth", Some("watery mouth")),
        ("FOX", Some("predator")),
        ("navel ill", Some("joint or navel ill")),
        ("pulpy kidney, the vet says", Some("pulpy kidney")),
        ("struck by lightning", None),
        // Inside a word it is another word.
        ("unscoured", None),
    ] {
        assert_eq!(name(written), is, "{written}");
    }
}

#[test]
fn a_season_by_the_month_it_begins_with() {
    let day = |m, d| Day::new(2025, m, d).unwrap();
    assert_eq!(season_of(day(12, 31), 1), 2025);
    assert_eq!(season_of(day(9, 30), 10), 2025);
    assert_eq!(season_of(day(10, 1), 10), 2026);
}

#[test]
fn every_figure_has_one_word_and_nothing_is_divided_by_nothing() {
    let (t, p, s) = (Tally::default(), Purse::default(), Settings::shipped());
    let mut keys: Vec<&str> = What::ALL.iter().map(|w| w.key()).collect();
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), What::ALL.len());
    for w in What::ALL {
        let f = figure(*w, &t, &p, s);
        assert!(f.value.is_none_or(|v| v == 0.0), "{w:?}: {f:?}");
        assert!(f.value.is_none() || matches!(w.unit(), Unit::Count), "{w:?}: {f:?}");
    }
}

#[test]
fn values_as_they_are_read() {
    use crate::terms::Units::{Imperial, Metric};
    assert_eq!(What::Fertility.show(81.818, Metric), "81.8 %");
    assert_eq!(What::PerLambed.show(1.6667, Metric), "1.67");
    assert_eq!(What::Margin.show(-12.5, Metric), "−12.50");
    assert_eq!(What::SixtyWeight.show(20.0, Metric), "20.00 kg");
    assert!(What::SixtyWeight.show(20.0, Imperial).contains("lb"));
    assert_eq!(What::Gain.plain(263.6), "264");
}

#[test]
fn counts_of_two_seasons_add_up() {
    let mut a = Tally { born: 3, lost: [1, 0, 0, 0, 0, 0], gain: (300, 1), exposed: 2, ..Tally::default() };
    a.join(&Tally { born: 4, lost: [0, 2, 0, 0, 0, 0], gain: (500, 2), exposed: 3, ..Tally::default() });
    assert_eq!((a.born, a.lost_all(), a.gain, a.exposed), (7, 3, (800, 3), 5));
}

#[test]
fn a_year_of_money_alone_is_no_season_of_nothing() {
    let mut flock = crate::flock::Flock::default();
    let mut ewe = crate::papers::fixture::animal("0412", "", crate::terms::Sex::Ewe);
    for year in [2024, 2025, 2026] {
        let at = crate::terms::Moment::day(Day::new(year, 3, 10).unwrap());
        let born = [("a", crate::terms::Sex::Ewe, 4_000), ("b", crate::terms::Sex::Ram, 4_000)];
        crate::papers::fixture::lambs(&mut ewe, None, at, &born).into_iter().for_each(|l| flock.put(l));
    }
    flock.put(ewe);
    let mut all = Years::of(&flock, Day::new(2026, 9, 1).unwrap());
    let spent = Purse {
        spent: 40_00,
        kinds: [(crate::terms::MoneyKind::Feed, (40_00, 1))].into(),
        ..Purse::default()
    };
    all.purses.insert(2023, spent.clone());
    all.purses.insert(2025, spent);
    assert_eq!(all.compared(2026, What::Born, 4).before, Some((2.0, 2)));
    // Of money it is a year like the others; the season without any is none.
    assert_eq!(all.compared(2026, What::Spent, 4).before, Some((40.0, 2)));
}

#[test]
fn a_mean_of_counts_keeps_its_tenth() {
    use crate::terms::Units::Metric;
    assert_eq!(What::DiedBefore.show_mean(0.5, Metric), "0.5");
    assert_eq!(What::Joined.show_mean(41.0, Metric), "41");
    assert_eq!(What::Fertility.show_mean(81.818, Metric), "81.8 %");
}
