//! Every number behind a plan with its source, and the plan as JSON with them.

use super::{
    BACK_OFF_WEEKS, COLDEST_MONTH_C, LEAST_SUM_C_DAYS, MISSED_LOSS, NEARLY_ALL, Season,
    SeasonSettings, TROPIC_DEG,
};
use crate::json::written;
use crate::plant::{
    APPLE_GREEN_TIP_FROM_MARCH, NOT_FORETOLD, Oil, RED_MAPLE, ROSE_SHOOT, Sum, TENDER_SHOOT,
    TENDER_SHOOT_SOURCE,
};
use crate::quantity::{percent, plain};
use crate::work::Explained;

const OURS: &str =
    "ours: common practice, no source; it may be changed by whoever uses the library";
const OWN: &str = "your own";

fn line(what: impl Into<String>, value: impl Into<String>, source: &str) -> Explained {
    Explained {
        what: what.into(),
        value: value.into(),
        source: source.to_owned(),
    }
}

impl Season {
    /// Every number behind the plan with its source: sums, thresholds, weights, limits, the back-off, the customs, the work.
    ///
    /// - `settings`: those that the season was asked with.
    #[must_use]
    pub fn explain(&self, settings: &SeasonSettings) -> Vec<Explained> {
        let mut lines = of_shoots(self, settings);
        lines.extend(of_limits(settings));
        lines.extend(of_intervals(settings));
        lines.extend(of_dates());
        lines.extend(of_bounds());
        for here in &self.customs {
            let custom = here.custom;
            let value = format!("{}; {}", custom.region, custom.meaning);
            lines.push(line(
                format!("custom, {}", custom.name),
                value,
                custom.source,
            ));
        }
        lines.extend(self.work.explain());
        lines
    }

    /// The plan as JSON, as [`Season::to_json`], with what was explained as a last key unless it is empty.
    #[must_use]
    pub fn to_json_explained(&self, explained: &[Explained]) -> String {
        let json = self.to_json();
        let Some(open) = json.strip_suffix('}').filter(|_| !explained.is_empty()) else {
            return json;
        };
        let lines = explained.iter().map(
            |line| serde_json::json!({"what": line.what, "value": line.value, "source": line.source}),
        );
        let lines = written(&serde_json::Value::Array(lines.collect()));
        format!("{open},\"explain\":{lines}}}")
    }
}

fn sum_words(sum: &Sum) -> String {
    let middle = sum.mid.map_or_else(String::new, plain);
    let (low, high) = (plain(sum.low), plain(sum.high));
    let unit = sum.unit.symbol();
    let range = if low == high {
        String::new()
    } else {
        format!(", range {low} to {high}")
    };
    format!(
        "{middle} {unit}·d above {} {unit}{range}; {}",
        plain(sum.base),
        sum.strength.word()
    )
}

fn of_shoots(season: &Season, settings: &SeasonSettings) -> Vec<Explained> {
    let tender_source = if settings.tender == TENDER_SHOOT {
        TENDER_SHOOT_SOURCE
    } else {
        OWN
    };
    let shoot = match settings.sum_c_days {
        Some(sum) => line(
            ROSE_SHOOT.name,
            format!("{} °C·d above 5.2 °C", plain(sum)),
            OWN,
        ),
        None => line(ROSE_SHOOT.name, sum_words(&ROSE_SHOOT), ROSE_SHOOT.source),
    };
    let tender = line(
        "minimum that harms tender shoots",
        settings.tender.to_string(),
        tender_source,
    );
    let mut lines = vec![shoot, tender];
    lines.extend(of_buds(season));
    lines
}

fn of_buds(season: &Season) -> Vec<Explained> {
    let mut lines = vec![line(
        "buds break, of roses and all kinds without a figure of their own",
        format!("{} from midwinter on", sum_words(&ROSE_SHOOT)),
        ROSE_SHOOT.source,
    )];
    let has_green_tip = |plant: &super::PlantSeason| plant.plant.oil == Oil::ToHalfInchGreen;
    if season.plants.iter().any(has_green_tip) {
        let sum = &APPLE_GREEN_TIP_FROM_MARCH;
        let value = format!("{} from 1 March on", sum_words(sum));
        lines.push(line("buds break, of apple and pear", value, sum.source));
    }
    let value = format!("{} from 1 January on", sum_words(&RED_MAPLE));
    lines.push(line(
        "first food of bees, red maple in bloom",
        value,
        RED_MAPLE.source,
    ));
    lines.extend(
        NOT_FORETOLD
            .iter()
            .map(|of| line(of.name, of.finding, of.source)),
    );
    lines
}

fn of_limits(settings: &SeasonSettings) -> Vec<Explained> {
    let defaults = SeasonSettings::default();
    let weights = settings.weights;
    let weights_source = if weights == defaults.weights {
        "common practice, no source; other weights may be given"
    } else {
        OWN
    };
    let value = format!(
        "a late freeze {}, broken buds {}; harm = their sum over the two chances",
        plain(weights.late_freeze),
        plain(weights.after_bud_break)
    );
    vec![
        line("weights of the harms", value, weights_source),
        line(
            "greatest damage in the interval to prune",
            percent(settings.most_damage),
            OURS,
        ),
        line(
            "greatest chance that buds have broken, to prune",
            percent(settings.most_broken_prune),
            OURS,
        ),
        line(
            "greatest chance that buds have broken, for oil",
            percent(settings.most_broken_oil),
            "ours, after label language: dormant, before the buds break; apple and pear, to half an inch of green, take \
             the limit of pruning",
        ),
    ]
}

fn of_intervals(settings: &SeasonSettings) -> Vec<Explained> {
    vec![
        line(
            "bootstrap of the freeze risk",
            format!("{} replicates, seed {}", settings.replicates, settings.seed),
            "the project's handbook, statistics; percentile intervals of 95 %",
        ),
        line(
            "95 % interval of a share of years",
            "Wilson",
            "E. B. Wilson 1927, by the project's handbook, statistics",
        ),
    ]
}

fn of_dates() -> Vec<Explained> {
    let [most, least] = BACK_OFF_WEEKS;
    vec![
        line(
            "back-off before the median last freeze",
            format!("{least} to {most} weeks"),
            "common practice, no source",
        ),
        line(
            "first day to prune",
            "behind the fifteen days of the year with the lowest mean minimum",
            "Penn State and Utah State Extension: when the worst cold is past; by the project's handbook, trade, §2",
        ),
        line(
            "first day for oil",
            "of the fifteen days around it one in seven has an hour between 40 and 90 °F and a next night not below 32 °F",
            "limits: the built-in operation for oil, the project's handbook, trade, §1; one in seven: ours",
        ),
        line(
            "where the limits leave no day to prune: greatest chance that buds have broken",
            percent(NEARLY_ALL),
            "ours: common practice, no source",
        ),
    ]
}

fn of_bounds() -> Vec<Explained> {
    vec![
        line(
            "a place without winter",
            format!(
                "less than {TROPIC_DEG}° from the equator, or no month colder than {COLDEST_MONTH_C} °C in the mean"
            ),
            "Köppen's limit of the tropical climates, by Peel, Finlayson & McMahon 2007, Hydrol. Earth Syst. Sci. 11, 1633 \
             (from memory)",
        ),
        line(
            "fewest degree days that tell how far ahead a season is",
            format!("{LEAST_SUM_C_DAYS} °C·d above 5.2 °C"),
            "ours: a warm week in midwinter",
        ),
        line(
            "loss of letting the season pass, when waiting is weighed",
            format!("{MISSED_LOSS}, as much as the shoots of a plant"),
            "common practice, no source; another loss may be given",
        ),
    ]
}
