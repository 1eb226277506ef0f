// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "circuit/port.h"
#include "circuit/section.h"

/*
  A line as a tree of elements between numbered joints.

      source --o--- section ---o--- section ---o--- section ------------o-- desk
               0               1               2 \-- transformer --o----o-- desk
                                                  \- transformer --o----o-- desk

  The source leaf hangs on joint 0. Every other element begins at a joint nearer the source (`near`)
  and, unless it is a leaf, ends at a new one (`far`). A split is a joint where several elements
  begin. What the healthy line shows in both directions at every joint is worked out once; a fault
  is an edit at one end of one element, and looking at a joint with a fault in place recomputes only
  the elements between the fault and the eye.

  Contacts count from 0: contact 1 is index 0, the legs 2 and 3 are indices 1 and 2; of a jack the
  sleeve is 0 and the tip 1; loudspeaker poles 1+ 1- 2+ 2- are 0 1 2 3.

  Direct current answers testers and meters, alternating current answers ears. The four lanes each
  have their own frequency and drive (PortTones), so three tones and the hum go in one pass.
*/

/// How a source drives contacts 2 and 3.
typedef enum {
  CHAIN_DRIVE_NONE,       ///< Not a source, or one that is switched off
  CHAIN_DRIVE_FLOATING,   ///< emf between the legs behind source_ohm (moving coil, transformer)
  CHAIN_DRIVE_BOTH,       ///< Half the emf on each leg against contact 1, source_ohm in each leg
  CHAIN_DRIVE_ONE,        ///< emf on contact 2 against 1; contact 3 to 1 by the same source_ohm
  CHAIN_DRIVE_UNBALANCED, ///< emf on contact 2 against 1 behind source_ohm; contact 3 joined to 1
} ChainDrive;

/// What a line ends in, at either end. Begin with chain_leaf_nothing() and set what is there.
typedef struct {
  ChainDrive drive;
  double emf_v;       ///< Open-circuit signal [V], times PortTones.emf_v
  double source_ohm;  ///< As the drive says [ohm], > 0. BOTH and ONE block direct current
  double supply_ohm;  ///< Each leg for direct current to what phantom feeds [ohm]
  double load_ohm;    ///< What is fed, from where both supply_ohm meet to contact 1 [ohm]; 0: each
                      ///< supply_ohm ends at contact 1 by itself
  double sender_v[2]; ///< A test sender: contacts 2 and 3 against 1 [V], direct current
  double sender_ohm[2];  ///< Behind these [ohm]; INFINITY = no sender
  double leg_f;          ///< Each leg to contact 1 [F]
  double room_f;         ///< Contact 1 to the room [F]
  double feed_v;         ///< Phantom supply [V]; 0 = resistors to earth
  double feed_ohm[2];    ///< Feed resistors of contacts 2 and 3 [ohm]; INFINITY = none
  double input_ohm;      ///< Between the legs [ohm]
  double leg_earth_ohm;  ///< Each leg to earth, the input's own [ohm]
  bool input_blocked;    ///< The two input resistances sit behind capacitors: no direct current
  double leg_earth_f[2]; ///< Each leg to earth [F]
  double earth_ohm;      ///< Contact 1 to earth [ohm]; INFINITY = lifted
} ChainLeaf;

/// Nothing plugged: every resistance INFINITY, every capacitance 0.
ChainLeaf
chain_leaf_nothing(void);

/// Stand for what is no contact at the far side of a branch.
enum { CHAIN_EARTH = -1, CHAIN_ROOM = -2 };

/**
   One branch of an end that is made of branches: a resistor, perhaps a capacitor, perhaps a source,
   in series from contact a to contact b.

       a o---[ohm]---||---(+ -)---o b       plus towards a
                  series_f

   b CHAIN_EARTH leads to earth, CHAIN_ROOM to the room's potential (PortTones.room_v).
*/
typedef struct {
  int a, b;         ///< Contacts from 0, or b CHAIN_EARTH or CHAIN_ROOM
  double ohm;       ///< >= 0; less than PORT_SHORT_OHM counts as that, but for a pure capacitor
  double series_f;  ///< [F], > 0; INFINITY = no capacitor, anything less blocks direct current
  double emf_v;     ///< Signal [V], times PortTones.emf_v
  double battery_v; ///< Direct [V]
  bool direct_only; ///< No way for signal: what a supply circuit takes through its current source
} ChainBranch;

enum { CHAIN_BRANCHES_MAX = 1024 };

/// An end made of branches: a loudspeaker on each pair of poles, an amplifier's outputs, a sender
/// on any contacts, a microphone powered between its legs.
typedef struct {
  const ChainBranch* branches; ///< [n_branches]
  int n_branches;              ///< 0 to CHAIN_BRANCHES_MAX; none is an open end
} ChainParts;

/// An adaptor: its far contacts are its near ones in another order, some of them left out.
typedef struct {
  int8_t map[PORT_MAX];        ///< Far contact c is near contact map[c]; -1 = leads nowhere
  double join_ohm[PORT_PAIRS]; ///< Across far contacts, by port_pair [ohm]; INFINITY = not joined
} ChainAdaptor;

/// Every contact straight through, none joined.
ChainAdaptor
chain_adaptor_straight(void);

/// An isolating transformer, primary (near) and secondary (far) across contacts 2 and 3.
typedef struct {
  double primary_ohm;    ///< Whole winding [ohm]
  double secondary_ohm;  ///< Whole winding [ohm]
  double primary_h;      ///< Inductance across the primary [H], > 0
  double ratio;          ///< Turns primary over secondary, > 0
  double block_f;        ///< Capacitor in each primary leg [F]; INFINITY = none
  double lift_ohm;       ///< Contact 1 through to the secondary [ohm]; INFINITY = lifted, 0 = wire
  double winding_f;      ///< Between windings [F], half at each end
  double insulation_ohm; ///< Between windings [ohm]
} ChainTransformer;

typedef enum {
  CHAIN_SECTION,
  CHAIN_TRANSFORMER, ///< Needs 3 to PORT_MAX - 2 contacts
  CHAIN_LEAF,        ///< Needs 3 contacts or more
  CHAIN_PARTS,       ///< A leaf too, wherever one may stand
  CHAIN_ADAPTOR,
} ChainKind;

/// One element. Element 0 is the source leaf (near -1, far 0); another leaf has far -1. Any leaf
/// may drive: a Y-lead's second source is a leaf like a desk's.
typedef struct {
  ChainKind kind;
  int near;
  int far;
  union {
    Section section; ///< A connector's contact resistance is a section with only series_ohm
    ChainTransformer transformer;
    ChainLeaf leaf;
    ChainParts parts;
    ChainAdaptor adaptor;
  } as;
} ChainElement;

typedef enum { CHAIN_NEAR, CHAIN_FAR } ChainEnd;

typedef enum {
  CHAIN_SERIES,  ///< `ohm` in contact a; INFINITY = open
  CHAIN_SHUNT,   ///< `ohm` between contacts a and b
  CHAIN_LEAK,    ///< `ohm` from contact a to earth
  CHAIN_PERMUTE, ///< Contact c towards the desk is contact map[c] towards the source
  CHAIN_REPLACE, ///< The leaf (of either kind) is another one (`end` is ignored)
} ChainChange;

/// A fault at the near or far end of an element, inside it: unplugging the joint leaves it there.
/// Of several at one end the first in the list is nearest the source. A source leaf has a far end
/// only, another leaf a near end only.
typedef struct {
  int element;
  ChainEnd end;
  ChainChange change;
  int a;
  int b;
  double ohm;
  uint8_t map[PORT_MAX];
  const ChainLeaf* leaf;   ///< Borrowed while the call lasts, in its range; 3 contacts or more
  const ChainParts* parts; ///< As `leaf`, and instead of it where not NULL
} ChainEdit;

typedef enum {
  CHAIN_TO_SOURCE, ///< What the plug coming from the source shows
  CHAIN_TO_DESK,   ///< What everything beyond the joint shows
  CHAIN_BOTH,      ///< Everything plugged, looked at from the side
} ChainSide;

/// A built line; opaque, read-only after building: any number of threads may look at once.
typedef struct Chain Chain;

/**
   Build a line and work out what it shows when healthy.

   @param n_contacts 2 to PORT_MAX; transformers and ChainLeaf use the first three. Two are an
                     unbalanced lead: contact 0 the sleeve, 1 the tip.
   @param elements [n_elements], each beginning at a joint where an earlier one ends; copied, and
                   the branches of parts with them.
   @param tones    Lanes of the alternating looks; copied. NULL: 100, 1000, 10000 Hz with the emf
                   and 50 Hz with 1 V of room potential.
   @param[out] chain Lives in the arena; untouched on error.
   @return STATUS_OK; STATUS_BAD_ARG for a tree that is none, a joint without end, a number out of
   its range, an adaptor that leads two far contacts to one near one (join them instead), or an
   element that needs more contacts than there are; STATUS_NO_MEMORY.
*/
Status
chain_build(Arena* arena, int n_contacts, const ChainElement elements[], int n_elements,
            const PortTones* tones, const Chain** chain);

/// Joints 0 to this - 1.
int
chain_joints(const Chain* chain);

/// The elements as they were built, [n_elements]; borrowed, as long-lived as the chain.
const ChainElement*
chain_elements(const Chain* chain, int* n_elements);

/// Contacts of every joint.
int
chain_contacts(const Chain* chain);

/**
   What is seen from a joint with edits in place. Joint, element and contact numbers out of range
   are programmer's mistakes (assert). Allocates nothing; any thread.
*/
void
chain_look(const Chain* chain, int joint, ChainSide side, const ChainEdit edits[], int n_edits,
           Port* port);

void
chain_look_ac(const Chain* chain, int joint, ChainSide side, const ChainEdit edits[], int n_edits,
              PortAc* port);

/// Direct volts inside a leaf, past the faults at its end, everything plugged: what a phantom-fed
/// source gets, what a desk sees. `contact_v` [n_contacts]; mask of floating contacts as
/// port_solve.
uint32_t
chain_leaf_volts(const Chain* chain, int leaf, const ChainEdit edits[], int n_edits,
                 double contact_v[]);

/// Signal between two contacts in one lane.
typedef struct {
  double re_v, im_v; ///< Volts; re against the emf's phase
  double db;         ///< 20 log10 of the size in volts; CHAIN_SILENT_DB when nothing gets through
  bool inverted;     ///< re_v < 0
} ChainHeard;

/// Stands for "no path at all".
#define CHAIN_SILENT_DB (-300.0)

/// What arrives inside a leaf between contact a (positive) and contact b (CHAIN_EARTH: earth), past
/// the faults at its end, everything plugged. With every emf and PortTones.emf_v 1 the figures are
/// decibels against the emf.
void
chain_transfer_between(const Chain* chain, int leaf, int a, int b, const ChainEdit edits[],
                       int n_edits, ChainHeard heard[PORT_LANES]);

/// The same between the legs, contacts 2 and 3 of people (1 and 2 here): 3 contacts or more.
void
chain_transfer(const Chain* chain, int leaf, const ChainEdit edits[], int n_edits,
               ChainHeard heard[PORT_LANES]);
