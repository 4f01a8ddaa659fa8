//! Sentences about a season that its formats share.

use chrono::NaiveDate;
use fairspell::decision::Units;
use fairspell::quantity::{Unit, decimals, percent};
use fairspell::season::{CustomHere, Damage, Dates, PlantSeason, Season, Share};
use fairspell::work::{Load, Mix, Range, Volume, WorkNote};

use super::Plan;
use crate::text::upper_first;

/// What the plan is called.
pub fn title(plan: &Plan<'_>) -> String {
    let season = &plan.season;
    let mut title = format!("Late winter {}", season.year);
    if let Some(site) = &plan.site.name {
        title = format!("{title} at {site}");
    }
    if !season.station.is_empty() {
        title = format!("{title}, by the record of station {}", season.station);
    }
    title
}

/// The answer in one or two sentences.
pub fn answer(season: &Season) -> Vec<String> {
    let Some(plant) = season.exposed() else {
        return vec!["Nothing is planned: the garden holds no plant.".to_owned()];
    };
    let kinds = season.plants.len();
    let name = if kinds > 1 {
        format!("{} (of {kinds} kinds the most exposed)", plant.plant.name)
    } else {
        plant.plant.name.clone()
    };
    let oil = match plant.oil {
        Ok(dates) => format!("spray dormant oil {}", span(dates)),
        Err(no) => format!("oil: {}", no.words()),
    };
    let first = match plant.prune {
        Ok(prune) if prune.is_compromise => format!(
            "Prune {name} on {}, the day of least harm, though no day is free of it; {oil}.",
            date(prune.best)
        ),
        Ok(prune) => format!(
            "Prune {name} {}, best on {}; {oil}.",
            span(prune.dates),
            date(prune.best)
        ),
        Err(no) if plant.oil == Err(no) => {
            format!("No date to prune or to spray {name}: {}.", no.words())
        }
        Err(no) => format!("No date to prune {name}: {}; {oil}.", no.words()),
    };
    let risk = plant.prune.ok().and_then(|prune| risk(plant, prune.best));
    [Some(first), risk].into_iter().flatten().collect()
}

/// What a cut on a date risks: damage with its interval and range, and buds that have broken.
pub fn risk(plant: &PlantSeason, on: NaiveDate) -> Option<String> {
    let damage = damage_on(plant, on)?;
    let Share { hits, years } = damage.share;
    let broken = damage.broken.probability()?;
    Some(format!(
        "Cut on {}, its shoots would have met a freeze in {hits} of {years} years: damage {}, inferred, {}. Its buds \
         have broken by then in {} of the years.",
        date(on),
        share(damage.share)?,
        range(damage)?,
        percent(broken)
    ))
}

/// The damage of a date.
pub fn damage_on(plant: &PlantSeason, on: NaiveDate) -> Option<&Damage> {
    plant.damage.iter().find(|damage| damage.date == on)
}

/// A share with its 95 % interval.
pub fn share(share: Share) -> Option<String> {
    let (low, high) = share.interval()?;
    Some(format!(
        "{} (95 % interval {})",
        percent(share.probability()?),
        from_to(low, high)
    ))
}

/// The least and the greatest damage over the known range of sums.
pub fn range(damage: &Damage) -> Option<String> {
    let (least, most) = damage.range;
    let (least, most) = (least.probability()?, most.probability()?);
    Some(format!("{} over the range of sums", from_to(least, most)))
}

/// `3 to 12 %`, or one number where both are the same.
fn from_to(low: f64, high: f64) -> String {
    let [least, most] = [low, high].map(percent);
    if least == most {
        return least;
    }
    format!("{} to {most}", least.trim_end_matches(" %"))
}

/// A date of the season.
pub fn date(date: NaiveDate) -> String {
    date.format("%-d %b").to_string()
}

/// From a date to another.
pub fn span(dates: Dates) -> String {
    if dates.from == dates.to {
        return format!("on {}", date(dates.from));
    }
    format!("from {} to {}", date(dates.from), date(dates.to))
}

/// When to prune a plant.
pub fn prune(plant: &PlantSeason) -> String {
    match plant.prune {
        Ok(prune) if prune.is_compromise => {
            format!(
                "on {}, a compromise: no day keeps both limits",
                date(prune.best)
            )
        }
        Ok(prune) => format!("{}, best on {}", span(prune.dates), date(prune.best)),
        Err(no) => no.words().to_owned(),
    }
}

/// When to spray it.
pub fn oil(plant: &PlantSeason) -> String {
    plant.oil.map_or_else(|no| no.words().to_owned(), span)
}

/// Dates of 10, 50 and 90 % of years.
pub fn dates(dates: [Option<NaiveDate>; 3]) -> Option<String> {
    if dates.iter().all(Option::is_none) {
        return None;
    }
    let [early, middle, late] = dates.map(|day| day.map_or("none".to_owned(), date));
    Some(format!(
        "{middle} (one year in ten by {early}, nine by {late})"
    ))
}

/// When the buds of a plant break.
pub fn buds(plant: &PlantSeason) -> Option<String> {
    let [_, middle, _] = plant.bud_break;
    middle?;
    Some(format!(
        "break in half of the years by {}",
        dates(plant.bud_break)?
    ))
}

/// The last freeze.
pub fn last_freeze(season: &Season) -> String {
    let half = &season.last_freeze.half;
    let (froze, valid) = (half.freeze_years, half.valid_years);
    match dates(season.last_freeze.dates) {
        Some(dates) => format!(
            "32 °F (0 °C) or lower comes for the last time, in half of the years with a freeze, by {dates}; {froze} of \
             {valid} valid springs had one"
        ),
        None if valid == 0 => "no valid spring: nothing can be said of the last freeze".to_owned(),
        None => format!("{froze} of {valid} valid springs had 32 °F (0 °C) or lower: no date"),
    }
}

/// The trade's back-off and what it would risk here.
pub fn back_off(season: &Season) -> Option<String> {
    let back_off = season.back_off?;
    let [earliest, latest] = back_off.damage;
    let risk = |share: Option<Share>| share.and_then(self::share);
    let kind = season
        .exposed()
        .map_or("", |plant| plant.plant.name.as_str());
    let here = match (risk(earliest), risk(latest)) {
        (Some(earliest), Some(latest)) => format!(
            "a cut of {kind} on the first day would be damaged in {earliest}, on the last in {latest}, inferred"
        ),
        _ => "what it risks here is not known".to_owned(),
    };
    let by_risk = back_off.by_risk.map_or_else(String::new, |dates| {
        format!("; before the date of a 10 % risk it is {}", span(dates))
    });
    Some(format!(
        "the trade's six to eight weeks before the median last freeze: {}; {here}{by_risk}",
        span(back_off.dates)
    ))
}

/// A custom's date; that of a plant is marked.
pub fn custom_date(custom: &CustomHere) -> String {
    let mark = if custom.custom.indicator().is_some() {
        "*"
    } else {
        ""
    };
    format!("{}{mark}", date(custom.date))
}

/// A custom's damage and freeze risk, each with its interval, short enough for a column.
pub fn custom_risks(custom: &CustomHere) -> [String; 2] {
    let short = |chance: f64, interval: Option<(f64, f64)>| match interval {
        Some((low, high)) if brief(low) == brief(high) => {
            format!("{} % ({} %)", brief(chance), brief(low))
        }
        Some((low, high)) => format!("{} % ({} to {} %)", brief(chance), brief(low), brief(high)),
        None => format!("{} %", brief(chance)),
    };
    let damage = custom
        .damage
        .and_then(|share| Some(short(share.probability()?, share.interval())));
    let freeze = custom
        .freeze_risk
        .map(|(chance, interval)| short(chance, interval));
    [damage, freeze].map(|words| words.unwrap_or_else(|| "not known".to_owned()))
}

/// A share in whole per cent; one that is small or nearly all is not taken for none or all.
pub fn brief(share: f64) -> String {
    match share {
        _ if share > 0.0 && share < 0.01 => "<1".to_owned(),
        _ if share > 0.99 && share < 1.0 => ">99".to_owned(),
        _ => decimals(100.0 * share, 0),
    }
}

/// Where the year stands.
pub fn so_far(plan: &Plan<'_>) -> Option<String> {
    let so_far = plan.season.so_far?;
    let until = date(so_far.until);
    let gathered = degree_days(so_far.degree_days, plan.units);
    let usual = match so_far.usual {
        [_, Some(middle), _] => {
            let middle = degree_days(middle, plan.units);
            let number = middle
                .split_once(" above")
                .map_or(middle.as_str(), |(number, _)| number);
            format!(", {number} in the median year")
        }
        _ => String::new(),
    };
    let ahead = match so_far.days_ahead {
        None => "too few to say whether the season is ahead".to_owned(),
        Some(0) => "on time".to_owned(),
        Some(days) if days > 0 => format!("{} ahead of the median year", counted(days)),
        Some(days) => format!("{} behind the median year", counted(-days)),
    };
    Some(format!(
        "until {until} {gathered} since midwinter{usual}: {ahead}"
    ))
}

fn counted(days: i64) -> String {
    if days == 1 {
        "1 day".to_owned()
    } else {
        format!("{days} days")
    }
}

/// A sum of degree days above the base of the rose.
fn degree_days(c_days: f64, units: Units) -> String {
    let fahrenheit = Unit::CelsiusDifference.convert(c_days, Unit::FahrenheitDifference);
    match units {
        Units::Us => format!("{} °F·d above 41.4 °F", decimals(fahrenheit, 0)),
        _ => format!("{} °C·d above 5.2 °C", decimals(c_days, 0)),
    }
}

/// The first food of bees and other beneficial insects.
pub fn insects(season: &Season) -> Option<String> {
    let [_, middle, _] = season.flight;
    middle?;
    Some(format!(
        "bees and other helpers find their first food, red maple in bloom, in half of the years by {}: spray nothing \
         in flower, and when they are about only what is needed",
        dates(season.flight)?
    ))
}

/// Minutes as people say them.
pub fn time(minutes: f64) -> String {
    let step = if minutes < 30.0 { 1.0 } else { 5.0 };
    let whole = (minutes / step).round() * step;
    let hours = (whole / 60.0).floor();
    let rest = whole - hours * 60.0;
    let [hours, rest] = [hours, rest].map(|number| decimals(number, 0));
    match (hours.as_str(), rest.as_str()) {
        ("0", rest) => format!("{rest} min"),
        (hours, "0") => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest} min"),
    }
}

fn time_range(range: Range) -> String {
    format!(
        "about {} (four times in five between {} and {})",
        time(range.median),
        time(range.low),
        time(range.high)
    )
}

/// How long the work takes, the whole first.
pub fn labour(plan: &Plan<'_>) -> Vec<String> {
    let work = &plan.season.work;
    let labour = &work.labour;
    let mut lines = vec![format!(
        "{} in all, with rests",
        time_range(labour.total_min)
    )];
    if let Some(pruning) = labour.pruning {
        lines.push(format!(
            "pruning {}, hauling brush {}",
            time_range(pruning.range_min),
            time(labour.clean_up_min.median)
        ));
    }
    let [least, most] = labour.leaves_min;
    if most > 0.0 {
        lines.push(format!(
            "raking old leaves from under the roses, not in the total: {} to {}",
            time(least),
            time(most)
        ));
    }
    if let Some(spraying) = labour.spraying {
        lines.push(format!(
            "spraying about {}; the weather must hold for {} h",
            time(spraying.working_min()),
            spraying.hours_needed()
        ));
    }
    lines.push(
        "a plan, not a promise: the minutes are mostly estimates (--explain names each source)"
            .to_owned(),
    );
    lines
}

/// The spray to mix, load by load.
pub fn mix(plan: &Plan<'_>) -> Vec<String> {
    let Some(mix) = &plan.season.work.mix else {
        return vec!["nothing is sprayed".to_owned()];
    };
    let units = plan.units;
    let [low, typical, high] = mix.finished;
    let mut lines = vec![format!(
        "{} of finished spray (between {} and {}) at {} % of oil; the label's rate goes first",
        volume(typical, units),
        volume(low, units),
        volume(high, units),
        decimals(mix.rate_pct, 1).trim_end_matches(".0")
    )];
    lines.extend(loads(mix, units));
    if mix.most_by_hand.litres() > high.litres() * 1.001 {
        lines.push(format!(
            "trees sprayed by hand to run-off may take more, at most {} in all",
            volume(mix.most_by_hand, units)
        ));
    }
    lines
}

fn loads(mix: &Mix, units: Units) -> Vec<String> {
    let of = |load: Load| {
        format!(
            "{} of oil with water to {}",
            oil_volume(load.oil, units),
            volume(load.finished, units)
        )
    };
    let full = mix.full.map(|load| match mix.full_loads {
        1 => format!("1 full load: {}", of(load)),
        loads => format!("{loads} full loads, each {}", of(load)),
    });
    let last = mix.last.map(|load| match mix.full_loads {
        0 => format!("1 load: {}", of(load)),
        _ => format!("1 last load: {}", of(load)),
    });
    [full, last].into_iter().flatten().collect()
}

/// A volume of spray or water.
pub fn volume(volume: Volume, units: Units) -> String {
    let us = if volume.us_gallons() < 0.25 {
        format!("{} US fl oz", decimals(volume.us_fluid_ounces(), 1))
    } else {
        format!("{} US gal", decimals(volume.us_gallons(), 1))
    };
    let si = if volume.litres() < 1.0 {
        format!("{} ml", decimals(volume.millilitres(), 0))
    } else {
        format!("{} l", decimals(volume.litres(), 1))
    };
    both(us, si, units)
}

/// A volume of oil, up to the next quarter of a fluid ounce and the next 5 ml.
fn oil_volume(volume: Volume, units: Units) -> String {
    let ounces = decimals(volume.up_to_quarter_fluid_ounce(), 2);
    let ounces = ounces.trim_end_matches('0').trim_end_matches('.');
    let us = format!("{ounces} US fl oz");
    let si = format!("{} ml", decimals(volume.up_to_five_millilitres(), 0));
    both(us, si, units)
}

fn both(us: String, si: String, units: Units) -> String {
    match units {
        Units::Us => us,
        Units::Si => si,
        Units::AsWritten => format!("{us} ({si})"),
    }
}

/// What is needed, each with its amount where it is measured.
pub fn supplies(plan: &Plan<'_>) -> Vec<String> {
    let supplies = plan.season.work.supplies.iter();
    supplies
        .map(|supply| {
            let amount = supply.amount.map_or_else(String::new, |[least, most]| {
                let amount = |of: Volume| {
                    if supply.name.contains("oil") {
                        oil_volume(of, plan.units)
                    } else {
                        volume(of, plan.units)
                    }
                };
                format!(", {} to {}", amount(least), amount(most))
            });
            let optional = if supply.is_optional {
                ", can be done without"
            } else {
                ""
            };
            format!("{}{amount}{optional}", upper_first(supply.name))
        })
        .collect()
}

/// Notes of the season and of the work.
pub fn notes(season: &Season) -> Vec<String> {
    let of_work = season.work.notes.iter();
    let of_work = of_work.filter(|note| **note != WorkNote::NoGarden); // the season says it too
    let of_work = of_work.map(ToString::to_string);
    let notices = season.notices.iter().cloned();
    notices.chain(of_work).collect()
}

/// Plants that oil may harm, one a line.
pub fn harms(season: &Season) -> Vec<String> {
    let of = |harm: &fairspell::work::Harm| match &harm.harm {
        Some(what) => format!("{}: oil harms it: {what}", harm.name),
        None => format!(
            "{}: what oil does to it is not known; ask the label",
            harm.name
        ),
    };
    season.work.harms.iter().map(of).collect()
}

/// Which plant the customs and the answer are for.
pub fn exposed_name(season: &Season) -> &str {
    season
        .exposed()
        .map_or("", |plant| plant.plant.name.as_str())
}
