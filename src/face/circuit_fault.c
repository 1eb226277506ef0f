// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include <math.h>
#include <string.h>

/*
  Faults of a circuit written by hand: "open 2", "short 1-2", and where along the line they sit.
*/

/// What a fault's words say.
static const char* const fault_words[] = {"open",    "high",    "short", "leak",
                                          "crossed", "rotated", NULL};
enum { WORD_OPEN, WORD_HIGH, WORD_SHORT, WORD_LEAK, WORD_CROSSED, WORD_ROTATED };

// "2" or "2-3"; names may have a dash in them ("1+-1-"), so every dash is tried. b -1 = one alone.
static bool
fault_contacts(const Reading* r, int joint, const char* text, int* a, int* b)
{
  *b = -1;
  *a = circuit_contact_of(r, joint, text, strlen(text));
  for (const char* dash = strchr(text, '-'); *a < 0 && dash; dash = strchr(dash + 1, '-')) {
    const int first = circuit_contact_of(r, joint, text, (size_t)(dash - text));
    const int second = circuit_contact_of(r, joint, dash + 1, strlen(dash + 1));
    if (first >= 0 && second >= 0) {
      *a = first;
      *b = second;
    }
  }
  return *a >= 0 && *a != *b;
}

// "order": what arrives on each contact behind the fault, in order.
static Status
rotation(const Reading* r, const JsonAt* at, int joint, ChainEdit* edit)
{
  const JsonAt list = json_in_member(at, "order");
  size_t n = 0;
  Status st;
  TRY(st, json_in_count(r->in, &list, (size_t)r->n_contacts, (size_t)r->n_contacts, &n));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    int contact = 0;
    TRY(st, circuit_contact(r, joint, &one, &contact));
    for (size_t k = 0; k < i; ++k) {
      if (edit->map[k] == contact) {
        return json_in_wrong(r->in, &one, "A contact stands twice in this order.");
      }
    }
    edit->map[i] = (uint8_t)contact;
  }
  return STATUS_OK;
}

// The contacts behind a fault's word, and what they make of it.
static Status
fault_edit(const Reading* r, const JsonAt* at, int joint, int word, const char* rest, double ohm,
           ChainEdit* edit)
{
  const JsonAt here = json_in_member(at, "fault");
  const bool pair = word == WORD_SHORT || word == WORD_CROSSED;
  int a = 0;
  int b = 0;
  if (word == WORD_ROTATED) {
    edit->change = CHAIN_PERMUTE;
    return rotation(r, at, joint, edit);
  }
  if (!fault_contacts(r, joint, rest, &a, &b) || (pair && b < 0) ||
      (b >= 0 && (word == WORD_OPEN || word == WORD_HIGH))) {
    return json_in_wrong(r->in, &here,
                         "\"%s\" is followed by %s of this joint, such as \"%s %s%s%s\".",
                         fault_words[word], pair ? "two contacts" : "a contact", fault_words[word],
                         r->joints[joint].contacts[0], pair ? "-" : "",
                         pair && r->joints[joint].contacts[1] ? r->joints[joint].contacts[1] : "");
  }
  if (isnan(ohm) && (word == WORD_HIGH || word == WORD_LEAK)) {
    return json_in_wrong(r->in, at, "\"ohm\" is missing here: how much the fault has.");
  }
  if (!isnan(ohm) && (word == WORD_OPEN || word == WORD_CROSSED)) {
    return json_in_wrong(r->in, at, "\"%s\" has no \"ohm\": leave it out.", fault_words[word]);
  }
  edit->a = a;
  edit->b = b < 0 ? 0 : b;
  edit->ohm = word == WORD_OPEN ? (double)INFINITY : isnan(ohm) ? 0.1 : ohm;
  edit->change = word <= WORD_HIGH      ? CHAIN_SERIES
                 : word == WORD_CROSSED ? CHAIN_PERMUTE
                 : b < 0                ? CHAIN_LEAK
                                        : CHAIN_SHUNT;
  if (word == WORD_CROSSED) {
    edit->map[a] = (uint8_t)b;
    edit->map[b] = (uint8_t)a;
  }
  return STATUS_OK;
}

static Status
fault(const Reading* r, const JsonAt* at, ChainEdit* edit)
{
  static const char* const keys[] = {"element", "end", "fault", "ohm", "order", NULL};
  static const char* const ends[] = {"near", "far", NULL};
  const char* words[DRAWN_ELEMENTS + 1] = {NULL};
  const char* said = NULL;
  double ohm = NAN;
  int end = -1;
  Status st;
  *edit = (ChainEdit){.map = {0, 1, 2, 3, 4, 5, 6, 7}};
  TRY(st, json_in_keys(r->in, at, keys));
  for (int i = 0; i < r->n_elements; ++i) {
    words[i] = r->about[i].name;
  }
  TRY(st, json_in_word(r->in, at, "element", words, true, &edit->element));
  const ChainElement* const e = &r->elements[edit->element];
  const bool is_end = e->near < 0 || e->far < 0;
  TRY(st, json_in_word(r->in, at, "end", ends, !is_end, &end));
  // An end of the line has its plug on one side only
  edit->end = e->near < 0 || (!is_end && end == CHAIN_FAR) ? CHAIN_FAR : CHAIN_NEAR;
  if (is_end && end >= 0 && (ChainEnd)end != edit->end) {
    return json_in_wrong(r->in, at, "\"%s\" has its plug at the %s end only: leave \"end\" out.",
                         words[edit->element], ends[edit->end]);
  }
  const int joint = edit->end == CHAIN_FAR ? e->far : e->near;
  TRY(st, json_in_number(r->in, at, "ohm", 0.0, 1e15, false, &ohm));
  TRY(st, json_in_text(r->in, at, "fault", DRAWN_NAME_BYTES, true, &said));
  const size_t n = strcspn(said, " ");
  int word = -1;
  for (int i = 0; fault_words[i]; ++i) {
    word = strlen(fault_words[i]) == n && !memcmp(fault_words[i], said, n) ? i : word;
  }
  if (word < 0) {
    const JsonAt here = json_in_member(at, "fault");
    return json_in_wrong(r->in, &here,
                         "There is no fault \"%s\": open 2, high 2, short 1-2, leak "
                         "1-2, crossed 2-3, or rotated with \"order\".",
                         said);
  }
  return fault_edit(r, at, joint, word, said[n] ? said + n + 1 : "", ohm, edit);
}

Status
circuit_faults(const Reading* r, const JsonAt* root, Drawn* d)
{
  const JsonAt list = json_in_member(root, "faults");
  size_t n = 0;
  Status st;
  if (!list.value) {
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 0, DRAWN_FAULTS, &n));
  ChainEdit* const edits = arena_array(r->in->arena, n, sizeof(ChainEdit));
  if (!edits) {
    return circuit_no_memory(r);
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    TRY(st, fault(r, &one, &edits[i]));
  }
  d->edits = edits;
  d->n_edits = (int)n;
  return STATUS_OK;
}
