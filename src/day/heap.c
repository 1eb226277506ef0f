// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/heap.h"

#include "base/text.h"

#include <string.h>

/*
  Every call appends one event and lets it run; taking back drops the last and runs the rest again
  from the start. So there is one road from what was told to where things stand.
*/

// ---- Sentences ----

#define SAY_TAG "Tag of the next cable:"
#define SAY_READ "%s: what does the tester show?"
#define SAY_LAST "%s: %s. %s"
#define SAY_OLD " It was tested before; this counts."
#define SAY_ASK_GOOD                                                                               \
  "Stop: tape off nothing more. Put the known-good cable into the tester. What does it show?"
#define SAY_ASK_WHY                                                                                \
  "%d in a row show %s. That is the tester more likely than the cables: about %d in 100 (usual "   \
  "practice)."
#define SAY_ASK_WHY_RUN "%d in a row show %s. Before the next is taped off, be sure of the tester."
#define SAY_ASK_WHY_MIRRORED                                                                       \
  "%d mirrored pictures in a row: the sender's battery may be in backwards."
#define SAY_TESTER                                                                                 \
  "The tester is bad, not the cables: the known-good cable shows %s too. Its connector at that "   \
  "contact is the first place to look. Mend it or take another tester."
#define SAY_BATTERY                                                                                \
  "The sender's battery is in backwards: the known-good cable is mirrored too. Turn it."
#define SAY_TESTER_OTHER                                                                           \
  "The known-good cable shows %s: do not believe this tester, nor this known-good cable, before "  \
  "another of each has been tried."
#define SAY_AGAIN "Test again, and take the tape off where it is on: %s."
#define SAY_MIRRORED                                                                               \
  "%s: mirrored picture. Lay it aside: 1 and 2 crossed, or the sender's battery in backwards.%s"

const char*
heap_verdict_word(HeapVerdict verdict)
{
  static const char* const words[] = {"use", "tape off", "test again",
                                      "waits for the known-good cable"};
  return words[verdict];
}

// ---- The count ----

bool
heap_same(HeapReading a, HeapReading b)
{
  return a.sort == b.sort && a.a == b.a && a.b == b.b;
}

double
heap_tester_prob(HeapSort sort, int run, int n_same_before, int n_before)
{
  const double t = sort == HEAP_MIRRORED ? HEAP_BATTERY_PROB : HEAP_TESTER_PROB;
  const double p =
    (HEAP_CABLE_PROB * HEAP_CABLE_WEIGHT + n_same_before) / (HEAP_CABLE_WEIGHT + n_before);
  double tester = 0.0;
  double cables = 1.0; // p^j
  for (int j = 0; j < run; ++j) {
    tester += t * cables;
    cables *= p;
  }
  return tester / (tester + cables);
}

// A fault that a tester could show of itself on every cable.
static bool
may_be_tester(HeapReading reading)
{
  return reading.sort == HEAP_OPEN || reading.sort == HEAP_SHORT || reading.sort == HEAP_CROSSED ||
         reading.sort == HEAP_MIRRORED;
}

// Cables from `start` on that show the suspect: the others there said nothing.
static int
run_length(const Heap* heap)
{
  int n = 0;
  for (int i = heap->run_start; i < heap->n_cables; ++i) {
    n += heap_same(heap->cables[i].reading, heap->suspect);
  }
  return n;
}

// ---- One event ----

static void
end_run(Heap* heap)
{
  heap->run_start = heap->n_cables;
  heap->run_most = 0;
  heap->is_doubted = false;
  heap->tester_prob = 0.0;
}

static int
most_of(HeapReading suspect)
{
  return suspect.sort == HEAP_MIRRORED ? HEAP_MIRRORED_MOST : HEAP_RUN_MOST;
}

static void
judge_run(Heap* heap)
{
  HeapCable* const cable = &heap->cables[heap->n_cables - 1];
  const HeapReading reading = cable->reading;
  if (reading.sort == HEAP_ELSE || reading.sort == HEAP_BREAKS) {
    return; // Nothing for or against the tester
  }
  if (!may_be_tester(reading)) {
    end_run(heap);
    return;
  }
  if (heap->run_most == 0 || !heap_same(reading, heap->suspect)) {
    end_run(heap);
    heap->suspect = reading;
    heap->run_start = heap->n_cables - 1;
    heap->run_most = most_of(reading);
  }
  int n_same = 0;
  int n_before = 0;
  for (int i = 0; i < heap->run_start; ++i) {
    if (!heap->cables[i].is_old && heap->cables[i].verdict != HEAP_TEST_AGAIN) {
      n_same += heap_same(heap->cables[i].reading, reading);
      ++n_before;
    }
  }
  const int run = run_length(heap);
  heap->tester_prob = heap_tester_prob(reading.sort, run, n_same, n_before);
  if (heap->is_doubted) {
    cable->verdict = HEAP_TEST_AGAIN;
  } else if (run >= heap->run_most || (run > 1 && heap->tester_prob > 0.5)) {
    cable->verdict = HEAP_WAITS;
    heap->state = HEAP_ASK_KNOWN_GOOD;
  }
}

static Status
take_reading(Heap* heap, HeapReading reading)
{
  if (heap->n_cables == heap->n_cable_room) {
    const int n_room = heap->n_cable_room ? 2 * heap->n_cable_room : 64;
    HeapCable* const more = arena_grow(heap->arena, heap->cables, (size_t)heap->n_cables,
                                       (size_t)n_room, sizeof(HeapCable));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    heap->cables = more;
    heap->n_cable_room = n_room;
  }
  for (int i = 0; i < heap->n_cables; ++i) {
    heap->cables[i].is_old = heap->cables[i].is_old || text_same(heap->cables[i].tag, heap->tag);
  }
  const HeapVerdict verdict = reading.sort == HEAP_GOOD       ? HEAP_USE
                              : reading.sort == HEAP_MIRRORED ? HEAP_TEST_AGAIN
                                                              : HEAP_TAPE_OFF;
  heap->cables[heap->n_cables++] = (HeapCable){heap->tag, reading, verdict, false};
  heap->tag = NULL;
  heap->state = HEAP_ASK_TAG;
  judge_run(heap);
  return STATUS_OK;
}

// The run's cables, and whatever else was read meanwhile: the tester was not to be believed.
static void
doubt_run(Heap* heap)
{
  for (int i = heap->run_start; i < heap->n_cables; ++i) {
    heap->cables[i].verdict = HEAP_TEST_AGAIN;
  }
}

static void
take_known_good(Heap* heap, HeapReading reading)
{
  if (reading.sort == HEAP_GOOD) { // Then the cables are what they showed
    for (int i = heap->run_start; i < heap->n_cables; ++i) {
      if (heap_same(heap->cables[i].reading, heap->suspect)) {
        heap->cables[i].verdict = HEAP_TAPE_OFF;
      }
    }
    end_run(heap);
    heap->state = HEAP_ASK_TAG;
    return;
  }
  doubt_run(heap);
  heap->known_good = reading;
  heap->state = HEAP_ASK_TESTER;
}

static Status
run_event(Heap* heap, const HeapEvent* event)
{
  switch (event->sort) {
    case HEAP_TOLD_TAG:
      if (heap->state != HEAP_ASK_TAG) {
        return STATUS_BAD_ARG;
      }
      heap->tag = event->tag;
      heap->state = HEAP_ASK_READING;
      return STATUS_OK;
    case HEAP_TOLD_READING:
      if (heap->state == HEAP_ASK_READING) {
        return take_reading(heap, event->reading);
      }
      if (heap->state != HEAP_ASK_KNOWN_GOOD) {
        return STATUS_BAD_ARG;
      }
      take_known_good(heap, event->reading);
      return STATUS_OK;
    case HEAP_TOLD_NONE:
      if (heap->state != HEAP_ASK_KNOWN_GOOD) {
        return STATUS_BAD_ARG;
      }
      doubt_run(heap);
      heap->is_doubted = true;
      heap->state = HEAP_ASK_TAG;
      return STATUS_OK;
    default:
      if (heap->state != HEAP_ASK_TESTER) {
        return STATUS_BAD_ARG;
      }
      end_run(heap);
      heap->state = HEAP_ASK_TAG;
      return STATUS_OK;
  }
}

static void
start_over(Heap* heap)
{
  heap->n_cables = 0;
  heap->state = HEAP_ASK_TAG;
  heap->tag = NULL;
  end_run(heap);
}

static Status
tell(Heap* heap, HeapEvent event)
{
  if (heap->n_events == heap->n_room) {
    const int n_room = heap->n_room ? 2 * heap->n_room : 128;
    HeapEvent* const more = arena_grow(heap->arena, heap->events, (size_t)heap->n_events,
                                       (size_t)n_room, sizeof(HeapEvent));
    if (!more) {
      return STATUS_NO_MEMORY;
    }
    heap->events = more;
    heap->n_room = n_room;
  }
  Status st;
  TRY(st, run_event(heap, &event));
  heap->events[heap->n_events++] = event;
  return STATUS_OK;
}

void
heap_init(Heap* heap, Arena* arena)
{
  *heap = (Heap){.arena = arena};
}

Status
heap_tag(Heap* heap, const char* tag)
{
  size_t n = strnlen(tag, HEAP_TAG_BYTES + 1);
  n = n > HEAP_TAG_BYTES ? HEAP_TAG_BYTES : n;
  while (n > 0 && ((unsigned char)tag[n] & 0xC0) == 0x80) {
    --n; // Not within a character
  }
  const char* const copy = arena_text(heap->arena, tag, n);
  return copy ? tell(heap, (HeapEvent){HEAP_TOLD_TAG, copy, {HEAP_GOOD, 0, 0}}) : STATUS_NO_MEMORY;
}

Status
heap_reading(Heap* heap, HeapReading reading)
{
  return tell(heap, (HeapEvent){HEAP_TOLD_READING, NULL, reading});
}

Status
heap_no_known_good(Heap* heap)
{
  return tell(heap, (HeapEvent){HEAP_TOLD_NONE, NULL, {HEAP_GOOD, 0, 0}});
}

Status
heap_tester_changed(Heap* heap)
{
  return tell(heap, (HeapEvent){HEAP_TOLD_CHANGED, NULL, {HEAP_GOOD, 0, 0}});
}

Status
heap_take_back(Heap* heap)
{
  if (heap->n_events == 0) {
    return STATUS_NO;
  }
  const bool was_reading = heap->events[heap->n_events - 1].sort == HEAP_TOLD_READING;
  heap->n_events -= 1;
  // A reading goes with its tag
  if (was_reading && heap->n_events > 0 && heap->events[heap->n_events - 1].sort == HEAP_TOLD_TAG) {
    heap->n_events -= 1;
  }
  start_over(heap);
  for (int i = 0; i < heap->n_events; ++i) {
    const Status st = run_event(heap, &heap->events[i]);
    if (st != STATUS_OK) {
      return st; // Not met: there was room for these before
    }
  }
  return STATUS_OK;
}

// ---- What to show ----

static const char*
pair_name(const Connector* c, const char* word, int a, int b, Arena* arena)
{
  const char* const first = connector_contact(c, WIRING_NEAR, a);
  const size_t n = strlen(first);
  const bool pole = n && (first[n - 1] == '+' || first[n - 1] == '-');
  return arena_format(arena, "%s %s%s%s", word, first, pole ? "/" : "-",
                      connector_contact(c, WIRING_NEAR, b));
}

const char*
heap_reading_name(const Connector* c, HeapReading reading, Arena* arena)
{
  switch (reading.sort) {
    case HEAP_GOOD:
      return "good";
    case HEAP_OPEN:
      return arena_format(arena, "open %s", connector_contact(c, WIRING_NEAR, reading.a));
    case HEAP_SHORT:
      return pair_name(c, "short", reading.a, reading.b, arena);
    case HEAP_CROSSED:
      return pair_name(c, "crossed", reading.a, reading.b, arena);
    case HEAP_BREAKS:
      return "breaks when flexed";
    case HEAP_MIRRORED:
      return "mirrored picture";
    default:
      return "something else";
  }
}

bool
heap_contacts(const Connector* c, const char* text, int asks, HeapReading* reading)
{
  int contacts[2] = {0, 0};
  for (int i = 0; i < asks; ++i) {
    int length = 0;
    text += strspn(text, " ");
    contacts[i] = connector_contact_at(c, WIRING_NEAR, text, &length);
    text += length;
    if (contacts[i] < 1) {
      return false;
    }
    text += i + 1 < asks ? strspn(text, " -/=,") : 0;
  }
  if (text[strspn(text, " \r\n")] || (asks == 2 && contacts[0] == contacts[1])) {
    return false;
  }
  const bool turned = asks == 2 && contacts[0] > contacts[1];
  reading->a = contacts[turned ? 1 : 0];
  reading->b = asks == 2 ? contacts[turned ? 0 : 1] : 0;
  return true;
}

static void
add_choice(HeapScreen* s, char key, HeapReading reading, int asks, const char* say)
{
  s->choices[s->n_choices++] = (HeapChoice){key, say, reading, asks};
}

// Three contacts have a key for everything; more have one for each open, and ask for pairs.
static void
add_readings(HeapScreen* s, const Connector* c, Arena* arena)
{
  const int n = c->plan.n[WIRING_NEAR];
  add_choice(s, 'g', (HeapReading){HEAP_GOOD, 0, 0}, 0, "good");
  for (int a = 1; a <= n && a <= 9; ++a) {
    const HeapReading open = {HEAP_OPEN, a, 0};
    add_choice(s, (char)('0' + a), open, 0, heap_reading_name(c, open, arena));
  }
  if (n > 9) {
    add_choice(s, 'o', (HeapReading){HEAP_OPEN, 0, 0}, 1, "open, another contact");
  }
  if (n <= 3) {
    static const int pairs[3][2] = {{1, 2}, {1, 3}, {2, 3}};
    for (int p = 0; p < (n == 3 ? 3 : n - 1); ++p) {
      const HeapReading joined = {HEAP_SHORT, pairs[p][0], pairs[p][1]};
      add_choice(s, (char)('a' + p), joined, 0, heap_reading_name(c, joined, arena));
    }
    for (int p = 0; p < (n == 3 ? 3 : n - 1); ++p) {
      const HeapReading crossed = {HEAP_CROSSED, pairs[p][0], pairs[p][1]};
      add_choice(s, (char)('x' + p), crossed, 0, heap_reading_name(c, crossed, arena));
    }
  } else {
    add_choice(s, 's', (HeapReading){HEAP_SHORT, 0, 0}, 2, "short between two contacts");
    add_choice(s, 'x', (HeapReading){HEAP_CROSSED, 0, 0}, 2, "two contacts crossed");
  }
  add_choice(s, 'f', (HeapReading){HEAP_BREAKS, 0, 0}, 0, "breaks when flexed");
  add_choice(s, 'm', (HeapReading){HEAP_MIRRORED, 0, 0}, 0,
             "the good picture, every colour the other way");
  add_choice(s, 'e', (HeapReading){HEAP_ELSE, 0, 0}, 0, "something else, or several");
}

static const char*
tags_again(const Heap* heap, Arena* arena)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < heap->n_cables; ++i) {
    if (heap->cables[i].verdict == HEAP_TEST_AGAIN && !heap->cables[i].is_old) {
      text_add(&out, "%s%s", out.n_bytes ? ", " : "", heap->cables[i].tag);
    }
  }
  return text_done(&out);
}

static const char*
last_say(const Heap* heap, const Connector* c, Arena* arena)
{
  if (heap->n_cables == 0) {
    return "";
  }
  const HeapCable* const last = &heap->cables[heap->n_cables - 1];
  bool again = false;
  for (int i = 0; i < heap->n_cables - 1; ++i) {
    again = again || text_same(heap->cables[i].tag, last->tag);
  }
  const char* const name = heap_reading_name(c, last->reading, arena);
  static const char* const does[] = {
    "Use it.", "Tape it off at both ends and write the fault on the tape.",
    "Lay it aside: test it again with a tester that is known to be good.",
    "Lay it aside for a moment."};
  if (last->reading.sort == HEAP_MIRRORED && last->verdict == HEAP_TEST_AGAIN) {
    return arena_format(arena, SAY_MIRRORED, last->tag, again ? SAY_OLD : "");
  }
  return name ? arena_format(arena, SAY_LAST "%s", last->tag, name, does[last->verdict],
                             again ? SAY_OLD : "")
              : NULL;
}

static const char*
why_known_good(const Heap* heap, const Connector* c, Arena* arena)
{
  const int run = run_length(heap);
  const char* const name = heap_reading_name(c, heap->suspect, arena);
  if (!name) {
    return NULL;
  }
  if (heap->suspect.sort == HEAP_MIRRORED) {
    return arena_format(arena, SAY_ASK_WHY_MIRRORED, run);
  }
  return heap->tester_prob > 0.5
           ? arena_format(arena, SAY_ASK_WHY, run, name, (int)(100.0 * heap->tester_prob))
           : arena_format(arena, SAY_ASK_WHY_RUN, run, name);
}

static Status
screen_tester(const Heap* heap, const Connector* c, Arena* arena, HeapScreen* s)
{
  const char* const name = heap_reading_name(c, heap->known_good, arena);
  const char* const tags = tags_again(heap, arena);
  if (!name || !tags) {
    return STATUS_NO_MEMORY;
  }
  s->headline = !heap_same(heap->known_good, heap->suspect)
                  ? arena_format(arena, SAY_TESTER_OTHER, name)
                : heap->suspect.sort == HEAP_MIRRORED ? SAY_BATTERY
                                                      : arena_format(arena, SAY_TESTER, name);
  s->say = arena_format(arena, SAY_AGAIN, tags);
  add_choice(s, 'd', (HeapReading){HEAP_GOOD, 0, 0}, 0,
             heap->suspect.sort == HEAP_MIRRORED ? "done: the battery is turned"
                                                 : "done: mended, or another tester");
  return STATUS_OK;
}

Status
heap_screen(const Heap* heap, const Connector* c, Arena* arena, HeapScreen* screen)
{
  HeapScreen s = {.state = heap->state, .say = ""};
  Status st = STATUS_OK;
  switch (heap->state) {
    case HEAP_ASK_TAG:
      s.headline = SAY_TAG;
      s.say = last_say(heap, c, arena);
      break;
    case HEAP_ASK_READING:
      s.headline = arena_format(arena, SAY_READ, heap->tag);
      add_readings(&s, c, arena);
      break;
    case HEAP_ASK_KNOWN_GOOD:
      s.headline = SAY_ASK_GOOD;
      s.say = why_known_good(heap, c, arena);
      add_readings(&s, c, arena);
      add_choice(&s, 'n', (HeapReading){HEAP_GOOD, 0, 0}, 0, "there is no known-good cable here");
      break;
    default:
      TRY(st, screen_tester(heap, c, arena, &s));
      break;
  }
  if (heap->state != HEAP_ASK_TAG) {
    add_choice(&s, 'u', (HeapReading){HEAP_GOOD, 0, 0}, 0, "take the last one back");
    add_choice(&s, 'q', (HeapReading){HEAP_GOOD, 0, 0}, 0, "leave");
  }
  for (int i = 0; i < s.n_choices; ++i) {
    if (!s.choices[i].say) {
      return STATUS_NO_MEMORY;
    }
  }
  if (!s.headline || !s.say) {
    return STATUS_NO_MEMORY;
  }
  *screen = s;
  return STATUS_OK;
}
