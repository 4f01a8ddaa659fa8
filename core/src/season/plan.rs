//! A season put together: plants, last freeze, back-off, customs, and what must be said.

use chrono::{Days, Months, NaiveDate};

use super::bud_break::Event;
use super::custom::{Custom, Indicator, When, customs};
use super::damage::Exposure;
use super::observed::UnderWay;
use super::winter::{Winter, winters};
use super::{
    BACK_OFF_WEEKS, BackOff, CustomHere, Damage, Dates, LastFreeze, NoDates, PlantSeason, Season,
    SeasonQuestion, SeasonSettings, Share, chance, interval, notices,
};
use crate::error::FileError;
use crate::freeze::{self, Half, HalfName, Quantiles, Settings, Window, YearDate};
use crate::operation::Operation;
use crate::plant::{
    APPLE_GREEN_TIP_FROM_MARCH, Oil, Plant, Prune, RED_MAPLE, ROSE_SHOOT, Start, Sum,
};
use crate::quantity::{Quantity, Unit};
use crate::site::Hemisphere;
use crate::work::Work;

/// Plans a late winter.
///
/// # Errors
/// [`FileError`] at a kind of the garden that the plants table does not have, with the nearest that it has.
pub fn season(question: &SeasonQuestion<'_>) -> Result<Season, FileError> {
    let window = Window {
        half: HalfName::Spring,
        hemisphere: question.site.hemisphere().unwrap_or(Hemisphere::North),
    };
    let garden = garden_of(question)?;
    let climate = Climate::new(question, window);
    let plants: Vec<PlantSeason> = garden
        .into_iter()
        .map(|(plant, count)| climate.plant(plant, count))
        .collect();
    let most_exposed = most_exposed(&plants);
    let last_freeze = climate.last_freeze();
    let exposed = plants.get(most_exposed);
    let buds = exposed.and_then(|plant| climate.event(bud_break(&plant.plant)));
    let mut season = Season {
        year: question.year,
        station: question.record.station().to_owned(),
        damage_years: climate.damage_years(),
        left_out: climate.left_out(),
        back_off: climate.back_off(&last_freeze),
        customs: climate.customs(&last_freeze.half, buds.as_ref()),
        flight: climate.dates(climate.event(&RED_MAPLE).map(|event| event.quantiles())),
        so_far: climate.so_far(),
        work: Work::of(question.site, question.table)?,
        last_freeze,
        plants,
        most_exposed,
        notices: Vec::new(),
    };
    season.notices = notices::of(&season, question, climate.under_way.is_some());
    Ok(season)
}

/// The garden's kinds with their numbers; one hybrid tea rose without a garden.
fn garden_of(question: &SeasonQuestion<'_>) -> Result<Vec<(Plant, u32)>, FileError> {
    let garden = &question.site.garden;
    if garden.is_empty() {
        let rose = question.table.named(crate::plant::ASSUMED);
        return Ok(rose.map(|rose| (rose.clone(), 1)).into_iter().collect());
    }
    let of = |planting| {
        let grown = question.table.find(planting)?;
        Ok((grown.row.clone(), planting.count))
    };
    garden.iter().map(of).collect()
}

/// The plant with the greatest damage over all dates; of equals, the first to break bud.
fn most_exposed(plants: &[PlantSeason]) -> usize {
    let exposure = |plant: &PlantSeason| {
        let damage = plant.damage.iter();
        let sum: f64 = damage.filter_map(|of| of.share.probability()).sum();
        let broken: f64 = plant
            .damage
            .iter()
            .filter_map(|of| of.broken.probability())
            .sum();
        (plant.prune.is_ok(), sum, broken)
    };
    let mut most = 0;
    let mut greatest = (false, 0.0, 0.0);
    for (place, plant) in plants.iter().enumerate() {
        let own = exposure(plant);
        if own > greatest {
            (most, greatest) = (place, own);
        }
    }
    most
}

/// What the record says of the winters of a place.
struct Climate<'a> {
    question: &'a SeasonQuestion<'a>,
    window: Window,
    tender: Vec<YearDate>,
    under_way: Option<UnderWay<'a>>,
    exposures: Option<[Exposure; 3]>,
    fit: Vec<Share>,
    coldest: usize,
    has_no_winter: bool,
}

impl<'a> Climate<'a> {
    fn new(question: &'a SeasonQuestion<'a>, window: Window) -> Self {
        let settings = freeze_settings(question.settings, window, true);
        let tender =
            |record| freeze::last_freeze(record, &settings, question.settings.tender).years;
        let mut own = tender(question.record);
        let observed = question.observed.unwrap_or(question.record);
        let under_way = UnderWay::new(observed, window, question.year);
        let under_way = under_way.filter(UnderWay::is_before_the_end);
        if let Some(way) = &under_way {
            own = way.freezes(&own, &tender(observed));
        }
        let mut climate = Self {
            question,
            window,
            tender: own,
            under_way,
            exposures: None,
            fit: fit_for_oil(question, window),
            coldest: interval::coldest_past(question.record, window),
            has_no_winter: notices::has_no_winter(question),
        };
        climate.exposures = climate.exposures_of();
        climate
    }

    /// The winters with their sums, with the observed beginning if there is one.
    fn winters(&self, sum: &Sum) -> Option<Vec<Winter>> {
        let degree_days = sum.degree_days();
        let all = winters(self.question.record, self.window, degree_days)?;
        let carried = self.under_way.as_ref();
        let carried = carried.and_then(|way| way.carried(&all, degree_days));
        Some(carried.unwrap_or(all))
    }

    fn exposures_of(&self) -> Option<[Exposure; 3]> {
        let winters = self.winters(&ROSE_SHOOT)?;
        let Sum { low, high, .. } = ROSE_SHOOT;
        let sums = match self.question.settings.sum_c_days {
            Some(sum) => [sum; 3],
            None => [low, ROSE_SHOOT.mid.unwrap_or(low), high],
        };
        Some(sums.map(|sum| Exposure::of(self.window, &winters, &self.tender, sum)))
    }

    /// The days on which a sum's middle is reached, from the sum's own start, or else from the half's first day.
    fn event(&self, sum: &Sum) -> Option<Event> {
        let winters = self.winters(sum)?;
        let months = if sum.start == Start::March { 2 } else { 0 };
        let from = |year| {
            let (first, _) = self.window.dates(year)?;
            first.checked_add_months(Months::new(months))
        };
        let target = sum.mid.unwrap_or(sum.high);
        Some(Event::of(self.window, &winters, from, target))
    }

    fn date(&self, day: f64) -> Option<NaiveDate> {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "a day number of the half"
        )]
        let day = day.round() as u32;
        self.window.date(self.question.year, day)
    }

    fn dates(&self, quantiles: Option<Quantiles>) -> [Option<NaiveDate>; 3] {
        let quantiles = quantiles.unwrap_or_default();
        quantiles.map(|day| day.and_then(|day| self.date(day)))
    }

    fn plant(&self, plant: Plant, count: u32) -> PlantSeason {
        let event = self.event(bud_break(&plant));
        let damage = self.damage(event.as_ref());
        let settings = self.question.settings;
        let why_not = self.why_not(&damage);
        let prune = match (no_cut(&plant), why_not) {
            (Some(no), _) | (None, Some(no)) => Err(no),
            _ => interval::prune(&damage, self.coldest, settings).ok_or(NoDates::TooFewYears),
        };
        let most_broken = if plant.oil == Oil::ToHalfInchGreen {
            settings.most_broken_prune
        } else {
            settings.most_broken_oil
        };
        let oil = match (no_oil(&plant), why_not) {
            (Some(no), _) | (None, Some(no)) => Err(no),
            _ => interval::oil(&damage, &self.fit, most_broken).ok_or(NoDates::TooFewYears),
        };
        PlantSeason {
            count,
            damage: if no_cut(&plant).is_some() {
                Vec::new()
            } else {
                damage
            },
            bud_break: self.dates(event.map(|event| event.quantiles())),
            prune,
            oil,
            plant,
        }
    }

    /// Why no interval can be known here.
    fn why_not(&self, damage: &[Damage]) -> Option<NoDates> {
        if self.has_no_winter {
            Some(NoDates::NoWinter)
        } else if self.exposures.is_none() {
            Some(NoDates::NoMaxima)
        } else if damage.iter().all(|of| of.harm.is_none()) {
            Some(NoDates::TooFewYears)
        } else {
            None
        }
    }

    fn damage(&self, event: Option<&Event>) -> Vec<Damage> {
        let (Some([most, middle, least]), Some(event)) = (&self.exposures, event) else {
            return Vec::new();
        };
        let Some((first, end)) = self.window.dates(self.question.year) else {
            return Vec::new();
        };
        let of = |date: NaiveDate| {
            let day = self.window.day(date);
            let (share, broken) = (middle.on_day(day), event.share_by(day));
            Damage {
                date,
                share,
                range: (least.on_day(day), most.on_day(day)),
                broken,
                harm: self.harm(share, broken),
            }
        };
        first
            .iter_days()
            .take_while(|date| *date <= end)
            .map(of)
            .collect()
    }

    fn harm(&self, damage: Share, broken: Share) -> Option<f64> {
        let weights = self.question.settings.weights;
        let late = weights.late_freeze * damage.probability()?;
        Some(late + weights.after_bud_break * broken.probability()?)
    }

    fn damage_years(&self) -> Option<(i32, i32, usize)> {
        let [_, middle, _] = self.exposures.as_ref()?;
        let years = || middle.years.iter().map(|year| year.year);
        Some((years().min()?, years().max()?, middle.years.len()))
    }

    fn left_out(&self) -> Vec<i32> {
        let exposures = self.exposures.as_ref();
        exposures.map_or_else(Vec::new, |[_, middle, _]| middle.left_out.clone())
    }

    fn last_freeze(&self) -> LastFreeze {
        let settings = freeze_settings(self.question.settings, self.window, false);
        let at = Quantity {
            value: 32.0,
            unit: Unit::Fahrenheit,
        };
        let half = freeze::last_freeze(self.question.record, &settings, at);
        LastFreeze {
            dates: self.dates(Some(half.leading())),
            half,
        }
    }

    fn back_off(&self, last_freeze: &LastFreeze) -> Option<BackOff> {
        let before = |date: NaiveDate| {
            let [earliest, latest] = BACK_OFF_WEEKS.map(|weeks| Days::new(u64::from(weeks) * 7));
            Some(Dates {
                from: date.checked_sub_days(earliest)?,
                to: date.checked_sub_days(latest)?,
            })
        };
        let [_, median, _] = last_freeze.dates;
        let dates = before(median?)?;
        let by_risk = last_freeze.half.day_of_risk(0.1);
        let by_risk = by_risk.and_then(|day| before(self.window.date(self.question.year, day)?));
        let damage = |date| {
            let [_, middle, _] = self.exposures.as_ref()?;
            let is_in =
                self.window.season_of(date) == self.question.year && self.window.holds(date);
            is_in.then(|| middle.on_day(self.window.day(date)))
        };
        Some(BackOff {
            dates,
            by_risk,
            damage: [damage(dates.from), damage(dates.to)],
        })
    }

    fn customs(&self, last_freeze: &Half, buds: Option<&Event>) -> Vec<CustomHere> {
        let customs = customs(self.window.hemisphere).unwrap_or_default();
        let mut customs: Vec<CustomHere> = customs
            .iter()
            .filter_map(|custom| self.custom(custom, last_freeze, buds))
            .collect();
        let rank = |custom: &CustomHere| custom.harm.unwrap_or(f64::INFINITY);
        customs.sort_by(|a, b| rank(a).total_cmp(&rank(b)).then(a.date.cmp(&b.date)));
        customs
    }

    /// A custom, compared for the most exposed plant, whose buds break on the days of `buds`.
    fn custom(
        &self,
        custom: &'static Custom,
        last_freeze: &Half,
        buds: Option<&Event>,
    ) -> Option<CustomHere> {
        let event = custom.indicator().and_then(|indicator| match indicator {
            Indicator::Bloom(sum) => self.event(sum),
            Indicator::BudsSwell => self.event(&ROSE_SHOOT),
        });
        let own_date = |year: i32| match &event {
            Some(event) => event.date(year),
            None => custom.date(year),
        };
        let [_, median, _] = self.dates(event.as_ref().map(Event::quantiles));
        let date = median.or_else(|| custom.date(self.question.year))?;
        let is_fixed = matches!(custom.when, When::Fixed { .. } | When::Days { .. });
        let damage = self
            .exposures
            .as_ref()
            .map(|[_, middle, _]| middle.on_dates(own_date));
        let broken = buds.map(|event| event.share_on(own_date));
        let harm = damage
            .zip(broken)
            .and_then(|(damage, broken)| self.harm(damage, broken));
        Some(CustomHere {
            custom,
            date,
            damage,
            freeze_risk: freeze_risk(last_freeze, is_fixed.then_some(date), own_date),
            harm,
        })
    }

    fn so_far(&self) -> Option<super::SoFar> {
        let way = self.under_way.as_ref()?;
        let degree_days = ROSE_SHOOT.degree_days();
        way.so_far(
            &winters(self.question.record, self.window, degree_days)?,
            degree_days,
        )
    }
}

/// Days fit for the built-in oil by temperature alone; none without maxima.
fn fit_for_oil(question: &SeasonQuestion<'_>, window: Window) -> Vec<Share> {
    let oil = Operation::built_in("oil");
    let usable = oil.and_then(|oil| chance::usable(question.record, window, &oil));
    usable.unwrap_or_default()
}

/// The chance of a freeze on or after a date, among years with a freeze: by the headline's curve for a fixed date, over
/// the years' own dates for a movable one.
fn freeze_risk(
    half: &Half,
    fixed: Option<NaiveDate>,
    own_date: impl Fn(i32) -> Option<NaiveDate>,
) -> Option<(f64, Option<(f64, f64)>)> {
    if let Some(date) = fixed {
        let risk = half.risk_on(date)?;
        let share = half.freeze_probability().filter(|share| *share > 0.0)?;
        let scaled = |chance: f64| (chance / share).min(1.0);
        let interval = risk.interval.map(|(low, high)| (scaled(low), scaled(high)));
        return Some((scaled(risk.probability), interval));
    }
    let freezes = half.years.iter().filter(|year| year.is_valid);
    let dated: Vec<bool> = freezes
        .filter_map(|year| Some(year.date? >= own_date(year.year)?))
        .collect();
    let share = Share {
        hits: dated.iter().filter(|hit| **hit).count(),
        years: dated.len(),
    };
    Some((share.probability()?, share.interval()))
}

fn freeze_settings(settings: &SeasonSettings, window: Window, is_brief: bool) -> Settings {
    Settings {
        thresholds: Vec::new(),
        hemisphere: window.hemisphere,
        keeps_suspect: settings.keeps_suspect,
        seed: settings.seed,
        replicates: if is_brief { 0 } else { settings.replicates },
        is_brief,
    }
}

/// The sum that tells when the buds of a plant break: green tips of the kinds that may be sprayed up to half an inch of
/// green, apple and pear; for all others the shoots of a rose, from midwinter on.
fn bud_break(plant: &Plant) -> &'static Sum {
    if plant.oil == Oil::ToHalfInchGreen {
        &APPLE_GREEN_TIP_FROM_MARCH
    } else {
        &ROSE_SHOOT
    }
}

fn no_cut(plant: &Plant) -> Option<NoDates> {
    match plant.prune {
        _ if plant.is_cut_in_winter => None,
        Prune::AfterBloom => Some(NoDates::AfterBloom),
        Prune::Summer => Some(NoDates::Summer),
        Prune::LateWinter | Prune::DeadWoodOnly => Some(NoDates::DeadWoodOnly),
    }
}

fn no_oil(plant: &Plant) -> Option<NoDates> {
    match plant.oil {
        Oil::No => Some(NoDates::NotSprayed),
        Oil::WhereScale => Some(NoDates::WhereScale),
        _ => None,
    }
}
