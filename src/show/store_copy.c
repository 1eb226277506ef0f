// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store_inside.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <unistd.h>

/*
  A show handed out: as another show file, whole or not at all, or as text. A copy is made under a
  name of its own, looked through, flushed, and then given its name.
*/

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
    rc == SQLITE_OK ? store_integrity(db, path, error) : store_say_rc(error, rc, path, db);
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
    return store_say(error, st, path, NULL);
  }
  const int n = snprintf(part, sizeof(part), "%s.%.8s.part", path, id);
  if (n < 0 || (size_t)n >= sizeof(part)) {
    return error_set(error, STATUS_LIMIT, path, 0, 0, "The file's name is too long.");
  }
  // Without leave to overwrite, the name is taken before the work, so that nobody else can.
  bool taken = false;
  if (!overwrite) {
    TRY(st, store_name_take(path, error));
    taken = true;
  }
  st = store_say_rc(error, vacuum_into(store->db, part), path, store->db);
  if (st == STATUS_OK) {
    st = copy_check(part, error);
  }
  if (st == STATUS_OK && (st = flushed(part)) != STATUS_OK) {
    (void)store_say(error, st, path, NULL);
  }
  if (st == STATUS_OK && rename(part, path) != 0) {
    st = store_say(error, STATUS_IO, path, NULL);
  }
  if (st != STATUS_OK) {
    store_remove(part);
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
  return st == STATUS_OK ? st : store_say(error, st, NULL, NULL);
}
