// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store.h"

#include <errno.h>
#include <fcntl.h>
#include <sqlite3.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/*
  What holds:

  1. A fact is acknowledged after COMMIT in a write-ahead log with synchronous=FULL, that is after
     the log was flushed to the disk. Where a file system cannot share a write-ahead log, SQLite
     stays with its rollback journal, which is slower and just as safe.
  2. Facts are only added: triggers refuse UPDATE and DELETE, also to the sqlite3 shell.
  3. Every name in `voids` is a fact before it (a foreign key and the order of appending).
  4. application_id and user_version are written before the write-ahead log exists, so they stand in
     the file's first hundred bytes, where file(1) shows them.
  5. A show file cannot reach beyond itself: no extensions, and SQLite's defended mode. (Its
     trusted_schema=OFF cannot be had as well: 3.40 then refuses json_valid() in a CHECK.)
*/

enum {
  STORE_APPLICATION_ID = 0x4C574B53, // "LWKS"
  STORE_BUSY_MS = 1000,
  STORE_PATH_ROOM = 4096,
};

static const char create_sql[] =
  "CREATE TABLE fact ("
  "  seq INTEGER PRIMARY KEY,"
  "  id TEXT NOT NULL UNIQUE CHECK (length(id) BETWEEN 8 AND 64),"
  "  time TEXT NOT NULL,"
  "  place TEXT NOT NULL,"
  "  role TEXT NOT NULL,"
  "  kind TEXT NOT NULL,"
  "  voids TEXT REFERENCES fact (id),"
  "  body TEXT NOT NULL CHECK (json_valid(body)),"
  "  CHECK ((kind = 'voided') = (voids IS NOT NULL))"
  ") STRICT;"
  "CREATE TRIGGER fact_is_never_edited BEFORE UPDATE ON fact "
  "BEGIN SELECT raise(ABORT, 'a fact is never edited; append a voided one'); END;"
  "CREATE TRIGGER fact_is_never_removed BEFORE DELETE ON fact "
  "BEGIN SELECT raise(ABORT, 'a fact is never removed; append a voided one'); END;";

// 2: more kinds of facts (words to a place, steps done, desks read back). The tables are as they
// were; but a program that does not know these kinds must call such a show newer, not damaged.
static const StoreMigration house_migrations[] = {{1, "SELECT 1;"}};

static const StoreSchema house_schema = {2, create_sql, house_migrations, 1};

struct Store {
  sqlite3* db;
  sqlite3_stmt* find;
  sqlite3_stmt* insert;
  const char* path;
  StoreMode mode;
};

static Status
status_of(sqlite3* db, int rc)
{
  switch (rc & 0xff) {
    case SQLITE_OK:
    case SQLITE_DONE:
    case SQLITE_ROW:
      return STATUS_OK;
    case SQLITE_NOMEM:
      return STATUS_NO_MEMORY;
    case SQLITE_FULL:
      return STATUS_FULL;
    case SQLITE_BUSY:
    case SQLITE_LOCKED:
      return STATUS_LOCKED;
    case SQLITE_NOTADB:
      return STATUS_NOT_OURS;
    case SQLITE_CORRUPT:
    case SQLITE_CONSTRAINT:
    case SQLITE_SCHEMA:
    case SQLITE_ERROR: // Our statements are right, so the tables are not what they should be
      return STATUS_DAMAGED;
    case SQLITE_TOOBIG:
      return STATUS_LIMIT;
    default:
      if (rc == SQLITE_IOERR_NOMEM) {
        return STATUS_NO_MEMORY;
      }
      // A full disk met while growing the shared index or flushing comes as an I/O error.
      const int cause = db ? sqlite3_system_errno(db) : 0;
      return (rc & 0xff) == SQLITE_IOERR && (cause == ENOSPC || cause == EDQUOT) ? STATUS_FULL
                                                                                 : STATUS_IO;
  }
}

static Status
say(Error* error, Status st, const char* path, sqlite3* db)
{
  switch (st) {
    case STATUS_OK:
      return st;
    case STATUS_FULL:
      return error_set(error, st, path, 0, 0,
                       "The disk is full; the show is as it was before. Make room and try again.");
    case STATUS_LOCKED:
      return error_set(
        error, st, path, 0, 0,
        "Another program holds this show. Close it there, or try again in a moment.");
    case STATUS_DAMAGED:
      return error_set(error, st, path, 0, 0,
                       "The show file is damaged (%s). Go back to the last backup.",
                       db ? sqlite3_errmsg(db) : "cut short");
    case STATUS_NOT_OURS:
      return error_set(
        error, st, path, 0, 0,
        "This file is not a Linewalk show. Check the name, or make a show with new.");
    case STATUS_IO:
      return error_set(
        error, st, path, 0, 0,
        "The show file cannot be read or written (%s). Check its rights and the disk.",
        db ? sqlite3_errmsg(db) : strerror(errno));
    default:
      return error_set(error, st, path, 0, 0, "%s", status_text(st));
  }
}

static Status
say_rc(Error* error, int rc, const char* path, sqlite3* db)
{
  return say(error, status_of(db, rc), path, db);
}

static int
whole_of(sqlite3* db, const char* sql, int64_t* value)
{
  sqlite3_stmt* stmt = NULL;
  int rc = sqlite3_prepare_v2(db, sql, -1, &stmt, NULL);
  if (rc == SQLITE_OK && (rc = sqlite3_step(stmt)) == SQLITE_ROW) {
    *value = sqlite3_column_int64(stmt, 0);
    rc = SQLITE_OK;
  }
  const int end = sqlite3_finalize(stmt);
  return rc == SQLITE_OK ? end : rc;
}

static int
version_set(sqlite3* db, int version)
{
  char sql[64];
  (void)snprintf(sql, sizeof(sql), "PRAGMA user_version = %d", version);
  return sqlite3_exec(db, sql, NULL, NULL, NULL);
}

/* Opening */

static int
connection_settle(sqlite3* db)
{
  int rc = sqlite3_extended_result_codes(db, 1);
  if (rc == SQLITE_OK) {
    rc = sqlite3_busy_timeout(db, STORE_BUSY_MS);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_db_config(db, SQLITE_DBCONFIG_DEFENSIVE, 1, (int*)NULL);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(db,
                      "PRAGMA cell_size_check = ON;"
                      "PRAGMA foreign_keys = ON;"
                      "PRAGMA synchronous = FULL;",
                      NULL, NULL, NULL);
  }
  return rc;
}

// What the first bytes say before SQLite is asked, because it takes an empty file for a database.
static Status
head_check(const char* path, Error* error)
{
  struct stat about;
  if (stat(path, &about) != 0) {
    return errno == ENOENT || errno == ENOTDIR
             ? error_set(error, STATUS_NOT_FOUND, path, 0, 0,
                         "There is no such show. Check the name, or make it with new.")
             : say(error, STATUS_IO, path, NULL);
  }
  if (!S_ISREG(about.st_mode)) {
    return say(error, STATUS_NOT_OURS, path, NULL);
  }
  static const char magic[16] = "SQLite format 3";
  char head[100] = "";
  FILE* const in = fopen(path, "rb");
  if (!in) {
    return say(error, STATUS_IO, path, NULL);
  }
  const size_t n = fread(head, 1, sizeof(head), in);
  (void)fclose(in);
  if (n < sizeof(magic) || memcmp(head, magic, sizeof(magic)) != 0) {
    return say(error, STATUS_NOT_OURS, path, NULL);
  }
  return n < sizeof(head) ? say(error, STATUS_DAMAGED, path, NULL) : STATUS_OK;
}

static Status
integrity_look(sqlite3* db, const char* path, Error* error)
{
  sqlite3_stmt* stmt = NULL;
  int rc = sqlite3_prepare_v2(db, "PRAGMA quick_check(1)", -1, &stmt, NULL);
  if (rc == SQLITE_OK) {
    rc = sqlite3_step(stmt);
  }
  Status st = STATUS_OK;
  if (rc != SQLITE_ROW) {
    st = say_rc(error, rc, path, db);
  } else {
    const char* const said = (const char*)sqlite3_column_text(stmt, 0);
    if (!said) {
      st = say(error, STATUS_NO_MEMORY, path, db);
    } else if (strcmp(said, "ok") != 0) {
      st = error_set(error, STATUS_DAMAGED, path, 0, 0,
                     "The show file is damaged (%.200s). Go back to the last backup.", said);
    }
  }
  (void)sqlite3_finalize(stmt);
  return st;
}

// When memory runs out inside json_valid(), SQLite 3.40 takes that for "not valid" instead of
// saying so. Only what two looks agree on is called damage.
static Status
integrity_check(sqlite3* db, const char* path, Error* error)
{
  const Status st = integrity_look(db, path, error);
  return st == STATUS_DAMAGED ? integrity_look(db, path, error) : st;
}

static Status
statements_prepare(Store* store, Error* error)
{
  int rc = sqlite3_prepare_v3(store->db,
                              "SELECT seq, id, time, place, role, kind, body FROM fact "
                              "WHERE id = ?1",
                              -1, SQLITE_PREPARE_PERSISTENT, &store->find, NULL);
  if (rc == SQLITE_OK) {
    rc = sqlite3_prepare_v3(store->db,
                            "INSERT INTO fact (id, time, place, role, kind, voids, body) "
                            "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                            -1, SQLITE_PREPARE_PERSISTENT, &store->insert, NULL);
  }
  return say_rc(error, rc, store->path, store->db);
}

static const StoreMigration*
migration_from(const StoreSchema* schema, int from)
{
  for (size_t i = 0; i < schema->n_migrations; ++i) {
    if (schema->migrations[i].from == from) {
      return &schema->migrations[i];
    }
  }
  return NULL;
}

// All steps in one transaction, after a copy was put beside the file.
static Status
migrate(Store* store, const StoreSchema* schema, int version, Error* error)
{
  char copy[STORE_PATH_ROOM];
  Status st = STATUS_EXISTS;
  for (int k = version; k < schema->version; ++k) {
    if (!migration_from(schema, k)) {
      return error_set(error, STATUS_BAD_ARG, store->path, 0, 0,
                       "This program cannot bring a show of version %d up to date.", version);
    }
  }
  for (int k = 1; st == STATUS_EXISTS && k < 1000; ++k) {
    char tail[24] = "";
    if (k > 1) {
      (void)snprintf(tail, sizeof(tail), "-%d", k);
    }
    const int n =
      snprintf(copy, sizeof(copy), "%s.before-version-%d%s", store->path, schema->version, tail);
    if (n < 0 || (size_t)n >= sizeof(copy)) {
      return error_set(error, STATUS_LIMIT, store->path, 0, 0, "The file's name is too long.");
    }
    st = store_backup(store, copy, false, error);
  }
  if (st != STATUS_OK) {
    return st;
  }
  int rc = sqlite3_exec(store->db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
  int64_t from = version;
  if (rc == SQLITE_OK) {
    rc = whole_of(store->db, "PRAGMA user_version", &from); // Another program may have been first
  }
  for (int k = (int)from; rc == SQLITE_OK && k < schema->version; ++k) {
    const StoreMigration* const step = migration_from(schema, k);
    rc = step ? sqlite3_exec(store->db, step->sql, NULL, NULL, NULL) : SQLITE_ERROR;
  }
  if (rc == SQLITE_OK) {
    rc = version_set(store->db, schema->version);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(store->db, "COMMIT", NULL, NULL, NULL);
  }
  st = say_rc(error, rc, store->path, store->db);
  if (st != STATUS_OK) {
    (void)sqlite3_exec(store->db, "ROLLBACK", NULL, NULL, NULL);
  }
  return st;
}

static void
store_release(Store* store)
{
  (void)sqlite3_finalize(store->find);
  (void)sqlite3_finalize(store->insert);
  (void)sqlite3_close(store->db);
  store->find = NULL;
  store->insert = NULL;
  store->db = NULL;
}

// "file:" and the path with everything that means something in a URI written as %XX.
static char*
immutable_uri(Arena* arena, const char* path)
{
  static const char digits[] = "0123456789ABCDEF";
  static const char tail[] = "?immutable=1";
  char* const uri = arena_array(arena, 5 + 3 * strlen(path) + sizeof(tail), 1);
  if (!uri) {
    return NULL;
  }
  memcpy(uri, "file:", 5);
  char* to = uri + 5;
  for (const char* p = path; *p; ++p) {
    if (strchr("%?#", *p)) {
      *to++ = '%';
      *to++ = digits[(unsigned char)*p >> 4];
      *to++ = digits[(unsigned char)*p & 15u];
    } else {
      *to++ = *p;
    }
  }
  memcpy(to, tail, sizeof(tail));
  return uri;
}

static int
connect(Store* store, const char* name, int flags, int64_t* application)
{
  int rc = sqlite3_open_v2(name, &store->db, flags | SQLITE_OPEN_NOMUTEX, NULL);
  if (rc == SQLITE_OK) {
    rc = connection_settle(store->db);
  }
  if (rc == SQLITE_OK) {
    rc = whole_of(store->db, "PRAGMA application_id", application);
  }
  return rc;
}

// A write-protected disk has no room for the index a write-ahead log is read through. If no log
// lies beside the file, nothing can be missing and the file may be read as it stands.
static int
connect_for(Store* store, Arena* arena, int64_t* application)
{
  // Looking asks for a writable connection too, because only such a one tidies up the log and its
  // index when it closes; where that is not granted SQLite falls back by itself.
  const bool look = store->mode == STORE_READ;
  int rc = connect(store, store->path, SQLITE_OPEN_READWRITE, application);
  if (!look || ((rc & 0xff) != SQLITE_CANTOPEN && (rc & 0xff) != SQLITE_READONLY)) {
    return rc;
  }
  const char* const wal = arena_format(arena, "%s-wal", store->path);
  const char* const uri = immutable_uri(arena, store->path);
  struct stat about;
  if (!wal || !uri || (stat(wal, &about) == 0 && about.st_size > 0)) {
    return wal && uri ? rc : SQLITE_NOMEM;
  }
  (void)sqlite3_close(store->db);
  store->db = NULL;
  return connect(store, uri, SQLITE_OPEN_READONLY | SQLITE_OPEN_URI, application);
}

static Status
open_checked(Store* store, Arena* arena, const StoreSchema* schema, Error* error)
{
  Status st = STATUS_OK;
  int64_t application = 0;
  int64_t version = 0;
  TRY(st, say_rc(error, connect_for(store, arena, &application), store->path, store->db));
  if (application != STORE_APPLICATION_ID) {
    return say(error, STATUS_NOT_OURS, store->path, store->db);
  }
  if (store->mode == STORE_WRITE && sqlite3_db_readonly(store->db, "main") == 1) {
    return error_set(error, STATUS_IO, store->path, 0, 0,
                     "This show may only be read here. Check the file's rights, or copy it.");
  }
  TRY(st,
      say_rc(error, whole_of(store->db, "PRAGMA user_version", &version), store->path, store->db));
  if (version > schema->version) {
    return error_set(
      error, STATUS_NEWER, store->path, 0, 0,
      "This show was made by a newer Linewalk (file version %lld, this program knows "
      "%d). Use the newer program.",
      (long long)version, schema->version);
  }
  TRY(st, integrity_check(store->db, store->path, error));
  if (version < schema->version) {
    if (store->mode == STORE_READ) {
      return error_set(
        error, STATUS_IO, store->path, 0, 0,
        "This show is of an older make (%lld). Open it once where it may be written.",
        (long long)version);
    }
    TRY(st, migrate(store, schema, (int)version, error));
  }
  if (store->mode == STORE_WRITE) {
    TRY(st, say_rc(error, sqlite3_exec(store->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL),
                   store->path, store->db));
  }
  return statements_prepare(store, error);
}

static Store*
store_new(Arena* arena, const char* path, StoreMode mode)
{
  Store* const store = arena_array(arena, 1, sizeof(Store));
  const char* const kept = arena_copy(arena, path);
  if (!store || !kept) {
    return NULL;
  }
  store->path = kept;
  store->mode = mode;
  return store;
}

Status
store_open_as(Arena* arena, const char* path, StoreMode mode, const StoreSchema* schema,
              Store** store, Error* error)
{
  Status st = STATUS_OK;
  if (mode != STORE_READ_AGAIN) {
    TRY(st, head_check(path, error));
  }
  Store* const made = store_new(arena, path, mode == STORE_READ_AGAIN ? STORE_READ : mode);
  if (!made) {
    return say(error, STATUS_NO_MEMORY, path, NULL);
  }
  st = open_checked(made, arena, schema, error);
  if (st != STATUS_OK) {
    store_release(made);
    return st;
  }
  *store = made;
  return STATUS_OK;
}

Status
store_open(Arena* arena, const char* path, StoreMode mode, Store** store, Error* error)
{
  return store_open_as(arena, path, mode, &house_schema, store, error);
}

static Status
create_filled(Store* store, const StoreSchema* schema, Error* error)
{
  int rc =
    sqlite3_open_v2(store->path, &store->db, SQLITE_OPEN_READWRITE | SQLITE_OPEN_NOMUTEX, NULL);
  if (rc == SQLITE_OK) {
    rc = connection_settle(store->db);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(store->db, "BEGIN IMMEDIATE", NULL, NULL, NULL);
  }
  if (rc == SQLITE_OK) {
    char sql[64];
    (void)snprintf(sql, sizeof(sql), "PRAGMA application_id = %d", STORE_APPLICATION_ID);
    rc = sqlite3_exec(store->db, sql, NULL, NULL, NULL);
  }
  if (rc == SQLITE_OK) {
    rc = version_set(store->db, schema->version);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(store->db, schema->create_sql, NULL, NULL, NULL);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(store->db, "COMMIT", NULL, NULL, NULL);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_exec(store->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL);
  }
  if (rc != SQLITE_OK) {
    return say_rc(error, rc, store->path, store->db);
  }
  return statements_prepare(store, error);
}

static void
remove_with_tails(const char* path)
{
  static const char* const tails[] = {"", "-wal", "-shm", "-journal"};
  char name[STORE_PATH_ROOM];
  for (size_t i = 0; i < sizeof(tails) / sizeof(tails[0]); ++i) {
    const int n = snprintf(name, sizeof(name), "%s%s", path, tails[i]);
    if (n > 0 && (size_t)n < sizeof(name)) {
      (void)unlink(name);
    }
  }
}

// The name is taken first and by one system call, so that two programs cannot both make it.
static Status
name_take(const char* path, Error* error)
{
  const int fd = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0644);
  if (fd < 0) {
    if (errno == EEXIST) {
      return error_set(error, STATUS_EXISTS, path, 0, 0,
                       "There is already a file of this name. Choose another name.");
    }
    return error_set(error, errno == ENOSPC || errno == EDQUOT ? STATUS_FULL : STATUS_IO, path, 0,
                     0, "The file cannot be made: %s.", strerror(errno));
  }
  (void)close(fd);
  return STATUS_OK;
}

Status
store_create_as(Arena* arena, const char* path, const StoreSchema* schema, Store** store,
                Error* error)
{
  Store* const made = store_new(arena, path, STORE_WRITE);
  if (!made) {
    return say(error, STATUS_NO_MEMORY, path, NULL);
  }
  Status st = STATUS_OK;
  TRY(st, name_take(path, error));
  st = create_filled(made, schema, error);
  if (st != STATUS_OK) {
    store_release(made);
    remove_with_tails(path);
    return st;
  }
  *store = made;
  return STATUS_OK;
}

Status
store_create(Arena* arena, const char* path, Store** store, Error* error)
{
  return store_create_as(arena, path, &house_schema, store, error);
}

Status
store_close(Store* store, Error* error)
{
  if (!store || !store->db) {
    return STATUS_OK;
  }
  Status st = STATUS_OK;
  if (store->mode == STORE_WRITE) {
    const int rc =
      sqlite3_wal_checkpoint_v2(store->db, "main", SQLITE_CHECKPOINT_TRUNCATE, NULL, NULL);
    st = say_rc(error, rc, store->path, store->db);
  }
  store_release(store);
  return st;
}

/* Appending */

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
  return rc == SQLITE_DONE ? STATUS_NOT_FOUND : status_of(store->db, rc);
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
  const Status st = status_of(store->db, rc);
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
    return say(error, st, store->path, store->db);
  }
  TRY(st, say(error, fact_insert(store, &fact, body.id), store->path, store->db));
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
  TRY(st, say_rc(error, sqlite3_exec(store->db, "BEGIN IMMEDIATE", NULL, NULL, NULL), store->path,
                 store->db));
  for (size_t i = 0; st == STATUS_OK && i < n_facts; ++i) {
    Arena scratch;
    arena_init(&scratch, NULL);
    st = append_one(store, &scratch, &facts[i], (int)i + 1, &n_counted, error);
    arena_deinit(&scratch);
  }
  if (st == STATUS_OK) {
    st = say_rc(error, sqlite3_exec(store->db, "COMMIT", NULL, NULL, NULL), store->path, store->db);
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
      (void)say(error, st, store->path, NULL);
      break;
    }
    st = visit(user, &fact);
    if (st != STATUS_OK) {
      (void)error_set(error, st, store->path, 0, 0, "%s", status_text(st));
      break;
    }
  }
  if (st == STATUS_OK) {
    st = say_rc(error, rc, store->path, store->db);
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
  int rc = whole_of(store->db, "SELECT count(*) FROM fact", &n);
  if (rc == SQLITE_OK) {
    rc = whole_of(store->db, "SELECT coalesce(max(seq), 0) FROM fact", &last);
  }
  if (rc != SQLITE_OK) {
    return say_rc(error, rc, store->path, store->db);
  }
  if (n_facts) {
    *n_facts = (size_t)n;
  }
  if (last_seq) {
    *last_seq = last;
  }
  return STATUS_OK;
}

/* Copies */

static int
vacuum_into(sqlite3* db, const char* path)
{
  sqlite3_stmt* stmt = NULL;
  int rc = sqlite3_prepare_v2(db, "VACUUM INTO ?1", -1, &stmt, NULL);
  if (rc == SQLITE_OK) {
    rc = sqlite3_bind_text(stmt, 1, path, -1, SQLITE_STATIC);
  }
  if (rc == SQLITE_OK) {
    rc = sqlite3_step(stmt);
  }
  const int end = sqlite3_finalize(stmt);
  return rc == SQLITE_DONE ? end : rc;
}

static Status
flushed(const char* path)
{
  const int fd = open(path, O_RDONLY | O_CLOEXEC);
  if (fd < 0) {
    return STATUS_IO;
  }
  const int rc = fsync(fd);
  const int cause = errno;
  (void)close(fd);
  return rc == 0 ? STATUS_OK : cause == ENOSPC || cause == EDQUOT ? STATUS_FULL : STATUS_IO;
}

// Whether the copy is whole, read by a connection of its own.
static Status
copy_check(const char* path, Error* error)
{
  sqlite3* db = NULL;
  const int rc = sqlite3_open_v2(path, &db, SQLITE_OPEN_READONLY | SQLITE_OPEN_NOMUTEX, NULL);
  const Status st =
    rc == SQLITE_OK ? integrity_check(db, path, error) : say_rc(error, rc, path, db);
  (void)sqlite3_close(db);
  return st;
}

Status
store_backup(Store* store, const char* path, bool overwrite, Error* error)
{
  char part[STORE_PATH_ROOM];
  char id[FACT_ID_ROOM];
  Status st = fact_id_new(id);
  if (st != STATUS_OK) {
    return say(error, st, path, NULL);
  }
  const int n = snprintf(part, sizeof(part), "%s.%.8s.part", path, id);
  if (n < 0 || (size_t)n >= sizeof(part)) {
    return error_set(error, STATUS_LIMIT, path, 0, 0, "The file's name is too long.");
  }
  // Without leave to overwrite, the name is taken before the work, so that nobody else can.
  bool taken = false;
  if (!overwrite) {
    TRY(st, name_take(path, error));
    taken = true;
  }
  st = say_rc(error, vacuum_into(store->db, part), path, store->db);
  if (st == STATUS_OK) {
    st = copy_check(part, error);
  }
  if (st == STATUS_OK && (st = flushed(part)) != STATUS_OK) {
    (void)say(error, st, path, NULL);
  }
  if (st == STATUS_OK && rename(part, path) != 0) {
    st = say(error, STATUS_IO, path, NULL);
  }
  if (st != STATUS_OK) {
    remove_with_tails(part);
    if (taken) {
      (void)unlink(path);
    }
  }
  return st;
}

typedef struct {
  StoreExport format;
  FILE* out;
} Exporting;

static Status
export_one(void* user, const Fact* fact)
{
  const Exporting* const e = user;
  return e->format == STORE_CSV ? fact_csv_line(e->out, fact) : fact_json_line(e->out, fact);
}

Status
store_export(Store* store, StoreExport format, FILE* out, Error* error)
{
  Exporting e = {format, out};
  Status st = format == STORE_CSV ? fact_csv_head(out) : STATUS_OK;
  if (st == STATUS_OK) {
    TRY(st, store_read(store, 0, export_one, &e, error));
    st = fflush(out) == 0 ? STATUS_OK : errno == ENOSPC ? STATUS_FULL : STATUS_IO;
  }
  return st == STATUS_OK ? st : say(error, st, NULL, NULL);
}
