//! The rules of the place: a row mended for this flock, a row as shipped again, a whole set of the keeper's own.

use super::{Check, Entry, Faults, Field, Refused};
use crate::flock::Flock;
use crate::rules::{RuleChange, RuleSet, effective, row_faults_among, rule_set};
use crate::terms::{Misread, RuleChangeId};

/// Checks a row of a rule set as the keeper wants it for this flock; a reason is kept in the journal. Periods already
/// written do not move.
///
/// # Errors
/// No such set, no reason, nothing changed, or a row that cannot be read.
pub fn rule_row(set: &str, key: &str, toml: &str, reason: &str, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let now = standing(set, flock, &mut faults);
    if reason.trim().is_empty() {
        faults.refuse(Field::of("reason"), Refused::NoReason);
    }
    let old = now.as_ref().and_then(|s| s.rows().into_iter().find(|r| r.key == key));
    if toml.trim().is_empty() {
        faults.refuse(Field::of("toml"), Refused::Missing("the row's text"));
    } else if old.as_ref().is_some_and(|r| r.toml.trim() == toml.trim()) {
        faults.refuse(Field::of("toml"), Refused::NothingChanged);
    } else if let Err(why) = row_faults_among(set, key, toml, flock.rule_changes()) {
        faults.refuse(Field::of("toml"), Misread::new(why).into());
    }
    let id = change(set, key, flock).map_or_else(RuleChangeId::new, |c| c.id);
    let name = now.map_or_else(|| set.to_string(), |s| s.name().to_string());
    let checked = faults.or(|| {
        let put =
            vec![RuleChange { id, set: set.into(), row: key.into(), toml: toml.trim().to_string() + "\n" }];
        (Entry::Rules { put, drop: Vec::new() }, format!("Rules of {name}: '{key}' changed for this flock"))
    })?;
    Ok(checked.because(reason.trim()))
}

/// Checks that a row goes back to what is shipped, or that a set of the keeper's own goes, with an empty key.
///
/// # Errors
/// Nothing was changed of it; the set is the book's own.
pub fn rule_as_shipped(set: &str, key: &str, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let mine: Vec<&RuleChange> = flock.rule_changes().iter().filter(|c| c.set == set).collect();
    // With a whole set its rows go too: they would hang in the air.
    let drop: Vec<RuleChangeId> =
        mine.iter().filter(|c| key.is_empty() || c.row == key).map(|c| c.id).collect();
    if drop.is_empty() || !mine.iter().any(|c| c.row == key) {
        faults.refuse(Field::of("toml"), Refused::NothingChanged);
    }
    if key.is_empty() && flock.holding().rules == set {
        let why = "this book goes by these rules: choose others on the page of the book first";
        faults.refuse(Field::of("toml"), Misread::new(why).into());
    }
    let rest: Vec<RuleChange> =
        flock.rule_changes().iter().filter(|c| !drop.contains(&c.id)).cloned().collect();
    if !key.is_empty()
        && let Err(why) = effective(set, &rest)
    {
        faults.refuse(Field::of("toml"), Misread::new(why).into());
    }
    let name =
        effective(set, flock.rule_changes()).map_or_else(|_| set.to_string(), |s| s.name().to_string());
    let sentence = match key {
        "" => format!("Rules of {name} taken out"),
        key if rule_set(set).is_some() => format!("Rules of {name}: '{key}' as it was shipped"),
        key => format!("Rules of {name}: '{key}' as the set has it"),
    };
    faults.or(|| (Entry::Rules { put: Vec::new(), drop }, sentence))
}

/// Checks a whole rule set of the keeper's own, new or with new text.
///
/// # Errors
/// The id of a set that is shipped; nothing changed; a set that cannot be read.
pub fn rule_set_own(id: &str, toml: &str, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    let id = id.trim();
    let old = change(id, "", flock);
    if id.is_empty() {
        faults.refuse(Field::of("id"), Refused::Missing("a short name for the set"));
    } else if let Err(why) = row_faults_among(id, "", toml, flock.rule_changes()) {
        faults.refuse(Field::of("toml"), Misread::new(why).into());
    } else if toml.trim().is_empty() {
        faults.refuse(Field::of("toml"), Refused::Missing("the text of the set"));
    } else if old.is_some_and(|o| o.toml.trim() == toml.trim()) {
        faults.refuse(Field::of("toml"), Refused::NothingChanged);
    }
    let row = old.map_or_else(RuleChangeId::new, |c| c.id);
    let did = if old.is_some() { "changed" } else { "added" };
    faults.or(|| {
        let put = vec![RuleChange {
            id: row,
            set: id.into(),
            row: String::new(),
            toml: toml.trim().to_string() + "\n",
        }];
        (Entry::Rules { put, drop: Vec::new() }, format!("Rules of the keeper's own: '{id}' {did}"))
    })
}

/// A rule set as text, to begin a set of the keeper's own from: its head under a new id and name, then its rows.
pub fn rule_set_text(set: &RuleSet, id: &str, name: &str) -> String {
    let quoted = |t: &str| t.replace('\\', "\\\\").replace('"', "\\\"");
    let mut text = format!(
        "id = \"{}\"\nname = \"{}\"\nsource = \"the keeper, from the rules of {}\"\nseen = true\n",
        quoted(id),
        quoted(name),
        quoted(set.name())
    );
    for row in set.rows().iter().filter(|r| r.may_be_mended) {
        text.push('\n');
        text.push_str(row.toml.trim());
        text.push('\n');
    }
    text
}

fn change<'a>(set: &str, key: &str, flock: &'a Flock) -> Option<&'a RuleChange> {
    flock.rule_changes().iter().rev().find(|c| c.set == set && c.row == key)
}

fn standing(set: &str, flock: &Flock, faults: &mut Faults) -> Option<RuleSet> {
    match effective(set, flock.rule_changes()) {
        Ok(s) => Some(s),
        Err(why) => {
            faults.refuse(Field::of("toml"), Misread::new(why).into());
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::Holding;
    use crate::rules::Kept;

    fn flock(changes: Vec<RuleChange>) -> Flock {
        let mut f = Flock::default();
        f.set_holding(Holding { rules: "gb".into(), ..Holding::default() });
        f.set_rule_changes(changes);
        f
    }

    fn put(check: Check) -> Vec<RuleChange> {
        match check.unwrap().entry() {
            Entry::Rules { put, .. } => put.clone(),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_mended_row_holds_and_goes_back() {
        let f = flock(Vec::new());
        let row = f.rules().unwrap().rows().into_iter().find(|r| r.key == "keep_treatments").unwrap();
        let seven = row.toml.replace("years = 5", "years = 7");
        assert_eq!(rule_row("gb", &row.key, &seven, "", &f).unwrap_err()[0].why, Refused::NoReason);
        assert_eq!(rule_row("gb", &row.key, &row.toml, "x", &f).unwrap_err()[0].why, Refused::NothingChanged);
        assert!(rule_row("gb", &row.key, "years = 7", "x", &f).is_err(), "a row needs its head");
        let changes = put(rule_row("gb", &row.key, &seven, "our buyer asks for it", &f));
        let f = flock(changes);
        assert_eq!(f.rules().unwrap().retention_of(Kept::Treatment).unwrap().years, 7);
        assert!(f.rules().unwrap().rows().iter().any(|r| r.key == "keep_treatments" && r.mended));
        match rule_as_shipped("gb", &row.key, &f).unwrap().entry() {
            Entry::Rules { put, drop } => assert_eq!((put.len(), drop.len()), (0, 1)),
            other => panic!("{other:?}"),
        }
        assert_eq!(rule_as_shipped("gb", "tagging", &f).unwrap_err()[0].why, Refused::NothingChanged);
    }

    #[test]
    fn a_set_of_ones_own_begins_as_a_copy() {
        let f = flock(Vec::new());
        for set in crate::rules::rule_sets() {
            let text = rule_set_text(set, "my-place", "My \"place\"");
            let changes = put(rule_set_own("my-place", &text, &f));
            let own = effective("my-place", &changes).unwrap();
            let keys = |s: &RuleSet| s.rows().into_iter().map(|r| (r.key, r.words)).collect::<Vec<_>>();
            assert_eq!(keys(&own), keys(set), "{}", set.id());
        }
        assert!(
            rule_set_own("gb", &rule_set_text(f.rules().unwrap(), "gb", "x"), &f).is_err(),
            "a shipped id"
        );
        assert!(rule_set_own("", "x", &f).is_err());
    }

    #[test]
    fn a_change_that_cannot_be_read_leaves_the_shipped_rules() {
        let bad =
            RuleChange { id: RuleChangeId::new(), set: "gb".into(), row: "tagging".into(), toml: "?".into() };
        assert_eq!(flock(vec![bad]).rules(), rule_set("gb"));
    }
}
