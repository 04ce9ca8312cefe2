use super::*;
use crate::flock::Holding;
use crate::phrase;
use crate::terms::counted;
use proptest::prelude::*;

fn trade(id: &str) -> Trade {
    Trade::known(id).unwrap_or_else(|| panic!("{id}"))
}

#[test]
fn the_sets_are_whole() {
    let ids: Vec<&str> = Trade::all().map(Trade::id).collect();
    assert_eq!(ids, ["plain", "gb", "gb-north", "us", "au-nz"]);
    for t in Trade::all() {
        assert!(!t.name().is_empty() && !t.remark().is_empty(), "{}", t.id());
        assert_eq!(Trade::of(t.id()), t);
    }
    for set in &WORDS.sets {
        // What is said of one thing is said of no other: a noun and a verb of one stem may share a form.
        let mut of: RapidHashMap<&str, &str> = RapidHashMap::default();
        for (words, said) in set.by_first.values().flatten() {
            let stem = &words[0][..words[0].len().min(4)];
            let known = of.entry(said).or_insert(stem);
            let stands = (*known, stem);
            assert!(
                stands.0 == stands.1 || ["tups", "tup"].contains(&said.as_str()),
                "{}: '{said}' is said of {stands:?}",
                set.id
            );
        }
        // Nothing that is said is said otherwise once more.
        for (_, said) in set.by_first.values().flatten() {
            let said: &'static str = Box::leak(said.clone().into_boxed_str());
            let again = Trade(Some(set)).said(said);
            assert_eq!(again, said, "{}", set.id);
        }
    }
    assert_eq!((Trade::of(""), Trade::of("of a later version")), (Trade::PLAIN, Trade::PLAIN));
}

#[test]
fn a_row_that_lacks_a_form_is_refused() {
    let set = |rows: &str| {
        let head =
            "[[set]]\nid = \"x\"\nname = \"x\"\nremark = \"x\"\nsource = \"common practice, no source\"\n";
        toml::from_str::<File>(&format!("also = []\n{head}{rows}"))
            .map_err(|e| e.to_string())
            .and_then(|f| f.set.into_iter().map(Set::read).collect::<Result<Vec<_>, _>>().map(|_| ()))
    };
    assert_eq!(set("[[set.noun]]\nplain = [\"ram\", \"rams\"]\nsaid = [\"tup\", \"tups\"]\n"), Ok(()));
    for (rows, why) in [
        ("[[set.noun]]\nplain = [\"ram\", \"rams\"]\nsaid = [\"tup\"]\n", "2 forms are needed"),
        ("[[set.verb]]\nplain = [\"join\", \"joins\"]\nsaid = [\"tup\", \"tups\"]\n", "4 forms are needed"),
        ("[[set.word]]\nplain = \"ram\"\nsaid = \"tup\"\n", "unknown field"),
        ("[[set.phrase]]\nplain = \"Ram\"\nsaid = \"tup\"\n", "small letters"),
        ("[[set.phrase]]\nplain = \"ram\"\nsaid = \"entire\"\n", "take other articles"),
        (
            "[[set.phrase]]\nplain = \"ram\"\nsaid = \"tup\"\n[[set.phrase]]\nplain = \"ram\"\nsaid = \"buck\"\n",
            "'ram' is 'tup' and 'buck'",
        ),
    ] {
        let refused = set(rows).unwrap_err();
        assert!(refused.contains(why), "{refused}");
    }
}

#[test]
fn whole_words_in_their_case_and_form() {
    let north = trade("gb-north");
    for (plain, said) in [
        ("Joinings", "Tuppings"),
        ("Join with a ram", "Put to the tup"),
        ("No joined ewe is waiting.", "No tupped ewe is waiting."),
        ("ewe lambs, ram lambs", "gimmer lambs, tup lambs"),
        ("Ram's progeny", "Tup's progeny"),
        ("RAM", "TUP"),
        ("Ewe, ram and ram lamb", "Ewe, tup and tup lamb"),
        // Not within words.
        (
            "programme, frames, rampant, joint ill, adjoining",
            "programme, frames, rampant, joint ill, adjoining",
        ),
        ("", ""),
    ] {
        assert_eq!(north.said(plain), said);
    }
    assert_eq!(trade("us").said("Joined ewes by colour"), "Bred ewes by color");
    assert_eq!(trade("gb").said("Write the joining of the ram"), "Write the tupping of the ram");
    assert_eq!(trade("au-nz").said("Joinings: young ewes with a ram"), "Joinings: hoggets with a ram");
}

#[test]
fn what_a_keeper_wrote_stays_as_it_is() {
    let note = String::from("ram broke the gate");
    let spoken = |id: &str| Holding { words: id.into(), ..Holding::default() }.speech().during();
    let _north = spoken("gb-north");
    assert_eq!(phrase!("{} joined by the ram: {}", 3, note), "3 tupped by the tup: ram broke the gate");
    assert_eq!((counted(1, "ram"), counted(2, "ram lamb")), ("1 tup".into(), "2 tup lambs".into()));
    let _plain = spoken("");
    assert_eq!(phrase!("{} joined", "ram"), "ram joined");
}

#[test]
fn words_of_the_trade_are_found() {
    for typed in ["tup", "tupping", "breed", "Bred", "mating"] {
        assert!(means(typed, "Joinings"), "{typed}");
    }
    assert!(means("tup", "Ram families"));
    assert!(means("jug", "Lambing"));
    assert!(!means("tup", "Weights") && !means("tu", "Joinings") && !means("", "Joinings"));
}

proptest! {
    #[test]
    fn plain_is_as_written(text in "\\PC{0,40}") {
        let fixed: &'static str = Box::leak(text.clone().into_boxed_str());
        prop_assert_eq!(Trade::PLAIN.said(fixed), text.as_str());
        prop_assert!(matches!(Trade::PLAIN.said(fixed), Cow::Borrowed(_)));
    }

    #[test]
    fn only_known_words_change_and_what_is_told_of_never_does(
        text in "[a-zA-Z ,.'äß]{0,40}",
        kept in "\\PC{0,20}",
    ) {
        let fixed: &'static str = Box::leak(text.into_boxed_str());
        for t in Trade::all() {
            let said = t.said(fixed);
            // The signs between the words stand as they stood, unless a phrase of several words was met.
            let signs = |s: &str| s.chars().filter(|c| !c.is_alphabetic() && *c != ' ').collect::<String>();
            prop_assert_eq!(signs(&said), signs(fixed));
            let _spoken = Holding { words: t.id().into(), ..Holding::default() }.speech().during();
            let whole = phrase!("ram {} ram", kept);
            let tup = t.said("ram");
            prop_assert_eq!(whole, format!("{tup} {kept} {tup}"));
        }
    }
}
