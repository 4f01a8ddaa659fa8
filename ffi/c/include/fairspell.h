// Fairspell: which hours are fit to prune or to spray dormant oil, when the last freeze comes, and why.
//
// Generated from ffi/c by a test; do not edit. MIT OR Apache-2.0.
//
// Rules that hold for every function
// - It returns a status; FAIRSPELL_OK is 0. Results come through pointers, which are written on FAIRSPELL_OK alone (and
//   needed on FAIRSPELL_SMALL). fairspell_last_error has the words of the calling thread's last error.
// - A handle (fairspell_record *, ...) belongs to you once it was given to you. Each is freed by the function of its name,
//   which takes its address and sets it to NULL: freeing twice does nothing. A copy of a pointer that was freed is not known
//   as such: it must not be used. Handles need one another only while a call runs.
// - const means unchanged: a handle may be read by several threads at once, if none of them frees it.
// - A pointer may be NULL only where it is said. NULL, a pointer that lies where no value of its type can, a length beyond
//   its bound, a struct of another size, a text that is not UTF-8 and a handle of another kind are answered by a status.
//   That the memory is there, and as long as you say, is your word.
// - Arrays are double with NaN for missing; infinite values are refused. Instants are int64_t seconds since 1970 UTC; dates
//   are their midnight in UTC. Texts are UTF-8 and end with NUL.
// - Structs and their sizes are those of FAIRSPELL_ABI_VERSION; their sizes are handed over with them. Numbers named
//   reserved are 0.
// - No callback, no thread, no global but the last error of each thread. A fault in the library is caught and is a status,
//   after a line on standard error. Where memory ends, the process is ended, as by any program that cannot go on.

#ifndef FAIRSPELL_H
#define FAIRSPELL_H

#include <stddef.h>
#include <stdint.h>

// No instant, or no date: the least number there is.
#define FAIRSPELL_NO_TIME INT64_MIN

// The window holds enough fair hours in a row.
#define FAIRSPELL_GO 1

// It does not, whatever the unknown hours are.
#define FAIRSPELL_NO_GO 2

// The unknown hours decide.
#define FAIRSPELL_CANNOT_TELL 3

// All blocking rules hold in the hour.
#define FAIRSPELL_FAIR 1

// One is known to fail.
#define FAIRSPELL_HINDERED 2

// It cannot be known.
#define FAIRSPELL_UNKNOWN 3

// A rule is known to hold.
#define FAIRSPELL_HOLDS 1

// A rule is known to fail.
#define FAIRSPELL_FAILS 2

// It cannot be known whether a rule holds.
#define FAIRSPELL_NOT_KNOWN 3

// An optional rule that the file cannot answer.
#define FAIRSPELL_UNCHECKED 4

// Nothing is explained.
#define FAIRSPELL_EXPLAIN_NOTHING 0

// The best start of the first spell is explained, else the first hour of the window.
#define FAIRSPELL_EXPLAIN_BEST 1

// The hour at explain_time is explained.
#define FAIRSPELL_EXPLAIN_TIME 2

// Go in the spell at hand: waiting is expected to lose more.
#define FAIRSPELL_GO_NOW 1

// Wait, at least until a day.
#define FAIRSPELL_WAIT 2

// Both are expected to lose the same.
#define FAIRSPELL_NO_MATTER 3

// Letting the season pass undone is expected to lose less than any day of it.
#define FAIRSPELL_LET_PASS 4

// There is no spell now; the chance of a later one is told.
#define FAIRSPELL_NO_SPELL_NOW 5

// North of the equator: spring is January to July, autumn August to December.
#define FAIRSPELL_NORTH 0

// South of the equator: spring is July to January, autumn February to June.
#define FAIRSPELL_SOUTH 1

// The half of the year in which freezes end.
#define FAIRSPELL_SPRING 0

// The half of the year in which freezes begin.
#define FAIRSPELL_AUTUMN 1

// A Weibull fit from the season's start.
#define FAIRSPELL_FROM_START 0

// A Weibull fit of the days left to the season's end: bounded late tail.
#define FAIRSPELL_REVERSED 1

// The answer leads with the record as it is.
#define FAIRSPELL_HEADLINE_RECORD 0

// The answer leads with the record carried to the present climate.
#define FAIRSPELL_HEADLINE_PRESENT 1

// What was done kept within the rules.
#define FAIRSPELL_WITHIN 1

// It broke a rule.
#define FAIRSPELL_AGAINST 2

// The record does not say.
#define FAIRSPELL_LOG_CANNOT_TELL 3

// A rule that blocks.
#define FAIRSPELL_BLOCK 1

// A rule that warns without blocking.
#define FAIRSPELL_CAUTION 2

// Units of NOAA's Daily Summaries are not known: other formats say their own.
#define FAIRSPELL_SUMMARIES_UNKNOWN 0

// Daily Summaries in °F.
#define FAIRSPELL_SUMMARIES_US 1

// Daily Summaries in °C.
#define FAIRSPELL_SUMMARIES_METRIC 2

// Daily Summaries in tenths of °C.
#define FAIRSPELL_SUMMARIES_TENTHS 3

// Whole °F that the archive stores converted are brought back for GHCN-Daily stations of the U.S.
#define FAIRSPELL_WHOLE_FAHRENHEIT_AUTO -1

// The daily minima of a record.
#define FAIRSPELL_TMIN 1

// The daily maxima of a record.
#define FAIRSPELL_TMAX 2

// Version of this ABI: 1000 times its first number and its second. The first changes when a program that was built
// before would no longer run, the second when something was added.
#define FAIRSPELL_ABI_VERSION 1000

// Degree Celsius.
#define FAIRSPELL_CELSIUS 1

// Degree Fahrenheit.
#define FAIRSPELL_FAHRENHEIT 2

// Degree Celsius, a difference.
#define FAIRSPELL_CELSIUS_DIFFERENCE 3

// Degree Fahrenheit, a difference.
#define FAIRSPELL_FAHRENHEIT_DIFFERENCE 4

// Millimetre of rain or snow.
#define FAIRSPELL_MILLIMETRE 5

// Inch of rain or snow.
#define FAIRSPELL_INCH 6

// Metre a second.
#define FAIRSPELL_METRE_PER_SECOND 7

// Kilometre an hour.
#define FAIRSPELL_KILOMETRE_PER_HOUR 8

// Mile an hour.
#define FAIRSPELL_MILE_PER_HOUR 9

// Knot.
#define FAIRSPELL_KNOT 10

// Percent.
#define FAIRSPELL_PERCENT 11

// Degree of arc.
#define FAIRSPELL_DEGREE 12

// Hectopascal.
#define FAIRSPELL_HECTOPASCAL 13

// Kilopascal.
#define FAIRSPELL_KILOPASCAL 14

// Hour.
#define FAIRSPELL_HOUR 15

// Minute.
#define FAIRSPELL_MINUTE 16

// Air temperature.
#define FAIRSPELL_TEMPERATURE 1

// Rain and melted snow of the hour.
#define FAIRSPELL_RAIN 2

// Chance of rain.
#define FAIRSPELL_RAIN_CHANCE 3

// Relative humidity.
#define FAIRSPELL_HUMIDITY 4

// Dew point.
#define FAIRSPELL_DEW_POINT 5

// Mean wind at 10 m.
#define FAIRSPELL_WIND 6

// Gusts at 10 m.
#define FAIRSPELL_GUST 7

// Share of the sky that is covered.
#define FAIRSPELL_CLOUD 8

// New snow of the hour.
#define FAIRSPELL_SNOW 9

// An answer with all that led to it.
typedef struct fairspell_decision fairspell_decision;

// Forecasts that were kept.
typedef struct fairspell_forecasts fairspell_forecasts;

// What the engine would have said of past hours.
typedef struct fairspell_hindcast fairspell_hindcast;

// Hours of a forecast or of observations, with the members of an ensemble where there are any.
typedef struct fairspell_hourly fairspell_hourly;

// A log of what was done.
typedef struct fairspell_log fairspell_log;

// An operation: oil, prune, or your own.
typedef struct fairspell_operation fairspell_operation;

// Past hours of one station or of many.
typedef struct fairspell_past fairspell_past;

// A plants table: the built-in rows, with rows of a file beside or in place of them.
typedef struct fairspell_plants fairspell_plants;

// The record of one station.
typedef struct fairspell_record fairspell_record;

// The records of all stations of a file, in its order.
typedef struct fairspell_records fairspell_records;

// The freezes of one station: everything that its record says of them.
typedef struct fairspell_risk fairspell_risk;

// A late winter, planned.
typedef struct fairspell_season fairspell_season;

// A place: coordinates, clock, garden, limits that differ.
typedef struct fairspell_site fairspell_site;

// A text of any length, UTF-8. Yours once it was given to you: fairspell_text_free.
typedef struct fairspell_text fairspell_text;

// How a call ended: one of the FAIRSPELL_… numbers below. A number never changes its meaning; new ones may come.
typedef int32_t fairspell_status;

// What is asked.
typedef struct {
  // The plants table for the site's garden; NULL: the built-in one.
  const fairspell_plants *plants;
  // Days of a station with maxima, to say where the season stands and weigh going now against waiting; NULL:
  // neither.
  const fairspell_record *record;
  // What the same operation would have said of past hours, beside record: days beyond the forecast then count by all rules;
  // NULL: by the record's temperatures alone, as with a brief one.
  const fairspell_hindcast *past;
  // Now [s since 1970 UTC].
  int64_t at;
  // End of the window [s since 1970 UTC], at most 384 hours after at; FAIRSPELL_NO_TIME: the end of the local
  // day.
  int64_t until;
  // The hour to explain, beside FAIRSPELL_EXPLAIN_TIME [s since 1970 UTC].
  int64_t explain_time;
  // Least confidence of a go, 0 to 1: a less sure one cannot be told; NaN: none. It needs with_confidence.
  double least_confidence;
  // Loss of letting the season pass undone, 0 to 1000, beside record: 1 is that of a plant's shoots.
  double missed_loss;
  // 1: your own word that the wood is dry at at: hours before the first then count as dry.
  int32_t is_dry_now;
  // 1: unchecked blocking rules make it cannot tell.
  int32_t is_strict;
  // 1: how sure each spell is. Without it a decision takes a tenth of the time.
  int32_t with_confidence;
  // 1: the garden's work is laid into the spells of pruning and oil (in the JSON).
  int32_t with_work;
  // FAIRSPELL_EXPLAIN_NOTHING, FAIRSPELL_EXPLAIN_BEST or FAIRSPELL_EXPLAIN_TIME.
  int32_t explain;
  // 0.
  int32_t reserved;
} fairspell_decide_options;

// Facts of a decision.
typedef struct {
  // The time asked about [s since 1970 UTC].
  int64_t at;
  // End of the window [s since 1970 UTC].
  int64_t until;
  // FAIRSPELL_GO, FAIRSPELL_NO_GO or FAIRSPELL_CANNOT_TELL.
  int32_t verdict;
  // Whether a spell carries a go: fairspell_decision_spell.
  int32_t has_spell;
  // Spells from at to the end of the file.
  uint32_t spells;
  // Hours from at to the end of the file.
  uint32_t hours;
  // Rules of the operation.
  uint32_t rules;
  // Optional rules that the file cannot answer.
  uint32_t unchecked;
} fairspell_decision_facts;

// A run of consecutive fair hours.
typedef struct {
  // Beginning of its first hour [s since 1970 UTC].
  int64_t start;
  // End of its last hour [s since 1970 UTC].
  int64_t end;
  // Beginning of its best run of the hours needed [s since 1970 UTC].
  int64_t best_start;
  // Chance that all blocking rules hold throughout that run; NaN: not asked for, or not known.
  double confidence;
  // The least that it can be, if its parts are not independent; NaN as above.
  double confidence_low;
  // The most.
  double confidence_high;
} fairspell_spell;

// A rule that an hour fails, or a caution that it fails or that is not known.
typedef struct {
  // The value found, in unit; infinite or NaN where nothing is known.
  double value;
  // The limit that it meets, in unit.
  double limit;
  // How far inside the limit the value lies, in unit: below 0 by how much it fails.
  double margin;
  // The hour whose value decides [s since 1970 UTC].
  int64_t decided_by;
  // Index of the rule in the operation.
  uint32_t rule;
  // Unit of the three numbers; 0 for one that has no number here.
  int32_t unit;
  // Whether the rule is known to fail; a caution may be not known.
  int32_t is_known;
  // Whether it is a caution, which blocks nothing.
  int32_t is_caution;
} fairspell_hindrance;

// One rule of the hour that is explained.
typedef struct {
  // The hour whose value decides [s since 1970 UTC].
  int64_t decided_by;
  // Least value that it may have, in unit; minus infinity: nothing known.
  double low;
  // Greatest value that it may have; infinity: nothing known.
  double high;
  // How far inside the limits, in unit: below 0 by how much it fails.
  double margin;
  // Index of the rule in the operation.
  uint32_t rule;
  // Unit of the numbers.
  int32_t unit;
  // FAIRSPELL_HOLDS, FAIRSPELL_FAILS, FAIRSPELL_NOT_KNOWN or FAIRSPELL_UNCHECKED.
  int32_t outcome;
  // 0.
  int32_t reserved;
} fairspell_explained;

// Going now against waiting. Losses: 1 is that of a plant's shoots.
typedef struct {
  // Expected loss of going in the spell at hand; NaN: there is none.
  double now;
  // Expected loss of waiting.
  double waiting;
  // Chance that a usable day comes before the season closes.
  double later;
  // Loss of letting the season pass undone.
  double missed;
  // Midnight UTC of the last day of the season [s since 1970].
  int64_t closes;
  // Midnight UTC of the day to wait for, with FAIRSPELL_WAIT [s since 1970]; else FAIRSPELL_NO_TIME.
  int64_t until;
  // Days ahead that rest on the forecast.
  uint32_t forecast_days;
  // Days ahead that rest on past hours.
  uint32_t hours_days;
  // Days ahead that rest on the record.
  uint32_t record_days;
  // FAIRSPELL_GO_NOW, FAIRSPELL_WAIT, …
  int32_t advice;
} fairspell_wait;

// What is asked of a record.
typedef struct {
  // Minima at or below which a day is a freeze day; NULL with a count of 0: 36, 32, 28 and 24 °F. Not kept.
  const double *thresholds;
  // How many, at most 64.
  size_t threshold_count;
  // Seed of the bootstrap.
  uint64_t seed;
  // Also the risk on this date in the JSON, midnight UTC [s since 1970]; FAIRSPELL_NO_TIME: none.
  int64_t on;
  // Also the date of this risk in the JSON, above 0 and below 1; NaN: none.
  double risk;
  // The day against which the record's age is held and said, midnight UTC [s since 1970]; FAIRSPELL_NO_TIME: not
  // said.
  int64_t today;
  // FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT.
  int32_t threshold_unit;
  // FAIRSPELL_NORTH or FAIRSPELL_SOUTH.
  int32_t hemisphere;
  // 1: minima far from the station's own record for the day count too.
  int32_t keeps_suspect;
  // 1: dates, quantiles and fits alone; no trend, no present climate, no risk.
  int32_t is_brief;
  // Replicates of the bootstrap, at most 1,000,000; 0: no intervals.
  uint32_t replicates;
  // 0.
  uint32_t reserved;
} fairspell_freeze_options;

// One half of the year at one threshold. Days are day numbers: 1 is 1 January of the year in which the half begins,
// and they go on past 365 across New Year. Index 0, 1, 2: 10, 50, 90 %. NaN: not known.
typedef struct {
  // The threshold, in threshold_unit.
  double threshold;
  // Share of valid years with a freeze.
  double freeze_probability;
  // Days by which such a share of freeze years has had it.
  double conditional[3];
  // Lower ends of their 95 % intervals.
  double conditional_low[3];
  // Upper ends.
  double conditional_high[3];
  // The same over valid years: one without a freeze lies beyond the season.
  double mixed[3];
  // The same in the climate of present_year.
  double present[3];
  // Theil-Sen slope [days a year].
  double trend;
  // Lower end of its 95 % interval.
  double trend_low;
  // Upper end.
  double trend_high;
  // Chance of so large a Mann-Kendall S if there is no trend.
  double trend_p;
  // Chance of dates as far from the chosen fit as these, by Anderson and Darling.
  double fit_significance;
  // Years that count.
  uint32_t valid_years;
  // Of these, years with a freeze.
  uint32_t freeze_years;
  // Years in fairspell_risk_years.
  uint32_t years;
  // Season that present is for; 0: none.
  int32_t present_year;
  // FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT.
  int32_t threshold_unit;
  // FAIRSPELL_HEADLINE_RECORD or FAIRSPELL_HEADLINE_PRESENT.
  int32_t headline;
  // The fit that draws the curve: FAIRSPELL_FROM_START or FAIRSPELL_REVERSED; -1: none.
  int32_t chosen;
  // 0.
  int32_t reserved;
} fairspell_half;

// A Weibull fit of the dates, by maximum likelihood.
typedef struct {
  // Shape.
  double shape;
  // Scale [days].
  double scale;
  // Natural logarithm of the likelihood.
  double log_likelihood;
  // Akaike's criterion: the smaller, the better.
  double aic;
  // Kolmogorov-Smirnov D.
  double ks_d;
  // Anderson-Darling A².
  double ad_a2;
  // Its 10, 50 and 90 % dates as day numbers.
  double quantiles[3];
  // Lower ends of their 95 % intervals; NaN: none.
  double low[3];
  // Upper ends.
  double high[3];
} fairspell_fit;

// The last or the first freeze of one year.
typedef struct {
  // Midnight UTC of its date [s since 1970]; FAIRSPELL_NO_TIME: no freeze was seen.
  int64_t date;
  // The year that names the season.
  int32_t year;
  // Day number; 0: no freeze was seen.
  uint32_t day;
  // Missing days of the half.
  uint32_t missing_days;
  // Minima left out as suspect, where they would have decided.
  uint32_t suspects;
  // Whether it counts: at most 10 missing days.
  int32_t is_valid;
  // 0.
  int32_t reserved;
} fairspell_year;

// The risk of one day.
typedef struct {
  // In spring the chance that the last freeze comes on that day or later, in autumn that the first has come by then.
  double probability;
  // Lower end of its 95 % interval; NaN: none.
  double low;
  // Upper end.
  double high;
  // Day number.
  uint32_t day;
  // Its month, 1 to 12.
  uint16_t month;
  // Its day of the month.
  uint16_t day_of_month;
} fairspell_day_risk;

// What is asked.
typedef struct {
  // The season of each year, such as "02-01..04-30"; NULL: the year, in the south from July to June. Not kept.
  const char *season;
  // What was done; NULL: nothing.
  const fairspell_log *log;
  // Forecasts that were kept, to be held against what came (in the JSON of the answer); NULL: none.
  const fairspell_forecasts *forecasts;
  // 1: spells are all that is wanted; counts, weeks, seasons, log and notices are then left empty.
  int32_t is_brief;
  // 0.
  int32_t reserved;
} fairspell_hindcast_options;

// Hours of each state, and days of each sort.
typedef struct {
  // Hours in which all blocking rules hold.
  uint64_t fair;
  // Hours in which one is known to fail.
  uint64_t hindered;
  // Hours that cannot be known.
  uint64_t unknown;
  // Local days.
  uint64_t days;
  // Of these, days that hold as many fair hours in a row as the work needs.
  uint64_t usable_days;
  // Days that only their unknown hours could make usable.
  uint64_t undecided_days;
} fairspell_counts;

// Facts of a hindcast.
typedef struct {
  // Beginning of the first hour [s since 1970 UTC].
  int64_t start;
  // End of the last hour [s since 1970 UTC].
  int64_t end;
  // Its hours and days.
  fairspell_counts counts;
  // Spells.
  uint32_t spells;
  // Blocking rules in fairspell_hindcast_rules.
  uint32_t rules;
  // Seasons.
  uint32_t seasons;
  // Entries of the log that are for this operation.
  uint32_t log;
} fairspell_hindcast_facts;

// What a blocking rule cost.
typedef struct {
  // Hindered hours in which it failed.
  uint64_t hours;
  // Of these, hours in which no other blocking rule failed.
  uint64_t alone;
  // Index of the rule in the operation.
  uint32_t rule;
  // 0.
  uint32_t reserved;
} fairspell_rule_hours;

// A week of the year, over all years.
typedef struct {
  // Its hours and days.
  fairspell_counts counts;
  // 1 to 52, from 1 January on.
  uint32_t week;
  // Spells that begin in it.
  uint32_t spells;
} fairspell_week;

// One season of the record.
typedef struct {
  // Its hours and days.
  fairspell_counts counts;
  // Midnight UTC of its first day [s since 1970].
  int64_t from;
  // Midnight UTC of its last day.
  int64_t to;
  // The first start from which the work would have fitted [s since 1970 UTC]; FAIRSPELL_NO_TIME: none.
  int64_t first_chance;
  // The last such start.
  int64_t last_chance;
  // Named by the year in which it begins.
  int32_t year;
  // Spells that begin in it.
  uint32_t spells;
  // Whether the record holds all of it.
  int32_t is_whole;
  // Whether unknown hours may hide an earlier or a later chance.
  int32_t may_hide;
} fairspell_hindcast_season;

// The odds of a spell in the days from a date on.
typedef struct {
  // Share of years with one; NaN: no year counts.
  double probability;
  // Years that the record holds whole.
  uint32_t years;
  // Of these, years with a run of the hours needed.
  uint32_t hits;
  // Years that only unknown hours decide; they count as without.
  uint32_t undecided;
  // 0.
  uint32_t reserved;
} fairspell_odds;

// What was done, judged.
typedef struct {
  // Beginning of what was judged [s since 1970 UTC].
  int64_t start;
  // Its end.
  int64_t end;
  // Beginning of the nearest spell, unless it kept within the rules; FAIRSPELL_NO_TIME: none.
  int64_t nearest_start;
  // End of the nearest spell.
  int64_t nearest_end;
  // FAIRSPELL_WITHIN, FAIRSPELL_AGAINST or FAIRSPELL_LOG_CANNOT_TELL.
  int32_t judgement;
  // 0.
  int32_t reserved;
} fairspell_log_answer;

// One column of hours.
typedef struct {
  // A value for each time, NaN = missing; copied, not kept.
  const double *values;
  // What they are: FAIRSPELL_TEMPERATURE, FAIRSPELL_RAIN, …
  int32_t measure;
  // Their unit: FAIRSPELL_FAHRENHEIT, FAIRSPELL_INCH, …
  int32_t unit;
} fairspell_column;

// Facts of hours.
typedef struct {
  // Beginning of the first hour [s since 1970 UTC].
  int64_t start;
  // Hours from the first to the last, with those that have no row.
  uint64_t hours;
  // Observed hours before the forecast's first.
  uint64_t observed_hours;
  // Members of the ensemble; 1 for a plain forecast.
  uint64_t members;
  // When it was issued [s since 1970 UTC]; FAIRSPELL_NO_TIME: not said, or left blank.
  int64_t issued;
  // Degrees north of the place that the file is for; NaN: not said.
  double latitude;
  // Degrees east; NaN: not said.
  double longitude;
} fairspell_hourly_facts;

// One limit on one measure.
typedef struct {
  // Least value allowed, in at_least_unit; NaN: none.
  double at_least;
  // Greatest value allowed, in at_most_unit; NaN: none.
  double at_most;
  // Unit of the least value as written; 0: none.
  int32_t at_least_unit;
  // Unit of the greatest value as written; 0: none.
  int32_t at_most_unit;
  // FAIRSPELL_BLOCK or FAIRSPELL_CAUTION.
  int32_t severity;
  // 1: unchecked, and said so, where the file has no such measure at all.
  int32_t optional;
} fairspell_rule;

// What you say about a record that is read.
typedef struct {
  // Units of Daily Summaries: one of FAIRSPELL_SUMMARIES_….
  int32_t summary_units;
  // Whether values are whole °F that the archive stores converted: 0, 1 or FAIRSPELL_WHOLE_FAHRENHEIT_AUTO.
  int32_t whole_fahrenheit;
  // 1: minima are all that is wanted (enough for fairspell_freeze).
  int32_t minima_only;
  // 0.
  int32_t reserved;
} fairspell_record_options;

// Facts of a record.
typedef struct {
  // Midnight UTC of the first day [s since 1970].
  int64_t first_day;
  // Days from the first to the last.
  uint64_t days;
  // Of these, days without a minimum.
  uint64_t missing;
  // Values that the archive's own check rejects; they are missing.
  uint64_t flagged;
  // Values outside -90 to 60 °C; they are missing.
  uint64_t impossible;
  // Second values for a day, left out.
  uint64_t doubled;
  // Unit of its values: FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT.
  int32_t unit;
  // Whether converted whole °F are brought back when they are compared.
  int32_t whole_fahrenheit;
  // Whether it has maxima.
  int32_t has_tmax;
  // 0.
  int32_t reserved;
} fairspell_record_facts;

// What is asked.
typedef struct {
  // What was observed of the season so far, with maxima; NULL: nothing beside the record.
  const fairspell_record *observed;
  // The plants table for the site's garden; NULL: the built-in one.
  const fairspell_plants *plants;
  // Seed of the bootstrap.
  uint64_t seed;
  // A minimum at or below it harms tender shoots, in tender_unit.
  double tender;
  // Degree days from the cut to tender shoots, above 0 and at most 2000 [°C·d above 5.2 °C]; NaN: the table's.
  double degree_days;
  // Greatest damage of a day in the interval to prune, 0 to 1.
  double most_damage;
  // Greatest chance that buds have broken, for the cut, 0 to 1.
  double most_broken_prune;
  // The same for oil.
  double most_broken_oil;
  // How much a late freeze counts, 0 to 1000.
  double weight_late_freeze;
  // How much a cut or oil after bud break counts, 0 to 1000; not both 0.
  double weight_after_bud_break;
  // The season, named by the year in which its spring begins: 1800 to 2200.
  int32_t year;
  // FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT.
  int32_t tender_unit;
  // 1: minima far from the station's own record for the day count too.
  int32_t keeps_suspect;
  // 1: the JSON has every number behind the plan with its source.
  int32_t explain;
  // Replicates of the bootstrap, at most 1,000,000; 0: no intervals of the freeze risk.
  uint32_t replicates;
  // 0.
  uint32_t reserved;
} fairspell_season_options;

// Facts of a season. Dates are midnight UTC of the calendar date [s since 1970]; FAIRSPELL_NO_TIME: not known.
typedef struct {
  // 10, 50 and 90 % dates of the last freeze at 32 °F.
  int64_t last_freeze[3];
  // First day of the trade's back-off from the median last freeze.
  int64_t back_off_from;
  // Its last day.
  int64_t back_off_to;
  // The season.
  int32_t year;
  // Kinds of plants.
  uint32_t plants;
  // Index of the most exposed.
  uint32_t most_exposed;
  // Customs.
  uint32_t customs;
  // Years of the record that count for the damage.
  uint32_t damage_years;
  // 0.
  uint32_t reserved;
} fairspell_season_facts;

// One kind of plant. Dates as in fairspell_season_facts.
typedef struct {
  // First day to prune.
  int64_t prune_from;
  // Last day to prune.
  int64_t prune_to;
  // Day of least expected harm.
  int64_t prune_best;
  // First day for oil.
  int64_t oil_from;
  // Last day for oil.
  int64_t oil_to;
  // 10, 50 and 90 % dates on which its buds break.
  int64_t bud_break[3];
  // How many of the kind.
  uint32_t count;
  // Days in fairspell_season_damage.
  uint32_t days;
  // Whether no day keeps both limits, so that the interval to prune is the best day alone.
  int32_t is_compromise;
  // 0.
  int32_t reserved;
} fairspell_plant_season;

// The damage that a cut on a date risks: inferred from a sum of degree days, not measured. NaN: not known.
typedef struct {
  // The date, as in fairspell_season_facts.
  int64_t date;
  // Share of years with damage.
  double probability;
  // Lower end of its 95 % interval.
  double low;
  // Upper end.
  double high;
  // The least over the known range of sums.
  double range_low;
  // The most.
  double range_high;
  // Share of years whose buds have broken by the end of the date.
  double broken;
  // Expected harm, by the weights.
  double harm;
} fairspell_damage;

// A custom of the calendar, compared. NaN: not known.
typedef struct {
  // Its date in this season, as in fairspell_season_facts.
  int64_t date;
  // Damage if the most exposed plant is cut on it.
  double damage;
  // Chance that a freeze at 32 °F still comes on or after it.
  double freeze_risk;
  // Expected harm, by which customs are in order.
  double harm;
} fairspell_custom;

// The call did what it says.
#define FAIRSPELL_OK 0

// A pointer that may not be NULL is NULL.
#define FAIRSPELL_NULL 1

// A number, a length or an index lies outside what is allowed, or is infinite or NaN where that has no meaning.
#define FAIRSPELL_RANGE 2

// A text is not UTF-8.
#define FAIRSPELL_UTF8 3

// The buffer is too small; the size needed was written, the buffer was not.
#define FAIRSPELL_SMALL 4

// A handle is of another kind than asked for, or is none.
#define FAIRSPELL_KIND 5

// Bytes, columns or words that cannot be read; the last error says where, what was expected and what was found.
#define FAIRSPELL_INPUT 6

// There is no such thing: no spell, no fit, no season, nothing known.
#define FAIRSPELL_ABSENT 7

// The question cannot be answered: no time zone, a window that is none.
#define FAIRSPELL_QUESTION 8

// The size given for a struct is not the one that this library knows.
#define FAIRSPELL_SIZE 9

// A pointer does not lie where a value of its type can.
#define FAIRSPELL_ALIGNMENT 10

// A fault in the library itself, which was caught: please report it. The answer, if any, is not there.
#define FAIRSPELL_FAULT 11

#ifdef __cplusplus
extern "C" {
#endif // __cplusplus

// Fills in the defaults: at the given time, to the end of the local day, with confidence and work, nothing explained.
//   at      now [s since 1970 UTC]
//   size    sizeof(fairspell_decide_options)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_SIZE.
fairspell_status fairspell_decide_options_init(fairspell_decide_options *options, size_t size, int64_t at);

// Answers go, no-go or cannot tell for an operation at a place and a time, with the site's own limits and the hours
// that its garden needs.
//   forecast         the forecast, with observed hours before it where you have them
//   operation        built in or read, without or with the site's limits
//   site             the place; its zone is needed
//   options, size    see fairspell_decide_options_init
//   out              receives a decision for fairspell_decision_free, which needs none of the handles above any more
// FAIRSPELL_OK, FAIRSPELL_QUESTION (no zone, a window that is none, a time far from ours), FAIRSPELL_INPUT (a
// kind or a limit in the site file; observations instead of a forecast), FAIRSPELL_RANGE, FAIRSPELL_NULL,
// FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decide(const fairspell_hourly *forecast,
                                  const fairspell_operation *operation,
                                  const fairspell_site *site,
                                  const fairspell_decide_options *options,
                                  size_t size,
                                  fairspell_decision **out);

// Facts of a decision, the verdict first of all.
//   size    sizeof(fairspell_decision_facts)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_about(const fairspell_decision *decision,
                                          fairspell_decision_facts *facts,
                                          size_t size);

// On go, the spell that carries it; its best run lies inside the window.
//   size    sizeof(fairspell_spell)
// FAIRSPELL_OK, FAIRSPELL_ABSENT (no go), FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_spell(const fairspell_decision *decision, fairspell_spell *spell, size_t size);

// Copies the spells from the time asked about to the end of the file.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_spell)
//   needed       receives the number of spells, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_spells(const fairspell_decision *decision,
                                           fairspell_spell *items,
                                           size_t item_size,
                                           size_t capacity,
                                           size_t *needed);

// Copies the hours from the time asked about to the end of the file, and the state of each.
//   times       [capacity] receives their beginnings [s since 1970 UTC]; may be NULL if capacity is 0
//   states      [capacity] receives FAIRSPELL_FAIR, FAIRSPELL_HINDERED or FAIRSPELL_UNKNOWN; likewise
//   needed      receives the number of hours, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_decision_hours(const fairspell_decision *decision,
                                          int64_t *times,
                                          int32_t *states,
                                          size_t capacity,
                                          size_t *needed);

// Copies what hinders an hour (blocking rules that it fails), then its cautions.
//   hour         index in fairspell_decision_hours
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_hindrance)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_hindrances(const fairspell_decision *decision,
                                               size_t hour,
                                               fairspell_hindrance *items,
                                               size_t item_size,
                                               size_t capacity,
                                               size_t *needed);

// Copies the name of a rule of the operation that was decided on.
//   index     from 0, as in fairspell_hindrance
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_decision_rule_name(const fairspell_decision *decision,
                                              size_t index,
                                              char *buffer,
                                              size_t capacity,
                                              size_t *needed);

// Why the answer is as it is, in words: a line a reason.
//   out    receives a text for fairspell_text_free; empty on go
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_decision_reasons(const fairspell_decision *decision, fairspell_text **out);

// The cautions that go with the answer whatever the weather, a line each: the product's label is the law.
//   out    receives a text for fairspell_text_free
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_decision_cautions(const fairspell_decision *decision, fairspell_text **out);

// Copies the rules of the hour that was asked to be explained; the JSON has their formulas and sources besides.
//   time         receives the beginning of the hour [s since 1970 UTC]
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_explained)
//   needed       receives the number of rules, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_ABSENT (nothing was asked for, or the file has no such hour), FAIRSPELL_SMALL,
// FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_explained(const fairspell_decision *decision,
                                              int64_t *time,
                                              fairspell_explained *items,
                                              size_t item_size,
                                              size_t capacity,
                                              size_t *needed);

// Going now against waiting, where a record was given and it can be weighed (fairspell_notices says why not).
//   size    sizeof(fairspell_wait)
// FAIRSPELL_OK, FAIRSPELL_ABSENT, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_decision_wait(const fairspell_decision *decision, fairspell_wait *wait, size_t size);

// Frees a decision and sets *decision to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_decision_free(fairspell_decision **decision);

// Reads an archive of forecasts: CSV with issued, time, and temperature_f or temperature_c (station, member), or
// one forecast file in any hourly format that says when it was issued.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 64 MiB, unpacked
//   site             whose clock places local times without an offset; NULL: none, and such times are an error
//   out              receives an archive for fairspell_forecasts_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE, FAIRSPELL_KIND.
fairspell_status fairspell_forecasts_read(const char *name,
                                          const void *bytes,
                                          size_t length,
                                          const fairspell_site *site,
                                          fairspell_forecasts **out);

// Two archives as one; what both say of an hour counts once. Join again for a third.
//   first, second    both stay as they are
//   out              receives an archive for fairspell_forecasts_free
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_forecasts_join(const fairspell_forecasts *first,
                                          const fairspell_forecasts *second,
                                          fairspell_forecasts **out);

// Frees an archive and sets *forecasts to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_forecasts_free(fairspell_forecasts **forecasts);

// Fills in the defaults: 36, 32, 28 and 24 °F, north, seed 1, 2000 replicates.
//   size    sizeof(fairspell_freeze_options)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_SIZE.
fairspell_status fairspell_freeze_options_init(fairspell_freeze_options *options, size_t size);

// Everything that a record says of freezes: dates, quantiles, fits, trend and risk, by threshold and half of the year.
//   record           daily minima of one station
//   options, size    see fairspell_freeze_options_init
//   out              receives a risk for fairspell_risk_free
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_freeze(const fairspell_record *record,
                                  const fairspell_freeze_options *options,
                                  size_t size,
                                  fairspell_risk **out);

// The number of thresholds.
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_risk_thresholds(const fairspell_risk *risk, size_t *count);

// One half of the year at one threshold.
//   threshold    index, from 0, in the order of the options
//   half         FAIRSPELL_SPRING or FAIRSPELL_AUTUMN
//   size         sizeof(fairspell_half)
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_risk_half(const fairspell_risk *risk,
                                     size_t threshold,
                                     int32_t half,
                                     fairspell_half *facts,
                                     size_t size);

// A Weibull fit of one half at one threshold.
//   form    FAIRSPELL_FROM_START or FAIRSPELL_REVERSED
//   size    sizeof(fairspell_fit)
// FAIRSPELL_OK, FAIRSPELL_ABSENT (the dates cannot be fitted), FAIRSPELL_RANGE, FAIRSPELL_NULL,
// FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_risk_fit(const fairspell_risk *risk,
                                    size_t threshold,
                                    int32_t half,
                                    int32_t form,
                                    fairspell_fit *fit,
                                    size_t size);

// Copies the last or the first freeze of every year of the record, valid or not.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_year)
//   needed       receives the number of years, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_risk_years(const fairspell_risk *risk,
                                      size_t threshold,
                                      int32_t half,
                                      fairspell_year *items,
                                      size_t item_size,
                                      size_t capacity,
                                      size_t *needed);

// Copies the risk of every day of a half, of the sample that the answer leads with.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_day_risk)
//   needed       receives the number of days, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_risk_days(const fairspell_risk *risk,
                                     size_t threshold,
                                     int32_t half,
                                     fairspell_day_risk *items,
                                     size_t item_size,
                                     size_t capacity,
                                     size_t *needed);

// The risk that a date carries.
//   on      midnight UTC of the date [s since 1970]
//   size    sizeof(fairspell_day_risk)
// FAIRSPELL_OK, FAIRSPELL_ABSENT (the date lies outside the half, or the record gives no risk), FAIRSPELL_RANGE,
// FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_risk_on(const fairspell_risk *risk,
                                   size_t threshold,
                                   int32_t half,
                                   int64_t on,
                                   fairspell_day_risk *day,
                                   size_t size);

// In spring the first day whose risk is at most a share, in autumn the last.
//   share    above 0 and below 1
//   day      receives a day number; fairspell_risk_days has its month and day
// FAIRSPELL_OK, FAIRSPELL_ABSENT (no day's is), FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_risk_day_of(const fairspell_risk *risk,
                                       size_t threshold,
                                       int32_t half,
                                       double share,
                                       uint32_t *day);

// Days between the two freezes: seasons in which both halves are valid and have one.
//   seasons      receives how many there are
//   quantiles    [3] receives the 10, 50 and 90 % lengths [days]; NaN: not known
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_risk_between(const fairspell_risk *risk,
                                        size_t threshold,
                                        size_t *seasons,
                                        double *quantiles);

// Frees a risk and sets *risk to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_risk_free(fairspell_risk **risk);

// Fills in the defaults: the year as season, no log.
//   size    sizeof(fairspell_hindcast_options)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_options_init(fairspell_hindcast_options *options, size_t size);

// Judges past hours of one station by the same rules as a forecast.
//   past             past hours
//   station          index, from 0, below fairspell_past_count
//   operation        built in or read; the site's limits are put in here
//   site             the place; its zone is needed
//   options, size    see fairspell_hindcast_options_init
//   out              receives a hindcast for fairspell_hindcast_free
// FAIRSPELL_OK, FAIRSPELL_QUESTION (no zone), FAIRSPELL_INPUT (a limit in the site file, a season that is none),
// FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_UTF8, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_judge(const fairspell_past *past,
                                          size_t station,
                                          const fairspell_operation *operation,
                                          const fairspell_site *site,
                                          const fairspell_hindcast_options *options,
                                          size_t size,
                                          fairspell_hindcast **out);

// Facts of a hindcast.
//   size    sizeof(fairspell_hindcast_facts)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_about(const fairspell_hindcast *hindcast,
                                          fairspell_hindcast_facts *facts,
                                          size_t size);

// Copies all spells; they have no confidence, since what was is known.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_spell)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_spells(const fairspell_hindcast *hindcast,
                                           fairspell_spell *items,
                                           size_t item_size,
                                           size_t capacity,
                                           size_t *needed);

// Copies what each blocking rule cost, in the operation's order.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_rule_hours)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_rules(const fairspell_hindcast *hindcast,
                                          fairspell_rule_hours *items,
                                          size_t item_size,
                                          size_t capacity,
                                          size_t *needed);

// Copies the 52 weeks of the year, over all years.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_week)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_weeks(const fairspell_hindcast *hindcast,
                                          fairspell_week *items,
                                          size_t item_size,
                                          size_t capacity,
                                          size_t *needed);

// Copies the seasons that the record touches.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_hindcast_season)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_seasons(const fairspell_hindcast *hindcast,
                                            fairspell_hindcast_season *items,
                                            size_t item_size,
                                            size_t capacity,
                                            size_t *needed);

// The odds of at least one run of the hours needed in the days from a date on, over the record's years.
//   month, day    the date, 1 to 12 and 1 to 31
//   days          1 to 366
//   size          sizeof(fairspell_odds)
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_odds(const fairspell_hindcast *hindcast,
                                         uint32_t month,
                                         uint32_t day,
                                         uint32_t days,
                                         fairspell_odds *odds,
                                         size_t size);

// Copies what was done, judged; the JSON has the rules that were broken and by how much.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_log_answer)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hindcast_log(const fairspell_hindcast *hindcast,
                                        fairspell_log_answer *items,
                                        size_t item_size,
                                        size_t capacity,
                                        size_t *needed);

// Frees a hindcast and sets *hindcast to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_hindcast_free(fairspell_hindcast **hindcast);

// Reads hourly weather of any format that is known (plain CSV, U.S. NWS GeoJSON, MET Norway Locationforecast,
// GHCN-Hourly; gzip or not).
//   name             by which errors call the file
//   bytes, length    all of the file, at most 64 MiB packed and unpacked
//   site             whose clock places local times without an offset; NULL: none, and such times are an error
//   out              receives hours for fairspell_hourly_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE, FAIRSPELL_KIND.
fairspell_status fairspell_hourly_read(const char *name,
                                       const void *bytes,
                                       size_t length,
                                       const fairspell_site *site,
                                       fairspell_hourly **out);

// Copies columns into new hours; keeps no pointer to them. What no weather has becomes missing and is said in
// fairspell_notices; hours between that have no time are unknown.
//   times                    [hours] beginnings of the hours [s since 1970 UTC], ascending, whole hours apart
//   hours                    at least 1, and at most 150 years from the first to the last
//   columns, column_count    [column_count] columns of other measures, each with [hours] values; at most 9
//   item_size                sizeof(fairspell_column)
//   issued                   when the forecast was issued [s since 1970 UTC]; FAIRSPELL_NO_TIME: not known
//   out                      receives hours for fairspell_hourly_free; untouched unless FAIRSPELL_OK is returned
// FAIRSPELL_OK, FAIRSPELL_INPUT (times that do not ascend by whole hours, a measure twice, a unit that does not
// fit; row and column in the last error), FAIRSPELL_RANGE (an infinite value, lengths), FAIRSPELL_NULL,
// FAIRSPELL_SIZE.
fairspell_status fairspell_hourly_new(const int64_t *times,
                                      size_t hours,
                                      const fairspell_column *columns,
                                      size_t column_count,
                                      size_t item_size,
                                      int64_t issued,
                                      fairspell_hourly **out);

// A forecast with observed hours before it: the forecast takes over at its first hour.
//   forecast    the forecast; it stays as it is
//   observed    hours without members
//   out         receives hours for fairspell_hourly_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (members, or hours that begin at other minutes), FAIRSPELL_NULL,
// FAIRSPELL_KIND.
fairspell_status fairspell_hourly_with_observed(const fairspell_hourly *forecast,
                                                const fairspell_hourly *observed,
                                                fairspell_hourly **out);

// Facts of hours.
//   size    sizeof(fairspell_hourly_facts)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_hourly_about(const fairspell_hourly *hourly, fairspell_hourly_facts *facts, size_t size);

// Copies the values of one measure, an hour after the other, NaN = missing, in a unit of your choice. A value may be
// known between bounds only (the extremes of six hours): the lower and the upper then differ. Rain and snow of several
// hours at a time are bounds of each of them: from none to all of it.
//   member         from 0, below the number of members
//   measure        FAIRSPELL_TEMPERATURE, …
//   unit           of the values that you want
//   low, high      [capacity] values each; may both be NULL if capacity is 0
//   needed         receives the number of hours, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_ABSENT (no such measure), FAIRSPELL_SMALL, FAIRSPELL_NULL, FAIRSPELL_KIND,
// FAIRSPELL_RANGE (no such member, measure or unit, or a unit of another kind).
fairspell_status fairspell_hourly_values(const fairspell_hourly *hourly,
                                         size_t member,
                                         int32_t measure,
                                         int32_t unit,
                                         double *low,
                                         double *high,
                                         size_t capacity,
                                         size_t *needed);

// Frees hours and sets *hourly to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_hourly_free(fairspell_hourly **hourly);

// Any answer as one JSON object without line breaks, in full precision: the very bytes that the command line prints
// with --format json. What is not known is null.
//   answer    a risk, a decision, a season or a hindcast
//   out       receives a text for fairspell_text_free
// FAIRSPELL_OK, FAIRSPELL_KIND (a handle of another kind), FAIRSPELL_NULL.
fairspell_status fairspell_json(const void *answer, fairspell_text **out);

// What must be said with an answer or of a file, a line each: values left out, columns ignored, short records.
//   handle    a risk, a decision, a season, a hindcast, a record, records, hours or past hours
//   out       receives a text for fairspell_text_free; empty where there is nothing to say
// FAIRSPELL_OK, FAIRSPELL_KIND (a handle of another kind), FAIRSPELL_NULL.
fairspell_status fairspell_notices(const void *handle, fairspell_text **out);

// Copies the words of this thread's last error: one line, UTF-8, file:line:column: expected …, found … where a file
// is to blame. A call that ends with FAIRSPELL_OK leaves them as they are; so does this function, however it ends.
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK (an empty text before the first error), FAIRSPELL_SMALL, FAIRSPELL_NULL, FAIRSPELL_RANGE.
fairspell_status fairspell_last_error(char *buffer,
                                      size_t capacity,
                                      size_t *needed);

// Where in its file this thread's last error lies.
//   line, column    receive numbers that count from 1 (columns in bytes); 0 where there is no file or no such place
// FAIRSPELL_OK or FAIRSPELL_NULL.
fairspell_status fairspell_last_error_place(uint64_t *line, uint64_t *column);

// As fairspell_freeze, for many records with the same question; each answer has the same bits as one by one.
//   records          [count] records; the same one may come again
//   count            0 to 4,194,304
//   options, size    see fairspell_freeze_options_init
//   risks            [count] receives a risk for fairspell_risk_free, or NULL where it could not be made
//   statuses         [count] receives how each ended; the last error is that of the last that did not end well
// FAIRSPELL_OK once every record had its turn; else, with nothing written, FAIRSPELL_NULL, FAIRSPELL_RANGE,
// FAIRSPELL_SIZE.
fairspell_status fairspell_freeze_many(const fairspell_record *const *records,
                                       size_t count,
                                       const fairspell_freeze_options *options,
                                       size_t size,
                                       fairspell_risk **risks,
                                       fairspell_status *statuses);

// As fairspell_decide, for many forecasts, places and times with the same operation; each answer has the same bits
// as one by one. What an operation becomes at a site is worked out once where the same handle follows itself.
//   forecasts        [count] forecasts
//   sites            [count] their places; the same one may come again
//   at               [count] now, for each [s since 1970 UTC]; that of the options does not count
//   count            0 to 4,194,304
//   options, size    see fairspell_decide_options_init
//   decisions        [count] receives a decision for fairspell_decision_free, or NULL where there is none
//   statuses         [count] receives how each ended; the last error is that of the last that did not end well
// FAIRSPELL_OK once every forecast had its turn; else, with nothing written, FAIRSPELL_NULL, FAIRSPELL_KIND (the
// operation), FAIRSPELL_RANGE, FAIRSPELL_SIZE.
fairspell_status fairspell_decide_many(const fairspell_hourly *const *forecasts,
                                       const fairspell_site *const *sites,
                                       const int64_t *at,
                                       size_t count,
                                       const fairspell_operation *operation,
                                       const fairspell_decide_options *options,
                                       size_t size,
                                       fairspell_decision **decisions,
                                       fairspell_status *statuses);

// A built-in operation.
//   name    "oil" or "prune"
//   out     receives an operation for fairspell_operation_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (no such name), FAIRSPELL_NULL, FAIRSPELL_UTF8, FAIRSPELL_RANGE.
fairspell_status fairspell_operation_built_in(const char *name, fairspell_operation **out);

// Reads an operation file (TOML).
//   name             by which errors call the file
//   bytes, length    all of the file, at most 1 MiB
//   out              receives an operation for fairspell_operation_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE.
fairspell_status fairspell_operation_read(const char *name,
                                          const void *bytes,
                                          size_t length,
                                          fairspell_operation **out);

// An operation with the limits that a site changes for it, and the hours in a row that its garden needs to be sprayed.
// fairspell_decide does this by itself; to see the limits used, do it here.
//   plants    the plants table; NULL: the built-in one
//   out       receives an operation for fairspell_operation_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (a limit or a kind in the site file), FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_operation_at_site(const fairspell_operation *operation,
                                             const fairspell_site *site,
                                             const fairspell_plants *plants,
                                             fairspell_operation **out);

// The number of rules, and the hours in a row that the work needs.
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_operation_about(const fairspell_operation *operation, size_t *rules, uint32_t *hours_needed);

// One rule of an operation, in the order of its file, by which hindrances name it.
//   index    from 0
//   size     sizeof(fairspell_rule)
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_operation_rule(const fairspell_operation *operation,
                                          size_t index,
                                          fairspell_rule *rule,
                                          size_t size);

// Copies the name of a rule.
//   index     from 0
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_operation_rule_name(const fairspell_operation *operation,
                                               size_t index,
                                               char *buffer,
                                               size_t capacity,
                                               size_t *needed);

// Copies the published source of a rule's limits, or the word that it is common practice.
//   index     from 0
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_operation_rule_source(const fairspell_operation *operation,
                                                 size_t index,
                                                 char *buffer,
                                                 size_t capacity,
                                                 size_t *needed);

// Frees an operation and sets *operation to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_operation_free(fairspell_operation **operation);

// Reads past hours of any format that is known (plain CSV with or without a column of stations, GHCN-Hourly, NWS
// observations; gzip or not) and keeps all stations.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
//   site             whose clock places local times without an offset; NULL: none, and such times are an error
//   out              receives past hours for fairspell_past_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE, FAIRSPELL_KIND.
fairspell_status fairspell_past_read(const char *name,
                                     const void *bytes,
                                     size_t length,
                                     const fairspell_site *site,
                                     fairspell_past **out);

// Past hours from hours that you have, such as those of fairspell_hourly_new.
//   hourly     hours without members
//   station    its name; NULL: none
//   out        receives past hours for fairspell_past_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (members), FAIRSPELL_NULL, FAIRSPELL_UTF8, FAIRSPELL_RANGE,
// FAIRSPELL_KIND.
fairspell_status fairspell_past_of_hours(const fairspell_hourly *hourly, const char *station, fairspell_past **out);

// Past hours of two inputs, the hours of each station brought together; where both have an hour the first counts, and
// that is said. Join again for a third.
//   first, second    both stay as they are
//   out              receives past hours for fairspell_past_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (hours that begin at other minutes, or too many), FAIRSPELL_NULL,
// FAIRSPELL_KIND.
fairspell_status fairspell_past_join(const fairspell_past *first, const fairspell_past *second, fairspell_past **out);

// The number of stations.
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_past_count(const fairspell_past *past, size_t *count);

// Copies a station's name as its file has it; empty where it has none.
//   index     from 0, below fairspell_past_count
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_past_station(const fairspell_past *past,
                                        size_t index,
                                        char *buffer,
                                        size_t capacity,
                                        size_t *needed);

// Frees past hours and sets *past to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_past_free(fairspell_past **past);

// Reads a log of what was done: CSV with date or time, operation, note.
//   name             by which errors call the file
//   bytes, length    all of the file
//   site             whose clock places local times without an offset; NULL: none, and such times are an error
//   out              receives a log for fairspell_log_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE, FAIRSPELL_KIND.
fairspell_status fairspell_log_read(const char *name,
                                    const void *bytes,
                                    size_t length,
                                    const fairspell_site *site,
                                    fairspell_log **out);

// Frees a log and sets *log to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_log_free(fairspell_log **log);

// Fills in the defaults: no units of Daily Summaries, whole °F as the archive's station says, minima and maxima.
//   size    sizeof(fairspell_record_options)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_SIZE.
fairspell_status fairspell_record_options_init(fairspell_record_options *options, size_t size);

// Reads a daily record of any format that is known (plain CSV, GHCN-Daily by station or in fixed columns, Daily
// Summaries; gzip or not) and keeps one station of it.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
//   station          its name in the file; NULL: the only one, and two or more are an error
//   options, size    see fairspell_record_options_init
//   out              receives a record for fairspell_record_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error; also where the station is not there),
// FAIRSPELL_NULL, FAIRSPELL_UTF8, FAIRSPELL_RANGE, FAIRSPELL_SIZE.
fairspell_status fairspell_record_read(const char *name,
                                       const void *bytes,
                                       size_t length,
                                       const char *station,
                                       const fairspell_record_options *options,
                                       size_t size,
                                       fairspell_record **out);

// Copies the days of one station into a new record; keeps no pointer to them. Values outside -90 to 60 °C become
// missing and are counted.
//   station      its name, on which the bootstrap's draws depend; NULL: none
//   tmin         [days] minima, one a day without gaps, NaN = missing
//   tmax         [days] maxima likewise; NULL: none (no season can then be planned)
//   days         at least 1, at most 400 years
//   unit         FAIRSPELL_CELSIUS or FAIRSPELL_FAHRENHEIT
//   first_day    midnight UTC of the first day [s since 1970]
//   out          receives a record for fairspell_record_free; untouched unless FAIRSPELL_OK is returned
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_RANGE (no day or too many, an infinite value, no midnight),
// FAIRSPELL_UTF8.
fairspell_status fairspell_record_new(const char *station,
                                      const double *tmin,
                                      const double *tmax,
                                      size_t days,
                                      int32_t unit,
                                      int64_t first_day,
                                      fairspell_record **out);

// Takes hours to the extremes of the site's local days; a day that lacks an hour is missing.
//   hourly    observed hours without members
//   site      whose clock parts the days
//   out       receives a record for fairspell_record_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (members, or no temperatures), FAIRSPELL_QUESTION (no zone), FAIRSPELL_NULL,
// FAIRSPELL_KIND.
fairspell_status fairspell_record_of_hours(const fairspell_hourly *hourly,
                                           const fairspell_site *site,
                                           fairspell_record **out);

// Facts of a record.
//   size    sizeof(fairspell_record_facts)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_record_about(const fairspell_record *record, fairspell_record_facts *facts, size_t size);

// Copies the values of a record, one a day, NaN = missing, in the record's own unit (fairspell_record_about).
//   which     FAIRSPELL_TMIN or FAIRSPELL_TMAX
//   buffer    [capacity] values; may be NULL if capacity is 0
//   needed    receives the number of days, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_ABSENT (no maxima), FAIRSPELL_SMALL, FAIRSPELL_NULL, FAIRSPELL_KIND,
// FAIRSPELL_RANGE.
fairspell_status fairspell_record_values(const fairspell_record *record,
                                         int32_t which,
                                         double *buffer,
                                         size_t capacity,
                                         size_t *needed);

// Copies the station's name as its file has it; empty where it has none.
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_RANGE.
fairspell_status fairspell_record_station(const fairspell_record *record,
                                          char *buffer,
                                          size_t capacity,
                                          size_t *needed);

// Frees a record and sets *record to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_record_free(fairspell_record **record);

// Reads a daily record of any format that is known and keeps all its stations.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 64 MiB, unpacked at most 48 MiB
//   options, size    see fairspell_record_options_init
//   out              receives records for fairspell_records_free
// As fairspell_record_read.
fairspell_status fairspell_records_read(const char *name,
                                        const void *bytes,
                                        size_t length,
                                        const fairspell_record_options *options,
                                        size_t size,
                                        fairspell_records **out);

// The number of stations of a file.
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_records_count(const fairspell_records *records, size_t *count);

// The record of one station of a file; it stays after the file's records are freed, and its days are not copied.
//   index    from 0, below fairspell_records_count
//   out      receives a record for fairspell_record_free
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_records_take(const fairspell_records *records, size_t index, fairspell_record **out);

// Frees the records of a file and sets *records to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_records_free(fairspell_records **records);

// Fills in the defaults for a season.
//   year    named by the year in which its spring begins
//   size    sizeof(fairspell_season_options)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_SIZE.
fairspell_status fairspell_season_options_init(fairspell_season_options *options, size_t size, int32_t year);

// Plans a late winter: when to prune and to spray each kind of the site's garden (one hybrid tea rose without one),
// what each date risks, how the customs compare, and the work itself.
//   record           days of a station with minima and maxima
//   site             the place and its garden
//   options, size    see fairspell_season_options_init
//   out              receives a season for fairspell_season_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (a kind of the garden that the plants table does not have), FAIRSPELL_RANGE,
// FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_season_plan(const fairspell_record *record,
                                       const fairspell_site *site,
                                       const fairspell_season_options *options,
                                       size_t size,
                                       fairspell_season **out);

// Facts of a season.
//   size    sizeof(fairspell_season_facts)
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_season_about(const fairspell_season *season, fairspell_season_facts *facts, size_t size);

// One kind of plant of the season.
//   plant    index, from 0
//   size     sizeof(fairspell_plant_season)
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_season_plant(const fairspell_season *season,
                                        size_t plant,
                                        fairspell_plant_season *facts,
                                        size_t size);

// Copies the name of a kind of plant.
//   plant     index, from 0
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_season_plant_kind(const fairspell_season *season,
                                             size_t plant,
                                             char *buffer,
                                             size_t capacity,
                                             size_t *needed);

// Copies the damage of every date of the half-season for one kind of plant.
//   plant        index, from 0
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_damage)
//   needed       receives the number of days, also on FAIRSPELL_SMALL; 0 where it cannot be known or nothing is cut
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_season_damage(const fairspell_season *season,
                                         size_t plant,
                                         fairspell_damage *items,
                                         size_t item_size,
                                         size_t capacity,
                                         size_t *needed);

// Copies the customs of the calendar, from the least to the greatest expected harm; their names are in
// fairspell_season_custom_name.
//   items        [capacity] structs; may be NULL if capacity is 0
//   item_size    sizeof(fairspell_custom)
//   needed       receives their number, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_SIZE.
fairspell_status fairspell_season_customs(const fairspell_season *season,
                                          fairspell_custom *items,
                                          size_t item_size,
                                          size_t capacity,
                                          size_t *needed);

// Copies the plain English name of a custom.
//   index     from 0
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_RANGE, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_season_custom_name(const fairspell_season *season,
                                              size_t index,
                                              char *buffer,
                                              size_t capacity,
                                              size_t *needed);

// Every number behind the plan with its source, a line each.
//   out    receives a text for fairspell_text_free
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_season_explain(const fairspell_season *season, fairspell_text **out);

// Frees a season and sets *season to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_season_free(fairspell_season **season);

// Reads a site file (TOML): name, latitude, longitude, elevation, zone, garden, limits that differ.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 1 MiB
//   out              receives a site for fairspell_site_free
// FAIRSPELL_OK, FAIRSPELL_INPUT (file, line and column in the last error), FAIRSPELL_NULL, FAIRSPELL_UTF8,
// FAIRSPELL_RANGE.
fairspell_status fairspell_site_read(const char *name, const void *bytes, size_t length, fairspell_site **out);

// A site without a file: no garden, no limits that differ.
//   latitude     degrees north, -90 to 90; NaN: not known
//   longitude    degrees east, -180 to 180; NaN: not known
//   zone         IANA time zone such as America/Chicago; NULL: not known, and what needs a clock is then refused
//   out          receives a site for fairspell_site_free
// FAIRSPELL_OK, FAIRSPELL_RANGE, FAIRSPELL_INPUT (no such zone), FAIRSPELL_NULL (out), FAIRSPELL_UTF8.
fairspell_status fairspell_site_new(double latitude, double longitude, const char *zone, fairspell_site **out);

// Frees a site and sets *site to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_site_free(fairspell_site **site);

// Reads a plants table (TOML) whose rows stand beside the built-in ones, or replace those of the same name.
//   name             by which errors call the file
//   bytes, length    all of the file, at most 1 MiB
//   out              receives a table for fairspell_plants_free
// FAIRSPELL_OK, FAIRSPELL_INPUT, FAIRSPELL_NULL, FAIRSPELL_UTF8, FAIRSPELL_RANGE.
fairspell_status fairspell_plants_read(const char *name, const void *bytes, size_t length, fairspell_plants **out);

// Frees a plants table and sets *plants to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_plants_free(fairspell_plants **plants);

// Version of the ABI of the library that runs: compare it with FAIRSPELL_ABI_VERSION, with which you compiled. The
// first numbers (thousands) must be equal, and the library's may not be less.
uint32_t fairspell_abi_version(void);

// Copies a text.
//   buffer    [capacity] bytes for the text and its NUL; may be NULL if capacity is 0
//   needed    receives the bytes needed with the NUL, also on FAIRSPELL_SMALL
// FAIRSPELL_OK, FAIRSPELL_SMALL, FAIRSPELL_NULL, FAIRSPELL_KIND, FAIRSPELL_RANGE.
fairspell_status fairspell_text_copy(const fairspell_text *text, char *buffer, size_t capacity, size_t *needed);

// Shows a text where it lies, without a copy.
//   data      receives its first byte; the text ends with NUL, belongs to the handle and lives as long as it
//   length    receives its bytes without the NUL
// FAIRSPELL_OK, FAIRSPELL_NULL, FAIRSPELL_KIND.
fairspell_status fairspell_text_data(const fairspell_text *text, const char **data, size_t *length);

// Frees a text and sets *text to NULL; where it is NULL already, nothing happens.
// FAIRSPELL_OK, FAIRSPELL_NULL (the address itself), FAIRSPELL_KIND.
fairspell_status fairspell_text_free(fairspell_text **text);

#ifdef __cplusplus
}  // extern "C"
#endif  // __cplusplus

#endif  /* FAIRSPELL_H */
