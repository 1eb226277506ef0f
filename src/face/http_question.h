// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/http_request.h"

/*
  Which verbs may be asked over HTTP, with which words: only those that look, and only words and
  options that name nothing outside the show.
*/

enum {
  HTTP_QUESTION_WORDS_MAX = 3,
  HTTP_QUESTION_ARGV_MAX = 4 + HTTP_QUERY_MAX_WORDS + HTTP_QUESTION_WORDS_MAX
};

/// A verb as it may be asked. Constant, never freed.
typedef struct {
  const char* verb;
  const char* words[HTTP_QUESTION_WORDS_MAX]; ///< In their order; a "?" behind what may be left out
  const char* options;                        ///< Names as in ArgsVerb
  bool has_show;                              ///< The show is its first word
  bool is_timed;                              ///< Counts seconds
} HttpQuestion;

/// The question of a verb; NULL when it may not be asked. Pure.
const HttpQuestion*
http_question_of(const char* verb);

/**
   Make the words of a verb from the words of an address (loop thread, pure).

   @param[in,out] request Its query is read; argv, argc, key and is_timed are written on STATUS_OK.
   @param verb What stands behind /api/1/.
   @return STATUS_NOT_FOUND: no such verb here; STATUS_BAD_ARG: a word it does not take, or one is
   missing; STATUS_NO_MEMORY.
*/
Status
http_question_words(HttpRequest* request, const char* verb, Error* error);
