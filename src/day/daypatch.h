// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "stage/plant.h"

/*
  A patch for the day: which socket each source of each act gets, where the lists leave that open.

      families   each family of sources has sockets of its own, the same all day: kicks here,
                 guitars there
      order      each act in the order of its own list, channel for channel
      fewest     whatever moves the fewest plugs from act to act

  What must hold in all three: what a list gives stays (unless everything is to be planned anew), a
  voice keeps its line all day (unless voices may move), boxes and the like stand near their player,
  spares are kept, what is taped off is left alone, and what needs phantom goes where the direct
  side reaches a desk.

  Where the sockets of an act do not suffice, as few sources as can be are left without, and of
  those answers one that leaves out what is missed least (day/need): nothing is left out that is
  missed more than something that keeps a socket and could have given way, by however many steps.
  For that a voice's one line gives way too; what a list gives does not. What is left out is named,
  never squeezed in.

  A plug is *moved* when the source that comes is not served by what is in its socket already: by
  its own plug of the act before, or by one that may stay for it (plugged_may_stay).

  Fewest is searched: each act against its neighbours by assignment (reason/assign), over and over,
  from several starts, both other ways among them. Whether it is the least there is, is told by a
  bound: act by act the most plugs that could stay if sockets were no matter.
*/

typedef enum { DAYPATCH_FAMILIES, DAYPATCH_ORDER, DAYPATCH_FEWEST, DAYPATCH_WAYS } DaypatchWay;

typedef struct {
  const bool* blocked; ///< [n_lines] must not be used: taped off or suspect; NULL = none
  bool anew;           ///< What lists give may change too
  bool voices_move;    ///< A voice need not keep one line all day
} DaypatchOptions;

/// A source without a socket.
typedef struct {
  int input; ///< Index
  int need;  ///< As need_of
  int share; ///< Input whose line could take two: `with` comes on to it; -1 = nobody's
  int with;  ///< Itself, or one that has a socket which would be free for it; -1
} DaypatchShort;

typedef struct {
  int* line;                   ///< [n_inputs] line index; -1 = it has none
  int* moved;                  ///< [n_acts] plugs put in when the act comes; 0 for the first
  int n_moved;                 ///< All of them
  int least;                   ///< No patch that leaves as few without moves fewer than this
  const DaypatchShort* shorts; ///< [n_short] by act, what is missed most first
  int n_short;
  int lost;          ///< Sum of what they are needed
  int n_far;         ///< Sources in a box that is not their player's
  int n_loose;       ///< Voices that are not where the same name is in an act before
  const bool* fixed; ///< [n_inputs] as the list gives it
} Daypatch;

/**
   @param[out] patch Lives in `arena`; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY. Pure; any thread. The same lists give the same patch.
*/
Status
daypatch_plan(Arena* arena, const Plant* plant, const DaypatchOptions* options, DaypatchWay way,
              Daypatch* patch);

/// "families", "order", "fewest"; never NULL.
const char*
daypatch_word(DaypatchWay way);

/// False: no such way.
bool
daypatch_of(const char* word, DaypatchWay* way);

/// Whether a box stands where a source plays: every word of the position is in the box's meaning.
bool
daypatch_is_near(const Plant* plant, const Input* input, int line);

/// Whether a source may use a line at all, its player's place left aside.
bool
daypatch_may_use(const Plant* plant, const bool blocked[], const Input* input, int line);
