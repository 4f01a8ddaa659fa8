//! The command line: names, texts and shapes of all arguments.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};
use fairspell::decision::Units;
use fairspell::read::daily::SummaryUnits;

/// What `fairspell --help` says first, and the commands.
#[derive(Debug, Parser)]
#[command(
    name = "fairspell",
    max_term_width = 80,
    version,
    about = "Whether today, and which hours of it, are fit to prune or to spray dormant oil.",
    long_about = "Whether today, and which hours of it, are fit to prune or to spray dormant oil, from a forecast \
        file: go, no-go or cannot tell, with the reason for every no, the next chances, and the source of every limit.",
    after_help = "Exit: 0 go, or the command did its work; 1 no-go; 2 error in usage or input; 3 cannot tell.\n\
        The product's label is the law; local rules and licensed practice come first.",
    after_long_help = EXAMPLES
)]
pub struct Arguments {
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

const EXAMPLES: &str = "\
Examples:
  fairspell demo                                  the whole job on an invented scenario
  fairspell demo --write try                      its files, to try the commands on
  fairspell season station.csv --site site.toml   the weeks to prune and to spray
  fairspell decide oil forecast.csv --site site.toml
  fairspell decide prune forecast.json --zone America/Chicago --within 36h

Exit: 0 go, or the command did its work; 1 no-go; 2 error in usage or input;
3 cannot tell (missing or stale data). Only a true go is 0, so this is safe in cron:
  fairspell decide oil forecast.json --site site.toml --format line && notify ...

The product's label is the law; local rules and licensed practice come first.";

const DECIDE_EXAMPLES: &str = "\
Examples:
  fairspell decide oil forecast.json --site site.toml
      today, until midnight on the site's clock
  fairspell decide oil forecast.csv --site site.toml --observed yesterday.csv
      with the hours before the forecast, so that \"3 h before\" is known at once
  fairspell decide prune forecast.csv --zone America/Chicago --within 36h
      without a site file; daylight goes unchecked
  fairspell decide my-paint.toml forecast.csv --site site.toml --explain
      an operation of your own, with every formula, value and source
  curl -s ADDRESS | fairspell decide oil - --site site.toml --format line
      from standard input, one line for a message

A site file (all keys may be left out):
  name = \"Quince Hollow\"
  latitude = 42.4
  longitude = -88.1
  elevation = \"250 m\"
  zone = \"America/Chicago\"
  [[limit]]                  # a limit of your own
  operation = \"oil\"
  rule = \"wind\"
  at-most = \"8 mph\"
  [forecast-error]           # forecast minus observation, if you have learned it
  lead = [\"24 h\", \"48 h\"]
  bias = [\"0 °F\", \"1 °F\"]
  deviation = [\"3 °F\", \"4 °F\"]

Plain CSV has a header of measure and unit, and a row an hour, blank = missing:
  time,temperature_f,rain_in,humidity_pct,wind_mph
  2027-03-10T09:00-06:00,50,0,60,5

Exit: 0 go, 1 no-go, 2 error, 3 cannot tell.";

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Is now the time? Go, no-go or cannot tell, with reasons and the next spells
    #[command(after_help = DECIDE_EXAMPLES)]
    Decide(Box<DecideArguments>),
    /// When is my last freeze, really, and what risk does each date carry?
    #[command(after_help = FREEZE_EXAMPLES)]
    Freeze(Box<FreezeArguments>),
    /// Which weeks to prune and to spray, what each date risks, and how long the work takes
    #[command(after_help = SEASON_EXAMPLES)]
    Season(Box<SeasonArguments>),
    /// What would it have said in past years; was what I did within the rules?
    #[command(after_help = HINDCAST_EXAMPLES)]
    Hindcast(Box<HindcastArguments>),
    /// The job on a scenario built in (its weather is invented), or its files to try
    Demo(DemoArguments),
}

/// Arguments of `decide`.
#[derive(Debug, Args)]
pub struct DecideArguments {
    /// oil, prune, or the path of an operation file (TOML)
    pub operation: String,
    /// Forecast: plain hourly CSV, U.S. NWS GeoJSON or MET Norway Locationforecast JSON, gzip or not; - is standard input
    pub forecast: String,
    /// Where the place is.
    #[command(flatten)]
    pub place: PlaceArguments,
    /// "Now", in ISO 8601; without an offset on the site's clock [default: the clock]
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// Look this far ahead instead of to the end of the local day, such as 36h
    #[arg(long, value_name = "TIME")]
    pub within: Option<String>,
    /// Observed hours to put before the forecast: plain hourly CSV or NWS station observations
    #[arg(long, value_name = "FILE")]
    pub observed: Option<String>,
    /// Daily station record, to say where the season stands and weigh going now against waiting; it changes no verdict
    #[arg(long, value_name = "FILE")]
    pub record: Option<String>,
    /// Past hours of the place (as for hindcast), beside --record: how often later days were fit counts by all rules, not by the
    /// record's temperatures alone; may be given more than once
    #[arg(long, value_name = "FILE", num_args = 1.., requires = "record")]
    pub past: Vec<String>,
    /// Units of Daily Summaries, beside --record: us, metric or tenths
    #[arg(long, value_name = "UNITS", value_enum, requires = "record")]
    pub record_units: Option<RecordUnits>,
    /// Loss of letting the season pass undone, beside --record: 1 is that of a plant's shoots [default: 1, ours]
    #[arg(long, value_name = "LOSS", requires = "record")]
    pub missed_loss: Option<String>,
    /// Plants table of your own (TOML): rows beside or in place of those built in, for the site's garden
    #[arg(long, value_name = "FILE")]
    pub plants: Option<String>,
    /// Your own word that the wood is dry now: hours before the file's first count as dry
    #[arg(long)]
    pub dry_now: bool,
    /// Blocking rules that the file cannot answer make it cannot tell, optional or not
    #[arg(long)]
    pub strict: bool,
    /// Least confidence of a go, such as 70%: a less sure one, or one whose confidence is not known, cannot tell
    #[arg(long, value_name = "SHARE")]
    pub min_confidence: Option<String>,
    /// How to answer
    #[arg(long, value_enum, default_value_t = Format::Text)]
    pub format: Format,
    /// Units of values in the text [default: as each limit is written]
    #[arg(long, value_enum)]
    pub units: Option<UnitSystem>,
    /// Show every rule's values, formula and source for the best hour, or for TIME (text and json)
    #[arg(long, value_name = "TIME", num_args = 0..=1, default_missing_value = "", require_equals = true)]
    pub explain: Option<String>,
    /// An alarm this long before each spell in the calendar, such as 30min (ics)
    #[arg(long, value_name = "TIME")]
    pub alarm: Option<String>,
    /// Write the answer to this file, whole or not at all
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

const FREEZE_EXAMPLES: &str = "\
Examples:
  fairspell freeze station.csv
      last spring and first autumn freeze at 36, 32, 28 and 24 °F, and the risk
  fairspell freeze station.csv --threshold 28F --on 2027-04-10
      the risk that 28 °F or lower still comes on 10 April or later
  fairspell freeze USW00014839.csv --risk 5% --format json
      the date of a risk of one in twenty, with every year
  fairspell freeze summaries.csv --record-units metric --units si
      NOAA Daily Summaries, whose file does not say its units; shown in °C

Where defaults come from: 36, 32, 28 and 24 °F are the warmest four thresholds of
NOAA's freeze normals (1981-2010 U.S. Climate Normals; from memory); 28 °F kills the
season's growth (Kansas State University, Weather Data Library, 2018). 2000
replicates and seed 1 are ours.

A plain record is CSV with a row a day, blank = missing:
  date,tmin_f
  2027-04-01,33";

/// Arguments of `freeze`.
#[derive(Debug, Args)]
pub struct FreezeArguments {
    /// Daily records: plain CSV, NOAA GHCN-Daily by station or .dly, Daily Summaries, gzip or not; - is standard input
    #[arg(required = true)]
    pub records: Vec<String>,
    /// Minimum at or below which a day is a freeze day, such as 28F or -2C [default: 36F 32F 28F 24F]
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub threshold: Vec<String>,
    /// Also the risk on this date
    #[arg(long, value_name = "DATE")]
    pub on: Option<String>,
    /// Also the date of this risk, such as 10%
    #[arg(long, value_name = "SHARE")]
    pub risk: Option<String>,
    /// Site file: its latitude tells the hemisphere [default: north]
    #[arg(long, value_name = "FILE")]
    pub site: Option<String>,
    /// Units of Daily Summaries: us, metric or tenths
    #[arg(long, value_name = "UNITS", value_enum)]
    pub record_units: Option<RecordUnits>,
    /// us or si: units of thresholds in text, picture and page [default: as given]; us, metric or tenths: units of Daily
    /// Summaries too, as --record-units says them
    #[arg(long, value_enum, value_name = "UNITS")]
    pub units: Option<FreezeUnits>,
    /// How the record is taken.
    #[command(flatten)]
    pub taking: TakingArguments,
    /// Replicates of the bootstrap, 0 for no intervals [default: 2000; csv: 0]
    #[arg(long, value_name = "N")]
    pub replicates: Option<u32>,
    /// How to answer
    #[arg(long, value_enum, default_value_t = FreezeFormat::Text)]
    pub format: FreezeFormat,
    /// Write the answer to this file, whole or not at all
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// How a daily record is taken, and what is drawn from it.
#[derive(Debug, Args)]
pub struct TakingArguments {
    /// Whether values are whole °F that the archive stores converted [default: for GHCN-Daily stations of the U.S.]
    #[arg(long, value_name = "BOOL")]
    pub whole_fahrenheit: Option<bool>,
    /// Count minima far from the station's own record for the day too
    #[arg(long)]
    pub keep_suspect: bool,
    /// Seed of the bootstrap
    #[arg(long, default_value_t = 1)]
    pub seed: u64,
}

const SEASON_EXAMPLES: &str = "\
Examples:
  fairspell season station.csv --site site.toml --year 2027
      when to prune and to spray, what each date risks, and the work itself
  fairspell season station.csv --site site.toml --observed this-year.csv
      with the degree days gathered so far; the file may be daily or hourly
  fairspell season station.csv --site site.toml --format html --output plan.html
      a plan to print and take outside
  fairspell season station.csv --site site.toml --explain
      every number behind it, with its source
  fairspell season USW00014839.csv --tender 27F --weights 2,1
      another tender threshold, and a late freeze that counts twice

The record needs tmin and tmax, a row a day, blank = missing:
  date,tmin_f,tmax_f
  2027-03-01,28,44

The garden stands in the site file; the rest of each entry may be left out:
  [[garden]]
  kind = \"hybrid tea\"
  count = 12
  height = \"3 ft\"

Without a garden the plan is for one hybrid tea rose. Damage is inferred from a
sum of degree days that no one has measured outdoors: the answer shows the range.

Where defaults come from: 28 °F kills the season's growth (Kansas State University,
Weather Data Library, 2018); 130 degree days are inferred, as above; weights of 1 and
0.5, 2000 replicates and seed 1 are ours. Every other number: --explain.";

/// Arguments of `season`.
#[derive(Debug, Args)]
pub struct SeasonArguments {
    /// Daily record with minima and maxima: plain CSV, NOAA GHCN-Daily, Daily Summaries, gzip or not; - is standard input
    pub record: String,
    /// Where the place is.
    #[command(flatten)]
    pub place: PlaceArguments,
    /// The season, by the year in which its spring begins [default: the one under way, or the next]
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i32).range(1800..=2200))]
    pub year: Option<i32>,
    /// "Today", in ISO 8601; without an offset on the site's clock [default: the clock]
    #[arg(long, value_name = "TIME")]
    pub at: Option<String>,
    /// The station, where the record holds several
    #[arg(long, value_name = "ID")]
    pub station: Option<String>,
    /// This year so far: daily record, plain hourly CSV or NWS station observations
    #[arg(long, value_name = "FILE")]
    pub observed: Option<String>,
    /// Plants table of your own (TOML), whose rows add to the built-in ones or replace them
    #[arg(long, value_name = "FILE")]
    pub plants: Option<String>,
    /// Minimum at or below which tender shoots are harmed [default: 28F]
    #[arg(long, value_name = "TEMPERATURE", allow_hyphen_values = true)]
    pub tender: Option<String>,
    /// Degree days from the cut to tender shoots, in °C·d above 5.2 °C [default: 130, range 80 to 200]
    #[arg(long, value_name = "N", allow_hyphen_values = true)]
    pub degree_days: Option<String>,
    /// How much a late freeze and spent reserves count when dates are compared [default: 1,0.5]
    #[arg(long, value_name = "LATE,SPENT", allow_hyphen_values = true)]
    pub weights: Option<String>,
    /// Units of Daily Summaries: us, metric or tenths
    #[arg(long, value_name = "UNITS", value_enum)]
    pub record_units: Option<RecordUnits>,
    /// How the record is taken.
    #[command(flatten)]
    pub taking: TakingArguments,
    /// Replicates of the bootstrap, 0 for no intervals of the freeze risk
    #[arg(long, value_name = "N", default_value_t = 2000)]
    pub replicates: u32,
    /// How to answer
    #[arg(long, value_enum, default_value_t = SeasonFormat::Text)]
    pub format: SeasonFormat,
    /// Units of volumes and degree days [default: both]
    #[arg(long, value_enum)]
    pub units: Option<UnitSystem>,
    /// Show every number behind the plan with its source (text, json and html)
    #[arg(long)]
    pub explain: bool,
    /// Write the answer to this file, whole or not at all
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// How a season is answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum SeasonFormat {
    /// For people, at most 80 columns
    Text,
    /// For programs: one object, schema fairspell.season/1
    Json,
    /// Damage by date, a row a date and kind
    Csv,
    /// A calendar: intervals as all-day events, tasks as to-dos (iCalendar)
    Ics,
    /// The picture
    Svg,
    /// A plan to print and take outside
    Html,
}

/// Units of a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum RecordUnits {
    /// °F
    Us,
    /// °C
    Metric,
    /// Tenths of °C
    Tenths,
}

/// What `freeze --units` takes: units to show thresholds in, and those of a record that does not say its own.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FreezeUnits {
    /// °F: shown, and of the record where it does not say
    Us,
    /// °C: shown
    Si,
    /// °C: of the record
    Metric,
    /// Tenths of °C: of the record
    Tenths,
}

impl FreezeUnits {
    /// What it says of the record.
    pub fn of_record(self) -> Option<RecordUnits> {
        match self {
            Self::Us => Some(RecordUnits::Us),
            Self::Si => None,
            Self::Metric => Some(RecordUnits::Metric),
            Self::Tenths => Some(RecordUnits::Tenths),
        }
    }

    /// How thresholds are shown.
    pub fn shown(given: Option<Self>) -> Units {
        match given {
            Some(Self::Us) => Units::Us,
            Some(Self::Si) => Units::Si,
            Some(Self::Metric | Self::Tenths) | None => Units::AsWritten,
        }
    }
}

impl From<RecordUnits> for SummaryUnits {
    fn from(units: RecordUnits) -> Self {
        match units {
            RecordUnits::Us => Self::Us,
            RecordUnits::Metric => Self::Metric,
            RecordUnits::Tenths => Self::Tenths,
        }
    }
}

/// How freezes are answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FreezeFormat {
    /// For people, at most 80 columns
    Text,
    /// For programs: one object a line, layout fairspell.freeze/1
    Json,
    /// One row a station, threshold and half
    Csv,
    /// The picture of one station
    Svg,
    /// A page of one station that needs nothing else
    Html,
}

impl FreezeFormat {
    /// Whether units for display apply.
    pub fn is_for_people(self) -> bool {
        matches!(self, Self::Text | Self::Svg | Self::Html)
    }

    /// Whether an answer in this format goes on without what is said on standard error.
    pub fn stands_alone(self) -> bool {
        matches!(self, Self::Json | Self::Svg | Self::Html)
    }
}

const HINDCAST_EXAMPLES: &str = "\
Examples:
  fairspell hindcast oil hourly.csv --zone America/Chicago
      every spell of the record, what hindered, weeks, and odds by date
  fairspell hindcast oil 2025.psv 2026.psv --site site.toml --season 02-01..04-30
      two years of GHCN-Hourly, with the first and last chance of each spring
  fairspell hindcast oil 2026.psv --site site.toml --log done.csv
      whether each spraying kept within the rules, and if not by how much
  fairspell hindcast oil 2026.psv --site site.toml --forecasts kept.csv
      how far your forecasts err by lead time, and the table for the site file

A log is CSV; a date stands for its whole local day:
  time,operation,note
  2026-03-10T09:00-05:00,oil,first spray
An archive of forecasts is CSV, a row an hour of each forecast:
  issued,time,temperature_f
  2026-03-09T06:00-05:00,2026-03-10T09:00-05:00,43";

/// Arguments of `hindcast`.
#[derive(Debug, Args)]
pub struct HindcastArguments {
    /// oil, prune, or the path of an operation file (TOML)
    pub operation: String,
    /// Past hours: plain hourly CSV (with a column station for many), GHCN-Hourly (.psv), NWS observations, gzip or not; - is
    /// standard input; several files of one station are brought together, the first given counts where they overlap
    #[arg(required = true)]
    pub observed: Vec<String>,
    /// Where the place is.
    #[command(flatten)]
    pub place: PlaceArguments,
    /// What was done: CSV with date or time, operation, note
    #[arg(long, value_name = "FILE")]
    pub log: Option<String>,
    /// Forecasts that you kept, to learn how far they err at your place: CSV with issued, time and temperature (see below;
    /// station, member), or single forecast files in any format that says when it was issued; may be given more than once
    #[arg(long, value_name = "FILE", num_args = 1..)]
    pub forecasts: Vec<String>,
    /// The season of each year, such as 02-01..04-30 [default: the year; in the south July to June]
    #[arg(long, value_name = "FROM..TO")]
    pub season: Option<String>,
    /// Units of values in the text [default: as each limit is written]
    #[arg(long, value_enum)]
    pub units: Option<UnitSystem>,
    /// How to answer
    #[arg(long, value_enum, default_value_t = HindcastFormat::Text)]
    pub format: HindcastFormat,
    /// Write the answer to this file, whole or not at all
    #[arg(long, value_name = "FILE")]
    pub output: Option<PathBuf>,
}

/// How past hours are answered.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum HindcastFormat {
    /// For people, at most 80 columns
    Text,
    /// For programs: one object a line, schema fairspell.hindcast/1
    Json,
    /// One row a spell
    Csv,
    /// The picture of one station
    Svg,
    /// A page of one station that needs nothing else
    Html,
}

impl HindcastFormat {
    /// Whether an answer in this format goes on without what is said on standard error.
    pub fn stands_alone(self) -> bool {
        matches!(self, Self::Json | Self::Svg | Self::Html)
    }
}

/// Arguments that say where the place is.
#[derive(Debug, Args)]
pub struct PlaceArguments {
    /// Site file (TOML): name, latitude, longitude, elevation, zone, garden, limits that differ
    #[arg(long, value_name = "FILE")]
    pub site: Option<String>,
    /// Degrees north, instead of the site file's
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub latitude: Option<f64>,
    /// Degrees east, instead of the site file's
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub longitude: Option<f64>,
    /// IANA time zone such as America/Chicago, instead of the site file's
    #[arg(long, value_name = "ZONE")]
    pub zone: Option<String>,
}

/// Arguments of `demo`.
#[derive(Debug, Args)]
pub struct DemoArguments {
    /// Lay the scenario's files down in this folder instead
    #[arg(long, value_name = "DIR")]
    pub write: Option<PathBuf>,
}

/// How the answer looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// For people, at most 80 columns
    Text,
    /// For programs: one object, schema fairspell.decision/1
    Json,
    /// One line of at most 160 characters for a message
    Line,
    /// A calendar of the spells (iCalendar)
    Ics,
    /// A picture
    Svg,
    /// A page to keep or print
    Html,
}

/// In which units values are shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum UnitSystem {
    /// °F, in, mph
    Us,
    /// °C, mm, m/s
    Si,
}

impl UnitSystem {
    /// How values are shown; where nothing is said, as each limit is written.
    pub fn shown(given: Option<Self>) -> Units {
        match given {
            None => Units::AsWritten,
            Some(Self::Us) => Units::Us,
            Some(Self::Si) => Units::Si,
        }
    }
}
