// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/table.h"
#include "stage/lists.h"
#include "stage/mapping.h"

/*
  Headings: which list a table is, and in which column it keeps what.

  Private to the stage room. A heading is compared by its letters, digits and nothing else, so
  "Desk Channel", "desk_channel" and "DESK-CHANNEL" are one; each thing a list can say has the
  names it usually goes by. Where a name means different things on different lists ("kind", "no"),
  the list as a whole decides: the sort that has its needed columns and claims most of the headings.
*/

typedef enum {
  FIELD_AB,
  FIELD_ACT,
  FIELD_ALSO,
  FIELD_AMP_OHM,
  FIELD_BATTERY,
  FIELD_BESIDE,
  FIELD_BETWEEN_OHM,
  FIELD_BLOCKED,
  FIELD_BOX,
  FIELD_BROADCAST,
  FIELD_CAUTION,
  FIELD_CHANNEL,
  FIELD_CHECK,
  FIELD_CIRCUIT,
  FIELD_CLOCK,
  FIELD_CONNECTOR,
  FIELD_CONTACTS,
  FIELD_COUNT_OF,
  FIELD_DATE,
  FIELD_DELAY_MS,
  FIELD_DESK,
  FIELD_DESK_OUTPUT,
  FIELD_DIRECT,
  FIELD_DRAW_MA,
  FIELD_DRIVE,
  FIELD_DRIVE_LINE,
  FIELD_EACH_OHM,
  FIELD_END,
  FIELD_FAULT,
  FIELD_FIGURES,
  FIELD_FIRST_LINE,
  FIELD_FOH,
  FIELD_FROM,
  FIELD_GAIN_DB,
  FIELD_GREEN_V,
  FIELD_FULL_V,
  FIELD_HARMLESS,
  FIELD_HISTORY,
  FIELD_INLINE,
  FIELD_INLINE_SORT,
  FIELD_JACK,
  FIELD_JOINS,
  FIELD_KIND,
  FIELD_KIT,
  FIELD_LAST_LINE,
  FIELD_LAST_TEST,
  FIELD_LEADS,
  FIELD_LEAST_V,
  FIELD_LENGTH_M,
  FIELD_LEVEL_DBU,
  FIELD_LIFT,
  FIELD_LIFTED,
  FIELD_LINE,
  FIELD_LOW_LEVEL_DB,
  FIELD_MATINGS,
  FIELD_MEANING,
  FIELD_MEANS,
  FIELD_METER,
  FIELD_MICROPHONE,
  FIELD_MIX,
  FIELD_MON,
  FIELD_MUST,
  FIELD_MUTED,
  FIELD_NAME,
  FIELD_NEEDED,
  FIELD_NEEDS,
  FIELD_NOTE,
  FIELD_OHM,
  FIELD_ONE_LEG,
  FIELD_OWNER,
  FIELD_P48_HIGH,
  FIELD_P48_LOW,
  FIELD_PAD_DB,
  FIELD_PAIR,
  FIELD_PART,
  FIELD_PARALLEL,
  FIELD_PATCH,
  FIELD_PHANTOM,
  FIELD_PLACE,
  FIELD_PLAYS,
  FIELD_POLES,
  FIELD_POSITION,
  FIELD_POWER,
  FIELD_PRIMARY_H,
  FIELD_PRIMARY_OHM,
  FIELD_PROB,
  FIELD_PROCESSOR_OUT,
  FIELD_QUICK,
  FIELD_R23_HIGH,
  FIELD_R23_LOW,
  FIELD_RADIO,
  FIELD_RATIO,
  FIELD_RED_V,
  FIELD_RIBBON,
  FIELD_ROLE,
  FIELD_SECONDARY_OHM,
  FIELD_SECONDS,
  FIELD_SERIES_OHM,
  FIELD_SHARE,
  FIELD_SHUNT_OHM,
  FIELD_SIDES,
  FIELD_SLOW,
  FIELD_SOCKET,
  FIELD_SOCKETS,
  FIELD_SOURCE,
  FIELD_SOURCE_OHM,
  FIELD_SPARE,
  FIELD_SPARES,
  FIELD_SPLIT,
  FIELD_SPLIT_CHANNEL,
  FIELD_STAGE,
  FIELD_STAND,
  FIELD_START,
  FIELD_STARTS_AT,
  FIELD_STATE,
  FIELD_STEP,
  FIELD_SUPPLY_OHM,
  FIELD_SWITCH,
  FIELD_TAG,
  FIELD_TAIL,
  FIELD_TAIL_M,
  FIELD_TESTER,
  FIELD_THROUGH,
  FIELD_TO,
  FIELD_UNDER,
  FIELD_USUAL,
  FIELD_VERSION,
  FIELD_VOICE,
  FIELD_VOLTS,
  FIELD_WHAT,
  FIELD_WHERE,
  FIELD_WHO,
  FIELD_WRITTEN,
  FIELD_ZONE,
  FIELD_ZONE_NAME,
  FIELD_AMP,
  FIELD_AMP_CHANNEL,
  FIELD_AMP_MIN_OHM,
  FIELD_AMP_W,
  FIELD_AWG,
  FIELD_BAND,
  FIELD_BOXES,
  FIELD_CABLE,
  FIELD_CABLE_OHM,
  FIELD_DRIVER_OHM,
  FIELD_DRIVERS,
  FIELD_EXPECT_OHM,
  FIELD_FEEDS,
  FIELD_HIGH_OHM,
  FIELD_HIGH_UF,
  FIELD_COIL_MH,
  FIELD_LINE_V,
  FIELD_LINK_M,
  FIELD_LOAD_OHM,
  FIELD_MISSING_OHM,
  FIELD_MM2,
  FIELD_MODE,
  FIELD_NOMINAL_OHM,
  FIELD_PINS,
  FIELD_PRESET,
  FIELD_RETURN_PAIR,
  FIELD_TAP_W,
  FIELD_COUNT
} Field;

/// How sure it is that a row is no input. Open: it looks as much like one.
typedef enum { ASIDE_SURE, ASIDE_SAID, ASIDE_LIKELY, ASIDE_OPEN } AsideSure;

/// A row of a list that is none of its things.
typedef struct {
  int line;
  ListRowUse use;
  const char* text; ///< Its cells between bars
  AsideSure sure;
} AsideRow;

/// A table with its sort and its columns.
typedef struct {
  const char* name;
  ListSort sort;
  bool is_built_in;
  int n_title;            ///< Rows above the headings, not in the table any more
  const TableRow* titles; ///< [n_title]
  bool has_no_headings;   ///< Its columns are called "column 1" and so on
  Table table;
  int at[FIELD_COUNT];   ///< Column of each field, -1 = this list does not have it
  const AsideRow* aside; ///< [n_aside] taken out of an input list by tidy_rows
  int n_aside;
  const Mapping* mapping; ///< What people answered; NULL = nothing
} List;

/// Find the sort and the columns of `list->table`; LIST_UNKNOWN clears the columns. Rows of title
/// above the headings (as many as HEADING_MAX_TITLE) are cut off the table; headings that stand in
/// two rows, one over the other, become one row ("Stage box" over "Socket" is "Stage box Socket",
/// found by "socket" or by both words); a column that has text below and no heading is called
/// "column 4". `list->mapping` renames headings.
/// @return STATUS_OK, STATUS_NO_MEMORY.
Status
heading_find(Arena* arena, List* list);

enum { HEADING_MAX_TITLE = 24 };

/// Static sentence on what a sort is known by; for LIST_UNKNOWN that none fits.
const char*
heading_why(ListSort sort);

/// The sort a file name hints at ("inputs-act2.csv"), LIST_UNKNOWN when it hints at none.
ListSort
heading_hint(const char* file);

/// First column a sort needs that this table lacks, by its usual name; NULL when it lacks none.
const char*
heading_missing(const Table* table, ListSort sort);

/// Whether a row cannot do without this field on this sort of list.
bool
heading_needs(ListSort sort, Field field);

/// Whether `plain` is one of the plain names in a row that each end with a bar: "ch|channel|".
bool
heading_among(const char* names, const char* plain);

/// Letters and digits of a heading or name, lower case, cut at `size`.
void
heading_plain(const char* text, char* plain, size_t size);

/// A thing an input list can say and people can be asked for.
typedef struct {
  Field field;
  char key;         ///< Its key in a conversation
  const char* word; ///< In a mapping: "pickup"
  const char* say;  ///< To a person: "the microphone or DI"
} HeadingQuestion;

/// Whether a heading is usual on input lists and says nothing of lines: "colour", "insert", "mix".
bool
heading_is_usual(const char* text);

/// All of them, ended by one without a word.
const HeadingQuestion*
heading_questions(void);

/// By its word; NULL when there is none.
const HeadingQuestion*
heading_question(const char* word);

/// To a person: what a field of a list is ("the microphone or DI"; "usual s"). NULL: no memory.
const char*
heading_say(ListSort sort, Field field, Arena* arena);
