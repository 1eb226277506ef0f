// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/hands.h"

/*
  From one act to the next: what stays, what moves, what comes out and what goes in; who does it, in
  which order; what each desk sets; and how far it has come.

      desks:  mute .. phantom off ........ set channels ....................... phantom on
                          \                                                    /
      hands:               \ box A: 1, 2, 3 -> box D: 1, 4 ...    box by box  /

  Nothing is pulled before each desk that has the line has said it is muted and the desk that gives
  phantom that it is off; phantom goes on again when a box is done, still muted. Somebody on stage
  can tell that a desk was heard saying so, or go on with lines anyway: then the steps wait no
  longer, and a note says so until the desk has muted after all.

  It is worked out anew from the lists and everything told, so it is also the re-plan: after each
  word of what was done, and after anything was taped off, from where everybody stands. Done steps
  stay in it, with who did them. A hand who is done is offered what others have not begun and that
  makes all ready earlier; when something is taped off it gets it without asking.
*/

typedef enum { CHANGE_KEEP, CHANGE_MOVE, CHANGE_STRIKE, CHANGE_PLUG } ChangeDo;

/// One plug.
typedef struct {
  ChangeDo does;
  int line;           ///< Socket: where it goes; of a strike where it comes out
  int from;           ///< Keep, move: the line it comes from; else -1
  int plug;           ///< Index
  const char* source; ///< In the act after; of a strike in the act before
  const char* was;    ///< What the socket had in the act before; "" = nothing
  const char* say;    ///< One sentence
  bool is_done;       ///< A keep always is
  AllotWhy why;
  int step; ///< Index of the step that does it; -1 = none is needed
} ChangeMove;

typedef enum {
  CHANGE_DOES_MUTE,
  CHANGE_DOES_OFF,
  CHANGE_DOES_STRIKE,
  CHANGE_DOES_MOVE,
  CHANGE_DOES_PLUG,
  CHANGE_DOES_HOLD,
  CHANGE_DOES_PATCH,
  CHANGE_DOES_ON,
  CHANGE_DOES_CABLE ///< The plug stays what it is and gets another cable
} ChangeDoes;

/// One channel of a desk as it must be in the act after.
typedef struct {
  int channel;
  int line;  ///< Index
  int input; ///< Physical input it takes
  const char* name;
  Answer phantom; ///< At this desk
  bool pad_in;
  bool is_new; ///< The desk had no such channel in the act before
  bool moves_input, renames, moves_pad, moves_phantom; ///< What is not as it was
  const char* was;                                     ///< Name the channel had; "" = none
} ChangeChannel;

typedef struct {
  ChangeDoes does;
  const char* key; ///< Short and the same as long as the step is: "B3", "mute foh"
  int person;      ///< Index
  int place;
  int desk; ///< -1 = at a box
  int line; ///< Socket; -1 = at a desk
  int box;  ///< Phantom on: the box that was plugged; -1 = none
  int plug; ///< -1 = none
  int from; ///< Line the plug comes from; -1
  const char* say;
  const char* why;
  const char* caution; ///< "" = none
  double cable_m;      ///< Length of cable it takes where not any will do; 0
  double seconds;      ///< Handling and the walk to it
  double start_s;      ///< From the begin of what is left
  const int* after;    ///< [n_after] steps that must be done before
  int n_after;
  const int* lines; ///< [n_lines] desk steps: for these lines
  int n_lines;
  const ChangeChannel* channels; ///< [n_channels] CHANGE_DOES_PATCH
  int n_channels;
  bool is_done;
  bool is_heard;       ///< The stage heard a desk say so, the desk did not tell it itself
  const Fact* done_by; ///< The fact that says so; NULL
  const Fact* anyway;  ///< The fact by which it does not wait for desks; NULL
  const Fact* taken;   ///< The fact by which this hand took it from another; NULL
} ChangeStep;

typedef struct {
  const char* role; ///< As the crew list has it
  const char* name; ///< Of several of one role: "stage sound hands 2"
  int place;        ///< Where they are now
  int desk;         ///< -1 = a hand of the stage
  const int* steps; ///< [n_steps] in working order, done ones first
  int n_steps;
  double seconds;   ///< Until their last step is done
  const int* offer; ///< [n_offer] a hand with nothing left: steps of others it could take
  int n_offer;
  double offer_s; ///< All is ready so much earlier then
} ChangePerson;

typedef struct {
  int plug;
  double saves_s; ///< What all are ready earlier by, those before it left out too
  const char* why;
} ChangeLeave;

typedef struct {
  int from, to;
  Plugged plugged;
  Allotment allotment;
  const ChangeMove* moves; ///< [n_moves] by box and socket, what comes out before what goes in
  int n_moves;
  int n_kept, n_moved, n_struck, n_plugged;
  const ChangeStep* steps; ///< [n_steps] in working order
  int n_steps;
  const ChangePerson* people; ///< [n_people]
  int n_people;
  double seconds;           ///< Until everything is done
  double gate_s;            ///< Until the first plug may be touched
  const ChangeLeave* leave; ///< [n_leave] first to leave out first, until it fits; all voices last
  int n_leave;
  double left_s;            ///< Seconds when these are left out
  bool fits;                ///< Within the deadline, without what is left out
  const char* const* notes; ///< [n_notes] sentences
  int n_notes;
} Change;

typedef struct {
  const char* now;   ///< "2031-06-14T17:52:07Z", for where everybody is
  int n_hands;       ///< 0 = as many as the crew list has
  bool is_free;      ///< Sockets may be chosen anew, except those of vocals
  double deadline_s; ///< 0 = none; below 0 = it is past
} ChangeOptions;

/// A desk has all its channels muted and says so; a glance and a press of a few buttons. Usual
/// practice, no source.
#define CHANGE_MUTE_S 15.0
#define CHANGE_PHANTOM_S 2.0 ///< Phantom of one channel
#define CHANGE_WAIT_S 5.0    ///< After phantom off: what is left in capacitors is gone
#define CHANGE_NAME_S 5.0    ///< A name or a pad

/**
   @param[out] change Lives in `arena`, borrows plant and fold; untouched on error.
   @return STATUS_OK, also when not every source gets a socket; STATUS_BAD_ARG for one act twice;
   STATUS_NO_MEMORY; STATUS_LIMIT. Pure; any thread.
*/
Status
change_plan(Arena* arena, const Plant* plant, const Fold* fold, int from, int to,
            const ChangeOptions* options, Change* change);

/// Whether a step is a desk's word that hands wait for: a muting or a phantom off that still has to
/// come.
bool
change_is_gate(const ChangeStep* step);

/// The first such step that one waits for, from `from` in its list on; -1 = none.
int
change_waits(const Change* change, const ChangeStep* step, int from);

/**
   The moves alone, without who makes them and when: `step` is -1 in each.
   @param plugged,allotment From plugged_now and allot_sockets of the same acts.
   @param[out] moves [*n] in `arena`, by box and socket, what comes out before what goes in;
   untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY. Pure; any thread.
*/
Status
change_moves(Arena* arena, const Plant* plant, const Plugged* plugged, const Allotment* allotment,
             ChangeMove** moves, int* n);

/// What a hand does at a socket beside plugging in what belongs there, by the moves [n] of a
/// change, as short as a row of a list: "Out: tuba.", "Stays: snare.", "From B5."; "" = nothing. In
/// `arena`, NULL = no memory.
const char*
change_row(Arena* arena, const Plant* plant, const ChangeMove moves[], int n, int line);

/// "keep", "move", "strike", "plug"; never NULL.
const char*
change_word(ChangeDo does);

/// "mute", "phantom off", "strike", ...; never NULL.
const char*
change_does_word(ChangeDoes does);

/// "1-4, 9 and 12" of channels in order; in `arena`, NULL = no memory.
const char*
change_ranges(Arena* arena, const int numbers[], int n);
