// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/cell.h"

#include "base/text.h"

#include <string.h>

const char*
cell_text(const List* list, const TableRow* row, Field field)
{
  return table_cell(row, list->at[field])->text;
}

const char*
cell_heading(const List* list, Field field)
{
  return table_cell(&list->table.rows[0], list->at[field])->text;
}

// An empty cell, or one that says in words that it is empty.
bool
cell_says_nothing(const char* text)
{
  static const char* const words[] = {"",    "-",   "--",  "n/a",          "none",        "?",
                                      "tbc", "tba", "tbd", "\xE2\x80\x93", "\xE2\x80\x94"};
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    if (text_same(text, words[i])) {
      return true;
    }
  }
  return false;
}

Status
cell_whole(const Draft* draft, const List* list, const TableRow* row, Field field, int low,
           int high, int fallback, int* value)
{
  const char* const text = cell_text(list, row, field);
  if (!text[0]) {
    *value = fallback;
    return STATUS_OK;
  }
  if (text_whole(text, low, high, value)) {
    return STATUS_OK;
  }
  // 2031-03-04: a spreadsheet has taken "3-4" for a day
  if (strlen(text) >= 10 && text[4] == '-' && text[7] == '-' && text[0] >= '1' && text[0] <= '9') {
    return draft_bad(
      draft, list, row, field,
      "\"%.40s\" under \"%.40s\" is a date, which spreadsheets make of \"3-4\": write "
      "\"3 to 4\", or format the column as text.",
      text, cell_heading(list, field));
  }
  return draft_bad(draft, list, row, field,
                   "\"%.40s\" cannot stand under \"%.40s\": write a whole number from %d to %d.",
                   text, cell_heading(list, field), low, high);
}

// A number that may carry its unit ("5 m"). A unit that would change the number ("5 km") is not
// read over: it makes the cell an error.
static bool
number_of(const char* text, double low, double high, double* value)
{
  char bare[40];
  const size_t n = strspn(text, "+-0123456789.,");
  char unit[40];
  heading_plain(text + n, unit, sizeof(unit));
  if (n == 0 || n >= sizeof(bare) ||
      (text[n] &&
       !heading_among("m|metres|meters|s|sec|seconds|db|dbu|ohm|ohms|ma|h|v|volts|", unit))) {
    return false;
  }
  memcpy(bare, text, n);
  bare[n] = '\0';
  return text_number(bare, low, high, value);
}

Status
cell_number(const Draft* draft, const List* list, const TableRow* row, Field field, double low,
            double high, double fallback, double* value)
{
  const char* const text = cell_text(list, row, field);
  if (!text[0]) {
    *value = fallback;
    return STATUS_OK;
  }
  if (number_of(text, low, high, value)) {
    return STATUS_OK;
  }
  return draft_bad(draft, list, row, field,
                   "\"%.40s\" cannot stand under \"%.40s\": write a number from %g to %g.", text,
                   cell_heading(list, field), low, high);
}

bool
cell_answer_of(const char* text, Answer* answer)
{
  static const char* const words[] = {
    // Behind the words: ballot x (E2 9C 97, 98), em dash and en dash
    [ANSWER_NO] = "no|n|off|false|0|none|open|nein|non|notneeded|without|nophantom|no48v|0v|"
                  "\xE2\x9C\x97|\xE2\x9C\x98|\xE2\x80\x93|\xE2\x80\x94|",
    // Tick and heavy tick, ballot box with tick, white heavy tick, the root sign used as a tick,
    // bullet and black circle, multiplication sign, ballot box with x
    [ANSWER_YES] = "yes|y|x|xx|on|48v|48|p48|true|1|phantom|muted|ja|j|oui|si|req|required|need|"
                   "needed|needs|tick|48vdc|phantompower|yesplease|\xE2\x9C\x93|\xE2\x9C\x94|"
                   "\xE2\x98\x91|\xE2\x9C\x85|\xE2\x88\x9A|\xE2\x80\xA2|\xE2\x97\x8F|\xC3\x97|"
                   "\xE2\x98\x92|",
    [ANSWER_ASK] = "ask|unknown|maybe|tbc|tba|tbd|",
  };
  static const char* const marks[] = {[ANSWER_NO] = "-", [ANSWER_YES] = "+", [ANSWER_ASK] = "?"};
  char plain[48];
  heading_plain(text, plain, sizeof(plain));
  for (int i = 0; i < 3; ++i) {
    if (heading_among(words[i], plain) || text_same(text, marks[i])) {
      *answer = (Answer)i;
      return true;
    }
  }
  return false;
}

Status
cell_answer(const Draft* draft, const List* list, const TableRow* row, Field field, Answer fallback,
            Answer* answer)
{
  const char* const text = cell_text(list, row, field);
  if (!text[0]) {
    *answer = fallback;
    return STATUS_OK;
  }
  if (cell_answer_of(text, answer)) {
    return STATUS_OK;
  }
  return draft_bad(draft, list, row, field,
                   "\"%.40s\" cannot stand under \"%.40s\": write yes, no or ask.", text,
                   cell_heading(list, field));
}

Status
cell_flag(const Draft* draft, const List* list, const TableRow* row, Field field, bool* flag)
{
  Answer answer = *flag ? ANSWER_YES : ANSWER_NO;
  const Status st = cell_answer(draft, list, row, field, answer, &answer);
  if (st == STATUS_OK) {
    *flag = answer == ANSWER_YES;
  }
  return st;
}

Status
cell_place(Draft* draft, const List* list, const TableRow* row, Field field, int* place)
{
  const char* const text = cell_text(list, row, field);
  return draft_place(draft, text[0] ? text : "split", place);
}

static bool
two_digits(const char* text, int high, int* value)
{
  const char two[3] = {text[0], text[0] ? text[1] : '\0', '\0'};
  return text[0] >= '0' && text[0] <= '9' && text_whole(two, 0, high, value);
}

Status
cell_clock(const Draft* draft, const List* list, const TableRow* row, Field field,
           const char** clock)
{
  const char* const text = cell_text(list, row, field);
  if (!text[0]) {
    *clock = "";
    return STATUS_OK;
  }
  int hour = 0;
  int minute = 0;
  const char* const cut = text + strspn(text, "0123456789");
  const bool good = cut > text && cut - text <= 2 && *cut && strchr(":.hH", *cut) &&
                    two_digits(cut + 1, 59, &minute) && cut[2] &&
                    (!cut[3] || (cut[3] == ':' && two_digits(cut + 4, 59, &(int){0}))) &&
                    (cut - text == 2 ? two_digits(text, 29, &hour) : (hour = text[0] - '0', true));
  if (!good) {
    return draft_bad(draft, list, row, field,
                     "\"%.40s\" is no time of day: write hours and minutes, as in 18:15.", text);
  }
  *clock = arena_format(draft->arena, "%02d:%02d", hour, minute);
  return *clock ? STATUS_OK : draft_no_memory(draft);
}

Status
cell_date(const Draft* draft, const List* list, const TableRow* row, Field field, const char** date)
{
  const char* const text = cell_text(list, row, field);
  int century = 0;
  int year = 0;
  int month = 0;
  int day = 0;
  const bool good = !text[0] || (strlen(text) == 10 && two_digits(text, 99, &century) &&
                                 two_digits(text + 2, 99, &year) && text[4] == '-' &&
                                 two_digits(text + 5, 12, &month) && text[7] == '-' &&
                                 two_digits(text + 8, 31, &day) && month > 0 && day > 0);
  if (!good) {
    return draft_bad(draft, list, row, field,
                     "\"%.40s\" is no date that reads the same everywhere: write year, month, day, "
                     "as in 2031-06-14.",
                     text);
  }
  *date = text;
  return STATUS_OK;
}
