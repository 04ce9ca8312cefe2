"""The calendar of what is due as another library reads it.

    python due_calendar.py DUE.ics AGAIN.ics DUE.csv FROM TO

DUE.ics is `hirsel export BOOK due --each --kinds jobs --alarm morning`, AGAIN.ics the same once more on the next day, and
DUE.csv `hirsel reckon BOOK due --format csv` of the first day. The days from FROM to TO are those both hold. Checked are
identities that are unique and kept, whole days, reminders, rising revisions, and that every job of the table has its entry
and no other is there. Ends with 1 where something differs.
"""

import csv
import sys
from collections import Counter
from datetime import date, timedelta
from pathlib import Path

from icalendar import Calendar

faults = []


def read(path):
    text = Path(path).read_bytes()
    for n, line in enumerate(text.split(b"\r\n"), 1):
        if len(line) > 75:
            faults.append(f"{path}, line {n}: {len(line)} octets")
    calendar = Calendar.from_ical(text)
    for key in ("VERSION", "PRODID"):
        if not calendar.get(key):
            faults.append(f"{path}: no {key}")
    entries = {}
    for event in calendar.walk("VEVENT"):
        uid = str(event["UID"])
        if uid in entries:
            faults.append(f"{path}: {uid} twice")
        entries[uid] = event
        start, end = event["DTSTART"].dt, event["DTEND"].dt
        if type(start) is not date or end - start != timedelta(days=1):
            faults.append(f"{path}: {event['SUMMARY']} is no whole day: {start} to {end}")
        if str(event["TRANSP"]) != "TRANSPARENT":
            faults.append(f"{path}: {event['SUMMARY']} takes the day")
        alarms = [a for a in event.walk("VALARM")]
        gone = str(event["STATUS"]) == "CANCELLED"
        if gone and alarms:
            faults.append(f"{path}: {event['SUMMARY']} is withdrawn and reminds")
        if not gone and [a["TRIGGER"].dt for a in alarms] != [timedelta(hours=7)]:
            faults.append(f"{path}: {event['SUMMARY']} does not remind at seven")
    return entries


def main(first, again, table, begin, end):
    one, two = read(first), read(again)
    begin, end = date.fromisoformat(begin), date.fromisoformat(end)
    kept = one.keys() & two.keys()
    if len(kept) < min(len(one), len(two)) * 3 // 4:
        faults.append(f"only {len(kept)} of {len(one)} and {len(two)} entries have the same identity a day later")
    for uid in kept:
        if int(two[uid]["SEQUENCE"]) <= int(one[uid]["SEQUENCE"]):
            faults.append(f"the revision of {one[uid]['SUMMARY']} does not rise")
    with open(table, encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    # What is late stands on the first day.
    wanted = Counter(
        (r["job"], r["tag"], max(date.fromisoformat(r["due"]), begin))
        for r in rows
        if r["state"] in ("early", "due", "overdue") and "put off" not in r["why"]
    )
    late = sum(r["state"] == "overdue" for r in rows)
    found = Counter()
    for event in one.values():
        day = event["DTSTART"].dt
        if str(event["STATUS"]) == "CANCELLED" or not begin <= day <= end or "Put off" in str(event["DESCRIPTION"]):
            continue
        title = str(event["SUMMARY"]).removesuffix(", late")
        job, whom = title.rsplit(": ", 1)
        found[(job, whom.split(" ")[0], day)] += 1
    wanted = Counter({k: n for k, n in wanted.items() if begin <= k[2] <= end})
    for key, n in (wanted - found).items():
        faults.append(f"in the table {n} times more than in the calendar: {key}")
    for key, n in (found - wanted).items():
        faults.append(f"in the calendar {n} times more than in the table: {key}")
    if not found:
        faults.append("no job at all")
    for fault in faults[:20]:
        print(fault, file=sys.stderr)
    print(f"{sum(found.values())} jobs ({late} overdue) stand in both, {len(kept)} entries kept their identity: "
          f"{len(faults)} faults")
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))
