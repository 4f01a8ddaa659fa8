//! Every default of the work, with its source.

use super::{
    BY_HAND, CLEAN_UP_SHARE, CROWN_GAL_PER_1000_FT3, FILL_MIN, FLOW_GAL_PER_MIN, LEAVES_MIN,
    RATE_PCT, RINSE_MIN, SET_UP_MIN, SOIL_GAL_PER_100_FT2, TANK_GAL, Volume, WALK_MIN,
    WORKER_SIGMA, Work, WorkNote,
};
use crate::quantity::plain;

/// One number or row that the work rests on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Explained {
    /// What it is.
    pub what: String,
    /// Its value with its unit.
    pub value: String,
    /// Where it comes from.
    pub source: String,
}

impl core::fmt::Display for Explained {
    fn fmt(&self, f: &mut core::fmt::Formatter<'_>) -> core::fmt::Result {
        write!(f, "{}: {} ({})", self.what, self.value, self.source)
    }
}

fn line(what: &str, value: String, source: &str) -> Explained {
    Explained {
        what: what.to_owned(),
        value,
        source: source.to_owned(),
    }
}

fn range(values: &[f64], unit: &str) -> String {
    let texts: Vec<String> = values.iter().map(|value| plain(*value)).collect();
    format!("{} {unit}", texts.join(" – "))
}

impl Work {
    /// What the work rests on, line by line: the rows of the plants, the minutes, the spray, each with its source.
    ///
    /// ```
    /// use fairspell::{plant::PlantTable, site::Site, work::Work};
    /// let work = Work::of(&Site::default(), &PlantTable::built_in())?;
    /// let lines: Vec<String> = work.explain().iter().map(ToString::to_string).collect();
    /// assert!(lines.iter().any(|line| line.starts_with("flow of a hand sprayer: 0.3 US gal/min (Penn State")));
    /// # Ok::<(), fairspell::error::FileError>(())
    /// ```
    #[must_use]
    pub fn explain(&self) -> Vec<Explained> {
        let mut lines = Vec::new();
        for bed in &self.beds {
            let name = format!("{} × {} ({})", bed.count, bed.row, bed.size);
            lines.push(line(
                &name,
                format!("{}; oil: {}", bed.when, bed.oil.name()),
                &bed.source,
            ));
            let minutes = bed
                .minutes
                .map_or("no figure".to_owned(), |minutes| range(&minutes, "min"));
            let spray = range(&bed.spray.map(Volume::us_gallons), "US gal");
            lines.push(line(&name, format!("{minutes}, {spray} each"), &bed.basis));
        }
        lines.extend(of_time());
        if self.mix.is_some() {
            lines.extend(of_spraying());
            lines.extend(self.assumed());
        }
        lines
    }

    /// What the site does not say.
    fn assumed(&self) -> Vec<Explained> {
        let mut lines = Vec::new();
        if self.notes.contains(&WorkNote::RateAssumed) {
            let source =
                "least of 2 to 4 % (Rutgers), 2 to 3 % (Univ. of Vermont Fruit); the label decides";
            lines.push(line(
                "rate",
                format!("{} % of the finished spray", plain(RATE_PCT)),
                source,
            ));
        }
        if self.notes.contains(&WorkNote::TankAssumed) {
            lines.push(line(
                "tank",
                range(&[TANK_GAL], "US gal"),
                "common practice: a backpack sprayer",
            ));
        }
        lines
    }
}

fn of_time() -> Vec<Explained> {
    let minutes = "lognormal from the 10th to the 90th percentile; plants average out, the worker's pace does not";
    vec![
        line(
            "minutes",
            minutes.to_owned(),
            "the project's handbook, trade, §6",
        ),
        line(
            "worker's pace",
            format!("σ = {WORKER_SIGMA} of the logarithm"),
            "estimate",
        ),
        line(
            "hauling brush",
            format!("{} % of the pruning", plain(CLEAN_UP_SHARE * 100.0)),
            "Woodworth and Potter 1931, New Hampshire Agr. Exp. Sta. Bull. 257",
        ),
        line(
            "raking leaves, not in the total",
            range(&LEAVES_MIN, "min a rose"),
            "estimate",
        ),
        line(
            "rest",
            "working time × 7/6".to_owned(),
            "common practice: 10 min in each hour",
        ),
    ]
}

fn of_spraying() -> Vec<Explained> {
    vec![
        line(
            "flow of a hand sprayer",
            format!("{FLOW_GAL_PER_MIN} US gal/min"),
            "Penn State, Rates on a per-tree basis",
        ),
        line("walking", range(&[WALK_MIN], "min a plant"), "estimate"),
        line(
            "setting up and mixing",
            range(&[SET_UP_MIN], "min"),
            "estimate",
        ),
        line("a fill", range(&[FILL_MIN], "min"), "estimate"),
        line("rinsing", range(&[RINSE_MIN], "min"), "no source"),
        line(
            "spray for a crown",
            range(&CROWN_GAL_PER_1000_FT3, "US gal in 1,000 ft³"),
            "Penn State tree fruit guide; Landers, Cornell; typical: the middle",
        ),
        line(
            "a tree by hand to run-off",
            format!("up to {BY_HAND} times as much"),
            "estimate",
        ),
        line(
            "spray for soil",
            range(&SOIL_GAL_PER_100_FT2, "US gal in 100 ft²"),
            "estimate; typical: the middle",
        ),
    ]
}
