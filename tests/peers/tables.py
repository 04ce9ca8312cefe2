"""Looks at tables that were taken out with other libraries than wrote them: zipfile, csv, openpyxl.

    tables.py everything FLOCK.zip       every file and column is in the dictionary, every sum is right
    tables.py sheets FOLDER              every FOLDER/KIND.xlsx says what FOLDER/KIND.csv says, typed
"""

import csv
import datetime
import hashlib
import io
import pathlib
import re
import sys
import zipfile

import openpyxl

NUMBER = re.compile(r"-?(0|[1-9][0-9]*)(\.[0-9]+)?")


def fail(why):
    sys.exit(f"tables.py: {why}")


def rows_of(data):
    """Heads and rows of a table; a quote before a sign that begins a formula is taken off."""
    text = data.decode("utf-8")
    table = list(csv.reader(io.StringIO(text, newline="")))
    if not table:
        fail("a table without a line of heads")
    for row in table:
        if len(row) != len(table[0]):
            fail(f"a row of {len(row)} values under {len(table[0])} heads: {row}")
        for cell in row:
            if cell[:1] in "=+@\t\r\n" and cell or cell[:1] == "-" and not NUMBER.fullmatch(cell):
                fail(f"a value that a spreadsheet takes for a formula: {cell!r}")
    return table[0], table[1:]


def everything(path):
    with zipfile.ZipFile(path) as z:
        if z.testzip():
            fail(f"{z.testzip()} is damaged")
        files = {name: z.read(name) for name in z.namelist()}
    if len(files) != len(z.namelist()):
        fail("a name stands twice in the ZIP")
    for name in files:
        if name.startswith("/") or ".." in name.split("/") or "\\" in name:
            fail(f"{name} leads elsewhere")
    heads, told = rows_of(files["dictionary.csv"])
    if heads != ["file", "column", "meaning", "unit", "format", "needed"]:
        fail(f"the dictionary has other columns: {heads}")
    if {r[0] for r in told if not r[1]} != set(files):
        fail(f"files and dictionary differ: {set(files) ^ {r[0] for r in told if not r[1]}}")
    tables = 0
    for name, data in files.items():
        columns = [r[1] for r in told if r[0] == name and r[1]]
        if name.endswith(".csv"):
            tables += 1
            heads, rows = rows_of(data)
            if heads != columns:
                fail(f"{name}: heads {heads}, dictionary {columns}")
            forms = {r[1]: r[4] for r in told if r[0] == name}
            for row in rows:
                for head, cell in zip(heads, row):
                    well_formed(name, head, cell, forms[head])
        elif columns:
            fail(f"{name} is no table, yet has columns")
    if any(not r[2] for r in told):
        fail("a column without a meaning")
    _, sums = rows_of(files["manifest.csv"])
    if {r[0] for r in sums} != set(files) - {"manifest.csv"}:
        fail("the manifest does not name every file")
    counted = 0
    for name, rows, size, sha in sums:
        data = files[name]
        if len(data) != int(size) or hashlib.sha256(data).hexdigest() != sha:
            fail(f"{name}: another size or sum than the manifest says")
        if name.endswith(".csv"):
            if len(rows_of(data)[1]) != int(rows):
                fail(f"{name}: another number of rows than the manifest says")
            counted += int(rows)
    kinds = [n for n in files if n.startswith("tables/")]
    if len(kinds) < 28 or not all(n.startswith(f"tables/{i + 1:02}-") for i, n in enumerate(kinds)):
        fail(f"the kinds are not there in order: {kinds}")
    print(f"{len(files)} files, {tables} tables, {counted} rows: every file and column told, every sum right")


def well_formed(name, head, cell, form):
    if not cell:
        return
    if form == "day as YYYY-MM-DD":
        datetime.date.fromisoformat(cell)
    elif form == "number with a decimal point" and not NUMBER.fullmatch(cell):
        fail(f"{name}, {head}: {cell!r} is no number")
    elif form == "yes or no" and cell not in ("yes", "no"):
        fail(f"{name}, {head}: {cell!r}")


def sheets(folder):
    folder = pathlib.Path(folder)
    files = sorted(folder.glob("*.xlsx"))
    if not files:
        fail(f"no spreadsheet in {folder}")
    seen = {"numbers": 0, "days": 0, "words": 0}
    for path in files:
        book = openpyxl.load_workbook(path)
        sheet = book.worksheets[0]
        if sheet.freeze_panes != "A2" or not sheet.auto_filter.ref:
            fail(f"{path.name}: the heads are not frozen, or there is no filter")
        heads, rows = rows_of(path.with_suffix(".csv").read_bytes())
        cells = list(sheet.iter_rows())
        if [c.value for c in cells[0]] != heads or not all(c.font.b for c in cells[0]):
            fail(f"{path.name}: other heads, or not bold")
        if len(cells) - 1 != len(rows):
            fail(f"{path.name}: {len(cells) - 1} rows, {len(rows)} in the CSV")
        for row, want in zip(cells[1:], rows):
            for cell, text in zip(row, want):
                same(path.name, cell, text, seen)
    print(f"{len(files)} spreadsheets, cell by cell as their CSV: {seen}")


def same(name, cell, text, seen):
    value = cell.value
    if cell.data_type == "f" or cell.hyperlink:
        fail(f"{name} {cell.coordinate}: a formula or a link")
    # The guard of CSV is not needed where text is text.
    if len(text) > 1 and text[0] == "'" and text.lstrip("'")[:1] in "=+-@\t\r\n":
        text = text[1:]
    if value is None:
        good = text == ""
    elif isinstance(value, datetime.datetime):
        seen["days"] += 1
        good = value.date().isoformat() == text and value.time() == datetime.time()
    elif isinstance(value, (int, float)):
        seen["numbers"] += 1
        good = float(text) == value and cell.alignment.horizontal == "right"
    else:
        seen["words"] += 1
        good = value.replace("\r\n", "\n") == text.replace("\r\n", "\n") and cell.number_format == "@"
    if not good:
        fail(f"{name} {cell.coordinate}: {value!r} in the spreadsheet, {text!r} in the CSV")


if __name__ == "__main__":
    match sys.argv[1:]:
        case ["everything", path]:
            everything(path)
        case ["sheets", path]:
            sheets(path)
        case _:
            sys.exit(__doc__)
