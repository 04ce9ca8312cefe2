//! A draft said as a note: read again, it gives the same draft.

use super::words::GRAMMAR;
use super::{Draft, lambing};
use crate::entry::{
    DecisionDraft, DoseDraft, FeedMoveDraft, LambDraft, LambingDraft, MarkDraft, PenCheckDraft, Retag,
    ScanDraft, ScoringDraft, StandingDraft, TickDraft, TreatmentDraft,
};
use crate::flock::{Ended, Flock, Outcome, Sire};
use crate::reckon::creep::feed_in;
use crate::terms::{
    AnimalId, Day, Dose, Fate, IdentityKind, MarkKind, Moment, Rearing, Scanned, Sex, Status, Weight,
    Withdrawal, counted, norm,
};

/// The sentence of a draft, on a day that need not be said.
pub fn say(draft: &Draft, flock: &Flock, today: Day) -> String {
    let s = Say { flock, today };
    match draft {
        Draft::Lambing(d) => s.lambing(d),
        Draft::Treatment(d) => s.treatment(d),
        Draft::PenMove(d) => match &d.pen {
            Some(pen) => format!("{} to {}{}", s.all(&d.animals), s.pen(pen), s.on(d.on)),
            None => format!("{} out of the pen{}", s.all(&d.animals), s.on(d.on)),
        },
        Draft::Weighings(all) => {
            let each = |w: &crate::entry::WeighingDraft| {
                format!("{} {}{}", s.one(w.animal), kilograms(w.weight), bracket(w.note.as_deref()))
            };
            let when = all.first().map(|w| s.at(w.at)).unwrap_or_default();
            let list: Vec<String> = all.iter().map(each).collect();
            // 'weighed' stands first so that the day is that of the clause.
            format!("weighed{when} {}", list.join(", "))
        }
        Draft::Standing(d) => s.standing(d),
        Draft::Retag(d) => s.retag(d),
        Draft::Joining(d) => {
            let until = d.to.map(|t| format!(" until {}", t.words())).unwrap_or_default();
            let how = d.method.as_ref().map(|m| format!(" how {}", quoted(m))).unwrap_or_default();
            let group = d.group.as_ref().map(|g| format!(" group {}", quoted(g))).unwrap_or_default();
            format!("{} joined with {}{how}{group}{until}{}", s.all(&d.ewes), s.one(d.ram), s.on(d.from))
        }
        Draft::Part(d) => {
            let mut ewes: Vec<AnimalId> = d.joinings.iter().map(|(e, _)| *e).collect();
            ewes.dedup();
            format!("{} ram out{}", s.all(&ewes), s.on(d.on))
        }
        Draft::Ticks(d) => s.ticks(d),
        Draft::Edit(a) => {
            let how = match a.rearing {
                Rearing::Foster(ewe) => format!("fostered on {}", s.one(ewe)),
                Rearing::Bottle => "on the bottle".into(),
                Rearing::Dam => "on its own dam".into(),
            };
            format!("{} {how}", s.one(a.id))
        }
        Draft::Marks(all) => s.marks(all),
        Draft::Crayons(all) => {
            let rams: Vec<AnimalId> = all.iter().map(|c| c.ram).collect();
            let first = all.first();
            let what = match first.map(|c| c.colour.as_str()) {
                None | Some("") => "off".to_string(),
                Some(c) => colour(c),
            };
            let on = first.map(|c| s.on(c.on)).unwrap_or_default();
            format!("{} crayon {what}{on}", s.all(&rams))
        }
        Draft::Scans(all) => s.scans(all),
        Draft::Scorings(all) => s.scorings(all),
        Draft::Decisions(all) => s.decisions(all),
        Draft::FeedMoves(all) => all.iter().map(|d| s.fed(d)).collect::<Vec<_>>().join(", "),
        Draft::PenChecks(all) => all.iter().map(|d| s.checked(d)).collect::<Vec<_>>().join(", "),
        Draft::Remark(d) => format!("{} note {}{}", s.all(&d.animals), quoted(&d.text), s.on(d.on)),
    }
}

struct Say<'a> {
    flock: &'a Flock,
    today: Day,
}

impl Say<'_> {
    fn on(&self, day: Day) -> String {
        if day == self.today {
            return String::new();
        }
        // A comma would part two clauses.
        format!(" on {}", day.words().replace(',', ""))
    }

    fn at(&self, at: Moment) -> String {
        format!("{}{}", self.on(at.day), at.time.map(|t| format!(" at {t}")).unwrap_or_default())
    }

    fn one(&self, id: AnimalId) -> String {
        tag(self.flock.tag(id))
    }

    fn list(&self, all: &[AnimalId]) -> String {
        match all {
            [] => "no animal".into(),
            [one] => self.one(*one),
            [first @ .., last] => {
                let first: Vec<String> = first.iter().map(|id| self.one(*id)).collect();
                format!("{} and {}", first.join(", "), self.one(*last))
            }
        }
    }

    /// Animals; many of one pen as that pen, less those that are not among them.
    fn all(&self, all: &[AnimalId]) -> String {
        if all.len() > 3 { self.of_pen(all).unwrap_or_else(|| self.list(all)) } else { self.list(all) }
    }

    fn of_pen(&self, all: &[AnimalId]) -> Option<String> {
        let pen = self.flock.animal(*all.first()?)?.pen.clone()?;
        let there = self.flock.in_pen(&pen);
        let lamb = |id: &AnimalId| self.flock.animal(*id).is_some_and(|a| a.is_lamb(self.today));
        let ewe = |id: &AnimalId| self.flock.animal(*id).is_some_and(|a| a.sex == Sex::Ewe);
        type Kind<'a> = (&'a str, &'a dyn Fn(&AnimalId) -> bool);
        let kinds: [Kind<'_>; 3] =
            [("lambs", &|id| lamb(id)), ("ewes", &|id| ewe(id) && !lamb(id)), ("", &|_| true)];
        kinds.into_iter().find_map(|(word, is)| {
            let (named, out): (Vec<AnimalId>, Vec<AnimalId>) =
                there.iter().filter(|id| is(id)).partition(|id| all.contains(id));
            if named != all || out.len() > 3 {
                return None;
            }
            let kind = if word.is_empty() { "all".to_string() } else { format!("all {word}") };
            let but = if out.is_empty() { String::new() } else { format!(" but {}", self.list(&out)) };
            Some(format!("{kind} in {}{but}", self.pen(&pen)))
        })
    }

    fn pen(&self, pen: &str) -> String {
        let word = |w: &str| !w.is_empty() && w.bytes().all(|b| b.is_ascii_alphanumeric());
        let words: Vec<String> = pen.to_lowercase().split(' ').map(String::from).collect();
        let nothing = |(i, w): (usize, &String)| {
            word(w) && ((i == 0 && w == "pen" && words.len() > 1) || super::words::means_nothing(w))
        };
        let plain = words.len() <= 4 && words.iter().enumerate().all(nothing);
        // A pen that somebody is in is known by its name; a new one stands in quotes.
        if plain && !self.flock.in_pen(pen).is_empty() { pen.to_string() } else { quoted(pen) }
    }

    fn lambing(&self, d: &LambingDraft) -> String {
        let mut head = format!("{} lambed{}", self.one(d.ewe), self.at(d.at));
        let mut add = |text: String| {
            head.push_str(", ");
            head.push_str(&text);
        };
        if d.sire != lambing::proposed(self.flock, d.ewe, d.at.day) {
            match &d.sire {
                Sire::Unknown => add("sire not known".into()),
                Sire::Known(ram) => add(format!("by {}", self.one(*ram))),
                Sire::OneOf(rams) => {
                    let rams: Vec<String> = rams.iter().map(|r| self.one(*r)).collect();
                    add(format!("by {}", rams.join(" or ")));
                }
            }
        }
        d.ease.iter().for_each(|e| add(e.words().to_string()));
        d.help.iter().for_each(|h| add(format!("help {}", quoted(h))));
        d.note.iter().for_each(|n| add(format!("note {}", quoted(n))));
        if !d.foster_on.is_empty() {
            add(format!("takes {}", self.list(&d.foster_on)));
        }
        d.pen.iter().for_each(|p| add(format!("to {}", self.pen(p))));
        let lambs: Vec<String> = d.lambs.iter().map(|l| self.lamb(l, d)).collect();
        format!("{head}: {}", lambs.join(", "))
    }

    fn lamb(&self, l: &LambDraft, of: &LambingDraft) -> String {
        let mut parts = vec![match l.weight {
            Some(w) => format!("{} {}", l.sex.word(), kilograms(w)),
            None => l.sex.word().to_string(),
        }];
        match l.fate {
            Fate::Alive => {}
            Fate::BornDead => parts[0].push_str(&format!(" born dead{}", bracket(l.died_of.as_deref()))),
            Fate::Died => {
                let after = l.died_on.map(|on| on.since(of.at.day));
                let at = after
                    .map(|n| format!(" at {n} {}", if n == 1 { "day" } else { "days" }))
                    .unwrap_or_default();
                parts.push(format!("died since{at}{}", bracket(l.died_of.as_deref())));
            }
        }
        l.tag.iter().for_each(|t| parts.push(format!("tag {}", tag(t.as_str()))));
        l.electronic.iter().for_each(|t| parts.push(format!("number {}", tag(t.as_str()))));
        l.name.iter().for_each(|n| parts.push(format!("called {}", quoted(n))));
        l.sucked.iter().for_each(|s| parts.push(if *s { "sucked" } else { "not sucked" }.into()));
        l.navel_dipped.iter().for_each(|s| parts.push(if *s { "navel dipped" } else { "not dipped" }.into()));
        l.colostrum.iter().for_each(|d| parts.push(format!("colostrum {}", doses(*d))));
        l.colour.iter().for_each(|c| parts.push(format!("colour {}", quoted(c))));
        l.ease.iter().for_each(|e| parts.push(format!("this one {}", e.words())));
        match l.rearing {
            Rearing::Dam => {}
            Rearing::Bottle => parts.push("on the bottle".into()),
            Rearing::Foster(ewe) => parts.push(format!("fostered on {}", self.one(ewe))),
        }
        parts.join(", ")
    }

    fn treatment(&self, d: &TreatmentDraft) -> String {
        let mut said = format!("{} given {}", self.all(&d.animals), quoted(&d.product));
        match d.dose {
            DoseDraft::ByRule => {}
            DoseDraft::Typed(Some(dose)) => said.push_str(&format!(" {}", doses(dose))),
            DoseDraft::Typed(None) => said.push_str(", dose not written down"),
        }
        let mut add = |text: String| {
            said.push_str(", ");
            said.push_str(&text);
        };
        d.route.iter().for_each(|r| add(r.words().to_string()));
        d.batch.iter().for_each(|b| add(format!("batch {}", word(b))));
        d.site.iter().for_each(|s| add(format!("site {}", quoted(s))));
        d.reason.iter().for_each(|r| add(format!("for {}", quoted_words(r))));
        let usual = &self.flock.holding().given_by;
        match &d.given_by {
            Some(by) if by != usual => add(format!("by {}", quoted(by))),
            None if !usual.is_empty() => add("giver not known".into()),
            _ => {}
        }
        d.prescribed_by.iter().for_each(|v| add(format!("prescribed by {}", quoted(v))));
        d.meat.iter().for_each(|p| add(format!("meat {}", period(*p))));
        d.milk.iter().for_each(|p| add(format!("milk {}", period(*p))));
        said + &self.at(d.at)
    }

    /// `0412 and 0413 marked red by R1`, `0412 served by R1`.
    fn marks(&self, all: &[MarkDraft]) -> String {
        let ewes: Vec<AnimalId> = all.iter().map(|m| m.ewe).collect();
        let Some(m) = all.first() else { return self.all(&ewes) };
        let what = if m.kind == MarkKind::Seen { "served" } else { "marked" };
        let red = m.colour.as_ref().map(|c| format!(" {}", colour(c))).unwrap_or_default();
        let by = m.ram.map(|r| format!(" by {}", self.one(r))).unwrap_or_default();
        format!("{} {what}{red}{by}{}{}", self.all(&ewes), bracket(m.note.as_deref()), self.on(m.on))
    }

    /// `0412 scanned twins, 45 days`.
    fn scans(&self, all: &[ScanDraft]) -> String {
        let ewes: Vec<AnimalId> = all.iter().map(|m| m.ewe).collect();
        let Some(d) = all.first() else { return self.all(&ewes) };
        let found = match d.found {
            Scanned::Empty => "empty",
            Scanned::One => "single",
            Scanned::Two => "twins",
            Scanned::Three => "triplets",
            Scanned::InLamb => "in lamb",
        };
        let age = d.age_days.map(|a| format!(", {}", counted(usize::from(a), "day"))).unwrap_or_default();
        format!("{} scanned {found}{age}{}{}", self.all(&ewes), bracket(d.note.as_deref()), self.on(d.on))
    }

    /// `0412 eyelid 3 dag 2 (soiled)`.
    fn scorings(&self, all: &[ScoringDraft]) -> String {
        let mut animals: Vec<AnimalId> = all.iter().map(|d| d.animal).collect();
        animals.dedup();
        let first = animals.first().copied();
        let own = all.iter().filter(|d| Some(d.animal) == first);
        let scores: Vec<String> =
            own.map(|d| format!(" {}{}", d.score.words(), bracket(d.note.as_deref()))).collect();
        let when = all.first().map(|d| self.at(d.at)).unwrap_or_default();
        format!("{}{}{when}", self.all(&animals), scores.concat())
    }

    /// `R12 keep entire (well grown)`.
    fn decisions(&self, all: &[DecisionDraft]) -> String {
        let animals: Vec<AnimalId> = all.iter().map(|d| d.animal).collect();
        let Some(d) = all.first() else { return self.all(&animals) };
        let row = GRAMMAR.decision.iter().find(|r| r.decision == d.what);
        let what = row.and_then(|r| r.words.first()).map_or(d.what.words(), String::as_str);
        format!("{} {what}{}{}", self.all(&animals), bracket(d.reason.as_deref()), self.on(d.on))
    }

    /// `creep Jug 3 6 kg`, `creep Jug 3 half, 6 kg of "Starter"`, `creep Jug 3 filled`.
    fn fed(&self, d: &FeedMoveDraft) -> String {
        let pen = d.pen.as_deref().unwrap_or_default();
        let room = self.flock.feedroom();
        let level = d.level.map(|l| match l.percent() {
            100 if d.amount.is_none() => "filled".to_string(),
            _ => l.to_string().trim_start_matches("a ").to_string(),
        });
        let amount = d.amount.map(|a| format!("{} kg", a.kg_text()));
        let what: Vec<String> = level.into_iter().chain(amount).collect();
        let same = feed_in(room, pen, d.on).is_some_and(|f| norm(&f.name) == norm(&d.feed));
        let feed = if same { String::new() } else { format!(" of {}", quoted(&d.feed)) };
        let at = Moment { day: d.on, time: d.time };
        format!("creep {} {}{feed}{}", self.pen(pen), what.join(", "), self.at(at))
    }

    /// `lamp Jug 3 in order`, `gate Jug 3 "bent bar"`.
    fn checked(&self, d: &PenCheckDraft) -> String {
        let state = d.fault.as_deref().map_or_else(|| "in order".to_string(), quoted);
        let at = Moment { day: d.on, time: d.time };
        format!("{} {} {state}{}", d.what.word(), self.pen(&d.pen), self.at(at))
    }

    fn standing(&self, d: &StandingDraft) -> String {
        let what = match d.to {
            Status::Present => "back in the flock",
            Status::Dead => "dead",
            Status::Sold => "sold",
            Status::Culled => "culled",
            Status::Missing => "missing",
            Status::Lent => "lent",
            Status::Outside => "never in the flock",
        };
        let to = d.other.as_ref().map(|o| format!(" to {}", quoted(o))).unwrap_or_default();
        format!("{} {what}{to}{}{}", self.all(&d.animals), bracket(d.reason.as_deref()), self.on(d.on))
    }

    fn retag(&self, d: &Retag) -> String {
        let lost = matches!(d.ends, Some((_, Ended::Lost)));
        let new = d.new.as_ref().map(|n| {
            let number = if n.kind == IdentityKind::Electronic { "number " } else { "" };
            format!("new tag {number}{}", tag(n.tag.as_str()))
        });
        let said: Vec<String> = lost.then(|| "lost tag".to_string()).into_iter().chain(new).collect();
        format!("{} {}{}", self.one(d.animal), said.join(", "), self.on(d.on))
    }

    fn ticks(&self, d: &TickDraft) -> String {
        let mut animals: Vec<AnimalId> = d.jobs.iter().map(|j| j.animal).collect();
        animals.dedup();
        let step = d.jobs.first().map(|j| j.step.as_str()).unwrap_or_default();
        // What a treatment completes is hardly ever ticked: a bare word would be read as the treatment.
        let treated =
            |s: &std::sync::Arc<crate::plan::Step>| matches!(s.done_by, crate::plan::DoneBy::Treatment(_));
        let known = self.flock.plan().all().find(|s| s.key == step);
        let job = if known.is_some_and(treated) {
            format!("job {step}")
        } else {
            super::jobs::said(self.flock.plan(), step)
        };
        let did = match d.outcome {
            // 'Tail docked' says it already.
            Outcome::Done if job.ends_with("ed") => String::new(),
            Outcome::Done => " done".to_string(),
            Outcome::Skipped => " left out".into(),
            Outcome::PutOff(until) => format!(" put off until {}", until.words()),
        };
        format!("{} {job}{did}{}{}", self.all(&animals), bracket(d.note.as_deref()), self.at(d.at))
    }
}

/// A colour of the grammar as it stands, any other in quotes.
fn colour(text: &str) -> String {
    let known = GRAMMAR.crayon.colours.iter().any(|c| c == text);
    if known { text.to_string() } else { quoted(text) }
}

/// A weight to the gram.
fn kilograms(w: Weight) -> String {
    format!("{} kg", w.kg_text())
}

fn doses(d: Dose) -> String {
    d.to_string()
}

fn period(p: Withdrawal) -> String {
    p.to_string()
}

/// A tag as it is read again: plain figures and letters, all else in quotes.
fn tag(tag: &str) -> String {
    let plain = tag.len() >= 2 && tag.bytes().all(|b| b.is_ascii_alphanumeric() || matches!(b, b'/' | b'-'));
    let figure = tag.bytes().any(|b| b.is_ascii_digit());
    let first = tag.bytes().next().unwrap_or(b' ');
    let figures = tag.bytes().all(|b| b.is_ascii_digit());
    let bare = plain
        && figure
        && if figures { tag.len() >= 4 } else { first.is_ascii_alphabetic() || tag.contains('/') }
        && Day::parse_iso(tag).is_err();
    if bare { tag.to_string() } else { quoted(tag) }
}

/// One word as it stands, anything else in quotes.
fn word(text: &str) -> String {
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_alphanumeric());
    if plain { text.to_string() } else { quoted(text) }
}

/// A few plain words as they stand if they cannot be taken for others, else in quotes.
fn quoted_words(text: &str) -> String {
    let one = !text.is_empty() && text.bytes().all(|b| b.is_ascii_lowercase());
    if one && super::words::means_nothing(text) { text.to_string() } else { quoted(text) }
}

/// In quotes; one within is written twice.
fn quoted(text: &str) -> String {
    format!("\"{}\"", text.replace('"', "\"\""))
}

/// A reason in brackets, or behind 'for' where it holds brackets itself.
fn bracket(text: Option<&str>) -> String {
    match text {
        None => String::new(),
        Some(t) if t.contains(['(', ')']) || t != t.trim() => format!(" ({})", quoted(t)),
        Some(t) if t.starts_with('"') => format!(" ({})", quoted(t)),
        Some(t) => format!(" ({t})"),
    }
}
