#!/usr/bin/env python3
"""Makes the five faces in this folder. Usage: subset.py FOLDER_OF_NODE_MODULES OUT

Needs fonttools, and the npm packages @expo-google-fonts/source-sans-3 and
@expo-google-fonts/source-serif-4 (plain TrueType files) under node_modules.
"""
import os
import sys

from fontTools import subset
from fontTools.pens.recordingPen import DecomposingRecordingPen
from fontTools.pens.ttGlyphPen import TTGlyphPen
from fontTools.ttLib import TTFont

BASE, OUT = os.path.join(sys.argv[1], "@expo-google-fonts"), sys.argv[2]
SANS, SERIF = "source-sans-3", "source-serif-4"
FACES = [
    ("HirselSans-Regular", f"{SANS}/400Regular/SourceSans3_400Regular.ttf", "Hirsel Sans", "Regular"),
    ("HirselSans-SemiBold", f"{SANS}/600SemiBold/SourceSans3_600SemiBold.ttf", "Hirsel Sans", "SemiBold"),
    ("HirselSans-Italic", f"{SANS}/400Regular_Italic/SourceSans3_400Regular_Italic.ttf", "Hirsel Sans", "Italic"),
    ("HirselSerif-Regular", f"{SERIF}/400Regular/SourceSerif4_400Regular.ttf", "Hirsel Serif", "Regular"),
    ("HirselSerif-SemiBold", f"{SERIF}/600SemiBold/SourceSerif4_600SemiBold.ttf", "Hirsel Serif", "SemiBold"),
]
# What one face lacks is taken from its partner: letters and marks into the serif, spaces into the sans.
PARTNER = {
    "HirselSerif-Regular": "HirselSans-Regular",
    "HirselSerif-SemiBold": "HirselSans-SemiBold",
    "HirselSans-Regular": "HirselSerif-Regular",
    "HirselSans-SemiBold": "HirselSerif-SemiBold",
    "HirselSans-Italic": "HirselSerif-Regular",
}


def wanted():
    """The characters kept: Latin to U+024F, Welsh letters, marks, punctuation, money, fractions, arrows, signs."""
    ranges = [(0x20, 0x7E), (0xA0, 0x24F), (0x2C6, 0x2DD), (0x300, 0x30C), (0x312, 0x313), (0x326, 0x328)]
    ranges += [(0x1E80, 0x1E85), (0x1EF2, 0x1EF3), (0x2000, 0x209C), (0x20A0, 0x20BF), (0x2150, 0x2189), (0x2190, 0x2199)]
    signs = "ẞ№℗™Ω℮∂∆∏∑−∕∙√∞∫≈≠≤≥μΔΩπ■□▲△▶▷▼▽◀◁◆◇◊○●◦★☆☐☑☒♀♂⚠⚥✓✗"
    return {u for a, b in ranges for u in range(a, b + 1)} | {ord(c) for c in signs}


def cut(source, family, style, name):
    """One face, subset and renamed ('Source' is a reserved name)."""
    font = TTFont(os.path.join(BASE, source))
    options = subset.Options()
    options.layout_features = ["kern", "liga", "mark", "mkmk", "ccmp", "locl"]
    options.name_IDs, options.hinting, options.glyph_names = ["*"], False, False
    options.notdef_outline, options.recalc_timestamp = True, False
    options.drop_tables += ["DSIG", "STAT", "meta"]
    cutter = subset.Subsetter(options)
    cutter.populate(unicodes=wanted())
    cutter.subset(font)
    table = font["name"]
    old = {r.nameID: r.toUnicode() for r in table.names}
    table.names = []
    plain = style in ("Regular", "Italic")
    version = old[5].replace("Version ", "").split(";")[0]
    for key, text in {
        0: old[0],
        1: family if plain else f"{family} {style}",
        2: style if plain else "Regular",
        3: f"1.000;HIRS;{name}",
        4: family if style == "Regular" else f"{family} {style}",
        5: f"Version 1.000; subset and renamed from version {version}",
        6: name,
        13: "This Font Software is licensed under the SIL Open Font License, Version 1.1.",
        14: "https://openfontlicense.org",
    }.items():
        table.setName(text, key, 3, 1, 0x409)
    if not plain:
        table.setName(family, 16, 3, 1, 0x409)
        table.setName(style, 17, 3, 1, 0x409)
    return font


def add(font, code, glyph, advance):
    """Puts one more glyph into a face."""
    name = "add%04X" % code
    font["glyf"][name] = glyph
    font["hmtx"][name] = (advance, glyph.xMin if glyph.numberOfContours else 0)
    for table in font["cmap"].tables:
        if table.isUnicode():
            table.cmap[code] = name


def caution(stem):
    """The caution sign, drawn here: neither family has it."""
    pen, s = TTGlyphPen(None), stem * 0.55
    for shape in (
        [(30, 0), (410, 690), (790, 0)],
        [(30 + stem * 1.75, stem), (790 - stem * 1.75, stem), (410, 690 - stem * 2.05)],
        [(410 - s, 210), (410 - s * 1.15, 430), (410 + s * 1.15, 430), (410 + s, 210)],
        [(410 - s, stem + 28), (410 - s, stem + 28 + 2 * s), (410 + s, stem + 28 + 2 * s), (410 + s, stem + 28)],
    ):
        pen.moveTo(shape[0])
        for point in shape[1:]:
            pen.lineTo(point)
        pen.closePath()
    glyph = pen.glyph()
    glyph.coordinates.toInt()
    glyph.recalcBounds(None)
    return glyph


def tick(stem):
    """A tick with a short left arm: the one of both families reads like a root sign."""
    left, foot, right = (50, 300), (225, 40), (535, 640)

    def inner(a, b):  # the line a-b moved inwards by the stem
        length = ((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5
        dx, dy = -(b[1] - a[1]) / length * stem, (b[0] - a[0]) / length * stem
        return (a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)

    (a, b), (c, d) = inner(left, foot), inner(foot, right)
    den = (a[0] - b[0]) * (c[1] - d[1]) - (a[1] - b[1]) * (c[0] - d[0])
    p, q = a[0] * b[1] - a[1] * b[0], c[0] * d[1] - c[1] * d[0]
    corner = ((p * (c[0] - d[0]) - (a[0] - b[0]) * q) / den, (p * (c[1] - d[1]) - (a[1] - b[1]) * q) / den)
    pen = TTGlyphPen(None)
    pen.moveTo(left)
    for point in (a, corner, d, right, foot):
        pen.lineTo(point)
    pen.closePath()
    glyph = pen.glyph()
    glyph.coordinates.toInt()
    glyph.recalcBounds(None)
    return glyph


fonts = {name: cut(source, family, style, name) for name, source, family, style in FACES}
chars = {name: dict(font.getBestCmap()) for name, font in fonts.items()}
owner = {name: font["name"].getDebugName(0) for name, font in fonts.items()}
outlines = {name: font.getGlyphSet() for name, font in fonts.items()}
borrowed = {}
for name in fonts:
    lender = PARTNER[name]
    for code, glyph in sorted(chars[lender].items()):
        if code in chars[name] or ("Sans" in name and not 0x2000 <= code <= 0x200A):
            continue
        record, pen = DecomposingRecordingPen(outlines[lender]), TTGlyphPen(None)
        outlines[lender][glyph].draw(record)
        record.replay(pen)
        new = pen.glyph()
        new.recalcBounds(None)
        borrowed[name, code] = (new, fonts[lender]["hmtx"][glyph][0])
for (name, code), (glyph, advance) in borrowed.items():
    add(fonts[name], code, glyph, advance)
for name, font in fonts.items():
    stem = 92 if "SemiBold" in name else 64
    add(font, 0x26A0, caution(stem), 820)
    add(font, 0x2713, tick(stem * 1.15), 600)
    if "Serif" in name:  # it holds outlines of both families
        font["name"].setName(f"{owner[name]} · {owner[PARTNER[name]]}", 0, 3, 1, 0x409)
    digits = [chars[name][ord(d)] for d in "0123456789"]
    widest = max(font["hmtx"][d][0] for d in digits)  # the italic differs by one unit
    for d in digits:
        font["hmtx"][d] = (widest, font["hmtx"][d][1])
    font.save(os.path.join(OUT, f"{name}.ttf"))
