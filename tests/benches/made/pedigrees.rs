//! Made-up pedigrees of a stated form, so that a figure in seconds means something.

use hirsel_core::reckon::kinship::{NONE, Pedigree};

/// How a pedigree is made: flocks that each keep to themselves, crop after crop, generations overlapping.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    /// What it is called where figures are told.
    pub name: &'static str,
    /// How many flocks.
    pub flocks: usize,
    /// Ewes of each flock; every one lambs each crop, every second time twins.
    pub ewes: usize,
    /// Crops after the founders.
    pub crops: usize,
    /// Animals in all; what would be over is left out.
    pub animals: usize,
}

/// Ewes joined with each ram.
const EWES_A_RAM: usize = 25;

/// 322 flocks of 100 ewes and 4 rams, 20 crops: a million animals.
pub const FLOCKS: Form =
    Form { name: "flocks of 100 ewes, 20 crops", flocks: 323, ewes: 100, crops: 20, animals: 1_000_000 };
/// One population of 6,640 ewes and 265 rams, 100 crops: a million animals.
pub const CLOSED: Form =
    Form { name: "one closed population, 100 crops", flocks: 1, ewes: 6_640, crops: 100, animals: 1_000_000 };
/// The same, a tenth as large.
pub const CLOSED_SMALL: Form =
    Form { name: "one closed population, 100 crops", flocks: 1, ewes: 664, crops: 100, animals: 100_000 };
/// One population of 168 ewes and 6 rams, 400 crops: a hundred thousand animals.
pub const DEEP: Form =
    Form { name: "one closed population, 400 crops", flocks: 1, ewes: 167, crops: 400, animals: 100_000 };

/// Numbers by chance, the same for the same seed (xorshift64*: Marsaglia 2003, Vigna 2016).
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        (self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 33) as usize % n.max(1)
    }
}

struct Herd {
    rams: Vec<u32>,
    ewes: Vec<u32>,
}

/// Makes one. Each crop a fifth of the ewes and half of the rams give way to lambs of the crop before; rams are dealt
/// anew to the ewes, 25 each. All flocks have one crop before any has the next, as in a list by day of birth.
pub fn pedigree(form: &Form) -> Pedigree {
    let mut p = Pedigree::default();
    let mut chance = Chance(0x005E_ED0F_5EED ^ form.ewes as u64);
    let rams = form.ewes.div_ceil(EWES_A_RAM);
    let mut herds: Vec<Herd> = (0..form.flocks)
        .map(|_| Herd {
            rams: (0..rams).map(|_| p.push(NONE, NONE)).collect(),
            ewes: (0..form.ewes).map(|_| p.push(NONE, NONE)).collect(),
        })
        .collect();
    for _ in 0..form.crops {
        for herd in &mut herds {
            for i in (1..herd.ewes.len()).rev() {
                herd.ewes.swap(i, chance.below(i + 1));
            }
            let first = p.len();
            for (i, ewe) in herd.ewes.iter().enumerate() {
                let ram = herd.rams[i / EWES_A_RAM];
                for _ in 0..1 + i % 2 {
                    if p.len() < form.animals {
                        p.push(ram, *ewe);
                    }
                }
            }
            let lambs = p.len() - first;
            if lambs == 0 {
                continue;
            }
            // Even lambs are rams, odd ones ewes.
            let pick = |chance: &mut Chance, odd: usize| {
                let at = chance.below(lambs);
                (first + (at / 2 * 2 + odd).min(lambs - 1)) as u32
            };
            for _ in 0..herd.ewes.len() / 5 {
                let old = chance.below(herd.ewes.len());
                herd.ewes[old] = pick(&mut chance, 1);
            }
            for _ in 0..rams.div_ceil(2) {
                let old = chance.below(rams);
                herd.rams[old] = pick(&mut chance, 0);
            }
        }
    }
    p
}
