// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "day/cable.h"
#include "day/plugged.h"

/*
  Which socket each source of the act after gets.

  Where its list names a socket that can be used, that is it: the list is the crew's own decision.
  The rest, and with `is_free` everything but the vocals, is assigned so that in this order

    1. as few sources as can be stay without a socket, those that are missed least (day/need),
    2. as few rules as can be are bent: a vocal on the line its name has in the other acts, a DI at
       the box of its player, no socket that is kept as a spare,
    3. as few plugs as can be move: one that is where it is needed, or whose like is, stays,
    4. as little cable as can be runs to another box,
    5. sockets the act after the next needs stay free, and sources stay near their listed socket.

  Never: a socket, line, tail or box that is taped off, a socket whose line gets no phantom for a
  source that needs it (of a passive split only the direct side gives any: common practice, no
  source), a box further away than a good microphone cable reaches. Cables are counted: where more
  plugs need one of a length than there are, those that can best do with less do (of the eight least
  missed), until they suffice. It is said.

  A cable reaches 5 m to its own box and 0.8 m for each second of the way from there to another one
  (both usual practice, no source: 20 m on stage take 25 s).
*/

typedef enum {
  ALLOT_LISTED, ///< Where the list has it
  ALLOT_CHOSEN, ///< The list has no socket for it, or all were to be chosen anew
  ALLOT_INSTEAD ///< Its listed socket cannot be used
} AllotWhy;

typedef struct {
  int plug;          ///< Index
  const Input* twin; ///< Could share a line or be left out beside it: "guitar 1"; NULL = nobody
  const char* why;   ///< One sentence
} AllotShort;

typedef struct {
  int* target;              ///< [n_lines] plug that belongs there; -1 = nothing
  int* target_at;           ///< [n_plugs] line; -1 = none
  AllotWhy* why;            ///< [n_plugs]
  const AllotShort* shorts; ///< [n_shorts] sources without a socket
  int n_shorts;
  const char* const* bent; ///< [n_bent] sentences: which rule had to give way, and for whom
  int n_bent;
  const char* const* taped; ///< [n_lines] what is taped off on that way; NULL = nothing
  double* cable_m;          ///< [n_lines] length of cable to take for another box; 0 = any will do
  int n_moved;              ///< Plugs that must be plugged: n - those that may stay
} Allotment;

typedef struct {
  bool is_free;         ///< Lists name sockets, but all except vocals may get others
  const bool* left_out; ///< [n_plugs] without a socket on purpose; NULL = none
  bool ignores_tape;    ///< As it was before anything was taped off
  const bool* closed;   ///< [n_lines] only for the source its list has there; NULL = none
} AllotOptions;

/**
   @param[in,out] plugged A plug that stays and serves another source is made one with it: its
   `next` is set.
   @param[out] allotment Lives in `arena`; untouched on error.
   @return STATUS_OK, also with sources left without; STATUS_NO_MEMORY; STATUS_LIMIT.
*/
Status
allot_sockets(Arena* arena, const Plant* plant, const Fold* fold, Plugged* plugged,
              const AllotOptions* options, Allotment* allotment);

/// "B3".
const char*
allot_socket(Arena* arena, const Plant* plant, int line);
