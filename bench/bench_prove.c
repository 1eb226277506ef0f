// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Proving: 48 lines told good one after the other by phantom and lamp, each time from the facts to
  the next screen; the whole answer with the best order, on the demo and on a festival of 8 acts on
  192 lines at three desks after a pass over all of them. The best of three runs.
*/
#include "base/text.h"
#include "day/proof.h"
#include "day/round.h"
#include "stage/lists.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { N_ACTS = 8, N_LINES = 192, N_RUNS = 3, MAX_FACTS = 256, MAX_LISTS = 32 };

static double
now_ms(void) // Of this process: other work on the machine does not count
{
  struct timespec t;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec * 1e3 + (double)t.tv_nsec / 1e6;
}

static void
must(bool good, const char* what)
{
  if (!good) {
    (void)fprintf(stderr, "bench_prove: %s\n", what);
    exit(1);
  }
}

typedef struct {
  Arena arena;
  const Plant* plant;
  Fact facts[MAX_FACTS];
  size_t n;
} Log;

static void
tell(Log* log, FactKind kind, const FactBody* body)
{
  Fact* const fact = &log->facts[log->n];
  must(log->n < MAX_FACTS && fact_make(&log->arena, kind, body, "2031-06-14T10:00:00Z", "", "",
                                       fact, NULL) == STATUS_OK,
       "a fact");
  fact->seq = (int64_t)++log->n;
}

// Where the pass stands, from the facts on.
static void
stand(Arena* arena, const Log* log, int act, bool is_whole, Prove* prove)
{
  const ProveAsk ask = {.box = -1, .line = -1};
  const RoundAsk about = {0, false, NULL, 0};
  Fold fold;
  Situation* s = NULL;
  Round round;
  must(fold_make(arena, log->facts, log->n, &fold, NULL) == STATUS_OK, "no fold");
  must(situation_new(arena, log->plant, act, &fold, &s) == STATUS_OK, "no situation");
  must(prove_now(s, &fold, arena, &ask, prove) == STATUS_OK, "no pass");
  must(!is_whole || round_plan(s, prove, arena, &about, &round) == STATUS_OK, "no order");
}

static void
measure(const char* name, const Log* log, int act)
{
  double best_ms = 1e9;
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    Prove prove;
    arena_init(&arena, NULL);
    const double start_ms = now_ms();
    stand(&arena, log, act, true, &prove);
    const double took_ms = now_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
    arena_deinit(&arena);
  }
  printf("figure: prove_%s_ms %.3f ms\n", name, best_ms);
}

// Every line good, its facts folded and its screen made anew for each.
static void
entry(Log* log)
{
  const FactBody begun = {.how = "lamp", .act = ""};
  const double start_ms = now_ms();
  int n = 0;
  tell(log, FACT_PASS_BEGUN, &begun);
  for (;; ++n) {
    Arena arena;
    Prove prove;
    arena_init(&arena, NULL);
    stand(&arena, log, -1, false, &prove);
    if (prove.at >= 0) {
      const ProveFact* const good = &prove.lines[prove.at].good;
      const FactBody body = {.line = good->line,
                             .check = "lamps",
                             .reading = arena_copy(&log->arena, good->reading),
                             .at = "socket",
                             .act = ""};
      tell(log, FACT_READING, &body);
    }
    arena_deinit(&arena);
    if (prove.at < 0) {
      break;
    }
  }
  must(n == log->plant->n_lines, "not every line was told good");
  printf("figure: prove_line_ms %.3f ms\n", (now_ms() - start_ms) / n);
  printf("figure: prove_lines %d lines\n", n);
}

static void
demo(void)
{
  enum { ROOM = 1 << 17 };
  ListText lists[MAX_LISTS];
  int n = 0;
  Plant plant;
  Log* const log = calloc(1, sizeof(Log));
  DIR* const folder = opendir("demo");
  must(log && folder, "start it where the folder demo is");
  arena_init(&log->arena, NULL);
  for (struct dirent* e = readdir(folder); e && n < MAX_LISTS; e = readdir(folder)) {
    const size_t length = strlen(e->d_name);
    if (length < 5 || strcmp(e->d_name + length - 4, ".csv") != 0) {
      continue;
    }
    const char* const path = arena_format(&log->arena, "demo/%s", e->d_name);
    FILE* const file = path ? fopen(path, "rb") : NULL;
    char* const bytes = arena_array(&log->arena, ROOM, 1);
    if (!file || !bytes) {
      must(false, "a list of the demo");
      break;
    }
    lists[n].name = arena_copy(&log->arena, e->d_name);
    lists[n].bytes = bytes;
    lists[n++].n_bytes = fread(bytes, 1, ROOM, file);
    (void)fclose(file);
  }
  (void)closedir(folder);
  must(lists_build(&log->arena, lists, n, 0, &plant, NULL) == STATUS_OK, "the demo's lists");
  log->plant = &plant;
  measure("demo", log, 0);
  measure("demo_bare", log, -1);
  entry(log);
  arena_deinit(&log->arena);
  free(log);
}

static void
festival(void)
{
  static const char* const kinds[] = {"dyn-vocal", "cond-small", "di-active", "ribbon", "rx-line"};
  static const char* const phantom[] = {"no", "yes", "yes", "no", "no"};
  static const char kit[] = "kit,count,place\nknown-good vocal microphone,1,stage\nlamp tester,1,"
                            "stage\nhand meter,1,stage\n";
  Plant plant;
  Log* const log = calloc(1, sizeof(Log));
  must(log != NULL, "no memory");
  arena_init(&log->arena, NULL);
  TextOut boxes = {.arena = &log->arena};
  TextOut lines = {.arena = &log->arena};
  TextOut inputs = {.arena = &log->arena};
  text_add(&boxes, "box,sockets,first_line\n");
  text_add(&lines, "line,box,socket,split_channel,foh_input,mon_input,broadcast_input,spare\n");
  text_add(&inputs, "act,channel,source,pickup,phantom,box,socket\n");
  for (int l = 0; l < N_LINES; ++l) {
    const char box = (char)('A' + l / 48);
    if (l % 48 == 0) {
      text_add(&boxes, "%c,48,%d\n", box, l + 1);
    }
    text_add(&lines, "%d,%c,%d,%d,%d,%d,%d,no\n", l + 1, box, l % 48 + 1, l + 1, l + 1, l + 1,
             l + 1);
    for (int a = 0; a < N_ACTS; ++a) {
      const int k = (l + a) % 5;
      text_add(&inputs, "act%d,%d,source %d of %d,%s,%s,%c,%d\n", a + 1, l + 1, l + 1, a + 1,
               kinds[k], phantom[k], box, l % 48 + 1);
    }
  }
  const char* const texts[] = {text_done(&boxes), text_done(&lines), text_done(&inputs), kit};
  static const char* const names[] = {"boxes.csv", "lines.csv", "inputs.csv", "kit.csv"};
  ListText lists[4];
  for (int i = 0; i < 4; ++i) {
    must(texts[i] != NULL, "no memory");
    lists[i] = (ListText){names[i], texts[i], strlen(texts[i])};
  }
  Error error = {0};
  must(lists_build(&log->arena, lists, 4, 0, &plant, &error) == STATUS_OK, error.text);
  log->plant = &plant;
  const FactBody begun = {.how = "heard", .act = "act1"};
  tell(log, FACT_PASS_BEGUN, &begun);
  for (int l = 0; l < N_LINES; ++l) {
    const FactBody good = {
      .line = l + 1, .check = "level", .reading = "normal", .at = "foh", .act = "act1"};
    tell(log, FACT_READING, &good);
  }
  measure("8_acts_192_lines", log, 0);
  arena_deinit(&log->arena);
  free(log);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
