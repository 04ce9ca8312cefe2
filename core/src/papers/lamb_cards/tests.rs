use super::*;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{self, day, lambing_shed};
use crate::terms::Minute;
use proptest::prelude::*;

fn all_forms() -> impl Iterator<Item = LambCardOptions> {
    PerSheet::ALL.into_iter().flat_map(|per_sheet| {
        SheetSize::ALL.map(|sheet| LambCardOptions { sheet, per_sheet, ..LambCardOptions::default() })
    })
}

#[test]
fn cards_on_every_sheet() {
    let (flock, _, lambs) = lambing_shed();
    for options in all_forms() {
        let paper = lamb_cards(&flock, &lambs, day("2026-04-16"), &options, &carry_on).unwrap();
        let name = format!("lamb-cards-{}-{}", options.per_sheet.count(), options.sheet.word());
        picture(&name, &paper);
        assert_eq!(paper.pages.len(), lambs.len().div_ceil(options.per_sheet.count()), "{name}");
        assert_inside(&paper, 5.0);
        assert_same_bytes(&paper);
        let words = letters(&paper);
        for said in [
            "0412",
            "0231",
            "Bramble",
            "R17",
            "ThornfellDuke",
            "Ewelamb",
            "bornatwin,rearedasatriplet",
            "4.6kg",
            "Tue14Apr2026,05:20",
            "blue,nearshoulder",
            "Meatclearon",
            "14May2026",
            "oxytetracycline",
            "Ramlamb",
            "rearedonthebottle",
            "Fosteredto",
            "oneofR17",
            "GwenllianfachyBwthynUchaf",
            "Wetherlamb",
            "Ringonlywithinthelegalage;",
            "00416",
            "Castrated",
        ] {
            assert!(words.contains(said), "{name}: {said} in {words}");
        }
    }
}

#[test]
fn the_tag_is_read_from_afar() {
    let (flock, _, lambs) = lambing_shed();
    for (options, least) in all_forms().zip([38.0, 38.0, 26.0, 26.0, 19.0, 19.0, 12.0, 12.0]) {
        let paper = lamb_cards(&flock, &lambs[..2], day("2026-04-16"), &options, &carry_on).unwrap();
        let cap = paper.pages[0].marks.iter().find_map(|mark| match mark {
            super::super::Mark::Text { text, size_pt, face, .. } if text == "0412" => {
                Some(super::super::text::cap_height_mm(*face, *size_pt))
            }
            _ => None,
        });
        assert!(cap.unwrap() >= least, "{options:?}: {cap:?}");
    }
}

#[test]
fn jobs_differ_by_sex_and_may_be_left_out() {
    let (flock, _, lambs) = lambing_shed();
    let card = |lamb: AnimalId, jobs: &[LambJob]| {
        let options = LambCardOptions { jobs: jobs.to_vec(), ..LambCardOptions::default() };
        letters(&lamb_cards(&flock, &[lamb], day("2026-04-16"), &options, &carry_on).unwrap())
    };
    assert!(!card(lambs[0], &LambJob::ALL).contains("Castrated"));
    assert!(card(lambs[1], &LambJob::ALL).contains("Castrated"));
    assert!(card(lambs[1], &LambJob::ALL).contains("keptentire"));
    assert!(!card(lambs[0], &[LambJob::Navel]).contains("Taildocked"));
    // What the book knows is ticked.
    assert!(card(lambs[0], &LambJob::ALL).contains("200mlcolostrum"));
}

#[test]
fn jobs_fall_due_by_the_clock_and_the_calendar() {
    let born = day("2026-04-29");
    let time = Minute::new(22, 40);
    for (job, known, exact, bare) in [
        (LambJob::Navel, "at birth", "at birth", "at birth"),
        (LambJob::NavelAgain, "at 04:40, 30 Apr", "6 h after birth", "6 h after birth"),
        (LambJob::Suck, "by 00:40, 30 Apr", "within 2 h", "within 2 h"),
        (LambJob::Tag, "30 Apr–2 May", "30 Apr–2 May", "day 1 to 3"),
        (LambJob::Dock, "from 30 Apr", "from 30 Apr", "from day 1"),
        (LambJob::Creep, "6–13 May", "6–13 May", "day 7 to 14"),
    ] {
        assert_eq!(when(job, Some(born), time, None), known);
        assert_eq!(when(job, Some(born), None, None), exact);
        assert_eq!(when(job, None, None, None), bare);
    }
    // The last day for a ring is the rule set's; without one the card leaves the end open.
    assert_eq!(when(LambJob::Castrate, Some(born), None, crate::rules::rule_set("gb")), "30 Apr–6 May");
    assert_eq!(when(LambJob::Dock, None, None, crate::rules::rule_set("ni")), "day 1 to 7");
    assert_eq!(when(LambJob::Dock, Some(born), None, crate::rules::rule_set("us")), "from 30 Apr");
    assert_eq!(when(LambJob::Creep, Some(born), None, crate::rules::rule_set("gb")), "6–13 May");
}

#[test]
fn the_flocks_rules_stand_on_its_cards() {
    let (mut flock, _, lambs) = lambing_shed();
    let today = day("2026-04-16");
    for set in crate::rules::rule_sets() {
        let holding = crate::flock::Holding {
            rules: set.id().into(),
            sheet: "letter".into(),
            ..flock.holding().clone()
        };
        flock.set_holding(holding);
        let usual = LambCardOptions::for_flock(&flock);
        assert_eq!((usual.sheet, usual.rules.as_deref()), (SheetSize::Letter, Some(set)));
        for per_sheet in PerSheet::ALL {
            let options = LambCardOptions { per_sheet, ..usual.clone() };
            let paper = lamb_cards(&flock, &lambs, today, &options, &carry_on).unwrap();
            picture(&format!("lamb-cards-{}-{}", set.id(), per_sheet.count()), &paper);
            assert_inside(&paper, 5.0);
            assert_eq!(paper.pages.len(), lambs.len().div_ceil(per_sheet.count()), "{}", set.id());
            let said = set.ring_words_short().map(|words| bare(&words)).unwrap_or_default();
            let all = letters(&paper);
            assert!(all.contains(&said), "{said}");
            // What is from memory is marked, shortly, and what the mark means stands beside it.
            let memory = set.ring_words().is_some_and(|words| words.contains("from memory"));
            assert_eq!(
                (said.contains('*'), all.contains("*Tobechecked:seeRulesoftheplace")),
                (memory, memory),
                "{said}"
            );
            assert!(!all.contains("frommemory"), "{}", set.id());
        }
    }
    flock.set_holding(crate::flock::Holding { rules: "atlantis".into(), ..Default::default() });
    assert_eq!(LambCardOptions::for_flock(&flock), LambCardOptions::default());
}

#[test]
fn long_words_run_on_to_a_following_card() {
    let mut file =
        fixture::animal("UK0123456789/THORNFELL-2026-000412", "Gwen o'r Mynydd ".repeat(12).trim(), Sex::Ram);
    let id = file.animal.id;
    file.animal.colour = Some("black face, ".repeat(20).into());
    file.animal.note = Some("donaudampfschifffahrtsgesellschaft".repeat(6).into());
    file.animal.marks = Some("notch in the near ear".into());
    let given = crate::terms::Moment::day(day("2026-04-15"));
    let period = crate::terms::Withdrawal::Days(28);
    let product = "Long-acting oxytetracycline dihydrate with a carrier of magnesium, ".repeat(4);
    file.treatments.push(fixture::treatment(id, &product, given, period, period));
    let mut flock = Flock::default();
    flock.put(file);
    for options in all_forms() {
        let paper = lamb_cards(&flock, &[id], day("2026-04-16"), &options, &carry_on).unwrap();
        picture(&format!("long-{}-{}", options.per_sheet.count(), options.sheet.word()), &paper);
        assert_inside(&paper, 5.0);
        let words = letters(&paper);
        assert!(words.contains("MeatclearonThu14May2026."), "the day is never moved off the first card");
        assert!(options.per_sheet != PerSheet::One || !words.contains("continued"));
        assert!(options.per_sheet != PerSheet::Eight || words.contains("continued"));
        assert_eq!(words.matches("magnesium").count(), 4);
        assert_eq!(words.matches("Gwen").count(), 12);
    }
}

#[test]
fn nothing_chosen_is_refused_and_stopping_stops() {
    let (flock, _, lambs) = lambing_shed();
    let options = LambCardOptions::default();
    let none = lamb_cards(&flock, &[AnimalId::new()], day("2026-04-16"), &options, &carry_on).unwrap_err();
    assert!(none.to_string().contains("choose at least one lamb"), "{none}");
    let stopped = lamb_cards(&flock, &lambs, day("2026-04-16"), &options, &|_, _| false);
    assert_eq!(stopped, Err(PaperFailed::Stopped));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn no_word_is_lost_or_outside(
        tag in "[A-Z0-9][A-Z0-9 /-]{0,38}[A-Z0-9]", name in "[a-zŵé]{1,70}( [a-z]{1,40}){0,9}",
        colour in "[a-z]{1,50}( [a-z]{1,20}){0,20}", note in "[a-z]{1,200}( [a-z]{1,9}){0,60}",
        product in "[A-Z][a-z]{1,60}( [a-z]{1,30}){0,6}", per in 0usize..4, letter in any::<bool>(),
    ) {
        let mut file = fixture::animal(&tag, &name, Sex::Ram);
        let id = file.animal.id;
        file.animal.colour = Some(colour.as_str().into());
        file.animal.note = Some(note.as_str().into());
        file.animal.pen = Some(colour.as_str().into());
        let given = crate::terms::Moment::day(day("2026-04-15"));
        let period = crate::terms::Withdrawal::Days(28);
        file.treatments.push(fixture::treatment(id, &product, given, period, period));
        let mut flock = Flock::default();
        flock.put(file);
        let per_sheet = PerSheet::ALL[per];
        let sheet = if letter { SheetSize::Letter } else { SheetSize::A4 };
        let options = LambCardOptions { sheet, per_sheet, ..LambCardOptions::default() };
        let paper = lamb_cards(&flock, &[id], day("2026-04-16"), &options, &carry_on).unwrap();
        assert_inside(&paper, 5.0);
        let words = letters(&paper);
        let notes = if per_sheet == PerSheet::Eight { "" } else { &note };
        for said in [&tag, &name, &colour, &product].into_iter().flat_map(|w| w.split(' ')).chain(notes.split(' ')) {
            let said = bare(said);
            // A word broken over lines may have others between its parts in painting order: look for its start.
            let start: String = said.chars().take(6).collect();
            prop_assert!(words.contains(&start), "{} in {}", said, words);
        }
    }
}

#[test]
fn what_was_ticked_stands_on_the_card() {
    let (mut flock, _, lambs) = lambing_shed();
    let mut file = flock.file(lambs[0]).unwrap().clone();
    let tick = |step: &str, outcome, on: &str| crate::flock::Tick {
        id: crate::terms::TickId::new(),
        animal: lambs[0],
        step: step.into(),
        anchor: file.animal.born.exact().unwrap(),
        round: 0,
        outcome,
        at: crate::terms::Moment::day(day(on)),
        note: None,
        struck: None,
    };
    let late = day("2026-04-20");
    let ticks = [
        tick("eyelids", Outcome::Done, "2026-04-16"),
        tick("dock", Outcome::Skipped, "2026-04-16"),
        tick("creep", Outcome::PutOff(late), "2026-04-16"),
    ];
    file.ticks.extend(ticks);
    flock.put(file.clone());
    assert_eq!(ticked(LambJob::Eyelids, &file).as_deref(), Some("16 Apr"));
    assert_eq!(ticked(LambJob::Dock, &file).as_deref(), Some("left out"));
    assert_eq!(ticked(LambJob::Creep, &file), None);
    let options = LambCardOptions::default();
    let paper = lamb_cards(&flock, &lambs[..1], day("2026-04-16"), &options, &carry_on).unwrap();
    assert!(letters(&paper).contains("leftout"));
}
