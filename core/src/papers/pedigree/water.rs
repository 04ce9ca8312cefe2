//! Waters that run together: painting ancestors into an area of a page.

use super::super::sheet::{Area, Face, Ink, Look, Mark, Page};
use super::Source;
use super::particulars::{Along, along};
use crate::reckon::pedigree::{Place, Slot, Who, lay};

/// How the waters of a page are drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Form {
    /// The place all waters run to.
    pub root: Place,
    /// The last generation on the page, counted from the animal.
    pub last: u32,
    /// Type size of tags in points.
    pub size: f32,
    /// Width of the water of the root in millimetres.
    pub wide: f32,
    /// Animals outside the flock are marked with a word.
    pub outside: bool,
}

/// Length of the water all others run into.
const MOUTH: f32 = 12.0;

/// Steps of a bend.
const STEPS: usize = 22;

impl Form {
    /// Generations behind the root.
    fn behind(&self) -> u32 {
        self.last.saturating_sub(self.root.generation())
    }

    /// Width of the water of a place: its share of the blood.
    fn width(&self, place: Place) -> f32 {
        self.wide / (1u32 << (place.generation() - self.root.generation())) as f32
    }

    fn looks(&self, known: bool) -> [Look; 3] {
        let ink = if known { Ink::Black } else { Ink::Grey };
        let face = if known { Face::SansStrong } else { Face::SansItalic };
        [
            Look::new(face, self.size).ink(ink),
            Look::new(Face::Sans, self.size).ink(ink),
            Look::new(Face::Sans, self.size * 0.9).ink(Ink::Grey),
        ]
    }

    /// Generations behind a place on the page, and whether the columns are narrow.
    fn rich(&self, place: Place) -> (u32, bool) {
        (self.last - place.generation(), self.last >= 5)
    }
}

/// Left edge and width of each generation's reaches, and the bend to the next, from the root back: (x, width).
fn columns(form: &Form, area: Area) -> Vec<(f32, f32)> {
    let n = form.behind();
    // A bend is wider where waters come from farther apart.
    let bend = |g: u32| 3.4 + 20.0 / f32::from(1u16 << g.min(8));
    let mouth = if form.root == Place::SELF { MOUTH } else { 0.0 };
    let bends: f32 = (1..=n).map(bend).sum();
    let shares: f32 = (1..=n).map(|g| if g == n { 1.3 } else { 1.0 }).sum::<f32>()
        + if form.root == Place::SELF { 0.0 } else { 1.0 };
    let one = (area.w - bends - mouth) / shares.max(1.0);
    let mut right = area.right();
    let mut all = Vec::new();
    for g in 0..=n {
        let wide = match g {
            0 if form.root == Place::SELF => mouth,
            _ if g == n && g > 0 => one * 1.3,
            _ => one,
        };
        if g > 0 {
            right -= bend(g);
        }
        right -= wide;
        all.push((right, wide));
    }
    all
}

/// Lines above and below the water of a place.
fn lines(form: &Form, place: Place, a: &Along) -> (usize, usize) {
    if form.root == Place::SELF && place == form.root {
        return (0, 0);
    }
    let above = if a.apart && !a.name.is_empty() { 2 } else { 1 };
    (above, a.below.len())
}

/// Space between the water and the words along it.
const AIR: f32 = 0.5;

/// The smallest size of tags, in points.
const LEAST: f32 = 7.0;

/// Paints the ancestors of `form.root` into the area, in the middle of its height; in smaller type where they would
/// not fit.
pub(super) fn paint(page: &mut Page, source: &Source<'_>, form: &Form, area: Area) {
    let mut form = *form;
    while form.size - 0.2 >= LEAST && slots_of(source, &form, 0.0).1 > area.h {
        form.size -= 0.2;
    }
    let form = &form;
    let words = |p: Place| along(source, p, form.rich(p), form.outside);
    let (slots, least) = slots_of(source, form, 0.0);
    let ends = slots.iter().filter(|(p, _)| p.generation() == form.last).count().max(2) as f32;
    let gap = ((area.h - least) / ends).clamp(0.0, 5.0);
    let (slots, whole) = slots_of(source, form, gap);
    let top = area.y + ((area.h - whole) / 2.0).max(0.0);
    let columns = columns(form, area);
    let at = |p: Place, s: &Slot| {
        let (x, w) = columns[(p.generation() - form.root.generation()) as usize];
        (x, w, top + s.middle)
    };
    let found = |p: Place| slots.iter().find(|(q, _)| *q == p).map(|(q, s)| at(*q, s));
    for (p, s) in &slots {
        let (x, w, y) = at(*p, s);
        let wide = form.width(*p);
        let sure = matches!(source.tree.who(*p), Who::Animal(_));
        let long = if sure { w } else { w.min(30.0) };
        let from = x + w - long;
        reach(page, &[(from, y), (x + w, y)], wide, wide, sure);
        if let Some((cx, _, cy)) = p.child().filter(|_| *p != form.root).and_then(found) {
            // The sire's water fills the upper half of the bed, the dam's the lower.
            let side = if p.is_sire() { -0.5 } else { 0.5 };
            let to = (cx, cy + side * wide);
            reach(page, &bend((x + w, y), to), wide, wide, sure);
        }
    }
    for (p, s) in &slots {
        let (x, w, y) = at(*p, s);
        name(page, source, form, *p, &words(*p), (x, w, y));
    }
}

/// Height to be kept for a place: the words above and below its water. Far back they lie close, so that the water
/// is not in the middle of them.
fn height(source: &Source<'_>, form: &Form, place: Place) -> f32 {
    let [tag, _, small] = form.looks(true);
    let a = along(source, place, form.rich(place), form.outside);
    let (above, below) = lines(form, place, &a);
    let (up, down) = (above as f32 * tag.leading_mm(), below as f32 * small.leading_mm());
    let words = if form.rich(place).0 == 0 { up + down } else { 2.0 * up.max(down) };
    words + form.width(place) + AIR * 2.0
}

/// Slots of the places of the page, and the height of them all.
fn slots_of(source: &Source<'_>, form: &Form, gap: f32) -> (Vec<(Place, Slot)>, f32) {
    lay(source.tree, form.root, |p| height(source, form, p), gap)
}

/// Points of a bend that leaves level and arrives level.
fn bend(from: (f32, f32), to: (f32, f32)) -> Vec<(f32, f32)> {
    let middle = (from.0 + to.0) / 2.0;
    (0..=STEPS)
        .map(|i| {
            let t = i as f32 / STEPS as f32;
            let u = 1.0 - t;
            let (a, b, c, d) = (u * u * u, 3.0 * u * u * t, 3.0 * u * t * t, t * t * t);
            (a * from.0 + (b + c) * middle + d * to.0, (a + b) * from.1 + (c + d) * to.1)
        })
        .collect()
}

/// A water along its points: its bed, and its two banks where it is wide enough to have them.
fn reach(page: &mut Page, points: &[(f32, f32)], from: f32, to: f32, sure: bool) {
    const BANK: f32 = 0.16;
    let last = points.len().saturating_sub(1).max(1) as f32;
    let wide = |i: usize| from + (to - from) * i as f32 / last;
    let line = |from, to, width_mm, dash, ink| Mark::Line { from, to, width_mm, dash, ink };
    if !sure {
        let bent = points.len() > 2;
        for (i, w) in points.windows(2).enumerate() {
            // Every second step of a bend: a dash would begin anew with each.
            if bent && i % 2 == 0 {
                page.marks.push(line(w[0], w[1], 0.25, None, Ink::Rule));
            } else if !bent {
                page.marks.push(line(w[0], w[1], 0.25, Some((0.9, 0.9)), Ink::Rule));
            }
        }
        return;
    }
    if from.max(to) < 0.75 {
        for (i, w) in points.windows(2).enumerate() {
            page.marks.push(line(w[0], w[1], wide(i).max(0.28), None, Ink::Accent));
        }
        return;
    }
    // Across the water at each point.
    let across = |i: usize| {
        let (a, b) = (points[i.saturating_sub(1)], points[(i + 1).min(points.len() - 1)]);
        let (dx, dy) = (b.0 - a.0, b.1 - a.1);
        let long = (dx * dx + dy * dy).sqrt().max(1e-6);
        (-dy / long, dx / long)
    };
    for (i, w) in points.windows(2).enumerate() {
        // A little longer than the step, so that no light seam shows between two.
        let (dx, dy) = (w[1].0 - w[0].0, w[1].1 - w[0].1);
        let long = (dx * dx + dy * dy).sqrt().max(1e-6);
        let over = if points.len() > 2 { 0.12 / long } else { 0.0 };
        let end = (w[1].0 + dx * over, w[1].1 + dy * over);
        page.marks.push(line(w[0], end, wide(i), None, Ink::Pale));
    }
    for side in [-0.5f32, 0.5] {
        let bank = |i: usize| {
            let (nx, ny) = across(i);
            (points[i].0 + nx * side * wide(i), points[i].1 + ny * side * wide(i))
        };
        for i in 0..points.len() - 1 {
            page.marks.push(line(bank(i), bank(i + 1), BANK, None, Ink::Accent));
        }
    }
}

/// The words along a water, and the sign of an ancestor that repeats.
fn name(
    page: &mut Page,
    source: &Source<'_>,
    form: &Form,
    place: Place,
    a: &Along,
    (x, w, y): (f32, f32, f32),
) {
    if form.root == Place::SELF && place == form.root {
        // Its particulars stand above; here its tag, if that is short enough.
        let tag = source.flock.tag(source.tree.of);
        let size = super::super::text::fit_size(Face::SansStrong, tag, w, 4.0, form.size * 1.15);
        if size >= 7.4 {
            let look = Look::new(Face::SansStrong, size);
            page.text_right(x + w, y - form.wide / 2.0 - AIR - 0.7, look, tag);
        }
        return;
    }
    let [tag, plain, small] = form.looks(a.known);
    let half = form.width(place) / 2.0 + AIR;
    // Words of the unknown stand over their own short water.
    let x = if a.known { x } else { x + w - w.min(30.0) };
    let room = if a.known { w } else { w.min(30.0) };
    let sign = source.tree.number(place).map_or(0.0, |_| tag.cap_mm() + 2.6);
    let (above, _) = lines(form, place, a);
    let baseline = y - half - tag.size_pt * 0.24 * super::super::sheet::MM_PER_PT;
    let first = baseline - (above - 1) as f32 * tag.leading_mm();
    if let Some(n) = source.tree.number(place) {
        number(page, x, first, tag, n);
    }
    if above == 2 || a.name.is_empty() {
        let (look, words) = source.fit(tag, &a.tag, room - sign, &a.whole);
        page.text(x + sign, first, look, &words);
        if above == 2 {
            let (look, words) = source.fit(plain, &a.name, room, &a.whole);
            page.text(x, baseline, look, &words);
        }
    } else {
        // Tag and name on one line: the tag has the right of way.
        let (look, words) = source.fit(tag, &a.tag, room - sign, &a.whole);
        let end = page.text(x + sign, first, look, &words) + tag.width_mm(" ");
        let left = x + room - end;
        if left > 6.0 {
            let (look, words) = source.fit(plain, &a.name, left, &a.whole);
            page.text(end, first, look, &words);
        } else {
            source.cut.borrow_mut().push(a.whole.clone());
        }
    }
    let mut under = y + half + small.cap_mm() + 0.5;
    for words in &a.below {
        let (look, words) = source.fit(small, words, room, &a.whole);
        page.text(x, under, look, &words);
        under += small.leading_mm();
    }
}

/// The sign of an ancestor in whom two lines meet: its number in a ring.
pub(super) fn number(page: &mut Page, x: f32, baseline: f32, look: Look, n: usize) {
    let side = look.cap_mm() + 1.5;
    let middle = baseline - look.cap_mm() / 2.0;
    page.outline(Area::new(x, middle - side / 2.0, side, side), side / 2.0, Ink::Black, 0.25);
    let small = Look::new(Face::SansStrong, look.size_pt * 0.78);
    page.text_middle(x + side / 2.0, middle + small.cap_mm() / 2.0, small, &n.to_string());
}
