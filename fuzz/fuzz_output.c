// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as a reading of an output: circuit, check, reading, place, set apart by bars. What must
  hold: what is refused says why and leaves the result alone; what is read names a circuit there is,
  a key its check has (or another circuit), ohms that are no negative number, and a chance above
  nought under every fault; and its odds still sum to one.
*/

#include "must.h"

#include "day/outputs.h"
#include "stage/lists.h"

#include <math.h>
#include <string.h>

static const char outputs_csv[] =
  "zone,zone_name,circuit,band,amp,amp_channel,pins,boxes,drivers,nominal_ohm,load_ohm,preset,"
  "note\n"
  "1,left,1.1L,low,AL1,1,1+ 1-,2,2,2,1.4,own,hang\n1,left,1.1H,high,AL1,2,2+ 2-,2,1,8,5.4,own,\n"
  "3,sub,3.2,sub,SL1,1,1+ 1-,2,2,2,1.35,,\n";
static const char monitors_csv[] = "mix,name,feeds,desk_output\n8,singer,in-ear 2,aux 9\n"
                                   "9,keys,in-ear 3,aux 10\n3,wedge,amp MA1 ch 1,aux 3\n";

static void
weigh(Arena* arena, const Plant* plant, const OutputSeen* seen, const char* cells[4])
{
  Outputs* o = NULL;
  Fact fact;
  Fold fold;
  Error error = {0};
  const FactBody body = {.circuit = cells[0],
                         .check = cells[1],
                         .reading = cells[2],
                         .at = cells[3][0] ? cells[3] : NULL};
  const Status st =
    fact_make(arena, FACT_OUTPUT_READING, &body, "2031-06-14T09:00:00Z", "", "", &fact, &error);
  MUST(st == STATUS_OK || st == STATUS_BAD_INPUT || st == STATUS_LIMIT);
  if (st != STATUS_OK) {
    return;
  }
  fact.seq = 1;
  MUST(fold_make(arena, &fact, 1, &fold, NULL) == STATUS_OK);
  MUST(outputs_new(arena, plant, &fold, &o) == STATUS_OK);
  const OutputSuspect* list = NULL;
  int n = 0;
  double sum = 0.0;
  const int circuit = seen->circuit >= 0 ? seen->circuit : 0;
  MUST(outputs_suspects(o, arena, circuit, &list, &n) == STATUS_OK && n > 0);
  for (int i = 0; i < n; ++i) {
    sum += list[i].prob;
    MUST(list[i].prob >= 0.0);
    MUST(seen->circuit < 0 || seen->check >= OUT_CHECKS ||
         outputs_like(o, circuit, &list[i].wrong, seen) > 0.0);
  }
  MUST(fabs(sum - 1.0) < 1e-9);
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  Arena arena;
  Plant plant;
  Error error = {0};
  const ListText lists[] = {{"outputs.csv", outputs_csv, sizeof(outputs_csv) - 1},
                            {"monitors.csv", monitors_csv, sizeof(monitors_csv) - 1}};
  arena_init(&arena, NULL);
  char* const text = arena_text(&arena, (const char*)bytes, n_bytes);
  MUST(text && lists_build(&arena, lists, 2, 0, &plant, &error) == STATUS_OK);
  const char* cells[4] = {text, "", "", ""};
  char* at = text;
  for (int i = 1; i < 4; ++i) {
    at = strchr(at, '|');
    if (!at) {
      break;
    }
    *at++ = '\0';
    cells[i] = at;
  }
  OutputSeen seen = {.circuit = 77};
  int n_about = -1;
  error = (Error){0};
  const Status st =
    outputs_read(&plant, cells[0], cells[1], cells[2], cells[3], &seen, &n_about, &error);
  if (st != STATUS_OK) {
    MUST(st == STATUS_BAD_INPUT && error.text[0] && seen.circuit == 77 && n_about == -1);
  } else {
    MUST(seen.circuit >= -1 && seen.circuit < plant.n_outputs && seen.check <= OUT_CHECKS);
    MUST(seen.ohm >= 0.0 || seen.circuit < 0);
    MUST(seen.circuit < 0 || seen.check >= OUT_REPAIR || seen.check == OUT_OHMS ||
         seen.key >= OUT_KEY_ON || outputs_key_word(seen.check, seen.key));
    weigh(&arena, &plant, &seen, cells);
  }
  arena_deinit(&arena);
  return 0;
}
