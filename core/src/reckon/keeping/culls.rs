//! Ewes to leave the flock: which rules of the keeper's name her, by which records, and what her leaving would cost in
//! blood.

use super::dam::{Dam, score};
use super::gather::Ground;
use super::settings::{CullKind, CullRule};
use crate::flock::{AnimalFile, Decision, natural};
use crate::phrase;
use crate::reckon::gestation::{self, State};
use crate::reckon::kinship::losses;
use crate::terms::{AnimalId, Day, Decided, ScoreKind, Sex, Status, counted};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// One reason, with the records it stands on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Why {
    /// The rule.
    pub kind: CullKind,
    /// The reason with its days: `empty twice: 2024, 2025`.
    pub words: String,
}

/// What her leaving would cost in blood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Blood {
    /// Her mean kinship with the flock, herself counted: low is rare blood.
    pub kinship: f64,
    /// The flock's.
    pub of_flock: f64,
    /// Her place among the flock, the rarest blood first.
    pub rarest: usize,
    /// How many are in the flock.
    pub of: usize,
    /// What the flock's founder genomes would rise by, or fall under nought, without her.
    pub genomes: f64,
    /// The flock's gene diversity (1 − mean kinship) without her, less with her.
    pub diversity: f64,
}

/// A ewe with reasons to leave.
#[derive(Debug, Clone, PartialEq)]
pub struct Cull {
    /// The ewe.
    pub animal: AnimalId,
    /// Her tag.
    pub tag: String,
    /// Her name.
    pub name: Option<String>,
    /// Her record.
    pub dam: Arc<Dam>,
    /// Why, by the order of the rules.
    pub why: Vec<Why>,
    /// Her place by the gain of her lambs among ewes of which it is known, and how many those are.
    pub milk_place: Option<(usize, usize)>,
    /// What she would cost; none while kinship is not known.
    pub blood: Option<Blood>,
    /// Her daughters in the flock.
    pub daughters: usize,
    /// The last decision.
    pub decided: Option<Decision>,
}

impl Cull {
    /// Tag and name.
    pub fn title(&self) -> String {
        self.name.as_ref().map_or_else(|| self.tag.clone(), |name| format!("{} {name}", self.tag))
    }

    /// All reasons in a line.
    pub fn reasons(&self) -> String {
        self.why.iter().map(|w| w.words.as_str()).collect::<Vec<_>>().join("; ")
    }

    /// What her leaving would cost, in words.
    pub fn cost(&self) -> String {
        let kept = match self.daughters {
            0 => phrase!("no daughter of hers is in the flock"),
            1 => phrase!("one daughter of hers is in the flock"),
            n => phrase!("{n} daughters of hers are in the flock"),
        };
        let Some(b) = &self.blood else { return phrase!("kinship is not reckoned; {kept}") };
        let rare =
            if b.kinship < b.of_flock { "rarer blood than most" } else { "blood the flock has much of" };
        let change = match (b.diversity * 10_000.0).round() / 100.0 {
            c if c < 0.0 => phrase!("the flock would lose {:.2} % of its gene diversity", -c),
            c if c > 0.0 => phrase!("the flock’s gene diversity would rise by {c:.2} %"),
            _ => phrase!("the flock’s gene diversity would stay as it is"),
        };
        phrase!("{rare} ({} of {} by rarity); {change}; {kept}", super::told::ordinal(b.rarest), b.of)
    }
}

/// A decision and a score of feet hold for so many days (common practice, no source).
const YEAR: i64 = 365;

/// Ewes of the flock that a rule names, or of which it was decided that they leave; most reasons first.
pub(super) fn list(ground: &mut Ground<'_>) -> Vec<Cull> {
    let (flock, on) = (ground.flock, ground.on);
    let grown = |f: &&AnimalFile| {
        f.animal.sex == Sex::Ewe
            && (f.lambings_standing().next().is_some() || f.animal.age_days(on).is_none_or(|d| d >= 365))
    };
    let rules: Vec<CullRule> = ground.settings.culling.iter().filter(|r| !r.off).cloned().collect();
    let mut milk: Vec<(AnimalId, f64)> = Vec::new();
    let mut all = Vec::new();
    for f in flock.present().filter(grown) {
        let Some(dam) = ground.dam(f.animal.id) else { continue };
        milk.extend(dam.milk.map(|m| (f.animal.id, m.0)));
        let why: Vec<Why> = rules.iter().filter_map(|r| reason(ground, f, &dam, r)).collect();
        // What was decided of her as a lamb, or in another year, is no answer to this year's rules.
        let still = |d: &&Decision| d.what == Decided::Cull || d.on >= on.plus(-YEAR);
        let decided = f.decided(on).filter(still).cloned();
        let leaves = decided.as_ref().is_some_and(|d| d.what == Decided::Cull);
        if why.is_empty() && !leaves {
            continue;
        }
        let daughter = |id: &&AnimalId| {
            flock.animal(**id).is_some_and(|d| d.sex == Sex::Ewe && d.status == Status::Present)
        };
        all.push(Cull {
            animal: f.animal.id,
            tag: f.animal.tag().into(),
            name: f.animal.name.as_deref().map(String::from),
            dam,
            why,
            milk_place: None,
            blood: None,
            daughters: f.offspring.iter().filter(daughter).count(),
            decided,
        });
    }
    milk.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
    let places: RapidHashMap<AnimalId, usize> =
        milk.iter().enumerate().map(|(i, (id, _))| (*id, i + 1)).collect();
    let blood = blood(ground);
    for c in &mut all {
        c.milk_place = places.get(&c.animal).map(|p| (*p, milk.len()));
        c.blood = blood.get(&c.animal).copied();
    }
    all.sort_by(|a, b| b.why.len().cmp(&a.why.len()).then_with(|| natural(&a.tag, &b.tag)));
    all
}

/// What each animal of the flock would cost.
fn blood(ground: &Ground<'_>) -> RapidHashMap<AnimalId, Blood> {
    let Some(k) = ground.kindred else { return RapidHashMap::default() };
    let set = k.living();
    let n = set.len() as f64;
    let lost = losses(k.kin(), set);
    let mean = lost.iter().map(|l| l.kinship).sum::<f64>() / n.max(1.0);
    let mut order: Vec<usize> = (0..lost.len()).collect();
    order.sort_by(|a, b| lost[*a].kinship.total_cmp(&lost[*b].kinship));
    // Those that are alike share a place.
    let mut places = vec![1; lost.len()];
    for i in 1..order.len() {
        let (before, now) = (order[i - 1], order[i]);
        let alike = (lost[now].kinship - lost[before].kinship).abs() < 1e-9;
        places[now] = if alike { places[before] } else { i + 1 };
    }
    let made = order.into_iter().filter_map(|at| {
        let l = &lost[at];
        let own = 0.5 * (1.0 + k.kin().f.get(l.place as usize)?);
        let without = (mean * n * n - 2.0 * l.kinship * n + own) / ((n - 1.0) * (n - 1.0));
        let diversity = if set.len() < 2 { 0.0 } else { mean - without };
        let b = Blood {
            kinship: l.kinship,
            of_flock: mean,
            rarest: places[at],
            of: set.len(),
            genomes: l.genomes,
            diversity,
        };
        Some((*k.ids().get(l.place as usize)?, b))
    });
    made.collect()
}

/// Whether a rule names her, and by which records.
fn reason(ground: &Ground<'_>, f: &AnimalFile, dam: &Dam, rule: &CullRule) -> Option<Why> {
    let on = ground.on;
    let days = |all: &[Day]| all.iter().map(|d| d.words()).collect::<Vec<_>>().join(", ");
    let scored = |kind: ScoreKind| {
        let n = score(f, kind, on).filter(|n| u32::from(*n) >= rule.limit)?;
        let when = f.last_score(kind, on)?.at.day;
        Some(phrase!("{} {n} on {}", kind.word(), when.words()))
    };
    let words = match rule.kind {
        CullKind::Udder => scored(ScoreKind::Udder)?,
        CullKind::Teeth => scored(ScoreKind::Teeth)?,
        CullKind::Mothering => scored(ScoreKind::Mothering)?,
        // Feet mend: what was seen longer ago than a year says nothing of them now.
        CullKind::Feet if f.last_score(ScoreKind::Feet, on)?.at.day < on.plus(-YEAR) => return None,
        CullKind::Feet => scored(ScoreKind::Feet)?,
        CullKind::Prolapse => {
            let bad = |s: &&crate::flock::Scoring| {
                s.struck.is_none()
                    && s.score.kind() == ScoreKind::Prolapse
                    && s.at.day <= on
                    && u32::from(s.score.quarters() / 4) >= rule.limit
            };
            let all: Vec<Day> = f.scores.iter().filter(bad).map(|s| s.at.day).collect();
            if all.is_empty() {
                return None;
            }
            phrase!("prolapse on {}", days(&all))
        }
        CullKind::Age => {
            let years = dam.years.filter(|y| *y >= i64::from(rule.limit))?;
            phrase!("{years} years old, born {}", f.animal.born.words())
        }
        CullKind::Hard => {
            if dam.hard.len() < rule.limit as usize {
                return None;
            }
            let all: Vec<String> =
                dam.hard.iter().map(|(d, e)| phrase!("{} ({})", d.words(), e.words())).collect();
            phrase!("lambed hard: {}", all.join(", "))
        }
        CullKind::Lost => {
            let mut last: Vec<Day> = f.lambings_standing().map(|l| l.at.day).filter(|d| *d <= on).collect();
            last.sort_unstable();
            let from = last.iter().rev().nth(1).or(last.first()).copied()?;
            let lost: Vec<(Day, u32)> = dam.lost.iter().filter(|(d, _)| *d >= from).copied().collect();
            let n: u32 = lost.iter().map(|(_, n)| n).sum();
            if n < rule.limit {
                return None;
            }
            let all: Vec<String> = lost.iter().map(|(d, n)| phrase!("{n} born {}", d.words())).collect();
            phrase!("{} lost: {}", counted(n as usize, "lamb"), all.join(", "))
        }
        CullKind::Empty => {
            let empty: Vec<i32> = gestation::history(ground.flock, f, on)
                .into_iter()
                .filter(|p| matches!(p.state, State::Empty(_) | State::Past))
                .map(|p| p.window.due.year())
                .collect();
            if empty.len() < rule.limit as usize {
                return None;
            }
            let years: Vec<String> = empty.iter().map(ToString::to_string).collect();
            phrase!("empty though joined to lamb in {}", years.join(", "))
        }
    };
    Some(Why { kind: rule.kind, words })
}
