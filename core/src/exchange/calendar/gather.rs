//! What is due, one thing at a time: a job of an animal, a ewe, a feed.

use super::{Ask, Kind};
use crate::flock::{AnimalFile, Flock, natural};
use crate::plan::Anchor;
use crate::reckon::clearance::{Clear, clearance_in};
use crate::reckon::due::{Ground, Job, State, of_file};
use crate::reckon::feedstore::Store;
use crate::reckon::flock_figures::{Settings, season_of};
use crate::reckon::gestation::{Pregnancy, State as Carried, pregnancies, rams_words};
use crate::reckon::stock;
use crate::terms::{Day, Status};
use std::collections::HashMap;

/// Something that is due, or was.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Thing {
    pub kind: Kind,
    /// What it is of, whatever its day: the same in every file.
    pub of: String,
    /// Where the animal stands; none for what is of no animal, and for an animal without a pen.
    pub pen: Option<String>,
    /// Of no animal: it is never put together with others.
    pub alone: bool,
    /// The day it stands on.
    pub day: Day,
    /// Its own day has passed and it is still to be done: it stands on today.
    pub late: bool,
    /// No longer to be done.
    pub gone: bool,
    /// What is to be done, in a few words: `Eyelids`, `Due to lamb`.
    pub short: String,
    /// Of whom: `0412 Bramble`.
    pub whom: String,
    /// The tag alone.
    pub tag: String,
    /// More about it, a sentence each.
    pub more: Vec<String>,
    /// Place among others of a day.
    pub place: u16,
}

/// What was late is withdrawn for so many days after it was done (common practice, no source).
const LATELY: i64 = 14;
/// Jobs of an animal that left are withdrawn for so many days (common practice, no source).
const LEFT: i64 = 60;

/// Everything that is asked for, in the order of kind, pen, day, place and tag. None when `watch` says stop.
pub(super) fn things(
    flock: &Flock,
    today: Day,
    ask: &Ask,
    watch: &dyn Fn(usize, usize) -> bool,
) -> Option<Vec<Thing>> {
    let mut all = Vec::new();
    let wants = |kind| ask.kinds.contains(&kind);
    let month = Settings::of(flock.holding()).month;
    if wants(Kind::Jobs) {
        let ground = Ground::of(flock, today);
        let total = flock.len();
        for (n, file) in flock.files().enumerate() {
            if n.is_multiple_of(256) && !watch(n, total) {
                return None;
            }
            jobs(flock, &ground, file, today, month, &mut all);
        }
    }
    if wants(Kind::Lambings) {
        all.extend(pregnancies(flock, today).iter().filter_map(|p| lambing(flock, p, today, month)));
    }
    if wants(Kind::Clear) {
        all.extend(flock.present().flat_map(|file| clear(flock, file, today)));
    }
    if wants(Kind::Feed) {
        all.extend(feed(flock, today));
    }
    if wants(Kind::Expiry) {
        all.extend(expiry(flock, today));
    }
    all.retain(|t| (ask.from..=ask.to).contains(&t.day));
    let pen = |t: &Thing| t.pen.clone().unwrap_or_default();
    all.sort_by(|a, b| {
        let (x, y) = (pen(a), pen(b));
        (a.kind.cmp(&b.kind))
            .then(x.is_empty().cmp(&y.is_empty()))
            .then_with(|| natural(&x, &y))
            .then((a.day, a.place).cmp(&(b.day, b.place)))
            .then_with(|| natural(&a.tag, &b.tag))
            .then_with(|| a.of.cmp(&b.of))
    });
    watch(1, 1).then_some(all)
}

/// A thing of an animal.
fn thing(file: &AnimalFile, kind: Kind, of: String, day: Day, today: Day, gone: bool) -> Thing {
    let a = &file.animal;
    let late = day < today;
    Thing {
        kind,
        of,
        pen: a.pen.clone().filter(|p| !p.trim().is_empty()).map(Into::into),
        alone: false,
        day: day.max(today),
        late,
        gone,
        short: String::new(),
        whom: a.title(),
        tag: a.tag().to_string(),
        more: Vec::new(),
        place: 0,
    }
}

fn jobs(flock: &Flock, ground: &Ground, file: &AnimalFile, today: Day, month: u32, all: &mut Vec<Thing>) {
    let a = &file.animal;
    let here = matches!(a.status, Status::Present | Status::Lent);
    let left = a.status_on.filter(|d| !here && a.status != Status::Outside && today.since(*d) <= LEFT);
    let made = match left {
        _ if a.status == Status::Present => of_file(flock, ground, file),
        // What would have been asked for had it stayed may stand in a calendar.
        Some(_) => {
            let mut stayed = file.clone();
            (stayed.animal.status, stayed.animal.status_on) = (Status::Present, None);
            of_file(flock, ground, &stayed)
        }
        None => return,
    };
    let mut seen: HashMap<String, u32> = HashMap::new();
    for job in made {
        let season = match job.step.anchor {
            Anchor::Birth => String::new(),
            _ => season_of(job.anchor.day, month).to_string(),
        };
        let mut of = format!("{}/{}/{}/{season}", a.id.0.simple(), job.step.key, job.round);
        // Twice in a season: told apart by which came first.
        let nth = seen.entry(of.clone()).or_default();
        *nth += 1;
        if *nth > 1 {
            of.push_str(&format!("/{nth}"));
        }
        let gone = left.is_some() || !job.state.is_open();
        if gone && !was_sent(&job, left, today) {
            continue;
        }
        let mut t = thing(file, Kind::Jobs, of, job.day(), today, gone);
        t.short.clone_from(&job.step.short);
        t.place = job.place;
        t.more = told(&job);
        all.push(t);
    }
}

/// Whether a job that is no more may stand in an earlier file.
fn was_sent(job: &Job, left: Option<Day>, today: Day) -> bool {
    let over = match &job.state {
        State::Done(on) => *on,
        State::Skipped { on, .. } => Some(*on),
        State::Missed => Some(job.close),
        _ => left,
    };
    // What was done on the day it was counted from was never ahead.
    let at_once = matches!(job.state, State::Done(Some(on)) if on <= job.anchor.day);
    let ahead = job.day() >= today;
    let lately = over.is_some_and(|d| today.since(d) <= LATELY && d >= job.day());
    !at_once && (ahead || lately)
}

/// What there is to say of a job that stays true on any day.
fn told(job: &Job) -> Vec<String> {
    let mut said = vec![job.step.job.clone()];
    let last = match job.late {
        Some(late) if late.day > job.due.day => format!(", last day {}", late.day.words()),
        _ => String::new(),
    };
    said.push(format!("Due {}{last}", job.due.words()));
    if let Some((until, why)) = job.put_off.as_deref() {
        let why = if why.is_empty() { String::new() } else { format!(": {why}") };
        said.push(format!("Put off to {}{why}", until.words()));
    }
    said.push(format!("Counted from {}, {}", job.step.anchor.words(), job.anchor.day.words()));
    said.extend(job.step.caution.clone());
    said
}

fn lambing(flock: &Flock, p: &Pregnancy, today: Day, month: u32) -> Option<Thing> {
    let w = &p.window;
    let gone = match p.state {
        Carried::Expected => false,
        Carried::Lambed(on) | Carried::Empty(on) => {
            if w.due < today && today.since(on) > LATELY {
                return None;
            }
            true
        }
        Carried::Past => return None,
    };
    let of = format!("{}/lambing/{}", p.ewe.0.simple(), season_of(w.due, month));
    let mut t = thing(flock.file(p.ewe)?, Kind::Lambings, of, w.due, today, gone);
    t.short = "Due to lamb".into();
    let last = w.late.map_or("on".to_string(), |late| format!("to {}", late.words()));
    t.more.push(format!("Usual day {}; she may lamb from {} {last}", w.due.words(), w.early.words()));
    if let Some((on, found)) = p.scan {
        t.more.push(format!("Scanned {} on {}", found.words(), on.words()));
    }
    if let Some(rams) = rams_words(flock, &p.service.rams) {
        t.more.push(format!("Ram {rams}"));
    }
    t.more.push(p.service.words(flock));
    Some(t)
}

fn clear(flock: &Flock, file: &AnimalFile, today: Day) -> Vec<Thing> {
    let c = clearance_in(flock, file, today);
    let sides = [("meat", &c.meat), ("milk", &c.milk)];
    let export = c.export_apart.then_some(("export", &c.export));
    let mut all = Vec::new();
    for (place, (word, side)) in (0..).zip(sides.into_iter().chain(export)) {
        let Clear::From(day) = side.clear else { continue };
        // What is clear already is nothing to wait for. Milk is told only of those that may give any.
        let milks =
            word != "milk" || file.animal.sex == crate::terms::Sex::Ewe && !file.animal.is_lamb(today);
        if day <= today || !milks {
            continue;
        }
        let of = format!("{}/clear/{word}", file.animal.id.0.simple());
        let mut t = thing(file, Kind::Clear, of, day, today, false);
        t.short = format!("Clear for {word}");
        t.place = place;
        let given = side.given.map_or(String::new(), |d| format!(", given {}", d.words()));
        t.more.push(format!("First clear day after {}{given}", side.product));
        t.more.push("Label, vet and local law decide".into());
        all.push(t);
    }
    all
}

/// A thing of no animal.
fn lone(kind: Kind, of: String, (own, today): (Day, Day), short: String, more: Vec<String>) -> Thing {
    Thing {
        kind,
        of,
        pen: None,
        alone: true,
        day: own.max(today),
        late: own < today,
        gone: false,
        short,
        whom: String::new(),
        tag: String::new(),
        more,
        place: 0,
    }
}

fn feed(flock: &Flock, today: Day) -> Vec<Thing> {
    if flock.feedroom().feeds.is_empty() {
        return Vec::new();
    }
    let store = Store::of(flock, today);
    let ordered = store.lines.into_iter().filter_map(|l| {
        let is_mix = flock.feedroom().feeds.iter().any(|f| f.id == l.feed && !f.parts.is_empty());
        let by = l.order_by.filter(|_| !is_mix)?;
        let of = format!("{}/order", l.feed.0.simple());
        let short = format!("Order {}", l.name);
        let last = match l.lasts {
            crate::reckon::feedstore::Lasts::Until(day) => format!("It lasts to {}", day.words()),
            _ => String::new(),
        };
        let more = [last, format!("Order by {}", by.words())].into_iter().filter(|s| !s.is_empty());
        Some(lone(Kind::Feed, of, (by, today), short, more.collect()))
    });
    ordered.collect()
}

fn expiry(flock: &Flock, today: Day) -> Vec<Thing> {
    let lines = stock::of(flock, today).into_iter().filter(stock::Line::is_usable);
    let ends = lines.filter_map(|l| {
        let batch = l.batch.clone()?;
        let last = [l.expiry, l.use_by].into_iter().flatten().min()?;
        let of = format!("{}/batch/{}", l.product.0.simple(), batch.trim().to_lowercase());
        let opened = l.use_by.is_some_and(|d| d == last) && l.expiry != l.use_by;
        let why = if opened { "Last day of the open bottle" } else { "Last day it may be used" };
        let short = format!("{} {batch} expires", l.name);
        Some(lone(Kind::Expiry, of, (last, today), short, vec![format!("{why}: {}", last.words())]))
    });
    ends.collect()
}
