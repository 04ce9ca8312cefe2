//! Why an animal is thought to carry a gene, in words.

use super::{Genes, told};
use crate::flock::{AnimalFile, Flock, Tested};
use crate::phrase;
use crate::terms::{AnimalId, GeneStatus, Sex, counted};

impl Genes {
    /// Why: its test, or its parents and tested lambs.
    pub fn why(&self, flock: &Flock, gene: &str, id: AnimalId) -> String {
        let Some(f) = flock.file(id) else { return String::new() };
        if let Some((t, _)) = told::result(f, gene) {
            let place = self.places.get(&id).copied();
            let aside = self.gene(gene).zip(place).is_some_and(|(g, at)| !g.solved.told(at));
            let aside = if aside { "; left out, since it does not go with others" } else { "" };
            return match &t.found {
                Tested::Recessive { status, .. } => {
                    phrase!("tested {}, {}{aside}", status.words(), t.on.words())
                }
                _ => phrase!("looked at and healthy, {}{}", t.on.words(), self.by_kin(flock, gene, f, "; ")),
            };
        }
        let kin = self.by_kin(flock, gene, f, "");
        if kin.is_empty() { phrase!("nothing known of its parents or lambs") } else { kin }
    }

    fn by_kin(&self, flock: &Flock, gene: &str, f: &AnimalFile, before: &str) -> String {
        let a = &f.animal;
        let mut parts = Vec::new();
        for (word, id) in [("sire", a.sire.known()), ("dam", a.blood_dam())] {
            let Some(p) = id.and_then(|id| flock.file(id)) else { continue };
            let Some(c) = self.chance(gene, p.animal.id) else { continue };
            let is = match told::result(p, gene).map(|(t, _)| &t.found) {
                Some(Tested::Recessive { status, .. }) => phrase!("tested {}", status.words()),
                _ if c.carrier > 0.9995 => phrase!("a carrier for certain"),
                _ if c.clear > 0.9995 => phrase!("clear for certain"),
                _ => phrase!("a carrier with {}", percent(c.carrier)),
            };
            parts.push(phrase!("{word} {} {is}", &p.animal.tag()));
        }
        let mut lambs = [0usize; 3];
        for l in f.offspring.iter().filter_map(|l| flock.file(*l)) {
            let blood = match a.sex {
                Sex::Ewe => l.animal.blood_dam(),
                _ => l.animal.sire.known(),
            };
            if let (true, Some((t, _))) = (blood == Some(a.id), told::result(l, gene))
                && let Tested::Recessive { status, .. } = &t.found
            {
                let at = GeneStatus::ALL.iter().position(|s| s == status).unwrap_or_default();
                lambs[at] += 1;
            }
        }
        for (n, status) in lambs.into_iter().zip(GeneStatus::ALL).filter(|(n, _)| *n > 0).rev() {
            parts.push(phrase!("{} tested {}", counted(n, "lamb"), status.words()));
        }
        if parts.is_empty() { String::new() } else { format!("{before}{}", parts.join("; ")) }
    }
}

/// With one decimal; what is neither none nor all is not rounded to it.
pub fn percent(share: f64) -> String {
    let of = share * 100.0;
    match of {
        p if p > 0.0 && p < 0.05 => phrase!("under 0.1 %"),
        p if (99.95..100.0).contains(&p) => phrase!("over 99.9 %"),
        p => format!("{p:.1} %"),
    }
}
