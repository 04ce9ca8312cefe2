//! What lambs of a ram and some ewes would be inbred, the closest pair first.

use super::super::super::Ctx;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use hirsel_core::phrase;
use hirsel_core::reckon::joined::percent;
use hirsel_core::terms::Why;
use hirsel_core::terms::{AnimalId, counted};

/// Reckoned once for a version of the kinship, a ram and his ewes.
#[derive(Debug, Default)]
pub(super) struct Blood {
    made_for: Option<(u64, AnimalId, Vec<AnimalId>)>,
    /// Ewe and share, highest first; none for one that is not known.
    pairs: Vec<(AnimalId, Option<f64>)>,
    shallow: usize,
    all: bool,
}

/// As close as full sibs, or parent and child.
const CLOSEST: f64 = 0.25;
/// As close as half sibs, whose lambs are 12.5 % inbred.
const CLOSE: f64 = 0.125;
/// As close as first cousins.
const KIN: f64 = 0.0625;
/// Below so many complete generations an inbreeding tells little.
const SHALLOW: f64 = 3.0;
const SHOWN: usize = 6;

impl Blood {
    fn keep(&mut self, ctx: &Ctx<'_>, ram: AnimalId, ewes: &[AnimalId]) {
        let Some(kindred) = ctx.kindred else { return };
        let wanted = (kindred.version(), ram, ewes.to_vec());
        if self.made_for.as_ref() == Some(&wanted) {
            return;
        }
        self.pairs = ewes.iter().copied().zip(kindred.with_each(ram, ewes)).collect();
        self.pairs.sort_by(|a, b| b.1.unwrap_or(-1.0).total_cmp(&a.1.unwrap_or(-1.0)));
        let known = |a: &AnimalId| kindred.depth(*a).unwrap_or(0.0) < SHALLOW;
        self.shallow = ewes.iter().chain([&ram]).filter(|a| known(a)).count();
        self.made_for = Some(wanted);
    }

    /// Draws the pairs.
    pub(super) fn view(
        &mut self,
        ui: &mut egui::Ui,
        ctx: &Ctx<'_>,
        ram: Option<AnimalId>,
        ewes: &[AnimalId],
    ) {
        let Some(ram) = ram.filter(|_| !ewes.is_empty()) else { return };
        look::subheading(ui, "What their lambs would be");
        let Some(kindred) = ctx.kindred else {
            look::faint(ui, "Kinship is being reckoned.");
            return;
        };
        if kindred.circle().is_some() {
            caution::sentence(
                ui,
                Kind::Caution,
                &[Why::Pedigree],
                "The pedigree runs in a circle: kinship is not known until that is mended on the page Blood.",
            );
            return;
        }
        self.keep(ctx, ram, ewes);
        let shown = if self.all { self.pairs.len() } else { SHOWN };
        for (ewe, share) in self.pairs.iter().take(shown) {
            line(ui, &ctx.flock.animal(*ewe).map(|a| a.title()).unwrap_or_default(), *share);
        }
        let rest = self.pairs.len().saturating_sub(shown);
        if rest > 0 {
            let next = self.pairs.get(shown).and_then(|(_, s)| *s).map(percent).unwrap_or_default();
            if ui.button(phrase!("{} more, at most {next}", counted(rest, "ewe"))).clicked() {
                self.all = true;
            }
        }
        if self.shallow > 0 {
            look::faint(
                ui,
                phrase!(
                    "Of {} the pedigree holds fewer than three complete generations: the true figure may be higher.",
                    counted(self.shallow, "animal")
                ),
            );
        }
        ui.add_space(space::L);
    }
}

fn line(ui: &mut egui::Ui, ewe: &str, share: Option<f64>) {
    let Some(share) = share else {
        look::sentence(ui, Kind::Plain, phrase!("{ewe}: not known", ewe = &ewe));
        return;
    };
    let said = phrase!("{ewe}: a lamb of the two would be {} inbred", percent(share), ewe = &ewe);
    // What is stored is halves of halves; a hair below the bound is the bound.
    match share + 1e-9 {
        s if s >= CLOSEST => {
            caution::sentence(
                ui,
                Kind::Caution,
                &[Why::Inbreeding],
                phrase!("{said}, as of full sibs or of parent and child"),
            );
        }
        s if s >= CLOSE => {
            caution::sentence(
                ui,
                Kind::Caution,
                &[Why::Inbreeding],
                phrase!("{said}, as of half sibs or closer"),
            );
        }
        s if s >= KIN => {
            caution::sentence(
                ui,
                Kind::Caution,
                &[Why::Inbreeding],
                phrase!("{said}, as of cousins or closer"),
            );
        }
        _ => {
            ui.label(said);
        }
    }
}
