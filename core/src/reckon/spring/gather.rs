//! From the flock to the model: who is here and what becomes of them, what is given, how far it may be off.

use super::model::{Carrying, Head, Life, Line, Model, Raising};
use super::own::Own;
use super::{Ask, NoWinter};
use crate::flock::{AnimalFile, Feed, Flock, natural};
use crate::handbook::{spring as book, tupping};
use crate::phrase;
use crate::reckon::eaters::{Spans, pen_on, spells};
use crate::reckon::gestation::{From, Length, Pregnancy, State, pregnancies};
use crate::terms::{AnimalId, Day, Decided, Eaters, Scanned, counted, norm};
use rapidhash::RapidHashMap;

/// A scan that counted tells how many lambs to expect, as well as scans do: a scan count is never a birth count.
fn litter(found: Option<Scanned>, own: &Own) -> [f64; 3] {
    let (one, more) = (book::right_one_percent() / 100.0, book::right_more_percent() / 100.0);
    let three = book::right_three_percent() / 100.0;
    match found {
        Some(Scanned::One) => [one, 1.0 - one, 0.0],
        Some(Scanned::Two) => [1.0 - more, more, 0.0],
        Some(Scanned::Three) => [1.0 - more, (more - three).max(0.0), three],
        Some(Scanned::InLamb | Scanned::Empty) | None => own.litters.map(|s| s.used),
    }
}

/// Standard deviation of the days she carries: as learnt, else a quarter of the handbook's window.
fn spread(length: &Length) -> f64 {
    match &length.from {
        From::Breed(_, l) | From::Flock(l) => l.sd,
        From::Keeper | From::Handbook => (length.late - length.early) as f64 / 4.0,
    }
}

/// What is gathered, with what the words need of it.
pub(super) struct Gathered {
    pub model: Model,
    pub own: Own,
    /// Ewes looked to lamb: scanned with a count, found in lamb, not scanned.
    pub scans: [usize; 3],
    /// Grown ewes that are neither with a ram nor in lamb.
    pub dry: usize,
    /// Decided to leave, and still here.
    pub leaving: usize,
    /// Ewes that are taken out as sold, by tag.
    pub sold: Vec<AnimalId>,
}

/// Gathers a winter. `stock_kg` is what is in store; `offs` how far that, what is given, and what is spoiled may be off.
pub(super) fn gather(
    flock: &Flock,
    feed: &Feed,
    ask: &Ask,
    today: Day,
    stock_kg: f64,
    offs: (f64, f64, (f64, f64)),
) -> Result<Gathered, NoWinter> {
    let days = usize::try_from(ask.until.since(today)).unwrap_or(0).clamp(1, super::MOST_DAYS);
    let last = today.plus(days as i64);
    let (lines, pens) = lines(flock, feed, today, last);
    if !lines.iter().any(|l| l.each_kg > 0.0) {
        return Err(NoWinter::NoRation(feed.name.clone()));
    }
    let spans = Spans::of(flock);
    let lambs = *spans.of_year(last.year());
    let own = Own::of(flock, today, lambs.weaned_at);
    let mut lives: RapidHashMap<AnimalId, Vec<(usize, Eaters)>> = RapidHashMap::default();
    for s in spells(flock, today, last) {
        let from = usize::try_from(s.from.since(today)).unwrap_or(0);
        lives.entry(s.animal).or_default().push((from, s.eaters));
    }
    let mut bred: RapidHashMap<AnimalId, Pregnancy> = pregnancies(flock, today)
        .into_iter()
        .filter(|p| p.state == State::Expected)
        .map(|p| (p.ewe, p))
        .collect();
    // In the order of tags, so that the same book gives the same winters.
    let mut here: Vec<&AnimalFile> = flock.files().filter(|f| lives.contains_key(&f.animal.id)).collect();
    here.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
    let leave = |f: &AnimalFile| {
        f.decided(today).is_some_and(|d| matches!(d.what, Decided::Sell | Decided::Market | Decided::Cull))
    };
    let mut all = Gathered {
        model: Model {
            days,
            stock_kg,
            bought_kg: ask.buy.kg(),
            stock_off: offs.0,
            lines,
            ration: ask.ration,
            given_off: offs.1,
            spoiled: offs.2,
            grass: usize::try_from(ask.grass.since(today)).unwrap_or(0).max(1),
            grass_share: ask.grass_share,
            heads: Vec::with_capacity(here.len()),
            raising: Raising {
                creep_from: lambs.creep_from,
                wean: lambs.weaned_at,
                lost: own.lost.used,
                lost_first_week: book::lost_first_week_percent() / 100.0,
                cycle: tupping::cycle_days() as f64,
                settle: book::settle_percent() / 100.0,
            },
        },
        own,
        scans: [0; 3],
        dry: 0,
        leaving: 0,
        sold: Vec::new(),
    };
    let mut ewes: Vec<(u8, usize, AnimalId)> = Vec::new();
    for f in here {
        let Some(steps) = lives.remove(&f.animal.id) else { continue };
        let now = steps.first().map(|s| s.1);
        let leaves = leave(f);
        all.leaving += usize::from(leaves);
        let until = ask.leave_on.filter(|_| leaves).map(|d| usize::try_from(d.since(today)).unwrap_or(0));
        let pen = pen_on(f, today).and_then(|p| pens.get(&norm(p)).copied()).unwrap_or(0);
        let nurses = matches!(now, Some(Eaters::NursingOne | Eaters::NursingTwo | Eaters::NursingThree));
        let place = all.model.heads.len();
        let life = match bred.remove(&f.animal.id).filter(|_| !nurses) {
            Some(p) => {
                let found = p.scan.map(|s| s.1);
                let of = match found {
                    Some(Scanned::One | Scanned::Two | Scanned::Three) => 0,
                    Some(_) => 1,
                    None => 2,
                };
                all.scans[of] += 1;
                ewes.push((1 + p.lambs().unwrap_or(2), place, f.animal.id));
                Life::Carrying(carrying(f, &p, &steps, &own, &spans, today))
            }
            None => {
                if now == Some(Eaters::DryEwes) {
                    all.dry += 1;
                    ewes.push((0, place, f.animal.id));
                }
                Life::Known(steps)
            }
        };
        all.model.heads.push(Head { pen, until, life });
    }
    // Sold are those that would be missed least: not in lamb first, then those with the fewest lambs.
    ewes.sort_by_key(|e| (e.0, e.1));
    for (_, place, id) in ewes.into_iter().take(ask.sold as usize) {
        all.model.heads[place].until = Some(1);
        all.sold.push(id);
    }
    Ok(all)
}

/// Lines of its ration up to a day, and the places of the pens that have one of their own.
fn lines(flock: &Flock, feed: &Feed, today: Day, last: Day) -> (Vec<Line>, RapidHashMap<String, usize>) {
    let mut pens: RapidHashMap<String, usize> = RapidHashMap::default();
    let room = flock.feedroom();
    let mut own: Vec<_> =
        room.rations.iter().filter(|r| r.struck.is_none() && r.feed == feed.id && r.from <= last).collect();
    own.sort_by_key(|r| (r.from, r.id));
    let made = own.into_iter().map(|r| {
        let pen = r.pen.as_deref().map(|p| {
            let next = pens.len() + 1;
            *pens.entry(norm(p)).or_insert(next)
        });
        let from = usize::try_from(r.from.since(today)).unwrap_or(0);
        Line { eaters: r.eaters, pen, from, each_kg: r.each.kg() }
    });
    (made.collect(), pens)
}

fn carrying(
    f: &AnimalFile,
    p: &Pregnancy,
    steps: &[(usize, Eaters)],
    own: &Own,
    spans: &Spans,
    today: Day,
) -> Carrying {
    let ahead = |d: Day| d.since(today) as f64;
    let from = p.service.from;
    let ram_leaves = from.plus(book::ram_days());
    let to = p.service.to.unwrap_or_else(|| ram_leaves.max(today));
    let mut usual = ahead(p.window.due) - p.service.day.since(from) as f64;
    let mut open_days = to.since(from).max(0) as f64;
    // A ewe that has not lambed by now was not served so early.
    let late = (-usual).clamp(0.0, open_days);
    usual += late;
    open_days -= late;
    let joined_until = match steps {
        [(_, Eaters::JoinedEwes), rest @ ..] => {
            let ends = rest.first().map_or(i64::MAX, |s| s.0 as i64);
            let open = f.joinings.iter().any(|j| j.struck.is_none() && j.to.is_none());
            let ram = if open { ram_leaves.since(today).max(1) } else { i64::MAX };
            usize::try_from(ends.min(ram)).unwrap_or(0)
        }
        _ => 0,
    };
    let found = p.scan.map(|s| s.1);
    Carrying {
        joined_until,
        late_from: p.window.early.plus(-spans.late_days).since(today),
        usual,
        off: spread(&p.length),
        open_days,
        holds: match found {
            Some(_) => book::right_in_lamb_percent() / 100.0,
            None => 1.0 - own.barren.used,
        },
        litter: litter(found, own),
    }
}

/// `24 ewes are expected to lamb: 18 counted by a scan, 2 found in lamb, 4 not scanned`.
pub(super) fn who_words(g: &Gathered) -> String {
    let n: usize = g.scans.iter().sum();
    if n == 0 {
        return phrase!("No ewe is expected to lamb");
    }
    let of = [(g.scans[0], "counted by a scan"), (g.scans[1], "found in lamb"), (g.scans[2], "not scanned")];
    let of: Vec<String> = of.iter().filter(|(n, _)| *n > 0).map(|(n, w)| format!("{n} {w}")).collect();
    let are = if n == 1 { "is" } else { "are" };
    phrase!("{} {are} expected to lamb: {}", counted(n, "ewe"), of.join(", "))
}
