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

Status
http_show_renew(HttpShow* kept, bool* is_new, Error* error)
{
  int64_t seq = 0;
  Arena next;
  Status st;
  TRY(st, store_count(kept->show.store, NULL, &seq, error));
  if (is_new) {
    *is_new = seq != kept->seq;
  }
  if (seq == kept->seq) {
    return STATUS_OK;
  }
  const Face follower = face_in(&kept->folded, error);
  st = kept->is_half ? STATUS_NO : show_follow(&follower, &kept->show, &kept->folded);
  if (st == STATUS_OK) {
    kept->seq = last_seq(&kept->show);
    return STATUS_OK;
  }
  kept->is_half = kept->is_half || st != STATUS_NO;
  arena_init(&next, NULL);
  OpenShow show = kept->show;
  const Face face = face_in(&next, error);
  st = show_refold(&face, &show, true);
  if (st != STATUS_OK) {
    arena_deinit(&next);
    return st;
  }
  arena_deinit(&kept->folded);
  arena_deinit(&kept->built);
  kept->built = next;
  arena_init(&kept->folded, NULL);
  kept->show = show;
  kept->is_half = false;
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
