//! Facts as label and value, in one or more columns.

use super::stack::Block;
use crate::papers::rich;
use crate::papers::sheet::{Area, Face, Ink, Look, Page};
use crate::terms::speech::said;

/// One fact.
#[derive(Debug, Clone, Default)]
pub(crate) struct Fact {
    /// What it is.
    pub label: &'static str,
    /// Said first, in strong type: a tag.
    pub strong: String,
    /// The rest, in the names' face.
    pub rest: String,
    /// Not known: a line to write on, with this unit at its end.
    pub pencil: Option<&'static str>,
}

impl Fact {
    /// Longer values are parted over several facts, so that each fits even the smallest card.
    const MOST: usize = 120;

    /// A fact in plain words.
    pub fn new(label: &'static str, words: impl Into<String>) -> Self {
        Fact { label, rest: words.into(), ..Fact::default() }
    }

    /// A tag and a name.
    pub fn tagged(label: &'static str, tag: impl Into<String>, name: impl Into<String>) -> Self {
        Fact { label, strong: tag.into(), rest: name.into(), pencil: None }
    }

    /// Room to write it down.
    pub fn pencil(label: &'static str, unit: &'static str) -> Self {
        Fact { label, pencil: Some(unit), ..Fact::default() }
    }

    /// This fact, in pieces if it is long. The pieces after the first have no label.
    pub fn pieces(self) -> Vec<Fact> {
        if self.rest.chars().count() <= Self::MOST && self.strong.chars().count() <= Self::MOST {
            return vec![self];
        }
        let strong = chunks(&self.strong, Self::MOST).into_iter().map(|s| Fact::tagged("", s, ""));
        let rest = chunks(&self.rest, Self::MOST).into_iter().map(|s| Fact::new("", s));
        let mut all: Vec<Fact> = strong.chain(rest).collect();
        if let Some(first) = all.first_mut() {
            first.label = self.label;
        }
        all
    }
}

/// Parts text into pieces of at most so many characters, between words where it can.
fn chunks(words: &str, most: usize) -> Vec<String> {
    let mut all = Vec::new();
    let mut piece = String::new();
    let mut len = 0;
    for word in words.split_whitespace() {
        let letters: Vec<char> = word.chars().collect();
        for part in letters.chunks(most) {
            if len > 0 && len + 1 + part.len() > most {
                all.push(std::mem::take(&mut piece));
                len = 0;
            }
            if len > 0 {
                piece.push(' ');
                len += 1;
            }
            piece.extend(part);
            len += part.len();
        }
    }
    if len > 0 {
        all.push(piece);
    }
    all
}

/// Facts in columns, filled one column after another.
pub(crate) struct Facts {
    /// The facts in order.
    pub facts: Vec<Fact>,
    /// How many columns, at most.
    pub columns: usize,
    /// Type size of the values in points; labels are a little smaller.
    pub size_pt: f32,
}

/// One fact broken into lines.
struct Broken<'a> {
    fact: &'a Fact,
    lines: Vec<rich::RichLine>,
}

struct Column<'a> {
    label_width: f32,
    facts: Vec<Broken<'a>>,
}

impl Facts {
    fn looks(&self, scale: f32) -> (Look, Look, Look) {
        let size = self.size_pt * scale;
        (
            Look::new(Face::Sans, size * 0.86).ink(Ink::Grey),
            Look::new(Face::SansStrong, size),
            Look::new(Face::Serif, size),
        )
    }

    fn leading(&self, scale: f32) -> f32 {
        Look::new(Face::Serif, self.size_pt * scale).leading_mm() * 1.04
    }

    fn gutter(&self, scale: f32) -> f32 {
        self.size_pt * scale * 0.5
    }

    fn column_width(&self, width: f32, scale: f32) -> f32 {
        let n = self.columns.max(1) as f32;
        (width - (n - 1.0) * self.gutter(scale)) / n
    }

    /// The facts broken to the column width and dealt to the columns so that the tallest is as low as can be.
    fn dealt(&self, width: f32, scale: f32) -> Vec<Column<'_>> {
        let n = self.columns.max(1);
        let column_width = self.column_width(width, scale);
        let broken = |facts: &'_ [Fact]| -> Vec<usize> {
            self.column(facts, column_width, scale).facts.iter().map(|b| b.lines.len().max(1)).collect()
        };
        if n == 1 || self.facts.len() < 2 {
            return vec![self.column(&self.facts, column_width, scale)];
        }
        // Two columns at most in practice: try every cut.
        let cut = (1..self.facts.len())
            .min_by_key(|cut| {
                let (a, b) = self.facts.split_at(*cut);
                let (a, b) = (broken(a).iter().sum::<usize>(), broken(b).iter().sum::<usize>());
                (a.max(b), b > a)
            })
            .unwrap_or(0);
        let (a, b) = self.facts.split_at(cut);
        vec![self.column(a, column_width, scale), self.column(b, column_width, scale)]
    }

    fn column<'a>(&self, facts: &'a [Fact], width: f32, scale: f32) -> Column<'a> {
        let (label, strong, rest) = self.looks(scale);
        let widest = facts.iter().map(|f| label.width_mm(&said(f.label))).fold(0.0, f32::max);
        let label_width = if widest > 0.0 { widest + label.size_pt * 0.22 } else { 0.0 };
        let facts = facts
            .iter()
            .map(|fact| Broken {
                fact,
                lines: rich::wrap(&[(strong, &fact.strong), (rest, &fact.rest)], width - label_width),
            })
            .collect();
        Column { label_width, facts }
    }
}

impl Block for Facts {
    fn height(&self, width: f32, scale: f32) -> f32 {
        if self.facts.is_empty() {
            return 0.0;
        }
        let lines = self
            .dealt(width, scale)
            .iter()
            .map(|c| c.facts.iter().map(|b| b.lines.len().max(1)).sum::<usize>())
            .max();
        lines.unwrap_or(0) as f32 * self.leading(scale)
    }

    fn stretch(&self, width: f32, scale: f32) -> f32 {
        self.height(width, scale) * 0.35
    }

    fn paint(&self, page: &mut Page, area: Area, scale: f32) {
        let (label, _, rest) = self.looks(scale);
        let columns = self.dealt(area.w, scale);
        let wide = self.column_width(area.w, scale);
        let lines = columns.iter().map(|c| c.facts.iter().map(|b| b.lines.len().max(1)).sum::<usize>()).max();
        let leading = area.h / lines.unwrap_or(1).max(1) as f32;
        for (i, column) in columns.iter().enumerate() {
            let x = area.x + i as f32 * (wide + self.gutter(scale));
            // Text stands in the middle of its line's share of the height.
            let mut baseline = area.y + leading / 2.0 + rest.cap_mm() / 2.0;
            for Broken { fact, lines } in &column.facts {
                page.text(x, baseline, label, &said(fact.label));
                if let Some(unit) = fact.pencil {
                    let unit_width = if unit.is_empty() { 0.0 } else { label.width_mm(unit) + 1.0 };
                    let length = (wide - column.label_width - unit_width).clamp(4.0, 40.0);
                    page.rule(x + column.label_width, baseline + 0.5, length, 0.18, Ink::Rule);
                    page.text(x + column.label_width + length + 1.0, baseline, label, unit);
                    baseline += leading;
                    continue;
                }
                for line in lines {
                    rich::paint(page, x + column.label_width, baseline, line);
                    baseline += leading;
                }
                if lines.is_empty() {
                    baseline += leading;
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_values_are_parted_and_nothing_is_lost() {
        let note = "grazes by the beck, ".repeat(30);
        let pieces = Fact::new("Note", note.clone()).pieces();
        assert!(pieces.len() > 4);
        assert_eq!(pieces[0].label, "Note");
        assert!(pieces[1..].iter().all(|f| f.label.is_empty() && f.rest.chars().count() <= Fact::MOST));
        let all = pieces.iter().map(|f| f.rest.as_str()).collect::<Vec<_>>().join(" ");
        assert_eq!(all, note.trim());
        assert_eq!(chunks(&"x".repeat(250), 120).iter().map(String::len).collect::<Vec<_>>(), [120, 120, 10]);
    }
}
