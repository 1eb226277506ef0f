// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/change.h"
#include "day/crew.h"

/*
  A change while it is made. Shared by the change_* files and nobody else; what each adds stands in
  the order in which change_plan calls it. What returns a pointer returns NULL without memory.
*/

typedef struct {
  Arena* arena;
  const Plant* plant;
  const Fold* fold;
  const ChangeOptions* options;
  Change out;
  int n_hands;
  int start[HANDS_MAX]; ///< Where they are now
  int home[HANDS_MAX];  ///< Where they began
  int* owner;           ///< [n_lines]
  bool is_fresh;        ///< Plugged and sockets are those of the begin
  HandPlan plan;
  int n_units; ///< Of the plan
  ChangePerson* people;
  ChangeStep* steps;
  int* step_of_hand;              ///< [plan.n_steps] index in steps
  const int* number[PLANT_DESKS]; ///< [n_lines] channel of a line at a desk in the act before
  const int* number_after[PLANT_DESKS];
  bool* hot; ///< [n_lines] a plug of it is touched, or it is called otherwise
  const ChangeChannel* channels[PLANT_DESKS]; ///< [n_channels] what the desk sets
  int n_channels[PLANT_DESKS];
} ChangeBuild;

// ---- Who (change_who.c) ----

/// Hands and where they are and began.
Status
change_who_hands(ChangeBuild* b, const Crew* crew);

/// A person at each desk.
Status
change_who_desks(ChangeBuild* b, const Crew* crew);

/// Which hand owns which socket.
Status
change_who_owners(ChangeBuild* b);

/// Where each hand stands by what was told; `start` [n_hands].
void
change_who_places(const ChangeBuild* b, const Plugged* plugged, int start[]);

// ---- Who takes what from whom (change_take.c) ----

/// What is left to do from `plugged` to `target`, split between the hands from where they stand.
Status
change_take_plan(ChangeBuild* b, const Plugged* plugged, const int* target, const int* target_at,
                 const int start[], HandPlan* plan, int* n_units);

/// Owners after everything that was taken over, and after each tape, in the order of the log.
Status
change_take_owners(ChangeBuild* b);

/// What a hand who is done is offered.
Status
change_take_offers(ChangeBuild* b);

// ---- What a step is made of (change_step.c) ----

/// Room for n numbers, one more at least.
int*
change_step_room(ChangeBuild* b, int n);

/// The next step, nothing in it yet but whose it is.
ChangeStep*
change_step_add(ChangeBuild* b, ChangeDoes does, int person);

/// "channel 5", "channels 1-4 and 9" of lines at a desk; `number` [n_lines].
const char*
change_step_channels(ChangeBuild* b, const int lines[], int n, const int* number);

/// The act after, as it is called.
const char*
change_step_act(const ChangeBuild* b);

/// What must never get phantom among what is in a socket now and what belongs there; NULL = none.
const Input*
change_step_harmful(const ChangeBuild* b, int line);

/// Whether a source gets phantom.
bool
change_step_wants_phantom(const Plant* plant, const Input* input);

/// Whether what is in a socket is not what belongs there, or its cable is taped off.
bool
change_step_is_touched(const ChangeBuild* b, int line);

/// The newest fact that tells such a step of these lines as done; NULL = none. `is_heard` (may be
/// NULL): somebody heard the desk say so.
const Fact*
change_step_newest(const ChangeBuild* b, ChangeDoes does, int desk, const int lines[], int n,
                   bool* is_heard);

/// The key by which a desk's step is told.
const char*
change_step_key(ChangeBuild* b, ChangeDoes does, int desk, int box, bool is_done);

/// Whether memory sufficed for all its words.
bool
change_step_is_whole(const ChangeStep* step);

/// Let a step wait for another; `after` is its list.
void
change_step_wait(ChangeStep* step, int* after, int on);

bool
change_step_is_for(const ChangeStep* step, int line);

// ---- Desks (change_gate.c) ----

Status
change_gate_mute(ChangeBuild* b, int desk);
Status
change_gate_off(ChangeBuild* b, int desk);
Status
change_gate_patch(ChangeBuild* b, int desk);
Status
change_gate_on(ChangeBuild* b, int desk, int box);

// ---- Hands (change_hand.c) ----

/// What was told as done in a socket.
Status
change_hand_done(ChangeBuild* b, int line);

/// The nth step of a hand.
Status
change_hand_add(ChangeBuild* b, int hand, int nth);
