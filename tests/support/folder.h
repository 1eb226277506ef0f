// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  The lists of a folder, for tests: every *.csv, in the order of their names. The bytes live in the
  arena. Aborts when the folder cannot be read: a test without its lists must not pass.
*/

#include "stage/lists.h"

#include <dirent.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FOLDER_MAX_LISTS = 64 };

static inline ListText
folder_read_list(Arena* arena, const char* folder, const char* name)
{
  char path[4096];
  (void)snprintf(path, sizeof(path), "%s/%s", folder, name);
  FILE* const file = fopen(path, "rb");
  char* const bytes = arena_array(arena, 1 << 20, 1);
  if (!file || !bytes) {
    (void)fprintf(stderr, "cannot read %s\n", path);
    abort();
  }
  const ListText list = {arena_copy(arena, name), bytes, fread(bytes, 1, 1 << 20, file)};
  (void)fclose(file);
  return list;
}

/// Fills `lists` [FOLDER_MAX_LISTS]; how many.
static inline int
folder_read(Arena* arena, const char* folder, ListText* lists)
{
  struct dirent** entries = NULL;
  const int n_entries = scandir(folder, &entries, NULL, alphasort);
  int n = 0;
  for (int i = 0; i < n_entries; ++i) {
    const char* const dot = strrchr(entries[i]->d_name, '.');
    if (dot && strcmp(dot, ".csv") == 0 && n < FOLDER_MAX_LISTS) {
      lists[n++] = folder_read_list(arena, folder, entries[i]->d_name);
    }
    free(entries[i]);
  }
  free(entries);
  if (n == 0) {
    (void)fprintf(stderr, "no lists in %s\n", folder);
    abort();
  }
  return n;
}
