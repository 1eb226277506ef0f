// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/sheet.h"

#include "base/text.h"
#include "stage/sheet_word.h"

#include <stdlib.h>
#include <string.h>

/*
  What a workbook says of itself before any sheet is read: names of sheets, shared strings, styles.
  How a part comes out of the zip and through the parser is sheet_part.c; the cells of a sheet are
  sheet_cells.c.
*/

enum { MAX_WORDS = 500000, MAX_FORMATS = 4096 };

// ---- workbook.xml and the relations beside it ----

typedef struct {
  SheetPart part;
  SheetName sheets[SHEET_MAX_SHEETS];
  const char* ids[SHEET_MAX_SHEETS];
  int n;
  bool is_1904;
} BookPart;

static void
book_start(SheetPart* part, const char* name, const char** attributes)
{
  BookPart* const book = (BookPart*)part;
  if (!strcmp(name, "workbookPr")) {
    const char* const epoch = sheet_attribute(attributes, "date1904");
    book->is_1904 = epoch && (!strcmp(epoch, "1") || !strcmp(epoch, "true"));
  }
  if (strcmp(name, "sheet") != 0) {
    return;
  }
  const char* const title = sheet_attribute(attributes, "name");
  const char* const id = sheet_attribute(attributes, "id");
  const char* const state = sheet_attribute(attributes, "state");
  if (book->n == SHEET_MAX_SHEETS) {
    sheet_part_stop(part, STATUS_LIMIT, "This workbook has more than %d sheets.", SHEET_MAX_SHEETS);
    return;
  }
  if (!title || !id) {
    return;
  }
  SheetName* const sheet = &book->sheets[book->n];
  sheet->name = sheet_word_copy(part->arena, title, strlen(title));
  sheet->is_hidden = state && strcmp(state, "visible") != 0;
  book->ids[book->n] = arena_copy(part->arena, id);
  if (!sheet->name || !book->ids[book->n]) {
    sheet_part_no_memory(part);
    return;
  }
  ++book->n;
}

typedef struct {
  SheetPart part;
  BookPart* book;
} RelationPart;

static void
relation_start(SheetPart* part, const char* name, const char** attributes)
{
  BookPart* const book = ((RelationPart*)part)->book;
  const char* const id = sheet_attribute(attributes, "Id");
  const char* const target = sheet_attribute(attributes, "Target");
  if (strcmp(name, "Relationship") != 0 || !id || !target) {
    return;
  }
  for (int i = 0; i < book->n; ++i) {
    if (!strcmp(book->ids[i], id)) {
      book->sheets[i].part = target[0] == '/' ? arena_copy(part->arena, target + 1)
                                              : arena_format(part->arena, "xl/%s", target);
      if (!book->sheets[i].part) {
        sheet_part_no_memory(part);
        return;
      }
    }
  }
}

// ---- sharedStrings.xml ----

typedef struct {
  SheetPart part;
  const char** words;
  int n;
  int room;
  size_t n_bytes;
  SheetWord word;
  int in_text;     ///< Inside <t>
  int in_phonetic; ///< Inside <rPh>, which says how the word is read aloud
} WordPart;

static void
words_start(SheetPart* part, const char* name, const char** attributes)
{
  (void)attributes;
  WordPart* const words = (WordPart*)part;
  words->in_text += !strcmp(name, "t");
  words->in_phonetic += !strcmp(name, "rPh");
  if (!strcmp(name, "si")) {
    words->word.n = 0;
  }
}

static void
words_text(SheetPart* part, const char* text, size_t n)
{
  WordPart* const words = (WordPart*)part;
  if (words->in_text && !words->in_phonetic) {
    sheet_word_add(part, &words->word, text, n);
  }
}

static void
words_end(SheetPart* part, const char* name)
{
  WordPart* const words = (WordPart*)part;
  words->in_text -= !strcmp(name, "t");
  words->in_phonetic -= !strcmp(name, "rPh");
  if (strcmp(name, "si") != 0) {
    return;
  }
  words->n_bytes += words->word.n;
  if (words->n == MAX_WORDS || words->n_bytes > SHEET_MAX_TEXT_BYTES) {
    sheet_part_stop(part, STATUS_LIMIT,
                    "This workbook holds more words than any list: is it the right file?");
    return;
  }
  if (words->n == words->room) {
    const int room = words->room * 2 + 256;
    const char** const more =
      arena_grow(part->arena, words->words, (size_t)words->n, (size_t)room, sizeof(*more));
    if (!more) {
      sheet_part_no_memory(part);
      return;
    }
    words->words = more;
    words->room = room;
  }
  words->words[words->n] = sheet_word_copy(part->arena, words->word.text, words->word.n);
  if (!words->words[words->n++]) {
    sheet_part_no_memory(part);
  }
}

// ---- styles.xml ----

typedef struct {
  SheetPart part;
  int ids[MAX_FORMATS]; ///< Own formats
  unsigned char meant[MAX_FORMATS];
  int n_formats;
  unsigned char styles[SHEET_MAX_STYLES];
  int n;
  bool in_cell_styles;
} StylePart;

// What a format code shows: letters of dates and times outside quotes, brackets and escapes.
static int
format_meant(const char* code)
{
  bool has_day = false;
  bool has_hour = false;
  bool is_general = text_begins(code, "general");
  for (const char* p = code; *p && !is_general; ++p) {
    if (*p == '"' || *p == '[') {
      const char* const end = strchr(p + 1, *p == '"' ? '"' : ']');
      has_hour = has_hour || (*p == '[' && strchr("hHmMsS", p[1]) && p[1]);
      if (!end) {
        break;
      }
      p = end;
    } else if (*p == '\\' || *p == '_' || *p == '*') {
      if (!p[1]) {
        break;
      }
      ++p;
    } else {
      has_day = has_day || strchr("dDyY", *p);
      has_hour = has_hour || strchr("hHsS", *p);
    }
  }
  return has_day && has_hour ? SHEET_BOTH
         : has_day           ? SHEET_DATE
         : has_hour          ? SHEET_TIME
                             : SHEET_NUMBER;
}

// Formats every spreadsheet knows by number: ISO/IEC 29500-1, 18.8.30.
static int
built_in_meant(int id)
{
  return id >= 14 && id <= 17                               ? SHEET_DATE
         : (id >= 18 && id <= 21) || (id >= 45 && id <= 47) ? SHEET_TIME
         : id == 22                                         ? SHEET_BOTH
                                                            : SHEET_NUMBER;
}

static void
styles_start(SheetPart* part, const char* name, const char** attributes)
{
  StylePart* const styles = (StylePart*)part;
  const char* const number = sheet_attribute(attributes, "numFmtId");
  int id = 0;
  styles->in_cell_styles = styles->in_cell_styles || !strcmp(name, "cellXfs");
  if (!number || !text_whole(number, 0, 1000000, &id)) {
    id = 0;
  }
  if (!strcmp(name, "numFmt") && styles->n_formats < MAX_FORMATS) {
    const char* const code = sheet_attribute(attributes, "formatCode");
    styles->ids[styles->n_formats] = id;
    styles->meant[styles->n_formats++] = (unsigned char)(code ? format_meant(code) : SHEET_NUMBER);
  }
  if (!strcmp(name, "xf") && styles->in_cell_styles && styles->n < SHEET_MAX_STYLES) {
    int meant = built_in_meant(id);
    for (int i = 0; i < styles->n_formats; ++i) {
      meant = styles->ids[i] == id ? styles->meant[i] : meant;
    }
    styles->styles[styles->n++] = (unsigned char)meant;
  }
}

static void
styles_end(SheetPart* part, const char* name)
{
  StylePart* const styles = (StylePart*)part;
  styles->in_cell_styles = styles->in_cell_styles && strcmp(name, "cellXfs") != 0;
}

// ---- Opening ----

bool
sheet_is_workbook(const char* bytes, size_t n_bytes)
{
  return n_bytes >= 4 && (!memcmp(bytes, "PK\x03\x04", 4) || !memcmp(bytes, "PK\x05\x06", 4) ||
                          !memcmp(bytes, "\xD0\xCF\x11\xE0", 4));
}

static Status
open_styles(Arena* arena, Workbook* book, Error* error)
{
  StylePart* const styles = arena_array(arena, 1, sizeof(*styles));
  if (!styles) {
    return error_set(error, STATUS_NO_MEMORY, book->file, 0, 0,
                     "There is not enough memory for this workbook.");
  }
  styles->part = (SheetPart){
    .arena = arena, .file = book->file, .error = error, .start = styles_start, .end = styles_end};
  const Status st = sheet_part_read(&styles->part, book->bytes, book->n_bytes, "xl/styles.xml");
  if (st == STATUS_NOT_FOUND) { // A workbook without styles has no dates
    return STATUS_OK;
  }
  book->styles = styles->styles;
  book->n_styles = styles->n;
  return st;
}

static Status
open_words(Arena* arena, Workbook* book, Error* error)
{
  WordPart words = {.part = {.arena = arena,
                             .file = book->file,
                             .error = error,
                             .start = words_start,
                             .text = words_text,
                             .end = words_end}};
  const Status st =
    sheet_part_read(&words.part, book->bytes, book->n_bytes, "xl/sharedStrings.xml");
  book->words = words.words;
  book->n_words = words.n;
  return st == STATUS_NOT_FOUND ? STATUS_OK : st;
}

Status
sheet_open(Arena* arena, const char* file, const char* bytes, size_t n_bytes, Workbook* book,
           Error* error)
{
  Status st = STATUS_OK;
  Workbook out = {.file = file, .bytes = bytes, .n_bytes = n_bytes};
  if (n_bytes >= 4 && !memcmp(bytes, "\xD0\xCF\x11\xE0", 4)) {
    return error_set(
      error, STATUS_BAD_INPUT, file, 0, 0,
      "This workbook is binary, or locked with a password: open it where it was made "
      "and save it as XLSX without a password, or as CSV.");
  }
  BookPart* const parts = arena_array(arena, 1, sizeof(*parts));
  if (!parts) {
    return error_set(error, STATUS_NO_MEMORY, file, 0, 0,
                     "There is not enough memory for this workbook.");
  }
  parts->part = (SheetPart){.arena = arena, .file = file, .error = error, .start = book_start};
  st = sheet_part_read(&parts->part, bytes, n_bytes, "xl/workbook.xml");
  if (st == STATUS_NOT_FOUND) {
    return error_set(error, STATUS_BAD_INPUT, file, 0, 0,
                     "This is a zip, but no workbook: unpack it and give the lists in it.");
  }
  if (st != STATUS_OK) {
    return st;
  }
  RelationPart relations = {
    .part = {.arena = arena, .file = file, .error = error, .start = relation_start}, .book = parts};
  st = sheet_part_read(&relations.part, bytes, n_bytes, "xl/_rels/workbook.xml.rels");
  if (st != STATUS_OK && st != STATUS_NOT_FOUND) {
    return st;
  }
  int n = 0;
  for (int i = 0; i < parts->n; ++i) { // Charts and lost sheets have no part that is a sheet
    if (parts->sheets[i].part && !strstr(parts->sheets[i].part, "chartsheets/")) {
      parts->sheets[n++] = parts->sheets[i];
    }
  }
  if (n == 0) {
    return error_set(error, STATUS_BAD_INPUT, file, 0, 0,
                     "This workbook names no sheets: save it again from where it was made.");
  }
  out.sheets = parts->sheets;
  out.n_sheets = n;
  out.is_1904 = parts->is_1904;
  TRY(st, open_styles(arena, &out, error));
  TRY(st, open_words(arena, &out, error));
  *book = out;
  return STATUS_OK;
}
