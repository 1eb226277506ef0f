// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot.h"

#include "base/text.h"
#include "day/words.h"
#include "fault/paper.h"
#include "reason/assign.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/*
  The rows of the assignment are the plugs that have no socket yet, its columns the sockets nobody
  has a right to. Each rule is one line of `set_costs`.
*/

enum { T_SHORT, T_BENT, T_MOVED, T_METRES, T_NEAR, TIERS };

typedef struct {
  Arena* arena;
  const Plant* plant;
  const Fold* fold;
  Plugged* p;
  const AllotOptions* options;
  Allotment out;
  int* rows; ///< [n_rows] plugs
  int n_rows;
  int* columns; ///< [n_columns] lines
  int n_columns;
  bool* after;      ///< [n_lines] the act after the next has a source there
  double longest_m; ///< Longest good microphone cable; INFINITY = no list says
  bool failed;
} Work;

const char*
allot_socket(Arena* arena, const Plant* plant, int line)
{
  const Line* const l = &plant->lines[line];
  return arena_format(arena, "%s%d", plant->boxes[l->box].name, l->socket);
}

// ---- What sort of source ----

static bool
has_word(const char* text, const char* word)
{
  const size_t n = strlen(word);
  for (const char* at = text; *at; ++at) {
    if (strncasecmp(at, word, n) == 0) {
      return true;
    }
  }
  return false;
}

static bool
is_vocal(const Plant* plant, const Input* input)
{
  return has_word(plant->kinds[input->kind].name, "vocal") || has_word(input->source, "vocal") ||
         has_word(input->source, "voice") || has_word(input->source, "vox");
}

// Ends of names of which the second says: the same source again. Usual practice, no source.
static const char* const pairs[][2] = {
  {"L", "R"},      {"in", "out"}, {"top", "bottom"}, {"DI", "mic"},
  {"low", "high"}, {"", "alt"},   {"", "spare"},     {"", "mic"},
};

// Where the last word of a name begins; the length of what is before it.
static const char*
last_word(const char* name, size_t* n_before)
{
  const char* const blank = strrchr(name, ' ');
  *n_before = blank ? (size_t)(blank - name) : 0;
  return blank ? blank + 1 : "";
}

// Whether `second` is the other one of `first`.
static bool
is_pair(const char* first, const char* second)
{
  size_t n_first = 0;
  size_t n_second = 0;
  const char* const end_first = last_word(first, &n_first);
  const char* const end_second = last_word(second, &n_second);
  for (size_t i = 0; n_second > 0 && i < sizeof(pairs) / sizeof(pairs[0]); ++i) {
    const bool bare = !pairs[i][0][0];
    const size_t n = bare ? strlen(first) : n_first;
    if (text_same(end_second, pairs[i][1]) && n == n_second && strncasecmp(first, second, n) == 0 &&
        (bare || text_same(end_first, pairs[i][0]))) {
      return true;
    }
  }
  return false;
}

static const Input*
pair_of(const Plant* plant, const Input* input, bool as_second)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    if (other->act == input->act && other != input &&
        (as_second ? is_pair(other->source, input->source)
                   : is_pair(input->source, other->source))) {
      return other;
    }
  }
  return NULL;
}

const Input*
allot_twin(const Plant* plant, const Input* input)
{
  const Input* const first = pair_of(plant, input, true);
  return first ? first : pair_of(plant, input, false);
}

int
allot_weight(const Plant* plant, const Input* input)
{
  return pair_of(plant, input, true) ? 1 : is_vocal(plant, input) ? 3 : 2;
}

// ---- Taped off ----

static bool
is_taped(const Work* w, const char* name)
{
  return name && name[0] && fold_is_taped_off(w->fold, name);
}

// What of a line's way is taped off, as it is called; NULL = nothing.
static const char*
taped_on(Work* w, int line)
{
  const Line* const l = &w->plant->lines[line];
  const Box* const box = &w->plant->boxes[l->box];
  const char* const names[] = {
    allot_socket(w->arena, w->plant, line),
    arena_format(w->arena, "%s %d", box->name, l->socket),
    arena_format(w->arena, "line %d", l->number),
    l->pair ? arena_format(w->arena, "pair %d", l->pair) : "",
    l->split_channel ? arena_format(w->arena, "split %d", l->split_channel) : "",
    arena_format(w->arena, "tail %s", box->name),
    arena_format(w->arena, "box %s", box->name),
    box->tail_tag,
  };
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    w->failed = w->failed || !names[i];
    if (is_taped(w, names[i])) {
      return names[i];
    }
  }
  for (int d = 0; d < w->plant->n_desks; ++d) {
    const char* const name =
      l->desk_input[d] ? arena_format(w->arena, "%s %d", w->plant->desks[d].name, l->desk_input[d])
                       : "";
    w->failed = w->failed || !name;
    if (is_taped(w, name)) {
      return name;
    }
  }
  return NULL;
}

static Status
find_taped(Work* w)
{
  const char** const taped = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(char*));
  if (!taped) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0;
       w->fold && w->fold->taped_off.n_facts && !w->options->ignores_tape && l < w->plant->n_lines;
       ++l) {
    taped[l] = taped_on(w, l);
  }
  w->out.taped = taped;
  return w->failed ? STATUS_NO_MEMORY : STATUS_OK;
}

// ---- Where a source belongs ----

// The box its player is at: its own listed one, else that of most inputs that stand where it
// stands, else one whose name says so. -1 = nobody knows.
static int
home_box(const Work* w, const Input* input)
{
  const Plant* const plant = w->plant;
  int best = -1;
  int best_n = 0;
  if (input->line >= 0) {
    return plant->lines[input->line].box;
  }
  for (int b = 0; b < plant->n_boxes && input->position[0]; ++b) {
    int n = 0;
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const other = &plant->inputs[i];
      n += other->line >= 0 && plant->lines[other->line].box == b &&
           text_same(other->position, input->position);
    }
    if (n > best_n) {
      best = b;
      best_n = n;
    }
  }
  for (int b = 0; best < 0 && b < plant->n_boxes && input->position[0]; ++b) {
    best = has_word(plant->boxes[b].meaning, input->position) ? b : -1;
  }
  return best;
}

static double
metres_to(const Work* w, int home, int box)
{
  return home < 0 || home == box
           ? 0.0
           : ALLOT_M_PER_S *
               plant_walk_s(w->plant, w->plant->boxes[home].place, w->plant->boxes[box].place);
}

static double
longest_cable(const Work* w)
{
  double longest_m = 0.0;
  bool listed = false;
  for (int i = 0; i < w->plant->n_items; ++i) {
    const Item* const item = &w->plant->items[i];
    if (text_begins(item->kind, "mic")) {
      listed = true;
      const bool good =
        (!item->state[0] || text_same(item->state, "good")) && !(w->fold && is_taped(w, item->tag));
      longest_m = good && item->length_m > longest_m ? item->length_m : longest_m;
    }
  }
  return listed ? longest_m : HUGE_VAL;
}

// What is the same for a source wherever it goes.
typedef struct {
  const Input* input;
  int listed; ///< Line its list names; -1 = none
  int home;   ///< Box
  bool is_vocal, is_di, needs_phantom;
  bool has_line; ///< Some act has its name on a line
  bool* fixed;   ///< [n_lines] on this one
} Row;

static int
listed_line(const Plant* plant, const Plug* plug)
{
  return plug->leg == 0 ? plug->next->line : plant_line(plant, plug->next->y_line);
}

// `fixed` [n_lines] is the caller's.
static Row
row_of(const Work* w, int plug, bool* fixed)
{
  const Plant* const plant = w->plant;
  const Input* const input = w->p->plugs[plug].next;
  const Kind* const kind = &plant->kinds[input->kind];
  Row row = {.input = input,
             .listed = listed_line(plant, &w->p->plugs[plug]),
             .home = home_box(w, input),
             .is_vocal = is_vocal(plant, input),
             .is_di = !kind->is_microphone && kind->has_jack,
             .needs_phantom = paper_needs_phantom(plant, input),
             .fixed = fixed};
  memset(fixed, 0, (size_t)plant->n_lines * sizeof(bool));
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    if (other->line >= 0 && text_same(other->source, input->source)) {
      row.has_line = true;
      fixed[other->line] = true;
    }
  }
  return row;
}

static bool
gets_phantom(const Plant* plant, int line)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d] > 0 && paper_phantom_gets_there(plant, d, line)) {
      return true;
    }
  }
  return false;
}

static bool
bends_spare(const Work* w, const Row* row, int line)
{
  return w->plant->lines[line].is_spare && row->listed != line;
}

static bool
bends_vocal(const Row* row, int line)
{
  return row->is_vocal && row->has_line && !row->fixed[line];
}

// Rules that a source on this line bends.
static int
n_bent(const Work* w, const Row* row, int line)
{
  const bool far = row->is_di && row->home >= 0 && row->home != w->plant->lines[line].box;
  return bends_vocal(row, line) + far + bends_spare(w, row, line);
}

// ---- The assignment ----

// Whether the plug that is in a socket now may stay there and serve this one.
static bool
stays(const Work* w, int plug, int line)
{
  const Plug* const want = &w->p->plugs[plug];
  const int here = w->p->now[line];
  if (here < 0 || w->p->now_at[plug] >= 0) {
    return here == plug;
  }
  const Plug* const has = &w->p->plugs[here];
  return !has->next && has->was && has->leg == want->leg && plugged_may_stay(has->was, want->next);
}

static void
set_costs(const Work* w, const Row* row, int plug, int line, unsigned char* allowed, short* cost)
{
  const Plant* const plant = w->plant;
  const Line* const l = &plant->lines[line];
  const double metres = metres_to(w, row->home, l->box);
  const int off = row->listed < 0 ? 0
                  : plant->lines[row->listed].box != l->box
                    ? 100
                    : abs(plant->lines[row->listed].socket - l->socket);
  *allowed = !w->out.taped[line] && !(row->needs_phantom && !gets_phantom(plant, line)) &&
             ALLOT_OWN_BOX_M + metres <= w->longest_m;
  cost[T_SHORT] = 0;
  cost[T_BENT] = (short)n_bent(w, row, line);
  cost[T_MOVED] = !stays(w, plug, line);
  cost[T_METRES] = (short)(metres > 9999.0 ? 9999.0 : metres + 0.5);
  cost[T_NEAR] = (short)((w->after[line] ? 200 : 0) + (off < 100 ? off : 100));
}

static Status
assign(Work* w)
{
  const size_t n = (size_t)w->n_rows * (size_t)w->n_columns;
  unsigned char* const allowed = arena_array(w->arena, n, 1);
  short* const cost = arena_array(w->arena, n * TIERS, sizeof(short));
  short* const without = arena_array(w->arena, (size_t)w->n_rows * TIERS, sizeof(short));
  bool* const fixed = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(bool));
  Assignment best;
  Status st;
  if (!allowed || !cost || !without || !fixed) {
    return STATUS_NO_MEMORY;
  }
  for (int r = 0; r < w->n_rows; ++r) {
    const Row row = row_of(w, w->rows[r], fixed);
    without[r * TIERS + T_SHORT] = (short)allot_weight(w->plant, row.input);
    for (int c = 0; c < w->n_columns; ++c) {
      const size_t at = (size_t)r * (size_t)w->n_columns + (size_t)c;
      set_costs(w, &row, w->rows[r], w->columns[c], &allowed[at], &cost[at * TIERS]);
    }
  }
  const AssignProblem problem = {w->n_rows, w->n_columns, TIERS, allowed, cost, without};
  TRY(st, assign_best(&problem, w->arena, &best));
  for (int r = 0; r < w->n_rows; ++r) {
    if (best.column[r] >= 0) {
      const int line = w->columns[best.column[r]];
      w->out.target[line] = w->rows[r];
      w->out.target_at[w->rows[r]] = line;
    }
  }
  return STATUS_OK;
}

// Sockets by right: where the list has it, unless all may be chosen anew, and then still the
// voices.
static void
place_listed(Work* w)
{
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const Plug* const plug = &w->p->plugs[i];
    w->out.target_at[i] = -1;
    if (!plug->next || (w->options->left_out && w->options->left_out[i])) {
      continue;
    }
    const int line = listed_line(w->plant, plug);
    const bool fixed = line >= 0 && (!w->options->is_free || is_vocal(w->plant, plug->next));
    w->out.why[i] = line < 0 || !fixed ? ALLOT_CHOSEN : ALLOT_LISTED;
    if (fixed && !w->out.taped[line] && w->out.target[line] < 0) {
      w->out.target[line] = i;
      w->out.target_at[i] = line;
    } else {
      w->out.why[i] = fixed ? ALLOT_INSTEAD : ALLOT_CHOSEN;
      w->rows[w->n_rows++] = i;
    }
  }
  for (int l = 0; l < w->plant->n_lines; ++l) {
    if (w->out.target[l] < 0) {
      w->columns[w->n_columns++] = l;
    }
  }
}

// A plug that stays and serves another source from now on is one thing and not two.
static void
join(Work* w)
{
  for (int l = 0; l < w->plant->n_lines; ++l) {
    const int plug = w->out.target[l];
    const int here = w->p->now[l];
    if (plug >= 0 && here >= 0 && here != plug && w->p->before_at[plug] < 0 && stays(w, plug, l)) {
      w->p->plugs[here].next = w->p->plugs[plug].next;
      w->p->plugs[plug].next = NULL;
      w->out.target[l] = here;
      w->out.target_at[here] = l;
      w->out.target_at[plug] = -1;
      w->out.why[here] = w->out.why[plug];
    }
  }
}

// ---- What had to give way ----

static const char*
bent_say(Work* w, const Row* row, int line)
{
  const Plant* const plant = w->plant;
  const WordsFill fill = {.source = row->input->source,
                          .socket = allot_socket(w->arena, plant, line),
                          .box = row->home >= 0 ? plant->boxes[row->home].name : ""};
  const Sentence sentence = bends_spare(w, row, line) ? WORDS_CHANGE_BENT_SPARE
                            : bends_vocal(row, line)  ? WORDS_CHANGE_BENT_VOCAL
                                                      : WORDS_CHANGE_BENT_DI;
  return fill.socket ? words_say(w->arena, sentence, &fill) : NULL;
}

static Status
tell(Work* w)
{
  const size_t room = (size_t)w->p->n_plugs;
  const char** const bent = arena_array(w->arena, room, sizeof(char*));
  AllotShort* const shorts = arena_array(w->arena, room, sizeof(AllotShort));
  bool* const fixed = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(bool));
  if (!bent || !shorts || !fixed) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < w->p->n_plugs; ++i) {
    const Plug* const plug = &w->p->plugs[i];
    const int line = w->out.target_at[i];
    const bool out = w->options->left_out && w->options->left_out[i];
    if (!plug->next || out) {
      continue;
    }
    w->out.n_moved += line >= 0 && w->p->before_at[i] != line;
    if (line >= 0 && w->out.why[i] != ALLOT_LISTED) {
      const Row row = row_of(w, i, fixed);
      if (n_bent(w, &row, line) > 0) {
        bent[w->out.n_bent++] = bent_say(w, &row, line);
        w->failed = w->failed || !bent[w->out.n_bent - 1];
      }
    } else if (line < 0) {
      const Input* const twin = allot_twin(w->plant, plug->next);
      const WordsFill fill = {.source = plug->next->source, .first = twin ? twin->source : ""};
      const char* const why =
        words_say(w->arena, twin ? WORDS_CHANGE_SHORT_SHARE : WORDS_CHANGE_SHORT, &fill);
      shorts[w->out.n_shorts++] = (AllotShort){i, twin, why};
      w->failed = w->failed || !why;
    }
  }
  w->out.bent = bent;
  w->out.shorts = shorts;
  return w->failed ? STATUS_NO_MEMORY : STATUS_OK;
}

Status
allot_sockets(Arena* arena, const Plant* plant, const Fold* fold, Plugged* plugged,
              const AllotOptions* options, Allotment* allotment)
{
  const size_t n_plugs = (size_t)plugged->n_plugs;
  const size_t n_lines = (size_t)plant->n_lines;
  Work w = {.arena = arena, .plant = plant, .fold = fold, .p = plugged, .options = options};
  Status st;
  w.out.target = arena_array(arena, n_lines, sizeof(int));
  w.out.target_at = arena_array(arena, n_plugs, sizeof(int));
  w.out.why = arena_array(arena, n_plugs, sizeof(AllotWhy));
  w.rows = arena_array(arena, n_plugs, sizeof(int));
  w.columns = arena_array(arena, n_lines, sizeof(int));
  w.after = arena_array(arena, n_lines, sizeof(bool));
  if (!w.out.target || !w.out.target_at || !w.out.why || !w.rows || !w.columns || !w.after) {
    return STATUS_NO_MEMORY;
  }
  for (size_t l = 0; l < n_lines; ++l) {
    w.out.target[l] = -1;
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    if (plugged->to >= 0 && plant->inputs[i].act == plugged->to + 1 && plant->inputs[i].line >= 0) {
      w.after[plant->inputs[i].line] = true;
    }
  }
  w.longest_m = longest_cable(&w);
  TRY(st, find_taped(&w));
  place_listed(&w);
  if (w.n_rows > 0) {
    TRY(st, assign(&w));
  }
  join(&w);
  TRY(st, tell(&w));
  *allotment = w.out;
  return STATUS_OK;
}
