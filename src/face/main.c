// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/help.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  linewalk: one program, one verb a call. Words in, one answer out, and an exit code that says how
  it went: 0 done, 1 the answer is "no", 2 wrong use, 3 bad input, 4 could not.
*/

static const Verb verbs[] = {
  {{"new", 1, 1000, "lines sheet means ask"}, verb_new},
  {{"import", 2, 2, "yes as sheet means ask"}, verb_import},
  {{"export", 2, 2, "force"}, verb_export},
  {{"backup", 2, 2, "force"}, verb_backup},
  {{"now", 1, 2, "id role"}, verb_now},
  {{"kit", 1, 3, "id role from"}, verb_kit},
  {{"lines", 1, 1, "parts"}, verb_lines},
  {{"line", 2, 2, ""}, verb_line},
  {{"saw", 3, 6, "at id role from"}, verb_saw},
  {{"plug", 3, 3, "id role from"}, verb_plug},
  {{"tape", 2, 2, "id role from why"}, verb_tape},
  {{"clear", 2, 2, "id role from seconds breaks"}, verb_clear},
  {{"undo", 1, 1, "role from why"}, verb_undo},
  {{"compare", 1, 1, "read rows order holds id role from"}, verb_compare},
  {{"change", 3, 3, "minutes hands choose done anyway takes begin id role"}, verb_change},
  {{"outputs", 1, 5, "enter card loss volts hz at id role from"}, verb_outputs},
  {{"next", 1, 2, "minutes nobody-answers from give"}, verb_next},
  {{"rescue", 2, 2, "minutes nobody-answers from role"}, verb_rescue},
  {{"prove", 1, 2, "way meter hunt go nobody-answers from role"}, verb_prove},
  {{"patch", 1, 2, "anew voices-move yes id role"}, verb_patch},
  {{"around", 1, 2, "take back follows id role from"}, verb_around},
  {{"forecast", 1, 1, "by hands clock"}, verb_forecast},
  {{"rehearse", 1, 2, "auto seed people ways-round asked minutes hide watch tell"}, verb_rehearse},
  {{"predict", 3, 3, "at"}, verb_predict},
  {{"solve", 1, 1, ""}, verb_solve},
  {{"card", 0, 2, "show under lamps design contacts lamp-volts most-ma by"}, verb_card},
  {{"judge", 1, 8,
    "wired near far plan ohms length section awg celsius limit insulation flex seconds lamps "
    "tester show tag line role heap csv force"},
   verb_judge},
  {{"sheet", 1, 3, "from paper tape date page-address owner picture about force"}, verb_sheet},
  {{"serve", 0, 1, "port lan limits stop-after"}, verb_serve},
  {{"help", 0, 1, "man completion"}, verb_help},
  {{NULL, 0, 0, NULL}, NULL},
};

const Verb*
verb_find(const char* name)
{
  for (const Verb* verb = verbs; verb->args.name; ++verb) {
    if (!strcmp(verb->args.name, name)) {
      return verb;
    }
  }
  return NULL;
}

static int
exit_code(Status status)
{
  switch (status) {
    case STATUS_OK:
      return 0;
    case STATUS_NO:
      return 1;
    case STATUS_BAD_ARG:
      return 2;
    case STATUS_BAD_INPUT:
    case STATUS_LIMIT:
    case STATUS_NO_SOLUTION:
    case STATUS_NEWER:
    case STATUS_NOT_OURS:
    case STATUS_DAMAGED:
      return 3;
    default:
      return 4;
  }
}

// linewalk: FILE:LINE:COLUMN: sentence
static void
print_error(const Error* error, Status status)
{
  Screen screen;
  screen_init(&screen, stderr);
  char place[240] = "linewalk: ";
  if (error->file[0]) {
    (void)snprintf(place + strlen(place), sizeof(place) - strlen(place), "%s:", error->file);
  }
  if (error->line > 0) {
    (void)snprintf(place + strlen(place), sizeof(place) - strlen(place), "%d:", error->line);
  }
  if (error->line > 0 && error->column > 0) {
    (void)snprintf(place + strlen(place), sizeof(place) - strlen(place), "%d:", error->column);
  }
  // Not wrapped: other programs look for the place at the start of one line
  (void)fputs(place, stderr);
  (void)fputs(place[strlen(place) - 1] == ' ' ? "" : " ", stderr);
  screen_cell(&screen, PAINT_PLAIN, error->text[0] ? error->text : status_text(status), 0);
  (void)fputc('\n', stderr);
}

static Status
run(int argc, char** argv, const Screen* screen, Arena* arena, Error* error)
{
  const char* const word = argc > 1 ? argv[1] : "help";
  if (!strcmp(word, "--version") || !strcmp(word, "-V")) {
    (void)printf("linewalk %s\n", LINEWALK_VERSION);
    return STATUS_OK;
  }
  const bool wants_help = !strcmp(word, "--help") || !strcmp(word, "-h");
  const Verb* const verb = verb_find(wants_help ? "help" : word);
  if (!verb) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                     "There is no verb \"%.60s\": \"linewalk help\" lists them.", word);
  }
  char help[] = "help";
  char* none[] = {help, NULL};
  Args args;
  Status st;
  TRY(st,
      args_read(&verb->args, argc > 1 ? argc - 1 : 1, argc > 1 ? argv + 1 : none, &args, error));
  const Face face = {arena, &args, screen, error, NULL};
  if (args.wants_help) {
    help_verb(screen, verb);
    return STATUS_OK;
  }
  return verb->run(&face);
}

int
main(int argc, char** argv)
{
  Screen screen;
  Arena arena;
  Error error = {0};
  screen_init(&screen, stdout);
  arena_init(&arena, NULL);
  Status st = run(argc, argv, &screen, &arena, &error);
  if (fflush(stdout) != 0 && st == STATUS_OK) {
    st = error_set(&error, STATUS_IO, NULL, 0, 0, "The answer could not be written.");
  }
  // A verb that says "no" has said why itself
  if (st != STATUS_OK && (st != STATUS_NO || error.text[0])) {
    print_error(&error, st);
  }
  arena_deinit(&arena);
  return exit_code(st);
}
