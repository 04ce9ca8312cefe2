//! Three generations of ancestors, drawn as a tree that opens to the right; each ancestor opens its own leaf.
//! Behind an ancestor that is not known nothing is drawn.

use super::super::{Ctx, Intent};
use crate::look::{self, Face, Tokens, space, tokens};
use egui::text::{LayoutJob, TextFormat, TextWrapping};
use egui::{CornerRadius, FontId, Painter, Pos2, Rect, Role, Sense, Stroke, StrokeKind, Vec2, WidgetInfo};
use hirsel_core::flock::{AnimalFile, Sire};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Sex};

/// Height of a box with one line, and with the name below the tag.
const LOW: f32 = 26.0;
const HIGH: f32 = 44.0;
const GAP: f32 = 5.0;
const GENERATIONS: usize = 3;
const WORDS: [[&str; 2]; GENERATIONS] =
    [["sire", "dam"], ["grandsire", "granddam"], ["great-grandsire", "great-granddam"]];

/// One place of the tree.
struct Place {
    id: Option<AnimalId>,
    /// Sign and tag.
    tag: String,
    /// Name, or the rams of which one is the sire.
    name: String,
    spoken: String,
}

/// Draws the tree; an ancestor that was chosen is opened.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        look::subheading(ui, "Pedigree");
        ui.add_space(space::S);
        let button = super::head::key_button(ui, "Drawn in full", 0);
        if button.on_hover_text(phrase!("With more generations and its offspring (D)")).clicked() {
            out.push(Intent::PedigreeOf(file.animal.id));
        }
    });
    let tree = grow(ctx, file.animal.id);
    let depth = tree.iter().rposition(|g| g.iter().any(Option::is_some)).map_or(1, |n| n + 1);
    let row = if depth == GENERATIONS { LOW + GAP } else { HIGH + GAP };
    let height = row * (1 << depth) as f32;
    let (area, _) = ui.allocate_exact_size(Vec2::new(ui.available_width(), height), Sense::hover());
    let gap = space::M;
    // The last generation has one line for tag and name, so it is the widest.
    let room = area.width() - gap * (GENERATIONS as f32 - 1.0);
    let rect = |generation: usize, i: usize| {
        let (before, part) = match depth {
            GENERATIONS => [(0.0, 0.31), (0.31, 0.31), (0.62, 0.38)][generation],
            _ => [(0.0, 0.5), (0.5, 0.5)][generation.min(1)],
        };
        let (x, wide) = (area.left() + before * room + generation as f32 * gap, part * room);
        let y = area.top() + height / (2 << generation) as f32 * (i as f32 + 0.5);
        let tall = if generation + 1 == GENERATIONS { LOW } else { HIGH };
        Rect::from_center_size(Pos2::new(x + wide / 2.0, y), Vec2::new(wide, tall))
    };
    for (generation, places) in tree.iter().enumerate().take(depth) {
        for (i, place) in places.iter().enumerate() {
            let Some(place) = place else { continue };
            let here = rect(generation, i);
            if generation > 0 {
                branch(ui, rect(generation - 1, i / 2), here);
            }
            if draw(ui, here, place, (generation, i))
                && let Some(id) = place.id
            {
                out.push(Intent::Open(id));
            }
        }
    }
}

/// From a child to one of its parents.
fn branch(ui: &egui::Ui, child: Rect, parent: Rect) {
    let stroke = Stroke::new(1.0, tokens(ui).edge);
    let (from, to) = (child.right_center(), parent.left_center());
    let bend = (from.x + to.x) / 2.0;
    let path = [from, Pos2::new(bend, from.y), Pos2::new(bend, to.y), to];
    for ends in path.windows(2) {
        if let [a, b] = ends {
            ui.painter().line_segment([*a, *b], stroke);
        }
    }
}

/// The generations, nearest first; of each child the sire comes before the dam. Nothing behind the unknown.
fn grow(ctx: &Ctx<'_>, id: AnimalId) -> Vec<Vec<Option<Place>>> {
    let mut children = vec![Some(id)];
    let mut tree = Vec::with_capacity(GENERATIONS);
    for words in WORDS {
        let mut places = Vec::with_capacity(children.len() * 2);
        for child in &children {
            match child {
                Some(id) => places.extend(parents(ctx, *id, words).map(Some)),
                None => places.extend([None, None]),
            }
        }
        children = places.iter().map(|p| p.as_ref().and_then(|p| p.id)).collect();
        tree.push(places);
    }
    tree
}

fn parents(ctx: &Ctx<'_>, child: AnimalId, [sire, dam]: [&'static str; 2]) -> [Place; 2] {
    let none = |word: &'static str| Place {
        id: None,
        tag: phrase!("{} not known", if word == dam { "♀" } else { "♂" }),
        name: String::new(),
        spoken: phrase!("{word}: not known"),
    };
    let known = |id: AnimalId, word: &'static str| {
        ctx.flock.animal(id).map_or_else(
            || none(word),
            |p| Place {
                id: Some(id),
                tag: format!("{} {}", if p.sex == Sex::Ewe { "♀" } else { "♂" }, p.tag()),
                name: p.name.as_deref().unwrap_or_default().to_string(),
                spoken: phrase!("{}: {}", look::said(word), p.title()),
            },
        )
    };
    let Some(a) = ctx.flock.animal(child) else { return [none(sire), none(dam)] };
    let father = match &a.sire {
        Sire::Unknown => none(sire),
        Sire::Known(id) => known(*id, sire),
        Sire::OneOf(rams) => {
            let tags: Vec<&str> = rams.iter().map(|r| ctx.flock.tag(*r)).collect();
            let tags = tags.join(", ");
            Place { id: None, spoken: phrase!("{sire}: one of {tags}"), tag: "♂ one of".into(), name: tags }
        }
    };
    let mother = a.blood_dam().map_or_else(|| none(dam), |id| known(id, dam));
    [father, mother]
}

fn draw(ui: &egui::Ui, rect: Rect, place: &Place, key: (usize, usize)) -> bool {
    let t = tokens(ui);
    let open = place.id.is_some();
    let sense = if open { Sense::CLICK | Sense::FOCUSABLE } else { Sense::hover() };
    let response = ui.interact(rect, ui.scope_id().with(("ancestor", key)), sense);
    let role = if open { Role::Button } else { Role::Label };
    response.widget_info(|| WidgetInfo::labeled(role, true, &place.spoken));
    if response.gained_focus() {
        response.scroll_to_me(None);
    }
    let (fill, edge, ink) = match (open, response.hovered()) {
        (true, true) => (t.button_hover, t.ink, t.ink),
        (true, false) => (t.raised, t.edge, t.ink),
        (false, _) => (t.ground, t.rule, t.faint),
    };
    let painter = ui.painter();
    painter.rect(rect, CornerRadius::same(space::ROUND), fill, Stroke::new(1.0, edge), StrokeKind::Inside);
    write(painter, rect, place, t, ink);
    let clicked = response.clicked();
    response.on_hover_text(crate::look::spoken(&place.spoken));
    clicked
}

/// The tag stands out; the name is below it, or behind it where there is room for one line only.
fn write(painter: &Painter, rect: Rect, place: &Place, t: &Tokens, ink: egui::Color32) {
    let face = if place.id.is_some() { Face::Strong } else { Face::Sans };
    let format =
        |face, ink| TextFormat::simple(FontId::new(look::size::SMALL, look::fonts::family(face)), ink);
    let below = !place.name.is_empty() && rect.height() >= HIGH;
    let mut job = LayoutJob::default();
    job.append(&place.tag, 0.0, format(face, ink));
    if !place.name.is_empty() {
        let before = if below { "\n" } else { " " };
        let name_ink = if place.id.is_some() { t.faint } else { ink };
        job.append(&format!("{before}{}", place.name), 0.0, format(Face::Sans, name_ink));
    }
    job.wrap = TextWrapping {
        max_width: rect.width() - space::S - space::XS,
        max_rows: if below { 2 } else { 1 },
        break_anywhere: true,
        overflow_character: Some('…'),
    };
    let galley = painter.layout_job(job);
    let at = rect.left_center() + Vec2::new(space::S, -galley.size().y / 2.0);
    painter.galley(at, galley, ink);
}
