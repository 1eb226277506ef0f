// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/pass.h"

#include "base/text.h"
#include "day/harm.h"

#include <string.h>

/*
  Seconds of a way are rows of the times list. Beside them, where no list has them:

  lamp 1.2 s       with phantom and a lamp two people go through 50 and more lines in under a minute
                   (common practice, no source)
  microphone 20 s  48 bare lines by a walked microphone take 12 to 20 minutes (usual practice)
  heard 7 s        a line check of an act, drums faster, DIs slower (usual practice)
  volts 15 s       a measurement by hand (usual practice); at a desk's input the same
*/

static const struct {
  const char *word, *say, *time;
  double usual_s;
} ways[PASS_WAYS] = {
  [PASS_HEARD] = {"heard", "heard at the desks", "hear a line at every desk", 7.0},
  [PASS_MICROPHONE] = {"microphone", "walked microphone", "prove a bare line", 20.0},
  [PASS_LAMP] = {"lamp", "phantom and lamp", "prove a line by phantom and lamp", 1.2},
  [PASS_VOLTS] = {"volts", "phantom volts", "measure volts or ohms", 15.0},
  [PASS_DESK_VOLTS] = {"desk-volts", "phantom volts at the desk", "measure volts or ohms", 15.0},
};

const char*
pass_word(PassWay way)
{
  return (unsigned)way < PASS_WAYS ? ways[way].word : "";
}

bool
pass_of(const char* word, PassWay* way)
{
  for (int i = 0; word && i < PASS_WAYS; ++i) {
    if (text_same(word, ways[i].word)) {
      *way = (PassWay)i;
      return true;
    }
  }
  return false;
}

const char*
pass_say(PassWay way)
{
  return (unsigned)way < PASS_WAYS ? ways[way].say : "";
}

bool
pass_is_bare(PassWay way)
{
  return way != PASS_HEARD && way != PASS_DESK_VOLTS;
}

bool
pass_has_ear(PassWay way)
{
  return way == PASS_HEARD || way == PASS_MICROPHONE;
}

bool
pass_has_phantom(PassWay way)
{
  return way == PASS_LAMP || way == PASS_VOLTS || way == PASS_DESK_VOLTS;
}

bool
pass_reaches(const Situation* s, int line, PassWay way, int desk)
{
  const Plant* const plant = s->plant;
  if (way == PASS_DESK_VOLTS) {
    return plant->lines[line].desk_input[desk] > 0 && !plant_is_digital(plant, line) &&
           plant_phantom_desk(plant, line) == desk && !harm_is(s, line);
  }
  return !pass_has_ear(way) || plant->lines[line].desk_input[desk] > 0;
}

// Whether any line can be measured from any desk.
static bool
has_desk_volts(const Situation* s)
{
  for (int l = 0; l < s->plant->n_lines; ++l) {
    for (int d = 0; d < s->plant->n_desks; ++d) {
      if (pass_reaches(s, l, PASS_DESK_VOLTS, d)) {
        return true;
      }
    }
  }
  return false;
}

const char*
pass_refusal(const Situation* s, PassWay way)
{
  const Plant* const plant = s->plant;
  switch (way) {
    case PASS_HEARD:
      return s->act < 0 ? "On bare lines nothing plays that could be heard." : NULL;
    case PASS_MICROPHONE:
      return plant->n_kit > 0 && !plant_kit(plant, "known-good")
               ? "The kit at hand has no known-good microphone."
               : NULL;
    case PASS_LAMP:
      return plant_kit(plant, "lamp tester") && plant_own_tester(plant, 3)
               ? NULL
               : "The kit at hand has no lamp tester.";
    case PASS_VOLTS:
      return plant_kit(plant, "hand meter") ? NULL : "The kit at hand has no hand meter.";
    case PASS_DESK_VOLTS:
      return !plant_kit(plant, "hand meter") ? "The kit at hand has no hand meter."
             : !has_desk_volts(s)
               ? "No line's copper gets from a desk's phantom to that desk's input here."
               : NULL;
    default:
      return "There is no such way.";
  }
}

Check
pass_check(PassWay way, int desk)
{
  switch (way) {
    case PASS_LAMP:
      return (Check){CHECK_LAMPS, -1};
    case PASS_VOLTS:
      return (Check){CHECK_VOLTS, -1};
    case PASS_DESK_VOLTS:
      return (Check){CHECK_VOLTS, desk};
    default:
      return (Check){CHECK_LEVEL, desk};
  }
}

double
pass_line_s(const Plant* plant, PassWay way)
{
  return plant_time_s(plant, ways[way].time, ways[way].usual_s);
}

// ---- What shows ----

static const Fault nothing = {PART_ELSE, FAULT_NONE, 0, 0, -1, 1.0};

// The view of a line with one fault of its own, with in its socket what a check is made with. A
// hunt is always by the known-good microphone.
static Status
view_of(const Situation* s, int line, Check check, bool is_walked, const Fault* fault,
        const View** view)
{
  const bool walks = is_walked || check.sort == CHECK_HUNT;
  const Condition condition = {line, situation_plugged(s, line, check, walks), line, *fault};
  return predictor_view(s->predictor, &condition, view);
}

// What a line in order shows to a check.
typedef struct {
  Check check;
  int key;
  double prob;
} Healthy;

static Healthy
healthy_of(const Situation* s, int line, Check check, const View* good, int key)
{
  return (Healthy){check, predict_shows(s->plant, line, check, good, good),
                   predict_prob(s->plant, line, check, good, good, key)};
}

// Whether a reading of a check speaks against a fault; `healthy` is of that reading.
static bool
differs(const Situation* s, int line, const Healthy* healthy, const View* bad, int key)
{
  return !bad->is_anything &&
         predict_shows(s->plant, line, healthy->check, bad, bad) != healthy->key &&
         predict_prob(s->plant, line, healthy->check, bad, bad, key) <=
           PASS_SHOWN_RATIO * healthy->prob;
}

Status
pass_shows(const Situation* s, const Seen* seen, const Fault* fault, bool* shows)
{
  const View* good = NULL;
  const View* bad = NULL;
  const bool walked = seen->is_walked;
  *shows = false;
  if (seen->check.sort == CHECK_SWAP) {
    return STATUS_OK; // What a repair did is no look at the part
  }
  Status st = STATUS_OK;
  TRY(st, view_of(s, seen->line, seen->check, walked, &nothing, &good));
  TRY(st, view_of(s, seen->line, seen->check, walked, fault, &bad));
  const Healthy healthy = healthy_of(s, seen->line, seen->check, good, seen->key);
  *shows = differs(s, seen->line, &healthy, bad, seen->key);
  return STATUS_OK;
}

Status
pass_seen(const Situation* s, int line, const Fault* fault, bool* is_seen)
{
  Status st = STATUS_OK;
  bool any = false;
  for (int i = 0; i < s->n_seen && !any; ++i) {
    if (s->seen[i].line == line) {
      TRY(st, pass_shows(s, &s->seen[i], fault, &any));
    }
  }
  *is_seen = any;
  return STATUS_OK;
}

// The healthy reading of a check, with a line's source or the microphone in place.
static Status
healthy_now(const Situation* s, int line, Check check, bool is_walked, Healthy* healthy)
{
  const View* good = NULL;
  Status st = STATUS_OK;
  TRY(st, view_of(s, line, check, is_walked, &nothing, &good));
  *healthy = healthy_of(s, line, check, good, predict_shows(s->plant, line, check, good, good));
  return STATUS_OK;
}

Status
pass_would_see(const Situation* s, int line, Check check, bool is_walked, const Fault* fault,
               bool* sees)
{
  Healthy healthy;
  const View* bad = NULL;
  Status st = STATUS_OK;
  TRY(st, healthy_now(s, line, check, is_walked, &healthy));
  TRY(st, view_of(s, line, check, is_walked, fault, &bad));
  *sees = differs(s, line, &healthy, bad, healthy.key);
  return STATUS_OK;
}

Status
pass_would_see_all(const Situation* s, int line, Check check, bool is_walked, const bool* wanted,
                   unsigned char* sees, unsigned char bit)
{
  Healthy healthy;
  Status st = STATUS_OK;
  TRY(st, healthy_now(s, line, check, is_walked, &healthy));
  for (int i = 0; i < s->model.n_locals[line]; ++i) {
    const View* bad = NULL;
    if (!wanted[i]) {
      continue;
    }
    TRY(st, view_of(s, line, check, is_walked, &s->locals[line][i], &bad));
    if (differs(s, line, &healthy, bad, healthy.key)) {
      sees[i] = (unsigned char)(sees[i] | bit);
    }
  }
  return STATUS_OK;
}

Status
pass_good_key(const Situation* s, int line, PassWay way, int desk, int* key)
{
  const View* good = NULL;
  Status st = STATUS_OK;
  const Check check = pass_check(way, desk);
  TRY(st, view_of(s, line, check, pass_is_bare(way), &nothing, &good));
  *key = predict_shows(s->plant, line, check, good, good);
  return STATUS_OK;
}

// ---- What would see the rest ----

enum { MAX_CHECKS = 6 * PLANT_DESKS + 8 };

static void
add_check(const Situation* s, int line, PassCheck* checks, int* n, CheckSort sort, int desk,
          double seconds)
{
  int unplug[HARM_MAX_UNPLUG];
  int n_unplug = 0;
  const Check check = {sort, desk};
  if (harm_allows(s, line, check, unplug, &n_unplug)) {
    checks[(*n)++] = (PassCheck){check, seconds + 10.0 * n_unplug};
  }
}

static int
list_checks(const Situation* s, int line, PassCheck checks[MAX_CHECKS])
{
  const Plant* const plant = s->plant;
  const bool used = plant_input(plant, s->act, line) != NULL;
  const double listen = plant_time_s(plant, "see which channel is silent", 5.0);
  const double settings = plant_time_s(plant, "look at one channel at a desk", 10.0);
  const double read = plant_time_s(plant, "read a tester", 3.0);
  const double tester = plant_time_s(plant, "plug a tester in one end", 10.0) + read +
                        plant_time_s(plant, "phantom on and settled", 2.0);
  int n = 0;
  for (int d = 0; d < plant->n_desks; ++d) {
    if (plant->lines[line].desk_input[d]) {
      add_check(s, line, checks, &n, CHECK_LEVEL, d, listen);
      add_check(s, line, checks, &n, CHECK_LOOK, d, settings);
      add_check(s, line, checks, &n, CHECK_HUM, d, listen);
      add_check(s, line, checks, &n, CHECK_CRACKLE, d, settings);
      add_check(s, line, checks, &n, CHECK_POLARITY, d, settings);
    }
  }
  if (plant_is_digital(plant, line)) {
    add_check(s, line, checks, &n, CHECK_BOX, -1,
              plant_time_s(plant, "look at the lamps of a box", 8.0));
  }
  if (plant_kit(plant, "hand meter")) {
    const double meter = plant_time_s(plant, "measure volts or ohms", 15.0);
    add_check(s, line, checks, &n, CHECK_VOLTS, -1, meter);
    add_check(s, line, checks, &n, CHECK_OHMS, -1, meter);
    for (int d = 0; d < plant->n_desks; ++d) {
      if (pass_reaches(s, line, PASS_DESK_VOLTS, d)) {
        add_check(s, line, checks, &n, CHECK_VOLTS, d, meter);
      }
    }
  }
  if (plant_kit(plant, "lamp tester") && plant_own_tester(plant, 3)) {
    add_check(s, line, checks, &n, CHECK_LAMPS, -1, tester);
    if (used) {
      add_check(s, line, checks, &n, CHECK_FLEX, -1,
                plant_time_s(plant, "flex check", 60.0) + tester);
    }
    if (used && plant_kit(plant, "sender") && predict_can_send(plant)) {
      add_check(s, line, checks, &n, CHECK_SENT, -1,
                plant_time_s(plant, "plug a tester in both ends", 30.0) + read);
    }
  }
  return n;
}

Status
pass_line(const Situation* s, Arena* arena, int line, PassLine* line_out)
{
  const int n_locals = s->model.n_locals[line];
  PassFault* const faults = arena_array(arena, (size_t)n_locals, sizeof(PassFault));
  PassCheck* const checks = arena_array(arena, MAX_CHECKS, sizeof(PassCheck));
  double* const now = arena_array(arena, (size_t)n_locals, sizeof(double));
  double rate[MAX_CHECKS] = {0};
  Healthy healthy[MAX_CHECKS];
  if (!faults || !checks || !now) {
    return STATUS_NO_MEMORY;
  }
  PassLine out = {faults, 0, checks, list_checks(s, line, checks), -1};
  belief_locals(s->belief, line, now);
  Status st = STATUS_OK;
  for (int k = 0; k < out.n_checks; ++k) {
    TRY(st, healthy_now(s, line, checks[k].check, false, &healthy[k]));
  }
  for (int i = 0; i < n_locals; ++i) {
    const Fault* const f = &s->locals[line][i];
    const View* bad = NULL;
    if (f->part == PART_ELSE) {
      continue;
    }
    TRY(st, view_of(s, line, (Check){CHECK_LEVEL, 0}, false, f, &bad));
    PassFault* const one = &faults[out.n++];
    *one = (PassFault){f, now[i], false, -1};
    TRY(st, pass_seen(s, line, f, &one->is_seen));
    for (int k = 0; k < out.n_checks && !one->is_seen; ++k) {
      const View* here = bad; // Only a meter at a desk may have another thing in the socket
      if (checks[k].check.sort == CHECK_VOLTS) {
        TRY(st, view_of(s, line, checks[k].check, false, f, &here));
      }
      const bool sees = differs(s, line, &healthy[k], here, healthy[k].key);
      rate[k] += sees ? one->prob / checks[k].seconds : 0.0;
      if (sees && (one->best < 0 || checks[k].seconds < checks[one->best].seconds)) {
        one->best = k;
      }
    }
  }
  for (int k = 0; k < out.n_checks; ++k) {
    if (rate[k] > 0.0 && (out.best < 0 || rate[k] > rate[out.best])) {
      out.best = k;
    }
  }
  *line_out = out;
  return STATUS_OK;
}

const char*
pass_check_say(Arena* arena, const Plant* plant, const PassCheck* check)
{
  static const struct {
    CheckSort sort;
    const char *at_desk, *at_socket;
  } said[] = {
    {CHECK_LEVEL, "listen at the %s", NULL},
    {CHECK_HUM, "listen for hum at the %s", NULL},
    {CHECK_CRACKLE, "move plugs and cable and listen at the %s", NULL},
    {CHECK_POLARITY, "compare the polarity at the %s", NULL},
    {CHECK_LOOK, "look at its settings at the %s", "see what is plugged"},
    {CHECK_VOLTS, "volts at the %s's input", "volts at the socket"},
    {CHECK_LAMPS, NULL, "lamp tester at the socket"},
    {CHECK_OHMS, NULL, "ohms at the socket"},
    {CHECK_FLEX, NULL, "flex check of the cable"},
    {CHECK_SENT, NULL, "sender and lamps on the cable alone"},
    {CHECK_BOX, NULL, "look at the lamps of the box"},
  };
  TextOut out = {.arena = arena};
  for (size_t i = 0; i < sizeof(said) / sizeof(said[0]); ++i) {
    if (said[i].sort != check->check.sort) {
      continue;
    }
    if (check->check.desk >= 0 && said[i].at_desk) {
      const int n = (int)strcspn(said[i].at_desk, "%");
      text_add(&out, "%.*s%s%s", n, said[i].at_desk, plant->desks[check->check.desk].say,
               said[i].at_desk + n + 2);
    } else {
      text_add(&out, "%s", said[i].at_socket ? said[i].at_socket : "");
    }
  }
  text_add(&out, ", %d s", (int)(check->seconds + 0.5));
  return text_done(&out);
}
