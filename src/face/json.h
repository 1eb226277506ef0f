// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"
#include "face/args.h"

#include <jansson.h>
#include <stdio.h>

/*
  Answers for other programs: one object on one line, "format" first.

  Objects are built with jansson; a value that could not be made leaves its key out of a half-built
  object, and json_answer_print then refuses to print it, so an answer is whole or not there.
*/

/// A new answer with "format" and, unless NULL, "act". Never NULL in practice; NULL = no memory.
json_t*
json_answer(const char* act);

/// A number that JSON can carry; null for what is not finite.
json_t*
json_figure(double value);

/// A text; null for NULL. Bytes that are not UTF-8 become null.
json_t*
json_words(const char* text);

/// An array of texts.
json_t*
json_list(const char* const* texts, int n);

/// Print and free. @return STATUS_NO_MEMORY for NULL, STATUS_IO when the stream refuses.
Status
json_answer_print(json_t* answer, const Args* args, FILE* out, Error* error);
