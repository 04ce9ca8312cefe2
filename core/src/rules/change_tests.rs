use super::*;
use crate::terms::RuleChangeId;

fn change(set: &str, row: &str, toml: &str) -> RuleChange {
    RuleChange { id: RuleChangeId::new(), set: set.into(), row: row.into(), toml: toml.into() }
}

const LONGER: &str = "[[retention]]\nkey = \"keep_treatments\"\nrecord = \"treatment\"\nyears = 7\nfrom = \"record\"\n\
    source = \"letter of the county, 2026\"\nseen = true\n";
const OWN: &str = "id = \"isle\"\nname = \"The Isle\"\nsource = \"Isle Order 1\"\nseen = true\n\n\
    [[tagging]]\nkey = \"tagging\"\nmonths_max = 4\nsource = \"Isle Order 1\"\nseen = true\n";

#[test]
fn a_mended_row_stands_in_place_of_the_shipped_one() {
    let set =
        effective("gb", &[change("gb", "keep_treatments", LONGER), change("eu", "keep_treatments", "x")]);
    let set = set.unwrap();
    assert_eq!(
        set.retention().unwrap().words(),
        "kept for 7 years: changed by the keeper: letter of the county, 2026"
    );
    let shipped = rule_set("gb").unwrap();
    assert_eq!(set.rows().len(), shipped.rows().len());
    let mended: Vec<String> = set.rows().into_iter().filter(|r| r.mended).map(|r| r.key).collect();
    assert_eq!(mended, ["keep_treatments"]);
    assert_eq!(set.ring_words(), shipped.ring_words());
    assert_eq!(&effective("gb", &[]).unwrap(), shipped);
    // The last counts, and an empty one takes it back.
    let back = [change("gb", "keep_treatments", LONGER), change("gb", "keep_treatments", "")];
    assert_eq!(&effective("gb", &back).unwrap(), shipped);
    assert_eq!(effective("gb-wales", &back[..1]).unwrap().retention().unwrap().years, 5, "a set of its own");
}

#[test]
fn every_shipped_row_can_be_mended_by_its_own_text() {
    for set in rule_sets() {
        for row in set.rows() {
            let said = row_faults(set.id(), &row.key, &row.toml);
            assert_eq!(said.is_ok(), row.may_be_mended, "{}, {}: {said:?}", set.id(), row.key);
        }
    }
}

#[test]
fn rows_from_memory_and_from_practice_stay_marked() {
    let with = |end: &str| {
        let toml = LONGER.replace("source = \"letter of the county, 2026\"\nseen = true\n", end);
        effective("gb", &[change("gb", "keep_treatments", &toml)])
            .unwrap()
            .retention()
            .unwrap()
            .ground
            .clone()
    };
    assert_eq!(
        with("source = \"a talk\"\nseen = false\n").to_string(),
        "changed by the keeper: a talk (from memory)"
    );
    let practice = with("source = \"common practice, no source\"\n").to_string();
    assert_eq!(practice, "changed by the keeper: common practice, no source");
}

#[test]
fn a_row_may_be_added() {
    let toml = LONGER.replace("keep_treatments", "keep_longer");
    let set = effective("gb", &[change("gb", "keep_longer", &toml)]).unwrap();
    assert_eq!(set.retention().unwrap().years, 7, "the longer of the two");
    assert_eq!(set.rows().len(), rule_set("gb").unwrap().rows().len() + 1);
}

#[test]
fn faults_say_what_is_wrong() {
    for (set, key, toml, why) in [
        ("gb", "keep_treatments", "[[retention]]\n", "needs its key"),
        ("gb", "keep_treatments", "nonsense", "expected"),
        (
            "gb",
            "keep_treatments",
            &LONGER.replace("key = \"keep_treatments\"", "key = \"other\""),
            "calls itself 'other'",
        ),
        (
            "gb",
            "meat_off_label",
            &LONGER.replace("keep_treatments", "meat_off_label"),
            "needs a key of its own",
        ),
        ("gb", "day_count", LONGER, "cannot be changed"),
        ("gb", "", OWN, "is the id of a rule set of this program"),
        ("moon", "tail", LONGER, "there is no rule set 'moon'"),
        ("moon", "", OWN, "calls itself 'isle'"),
        ("gb", "keep_treatments", &format!("{LONGER}{}", LONGER.replace("keep_treatments", "b")), "once"),
    ] {
        let said = row_faults(set, key, toml).unwrap_err();
        assert!(said.contains(why), "{set}, {key}: {said}");
    }
    assert_eq!(row_faults("gb", "keep_treatments", LONGER), Ok(()));
    assert_eq!(row_faults("gb", "keep_treatments", " "), Ok(()));
}

#[test]
fn a_keepers_own_set() {
    assert_eq!(row_faults("isle", "", OWN), Ok(()));
    let indented = OWN.replace("[[tagging]]", "  [[tagging]]").replace('\n', "\r\n");
    assert_eq!(row_faults("isle", "", &indented), Ok(()));
    let mut all = vec![change("isle", "", OWN)];
    let set = effective("isle", &all).unwrap();
    assert_eq!((set.name(), set.tagging().unwrap().months_max), ("The Isle", Some(4)));
    assert!(set.tagging().unwrap().ground.to_string().starts_with("changed by the keeper"));
    assert_eq!(set.marks().len(), 1, "the electronic number is the same everywhere");
    let shorter = "[[tagging]]\nkey = \"tagging\"\nmonths_max = 3\nsource = \"Isle Order 2\"\nseen = true\n";
    assert_eq!(row_faults_among("isle", "tagging", shorter, &all), Ok(()));
    all.push(change("isle", "tagging", shorter));
    assert_eq!(effective("isle", &all).unwrap().tagging().unwrap().months_max, Some(3));
    let names = known(&all);
    assert_eq!(names.len(), rule_sets().len() + 1);
    assert_eq!(names.last(), Some(&("isle".to_owned(), "The Isle".to_owned())));
    all.push(change("isle", "", ""));
    assert_eq!(known(&all).len(), rule_sets().len(), "taken back");
    assert!(effective("isle", &all).is_err());
    assert_eq!(known(&[change("broken", "", "id = 3")]).len(), rule_sets().len());
}
