//! What a picture tells of itself (EXIF 2.3, tags from memory): when and where it was taken, and which side is up.

use crate::terms::Day;
use exif::experimental::Writer;
use exif::{Context, Exif, Field, In, Reader, Tag, Value};
use image::metadata::Orientation;
use std::io::Cursor;

/// Read from its EXIF, if it has any.
pub(super) struct About(Option<Exif>);

impl About {
    pub(super) fn read(tiff: Option<Vec<u8>>) -> Self {
        let read = |tiff| {
            let mut reader = Reader::new();
            reader.continue_on_error(true);
            // Of a damaged one what can be read.
            reader.read_raw(tiff).or_else(|e| e.distill_partial_result(|_| ())).ok()
        };
        Self(tiff.and_then(read))
    }

    fn field(&self, tag: Tag) -> Option<&Field> {
        self.0.as_ref()?.get_field(tag, In::PRIMARY)
    }

    /// The day the picture was taken, by the camera's clock.
    pub(super) fn taken(&self) -> Option<Day> {
        let tags = [Tag::DateTimeOriginal, Tag::DateTimeDigitized];
        tags.into_iter().find_map(|tag| match &self.field(tag)?.value {
            // `2026:04:03 21:10:05`
            Value::Ascii(texts) => {
                let text = std::str::from_utf8(texts.first()?).ok()?;
                Day::parse_iso(&text.get(..10)?.replace(':', "-")).ok()
            }
            _ => None,
        })
    }

    /// How the pixels are to be turned.
    pub(super) fn orientation(&self) -> Orientation {
        let n = self.field(Tag::Orientation).and_then(|f| f.value.get_uint(0));
        let n = n.and_then(|n| u8::try_from(n).ok());
        n.and_then(Orientation::from_exif).unwrap_or(Orientation::NoTransforms)
    }

    fn places(&self) -> impl Iterator<Item = &Field> {
        self.0.iter().flat_map(Exif::fields).filter(|f| f.tag.context() == Context::Gps)
    }

    /// It says where it was taken.
    pub(super) fn has_position(&self) -> bool {
        self.places().next().is_some()
    }

    /// EXIF of the little that is kept: the position if it may stay, with when it was taken, and how the pixels are to
    /// be turned if they were not. None where that is nothing.
    pub(super) fn kept(&self, position: bool, turned: Orientation) -> Option<Vec<u8>> {
        let up = Field {
            tag: Tag::Orientation,
            ifd_num: In::PRIMARY,
            value: Value::Short(vec![u16::from(turned.to_exif())]),
        };
        let mut writer = Writer::new();
        let mut some = false;
        if turned != Orientation::NoTransforms {
            writer.push_field(&up);
            some = true;
        }
        let taken = self.field(Tag::DateTimeOriginal).filter(|_| position && self.has_position());
        for field in self.places().filter(|f| position && f.ifd_num == In::PRIMARY).chain(taken) {
            if !matches!(field.value, Value::Unknown(..)) {
                writer.push_field(field);
                some = true;
            }
        }
        let mut out = Cursor::new(Vec::new());
        (some && writer.write(&mut out, false).is_ok()).then(|| out.into_inner())
    }
}
