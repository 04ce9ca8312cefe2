use super::*;
use crate::phrase;
use crate::terms::counted;
use crate::terms::speech::{Speech, said};
use std::sync::Arc;

/// Invented, and no language: what is asked is how it is read.
const FILE: &str = r#"
msgid ""
msgstr ""
"Language: xx\n"
"MIME-Version: 1.0\n"
"Content-Type: text/plain; charset=UTF-8\n"
"Content-Transfer-Encoding: 8bit\n"
"Plural-Forms: nplurals=3; plural=n==1 ? 0 : n==2 ? 1 : 2;\n"

#: app/src/pages/flock/list.rs
msgid "Sheep"
msgstr "Defaid"

msgid "{} joined to \"{ram}\""
msgstr "\"{ram}\": {}"

#, fuzzy
msgid "Lambs"
msgstr "Wyn?"

msgid "Left out"
msgstr ""

msgid "{} of {n}"
msgstr "{} of nothing"

msgid "{} lamb"
msgid_plural "{} lambs"
msgstr[0] "{} oen"
msgstr[1] "dau: {}"
msgstr[2] "{} wyn"
"#;

#[test]
fn a_catalogue_is_read_and_spoken() {
    let catalogue = Catalogue::read(FILE.as_bytes()).unwrap();
    assert_eq!((catalogue.code(), catalogue.len()), ("xx", 3));
    assert_eq!(catalogue.faulty(), ["{} of {n}"]);
    let _spoken = Speech { language: Some(Arc::new(catalogue)), ..Speech::default() }.during();
    let ram = "Bran";
    assert_eq!(said("Sheep"), "Defaid");
    assert_eq!(phrase!("{} joined to \"{ram}\"", 4), "\"Bran\": 4");
    assert_eq!((said("Lambs").as_ref(), said("Left out").as_ref()), ("Lambs", "Left out"));
    let n = 3;
    assert_eq!(phrase!("{} of {n}", 2), "2 of 3", "one that lost a hole is said in English");
    assert_eq!([1, 2, 7].map(|n| counted(n, "lamb")), ["1 oen", "dau: 2", "7 wyn"]);
    assert_eq!(counted(2, "ewe"), "2 ewes");
}

#[test]
fn it_is_read_with_the_line_ends_of_any_system() {
    let windows = format!("\u{feff}{}", FILE.trim_end().replace('\n', "\r\n"));
    assert_eq!(Catalogue::read(windows.as_bytes()).unwrap().len(), 3);
}

#[test]
fn what_is_no_catalogue_is_refused_in_words() {
    for (bytes, why) in [
        (&b"tag,sex\n1,ewe\n"[..], "no file of translations"),
        (b"\xff\xfe msgid", "UTF-8"),
        (b"msgid \"\"\nmsgstr \"Plural-Forms: nplurals=2; plural=(n;\\n\"\n", "plural"),
    ] {
        let said = Catalogue::read(bytes).unwrap_err().to_string();
        assert!(said.contains(why), "{said}");
    }
    let long = vec![b'a'; MOST as usize + 1];
    assert!(Catalogue::read(&long).unwrap_err().to_string().contains("16 MB"));
}

#[test]
fn holes_are_those_of_the_source_in_any_order() {
    assert!(same_holes("{} of {n:.1}", "{n:.1}: {}"));
    assert!(same_holes("{{}} {}", "{} {{}}"));
    assert!(same_holes("no hole", "no hole, and longer"));
    for wrong in ["{}", "{n} {}", "{} {n:.1} {}", "{} {n:.1", "}"] {
        assert!(!same_holes("{} of {n:.1}", wrong), "{wrong}");
    }
}
