use super::*;
use exif::experimental::Writer;
use exif::{Field, In, Rational, Reader, Tag, Value};
use image::{Rgb, RgbImage};
use proptest::prelude::*;

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

/// A picture whose left half is red and right half blue.
fn halves(width: u32, height: u32) -> DynamicImage {
    let colour = |x, _| if x < width / 2 { Rgb([220, 30, 30]) } else { Rgb([30, 30, 220]) };
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, colour))
}

/// EXIF as a camera writes it: which side is up, when, and where (54° 30′ 12.5″ N, an invented place).
fn camera(orientation: u16, taken: &str) -> Vec<u8> {
    let deg = |d, m, s| Value::Rational(vec![ratio(d, 1), ratio(m, 1), ratio(s, 10)]);
    let ascii = |t: &str| Value::Ascii(vec![t.as_bytes().to_vec()]);
    let field = |tag, value| Field { tag, ifd_num: In::PRIMARY, value };
    let all = [
        field(Tag::Orientation, Value::Short(vec![orientation])),
        field(Tag::Make, ascii("a camera")),
        field(Tag::DateTimeOriginal, ascii(taken)),
        field(Tag::GPSLatitudeRef, ascii("N")),
        field(Tag::GPSLatitude, deg(54, 30, 125)),
        field(Tag::GPSLongitudeRef, ascii("W")),
        field(Tag::GPSLongitude, deg(2, 15, 300)),
    ];
    let mut writer = Writer::new();
    all.iter().for_each(|f| writer.push_field(f));
    let mut out = std::io::Cursor::new(Vec::new());
    writer.write(&mut out, true).unwrap();
    out.into_inner()
}

fn ratio(num: u32, denom: u32) -> Rational {
    Rational { num, denom }
}

/// As a camera makes it: EXIF, XMP with the place once more, a comment, and a second picture behind the first.
fn photo(width: u32, height: u32, orientation: u16) -> Vec<u8> {
    let plain = as_jpeg_file(&halves(width, height)).unwrap();
    let with = jpeg::with_exif(&plain, &camera(orientation, "2026:04:03 21:10:05"));
    let xmp = b"http://ns.adobe.com/xap/1.0/\0<x exif:GPSLatitude='54,30.2N'/>";
    let mut out = vec![0xff, 0xd8, 0xff, 0xe1];
    out.extend(u16::try_from(xmp.len() + 2).unwrap().to_be_bytes());
    out.extend(xmp);
    out.extend([0xff, 0xfe, 0x00, 0x09]);
    out.extend(b"54.503N");
    out.extend(&with[2..]);
    out.extend(&with);
    out
}

/// Read by the public library, not by our own walk over the segments.
fn tags(bytes: &[u8]) -> Vec<String> {
    let read = Reader::new().read_from_container(&mut std::io::Cursor::new(bytes));
    read.map(|e| e.fields().map(|f| f.tag.to_string()).collect()).unwrap_or_default()
}

fn holds(bytes: &[u8], part: &[u8]) -> bool {
    bytes.windows(part.len()).any(|w| w == part)
}

#[test]
fn a_picture_loses_its_place_and_keeps_its_day() {
    let came = photo(320, 200, 1);
    assert!(tags(&came).iter().any(|t| t == "GPSLatitude"), "{:?}", tags(&came));
    for how in [Taking::default(), Taking { original: true, position: false }] {
        let t = take_in("ewe.jpg", came.clone(), how, day("2026-04-10")).unwrap();
        assert_eq!(tags(&t.bytes), Vec::<String>::new());
        for part in [&b"GPS"[..], b"54.503N", b"Exif", b"a camera"] {
            assert!(!holds(&t.bytes, part), "{}", String::from_utf8_lossy(part));
        }
        assert_eq!(t.on, Some(day("2026-04-03")));
        assert_eq!(t.told, ["taken 3 Apr 2026: kept under that day", "where it was taken is left out"]);
        // The pixels are those that came, not made anew.
        let pixels = |b: &[u8]| image::load_from_memory(b).unwrap().into_rgb8();
        assert_eq!(pixels(&t.bytes), pixels(&came));
    }
    let stays = Taking { original: false, position: true };
    let t = take_in("ewe.jpg", came.clone(), stays, day("2026-04-10")).unwrap();
    for tag in ["GPSLatitude", "GPSLongitude", "DateTimeOriginal"] {
        assert!(tags(&t.bytes).iter().any(|x| x == tag), "{tag}: {:?}", tags(&t.bytes));
    }
    let untouched = Taking { original: true, position: true };
    assert_eq!(take_in("ewe.jpg", came.clone(), untouched, day("2026-04-10")).unwrap().bytes, came);
}

/// EXIF orientation 6: the pixels' first column is the top (EXIF 2.3 §4.6.4 A; from memory).
#[test]
fn a_picture_is_turned_upright_and_made_small() {
    let came = photo(2100, 700, 6);
    let t = take_in("ewe.jpg", came.clone(), Taking::default(), day("2026-04-10")).unwrap();
    let pixels = image::load_from_memory(&t.bytes).unwrap().into_rgb8();
    assert_eq!((pixels.width(), pixels.height()), (667, 2000));
    let (top, foot) = (pixels.get_pixel(300, 100), pixels.get_pixel(300, 1900));
    assert!(top[0] > 180 && top[2] < 80, "red was left and is above: {top:?}");
    assert!(foot[2] > 180 && foot[0] < 80, "{foot:?}");
    assert_eq!(tags(&t.bytes), Vec::<String>::new());
    assert!(t.told.contains(&"made smaller, 2100 × 700 to 2000 × 667 pixels".to_string()), "{:?}", t.told);
    assert!(t.told.contains(&"turned upright".to_string()));
    // Kept as it came it is only told to be turned, and nothing else.
    let original = Taking { original: true, position: false };
    let t = take_in("ewe.jpg", came, original, day("2026-04-10")).unwrap();
    assert_eq!(tags(&t.bytes), ["Orientation"]);
    let (width, height, _) = thumbnail(&t.bytes, 240).unwrap();
    assert_eq!((width, height), (80, 240), "shown upright");
}

#[test]
fn a_png_stays_one_while_it_is_small_or_clear() {
    let small = as_png_file(&halves(60, 40)).unwrap();
    let with = png::with_exif(&small, &camera(1, "2026:04:03 21:10:05"));
    assert!(tags(&with).iter().any(|t| t == "GPSLatitude"));
    let t = take_in("a.png", with, Taking::default(), day("2026-04-10")).unwrap();
    assert_eq!(t.bytes, small, "its own chunks and no other");
    let turned = png::with_exif(&small, &camera(3, "2026:04:03 21:10:05"));
    let t = take_in("a.png", turned, Taking::default(), day("2026-04-10")).unwrap();
    let pixels = image::load_from_memory(&t.bytes).unwrap().into_rgb8();
    assert!(t.bytes.starts_with(b"\x89PNG") && pixels.get_pixel(5, 5)[2] > 200, "turned round");
    let large = as_png_file(&halves(2100, 30)).unwrap();
    let t = take_in("a.png", large, Taking::default(), day("2026-04-10")).unwrap();
    assert!(t.bytes.starts_with(b"\xff\xd8"));
    let clear = DynamicImage::ImageRgba8(image::RgbaImage::from_pixel(2100, 30, image::Rgba([9, 9, 9, 90])));
    let t = take_in("a.png", as_png_file(&clear).unwrap(), Taking::default(), day("2026-04-10")).unwrap();
    assert!(t.bytes.starts_with(b"\x89PNG"));
}

#[test]
fn a_day_that_cannot_be_is_not_taken() {
    for (says, told) in [("2027:01:01 00:00:00", true), ("1980:01:01 00:00:00", true), ("    :  :  ", false)]
    {
        let plain = as_jpeg_file(&halves(20, 20)).unwrap();
        let came = jpeg::with_exif(&plain, &camera(1, says));
        let t = take_in("a.jpg", came, Taking::default(), day("2026-04-10")).unwrap();
        assert_eq!(t.on, None, "{says}");
        assert_eq!(t.told.iter().any(|t| t.contains("cannot be")), told, "{says}: {:?}", t.told);
    }
}

/// A head that claims 100,000 × 100,000 pixels: nothing but the head is read.
#[test]
fn a_picture_that_claims_too_much_is_refused() {
    let mut png = as_png_file(&halves(8, 8)).unwrap();
    png[16..20].copy_from_slice(&100_000_u32.to_be_bytes());
    png[20..24].copy_from_slice(&100_000_u32.to_be_bytes());
    let crc = png::sum(&png[12..29]);
    png[29..33].copy_from_slice(&crc.to_be_bytes());
    let mut jpeg = as_jpeg_file(&halves(8, 8)).unwrap();
    let at = jpeg.windows(2).position(|w| w == [0xff, 0xc0]).unwrap();
    jpeg[at + 5..at + 9].copy_from_slice(&[0xff, 0xdc, 0xff, 0xdc]);
    for (name, bytes) in [("a.png", png), ("a.jpg", jpeg)] {
        for how in [Taking::default(), Taking { original: true, position: true }] {
            let why = take_in(name, bytes.clone(), how, day("2026-04-10")).unwrap_err();
            assert!(matches!(why, PictureUnfit::TooManyPixels { .. }), "{name}: {why}");
        }
    }
    let why = PictureUnfit::TooManyPixels { name: "a.png".into(), width: 9, height: 8, most: 64 };
    assert_eq!(
        why.to_string(),
        "'a.png' has 9 × 8 pixels, more than the 64 million that are read: make it smaller first"
    );
}

#[test]
fn what_is_cut_off_is_said_to_be() {
    let whole = as_png_file(&halves(30, 30)).unwrap();
    let cut = whole[..whole.len() / 2].to_vec();
    let why = take_in("a.png", cut, Taking::default(), day("2026-04-10")).unwrap_err();
    assert_eq!(why, PictureUnfit::Damaged("a.png".into()));
    let pdf = b"%PDF-1.7 and more".to_vec();
    let t = take_in("a.pdf", pdf.clone(), Taking::default(), day("2026-04-10")).unwrap();
    assert_eq!(t, TakenIn { bytes: pdf, on: None, told: Vec::new() });
}

proptest! {
    #[test]
    fn no_bytes_are_too_odd(
        head in prop::sample::select(vec![&b"\xff\xd8\xff"[..], b"\x89PNG\r\n\x1a\n", b""]),
        tail in prop::collection::vec(any::<u8>(), 0..600),
    ) {
        let bytes: Vec<u8> = head.iter().copied().chain(tail).collect();
        for original in [false, true] {
            let how = Taking { original, position: original };
            let _ = take_in("a", bytes.clone(), how, day("2026-04-10"));
        }
        let _ = thumbnail(&bytes, 64);
    }

    /// Real pictures with bytes changed anywhere: read or refused, and whatever comes out tells no place.
    #[test]
    fn a_changed_picture_is_read_or_refused(
        is_png in any::<bool>(),
        orientation in 0u16..10,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 0..6),
        cut in prop::option::of(any::<prop::sample::Index>()),
    ) {
        let mut bytes = match is_png {
            true => png::with_exif(&as_png_file(&halves(24, 16)).unwrap(), &camera(orientation, "2026:04:03 21:10:05")),
            false => photo(24, 16, orientation),
        };
        for (at, value) in changes {
            let at = at.index(bytes.len());
            bytes[at] = value;
        }
        if let Some(cut) = cut {
            bytes.truncate(cut.index(bytes.len()));
        }
        if paper_kind(&bytes).is_some()
            && let Ok(t) = take_in("a", bytes, Taking::default(), day("2026-04-10"))
        {
            prop_assert!(!tags(&t.bytes).iter().any(|t| t.starts_with("GPS")));
            prop_assert!(thumbnail(&t.bytes, 16).is_some());
            // What is in the book is taken in as it is.
            let again = take_in("a", t.bytes.clone(), Taking::default(), day("2026-04-10")).unwrap();
            prop_assert_eq!(again.bytes, t.bytes);
        }
    }
}
