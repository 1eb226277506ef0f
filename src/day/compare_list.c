// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/compare_build.h"

#include "base/text.h"
#include "day/mark.h"
#include "day/words.h"

#include <string.h>

/*
  What needs no desk: an act's list in itself (what its kinds say of phantom, one socket or line
  twice, spares in use), who holds which version of it, and plugs that were told to be elsewhere.
*/

static Status
compare_list_phantom(CompareBuild* c, const Input* input)
{
  const Kind* const kind = &c->plant->kinds[input->kind];
  const bool needs = paper_needs_phantom(c->plant, input) && input->wants_phantom == ANSWER_NO;
  // What must be asked of anyway may be right on the list: only what is known to hurt speaks up
  const bool harms = input->wants_phantom == ANSWER_YES && plant_is_harmful(c->plant, input) &&
                     kind->phantom_harmless != ANSWER_ASK;
  if (!needs && !harms) {
    return STATUS_OK;
  }
  const WordsFill fill = {.source = input->source,
                          .item = kind->meaning[0] ? kind->meaning : kind->name};
  Disagreement found = {COMPARE_PHANTOM, input->act,      -1, false, input->line,
                        harms,           COMPARE_CERTAIN, "", "",    ""};
  return compare_push(c, found, needs ? WORDS_PAPER_LIST_NEEDS : WORDS_PAPER_LIST_HARM,
                      WORDS_PAPER_LIST_DO, &fill);
}

Status
compare_list(CompareBuild* c, int act)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    if (input->act != act) {
      continue;
    }
    Disagreement found = {COMPARE_SOCKET,  act, -1, false, input->line, false,
                          COMPARE_CERTAIN, "",  "", ""};
    WordsFill fill = {.source = input->source};
    TRY(st, compare_list_phantom(c, input));
    if (input->line < 0) {
      TRY(st, compare_push(c, found, WORDS_PAPER_NO_LINE, WORDS_PAPER_NO_LINE_DO, &fill));
      continue;
    }
    const Input* const first = plant_input(plant, act, input->line);
    fill.socket = compare_socket(c, input->line);
    fill.found = first->source;
    if (!fill.socket) {
      return STATUS_NO_MEMORY;
    }
    if (first != input) {
      TRY(st, compare_push(c, found, WORDS_PAPER_TWICE, WORDS_PAPER_TWICE_DO, &fill));
    }
    if (plant->lines[input->line].is_spare) {
      found.what = COMPARE_SPARE;
      TRY(st, compare_push(c, found, WORDS_PAPER_SPARE, WORDS_PAPER_SPARE_DO, &fill));
    }
    if (plant->kinds[input->kind].is_assumed) {
      TRY(st, compare_leave(
                c, arena_format(c->arena,
                                "%s, line %d: nobody has told what a \"%s\" needs and stands.",
                                compare_act(c, act), plant->lines[input->line].number,
                                plant->kinds[input->kind].name)));
    }
  }
  return STATUS_OK;
}

// Two lines on one input of a desk: a slip in the lines list.
Status
compare_inputs(CompareBuild* c)
{
  Status st = STATUS_OK;
  const Plant* const plant = c->plant;
  for (int d = 0; d < plant->n_desks; ++d) {
    for (int l = 0; l < plant->n_lines; ++l) {
      for (int k = 0; k < plant->n_lines; ++k) {
        const int input = plant->lines[l].desk_input[d];
        if (k == l || input == 0 || plant->lines[k].desk_input[d] != input) {
          continue;
        }
        const WordsFill fill = {.desk = plant->desks[d].say,
                                .input = compare_whole(c, input),
                                .way = compare_whole(c, plant->lines[k].number)};
        if (!fill.input || !fill.way) {
          return STATUS_NO_MEMORY;
        }
        TRY(st, compare_push(c,
                             (Disagreement){COMPARE_SOCKET, -1, d, false, l, false, COMPARE_CERTAIN,
                                            "", "", ""},
                             WORDS_PAPER_INPUT_TWICE, WORDS_PAPER_INPUT_TWICE_DO, &fill));
      }
    }
  }
  return STATUS_OK;
}

// ---- What was told today ----

Status
compare_versions(CompareBuild* c, int act)
{
  Status st = STATUS_OK;
  MarkHeld held[MARK_PLACES];
  char mark[MARK_ROOM];
  const int n = mark_held(c->listed, c->fold, act, c->loans, c->n_loans, held);
  TextOut out = {.arena = c->arena};
  int n_not = 0;
  (void)mark_act(c->listed, c->fold, act, mark);
  for (int i = 0; i < n; ++i) {
    if (held[i].word == MARK_NOT_SAID) {
      text_add(&out, "%s%s", n_not > 0 ? ", " : "", held[i].say);
      ++n_not;
    } else if (held[i].word == MARK_OTHER) {
      const bool number_alone = strspn(held[i].held, "0123456789") == strlen(held[i].held);
      const WordsFill fill = {
        .desk = held[i].say,
        .found = arena_format(c->arena, "%s%s", number_alone ? "version " : "", held[i].held),
        .first = mark};
      if (!fill.found) {
        return STATUS_NO_MEMORY;
      }
      TRY(st, compare_push(c,
                           (Disagreement){COMPARE_VERSION, act, held[i].desk, held[i].desk < 0, -1,
                                          false, COMPARE_CERTAIN, "", "", ""},
                           WORDS_PAPER_VERSION, WORDS_PAPER_VERSION_DO, &fill));
    }
  }
  const char* const names = text_done(&out);
  return n_not == 0 ? STATUS_OK
                    : compare_leave(c, names ? arena_format(c->arena,
                                                            "%s: which list is held, not said: %s.",
                                                            compare_act(c, act), names)
                                             : NULL);
}

Status
compare_plugs(CompareBuild* c, int act)
{
  for (size_t i = 0; c->fold && i < c->fold->plugged.n_facts; ++i) {
    const FactBody* const b = &c->fold->plugged.facts[i]->body;
    const int line = b->place ? plant_socket(c->plant, b->place) : -1;
    const int told = b->act && b->act[0] ? plant_act(c->plant, b->act) : -1;
    const Input* const input = line >= 0 ? plant_input(c->plant, act, line) : NULL;
    if (told != act || line < 0 || !b->what || !b->what[0] ||
        (input && text_same(input->source, b->what))) {
      continue;
    }
    const WordsFill fill = {.found = b->what,
                            .socket = compare_socket(c, line),
                            .source = input ? input->source : "nothing"};
    Status st = STATUS_OK;
    if (!fill.socket) {
      return STATUS_NO_MEMORY;
    }
    TRY(st, compare_push(c,
                         (Disagreement){COMPARE_SOCKET, act, -1, false, line, false,
                                        COMPARE_CERTAIN, "", "", ""},
                         WORDS_PAPER_PLUGGED, WORDS_PAPER_PLUGGED_DO, &fill));
  }
  return STATUS_OK;
}
