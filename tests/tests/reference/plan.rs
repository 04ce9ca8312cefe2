//! Every window of the shipped care plan against its published source.

use hirsel_core::handbook::Ground;
use hirsel_core::plan::{Span, shipped_steps};

/// `S` read in the source's own text, `M` from memory, `P` common practice, no source: as the plan marks the row.
type Row = (&'static str, &'static str, &'static str, &'static str, Option<&'static str>, char, &'static str);

/// Key, anchor, earliest, due, late (none: the rule set's), mark, what was read where. Typed by hand from the published
/// texts named, not from the plan's files.
#[rustfmt::skip]
const WINDOWS: &[Row] = &[
    // Lambs, from birth.
    ("dry", "birth", "0 h", "0 h", Some("0.5 h"), 'P', "common practice, no source"),
    ("navel", "birth", "0 h", "0.25 h", Some("1 h"), 'S', "FAS Scotland, Tips for treating lambs' navels, 2018: as soon as possible; the hour: common practice"),
    ("warm", "birth", "0 h", "1 h", Some("6 h"), 'S', "vet card on hypothermia: bands by age, under and over 5 h; the window: common practice"),
    ("suck", "birth", "0 h", "2 h", Some("6 h"), 'S', "Morgan-Davies, Frater and Dwyer, Scottish Farmer 2019: 50 ml per kg by 2 h; by 6 h: weak source"),
    ("navel_again", "birth", "4 h", "6 h", Some("12 h"), 'S', "FAS Scotland 2018: after 6 h; 12 h: weak source"),
    ("weigh_birth", "birth", "1 h", "12 h", Some("24 h"), 'P', "common practice, no source"),
    ("energy", "birth", "0 h", "2 h", Some("24 h"), 'P', "common practice, no source"),
    ("drench", "birth", "12 h", "24 h", Some("48 h"), 'P', "common practice, no source"),
    ("suck_day1", "birth", "12 h", "24 h", Some("36 h"), 'P', "common practice, no source"),
    ("vet_day1", "birth", "0 h", "24 h", Some("48 h"), 'P', "common practice, no source"),
    ("selenium", "birth", "0 h", "24 h", Some("72 h"), 'S', "Animal Science Image Gallery 1141: at birth"),
    ("tag", "birth", "12 h", "24 h", Some("72 h"), 'P', "common practice, no source"),
    ("weigh_again", "birth", "24 h", "24 h", Some("48 h"), 'P', "common practice, no source: second weight at 24 to 48 h"),
    ("eyelids", "birth", "24 h", "48 h", Some("96 h"), 'P', "common practice, no source"),
    ("dock", "birth", "24 h", "3 d", None, 'P', "common practice, no source; the last day is the rule set's"),
    ("castrate", "birth", "24 h", "3 d", None, 'P', "common practice, no source; the last day is the rule set's"),
    ("turn_out", "birth", "24 h", "48 h", Some("72 h"), 'S', "Raising Sheep handbook: grown ewe 1 day, first-timer 3 days or more"),
    ("thrive", "birth", "24 h", "48 h", Some("72 h"), 'P', "common practice, no source: days 2 and 3"),
    ("creep", "birth", "7 d", "10 d", Some("14 d"), 'S', "Cobb, Univ. Illinois: oldest lamb 7 days; South Dakota State Univ., SHEEP 93-6, 1993: they start to eat at 10 to 14 days"),
    ("b_vitamin", "birth", "14 d", "21 d", Some("28 d"), 'P', "common practice, no source: from week 2, by week 4"),
    ("entire", "birth", "7 d", "14 d", Some("21 d"), 'P', "common practice, no source: by the end of week 3"),
    ("creep_step", "birth", "21 d", "24 d", Some("28 d"), 'P', "common practice, no source: week 3 to 4"),
    ("selenium_again", "birth", "28 d", "30 d", Some("42 d"), 'S', "Animal Science Image Gallery 1141: again about 30 days"),
    ("clostridial", "birth", "21 d", "28 d", Some("42 d"), 'P', "common practice, no source: the trade's 4 to 6 weeks from a boosted ewe"),
    ("clostridial_early", "birth", "7 d", "21 d", Some("28 d"), 'S', "Schoenian, CDT vaccinations: 3 to 4 weeks from a ewe not vaccinated"),
    ("clostridial_again", "step before", "14 d", "28 d", Some("35 d"), 'P', "common practice, no source: week 6 or 8 after a first in week 4"),
    ("coccidia", "birth", "21 d", "28 d", Some("42 d"), 'P', "common practice, no source: then every 14 days to weaning"),
    ("weigh_30", "birth", "23 d", "30 d", Some("37 d"), 'S', "Boggess et al. 1991, J Anim Sci 69:3190: 30 days, 7 either way"),
    ("worms", "birth", "35 d", "42 d", Some("56 d"), 'P', "common practice, no source"),
    ("week_8", "birth", "49 d", "56 d", Some("63 d"), 'S', "AHDB, Lamb Briefing, 18 May 2015: eight-week weight"),
    ("wean", "birth", "42 d", "84 d", Some("120 d"), 'S', "Neary, Purdue, 1992: 40 to 45 lb; Teagasc about 14 weeks, EBLEX 12 to 14; not before 42 days: common practice"),
    ("weigh_90", "birth", "62 d", "90 d", Some("118 d"), 'S', "Boggess et al. 1991: 90 days, 28 either way"),
    ("after_weaning", "weaning", "10 d", "14 d", Some("17 d"), 'P', "common practice, no source"),
    // Ewes.
    ("score_early", "season", "-63 d", "-56 d", Some("-42 d"), 'S', "FAS Scotland, Keeping ewe condition, 9 Dec 2024: about 8 weeks on good grass for one score"),
    ("udder_feet", "season", "-70 d", "-56 d", Some("-28 d"), 'P', "common practice, no source"),
    ("flush", "season", "-21 d", "-14 d", Some("-7 d"), 'S', "NRC, Nutrient Requirements of Sheep, 6th ed. 1985, p. 45: 2 weeks before"),
    ("join", "season", "-7 d", "0 d", Some("14 d"), 'P', "common practice, no source"),
    ("ram_out", "joining", "34 d", "35 d", Some("42 d"), 'M', "from memory: 35 to 42 days are 2 to 2.5 cycles of 17"),
    ("scan", "joining", "40 d", "45 d", Some("90 d"), 'S', "818 linear-array scans: counted at days 45 to 77, in lamb or not at 29 to 89"),
    ("late_feed", "due", "-49 d", "-42 d", Some("-35 d"), 'P', "common practice, no source: from six weeks before"),
    ("primary", "due", "-56 d", "-42 d", Some("-35 d"), 'S', "Schoenian, CDT vaccinations: first-timers 6 weeks before"),
    ("booster_first", "due", "-28 d", "-21 d", Some("-14 d"), 'S', "Schoenian: and 3 weeks before, 2 weeks or more"),
    ("booster", "due", "-42 d", "-28 d", Some("-14 d"), 'S', "Schoenian: last month of pregnancy, 2 weeks or more before lambing"),
    ("crutch", "due", "-49 d", "-42 d", Some("-28 d"), 'P', "common practice, no source: not in the last two weeks"),
    ("watch_due", "due", "-14 d", "-5 d", Some("0 d"), 'S', "NMSU, Normal breeding habits of sheep: 147 days, 144 to 152"),
    ("lamb_overdue", "last day", "0 d", "1 d", Some("3 d"), 'S', "NMSU: 152 days at the longest"),
    ("cleansed", "lambing", "0 h", "6 h", Some("24 h"), 'P', "common practice, no source"),
    ("milk_peak", "lambing", "14 d", "21 d", Some("28 d"), 'S', "Schoenian, Weaning lambs: peak at 3 to 4 weeks"),
    ("dry_feed", "lambing", "70 d", "77 d", Some("81 d"), 'S', "informedfarmers.com, Weaning lambs: 7 days or more before; weaning at 84 days less 7, at most 3"),
    ("udder", "weaning", "1 d", "3 d", Some("5 d"), 'S', "Neary, Purdue, 1992: mastitis is the chief worry; the days: common practice"),
    ("score_weaning", "weaning", "0 d", "3 d", Some("14 d"), 'S', "FAS Scotland 2024, Table 1: a target at weaning; the days: common practice"),
    // Rams.
    ("ram_sound", "season", "-70 d", "-56 d", Some("-42 d"), 'P', "common practice, no source"),
    ("ram_feed", "season", "-49 d", "-42 d", Some("-28 d"), 'P', "common practice, no source"),
    ("ram_booster", "season", "-60 d", "-42 d", Some("-21 d"), 'S', "Schoenian, CDT vaccinations: yearly; the days: common practice"),
    ("ram_after", "season", "35 d", "42 d", Some("56 d"), 'P', "common practice, no source"),
];

/// The keeper's other choices: step, earliest, due, late, what was read where.
#[rustfmt::skip]
const OTHERS: &[(&str, &str, &str, &str, &str)] = &[
    ("clostridial", "28 d", "42 d", "56 d", "Schoenian, CDT vaccinations: 6 to 8 weeks from a boosted ewe"),
    ("clostridial_early", "0 d", "3 d", "7 d", "Hicks et al., Mississippi State Univ. Extension M2484, 2025: first week of life"),
    ("clostridial_again", "21 d", "28 d", "35 d", "Schoenian: 3 to 4 weeks after the first"),
];

fn span(text: &str) -> Span {
    Span::parse(text).unwrap_or_else(|e| panic!("{e}"))
}

#[test]
fn every_window_is_the_published_one() {
    let mut wrong = Vec::new();
    for (key, anchor, earliest, due, late, mark, source) in WINDOWS {
        let Some(step) = shipped_steps().iter().find(|s| s.key == *key) else {
            wrong.push(format!("{key} is not shipped"));
            continue;
        };
        let wanted = (span(earliest), span(due), late.map(span));
        let there = (step.times.earliest, step.times.due, step.times.late);
        if wanted != there {
            wrong.push(format!("{key} ({source}): {wanted:?}, but the plan has {there:?}"));
        }
        if !step.anchor.words().ends_with(anchor) && !step.anchor.words().contains(&said(anchor)) {
            wrong.push(format!("{key}: counted from {anchor}, but the plan says {}", step.anchor.words()));
        }
        let marked = match step.ground {
            Ground::Seen(_) => 'S',
            Ground::Memory(_) => 'M',
            Ground::Practice => 'P',
        };
        if marked != *mark {
            wrong.push(format!("{key}: marked {mark} ({source}), but the plan says '{}'", step.ground));
        }
    }
    for step in shipped_steps() {
        if !WINDOWS.iter().any(|w| w.0 == step.key) {
            wrong.push(format!("{} is shipped, but stands in no table here", step.key));
        }
    }
    for (key, earliest, due, late, source) in OTHERS {
        let step = shipped_steps().iter().find(|s| s.key == *key);
        let times = (span(earliest), span(due), Some(span(late)));
        let found = step.is_some_and(|s| s.other.iter().any(|o| (o.earliest, o.due, o.late) == times));
        if !found {
            wrong.push(format!("{key}: the other times of {source} are not offered"));
        }
    }
    let offered: usize = shipped_steps().iter().map(|s| s.other.len()).sum();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert_eq!(offered, OTHERS.len(), "every other choice stands in the table");
}

/// The words of an anchor as the plan's page says it.
fn said(anchor: &str) -> String {
    match anchor {
        "season" => "the flock's joining day",
        "due" => "the day she is due",
        "last day" => "the last day she may lamb",
        other => other,
    }
    .into()
}

/// Not after week 2 before lambing, no weaning before six weeks, no ring in the first day: what the sources forbid.
#[test]
fn what_the_sources_forbid_the_plan_does_not_ask() {
    let step = |key: &str| shipped_steps().iter().find(|s| s.key == key).unwrap_or_else(|| panic!("{key}"));
    // Schoenian, CDT vaccinations: at least 2 weeks before lambing.
    for key in ["booster", "booster_first"] {
        assert_eq!(step(key).times.late, Some(Span::days(-14)), "{key}");
    }
    // Common practice, no source: not in the last two weeks.
    assert_eq!(step("crutch").times.close, Span::days(-14));
    // Common practice, no source: least age at weaning 42 days.
    assert_eq!(step("wean").times.earliest, Span::days(42));
    // UK consultation (state to be checked): no ring in the first 24 hours; suckled first.
    for key in ["dock", "castrate"] {
        assert_eq!(step(key).times.earliest, Span::days(1), "{key}");
    }
}
