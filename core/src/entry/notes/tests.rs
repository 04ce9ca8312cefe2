//! Notes read on one invented flock, and drafts said and read again.

use super::Words;
use super::*;
use crate::entry::{DoseDraft, LambDraft};
use crate::flock::{AnimalFile, Flock, Holding, Outcome, Product, Sire};
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::*;

#[cfg(test)]
mod feeding;
#[cfg(test)]
mod judged;
#[cfg(test)]
mod mating;

const TODAY: &str = "2026-03-20";

fn grown(tag: &str, sex: Sex, pen: &str) -> AnimalFile {
    let mut f = animal(tag, "", sex);
    f.animal.born = Born::On(day("2022-04-02"));
    f.animal.pen = (!pen.is_empty()).then(|| pen.into());
    f
}

fn product(name: &str, substance: &str) -> Product {
    Product {
        id: ProductId::new(),
        name: name.into(),
        substance: Some(substance.into()),
        form: None,
        strength: None,
        rule: DoseRule::Typed,
        route: None,
        meat: Withdrawal::Days(0),
        milk: Withdrawal::Unknown,
        licensed_for: None,
        more: Default::default(),
    }
}

/// The flock the examples of the grammar are read on.
fn flock() -> Flock {
    let mut flock = Flock::default();
    flock.set_holding(Holding { rules: "gb".into(), given_by: "Ida Fennick".into(), ..Holding::default() });
    let mut ewe = grown("0412", Sex::Ewe, "Pen 3");
    let at = Moment { day: day("2026-03-18"), time: Minute::new(4, 55) };
    let mut born =
        lambs(&mut ewe, None, at, &[("0412/26-1", Sex::Ram, 4_300), ("0412/26-2", Sex::Ewe, 3_900)]);
    born.iter_mut().for_each(|l| l.animal.pen = Some("Pen 3".into()));
    let mut lost = grown("0405", Sex::Ewe, "Pen 4");
    let at = Moment::day(day("2026-03-10"));
    let three =
        [("0405/26-1", Sex::Ram, 3_300), ("0405/26-2", Sex::Ewe, 3_000), ("0405/26-3", Sex::Ewe, 2_900)];
    born.extend(lambs(&mut lost, None, at, &three));
    for f in [ewe, lost, grown("0398", Sex::Ewe, "Pen 5"), grown("0391", Sex::Ewe, "Long field")]
        .into_iter()
        .chain([
            grown("0377", Sex::Ewe, "Long field"),
            grown("R7", Sex::Ram, "Ram paddock"),
            grown("R8", Sex::Ram, ""),
        ])
        .chain(born)
    {
        flock.put(f);
    }
    flock.set_products(vec![
        product("Clostridial vaccine 4-in-1", "clostridial toxoids"),
        product("Penicillin injection 300 mg/ml", "procaine benzylpenicillin"),
        product("Worm drench, white", "albendazole"),
        product("Worm drench, yellow", "levamisole"),
    ]);
    flock.set_feedroom(feeding::room());
    flock
}

fn understood(line: &str) -> Understood {
    let flock = flock();
    let words = Words::of(&flock, day(TODAY));
    read(line, &flock, &words, day(TODAY))
}

/// The one sentence of each piece.
fn means(line: &str) -> Vec<String> {
    let all = understood(line);
    assert_eq!(all.lost, [], "{line}");
    all.pieces.into_iter().map(|p| p.readings[0].sentence.clone()).collect()
}

fn id(flock: &Flock, tag: &str) -> AnimalId {
    flock.by_tag(tag).unwrap_or_else(|| panic!("no {tag}"))
}

#[test]
fn every_word_of_the_grammar_has_a_sense() {
    assert_eq!(super::words::unknown_senses(), [] as [&str; 0]);
}

#[test]
fn every_example_of_the_grammar_is_understood_as_it_says() {
    let mut seen = 0;
    for form in forms() {
        assert!(!form.how.is_empty() && !form.example.is_empty(), "{}", form.name);
        for e in &form.example {
            assert_eq!(means(&e.note).join("; "), e.means, "{}", e.note);
            assert!(understood(&e.note).is_plain(), "{}", e.note);
            seen += 1;
        }
    }
    assert!(seen >= 15, "{seen}");
}

#[test]
fn notes_as_a_keeper_writes_them() {
    let all = [
        ("0398 single, ewe 4.1, sucked", "0398 lambed: ewe 4.1 kg, sucked"),
        ("0398 had twins both ewes 3.8 4.0", "0398 lambed: ewe 3.8 kg, ewe 4 kg"),
        (
            "yesterday at 6:10 0398 twins by R7: ram 4.4 hard pull, ewe 3.6 not sucked, colostrum 180 ml",
            "0398 lambed on 19 Mar 2026 at 06:10, by R7: ram 4.4 kg, this one hard pull, ewe 3.6 kg, not sucked, colostrum 180 ml",
        ),
        (
            "0398 twins: ram 4, ewe 3 weak, both dipped",
            "0398 lambed, note \"weak\": ram 4 kg, navel dipped, ewe 3 kg, navel dipped",
        ),
        ("0377 lame near fore, footbath", "0377 note \"lame near fore, footbath\""),
        ("0377 lame, 0391 too", "0377 note \"lame\"|0391 note \"too\""),
        ("0412a 12.4, 0412b 11.9", "weighed 0412/26-1 12.4 kg, 0412/26-2 11.9 kg"),
        (
            "all lambs in pen 3 given penicillin 1 ml im but 0412b: scouring",
            "0412/26-1 given \"Penicillin injection 300 mg/ml\" 1 ml, into the muscle|0412/26-2 note \"scouring\"",
        ),
        (
            "gave clostridial 2 ml sc to 0398 and 0377",
            "0398 and 0377 given \"Clostridial vaccine 4-in-1\" 2 ml, under the skin",
        ),
        ("0398 dead (bloat); 0377 to pen 4", "0398 dead (bloat)|0377 to Pen 4"),
        ("0398, 0377 with R7", "0398 and 0377 joined with R7"),
        ("0412a on the bottle", "0412/26-1 on the bottle"),
        ("0398 out of the pen", "0398 out of the pen"),
        ("0377 note \"2 ml left in bottle, see vet\"", "0377 note \"2 ml left in bottle, see vet\""),
    ];
    for (note, means_) in all {
        assert_eq!(means(note).join("|"), means_, "{note}");
    }
}

#[test]
fn what_can_mean_several_things_is_offered_not_guessed() {
    let two = understood("0398 worm drench 8 ml by mouth");
    let said: Vec<&str> = two.pieces[0].readings.iter().map(|r| r.sentence.as_str()).collect();
    assert_eq!(
        said,
        [
            "0398 given \"Worm drench, white\" 8 ml, by mouth",
            "0398 given \"Worm drench, yellow\" 8 ml, by mouth"
        ]
    );
    assert!(!two.is_plain());
    let litter = understood("yesterday 0405 dead triplet, one fostered on 0391");
    assert_eq!(litter.lost, []);
    let said: Vec<Vec<&str>> =
        litter.pieces.iter().map(|p| p.readings.iter().map(|r| r.sentence.as_str()).collect()).collect();
    assert_eq!(
        said,
        [
            [
                "0405/26-1 dead on 19 Mar 2026",
                "0405/26-2 dead on 19 Mar 2026",
                "0405/26-3 dead on 19 Mar 2026"
            ],
            ["0405/26-1 fostered on 0391", "0405/26-2 fostered on 0391", "0405/26-3 fostered on 0391"]
        ]
    );
    let pen = understood("0398 to top shed");
    assert_eq!(pen.pieces[0].readings.len(), 2);
    assert!(pen.pieces[0].readings[0].doubts[0].says.contains("no pen called top shed"));
}

#[test]
fn what_is_missing_is_marked_where_it_is_missing() {
    let line = "0398 twins: ram 4.3";
    let all = understood(line);
    let r = &all.pieces[0].readings[0];
    assert!(r.draft.is_none());
    assert_eq!(r.doubts[0].says, "2 lambs said, 1 written: write ram or ewe for each");
    assert_eq!(&line[r.doubts[0].span.clone()], "twins: ram 4.3");
    let nobody = understood("gone lame again");
    assert_eq!(nobody.lost[0].says, "whom is 'gone lame again' about? Begin with a tag, a name or a pen");
    let gone = understood("9999 lame");
    assert_eq!(gone.lost[0].says, "no animal of the book wears the tag 9999: '9999 lame'");
    let two = understood("0398, 0377 weighed 61");
    assert_eq!(two.pieces[0].readings[0].doubts[0].says, "one weight for 2 animals: write each with its own");
    let heavy = understood("0398 weighed 9000 kg");
    assert!(heavy.pieces[0].readings[0].draft.is_none());
    assert!(heavy.pieces[0].readings[0].doubts[0].says.contains("cannot be a sheep's weight"));
    let unknown = understood("0398 given foot spray");
    assert!(unknown.pieces[0].readings[0].doubts[0].says.contains("not in the cupboard"));
}

mod random {
    use super::*;
    use crate::entry::{PenMoveDraft, RemarkDraft, StandingDraft, TreatmentDraft, WeighingDraft};
    use crate::terms::speech::Speech;
    use proptest::prelude::*;

    const TAGS: [&str; 8] = ["0412", "0405", "0398", "0391", "0377", "R7", "0412/26-1", "0405/26-3"];

    fn some_animals() -> impl Strategy<Value = Vec<&'static str>> {
        proptest::sample::subsequence(TAGS.to_vec(), 1..=5)
    }

    pub(super) fn text() -> impl Strategy<Value = String> {
        prop_oneof![
            "[a-z]{1,9}( [a-z]{1,9}){0,3}".boxed(),
            "[ -~]{1,30}".boxed(),
            proptest::sample::select(vec![
                "say \"no\"",
                "(left)",
                "12 mar",
                "0412",
                "twins",
                "2 ml",
                "é, ß; (“x”)",
                "\"",
                "lot (a",
                "for it"
            ])
            .prop_map(String::from)
            .boxed(),
        ]
        .prop_filter("words are there", |t| !t.trim().is_empty() && t.trim() == t)
    }

    pub(super) fn when() -> impl Strategy<Value = Moment> {
        (0..9_i64, proptest::option::of((0..24_u32, 0..60_u32))).prop_map(|(back, time)| Moment {
            day: day(TODAY).plus(-back),
            time: time.and_then(|(h, m)| Minute::new(h, m)),
        })
    }

    fn weight() -> impl Strategy<Value = Weight> {
        (200..150_000_i64).prop_map(|g| Weight::from_grams(g).unwrap())
    }

    fn dose() -> impl Strategy<Value = Dose> {
        prop_oneof![
            (1..90_000_u32).prop_map(Dose::Volume),
            (1..9_000_u64).prop_map(|mg| Dose::Mass(mg * 1000)),
            (1..4_u32).prop_map(Dose::Pieces)
        ]
    }

    fn period() -> impl Strategy<Value = Withdrawal> {
        prop_oneof![
            Just(Withdrawal::Unknown),
            Just(Withdrawal::Never),
            (0..90_u16).prop_map(Withdrawal::Days),
            (1..400_u16).prop_map(Withdrawal::Hours)
        ]
    }

    fn lamb() -> impl Strategy<Value = LambDraft> {
        let seen = (proptest::option::of(any::<bool>()), proptest::option::of(any::<bool>()));
        let more = (
            proptest::option::of(text()),
            proptest::option::of(text()),
            proptest::option::of(1..400_000_u32),
        );
        (0..3_usize, proptest::option::of(weight()), 0..3_usize, seen, more, 0..3_usize).prop_map(
            |(sex, weight, fate, (sucked, navel), (colour, died_of, colostrum), rears)| {
                let flock = flock_of_ids();
                let mut l = LambDraft::new([Sex::Ewe, Sex::Ram, Sex::Wether][sex]);
                l.weight = weight;
                l.fate = [Fate::Alive, Fate::BornDead, Fate::Died][fate];
                l.died_of = died_of.filter(|_| l.fate != Fate::Alive);
                (l.sucked, l.navel_dipped, l.colour) = (sucked, navel, colour);
                l.colostrum = colostrum.map(Dose::Volume);
                l.rearing = [Rearing::Dam, Rearing::Bottle, Rearing::Foster(flock)][rears];
                l
            },
        )
    }

    thread_local! {
        pub(super) static FLOCK: Flock = flock();
    }

    fn flock_of_ids() -> AnimalId {
        FLOCK.with(|f| id(f, "0391"))
    }

    fn drafts() -> impl Strategy<Value = Draft> {
        let ids = |tags: Vec<&'static str>| FLOCK.with(|f| tags.iter().map(|t| id(f, t)).collect::<Vec<_>>());
        let pens = proptest::sample::select(vec!["Pen 3", "Pen 5", "Long field", "Top shed", "9", "Jug two"]);
        let treatment = (
            (
                some_animals(),
                when(),
                proptest::sample::select(vec![
                    "Worm drench, white",
                    "Iodine 7 %",
                    "Clostridial vaccine 4-in-1",
                ]),
            ),
            (proptest::option::of(text()), 0..3_usize, dose(), proptest::option::of(0..8_usize)),
            (proptest::option::of(text()), proptest::option::of(text()), proptest::option::of(text())),
            (proptest::option::of(text()), proptest::option::of(period()), proptest::option::of(period())),
        )
            .prop_map(
                move |(
                    (a, at, product),
                    (batch, how, dose, route),
                    (site, reason, by),
                    (vet, meat, milk),
                )| {
                    let routes = [
                        Route::Subcutaneous,
                        Route::Intramuscular,
                        Route::Oral,
                        Route::Topical,
                        Route::Intravenous,
                        Route::Intramammary,
                        Route::Eye,
                        Route::Other,
                    ];
                    Draft::Treatment(Box::new(TreatmentDraft {
                        animals: ids(a),
                        at,
                        product: product.into(),
                        batch,
                        dose: [DoseDraft::ByRule, DoseDraft::Typed(None), DoseDraft::Typed(Some(dose))][how],
                        route: route.map(|r| routes[r]),
                        site,
                        reason,
                        given_by: by,
                        prescribed_by: vet,
                        meat,
                        milk,
                        more: Default::default(),
                    }))
                },
            );
        let lambing = (
            (when(), 0..4_usize, proptest::option::of(0..5_usize)),
            (proptest::option::of(text()), proptest::option::of(text())),
            proptest::option::of(pens.clone()),
            proptest::collection::vec(lamb(), 1..4),
            any::<bool>(),
        )
            .prop_map(|((at, sire, ease), (help, note), pen, lambs, takes)| {
                let (ewe, r7, r8, other) =
                    FLOCK.with(|f| (id(f, "0398"), id(f, "R7"), id(f, "R8"), id(f, "0405/26-2")));
                let eases = [Ease::Unassisted, Ease::Slight, Ease::Hard, Ease::Vet, Ease::Surgery];
                Draft::Lambing(Box::new(LambingDraft {
                    ewe,
                    at,
                    sire: [Sire::Unknown, Sire::Known(r7), Sire::Known(r8), Sire::OneOf(vec![r7, r8])][sire]
                        .clone(),
                    ease: ease.map(|e| eases[e]),
                    help,
                    note,
                    pen: pen.map(String::from),
                    lambs,
                    foster_on: takes.then_some(other).into_iter().collect(),
                }))
            });
        prop_oneof![
            treatment,
            lambing,
            (some_animals(), when(), proptest::option::of(pens)).prop_map(
                move |(a, at, pen)| Draft::PenMove(PenMoveDraft {
                    animals: ids(a),
                    on: at.day,
                    pen: pen.map(String::from)
                })
            ),
            (some_animals(), when(), proptest::collection::vec((weight(), proptest::option::of(text())), 5))
                .prop_map(move |(a, at, w)| {
                    let each = ids(a).into_iter().zip(w);
                    Draft::Weighings(
                        each.map(|(animal, (weight, note))| WeighingDraft { animal, at, weight, note })
                            .collect(),
                    )
                }),
            (some_animals(), when(), 0..6_usize, proptest::option::of(text()), proptest::option::of(text()))
                .prop_map(move |(a, at, to, other, reason)| {
                    let all = [
                        Status::Present,
                        Status::Dead,
                        Status::Sold,
                        Status::Culled,
                        Status::Missing,
                        Status::Lent,
                    ];
                    Draft::Standing(StandingDraft {
                        animals: ids(a),
                        to: all[to],
                        on: at.day,
                        other,
                        reason,
                        details: Default::default(),
                    })
                }),
            super::mating::mating(),
            super::judged::judged(),
            (some_animals(), when(), text()).prop_map(move |(a, at, text)| Draft::Remark(RemarkDraft {
                animals: ids(a),
                on: at.day,
                text
            })),
        ]
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 400, ..ProptestConfig::default() })]

        /// What is said of a draft is read as that draft, in whatever order days are written.
        #[test]
        fn every_sentence_is_read_back(draft in drafts(), days in proptest::sample::select(&DayOrder::ALL)) {
            let _spoken = Speech { days, ..Speech::default() }.during();
            FLOCK.with(|flock| {
                let words = Words::of(flock, day(TODAY));
                let said = say(&draft, flock, day(TODAY));
                let all = read(&said, flock, &words, day(TODAY));
                prop_assert_eq!(&all.lost, &[], "{}", said);
                prop_assert_eq!(all.pieces.len(), 1, "{}: {:?}", said, all.pieces);
                prop_assert_eq!(all.pieces[0].readings[0].draft.as_ref(), Some(&draft), "{}", said);
                Ok(())
            })?;
        }

        /// Any text is read without a fault, every place it names lies in it, and no word is lost that is no mark.
        #[test]
        fn any_text_is_read(line in "\\PC{0,120}") {
            FLOCK.with(|flock| {
                let words = Words::of(flock, day(TODAY));
                let all = read(&line, flock, &words, day(TODAY));
                let doubts = all.pieces.iter().flat_map(|p| p.readings.iter().flat_map(|r| &r.doubts));
                for span in doubts.chain(&all.lost).map(|d| &d.span).chain(all.pieces.iter().map(|p| &p.span)) {
                    prop_assert!(line.get(span.clone()).is_some(), "{:?}", span);
                }
                Ok(())
            })?;
        }

        /// So is any row of words the grammar knows.
        #[test]
        fn any_words_are_read(words_ in proptest::collection::vec(proptest::sample::select(vec![
            "0412", "0412a", "0398", "R7", "pen", "3", "all", "lambs", "ewes", "but", "twins", "triplet", "ram", "ewe",
            "4.3", "kg", "2", "ml", "clostridial", "drench", "im", "batch", "to", "on", "the", "bottle", "fostered",
            "dead", "(why)", ",", ":", ";", "both", "one", "sucked", "at", "4:55", "yesterday", "12", "mar", "weighed",
            "lost", "tag", "new", "by", "marked", "red", "served", "returned", "crayon", "off", "scanned", "empty", "45", "days", "or", "for", "with", "docked", "out", "of", "\"x\"", "note", "until", "vet", "udder", "condition", "eyelid", "cull", "castrate", "done", "keep", "entire", "market",
        ]), 0..30)) {
            FLOCK.with(|flock| {
                let words = Words::of(flock, day(TODAY));
                let line = words_.join(" ");
                let all = read(&line, flock, &words, day(TODAY));
                for r in all.pieces.iter().flat_map(|p| &p.readings) {
                    if let Some(d) = &r.draft {
                        let _ = d.check(flock, day(TODAY));
                    }
                }
            });
        }
    }

    #[test]
    fn ticks_and_partings_are_read_back() {
        let flock = flock();
        let words = Words::of(&flock, day(TODAY));
        for line in [
            "0412b docked",
            "0412a, 0412b dock put off until 2026-03-23 (wet)",
            "0412a castrate left out (to be kept)",
        ] {
            let all = read(line, &flock, &words, day(TODAY));
            let draft = all.pieces[0].readings[0].draft.clone().unwrap();
            let Draft::Ticks(d) = &draft else { panic!("{line}: {draft:?}") };
            assert_eq!(d.outcome == Outcome::Done, line.ends_with("docked"));
            let again = read(&say(&draft, &flock, day(TODAY)), &flock, &words, day(TODAY));
            assert_eq!(again.pieces[0].readings[0].draft.as_ref(), Some(&draft), "{line}");
        }
    }
}
