//! The blocks every card has: head with the big tag and its code, title, warning, caution, lines for notes.

use super::facts::Fact;
use super::stack::Block;
use crate::papers::qr::Code;
use crate::papers::rich;
use crate::papers::sheet::{Area, Face, Ink, Look, Page};
use crate::papers::text;
use crate::papers::who::Held;
use crate::phrase;
use crate::terms::speech::said;

/// The big tag at the left, its QR code at the right. Tag and code share top and baseline.
pub(crate) struct Head {
    /// Small words above the tag: the first part of a long official number, or 'continued'.
    lead: String,
    /// What is read from afar.
    tag: String,
    code: Option<Code>,
    /// Largest height of the tag's capitals, and side of the code.
    cap: f32,
    code_side: f32,
    lead_look: Look,
}

impl Head {
    /// A long tag is parted: its last group, the one people call an animal by, is set large.
    pub fn new(tag: &str, cap: f32, code_side: f32, lead_pt: f32) -> Self {
        let (lead, main) = parted(tag);
        Head {
            lead: lead.to_owned(),
            tag: main.to_owned(),
            code: Code::of(tag),
            cap,
            code_side,
            lead_look: Look::new(Face::SansStrong, lead_pt).ink(Ink::Grey),
        }
    }

    /// A smaller head for a card that continues another: no code, half the height.
    pub fn continued(tag: &str, cap: f32, lead_pt: f32) -> Self {
        let mut head = Head::new(tag, cap * 0.5, 0.0, lead_pt);
        head.lead = phrase!("{} continued", head.lead).trim().to_owned();
        head.code = None;
        head
    }

    fn lead_height(&self) -> f32 {
        if self.lead.is_empty() { 0.0 } else { self.lead_look.leading_mm() }
    }

    /// Width the code takes, with the light border on its left.
    fn code_width(&self) -> f32 {
        self.code.as_ref().map_or(0.0, |code| self.code_side + code.quiet_mm(self.code_side))
    }

    fn tag_size(&self, width: f32) -> f32 {
        text::fit_size(Face::SansStrong, &self.tag, width - self.code_width(), self.cap, 999.0)
    }

    /// How far signs of the tag reach below its baseline, as the stroke of `0412/26-1` does: that much is kept free.
    fn depth(&self, cap: f32) -> f32 {
        if self.tag.contains(|c: char| "/gjpqyQ,;()".contains(c)) { 0.2 * cap } else { 0.0 }
    }
}

/// Splits a long tag into what may be small and what must be large.
pub(super) fn parted(tag: &str) -> (&str, &str) {
    const SHORT: usize = 10;
    if tag.chars().count() <= SHORT {
        return ("", tag);
    }
    let group =
        tag.rfind([' ', '-', '/']).map(|i| i + 1).filter(|i| (3..=8).contains(&tag[*i..].chars().count()));
    let at = group.or_else(|| tag.char_indices().rev().nth(4).map(|(i, _)| i)).unwrap_or(0);
    let at = at + tag[at..].find(|c: char| !" -/".contains(c)).unwrap_or(0);
    (tag[..at].trim_end(), &tag[at..])
}

impl Block for Head {
    fn height(&self, width: f32, _scale: f32) -> f32 {
        // The tag keeps its size whatever the rest must do.
        let cap = text::cap_height_mm(Face::SansStrong, self.tag_size(width));
        // Half the light border below; the gap to the next block is the other half.
        let code =
            self.code.as_ref().map_or(0.0, |code| self.code_side + 0.5 * code.quiet_mm(self.code_side));
        (self.lead_height() + cap + self.depth(cap)).max(code)
    }

    fn paint(&self, page: &mut Page, area: Area, _scale: f32) {
        let size = self.tag_size(area.w);
        let look = Look::new(Face::SansStrong, size);
        if !self.lead.is_empty() {
            page.text(area.x, area.y + self.lead_look.cap_mm(), self.lead_look, &self.lead);
        }
        let bottom = area.bottom() - self.depth(text::cap_height_mm(Face::SansStrong, size));
        // A little to the left, so that the figure's stroke and not its side bearing stands on the edge.
        page.text(area.x - size * 0.012, bottom, look, &self.tag);
        if let Some(code) = &self.code {
            code.paint(page, area.right() - self.code_side, area.y, self.code_side);
        }
    }
}

/// Sign and words of the sex in strong type, then birth type and weight.
pub(crate) struct Title {
    /// ♀ or ♂; may be empty.
    pub sign: &'static str,
    /// What it is.
    pub strong: String,
    /// What else is said of it.
    pub rest: String,
    /// Type size in points.
    pub size_pt: f32,
}

impl Title {
    fn lines(&self, width: f32, scale: f32) -> (Look, f32, Vec<rich::RichLine>) {
        let strong = Look::new(Face::SansStrong, self.size_pt * scale);
        let sign = strong.size(strong.size_pt * 1.35);
        let indent =
            if self.sign.is_empty() { 0.0 } else { sign.width_mm(self.sign) + strong.size_pt * 0.12 };
        let rest = Look::new(Face::Sans, strong.size_pt);
        (sign, indent, rich::wrap(&[(strong, &self.strong), (rest, &self.rest)], width - indent))
    }
}

impl Block for Title {
    fn height(&self, width: f32, scale: f32) -> f32 {
        let (sign, _, lines) = self.lines(width, scale);
        lines.len() as f32 * sign.leading_mm() / 1.25
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let (sign, indent, lines) = self.lines(area.w, scale);
        let leading = sign.leading_mm() / 1.25;
        let mut baseline = area.y + leading * 0.78;
        if !self.sign.is_empty() {
            page.text(area.x, baseline + sign.size_pt * 0.02, sign, self.sign);
        }
        for line in &lines {
            rich::paint(page, area.x + indent, baseline, line);
            baseline += leading;
        }
    }
}

/// A warning in white on black: read at a glance, also in black and white.
pub(crate) struct Alert {
    /// The words.
    pub words: String,
    /// Type size in points.
    pub size_pt: f32,
}

impl Alert {
    /// The warning of an animal under withdrawal, and facts for products whose names are too long for it. Neither if
    /// it is clear.
    pub fn words_of(held: &Held) -> (String, Vec<Fact>) {
        const MOST: usize = 150;
        if held.days.is_empty() {
            return (String::new(), Vec::new());
        }
        let all = phrase!("Under withdrawal. {}.", held.words());
        if all.chars().count() <= MOST {
            return (all, Vec::new());
        }
        let facts = held.products.iter().flat_map(|product| Fact::new("Given", product.as_str()).pieces());
        (phrase!("Under withdrawal. {}.", held.days), facts.collect())
    }

    fn parts(&self, width: f32, scale: f32) -> (Look, f32, f32, Vec<String>) {
        let look = Look::new(Face::SansStrong, self.size_pt * scale).ink(Ink::White);
        let pad = look.size_pt * 0.14;
        let indent = look.width_mm("⚠ ") + pad * 0.5;
        (look, pad, indent, look.wrap(&self.words, width - 2.4 * pad - indent))
    }
}

impl Block for Alert {
    fn height(&self, width: f32, scale: f32) -> f32 {
        let (look, pad, _, lines) = self.parts(width, scale);
        if lines.is_empty() { 0.0 } else { lines.len() as f32 * look.leading_mm() + 1.3 * pad }
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let (look, pad, indent, lines) = self.parts(area.w, scale);
        if lines.is_empty() {
            return;
        }
        page.fill(area, pad * 0.8, Ink::Black);
        let mut baseline = area.y + 0.65 * pad + look.leading_mm() * 0.77;
        page.text(area.x + 1.2 * pad, baseline, look, "⚠");
        for line in lines {
            page.text(area.x + 1.2 * pad + indent, baseline, look, &line);
            baseline += look.leading_mm();
        }
    }
}

/// Small print at the foot.
pub(crate) struct Caution {
    /// The words.
    pub words: String,
    /// Type size in points.
    pub size_pt: f32,
}

impl Block for Caution {
    fn height(&self, width: f32, scale: f32) -> f32 {
        let look = Look::new(Face::SansItalic, self.size_pt * scale.max(0.8));
        look.wrap(&self.words, width).len() as f32 * look.leading_mm()
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let look = Look::new(Face::SansItalic, self.size_pt * scale.max(0.8)).ink(Ink::Grey);
        let mut baseline = area.y + look.leading_mm() * 0.76;
        for line in look.wrap(&self.words, area.w) {
            page.text(area.x, baseline, look, &line);
            baseline += look.leading_mm();
        }
    }
}

/// Lines to write on, as many as the spare room holds.
pub(crate) struct Notes {
    /// Size of the word 'Notes' in points.
    pub size_pt: f32,
    /// Distance of the lines in millimetres.
    pub step: f32,
}

impl Block for Notes {
    fn height(&self, _width: f32, _scale: f32) -> f32 {
        0.0
    }

    fn stretch(&self, _width: f32, _scale: f32) -> f32 {
        f32::INFINITY
    }

    fn paint(&self, page: &mut Page, area: Area, _scale: f32) {
        // Leave the gap to the next block free.
        let lines = ((area.h - 2.0) / self.step).floor() as usize;
        if lines == 0 {
            return;
        }
        let look = Look::new(Face::Sans, self.size_pt).ink(Ink::Grey);
        let step = (area.h - 2.0) / lines as f32;
        page.text(area.x, area.y + step - 1.2, look, &said("Notes"));
        for i in 1..=lines {
            let from = if i == 1 { look.width_mm(&said("Notes")) + 2.0 } else { 0.0 };
            page.rule(area.x + from, area.y + step * i as f32, area.w - from, 0.18, Ink::Rule);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::parted;

    #[test]
    fn long_tags_are_parted_before_the_group_people_say() {
        for (tag, lead, main) in [
            ("0412", "", "0412"),
            ("H26/0412", "", "H26/0412"),
            ("0412/26-2", "", "0412/26-2"),
            ("UK 0123456 00412", "UK 0123456", "00412"),
            ("826012345600412", "8260123456", "00412"),
            ("MEADOW-26-1", "MEADOW-", "26-1"),
            ("žžžžžžžžžžžž", "žžžžžžž", "žžžžž"),
        ] {
            assert_eq!(parted(tag), (lead, main));
        }
    }
}
