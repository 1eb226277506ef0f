// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/prove_say.h"

#include "base/text.h"
#include "day/harm.h"
#include "day/reading.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  The ten answers of a line check, as the crew page has them: yes, no, again, wrong one, crackle,
  hum, low, no phantom, skip, stop. A way has those that its check can give; a key is the first
  letter where it is free.
*/

const char*
prove_socket(const Plant* plant, int line, char text[40])
{
  const Line* const l = &plant->lines[line];
  (void)snprintf(text, 40, "%.20s%d", plant->boxes[l->box].name, l->socket);
  return text;
}

const char*
prove_act(const Situation* s, PassWay way, bool of_pass)
{
  return s->act < 0 || (pass_is_bare(way) && !of_pass) ? "bare lines" : s->plant->acts[s->act].name;
}

// ---- Cautions ----

// Whether what any act plugs into a line must not get phantom.
static bool
is_ever_harmful(const Situation* s, int line)
{
  for (int a = 0; a < s->plant->n_acts; ++a) {
    if (plant_is_harmful(s->plant, plant_input(s->plant, a, line))) {
      return true;
    }
  }
  return false;
}

const char*
prove_unplug_say(const Situation* s, Arena* arena, PassWay way)
{
  const Plant* const plant = s->plant;
  TextOut out = {.arena = arena};
  int n = 0;
  for (int l = 0; l < plant->n_lines; ++l) {
    char socket[40];
    if (s->act < 0 ? is_ever_harmful(s, l) : harm_is(s, l)) {
      const int at = s->act < 0 ? l : harm_plug_at(s, l);
      text_add(&out, "%s%s", n++ ? ", " : "", prove_socket(plant, at, socket));
    }
  }
  const char* const list = text_done(&out);
  if (!list) {
    return NULL;
  }
  const WordsFill fill = {.unplug = list};
  const bool stays = s->act >= 0 && !pass_is_bare(way);
  if (stays && n == 0) {
    return words_say(arena, WORDS_PROVE_STAYS, &fill);
  }
  const char* const say = words_say(arena,
                                    n == 0       ? WORDS_PROVE_EMPTY
                                    : s->act < 0 ? WORDS_PROVE_UNPLUG_BARE
                                                 : WORDS_PROVE_UNPLUG,
                                    &fill);
  const char* const rest = stays ? words_say(arena, WORDS_PROVE_REST, &fill) : "";
  return !say || !rest ? NULL : stays ? arena_format(arena, "%s %s", say, rest) : say;
}

// ---- What was found ----

static bool
is_dark(const char* picture)
{
  return strspn(picture, ".") == strlen(picture);
}

// The fault that most odds are on, by its name whatever part has it; NULL when none has half.
static Status
likely_fault(const Situation* s, Arena* arena, int line, const char** fault)
{
  const Suspect* list = NULL;
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, situation_suspects(s, arena, line, &list, &n));
  *fault = NULL;
  for (int i = 0; i < n; ++i) {
    const Fault* const f = &list[i].fault;
    double sum = 0.0;
    if (list[i].state || f->part == PART_ELSE) {
      continue;
    }
    for (int k = 0; k < n; ++k) {
      const Fault* const g = &list[k].fault;
      sum +=
        !list[k].state && g->mode == f->mode && g->a == f->a && g->b == f->b ? list[k].prob : 0.0;
    }
    if (sum > 0.5) {
      char text[CATALOGUE_SPOKEN_BYTES];
      *fault = arena_copy(arena, catalogue_spoken(f, text));
      return *fault ? STATUS_OK : STATUS_NO_MEMORY;
    }
  }
  return STATUS_OK;
}

Status
prove_found(const Situation* s, Arena* arena, const Seen* seen, const char** found)
{
  const char* const reading =
    predict_key_text(arena, s->plant, s->act, seen->check, seen->line, seen->key);
  const char* fault = NULL;
  Status st = STATUS_OK;
  if (!reading) {
    return STATUS_NO_MEMORY;
  }
  const char* said = seen->check.sort == CHECK_SEEN && seen->key >= PREDICT_ON
                       ? arena_format(arena, "seen %s", reading)
                     : seen->check.sort != CHECK_LAMPS
                       ? reading_say(s, arena, seen->line, seen->check, reading)
                     : is_dark(reading) ? "no phantom"
                                        : arena_format(arena, "lamps %s", reading);
  TRY(st, likely_fault(s, arena, seen->line, &fault));
  if (said && fault) { // What was read is certain, what it is only likely
    said = arena_format(arena, "%s (likely %s)", said, fault);
  }
  *found = said ? said : *found;
  return said ? STATUS_OK : STATUS_NO_MEMORY;
}

// ---- Keys ----

static const char*
place_word(const Situation* s, Check check)
{
  return check.desk >= 0 ? s->plant->desks[check.desk].name : "socket";
}

static ProveFact
saw(const Situation* s, int line, PassWay way, Check check, const char* reading)
{
  return (ProveFact){.verb = "saw",
                     .line = s->plant->lines[line].number,
                     .check = predict_check_word(check.sort),
                     .reading = reading,
                     .at = place_word(s, check),
                     .act = prove_act(s, way, false)};
}

Status
prove_good(const Situation* s, Arena* arena, int line, PassWay way, int desk, ProveFact* fact)
{
  const Check check = pass_check(way, desk);
  int key = 0;
  Status st = STATUS_OK;
  TRY(st, pass_good_key(s, line, way, desk, &key));
  const char* const reading = predict_key_text(arena, s->plant, s->act, check, line, key);
  if (!reading) {
    return STATUS_NO_MEMORY;
  }
  *fact = saw(s, line, way, check, reading);
  return STATUS_OK;
}

static void
add_key(Prove* p, char key, const char* word, const char* say, ProveFact fact, ProveAsks asks)
{
  if (p->n_keys < PROVE_MAX_KEYS) {
    p->keys[p->n_keys++] = (ProveKey){key, word, say, fact, asks};
  }
}

static void
add_saw(const Situation* s, Prove* p, char key, const char* word, const char* say, Check check,
        const char* reading)
{
  add_key(p, key, word, say, saw(s, p->lines[p->at].line, p->way, check, reading),
          PROVE_ASKS_NOTHING);
}

static void
ear_keys(const Situation* s, Prove* p, const Input* input)
{
  const int d = p->desk;
  add_saw(s, p, 'n', "no", "nothing arrives", (Check){CHECK_LEVEL, d}, "nothing");
  add_saw(s, p, 'l', "low", "lower than it should be", (Check){CHECK_LEVEL, d}, "low");
  add_saw(s, p, 'c', "crackle", "it crackles", (Check){CHECK_CRACKLE, d}, "some");
  add_saw(s, p, 'h', "hum", "it hums", (Check){CHECK_HUM, d}, "audible");
  if (p->way == PASS_HEARD && input && s->plant->kinds[input->kind].needs_phantom == ANSWER_YES) {
    add_saw(s, p, 'p', "no phantom", "phantom is off at the desk and should be on",
            (Check){CHECK_LOOK, d}, "phantom");
  }
}

static Status
lamp_keys(const Situation* s, Arena* arena, Prove* p)
{
  const char* const good = p->lines[p->at].good.reading;
  char* const dark = arena_copy(arena, good);
  if (!dark) {
    return STATUS_NO_MEMORY;
  }
  memset(dark, '.', strlen(dark));
  add_saw(s, p, 'p', "no phantom", "no lamp lights", (Check){CHECK_LAMPS, -1}, dark);
  add_key(p, 'o', "other lamps", "as in G.R, small letters for weaker",
          saw(s, p->lines[p->at].line, p->way, (Check){CHECK_LAMPS, -1}, ""), PROVE_ASKS_PICTURE);
  return STATUS_OK;
}

// Of the readings of a meter all but the good one, which has its own key.
static void
volts_keys(const Situation* s, Prove* p)
{
  static const struct {
    char key;
    const char *word, *say, *reading;
  } keys[] = {{'p', "no phantom", "both near 0 V", "none"},
              {'2', "2 low", "2 is lower than 3", "2 low"},
              {'3', "3 low", "3 is lower than 2", "3 low"},
              {'d', "down", "both alike, lower than 44 V", "sagged"},
              {'f', "full", "both near 48 V: nothing draws from it", "full"}};
  const Check check = pass_check(p->way, p->desk);
  const char* const good = p->lines[p->at].good.reading;
  for (size_t i = 0; i < sizeof(keys) / sizeof(keys[0]); ++i) {
    if (!text_same(keys[i].reading, good)) {
      add_saw(s, p, keys[i].key, keys[i].word, keys[i].say, check, keys[i].reading);
    }
  }
}

static const char*
good_say(const Situation* s, Arena* arena, const Prove* p)
{
  return p->way == PASS_LAMP ? "just these lamps"
         : pass_has_ear(p->way)
           ? "it sounds right"
           : reading_say(s, arena, p->lines[p->at].line, pass_check(p->way, p->desk),
                         p->lines[p->at].good.reading);
}

static Status
say_line(const Situation* s, Arena* arena, Prove* p)
{
  const Plant* const plant = s->plant;
  const int line = p->lines[p->at].line;
  const Input* const input = plant_input(plant, s->act, line);
  char socket[40];
  char number[16];
  char lamps[PREDICT_LAMPS_BYTES];
  predict_lamps(plant, lamps);
  (void)snprintf(number, sizeof(number), "%d", p->lines[p->at].input);
  const char* const picture =
    p->way == PASS_LAMP ? arena_format(arena, "%s (%s)", p->lines[p->at].good.reading, lamps) : "";
  const WordsFill fill = {.desk = plant->desks[p->desk].say,
                          .input = number,
                          .source = input ? input->source : "whatever is plugged",
                          .socket = prove_socket(plant, line, socket),
                          .lamps = picture,
                          .found = good_say(s, arena, p)};
  static const Sentence sentences[PASS_WAYS] = {WORDS_PROVE_HEARD, WORDS_PROVE_MICROPHONE,
                                                WORDS_PROVE_LAMP, WORDS_PROVE_VOLTS,
                                                WORDS_PROVE_DESK_VOLTS};
  const Sentence sentence = p->way == PASS_LAMP && input ? WORDS_PROVE_LAMP_OUT : sentences[p->way];
  const char* const say = picture ? words_say(arena, sentence, &fill) : NULL;
  if (!say) {
    return STATUS_NO_MEMORY;
  }
  p->say = say;
  if (pass_is_bare(p->way) && harm_has_ribbon(s, line)) {
    const WordsFill ribbon = {.line = arena_format(arena, "%d", plant->lines[line].number)};
    p->caution = ribbon.line ? words_say(arena, WORDS_RIBBON, &ribbon) : NULL;
  }
  return p->caution ? STATUS_OK : STATUS_NO_MEMORY;
}

Status
prove_keys(const Situation* s, Arena* arena, Prove* p)
{
  if (!p->has_way) {
    return STATUS_OK;
  }
  const int line = p->lines[p->at].line;
  const int number = s->plant->lines[line].number;
  const Input* const input = plant_input(s->plant, s->act, line);
  const char* const act = prove_act(s, p->way, true);
  char socket[40];
  Status st = STATUS_OK;
  TRY(st, say_line(s, arena, p));
  prove_socket(s->plant, line, socket);
  const char* const again = arena_format(arena, "Again: line %d, %s.", number, socket);
  if (!again) {
    return STATUS_NO_MEMORY;
  }
  const char* const good = good_say(s, arena, p);
  if (!good) {
    return STATUS_NO_MEMORY;
  }
  add_key(p, 'y', "yes", good, p->lines[p->at].good, PROVE_ASKS_NOTHING);
  if (pass_has_ear(p->way)) {
    ear_keys(s, p, input);
  } else if (p->way == PASS_LAMP) {
    TRY(st, lamp_keys(s, arena, p));
  } else {
    volts_keys(s, p);
  }
  if (p->way != PASS_DESK_VOLTS) { // There nothing of the line itself is seen
    add_key(p, 'w', "wrong one",
            pass_has_ear(p->way) ? "I see it on another input"
                                 : "another channel's phantom is what lights it",
            saw(s, line, p->way, (Check){CHECK_SEEN, p->desk}, "on "), PROVE_ASKS_INPUT);
  }
  if (pass_has_ear(p->way)) {
    add_key(p, 'a', "again", "once more, please",
            (ProveFact){.verb = "say", .line = number, .to = "stage", .text = again},
            PROVE_ASKS_NOTHING);
  }
  add_key(p, 's', "skip", "come back later",
          (ProveFact){.verb = "skip",
                      .line = number,
                      .at = pass_has_ear(p->way) ? s->plant->desks[p->desk].name : NULL,
                      .act = act},
          PROVE_ASKS_NOTHING);
  add_key(p, 'x', "stop", "everybody stops",
          (ProveFact){
            .verb = "say", .to = "all", .text = "STOP. Nobody plugs or plays.", .is_urgent = true},
          PROVE_ASKS_NOTHING);
  return STATUS_OK;
}

// ---- Mistakes in the order ----

// Where a row was seen: the other line of its box, and how many sockets on; false when not so.
static bool
seen_beside(const Situation* s, const Prove* p, int row, int* other, int* on)
{
  const Plant* const plant = s->plant;
  const Line* const own = &plant->lines[p->lines[row].line];
  for (int i = 0; i < s->n_seen; ++i) {
    const Seen* const seen = &s->seen[i];
    if (seen->seq != p->lines[row].seq || seen->line != p->lines[row].line ||
        seen->check.sort != CHECK_SEEN || seen->key < PREDICT_ON) {
      continue;
    }
    for (int l = 0; l < plant->n_lines; ++l) {
      if (plant->lines[l].desk_input[seen->check.desk] == seen->key - PREDICT_ON &&
          plant->lines[l].box == own->box) {
        *other = l;
        *on = plant->lines[l].socket - own->socket;
        return true;
      }
    }
  }
  return false;
}

Status
prove_order(const Situation* s, Arena* arena, Prove* p)
{
  const Plant* const plant = s->plant;
  int other = -1;
  int on = 0;
  if (p->last < 0 || !seen_beside(s, p, p->last, &other, &on) || (on != 1 && on != -1)) {
    return STATUS_OK;
  }
  int before = -1;
  ProveIs is = PROVE_UNUSED;
  for (int i = 0; i < p->n_lines; ++i) {
    const ProveLine* const l = &p->lines[i];
    is = l->line == other ? l->is : is;
    if (i != p->last && l->seq > 0 && (before < 0 || l->seq > p->lines[before].seq)) {
      before = i;
    }
  }
  int other_before = -1;
  int on_before = 0;
  const bool again =
    before >= 0 && seen_beside(s, p, before, &other_before, &on_before) && on_before == on;
  char socket[40];
  char way[40];
  const int own = p->lines[p->last].line;
  const WordsFill fill = {.socket = prove_socket(plant, own, socket),
                          .way = prove_socket(plant, other, way),
                          .found =
                            arena_format(arena, "%d", plant->lines[other].desk_input[p->desk]),
                          .box = plant->boxes[plant->lines[own].box].name};
  const Sentence sentence = again    ? WORDS_PROVE_OFF
                            : on > 0 ? WORDS_PROVE_AHEAD
                                     : WORDS_PROVE_BEHIND;
  if (!again && ((on > 0) == (is == PROVE_GOOD))) {
    return STATUS_OK; // Seen where a good one is, or behind where none is: that is no slip
  }
  p->order = fill.found ? words_say(arena, sentence, &fill) : NULL;
  return p->order ? STATUS_OK : STATUS_NO_MEMORY;
}
