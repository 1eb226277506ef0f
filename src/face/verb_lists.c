// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/difference.h"
#include "face/json.h"
#include "face/list_files.h"
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

static void
say_notes(const Face* face, const Plant* plant)
{
  if (plant->n_assumed > 0) {
    screen_gap(face->screen);
    screen_say(face->screen, PAINT_STRONG, "Assumed, until a list says otherwise:");
    for (int i = 0; i < plant->n_assumed; ++i) {
      screen_item(face->screen, PAINT_PLAIN, "- ", plant->assumed[i]);
    }
  }
  if (plant->n_left_aside > 0) {
    screen_gap(face->screen);
    screen_say(face->screen, PAINT_STRONG, "Left aside:");
    for (int i = 0; i < plant->n_left_aside; ++i) {
      screen_item(face->screen, PAINT_PLAIN, "- ", plant->left_aside[i]);
    }
  }
}

// ---- new ----

Status
verb_new(const Face* face)
{
  const Args* const args = face->args;
  ListFiles files = {0};
  Status st;
  for (int i = 1; i < args->n_words; ++i) {
    TRY(st, list_files_add(face, &files, args->words[i]));
  }
  Plant plant;
  st = lists_build(face->arena, files.lists, files.n, args->n_lines, &plant, face->error);
  if (st != STATUS_OK) {
    list_files_place(face, &files);
    return st;
  }
  TRY(st, show_make(face, args->words[0], &files, args->n_lines));
  if (args->json) {
    json_t* const answer = json_answer(NULL);
    json_object_set_new(answer, "show", json_words(args->words[0]));
    show_make_json(answer, &plant);
    return json_answer_print(answer, args, face->screen->out, face->error);
  }
  list_files_say(face, &files);
  screen_say(face->screen, PAINT_STRONG, "%d lines, %d boxes, %d acts, %d inputs: %s is made.",
             plant.n_lines, plant.n_boxes, plant.n_acts, plant.n_inputs, args->words[0]);
  say_notes(face, &plant);
  return STATUS_OK;
}

// ---- import ----

static bool
ask_yes(const Face* face)
{
  if (!face->screen->is_terminal || isatty(STDIN_FILENO) != 1) {
    return false;
  }
  (void)fputs("Take it? y = yes, anything else = no: ", stdout);
  (void)fflush(stdout);
  char answer[16] = "";
  return fgets(answer, sizeof(answer), stdin) && (answer[0] == 'y' || answer[0] == 'Y');
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
  ListText list;
  Plant plant;  ///< With the newer list
  bool is_same; ///< The show has exactly this list already
  const char* const* changes;
  int n_changes;
} Newer;

static Status
build_newer(const Face* face, const OpenShow* show, ListFiles* files, Newer* newer)
{
  const char* const name = face->args->as ? face->args->as : files->lists[0].name;
  ListText* const lists = arena_array(face->arena, (size_t)show->n_lists + 1, sizeof(*lists));
  if (!lists) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  files->lists[0].name = name;
  newer->list = files->lists[0];
  for (int i = 0; i < show->n_lists; ++i) {
    if (text_same(show->lists[i].name, name)) {
      newer->is_same = show->lists[i].n_bytes == newer->list.n_bytes &&
                       !memcmp(show->lists[i].bytes, newer->list.bytes, newer->list.n_bytes);
    } else {
      lists[n++] = show->lists[i];
    }
  }
  lists[n++] = newer->list;
  const Status st =
    lists_build(face->arena, lists, n, show->n_bare_lines, &newer->plant, face->error);
  if (st != STATUS_OK) {
    list_files_place(face, files);
    return st;
  }
  return difference_plants(face->arena, &show->plant, &newer->plant, &newer->changes,
                           &newer->n_changes);
}

static Status
import_answer(const Face* face, const Newer* newer, bool is_taken)
{
  if (!face->args->json) {
    return STATUS_OK;
  }
  json_t* const answer = json_answer(NULL);
  json_object_set_new(answer, "list", json_words(newer->list.name));
  json_object_set_new(answer, "taken", json_boolean(is_taken));
  json_object_set_new(answer, "same", json_boolean(newer->is_same));
  json_object_set_new(answer, "changes", json_list(newer->changes, newer->n_changes));
  show_make_json(answer, &newer->plant);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

static Status
import_list(const Face* face, OpenShow* show)
{
  ListFiles files = {0};
  Newer newer = {0};
  Status st;
  TRY(st, list_files_add(face, &files, face->args->words[1]));
  if (files.n != 1) {
    return error_set(face->error, STATUS_BAD_INPUT, face->args->words[1], 0, 0,
                     "This folder holds %d lists, and import takes one list: name its file.",
                     files.n);
  }
  TRY(st, build_newer(face, show, &files, &newer));
  const bool speaks = !face->args->json;
  if (speaks) {
    list_files_say(face, &files);
  }
  if (speaks && newer.is_same) {
    screen_say(face->screen, PAINT_PLAIN, "The show has %s already, word for word.",
               newer.list.name);
  } else if (speaks) {
    if (newer.n_changes == 0) {
      screen_say(face->screen, PAINT_STRONG, "Nothing changes on stage with %s.", newer.list.name);
    } else {
      screen_say(face->screen, PAINT_STRONG, "%d changes with %s:", newer.n_changes,
                 newer.list.name);
    }
    for (int i = 0; i < newer.n_changes; ++i) {
      screen_item(face->screen, PAINT_PLAIN, "- ", newer.changes[i]);
    }
    say_notes(face, &newer.plant);
    screen_gap(face->screen);
  }
  if (newer.is_same) {
    return import_answer(face, &newer, false);
  }
  if (!face->args->yes && !(speaks && ask_yes(face))) {
    if (speaks) {
      screen_say(face->screen, PAINT_PLAIN, "Not taken. Give --yes to take it.");
    }
    TRY(st, import_answer(face, &newer, false));
    return STATUS_NO;
  }
  FactBody body;
  bool is_new = false;
  const char* const version =
    arena_format(face->arena, "%d", n_versions(show, newer.list.name) + 1);
  TRY(st, show_list_body(face, &newer.list, version ? version : "", face->args->words[1], &body));
  TRY(st, show_tell(face, show, FACT_LIST_IMPORTED, &body, &is_new, NULL));
  if (speaks) {
    screen_say(face->screen, PAINT_STRONG, "%s is taken, as version %s.", newer.list.name, version);
  }
  return import_answer(face, &newer, true);
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
