// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/heading.h"
#include "stage/tester.h"

#include <stdbool.h>

/*
  A plant on the way: what the lists have said so far, in arrays that still grow.

  Private to the stage room. lists.c decides which lists count and in which order they are read,
  rows.h turns the rows of one list into things, assume.c fills what nobody said and says so.
  Everything lives in the arena of the plant, so a draft that fails leaves nothing to clean.
*/

#define GROWING(T)                                                                                 \
  struct {                                                                                         \
    T* at;                                                                                         \
    T* more;                                                                                       \
    int n;                                                                                         \
    int room;                                                                                      \
  }

/// True when there is room for one more thing; its memory is zero.
#define MAKE_ROOM(arena, list)                                                                     \
  ((list).n < (list).room ? true                                                                   \
   : ((list).more = arena_grow((arena), (list).at, (size_t)(list).n, (size_t)(list).room * 2 + 16, \
                               sizeof(*(list).at)))                                                \
     ? ((list).at = (list).more, (list).room = (list).room * 2 + 16, true)                         \
     : false)

enum {
  DRAFT_MAX_ROWS = 20000, ///< In one list of inputs, items or desk channels
  DRAFT_MAX_FEW = 2000,   ///< In one list of any other sort
  DRAFT_MAX_BOXES = 64,
  DRAFT_MAX_ACTS = 64,
  DRAFT_MAX_KINDS = 512,
  DRAFT_MAX_INLINES = 256,
  DRAFT_MAX_PLACES = 256,
  DRAFT_MAX_SOCKETS = 96 ///< In one box
};

/// The three desks in the order of the plant.
enum { DESK_FOH, DESK_MON, DESK_BROADCAST };

typedef struct {
  int from, to;
  double seconds;
} Walk;

/// An input row before boxes and lines are known.
typedef struct {
  Input input;
  const List* list;
  const TableRow* row;
  const char* box;     ///< "" = the row names none
  int socket;          ///< 0 = the row names none
  int line;            ///< Number; 0 = the row names none
  const char* through; ///< As written: "pad 20 + y-lead to B7"
} DraftInput;

typedef struct {
  Box box;
  const List* list; ///< NULL = assumed
  const TableRow* row;
  const char* joins;
  const char* spares; ///< "15 16"
} DraftBox;

typedef struct {
  DeskRow desk_row;
  const List* list;
  const TableRow* row;
} DraftDeskRow;

typedef struct {
  Item item;
  const List* list;
  const TableRow* row;
} DraftItem;

/// A tester on the way; `row` is its first.
typedef struct {
  Tester tester;
  GROWING(TesterPart) parts;
  const List* list;
  const TableRow* row;
} DraftTester;

typedef struct {
  Arena* arena;
  Error* error;
  GROWING(Kind) kinds;
  GROWING(const char*) also; ///< Other names of each kind
  GROWING(Inline) inlines;
  GROWING(const char*) inline_also;
  GROWING(DraftBox) boxes;
  GROWING(Line) lines;
  GROWING(Act) acts;
  GROWING(DraftInput) inputs;
  GROWING(DraftDeskRow) desk_rows;
  GROWING(DraftItem) items;
  GROWING(Person) people;
  GROWING(const char*) places;
  GROWING(Walk) walks;
  GROWING(StepTime) times;
  GROWING(StartOdds) odds;
  GROWING(Misread) misreads;
  GROWING(Needed) needed;
  GROWING(KitItem) kit;
  GROWING(DraftTester) testers;
  GROWING(Meter) meters;
  GROWING(ListVersion) versions;
  GROWING(DriveLine) drives;
  GROWING(OutputCircuit) outputs;
  GROWING(const char*) assumed;
  GROWING(const char*) left_aside;
  const DraftItem** by_tag;     ///< [items.n], by tag; made by assume_items
  int n_in_act[DRAFT_MAX_ACTS]; ///< Inputs
  Split split;
  bool has_split;
  bool has_boxes; ///< Somebody listed them; else boxes are made as they are named
  int direct;     ///< DESK_FOH unless the split list says otherwise
  bool has_desk[PLANT_DESKS];
  double between_ohm[PLANT_DESKS]; ///< As Desk has them
  double each_ohm[PLANT_DESKS];
  Doors doors;
  double multicore_m;
} Draft;

/// Open lists, the built-in ones before them: tables, answers, sorts, columns, and input lists
/// tidied. [*n] in the order of the call. `draft` needs its arena and error only.
Status
lists_open(Draft* draft, const ListText* lists, int n_lists, List** opened, int* n);

/// The answers among lists, and nothing else of them.
Status
lists_mapping(Draft* draft, const ListText* lists, int n_lists, Mapping* mapping);

/// Index of a kind by its name or another one it goes by, -1 when there is none.
int
draft_kind(const Draft* draft, const char* name);

/// Whether two rows of names between bars ("pad|barrel pad") hold a name; plain letters decide.
bool
draft_goes_by(const char* also, const char* name);

/// The draft could not get memory: says so.
Status
draft_no_memory(const Draft* draft);

/// Add a sentence to `assumed` or `left_aside`.
Status
draft_assume(Draft* draft, const char* format, ...) __attribute__((format(printf, 2, 3)));
Status
draft_leave(Draft* draft, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// Index of a place, added when it is new.
Status
draft_place(Draft* draft, const char* name, int* place);

/// Index of an act by its name, added when it is new.
Status
draft_act(Draft* draft, const char* name, int* act);

/// Index of a box by its name, -1 when there is none.
int
draft_box(const Draft* draft, const char* name);

/// What is wrong in a cell: fills the error with its file, line and column (FIELD_COUNT: the
/// first).
Status
draft_bad(const Draft* draft, const List* list, const TableRow* row, Field field,
          const char* format, ...) __attribute__((format(printf, 5, 6)));

/// Fill boxes, lines, desks, split, walking times that nobody listed. `n_bare_lines` as
/// lists_build.
Status
assume_plant(Draft* draft, int n_bare_lines);

/// Index of a box by its name, made when there is none and nobody listed the boxes; -1: no such
/// box.
Status
draft_box_named(Draft* draft, const char* name, int n_sockets, int* box);

/// Put every input on its line, ordered by act.
Status
assume_inputs(Draft* draft);

/// No item tag is listed twice. Comes before assume_inputs, which looks tags up.
Status
assume_items(Draft* draft);

/// "house desk": a desk as people say it, by its place in Plant.desks as usual.
const char*
assume_desk_say(int desk);

/// Desk rows name lines that are there, and no channel is listed twice.
Status
assume_desk_rows(Draft* draft);

/// Walking seconds between all places [n x n]: as listed, else as the way back, else usual values.
Status
assume_walks(Draft* draft, double** walk_s);

/// The desks that are there, in the order of the plant.
void
assume_desks(const Draft* draft, Plant* plant);
