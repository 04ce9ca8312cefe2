//! The question: rams with their numbers, ewes, what must be and must not be, what counts how much.

use super::super::super::{Ctx, Intent};
use super::fields_of::{how, whom};
use super::read;
use crate::desk::pairs::AheadWish;
use crate::look::{self, Kind, space};
use crate::parts::{Form, FormEvent, PickerState};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{PairsAsk, RamCap, Weights, ewes_to_join, rams_to_join};
use hirsel_core::terms::{AnimalId, Day, Sex};
use serde::{Deserialize, Serialize};

/// The question as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// The rams were filled in once.
    pub(super) filled: bool,
    pub(super) rams: Vec<(AnimalId, String)>,
    pub(super) ram: PickerState<AnimalId>,
    /// 1: only those added.
    pub(super) whole: Option<u8>,
    pub(super) pen: PickerState<u64>,
    pub(super) ewe: PickerState<AnimalId>,
    pub(super) leave: PickerState<AnimalId>,
    pub(super) added: Vec<AnimalId>,
    pub(super) left: Vec<AnimalId>,
    pub(super) limit: String,
    pub(super) rare: Option<u8>,
    pub(super) risk: Option<u8>,
    pub(super) value: Option<u8>,
    pub(super) words: String,
    pub(super) must: Option<u8>,
    pub(super) must_ewe: PickerState<AnimalId>,
    pub(super) must_ram: PickerState<AnimalId>,
    pub(super) forbid: Vec<(AnimalId, AnimalId)>,
    pub(super) keep: Vec<(AnimalId, AnimalId)>,
    pub(super) lambs: String,
    pub(super) crops: String,
    pub(super) young_ewes: String,
    pub(super) young_rams: String,
    #[serde(skip)]
    pub(super) focus: Option<&'static str>,
    #[serde(skip)]
    pub(super) made: Option<(u64, Day, Option<u8>, usize, usize)>,
    #[serde(skip)]
    pub(super) ewes: Vec<AnimalId>,
    #[serde(skip)]
    pub(super) pens: Vec<(String, Vec<AnimalId>)>,
    #[serde(skip)]
    pub(super) tested: bool,
}

impl Typed {
    /// The keyboard goes to where one changes most.
    pub(super) fn refocus(&mut self) {
        self.focus = Some("No lamb over");
    }

    fn make(&mut self, ctx: &Ctx<'_>) {
        let now = (ctx.flock.version(), ctx.today, self.whole, self.added.len(), self.left.len());
        if self.made == Some(now) {
            return;
        }
        if self.made.is_none_or(|m| m.0 != now.0) {
            self.pens = groups(ctx.flock, ctx.today);
            self.tested = ctx.flock.files().any(|f| f.tests.iter().any(|t| t.struck.is_none()));
            let known = |id: &AnimalId| ctx.flock.animal(*id).is_some();
            self.rams.retain(|(id, _)| known(id));
            self.added.retain(known);
            self.left.retain(known);
            for pairs in [&mut self.forbid, &mut self.keep] {
                pairs.retain(|(e, r)| known(e) && known(r));
            }
        }
        self.made = Some((now.0, now.1, now.2, self.added.len(), self.left.len()));
        let mut ewes = if self.whole == Some(1) { Vec::new() } else { ewes_to_join(ctx.flock, ctx.today) };
        for id in &self.added {
            if !ewes.contains(id) {
                ewes.push(*id);
            }
        }
        ewes.retain(|id| !self.left.contains(id));
        self.ewes = ewes;
        if !self.filled {
            self.filled = true;
            let rams = rams_to_join(ctx.flock, ctx.today);
            if rams.len() <= MANY_RAMS {
                let each = self.each(rams.len());
                self.rams = rams.into_iter().map(|id| (id, each.clone())).collect();
            }
        }
    }

    /// A number of ewes for one of so many rams: an even share and a quarter more, to leave a choice.
    fn each(&self, rams: usize) -> String {
        (self.ewes.len() * 5).div_ceil(4 * rams.max(1)).max(1).to_string()
    }

    fn take_picked(&mut self, ctx: &Ctx<'_>) {
        if let Some(id) = self.ram.chosen() {
            if !self.rams.iter().any(|r| r.0 == id) {
                let each = self.each(self.rams.len() + 1);
                self.rams.push((id, each));
            }
            self.ram.clear();
        }
        if let Some(id) = self.ewe.chosen() {
            self.left.retain(|l| *l != id);
            if !self.added.contains(&id) {
                self.added.push(id);
            }
            self.ewe.clear();
        }
        if let Some(id) = self.leave.chosen() {
            self.added.retain(|a| *a != id);
            if !self.left.contains(&id) {
                self.left.push(id);
            }
            self.leave.clear();
        }
        if let Some(n) = self.pen.chosen() {
            let all = usize::try_from(n).ok().and_then(|n| self.pens.get(n)).map(|(_, a)| a.clone());
            for id in all.unwrap_or_default() {
                self.left.retain(|l| *l != id);
                if !self.added.contains(&id) {
                    self.added.push(id);
                }
            }
            self.pen.clear();
        }
        if let (Some(ewe), Some(ram)) = (self.must_ewe.chosen(), self.must_ram.chosen()) {
            let keep = self.must == Some(1);
            self.forbid.retain(|p| *p != (ewe, ram));
            self.keep.retain(|p| if keep { p.0 != ewe } else { *p != (ewe, ram) });
            if keep { &mut self.keep } else { &mut self.forbid }.push((ewe, ram));
            self.must_ewe.clear();
            self.must_ram.clear();
        }
        self.make(ctx);
    }

    fn ask(&self, ctx: &Ctx<'_>) -> Result<(PairsAsk, AheadWish), (&'static str, String)> {
        let at = |label: &'static str| move |e: String| (label, e);
        let mut rams = Vec::new();
        for (id, text) in &self.rams {
            let tag = ctx.flock.tag(*id);
            if let Some((least, most)) =
                read::numbers(text).map_err(|e| ("Add a ram", format!("{tag}: {e}")))?
            {
                rams.push(RamCap { ram: *id, most, least });
            }
        }
        let left = |p: &PickerState<AnimalId>, label: &'static str| match p.text.trim() {
            "" => Ok(()),
            text => Err((
                label,
                phrase!(
                    "‘{text}’ is not settled: choose one from the list, or empty the field",
                    text = &text
                ),
            )),
        };
        left(&self.ram, "Add a ram")?;
        left(&self.ewe, "Add a ewe")?;
        left(&self.leave, "Leave out")?;
        left(&self.must_ewe, "Ewe")?;
        left(&self.must_ram, "With ram")?;
        if rams.is_empty() {
            return Err(("Add a ram", phrase!("no ram is chosen: add one, with how many ewes he may have")));
        }
        if self.ewes.is_empty() {
            return Err(("Add a ewe", phrase!("no ewe is chosen: add ewes, or take all of breeding age")));
        }
        let weights = Weights {
            kinship: 1.0,
            rare: [0.0, 0.5, 2.0][usize::from(self.rare.unwrap_or(1)).min(2)],
            value: match ctx.values.found() {
                Some(_) => [0.0, 0.5, 2.0][usize::from(self.value.unwrap_or(0)).min(2)],
                None => 0.0,
            },
            risk: [0.0, 1.0, 8.0][usize::from(self.risk.unwrap_or(1)).min(2)],
            alike: 3.0,
        };
        let mut ask = PairsAsk {
            ewes: self.ewes.clone(),
            rams,
            forbid: self.forbid.clone(),
            keep: self.keep.clone(),
            limit: read::limit(&self.limit).map_err(at("No lamb over"))?,
            weights,
            words: self
                .words
                .split(',')
                .map(str::trim)
                .filter(|w| !w.is_empty())
                .map(str::to_string)
                .collect(),
            ..PairsAsk::default()
        };
        if weights.value > 0.0 {
            ctx.values.lend(&mut ask);
        }
        let wish = AheadWish {
            lambs: read::figure(&self.lambs).map_err(at("Lambs a ewe"))?,
            ewe_crops: read::whole(&self.crops).map_err(at("Crops a ewe"))?,
            young_ewes: read::whole(&self.young_ewes).map_err(at("Young ewes"))?,
            young_rams: read::whole(&self.young_rams).map_err(at("Young rams"))?,
        };
        Ok((ask, wish))
    }
}

/// More rams than this are not filled in by themselves.
const MANY_RAMS: usize = 12;

/// Pens and joining groups of the last year with their ewes of the flock.
fn groups(flock: &Flock, today: Day) -> Vec<(String, Vec<AnimalId>)> {
    let ewe = |id: &AnimalId| flock.animal(*id).is_some_and(|a| a.sex == Sex::Ewe);
    let mut all = flock.pens();
    let mut named: std::collections::BTreeMap<String, Vec<AnimalId>> = std::collections::BTreeMap::new();
    for f in flock.present() {
        let of = f.joinings.iter().filter(|j| j.struck.is_none() && today.since(j.from) < 366);
        for group in of.filter_map(|j| j.group.as_ref()) {
            let group = named.entry(phrase!("group {group}")).or_default();
            if group.last() != Some(&f.animal.id) {
                group.push(f.animal.id);
            }
        }
    }
    all.extend(named);
    for (_, animals) in &mut all {
        animals.retain(ewe);
    }
    all.retain(|(_, animals)| !animals.is_empty());
    all
}

/// Draws it; tells whether the pairs are to be found.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    t.make(ctx);
    if std::mem::take(into) && t.focus.is_none() {
        t.focus = Some("Add a ram");
    }
    let mut form = Form::new(ui, "pairs asked").label_width(104.0);
    if let Some(label) = t.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        t.focus = wish.then_some(label);
    }
    let pressed = ui
        .horizontal_wrapped(|ui| {
            let pressed = look::primary(ui, "Find the pairs").clicked();
            look::faint(
                ui,
                "Choose rams and ewes, say what counts; Ctrl+Enter finds the pairs from any field.",
            );
            pressed
        })
        .inner;
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 780.0 {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + whole.width() * 0.48;
        right.min.x = left.max.x + space::L;
        for (rect, name) in [(left, "whom asked"), (right, "how asked")] {
            ui.scope_builder(egui::UiBuilder::new().max_rect(rect), |ui| {
                egui::ScrollArea::vertical().id_salt(name).auto_shrink(false).show(ui, |ui| match name {
                    "whom asked" => whom(ui, ctx, t, &mut form),
                    _ => how(ui, ctx, t, &mut form),
                });
            });
        }
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("asked").auto_shrink(false).show(ui, |ui| {
            whom(ui, ctx, t, &mut form);
            how(ui, ctx, t, &mut form);
        });
    }
    let go = form.finish(ui) == FormEvent::Submitted || pressed;
    t.take_picked(ctx);
    if !go {
        return false;
    }
    match t.ask(ctx) {
        Ok((ask, wish)) => {
            out.push(Intent::FindPairs(Box::new(ask), wish));
            true
        }
        Err((label, text)) => {
            t.focus = Some(label);
            out.push(Intent::Say(Kind::Refuse, text));
            false
        }
    }
}
