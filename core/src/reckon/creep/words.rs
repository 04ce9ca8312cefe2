//! The board in words: the same on the page, on paper, in lists and on the command line.

use super::{Asked, Board, How, InIt, PenCreep, Rate, Verdict};
use crate::phrase;
use crate::terms::{Base, Day, MadeFor, Mass, Moment, Units, counted};

/// A moment as one speaks of it: `tomorrow noon`, `this evening`, `Thursday morning`, `in the morning of 12 May`.
pub fn part_of_day(at: Moment, today: Day) -> String {
    let part = match at.time.map_or(12 * 60, |t| t.of_day()) / 60 {
        0..=4 => "night",
        5..=10 => "morning",
        11..=13 => "noon",
        14..=17 => "afternoon",
        _ => "evening",
    };
    match at.day.since(today) {
        0 if part == "noon" => "noon today".into(),
        0 if part == "night" => "last night".into(),
        0 => phrase!("this {part}"),
        1 => phrase!("tomorrow {part}"),
        -1 => phrase!("yesterday {part}"),
        2..=6 => {
            let long = at.day.long();
            let weekday = long.split([' ', ',']).next().unwrap_or_default();
            format!("{weekday} {part}")
        }
        _ => phrase!("{part} of {}", at.day.short()),
    }
}

/// `18 %`, `17.6 %`.
fn percent(p: f64) -> String {
    let text = format!("{p:.1}");
    format!("{} %", text.strip_suffix(".0").unwrap_or(&text))
}

fn stays(days: i64) -> String {
    if days == 14 { "two weeks".into() } else { counted(usize::try_from(days).unwrap_or_default(), "day") }
}

fn grams(g: f64, units: Units) -> String {
    Mass::from_kg(g / 1000.0).unwrap_or_default().show(units)
}

impl InIt {
    /// `17.6 % as fed, 20 % of dry matter`.
    pub fn protein_words(&self) -> String {
        match (self.protein_fed, self.protein_dry) {
            (Some(fed), Some(dry)) => phrase!("{} as fed, {} of dry matter", percent(fed), percent(dry)),
            (None, Some(dry)) => {
                phrase!("{} of dry matter; as fed not known: its dry matter is missing", percent(dry))
            }
            (Some(fed), None) => phrase!("{} as fed", percent(fed)),
            (None, None) => "protein not known: write its label".into(),
        }
    }
}

impl Asked {
    /// `18 % as fed`.
    pub fn now_words(&self) -> String {
        format!("{} {}", percent(self.protein), base(self.base))
    }

    /// `16 % from 14 May`; `no further step`.
    pub fn next_words(&self) -> String {
        match self.next {
            Some((p, _, on)) => phrase!("{} from {}", percent(p), on.short()),
            None => "no further step".into(),
        }
    }
}

fn base(base: Base) -> &'static str {
    match base {
        Base::AsFed => "as fed",
        Base::DryMatter => "of dry matter",
    }
}

impl Verdict {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Right => "protein right",
            Self::TooLow => "protein too low",
            Self::LowForYoungest => "protein right for the mean lamb, low for the youngest",
            Self::Higher => "protein higher than needed",
            Self::Unknown => "protein not known",
            Self::Nothing => "",
        }
    }
}

impl Rate {
    /// `310 g a lamb a day, over 2.9 days`; says so where no level was seen.
    pub fn words(&self, units: Units) -> String {
        let each = grams(self.each_g, units);
        let over = if self.days >= 1.05 || self.days < 0.95 {
            phrase!("{:.1} days", self.days)
        } else {
            phrase!("a day")
        };
        let how = match self.how {
            How::Levels => "",
            How::Fillings => "; by what was filled in, no level was seen",
        };
        phrase!("{each} a lamb a day, over {over}{how}")
    }
}

impl PenCreep {
    /// `12 lambs eat, 11 to 34 days, 24 on the mean; 3 too young`.
    pub fn lambs_words(&self) -> String {
        let at = &self.lambs;
        let young = match at.too_young {
            0 => String::new(),
            n => phrase!("; {n} too young"),
        };
        let weaned = match at.weaned {
            0 => String::new(),
            n if n == at.eat.len() => "; all weaned".into(),
            n => phrase!("; {n} weaned"),
        };
        match (at.youngest(), at.oldest(), at.mean()) {
            (Some(y), Some(o), Some(m)) => {
                let eat = if at.eat.len() == 1 { "eats" } else { "eat" };
                let ages = if y == o {
                    phrase!("{y} days old")
                } else {
                    phrase!("{y} to {o} days, {m} on the mean")
                };
                format!("{} {eat}, {ages}{young}{weaned}", counted(at.eat.len(), "lamb"))
            }
            _ => phrase!("no lamb that eats{young}"),
        }
    }

    /// `filled today`, `not filled today, last on 8 May`, `never filled`.
    pub fn filled_words(&self, today: Day) -> String {
        match self.trough.filled {
            _ if self.trough.filled_today => "filled today".into(),
            Some(at) if today.since(at.day) == 1 => "not filled today; last yesterday".into(),
            Some(at) => phrase!("not filled today; last on {}", at.day.short()),
            None => "never filled yet".into(),
        }
    }

    /// The level as one speaks of it: `about 40 % full this evening`, `half full on 8 May`, `level not known`.
    pub fn level_words(&self, today: Day) -> String {
        match (self.trough.level_now, self.trough.seen) {
            (_, Some((level, on))) if on == today && self.a_day.is_none() => phrase!("{level} today"),
            (Some(level), _) => match level.percent() {
                0 => "by now empty".into(),
                100 => "full".into(),
                p => phrase!("about {p} % full this evening"),
            },
            (None, Some((level, on))) if on == today => phrase!("{level} today"),
            (None, Some((level, on))) => phrase!("{level} on {}", on.short()),
            (None, None) => "level not known".into(),
        }
    }

    /// `empty by tomorrow noon`, `empty since this morning`; none where it cannot be told.
    pub fn lasts_words(&self, today: Day) -> Option<String> {
        let lasts = self.lasts?;
        let at = part_of_day(lasts.until, today);
        Some(if lasts.is_empty {
            phrase!("empty since {at} by what they eat")
        } else {
            phrase!("empty by {at}")
        })
    }

    /// What to fill: `2.4 kg fill it to the top; they eat 3.7 kg a day`.
    pub fn fill_words(&self, units: Units) -> Option<String> {
        let top = self.trough.to_top.filter(|m| m.grams() > 0);
        match (top, self.a_day) {
            (Some(top), Some(day)) => {
                Some(phrase!("{} fill it to the top; a day takes {}", top.show(units), day.show(units)))
            }
            (Some(top), None) => Some(phrase!("{} fill it to the top", top.show(units))),
            (None, Some(day)) => Some(phrase!("a day takes {}", day.show(units))),
            (None, None) => None,
        }
    }

    /// `as lambs of that age ate before: 290 g (mean of 7 refills in 2 seasons)`.
    pub fn past_words(&self, units: Units) -> Option<String> {
        let past = self.past?;
        let refills = counted(past.spells, "refill");
        let seasons = counted(past.seasons, "season");
        Some(phrase!(
            "earlier lambs of that age: {} (mean of {refills} in {seasons})",
            grams(past.each_g, units)
        ))
    }

    /// Everything to take care of, the gravest first.
    pub fn cautions(&self, today: Day, units: Units) -> Vec<String> {
        let mut all = Vec::new();
        if let Some((p, least)) = self.steps.under_floor {
            all.push(phrase!(
                "{} as fed: never under {} before {} after weaning",
                percent(p),
                percent(least),
                stays(self.steps.stays_days)
            ));
        }
        if let Some(feed) = &self.feed {
            if matches!(feed.made_for, MadeFor::Cattle | MadeFor::Pigs | MadeFor::Poultry | MadeFor::Horses) {
                all.push(phrase!(
                    "{} is made for {}: it may hold more copper than a sheep can bear; ask the feed analyst or the vet",
                    feed.name,
                    feed.made_for.words()
                ));
            }
            if feed.medicated {
                all.push(phrase!(
                    "{} is medicated: its withdrawal counts from the last day it is eaten; the label and the vet decide",
                    feed.name
                ));
            }
        }
        if let Some(on) = self.too_much {
            all.push(phrase!(
                "more was in it on {} than can be: mend the level, or write the filling that is missing",
                on.short()
            ));
        }
        if let Some((g, least)) = self.under_least {
            all.push(phrase!(
                "they eat {} a lamb a day: from 20 days to weaning {} is the least that shows a benefit. Is the feed fresh, the way in open?",
                grams(g, units),
                grams(least, units)
            ));
        }
        if self.lambs.eat.is_empty() {
            all.push("no lamb there eats: close the creep, or write who is in the pen".into());
        }
        let next = self.steps.mean.and_then(|m| m.next).map(|(.., on)| on);
        if next.is_some_and(|on| (0..=3).contains(&on.since(today))) {
            all.push("change the feed over some days, mixed: a sudden change upsets the stomach".into());
        }
        if let Some(end) = self.steps.may_end.filter(|_| !self.lambs.eat.is_empty()) {
            all.push(match end.since(today) {
                ..=0 => phrase!(
                    "all were weaned {} ago and more: the creep may end",
                    stays(self.steps.stays_days)
                ),
                _ => phrase!(
                    "all are weaned: they stay on it {}, until {}",
                    stays(self.steps.stays_days),
                    end.short()
                ),
            });
        }
        all
    }

    /// The age of the lambs by which the rules go and what they ask for, in one line each: `youngest (11 days) 20 % as
    /// fed, 18 % from 20 May`.
    pub fn step_words(&self) -> Vec<String> {
        let one = |name: &str, a: &Asked| {
            phrase!("{name} ({} days): {}, {}", a.age, a.now_words(), a.next_words(), name = &name)
        };
        let (young, mean) = (self.steps.youngest, self.steps.mean);
        // Lambs of one age are told of once.
        let apart = young.map(|a| a.age) != mean.map(|a| a.age);
        let mut all: Vec<String> = young.iter().filter(|_| apart).map(|a| one("youngest", a)).collect();
        all.extend(mean.iter().map(|a| one("mean lamb", a)));
        all
    }
}

impl Board {
    /// `4 creeps open, 2 not filled today, 1 fault; 3 pens with lambs of creep age and none open`.
    pub fn summary(&self) -> String {
        let unfilled =
            self.creeps.iter().filter(|c| !c.trough.filled_today && !c.lambs.eat.is_empty()).count();
        let checks =
            || self.creeps.iter().flat_map(|c| &c.checks).chain(self.without.iter().flat_map(|w| &w.checks));
        let faults = checks().filter(|c| c.fault.is_some()).count();
        let bare = self.without.iter().filter(|w| !w.lambs.eat.is_empty()).count();
        let mut said = match self.creeps.len() {
            0 => phrase!("no creep is open"),
            n => phrase!("{} open", counted(n, "creep")),
        };
        if unfilled > 0 {
            said.push_str(&phrase!(", {unfilled} not filled today"));
        }
        if faults > 0 {
            said.push_str(&format!(", {}", counted(faults, "fault")));
        }
        if bare > 0 {
            said.push_str(&phrase!("; {} with lambs of creep age and none open", counted(bare, "pen")));
        }
        said
    }
}
