//! The segments of a JPEG file (ISO/IEC 10918-1 Annex B; from memory): what they tell besides the picture is left out,
//! the picture itself is not touched.

const SOI: [u8; 2] = [0xff, 0xd8];
const EOI: u8 = 0xd9;
const SOS: u8 = 0xda;

/// One part of the file.
enum Part<'a> {
    /// Marker and what stands in its segment, the length left out.
    Segment(u8, &'a [u8]),
    /// The picture's own bits after the head of a scan.
    Scan(&'a [u8]),
}

/// Goes through the file up to the end of the picture; what lies behind it, as a second picture may, is not looked at.
/// False where it is cut off before that.
fn walk<'a>(bytes: &'a [u8], mut each: impl FnMut(Part<'a>)) -> bool {
    let Some(mut rest) = bytes.strip_prefix(&SOI) else { return false };
    let mut scanned = false;
    loop {
        // Fill bytes may stand before any marker.
        let Some(fill) = rest.iter().position(|b| *b != 0xff).filter(|n| *n > 0) else { return scanned };
        let marker = rest[fill];
        rest = &rest[fill + 1..];
        match marker {
            EOI => return scanned,
            0x01 | 0xd0..=0xd7 => continue,
            _ => {}
        }
        let Some((&[high, low], behind)) = rest.split_first_chunk::<2>() else { return scanned };
        let length = usize::from(u16::from_be_bytes([high, low]));
        let Some((segment, after)) = length.checked_sub(2).and_then(|n| behind.split_at_checked(n)) else {
            return scanned;
        };
        each(Part::Segment(marker, segment));
        rest = after;
        if marker == SOS {
            // The bits last until a marker that is neither an escaped FF nor a restart.
            let ends = |w: &[u8]| w[0] == 0xff && !matches!(w[1], 0x00 | 0xd0..=0xd7 | 0xff);
            let end = rest.windows(2).position(ends).unwrap_or(rest.len());
            let (scan, after) = rest.split_at(end);
            each(Part::Scan(scan));
            rest = after;
            scanned = true;
        }
    }
}

/// What EXIF it has: the bytes of its TIFF.
pub(super) fn exif(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut found = None;
    walk(bytes, |part| {
        if let Part::Segment(0xe1, segment) = part
            && found.is_none()
        {
            found = segment.strip_prefix(b"Exif\0\0").map(<[u8]>::to_vec);
        }
    });
    found
}

/// The picture needs it to be read and shown in its colours.
fn is_needed(marker: u8, segment: &[u8]) -> bool {
    match marker {
        0xe0 => segment.starts_with(b"JFIF\0"),
        0xe2 => segment.starts_with(b"ICC_PROFILE\0"),
        0xee => segment.starts_with(b"Adobe"),
        // Other applications' data, and comments.
        0xe1..=0xef | 0xfe => false,
        _ => true,
    }
}

/// The file with nothing in it but the picture; none where it is no JPEG with one.
pub(super) fn bare(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = SOI.to_vec();
    let whole = walk(bytes, |part| match part {
        Part::Segment(marker, segment) if is_needed(marker, segment) => put(&mut out, marker, segment),
        Part::Segment(..) => {}
        Part::Scan(bits) => out.extend_from_slice(bits),
    });
    out.extend([0xff, EOI]);
    whole.then_some(out)
}

/// The file with this EXIF, which is the first thing in it.
pub(super) fn with_exif(bare: &[u8], exif: &[u8]) -> Vec<u8> {
    let mut segment = b"Exif\0\0".to_vec();
    segment.extend_from_slice(exif);
    if segment.len() > usize::from(u16::MAX) - 2 {
        return bare.to_vec();
    }
    let mut out = SOI.to_vec();
    put(&mut out, 0xe1, &segment);
    out.extend_from_slice(bare.get(SOI.len()..).unwrap_or_default());
    out
}

fn put(out: &mut Vec<u8>, marker: u8, segment: &[u8]) {
    // A segment that was read, or is short, has a length of 16 bits.
    let length = u16::try_from(segment.len() + 2).unwrap_or(u16::MAX);
    out.extend([0xff, marker]);
    out.extend(length.to_be_bytes());
    out.extend_from_slice(segment);
}
