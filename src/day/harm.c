// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/harm.h"

bool
harm_is(const Situation* s, int line)
{
  const Input* const input = plant_input(s->plant, s->act, line);
  return plant_is_harmful(s->plant, input);
}

bool
harm_has_ribbon(const Situation* s, int line)
{
  const Plant* const plant = s->plant;
  const Input* const input = plant_input(plant, s->act, line);
  const int other = input && input->y_line ? plant_line(plant, input->y_line) : -1;
  const Input* const same = other >= 0 ? plant_input(plant, s->act, other) : NULL;
  return input && (plant->kinds[input->kind].is_ribbon ||
                   (input->y_kind && plant->kinds[input->y_kind - 1].is_ribbon) ||
                   (same && plant->kinds[same->kind].is_ribbon));
}

// Whether a source that can be hurt goes through the same stage patch panel: patched one hole off
// it sits in this line's socket, whatever box it is meant for.
static bool
panel_harmful(const Situation* s, int line)
{
  const Plant* const plant = s->plant;
  const Input* const own = plant_input(plant, s->act, line);
  for (int i = 0; own && i < own->n_through; ++i) {
    for (int l = 0; plant->inlines[own->through[i]].sort == INLINE_PANEL && l < plant->n_lines;
         ++l) {
      const Input* const input = l == line ? NULL : plant_input(plant, s->act, l);
      for (int k = 0; input && k < input->n_through; ++k) {
        if (input->through[k] == own->through[i] && harm_is(s, l)) {
          return true;
        }
      }
    }
  }
  return false;
}

int
harm_plug_at(const Situation* s, int line)
{
  return loan_plug_at(s->plant, s->loans, s->n_loans, s->act, line);
}

// Harmful sources whose plug could be what really sits in a line's socket: those of its box. False
// when they are more than a step can name.
static bool
list_harmful(const Situation* s, int line, int unplug[HARM_MAX_UNPLUG], int* n)
{
  const Plant* const plant = s->plant;
  for (int l = 0; l < plant->n_lines; ++l) {
    if (l != line && harm_is(s, l) &&
        plant->lines[harm_plug_at(s, l)].box == plant->lines[line].box) {
      if (*n == HARM_MAX_UNPLUG) {
        return false;
      }
      unplug[(*n)++] = l;
    }
  }
  return true;
}

bool
harm_allows(const Situation* s, int line, Check check, int unplug[HARM_MAX_UNPLUG], int* n_unplug)
{
  *n_unplug = 0;
  switch (check.sort) {
    case CHECK_VOLTS: // Phantom through the source while it is plugged
      return !harm_is(s, line) && !panel_harmful(s, line) &&
             list_harmful(s, line, unplug, n_unplug);
    case CHECK_LAMPS:
      // The tester takes the source's place, so its own plug is out; but the plug out of its
      // socket may hang anywhere, and a plug in the wrong socket would get the phantom instead.
      if (harm_is(s, line)) {
        unplug[(*n_unplug)++] = line;
      }
      return list_harmful(s, line, unplug, n_unplug);
    case CHECK_OHMS: { // A meter's current through whatever the plug in the socket belongs to
      int any[HARM_MAX_UNPLUG];
      int n = 0;
      const Input* const input = plant_input(s->plant, s->act, line);
      const bool fed = input && input->y_line; // Phantom of the other line may stand on it
      return !fed && !harm_is(s, line) && !panel_harmful(s, line) &&
             list_harmful(s, line, any, &n) && n == 0;
    }
    default:
      return true;
  }
}

bool
harm_takes_phantom(const Situation* s, int line, int desk, const Suspect rows[], int n_rows,
                   int unplug[HARM_MAX_UNPLUG], int* n_unplug)
{
  const Plant* const plant = s->plant;
  const Input* const input = plant_input(plant, s->act, line);
  *n_unplug = 0;
  if (!input || plant_phantom_desk(plant, line) != desk || harm_is(s, line) ||
      panel_harmful(s, line) || plant->kinds[input->kind].needs_phantom != ANSWER_YES) {
    return false;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    double here = harm_plug_at(s, l) == line ? 1.0 : 0.0;
    for (int i = 0; i < n_rows; ++i) {
      const SharedState* const state = rows[i].state;
      here += state && shared_touch(state, line)->plugged == l ? rows[i].prob : 0.0;
    }
    if (l != line && here > HARM_PROB && harm_is(s, l)) {
      if (*n_unplug == HARM_MAX_UNPLUG) {
        *n_unplug = 0;
        return false;
      }
      unplug[(*n_unplug)++] = l;
    }
  }
  return true;
}

bool
harm_in_box(const Situation* s, int line, int unplug[HARM_MAX_UNPLUG], int* n_unplug)
{
  const Plant* const plant = s->plant;
  *n_unplug = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    if (harm_is(s, l) && plant->lines[harm_plug_at(s, l)].box == plant->lines[line].box) {
      if (*n_unplug == HARM_MAX_UNPLUG) {
        *n_unplug = 0;
        return false;
      }
      unplug[(*n_unplug)++] = l;
    }
  }
  return true;
}
