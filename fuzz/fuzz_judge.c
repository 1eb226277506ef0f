// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as what somebody writes down of a cable, and as the keys and lines of a heap. The first
  byte picks the cable, the second what the rest is. What must hold: a notation is either refused
  with a column inside it, leaving what it fills alone, or gives marks that are symmetric and keep
  to the cable's contacts; whatever was read is judged, and the verdict of the wiring, put back
  through the faults that explain it, gives the same matrix; a heap never loses a cable, and taking
  everything back empties it.
*/

#include "must.h"

#include "day/heap.h"
#include "day/judge.h"
#include "fault/notation.h"

#include <math.h>
#include <string.h>

static const char* const cables[] = {"3-pin",         "jack",         "jack to 3-pin",
                                     "3-pin to jack", "4-pole",       "8-pole",
                                     "multipin 37",   "multipin 25",  "3-pin crossed",
                                     "jack stereo",   "network lead", "4-pole one pair"};

static void
refused(Status status, const Error* error, size_t n)
{
  MUST(status == STATUS_BAD_INPUT || status == STATUS_LIMIT);
  MUST(error->status == status && error->text[0] && error->line == 1);
  MUST(error->column >= 1 && (size_t)error->column <= n + 1);
}

static bool
is_contact(const WiringPlan* plan, int node)
{
  const WiringPlace end = node < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
  return node - (int)end * WIRING_CONTACTS < wiring_contacts(plan, end);
}

static void
check_marks(const WiringPlan* plan, const WiringSeen* seen)
{
  for (int a = 0; a < WIRING_NODES; ++a) {
    for (int b = 0; b < WIRING_NODES; ++b) {
      MUST(seen->mark[a][b] == seen->mark[b][a] && seen->mark[a][b] <= WIRING_APART);
      MUST(seen->mark[a][b] == WIRING_UNKNOWN || (is_contact(plan, a) && is_contact(plan, b)));
    }
  }
}

// The first set of every group together gives what was seen.
static void
check_verdict(Arena* arena, const WiringPlan* plan, const WiringSeen* seen)
{
  WiringVerdict v;
  MUST(wiring_judge(arena, plan, seen, &v) == STATUS_OK);
  WiringFault faults[256];
  int n = 0;
  for (int g = 0; g < v.n_groups; ++g) {
    if (v.groups[g].n_sets == 0) {
      return; // Nothing of the model explains it, and that is said
    }
    for (int i = 0; i < v.groups[g].sets[0].n && n < 256; ++i) {
      faults[n++] = v.groups[g].sets[0].faults[i];
    }
  }
  WiringSeen again;
  MUST(v.clashes || wiring_matrix(plan, faults, n, &again) == STATUS_OK);
  for (int a = 0; a < WIRING_NODES && !v.clashes; ++a) {
    for (int b = 0; b < WIRING_NODES; ++b) {
      MUST(v.known[a][b] == WIRING_UNKNOWN || v.known[a][b] == again.mark[a][b]);
    }
  }
}

static void
try_notation(Arena* arena, const Connector* c, int what, const char* text, size_t n)
{
  JudgeReadings r = {.connector = c,
                     .celsius = 20,
                     .length_m = 20,
                     .rule = CONDUCTOR_BY_620,
                     .insulation_ohm = NAN,
                     .breaks = -1,
                     .seconds = -1};
  Error error = {0};
  WiringPlan plan = c->plan;
  r.ohm[0] = -1;
  const Status st = what == 0   ? notation_wired(c, "it", text, &r.seen, &error)
                    : what == 1 ? notation_within(c, WIRING_FAR, "it", text, &r.seen, &error)
                    : what == 2 ? notation_ohms(c, "it", text, r.ohm, &error)
                                : notation_plan(arena, c, "it", text, &plan, &error);
  if (st != STATUS_OK) {
    refused(st, &error, n);
    MUST(r.ohm[0] < 0 && plan.wires == c->plan.wires);
    return;
  }
  check_marks(&c->plan, &r.seen);
  check_verdict(arena, &plan, &r.seen);
  MUST(what != 3 || wiring_check(&plan) == STATUS_OK);
  r.has_wiring = what < 2;
  r.has_ohms = what == 2;
  Judgement j;
  if (what < 3) {
    MUST(judge_cable(arena, &r, &j, &error) == STATUS_OK && j.n_todo > 0);
    MUST((j.state == JUDGE_NOT_SOUND) == (j.n_faults > 0));
  }
}

static void
try_heap(Arena* arena, const Connector* c, const uint8_t* bytes, size_t n)
{
  Heap heap;
  int n_read = 0;
  heap_init(&heap, arena);
  for (size_t i = 0; i < n && i < 400; ++i) {
    HeapScreen s;
    const char text[8] = {(char)bytes[i], (char)(i + 1 < n ? bytes[i + 1] : 0), '\0'};
    MUST(heap_screen(&heap, c, arena, &s) == STATUS_OK && s.n_choices <= HEAP_CHOICES);
    if (heap.state == HEAP_ASK_TAG) {
      MUST(heap_tag(&heap, text) == STATUS_OK && heap.state == HEAP_ASK_READING);
      continue;
    }
    for (int k = 0; k < s.n_choices; ++k) {
      if (s.choices[k].key != (char)bytes[i] || strchr("qu", s.choices[k].key)) {
        continue;
      }
      HeapReading reading = s.choices[k].reading;
      const bool asks = heap.state == HEAP_ASK_READING;
      const bool typed =
        s.choices[k].asks == 0 || heap_contacts(c, (const char*)text, s.choices[k].asks, &reading);
      const Status st = s.choices[k].key == 'n' && !asks && heap.state == HEAP_ASK_KNOWN_GOOD
                          ? heap_no_known_good(&heap)
                        : s.choices[k].key == 'd' ? heap_tester_changed(&heap)
                        : typed                   ? heap_reading(&heap, reading)
                                                  : STATUS_NO;
      MUST(st == STATUS_OK || (st == STATUS_NO && !typed));
      n_read += asks && typed;
      MUST(heap.n_cables == n_read);
      break;
    }
  }
  while (heap_take_back(&heap) == STATUS_OK) {
    MUST(heap.n_cables <= n_read);
  }
  MUST(heap.n_cables == 0 && heap.n_events == 0 && heap.state == HEAP_ASK_TAG);
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  if (n_bytes < 2) {
    return 0;
  }
  Arena arena;
  Connector c;
  arena_init(&arena, NULL);
  const char* const name = cables[bytes[0] % (sizeof(cables) / sizeof(cables[0]))];
  MUST(connector_find(&arena, name, &c, NULL) == STATUS_OK);
  const char* const text = arena_text(&arena, (const char*)bytes + 2, n_bytes - 2);
  MUST(text);
  if (bytes[1] % 5 == 4) {
    try_heap(&arena, &c, bytes + 2, n_bytes - 2);
  } else {
    try_notation(&arena, &c, bytes[1] % 5, text, strlen(text));
  }
  arena_deinit(&arena);
  return 0;
}
