// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot_build.h"

#include "base/text.h"

#include <string.h>
#include <strings.h>

/*
  What the lists say of a source by its name, its kind and where it stands: how hard it is to do
  without, with which other it could share, at which box its player is.
*/

static bool
has_word(const char* text, const char* word)
{
  const size_t n = strlen(word);
  for (const char* at = text; *at; ++at) {
    if (strncasecmp(at, word, n) == 0) {
      return true;
    }
  }
  return false;
}

bool
allot_is_vocal(const Plant* plant, const Input* input)
{
  return has_word(plant->kinds[input->kind].name, "vocal") || has_word(input->source, "vocal") ||
         has_word(input->source, "voice") || has_word(input->source, "vox");
}

// Ends of names of which the second says: the same source again. Usual practice, no source.
static const char* const pairs[][2] = {
  {"L", "R"},      {"in", "out"}, {"top", "bottom"}, {"DI", "mic"},
  {"low", "high"}, {"", "alt"},   {"", "spare"},     {"", "mic"},
};

// Where the last word of a name begins; the length of what is before it.
static const char*
last_word(const char* name, size_t* n_before)
{
  const char* const blank = strrchr(name, ' ');
  *n_before = blank ? (size_t)(blank - name) : 0;
  return blank ? blank + 1 : "";
}

// Whether `second` is the other one of `first`.
static bool
is_pair(const char* first, const char* second)
{
  size_t n_first = 0;
  size_t n_second = 0;
  const char* const end_first = last_word(first, &n_first);
  const char* const end_second = last_word(second, &n_second);
  for (size_t i = 0; n_second > 0 && i < sizeof(pairs) / sizeof(pairs[0]); ++i) {
    const bool bare = !pairs[i][0][0];
    const size_t n = bare ? strlen(first) : n_first;
    if (text_same(end_second, pairs[i][1]) && n == n_second && strncasecmp(first, second, n) == 0 &&
        (bare || text_same(end_first, pairs[i][0]))) {
      return true;
    }
  }
  return false;
}

static const Input*
pair_of(const Plant* plant, const Input* input, bool as_second)
{
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const other = &plant->inputs[i];
    if (other->act == input->act && other != input &&
        (as_second ? is_pair(other->source, input->source)
                   : is_pair(input->source, other->source))) {
      return other;
    }
  }
  return NULL;
}

const Input*
allot_twin(const Plant* plant, const Input* input)
{
  const Input* const first = pair_of(plant, input, true);
  return first ? first : pair_of(plant, input, false);
}

int
allot_weight(const Plant* plant, const Input* input)
{
  return pair_of(plant, input, true) ? 1 : allot_is_vocal(plant, input) ? 3 : 2;
}

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
    best = has_word(plant->boxes[b].meaning, input->position) ? b : -1;
  }
  return best;
}
