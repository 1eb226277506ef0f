// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/difference.h"
#include "face/json.h"
#include "face/lists_talk.h"
#include "face/show_make.h"
#include "face/verb.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/*
  Lists in, show out, and back: new, import, export, backup.

  Nothing is ever half-made. `new` first builds the plant, then writes the show under another name
  beside its place and gives it its name in one step; `import` builds the plant with the newer list
  before it is taken; `export` writes each file under another name and renames it.
*/

// ---- What was made, said ----

static bool
is_among(const char* const* sentences, int n, const char* sentence)
{
  for (int i = 0; i < n; ++i) {
    if (strcmp(sentences[i], sentence) == 0) {
      return true;
    }
  }
  return false;
}

// Sentences under a head line, but for those that were said before.
static void
say_sentences(const Face* face, const char* head, const char* const* sentences, int n,
              const char* const* before, int n_before)
{
  bool has_head = false;
  for (int i = 0; i < n; ++i) {
    if (is_among(before, n_before, sentences[i])) {
      continue;
    }
    if (!has_head) {
      screen_gap(face->screen);
      screen_say(face->screen, PAINT_STRONG, "%s", head);
      has_head = true;
    }
    screen_item(face->screen, PAINT_PLAIN, "- ", sentences[i]);
  }
}

// What had to be assumed and what was left aside; with the plant before, only what is new.
static void
say_notes(const Face* face, const Plant* plant, const Plant* before)
{
  static const Plant none = {.n_lines = 0};
  before = before ? before : &none;
  say_sentences(face, "Assumed, until a list says otherwise:", plant->assumed, plant->n_assumed,
                before->assumed, before->n_assumed);
  say_sentences(face, "Left aside:", plant->left_aside, plant->n_left_aside, before->left_aside,
                before->n_left_aside);
}

// ---- new ----

// Whether a list is talked over when a show is made: input lists, and the only list there is.
static bool
wants_talk(const Face* face, const ListFiles* files, int i)
{
  Table table;
  const ListText* const list = &files->lists[i];
  if (table_read(face->arena, list->name, list->bytes, list->n_bytes, &table, NULL) != STATUS_OK ||
      table.n_rows == 0) {
    return false; // What is wrong with it is said when the lists are built
  }
  const ListSort sort = lists_sort(face->arena, &table);
  return sort == LIST_INPUTS ||
         (sort == LIST_UNKNOWN && (files->n == 1 || text_begins(list->name, "input")));
}

static Status
talk_new(const Face* face, const ListFiles* files, Talk* talk)
{
  Status st;
  TRY(st, talk_init(face, files->lists, files->n, files->n == 1 ? 0 : -1, talk));
  for (int i = 0; i < files->n; ++i) {
    ListLook look;
    if (wants_talk(face, files, i)) {
      TRY(st, talk_over(face, talk, &files->sources[i], i, TALK_IF_ODD, &look));
    }
  }
  return STATUS_OK;
}

// The lists a show is made of: what people answered is one of them, and came from no file.
static Status
with_answers(const Face* face, const Talk* talk, ListFiles* files)
{
  ListSource* const sources =
    arena_grow(face->arena, files->sources, (size_t)files->n, (size_t)talk->n, sizeof(*sources));
  if (!sources) {
    return STATUS_NO_MEMORY;
  }
  *files = (ListFiles){talk->lists, sources, talk->n, talk->n};
  return STATUS_OK;
}

Status
verb_new(const Face* face)
{
  const Args* const args = face->args;
  ListFiles files = {0};
  Plant plant;
  Talk talk;
  Status st;
  for (int i = 1; i < args->n_words; ++i) {
    TRY(st, list_files_add(face, &files, args->words[i]));
  }
  if (!args->json) {
    list_files_say(face, &files);
  }
  st = talk_new(face, &files, &talk);
  st = st == STATUS_OK
         ? lists_build(face->arena, talk.lists, talk.n, args->n_lines, &plant, face->error)
         : st;
  if (st != STATUS_OK) {
    list_files_place(face, &files);
    return st;
  }
  TRY(st, with_answers(face, &talk, &files));
  TRY(st, show_make(face, args->words[0], &files, args->n_lines));
  if (args->json) {
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "show", json_words(args->words[0]));
    show_make_json(answer, &plant);
    return json_answer_print(answer, args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_STRONG, "%d lines, %d boxes, %d acts, %d inputs: %s is made.",
             plant.n_lines, plant.n_boxes, plant.n_acts, plant.n_inputs, args->words[0]);
  say_notes(face, &plant, NULL);
  return STATUS_OK;
}

// ---- import ----

static bool
ask_yes(const Face* face, Talk* talk)
{
  if (!talk->is_asking) {
    return false;
  }
  screen_say(face->screen, PAINT_STRONG, "Take it? y = yes, any other key = no.");
  int key = KEY_LATER;
  while (key == KEY_LATER) {
    key = keys_next(&talk->keys, face->screen, 0.0);
  }
  return key == 'y';
}

static int
n_versions(const OpenShow* show, const char* name)
{
  int n = 0;
  for (size_t i = 0; i < show->fold.all.n_facts; ++i) {
    const FoldFact* const f = show->fold.all.facts[i];
    n += f->fact.kind == FACT_LIST_IMPORTED && text_same(f->body.list, name);
  }
  return n;
}

typedef struct {
  Talk talk;
  int at; ///< The newer list, among the lists of the talk
  ListLook look;
  Plant plant;  ///< With the newer list
  bool is_same; ///< The show has exactly this list already
  const char* const* changes;
  int n_changes;
} Newer;

// The lists of the show with the newer one last.
static Status
begin_newer(const Face* face, const OpenShow* show, ListFiles* files, Newer* newer)
{
  const char* const name = face->args->as ? face->args->as : files->lists[0].name;
  ListText* const lists = arena_array(face->arena, (size_t)show->n_lists + 1, sizeof(*lists));
  if (!lists) {
    return STATUS_NO_MEMORY;
  }
  ListText* const list = &files->lists[0];
  list->name = name;
  Table table;
  if (text_same(name, LISTS_MAPPING) &&
      (table_read(face->arena, name, list->bytes, list->n_bytes, &table, NULL) != STATUS_OK ||
       lists_sort(face->arena, &table) != LIST_MAPPING)) {
    return error_set(face->error, STATUS_BAD_INPUT, files->sources[0].path, 0, 0,
                     "The name " LISTS_MAPPING " is kept for answers: give the list another with "
                     "--as.");
  }
  size_t n_bytes = 0;
  const char* const bytes =
    text_from_outside(face->arena, list->bytes, list->n_bytes, &n_bytes, NULL);
  if (!bytes) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  for (int i = 0; i < show->n_lists; ++i) {
    if (text_same(show->lists[i].name, name)) {
      newer->is_same =
        show->lists[i].n_bytes == n_bytes && !memcmp(show->lists[i].bytes, bytes, n_bytes);
    } else {
      lists[n++] = show->lists[i];
    }
  }
  newer->at = n;
  lists[n++] = *list;
  return talk_init(face, lists, n, newer->at, &newer->talk);
}

static Status
build_newer(const Face* face, const OpenShow* show, Newer* newer)
{
  Status st;
  TRY(st, lists_build(face->arena, newer->talk.lists, newer->talk.n, show->n_bare_lines,
                      &newer->plant, face->error));
  return difference_plants(face->arena, &show->plant, &newer->plant, &newer->changes,
                           &newer->n_changes);
}

// `plant` is the one that counts now.
static Status
import_answer(const Face* face, const Newer* newer, const Plant* plant, bool is_taken)
{
  if (!face->args->json) {
    return STATUS_OK;
  }
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "list", json_words(newer->talk.lists[newer->at].name));
  json_object_set_new(answer, "taken", json_boolean(is_taken));
  json_object_set_new(answer, "same", json_boolean(newer->is_same));
  json_object_set_new(answer, "changes", json_list(newer->changes, newer->n_changes));
  show_make_json(answer, plant);
  talk_json(answer, &newer->look);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

static void
say_newer(const Face* face, const OpenShow* show, const Newer* newer)
{
  const char* const name = newer->talk.lists[newer->at].name;
  if (newer->is_same) {
    screen_say(face->screen, PAINT_PLAIN, "The show has %s already, word for word.", name);
  }
  if (newer->n_changes == 0 && !newer->is_same) {
    screen_say(face->screen, PAINT_STRONG, "Nothing changes on stage with %s.", name);
  } else if (newer->n_changes > 0) {
    screen_say(face->screen, PAINT_STRONG, "%d changes with %s:", newer->n_changes, name);
  }
  for (int i = 0; i < newer->n_changes; ++i) {
    screen_item(face->screen, PAINT_PLAIN, "- ", newer->changes[i]);
  }
  say_notes(face, &newer->plant, &show->plant);
  screen_gap(face->screen);
}

// The list as the next version of its name, and the answers before it: both or neither.
static Status
take_newer(const Face* face, OpenShow* show, const Newer* newer, const char** version)
{
  char now[FACT_TIME_ROOM];
  Fact facts[2];
  size_t n = 0;
  Status st;
  fact_time_now(now);
  for (int i = 0; i < newer->talk.n; ++i) {
    const ListText* const list = &newer->talk.lists[i];
    const bool is_answers = newer->talk.has_answers && text_same(list->name, LISTS_MAPPING);
    if (is_answers && i != newer->at) {
      const char* const count = arena_format(face->arena, "%d", n_versions(show, list->name) + 1);
      FactBody body;
      TRY(st, show_list_body(face, list, count ? count : "", NULL, &body));
      TRY(st,
          fact_make(face->arena, FACT_LIST_IMPORTED, &body, now, "", "", &facts[n++], face->error));
    }
  }
  if (!newer->is_same) {
    const ListText* const list = &newer->talk.lists[newer->at];
    *version = arena_format(face->arena, "%d", n_versions(show, list->name) + 1);
    FactBody body;
    TRY(st, show_list_body(face, list, *version ? *version : "", face->args->words[1], &body));
    TRY(st,
        fact_make(face->arena, FACT_LIST_IMPORTED, &body, now, "", "", &facts[n++], face->error));
  }
  return store_append(show->store, facts, n, NULL, face->error);
}

// Look at it and ask; a list that cannot be taken yet is answered for in JSON too.
static Status
talk_import(const Face* face, const OpenShow* show, const ListFiles* files, Newer* newer)
{
  Status st =
    talk_over(face, &newer->talk, &files->sources[0], newer->at, TALK_ALWAYS, &newer->look);
  if (st == STATUS_BAD_INPUT && newer->look.n_questions > 0) {
    (void)import_answer(face, newer, &show->plant, false);
    return st;
  }
  st = st == STATUS_OK ? build_newer(face, show, newer) : st;
  if (st != STATUS_OK) {
    list_files_place(face, files);
  }
  return st;
}

static Status
import_list(const Face* face, OpenShow* show)
{
  ListFiles files = {0};
  Newer newer = {.look = {.n_questions = 0}};
  Status st;
  TRY(st, list_files_add(face, &files, face->args->words[1]));
  if (files.n != 1) {
    return error_set(face->error, STATUS_BAD_INPUT, face->args->words[1], 0, 0,
                     "This folder holds %d lists, and import takes one list: name its file.",
                     files.n);
  }
  const bool speaks = !face->args->json;
  if (speaks) {
    list_files_say(face, &files);
  }
  TRY(st, begin_newer(face, show, &files, &newer));
  TRY(st, talk_import(face, show, &files, &newer));
  if (speaks) {
    say_newer(face, show, &newer);
  }
  if (newer.is_same && !newer.talk.has_answers) {
    return import_answer(face, &newer, &show->plant, false);
  }
  if (!face->args->yes && !ask_yes(face, &newer.talk)) {
    if (speaks) {
      screen_say(face->screen, PAINT_PLAIN,
                 newer.talk.is_asking ? "Not taken, and nothing is kept."
                                      : "Not taken. Give --yes to take it.");
    }
    TRY(st, import_answer(face, &newer, &newer.plant, false));
    return STATUS_NO;
  }
  const char* version = NULL;
  TRY(st, take_newer(face, show, &newer, &version));
  if (speaks && version) {
    screen_say(face->screen, PAINT_STRONG, "%s is taken, as version %s.",
               newer.talk.lists[newer.at].name, version);
  }
  if (speaks && newer.talk.has_answers) {
    screen_say(face->screen, PAINT_PLAIN, "%d %s kept in " LISTS_MAPPING " for next time.",
               newer.talk.n_answers, newer.talk.n_answers == 1 ? "answer is" : "answers are");
  }
  return import_answer(face, &newer, &newer.plant, true);
}

Status
verb_import(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_WRITE, &show));
  st = import_list(face, &show);
  const Status closed = store_close(show.store, st == STATUS_OK ? face->error : NULL);
  return st == STATUS_OK ? closed : st;
}

// ---- export ----

// A name that stays inside the folder, whatever the show file says.
static const char*
safe_name(Arena* arena, const char* name)
{
  char* const safe = arena_copy(arena, name);
  for (char* c = safe; c && *c; ++c) {
    if (*c == '/' || (unsigned char)*c < 0x20 || (c == safe && *c == '.')) {
      *c = '_';
    }
  }
  return safe;
}

typedef struct {
  const OpenShow* show;
  const ListText* list; ///< NULL = facts
  StoreExport format;
} Piece;

static Status
write_piece(const Face* face, const Piece* piece, const char* folder, const char* name)
{
  const char* const path = name ? arena_format(face->arena, "%s/%s", folder, name) : NULL;
  const char* const part = path ? arena_format(face->arena, "%s.part", path) : NULL;
  if (!part) {
    return STATUS_NO_MEMORY;
  }
  FILE* const out = fopen(part, "wb");
  if (!out) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "\"%s\" could not be written: %s.", path,
                     strerror(errno));
  }
  Status st = STATUS_OK;
  if (piece->list) {
    const bool good =
      fwrite(piece->list->bytes, 1, piece->list->n_bytes, out) == piece->list->n_bytes;
    st = good ? STATUS_OK : STATUS_IO;
  } else {
    st = store_export(piece->show->store, piece->format, out, face->error);
  }
  const bool is_kept = fflush(out) == 0 && fsync(fileno(out)) == 0;
  const int why = errno;
  if (fclose(out) != 0 || !is_kept || st != STATUS_OK || rename(part, path) != 0) {
    (void)unlink(part);
    st = st != STATUS_OK ? st : why == ENOSPC ? STATUS_FULL : STATUS_IO;
    return face->error->text[0]
             ? st
             : error_set(face->error, st, NULL, 0, 0, "\"%s\" could not be written: %s", path,
                         status_text(st));
  }
  return STATUS_OK;
}

static Status
export_folder(const Face* face, const char* path)
{
  if (mkdir(path, 0777) == 0) {
    return STATUS_OK;
  }
  const int why = errno;
  DIR* const folder = why == EEXIST ? opendir(path) : NULL;
  if (!folder) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "\"%s\" could not be made: %s.", path,
                     strerror(why));
  }
  int n = 0;
  for (const struct dirent* entry; (entry = readdir(folder));) {
    n += entry->d_name[0] != '.';
  }
  (void)closedir(folder);
  return n == 0 || face->args->force
           ? STATUS_OK
           : error_set(face->error, STATUS_EXISTS, NULL, 0, 0,
                       "\"%s\" is not empty: give --force to write over what is there.", path);
}

static Status
export_show(const Face* face, OpenShow* show)
{
  const char* const folder = face->args->words[1];
  const char** const names = arena_array(face->arena, (size_t)show->n_lists + 2, sizeof(*names));
  if (!names) {
    return STATUS_NO_MEMORY;
  }
  Status st;
  TRY(st, export_folder(face, folder));
  int n = 0;
  names[n++] = "facts.csv";
  TRY(st, write_piece(face, &(Piece){show, NULL, STORE_CSV}, folder, names[0]));
  names[n++] = "facts.jsonl";
  TRY(st, write_piece(face, &(Piece){show, NULL, STORE_JSON_LINES}, folder, names[1]));
  for (int i = 0; i < show->n_lists; ++i) {
    const char* name = safe_name(face->arena, show->lists[i].name);
    if (name && (!strcmp(name, names[0]) || !strcmp(name, names[1]))) {
      name = arena_format(face->arena, "list-%s", name); // A list called as the log is
    }
    names[n++] = name;
    TRY(st, write_piece(face, &(Piece){show, &show->lists[i], STORE_CSV}, folder, name));
  }
  if (face->args->json) {
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "folder", json_words(folder));
    json_object_set_new(answer, "facts", json_integer((json_int_t)show->fold.all.n_facts));
    json_object_set_new(answer, "files", json_list(names, n));
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%d files in %s: %zu facts as CSV and JSON, and %d lists.",
             n, folder, show->fold.all.n_facts, show->n_lists);
  return STATUS_OK;
}

Status
verb_export(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = export_show(face, &show);
  (void)store_close(show.store, NULL);
  return st;
}

// ---- backup ----

Status
verb_backup(const Face* face)
{
  const char* const path = face->args->words[1];
  Store* store = NULL;
  size_t n_facts = 0;
  Status st;
  TRY(st, store_open(face->arena, face->args->words[0], STORE_READ, &store, face->error));
  st = store_backup(store, path, face->args->force, face->error);
  if (st == STATUS_OK) {
    st = store_count(store, &n_facts, NULL, face->error);
  }
  (void)store_close(store, NULL);
  if (st != STATUS_OK) {
    return st;
  }
  if (face->args->json) {
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "backup", json_words(path));
    json_object_set_new(answer, "facts", json_integer((json_int_t)n_facts));
    return json_answer_print(answer, face->args, face->screen->out, face->error);
  }
  screen_say(face->screen, PAINT_PLAIN, "%zu facts copied and checked: %s.", n_facts, path);
  return STATUS_OK;
}
