//! A sentence taken apart: what is fixed, and where something is filled in.

/// A stretch of a sentence.
#[derive(Debug, PartialEq, Eq)]
pub enum Part {
    /// Fixed text.
    Text(String),
    /// Here something is filled in.
    Hole(Hole),
}

/// Where something is filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Hole {
    /// What.
    pub what: What,
    /// In which form: what stands behind the colon.
    pub form: String,
    /// Whether it stands between quotation marks, `'{typed}'`: what is quoted is given, and never reworded.
    pub quoted: bool,
    /// As it is written between the brackets.
    written: String,
}

impl Hole {
    /// What stands between its brackets.
    pub fn text(&self) -> &str {
        &self.written
    }
}

/// What is filled in.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum What {
    /// The one given at this place, from nought.
    Place(usize),
    /// The one of this name.
    Name(String),
}

/// Takes a sentence apart.
pub fn read(sentence: &str) -> Result<Vec<Part>, String> {
    let (mut parts, mut text, mut next) = (Vec::new(), String::new(), 0);
    let mut chars = sentence.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '{' | '}' if chars.peek() == Some(&c) => {
                chars.next();
                text.push(c);
            }
            '{' => {
                let mut inner = String::new();
                loop {
                    match chars.next() {
                        Some('}') => break,
                        Some(c) => inner.push(c),
                        None => return Err("a bracket is not closed".into()),
                    }
                }
                let quoted = matches!(
                    (text.chars().last(), chars.peek()),
                    (Some('\''), Some('\'')) | (Some('‘'), Some('’'))
                );
                if !text.is_empty() {
                    parts.push(Part::Text(std::mem::take(&mut text)));
                }
                parts.push(Part::Hole(Hole { quoted, ..hole(inner, &mut next)? }));
            }
            '}' => return Err("a bracket closes that was not opened".into()),
            c => text.push(c),
        }
    }
    if !text.is_empty() {
        parts.push(Part::Text(text));
    }
    Ok(parts)
}

fn hole(written: String, next: &mut usize) -> Result<Hole, String> {
    let (what, form) = match written.split_once(':') {
        Some((what, form)) => (what.trim(), form),
        None => (written.trim(), ""),
    };
    if form.contains('$') || form.contains('*') {
        return Err("widths and places are written out, not taken from what is given".into());
    }
    let what = if what.is_empty() {
        *next += 1;
        What::Place(*next - 1)
    } else if let Ok(place) = what.parse() {
        What::Place(place)
    } else {
        What::Name(what.to_owned())
    };
    Ok(Hole { what, form: form.to_owned(), quoted: false, written })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shape(sentence: &str) -> Result<String, String> {
        let one = |p: &Part| match p {
            Part::Text(t) => format!("'{t}'"),
            Part::Hole(Hole { what: What::Place(n), form, .. }) => format!("{n}:{form}"),
            Part::Hole(Hole { what: What::Name(n), form, .. }) => format!("{n}:{form}"),
        };
        Ok(read(sentence)?.iter().map(one).collect::<Vec<_>>().join(" "))
    }

    #[test]
    fn sentences_are_taken_apart_as_format_does() {
        for (sentence, parts) in [
            ("plain", "'plain'"),
            ("{} of {}", "0: ' of ' 1:"),
            ("{n:.1} kg, {0}{0}", "n:.1 ' kg, ' 0: 0:"),
            ("{{as it is}} {x}", "'{as it is} ' x:"),
            ("", ""),
        ] {
            assert_eq!(shape(sentence).as_deref(), Ok(parts), "{sentence}");
        }
        let quoted = |p: &Part| matches!(p, Part::Hole(h) if h.quoted);
        let parts = read("'{typed}' and {}' and '{}").unwrap_or_default();
        assert_eq!(parts.iter().filter(|p| quoted(p)).count(), 1);
        for wrong in ["{", "}", "{a", "a}", "{:>w$}", "{:.*}"] {
            assert!(shape(wrong).is_err(), "{wrong}");
        }
    }
}
