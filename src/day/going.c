// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/going.h"

#include "base/text.h"
#include "day/crew.h"
#include "day/pass.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/*
  One walk over the log in its order makes a list of visits; a second one over the visits takes in
  the gaps between them.
*/

// How much a crew's own searches differ from the times before any was seen, and from one to the
// next: usual practice, no source.
#define MEND_CREW_SPREAD 0.35
#define MEND_LEAST_S 5.0

typedef struct {
  double start_s;
  double share; ///< Of a line: desks heard for the first time, of those it has
  int line;     ///< Last of it
  GoingKind kind;
  bool is_dirty;
  bool is_bad;     ///< The last word of its line was a complaint
  bool complained; ///< There was one
} Visit;

typedef struct {
  const Situation* s;
  Visit* visits;
  int n;
  unsigned* heard;      ///< [n_lines] a bit a desk
  unsigned* tested;     ///< [n_lines] a bit a kind
  GoingKind pass;       ///< The newest that was begun
  const char** tellers; ///< [most] of the last visits: place and role in turn
  double* told_s;
  int n_told;
} Walk;

static StepTime
time_row(const Plant* plant, const char* step, double quick_s, double usual_s, double slow_s)
{
  for (int i = 0; i < plant->n_times; ++i) {
    if (text_same(plant->times[i].step, step)) {
      return plant->times[i];
    }
  }
  return (StepTime){step, quick_s, usual_s, slow_s, "usual practice"};
}

// Figures as the rows of kinds/times.csv; their sources stand there.
StepTime
going_line_time(const Plant* plant, int act)
{
  return act < 0 ? time_row(plant, "prove a bare line", 12.5, 20.0, 31.0)
                 : time_row(plant, "prove a line of an act", 7.0, 15.0, 32.0);
}

StepTime
going_tester_time(const Plant* plant, GoingKind kind)
{
  return kind == GOING_LAMP ? time_row(plant, "prove a line by phantom and lamp", 1.0, 1.2, 6.0)
                            : time_row(plant, "measure volts or ohms", 8.0, 15.0, 30.0);
}

StepTime
going_listen_time(const Plant* plant, int act)
{
  (void)act;
  return time_row(plant, "hear a line at every desk", 4.0, 7.0, 15.0);
}

StepTime
going_pause_time(const Plant* plant)
{
  return time_row(plant, "a pause while proving", 90.0, 240.0, 660.0);
}

bool
going_time_s(const char* time, double* seconds)
{
  double whole_s = 0.0;
  if (!crew_time_s(time, &whole_s)) {
    return false;
  }
  const char* const point = strchr(time, '.');
  *seconds = whole_s + (point ? strtod(point, NULL) : 0.0);
  return true;
}

static bool
is_of_act(const Situation* s, const FactBody* body)
{
  return !body->act || !body->act[0] || plant_act(s->plant, body->act) == s->act;
}

static int
desks_of(const Plant* plant, int line)
{
  int n = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    n += plant->lines[line].desk_input[d] != 0;
  }
  return n > 0 ? n : 1;
}

static void
dirty(Walk* w)
{
  if (w->n > 0) {
    w->visits[w->n - 1].is_dirty = true;
  }
}

// Who tells from the stage is at work there.
static void
count_teller(Walk* w, const FoldFact* f, double at_s)
{
  if (plant_desk(w->s->plant, f->fact.place) < 0) {
    w->tellers[2 * w->n_told] = f->fact.place;
    w->tellers[2 * w->n_told + 1] = f->fact.role;
    w->told_s[w->n_told++] = at_s;
  }
}

// A reading at a desk.
static void
visit(Walk* w, const FoldFact* f, const Seen* seen, double at_s)
{
  const Plant* const plant = w->s->plant;
  Visit* at = w->n > 0 && w->visits[w->n - 1].kind == GOING_EAR ? &w->visits[w->n - 1] : NULL;
  const unsigned bit = 1U << seen->check.desk;
  const bool is_new = !(w->heard[seen->line] & bit);
  const bool is_bad = situation_is_complaint(w->s, seen);
  if (!at || at->line != seen->line) {
    if (!is_new) { // Somebody looks at an old line again
      dirty(w);
      return;
    }
    if (!at || at_s - at->start_s >= GOING_AT_ONCE_S || at->is_dirty) {
      at = &w->visits[w->n++];
      *at = (Visit){.start_s = at_s};
      count_teller(w, f, at_s);
    }
    at->line = seen->line;
  }
  if (is_new) {
    w->heard[seen->line] |= bit;
    at->share += 1.0 / desks_of(plant, seen->line);
  }
  at->is_bad = is_bad;
  at->complained = at->complained || is_bad;
  at->is_dirty = at->is_dirty || is_bad;
}

// A reading of a tester in a socket or a meter anywhere. What is bad there is noted, and the pass
// goes on.
static void
test_visit(Walk* w, const FoldFact* f, const Seen* seen, double at_s)
{
  const GoingKind kind = seen->check.sort == CHECK_LAMPS ? GOING_LAMP : GOING_METER;
  if (kind != w->pass) { // Part of a search
    return;
  }
  Visit* at = w->n > 0 && w->visits[w->n - 1].kind == kind ? &w->visits[w->n - 1] : NULL;
  const bool is_new = !(w->tested[seen->line] >> kind & 1U);
  w->tested[seen->line] |= 1U << kind;
  if (!is_new) { // Read once more: that was no going on
    dirty(w);
    return;
  }
  if (!at || at_s - at->start_s >= GOING_AT_ONCE_S) {
    at = &w->visits[w->n++];
    *at = (Visit){.start_s = at_s, .kind = kind};
    count_teller(w, f, at_s);
  }
  at->line = seen->line;
  at->share += 1.0;
  at->is_dirty = at->is_dirty || !situation_is_sound(w->s, seen);
}

static GoingKind
pass_kind(const FactBody* body)
{
  PassWay way = PASS_HEARD;
  (void)pass_of(body->how, &way);
  return pass_has_ear(way) ? GOING_EAR : way == PASS_LAMP ? GOING_LAMP : GOING_METER;
}

static void
take_fact(Walk* w, const FoldFact* f, double at_s)
{
  Seen seen;
  switch (f->fact.kind) {
    case FACT_READING:
      if (!is_of_act(w->s, &f->body) || !situation_read(w->s, &f->body, &seen)) {
        return;
      }
      if (seen.check.sort == CHECK_SWAP) {
        dirty(w);
        if (w->n > 0 && w->visits[w->n - 1].line == seen.line && seen.key == SWAP_BETTER) {
          w->visits[w->n - 1].is_bad = false;
        }
      } else if (seen.check.sort <= CHECK_SEEN && seen.check.desk >= 0) {
        visit(w, f, &seen, at_s);
      } else if (seen.check.sort == CHECK_LAMPS || seen.check.sort == CHECK_VOLTS) {
        test_visit(w, f, &seen, at_s);
      }
      return;
    case FACT_PASS_BEGUN:
      w->pass = pass_kind(&f->body);
      return;
    case FACT_MOVED:
      if (w->n > 0 && plant_line(w->s->plant, f->body.line) == w->visits[w->n - 1].line) {
        w->visits[w->n - 1].is_bad = false; // It goes round
      }
      dirty(w);
      return;
    case FACT_PLUGGED:
    case FACT_TAPED_OFF:
    case FACT_STEP_TAKEN:
    case FACT_STEP_DONE:
    case FACT_STEP_REFUSED:
      dirty(w);
      return;
    default:
      return;
  }
}

// Walking between two boxes is walked again on the way that is left, and not part of the pace.
static double
without_walk(const Plant* plant, int from, int to, double gap_s)
{
  const int a = plant->lines[from].box;
  const int b = plant->lines[to].box;
  const double walk_s =
    a == b ? 0.0 : plant_walk_s(plant, plant->boxes[a].place, plant->boxes[b].place);
  return fmax(gap_s - walk_s, 0.3 * gap_s);
}

// How a search compares with the times, as a normal on the log: prior and each one seen.
static void
learn_mending(Going* going, double took_s, double usual_s)
{
  const double prior = 1.0 / (going->mend_spread * going->mend_spread);
  const double seen = 1.0 / (MEND_SPREAD * MEND_SPREAD);
  going->mend_log =
    (going->mend_log * prior + log(fmax(took_s, MEND_LEAST_S) / usual_s) * seen) / (prior + seen);
  going->mend_spread = 1.0 / sqrt(prior + seen);
  ++going->n_mended;
}

static void
take_gaps(const Walk* w, double mend_usual_s, Going* going)
{
  const Plant* const plant = w->s->plant;
  for (int i = 0; i + 1 < w->n; ++i) {
    const Visit* const a = &w->visits[i];
    const Visit* const b = &w->visits[i + 1];
    const double gap_s = b->start_s - a->start_s;
    Pace* const pace = a->kind == GOING_EAR ? &going->pace : &going->by_tester[a->kind];
    if (a->kind != b->kind) { // What lies between is neither
      continue;
    }
    if (!a->is_dirty) {
      (void)pace_take(pace, without_walk(plant, a->line, b->line, gap_s), b->share);
    } else if (a->complained && !a->is_bad && gap_s <= GOING_MEND_S) {
      learn_mending(going, gap_s - pace_mean_s(&going->pace, 0.5), mend_usual_s);
    }
  }
}

static int
hands_of(const Walk* w, double last_s)
{
  int n = 0;
  for (int i = 0; i < w->n_told; ++i) {
    bool is_known = last_s - w->told_s[i] > GOING_HANDS_S;
    for (int k = 0; k < i && !is_known; ++k) {
      is_known = last_s - w->told_s[k] <= GOING_HANDS_S &&
                 text_same(w->tellers[2 * k], w->tellers[2 * i]) &&
                 text_same(w->tellers[2 * k + 1], w->tellers[2 * i + 1]);
    }
    n += !is_known;
  }
  return n > 0 ? n : 1;
}

// What a pass by tester has still before it, taken to go on through every line of the act that a
// tester's reading can be of.
static void
count_to_test(const Walk* w, Going* going)
{
  const Situation* const s = w->s;
  for (int l = 0; l < s->plant->n_lines && going->kind != GOING_EAR; ++l) {
    const bool is_done = w->tested[l] >> going->kind & 1U;
    const bool used = s->act < 0 || plant_input(s->plant, s->act, l) != NULL;
    going->n_tested += is_done;
    going->n_to_test += !is_done && used && !going->has_rested;
  }
}

Status
going_read(Arena* arena, const Situation* s, const Fold* fold, double now_s, int n_hands,
           Going* going)
{
  const size_t n = fold->all.n_facts;
  Walk w = {.s = s,
            .visits = arena_array(arena, n, sizeof(Visit)),
            .heard = arena_array(arena, (size_t)s->plant->n_lines, sizeof(unsigned)),
            .tested = arena_array(arena, (size_t)s->plant->n_lines, sizeof(unsigned)),
            .tellers = arena_array(arena, 2 * n, sizeof(char*)),
            .told_s = arena_array(arena, n, sizeof(double))};
  if (!w.visits || !w.heard || !w.tested || !w.tellers || !w.told_s) {
    return STATUS_NO_MEMORY;
  }
  double newest_s = -INFINITY; // Of any word that is work
  for (size_t i = 0; i < n; ++i) {
    const FoldFact* const f = fold->all.facts[i];
    double at_s = 0.0;
    if (f->in_force && going_time_s(f->fact.time, &at_s) && at_s <= now_s &&
        now_s - at_s < GOING_DAY_S) {
      const int before = w.n;
      take_fact(&w, f, at_s);
      newest_s = w.n > before || f->fact.kind == FACT_READING ? fmax(newest_s, at_s) : newest_s;
    }
  }
  const StepTime line = going_line_time(s->plant, s->act);
  const StepTime pause = going_pause_time(s->plant);
  double mend_s[MEND_KINDS];
  mend_times(s->plant, mend_s);
  Going out = {.n_visits = w.n, .last_line = -1, .mend_spread = MEND_CREW_SPREAD};
  pace_start(&out.pace, &line, &pause);
  for (int k = GOING_EAR + 1; k < GOING_KINDS; ++k) {
    const StepTime tested = going_tester_time(s->plant, (GoingKind)k);
    pace_start(&out.by_tester[k], &tested, &pause);
  }
  take_gaps(&w, mend_s[MEND_CABLE], &out);
  out.n_hands = n_hands > 0 ? n_hands : 1;
  if (w.n > 0) {
    const Visit* const last = &w.visits[w.n - 1];
    const double silent_s = now_s - fmax(newest_s, last->start_s);
    out.n_hands = n_hands > 0 ? n_hands : hands_of(&w, last->start_s);
    out.first_s = w.visits[0].start_s;
    out.last_s = last->start_s;
    out.last_line = last->line;
    out.has_rested = silent_s > PACE_SESSION_S;
    out.is_mending = last->is_bad && silent_s <= GOING_MEND_S;
    out.kind = last->kind;
    count_to_test(&w, &out);
    out.waited_s =
      out.has_rested || (last->is_dirty && !out.is_mending) ? 0.0 : now_s - last->start_s;
    if (out.kind != GOING_EAR) {
      pace_wait(&out.by_tester[out.kind], out.waited_s);
      out.waited_s = 0.0; // Nobody waits for a line to be heard
    } else if (!out.is_mending) {
      pace_wait(&out.pace, out.waited_s);
    }
  }
  *going = out;
  return STATUS_OK;
}
