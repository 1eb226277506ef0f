// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/sheet.h"

#include "base/text.h"
#include "stage/sheet_part.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  From the parts of a workbook to a table. How a part comes out of the zip and through the parser is
  sheet_part.c; here is what its elements mean.
*/

/// How a number is meant.
enum { STYLE_NUMBER, STYLE_DATE, STYLE_TIME, STYLE_BOTH };

enum {
  MAX_WORDS = 500000,
  MAX_STYLES = 65536,
  MAX_MERGES = 20000,
  MAX_FORMATS = 4096,
  CELL_BYTES = 128 * 1024 ///< A spreadsheet holds 32,767 characters in a cell
};

static const char*
attribute(const char** attributes, const char* name)
{
  for (; attributes && attributes[0]; attributes += 2) {
    const char* const colon = strchr(attributes[0], ':');
    if (!strcmp(colon ? colon + 1 : attributes[0], name)) {
      return attributes[1];
    }
  }
  return NULL;
}

// ---- Text that grows while a part is read ----

typedef struct {
  char* text;
  size_t n;
  size_t room;
} Word;

static void
word_add(SheetPart* part, Word* word, const char* text, size_t n)
{
  if (word->n + n > CELL_BYTES) {
    sheet_part_stop(part, STATUS_LIMIT, "A cell holds more than %d bytes: is it the right file?",
                    CELL_BYTES);
    return;
  }
  if (word->n + n + 1 > word->room) {
    const size_t room = (word->n + n + 1) * 2 + 64;
    char* const more = arena_grow(part->arena, word->text, word->n, room, 1);
    if (!more) {
      sheet_part_no_memory(part);
      return;
    }
    word->text = more;
    word->room = room;
  }
  memcpy(word->text + word->n, text, n);
  word->n += n;
  word->text[word->n] = '\0';
}

// Code of "_x000D_" at `p`, 0 = it is none: how characters that XML cannot hold are written
// (ISO/IEC 29500-1, 22.9.2.19), and the underscore before such a word.
static unsigned
escape_at(const char* p)
{
  unsigned code = 0;
  if (p[0] != '_' || p[1] != 'x') {
    return 0;
  }
  for (int i = 2; i < 6; ++i) {
    const char* const digits = "0123456789abcdef0123456789ABCDEF";
    const char* const at = p[i] ? strchr(digits, p[i]) : NULL;
    if (!at) {
      return 0;
    }
    code = code * 16 + (unsigned)((at - digits) % 16);
  }
  return p[6] == '_' ? code : 0;
}

// Puts escapes right in place: those of ASCII, which is all that spreadsheets write.
static void
undo_escapes(char* text)
{
  char* to = text;
  for (const char* p = text; *p;) {
    const unsigned code = escape_at(p);
    const bool is_ascii = code > 0 && code < 0x80;
    *to++ = is_ascii ? (char)code : *p;
    p += is_ascii ? 7 : 1;
  }
  *to = '\0';
}

// A copy with line ends as blanks and none at the ends; "" for nothing, NULL without memory.
static const char*
word_copy(Arena* arena, const char* text, size_t n)
{
  size_t from = 0;
  while (from < n && (unsigned char)text[from] <= ' ') {
    ++from;
  }
  while (n > from && (unsigned char)text[n - 1] <= ' ') {
    --n;
  }
  if (from == n) {
    return "";
  }
  char* const copy = arena_text(arena, text + from, n - from);
  if (copy) {
    undo_escapes(copy);
  }
  for (char* p = copy; p && *p; ++p) {
    *p = *p == '\n' || *p == '\r' || *p == '\t' ? ' ' : *p;
  }
  return copy;
}

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
    const char* const epoch = attribute(attributes, "date1904");
    book->is_1904 = epoch && (!strcmp(epoch, "1") || !strcmp(epoch, "true"));
  }
  if (strcmp(name, "sheet") != 0) {
    return;
  }
  const char* const title = attribute(attributes, "name");
  const char* const id = attribute(attributes, "id");
  const char* const state = attribute(attributes, "state");
  if (book->n == SHEET_MAX_SHEETS) {
    sheet_part_stop(part, STATUS_LIMIT, "This workbook has more than %d sheets.", SHEET_MAX_SHEETS);
    return;
  }
  if (!title || !id) {
    return;
  }
  SheetName* const sheet = &book->sheets[book->n];
  sheet->name = word_copy(part->arena, title, strlen(title));
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
  const char* const id = attribute(attributes, "Id");
  const char* const target = attribute(attributes, "Target");
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
  Word word;
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
    word_add(part, &words->word, text, n);
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
  words->words[words->n] = word_copy(part->arena, words->word.text, words->word.n);
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
  unsigned char styles[MAX_STYLES];
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
  return has_day && has_hour ? STYLE_BOTH
         : has_day           ? STYLE_DATE
         : has_hour          ? STYLE_TIME
                             : STYLE_NUMBER;
}

// Formats every spreadsheet knows by number: ISO/IEC 29500-1, 18.8.30.
static int
built_in_meant(int id)
{
  return id >= 14 && id <= 17                               ? STYLE_DATE
         : (id >= 18 && id <= 21) || (id >= 45 && id <= 47) ? STYLE_TIME
         : id == 22                                         ? STYLE_BOTH
                                                            : STYLE_NUMBER;
}

static void
styles_start(SheetPart* part, const char* name, const char** attributes)
{
  StylePart* const styles = (StylePart*)part;
  const char* const number = attribute(attributes, "numFmtId");
  int id = 0;
  styles->in_cell_styles = styles->in_cell_styles || !strcmp(name, "cellXfs");
  if (!number || !text_whole(number, 0, 1000000, &id)) {
    id = 0;
  }
  if (!strcmp(name, "numFmt") && styles->n_formats < MAX_FORMATS) {
    const char* const code = attribute(attributes, "formatCode");
    styles->ids[styles->n_formats] = id;
    styles->meant[styles->n_formats++] = (unsigned char)(code ? format_meant(code) : STYLE_NUMBER);
  }
  if (!strcmp(name, "xf") && styles->in_cell_styles && styles->n < MAX_STYLES) {
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

// ---- A sheet ----

typedef struct {
  int row, column, n_rows;
} Merge;

typedef struct {
  SheetPart part;
  const Workbook* book;
  TableRow* rows;
  int n_rows;
  int room;
  int n_cells;
  size_t n_bytes; ///< Of text in cells
  // The row and the cell that are being read
  TableCell cells[TABLE_MAX_CELLS];
  int n_row_cells;
  int row;
  int column; ///< From 0
  char type[12];
  int style;
  bool in_cell, in_value, in_phonetic;
  Word word;
  Merge* merges;
  int n_merges;
  int merge_room;
} CellPart;

// "AB12" as column from 0 and row; what is missing stays as it was.
static void
read_reference(const char* text, int* column, int* row)
{
  int c = 0;
  while (*text >= 'A' && *text <= 'Z' && c < 100000) {
    c = c * 26 + (*text++ - 'A' + 1);
  }
  int r = 0;
  while (*text >= '0' && *text <= '9' && r < 100000000) {
    r = r * 10 + (*text++ - '0');
  }
  *column = c > 0 ? c - 1 : *column;
  *row = r > 0 ? r : *row;
}

static void
read_merge(CellPart* cells, const char* text)
{
  const char* const colon = strchr(text, ':');
  int column = -1;
  int row = 0;
  int last_column = -1;
  int last_row = 0;
  if (!colon) {
    return;
  }
  read_reference(text, &column, &row);
  read_reference(colon + 1, &last_column, &last_row);
  if (column < 0 || column >= TABLE_MAX_CELLS || row < 1 || last_row <= row) {
    return;
  }
  if (cells->n_merges == MAX_MERGES) {
    sheet_part_stop(&cells->part, STATUS_LIMIT, "This sheet has more than %d merged cells.",
                    MAX_MERGES);
    return;
  }
  if (cells->n_merges == cells->merge_room) {
    const int room = cells->merge_room * 2 + 64;
    Merge* const more = arena_grow(cells->part.arena, cells->merges, (size_t)cells->n_merges,
                                   (size_t)room, sizeof(*more));
    if (!more) {
      sheet_part_no_memory(&cells->part);
      return;
    }
    cells->merges = more;
    cells->merge_room = room;
  }
  cells->merges[cells->n_merges++] = (Merge){row, column, last_row - row + 1};
}

static void
cells_start(SheetPart* part, const char* name, const char** attributes)
{
  CellPart* const cells = (CellPart*)part;
  if (!strcmp(name, "row")) {
    const char* const number = attribute(attributes, "r");
    int row = cells->row + 1;
    if (number) {
      read_reference(number, &(int){0}, &row);
    }
    cells->row = row;
    cells->column = -1;
    cells->n_row_cells = 0;
  } else if (!strcmp(name, "c")) {
    const char* const reference = attribute(attributes, "r");
    const char* const type = attribute(attributes, "t");
    const char* const style = attribute(attributes, "s");
    ++cells->column;
    if (reference) {
      read_reference(reference, &cells->column, &(int){0});
    }
    (void)snprintf(cells->type, sizeof(cells->type), "%s", type ? type : "n");
    cells->style = 0;
    if (style) {
      (void)text_whole(style, 0, MAX_STYLES, &cells->style);
    }
    cells->word.n = 0;
    cells->in_cell = true;
  } else if (!strcmp(name, "v") || !strcmp(name, "t")) {
    cells->in_value = cells->in_cell;
  } else if (!strcmp(name, "rPh")) {
    cells->in_phonetic = true;
  } else if (!strcmp(name, "mergeCell")) {
    const char* const reference = attribute(attributes, "ref");
    if (reference) {
      read_merge(cells, reference);
    }
  }
}

static void
cells_text(SheetPart* part, const char* text, size_t n)
{
  CellPart* const cells = (CellPart*)part;
  if (cells->in_value && !cells->in_phonetic) {
    word_add(part, &cells->word, text, n);
  }
}

enum { LAST_DAY = 2958465 }; // The end of the year 9999

// Day and time of a serial number from 0 to LAST_DAY; NULL without memory. (That spreadsheets have
// a 29 February 1900 shifts days before it by one; no list of a show is that old.)
static const char*
date_text(Arena* arena, const Workbook* book, double serial, int meant)
{
  int day = (int)floor(serial);
  int minute = (int)lround((serial - floor(serial)) * 24.0 * 60.0);
  day += minute == 24 * 60;
  minute %= 24 * 60;
  if (meant == STYLE_TIME || (meant == STYLE_BOTH && day == 0)) {
    return arena_format(arena, "%02d:%02d", minute / 60, minute % 60);
  }
  // Days since 1899-12-30 (1904-01-01 is 1462 of them) to a date: Gregorian, from 1 March of year 0
  // in eras of 400 years of 146,097 days
  long z = day + (book->is_1904 ? 1462L : 0L) + 693899L;
  const long era = z / 146097;
  z %= 146097;
  const long year_of_era = (z - z / 1460 + z / 36524 - z / 146096) / 365;
  const long day_of_year = z - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
  const long m = (5 * day_of_year + 2) / 153;
  const long d = day_of_year - (153 * m + 2) / 5 + 1;
  const long month = m < 10 ? m + 3 : m - 9;
  const long year = year_of_era + era * 400 + (month <= 2);
  if (meant == STYLE_BOTH && minute > 0) {
    return arena_format(arena, "%04ld-%02ld-%02ld %02d:%02d", year, month, d, minute / 60,
                        minute % 60);
  }
  return arena_format(arena, "%04ld-%02ld-%02ld", year, month, d);
}

// The text of the cell that has just ended; NULL after stopping the part.
static const char*
cell_value(CellPart* cells)
{
  Arena* const arena = cells->part.arena;
  const Workbook* const book = cells->book;
  const char* const raw = word_copy(arena, cells->word.text, cells->word.n);
  const char* text = raw;
  if (raw && raw[0] && !strcmp(cells->type, "s")) {
    int at = -1;
    if (!text_whole(raw, 0, book->n_words - 1, &at)) {
      sheet_part_stop(
        &cells->part, STATUS_BAD_INPUT,
        "A cell of row %d names a word that the workbook does not have: save it again "
        "from where it was made.",
        cells->row);
      return NULL;
    }
    return book->words[at];
  }
  if (raw && raw[0] && !strcmp(cells->type, "b")) {
    return !strcmp(raw, "0") ? "FALSE" : "TRUE";
  }
  if (raw && raw[0] && !strcmp(cells->type, "n")) {
    char* end = NULL;
    const double value = strtod(raw, &end); // The program never leaves the C locale
    const int meant = cells->style < book->n_styles ? book->styles[cells->style] : STYLE_NUMBER;
    const bool is_day = meant != STYLE_NUMBER && value >= 0.0 && value <= LAST_DAY;
    if (end && !*end && isfinite(value)) {
      text = is_day ? date_text(arena, book, value, meant) : arena_format(arena, "%.15g", value);
    }
  }
  if (!text) {
    sheet_part_no_memory(&cells->part);
  }
  return text;
}

static void
cell_end(CellPart* cells)
{
  cells->in_cell = cells->in_value = false;
  const char* const text = cells->word.n ? cell_value(cells) : "";
  if (!text || !text[0]) {
    return;
  }
  if (cells->column >= TABLE_MAX_CELLS) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "Row %d has text in a cell beyond number %d: is it the right sheet?",
                    cells->row, TABLE_MAX_CELLS);
    return;
  }
  for (int c = cells->n_row_cells; c <= cells->column; ++c) {
    cells->cells[c] = (TableCell){"", cells->row, c + 1};
  }
  cells->n_row_cells = cells->n_row_cells > cells->column ? cells->n_row_cells : cells->column + 1;
  cells->cells[cells->column].text = text;
  cells->n_bytes += strlen(text);
  if (cells->n_bytes > SHEET_MAX_TEXT_BYTES) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "This sheet holds more text than any list: is it "
                    "the right one?");
  }
}

static void
row_end(CellPart* cells)
{
  const int n = cells->n_row_cells;
  if (n == 0) {
    return;
  }
  cells->n_cells += n;
  const int last = cells->n_rows ? cells->rows[cells->n_rows - 1].line : 0;
  if (cells->n_rows == SHEET_MAX_ROWS || cells->row > SHEET_MAX_ROW ||
      cells->n_cells > SHEET_MAX_CELLS) {
    sheet_part_stop(&cells->part, STATUS_LIMIT,
                    "This sheet goes on to row %d, which is more than any list: is it the right "
                    "one?",
                    cells->row);
    return;
  }
  if (cells->row <= last) {
    sheet_part_stop(&cells->part, STATUS_BAD_INPUT,
                    "Row %d comes after row %d: the workbook is damaged, save it again from where "
                    "it was made.",
                    cells->row, last);
    return;
  }
  TableCell* const own = arena_array(cells->part.arena, (size_t)n, sizeof(TableCell));
  if (cells->n_rows == cells->room) {
    const int room = cells->room * 2 + 64;
    TableRow* const more = arena_grow(cells->part.arena, cells->rows, (size_t)cells->n_rows,
                                      (size_t)room, sizeof(*more));
    cells->room = more ? room : cells->room;
    cells->rows = more ? more : cells->rows;
  }
  if (!own || cells->n_rows == cells->room) {
    sheet_part_no_memory(&cells->part);
    return;
  }
  memcpy(own, cells->cells, (size_t)n * sizeof(TableCell));
  cells->rows[cells->n_rows++] = (TableRow){own, n, cells->row};
  cells->n_row_cells = 0;
}

static void
cells_end(SheetPart* part, const char* name)
{
  CellPart* const cells = (CellPart*)part;
  if (!strcmp(name, "c")) {
    cell_end(cells);
  } else if (!strcmp(name, "row")) {
    row_end(cells);
  } else if (!strcmp(name, "v") || !strcmp(name, "t")) {
    cells->in_value = false;
  } else if (!strcmp(name, "rPh")) {
    cells->in_phonetic = false;
  }
}

static int
row_at(const CellPart* cells, int number)
{
  int low = 0;
  int high = cells->n_rows;
  while (low < high) {
    const int middle = (low + high) / 2;
    if (cells->rows[middle].line < number) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low;
}

// Say what stands in a high merge in each of its rows that has anything else.
static Status
fill_merges(CellPart* cells)
{
  int n_filled = 0;
  for (int i = 0; i < cells->n_merges; ++i) {
    const Merge* const merge = &cells->merges[i];
    const int top = row_at(cells, merge->row);
    if (top == cells->n_rows || cells->rows[top].line != merge->row) {
      continue;
    }
    const char* const text = table_cell(&cells->rows[top], merge->column)->text;
    for (int r = top + 1;
         text[0] && r < cells->n_rows && cells->rows[r].line < merge->row + merge->n_rows; ++r) {
      TableRow* const row = &cells->rows[r];
      cells->n_bytes += strlen(text);
      if (++n_filled > SHEET_MAX_CELLS || cells->n_bytes > SHEET_MAX_TEXT_BYTES) {
        return error_set(cells->part.error, STATUS_LIMIT, cells->part.file, row->line, 0,
                         "This sheet holds more merged cells than any list.");
      }
      if (merge->column >= row->n_cells) {
        TableCell* const more = arena_grow(cells->part.arena, row->cells, (size_t)row->n_cells,
                                           (size_t)merge->column + 1, sizeof(*more));
        if (!more) {
          return error_set(cells->part.error, STATUS_NO_MEMORY, cells->part.file, 0, 0,
                           "There is not enough memory for this workbook.");
        }
        for (int c = row->n_cells; c <= merge->column; ++c) {
          more[c] = (TableCell){"", row->line, c + 1};
        }
        row->cells = more;
        row->n_cells = merge->column + 1;
      }
      if (!row->cells[merge->column].text[0]) {
        row->cells[merge->column].text = text;
      }
    }
  }
  return STATUS_OK;
}

// A sheet is as wide in each row: empty cells at the end of a row are there too, as in the CSV a
// spreadsheet saves. (One that is very wide somewhere stays as it is.)
static Status
fill_rows(CellPart* cells)
{
  int n = 0;
  for (int r = 0; r < cells->n_rows; ++r) {
    n = cells->rows[r].n_cells > n ? cells->rows[r].n_cells : n;
  }
  for (int r = 0; r < cells->n_rows && (long)n * cells->n_rows <= SHEET_MAX_CELLS; ++r) {
    TableRow* const row = &cells->rows[r];
    if (row->n_cells == n) {
      continue;
    }
    TableCell* const more =
      arena_grow(cells->part.arena, row->cells, (size_t)row->n_cells, (size_t)n, sizeof(*more));
    if (!more) {
      return error_set(cells->part.error, STATUS_NO_MEMORY, cells->part.file, 0, 0,
                       "There is not enough memory for this workbook.");
    }
    for (int c = row->n_cells; c < n; ++c) {
      more[c] = (TableCell){"", row->line, c + 1};
    }
    row->cells = more;
    row->n_cells = n;
  }
  return STATUS_OK;
}

Status
sheet_read(Arena* arena, const Workbook* book, int sheet, Table* table, Error* error)
{
  Status st = STATUS_OK;
  CellPart* const cells = arena_array(arena, 1, sizeof(*cells));
  if (!cells) {
    return error_set(error, STATUS_NO_MEMORY, book->file, 0, 0,
                     "There is not enough memory for this workbook.");
  }
  cells->part = (SheetPart){.arena = arena,
                            .file = book->file,
                            .error = error,
                            .start = cells_start,
                            .text = cells_text,
                            .end = cells_end};
  cells->book = book;
  cells->column = -1;
  st = sheet_part_read(&cells->part, book->bytes, book->n_bytes, book->sheets[sheet].part);
  if (st == STATUS_NOT_FOUND) {
    return error_set(error, STATUS_BAD_INPUT, book->file, 0, 0,
                     "Sheet \"%.60s\" is named in this workbook and not in it: save it again from "
                     "where it was made.",
                     book->sheets[sheet].name);
  }
  if (st != STATUS_OK) {
    return st;
  }
  TRY(st, fill_merges(cells));
  TRY(st, fill_rows(cells));
  *table =
    (Table){.file = book->file, .rows = cells->rows, .n_rows = cells->n_rows, .delimiter = ','};
  return STATUS_OK;
}
