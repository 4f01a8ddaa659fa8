/* Any bytes through every entry of the C ABI that takes a file, and questions on what could be read. It stops the program at a
 * broken promise of the header: a status that is not listed, a result beside an error, an error without words, a failed free.
 *
 * It is a fuzz target (tests/fuzz/target_c.rs calls any_bytes), and with BYTES_MAIN a program that takes the files
 * named as its arguments one by one, for valgrind: each is handed over in a block of exactly its length. */
#include <inttypes.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <fairspell.h>

#define LONGEST_HOURS 400 /* more only takes longer */
#define LONGEST_ERROR 700 /* as in tests/src/targets.rs */

int any_bytes(const uint8_t *bytes, size_t length);

static void broken(const char *what) {
  char words[1024] = "";
  size_t needed;
  fairspell_last_error(words, sizeof words, &needed);
  fprintf(stderr, "broken promise: %s: %s\n", what, words);
  abort();
}

#define HOLDS(what)                                                                                                    \
  do {                                                                                                                 \
    if (!(what)) {                                                                                                     \
      broken(#what);                                                                                                   \
    }                                                                                                                  \
  } while (0)

/* What is true of a status and the handle beside it; whether there is one. */
static int told(fairspell_status status, const void *handle) {
  char words[1024];
  size_t needed = 0;
  if (status == FAIRSPELL_OK) {
    HOLDS(handle != NULL);
    return 1;
  }
  HOLDS(handle == NULL);
  HOLDS(status == FAIRSPELL_INPUT || status == FAIRSPELL_RANGE || status == FAIRSPELL_QUESTION);
  HOLDS(fairspell_last_error(words, sizeof words, &needed) == FAIRSPELL_OK);
  HOLDS(needed > 1 && needed <= LONGEST_ERROR && strlen(words) + 1 == needed);
  for (const char *at = words; *at != '\0'; at++) {
    HOLDS((unsigned char)*at >= 0x20 && (unsigned char)*at != 0x7f);
  }
  return 0;
}

/* The same of a call, which is made before its handle is looked at. */
static fairspell_status heard;
#define TOLD(call, handle) (heard = (call), told(heard, handle))

/* An answer as JSON: one line, one object. */
static void written(const void *answer) {
  fairspell_text *text = NULL;
  const char *data = NULL;
  size_t length = 0;
  HOLDS(fairspell_json(answer, &text) == FAIRSPELL_OK);
  HOLDS(fairspell_text_data(text, &data, &length) == FAIRSPELL_OK);
  HOLDS(length > 2 && strlen(data) == length && data[0] == '{' && data[length - 1] == '}');
  HOLDS(memchr(data, '\n', length) == NULL);
  HOLDS(fairspell_text_free(&text) == FAIRSPELL_OK && text == NULL);
}

static fairspell_site *place(void) {
  fairspell_site *site = NULL;
  HOLDS(fairspell_site_new(42.4, -88.1, "America/Chicago", &site) == FAIRSPELL_OK);
  return site;
}

static fairspell_operation *oil(void) {
  fairspell_operation *operation = NULL;
  HOLDS(fairspell_operation_built_in("oil", &operation) == FAIRSPELL_OK);
  return operation;
}

/* Two good days. */
static fairspell_hourly *two_days(void) {
  int64_t times[48];
  double temperature[48], rain[48];
  fairspell_column columns[2];
  fairspell_hourly *hours = NULL;
  memset(columns, 0, sizeof columns);
  for (int hour = 0; hour < 48; hour++) {
    times[hour] = INT64_C(1804507200) + 3600 * (int64_t)hour;
    temperature[hour] = 50.0;
    rain[hour] = 0.0;
  }
  columns[0].values = temperature;
  columns[0].measure = FAIRSPELL_TEMPERATURE;
  columns[0].unit = FAIRSPELL_FAHRENHEIT;
  columns[1].values = rain;
  columns[1].measure = FAIRSPELL_RAIN;
  columns[1].unit = FAIRSPELL_INCH;
  HOLDS(fairspell_hourly_new(times, 48, columns, 2, sizeof columns[0], FAIRSPELL_NO_TIME, &hours) == FAIRSPELL_OK);
  return hours;
}

static void decided(const fairspell_hourly *hours, const fairspell_operation *operation, const fairspell_site *site) {
  fairspell_hourly_facts facts;
  fairspell_decide_options options;
  fairspell_decision *decision = NULL;
  memset(&facts, 0, sizeof facts);
  HOLDS(fairspell_hourly_about(hours, &facts, sizeof facts) == FAIRSPELL_OK);
  if (facts.hours > LONGEST_HOURS) {
    return;
  }
  HOLDS(fairspell_decide_options_init(&options, sizeof options, facts.start) == FAIRSPELL_OK);
  options.explain = FAIRSPELL_EXPLAIN_NOTHING;
  if (TOLD(fairspell_decide(hours, operation, site, &options, sizeof options, &decision), decision)) {
    written(decision);
    HOLDS(fairspell_decision_free(&decision) == FAIRSPELL_OK && decision == NULL);
  }
}

static void records(const uint8_t *bytes, size_t length) {
  fairspell_record_options reading;
  fairspell_freeze_options asked;
  fairspell_records *all = NULL;
  fairspell_record *record = NULL;
  fairspell_risk *risk = NULL;
  size_t count = 0;
  HOLDS(fairspell_record_options_init(&reading, sizeof reading) == FAIRSPELL_OK);
  HOLDS(fairspell_freeze_options_init(&asked, sizeof asked) == FAIRSPELL_OK);
  asked.replicates = 0;
  if (TOLD(fairspell_record_read("a.csv", bytes, length, NULL, &reading, sizeof reading, &record), record)) {
    HOLDS(fairspell_record_free(&record) == FAIRSPELL_OK && record == NULL);
  }
  reading.summary_units = FAIRSPELL_SUMMARIES_US;
  if (!TOLD(fairspell_records_read("a.csv", bytes, length, &reading, sizeof reading, &all), all)) {
    return;
  }
  HOLDS(fairspell_records_count(all, &count) == FAIRSPELL_OK);
  for (size_t index = 0; index < count && index < 3; index++) {
    HOLDS(fairspell_records_take(all, index, &record) == FAIRSPELL_OK);
    HOLDS(fairspell_freeze(record, &asked, sizeof asked, &risk) == FAIRSPELL_OK);
    written(risk);
    HOLDS(fairspell_risk_free(&risk) == FAIRSPELL_OK);
    HOLDS(fairspell_record_free(&record) == FAIRSPELL_OK);
  }
  HOLDS(fairspell_records_take(all, count, &record) == FAIRSPELL_RANGE && record == NULL);
  HOLDS(fairspell_records_free(&all) == FAIRSPELL_OK && all == NULL);
}

static void hourly(const uint8_t *bytes, size_t length, const fairspell_site *site, const fairspell_operation *operation) {
  fairspell_hourly *hours = NULL;
  fairspell_forecasts *forecasts = NULL;
  if (TOLD(fairspell_hourly_read("a.csv", bytes, length, NULL, &hours), hours)) {
    HOLDS(fairspell_hourly_free(&hours) == FAIRSPELL_OK);
  }
  if (TOLD(fairspell_hourly_read("a.csv", bytes, length, site, &hours), hours)) {
    decided(hours, operation, site);
    HOLDS(fairspell_hourly_free(&hours) == FAIRSPELL_OK && hours == NULL);
  }
  if (TOLD(fairspell_forecasts_read("a.csv", bytes, length, site, &forecasts), forecasts)) {
    HOLDS(fairspell_forecasts_free(&forecasts) == FAIRSPELL_OK && forecasts == NULL);
  }
}

static void past(const uint8_t *bytes, size_t length, const fairspell_site *site, const fairspell_operation *operation) {
  fairspell_past *hours = NULL;
  fairspell_log *log = NULL;
  fairspell_hindcast *hindcast = NULL;
  fairspell_hindcast_options options;
  size_t count = 0, needed = 0;
  char name[8];
  HOLDS(fairspell_hindcast_options_init(&options, sizeof options) == FAIRSPELL_OK);
  if (TOLD(fairspell_log_read("a.csv", bytes, length, site, &log), log)) {
    options.log = log;
  }
  if (TOLD(fairspell_past_read("a.csv", bytes, length, site, &hours), hours)) {
    HOLDS(fairspell_past_count(hours, &count) == FAIRSPELL_OK);
    if (count > 0 && length < 20000) { /* a year of hours is a few files long, a gap of 150 years takes long */
      const fairspell_status status = fairspell_past_station(hours, 0, name, sizeof name, &needed);
      HOLDS(needed > 0 && (status == FAIRSPELL_OK) == (needed <= sizeof name));
      if (TOLD(fairspell_hindcast_judge(hours, 0, operation, site, &options, sizeof options, &hindcast), hindcast)) {
        written(hindcast);
        HOLDS(fairspell_hindcast_free(&hindcast) == FAIRSPELL_OK);
      }
    }
    HOLDS(fairspell_past_free(&hours) == FAIRSPELL_OK && hours == NULL);
  }
  HOLDS(fairspell_log_free(&log) == FAIRSPELL_OK && log == NULL);
}

static void tables(const uint8_t *bytes, size_t length, const fairspell_site *site, const fairspell_operation *operation) {
  fairspell_operation *own = NULL;
  fairspell_site *other = NULL;
  fairspell_plants *plants = NULL;
  fairspell_hourly *hours = two_days();
  if (TOLD(fairspell_operation_read("a.toml", bytes, length, &own), own)) {
    decided(hours, own, site);
    HOLDS(fairspell_operation_free(&own) == FAIRSPELL_OK && own == NULL);
  }
  if (TOLD(fairspell_site_read("a.toml", bytes, length, &other), other)) {
    decided(hours, operation, other);
    HOLDS(fairspell_site_free(&other) == FAIRSPELL_OK && other == NULL);
  }
  if (TOLD(fairspell_plants_read("a.toml", bytes, length, &plants), plants)) {
    HOLDS(fairspell_plants_free(&plants) == FAIRSPELL_OK && plants == NULL);
  }
  HOLDS(fairspell_hourly_free(&hours) == FAIRSPELL_OK);
}

int any_bytes(const uint8_t *bytes, size_t length) {
  fairspell_site *site = place();
  fairspell_operation *operation = oil();
  records(bytes, length);
  hourly(bytes, length, site, operation);
  past(bytes, length, site, operation);
  tables(bytes, length, site, operation);
  HOLDS(fairspell_operation_free(&operation) == FAIRSPELL_OK);
  HOLDS(fairspell_site_free(&site) == FAIRSPELL_OK);
  return 0;
}

#ifdef BYTES_MAIN
int main(int argc, char **argv) {
  for (int argument = 1; argument < argc; argument++) {
    FILE *file = fopen(argv[argument], "rb");
    long length = -1;
    if (file == NULL || fseek(file, 0, SEEK_END) != 0 || (length = ftell(file)) < 0 || fseek(file, 0, SEEK_SET) != 0) {
      fprintf(stderr, "cannot read %s\n", argv[argument]);
      return 2;
    }
    uint8_t *bytes = malloc(length > 0 ? (size_t)length : 1);
    if (bytes == NULL || fread(bytes, 1, (size_t)length, file) != (size_t)length) {
      fprintf(stderr, "cannot read %s\n", argv[argument]);
      return 2;
    }
    fclose(file);
    any_bytes(bytes, (size_t)length);
    free(bytes);
  }
  printf("%d files\n", argc - 1);
  return 0;
}
#endif
