// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/json.h"
#include "face/loan_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `now` and `kit`: which act is in force, and what testers and spares are at hand.
*/

// ---- now ----

static Status
set_act(const Face* face, OpenShow* show, const char* word)
{
  // --act and ACT are read by the same rule
  Args args = *face->args;
  args.act = word;
  const Face asked = {face->arena, &args, face->screen, face->error, face->kept};
  Status st;
  TRY(st, show_act(&asked, show, -1));
  const FactBody body = {.act = show->act < 0 ? "" : show->act_word};
  bool is_new = false;
  return show_tell(face, show, FACT_ACT_IN_FORCE, &body, &is_new, NULL);
}

static Status
answer_now(const Face* face, const OpenShow* show)
{
  const Plant* const plant = &show->plant;
  LoanView loans;
  Status st;
  TRY(st, loan_view(face, show, &loans));
  if (face->args->json) {
    json_t* const answer = json_answer(show->act_word);
    json_t* const acts = json_array();
    for (int i = 0; i < plant->n_acts; ++i) {
      json_t* const act = json_object();
      json_object_set_new(act, "act", json_words(plant->acts[i].name));
      json_object_set_new(act, "start", json_words(plant->acts[i].start));
      json_object_set_new(act, "end", json_words(plant->acts[i].end));
      json_array_append_new(acts, act);
    }
    json_object_set_new(answer, "said", json_boolean(show->fold.act != NULL));
    json_object_set_new(answer, "acts", acts);
    json_object_set_new(answer, "give_back", loan_view_due_json(face, show, &loans));
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  show_say_act(face, show);
  if (!show->fold.act && !face->args->act) {
    screen_say(face->screen, PAINT_PLAIN, "Nobody has said so: it follows from the lists.");
  }
  for (int i = 0; i < plant->n_acts; ++i) {
    const Act* const act = &plant->acts[i];
    const char* const text =
      arena_format(face->arena, "%s%s%s%s%s", act->name, act->start[0] ? ", " : "", act->start,
                   act->end[0] ? " to " : "", act->end);
    screen_item(face->screen, PAINT_PLAIN, "  ", text ? text : "");
  }
  return loan_view_say_due(face, show, &loans);
}

static Status
run_now(const Face* face, OpenShow* show)
{
  Status st;
  if (face->args->n_words == 2) {
    TRY(st, set_act(face, show, face->args->words[1]));
    TRY(st, show_refold(face, show, false));
  }
  TRY(st, show_act(face, show, -1));
  return answer_now(face, show);
}

Status
verb_now(const Face* face)
{
  OpenShow show;
  const StoreMode mode = face->args->n_words == 2 ? STORE_WRITE : STORE_READ;
  Status st;
  TRY(st, show_open(face, face->args->words[0], mode, &show));
  st = run_now(face, &show);
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  return st == STATUS_OK ? closed : st;
}

// ---- kit ----

static Status
answer_kit(const Face* face, const OpenShow* show)
{
  const Plant* const plant = &show->plant;
  if (face->args->json) {
    json_t* const answer = json_answer(NULL);
    json_t* const kit = json_array();
    for (int i = 0; i < plant->n_kit; ++i) {
      const KitItem* const k = &plant->kit[i];
      json_t* const one = json_object();
      json_object_set_new(one, "kit", json_words(k->name));
      json_object_set_new(one, "count", json_integer(k->count));
      json_object_set_new(
        one, "place",
        json_words(k->place >= 0 && k->place < plant->n_places ? plant->places[k->place] : ""));
      json_array_append_new(kit, one);
    }
    json_object_set_new(answer, "kit", kit);
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  if (plant->n_kit == 0) {
    screen_say(face->screen, PAINT_PLAIN,
               "No kit is listed: only ears and what the lists plug are counted on.");
  }
  for (int i = 0; i < plant->n_kit; ++i) {
    const KitItem* const k = &plant->kit[i];
    char lead[16];
    (void)snprintf(lead, sizeof(lead), "%3d  ", k->count);
    const char* const text = arena_format(
      face->arena, "%s%s%s", k->name, k->place >= 0 && k->place < plant->n_places ? ", " : "",
      k->place >= 0 && k->place < plant->n_places ? plant->places[k->place] : "");
    screen_item(face->screen, PAINT_PLAIN, lead, text ? text : k->name);
  }
  return STATUS_OK;
}

static Status
run_kit(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  Status st;
  if (args->n_words == 3) {
    int count = 0;
    bool is_new = false;
    if (!text_whole(args->words[2], 0, FACT_COUNT_MAX, &count)) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "\"%.40s\" is no count: write a whole number from 0 up.", args->words[2]);
    }
    const FactBody body = {.kit = args->words[1], .count = count};
    TRY(st, show_tell(face, show, FACT_KIT, &body, &is_new, NULL));
    TRY(st, show_refold(face, show, true));
  }
  return answer_kit(face, show);
}

Status
verb_kit(const Face* face)
{
  OpenShow show;
  if (face->args->n_words == 2) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "How many? Give ITEM and COUNT, or neither to see the kit.");
  }
  Status st;
  TRY(st, show_open(face, face->args->words[0], face->args->n_words == 3 ? STORE_WRITE : STORE_READ,
                    &show));
  st = run_kit(face, &show);
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  return st == STATUS_OK ? closed : st;
}
