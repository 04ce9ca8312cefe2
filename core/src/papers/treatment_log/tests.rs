use super::*;
use crate::flock::{Amendment, Holding, RecordRef, Struck};
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{self, day, lambing_shed};
use crate::papers::sheet::Mark;
use crate::papers::{FolderOptions, inspector_folder, text};
use crate::terms::{EntryId, IdentityKind, Minute, Moment, Sex, Withdrawal};
use proptest::prelude::*;

/// Sixty treatments of the shed's lambs, one amended, one struck out, some with little written down.
fn treated() -> Flock {
    let (mut flock, ewes, lambs) = lambing_shed();
    let mut amendments = rapidhash::RapidHashMap::default();
    for i in 0..60i64 {
        let id = [ewes.as_slice(), lambs.as_slice()].concat()[i as usize % 9];
        let mut file = flock.file(id).unwrap().clone();
        let at = Moment { day: day("2026-02-01").plus(i), time: Minute::new(7 + (i as u32 % 12), 15) };
        let (meat, milk) = match i % 4 {
            0 => (Withdrawal::Days(0), Withdrawal::Hours(60)),
            1 => (Withdrawal::Days(28), Withdrawal::Never),
            2 => (Withdrawal::Unknown, Withdrawal::Unknown),
            _ => (Withdrawal::Days(1), Withdrawal::Days(7)),
        };
        let product = [
            "long-acting oxytetracycline 200 mg/ml",
            "Lambs' first drench, cobalt and vitamin E",
            "chlortetracycline spray",
        ][i as usize % 3];
        let mut t = fixture::treatment(id, product, at, meat, milk);
        if i % 7 == 0 {
            (t.batch, t.dose, t.site, t.prescribed_by) = (None, None, None, None);
        }
        if i == 5 {
            let reason = "written to the wrong ewe".to_owned();
            t.struck = Some(Box::new(Struck { on: day("2026-03-01"), reason }));
        }
        if i == 8 {
            let amendment = Amendment {
                entry: EntryId::new(),
                at: "2026-03-02 21:10".into(),
                who: "Eirlys Pugh".into(),
                reason: "misread the syringe".into(),
                fields: vec![("dose".into(), "25 ml".into(), "2.5 ml".into())],
            };
            amendments.insert(RecordRef::Treatment(t.id), vec![amendment]);
        }
        file.treatments.push(t);
        flock.put(file);
    }
    flock.set_amendments(amendments);
    flock
}

#[test]
fn the_log_on_both_sheets() {
    let flock = treated();
    for sheet in SheetSize::ALL {
        let options = TreatmentLogOptions { sheet, ..TreatmentLogOptions::default() };
        let paper = treatment_log(&flock, None, day("2026-04-16"), &options, &carry_on).unwrap();
        picture(&format!("log-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words = letters(&paper);
        for said in [
            "ThornfellHeritage",
            "Holdingnumber55/123/4567",
            "KeeperEirlysPugh",
            "TŷUchaf,CwmDu",
            "61treatmentsof9animals;1linestruckout.",
            "0days",
            "28days",
            "60hours",
            "never",
            "unknown,notclear",
            "notclear",
            "Struckouton1Mar2026:writtentothewrongewe",
            "dosewas25ml,now2.5ml",
            "Amended2Mar2026,21:10byEirlysPugh",
            "reason:misreadthesyringe",
            "VetÓrlaNíBhriain",
            "neck,left",
            "826012345600412",
            "Totalsbyproduct",
            "Label,vetandlocallawdecide.",
            "Signed",
        ] {
            assert!(words.contains(said), "{said}");
        }
        let last = paper.pages.len();
        assert!(words.contains(&format!("Page{last}of{last}")));
    }
}

#[test]
fn the_rules_stand_below_the_log() {
    let mut flock = treated();
    for set in crate::rules::rule_sets() {
        flock.set_holding(Holding { rules: set.id().into(), ..flock.holding().clone() });
        for sheet in SheetSize::ALL {
            let options = TreatmentLogOptions { sheet, ..TreatmentLogOptions::default() };
            let paper = treatment_log(&flock, None, day("2026-04-16"), &options, &carry_on).unwrap();
            picture(&format!("log-{}-{}", set.id(), sheet.word()), &paper);
            assert_inside(&paper, 8.0);
            let words = letters(&paper);
            let kept = set.retention().map_or_else(|| "ask your authority".into(), |kept| kept.words());
            assert!(words.contains(&bare(&kept)), "{}", set.id());
            let asked = set.fields().map(|_| format!("{}: to be written are", set.name()));
            assert!(asked.is_none_or(|asked| words.contains(&bare(&asked))), "{}", set.id());
            // The foot leaves room for the page's number.
            for (i, page) in paper.pages.iter().enumerate() {
                let ends = page.marks.iter().filter_map(|m| match m {
                    Mark::Text { x_mm, size_pt, face, text, .. } if text.starts_with("Printed") => {
                        Some(x_mm + text::width_mm(*face, *size_pt, text))
                    }
                    _ => None,
                });
                let number = page.marks.iter().find_map(|m| match m {
                    Mark::Text { x_mm, text, .. } if text.starts_with("Page ") => Some(*x_mm),
                    _ => None,
                });
                let right = ends.fold(0.0, f32::max);
                assert!(right > 0.0 && right < number.unwrap() - 3.0, "{}, page {}", set.id(), i + 1);
            }
        }
    }
}

/// The pages of the log as they are printed by themselves and as a part of the inspector's folder, without their feet.
#[test]
fn the_log_alone_is_the_log_in_the_folder() {
    let mut flock = treated();
    flock.set_holding(Holding { rules: "gb".into(), ..flock.holding().clone() });
    let today = day("2026-04-16");
    let alone = treatment_log(&flock, None, today, &TreatmentLogOptions::default(), &carry_on).unwrap();
    let options =
        FolderOptions { kinds: vec![RegisterKind::TreatmentLog], gaps: false, ..FolderOptions::default() };
    let folder = inspector_folder(&flock, today, &options, &carry_on).unwrap();
    let marks = |pages: &[crate::papers::Page]| -> Vec<String> {
        let foot = |mark: &Mark| matches!(mark, Mark::Text { text, .. } if text.starts_with("Page "));
        pages.iter().flat_map(|p| &p.marks).filter(|m| !foot(m)).map(|m| format!("{m:?}")).collect()
    };
    let within = &folder.pages[folder.pages.len() - alone.pages.len()..];
    assert!(marks(within).len() > 500);
    assert_eq!(marks(within), marks(&alone.pages));
}

#[test]
fn days_and_animals_are_chosen() {
    let flock = treated();
    let options = TreatmentLogOptions {
        from: Some(day("2026-02-03")),
        to: Some(day("2026-02-04")),
        ..Default::default()
    };
    let paper = treatment_log(&flock, None, day("2026-04-16"), &options, &carry_on).unwrap();
    let words = letters(&paper);
    assert!(words.contains("3Feb2026to4Feb2026") && words.contains("2treatmentsof2animals."), "{words}");
    let ewe = flock.by_tag("0231").unwrap();
    let mine =
        treatment_log(&flock, Some(&[ewe]), day("2026-04-16"), &TreatmentLogOptions::default(), &carry_on);
    let words = letters(&mine.unwrap());
    assert!(words.contains("Chosenanimals:0231") && words.contains("7treatmentsof1animal"), "{words}");
    let never = TreatmentLogOptions { from: Some(day("2030-01-01")), ..Default::default() };
    let empty = treatment_log(&flock, None, day("2026-04-16"), &never, &carry_on).unwrap();
    assert!(letters(&empty).contains("Noentriesfrom1Jan2030to16Apr2026."));
    let stopped =
        treatment_log(&flock, None, day("2026-04-16"), &TreatmentLogOptions::default(), &|_, _| false);
    assert_eq!(stopped, Err(PaperFailed::Stopped));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn no_word_is_lost_or_outside(
        long in "[a-zŵé]{1,60}( [a-z]{1,90}){0,40}", product in "[A-Z][a-z]{1,80}( [a-z]{1,30}){0,6}",
        reason in "[a-z]{1,9}( [a-z]{1,12}){0,900}", tag in "[A-Z0-9]{1,40}", number in "[0-9]{40}",
    ) {
        let mut file = fixture::animal(&tag, "", Sex::Ewe);
        file.animal.identities.push(fixture::mark(IdentityKind::Official, &number));
        let id = file.animal.id;
        let at = Moment::day(day("2026-04-15"));
        let mut t = fixture::treatment(id, &product, at, Withdrawal::Days(28), Withdrawal::Unknown);
        let some = |text: &String| Some(text.into());
        (t.batch, t.site, t.given_by) = (some(&long), some(&long), some(&product));
        (t.prescribed_by, t.reason) = (some(&tag), some(&reason));
        t.struck = Some(Box::new(Struck { on: day("2026-05-02"), reason: reason.clone() }));
        file.treatments = vec![t].into();
        let mut flock = Flock::default();
        flock.put(file);
        let keeper = product.clone();
        flock.set_holding(Holding { flock: long.clone(), address: reason.clone(), keeper, ..Holding::default() });
        let paper = treatment_log(&flock, None, day("2026-04-16"), &TreatmentLogOptions::default(), &carry_on).unwrap();
        assert_inside(&paper, 8.0);
        // Every letter is there, at least as often as it was written.
        let words = letters(&paper);
        let count = |text: &str, c: char| text.chars().filter(|x| *x == c).count();
        let written = bare(&format!("{product}{long}{long}{product}{reason}{reason}{tag}{tag}{number}"));
        for c in ('a'..='z').chain('A'..='Z').chain('0'..='9').chain("ŵé".chars()) {
            prop_assert!(count(&words, c) >= count(&written, c), "{c}");
        }
    }
}
