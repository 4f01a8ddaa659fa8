/* The risk that a freeze still comes on a date or later, from a station's record, at four thresholds.
 *
 *   risk_of_a_date RECORD YEAR MONTH DAY */
#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include <fairspell.h>

#define MOST_BYTES (64u * 1024u * 1024u)

/* Midnight UTC of a date in seconds since 1970: days of whole years, months and days of the Gregorian calendar. */
static int64_t midnight(int year, int month, int day) {
  static const int before[] = {0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334};
  const int is_leap = (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
  const int64_t past = (int64_t)year - 1;
  const int64_t days = past * 365 + past / 4 - past / 100 + past / 400 + before[month - 1] + (month > 2 && is_leap) + day - 1;
  return (days - 719162) * 86400; /* days from 1 January of the year 1 to 1 January 1970 */
}

static int failed(fairspell_status status) {
  char words[1024];
  size_t needed;
  if (status == FAIRSPELL_OK) {
    return 0;
  }
  if (fairspell_last_error(words, sizeof words, &needed) == FAIRSPELL_OK) {
    fprintf(stderr, "%s\n", words);
  }
  return 1;
}

static void print_threshold(const fairspell_risk *risk, size_t threshold, int64_t date) {
  fairspell_half spring;
  fairspell_day_risk on;
  uint32_t day;
  if (failed(fairspell_risk_half(risk, threshold, FAIRSPELL_SPRING, &spring, sizeof spring))) {
    return;
  }
  printf("%g F: %" PRIu32 " of %" PRIu32 " years with a freeze", spring.threshold, spring.freeze_years, spring.valid_years);
  switch (fairspell_risk_on(risk, threshold, FAIRSPELL_SPRING, date, &on, sizeof on)) {
  case FAIRSPELL_OK:
    printf(", risk %.17g", on.probability);
    break;
  case FAIRSPELL_ABSENT:
    printf(", no risk is known on that date");
    break;
  default:
    printf(", an error");
    break;
  }
  if (fairspell_risk_day_of(risk, threshold, FAIRSPELL_SPRING, 0.1, &day) == FAIRSPELL_OK) {
    printf(", at most one in ten from day %" PRIu32 " of the year on", day);
  }
  printf("\n");
}

int main(int argc, char **argv) {
  fairspell_record *record = NULL;
  fairspell_risk *risk = NULL;
  fairspell_text *notices = NULL;
  fairspell_record_options how;
  fairspell_freeze_options options;
  size_t length;
  size_t thresholds = 0;
  int64_t date;
  int wrong;
  FILE *file;
  char *bytes;
  if (argc != 5 || atoi(argv[3]) < 1 || atoi(argv[3]) > 12) {
    fprintf(stderr, "usage: risk_of_a_date RECORD YEAR MONTH DAY\n");
    return 2;
  }
  date = midnight(atoi(argv[2]), atoi(argv[3]), atoi(argv[4]));
  file = fopen(argv[1], "rb");
  bytes = malloc(MOST_BYTES);
  if (file == NULL || bytes == NULL) {
    fprintf(stderr, "%s: cannot be read\n", argv[1]);
    free(bytes);
    return 2;
  }
  length = fread(bytes, 1, MOST_BYTES, file);
  fclose(file);
  wrong = failed(fairspell_record_options_init(&how, sizeof how)) ||
          failed(fairspell_record_read(argv[1], bytes, length, NULL, &how, sizeof how, &record)) ||
          failed(fairspell_freeze_options_init(&options, sizeof options));
  free(bytes);
  options.replicates = 0; /* no intervals are shown */
  wrong = wrong || failed(fairspell_freeze(record, &options, sizeof options, &risk)) ||
          failed(fairspell_risk_thresholds(risk, &thresholds));
  for (size_t i = 0; i < thresholds; i++) {
    print_threshold(risk, i, date);
  }
  if (!wrong && !failed(fairspell_notices(risk, &notices))) {
    const char *data;
    if (!failed(fairspell_text_data(notices, &data, &length)) && length > 0) {
      printf("to be said with it:\n%s", data);
    }
  }
  fairspell_text_free(&notices);
  fairspell_risk_free(&risk);
  fairspell_record_free(&record);
  return wrong ? 2 : 0;
}
