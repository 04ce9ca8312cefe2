//! Who to whom beside plain trial of every set there is, and the years ahead beside theory.

use super::*;
use crate::flock::{AnimalFile, Flock, GeneTest, Sire, Tested};
use crate::papers::fixture::{animal, day};
use crate::reckon::kinship::Kindred;
use crate::terms::{AnimalId, GeneStatus, GeneTestId, Scrapie, Sex};
use std::sync::Arc;

/// Numbers by chance.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: u64) -> u64 {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 >> 33) % n.max(1)
    }

    fn one_in(&mut self, n: u64) -> bool {
        self.below(n) == 0
    }
}

fn tested(id: AnimalId, found: Tested) -> GeneTest {
    GeneTest {
        id: GeneTestId::new(),
        animal: id,
        on: day("2026-01-05"),
        found,
        lab: None,
        number: None,
        note: None,
        struck: None,
    }
}

/// A flock of three generations with tests and colours, its ewes and its rams.
fn by_chance(c: &mut Chance, ewes: usize, rams: usize) -> (Flock, Vec<AnimalId>, Vec<AnimalId>) {
    let mut files: Vec<AnimalFile> = Vec::new();
    let older = 8;
    for n in 0..older + ewes + rams {
        let sex = match n {
            n if n < older => [Sex::Ewe, Sex::Ram][n % 2],
            n if n < older + ewes => Sex::Ewe,
            _ => Sex::Ram,
        };
        let mut f = animal(&format!("{}{n}", if sex == Sex::Ewe { "E" } else { "R" }), "", sex);
        let from = if n < older { n as u64 } else { older as u64 };
        let parent = |c: &mut Chance, odd: u64| {
            let at = c.below(from.max(1)) & !1 | odd;
            (n > 3 && at < from && !c.one_in(5)).then(|| files[at as usize].animal.id)
        };
        f.animal.dam = parent(c, 0);
        f.animal.sire = parent(c, 1).map_or(Sire::Unknown, Sire::Known);
        if c.one_in(3) {
            f.animal.colour = Some("Badger face".into());
        }
        if c.one_in(3) {
            let status = [GeneStatus::Clear, GeneStatus::Carrier, GeneStatus::Affected][c.below(3) as usize];
            f.tests.push(tested(f.animal.id, Tested::Recessive { gene: "Spider".into(), status }));
        }
        if c.one_in(4) {
            let text = ["ARR/VRQ", "ARR/ARR", "VRQ/VRQ"][c.below(3) as usize];
            f.tests.push(tested(f.animal.id, Tested::Scrapie(Scrapie::parse(text).unwrap())));
        }
        files.push(f);
    }
    let ids = |from: usize, n: usize| files[from..from + n].iter().map(|f| f.animal.id).collect::<Vec<_>>();
    let (e, r) = (ids(older, ewes), ids(older + ewes, rams));
    let mut flock = Flock::default();
    files.into_iter().for_each(|f| flock.put(f));
    (flock, e, r)
}

/// What a pair costs, reckoned apart from the code: from the flock's files and the coancestry of two animals.
fn cost(flock: &Flock, kindred: &Kindred, ask: &PairsAsk, ewe: AnimalId, ram: AnimalId) -> Option<f64> {
    let kept = ask.keep.iter().find(|k| k.0 == ewe);
    let f = kindred.coancestry(ewe, ram).unwrap();
    match kept {
        Some(k) if k.1 != ram => return None,
        Some(_) => {}
        None if ask.forbid.contains(&(ewe, ram)) || ask.limit.is_some_and(|l| f > l + 1e-12) => return None,
        None => {}
    }
    let of = |id| flock.file(id).unwrap();
    let mean = |id| kindred.mean_kinship(id).unwrap();
    let both = |what: &dyn Fn(&AnimalFile) -> f64| (what(of(ewe)), what(of(ram)));
    let spider = both(&|f| {
        f.tests.iter().fold(0.0, |p, t| match &t.found {
            Tested::Recessive { status: GeneStatus::Carrier, .. } => 0.5,
            Tested::Recessive { status: GeneStatus::Affected, .. } => 1.0,
            _ => p,
        })
    });
    let vrq = both(&|f| {
        f.tests.iter().fold(0.0, |p, t| match &t.found {
            Tested::Scrapie(s) => s.to_string().matches("VRQ").count() as f64 / 2.0,
            _ => p,
        })
    });
    let well = (1.0 - spider.0 * spider.1) * (1.0 - vrq.0) * (1.0 - vrq.1);
    let badger = both(&|f| f64::from(u8::from(f.animal.colour.is_some())));
    let all: Vec<f64> = ask
        .ewes
        .iter()
        .chain(ask.rams.iter().map(|r| &r.ram))
        .filter_map(|id| ask.values.get(id))
        .copied()
        .collect();
    let middle = all.iter().sum::<f64>() / all.len().max(1) as f64;
    let spread = (all.iter().map(|v| (v - middle).powi(2)).sum::<f64>() / all.len().max(1) as f64).sqrt();
    let z = |id| match ask.values.get(&id) {
        Some(v) if spread > 0.0 => (v - middle) / spread,
        _ => 0.0,
    };
    let w = ask.weights;
    Some(
        w.kinship * f + w.rare * (mean(ewe) + mean(ram)) / 2.0 - 0.01 * w.value * (z(ewe) + z(ram)) / 2.0
            + w.risk * (1.0 - well)
            + if ask.words.is_empty() { 0.0 } else { 0.01 * w.alike * badger.0 * badger.1 },
    )
}

/// The sums of every set that may be, each with its set, cheapest first.
fn by_force(costs: &[Vec<Option<f64>>], rams: &[RamCap]) -> Vec<(f64, Vec<usize>)> {
    let (n, m) = (costs.len(), rams.len());
    let mut all = Vec::new();
    for code in 0..m.pow(n as u32) {
        let of: Vec<usize> = (0..n).map(|e| code / m.pow(e as u32) % m).collect();
        let many = |r: usize| of.iter().filter(|x| **x == r).count();
        let fits = rams.iter().enumerate().all(|(r, c)| (c.least..=c.most).contains(&many(r)));
        let sum: Option<f64> = of.iter().enumerate().map(|(e, r)| costs[e][*r]).sum();
        if let Some(sum) = sum.filter(|_| fits) {
            all.push((sum, of));
        }
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

fn question(c: &mut Chance, ewes: &[AnimalId], rams: &[AnimalId], flock: &Flock) -> PairsAsk {
    let weight = |c: &mut Chance| [0.0, 0.5, 1.0, 2.0][c.below(4) as usize];
    let mut ask = PairsAsk { ewes: ewes.to_vec(), ..PairsAsk::default() };
    for ram in rams {
        let most = 1 + c.below(6) as usize;
        let least = if c.one_in(3) { c.below(most as u64 + 1) as usize } else { 0 };
        ask.rams.push(RamCap { ram: *ram, most, least });
    }
    let any = |c: &mut Chance, n: u64| -> Vec<(AnimalId, AnimalId)> {
        let pair = |c: &mut Chance| {
            (ewes[c.below(ewes.len() as u64) as usize], rams[c.below(rams.len() as u64) as usize])
        };
        (0..c.below(n)).map(|_| pair(c)).collect()
    };
    ask.forbid = any(c, 4);
    ask.keep = any(c, 3);
    ask.limit = c.one_in(2).then(|| [0.0, 0.0625, 0.125, 0.25][c.below(4) as usize]);
    ask.weights =
        Weights { kinship: weight(c), rare: weight(c), value: weight(c), risk: weight(c), alike: weight(c) };
    for id in ewes.iter().chain(rams) {
        if c.one_in(2) {
            ask.values.insert(*id, c.below(100) as f64 - 50.0);
        }
    }
    ask.risk = Some(Arc::new(TestedGenes::of(flock)));
    if c.one_in(2) {
        ask.words = vec!["BADGER".into()];
    }
    ask
}

#[test]
fn no_set_is_better_and_every_change_costs_what_it_is_said_to() {
    let (mut found, mut refused) = (0, 0);
    for seed in 1..=1000u64 {
        let mut c = Chance(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
        let (n, m) = (1 + c.below(6) as usize, 1 + c.below(3) as usize);
        let (flock, ewes, rams) = by_chance(&mut c, n, m);
        let ask = question(&mut c, &ewes, &rams, &flock);
        let kindred = Kindred::of(&flock);
        let twice = ask
            .keep
            .iter()
            .any(|k| ask.forbid.contains(k) || ask.keep.iter().any(|o| o.0 == k.0 && o.1 != k.1));
        let costs: Vec<Vec<Option<f64>>> = ewes
            .iter()
            .map(|e| rams.iter().map(|r| cost(&flock, &kindred, &ask, *e, *r)).collect())
            .collect();
        let sets = by_force(&costs, &ask.rams);
        let answer = match pairs(&flock, &kindred, &ask, &mut |_| true) {
            Ok(answer) => answer,
            Err(why) => {
                assert!(twice || sets.is_empty(), "seed {seed}: {why}");
                assert!(why.to_string().len() > 20, "seed {seed}: {why}");
                refused += 1;
                continue;
            }
        };
        found += 1;
        assert!(!twice, "seed {seed}");
        let best = sets[0].0;
        let place = |id: AnimalId| rams.iter().position(|r| *r == id).unwrap();
        let sum = |p: &Pairs| {
            ewes.iter().enumerate().map(|(n, e)| costs[n][place(p.ram_of(*e).unwrap())].unwrap()).sum::<f64>()
        };
        assert!((sum(&answer) - best).abs() < 1e-9, "seed {seed}: {} and {best}", sum(&answer));
        assert!((answer.totals().cost * ewes.len() as f64 - best).abs() < 1e-9, "seed {seed}");
        assert!(answer.amiss(&flock).iter().all(|a| a.words.contains("over the limit")), "seed {seed}");
        for (e, ewe) in ewes.iter().enumerate() {
            for (r, ram) in rams.iter().enumerate() {
                let with = sets.iter().find(|s| s.1[e] == r).map(|s| s.0 - best);
                let said = answer.cost_of_forcing(*ewe, *ram);
                match (with, said) {
                    (Some(with), Some(said)) => {
                        assert!((with - said).abs() < 1e-9, "seed {seed}, {e} with {r}: {with} and {said}");
                        let new = answer.force(&flock, *ewe, *ram).unwrap();
                        assert_eq!(new.ram_of(*ewe), Some(*ram), "seed {seed}");
                        assert!((sum(&new) - best - with).abs() < 1e-9, "seed {seed}");
                        assert!(new.amiss(&flock).iter().all(|a| a.words.contains("over the limit")));
                    }
                    (with, said) => {
                        assert!(with.is_none() && said.is_none(), "seed {seed}: {with:?} {said:?}")
                    }
                }
            }
            let told = answer.told(&flock, *ewe).unwrap();
            assert_eq!(told.others.len(), m - 1);
            assert!(!told.reason.is_empty());
        }
        let next = answer.alternatives(4);
        assert_eq!(next.len(), (sets.len() - 1).min(4), "seed {seed}");
        for (n, a) in next.iter().enumerate() {
            assert!((a.extra - (sets[n + 1].0 - best)).abs() < 1e-9, "seed {seed}, alternative {n}");
            assert!(!a.moved.is_empty(), "seed {seed}");
        }
        // The order in which they are given does not matter.
        let mut turned = ask.clone();
        turned.ewes.reverse();
        turned.rams.reverse();
        let again = pairs(&flock, &kindred, &turned, &mut |_| true).unwrap();
        assert!(again.pairs().eq(answer.pairs()), "seed {seed}");
    }
    assert!(found > 400 && refused > 200, "{found} found, {refused} refused");
}

/// Unrelated ewes and rams.
fn strangers(ewes: usize, rams: usize) -> (Flock, PairsAsk) {
    let mut flock = Flock::default();
    let mut ask = PairsAsk { weights: Weights::KINSHIP, ..PairsAsk::default() };
    for n in 0..ewes + rams {
        let sex = if n < ewes { Sex::Ewe } else { Sex::Ram };
        let f = animal(&format!("{n}"), "", sex);
        match sex {
            Sex::Ewe => ask.ewes.push(f.animal.id),
            _ => ask.rams.push(RamCap { ram: f.animal.id, most: ewes, least: 0 }),
        }
        flock.put(f);
    }
    (flock, ask)
}

#[test]
fn who_stands_in_the_way_is_named() {
    let (flock, mut ask) = strangers(4, 2);
    let tag = |id| flock.tag(id).to_string();
    let kindred = Kindred::of(&flock);
    let words = |ask: &PairsAsk| {
        pairs(&flock, &kindred, ask, &mut |_| true).err().map(|e| e.to_string()).unwrap_or_default()
    };
    let (first, second) = (ask.rams[0].ram, ask.rams[1].ram);
    ask.rams[0].most = 2;
    ask.forbid = ask.ewes[..3].iter().map(|e| (*e, second)).collect();
    assert_eq!(
        words(&ask),
        "3 ewes (0, 1, 2) may only go to 4, who may have 2: raise a number or the limit, allow other pairs, or leave 1 out"
    );
    ask.forbid.push((ask.ewes[0], first));
    assert_eq!(words(&ask), "every ram is forbidden for 0: allow one or leave her out");
    ask.forbid.clear();
    ask.rams[1].least = 5;
    ask.rams[1].most = 9;
    assert_eq!(words(&ask), "5 is to have at least 5, but only 4 ewes may go to him: lower that number");
    ask.rams[1].least = 0;
    ask.keep = vec![(ask.ewes[0], first), (ask.ewes[0], second)];
    assert_eq!(words(&ask), "0 is kept for 4 and for 5: keep her for one of them");
    ask.keep = ask.ewes[..3].iter().map(|e| (*e, first)).collect();
    assert_eq!(words(&ask), "3 ewes are kept for 4, who may have 2: raise his number or free some");
    ask.keep.truncate(1);
    ask.forbid = ask.keep.clone();
    assert_eq!(words(&ask), "0 with 4 is both kept and forbidden: take one of the two back");
    ask.forbid.clear();
    ask.rams.remove(0);
    assert_eq!(
        words(&ask),
        format!("0 is kept for {}, who is not among the rams: add him or free her", tag(first))
    );
    ask.keep.clear();
    ask.rams[0].most = 3;
    assert!(words(&ask).starts_with("4 ewes are more than the rams may have together (3)"));
    ask.rams[0].most = 9;
    assert_eq!(words(&ask), "");
    let mut heard = Vec::new();
    let stopped = pairs(&flock, &kindred, &ask, &mut |p| {
        heard.push(p);
        p < 40
    });
    assert_eq!(stopped.err(), Some(NoPairs::Stopped));
    assert_eq!(heard.last(), Some(&40));
}

#[test]
fn a_ewe_moved_by_hand_breaks_what_it_breaks() {
    let (flock, mut ask) = strangers(3, 2);
    ask.rams[0].most = 1;
    ask.limit = Some(0.1);
    let found = pairs(&flock, &Kindred::of(&flock), &ask, &mut |_| true).unwrap();
    let first = ask.rams[0].ram;
    let other = found.pairs().find(|p| p.ram != first).unwrap();
    let moved = found.move_alone(other.ewe, first).unwrap();
    assert!(moved.by_hand() && !found.by_hand());
    let amiss = moved.amiss(&flock);
    let had = found.pairs().filter(|p| p.ram == first).count();
    assert_eq!(amiss.len(), usize::from(had == 1), "{amiss:?}");
}

/// One generation a crop, one ram, all of it at random: what theory gives for few sires (Wright 1931; Falconer and
/// Mackay): Ne = 4·Nm·Nf/(Nm+Nf), F(t) = F(t−1) + (1 − 2F(t−1) + F(t−2))/(2Ne).
#[test]
fn with_one_ram_inbreeding_rises_as_theory_has_it() {
    let (flock, ask) = strangers(19, 1);
    let found = pairs(&flock, &Kindred::of(&flock), &ask, &mut |_| true).unwrap();
    let spec = AheadSpec {
        runs: 300,
        seed: 5,
        lambs: 6.0,
        ewe_crops: 1,
        ram_crops: 1,
        young_ewes: 19,
        young_rams: 1,
        first_crop: 1,
        ..AheadSpec::of(&flock, day("2026-10-01"), 19, 1)
    };
    let ahead = ahead(&found, &spec, &mut |_| true).unwrap();
    let by_sexes = 4.0 * 1.0 * 19.0 / 20.0;
    let (mut before, mut last) = (0.0, 0.0);
    for (year, band) in ahead.random.inbreeding.iter().enumerate() {
        let theory = if year == 0 { 0.0 } else { last + (1.0 - 2.0 * last + before) / (2.0 * by_sexes) };
        assert!(
            band.low - 1e-9 <= theory && theory <= band.high + 1e-9,
            "crop {}: {theory} outside {band:?}",
            year + 1
        );
        assert!((band.middle - theory).abs() < 0.03, "crop {}: {theory} and {band:?}", year + 1);
        (before, last) = (last, theory);
    }
    assert!(last > 0.65, "ten generations of one ram narrow the blood: {last}");
    assert!((ahead.kinship_now - 0.5 / 20.0).abs() < 1e-12, "unrelated, each with itself ½");
}

#[test]
fn the_years_ahead_have_one_answer() {
    let mut c = Chance(77);
    let (flock, ewes, rams) = by_chance(&mut c, 12, 3);
    let caps: Vec<RamCap> = rams.iter().map(|ram| RamCap { ram: *ram, most: 5, least: 0 }).collect();
    let found = pairs(&flock, &Kindred::of(&flock), &PairsAsk::plain(&ewes, &caps), &mut |_| true).unwrap();
    let spec = AheadSpec { runs: 30, lambs: 2.0, ..AheadSpec::of(&flock, day("2026-10-01"), 12, 3) };
    assert_eq!(spec.from, [0, 0], "no figures of its own");
    let one = ahead(&found, &spec, &mut |_| true).unwrap();
    assert_eq!(ahead(&found, &spec, &mut |_| true).unwrap(), one);
    assert_ne!(
        ahead(&found, &AheadSpec { seed: 2, ..spec.clone() }, &mut |_| true).unwrap().chosen,
        one.chosen
    );
    // The first crop is that of the pairs proposed, whatever the dice say.
    let mean = found.totals().mean;
    for part in [one.chosen.inbreeding[0].low, one.chosen.inbreeding[0].high] {
        assert!((part - mean).abs() < 1e-12);
    }
    for (with, without) in one.chosen.inbreeding.iter().zip(&one.random.inbreeding).skip(1) {
        assert!(with.middle <= without.middle + 0.01, "{with:?} and {without:?}");
        assert!(with.low <= with.middle && with.middle <= with.high);
    }
    assert_eq!(one.chosen.kinship.len(), 10);
    assert!(ahead(&found, &spec, &mut |p| p < 50).is_none());
}
