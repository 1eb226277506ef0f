// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/outputs_ask.h"
#include "face/outputs_view.h"
#include "face/tell.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

/*
  The walk with a meter: one hand holds the probes, the other types a number and Enter. A number
  goes to the log before the next circuit is named; what is wrong with it is said at once, so that
  it is read again while the probes are there.
*/

enum { LINE_BYTES = 200 };

static bool
next_line(const OutputsAsk* a, bool asks, char text[LINE_BYTES])
{
  if (asks) {
    (void)fputs("> ", a->face->screen->out);
    (void)fflush(a->face->screen->out);
  }
  if (!fgets(text, LINE_BYTES, stdin)) {
    return false;
  }
  if (!strchr(text, '\n')) {
    for (int c = getchar(); c != EOF && c != '\n'; c = getchar()) {
    }
  }
  text[strcspn(text, "\r\n")] = '\0';
  return true;
}

typedef enum { ENTRY_NEXT, ENTRY_AGAIN, ENTRY_BACK, ENTRY_SKIP_AMP, ENTRY_LEAVE } EntryEnd;

// The plug of this circuit's amplifier must be out, and somebody must say so.
static Status
ask_unplugged(OutputsAsk* a, int circuit, bool asks, EntryEnd* end)
{
  const OutputCircuit* const c = &a->o->plant->outputs[circuit];
  const char* const amp = c->amp[0] ? c->amp : c->name;
  const int place = a->o->place[circuit];
  char text[LINE_BYTES];
  const char* said = NULL;
  const char* id = NULL;
  if (!a->face->args->json) {
    screen_gap(a->face->screen);
    screen_item(a->face->screen, PAINT_WARN,
                "Caution: ", outputs_caution(c, OUTPUT_DOES_CHECK, OUT_OHMS, FIX_PRESET));
    screen_say(
      a->face->screen, PAINT_STRONG,
      "%s%s%s: is its loudspeaker plug out? y = out, n = leave it out of this walk, q = leave.",
      amp, place >= 0 ? ", " : "", place >= 0 ? a->o->plant->places[place] : "");
  }
  for (;;) {
    if (!next_line(a, asks, text) || text_same(text, "q")) {
      *end = ENTRY_LEAVE;
      return STATUS_OK;
    }
    if (text_same(text, "n")) {
      *end = ENTRY_SKIP_AMP;
      return STATUS_OK;
    }
    if (text_same(text, "y")) {
      *end = ENTRY_NEXT;
      return outputs_ask_tell(a, amp, OUTPUTS_MARK, OUTPUTS_UNPLUGGED, NULL, &said, &id);
    }
    if (!a->face->args->json) {
      screen_say(a->face->screen, PAINT_WARN, "y, n or q.");
    }
  }
}

static void
say_entered(const OutputsAsk* a, int circuit)
{
  const OutputStanding* const s = &a->o->standing[circuit];
  if (a->face->args->json) {
    return;
  }
  if (s->state >= OUTPUT_SUSPECT) {
    screen_say(a->face->screen, outputs_paint(s->state), "  %s: %s", outputs_state_word(s->state),
               s->say);
  } else if (s->twin.n_like > 0) {
    screen_say(a->face->screen, PAINT_FAINT, "  %+.1f %% against %d of its like",
               100.0 * s->twin.off_ratio, s->twin.n_like);
  }
}

static Status
enter_one(OutputsAsk* a, int circuit, bool asks, const char** id, EntryEnd* end)
{
  const OutputCircuit* const c = &a->o->plant->outputs[circuit];
  const OutputStanding* const s = &a->o->standing[circuit];
  char text[LINE_BYTES];
  const char* said = NULL;
  if (!a->face->args->json) {
    screen_say(a->face->screen, PAINT_STRONG, "%s  %s  %s  should read %.2f", c->name, c->amp,
               c->pins, s->now_ohm);
  }
  *end = ENTRY_LEAVE;
  if (!next_line(a, asks, text) || text_same(text, "q")) {
    return STATUS_OK;
  }
  if (!text[0] || text_same(text, "?") || text_same(text, "b")) {
    *end = text_same(text, "b") ? ENTRY_BACK : ENTRY_NEXT;
    return STATUS_OK;
  }
  const char* const kept = arena_copy(a->face->arena, text);
  if (!kept) {
    return STATUS_NO_MEMORY;
  }
  const Status st = outputs_ask_tell(a, c->name, "ohms", kept, NULL, &said, id);
  *end = st == STATUS_BAD_INPUT ? ENTRY_AGAIN : ENTRY_NEXT;
  if (st == STATUS_BAD_INPUT) { // Said, and asked again
    if (!a->face->args->json) {
      screen_say(a->face->screen, PAINT_WARN, "%s", a->face->error->text);
    }
    *a->face->error = (Error){0};
    return STATUS_OK;
  }
  if (st == STATUS_OK) {
    say_entered(a, circuit);
  }
  return st;
}

Status
outputs_enter(OutputsAsk* a)
{
  const bool asks =
    !a->face->args->json && a->face->screen->is_terminal && isatty(STDIN_FILENO) == 1;
  const OutputStop* stops = NULL;
  int n = 0;
  int at = 0;
  const char* skipped = NULL;
  Status st;
  TRY(st, outputs_round(a->o, a->face->arena, -1, &stops, &n, NULL));
  const char** const ids = arena_array(a->face->arena, (size_t)n + 1, sizeof(*ids));
  if (!ids) {
    return STATUS_NO_MEMORY;
  }
  if (!a->face->args->json) {
    screen_say(a->face->screen, PAINT_PLAIN,
               "One number and Enter a circuit; o = open, s = short, Enter alone = not now, b = "
               "back, q = leave. "
               "Short the meter's leads first: \"outputs SHOW meter leads=0.12\" takes them off.");
  }
  while (at < n) {
    const int circuit = stops[at].circuit;
    const char* const amp = a->o->plant->outputs[circuit].amp;
    EntryEnd end = ENTRY_NEXT;
    if (stops[at].check != OUT_OHMS || !outputs_ask_about(a, circuit) ||
        (a->o->standing[circuit].has_ohms && !ids[at] && stops[at].is_done) ||
        (skipped && text_same(skipped, amp))) {
      ++at;
      continue;
    }
    if (!a->o->standing[circuit].is_unplugged) {
      TRY(st, ask_unplugged(a, circuit, asks, &end));
    }
    if (end == ENTRY_NEXT) {
      TRY(st, enter_one(a, circuit, asks, &ids[at], &end));
    }
    if (end == ENTRY_LEAVE) {
      return STATUS_OK;
    }
    if (end == ENTRY_SKIP_AMP) {
      skipped = amp;
    } else if (end == ENTRY_BACK) {
      TRY(st, show_back(a->face, a->show, ids, &at));
      TRY(st, show_refold(a->face, a->show, false));
      TRY(st, outputs_ask_look(a));
    } else if (end == ENTRY_NEXT) {
      ++at;
    }
  }
  return STATUS_OK;
}
