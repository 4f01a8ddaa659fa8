//! The plan as JSON, by the layout `fairspell.season/1`.

use chrono::NaiveDate;
use serde::Serialize;

use super::{
    BACK_OFF_WEEKS, BackOff, CustomHere, Damage, Dates, LastFreeze, NoDates, PlantSeason,
    PruneDates, Season, Share, SoFar,
};
use crate::json::written;
use crate::operation::StandingCaution;

#[derive(Serialize)]
struct Root<'a, W> {
    schema: &'static str,
    year: i32,
    station: Station<'a>,
    plants: Vec<JsonPlant<'a>>,
    most_exposed: Option<&'a str>,
    last_freeze: JsonLastFreeze,
    back_off: Option<JsonBackOff>,
    prune: Option<JsonPrune>,
    oil: Option<JsonDates>,
    damage: Vec<JsonDamage>,
    customs: Vec<JsonCustom<'a>>,
    beneficial_insects: Quantiles,
    so_far: Option<JsonSoFar>,
    work: W,
    cautions: &'a [StandingCaution],
    notices: &'a [String],
}

#[derive(Serialize)]
struct Station<'a> {
    id: &'a str,
    damage_years: usize,
    first_year: Option<i32>,
    last_year: Option<i32>,
    left_out: &'a [i32],
}

#[derive(Serialize)]
struct Quantiles {
    p10: Option<Day>,
    p50: Option<Day>,
    p90: Option<Day>,
}

#[derive(Serialize)]
struct JsonPlant<'a> {
    kind: &'a str,
    count: u32,
    damage: Vec<JsonDamage>,
    bud_break: Quantiles,
    prune: Option<JsonPrune>,
    no_prune: Option<&'static str>,
    oil: Option<JsonDates>,
    no_oil: Option<&'static str>,
}

#[derive(Serialize)]
struct JsonPrune {
    from: Day,
    to: Day,
    best: Day,
    compromise: bool,
}

#[derive(Serialize)]
struct JsonDates {
    from: Day,
    to: Day,
}

#[derive(Serialize)]
struct JsonDamage {
    date: Day,
    probability: Option<f64>,
    low_95: Option<f64>,
    high_95: Option<f64>,
    years: usize,
    hits: usize,
    range_of_sums: [Option<f64>; 2],
    bud_break_probability: Option<f64>,
    harm: Option<f64>,
    basis: &'static str,
}

#[derive(Serialize)]
struct JsonLastFreeze {
    threshold_f: f64,
    p10: Option<Day>,
    p50: Option<Day>,
    p90: Option<Day>,
    headline: &'static str,
    freeze_years: usize,
    valid_years: usize,
}

#[derive(Serialize)]
struct JsonBackOff {
    earliest: Day,
    latest: Day,
    weeks: [u32; 2],
    damage_earliest: Option<f64>,
    damage_latest: Option<f64>,
    by_ten_percent_risk: Option<JsonDates>,
}

#[derive(Serialize)]
struct JsonCustom<'a> {
    name: &'a str,
    other_name: Option<&'a str>,
    region: &'a str,
    meaning: &'a str,
    date: Day,
    damage_probability: Option<f64>,
    damage_95: Option<[f64; 2]>,
    freeze_risk: Option<f64>,
    freeze_risk_95: Option<[f64; 2]>,
    harm: Option<f64>,
}

#[derive(Serialize)]
struct JsonSoFar {
    until: Day,
    degree_days_c: f64,
    usual_c: [Option<f64>; 3],
    days_ahead: Option<i64>,
}

/// A calendar date, as ISO 8601 writes it.
#[derive(Clone, Copy)]
struct Day(NaiveDate);

impl Serialize for Day {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(&self.0)
    }
}

impl Season {
    /// The plan as one JSON object without line breaks: `fairspell.season/1`. Dates are the site's calendar dates;
    /// probabilities are shares of 1; what is not known is null.
    #[must_use]
    pub fn to_json(&self) -> String {
        let exposed = self.exposed();
        let years = self.damage_years;
        let root = Root {
            schema: "fairspell.season/1",
            year: self.year,
            station: Station {
                id: &self.station,
                damage_years: years.map_or(0, |(_, _, years)| years),
                first_year: years.map(|(first, ..)| first),
                last_year: years.map(|(_, last, _)| last),
                left_out: &self.left_out,
            },
            plants: self.plants.iter().map(plant).collect(),
            most_exposed: exposed.map(|plant| plant.plant.name.as_str()),
            last_freeze: last_freeze(&self.last_freeze),
            back_off: self.back_off.as_ref().map(back_off),
            prune: exposed.and_then(|plant| plant.prune.ok()).map(prune),
            oil: exposed.and_then(|plant| plant.oil.ok()).map(dates),
            damage: exposed
                .map_or_else(Vec::new, |plant| plant.damage.iter().map(damage).collect()),
            customs: self.customs.iter().map(custom).collect(),
            beneficial_insects: quantiles(self.flight),
            so_far: self.so_far.as_ref().map(so_far),
            work: self.work.json(),
            cautions: &self.work.cautions,
            notices: &self.notices,
        };
        written(&root)
    }
}

fn quantiles(dates: [Option<NaiveDate>; 3]) -> Quantiles {
    let [p10, p50, p90] = dates.map(|date| date.map(Day));
    Quantiles { p10, p50, p90 }
}

fn dates(dates: Dates) -> JsonDates {
    JsonDates {
        from: Day(dates.from),
        to: Day(dates.to),
    }
}

fn prune(prune: PruneDates) -> JsonPrune {
    JsonPrune {
        from: Day(prune.dates.from),
        to: Day(prune.dates.to),
        best: Day(prune.best),
        compromise: prune.is_compromise,
    }
}

fn plant(plant: &PlantSeason) -> JsonPlant<'_> {
    JsonPlant {
        kind: &plant.plant.name,
        count: plant.count,
        damage: plant.damage.iter().map(damage).collect(),
        bud_break: quantiles(plant.bud_break),
        prune: plant.prune.ok().map(prune),
        no_prune: plant.prune.err().map(NoDates::words),
        oil: plant.oil.ok().map(dates),
        no_oil: plant.oil.err().map(NoDates::words),
    }
}

fn damage(of: &Damage) -> JsonDamage {
    let interval = of.share.interval();
    JsonDamage {
        date: Day(of.date),
        probability: of.share.probability(),
        low_95: interval.map(|(low, _)| low),
        high_95: interval.map(|(_, high)| high),
        years: of.share.years,
        hits: of.share.hits,
        range_of_sums: [of.range.0.probability(), of.range.1.probability()],
        bud_break_probability: of.broken.probability(),
        harm: of.harm,
        basis: "inferred",
    }
}

fn last_freeze(of: &LastFreeze) -> JsonLastFreeze {
    let [p10, p50, p90] = of.dates.map(|date| date.map(Day));
    JsonLastFreeze {
        threshold_f: 32.0,
        p10,
        p50,
        p90,
        headline: of.half.headline.name(),
        freeze_years: of.half.freeze_years,
        valid_years: of.half.valid_years,
    }
}

fn back_off(of: &BackOff) -> JsonBackOff {
    let [earliest, latest] = of.damage.map(|share| share.and_then(Share::probability));
    JsonBackOff {
        earliest: Day(of.dates.from),
        latest: Day(of.dates.to),
        weeks: BACK_OFF_WEEKS,
        damage_earliest: earliest,
        damage_latest: latest,
        by_ten_percent_risk: of.by_risk.map(dates),
    }
}

fn custom(of: &CustomHere) -> JsonCustom<'static> {
    let pair = |(low, high)| [low, high];
    JsonCustom {
        name: of.custom.name,
        other_name: of.custom.other_name,
        region: of.custom.region,
        meaning: of.custom.meaning,
        date: Day(of.date),
        damage_probability: of.damage.and_then(Share::probability),
        damage_95: of.damage.and_then(Share::interval).map(pair),
        freeze_risk: of.freeze_risk.map(|(risk, _)| risk),
        freeze_risk_95: of.freeze_risk.and_then(|(_, interval)| interval).map(pair),
        harm: of.harm,
    }
}

fn so_far(of: &SoFar) -> JsonSoFar {
    JsonSoFar {
        until: Day(of.until),
        degree_days_c: of.degree_days,
        usual_c: of.usual,
        days_ahead: of.days_ahead,
    }
}
