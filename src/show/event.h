// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "base/status.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>

/*
  A fact: one thing that happened to the show, as somebody said it.

  A show is nothing but its facts in the order they were taken in. A fact is never edited; another
  fact of kind `voided` takes it back. Every fact carries its own id, so that a phone that is not
  sure whether its message arrived may send it again: the second copy does not count.

  What a fact says lies in its body, one flat JSON object; which keys a kind knows, and which of
  them it needs, is the table in event.c. Unknown keys are refused, so a misspelt one cannot pass
  for one left out.

      plugged       place what [act from]         what "" = nothing there; from: see change_step
      reading       line check reading [at desk act]
      output_reading circuit check reading [at]   of a circuit, mix, zone, amplifier, or the meter
      taped_off     item [why]
      cleared       item [seconds how]            seconds of flexing it stood
      moved         line way [act detail from]    way "" = back on its own way
      step_taken    line step [at seconds]
      step_refused  line step why [at]            why: "cannot", "somebody else did" or "busy"
      step_done     line step [at]                the hands are done; a desk tells what came of it
      list_imported list version text [file act id]  text: the list itself, as UTF-8; id: of the
                                                  first list of those that came in together: one
                                                  `voided` of that one takes all of them back
      kit           kit count [place]
      act_in_force  act                           act "" = bare lines
      desk_read     desk line [act channel name patch phantom pad muted]   what the desk has for the
                                                  line of a list: patch a line or "none"
      holds         desk version [act]            which version of an act's list a desk or the
                                                  stage has: "3", "QLR 3"
      change_step   act from step [at detail]     a step of the change from one act to the next that
                                                  no plug tells of: "begin", or at a desk "mute",
                                                  "phantom off", "patch", "phantom on"; detail: the
                                                  numbers of the lines it was done for. The stage
                                                  tells "heard mute", "heard phantom off" (at: the
                                                  desk it heard), "anyway" (before every desk has
                                                  muted) and "take" (at: the hand who takes them)
      pass_begun    how [act]                     lines are proven from now on, by this way; act
                                                  "" = the bare lines
      ready         desk [act]                    before that pass: a desk has muted, or the stage
                                                  has unplugged what must be out
      skipped       line [act desk why]           left out in that pass for now
      note          text [line item]
      message       to text [line urgent]         to: a place ("foh", "stage") or "all"; urgent 0
                                                  or 1
      message_seen  id                            somebody at the place it went to has read it
      voided        id [why]                      id of the fact taken back
*/

/// name, word in the file and on the wire
#define FACT_KIND_LIST(X)                                                                          \
  X(FACT_PLUGGED, "plugged")                                                                       \
  X(FACT_READING, "reading")                                                                       \
  X(FACT_OUTPUT_READING, "output_reading")                                                         \
  X(FACT_TAPED_OFF, "taped_off")                                                                   \
  X(FACT_CLEARED, "cleared")                                                                       \
  X(FACT_MOVED, "moved")                                                                           \
  X(FACT_STEP_TAKEN, "step_taken")                                                                 \
  X(FACT_STEP_REFUSED, "step_refused")                                                             \
  X(FACT_STEP_DONE, "step_done")                                                                   \
  X(FACT_LIST_IMPORTED, "list_imported")                                                           \
  X(FACT_KIT, "kit")                                                                               \
  X(FACT_ACT_IN_FORCE, "act_in_force")                                                             \
  X(FACT_DESK_READ, "desk_read")                                                                   \
  X(FACT_HOLDS, "holds")                                                                           \
  X(FACT_CHANGE_STEP, "change_step")                                                               \
  X(FACT_PASS_BEGUN, "pass_begun")                                                                 \
  X(FACT_READY, "ready")                                                                           \
  X(FACT_SKIPPED, "skipped")                                                                       \
  X(FACT_NOTE, "note")                                                                             \
  X(FACT_MESSAGE, "message")                                                                       \
  X(FACT_MESSAGE_SEEN, "message_seen")                                                             \
  X(FACT_VOIDED, "voided")

typedef enum {
#define FACT_KIND_ENUM(name, word) name,
  FACT_KIND_LIST(FACT_KIND_ENUM)
#undef FACT_KIND_ENUM
    FACT_KIND_COUNT
} FactKind;

enum {
  FACT_ID_ROOM = 65,            ///< Bytes for the longest id with its zero
  FACT_TIME_ROOM = 32,          ///< Bytes for the longest time with its zero
  FACT_WORD_BYTES = 200,        ///< Longest place or role
  FACT_BODY_BYTES = 64 * 1024,  ///< Longest body
  FACT_LIST_BYTES = 64 << 20,   ///< Longest body of a list_imported
  FACT_LINE_MAX = 99999,        ///< Highest line number
  FACT_COUNT_MAX = 1000 * 1000, ///< Highest count or number of seconds
};

/// One fact. Plain data; whoever made it owns the texts.
typedef struct {
  const char* id;    ///< 8 to 64 of 0-9 A-Z a-z and '-'
  int64_t seq;       ///< Place in the log, from 1; 0 = not in a log yet
  const char* time;  ///< UTC, "2031-06-14T15:22:07Z", fraction allowed; from the caller's clock
  const char* place; ///< Where the teller stood; may be ""
  const char* role;  ///< Who told it; may be ""
  FactKind kind;
  const char* body; ///< JSON object, zero-ended
  size_t n_body;    ///< Bytes of `body` without the zero
} Fact;

/// What a body says. Texts that were not given are NULL, numbers not given are 0.
typedef struct {
  int line;    ///< 1 to FACT_LINE_MAX
  int channel; ///< 1 to FACT_LINE_MAX
  int count;   ///< 0 to FACT_COUNT_MAX
  int seconds; ///< 0 to FACT_COUNT_MAX
  int urgent;  ///< 0 or 1
  const char* act;
  const char* at;
  const char* check;
  const char* circuit;
  const char* desk;
  const char* detail;
  const char* file;
  const char* from;
  const char* how;
  const char* id;
  const char* item;
  const char* kit;
  const char* list;
  const char* muted;
  const char* name;
  const char* pad;
  const char* patch;
  const char* phantom;
  const char* place;
  const char* reading;
  const char* step;
  const char* text;
  const char* to;
  const char* version;
  const char* way;
  const char* what;
  const char* why;
} FactBody;

/// The word of a kind; never NULL ("unknown" outside the enum).
const char*
fact_kind_word(FactKind kind);

/// The kind of a word, exactly as written. @return false: no such kind, `kind` untouched.
bool
fact_kind_of(const char* word, FactKind* kind);

/// A new id of 128 random bits as 32 hex digits. @return STATUS_IO if the system has no chance to
/// give (then `id` is untouched).
Status
fact_id_new(char id[FACT_ID_ROOM]);

/// The time now, UTC, to the millisecond: the only clock of this room, for callers without their
/// own.
void
fact_time_now(char time[FACT_TIME_ROOM]);

/// The time `age_s` seconds ago, the same way; below 0 counts as now.
void
fact_time_before(double age_s, char time[FACT_TIME_ROOM]);

/**
   Read a body.

   @param json Bytes from anywhere; a zero after them is not needed.
   @param[out] body Texts live in `arena`; untouched on error.
   @param error May be NULL. Position is line and column inside the JSON text.
   @return STATUS_BAD_INPUT (not JSON, a key twice, unknown key, missing key, wrong type or range);
   STATUS_LIMIT (too long); STATUS_NO_MEMORY.
*/
Status
fact_body_read(Arena* arena, FactKind kind, const char* json, size_t n_json, FactBody* body,
               Error* error);

/**
   Write a body in its one canonical form: no blanks, keys in alphabetical order. Fields the kind
   does not know must be NULL or 0. Reading it back gives the same fields.

   @param[out] json Zero-ended, in `arena`; untouched on error.
   @return as fact_body_read; STATUS_BAD_ARG for a field the kind does not know.
*/
Status
fact_body_write(Arena* arena, FactKind kind, const FactBody* body, const char** json,
                size_t* n_json, Error* error);

/// A whole fact with a new id; texts are copied into `arena`. `fact` is untouched on error.
Status
fact_make(Arena* arena, FactKind kind, const FactBody* body, const char* time, const char* place,
          const char* role, Fact* fact, Error* error);

/// Whether a fact may enter a log: id, time, place, role, kind and body are all in order.
/// On STATUS_OK `body` (may be NULL) holds what it says and `canonical` the same fact with its body
/// in canonical form; both live in `arena`.
Status
fact_check(Arena* arena, const Fact* fact, FactBody* body, Fact* canonical, Error* error);

/// Same fact told twice: kind, place, role and body agree. The time is left out, because whoever
/// takes a message in may stamp it anew. Bodies must be canonical.
bool
fact_same(const Fact* a, const Fact* b);

/// The head line of facts as CSV (RFC 4180, lines end CR LF), and one fact as a line of it.
/// @return STATUS_IO, STATUS_FULL when the stream refuses.
Status
fact_csv_head(FILE* out);

Status
fact_csv_line(FILE* out, const Fact* fact);

/// One fact as one line of JSON with its body as an object. @return as fact_csv_line, or
/// STATUS_BAD_INPUT if the body is no JSON, STATUS_NO_MEMORY.
Status
fact_json_line(FILE* out, const Fact* fact);
