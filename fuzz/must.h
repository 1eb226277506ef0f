// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  What fuzz targets share: the one function each has, and a check that stops with its place.
*/

#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

/// Try one input; always 0.
int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes);

/// Stop, saying where and what, unless `holds`. Stays in every build.
#define MUST(holds)                                                                                \
  do {                                                                                             \
    if (!(holds)) {                                                                                \
      (void)fprintf(stderr, "%s:%d: does not hold: %s\n", __FILE__, __LINE__, #holds);             \
      abort();                                                                                     \
    }                                                                                              \
  } while (0)
