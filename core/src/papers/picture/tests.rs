use super::*;
use crate::papers::sheet::{Area, Face, Ink, Look, Page, SheetSize, Turn};
use crate::papers::text;
use proptest::prelude::*;
use resvg::usvg::{Options, Tree};

/// By a reader that is not ours.
fn read_back(svg: &str) -> Tree {
    Tree::from_str(svg, &Options::default()).unwrap_or_else(|e| panic!("{e}\n{svg}"))
}

fn pixels(drawing: &Drawing, dpi: f32) -> image::RgbaImage {
    let made = png(drawing, dpi).unwrap();
    let read = image::load_from_memory_with_format(&made.bytes, image::ImageFormat::Png).unwrap().to_rgba8();
    assert_eq!(read.dimensions(), (made.width, made.height));
    read
}

fn page() -> Page {
    let mut page = Page::new(SheetSize::A4, Turn::Portrait);
    page.fill(Area::new(20.0, 30.0, 40.0, 10.0), 0.0, Ink::Accent);
    page.line((20.0, 60.0), (120.0, 60.0), 1.0, Ink::Black);
    page.text(20.0, 80.0, Look::new(Face::Serif, 24.0), "Seren Ŵyn – 0412");
    page
}

#[test]
fn marks_stand_where_the_page_has_them() {
    // 254 dots an inch: ten to the millimetre.
    let image = pixels(&Drawing::of_page(&page(), "Card"), 254.0);
    assert_eq!(image.dimensions(), (2100, 2970));
    let at = |x: u32, y: u32| image.get_pixel(x, y).0;
    let [r, g, b] = Ink::Accent.rgb();
    assert_eq!(at(400, 350), [r, g, b, 255], "inside the box");
    for (x, y) in [(198, 350), (602, 350), (400, 298), (400, 402)] {
        assert_eq!(at(x, y), [255; 4], "{x}, {y} is beside the box");
    }
    assert_eq!(at(700, 600)[..3], Ink::Black.rgb(), "on the line");
    assert_eq!((at(700, 592), at(700, 608)), ([255; 4], [255; 4]), "a line of one millimetre");
}

#[test]
fn words_are_as_wide_as_they_are_measured() {
    for face in Face::ALL {
        let mut page = Page::new(SheetSize::A4, Turn::Portrait);
        // Both ends are upright stems that nearly fill their widths.
        let words = "H0412 lamb cardH";
        page.text(20.0, 50.0, Look::new(face, 20.0), words);
        // Of the upper left corner, ten dots to the millimetre.
        let corner = Area::new(0.0, 0.0, 110.0, 60.0);
        let image = pixels(&Drawing::of_part(&page, corner, "Words"), 254.0);
        let inked: Vec<u32> =
            (0..image.width()).filter(|x| (380..520).any(|y| image.get_pixel(*x, y).0[0] < 128)).collect();
        let (first, last) = (inked[0] as f32 / 10.0, inked[inked.len() - 1] as f32 / 10.0);
        let end = 20.0 + text::width_mm(face, 20.0, words);
        assert!((20.0..21.5).contains(&first), "{face:?} begins at {first}");
        assert!(last <= end && last > end - 1.5, "{face:?} ends at {last}, measured {end}");
        // Capitals stand on the baseline and are as high as they are said to be.
        let rows: Vec<u32> =
            (300..500).filter(|y| (200..260).any(|x| image.get_pixel(x, *y).0[0] < 128)).collect();
        let high = (rows[rows.len() - 1] - rows[0] + 1) as f32 / 10.0;
        assert!((high - text::cap_height_mm(face, 20.0)).abs() < 0.3, "{face:?} {high}");
        assert!((rows[rows.len() - 1] as f32 / 10.0 - 50.0).abs() < 0.3, "{face:?} on its line");
    }
}

#[test]
fn every_letter_of_the_faces_has_an_outline() {
    let mut seen = 0;
    for c in ('!'..'ɏ').chain("—–’½×→✓♀♂□−·…€".chars()) {
        for (face, piece) in text::pieces(Face::Sans, &c.to_string()) {
            let blank = piece.chars().all(|c| c.is_whitespace() || c == '\u{ad}');
            assert!(
                blank || piece.chars().all(|c| !outline::of(face, c).is_empty()),
                "{c} U+{:04X}",
                c as u32
            );
            seen += 1;
        }
    }
    assert!(seen > 500);
}

#[test]
fn a_picture_needs_nothing_beside_it_and_can_be_read_out() {
    let mut drawing = Drawing::of_page(&page(), "Growth of \"0412\" <&> 'Bramble'");
    drawing.said = "Weights\u{1} of 0412".into();
    let svg = svg(&drawing).unwrap();
    for other in ["<text", "font-family", "<image", "<style", "<script", "http://", "url("] {
        let named = svg.replace("http://www.w3.org/", "");
        assert!(!named.contains(other), "{other}");
    }
    assert!(svg.contains("<title>Growth of &quot;0412&quot; &lt;&amp;&gt; &apos;Bramble&apos;</title>"));
    assert!(svg.contains("<desc>Weights  of 0412</desc>"));
    assert!(svg.contains("aria-label=\"Seren Ŵyn – 0412\""));
    let tree = read_back(&svg);
    // CSS Values and Units: a millimetre is 96/25.4 px.
    assert!((tree.size().width() - 210.0 * 96.0 / 25.4).abs() < 0.1);
    assert_eq!(svg, super::svg(&drawing).unwrap(), "the same on every run");
}

#[test]
fn a_part_of_a_page_is_cut_out() {
    let part = Drawing::of_part(&page(), Area::new(20.0, 30.0, 40.0, 10.0), "Box");
    let image = pixels(&part, 127.0);
    assert_eq!(image.dimensions(), (200, 50));
    let [r, g, b] = Ink::Accent.rgb();
    assert!(image.pixels().all(|p| p.0 == [r, g, b, 255]));
}

#[test]
fn what_lies_within_is_cut_at_its_edge() {
    let mut drawing = Drawing::new("Cut", Unit::Screen, (20.0, 20.0));
    let black = Colour([0, 0, 0, 255]);
    let whole = Shape { steps: rectangle([0.0, 0.0, 20.0, 20.0], 0.0), fill: Some(black), pen: None };
    drawing.items.push(Item::Within([5.0, 5.0, 10.0, 10.0], vec![Item::Shape(whole)]));
    let half = Colour([255, 0, 0, 128]);
    let disc = Shape { steps: ellipse((2.0, 2.0), (2.0, 2.0)), fill: Some(half), pen: None };
    drawing.items.push(Item::Shape(disc));
    let image = pixels(&drawing, 96.0);
    let at = |x: u32, y: u32| image.get_pixel(x, y).0;
    assert_eq!(
        (at(5, 5), at(14, 14), at(4, 10), at(15, 10)),
        ([0, 0, 0, 255], [0, 0, 0, 255], [255; 4], [255; 4])
    );
    let [r, g, b, a] = at(2, 2);
    assert!((r, a) == (255, 255) && (120..136).contains(&g) && g == b, "half red on white: {r} {g} {b}");
}

#[test]
fn pictures_are_bound() {
    for size in [(0.0, 10.0), (10.0, -1.0), (f32::NAN, 1.0), (1.0, f32::INFINITY)] {
        let drawing = Drawing::new("Nothing", Unit::Screen, size);
        assert_eq!(png(&drawing, 96.0), Err(PictureFailed::NoSize("Nothing".into())), "{size:?}");
    }
    let large = Drawing::new("Wall", Unit::Millimetre, (3_000.0, 2_000.0));
    let (width, height) = super::png::dots(&large, 1_200.0);
    let dots = width as f32 * height as f32;
    assert!(dots <= MOST_PIXELS * 1.001 && dots > MOST_PIXELS * 0.9, "{width} × {height}");
    let long = Drawing::new("Ribbon", Unit::Screen, (900_000.0, 4.0));
    let made = png(&long, 96.0).unwrap();
    assert!((made.width, made.height) == (20_000, 1), "{} × {}", made.width, made.height);
}

#[test]
fn the_ending_decides() {
    let of = |name: &str| Form::of(Path::new(name));
    assert_eq!(
        (of("a.SVG"), of("b.c.png"), of("a.pdf"), of("png")),
        (Some(Form::Svg), Some(Form::Png), None, None)
    );
    let drawing = Drawing::of_page(&page(), "Card");
    assert!(Form::Png.write(&drawing, 60.0).unwrap().starts_with(b"\x89PNG\r\n\x1a\n"));
    assert!(Form::Svg.write(&drawing, 60.0).unwrap().starts_with(b"<?xml"));
}

proptest! {
    #[test]
    fn any_words_and_places_make_a_picture_that_can_be_read(
        title in ".{0,40}", words in "\\PC{0,30}|.{0,30}", numbers in prop::collection::vec(any::<f32>(), 6),
    ) {
        let [x, y, w, h, r, size] = numbers[..] else { unreachable!() };
        let mut drawing = Drawing::new(title, Unit::Screen, (100.0, 100.0));
        drawing.said.clone_from(&words);
        let colour = Colour([1, 2, 3, 200]);
        let pen = Pen { colour, width: r, dash: Some((x, y)) };
        let shape = Shape { steps: rectangle([x, y, w, h], r), fill: Some(colour), pen: Some(pen) };
        drawing.items.push(Item::Within([x, y, w, h], vec![Item::Shape(shape)]));
        for (face, text) in text::pieces(Face::Serif, &words) {
            drawing.items.push(Item::Words(Words { at: (x, y), size, face, colour, text, places: vec![w; 3] }));
        }
        read_back(&svg(&drawing).unwrap());
    }
}

/// With `HIRSEL_PICTURES=FOLDER` set, leaves a page there as both, to be looked at.
#[test]
fn a_page_to_look_at() {
    let (flock, lambs, _) = crate::papers::fixture::lambing_shed();
    let today = crate::papers::fixture::day("2026-04-20");
    let options = crate::papers::LambCardOptions::default();
    let paper = crate::papers::lamb_cards(&flock, &lambs, today, &options, &crate::papers::carry_on).unwrap();
    let drawing = Drawing::of_page(&paper.pages[0], &paper.title);
    let (svg, png) =
        (Form::Svg.write(&drawing, PAGE_DPI).unwrap(), Form::Png.write(&drawing, 100.0).unwrap());
    assert!(svg.len() < 1_500_000, "{} bytes", svg.len());
    if let Some(folder) = std::env::var_os("HIRSEL_PICTURES") {
        std::fs::write(Path::new(&folder).join("lamb-cards.svg"), svg).unwrap();
        std::fs::write(Path::new(&folder).join("lamb-cards.png"), png).unwrap();
    }
}
