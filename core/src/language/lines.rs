//! A catalogue's lines brought into the form that is read: one message after another with one empty line between, without
//! what only translators need. What is no line of a catalogue is told of by its number.

/// The lines as they are read.
pub(super) fn tidied(text: &str) -> Result<String, String> {
    let mut out = String::with_capacity(text.len());
    // Whether a message has its translation, so that what follows begins another.
    let (mut begun, mut whole) = (false, false);
    for (n, line) in text.lines().enumerate() {
        let line = line.trim();
        let wrong = || {
            format!(
                "line {} is no line of a file of translations: {}",
                n + 1,
                line.chars().take(40).collect::<String>()
            )
        };
        if line.is_empty() || (line.starts_with('#') && !line.starts_with("#, ")) {
            continue;
        }
        if line.starts_with('"') {
            if !begun || !quoted(line) {
                return Err(wrong());
            }
        } else {
            let is_flags = line.starts_with("#, ");
            let (word, rest) = line.split_once(' ').ok_or_else(wrong)?;
            let is_text = word.starts_with("msgstr");
            if !(is_flags || word.starts_with("msg") && quoted(rest.trim())) {
                return Err(wrong());
            }
            if whole && !is_text {
                out.push('\n');
                whole = false;
            }
            begun |= !is_flags;
            whole |= is_text;
            if !is_flags {
                out.push_str(word);
                out.push(' ');
                out.push_str(rest.trim());
                out.push('\n');
                continue;
            }
        }
        out.push_str(line);
        out.push('\n');
    }
    Ok(out)
}

/// Whether it stands between quotation marks, and the last one is a mark and not part of the text.
fn quoted(text: &str) -> bool {
    let inner = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
    inner.is_some_and(|t| t.bytes().rev().take_while(|b| *b == b'\\').count() % 2 == 0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_stand_apart_and_comments_go() {
        let text = "# of\n#\nmsgid \"\"\nmsgstr \"\"\n\"Language: xx\\n\"\n#: a.rs\n#, fuzzy\nmsgid   \"a\"\n\n \"b\"\nmsgstr \"c\"\nmsgid \"d\"\nmsgstr \"\"\n#~ msgid \"old\"\n";
        let tidy = "msgid \"\"\nmsgstr \"\"\n\"Language: xx\\n\"\n\n#, fuzzy\nmsgid \"a\"\n\"b\"\nmsgstr \"c\"\n\nmsgid \"d\"\nmsgstr \"\"\n";
        assert_eq!(tidied(text).as_deref(), Ok(tidy));
    }

    #[test]
    fn a_line_that_is_none_is_told_of_by_its_number() {
        for wrong in [
            "\"a\"",
            "msgid",
            "msgid a",
            "msgid \"a",
            "msgid \"",
            "msgid \"a\\\"",
            "tag,sex",
            "msgid \"a\"\n\"",
        ] {
            let said = tidied(wrong).unwrap_err();
            assert!(said.starts_with("line "), "{wrong}: {said}");
        }
    }
}
