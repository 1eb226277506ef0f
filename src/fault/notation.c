// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/notation.h"

#include "base/text.h"

#include <math.h>
#include <string.h>

/*
  One cursor over the text; every reader takes a word from it or refuses at the cursor's column.
*/

typedef struct {
  const Connector* connector;
  const char* name;
  const char* start;
  const char* at;
  Error* error;
} Cursor;

enum { MAX_BYTES = 4000, MAX_QUOTED = 24 };

static Status
refuse(const Cursor* c, const char* at, const char* what)
{
  char word[MAX_QUOTED + 1];
  size_t n = strcspn(at, " ;\t\n");
  n = n < MAX_QUOTED ? n : MAX_QUOTED;
  memcpy(word, at, n);
  word[n] = '\0';
  return error_set(c->error, STATUS_BAD_INPUT, c->name, 1, (int)(at - c->start) + 1, "%s%s%s%s",
                   what, n ? ": \"" : ", but the text ends here", n ? word : "", n ? "\"." : ".");
}

static Status
begin(Cursor* c)
{
  const size_t n = strnlen(c->start, MAX_BYTES + 1);
  if (n > MAX_BYTES) {
    return error_set(c->error, STATUS_LIMIT, c->name, 1, 1, "That is too long: at most %d bytes.",
                     MAX_BYTES);
  }
  return text_is_utf8(c->start, n) ? STATUS_OK
                                   : error_set(c->error, STATUS_BAD_INPUT, c->name, 1, 1,
                                               "That is not readable text (UTF-8).");
}

static bool
is_blank(char c)
{
  return c == ' ' || c == ';' || c == '\t' || c == '\n' || c == '\r';
}

// Move to the next word; false at the end.
static bool
next_word(Cursor* c)
{
  while (is_blank(*c->at)) {
    ++c->at;
  }
  return *c->at != '\0';
}

// A word that ends at a blank, in any case; the cursor moves behind it.
static bool
take_word(Cursor* c, const char* word)
{
  const size_t n = strlen(word);
  if (!text_begins(c->at, word) || (c->at[n] && !is_blank(c->at[n]))) {
    return false;
  }
  c->at += n;
  return true;
}

static bool
take_stroke(Cursor* c)
{
  if (c->at[0] == '-' && c->at[1] == '>') {
    c->at += 2;
    return true;
  }
  if (*c->at && strchr("-=:>", *c->at)) {
    ++c->at;
    return true;
  }
  return false;
}

static Status
take_contact(Cursor* c, WiringPlace end, int* contact)
{
  int length = 0;
  const int found = connector_contact_at(c->connector, end, c->at, &length);
  if (found < 1) {
    char what[120];
    const int last = c->connector->plan.n[end];
    const char* const first_name = connector_contact(c->connector, end, 1);
    const char* const last_name = connector_contact(c->connector, end, last);
    size_t n = 0;
    const char* const parts[] = {found < 0 ? "Several contacts begin so" : "No contact of the ",
                                 found < 0            ? ""
                                 : end == WIRING_NEAR ? "near end ("
                                                      : "far end (",
                                 found < 0 ? "" : first_name,
                                 found < 0 ? "" : " to ",
                                 found < 0 ? "" : last_name,
                                 found < 0 ? "" : ")"};
    for (size_t i = 0; i < sizeof(parts) / sizeof(parts[0]); ++i) {
      const size_t m = strlen(parts[i]);
      if (n + m < sizeof(what)) {
        memcpy(what + n, parts[i], m);
        n += m;
      }
    }
    what[n] = '\0';
    return refuse(c, c->at, what);
  }
  c->at += length;
  *contact = found;
  return STATUS_OK;
}

static bool
at_end_of_word(const Cursor* c)
{
  return !*c->at || is_blank(*c->at);
}

// A contact was tried against all of the other end: what is not joined is apart.
static void
mark_rest(const Connector* c, int near, const bool joined[WIRING_CONTACTS + 1], bool shells,
          WiringSeen* seen)
{
  const int n = shells ? wiring_contacts(&c->plan, WIRING_FAR) : c->plan.n[WIRING_FAR];
  for (int far = 1; far <= n; ++far) {
    if (!joined[far]) {
      wiring_mark(seen, wiring_node(WIRING_NEAR, near), wiring_node(WIRING_FAR, far), WIRING_APART);
    }
  }
}

// Where a contact should lead.
static void
wanted_of(const Connector* c, int near, bool joined[WIRING_CONTACTS + 1])
{
  const WiringPlan* const plan = &c->plan;
  for (int w = 0; w < plan->n_wires; ++w) {
    if (plan->wires[w].near == near) {
      joined[plan->wires[w].far] = true;
    }
  }
  for (int pass = 0; pass < 2; ++pass) { // Bridges carry it on: of this end, then of the other
    for (int j = 0; j < plan->n_joins; ++j) {
      const WiringJoin* const join = &plan->joins[j];
      if (join->end == WIRING_FAR && (joined[join->a] || joined[join->b])) {
        joined[join->a] = joined[join->b] = true;
      }
      for (int w = 0; join->end == WIRING_NEAR && w < plan->n_wires; ++w) {
        if ((join->a == near && plan->wires[w].near == join->b) ||
            (join->b == near && plan->wires[w].near == join->a)) {
          joined[plan->wires[w].far] = true;
        }
      }
    }
  }
}

static void
mark_joined(int near, const bool joined[WIRING_CONTACTS + 1], WiringSeen* seen)
{
  for (int far = 1; far <= WIRING_CONTACTS; ++far) {
    if (joined[far]) {
      wiring_mark(seen, wiring_node(WIRING_NEAR, near), wiring_node(WIRING_FAR, far),
                  WIRING_JOINED);
    }
  }
}

typedef struct {
  bool named[WIRING_CONTACTS + 1];
  bool joined[WIRING_CONTACTS + 1][WIRING_CONTACTS + 1];
  bool in_doubt[WIRING_CONTACTS + 1]; ///< The others were not tried
  bool rest;
  bool shells; ///< A shell is named somewhere
} Wired;

static void
note_shell(const Connector* c, WiringPlace end, int contact, Wired* w)
{
  w->shells = w->shells || contact > c->plan.n[end];
}

static Status
wired_range(Cursor* c, int first, Wired* w)
{
  const char* const from = c->at;
  int last = 0;
  Status st;
  c->at += 2;
  TRY(st, take_contact(c, WIRING_NEAR, &last));
  (void)next_word(c);
  if (last < first || (!take_word(c, "right") && !take_word(c, "good"))) {
    return refuse(c, from, "A run of contacts is written \"1..24 right\"");
  }
  for (int near = first; near <= last; ++near) {
    if (w->named[near]) {
      return refuse(c, from, "One of these contacts was said before");
    }
    w->named[near] = true;
    wanted_of(c->connector, near, w->joined[near]);
  }
  return STATUS_OK;
}

static Status
wired_far(Cursor* c, int near, Wired* w)
{
  Status st;
  const char* const word = c->at;
  if (take_word(c, "open") || take_word(c, "nothing") || take_word(c, "0")) {
    return STATUS_OK;
  }
  for (bool more = true; more;) {
    int far = 0;
    TRY(st, take_contact(c, WIRING_FAR, &far));
    note_shell(c->connector, WIRING_FAR, far, w);
    w->joined[near][far] = true;
    more = *c->at == ',';
    c->at += more;
  }
  if (*c->at == '?') {
    w->in_doubt[near] = true;
    ++c->at;
  }
  return at_end_of_word(c) ? STATUS_OK
                           : refuse(c, word, "Far contacts are separated by commas, as in 2-2,3");
}

static Status
wired_word(Cursor* c, Wired* w)
{
  const char* const word = c->at;
  Status st;
  if (take_word(c, "rest")) {
    (void)next_word(c);
    if (w->rest || (!take_word(c, "right") && !take_word(c, "good"))) {
      return refuse(c, word, "It is written \"rest right\", once");
    }
    w->rest = true;
    return STATUS_OK;
  }
  int near = 0;
  TRY(st, take_contact(c, WIRING_NEAR, &near));
  note_shell(c->connector, WIRING_NEAR, near, w);
  if (c->at[0] == '.' && c->at[1] == '.') {
    return wired_range(c, near, w);
  }
  if (w->named[near]) {
    return refuse(c, word, "This contact was said before; write 2-2,3 for two");
  }
  w->named[near] = true;
  if (take_stroke(c)) {
    return wired_far(c, near, w);
  }
  if (at_end_of_word(c) && next_word(c) && (take_word(c, "open") || take_word(c, "nothing"))) {
    return STATUS_OK;
  }
  return refuse(c, word, "After a contact comes a stroke and where it leads, or \"open\"");
}

static Status
read_wired(Cursor* c, Wired* w)
{
  Status st;
  TRY(st, begin(c));
  if (!next_word(c)) {
    return refuse(c, c->at, "Write what is wired to what, as in 1-1 2-3 3-2");
  }
  do {
    TRY(st, wired_word(c, w));
  } while (next_word(c));
  for (int near = 1; w->rest && near <= c->connector->plan.n[WIRING_NEAR]; ++near) {
    if (!w->named[near]) {
      w->named[near] = true;
      wanted_of(c->connector, near, w->joined[near]);
    }
  }
  return STATUS_OK;
}

Status
notation_wired(const Connector* connector, const char* name, const char* text, WiringSeen* seen,
               Error* error)
{
  Cursor c = {connector, name, text, text, error};
  Wired w = {.rest = false};
  Status st;
  TRY(st, read_wired(&c, &w));
  for (int near = 1; near <= wiring_contacts(&connector->plan, WIRING_NEAR); ++near) {
    if (w.named[near]) {
      mark_joined(near, w.joined[near], seen);
      if (!w.in_doubt[near]) {
        mark_rest(connector, near, w.joined[near], w.shells, seen);
      }
    }
  }
  return STATUS_OK;
}

Status
notation_within(const Connector* connector, WiringPlace end, const char* name, const char* text,
                WiringSeen* seen, Error* error)
{
  Cursor c = {connector, name, text, text, error};
  bool joined[WIRING_CONTACTS + 1][WIRING_CONTACTS + 1] = {{false}};
  bool in_doubt = false;
  bool shells = false;
  Status st;
  TRY(st, begin(&c));
  if (!next_word(&c)) {
    return refuse(&c, c.at, "Write what is joined within this end, as in 1-2, or \"none\"");
  }
  const bool none = take_word(&c, "none");
  if (none && next_word(&c)) {
    return refuse(&c, c.at, "\"none\" stands alone");
  }
  while (!none && next_word(&c)) {
    const char* const word = c.at;
    int before = 0;
    int n = 0;
    for (bool more = true; more; ++n) {
      int contact = 0;
      TRY(st, take_contact(&c, end, &contact));
      shells = shells || contact > connector->plan.n[end];
      if (contact == before) {
        return refuse(&c, word, "A contact is always joined to itself");
      }
      if (before) {
        joined[before][contact] = joined[contact][before] = true;
      }
      before = contact;
      more = take_stroke(&c) || (*c.at == ',' && ++c.at);
    }
    if (*c.at == '?') {
      in_doubt = true;
      ++c.at;
    }
    if (n < 2 || !at_end_of_word(&c)) {
      return refuse(&c, word, "Joined contacts are written 1-2, or 1-2-3");
    }
  }
  const int n_tried = shells ? wiring_contacts(&connector->plan, end) : connector->plan.n[end];
  // What is joined through a third contact is joined too
  for (int k = 1; k <= WIRING_CONTACTS; ++k) {
    for (int a = 1; a <= WIRING_CONTACTS; ++a) {
      for (int b = 1; b <= WIRING_CONTACTS; ++b) {
        joined[a][b] = joined[a][b] || (joined[a][k] && joined[k][b]);
      }
    }
  }
  for (int a = 1; a <= wiring_contacts(&connector->plan, end); ++a) {
    for (int b = 1; b < a; ++b) {
      if (joined[a][b] || (!in_doubt && a <= n_tried)) {
        wiring_mark(seen, wiring_node(end, a), wiring_node(end, b),
                    joined[a][b] ? WIRING_JOINED : WIRING_APART);
      }
    }
  }
  return STATUS_OK;
}

Status
notation_ohms(const Connector* connector, const char* name, const char* text,
              double ohm[WIRING_CONTACTS], Error* error)
{
  Cursor c = {connector, name, text, text, error};
  double read[WIRING_CONTACTS];
  Status st;
  TRY(st, begin(&c));
  for (int i = 0; i < WIRING_CONTACTS; ++i) {
    read[i] = NAN;
  }
  if (!next_word(&c)) {
    return refuse(&c, c.at, "Write ohms by contact, as in 1=0.4 2=1.6");
  }
  do {
    const char* const word = c.at;
    int near = 0;
    TRY(st, take_contact(&c, WIRING_NEAR, &near));
    if (!isnan(read[near - 1])) {
      return refuse(&c, word, "This contact was said before");
    }
    if (!take_stroke(&c) && !(at_end_of_word(&c) && next_word(&c))) {
      return refuse(&c, word, "After a contact comes a stroke and its ohms, as in 2=1.6");
    }
    if (take_word(&c, "open")) {
      read[near - 1] = INFINITY;
      continue;
    }
    char figure[32];
    size_t n = 0;
    while (c.at[n] && !is_blank(c.at[n]) && n < sizeof(figure) - 1) {
      figure[n] = c.at[n];
      ++n;
    }
    figure[n] = '\0';
    const double factor = n && figure[n - 1] == 'k' ? 1e3 : n && figure[n - 1] == 'M' ? 1e6 : 1.0;
    figure[factor > 1.0 ? n - 1 : n] = '\0';
    double value = 0.0;
    if (!text_number(figure, 0.0, 1e9, &value)) {
      return refuse(&c, c.at, "Ohms are a number (1.6, 470, 2.2k) or \"open\"");
    }
    c.at += n;
    read[near - 1] = value * factor;
  } while (next_word(&c));
  memcpy(ohm, read, sizeof(read));
  return STATUS_OK;
}

Status
notation_plan(Arena* arena, const Connector* connector, const char* name, const char* text,
              WiringPlan* plan, Error* error)
{
  Cursor c = {connector, name, text, text, error};
  Wired w = {.rest = false};
  Status st;
  TRY(st, read_wired(&c, &w));
  WiringWire* const wires = arena_array(arena, WIRING_WIRES, sizeof(WiringWire));
  if (!wires) {
    return STATUS_NO_MEMORY;
  }
  int n = 0;
  for (int near = 1; near <= wiring_contacts(&connector->plan, WIRING_NEAR); ++near) {
    if (w.in_doubt[near]) {
      return refuse(&c, text, "A plan has no question marks");
    }
    for (int far = 1; far <= wiring_contacts(&connector->plan, WIRING_FAR); ++far) {
      if (w.joined[near][far]) {
        if (n == WIRING_WIRES) {
          return refuse(&c, text, "That is too many wires");
        }
        wires[n++] = (WiringWire){near, far};
      }
    }
  }
  if (n == 0) {
    return refuse(&c, text, "A cable without wires");
  }
  *plan = connector->plan;
  plan->wires = wires;
  plan->n_wires = n;
  plan->joins = NULL;
  plan->n_joins = 0;
  return STATUS_OK;
}
