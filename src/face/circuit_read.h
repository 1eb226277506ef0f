// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/circuit_file.h"
#include "face/json_in.h"
#include "stage/tester.h"

/*
  Inside the circuit reader: what its files share. circuit_file.c reads the whole, circuit_way.c
  what leads from joint to joint, circuit_end.c what a line ends in, circuit_feed.c the feed
  question.
*/

enum { CIRCUIT_NAME_BYTES = 8, CIRCUIT_BRANCHES = 64 };

typedef struct {
  const JsonIn* in;
  int n_contacts;
  DrawnJoint joints[DRAWN_ELEMENTS];
  int n_joints;
  ChainElement* elements; ///< [DRAWN_ELEMENTS]
  DrawnElement* about;    ///< [DRAWN_ELEMENTS]
  int n_elements;
  const Feed* feeds;
  int n_feeds;
  const Tester* testers;
  int n_testers;
} Reading;

/// "There is not enough memory."
Status
circuit_no_memory(const Reading* r);

/// A contact by its name at a joint, -1 = there is none.
int
circuit_contact_of(const Reading* r, int joint, const char* name, size_t n_bytes);

/// "near", "far", "both": in the order of ChainSide, NULL at the end.
extern const char* const circuit_sides[];

/// The joint that `key` names.
Status
circuit_joint_at(const Reading* r, const JsonAt* at, const char* key, int* joint);

/// The testers of a line: `d->testers`.
Status
circuit_testers(const Reading* r, const JsonAt* root, Drawn* d);

/// The faults of a line: `d->edits`.
Status
circuit_faults(const Reading* r, const JsonAt* root, Drawn* d);

/// The contact that a text names at a joint.
Status
circuit_contact(const Reading* r, int joint, const JsonAt* at, int* contact);

/// "between": two different contacts of a joint. With `outside` the second may be "earth" or
/// "room".
Status
circuit_between(const Reading* r, int joint, const JsonAt* at, bool outside, int* a, int* b);

/// A number for every contact, or a list with one each. Left alone when not there; `is_there` says.
Status
circuit_each(const Reading* r, const JsonAt* at, const char* key, double high, double out[PORT_MAX],
             bool* is_there);

/// The value of "feed": a variant's name, or a feed written out. `legs` NULL: both legs alike.
Status
circuit_feed(const JsonIn* in, const JsonAt* at, const Feed feeds[], int n_feeds, Feed* feed,
             double legs[2]);

/// "microphone", "cable", "inline" and "feed" of a feed question.
Status
circuit_feed_question(const JsonIn* in, const JsonAt* root, FeedQuestion* question);

/// An end; `joint` is where it hangs.
Status
circuit_end(Reading* r, const JsonAt* at, int kind, int joint, ChainElement* e,
            DrawnElement* about);

/// The order of circuit_kinds: ends first.
enum {
  CIRCUIT_SOURCE,
  CIRCUIT_DESK,
  CIRCUIT_SENDER,
  CIRCUIT_AMPLIFIER,
  CIRCUIT_LOUDSPEAKER,
  CIRCUIT_PARTS,
  CIRCUIT_CABLE, ///< First that is no end
  CIRCUIT_PLUG,
  CIRCUIT_TRANSFORMER,
  CIRCUIT_ADAPTOR,
};

/// What leads from joint `near` on; the far joint's contact names are already near's and may be
/// changed.
Status
circuit_way(Reading* r, const JsonAt* at, int kind, int near, ChainElement* e, DrawnJoint* far);

/// Microphone cable, a metre of a leg and of the shield [ohm]: common practice, no source; as in
/// fault/template.h.
#define CIRCUIT_LEG_OHM_PER_M 0.08
#define CIRCUIT_SHIELD_OHM_PER_M 0.03

/// Ohms of `length_m` of solid copper of `section_mm2` at 20 C, one conductor. What a stranded one
/// reads may be 11 to 16 % more (the maxima of IEC 60228: circuit/conductor.h).
double
circuit_copper_ohm(double length_m, double section_mm2);
