// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/store_inside.h"

#include <errno.h>
#include <string.h>

/*
  What SQLite says, as one of our sentences. Whoever reads it has a file in front of them and no
  database: so what is wrong with the file, and what to do with it.
*/

Status
store_status(sqlite3* db, int rc)
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

Status
store_say(Error* error, Status st, const char* path, sqlite3* db)
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

Status
store_say_rc(Error* error, int rc, const char* path, sqlite3* db)
{
  return store_say(error, store_status(db, rc), path, db);
}
