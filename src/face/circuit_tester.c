// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include "fault/tester.h"

/*
  Testers of a circuit written by hand: one of the known ones by its name, or lamps and batteries
  written out.
*/

// "lamps" and "batteries" of a tester written out.
static Status
tester_parts(const Reading* r, const JsonAt* at, int joint, Tester* t)
{
  static const char* const keys[] = {"lamps", "batteries", NULL};
  static const char* const lamp_keys[] = {"between", "ohm", "green_v", "red_v", NULL};
  static const char* const battery_keys[] = {"between", "ohm", "v", NULL};
  const JsonAt lamps = json_in_member(at, "lamps");
  const JsonAt batteries = json_in_member(at, "batteries");
  size_t n_lamps = 0;
  size_t n_batteries = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, json_in_count(r->in, &lamps, 1, LAMP_MAX, &n_lamps));
  if (batteries.value) {
    TRY(st, json_in_count(r->in, &batteries, 0, LAMP_BATTERIES, &n_batteries));
  }
  TesterPart* const parts = arena_array(r->in->arena, n_lamps + n_batteries, sizeof(TesterPart));
  if (!parts) {
    return circuit_no_memory(r);
  }
  for (size_t i = 0; i < n_lamps + n_batteries; ++i) {
    const bool lamp = i < n_lamps;
    const JsonAt one = json_in_item(lamp ? &lamps : &batteries, lamp ? i : i - n_lamps);
    TesterPart* const p = &parts[i];
    int a = 0;
    int b = 0;
    p->sort = lamp ? TESTER_LAMP : TESTER_BATTERY;
    p->green_v = lamp ? 1.92 : 0.0; // The usual small lamps: circuit/lamp.h
    p->red_v = lamp ? 1.61 : 0.0;
    TRY(st, json_in_keys(r->in, &one, lamp ? lamp_keys : battery_keys));
    TRY(st, circuit_between(r, joint, &one, !lamp, &a, &b));
    TRY(st, json_in_number(r->in, &one, "ohm", 1e-3, 1e9, true, &p->ohm));
    TRY(st, json_in_number(r->in, &one, "green_v", 0.0, 20.0, false, &p->green_v));
    TRY(st, json_in_number(r->in, &one, "red_v", 0.0, 20.0, false, &p->red_v));
    TRY(st, json_in_number(r->in, &one, "v", -1e3, 1e3, !lamp, &p->volts));
    if (b == CHAIN_ROOM || (lamp && p->green_v == 0.0 && p->red_v == 0.0)) {
      return json_in_wrong(r->in, &one,
                           b == CHAIN_ROOM ? "A battery lies between contacts or to earth."
                                           : "A lamp without green and red shows nothing.");
    }
    p->from = a + 1;
    p->to = b + 1; // CHAIN_EARTH becomes 0
  }
  *t = (Tester){.name = "written out",
                .connector = "",
                .note = "",
                .figures = "",
                .n_contacts = r->n_contacts,
                .parts = parts,
                .n_parts = (int)(n_lamps + n_batteries)};
  return STATUS_OK;
}

static Status
tester(const Reading* r, const JsonAt* at, DrawnTester* out)
{
  static const char* const keys[] = {"name", "at", "looks", "tester", NULL};
  const char* words[DRAWN_ELEMENTS + 1] = {NULL};
  const JsonAt here = json_in_member(at, "tester");
  Tester made = {.name = NULL};
  int which = -1;
  int side = 0;
  Status st;
  TRY(st, json_in_keys(r->in, at, keys));
  TRY(st, circuit_joint_at(r, at, "at", &out->joint));
  TRY(st, json_in_word(r->in, at, "looks", circuit_sides, true, &side));
  if (json_is_object(here.value)) {
    TRY(st, tester_parts(r, &here, out->joint, &made));
  } else {
    for (int i = 0; i < r->n_testers && i < DRAWN_ELEMENTS; ++i) {
      words[i] = r->testers[i].name;
    }
    TRY(st, json_in_word(r->in, at, "tester", words, true, &which));
    made = r->testers[which];
  }
  out->name = made.name;
  out->side = (ChainSide)side;
  TRY(st, json_in_text(r->in, at, "name", DRAWN_NAME_BYTES, false, &out->name));
  if (made.n_contacts > r->n_contacts) {
    return json_in_wrong(r->in, at, "The tester \"%s\" has %d contacts and this line %d.",
                         made.name, made.n_contacts, r->n_contacts);
  }
  if (tester_lamps(&made, &out->lamps) != STATUS_OK ||
      lamp_ready(&out->lamps, r->n_contacts) != STATUS_OK) {
    return json_in_wrong(r->in, at, "A figure of this tester is out of all range.");
  }
  return STATUS_OK;
}

Status
circuit_testers(const Reading* r, const JsonAt* root, Drawn* d)
{
  const JsonAt list = json_in_member(root, "testers");
  size_t n = 0;
  Status st;
  if (!list.value) {
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 0, DRAWN_TESTERS, &n));
  DrawnTester* const made = arena_array(r->in->arena, n, sizeof(DrawnTester));
  if (!made) {
    return circuit_no_memory(r);
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    TRY(st, tester(r, &one, &made[i]));
  }
  d->testers = made;
  d->n_testers = (int)n;
  return STATUS_OK;
}
