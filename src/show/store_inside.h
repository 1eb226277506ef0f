// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/store.h"

#include <sqlite3.h>

/*
  What the store_* files share and nobody else sees.
*/

enum { STORE_PATH_ROOM = 4096 };

struct Store {
  sqlite3* db;
  sqlite3_stmt* find;
  sqlite3_stmt* insert;
  const char* path;
  StoreMode mode;
};

/// The status that a result code of SQLite stands for; `db` tells a full disk from another I/O
/// error, NULL = not known.
Status
store_status(sqlite3* db, int rc);

/// Fill the error with the sentence of a status (nothing for STATUS_OK) and give the status back.
Status
store_say(Error* error, Status st, const char* path, sqlite3* db);

/// The same from a result code.
Status
store_say_rc(Error* error, int rc, const char* path, sqlite3* db);

/// The one whole number a statement gives; untouched on error. @return a result code of SQLite.
int
store_whole(sqlite3* db, const char* sql, int64_t* value);

/// STATUS_DAMAGED, with a sentence, when the file is not what it was written as.
Status
store_integrity(sqlite3* db, const char* path, Error* error);

/// Make an empty file of this name. STATUS_EXISTS when somebody has it.
Status
store_name_take(const char* path, Error* error);

/// Remove a file, and what SQLite leaves beside it.
void
store_remove(const char* path);
