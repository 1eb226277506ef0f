// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/need.h"

#include "base/text.h"

#include <ctype.h>
#include <string.h>
#include <strings.h>

/*
  Names are cut into words of letters and digits. A word of a row stands for every word of a name
  that begins with it ("vocal" for "vocals"), so a list need not know each way to write it; the ends
  of a pair are the whole last word, for "mic" beside "DI" is not "microscope".
*/

// The next word; false at the end.
static bool
next_word(const char** at, const char** word, size_t* n)
{
  while (**at && !isalnum((unsigned char)**at)) {
    ++*at;
  }
  *word = *at;
  while (isalnum((unsigned char)**at)) {
    ++*at;
  }
  *n = (size_t)(*at - *word);
  return *n > 0;
}

static bool
has_word(const char* name, const char* word, size_t n)
{
  const char* one = NULL;
  size_t n_one = 0;
  while (next_word(&name, &one, &n_one)) {
    if (n_one >= n && strncasecmp(one, word, n) == 0) {
      return true;
    }
  }
  return false;
}

// Every word of a row, one at least.
static bool
fits(const Needed* row, const char* name)
{
  const char* at = row->plays;
  const char* word = NULL;
  size_t n = 0;
  bool any = false;
  while (next_word(&at, &word, &n)) {
    any = true;
    if (!has_word(name, word, n)) {
      return false;
    }
  }
  return any && !row->beside[0];
}

// ---- Pairs ----

// The last word of a name, and how long the name is before the blank in front of it.
static const char*
last_word(const char* name, size_t* n_before)
{
  const char* const blank = strrchr(name, ' ');
  *n_before = blank ? (size_t)(blank - name) : 0;
  return blank ? blank + 1 : "";
}

static bool
is_pair(const Needed* row, const char* first, const char* second)
{
  size_t n_first = 0;
  size_t n_second = 0;
  const char* const end_first = last_word(first, &n_first);
  const char* const end_second = last_word(second, &n_second);
  const bool bare = row->beside[0] == '-';
  const size_t n = bare ? strlen(first) : n_first;
  return row->beside[0] && n_second > 0 && n == n_second && text_same(end_second, row->plays) &&
         strncasecmp(first, second, n) == 0 && (bare || text_same(end_first, row->beside));
}

// The other one of a pair in which a source is the second (or the first), and the row that says so.
static const Input*
pair_of(const Plant* plant, const Input* input, bool as_second, const Needed** row)
{
  for (int r = 0; r < plant->n_needed; ++r) {
    for (int i = 0; plant->needed[r].beside[0] && i < plant->n_inputs; ++i) {
      const Input* const other = &plant->inputs[i];
      if (other->act == input->act && other != input &&
          (as_second ? is_pair(&plant->needed[r], other->source, input->source)
                     : is_pair(&plant->needed[r], input->source, other->source))) {
        *row = &plant->needed[r];
        return other;
      }
    }
  }
  return NULL;
}

const Input*
need_twin(const Plant* plant, const Input* input)
{
  const Needed* row = NULL;
  const Input* const first = pair_of(plant, input, true, &row);
  return first ? first : pair_of(plant, input, false, &row);
}

const Input*
need_sharer(const Plant* plant, const Input* input)
{
  const Needed* row = NULL;
  const Input* other = pair_of(plant, input, true, &row);
  other = other ? other : pair_of(plant, input, false, &row);
  const bool is_played =
    other && !plant->kinds[input->kind].is_microphone && !plant->kinds[other->kind].is_microphone;
  return is_played && row->shares ? other : NULL;
}

bool
need_is_second(const Plant* plant, const Input* input)
{
  const Needed* row = NULL;
  return pair_of(plant, input, true, &row) != NULL;
}

// ---- How much ----

// The greatest row that fits a name, 0 = none does.
static int
greatest(const Plant* plant, const char* name)
{
  int best = 0;
  for (int r = 0; r < plant->n_needed; ++r) {
    if (plant->needed[r].needed > best && fits(&plant->needed[r], name)) {
      best = plant->needed[r].needed;
    }
  }
  return best;
}

bool
need_is_voice(const Plant* plant, const Input* input)
{
  bool voice = false;
  for (int r = 0; r < plant->n_needed && !voice; ++r) {
    const Needed* const row = &plant->needed[r];
    voice =
      row->is_voice && (fits(row, input->source) || fits(row, plant->kinds[input->kind].name));
  }
  return voice;
}

int
need_of(const Plant* plant, const Input* input)
{
  const Needed* pair = NULL;
  if (input->is_must) {
    return NEEDED_MUST;
  }
  for (int r = 0; r < plant->n_needed; ++r) {
    if (!plant->needed[r].beside[0] && text_same(plant->needed[r].plays, input->source)) {
      return plant->needed[r].needed;
    }
  }
  if (pair_of(plant, input, true, &pair)) {
    return pair->needed;
  }
  const int by_name = greatest(plant, input->source);
  const int by_kind = by_name ? 0 : greatest(plant, plant->kinds[input->kind].name);
  return by_name ? by_name : by_kind ? by_kind : NEEDED_USUAL;
}
