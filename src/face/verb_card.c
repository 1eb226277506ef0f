// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "face/card_design.h"
#include "face/json.h"
#include "face/tester_open.h"
#include "face/verb.h"
#include "fault/card.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  `card`: what a stage hand would tape inside the lid of a tester. Picture by picture: what the
  lamps show, which faults show it, what to do then; at its foot what these lamps cannot see and
  what to take instead. Faults of a kind are put together ("1k in 1, 2, 3").
*/

static const char* const words[CARD_SITUATIONS] = {"phantom", "sender", "reversed", "alone"};

static const char* const titles[CARD_SITUATIONS] = {
  "UNDER PHANTOM", "WITH ITS SENDER", "SENDER BATTERY THE WRONG WAY ROUND", "BY ITS OWN BATTERY"};

static const char* const how[CARD_SITUATIONS] = {
  "Mute the channel at every desk and turn headphones down. Unplug the source, put the lamps in "
  "its "
  "place, phantom on for this line. Never with a ribbon microphone anywhere the line could end.",
  "Unplug the cable at both ends, sender at one, lamps at the other. Nothing else may hang on it: "
  "a "
  "sender drives milliamperes through whatever does, and that kills a ribbon.",
  "The battery in backwards: every colour turns, and a good cable looks like a faulty one.",
  "Unplug the cable at both ends and put the lamps at one of them, nothing at the other."};

// ---- Rows in words ----

// Faults of one kind together: "1k in 1, 2, 3".
static void
add_kind(TextOut* out, const Card* card, const int rows[], int n, int first, bool done[])
{
  const CardFault* const f = &card->rows[rows[first]].fault;
  const char* const word = f->mode == FAULT_HIGH   ? (f->ohm < 5e3 ? "1k in" : "10k in")
                           : f->mode == FAULT_LEAK ? "10k across"
                                                   : NULL;
  int said = 0;
  for (int k = first; k < n; ++k) {
    const CardFault* const g = &card->rows[rows[k]].fault;
    if (done[k] || g->mode != f->mode || g->n_pairs != f->n_pairs ||
        (f->mode == FAULT_HIGH && g->ohm != f->ohm)) {
      continue;
    }
    done[k] = true;
    const char* const blank = strrchr(g->name, ' ');
    if (word) { // The name is "high 2 1k": what stands in its middle
      char middle[CARD_NAME_BYTES];
      const char* const from = strchr(g->name, ' ');
      const size_t bytes = from && blank > from ? (size_t)(blank - from - 1) : 0;
      (void)snprintf(middle, sizeof(middle), "%.*s", (int)bytes, from ? from + 1 : "");
      text_add(out, "%s %s", said ? "," : word, middle);
    } else if (said == 0) {
      text_add(out, "%s", g->name);
    } else {
      text_add(out, ", %s", blank ? blank + 1 : g->name);
    }
    ++said;
  }
}

// Those of `rows` as a person says them.
static const char*
faults_said(Arena* arena, const Card* card, const int rows[], int n)
{
  TextOut out = {.arena = arena};
  bool done[CARD_MAX_FAULTS] = {false};
  for (int k = 0; k < n; ++k) {
    if (!done[k]) {
      text_add(&out, "%s", out.n_bytes ? "; " : "");
      add_kind(&out, card, rows, n, k, done);
    }
  }
  return text_done(&out);
}

// "2-1 green, 3-1 dark, 2-3 red"
static const char*
picture_said(Arena* arena, const Card* card, int row)
{
  TextOut out = {.arena = arena};
  char letters[LAMP_MAX + 1];
  card_read(&card->rows[row], letters);
  for (int k = 0; k < card->n_lamps; ++k) {
    char name[16];
    card_lamp_name(card->tester, k, name);
    text_add(&out, "%s%s %s", k ? ", " : "", name,
             letters[k] == 'G'   ? "green"
             : letters[k] == 'R' ? "red"
                                 : "dark");
  }
  return text_done(&out);
}

static bool
all_dark(const Card* card, int row)
{
  char letters[LAMP_MAX + 1];
  card_read(&card->rows[row], letters);
  return strspn(letters, ".") == strlen(letters);
}

// What to do with a picture that is not a good line's; what the short words mean stands at the
// foot.
static const char*
what_to_do(const Card* card, const Card* reversed, int row)
{
  char now[LAMP_MAX + 1];
  char backwards[LAMP_MAX + 1] = "";
  card_read(&card->rows[row], now);
  if (reversed) {
    card_read(&reversed->rows[0], backwards);
  }
  if (card->situation == CARD_PHANTOM) {
    return all_dark(card, row) ? "phantom first: is it on, at the desk? If it is: towards the desk"
                               : "towards the desk";
  }
  if (card->situation == CARD_REVERSED) {
    return "turn the battery and read again";
  }
  if (card->situation == CARD_SENDER && strcmp(now, backwards) == 0) {
    return "battery first: the wrong way round it shows this on a good cable. If it is right: tape "
           "off";
  }
  return all_dark(card, row) ? "a known-good cable first: dark there too is the tester's battery "
                               "or plug. Else: tape off"
                             : "tape off";
}

static const char* const foot[CARD_SITUATIONS] = {
  "Towards the desk: the fault lies between here and there. Go one joint on and read again: still "
  "there, further on; gone, it was in the cable you left behind, so swap that and tape it off. "
  "Past "
  "a passive split a good line looks like short 2-3, and past an isolating transformer nothing "
  "lights: read each side by itself.",
  "Tape off: mark the cable with what stands here, take another and read that one too. Three "
  "cables "
  "running with the same fault: suspect the tester and put a known-good cable on it.",
  "", "Tape off: mark the cable with what stands here, take another and read that one too."};

// The lamp by which a row is told from a reference that looks the same: ratio above 1 brighter,
// below 1 weaker; 1 when none is far enough.
static double
told_by(const Card* card, int reference, int row, int* lamp)
{
  double best = 1.0;
  for (int k = 0; k < card->n_lamps; ++k) {
    const double is_a = card->rows[row].lamp_a[k];
    const double was_a = card->rows[reference].lamp_a[k];
    const char letter = card->rows[row].picture[k];
    if ((letter == 'G' || letter == 'R') && letter == card->rows[reference].picture[k]) {
      const double ratio = is_a / was_a;
      if (fabs(log(ratio)) > fabs(log(best))) {
        best = ratio;
        *lamp = k;
      }
    }
  }
  return best >= CARD_BRIGHT_RATIO || best <= 1.0 / CARD_BRIGHT_RATIO ? best : 1.0;
}

// Indices of the rows that look as `row` does, itself included.
static int
group_of(const Card* card, int row, int rows[])
{
  int n = 0;
  for (int k = 0; k < card->n_rows; ++k) {
    if (card->rows[k].looks_as == row) {
      rows[n++] = k;
    }
  }
  return n;
}

// Faults that neither picture nor brightness tells from a good line.
static int
not_seen(const Card* card, int rows[])
{
  int n = 0;
  for (int k = 1; k < card->n_rows; ++k) {
    int lamp = 0;
    if (card->rows[k].looks_as == 0 && told_by(card, 0, k, &lamp) == 1.0) {
      rows[n++] = k;
    }
  }
  return n;
}

// ---- What to take instead ----

static const char*
instead(const Card* card, FaultMode mode)
{
  const bool phantom = card->situation == CARD_PHANTOM;
  switch (mode) {
    case FAULT_CROSSED:
    case FAULT_ROTATED:
      return phantom
               ? "Crossed 2-3: no lamp and no meter under phantom can see it. Listen against a "
                 "good neighbour for polarity, or take the cable out and use a sender."
               : "Crossed contacts: an ohmmeter from end to end, contact by contact.";
    case FAULT_HIGH:
      return "Resistance in a contact: an ohmmeter from end to end of the unplugged cable, contact "
             "by "
             "contact; more than 1 ohm beyond its copper is too much.";
    case FAULT_LEAK:
      return "A leak: an ohmmeter between the contacts of the cable with nothing plugged at either "
             "end; anything it can read is wet or crushed.";
    case FAULT_OPEN:
      return "An open contact: an ohmmeter from end to end, or a sender that drives one contact at "
             "a "
             "time.";
    default:
      return "A short: an ohmmeter between the contacts with nothing plugged at either end.";
  }
}

static void
say_not_seen(const Face* face, const Card* card)
{
  int rows[CARD_MAX_FAULTS];
  const int n = not_seen(card, rows);
  if (n == 0) {
    screen_item(face->screen, PAINT_PLAIN, "  ",
                "Every fault of this card shows, if brightness is read too.");
    return;
  }
  const char* const said = faults_said(face->arena, card, rows, n);
  screen_item(face->screen, PAINT_WARN, "  Not seen: ", said ? said : "");
  static const FaultMode order[] = {FAULT_CROSSED, FAULT_OPEN, FAULT_SHORT, FAULT_HIGH, FAULT_LEAK};
  for (size_t m = 0; m < sizeof(order) / sizeof(order[0]); ++m) {
    for (int k = 0; k < n; ++k) {
      const FaultMode mode = card->rows[rows[k]].fault.mode;
      if (mode == order[m] || (order[m] == FAULT_CROSSED && mode == FAULT_ROTATED)) {
        screen_item(face->screen, PAINT_PLAIN, "  - ", instead(card, order[m]));
        break;
      }
    }
  }
}

// ---- The card in words ----

// Which of the rows that look the same are told by brightness, a line each.
static void
say_brightness(const Face* face, const Card* card, const int rows[], int n)
{
  char than[CARD_NAME_BYTES];
  card_fault_say(&card->rows[rows[0]].fault, than);
  for (int k = 1; k < n; ++k) {
    int lamp = 0;
    char name[16];
    char fault[CARD_NAME_BYTES];
    const double ratio = told_by(card, rows[0], rows[k], &lamp);
    if (ratio == 1.0) {
      continue;
    }
    card_lamp_name(card->tester, lamp, name);
    card_fault_say(&card->rows[rows[k]].fault, fault);
    const char* const said =
      arena_format(face->arena, "%s: %s is %.1f times %s than %s%s", fault, name,
                   ratio > 1.0 ? ratio : 1.0 / ratio, ratio > 1.0 ? "brighter" : "weaker",
                   rows[0] == 0 ? "on a good line" : "with ", rows[0] == 0 ? "" : than);
    screen_item(face->screen, PAINT_PLAIN, "      - ", said ? said : "");
  }
}

static void
say_group(const Face* face, const Card* card, const Card* reversed, int row)
{
  int rows[CARD_MAX_FAULTS];
  const int n = group_of(card, row, rows);
  char letters[LAMP_MAX + 1];
  char lead[24];
  card_read(&card->rows[row], letters);
  (void)snprintf(lead, sizeof(lead), "  %-*s  ", card->n_lamps, letters);
  const char* const picture = picture_said(face->arena, card, row);
  screen_cell(face->screen, PAINT_STRONG, lead, 0);
  screen_rest(face->screen, PAINT_PLAIN, text_width(lead), text_width(lead),
              picture ? picture : "");
  const char* said = NULL;
  if (row == 0) {
    said = n > 1 ? faults_said(face->arena, card, rows + 1, n - 1) : "";
    screen_item(face->screen, PAINT_GOOD, "      ", "a good line");
    if (said && said[0]) {
      screen_item(face->screen, PAINT_WARN, "      but also: ", said);
    }
  } else {
    said = faults_said(face->arena, card, rows, n);
    screen_item(face->screen, PAINT_WARN, "      ", said ? said : "");
  }
  say_brightness(face, card, rows, n);
  if (row != 0) {
    screen_item(face->screen, PAINT_PLAIN, "      -> ", what_to_do(card, reversed, row));
  }
}

static void
say_card(const Face* face, const Card* card, const Card* reversed, const char* picture,
         bool is_short)
{
  int showing[CARD_MAX_FAULTS];
  const int n = picture ? card_showing(card, picture, showing) : 0;
  screen_gap(face->screen);
  screen_say(face->screen, PAINT_STRONG, "%s", titles[card->situation]);
  // Who asks what one picture means is about to plug all the same
  const bool has_poles =
    text_same(card->tester->connector + (card->tester->connector[0] ? 1 : 0), "-pole");
  if (has_poles) {
    screen_say(
      face->screen, PAINT_WARN,
      "A loudspeaker cable: unplug it from its amplifier first, then from its boxes; the outputs "
      "can exceed 50 V and bridged ones have no earthed side.");
  }
  if (!has_poles || card->situation != CARD_SENDER) {
    screen_say(face->screen, PAINT_PLAIN, "%s", how[card->situation]);
  } else if (!picture) {
    screen_say(face->screen, PAINT_PLAIN, "Sender at one end of the cable, lamps at the other.");
  }
  if (picture && n == 0) {
    screen_item(
      face->screen, PAINT_WARN, "  ",
      "No single fault shows this: two at once, another tester, or a misreading. Read again, "
      "the lamps in the order above.");
    return;
  }
  if (is_short) {
    char letters[LAMP_MAX + 1];
    card_read(&card->rows[0], letters);
    screen_say(face->screen, PAINT_PLAIN,
               "A good cable shows %s (%s). Turn the battery and read again.", letters,
               picture_said(face->arena, card, 0));
    return;
  }
  for (int i = 0; i < card->n_rows; ++i) {
    if (card->rows[i].looks_as == i && (!picture || card->rows[showing[0]].looks_as == i)) {
      say_group(face, card, reversed, i);
    }
  }
  if (foot[card->situation][0]) {
    screen_say(face->screen, PAINT_PLAIN, "%s", foot[card->situation]);
  }
  if (!picture) {
    say_not_seen(face, card);
  }
}

static void
say_head(const Face* face, const Tester* tester)
{
  TextOut out = {.arena = face->arena};
  const int n = tester_count(tester, TESTER_LAMP);
  for (int k = 0; k < n; ++k) {
    char name[16];
    card_lamp_name(tester, k, name);
    text_add(&out, "%s%s", k ? ", " : "", name);
  }
  const char* const lamps = text_done(&out);
  screen_say(face->screen, PAINT_STRONG, "Tester %s%s%s", tester->name, tester->note[0] ? ": " : "",
             tester->note);
  screen_say(face->screen, PAINT_PLAIN,
             "Lamps in this order: %s. G green, R red, . dark (a glimmer is dark). Brighter and "
             "weaker are named from %g times on.",
             lamps ? lamps : "", CARD_BRIGHT_RATIO);
}

// ---- The card as JSON ----

static json_t*
rows_json(const Card* card)
{
  json_t* const rows = json_array();
  for (int i = 0; i < card->n_rows; ++i) {
    const CardRow* const row = &card->rows[i];
    json_t* const one = json_object();
    json_t* const currents = json_object();
    for (int k = 0; k < card->n_lamps; ++k) {
      char name[16];
      char key[32];
      card_lamp_name(card->tester, k, name);
      (void)snprintf(key, sizeof(key), "%s", name);
      if (json_object_get(currents, key)) { // Two lamps across one pair
        (void)snprintf(key, sizeof(key), "%s #%d", name, k + 1);
      }
      json_object_set_new(currents, key, json_figure(row->lamp_a[k]));
    }
    int lamp = 0;
    json_object_set_new(one, "fault", json_words(row->fault.name));
    json_object_set_new(one, "picture", json_words(row->picture));
    json_object_set_new(one, "currents_a", currents);
    json_object_set_new(one, "looks_good", json_boolean(row->looks_as == 0));
    json_object_set_new(one, "ratio", json_figure(told_by(card, row->looks_as, i, &lamp)));
    json_array_append_new(rows, one);
  }
  return rows;
}

static json_t*
names_json(const Card* card, const int rows[], int n)
{
  json_t* const names = json_array();
  for (int k = 0; k < n; ++k) {
    json_array_append_new(names, json_words(card->rows[rows[k]].fault.name));
  }
  return names;
}

static json_t*
card_json(const Card* card, const char* picture, int* n_shown)
{
  int rows[CARD_MAX_FAULTS];
  json_t* const object = json_object();
  json_t* const same = json_array();
  json_object_set_new(object, "situation", json_words(words[card->situation]));
  json_object_set_new(object, "rows", rows_json(card));
  for (int i = 0; i < card->n_rows; ++i) {
    if (card->rows[i].looks_as == i) {
      const int n = group_of(card, i, rows);
      if (n > 1) {
        json_array_append_new(same, names_json(card, rows, n));
      }
    }
  }
  json_object_set_new(object, "same", same);
  const int n_not = not_seen(card, rows);
  json_object_set_new(object, "not_seen", names_json(card, rows, n_not));
  if (picture) {
    const int n = card_showing(card, picture, rows);
    json_object_set_new(object, "showing", names_json(card, rows, n));
    *n_shown += n;
  }
  return object;
}

static Status
answer(const Face* face, const Tester* tester, const Card cards[], int n, const char* picture,
       int* n_shown)
{
  json_t* const object = json_answer(NULL);
  json_t* const lamps = json_array();
  json_t* const also = json_array();
  json_t* const first = card_json(&cards[0], picture, n_shown);
  const int n_lamps = tester_count(tester, TESTER_LAMP);
  for (int k = 0; k < n_lamps; ++k) {
    char name[16];
    card_lamp_name(tester, k, name);
    json_array_append_new(lamps, json_words(name));
  }
  for (int i = 1; i < n; ++i) {
    json_array_append_new(also, card_json(&cards[i], picture, n_shown));
  }
  json_object_set_new(object, "tester", json_words(tester->name));
  json_object_set_new(object, "note", json_words(tester->note));
  json_object_set_new(object, "figures", json_words(tester->figures));
  json_object_set_new(object, "contacts", json_integer(tester->n_contacts));
  json_object_set_new(object, "lamps", lamps);
  json_object_update(object, first);
  json_decref(first);
  json_object_set_new(object, "also", also);
  return json_answer_print(object, face->args, face->screen->out, face->error);
}

// ---- The verb ----

static Status
build_cards(const Face* face, const Tester* tester, Card cards[CARD_SITUATIONS], int* n_cards)
{
  const char* const under = face->args->under;
  int n = 0;
  Status st = STATUS_OK;
  for (int s = 0; s < CARD_SITUATIONS; ++s) {
    if (!card_fits(tester, (CardSituation)s) || (under && !text_same(under, words[s]))) {
      continue;
    }
    TRY(st, card_build(face->arena, tester, (CardSituation)s, &cards[n]));
    ++n;
  }
  if (n == 0) {
    return error_set(face->error, STATUS_BAD_INPUT, NULL, 0, 0,
                     under
                       ? "Tester %.40s has no card under \"%.20s\". There are: phantom (testers of "
                         "three contacts), sender and reversed (with a sender), alone (a battery "
                         "beside the lamps)."
                       : "Tester %.40s has neither sender nor battery, and phantom lights "
                         "three-contact testers only: nothing would ever light it.",
                     tester->name, under ? under : "");
  }
  *n_cards = n;
  return STATUS_OK;
}

Status
verb_card(const Face* face)
{
  const Args* const args = face->args;
  const char* const word = args->n_words > 0 ? args->words[0] : NULL;
  const Tester* tester = NULL;
  Card cards[CARD_SITUATIONS];
  int n = 0;
  Status st = STATUS_OK;
  TRY(st, tester_open(face, word, args->n_words > 1 ? args->words[1] : NULL,
                      args->contacts ? args->contacts : 3, args->show, &tester));
  if (args->design) {
    return card_design(face, tester);
  }
  TRY(st, build_cards(face, tester, cards, &n));
  const char* const picture = args->lamps;
  int rows[CARD_MAX_FAULTS];
  if (picture && card_showing(&cards[0], picture, rows) < 0) {
    return error_set(
      face->error, STATUS_BAD_INPUT, NULL, 0, 0,
      "\"%.20s\" is no picture of tester %.40s: write %d letters, G or R lit, . dark.", picture,
      tester->name, cards[0].n_lamps);
  }
  int n_shown = 0;
  if (args->json) {
    TRY(st, answer(face, tester, cards, n, picture, &n_shown));
  } else {
    const Card* reversed = NULL;
    Card backwards;
    if (card_fits(tester, CARD_REVERSED)) {
      TRY(st, card_build(face->arena, tester, CARD_REVERSED, &backwards));
      reversed = &backwards;
    }
    say_head(face, tester);
    for (int i = 0; i < n; ++i) {
      say_card(face, &cards[i], reversed, picture,
               n > 1 && cards[i].situation == CARD_REVERSED && !picture);
      n_shown += picture ? card_showing(&cards[i], picture, rows) : 0;
    }
  }
  return picture && n_shown == 0 ? STATUS_NO : STATUS_OK;
}
