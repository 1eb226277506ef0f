// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  Lists from files: one by one, or all of a folder; a workbook gives the sheet that is a list.

  In the show every list is text, so a sheet goes in as the CSV it says, under the workbook's name
  with .csv behind it, its rows in the same lines; with --sheet the sheet's name is part of it.
*/

typedef struct {
  const char* path;   ///< As the user named it
  const char* sheet;  ///< The sheet that was read; NULL = no workbook
  const char* others; ///< Names of the other sheets, "" = there are none
} ListSource;

typedef struct {
  ListText* lists;     ///< [n]
  ListSource* sources; ///< [n]
  int n;
  int room;
} ListFiles;

/// Add one file, or the lists of a folder by name (a log that was exported beside them is no list).
/// Two lists of one name are an error.
Status
list_files_add(const Face* face, ListFiles* files, const char* path);

/// Add a list from memory under a name; the bytes are borrowed.
Status
list_files_add_bytes(const Face* face, ListFiles* files, const char* name, const char* bytes,
                     size_t n_bytes);

/// An error names the file as the user did, not as the show will.
void
list_files_place(const Face* face, const ListFiles* files);

/// Which sheet of a workbook was read, and what else is in it: a sentence for each workbook.
void
list_files_say(const Face* face, const ListFiles* files);
