//! The late winter: which weeks to prune and to spray in, and what each date risks.

use core::ffi::c_char;

use chrono::NaiveDate;
use fairspell::plant::PlantTable;
use fairspell::season::{
    Dates, PlantSeason as OwnPlant, Season as OwnSeason, SeasonQuestion, SeasonSettings, Share,
    Weights, season,
};
use fairspell::work::Explained;

use crate::freeze::count;
use crate::handle::{Kind, borrow, free, give, mark, optional};
use crate::pointer::{copy, sized_buffer, sized_out, text_buffer};
use crate::record::{Record, RecordValue};
use crate::site::{Plants, Site};
use crate::status::{Fault, Status, entry};
use crate::text::{Text, of_lines};
use crate::time::{seconds, seconds_or_none};
use crate::unit::{finite, is_on, number, optional_finite, or_nan, temperature_of};

/// A late winter, planned.
pub struct Season {
    _opaque: (),
}

/// What lies behind a season.
#[derive(Debug)]
pub(crate) struct SeasonValue {
    pub(crate) season: OwnSeason,
    explained: Vec<Explained>,
    /// Whether the JSON has what was explained.
    is_explained: bool,
}

impl SeasonValue {
    pub(crate) fn to_json(&self) -> String {
        let explained: &[Explained] = if self.is_explained {
            &self.explained
        } else {
            &[]
        };
        self.season.to_json_explained(explained)
    }
}

impl Kind for Season {
    type Value = SeasonValue;
    const MARK: u64 = mark(10);
    const NAME: &'static str = "a season";
}

/// Years that are planned for: the command line's.
const YEARS: core::ops::RangeInclusive<i32> = 1800..=2200;
/// Greatest sum of degree days that is taken [°C·d]: beyond any shoot. Ours.
const MOST_DEGREE_DAYS: f64 = 2000.0;

/// What is asked.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct SeasonOptions {
    /// What was observed of the season so far, with maxima; NULL: nothing beside the record.
    pub observed: *const Record,
    /// The plants table for the site's garden; NULL: the built-in one.
    pub plants: *const Plants,
    /// Seed of the bootstrap.
    pub seed: u64,
    /// A minimum at or below it harms tender shoots, in `tender_unit`.
    pub tender: f64,
    /// Degree days from the cut to tender shoots, above 0 and at most 2000 [°C·d above 5.2 °C]; NaN: the table's.
    pub degree_days: f64,
    /// Greatest damage of a day in the interval to prune, 0 to 1.
    pub most_damage: f64,
    /// Greatest chance that buds have broken, for the cut, 0 to 1.
    pub most_broken_prune: f64,
    /// The same for oil.
    pub most_broken_oil: f64,
    /// How much a late freeze counts, 0 to 1000.
    pub weight_late_freeze: f64,
    /// How much a cut or oil after bud break counts, 0 to 1000; not both 0.
    pub weight_after_bud_break: f64,
    /// The season, named by the year in which its spring begins: 1800 to 2200.
    pub year: i32,
    /// `FAIRSPELL_CELSIUS` or `FAIRSPELL_FAHRENHEIT`.
    pub tender_unit: i32,
    /// 1: minima far from the station's own record for the day count too.
    pub keeps_suspect: i32,
    /// 1: the JSON has every number behind the plan with its source.
    pub explain: i32,
    /// Replicates of the bootstrap, at most 1,000,000; 0: no intervals of the freeze risk.
    pub replicates: u32,
    /// 0.
    pub reserved: u32,
}

/// Facts of a season. Dates are midnight UTC of the calendar date [s since 1970]; `FAIRSPELL_NO_TIME`: not known.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct SeasonFacts {
    /// 10, 50 and 90 % dates of the last freeze at 32 °F.
    pub last_freeze: [i64; 3],
    /// First day of the trade's back-off from the median last freeze.
    pub back_off_from: i64,
    /// Its last day.
    pub back_off_to: i64,
    /// The season.
    pub year: i32,
    /// Kinds of plants.
    pub plants: u32,
    /// Index of the most exposed.
    pub most_exposed: u32,
    /// Customs.
    pub customs: u32,
    /// Years of the record that count for the damage.
    pub damage_years: u32,
    /// 0.
    pub reserved: u32,
}

/// One kind of plant. Dates as in `fairspell_season_facts`.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct PlantSeason {
    /// First day to prune.
    pub prune_from: i64,
    /// Last day to prune.
    pub prune_to: i64,
    /// Day of least expected harm.
    pub prune_best: i64,
    /// First day for oil.
    pub oil_from: i64,
    /// Last day for oil.
    pub oil_to: i64,
    /// 10, 50 and 90 % dates on which its buds break.
    pub bud_break: [i64; 3],
    /// How many of the kind.
    pub count: u32,
    /// Days in `fairspell_season_damage`.
    pub days: u32,
    /// Whether no day keeps both limits, so that the interval to prune is the best day alone.
    pub is_compromise: i32,
    /// 0.
    pub reserved: i32,
}

/// The damage that a cut on a date risks: inferred from a sum of degree days, not measured. NaN: not known.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Damage {
    /// The date, as in `fairspell_season_facts`.
    pub date: i64,
    /// Share of years with damage.
    pub probability: f64,
    /// Lower end of its 95 % interval.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// The least over the known range of sums.
    pub range_low: f64,
    /// The most.
    pub range_high: f64,
    /// Share of years whose buds have broken by the end of the date.
    pub broken: f64,
    /// Expected harm, by the weights.
    pub harm: f64,
}

/// A custom of the calendar, compared. NaN: not known.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Custom {
    /// Its date in this season, as in `fairspell_season_facts`.
    pub date: i64,
    /// Damage if the most exposed plant is cut on it.
    pub damage: f64,
    /// Chance that a freeze at 32 °F still comes on or after it.
    pub freeze_risk: f64,
    /// Expected harm, by which customs are in order.
    pub harm: f64,
}

/// Fills in the defaults for a season.
///   year    named by the year in which its spring begins
///   size    sizeof(fairspell_season_options)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_options_init(
    options: *mut SeasonOptions,
    size: usize,
    year: i32,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks.
        let options = unsafe { sized_out(options, size) }?;
        let defaults = SeasonSettings::default();
        options.put(SeasonOptions {
            observed: core::ptr::null(),
            plants: core::ptr::null(),
            seed: 1,
            tender: defaults.tender.value,
            degree_days: f64::NAN,
            most_damage: defaults.most_damage,
            most_broken_prune: defaults.most_broken_prune,
            most_broken_oil: defaults.most_broken_oil,
            weight_late_freeze: defaults.weights.late_freeze,
            weight_after_bud_break: defaults.weights.after_bud_break,
            year,
            tender_unit: number(defaults.tender.unit),
            keeps_suspect: 0,
            explain: 0,
            replicates: defaults.replicates,
            reserved: 0,
        });
        Ok(())
    })
}

fn within(value: f64, most: f64, what: &str) -> Result<f64, Fault> {
    let value = finite(value, what)?;
    if (0.0..=most).contains(&value) {
        return Ok(value);
    }
    let words = format!("expected a number from 0 to {most} for {what}, found {value}");
    Err(Fault::range(words))
}

fn settings(options: &SeasonOptions) -> Result<SeasonSettings, Fault> {
    let weights = Weights {
        late_freeze: within(options.weight_late_freeze, 1000.0, "weight_late_freeze")?,
        after_bud_break: within(
            options.weight_after_bud_break,
            1000.0,
            "weight_after_bud_break",
        )?,
    };
    if weights.late_freeze + weights.after_bud_break <= 0.0 {
        return Err(Fault::range("expected a weight above 0, found both 0"));
    }
    let sum = optional_finite(options.degree_days, "degree days")?;
    if let Some(sum) = sum.filter(|sum| *sum <= 0.0 || *sum > MOST_DEGREE_DAYS) {
        let words = "expected degree days above 0 and at most";
        return Err(Fault::range(format!(
            "{words} {MOST_DEGREE_DAYS}, found {sum}"
        )));
    }
    if options.replicates > 1_000_000 {
        let found = options.replicates;
        let words = format!("expected at most 1000000 replicates, found {found}");
        return Err(Fault::range(words));
    }
    Ok(SeasonSettings {
        tender: temperature_of(options.tender, options.tender_unit)?,
        sum_c_days: sum,
        most_damage: within(options.most_damage, 1.0, "most_damage")?,
        most_broken_prune: within(options.most_broken_prune, 1.0, "most_broken_prune")?,
        most_broken_oil: within(options.most_broken_oil, 1.0, "most_broken_oil")?,
        weights,
        seed: options.seed,
        replicates: options.replicates,
        keeps_suspect: is_on(options.keeps_suspect, "keeps_suspect")?,
    })
}

/// Plans a late winter: when to prune and to spray each kind of the site's garden (one hybrid tea rose without one),
/// what each date risks, how the customs compare, and the work itself.
///   record           days of a station with minima and maxima
///   site             the place and its garden
///   options, size    see `fairspell_season_options_init`
///   out              receives a season for `fairspell_season_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_INPUT` (a kind of the garden that the plants table does not have), `FAIRSPELL_RANGE`,
/// `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_plan(
    record: *const Record,
    site: *const Site,
    options: *const SeasonOptions,
    size: usize,
    out: *mut *mut Season,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handles, options and out-pointer.
        let (record, site, options, out) = unsafe {
            (
                borrow(record)?,
                borrow(site)?,
                copy(options, size)?,
                crate::pointer::out(out)?,
            )
        };
        // SAFETY: as the header asks of the handles in the options.
        let (observed, plants) =
            unsafe { (optional(options.observed)?, optional(options.plants)?) };
        if !YEARS.contains(&options.year) {
            let (first, last) = (YEARS.start(), YEARS.end());
            let words = format!(
                "expected a year from {first} to {last}, found {}",
                options.year
            );
            return Err(Fault::range(words));
        }
        let built_in = plants.is_none().then(PlantTable::built_in);
        let Some(table) = plants.or(built_in.as_ref()) else {
            return Err(Fault::absent("expected a plants table, found none"));
        };
        let settings = settings(&options)?;
        let mut own = season(&SeasonQuestion {
            record: &record.reading.series,
            site,
            table,
            year: options.year,
            observed: observed.map(|observed| &observed.reading.series),
            settings: &settings,
        })?;
        note(&mut own, record, observed);
        let value = SeasonValue {
            explained: own.explain(&settings),
            is_explained: is_on(options.explain, "explain")?,
            season: own,
        };
        give(value, out);
        Ok(())
    })
}

/// Adds what must be said of the records.
fn note(season: &mut OwnSeason, record: &RecordValue, observed: Option<&RecordValue>) {
    let series = &record.reading.series;
    season.note_values(record.reading.left_out, series.is_whole_fahrenheit());
    for file in [Some(record), observed].into_iter().flatten() {
        let notices = file.of_file.iter().map(|notice| format!("from {notice}"));
        season.notices.extend(notices);
    }
}

fn all_seconds(dates: [Option<NaiveDate>; 3]) -> [i64; 3] {
    dates.map(seconds_or_none)
}

/// Facts of a season.
///   size    sizeof(fairspell_season_facts)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_about(
    season: *const Season,
    facts: *mut SeasonFacts,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (value, facts) = unsafe { (borrow(season)?, sized_out(facts, size)?) };
        let own = &value.season;
        let back_off = own.back_off.as_ref().map(|back_off| back_off.dates);
        facts.put(SeasonFacts {
            last_freeze: all_seconds(own.last_freeze.dates),
            back_off_from: seconds_or_none(back_off.map(|dates| dates.from)),
            back_off_to: seconds_or_none(back_off.map(|dates| dates.to)),
            year: own.year,
            plants: count(own.plants.len()),
            most_exposed: count(own.most_exposed),
            customs: count(own.customs.len()),
            damage_years: own.damage_years.map_or(0, |(_, _, years)| count(years)),
            reserved: 0,
        });
        Ok(())
    })
}

fn plant_of(season: &OwnSeason, index: usize) -> Result<&OwnPlant, Fault> {
    season.plants.get(index).ok_or_else(|| {
        let count = season.plants.len();
        Fault::range(format!("expected a plant below {count}, found {index}"))
    })
}

/// One kind of plant of the season.
///   plant    index, from 0
///   size     sizeof(fairspell_plant_season)
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_plant(
    season: *const Season,
    plant: usize,
    facts: *mut PlantSeason,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (value, facts) = unsafe { (borrow(season)?, sized_out(facts, size)?) };
        let own = plant_of(&value.season, plant)?;
        let prune = own.prune.ok();
        let oil: Option<Dates> = own.oil.ok();
        facts.put(PlantSeason {
            prune_from: seconds_or_none(prune.map(|prune| prune.dates.from)),
            prune_to: seconds_or_none(prune.map(|prune| prune.dates.to)),
            prune_best: seconds_or_none(prune.map(|prune| prune.best)),
            oil_from: seconds_or_none(oil.map(|dates| dates.from)),
            oil_to: seconds_or_none(oil.map(|dates| dates.to)),
            bud_break: all_seconds(own.bud_break),
            count: own.count,
            days: count(own.damage.len()),
            is_compromise: i32::from(prune.is_some_and(|prune| prune.is_compromise)),
            reserved: 0,
        });
        Ok(())
    })
}

/// Copies the name of a kind of plant.
///   plant     index, from 0
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_plant_kind(
    season: *const Season,
    plant: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, buffer) = unsafe { (borrow(season)?, text_buffer(buffer, capacity, needed)?) };
        buffer.fill(plant_of(&value.season, plant)?.plant.name.as_bytes())
    })
}

fn ends(share: Share) -> (f64, f64) {
    share.interval().unwrap_or((f64::NAN, f64::NAN))
}

/// Copies the damage of every date of the half-season for one kind of plant.
///   plant        index, from 0
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_damage)
///   needed       receives the number of days, also on `FAIRSPELL_SMALL`; 0 where it cannot be known or nothing is cut
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_damage(
    season: *const Season,
    plant: usize,
    items: *mut Damage,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, items) = unsafe {
            (
                borrow(season)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let own = plant_of(&value.season, plant)?;
        let days = own.damage.iter().map(|of| {
            let (low, high) = ends(of.share);
            Damage {
                date: seconds(of.date),
                probability: or_nan(of.share.probability()),
                low,
                high,
                range_low: or_nan(of.range.0.probability()),
                range_high: or_nan(of.range.1.probability()),
                broken: or_nan(of.broken.probability()),
                harm: or_nan(of.harm),
            }
        });
        items.fill(&days.collect::<Vec<_>>())
    })
}

/// Copies the customs of the calendar, from the least to the greatest expected harm; their names are in
/// `fairspell_season_custom_name`.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_custom)
///   needed       receives their number, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_customs(
    season: *const Season,
    items: *mut Custom,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, items) = unsafe {
            (
                borrow(season)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let customs = value.season.customs.iter().map(|here| Custom {
            date: seconds(here.date),
            damage: or_nan(here.damage.and_then(Share::probability)),
            freeze_risk: or_nan(here.freeze_risk.map(|(risk, _)| risk)),
            harm: or_nan(here.harm),
        });
        items.fill(&customs.collect::<Vec<_>>())
    })
}

/// Copies the plain English name of a custom.
///   index     from 0
///   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
///   needed    receives the bytes needed with the NUL, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_custom_name(
    season: *const Season,
    index: usize,
    buffer: *mut c_char,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (value, buffer) = unsafe { (borrow(season)?, text_buffer(buffer, capacity, needed)?) };
        let customs = &value.season.customs;
        let here = customs.get(index).ok_or_else(|| {
            let count = customs.len();
            Fault::range(format!("expected a custom below {count}, found {index}"))
        })?;
        buffer.fill(here.custom.name.as_bytes())
    })
}

/// Every number behind the plan with its source, a line each.
///   out    receives a text for `fairspell_text_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_explain(
    season: *const Season,
    out: *mut *mut Text,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (value, out) = unsafe { (borrow(season)?, crate::pointer::out(out)?) };
        give(
            of_lines(value.explained.iter().map(ToString::to_string)),
            out,
        );
        Ok(())
    })
}

/// Frees a season and sets *season to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_season_free(season: *mut *mut Season) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(season) })
}
