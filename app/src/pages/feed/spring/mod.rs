//! To spring: how long the hay lasts, drawn with its band, and what if more is bought, ewes are sold, less is given.

mod asked;

use super::super::list::{List, Row, into_table, take_out};
use super::super::picture::save_picture;
use super::super::sections::{columns, sized};
use super::super::{Ctx, Intent};
use super::reckoned::{Reckoned, Stands, progress};
use crate::look::{self, Kind, space};
use crate::parts::chart::{ChartState, drawing, growth_chart};
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Column, RecordTable, TableState};
use asked::Typed;
use hirsel_core::flock::Feed;
use hirsel_core::papers::{WinterRow, winter_chart, winter_rows};
use hirsel_core::phrase;
use hirsel_core::reckon::spring::{Ask, NoWinter, Winter, winter};
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// A flock of so many animals is reckoned at once.
const SMALL: usize = 60;
/// Rows of the table, or nearly.
const ROWS: usize = 16;

/// The version of the flock, the day, what is asked and the same as it stands.
type Question = (u64, Day, Ask, Ask);
/// The winter asked for, and as it stands where that is another.
type Answer = Result<(Winter, Option<Winter>), NoWinter>;

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    typed: Typed,
    #[serde(skip)]
    reckoned: Reckoned<Question, Answer>,
    #[serde(skip)]
    chart: ChartState,
    #[serde(skip)]
    list: List<usize>,
    #[serde(skip)]
    listed: Option<Arc<Answer>>,
    #[serde(skip)]
    table: TableState<usize>,
    #[serde(skip)]
    into_rows: bool,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

const TABLE: &str = "What is left";

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let usual = Ask::usual(ctx.flock, ctx.today);
    let room = ctx.flock.feedroom();
    let feeds: Vec<&Feed> = usual.iter().filter_map(|a| room.feed(a.feed)).collect();
    let Some(feed) = state.typed.feed_of(&feeds) else {
        *into = false;
        look::paragraph(
            ui,
            "No feed is given to anyone yet. Write what each group is given a day under Day by day, and count what is \
             there under Store: then it is reckoned here how long it lasts.",
        );
        return;
    };
    let read = state.typed.read(ctx, feed);
    let stands = match &read {
        Ok((ask, base)) => {
            let question = (ctx.flock.version(), ctx.today, ask.clone(), base.clone());
            let flock = Arc::clone(ctx.flock);
            let (ask, base, today) = (ask.clone(), base.clone(), ctx.today);
            let small = ctx.flock.len() <= SMALL;
            let stands = state
                .reckoned
                .ask(ui, &question, small, move |go_on| both(&flock, &ask, &base, today, go_on));
            Some(stands)
        }
        Err(_) => None,
    };
    let wrong = read.err().unwrap_or_default();
    let mut print = None;
    columns(
        ui,
        "spring",
        0.31,
        state,
        |ui, state| {
            let usual = Ask::of(feed.id, ctx.today);
            if asked::fields(ui, &feeds, &mut state.typed, &wrong, into, &usual) {
                state.into_rows = true;
            }
            ui.add_space(space::S);
            ui.horizontal_wrapped(|ui| {
                if ui.button(phrase!("As it stands")).clicked() {
                    state.typed.as_it_stands();
                }
                let have = state.reckoned.have().and_then(|a| a.as_ref().as_ref().ok());
                let asked = have.map(|(w, _)| w.ask.clone());
                if ui.add_enabled(asked.is_some(), egui::Button::new(phrase!("Print winter feed"))).clicked()
                {
                    print = asked;
                }
            });
        },
        |ui, state| shown(ui, state, stands, out),
    );
    out.extend(print.map(|ask| Intent::PrintWinter(Box::new(ask))));
}

fn shown(ui: &mut egui::Ui, state: &mut State, stands: Option<Stands>, out: &mut Vec<Intent>) {
    match stands {
        Some(stands) => progress(ui, stands, &mut state.reckoned),
        None => {
            look::faint(ui, "Mend what is marked on the left; below is what was asked before.");
        }
    }
    let Some(answer) = state.reckoned.have().cloned() else { return };
    let (w, base) = match answer.as_ref() {
        Ok((w, base)) => (w, base.as_ref()),
        Err(why) => {
            look::paragraph(ui, sentence(&why.to_string()));
            return;
        }
    };
    if state.listed.as_ref().is_none_or(|l| !Arc::ptr_eq(l, &answer)) {
        state.list.set(winter_rows(w, ROWS).into_iter().enumerate().map(|(i, r)| row(i, r)).collect());
        state.listed = Some(Arc::clone(&answer));
        state.chart.anew();
    }
    look::strong(ui, format!("{}.", w.lasts()));
    look::paragraph(ui, format!("{}.", w.at_grass()));
    look::paragraph(ui, format!("{}.", w.buy()));
    if let Some(base) = base {
        look::faint(ui, phrase!("As it stands: {}. {}.", base.lasts(), base.at_grass()));
    }
    for c in &w.cautions {
        look::sentence(ui, Kind::Caution, c);
    }
    let height = (ui.available_height() * 0.62).clamp(280.0, 400.0);
    let lasting = winter_chart(w, base);
    growth_chart(ui, "How long it lasts", &lasting, height, &mut state.chart);
    let title = phrase!("{}, how long it lasts", w.feed.name);
    let of = Sitter { title: &title, said: &lasting.said, width: 900.0, height: None };
    save_picture(ui, &of, out, |ui| drawing(ui, &lasting, 460.0));
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        look::subheading(ui, TABLE);
        let heads = ["evening_of", "who_eats", "needed_a_day", "left_low", "left_middle", "left_high"];
        take_out(ui, &phrase!("{} to spring", w.feed.name), &heads, &state.list, &mut state.table, out);
    });
    let tall = super::super::list::height(state.list.rows.len(), 3, 9);
    sized(ui, tall, |ui| {
        if std::mem::take(&mut state.into_rows) {
            into_table(ui, TABLE);
            ui.scroll_to_rect(ui.max_rect(), Some(egui::Align::Max));
        }
        let columns = [
            Column::new("Evening of", 96.0),
            Column::new("Who eats, on the mean", 150.0).rest(),
            Column::new("Needed a day", 108.0).right(),
            Column::new("1 in 10 less", 92.0).right(),
            Column::new("The middle", 90.0).right(),
            Column::new("1 in 10 more", 98.0).right(),
        ];
        RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
    });
    ui.add_space(space::S);
    look::subheading(ui, "What it rests on");
    for r in &w.rests {
        look::faint(ui, format!("{r}."));
    }
}

fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    let first: String = letters.next().map(|c| c.to_uppercase().collect()).unwrap_or_default();
    format!("{first}{}.", letters.as_str())
}

fn row(place: usize, r: WinterRow) -> Row<usize> {
    let [low, middle, high] = r.left;
    Row::new(place)
        .number(r.on.words(), Some(place as i64))
        .text(r.heads)
        .number(r.need, Some(place as i64))
        .number(low, Some(place as i64))
        .number(middle, Some(place as i64))
        .number(high, Some(place as i64))
}

/// The winter asked for, and as it stands where that is another question.
fn both(
    flock: &hirsel_core::flock::Flock,
    ask: &Ask,
    base: &Ask,
    today: Day,
    go_on: &mut dyn FnMut(u32, u32) -> bool,
) -> Option<Answer> {
    let other = ask != base;
    let parts = 1 + u32::from(other);
    let first = winter(flock, ask, today, &mut |done, of| go_on(done, of * parts));
    let asked = match first {
        Ok(w) => w,
        Err(NoWinter::Stopped) => return None,
        Err(why) => return Some(Err(why)),
    };
    if !other {
        return Some(Ok((asked, None)));
    }
    match winter(flock, base, today, &mut |done, of| go_on(of + done, of * 2)) {
        Ok(base) => Some(Ok((asked, Some(base)))),
        Err(NoWinter::Stopped) => None,
        Err(_) => Some(Ok((asked, None))),
    }
}
