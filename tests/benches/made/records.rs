//! Made-up records on a pedigree of a stated form: a weight of every lamb.

use super::pedigrees::{Form, pedigree};
use hirsel_core::reckon::evaluation::{Block, Effect, Factor, Problem};
use hirsel_core::reckon::kinship::NONE;
use std::sync::Arc;

/// 34 flocks of 100 ewes and 4 rams, 20 crops: 100,000 lambs, 103,536 animals, 667 groups.
pub const FLOCKS: Form =
    Form { name: "flocks of 100 ewes, 20 crops", flocks: 34, ewes: 100, crops: 20, animals: 103_536 };
/// One population of 664 ewes and 27 rams, 101 crops: 100,000 lambs, 100,691 animals, 101 groups.
pub const CLOSED: Form =
    Form { name: "one closed population, 101 crops", flocks: 1, ewes: 664, crops: 101, animals: 100_691 };
/// Seven flocks of 100 ewes, 20 crops: 20,000 animals.
pub const FEW_FLOCKS: Form =
    Form { name: "flocks of 100 ewes, 20 crops", flocks: 7, ewes: 100, crops: 20, animals: 20_000 };
/// One population of 140 ewes and 6 rams, 100 crops: 20,000 animals.
pub const FEW_CLOSED: Form =
    Form { name: "one closed population, 100 crops", flocks: 1, ewes: 140, crops: 100, animals: 20_000 };

/// A weight of each lamb, by sex (even lambs are rams, odd ones ewes), born single or twin, and group (flock and crop).
/// Weights are chance and nothing else: how long a solution takes hardly depends on them. `maternal` adds mothering
/// (correlation −0.2 with the lamb's own genes) and what stays with the ewe.
pub fn problem(form: &Form, maternal: bool) -> Problem {
    let p = pedigree(form);
    let founders = p.parents().iter().take_while(|p| p[0] == NONE && p[1] == NONE).count();
    let n = p.len() - founders;
    let crop = form.ewes + form.ewes / 2;
    let group: Vec<u32> = (0..n).map(|i| (i / crop) as u32).collect();
    let names = |k: u32| (0..k).map(|l| l.to_string()).collect::<Vec<_>>();
    let groups = group.last().map_or(0, |g| g + 1);
    let fixed = vec![
        Factor { name: "sex".into(), levels: names(2), of: (0..n).map(|i| (i % 2) as u32).collect() },
        Factor { name: "born".into(), levels: names(2), of: (0..n).map(|i| u32::from(i % 3 > 0)).collect() },
        Factor { name: "group".into(), levels: names(groups), of: group },
    ];
    let mut seed = 0x005E_ED0F_5EEDu64;
    let mut chance = || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (seed >> 11) as f64 / (1u64 << 53) as f64
    };
    let records = (0..n).map(|_| 20.0 + 4.0 * (chance() + chance() + chance() - 1.5)).collect();
    let levels = p.len();
    let direct = Effect { name: "animal".into(), of: (founders..levels).map(|i| Some(i as u32)).collect() };
    let dams = p.parents()[founders..].iter().map(|p| Some(p[1]).filter(|d| *d != NONE)).collect();
    let dam = Effect { name: "ewe".into(), of: dams };
    let pedigree = Some(Arc::new(p));
    let blocks = if maternal {
        let both = -0.2 * (0.8f64 * 0.4).sqrt();
        vec![
            Block {
                effects: vec![direct, dam.clone()],
                variance: vec![0.8, both, both, 0.4],
                levels,
                pedigree,
            },
            Block { effects: vec![dam], variance: vec![0.3], levels, pedigree: None },
        ]
    } else {
        vec![Block { effects: vec![direct], variance: vec![1.0], levels, pedigree }]
    };
    Problem { records, fixed, slopes: Vec::new(), blocks, residual: 2.5 }
}
