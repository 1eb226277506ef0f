// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/heap_talk.h"

#include "base/text.h"
#include "day/heap.h"
#include "day/judge.h"
#include "face/json.h"
#include "face/key.h"

#include <errno.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

enum { LINE_BYTES = 200 };

typedef struct {
  const Face* face;
  const Connector* connector;
  const char* csv;
  Heap heap;
  Keys keys;
  const char* note; ///< Above the next screen, "" = nothing
} Bench;

// ---- The list of verdicts ----

static void
csv_cell(FILE* out, const char* text, const char* end)
{
  const bool quoted = strpbrk(text, ",\"\r\n") != NULL;
  (void)fputs(quoted ? "\"" : "", out);
  for (; *text; ++text) {
    (void)fputs(*text == '"' ? "\"\"" : "", out);
    (void)fputc(*text, out);
  }
  (void)fputs(quoted ? "\"" : "", out);
  (void)fputs(end, out);
}

static Status
csv_refuse(const Bench* bench)
{
  return error_set(bench->face->error, errno == ENOSPC ? STATUS_FULL : STATUS_IO, NULL, 0, 0,
                   "\"%.120s\" could not be written: %s.", bench->csv, strerror(errno));
}

// The whole list beside its place, then into it: what stands there is always whole.
static Status
csv_write(const Bench* bench, Arena* arena)
{
  const Heap* const heap = &bench->heap;
  const char* const beside = arena_format(arena, "%s.part", bench->csv);
  FILE* const out = beside ? fopen(beside, "wb") : NULL;
  if (!out) {
    return beside ? csv_refuse(bench) : STATUS_NO_MEMORY;
  }
  (void)fputs("tag,cable,shows,verdict,counts\r\n", out);
  for (int i = 0; i < heap->n_cables; ++i) {
    const HeapCable* const cable = &heap->cables[i];
    const char* const shows = heap_reading_name(bench->connector, cable->reading, arena);
    csv_cell(out, cable->tag, ",");
    csv_cell(out, bench->connector->name, ",");
    csv_cell(out, shows ? shows : "", ",");
    csv_cell(out, heap_verdict_word(cable->verdict), ",");
    csv_cell(out, cable->is_old ? "no, tested again" : "yes", "\r\n");
  }
  const bool good = fflush(out) == 0 && fsync(fileno(out)) == 0 && !ferror(out);
  if (fclose(out) != 0 || !good || rename(beside, bench->csv) != 0) {
    const Status st = csv_refuse(bench);
    (void)remove(beside);
    return st;
  }
  return STATUS_OK;
}

// ---- Drawing ----

static void
count(const Heap* heap, int n[4])
{
  memset(n, 0, 4 * sizeof(n[0]));
  for (int i = 0; i < heap->n_cables; ++i) {
    n[heap->cables[i].verdict] += !heap->cables[i].is_old;
  }
}

static void
draw(const Bench* bench, const HeapScreen* s)
{
  const Screen* const screen = bench->face->screen;
  int n[4];
  count(&bench->heap, n);
  screen_clear(screen);
  screen_say(screen, PAINT_PLAIN, "%s: %d tested, %d to use, %d taped off, %d to test again.",
             bench->connector->name, bench->heap.n_cables, n[HEAP_USE], n[HEAP_TAPE_OFF],
             n[HEAP_TEST_AGAIN] + n[HEAP_WAITS]);
  if (bench->note[0]) {
    screen_say(screen, PAINT_WARN, "%s", bench->note);
  }
  if (bench->heap.n_cables == 0) {
    screen_item(screen, PAINT_WARN, "First: ", judge_caution(bench->connector));
  }
  screen_gap(screen);
  const bool stop = s->state == HEAP_ASK_KNOWN_GOOD || s->state == HEAP_ASK_TESTER;
  if (s->state == HEAP_ASK_TAG && s->say[0]) { // What to do with the last one, then the next
    screen_say(screen, PAINT_STRONG, "%s", s->say);
    screen_gap(screen);
  }
  screen_say(screen, stop ? PAINT_BAD : PAINT_STRONG, "%s", s->headline);
  if (s->state != HEAP_ASK_TAG && s->say[0]) {
    screen_say(screen, PAINT_PLAIN, "%s", s->say);
  }
  if (s->n_choices > 0) {
    screen_gap(screen);
  }
  for (int i = 0; i < s->n_choices; ++i) {
    char lead[8];
    (void)snprintf(lead, sizeof(lead), "  %c  ", s->choices[i].key);
    screen_item(screen, PAINT_PLAIN, lead, s->choices[i].say);
  }
  if (s->state == HEAP_ASK_TAG) {
    screen_say(screen, PAINT_PLAIN, "(an empty line or q ends it, u takes the last one back)");
  }
  screen_gap(screen);
}

static Status
draw_json(const Bench* bench, const HeapScreen* s)
{
  static const char* const states[] = {"tag", "reading", "known-good", "tester"};
  int n[4];
  count(&bench->heap, n);
  json_t* const answer = json_answer(NULL);
  json_t* const heap = json_object();
  json_t* const choices = json_array();
  for (int i = 0; i < s->n_choices; ++i) {
    json_t* const choice = json_object();
    const char key[2] = {s->choices[i].key, '\0'};
    json_object_set_new(choice, "key", json_words(key));
    json_object_set_new(choice, "say", json_words(s->choices[i].say));
    json_array_append_new(choices, choice);
  }
  json_object_set_new(answer, "cable", json_words(bench->connector->name));
  json_object_set_new(heap, "asks", json_words(states[s->state]));
  json_object_set_new(heap, "headline", json_words(s->headline));
  json_object_set_new(heap, "say", json_words(s->say));
  json_object_set_new(heap, "caution", json_words(judge_caution(bench->connector)));
  json_object_set_new(heap, "note", json_words(bench->note));
  json_object_set_new(heap, "tested", json_integer(bench->heap.n_cables));
  json_object_set_new(heap, "use", json_integer(n[HEAP_USE]));
  json_object_set_new(heap, "taped_off", json_integer(n[HEAP_TAPE_OFF]));
  json_object_set_new(heap, "test_again", json_integer(n[HEAP_TEST_AGAIN] + n[HEAP_WAITS]));
  json_object_set_new(heap, "tester_prob", json_figure(bench->heap.tester_prob));
  json_object_set_new(heap, "choices", choices);
  json_object_set_new(answer, "heap", heap);
  return json_answer_print(answer, bench->face->args, bench->face->screen->out, bench->face->error);
}

// ---- Answers ----

// A line without its end, in `text`; false at the end of input.
static bool
read_line(const Bench* bench, char text[LINE_BYTES])
{
  (void)fflush(bench->face->screen->out);
  size_t n = 0;
  int c = getchar();
  if (c == EOF) {
    return false;
  }
  for (; c != EOF && c != '\n'; c = getchar()) {
    if (n < LINE_BYTES - 1 && c != '\r') {
      text[n++] = (char)(c > 0 && c < ' ' ? ' ' : c);
    }
  }
  while (n > 0 && text[n - 1] == ' ') {
    --n;
  }
  text[n] = '\0';
  memmove(text, text + strspn(text, " "), n - strspn(text, " ") + 1);
  return true;
}

static Status
take_back(Bench* bench)
{
  const Status st = heap_take_back(&bench->heap);
  bench->note = st == STATUS_NO ? "There is nothing to take back." : "Taken back.";
  return st == STATUS_NO ? STATUS_OK : st;
}

static Status
answer_tag(Bench* bench, bool* done)
{
  char text[LINE_BYTES];
  if (!read_line(bench, text) || !text[0] || text_same(text, "q")) {
    *done = true;
    return STATUS_OK;
  }
  if (text_same(text, "u")) {
    return take_back(bench);
  }
  if (!text[1] && text[0] >= 'a' && text[0] <= 'z') { // Somebody is a key ahead
    bench->note = "That is a key, not a tag. Type the next cable's tag first.";
    return STATUS_OK;
  }
  if (!text_is_utf8(text, strlen(text))) {
    bench->note = "That tag is not readable text (UTF-8): type it again.";
    return STATUS_OK;
  }
  return heap_tag(&bench->heap, text);
}

static Status
answer_choice(Bench* bench, const HeapChoice* choice)
{
  HeapReading reading = choice->reading;
  if (choice->asks > 0) {
    char text[LINE_BYTES];
    screen_say(bench->face->screen, PAINT_STRONG, "%s",
               choice->asks == 1 ? "Which contact?" : "Which two contacts, as in 1-2?");
    if (!read_line(bench, text) || !heap_contacts(bench->connector, text, choice->asks, &reading)) {
      bench->note = "These are no contacts of this cable: once more.";
      return STATUS_OK;
    }
  }
  return heap_reading(&bench->heap, reading);
}

static Status
answer_key(Bench* bench, const HeapScreen* s, int key, bool* done)
{
  for (int i = 0; i < s->n_choices; ++i) {
    if (s->choices[i].key != key) {
      continue;
    }
    switch (key) {
      case 'q':
        *done = true;
        return STATUS_OK;
      case 'u':
        return take_back(bench);
      case 'n':
        return heap_no_known_good(&bench->heap);
      case 'd':
        return heap_tester_changed(&bench->heap);
      default:
        return answer_choice(bench, &s->choices[i]);
    }
  }
  bench->note = "That key is not among the choices.";
  return STATUS_OK;
}

static Status
turn(Bench* bench, Arena* arena, bool* done)
{
  HeapScreen screen;
  Status st;
  TRY(st, heap_screen(&bench->heap, bench->connector, arena, &screen));
  if (bench->face->args->json) {
    TRY(st, draw_json(bench, &screen));
  } else {
    draw(bench, &screen);
  }
  bench->note = "";
  const int n_events = bench->heap.n_events;
  if (screen.state == HEAP_ASK_TAG) {
    TRY(st, answer_tag(bench, done));
  } else {
    const int key = keys_next(&bench->keys, bench->face->screen, 0);
    *done = key == KEY_END;
    if (!*done && key != KEY_LATER) {
      TRY(st, answer_key(bench, &screen, key, done));
    }
  }
  return bench->heap.n_events == n_events ? STATUS_OK : csv_write(bench, arena);
}

static void
say_end(const Bench* bench)
{
  const Screen* const screen = bench->face->screen;
  int n[4];
  count(&bench->heap, n);
  screen_say(screen, PAINT_STRONG, "%d to use, %d taped off, %d to test again.", n[HEAP_USE],
             n[HEAP_TAPE_OFF], n[HEAP_TEST_AGAIN] + n[HEAP_WAITS]);
  if (bench->heap.n_cables > 0) {
    screen_say(screen, PAINT_PLAIN,
               "The verdicts are in %s. \"Use\" is what this tester can see: what breaks "
               "only when it is bent needs 60 s of flexing.",
               bench->csv);
  }
}

Status
heap_talk(const Face* face, const Connector* connector)
{
  Bench bench = {.face = face,
                 .connector = connector,
                 .csv = face->args->csv ? face->args->csv : "heap.csv",
                 .note = ""};
  if (!face->args->force && access(bench.csv, F_OK) == 0) {
    return error_set(face->error, STATUS_EXISTS, NULL, 0, 0,
                     "\"%.120s\" is already there: give another name with --csv, or --force.",
                     bench.csv);
  }
  heap_init(&bench.heap, face->arena);
  keys_init(&bench.keys, face->screen);
  bench.keys.clock_says = "at this heap";
  bool done = false;
  Status st = csv_write(&bench, face->arena); // Rather now than after the first cable
  while (st == STATUS_OK && !done) {
    Arena memory;
    arena_init(&memory, NULL);
    st = turn(&bench, &memory, &done);
    arena_deinit(&memory);
  }
  int n[4];
  count(&bench.heap, n);
  if (st == STATUS_OK && !face->args->json) {
    say_end(&bench);
  }
  if (bench.keys.signal) {
    (void)fflush(stdout);
    (void)raise(bench.keys.signal);
  }
  return st != STATUS_OK                                             ? st
         : n[HEAP_TAPE_OFF] + n[HEAP_TEST_AGAIN] + n[HEAP_WAITS] > 0 ? STATUS_NO
                                                                     : STATUS_OK;
}
