//! The answer as JSON, by the schema `fairspell.hindcast/1`.

mod forecasts;

use chrono::{DateTime, SecondsFormat};
use serde::Serialize;

use super::{Counts, DayCounts, Hindcast, LogAnswer, ODDS_DAYS, Odds, Season, Week};
use crate::decision::{Decision, Spell, Units};
use crate::json::written;
use crate::operation::StandingCaution;
use forecasts::JsonForecasts;

#[derive(Serialize)]
struct Root<'a> {
    schema: &'static str,
    operation: &'a str,
    title: &'a str,
    station: Station<'a>,
    site: Option<&'a str>,
    zone: &'static str,
    record: Record,
    hours_needed: usize,
    hours: Counts,
    days: DayCounts,
    spells: Vec<JsonSpell>,
    by_rule: Vec<JsonRule<'a>>,
    weeks: Vec<JsonWeek>,
    season: Span,
    seasons: Vec<JsonSeason>,
    odds: Vec<JsonOdds>,
    log: Vec<JsonLog<'a>>,
    forecasts: Option<JsonForecasts>,
    unchecked: Vec<&'a str>,
    notices: &'a [String],
    cautions: &'a [StandingCaution],
}

#[derive(Serialize)]
struct Station<'a> {
    id: &'a str,
}

#[derive(Serialize)]
struct Record {
    start: String,
    end: String,
    hours: usize,
}

#[derive(Serialize)]
struct JsonSpell {
    start: String,
    end: String,
    hours: i64,
    best_start: String,
    confidence: Option<f64>,
}

#[derive(Serialize)]
struct JsonRule<'a> {
    rule: &'a str,
    hours: usize,
    alone: usize,
}

#[derive(Serialize)]
struct JsonWeek {
    week: u32,
    from: String,
    hours: Counts,
    days: DayCounts,
    spells: usize,
}

#[derive(Serialize)]
struct Span {
    from: String,
    to: String,
}

#[derive(Serialize)]
struct JsonSeason {
    year: i32,
    from: String,
    to: String,
    whole: bool,
    hours: Counts,
    days: DayCounts,
    spells: usize,
    first_chance: Option<String>,
    last_chance: Option<String>,
    may_hide: bool,
}

#[derive(Serialize)]
struct JsonOdds {
    month_day: String,
    days: u32,
    years: usize,
    hits: usize,
    undecided: usize,
    probability: Option<f64>,
    low_95: f64,
    high_95: f64,
}

#[derive(Serialize)]
struct JsonLog<'a> {
    written: &'a str,
    operation: &'a str,
    note: &'a str,
    judgement: &'static str,
    start: String,
    end: String,
    reasons: Vec<JsonReason<'a>>,
    nearest: Option<JsonSpell>,
}

#[derive(Serialize)]
struct JsonReason<'a> {
    rule: &'a str,
    time: String,
    value: Option<f64>,
    limit: Option<f64>,
    margin: Option<f64>,
    unit: &'static str,
    text: String,
}

impl Hindcast {
    /// The answer as one JSON object by the schema `fairspell.hindcast/1`, without line breaks.
    ///
    /// What is not known is null. Times carry the offset of the place's clock.
    #[must_use]
    pub fn to_json(&self) -> String {
        written(&self.root())
    }

    fn root(&self) -> Root<'_> {
        Root {
            schema: "fairspell.hindcast/1",
            operation: &self.operation.name,
            title: &self.operation.title,
            station: Station { id: &self.station },
            site: self.site.as_deref(),
            zone: self.zone.name(),
            record: self.json_record(),
            hours_needed: self.hours_needed(),
            hours: self.hours,
            days: self.days,
            spells: self
                .spells
                .iter()
                .map(|spell| self.json_spell(spell))
                .collect(),
            by_rule: self.json_rules(),
            weeks: self.weeks_of_the_year().iter().map(json_week).collect(),
            season: Span {
                from: self.span.from.to_string(),
                to: self.span.to.to_string(),
            },
            seasons: self.json_seasons(),
            odds: self.listed_odds().iter().map(json_odds).collect(),
            log: self.log.iter().map(|entry| self.json_log(entry)).collect(),
            forecasts: self
                .forecasts
                .as_ref()
                .map(|record| self.json_forecasts(record)),
            unchecked: self
                .unchecked
                .iter()
                .map(|rule| self.rule_name(*rule))
                .collect(),
            notices: &self.notices,
            cautions: &self.operation.cautions,
        }
    }

    fn json_record(&self) -> Record {
        Record {
            start: self.iso(self.start),
            end: self.iso(self.end),
            hours: self.hours.all(),
        }
    }

    fn rule_name(&self, rule: usize) -> &str {
        let rule = self.operation.rules.get(rule);
        rule.map_or("", |rule| rule.name.as_str())
    }

    fn json_rules(&self) -> Vec<JsonRule<'_>> {
        let rules = self.by_rule.iter();
        rules
            .map(|cost| JsonRule {
                rule: self.rule_name(cost.rule),
                hours: cost.hours,
                alone: cost.alone,
            })
            .collect()
    }

    /// A time with the offset of the place's clock, in ISO 8601.
    #[must_use]
    pub fn iso(&self, unix_s: i64) -> String {
        DateTime::from_timestamp(unix_s, 0).map_or_else(String::new, |time| {
            time.with_timezone(&self.zone)
                .to_rfc3339_opts(SecondsFormat::Secs, false)
        })
    }

    /// The odds from the first day of each week of the year, as far as the season goes.
    #[must_use]
    pub fn listed_odds(&self) -> Vec<Odds> {
        let weeks = (1..=super::calendar::WEEKS).map(|week| Week {
            week,
            ..Week::default()
        });
        let starts = weeks.filter_map(|week| week.starts());
        let starts = starts.filter(|start| self.span.has(*start));
        let each = starts.flat_map(|start| ODDS_DAYS.map(|days| self.odds(start, days)));
        each.filter(|odds| odds.years > 0).collect()
    }

    fn json_spell(&self, spell: &Spell) -> JsonSpell {
        JsonSpell {
            start: self.iso(spell.start),
            end: self.iso(spell.end),
            hours: spell.hours(),
            best_start: self.iso(spell.best_start),
            confidence: None,
        }
    }

    fn json_seasons(&self) -> Vec<JsonSeason> {
        let seasons = self.seasons.iter();
        seasons.map(|season| self.json_season(season)).collect()
    }

    fn json_season(&self, season: &Season) -> JsonSeason {
        let iso = |time: Option<i64>| time.map(|time| self.iso(time));
        JsonSeason {
            year: season.year,
            from: season.from.to_string(),
            to: season.to.to_string(),
            whole: season.is_whole,
            hours: season.hours,
            days: season.days,
            spells: season.spells,
            first_chance: iso(season.first_chance),
            last_chance: iso(season.last_chance),
            may_hide: season.may_hide,
        }
    }

    fn json_log<'a>(&self, entry: &'a LogAnswer) -> JsonLog<'a> {
        let done = &entry.done;
        let reasons = entry
            .decision
            .as_deref()
            .map(|decision| self.reasons(decision));
        JsonLog {
            written: &done.written,
            operation: &done.operation,
            note: &done.note,
            judgement: entry.judgement.name(),
            start: self.iso(entry.start),
            end: self.iso(entry.end),
            reasons: reasons.unwrap_or_default(),
            nearest: entry.nearest.as_ref().map(|spell| self.json_spell(spell)),
        }
    }

    /// Of each rule that fails in the hours judged, the hour in which it fails by most.
    fn reasons<'a>(&self, decision: &'a Decision) -> Vec<JsonReason<'a>> {
        let finite = |value: f64| value.is_finite().then_some(value + 0.0);
        let reason = |(time, hindrance): (i64, crate::decision::Hindrance)| {
            let rule = decision.rule(hindrance.rule)?;
            Some(JsonReason {
                rule: &rule.name,
                time: self.iso(time),
                value: finite(hindrance.value),
                limit: finite(hindrance.limit),
                margin: finite(hindrance.margin),
                unit: rule.unit().symbol(),
                text: decision.finding_text(&hindrance, time, Units::AsWritten),
            })
        };
        worst(decision).into_iter().filter_map(reason).collect()
    }
}

/// Of each rule that fails in the hours asked about, the hour in which it fails by most, the earliest of several.
#[must_use]
pub fn worst(decision: &Decision) -> Vec<(i64, crate::decision::Hindrance)> {
    let mut worst: Vec<(i64, crate::decision::Hindrance)> = Vec::new();
    let hours = decision.hours.iter();
    for hour in hours.take_while(|hour| hour.time < decision.until) {
        for found in decision.hindrances(hour) {
            match worst.iter_mut().find(|(_, known)| known.rule == found.rule) {
                Some(known) if found.margin < known.1.margin => *known = (hour.time, found),
                Some(_) => {}
                None => worst.push((hour.time, found)),
            }
        }
    }
    worst.sort_by_key(|(_, found)| found.rule);
    worst
}

fn json_week(week: &Week) -> JsonWeek {
    JsonWeek {
        week: week.week,
        from: week
            .starts()
            .map_or_else(String::new, |start| start.to_string()),
        hours: week.hours,
        days: week.days,
        spells: week.spells,
    }
}

fn json_odds(odds: &Odds) -> JsonOdds {
    JsonOdds {
        month_day: odds.from.to_string(),
        days: odds.days,
        years: odds.years,
        hits: odds.hits,
        undecided: odds.undecided,
        probability: odds.probability,
        low_95: odds.interval_95.0,
        high_95: odds.interval_95.1,
    }
}
