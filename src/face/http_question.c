// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_question.h"

#include "base/text.h"
#include "face/args.h"

#include <string.h>

// What writes, what names a file and what talks is not here.
static const HttpQuestion questions[] = {
  {"lines", {NULL}, "parts", true, false},
  {"line", {"line"}, "", true, false},
  {"next", {"line?"}, "minutes nobody-answers from", true, true},
  {"prove", {"box?"}, "way meter hunt go nobody-answers from", true, false},
  {"patch", {"way?"}, "anew voices-move", true, false},
  {"around", {"line?"}, "from", true, false},
  {"forecast", {NULL}, "by hands", true, false},
  {"predict", {"line", "check"}, "at", true, false},
  {"now", {NULL}, "", true, false},
  {"change", {"from", "to"}, "minutes hands choose", true, true},
  {"compare", {NULL}, "rows order", true, false},
  {"outputs", {"circuit?"}, "loss volts hz", true, false},
  {"sheet", {"what?"}, "from paper tape date page-address owner picture about", true, false},
  {"kit", {NULL}, "", true, false},
  {"facts", {"after?", "line?", "limit?"}, "", true, false},
  {"judge",
   {"connector"},
   "wired near far plan ohms length section awg celsius limit insulation flex lamps tester",
   false,
   false},
  {"help", {"verb?"}, "", false, false},
};
enum { N_QUESTIONS = sizeof(questions) / sizeof(questions[0]) };

const HttpQuestion*
http_question_of(const char* verb)
{
  for (int i = 0; i < N_QUESTIONS; ++i) {
    if (!strcmp(questions[i].verb, verb)) {
      return &questions[i];
    }
  }
  return NULL;
}

static bool
is_word(const char* pattern, const char* name)
{
  const size_t n = strlen(name);
  return !strncmp(pattern, name, n) && (!pattern[n] || !strcmp(pattern + n, "?"));
}

// The option of a long name that this question takes; NULL when there is none.
static const ArgsOption*
option_of(const HttpQuestion* question, const char* name)
{
  const char* const sets[] = {question->options, "act"};
  for (int s = 0; s < 2; ++s) {
    const char* names = sets[s];
    for (const ArgsOption* option; (option = args_next(&names));) {
      if (!strcmp(option->name, name)) {
        return option;
      }
    }
  }
  return NULL;
}

static Status
add_option(HttpRequest* request, const HttpQuestion* question, const HttpWord* word, Error* error)
{
  for (int i = 0; i < HTTP_QUESTION_WORDS_MAX && question->words[i]; ++i) {
    if (is_word(question->words[i], word->name)) {
      return STATUS_OK;
    }
  }
  const ArgsOption* const option = option_of(question, word->name);
  if (!option) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "\"%.40s\" is no word of \"%s\" here.",
                     word->name, question->verb);
  }
  if (!option->value && !strcmp(word->value, "0")) {
    return STATUS_OK;
  }
  request->argv[request->argc] =
    option->value ? arena_format(&request->arena, "--%s=%s", option->name, word->value)
                  : arena_format(&request->arena, "--%s", option->name);
  return request->argv[request->argc++] ? STATUS_OK : STATUS_NO_MEMORY;
}

static Status
add_words(HttpRequest* request, const HttpQuestion* question, TextOut* key, Error* error)
{
  static const char* const behind[] = {"--json", "--", "SHOW"};
  for (int i = 0; i < (question->has_show ? 3 : 2); ++i) {
    request->argv[request->argc] = arena_copy(&request->arena, behind[i]);
    if (!request->argv[request->argc++]) {
      return STATUS_NO_MEMORY;
    }
  }
  for (int i = 0; i < HTTP_QUESTION_WORDS_MAX && question->words[i]; ++i) {
    const char* const pattern = question->words[i];
    const size_t n = strcspn(pattern, "?");
    const char* value = NULL;
    for (int k = 0; k < request->query.n_words; ++k) {
      if (is_word(pattern, request->query.words[k].name)) {
        value = request->query.words[k].value;
      }
    }
    if (!value && !pattern[n]) {
      return error_set(error, STATUS_BAD_ARG, NULL, 0, 0, "\"%s\" needs \"%.*s\".", question->verb,
                       (int)n, pattern);
    }
    if (value) {
      text_add(key, "%s=", pattern);
      request->argv[request->argc] = arena_copy(&request->arena, value);
      if (!request->argv[request->argc++]) {
        return STATUS_NO_MEMORY;
      }
    }
  }
  return STATUS_OK;
}

Status
http_question_words(HttpRequest* request, const char* verb, Error* error)
{
  const HttpQuestion* const question = http_question_of(verb);
  Status st;
  if (!question) {
    return error_set(error, STATUS_NOT_FOUND, NULL, 0, 0,
                     "There is no \"%.40s\" to ask for: docs/api.md lists what there is.", verb);
  }
  request->argv = arena_array(&request->arena, HTTP_QUESTION_ARGV_MAX + 1, sizeof(char*));
  if (!request->argv) {
    return STATUS_NO_MEMORY;
  }
  request->argc = 0;
  request->argv[request->argc++] = arena_copy(&request->arena, verb);
  if (!request->argv[0]) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < request->query.n_words; ++i) {
    TRY(st, add_option(request, question, &request->query.words[i], error));
  }
  TextOut key = {.arena = &request->arena};
  TRY(st, add_words(request, question, &key, error));
  for (int i = 0; i < request->argc; ++i) {
    text_add(&key, "%s\x1f", request->argv[i]);
  }
  request->key = text_done(&key);
  request->is_timed = question->is_timed;
  return request->key ? STATUS_OK : STATUS_NO_MEMORY;
}
