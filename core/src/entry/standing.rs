//! Pens, standing in the flock, notes, and who keeps the flock.

use super::{Check, Entry, Faults, Field, Refused, Unusual, lambing::not_here, words};
use crate::flock::{Animal, AnimalFile, Flock, Holding, MoveDetails, Movement, PenMove, Remark, Seldom};
use crate::handbook::trade::Trade;
use crate::reckon::clearance::clearance;
use crate::rules::{MarkVerdict, RegisterField};
use crate::terms::{AnimalId, Day, Misread, MonthDay, MovementId, PenMoveId, RemarkId, Status, Words};

/// Animals to move to a pen.
#[derive(Debug, Clone, PartialEq)]
pub struct PenMoveDraft {
    /// The animals.
    pub animals: Vec<AnimalId>,
    /// The day.
    pub on: Day,
    /// To this pen; nothing takes them out of any.
    pub pen: Option<String>,
}

/// Animals whose standing changes.
#[derive(Debug, Clone, PartialEq)]
pub struct StandingDraft {
    /// The animals.
    pub animals: Vec<AnimalId>,
    /// What they become.
    pub to: Status,
    /// The day.
    pub on: Day,
    /// The other place or person.
    pub other: Option<String>,
    /// Why.
    pub reason: Option<String>,
    /// What the registers ask of a move or a death.
    pub details: MoveDetails,
}

/// A note on animals.
#[derive(Debug, Clone, PartialEq)]
pub struct RemarkDraft {
    /// The animals.
    pub animals: Vec<AnimalId>,
    /// The day.
    pub on: Day,
    /// The words.
    pub text: String,
}

/// Refuses an empty choice, a day ahead, a day before birth.
pub(super) fn basics<'a>(
    faults: &mut Faults,
    flock: &'a Flock,
    animals: &[AnimalId],
    on: Day,
    today: Day,
) -> Vec<&'a Animal> {
    faults.not_ahead(Field::of("on"), on, today);
    if animals.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut known = Vec::new();
    for (row, id) in animals.iter().enumerate() {
        match flock.animal(*id) {
            None => faults.refuse(Field::row("tag", row), Refused::Gone),
            Some(a) => {
                before_birth(faults, Field::row("on", row), a, on);
                known.push(a);
            }
        }
    }
    known
}

/// The animal of a dated row: in the book, born by then, and in the flock then; the day is not ahead.
pub(super) fn there<'a>(
    faults: &mut Faults,
    row: usize,
    flock: &'a Flock,
    animal: AnimalId,
    on: Day,
    today: Day,
) -> Option<&'a AnimalFile> {
    faults.not_ahead(Field::row("on", row), on, today);
    let Some(f) = flock.file(animal) else {
        faults.refuse(Field::row("tag", row), Refused::Gone);
        return None;
    };
    before_birth(faults, Field::row("on", row), &f.animal, on);
    super::lambing::not_here(faults, Field::row("tag", row), &f.animal, on);
    Some(f)
}

pub(super) fn before_birth(faults: &mut Faults, field: Field, a: &Animal, on: Day) {
    if let Some(born) = a.born.exact().filter(|b| on < *b) {
        faults.refuse(field, Refused::BeforeBirth { tag: a.tag().into(), born, on });
    }
}

/// Refuses a day of birth after something that stands in the animal's file. Pens and standings of the day `with` were
/// written down together with the birth and are left out of account.
pub(super) fn nothing_before(
    faults: &mut Faults,
    field: Field,
    f: &AnimalFile,
    born: Day,
    with: Option<Day>,
) {
    let first =
        f.records().filter(|(on, with_birth)| !(*with_birth && Some(*on) == with)).map(|(on, _)| on).min();
    if let Some(on) = first.filter(|on| *on < born) {
        faults.refuse(field, Refused::BeforeBirth { tag: f.animal.tag().into(), born, on });
    }
}

/// `0412`, `0412 and 0413`, `12 animals`.
pub(super) fn names(flock: &Flock, animals: &[AnimalId]) -> String {
    match animals {
        [] => "no animal".into(),
        [one] => flock.tag(*one).into(),
        [a, b] => format!("{} and {}", flock.tag(*a), flock.tag(*b)),
        many => format!("{} animals", many.len()),
    }
}

/// Checks a move to a pen.
///
/// # Errors
/// Every refusal beside its field.
pub fn pen_move(draft: PenMoveDraft, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    for (row, a) in basics(&mut faults, flock, &draft.animals, draft.on, today).into_iter().enumerate() {
        not_here(&mut faults, Field::row("tag", row), a, draft.on);
    }
    let pen = words::<String>(&draft.pen).map(|p| Words::from(flock.pen_called(&p)));
    if let Some(p) = pen.as_ref().filter(|p| p.chars().count() > 40) {
        faults.refuse(
            Field::of("pen"),
            crate::terms::Misread::new(format!("the pen name '{p}' is longer than 40 characters")).into(),
        );
    }
    faults.or(|| {
        let who = names(flock, &draft.animals);
        let sentence = match &pen {
            Some(p) => format!("{who} to {p}"),
            None => format!("{who} out of the pen"),
        };
        let on = draft.on;
        let moves = draft
            .animals
            .into_iter()
            .map(|animal| PenMove { id: PenMoveId::new(), animal, on, pen: pen.clone(), struck: None })
            .collect();
        (Entry::PenMoves(moves), sentence)
    })
}

/// Checks a change of standing: questions an animal that leaves for food under withdrawal.
///
/// # Errors
/// Every refusal beside its field.
pub fn standing(draft: StandingDraft, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let leaves = matches!(draft.to, Status::Sold | Status::Culled | Status::Lent);
    for (row, a) in basics(&mut faults, flock, &draft.animals, draft.on, today).into_iter().enumerate() {
        let field = Field::row("tag", row);
        if a.status == draft.to {
            faults.refuse(field, Refused::SameStanding { tag: a.tag().into(), status: a.status.words() });
        } else if draft.to != Status::Present && a.status != Status::Outside {
            not_here(&mut faults, field, a, draft.on);
        }
        if leaves && let Some(f) = flock.file(a.id) {
            let c = clearance(f, draft.on);
            for (what, side) in [("meat", &c.meat), ("milk", &c.milk)] {
                // Milk matters only for an animal that may be milked.
                let milks = a.sex == crate::terms::Sex::Ewe && !a.is_lamb(draft.on);
                if side.clear.is_clear(draft.on) || (what == "milk" && !milks) {
                    continue;
                }
                let (tag, product, until) = (a.tag().to_string(), side.product.clone(), side.clear.words());
                faults.question(field, Unusual::UnderWithdrawal { tag, what, product, until });
            }
        }
    }
    blanks(&mut faults, flock, draft.to, &draft.other, &draft.details);
    faults.or(|| {
        let sentence = format!("{} {}", names(flock, &draft.animals), draft.to.words());
        let StandingDraft { animals, to, on, other, reason, details } = draft;
        let (other, reason, details) = (words(&other), words(&reason), Seldom::from(details.tidy()));
        let moves = animals
            .into_iter()
            .map(|animal| Movement {
                id: MovementId::new(),
                animal,
                on,
                to,
                other: other.clone(),
                reason: reason.clone(),
                details: details.clone(),
                struck: None,
            })
            .collect();
        (Entry::Movements(moves), sentence)
    })
}

/// What the register asks of a move or a death and is blank, as cautions; a holding number of no known shape is asked
/// about.
pub(super) fn blanks(
    faults: &mut Faults,
    flock: &Flock,
    to: Status,
    other: &Option<impl AsRef<str>>,
    details: &MoveDetails,
) {
    if let (Some(number), Some(rules)) = (words::<String>(&details.number), flock.rules())
        && let MarkVerdict::FitsNone(why) = rules.judge_holding(&number)
    {
        faults.question(Field::of("number"), Unusual::HoldingNumber { number, why });
    }
    let moved = matches!(to, Status::Sold | Status::Culled | Status::Lent)
        || (to == Status::Present && (words::<String>(other).is_some() || !details.is_empty()));
    let register = flock.rules().and_then(|r| Some((r.name(), r.register()?)));
    let asks = |fields: &[RegisterField]| {
        let (name, r) = register?;
        let has = r.move_fields.iter().chain(&r.move_document).any(|f| fields.contains(f));
        has.then(|| format!("{name} asks for it ({})", r.ground))
    };
    let place = [RegisterField::OtherHolding, RegisterField::OriginNumber, RegisterField::DestinationNumber];
    if moved {
        if words::<String>(other).is_none() && words::<String>(&details.number).is_none() {
            faults
                .caution(Field::of("other"), "no other place: the register names where it went or came from");
        }
        if let Some(why) = asks(&place).filter(|_| words::<String>(&details.number).is_none()) {
            faults.caution(Field::of("number"), format!("no official number of the other place: {why}"));
        }
        if let Some(why) =
            asks(&[RegisterField::OtherAddress]).filter(|_| words::<String>(&details.address).is_none())
        {
            faults.caution(Field::of("address"), format!("no address of the other place: {why}"));
        }
    }
    if to == Status::Dead
        && words::<String>(&details.disposal).is_none()
        && words::<String>(&details.receipt).is_none()
    {
        let words = "how the body was disposed of is not written: better in the flock register";
        faults.caution(Field::of("disposal"), words);
    }
}

/// Checks a note.
///
/// # Errors
/// Every refusal beside its field.
pub fn remark(draft: RemarkDraft, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    basics(&mut faults, flock, &draft.animals, draft.on, today);
    let text = draft.text.trim().to_string();
    if text.is_empty() {
        faults.refuse(Field::of("note"), Refused::Missing("a note"));
    }
    faults.or(|| {
        let sentence = format!("Note on {}", names(flock, &draft.animals));
        let on = draft.on;
        let notes = draft
            .animals
            .into_iter()
            .map(|animal| Remark { id: RemarkId::new(), animal, on, text: text.clone(), struck: None })
            .collect();
        (Entry::Remarks(notes), sentence)
    })
}

/// Checks who keeps the flock.
///
/// # Errors
/// A flock without a name; a joining day that is no month and day; rules of grading up, of keeping and culling, of the
/// adjustment of weights, or lengths of gestation that cannot be read.
pub fn holding(new: Holding, flock: &Flock) -> Check {
    let mut faults = Faults::default();
    if new.flock.trim().is_empty() {
        faults.refuse(Field::of("flock"), Refused::Missing("a name for the flock"));
    }
    if !new.joining_day.is_empty()
        && let Err(e) = MonthDay::parse(&new.joining_day)
    {
        faults.refuse(Field::of("joining_day"), e.into());
    }
    if new.grading != flock.holding().grading
        && let Err(e) = crate::reckon::grading::Ladder::parse(&new.grading)
    {
        faults.refuse(Field::of("grading"), e.into());
    }
    if new.growth != flock.holding().growth
        && let Err(e) = crate::reckon::growth::rules::GrowthRules::parse(&new.growth)
    {
        faults.refuse(Field::of("growth"), e.into());
    }
    if new.keeping != flock.holding().keeping
        && let Err(e) = crate::reckon::keeping::Settings::parse(&new.keeping)
    {
        faults.refuse(Field::of("keeping"), e.into());
    }
    if new.figures != flock.holding().figures
        && let Err(e) = crate::reckon::flock_figures::Settings::parse(&new.figures)
    {
        faults.refuse(Field::of("figures"), e.into());
    }
    if new.feeding != flock.holding().feeding
        && let Err(e) = crate::reckon::ration::FeedRules::parse(&new.feeding)
    {
        faults.refuse(Field::of("feeding"), e.into());
    }
    if new.words != flock.holding().words && !new.words.is_empty() && Trade::known(&new.words).is_none() {
        let ids = Trade::all().map(Trade::id).collect::<Vec<_>>().join(", ");
        let why = format!("there are no words '{}': choose among {ids}", new.words);
        faults.refuse(Field::of("words"), Misread::new(why).into());
    }
    if let Err(e) = crate::terms::currency(&new.currency) {
        faults.refuse(Field::of("currency"), e.into());
    }
    if let Err(e) = crate::reckon::gestation::parse(&new.gestation) {
        faults.refuse(Field::of("gestation"), e.into());
    }
    if let (number, Some(rules)) = (new.number.trim(), flock.rules().filter(|r| r.id() == new.rules))
        && !number.is_empty()
        && number != flock.holding().number.trim()
        && let MarkVerdict::FitsNone(why) = rules.judge_holding(number)
    {
        faults.question(Field::of("number"), Unusual::HoldingNumber { number: number.into(), why });
    }
    if new == *flock.holding() {
        faults.refuse(Field::of("flock"), Refused::NothingChanged);
    }
    faults.or(|| (Entry::Holding(Box::new(new)), "Flock and keeper".into()))
}
