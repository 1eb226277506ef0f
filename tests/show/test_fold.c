// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "show/fold.h"
#include "support/check.h"

#include "facts.h"

#include <string.h>

enum { N_LOG_MAX = 60 };

typedef struct {
  Arena arena;
  Fact facts[N_LOG_MAX + 2];
  size_t n;
} Log;

static void
log_add(Log* log, FactKind kind, FactBody body)
{
  Fact* const fact = &log->facts[log->n];
  Error error = {0};
  if (fact_make(&log->arena, kind, &body, FACTS_TIME, "", "", fact, &error) != STATUS_OK) {
    fail_msg("%s", error.text);
  }
  fact->seq = (int64_t)++log->n;
}

static Fold
log_fold(Log* log)
{
  Fold fold = {0};
  assert_int_equal(fold_make(&log->arena, log->facts, log->n, &fold, NULL), STATUS_OK);
  return fold;
}

static void
what_holds_today(void** state)
{
  (void)state;
  Log log = {0};
  arena_init(&log.arena, NULL);
  Fold fold = log_fold(&log);
  assert_null(fold.act);
  assert_null(fold_undo_id(&fold));
  assert_int_equal(fold.all.n_facts, 0);

  log_add(&log, FACT_ACT_IN_FORCE, (FactBody){.act = "act1"});
  log_add(&log, FACT_READING, (FactBody){.line = 7, .check = "level", .reading = "nothing"});
  log_add(&log, FACT_READING, (FactBody){.line = 3, .check = "level", .reading = "normal"});
  log_add(&log, FACT_READING, (FactBody){.line = 7, .check = "lamps", .reading = "G.R"});
  log_add(&log, FACT_TAPED_OFF, (FactBody){.item = "M041"});
  log_add(&log, FACT_TAPED_OFF, (FactBody){.item = "M042"});
  log_add(&log, FACT_CLEARED, (FactBody){.item = " m042 ", .seconds = 60});
  log_add(&log, FACT_PLUGGED, (FactBody){.place = "A6", .what = "M050"});
  log_add(&log, FACT_PLUGGED, (FactBody){.place = "a6", .what = ""});
  log_add(&log, FACT_MOVED, (FactBody){.line = 7, .way = "A15"});
  log_add(&log, FACT_MOVED, (FactBody){.line = 3, .way = "A16"});
  log_add(&log, FACT_MOVED, (FactBody){.line = 3, .way = ""});
  log_add(&log, FACT_KIT, (FactBody){.kit = "lamp tester", .count = 0});
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "lines", .version = "1", .text = "a"});
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "lines", .version = "2", .text = "b"});
  log_add(&log, FACT_STEP_REFUSED, (FactBody){.line = 7, .step = "swap", .why = "cannot"});
  log_add(&log, FACT_NOTE, (FactBody){.text = "rain"});
  log_add(&log, FACT_ACT_IN_FORCE, (FactBody){.act = "act2"});
  fold = log_fold(&log);
  assert_string_equal(fold.act->body.act, "act2");
  const FoldSet of_7 = fold_of_line(fold.readings, 7);
  assert_int_equal(of_7.n_facts, 2);
  assert_string_equal(of_7.facts[0]->body.reading, "nothing");
  assert_string_equal(of_7.facts[1]->body.reading, "G.R");
  assert_int_equal(fold_of_line(fold.readings, 5).n_facts, 0);
  assert_true(fold_is_taped_off(&fold, "m041"));
  assert_false(fold_is_taped_off(&fold, "M042"));
  assert_int_equal(fold.cleared.n_facts, 1);
  assert_int_equal(fold.plugged.n_facts, 1);
  assert_string_equal(fold.plugged.facts[0]->body.what, "");
  assert_int_equal(fold.moved.n_facts, 1);
  assert_string_equal(fold_of_line(fold.moved, 7).facts[0]->body.way, "A15");
  assert_int_equal(fold.kit.facts[0]->body.count, 0);
  assert_int_equal(fold.lists.n_facts, 1);
  assert_string_equal(fold.lists.facts[0]->body.version, "2");
  assert_int_equal(fold_of_line(fold.steps, 7).n_facts, 1);
  assert_int_equal(fold.notes.n_facts, 1);

  // Undo takes the newest back, then the one before it; a void is never what is undone.
  assert_string_equal(fold_undo_id(&fold), log.facts[17].id);
  log_add(&log, FACT_VOIDED, (FactBody){.id = log.facts[17].id});
  fold = log_fold(&log);
  assert_string_equal(fold.act->body.act, "act1");
  assert_string_equal(fold_undo_id(&fold), log.facts[16].id);
  // Voiding the void brings the fact back.
  log_add(&log, FACT_VOIDED, (FactBody){.id = log.facts[18].id});
  fold = log_fold(&log);
  assert_string_equal(fold.act->body.act, "act2");
  assert_ptr_equal(fold.all.facts[18]->voided_by, fold.all.facts[19]);
  arena_deinit(&log.arena);
}

static bool
is_in_force(const Fold* fold, const char* list)
{
  for (size_t i = 0; i < fold->lists.n_facts; ++i) {
    if (text_same(fold->lists.facts[i]->body.list, list)) {
      return true;
    }
  }
  return false;
}

// Three lists that came in together, one that did not: whoever takes one of the three back takes
// the three, and voiding the void brings them all again.
static void
lists_that_came_together_go_together(void** state)
{
  (void)state;
  Log log = {0};
  arena_init(&log.arena, NULL);
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "alone", .version = "1", .text = "a"});
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "one", .version = "1", .text = "a"});
  const char* const first = log.facts[1].id;
  log_add(&log, FACT_LIST_IMPORTED,
          (FactBody){.list = "two", .version = "1", .text = "a", .id = first});
  log_add(&log, FACT_LIST_IMPORTED,
          (FactBody){.list = "three", .version = "1", .text = "a", .id = first});
  Fold fold = log_fold(&log);
  for (size_t i = 0; i < 4; ++i) {
    assert_string_equal(fold_undo_of(&fold, fold.all.facts[i])->fact.id,
                        log.facts[i == 0 ? 0 : 1].id);
  }
  assert_string_equal(fold_undo_id(&fold), first);
  log_add(&log, FACT_VOIDED, (FactBody){.id = first});
  fold = log_fold(&log);
  assert_true(is_in_force(&fold, "alone"));
  assert_false(is_in_force(&fold, "one") || is_in_force(&fold, "two") ||
               is_in_force(&fold, "three"));
  assert_string_equal(fold_undo_id(&fold), log.facts[0].id);
  log_add(&log, FACT_VOIDED, (FactBody){.id = log.facts[4].id});
  fold = log_fold(&log);
  assert_true(is_in_force(&fold, "one") && is_in_force(&fold, "two") &&
              is_in_force(&fold, "three"));
  // What names no list that is there stands for itself
  log_add(&log, FACT_LIST_IMPORTED,
          (FactBody){.list = "four", .version = "1", .text = "a", .id = "0123456789"});
  fold = log_fold(&log);
  assert_string_equal(fold_undo_id(&fold), log.facts[6].id);
  arena_deinit(&log.arena);
}

// The definition itself, with no attempt at speed.
static bool
model_in_force(const Log* log, size_t at)
{
  for (size_t i = at + 1; i < log->n; ++i) {
    if (log->facts[i].kind == FACT_VOIDED && strstr(log->facts[i].body, log->facts[at].id) &&
        model_in_force(log, i)) {
      return false;
    }
  }
  return true;
}

static bool
model_same_key(const FoldFact* a, const FoldFact* b)
{
  const bool items = a->fact.kind == FACT_TAPED_OFF || a->fact.kind == FACT_CLEARED;
  const bool items_too = b->fact.kind == FACT_TAPED_OFF || b->fact.kind == FACT_CLEARED;
  if (items || items_too) {
    return items && items_too && text_same(a->body.item, b->body.item);
  }
#define WORDS_SAME(field)                                                                          \
  text_same(a->body.field ? a->body.field : "", b->body.field ? b->body.field : "")
  if (a->fact.kind != b->fact.kind) {
    return false;
  }
  switch (a->fact.kind) {
    case FACT_PLUGGED:
      return WORDS_SAME(place) && WORDS_SAME(act);
    case FACT_MOVED:
      return a->body.line == b->body.line && WORDS_SAME(act);
    case FACT_KIT:
      return WORDS_SAME(kit) && WORDS_SAME(place);
    case FACT_LIST_IMPORTED:
      return WORDS_SAME(list);
    case FACT_DESK_READ:
      return a->body.line == b->body.line && WORDS_SAME(desk) && WORDS_SAME(act);
    case FACT_HOLDS:
      return WORDS_SAME(desk) && WORDS_SAME(act);
    default:
      return true;
  }
}

static size_t
set_holds(FoldSet set, const FoldFact* entry)
{
  size_t n = 0;
  for (size_t i = 0; i < set.n_facts; ++i) {
    n += set.facts[i] == entry;
  }
  return n;
}

static void
fold_agrees_with_the_definition(void** state)
{
  (void)state;
  const uint64_t seed = 20310614;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 300; ++round) {
    Log log = {0};
    arena_init(&log.arena, NULL);
    const size_t n = (size_t)rng_below(&rng, N_LOG_MAX);
    for (; log.n < n; ++log.n) {
      log.facts[log.n] = facts_random(&log.arena, &rng, log.facts, log.n);
    }
    const Fold fold = log_fold(&log);
    assert_int_equal(fold.all.n_facts, log.n);
    for (size_t i = 0; i < log.n; ++i) {
      const FoldFact* const e = fold.all.facts[i];
      const bool in_force = model_in_force(&log, i);
      bool newest = in_force;
      for (size_t k = i + 1; k < log.n && newest; ++k) {
        newest = !(model_in_force(&log, k) && model_same_key(e, fold.all.facts[k]));
      }
      const struct {
        FoldSet set;
        bool want;
      } wants[] = {
        {fold.readings, in_force && e->fact.kind == FACT_READING},
        {fold.outputs, in_force && e->fact.kind == FACT_OUTPUT_READING},
        {fold.steps,
         in_force && (e->fact.kind == FACT_STEP_TAKEN || e->fact.kind == FACT_STEP_REFUSED ||
                      e->fact.kind == FACT_STEP_DONE)},
        {fold.plugged, newest && e->fact.kind == FACT_PLUGGED},
        {fold.taped_off, newest && e->fact.kind == FACT_TAPED_OFF},
        {fold.cleared, newest && e->fact.kind == FACT_CLEARED},
        {fold.moved, newest && e->fact.kind == FACT_MOVED && *e->body.way},
        {fold.kit, newest && e->fact.kind == FACT_KIT},
        {fold.lists, newest && e->fact.kind == FACT_LIST_IMPORTED},
        {fold.desks, newest && e->fact.kind == FACT_DESK_READ},
        {fold.holds, newest && e->fact.kind == FACT_HOLDS},
        {fold.passes, in_force && (e->fact.kind == FACT_PASS_BEGUN || e->fact.kind == FACT_READY ||
                                   e->fact.kind == FACT_SKIPPED)},
        {fold.notes, in_force && e->fact.kind == FACT_NOTE},
        {fold.messages,
         in_force && (e->fact.kind == FACT_MESSAGE || e->fact.kind == FACT_MESSAGE_SEEN)},
      };
      for (size_t s = 0; s < sizeof(wants) / sizeof(wants[0]); ++s) {
        if (e->in_force != in_force || set_holds(wants[s].set, e) != wants[s].want) {
          fail_msg("seed %llu round %d fact %zu (%s) set %zu", (unsigned long long)seed, round, i,
                   fact_kind_word(e->fact.kind), s);
        }
      }
      if (newest && e->fact.kind == FACT_ACT_IN_FORCE) {
        assert_ptr_equal(fold.act, e);
      }
    }
    arena_deinit(&log.arena);
  }
}

static void
same_state(const Fold* a, const Fold* b)
{
  const FoldSet sets_a[] = {a->readings, a->steps, a->plugged, a->taped_off, a->cleared,
                            a->moved,    a->kit,   a->lists,   a->notes,     a->messages,
                            a->desks,    a->holds, a->outputs, a->passes};
  const FoldSet sets_b[] = {b->readings, b->steps, b->plugged, b->taped_off, b->cleared,
                            b->moved,    b->kit,   b->lists,   b->notes,     b->messages,
                            b->desks,    b->holds, b->outputs, b->passes};
  for (size_t s = 0; s < sizeof(sets_a) / sizeof(sets_a[0]); ++s) {
    assert_int_equal(sets_a[s].n_facts, sets_b[s].n_facts);
    for (size_t i = 0; i < sets_a[s].n_facts; ++i) {
      assert_string_equal(sets_a[s].facts[i]->fact.id, sets_b[s].facts[i]->fact.id);
    }
  }
  assert_string_equal(a->act ? a->act->fact.id : "none", b->act ? b->act->fact.id : "none");
}

static void
laws_of_the_fold(void** state)
{
  (void)state;
  const uint64_t seed = 7;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 200; ++round) {
    Log log = {0};
    arena_init(&log.arena, NULL);
    const size_t n = 1 + (size_t)rng_below(&rng, N_LOG_MAX / 2);
    for (; log.n < n; ++log.n) {
      log.facts[log.n] = facts_random(&log.arena, &rng, log.facts, log.n);
    }
    const Fold once = log_fold(&log);
    // Replayed twice = once, also when the copies come in any order after their first.
    Fact* const twice = arena_array(&log.arena, 2 * n, sizeof(Fact));
    for (size_t i = 0; i < n; ++i) {
      twice[i] = log.facts[i];
      twice[n + i] = log.facts[n - 1 - i];
    }
    Fold doubled;
    assert_int_equal(fold_make(&log.arena, twice, 2 * n, &doubled, NULL), STATUS_OK);
    assert_int_equal(doubled.all.n_facts, n);
    same_state(&once, &doubled);
    // A fact added and taken back leaves the state as it was, and so does a void of that void
    // of a fact that was in force.
    const size_t kept = log.n;
    log_add(&log, FACT_PLUGGED, (FactBody){.place = "A6", .what = "something new"});
    log_add(&log, FACT_VOIDED, (FactBody){.id = log.facts[kept].id});
    const Fold undone = log_fold(&log);
    same_state(&once, &undone);
    log.n = kept;
    const char* const id = fold_undo_id(&once);
    if (id) {
      log_add(&log, FACT_VOIDED, (FactBody){.id = id});
      log_add(&log, FACT_VOIDED, (FactBody){.id = log.facts[kept].id});
      const Fold back = log_fold(&log);
      same_state(&once, &back);
    }
    arena_deinit(&log.arena);
  }
}

// Fact by fact behind a fold is the fold of all of them.
static void
adding_a_fact_is_folding_all(void** state)
{
  (void)state;
  const uint64_t seed = 2711;
  const int n_rounds = check_count(300, 20000);
  Rng rng;
  int n_added = 0;
  rng_init(&rng, seed);
  for (int round = 0; round < n_rounds; ++round) {
    Log log = {0};
    size_t room[FOLD_SETS] = {0};
    arena_init(&log.arena, NULL);
    const size_t n = 2 + (size_t)rng_below(&rng, N_LOG_MAX - 2);
    for (; log.n < n; ++log.n) {
      log.facts[log.n] = facts_random(&log.arena, &rng, log.facts, log.n);
    }
    log.n = (size_t)rng_below(&rng, (int)n);
    Fold grown = log_fold(&log);
    while (log.n < n) {
      const Fact* const fact = &log.facts[log.n++];
      const Status st = fold_add(&log.arena, &grown, room, fact, NULL);
      const Fold whole = log_fold(&log);
      if (st == STATUS_NO) {
        assert_int_equal(fact->kind, FACT_VOIDED);
        memset(room, 0, sizeof(room));
        grown = whole;
        continue;
      }
      ++n_added;
      if (st != STATUS_OK || grown.all.n_facts != whole.all.n_facts) {
        fail_msg("seed %llu round %d fact %zu", (unsigned long long)seed, round, log.n);
      }
      same_state(&grown, &whole);
      for (size_t i = 0; i < log.n; ++i) {
        const FoldFact* const a = grown.all.facts[i];
        const FoldFact* const b = whole.all.facts[i];
        assert_int_equal(a->in_force, b->in_force);
        assert_int_equal(a->voided_by != NULL, b->voided_by != NULL);
        assert_memory_equal(&a->fact, &b->fact, sizeof(a->fact));
      }
    }
    arena_deinit(&log.arena);
  }
  assert_true(n_added > 10 * n_rounds);
}

// Whatever fails, the fold is what it was.
static void
adding_survives_every_failed_allocation(void** state)
{
  (void)state;
  Log log = {0};
  arena_init(&log.arena, NULL);
  log_add(&log, FACT_TAPED_OFF, (FactBody){.item = "M041"});
  const Fold before = log_fold(&log);
  log_add(&log, FACT_CLEARED, (FactBody){.item = "M041", .seconds = 60});
  int n_failed = 0;
  for (int at = 1;; ++at) {
    FailingHeap heap = {0, at, 0};
    const Allocator from = failing_allocator(&heap);
    size_t room[FOLD_SETS] = {0};
    Arena arena;
    arena_init(&arena, &from);
    Fold fold = before;
    const Status st = fold_add(&arena, &fold, room, &log.facts[1], NULL);
    if (st == STATUS_OK) {
      assert_int_equal(fold.taped_off.n_facts, 0);
      assert_int_equal(fold.cleared.n_facts, 1);
    } else {
      assert_int_equal(st, STATUS_NO_MEMORY);
      same_state(&fold, &before);
      ++n_failed;
    }
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      break;
    }
  }
  assert_true(n_failed >= 4);
  arena_deinit(&log.arena);
}

static void
a_void_of_a_later_fact_or_itself_does_nothing(void** state)
{
  (void)state;
  const Fact facts[] = {
    {"void-0001", 1, FACTS_TIME, "", "", FACT_VOIDED, "{\"id\":\"note-0001\"}", 18},
    {"note-0001", 2, FACTS_TIME, "", "", FACT_NOTE, "{\"text\":\"x\"}", 12},
    {"void-0002", 3, FACTS_TIME, "", "", FACT_VOIDED, "{\"id\":\"void-0002\"}", 18},
    {"void-0003", 4, FACTS_TIME, "", "", FACT_VOIDED, "{\"id\":\"nobody-at-all\"}", 22},
  };
  Arena arena;
  arena_init(&arena, NULL);
  Fold fold;
  assert_int_equal(fold_make(&arena, facts, 4, &fold, NULL), STATUS_OK);
  assert_int_equal(fold.notes.n_facts, 1);
  assert_true(fold.all.facts[2]->in_force);
  for (size_t i = 0; i < 4; ++i) {
    assert_null(fold.all.facts[i]->voided_by);
  }
  Fact bad = facts[1];
  bad.body = "{}";
  bad.n_body = 2;
  Error error;
  assert_int_equal(fold_make(&arena, &bad, 1, &fold, &error), STATUS_DAMAGED);
  assert_non_null(strstr(error.text, "Fact 2"));
  arena_deinit(&arena);
}

static void
fold_survives_every_failed_allocation(void** state)
{
  (void)state;
  Log log = {0};
  arena_init(&log.arena, NULL);
  char* const text = arena_array(&log.arena, 70000, 1);
  memset(text, 'x', 69999);
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "l", .version = "", .text = text});
  log_add(&log, FACT_LIST_IMPORTED, (FactBody){.list = "m", .version = "", .text = text});
  int n_failed = 0;
  for (int at = 1;; ++at) {
    FailingHeap heap = {0, at, 0};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Fold fold = {.all = {NULL, 77}};
    const Status st = fold_make(&arena, log.facts, log.n, &fold, NULL);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      break;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_int_equal(fold.all.n_facts, 77);
    ++n_failed;
  }
  assert_true(n_failed >= 3);
  arena_deinit(&log.arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(lists_that_came_together_go_together),
    cmocka_unit_test(what_holds_today),
    cmocka_unit_test(fold_agrees_with_the_definition),
    cmocka_unit_test(laws_of_the_fold),
    cmocka_unit_test(adding_a_fact_is_folding_all),
    cmocka_unit_test(adding_survives_every_failed_allocation),
    cmocka_unit_test(a_void_of_a_later_fact_or_itself_does_nothing),
    cmocka_unit_test(fold_survives_every_failed_allocation),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
