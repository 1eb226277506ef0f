// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "day/compare.h"
#include "day/mark.h"
#include "day/readback.h"
#include "stage/lists.h"
#include "support/check.h"

#include <string.h>

/*
  The demo event has known errors on paper; all are found and nothing else. Its corrected copy
  (tests/day/corrected/ over the demo's lists) says nothing, whatever the order of rows and columns,
  and one error put into it is found alone.
*/

// ---- Lists from the demo, two of them replaced ----

typedef struct {
  ListText at[64];
  int n;
} Lists;

static void
read_demo(Arena* arena, Lists* lists)
{
  static const char* const names[] = {
    "boxes.csv",       "cables.csv",      "crew.csv",
    "day.csv",         "drive.csv",       "desk-patch-asfound.csv",
    "inputs-act1.csv", "inputs-act2.csv", "inputs-act3.csv",
    "inputs-act4.csv", "kinds.csv",       "kit.csv",
    "lines.csv",       "misread.csv",     "list-versions.csv",
    "odds.csv",        "places.csv",      "split.csv",
    "times.csv"};
  const char* const demo = getenv("LINEWALK_DEMO") ? getenv("LINEWALK_DEMO") : "demo";
  lists->n = 0;
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    FILE* const file = fopen(arena_format(arena, "%s/%s", demo, names[i]), "rb");
    assert_non_null(file);
    char* const bytes = arena_array(arena, 1 << 17, 1);
    const size_t n_bytes = fread(bytes, 1, 1 << 17, file);
    (void)fclose(file);
    lists->at[lists->n++] = (ListText){names[i], bytes, n_bytes};
  }
}

static void
put(Lists* lists, const char* name, const char* text)
{
  for (int i = 0; i < lists->n; ++i) {
    if (strcmp(lists->at[i].name, name) == 0) {
      lists->at[i] = (ListText){name, text, strlen(text)};
      return;
    }
  }
  lists->at[lists->n++] = (ListText){name, text, strlen(text)};
}

static const char*
corrected(Arena* arena, const char* name)
{
  const char* const demo = getenv("LINEWALK_DEMO") ? getenv("LINEWALK_DEMO") : "demo";
  FILE* const file = fopen(arena_format(arena, "%s/../tests/day/corrected/%s", demo, name), "rb");
  assert_non_null(file);
  char* const bytes = arena_array(arena, 1 << 17, 1);
  (void)fread(bytes, 1, (1 << 17) - 1, file);
  (void)fclose(file);
  return bytes;
}

static void
build(Arena* arena, const Lists* lists, Plant* plant)
{
  Error error = {0};
  if (lists_build(arena, lists->at, lists->n, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
}

static void
read_corrected(Arena* arena, Lists* lists)
{
  read_demo(arena, lists);
  put(lists, "desk-patch-asfound.csv", corrected(arena, "desk-patch-asfound.csv"));
  put(lists, "list-versions.csv", corrected(arena, "list-versions.csv"));
}

// ---- The planted ones ----

static const struct {
  const char* name;
  CompareWhat what;
  const char* act;
  const char* desk; ///< NULL = none
  int line;         ///< 0 = none
  bool harms;
  const char* says;
} planted[] = {
  {"F03", COMPARE_PAD, "bare lines", "foh", 33, false, "pad is in (20 dB)"},
  {"F07", COMPARE_PHANTOM, "act2", "foh", 21, false, "needs phantom and has none"},
  {"F10, the list", COMPARE_VERSION, "act3", "mon", 0, false, "version 2"},
  {"F10, line 41", COMPARE_NAME, "act3", "mon", 41, false, "called vocal SRC"},
  {"F10, line 42", COMPARE_NAME, "act3", "mon", 42, false, "called vocal SR,"},
  {"F15", COMPARE_PHANTOM, "act4", "foh", 20, true, "must not be"},
  {"broadcast's list", COMPARE_VERSION, "act4", "broadcast", 0, false, "version 1"},
  {"F14, line 3", COMPARE_PATCH, "act4", "foh", 3, false, "takes input 4"},
  {"F14, line 4", COMPARE_PATCH, "act4", "foh", 4, false, "takes input 3"},
  {"broadcast's guest vocal", COMPARE_PATCH, "act4", "broadcast", 46, false, "no channel"},
  {"broadcast's talkback", COMPARE_PATCH, "act4", "broadcast", 47, false, "no channel"},
};

static const char*
act_of(const Plant* plant, int act)
{
  return act < 0 ? "bare lines" : plant->acts[act].name;
}

static void
print(const Plant* plant, const Comparison* found)
{
  for (int i = 0; i < found->n; ++i) {
    const Disagreement* const d = &found->list[i];
    print_error("  %s, %s, line %d: %s: %s\n", act_of(plant, d->act),
                d->desk >= 0 ? plant->desks[d->desk].name : "-",
                d->line >= 0 ? plant->lines[d->line].number : 0, compare_word(d->what), d->say);
  }
}

static void
what_is_planted_is_found_and_nothing_else(void** state)
{
  (void)state;
  Arena arena;
  Lists lists;
  Plant plant;
  Comparison found;
  arena_init(&arena, NULL);
  read_demo(&arena, &lists);
  build(&arena, &lists, &plant);
  assert_int_equal(compare_all(&arena, &plant, NULL, COMPARE_EVERY_ACT, &found), STATUS_OK);
  const int n_planted = (int)(sizeof(planted) / sizeof(planted[0]));
  if (found.n != n_planted) {
    print(&plant, &found);
    fail_msg("%d disagreements, want %d", found.n, n_planted);
  }
  for (int i = 0; i < n_planted; ++i) {
    const Disagreement* const d = &found.list[i];
    const bool same = d->what == planted[i].what &&
                      strcmp(act_of(&plant, d->act), planted[i].act) == 0 &&
                      d->desk == plant_desk(&plant, planted[i].desk) &&
                      (d->line < 0 ? 0 : plant.lines[d->line].number) == planted[i].line &&
                      d->harms == planted[i].harms && strstr(d->say, planted[i].says) && d->todo[0];
    if (!same) {
      print(&plant, &found);
      fail_msg("%s: not number %d", planted[i].name, i + 1);
    }
  }
  assert_int_equal(found.n_not_compared, 1);
  assert_string_equal(found.not_compared[0], "bare lines: not read: monitor desk, broadcast desk.");
  check_figure("compare_planted_found", found.n, "disagreements");
  arena_deinit(&arena);
}

static void
a_corrected_copy_says_nothing(void** state)
{
  (void)state;
  Arena arena;
  Lists lists;
  Plant plant;
  Comparison found;
  arena_init(&arena, NULL);
  read_corrected(&arena, &lists);
  build(&arena, &lists, &plant);
  assert_int_equal(compare_all(&arena, &plant, NULL, COMPARE_EVERY_ACT, &found), STATUS_OK);
  print(&plant, &found);
  assert_int_equal(found.n, 0);
  assert_int_equal(found.n_rows, plant.n_desk_rows);
  arena_deinit(&arena);
}

// ---- Laws ----

// The corrected desk patch as cells, to be shuffled or spoilt.
enum { COLUMNS = 9, ROWS_MAX = 400 };

typedef struct {
  const char* at[ROWS_MAX][COLUMNS];
  int n_rows; ///< With the headings
} Cells;

static void
cells_read(Arena* arena, const char* text, Cells* cells)
{
  char* const copy = arena_copy(arena, text);
  cells->n_rows = 0;
  for (char* line = strtok(copy, "\n"); line; line = strtok(NULL, "\n")) {
    char* at = line;
    for (int c = 0; c < COLUMNS; ++c) {
      const size_t n = strcspn(at, ",");
      cells->at[cells->n_rows][c] = at;
      at[n] = '\0';
      at += n + 1;
    }
    ++cells->n_rows;
  }
}

static const char*
cells_text(Arena* arena, const Cells* cells, const int order[COLUMNS])
{
  TextOut out = {.arena = arena};
  for (int r = 0; r < cells->n_rows; ++r) {
    for (int c = 0; c < COLUMNS; ++c) {
      text_add(&out, "%s%s", c ? "," : "", cells->at[r][order[c]]);
    }
    text_add(&out, "\n");
  }
  return text_done(&out);
}

static void
shuffle_rows(Rng* rng, Cells* cells)
{
  for (int r = cells->n_rows - 1; r > 1; --r) {
    const int k = 1 + rng_below(rng, r);
    const char* kept[COLUMNS];
    memcpy(kept, cells->at[r], sizeof(kept));
    memcpy(cells->at[r], cells->at[k], sizeof(kept));
    memcpy(cells->at[k], kept, sizeof(kept));
  }
}

static void
shuffle_columns(Rng* rng, int order[COLUMNS])
{
  for (int c = COLUMNS - 1; c > 0; --c) {
    const int k = rng_below(rng, c + 1);
    const int kept = order[c];
    order[c] = order[k];
    order[k] = kept;
  }
}

static void
order_of_rows_and_columns_does_not_count(void** state)
{
  (void)state;
  const uint64_t seed = 20310614;
  printf("seed %llu\n", (unsigned long long)seed);
  Rng rng;
  rng_init(&rng, seed);
  const int n_rounds = check_count(4, 60);
  for (int round = 0; round < n_rounds; ++round) {
    Arena arena;
    Lists lists;
    Plant plain;
    Plant mixed;
    Comparison one;
    Comparison two;
    Cells cells;
    int order[COLUMNS] = {0, 1, 2, 3, 4, 5, 6, 7, 8};
    cells.n_rows = 0;
    arena_init(&arena, NULL);
    read_demo(&arena, &lists);
    build(&arena, &lists, &plain);
    for (int i = 0; i < lists.n; ++i) {
      if (strcmp(lists.at[i].name, "desk-patch-asfound.csv") == 0) {
        cells_read(&arena, arena_text(&arena, lists.at[i].bytes, lists.at[i].n_bytes), &cells);
      }
    }
    shuffle_rows(&rng, &cells);
    shuffle_columns(&rng, order);
    put(&lists, "desk-patch-asfound.csv", cells_text(&arena, &cells, order));
    build(&arena, &lists, &mixed);
    assert_int_equal(compare_all(&arena, &plain, NULL, COMPARE_EVERY_ACT, &one), STATUS_OK);
    assert_int_equal(compare_all(&arena, &mixed, NULL, COMPARE_EVERY_ACT, &two), STATUS_OK);
    assert_int_equal(one.n, two.n);
    for (int i = 0; i < one.n; ++i) {
      assert_string_equal(one.list[i].say, two.list[i].say);
      assert_string_equal(one.list[i].todo, two.list[i].todo);
      assert_int_equal(one.list[i].line, two.list[i].line);
      assert_int_equal(one.list[i].act, two.list[i].act);
    }
    arena_deinit(&arena);
  }
}

enum { ACT, DESK, CHANNEL, LINE, NAME, PHANTOM, PAD, GAIN, MUTED };

typedef struct {
  CompareWhat what;
  const char* act;
  const char* desk;
  int lines[2]; ///< 0 = none
} Spoilt;

static int
number_of(const char* text)
{
  int number = 0;
  (void)text_whole(text, 0, 9999, &number);
  return number;
}

static bool
same_desk(const Cells* cells, int a, int b)
{
  return strcmp(cells->at[a][ACT], cells->at[b][ACT]) == 0 &&
         strcmp(cells->at[a][DESK], cells->at[b][DESK]) == 0;
}

// A random other row of the same desk in the same act.
static int
another(Rng* rng, const Cells* cells, int r)
{
  int k = r;
  do {
    k = 1 + rng_below(rng, cells->n_rows - 1);
  } while (k == r || !same_desk(cells, r, k));
  return k;
}

// One error in a random row; false when this row cannot have this one.
static bool
spoil(Arena* arena, Rng* rng, Cells* cells, Spoilt* spoilt)
{
  static const CompareWhat sorts[] = {COMPARE_PHANTOM, COMPARE_PATCH, COMPARE_NAME,
                                      COMPARE_PAD,     COMPARE_GAIN,  COMPARE_MUTE};
  const int r = 1 + rng_below(rng, cells->n_rows - 1);
  const CompareWhat what = sorts[rng_below(rng, 6)];
  const char** const row = cells->at[r];
  const bool bare = strcmp(row[ACT], "bare lines") == 0;
  *spoilt = (Spoilt){what, row[ACT], row[DESK], {number_of(row[LINE]), 0}};
  switch (what) {
    case COMPARE_PHANTOM:
      row[PHANTOM] = strcmp(row[PHANTOM], "yes") == 0 ? "no" : "yes";
      return !bare;       // Whoever walks a microphone may have it on
    case COMPARE_PATCH: { // Two channels take each other's lines; or one its neighbour's
      const int k = another(rng, cells, r);
      const char* const kept = row[LINE];
      spoilt->lines[1] = number_of(cells->at[k][LINE]);
      row[LINE] = cells->at[k][LINE];
      if (rng_below(rng, 2)) {
        cells->at[k][LINE] = kept;
      }
      return true;
    }
    case COMPARE_NAME: {
      const int k = another(rng, cells, r);
      const char* const kept = row[NAME];
      spoilt->lines[1] = number_of(cells->at[k][LINE]);
      row[NAME] = cells->at[k][NAME];
      cells->at[k][NAME] = kept;
      return true;
    }
    case COMPARE_PAD:
      row[PAD] = strcmp(row[PAD], "0") == 0 ? "20" : "0";
      return true;
    case COMPARE_GAIN:
      row[GAIN] = arena_format(arena, "%d", number_of(row[GAIN]) > 20 ? 0 : 60);
      return true;
    default:
      row[MUTED] = "no";
      return true;
  }
}

static void
one_error_is_found_and_only_it(void** state)
{
  (void)state;
  const uint64_t seed = 20310615;
  printf("seed %llu\n", (unsigned long long)seed);
  Rng rng;
  rng_init(&rng, seed);
  const int n_rounds = check_count(60, 1000);
  int n[COMPARE_SORTS] = {0};
  for (int round = 0; round < n_rounds;) {
    Arena arena;
    Lists lists;
    Plant plant;
    Comparison found;
    Cells cells;
    Spoilt spoilt;
    static const int order[COLUMNS] = {0, 1, 2, 3, 4, 5, 6, 7, 8};
    arena_init(&arena, NULL);
    read_corrected(&arena, &lists);
    cells_read(&arena, corrected(&arena, "desk-patch-asfound.csv"), &cells);
    const bool may = spoil(&arena, &rng, &cells, &spoilt);
    if (may) {
      put(&lists, "desk-patch-asfound.csv", cells_text(&arena, &cells, order));
      build(&arena, &lists, &plant);
      assert_int_equal(compare_all(&arena, &plant, NULL, COMPARE_EVERY_ACT, &found), STATUS_OK);
      bool good = found.n > 0;
      bool is_there = false;
      for (int i = 0; i < found.n; ++i) {
        const Disagreement* const d = &found.list[i];
        const int number = d->line >= 0 ? plant.lines[d->line].number : 0;
        good = good && strcmp(act_of(&plant, d->act), spoilt.act) == 0 && d->desk >= 0 &&
               strcmp(plant.desks[d->desk].name, spoilt.desk) == 0 &&
               (number == spoilt.lines[0] || number == spoilt.lines[1]);
        // Crossed names and crossed patches look alike where channels have an order of their own
        is_there = is_there || d->what == spoilt.what ||
                   (d->what == COMPARE_PATCH && spoilt.what == COMPARE_NAME) ||
                   (d->what == COMPARE_NAME && spoilt.what == COMPARE_PATCH);
      }
      if (!good || !is_there) {
        print(&plant, &found);
        fail_msg("round %d: %s at %s in %s, line %d (%d)", round, compare_word(spoilt.what),
                 spoilt.desk, spoilt.act, spoilt.lines[0], spoilt.lines[1]);
      }
      ++n[spoilt.what];
      ++round;
    }
    arena_deinit(&arena);
  }
  for (int w = 0; w < COMPARE_SORTS; ++w) {
    printf("%s: %d\n", compare_word((CompareWhat)w), n[w]);
  }
  check_figure("compare_one_error_rounds", n_rounds, "rounds");
}

// ---- One row for each sort ----

#define BOXES "box,sockets,first_line\nA,12,1\n"
#define LINES                                                                                      \
  "line,box,socket,split_channel,foh_input,mon_input,spare\n1,A,1,1,1,1,no\n2,A,2,2,2,2,no\n"      \
  "3,A,3,3,3,3,no\n4,A,4,4,4,4,no\n5,A,5,5,5,5,no\n6,A,6,6,6,6,yes\n7,A,7,7,7,7,no\n"
#define SPLIT "split,sides,direct_side\nS1,1,foh\n"
#define INPUTS "channel,source,pickup,phantom,box,socket\n"
#define USUAL                                                                                      \
  "1,vocal,dyn-vocal,no,A,1\n2,overhead,cond-small,yes,A,2\n3,ribbon 1,ribbon,no,A,3\n"            \
  "4,lead radio,rx-line,no,A,4\n5,click,line-unbal,no,A,5\n"
#define DESK "act,desk,desk_channel,line,name_on_desk,gives_phantom,pad_db,gain_db,muted\n"
#define GOOD(desk, phantom)                                                                        \
  "a," desk ",1,1,vocal,no,0,35,yes\na," desk ",2,2,overhead," phantom ",0,25,yes\n"               \
  "a," desk ",3,3,ribbon 1,no,0,45,yes\na," desk ",4,4,lead radio,no,20,0,yes\n"                   \
  "a," desk ",5,5,click,no,0,10,yes\n"

static const struct {
  const char* name;
  const char* lines;
  const char* inputs;
  const char* desk;
  int n; ///< Disagreements
  CompareWhat what;
  int at;   ///< -1 = the list
  int line; ///< 0 = none
  bool harms;
  const char* says;
} rows[] = {
  {"all is well", LINES, USUAL, GOOD("foh", "yes") GOOD("mon", "no"), 0, COMPARE_NAME, 0, 0, false,
   ""},
  {"an unbalanced source gets phantom", LINES, USUAL,
   "a,foh,1,1,vocal,no,0,35,yes\na,foh,2,2,overhead,yes,0,25,yes\na,foh,3,3,ribbon "
   "1,no,0,45,yes\na,foh,4,4,lead radio,no,20,0,yes\na,foh,5,5,click,yes,0,10,yes\n",
   1, COMPARE_PHANTOM, 0, 5, true, "must not be"},
  {"monitors give phantom behind the transformer", LINES, USUAL,
   GOOD("foh", "yes") GOOD("mon", "yes"), 1, COMPARE_PHANTOM, 1, 2, false, "gets nowhere"},
  {"the list wants phantom on a ribbon", LINES,
   "1,vocal,dyn-vocal,no,A,1\n2,ribbon 1,ribbon,yes,A,3\n", "", 1, COMPARE_PHANTOM, -1, 3, true,
   "list says phantom"},
  {"the list wants none on a condenser", LINES, "1,overhead,cond-small,no,A,2\n", "", 1,
   COMPARE_PHANTOM, -1, 2, false, "says no phantom"},
  {"a source on no line", LINES, "1,vocal,dyn-vocal,no,A,1\n2,lost,dyn-vocal,no,,\n", "", 1,
   COMPARE_SOCKET, -1, 0, false, "on no line"},
  {"a spare is used", LINES, "1,vocal,dyn-vocal,no,A,6\n", "", 1, COMPARE_SPARE, -1, 6, false,
   "on a spare"},
  {"a desk takes a spare", LINES, USUAL, GOOD("foh", "yes") "a,foh,9,6,second,no,0,35,yes\n", 1,
   COMPARE_SPARE, 0, 6, false, "takes a spare"},
  {"a desk has what no list has", LINES, USUAL, GOOD("foh", "yes") "a,foh,9,7,zither,no,0,35,yes\n",
   1, COMPARE_NAME, 0, 7, false, "nothing plays"},
  {"a strange name", LINES, "1,vocal,dyn-vocal,no,A,1\n", "a,foh,1,1,zither,no,0,35,yes\n", 1,
   COMPARE_NAME, 0, 1, false, "called zither"},
  {"own order and short names", LINES, USUAL,
   "a,foh,11,1,Voc,no,0,35,yes\na,foh,12,2,OH,yes,0,25,yes\na,foh,13,3,Rib "
   "1,no,0,45,yes\na,foh,14,4,LdRadio,no,20,0,yes\na,foh,15,5,CLICK,no,0,10,yes\n",
   0, COMPARE_NAME, 0, 0, false, ""},
  {"not muted", LINES, "1,vocal,dyn-vocal,no,A,1\n", "a,foh,1,1,vocal,no,0,35,no\n", 1,
   COMPARE_MUTE, 0, 1, false, "not muted"},
  {"gain far down", LINES, "1,vocal,dyn-vocal,no,A,1\n", "a,foh,1,1,vocal,no,0,0,yes\n", 1,
   COMPARE_GAIN, 0, 1, false, "35 dB below"},
  {"the pad of a receiver out", LINES, "1,lead radio,rx-line,no,A,4\n",
   "a,foh,4,4,lead radio,no,0,0,yes\n", 1, COMPARE_PAD, 0, 4, false, "line level"},
};

static void
each_sort_is_told(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Plant plant;
    Comparison found;
    Lists lists = {.n = 0};
    arena_init(&arena, NULL);
    put(&lists, "boxes.csv", BOXES);
    put(&lists, "lines.csv", rows[i].lines);
    put(&lists, "split.csv", SPLIT);
    put(&lists, "inputs-a.csv", arena_format(&arena, "%s%s", INPUTS, rows[i].inputs));
    if (rows[i].desk[0]) {
      put(&lists, "desk-patch.csv", arena_format(&arena, "%s%s", DESK, rows[i].desk));
    }
    build(&arena, &lists, &plant);
    assert_int_equal(compare_all(&arena, &plant, NULL, COMPARE_EVERY_ACT, &found), STATUS_OK);
    const Disagreement* const d = found.n > 0 ? &found.list[0] : NULL;
    const bool good = found.n == rows[i].n &&
                      (!d || (d->what == rows[i].what && d->desk == rows[i].at &&
                              (d->line < 0 ? 0 : plant.lines[d->line].number) == rows[i].line &&
                              d->harms == rows[i].harms && strstr(d->say, rows[i].says)));
    if (!good) {
      print(&plant, &found);
      fail_msg("%s: %d disagreements", rows[i].name, found.n);
    }
    arena_deinit(&arena);
  }
}

// Import refuses a socket, or an input of a desk, that is given twice; a plant from elsewhere may
// have one.
static void
a_socket_given_twice_is_told(void** state)
{
  (void)state;
  Arena arena;
  Lists lists = {.n = 0};
  Plant plant;
  Comparison found;
  arena_init(&arena, NULL);
  put(&lists, "boxes.csv", BOXES);
  put(&lists, "lines.csv", LINES);
  put(&lists, "inputs-a.csv", INPUTS USUAL);
  build(&arena, &lists, &plant);
  ((Input*)plant.inputs)[1].line = plant.inputs[0].line;
  assert_int_equal(compare_all(&arena, &plant, NULL, 0, &found), STATUS_OK);
  assert_int_equal(found.n, 1);
  assert_int_equal(found.list[0].what, COMPARE_SOCKET);
  assert_string_equal(found.list[0].say, "A1 is given twice: to overhead and to vocal.");
  ((Line*)plant.lines)[1].desk_input[0] = plant.lines[0].desk_input[0];
  assert_int_equal(compare_all(&arena, &plant, NULL, -1, &found), STATUS_OK);
  assert_int_equal(found.n, 2);
  assert_string_equal(found.list[0].say, "Input 1 is given twice: to this line and to line 2.");
  assert_string_equal(found.list[1].say, "Input 1 is given twice: to this line and to line 1.");
  arena_deinit(&arena);
}

// ---- Read back ----

typedef struct {
  Arena arena;
  Plant plant;
  Fact facts[64];
  size_t n;
} Show;

static void
show_init(Show* s, const char* desk)
{
  Lists lists = {.n = 0};
  s->n = 0;
  arena_init(&s->arena, NULL);
  put(&lists, "boxes.csv", BOXES);
  put(&lists, "lines.csv", LINES);
  put(&lists, "split.csv", SPLIT);
  put(&lists, "inputs-a.csv", INPUTS USUAL);
  if (desk[0]) {
    put(&lists, "desk-patch.csv", arena_format(&s->arena, "%s%s", DESK, desk));
  }
  build(&s->arena, &lists, &s->plant);
}

static void
tell(Show* s, FactKind kind, const FactBody* body)
{
  Error error = {0};
  if (fact_make(&s->arena, kind, body, "2031-06-14T15:22:00Z", "", "", &s->facts[s->n], &error) !=
      STATUS_OK) {
    fail_msg("%s", error.text);
  }
  s->facts[s->n].seq = (int64_t)s->n + 1;
  ++s->n;
}

static Status
read_row(Show* s, int desk, int line_number, const char* differs)
{
  ReadbackRow* list = NULL;
  int n = 0;
  FactBody body;
  Error error = {0};
  assert_int_equal(readback_rows(&s->arena, &s->plant, 0, desk, READBACK_BY_LINE, &list, &n),
                   STATUS_OK);
  for (int i = 0; i < n; ++i) {
    if (s->plant.lines[list[i].line].number == line_number) {
      const Status st =
        readback_body(&s->arena, &s->plant, 0, desk, &list[i], differs, &body, &error);
      if (st == STATUS_OK) {
        tell(s, FACT_DESK_READ, &body);
      }
      return st;
    }
  }
  return STATUS_NOT_FOUND;
}

static void
compare_read(Show* s, Plant* plant, Comparison* found)
{
  Fold fold;
  assert_int_equal(fold_make(&s->arena, s->facts, s->n, &fold, NULL), STATUS_OK);
  *plant = s->plant;
  assert_int_equal(readback_overlay(&s->arena, &s->plant, s->plant.desk_rows, s->plant.n_desk_rows,
                                    &fold, &plant->desk_rows, &plant->n_desk_rows),
                   STATUS_OK);
  assert_int_equal(compare_all(&s->arena, plant, &fold, 0, found), STATUS_OK);
}

static const struct {
  const char* name;
  int line;
  const char* differs;
  Status want_st;
  int n;
  CompareWhat what;
} answers[] = {
  {"as it should be", 2, "", STATUS_OK, 0, COMPARE_NAME},
  {"phantom the other way round", 2, "48", STATUS_OK, 1, COMPARE_PHANTOM},
  {"phantom off", 2, "48 off", STATUS_OK, 1, COMPARE_PHANTOM},
  {"phantom on, which it is", 2, " 48V ON ", STATUS_OK, 0, COMPARE_NAME},
  {"phantom on a ribbon", 3, "48", STATUS_OK, 1, COMPARE_PHANTOM},
  {"pad", 1, "pad", STATUS_OK, 1, COMPARE_PAD},
  {"pad out of a receiver", 4, "pad", STATUS_OK, 1, COMPARE_PAD},
  {"pad by its decibels", 1, "pad 10", STATUS_OK, 1, COMPARE_PAD},
  {"open", 1, "open", STATUS_OK, 1, COMPARE_MUTE},
  {"another input", 1, "in 2", STATUS_OK, 1, COMPARE_PATCH},
  {"another channel alone is its own business", 1, "ch 17", STATUS_OK, 0, COMPARE_NAME},
  {"no such channel", 1, "none", STATUS_OK, 1, COMPARE_PATCH},
  {"another's name, which touches both", 1, "name overhead", STATUS_OK, 2, COMPARE_NAME},
  {"several at once", 1, "48 on, pad in; open", STATUS_OK, 3, COMPARE_PHANTOM},
  {"nonsense", 1, "blue", STATUS_BAD_INPUT, 0, COMPARE_NAME},
  {"half nonsense", 1, "pad blue", STATUS_BAD_INPUT, 0, COMPARE_NAME},
  {"an input nobody has", 1, "in 99", STATUS_BAD_INPUT, 0, COMPARE_NAME},
  {"a name without one", 1, "name", STATUS_BAD_INPUT, 0, COMPARE_NAME},
};

static void
what_is_typed_is_what_the_desk_has(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(answers) / sizeof(answers[0]); ++i) {
    Show s;
    Plant plant;
    Comparison found;
    show_init(&s, "");
    const Status st = read_row(&s, 0, answers[i].line, answers[i].differs);
    compare_read(&s, &plant, &found);
    if (st != answers[i].want_st || found.n != answers[i].n ||
        (found.n == 1 && found.list[0].what != answers[i].what)) {
      print(&plant, &found);
      fail_msg("%s: status %d, %d disagreements", answers[i].name, (int)st, found.n);
    }
    arena_deinit(&s.arena);
  }
}

static void
what_is_not_read_is_not_compared(void** state)
{
  (void)state;
  Show s;
  Plant plant;
  Comparison found;
  show_init(&s, "");
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 0);
  assert_int_equal(found.n_rows, 0);
  assert_string_equal(found.not_compared[found.n_not_compared - 1], "a: no desk is read.");
  assert_int_equal(read_row(&s, 0, 1, ""), STATUS_OK);
  assert_int_equal(read_row(&s, 0, 3, "48"), STATUS_OK);
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 1);
  assert_true(found.list[0].harms);
  bool is_said = false;
  for (int i = 0; i < found.n_not_compared; ++i) {
    is_said = is_said ||
              strcmp(found.not_compared[i], "a, house desk: not read on 3 lines (2, 4, 5).") == 0;
  }
  assert_true(is_said);
  // The row is taken back, and is not known again
  tell(&s, FACT_VOIDED, &(FactBody){.id = s.facts[1].id});
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 0);
  // Read again, rightly: the newest word counts
  assert_int_equal(read_row(&s, 0, 3, "48"), STATUS_OK);
  assert_int_equal(read_row(&s, 0, 3, ""), STATUS_OK);
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 0);
  arena_deinit(&s.arena);
}

// A read-back lies over the desk's list, channel by channel; what it does not speak of stays.
static void
a_read_back_lies_over_the_list(void** state)
{
  (void)state;
  Show s;
  Plant plant;
  Comparison found;
  show_init(&s, GOOD("foh", "no"));
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 1); // The overhead has no phantom on the list
  assert_int_equal(read_row(&s, 0, 2, "48 on"), STATUS_OK);
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 0);
  assert_int_equal(plant.n_desk_rows, 5);
  // Gain is not read back, so the list's stays
  const DeskRow* const row = plant_desk_row(&plant, 0, 0, 1);
  assert_true(row->is_read);
  CHECK_NEAR("gain", row->gain_db, 25.0, 0.0);
  // Crossed, and only one of the two read so far: the other stands as listed
  assert_int_equal(read_row(&s, 0, 1, "in 2"), STATUS_OK);
  compare_read(&s, &plant, &found);
  assert_int_equal(found.n, 1);
  assert_int_equal(found.list[0].what, COMPARE_PATCH);
  arena_deinit(&s.arena);
}

// ---- Marks ----

static void
mark_of(const char* inputs, char mark[MARK_ROOM])
{
  Arena arena;
  Lists lists = {.n = 0};
  Plant plant;
  arena_init(&arena, NULL);
  put(&lists, "boxes.csv", BOXES);
  put(&lists, "lines.csv", LINES);
  put(&lists, "inputs-a.csv", inputs);
  build(&arena, &lists, &plant);
  (void)mark_act(&plant, NULL, 0, mark);
  arena_deinit(&arena);
}

static void
a_mark_follows_what_a_list_says(void** state)
{
  (void)state;
  static const char* const same[] = {
    INPUTS "1,vocal,dyn-vocal,no,A,1\n2,overhead,cond-small,yes,A,2\n",
    INPUTS "2,overhead,cond-small,yes,A,2\n1,vocal,dyn-vocal,no,A,1\n",
    "Box;Socket;48V;Mic;Instrument;Ch\nA;1;;dyn-vocal;vocal;1\nA;2;x;cond-small;overhead;2\n"};
  static const char* const other[] = {
    INPUTS "1,vocal,dyn-vocal,no,A,2\n2,overhead,cond-small,yes,A,1\n",
    INPUTS "1,vocal,dyn-vocal,yes,A,1\n2,overhead,cond-small,yes,A,2\n",
    INPUTS "1,vocal 2,dyn-vocal,no,A,1\n2,overhead,cond-small,yes,A,2\n",
    INPUTS "1,vocal,dyn-inst,no,A,1\n2,overhead,cond-small,yes,A,2\n",
    INPUTS "1,vocal,dyn-vocal,no,A,1\n"};
  char first[MARK_ROOM];
  char mark[MARK_ROOM];
  mark_of(same[0], first);
  assert_int_equal(strlen(first), 5);
  assert_string_equal(first + 3, " 1");
  assert_true(first[0] != first[1] && first[1] != first[2] && first[0] != first[2]);
  for (size_t i = 1; i < sizeof(same) / sizeof(same[0]); ++i) {
    mark_of(same[i], mark);
    assert_string_equal(mark, first);
  }
  for (size_t i = 0; i < sizeof(other) / sizeof(other[0]); ++i) {
    mark_of(other[i], mark);
    assert_string_not_equal(mark, first);
  }
}

static void
versions_are_compared_by_what_both_say(void** state)
{
  (void)state;
  static const struct {
    const char *a, *b;
    bool same;
  } cases[] = {{"3", "QLR 3", true},      {"v3", "3", true},        {"qlr3", "QLR 3", true},
               {"QLR", "QLR 3", true},    {"2", "QLR 3", false},    {"QLX 3", "QLR 3", false},
               {"QLR 2", "qlr 3", false}, {"final", "final", true}, {"final", "QLR 3", false}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    if (mark_same(cases[i].a, cases[i].b) != cases[i].same) {
      fail_msg("%s and %s", cases[i].a, cases[i].b);
    }
  }
  Arena arena;
  Lists lists;
  Plant plant;
  MarkHeld held[MARK_PLACES];
  char mark[MARK_ROOM];
  arena_init(&arena, NULL);
  read_demo(&arena, &lists);
  build(&arena, &lists, &plant);
  const int act = plant_act(&plant, "act3");
  assert_string_equal(mark_act(&plant, NULL, act, mark) + 3, " 3");
  assert_int_equal(mark_held(&plant, NULL, act, NULL, 0, held), 4);
  assert_int_equal(held[0].word, MARK_SAME);
  assert_int_equal(held[1].word, MARK_OTHER);
  // It is told that they have the new one now
  Fact fact;
  Fold fold;
  const FactBody body = {.desk = "mon", .version = mark, .act = "act3"};
  assert_int_equal(
    fact_make(&arena, FACT_HOLDS, &body, "2031-06-14T15:22:00Z", "", "", &fact, NULL), STATUS_OK);
  fact.seq = 1;
  assert_int_equal(fold_make(&arena, &fact, 1, &fold, NULL), STATUS_OK);
  assert_int_equal(mark_held(&plant, &fold, act, NULL, 0, held), 4);
  assert_int_equal(held[1].word, MARK_SAME);
  arena_deinit(&arena);
}

// ---- Memory ----

static Status
all_work(Arena* arena, const Plant* plant, const Fold* fold)
{
  Comparison found;
  Plant over = *plant;
  ReadbackRow* list = NULL;
  FactBody body;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, readback_overlay(arena, plant, plant->desk_rows, plant->n_desk_rows, fold,
                           &over.desk_rows, &over.n_desk_rows));
  TRY(st, readback_rows(arena, &over, 0, 0, READBACK_BY_LIST, &list, &n));
  TRY(st, readback_body(arena, &over, 0, 0, &list[0], "48 on, pad 10", &body, NULL));
  return compare_all(arena, &over, fold, COMPARE_EVERY_ACT, &found);
}

static void
every_failed_allocation_is_survived(void** state)
{
  (void)state;
  Show s;
  Fold fold;
  show_init(&s, GOOD("foh", "no") "a,foh,9,6,second,no,20,0,no\na,mon,1,2,vocal,yes,0,0,\n");
  assert_int_equal(read_row(&s, 1, 3, "48, open"), STATUS_OK);
  assert_int_equal(fold_make(&s.arena, s.facts, s.n, &fold, NULL), STATUS_OK);
  FailingHeap heap = {0};
  Allocator from = failing_allocator(&heap);
  Arena arena;
  arena_init(&arena, &from);
  assert_int_equal(all_work(&arena, &s.plant, &fold), STATUS_OK);
  arena_deinit(&arena);
  const int n = heap.n_requests;
  const int step = failing_step(n, 200);
  for (int i = 1; i <= n; i += step) {
    heap = (FailingHeap){.fail_at = i};
    from = failing_allocator(&heap);
    arena_init(&arena, &from);
    assert_int_equal(all_work(&arena, &s.plant, &fold), STATUS_NO_MEMORY);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
  arena_deinit(&s.arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(what_is_planted_is_found_and_nothing_else),
    cmocka_unit_test(a_corrected_copy_says_nothing),
    cmocka_unit_test(order_of_rows_and_columns_does_not_count),
    cmocka_unit_test(one_error_is_found_and_only_it),
    cmocka_unit_test(each_sort_is_told),
    cmocka_unit_test(a_socket_given_twice_is_told),
    cmocka_unit_test(what_is_typed_is_what_the_desk_has),
    cmocka_unit_test(what_is_not_read_is_not_compared),
    cmocka_unit_test(a_read_back_lies_over_the_list),
    cmocka_unit_test(a_mark_follows_what_a_list_says),
    cmocka_unit_test(versions_are_compared_by_what_both_say),
    cmocka_unit_test(every_failed_allocation_is_survived),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
