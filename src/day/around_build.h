// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/around.h"
#include "day/repair.h"

/*
  Ways round while they are found. Shared by the around_* files and nobody else. What cannot be done
  for want of memory sets `failed`; the caller asks for it at the end.
*/

typedef struct {
  const Situation* s;
  Arena* arena;
  int line;
  int at; ///< Where the plug is now
  const Input* input;
  const char* source;
  const Suspect* suspects;
  int n_suspects;
  AroundWay* ways;
  int n;
  bool failed;
} AroundBuild;

// ---- Putting one down (around.c) ----

/// The text, "" without memory.
const char*
around_keep(AroundBuild* b, const char* text);

const char*
around_number(AroundBuild* b, int number);

/// "B3"
const char*
around_socket(AroundBuild* b, int line);

/// The way is there from now on, with what each desk does and what it is worth.
void
around_finish(AroundBuild* b, AroundWay* way);

double
around_ask_s(const Plant* plant);
double
around_patch_s(const Plant* plant);

// ---- What must not be used (around_free.c) ----

/// The next act that needs a line, -1 = none.
int
around_needed_in(const Plant* plant, int act, int line);

bool
around_is_input_taped(const Situation* s, int line, int desk);

/// Odds that the copper of a line is bad, whatever plays on it.
double
around_copper_prob(AroundBuild* b, int line);

/// A box that is itself the trouble, its tail or what a digital one shares, as a whole.
bool
around_is_box_bad(AroundBuild* b, int line);

bool
around_is_heard(const Plant* plant, int line);

/// Everything but the odds.
bool
around_may_use(const AroundBuild* b, int line);

// ---- What it is worth (around_help.c) ----

/// Odds that what is wrong is gone round; < 0 = nothing speaks against the line.
double
around_helps_prob(const AroundBuild* b, const AroundWay* way, const Loan* as);

/// Odds of what one desk's own part of the line would be mended by.
double
around_mended_prob(const AroundBuild* b, RepairSort repair, int desk);

// ---- The ways (around_socket.c, around_desk.c) ----

void
around_add_spare(AroundBuild* b);
void
around_add_sockets(AroundBuild* b);
void
around_add_desk(AroundBuild* b);
void
around_add_lead(AroundBuild* b);
