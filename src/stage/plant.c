// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/plant.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

#define USUAL_INPUT_OHM 2000.0

static bool
digit(char c)
{
  return c >= '0' && c <= '9';
}

static bool
between(char c)
{
  return c == ' ' || c == '-' || c == '/' || c == '.' || c == '_' || c == ':';
}

int
plant_line(const Plant* plant, int number)
{
  int low = 0;
  int high = plant->n_lines;
  while (low < high) {
    const int middle = low + (high - low) / 2;
    if (plant->lines[middle].number < number) {
      low = middle + 1;
    } else {
      high = middle;
    }
  }
  return low < plant->n_lines && plant->lines[low].number == number ? low : -1;
}

// The socket number that is left of `rest` after a box name, 0 if it is not one. A name that ends
// in a digit must be set apart from its socket, or "112" would be box 1 and box 11 at once.
static int
socket_of(const char* rest, char last_of_name)
{
  const char* p = rest;
  while (between(*p)) {
    ++p;
  }
  if (text_begins(p, "socket")) {
    p += strlen("socket");
    while (between(*p)) {
      ++p;
    }
  }
  int socket = 0;
  const bool apart = p != rest || !digit(last_of_name);
  return apart && digit(*p) && text_whole(p, 1, PLANT_MAX_LINES, &socket) ? socket : 0;
}

int
plant_socket(const Plant* plant, const char* text)
{
  while (*text == ' ') {
    ++text;
  }
  for (int pass = 0; pass < 2; ++pass) { // As it stands, then without the word "box"
    for (int b = 0; b < plant->n_boxes; ++b) {
      const char* const name = plant->boxes[b].name;
      const size_t n = strlen(name);
      const int socket = n > 0 && text_begins(text, name) ? socket_of(text + n, name[n - 1]) : 0;
      for (int i = 0; socket > 0 && i < plant->n_lines; ++i) {
        if (plant->lines[i].box == b && plant->lines[i].socket == socket) {
          return i;
        }
      }
    }
    if (!text_begins(text, "box")) {
      break;
    }
    for (text += strlen("box"); between(*text); ++text) {
    }
  }
  return -1;
}

bool
plant_drive(const Plant* plant, const char* text, int* drive)
{
  static const char* const words[] = {"drive", "line"};
  const char* p = text;
  int number = 0;
  while (between(*p)) {
    ++p;
  }
  if (!text_begins(p, words[0])) {
    return false;
  }
  for (int i = 0; i < 2; ++i) {
    p += text_begins(p, words[i]) ? strlen(words[i]) : 0;
    while (between(*p)) {
      ++p;
    }
  }
  if (!text_whole(p, 1, 9999, &number)) {
    return false;
  }
  *drive = -1;
  for (int i = 0; i < plant->n_drives; ++i) {
    *drive = plant->drives[i].number == number ? i : *drive;
  }
  return true;
}

bool
plant_desk_input(const Desk* desk, double* between_ohm, double* each_ohm)
{
  const bool is_said = desk && (desk->between_ohm > 0.0 || desk->each_ohm > 0.0);
  *between_ohm = !is_said                  ? USUAL_INPUT_OHM
                 : desk->between_ohm > 0.0 ? desk->between_ohm
                                           : (double)INFINITY;
  *each_ohm = is_said && desk->each_ohm > 0.0 ? desk->each_ohm : (double)INFINITY;
  return !is_said;
}

// Same word when blanks, dashes and underscores are not counted.
static bool
same_loosely(const char* a, const char* b)
{
  for (;; ++a, ++b) {
    while (between(*a)) {
      ++a;
    }
    while (between(*b)) {
      ++b;
    }
    if (!*a || !*b) {
      return *a == *b;
    }
    const char one[2] = {*a, '\0'};
    if (!text_begins(one, (const char[2]){*b, '\0'})) {
      return false;
    }
  }
}

int
plant_output(const Plant* plant, const char* text)
{
  const char* const name = text_begins(text, "circuit ") ? text + 8 : text;
  for (int i = 0; i < plant->n_outputs; ++i) {
    if (text_same(plant->outputs[i].name, name)) {
      return i;
    }
  }
  return -1;
}

int
plant_act(const Plant* plant, const char* name)
{
  for (int pass = 0; pass < 2; ++pass) {
    for (int i = 0; i < plant->n_acts; ++i) {
      const char* const act = plant->acts[i].name;
      const bool short_form = pass == 1 && text_begins(act, "act");
      if (pass == 0 ? same_loosely(act, name) : short_form && same_loosely(act + 3, name)) {
        return i;
      }
    }
  }
  return -1;
}

int
plant_desk(const Plant* plant, const char* name)
{
  for (int i = 0; i < plant->n_desks; ++i) {
    if (text_same(plant->desks[i].name, name)) {
      return i;
    }
  }
  for (int i = 0; name[0] && i < plant->n_desks; ++i) {
    if (text_begins(plant->desks[i].say, name)) {
      return i;
    }
  }
  return -1;
}

int
plant_place(const Plant* plant, const char* name)
{
  for (int i = 0; i < plant->n_places; ++i) {
    if (text_same(plant->places[i], name)) {
      return i;
    }
  }
  return -1;
}

bool
plant_is_digital(const Plant* plant, int line)
{
  return line >= 0 && line < plant->n_lines && plant->boxes[plant->lines[line].box].is_digital;
}

int
plant_phantom_desk(const Plant* plant, int line)
{
  if (plant_is_digital(plant, line)) {
    return plant->boxes[plant->lines[line].box].owner;
  }
  int direct = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    direct = plant->desks[d].is_direct ? d : direct;
  }
  return direct;
}

const Input*
plant_input(const Plant* plant, int act, int line)
{
  for (int i = 0; act >= 0 && line >= 0 && i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act && plant->inputs[i].line == line) {
      return &plant->inputs[i];
    }
  }
  return NULL;
}

const DeskRow*
plant_desk_row(const Plant* plant, int act, int desk, int line)
{
  if (line < 0 || line >= plant->n_lines) {
    return NULL;
  }
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    const DeskRow* const row = &plant->desk_rows[i];
    if (row->act == act && row->desk == desk && row->line == plant->lines[line].number) {
      return row;
    }
  }
  return NULL;
}

double
plant_time_s(const Plant* plant, const char* step, double fallback_s)
{
  for (int i = 0; i < plant->n_times; ++i) {
    if (text_same(plant->times[i].step, step)) {
      return plant->times[i].usual_s;
    }
  }
  return fallback_s;
}

double
plant_misread_prob(const Plant* plant, const char* check)
{
  for (int i = 0; i < plant->n_misreads; ++i) {
    if (text_same(plant->misreads[i].check, check)) {
      return plant->misreads[i].prob;
    }
  }
  return 0.05;
}

double
plant_odds(const Plant* plant, const char* where, const char* fault)
{
  for (int i = 0; i < plant->n_odds; ++i) {
    if (text_same(plant->odds[i].where, where) && text_same(plant->odds[i].fault, fault)) {
      return plant->odds[i].share;
    }
  }
  return 0.0;
}

static double
odds_or(const Plant* plant, const char* where, const char* fault, double usual_prob)
{
  const double prob = plant_odds(plant, where, fault);
  return prob > 0.0 ? prob : usual_prob;
}

double
plant_again_prob(const Plant* plant)
{
  return odds_or(plant, "look again", "same cause", 0.8);
}

double
plant_still_open_prob(const Plant* plant)
{
  return odds_or(plant, "loose contact", "open while still", 0.15);
}

int
plant_kit(const Plant* plant, const char* name)
{
  int n = 0;
  for (int i = 0; i < plant->n_kit; ++i) {
    n += text_begins(plant->kit[i].name, name) ? plant->kit[i].count : 0;
  }
  return n;
}

const Tester*
plant_tester(const Plant* plant, const char* name)
{
  for (int i = 0; i < plant->n_testers; ++i) {
    if (text_same(plant->testers[i].name, name)) {
      return &plant->testers[i];
    }
  }
  return NULL;
}

// What follows the word for a thing in a row of the kit: "lamp tester my box" names "my box".
static const char*
named_in_kit(const KitItem* item, const char* word)
{
  const size_t n = strlen(word);
  return item->count > 0 && text_begins(item->name, word) && item->name[n] == ' '
           ? item->name + n + 1
           : NULL;
}

const Tester*
plant_own_tester(const Plant* plant, int n_contacts)
{
  for (int i = 0; i < plant->n_kit; ++i) {
    const char* const name = named_in_kit(&plant->kit[i], "lamp tester");
    const Tester* const tester = name ? plant_tester(plant, name) : NULL;
    if (tester && tester->n_contacts == n_contacts) {
      return tester;
    }
  }
  const Tester* first = NULL;
  for (int i = 0; i < plant->n_testers; ++i) {
    const Tester* const tester = &plant->testers[i];
    if (tester->n_contacts == n_contacts && tester->is_own) {
      return tester;
    }
    first = tester->n_contacts == n_contacts && !first ? tester : first;
  }
  return first;
}

const Meter*
plant_own_meter(const Plant* plant)
{
  for (int i = 0; i < plant->n_kit; ++i) {
    const char* const hand = named_in_kit(&plant->kit[i], "hand meter");
    const char* const name = hand ? hand : named_in_kit(&plant->kit[i], "meter");
    for (int m = 0; name && m < plant->n_meters; ++m) {
      if (text_same(plant->meters[m].name, name)) {
        return &plant->meters[m];
      }
    }
  }
  static const Meter none_listed = {"a battery and a needle", 9.0, 1000.0, "", "usual practice"};
  return plant->n_meters ? &plant->meters[0] : &none_listed;
}

double
plant_walk_s(const Plant* plant, int from, int to)
{
  const bool known = from >= 0 && to >= 0 && from < plant->n_places && to < plant->n_places;
  return known && from != to ? plant->walk_s[from * plant->n_places + to] : 0.0;
}

bool
plant_is_free(const Plant* plant, int act, int line)
{
  return line >= 0 && line < plant->n_lines && !plant_input(plant, act, line) &&
         !plant_input(plant, act + 1, line);
}

static bool
kind_is_harmful(const Kind* kind)
{
  return kind->phantom_harmless != ANSWER_YES || kind->is_ribbon || kind->needs_ab ||
         kind->drive == DRIVE_UNBALANCED;
}

static bool
hangs_harmful(const Plant* plant, const Input* input)
{
  bool harmful = kind_is_harmful(&plant->kinds[input->kind]) ||
                 (input->y_kind && kind_is_harmful(&plant->kinds[input->y_kind - 1]));
  for (int i = 0; i < input->n_through; ++i) {
    harmful = harmful || plant->inlines[input->through[i]].sort == INLINE_JOINED;
  }
  return harmful;
}

bool
plant_is_harmful(const Plant* plant, const Input* input)
{
  if (!input) {
    return false;
  }
  const int other = input->y_line ? plant_line(plant, input->y_line) : -1;
  const Input* const same = other >= 0 ? plant_input(plant, input->act, other) : NULL;
  return hangs_harmful(plant, input) || (same && hangs_harmful(plant, same));
}

bool
plant_is_inverted(const Plant* plant, const Input* input)
{
  int n = 0;
  for (int i = 0; input && i < input->n_through; ++i) {
    n += plant->inlines[input->through[i]].sort == INLINE_CROSSED;
  }
  return n % 2 == 1;
}

static double
beside(double a, double b)
{
  return a * b / (a + b);
}

void
plant_r23_ohm(const Plant* plant, const Input* input, double* low_ohm, double* high_ohm)
{
  *low_ohm = *high_ohm = 0.0;
  if (!input || input->y_line) { // Whatever the other socket's line shows hangs on it too
    return;
  }
  double low = plant->kinds[input->kind].r23_low_ohm;
  double high = plant->kinds[input->kind].r23_high_ohm;
  bool known = high > 0.0;
  for (int i = 0; i < input->n_through; ++i) {
    const Inline* const thing = &plant->inlines[input->through[i]];
    const Kind* const second = input->y_kind ? &plant->kinds[input->y_kind - 1] : NULL;
    switch (thing->sort) {
      case INLINE_PAD: // Known within the pad's own limits even where the source is not
        low = beside((known ? low : 0.0) + 2.0 * thing->series_ohm, thing->shunt_ohm);
        high = known ? beside(high + 2.0 * thing->series_ohm, thing->shunt_ohm) : thing->shunt_ohm;
        known = true;
        break;
      case INLINE_TRANSFORMER:
      case INLINE_SUPPLY:
        low = high = thing->secondary_ohm;
        known = true;
        break;
      case INLINE_Y:
        known = known && second && second->r23_high_ohm > 0.0 && low > 0.0;
        low = known ? beside(low, second->r23_low_ohm) : 0.0;
        high = known ? beside(high, second->r23_high_ohm) : 0.0;
        break;
      default:
        break;
    }
  }
  *low_ohm = known ? low : 0.0;
  *high_ohm = known ? high : 0.0;
}
