// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/change_build.h"

#include "base/text.h"

#include <string.h>

/*
  Who works a change: the hands of the crew list who are near the stage and sit at no desk, and a
  person at each desk. The hands own sockets by the plan as it was when nothing was told and nothing
  was taped off; with that the list of one person stays theirs while others tick.
*/

static bool
is_of_desk(const Plant* plant, int place)
{
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->desks[d].place == place) {
      return true;
    }
  }
  return false;
}

// The hands of the stage: by what the crew list calls them, else whoever belongs to no desk.
Status
change_who_hands(ChangeBuild* b, const Crew* crew)
{
  const Plant* const plant = b->plant;
  const int most = b->options->n_hands > 0 ? b->options->n_hands : HANDS_MAX;
  for (int pass = 0; pass < 2 && b->n_hands == 0; ++pass) {
    for (int i = 0; i < crew->n_people && b->n_hands < most && b->n_hands < HANDS_MAX; ++i) {
      const NextPerson* const who = &crew->people[i];
      const bool named = text_has(who->role, "hand") || text_has(who->role, "patch");
      if (pass == 0 ? named : !is_of_desk(plant, who->home) && !text_has(who->role, "manager")) {
        b->home[b->n_hands] = who->home;
        b->people[b->n_hands++] = (ChangePerson){.role = who->role, .desk = -1};
      }
    }
  }
  while (b->n_hands < (b->options->n_hands > 0 ? b->options->n_hands : 1) &&
         b->n_hands < HANDS_MAX) {
    b->home[b->n_hands] = plant->n_boxes > 0 ? plant->boxes[0].place : 0;
    b->people[b->n_hands++] = (ChangePerson){.role = "whoever is on stage", .desk = -1};
  }
  for (int i = 0; i < b->n_hands; ++i) {
    int nth = 1;
    int n_same = 1;
    for (int k = 0; k < b->n_hands; ++k) {
      const bool same = k != i && text_same(b->people[k].role, b->people[i].role);
      nth += same && k < i;
      n_same += same;
    }
    b->people[i].name =
      n_same == 1 ? b->people[i].role : arena_format(b->arena, "%s %d", b->people[i].role, nth);
    if (!b->people[i].name) {
      return STATUS_NO_MEMORY;
    }
  }
  b->out.n_people = b->n_hands;
  return STATUS_OK;
}

Status
change_who_desks(ChangeBuild* b, const Crew* crew)
{
  const Plant* const plant = b->plant;
  for (int d = 0; d < plant->n_desks; ++d) {
    const char* role = NULL;
    for (int i = 0; i < crew->n_people && !role; ++i) {
      role = crew->people[i].home == plant->desks[d].place ? crew->people[i].role : NULL;
    }
    role = role ? role : arena_format(b->arena, "whoever is at the %s", plant->desks[d].say);
    if (!role) {
      return STATUS_NO_MEMORY;
    }
    b->people[b->out.n_people++] =
      (ChangePerson){.role = role, .name = role, .place = plant->desks[d].place, .desk = d};
  }
  return STATUS_OK;
}

// Whose sockets are whose: the plan before anything was told.
Status
change_who_owners(ChangeBuild* b)
{
  const Plant* const plant = b->plant;
  const AllotOptions allot = {.is_free = b->options->is_free, .ignores_tape = true};
  Plugged first;
  Allotment sockets;
  const size_t n_bytes = (size_t)plant->n_lines * sizeof(int);
  HandStep* steps = NULL;
  HandPlan plan;
  int n = 0;
  int n_units = 0;
  Status st;
  TRY(st, plugged_now(b->arena, plant, b->fold, b->out.from, b->out.to, &first));
  TRY(st, allot_sockets(b->arena, plant, b->fold,
                        &(Plugged){.from = first.from,
                                   .to = first.to,
                                   .plugs = first.plugs,
                                   .n_plugs = first.n_plugs,
                                   .before = first.before,
                                   .now = first.before,
                                   .before_at = first.before_at,
                                   .now_at = first.before_at},
                        &allot, &sockets));
  // Nothing told, nothing taped off: that is also how things stand
  b->is_fresh =
    memcmp(first.before, first.now, n_bytes) == 0 && (!b->fold || b->fold->taped_off.n_facts == 0);
  b->out.plugged = first;
  b->out.allotment = sockets;
  TRY(st, hands_steps(b->arena, plant, first.before, first.before_at, sockets.target,
                      sockets.target_at, NULL, &steps, &n, &n_units));
  TRY(st, hands_plan(b->arena, plant, b->home, b->n_hands, NULL, steps, n, n_units, &plan));
  b->owner = arena_array(b->arena, (size_t)plant->n_lines, sizeof(int));
  if (!b->owner) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0; l < plant->n_lines; ++l) {
    b->owner[l] = -1;
  }
  for (int i = 0; i < n; ++i) {
    b->owner[steps[i].line] = steps[i].hand;
  }
  return STATUS_OK;
}

// Whoever told of a socket stands at its box.
void
change_who_places(const ChangeBuild* b, const Plugged* plugged, int start[])
{
  int64_t newest[HANDS_MAX] = {0};
  memcpy(start, b->home, sizeof(b->home));
  for (int l = 0; l < b->plant->n_lines; ++l) {
    const FoldFact* const f = plugged->told[l];
    const int hand = f ? b->owner[l] : -1;
    if (hand >= 0 && f->fact.seq >= newest[hand]) {
      newest[hand] = f->fact.seq;
      start[hand] = b->plant->boxes[b->plant->lines[l].box].place;
    }
  }
}
