// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/planted.h"

#include "stage/lists.h"

#include <dirent.h>
#include <string.h>

static int
by_name(const void* a, const void* b)
{
  return strcmp(((const ListText*)a)->name, ((const ListText*)b)->name);
}

const Plant*
planted_demo(Arena* arena)
{
  return planted_event(arena, ".");
}

const Plant*
planted_event(Arena* arena, const char* below)
{
  const char* const demo = getenv("LINEWALK_DEMO") ? getenv("LINEWALK_DEMO") : "demo";
  const char* const folder = arena_format(arena, "%s/%s", demo, below);
  DIR* const dir = opendir(folder);
  if (!dir) {
    fail_msg("cannot open %s", folder);
  }
  static ListText lists[64];
  int n = 0;
  for (struct dirent* e = readdir(dir); e; e = readdir(dir)) {
    const size_t length = strlen(e->d_name);
    if (length < 5 || strcmp(e->d_name + length - 4, ".csv") != 0) {
      continue;
    }
    FILE* const file = fopen(arena_format(arena, "%s/%s", folder, e->d_name), "rb");
    assert_non_null(file);
    char* const bytes = arena_array(arena, 1 << 17, 1);
    const size_t n_bytes = fread(bytes, 1, 1 << 17, file);
    (void)fclose(file);
    lists[n++] = (ListText){arena_copy(arena, e->d_name), bytes, n_bytes};
  }
  (void)closedir(dir);
  qsort(lists, (size_t)n, sizeof(ListText), by_name);
  Plant* const plant = arena_array(arena, 1, sizeof(Plant));
  Error error = {0};
  if (lists_build(arena, lists, n, 0, plant, &error) != STATUS_OK) {
    fail_msg("%s:%d:%d: %s", error.file, error.line, error.column, error.text);
  }
  return plant;
}

void
planted_init(Planted* p, const Plant* plant, const char* act, int line_number)
{
  memset(p, 0, sizeof(*p));
  arena_init(&p->arena, NULL);
  p->plant = plant;
  p->act = act ? plant_act(plant, act) : -1;
  p->line = plant_line(plant, line_number);
  p->fault = (Fault){PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};
  p->other = -1;
  assert_true(p->line >= 0);
}

void
planted_deinit(Planted* p)
{
  arena_deinit(&p->arena);
}

void
planted_tell(Planted* p, FactKind kind, const FactBody* body, const char* time, const char* place,
             const char* role)
{
  Error error = {0};
  Fact* const fact = &p->facts[p->n_facts];
  if (fact_make(&p->arena, kind, body, time, place, role, fact, &error) != STATUS_OK) {
    fail_msg("fact: %s", error.text);
  }
  fact->seq = (int64_t)++p->n_facts;
}

static void
append(Planted* p, FactKind kind, const FactBody* body)
{
  planted_tell(p, kind, body, "2031-06-14T15:22:00Z", "", "");
}

void
planted_saw(Planted* p, const char* check, const char* reading, const char* at)
{
  planted_saw_line(p, p->plant->lines[p->line].number, check, reading, at);
}

void
planted_saw_line(Planted* p, int line_number, const char* check, const char* reading,
                 const char* at)
{
  const FactBody body = {.line = line_number,
                         .check = check,
                         .reading = reading,
                         .at = at,
                         .act = p->act >= 0 ? p->plant->acts[p->act].name : NULL};
  append(p, FACT_READING, &body);
}

const Fold*
planted_fold(Planted* p)
{
  Fold* const fold = arena_array(&p->arena, 1, sizeof(Fold));
  Error error = {0};
  assert_int_equal(fold_make(&p->arena, p->facts, p->n_facts, fold, &error), STATUS_OK);
  return fold;
}

const Situation*
planted_situation(Planted* p)
{
  const Fold* const fold = planted_fold(p);
  Situation* s = NULL;
  assert_int_equal(situation_new(&p->arena, p->plant, p->act, fold, &s), STATUS_OK);
  assert_string_equal(s->left_aside, "");
  return s;
}

bool
planted_is_cause(const Planted* p, const Suspect* suspect)
{
  if (p->shared == SHARED_NONE) {
    return !suspect->state && catalogue_same(&suspect->fault, &p->fault);
  }
  const SharedState* const s = suspect->state;
  return s && s->sort == p->shared && (p->other < 0 || s->from == p->other || s->to == p->other);
}

bool
planted_same_part(const Planted* p, const Suspect* suspect)
{
  return p->shared != SHARED_NONE ? planted_is_cause(p, suspect)
                                  : !suspect->state && suspect->fault.part == p->fault.part &&
                                      suspect->fault.desk == p->fault.desk;
}

const char*
planted_answer(Planted* p, const Situation* s, const Step* step)
{
  const Suspect* list = NULL;
  int n = 0;
  assert_int_equal(situation_suspects(s, &p->arena, p->line, &list, &n), STATUS_OK);
  const Suspect* cause = NULL;
  for (int i = 0; i < n && !cause; ++i) {
    cause = planted_is_cause(p, &list[i]) ? &list[i] : NULL;
  }
  assert_non_null(cause);
  if (step->does == STEP_REPAIR) {
    return repair_fixes(step->repair, step->desk, cause->state, &cause->fault) ? "better" : "same";
  }
  const Condition c = situation_condition(s, p->line, cause->row);
  const Condition good = {p->line, PREDICT_KNOWN_GOOD, p->line, c.fault};
  const View* view = NULL;
  const View* known = NULL;
  assert_int_equal(predictor_view(s->predictor, &c, &view), STATUS_OK);
  assert_int_equal(predictor_view(s->predictor, &good, &known), STATUS_OK);
  return predict_key_text(&p->arena, p->plant, p->act, step->check, p->line,
                          predict_shows(p->plant, p->line, step->check, view, known));
}

double
planted_play(Planted* p, const NextOptions* options, bool loud, bool* named, int* n_steps)
{
  double seconds = 0.0;
  *named = false;
  for (*n_steps = 0; *n_steps < 12; ++*n_steps) {
    const Situation* const s = planted_situation(p);
    NextAdvice advice = {0};
    assert_int_equal(next_advise(s, &p->arena, p->line, options, &advice), STATUS_OK);
    const Step* step = NULL;
    for (int i = 0; i < advice.n_steps && !step; ++i) {
      step = advice.steps[i].does == STEP_MOVE ? NULL : &advice.steps[i];
    }
    if (!step) {
      break;
    }
    const char* const answer = planted_answer(p, s, step);
    if (loud) {
      printf("  %5.0f s  %s\n           (%s)\n           %s%s%s -> %s\n", seconds,
             rescue_likely(s, &p->arena, p->line), step->why, step->caution,
             step->caution[0] ? " " : "", step->say, answer);
    }
    seconds += step->seconds;
    const Suspect* list = NULL;
    int n = 0;
    planted_saw(p, step->check_word, answer,
                step->desk >= 0 ? p->plant->desks[step->desk].name : "socket");
    if (step->does == STEP_REPAIR && strcmp(answer, "better") == 0) {
      const Situation* const after = planted_situation(p);
      assert_int_equal(situation_suspects(after, &p->arena, p->line, &list, &n), STATUS_OK);
      *named = planted_same_part(p, &list[0]);
      if (loud) {
        printf("  %5.0f s  %s\n", seconds, rescue_likely(after, &p->arena, p->line));
      }
      return seconds;
    }
  }
  return INFINITY;
}
