// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/heading_table.h"

#include "base/text.h"

#include <string.h>

/*
  What people can be asked of a list whose headings do not say it all, and what there is no use in
  asking: headings that are usual on input lists and say nothing of lines.
*/

enum { PLAIN_BYTES = 48 };

bool
heading_is_usual(const char* text)
{
  char plain[PLAIN_BYTES];
  heading_plain(text, plain, sizeof(plain));
  return heading_among("colour|color|col|insert|inserts|ins|group|groups|grp|mix|mixes|monitor|"
                       "monitors|monitormix|monmix|fx|effects|effect|comp|compressor|gate|"
                       "compgate|dynamics|gain|pad|eq|hpf|lowcut|dca|vca|bus|aux|own|ownmic|"
                       "providedby|provided|suppliedby|supplied|supply|bring|webring|qty|quantity|"
                       "count|standheight|standheightm|height|heightm|weight|check|checked|done|ok|"
                       "tested|page|alternative|alternatives|substitute|alternate|altmic|"
                       "secondchoice|second|or|who|whobrings|whobringsit|brings|alternativ|ersatz|"
                       "iem|wedge|house|foh|mon|mons|truck|broadcast|panning|"
                       "pan|player|musician|performer|",
                       plain);
}

const HeadingQuestion*
heading_questions(void)
{
  static const HeadingQuestion questions[] = {
    {FIELD_CHANNEL, 'c', "channel", "the channel number"},
    {FIELD_SOURCE, 's', "source", "what plays"},
    {FIELD_KIND, 'm', "pickup", "the microphone or DI"},
    {FIELD_PHANTOM, '4', "phantom", "phantom, 48 V"},
    {FIELD_BOX, 'b', "box", "the box"},
    {FIELD_SOCKET, 'k', "socket", "the socket on the box"},
    {FIELD_PATCH, 'x', "patch", "box and socket together"},
    {FIELD_LINE, 'l', "line", "the line's number"},
    {FIELD_STAND, 't', "stand", "the stand"},
    {FIELD_POSITION, 'p', "position", "the place on stage"},
    {FIELD_NOTE, 'n', "note", "a note"},
    {FIELD_COUNT, '\0', NULL, NULL},
  };
  return questions;
}

const HeadingQuestion*
heading_question(const char* word)
{
  for (const HeadingQuestion* q = heading_questions(); q->word; ++q) {
    if (text_same(q->word, word)) {
      return q;
    }
  }
  return NULL;
}

const char*
heading_say(ListSort sort, Field field, Arena* arena)
{
  for (const HeadingQuestion* q = heading_questions(); q->word && sort == LIST_INPUTS; ++q) {
    if (q->field == field) {
      return q->say;
    }
  }
  int n = 0;
  const Heading* const headings = heading_of(sort, &n);
  for (int k = 0; k < n; ++k) {
    const char* const names = headings[k].names;
    if (headings[k].field == field) {
      return arena_text(arena, names, strcspn(names, "|"));
    }
  }
  return "";
}
