// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/predict.h"

#include "base/text.h"
#include "fault/card.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char* const check_words[CHECK_COUNT] = {
  "level", "tone", "hum",  "crackle", "polarity", "seen", "look", "volts",
  "lamps", "ohms", "flex", "swap",    "box",      "hunt", "sent"};

static const char* const words[CHECK_COUNT][PREDICT_MAX_WORDS] = {
  [CHECK_LEVEL] = {"nothing", "far down", "low", "normal", "over"},
  [CHECK_TONE] = {"full", "thin"},
  [CHECK_HUM] = {"none", "audible", "loud"},
  [CHECK_CRACKLE] = {"none", "some", "on touch"},
  [CHECK_POLARITY] = {"same", "inverted"},
  [CHECK_SEEN] = {"yes", "no"},
  [CHECK_LOOK] = {"fine", "muted", "patch", "phantom", "pad", "gain", "owner", "clock", "lost"},
  [CHECK_VOLTS] = {"full", "sagged", "none", "2 low", "3 low", "reversed"},
  [CHECK_OHMS] = {"right", "open", "short", "odd"},
  [CHECK_FLEX] = {"passes", "breaks"},
  [CHECK_SWAP] = {"better", "same"},
  [CHECK_BOX] = {"fine", "dark", "no link", "one link", "clock"},
  [CHECK_HUNT] = {"here", "nothing"},
};

// How many readings a person could give: what misreading is spread over, and what "something
// else" is flat over. Checks with open lists (inputs, sources, pictures) count the usual few.
static int
n_readings(const Plant* plant, int line, Check check)
{
  static const int n[CHECK_COUNT] = {5, 2, 3, 3, 2, 6, 6, 6, 8, 4, 2, 2, 5, 3, 8};
  if (check.sort == CHECK_LOOK) {
    return check.desk < 0 ? 4 : plant_is_digital(plant, line) ? 9 : 6;
  }
  return n[check.sort];
}

int
predict_words(const Plant* plant, int line, Check check)
{
  int n = 0;
  if (check.sort == CHECK_LOOK && check.desk < 0) {
    return 0; // What lies in a socket is the name of a source
  }
  while (n < PREDICT_MAX_WORDS && words[check.sort][n]) {
    ++n;
  }
  return check.sort == CHECK_LOOK && !plant_is_digital(plant, line) && n > 6 ? 6 : n;
}

// Chance that a quantity is called above a limit: half at the limit, 1 to 3 within `width` of it.
static double
above(double value, double limit, double width)
{
  if (value == -(double)INFINITY) {
    return 0.0;
  }
  return 1.0 / (1.0 + exp(-(value - limit) * 1.0986 / width));
}

// A share of a distribution being collected.
typedef struct {
  int keys[PREDICT_MAX_KEYS];
  double probs[PREDICT_MAX_KEYS];
  int n;
} Shown;

static void
show(Shown* s, int key, double prob)
{
  for (int i = 0; i < s->n; ++i) {
    if (s->keys[i] == key) {
      s->probs[i] += prob;
      return;
    }
  }
  if (prob > 0.0 && s->n < PREDICT_MAX_KEYS) {
    s->keys[s->n] = key;
    s->probs[s->n++] = prob;
  }
}

// Level words against the expected level. Limits are usual practice: "low" from 4 dB down, "far
// down" from 15, "nothing" from 60 (near a preamplifier's noise at line-check gain), "over" 10 up.
static void
show_level(Shown* s, double db, double prob)
{
  const double over = above(db, 10.0, 1.5);
  const double normal = above(db, -4.0, 1.0);
  const double low = above(db, -15.0, 2.0);
  const double far = above(db, -60.0, 6.0);
  show(s, LEVEL_OVER, prob * over);
  show(s, LEVEL_NORMAL, prob * (normal - over));
  show(s, LEVEL_LOW, prob * (low - normal));
  show(s, LEVEL_FAR_DOWN, prob * (far - low));
  show(s, LEVEL_NOTHING, prob * (1.0 - far));
}

// Hum against what a line check's gain makes of it. Thermal noise of a 200 ohm source in 20 kHz is
// -132 dBV (check-values 8, computed); audible from 12 dB, loud from 45 dB above it: no source.
static void
show_hum(Shown* s, double dbv, double prob)
{
  const double audible = above(dbv, -120.0, 4.0);
  const double loud = above(dbv, -87.0, 4.0);
  show(s, HUM_LOUD, prob * loud);
  show(s, HUM_AUDIBLE, prob * (audible - loud));
  show(s, HUM_NONE, prob * (1.0 - audible));
}

// A leg of phantom as a person reads it on a meter.
static void
show_volts(Shown* s, const double v[2])
{
  const bool none2 = fabs(v[0]) < 2.5;
  const bool none3 = fabs(v[1]) < 2.5;
  int key = VOLTS_SAGGED;
  if (v[0] < -2.5 || v[1] < -2.5) {
    key = VOLTS_REVERSED;
  } else if (none2 && none3) {
    key = VOLTS_NONE;
  } else if (v[0] < 0.8 * v[1] && v[0] < 42.0) {
    key = VOLTS_TWO_LOW;
  } else if (v[1] < 0.8 * v[0] && v[1] < 42.0) {
    key = VOLTS_THREE_LOW;
  } else if (v[0] > 44.0 && v[1] > 44.0) { // IEC 61938: 48 V +- 4 V
    key = VOLTS_FULL;
  }
  show(s, key, 1.0);
}

static void
show_seen(Shown* s, const Plant* plant, int line, int desk, const View* view)
{
  const double here = above(view->meter_db[desk], -30.0, 5.0);
  const int at = view->arrives_at[desk];
  const bool elsewhere = at >= 0 && at != line;
  if (elsewhere) { // The source moves another meter, whatever this one does
    show(s, PREDICT_ON + plant->lines[at].desk_input[desk], 0.95);
    show(s, SEEN_YES, 0.05 * here);
    show(s, SEEN_NO, 0.05 * (1.0 - here));
  } else {
    show(s, SEEN_YES, here);
    show(s, SEEN_NO, 1.0 - here);
  }
}

static void
show_ohms(Shown* s, const View* view)
{
  const double low = view->r23_planned_low;
  const double high = view->r23_planned_high;
  if (!(high > 0.0)) { // Nobody knows what this source should read
    show(s, OHMS_RIGHT, view->r23_ohm < 2.0 ? 0.1 : 0.4);
    show(s, OHMS_OPEN, 0.3);
    show(s, OHMS_SHORT, view->r23_ohm < 2.0 ? 0.5 : 0.1);
    show(s, OHMS_ODD, 0.1);
  } else if (view->r23_ohm > 20.0 * high) {
    show(s, OHMS_OPEN, 1.0);
  } else if (view->r23_ohm < 2.0 && low > 4.0) {
    show(s, OHMS_SHORT, 1.0);
  } else {
    const bool fits = view->r23_ohm >= 0.8 * low && view->r23_ohm <= 1.25 * high;
    show(s, fits ? OHMS_RIGHT : OHMS_ODD, 1.0);
  }
}

// Six states a lamp: its place in base 8, behind a leading 1 that says how many there are, makes a
// picture a number.
static const char lamp_states[] = ".dGRgr";

static int
picture_key(const char* picture)
{
  int code = 1;
  for (int i = 0; picture[i]; ++i) {
    const char* const at = strchr(lamp_states, picture[i]);
    code = code * 8 + (at ? (int)(at - lamp_states) : 0);
  }
  return PREDICT_PICTURE + code;
}

// What the view shows before misreading; probabilities sum to 1.
static Shown
shown(const Plant* plant, int line, Check check, const View* view, const View* known)
{
  Shown s = {{0}, {0}, 0};
  const int d = check.desk >= 0 ? check.desk : 0;
  const double open = view->open_prob;
  switch (check.sort) {
    case CHECK_LEVEL:
      if (view->is_adrift) { // Shares assumed, no source
        show_level(&s, view->level_db[d] - 22.0, 0.55 * (1.0 - open));
        show_level(&s, view->level_db[d] + 14.0, 0.25 * (1.0 - open));
        show_level(&s, view->level_db[d], 0.20 * (1.0 - open));
      } else {
        show_level(&s, view->level_db[d], 1.0 - open);
      }
      if (open > 0.0) {
        show(&s, LEVEL_FAR_DOWN, open * 0.6);
        show(&s, LEVEL_NOTHING, open * 0.4);
      }
      break;
    case CHECK_TONE: {
      // Of what is hardly there nobody can say how it sounds.
      const double audible = above(view->level_db[d], -45.0, 4.0);
      const double thin = audible * above(-view->bass_db[d], 9.0, 3.0) + (1.0 - audible) * 0.5;
      show(&s, TONE_THIN, thin);
      show(&s, TONE_FULL, 1.0 - thin);
      break;
    }
    case CHECK_HUM:
      show_hum(&s, view->hum_dbv[d], 1.0);
      break;
    case CHECK_CRACKLE:
      if (view->is_clicking) { // Clicks stand in pauses and drown in loud music (no source)
        show(&s, CRACKLE_SOME, 0.9);
        show(&s, CRACKLE_NONE, 0.1);
        break;
      }
      // A loose contact answers to the hand nine times in ten (no source); a sound one never does.
      // A wet one crackles by itself.
      show(&s, CRACKLE_ON_TOUCH, view->is_loose ? 0.75 : view->is_wet ? 0.1 : 0.0);
      show(&s, CRACKLE_SOME, view->is_loose ? 0.15 : view->is_wet ? 0.6 : 0.02);
      show(&s, CRACKLE_NONE, view->is_loose ? 0.10 : view->is_wet ? 0.3 : 0.98);
      break;
    case CHECK_POLARITY:
      show(&s, view->sign[d] < 0 ? POLARITY_INVERTED : POLARITY_SAME, 1.0);
      break;
    case CHECK_SEEN:
      show_seen(&s, plant, line, d, view);
      if (open > 0.0) {
        for (int i = 0; i < s.n; ++i) {
          s.probs[i] *= 1.0 - open;
        }
        show(&s, SEEN_NO, open);
      }
      break;
    case CHECK_LOOK:
      if (check.desk >= 0) {
        show(&s, view->look[d], 1.0);
      } else {
        show(&s, view->plugged >= 0 ? PREDICT_SOURCE + view->plugged : LOOK_NOTHING_PLUGGED, 1.0);
      }
      break;
    case CHECK_VOLTS:
      show_volts(&s, check.desk >= 0 ? view->desk_volts[d] : view->volts);
      break;
    case CHECK_LAMPS:
      show(&s, picture_key(view->lamps_weak), view->weak_prob);
      show(&s, picture_key(view->lamps), 1.0 - view->weak_prob);
      break;
    case CHECK_SENT:
      show(&s, picture_key(view->sent_weak), view->sent_weak_prob);
      show(&s, picture_key(view->sent), 1.0 - view->sent_weak_prob);
      break;
    case CHECK_OHMS:
      show_ohms(&s, view);
      break;
    case CHECK_FLEX: // A still cable's break shows too; a loose one shows nine times in ten
      show(&s, FLEX_BREAKS, view->is_loose ? 0.9 : 0.0);
      show(&s, FLEX_PASSES, view->is_loose ? 0.1 : 1.0);
      break;
    case CHECK_BOX:
      show(&s, view->box, 1.0);
      break;
    case CHECK_HUNT: {
      const View* const v = known ? known : view;
      const double here = above(v->level_db[d], -8.0, 1.5);
      show(&s, HUNT_HERE, here);
      show(&s, HUNT_NOWHERE, 1.0 - here);
      break;
    }
    default:
      show(&s, SWAP_SAME, 1.0);
      break;
  }
  return s;
}

// Share of misreadings that falls on one wrong key when `shows` is right. Where readings lie in a
// row people mistake neighbours: each place further is a quarter as likely (usual practice, no
// source).
static double
mistaken(const Plant* plant, int line, Check check, int shows, int key)
{
  const int n = n_readings(plant, line, check);
  if (check.sort != CHECK_LEVEL && check.sort != CHECK_HUM) {
    return 1.0 / (n - 1);
  }
  double sum = 0.0;
  for (int k = 0; k < n; ++k) {
    sum += k != shows ? pow(0.25, abs(k - shows) - 1) : 0.0;
  }
  return key != shows && key >= 0 && key < n ? pow(0.25, abs(key - shows) - 1) / sum : 0.0;
}

void
predict_probs(const Plant* plant, int line, Check check, const View* view, const View* known,
              const int* keys, int n_keys, double* probs)
{
  if (view->is_anything) {
    for (int k = 0; k < n_keys; ++k) {
      probs[k] = 1.0 / n_readings(plant, line, check);
    }
    return;
  }
  const double misread = plant_misread_prob(plant, check_words[check.sort]);
  const Shown s = shown(plant, line, check, view, known);
  for (int k = 0; k < n_keys; ++k) {
    probs[k] = 0.0;
    for (int i = 0; i < s.n; ++i) {
      probs[k] += s.probs[i] * (s.keys[i] == keys[k]
                                  ? 1.0 - misread
                                  : misread * mistaken(plant, line, check, s.keys[i], keys[k]));
    }
  }
}

double
predict_prob(const Plant* plant, int line, Check check, const View* view, const View* known,
             int key)
{
  double prob = 0.0;
  predict_probs(plant, line, check, view, known, &key, 1, &prob);
  return prob;
}

int
predict_keys(const Plant* plant, int line, Check check, const View* view, const View* known,
             int keys[PREDICT_MAX_KEYS])
{
  if (view->is_anything) {
    return 0;
  }
  const Shown s = shown(plant, line, check, view, known);
  int n = 0;
  for (int i = 0; i < s.n; ++i) {
    if (s.probs[i] > 0.005) {
      keys[n++] = s.keys[i];
    }
  }
  return n;
}

int
predict_shows(const Plant* plant, int line, Check check, const View* view, const View* known)
{
  const Shown s = shown(plant, line, check, view, known);
  int best = 0;
  for (int i = 1; i < s.n; ++i) {
    best = s.probs[i] > s.probs[best] ? i : best;
  }
  return s.n ? s.keys[best] : 0;
}

const char*
predict_check_word(CheckSort sort)
{
  return sort < CHECK_COUNT ? check_words[sort] : "";
}

bool
predict_check_of(const char* word, CheckSort* sort)
{
  for (int i = 0; i < CHECK_COUNT; ++i) {
    if (text_same(word, check_words[i])) {
      *sort = (CheckSort)i;
      return true;
    }
  }
  return false;
}

const char*
predict_key_text(Arena* arena, const Plant* plant, int act, Check check, int line, int key)
{
  if (key >= PREDICT_PICTURE) {
    char picture[TESTER_MAX_LAMPS + 1] = "";
    int code = key - PREDICT_PICTURE;
    int n = 0;
    while (n < TESTER_MAX_LAMPS && code >> (3 * (n + 1))) {
      ++n;
    }
    for (int i = n - 1; i >= 0; --i) {
      picture[i] = lamp_states[code % 8];
      code /= 8;
    }
    return arena_copy(arena, picture);
  }
  if (key >= PREDICT_SOURCE) {
    const Input* const input = plant_input(plant, act, key - PREDICT_SOURCE);
    return arena_copy(arena, input ? input->source : "an unknown source");
  }
  if (key >= PREDICT_ON) {
    return arena_format(arena, "on %d", key - PREDICT_ON);
  }
  if (check.sort == CHECK_LOOK && key == LOOK_NOTHING_PLUGGED) {
    return arena_copy(arena, "nothing");
  }
  if (check.sort == CHECK_HUNT && key == HUNT_HERE) {
    return arena_format(arena, "%s%d", plant->boxes[plant->lines[line].box].name,
                        plant->lines[line].socket);
  }
  const char* const word = key >= 0 && key < PREDICT_MAX_WORDS ? words[check.sort][key] : NULL;
  return arena_copy(arena, word ? word : "?");
}

void
predict_lamps(const Plant* plant, char names[PREDICT_LAMPS_BYTES])
{
  const Tester* const tester = plant_own_tester(plant, 3);
  const int n = tester ? tester_count(tester, TESTER_LAMP) : 0;
  names[0] = '\0';
  for (int i = 0; i < n; ++i) {
    char name[16];
    card_lamp_name(tester, i, name);
    (void)snprintf(names + strlen(names), PREDICT_LAMPS_BYTES - strlen(names), "%s%s",
                   i ? ", " : "", name);
  }
}

bool
predict_can_send(const Plant* plant)
{
  const Tester* const tester = plant_own_tester(plant, 3);
  return tester && card_fits(tester, CARD_SENDER);
}

static Status
refuse(const Plant* plant, Error* error, Check check, const char* text)
{
  char all[200] = "";
  char names[PREDICT_LAMPS_BYTES];
  char lamps[PREDICT_LAMPS_BYTES + 80];
  predict_lamps(plant, names);
  (void)snprintf(lamps, sizeof(lamps),
                 "a letter for each lamp, such as G.R (%s; g and r weaker, d dim, . dark)", names);
  for (int i = 0; i < PREDICT_MAX_WORDS && words[check.sort][i]; ++i) {
    (void)snprintf(all + strlen(all), sizeof(all) - strlen(all), "%s%s", i ? ", " : "",
                   words[check.sort][i]);
  }
  const char* const more = check.sort == CHECK_SEEN    ? ", or on N (the input that moves)"
                           : check.sort == CHECK_VOLTS ? ", or two numbers such as 34.4,34.4"
                           : check.sort == CHECK_LAMPS || check.sort == CHECK_SENT ? lamps
                           : check.sort == CHECK_FLEX ? ", or counted breaks such as 3 breaks in 60"
                           : check.sort == CHECK_OHMS ? ", or a number of ohms"
                                                      : "";
  return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0, "\"%s\" is no reading of %s. Say %s%s%s.",
                   text, check_words[check.sort], all[0] ? "one of: " : "", all, more);
}

// "3 breaks in 60", "breaks 3", "0 breaks": the counted breaks of a flex check.
static bool
counted_breaks(const char* text, int* n)
{
  char copy[40];
  int seconds = 0;
  (void)snprintf(copy, sizeof(copy), "%s", text);
  char* const in = strstr(copy, " in ");
  if (in) {
    char* const unit = strstr(in + 4, " s");
    if (unit) {
      *unit = '\0';
    }
    if (!text_whole(in + 4, 1, 86400, &seconds)) {
      return false;
    }
    *in = '\0';
  }
  if (text_begins(copy, "breaks ")) {
    return text_whole(copy + 7, 0, 100000, n);
  }
  char* const word = strstr(copy, " break");
  if (!word || !(text_same(word, "break") || text_same(word, "breaks"))) {
    return false;
  }
  *word = '\0';
  return text_whole(copy, 0, 100000, n);
}

static bool
two_volts(const char* text, double v[2])
{
  char copy[40];
  (void)snprintf(copy, sizeof(copy), "%s", text);
  char* const middle = strpbrk(copy, ",/ ;");
  if (!middle) {
    return false;
  }
  *middle = '\0';
  return text_number(copy, -60.0, 60.0, &v[0]) && text_number(middle + 1, -60.0, 60.0, &v[1]);
}

Status
predict_key_of(const Plant* plant, int act, Check check, int line, const char* text, int* key,
               Error* error)
{
  int number = 0;
  double value = 0.0;
  double v[2];
  const bool at_socket = check.sort == CHECK_LOOK && check.desk < 0;
  for (int i = 0; !at_socket && i < PREDICT_MAX_WORDS && words[check.sort][i]; ++i) {
    if (text_same(text, words[check.sort][i])) {
      *key = i;
      return STATUS_OK;
    }
  }
  if (check.sort == CHECK_SEEN && text_begins(text, "on ") &&
      text_whole(text + 3, 1, 999, &number)) {
    const int own = plant->lines[line].desk_input[check.desk >= 0 ? check.desk : 0];
    *key = number == own ? SEEN_YES : PREDICT_ON + number;
    return STATUS_OK;
  }
  if (check.sort == CHECK_FLEX && counted_breaks(text, &number)) {
    *key = number > 0 ? FLEX_BREAKS : FLEX_PASSES;
    return STATUS_OK;
  }
  if (check.sort == CHECK_VOLTS && two_volts(text, v)) {
    Shown s = {{0}, {0}, 0};
    show_volts(&s, v);
    *key = s.keys[0];
    return STATUS_OK;
  }
  if (check.sort == CHECK_OHMS && text_number(text, 0.0, 1e9, &value)) {
    const Input* const input = plant_input(plant, act, line);
    View view = {.r23_ohm = value};
    plant_r23_ohm(plant, input, &view.r23_planned_low, &view.r23_planned_high);
    Shown s = {{0}, {0}, 0};
    show_ohms(&s, &view);
    *key = view.r23_planned_high > 0.0 ? s.keys[0] : value < 2.0 ? OHMS_SHORT : OHMS_RIGHT;
    return STATUS_OK;
  }
  if (check.sort == CHECK_LAMPS || check.sort == CHECK_SENT) {
    const Tester* const tester = plant_own_tester(plant, 3);
    const size_t n_lamps = tester ? (size_t)tester_count(tester, TESTER_LAMP) : 0;
    if (strlen(text) == n_lamps && strspn(text, lamp_states) == n_lamps) {
      *key = picture_key(text);
      return STATUS_OK;
    }
  }
  if (check.sort == CHECK_HUNT && plant_socket(plant, text) == line) {
    *key = HUNT_HERE;
    return STATUS_OK;
  }
  if (at_socket && text_same(text, "nothing")) {
    *key = LOOK_NOTHING_PLUGGED;
    return STATUS_OK;
  }
  for (int i = 0; at_socket && i < plant->n_inputs; ++i) {
    if (plant->inputs[i].act == act && text_same(plant->inputs[i].source, text) &&
        plant->inputs[i].line >= 0) {
      *key = PREDICT_SOURCE + plant->inputs[i].line;
      return STATUS_OK;
    }
  }
  if (at_socket) {
    return error_set(error, STATUS_BAD_INPUT, NULL, 0, 0,
                     "\"%s\" is no source of this act. Say what is plugged there as the input list "
                     "names it, or nothing.",
                     text);
  }
  return refuse(plant, error, check, text);
}
