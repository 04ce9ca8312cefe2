//! A ewe's past lambings and figures; a lamb's or ram's weights; a ram's lambs by year.

use super::super::list::{By, List, Row, height};
use super::super::picture::save_picture;
use super::super::{Ctx, Intent, fields};
use crate::look::{self, Face, space};
use crate::parts::chart::{ChartState, drawing, growth_chart};
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::papers::{Drawn, drawn_for};
use hirsel_core::phrase;
use hirsel_core::reckon::curves::{MODELS, points_of};
use hirsel_core::reckon::figures::{self, EweFigures, Mean};
use hirsel_core::reckon::growth::{gains, sixty_day};
use hirsel_core::terms::{Day, LambingId, Sex, Units, Weight, counted};
use std::collections::BTreeMap;

/// Made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct History {
    lambings: List<LambingId>,
    at_lambings: TableState<LambingId>,
    trouble: Vec<(i32, String)>,
    figures: Figures,
    weights: List<usize>,
    at_weights: TableState<usize>,
    sixty: Option<String>,
    /// Its name and the chart; none where it was not weighed twice.
    growth: Option<(String, Drawn)>,
    chart: ChartState,
    sired: Vec<String>,
}

/// How high the chart of the weights is.
const CHART: f32 = 190.0;

/// A ewe's figures.
#[derive(Debug, Clone, Default)]
pub(super) struct Figures(EweFigures);

impl History {
    pub(super) fn make(&mut self, ctx: &Ctx<'_>, file: &AnimalFile) {
        self.figures = Figures(figures::ewe(ctx.flock, ctx.means, file, ctx.today));
        self.trouble = file
            .lambings_standing()
            .rev()
            .map(|l| {
                let row = figures::lambing_row(ctx.flock, l, ctx.today);
                (l.at.day.year(), row.trouble.join("; "))
            })
            .filter(|(_, trouble)| !trouble.is_empty())
            .collect();
        self.lambings.set(file.lambings.iter().rev().map(|l| lambing(ctx, l)).collect());
        self.weights.set(weights(ctx, file));
        self.sixty = sixty_day(file).map(|s| {
            let care =
                if s.is_within_window() { "" } else { "; outside 53 to 67 days, so read it with care" };
            phrase!("{} at 60 days (weighed at {} days{care})", s.weight.show(ctx.units()), s.at_age)
        });
        let charted = points_of(file).is_some_and(|p| p.len() > 1);
        self.growth = charted.then(|| {
            let name = phrase!("Growth of {}", &file.animal.tag());
            (name, drawn_for(ctx.flock, file, ctx.today, &MODELS))
        });
        self.chart.anew();
        let mut by_year: BTreeMap<i32, (u32, u32)> = BTreeMap::new();
        for child in file.offspring.iter().filter_map(|c| ctx.flock.animal(*c)) {
            if let Some(year) = child.born.year() {
                let e = by_year.entry(year).or_default();
                if child.sire.known() == Some(file.animal.id) {
                    e.0 += 1;
                } else {
                    e.1 += 1;
                }
            }
        }
        self.sired = if file.animal.sex == Sex::Ewe {
            Vec::new()
        } else {
            by_year
                .into_iter()
                .rev()
                .map(|(y, (sure, maybe))| match maybe {
                    0 => phrase!("{y}: {sure} lambs"),
                    m => phrase!("{y}: {sure} lambs, {m} more in doubt"),
                })
                .collect()
        };
    }

    pub(super) fn figures(&self) -> Figures {
        self.figures.clone()
    }

    /// Shorter than a pedigree: the figures go below it, so that the life comes up.
    pub(super) fn is_short(&self) -> bool {
        self.lambings.rows.len() * 30 + self.trouble.len() * 27 < 210
    }

    pub(super) fn has_sired(&self) -> bool {
        !self.sired.is_empty()
    }

    /// How many lambs a ram sired in each year.
    pub(super) fn sired(&self, ui: &mut egui::Ui) {
        look::subheading(ui, "Sired");
        for line in &self.sired {
            ui.label(line);
        }
    }

    /// Her past lambings and what went wrong; gives one that was opened.
    pub(super) fn past_lambings(
        &mut self,
        ui: &mut egui::Ui,
        ctx: &Ctx<'_>,
        file: &AnimalFile,
    ) -> Option<RecordRef> {
        let metric = ctx.units() == Units::Metric;
        if self.lambings.rows.is_empty() {
            look::subheading(ui, "Past lambings");
            look::faint(ui, "None is written down. L writes one up.");
            return None;
        }
        let mut opened = None;
        look::subheading(ui, phrase!("Past lambings ({})", file.lambings_standing().count()));
        let columns = [
            Column::new("Day", 96.0),
            Column::new("Ram", 50.0).rest(),
            Column::new("Born", 46.0).right(),
            Column::new("Alive", 48.0).right(),
            Column::new("Reared", 62.0).right(),
            Column::new("Ease", 88.0),
            Column::new(if metric { "Birth, kg" } else { "Birth weights" }, 84.0).rest(),
            Column::new(if metric { "60 days, kg" } else { "At 60 days" }, 84.0),
        ];
        let size = egui::vec2(ui.available_width(), height(self.lambings.rows.len(), 1, 6));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            let table = RecordTable::new("Past lambings", &columns).single();
            for event in table.show(ui, &mut self.at_lambings, &self.lambings) {
                if let TableEvent::Opened(id) = event {
                    opened = Some(RecordRef::Lambing(id));
                }
            }
        });
        ui.spacing_mut().item_spacing.y = space::XS;
        if self.figures.young() > 0 {
            look::faint(ui, "Reared: so many to 60 days + so many still young.");
        }
        for (year, trouble) in &self.trouble {
            let mut job = egui::text::LayoutJob::default();
            let style = |face| {
                let font = egui::FontId::new(look::size::BODY, look::fonts::family(face));
                egui::text::TextFormat::simple(font, look::tokens(ui).ink)
            };
            job.append(&year.to_string(), 0.0, style(Face::Strong));
            job.append(trouble, space::S, style(Face::Sans));
            ui.add(egui::Label::new(job).wrap());
        }
        opened
    }

    /// The weights with their gains.
    pub(super) fn past_weights(&mut self, ui: &mut egui::Ui, out: &mut Vec<Intent>) {
        look::subheading(ui, phrase!("Weights ({})", self.weights.rows.len()));
        if self.weights.rows.is_empty() {
            look::faint(ui, "Not weighed yet. W writes a weight.");
            return;
        }
        if let Some(sixty) = &self.sixty {
            look::faint(ui, sixty);
        }
        let columns = [
            Column::new("Day", 100.0),
            Column::new("Weight", 90.0).right(),
            Column::new("Age, days", 80.0).right(),
            Column::new("A day since birth", 130.0).right(),
            Column::new("A day since last", 120.0).right(),
        ];
        let size = egui::vec2(ui.available_width(), height(self.weights.rows.len(), 1, 6));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            RecordTable::new("Weights", &columns).single().show(ui, &mut self.at_weights, &self.weights);
        });
        if let Some((name, drawn)) = &self.growth {
            ui.add_space(space::XS);
            growth_chart(ui, name, &drawn.chart, CHART, &mut self.chart);
            let of = Sitter { title: name, said: &drawn.chart.said, width: 760.0, height: None };
            save_picture(ui, &of, out, |ui| drawing(ui, &drawn.chart, 420.0));
        }
    }
}

impl Figures {
    /// Lambs too young to tell whether they are reared.
    fn young(&self) -> u32 {
        self.0.by_year.iter().map(|y| y.3).sum()
    }

    /// Beside the flock's of the same years, each with the number of lambs behind it.
    pub(super) fn view(&self, ui: &mut egui::Ui, ctx: &Ctx<'_>) {
        let f = &self.0;
        if f.lambings == 0 {
            return;
        }
        ui.add_space(space::S);
        look::subheading(ui, "Her figures");
        let per = |n: u32| phrase!("{n} ({:.2} a lambing)", f64::from(n) / f64::from(f.lambings));
        let young = self.young();
        let reared = if young > 0 { phrase!("{}, and {young} still young", f.reared) } else { per(f.reared) };
        let own = |m: Mean| {
            m.mean().map(|w| format!("{} ({})", w.show(ctx.units()), counted(m.n as usize, "lamb")))
        };
        let beside = |own: Mean, flock: Option<Weight>| {
            let (own, flock) = (own.mean()?, flock?);
            let more = own.grams() - flock.grams();
            let sign = if more < 0 { "−" } else { "+" };
            let diff = Weight::from_grams(more.abs()).filter(|_| more != 0);
            let diff = diff.map_or(phrase!("the same"), |d| phrase!("she {sign}{}", d.show(ctx.units())));
            Some(phrase!("flock {}; {diff}", flock.show(ctx.units())))
        };
        let rows = [
            ("Lambings", Some(f.lambings.to_string()), None),
            ("Lambs born", Some(per(f.born)), Some(phrase!("{} alive", f.alive))),
            ("Reared", Some(reared), Some(phrase!("to 60 days"))),
            ("Birth weight", own(f.birth), beside(f.birth, f.flock_birth)),
            ("60-day weight", own(f.sixty), beside(f.sixty, f.flock_sixty)),
        ];
        egui::Grid::new("figures").num_columns(3).min_row_height(0.0).spacing([space::M, 3.0]).show(
            ui,
            |ui| {
                for (what, hers, flock) in rows.into_iter().filter(|(_, hers, _)| hers.is_some()) {
                    look::faint(ui, what);
                    ui.label(hers.unwrap_or_default());
                    look::faint(ui, flock.unwrap_or_default());
                    ui.end_row();
                }
            },
        );
        let years: Vec<String> = f
            .by_year
            .iter()
            .rev()
            .map(|(y, born, reared, young)| match young {
                0 => phrase!("{y}: {born} born, {reared} reared"),
                n => phrase!("{y}: {born} born, {reared} reared, {n} still young"),
            })
            .collect();
        look::faint(ui, years.join(" · "));
        if f.flock_birth.is_some() || f.flock_sixty.is_some() {
            look::faint(ui, "Flock: mean of all lambs born in the same years.");
        }
    }
}

fn lambing(ctx: &Ctx<'_>, l: &hirsel_core::flock::Lambing) -> Row<LambingId> {
    let r = figures::lambing_row(ctx.flock, l, ctx.today);
    let units = ctx.units();
    let reared = if r.growing > 0 { format!("{} + {}", r.reared, r.growing) } else { r.reared.to_string() };
    // The head of the column has the unit.
    let short = |all: String| all.trim_end_matches(" kg").to_string();
    let birth = short(fields::weights_short(units, r.birth_weights.iter().flatten().copied()));
    let tenth = |w: &Weight| Weight::from_grams((w.grams() + 50) / 100 * 100).unwrap_or(*w);
    let sixty = short(fields::weights_short(units, r.sixty_day.iter().flatten().map(tenth)));
    let young = if r.growing > 0 { phrase!(", {} still young", r.growing) } else { String::new() };
    let said = phrase!(
        "{}: {} born, {} alive, {} reared{young}{}",
        l.at.day.words(),
        r.born,
        r.alive,
        r.reared,
        if r.trouble.is_empty() { String::new() } else { format!("; {}", r.trouble.join("; ")) }
    );
    let mut row = Row::new(l.id)
        .cell(Cell::text(l.at.day.words()), By::Number(l.at.day.since(ctx.today)), l.at.day.to_string())
        .text(r.ram.map(|id| ctx.flock.tag(id).to_string()).unwrap_or_default())
        .number(r.born.to_string(), Some(r.born.into()))
        .number(r.alive.to_string(), Some(r.alive.into()))
        .number(reared, Some(r.reared.into()))
        .text(r.ease.map(|e| e.words().to_string()).unwrap_or_default())
        .text(birth)
        .text(sixty)
        .said(if l.struck.is_some() { phrase!("struck out: {said}") } else { said });
    if l.struck.is_some() {
        row.cells = row.cells.into_iter().map(|(cell, by)| (cell.struck(), by)).collect();
    }
    row
}

fn weights(ctx: &Ctx<'_>, file: &AnimalFile) -> Vec<Row<usize>> {
    let units = ctx.units();
    let mut all: Vec<(Day, Weight)> = file.weights();
    all.reverse();
    all.into_iter()
        .enumerate()
        .map(|(n, (day, w))| {
            let g = gains(file, day, w);
            let last = g.since_last.map(|(l, _)| l);
            Row::new(n)
                .number(day.words(), Some(day.since(ctx.today)))
                .number(w.show(units), Some(w.grams()))
                .number(g.age.map(|a| a.to_string()).unwrap_or_default(), g.age)
                .number(g.since_birth.map(|b| b.show(units)).unwrap_or_default(), g.since_birth.map(|b| b.0))
                .number(last.map(|l| l.show(units)).unwrap_or_default(), last.map(|l| l.0))
        })
        .collect()
}
