//! The section each animal qualifies for, what it lacks for the next, and whether what is written agrees.

use super::rules::{Ladder, Section};
use super::share::{Share, Shares};
use crate::flock::{Animal, Flock};
use crate::phrase;
use crate::reckon::kinship::Blood;
use crate::terms::{AnimalId, Misread};
use rapidhash::RapidHashMap;

/// How one animal stands.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Grade {
    /// Place on the ladder of the section written, where it is one of the ladder's.
    pub written: Option<usize>,
    /// Place of the highest section it qualifies for by blood.
    pub qualifies: Option<usize>,
    /// Place of the next section above it could reach.
    pub next: Option<usize>,
    /// What it lacks for that one, each in words.
    pub missing: Vec<String>,
    /// What is written disagrees with the rules, in words.
    pub disagrees: Option<String>,
}

/// How every animal stands by one ladder.
#[derive(Debug, Clone)]
pub struct Grading {
    /// The ladder.
    pub ladder: Ladder,
    /// The breed it leads to, if any is written at all.
    pub breed: Option<String>,
    /// Breed shares.
    pub shares: Shares,
    of: RapidHashMap<AnimalId, Grade>,
}

impl Grading {
    /// By the flock's own ladder, or the shipped one.
    ///
    /// # Errors
    /// The keeper's own ladder cannot be read: what is wrong, with its line.
    pub fn of(flock: &Flock) -> Result<Self, Misread> {
        Ok(Self::by(flock, Ladder::parse(&flock.holding().grading)?))
    }

    /// By this ladder.
    pub fn by(flock: &Flock, ladder: Ladder) -> Self {
        let shares = Shares::of(flock);
        let breed = ladder.breed.clone().or_else(|| most(flock));
        let mut g = Self { ladder, breed, shares, of: RapidHashMap::default() };
        // Without an order there is nothing to build upon: the pedigree runs in a circle.
        let ids = Blood::of(flock).map(|b| b.ids).unwrap_or_default();
        for id in ids {
            if let Some(a) = flock.animal(id) {
                let grade = g.grade(flock, a);
                g.of.insert(id, grade);
            }
        }
        g
    }

    /// How an animal stands.
    pub fn get(&self, id: AnimalId) -> Option<&Grade> {
        self.of.get(&id)
    }

    /// The name of a section.
    pub fn name(&self, place: usize) -> &str {
        self.ladder.sections.get(place).map_or("", |s| s.name.as_str())
    }

    /// Where an animal stands: what is written, else what it qualifies for.
    pub fn stands(&self, id: AnimalId) -> Option<usize> {
        self.of.get(&id).and_then(|g| g.written.or(g.qualifies))
    }

    fn grade(&self, flock: &Flock, a: &Animal) -> Grade {
        let sections = &self.ladder.sections;
        let written = a.section.as_deref().and_then(|s| self.ladder.place(s));
        let founder = self.founder(a);
        let open = |(i, s): &(usize, &Section)| {
            !s.by_hand && s.takes(a.sex) && (self.lacks(flock, a, s).is_empty() || founder == Some(*i))
        };
        let qualifies = sections.iter().enumerate().filter(open).map(|(i, _)| i).next_back();
        let stands = written.or(qualifies);
        let above = sections.iter().enumerate().skip(stands.map_or(0, |s| s + 1));
        let next = above.filter(|(_, s)| !s.by_hand && s.takes(a.sex)).map(|(i, _)| i).next();
        let missing = next.map(|n| self.lacks(flock, a, &sections[n])).unwrap_or_default();
        let disagrees = self.disagrees(flock, a, written, qualifies);
        Grade { written, qualifies, next, missing, disagrees }
    }

    /// Pure animals of unknown parents stand where the ladder says.
    fn founder(&self, a: &Animal) -> Option<usize> {
        let pure = self.breed.as_ref().is_some_and(|b| self.shares.share(a.id, b) == Share::WHOLE);
        let alone = a.blood_dam().is_none() && a.sire.possible().is_empty();
        self.ladder.founders.filter(|_| pure && alone)
    }

    fn lacks(&self, flock: &Flock, a: &Animal, s: &Section) -> Vec<String> {
        let mut missing = Vec::new();
        let breed = self.breed.as_deref().unwrap_or("the flock's breed");
        let share = self.shares.share(a.id, breed);
        if share < s.least {
            missing.push(phrase!("{} {breed} is asked, it has {share}", s.least, breed = &breed));
        }
        for (word, asked, parent) in [("dam", s.dam, a.blood_dam()), ("sire", s.sire, a.sire.known())] {
            let Some(asked) = asked else { continue };
            let name = self.name(asked);
            let Some(parent) = parent else {
                missing.push(phrase!("its {word} is not known: {name} is asked of the {word}", name = &name));
                continue;
            };
            match self.stands(parent) {
                Some(at) if at >= asked => {}
                at => {
                    let is = at.map_or("none", |at| self.name(at));
                    let tag = flock.tag(parent);
                    missing.push(phrase!(
                        "{name} is asked of its {word}, {tag} stands in {is}",
                        name = &name,
                        tag = &tag,
                        is = &is
                    ));
                }
            }
        }
        missing
    }

    fn disagrees(
        &self,
        flock: &Flock,
        a: &Animal,
        written: Option<usize>,
        qualifies: Option<usize>,
    ) -> Option<String> {
        let text = a.section.as_deref()?;
        let Some(at) = written else {
            return Some(phrase!(
                "{text} is no section of the rules: mend it, or add it to the rules",
                text = &text
            ));
        };
        let section = &self.ladder.sections[at];
        if !section.takes(a.sex) {
            return Some(phrase!("{} takes no {}", section.name, a.sex.words()));
        }
        // What was accepted by hand needs no blood; one that came from elsewhere is as the registry wrote it.
        let known = a.blood_dam().is_some() || !a.sire.possible().is_empty();
        match qualifies {
            Some(q) if q > at => Some(phrase!("it qualifies for {}, a higher section", &self.name(q))),
            Some(q) if q < at && !section.by_hand => Some(phrase!(
                "by the rules it qualifies for {} only: {}",
                &self.name(q),
                self.why(flock, a, section)
            )),
            None if !section.by_hand && known => {
                Some(phrase!("by the rules it does not qualify: {}", self.why(flock, a, section)))
            }
            _ => None,
        }
    }

    fn why(&self, flock: &Flock, a: &Animal, s: &Section) -> String {
        self.lacks(flock, a, s).join("; ")
    }
}

/// The breed that most of the animals in the flock are written as wholly, or in the largest part.
fn most(flock: &Flock) -> Option<String> {
    let mut count: std::collections::BTreeMap<String, (usize, &str)> = std::collections::BTreeMap::new();
    let mut add = |a: &'_ Animal| -> Option<()> {
        let name = flock.animal(a.id)?.breed.as_ref()?.parts().first().map(|p| p.name.as_str())?;
        count.entry(name.to_lowercase()).or_insert((0, name)).0 += 1;
        Some(())
    };
    for f in flock.present() {
        add(&f.animal);
    }
    count
        .into_iter()
        .max_by(|a, b| a.1.0.cmp(&b.1.0).then(b.0.cmp(&a.0)))
        .map(|(_, (_, name))| name.to_string())
}
