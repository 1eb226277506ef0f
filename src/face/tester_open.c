// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/tester_open.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

static bool
is_list(const char* word)
{
  const char* const dot = strrchr(word, '.');
  return dot && (text_same(dot, ".csv") || text_same(dot, ".tsv") || text_same(dot, ".txt"));
}

// The plant whose testers count: of a show, of one list, or the built-in ones alone.
static Status
plant_of(const Face* face, const char* list, const char* show, Plant* plant)
{
  Status st = STATUS_OK;
  if (show) {
    OpenShow open;
    TRY(st, show_open(face, show, STORE_READ, &open));
    (void)store_close(open.store, NULL);
    *plant = open.plant;
    return STATUS_OK;
  }
  if (!list) {
    return lists_build(face->arena, NULL, 0, 1, plant, face->error);
  }
  char* bytes = NULL;
  size_t n_bytes = 0;
  TRY(st, show_read_file(face, list, TABLE_MAX_BYTES, &bytes, &n_bytes));
  const ListText text = {show_base_name(list), bytes, n_bytes};
  st = lists_build(face->arena, &text, 1, 1, plant, face->error);
  if (st != STATUS_OK && text_same(face->error->file, text.name)) { // As the person named it
    (void)snprintf(face->error->file, sizeof(face->error->file), "%.150s", list);
  }
  return st;
}

static Status
not_there(const Face* face, const Plant* plant, const char* name, bool only_own)
{
  TextOut out = {.arena = face->arena};
  for (int i = 0; i < plant->n_testers; ++i) {
    if (plant->testers[i].is_own || !only_own) {
      text_add(&out, "%s%.40s", out.n_bytes ? ", " : "", plant->testers[i].name);
    }
  }
  const char* const all = text_done(&out);
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "There is no tester \"%.60s\" here: %s.", name,
                   all[0] ? all : "the list has none");
}

Status
tester_open(const Face* face, const char* word, const char* name, int n_contacts, const char* show,
            const Tester** tester)
{
  const char* const list = word && is_list(word) ? word : NULL;
  const char* const wanted = list ? name : word;
  Plant plant;
  Status st = STATUS_OK;
  TRY(st, plant_of(face, list, list ? NULL : show, &plant));
  const Tester* found = wanted ? plant_tester(&plant, wanted) : NULL;
  int n_own = 0;
  for (int i = 0; i < plant.n_testers; ++i) {
    n_own += plant.testers[i].is_own;
  }
  if (!wanted && list && n_own == 1) {
    found = &plant.testers[0];
    for (int i = 0; i < plant.n_testers; ++i) {
      found = plant.testers[i].is_own ? &plant.testers[i] : found;
    }
  } else if (!wanted && !list) {
    found = plant_own_tester(&plant, n_contacts);
    if (!found) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no tester of %d contacts to begin with: write one down as a list "
                       "and name the file.",
                       n_contacts);
    }
  }
  if (!found || (list && !found->is_own)) {
    return list && !wanted
             ? not_there(face, &plant, "(several: write its name behind the list)", true)
             : not_there(face, &plant, wanted ? wanted : "", list != NULL);
  }
  *tester = found;
  return STATUS_OK;
}
