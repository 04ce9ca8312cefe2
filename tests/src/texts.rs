//! The texts of the program, read from its sources: what a catalogue of another language is made of.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use polib::catalog::Catalog;
use polib::message::Message;
use polib::metadata::CatalogMetadata;
use syn::visit::{self, Visit};
use syn::{Expr, Lit, Macro};

/// Rooms whose texts are shown.
const ROOMS: [&str; 14] = [
    "app/src/help",
    "app/src/pages",
    "app/src/parts",
    "app/src/desk",
    "app/src/look",
    "core/src/terms",
    "core/src/rules",
    "core/src/handbook",
    "core/src/exchange",
    "core/src/plan",
    "core/src/reckon",
    "core/src/registers",
    "core/src/papers",
    "core/src/entry",
];

/// What is given to these is no text that is shown.
const NOT_SHOWN: [&str; 34] = [
    "contains",
    "starts_with",
    "ends_with",
    "strip_prefix",
    "strip_suffix",
    "split",
    "split_once",
    "rsplit_once",
    "trim_matches",
    "trim_start_matches",
    "trim_end_matches",
    "replace",
    "replacen",
    "find",
    "join",
    "expect",
    "get",
    "insert",
    "id_salt",
    "push_id",
    "unique",
    "of_name",
    "var",
    "var_os",
    "set_extension",
    "with_extension",
    "extend_from_slice",
    "property",
    "attr",
    "allow",
    "take_out",
    "sections",
    "refusal_of",
    "name",
];

/// Macros whose texts are sentences that are formed, not shown as they stand.
const FORMS: [&str; 6] = ["format", "write", "writeln", "matches", "assert", "debug_assert"];

/// What is counted by a word that the code chooses at run time.
const COUNTED: [&str; 9] =
    ["bale", "death", "ewe lamb", "flake", "hour", "minute", "move", "ram lamb", "sheet"];

/// Files that come with the program, and which of their fields are shown.
const RESOURCES: [(&str, &[&str]); 6] = [
    ("resources/care/lamb.toml", &["job", "short", "caution"]),
    ("resources/care/ewe.toml", &["job", "short", "caution"]),
    ("resources/care/ram.toml", &["job", "short", "caution"]),
    ("resources/handbook.toml", &["value", "group"]),
    ("resources/figures.toml", &["name"]),
    ("resources/growth.toml", &["name"]),
];

/// How a text is kept in a catalogue.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// As it stands, with or without holes.
    Text,
    /// So many of it: `lamb` for `1 lamb` and `2 lambs`.
    Counted,
}

/// Every text, and the files it stands in.
pub type Texts = BTreeMap<(Kind, String), BTreeSet<String>>;

/// Reads the texts of the sources.
///
/// # Panics
/// When a source cannot be read.
pub fn read() -> Texts {
    let top = Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("the project").to_path_buf();
    let mut texts = Texts::new();
    for one in COUNTED {
        texts.entry((Kind::Counted, one.to_owned())).or_default();
    }
    for room in ROOMS {
        for path in files(&top.join(room)) {
            let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let file = syn::parse_file(&text).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
            let place = path.strip_prefix(&top).unwrap_or(&path).to_string_lossy().replace('\\', "/");
            Reader { place, texts: &mut texts }.visit_file(&file);
        }
    }
    for (file, fields) in RESOURCES {
        let path = top.join(file);
        let text = std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        let table: toml::Table = text.parse().unwrap_or_else(|e| panic!("{}: {e}", path.display()));
        of_file(file, "", &toml::Value::Table(table), fields, &mut texts);
    }
    texts
}

/// What is shown of a file of facts.
fn of_file(file: &str, field: &str, value: &toml::Value, fields: &[&str], texts: &mut Texts) {
    match value {
        toml::Value::String(text) if fields.contains(&field) && is_read(text) => {
            texts.entry((Kind::Text, text.clone())).or_default().insert(file.to_owned());
        }
        toml::Value::Array(all) => all.iter().for_each(|one| of_file(file, field, one, fields, texts)),
        toml::Value::Table(rows) => {
            rows.iter().for_each(|(name, one)| of_file(file, name, one, fields, texts))
        }
        _ => {}
    }
}

fn files(room: &Path) -> Vec<PathBuf> {
    let (mut found, mut left) = (Vec::new(), vec![room.to_path_buf()]);
    while let Some(folder) = left.pop() {
        let entries = std::fs::read_dir(&folder).unwrap_or_else(|e| panic!("{}: {e}", folder.display()));
        for path in entries.flatten().map(|e| e.path()) {
            let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
            let stem = name.trim_end_matches(".rs");
            let of_tests = stem == "tests" || stem.ends_with("_tests") || stem.starts_with("tests_");
            let made_up = ["fixture.rs", "check.rs", "pdf.rs", "svg.rs"].contains(&name.as_str())
                || path.ends_with("help/files.rs");
            if of_tests || made_up {
                continue;
            }
            if path.is_dir() {
                left.push(path);
            } else if name.ends_with(".rs") {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

struct Reader<'a> {
    place: String,
    texts: &'a mut Texts,
}

impl Reader<'_> {
    fn takes(&mut self, kind: Kind, text: String) {
        self.texts.entry((kind, text)).or_default().insert(self.place.clone());
    }

    /// What is given to something that shows no text; within it there may be some that is.
    fn within(&mut self, given: &syn::punctuated::Punctuated<Expr, syn::Token![,]>) {
        given.iter().filter(|e| literal(e).is_none()).for_each(|e| self.visit_expr(e));
    }
}

impl Reader<'_> {
    fn loose(&mut self, tokens: proc_macro2::TokenStream) {
        for token in tokens {
            match token {
                proc_macro2::TokenTree::Group(group) => self.loose(group.stream()),
                proc_macro2::TokenTree::Literal(one) => {
                    if let Ok(text) = syn::parse_str::<syn::LitStr>(&one.to_string())
                        && is_read(&text.value())
                    {
                        self.takes(Kind::Text, text.value());
                    }
                }
                _ => {}
            }
        }
    }
}

fn of_tests(attrs: &[syn::Attribute]) -> bool {
    attrs.iter().any(|a| match &a.meta {
        syn::Meta::List(list) if list.path.is_ident("cfg") => list.tokens.to_string().contains("test"),
        syn::Meta::Path(path) => path.is_ident("test"),
        _ => false,
    })
}

fn literal(expr: &Expr) -> Option<String> {
    match expr {
        Expr::Lit(l) => match &l.lit {
            Lit::Str(s) => Some(s.value()),
            _ => None,
        },
        Expr::Reference(r) => literal(&r.expr),
        _ => None,
    }
}

/// Whether it may be read by people: two letters beside one another that are not the name of what is filled in, and no
/// name of a file or of something of the code.
pub fn is_read(text: &str) -> bool {
    let (mut before, mut filled) = (' ', false);
    let letters = text.chars().any(|c| {
        filled = c == '{' || filled && before != '}';
        let c = if filled { if c == '}' { c } else { ' ' } } else { c };
        let two = c.is_alphabetic() && before.is_alphabetic();
        before = c;
        two
    });
    let code = !text.contains(' ') && text.contains(['_', '\\', '=', '<', '@']);
    letters && !code && !text.starts_with("select ") && !text.contains("://")
}

impl<'ast> Visit<'ast> for Reader<'_> {
    fn visit_item_mod(&mut self, i: &'ast syn::ItemMod) {
        if !of_tests(&i.attrs) {
            visit::visit_item_mod(self, i);
        }
    }

    fn visit_item_fn(&mut self, i: &'ast syn::ItemFn) {
        if !of_tests(&i.attrs) {
            visit::visit_item_fn(self, i);
        }
    }

    fn visit_impl_item_fn(&mut self, i: &'ast syn::ImplItemFn) {
        if !of_tests(&i.attrs) {
            visit::visit_impl_item_fn(self, i);
        }
    }

    fn visit_attribute(&mut self, _: &'ast syn::Attribute) {}

    fn visit_pat(&mut self, _: &'ast syn::Pat) {}

    fn visit_expr_lit(&mut self, i: &'ast syn::ExprLit) {
        if let Lit::Str(text) = &i.lit
            && is_read(&text.value())
        {
            self.takes(Kind::Text, text.value());
        }
    }

    fn visit_expr_binary(&mut self, i: &'ast syn::ExprBinary) {
        let compares = matches!(i.op, syn::BinOp::Eq(_) | syn::BinOp::Ne(_));
        for side in [&i.left, &i.right] {
            if !(compares && literal(side).is_some()) {
                self.visit_expr(side);
            }
        }
    }

    fn visit_expr_call(&mut self, i: &'ast syn::ExprCall) {
        let name = match &*i.func {
            Expr::Path(p) => p.path.segments.last().map(|s| s.ident.to_string()).unwrap_or_default(),
            _ => String::new(),
        };
        if name == "counted"
            && let Some(one) = i.args.iter().nth(1).and_then(literal)
        {
            self.takes(Kind::Counted, one);
            self.within(&i.args);
        } else if NOT_SHOWN.contains(&name.as_str()) {
            self.within(&i.args);
        } else {
            visit::visit_expr_call(self, i);
        }
    }

    fn visit_expr_method_call(&mut self, i: &'ast syn::ExprMethodCall) {
        self.visit_expr(&i.receiver);
        if NOT_SHOWN.contains(&i.method.to_string().as_str()) {
            self.within(&i.args);
        } else {
            i.args.iter().for_each(|e| self.visit_expr(e));
        }
    }

    fn visit_macro(&mut self, i: &'ast Macro) {
        let name = i.path.segments.last().map(|s| s.ident.to_string()).unwrap_or_default();
        let given = i.parse_body_with(|input: syn::parse::ParseStream<'_>| {
            let mut all = Vec::new();
            while !input.is_empty() {
                if input.peek(syn::Ident) && input.peek2(syn::Token![=]) && !input.peek2(syn::Token![==]) {
                    input.parse::<syn::Ident>()?;
                    input.parse::<syn::Token![=]>()?;
                }
                all.push(input.parse::<Expr>()?);
                if !input.is_empty() {
                    input.parse::<syn::Token![,]>()?;
                }
            }
            Ok(all)
        });
        let Ok(given) = given else {
            // A macro with a grammar of its own, as those that make words of kinds.
            if !FORMS.contains(&name.as_str()) {
                self.loose(i.tokens.clone());
            }
            return;
        };
        if name == "phrase"
            && let Some(text) = given.first().and_then(literal)
            && is_read(&text)
        {
            self.takes(Kind::Text, text);
        }
        if name == "vec" {
            given.iter().for_each(|e| self.visit_expr(e));
        } else {
            // What fills the holes of a sentence is shown; what forms it is not.
            given.iter().skip(1).for_each(|e| self.visit_expr(e));
        }
    }
}

/// The texts as a template for translators, in gettext's form.
///
/// # Panics
/// Never: the head is fixed.
pub fn template(texts: &Texts) -> String {
    let mut head = CatalogMetadata::new();
    head.project_id_version = "hirsel".into();
    head.mime_version = "1.0".into();
    head.content_type = "text/plain; charset=UTF-8".into();
    head.content_transfer_encoding = "8bit".into();
    let mut all = Catalog::new(head);
    for ((kind, text), places) in texts {
        let places = places.iter().cloned().collect::<Vec<_>>().join(" ");
        let message = match kind {
            Kind::Text => Message::build_singular().with_msgid(text.clone()).with_source(places).done(),
            Kind::Counted => Message::build_plural()
                .with_msgid(format!("{{}} {text}"))
                .with_msgid_plural(format!("{{}} {text}s"))
                .with_msgstr_plural(vec![String::new(); 2])
                .with_source(places)
                .done(),
        };
        all.append_or_update(message);
    }
    let mut out = std::io::BufWriter::new(Vec::new());
    polib::po_file::write(&all, &mut out).expect("written to memory");
    String::from_utf8(out.into_inner().expect("flushed")).expect("UTF-8")
}
