// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Between acts: the twelve ordered pairs of the demo's four acts, a new plan after a tail died, and
  a festival of 8 acts on 192 lines, from each act to the next, with listed sockets and with sockets
  to be chosen. The best of five runs.
*/
#include "base/text.h"
#include "day/change.h"
#include "stage/lists.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { N_ACTS = 8, N_LINES = 192, N_RUNS = 5, N_DEMO = 13 };

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
    (void)fprintf(stderr, "bench_change: %s\n", what);
    exit(1);
  }
}

// Pairs of acts that follow each other, or all of them.
static void
measure(const char* name, const Plant* plant, const Fold* fold, bool all, bool is_free)
{
  double best_ms = 1e12;
  int n_plans = 0;
  int n_plugs = 0;
  for (int run = 0; run < N_RUNS; ++run) {
    const double start_ms = now_ms();
    n_plans = 0;
    n_plugs = 0;
    for (int from = 0; from < plant->n_acts; ++from) {
      for (int to = 0; to < plant->n_acts; ++to) {
        Arena arena;
        Change change;
        const ChangeOptions options = {.is_free = is_free};
        if (from == to || (!all && to != from + 1)) {
          continue;
        }
        arena_init(&arena, NULL);
        must(change_plan(&arena, plant, fold, from, to, &options, &change) == STATUS_OK, "no plan");
        n_plugs += change.n_moved + change.n_plugged;
        ++n_plans;
        arena_deinit(&arena);
      }
    }
    const double took_ms = now_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
  }
  printf("figure: change_%s_ms %.2f ms\n", name, best_ms);
  printf("figure: change_%s_plans %d plans\n", name, n_plans);
  printf("figure: change_%s_plugs %d plugs\n", name, n_plugs);
}

static void
demo(void)
{
  static const char* const names[N_DEMO] = {"boxes.csv",
                                            "lines.csv",
                                            "split.csv",
                                            "kinds.csv",
                                            "inputs-act1.csv",
                                            "inputs-act2.csv",
                                            "inputs-act3.csv",
                                            "inputs-act4.csv",
                                            "places.csv",
                                            "crew.csv",
                                            "times.csv",
                                            "cables.csv",
                                            "desk-patch-asfound.csv"};
  enum { ROOM = 1 << 17 };
  ListText lists[N_DEMO];
  Arena arena;
  Plant plant;
  Fold fold;
  Fact fact;
  arena_init(&arena, NULL);
  for (int i = 0; i < N_DEMO; ++i) {
    const char* const path = arena_format(&arena, "demo/%s", names[i]);
    FILE* const file = path ? fopen(path, "rb") : NULL;
    char* const bytes = arena_array(&arena, ROOM, 1);
    must(file && bytes, "start it where the folder demo is");
    if (file) { // Else it has ended
      lists[i] = (ListText){names[i], bytes, fread(bytes, 1, ROOM, file)};
      (void)fclose(file);
    }
  }
  must(lists_build(&arena, lists, N_DEMO, 0, &plant, NULL) == STATUS_OK, "the demo's lists");
  measure("demo_12_pairs", &plant, NULL, true, false);
  measure("demo_12_pairs_chosen", &plant, NULL, true, true);
  const FactBody body = {.item = "tail B"};
  must(fact_make(&arena, FACT_TAPED_OFF, &body, "2031-06-14T17:55:00Z", "", "", &fact, NULL) ==
         STATUS_OK,
       "no fact");
  must(fold_make(&arena, &fact, 1, &fold, NULL) == STATUS_OK, "no fold");
  measure("demo_12_pairs_tail_out", &plant, &fold, true, false);
  arena_deinit(&arena);
}

static void
festival(void)
{
  static const char* const kinds[] = {"dyn-vocal", "cond-small", "di-active", "ribbon", "rx-line"};
  static const char* const desks[] = {"foh", "mon", "broadcast"};
  Arena arena;
  Plant plant;
  Error error = {0};
  arena_init(&arena, NULL);
  TextOut boxes = {.arena = &arena};
  TextOut lines = {.arena = &arena};
  TextOut inputs = {.arena = &arena};
  TextOut rows = {.arena = &arena};
  text_add(&boxes, "box,sockets,first_line\n");
  text_add(&lines, "line,box,socket,split_channel,foh_input,mon_input,broadcast_input,spare\n");
  text_add(&inputs, "act,channel,source,pickup,phantom,box,socket\n");
  text_add(&rows, "act,desk,desk_channel,line,name_on_desk,gives_phantom,pad_db,gain_db,muted\n");
  for (int l = 0; l < N_LINES; ++l) {
    const char box = (char)('A' + l / 24);
    if (l % 24 == 0) {
      text_add(&boxes, "%c,24,%d\n", box, l + 1);
    }
    text_add(&lines, "%d,%c,%d,%d,%d,%d,%d,no\n", l + 1, box, l % 24 + 1, l + 1, l + 1, l + 1,
             l + 1);
    for (int a = 0; a < N_ACTS; ++a) {
      const int k = (l + a) % 5;
      // Every third source plays in all acts, on another socket each time
      const int who = l % 3 == 0 ? (l + 3 * a) % N_LINES : l;
      const char* const kind = kinds[l % 3 == 0 ? who % 5 : k];
      text_add(&inputs, "act%d,%d,source %d%s,%s,%s,%c,%d\n", a + 1, l + 1, who + 1,
               l % 3 == 0 ? ""
               : a % 2    ? " odd"
                          : " even",
               kind, !strcmp(kind, "cond-small") || !strcmp(kind, "di-active") ? "yes" : "no", box,
               l % 24 + 1);
      for (int d = 0; d < 3; ++d) {
        text_add(&rows, "act%d,%s,%d,%d,source %d,no,0,30,yes\n", a + 1, desks[d], l + 1, l + 1,
                 who + 1);
      }
    }
  }
  const char* const texts[] = {text_done(&boxes), text_done(&lines), text_done(&inputs),
                               text_done(&rows)};
  static const char* const names[] = {"boxes.csv", "lines.csv", "inputs.csv", "desk-patch.csv"};
  ListText lists[4];
  for (int i = 0; i < 4; ++i) {
    must(texts[i] != NULL, "no memory");
    lists[i] = (ListText){names[i], texts[i], strlen(texts[i])};
  }
  must(lists_build(&arena, lists, 4, 0, &plant, &error) == STATUS_OK, error.text);
  measure("8_acts_192_lines", &plant, NULL, false, false);
  measure("8_acts_192_lines_chosen", &plant, NULL, false, true);
  arena_deinit(&arena);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
