// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/show_open.h"

#include "base/text.h"
#include "day/mark.h"
#include "day/readback.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

static Status
no_memory(const Face* face)
{
  return error_set(face->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
}

const char*
show_base_name(const char* path)
{
  const char* const slash = strrchr(path, '/');
  return slash ? slash + 1 : path;
}

Status
show_read_file(const Face* face, const char* path, size_t max_bytes, char** bytes, size_t* n_bytes)
{
  const int file = open(path, O_RDONLY | O_CLOEXEC);
  struct stat about;
  if (file < 0 || fstat(file, &about) != 0 || !S_ISREG(about.st_mode)) {
    const char* const why = file < 0 ? strerror(errno) : "it is no file";
    if (file >= 0) {
      (void)close(file);
    }
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "\"%s\" could not be read: %s.", path,
                     why);
  }
  if ((unsigned long long)about.st_size > max_bytes) {
    (void)close(file);
    return error_set(face->error, STATUS_LIMIT, path, 0, 0,
                     "This file is larger than any list: is it the right one?");
  }
  const size_t room = (size_t)about.st_size;
  char* const read_in = arena_array(face->arena, room + 1, 1);
  size_t n = 0;
  ssize_t got = 1;
  while (read_in && n < room && got > 0) {
    got = read(file, read_in + n, room - n);
    n += got > 0 ? (size_t)got : 0;
    got = got < 0 && errno == EINTR ? 1 : got;
  }
  const int why = errno;
  (void)close(file);
  if (!read_in) {
    return no_memory(face);
  }
  if (got < 0) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "\"%s\" could not be read: %s.", path,
                     strerror(why));
  }
  *bytes = read_in;
  *n_bytes = n;
  return STATUS_OK;
}

Status
show_list_body(const Face* face, const ListText* list, const char* version, const char* file,
               FactBody* body)
{
  size_t n_bytes = 0;
  const char* text = text_from_outside(face->arena, list->bytes, list->n_bytes, &n_bytes, NULL);
  text = text ? arena_text(face->arena, text, n_bytes) : NULL;
  *body = (FactBody){.list = list->name, .version = version, .text = text, .file = file};
  return text ? STATUS_OK : no_memory(face);
}

// ---- Facts to plant ----

static int
by_seq(const void* a_, const void* b_)
{
  const FoldFact* const a = *(const FoldFact* const*)a_;
  const FoldFact* const b = *(const FoldFact* const*)b_;
  return (a->fact.seq > b->fact.seq) - (a->fact.seq < b->fact.seq);
}

// What was said of the kit today, over what its list says. A count without a place is of all
// places.
static Status
overlay_kit(const Face* face, OpenShow* show)
{
  Plant* const plant = &show->plant;
  const size_t n_facts = show->fold.kit.n_facts;
  KitItem* const kit = arena_grow(face->arena, plant->kit, (size_t)plant->n_kit,
                                  (size_t)plant->n_kit + n_facts, sizeof(*kit));
  if (!kit) {
    return no_memory(face);
  }
  int n = plant->n_kit;
  for (size_t i = 0; i < n_facts; ++i) {
    const FactBody* const b = &show->fold.kit.facts[i]->body;
    const int place = b->place ? plant_place(plant, b->place) : -1;
    int left = b->count;
    bool is_known = false;
    for (int k = 0; k < n; ++k) {
      if (text_same(kit[k].name, b->kit) && (place < 0 || kit[k].place == place)) {
        kit[k].count = left;
        left = 0;
        is_known = true;
      }
    }
    if (!is_known) {
      kit[n++] = (KitItem){b->kit, b->count, place >= 0 ? place : 0};
    }
  }
  plant->kit = kit;
  plant->n_kit = n;
  return STATUS_OK;
}

static Status
build(const Face* face, OpenShow* show)
{
  const size_t n = show->fold.lists.n_facts;
  const FoldFact** const sorted = arena_array(face->arena, n, sizeof(*sorted));
  ListText* const lists = arena_array(face->arena, n, sizeof(*lists));
  if (!sorted || !lists) {
    return no_memory(face);
  }
  memcpy(sorted, show->fold.lists.facts, n * sizeof(*sorted));
  qsort(sorted, n, sizeof(*sorted), by_seq);
  int n_lists = 0;
  show->n_bare_lines = 0;
  for (size_t i = 0; i < n; ++i) {
    const FactBody* const b = &sorted[i]->body;
    if (!strcmp(b->list, SHOW_ASSUMED_LINES)) {
      (void)text_whole(b->version, 0, PLANT_MAX_LINES, &show->n_bare_lines);
    } else {
      lists[n_lists++] = (ListText){b->list, b->text, strlen(b->text)};
    }
  }
  show->lists = lists;
  show->n_lists = n_lists;
  Status st;
  TRY(st, lists_build(face->arena, lists, n_lists, show->n_bare_lines, &show->plant, face->error));
  return overlay_kit(face, show);
}

Status
show_refold(const Face* face, OpenShow* show, bool rebuild)
{
  Fact* facts = NULL;
  size_t n_facts = 0;
  Status st;
  TRY(st, store_facts(show->store, face->arena, 0, &facts, &n_facts, face->error));
  TRY(st, fold_make(face->arena, facts, n_facts, &show->fold, face->error));
  memset(show->fold_room, 0, sizeof(show->fold_room));
  show->situation = NULL;
  if (rebuild) {
    TRY(st, build(face, show));
    show->listed_rows = show->plant.desk_rows;
    show->n_listed_rows = show->plant.n_desk_rows;
  }
  return readback_overlay(face->arena, &show->plant, show->listed_rows, show->n_listed_rows,
                          &show->fold, &show->plant.desk_rows, &show->plant.n_desk_rows);
}

// Whether a fact that is behind all others can be taken in by itself.
static bool
stands_alone(const Fact* fact)
{
  return fact->kind != FACT_LIST_IMPORTED && fact->kind != FACT_KIT && fact->kind != FACT_VOIDED;
}

Status
show_follow(const Face* face, OpenShow* show, Arena* held)
{
  const FoldSet all = show->fold.all;
  const int64_t seq = all.n_facts ? all.facts[all.n_facts - 1]->fact.seq : 0;
  Fact* facts = NULL;
  size_t n = 0;
  bool is_read_back = false;
  Status st;
  TRY(st, store_facts(show->store, held, seq, &facts, &n, face->error));
  for (size_t i = 0; i < n; ++i) {
    if (!stands_alone(&facts[i])) {
      return STATUS_NO;
    }
    is_read_back = is_read_back || facts[i].kind == FACT_DESK_READ;
  }
  show->situation = NULL;
  for (size_t i = 0; i < n; ++i) {
    TRY(st, fold_add(held, &show->fold, show->fold_room, &facts[i], face->error));
  }
  return is_read_back
           ? readback_overlay(held, &show->plant, show->listed_rows, show->n_listed_rows,
                              &show->fold, &show->plant.desk_rows, &show->plant.n_desk_rows)
           : STATUS_OK;
}

Status
show_again(const Face* face, OpenShow* show)
{
  const Face holding = {show->held, face->args, face->screen, face->error, face->kept};
  const Status st = show_follow(face, show, show->held);
  return st == STATUS_NO ? show_refold(&holding, show, false) : st;
}

Status
show_open(const Face* face, const char* path, StoreMode mode, OpenShow* show)
{
  OpenShow opened = {.path = path, .act = -1, .act_word = "bare lines"};
  Status st;
  if (face->kept) {
    if (mode != STORE_READ) {
      return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                       "This show is only looked at here.");
    }
    *show = *face->kept;
    show->store = NULL;
    return STATUS_OK;
  }
  TRY(st, store_open(face->arena, path, mode, &opened.store, face->error));
  st = show_refold(face, &opened, true);
  if (st != STATUS_OK) {
    (void)store_close(opened.store, NULL);
    return st;
  }
  *show = opened;
  return STATUS_OK;
}

Status
show_close(const Face* face, OpenShow* show)
{
  Store* const store = show->store;
  show->store = NULL;
  return store_close(store, face->error);
}

// ---- Acts and lines ----

static bool
is_bare(const char* word)
{
  return text_same(word, "bare lines") || text_same(word, "bare") || !word[0];
}

void
show_clock_now(char today[16], char clock[8])
{
  const time_t now = time(NULL);
  struct tm local;
  if (!localtime_r(&now, &local) || !strftime(today, 16, "%Y-%m-%d", &local) ||
      !strftime(clock, 8, "%H:%M", &local)) {
    today[0] = clock[0] = '\0';
  }
}

Status
show_act(const Face* face, OpenShow* show, int line)
{
  const char* const wanted = face->args->act;
  if (!wanted) {
    char today[16];
    char clock[8];
    show_clock_now(today, clock);
    show->act = situation_act(&show->plant, &show->fold, today, clock, line);
  } else if (is_bare(wanted)) {
    show->act = -1;
  } else {
    show->act = plant_act(&show->plant, wanted);
    if (show->act < 0) {
      TextOut names = {.arena = face->arena};
      for (int i = 0; i < show->plant.n_acts; ++i) {
        text_add(&names, "%s, ", show->plant.acts[i].name);
      }
      const char* const all = text_done(&names);
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no act \"%.60s\" in this show; it has: %.250sbare lines.", wanted,
                       all ? all : "");
    }
  }
  show->act_word = show->act < 0 ? "bare lines" : show->plant.acts[show->act].name;
  return STATUS_OK;
}

Status
show_situate(const Face* face, OpenShow* show, int line)
{
  Status st;
  TRY(st, show_act(face, show, line));
  st = situation_new(face->arena, &show->plant, show->act, &show->fold, &show->situation);
  return st == STATUS_NO_MEMORY ? no_memory(face)
         : st != STATUS_OK
           ? error_set(face->error, st, NULL, 0, 0,
                       "The odds of this show could not be worked out: %s", status_text(st))
           : STATUS_OK;
}

Status
show_line(const Face* face, const OpenShow* show, const char* text, int* line)
{
  const Plant* const plant = &show->plant;
  int number = 0;
  int found = -1;
  const char* const bare = text_begins(text, "line ") ? text + 5 : text;
  if (text_whole(bare, 1, FACT_LINE_MAX, &number)) {
    found = plant_line(plant, number);
  } else {
    found = plant_socket(plant, bare);
    for (int any = show->act < 0; found < 0 && any <= 1; ++any) { // This act first, then any
      for (int i = 0; found < 0 && i < plant->n_inputs; ++i) {
        const Input* const input = &plant->inputs[i];
        if ((any || input->act == show->act) && text_same(input->source, text)) {
          found = input->line;
        }
      }
    }
  }
  if (found < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "There is no line \"%.60s\": give its number (%d to %d), its socket (%s%d) or "
                     "its source as the list spells it.",
                     text, plant->n_lines ? plant->lines[0].number : 0,
                     plant->n_lines ? plant->lines[plant->n_lines - 1].number : 0,
                     plant->n_boxes ? plant->boxes[0].name : "A", 1);
  }
  *line = found;
  return STATUS_OK;
}

Status
show_find(const Face* face, OpenShow* show, const char* text, int* line)
{
  Status st;
  // The act in force may decide which line a source is on; the line may decide the act
  TRY(st, show_act(face, show, -1));
  TRY(st, show_line(face, show, text, line));
  return show_situate(face, show, *line);
}

// ---- Telling ----

Status
show_tell(const Face* face, OpenShow* show, FactKind kind, const FactBody* body, bool* is_new,
          const char** id)
{
  char now[FACT_TIME_ROOM];
  fact_time_now(now);
  const Args* const args = face->args;
  Fact fact;
  size_t n_new = 0;
  Status st;
  TRY(st, fact_make(face->arena, kind, body, now, args->from ? args->from : "",
                    args->role ? args->role : "", &fact, face->error));
  if (args->id) {
    fact.id = args->id;
  }
  TRY(st, store_append(show->store, &fact, 1, &n_new, face->error));
  *is_new = n_new == 1;
  if (id) {
    *id = fact.id;
  }
  return STATUS_OK;
}

Status
show_back(const Face* face, const OpenShow* show, const char** ids, int* at)
{
  int back = *at - 1;
  while (back >= 0 && !ids[back]) {
    --back;
  }
  if (back < 0) {
    return STATUS_OK;
  }
  const Args* const args = face->args;
  char now[FACT_TIME_ROOM];
  char made[FACT_ID_ROOM];
  Status st;
  fact_time_now(now);
  TRY(st, store_void(show->store, ids[back], "read again", now, args->from ? args->from : "",
                     args->role ? args->role : "", made, face->error));
  ids[back] = NULL;
  *at = back;
  return STATUS_OK;
}

Status
show_as_moved(const Face* face, const OpenShow* show, const Plant** plant)
{
  const Loan* loans = NULL;
  int n = 0;
  Plant* const laid = arena_array(face->arena, 1, sizeof(*laid));
  Status st =
    laid ? loan_list(face->arena, &show->plant, &show->fold, &loans, &n) : STATUS_NO_MEMORY;
  if (st == STATUS_OK) {
    st = loan_lay(face->arena, &show->plant, loans, n, show->act, laid);
  }
  if (st != STATUS_OK) {
    return no_memory(face);
  }
  *plant = laid;
  return STATUS_OK;
}

const char*
show_mark(const Face* face, const OpenShow* show)
{
  char mark[MARK_ROOM];
  const char* const copy =
    arena_copy(face->arena, mark_act(&show->plant, &show->fold, show->act, mark));
  return copy ? copy : "";
}

// Whoever works from another list than the one in force.
static void
say_held(const Face* face, const OpenShow* show, const char* mark)
{
  MarkHeld held[MARK_PLACES];
  const Loan* loans = NULL;
  int n_loans = 0;
  if (loan_list(face->arena, &show->plant, &show->fold, &loans, &n_loans) != STATUS_OK) {
    return;
  }
  TextOut behind = {.arena = face->arena};
  const int n = mark_held(&show->plant, &show->fold, show->act, loans, n_loans, held);
  for (int i = 0; i < n; ++i) {
    if (held[i].word == MARK_OTHER) {
      const bool number_alone = strspn(held[i].held, "0123456789") == strlen(held[i].held);
      screen_say(face->screen, PAINT_WARN, "The %s holds another list, %s%s, not %s.", held[i].say,
                 number_alone ? "version " : "", held[i].held, mark);
    } else if (held[i].word == MARK_BEHIND) {
      text_add(&behind, "%s%s", behind.n_bytes ? ", " : "", held[i].say);
    }
  }
  const char* const names = text_done(&behind);
  if (names && names[0]) {
    screen_item(face->screen, PAINT_WARN, "Not on the way round yet: ", names);
  }
}

void
show_say_act(const Face* face, const OpenShow* show)
{
  if (show->act < 0) {
    screen_say(face->screen, PAINT_PLAIN, "Act in force: bare lines (no act).");
  } else {
    const Act* const act = &show->plant.acts[show->act];
    const char* const mark = show_mark(face, show);
    screen_say(face->screen, PAINT_PLAIN, "Act in force: %s%s%s%s%s%s%s.", act->name,
               act->start[0] ? ", " : "", act->start, act->end[0] ? " to " : "", act->end,
               mark[0] ? ", list " : "", mark);
    say_held(face, show, mark);
  }
  if (show->situation && show->situation->left_aside && show->situation->left_aside[0]) {
    screen_item(face->screen, PAINT_WARN, "Left aside: ", show->situation->left_aside);
  }
}
