// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/daypatch_build.h"
#include "reason/assign.h"

/*
  A row a source of the act, a column a line.

  Leaving a source out costs what it is needed, 1 and more. The sets of sources that can all have a
  socket are the independent sets of a transversal matroid [Edmonds and Fulkerson 1965], so the
  least such cost leaves out as few as can be as well, and nothing that is left out could take the
  place of something needed less by moving others about.
*/

enum { TIER_NEED, TIER_FAR, TIER_WISH, TIER_LATE, TIER_ORDER, TIERS };

typedef struct {
  unsigned char* allowed; ///< [n x n_lines]
  short* cost;            ///< [n x n_lines x TIERS]
  short* without;         ///< [n x TIERS]
  int* rows;              ///< [n] inputs
  int n;
} Sheet;

static Status
take_room(const DaypatchBuild* b, int act, Arena* arena, Sheet* sheet)
{
  const size_t n_lines = (size_t)b->plant->n_lines;
  size_t n = 0;
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    n += b->plant->inputs[i].act == act;
  }
  sheet->allowed = arena_array(arena, n * n_lines, 1);
  sheet->cost = arena_array(arena, n * n_lines * TIERS, sizeof(short));
  sheet->without = arena_array(arena, n * TIERS, sizeof(short));
  sheet->rows = arena_array(arena, n, sizeof(int));
  if (!sheet->allowed || !sheet->cost || !sheet->without || !sheet->rows) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < b->plant->n_inputs; ++i) {
    if (b->plant->inputs[i].act == act) {
      sheet->rows[sheet->n++] = i;
    }
  }
  return STATUS_OK;
}

// With one tier alone, the cells have one number each.
static void
fill(const DaypatchBuild* b, DaypatchCost cost_of, const void* user, int n_tiers, Sheet* sheet)
{
  const int n_lines = b->plant->n_lines;
  for (int r = 0; r < sheet->n; ++r) {
    const int i = sheet->rows[r];
    sheet->without[r * n_tiers + TIER_NEED] = (short)b->need[i];
    if (n_tiers > TIER_LATE) {
      sheet->without[r * n_tiers + TIER_LATE] = (short)(sheet->n - r);
    }
    for (int l = 0; l < n_lines; ++l) {
      short* const c = &sheet->cost[(r * n_lines + l) * n_tiers];
      sheet->allowed[r * n_lines + l] = daypatch_hold_allows(b, i, l);
      if (n_tiers > TIER_ORDER && sheet->allowed[r * n_lines + l]) {
        c[TIER_FAR] = !b->near[i * n_lines + l];
        c[TIER_WISH] = cost_of(b, user, i, l);
        c[TIER_ORDER] = (short)l;
      }
    }
  }
}

static Status
solve(const DaypatchBuild* b, int act, DaypatchCost cost_of, const void* user, Arena* arena,
      int line[], long* lost)
{
  const int n_tiers = cost_of ? TIERS : 1;
  Sheet sheet = {0};
  Assignment found;
  Status st = STATUS_OK;
  TRY(st, take_room(b, act, arena, &sheet));
  fill(b, cost_of, user, n_tiers, &sheet);
  const AssignProblem problem = {sheet.n,       b->plant->n_lines, n_tiers,
                                 sheet.allowed, sheet.cost,        sheet.without};
  TRY(st, assign_best(&problem, arena, &found));
  for (int r = 0; line && r < sheet.n; ++r) {
    line[sheet.rows[r]] = found.column[r];
  }
  if (lost) {
    *lost = found.cost[TIER_NEED];
  }
  return STATUS_OK;
}

Status
daypatch_act(const DaypatchBuild* b, int act, DaypatchCost cost_of, const void* user, int line[],
             long* lost)
{
  Arena scratch; // A day is a thousand of these
  arena_init(&scratch, &b->arena->from);
  const Status st = solve(b, act, cost_of, user, &scratch, line, lost);
  arena_deinit(&scratch);
  return st;
}
