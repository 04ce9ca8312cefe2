//! A pen in one sentence, and what stands in it in a few words.

use super::{Family, Heads, Pen};
use crate::flock::{Flock, PenSort};
use crate::phrase;
use crate::terms::counted;

impl Heads {
    /// `3 ewes, 5 lambs`.
    pub fn words(self) -> String {
        let all = [(self.ewes, "ewe"), (self.rams, "ram"), (self.wethers, "wether"), (self.lambs, "lamb")];
        let parts: Vec<String> =
            all.into_iter().filter(|(n, _)| *n > 0).map(|(n, w)| counted(n, w)).collect();
        parts.join(", ")
    }
}

impl Family {
    /// `0412 with 2 lambs`, `0507`.
    pub fn words(&self, flock: &Flock) -> String {
        let tag = flock.tag(self.head);
        match self.young.len() {
            0 => tag.to_string(),
            n => phrase!("{tag} with {}", counted(n, "lamb"), tag = &tag),
        }
    }
}

impl Pen {
    /// Who is in it: `0412 with 2 lambs`, of many `12 ewes, 19 lambs`, or `empty`.
    pub fn who(&self, flock: &Flock) -> String {
        match self.families.as_slice() {
            [] => phrase!("empty"),
            few if few.len() <= 2 => few.iter().map(|f| f.words(flock)).collect::<Vec<_>>().join(" and "),
            _ => self.heads.words(),
        }
    }

    /// What is due there: `2 jobs due, 1 overdue, 1 under withdrawal`; nothing where nothing is.
    pub fn due_words(&self) -> String {
        let mut parts = Vec::new();
        let due = self.jobs.saturating_sub(self.overdue);
        if due > 0 {
            parts.push(phrase!("{} due", counted(due, "job")));
        }
        if self.overdue > 0 {
            parts.push(phrase!("{} overdue", counted(self.overdue, "job")));
        }
        if self.held > 0 {
            parts.push(phrase!("{} under withdrawal", self.held));
        }
        let soon = self.families.iter().filter(|f| f.lambs_on.is_some()).count();
        if soon > 0 {
            parts.push(phrase!("{} due to lamb", counted(soon, "ewe")));
        }
        parts.join(", ")
    }

    /// `Jug 4: 0412 with 2 lambs since 3 Apr, 31 h, 1 job due`.
    pub fn sentence(&self, flock: &Flock) -> String {
        let mut text = format!("{}: {}", self.name, self.who(flock));
        if let Some(since) = self.since {
            text.push_str(&phrase!(" since {}", since.short()));
        }
        if let [only] = self.families.as_slice()
            && let Some(age) = &only.age
        {
            text.push_str(&phrase!(", lambs {age}").replace("lambs born", "born"));
        }
        let due = self.due_words();
        if !due.is_empty() {
            text.push_str(&format!(", {due}"));
        }
        if self.sort == PenSort::Outside {
            text.push_str(", outside");
        }
        if let Some(over) = &self.over {
            text.push_str(&phrase!(", lies over {over}"));
        }
        text
    }
}
