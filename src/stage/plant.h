// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"
#include "stage/inline.h"
#include "stage/kind.h"
#include "stage/output.h"
#include "stage/tester.h"

#include <stdbool.h>

/*
  All gear on site and how it is plugged, as the lists say it.

    source --cable-- box socket --tail-- split --+-- (direct)    multicore pair -- desk 0 input
                                                 +-- (isolated)  ------------------ desk 1 input
                                                 +-- (isolated)  ------------------ desk 2 input

  Three things stay apart: a *line* is copper (one number through box socket, tail, split and
  pair), a *channel* is a desk's, a *source* is what plays. An Input says which source an act plugs
  into which socket; a DeskRow says what a desk really has. What nobody listed is filled with usual
  values and carries `is_assumed`, so that a face can say so.

  A digital box holds its preamplifiers, phantom and pads itself, so its lines have no tail, no
  split and no pair: a network lead (one or two) takes all of them to every desk, and the desk that
  owns the box sets gain, phantom and pad for all desks alike.

    source --cable-- box socket, preamplifier ==network lead== desk 0, desk 1, desk 2

  The plant is the lists alone: what was seen, plugged or taped off today is laid over it by day/.
  Everything lives in the arena it was built in and is read-only afterwards (any thread).
*/

enum { PLANT_DESKS = 3, PLANT_MAX_LINES = 512, INPUT_MAX_THROUGH = 4 };

typedef struct {
  const char* name;     ///< "A"
  const char* meaning;  ///< "drum riser box"
  const char* where;    ///< Place on stage in the list's words: "upstage centre"; may be ""
  int place;            ///< Index into places ("box A")
  int n_sockets;        ///< Sockets 1..n_sockets
  int first_line;       ///< line = first_line + socket - 1
  double tail_m;        ///< Tail to the split [m]
  const char* tail_tag; ///< "X04" or "" when not known
  bool is_assumed;
  bool is_digital;   ///< The rest is for digital boxes: no tail (0 m), no split, no pair
  int owner;         ///< Index into desks: whose gain, phantom and pad the box obeys
  int n_leads;       ///< Network leads to the desks, 1 or 2; the second takes over when one is out
  const char* clock; ///< Whom its clock should follow, in words: "house desk"
  const char* power; ///< Where its power comes from, in words: "stage mains"
} Box;

typedef struct {
  int number;                  ///< As people say it
  int box;                     ///< Index into boxes
  int socket;                  ///< 1-based
  int pair;                    ///< Multicore pair; 0 on a digital box
  int split_channel;           ///< 0 on a digital box
  int desk_input[PLANT_DESKS]; ///< Physical input at each desk; 0 = none
  bool is_spare;
} Line;

typedef struct {
  const char* name;   ///< "foh", "mon", "broadcast": the word on the wire
  const char* say;    ///< "house desk", "monitor desk", "broadcast desk"
  int place;          ///< Index into places
  bool is_direct;     ///< On the split's direct side: the only one that can give phantom
  double between_ohm; ///< Its inputs: between the legs; 0 = nothing there
  double each_ohm;    ///< And from each leg to earth; both 0 = nobody said, see plant_desk_input
} Desk;

typedef struct {
  const char* name;  ///< "act2"
  const char* start; ///< "15:35" or ""
  const char* end;
  const char* date; ///< Of the running order, "" if it has none
} Act;

typedef struct {
  int act;              ///< Index into acts
  int channel;          ///< List order in the act's own list
  const char* source;   ///< "vocal lead"
  int kind;             ///< Index into kinds
  Answer wants_phantom; ///< As the list says; ASK when it says nothing
  const char* stand;
  const char* position;
  const char* note;
  int line;                       ///< Index into lines; -1 = on no line
  bool is_placed;                 ///< The list says where; else it follows from the channel
  const char* cable;              ///< Tag of the cable in the socket, "" when the list names none
  int through[INPUT_MAX_THROUGH]; ///< In-line things from the source on: indices into `inlines`
  int n_through;
  int y_line;       ///< Y-lead to a second socket: number of that line; 0 = none
  int y_kind;       ///< Y-lead with a second source: 1 + index into kinds; 0 = none
  const char* list; ///< Name of the list it came with
  bool is_must;     ///< The list says that the act does not go on without it
} Input;

typedef struct {
  int act; ///< Index into acts; -1 = bare lines
  int desk;
  int channel; ///< Desk channel
  int line;    ///< Line number its patch takes (physical input); 0 = none
  const char* name;
  Answer gives_phantom;
  double pad_db;  ///< >= 0; NaN = not said; so is gain_db
  double gain_db; ///< [dB]
  Answer is_muted;
  bool is_read; ///< Read back from the desk today; else as a list has it
  int about;    ///< Number of the line that was read back; 0 in a list's row
} DeskRow;

typedef struct {
  const char* tag;
  const char* kind; ///< "mic", "tail 12", "multicore 48", "loudspeaker", ...
  double length_m;
  const char* poles;
  const char* last_test; ///< ISO date or ""
  int n_matings;
  const char* state; ///< "good", "quarantine", "repair", "bin"
  const char* history;
} Item;

typedef struct {
  const char* role;
  const char* where;
  int place; ///< Where they start
  int count;
} Person;

typedef struct {
  const char* step;                ///< "swap a cable"
  double quick_s, usual_s, slow_s; ///< slow_s is INFINITY for "never"
  const char* source;              ///< "usual practice" unless the log knows better
} StepTime;

typedef struct {
  const char* where; ///< "cable"
  const char* fault; ///< "open"
  double share;      ///< Of dead or bad lines in a changeover
  const char* source;
} StartOdds;

typedef struct {
  const char* check; ///< "level"
  double prob;       ///< In (0, 0.5)
  const char* source;
} Misread;

/// How much a source is missed, by its name. What asks: day/need.
typedef struct {
  const char* plays;  ///< "vocal lead": words of its name; with `beside`, how its name ends
  const char* beside; ///< How the name of the first of the pair ends: "L" for "R"; "-" = as the
                      ///< second's without its end; "" = no pair
  int needed;         ///< 1 (first to go) to NEEDED_MUST
  bool is_voice;      ///< Keeps one line all day
  bool shares;        ///< Both of the pair can go on one line
  const char* source;
} Needed;

enum { NEEDED_USUAL = 5, NEEDED_VOICE = 9, NEEDED_MUST = 10 };

typedef struct {
  const char* name; ///< "lamp tester"
  int count;
  int place;
} KitItem;

typedef struct {
  const char* name;                  ///< "S1"; "" = no split: the one desk has the lines to itself
  double primary_ohm, secondary_ohm; ///< DC resistances of a transformer
  double primary_h;
  bool is_blocked; ///< Capacitors keep direct current out of the primaries
  bool is_lifted;  ///< Contact 1 lifted on the isolated sides
  bool is_assumed;
  bool is_parallel; ///< No transformers: every side is joined contact by contact
} Split;

/// One drive line: a processor's output, a long cable, an amplifier's input. Ordered as listed.
typedef struct {
  int number;              ///< As people say it: "drive 5"
  int zone;                ///< 0 = not said
  const char* zone_name;   ///< What it feeds: "front fill", "" = not said
  const char* desk_output; ///< "matrix 5", "" = not said
  int processor_out;       ///< 0 = not said
  double cable_m;
  double level_dbu;  ///< What the amplifier's input should get of the desk's tone [dBu]
  double delay_ms;   ///< Set in the processor
  double output_ohm; ///< Each leg of the output
  double amp_ohm;    ///< Between the legs of the input: half of it from each leg to earth
  bool is_lifted;    ///< Contact 1 lifted at the amplifier; else earthed at both ends
  bool is_assumed;   ///< The list does not say both ohms: usual ones
} DriveLine;

/// What the running order says of the time before the acts. "" where it does not.
typedef struct {
  const char* opens;    ///< "14:00": when doors open, the first row that begins with "doors"
  const char* checking; ///< "10:45": when the first line check begins, a row with "line check"
  const char* date;     ///< Of the row of the doors
} Doors;

typedef struct {
  const char* act;
  const char* version;
  const char* has[PLANT_DESKS + 1]; ///< House, monitors, broadcast, stage; "" = not said
  const char* list;                 ///< Name of the list it came with
} ListVersion;

typedef struct {
  const char* name;
  const Kind* kinds;
  int n_kinds;
  const Inline* inlines; ///< In-line things: the built-in ones, the crew's over them
  int n_inlines;
  const Box* boxes;
  int n_boxes;
  const Line* lines; ///< Ordered by number
  int n_lines;
  Desk desks[PLANT_DESKS];
  int n_desks;
  const Act* acts; ///< In running order
  int n_acts;
  const Input* inputs; ///< By act, then list order
  int n_inputs;
  const DeskRow* desk_rows;
  int n_desk_rows;
  const Item* items;
  int n_items;
  const Person* people;
  int n_people;
  const char* const* places; ///< "tower", "split", "monitors", "box A", ...
  int n_places;
  const double*
    walk_s; ///< [n_places x n_places], seconds; row = from; unlisted pairs are usual values
  const StepTime* times;
  int n_times;
  const StartOdds* odds;
  int n_odds;
  const Misread* misreads;
  int n_misreads;
  const Needed* needed; ///< The built-in rows, the crew's over them
  int n_needed;
  const KitItem* kit;
  int n_kit;
  const Tester* testers; ///< The built-in ones, then the crew's
  int n_testers;
  const Meter* meters;
  int n_meters;
  Split split;
  const ListVersion* versions;
  int n_versions;
  const DriveLine* drives;
  int n_drives;
  const OutputCircuit* outputs; ///< Loudspeaker circuits as listed, then monitor mixes
  int n_outputs;
  Doors doors;
  double multicore_m;
  const char* const* assumed; ///< Sentences: what was assumed, for `lines` and `new` to show
  int n_assumed;
  const char* const* left_aside; ///< Sentences: files and columns that were not used
  int n_left_aside;
} Plant;

/// Index of a line by its number, -1 if there is none.
int
plant_line(const Plant* plant, int number);

/// Index of a line by box socket ("A6", "box A 6", "a-6"), -1 if there is none.
int
plant_socket(const Plant* plant, const char* text);

/// Whether a text speaks of a drive line ("drive 5", "drive line 5"), and its index in `drives`,
/// -1 when no list has it.
bool
plant_drive(const Plant* plant, const char* text, int* drive);

/// Index of a loudspeaker circuit or mix by name ("1.2H", "circuit 1.2H", "mix 3"), -1 if there is
/// none.
int
plant_output(const Plant* plant, const char* text);

/// Index of an act by name ("act2", "Act 2", "2"), -1 if there is none.
int
plant_act(const Plant* plant, const char* name);

/// Index of a desk by its word or any start of its spoken name, -1 if there is none.
int
plant_desk(const Plant* plant, const char* name);

/// What a desk's inputs are: ohms between the legs and from each leg to earth, INFINITY where there
/// are none. @return Whether nobody said and 2 kohm between the legs are taken (five to ten times a
/// 200 ohm source: Handbook for Sound Engineers, p. 1297); `desk` NULL: nobody said.
bool
plant_desk_input(const Desk* desk, double* between_ohm, double* each_ohm);

/// Index of a place by name, ignoring case, -1 if there is none.
int
plant_place(const Plant* plant, const char* name);

/// Whether a line ends in the preamplifier of a digital box.
bool
plant_is_digital(const Plant* plant, int line);

/// The desk whose phantom a line gets: the owner of its digital box, else the one on the split's
/// direct side. Others may show phantom as they like; it goes nowhere.
int
plant_phantom_desk(const Plant* plant, int line);

/// The input an act plugs into a line, NULL when the line is unused in it. `act` -1 gives NULL.
const Input*
plant_input(const Plant* plant, int act, int line);

/// Whether phantom or a tester's current may hurt what an input plugs in: a ribbon, an unbalanced
/// or A-B source, one whose harmlessness nobody knows, or one that hangs on the same Y-lead. An
/// isolating box in between does not count: it may be missing.
bool
plant_is_harmful(const Plant* plant, const Input* input);

/// Whether what stands between source and socket turns the polarity round on purpose.
bool
plant_is_inverted(const Plant* plant, const Input* input);

/// What a meter should read across 2-3 at the socket's plug of an input: its kind's range through
/// what stands in line. Both 0 when that is not known.
void
plant_r23_ohm(const Plant* plant, const Input* input, double* low_ohm, double* high_ohm);

/// What a desk has for a line in an act (-1 = bare lines), NULL when nothing is listed.
const DeskRow*
plant_desk_row(const Plant* plant, int act, int desk, int line);

/// Usual seconds of a handling step; `fallback_s` when the list does not have it.
double
plant_time_s(const Plant* plant, const char* step, double fallback_s);

/// Chance that a look at the same thing again only repeats the one before: whatever misled it (the
/// wrong channel, a meter in another bank) or a contact that holds just now is still there. The row
/// "look again, same cause" of the odds; 0.8 when the list does not have it (usual practice).
double
plant_again_prob(const Plant* plant);

/// Chance that a loose contact is open at a look while nobody moves it: the row "loose contact,
/// open while still" of the odds; 0.15 when the list does not have it (usual practice).
double
plant_still_open_prob(const Plant* plant);

/// Chance of misreading a check; 0.05 when the list does not have it (assumed).
double
plant_misread_prob(const Plant* plant, const char* check);

/// Starting share of a fault, 0 when the list does not have it.
double
plant_odds(const Plant* plant, const char* where, const char* fault);

/// How many of a thing of the kit are at hand (names match by their start).
int
plant_kit(const Plant* plant, const char* name);

/// A tester by its name, NULL when there is none of it.
const Tester*
plant_tester(const Plant* plant, const char* name);

/// The tester the crew has for a connector of so many contacts: the one a row of the kit names
/// ("lamp tester NAME"), else the first of the crew's own list, else the first of ours. NULL when
/// no tester has so many contacts.
const Tester*
plant_own_tester(const Plant* plant, int n_contacts);

/// The meter the crew has: the one a row of the kit names ("meter NAME", "hand meter NAME"), else
/// the first of the list, else 9 V behind 1 kohm. Never NULL.
const Meter*
plant_own_meter(const Plant* plant);

/// Walking seconds between two places, 0 for the same one.
double
plant_walk_s(const Plant* plant, int from, int to);

/// Whether a spare line is free in an act and in the one after it.
bool
plant_is_free(const Plant* plant, int act, int line);
