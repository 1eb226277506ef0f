// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/list_files.h"

#include "base/text.h"
#include "stage/sheet.h"

#include <dirent.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

static Status
no_memory(const Face* face)
{
  return error_set(face->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
}

// ---- Workbooks ----

// The names of the sheets but one, between commas.
static const char*
other_sheets(Arena* arena, const Workbook* book, int but)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < book->n_sheets; ++i) {
    if (i != but) {
      text_add(&out, "%s\"%.60s\"", out.n_bytes ? ", " : "", book->sheets[i].name);
    }
  }
  return text_done(&out);
}

static Status
named_sheet(const Face* face, const Workbook* book, const char* path, Table* table, int* sheet)
{
  for (int i = 0; i < book->n_sheets; ++i) {
    if (text_same(book->sheets[i].name, face->args->sheet)) {
      *sheet = i;
      return sheet_read(face->arena, book, i, table, face->error);
    }
  }
  const char* const names = other_sheets(face->arena, book, -1);
  return names ? error_set(face->error, STATUS_BAD_INPUT, path, 0, 0,
                           "There is no sheet \"%.60s\" in this workbook; it has: %.250s.",
                           face->args->sheet, names)
               : no_memory(face);
}

// The first sheet that is a list, visible ones first; else the first that holds anything.
static Status
first_list(const Face* face, const Workbook* book, const char* path, Table* table, int* sheet)
{
  Table any = {0};
  int any_sheet = -1;
  for (int hidden = 0; hidden <= 1; ++hidden) {
    for (int i = 0; i < book->n_sheets; ++i) {
      if (book->sheets[i].is_hidden != (hidden == 1)) {
        continue;
      }
      Status st;
      TRY(st, sheet_read(face->arena, book, i, table, face->error));
      if (table->n_rows > 0 && lists_sort(face->arena, table) != LIST_UNKNOWN) {
        *sheet = i;
        return STATUS_OK;
      }
      if (table->n_rows > 0 && any_sheet < 0) {
        any = *table;
        any_sheet = i;
      }
    }
  }
  if (any_sheet < 0) {
    return error_set(face->error, STATUS_BAD_INPUT, path, 0, 0,
                     "No sheet of this workbook holds anything: save it again from where it was "
                     "made.");
  }
  *table = any;
  *sheet = any_sheet;
  return STATUS_OK;
}

static Status
from_workbook(const Face* face, ListText* list, ListSource* source)
{
  Workbook book;
  Table table = {0};
  int sheet = 0;
  Status st;
  TRY(st, sheet_open(face->arena, source->path, list->bytes, list->n_bytes, &book, face->error));
  TRY(st, face->args->sheet ? named_sheet(face, &book, source->path, &table, &sheet)
                            : first_list(face, &book, source->path, &table, &sheet));
  if (table_write(face->arena, &table, &list->bytes, &list->n_bytes) != STATUS_OK) {
    return no_memory(face);
  }
  const char* const dot = strrchr(list->name, '.');
  const int n_stem = dot && dot != list->name ? (int)(dot - list->name) : (int)strlen(list->name);
  list->name = face->args->sheet ? arena_format(face->arena, "%.*s, %s.csv", n_stem, list->name,
                                                book.sheets[sheet].name)
                                 : arena_format(face->arena, "%.*s.csv", n_stem, list->name);
  source->sheet = book.sheets[sheet].name;
  source->others = other_sheets(face->arena, &book, sheet);
  return list->name && source->others ? STATUS_OK : no_memory(face);
}

// ---- Files and folders ----

static Status
make_room(const Face* face, ListFiles* files)
{
  if (files->n < files->room) {
    return STATUS_OK;
  }
  const int room = files->room * 2 + 32;
  ListText* const lists =
    arena_grow(face->arena, files->lists, (size_t)files->n, (size_t)room, sizeof(*lists));
  ListSource* const sources =
    arena_grow(face->arena, files->sources, (size_t)files->n, (size_t)room, sizeof(*sources));
  if (!lists || !sources) {
    return no_memory(face);
  }
  files->lists = lists;
  files->sources = sources;
  files->room = room;
  return STATUS_OK;
}

static Status
add_list(const Face* face, ListFiles* files, const char* path, const char* bytes, size_t n_bytes)
{
  ListText list = {show_base_name(path), bytes, n_bytes};
  ListSource source = {.path = path, .others = ""};
  Status st;
  TRY(st, make_room(face, files));
  if (sheet_is_workbook(list.bytes, list.n_bytes)) {
    TRY(st, from_workbook(face, &list, &source));
  }
  for (int i = 0; i < files->n; ++i) {
    if (text_same(files->lists[i].name, list.name)) {
      return error_set(face->error, STATUS_BAD_INPUT, path, 0, 0,
                       "Two lists are called \"%.80s\": give one of them another file name.",
                       list.name);
    }
  }
  files->lists[files->n] = list;
  files->sources[files->n++] = source;
  return STATUS_OK;
}

static Status
add_file(const Face* face, ListFiles* files, const char* path)
{
  char* bytes = NULL;
  size_t n_bytes = 0;
  Status st;
  TRY(st, show_read_file(face, path, TABLE_MAX_BYTES, &bytes, &n_bytes));
  return add_list(face, files, path, bytes, n_bytes);
}

Status
list_files_add_bytes(const Face* face, ListFiles* files, const char* name, const char* bytes,
                     size_t n_bytes)
{
  return add_list(face, files, name, bytes, n_bytes);
}

// Names that begin with ~$ are what a spreadsheet leaves while a workbook is open in it.
static bool
is_list_name(const char* name)
{
  const char* const dot = strrchr(name, '.');
  return name[0] != '.' && name[0] != '~' && dot &&
         (text_same(dot, ".csv") || text_same(dot, ".tsv") || text_same(dot, ".txt") ||
          text_same(dot, ".xlsx") || text_same(dot, ".xlsm"));
}

static int
by_name(const void* a, const void* b)
{
  return strcmp(*(const char* const*)a, *(const char* const*)b);
}

static Status
folder_names(const Face* face, DIR* folder, const char* path, const char*** names, int* n)
{
  const char* const slash = path[0] && path[strlen(path) - 1] == '/' ? "" : "/";
  int room = 0;
  for (const struct dirent* entry; (entry = readdir(folder));) {
    if (!is_list_name(entry->d_name)) {
      continue;
    }
    if (*n == room) {
      room = room * 2 + 32;
      const char** const more =
        arena_grow(face->arena, *names, (size_t)*n, (size_t)room, sizeof(*more));
      if (!more) {
        return no_memory(face);
      }
      *names = more;
    }
    (*names)[*n] = arena_format(face->arena, "%s%s%s", path, slash, entry->d_name);
    if (!(*names)[*n]) {
      return no_memory(face);
    }
    ++*n;
  }
  return STATUS_OK;
}

static Status
add_folder(const Face* face, ListFiles* files, const char* path)
{
  static const char log_head[] = "seq,id,time,place,role,kind,body";
  DIR* const folder = opendir(path);
  if (!folder) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "\"%s\" could not be read: %s.", path,
                     strerror(errno));
  }
  const char** names = NULL;
  int n = 0;
  Status st = folder_names(face, folder, path, &names, &n);
  (void)closedir(folder);
  if (st != STATUS_OK) {
    return st;
  }
  if (n == 0) {
    return error_set(face->error, STATUS_BAD_INPUT, path, 0, 0,
                     "This folder holds no lists: a list is a file that ends in .csv, .tsv, .txt "
                     "or .xlsx.");
  }
  qsort(names, (size_t)n, sizeof(*names), by_name);
  for (int i = 0; i < n; ++i) {
    TRY(st, add_file(face, files, names[i]));
    const ListText* const last = &files->lists[files->n - 1];
    if (last->n_bytes > sizeof(log_head) && !memcmp(last->bytes, log_head, sizeof(log_head) - 1)) {
      --files->n;
    }
  }
  return STATUS_OK;
}

Status
list_files_add(const Face* face, ListFiles* files, const char* path)
{
  struct stat about;
  return stat(path, &about) == 0 && S_ISDIR(about.st_mode) ? add_folder(face, files, path)
                                                           : add_file(face, files, path);
}

void
list_files_place(const Face* face, const ListFiles* files)
{
  for (int i = 0; i < files->n; ++i) {
    if (!strcmp(face->error->file, files->lists[i].name)) {
      (void)snprintf(face->error->file, sizeof(face->error->file), "%s", files->sources[i].path);
      return;
    }
  }
}

void
list_files_say(const Face* face, const ListFiles* files)
{
  for (int i = 0; i < files->n; ++i) {
    const ListSource* const source = &files->sources[i];
    if (source->sheet && source->others[0]) {
      screen_say(face->screen, PAINT_PLAIN,
                 "%s: Sheet \"%s\" was read. Also in this workbook: %s (--sheet NAME).",
                 source->path, source->sheet, source->others);
    } else if (source->sheet) {
      screen_say(face->screen, PAINT_PLAIN, "%s: Sheet \"%s\" was read.", source->path,
                 source->sheet);
    }
  }
}
