// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/show_make.h"

#include "face/json.h"

#include <errno.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

// Give the finished show its name, only if nothing has that name.
static Status
take_name(const Face* face, const char* made, const char* path)
{
  if (link(made, path) == 0) {
    (void)unlink(made);
    return STATUS_OK;
  }
  // Some file systems (memory cards) have no second names: look, then rename
  struct stat about;
  if (errno != EEXIST && lstat(path, &about) != 0 && rename(made, path) == 0) {
    return STATUS_OK;
  }
  const int why = errno;
  (void)unlink(made);
  return error_set(face->error, why == EEXIST ? STATUS_EXISTS : STATUS_IO, NULL, 0, 0,
                   why == EEXIST ? "\"%s\" is already there: give the new show another name."
                                 : "\"%s\" could not be made.",
                   path);
}

static Status
write_facts(const Face* face, Store* store, const ListFiles* files, int n_lines)
{
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  const int n = files->n + (n_lines > 0);
  Fact* const facts = arena_array(face->arena, (size_t)n, sizeof(*facts));
  if (!facts) {
    return STATUS_NO_MEMORY;
  }
  Status st;
  for (int i = 0; i < n; ++i) {
    FactBody body;
    if (i < files->n) {
      TRY(st, show_list_body(face, &files->lists[i], "1", files->sources[i].path, &body));
    } else {
      const char* const count = arena_format(face->arena, "%d", n_lines);
      body = (FactBody){.list = SHOW_ASSUMED_LINES, .version = count ? count : "0", .text = ""};
    }
    TRY(st, fact_make(face->arena, FACT_LIST_IMPORTED, &body, now, "", SHOW_BEGINS, &facts[i],
                      face->error));
  }
  return store_append(store, facts, (size_t)n, NULL, face->error);
}

Status
show_make(const Face* face, const char* path, const ListFiles* files, int n_lines)
{
  struct stat about;
  if (lstat(path, &about) == 0) {
    return error_set(face->error, STATUS_EXISTS, NULL, 0, 0,
                     "\"%s\" is already there: give the new show another name.", path);
  }
  const char* const made = arena_format(face->arena, "%s.new-%ld", path, (long)getpid());
  Store* store = NULL;
  if (!made) {
    return STATUS_NO_MEMORY;
  }
  Status st;
  TRY(st, store_create(face->arena, made, &store, face->error));
  st = write_facts(face, store, files, n_lines);
  const Status closed = store_close(store, st == STATUS_OK ? face->error : NULL);
  st = st == STATUS_OK ? closed : st;
  if (st != STATUS_OK) {
    static const char* const beside[] = {"", "-wal", "-shm"};
    for (int i = 0; i < 3; ++i) {
      const char* const part = arena_format(face->arena, "%s%s", made, beside[i]);
      if (part) {
        (void)unlink(part);
      }
    }
    return st;
  }
  return take_name(face, made, path);
}

void
show_make_json(json_t* answer, const Plant* plant)
{
  json_object_set_new(answer, "lines", json_integer(plant->n_lines));
  json_object_set_new(answer, "boxes", json_integer(plant->n_boxes));
  json_object_set_new(answer, "inputs", json_integer(plant->n_inputs));
  json_object_set_new(answer, "items", json_integer(plant->n_items));
  json_t* const desks = json_array();
  for (int i = 0; i < plant->n_desks; ++i) {
    json_array_append_new(desks, json_words(plant->desks[i].name));
  }
  json_object_set_new(answer, "desks", desks);
  json_t* const acts = json_array();
  for (int i = 0; i < plant->n_acts; ++i) {
    json_array_append_new(acts, json_words(plant->acts[i].name));
  }
  json_object_set_new(answer, "acts", acts);
  json_object_set_new(answer, "assumed", json_list(plant->assumed, plant->n_assumed));
  json_object_set_new(answer, "left_aside", json_list(plant->left_aside, plant->n_left_aside));
}
