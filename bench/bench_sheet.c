// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Paper: seconds for 96 socket labels with QR codes, and for the whole day's paper of an event of 48
  and of 192 lines with four acts, every line used in every act.
*/

#include "base/text.h"
#include "measure.h"
#include "sheet/print.h"

#include <stdio.h>
#include <string.h>

// Boxes of 12, and acts that use every line.
static Status
build(Arena* arena, int n_boxes, int n_acts, Plant* plant)
{
  static const char* const names[] = {"inputs-act1.csv", "inputs-act2.csv", "inputs-act3.csv",
                                      "inputs-act4.csv"};
  ListText lists[5];
  Error error = {0};
  TextOut boxes = {.arena = arena};
  text_add(&boxes, "box,name,place,sockets,first_line,tail_m\n");
  for (int b = 0; b < n_boxes; ++b) {
    text_add(&boxes, "%c,box number %d,upstage centre,12,%d,15\n", 'A' + b, b + 1, 1 + 12 * b);
  }
  lists[0] = (ListText){"boxes.csv", text_done(&boxes), boxes.n_bytes};
  for (int a = 0; a < n_acts; ++a) {
    TextOut inputs = {.arena = arena};
    text_add(&inputs, "channel,source,pickup,phantom,stand,position,box,socket,note\n");
    for (int i = 0; i < 12 * n_boxes; ++i) {
      text_add(&inputs, "%d,source %d,%s,%s,short boom,riser,%c,%d,\n", i + 1, (i * 7 + a) % 200,
               i % 3 ? "dyn-vocal" : "cond-small", i % 3 ? "no" : "yes", 'A' + i / 12, i % 12 + 1);
    }
    lists[1 + a] = (ListText){names[a], text_done(&inputs), inputs.n_bytes};
  }
  const Status st = lists_build(arena, lists, 1 + n_acts, 0, plant, &error);
  if (st != STATUS_OK) {
    (void)fprintf(stderr, "%s:%d: %s\n", error.file, error.line, error.text);
  }
  return st;
}

static int
time_sheets(const Plant* plant, const char* only, const int acts[], int n_acts, const char* name)
{
  const PrintSheet* sheets = NULL;
  const int n = print_sheets(&sheets);
  const PrintHow how = {.sort = CANVAS_PDF};
  const Order order = {.plant = plant,
                       .show = "",
                       .act = 0,
                       .desk = ORDER_ALL_DESKS,
                       .date = "",
                       .address = "http://192.168.100.100:8017",
                       .owner = ""};
  size_t n_bytes = 0;
  int n_pages = 0;
  const double start_s = measure_s();
  for (int i = 0; i < n; ++i) {
    Arena arena;
    Print print = {0};
    Error error = {0};
    if (only && strcmp(only, sheets[i].word) != 0) {
      continue;
    }
    arena_init(&arena, NULL);
    const double began_s = measure_s();
    if (print_sheet(&arena, &sheets[i], &order, acts, n_acts, &how, &print, &error) != STATUS_OK) {
      (void)fprintf(stderr, "%s: %s\n", sheets[i].word, error.text);
      arena_deinit(&arena);
      return 1;
    }
    printf("%s %s: %d pages, %.0f ms\n", name, sheets[i].word, print.n_pages,
           1e3 * (measure_s() - began_s));
    n_bytes += print.n_bytes;
    n_pages += print.n_pages;
    arena_deinit(&arena);
  }
  printf("figure: sheet_%s_milliseconds %.4g ms\n", name, 1e3 * (measure_s() - start_s));
  printf("figure: sheet_%s_pages %d 1\n", name, n_pages);
  printf("figure: sheet_%s_kilobytes %.4g kB\n", name, (double)n_bytes / 1e3);
  return 0;
}

int
main(void)
{
  static const int acts[] = {0, 1, 2, 3};
  Arena arena;
  Plant plant;
  int wrong = 0;
  arena_init(&arena, NULL);
  wrong +=
    build(&arena, 8, 1, &plant) != STATUS_OK || time_sheets(&plant, "boxes", acts, 1, "labels_96");
  wrong += build(&arena, 4, 4, &plant) != STATUS_OK || time_sheets(&plant, NULL, acts, 4, "day_48");
  wrong +=
    build(&arena, 16, 4, &plant) != STATUS_OK || time_sheets(&plant, NULL, acts, 4, "day_192");
  arena_deinit(&arena);
  return wrong != 0;
}
