//! What the flock's own records say of litters, losses and ewes that did not lamb, drawn towards the handbook while they
//! are few.

use crate::flock::Flock;
use crate::handbook::spring as book;
use crate::phrase;
use crate::reckon::gestation::{State, history};
use crate::terms::{Day, Fate, Sex, Status};

/// Years that are looked back.
const YEARS: i64 = 5;
/// Days to a year.
const YEAR: i64 = 365;

/// A share of the flock's own, and of how many it is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Share {
    /// As it is reckoned with: own and handbook together.
    pub used: f64,
    /// The flock's own, where there is any.
    pub own: Option<f64>,
    /// Of so many.
    pub n: u32,
}

/// Own `k` of `n`, with the handbook's share `book` weighing as much as so many more.
pub(super) fn drawn(k: u32, n: u32, book_share: f64) -> Share {
    let w = book::weighs_as();
    let used = (f64::from(k) + w * book_share) / (f64::from(n) + w);
    Share { used, own: (n > 0).then(|| f64::from(k) / f64::from(n)), n }
}

/// What is expected of ewes and lambs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Own {
    /// Litters of one, two, three and more.
    pub litters: [Share; 3],
    /// Lambs born that were lost before weaning.
    pub lost: Share,
    /// Ewes joined that did not lamb.
    pub barren: Share,
}

impl Own {
    /// Looks through the last five years before a day; lambs younger than `wean` days do not tell of losses yet.
    pub fn of(flock: &Flock, today: Day, wean: i64) -> Self {
        let since = today.plus(-YEARS * YEAR);
        let mut litters = [0u32; 3];
        let (mut lost, mut born, mut empty, mut tried) = (0, 0, 0, 0);
        for f in flock.files() {
            if let (Some(birth), Some(day)) = (&f.birth, f.animal.born.day())
                && day >= since
                && today.since(day) >= wean
            {
                born += 1;
                let gone = matches!(f.animal.status, Status::Dead | Status::Missing);
                let young = f.animal.status_on.is_none_or(|d| d.since(day) <= wean);
                lost += u32::from(birth.fate != Fate::Alive || (gone && young));
            }
            if f.animal.sex != Sex::Ewe {
                continue;
            }
            for l in f.lambings_standing().filter(|l| l.at.day >= since && l.at.day <= today) {
                if let Some(place) = l.lambs.len().min(3).checked_sub(1) {
                    litters[place] += 1;
                }
            }
            if f.joinings.is_empty() && f.marks.is_empty() {
                continue;
            }
            for p in history(flock, f, today).iter().filter(|p| p.first >= since) {
                match p.state {
                    State::Lambed(_) => tried += 1,
                    State::Empty(_) | State::Past => (empty, tried) = (empty + 1, tried + 1),
                    State::Expected => {}
                }
            }
        }
        let n = litters.iter().sum();
        let by = [book::litter_one_percent(), book::litter_two_percent(), book::litter_three_percent()];
        let [one, two, three] = [0, 1, 2].map(|i| drawn(litters[i], n, by[i] / 100.0));
        Self {
            litters: [one, two, three],
            lost: drawn(lost, born, book::lost_percent() / 100.0),
            barren: drawn(empty, tried, book::barren_percent() / 100.0),
        }
    }

    /// `litters by 34 lambings of this flock and the handbook: 35 of 100 one, 55 two, 10 three`.
    pub fn words(&self) -> Vec<String> {
        let percent = |s: f64| format!("{:.0}", 100.0 * s);
        let from = |n: u32, what: &'static str| match n {
            0 => phrase!("the handbook alone: no {what} of this flock tells of it"),
            n if f64::from(n) < 2.0 * book::weighs_as() => {
                phrase!("{n} {what} of this flock and the handbook: few, so take it as rough")
            }
            n => phrase!("{n} {what} of this flock, the handbook beside them"),
        };
        let [one, two, three] = self.litters.map(|s| percent(s.used));
        vec![
            phrase!(
                "Ewes not counted by a scan: {one} of 100 one lamb, {two} two, {three} three, by {}",
                from(self.litters[0].n, "lambings")
            ),
            phrase!(
                "Lambs lost before weaning: {} of 100 born, by {}",
                percent(self.lost.used),
                from(self.lost.n, "lambs")
            ),
            phrase!(
                "Ewes joined that do not lamb: {} of 100 not scanned, by {}",
                percent(self.barren.used),
                from(self.barren.n, "joinings")
            ),
        ]
    }
}
