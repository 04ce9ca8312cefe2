//! The questions about the medicine cupboard: where it was bought, whether it adds up, what is out of date, what was
//! disposed of.

use super::asked::{Asked, Demand, If};
use super::given::Given;
use super::{Gap, Question, Sort};
use crate::flock::{Batch, Flock, Link, Product, RecordRef, StockChange, StockMove};
use crate::phrase;
use crate::reckon::stock::{self, Line, State};
use crate::rules::{CupboardField, TreatmentField};
use crate::terms::{Day, ProductId, counted};

/// Questions 4 and 6 to 8.
pub(super) fn questions(
    flock: &Flock,
    asked: &Asked<'_>,
    given: &Given<'_>,
    today: Day,
    since: Day,
) -> Vec<Question> {
    let lines = stock::of(flock, today);
    vec![
        bought(flock, asked, given, today, since),
        adds_up(flock, &lines, today),
        out_of_date(&lines, today),
        disposed(flock, asked, today, since),
    ]
}

fn batches(n: usize) -> String {
    if n == 1 { phrase!("1 batch") } else { phrase!("{n} batches") }
}

fn name(flock: &Flock, id: ProductId) -> &str {
    let found = flock.products().iter().find(|p: &&Product| p.id == id);
    found.map_or("a product", |p| p.name.as_str())
}

/// Several blanks of one record as one gap each way: those that are asked for, and those that are advised.
fn gaps_of(
    head: &str,
    link: Link,
    on: Option<Day>,
    blanks: Vec<(&'static str, Option<Demand>)>,
    gaps: &mut Vec<Gap>,
) {
    for firm in [true, false] {
        let mine: Vec<(&str, &str)> = blanks
            .iter()
            .filter_map(|(w, d)| d.as_ref().filter(|d| d.asked == firm).map(|d| (*w, d.why.as_str())))
            .collect();
        if mine.is_empty() {
            continue;
        }
        let mut whys: Vec<&str> = Vec::new();
        for (_, why) in &mine {
            if !whys.contains(why) {
                whys.push(why);
            }
        }
        let blanks: Vec<&str> = mine.iter().map(|(w, _)| *w).collect();
        let words = format!("{head}: {}; {}", blanks.join(", "), whys.join("; "));
        gaps.push(Gap { words, link, on, asked: firm, sort: Sort::Missing });
    }
}

/// A field of a delivery: what the rules ask of a delivery or of a treatment, whichever is firmer.
fn wanted(asked: &Asked<'_>, bought: CupboardField, given: Option<TreatmentField>) -> Option<Demand> {
    let treatment = given.and_then(|f| asked.treatment(f, If::Always));
    match asked.bought(bought) {
        Some(d) if d.asked => Some(d),
        other => treatment.filter(|d| d.asked).or(other),
    }
}

fn bought(flock: &Flock, asked: &Asked<'_>, given: &Given<'_>, today: Day, since: Day) -> Question {
    use CupboardField as C;
    use TreatmentField as T;
    let c = flock.cupboard();
    let practice = || Some(Demand::advice("common practice"));
    let wanted = |b, t| wanted(asked, b, t).or_else(practice);
    let fields = [
        ("no day of purchase", wanted(C::AcquiredOn, None)),
        ("no supplier", wanted(C::SupplierName, Some(T::SupplierName))),
        ("no address of the supplier", wanted(C::SupplierAddress, Some(T::SupplierAddress))),
        ("no quantity", wanted(C::Quantity, None)),
        ("no invoice, neither its number nor a copy", wanted(C::AcquisitionProof, Some(T::AcquisitionProof))),
        ("no expiry", wanted(C::Expiry, None)),
    ];
    let mut gaps = Vec::new();
    let standing = || c.batches.iter().filter(|b| b.struck.is_none());
    for b in standing().filter(|b| b.bought_on.is_none_or(|d| d <= today && d >= since)) {
        let proof =
            b.invoice.is_some() || flock.documents().standing(RecordRef::Batch(b.id)).next().is_some();
        let there = [
            b.bought_on.is_some(),
            b.supplier.is_some(),
            b.supplier_address.is_some(),
            b.quantity.is_some(),
            proof,
            b.expiry.is_some(),
        ];
        let blanks: Vec<_> =
            fields.iter().zip(there).filter(|(_, there)| !there).map(|(f, _)| f.clone()).collect();
        let head = batch_words(flock, b);
        gaps_of(&head, Link::Cupboard(RecordRef::Batch(b.id)), b.bought_on, blanks, &mut gaps);
    }
    let mut numbers = 0;
    for (product, u) in &given.uses {
        for (number, (times, last)) in &u.batches {
            numbers += 1;
            if u.product.is_some_and(|id| c.numbered(id, number).next().is_some()) {
                continue;
            }
            let link = match (u.product, u.last) {
                (Some(id), _) => Link::Cupboard(RecordRef::Product(id)),
                (None, Some((_, link))) => link,
                (None, None) => continue,
            };
            let why = wanted(C::Batch, Some(T::AcquisitionProof));
            let why = why.unwrap_or_else(|| Demand::advice("common practice"));
            let words = phrase!(
                "{product}, batch {number}: given {}, last on {}, and no purchase of it is written; {}",
                if *times == 1 { phrase!("once") } else { phrase!("{times} times") },
                last.words(),
                why.why
            );
            gaps.push(Gap { words, link, on: Some(*last), asked: why.asked, sort: Sort::Missing });
        }
    }
    let found =
        phrase!("{} bought; {} given.", batches(standing().count()), counted(numbers, "batch number"));
    Question::new(4, found, standing().next().is_some() || numbers > 0, gaps)
}

fn batch_words(flock: &Flock, b: &Batch) -> String {
    phrase!("{}, batch {}", &name(flock, b.product), b.number)
}

fn adds_up(flock: &Flock, lines: &[Line], today: Day) -> Question {
    let mut gaps = Vec::new();
    let mut counted_ones = 0;
    for l in lines {
        let head = match &l.batch {
            Some(b) => phrase!("{}, batch {b}", l.name),
            None => phrase!("{}, given without a batch number", l.name),
        };
        let on = l.counts.last().map(|c| c.on).or(l.bought_on);
        counted_ones += usize::from(!l.counts.is_empty());
        let mut gap = |words: String, asked| {
            let sort = if l.state == State::Negative { Sort::Wrong } else { Sort::Missing };
            gaps.push(Gap { words, link: l.link(), on, asked, sort });
        };
        if l.state == State::Negative {
            gap(format!("{head}: {}", l.words), true);
        } else if l.batch.is_some() && !l.deliveries.is_empty() && l.left.is_none() {
            let why = if l.given_unmeasured > 0 {
                phrase!("{} without an amount", counted(l.given_unmeasured, "dose"))
            } else {
                phrase!("no quantity bought is written")
            };
            gap(phrase!("{head}: how much should be left is not known ({why}); count it"), true);
        } else if l.counts.is_empty() && !l.deliveries.is_empty() && l.state != State::Empty {
            let left = l.left.map(|d| phrase!(", {d} should be there")).unwrap_or_default();
            gap(phrase!("{head}: never counted on the shelf{left}"), false);
        }
        for c in l.counts.iter().filter(|c| c.on <= today) {
            let reason = flock.cupboard().moves.iter().find(|m: &&StockMove| m.id == c.id);
            let differs = !matches!(c.difference(), stock::Difference::Same | stock::Difference::Unknown);
            if differs && reason.is_some_and(|m| m.reason.is_none()) {
                gaps.push(Gap {
                    words: phrase!(
                        "{head}: counted on {}, {}, and no reason is written",
                        c.on.words(),
                        c.difference()
                    ),
                    link: Link::Cupboard(RecordRef::StockMove(c.id)),
                    on: Some(c.on),
                    asked: true,
                    sort: Sort::Missing,
                });
            }
        }
    }
    let bought = lines.iter().filter(|l| !l.deliveries.is_empty()).count();
    let found = phrase!("{} bought, {counted_ones} of them counted.", batches(bought));
    Question::new(6, found, bought > 0, gaps)
}

fn out_of_date(lines: &[Line], today: Day) -> Question {
    let kept = lines.iter().filter(|l| !l.deliveries.is_empty() && l.state != State::Empty);
    let bad = lines.iter().filter(|l| matches!(l.state, State::Expired | State::OpenedTooLong));
    let gaps: Vec<Gap> = bad
        .map(|l| Gap {
            words: phrase!("{}, batch {}: {}", l.name, &l.batch.as_deref().unwrap_or("unknown"), l.words),
            link: l.link(),
            on: l.expiry.filter(|d| *d < today).or(l.use_by),
            asked: true,
            sort: Sort::Wrong,
        })
        .collect();
    let n = kept.count();
    let found = phrase!(
        "{} in the cupboard, {} out of date or open too long.",
        batches(n),
        if gaps.is_empty() { phrase!("none") } else { gaps.len().to_string() }
    );
    let mut q = Question::new(7, found, n > 0, gaps);
    // Here 'no' is the good answer to the question as it is asked; it is turned so that a gap is always a 'no'.
    q.ask = "Is everything in the cupboard in date?";
    q
}

fn disposed(flock: &Flock, asked: &Asked<'_>, today: Day, since: Day) -> Question {
    use CupboardField as C;
    let practice = || Some(Demand::advice("common practice"));
    let wanted = |f| asked.disposed(f).or_else(practice);
    let fields =
        [("no quantity", wanted(C::Quantity)), ("not how", wanted(C::How)), ("not where", wanted(C::Where))];
    let mut gaps = Vec::new();
    let mut n = 0;
    for m in &flock.cupboard().moves {
        if m.change != StockChange::Disposed || m.struck.is_some() || m.on > today || m.on < since {
            continue;
        }
        n += 1;
        let there = [m.quantity.is_some(), m.how.is_some(), m.place.is_some()];
        let blanks: Vec<_> =
            fields.iter().zip(there).filter(|(_, there)| !there).map(|(f, _)| f.clone()).collect();
        let head = phrase!("{}, disposed of on {}", &name(flock, m.product), m.on.words());
        gaps_of(&head, Link::Cupboard(RecordRef::StockMove(m.id)), Some(m.on), blanks, &mut gaps);
    }
    let found = phrase!("{} since {}.", counted(n, "disposal"), since.words());
    Question::new(8, found, n > 0, gaps)
}
