/* The morning check of a garden program: may dormant oil be sprayed today, in which hours, how sure is it, and if not, why?
 *
 *   morning_check FORECAST OBSERVED SITE STATION NOW
 *
 * NOW is in seconds since 1970 UTC. It ends with 0 on go, 1 on no-go, 3 where it cannot be told, 2 on an error. */
#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include <fairspell.h>

#define MOST_BYTES (64u * 1024u * 1024u)

/* All of a file; NULL and a word on standard error where it cannot be read. */
static char *read_file(const char *name, size_t *length) {
  FILE *file = fopen(name, "rb");
  char *bytes = malloc(MOST_BYTES);
  *length = 0;
  if (file != NULL && bytes != NULL) {
    *length = fread(bytes, 1, MOST_BYTES, file);
  }
  if (file == NULL || bytes == NULL || ferror(file)) {
    fprintf(stderr, "%s: cannot be read\n", name);
    free(bytes);
    bytes = NULL;
  }
  if (file != NULL) {
    fclose(file);
  }
  return bytes;
}

/* Says why a call did not end well; 1 if it did not. */
static int failed(fairspell_status status) {
  char words[1024];
  size_t needed;
  if (status == FAIRSPELL_OK) {
    return 0;
  }
  if (fairspell_last_error(words, sizeof words, &needed) == FAIRSPELL_OK) {
    fprintf(stderr, "%s\n", words);
  } else {
    fprintf(stderr, "status %" PRId32 "\n", status);
  }
  return 1;
}

static void print_text(const char *title, fairspell_text **text) {
  const char *data;
  size_t length;
  if (fairspell_text_data(*text, &data, &length) == FAIRSPELL_OK && length > 0) {
    printf("%s\n%s", title, data);
  }
  fairspell_text_free(text);
}

/* What the caller holds; each handle is freed at the end, whatever happened. */
struct garden {
  fairspell_site *site;
  fairspell_operation *oil;
  fairspell_hourly *forecast;
  fairspell_hourly *observed;
  fairspell_hourly *both;
  fairspell_record *station;
  fairspell_decision *decision;
};

static int read_all(struct garden *garden, char **names) {
  char *bytes[4] = {NULL, NULL, NULL, NULL};
  size_t lengths[4];
  fairspell_record_options options;
  int wrong = 0;
  for (int i = 0; i < 4; i++) {
    bytes[i] = read_file(names[i], &lengths[i]);
    wrong |= bytes[i] == NULL;
  }
  wrong = wrong || failed(fairspell_site_read(names[2], bytes[2], lengths[2], &garden->site)) ||
          failed(fairspell_operation_built_in("oil", &garden->oil)) ||
          failed(fairspell_hourly_read(names[0], bytes[0], lengths[0], garden->site, &garden->forecast)) ||
          failed(fairspell_hourly_read(names[1], bytes[1], lengths[1], garden->site, &garden->observed)) ||
          failed(fairspell_hourly_with_observed(garden->forecast, garden->observed, &garden->both)) ||
          failed(fairspell_record_options_init(&options, sizeof options)) ||
          failed(fairspell_record_read(names[3], bytes[3], lengths[3], NULL, &options, sizeof options, &garden->station));
  for (int i = 0; i < 4; i++) {
    free(bytes[i]); /* nothing that was read points into them */
  }
  return wrong;
}

static void print_spells(const struct garden *garden) {
  fairspell_spell spells[16];
  size_t count = 0;
  if (failed(fairspell_decision_spells(garden->decision, spells, sizeof spells[0], 16, &count))) {
    return;
  }
  for (size_t i = 0; i < count; i++) {
    printf("spell %" PRId64 " to %" PRId64 ", %" PRId64 " h, best from %" PRId64, spells[i].start, spells[i].end,
           (spells[i].end - spells[i].start) / 3600, spells[i].best_start);
    if (isnan(spells[i].confidence)) {
      printf(", confidence not known\n");
    } else {
      printf(", confidence %.2f\n", spells[i].confidence);
    }
  }
}

static void print_hours(const struct garden *garden) {
  int64_t times[512];
  int32_t states[512];
  size_t count = 0;
  size_t fair = 0;
  fairspell_hindrance hindrances[64];
  size_t hindering = 0;
  if (failed(fairspell_decision_hours(garden->decision, times, states, 512, &count)) || count == 0) {
    return;
  }
  for (size_t i = 0; i < count; i++) {
    fair += states[i] == FAIRSPELL_FAIR;
  }
  printf("%zu of %zu hours are fair\n", fair, count);
  if (failed(fairspell_decision_hindrances(garden->decision, 0, hindrances, sizeof hindrances[0], 64, &hindering))) {
    return;
  }
  for (size_t i = 0; i < hindering; i++) {
    char name[128];
    size_t needed;
    if (!hindrances[i].is_caution &&
        !failed(fairspell_decision_rule_name(garden->decision, hindrances[i].rule, name, sizeof name, &needed))) {
      printf("now: %s, value %g, limit %g\n", name, hindrances[i].value, hindrances[i].limit);
    }
  }
}

static int check(struct garden *garden, int64_t now) {
  static const char *const verdicts[] = {"?", "GO", "NO-GO", "CANNOT TELL"};
  static const int exits[] = {2, 0, 1, 3};
  fairspell_decide_options options;
  fairspell_decision_facts facts;
  fairspell_wait wait;
  fairspell_text *text = NULL;
  if (failed(fairspell_decide_options_init(&options, sizeof options, now))) {
    return 2;
  }
  options.record = garden->station;
  if (failed(fairspell_decide(garden->both, garden->oil, garden->site, &options, sizeof options, &garden->decision)) ||
      failed(fairspell_decision_about(garden->decision, &facts, sizeof facts))) {
    return 2;
  }
  printf("%s\n", verdicts[facts.verdict]);
  if (!failed(fairspell_decision_reasons(garden->decision, &text))) {
    print_text("why:", &text);
  }
  print_spells(garden);
  print_hours(garden);
  if (fairspell_decision_wait(garden->decision, &wait, sizeof wait) == FAIRSPELL_OK) {
    printf("a usable day will still come with a chance of %.2f\n", wait.later);
  }
  if (!failed(fairspell_decision_cautions(garden->decision, &text))) {
    print_text("with every answer:", &text);
  }
  return exits[facts.verdict];
}

int main(int argc, char **argv) {
  struct garden garden = {NULL, NULL, NULL, NULL, NULL, NULL, NULL};
  int result = 2;
  if (argc != 6) {
    fprintf(stderr, "usage: morning_check FORECAST OBSERVED SITE STATION NOW\n");
    return 2;
  }
  if (fairspell_abi_version() / 1000 != FAIRSPELL_ABI_VERSION / 1000) {
    fprintf(stderr, "built for another library\n");
    return 2;
  }
  if (!read_all(&garden, argv + 1)) {
    result = check(&garden, (int64_t)strtoll(argv[5], NULL, 10));
  }
  fairspell_decision_free(&garden.decision);
  fairspell_record_free(&garden.station);
  fairspell_hourly_free(&garden.both);
  fairspell_hourly_free(&garden.observed);
  fairspell_hourly_free(&garden.forecast);
  fairspell_operation_free(&garden.oil);
  fairspell_site_free(&garden.site);
  return result;
}
