// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/loan.h"

/*
  Microphone cables that are left over, by length and number.

    1. what the kit calls spare and says a length of ("spare microphone cable 10 m"), as kit facts
       leave it;
    2. else the good microphone cables of the cable list that are not taped off, less what the act
       uses: the tag its list names, and for every other plug the shortest one that reaches from its
       player to the own box;
    3. less what runs in the way rounds that are in force: each took what it needs to reach further.

  Where neither kit nor cable list says a length, one is assumed to be there and to reach, and
  `is_assumed` says so. Pure; any thread.
*/

/// A cable reaches its own box with this much, and another box with 0.8 m more for each second of
/// the way (both usual practice, no source: 20 m on stage take 25 s).
#define CABLE_OWN_BOX_M 5.0
#define CABLE_M_PER_S 0.8

typedef struct {
  double* length_m; ///< [n] the shortest first, one for each cable
  int n;
  bool is_assumed;
} Cables;

/// How much further it is from one box to another, by what it takes to walk; the shorter of there
/// and back, for one of them may lead through the crowd.
double
cable_between_m(const Plant* plant, int box, int other);

/**
   What is left over in an act (-1 = bare lines: nothing is plugged).
   @param taped [n_taped] what is taped off, as it is called.
   @param[out] left Lives in `arena`; untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
cable_left(Arena* arena, const Plant* plant, const char* const taped[], int n_taped, int act,
           const Loan loans[], int n_loans, Cables* left);

/// The shortest that reaches so far, or the shortest two put together. @param[out] length_m
/// untouched when there is none.
bool
cable_find(const Cables* left, double reach_m, double* length_m);
