//! Entries as iCalendar text (RFC 5545, September 2009; rules read in summary, sections from memory).

use super::entry::Entry;
use super::{Alarm, Ask};
use crate::flock::Stamp;
use crate::terms::Day;
use chrono::{DateTime, Utc};
use icalendar::{Alarm as Reminder, Calendar, Component, Event, Property, Todo};

/// Octets of a line, its break not counted (RFC 5545, 3.1).
pub(super) const LINE: usize = 75;

/// The file.
pub(super) fn text(flock: &str, all: &[Entry], ask: &Ask, stamp: &Stamp, today: Day) -> String {
    let mut calendar = Calendar::empty();
    let name = if flock.trim().is_empty() { "Flock".to_string() } else { clean(flock) };
    for (key, value) in [
        ("VERSION", "2.0"),
        ("PRODID", "-//Hirsel//Flock book//EN"),
        ("CALSCALE", "GREGORIAN"),
        ("X-WR-CALNAME", name.as_str()),
    ] {
        calendar.append_property(Property::new(key, value));
    }
    let marks = Marks::of(stamp, today);
    for entry in all {
        if ask.todo {
            calendar.push(todo(entry, ask.alarm, &marks));
        } else {
            calendar.push(event(entry, ask.alarm, &marks));
        }
    }
    folded(&calendar.to_string())
}

/// What is the same for all entries of a file.
struct Marks {
    sequence: u32,
    stamp: String,
}

impl Marks {
    fn of(stamp: &Stamp, today: Day) -> Self {
        // See the module's head: neither of the two ever falls.
        let days = Day::new(2020, 1, 1).map_or(0, |first| today.since(first)).max(0);
        let sequence = stamp.clock.saturating_add(u32::try_from(days).unwrap_or_default());
        // Entries change with the day as well as with a write.
        let midnight = Day::new(1970, 1, 1).map_or(0, |first| today.since(first)) * 86_400;
        let at = DateTime::<Utc>::from_timestamp(stamp.at.max(midnight), 0).unwrap_or_default();
        // The value of SEQUENCE is an integer of 31 bits (RFC 5545, 3.3.8).
        Self { sequence: sequence.min(i32::MAX as u32), stamp: at.format("%Y%m%dT%H%M%SZ").to_string() }
    }
}

fn day(key: &str, day: Day) -> Property {
    Property::new(key, day.to_string().replace('-', "")).add_parameter("VALUE", "DATE").done()
}

/// What days and things to do have alike.
fn common<C: Component>(of: &mut C, entry: &Entry, marks: &Marks) {
    of.add_property("UID", &entry.uid)
        .add_property("DTSTAMP", &marks.stamp)
        .add_property("LAST-MODIFIED", &marks.stamp)
        .add_property("SEQUENCE", marks.sequence.to_string())
        .add_property("SUMMARY", clean(&entry.title))
        .add_property("CATEGORIES", entry.kind.words());
    if !entry.lines.is_empty() {
        let lines: Vec<String> = entry.lines.iter().map(|l| clean(l)).collect();
        of.add_property("DESCRIPTION", lines.join("\n"));
    }
    if !entry.place.is_empty() {
        of.add_property("LOCATION", clean(&entry.place));
    }
}

fn event(entry: &Entry, alarm: Alarm, marks: &Marks) -> Event {
    let mut event = Event::new();
    common(&mut event, entry, marks);
    event
        .append_property(day("DTSTART", entry.day))
        // The day after the last: whole days end where the next begins.
        .append_property(day("DTEND", entry.day.plus(1)))
        .add_property("TRANSP", "TRANSPARENT")
        .add_property("STATUS", if entry.withdrawn { "CANCELLED" } else { "CONFIRMED" });
    if let Some(reminder) = reminder(entry, alarm, false) {
        event.append_component(reminder);
    }
    event.done()
}

fn todo(entry: &Entry, alarm: Alarm, marks: &Marks) -> Todo {
    let mut todo = Todo::new();
    common(&mut todo, entry, marks);
    todo.append_property(day("DUE", entry.day))
        .add_property("STATUS", if entry.withdrawn { "CANCELLED" } else { "NEEDS-ACTION" });
    if let Some(reminder) = reminder(entry, alarm, true) {
        todo.append_component(reminder);
    }
    todo.done()
}

/// Reminders count from the midnight at which the day begins. A thing to do has no start: there they count from its
/// due day.
fn reminder(entry: &Entry, alarm: Alarm, from_due: bool) -> Option<Reminder> {
    let before = match alarm {
        _ if entry.withdrawn => return None,
        Alarm::None => return None,
        Alarm::Evening => "-PT5H",
        Alarm::Morning => "PT7H",
    };
    let mut trigger = Property::new("TRIGGER", before);
    if from_due {
        trigger.add_parameter("RELATED", "END");
    }
    let mut reminder = Reminder::display(&clean(&entry.title), chrono::Duration::zero());
    reminder.append_property(trigger.done());
    Some(reminder)
}

/// Controls have no place in a text value; what breaks lines becomes a space.
fn clean(words: &str) -> String {
    words.chars().map(|c| if c.is_control() { ' ' } else { c }).collect::<String>().trim().to_string()
}

/// The same lines folded so that none is longer than [`LINE`], the space at the head of a line that goes on included,
/// and none is cut inside a character. The library's own folds count that space out.
fn folded(text: &str) -> String {
    let whole = text.replace("\r\n ", "");
    let mut out = String::with_capacity(text.len() + text.len() / 60);
    for line in whole.split("\r\n").filter(|l| !l.is_empty()) {
        let mut used = 0;
        for c in line.chars() {
            if used + c.len_utf8() > LINE {
                out.push_str("\r\n ");
                used = 1;
            }
            out.push(c);
            used += c.len_utf8();
        }
        out.push_str("\r\n");
    }
    out
}
