use super::*;

fn set(text: &str) -> Result<RuleSet, String> {
    RuleSet::of(SetFile::read(text, false)?)
}

const HEAD: &str = "id = \"x\"\nname = \"Xland\"\nsource = \"Act 1\"\nseen = true\n";

#[test]
fn each_is_found_by_its_id_and_file() {
    let ids: Vec<&str> = rule_sets().iter().map(RuleSet::id).collect();
    assert_eq!(ids, ["eu", "gb", "gb-england", "gb-wales", "gb-scotland", "ni", "us", "au", "ca", "nz"]);
    for id in ids {
        assert_eq!(rule_set(id).map(RuleSet::id), Some(id));
    }
    assert_eq!(rule_set("gb").map(RuleSet::name), Some("Great Britain"));
    assert_eq!(rule_set("gb-wales").map(RuleSet::name), Some("Great Britain: Wales"));
    assert_eq!((rule_set(""), rule_set("atlantis")), (None, None));
}

/// A limit from memory may shorten the days for a ring, never lengthen them.
#[test]
fn memory_never_loosens() {
    let rows = |memory: i64| {
        let row = |day: i64, seen: bool| {
            format!(
                "[[procedure]]\nkey = \"seen_{seen}\"\nwhat = \"docking\"\nring_last_day = {day}\nsource = \"Act 2\"\nseen = {seen}\n"
            )
        };
        set(&format!("{HEAD}{}{}", row(7, true), row(memory, false)))
            .unwrap()
            .ring(Procedure::Docking)
            .unwrap()
    };
    assert_eq!(rows(30), RingLimit { last_day: 7, from_memory: false });
    assert_eq!(rows(7), RingLimit { last_day: 7, from_memory: false });
    assert_eq!(rows(3), RingLimit { last_day: 3, from_memory: true });
    for set in rule_sets() {
        for what in [Procedure::Castration, Procedure::Docking] {
            let seen =
                set.parts.iter().filter(|p| !p.is_from_memory()).filter_map(|p| p.ring_day(what)).min();
            let used = set.ring(what).map(|limit| limit.last_day);
            assert!(seen.is_none() || used <= seen, "{}: {used:?} beside {seen:?}", set.id());
        }
    }
}

#[test]
fn what_is_from_memory_says_so() {
    let words = |id: &str| rule_set(id).unwrap().ring_words();
    assert_eq!(
        words("gb").unwrap(),
        "Great Britain: rings by day 7 (from memory: castration in Scotland, docking); tail: cover vulva or anus \
         (from memory: Wales)"
    );
    assert_eq!(words("ni").unwrap(), "Northern Ireland: rings by day 7; tail: cover vulva or anus");
    assert_eq!(words("us").unwrap(), "United States: tail: far end of the caudal tail fold (advice)");
    assert_eq!(words("ca").unwrap(), "Canada: tail: cover vulva, same length in rams (from memory)");
    assert!(words("au").unwrap().contains("at least one palpable free joint (from memory)"));
    assert_eq!(words("eu"), None, "the member states decide");
}

/// Whatever rests on memory alone is marked where it is shown.
#[test]
fn every_row_from_memory_is_marked_on_paper() {
    for set in rule_sets() {
        let memory = set.parts.iter().filter(|p| p.is_from_memory() && p.is_on_paper()).count();
        let words = set.ring_words().unwrap_or_default();
        assert_eq!(memory > 0, words.contains("from memory"), "{}: {words}", set.id());
        let short = set.ring_words_short().unwrap_or_default();
        assert_eq!(memory > 0, short.contains(STAR), "{}: {short}", set.id());
        assert!(!short.contains("memory"), "{}: {short}", set.id());
    }
    assert!(day_count().ground.is_memory() && day_count().ground.to_string().ends_with("(from memory)"));
}

#[test]
fn rows_nobody_reads_or_that_say_nothing_are_refused() {
    assert!(set(HEAD).is_ok());
    let with = |row: &str| set(&format!("{HEAD}{row}")).unwrap_err();
    let law = "key = \"k\"\nsource = \"Act 2\"\nseen = true\n";
    for (row, why) in [
        ("[[moon]]\n", "[[moon]] is unknown"),
        ("[[procedure]]\nwhat = \"docking\"\n", "says nothing"),
        ("[[procedure]]\nwhat = \"docking\"\nring_last_day = 0\n", "1 or later"),
        ("[[procedure]]\nwhat = \"docking\"\nring_last_day = 7\nring = 3\n", "unknown field"),
        ("[[procedure]]\nwhat = \"castration\"\nkeep = \"half\"\n", "only a tail"),
        ("[[treatment_fields]]\nrequired = [\"moon\"]\n", "unknown variant"),
        ("[[treatment_fields]]\nrequired = []\n", "nothing is required"),
        ("[[treatment_fields]]\nwhen = \"off_label\"\nrequired = [\"species\"]\n", "comes first"),
        ("[[cupboard]]\nacquired = []\n", "asks for nothing"),
        ("[[retention]]\nrecord = \"treatment\"\nyears = 0\nfrom = \"record\"\n", "1 to 100"),
        ("[[off_label]]\ncommodity = \"meat\"\n", "says nothing"),
        ("[[off_label]]\ncommodity = \"meat\"\nfactor = 0.5\nround = \"up_to_whole_days\"\n", "from 1 to 10"),
        ("[[off_label]]\ncommodity = \"meat\"\nfactor = 1.5\n", "goes with"),
        ("[[off_label]]\ncommodity = \"milk\"\ndays_if_not_for_food_animals = 9\n", "is for meat"),
        ("[[off_label]]\ncommodity = \"milk\"\nvet_sets_period = true\n", "goes with must_exceed_label"),
        (
            "[[off_label]]\ncommodity = \"milk\"\ndays_minimum = 1\nzero_case_only_if_other_family = true\n",
            "goes with",
        ),
        ("[[banned]]\nsubstances = []\n", "names none"),
        ("[[organic]]\nfactor = 0\nminimum_hours = 48\n", "1 or more"),
        ("[[export]]\nmarkets = [\"whp\"]\n", "without its period"),
        ("[[tagging]]\nreplace_lost_within_days = 3\n", "not until when"),
        ("[[register]]\nholds = []\n", "holds nothing"),
        ("[[register]]\nholds = [\"deaths\"]\nyearly_count_on = \"soon\"\n", "no day of the year"),
        ("[[mark]]\nname = \"m\"\nkind = \"official\"\npattern = \"X\"\n", "begins with ^"),
        ("[[mark]]\nname = \"m\"\nkind = \"official\"\npattern = \"^(X$\"\n", "cannot be read"),
        (
            "[[mark]]\nname = \"m\"\nkind = \"official\"\npattern = \"^X$\"\nvalid = [\"Y\"]\n",
            "its own example 'Y'",
        ),
        (
            "[[mark]]\nname = \"m\"\nkind = \"official\"\npattern = \"^X$\"\ninvalid = [\"x\"]\n",
            "and it fits",
        ),
        (
            "[[mark]]\nname = \"m\"\nkind = \"official\"\npattern = \"^X$\"\ncheck_digit = true\n",
            "no check digit",
        ),
    ] {
        let said = with(&format!("{row}{law}"));
        assert!(said.contains(why), "{row} said: {said}");
    }
    let retention = "[[retention]]\nrecord = \"treatment\"\nyears = 5\nfrom = \"record\"\n";
    assert!(with(&format!("{retention}source = \"Act 2\"\nseen = true\n")).contains("needs its key"));
    assert!(with(&format!("{retention}key = \"k\"\nseen = true\n")).contains("without a source"));
    assert!(with(&format!("{retention}key = \"k\"\nsource = \"Act 2\"\n")).contains("needs the mark"));
    assert!(with(&format!("{retention}{law}{retention}{law}")).contains("two rows with the key 'k'"));
    let tagging =
        |key: &str| format!("[[tagging]]\nmonths_max = 9\nsource = \"A\"\nseen = true\nkey = \"{key}\"\n");
    assert!(with(&format!("{}{}", tagging("a"), tagging("b"))).contains("another row says the same"));
    assert!(set("id = \"\"\nname = \"\"\nsource = \"Act 1\"\nseen = true").is_err());
    assert!(set(&format!("{HEAD}colour = \"red\"\n")).unwrap_err().contains("unknown field `colour`"));
}

/// Nothing lies in a file of rules that no page can show: each `[[row]]` of the files is in `rows()` of its set, with
/// its source, its words and its own text.
#[test]
fn every_row_of_every_file_is_used() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../resources/rules");
    let mut files = 0;
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let name = path.file_stem().unwrap().to_string_lossy().into_owned();
        let text = std::fs::read_to_string(&path).unwrap();
        let table: toml::Table = text.parse().unwrap();
        let of: Vec<&RuleSet> = match name.as_str() {
            "any" | "day_count" => rule_sets().iter().collect(),
            id => vec![rule_set(id).unwrap()],
        };
        let rows =
            table.values().filter_map(toml::Value::as_array).flatten().filter_map(toml::Value::as_table);
        let rows: Vec<&toml::Table> = rows.chain((name == "day_count").then_some(&table)).collect();
        assert!(!rows.is_empty(), "{name}");
        for set in of {
            let shown = set.rows();
            for row in &rows {
                let key = row["key"].as_str().unwrap();
                let found: Vec<&RuleRow> = shown.iter().filter(|r| r.key == key).collect();
                assert_eq!(found.len(), 1, "{name}: {key} in {}", set.id());
                let found = found[0];
                assert!(found.ground.to_string().contains(row["source"].as_str().unwrap()), "{name}: {key}");
                assert_eq!(found.ground.is_memory(), row["seen"].as_bool() == Some(false), "{name}: {key}");
                assert!(found.words.len() > 20 && found.words.ends_with('.'), "{key}: {}", found.words);
                assert!(text.contains(found.toml.trim()), "{name}: {key}");
            }
        }
        files += 1;
    }
    assert_eq!(files, 9);
    for set in rule_sets().iter().filter(|s| !s.id().starts_with("gb-")) {
        let file = folder_rows(set.id());
        assert_eq!(
            set.rows().len(),
            file + 2,
            "{}: its rows, that of every place and the counting",
            set.id()
        );
    }
}

fn folder_rows(id: &str) -> usize {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../resources/rules/{id}.toml"));
    std::fs::read_to_string(path).unwrap().lines().filter(|l| l.starts_with("[[")).count()
}

#[test]
fn parts_of_a_place_have_its_rows_and_their_own() {
    let keys =
        |id: &str| -> Vec<String> { rule_set(id).unwrap().rows().into_iter().map(|r| r.key).collect() };
    let (all, wales) = (keys("gb"), keys("gb-wales"));
    assert!(wales.iter().all(|k| all.contains(k)) && wales.contains(&"castration_wales".to_owned()));
    assert!(!wales.iter().any(|k| k.ends_with("_england") || k.ends_with("_scotland")));
    assert!(
        rule_set("gb-england").unwrap().register().is_some()
            && rule_set("gb-wales").unwrap().register().is_none()
    );
    let scotland = rule_set("gb-scotland").unwrap();
    assert_eq!(scotland.ring(Procedure::Castration), Some(RingLimit { last_day: 7, from_memory: true }));
    assert_eq!(
        rule_set("gb-england").unwrap().ring_words().unwrap(),
        "Great Britain: England: rings by day 7 (from memory: docking); tail: cover vulva or anus"
    );
}

/// Rows as people read them; each topic once.
#[test]
fn rows_read_as_plain_sentences() {
    let words = |id: &str, key: &str| {
        rule_set(id).unwrap().rows().into_iter().find(|r| r.key == key).map(|r| r.words).unwrap_or_default()
    };
    for (id, key, said) in [
        (
            "gb",
            "cupboard_disposed",
            "Of medicine disposed of are to be written day of disposal, quantity, how and where.",
        ),
        ("gb", "keep_register", "The flock register is kept for 3 years after the last animal died or left."),
        (
            "eu",
            "meat_off_label",
            "Off-label, for meat: 1.5 times the label's longest period, rounded up to whole days; 28 days for a product \
             not for animals people eat; 1 day where the label says zero and its species are of another family.",
        ),
        (
            "us",
            "banned_nitrofurans",
            "No off-label use of any of the nitrofurans, such as furazolidone and nitrofurazone.",
        ),
        (
            "eu",
            "organic",
            "An organic flock withholds for 2 times the label's or the vet's period, at least 48 hours; vaccines keep theirs.",
        ),
        ("gb", "gb_holding", "A holding number (CPH) looks like 34/123/1234."),
        (
            "gb",
            "tagging",
            "An animal is tagged by the age of 9 months, by 6 months if housed at night, always before it leaves the \
             holding it was born on; a lost tag is replaced within 28 days.",
        ),
        (
            "gb",
            "castration_england",
            "England: castration: rubber ring until day 7 after birth; with an anaesthetic from the age of 3 months.",
        ),
        ("eu", "castration_and_docking", "Castration and docking: the limits are set by the member state."),
        (
            "gb",
            "register_england",
            "England: the register holds first tagging, replacement tags, moves on, moves off, deaths and yearly count; \
             of a move: date, number of animals, animals' codes and other holding; of a death: date and animal's code; \
             counted each year on 1 Dec; a move is written within 36 hours.",
        ),
    ] {
        assert_eq!(words(id, key), said);
    }
    let topics = |id: &str| -> std::collections::BTreeSet<Topic> {
        rule_set(id).unwrap().rows().iter().map(|r| r.topic).collect()
    };
    let both: std::collections::BTreeSet<Topic> = topics("gb").union(&topics("us")).copied().collect();
    assert_eq!(both.into_iter().collect::<Vec<_>>(), Topic::ALL);
}
