// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "circuit/chain.h"
#include "circuit/lamp.h"

/*
  A circuit somebody has drawn: a line as circuit/chain.h knows it, with names, faults, testers and
  places to look at; and everything it answers.

      first end --o-- element --o-- element --o-- end          a joint has a name and names for its
                mic          box           desk               contacts; `near` is towards the first
                                                              end, `far` away from it

  Contacts count from 0 here as in circuit/; their names are the joint's. Volts are against one
  contact of the joint because that is where a person puts the other lead of the meter; a contact
  that has no path to it and to earth has no volts (NAN).
*/

enum {
  DRAWN_TONES = 16,      ///< Frequencies in one drawing
  DRAWN_ELEMENTS = 64,   ///< Elements
  DRAWN_FAULTS = 32,     ///< Faults
  DRAWN_TESTERS = 16,    ///< Testers
  DRAWN_LOOKS = 64,      ///< Places to look at
  DRAWN_NAME_BYTES = 80, ///< Longest name of an element or joint
};

typedef struct {
  const char* name;
  const char* contacts[PORT_MAX]; ///< NULL from where the connector has no more
} DrawnJoint;

typedef struct {
  double hz;
  double emf_ratio; ///< Factor on every emf: 1, or 0 to hear the room alone
  double room_v;    ///< Potential of the room [V]
} DrawnTone;

/// What the chain does not say of an element.
typedef struct {
  const char* name;
  bool is_desk;                    ///< Legs are listened to
  const char* const* branch_names; ///< [n_branches] of a CHAIN_PARTS; NULL entries stay unsaid
} DrawnElement;

typedef struct {
  int joint;
  ChainSide side;
  int against;      ///< Contact the volts are against
  int ohm_a, ohm_b; ///< Contacts to measure between; ohm_a -1 = do not
} DrawnLook;

typedef struct {
  const char* name;
  int joint;
  ChainSide side;
  LampTester lamps; ///< Ready
} DrawnTester;

typedef struct {
  int n_contacts;
  const DrawnJoint* joints; ///< [n_joints] as the chain numbers them
  int n_joints;
  const ChainElement* elements; ///< [n_elements]
  const DrawnElement* about;    ///< [n_elements]
  int n_elements;
  const ChainEdit* edits; ///< [n_edits], one a fault
  int n_edits;
  DrawnTone tones[DRAWN_TONES];
  int n_tones; ///< 1 to DRAWN_TONES
  const DrawnTester* testers;
  int n_testers;
  const DrawnLook* looks;
  int n_looks;
} Drawn;

/// Direct current at a place to look at.
typedef struct {
  double contact_v[PORT_MAX]; ///< Against the look's contact; NAN = floating
  double near_a[PORT_MAX];    ///< Into the near side through each contact; NAN unless CHAIN_BOTH
  double direct_ohm;          ///< Between ohm_a and ohm_b, every source dead; INFINITY = open
  double* ohm;                ///< [n_tones] size of the impedance there; NULL unless asked for
} DrawnSeen;

typedef struct {
  Status status; ///< STATUS_NO_SOLUTION: the lamps' currents do not settle; nothing below is set
  double lamp_a[LAMP_MAX];
  char picture[LAMP_MAX + 1];
  double contact_v[PORT_MAX]; ///< With the tester in, against contact 0; NAN = floating
} DrawnLit;

/// Signal across two contacts at one frequency.
typedef struct {
  double dbv;       ///< 20 log10 of the volts; CHAIN_SILENT_DB = no path at all
  double change_db; ///< Against the same circuit without its faults; NAN without faults
  int sign;         ///< 1 with the source, -1 against it, 0 nothing there
  double current_a; ///< Size of the current in a branch; NAN for a desk
} DrawnHeard;

/// A desk's legs, or one branch of an end made of branches.
typedef struct {
  int element;
  int branch;        ///< -1 = a desk's legs
  double across_v;   ///< Direct; NAN = floating
  double through_a;  ///< Direct, from a to b; NAN for a desk
  DrawnHeard* heard; ///< [n_tones]
} DrawnEar;

/// Direct volts inside an end, past the faults in its plug: what a fed microphone gets.
typedef struct {
  int element;
  double contact_v[PORT_MAX]; ///< Against contact 0; NAN = floating
  double coil_a; ///< Direct current through a floating source, contact 2 to 3; NAN for any other
} DrawnInside;

typedef struct {
  DrawnSeen* seen; ///< [n_looks]
  DrawnLit* lit;   ///< [n_testers]
  DrawnEar* ears;  ///< [n_ears] in the order of the elements
  int n_ears;
  DrawnInside* inside; ///< [n_inside] every end that is a ChainLeaf
  int n_inside;
} DrawnAnswer;

/**
   Work out all of it.

   @param[out] answer Lives in the arena; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG when the chain cannot be built (see chain_build);
   STATUS_NO_MEMORY. Pure; any thread.
*/
Status
drawn_solve(Arena* arena, const Drawn* drawn, DrawnAnswer* answer);
