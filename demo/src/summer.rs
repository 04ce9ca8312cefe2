//! Summer and autumn of a crop: weaning, what is kept and registered, what is sold, tags lost.

use crate::cupboard::IVERMECTIN;
use crate::found::Needs;
use crate::maker::{Jab, Maker, Moves, Scale, WORD, electronic};
use crate::names::{ABATTOIR, BREED, BUYERS, PREFIX, SECTION};
use crate::sheep::At;
use hirsel_core::book::Failed;
use hirsel_core::entry::{self, DoseDraft, IdentityDraft, Retag};
use hirsel_core::flock::{Ended, Flock};
use hirsel_core::terms::{Breed, Day, IdentityKind, Moment, MoneyKind, Sex, Status};

impl Maker<'_> {
    /// Everything from weaning on; the last season's lambs are not that far.
    pub(crate) fn summer(&mut self, season: usize, crop: &[At]) -> Result<(), Failed> {
        let base = self.base(season);
        let year = base.year();
        let flock = self.flock();
        let weaned = base.plus(90);
        let here: Vec<At> = crop.iter().copied().filter(|at| self.sheep[*at].is_here(weaned)).collect();
        self.at_weaning(weaned, &here, &flock);
        if !self.is_lean() {
            let mut moves = Moves::new();
            moves.insert((weaned, "Mill croft".into()), here.clone());
            let ewes = self.here(weaned, |s| s.sex == Sex::Ewe && s.kept && s.age(weaned) > 450);
            moves.insert((weaned, "Bank field".into()), ewes);
            self.pens(moves, &flock);
            self.official(base, &here, &flock);
            self.lost_tags(base, &flock);
        }
        let kept = self.keep(season, &here);
        for at in &kept {
            self.sheep[*at].kept = true;
        }
        self.register(base, &kept, &flock, true);
        self.flush(&format!("Weaning {year}"))?;
        self.name_all(&kept)?;

        let flock = self.flock();
        self.after_weaning(base, &here, &kept, &flock)?;
        let flock = self.flock();
        self.register(base, &kept, &flock, false);
        if !self.is_lean() {
            let males: Vec<At> =
                here.iter().copied().filter(|at| self.sheep[*at].sex == Sex::Wether).collect();
            let jab = Jab {
                bottle: &IVERMECTIN,
                animals: males,
                on: weaned,
                time: None,
                dose: DoseDraft::ByRule,
                reason: "worms at weaning",
            };
            self.treat(vec![jab], &flock);
        }
        let lots = self.lots(season, base, &here);
        let scale: Vec<Scale> = lots
            .iter()
            .filter(|l| l.to == Status::Culled && !self.is_lean())
            .flat_map(|l| l.animals.iter().map(|at| (*at, l.on.plus(-1))))
            .collect::<Vec<_>>()
            .into_iter()
            .map(|(at, on)| (at, Moment::day(on), self.sheep[at].scale(on, &mut self.dice)))
            .collect();
        self.weigh(&scale, &flock, None, WORD);
        self.flush(&format!("Registrations and sale weights {year}"))?;

        let flock = self.flock();
        for lot in lots {
            let clear: Vec<At> =
                lot.animals.iter().copied().filter(|at| self.sheep[*at].is_clear(lot.on)).collect();
            let held: Vec<At> = lot.animals.iter().copied().filter(|at| !clear.contains(at)).collect();
            self.sold(&lot, clear.len());
            self.leave(&clear, lot.to, lot.on, Some(lot.other), lot.reason, &flock);
            // Held ones go four weeks on, when they are clear.
            let later = lot.on.plus(28);
            let held: Vec<At> = held.into_iter().filter(|at| self.sheep[*at].is_clear(later)).collect();
            self.leave(&held, lot.to, later, Some(lot.other), lot.reason, &flock);
        }
        self.flush(&format!("Sales {year}"))
    }

    /// The ewe lambs and ram lambs to breed from: well grown, of a known sire, reared by a ewe.
    fn keep(&mut self, season: usize, here: &[At]) -> Vec<At> {
        let on = self.base(season).plus(110);
        let best = |sex: Sex, n: usize, strict: bool| {
            let mut list: Vec<At> = here
                .iter()
                .copied()
                .filter(|at| {
                    let s = &self.sheep[*at];
                    s.sex == sex && s.is_here(on) && (!strict || (s.sire_known && s.reared_by.is_some()))
                })
                .collect();
            list.sort_by(|a, b| {
                let rank = |at: &At| {
                    let s = &self.sheep[*at];
                    (s.reared_by.is_none(), !s.sire_known)
                };
                let kg = |at: &At| self.sheep[*at].kg(on);
                rank(a).cmp(&rank(b)).then(kg(b).total_cmp(&kg(a))).then(a.cmp(b))
            });
            list.truncate(n);
            list
        };
        let mut kept = best(Sex::Ewe, (self.ewes * 21).div_ceil(100), false);
        if season.is_multiple_of(2) {
            kept.extend(best(Sex::Ram, Needs::of(self.ewes).young, true));
        }
        kept
    }

    /// Kept lambs get their electronic number and, in a second turn, registry number.
    fn register(&mut self, base: Day, kept: &[At], flock: &Flock, first: bool) {
        let on = base.plus(if first { 118 } else { 130 });
        for at in kept {
            let id = self.sheep[*at].id;
            let (kind, tag) = if first {
                self.sheep[*at].has_electronic = true;
                (IdentityKind::Electronic, electronic(*at))
            } else {
                (IdentityKind::Registry, self.registry())
            };
            let new = Some(IdentityDraft { kind, tag });
            self.push(entry::retag(Retag { animal: id, ends: None, new, on }, flock, self.today), WORD);
        }
    }

    /// Kept lambs get their registry names.
    fn name_all(&mut self, kept: &[At]) -> Result<(), Failed> {
        let flock = self.flock();
        let pure = Breed::parse(BREED).ok().flatten();
        for (n, at) in kept.iter().enumerate() {
            if let Some(a) = flock.animal(self.sheep[*at].id) {
                let mut edit = a.clone();
                edit.name = Some(self.own_name().into());
                edit.prefix = Some(PREFIX.into());
                edit.section = Some(if a.breed == pure { SECTION } else { "B" }.into());
                // One reason for the line, not one for each lamb.
                let why = (n == 0).then_some("entered in the registry");
                self.push(entry::edit_animal(edit, why, &flock, self.today), WORD);
            }
        }
        self.flush("Names entered in the registry")
    }

    /// Tags lost in the hedge and replaced.
    fn lost_tags(&mut self, base: Day, flock: &Flock) {
        let on = base.plus(100);
        let ewes = self.here(on, |s| s.sex == Sex::Ewe && s.kept && s.age(on) > 400);
        if ewes.is_empty() {
            return;
        }
        let mut done = Vec::new();
        for n in 0..(self.ewes / 30).max(1) {
            let at = self.dice.pick(&ewes);
            if done.contains(&at) {
                continue;
            }
            done.push(at);
            let id = self.sheep[at].id;
            let worn = flock.animal(id).and_then(|a| a.worn(IdentityKind::Flock)).map(|i| i.id);
            let Some(worn) = worn else { continue };
            let new = IdentityDraft { kind: IdentityKind::Flock, tag: self.tag() };
            let how = if n % 2 == 0 { Ended::Lost } else { Ended::Replaced };
            let draft = Retag { animal: id, ends: Some((worn, how)), new: Some(new), on };
            self.push(entry::retag(draft, flock, self.today), WORD);
        }
    }

    /// What a lot brought.
    fn sold(&mut self, lot: &Lot, head: usize) {
        let each = match lot.reason {
            "finished lamb" => 9_400,
            "store wether" => 6_900,
            "ram lamb" => 11_000,
            "ewe lamb for breeding" => 13_500,
            _ => return,
        };
        let head = u32::try_from(head).unwrap_or(0);
        self.paid(lot.on, MoneyKind::Lambs, head * each, &format!("{head} at the market: {}", lot.reason));
        self.paid(lot.on, MoneyKind::Marketing, head * 420, "haulage and commission");
    }

    /// Who leaves when and where to.
    fn lots(&mut self, season: usize, base: Day, here: &[At]) -> Vec<Lot> {
        let on = base.plus(150);
        let of = |m: &Self, sex: Sex| {
            let mut list: Vec<At> =
                here.iter().copied().filter(|at| m.sheep[*at].sex == sex && !m.sheep[*at].kept).collect();
            list.retain(|at| m.sheep[*at].is_here(on));
            list.sort_by(|a, b| m.sheep[*b].kg(on).total_cmp(&m.sheep[*a].kg(on)).then(a.cmp(b)));
            list
        };
        let (mut wethers, mut rams, mut ewes) =
            (of(self, Sex::Wether), of(self, Sex::Ram), of(self, Sex::Ewe));
        let mut lots = Vec::new();
        // One goes missing at a gathering.
        if season % 3 == 1
            && wethers.len() > 3
            && let Some(at) = wethers.pop()
        {
            lots.push(Lot {
                animals: vec![at],
                on: base.plus(151),
                to: Status::Missing,
                other: "Bank field",
                reason: "not found at the gathering",
            });
        }
        let stores = wethers.split_off(wethers.len() - wethers.len() / 4);
        let per = wethers.len().div_ceil(3).max(1);
        for (n, lot) in wethers.chunks(per).enumerate() {
            lots.push(Lot {
                animals: lot.to_vec(),
                on: base.plus(156 + 29 * n as i64),
                to: Status::Culled,
                other: ABATTOIR,
                reason: "finished lamb",
            });
        }
        if season + 1 == self.last {
            self.hoggs = ewes.drain(..(self.ewes / 20).max(1).min(ewes.len())).collect();
        }
        for (list, day, reason) in [
            (stores, 190, "store wether"),
            (std::mem::take(&mut rams), 176, "ram lamb"),
            (ewes, 168, "ewe lamb for breeding"),
        ] {
            for lot in list.chunks(6) {
                let other = self.dice.pick(BUYERS);
                let on = base.plus(day + self.dice.between(0, 12));
                lots.push(Lot { animals: lot.to_vec(), on, to: Status::Sold, other, reason });
            }
        }
        lots
    }
}

/// Animals that leave together.
struct Lot {
    animals: Vec<At>,
    on: Day,
    to: Status,
    other: &'static str,
    reason: &'static str,
}
