//! The chunks of a PNG file (PNG, third edition, §5 and §11; from memory): what they tell besides the picture is left
//! out, the picture itself is not touched.

const HEAD: &[u8] = b"\x89PNG\r\n\x1a\n";
/// Chunks that the pixels and their colours need.
const NEEDED: [&[u8; 4]; 12] = [
    b"IHDR", b"PLTE", b"IDAT", b"IEND", b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs",
    b"bKGD",
];

/// Goes through the chunks up to the last one: name, data, and the whole chunk with its length and sum. False where the
/// file is cut off before that.
fn walk<'a>(bytes: &'a [u8], mut each: impl FnMut(&[u8], &'a [u8], &'a [u8])) -> bool {
    let Some(mut rest) = bytes.strip_prefix(HEAD) else { return false };
    loop {
        let Some((&[a, b, c, d], behind)) = rest.split_first_chunk::<4>() else { return false };
        let Ok(length) = usize::try_from(u32::from_be_bytes([a, b, c, d])) else { return false };
        // Length, name and sum are four bytes each.
        let Some(whole) = length.checked_add(12).and_then(|n| rest.get(..n)) else { return false };
        let (name, data) = (&behind[..4], &behind[4..4 + length]);
        each(name, data, whole);
        if name == b"IEND" {
            return true;
        }
        rest = &rest[whole.len()..];
    }
}

/// What EXIF it has: the bytes of its TIFF.
pub(super) fn exif(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut found = None;
    walk(bytes, |name, data, _| {
        if name == b"eXIf" && found.is_none() && data.len() <= usize::from(u16::MAX) {
            found = Some(data.to_vec());
        }
    });
    found
}

/// The file with nothing in it but the picture; none where it is no whole PNG.
pub(super) fn bare(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut out = HEAD.to_vec();
    let whole = walk(bytes, |name, _, chunk| {
        if NEEDED.iter().any(|n| n.as_slice() == name) {
            out.extend_from_slice(chunk);
        }
    });
    whole.then_some(out)
}

/// The file with this EXIF, which stands behind its first chunk.
pub(super) fn with_exif(bare: &[u8], exif: &[u8]) -> Vec<u8> {
    let mut out = HEAD.to_vec();
    walk(bare, |name, _, chunk| {
        out.extend_from_slice(chunk);
        if name == b"IHDR" {
            let length = u32::try_from(exif.len()).unwrap_or_default();
            let body: Vec<u8> = b"eXIf".iter().chain(exif).copied().collect();
            out.extend(length.to_be_bytes());
            out.extend_from_slice(&body);
            out.extend(sum(&body).to_be_bytes());
        }
    });
    out
}

/// CRC-32 as the PNG standard's annex D has it.
pub(super) fn sum(bytes: &[u8]) -> u32 {
    let mut crc = u32::MAX;
    for b in bytes {
        crc ^= u32::from(*b);
        for _ in 0..8 {
            crc = if crc & 1 == 1 { (crc >> 1) ^ 0xedb8_8320 } else { crc >> 1 };
        }
    }
    !crc
}

#[cfg(test)]
mod tests {
    /// The sum of an empty last chunk, as every PNG file ends.
    #[test]
    fn the_sum_of_the_last_chunk() {
        assert_eq!(super::sum(b"IEND"), 0xae42_6082);
    }
}
