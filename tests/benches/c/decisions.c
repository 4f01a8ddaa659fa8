/* Decisions a second through C on one core: a week's forecast, the built-in oil rules, no confidence. See decisions.sh. */
#define _POSIX_C_SOURCE 199309L
#include <time.h>

#include "../../c/fixture.h"

#define BATCH 2000
#define ROUNDS 5

static double now_s(void) {
  struct timespec time;
  clock_gettime(CLOCK_MONOTONIC, &time);
  return (double)time.tv_sec + 1e-9 * (double)time.tv_nsec;
}

/* The best of some rounds, one decision a call. */
static double one_by_one(const struct handles *h, const fairspell_operation *oil, const fairspell_site *site,
                         const fairspell_decide_options *options) {
  double best = 0.0;
  for (int round = 0; round < ROUNDS; round++) {
    const double start = now_s();
    for (int i = 0; i < BATCH; i++) {
      fairspell_decision *decision = NULL;
      MUST(fairspell_decide(h->hourly, oil, site, options, sizeof *options, &decision));
      fairspell_decision_free(&decision);
    }
    const double rate = BATCH / (now_s() - start);
    best = rate > best ? rate : best;
  }
  return best;
}

static double in_a_batch(const struct handles *h, const fairspell_operation *oil, const fairspell_site *site,
                         const fairspell_decide_options *options) {
  static const fairspell_hourly *forecasts[BATCH];
  static const fairspell_site *sites[BATCH];
  static int64_t at[BATCH];
  static fairspell_decision *decisions[BATCH];
  static fairspell_status statuses[BATCH];
  double best = 0.0;
  for (int i = 0; i < BATCH; i++) {
    forecasts[i] = h->hourly;
    sites[i] = site;
    at[i] = MONDAY;
  }
  for (int round = 0; round < ROUNDS; round++) {
    const double start = now_s();
    MUST(fairspell_decide_many(forecasts, sites, at, BATCH, oil, options, sizeof *options, decisions, statuses));
    for (int i = 0; i < BATCH; i++) {
      MUST(statuses[i]);
      fairspell_decision_free(&decisions[i]);
    }
    const double rate = BATCH / (now_s() - start);
    best = rate > best ? rate : best;
  }
  return best;
}

int main(void) {
  static struct inputs in;
  struct handles h;
  struct options p;
  fairspell_site *plain = NULL;
  fairspell_operation *oil = NULL;
  fairspell_decision *decision = NULL;
  fairspell_decision_facts facts;
  fairspell_decide_options options;
  make_inputs(&in);
  make_handles(&h, &in, &p);
  MUST(fairspell_site_new(42.4, -88.1, "America/Chicago", &plain));
  MUST(fairspell_operation_built_in("oil", &oil));
  MUST(fairspell_decide_options_init(&options, sizeof options, MONDAY));
  options.with_confidence = 0;
  options.with_work = 0;
  MUST(fairspell_decide(h.hourly, oil, plain, &options, sizeof options, &decision));
  MUST(fairspell_decision_about(decision, &facts, sizeof facts));
  if (facts.verdict != FAIRSPELL_NO_GO || facts.hours != 162 || facts.spells != 2) {
    die("the answer", facts.verdict);
  }
  fairspell_decision_free(&decision);
  printf("one by one, without a garden: %.0f a second\n", one_by_one(&h, oil, plain, &options));
  printf("one by one, with a garden:    %.0f a second\n", one_by_one(&h, oil, h.site, &options));
  printf("in a batch, without a garden: %.0f a second\n", in_a_batch(&h, oil, plain, &options));
  printf("in a batch, with a garden:    %.0f a second\n", in_a_batch(&h, oil, h.site, &options));
  fairspell_operation_free(&oil);
  fairspell_site_free(&plain);
  free_handles(&h);
  free_inputs(&in);
  return 0;
}
