// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/drive.h"
#include "reason/belief.h"
#include "show/fold.h"
#include "speaker/parts.h"
#include "speaker/twin.h"
#include "stage/plant.h"

/*
  From desk output to loudspeaker: where every circuit and mix stands today.

    names, presets --- tone at the amplifier's input --- ohms at its output --- what plays, pulse
       (paper)             (drive line)               (unplugged from it)         (walking)

  The readings of the day are told of a circuit ("1.2H", "mix 3"), of an amplifier ("AL1"), of a
  zone, of the meter (its leads) or of the air; each kind of reading has one place it belongs to.
  They are weighed as on the input side: every circuit has its own list of what may be wrong (pole,
  cable, link, box, driver, channel, return), over them stand shared causes (a drive line reaches a
  whole zone, a preset or a switch a whole amplifier, a cable with crossed or missing pairs each of
  its circuits, plugs swapped between two amplifiers), and reason/belief keeps the odds. What a
  drive line or a return may have, and what each of it makes of a tone at the amplifier's input, of
  hum and of polarity, is fault/drive's to say: a circuit, not a table.

  What a reading of ohms is held against is what circuits alike read today (speaker/twin.h), and the
  list where there are none yet; how sure that is decides how far a reading may be off before it
  counts. Ohms are never asked for, and never taken, on a circuit whose amplifier nobody has told to
  be unplugged.

  Times, odds and how likely what is heard are common practice without a source, and called so.
  Pure: no clock. Any thread; memory from the arena of the call.
*/

typedef enum {
  OUT_PRESET,    ///< Name of the preset in the amplifier: of an amplifier
  OUT_LIGHT,     ///< The amplifier's own lights: fine, protects, dark
  OUT_TONE,      ///< Desk's tone at the amplifier's input: normal, low, nothing
  OUT_HUM,       ///< none, audible, loud
  OUT_NAME,      ///< The name spoken into this output: yes, nothing, on OTHER
  OUT_OHMS,      ///< A number, open, short: at amp, cable (far end unplugged), link K
  OUT_PLAYS,     ///< Noise at -30 dB, at the boxes: right, nothing, quiet, dull, other; at box K
  OUT_PULSE,     ///< Polarity pulse at a box: same, inverted, nothing; at box K
  OUT_SUM,       ///< With its neighbour: louder, weaker
  OUT_IMPEDANCE, ///< By an impedance meter: ohms at one frequency or several, or open
  OUT_REPAIR,    ///< "swap link 1" and its like: better, same
  OUT_CHECKS
} OutputCheck;

enum { OUT_AT_AMP = 0, OUT_AT_CABLE = -1 }; ///< Else link or box number
enum { OUT_KEY_ON = 1000 };                 ///< "on N": circuit index N - OUT_KEY_ON

enum { PRESET_RIGHT, PRESET_WRONG };
enum { LIGHT_FINE, LIGHT_PROTECTS, LIGHT_DARK };
enum { OUT_TONE_NORMAL, OUT_TONE_LOW, OUT_TONE_NOTHING };
enum { OUT_HUM_NONE, OUT_HUM_AUDIBLE, OUT_HUM_LOUD };
enum { NAME_YES, NAME_NOTHING };
enum { PLAYS_RIGHT, PLAYS_NOTHING, PLAYS_QUIET, PLAYS_DULL, PLAYS_OTHER, PLAYS_WORDS };
enum { PULSE_SAME, PULSE_INVERTED, PULSE_NOTHING };
enum { SUM_LOUDER, SUM_WEAKER };

/// What can be done about it.
typedef enum {
  FIX_PRESET, ///< Load the preset of the list
  FIX_SWITCH, ///< Switch the amplifier on, unmute its channel
  FIX_DRIVE,  ///< Spare drive pair
  FIX_PATCH,  ///< Move the plug at the processor or the return panel
  FIX_PLUG,   ///< Plugs home and locked, at the right amplifier
  FIX_CABLE,
  FIX_LINK,    ///< `at` = which
  FIX_BOX,     ///< Out of the circuit, or another one in its place
  FIX_TAP,     ///< `at` = box: its tap as the list has it
  FIX_UNMUTE,  ///< The processor's or the desk's output
  FIX_OUTPUT,  ///< The drive line on another output of the processor or the desk
  FIX_CONTENT, ///< At the desk: give the output its own mix
  FIX_NOTE,    ///< Written down and lived with: its reading is "noted" and mends nothing
  FIX_COUNT
} OutputFix;

typedef enum {
  WRONG_NONE,
  WRONG_PART,     ///< Cable, link, box, driver: `fail`
  WRONG_NOT_MADE, ///< This pair has no copper in the cable
  WRONG_PRESET,
  WRONG_OFF,         ///< The whole amplifier
  WRONG_CHANNEL,     ///< Its channel muted or dead
  WRONG_DRIVE,       ///< A fault of its drive line or return: `drive`
  WRONG_DRIVE_OTHER, ///< Gets what `other` (a circuit) should get
  WRONG_CONTENT,     ///< The desk sends the mix of `other` into its own output
  WRONG_PLUGS,       ///< Amplifier plugs swapped with circuit `other`
  WRONG_ELSE
} WrongSort;

typedef struct {
  WrongSort sort;
  Fail fail;
  int other;                            ///< Circuit; -1 = none
  const struct OutputDriveFault* drive; ///< WRONG_DRIVE: which fault of its line; else NULL
} Wrong;

/// One fault of a drive line or a return, and what it makes of what is read at the amplifier's
/// input. Chances include misreading.
typedef struct OutputDriveFault {
  DriveFault fault; ///< [0] of a drive line: FAULT_NONE; swaps are WRONG_DRIVE_OTHER
  double share;     ///< Of all that may be wrong with it; of FAULT_NONE 0
  double tone[3];   ///< OUT_TONE_NORMAL ...
  double hum[3];    ///< OUT_HUM_NONE ...
  double level_db;  ///< Of the tone, against a good line
  int sign;         ///< +1, -1; 0 = nothing arrives
} OutputDriveFault;

/// What feeds a zone's amplifiers, or a mix's amplifier or transmitter.
typedef struct {
  int zone;       ///< 0 = a mix's return
  int mix;        ///< 0 = a zone's drive line
  DriveLine line; ///< As listed, or taken as usual
  bool is_listed;
  const int* circuits; ///< [n] indices of what it feeds
  int n;
  const OutputDriveFault* faults; ///< [n_faults]
  int n_faults;
  double swapped_share; ///< Of what may be wrong with it: plugs swapped with the one before it
} OutputDrive;

enum { OUTPUT_MAX_POINTS = 8 };

/// One reading as taken in.
typedef struct {
  int circuit; ///< Index
  OutputCheck check;
  int at;
  int key;      ///< As the check's words; for OUT_OHMS 0
  double ohm;   ///< OUT_OHMS: leads taken off, INFINITY = open; else 0
  int n_points; ///< OUT_IMPEDANCE: frequencies, 1 to OUTPUT_MAX_POINTS
  double point_hz[OUTPUT_MAX_POINTS], point_ohm[OUTPUT_MAX_POINTS]; ///< INFINITY = open
  OutputFix fix;
  size_t order;  ///< In the log
  bool is_group; ///< Told of an amplifier or a zone: of all its circuits
} OutputSeen;

typedef struct {
  Wrong wrong;
  double prob;
} OutputSuspect;

typedef enum { OUTPUT_PROVEN, OUTPUT_UNPROVEN, OUTPUT_SUSPECT, OUTPUT_BAD } OutputState;

typedef struct {
  OutputState state;
  const char* say; ///< "nothing read yet", "not seen: what plays, pulse"
  bool is_unplugged;
  bool has_ohms;
  double ohm;        ///< Last at the amplifier's end, leads off
  double expect_ohm; ///< By the list, 20 C; 0 = nothing to expect
  double now_ohm; ///< What it should read here and now (its like, or the list at the temperature)
  TwinVerdict twin;
  bool is_noted; ///< Somebody wrote down that it is lived with
  unsigned seen; ///< Bits 1 << OutputCheck: read and good
} OutputStanding;

typedef struct {
  OutputState state;
  const char* say;                  ///< "tone low; perhaps open 2, its plug at the amplifier"
  unsigned seen;                    ///< Bits 1 << OutputCheck: read of what it feeds and good
  double bad_prob;                  ///< That anything is wrong with it
  int n_right, n_wrong, n_not_read; ///< Presets of the amplifiers it feeds
} OutputDriveStanding;

typedef struct {
  const Plant* plant;
  int n; ///< Circuits
  const Parts* parts;
  const int* place; ///< Place index of each one's amplifier; -1 = not known
  const OutputSeen* seen;
  int n_seen;
  const OutputStanding* standing;
  const OutputDrive* drives; ///< Drive lines as their zones are listed, then returns
  const OutputDriveStanding* drive_standing; ///< [n_drives]
  int n_drives;
  const int* drive_of; ///< [n] of each circuit; -1 = none
  Belief* belief;
  BeliefModel model;
  const Wrong* const* locals; ///< [n][n_locals]
  const struct OutputShared* shared;
  int n_shared;
  const char* left_aside; ///< Facts that no longer fit the lists; "" if none
  double leads_ohm;       ///< Of the meter, taken off; 0 = none told
  double air_c;           ///< NAN = not told
} Outputs;

/// A shared cause: what is wrong with each circuit it touches.
typedef struct OutputShared {
  const int* circuits; ///< [n]
  const Wrong* wrongs; ///< [n]
  int n;
  const char* say; ///< "drive line of zone 5"
} OutputShared;

/**
   Where all circuits stand.
   @param fold NULL = nothing read. @param[out] outputs In `arena`; untouched on error.
   @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
outputs_new(Arena* arena, const Plant* plant, const Fold* fold, Outputs** outputs);

/// Odds of one circuit, most likely first: [*n] in `arena`. Once a reading speaks against it they
/// are of what would show it; else WRONG_NONE is among them.
Status
outputs_suspects(const Outputs* outputs, Arena* arena, int circuit, const OutputSuspect** list,
                 int* n);

/// The row of a circuit's flat list as what is wrong.
Wrong
outputs_wrong(const Outputs* outputs, int circuit, int row);

/// What is wrong, as the wire has it ("pairs crossed", "open 1+", "driver open") and where ("link
/// 1", "the amplifier AL1"). In `arena`, NULL = no memory.
const char*
outputs_fault_text(const Outputs* outputs, Arena* arena, int circuit, const Wrong* wrong);
const char*
outputs_part_text(const Outputs* outputs, Arena* arena, int circuit, const Wrong* wrong);

/// A drive line as people name it: "drive 5", "return R3". In `arena`, NULL = no memory.
const char*
outputs_drive_text(const OutputDrive* drive, const Outputs* outputs, Arena* arena);

/// What is wrong with it, if anything, most likely first: faults of its own and being swapped with
/// the one before or after it. [*n] in `arena`, `prob` of all of them the odds that it is that.
Status
outputs_drive_suspects(const Outputs* outputs, Arena* arena, int drive, const OutputSuspect** list,
                       int* n);

/// Chance of a reading under a fault; > 0. Ohms as a density [1/ohm], an open one as a chance.
double
outputs_like(const Outputs* outputs, int circuit, const Wrong* wrong, const OutputSeen* seen);

/// What a fault most likely shows: key of a check; for OUT_OHMS `*ohm` (INFINITY = open, NAN = not
/// known).
int
outputs_shows(const Outputs* outputs, int circuit, const Wrong* wrong, OutputCheck check, int at,
              double* ohm);

/// The DC ohms that `wrong` reads at a place, at 20 C.
double
outputs_ohm(const Outputs* outputs, int circuit, const Wrong* wrong, int at);

/// What an impedance meter reads of `wrong`, about; INFINITY = open, NAN = not known. By the taps
/// of a 70 or 100 V line, else by the nominal load, which is of no one frequency: cones and coils
/// differ, so only a quarter off tells anything by itself.
double
outputs_impedance(const Outputs* outputs, int circuit, const Wrong* wrong);

/// How far one point of a reading is from its like at the same frequency (2 %), or where none was
/// read from the list: ratio less 1; NAN = nothing to hold it against. @param[out] n_like Others.
double
outputs_impedance_off(const Outputs* outputs, const OutputSeen* seen, int point, int* n_like);

/// What a repair ends, 0 to 1.
double
outputs_fixes(OutputFix fix, int at, const Wrong* wrong);

/// Circuits that share a cable with this one, itself included; how many.
int
outputs_cable(const Plant* plant, int circuit, int circuits[], int max);

/// Whether its boxes hang: no hand reaches them in a show.
bool
outputs_hangs(const OutputCircuit* circuit);

// ---- Words ----

const char*
outputs_check_word(OutputCheck check);

/// Words of a check as readings, key by key; NULL from its last on. Ohms have none.
const char*
outputs_key_word(OutputCheck check, int key);

/// A place on the wire: "amp", "cable", "link 1", "box 2", "".
const char*
outputs_at_text(Arena* arena, OutputCheck check, int at);

/// A repair on the wire: "load preset", "swap link 1". In `arena`, NULL = no memory.
const char*
outputs_fix_text(Arena* arena, OutputFix fix, int at);

/**
   A reading as a person types it.

   @param circuit Name of a circuit, an amplifier ("AL1"), "zone 3", "meter" or "air".
   @param[out] seen Untouched on error; `circuit` the first one it is about, -1 for meter and air.
   @param[out] n_about How many circuits it is about, may be NULL.
   @return STATUS_OK; STATUS_BAD_INPUT with what fits.
*/
Status
outputs_read(const Plant* plant, const char* circuit, const char* check, const char* reading,
             const char* at, OutputSeen* seen, int* n_about, Error* error);

/// Whether a name means this circuit: its own, its amplifier's, its zone's ("zone 3", "drive 3").
bool
outputs_about(const Plant* plant, int circuit, const char* name);

/// Whether the amplifier of a circuit is told to be unplugged now.
bool
outputs_unplugged(const Plant* plant, const Fold* fold, int circuit);

/// Marks told of an amplifier: check word and its readings.
#define OUTPUTS_MARK "amplifier"
#define OUTPUTS_UNPLUGGED "unplugged"
#define OUTPUTS_PLUGGED "plugged"

// ---- What to do ----

typedef enum { OUTPUT_DOES_CHECK, OUTPUT_DOES_REPAIR, OUTPUT_DOES_ASK } OutputDoes;

enum { OUTPUT_MAX_READINGS = 8, OUTPUT_MAX_STEPS = 6 };

typedef struct {
  int circuit;
  OutputDoes does;
  const char* name;     ///< Of whom the reading is told: circuit, amplifier, zone
  const char* check;    ///< Word for it: "ohms", "swap link 1", "amplifier"
  const char* at;       ///< "amp", "box 2", ""
  const char* for_what; ///< Of OUTPUT_DOES_ASK: the check it makes ready, "" else
  const char* say;
  const char* why;
  const char* caution; ///< Never ""
  double seconds;
  const char* readings[OUTPUT_MAX_READINGS];
  int n_readings; ///< 0: a number
  OutputCheck check_sort;
  OutputFix fix;
  int at_number;
} OutputStep;

typedef struct {
  OutputStep steps[OUTPUT_MAX_STEPS]; ///< Best first
  int n_steps;
  double seconds; ///< Until it plays, at most about
} OutputAdvice;

/// The next steps for a circuit. None when it is proven. Words in `arena`.
Status
outputs_advise(const Outputs* outputs, Arena* arena, int circuit, OutputAdvice* advice);

/// The step of a routine check, whoever asks for it: the same words and cautions, and the step that
/// makes it ready where the plug is not as it must be. Words in `arena`.
Status
outputs_routine(const Outputs* outputs, Arena* arena, int circuit, OutputCheck check, int at,
                OutputStep* step);

/// The caution of a check or a repair of a circuit; static text.
const char*
outputs_caution(const OutputCircuit* circuit, OutputDoes does, OutputCheck check, OutputFix fix);

/// One stop of the round: what is read where, in the order of least walking.
typedef struct {
  int place; ///< Index; -1 = not known
  OutputCheck check;
  int circuit;      ///< The first one it is about
  const char* name; ///< Amplifier, zone or circuit
  double seconds;
  bool is_done;
} OutputStop;

/**
   The round: at each place presets first, then drive lines, then ohms amplifier by amplifier; then
   the walk with noise and pulse. @param from Place index to start at, -1 = the first.
   @param[out] stops [*n] in `arena`. @param[out] walk_s All walking, may be NULL.
*/
Status
outputs_round(const Outputs* outputs, Arena* arena, int from, const OutputStop** stops, int* n,
              double* walk_s);

/// The step to take now: for the worst circuit about `name` (NULL = any), else the next stop of the
/// round. Words in `arena`. @param[out] has Whether there is one; `step` untouched without.
Status
outputs_next(const Outputs* outputs, Arena* arena, const char* name, OutputStep* step, bool* has);
