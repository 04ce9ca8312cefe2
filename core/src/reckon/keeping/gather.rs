//! The facts of each lamb that may be kept, gathered once for a flock and a day.

use super::criteria::{COUNT, Criterion};
use super::dam::{Dam, score};
use super::grown::{Ratio, ratios};
use super::settings::{Fault, Settings};
use super::target::Reached;
use super::values::Values;
use crate::flock::{AnimalFile, Decision, Flock, Outcome, natural};
use crate::phrase;
use crate::reckon::genes::Genes;
use crate::reckon::kinship::Kindred;
use crate::reckon::mating::{ewes_to_join, rams_to_join};
use crate::terms::{AnimalId, Day, ScoreKind, Sex, Status, Weight};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Key of the step that looks at eyelids and bite on day 2.
const DAY_TWO: &str = "eyelids";
/// Key of the step that weans.
const WEAN: &str = "wean";

/// What tests and pedigree say of one gene.
#[derive(Debug, Clone, PartialEq)]
pub struct GeneSaid {
    /// The gene.
    pub gene: String,
    /// Chance of one faulty copy.
    pub carrier: f64,
    /// Chance of two.
    pub affected: f64,
    /// Exact, else near it.
    pub exact: bool,
}

/// A lamb that may be kept.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The animal.
    pub animal: AnimalId,
    /// Its tag.
    pub tag: String,
    /// Its name.
    pub name: Option<String>,
    /// Its sex.
    pub sex: Sex,
    /// The day it was born.
    pub born: Option<Day>,
    /// Age in days.
    pub age: Option<i64>,
    /// Its day has come: the end of week 3 for a ram lamb, weaning for a ewe lamb.
    pub ready: bool,
    /// The day it was weaned, where that is ticked off.
    pub weaned: Option<Day>,
    /// How many were born together.
    pub born_with: Option<u8>,
    /// Birth weight.
    pub birth_weight: Option<Weight>,
    /// The last weight.
    pub weight: Option<(Day, Weight)>,
    /// The last weight against those of its group.
    pub ratio: Option<Ratio>,
    /// Its dam's record.
    pub dam: Option<Arc<Dam>>,
    /// Its sire, as far as he is known.
    pub sire: Option<String>,
    /// Breeding value and accuracy.
    pub value: Option<(f64, f64)>,
    /// Its inbreeding.
    pub inbreeding: Option<f64>,
    /// Complete generations its pedigree is known for.
    pub depth: Option<f64>,
    /// Mean kinship with those it would meet, and how many they are.
    pub kinship: Option<(f64, usize)>,
    /// Recessive genes.
    pub genes: Vec<GeneSaid>,
    /// The likeliest scrapie genotype with its chance.
    pub scrapie: Option<(String, f64)>,
    /// Bite, lids, type and colour as scored last: whole points.
    pub scores: Vec<(ScoreKind, u8)>,
    /// What was noted on day 2 and with the scores.
    pub notes: Vec<String>,
    /// The keeper's remarks and standing note.
    pub remarks: Vec<String>,
    /// Colour as written.
    pub colour: Option<String>,
    /// Why it is never proposed.
    pub never: Vec<String>,
    /// The last decision.
    pub decided: Option<Decision>,
    /// When it reaches the weight the keeper wants; none without such a weight, and for lambs that are not meant for
    /// the market or the show.
    pub reached: Option<Reached>,
    measures: [Option<f64>; COUNT],
}

impl Candidate {
    /// What a criterion measures of it; none where it is not known.
    pub fn measure(&self, c: Criterion) -> Option<f64> {
        self.measures[c.at()]
    }

    /// The last score of a kind in whole points.
    pub fn score(&self, kind: ScoreKind) -> Option<u8> {
        self.scores.iter().find(|(k, _)| *k == kind).map(|(_, n)| *n)
    }

    /// Tag and name.
    pub fn title(&self) -> String {
        self.name.as_ref().map_or_else(|| self.tag.clone(), |name| format!("{} {name}", self.tag))
    }
}

/// An animal under this age in days is looked at as one of its season's lambs.
const YOUNG: i64 = 730;

/// A lamb of the flock by the calendar year of its birth.
fn is_lamb_of(f: &AnimalFile, year: i32, sex: Sex, on: Day) -> bool {
    let here = f.animal.sex == sex && f.animal.status == Status::Present;
    here && f.animal.born.year() == Some(year) && f.animal.age_days(on).is_some_and(|d| d < YOUNG)
}

/// Years in which lambs of the flock were born that are not two years old yet, latest first.
pub(super) fn seasons(flock: &Flock, on: Day) -> Vec<i32> {
    let young =
        |f: &&AnimalFile| f.animal.sex != Sex::Wether && f.animal.age_days(on).is_some_and(|d| d < YOUNG);
    let mut years: Vec<i32> = flock.present().filter(young).filter_map(|f| f.animal.born.year()).collect();
    years.sort_unstable_by(|a, b| b.cmp(a));
    years.dedup();
    years
}

/// What is looked up once for all.
pub(super) struct Ground<'a> {
    pub(super) flock: &'a Flock,
    pub(super) kindred: Option<&'a Kindred>,
    pub(super) settings: &'a Settings,
    pub(super) on: Day,
    values: Option<&'a Values>,
    genes: Genes,
    dams: RapidHashMap<AnimalId, Arc<Dam>>,
    /// Of each ewe the mean gain of a crop at her foot, and of how many lambs.
    milk: RapidHashMap<AnimalId, (f64, u32)>,
}

impl<'a> Ground<'a> {
    pub fn of(
        flock: &'a Flock,
        kindred: Option<&'a Kindred>,
        values: Option<&'a Values>,
        settings: &'a Settings,
        on: Day,
    ) -> Self {
        let tested = flock.files().any(|f| f.tests.iter().any(|t| t.struck.is_none()));
        let genes = if tested { Genes::of(flock) } else { Genes::default() };
        let (dams, milk) = (RapidHashMap::default(), super::dam::milk(flock, on));
        Self { flock, kindred, settings, on, values, genes, dams, milk }
    }

    /// A ewe's record, reckoned once.
    pub fn dam(&mut self, id: AnimalId) -> Option<Arc<Dam>> {
        if let Some(dam) = self.dams.get(&id) {
            return Some(Arc::clone(dam));
        }
        let milk = self.milk.get(&id).copied();
        let dam = Arc::new(Dam::of(self.flock, self.flock.file(id)?, milk, self.on));
        self.dams.insert(id, Arc::clone(&dam));
        Some(dam)
    }

    /// Lambs of a season and sex, by tag.
    pub fn candidates(&mut self, year: i32, sex: Sex) -> Vec<Candidate> {
        let flock = self.flock;
        let mut files: Vec<&AnimalFile> =
            flock.present().filter(|f| is_lamb_of(f, year, sex, self.on)).collect();
        files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
        if files.is_empty() {
            return Vec::new();
        }
        let mut ratios = ratios(flock, &files, self.on);
        let mut mates =
            if sex == Sex::Ewe { rams_to_join(flock, self.on) } else { ewes_to_join(flock, self.on) };
        // Lambs of the season are nobody's mates yet.
        mates.retain(|id| flock.animal(*id).is_some_and(|a| a.born.year() != Some(year)));
        files.into_iter().map(|f| self.candidate(f, ratios.remove(&f.animal.id), &mates)).collect()
    }

    fn candidate(&mut self, f: &AnimalFile, ratio: Option<Ratio>, mates: &[AnimalId]) -> Candidate {
        let (flock, on) = (self.flock, self.on);
        let a = &f.animal;
        let age = a.age_days(on);
        let done = |t: &&crate::flock::Tick| t.step == WEAN && t.outcome == Outcome::Done && t.at.day <= on;
        let weaned = f.ticks_standing().filter(done).map(|t| t.at.day).max();
        let after = |days: i64| age.is_some_and(|d| d >= days);
        let ready = match a.sex {
            Sex::Ewe => weaned.is_some() || after(self.settings.ewes_after_days),
            _ => after(self.settings.rams_after_days),
        };
        let dam = a.dam.and_then(|id| self.dam(id));
        let kinship = self.kindred.and_then(|k| {
            let with: Vec<f64> = k.with_each(a.id, mates).into_iter().flatten().collect();
            (!with.is_empty()).then(|| (with.iter().sum::<f64>() / with.len() as f64, with.len()))
        });
        let genes: Vec<GeneSaid> = self
            .genes
            .names()
            .filter_map(|gene| {
                let c = self.genes.chance(gene, a.id)?;
                let (carrier, affected, exact) = (c.carrier, c.affected, c.exact);
                Some(GeneSaid { gene: gene.into(), carrier, affected, exact })
            })
            .collect();
        let scrapie = self.genes.prion(a.id);
        let scrapie = scrapie.and_then(|p| p.genotypes.first().map(|(g, chance)| (g.to_string(), *chance)));
        let kinds = [ScoreKind::Bite, ScoreKind::Lids, ScoreKind::Type, ScoreKind::Colour];
        let scores: Vec<(ScoreKind, u8)> =
            kinds.into_iter().filter_map(|k| Some((k, score(f, k, on)?))).collect();
        let mut c = Candidate {
            animal: a.id,
            tag: a.tag().into(),
            name: a.name.as_deref().map(String::from),
            sex: a.sex,
            born: a.born.day(),
            age,
            ready,
            weaned,
            born_with: a.birth_type.map(|b| b.count()).or_else(|| born_with(flock, f)),
            birth_weight: a.birth_weight,
            weight: f.last_weight(on),
            ratio,
            dam,
            sire: a.sire.known().and_then(|id| flock.animal(id)).map(|s| s.title()),
            value: self.values.and_then(|v| v.of.get(&a.id).copied()),
            inbreeding: self.kindred.and_then(|k| k.inbreeding(a.id)),
            depth: self.kindred.and_then(|k| k.depth(a.id)),
            kinship,
            genes,
            scrapie,
            scores,
            notes: notes(f, &kinds, on),
            remarks: remarks(f, on),
            colour: a.colour.as_deref().map(String::from),
            never: Vec::new(),
            decided: f.decided(on).cloned(),
            reached: self.settings.target.and_then(|w| Reached::of(f, f.decided(on), w, on)),
            measures: [None; COUNT],
        };
        c.never = never(&c, self.settings);
        c.measures = Criterion::ALL.map(|what| measure(&c, what));
        c
    }
}

fn born_with(flock: &Flock, f: &AnimalFile) -> Option<u8> {
    let b = f.birth.as_ref()?;
    let lambing = flock.file(b.ewe)?.lambings.iter().find(|l| l.id == b.lambing)?;
    u8::try_from(lambing.lambs.len()).ok()
}

/// Words of day 2's job, and those written with the scores shown.
fn notes(f: &AnimalFile, kinds: &[ScoreKind], on: Day) -> Vec<String> {
    let ticks = f.ticks_standing().filter(|t| t.step == DAY_TWO && t.at.day <= on);
    let mut all: Vec<String> = ticks.filter_map(|t| t.note.as_deref()).map(String::from).collect();
    let scored = kinds.iter().filter_map(|k| f.last_score(*k, on));
    all.extend(scored.filter_map(|s| s.note.as_ref().map(|n| phrase!("{}: {n}", s.score.kind().word()))));
    all
}

fn remarks(f: &AnimalFile, on: Day) -> Vec<String> {
    let said = f.remarks.iter().filter(|r| r.struck.is_none() && r.on <= on);
    let mut all: Vec<String> = said.map(|r| r.text.clone()).collect();
    all.extend(f.animal.marks.as_deref().map(String::from));
    all.extend(f.animal.note.as_deref().map(String::from));
    all
}

/// The faults set as never that it has.
fn never(c: &Candidate, settings: &Settings) -> Vec<String> {
    let mut all = Vec::new();
    for row in settings.never.iter().filter(|n| !n.off) {
        match row.fault {
            Fault::Score(kind) => {
                if let Some(n) = c.score(kind).filter(|n| *n >= row.from) {
                    all.push(format!("{} {n}", super::told::fault_words(kind)));
                }
            }
            Fault::Gene => {
                let bad = c.genes.iter().filter(|g| g.affected * 10.0 >= f64::from(row.from) - 1e-9);
                all.extend(bad.map(|g| phrase!("affected by {}", g.gene)));
            }
        }
    }
    all
}

fn measure(c: &Candidate, what: Criterion) -> Option<f64> {
    let dam = c.dam.as_deref();
    let score = |kind| c.score(kind).map(f64::from);
    match what {
        Criterion::Ratio => c.ratio.as_ref().and_then(|r| r.percent),
        Criterion::BornWith => c.born_with.map(f64::from),
        Criterion::DamReared => dam.and_then(Dam::reared_a_lambing),
        Criterion::DamEase => dam.and_then(|d| d.ease),
        Criterion::DamMilk => dam.and_then(|d| d.milk).map(|m| m.0),
        Criterion::DamUdder => dam.and_then(|d| d.udder).map(f64::from),
        Criterion::DamMothering => dam.and_then(|d| d.mothering).map(f64::from),
        Criterion::Value => c.value.map(|v| v.0),
        Criterion::Inbreeding => c.inbreeding,
        Criterion::Kinship => c.kinship.map(|k| k.0),
        Criterion::Genes => c.genes.iter().map(|g| g.carrier + g.affected).reduce(f64::max),
        Criterion::Faults => {
            score(ScoreKind::Bite).into_iter().chain(score(ScoreKind::Lids)).reduce(f64::max)
        }
        Criterion::Type => score(ScoreKind::Type),
        Criterion::Colour => score(ScoreKind::Colour),
    }
}
