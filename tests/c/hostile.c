/* Hostile cases that a walk over the arguments of each function does not reach. Run by tests/tests/bindings/c_hostile.rs. */
#include "fixture.h"

static unsigned checks, wrong;

static void is(const char *what, int line, int holds) {
  checks++;
  if (!holds) {
    char words[512] = "";
    size_t needed;
    fairspell_last_error(words, sizeof words, &needed);
    printf("line %d: %s (last error: %s)\n", line, what, words);
    wrong++;
  }
}
#define IS(holds) is(#holds, __LINE__, (holds))

static void freed_twice(const struct inputs *in) {
  fairspell_site *site = NULL;
  fairspell_risk *none = NULL;
  void *held;
  IS(fairspell_site_read("s", in->site.bytes, in->site.length, &site) == FAIRSPELL_OK && site != NULL);
  /* of another kind: refused, and the handle lives on */
  held = site;
  none = held;
  IS(fairspell_risk_free(&none) == FAIRSPELL_KIND && (void *)none == held);
  IS(fairspell_site_free(&site) == FAIRSPELL_OK && site == NULL);
  IS(fairspell_site_free(&site) == FAIRSPELL_OK && site == NULL);
  IS(fairspell_site_free(NULL) == FAIRSPELL_NULL);
}

static void inside_options(const struct handles *h, struct options *p) {
  fairspell_risk *risk = NULL;
  fairspell_decision *decision = NULL;
  fairspell_season *season = NULL;
  fairspell_hindcast *hindcast = NULL;
  double thresholds[2] = {32.0, (double)INFINITY};
  void *other = h->text;
  p->freeze.threshold_count = 1;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_NULL);
  p->freeze.thresholds = thresholds;
  p->freeze.threshold_count = 2;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  p->freeze.threshold_count = SIZE_MAX;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  thresholds[1] = (double)NAN;
  p->freeze.threshold_count = 2;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  p->freeze.threshold_count = 1;
  p->freeze.risk = 1.0;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  p->freeze.risk = (double)NAN;
  p->freeze.on = 1;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  p->freeze.on = INT64_MAX;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE);
  p->freeze.on = FAIRSPELL_NO_TIME;
  p->freeze.replicates = UINT32_MAX;
  IS(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_RANGE && risk == NULL);
  p->decide.plants = other;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_KIND);
  p->decide.plants = NULL;
  p->decide.least_confidence = 0.5; /* without confidence */
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_RANGE);
  p->decide.least_confidence = (double)NAN;
  p->decide.missed_loss = (double)INFINITY;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_RANGE);
  p->decide.missed_loss = 1.0;
  p->decide.is_strict = 2;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_RANGE);
  p->decide.is_strict = 0;
  p->decide.until = NOW - 1;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_QUESTION);
  p->decide.until = FAIRSPELL_NO_TIME;
  p->decide.at = INT64_MAX;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_QUESTION);
  p->decide.at = INT64_MIN;
  IS(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_QUESTION);
  IS(decision == NULL);
  p->season.observed = other;
  IS(fairspell_season_plan(h->record, h->site, &p->season, sizeof p->season, &season) == FAIRSPELL_KIND);
  p->season.observed = NULL;
  p->season.year = INT32_MAX;
  IS(fairspell_season_plan(h->record, h->site, &p->season, sizeof p->season, &season) == FAIRSPELL_RANGE);
  p->season.year = 2027;
  p->season.tender = (double)NAN;
  IS(fairspell_season_plan(h->record, h->site, &p->season, sizeof p->season, &season) == FAIRSPELL_RANGE);
  p->season.tender = 28.0;
  p->season.weight_late_freeze = p->season.weight_after_bud_break = 0.0;
  IS(fairspell_season_plan(h->record, h->site, &p->season, sizeof p->season, &season) == FAIRSPELL_RANGE);
  IS(season == NULL);
  p->hindcast.season = "\xff";
  IS(fairspell_hindcast_judge(h->past, 0, h->operation, h->site, &p->hindcast, sizeof p->hindcast, &hindcast) ==
     FAIRSPELL_UTF8);
  p->hindcast.season = "never";
  IS(fairspell_hindcast_judge(h->past, 0, h->operation, h->site, &p->hindcast, sizeof p->hindcast, &hindcast) ==
     FAIRSPELL_INPUT);
  p->hindcast.season = NULL;
  p->hindcast.log = other;
  IS(fairspell_hindcast_judge(h->past, 0, h->operation, h->site, &p->hindcast, sizeof p->hindcast, &hindcast) ==
     FAIRSPELL_KIND);
  IS(hindcast == NULL);
}

static void small_buffers(const struct handles *h, struct options *p) {
  fairspell_operation *oil = NULL;
  fairspell_decision *decision = NULL;
  char words[64];
  fairspell_spell spells[8];
  double values[4];
  size_t needed = 0;
  /* "invented-1" has ten letters and a NUL */
  memset(words, '#', sizeof words);
  IS(fairspell_record_station(h->record, NULL, 0, &needed) == FAIRSPELL_SMALL && needed == 11);
  IS(fairspell_record_station(h->record, words, 10, &needed) == FAIRSPELL_SMALL && needed == 11 && words[0] == '#');
  IS(fairspell_record_station(h->record, words, 11, &needed) == FAIRSPELL_OK && strcmp(words, "invented-1") == 0);
  IS(words[11] == '#');
  /* two spells, by data/demo/README.md */
  memset(spells, 0, sizeof spells);
  p->decide.at = MONDAY;
  IS(fairspell_operation_built_in("oil", &oil) == FAIRSPELL_OK);
  IS(fairspell_decide(h->hourly, oil, h->site, &p->decide, sizeof p->decide, &decision) == FAIRSPELL_OK);
  IS(fairspell_decision_spells(decision, spells, sizeof spells[0], 1, &needed) == FAIRSPELL_SMALL && needed == 2);
  IS(spells[0].start == 0);
  IS(fairspell_decision_spells(decision, spells, sizeof spells[0], 2, &needed) == FAIRSPELL_OK && needed == 2);
  IS(spells[0].start != 0 && spells[1].start > spells[0].end && spells[2].start == 0);
  fairspell_decision_free(&decision);
  fairspell_operation_free(&oil);
  IS(fairspell_record_values(h->record, FAIRSPELL_TMIN, values, 4, &needed) == FAIRSPELL_SMALL && needed > 12000);
  IS(fairspell_last_error(words, 1, &needed) == FAIRSPELL_SMALL && needed > 20);
}

static void columns(const struct handles *h, struct inputs *in) {
  fairspell_hourly *hours = NULL;
  fairspell_record *record = NULL;
  fairspell_record_facts facts;
  uint64_t line = 0;
  uint64_t column = 0;
  double low[HOURS];
  double high[HOURS];
  size_t needed;
#define NEW(count) fairspell_hourly_new(in->times, HOURS, in->columns, count, sizeof in->columns[0], MONDAY, &hours)
  in->times[5] = in->times[4];
  IS(NEW(2) == FAIRSPELL_INPUT);
  IS(fairspell_last_error_place(&line, &column) == FAIRSPELL_OK && line == 6 && column == 1);
  in->times[5] = in->times[3];
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->times[5] = in->times[4] + 1800;
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->times[5] = INT64_MAX;
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->times[0] = INT64_MIN;
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->times[0] = MONDAY;
  in->times[5] = MONDAY + 5 * 3600;
  in->columns[1].unit = FAIRSPELL_CELSIUS;
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->columns[1].unit = 99;
  IS(NEW(2) == FAIRSPELL_RANGE);
  in->columns[1].unit = FAIRSPELL_INCH;
  in->columns[1].measure = FAIRSPELL_TEMPERATURE;
  IS(NEW(2) == FAIRSPELL_INPUT);
  in->columns[1].measure = FAIRSPELL_RAIN;
  in->columns[1].values = NULL;
  IS(NEW(2) == FAIRSPELL_NULL);
  in->columns[1].values = in->rain;
  IS(NEW(10) == FAIRSPELL_RANGE);
  in->rain[7] = -(double)INFINITY;
  IS(NEW(2) == FAIRSPELL_RANGE && hours == NULL);
  in->rain[7] = (double)NAN;
  in->temperature[8] = 900.0; /* no weather has it: missing */
  IS(NEW(2) == FAIRSPELL_OK);
  IS(fairspell_hourly_values(hours, 0, FAIRSPELL_TEMPERATURE, FAIRSPELL_CELSIUS, low, high, HOURS, &needed) ==
     FAIRSPELL_OK);
  IS(isnan(low[8]) && isnan(high[8]) && low[5] == high[5] && low[5] == 10.0); /* 50 F */
  IS(fairspell_hourly_values(hours, 0, FAIRSPELL_RAIN, FAIRSPELL_MILLIMETRE, low, high, HOURS, &needed) == FAIRSPELL_OK);
  IS(isnan(low[7]) && low[6] == 0.0);
  IS(fairspell_hourly_values(hours, 0, FAIRSPELL_WIND, FAIRSPELL_KNOT, low, high, HOURS, &needed) == FAIRSPELL_ABSENT);
  IS(fairspell_hourly_values(hours, 0, FAIRSPELL_RAIN, FAIRSPELL_KNOT, low, high, HOURS, &needed) == FAIRSPELL_RANGE);
  fairspell_hourly_free(&hours);
  in->tmin[9] = (double)INFINITY;
  IS(fairspell_record_new(NULL, in->tmin, NULL, DAYS, FAIRSPELL_FAHRENHEIT, 0, &record) == FAIRSPELL_RANGE);
  in->tmin[9] = 500.0;
  IS(fairspell_record_new(NULL, in->tmin, NULL, DAYS, FAIRSPELL_FAHRENHEIT, 0, &record) == FAIRSPELL_OK);
  IS(fairspell_record_about(record, &facts, sizeof facts) == FAIRSPELL_OK && facts.impossible == 1);
  IS(facts.missing == 10 && facts.days == DAYS); /* nine of every ninety days, and that one */
  fairspell_record_free(&record);
  for (int day = 0; day < DAYS; day++) {
    in->tmin[day] = (double)NAN;
  }
  IS(fairspell_record_of_hours(h->hourly, h->site, &record) == FAIRSPELL_OK && record != NULL);
  IS(fairspell_record_about(record, &facts, sizeof facts) == FAIRSPELL_OK && facts.days == 8 && facts.has_tmax == 1);
  fairspell_record_free(&record);
}

static void nothing_known(const struct handles *h, struct options *p, struct inputs *in) {
  fairspell_record *record = NULL;
  fairspell_risk *risk = NULL;
  fairspell_season *season = NULL;
  fairspell_text *json = NULL;
  fairspell_half half;
  fairspell_fit fit;
  fairspell_day_risk on;
  uint32_t day;
  /* in->tmin is all NaN by now */
  IS(fairspell_record_new("none", in->tmin, NULL, DAYS, FAIRSPELL_CELSIUS, 0, &record) == FAIRSPELL_OK);
  IS(fairspell_freeze(record, &p->freeze, sizeof p->freeze, &risk) == FAIRSPELL_OK);
  IS(fairspell_risk_half(risk, 0, FAIRSPELL_SPRING, &half, sizeof half) == FAIRSPELL_OK);
  IS(half.valid_years == 0 && isnan(half.freeze_probability) && isnan(half.conditional[1]) && half.chosen == -1);
  IS(fairspell_risk_fit(risk, 0, FAIRSPELL_SPRING, FAIRSPELL_FROM_START, &fit, sizeof fit) == FAIRSPELL_ABSENT);
  IS(fairspell_risk_on(risk, 0, FAIRSPELL_SPRING, DATE, &on, sizeof on) == FAIRSPELL_ABSENT);
  IS(fairspell_risk_day_of(risk, 0, FAIRSPELL_SPRING, 0.1, &day) == FAIRSPELL_ABSENT);
  IS(fairspell_season_plan(record, h->site, &p->season, sizeof p->season, &season) == FAIRSPELL_OK);
  IS(fairspell_json(season, &json) == FAIRSPELL_OK);
  fairspell_text_free(&json);
  fairspell_season_free(&season);
  fairspell_risk_free(&risk);
  fairspell_record_free(&record);
}

static void bytes(const struct handles *h, struct options *p) {
  static const char *const hostile[] = {
      "", "\n", "{", "[[[[[[[[", "time,temperature_f\n2027-03-08T00:00Z,x\n", "\x1f\x8b\x08garbage", "date,tmin_f\n,\n",
      "time\xff,temperature_f\n", "station,date,tmin_f\nA,2027-01-01,1\nB,2027-01-01,1\nA,2027-01-02,1\n",
      "{\"type\":\"Feature\",\"properties\":{}}", "\xef\xbb\xbf", "name = 3\n[", "date,tmin_f\n2027-01-01,1\n9999-12-31,2\n"};
  for (size_t i = 0; i < sizeof hostile / sizeof hostile[0]; i++) {
    const size_t length = strlen(hostile[i]);
    fairspell_hourly *hours = NULL;
    fairspell_record *record = NULL;
    fairspell_past *past = NULL;
    fairspell_operation *operation = NULL;
    fairspell_site *site = NULL;
    fairspell_log *log = NULL;
    fairspell_forecasts *forecasts = NULL;
    fairspell_plants *plants = NULL;
    IS(fairspell_hourly_read("f", hostile[i], length, h->site, &hours) == FAIRSPELL_INPUT && hours == NULL);
    IS(fairspell_operation_read("f", hostile[i], length, &operation) == FAIRSPELL_INPUT && operation == NULL);
    IS(fairspell_past_read("f", hostile[i], length, h->site, &past) == FAIRSPELL_INPUT && past == NULL);
    fairspell_record_read("f", hostile[i], length, NULL, &p->record, sizeof p->record, &record);
    fairspell_site_read("f", hostile[i], length, &site);
    fairspell_log_read("f", hostile[i], length, NULL, &log);
    IS(fairspell_forecasts_read("f", hostile[i], length, h->site, &forecasts) == FAIRSPELL_INPUT && forecasts == NULL);
    fairspell_plants_read("f", hostile[i], length, &plants);
    fairspell_record_free(&record);
    fairspell_site_free(&site);
    fairspell_log_free(&log);
    fairspell_plants_free(&plants);
  }
}

static void places(const struct handles *h) {
  static const char text[] = "time,temperature_f,rain_in\n2027-03-08T00:00Z,50,0\n2027-03-08T01:00Z,5O,0\n";
  fairspell_hourly *hours = NULL;
  uint64_t line = 0;
  uint64_t column = 0;
  char words[256];
  size_t needed;
  IS(fairspell_hourly_read("week.csv", text, sizeof text - 1, h->site, &hours) == FAIRSPELL_INPUT);
  IS(fairspell_last_error_place(&line, &column) == FAIRSPELL_OK && line == 3 && column == 19);
  IS(fairspell_last_error(words, sizeof words, &needed) == FAIRSPELL_OK);
  IS(strstr(words, "week.csv:3:19: expected ") == words && strstr(words, "found \"5O\"") != NULL);
  IS(needed == strlen(words) + 1);
}

static void many(const struct handles *h, struct options *p) {
  const fairspell_record *records[3] = {h->record, NULL, h->record};
  const fairspell_hourly *forecasts[3] = {h->hourly, h->hourly, NULL};
  const fairspell_site *sites[3] = {h->site, NULL, h->site};
  const int64_t at[3] = {NOW, NOW, MONDAY};
  fairspell_risk *risks[3];
  fairspell_decision *decisions[3];
  fairspell_status statuses[3];
  fairspell_text *alone = NULL;
  fairspell_text *together = NULL;
  const char *a;
  const char *b;
  size_t n;
  const void *other = h->text;
  IS(fairspell_freeze_many(records, 3, &p->freeze, sizeof p->freeze, risks, statuses) == FAIRSPELL_OK);
  IS(statuses[0] == FAIRSPELL_OK && statuses[1] == FAIRSPELL_NULL && statuses[2] == FAIRSPELL_OK);
  IS(risks[0] != NULL && risks[1] == NULL && risks[2] != NULL);
  IS(fairspell_json(h->risk, &alone) == FAIRSPELL_OK && fairspell_json(risks[2], &together) == FAIRSPELL_OK);
  IS(fairspell_text_data(alone, &a, &n) == FAIRSPELL_OK && fairspell_text_data(together, &b, &n) == FAIRSPELL_OK);
  IS(strcmp(a, b) == 0 && n == strlen(b));
  fairspell_text_free(&alone);
  fairspell_text_free(&together);
  records[1] = other;
  for (int i = 0; i < 3; i++) {
    fairspell_risk_free(&risks[i]);
  }
  IS(fairspell_freeze_many(records, 2, &p->freeze, sizeof p->freeze, risks, statuses) == FAIRSPELL_OK);
  IS(statuses[1] == FAIRSPELL_KIND && risks[1] == NULL);
  fairspell_risk_free(&risks[0]);
  IS(fairspell_decide_many(forecasts, sites, at, 3, h->operation, &p->decide, sizeof p->decide, decisions, statuses) ==
     FAIRSPELL_OK);
  IS(statuses[0] == FAIRSPELL_OK && statuses[1] == FAIRSPELL_NULL && statuses[2] == FAIRSPELL_NULL);
  IS(decisions[0] != NULL && decisions[1] == NULL && decisions[2] == NULL);
  fairspell_decision_free(&decisions[0]);
}

int main(void) {
  static struct inputs in;
  struct handles h;
  struct options p;
  char words[8];
  size_t needed;
  IS(fairspell_last_error(words, sizeof words, &needed) == FAIRSPELL_OK && needed == 1); /* none yet */
  make_inputs(&in);
  make_handles(&h, &in, &p);
  freed_twice(&in);
  inside_options(&h, &p);
  make_options(&p, &h);
  small_buffers(&h, &p);
  columns(&h, &in);
  nothing_known(&h, &p, &in);
  bytes(&h, &p);
  places(&h);
  many(&h, &p);
  free_handles(&h);
  free_inputs(&in);
  printf("%u checks, %u wrong\n", checks, wrong);
  return wrong > 0;
}
