// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/prove.h"

#include "base/text.h"
#include "day/prove_say.h"

#include <stdlib.h>
#include <string.h>

/*
  From facts to where the pass stands. The newest fact of a pass about a line decides what it is: a
  reading that is just what a line in order shows makes it good, any other one bad, a skip skipped.
*/

enum { PACE_LEAST = 5 };  ///< Answers apart before a pace is believed
#define PACE_MOST_S 120.0 ///< Longer between two answers was something else

const char*
prove_word(ProveIs is)
{
  static const char* const words[PROVE_IS] = {"unused", "left", "good", "bad", "skipped"};
  return (unsigned)is < PROVE_IS ? words[is] : "";
}

static bool
is_act(const Situation* s, const char* act)
{
  return s->act < 0 ? !act || !act[0] : act && act[0] && plant_act(s->plant, act) == s->act;
}

// The desk whose phantom lights the lamp: that of most lines.
static int
phantom_desk(const Plant* plant)
{
  int n[PLANT_DESKS] = {0};
  int most = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    const int desk = plant_phantom_desk(plant, l);
    n[desk >= 0 ? desk : 0] += 1;
  }
  for (int d = 1; d < plant->n_desks; ++d) {
    most = n[d] > n[most] ? d : most;
  }
  return most;
}

// ---- What the pass is ----

// The newest pass of the act, or of the way that was asked for; seq 0 = none.
static int64_t
find_pass(const Situation* s, const Fold* fold, const ProveAsk* ask, Prove* p)
{
  int64_t seq = 0;
  PassWay way;
  for (size_t i = 0; i < fold->passes.n_facts; ++i) {
    const FoldFact* const f = fold->passes.facts[i];
    if (f->fact.kind == FACT_PASS_BEGUN && is_act(s, f->body.act) && pass_of(f->body.how, &way)) {
      seq = f->fact.seq;
      p->way = way;
      p->has_way = true;
    }
  }
  if (ask->has_way && (!p->has_way || p->way != ask->way)) {
    p->way = ask->way; // Another way is another pass, and not begun
    p->has_way = true;
    return 0;
  }
  return seq;
}

static bool
is_ready(const Situation* s, const Fold* fold, int64_t since, const char* place)
{
  for (size_t i = 0; i < fold->passes.n_facts; ++i) {
    const FoldFact* const f = fold->passes.facts[i];
    if (f->fact.kind == FACT_READY && f->fact.seq > since && is_act(s, f->body.act) &&
        text_same(f->body.desk, place)) {
      return true;
    }
  }
  return false;
}

Status
prove_ready(const Situation* s, const Fold* fold, Arena* arena, PassWay way, int64_t since,
            const ProveReady** ready, int* n)
{
  const Plant* const plant = s->plant;
  ProveReady* const list = arena_array(arena, PLANT_DESKS + 1, sizeof(ProveReady));
  int n_list = 0;
  if (!list) {
    return STATUS_NO_MEMORY;
  }
  for (int d = 0; d < plant->n_desks; ++d) {
    const WordsFill fill = {.desk = plant->desks[d].say};
    list[n_list++] =
      (ProveReady){.place = plant->desks[d].name, .say = words_say(arena, WORDS_PROVE_MUTE, &fill)};
  }
  if (pass_has_phantom(way)) {
    list[n_list++] = (ProveReady){.place = "stage", .say = prove_unplug_say(s, arena, way)};
  }
  for (int i = 0; i < n_list; ++i) {
    if (!list[i].say) {
      return STATUS_NO_MEMORY;
    }
    list[i].is_ready = since > 0 && is_ready(s, fold, since, list[i].place);
    list[i].fact =
      (ProveFact){.verb = "ready", .at = list[i].place, .act = prove_act(s, way, true)};
  }
  *ready = list;
  *n = n_list;
  return STATUS_OK;
}

// ---- Its lines ----

static bool
is_of_pass(const Situation* s, const Prove* p, const Seen* seen)
{
  const CheckSort sort = seen->check.sort;
  const bool at_desk = seen->check.desk == p->desk;
  const bool walked = pass_is_bare(p->way) && s->act >= 0;
  switch (p->way) {
    case PASS_LAMP:
      return sort == CHECK_LAMPS || (sort == CHECK_SEEN && at_desk && seen->is_walked == walked);
    case PASS_VOLTS:
      return sort == CHECK_VOLTS ? seen->check.desk < 0 && seen->is_walked == walked
                                 : sort == CHECK_SEEN && at_desk && seen->is_walked == walked;
    case PASS_DESK_VOLTS:
      return sort == CHECK_VOLTS && at_desk && !seen->is_walked;
    default:
      return at_desk && ((sort <= CHECK_SEEN && seen->is_walked == walked) || sort == CHECK_LOOK);
  }
}

static const FoldFact*
fact_of(FoldSet set, int64_t seq)
{
  for (size_t i = 0; i < set.n_facts; ++i) {
    if (set.facts[i]->fact.seq == seq) {
      return set.facts[i];
    }
  }
  return NULL;
}

static void
settle(ProveLine* line, ProveIs is, const char* found, const FoldFact* fact)
{
  line->is = is;
  line->found = found;
  line->fact = fact ? fact->fact.id : NULL;
  line->seq = fact ? fact->fact.seq : 0;
  if (!fact || !crew_time_s(fact->fact.time, &line->at_s)) {
    line->at_s = -1.0;
  }
}

static Status
read_lines(const Situation* s, const Fold* fold, Arena* arena, int64_t since, Prove* p,
           ProveLine* lines, const int* row_of)
{
  Status st = STATUS_OK;
  for (int i = 0; i < s->n_seen; ++i) {
    const Seen* const seen = &s->seen[i];
    ProveLine* const line = &lines[row_of[seen->line]];
    if (seen->seq <= since || seen->seq < line->seq || !is_of_pass(s, p, seen)) {
      continue;
    }
    const bool sound = situation_is_sound(s, seen);
    const char* found = "";
    TRY(st, sound ? STATUS_OK : prove_found(s, arena, seen, &found));
    settle(line, sound ? PROVE_GOOD : PROVE_BAD, found,
           fact_of(fold_of_line(fold->readings, s->plant->lines[seen->line].number), seen->seq));
  }
  for (size_t i = 0; i < fold->passes.n_facts; ++i) {
    const FoldFact* const f = fold->passes.facts[i];
    const int line = f->fact.kind == FACT_SKIPPED ? plant_line(s->plant, f->body.line) : -1;
    const bool here = !f->body.desk || !pass_has_ear(p->way) ||
                      text_same(f->body.desk, s->plant->desks[p->desk].name);
    if (line >= 0 && f->fact.seq > since && here && f->fact.seq > lines[row_of[line]].seq) {
      settle(&lines[row_of[line]], PROVE_SKIPPED, f->body.why ? f->body.why : "", f);
    }
  }
  for (size_t i = 0; i < fold->moved.n_facts; ++i) { // What a hunt found
    const FoldFact* const f = fold->moved.facts[i];
    const int line = plant_line(s->plant, f->body.line);
    if (line >= 0 && f->fact.seq > since && s->stays_plugged[line] &&
        f->fact.seq > lines[row_of[line]].seq) {
      const char* const found = arena_format(arena, "comes in on %s", f->body.way);
      settle(&lines[row_of[line]], PROVE_GOOD, found, f);
      if (!found) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

// The input of a line at a desk: that of the list, or the one it was found or patched on.
static int
input_of(const Situation* s, int line, int desk)
{
  const Loan* const loan = loan_of(s->loans, s->n_loans, s->act, line);
  return loan && loan->sort == WAY_INPUT && loan->desk == desk
           ? loan->input
           : s->plant->lines[line].desk_input[desk];
}

static Status
list_lines(const Situation* s, const Fold* fold, Arena* arena, int64_t since, Prove* p)
{
  const Plant* const plant = s->plant;
  ProveLine* const lines = arena_array(arena, (size_t)plant->n_lines, sizeof(ProveLine));
  int* const row_of = arena_array(arena, (size_t)plant->n_lines, sizeof(int));
  Status st = STATUS_OK;
  int n = 0;
  if (!lines || !row_of) {
    return STATUS_NO_MEMORY;
  }
  for (int b = 0; b < plant->n_boxes; ++b) {
    for (int l = 0; l < plant->n_lines; ++l) {
      if (plant->lines[l].box != b) {
        continue;
      }
      const bool used = s->act < 0 || plant_input(plant, s->act, l) != NULL ||
                        (p->has_way && pass_is_bare(p->way) && plant->lines[l].is_spare);
      const bool reaches = !p->has_way || pass_reaches(s, l, p->way, p->desk);
      lines[n] = (ProveLine){.line = l, .found = "", .at_s = -1.0};
      lines[n].is = used && reaches ? PROVE_LEFT : PROVE_UNUSED;
      lines[n].input = input_of(s, l, p->desk);
      row_of[l] = n++;
    }
  }
  if (p->has_way && since > 0) {
    TRY(st, read_lines(s, fold, arena, since, p, lines, row_of));
  }
  for (int i = 0; i < n && p->has_way; ++i) {
    TRY(st, prove_good(s, arena, lines[i].line, p->way, p->desk, &lines[i].good));
  }
  p->lines = lines;
  p->n_lines = n;
  return STATUS_OK;
}

// ---- Where it stands ----

static bool
in_scope(const Situation* s, const Prove* p, const ProveAsk* ask, int row)
{
  return ask->box < 0 || s->plant->lines[p->lines[row].line].box == ask->box;
}

static int
box_of(const Situation* s, const Prove* p, int row)
{
  return s->plant->lines[p->lines[row].line].box;
}

// The first row of a state from `from` on and before `end`; -1 = none.
static int
first_row(const Prove* p, ProveIs is, int from, int end)
{
  for (int i = from; i < end; ++i) {
    if (p->lines[i].is == is) {
      return i;
    }
  }
  return -1;
}

// On along the box, then its gaps, then what was skipped there; then the next box.
static int
next_row(const Situation* s, const Prove* p, const ProveAsk* ask)
{
  int first = 0;
  int end = p->n_lines;
  int low = 0;
  int high = p->n_lines;
  while (low < p->n_lines && !in_scope(s, p, ask, low)) {
    ++low;
  }
  high = low;
  while (high < p->n_lines && in_scope(s, p, ask, high)) {
    ++high;
  }
  if (p->last >= 0) {
    first = end = p->last;
    while (first > 0 && box_of(s, p, first - 1) == box_of(s, p, p->last)) {
      --first;
    }
    while (end < p->n_lines && box_of(s, p, end) == box_of(s, p, p->last)) {
      ++end;
    }
    const int tries[] = {first_row(p, PROVE_LEFT, p->last + 1, end),
                         first_row(p, PROVE_LEFT, first, p->last),
                         first_row(p, PROVE_SKIPPED, p->last + 1, end),
                         first_row(p, PROVE_SKIPPED, first, p->last + 1),
                         ask->box < 0 ? first_row(p, PROVE_LEFT, end, high) : -1};
    for (size_t i = 0; i < sizeof(tries) / sizeof(tries[0]); ++i) {
      if (tries[i] >= 0) {
        return tries[i];
      }
    }
  }
  const int left = first_row(p, PROVE_LEFT, low, high);
  return left >= 0 ? left : first_row(p, PROVE_SKIPPED, low, high);
}

static Status
find_gaps(const Situation* s, Arena* arena, Prove* p)
{
  int* const gaps = arena_array(arena, (size_t)p->n_lines, sizeof(int));
  if (!gaps) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < p->last; ++i) {
    if (p->lines[i].is == PROVE_LEFT && box_of(s, p, i) == box_of(s, p, p->last)) {
      gaps[p->n_gaps++] = i;
    }
  }
  p->gaps = gaps;
  return STATUS_OK;
}

static int
by_seq(const void* a_, const void* b_)
{
  const ProveLine* const a = *(const ProveLine* const*)a_;
  const ProveLine* const b = *(const ProveLine* const*)b_;
  return (a->seq > b->seq) - (a->seq < b->seq);
}

static int
by_size(const void* a, const void* b)
{
  const double x = *(const double*)a;
  const double y = *(const double*)b;
  return (x > y) - (x < y);
}

static Status
find_pace(Arena* arena, Prove* p)
{
  const ProveLine** const told = arena_array(arena, (size_t)p->n_lines, sizeof(*told));
  double* const apart = arena_array(arena, (size_t)p->n_lines, sizeof(double));
  int n_told = 0;
  int n = 0;
  if (!told || !apart) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < p->n_lines; ++i) {
    if (p->lines[i].seq > 0 && p->lines[i].at_s >= 0.0) {
      told[n_told++] = &p->lines[i];
    }
  }
  qsort(told, (size_t)n_told, sizeof(*told), by_seq);
  for (int i = 1; i < n_told; ++i) {
    const double d = told[i]->at_s - told[i - 1]->at_s;
    if (d > 0.0 && d < PACE_MOST_S) {
      apart[n++] = d;
    }
  }
  qsort(apart, (size_t)n, sizeof(double), by_size);
  p->pace_s = n >= PACE_LEAST ? apart[n / 2] : 0.0;
  return STATUS_OK;
}

static void
count(const Situation* s, const ProveAsk* ask, Prove* p)
{
  const double each = p->pace_s > 0.0 ? p->pace_s
                      : p->has_way    ? pass_line_s(s->plant, p->way)
                                      : 0.0;
  p->last = -1;
  for (int i = 0; i < p->n_lines; ++i) {
    if (in_scope(s, p, ask, i)) {
      p->n[p->lines[i].is] += 1;
      if (p->lines[i].seq > 0 && (p->last < 0 || p->lines[i].seq > p->lines[p->last].seq)) {
        p->last = i;
      }
    }
  }
  p->left_s = each * (p->n[PROVE_LEFT] + p->n[PROVE_SKIPPED]);
}

static Status
stand(const Situation* s, Arena* arena, const ProveAsk* ask, int64_t since, Prove* p)
{
  bool all_ready = true;
  for (int i = 0; i < p->n_ready; ++i) {
    all_ready = all_ready && p->ready[i].is_ready;
  }
  Status st = STATUS_OK;
  TRY(st, find_pace(arena, p));
  count(s, ask, p);
  TRY(st, find_gaps(s, arena, p));
  p->at = next_row(s, p, ask);
  for (int i = 0; ask->line >= 0 && i < p->n_lines; ++i) {
    p->at = p->lines[i].line == ask->line ? i : p->at;
  }
  if (p->last >= 0) {
    p->take_back = (ProveFact){.verb = "undo", .fact = p->lines[p->last].fact};
  }
  p->state = since <= 0   ? PROVE_CHOOSE
             : !all_ready ? PROVE_READY
             : p->at >= 0 ? PROVE_GO
                          : PROVE_DONE;
  if (p->at >= 0) {
    TRY(st, prove_keys(s, arena, p));
  }
  return STATUS_OK;
}

Status
prove_now(const Situation* s, const Fold* fold, Arena* arena, const ProveAsk* ask, Prove* prove)
{
  static const Fold nothing;
  const Fold* const facts = fold ? fold : &nothing;
  Prove p = {.desk = ask->desk, .at = -1, .last = -1, .say = "", .caution = "", .order = ""};
  const int64_t since = find_pass(s, facts, ask, &p);
  Status st = STATUS_OK;
  if (p.has_way && !pass_has_ear(p.way)) {
    p.desk = phantom_desk(s->plant);
  }
  if (p.has_way) {
    TRY(st, prove_ready(s, facts, arena, p.way, since, &p.ready, &p.n_ready));
    p.begin =
      (ProveFact){.verb = "pass", .what = pass_word(p.way), .act = prove_act(s, p.way, true)};
  }
  TRY(st, list_lines(s, facts, arena, since, &p));
  TRY(st, stand(s, arena, ask, since, &p));
  TRY(st, prove_order(s, arena, &p));
  TRY(st, prove_summary(s, arena, ask->box, &p));
  *prove = p;
  return STATUS_OK;
}
