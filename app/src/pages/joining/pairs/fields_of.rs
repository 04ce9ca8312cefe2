//! The question's fields: rams and ewes, and what counts.

use super::super::super::Ctx;
use super::question::Typed;
use super::read;
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, Found, Picker};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Sex, counted};

const WHOLE: [(u8, &str); 2] = [(0, "all of breeding age"), (1, "only those added")];
const RARE: [(u8, &str); 3] = [(0, "no"), (1, "a little"), (2, "much")];
const RISK: [(u8, &str); 3] = [(0, "no"), (1, "as inbreeding"), (2, "above all")];
const MUST: [(u8, &str); 2] = [(0, "must not be"), (1, "must be")];

fn is(sex: Sex) -> impl Fn(&AnimalFile) -> bool {
    move |f| f.animal.sex == sex && f.animal.status.is_here()
}

pub(super) fn whom(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    look::subheading(ui, "Rams, and ewes for each");
    form.set_part(look::said("ewes"));
    let read = |x: &str| read::numbers_words(x);
    for (id, text) in &mut t.rams {
        let label = ctx.flock.tag(*id).to_string();
        form.field(ui, &Field::new(label).width(80.0).example("0: at home").understand(&read), text);
    }
    form.set_part("");
    form.animal(ui, ctx, "Add a ram", &mut t.ram, None, |f| f.animal.sex == Sex::Ram);
    let most: usize = t.rams.iter().filter_map(|(_, x)| read::numbers(x).ok().flatten()).map(|n| n.1).sum();
    let (ewes, rams) = (counted(t.ewes.len(), "ewe"), phrase!("the rams may have {} together", most));
    if most < t.ewes.len() {
        look::sentence(
            ui,
            Kind::Caution,
            phrase!("{ewes} are chosen, {rams}: raise a number or leave ewes out"),
        );
    } else {
        look::faint(ui, phrase!("{ewes} chosen, {rams}"));
    }
    ui.add_space(space::M);
    look::subheading(ui, "Ewes");
    t.whole.get_or_insert(0);
    form.choice(ui, &Choice::new("Ewes", &WHOLE), &mut t.whole);
    let version = ctx.flock.version();
    let picker = Picker::new("Pen or group", version).width(220.0).example("adds all its ewes");
    let pens = &t.pens;
    form.picker(ui, &picker, &mut t.pen, |text| {
        let text = text.to_lowercase();
        let all = (0u64..).zip(pens).filter(|(_, (pen, _))| pen.to_lowercase().contains(&text));
        all.map(|(key, (pen, a))| Found { key, label: pen.clone(), detail: counted(a.len(), "ewe") })
            .collect()
    });
    form.animal(ui, ctx, "Add a ewe", &mut t.ewe, None, is(Sex::Ewe));
    form.animal(ui, ctx, "Leave out", &mut t.leave, None, is(Sex::Ewe));
    chips(ui, ctx, "Added", &mut t.added);
    chips(ui, ctx, "Left out", &mut t.left);
}

/// Tags that can be taken back.
fn chips(ui: &mut egui::Ui, ctx: &Ctx<'_>, what: &'static str, all: &mut Vec<AnimalId>) {
    if all.is_empty() {
        return;
    }
    let mut out = None;
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(space::XS, space::XS);
        look::strong(ui, phrase!("{what}:"));
        for id in all.iter().take(40) {
            if take_back(ui, ctx.flock.tag(*id)) {
                out = Some(*id);
            }
        }
        if all.len() > 40 {
            look::faint(ui, phrase!("and {} more", all.len() - 40));
        }
    });
    all.retain(|id| Some(*id) != out);
}

fn take_back(ui: &mut egui::Ui, text: &str) -> bool {
    let b = ui.small_button(format!("{text} ×"));
    b.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::Button, true, phrase!("Take {text} back", text = &text))
    });
    b.clicked()
}

pub(super) fn how(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    look::subheading(ui, "What counts");
    look::faint(ui, "First of all: lambs as little inbred as can be. Besides that:");
    let read = |x: &str| read::limit_words(x);
    let field = Field::new("No lamb over").width(70.0).unit("% inbred").example("12.5").understand(&read);
    form.field(ui, &field, &mut t.limit);
    t.rare.get_or_insert(1);
    form.choice(ui, &Choice::new("Rare blood", &RARE), &mut t.rare);
    if t.tested {
        t.risk.get_or_insert(1);
        form.choice(ui, &Choice::new("Gene risk", &RISK), &mut t.risk);
    }
    if let Some(found) = ctx.values.found() {
        t.value.get_or_insert(0);
        form.choice(ui, &Choice::new("Breeding values", &RARE), &mut t.value);
        let stale = if found.version == ctx.flock.version() { "" } else { ", before the last entries" };
        look::faint(ui, phrase!("Of {}, as reckoned under Keep or part{stale}.", found.words()));
    }
    form.field(ui, &Field::new("Not both").width(220.0).example("white face, horned"), &mut t.words);
    look::faint(ui, "Words of colour, marks or note that two of a pair should not both bear.");
    ui.add_space(space::M);
    look::subheading(ui, "A pair that");
    t.must.get_or_insert(0);
    form.choice(ui, &Choice::new("Pair", &MUST), &mut t.must);
    form.animal(ui, ctx, "Ewe", &mut t.must_ewe, None, is(Sex::Ewe));
    form.animal(ui, ctx, "With ram", &mut t.must_ram, None, |f| f.animal.sex == Sex::Ram);
    let mut musts = |pairs: &mut Vec<(AnimalId, AnimalId)>, word: &'static str| {
        if pairs.is_empty() {
            return;
        }
        let mut out = None;
        ui.horizontal_wrapped(|ui| {
            for (ewe, ram) in pairs.iter() {
                if take_back(ui, &phrase!("{} {word} {}", &ctx.flock.tag(*ewe), &ctx.flock.tag(*ram))) {
                    out = Some((*ewe, *ram));
                }
            }
        });
        pairs.retain(|p| Some(*p) != out);
    };
    musts(&mut t.forbid, "not with");
    musts(&mut t.keep, "with");
    ui.add_space(space::M);
    look::subheading(ui, "For the ten years ahead");
    look::faint(ui, "Left open, these come from the flock’s own figures.");
    let figure = |x: &str| read::figure(x).map(|n| n.map(|n| n.to_string()).unwrap_or_default());
    let whole = |x: &str| read::whole(x).map(|n| n.map(|n| n.to_string()).unwrap_or_default());
    form.field(
        ui,
        &Field::new("Lambs a ewe").width(70.0).unit("reared a year").understand(&figure),
        &mut t.lambs,
    );
    form.field(
        ui,
        &Field::new("Crops a ewe").width(70.0).unit("until she goes").understand(&whole),
        &mut t.crops,
    );
    form.field(
        ui,
        &Field::new("Young ewes").width(70.0).unit("kept a year").understand(&whole),
        &mut t.young_ewes,
    );
    form.field(
        ui,
        &Field::new("Young rams").width(70.0).unit("kept a year").understand(&whole),
        &mut t.young_rams,
    );
}
