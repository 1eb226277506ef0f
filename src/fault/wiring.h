// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stdbool.h>

/*
  What is wired to what in one cable, and which faults would explain it.

  A cable is wires between two ends. Each wire is joined to a contact at each end; on the way lies
  the length in which wires can touch each other:

      near contact --[joint]-- the length --[joint]-- far contact
            |                      |                       |
       short at the near end   short along        short at the far end

  A fault is one of these, and any set of them may be there together:

    open      a joint is broken; a break somewhere along is the same as one at either joint
    short     two contacts of one end touch, or two wires along the length
    crossed   at one end, wires sit on each other's contacts, in one cycle of two (crossed) or more
              (rotated). A contact that should stay empty counts as
              having a wire that leads nowhere, so that "on the wrong contact" is a crossing with it
    no join   a bridge that should be in one end (1 and 3 of an unbalanced lead) is not there

  A continuity tester sees which contacts are joined, never where: a matrix of yes and no between
  all contacts of both ends. Faults that give the same matrix are one class and no such tester can
  tell them apart. What follows from that:

  - An open cannot be placed: which end broke does not show.
  - A crossing made at one end is the same as the opposite one made at the other, and two that undo
    each other are a straight cable. When they lie in different pairs, that is a split pair: every
    contact is right, and the twist is with the wrong partner. Continuity is blind to it.
  - A short cannot be placed, unless one of its wires is broken: then it lies on the side of the
    break where the contacts are joined.
  - A short hides a crossing of the same wires and any second short among contacts already joined.
    Two wires on one contact, the other contact empty, is the same as a short and an open.
  - Between contacts that lead nowhere nothing is hidden as long as each end was measured within
  itself; when it was not, that is said.

  The verdict gives for everything that is not as wanted the least that explains it, and all sets of
  faults that cost so little: the class, less what is hidden as above. Every fault costs 1, a
  crossing of k wires k - 1, because one wrong move at a bench exchanges two (so a rotation of three
  is as likely one crossing at each end). Groups of contacts that nothing ties together are judged
  one by one: the whole class is every combination.

  Contacts count from 1 at each end; a shell is the contact after the last. Pure, fixed order, no
  clock; any thread.
*/

enum {
  WIRING_CONTACTS = 38,                    ///< 37 and a shell, at one end
  WIRING_NODES = 2 * WIRING_CONTACTS,      ///< Contacts of both ends
  WIRING_WIRES = 64,                       ///< Wires of a plan
  WIRING_ALL = WIRING_WIRES + WIRING_NODES ///< With those that lead nowhere
};

typedef enum { WIRING_NEAR, WIRING_FAR, WIRING_ALONG } WiringPlace;

/// One wire; contacts from 1, 0 = it leads nowhere at that end.
typedef struct {
  int near;
  int far;
} WiringWire;

/// A bridge within one end that belongs there.
typedef struct {
  WiringPlace end;
  int a, b;
} WiringJoin;

/// What should be wired to what. Borrowed by everything that takes it.
typedef struct {
  int n[2];          ///< Contacts at the near and the far end, without the shell: 1 to 37
  bool has_shell[2]; ///< Contact n + 1 is the shell
  const WiringWire* wires;
  int n_wires; ///< 1 to WIRING_WIRES
  const WiringJoin* joins;
  int n_joins; ///< 0 to WIRING_CONTACTS
} WiringPlan;

typedef enum { WIRING_UNKNOWN, WIRING_JOINED, WIRING_APART } WiringMark;

/// What a tester showed. [wiring_node(...)] twice, symmetric; what was not measured is UNKNOWN.
typedef struct {
  unsigned char mark[WIRING_NODES][WIRING_NODES];
} WiringSeen;

typedef enum { WIRING_OPEN, WIRING_SHORT, WIRING_CROSSED, WIRING_NO_JOIN } WiringSort;

/**
   One fault.

     OPEN     at[0] a wire (index), place NEAR or FAR
     SHORT    at[0] < at[1]: contacts from 1 for NEAR and FAR, wires (index) for ALONG
     CROSSED  at[0..n): wires; the end of at[i] sits where that of at[i + 1] belongs, the last where
              that of the first does; at[0] is the lowest. NEAR or FAR
     NO_JOIN  at[0] a join (index)

   Wires are numbered as in the plan, then those that lead nowhere: one for each contact without a
   wire, in the order of wiring_wires.
*/
typedef struct {
  WiringSort sort;
  WiringPlace place;
  int n;
  unsigned char at[WIRING_CONTACTS];
} WiringFault;

typedef struct {
  const WiringFault* faults; ///< [n]
  int n;
} WiringSet;

/// Contacts that hang together, by what was seen or by what is wanted, and are not as wanted.
typedef struct {
  const int* nodes; ///< [n_nodes] ascending
  int n_nodes;
  int cost;              ///< Least that explains it
  const WiringSet* sets; ///< [n_sets] each of that cost
  int n_sets;            ///< 0: nothing of this model was found to explain it
  bool is_whole; ///< All sets of that cost are there; false: there were too many to try, and one
                 ///< is shown, which need not be the cheapest
  bool is_sure;  ///< Nothing among these contacts was left unmeasured
} WiringGroup;

typedef struct {
  bool clashes;                ///< Readings contradict each other: all that follows is empty
  int clash_a, clash_b;        ///< Nodes said to be joined (through others) and apart
  int net[WIRING_NODES];       ///< Lowest node it is joined to; -1 where there is no contact
  bool measured[WIRING_NODES]; ///< Anything is known of this contact
  unsigned char known[WIRING_NODES][WIRING_NODES]; ///< Marks with all that follows from them
  const WiringGroup* groups;                       ///< [n_groups] by lowest node
  int n_groups;                                    ///< 0: as wanted, as far as measured
  int n_wires_unknown; ///< Wanted wires and joins of which nothing is known
  int n_pairs_unknown; ///< Other pairs, shells left out
} WiringVerdict;

/// Number of a contact among both ends'.
static inline int
wiring_node(WiringPlace end, int contact)
{
  return (int)end * WIRING_CONTACTS + contact - 1;
}

/// Contacts of an end with its shell.
static inline int
wiring_contacts(const WiringPlan* plan, WiringPlace end)
{
  return plan->n[end] + (plan->has_shell[end] ? 1 : 0);
}

/// Whether a plan keeps to its bounds. @return STATUS_OK, STATUS_BAD_ARG.
Status
wiring_check(const WiringPlan* plan);

/// All wires: the plan's, then one that leads nowhere for each contact of the near end without a
/// wire, then of the far end. @return how many. The plan must be good.
int
wiring_wires(const WiringPlan* plan, WiringWire wires[WIRING_ALL]);

/**
   The matrix that faults give.
   @param faults [n] in any order; crossings of one end must not share a wire.
   @param[out] seen Complete; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG for a fault that is none of this plan.
*/
Status
wiring_matrix(const WiringPlan* plan, const WiringFault* faults, int n, WiringSeen* seen);

/// What a fault costs: 1, for a crossing of k wires k - 1.
int
wiring_cost(const WiringFault* fault);

/// Write one mark on both sides of the diagonal.
void
wiring_mark(WiringSeen* seen, int node_a, int node_b, WiringMark mark);

/**
   The verdict on a matrix, which may be partial. What is not known is taken to be as wanted.

   @param[out] verdict Lives in `arena`; untouched on error.
   @return STATUS_OK (contradictions are a verdict); STATUS_BAD_ARG for a bad plan;
   STATUS_NO_MEMORY.

   Work is bounded: at most WIRING_TRIES sets are tried for one group; what needs more is explained
   by construction (one set, not the whole class).
*/
Status
wiring_judge(Arena* arena, const WiringPlan* plan, const WiringSeen* seen, WiringVerdict* verdict);

enum { WIRING_TRIES = 400000 };
