// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/arena.h"

#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ARENA_BLOCK_BYTES = 64 * 1024 };

struct ArenaBlock {
  ArenaBlock* older;
  size_t n_used;
  size_t n_bytes;
  max_align_t data[];
};

static void*
heap_get(void* user, size_t n_bytes)
{
  (void)user;
  return malloc(n_bytes);
}

static void
heap_put(void* user, void* block)
{
  (void)user;
  free(block);
}

void
arena_init(Arena* arena, const Allocator* from)
{
  arena->last = NULL;
  arena->from = from ? *from : (Allocator){heap_get, heap_put, NULL, 0};
}

void
arena_deinit(Arena* arena)
{
  while (arena->last) {
    ArenaBlock* const block = arena->last;
    arena->last = block->older;
    arena->from.put(arena->from.user, block);
  }
}

void*
arena_array(Arena* arena, size_t count, size_t size)
{
  if (size && count > (SIZE_MAX / 2) / size) {
    return NULL;
  }
  const size_t align = sizeof(max_align_t);
  size_t n_bytes = (count * size + align - 1) / align * align;
  if (n_bytes == 0) {
    n_bytes = align;
  }
  ArenaBlock* block = arena->last;
  if (!block || block->n_bytes - block->n_used < n_bytes) {
    const size_t least = arena->from.block_bytes ? arena->from.block_bytes : ARENA_BLOCK_BYTES;
    const size_t want = n_bytes > least ? n_bytes : least;
    block = arena->from.get(arena->from.user, sizeof(ArenaBlock) + want);
    if (!block) {
      return NULL;
    }
    block->older = arena->last;
    block->n_used = 0;
    block->n_bytes = want;
    arena->last = block;
  }
  void* const place = (char*)block->data + block->n_used;
  block->n_used += n_bytes;
  memset(place, 0, n_bytes);
  return place;
}

char*
arena_text(Arena* arena, const char* text, size_t n_bytes)
{
  char* const copy = arena_array(arena, n_bytes + 1, 1);
  if (copy && n_bytes) {
    memcpy(copy, text, n_bytes);
  }
  return copy;
}

char*
arena_copy(Arena* arena, const char* text)
{
  return arena_text(arena, text, strlen(text));
}

char*
arena_format(Arena* arena, const char* format, ...)
{
  va_list args;
  va_start(args, format);
  va_list again;
  va_copy(again, args);
  const int n = vsnprintf(NULL, 0, format, args);
  va_end(args);
  char* const text = n >= 0 ? arena_array(arena, (size_t)n + 1, 1) : NULL;
  if (text) {
    (void)vsnprintf(text, (size_t)n + 1, format, again);
  }
  va_end(again);
  return text;
}

void*
arena_grow(Arena* arena, const void* old, size_t n_old, size_t n_new, size_t size)
{
  void* const place = arena_array(arena, n_new, size);
  if (place && n_old) {
    memcpy(place, old, n_old * size);
  }
  return place;
}
