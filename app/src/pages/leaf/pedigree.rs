//! Three generations of ancestors, drawn as a tree that opens to the right; each ancestor opens its own leaf.

use super::super::{Ctx, Intent};
use crate::look::{self, Face, space, tokens};
use egui::{CornerRadius, FontId, Rect, Role, Sense, Stroke, StrokeKind, Vec2, WidgetInfo};
use hirsel_core::flock::{AnimalFile, Sire};
use hirsel_core::terms::{AnimalId, Sex};

const BOX: f32 = 25.0;
const GAP: f32 = 4.0;
const GENERATIONS: usize = 3;

/// One place of the tree.
#[derive(Clone)]
struct Place {
    id: Option<AnimalId>,
    text: String,
    spoken: String,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, out: &mut Vec<Intent>) {
    look::subheading(ui, "Pedigree");
    let rows = 1 << GENERATIONS;
    let height = rows as f32 * (BOX + GAP);
    let (area, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
    let gap = space::M;
    let wide = (area.width() - gap * (GENERATIONS as f32 - 1.0)) / GENERATIONS as f32;
    let t = tokens(ui);
    let mut above: Vec<Option<AnimalId>> = vec![Some(file.animal.id)];
    let mut centres: Vec<egui::Pos2> = Vec::new();
    for generation in 0..GENERATIONS {
        let mut next = Vec::new();
        let mut now = Vec::new();
        let count = 2 << generation;
        let each = height / count as f32;
        let x = area.left() + generation as f32 * (wide + gap);
        for (n, child) in above.iter().enumerate() {
            for (side, place) in parents(ctx, *child, generation).into_iter().enumerate() {
                let i = n * 2 + side;
                let y = area.top() + each * (i as f32 + 0.5);
                let rect = Rect::from_center_size(egui::pos2(x + wide / 2.0, y), Vec2::new(wide, BOX));
                if let Some(from) = centres.get(n) {
                    let stroke = Stroke::new(1.0, t.edge);
                    let mid = from.x + gap / 2.0;
                    let painter = ui.painter();
                    painter.line_segment([*from, egui::pos2(mid, from.y)], stroke);
                    painter.line_segment([egui::pos2(mid, from.y), egui::pos2(mid, y)], stroke);
                    painter.line_segment([egui::pos2(mid, y), egui::pos2(x, y)], stroke);
                }
                if draw(ui, rect, &place, (generation, i))
                    && let Some(id) = place.id
                {
                    out.push(Intent::Open(id));
                }
                now.push(egui::pos2(rect.right(), y));
                next.push(place.id);
            }
        }
        above = next;
        centres = now;
    }
}

/// Sire above, dam below.
fn parents(ctx: &Ctx<'_>, child: Option<AnimalId>, generation: usize) -> [Place; 2] {
    const WORDS: [[&str; 2]; 3] =
        [["sire", "dam"], ["grandsire", "granddam"], ["great-grandsire", "great-granddam"]];
    let words = WORDS[generation.min(2)];
    let none =
        |word: &str| Place { id: None, text: "not known".into(), spoken: format!("{word}: not known") };
    let Some(a) = child.and_then(|c| ctx.flock.animal(c)) else {
        return [none(words[0]), none(words[1])];
    };
    let known = |id: AnimalId, word: &str| {
        ctx.flock.animal(id).map_or_else(
            || none(word),
            |p| Place {
                id: Some(id),
                text: format!("{} {}", if p.sex == Sex::Ewe { "♀" } else { "♂" }, p.title()),
                spoken: format!("{word}: {}", p.title()),
            },
        )
    };
    let sire = match &a.sire {
        Sire::Unknown => none(words[0]),
        Sire::Known(id) => known(*id, words[0]),
        Sire::OneOf(rams) => {
            let tags: Vec<&str> = rams.iter().map(|r| ctx.flock.tag(*r)).collect();
            let text = format!("♂ one of {}", tags.join(", "));
            Place { id: None, spoken: format!("{}: one of {}", words[0], tags.join(", ")), text }
        }
    };
    let dam = a.blood_dam().map_or_else(|| none(words[1]), |id| known(id, words[1]));
    [sire, dam]
}

fn draw(ui: &mut egui::Ui, rect: Rect, place: &Place, key: (usize, usize)) -> bool {
    let t = tokens(ui);
    let sense = if place.id.is_some() { Sense::CLICK } else { Sense::hover() };
    let sense = if place.id.is_some() { sense | Sense::FOCUSABLE } else { sense };
    let response = ui.interact(rect, ui.scope_id().with(("ancestor", key)), sense);
    let role = if place.id.is_some() { Role::Button } else { Role::Label };
    response.widget_info(|| WidgetInfo::labeled(role, true, &place.spoken));
    let (fill, edge, ink) = match (place.id.is_some(), response.hovered()) {
        (true, true) => (t.button_hover, t.ink, t.ink),
        (true, false) => (t.raised, t.edge, t.ink),
        (false, _) => (t.ground, t.rule, t.faint),
    };
    let painter = ui.painter();
    painter.rect(rect, CornerRadius::same(space::ROUND), fill, Stroke::new(1.0, edge), StrokeKind::Inside);
    let font = FontId::new(look::size::SMALL, look::fonts::family(Face::Sans));
    let mut job = egui::text::LayoutJob::simple_singleline(place.text.clone(), font, ink);
    job.wrap = egui::text::TextWrapping::truncate_at_width(rect.width() - space::S - space::XS);
    let galley = painter.layout_job(job);
    let at = rect.left_center() + Vec2::new(space::S, -galley.size().y / 2.0);
    painter.galley(at, galley, ink);
    let clicked = response.clicked();
    response.on_hover_text(&place.spoken);
    clicked
}
