use super::*;

fn set(text: &str) -> Result<RuleSet, String> {
    toml::from_str(text).map_err(|e| e.to_string())
}

const HEAD: &str = "id = \"x\"\nname = \"Xland\"\nsource = \"Act 1\"\nseen = true\n";

#[test]
fn each_is_found_by_its_id_and_file() {
    let ids: Vec<&str> = rule_sets().iter().map(RuleSet::id).collect();
    assert_eq!(ids, ["eu", "gb", "ni", "us", "au", "ca", "nz"]);
    for id in ids {
        assert_eq!(rule_set(id).map(RuleSet::id), Some(id));
    }
    assert_eq!(rule_set("gb").map(RuleSet::name), Some("Great Britain"));
    assert_eq!((rule_set(""), rule_set("atlantis")), (None, None));
}

/// A limit from memory may shorten the days for a ring, never lengthen them.
#[test]
fn memory_never_loosens() {
    let rows = |memory: i64| {
        let row = |day: i64, seen: bool| {
            format!(
                "[[procedure]]\nwhat = \"docking\"\nring_last_day = {day}\nsource = \"Act 2\"\nseen = {seen}\n"
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
        let memory = set.parts.iter().filter(|p| p.is_from_memory()).count();
        let words = set.ring_words().unwrap_or_default();
        assert_eq!(memory > 0, words.contains("from memory"), "{}: {words}", set.id());
    }
    assert!(day_count().ground.is_memory() && day_count().ground.to_string().ends_with("(from memory)"));
}

#[test]
fn rows_nobody_reads_or_that_say_nothing_are_refused() {
    assert!(set(HEAD).is_ok());
    let with = |row: &str| set(&format!("{HEAD}{row}")).unwrap_err();
    assert!(with("[[tag]]\nid = \"x\"\n").contains("unknown field"));
    let law = "source = \"Act 2\"\nseen = true\n";
    assert!(with(&format!("[[procedure]]\nwhat = \"docking\"\n{law}")).contains("says nothing"));
    assert!(
        with(&format!("[[procedure]]\nwhat = \"docking\"\nring_last_day = 0\n{law}")).contains("1 or later")
    );
    assert!(
        with(&format!("[[procedure]]\nwhat = \"castration\"\nkeep = \"half\"\n{law}"))
            .contains("only a tail")
    );
    assert!(with("[treatment_log]\nyears = 5\nfrom = \"record\"\n").contains("missing field `source`"));
    let field = "[treatment_fields]\nrequired = [\"moon\"]\nadvised = []\n";
    assert!(with(&format!("{field}{law}")).contains("unknown variant"));
    assert!(set("id = \"\"\nname = \"\"\nsource = \"Act 1\"\nseen = true").is_err());
}
