// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  A folder for one test, and whole files in and out, for tests of the show file. It lies in memory
  where the system offers that: thousands of small shows would only wait for the disk, and nothing
  tested here depends on it (a killed program leaves its writes with the system).
*/

#include "base/arena.h"
#include "support/check.h"

#include <dirent.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

typedef struct {
  Arena arena;
  char folder[32];
} Place;

static inline void
place_open(Place* place)
{
  arena_init(&place->arena, NULL);
  strcpy(place->folder, "/dev/shm/show-XXXXXX");
  if (!mkdtemp(place->folder)) {
    strcpy(place->folder, "/tmp/show-XXXXXX");
    assert_non_null(mkdtemp(place->folder));
  }
}

static inline const char*
place_path(Place* place, const char* name)
{
  return arena_format(&place->arena, "%s/%s", place->folder, name);
}

/// Number of files in the folder; with `remove_them` they are gone afterwards.
static inline int
place_files(const Place* place, bool remove_them)
{
  int n = 0;
  DIR* const dir = opendir(place->folder);
  assert_non_null(dir);
  for (const struct dirent* e = readdir(dir); e; e = readdir(dir)) {
    if (e->d_name[0] != '.') {
      char path[400];
      (void)snprintf(path, sizeof(path), "%s/%s", place->folder, e->d_name);
      n += 1;
      if (remove_them) {
        (void)unlink(path);
      }
    }
  }
  (void)closedir(dir);
  return n;
}

static inline void
place_close(Place* place)
{
  (void)place_files(place, true);
  assert_int_equal(rmdir(place->folder), 0);
  arena_deinit(&place->arena);
}

static inline unsigned char*
file_bytes(Arena* arena, const char* path, size_t* n_bytes)
{
  FILE* const in = fopen(path, "rb");
  if (!in) {
    *n_bytes = 0;
    return NULL;
  }
  (void)fseek(in, 0, SEEK_END);
  *n_bytes = (size_t)ftell(in);
  rewind(in);
  unsigned char* const bytes = arena_array(arena, *n_bytes, 1);
  assert_int_equal(fread(bytes, 1, *n_bytes, in), *n_bytes);
  (void)fclose(in);
  return bytes;
}

static inline void
file_write(const char* path, const void* bytes, size_t n_bytes)
{
  FILE* const out = fopen(path, "wb");
  assert_non_null(out);
  assert_int_equal(fwrite(bytes, 1, n_bytes, out), n_bytes);
  assert_int_equal(fclose(out), 0);
}
