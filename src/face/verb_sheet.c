// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/http_lan.h"
#include "face/json.h"
#include "face/paper_file.h"
#include "face/verb.h"
#include "sheet/fonts.h"
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

enum { PORT = 8017, ADDRESS_MOST = 200, LACK_ROOM = 300, NOTES_MOST = 8 };

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
  const char* card; ///< Of this box's network whose address the codes hold; "" = it was given
  int* acts;
  int n_acts;
  CanvasFonts* fonts; ///< One set for all sheets; NULL = each its own
} Job;

// ---- What is asked for ----

static const char*
whose_page(const Face* face, const char** card, Status* st)
{
  const char* const given = face->args->page_address;
  *card = "";
  if (!given) {
    HttpLan lans[HTTP_LAN_MAX];
    const bool has_lan = http_lan_list(lans) > 0;
    const char* const made =
      has_lan ? arena_format(face->arena, "http://%s:%d", lans[0].address, PORT) : "";
    const char* const name = has_lan ? arena_copy(face->arena, lans[0].name) : "";
    *card = name ? name : "";
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
make_order(const Face* face, OpenShow* show, Order* order, const char** card)
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
  order->address = whose_page(face, card, &st);
  return st;
}

// ---- Printing ----

static Status
print_one(const Job* job, const PrintSheet* sheet, CanvasSort sort, int page, Print* print)
{
  const PrintHow how = {.sort = sort, .page = page, .fonts = job->fonts};
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

static void
lack_say(const CanvasLack* lack, char text[LACK_ROOM])
{
  (void)snprintf(text, LACK_ROOM,
                 "Install the package %s and print again: letters as in \"%.60s\" are in no font "
                 "here and stand as \"?\".",
                 lack->package, lack->text);
}

static json_t*
notes_json(const Print* print)
{
  json_t* const notes = json_list(print->notes, print->n_notes);
  for (int i = 0; i < print->n_lacks; ++i) {
    char text[LACK_ROOM];
    lack_say(&print->lacks[i], text);
    json_array_append_new(notes, json_words(text));
  }
  return notes;
}

static json_t*
printed_json(const Printed* printed)
{
  json_t* const one = json_object();
  json_object_set_new(one, "what", json_words(printed->what));
  json_object_set_new(one, "title", json_words(printed->sheet->title));
  json_object_set_new(one, "pages", json_integer(printed->print.n_pages));
  json_object_set_new(one, "complete", json_boolean(printed->print.n_lacks == 0));
  json_object_set_new(one, "codes", json_integer(printed->print.n_codes));
  json_object_set_new(one, "notes", notes_json(&printed->print));
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

static bool
is_said_before(const Printed* list, int at, const char* note)
{
  for (int i = 0; i < at; ++i) {
    for (int k = 0; k < list[i].print.n_notes; ++k) {
      if (!strcmp(list[i].print.notes[k], note)) {
        return true;
      }
    }
  }
  return false;
}

// Each sentence once, and not so many that nobody reads them.
static void
say_notes(const Face* face, const Printed* list, int n)
{
  int n_said = 0;
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < list[i].print.n_notes; ++k) {
      const char* const note = list[i].print.notes[k];
      if (!is_said_before(list, i, note) && ++n_said <= NOTES_MOST) {
        screen_item(face->screen, PAINT_PLAIN, "- ", note);
      }
    }
  }
  if (n_said > NOTES_MOST) {
    screen_say(face->screen, PAINT_PLAIN, "- and %d more like these; --json says all.",
               n_said - NOTES_MOST);
  }
}

// What to install, once a package, as the last thing: it is to be done and the sheets printed anew.
static void
say_lacks(const Face* face, const Printed* list, int n)
{
  for (int i = 0; i < n; ++i) {
    for (int k = 0; k < list[i].print.n_lacks; ++k) {
      const CanvasLack* const lack = &list[i].print.lacks[k];
      bool was_said = false;
      for (int j = 0; j < i && !was_said; ++j) {
        for (int m = 0; m < list[j].print.n_lacks; ++m) {
          was_said = was_said || !strcmp(list[j].print.lacks[m].package, lack->package);
        }
      }
      if (!was_said) {
        char text[LACK_ROOM];
        lack_say(lack, text);
        screen_say(face->screen, PAINT_WARN, "%s", text);
      }
    }
  }
}

// Where the codes lead, if there are any: printed once, they lead there for as long as they hang.
static void
say_codes(const Job* job, const Printed* list, int n)
{
  const Screen* const screen = job->face->screen;
  int n_codes = 0;
  bool may_have = false;
  for (int i = 0; i < n; ++i) {
    n_codes += list[i].print.n_codes;
    may_have = may_have || text_same(list[i].what, "boxes");
  }
  if (n_codes > 0 && job->card[0]) {
    screen_say(
      screen, PAINT_PLAIN,
      "%d QR codes open their line at %s, which is this box on %s as it is now. They lead "
      "nowhere when it gets another address, or while \"linewalk serve %s --lan\" does not "
      "run on it; --page-address http://... gives another one, or none.",
      n_codes, job->order.address, job->card, job->face->args->words[0]);
  } else if (n_codes > 0) {
    screen_say(screen, PAINT_PLAIN, "%d QR codes open their line at %s.", n_codes,
               job->order.address);
  } else if (may_have && !job->order.address[0]) {
    screen_say(screen, PAINT_WARN,
               "No QR codes: %s --page-address http://... says where the crew page will be.",
               job->face->args->page_address ? "none were asked for."
                                             : "this box is in no network, so it has no address.");
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
  say_codes(job, list, n);
  say_lacks(job->face, list, n);
}

static bool
is_whole(const Printed* list, int n)
{
  for (int i = 0; i < n; ++i) {
    if (list[i].print.n_lacks > 0) {
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
  TRY(st, make_order(face, show, &job.order, &job.card));
  job.acts = arena_array(face->arena, (size_t)show->plant.n_acts + 1, sizeof(*job.acts));
  if (!job.acts) {
    return STATUS_NO_MEMORY;
  }
  if (args->n_words == 1) {
    return list_sheets(face, show);
  }
  if (text_same(args->words[1], "all")) {
    if (args->n_words != 3) {
      return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                       "\"all\" needs a folder, as in \"linewalk sheet %s all paper/\".",
                       args->words[0]);
    }
    TRY(st, fonts_new(&job.fonts, face->error));
    st = print_all(&job, args->words[2]);
    fonts_free(job.fonts);
    return st;
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
