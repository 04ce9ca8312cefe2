//! Lambs in rows, on the card of their ewe.

use super::blocks::parted;
use super::stack::Block;
use crate::papers::sheet::{Area, Face, Ink, Look, Page};
use crate::terms::speech::said;

/// One lamb.
#[derive(Debug, Clone, Default)]
pub(crate) struct LambRow {
    /// Its tag.
    pub tag: String,
    /// ♀ or ♂.
    pub sign: &'static str,
    /// Sex in words.
    pub sex: String,
    /// Birth weight; empty leaves a line to write on.
    pub weight: String,
    /// Colour, marks, foster, bottle, dead: whatever else must be known.
    pub remarks: String,
    /// Born dead or died: the row is greyed and no weight is asked for.
    pub gone: bool,
}

/// The lambs of a ewe.
pub(crate) struct LambRows {
    /// In order of birth, fostered ones last.
    pub rows: Vec<LambRow>,
    /// Type size of the tags in points.
    pub size_pt: f32,
}

struct Spans {
    sex: f32,
    weight: f32,
    remarks: f32,
}

/// A row broken into lines, each with its look.
struct Broken {
    tags: Vec<(Look, String)>,
    weight: Vec<(Look, String)>,
    remarks: Vec<(Look, String)>,
    tall: f32,
}

fn stack_of(lines: &[(Look, String)]) -> f32 {
    lines.iter().map(|(look, _)| look.leading_mm()).sum()
}

impl LambRows {
    fn looks(&self, scale: f32) -> (Look, Look, Look) {
        let size = self.size_pt * scale;
        (
            Look::new(Face::SansStrong, size * 1.15),
            Look::new(Face::Sans, size),
            Look::new(Face::Sans, size * 0.86).ink(Ink::Grey),
        )
    }

    fn spans(&self, width: f32, scale: f32) -> Spans {
        let (tag, plain, small) = self.looks(scale);
        let em = plain.size_pt * 0.3528;
        let widest = |f: &dyn Fn(&LambRow) -> f32| self.rows.iter().map(f).fold(0.0, f32::max);
        let tags = widest(&|r| {
            let (lead, main) = parted(&r.tag);
            tag.width_mm(main).max(small.width_mm(lead))
        });
        let tags = tags.min(width * 0.3);
        let sexes = widest(&|r| plain.width_mm(r.sign) + em * 0.4 + plain.width_mm(&r.sex)).min(width * 0.26);
        let weights =
            widest(&|r| plain.width_mm(&r.weight)).max(plain.width_mm(&said("00.00 kg"))).min(width * 0.2);
        let sex = tags + em;
        let weight = sex + sexes + em;
        Spans { sex, weight, remarks: weight + weights + em }
    }

    fn broken(&self, row: &LambRow, width: f32, scale: f32) -> Broken {
        let (tag, plain, small) = self.looks(scale);
        let spans = self.spans(width, scale);
        // A long tag in two lines, as in the head of the card: the group people say is the larger.
        let (lead, main) = parted(&row.tag);
        let room = spans.sex - 0.5;
        let set = |look: Look, words: &str, room: f32| -> Vec<(Look, String)> {
            look.wrap(words, room).into_iter().map(|line| (look, line)).collect()
        };
        let mut tags = set(small, lead, room);
        tags.extend(set(tag, main, room));
        let weight = set(plain, &row.weight, spans.remarks - spans.weight);
        let remarks = set(plain, &row.remarks, width - spans.remarks);
        let tall = [&tags, &weight, &remarks]
            .into_iter()
            .map(|lines| stack_of(lines))
            .fold(plain.leading_mm(), f32::max);
        Broken { tags, weight, remarks, tall: tall + plain.size_pt * 0.09 }
    }

    fn head(&self, scale: f32) -> f32 {
        self.looks(scale).2.leading_mm() * 1.1
    }
}

impl Block for LambRows {
    fn height(&self, width: f32, scale: f32) -> f32 {
        if self.rows.is_empty() {
            return 0.0;
        }
        self.head(scale) + self.rows.iter().map(|row| self.broken(row, width, scale).tall).sum::<f32>()
    }

    fn stretch(&self, width: f32, scale: f32) -> f32 {
        if self.rows.is_empty() { 0.0 } else { (self.height(width, scale) - self.head(scale)) * 0.5 }
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        if self.rows.is_empty() {
            return;
        }
        let (_, plain, small) = self.looks(scale);
        let spans = self.spans(area.w, scale);
        let head = self.head(scale);
        page.rule(area.x, area.y, area.w, 0.35, Ink::Black);
        for (x, words) in
            [(0.0, "Lamb"), (spans.sex, "Sex"), (spans.weight, "Weight"), (spans.remarks, "Remarks")]
        {
            page.text(area.x + x, area.y + head * 0.86, small, words);
        }
        let least = self.height(area.w, scale) - head;
        let grow = if least > 0.0 { (area.h - head) / least } else { 1.0 };
        let mut y = area.y + head;
        for row in &self.rows {
            let broken = self.broken(row, area.w, scale);
            let tall = broken.tall * grow;
            let ink = if row.gone { Ink::Grey } else { Ink::Black };
            let middle = y + tall / 2.0;
            let lines = |page: &mut Page, x: f32, lines: &[(Look, String)]| {
                let mut top = middle - stack_of(lines) / 2.0;
                for (look, line) in lines {
                    let ink = if look.ink == Ink::Grey { look.ink } else { ink };
                    let baseline = top + look.leading_mm() / 2.0 + look.cap_mm() / 2.0;
                    page.text(x, baseline, look.ink(ink), line);
                    top += look.leading_mm();
                }
            };
            lines(page, area.x, &broken.tags);
            let baseline = middle + plain.cap_mm() / 2.0;
            let after = page.text(area.x + spans.sex, baseline, plain.ink(ink), row.sign);
            let gap = if row.sign.is_empty() { 0.0 } else { plain.size_pt * 0.12 };
            page.text(after + gap, baseline, plain.ink(ink), &row.sex);
            if broken.weight.is_empty() && !row.gone {
                let length = (spans.remarks - spans.weight - 2.0).min(20.0);
                page.rule(area.x + spans.weight, baseline + 0.5, length, 0.18, Ink::Rule);
            }
            lines(page, area.x + spans.weight, &broken.weight);
            lines(page, area.x + spans.remarks, &broken.remarks);
            y += tall;
            page.rule(area.x, y, area.w, 0.12, Ink::Pale);
        }
    }
}
