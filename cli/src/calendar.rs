//! The spells as an iCalendar file (RFC 5545): an event a spell, in UTC, so that every calendar shows it right.

use fairspell::decision::{Decision, Spell, Units, when};
use fairspell::error::escaped;

/// Most octets of a line before it is folded (RFC 5545, 3.1).
const MAX_OCTETS: usize = 75;

/// The calendar. A verdict without a spell gives one all-day note, since an empty calendar is not allowed.
/// `alarm_min`: an alarm so many minutes before each spell.
pub fn calendar(decision: &Decision, units: Units, alarm_min: Option<i64>) -> String {
    let mut lines = Lines(String::new());
    lines.put("BEGIN", "VCALENDAR");
    lines.put("VERSION", "2.0");
    lines.put("PRODID", "-//fairspell//fairspell//EN");
    lines.put("CALSCALE", "GREGORIAN");
    lines.put("X-FAIRSPELL-VERDICT", decision.verdict.name());
    for (spell, uid) in decision.spells.iter().zip(uids(decision)) {
        event(&mut lines, decision, units, (spell, &uid, alarm_min));
    }
    if decision.spells.is_empty() {
        note(&mut lines, decision, units);
    }
    lines.put("END", "VCALENDAR");
    lines.0
}

fn event(
    lines: &mut Lines,
    decision: &Decision,
    units: Units,
    (spell, uid, alarm_min): (&Spell, &str, Option<i64>),
) {
    let is_now = decision.spell.is_some_and(|own| own.start == spell.start);
    lines.put("BEGIN", "VEVENT");
    lines.put("UID", uid);
    lines.put("DTSTAMP", &utc(decision.at));
    lines.put("DTSTART", &utc(spell.start));
    lines.put("DTEND", &utc(spell.end));
    lines.text(
        "SUMMARY",
        &format!(
            "{}: fair spell of {} h",
            decision.operation.title,
            spell.hours()
        ),
    );
    if let Some(site) = &decision.site {
        lines.text("LOCATION", site);
    }
    let mut description = vec![
        decision.headline(),
        format!("Fair {}.", decision.interval(spell.start, spell.end)),
        format!("Best start {}.", when(spell.best_start, decision.zone)),
    ];
    let sure = decision.confidence_text(spell);
    description.extend(sure.map(|sure| format!("Confidence {sure}.")));
    if is_now {
        description.extend(
            decision
                .reasons
                .iter()
                .map(|reason| decision.reason_text(reason, units)),
        );
    }
    description.extend(
        decision
            .caution_texts(spell.start, spell.end, units)
            .iter()
            .map(|text| format!("Caution: {text}")),
    );
    description.extend(tail(decision));
    lines.text("DESCRIPTION", &description.join("\n"));
    lines.put("TRANSP", "TRANSPARENT");
    if let Some(minutes) = alarm_min {
        lines.put("BEGIN", "VALARM");
        lines.put("ACTION", "DISPLAY");
        lines.put("TRIGGER", &format!("-PT{minutes}M"));
        lines.text(
            "DESCRIPTION",
            &format!(
                "{}: fair from {}",
                decision.operation.title,
                when(spell.start, decision.zone)
            ),
        );
        lines.put("END", "VALARM");
    }
    lines.put("END", "VEVENT");
}

fn note(lines: &mut Lines, decision: &Decision, units: Units) {
    lines.put("BEGIN", "VEVENT");
    lines.put("UID", &uid(decision, &local_date(decision, decision.at), 0));
    lines.put("DTSTAMP", &utc(decision.at));
    lines.put("DTSTART;VALUE=DATE", &local_date(decision, decision.at));
    lines.text(
        "SUMMARY",
        &format!(
            "{}: {}",
            decision.operation.title,
            decision.verdict.heading()
        ),
    );
    let mut description = vec![decision.headline()];
    description.extend(
        decision
            .reasons
            .iter()
            .map(|reason| decision.reason_text(reason, units)),
    );
    description.push("No spell up to the end of the forecast.".to_owned());
    description.extend(tail(decision));
    lines.text("DESCRIPTION", &description.join("\n"));
    lines.put("TRANSP", "TRANSPARENT");
    lines.put("END", "VEVENT");
}

fn tail(decision: &Decision) -> impl Iterator<Item = String> + '_ {
    let cautions = decision
        .standing_cautions()
        .iter()
        .map(|caution| caution.text.to_owned());
    decision.all_note_texts().into_iter().chain(cautions)
}

/// A UID for each spell, the same when asked again later: by the local day on which it ends, and which of that day's
/// spells it is, counted from the last. Beginnings and the first spells of a day pass while time goes on; ends do not.
fn uids(decision: &Decision) -> Vec<String> {
    let (mut day, mut number) = (String::new(), 0);
    let backwards = decision.spells.iter().rev().map(|spell| {
        let date = local_date(decision, spell.end - 1);
        number = if date == day { number + 1 } else { 1 };
        day.clone_from(&date);
        uid(decision, &date, number)
    });
    let mut uids: Vec<String> = backwards.collect();
    uids.reverse();
    uids
}

/// Operation, local day, which of that day it is, and place.
fn uid(decision: &Decision, date: &str, number: u32) -> String {
    let place = format!(
        "{}\n{}",
        decision.site.as_deref().unwrap_or_default(),
        decision.zone.name()
    );
    format!(
        "{}-{date}-{number}-{:016x}@fairspell",
        decision.operation.name,
        fnv_1a(place.as_bytes())
    )
}

/// FNV-1a, 64 bit: G. Fowler, L. C. Noll, K.-P. Vo, RFC 9923 draft (constants from memory). No secret, only a short name.
pub fn fnv_1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0100_0000_01b3)
    })
}

/// An instant in UTC (RFC 5545, 3.3.5).
pub fn utc(unix_s: i64) -> String {
    chrono::DateTime::from_timestamp(unix_s, 0).map_or_else(String::new, |time| {
        time.format("%Y%m%dT%H%M%SZ").to_string()
    })
}

fn local_date(decision: &Decision, unix_s: i64) -> String {
    fairspell::read::local_date(unix_s, decision.zone)
        .map_or_else(String::new, |date| date.format("%Y%m%d").to_string())
}

/// Lines of a calendar, folded and ended as RFC 5545 asks.
pub struct Lines(pub String);

impl Lines {
    /// A property whose value needs no escape. A fold falls before a blank where it can: some readers trim the ends
    /// of lines.
    pub fn put(&mut self, name: &str, value: &str) {
        let line = format!("{name}:{value}");
        let (mut rest, mut room) = (line.as_str(), MAX_OCTETS);
        while rest.len() > room {
            let fits = (1..=room)
                .rev()
                .find(|at| rest.is_char_boundary(*at))
                .unwrap_or(room);
            let head = rest.get(..fits).unwrap_or(rest);
            let blank = head.rfind(' ').filter(|at| *at > room / 2).unwrap_or(fits);
            let (head, tail) = rest.split_at(blank);
            self.0.push_str(head);
            self.0.push_str("\r\n ");
            (rest, room) = (tail, MAX_OCTETS - 1);
        }
        self.0.push_str(rest);
        self.0.push_str("\r\n");
    }

    /// A property of text (RFC 5545, 3.3.11): backslash, comma, semicolon and line break escaped.
    pub fn text(&mut self, name: &str, value: &str) {
        let lines: Vec<String> = value.split('\n').map(escaped).collect();
        let text = lines
            .join("\n")
            .replace('\\', "\\\\")
            .replace([';'], "\\;")
            .replace(',', "\\,")
            .replace('\n', "\\n");
        self.put(name, &text);
    }
}
