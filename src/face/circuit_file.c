// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/circuit_read.h"

#include "base/text.h"
#include "fault/tester.h"
#include "stage/lists.h"

#include <math.h>
#include <string.h>

/*
  The whole file, and what is said about a line beside its elements: contacts, faults, testers,
  frequencies, places to look at.
*/

Status
circuit_no_memory(const Reading* r)
{
  return error_set(r->in->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
}

int
circuit_contact_of(const Reading* r, int joint, const char* name, size_t n_bytes)
{
  for (int i = 0; i < r->n_contacts && r->joints[joint].contacts[i]; ++i) {
    const char* const known = r->joints[joint].contacts[i];
    if (strlen(known) == n_bytes && !memcmp(known, name, n_bytes)) {
      return i;
    }
  }
  return -1;
}

static Status
no_contact(const Reading* r, int joint, const JsonAt* at, const char* name)
{
  char all[PORT_MAX * (CIRCUIT_NAME_BYTES + 2) + 1] = "";
  for (int i = 0; i < r->n_contacts && r->joints[joint].contacts[i]; ++i) {
    (void)snprintf(all + strlen(all), sizeof(all) - strlen(all), "%s%s", i ? ", " : "",
                   r->joints[joint].contacts[i]);
  }
  return json_in_wrong(r->in, at, "There is no contact \"%.20s\" here; there are %s.", name, all);
}

Status
circuit_contact(const Reading* r, int joint, const JsonAt* at, int* contact)
{
  const char* name = NULL;
  Status st;
  TRY(st, json_in_text_at(r->in, at, DRAWN_NAME_BYTES, &name));
  const int found = circuit_contact_of(r, joint, name, strlen(name));
  if (found < 0) {
    return no_contact(r, joint, at, name);
  }
  *contact = found;
  return STATUS_OK;
}

Status
circuit_between(const Reading* r, int joint, const JsonAt* at, bool outside, int* a, int* b)
{
  const JsonAt pair = json_in_member(at, "between");
  size_t n = 0;
  Status st;
  if (!pair.value) {
    return json_in_wrong(r->in, at,
                         "\"between\" is missing here: two contacts, such as [\"%s\", "
                         "\"%s\"].",
                         r->joints[joint].contacts[0],
                         r->joints[joint].contacts[1] ? r->joints[joint].contacts[1] : "earth");
  }
  TRY(st, json_in_count(r->in, &pair, 2, 2, &n));
  const JsonAt first = json_in_item(&pair, 0);
  const JsonAt second = json_in_item(&pair, 1);
  const char* const word = json_string_value(second.value);
  TRY(st, circuit_contact(r, joint, &first, a));
  if (outside && word && (!strcmp(word, "earth") || !strcmp(word, "room"))) {
    *b = !strcmp(word, "earth") ? CHAIN_EARTH : CHAIN_ROOM;
    return STATUS_OK;
  }
  TRY(st, circuit_contact(r, joint, &second, b));
  return *a == *b ? json_in_wrong(r->in, &pair, "Here should stand two different contacts.")
                  : STATUS_OK;
}

Status
circuit_each(const Reading* r, const JsonAt* at, const char* key, double high, double out[PORT_MAX],
             bool* is_there)
{
  const JsonAt here = json_in_member(at, key);
  size_t n = 0;
  double all = 0.0;
  Status st;
  *is_there = here.value != NULL;
  if (!json_is_array(here.value)) {
    TRY(st, json_in_number(r->in, at, key, 0.0, high, false, &all));
    for (int i = 0; *is_there && i < r->n_contacts; ++i) {
      out[i] = all;
    }
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &here, (size_t)r->n_contacts, (size_t)r->n_contacts, &n));
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&here, i);
    out[i] = json_number_value(one.value);
    if (!json_is_number(one.value) || !(out[i] >= 0.0 && out[i] <= high)) {
      return json_in_wrong(r->in, &one, "Here should stand a number from 0 to %g.", high);
    }
  }
  return STATUS_OK;
}

// "contacts": how many, or their names; 1, 2, 3 when nothing is said.
static Status
contacts(Reading* r, const JsonAt* root)
{
  static const char* const numbers[PORT_MAX] = {"1", "2", "3", "4", "5", "6", "7", "8"};
  const JsonAt list = json_in_member(root, "contacts");
  DrawnJoint* const first = &r->joints[0];
  double count = 3.0;
  size_t n = 0;
  Status st;
  if (!json_is_array(list.value)) {
    TRY(st, json_in_number(r->in, root, "contacts", 2.0, PORT_MAX, false, &count));
    r->n_contacts = (int)count;
    if (r->n_contacts != count) {
      return json_in_wrong(r->in, &list, "\"contacts\" is a whole number from 2 to 8, or names.");
    }
    memcpy(first->contacts, numbers, (size_t)r->n_contacts * sizeof(char*));
    return STATUS_OK;
  }
  TRY(st, json_in_count(r->in, &list, 2, PORT_MAX, &n));
  r->n_contacts = (int)n;
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    TRY(st, json_in_text_at(r->in, &one, CIRCUIT_NAME_BYTES, &first->contacts[i]));
    if (!strcmp(first->contacts[i], "earth") || !strcmp(first->contacts[i], "room")) {
      return json_in_wrong(r->in, &one, "\"%s\" is no contact: it is what lies outside.",
                           first->contacts[i]);
    }
    for (size_t k = 0; k < i; ++k) {
      if (!strcmp(first->contacts[k], first->contacts[i])) {
        return json_in_wrong(r->in, &one, "There are two contacts \"%s\".", first->contacts[i]);
      }
    }
  }
  return STATUS_OK;
}

static int
joint_of(const Reading* r, const char* name)
{
  for (int i = 0; i < r->n_joints; ++i) {
    if (!strcmp(r->joints[i].name, name)) {
      return i;
    }
  }
  return -1;
}

// The joint that a key names, which must be there already.
Status
circuit_joint_at(const Reading* r, const JsonAt* at, const char* key, int* joint)
{
  const char* name = NULL;
  Status st;
  TRY(st, json_in_text(r->in, at, key, DRAWN_NAME_BYTES, true, &name));
  *joint = joint_of(r, name);
  if (*joint < 0) {
    const JsonAt here = json_in_member(at, key);
    const char* words[DRAWN_ELEMENTS + 1] = {NULL};
    for (int i = 0; i < r->n_joints; ++i) {
      words[i] = r->joints[i].name;
    }
    const char* const nearest = json_in_nearest(name, words);
    return json_in_wrong(
      r->in, &here,
      "No element written so far ends at a joint \"%s\"%s%s%s: write the one that "
      "leads there first.",
      name, nearest ? " (did you mean \"" : "", nearest ? nearest : "", nearest ? "\"?)" : "");
  }
  return STATUS_OK;
}

static Status
new_joint(Reading* r, const JsonAt* at, const char* key, int* joint)
{
  const char* name = NULL;
  Status st;
  TRY(st, json_in_text(r->in, at, key, DRAWN_NAME_BYTES, true, &name));
  if (joint_of(r, name) >= 0) {
    const JsonAt here = json_in_member(at, key);
    return json_in_wrong(r->in, &here,
                         "Another element ends at \"%s\" already: a line only ever parts, so call "
                         "this joint otherwise.",
                         name);
  }
  *joint = r->n_joints++;
  r->joints[*joint].name = name;
  return STATUS_OK;
}

static Status
element(Reading* r, const JsonAt* at)
{
  static const char* const kinds[] = {"source",      "desk",    "sender", "amplifier",
                                      "loudspeaker", "parts",   "cable",  "plug",
                                      "transformer", "adaptor", NULL};
  const int i = r->n_elements;
  ChainElement* const e = &r->elements[i];
  DrawnElement* const about = &r->about[i];
  int kind = 0;
  Status st;
  if (!json_is_object(at->value)) {
    return json_in_wrong(r->in, at, "Here should stand an object: { ... }.");
  }
  TRY(st, json_in_word(r->in, at, "kind", kinds, true, &kind));
  TRY(st, json_in_text(r->in, at, "name", DRAWN_NAME_BYTES, false, &about->name));
  if (!about->name) {
    about->name = arena_format(r->in->arena, "%s %d", kinds[kind], i + 1);
    if (!about->name) {
      return circuit_no_memory(r);
    }
  }
  for (int k = 0; k < i; ++k) {
    if (!strcmp(r->about[k].name, about->name)) {
      return json_in_wrong(r->in, at, "There are two elements \"%s\": name them apart.",
                           about->name);
    }
  }
  if (kind < CIRCUIT_CABLE) {
    int joint = 0;
    TRY(st, i == 0 ? new_joint(r, at, "at", &joint) : circuit_joint_at(r, at, "at", &joint));
    e->near = i == 0 ? -1 : joint;
    e->far = i == 0 ? 0 : -1;
    TRY(st, circuit_end(r, at, kind, joint, e, about));
  } else if (i == 0) {
    return json_in_wrong(r->in, at,
                         "The first element is an end the line begins with: a source, "
                         "desk, sender, amplifier, loudspeaker or parts.");
  } else {
    int joint = 0;
    TRY(st, circuit_joint_at(r, at, "from", &e->near));
    TRY(st, new_joint(r, at, "to", &joint));
    e->far = joint;
    memcpy(r->joints[joint].contacts, r->joints[e->near].contacts, sizeof(r->joints[0].contacts));
    TRY(st, circuit_way(r, at, kind, e->near, e, &r->joints[joint]));
  }
  ++r->n_elements;
  return STATUS_OK;
}

static Status
elements(Reading* r, const JsonAt* root)
{
  const JsonAt list = json_in_member(root, "elements");
  size_t n = 0;
  Status st;
  TRY(st, json_in_count(r->in, &list, 1, DRAWN_ELEMENTS, &n));
  r->elements = arena_array(r->in->arena, n, sizeof(ChainElement));
  r->about = arena_array(r->in->arena, n, sizeof(DrawnElement));
  if (!r->elements || !r->about) {
    return circuit_no_memory(r);
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    TRY(st, element(r, &one));
  }
  return STATUS_OK;
}

const char* const circuit_sides[] = {"near", "far", "both", NULL};

// "frequencies": numbers in hertz, or objects that also say what the room does.
static Status
tones(const Reading* r, const JsonAt* root, Drawn* d)
{
  static const double usual_hz[] = {100.0, 1000.0, 10000.0};
  static const char* const keys[] = {"hz", "emf_ratio", "room_v", NULL};
  const JsonAt list = json_in_member(root, "frequencies");
  size_t n = 3;
  Status st;
  if (list.value) {
    TRY(st, json_in_count(r->in, &list, 1, DRAWN_TONES, &n));
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    d->tones[i] = (DrawnTone){list.value ? json_number_value(one.value) : usual_hz[i], 1.0, 0.0};
    if (json_is_object(one.value)) {
      TRY(st, json_in_keys(r->in, &one, keys));
      TRY(st, json_in_number(r->in, &one, "hz", 0.1, 1e7, true, &d->tones[i].hz));
      TRY(st, json_in_number(r->in, &one, "emf_ratio", -1e6, 1e6, false, &d->tones[i].emf_ratio));
      TRY(st, json_in_number(r->in, &one, "room_v", -1e6, 1e6, false, &d->tones[i].room_v));
    }
    if (!(d->tones[i].hz >= 0.1 && d->tones[i].hz <= 1e7)) {
      return json_in_wrong(r->in, &one, "Here should stand a frequency from 0.1 to 1e7 hertz.");
    }
  }
  d->n_tones = (int)n;
  return STATUS_OK;
}

// "questions": where to look; every joint, everything plugged, against its first contact if nothing
// is asked.
static Status
looks(const Reading* r, const JsonAt* root, Drawn* d)
{
  static const char* const keys[] = {"at", "looks", "against", "between", NULL};
  const JsonAt list = json_in_member(root, "questions");
  size_t n = (size_t)r->n_joints;
  Status st;
  if (list.value) {
    TRY(st, json_in_count(r->in, &list, 0, DRAWN_LOOKS, &n));
  }
  DrawnLook* const made = arena_array(r->in->arena, n, sizeof(DrawnLook));
  if (!made) {
    return circuit_no_memory(r);
  }
  for (size_t i = 0; i < n; ++i) {
    const JsonAt one = json_in_item(&list, i);
    const JsonAt against = json_in_member(&one, "against");
    int side = CHAIN_BOTH;
    made[i] = (DrawnLook){(int)i, CHAIN_BOTH, 0, -1, -1};
    if (!list.value) {
      continue;
    }
    TRY(st, json_in_keys(r->in, &one, keys));
    TRY(st, circuit_joint_at(r, &one, "at", &made[i].joint));
    TRY(st, json_in_word(r->in, &one, "looks", circuit_sides, false, &side));
    made[i].side = (ChainSide)side;
    if (json_in_member(&one, "between").value) {
      TRY(st, circuit_between(r, made[i].joint, &one, false, &made[i].ohm_a, &made[i].ohm_b));
    }
    if (against.value) {
      TRY(st, circuit_contact(r, made[i].joint, &against, &made[i].against));
    }
  }
  d->looks = made;
  d->n_looks = (int)n;
  return STATUS_OK;
}

static Status
drawing(const JsonIn* in, const JsonAt* root, const FeedQuestion* feeds, Drawn* out)
{
  static const char* const keys[] = {"title",   "note",        "contacts",  "elements", "faults",
                                     "testers", "frequencies", "questions", NULL};
  Reading* const r = arena_array(in->arena, 1, sizeof(Reading));
  DrawnJoint* const joints = arena_array(in->arena, DRAWN_ELEMENTS, sizeof(DrawnJoint));
  Drawn d = {0};
  Plant plant;
  Status st;
  if (!r || !joints) {
    return error_set(in->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  // A show without lists has the built-in testers
  TRY(st, lists_build(in->arena, NULL, 0, 1, &plant, in->error));
  *r = (Reading){.in = in,
                 .feeds = feeds->variants,
                 .n_feeds = feeds->n_variants,
                 .testers = plant.testers,
                 .n_testers = plant.n_testers};
  TRY(st, json_in_keys(in, root, keys));
  TRY(st, contacts(r, root));
  TRY(st, elements(r, root));
  TRY(st, circuit_faults(r, root, &d));
  TRY(st, circuit_testers(r, root, &d));
  TRY(st, tones(r, root, &d));
  TRY(st, looks(r, root, &d));
  memcpy(joints, r->joints, sizeof(r->joints));
  d.n_contacts = r->n_contacts;
  d.joints = joints;
  d.n_joints = r->n_joints;
  d.elements = r->elements;
  d.about = r->about;
  d.n_elements = r->n_elements;
  *out = d;
  return STATUS_OK;
}

static Status
read_root(const JsonIn* in, const JsonAt* root, CircuitFile* f)
{
  Status st;
  if (!json_is_object(root->value)) {
    return json_in_wrong(in, root, "A circuit is an object: { ... }.");
  }
  TRY(st, json_in_text(in, root, "title", 200, false, &f->title));
  const bool line = json_object_get(root->value, "elements") != NULL;
  const bool feed =
    json_object_get(root->value, "feed") || json_object_get(root->value, "microphone");
  if (line == feed) {
    return json_in_wrong(in, root,
                         "A file asks one thing: a line has \"elements\", a question about "
                         "a feed has \"feed\" and \"microphone\"; here is %s.",
                         line ? "both" : "neither");
  }
  if (feed_variants(in->arena, &f->feed.variants, &f->feed.n_variants) != STATUS_OK) {
    return error_set(in->error, STATUS_NO_MEMORY, NULL, 0, 0, "There is not enough memory.");
  }
  f->is_feed = feed;
  return feed ? circuit_feed_question(in, root, &f->feed) : drawing(in, root, &f->feed, &f->drawn);
}

Status
circuit_file_read(Arena* arena, const char* file, const char* bytes, size_t n_bytes,
                  CircuitFile* out, Error* error)
{
  Error own = {0};
  CircuitFile read_in = {0};
  JsonIn in;
  JsonAt root;
  Status st;
  error = error ? error : &own;
  TRY(st, json_in_read(arena, file, bytes, n_bytes, &in, &root, error));
  st = read_root(&in, &root, &read_in);
  json_in_free(&in);
  if (st == STATUS_OK) {
    *out = read_in;
  }
  return st;
}
