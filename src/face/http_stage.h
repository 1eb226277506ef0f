// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/*
  What a page has to know of the stage before it asks anything, and what the crew list calls whoever
  speaks from a place. Pure.
*/

/// Boxes, desks and doors as a JSON object on one line, from malloc; NULL = no memory.
char*
http_stage_text(const OpenShow* show);

/**
   Steps are given to roles of the crew list, so whoever takes one tells it under that name.

   @param who The role they gave; may be NULL.
   @return `who` if the list has it, else of those who begin where they stand the first; without
   any, `role`: as the page calls them.
*/
const char*
http_stage_role(const Plant* plant, const char* place, const char* who, const char* role);
