//! A test as typed, new or amended: what it was for, what it showed, who tested.

use super::super::super::{Ctx, fields};
use crate::parts::{Choice, Field, Form, PickerState};
use hirsel_core::flock::{GeneTest, Tested};
use hirsel_core::phrase;
use hirsel_core::reckon::genes::HEALTHY;
use hirsel_core::terms::{AnimalId, GeneStatus, Scrapie};
use serde::{Deserialize, Serialize};

const KINDS: [(u8, &str); 4] = [(0, "scrapie"), (1, "recessive"), (2, "parentage"), (3, "other")];
/// What a laboratory finds, and what the keeper sees: healthy, so clear or a carrier.
const STATUSES: [(u8, &str); 4] = [(0, "clear"), (1, "carrier"), (2, "affected"), (3, "healthy")];
const IS: [(bool, &str); 2] = [(true, "is the parent"), (false, "cannot be the parent")];

/// The test as typed.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) on: String,
    pub(super) kind: Option<u8>,
    pub(super) gene: String,
    genotype: String,
    status: Option<u8>,
    parent: PickerState<AnimalId>,
    is: Option<bool>,
    pub(super) what: String,
    showed: String,
    pub(super) lab: String,
    pub(super) number: String,
    pub(super) note: String,
}

/// Refusals beside the day, the result and the parent.
pub(super) struct Wrong {
    pub(super) on: Option<String>,
    pub(super) result: Option<String>,
    pub(super) parent: Option<String>,
}

impl Typed {
    /// A test to be amended.
    pub(super) fn of(ctx: &Ctx<'_>, t: &GeneTest) -> Self {
        let opt = |o: &Option<String>| o.clone().unwrap_or_default();
        let mut typed = Self {
            on: t.on.to_string(),
            lab: opt(&t.lab),
            number: opt(&t.number),
            note: opt(&t.note),
            ..Self::default()
        };
        match &t.found {
            Tested::Scrapie(g) => (typed.kind, typed.genotype) = (Some(0), g.to_string()),
            Tested::Recessive { gene, status } => {
                let at = GeneStatus::ALL.iter().position(|s| s == status);
                typed.status = at.and_then(|n| u8::try_from(n).ok());
                (typed.kind, typed.gene) = (Some(1), gene.clone());
            }
            Tested::Parentage { parent, is } => {
                (typed.kind, typed.is) = (Some(2), Some(*is));
                if let Some(found) = fields::found(ctx, *parent) {
                    typed.parent.choose(found);
                }
            }
            Tested::Other { what, result } if result == HEALTHY => {
                (typed.kind, typed.gene, typed.status) = (Some(1), what.clone(), Some(3));
            }
            Tested::Other { what, result } => {
                (typed.kind, typed.what, typed.showed) = (Some(3), what.clone(), result.clone());
            }
        }
        typed
    }

    /// What is typed for one animal only is emptied.
    pub(super) fn next(&mut self) {
        self.genotype.clear();
        self.status = None;
        self.parent.clear();
        self.is = None;
        self.showed.clear();
        self.note.clear();
    }

    /// Day, kind, what for, laboratory: these stay from animal to animal.
    pub(super) fn stays(&mut self, ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, wrong: &Wrong) {
        form.day(ui, ctx, "Day", &mut self.on, wrong.on.as_deref());
        self.kind.get_or_insert(0);
        form.choice(ui, &Choice::new("Test for", &KINDS), &mut self.kind);
        match self.kind {
            Some(1) => {
                let field = Field::new("Gene").width(220.0).example("as the laboratory writes it");
                form.field(ui, &field, &mut self.gene);
            }
            Some(3) => {
                form.field(
                    ui,
                    &Field::new("Named").width(220.0).example("visna, blood type"),
                    &mut self.what,
                );
            }
            _ => {}
        }
        form.field(ui, &Field::new("Laboratory").width(220.0), &mut self.lab);
        form.field(ui, &Field::new("Report number").width(140.0), &mut self.number);
    }

    /// What it showed.
    pub(super) fn shows(&mut self, ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, wrong: &Wrong) {
        let result = wrong.result.as_deref();
        match self.kind {
            Some(1) => {
                form.choice(ui, &Choice::new("Result", &STATUSES).refusal(result), &mut self.status);
            }
            Some(2) => {
                let parent = wrong.parent.as_deref();
                form.animal(ui, ctx, "Parent", &mut self.parent, parent, |_| true);
                form.choice(ui, &Choice::new("It", &IS).refusal(result), &mut self.is);
            }
            Some(3) => {
                let field = Field::new("Showed").width(220.0).example("negative").refusal(result);
                form.field(ui, &field, &mut self.showed);
            }
            _ => {
                let read = |t: &str| Scrapie::parse(t).map(|g| g.to_string()).map_err(|e| e.0);
                let field = Field::new("Genotype").width(110.0).example("ARR/ARQ").understand(&read);
                form.field(ui, &field.refusal(result), &mut self.genotype);
            }
        }
    }

    /// The label of the field that tells the result.
    pub(super) fn result_label(&self) -> &'static str {
        match self.kind {
            Some(1) => "Result",
            Some(2) => "It",
            Some(3) => "Showed",
            _ => "Genotype",
        }
    }

    /// What was found, as typed.
    ///
    /// # Errors
    /// The label of the field that is wrong, and what is wrong.
    pub(super) fn found(&self, ctx: &Ctx<'_>) -> Result<Tested, (&'static str, String)> {
        let missing = |label, words: &str| (label, words.to_string());
        Ok(match self.kind {
            Some(1) if self.gene.trim().is_empty() => {
                return Err(missing("Gene", "the name of the gene is needed"));
            }
            Some(1) => {
                let gene = self.gene.trim().to_string();
                match self.status.map(usize::from) {
                    None => {
                        return Err(missing("Result", "the result is needed: clear, carrier or affected"));
                    }
                    Some(at) => match GeneStatus::ALL.get(at) {
                        Some(status) => Tested::Recessive { gene, status: *status },
                        None => Tested::Other { what: gene, result: HEALTHY.into() },
                    },
                }
            }
            Some(2) => {
                let parent = fields::picked(ctx, &self.parent, "the parent").map_err(|e| ("Parent", e))?;
                let parent = parent.ok_or_else(|| missing("Parent", "the parent asked about is needed"))?;
                let is = self.is.ok_or_else(|| missing("It", "is it the parent or not?"))?;
                Tested::Parentage { parent, is }
            }
            Some(3) if self.what.trim().is_empty() => {
                return Err(missing("Named", "what the test was for is needed"));
            }
            Some(3) => Tested::Other { what: self.what.trim().into(), result: self.showed.trim().into() },
            _ => Tested::Scrapie(Scrapie::parse(&self.genotype).map_err(|e| ("Genotype", e.0))?),
        })
    }
}

/// The two columns of a list: what it was for, what it showed.
pub(super) fn columns(ctx: &Ctx<'_>, found: &Tested) -> (String, String) {
    match found {
        Tested::Scrapie(g) => (phrase!("scrapie"), g.to_string()),
        Tested::Recessive { gene, status } => (gene.clone(), status.words().to_string()),
        Tested::Parentage { .. } => (phrase!("parentage"), hirsel_core::entry::says(found, ctx.flock)),
        Tested::Other { what, result } if result == HEALTHY => {
            (what.clone(), phrase!("healthy by its looks"))
        }
        Tested::Other { what, result } => (what.clone(), result.clone()),
    }
}
