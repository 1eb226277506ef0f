// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"

#include <stdbool.h>
#include <stddef.h>

/*
  The command line as plain data: one verb, its words, its options.

  Every option is one row of a table in args.c: its name, what its value may be, the field of Args
  it fills. Which of them a verb knows stands in the verb's row, by name; an option of another verb
  is refused with the verb's usage, because a switch that does nothing is worse than an error.
  Options may stand anywhere after the verb; "--" ends them.
*/

/// The row of a verb that the command line needs.
typedef struct {
  const char* name;
  int low_words;       ///< Fewest words after the verb
  int high_words;      ///< Most
  const char* options; ///< Names with blanks between, beside those every verb knows
} ArgsVerb;

/// What an option fills, and so what its value may be.
typedef enum {
  ARGS_FLAG,   ///< bool; takes no value
  ARGS_TEXT,   ///< const char*; anything
  ARGS_CHOICE, ///< const char*; one of a few words
  ARGS_WHOLE,  ///< int
  ARGS_NUMBER, ///< double
  ARGS_MANY    ///< ArgsMany; may be given again
} ArgsType;

/// One option in the table of args.c.
typedef struct {
  const char* name;  ///< Without the dashes
  const char* value; ///< What its value is called, NULL = takes none
  const char* does;  ///< One phrase for the help
  ArgsType type;
  size_t field;       ///< Where in Args
  double low, high;   ///< ARGS_WHOLE, ARGS_NUMBER: both allowed
  const char* choice; ///< ARGS_CHOICE: words with blanks between
} ArgsOption;

enum { ARGS_MANY_MAX = 64 };

/// The values of an option that may be given again.
typedef struct {
  const char* text[ARGS_MANY_MAX]; ///< [n]
  int n;
} ArgsMany;

typedef struct {
  char** words; ///< [n_words], borrowed from argv
  int n_words;
  bool json, pretty, yes, force, nobody_answers, wants_help, man, completion, design, give, parts;
  const char* act; ///< NULL = not given; so with every text here
  const char* at;
  const char* follows; ///< around
  bool back;           ///< around
  bool anew;           ///< patch
  bool voices_move;    ///< patch
  const char* from;
  const char* id;
  const char* role;
  const char* why;
  const char* as;
  const char* sheet;
  ArgsMany means;
  bool ask;
  const char* show;
  const char* under;
  const char* lamps;
  const char* lamp_volts;
  const char* by;
  int n_lines; ///< 0 = not given
  int seconds; ///< -1 = not given
  int breaks;  ///< 0 = not given
  int n_hands; ///< 0 = not given
  const char* clock;
  int take;       ///< 0 = not given
  int contacts;   ///< 0 = not given
  double most_ma; ///< 0 = not given
  double minutes; ///< 0 = not given
  // judge
  bool heap;
  const char* wired;
  const char* near_end;
  const char* far_end;
  const char* ohms;
  const char* plan;
  const char* limit;
  const char* tester;
  const char* tag;
  const char* line;
  const char* csv;
  double length_m;        ///< 0 = not given
  double section_mm2;     ///< 0 = not given
  double celsius;         ///< 20 = not given
  double insulation_mohm; ///< -1 = not given
  int awg;                ///< -1 = not given
  int flex;               ///< Breaks counted; -1 = not given
  // outputs
  bool enter, card;
  double loss_db; ///< 0 = not given
  const char* hz; ///< NULL = not given
  double volts;   ///< 0 = not given
  // rehearse
  int n_runs;   ///< --auto; 0 = not given
  int seed;     ///< -1 = not given
  int n_people; ///< 0 = not given
  // compare
  const char* read;
  const char* rows;
  const char* order;
  const char* holds;
  bool ways_round, asked, watch, tell;
  const char* hide;
  // change
  bool choose, begin, anyway;
  const char* takes;
  const char* done;
  // prove
  const char* way;
  const char* meter;
  const char* hunt;
  const char* go;
  // sheet
  bool about;
  const char* paper;
  const char* tape;
  const char* date;
  const char* page_address;
  const char* owner;
  int picture; ///< 0 = not given
  // serve
  int port; ///< -1 = not given
  bool lan;
  const char* limits;
  int stop_after_s; ///< 0 = not given
} Args;

/// The option of a long name; NULL when there is none.
const ArgsOption*
args_option(const char* name);

/// The next option of a list as in `ArgsVerb`, [*names] moved behind it; NULL at the end.
const ArgsOption*
args_next(const char** names);

/// Options every verb knows.
#define ARGS_COMMON "json pretty act help"

/**
   Read the words and options behind a verb.

   @param argv  [argc] argv[0] is the verb; reordered, options first.
   @param[out] args Untouched on error.
   @return STATUS_BAD_ARG with a sentence: unknown option, missing or senseless value, too few or
   too many words. With --help the number of words is not looked at.
*/
Status
args_read(const ArgsVerb* verb, int argc, char** argv, Args* args, Error* error);
