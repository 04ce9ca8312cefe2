use super::*;
use crate::flock::{AnimalFile, Decision, Flock, Holding, Scoring, Weighing};
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::*;

const TODAY: &str = "2026-05-02";

fn scored(f: &mut AnimalFile, kind: ScoreKind, points: u8, on: &str) {
    f.scores.push(Scoring {
        id: ScoringId::new(),
        animal: f.animal.id,
        at: Moment::day(day(on)),
        score: Score::new(kind, points * 4).unwrap(),
        session: None,
        note: None,
        struck: None,
    });
}

fn weighed(f: &mut AnimalFile, grams: i64, on: &str) {
    f.weighings.push(Weighing {
        id: WeighingId::new(),
        animal: f.animal.id,
        at: Moment::day(day(on)),
        weight: Weight::from_grams(grams).unwrap(),
        session: None,
        note: None,
        struck: None,
    });
}

fn decide(f: &mut AnimalFile, what: Decided, on: &str) {
    let id = DecisionId::new();
    f.decisions.push(Decision { id, animal: f.animal.id, on: day(on), what, reason: None, struck: None });
}

/// Five ewes with twins of 1 April, a ram lamb and a ewe lamb each; the ram lambs weighed at 30 days.
fn season() -> Vec<AnimalFile> {
    let mut ram = animal("R1", "", Sex::Ram);
    ram.animal.born = Born::On(day("2023-04-01"));
    let mut all = Vec::new();
    for (i, grams) in [12_000, 14_000, 16_000, 18_000, 20_000].into_iter().enumerate() {
        let mut ewe = animal(&format!("E{i}"), "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2021-04-01"));
        let (a, b) = (format!("{i}a"), format!("{i}b"));
        let two = [(a.as_str(), Sex::Ram, 4_000), (b.as_str(), Sex::Ewe, 4_000)];
        let mut born = lambs(&mut ewe, Some(ram.animal.id), Moment::day(day("2026-04-01")), &two);
        weighed(&mut born[0], grams, "2026-05-01");
        all.push(ewe);
        all.extend(born);
    }
    all.push(ram);
    all
}

fn flock_of(files: Vec<AnimalFile>) -> Flock {
    let mut flock = Flock::default();
    files.into_iter().for_each(|f| flock.put(f));
    flock
}

fn made(flock: &Flock) -> Keeping {
    Keeping::of(flock, &Kindred::of(flock), &KeepingAsk::default(), day(TODAY))
}

fn only(c: Criterion) -> [u8; COUNT] {
    let mut weights = [0; COUNT];
    weights[c.at()] = 10;
    weights
}

#[test]
fn the_order_is_by_standardised_weights() {
    let k = made(&flock_of(season()));
    assert_eq!((k.season, k.rams.len(), k.ewes.len()), (Some(2026), 5, 5));
    let order = order(&k.rams, &only(Criterion::Ratio), 2);
    let tags: Vec<&str> = order.iter().map(|p| k.rams[p.at].tag.as_str()).collect();
    assert_eq!(tags, ["4a", "3a", "2a", "1a", "0a"]);
    // Ratios 75, 87.5, 100, 112.5, 125: mean 100, standard deviation √(2 · (625 + 156.25) / 5) = √312.5; by hand.
    let ratio = k.rams[4].ratio.as_ref().unwrap();
    assert!((ratio.percent.unwrap() - 125.0).abs() < 1e-9 && ratio.of == 5, "{ratio:?}");
    assert!((order[0].total - 25.0 / 312.5_f64.sqrt()).abs() < 1e-6, "{}", order[0].total);
    assert!(order.iter().map(|p| p.total).sum::<f64>().abs() < 1e-9);
    let kept: Vec<Proposed> = order.iter().map(|p| p.proposed).collect();
    assert_eq!(kept, [Proposed::Keep, Proposed::Keep, Proposed::Not, Proposed::Not, Proposed::Not]);
    // Two weights alike: half of each.
    let mut two = only(Criterion::Ratio);
    two[Criterion::BornWith.at()] = 10;
    let half = super::order(&k.rams, &two, 2);
    assert!((half[0].total - order[0].total / 2.0).abs() < 1e-9, "all are twins: that adds nothing");
    let none = super::order(&k.rams, &[0; COUNT], 1);
    assert!(
        none.iter().all(|p| p.total == 0.0) && k.rams[none[0].at].tag == "0a",
        "by tag where nothing counts"
    );
}

#[test]
fn what_is_not_known_neither_helps_nor_hurts() {
    let mut files = season();
    let at = files.iter().position(|f| f.animal.tag() == "2a").unwrap();
    files[at].weighings.clear();
    let k = made(&flock_of(files));
    let order = k.ordered(Sex::Ram);
    let placed = order.iter().find(|p| k.rams[p.at].tag == "2a").unwrap();
    assert_eq!(placed.shares[Criterion::Ratio.at()], None);
    assert_eq!(placed.shares[Criterion::Value.at()], None);
    let others: f64 = placed.shares.iter().flatten().sum();
    assert!((placed.total - others).abs() < 1e-12);
    let told = k.told(Sex::Ram, placed, 5, Units::Metric).join(" ");
    assert!(told.contains("Not known, so it neither helps nor hurts: weight in its group"), "{told}");
    assert!(told.contains("not weighed yet at an age that tells"), "{told}");
    assert!(k.rams[placed.at].value_words(k.values.is_ok()) == "not reckoned");
}

#[test]
fn a_fault_set_as_never_is_never_proposed() {
    let mut files = season();
    let at = files.iter().position(|f| f.animal.tag() == "4a").unwrap();
    scored(&mut files[at], ScoreKind::Bite, 4, "2026-04-03");
    let flock = flock_of(files.clone());
    let k = made(&flock);
    let best = k.ordered(Sex::Ram);
    let bad = best.iter().find(|p| k.rams[p.at].tag == "4a").unwrap();
    assert_eq!((bad.proposed, k.rams[bad.at].never.join(",")), (Proposed::Never, "bite 4".into()));
    // The keeper's own word lets him stand.
    let mut flock = flock_of(files);
    let keeping = "[[sheet.never]]\nfault = \"bite\"\nfrom = 3\noff = true\n";
    flock.set_holding(Holding { keeping: keeping.into(), ..Holding::default() });
    let k = made(&flock);
    assert!(k.amiss.is_none() && k.rams.iter().all(|c| c.never.is_empty()));
    // All with the fault: none is proposed.
    let mut files = season();
    files.iter_mut().for_each(|f| scored(f, ScoreKind::Lids, 5, "2026-04-03"));
    let k = made(&flock_of(files));
    assert!(k.ordered(Sex::Ram).iter().all(|p| p.proposed == Proposed::Never));
}

#[test]
fn breeding_values_are_taken_as_given() {
    let flock = flock_of(season());
    let id = flock.by_tag("0a").unwrap();
    let of = std::sync::Arc::new([(id, (-1.5, 0.4))].into_iter().collect());
    let values = Some(Values { of, words: "weight at 60 days".into() });
    let ask = KeepingAsk { values, ..KeepingAsk::default() };
    let k = Keeping::of(&flock, &Kindred::of(&flock), &ask, day(TODAY));
    assert_eq!(k.rams[0].value_words(k.values.is_ok()), "−1.50, accuracy 0.40 (fair)");
    assert_eq!(k.rams[1].value_words(k.values.is_ok()), "not known");
    // Reckoned from the flock's own weights, or the reason why not.
    let k = Keeping::whole(&flock, &Kindred::of(&flock), None, day(TODAY), &mut |_| true);
    assert_eq!(k.values.is_ok(), k.rams.iter().any(|c| c.value.is_some()), "{:?}", k.values);
    assert!(made(&Flock::default()).values.is_err());
}

#[test]
fn settings_are_read_with_their_line_and_written_as_they_differ() {
    let shipped = Settings::shipped();
    assert_eq!(shipped.to_text(), "");
    assert_eq!(Settings::parse(Settings::shipped_words()).unwrap().weights, shipped.weights);
    for (text, line, why) in [
        ("[sheet\n", "line 1", ""),
        ("\n[[sheet.criterion]]\nkey = \"speed\"\nrams = 3\n", "line 3", "nothing that is weighed"),
        ("[[sheet.criterion]]\nkey = \"ratio\"\nrams = 11\n", "line 3", "from 0 to 10"),
        ("[[sheet.never]]\nfault = \"horns\"\n", "line 2", "no fault that bars"),
        ("[[culling]]\nkey = \"wool\"\n", "line 2", "no rule of culling"),
        ("[[culling]]\nkey = \"age\"\nlimit = 0\n", "line 3", "from 2 to 20"),
        ("[sheet]\nram_seasons = 0\n", "line 2", "from 1 to 20"),
        ("[herd]\nx = 1\n", "line 1", "unknown field"),
    ] {
        let said = Settings::parse(text).unwrap_err().0;
        assert!(said.starts_with(line) && said.contains(why), "{text}: {said}");
    }
    let text = "[[index]]\ntrait = \"weight:60\"\nweight = 3\n\n[sheet]\nkeep_rams = 2\n\n[[culling]]\nkey = \"age\"\nlimit = 9\n";
    let mut mine = Settings::parse(text).unwrap();
    assert_eq!((mine.keep_rams, mine.rule(CullKind::Age).unwrap().limit), (Some(2), 9));
    let mut weights = mine.weights_of(Sex::Ewe);
    weights[Criterion::DamMilk.at()] = 10;
    mine.set_weights(Sex::Ewe, &weights);
    let again = Settings::parse(&mine.to_text()).unwrap();
    assert_eq!(again, mine);
    assert!(mine.to_text().contains("weight = 3"), "the index stays: {}", mine.to_text());
    assert_eq!(again.weights_of(Sex::Ram), shipped.weights_of(Sex::Ram));
}

#[test]
fn rules_name_ewes_by_their_records() {
    let mut files = season();
    let at = |files: &[AnimalFile], tag: &str| files.iter().position(|f| f.animal.tag() == tag).unwrap();
    let (old, udder, lost, fine) = (at(&files, "E0"), at(&files, "E1"), at(&files, "E2"), at(&files, "E3"));
    files[old].animal.born = Born::On(day("2017-03-01"));
    scored(&mut files[udder], ScoreKind::Udder, 4, "2026-04-20");
    scored(&mut files[udder], ScoreKind::Prolapse, 3, "2025-04-01");
    for tag in ["2a", "2b"] {
        let i = at(&files, tag);
        files[i].animal.status = Status::Dead;
        files[i].animal.status_on = Some(day("2026-04-05"));
    }
    // An udder that mended is no reason any more.
    scored(&mut files[fine], ScoreKind::Udder, 5, "2025-04-20");
    scored(&mut files[fine], ScoreKind::Udder, 1, "2026-04-20");
    decide(&mut files[udder], Decided::Cull, "2026-05-01");
    let _ = lost;
    // A ewe's milk is told where every lamb of the crop was weighed.
    for f in files.iter_mut().filter(|f| f.animal.tag().ends_with('b')) {
        weighed(f, 15_000, "2026-05-01");
    }
    let k = made(&flock_of(files));
    let said: Vec<(String, String)> = k.culls.iter().map(|c| (c.tag.clone(), c.reasons())).collect();
    assert_eq!(
        said,
        [
            ("E1".to_string(), "udder 4 on 20 Apr 2026; prolapse on 1 Apr 2025".to_string()),
            ("E0".into(), "9 years old, born 1 Mar 2017".into()),
            ("E2".into(), "2 lambs lost: 2 born 1 Apr 2026".into()),
        ]
    );
    assert_eq!(k.culls[0].decided.as_ref().unwrap().what, Decided::Cull);
    assert_eq!((k.culls[0].daughters, k.culls[0].milk_place.unwrap().1), (1, 5));
}

#[test]
fn the_cost_in_blood_is_what_the_flock_is_without_her() {
    let mut files = season();
    let at = files.iter().position(|f| f.animal.tag() == "E2").unwrap();
    files[at].animal.born = Born::On(day("2016-03-01"));
    let flock = flock_of(files);
    let k = made(&flock);
    let blood = k.culls[0].blood.unwrap();
    let mean = |flock: &Flock| {
        let k = Kindred::of(flock);
        k.kin().mean_coancestry(k.living())
    };
    assert!((blood.of_flock - mean(&flock)).abs() < 1e-12);
    // She is gone from the flock and stays in the pedigree.
    let mut without = flock.clone();
    let mut ewe = flock.file(k.culls[0].animal).unwrap().clone();
    ewe.animal.status = Status::Culled;
    without.put(ewe);
    assert!((blood.diversity - (mean(&flock) - mean(&without))).abs() < 1e-12);
    assert!(k.culls[0].cost().contains("one daughter of hers"), "{}", k.culls[0].cost());
}

#[test]
fn how_many_are_asked_for_comes_from_the_flock() {
    let flock = flock_of(season());
    let k = made(&flock);
    // Five ewes ask for one ram; one serves for two seasons and is here.
    assert_eq!((k.need_rams.proposed, k.need_rams.asked), (1, 1), "{}", k.need_rams.why);
    // Five ewes of five crops each.
    assert_eq!(k.need_ewes.proposed, 1);
    let none = made(&Flock::default());
    assert_eq!((none.season, none.need_rams.proposed, none.need_ewes.proposed), (None, 0, 0));
    assert!(none.rams.is_empty() && none.culls.is_empty() && none.ordered(Sex::Ram).is_empty());
}

#[test]
fn a_circle_in_the_pedigree_leaves_the_rest() {
    let mut files = season();
    let (a, b) = (files[0].animal.id, files[1].animal.id);
    files[0].animal.dam = Some(b);
    files[1].animal.dam = Some(a);
    let k = made(&flock_of(files));
    assert!(k.circle && k.rams.len() == 5);
    assert!(k.rams.iter().all(|c| c.kinship.is_none() && c.inbreeding.is_none()));
    assert_eq!(k.ordered(Sex::Ram).len(), 5);
}

#[test]
fn a_dams_milk_is_that_of_the_page_of_milk() {
    let mut files = season();
    for f in files.iter_mut().filter(|f| f.animal.tag().ends_with('b') && f.animal.tag() != "0b") {
        weighed(f, 15_000, "2026-05-01");
    }
    let flock = flock_of(files);
    let rules = crate::reckon::growth::rules::GrowthRules::of(&flock);
    let using = crate::reckon::growth::fixed::Using::Table;
    let page = crate::reckon::growth::milk::milk(&flock, &rules, using, day(TODAY));
    let k = made(&flock);
    for c in &k.rams {
        let dam = c.dam.as_ref().unwrap();
        let row = page.iter().find(|r| r.ewe == dam.animal).unwrap();
        assert_eq!(dam.milk, row.litter().map(|(gain, n)| (gain, n as u32)), "{}", c.tag);
    }
    // 14 kg and 15 kg at 30 days from 4 kg each: (10000 + 11000) / 30 g a day.
    let milk = |tag: &str| k.rams.iter().find(|c| c.tag == tag).and_then(|c| c.dam.as_ref()?.milk);
    assert!((milk("1a").unwrap().0 - 700.0).abs() < 1e-9, "{:?}", milk("1a"));
    assert_eq!(milk("0a"), None, "her other lamb was not weighed");
}

#[test]
fn lambs_for_the_market_are_told_the_day_of_the_weight_wanted() {
    let mut files = season();
    let at = |files: &[AnimalFile], tag: &str| files.iter().position(|f| f.animal.tag() == tag).unwrap();
    // 4 kg at birth and 300 g a day; a little off the line, as weights are.
    for tag in ["1a", "2a", "3a"] {
        let i = at(&files, tag);
        files[i].weighings.clear();
        for (n, on) in
            ["2026-04-11", "2026-04-21", "2026-05-01", "2026-05-11", "2026-05-21"].into_iter().enumerate()
        {
            weighed(&mut files[i], 4_000 + 3_000 * (n as i64 + 1) + [40, -30, 20, -40, 30][n], on);
        }
    }
    for (tag, what) in
        [("0a", Decided::Market), ("1a", Decided::Market), ("2a", Decided::Show), ("3a", Decided::Entire)]
    {
        let i = at(&files, tag);
        decide(&mut files[i], what, "2026-05-21");
    }
    let mut flock = flock_of(files);
    let on = day("2026-05-22");
    let made = |flock: &Flock| Keeping::of(flock, &Kindred::of(flock), &KeepingAsk::default(), on);
    assert!(made(&flock).rams.iter().all(|c| c.reached.is_none()), "no weight is wanted");
    let want = |flock: &mut Flock, text: &str| {
        flock
            .set_holding(Holding { keeping: format!("[sheet]\ntarget_kg = {text}\n"), ..Holding::default() });
        made(flock)
    };
    let k = want(&mut flock, "22");
    let of = |k: &Keeping, tag: &str| k.rams.iter().find(|c| c.tag == tag).unwrap().reached.clone();
    assert_eq!(of(&k, "3a"), None, "he stays entire");
    assert_eq!(of(&k, "4a"), None, "nothing is decided");
    assert!(
        matches!(of(&k, "0a"), Some(Reached::NotTold(why)) if why.contains("a curve needs 4")),
        "{:?}",
        of(&k, "0a")
    );
    // 18 kg more at 300 g a day are 60 days: 31 May.
    let Some(Reached::Expected { on: expected, early, late }) = of(&k, "1a") else {
        panic!("{:?}", of(&k, "1a"))
    };
    assert!(expected.since(day("2026-05-31")).abs() <= 3, "{expected:?}");
    assert!(early <= expected && late.is_none_or(|l| l >= expected));
    assert!(of(&k, "2a").is_some_and(|r| r.words(Units::Metric).starts_with("expected ")), "for the show");
    let placed = k.ordered(Sex::Ram);
    let p = placed.iter().find(|p| k.rams[p.at].tag == "1a").unwrap();
    let told = k.told(Sex::Ram, p, 5, Units::Metric).join(" ");
    assert!(told.contains("22 kg: expected ") || told.contains("22.0 kg: expected "), "{told}");
    let k = want(&mut flock, "16.5");
    assert!(matches!(of(&k, "1a"), Some(Reached::On(d, _)) if d == day("2026-05-21")), "{:?}", of(&k, "1a"));
    // Kept and read again; what cannot be is refused with its line.
    assert_eq!(Settings::parse(&k.settings.to_text()).unwrap(), k.settings);
    let why = Settings::parse("[sheet]\ntarget_kg = 4\n").unwrap_err().0;
    assert!(why.starts_with("line 2: target_kg is 4: write kilograms from 10 to 120"), "{why}");
}
