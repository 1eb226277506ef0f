// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Lists against desks: the demo event, and a festival of 8 acts on 192 lines at three desks that all
  have everything (4,608 channels), a hundred of them with something wrong. The best of five runs.
*/
#include "base/text.h"
#include "day/compare.h"
#include "stage/lists.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { N_ACTS = 8, N_LINES = 192, N_DESKS = 3, N_RUNS = 5, N_DEMO = 10 };

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
    (void)fprintf(stderr, "bench_compare: %s\n", what);
    exit(1);
  }
}

static void
measure(const char* name, const Plant* plant)
{
  double best_ms = 1e9;
  Comparison found = {0};
  for (int run = 0; run < N_RUNS; ++run) {
    Arena arena;
    arena_init(&arena, NULL);
    const double start_ms = now_ms();
    must(compare_all(&arena, plant, NULL, COMPARE_EVERY_ACT, &found) == STATUS_OK, "no memory");
    const double took_ms = now_ms() - start_ms;
    best_ms = took_ms < best_ms ? took_ms : best_ms;
    arena_deinit(&arena);
  }
  printf("figure: compare_%s_ms %.3f ms\n", name, best_ms);
  printf("figure: compare_%s_channels %d channels\n", name, found.n_rows);
  printf("figure: compare_%s_found %d disagreements\n", name, found.n);
}

static void
demo(void)
{
  static const char* const names[N_DEMO] = {"boxes.csv",         "lines.csv",
                                            "split.csv",         "kinds.csv",
                                            "inputs-act1.csv",   "inputs-act2.csv",
                                            "inputs-act3.csv",   "inputs-act4.csv",
                                            "list-versions.csv", "desk-patch-asfound.csv"};
  enum { ROOM = 1 << 17 };
  ListText lists[N_DEMO];
  Arena arena;
  Plant plant;
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
  measure("demo", &plant);
  arena_deinit(&arena);
}

static void
festival(void)
{
  static const char* const kinds[] = {"dyn-vocal", "cond-small", "di-active", "ribbon", "rx-line"};
  static const char* const phantom[] = {"no", "yes", "yes", "no", "no"};
  static const int pad_db[] = {0, 0, 0, 0, 20};
  static const int gain_db[] = {35, 25, 20, 45, 0};
  static const char* const desks[N_DESKS] = {"foh", "mon", "broadcast"};
  Arena arena;
  Plant plant;
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
      for (int d = 0; d < N_DESKS; ++d) {
        const bool wrong = (l * N_ACTS + a) % 46 == 0 && d == (l + a) % N_DESKS;
        text_add(&rows, "act%d,%s,%d,%d,source %d of %d,%s,%d,%d,%s\n", a + 1, desks[d], l + 1,
                 l + 1, l + 1, a + 1, d == 0 ? phantom[k] : "no", pad_db[k], gain_db[k],
                 wrong ? "no" : "yes");
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
  Error error = {0};
  must(lists_build(&arena, lists, 4, 0, &plant, &error) == STATUS_OK, error.text);
  measure("8_acts_192_lines", &plant);
  arena_deinit(&arena);
}

int
main(void)
{
  demo();
  festival();
  return 0;
}
