/* Threads that read the same handles at once. Run by tests/tests/bindings/c_hostile.rs under helgrind and drd. */
#include <pthread.h>

#include "fixture.h"

#define THREADS 3

struct job {
  const struct handles *h;
  const struct options *p;
  char *answers;
  size_t length;
};

static void add(struct job *job, const void *answer) {
  fairspell_text *text = NULL;
  const char *data;
  size_t length;
  MUST(fairspell_json(answer, &text));
  MUST(fairspell_text_data(text, &data, &length));
  job->answers = realloc(job->answers, job->length + length + 1);
  if (job->answers == NULL) {
    die("memory", -1);
  }
  memcpy(job->answers + job->length, data, length + 1);
  job->length += length;
  fairspell_text_free(&text);
}

static void *work(void *of) {
  struct job *job = of;
  const struct handles *h = job->h;
  fairspell_decision *decision = NULL;
  fairspell_hindcast *hindcast = NULL;
  fairspell_hindrance hindrances[64];
  char words[256];
  size_t needed;
  add(job, h->risk);
  add(job, h->decision);
  add(job, h->hindcast);
  MUST(fairspell_decide(h->hourly, h->operation, h->site, &job->p->decide, sizeof job->p->decide, &decision));
  MUST(fairspell_decision_hindrances(decision, 20, hindrances, sizeof hindrances[0], 64, &needed));
  add(job, decision);
  MUST(fairspell_hindcast_judge(h->past, 0, h->operation, h->site, &job->p->hindcast, sizeof job->p->hindcast, &hindcast));
  add(job, hindcast);
  fairspell_decision_free(&decision);
  fairspell_hindcast_free(&hindcast);
  /* each thread has a last error of its own */
  if (fairspell_last_error(words, sizeof words, &needed) != FAIRSPELL_OK || needed != 1 ||
      fairspell_decision_free(NULL) != FAIRSPELL_NULL ||
      fairspell_last_error(words, sizeof words, &needed) != FAIRSPELL_OK || needed == 1) {
    die("last error of a thread", -1);
  }
  return NULL;
}

int main(void) {
  static struct inputs in;
  struct handles h;
  struct options p;
  struct job jobs[THREADS];
  pthread_t threads[THREADS];
  int alike = 1;
  make_inputs(&in);
  make_handles(&h, &in, &p);
  for (int i = 0; i < THREADS; i++) {
    jobs[i].h = &h;
    jobs[i].p = &p;
    jobs[i].answers = NULL;
    jobs[i].length = 0;
    if (pthread_create(&threads[i], NULL, work, &jobs[i]) != 0) {
      die("a thread", -1);
    }
  }
  for (int i = 0; i < THREADS; i++) {
    pthread_join(threads[i], NULL);
    alike = alike && jobs[i].length > 1000 && strcmp(jobs[i].answers, jobs[0].answers) == 0;
  }
  for (int i = 0; i < THREADS; i++) {
    free(jobs[i].answers);
  }
  free_handles(&h);
  free_inputs(&in);
  printf(alike ? "all alike\n" : "they differ\n");
  return !alike;
}
