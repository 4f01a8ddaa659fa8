//! Freezes for people: what the record means first, then the table.

use chrono::NaiveDate;
use fairspell::error::escaped;
use fairspell::freeze::{Asked, AtThreshold, Half, HalfName, Headline, StationFreezes, Window};
use fairspell::quantity::decimals;

const MONTHS: [&str; 12] = [
    "Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec",
];

/// The answer for one station, ended by a line break.
pub fn text(station: &StationFreezes, asked: Asked) -> String {
    let name = if station.station.is_empty() {
        "The station".to_owned()
    } else {
        escaped(&station.station)
    };
    let (first, last, missing) = (station.first, station.last, station.missing);
    let days = station.days;
    let head = format!("{name}, {first} to {last}, {days} days, {missing} missing");
    let mut lines = vec![wrapped("", &head)];
    for at in &station.thresholds {
        match asked.on {
            Some(date) => lines.extend(
                [&at.spring, &at.autumn]
                    .into_iter()
                    .filter_map(|half| on(at, half, date)),
            ),
            None => lines.extend(sentence(at)),
        }
    }
    if let Some(share) = asked.risk {
        lines.extend(station.thresholds.iter().map(|at| at_risk(at, share)));
    }
    lines.push(wrapped("", &leading(station)));
    lines.push(String::new());
    for half in [HalfName::Spring, HalfName::Autumn] {
        table(&mut lines, station, half);
    }
    lines.extend(station.notices.iter().map(|notice| wrapped("- ", notice)));
    lines.join("\n") + "\n"
}

/// Whether the risk is that of the record or of the present climate, and why.
pub fn leading(station: &StationFreezes) -> String {
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

/// Words in lines of at most 80 columns, the first behind `mark`; a word that is longer is broken.
fn wrapped(mark: &str, text: &str) -> String {
    let width = 80 - mark.len();
    let mut lines = vec![String::new()];
    let mut put = |part: &str| {
        let room = width - lines.last().map_or(0, |line| line.chars().count());
        match lines.last_mut() {
            Some(line) if line.is_empty() => line.push_str(part),
            Some(line) if part.chars().count() < room => {
                line.push(' ');
                line.push_str(part);
            }
            _ => lines.push(part.to_owned()),
        }
    };
    for word in text.split(' ') {
        let letters: Vec<char> = word.chars().collect();
        for part in letters.chunks(width) {
            put(&part.iter().collect::<String>());
        }
    }
    let indent = format!("\n{:1$}", "", mark.len());
    format!("{mark}{}", lines.join(&indent))
}

/// `On 26 Apr one year in two still brings 32 °F or lower`, for the date of even odds.
pub fn sentence(at: &AtThreshold) -> Option<String> {
    let median = at.spring.conditional.get(1).copied().flatten()?;
    let risk = at
        .spring
        .risk
        .iter()
        .find(|risk| f64::from(risk.day) >= median)?;
    let day = date(f64::from(risk.day));
    Some(format!(
        "On {day} {} still brings {} or lower.",
        odds(risk.probability),
        at.threshold
    ))
}

/// The same for the date that was asked about; nothing where it lies in the other half.
fn on(at: &AtThreshold, half: &Half, date: NaiveDate) -> Option<String> {
    let risk = half.risk_on(date)?.probability;
    let (day, odds) = (date.format("%-d %b"), odds(risk));
    Some(match half.window.half {
        HalfName::Spring => format!("On {day} {odds} still brings {} or lower.", at.threshold),
        HalfName::Autumn => format!("By {day} {odds} has had {} or lower.", at.threshold),
    })
}

/// The dates of a risk.
fn at_risk(at: &AtThreshold, share: f64) -> String {
    let of = |half: &Half| {
        half.day_of_risk(share)
            .map_or("never".to_owned(), |day| date(f64::from(day)))
    };
    let (spring, autumn) = (of(&at.spring), of(&at.autumn));
    let percent = decimals(100.0 * share, 0);
    format!(
        "A risk of {percent} % of {}: from {spring} on in spring, until {autumn} in autumn.",
        at.threshold
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

fn table(lines: &mut Vec<String>, station: &StationFreezes, name: HalfName) {
    let what = if name == HalfName::Spring {
        "Last spring freeze"
    } else {
        "First autumn freeze"
    };
    lines.push(format!(
        "{what:22}{:>7}{:>10}{:>10}{:>10}{:>9}",
        "years", "10 %", "50 %", "90 %", "freezes"
    ));
    for at in &station.thresholds {
        let half = if name == HalfName::Spring {
            &at.spring
        } else {
            &at.autumn
        };
        let [p10, p50, p90] = half.mixed.map(|day| day.map_or("none".to_owned(), date));
        let freezes = half.freeze_probability().map_or("-".to_owned(), |share| {
            format!("{} %", decimals(100.0 * share, 0))
        });
        lines.push(format!(
            "  {:20}{:>7}{p10:>10}{p50:>10}{p90:>10}{freezes:>9}",
            at.threshold.to_string(),
            counted(half)
        ));
    }
    lines.push(String::new());
}

fn counted(half: &Half) -> String {
    half.valid_years.to_string()
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
