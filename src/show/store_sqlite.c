// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store_inside.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/*
  Making, opening and closing a show file. Facts go in and out in store_log.c, copies are made in
  store_copy.c. What holds for all of it:

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
// 3: passes, steps of a change between acts, readings of outputs.
static const StoreMigration house_migrations[] = {{1, "SELECT 1;"}, {2, "SELECT 1;"}};

static const StoreSchema house_schema = {3, create_sql, house_migrations, 2};

int
store_whole(sqlite3* db, const char* sql, int64_t* value)
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
             : store_say(error, STATUS_IO, path, NULL);
  }
  if (!S_ISREG(about.st_mode)) {
    return store_say(error, STATUS_NOT_OURS, path, NULL);
  }
  static const char magic[16] = "SQLite format 3";
  char head[100] = "";
  FILE* const in = fopen(path, "rb");
  if (!in) {
    return store_say(error, STATUS_IO, path, NULL);
  }
  const size_t n = fread(head, 1, sizeof(head), in);
  (void)fclose(in);
  if (n < sizeof(magic) || memcmp(head, magic, sizeof(magic)) != 0) {
    return store_say(error, STATUS_NOT_OURS, path, NULL);
  }
  return n < sizeof(head) ? store_say(error, STATUS_DAMAGED, path, NULL) : STATUS_OK;
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
    st = store_say_rc(error, rc, path, db);
  } else {
    const char* const said = (const char*)sqlite3_column_text(stmt, 0);
    if (!said) {
      st = store_say(error, STATUS_NO_MEMORY, path, db);
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
Status
store_integrity(sqlite3* db, const char* path, Error* error)
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
  return store_say_rc(error, rc, store->path, store->db);
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
    rc =
      store_whole(store->db, "PRAGMA user_version", &from); // Another program may have been first
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
  st = store_say_rc(error, rc, store->path, store->db);
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
    rc = store_whole(store->db, "PRAGMA application_id", application);
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
  TRY(st, store_say_rc(error, connect_for(store, arena, &application), store->path, store->db));
  if (application != STORE_APPLICATION_ID) {
    return store_say(error, STATUS_NOT_OURS, store->path, store->db);
  }
  if (store->mode == STORE_WRITE && sqlite3_db_readonly(store->db, "main") == 1) {
    return error_set(error, STATUS_IO, store->path, 0, 0,
                     "This show may only be read here. Check the file's rights, or copy it.");
  }
  TRY(st, store_say_rc(error, store_whole(store->db, "PRAGMA user_version", &version), store->path,
                       store->db));
  if (version > schema->version) {
    return error_set(
      error, STATUS_NEWER, store->path, 0, 0,
      "This show was made by a newer Linewalk (file version %lld, this program knows "
      "%d). Use the newer program.",
      (long long)version, schema->version);
  }
  TRY(st, store_integrity(store->db, store->path, error));
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
    TRY(st,
        store_say_rc(error, sqlite3_exec(store->db, "PRAGMA journal_mode = WAL", NULL, NULL, NULL),
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
    return store_say(error, STATUS_NO_MEMORY, path, NULL);
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
    return store_say_rc(error, rc, store->path, store->db);
  }
  return statements_prepare(store, error);
}

void
store_remove(const char* path)
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
Status
store_name_take(const char* path, Error* error)
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
    return store_say(error, STATUS_NO_MEMORY, path, NULL);
  }
  Status st = STATUS_OK;
  TRY(st, store_name_take(path, error));
  st = create_filled(made, schema, error);
  if (st != STATUS_OK) {
    store_release(made);
    store_remove(path);
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
    st = store_say_rc(error, rc, store->path, store->db);
  }
  store_release(store);
  return st;
}
