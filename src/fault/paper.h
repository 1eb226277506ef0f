// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/catalogue.h"

/*
  Paper faults: what a desk has, against what the act's list and the kinds say it should have.

    list:  act2, line 21 "acoustic DI", active DI  --should be-->  phantom on, pad out, 20 dB
    desk:  act2, house desk, channel 21, takes 21  --has-------->  phantom no, pad 0, 20 dB

  One row of a desk is judged thing by thing. Each thing agrees, disagrees, or is not known, and not
  known is what was never read: it is never taken for agreement. A desk may have its channels in any
  order and call them by short names; both are its own business and no disagreement.

  A disagreement is a reading of paper and gets its weight by Bayes' rule, see paper_ratio.
*/

typedef enum {
  PAPER_PHANTOM,
  PAPER_PATCH, ///< Whether the channel that is called as the source takes the source's line
  PAPER_PAD,
  PAPER_GAIN,
  PAPER_THINGS
} PaperThing;

typedef enum { PAPER_UNKNOWN, PAPER_AGREES, PAPER_DISAGREES } PaperWord;

/// How the name of a channel stands to the source of the line it takes.
typedef enum {
  PAPER_NAME_NONE,   ///< The channel has no name
  PAPER_NAME_OWN,    ///< The source's, or short for it
  PAPER_NAME_OTHER,  ///< Another source of the act
  PAPER_NAME_STRANGE ///< None of the act's
} PaperName;

/// What a desk has for one line.
typedef struct {
  const DeskRow* takes; ///< A channel that takes the line, the one with its own name first
  const DeskRow* named; ///< A channel with the source's name that takes another line, or none
  const DeskRow* read;  ///< What the read-back of this line found, NULL = not read back
  PaperName name;       ///< Of `takes`
  int other;            ///< PAPER_NAME_OTHER: index of that source's line (-1 = on no line)
  bool is_listed;       ///< The desk's own list of the act is there, so a line left out has no
                        ///< channel
} PaperLine;

/// A pad of 20 dB with 5 dB of doubt: that much below usual and a pad is taken for left in.
#define PAPER_PAD_LOW_DB 15.0

/// The gain is wrong when it is further off than a pad, or the gain for another act's source, would
/// put it. Both usual practice, no source: playing differs by 10 dB and more.
#define PAPER_GAIN_OFF_DB 20.0

/// From this level on a source wants the pad in: between the outputs of DIs and those at line level
/// (usual practice, no source).
#define PAPER_PAD_FROM_DBU (-5.0)

/// Look up what a desk has for a line of an act; `act` -1 = bare lines.
void
paper_line(const Plant* plant, int act, int desk, int line, PaperLine* found);

/// How the name of a channel stands to the source of `line` in an act. On bare lines a channel goes
/// by the number of its line. @param[out] other May be NULL; see PaperLine.
PaperName
paper_name(const Plant* plant, int act, int line, const char* name, int* other);

/// Whether phantom set at a desk gets to a line: of the desk that owns it, and past a split without
/// transformers that of any.
bool
paper_phantom_gets_there(const Plant* plant, int desk, int line);

/// Whether a source must have phantom from a desk: its kind needs it and nothing in line feeds it.
bool
paper_needs_phantom(const Plant* plant, const Input* input);

/// Usual level of what plays on a line, at the desk [dBu]; NaN when nobody knows. On bare lines a
/// moving-coil microphone is walked.
double
paper_level_dbu(const Plant* plant, int act, int line);

/// What a desk says of one thing of a line.
PaperWord
paper_says(const Plant* plant, int act, int desk, int line, PaperThing thing);

/// The same from what paper_line found.
PaperWord
paper_says_of(const Plant* plant, int act, int desk, int line, const PaperLine* found,
              PaperThing thing);

/**
   What a word of paper weighs: P(word | the fault) / P(word | no fault).

   A desk's list is a reading with three ways to be wrong (rows "paper ..." of the misreading list,
   assumed): it was changed after it was taken (`old`), and then it speaks of an earlier state in
   which the fault was as likely as ever; else an entry is put down wrong although all is well
   (`wrong`), or the fault is passed over (`missed`), which comes easily when agreeing is one key.

     P(disagrees | fault) = (1 - old) (1 - missed) + old prob
     P(disagrees | none)  = (1 - old) wrong        + old prob

   It is much above a first guess and much below proof: an active DI whose phantom a list has off
   goes from 1 in 800 to 1 in 2.

   @param is_read  Read back today, which makes `old` smaller than of a list.
   @param prob     Chance of the fault before, in [0, 1].
   @return 1 when the word is PAPER_UNKNOWN; > 0, finite.
*/
double
paper_ratio(const Plant* plant, bool is_read, PaperWord word, double prob);

/// paper_ratio for a fault of a line at a desk; `found` as paper_line fills it.
double
paper_fault_ratio(const Plant* plant, int act, int desk, int line, const PaperLine* found,
                  FaultMode mode, double prob);

/// The same for phantom that is off on several lines at once: those of a box, or with `box` -1
/// those of analogue boxes on inputs `first` to `last` of the desk. It disagrees when it is off on
/// more than half of the lines that need it. A switch for many stands on no channel's row, so
/// `missed` is higher here.
double
paper_many_ratio(const Plant* plant, int act, int desk, int box, int first, int last, double prob);
