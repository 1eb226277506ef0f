// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store_inside.h"

#include <stdio.h>
#include <string.h>

/*
  Facts into the log and out of it. All facts of one call stand in one transaction; one that is
  known already counts once, one that differs from what has its id is refused.
*/

static const char*
column_text(sqlite3_stmt* stmt, int column)
{
  const char* const text = (const char*)sqlite3_column_text(stmt, column);
  return text ? text : "";
}

// A row of "seq, id, time, place, role, kind, body". The fact is borrowed until the next step.
static Status
row_fact(sqlite3_stmt* stmt, Fact* fact)
{
  FactKind kind = FACT_NOTE;
  const char* const body = (const char*)sqlite3_column_text(stmt, 6);
  if (!body) {
    return STATUS_NO_MEMORY; // The column is NOT NULL, so only memory can be missing
  }
  if (!fact_kind_of(column_text(stmt, 5), &kind)) {
    return STATUS_DAMAGED;
  }
  const Fact found = {.id = column_text(stmt, 1),
                      .seq = sqlite3_column_int64(stmt, 0),
                      .time = column_text(stmt, 2),
                      .place = column_text(stmt, 3),
                      .role = column_text(stmt, 4),
                      .kind = kind,
                      .body = body,
                      .n_body = (size_t)sqlite3_column_bytes(stmt, 6)};
  *fact = found;
  return STATUS_OK;
}

static int
bind_text(sqlite3_stmt* stmt, int at, const char* text, size_t n_bytes)
{
  return sqlite3_bind_text64(stmt, at, text, n_bytes, SQLITE_STATIC, SQLITE_UTF8);
}

// STATUS_NOT_FOUND when the id is not in the show; `known` is borrowed until the next find.
static Status
fact_find(Store* store, const char* id, Fact* known)
{
  (void)sqlite3_reset(store->find);
  int rc = bind_text(store->find, 1, id, strlen(id));
  if (rc == SQLITE_OK) {
    rc = sqlite3_step(store->find);
  }
  if (rc == SQLITE_ROW) {
    return row_fact(store->find, known);
  }
  return rc == SQLITE_DONE ? STATUS_NOT_FOUND : store_status(store->db, rc);
}

static Status
fact_insert(Store* store, const Fact* fact, const char* voids)
{
  sqlite3_stmt* const stmt = store->insert;
  const char* const texts[] = {
    fact->id, fact->time, fact->place, fact->role, fact_kind_word(fact->kind), voids};
  (void)sqlite3_reset(stmt);
  int rc = SQLITE_OK;
  for (int i = 0; rc == SQLITE_OK && i < 6; ++i) {
    rc = texts[i] ? bind_text(stmt, i + 1, texts[i], strlen(texts[i]))
                  : sqlite3_bind_null(stmt, i + 1);
  }
  if (rc == SQLITE_OK) {
    rc = bind_text(stmt, 7, fact->body, fact->n_body);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_step(stmt);
    if (rc == SQLITE_CONSTRAINT_CHECK) { // As in integrity_check
      (void)sqlite3_reset(stmt);
      rc = sqlite3_step(stmt);
    }
  }
  const Status st = store_status(store->db, rc);
  (void)sqlite3_reset(stmt);
  (void)sqlite3_clear_bindings(stmt);
  return st;
}

static Status
append_one(Store* store, Arena* scratch, const Fact* given, int number, size_t* n_new, Error* error)
{
  FactBody body = {0};
  Fact fact = *given;
  Fact known = {0};
  Status st = fact_check(scratch, given, given->kind == FACT_VOIDED ? &body : NULL, &fact, error);
  if (st != STATUS_OK) {
    if (error) {
      error->line = number;
      error->column = 0;
    }
    return st;
  }
  st = fact_find(store, fact.id, &known);
  if (st == STATUS_OK) {
    const bool same = fact_same(&fact, &known);
    (void)sqlite3_reset(store->find);
    return same ? STATUS_OK
                : error_set(error, STATUS_EXISTS, NULL, number, 0,
                            "A different fact with the id %s is already in the show.", fact.id);
  }
  if (st == STATUS_NOT_FOUND && fact.kind == FACT_VOIDED) {
    st = fact_find(store, body.id, &known);
    if (st == STATUS_NOT_FOUND) {
      return error_set(error, st, NULL, number, 0, "There is no fact %s in the show to take back.",
                       body.id);
    }
  }
  (void)sqlite3_reset(store->find);
  if (st != STATUS_OK && st != STATUS_NOT_FOUND) {
    return store_say(error, st, store->path, store->db);
  }
  TRY(st, store_say(error, fact_insert(store, &fact, body.id), store->path, store->db));
  ++*n_new;
  return STATUS_OK;
}

Status
store_append(Store* store, const Fact* facts, size_t n_facts, size_t* n_new, Error* error)
{
  if (store->mode != STORE_WRITE) {
    return error_set(error, STATUS_IO, store->path, 0, 0, "This show was opened to look only.");
  }
  Status st = STATUS_OK;
  size_t n_counted = 0;
  TRY(st, store_say_rc(error, sqlite3_exec(store->db, "BEGIN IMMEDIATE", NULL, NULL, NULL),
                       store->path, store->db));
  for (size_t i = 0; st == STATUS_OK && i < n_facts; ++i) {
    Arena scratch;
    arena_init(&scratch, NULL);
    st = append_one(store, &scratch, &facts[i], (int)i + 1, &n_counted, error);
    arena_deinit(&scratch);
  }
  if (st == STATUS_OK) {
    st = store_say_rc(error, sqlite3_exec(store->db, "COMMIT", NULL, NULL, NULL), store->path,
                      store->db);
  }
  if (st != STATUS_OK) {
    (void)sqlite3_exec(store->db, "ROLLBACK", NULL, NULL, NULL);
    return st;
  }
  if (n_new) {
    *n_new = n_counted;
  }
  return STATUS_OK;
}

Status
store_void(Store* store, const char* id, const char* why, const char* time, const char* place,
           const char* role, char made_id[FACT_ID_ROOM], Error* error)
{
  Arena scratch;
  arena_init(&scratch, NULL);
  const FactBody body = {.id = id, .why = why};
  Fact fact;
  Status st = fact_make(&scratch, FACT_VOIDED, &body, time, place, role, &fact, error);
  if (st == STATUS_OK) {
    st = store_append(store, &fact, 1, NULL, error);
  }
  if (st == STATUS_OK && made_id) {
    (void)snprintf(made_id, FACT_ID_ROOM, "%s", fact.id);
  }
  arena_deinit(&scratch);
  return st;
}

/* Reading */

Status
store_read(Store* store, int64_t after_seq, StoreVisit visit, void* user, Error* error)
{
  sqlite3_stmt* stmt = NULL;
  int rc = sqlite3_prepare_v2(store->db,
                              "SELECT seq, id, time, place, role, kind, body FROM fact "
                              "WHERE seq > ?1 ORDER BY seq",
                              -1, &stmt, NULL);
  if (rc == SQLITE_OK) {
    rc = sqlite3_bind_int64(stmt, 1, after_seq);
  }
  Status st = STATUS_OK;
  while (rc == SQLITE_OK || rc == SQLITE_ROW) {
    rc = sqlite3_step(stmt);
    if (rc != SQLITE_ROW) {
      break;
    }
    Fact fact;
    st = row_fact(stmt, &fact);
    if (st != STATUS_OK) {
      (void)store_say(error, st, store->path, NULL);
      break;
    }
    st = visit(user, &fact);
    if (st != STATUS_OK) {
      (void)error_set(error, st, store->path, 0, 0, "%s", status_text(st));
      break;
    }
  }
  if (st == STATUS_OK) {
    st = store_say_rc(error, rc, store->path, store->db);
  }
  (void)sqlite3_finalize(stmt);
  return st;
}

typedef struct {
  Arena* arena;
  Fact* facts;
  size_t n_facts;
  size_t n_room;
} Gathering;

static Status
gather(void* user, const Fact* fact)
{
  Gathering* const g = user;
  if (g->n_facts == g->n_room) {
    const size_t n_room = g->n_room ? 2 * g->n_room : 64;
    Fact* const grown = arena_grow(g->arena, g->facts, g->n_facts, n_room, sizeof(Fact));
    if (!grown) {
      return STATUS_NO_MEMORY;
    }
    g->facts = grown;
    g->n_room = n_room;
  }
  Fact copy = *fact;
  copy.id = arena_copy(g->arena, fact->id);
  copy.time = arena_copy(g->arena, fact->time);
  copy.place = arena_copy(g->arena, fact->place);
  copy.role = arena_copy(g->arena, fact->role);
  copy.body = arena_text(g->arena, fact->body, fact->n_body);
  if (!copy.id || !copy.time || !copy.place || !copy.role || !copy.body) {
    return STATUS_NO_MEMORY;
  }
  g->facts[g->n_facts++] = copy;
  return STATUS_OK;
}

Status
store_facts(Store* store, Arena* arena, int64_t after_seq, Fact** facts, size_t* n_facts,
            Error* error)
{
  Gathering g = {.arena = arena};
  Status st = STATUS_OK;
  TRY(st, store_read(store, after_seq, gather, &g, error));
  *facts = g.facts;
  *n_facts = g.n_facts;
  return STATUS_OK;
}

Status
store_count(Store* store, size_t* n_facts, int64_t* last_seq, Error* error)
{
  int64_t n = 0;
  int64_t last = 0;
  int rc = store_whole(store->db, "SELECT count(*) FROM fact", &n);
  if (rc == SQLITE_OK) {
    rc = store_whole(store->db, "SELECT coalesce(max(seq), 0) FROM fact", &last);
  }
  if (rc != SQLITE_OK) {
    return store_say_rc(error, rc, store->path, store->db);
  }
  if (n_facts) {
    *n_facts = (size_t)n;
  }
  if (last_seq) {
    *last_seq = last;
  }
  return STATUS_OK;
}
