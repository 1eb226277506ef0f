// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/list_files.h"

#include <jansson.h>

/*
  A show file from lists, whole or not at all: written under another name beside its place, then
  given its name in one step.
*/

/// Make the file. The lists must have been built into a plant before.
/// @param n_lines With no list of lines: how many were assumed; 0 = not said.
/// @return STATUS_EXISTS if anything has that name; STATUS_IO, STATUS_FULL, STATUS_NO_MEMORY.
Status
show_make(const Face* face, const char* path, const ListFiles* files, int n_lines);

/// What a plant has, into an answer: lines, boxes, inputs, items, desks, acts, assumed, left_aside.
void
show_make_json(json_t* answer, const Plant* plant);
