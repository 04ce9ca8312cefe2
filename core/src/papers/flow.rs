//! Pages filled from top to bottom, with a running head and foot on each.

use crate::phrase;

use super::sheet::{Area, Ink, Look, Page, SheetSize, Turn};

/// Paints the head of a page (given its number, from 0) and says where the body begins.
pub type Head<'a> = &'a dyn Fn(&mut Page, usize) -> f32;

/// Pages being filled.
pub struct Flow<'a> {
    /// The finished pages and the one being filled.
    pub pages: Vec<Page>,
    /// Where the next thing goes, millimetres from the top.
    pub y: f32,
    body: Area,
    sheet: SheetSize,
    turn: Turn,
    head: Head<'a>,
}

impl<'a> Flow<'a> {
    /// Opens the first page. `margins` are left, top, right and bottom in millimetres; the foot is painted inside the
    /// bottom margin.
    pub fn new(sheet: SheetSize, turn: Turn, margins: [f32; 4], head: Head<'a>) -> Self {
        let (w, h) = sheet.size_mm(turn);
        let [left, top, right, bottom] = margins;
        let body = Area::new(0.0, 0.0, w, h).inside(left, top, right, bottom);
        let mut flow = Flow { pages: Vec::new(), y: top, body, sheet, turn, head };
        flow.turn_page();
        flow
    }

    /// Ends this page and opens the next.
    pub fn turn_page(&mut self) {
        let mut page = Page::new(self.sheet, self.turn);
        self.y = (self.head)(&mut page, self.pages.len()).max(self.body.y);
        self.pages.push(page);
    }

    /// The page being filled.
    pub fn page(&mut self) -> &mut Page {
        if self.pages.is_empty() {
            self.turn_page();
        }
        let last = self.pages.len() - 1;
        &mut self.pages[last]
    }

    /// The part of the page between the margins.
    pub fn body(&self) -> Area {
        self.body
    }

    /// Height left on this page.
    pub fn left(&self) -> f32 {
        self.body.bottom() - self.y
    }

    /// Turns the page unless so much height is left.
    pub fn need(&mut self, height: f32) {
        if height > self.left() {
            self.turn_page();
        }
    }

    /// Sets a paragraph over the whole width and moves below it; long ones run on to the next page.
    pub fn paragraph(&mut self, look: Look, words: &str) {
        for line in look.wrap(words, self.body.w) {
            self.need(look.leading_mm());
            let (x, baseline) = (self.body.x, self.y + look.leading_mm() * 0.78);
            self.page().text(x, baseline, look, &line);
            self.y += look.leading_mm();
        }
    }

    /// Ends the filling: paints 'Page 2 of 5' and a short `remark` at the foot of every page, and gives the pages.
    pub fn finish(mut self, look: Look, remark: &str) -> Vec<Page> {
        let of = self.pages.len();
        let body = self.body;
        for (i, page) in self.pages.iter_mut().enumerate() {
            foot(page, body, look, (i + 1, of), remark);
        }
        self.pages
    }
}

/// Paints 'Page 2 of 5' and a short `remark` at the foot of a page whose body is `body`.
pub fn foot(page: &mut Page, body: Area, look: Look, (nth, of): (usize, usize), remark: &str) {
    let baseline = body.bottom() + 5.5;
    page.rule(body.x, body.bottom() + 1.6, body.w, 0.15, Ink::Pale);
    page.text_right(body.right(), baseline, look, &phrase!("Page {nth} of {of}"));
    page.text(body.x, baseline, look, remark);
}
