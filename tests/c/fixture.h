/* One handle of every kind, from the demo's files in the working folder, for the checks on the C ABI. */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <fairspell.h>

#define NOW INT64_C(1804528800) /* Monday 8 March 2027, 12:00 -06:00: a go for pruning, by the README */
#define MONDAY INT64_C(1804507200) /* the same day, 06:00: a no-go for oil, with two spells to come, by data/demo/README.md */
#define DATE INT64_C(1807315200) /* 10 April 2027, midnight UTC */
#define DAYS 800
#define HOURS 72

static void die(const char *what, int32_t status) {
  char words[1024] = "";
  size_t needed;
  fairspell_last_error(words, sizeof words, &needed);
  printf("broken fixture: %s: status %" PRId32 ": %s\n", what, status, words);
  exit(70);
}

#define MUST(call)                                                                                                     \
  do {                                                                                                                 \
    const fairspell_status must_ = (call);                                                                             \
    if (must_ != FAIRSPELL_OK) {                                                                                       \
      die(#call, must_);                                                                                               \
    }                                                                                                                  \
  } while (0)

struct file {
  char *bytes;
  size_t length;
};

static struct file file_of(const char *name) {
  struct file file = {NULL, 0};
  FILE *open = fopen(name, "rb");
  file.bytes = malloc(1u << 22);
  if (open == NULL || file.bytes == NULL) {
    die(name, -1);
  }
  file.length = fread(file.bytes, 1, 1u << 22, open);
  fclose(open);
  return file;
}

struct handles {
  fairspell_text *text;
  fairspell_site *site;
  fairspell_plants *plants;
  fairspell_record *record;
  fairspell_records *records;
  fairspell_hourly *hourly;
  fairspell_hourly *observed;
  fairspell_operation *operation;
  fairspell_risk *risk;
  fairspell_decision *decision;
  fairspell_season *season;
  fairspell_past *past;
  fairspell_log *log;
  fairspell_forecasts *forecasts;
  fairspell_hindcast *hindcast;
};

struct options {
  fairspell_record_options record;
  fairspell_freeze_options freeze;
  fairspell_decide_options decide;
  fairspell_season_options season;
  fairspell_hindcast_options hindcast;
};

struct inputs {
  struct file site;
  struct file plants;
  struct file record;
  struct file hourly;
  struct file observed;
  struct file operation;
  struct file log;
  double tmin[DAYS];
  double tmax[DAYS];
  int64_t times[HOURS];
  double temperature[HOURS];
  double rain[HOURS];
  fairspell_column columns[2];
  int64_t at[2];
};

static void make_inputs(struct inputs *in) {
  in->site = file_of("site.toml");
  in->plants = file_of("../plants.toml");
  in->record = file_of("station.csv");
  in->hourly = file_of("forecast.csv");
  in->observed = file_of("observed.csv");
  in->operation = file_of("../operations/oil.toml");
  in->log = file_of("done.csv");
  for (int day = 0; day < DAYS; day++) {
    in->tmin[day] = day % 90 == 3 ? (double)NAN : 20.0 + (double)(day % 40);
    in->tmax[day] = in->tmin[day] + 15.0;
  }
  for (int hour = 0; hour < HOURS; hour++) {
    in->times[hour] = MONDAY + 3600 * (int64_t)hour;
    in->temperature[hour] = 45.0 + (double)(hour % 10);
    in->rain[hour] = 0.0;
  }
  in->columns[0].values = in->temperature;
  in->columns[0].measure = FAIRSPELL_TEMPERATURE;
  in->columns[0].unit = FAIRSPELL_FAHRENHEIT;
  in->columns[1].values = in->rain;
  in->columns[1].measure = FAIRSPELL_RAIN;
  in->columns[1].unit = FAIRSPELL_INCH;
  in->at[0] = NOW;
  in->at[1] = MONDAY;
}

static void free_inputs(struct inputs *in) {
  free(in->site.bytes);
  free(in->plants.bytes);
  free(in->record.bytes);
  free(in->hourly.bytes);
  free(in->observed.bytes);
  free(in->operation.bytes);
  free(in->log.bytes);
}

/* Defaults, with what makes every accessor have something to give, and no bootstrap, which would take long under valgrind. */
static void make_options(struct options *p, const struct handles *h) {
  MUST(fairspell_record_options_init(&p->record, sizeof p->record));
  MUST(fairspell_freeze_options_init(&p->freeze, sizeof p->freeze));
  MUST(fairspell_decide_options_init(&p->decide, sizeof p->decide, NOW));
  MUST(fairspell_season_options_init(&p->season, sizeof p->season, 2027));
  MUST(fairspell_hindcast_options_init(&p->hindcast, sizeof p->hindcast));
  p->freeze.replicates = 0;
  p->season.replicates = 0;
  p->decide.with_confidence = 0;
  p->decide.with_work = 0;
  p->decide.explain = FAIRSPELL_EXPLAIN_BEST;
  p->hindcast.log = h->log;
  p->hindcast.forecasts = h->forecasts;
}

static void make_handles(struct handles *h, const struct inputs *in, struct options *p) {
  fairspell_operation *oil = NULL;
  memset(h, 0, sizeof *h);
  MUST(fairspell_site_read("site.toml", in->site.bytes, in->site.length, &h->site));
  MUST(fairspell_log_read("done.csv", in->log.bytes, in->log.length, h->site, &h->log));
  MUST(fairspell_forecasts_read("forecast.csv", in->hourly.bytes, in->hourly.length, h->site, &h->forecasts));
  make_options(p, h);
  MUST(fairspell_plants_read("plants.toml", in->plants.bytes, in->plants.length, &h->plants));
  MUST(fairspell_record_read("station.csv", in->record.bytes, in->record.length, NULL, &p->record, sizeof p->record,
                             &h->record));
  MUST(fairspell_records_read("station.csv", in->record.bytes, in->record.length, &p->record, sizeof p->record,
                              &h->records));
  MUST(fairspell_hourly_read("forecast.csv", in->hourly.bytes, in->hourly.length, h->site, &h->hourly));
  MUST(fairspell_hourly_read("observed.csv", in->observed.bytes, in->observed.length, h->site, &h->observed));
  MUST(fairspell_operation_built_in("prune", &h->operation));
  MUST(fairspell_freeze(h->record, &p->freeze, sizeof p->freeze, &h->risk));
  p->decide.record = h->record;
  MUST(fairspell_decide(h->hourly, h->operation, h->site, &p->decide, sizeof p->decide, &h->decision));
  p->decide.record = NULL;
  MUST(fairspell_season_plan(h->record, h->site, &p->season, sizeof p->season, &h->season));
  MUST(fairspell_past_read("forecast.csv", in->hourly.bytes, in->hourly.length, h->site, &h->past));
  MUST(fairspell_operation_built_in("oil", &oil)); /* what the log speaks of */
  MUST(fairspell_hindcast_judge(h->past, 0, oil, h->site, &p->hindcast, sizeof p->hindcast, &h->hindcast));
  fairspell_operation_free(&oil);
  MUST(fairspell_json(h->decision, &h->text));
}

static void free_handles(struct handles *h) {
  fairspell_text_free(&h->text);
  fairspell_site_free(&h->site);
  fairspell_plants_free(&h->plants);
  fairspell_record_free(&h->record);
  fairspell_records_free(&h->records);
  fairspell_hourly_free(&h->hourly);
  fairspell_hourly_free(&h->observed);
  fairspell_operation_free(&h->operation);
  fairspell_risk_free(&h->risk);
  fairspell_decision_free(&h->decision);
  fairspell_season_free(&h->season);
  fairspell_past_free(&h->past);
  fairspell_log_free(&h->log);
  fairspell_forecasts_free(&h->forecasts);
  fairspell_hindcast_free(&h->hindcast);
}
