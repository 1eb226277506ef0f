// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/words.h"

#include "base/text.h"

#include <stddef.h>
#include <string.h>

static const char* const sentences[WORDS_COUNT] = {
#define WORDS_TEXT(name, text) text,
  WORDS_LIST(WORDS_TEXT)
#undef WORDS_TEXT
};

static const struct {
  const char* gap;
  size_t offset;
} gaps[] = {
  {"desk", offsetof(WordsFill, desk)},     {"input", offsetof(WordsFill, input)},
  {"source", offsetof(WordsFill, source)}, {"socket", offsetof(WordsFill, socket)},
  {"box", offsetof(WordsFill, box)},       {"line", offsetof(WordsFill, line)},
  {"way", offsetof(WordsFill, way)},       {"found", offsetof(WordsFill, found)},
  {"first", offsetof(WordsFill, first)},   {"second", offsetof(WordsFill, second)},
  {"odds", offsetof(WordsFill, odds)},     {"fault", offsetof(WordsFill, fault)},
  {"unplug", offsetof(WordsFill, unplug)}, {"spare", offsetof(WordsFill, spare)},
  {"item", offsetof(WordsFill, item)},     {"lamps", offsetof(WordsFill, lamps)},
  {"near", offsetof(WordsFill, near)},     {"who", offsetof(WordsFill, who)},
};

static const char*
gap_text(const WordsFill* fill, const char* name, size_t n)
{
  for (size_t i = 0; i < sizeof(gaps) / sizeof(gaps[0]); ++i) {
    if (strlen(gaps[i].gap) == n && strncmp(gaps[i].gap, name, n) == 0) {
      const char* text = NULL;
      memcpy(&text, (const char*)fill + gaps[i].offset, sizeof(text));
      return text ? text : "?";
    }
  }
  return "?";
}

const char*
words_raw(Sentence sentence)
{
  return sentences[sentence];
}

const char*
words_say(Arena* arena, Sentence sentence, const WordsFill* fill)
{
  TextOut out = {.arena = arena};
  const char* at = sentences[sentence];
  while (*at) {
    const char* const open = strchr(at, '{');
    if (!open) {
      text_add(&out, "%s", at);
      break;
    }
    text_add(&out, "%.*s", (int)(open - at), at);
    const char* const close = strchr(open, '}');
    text_add(&out, "%s", gap_text(fill, open + 1, (size_t)(close - open - 1)));
    at = close + 1;
  }
  char* const text = out.failed ? NULL : out.text;
  if (text && text[0] >= 'a' && text[0] <= 'z') { // A sentence may begin with a gap
    text[0] = (char)(text[0] - 'a' + 'A');
  }
  return text;
}

const char*
words_odds(Arena* arena, double prob)
{
  if (prob > 0.985) {
    return arena_copy(arena, "more than 98 in 100");
  }
  if (prob > 0.93) {
    return arena_copy(arena, "about 19 in 20");
  }
  if (prob >= 0.095) {
    return arena_format(arena, "about %d in 10", (int)(prob * 10.0 + 0.5));
  }
  if (prob >= 0.035) {
    return arena_copy(arena, "about 1 in 20");
  }
  return arena_copy(arena, prob >= 0.01 ? "about 1 in 50" : "less than 1 in 100");
}

const char*
words_chance(Arena* arena, double prob)
{
  return prob > 0.95   ? arena_copy(arena, "better than 9 in 10")
         : prob < 0.05 ? arena_copy(arena, "less than 1 in 10")
                       : arena_format(arena, "about %d in 10", (int)(prob * 10.0 + 0.5));
}
