//! Ten years ahead: two small charts with bands, and what they say in words.

use super::super::super::picture::save_picture;
use super::super::super::{Ctx, Intent};
use crate::look::{self, Tokens, fonts::family, size, space, tokens};
use crate::parts::picture::Sitter;
use egui::{Align2, FontId, Pos2, Rect, Sense, Shape, Stroke, Vec2, WidgetInfo, pos2};
use hirsel_core::phrase;
use hirsel_core::reckon::mating::{Ahead, Band, Course, percent};

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    ui.add_space(space::S);
    if let Some(done) = ctx.pairs.looking_ahead {
        super::working(ui, done, "Looking ten years ahead", out);
        return;
    }
    let Some(ahead) = &ctx.pairs.ahead else {
        look::paragraph(ui, "The look ahead was stopped: find the pairs anew to see it.");
        return;
    };
    egui::ScrollArea::vertical().id_salt("years").auto_shrink(false).show(ui, |ui| {
        let both = [
            ("Inbreeding of each year’s lambs", words(ahead, false), false),
            ("Mean kinship of the breeding flock", words(ahead, true), true),
        ];
        let wide = ui.available_width() > 760.0;
        let one = |ui: &mut egui::Ui, (title, words, kinship): &(&'static str, String, bool)| {
            look::subheading(ui, *title);
            let pick = |c: &Course| if *kinship { c.kinship.clone() } else { c.inbreeding.clone() };
            chart(ui, title, &pick(&ahead.chosen), &pick(&ahead.random), words);
            look::paragraph(ui, words);
        };
        if wide {
            ui.columns(2, |c| {
                for (ui, which) in c.iter_mut().zip(&both) {
                    let plain = egui::Layout::top_down(egui::Align::LEFT);
                    ui.with_layout(plain, |ui| one(ui, which));
                }
            });
        } else {
            both.iter().for_each(|which| one(ui, which));
        }
        let said = format!("{} {}", both[0].1, both[1].1);
        let of = Sitter { title: "Ten years ahead", said: &said, width: 560.0, height: None };
        save_picture(ui, &of, out, |ui| both.iter().for_each(|which| one(ui, which)));
        ui.add_space(space::S);
        given(ui, ahead);
    });
}

/// What stands at the end, in words.
fn words(ahead: &Ahead, kinship: bool) -> String {
    let last = |c: &Course| if kinship { c.kinship.last().copied() } else { c.inbreeding.last().copied() };
    let (Some(with), Some(without)) = (last(&ahead.chosen), last(&ahead.random)) else {
        return String::new();
    };
    let years = ahead.spec.years;
    let range = |b: Band| {
        phrase!("{} (eight runs in ten {} to {})", percent(b.middle), percent(b.low), percent(b.high))
    };
    match kinship {
        false => phrase!(
            "After {} crops the lambs would be {} inbred if each year’s pairs are the least related ones, and {} if they are joined at random under the same numbers.",
            years,
            range(with),
            range(without)
        ),
        true => phrase!(
            "Mean kinship is {} now; after {} crops it would be {}, and {} at random. Pairing holds back inbreeding; only more rams or keeping young of rare blood holds back this.",
            percent(ahead.kinship_now),
            years,
            range(with),
            range(without)
        ),
    }
}

/// What was taken as given.
fn given(ui: &mut egui::Ui, ahead: &Ahead) {
    let s = &ahead.spec;
    let own = |n: usize, what: &'static str| {
        if n > 0 { phrase!(" (from {n} of the flock’s own {what})") } else { String::new() }
    };
    look::faint(
        ui,
        phrase!(
            "Taken as given: {} lambs reared a ewe and year{}; a ewe is kept for {} crops{}, a ram for {}; {} young ewes and {} young rams are kept each year, picked by chance, with their first lambs at {}. {} runs; the same question gives the same answer. Half the runs lie under the line, eight in ten within the band.",
            s.lambs,
            own(s.from[0], "lambings"),
            s.ewe_crops,
            own(s.from[1], "ewes that are gone"),
            s.ram_crops,
            s.young_ewes,
            s.young_rams,
            if s.first_crop == 1 { phrase!("one year") } else { phrase!("{} years", s.first_crop) },
            s.runs,
        ),
    );
}

/// A step of the scale in percent that gives three to six lines.
fn step(top: f64) -> f64 {
    [0.5, 1.0, 2.0, 5.0, 10.0, 20.0].into_iter().find(|s| top * 100.0 / s <= 5.0).unwrap_or(25.0) / 100.0
}

fn chart(ui: &mut egui::Ui, title: &str, with: &[Band], without: &[Band], words: &str) {
    let t = tokens(ui);
    let wide = ui.available_width().min(560.0);
    let (whole, response) = ui.allocate_exact_size(Vec2::new(wide, 210.0), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(egui::Role::Image, true, format!("{title}. {words}")));
    let top = with.iter().chain(without).map(|b| b.high).fold(0.005, f64::max);
    let each = step(top);
    let top = (top / each).ceil() * each;
    let plot = Rect::from_min_max(whole.min + Vec2::new(44.0, 10.0), whole.max - Vec2::new(86.0, 26.0));
    let years = with.len().max(2);
    let at = |year: usize, v: f64| {
        let x = plot.left() + plot.width() * year as f32 / (years - 1) as f32;
        pos2(x, plot.bottom() - plot.height() * (v / top) as f32)
    };
    let font = FontId::new(size::SMALL, family(look::Face::Sans));
    let paint = ui.painter();
    let mut line = 0.0;
    while line <= top + 1e-9 {
        let y = at(0, line).y;
        paint.hline(plot.x_range(), y, Stroke::new(1.0, t.rule));
        let text =
            if each < 0.01 { format!("{:.1} %", line * 100.0) } else { format!("{:.0} %", line * 100.0) };
        paint.text(pos2(plot.left() - 6.0, y), Align2::RIGHT_CENTER, text, font.clone(), t.faint);
        line += each;
    }
    for year in 0..with.len() {
        let x = at(year, 0.0).x;
        paint.text(
            pos2(x, plot.bottom() + 6.0),
            Align2::CENTER_TOP,
            (year + 1).to_string(),
            font.clone(),
            t.faint,
        );
    }
    band(paint, without, &at, t.plain_ground);
    band(paint, with, &at, t.accent_ground);
    let points = |all: &[Band]| all.iter().enumerate().map(|(n, b)| at(n, b.middle)).collect::<Vec<Pos2>>();
    let (a, b) = (points(with), points(without));
    paint.extend(Shape::dashed_line(&b, Stroke::new(2.0, t.faint), 7.0, 5.0));
    paint.line(a.clone(), Stroke::new(2.5, t.accent));
    names(paint, t, a.last().copied(), b.last().copied(), &font);
}

fn band(paint: &egui::Painter, all: &[Band], at: &dyn Fn(usize, f64) -> Pos2, ground: egui::Color32) {
    for (n, two) in all.windows(2).enumerate() {
        let [l, r] = two else { continue };
        let points = vec![at(n, l.high), at(n + 1, r.high), at(n + 1, r.low), at(n, l.low)];
        paint.add(Shape::convex_polygon(points, ground, Stroke::NONE));
    }
}

/// The lines' names at their ends, kept apart.
fn names(paint: &egui::Painter, t: &Tokens, a: Option<Pos2>, b: Option<Pos2>, font: &FontId) {
    let (Some(a), Some(mut b)) = (a, b) else { return };
    let mut a_at = a;
    if (a.y - b.y).abs() < 18.0 {
        let middle = (a.y + b.y) / 2.0;
        let up = if b.y <= a.y { -9.0 } else { 9.0 };
        (b.y, a_at.y) = (middle + up, middle - up);
    }
    let right = |p: Pos2| p + Vec2::new(8.0, 0.0);
    paint.text(right(a_at), Align2::LEFT_CENTER, "as chosen", font.clone(), t.accent);
    paint.text(right(b), Align2::LEFT_CENTER, "at random", font.clone(), t.faint);
}
