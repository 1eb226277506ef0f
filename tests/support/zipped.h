// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  Workbooks by hand, for tests: a zip made of the parts given, so that each can be as wrong as a
  test wants it. The bytes live in the arena; aborts when the zip cannot be made.
*/

#include "base/arena.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zip.h>

typedef struct {
  const char* name;
  const char* text;
  size_t n_bytes; ///< 0 = as long as the text
} ZippedPart;

static inline void
zipped_need(int good, const char* what)
{
  if (!good) {
    (void)fprintf(stderr, "the test's own zip: %s\n", what);
    abort();
  }
}

/// [n] parts as a zip of `*n_bytes`.
static inline const char*
zipped(Arena* arena, const ZippedPart* parts, int n, size_t* n_bytes)
{
  zip_error_t why;
  zip_error_init(&why);
  zip_source_t* const whole = zip_source_buffer_create(NULL, 0, 0, &why);
  zipped_need(whole != NULL, "no room");
  zip_source_keep(whole);
  zip_t* const zip = zip_open_from_source(whole, ZIP_TRUNCATE, &why);
  zipped_need(zip != NULL, "not opened");
  for (int i = 0; i < n; ++i) {
    const size_t size = parts[i].n_bytes ? parts[i].n_bytes : strlen(parts[i].text);
    zip_source_t* const part = zip_source_buffer(zip, parts[i].text, size, 0);
    zipped_need(part && zip_file_add(zip, parts[i].name, part, ZIP_FL_OVERWRITE) >= 0, "no part");
  }
  zipped_need(zip_close(zip) == 0, "not closed");
  zip_stat_t about;
  zipped_need(zip_source_stat(whole, &about) == 0 && zip_source_open(whole) == 0, "not read");
  char* const bytes = arena_array(arena, about.size + 1, 1);
  zipped_need(bytes && zip_source_read(whole, bytes, about.size) == (zip_int64_t)about.size,
              "not whole");
  (void)zip_source_close(whole);
  zip_source_free(whole);
  zip_error_fini(&why);
  *n_bytes = about.size;
  return bytes;
}

#define ZIPPED_BOOK                                                                                \
  {                                                                                                \
    "xl/workbook.xml",                                                                             \
      "<workbook xmlns:r='r'><sheets><sheet name='One' sheetId='1' r:id='a'/></sheets>"            \
      "</workbook>",                                                                               \
      0                                                                                            \
  }
#define ZIPPED_RELATIONS                                                                           \
  {                                                                                                \
    "xl/_rels/workbook.xml.rels",                                                                  \
      "<Relationships><Relationship Id='a' Target='worksheets/sheet1.xml'/></Relationships>", 0    \
  }

/// A workbook of one sheet and, unless NULL, shared words and styles.
static inline const char*
zipped_sheet(Arena* arena, const char* sheet, const char* words, const char* styles,
             size_t* n_bytes)
{
  ZippedPart parts[5] = {
    ZIPPED_BOOK, ZIPPED_RELATIONS, {"xl/worksheets/sheet1.xml", sheet, 0}, {0}, {0}};
  int n = 3;
  if (words) {
    parts[n++] = (ZippedPart){"xl/sharedStrings.xml", words, 0};
  }
  if (styles) {
    parts[n++] = (ZippedPart){"xl/styles.xml", styles, 0};
  }
  return zipped(arena, parts, n, n_bytes);
}
