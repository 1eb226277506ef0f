// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/loan.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/*
  A way by its name, and which desks it concerns. Names come from people and over the network: what
  is none is refused, and nothing of it is kept.
*/

const char*
loan_sort_word(WaySort sort)
{
  static const char* const words[WAY_COUNT] = {"back", "socket", "spare", "input",
                                               "feed", "side",   "lead"};
  return (unsigned)sort < WAY_COUNT ? words[sort] : "back";
}

static void
set_concerned(const Plant* plant, Loan* loan)
{
  const Line* const own = &plant->lines[loan->line];
  const Line* const to = &plant->lines[loan->to];
  for (int d = 0; d < plant->n_desks; ++d) {
    switch (loan->sort) {
      case WAY_SOCKET:
        loan->concerns[d] = own->desk_input[d] > 0 || to->desk_input[d] > 0;
        break;
      case WAY_SPARE:
        loan->concerns[d] = to->desk_input[d] > 0;
        break;
      case WAY_INPUT:
      case WAY_FEED:
      case WAY_SIDE:
        loan->concerns[d] = d == loan->desk || d == loan->other;
        break;
      default:
        loan->concerns[d] = false;
        break;
    }
  }
}

// "mon from foh", "mon side broadcast": two desks with a word between.
static bool
read_two_desks(const Plant* plant, const char* way, Loan* loan)
{
  static const struct {
    const char* word;
    WaySort sort;
  } words[] = {{" from ", WAY_FEED}, {" side ", WAY_SIDE}};
  for (size_t i = 0; i < sizeof(words) / sizeof(words[0]); ++i) {
    const char* const at = strstr(way, words[i].word);
    char first[40];
    if (at && at > way && (size_t)(at - way) < sizeof(first)) {
      (void)snprintf(first, sizeof(first), "%.*s", (int)(at - way), way);
      const int desk = plant_desk(plant, first);
      const int other = plant_desk(plant, at + strlen(words[i].word));
      if (desk >= 0 && other >= 0 && desk != other &&
          plant->lines[loan->line].desk_input[desk] > 0) {
        loan->sort = words[i].sort;
        loan->desk = desk;
        loan->other = other;
        return true;
      }
    }
  }
  return false;
}

// "foh 39"
static bool
read_input(const Plant* plant, const char* way, Loan* loan)
{
  const char* const blank = strrchr(way, ' ');
  char word[40];
  int number = 0;
  if (!blank || blank == way || (size_t)(blank - way) >= sizeof(word) ||
      !text_whole(blank + 1, 1, 9999, &number)) {
    return false;
  }
  (void)snprintf(word, sizeof(word), "%.*s", (int)(blank - way), way);
  const int desk = plant_desk(plant, word);
  const int own = desk >= 0 ? plant->lines[loan->line].desk_input[desk] : 0;
  if (own == 0 || own == number || plant_is_digital(plant, loan->line)) {
    return false;
  }
  loan->sort = WAY_INPUT;
  loan->desk = desk;
  loan->input = number;
  for (int l = 0; l < plant->n_lines; ++l) {
    loan->lender = plant->lines[l].desk_input[desk] == number ? l : loan->lender;
  }
  return true;
}

bool
loan_read(const Plant* plant, int act, int line, const char* way, Loan* loan)
{
  Loan out = {
    .act = act, .line = line, .to = line, .desk = -1, .other = -1, .lender = -1, .way = way};
  int number = 0;
  if (line < 0 || line >= plant->n_lines || !way || !way[0]) {
    return false;
  }
  const Box* const box = &plant->boxes[plant->lines[line].box];
  if (text_begins(way, "box ") && text_same(way + 4, box->name)) {
    if (!box->is_digital) {
      return false;
    }
    out.sort = WAY_LEAD;
  } else if (!read_two_desks(plant, way, &out) && !read_input(plant, way, &out)) {
    out.to = text_begins(way, "line ") && text_whole(way + 5, 1, FACT_LINE_MAX, &number)
               ? plant_line(plant, number)
               : plant_socket(plant, way);
    if (out.to < 0 || out.to == line) {
      return false;
    }
    out.sort = plant_input(plant, act, out.to) ? WAY_SPARE : WAY_SOCKET;
  }
  out.was = out.sort;
  set_concerned(plant, &out);
  *loan = out;
  return true;
}
