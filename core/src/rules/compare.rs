//! What another rule set would change, told by topic.

use super::{RuleSet, Topic};

/// What changes when a book goes by another rule set: for each topic that differs, what holds from then on. Nothing
/// written before is changed by it.
pub fn differences(old: Option<&RuleSet>, new: Option<&RuleSet>) -> Vec<(Topic, String)> {
    let words = |set: Option<&RuleSet>, topic: Topic| -> Vec<String> {
        let rows = set.map(RuleSet::rows).unwrap_or_default();
        rows.into_iter().filter(|r| r.topic == topic).map(|r| r.words).collect()
    };
    let mut all = Vec::new();
    for topic in Topic::ALL {
        let (before, after) = (words(old, topic), words(new, topic));
        if before == after {
            continue;
        }
        let said =
            if after.is_empty() { "nothing is known of it in this program.".into() } else { after.join(" ") };
        all.push((topic, said));
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rules::rule_set;

    #[test]
    fn only_what_differs_is_told() {
        assert!(differences(rule_set("gb"), rule_set("gb")).is_empty());
        let told = differences(rule_set("gb"), rule_set("us"));
        assert!(told.iter().any(|(t, w)| *t == Topic::YearsKept && w.contains("2 years")), "{told:?}");
        assert!(!told.iter().any(|(t, _)| *t == Topic::Counting), "counting is the same everywhere");
    }
}
