// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as a circuit written by hand. What must hold: what is refused says why and where and
  leaves the result alone; what is read can be solved or is refused by the circuit room, and every
  figure of an answer is a number or a plain "not known", never infinite.
*/

#include "must.h"

#include "face/circuit_file.h"

#include <math.h>
#include <string.h>

static void
solve(Arena* arena, const CircuitFile* file)
{
  const Drawn* const d = &file->drawn;
  DrawnAnswer a;
  const Status st = drawn_solve(arena, d, &a);
  MUST(st == STATUS_OK || st == STATUS_BAD_ARG || st == STATUS_NO_MEMORY);
  if (st != STATUS_OK) {
    return;
  }
  for (int i = 0; i < d->n_looks; ++i) {
    for (int c = 0; c < d->n_contacts; ++c) {
      MUST(!isinf(a.seen[i].contact_v[c]) && !isinf(a.seen[i].near_a[c]));
    }
    MUST(a.seen[i].contact_v[d->looks[i].against] == 0.0);
  }
  for (int i = 0; i < d->n_testers; ++i) {
    MUST(a.lit[i].status == STATUS_OK || a.lit[i].status == STATUS_NO_SOLUTION);
    MUST(a.lit[i].status != STATUS_OK ||
         (int)strlen(a.lit[i].picture) == d->testers[i].lamps.n_lamps);
  }
  for (int i = 0; i < a.n_ears; ++i) {
    for (int k = 0; k < d->n_tones; ++k) {
      MUST(a.ears[i].heard[k].dbv >= CHAIN_SILENT_DB && !isinf(a.ears[i].heard[k].dbv));
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  Arena arena;
  arena_init(&arena, NULL);
  Error error = {0};
  CircuitFile file = {.title = "untouched"};
  const Status st =
    circuit_file_read(&arena, "circuit", (const char*)bytes, n_bytes, &file, &error);
  if (st != STATUS_OK) {
    MUST(!strcmp(file.title, "untouched") && error.status == st && error.text[0]);
    MUST(st != STATUS_BAD_INPUT || (error.line > 0 && error.column > 0));
  } else if (file.is_feed) {
    const FeedQuestion* const q = &file.feed;
    FeedAnswer a;
    MUST(feed_judge(q->variants, q->n_variants, &q->feed, &q->way, &q->microphone, &a) ==
         STATUS_OK);
    MUST(a.reason[0] && !isinf(a.leg_v) && !isinf(a.draw_a) && !isinf(a.coil_a));
  } else {
    solve(&arena, &file);
  }
  arena_deinit(&arena);
  return 0;
}
