/* Answers through the C ABI, to be held against the command line's and the core's. Run by tests/tests/bindings/c_answers.rs in the folder
 * of the demo's data:
 *
 *   answers freeze | decide | decide-many | season | hindcast | hindcast-two     the JSON
 *   answers columns     the JSON of a decision on hours and days given as arrays, which were read from the files' own values
 *   answers numbers     numbers from the accessors, a name and the bits of a double a line */
#include "fixture.h"

static void print_json(const void *answer) {
  fairspell_text *text = NULL;
  const char *data;
  size_t length;
  MUST(fairspell_json(answer, &text));
  MUST(fairspell_text_data(text, &data, &length));
  if (fwrite(data, 1, length, stdout) != length) {
    die("standard output", -1);
  }
  putchar('\n');
  fairspell_text_free(&text);
}

static void freeze(const struct handles *h) {
  fairspell_freeze_options options;
  fairspell_risk *risk = NULL;
  MUST(fairspell_freeze_options_init(&options, sizeof options));
  options.on = DATE;
  options.today = DATE;
  options.risk = 0.1;
  options.replicates = 200;
  MUST(fairspell_freeze(h->record, &options, sizeof options, &risk));
  print_json(risk);
  fairspell_risk_free(&risk);
}

static void decide_options(fairspell_decide_options *options, const struct handles *h) {
  MUST(fairspell_decide_options_init(options, sizeof *options, MONDAY));
  options->record = h->record;
  options->explain = FAIRSPELL_EXPLAIN_BEST;
}

static fairspell_hourly *both(const struct handles *h) {
  fairspell_hourly *hours = NULL;
  MUST(fairspell_hourly_with_observed(h->hourly, h->observed, &hours));
  return hours;
}

static void decide(const struct handles *h) {
  fairspell_decide_options options;
  fairspell_decision *decision = NULL;
  fairspell_operation *oil = NULL;
  fairspell_hourly *hours = both(h);
  decide_options(&options, h);
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_decide(hours, oil, h->site, &options, sizeof options, &decision));
  print_json(decision);
  fairspell_decision_free(&decision);
  fairspell_operation_free(&oil);
  fairspell_hourly_free(&hours);
}

/* Days by which waiting was weighed, without and with two years of past hours, all of them at 50 °F and dry. */
static void past(const struct handles *h) {
  enum { PAST_HOURS = 20000 };
  static int64_t times[PAST_HOURS];
  static double values[3][PAST_HOURS];
  const fairspell_column columns[3] = {{values[0], FAIRSPELL_TEMPERATURE, FAIRSPELL_FAHRENHEIT},
                                       {values[1], FAIRSPELL_RAIN, FAIRSPELL_INCH},
                                       {values[2], FAIRSPELL_WIND, FAIRSPELL_MILE_PER_HOUR}};
  fairspell_decide_options options;
  fairspell_hindcast_options all;
  fairspell_operation *oil = NULL;
  fairspell_hourly *hourly = NULL;
  fairspell_past *hours = NULL;
  fairspell_hindcast *hindcast = NULL;
  for (int hour = 0; hour < PAST_HOURS; hour++) {
    times[hour] = MONDAY - 3600 * (int64_t)(PAST_HOURS - hour);
    values[0][hour] = 50.0;
    values[1][hour] = 0.0;
    values[2][hour] = 3.0;
  }
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_hourly_new(times, PAST_HOURS, columns, 3, sizeof columns[0], FAIRSPELL_NO_TIME, &hourly));
  MUST(fairspell_past_of_hours(hourly, NULL, &hours));
  MUST(fairspell_hindcast_options_init(&all, sizeof all));
  MUST(fairspell_hindcast_judge(hours, 0, oil, h->site, &all, sizeof all, &hindcast));
  decide_options(&options, h);
  for (int with = 0; with < 2; with++) {
    fairspell_decision *decision = NULL;
    fairspell_wait wait;
    options.past = with ? hindcast : NULL;
    MUST(fairspell_decide(h->hourly, oil, h->site, &options, sizeof options, &decision));
    MUST(fairspell_decision_wait(decision, &wait, sizeof wait));
    printf("%" PRIu32 " %" PRIu32 " %" PRIu32 "\n", wait.forecast_days, wait.hours_days, wait.record_days);
    fairspell_decision_free(&decision);
  }
  if (fairspell_decide(h->hourly, h->operation, h->site, &options, sizeof options, &(fairspell_decision *){NULL}) !=
      FAIRSPELL_RANGE) {
    die("past hours of another operation", -1);
  }
  fairspell_hindcast_free(&hindcast);
  fairspell_past_free(&hours);
  fairspell_hourly_free(&hourly);
  fairspell_operation_free(&oil);
}

static void decide_many(const struct handles *h) {
  fairspell_decide_options options;
  fairspell_decision *decisions[3];
  fairspell_status statuses[3];
  fairspell_operation *oil = NULL;
  fairspell_hourly *hours = both(h);
  const fairspell_hourly *forecasts[3] = {hours, hours, h->hourly};
  const fairspell_site *sites[3] = {h->site, h->site, h->site};
  const int64_t at[3] = {MONDAY, MONDAY + 12 * 3600, MONDAY};
  decide_options(&options, h);
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_decide_many(forecasts, sites, at, 3, oil, &options, sizeof options, decisions, statuses));
  for (int i = 0; i < 3; i++) {
    MUST(statuses[i]);
    print_json(decisions[i]);
    fairspell_decision_free(&decisions[i]);
  }
  fairspell_operation_free(&oil);
  fairspell_hourly_free(&hours);
}

static void season(const struct handles *h) {
  fairspell_season_options options;
  fairspell_season *season = NULL;
  MUST(fairspell_season_options_init(&options, sizeof options, 2027));
  options.explain = 1;
  options.replicates = 200;
  MUST(fairspell_season_plan(h->record, h->site, &options, sizeof options, &season));
  print_json(season);
  fairspell_season_free(&season);
}

static void hindcast(const struct handles *h, const struct inputs *in, int is_two) {
  fairspell_hindcast_options options;
  fairspell_hindcast *hindcast = NULL;
  fairspell_operation *oil = NULL;
  fairspell_past *observed = NULL;
  fairspell_past *joined = NULL;
  MUST(fairspell_hindcast_options_init(&options, sizeof options));
  options.log = h->log;
  options.forecasts = h->forecasts;
  options.season = "03-01..04-15";
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_past_read("observed.csv", in->observed.bytes, in->observed.length, h->site, &observed));
  MUST(fairspell_past_join(h->past, observed, &joined));
  MUST(fairspell_hindcast_judge(is_two ? joined : h->past, 0, oil, h->site, &options, sizeof options, &hindcast));
  print_json(hindcast);
  fairspell_hindcast_free(&hindcast);
  fairspell_past_free(&joined);
  fairspell_past_free(&observed);
  fairspell_operation_free(&oil);
}

/* The forecast's own values taken out, and put in again as columns; the record likewise. */
static void columns(const struct handles *h) {
  static const int32_t measures[] = {FAIRSPELL_TEMPERATURE, FAIRSPELL_RAIN, FAIRSPELL_RAIN_CHANCE, FAIRSPELL_HUMIDITY,
                                     FAIRSPELL_WIND,        FAIRSPELL_GUST, FAIRSPELL_CLOUD};
  static const int32_t units[] = {FAIRSPELL_FAHRENHEIT,    FAIRSPELL_INCH,          FAIRSPELL_PERCENT, FAIRSPELL_PERCENT,
                                  FAIRSPELL_MILE_PER_HOUR, FAIRSPELL_MILE_PER_HOUR, FAIRSPELL_PERCENT};
  static double low[7][200];
  static double high[200];
  static double days[2][20000];
  fairspell_column given[7];
  int64_t times[200];
  size_t hours;
  size_t count;
  fairspell_hourly_facts facts;
  fairspell_record_facts about;
  fairspell_hourly *again = NULL;
  fairspell_record *record = NULL;
  fairspell_decide_options options;
  fairspell_decision *decision = NULL;
  fairspell_operation *oil = NULL;
  MUST(fairspell_hourly_about(h->hourly, &facts, sizeof facts));
  for (int i = 0; i < 7; i++) {
    MUST(fairspell_hourly_values(h->hourly, 0, measures[i], units[i], low[i], high, 200, &hours));
    given[i].values = low[i];
    given[i].measure = measures[i];
    given[i].unit = units[i];
  }
  for (size_t i = 0; i < hours; i++) {
    times[i] = facts.start + 3600 * (int64_t)i;
  }
  MUST(fairspell_hourly_new(times, hours, given, 7, sizeof given[0], facts.issued, &again));
  MUST(fairspell_record_about(h->record, &about, sizeof about));
  MUST(fairspell_record_values(h->record, FAIRSPELL_TMIN, days[0], 20000, &count));
  MUST(fairspell_record_values(h->record, FAIRSPELL_TMAX, days[1], 20000, &count));
  MUST(fairspell_record_new("invented-1", days[0], days[1], count, about.unit, about.first_day, &record));
  decide_options(&options, h);
  options.record = record;
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_decide(again, oil, h->site, &options, sizeof options, &decision));
  print_json(decision);
  fairspell_decision_free(&decision);
  fairspell_operation_free(&oil);
  fairspell_record_free(&record);
  fairspell_hourly_free(&again);
}

static void print_number(const char *name, double value) {
  uint64_t bits;
  memcpy(&bits, &value, sizeof bits);
  printf("%s %016" PRIx64 "\n", name, bits);
}

static void numbers(const struct handles *h) {
  fairspell_freeze_options options;
  fairspell_risk *risk = NULL;
  fairspell_half half;
  fairspell_fit fit;
  fairspell_day_risk on;
  fairspell_spell spells[8];
  fairspell_decide_options decide;
  fairspell_decision *decision = NULL;
  fairspell_operation *oil = NULL;
  fairspell_hourly *hours = both(h);
  fairspell_hindrance hindrances[64];
  double free_days[3];
  size_t count;
  MUST(fairspell_freeze_options_init(&options, sizeof options));
  options.replicates = 200;
  MUST(fairspell_freeze(h->record, &options, sizeof options, &risk));
  MUST(fairspell_risk_half(risk, 1, FAIRSPELL_SPRING, &half, sizeof half));
  print_number("freeze_probability", half.freeze_probability);
  for (int i = 0; i < 3; i++) {
    print_number("conditional", half.conditional[i]);
    print_number("conditional_low", half.conditional_low[i]);
    print_number("mixed", half.mixed[i]);
    print_number("present", half.present[i]);
  }
  print_number("trend", half.trend);
  print_number("trend_p", half.trend_p);
  MUST(fairspell_risk_fit(risk, 1, FAIRSPELL_SPRING, FAIRSPELL_REVERSED, &fit, sizeof fit));
  print_number("shape", fit.shape);
  print_number("scale", fit.scale);
  print_number("log_likelihood", fit.log_likelihood);
  print_number("ad_a2", fit.ad_a2);
  print_number("high", fit.high[2]);
  MUST(fairspell_risk_on(risk, 1, FAIRSPELL_SPRING, DATE, &on, sizeof on));
  print_number("risk", on.probability);
  print_number("risk_low", on.low);
  MUST(fairspell_risk_between(risk, 1, &count, free_days));
  print_number("freeze_free", free_days[1]);
  decide_options(&decide, h);
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_decide(hours, oil, h->site, &decide, sizeof decide, &decision));
  MUST(fairspell_decision_spells(decision, spells, sizeof spells[0], 8, &count));
  for (size_t i = 0; i < count; i++) {
    print_number("spell", (double)spells[i].start);
    print_number("confidence", spells[i].confidence);
    print_number("confidence_high", spells[i].confidence_high);
  }
  MUST(fairspell_decision_hindrances(decision, 0, hindrances, sizeof hindrances[0], 64, &count));
  for (size_t i = 0; i < count; i++) {
    print_number("value", hindrances[i].value);
    print_number("limit", hindrances[i].limit);
    print_number("margin", hindrances[i].margin);
  }
  fairspell_decision_free(&decision);
  fairspell_operation_free(&oil);
  fairspell_hourly_free(&hours);
  fairspell_risk_free(&risk);
}

int main(int argc, char **argv) {
  static struct inputs in;
  struct handles h;
  struct options p;
  const char *what = argc == 2 ? argv[1] : "";
  make_inputs(&in);
  make_handles(&h, &in, &p);
  if (strcmp(what, "freeze") == 0) {
    freeze(&h);
  } else if (strcmp(what, "decide") == 0) {
    decide(&h);
  } else if (strcmp(what, "decide-many") == 0) {
    decide_many(&h);
  } else if (strcmp(what, "season") == 0) {
    season(&h);
  } else if (strcmp(what, "hindcast") == 0) {
    hindcast(&h, &in, 0);
  } else if (strcmp(what, "hindcast-two") == 0) {
    hindcast(&h, &in, 1);
  } else if (strcmp(what, "past") == 0) {
    past(&h);
  } else if (strcmp(what, "columns") == 0) {
    columns(&h);
  } else if (strcmp(what, "numbers") == 0) {
    numbers(&h);
  } else {
    die("usage", -1);
  }
  free_handles(&h);
  free_inputs(&in);
  return 0;
}
