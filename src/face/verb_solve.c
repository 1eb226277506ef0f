// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_file.h"
#include "face/json.h"
#include "face/json_in.h"
#include "face/solve_view.h"
#include "face/verb.h"

#include <stdio.h>
#include <string.h>

/*
  `solve`: a circuit written down by hand. Needs no show. The answer to a feed question can be "no".
*/

static Status
read_standard_input(const Face* face, char** bytes, size_t* n_bytes)
{
  char* const room = arena_array(face->arena, JSON_IN_MAX_BYTES + 2, 1);
  if (!room) {
    return error_set(face->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  // One byte more than allowed, so that the reader sees that it is too much
  *n_bytes = fread(room, 1, JSON_IN_MAX_BYTES + 1, stdin);
  *bytes = room;
  return ferror(stdin)
           ? error_set(face->error, STATUS_IO, NULL, 0, 0, "Standard input could not be read.")
           : STATUS_OK;
}

static Status
answer_line(const Face* face, const CircuitFile* file, const char* path)
{
  DrawnAnswer answer;
  Status st = drawn_solve(face->arena, &file->drawn, &answer);
  if (st != STATUS_OK) {
    return error_set(face->error, st == STATUS_BAD_ARG ? STATUS_BAD_INPUT : st, path, 0, 0,
                     st == STATUS_BAD_ARG
                       ? "These elements make no circuit that can be solved: look for a figure far "
                         "out of range or an adaptor that leads nowhere at all."
                       : "There is not enough memory.");
  }
  if (!face->args->json) {
    return solve_line_say(face, file, &answer);
  }
  json_t* const object = json_answer(NULL);
  json_object_set_new(object, "title", json_words(file->title));
  solve_line_json(file, &answer, object);
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

static Status
answer_feed(const Face* face, const CircuitFile* file, const char* path)
{
  const FeedQuestion* const q = &file->feed;
  FeedAnswer answer;
  Status st = feed_judge(q->variants, q->n_variants, &q->feed, &q->way, &q->microphone, &answer);
  if (st != STATUS_OK) {
    return error_set(face->error, STATUS_BAD_INPUT, path, 0, 0,
                     "A figure of this feed or microphone is out of all range.");
  }
  if (face->args->json) {
    json_t* const object = json_answer(NULL);
    json_object_set_new(object, "title", json_words(file->title));
    json_object_set_new(object, "feed", solve_feed_json(q, &answer));
    st = json_answer_print(object, face->args, face->screen->out, face->error);
  } else {
    st = solve_feed_say(face, file, &answer);
  }
  const bool is_no = answer.verdict == FEED_RUNS_NOT || answer.verdict == FEED_HARMFUL;
  return st == STATUS_OK && is_no ? STATUS_NO : st;
}

Status
verb_solve(const Face* face)
{
  const char* const path = face->args->words[0];
  const bool is_input = !strcmp(path, "-");
  const char* const name = is_input ? "standard input" : path;
  CircuitFile file;
  char* bytes = NULL;
  size_t n_bytes = 0;
  Status st;
  if (is_input) {
    TRY(st, read_standard_input(face, &bytes, &n_bytes));
  } else {
    TRY(st, show_read_file(face, path, JSON_IN_MAX_BYTES, &bytes, &n_bytes));
  }
  TRY(st, circuit_file_read(face->arena, name, bytes, n_bytes, &file, face->error));
  return file.is_feed ? answer_feed(face, &file, name) : answer_line(face, &file, name);
}
