//! Joining: which ram runs with which ewes, and when their lambs will come. Days count from the season's base
//! day, about which lambing ends.

use crate::maker::{Maker, Moves, Stud, WORD};
use crate::mating::{Heat, How, Run};
use crate::sheep::{At, nearness};
use hirsel_core::entry::{self, JoiningDraft};
use hirsel_core::terms::{Day, Sex};

/// Rams go in.
const RAMS_IN: i64 = -186;
/// Rams come out; the last lamb is due 152 days later.
const RAMS_OUT: i64 = -139;
/// The back-up ram goes in for the last three weeks.
const BACK_UP: i64 = -160;

/// A ewe that will lamb.
#[derive(Debug, Clone)]
pub(crate) struct Coming {
    pub(crate) ewe: At,
    /// The sire in truth.
    pub(crate) ram: At,
    /// Every ram that may be the sire by the book.
    pub(crate) possible: Vec<At>,
    pub(crate) on: Day,
}

/// Fields in which the groups run.
const FIELDS: [&str; 4] = ["Long field", "Orchard", "Mill croft", "Bank field"];

/// What a group is called: its field, counted on when there are more groups than fields.
fn field_name(n: usize) -> String {
    let name = FIELDS[n % FIELDS.len()];
    match n / FIELDS.len() {
        0 => name.to_string(),
        more => format!("{name} {}", more + 1),
    }
}

/// A ewe's place at joining.
struct Group {
    ram: At,
    ewes: Vec<At>,
    until: i64,
}

impl Maker<'_> {
    /// Puts the rams in: groups that run with a ram, ewes served by hand, a back-up ram in some seasons.
    pub(crate) fn join(
        &mut self,
        season: usize,
        base: Day,
        mains: Vec<At>,
        late: Vec<At>,
    ) -> (Vec<At>, Vec<Coming>) {
        let last = season == self.last;
        let (rams, young): (Vec<Stud>, Vec<Stud>) = self.studs.iter().partition(|r| !r.young);
        let rams: Vec<At> = rams.into_iter().map(|r| r.at).collect();
        let mut groups = self.group(mains, &rams);
        let tiny = late.is_empty();
        let back_up = groups.len() >= 2 && (last || (season == 1 && self.last >= 3));
        if back_up && let Some(g) = groups.get_mut(1) {
            g.until = BACK_UP - 1;
        }
        if season + 1 == self.last {
            let grown = |at: &&At| (900..1900).contains(&self.sheep[**at].age(base));
            self.unlucky = groups.iter().flat_map(|g| &g.ewes).find(grown).copied();
        }
        let mut drafts = Vec::new();
        let mut coming = Vec::new();
        let helper = if back_up { groups.get(1).map(|g| g.ram) } else { None };
        for (n, g) in groups.iter().enumerate() {
            drafts.push(self.joining(
                g.ram,
                &g.ewes,
                base.plus(RAMS_IN),
                base.plus(g.until),
                "running with the ram",
                Some(field_name(n)),
            ));
            self.seen.runs.push(Run { ram: g.ram, from: RAMS_IN, to: g.until, back_up: false });
            let helper = helper.filter(|_| n == 0);
            let helped: Vec<At> = match helper {
                Some(r) => g.ewes.iter().copied().filter(|e| nearness(&self.sheep, *e, r) < 2).collect(),
                None => Vec::new(),
            };
            if let (Some(r), false) = (helper, helped.is_empty()) {
                let (from, to) = (base.plus(BACK_UP), base.plus(RAMS_OUT));
                drafts.push(self.joining(r, &helped, from, to, "back-up ram", Some(field_name(n))));
                self.seen.runs.push(Run { ram: r, from: BACK_UP, to: RAMS_OUT, back_up: true });
            }
            for (place, ewe) in g.ewes.iter().enumerate() {
                let forced = match (last, tiny, n, place) {
                    (true, true, 0, 0) => Some(-1),
                    (true, true, 0, 1) => Some(6),
                    _ if Some(*ewe) == self.unlucky => Some(if last { -21 } else { -25 }),
                    _ => None,
                };
                let backed = helped.contains(ewe);
                if let Some(c) = self.service(base, g, *ewe, helper.filter(|_| backed), forced) {
                    coming.push(c);
                }
            }
        }
        for (n, ewe) in late.iter().enumerate() {
            let ram = young
                .iter()
                .map(|r| r.at)
                .min_by_key(|r| (nearness(&self.sheep, *ewe, *r), (*r + n) % young.len().max(1)))
                .or(rams.first().copied());
            let Some(ram) = ram.filter(|r| nearness(&self.sheep, *ewe, *r) < 3) else { continue };
            // Days about today on which the last season's late ewes lamb, so that tonight has something to show.
            let pattern = [-1, 4, 0, 8, -2, 11, -1, 6];
            let on = match pattern.get(n).filter(|_| last) {
                Some(off) => *off,
                None => self.dice.between(-11, 12),
            };
            let served = base.plus(on - self.gestation());
            // One of them by insemination in the last season, so that there is one to look at.
            let inseminated = last && n == 1;
            let how = if inseminated { "artificial insemination" } else { "served by hand" };
            drafts.push(self.joining(ram, &[*ewe], served, served, how, None));
            let how = if inseminated { How::Inseminated } else { How::ByHand };
            let served = served.since(base);
            let first = (ram, served);
            self.seen.heats.push(Heat { ewe: *ewe, first, ram, served, from: served, how });
            let barren = n >= pattern.len() && self.dice.chance(0.12);
            if !barren {
                coming.push(Coming { ewe: *ewe, ram, possible: vec![ram], on: base.plus(on) });
            }
        }
        let flock = self.flock();
        self.push(entry::joinings(drafts, &flock, self.today), WORD);
        let mut joined: Vec<At> = groups.iter().flat_map(|g| g.ewes.clone()).collect();
        joined.extend(late);
        joined.sort_unstable();
        self.field(base, &groups);
        (joined, coming)
    }

    fn joining(
        &self,
        ram: At,
        ewes: &[At],
        from: Day,
        to: Day,
        how: &str,
        group: Option<String>,
    ) -> JoiningDraft {
        JoiningDraft {
            ram: self.sheep[ram].id,
            ewes: ewes.iter().map(|e| self.sheep[*e].id).collect(),
            from,
            to: Some(to),
            method: Some(how.into()),
            group,
        }
    }

    /// Deals the ewes out to the rams: never to a near relation while another ram has room.
    fn group(&mut self, mut ewes: Vec<At>, rams: &[At]) -> Vec<Group> {
        self.dice.shuffle(&mut ewes);
        let cap = ewes.len().div_ceil(rams.len().max(1)) + 2;
        let mut groups: Vec<Group> =
            rams.iter().map(|r| Group { ram: *r, ewes: Vec::new(), until: RAMS_OUT }).collect();
        for ewe in ewes {
            let best = groups
                .iter_mut()
                .filter(|g| g.ewes.len() < cap)
                .map(|g| (nearness(&self.sheep, ewe, g.ram), g.ewes.len(), g))
                .filter(|(near, _, _)| *near < 3)
                .min_by_key(|(near, load, _)| (*near, *load));
            if let Some((_, _, g)) = best {
                g.ewes.push(ewe);
            }
        }
        groups.retain(|g| !g.ewes.is_empty());
        for g in &mut groups {
            g.ewes.sort_unstable();
        }
        groups
    }

    /// 144 to 152 days, 147 the most common (reference: husbandry, ewe's year).
    fn gestation(&mut self) -> i64 {
        self.dice.weighted(&[
            (144, 5.0),
            (145, 12.0),
            (146, 20.0),
            (147, 25.0),
            (148, 18.0),
            (149, 10.0),
            (150, 6.0),
            (151, 3.0),
            (152, 1.0),
        ])
    }

    /// Whether and when a ewe that runs with a ram will lamb.
    fn service(
        &mut self,
        base: Day,
        g: &Group,
        ewe: At,
        helper: Option<At>,
        forced: Option<i64>,
    ) -> Option<Coming> {
        let gestation = self.gestation();
        let served = match forced {
            Some(on) => on - gestation,
            None => {
                // Heat comes about every 17 days (reference: husbandry, ewe's year).
                let cycle = self.dice.weighted(&[(0, 72.0), (1, 19.0), (2, 5.0), (9, 4.0)]);
                RAMS_IN + cycle * 17 + self.dice.between(0, 16)
            }
        };
        let (first, from) = ((g.ram, g.until), RAMS_IN);
        let mut heat = Heat { ewe, first, ram: g.ram, served, from, how: How::Running };
        if forced.is_none() && served > RAMS_OUT.min(if helper.is_some() { RAMS_OUT } else { g.until }) {
            self.seen.heats.push(heat);
            return None;
        }
        let on = base.plus(served + gestation);
        let mut possible = vec![g.ram];
        let mut ram = g.ram;
        if let Some(h) = helper {
            // By the book either may be the sire when the day fits both times with a ram.
            if on >= base.plus(BACK_UP + 144) {
                possible.push(h);
            }
            if served >= BACK_UP && self.dice.chance(0.5) {
                ram = h;
            }
        }
        heat.ram = ram;
        self.seen.heats.push(heat);
        Some(Coming { ewe, ram, possible, on })
    }

    fn field(&mut self, base: Day, groups: &[Group]) {
        if self.is_lean() {
            return;
        }
        let mut moves = Moves::new();
        // Rams rest in their paddock, young ewes that are not joined in the bottom croft.
        let studs: Vec<At> = self.studs.iter().map(|r| r.at).collect();
        moves.insert((base.plus(-203), "Ram paddock".into()), studs);
        let hoggs = self.here(base.plus(-186), |s| s.sex == Sex::Ewe && s.kept && s.age(base) < 500);
        moves.insert((base.plus(-200), "Bottom croft".into()), hoggs);
        for (n, g) in groups.iter().enumerate() {
            let pen = FIELDS[n % FIELDS.len()].to_string();
            let list = moves.entry((base.plus(RAMS_IN), pen)).or_default();
            list.extend(g.ewes.iter().copied().chain(std::iter::once(g.ram)));
            moves.entry((base.plus(g.until), "Ram paddock".into())).or_default().push(g.ram);
        }
        let flock = self.flock();
        self.pens(moves, &flock);
    }
}
