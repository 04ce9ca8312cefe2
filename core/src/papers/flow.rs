//! Pages filled from top to bottom, with a running head and foot on each.

use crate::phrase;

use super::sheet::{Area, Face, Ink, Look, Page, SheetSize, Turn};

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
    /// The heading set last, until something else follows it.
    heading: Option<Heading>,
}

/// A heading in strong type with the paragraphs below it: it goes to the next page with the table it stands above.
struct Heading {
    /// Page and count of marks before it.
    page: usize,
    marks: usize,
    /// Marks of the page when it was set: whatever was painted since keeps it where it is.
    after: usize,
    from: f32,
    to: f32,
    /// Room above each paragraph, its look and words.
    all: Vec<(f32, Look, String)>,
}

/// Headings with their paragraphs are at most so tall; a longer text is no heading.
const HEADING: f32 = 30.0;
/// Room between a heading and what it stands above.
const BELOW: f32 = 4.0;

impl<'a> Flow<'a> {
    /// Opens the first page. `margins` are left, top, right and bottom in millimetres; the foot is painted inside the
    /// bottom margin.
    pub fn new(sheet: SheetSize, turn: Turn, margins: [f32; 4], head: Head<'a>) -> Self {
        let (w, h) = sheet.size_mm(turn);
        let [left, top, right, bottom] = margins;
        let body = Area::new(0.0, 0.0, w, h).inside(left, top, right, bottom);
        let mut flow = Flow { pages: Vec::new(), y: top, body, sheet, turn, head, heading: None };
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

    /// Turns the page unless so much height is left, and takes the heading that stands just above along.
    pub fn need_with_heading(&mut self, height: f32) {
        if height <= self.left() {
            return;
        }
        let at = self.pages.len().saturating_sub(1);
        let heading = self.heading.take().filter(|h| {
            // High on a page it may stand: what follows is too tall for any place but the next page's top.
            let marks = self.pages.last().map_or(0, |p| p.marks.len());
            let near = h.page == at && h.after == marks && self.y - h.to <= BELOW;
            near && h.from > self.body.y + self.body.h / 3.0
        });
        let Some(heading) = heading else { return self.turn_page() };
        let gap = self.y - heading.to;
        self.page().marks.truncate(heading.marks);
        self.turn_page();
        for (above, look, words) in heading.all {
            self.y += above;
            self.set(look, &words);
        }
        self.y += gap;
    }

    /// Sets a paragraph over the whole width and moves below it; long ones run on to the next page.
    pub fn paragraph(&mut self, look: Look, words: &str) {
        if self.heading.is_some() && !words.trim().is_empty() {
            self.need_with_heading(look.leading_mm());
        }
        let (page, from) = (self.pages.len().saturating_sub(1), self.y);
        let marks = self.page().marks.len();
        self.set(look, words);
        if self.pages.len() != page + 1 {
            self.heading = None;
            return;
        }
        let strong = matches!(look.face, Face::SansStrong | Face::SerifStrong);
        let after = self.page().marks.len();
        let runs_on = |h: &Heading| {
            h.page == page && h.after == marks && from - h.to <= BELOW && self.y - h.from <= HEADING
        };
        match self.heading.take().filter(runs_on) {
            Some(mut h) if !words.trim().is_empty() => {
                h.all.push((from - h.to, look, words.to_owned()));
                (h.to, h.after) = (self.y, after);
                self.heading = Some(h);
            }
            Some(h) => self.heading = Some(h),
            None if strong => {
                let all = vec![(0.0, look, words.to_owned())];
                self.heading = Some(Heading { page, marks, after, from, to: self.y, all });
            }
            None => {}
        }
    }

    fn set(&mut self, look: Look, words: &str) {
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
