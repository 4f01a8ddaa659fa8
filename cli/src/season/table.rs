//! The damage by date as CSV: one row a date and kind.

use core::fmt::Write as _;

use fairspell::season::{Season, Share};

use crate::freeze_table::quoted;

/// The names of the columns.
const HEADER: &str = "kind,date,damage,low_95,high_95,damage_low,damage_high,bud_break,harm\n";

/// The table: shares of 1, blank where nothing is known. A kind that is not cut in winter has no row.
pub fn table(season: &Season) -> String {
    let mut table = HEADER.to_owned();
    for plant in &season.plants {
        for damage in &plant.damage {
            let interval = damage.share.interval();
            let _ = write!(table, "{},{}", quoted(&plant.plant.name), damage.date);
            for number in [
                damage.share.probability(),
                interval.map(|(low, _)| low),
                interval.map(|(_, high)| high),
                Share::probability(damage.range.0),
                Share::probability(damage.range.1),
                damage.broken.probability(),
                damage.harm,
            ] {
                let _ = match number {
                    Some(number) => write!(table, ",{number}"),
                    None => write!(table, ","),
                };
            }
            table.push('\n');
        }
    }
    table
}
