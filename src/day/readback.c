// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/readback.h"

#include "base/text.h"
#include "fault/paper.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  What should be follows from the act's list and its kinds alone (fault/paper.h), never from what
  the desk had before: else a wrong desk would be read back as right.
*/

#define USUAL_PAD_DB 20 // What "in" stands for (usual practice)

// ---- What should be ----

static const DeskRow*
read_row(const Plant* plant, int act, int desk, int line)
{
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    const DeskRow* const row = &plant->desk_rows[i];
    if (row->act == act && row->desk == desk && row->about == plant->lines[line].number) {
      return row;
    }
  }
  return NULL;
}

// The channel a desk is known to have for a line: by its patch, or by its name.
static int
known_channel(const Plant* plant, int act, int desk, int line)
{
  PaperLine found;
  paper_line(plant, act, desk, line, &found);
  const DeskRow* const row = found.named                                     ? found.named
                             : found.takes && found.name != PAPER_NAME_OTHER ? found.takes
                                                                             : NULL;
  return row ? row->channel : 0;
}

static Answer
should_give(const Plant* plant, int act, int desk, int line)
{
  const Input* const input = plant_input(plant, act, line);
  if (!input || !paper_phantom_gets_there(plant, desk, line)) {
    return ANSWER_NO;
  }
  return paper_needs_phantom(plant, input) ? ANSWER_YES
         : plant_is_harmful(plant, input)  ? ANSWER_NO
                                           : input->wants_phantom;
}

static int
by_channel(const void* a_, const void* b_)
{
  const ReadbackRow* const a = a_;
  const ReadbackRow* const b = b_;
  return a->channel != b->channel ? a->channel - b->channel : a->line - b->line;
}

Status
readback_rows(Arena* arena, const Plant* plant, int act, int desk, ReadbackOrder order,
              ReadbackRow** rows, int* n)
{
  ReadbackRow* const all = arena_array(arena, (size_t)plant->n_lines, sizeof(*all));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  int n_all = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    const Line* const line = &plant->lines[l];
    const Input* const input = plant_input(plant, act, l);
    if (line->desk_input[desk] == 0 || (act >= 0 && !input)) {
      continue;
    }
    const int known = known_channel(plant, act, desk, l);
    const bool by_list = order == READBACK_BY_LIST && input;
    const char* const name = input ? input->source : arena_format(arena, "line %d", line->number);
    if (!name) {
      return STATUS_NO_MEMORY;
    }
    all[n_all++] = (ReadbackRow){
      l,
      known > 0 ? known
      : by_list ? input->channel
                : line->desk_input[desk],
      name,
      line->desk_input[desk],
      should_give(plant, act, desk, l),
      paper_level_dbu(plant, act, l) > PAPER_PAD_FROM_DBU,
      read_row(plant, act, desk, l),
    };
  }
  qsort(all, (size_t)n_all, sizeof(*all), by_channel);
  *rows = all;
  *n = n_all;
  return STATUS_OK;
}

// ---- What differs ----

typedef struct {
  int channel, input; ///< Input 0: takes nothing
  bool is_there;
  const char* name;
  Answer phantom, muted;
  int pad_db;
} Read;

static Status
refuse(Error* error, const char* part)
{
  return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "\"%.40s\" is not understood: write what differs, as in 48 on, 48 off, pad in, "
                   "pad out, pad 10, open, in 4, ch 12, name snare btm, or none; set several apart "
                   "by commas.",
                   part);
}

// What follows a word in a part, NULL when the part does not begin with it as a word.
static const char*
after(const char* part, const char* word)
{
  const size_t n = strlen(word);
  if (!text_begins(part, word) || (part[n] != '\0' && part[n] != ' ')) {
    return NULL;
  }
  const char* p = part + n;
  while (*p == ' ') {
    ++p;
  }
  return p;
}

static const char*
after_any(const char* part, const char* const* words)
{
  const char* rest = NULL;
  for (int i = 0; !rest && words[i]; ++i) {
    rest = after(part, words[i]);
  }
  return rest;
}

// "on", "off", or nothing: the other way round.
static bool
turn(const char* rest, Answer should, Answer* is)
{
  if (!rest[0]) {
    *is = should == ANSWER_YES ? ANSWER_NO : ANSWER_YES;
    return true;
  }
  const bool on = text_same(rest, "on") || text_same(rest, "yes") || text_same(rest, "in");
  const bool off = text_same(rest, "off") || text_same(rest, "no") || text_same(rest, "out");
  *is = on ? ANSWER_YES : ANSWER_NO;
  return on || off;
}

static bool
take_pad(const char* rest, bool should_in, Read* read)
{
  Answer is_in = ANSWER_NO;
  if (text_whole(rest, 0, 60, &read->pad_db)) {
    return true;
  }
  if (!turn(rest, should_in ? ANSWER_YES : ANSWER_NO, &is_in)) {
    return false;
  }
  read->pad_db = is_in == ANSWER_YES ? USUAL_PAD_DB : 0;
  return true;
}

static bool
take_part(const ReadbackRow* row, const char* part, Read* read)
{
  static const char* const phantom[] = {"48", "48v", "phantom", "p48", NULL};
  static const char* const muted[] = {"mute", "muted", NULL};
  static const char* const input[] = {"in", "input", "patch", NULL};
  static const char* const channel[] = {"ch", "channel", NULL};
  static const char* const none[] = {"none", "not there", "gone", NULL};
  const char* rest = NULL;
  if ((rest = after_any(part, phantom)) != NULL) {
    return turn(rest, row->phantom, &read->phantom);
  }
  if ((rest = after(part, "pad")) != NULL) {
    return take_pad(rest, row->pad_in, read);
  }
  if ((rest = after_any(part, muted)) != NULL) {
    return turn(rest, ANSWER_YES, &read->muted);
  }
  if ((rest = after_any(part, input)) != NULL) {
    return text_same(rest, "none") ? (read->input = 0, true)
                                   : text_whole(rest, 1, 9999, &read->input);
  }
  if ((rest = after_any(part, channel)) != NULL) {
    return text_whole(rest, 1, 9999, &read->channel);
  }
  if ((rest = after(part, "name")) != NULL) {
    read->name = rest;
    return rest[0] != '\0';
  }
  if (text_same(part, "open") || text_same(part, "unmuted")) {
    read->muted = ANSWER_NO;
    return true;
  }
  rest = after_any(part, none);
  read->is_there = read->is_there && !rest;
  return rest && !rest[0];
}

static Status
take_parts(Arena* arena, const ReadbackRow* row, const char* differs, Read* read, Error* error)
{
  for (const char* at = differs; *at;) {
    const size_t n = strcspn(at, ",;");
    const char* from = at;
    size_t length = n;
    while (length > 0 && *from == ' ') {
      ++from;
      --length;
    }
    while (length > 0 && from[length - 1] == ' ') {
      --length;
    }
    const char* const part = arena_text(arena, from, length);
    if (!part) {
      return STATUS_NO_MEMORY;
    }
    if (part[0] && !take_part(row, part, read)) {
      return refuse(error, part);
    }
    at += n;
    at += *at ? 1 : 0;
  }
  return STATUS_OK;
}

static const char*
answer_word(Answer answer)
{
  return answer == ANSWER_YES ? "yes" : answer == ANSWER_NO ? "no" : "";
}

// The number of the line on a physical input of a desk; 0 = none is.
static int
line_on(const Plant* plant, int desk, int input)
{
  for (int l = 0; input > 0 && l < plant->n_lines; ++l) {
    if (plant->lines[l].desk_input[desk] == input) {
      return plant->lines[l].number;
    }
  }
  return 0;
}

Status
readback_body(Arena* arena, const Plant* plant, int act, int desk, const ReadbackRow* row,
              const char* differs, FactBody* body, Error* error)
{
  Read read = {row->channel,
               row->input,
               true,
               row->name,
               row->phantom,
               ANSWER_YES,
               row->pad_in ? USUAL_PAD_DB : 0};
  Status st = STATUS_OK;
  TRY(st, take_parts(arena, row, differs ? differs : "", &read, error));
  const int takes = line_on(plant, desk, read.input);
  if (read.is_there && read.input > 0 && takes == 0) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "No line of the lists is on input %d of the %s.", read.input,
                     plant->desks[desk].say);
  }
  FactBody out = {.desk = plant->desks[desk].name,
                  .line = plant->lines[row->line].number,
                  .act = act >= 0 ? plant->acts[act].name : NULL,
                  .channel = read.channel,
                  .patch = "none"};
  if (read.is_there) {
    out.name = read.name;
    out.phantom = answer_word(read.phantom);
    out.muted = answer_word(read.muted);
    out.pad = arena_format(arena, "%d", read.pad_db);
    out.patch = takes > 0 ? arena_format(arena, "%d", takes) : "none";
  }
  if (!out.patch || (read.is_there && !out.pad)) {
    return STATUS_NO_MEMORY;
  }
  *body = out;
  return STATUS_OK;
}

// ---- Over the lists ----

static Answer
answer_of(const char* word)
{
  return !word || !word[0] ? ANSWER_ASK : text_same(word, "yes") ? ANSWER_YES : ANSWER_NO;
}

static bool
row_of(const Plant* plant, const FactBody* body, DeskRow* row)
{
  DeskRow out = {.act = -1, .name = body->name ? body->name : "", .is_read = true};
  double pad_db = 0.0;
  out.desk = plant_desk(plant, body->desk);
  out.act = body->act && body->act[0] ? plant_act(plant, body->act) : -1;
  out.about = body->line;
  out.channel = body->channel;
  out.gives_phantom = answer_of(body->phantom);
  out.is_muted = answer_of(body->muted);
  out.pad_db = body->pad && text_number(body->pad, 0.0, 60.0, &pad_db) ? pad_db : (double)NAN;
  out.gain_db = (double)NAN;
  if (body->patch && !text_same(body->patch, "none")) {
    (void)text_whole(body->patch, 1, FACT_LINE_MAX, &out.line);
  }
  *row = out;
  return out.desk >= 0 && plant_line(plant, body->line) >= 0 &&
         !(body->act && body->act[0] && out.act < 0);
}

// Whether a read-back speaks of the channel of a list's row, or found its line elsewhere.
static bool
is_read_over(const DeskRow* base, const DeskRow* rows, int n)
{
  for (int i = 0; i < n; ++i) {
    const DeskRow* const read = &rows[i];
    if (read->act == base->act && read->desk == base->desk &&
        ((read->channel > 0 && read->channel == base->channel) ||
         (read->line > 0 && read->about == base->line && read->line == base->line))) {
      return true;
    }
  }
  return false;
}

// Gain is not read back: what the list has for the same channel on the same line stays.
static void
keep_gain(const DeskRow* base, DeskRow* rows, int n)
{
  for (int i = 0; i < n; ++i) {
    DeskRow* const read = &rows[i];
    if (read->act == base->act && read->desk == base->desk && read->channel == base->channel &&
        read->line == base->line) {
      read->gain_db = base->gain_db;
    }
  }
}

// Whether the same channel was read again later, as that of another line: a way round was taken or
// given back since. A channel takes one input, so the older row says nothing any more.
static bool
is_read_again(const Plant* plant, const FoldSet* desks, const FoldFact* fact, const DeskRow* row)
{
  for (size_t i = 0; i < desks->n_facts; ++i) {
    DeskRow later;
    if (desks->facts[i]->fact.seq > fact->fact.seq &&
        row_of(plant, &desks->facts[i]->body, &later) && later.act == row->act &&
        later.desk == row->desk && later.channel == row->channel && row->channel > 0) {
      return true;
    }
  }
  return false;
}

Status
readback_overlay(Arena* arena, const Plant* plant, const DeskRow* base, int n_base,
                 const Fold* fold, const DeskRow** rows, int* n)
{
  const size_t n_facts = fold->desks.n_facts;
  if (n_facts == 0) {
    *rows = base;
    *n = n_base;
    return STATUS_OK;
  }
  DeskRow* const all = arena_array(arena, (size_t)n_base + n_facts, sizeof(*all));
  if (!all) {
    return STATUS_NO_MEMORY;
  }
  int n_read = 0;
  for (size_t i = 0; i < n_facts; ++i) {
    const FoldFact* const fact = fold->desks.facts[i];
    n_read += row_of(plant, &fact->body, &all[n_read]) &&
              !is_read_again(plant, &fold->desks, fact, &all[n_read]);
  }
  int n_all = n_read;
  for (int i = 0; i < n_base; ++i) {
    keep_gain(&base[i], all, n_read);
    if (!is_read_over(&base[i], all, n_read)) {
      all[n_all++] = base[i];
    }
  }
  *rows = all;
  *n = n_all;
  return STATUS_OK;
}
