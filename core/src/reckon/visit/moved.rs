//! The registers: moves, deaths, marks, and the head that stands on each.

use super::asked::{Asked, Demand};
use super::gathered::named_move;
use super::{Gap, Question, Sort};
use crate::flock::{AnimalFile, Flock, Link, Movement, RecordRef};
use crate::phrase;
use crate::rules::{MarkVerdict, RegisterField};
use crate::terms::{Day, Fate, IdentityKind, Status, counted};

/// Questions 16 to 19.
pub(super) fn questions(flock: &Flock, asked: &Asked<'_>, today: Day, since: Day) -> Vec<Question> {
    let register = Register::of(asked);
    let (mut moves, mut deaths, mut marks) = (Tally::default(), Tally::default(), Tally::default());
    for f in flock.files() {
        for m in f.movements.iter().filter(|m| m.struck.is_none() && m.on >= since && m.on <= today) {
            match m.to {
                Status::Dead => register.death(f, m, &mut deaths),
                Status::Sold | Status::Culled | Status::Lent | Status::Present => {
                    register.moved(f, m, &mut moves);
                }
                Status::Missing | Status::Outside => {}
            }
        }
        marked(f, asked, today, &mut marks);
    }
    let found = |t: &Tally, what: &str| phrase!("{} since {}.", counted(t.n, what), since.words());
    vec![
        Question::new(16, found(&moves, "move"), moves.n > 0, moves.gaps),
        Question::new(17, found(&deaths, "death"), deaths.n > 0, deaths.gaps),
        Question::new(18, marks_found(asked, marks.n), marks.n > 0, marks.gaps),
        holding(flock, asked),
    ]
}

#[derive(Default)]
struct Tally {
    n: usize,
    gaps: Vec<Gap>,
}

/// What the registers of the rules ask, each with its words.
struct Register {
    place: Option<Demand>,
    number: Option<Demand>,
    address: Option<Demand>,
    carrier: Option<Demand>,
    vehicle: Option<Demand>,
    document: Option<Demand>,
    cause: Option<Demand>,
    disposal: Option<Demand>,
}

impl Register {
    fn of(asked: &Asked<'_>) -> Self {
        use RegisterField as F;
        let advice = || Demand::advice("better in the flock register (common practice)");
        let moves = |fields: &[F]| asked.register(|r| r.move_fields.iter().any(|f| fields.contains(f)));
        let paper = |fields: &[F]| asked.register(|r| r.move_document.iter().any(|f| fields.contains(f)));
        let holding = [F::OtherHolding, F::OriginNumber, F::DestinationNumber];
        Self {
            place: Some(Demand::always("a register names the other place")),
            number: Some(moves(&holding).or_else(|| paper(&holding)).unwrap_or_else(advice)),
            address: Some(moves(&[F::OtherAddress]).unwrap_or_else(advice)),
            carrier: paper(&[F::TransporterNumber]).map(soft),
            vehicle: paper(&[F::Vehicle]).map(soft),
            document: Some(advice()),
            cause: Some(advice()),
            disposal: Some(advice()),
        }
    }

    fn moved(&self, f: &AnimalFile, m: &Movement, tally: &mut Tally) {
        // One that was found again, or a struck sale: it came from nowhere else.
        if m.to == Status::Present && m.other.is_none() && m.details.is_empty() {
            return;
        }
        tally.n += 1;
        let d = &m.details;
        let blanks = [
            ("no other place", m.other.is_none() && d.number.is_none(), &self.place),
            ("no official number of the other place", d.number.is_none(), &self.number),
            ("no address of it", d.address.is_none(), &self.address),
            ("no carrier", d.carrier.is_none(), &self.carrier),
            ("no vehicle", d.vehicle.is_none(), &self.vehicle),
            ("no number of the paper that went with it", d.document.is_none(), &self.document),
        ];
        let what = if m.to == Status::Present { "came in" } else { m.to.words() };
        take(f, m, what, &blanks, tally);
    }

    fn death(&self, f: &AnimalFile, m: &Movement, tally: &mut Tally) {
        if f.birth.as_ref().is_some_and(|b| b.fate == Fate::BornDead) {
            return;
        }
        tally.n += 1;
        let d = &m.details;
        let blanks = [
            ("no cause", d.cause.is_none() && m.reason.is_none(), &self.cause),
            (
                "not how and where the body was disposed of",
                d.disposal.is_none() && d.receipt.is_none(),
                &self.disposal,
            ),
        ];
        take(f, m, "dead", &blanks, tally);
    }
}

/// On the paper that goes with the animals, not in the register: advised.
fn soft(d: Demand) -> Demand {
    Demand { asked: false, why: d.why }
}

fn take(
    f: &AnimalFile,
    m: &Movement,
    what: &str,
    blanks: &[(&str, bool, &Option<Demand>)],
    tally: &mut Tally,
) {
    for firm in [true, false] {
        let mine: Vec<(&str, &str)> = blanks
            .iter()
            .filter(|(_, is, _)| *is)
            .filter_map(|(w, _, d)| d.as_ref().filter(|d| d.asked == firm).map(|d| (*w, d.why.as_str())))
            .collect();
        if mine.is_empty() {
            continue;
        }
        let words: Vec<&str> = mine.iter().map(|(w, _)| *w).collect();
        let mut whys: Vec<&str> = mine.iter().map(|(_, w)| *w).collect();
        whys.dedup();
        tally.gaps.push(Gap {
            words: format!("{}{what}: {}; {}", named_move(f, m), words.join(", "), whys.join("; ")),
            link: Link::Record(f.animal.id, RecordRef::Movement(m.id)),
            on: Some(m.on),
            asked: firm,
            sort: Sort::Missing,
        });
    }
}

/// An animal of the flock past the age of tagging.
fn marked(f: &AnimalFile, asked: &Asked<'_>, today: Day, tally: &mut Tally) {
    let Some((set, tagging)) = asked.tagging() else { return };
    let Some(months) = tagging.months_max else { return };
    let a = &f.animal;
    if a.status != Status::Present {
        return;
    }
    // Of a year known only roughly the last possible day counts, so that no animal is named too early.
    let Some(born) = a.born.exact().or_else(|| a.born.year().and_then(|y| Day::new(y, 12, 31))) else {
        return;
    };
    let last = months_after(born, months);
    if today <= last {
        return;
    }
    tally.n += 1;
    let worn = || a.identities.iter().filter(|i| i.ended.is_none());
    let official = worn().any(|i| matches!(set.judge(i.kind, i.tag.as_str()), MarkVerdict::Fits(_)));
    if official {
        return;
    }
    let why = worn()
        .filter(|i| i.kind != IdentityKind::Registry)
        .find_map(|i| match set.judge(i.kind, i.tag.as_str()) {
            MarkVerdict::FitsNone(why) => Some(why),
            _ => None,
        })
        .unwrap_or_else(|| phrase!("it wears none"));
    tally.gaps.push(Gap {
        words: phrase!(
            "{}: past {months} months on {} and without an official mark ({why}); {} asks for it ({})",
            &a.tag(),
            last.words(),
            &set.name(),
            tagging.ground
        ),
        link: Link::Animal(a.id),
        on: Some(last),
        asked: true,
        sort: Sort::Missing,
    });
}

/// So many months later; the last day of a shorter month.
fn months_after(day: Day, months: u32) -> Day {
    let all = day.year() * 12 + i32::try_from(day.month() + months).unwrap_or(0) - 1;
    let (year, month) = (all.div_euclid(12), u32::try_from(all.rem_euclid(12)).unwrap_or(0) + 1);
    (0..4).find_map(|less| Day::new(year, month, day.day().saturating_sub(less).max(1))).unwrap_or(day)
}

fn marks_found(asked: &Asked<'_>, n: usize) -> String {
    match asked.tagging() {
        Some((_, t)) if t.months_max.is_some() => {
            phrase!("{} past the age: {}.", counted(n, "animal"), t.words)
        }
        Some((_, t)) => phrase!("The rules give no age: {}.", t.words),
        None => phrase!("No rule on the age of tagging is known for this book."),
    }
}

fn holding(flock: &Flock, asked: &Asked<'_>) -> Question {
    let h = flock.holding();
    let mut gaps = Vec::new();
    let mut add = |words: String, asked, sort| {
        gaps.push(Gap { words, link: Link::Holding, on: None, asked, sort });
    };
    let head = "it stands at the head of every register";
    for (what, text) in [("holding number", &h.number), ("keeper", &h.keeper), ("address", &h.address)] {
        if text.trim().is_empty() {
            add(phrase!("No {what} is written: {head}"), true, Sort::Missing);
        }
    }
    if let Some(set) = asked.set().filter(|_| !h.number.trim().is_empty())
        && let MarkVerdict::FitsNone(why) = set.judge_holding(&h.number)
    {
        add(phrase!("The holding number {why}"), true, Sort::Wrong);
    }
    if asked.set().is_none() {
        let words = phrase!("No rules are chosen: choose the place the flock is kept in");
        add(words, false, Sort::Missing);
    }
    let found = match (h.number.trim(), h.keeper.trim()) {
        ("", "") => phrase!("Nothing is written yet."),
        ("", keeper) => format!("{keeper}."),
        (number, keeper) => format!("{number}, {keeper}."),
    };
    Question::new(19, found, true, gaps)
}
