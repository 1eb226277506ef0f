// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "show/event.h"

/*
  The show file: one SQLite file per event, holding facts in the order they were taken in.

  Facts are added, never changed and never taken out; the file itself refuses both, whoever opens
  it. An append that returned STATUS_OK is on the disk (write-ahead log, synchronous=FULL). An
  append that returned anything else left the file as it was; the one doubt is a computer that
  stops between writing and answering, and posting the same facts again settles it, because a fact
  with a known id counts once.

  A Store belongs to one thread at a time. Two programs may have the same show open: both read, and
  writes take turns.
*/

typedef struct Store Store;

typedef enum {
  STORE_WRITE, ///< Read and append
  STORE_READ,  ///< Look only; works from a write-protected disk
  /// Look only, at a show this process has open in another Store already. To open a file beside
  /// SQLite and close it again lets go of every lock the process has on it (POSIX fcntl), and
  /// another program would then take the write-ahead log away under our feet.
  STORE_READ_AGAIN,
} StoreMode;

/// One step from version `from` to `from` + 1 as SQL; runs inside a transaction.
typedef struct {
  int from;
  const char* sql;
} StoreMigration;

/// A make of show file. The house has one (store_open uses it); tests bring others.
typedef struct {
  int version;
  const char* create_sql;
  const StoreMigration* migrations;
  size_t n_migrations;
} StoreSchema;

/**
   Make a new, empty show.

   @param arena Holds the Store; must outlive it.
   @param[out] store Untouched on error; nothing is then left on the disk.
   @return STATUS_EXISTS if anything of that name is there; STATUS_IO, STATUS_FULL,
   STATUS_NO_MEMORY.
*/
Status
store_create(Arena* arena, const char* path, Store** store, Error* error);

/**
   Open a show: is it ours, whole, and of a version we know? An older one is first copied beside
   itself as PATH.before-version-N and then brought up to date.

   @param[out] store Untouched on error.
   @return STATUS_NOT_FOUND; STATUS_NOT_OURS (text, another program's database, empty);
   STATUS_NEWER; STATUS_DAMAGED (cut short or overwritten); STATUS_LOCKED (another program holds it
   for longer than a second); STATUS_IO (no right to read or write, or older and look only);
   STATUS_FULL, STATUS_NO_MEMORY. `error` (may be NULL) says in one sentence what to do.
*/
Status
store_open(Arena* arena, const char* path, StoreMode mode, Store** store, Error* error);

/// The same with another make of file.
Status
store_create_as(Arena* arena, const char* path, const StoreSchema* schema, Store** store,
                Error* error);

Status
store_open_as(Arena* arena, const char* path, StoreMode mode, const StoreSchema* schema,
              Store** store, Error* error);

/// Fold the write-ahead log into the show file, so that the show is one file, and close. NULL is
/// legal. Whatever is returned, the store is closed and every acknowledged fact is safe; not
/// STATUS_OK means that PATH-wal still holds some of them and must stay beside the file.
Status
store_close(Store* store, Error* error);

/**
   Append facts in one transaction: all or none.

   A fact whose id is already in the show does not count again. `seq` of the facts given is ignored.
   @param[out] n_new How many were new; may be NULL; untouched on error.
   @param error Its `line` is the 1-based number of the fact that was refused, 0 if it was not one
   fact's fault.
   @return STATUS_EXISTS if an id is known with another kind, place, role or body;
   STATUS_NOT_FOUND for a `voided` that names no fact before it; STATUS_BAD_INPUT, STATUS_LIMIT as
   fact_check; STATUS_FULL; STATUS_LOCKED; STATUS_IO (look only); STATUS_DAMAGED;
   STATUS_NO_MEMORY.
*/
Status
store_append(Store* store, const Fact* facts, size_t n_facts, size_t* n_new, Error* error);

/// Take the fact `id` back: appends a `voided`. `made_id` (may be NULL) gets the id of the new
/// fact.
Status
store_void(Store* store, const char* id, const char* why, const char* time, const char* place,
           const char* role, char made_id[FACT_ID_ROOM], Error* error);

/// Called for each fact in order; the fact is borrowed for the call. Anything but STATUS_OK ends
/// the reading and is handed on.
typedef Status (*StoreVisit)(void* user, const Fact* fact);

/// Every fact with a seq above `after_seq`, in order.
Status
store_read(Store* store, int64_t after_seq, StoreVisit visit, void* user, Error* error);

/// The same as an array in `arena`; outputs untouched on error.
Status
store_facts(Store* store, Arena* arena, int64_t after_seq, Fact** facts, size_t* n_facts,
            Error* error);

/// Number of facts and the highest seq (0 when empty); either may be NULL.
Status
store_count(Store* store, size_t* n_facts, int64_t* last_seq, Error* error);

/// Copy the show as it is now into one file at `path`: written under another name, checked, then
/// renamed. @return STATUS_EXISTS if `path` is there and `overwrite` is not set; on any error what
/// was at `path` is untouched.
Status
store_backup(Store* store, const char* path, bool overwrite, Error* error);

typedef enum { STORE_CSV, STORE_JSON_LINES } StoreExport;

/// All facts as CSV with a head line, or as one JSON object a line.
Status
store_export(Store* store, StoreExport format, FILE* out, Error* error);
