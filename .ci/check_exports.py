#!/usr/bin/env python3
"""Checks what the program prints with nothing of the program's own: only Python's csv and datetime.

check_exports.py clearance DIR   clear dates of clearance.csv against treatments.csv
check_exports.py papers DIR      words and codes of the papers against the tables
check_exports.py ewe DIR         the tag of a ewe that has lambed, for typing
"""

import csv
import re
import sys
from datetime import date, datetime, time, timedelta
from pathlib import Path

# Cards without a choice of animals are for lambs of so many days.
YOUNG_DAYS = 60


def table(folder, name):
    with open(folder / f"{name}.csv", newline="", encoding="utf-8") as f:
        return list(csv.DictReader(f))


def plain(text):
    """A single quote before a sign that spreadsheets take for a formula is no part of the text."""
    return text[1:] if re.match(r"'[=+\-@\t\r\n]", text) else text


def period(text):
    """A withdrawal period as a time span, or the word for one that never ends."""
    text = text.strip().lower()
    if text in ("", "unknown"):
        return "unknown"
    if text == "never":
        return "never"
    n, unit = re.fullmatch(r"(\d+)\s*([a-z]*)", text).groups()
    if unit in ("h", "hour", "hours"):
        return timedelta(hours=int(n))
    assert unit in ("", "d", "day", "days"), text
    return timedelta(days=int(n))


def clear_on(given, at, span):
    """The first day that lies wholly after the period.

    The period runs from the last dose (Regulation (EU) 2019/6 art 4(34)); a label day of 24 hours is from memory.
    Time unknown: from the end of that day. The day of the dose itself is never clear.
    """
    if isinstance(span, str):
        return span
    start = datetime.combine(given, at) if at else datetime.combine(given + timedelta(days=1), time())
    end = start + span
    first = end.date() if end.time() == time() else end.date() + timedelta(days=1)
    return max(first, given + timedelta(days=1))


def worst(days):
    """The latest day; an unknown period outweighs any day, and never outweighs both."""
    for word in ("never", "unknown"):
        if word in days:
            return word
    return max(days).isoformat() if days else ""


def last_doses(rows):
    """How many doses each course is to have, as its latest dose says."""
    latest = {}
    for row in rows:
        if row.get("course"):
            key, dose = (row["tag"], row["course"]), (int(row["course_dose"]), int(row["course_of"]))
            latest[key] = max(latest.get(key, dose), dose)
    return {key: of for key, (_, of) in latest.items()}


def clearance(folder):
    given = {}
    treatments = table(folder, "treatments")
    courses = last_doses(treatments)
    for row in treatments:
        day = date.fromisoformat(row["on"])
        at = time.fromisoformat(row["time"]) if row["time"] else None
        if row.get("course"):
            # A course counts from its last dose, given or still to come.
            more = courses[(row["tag"], row["course"])] - int(row["course_dose"])
            hours = timedelta(hours=more * int(row["course_hours"]))
            if at:
                moment = datetime.combine(day, at) + hours
                day, at = moment.date(), moment.time()
            else:
                day += hours
        sides = given.setdefault(plain(row["tag"]), ([], []))
        for side, column in zip(sides, ("meat_days", "milk_days")):
            side.append(clear_on(day, at, period(row[column])))
    rows = table(folder, "clearance")
    treated = 0
    for row in rows:
        meat, milk = given.get(plain(row["tag"]), ([], []))
        treated += bool(meat)
        for what, wanted in (("meat", worst(meat)), ("milk", worst(milk))):
            found = row[f"{what}_clear_on"]
            assert found == wanted, f"{row['tag']}: {what} clear on '{found}', reckoned '{wanted}'"
    assert treated > 10, f"only {treated} of {len(rows)} animals were treated: the check says little"
    held = sum(1 for r in rows if r["meat_clear_on"] > date.today().isoformat())
    print(f"{len(rows)} animals, {treated} treated, {held} held for meat: clear dates agree")


def says(text, tag):
    return re.search(rf"(?<![\w/-]){re.escape(tag)}(?![\w/-])", text) is not None


def papers(folder):
    animals = {plain(r["tag"]): r for r in table(folder, "animals")}
    since = (date.today() - timedelta(days=YOUNG_DAYS)).isoformat()

    def here(tag):
        return tag in animals and animals[tag]["status"] in ("", "in the flock")

    def exact(day):
        return re.fullmatch(r"\d{4}-\d\d-\d\d", day) is not None

    lambs = {t for t, r in animals.items() if here(t) and exact(r["born"]) and r["born"] >= since}
    ewes = {plain(r["ewe"]) for r in table(folder, "lambings") if r["on"] >= since}
    treated = {plain(r["tag"]) for r in table(folder, "treatments")}
    wanted = {"lamb-cards": lambs, "pen-cards": {t for t in ewes if here(t)}, "treatment-log": treated}
    for paper, tags in wanted.items():
        text = (folder / f"{paper}.txt").read_text(encoding="utf-8")
        missing = sorted(t for t in tags if not says(text, t.split(" born ")[0]))
        assert len(tags) > 5, f"{paper}: only {len(tags)} tags to look for"
        assert not missing, f"{paper} lacks {missing[:10]} ({len(missing)} of {len(tags)})"
        print(f"{paper}: all {len(tags)} tags are there")
    codes = {line.strip() for line in (folder / "codes.txt").read_text(encoding="utf-8").splitlines() if line.strip()}
    assert codes <= lambs, f"codes that are no lamb's tag: {sorted(codes - lambs)[:10]}"
    # A picture of 100 dots to the inch is coarse: a reader may miss a few.
    assert len(codes) >= 0.9 * len(lambs), f"{len(codes)} codes read on the cards of {len(lambs)} lambs"
    print(f"lamb-cards: {len(codes)} of {len(lambs)} codes read, each a lamb's tag")


def ewe(folder):
    animals = {plain(r["tag"]): r for r in table(folder, "animals")}
    for row in reversed(table(folder, "lambings")):
        tag = plain(row["ewe"])
        if tag in animals and animals[tag]["status"] in ("", "in the flock"):
            print(tag)
            return
    raise AssertionError("no ewe of the flock has lambed")


if __name__ == "__main__":
    {"clearance": clearance, "papers": papers, "ewe": ewe}[sys.argv[1]](Path(sys.argv[2]))
