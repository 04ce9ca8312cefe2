//! The ewe in hand: why her ram, and what each other would cost.

use super::super::super::list::{By, List, Row, height, into_table};
use super::super::super::{Ctx, Intent};
use super::set::Set;
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{Bar, Told, percent};
use hirsel_core::terms::AnimalId;
use hirsel_core::terms::Why;

/// What is seen of her.
#[derive(Default)]
pub(super) struct Seen {
    of: Option<(AnimalId, u64)>,
    told: Option<Told>,
    rams: List<AnimalId>,
    table: TableState<AnimalId>,
    into: bool,
    /// 1: the others stay as they are.
    alone: Option<u8>,
}

const RAMS: &str = "Rams for her";
const OTHERS: [(u8, &str); 2] = [(0, "settled anew"), (1, "stay as they are")];

impl Seen {
    /// The keyboard goes to the rams.
    pub fn into(&mut self) {
        self.into = true;
    }

    fn keep(&mut self, flock: &Flock, set: &Set) {
        let Some(ewe) = set.table.cursor() else { return };
        if self.of == Some((ewe, set.change)) {
            return;
        }
        self.of = Some((ewe, set.change));
        self.told = set.pairs.told(flock, ewe);
        self.table = TableState::default();
        let rows = self.told.as_ref().map(|t| rows(flock, t)).unwrap_or_default();
        self.rams.set(rows);
    }
}

/// A cost with its sign, in hundredths of one lamb's inbreeding.
fn more(cost: f64) -> String {
    match cost * 100.0 {
        c if c.abs() < 0.05 => phrase!("nothing"),
        c if c < 0.0 => format!("− {:.1}", -c),
        c => format!("+ {c:.1}"),
    }
}

fn rows(flock: &Flock, t: &Told) -> Vec<Row<AnimalId>> {
    let f = |x: f64| (percent(x), Some((x * 1e9) as i64));
    let (now, by) = f(t.terms.coancestry);
    let tag = flock.tag(t.ram);
    let first = Row::new(t.ram)
        .tag(tag)
        .number(now.as_str(), by)
        .cell(Cell::chip(Kind::Accent, "her ram"), By::Number(i64::MIN), "her ram")
        .text("")
        .said(phrase!("{}, her ram, {} inbred", &tag, now));
    let mut all = vec![first];
    for o in &t.others {
        let tag = flock.tag(o.ram);
        let (inbred, by) = f(o.coancestry);
        let (settled, alone) = match (o.bar, o.settled) {
            (Some(Bar::Forbidden), _) => (phrase!("forbidden"), more(o.alone)),
            (Some(Bar::OverLimit(_)), _) => (phrase!("over limit"), more(o.alone)),
            (Some(Bar::KeptFor(_)), _) => (phrase!("she is kept"), more(o.alone)),
            (None, None) => (phrase!("no room"), more(o.alone)),
            (None, Some(c)) => (more(c), more(o.alone)),
        };
        let words =
            phrase!("{tag}, {inbred} inbred, all settled anew {settled}, she alone {alone}", tag = &tag);
        let by_cost = By::number(o.settled.map(|c| (c * 1e9) as i64));
        all.push(
            Row::new(o.ram)
                .tag(tag)
                .number(inbred, by)
                .cell(Cell::text(settled.clone()), by_cost, settled)
                .number(alone, Some((o.alone * 1e9) as i64))
                .said(words),
        );
    }
    all
}

/// Draws it; tells whether the set was changed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    set: &mut Set,
    seen: &mut Seen,
    out: &mut Vec<Intent>,
) -> bool {
    seen.keep(ctx.flock, set);
    let Some(told) = &seen.told else {
        look::faint(ui, "Choose a ewe in the table to see why, and what another ram would cost.");
        return false;
    };
    let tag = |id| ctx.flock.tag(id);
    let (ewe, kept) = (told.ewe, told.kept);
    let title = ctx.flock.animal(ewe).map_or_else(String::new, |a| a.title());
    look::subheading(ui, phrase!("{title} with {}", &tag(told.ram)));
    let terms = &told.terms;
    let lamb = phrase!("A lamb of these two would be {} inbred", percent(terms.coancestry));
    look::sentence(ui, Kind::Plain, format!("{lamb}: {}.", told.reason));
    if let Some((gene, p)) = &terms.gene {
        let said = phrase!("{} of their lambs {gene}.", percent(*p));
        caution::sentence(ui, Kind::Caution, &[Why::Genes], &said);
    } else if terms.untested {
        look::faint(ui, "One of the two is not tested for a gene the other may hand on.");
    }
    if !terms.alike.is_empty() {
        look::faint(ui, phrase!("Both: {}.", terms.alike.join(", ")));
    }
    ui.add_space(space::XS);
    let columns = [
        Column::new("Ram", 60.0).rest(),
        Column::new("Inbred", 70.0).right(),
        Column::new("All settled", 100.0).right(),
        Column::new("She alone", 84.0).right(),
    ];
    let mut chosen = None;
    let size = egui::vec2(ui.available_width(), height(seen.rams.rows.len(), 2, 8));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(&mut seen.into) {
            into_table(ui, RAMS);
        }
        for event in RecordTable::new(RAMS, &columns).single().show(ui, &mut seen.table, &seen.rams) {
            if let TableEvent::Opened(ram) = event {
                chosen = Some(ram);
            }
        }
    });
    let mut form = Form::new(ui, "how to change").label_width(60.0);
    seen.alone.get_or_insert(0);
    form.choice(ui, &Choice::new("Others", &OTHERS), &mut seen.alone);
    seen.into |= form.finish(ui) == FormEvent::Submitted;
    look::faint(
        ui,
        "Enter on a ewe leads here, Enter on a ram gives her to him. Costs are added up over all lambs: + 3.1 is as if one lamb were 3.1 % more inbred.",
    );
    let mut changed = false;
    if kept {
        ui.horizontal_wrapped(|ui| {
            look::chip(ui, Kind::Accent, "kept");
            if ui.button(phrase!("Free {}", &tag(ewe))).clicked() {
                match set.pairs.free(ctx.flock, ewe) {
                    Ok(pairs) => {
                        set.become_(ctx.flock, pairs);
                        changed = true;
                    }
                    Err(why) => out.push(Intent::Say(Kind::Refuse, why.to_string())),
                }
            }
        });
    }
    if let Some(ram) = chosen {
        match set.give(ctx.flock, ewe, ram, seen.alone != Some(1)) {
            Ok(said) => {
                out.push(Intent::Say(Kind::Good, said));
                changed = true;
            }
            Err(why) => out.push(Intent::Say(Kind::Refuse, why.to_string())),
        }
    }
    changed
}
