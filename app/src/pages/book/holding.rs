//! Who keeps the flock, and how the book speaks.

use super::super::{Ctx, Intent, Then, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, Refusal};
use hirsel_core::flock::Holding;
use hirsel_core::handbook::trade::Trade;
use hirsel_core::phrase;
use hirsel_core::reckon::grading::Ladder;
use hirsel_core::rules;
use hirsel_core::terms::{DayOrder, Units};
use serde::{Deserialize, Serialize};

/// The form as typed, and what it was filled from: as long as nothing is typed it follows the book.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    now: Words,
    from: Option<Words>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    /// What another rule set changes: its id, and the lines.
    #[serde(skip)]
    told: Option<(String, Vec<String>)>,
}

/// A holding as the form shows it.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
struct Words {
    flock: String,
    keeper: String,
    number: String,
    address: String,
    given_by: String,
    vet: String,
    units: Option<bool>,
    /// Its id: places in the list may be others another year.
    rules: String,
    letter: Option<bool>,
    /// Month and day, `11-05`; kept as it stands, changed on the page of the plan.
    joining_day: String,
    /// By the rules for organic flocks.
    organic: bool,
    prefix: String,
    registry: String,
    /// Rules of grading up, as a table.
    grading: String,
    /// Days of gestation by breed.
    gestation: String,
    /// Id of the words of the region; empty is plain.
    region: String,
    /// In which order days are written, as books keep it.
    days: String,
    /// The sign of money before amounts.
    currency: String,
}

impl Words {
    fn of(h: &Holding) -> Self {
        Self {
            flock: h.flock.clone(),
            keeper: h.keeper.clone(),
            number: h.number.clone(),
            address: h.address.clone(),
            given_by: h.given_by.clone(),
            vet: h.vet.clone(),
            units: Some(h.units == Units::Imperial),
            rules: h.rules.clone(),
            letter: Some(h.sheet == "letter"),
            joining_day: h.joining_day.clone(),
            organic: h.organic,
            prefix: h.prefix.clone(),
            registry: h.registry.clone(),
            grading: h.grading.clone(),
            gestation: h.gestation.clone(),
            region: h.words.clone(),
            days: h.days.code().into(),
            currency: h.currency.clone(),
        }
    }

    /// The holding as typed; what other pages set stays as it stands.
    fn holding(&self, stands: &Holding) -> Holding {
        Holding {
            flock: self.flock.trim().into(),
            keeper: self.keeper.trim().into(),
            number: self.number.trim().into(),
            address: self.address.trim().into(),
            given_by: self.given_by.trim().into(),
            vet: self.vet.trim().into(),
            units: if self.units == Some(true) { Units::Imperial } else { Units::Metric },
            rules: self.rules.clone(),
            sheet: if self.letter == Some(true) { "letter" } else { "a4" }.into(),
            joining_day: self.joining_day.clone(),
            organic: self.organic,
            prefix: self.prefix.trim().into(),
            registry: self.registry.trim().into(),
            grading: self.grading.trim_end().into(),
            gestation: self.gestation.trim().into(),
            words: self.region.clone(),
            days: DayOrder::of(&self.days).unwrap_or_default(),
            currency: self.currency.trim().into(),
            growth: stands.growth.clone(),
            feeding: stands.feeding.clone(),
            keeping: stands.keeping.clone(),
            figures: stands.figures.clone(),
        }
    }
}

impl Typed {
    fn follow(&mut self, stands: &Words) {
        let typed = self.from.as_ref().is_some_and(|from| *from != self.now);
        if !typed && self.from.as_ref() != Some(stands) {
            self.fill(stands);
        }
    }

    fn fill(&mut self, stands: &Words) {
        *self = Self { now: stands.clone(), from: Some(stands.clone()), ..Self::default() };
    }
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    let stands = Words::of(ctx.flock.holding());
    t.follow(&stands);
    let mut form = Form::new(ui, "holding").label_width(150.0);
    form.focus_once(ui, into, "Name of the flock");
    let refused = |name| refusal_of(&t.refusals, name, 0);
    let (wrong, gestation, grading) = (refused("flock"), refused("gestation"), refused("grading"));
    let money = refused("currency");
    let w = &mut t.now;
    form.field(ui, &Field::new("Name of the flock").width(320.0).refusal(wrong.as_deref()), &mut w.flock);
    form.field(ui, &Field::new("Keeper").width(320.0), &mut w.keeper);
    form.field(
        ui,
        &Field::new("Holding number").width(220.0).example("as the authority writes it"),
        &mut w.number,
    );
    form.field(ui, &Field::new("Address").width(420.0).example("lines parted by commas"), &mut w.address);
    form.field(ui, &Field::new("Usual giver").width(260.0).example("who gives treatments"), &mut w.given_by);
    form.field(ui, &Field::new("Usual vet").width(260.0).example("who prescribes"), &mut w.vet);
    form.field(
        ui,
        &Field::new("Registry").width(320.0).example("name of the breed society"),
        &mut w.registry,
    );
    form.field(ui, &Field::new("Prefix").width(220.0).example("of the flock in the registry"), &mut w.prefix);
    let field = Field::new("Days in lamb").width(320.0).example("by breed: Fellside 148; Hillgrey 146");
    form.field(ui, &field.refusal(gestation.as_deref()), &mut w.gestation);
    let units = [(false, "kilograms"), (true, "pounds and ounces")];
    form.choice(ui, &Choice::new("Weights in", &units), &mut w.units);
    let known = rules::known(ctx.flock.rule_changes());
    let names: Vec<(usize, &str)> = known.iter().map(|(_, name)| name.as_str()).enumerate().collect();
    let mut at = known.iter().position(|(id, _)| *id == w.rules);
    if form.choice(ui, &Choice::names("Rules of", &names), &mut at).changed() {
        w.rules = at.and_then(|n| known.get(n)).map(|(id, _)| id.clone()).unwrap_or_default();
    }
    let regions: Vec<(Trade, &'static str)> = Trade::all().map(|t| (t, t.name())).collect();
    let mut region = Some(Trade::of(&w.region));
    if form.choice(ui, &Choice::new("Words", &regions), &mut region).changed() {
        let chosen = region.unwrap_or_default();
        w.region = if chosen == Trade::PLAIN { String::new() } else { chosen.id().into() };
    }
    let orders = DayOrder::ALL.map(|o| (o, o.words()));
    let mut days = DayOrder::of(&w.days);
    if form.choice(ui, &Choice::new("Days as", &orders), &mut days).changed() {
        w.days = days.unwrap_or_default().code().into();
    }
    let field = Field::new("Currency").width(90.0).example("£, €, NZ$: before amounts; blank for none");
    form.field(ui, &field.refusal(money.as_deref()), &mut w.currency);
    let kept = [(false, "as usual"), (true, "by the rules for organic flocks")];
    let mut organic = Some(w.organic);
    form.choice(ui, &Choice::new("Kept", &kept), &mut organic);
    w.organic = organic.unwrap_or_default();
    form.choice(ui, &Choice::new("Sheet", &[(false, "A4"), (true, "Letter")]), &mut w.letter);
    ladder(ui, &mut form, &mut w.grading, grading.as_deref());
    let changed = *w != stands;
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        ui.add_space(158.0);
        go |= look::primary(ui, "Write it in").clicked();
        let back = ui.add_enabled(changed, egui::Button::new(phrase!("As it stands")));
        if back.on_hover_text(phrase!("Throws away what is typed here")).clicked() {
            t.fill(&stands);
        }
        if changed {
            look::word(ui, Kind::Caution, "changed, not yet written");
        }
    });
    ui.add_space(space::S);
    if t.now.rules != stands.rules {
        other_rules(ui, ctx, &t.now.rules, &mut t.told);
    }
    look::paragraph(
        ui,
        "Name, keeper, holding number and address stand on the treatment log. The rules decide which days are shown as limits; the authority, the label and the vet decide.",
    );
    if go {
        match entry::holding(t.now.holding(ctx.flock.holding()), ctx.flock) {
            Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::HoldingDone }),
            Err(refusals) => {
                out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                t.refusals = refusals;
                *into = true;
            }
        }
    }
}

/// The rules of grading up as text, with the shipped ones to begin with.
fn ladder(ui: &mut egui::Ui, form: &mut Form, text: &mut String, refusal: Option<&str>) {
    let read = |t: &str| {
        let read = Ladder::parse(t).map_err(|e| e.0)?;
        Ok(read.sections.iter().map(|s| s.name.as_str()).collect::<Vec<_>>().join(", "))
    };
    let lines = if text.trim().is_empty() { 2 } else { 8 };
    let field = Field::new("Grading up").width(420.0).lines(lines).example("as shipped").understand(&read);
    form.field(ui, &field.refusal(refusal), text);
    if text.trim().is_empty() {
        ui.horizontal(|ui| {
            ui.add_space(158.0);
            if ui.button(phrase!("Begin with the common rules")).clicked() {
                *text = Ladder::shipped_words().to_string();
            }
        });
    }
}

/// What another rule set changes, in words made once.
fn other_rules(ui: &mut egui::Ui, ctx: &Ctx<'_>, id: &str, told: &mut Option<(String, Vec<String>)>) {
    if told.as_ref().is_none_or(|(of, _)| of != id) {
        let new = rules::effective(id, ctx.flock.rule_changes()).ok();
        let differ = rules::differences(ctx.flock.rules(), new.as_ref());
        let lines = differ.into_iter().map(|(topic, words)| phrase!("{}: {words}", topic.words())).collect();
        *told = Some((id.to_string(), lines));
    }
    let Some((_, lines)) = told else { return };
    look::banner(ui, Kind::Caution, "With these rules other things are asked for", |ui| {
        look::strong(ui, "Periods and days that are written already do not move.");
        for line in lines {
            ui.add(egui::Label::new(line.as_str()).wrap());
        }
    });
    ui.add_space(space::S);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn follows_the_book_until_something_is_typed() {
        let of = |flock: &str| Words { flock: flock.into(), ..Words::default() };
        let mut t = Typed::default();
        t.follow(&of("a"));
        assert_eq!(t.now.flock, "a");
        t.follow(&of("b"));
        assert_eq!(t.now.flock, "b");
        t.now.keeper = "Maud".into();
        t.follow(&of("c"));
        assert_eq!((t.now.flock.as_str(), t.now.keeper.as_str()), ("b", "Maud"));
    }
}
