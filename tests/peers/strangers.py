"""Files from strangers that claim more than they are: each is refused in words, soon, and in bounded memory.

strangers.py HIRSEL [MEGABYTES [SECONDS]]

The files are made here by Python's own libraries, after what is known of such files: archives that unpack without end,
sheets that claim every cell there is, pictures that claim more pixels than any memory, brackets without end, a passphrase
that would take years to try, an SQLite file that brings things to run.
"""

import os
import pathlib
import resource
import sqlite3
import struct
import subprocess
import sys
import tempfile
import time
import zipfile
import zlib

hirsel = str(pathlib.Path(sys.argv[1]).absolute())
megabytes = float(sys.argv[2]) if len(sys.argv) > 2 else 300.0
seconds = float(sys.argv[3]) if len(sys.argv) > 3 else 20.0
room = pathlib.Path(tempfile.mkdtemp(prefix="strangers-"))
os.environ["HIRSEL_HOME"] = str(room / "home")
faults = []

SHEET = '<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">{}</worksheet>'


def xlsx(name, sheet, shared=None):
    """A workbook with one sheet; `sheet` gives its bytes in pieces."""
    types = (
        '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
        '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
        '<Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
        '<Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/>'
        '<Override PartName="/xl/sharedStrings.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>'
        "</Types>"
    )
    rels = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
    kind = "http://schemas.openxmlformats.org/officeDocument/2006/relationships/"
    book = (
        '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" '
        'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
        '<sheets><sheet name="Sheet1" sheetId="1" r:id="rId1"/></sheets></workbook>'
    )
    path = room / name
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("[Content_Types].xml", types)
        z.writestr("_rels/.rels", rels.format(f'<Relationship Id="rId1" Type="{kind}officeDocument" Target="xl/workbook.xml"/>'))
        z.writestr("xl/workbook.xml", book)
        z.writestr(
            "xl/_rels/workbook.xml.rels",
            rels.format(
                f'<Relationship Id="rId1" Type="{kind}worksheet" Target="worksheets/sheet1.xml"/>'
                f'<Relationship Id="rId2" Type="{kind}sharedStrings" Target="sharedStrings.xml"/>'
            ),
        )
        for part, pieces in (("xl/worksheets/sheet1.xml", sheet), ("xl/sharedStrings.xml", shared or [b"<sst/>"])):
            with z.open(part, "w", force_zip64=True) as f:
                for piece in pieces:
                    f.write(piece)
    return path


def cell(at, text):
    return f'<c r="{at}" t="inlineStr"><is><t>{text}</t></is></c>'


def ods(name, rows):
    path = room / name
    content = (
        '<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" '
        'xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" '
        'xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>'
        f'<table:table table:name="Sheet1">{rows}</table:table>'
        "</office:spreadsheet></office:body></office:document-content>"
    )
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as z:
        z.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet", zipfile.ZIP_STORED)
        z.writestr("content.xml", content)
        z.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"/>',
        )
    return path


def png(name, wide, high, rows=None):
    """A grey picture; `rows` rows of noughts are really there."""

    def chunk(kind, data):
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    squeeze = zlib.compressobj(9)
    body = b""
    for _ in range(rows or 1):
        body += squeeze.compress(b"\0" * (wide + 1))
    body += squeeze.flush()
    path = room / name
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", struct.pack(">IIBBBBB", wide, high, 8, 0, 0, 0, 0))
        + chunk(b"IDAT", body)
        + chunk(b"IEND", b"")
    )
    return path


def jpeg(name, wide, high):
    path = room / name
    path.write_bytes(
        b"\xff\xd8\xff\xe0\x00\x10JFIF\0\x01\x01\0\0\x01\0\x01\0\0"
        + b"\xff\xc0\x00\x0b\x08" + struct.pack(">HH", high, wide) + b"\x01\x01\x11\x00"
        + b"\xff\xda\x00\x08\x01\x01\x00\x00\x3f\x00" + b"\0" * 1000 + b"\xff\xd9"
    )
    return path


def plain(name, pieces):
    path = room / name
    with open(path, "wb") as f:
        for piece in pieces:
            f.write(piece)
    return path


def foreign(name, *sql):
    """A database with what is asked for, or a file that is there with that besides."""
    path = room / name
    db = sqlite3.connect(path)
    for line in sql:
        db.execute(line)
    db.commit()
    db.close()
    return path


def ours(name, *sql):
    """A true book with something more in it."""
    subprocess.run([hirsel, "new", str(room / name), "--flock", "Strangers"], check=True, stdout=subprocess.DEVNULL)
    return foreign(name, *sql)


def refused(what, *words, refuses=True):
    """Runs the program: it ends in words, in time, in bounds, and the room holds what it held."""
    before = sorted(p.name for p in room.iterdir())
    began = time.monotonic()
    child = subprocess.Popen(
        [hirsel, *map(str, words)], stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    try:
        said = child.stdout.read().decode("utf-8", "replace")
        _, status, used = os.wait4(child.pid, 0)
    except KeyboardInterrupt:
        child.kill()
        raise
    took, held, code = time.monotonic() - began, used.ru_maxrss / 1024, os.waitstatus_to_exitcode(status)
    child.returncode = code
    print(f"{took:6.2f} s {held:5.0f} MB  exit {code:3}  {what}: {' '.join(said.split())[:110]}")
    wrong = []
    if (code not in (1, 2)) if refuses else (code not in (0, 1, 2)):
        wrong.append(f"it ended with {code}")
    if code in (1, 2) and not said.strip():
        wrong.append("it said nothing")
    if "panicked" in said:
        wrong.append("it panicked")
    if took > seconds:
        wrong.append(f"{took:.1f} s")
    if held > megabytes:
        wrong.append(f"{held:.0f} MB")
    after = sorted(p.name for p in room.iterdir() if not p.name.endswith(("-wal", "-shm")) and p.name != "home")
    new = [n for n in after if n not in before and "copies" not in n]
    if new:
        wrong.append(f"it wrote {new}")
    if wrong:
        faults.append(f"{what}: {', '.join(wrong)}")


resource.setrlimit(resource.RLIMIT_FSIZE, (4 << 30, 4 << 30))
book = ours("book.hirsel")
ewe = plain("ewe.csv", [b"tag,sex\n0001,ewe\n"])
subprocess.run([hirsel, "import", str(book), "animals", str(ewe)], check=True, stdout=subprocess.DEVNULL)
head = "<row r='1'>" + cell("A1", "tag") + cell("B1", "sex") + "</row>"
nought = b" " * (1 << 20)

sheets = [
    ("a sheet that unpacks to 2 GB", xlsx("bomb.xlsx", [b"<worksheet><sheetData>", *[nought] * 2048])),
    (
        "a sheet with a cell in the last corner",
        xlsx("corner.xlsx", [SHEET.format(
            f"<dimension ref='A1:XFD1048576'/><sheetData>{head}<row r='1048576'>{cell('XFD1048576', 'x')}</row></sheetData>"
        ).encode()]),
    ),
    (
        "words of a sheet without end",
        xlsx("words.xlsx", [SHEET.format(f"<sheetData>{head}</sheetData>").encode()],
             [b"<sst>", *[b"<si><t>sheep</t></si>" * 40000] * 1000, b"</sst>"]),
    ),
    (
        "a row repeated a million times over",
        ods("rows.ods", '<table:table-row table:number-rows-repeated="1048576">'
            '<table:table-cell table:number-columns-repeated="16384" office:value-type="string"><text:p>x</text:p>'
            "</table:table-cell></table:table-row>"),
    ),
    ("one line of 300 MB", plain("line.csv", [b"tag,sex\n", *[b"x" * (1 << 20)] * 300])),
    ("a line of 30 million cells", plain("cells.csv", [b"tag,sex\n", *[b"," * (1 << 20)] * 30])),
    ("quotes that never end", plain("quotes.csv", [b'tag,sex\n"', *[b"y\n" * (1 << 19)] * 200])),
    ("noughts of a device", plain("noughts.csv", [b"\0" * (1 << 20)] * 64)),
]
for what, path in sheets:
    refused(what, "import", book, "any", path)
refused("a list of 100 MB", "roll", book, plain("list.txt", [b"826 0999 9990 0014 x\n" * 50000] * 100), refuses=False)
refused("a scale file of 200 MB in one line", "read-scale", book, plain("scale.txt", [b"7" * (1 << 20)] * 200))
refused("brackets without end", "import", book, "standard", plain("deep.json", [b"[" * (1 << 20)] * 20))
refused("a member of 200 MB", "import", book, "standard", plain("long.json", [b'{"member":[{"id":"', *[b"z" * (1 << 20)] * 200]))
for what, path in [
    ("a picture of 100,000 by 100,000", png("wide.png", 100000, 100000)),
    ("a picture of 30,000 by 30,000, all there", png("full.png", 30000, 30000, 30000)),
    ("a photograph of 65,500 by 65,500", jpeg("wide.jpg", 65500, 65500)),
    ("a paper of 200 MB", plain("paper.pdf", [b"%PDF-1.7\n", *[nought] * 200])),
]:
    refused(what, "attach", book, path, "--animal", "0001")
(room / "word.txt").write_text("hay barn gate moon\n")
hard = plain("hard.age", [b"age-encryption.org/v1\n-> scrypt AAAAAAAAAAAAAAAAAAAAAA 40\n" + b"A" * 43 + b"\n--- " + b"A" * 43 + b"\n" + b"\0" * 200])
refused("a passphrase that takes years to try", "restore", hard, room / "back.hirsel", "--passphrase-file", room / "word.txt")
for what, path in [
    ("a database of another program", foreign("other.hirsel", "create table t (a)", "insert into t values (1)")),
    ("a book with a trigger", ours("trigger.hirsel", "create trigger t after insert on animal begin delete from animal; end")),
    ("a book with a view", ours("view.hirsel", "create view v as select * from animal")),
    ("a book with a search table", ours("search.hirsel", "create virtual table f using fts5(a)")),
    ("a file of noughts", plain("noughts.hirsel", [b"\0" * 4096])),
]:
    refused(what, "check", path)

print(f"{len(faults)} faults" if faults else "each was refused in words, in time and in bounds")
for fault in faults:
    print(f"FAULT {fault}", file=sys.stderr)
subprocess.run(["rm", "-rf", str(room)])
sys.exit(1 if faults else 0)
