// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stddef.h>

/*
  Memory of one computation.

  An Arena hands out pieces of larger blocks and gives them all back at once, so an analysis cannot
  leak. Where the blocks come from is the caller's choice (an Allocator), and how big they are,
  which lets a test make every piece its own request and fail the n-th for every n. Nothing is freed
  one by one.
*/

/// Where blocks come from. `get` may return NULL; `put` takes back what `get` gave.
typedef struct {
  void* (*get)(void* user, size_t n_bytes);
  void (*put)(void* user, void* block);
  void* user;
  size_t block_bytes; ///< What an arena asks for at least; 0: 64 KiB. 1: each piece is a request
} Allocator;

typedef struct ArenaBlock ArenaBlock;

typedef struct {
  Allocator from;
  ArenaBlock* last; ///< Newest block, linked to older ones
} Arena;

/// Start an empty arena; takes no memory yet. `from` NULL means the C heap. Not for two threads.
void
arena_init(Arena* arena, const Allocator* from);

/// Give everything back; the arena is empty and usable again. Legal on an all-zero arena.
void
arena_deinit(Arena* arena);

/// Zeroed memory for `count` things of `size` bytes, aligned for any type; NULL when there is none
/// left or the product overflows. `count` 0 gives a valid pointer to nothing.
void*
arena_array(Arena* arena, size_t count, size_t size);

/// A copy of the first `n_bytes` of `text`, ended by a zero; NULL when there is no memory.
char*
arena_text(Arena* arena, const char* text, size_t n_bytes);

/// A copy of a zero-ended text; NULL when there is no memory.
char*
arena_copy(Arena* arena, const char* text);

/// A formatted text; NULL when there is no memory.
char*
arena_format(Arena* arena, const char* format, ...) __attribute__((format(printf, 2, 3)));

/// A grown copy of an array: the old `n_old` things followed by zeros up to `n_new`. The old place
/// stays in the arena until its end. NULL when there is no memory (the old array is untouched).
void*
arena_grow(Arena* arena, const void* old, size_t n_old, size_t n_new, size_t size);
