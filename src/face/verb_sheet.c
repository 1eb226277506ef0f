// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/http_lan.h"
#include "face/json.h"
#include "face/paper_file.h"
#include "face/verb.h"
#include "sheet/print.h"

#include <errno.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

/*
  `sheet`: the day's paper.

      sheet SHOW                  which sheets there are
      sheet SHOW WHAT FILE.pdf    one of them, for the act in force
      sheet SHOW WHAT             the same to a pipe (and to the page); --picture N one page as SVG
      sheet SHOW WHAT --about     its pages, and what is to be said of it
      sheet SHOW all DIR          every sheet, for every act

  A sheet on which a letter could not be set is printed, says so, and ends with exit code 1.
*/

enum { PORT = 8017, ADDRESS_MOST = 200 };

typedef struct {
  const PrintSheet* sheet;
  const char* what; ///< "inputs", "inputs-foh" in a folder
  const char* file; ///< NULL = none
  Print print;
} Printed;

typedef struct {
  const Face* face;
  OpenShow* show;
  Order order;
  int* acts;
  int n_acts;
} Job;

// ---- What is asked for ----

static const char*
whose_page(const Face* face, Status* st)
{
  const char* const given = face->args->page_address;
  if (!given) {
    HttpLan lans[HTTP_LAN_MAX];
    const char* const made = http_lan_list(lans) > 0
                               ? arena_format(face->arena, "http://%s:%d", lans[0].address, PORT)
                               : "";
    return made ? made : "";
  }
  if (text_same(given, "none")) {
    return "";
  }
  size_t n = strlen(given);
  while (n > 0 && given[n - 1] == '/') {
    --n;
  }
  const bool is_one = text_begins(given, "http://") || text_begins(given, "https://");
  if (!is_one || n > ADDRESS_MOST || strpbrk(given, " \"<>\\^`{|}#")) {
    *st =
      error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                "--page-address takes an address as \"serve\" says it, http://192.168.1.5:8017, "
                "or none; not \"%.60s\".",
                given);
    return "";
  }
  const char* const kept = arena_text(face->arena, given, n);
  return kept ? kept : "";
}

static const char*
which_date(const Face* face)
{
  char today[16];
  char clock[8];
  if (!face->args->date || !text_same(face->args->date, "today")) {
    return face->args->date ? face->args->date : "";
  }
  show_clock_now(today, clock);
  const char* const kept = arena_copy(face->arena, today);
  return kept ? kept : "";
}

static Status
make_order(const Face* face, OpenShow* show, Order* order)
{
  const Args* const args = face->args;
  Status st = STATUS_OK;
  TRY(st, show_act(face, show, -1));
  // The name of the file is where the show lies, not what it is called: a copy prints the same
  *order =
    (Order){.plant = &show->plant,
            .fold = &show->fold,
            .show = "",
            .act = show->act,
            .desk = ORDER_ALL_DESKS,
            .paper = args->paper && text_same(args->paper, "letter") ? PAPER_LETTER : PAPER_A4,
            .tape_mm = 0,
            .date = which_date(face),
            .owner = args->owner ? args->owner : ""};
  if (args->tape) {
    (void)text_whole(args->tape, 9, 24, &order->tape_mm);
  }
  if (args->from) {
    order->desk = plant_desk(&show->plant, args->from);
    if (order->desk < 0) {
      return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                       "There is no desk \"%.60s\" in this show.", args->from);
    }
  }
  order->address = whose_page(face, &st);
  return st;
}

// ---- Printing ----

static Status
print_one(const Job* job, const PrintSheet* sheet, CanvasSort sort, int page, Print* print)
{
  const PrintHow how = {.sort = sort, .page = page};
  Order order = job->order;
  if (!sheet->takes_tape) {
    order.tape_mm = 0;
  }
  return print_sheet(job->face->arena, sheet, &order, job->acts, job->n_acts, &how, print,
                     job->face->error);
}

static Status
unknown(const Face* face, const char* what)
{
  const PrintSheet* sheets = NULL;
  const int n = print_sheets(&sheets);
  TextOut all = {.arena = face->arena};
  for (int i = 0; i < n; ++i) {
    text_add(&all, "%s%s", i ? ", " : "", sheets[i].word);
  }
  const char* const names = text_done(&all);
  return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                   "There is no sheet \"%.40s\": there are %s, and all for every one.", what,
                   names ? names : "");
}

// ---- What is said of it ----

static json_t*
printed_json(const Printed* printed)
{
  json_t* const one = json_object();
  json_object_set_new(one, "what", json_words(printed->what));
  json_object_set_new(one, "title", json_words(printed->sheet->title));
  json_object_set_new(one, "pages", json_integer(printed->print.n_pages));
  json_object_set_new(one, "complete", json_boolean(!printed->print.lacks_letters));
  json_object_set_new(one, "notes", json_list(printed->print.notes, printed->print.n_notes));
  if (printed->file) {
    json_object_set_new(one, "file", json_words(printed->file));
  }
  return one;
}

static Status
answer_json(const Job* job, const Printed* list, int n, bool is_all)
{
  json_t* const answer = json_answer(is_all && !job->face->args->act ? NULL : job->show->act_word);
  json_object_set_new(answer, "page_address",
                      job->order.address[0] ? json_words(job->order.address) : json_null());
  if (is_all) {
    json_t* const files = json_array();
    for (int i = 0; i < n; ++i) {
      json_array_append_new(files, printed_json(&list[i]));
    }
    json_object_set_new(answer, "files", files);
  } else {
    json_t* const one = printed_json(&list[0]);
    (void)json_object_update(answer, one);
    json_decref(one);
  }
  return json_answer_print(answer, job->face->args, job->face->screen->out, job->face->error);
}

static void
say_notes(const Face* face, const Printed* list, int n)
{
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < list[i].print.n_notes; ++k) {
      bool was_said = false;
      for (int j = 0; j < i && !was_said; ++j) {
        for (int m = 0; m < list[j].print.n_notes; ++m) {
          was_said = was_said || !strcmp(list[j].print.notes[m], list[i].print.notes[k]);
        }
      }
      if (!was_said) {
        screen_item(face->screen, list[i].print.lacks_letters ? PAINT_WARN : PAINT_PLAIN, "- ",
                    list[i].print.notes[k]);
      }
    }
  }
}

static void
say(const Job* job, const Printed* list, int n)
{
  const Screen* const screen = job->face->screen;
  for (int i = 0; i < n; ++i) {
    const char* const text =
      arena_format(job->face->arena, "%s, %d %s%s%s", list[i].sheet->title, list[i].print.n_pages,
                   list[i].print.n_pages == 1 ? "page" : "pages", list[i].file ? ": " : "",
                   list[i].file ? list[i].file : "");
    screen_item(screen, PAINT_PLAIN, "", text ? text : "");
  }
  say_notes(job->face, list, n);
  if (job->order.address[0]) {
    screen_say(screen, PAINT_PLAIN,
               "QR codes open the line at %s; --page-address gives another address, or none.",
               job->order.address);
  } else {
    screen_say(screen, PAINT_PLAIN,
               "No QR codes: --page-address http://... says where the crew page will be.");
  }
}

static bool
is_whole(const Printed* list, int n)
{
  for (int i = 0; i < n; ++i) {
    if (list[i].print.lacks_letters) {
      return false;
    }
  }
  return true;
}

static Status
finish(const Job* job, const Printed* list, int n, bool is_all)
{
  Status st;
  if (job->face->args->json) {
    TRY(st, answer_json(job, list, n, is_all));
  } else {
    say(job, list, n);
  }
  return is_whole(list, n) ? STATUS_OK : STATUS_NO;
}

// ---- One sheet ----

static Status
to_pipe(const Job* job, const PrintSheet* sheet)
{
  const Face* const face = job->face;
  const int page = face->args->picture;
  Print print;
  Status st;
  if (face->screen->is_terminal && page == 0) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "Where to? Give a file, as in \"linewalk sheet %s %s %s.pdf\".",
                     face->args->words[0], sheet->word, sheet->word);
  }
  TRY(st, print_one(job, sheet, page > 0 ? CANVAS_PICTURE : CANVAS_PDF, page, &print));
  if (fwrite(print.bytes, 1, print.n_bytes, face->screen->out) != print.n_bytes) {
    return error_set(face->error, STATUS_IO, NULL, 0, 0, "The sheet could not be written.");
  }
  return STATUS_OK;
}

static Status
print_file(Job* job, const char* what, const char* path)
{
  Printed one = {.sheet = print_find(what), .file = path};
  const Args* const args = job->face->args;
  Status st;
  if (!one.sheet) {
    return unknown(job->face, what);
  }
  one.what = one.sheet->word;
  job->acts[0] = job->show->act;
  job->n_acts = 1;
  if (!path && !args->about) {
    return to_pipe(job, one.sheet);
  }
  TRY(st, print_one(job, one.sheet, path ? CANVAS_PDF : CANVAS_COUNT, 0, &one.print));
  if (path) {
    PaperFile file = {.path = path, .bytes = one.print.bytes, .n_bytes = one.print.n_bytes};
    TRY(st, paper_file_write(job->face, &file, 1));
  }
  return finish(job, &one, 1, false);
}

// ---- All of them ----

static Status
add_print(const Job* job, const PrintSheet* sheet, int desk, const char* dir, Printed* one)
{
  Job of_desk = *job;
  of_desk.order.desk = desk;
  one->sheet = sheet;
  one->what = desk >= 0 ? arena_format(job->face->arena, "%s-%s", sheet->word,
                                       job->order.plant->desks[desk].name)
                        : sheet->word;
  one->file = one->what ? arena_format(job->face->arena, "%s/%s.pdf", dir, one->what) : NULL;
  if (!one->file) {
    return STATUS_NO_MEMORY;
  }
  Status st;
  TRY(st, paper_file_may(job->face, one->file));
  return print_one(&of_desk, sheet, CANVAS_PDF, 0, &one->print);
}

static Status
make_dir(const Face* face, const char* dir, bool* is_new)
{
  struct stat about;
  *is_new = mkdir(dir, 0777) == 0;
  if (*is_new || (errno == EEXIST && stat(dir, &about) == 0 && S_ISDIR(about.st_mode))) {
    return STATUS_OK;
  }
  return error_set(face->error, STATUS_IO, NULL, 0, 0,
                   "\"%s\" is no folder and could not be made one: %s.", dir, strerror(errno));
}

static Status
print_all(Job* job, const char* dir)
{
  const Face* const face = job->face;
  const PrintSheet* sheets = NULL;
  const int n_sheets = print_sheets(&sheets);
  const Plant* const plant = job->order.plant;
  const size_t most = (size_t)(n_sheets * PLANT_DESKS);
  Printed* const list = arena_array(face->arena, most, sizeof(*list));
  PaperFile* const files = arena_array(face->arena, most, sizeof(*files));
  int n = 0;
  bool is_new = false;
  Status st;
  if (!list || !files) {
    return STATUS_NO_MEMORY;
  }
  for (int a = 0; a < plant->n_acts && !face->args->act; ++a) {
    job->acts[job->n_acts++] = a;
  }
  if (job->n_acts == 0) {
    job->acts[job->n_acts++] = job->show->act;
  }
  for (int i = 0; i < n_sheets; ++i) {
    if (sheets[i].scope != PRINT_OF_DESKS) {
      TRY(st, add_print(job, &sheets[i], ORDER_ALL_DESKS, dir, &list[n++]));
    }
    for (int d = 0; d < plant->n_desks && sheets[i].scope == PRINT_OF_DESKS; ++d) {
      if (job->order.desk == ORDER_ALL_DESKS || job->order.desk == d) {
        TRY(st, add_print(job, &sheets[i], d, dir, &list[n++]));
      }
    }
  }
  for (int i = 0; i < n; ++i) {
    files[i] = (PaperFile){list[i].file, list[i].print.bytes, list[i].print.n_bytes, NULL};
  }
  TRY(st, make_dir(face, dir, &is_new));
  st = paper_file_write(face, files, n);
  if (st != STATUS_OK) {
    if (is_new) {
      (void)rmdir(dir); // Only when nothing lies in it
    }
    return st;
  }
  return finish(job, list, n, true);
}

// ---- Which there are ----

static Status
list_sheets(const Face* face, const OpenShow* show)
{
  static const char* const scopes[] = {
    [PRINT_OF_DAY] = "day", [PRINT_OF_ACT] = "act", [PRINT_OF_DESKS] = "desk"};
  const PrintSheet* sheets = NULL;
  const int n = print_sheets(&sheets);
  if (!face->args->json) {
    for (int i = 0; i < n; ++i) {
      char lead[24];
      const char* const text =
        arena_format(face->arena, "%s: %s.", sheets[i].title, sheets[i].does);
      (void)snprintf(lead, sizeof(lead), "%-8s ", sheets[i].word);
      screen_item(face->screen, PAINT_PLAIN, lead, text ? text : "");
    }
    screen_say(face->screen, PAINT_PLAIN,
               "Print one: linewalk sheet %s %s %s.pdf. Every one: "
               "linewalk sheet %s all paper/.",
               face->args->words[0], sheets[1].word, sheets[1].word, face->args->words[0]);
    return STATUS_OK;
  }
  json_t* const answer = json_answer(show->act_word);
  json_t* const list = json_array();
  for (int i = 0; i < n; ++i) {
    json_t* const one = json_object();
    json_object_set_new(one, "what", json_words(sheets[i].word));
    json_object_set_new(one, "title", json_words(sheets[i].title));
    json_object_set_new(one, "does", json_words(sheets[i].does));
    json_object_set_new(one, "of", json_words(scopes[sheets[i].scope]));
    json_object_set_new(one, "tape", json_boolean(sheets[i].takes_tape));
    json_array_append_new(list, one);
  }
  json_object_set_new(answer, "sheets", list);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

static Status
run(const Face* face, OpenShow* show)
{
  const Args* const args = face->args;
  Job job = {.face = face, .show = show};
  Status st;
  TRY(st, make_order(face, show, &job.order));
  job.acts = arena_array(face->arena, (size_t)show->plant.n_acts + 1, sizeof(*job.acts));
  if (!job.acts) {
    return STATUS_NO_MEMORY;
  }
  if (args->n_words == 1) {
    return list_sheets(face, show);
  }
  if (text_same(args->words[1], "all")) {
    return args->n_words == 3 ? print_all(&job, args->words[2])
                              : error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                                          "\"all\" needs a folder, as in \"linewalk sheet %s all "
                                          "paper/\".",
                                          args->words[0]);
  }
  return print_file(&job, args->words[1], args->n_words == 3 ? args->words[2] : NULL);
}

Status
verb_sheet(const Face* face)
{
  OpenShow show;
  Status st;
  TRY(st, show_open(face, face->args->words[0], STORE_READ, &show));
  st = run(face, &show);
  (void)store_close(show.store, NULL);
  return st;
}
