//! Pages into a PDF file.
//!
//! The same paper gives the same bytes on every run and machine: font names are ours, the date comes from the paper,
//! and the file's two IDs from its content. Only faces in use are embedded, each once.

use crate::phrase;
use flate2::{Compression, write::ZlibEncoder};
use lopdf::{Object, Stream, StringFormat};
use printpdf::{
    Color, FontId, Line, LineDashPattern, LinePoint, OffsetDateTime, Op, PaintMode, PdfDocument, PdfFont,
    PdfFontHandle, PdfPage, PdfSaveOptions, Point, Polygon, PolygonRing, Pt, Rgb, TextItem, WindingOrder,
};
use rapidhash::v3::rapidhash_v3;
use std::io::Write as _;

use super::sheet::{Face, Ink, MM_PER_PT, Mark, Page, Paper};
use super::{PaperFailed, Watch, carry_on, text};
use crate::terms::Day;

/// Bytes by which a packed stream is longer for saying how it is packed.
const FILTER: usize = 19;

/// Writes the paper as PDF: compressed, with title, author and language.
///
/// # Errors
/// [`PaperFailed::Write`] if the writer fails (out of memory, a broken font file).
pub fn to_pdf(paper: &Paper) -> Result<Vec<u8>, PaperFailed> {
    to_pdf_watched(paper, &carry_on)
}

/// As [`to_pdf`], asking `watch` at every page.
///
/// # Errors
/// [`PaperFailed::Stopped`] when `watch` says so; [`PaperFailed::Write`] as there.
pub fn to_pdf_watched(paper: &Paper, watch: Watch<'_>) -> Result<Vec<u8>, PaperFailed> {
    let failed = |cause: String| PaperFailed::Write { title: paper.title.clone(), cause };
    let mut doc = PdfDocument::new(&paper.title);
    doc.metadata.info.author.clone_from(&paper.author);
    doc.metadata.info.creator = "Hirsel".into();
    doc.metadata.info.producer = "Hirsel".into();
    if let (Some(day), Some(first)) = (paper.printed, Day::new(1970, 1, 1))
        && let Ok(date) = OffsetDateTime::from_unix_timestamp(day.since(first) * 86_400)
    {
        doc.metadata.info.creation_date = date;
        doc.metadata.info.modification_date = date;
    }

    let mut used = [false; Face::ALL.len()];
    for (i, page) in paper.pages.iter().enumerate() {
        if !watch(i, paper.pages.len()) {
            return Err(PaperFailed::Stopped);
        }
        doc.pages.push(page_of(page, &mut used));
    }
    for face in Face::ALL.into_iter().filter(|face| used[*face as usize]) {
        let font = text::parsed(face).ok_or_else(|| failed(phrase!("the face {face:?} cannot be read")))?;
        doc.resources.fonts.map.insert(font_id(face), PdfFont::new(font.clone()));
    }

    let mut file = doc.to_lopdf_document(&PdfSaveOptions::default(), &mut Vec::new());
    outline(&mut file, paper);
    compress(&mut file);
    let id = content_id(&file, paper);
    file.trailer.set("ID", Object::Array(vec![id.clone(), id]));
    // /Lang came with version 1.4.
    file.version = "1.4".into();
    if let Ok(catalog) = file.catalog_mut() {
        catalog.set("Lang", Object::string_literal("en"));
        let show_title = lopdf::Dictionary::from_iter([("DisplayDocTitle", Object::Boolean(true))]);
        catalog.set("ViewerPreferences", show_title);
    }
    // The writer marks every file as PDF/X, which these are not.
    let info = file.trailer.get(b"Info").and_then(Object::as_reference);
    if let Ok(info) = info.and_then(|id| file.get_dictionary_mut(id)) {
        info.remove(b"GTS_PDFXVersion");
        info.remove(b"GTS_PDFXConformance");
    }
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(|e| failed(e.to_string()))?;
    Ok(bytes)
}

/// Packs every stream, several at once. The writer's own way takes the hardest packing, which makes a file smaller by
/// next to nothing and takes three times as long.
fn compress(file: &mut lopdf::Document) {
    let mut streams: Vec<&mut Stream> = (file.objects.values_mut())
        .filter_map(|object| object.as_stream_mut().ok())
        .filter(|s| s.allows_compression && s.dict.get(b"Filter").is_err())
        .collect();
    let threads = std::thread::available_parallelism().map_or(1, usize::from);
    let part = streams.len().div_ceil(threads).max(1);
    std::thread::scope(|scope| {
        for streams in streams.chunks_mut(part) {
            scope.spawn(|| streams.iter_mut().for_each(|s| pack(s)));
        }
    });
}

/// Packs a stream where that makes it shorter.
fn pack(stream: &mut Stream) {
    let mut packed = ZlibEncoder::new(Vec::new(), Compression::default());
    // Writing into memory does not fail; a stream that could not be packed stays as it is.
    let Ok(packed) = packed.write_all(&stream.content).and_then(|()| packed.finish()) else { return };
    if packed.len() + FILTER < stream.content.len() {
        stream.dict.set("Filter", "FlateDecode");
        stream.set_content(packed);
    }
}

/// The list of contents beside the pages, from the bookmarks of the pages (ISO 32000-1, 12.3.3; from memory).
fn outline(file: &mut lopdf::Document, paper: &Paper) {
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    let marked = paper.pages.iter().zip(&pages).filter_map(|(p, id)| Some((p.bookmark.as_deref()?, *id)));
    let marked: Vec<(&str, lopdf::ObjectId)> = marked.collect();
    if marked.is_empty() {
        return;
    }
    let root = file.new_object_id();
    let items: Vec<lopdf::ObjectId> = marked.iter().map(|_| file.new_object_id()).collect();
    let reference = Object::Reference;
    for (i, (title, page)) in marked.iter().enumerate() {
        let mut item = lopdf::Dictionary::new();
        item.set("Title", unicode(title));
        item.set("Parent", reference(root));
        item.set("Dest", Object::Array(vec![reference(*page), Object::Name(b"Fit".to_vec())]));
        if let Some(before) = i.checked_sub(1).and_then(|b| items.get(b)) {
            item.set("Prev", reference(*before));
        }
        if let Some(next) = items.get(i + 1) {
            item.set("Next", reference(*next));
        }
        file.objects.insert(items[i], Object::Dictionary(item));
    }
    let mut all = lopdf::Dictionary::from_iter([("Type", Object::Name(b"Outlines".to_vec()))]);
    if let (Some(first), Some(last)) = (items.first(), items.last()) {
        all.set("First", reference(*first));
        all.set("Last", reference(*last));
    }
    all.set("Count", Object::Integer(items.len() as i64));
    file.objects.insert(root, Object::Dictionary(all));
    if let Ok(catalog) = file.catalog_mut() {
        catalog.set("Outlines", reference(root));
        catalog.set("PageMode", Object::Name(b"UseOutlines".to_vec()));
    }
}

/// A text in UTF-16 with its mark, as PDF wants it outside of streams.
fn unicode(words: &str) -> Object {
    let bytes = [0xfe, 0xff].into_iter().chain(words.encode_utf16().flat_map(u16::to_be_bytes)).collect();
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// The file's ID: 16 bytes hashed from the title and all streams in their order.
fn content_id(file: &lopdf::Document, paper: &Paper) -> Object {
    let streams = file.objects.values().filter_map(|object| object.as_stream().ok());
    let mut prints: Vec<u8> = streams.flat_map(|s| rapidhash_v3(&s.content).to_be_bytes()).collect();
    prints.extend(paper.title.bytes().chain(paper.author.bytes()));
    let first = rapidhash_v3(&prints);
    prints.push(1);
    let id = [first.to_be_bytes(), rapidhash_v3(&prints).to_be_bytes()].concat();
    Object::String(id, StringFormat::Hexadecimal)
}

fn font_id(face: Face) -> FontId {
    FontId(
        match face {
            Face::Sans => "HirselSans",
            Face::SansStrong => "HirselSansSemiBold",
            Face::SansItalic => "HirselSansItalic",
            Face::Serif => "HirselSerif",
            Face::SerifStrong => "HirselSerifSemiBold",
        }
        .into(),
    )
}

/// What the page's graphics state is at this point, so that it is only set anew when it changes.
#[derive(Default)]
struct State {
    fill: Option<Ink>,
    outline: Option<Ink>,
    thick: Option<f32>,
    dash: Option<(f32, f32)>,
    font: Option<(Face, f32)>,
    /// Where the last run of the open text section began.
    cursor: Option<(f32, f32)>,
}

struct Writer {
    height: f32,
    ops: Vec<Op>,
    now: State,
}

fn page_of(page: &Page, used: &mut [bool]) -> PdfPage {
    let mut out = Writer {
        height: page.height_mm,
        ops: Vec::with_capacity(page.marks.len() * 3),
        now: State::default(),
    };
    for mark in &page.marks {
        match mark {
            Mark::Text { x_mm, baseline_mm, size_pt, face, ink, text } => {
                used[*face as usize] = true;
                out.text((*x_mm, *baseline_mm), *size_pt, *face, *ink, text);
            }
            Mark::Line { from, to, width_mm, dash, ink } => out.line(*from, *to, *width_mm, *dash, *ink),
            Mark::Box { x_mm, y_mm, w_mm, h_mm, radius_mm, fill, stroke } => {
                out.shape([*x_mm, *y_mm, *w_mm, *h_mm], *radius_mm, *fill, *stroke);
            }
            Mark::Tiles { tiles, ink } => out.tiles(tiles, *ink),
        }
    }
    out.end_text();
    let mm = |v: f32| printpdf::Mm(v);
    PdfPage::new(mm(page.width_mm), mm(page.height_mm), out.ops)
}

fn colour(ink: Ink) -> Color {
    let [r, g, b] = ink.rgb().map(|v| (f32::from(v) / 255.0 * 1000.0).round() / 1000.0);
    Color::Rgb(Rgb { r, g, b, icc_profile: None })
}

/// Rounded to a thousandth of a point: shorter numbers, smaller files, no visible difference.
fn pt(mm: f32) -> f32 {
    (mm / MM_PER_PT * 1000.0).round() / 1000.0
}

impl Writer {
    fn at(&self, x: f32, y: f32) -> Point {
        Point { x: Pt(pt(x)), y: Pt(pt(self.height - y)) }
    }

    fn corner(&self, x: f32, y: f32, bezier: bool) -> LinePoint {
        LinePoint { p: self.at(x, y), bezier }
    }

    fn fill_ink(&mut self, ink: Ink) {
        if self.now.fill != Some(ink) {
            self.now.fill = Some(ink);
            self.ops.push(Op::SetFillColor { col: colour(ink) });
        }
    }

    fn outline_ink(&mut self, ink: Ink, width_mm: f32, dash: Option<(f32, f32)>) {
        if self.now.outline != Some(ink) {
            self.now.outline = Some(ink);
            self.ops.push(Op::SetOutlineColor { col: colour(ink) });
        }
        if self.now.thick != Some(width_mm) {
            self.now.thick = Some(width_mm);
            self.ops.push(Op::SetOutlineThickness { pt: Pt(pt(width_mm)) });
        }
        if self.now.dash != dash {
            self.now.dash = dash;
            let dash = match dash {
                Some((on, off)) => LineDashPattern::new(0.0, &[pt(on), pt(off)]),
                None => LineDashPattern::solid(),
            };
            self.ops.push(Op::SetLineDashPattern { dash });
        }
    }

    /// Runs of text share one section; within it each cursor is set relative to the last (PDF's `Td`).
    fn text(&mut self, (x, y): (f32, f32), size_pt: f32, face: Face, ink: Ink, words: &str) {
        self.fill_ink(ink);
        let (x, y) = (pt(x), pt(self.height - y));
        let (from_x, from_y) = match self.now.cursor {
            Some(from) => from,
            None => {
                self.ops.push(Op::StartTextSection);
                self.now.font = None;
                (0.0, 0.0)
            }
        };
        if self.now.font != Some((face, size_pt)) {
            self.now.font = Some((face, size_pt));
            let size = Pt((size_pt * 1000.0).round() / 1000.0);
            self.ops.push(Op::SetFont { font: PdfFontHandle::External(font_id(face)), size });
        }
        let step = |to: f32, from: f32| Pt(((to - from) * 1000.0).round() / 1000.0);
        self.ops.push(Op::SetTextCursor { pos: Point { x: step(x, from_x), y: step(y, from_y) } });
        self.ops.push(Op::ShowText { items: vec![TextItem::Text(words.to_owned())] });
        self.now.cursor = Some((x, y));
    }

    fn end_text(&mut self) {
        if self.now.cursor.take().is_some() {
            self.ops.push(Op::EndTextSection);
        }
    }

    fn line(&mut self, from: (f32, f32), to: (f32, f32), width_mm: f32, dash: Option<(f32, f32)>, ink: Ink) {
        self.end_text();
        self.outline_ink(ink, width_mm, dash);
        let points = vec![self.corner(from.0, from.1, false), self.corner(to.0, to.1, false)];
        self.ops.push(Op::DrawLine { line: Line { points, is_closed: false } });
    }

    fn shape(&mut self, [x, y, w, h]: [f32; 4], radius: f32, fill: Option<Ink>, stroke: Option<(Ink, f32)>) {
        self.end_text();
        if let Some(ink) = fill {
            self.fill_ink(ink);
        }
        if let Some((ink, width)) = stroke {
            self.outline_ink(ink, width, None);
        }
        let mode = match (fill, stroke) {
            (Some(_), Some(_)) => PaintMode::FillStroke,
            (Some(_), None) => PaintMode::Fill,
            (None, Some(_)) => PaintMode::Stroke,
            (None, None) => return,
        };
        let ring = PolygonRing { points: self.ring([x, y, w, h], radius) };
        let polygon = Polygon { rings: vec![ring], mode, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }

    /// A rectangle's outline; round corners are quarter circles by one Bézier curve each.
    fn ring(&self, [x, y, w, h]: [f32; 4], radius: f32) -> Vec<LinePoint> {
        let r = radius.min(w / 2.0).min(h / 2.0);
        let (right, bottom) = (x + w, y + h);
        if r <= 0.0 {
            return [(x, y), (right, y), (right, bottom), (x, bottom)]
                .into_iter()
                .map(|(x, y)| self.corner(x, y, false))
                .collect();
        }
        // 0.5523 r: the usual distance of the handles for a quarter circle.
        let k = r * (1.0 - 0.552_284_8);
        [
            (x + r, y, false),
            (right - r, y, false),
            (right - k, y, true),
            (right, y + k, true),
            (right, y + r, false),
            (right, bottom - r, false),
            (right, bottom - k, true),
            (right - k, bottom, true),
            (right - r, bottom, false),
            (x + r, bottom, false),
            (x + k, bottom, true),
            (x, bottom - k, true),
            (x, bottom - r, false),
            (x, y + r, false),
            (x, y + k, true),
            (x + k, y, true),
            (x + r, y, false),
        ]
        .into_iter()
        .map(|(x, y, bezier)| self.corner(x, y, bezier))
        .collect()
    }

    fn tiles(&mut self, tiles: &[[f32; 4]], ink: Ink) {
        self.end_text();
        self.fill_ink(ink);
        let rings = tiles.iter().map(|tile| PolygonRing { points: self.ring(*tile, 0.0) }).collect();
        let polygon = Polygon { rings, mode: PaintMode::Fill, winding_order: WindingOrder::NonZero };
        self.ops.push(Op::DrawPolygon { polygon });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::check::assert_same_bytes;
    use crate::papers::sheet::{Area, Look, SheetSize, Turn};

    fn paper() -> Paper {
        let mut page = Page::new(SheetSize::A4, Turn::Portrait);
        page.text(20.0, 30.0, Look::new(Face::SerifStrong, 20.0), "Glynis Ŵyn ♀");
        page.text(20.0, 40.0, Look::new(Face::Sans, 10.0).ink(Ink::Grey), "0412");
        page.outline(Area::new(15.0, 15.0, 60.0, 40.0), 3.0, Ink::Rule, 0.3);
        super::super::qr::Code::of("0412").unwrap().paint(&mut page, 100.0, 15.0, 30.0);
        Paper {
            title: "Lamb cards, Šárka".into(),
            author: "Hill flock".into(),
            printed: Day::new(2026, 4, 16),
            pages: vec![page.clone(), page],
        }
    }

    #[test]
    fn the_same_paper_gives_the_same_bytes() {
        assert_same_bytes(&paper());
    }

    #[test]
    fn only_faces_in_use_are_embedded_and_the_catalogue_names_the_language() {
        let file = lopdf::Document::load_mem(&to_pdf(&paper()).unwrap()).unwrap();
        assert_eq!(file.get_pages().len(), 2);
        let embedded =
            file.objects.values().filter(|o| o.as_dict().is_ok_and(|d| d.has(b"FontFile2"))).count();
        assert_eq!(embedded, 2, "Serif SemiBold and Sans");
        assert_eq!(file.catalog().unwrap().get(b"Lang").unwrap().as_str().unwrap(), b"en");
        let info = file.trailer.get(b"Info").unwrap().as_reference().unwrap();
        let info = file.get_dictionary(info).unwrap();
        assert!(!info.has(b"GTS_PDFXVersion"), "no claim that is not kept");
        let id = file.trailer.get(b"ID").unwrap().as_array().unwrap();
        assert!(id[0].as_str().unwrap().iter().any(|b| *b != 0));
    }

    #[test]
    fn another_paper_has_another_id() {
        let id = |paper: &Paper| {
            let file = lopdf::Document::load_mem(&to_pdf(paper).unwrap()).unwrap();
            file.trailer.get(b"ID").unwrap().as_array().unwrap()[0].as_str().unwrap().to_vec()
        };
        let mut other = paper();
        other.pages[0].rule(10.0, 200.0, 50.0, 0.2, Ink::Black);
        assert_ne!(id(&paper()), id(&other));
    }

    #[test]
    fn it_stops_when_asked() {
        assert_eq!(to_pdf_watched(&paper(), &|done, _| done == 0), Err(PaperFailed::Stopped));
    }
}
