//! Lines of text in more than one look: a tag in strong type followed by a name.

use super::sheet::{Look, Page};

/// One line: runs from left to right, each with its look.
pub(super) type RichLine = Vec<(Look, String)>;

/// Breaks runs into lines no wider than `width`, at spaces and at the joints of runs, over-long words anywhere.
pub(super) fn wrap(runs: &[(Look, &str)], width: f32) -> Vec<RichLine> {
    let mut lines: Vec<RichLine> = Vec::new();
    let mut line: RichLine = Vec::new();
    let mut used = 0.0;
    for (look, words) in runs {
        for word in words.split([' ', '\t', '\n', '\r']).filter(|w| !w.is_empty()) {
            let space = look.width_mm(" ");
            let mut parts = look.wrap(word, width).into_iter().peekable();
            while let Some(part) = parts.next() {
                let wide = look.width_mm(&part);
                if !line.is_empty() && used + space + wide > width + 0.001 {
                    lines.push(std::mem::take(&mut line));
                    used = 0.0;
                }
                if !line.is_empty() {
                    used += space;
                }
                match line.last_mut() {
                    Some((last, run)) if last == look => {
                        run.push(' ');
                        run.push_str(&part);
                    }
                    Some(_) => line.push((*look, format!(" {part}"))),
                    None => line.push((*look, part)),
                }
                used += wide;
                if parts.peek().is_some() {
                    lines.push(std::mem::take(&mut line));
                    used = 0.0;
                }
            }
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// Paints one line; returns where it ends.
pub(super) fn paint(page: &mut Page, x: f32, baseline: f32, line: &RichLine) -> f32 {
    line.iter().fold(x, |x, (look, words)| page.text(x, baseline, *look, words))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::sheet::Face;

    #[test]
    fn looks_mix_on_a_line_and_long_words_break() {
        let (strong, serif) = (Look::new(Face::SansStrong, 9.0), Look::new(Face::Serif, 9.0));
        let lines = wrap(&[(strong, "0231"), (serif, "Bramble of the Hill")], 25.0);
        assert_eq!(lines[0][0], (strong, "0231".to_string()));
        assert_eq!(lines[0][1].0, serif);
        assert!(lines.len() > 1);
        let long = "x".repeat(60);
        let lines = wrap(&[(strong, "a"), (serif, &long), (strong, "b")], 30.0);
        let all: String = lines.iter().flatten().map(|(_, w)| w.trim()).collect();
        assert_eq!(all, format!("a{long}b"));
        for line in &lines {
            assert!(line.iter().map(|(l, w)| l.width_mm(w)).sum::<f32>() <= 30.01, "{line:?}");
        }
    }
}
