//! The form of a joining: a new group, more ewes for one, another ram over the first.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::super::ewes::{self, Ewes};
use super::blood::Blood;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, JoiningDraft, Refusal};
use hirsel_core::flock::{AnimalFile, Flock};
use hirsel_core::handbook::lambing::ram_fertile_days;
use hirsel_core::phrase;
use hirsel_core::reckon::joined::{Group, overlaps};
use hirsel_core::terms::{AnimalId, Day, Sex};
use serde::{Deserialize, Serialize};

/// A joining as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    ram: PickerState<AnimalId>,
    ewes: Ewes,
    from: String,
    to: String,
    group: String,
    how: PickerState<u8>,
    /// What the form was opened for, in words.
    title: String,
    #[serde(skip)]
    pub(super) focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    /// What overlaps with other rams, and what it was reckoned for.
    #[serde(skip)]
    over: Option<(Wanted, Vec<String>)>,
    #[serde(skip)]
    blood: Blood,
}

type Wanted = (u64, Option<AnimalId>, Vec<AnimalId>, Day, Option<Day>);

const HOW: [&str; 3] = ["natural service", "hand service", "insemination"];
const LABELS: f32 = 112.0;

impl Typed {
    /// More ewes for a group, with its ram.
    pub(super) fn more_ewes(&mut self, ctx: &Ctx<'_>, group: &Group) {
        *self = Self { title: phrase!("More ewes for {}", group.title(ctx.flock)), ..Self::default() };
        let now = group.rams_now(ctx.flock);
        if let [one] = now.as_slice()
            && let Some(found) = fields::found(ctx, *one)
        {
            self.ram.choose(found);
        }
        self.group = group.name.clone().unwrap_or_default();
        self.focus = Some(if self.ram.chosen().is_some() { "Ewe" } else { "Ram" });
    }

    /// Another ram for the ewes of a group.
    pub(super) fn other_ram(&mut self, ctx: &Ctx<'_>, group: &Group) {
        *self = Self { title: phrase!("Another ram for {}", group.title(ctx.flock)), ..Self::default() };
        self.ewes.choose(group.ewes.clone());
        self.group = group.name.clone().unwrap_or_default();
        self.focus = Some("Ram");
    }

    /// The joining is written: the days and the way stay for the next group.
    pub(super) fn after(&mut self) {
        let next = Self { from: std::mem::take(&mut self.from), ..Self::default() };
        *self = next;
        self.focus = Some("Ram");
    }

    /// What lambs of the pairs chosen would be inbred.
    pub(super) fn blood(&mut self, ui: &mut egui::Ui, ctx: &Ctx<'_>) {
        let ram = self.ram.chosen();
        self.blood.view(ui, ctx, ram, &self.ewes.chosen);
    }

    fn days(&self, ctx: &Ctx<'_>) -> Result<(Day, Option<Day>), (&'static str, String)> {
        let from = fields::day_or_today(ctx, &self.from).map_err(|e| ("From", e))?;
        let to = fields::some(&self.to).map(|t| Day::parse_typed(&t, ctx.today)).transpose();
        Ok((from, to.map_err(|e| ("To", e.0))?))
    }

    /// Which days other rams are with the ewes chosen.
    fn over(&mut self, ctx: &Ctx<'_>) -> &[String] {
        let (from, to) = self.days(ctx).unwrap_or((ctx.today, None));
        let wanted = (ctx.flock.version(), self.ram.chosen(), self.ewes.chosen.clone(), from, to);
        if self.over.as_ref().is_none_or(|(w, _)| *w != wanted) {
            let all = match wanted.1 {
                Some(ram) => overlaps(ctx.flock, ram, &self.ewes.chosen, from, to),
                None => Vec::new(),
            };
            let said = all.iter().map(|o| o.words(ctx.flock)).collect();
            self.over = Some((wanted, said));
        }
        self.over.as_ref().map_or(&[], |(_, said)| said)
    }
}

fn is_ram(f: &AnimalFile) -> bool {
    f.animal.sex == Sex::Ram && f.animal.status.is_here()
}

/// What is odd about a ram's age on the day.
fn young(flock: &Flock, ram: AnimalId, on: Day) -> Option<String> {
    let age = flock.animal(ram)?.age_days(on)?;
    (age < ram_fertile_days()).then(|| {
        phrase!(
            "he is {} days old that day; a ram younger than {} days rarely gets lambs",
            age,
            ram_fertile_days()
        )
    })
}

/// Draws the form.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    let title = if t.title.is_empty() { look::said("New joining").into_owned() } else { t.title.clone() };
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, title);
        if !t.title.is_empty() && ui.button(phrase!("A new group instead")).clicked() {
            *t = Typed { focus: Some("Ram"), ..Typed::default() };
        }
    });
    let mut form = Form::new(ui, "joining").label_width(LABELS);
    if let Some(label) = t.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        t.focus = wish.then_some(label);
    }
    let wrong = |name| t.refusals.iter().find(|r| r.field.name == name).map(ToString::to_string);
    let (ram, ewe) = (wrong("ram"), wrong("ewe"));
    let (from, to) = (refusal_of(&t.refusals, "from", 0), refusal_of(&t.refusals, "to", 0));
    let first = t.days(ctx).map_or(ctx.today, |(from, _)| from);
    let caution = t.ram.chosen().and_then(|r| young(ctx.flock, r, first));
    form.animal_quiet(ui, ctx, "Ram", &mut t.ram, (ram.as_deref(), caution.as_deref()), is_ram);
    if ewes::view(ui, ctx, &mut t.ewes, &mut form, LABELS, ewe.as_deref()) {
        t.focus = Some("Ewe"); // another one may follow; an empty Enter goes on
    }
    form.day(ui, ctx, "From", &mut t.from, from.as_deref());
    let read = |x: &str| Day::parse_typed(x, ctx.today).map(Day::long).map_err(|e| e.0);
    let field = Field::new("To").width(120.0).example("he stays").understand(&read).refusal(to.as_deref());
    form.field(ui, &field, &mut t.to);
    form.field(ui, &Field::new("Group").width(220.0).example("field or number"), &mut t.group);
    let picker = Picker::new("How", 0).free().width(220.0).example("natural service");
    form.picker(ui, &picker, &mut t.how, |text| {
        let low = text.to_lowercase();
        let found = (0u8..).zip(HOW).filter(|(_, w)| !low.is_empty() && w.contains(&low));
        found.map(|(key, w)| Found { key, label: w.into(), detail: String::new() }).collect()
    });
    let mut go = form.finish(ui) == FormEvent::Submitted;
    for line in t.over(ctx) {
        look::sentence(ui, Kind::Caution, line);
    }
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the joining").clicked();
        look::faint(ui, "Ctrl+Enter writes from any field.");
    });
    if !go {
        return;
    }
    match checked(ctx, t) {
        Ok(intent) => out.push(intent),
        Err((label, text)) => {
            t.focus = Some(label);
            out.push(Intent::Say(Kind::Refuse, text));
        }
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (&'static str, String)> {
    t.ewes.take_typed(ctx);
    let ram = fields::picked(ctx, &t.ram, "the ram").map_err(|e| ("Ram", e))?;
    let ram = ram.ok_or(("Ram", look::said("which ram? Type any part of his tag or name").into_owned()))?;
    if let Some(left) = t.ewes.unsettled() {
        return Err(left);
    }
    let (from, to) = t.days(ctx)?;
    let draft = JoiningDraft {
        ram,
        ewes: t.ewes.chosen.clone(),
        from,
        to,
        method: fields::some(&t.how.text),
        group: fields::some(&t.group),
    };
    match entry::joinings(vec![draft], ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::JoiningDone })
        }
        Err(refusals) => {
            let label = match refusals.first().map(|r| r.field.name) {
                Some("ram") => "Ram",
                Some("from") => "From",
                Some("to") => "To",
                _ => "Ewe",
            };
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err((label, first))
        }
    }
}
