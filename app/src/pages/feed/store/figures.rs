//! Figures of a label or a sheet as typed, on the base they are printed on.

use super::super::super::fields;
use crate::look;
use crate::parts::{Choice, Field, Form};
use hirsel_core::phrase;
use hirsel_core::terms::{Analysis, Base, Nutrient};
use serde::{Deserialize, Serialize};

/// Figures as typed, in the order of [`Nutrient::ALL`].
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Figures {
    base: Option<u8>,
    texts: [String; 10],
}

/// The label of each field.
pub(super) const LABELS: [&str; 10] = [
    "Dry matter",
    "Crude protein",
    "Energy",
    "Digestible nutrients",
    "Calcium",
    "Phosphorus",
    "Copper",
    "Molybdenum",
    "Selenium",
    "Crude fibre",
];

/// The label of the base.
pub(super) const BASE: &str = "Figures are";

const BASES: [(u8, &str); 2] = [(0, "as fed"), (1, "of dry matter")];

fn number(text: &str) -> Result<f64, String> {
    let read = text.trim().trim_end_matches('%').trim().replace(',', ".").parse::<f64>();
    let fits = read.ok().filter(|n| n.is_finite() && *n >= 0.0);
    fits.ok_or_else(|| phrase!("'{}' is no figure: write it like 14 or 2.5", text.trim()))
}

/// A figure without noughts at its end.
pub(super) fn shown(figure: f64) -> String {
    let text = format!("{figure:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

impl Figures {
    /// Those of an analysis, of dry matter as they are kept.
    pub(super) fn of(analysis: &Analysis) -> Self {
        let mut typed = Self { base: Some(1), ..Self::default() };
        for (what, text) in Nutrient::ALL.iter().zip(&mut typed.texts) {
            *text = analysis.get(*what).map(shown3).unwrap_or_default();
        }
        typed
    }

    fn on(&self) -> Base {
        if self.base == Some(1) { Base::DryMatter } else { Base::AsFed }
    }

    /// Dry matter in percent: as typed, else as it is known.
    fn dry(&self, known: &Analysis) -> Option<f64> {
        match fields::some(&self.texts[0]) {
            Some(text) => number(&text).ok().filter(|n| *n > 0.0),
            None => known.get(Nutrient::DryMatter),
        }
    }

    /// Draws the fields; what is known of each already stands beside it, with where it comes from.
    pub(super) fn view(
        &mut self,
        ui: &mut egui::Ui,
        form: &mut Form,
        known: &Analysis,
        from: &dyn Fn(Nutrient) -> Option<String>,
        wrong: Option<&(&'static str, String)>,
    ) {
        self.base.get_or_insert(0);
        form.choice(ui, &Choice::new(BASE, &BASES), &mut self.base);
        let (base, dry) = (self.on(), self.dry(known));
        let other = if base == Base::AsFed { Base::DryMatter } else { Base::AsFed };
        let texts = self.texts.iter_mut();
        for ((what, label), text) in Nutrient::ALL.iter().zip(LABELS).zip(texts) {
            let read = |t: &str| {
                let figure = number(t)?;
                let Some(dry) = dry.filter(|_| *what != Nutrient::DryMatter) else {
                    return Ok(String::new());
                };
                let turned = if base == Base::AsFed { figure * 100.0 / dry } else { figure * dry / 100.0 };
                Ok(phrase!("= {} {} {}", shown(turned), what.short_unit(), of(other)))
            };
            let known = known.on(*what, base).map(|x| {
                let from = from(*what).map(|f| format!(", {f}")).unwrap_or_default();
                phrase!("{}   (known: {}{from})", what.short_unit(), shown(x))
            });
            let unit = known.as_deref().filter(|_| text.is_empty()).unwrap_or(what.short_unit());
            let refusal = wrong.filter(|w| w.0 == label).map(|w| w.1.as_str());
            let field = Field::new(label).width(84.0).unit(unit).understand(&read).refusal(refusal);
            form.field(ui, &field, text);
        }
        if base == Base::AsFed && dry.is_none() && self.texts.iter().skip(1).any(|t| !t.trim().is_empty()) {
            look::faint(ui, "Figures as fed need the dry matter: write it, or choose a feed it is like.");
        }
    }

    /// The analysis, of dry matter.
    ///
    /// # Errors
    /// The label of the field that is wrong, and why.
    pub(super) fn read(&self, known: &Analysis) -> Result<Analysis, (&'static str, String)> {
        let mut made = Analysis::default();
        for ((what, label), text) in Nutrient::ALL.iter().zip(LABELS).zip(&self.texts) {
            let Some(text) = fields::some(text) else { continue };
            let mut figure = number(&text).map_err(|e| (label, e))?;
            if *what != Nutrient::DryMatter && self.on() == Base::AsFed {
                let why = "as fed it needs the dry matter: write it, or give the figures of dry matter";
                let dry = self.dry(known).ok_or(("Dry matter", why.to_string()))?;
                figure = figure * 100.0 / dry;
            }
            made = made.with(*what, figure).map_err(|e| (label, e.0))?;
        }
        Ok(made)
    }

    /// Nothing is typed.
    pub(super) fn is_empty(&self) -> bool {
        self.texts.iter().all(|t| t.trim().is_empty())
    }
}

fn shown3(figure: f64) -> String {
    let text = format!("{figure:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

/// `as fed`, `of dry matter`.
pub(super) fn of(base: Base) -> &'static str {
    match base {
        Base::AsFed => "as fed",
        Base::DryMatter => "of dry matter",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_as_fed_are_turned_by_the_dry_matter_typed_or_known() {
        let mut typed = Figures { base: Some(0), ..Figures::default() };
        typed.texts[1] = "12,9".into();
        let known = Analysis::default().with(Nutrient::DryMatter, 86.0).unwrap();
        assert_eq!(typed.read(&known).unwrap().get(Nutrient::Protein), Some(15.0));
        assert_eq!(typed.read(&Analysis::default()).unwrap_err().0, "Dry matter");
        typed.texts[0] = "43".into();
        let read = typed.read(&known).unwrap();
        assert_eq!((read.get(Nutrient::Protein), read.get(Nutrient::DryMatter)), (Some(30.0), Some(43.0)));
        typed.base = Some(1);
        assert_eq!(typed.read(&known).unwrap().get(Nutrient::Protein), Some(12.9));
        typed.texts[6] = "lots".into();
        assert_eq!(typed.read(&known).unwrap_err().0, "Copper");
        let all = Figures::of(&known);
        assert_eq!(all.read(&Analysis::default()).unwrap(), known);
    }
}
