// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/prove_say.h"

#include "base/text.h"

#include <stdlib.h>
#include <string.h>

/*
  A pass in one breath: what is good, what is bad and how, what was skipped or is still to go, which
  desks heard nothing of it, and the likeliest faults that no reading of a good line could have
  shown.
*/

enum { SUMMARY_BAD = 8, SUMMARY_UNSEEN = 2, UNSEEN_MAX = 48 };

typedef struct {
  const char* name;
  double prob;
  int n;
} Unseen;

static int
by_prob(const void* a_, const void* b_)
{
  const Unseen* const a = a_;
  const Unseen* const b = b_;
  return a->prob != b->prob ? (a->prob > b->prob ? -1 : 1) : strcmp(a->name, b->name);
}

// Desks where no good line was heard, whichever pass it was.
static int
not_heard(const Situation* s, const Prove* p, int box, bool quiet[PLANT_DESKS])
{
  const Plant* const plant = s->plant;
  int n = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    quiet[d] = false;
    for (int i = 0; i < p->n_lines; ++i) {
      const int line = p->lines[i].line;
      quiet[d] = quiet[d] || (p->lines[i].is == PROVE_GOOD && plant->lines[line].desk_input[d] &&
                              (box < 0 || plant->lines[line].box == box));
    }
    for (int i = 0; i < s->n_seen && quiet[d]; ++i) {
      const Seen* const seen = &s->seen[i];
      quiet[d] = !(seen->check.desk == d && seen->check.sort == CHECK_LEVEL &&
                   (box < 0 || plant->lines[seen->line].box == box));
    }
    n += quiet[d];
  }
  return n;
}

static void
add_quiet(const Situation* s, TextOut* out, const bool quiet[PLANT_DESKS], int n)
{
  const Plant* const plant = s->plant;
  int n_isolated = 0;
  int n_both = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    n_isolated += !plant->desks[d].is_direct;
    n_both += !plant->desks[d].is_direct && quiet[d];
  }
  if (n == plant->n_desks) {
    text_add(out, "; not heard at any desk");
  } else if (n > 1 && n == n_isolated && n == n_both) {
    text_add(out, "; isolated sides not heard");
  } else {
    int k = 0;
    for (int d = 0; d < plant->n_desks; ++d) {
      if (quiet[d]) {
        text_add(out, "%s%s", k == 0 ? "; " : k + 1 == n ? " and " : ", ", plant->desks[d].say);
        ++k;
      }
    }
    text_add(out, "%s", k ? " not heard" : "");
  }
}

// The likeliest faults that the readings of no good line could have shown, beyond the desks that
// were not heard at all.
static Status
add_unseen(const Situation* s, Arena* arena, const Prove* p, int box, const bool quiet[PLANT_DESKS],
           TextOut* out)
{
  Unseen list[UNSEEN_MAX] = {{0}};
  int n = 0;
  Status st = STATUS_OK;
  for (int i = 0; i < p->n_lines; ++i) {
    const int line = p->lines[i].line;
    if (p->lines[i].is != PROVE_GOOD || (box >= 0 && s->plant->lines[line].box != box)) {
      continue;
    }
    for (int k = 0; k < s->model.n_locals[line]; ++k) {
      const Fault* const f = &s->locals[line][k];
      bool seen = true;
      char name[24];
      if (f->part == PART_ELSE || f->part == PART_SOURCE ||
          ((f->part == PART_DESK || f->part == PART_SPLIT) && f->desk >= 0 && quiet[f->desk])) {
        continue;
      }
      TRY(st, pass_seen(s, line, f, &seen));
      int at = 0;
      (void)catalogue_name(f, name);
      while (at < n && strcmp(list[at].name, name) != 0) {
        ++at;
      }
      if (seen || at == UNSEEN_MAX) {
        continue;
      }
      if (at == n) {
        list[n++] = (Unseen){arena_copy(arena, name), 0.0, 0};
        if (!list[at].name) {
          return STATUS_NO_MEMORY;
        }
      }
      list[at].prob += f->prob;
    }
  }
  qsort(list, (size_t)n, sizeof(Unseen), by_prob);
  for (int i = 0; i < n && i < SUMMARY_UNSEEN; ++i) {
    text_add(out, "%s%s", i == 0 ? "; " : " and ", list[i].name);
  }
  text_add(out, "%s", n ? " not seen" : "");
  return STATUS_OK;
}

Status
prove_summary(const Situation* s, Arena* arena, int box, Prove* p)
{
  TextOut out = {.arena = arena};
  bool quiet[PLANT_DESKS] = {false};
  char socket[40];
  int n_bad = 0;
  Status st = STATUS_OK;
  if (!p->has_way || p->n[PROVE_GOOD] + p->n[PROVE_BAD] + p->n[PROVE_SKIPPED] == 0) {
    p->summary = "nothing proven yet";
    return STATUS_OK;
  }
  text_add(&out, "%d good", p->n[PROVE_GOOD]);
  for (int i = 0; i < p->n_lines; ++i) {
    const ProveLine* const l = &p->lines[i];
    if (l->is == PROVE_BAD && (box < 0 || s->plant->lines[l->line].box == box) &&
        ++n_bad <= SUMMARY_BAD) {
      text_add(&out, ", %s %s", prove_socket(s->plant, l->line, socket), l->found);
    }
  }
  if (n_bad > SUMMARY_BAD) {
    text_add(&out, " and %d more bad", n_bad - SUMMARY_BAD);
  }
  if (p->n[PROVE_SKIPPED]) {
    text_add(&out, ", %d skipped", p->n[PROVE_SKIPPED]);
  }
  if (p->n[PROVE_LEFT]) {
    text_add(&out, ", %d to go", p->n[PROVE_LEFT]);
  }
  add_quiet(s, &out, quiet, not_heard(s, p, box, quiet));
  if (p->n[PROVE_GOOD]) {
    TRY(st, add_unseen(s, arena, p, box, quiet, &out));
  }
  p->summary = text_done(&out);
  return p->summary ? STATUS_OK : STATUS_NO_MEMORY;
}
