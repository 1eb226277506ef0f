// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_show.h"

#include <string.h>

static const Args no_args = {.seconds = -1, .seed = -1};

static Face
face_in(Arena* arena, Error* error)
{
  return (Face){arena, &no_args, NULL, error, NULL};
}

static int64_t
last_seq(const OpenShow* show)
{
  const FoldSet all = show->fold.all;
  return all.n_facts ? all.facts[all.n_facts - 1]->fact.seq : 0;
}

Status
http_show_open(HttpShow* kept, const char* path, StoreMode mode, Error* error)
{
  HttpShow opened = {.seq = 0};
  arena_init(&opened.held, NULL);
  arena_init(&opened.built, NULL);
  arena_init(&opened.folded, NULL);
  const char* const own = arena_copy(&opened.held, path);
  Status st = own ? STATUS_OK : STATUS_NO_MEMORY;
  Store* store = NULL;
  if (st == STATUS_OK) {
    st = store_open(&opened.held, own, mode, &store, error);
  }
  if (st == STATUS_OK) {
    opened.show = (OpenShow){.path = own, .store = store, .act = -1, .act_word = "bare lines"};
    const Face face = face_in(&opened.built, error);
    st = show_refold(&face, &opened.show, true);
    opened.seq = st == STATUS_OK ? last_seq(&opened.show) : 0;
  }
  if (st != STATUS_OK) {
    (void)store_close(store, NULL);
    arena_deinit(&opened.built);
    arena_deinit(&opened.held);
    return st;
  }
  opened.is_open = true;
  *kept = opened;
  return STATUS_OK;
}

// Whether facts since `seq` may change the plant.
static Status
is_plant_new(HttpShow* kept, Arena* arena, bool* is_new, Error* error)
{
  Fact* facts = NULL;
  size_t n = 0;
  Status st;
  TRY(st, store_facts(kept->show.store, arena, kept->seq, &facts, &n, error));
  *is_new = false;
  for (size_t i = 0; i < n; ++i) {
    const FactKind kind = facts[i].kind;
    *is_new = *is_new || kind == FACT_LIST_IMPORTED || kind == FACT_KIT || kind == FACT_VOIDED;
  }
  return STATUS_OK;
}

Status
http_show_renew(HttpShow* kept, bool* is_new, Error* error)
{
  int64_t seq = 0;
  bool rebuild = false;
  Arena next;
  Status st;
  TRY(st, store_count(kept->show.store, NULL, &seq, error));
  if (is_new) {
    *is_new = seq != kept->seq;
  }
  if (seq == kept->seq) {
    return STATUS_OK;
  }
  arena_init(&next, NULL);
  OpenShow show = kept->show;
  const Face face = face_in(&next, error);
  st = is_plant_new(kept, &next, &rebuild, error);
  st = st == STATUS_OK ? show_refold(&face, &show, rebuild) : st;
  if (st != STATUS_OK) {
    arena_deinit(&next);
    return st;
  }
  arena_deinit(&kept->folded);
  if (rebuild) {
    arena_deinit(&kept->built);
    kept->built = next;
    arena_init(&kept->folded, NULL);
  } else {
    kept->folded = next;
  }
  kept->show = show;
  kept->seq = last_seq(&show); // A fact may have come since we counted
  return STATUS_OK;
}

Status
http_show_close(HttpShow* kept, Error* error)
{
  if (!kept->is_open) {
    return STATUS_OK;
  }
  const Status st = store_close(kept->show.store, error);
  arena_deinit(&kept->folded);
  arena_deinit(&kept->built);
  arena_deinit(&kept->held);
  memset(kept, 0, sizeof(*kept));
  return st;
}
