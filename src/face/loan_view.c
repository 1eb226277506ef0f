// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/loan_view.h"

#include "face/line_view.h"

Status
loan_view(const Face* face, const OpenShow* show, LoanView* view)
{
  return loan_list(face->arena, &show->plant, &show->fold, &view->loans, &view->n);
}

bool
loan_view_is_now(const OpenShow* show, const Loan* loan)
{
  return loan->sort != WAY_NONE && (loan->act < 0 || loan->act == show->act);
}

// ---- JSON ----

static json_t*
desks_json(const OpenShow* show, const Loan* loan, const char* const says[PLANT_DESKS])
{
  json_t* const desks = json_array();
  for (int d = 0; d < show->plant.n_desks; ++d) {
    if (loan->concerns[d]) {
      json_t* const one = json_object();
      json_object_set_new(one, "desk", json_words(show->plant.desks[d].name));
      json_object_set_new(one, "do", json_words(says[d]));
      json_object_set_new(one, "done", json_boolean(loan->followed[d]));
      json_array_append_new(desks, one);
    }
  }
  return desks;
}

static json_t*
back_json(const OpenShow* show, const Loan* loan, const LoanBack* back)
{
  const Plant* const plant = &show->plant;
  json_t* const object = json_object();
  json_t* const desks = json_array();
  json_object_set_new(object, "say", json_words(back->say));
  json_object_set_new(object, "caution", json_words(back->caution));
  json_object_set_new(object, "at",
                      json_words(back->desk >= 0    ? plant->desks[back->desk].name
                                 : back->place >= 0 ? plant->places[back->place]
                                                    : ""));
  // The act that must not find it so; none after the last, and none for what holds all day
  const int next = loan->act < 0 ? plant->n_acts : loan->act + 1;
  json_object_set_new(object, "before",
                      next < plant->n_acts ? json_words(plant->acts[next].name) : json_null());
  for (int d = 0; d < plant->n_desks; ++d) {
    if (back->desks[d][0]) {
      json_t* const one = json_object();
      json_object_set_new(one, "desk", json_words(plant->desks[d].name));
      json_object_set_new(one, "do", json_words(back->desks[d]));
      json_array_append_new(desks, one);
    }
  }
  json_object_set_new(object, "desks", desks);
  return object;
}

json_t*
loan_view_json(const Face* face, const OpenShow* show, const Loan* loan)
{
  const Plant* const plant = &show->plant;
  const Input* const input = plant_input(plant, loan->act, loan->line);
  LoanBack back;
  const char* says[PLANT_DESKS];
  const char* const step = loan_step(face->arena, loan);
  const char* const say = loan_say(face->arena, plant, loan);
  for (int d = 0; d < PLANT_DESKS; ++d) {
    says[d] = d < plant->n_desks ? loan_desk_say(face->arena, plant, loan, d) : "";
    if (!says[d]) {
      return NULL;
    }
  }
  if (!step || !say || loan_back(face->arena, plant, loan, &back) != STATUS_OK) {
    return NULL;
  }
  json_t* const object = json_object();
  json_object_set_new(object, "line", json_integer(plant->lines[loan->line].number));
  json_object_set_new(object, "source", json_words(input ? input->source : ""));
  json_object_set_new(object, "act",
                      json_words(loan->act < 0 ? "bare lines" : plant->acts[loan->act].name));
  json_object_set_new(object, "way", json_words(loan->way));
  json_object_set_new(object, "sort", json_words(loan_sort_word(loan->sort)));
  json_object_set_new(object, "runs_on", json_integer(plant->lines[loan->to].number));
  json_object_set_new(object, "say", json_words(say));
  json_object_set_new(object, "step", json_words(step));
  json_object_set_new(object, "fact", json_words(loan->id));
  json_object_set_new(object, "desks", desks_json(show, loan, says));
  json_object_set_new(object, "back", back_json(show, loan, &back));
  return object;
}

json_t*
loan_view_moved_json(const Face* face, const OpenShow* show, const LoanView* view, int line)
{
  json_t* const list = json_array();
  for (int i = 0; i < view->n; ++i) {
    const Loan* const loan = &view->loans[i];
    // One that was given back stays as long as a desk has not put it back
    const bool is_open = loan->sort == WAY_NONE && (loan->act < 0 || loan->act == show->act);
    if ((line < 0 || loan->line == line) && (is_open || loan_view_is_now(show, loan))) {
      json_t* const one = loan_view_json(face, show, loan);
      if (!one) {
        json_decref(list);
        return NULL;
      }
      json_array_append_new(list, one);
    }
  }
  return list;
}

json_t*
loan_view_due_json(const Face* face, const OpenShow* show, const LoanView* view)
{
  json_t* const list = json_array();
  for (int i = 0; i < view->n; ++i) {
    if (loan_is_due(&view->loans[i], show->act)) {
      json_t* const one = loan_view_json(face, show, &view->loans[i]);
      if (!one) {
        json_decref(list);
        return NULL;
      }
      json_array_append_new(list, one);
    }
  }
  return list;
}

// ---- Words ----

Status
loan_view_say(const Face* face, const OpenShow* show, const Loan* loan)
{
  const Plant* const plant = &show->plant;
  const bool is_back = loan->sort == WAY_NONE;
  const char* const say = loan_say(face->arena, plant, loan);
  if (!say) {
    return STATUS_NO_MEMORY;
  }
  screen_say(face->screen, is_back ? PAINT_PLAIN : PAINT_WARN, "%s%s", say,
             is_back ? " no more: it was given back." : ".");
  for (int d = 0; d < plant->n_desks; ++d) {
    const char* const todo = loan_desk_say(face->arena, plant, loan, d);
    const char* const text =
      !todo ? NULL
            : arena_format(face->arena, "%s: %s%s", plant->desks[d].say,
                           loan->followed[d] ? "has done it. " : "has not said so yet. ", todo);
    if (!text) {
      return STATUS_NO_MEMORY;
    }
    if (loan->concerns[d]) {
      screen_item(face->screen, loan->followed[d] ? PAINT_GOOD : PAINT_PLAIN, "   ", text);
    }
  }
  return STATUS_OK;
}

static Status
say_back(const Face* face, const OpenShow* show, const Loan* loan)
{
  const Plant* const plant = &show->plant;
  LoanBack back;
  Status st;
  TRY(st, loan_back(face->arena, plant, loan, &back));
  const char* const say = loan_say(face->arena, plant, loan);
  if (!say) {
    return STATUS_NO_MEMORY;
  }
  screen_item(face->screen, PAINT_WARN, "- ", say);
  if (back.caution[0]) {
    screen_item(face->screen, PAINT_BAD, "  First: ", back.caution);
  }
  screen_item(face->screen, PAINT_PLAIN, "  ", back.say);
  return STATUS_OK;
}

Status
loan_view_say_due(const Face* face, const OpenShow* show, const LoanView* view)
{
  bool any = false;
  for (int i = 0; i < view->n; ++i) {
    if (!loan_is_due(&view->loans[i], show->act)) {
      continue;
    }
    if (!any) {
      screen_say(face->screen, PAINT_STRONG,
                 "Still to be given back before %s (done: around LINE --back):", show->act_word);
    }
    any = true;
    Status st;
    TRY(st, say_back(face, show, &view->loans[i]));
  }
  return STATUS_OK;
}
