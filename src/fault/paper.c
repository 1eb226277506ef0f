// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/paper.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

/*
  Names. Who sits at a desk writes what fits on a strip: "Vox Ld" or "OH L". A name belongs to a
  source when it is the source's; else when its letters come in the source's in order and begin
  alike ("OHL" in "overheadL"). What is another source's very name is that one's, however well it
  would do as a short form of its own: "vocal SR" is no short form of "vocal SRC".
*/

#define WALKED_DBU (-35.0)    // A moving-coil microphone spoken into, as the kinds list has it
#define DESK_INPUT_OHM 2000.0 // As plant_desk_input when nobody said
#define OLD_LIST_PROB 0.30    // These five stand in kinds/misread.csv; here they are for a
#define OLD_READ_PROB 0.03    // plant that was built without it
#define MISSED_PROB 0.05
#define WRONG_PROB 0.0005
#define BANK_PROB 0.45

// ---- Names ----

static bool
is_plain(char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') ||
         (unsigned char)c >= 0x80;
}

static const char*
skip(const char* p)
{
  while (*p && !is_plain(*p)) {
    ++p;
  }
  return p;
}

static bool
same_letter(char a, char b)
{
  const char lower_a = a >= 'A' && a <= 'Z' ? (char)(a - 'A' + 'a') : a;
  const char lower_b = b >= 'A' && b <= 'Z' ? (char)(b - 'A' + 'a') : b;
  return lower_a == lower_b;
}

static bool
is_same_name(const char* a, const char* b)
{
  for (a = skip(a), b = skip(b); *a && *b && same_letter(*a, *b);
       a = skip(a + 1), b = skip(b + 1)) {
  }
  return !*a && !*b;
}

static bool
is_short_for(const char* name, const char* source)
{
  const char* p = skip(name);
  const char* q = skip(source);
  if (!*p || !same_letter(*p, *q)) {
    return false;
  }
  while (*p && *q) {
    p = same_letter(*p, *q) ? skip(p + 1) : p;
    q = skip(q + 1);
  }
  return !*p;
}

// The number in "line 33", "ln33", "33"; 0 when the name ends in none.
static int
number_of(const char* name)
{
  int number = 0;
  const char* p = name + strlen(name);
  while (p > name && p[-1] == ' ') {
    --p;
  }
  while (p > name && p[-1] >= '0' && p[-1] <= '9') {
    --p;
  }
  return text_whole(p, 1, 9999, &number) ? number : 0;
}

static PaperName
bare_name(const Plant* plant, int line, const char* name, int* other)
{
  const int number = number_of(name);
  const int at = number > 0 ? plant_line(plant, number) : -1;
  if (at < 0) {
    return PAPER_NAME_STRANGE;
  }
  *other = at;
  return at == line ? PAPER_NAME_OWN : PAPER_NAME_OTHER;
}

PaperName
paper_name(const Plant* plant, int act, int line, const char* name, int* other)
{
  int none = -1;
  int* const out = other ? other : &none;
  *out = -1;
  if (!*skip(name)) {
    return PAPER_NAME_NONE;
  }
  if (act < 0) {
    return bare_name(plant, line, name, out);
  }
  const Input* const own = plant_input(plant, act, line);
  if (own && is_same_name(name, own->source)) {
    return PAPER_NAME_OWN;
  }
  int n_short = 0;
  int short_for = -1;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act != act || input == own) {
      continue;
    }
    if (is_same_name(name, input->source)) {
      *out = input->line;
      return PAPER_NAME_OTHER;
    }
    if (is_short_for(name, input->source)) {
      ++n_short;
      short_for = input->line;
    }
  }
  if (own && is_short_for(name, own->source)) {
    return PAPER_NAME_OWN;
  }
  *out = n_short == 1 ? short_for : -1;
  return n_short == 1 ? PAPER_NAME_OTHER : PAPER_NAME_STRANGE;
}

// Whether a channel that takes another line is called as the source of `line`.
static bool
is_named(const Plant* plant, int act, int line, const Input* input, const DeskRow* row)
{
  const bool may = act < 0 ? number_of(row->name) == plant->lines[line].number
                           : input && is_short_for(row->name, input->source);
  if (!may && !(input && is_same_name(row->name, input->source))) {
    return false;
  }
  int other = -1;
  const int at = row->line > 0 ? plant_line(plant, row->line) : -1;
  return paper_name(plant, act, at, row->name, &other) == PAPER_NAME_OTHER && other == line;
}

void
paper_line(const Plant* plant, int act, int desk, int line, PaperLine* found)
{
  PaperLine out = {NULL, NULL, NULL, PAPER_NAME_NONE, -1, false};
  const int number = plant->lines[line].number;
  const Input* const input = plant_input(plant, act, line);
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    const DeskRow* const row = &plant->desk_rows[i];
    if (row->act != act || row->desk != desk) {
      continue;
    }
    out.is_listed = out.is_listed || !row->is_read;
    out.read = row->about == number ? row : out.read;
    if (row->line == number) {
      int other = -1;
      const PaperName name = paper_name(plant, act, line, row->name, &other);
      if (!out.takes || (name == PAPER_NAME_OWN && out.name != PAPER_NAME_OWN)) {
        out.takes = row;
        out.name = name;
        out.other = other;
      }
    } else if (!out.named && is_named(plant, act, line, input, row)) {
      out.named = row;
    }
  }
  *found = out;
}

// ---- One thing of a row ----

bool
paper_phantom_gets_there(const Plant* plant, int desk, int line)
{
  return desk == plant_phantom_desk(plant, line) ||
         (plant->split.is_parallel && !plant_is_digital(plant, line));
}

bool
paper_needs_phantom(const Plant* plant, const Input* input)
{
  bool needs = input && plant->kinds[input->kind].needs_phantom == ANSWER_YES;
  for (int i = 0; needs && i < input->n_through; ++i) {
    needs = plant->inlines[input->through[i]].sort != INLINE_SUPPLY;
  }
  return needs;
}

double
paper_level_dbu(const Plant* plant, int act, int line)
{
  const Input* const input = plant_input(plant, act, line);
  if (act < 0) {
    return WALKED_DBU;
  }
  if (!input || plant->kinds[input->kind].is_assumed) {
    return (double)NAN;
  }
  const Kind* const kind = &plant->kinds[input->kind];
  double level_dbu = kind->level_dbu;
  for (int i = 0; i < input->n_through; ++i) {
    const Inline* const thing = &plant->inlines[input->through[i]];
    if (thing->sort == INLINE_PAD) {
      const double across_ohm =
        thing->shunt_ohm * DESK_INPUT_OHM / (thing->shunt_ohm + DESK_INPUT_OHM);
      level_dbu +=
        20.0 * log10(across_ohm / (across_ohm + 2.0 * thing->series_ohm + kind->source_ohm));
    }
  }
  return level_dbu;
}

static PaperWord
word_of(bool agrees)
{
  return agrees ? PAPER_AGREES : PAPER_DISAGREES;
}

static PaperWord
says_phantom(const Plant* plant, int act, int desk, int line, const DeskRow* row)
{
  const Input* const input = plant_input(plant, act, line);
  if (!input || row->gives_phantom == ANSWER_ASK) {
    return PAPER_UNKNOWN;
  }
  const bool on = row->gives_phantom == ANSWER_YES;
  if (!paper_phantom_gets_there(plant, desk, line)) {
    return word_of(!on);
  }
  if (paper_needs_phantom(plant, input)) {
    return word_of(on);
  }
  if (plant_is_harmful(plant, input)) {
    return word_of(!on);
  }
  return on && input->wants_phantom == ANSWER_NO ? PAPER_DISAGREES : PAPER_AGREES;
}

// Whether pad and gain set at a desk count: those of a digital box are its owner's.
static bool
sets_level(const Plant* plant, int desk, int line)
{
  return !plant_is_digital(plant, line) || desk == plant_phantom_desk(plant, line);
}

static PaperWord
says_pad(const Plant* plant, int act, int desk, int line, const DeskRow* row)
{
  const double level_dbu = paper_level_dbu(plant, act, line);
  if (!sets_level(plant, desk, line) || isnan(level_dbu) || isnan(row->pad_db)) {
    return PAPER_UNKNOWN;
  }
  const bool wants = level_dbu > PAPER_PAD_FROM_DBU;
  const bool is_in = row->pad_db > 0.0;
  const double at_db = level_dbu + row->gain_db - row->pad_db; // NaN without a gain
  if (is_in && !wants) {
    return word_of(at_db > -PAPER_PAD_LOW_DB);
  }
  return word_of(is_in || !wants || at_db < 0.0);
}

static PaperWord
says_gain(const Plant* plant, int act, int desk, int line, const DeskRow* row)
{
  const double level_dbu = paper_level_dbu(plant, act, line);
  if (!sets_level(plant, desk, line) || isnan(level_dbu) || isnan(row->gain_db) ||
      says_pad(plant, act, desk, line, row) == PAPER_DISAGREES) {
    return PAPER_UNKNOWN;
  }
  const double pad_db = isnan(row->pad_db) ? 0.0 : row->pad_db;
  return word_of(fabs(level_dbu + row->gain_db - pad_db) <= PAPER_GAIN_OFF_DB);
}

static PaperWord
says_patch(const PaperLine* found)
{
  if (found->takes && found->name == PAPER_NAME_OWN) {
    return PAPER_AGREES;
  }
  if (found->named || (found->takes && found->name == PAPER_NAME_OTHER)) {
    return PAPER_DISAGREES;
  }
  if (found->takes) { // Without a name of the list nobody can tell
    return PAPER_UNKNOWN;
  }
  return found->is_listed || found->read ? PAPER_DISAGREES : PAPER_UNKNOWN;
}

PaperWord
paper_says_of(const Plant* plant, int act, int desk, int line, const PaperLine* found,
              PaperThing thing)
{
  if (plant->lines[line].desk_input[desk] == 0 || (act >= 0 && !plant_input(plant, act, line))) {
    return PAPER_UNKNOWN;
  }
  if (thing == PAPER_PATCH) {
    return says_patch(found);
  }
  if (!found->takes) {
    return PAPER_UNKNOWN;
  }
  switch (thing) {
    case PAPER_PHANTOM:
      return says_phantom(plant, act, desk, line, found->takes);
    case PAPER_PAD:
      return says_pad(plant, act, desk, line, found->takes);
    default:
      return says_gain(plant, act, desk, line, found->takes);
  }
}

PaperWord
paper_says(const Plant* plant, int act, int desk, int line, PaperThing thing)
{
  PaperLine found;
  paper_line(plant, act, desk, line, &found);
  return paper_says_of(plant, act, desk, line, &found, thing);
}

// ---- As a reading ----

static PaperWord
fault_word(const Plant* plant, int act, int desk, int line, FaultMode mode, const PaperLine* found)
{
  const Input* const input = plant_input(plant, act, line);
  const DeskRow* const row = found->takes;
  PaperWord word = PAPER_UNKNOWN;
  switch (mode) {
    case FAULT_WRONG_PATCH:
      return paper_says_of(plant, act, desk, line, found, PAPER_PATCH);
    case FAULT_PHANTOM_OFF:
    case FAULT_PHANTOM_ON:
      word = paper_says_of(plant, act, desk, line, found, PAPER_PHANTOM);
      // The two are of different sources; a harmless one that gets it is neither
      return (mode == FAULT_PHANTOM_OFF) == paper_needs_phantom(plant, input) ? word
                                                                              : PAPER_UNKNOWN;
    case FAULT_PAD_IN:
      word = paper_says_of(plant, act, desk, line, found, PAPER_PAD);
      return word == PAPER_DISAGREES && !(row->pad_db > 0.0) ? PAPER_AGREES : word;
    case FAULT_WRONG_LEVEL: {
      word = paper_says_of(plant, act, desk, line, found, PAPER_GAIN);
      const double level_dbu = paper_level_dbu(plant, act, line);
      return word == PAPER_DISAGREES && level_dbu + row->gain_db > 0.0 ? PAPER_UNKNOWN : word;
    }
    default:
      return PAPER_UNKNOWN;
  }
}

static double
misread(const Plant* plant, const char* check, double fallback_prob)
{
  for (int i = 0; i < plant->n_misreads; ++i) {
    if (text_same(plant->misreads[i].check, check)) {
      return plant->misreads[i].prob;
    }
  }
  return fallback_prob;
}

static double
ratio(const Plant* plant, bool is_read, PaperWord word, double missed, double prob)
{
  if (word == PAPER_UNKNOWN) {
    return 1.0;
  }
  const double old = is_read ? misread(plant, "paper changed since it was read", OLD_READ_PROB)
                             : misread(plant, "paper changed since it was listed", OLD_LIST_PROB);
  const double wrong = misread(plant, "paper entry wrong", WRONG_PROB);
  const double says_fault = (1.0 - old) * (1.0 - missed) + old * prob;
  const double says_none = (1.0 - old) * wrong + old * prob;
  return word == PAPER_DISAGREES ? says_fault / says_none : (1.0 - says_fault) / (1.0 - says_none);
}

double
paper_ratio(const Plant* plant, bool is_read, PaperWord word, double prob)
{
  return ratio(plant, is_read, word, misread(plant, "paper fault passed over", MISSED_PROB), prob);
}

double
paper_fault_ratio(const Plant* plant, int act, int desk, int line, const PaperLine* found,
                  FaultMode mode, double prob)
{
  const DeskRow* const row = found->takes   ? found->takes
                             : found->named ? found->named
                                            : found->read;
  return paper_ratio(plant, row && row->is_read, fault_word(plant, act, desk, line, mode, found),
                     prob);
}

double
paper_many_ratio(const Plant* plant, int act, int desk, int box, int first, int last, double prob)
{
  int n_need = 0;
  int n_said = 0;
  int n_off = 0;
  bool is_read = true;
  for (int l = 0; l < plant->n_lines; ++l) {
    const int input = plant->lines[l].desk_input[desk];
    const bool is_in = box >= 0 ? plant->lines[l].box == box
                                : !plant_is_digital(plant, l) && input >= first && input <= last;
    if (!is_in || !paper_needs_phantom(plant, plant_input(plant, act, l))) {
      continue;
    }
    const DeskRow* const row = plant_desk_row(plant, act, desk, l);
    const bool is_said = row && row->gives_phantom != ANSWER_ASK;
    ++n_need;
    n_said += is_said;
    n_off += is_said && row->gives_phantom == ANSWER_NO;
    is_read = is_read && (!row || row->is_read);
  }
  const PaperWord word = n_said == 0          ? PAPER_UNKNOWN
                         : 2 * n_off > n_need ? PAPER_DISAGREES
                                              : PAPER_AGREES;
  return ratio(plant, is_read, word, misread(plant, "paper bank not shown", BANK_PROB), prob);
}
