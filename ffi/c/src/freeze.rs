//! Freeze risk: dates, quantiles, fits, the risk of a date.

use fairspell::freeze::{
    Asked, AtThreshold, Form, Half as OwnHalf, Headline, Interval, Risk as OwnRisk, Settings,
    StationFreezes, Window,
};
use fairspell::quantity::{Quantity, Unit};
use fairspell::site::Hemisphere;

use crate::handle::{Kind, borrow, free, give, mark};
use crate::pointer::{copy, out, sized_buffer, sized_out, slice};
use crate::record::{Record, RecordValue};
use crate::status::{Fault, Status, entry};
use crate::time::{FAIRSPELL_NO_TIME, date, optional_date, seconds_or_none};
use crate::unit::{
    FAIRSPELL_FAHRENHEIT, all_or_nan, finite, is_on, number, optional_finite, or_nan, temperature,
};

/// The freezes of one station: everything that its record says of them.
pub struct Risk {
    _opaque: (),
}

/// What lies behind a risk.
#[derive(Debug)]
pub(crate) struct RiskValue {
    pub(crate) freezes: StationFreezes,
    pub(crate) asked: Asked,
}

impl Kind for Risk {
    type Value = RiskValue;
    const MARK: u64 = mark(8);
    const NAME: &'static str = "a risk";
}

/// Thresholds unless others are given [°F]: the contract's.
const THRESHOLDS_F: [f64; 4] = [36.0, 32.0, 28.0, 24.0];
/// Most thresholds of one question. Ours.
const MAX_THRESHOLDS: usize = 64;
/// Most replicates of the bootstrap. Ours: far beyond what an interval gains from.
const MAX_REPLICATES: u32 = 1_000_000;

/// North of the equator: spring is January to July, autumn August to December.
pub const FAIRSPELL_NORTH: i32 = 0;
/// South of the equator: spring is July to January, autumn February to June.
pub const FAIRSPELL_SOUTH: i32 = 1;

/// The half of the year in which freezes end.
pub const FAIRSPELL_SPRING: i32 = 0;
/// The half of the year in which freezes begin.
pub const FAIRSPELL_AUTUMN: i32 = 1;

/// A Weibull fit from the season's start.
pub const FAIRSPELL_FROM_START: i32 = 0;
/// A Weibull fit of the days left to the season's end: bounded late tail.
pub const FAIRSPELL_REVERSED: i32 = 1;

/// The answer leads with the record as it is.
pub const FAIRSPELL_HEADLINE_RECORD: i32 = 0;
/// The answer leads with the record carried to the present climate.
pub const FAIRSPELL_HEADLINE_PRESENT: i32 = 1;

/// What is asked of a record.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct FreezeOptions {
    /// Minima at or below which a day is a freeze day; NULL with a count of 0: 36, 32, 28 and 24 °F. Not kept.
    pub thresholds: *const f64,
    /// How many, at most 64.
    pub threshold_count: usize,
    /// Seed of the bootstrap.
    pub seed: u64,
    /// Also the risk on this date in the JSON, midnight UTC [s since 1970]; `FAIRSPELL_NO_TIME`: none.
    pub on: i64,
    /// Also the date of this risk in the JSON, above 0 and below 1; NaN: none.
    pub risk: f64,
    /// The day against which the record's age is held and said, midnight UTC [s since 1970]; `FAIRSPELL_NO_TIME`: not
    /// said.
    pub today: i64,
    /// `FAIRSPELL_CELSIUS` or `FAIRSPELL_FAHRENHEIT`.
    pub threshold_unit: i32,
    /// `FAIRSPELL_NORTH` or `FAIRSPELL_SOUTH`.
    pub hemisphere: i32,
    /// 1: minima far from the station's own record for the day count too.
    pub keeps_suspect: i32,
    /// 1: dates, quantiles and fits alone; no trend, no present climate, no risk.
    pub is_brief: i32,
    /// Replicates of the bootstrap, at most 1,000,000; 0: no intervals.
    pub replicates: u32,
    /// 0.
    pub reserved: u32,
}

/// One half of the year at one threshold. Days are day numbers: 1 is 1 January of the year in which the half begins,
/// and they go on past 365 across New Year. Index 0, 1, 2: 10, 50, 90 %. NaN: not known.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Half {
    /// The threshold, in `threshold_unit`.
    pub threshold: f64,
    /// Share of valid years with a freeze.
    pub freeze_probability: f64,
    /// Days by which such a share of freeze years has had it.
    pub conditional: [f64; 3],
    /// Lower ends of their 95 % intervals.
    pub conditional_low: [f64; 3],
    /// Upper ends.
    pub conditional_high: [f64; 3],
    /// The same over valid years: one without a freeze lies beyond the season.
    pub mixed: [f64; 3],
    /// The same in the climate of `present_year`.
    pub present: [f64; 3],
    /// Theil-Sen slope [days a year].
    pub trend: f64,
    /// Lower end of its 95 % interval.
    pub trend_low: f64,
    /// Upper end.
    pub trend_high: f64,
    /// Chance of so large a Mann-Kendall S if there is no trend.
    pub trend_p: f64,
    /// Chance of dates as far from the chosen fit as these, by Anderson and Darling.
    pub fit_significance: f64,
    /// Years that count.
    pub valid_years: u32,
    /// Of these, years with a freeze.
    pub freeze_years: u32,
    /// Years in `fairspell_risk_years`.
    pub years: u32,
    /// Season that `present` is for; 0: none.
    pub present_year: i32,
    /// `FAIRSPELL_CELSIUS` or `FAIRSPELL_FAHRENHEIT`.
    pub threshold_unit: i32,
    /// `FAIRSPELL_HEADLINE_RECORD` or `FAIRSPELL_HEADLINE_PRESENT`.
    pub headline: i32,
    /// The fit that draws the curve: `FAIRSPELL_FROM_START` or `FAIRSPELL_REVERSED`; -1: none.
    pub chosen: i32,
    /// 0.
    pub reserved: i32,
}

/// A Weibull fit of the dates, by maximum likelihood.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Fit {
    /// Shape.
    pub shape: f64,
    /// Scale [days].
    pub scale: f64,
    /// Natural logarithm of the likelihood.
    pub log_likelihood: f64,
    /// Akaike's criterion: the smaller, the better.
    pub aic: f64,
    /// Kolmogorov-Smirnov D.
    pub ks_d: f64,
    /// Anderson-Darling A².
    pub ad_a2: f64,
    /// Its 10, 50 and 90 % dates as day numbers.
    pub quantiles: [f64; 3],
    /// Lower ends of their 95 % intervals; NaN: none.
    pub low: [f64; 3],
    /// Upper ends.
    pub high: [f64; 3],
}

/// The last or the first freeze of one year.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct Year {
    /// Midnight UTC of its date [s since 1970]; `FAIRSPELL_NO_TIME`: no freeze was seen.
    pub date: i64,
    /// The year that names the season.
    pub year: i32,
    /// Day number; 0: no freeze was seen.
    pub day: u32,
    /// Missing days of the half.
    pub missing_days: u32,
    /// Minima left out as suspect, where they would have decided.
    pub suspects: u32,
    /// Whether it counts: at most 10 missing days.
    pub is_valid: i32,
    /// 0.
    pub reserved: i32,
}

/// The risk of one day.
#[repr(C)]
#[derive(Clone, Copy)]
pub struct DayRisk {
    /// In spring the chance that the last freeze comes on that day or later, in autumn that the first has come by then.
    pub probability: f64,
    /// Lower end of its 95 % interval; NaN: none.
    pub low: f64,
    /// Upper end.
    pub high: f64,
    /// Day number.
    pub day: u32,
    /// Its month, 1 to 12.
    pub month: u16,
    /// Its day of the month.
    pub day_of_month: u16,
}

/// Fills in the defaults: 36, 32, 28 and 24 °F, north, seed 1, 2000 replicates.
///   size    sizeof(fairspell_freeze_options)
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_freeze_options_init(
    options: *mut FreezeOptions,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks.
        let options = unsafe { sized_out(options, size) }?;
        options.put(FreezeOptions {
            thresholds: core::ptr::null(),
            threshold_count: 0,
            seed: 1,
            on: FAIRSPELL_NO_TIME,
            risk: f64::NAN,
            today: FAIRSPELL_NO_TIME,
            threshold_unit: FAIRSPELL_FAHRENHEIT,
            hemisphere: FAIRSPELL_NORTH,
            keeps_suspect: 0,
            is_brief: 0,
            replicates: 2000,
            reserved: 0,
        });
        Ok(())
    })
}

/// What is asked, in the core's terms.
pub(crate) struct FreezeQuestion {
    settings: Settings,
    asked: Asked,
    today: Option<chrono::NaiveDate>,
}

/// Takes the caller's options.
///
/// # Safety
/// As the header asks of the struct and of its array.
pub(crate) unsafe fn question(
    options: *const FreezeOptions,
    size: usize,
) -> Result<FreezeQuestion, Fault> {
    // SAFETY: the caller's word.
    let options = unsafe { copy(options, size) }?;
    let unit = temperature(options.threshold_unit)?;
    let of = |unit| move |value: f64| Quantity { value, unit };
    let thresholds = if options.threshold_count == 0 {
        THRESHOLDS_F.map(of(Unit::Fahrenheit)).to_vec()
    } else {
        // SAFETY: the caller's word.
        let own = unsafe { slice(options.thresholds, options.threshold_count, MAX_THRESHOLDS) }?;
        for threshold in own {
            finite(*threshold, "a threshold")?;
        }
        own.iter().copied().map(of(unit)).collect()
    };
    let risk = optional_finite(options.risk, "a share for risk")?;
    if let Some(share) = risk.filter(|share| *share <= 0.0 || *share >= 1.0) {
        let words = format!("expected a share above 0 and below 1 for risk, found {share}");
        return Err(Fault::range(words));
    }
    if options.replicates > MAX_REPLICATES {
        let found = options.replicates;
        let words = format!("expected at most {MAX_REPLICATES} replicates, found {found}");
        return Err(Fault::range(words));
    }
    Ok(FreezeQuestion {
        settings: Settings {
            thresholds,
            hemisphere: hemisphere(options.hemisphere)?,
            keeps_suspect: is_on(options.keeps_suspect, "keeps_suspect")?,
            seed: options.seed,
            replicates: options.replicates,
            is_brief: is_on(options.is_brief, "is_brief")?,
        },
        asked: Asked {
            on: optional_date(options.on, "a date for on")?,
            risk,
        },
        today: optional_date(options.today, "a date for today")?,
    })
}

fn hemisphere(number: i32) -> Result<Hemisphere, Fault> {
    match number {
        FAIRSPELL_NORTH => Ok(Hemisphere::North),
        FAIRSPELL_SOUTH => Ok(Hemisphere::South),
        other => Err(Fault::range(format!(
            "expected FAIRSPELL_NORTH or FAIRSPELL_SOUTH, found {other}"
        ))),
    }
}

/// The answer for one record.
pub(crate) fn answer(record: &RecordValue, question: &FreezeQuestion) -> RiskValue {
    let mut freezes = StationFreezes::new(&record.reading, &question.settings);
    if let Some(today) = question.today {
        freezes.note_age(today);
    }
    freezes.notices.extend(record.of_file.iter().cloned());
    RiskValue {
        freezes,
        asked: question.asked,
    }
}

/// Everything that a record says of freezes: dates, quantiles, fits, trend and risk, by threshold and half of the year.
///   record           daily minima of one station
///   options, size    see `fairspell_freeze_options_init`
///   out              receives a risk for `fairspell_risk_free`
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_freeze(
    record: *const Record,
    options: *const FreezeOptions,
    size: usize,
    out: *mut *mut Risk,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle, options and out-pointer.
        let (record, question, out) = unsafe {
            (
                borrow(record)?,
                question(options, size)?,
                crate::pointer::out(out)?,
            )
        };
        give(answer(record, &question), out);
        Ok(())
    })
}

/// The number of thresholds.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_thresholds(risk: *const Risk, count: *mut usize) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (risk, count) = unsafe { (borrow(risk)?, out(count)?) };
        count.put(risk.freezes.thresholds.len());
        Ok(())
    })
}

fn at(risk: &RiskValue, threshold: usize) -> Result<&AtThreshold, Fault> {
    let all = &risk.freezes.thresholds;
    all.get(threshold).ok_or_else(|| {
        let count = all.len();
        Fault::range(format!(
            "expected a threshold below {count}, found {threshold}"
        ))
    })
}

fn half_of(risk: &RiskValue, threshold: usize, half: i32) -> Result<&OwnHalf, Fault> {
    let at = at(risk, threshold)?;
    match half {
        FAIRSPELL_SPRING => Ok(&at.spring),
        FAIRSPELL_AUTUMN => Ok(&at.autumn),
        other => Err(Fault::range(format!(
            "expected FAIRSPELL_SPRING or FAIRSPELL_AUTUMN, found {other}"
        ))),
    }
}

/// A count for C.
pub(crate) fn count(count: usize) -> u32 {
    u32::try_from(count).unwrap_or(u32::MAX)
}

/// Lower and upper ends, NaN where there is none.
fn ends(intervals: [Option<Interval>; 3]) -> ([f64; 3], [f64; 3]) {
    let low = intervals.map(|interval| or_nan(interval.map(|(low, _)| low)));
    let high = intervals.map(|interval| or_nan(interval.map(|(_, high)| high)));
    (low, high)
}

fn form_number(form: Form) -> i32 {
    match form {
        Form::FromStart => FAIRSPELL_FROM_START,
        Form::Reversed => FAIRSPELL_REVERSED,
    }
}

/// One half of the year at one threshold.
///   threshold    index, from 0, in the order of the options
///   half         `FAIRSPELL_SPRING` or `FAIRSPELL_AUTUMN`
///   size         sizeof(fairspell_half)
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_half(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    facts: *mut Half,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (risk, facts) = unsafe { (borrow(risk)?, sized_out(facts, size)?) };
        let own = half_of(risk, threshold, half)?;
        facts.put(half_facts(at(risk, threshold)?.threshold, own));
        Ok(())
    })
}

fn half_facts(threshold: Quantity, own: &OwnHalf) -> Half {
    let (conditional_low, conditional_high) = ends(own.conditional_intervals);
    let slope = own.trend.theil_sen.as_ref();
    let present = own.present.as_ref();
    Half {
        threshold: threshold.value,
        freeze_probability: or_nan(own.freeze_probability()),
        conditional: all_or_nan(own.conditional),
        conditional_low,
        conditional_high,
        mixed: all_or_nan(own.mixed),
        present: all_or_nan(present.map_or([None; 3], |present| present.quantiles)),
        trend: or_nan(slope.map(|slope| slope.slope)),
        trend_low: or_nan(slope.map(|slope| slope.low_95)),
        trend_high: or_nan(slope.map(|slope| slope.high_95)),
        trend_p: or_nan(own.trend.mann_kendall.as_ref().map(|test| test.p)),
        fit_significance: or_nan(own.significance()),
        valid_years: count(own.valid_years),
        freeze_years: count(own.freeze_years),
        years: count(own.years.len()),
        present_year: present.map_or(0, |present| present.for_year),
        threshold_unit: number(threshold.unit),
        headline: match own.headline {
            Headline::Record => FAIRSPELL_HEADLINE_RECORD,
            Headline::Present => FAIRSPELL_HEADLINE_PRESENT,
        },
        chosen: own.chosen.map_or(-1, form_number),
        reserved: 0,
    }
}

/// A Weibull fit of one half at one threshold.
///   form    `FAIRSPELL_FROM_START` or `FAIRSPELL_REVERSED`
///   size    sizeof(fairspell_fit)
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (the dates cannot be fitted), `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`,
/// `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_fit(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    form: i32,
    fit: *mut Fit,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (risk, out) = unsafe { (borrow(risk)?, sized_out(fit, size)?) };
        let own = half_of(risk, threshold, half)?;
        if form != FAIRSPELL_FROM_START && form != FAIRSPELL_REVERSED {
            let words = "expected FAIRSPELL_FROM_START or FAIRSPELL_REVERSED, found";
            return Err(Fault::range(format!("{words} {form}")));
        }
        let is_it = |fit: &&fairspell::freeze::Fit| form_number(fit.form) == form;
        let fit = own.fits.iter().flatten().find(is_it);
        let fit = fit.ok_or_else(|| Fault::absent("expected a fit of the dates, found none"))?;
        let (low, high) = ends(fit.intervals);
        let weibull = &fit.weibull;
        out.put(Fit {
            shape: weibull.shape,
            scale: weibull.scale,
            log_likelihood: weibull.log_likelihood,
            aic: weibull.aic,
            ks_d: weibull.ks_d,
            ad_a2: weibull.ad_a2,
            quantiles: fit.quantiles,
            low,
            high,
        });
        Ok(())
    })
}

/// Copies the last or the first freeze of every year of the record, valid or not.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_year)
///   needed       receives the number of years, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_years(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    items: *mut Year,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (risk, items) = unsafe {
            (
                borrow(risk)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let own = half_of(risk, threshold, half)?;
        let years = own.years.iter().map(|year| Year {
            date: seconds_or_none(year.date),
            year: year.year,
            day: year.day.unwrap_or(0),
            missing_days: year.missing_days,
            suspects: year.suspects,
            is_valid: i32::from(year.is_valid),
            reserved: 0,
        });
        items.fill(&years.collect::<Vec<_>>())
    })
}

fn day_risk(risk: &OwnRisk) -> DayRisk {
    let (month, day_of_month) = Window::month_day(risk.day);
    DayRisk {
        probability: risk.probability,
        low: or_nan(risk.interval.map(|(low, _)| low)),
        high: or_nan(risk.interval.map(|(_, high)| high)),
        day: risk.day,
        month: u16::try_from(month).unwrap_or(0),
        day_of_month: u16::try_from(day_of_month).unwrap_or(0),
    }
}

/// Copies the risk of every day of a half, of the sample that the answer leads with.
///   items        [capacity] structs; may be NULL if capacity is 0
///   item_size    sizeof(fairspell_day_risk)
///   needed       receives the number of days, also on `FAIRSPELL_SMALL`
/// `FAIRSPELL_OK`, `FAIRSPELL_SMALL`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_days(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    items: *mut DayRisk,
    item_size: usize,
    capacity: usize,
    needed: *mut usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and buffer.
        let (risk, items) = unsafe {
            (
                borrow(risk)?,
                sized_buffer(items, item_size, capacity, needed)?,
            )
        };
        let own = half_of(risk, threshold, half)?;
        items.fill(&own.risk.iter().map(day_risk).collect::<Vec<_>>())
    })
}

/// The risk that a date carries.
///   on      midnight UTC of the date [s since 1970]
///   size    sizeof(fairspell_day_risk)
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (the date lies outside the half, or the record gives no risk), `FAIRSPELL_RANGE`,
/// `FAIRSPELL_NULL`, `FAIRSPELL_KIND`, `FAIRSPELL_SIZE`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_on(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    on: i64,
    day: *mut DayRisk,
    size: usize,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and struct.
        let (risk, day) = unsafe { (borrow(risk)?, sized_out(day, size)?) };
        let own = half_of(risk, threshold, half)?.risk_on(date(on, "a date")?);
        let own = own.ok_or_else(|| Fault::absent("expected a risk on that date, found none"))?;
        day.put(day_risk(&own));
        Ok(())
    })
}

/// In spring the first day whose risk is at most a share, in autumn the last.
///   share    above 0 and below 1
///   day      receives a day number; `fairspell_risk_days` has its month and day
/// `FAIRSPELL_OK`, `FAIRSPELL_ABSENT` (no day's is), `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_day_of(
    risk: *const Risk,
    threshold: usize,
    half: i32,
    share: f64,
    day: *mut u32,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointer.
        let (risk, day) = unsafe { (borrow(risk)?, out(day)?) };
        let own = half_of(risk, threshold, half)?;
        if !(share > 0.0 && share < 1.0) {
            let words = format!("expected a share above 0 and below 1, found {share}");
            return Err(Fault::range(words));
        }
        let none = || Fault::absent("expected a day of so low a risk, found none");
        day.put(own.day_of_risk(share).ok_or_else(none)?);
        Ok(())
    })
}

/// Days between the two freezes: seasons in which both halves are valid and have one.
///   seasons      receives how many there are
///   quantiles    [3] receives the 10, 50 and 90 % lengths [days]; NaN: not known
/// `FAIRSPELL_OK`, `FAIRSPELL_RANGE`, `FAIRSPELL_NULL`, `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_between(
    risk: *const Risk,
    threshold: usize,
    seasons: *mut usize,
    quantiles: *mut f64,
) -> Status {
    entry(|| {
        // SAFETY: as the header asks of handle and out-pointers; an array of three has the alignment of one.
        let (risk, seasons, quantiles) = unsafe {
            (
                borrow(risk)?,
                out(seasons)?,
                out(quantiles.cast::<[f64; 3]>())?,
            )
        };
        let own = &at(risk, threshold)?.freeze_free;
        seasons.put(own.days.len());
        quantiles.put(all_or_nan(own.quantiles));
        Ok(())
    })
}

/// Frees a risk and sets *risk to NULL; where it is NULL already, nothing happens.
/// `FAIRSPELL_OK`, `FAIRSPELL_NULL` (the address itself), `FAIRSPELL_KIND`.
#[unsafe(no_mangle)]
pub unsafe extern "C" fn fairspell_risk_free(risk: *mut *mut Risk) -> Status {
    // SAFETY: as the header asks.
    entry(|| unsafe { free(risk) })
}
