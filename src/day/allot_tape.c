// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/allot_build.h"

/*
  Everything a line runs through by which it may be taped off: socket, pair, tail, box, split
  channel, desk input.
*/

const char*
allot_socket(Arena* arena, const Plant* plant, int line)
{
  const Line* const l = &plant->lines[line];
  return arena_format(arena, "%s%d", plant->boxes[l->box].name, l->socket);
}

static bool
is_taped(const AllotBuild* w, const char* name)
{
  return name && name[0] && fold_is_taped_off(w->fold, name);
}

// What of a line's way is taped off, as it is called; NULL = nothing.
static const char*
taped_on(AllotBuild* w, int line)
{
  const Line* const l = &w->plant->lines[line];
  const Box* const box = &w->plant->boxes[l->box];
  const char* const names[] = {
    allot_socket(w->arena, w->plant, line),
    arena_format(w->arena, "%s %d", box->name, l->socket),
    arena_format(w->arena, "line %d", l->number),
    l->pair ? arena_format(w->arena, "pair %d", l->pair) : "",
    l->split_channel ? arena_format(w->arena, "split %d", l->split_channel) : "",
    arena_format(w->arena, "tail %s", box->name),
    arena_format(w->arena, "box %s", box->name),
    box->tail_tag,
  };
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    w->failed = w->failed || !names[i]; // Also of those behind the first that is taped off
  }
  for (size_t i = 0; i < sizeof(names) / sizeof(names[0]); ++i) {
    if (is_taped(w, names[i])) {
      return names[i];
    }
  }
  for (int d = 0; d < w->plant->n_desks; ++d) {
    const char* const name =
      l->desk_input[d] ? arena_format(w->arena, "%s %d", w->plant->desks[d].name, l->desk_input[d])
                       : "";
    w->failed = w->failed || !name;
    if (is_taped(w, name)) {
      return name;
    }
  }
  return NULL;
}

Status
allot_tape(AllotBuild* w)
{
  const char** const taped = arena_array(w->arena, (size_t)w->plant->n_lines, sizeof(char*));
  if (!taped) {
    return STATUS_NO_MEMORY;
  }
  for (int l = 0;
       w->fold && w->fold->taped_off.n_facts && !w->options->ignores_tape && l < w->plant->n_lines;
       ++l) {
    taped[l] = taped_on(w, l);
  }
  w->out.taped = taped;
  return w->failed ? STATUS_NO_MEMORY : STATUS_OK;
}
