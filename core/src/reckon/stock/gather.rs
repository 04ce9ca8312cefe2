//! One pass over the records, and the lines that come of it.

use super::level::{Kind, Sum, of_amount};
use super::{Amount, Counted, Difference, Line, State, said};
use crate::flock::{Batch, Flock, Product, StockChange};
use crate::handbook::stock as bounds;
use crate::terms::{Day, Dose, DoseRule, ProductId, StockMoveId};
use rapidhash::RapidHashMap;

/// What happened to a batch, in the order in which it counts within a day.
#[derive(Debug, Clone, Copy)]
enum What {
    Received(Option<Dose>),
    Given(Dose),
    Wasted(Dose),
    Disposed(Dose),
    Counted(StockMoveId, Option<Dose>),
}

impl What {
    fn order(self) -> u8 {
        match self {
            Self::Received(_) => 0,
            Self::Counted(..) => 2,
            _ => 1,
        }
    }
}

/// What is known of one batch number while it is gathered. A delivery without a day was there from the beginning.
struct Gathered<'a> {
    product: usize,
    number: Option<&'a str>,
    deliveries: Vec<&'a Batch>,
    events: Vec<(Option<Day>, What)>,
    unmeasured: usize,
}

/// The last level of a line, below nothing too, and the day of its last count.
struct Level {
    left: Sum,
    counted: Option<Day>,
}

fn gathered<'a>(flock: &'a Flock, on: Day, only: Option<ProductId>) -> Vec<Gathered<'a>> {
    let products = flock.products();
    let wanted = |p: &Product| only.is_none_or(|id| p.id == id);
    let by_id: RapidHashMap<ProductId, usize> =
        products.iter().enumerate().filter(|(_, p)| wanted(p)).map(|(i, p)| (p.id, i)).collect();
    let by_name: RapidHashMap<String, usize> = products
        .iter()
        .enumerate()
        .filter(|(_, p)| wanted(p))
        .map(|(i, p)| (p.name.to_lowercase(), i))
        .collect();
    let mut all: Vec<Gathered<'a>> = Vec::new();
    let mut places: RapidHashMap<(usize, Option<String>), usize> = RapidHashMap::default();
    let mut place = |all: &mut Vec<Gathered<'a>>, product: usize, number: Option<&'a str>| {
        let number = number.map(str::trim).filter(|n| !n.is_empty());
        *places.entry((product, number.map(norm))).or_insert_with(|| {
            let (deliveries, events) = (Vec::new(), Vec::new());
            all.push(Gathered { product, number, deliveries, events, unmeasured: 0 });
            all.len() - 1
        })
    };
    let cupboard = flock.cupboard();
    for b in cupboard.batches.iter().filter(|b| b.struck.is_none() && b.bought_on.is_none_or(|d| d <= on)) {
        if let Some(product) = by_id.get(&b.product) {
            let at = place(&mut all, *product, Some(&b.number));
            all[at].deliveries.push(b);
            all[at].events.push((b.bought_on, What::Received(b.quantity)));
        }
    }
    for m in cupboard.moves.iter().filter(|m| m.struck.is_none() && m.on <= on) {
        if let Some(product) = by_id.get(&m.product) {
            let at = place(&mut all, *product, m.batch.as_deref());
            let what = match (m.change, m.quantity) {
                (StockChange::Counted, found) => What::Counted(m.id, found),
                (StockChange::Wasted, Some(q)) => What::Wasted(q),
                (StockChange::Disposed, Some(q)) => What::Disposed(q),
                (_, None) => continue,
            };
            all[at].events.push((Some(m.on), what));
        }
    }
    // A treatment names its product and batch in words: each wording is looked up once.
    let mut known: RapidHashMap<(&'a str, Option<&'a str>), Option<usize>> = RapidHashMap::default();
    for t in flock.files().flat_map(|f| f.treatments_standing()).filter(|t| t.at.day <= on) {
        let words = (t.product.as_str(), t.batch.as_deref());
        let at = *known.entry(words).or_insert_with(|| {
            let product = by_name.get(&t.product.trim().to_lowercase())?;
            Some(place(&mut all, *product, t.batch.as_deref()))
        });
        match (at, t.dose) {
            (Some(at), Some(dose)) => all[at].events.push((Some(t.at.day), What::Given(dose))),
            (Some(at), None) => all[at].unmeasured += 1,
            (None, _) => {}
        }
    }
    for g in &mut all {
        // Of one day and kind they keep the order of the records.
        g.events.sort_by_key(|(day, what)| (*day, what.order()));
    }
    all
}

fn norm(number: &str) -> String {
    number.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_uppercase).collect()
}

/// What a product is measured in by its rule; by volume where nothing is known.
fn kind_of(p: &Product) -> Kind {
    match p.rule {
        DoseRule::PerKg(_) | DoseRule::PerHead(_) => Kind::Volume,
        DoseRule::Typed => p.more.most.map_or(Kind::Volume, Kind::of),
    }
}

fn line(p: &Product, g: &Gathered<'_>, on: Day) -> (Line, Level) {
    let mut left = Sum::default();
    let mut sums = [Sum::default(); 4];
    let [received, given, wasted, disposed] = &mut sums;
    let (mut lately, mut counts, mut counted) = (Sum::default(), Vec::new(), None);
    let mut difference = Sum::default();
    let mut cannot_say = false;
    for (day, what) in &g.events {
        match what {
            What::Received(None) => {
                // Whatever is added to an unknown amount stays unknown, until it is counted.
                (left, *received) = (Sum::Unknown, Sum::Unknown);
            }
            What::Received(Some(q)) => {
                received.add(Amount::of(*q));
                left.add(Amount::of(*q));
            }
            What::Given(q) | What::Wasted(q) | What::Disposed(q) => {
                let q = Amount::of(*q);
                let sum = match what {
                    What::Given(_) => &mut *given,
                    What::Wasted(_) => &mut *wasted,
                    _ => &mut *disposed,
                };
                sum.add(q);
                left.take(q);
                if matches!(what, What::Given(_)) && day.is_some_and(|d| on.since(d) < bounds::use_days()) {
                    lately.add(q);
                }
            }
            What::Counted(id, found) => {
                let Some(day) = *day else { continue };
                // A level that only ever went down, of a number never bought, is no level to compare with.
                let book = left.known().filter(|_| !g.deliveries.is_empty() || counted.is_some());
                let kind = left.known().map_or_else(|| kind_of(p), |l| l.kind);
                let found = found.map_or(Amount::none(kind), Amount::of);
                match book.and_then(|b| found.minus(b)) {
                    Some(d) => difference.add(d),
                    None => cannot_say = true,
                }
                counts.push(Counted { id: *id, on: day, book, found });
                (left, counted) = (Sum::Of(found), Some(day));
            }
        }
    }
    let level = Level { left, counted };
    let has_level = !g.deliveries.is_empty() || counted.is_some();
    let left = left.known().filter(|_| has_level);
    let known = |s: &Sum| s.known().map(Amount::there);
    let opened_on = g.deliveries.iter().filter_map(|b| b.opened_on).filter(|d| *d <= on).max();
    let days = p.more.opened_days.map(i64::from);
    let mut line = Line {
        product: p.id,
        name: p.name.clone(),
        batch: g.number.map(str::to_string),
        deliveries: g.deliveries.iter().map(|b| b.id).collect(),
        expiry: g.deliveries.iter().filter_map(|b| b.expiry).min(),
        bought_on: g.deliveries.iter().filter_map(|b| b.bought_on).min(),
        opened_on,
        use_by: opened_on.zip(days).map(|(d, n)| d.plus(n)),
        received: known(&sums[0]),
        given: known(&sums[1]),
        given_unmeasured: g.unmeasured,
        given_lately: known(&lately),
        wasted: known(&sums[2]),
        disposed: known(&sums[3]),
        difference: match difference {
            _ if cannot_say => Difference::Unknown,
            Sum::Nothing => Difference::Same,
            Sum::Of(d) => of_amount(d),
            Sum::Unknown => Difference::Unknown,
        },
        counts,
        left: left.map(Amount::there),
        short: left.filter(|l| l.n < 0).map(Amount::size),
        state: State::Fine,
        words: String::new(),
    };
    line.state = said::state(&line, on);
    line.words = said::words(&line, on);
    (line, level)
}

pub(super) fn lines(flock: &Flock, on: Day, only: Option<ProductId>) -> Vec<Line> {
    let products = flock.products();
    let all = gathered(flock, on, only);
    let mut lines: Vec<(usize, Line)> =
        all.iter().map(|g| (g.product, line(&products[g.product], g, on).0)).collect();
    lines.sort_by(|(a, x), (b, y)| {
        // First expiry first, one without a day last; the open bottle of two; the lines without a number at the end.
        let key = |l: &Line| (l.batch.is_none(), l.expiry.is_none(), l.expiry, !l.is_open(on), l.bought_on);
        a.cmp(b).then_with(|| key(x).cmp(&key(y))).then_with(|| x.batch.cmp(&y.batch))
    });
    lines.into_iter().map(|(_, l)| l).collect()
}

/// What is left of a product, all batches together and what was given without a number taken away.
pub(super) fn whole(flock: &Flock, product: ProductId, on: Day) -> Option<Dose> {
    let p = flock.products().iter().find(|p| p.id == product)?;
    let all = gathered(flock, on, Some(product));
    let levels: Vec<(&Gathered<'_>, Line, Level)> = all
        .iter()
        .map(|g| {
            let (line, level) = line(p, g, on);
            (g, line, level)
        })
        .collect();
    let mut total = Sum::default();
    let mut all_counted = Some(on);
    let mut any = false;
    for (_, line, level) in levels.iter().filter(|(g, ..)| g.number.is_some()) {
        if line.deliveries.is_empty() && level.counted.is_none() {
            // Given of a number that was never bought: it came out of a bottle whose number is not known.
            if let Some(n) = level.left.known() {
                total.add(n);
            }
            continue;
        }
        any = true;
        total.add(level.left.known()?);
        if level.left.known().is_some_and(|l| l.n > 0) {
            all_counted = all_counted.min(level.counted);
        }
    }
    for (g, line, level) in levels.iter().filter(|(g, ..)| g.number.is_none()) {
        if !line.counts.is_empty() {
            any = true;
            total.add(level.left.known()?);
            continue;
        }
        for (day, what) in &g.events {
            // What was found on the shelf is already without what had been given before.
            if let What::Given(q) | What::Wasted(q) | What::Disposed(q) = what
                && *day > all_counted
            {
                total.take(Amount::of(*q));
            }
        }
    }
    total.known().filter(|_| any).map(Amount::there)
}
