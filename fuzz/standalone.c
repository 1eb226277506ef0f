// SPDX-License-Identifier: GPL-3.0-or-later

/*
  A fuzz target without libFuzzer, for `make test`: the same bytes every time.

  First every seed as it stands, then FUZZ_RUNS inputs made from seeds by a few small injuries each
  (flip, overwrite, cut, repeat, join with another seed), from one fixed random seed. It sees far
  less than libFuzzer, which is led by coverage; what it is for is that a door which once stood the
  test still does, on any compiler, and that a failure can be had again: the run's number is printed
  by the death message, and `PROGRAM FILE...` replays files, such as those libFuzzer leaves.

  Each input sits in a heap block of exactly its size, so that the address sanitizer sees a read
  one byte past its end.
*/

#include "must.h"

#include "base/rng.h"

#include <dirent.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#ifndef FUZZ_RUNS
#define FUZZ_RUNS 20000
#endif

enum { INPUT_MAX_BYTES = 1 << 16, N_SEEDS_MAX = 256 };

typedef struct {
  uint8_t* bytes;
  size_t n_bytes;
} Input;

static void
try_input(const uint8_t* bytes, size_t n_bytes)
{
  uint8_t* const block = malloc(n_bytes ? n_bytes : 1);
  if (!block) {
    abort();
  }
  if (n_bytes) {
    memcpy(block, bytes, n_bytes);
  }
  (void)LLVMFuzzerTestOneInput(n_bytes ? block : block + 1, n_bytes);
  free(block);
}

static int
read_input(const char* path, Input* input)
{
  FILE* const file = fopen(path, "rb");
  if (!file) {
    return 0;
  }
  input->bytes = malloc(INPUT_MAX_BYTES);
  input->n_bytes = input->bytes ? fread(input->bytes, 1, INPUT_MAX_BYTES, file) : 0;
  (void)fclose(file);
  return input->bytes != NULL;
}

/// Seeds of a folder in the order of their names; the first is always the empty input.
static int
read_seeds(const char* folder, Input seeds[N_SEEDS_MAX])
{
  int n_seeds = 1;
  seeds[0] = (Input){calloc(1, INPUT_MAX_BYTES), 0};
  struct dirent** entries = NULL;
  const int n_entries = scandir(folder, &entries, NULL, alphasort);
  for (int i = 0; i < n_entries; ++i) {
    char path[4096];
    const int n = snprintf(path, sizeof(path), "%s/%s", folder, entries[i]->d_name);
    if (entries[i]->d_name[0] != '.' && n < (int)sizeof(path) && n_seeds < N_SEEDS_MAX &&
        read_input(path, &seeds[n_seeds])) {
      ++n_seeds;
    }
    free(entries[i]);
  }
  free(entries);
  return n_seeds;
}

/// Injure `buffer` once; its new length.
static size_t
injure(Rng* rng, uint8_t* buffer, size_t n_bytes, const Input* other)
{
  // Bytes that doors treat in their own way, beside whatever chance brings.
  static const uint8_t telling[] = "\",;\t\r\n{}[]:\\\0\xEF\xBB\xBF\xFF\x80 -+.e0919";
  const size_t at = n_bytes ? (size_t)rng_below(rng, (int)n_bytes) : 0;
  const size_t room = INPUT_MAX_BYTES - n_bytes;
  switch (rng_below(rng, 6)) {
    case 0: // Flip a bit
      if (n_bytes) {
        buffer[at] = (uint8_t)(buffer[at] ^ (1U << rng_below(rng, 8)));
      }
      return n_bytes;
    case 1: // Overwrite
      if (n_bytes) {
        buffer[at] = telling[rng_below(rng, (int)sizeof(telling))];
      }
      return n_bytes;
    case 2: // Insert
      if (room) {
        memmove(buffer + at + 1, buffer + at, n_bytes - at);
        buffer[at] = rng_below(rng, 4) ? telling[rng_below(rng, (int)sizeof(telling))]
                                       : (uint8_t)rng_below(rng, 256);
        return n_bytes + 1;
      }
      return n_bytes;
    case 3: { // Cut out a piece
      const size_t n_cut = n_bytes ? (size_t)rng_below(rng, (int)(n_bytes - at)) + 1 : 0;
      memmove(buffer + at, buffer + at + n_cut, n_bytes - at - n_cut);
      return n_bytes - n_cut;
    }
    case 4: { // Say a piece twice
      size_t n_piece = n_bytes ? (size_t)rng_below(rng, (int)(n_bytes - at)) + 1 : 0;
      n_piece = n_piece < room ? n_piece : room;
      memmove(buffer + at + n_piece, buffer + at, n_bytes - at);
      return n_bytes + n_piece;
    }
    default: { // Go on as another seed does
      const size_t n_other =
        other->n_bytes < INPUT_MAX_BYTES - at ? other->n_bytes : INPUT_MAX_BYTES - at;
      memcpy(buffer + at, other->bytes, n_other);
      return at + n_other;
    }
  }
}

static volatile sig_atomic_t run_now;

/// Says which run died; only what may be called in a signal handler.
static void
say_run(int number)
{
  char text[32] = "died in run ";
  char digits[12];
  int n_digits = 0;
  int rest = (int)run_now;
  do {
    digits[n_digits++] = (char)('0' + rest % 10);
    rest /= 10;
  } while (rest);
  size_t n = strlen(text);
  while (n_digits) {
    text[n++] = digits[--n_digits];
  }
  text[n++] = '\n';
  if (write(STDERR_FILENO, text, n) < 0) {
    _exit(1);
  }
  (void)signal(number, SIG_DFL);
  (void)raise(number);
}

int
main(int argc, char** argv)
{
  if (argc > 1) {
    for (int i = 1; i < argc; ++i) {
      Input input = {NULL, 0};
      if (!read_input(argv[i], &input)) {
        (void)fprintf(stderr, "%s: cannot read\n", argv[i]);
        return 1;
      }
      try_input(input.bytes, input.n_bytes);
      free(input.bytes);
    }
    printf("%d passed, 0 failed\n", argc - 1);
    return 0;
  }
  (void)signal(SIGABRT, say_run);
  static Input seeds[N_SEEDS_MAX];
  const int n_seeds = read_seeds(FUZZ_SEEDS, seeds);
  uint8_t* const buffer = malloc(INPUT_MAX_BYTES);
  if (n_seeds < 2 || !buffer) {
    (void)fprintf(stderr, "no seeds in %s\n", FUZZ_SEEDS);
    return 1;
  }
  for (int i = 0; i < n_seeds; ++i) {
    try_input(seeds[i].bytes, seeds[i].n_bytes);
  }
  Rng rng;
  rng_init(&rng, 1);
  for (run_now = 1; run_now <= FUZZ_RUNS; ++run_now) {
    const Input* const seed = &seeds[rng_below(&rng, n_seeds)];
    size_t n_bytes = seed->n_bytes;
    memcpy(buffer, seed->bytes, n_bytes);
    for (int n = 1 + rng_below(&rng, 8); n > 0; --n) {
      n_bytes = injure(&rng, buffer, n_bytes, &seeds[rng_below(&rng, n_seeds)]);
    }
    try_input(buffer, n_bytes);
  }
  free(buffer);
  for (int i = 0; i < n_seeds; ++i) {
    free(seeds[i].bytes);
  }
  printf("%d runs from %d seeds, random seed 1\n1 passed, 0 failed\n", FUZZ_RUNS, n_seeds);
  return 0;
}
