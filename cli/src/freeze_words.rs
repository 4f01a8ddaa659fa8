//! Sentences about freezes that the text, the page and the picture share.

use std::collections::BTreeMap;

use chrono::NaiveDate;
use fairspell::freeze::{
    Asked, AtThreshold, Half, HalfName, Headline, LEAST_RISK_YEARS, MAX_MISSING_DAYS, Risk,
    StationFreezes, Window, YearDate,
};
use fairspell::quantity::{decimals, percent};
use fairspell::statistics::wilson;

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// What the record means, a sentence a threshold: for the dates that were asked about, or for the date of even odds.
pub fn sentences(station: &StationFreezes, asked: Asked) -> Vec<String> {
    if !station.thresholds.iter().flat_map(halves).any(has_risk) {
        return vec![
            "Too few years to say anything of risk: the dates themselves are all there is."
                .to_owned(),
        ];
    }
    let mut all: Vec<String> = Vec::new();
    for at in &station.thresholds {
        all.extend(match asked.on {
            Some(date) => halves(at).into_iter().find_map(|half| on(at, half, date)),
            None => Some(even_odds(at)),
        });
    }
    if let Some(share) = asked.risk {
        all.extend(station.thresholds.iter().map(|at| at_risk(at, share)));
    }
    all
}

fn halves(at: &AtThreshold) -> [&Half; 2] {
    [&at.spring, &at.autumn]
}

/// Whether a half has years enough to speak of risk.
fn has_risk(half: &Half) -> bool {
    half.valid_years >= LEAST_RISK_YEARS
}

/// `On 26 Apr one year in two still brings 32 °F or lower`, for the date of even odds.
fn even_odds(at: &AtThreshold) -> String {
    let (half, name) = (&at.spring, format!("{} or lower", at.threshold));
    if let Some(words) = without(half, &name) {
        return words;
    }
    if half.is_mostly_at_the_end() {
        return format!(
            "{name} still comes at the end of spring in most years: it has no last date."
        );
    }
    let median = half.conditional.get(1).copied().flatten();
    let is_late = |risk: &&Risk| median.is_some_and(|median| f64::from(risk.day) >= median);
    half.risk.iter().find(is_late).map_or_else(
        || format!("No risk can be said of {name}."),
        |risk| {
            let (day, odds) = (date(f64::from(risk.day)), odds(risk.probability));
            format!("On {day} {odds} still brings {name}.")
        },
    )
}

/// What is said of a half of too few years for a risk, or without a freeze; nothing of any other.
pub fn without(half: &Half, name: &str) -> Option<String> {
    if !has_risk(half) {
        let season = half.window.half.name();
        return Some(match half.valid_years {
            0 => format!("No valid {season}: nothing can be said of {name}."),
            _ => format!("Too few valid {season}s to say anything of the risk of {name}."),
        });
    }
    (half.freeze_years == 0).then(|| no_freeze(half, name))
}

/// The risk on the date that was asked about; nothing where it lies in the other half.
fn on(at: &AtThreshold, half: &Half, date: NaiveDate) -> Option<String> {
    let (from, to) = half.window.dates(half.window.season_of(date))?;
    if !(from..=to).contains(&date) {
        return None;
    }
    let name = format!("{} or lower", at.threshold);
    if let Some(words) = without(half, &name) {
        return Some(words);
    }
    let risk = half.risk_on(date)?.probability;
    let (day, odds) = (
        date.format("%-d %b"),
        format!("{} ({})", odds(risk), percent(risk)),
    );
    Some(match half.window.half {
        HalfName::Spring => format!("On {day} {odds} still brings {name}."),
        HalfName::Autumn => format!("By {day} {odds} has had {name}."),
    })
}

/// The dates of a risk.
fn at_risk(at: &AtThreshold, share: f64) -> String {
    let [spring, autumn] = halves(at).map(|half| safe(half, share));
    format!(
        "A risk of {} of {}: {spring}, {autumn}.",
        percent(share),
        at.threshold
    )
}

/// From when on, or until when, the risk is no higher than a share.
fn safe(half: &Half, share: f64) -> String {
    let season = half.window.half.name();
    if !has_risk(half) {
        return format!("not known in {season}");
    }
    if half.freeze_years == 0 {
        return format!("no {season} of {} had one", half.valid_years);
    }
    let (first, last) = (
        half.window.first_day(),
        half.window.first_day() + half.window.days() - 1,
    );
    match (half.window.half, half.day_of_risk(share)) {
        (_, None) => format!("no day in {season} is as safe"),
        (HalfName::Spring, Some(day)) if day == first => "every day of spring".to_owned(),
        (HalfName::Autumn, Some(day)) if day == last => "every day of autumn".to_owned(),
        (HalfName::Spring, Some(day)) => format!("from {} on in spring", date(f64::from(day))),
        (HalfName::Autumn, Some(day)) => format!("until {} in autumn", date(f64::from(day))),
    }
}

/// Springs or autumns that do not count, and the days that they lack; `None` where all count. Years in a row stand
/// together.
pub fn left_out(station: &StationFreezes, name: HalfName) -> Option<String> {
    let mut lacks: BTreeMap<i32, u32> = BTreeMap::new();
    for half in station.thresholds.iter().flat_map(halves) {
        let is_out = |year: &&YearDate| half.window.half == name && !year.is_valid;
        for year in half.years.iter().filter(is_out) {
            let days = lacks.entry(year.year).or_default();
            *days = year.missing_days.max(*days);
        }
    }
    let mut runs: Vec<Run> = Vec::new();
    for (year, days) in lacks {
        match runs.last_mut().filter(|run| run.last + 1 == year) {
            Some(run) => run.add(year, days),
            None => runs.push(Run::new(year, days)),
        }
    }
    let seasons = match name {
        HalfName::Spring => "springs",
        HalfName::Autumn => "autumns",
    };
    let said: Vec<String> = runs.iter().map(Run::words).collect();
    (!said.is_empty()).then(|| {
        format!(
            "{seasons} left out for more than {MAX_MISSING_DAYS} days missing: {}",
            said.join(", ")
        )
    })
}

/// Years in a row, and the least and the greatest count of days that one lacks.
struct Run {
    first: i32,
    last: i32,
    least: u32,
    most: u32,
}

impl Run {
    fn new(year: i32, days: u32) -> Self {
        Self {
            first: year,
            last: year,
            least: days,
            most: days,
        }
    }

    fn add(&mut self, year: i32, days: u32) {
        self.last = year;
        self.least = self.least.min(days);
        self.most = self.most.max(days);
    }

    /// `1961 (14 days)`, `1943–1945 (20 to 213 days)`.
    fn words(&self) -> String {
        let years = if self.first == self.last {
            self.first.to_string()
        } else {
            format!("{}–{}", self.first, self.last)
        };
        let days = if self.least == self.most {
            self.most.to_string()
        } else {
            format!("{} to {}", self.least, self.most)
        };
        format!("{years} ({days} days)")
    }
}

/// Whether the risk is that of the record or of the present climate, and why; nothing where no risk is spoken of.
pub fn leading(station: &StationFreezes) -> Option<String> {
    let mut all = station.thresholds.iter().flat_map(halves);
    all.any(|half| has_risk(half) && half.freeze_years > 0)
        .then(|| which_leads(station))
}

fn which_leads(station: &StationFreezes) -> String {
    let check = station.check;
    let losses = format!(
        "off by {} days, those of the last thirty years by {} (mean pinball loss of {} forecasts)",
        decimals(check.present_loss, 2),
        decimals(check.plain_loss, 2),
        check.forecasts
    );
    let halves = station.thresholds.iter();
    let mut halves = halves.flat_map(|at| [&at.spring, &at.autumn]);
    if halves.any(|half| half.headline == Headline::Present) {
        return format!(
            "The risk is that of the present climate where the record reaches: here, dates carried along the trend were \
             {losses}. The table is the record as it was."
        );
    }
    if check.forecasts == 0 {
        return "The risk is that of the record as it was: it is too short, or freezes too seldom, to try dates carried along its trend."
            .to_owned();
    }
    let why = if check.present_loss < check.plain_loss {
        "too few years to rely on"
    } else {
        "no better"
    };
    format!(
        "The risk is that of the record as it was: here, dates carried along the trend were {losses}, {why}."
    )
}

/// A chance in words, to the nearest that people use; the ends are said as such.
fn odds(probability: f64) -> &'static str {
    const NAMES: [(f64, &str); 9] = [
        (0.9, "nine years in ten"),
        (0.75, "three years in four"),
        (0.667, "two years in three"),
        (0.5, "one year in two"),
        (0.333, "one year in three"),
        (0.25, "one year in four"),
        (0.2, "one year in five"),
        (0.1, "one year in ten"),
        (0.05, "one year in twenty"),
    ];
    if probability > 0.95 {
        return "almost every year";
    }
    if probability < 0.025 {
        return "hardly a year";
    }
    let apart = |name: &&(f64, &str)| (name.0 - probability).abs();
    let nearest = NAMES.iter().min_by(|a, b| apart(a).total_cmp(&apart(b)));
    nearest.map_or("", |(_, words)| words)
}

/// That no year had a freeze, and how often one may yet come.
fn no_freeze(half: &Half, name: &str) -> String {
    let season = half.window.half.name();
    let (_, high) = wilson(0, half.valid_years);
    format!(
        "No {season} of {} brought {name}. The chance of one in a year is at most {} % (95 % interval).",
        half.valid_years,
        decimals(100.0 * high, 0)
    )
}

/// Years that count, that froze, and that do not count.
pub fn counted(half: &Half) -> String {
    let out = half.years.len() - half.valid_years;
    let none = half.valid_years - half.freeze_years;
    let out = match out {
        0 => String::new(),
        1 => "; 1 year left out, too many days missing".to_owned(),
        out => format!("; {out} years left out, too many days missing"),
    };
    let years = if half.valid_years == 1 {
        "year"
    } else {
        "years"
    };
    let none = match none {
        0 => "all with a freeze".to_owned(),
        none if none == half.valid_years => "none with a freeze".to_owned(),
        none => format!("{none} without a freeze"),
    };
    format!("{} valid {years}, {none}{out}", half.valid_years)
}

pub fn date(day: f64) -> String {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "day numbers lie between 1 and 400"
    )]
    let (month, day) = Window::month_day(day.round().max(1.0) as u32);
    let month = MONTHS.get(month as usize - 1).copied().unwrap_or_default();
    format!("{day} {month}")
}
