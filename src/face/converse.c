// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/converse.h"

#include <signal.h>
#include <stdio.h>

Status
converse(const Face* face, OpenShow* show, ConverseTurn turn, void* talk)
{
  bool done = false;
  Arena held;
  Status st = STATUS_OK;
  arena_init(&held, NULL);
  show->held = &held;
  while (st == STATUS_OK && !done) {
    Arena memory;
    arena_init(&memory, NULL);
    const Face of_turn = {&memory, face->args, face->screen, face->error, face->kept};
    st = show_again(&of_turn, show);
    st = st == STATUS_OK ? turn(talk, &of_turn, &done) : st;
    show->situation = NULL;
    arena_deinit(&memory);
  }
  show->held = NULL;
  show->fold = (Fold){0}; // It lay in what goes now
  arena_deinit(&held);
  return st;
}

Status
converse_close(const Face* face, OpenShow* show, const Keys* keys, Status st)
{
  const bool said = st == STATUS_OK || st == STATUS_NO;
  const Status closed = store_close(show->store, said ? face->error : NULL);
  if (keys->signal) {
    (void)fflush(stdout);
    (void)raise(keys->signal);
  }
  return said && closed != STATUS_OK ? closed : st;
}
