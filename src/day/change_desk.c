// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_desk.h"

#include "base/text.h"
#include "day/readback.h"
#include "fault/paper.h"

#include <stdlib.h>

/*
  day/readback knows what a desk should have for an act as its list stands; here the sockets are
  those of the change, which may not be the listed ones: the channel stays, its input is another.
*/

typedef struct {
  ReadbackRow* rows;
  int n;
} Rows;

static Status
rows_of(Arena* arena, const Plant* plant, int act, int desk, Rows* rows)
{
  *rows = (Rows){NULL, 0};
  return act < 0 ? STATUS_OK
                 : readback_rows(arena, plant, act, desk, READBACK_BY_LINE, &rows->rows, &rows->n);
}

static const ReadbackRow*
row_on_line(const Rows* rows, int line)
{
  for (int i = 0; i < rows->n; ++i) {
    if (rows->rows[i].line == line) {
      return &rows->rows[i];
    }
  }
  return NULL;
}

static const ReadbackRow*
row_on_channel(const Rows* rows, int channel)
{
  for (int i = 0; i < rows->n; ++i) {
    if (rows->rows[i].channel == channel) {
      return &rows->rows[i];
    }
  }
  return NULL;
}

// What a channel takes that the act before did not have: as on bare lines, else its own number.
static int
usual_input(const Plant* plant, int desk, int channel)
{
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    const DeskRow* const row = &plant->desk_rows[i];
    const int line = row->act < 0 && row->desk == desk && row->channel == channel
                       ? plant_line(plant, row->line)
                       : -1;
    if (line >= 0) {
      return plant->lines[line].desk_input[desk];
    }
  }
  return channel;
}

static int
by_channel(const void* a_, const void* b_)
{
  const ChangeChannel* const a = a_;
  const ChangeChannel* const b = b_;
  return a->channel != b->channel ? a->channel - b->channel : a->line - b->line;
}

// The channel that a plug's source has at the desk: its listed line's, wherever it is plugged now.
static int
channel_of(const Plant* plant, const Rows* next, const Plug* plug, int line, int desk)
{
  const int listed = plug->leg == 0 ? plug->next->line : plant_line(plant, plug->next->y_line);
  const ReadbackRow* const row = listed >= 0 ? row_on_line(next, listed) : NULL;
  return row ? row->channel : plant->lines[line].desk_input[desk];
}

static Answer
phantom_of(const Plant* plant, const Input* input, int desk, int line)
{
  return !paper_phantom_gets_there(plant, desk, line) ? ANSWER_NO
         : paper_needs_phantom(plant, input)          ? ANSWER_YES
         : plant_is_harmful(plant, input)             ? ANSWER_NO
                                                      : input->wants_phantom;
}

Status
change_desk_channels(Arena* arena, const Plant* plant, const Plugged* plugged,
                     const Allotment* allotment, int desk, const ChangeChannel** channels, int* n)
{
  Rows before;
  Rows next;
  Status st;
  int n_out = 0;
  ChangeChannel* const out = arena_array(arena, (size_t)plant->n_lines, sizeof(*out));
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, rows_of(arena, plant, plugged->from, desk, &before));
  TRY(st, rows_of(arena, plant, plugged->to, desk, &next));
  for (int l = 0; l < plant->n_lines; ++l) {
    const int at = allotment->target[l];
    if (at < 0 || plant->lines[l].desk_input[desk] == 0) {
      continue;
    }
    const Plug* const plug = &plugged->plugs[at];
    const ReadbackRow* const listed =
      plug->next->line >= 0 ? row_on_line(&next, plug->next->line) : NULL;
    ChangeChannel c = {.channel = channel_of(plant, &next, plug, l, desk),
                       .line = l,
                       .input = plant->lines[l].desk_input[desk],
                       .name = plug->next->source,
                       .phantom = phantom_of(plant, plug->next, desk, l),
                       .pad_in = listed ? listed->pad_in : false,
                       .was = ""};
    const ReadbackRow* const had = row_on_channel(&before, c.channel);
    c.is_new = !had;
    c.moves_input = (had ? had->input : usual_input(plant, desk, c.channel)) != c.input;
    c.renames = !had || !text_same(had->name, c.name);
    c.moves_pad = had ? had->pad_in != c.pad_in : c.pad_in;
    c.moves_phantom = had ? had->phantom != c.phantom : c.phantom == ANSWER_YES;
    c.was = had ? had->name : "";
    if (c.moves_input || c.renames || c.moves_pad || c.moves_phantom) {
      out[n_out++] = c;
    }
  }
  qsort(out, (size_t)n_out, sizeof(*out), by_channel);
  *channels = out;
  *n = n_out;
  return STATUS_OK;
}

Status
change_desk_numbers(Arena* arena, const Plant* plant, const Plugged* plugged,
                    const Allotment* allotment, int desk, bool before, const int** of_line)
{
  Rows rows;
  Status st;
  int* const out = arena_array(arena, (size_t)plant->n_lines, sizeof(int));
  if (!out) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, rows_of(arena, plant, before ? plugged->from : plugged->to, desk, &rows));
  for (int l = 0; l < plant->n_lines; ++l) {
    const int at = before ? -1 : allotment->target[l];
    const ReadbackRow* const row = row_on_line(&rows, l);
    out[l] = at >= 0 && plant->lines[l].desk_input[desk]
               ? channel_of(plant, &rows, &plugged->plugs[at], l, desk)
             : row ? row->channel
                   : plant->lines[l].desk_input[desk];
  }
  *of_line = out;
  return STATUS_OK;
}
