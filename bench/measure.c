// SPDX-License-Identifier: GPL-3.0-or-later
#include "measure.h"

#include "base/text.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

enum { MAX_LISTS = 64, ROOM = 1 << 17 };

double
measure_s(void)
{
  struct timespec t;
  (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

double
measure_ms(void)
{
  return 1e3 * measure_s();
}

void
measure_must(bool good, const char* what)
{
  if (!good) {
    (void)fprintf(stderr, "The benchmark cannot go on: %s\n", what);
    exit(1);
  }
}

// ---- The demo ----

static int
by_name(const void* a, const void* b)
{
  return strcmp(((const ListText*)a)->name, ((const ListText*)b)->name);
}

static void
read_list(Arena* arena, const char* folder, const char* name, ListText* list)
{
  const char* const path = arena_format(arena, "%s/%s", folder, name);
  FILE* const file = path ? fopen(path, "rb") : NULL;
  char* const bytes = arena_array(arena, ROOM, 1);
  measure_must(file && bytes, "start it where the folder demo is");
  if (file) { // Else it has ended
    *list = (ListText){arena_copy(arena, name), bytes, fread(bytes, 1, ROOM, file)};
    (void)fclose(file);
  }
}

void
measure_demo(Arena* arena, const char* const names[], int n, Plant* plant)
{
  const char* const folder = getenv("LINEWALK_DEMO") ? getenv("LINEWALK_DEMO") : "demo";
  ListText lists[MAX_LISTS];
  Error error = {0};
  int n_lists = 0;
  for (; names && n_lists < n; ++n_lists) {
    measure_must(n_lists < MAX_LISTS, "too many lists");
    read_list(arena, folder, names[n_lists], &lists[n_lists]);
  }
  DIR* const dir = names ? NULL : opendir(folder);
  measure_must(names || dir, "start it where the folder demo is");
  for (struct dirent* e = dir ? readdir(dir) : NULL; e && n_lists < MAX_LISTS; e = readdir(dir)) {
    const size_t length = strlen(e->d_name);
    if (length > 4 && !strcmp(e->d_name + length - 4, ".csv")) {
      read_list(arena, folder, e->d_name, &lists[n_lists++]);
    }
  }
  if (dir) {
    (void)closedir(dir);
    qsort(lists, (size_t)n_lists, sizeof(ListText), by_name);
  }
  measure_must(lists_build(arena, lists, n_lists, 0, plant, &error) == STATUS_OK, error.text);
}

// ---- The festival ----

static const char* const kinds[] = {"dyn-vocal", "cond-small", "di-active", "ribbon", "rx-line"};
static const char* const phantom[] = {"no", "yes", "yes", "no", "no"};

// One source of one act: on its line, and at each desk.
static void
add_source(const MeasureFestival* ask, int line, int act, TextOut* inputs, TextOut* rows)
{
  static const int pad_db[] = {0, 0, 0, 0, 20};
  static const int gain_db[] = {35, 25, 20, 45, 0};
  static const char* const desks[] = {"foh", "mon", "broadcast"};
  const bool moves = ask->wanders && line % 3 == 0;
  const int who = moves ? (line + 3 * act) % MEASURE_LINES : line;
  const int kind = moves ? who % 5 : (line + act) % 5;
  char source[40];
  if (ask->wanders) {
    const char* const of = moves ? "" : act % 2 ? " odd" : " even";
    (void)snprintf(source, sizeof(source), "source %d%s", who + 1, of);
  } else {
    (void)snprintf(source, sizeof(source), "source %d of %d", who + 1, act + 1);
  }
  text_add(inputs, "act%d,%d,%s,%s,%s,%c,%d\n", act + 1, line + 1, source, kinds[kind],
           phantom[kind], 'A' + line / ask->box_sockets, line % ask->box_sockets + 1);
  for (int d = 0; ask->desks != MEASURE_NO_DESKS && d < 3; ++d) {
    const bool wrong = ask->desks == MEASURE_HUNDRED_WRONG &&
                       (line * MEASURE_ACTS + act) % 46 == 0 && d == (line + act) % 3;
    text_add(rows, "act%d,%s,%d,%d,%s,%s,%d,%d,%s\n", act + 1, desks[d], line + 1, line + 1, source,
             d == 0 ? phantom[kind] : "no", pad_db[kind], gain_db[kind], wrong ? "no" : "yes");
  }
}

void
measure_festival(Arena* arena, const MeasureFestival* ask, Plant* plant)
{
  static const char* const names[] = {"boxes.csv", "lines.csv", "inputs.csv", "desk-patch.csv",
                                      "kit.csv"};
  TextOut boxes = {.arena = arena};
  TextOut lines = {.arena = arena};
  TextOut inputs = {.arena = arena};
  TextOut rows = {.arena = arena};
  TextOut kit = {.arena = arena};
  text_add(&boxes, "box,sockets,first_line\n");
  text_add(&lines, "line,box,socket,split_channel,foh_input,mon_input,broadcast_input,spare\n");
  text_add(&inputs, "act,channel,source,pickup,phantom,box,socket\n");
  text_add(&rows, "act,desk,desk_channel,line,name_on_desk,gives_phantom,pad_db,gain_db,muted\n");
  text_add(&kit, "kit,count,place\n");
  if (ask->has_kit) {
    text_add(&kit, "known-good vocal microphone,1,stage\nlamp tester,1,stage\n"
                   "hand meter,1,stage\n");
  }
  for (int l = 0; l < MEASURE_LINES; ++l) {
    const char box = (char)('A' + l / ask->box_sockets);
    if (l % ask->box_sockets == 0) {
      text_add(&boxes, "%c,%d,%d\n", box, ask->box_sockets, l + 1);
    }
    text_add(&lines, "%d,%c,%d,%d,%d,%d,%d,no\n", l + 1, box, l % ask->box_sockets + 1, l + 1,
             l + 1, l + 1, l + 1);
    for (int a = 0; a < MEASURE_ACTS; ++a) {
      add_source(ask, l, a, &inputs, &rows);
    }
  }
  TextOut* const outs[] = {&boxes, &lines, &inputs, &rows, &kit};
  const bool wanted[] = {true, true, true, ask->desks != MEASURE_NO_DESKS, ask->has_kit};
  ListText lists[5];
  Error error = {0};
  int n = 0;
  for (int i = 0; i < 5; ++i) {
    const char* const text = text_done(outs[i]);
    measure_must(text != NULL, "no memory");
    if (wanted[i]) {
      lists[n++] = (ListText){names[i], text, strlen(text)};
    }
  }
  measure_must(lists_build(arena, lists, n, 0, plant, &error) == STATUS_OK, error.text);
}
