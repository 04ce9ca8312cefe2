//! The finder: type a few letters of what you want done, and Enter does it. It lists what the page that is shown offers,
//! the parts of all pages, and the commands.

use super::{Desk, Stage, command::Command};
use crate::look::{self, Face, space};
use crate::pages::{PageId, sections};
use crate::parts::reach::{Live, Reach, Reached};
use crate::parts::{Field, Form, FormEvent, live};
use egui::{Align2, FontId, Id, Key, Modifiers, Rect, Role, Sense, Ui, Vec2, WidgetInfo, pos2};
use hirsel_core::handbook::trade::means;
use hirsel_core::phrase;

/// Keys of the finder, for the page of all keys.
pub(super) const KEYS: [(&str, &str); 3] =
    [("letters", "of what you want done, in any order"), ("↑ ↓", "choose"), ("Enter", "do it")];

/// What an entry does.
#[derive(Debug, Clone)]
enum Deed {
    Live(Live),
    Part(PageId, &'static str),
    Command(Command),
}

#[derive(Debug, Clone)]
struct Entry {
    deed: Deed,
    words: String,
    keys: String,
    /// Where it belongs, in a word.
    place: &'static str,
    /// Its words as they are written, where they are said otherwise.
    plain: Option<String>,
}

/// The finder while it is open.
#[derive(Debug)]
struct Open {
    text: String,
    at: usize,
    all: Vec<Entry>,
    /// Places in `all`, the best first.
    found: Vec<usize>,
    before: Option<Id>,
    fresh: bool,
    show: bool,
}

/// What the desk keeps of it.
#[derive(Debug, Default)]
pub(super) struct Kept {
    /// The page is being read; what had the keyboard.
    reading: Option<Option<Id>>,
    open: Option<Box<Open>>,
    /// What was chosen is done when the keyboard is back; frames until then.
    then: Option<(u8, Deed, Option<Id>)>,
}

impl Desk {
    /// Opens the finder, once it is read what the page offers; or closes it.
    pub(super) fn find_deed(&mut self, ctx: &egui::Context) {
        if self.finder.open.take().is_some() {
            live::hold(ctx, false);
        } else if ctx.memory(|m| m.top_modal_layer().is_none()) && self.finder.reading.is_none() {
            self.finder.reading = Some(ctx.memory(|m| m.focused()));
            Reach::look(ctx);
        }
    }

    /// Draws the finder, and does what was chosen.
    pub(super) fn finder(&mut self, ui: &mut Ui) {
        let ctx = ui.ctx().clone();
        self.do_chosen(&ctx);
        if let Some(before) = self.finder.reading
            && let Some(found) = Reach::taken(&ctx)
        {
            self.finder.reading = None;
            let all = self.entries(&ctx, found);
            let mut open =
                Open { text: String::new(), at: 0, found: Vec::new(), all, before, fresh: true, show: false };
            open.search();
            live::hold(&ctx, true);
            self.finder.open = Some(Box::new(open));
        }
        let Some(open) = &mut self.finder.open else { return };
        let (go, leave) = open.view(ui);
        let before = open.before;
        if let Some(deed) = go {
            self.close_finder(&ctx);
            self.finder.then = Some((5, deed, before));
            ctx.request_repaint();
        } else if leave {
            self.close_finder(&ctx);
            self.refocus = before.map(|id| (id, 3));
            ctx.request_repaint();
        }
    }

    fn close_finder(&mut self, ctx: &egui::Context) {
        self.finder.open = None;
        live::hold(ctx, false);
    }

    /// A button is pressed as if the keyboard had just left the field it was in, so that what is typed there counts.
    fn do_chosen(&mut self, ctx: &egui::Context) {
        let Some((frames, deed, before)) = &mut self.finder.then else { return };
        ctx.request_repaint();
        *frames -= 1;
        let presses = matches!(deed, Deed::Live(l) if l.how == Reached::Press);
        match (*frames, *before) {
            (2, Some(id)) if presses => ctx.memory_mut(|m| m.request_focus(id)),
            (1, Some(id)) if presses => ctx.memory_mut(|m| m.surrender_focus(id)),
            (0, _) => {
                let deed = deed.clone();
                self.finder.then = None;
                match deed {
                    Deed::Live(live) => Reach::go(ctx, &live),
                    Deed::Part(page, word) => {
                        self.go(page);
                        sections::wish(ctx, word);
                    }
                    Deed::Command(command) => self.command(ctx, command),
                }
            }
            _ => {}
        }
    }

    /// Everything that can be done now: of the page first, then its parts, then what can be done anywhere.
    fn entries(&self, ctx: &egui::Context, found: Vec<Live>) -> Vec<Entry> {
        let started = matches!(self.stage, Stage::Open(_));
        let everywhere = |c: &Command| {
            started
                || matches!(
                    c,
                    Command::Larger
                        | Command::Smaller
                        | Command::Theme
                        | Command::Contrast
                        | Command::Language
                        | Command::Help
                )
        };
        let commands: Vec<Entry> = Command::ALL
            .into_iter()
            .filter(|c| everywhere(c) && *c != Command::Finder)
            .map(|c| Entry {
                words: self.words_of(c),
                plain: Some(c.words().to_lowercase()),
                keys: c.key_words(ctx),
                place: if matches!(c, Command::Page(_)) { "page" } else { "anywhere" },
                deed: Deed::Command(c),
            })
            .collect();
        let here = match &self.stage {
            Stage::Open(open) => Some(open.pages.at),
            Stage::Start(_) => None,
        };
        let mut all: Vec<Entry> = Vec::new();
        for live in found {
            let around = ["Find", "Undo", "Redo"].contains(&live.name.as_str())
                || commands.iter().any(|c| c.words == live.name);
            let words = match live.how {
                Reached::Sort => phrase!("Sort by {}", &live.name),
                Reached::Columns => phrase!("Choose columns: {}", &table_name(&live.name)),
                Reached::Enter => phrase!("Go to: {}", &live.name),
                Reached::Press => live.name.clone(),
            };
            if !around && !all.iter().any(|e| e.words == words) {
                all.push(Entry {
                    words,
                    plain: None,
                    keys: live.keys.clone(),
                    place: "this page",
                    deed: Deed::Live(live),
                });
            }
        }
        let pages = PageId::ALL.into_iter().filter(|_| started);
        let (own, other): (Vec<PageId>, Vec<PageId>) = pages.partition(|p| Some(*p) == here);
        let trade = self.trade;
        let parts = |page: &PageId| {
            let page = *page;
            sections::parts(page).into_iter().map(move |word| Entry {
                words: format!("{}: {}", trade.said(page.words()), trade.said(word)),
                plain: Some(format!("{}: {}", page.words(), word).to_lowercase()),
                keys: String::new(),
                place: "part",
                deed: Deed::Part(page, word),
            })
        };
        all.extend(own.iter().flat_map(parts));
        all.extend(commands);
        all.extend(other.iter().flat_map(parts));
        all
    }

    /// The words of a command; what would be undone is named.
    fn words_of(&self, command: Command) -> String {
        let words = self.trade.said(command.words());
        let Stage::Open(open) = &self.stage else { return words.into_owned() };
        let of = match command {
            Command::Undo => open.undo.as_deref(),
            Command::Redo => open.redo.as_deref(),
            _ => None,
        };
        let first = |w: &str| super::chrome::lower_first(w);
        of.map_or_else(|| words.to_string(), |w| format!("{words} {}", first(w)))
    }
}

impl Entry {
    /// How far it is from what was typed: by its words, by those it is written in, or by words of any region that mean
    /// them.
    fn distance(&self, typed: &[&str]) -> Option<usize> {
        let words = self.words.to_lowercase();
        let plain = || self.plain.as_deref().and_then(|plain| distance(plain, typed));
        let meant = || {
            let text = self.plain.as_deref().unwrap_or(&words);
            let fits = |word: &&str| means(word, text) || distance(&words, &[word]).is_some();
            (!typed.is_empty() && typed.iter().all(fits)).then_some(4 * typed.len())
        };
        distance(&words, typed).or_else(plain).or_else(meant)
    }
}

impl Open {
    fn search(&mut self) {
        let asked = self.text.to_lowercase();
        let words: Vec<&str> = asked.split_whitespace().collect();
        let mut found: Vec<(usize, usize)> = Vec::new();
        for (n, entry) in self.all.iter().enumerate() {
            if let Some(far) = entry.distance(&words) {
                found.push((far, n));
            }
        }
        found.sort_unstable();
        self.found = found.into_iter().map(|(_, n)| n).collect();
        self.at = 0;
        self.show = true;
    }

    /// Draws it; gives what is to be done, or whether it is left.
    fn view(&mut self, ui: &Ui) -> (Option<Deed>, bool) {
        self.keys(ui);
        let id = Id::unique("finder");
        let room = ui.ctx().content_rect();
        let (width, height) = ((room.width() - 60.0).min(860.0), (room.height() - 190.0).clamp(90.0, 420.0));
        let area = egui::Modal::default_area(id).anchor(Align2::CENTER_BOTTOM, Vec2::new(0.0, -34.0));
        let mut go = None;
        let frame = super::dialog(ui).inner_margin(egui::Margin::symmetric(20, 14));
        let modal = egui::Modal::new(id).area(area).frame(frame).show(ui.ctx(), |ui| {
            ui.set_width(width);
            // The list grows up from its field, which stands where the keys were.
            let height = height.min(space::TARGET * self.found.len().max(1) as f32);
            let list = egui::ScrollArea::vertical().max_height(height).min_scrolled_height(height);
            let clicked = list.auto_shrink(false).show(ui, |ui| self.list(ui)).inner;
            ui.add_space(space::S);
            let mut form = Form::new(ui, "finder").label_width(96.0);
            let mut wish = self.fresh;
            form.focus_once(ui, &mut wish, "What to do");
            let mine = form.field_id("What to do");
            self.fresh &= !ui.memory(|m| m.has_focus(mine)) || ui.is_sizing_pass();
            let field =
                Field::new("What to do").width((width - 130.0).min(420.0)).example("a few letters of it");
            let before = self.text.clone();
            let response = form.field(ui, &field, &mut self.text).response;
            live::here(ui, &KEYS);
            if self.text != before {
                self.search();
            }
            if let Some(place) = self.found.get(self.at) {
                let row = row_id(*place);
                ui.ctx().accesskit_node_builder(response.id, |node| {
                    node.set_active_descendant(row.accesskit_id());
                });
            }
            let entered = form.finish(ui) == FormEvent::Submitted;
            if entered && self.found.is_empty() {
                self.fresh = true;
            }
            if let Some(n) = clicked.or(entered.then_some(self.at)) {
                go = self.found.get(n).and_then(|n| self.all.get(*n)).map(|e| e.deed.clone());
            }
        });
        (go, modal.should_close())
    }

    /// The keys that choose, taken before the field sees them.
    fn keys(&mut self, ui: &Ui) {
        let last = self.found.len().saturating_sub(1);
        let pressed = |key| ui.input_mut(|i| i.count_and_consume_key(Modifiers::NONE, key));
        let (down, up) = (pressed(Key::ArrowDown), pressed(Key::ArrowUp));
        let (page_down, page_up) = (pressed(Key::PageDown), pressed(Key::PageUp));
        let to = (self.at + down + 10 * page_down).min(last).saturating_sub(up + 10 * page_up);
        self.show |= to != self.at;
        self.at = to;
    }

    /// The entries found; gives the one that was clicked.
    fn list(&mut self, ui: &mut Ui) -> Option<usize> {
        if self.found.is_empty() {
            look::faint(
                ui,
                "Nothing here goes by these letters: take some away, or go to another page first",
            );
            return None;
        }
        let mut clicked = None;
        ui.spacing_mut().item_spacing.y = 0.0;
        for (n, place) in self.found.iter().enumerate() {
            let Some(entry) = self.all.get(*place) else { continue };
            let on = n == self.at;
            let (rect, _) =
                ui.allocate_exact_size(Vec2::new(ui.available_width(), space::TARGET), Sense::hover());
            let response = ui.interact(rect, row_id(*place), Sense::CLICK);
            let spoken = match (entry.keys.as_str(), entry.place) {
                ("", place) => format!("{}, {place}", entry.words),
                (keys, place) => format!("{}, {place}, {keys}", entry.words),
            };
            response.widget_info(|| WidgetInfo::selected(Role::ListBoxOption, true, on, &spoken));
            if on && std::mem::take(&mut self.show) {
                ui.scroll_to_rect(rect, None);
            }
            paint(ui, rect, entry, on, response.hovered());
            if response.clicked() {
                clicked = Some(n);
            }
        }
        clicked
    }
}

fn row_id(place: usize) -> Id {
    Id::unique("finder row").with(place)
}

/// One entry: its words, where it belongs, its keys. The one chosen has a bar and heavier letters besides its ground.
fn paint(ui: &Ui, rect: Rect, entry: &Entry, on: bool, hovered: bool) {
    if !ui.is_rect_visible(rect) {
        return;
    }
    let t = look::tokens(ui);
    let painter = ui.painter().with_clip_rect(rect.intersect(ui.clip_rect()));
    if on {
        painter.rect_filled(rect, space::ROUND, t.selection);
        painter.rect_filled(Rect::from_min_size(rect.min, Vec2::new(3.0, rect.height())), 1, t.accent);
    } else if hovered {
        painter.rect_filled(rect, space::ROUND, t.hover);
    }
    let font = |face, size| FontId::new(size, look::fonts::family(face));
    let face = if on { Face::Strong } else { Face::Sans };
    let middle = rect.center().y;
    let small = font(Face::Sans, look::size::SMALL);
    let keys = rect.right() - 12.0;
    let place = (keys - 110.0).max(rect.left() + 120.0);
    painter.text(pos2(keys, middle), Align2::RIGHT_CENTER, &entry.keys, small.clone(), t.ink);
    painter.text(pos2(place, middle), Align2::RIGHT_CENTER, entry.place, small, t.faint);
    let words = painter.with_clip_rect(rect.with_max_x(place - 80.0));
    words.text(
        pos2(rect.left() + 12.0, middle),
        Align2::LEFT_CENTER,
        &entry.words,
        font(face, look::size::BODY),
        t.ink,
    );
}

/// The name of a list without its count of rows.
fn table_name(spoken: &str) -> &str {
    spoken.split_once(", ").map_or(spoken, |(name, _)| name)
}

/// How far an entry is from what was typed: 0 where it begins so; none where a word is not in it.
fn distance(entry: &str, typed: &[&str]) -> Option<usize> {
    let mut sum = 0;
    for word in typed {
        sum += if entry.starts_with(word) {
            0
        } else if entry.split(|c: char| !c.is_alphanumeric()).any(|w| w.starts_with(word)) {
            1
        } else if entry.contains(word) {
            3
        } else {
            return None;
        };
    }
    Some(sum)
}

#[cfg(test)]
mod tests {
    use super::distance;

    #[test]
    fn the_nearest_is_what_begins_so() {
        assert_eq!(distance("save as a table…", &["sav"]), Some(0));
        assert_eq!(distance("save as a table…", &["tab"]), Some(1));
        assert_eq!(distance("save as a table…", &["able"]), Some(3));
        assert_eq!(distance("save as a table…", &["tab", "sa"]), Some(1));
        assert_eq!(distance("save as a table…", &["print"]), None);
        assert_eq!(distance("weights: growth", &[]), Some(0));
    }
}
