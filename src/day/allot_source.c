// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot_build.h"

#include "base/text.h"

/*
  At which box the player of a source is, by what the lists say of where it stands.
*/

int
allot_home_box(const Plant* plant, const Input* input)
{
  int best = -1;
  int best_n = 0;
  if (input->line >= 0) {
    return plant->lines[input->line].box;
  }
  for (int b = 0; b < plant->n_boxes && input->position[0]; ++b) {
    int n = 0;
    for (int i = 0; i < plant->n_inputs; ++i) {
      const Input* const other = &plant->inputs[i];
      n += other->line >= 0 && plant->lines[other->line].box == b &&
           text_same(other->position, input->position);
    }
    if (n > best_n) {
      best = b;
      best_n = n;
    }
  }
  for (int b = 0; best < 0 && b < plant->n_boxes && input->position[0]; ++b) {
    best = text_has(plant->boxes[b].meaning, input->position) ? b : -1;
  }
  return best;
}
