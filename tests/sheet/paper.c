// SPDX-License-Identifier: GPL-3.0-or-later
#include "sheet/paper.h"

#include "sheet/fonts.h"
#include "stage/lists.h"

#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <unistd.h>

void
paper_see(void* user, const CanvasMark* mark)
{
  PaperSeen* const seen = user;
  assert_true(seen->n < PAPER_MARKS);
  (void)snprintf(seen->texts[seen->n], PAPER_TEXT, "%s", mark->text);
  seen->marks[seen->n] = *mark;
  seen->marks[seen->n].text = seen->texts[seen->n];
  ++seen->n;
}

#define FORTY "WWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWWW"
#define WORDS "a voice that goes on and on without end "

const char* const paper_names[PAPER_NAMES] = {
  "the lead vocal of the second singer from stage right, who also plays a tambourine at times",
  "\xD8\xBA\xD9\x86\xD8\xA7\xD8\xA1 \xD8\xB1\xD8\xA6\xD9\x8A\xD8\xB3\xD9\x8A \xD9\x85\xD8\xB9 "
  "\xD8\xB5\xD8\xAF\xD9\x89", // Arabic: lead vocal with echo
  "G\xC5\xBC"
  "eg\xC5\xBC\xC3\xB3\xC5\x82ka, \xC5\xBA"
  "d\xC5\xBA"
  "b\xC5\x82o, \xC5\x82\xC3\xB3"
  "d\xC5\xBA",                                                                            // Polish
  "\xE7\x90\xB4\xE3\x81\xA8\xE4\xB8\x89\xE5\x91\xB3\xE7\xB7\x9A\xE3\x81\xAE\xE9\x9F\xB3", // Japanese
  "\xF0\x9F\x8E\xA4 vocal \xF0\x9F\xA5\x81",                                              // Emoji
  "",
  FORTY FORTY FORTY FORTY FORTY FORTY FORTY FORTY FORTY FORTY,
  "\xD7\xA7\xD7\x95\xD7\x9C \xD7\xA8\xD7\x90\xD7\xA9\xD7\x99 (lead) 2", // Hebrew with Latin
  "\xE0\xA4\xA4\xE0\xA4\xAC\xE0\xA4\xB2\xE0\xA4\xBE",                   // Devanagari
  "Z\xCD\x91\xCD\xAB\xCD\x83\xCD\xAA\xCC\x82\xCC\xBD\xCD\x8F\xCC\xB4\xCC\x99"
  "a\xCC\xB7\xCC\xA7l\xCC\xB8g", // Marks above marks
  WORDS WORDS WORDS WORDS WORDS WORDS WORDS WORDS WORDS WORDS,
  "\xE2\x80\xAE"
  "kcab,\ttwo\nlines\x01 \"quoted\" <&>", // Turned round, controls
};

static const char hard_boxes[] = "box,name,place,sockets,first_line,spare_sockets,tail_m\n"
                                 "A,first,upstage centre,6,1,6,12\nB,second,stage left,6,7,6,12\n";
static const char hard_cables[] = "cable,kind,length_m,state\nT1,mic,5,good\nT2,mic,10,good\n"
                                  "T3,mic,5,good\nT4,mic,10,good\nT5,mic,5,good\nT6,mic,10,good\n"
                                  "T7,mic,5,good\nT8,mic,10,good\nT9,mic,5,good\nT10,mic,10,good\n"
                                  "T11,mic,5,good\nT12,mic,10,good\n";
static const char hard_kit[] = "kit,count,place\nlamp tester,1,split\nhand meter,1,split\n";

// The lists take no empty names and no two alike, so the names are laid over the plant they make.
const Plant*
paper_hard(Arena* arena)
{
  Plant* const plant = arena_array(arena, 1, sizeof(*plant));
  char* const acts[2] = {arena_array(arena, 4096, 1), arena_array(arena, 4096, 1)};
  Error error = {0};
  for (int a = 0; a < 2; ++a) {
    strcpy(acts[a], "channel,source,pickup,phantom,stand,position,box,socket,note\n");
    for (int i = 0; i < PAPER_NAMES; ++i) {
      char row[160];
      const int at = a ? PAPER_NAMES - 1 - i : i; // Everybody moves
      (void)snprintf(row, sizeof(row), "%d,name %d,%s,%s,boom,riser,%s,%d,note\n", i + 1, i,
                     i % 3 ? "dyn-vocal" : "cond-small", i % 3 ? "no" : "yes", at < 6 ? "A" : "B",
                     at % 6 + 1);
      strcat(acts[a], row);
    }
  }
  const ListText lists[] = {{"boxes.csv", hard_boxes, sizeof(hard_boxes) - 1},
                            {"cables.csv", hard_cables, sizeof(hard_cables) - 1},
                            {"kit.csv", hard_kit, sizeof(hard_kit) - 1},
                            {"inputs-act1.csv", acts[0], strlen(acts[0])},
                            {"inputs-act2.csv", acts[1], strlen(acts[1])}};
  if (lists_build(arena, lists, 5, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
  Input* const inputs = arena_grow(arena, plant->inputs, (size_t)plant->n_inputs,
                                   (size_t)plant->n_inputs, sizeof(*inputs));
  for (int i = 0; i < plant->n_inputs; ++i) {
    inputs[i].source = paper_names[i % PAPER_NAMES];
    inputs[i].stand = paper_names[(i + 1) % PAPER_NAMES];
    inputs[i].note = paper_names[(i + 2) % PAPER_NAMES];
  }
  plant->inputs = inputs;
  Box* const boxes = arena_grow(arena, plant->boxes, 2, 2, sizeof(*boxes));
  boxes[0].meaning = paper_names[6];
  boxes[1].meaning = paper_names[1];
  plant->boxes = boxes;
  Item* const items = arena_grow(arena, plant->items, PAPER_NAMES, PAPER_NAMES, sizeof(*items));
  assert_int_equal(plant->n_items, PAPER_NAMES);
  for (int i = 0; i < PAPER_NAMES; ++i) {
    items[i].tag = i == 5 ? "M5" : paper_names[i];
    items[i].kind = paper_names[(i + 3) % PAPER_NAMES];
  }
  plant->items = items;
  KitItem* const kit = arena_grow(arena, plant->kit, 2, 2, sizeof(*kit));
  kit[0].name = paper_names[10];
  kit[1].name = paper_names[7];
  plant->kit = kit;
  return plant;
}

static struct CanvasFonts* kept_fonts;

static void
drop_fonts(void)
{
  fonts_free(kept_fonts);
}

struct CanvasFonts*
paper_fonts(void)
{
  if (!kept_fonts) {
    assert_int_equal(fonts_new(&kept_fonts, NULL), STATUS_OK);
    assert_int_equal(atexit(drop_fonts), 0);
  }
  return kept_fonts;
}

Order
paper_order(const Plant* plant)
{
  return (Order){.plant = plant,
                 .show = "",
                 .act = plant->n_acts > 0 ? 0 : -1,
                 .desk = ORDER_ALL_DESKS,
                 .date = "",
                 .address = "http://192.168.100.100:8017",
                 .owner = "crew"};
}

Print
paper_print(Arena* arena, const char* word, const Order* order, CanvasSort sort, PaperSeen* seen)
{
  int acts[64] = {-1};
  const int n_acts = order->plant->n_acts > 0 ? order->plant->n_acts : 1;
  const PrintHow how = {.sort = sort,
                        .page = 1,
                        .see = seen ? paper_see : NULL,
                        .see_user = seen,
                        .fonts = paper_fonts()};
  Print print = {0};
  Error error = {0};
  for (int a = 0; a < order->plant->n_acts; ++a) {
    acts[a] = a;
  }
  if (seen) {
    seen->n = 0;
  }
  const Status st = print_sheet(arena, print_find(word), order, acts, n_acts, &how, &print, &error);
  if (st != STATUS_OK) {
    fail_msg("%s: %s %s", word, status_text(st), error.text);
  }
  return print;
}

static char folder_path[64];

// Whatever a test left in it goes with it.
static void
folder_remove(void)
{
  char command[96];
  (void)snprintf(command, sizeof(command), "rm -rf '%s'", folder_path);
  if (system(command) != 0) {
    (void)fprintf(stderr, "%s is left behind\n", folder_path);
  }
}

static const char*
folder(void)
{
  if (!folder_path[0]) {
    (void)snprintf(folder_path, sizeof(folder_path), "/tmp/linewalk-paper-XXXXXX");
    assert_non_null(mkdtemp(folder_path));
    assert_int_equal(atexit(folder_remove), 0);
  }
  return folder_path;
}

const char*
paper_file(const Print* print)
{
  static char path[96];
  (void)snprintf(path, sizeof(path), "%s/sheet.pdf", folder());
  FILE* const out = fopen(path, "wb");
  assert_non_null(out);
  assert_true(fwrite(print->bytes, 1, print->n_bytes, out) == print->n_bytes);
  assert_int_equal(fclose(out), 0);
  return path;
}

const char*
paper_ask(Arena* arena, int want, const char* format, ...)
{
  char command[8192];
  char* said = arena_array(arena, 1 << 16, 1);
  va_list args;
  va_start(args, format);
  const int n_command = vsnprintf(command, sizeof(command), format, args);
  va_end(args);
  assert_true(n_command > 0 && n_command < (int)sizeof(command));
  FILE* const in = popen(command, "r");
  assert_non_null(in);
  size_t room = 1 << 16;
  size_t n = 0;
  for (size_t got = 1; got > 0; n += got) {
    if (n + 1 == room) {
      said = arena_grow(arena, said, n, 2 * room, 1);
      room *= 2;
    }
    got = fread(said + n, 1, room - 1 - n, in);
  }
  said[n] = '\0';
  const int ended = pclose(in);
  if (!WIFEXITED(ended) || WEXITSTATUS(ended) != want) {
    fail_msg("%s: ended with %d, want %d: %.400s", command, WEXITSTATUS(ended), want, said);
  }
  return said;
}
