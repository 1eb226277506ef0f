// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/fold.h"
#include "stage/plant.h"

/*
  A way round that was taken is a loan: the line runs elsewhere until it is given back.

      taken  --each desk follows-->  in force  --next act-->  due  --given back-->  gone

  It is told by one fact (moved, line and way), so one undo takes the whole of it back. From then on
  the list in force is the lists with the loans laid over them: its mark is another one, every desk
  the way concerns is asked to follow, and until a desk says so (the step is done, it was read back,
  or it holds the new mark) it counts as not following. A loan of an act that is over is *due*: its
  plug sits where the next act may want to plug. One told on bare lines holds in every act.

  What a way is called, in the fact and on every screen:

      D8                  the plug sits in another socket
      line 43             the same; or, where an input of the act sits there, that source is used
      foh 39              the line is in another input of one desk, that of a free line
      mon from foh        one desk gets the source from another desk
      mon side broadcast  one desk has the side of the split that another one had
      box E               the box has its spare network lead
      (nothing)           given back

  For whoever plans a changeover: loan_list has all loans; a plug's real socket in an act is
  loan_plug_at, and what gives a loan back, who does it and with which caution is loan_back.

  Pure; any thread. Everything lives in the caller's arena and borrows plant and fold.
*/

typedef enum {
  WAY_NONE,   ///< Given back
  WAY_SOCKET, ///< The plug in another socket
  WAY_SPARE,  ///< Another source of the act, plugged and ready
  WAY_INPUT,  ///< Another input of one desk
  WAY_FEED,   ///< One desk fed by another one
  WAY_SIDE,   ///< One desk on another desk's side of the split
  WAY_LEAD,   ///< The box's spare network lead
  WAY_COUNT
} WaySort;

typedef struct {
  WaySort sort;
  WaySort was;     ///< Of one that was given back: what it had been; else the same as `sort`
  int act;         ///< Index; -1 = told on bare lines: in every act
  int line;        ///< Index of the line that is gone round
  int to;          ///< Index of the line it runs on; `line` itself for what one desk does
  int desk;        ///< INPUT, FEED, SIDE: the desk; else -1
  int other;       ///< FEED: the desk that gives; SIDE: the one whose side it was; else -1
  int input;       ///< INPUT: number of the desk's input; else 0
  int lender;      ///< INPUT: index of the line whose input it is; -1 = of none
  const char* way; ///< As told; of one that was given back, as it was told before
  const char* id;  ///< Of the fact
  int64_t seq;     ///< Of the fact
  bool concerns[PLANT_DESKS]; ///< Desks that have something to do
  bool followed[PLANT_DESKS]; ///< And have said that they did
  bool was_read[PLANT_DESKS]; ///< Were read back on its lines since: what they have is known
} Loan;

/// "socket", "spare", "input", "feed", "side", "lead", "back"; never NULL.
const char*
loan_sort_word(WaySort sort);

/// What a way is. @return false when it names none that can be of this line; `loan` untouched then,
/// else without what the fact knows (id, seq, followed).
bool
loan_read(const Plant* plant, int act, int line, const char* way, Loan* loan);

/**
   The loans of a show, those in force by line, then act; behind them those given back whose desks
   have something to put back (WAY_NONE).
   @param fold NULL = none.
   @param[out] loans [*n] in `arena`; untouched on error. Facts that do not fit the plant are left
   out.
   @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
loan_list(Arena* arena, const Plant* plant, const Fold* fold, const Loan** loans, int* n);

/// The loan of a line in an act, NULL when it is on its own way.
const Loan*
loan_of(const Loan loans[], int n, int act, int line);

/// Line index of the socket where the plug of a line's source is in an act.
int
loan_plug_at(const Plant* plant, const Loan loans[], int n, int act, int line);

/// Whether it must be given back before an act: it was taken in one before it.
bool
loan_is_due(const Loan* loan, int act);

/// Whether it takes this line from everybody else, in whatever act: a plug in its socket, its input
/// at a desk, or it was left because something is wrong with it.
bool
loan_occupies(const Loan* loan, int line);

/**
   The plant as it is now in one act: the lists with the loans laid over them.
   @param[out] laid Borrows `plant` for whatever no loan touches; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
loan_lay(Arena* arena, const Plant* plant, const Loan loans[], int n, int act, Plant* laid);

/// The step of a desk that follows, as `done` words it: "way D8", "way back". In `arena`, NULL = no
/// memory.
const char*
loan_step(Arena* arena, const Loan* loan);

/// What one desk does to follow, one sentence in `arena`; "" where it has nothing to do, NULL = no
/// memory.
const char*
loan_desk_say(Arena* arena, const Plant* plant, const Loan* loan, int desk);

typedef struct {
  const char* say;     ///< What is done with the plugs, one sentence; "" where none is touched
  const char* caution; ///< What comes first, "" = nothing
  int place;           ///< Index into places where it is done; -1 = at a desk
  int desk;            ///< Index; -1 = on stage
  const char* desks[PLANT_DESKS]; ///< What each desk does, "" = nothing
} LoanBack;

/// What gives a loan back. @return STATUS_OK, STATUS_NO_MEMORY; `back` untouched on error.
Status
loan_back(Arena* arena, const Plant* plant, const Loan* loan, LoanBack* back);

/// "vocal lead, line 45, runs on D8 (taken in act4)", one phrase in `arena`, NULL = no memory.
const char*
loan_say(Arena* arena, const Plant* plant, const Loan* loan);
