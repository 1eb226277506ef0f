// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"
#include "stage/tester.h"

/*
  Which tester is meant: a built-in one by name, one of a show's lists, or one in a list that was
  never imported.
*/

/**
   Find a tester.

   @param word  A name; or a list of testers (its name ends in .csv, .tsv or .txt); NULL: the crew's
   own of the show, without a show ours.
   @param n_contacts  Without `word`: of so many contacts.
   @param name  Which one of a list; NULL = the list's only one.
   @param show  Path of a show whose testers are looked at, NULL = none.
   @param[out] tester Lives in face->arena.
   @return STATUS_OK; STATUS_BAD_INPUT naming those that are there.
*/
Status
tester_open(const Face* face, const char* word, const char* name, int n_contacts, const char* show,
            const Tester** tester);
