// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/prove_talk.h"

#include "face/prove_view.h"

#include <stdio.h>

enum { NARROW = 60 }; // Below it a key is a word

void
prove_draw_key(const Face* face, char key, const char* word, const char* say)
{
  char lead[8];
  (void)snprintf(lead, sizeof(lead), "  %c  ", key);
  const bool is_whole = say && say[0] && face->screen->width >= NARROW;
  const char* const text = is_whole ? arena_format(face->arena, "%s: %s", word, say) : word;
  screen_item(face->screen, PAINT_PLAIN, lead, text ? text : "");
}

Status
prove_tell(const Face* face, OpenShow* show, const ProveFact* fact, const char* answer,
           char note[PROVE_NOTE_BYTES])
{
  Args args = *face->args;
  args.act = fact->act ? fact->act : args.act;
  const Face asked = {face->arena, &args, face->screen, face->error, face->kept};
  Telling telling;
  Told told;
  bool is_new = false;
  Status st;
  TRY(st, prove_telling(face, fact, answer, &telling));
  st = tell_check(&asked, show, &telling, &told);
  if (st == STATUS_BAD_INPUT || st == STATUS_NOT_FOUND || st == STATUS_NO) {
    (void)snprintf(note, PROVE_NOTE_BYTES, "%s", face->error->text);
    *face->error = (Error){0};
    return STATUS_OK;
  }
  return st != STATUS_OK ? st : show_tell(&asked, show, told.kind, &told.body, &is_new, NULL);
}
