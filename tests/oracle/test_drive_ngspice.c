// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Drive lines, as fault/drive draws them, against ngspice (oracle/against.h): every fault of
  contacts at both ends, contact 1 earthed and lifted, of several lengths and ends, seen from the
  amplifier's plug, from what it is plugged to and from both, by a meter of 9 V behind 1 k and by
  four tones. Without LINEWALK_LONG a few lines, with it all. Says "N passed, N failed"; without
  ngspice, skipped.
*/

#include "fault/drive.h"
#include "oracle/against.h"
#include "stage/lists.h"

static const char drives_csv[] = "drive_line,cable_m,output_ohm,amp_input_ohm,contact1_lifted\n"
                                 "1,70,,,no\n"
                                 "2,70,,,yes\n"
                                 "3,5,25,10000,no\n"
                                 "4,400,300,600,yes\n"
                                 "5,1,50,20000,no\n";

typedef struct {
  AgainstTally dc, ac;
  int n_looks;
} Sum;

static bool
compare(const DriveCircuit* circuit, const DriveFault* fault, Sum* sum)
{
  const PortTones tones = {.hz = {50.0, 100.0, 1000.0, 10000.0}, .emf_v = {1, 1, 1, 1}};
  // The meter's 9 V behind 1 k, so that direct volts are there to compare
  LampTester meter = {.n_batteries = 1, .batteries = {{1, 2, 9.0, 1000.0}}};
  if (lamp_ready(&meter, 3) != STATUS_OK) {
    return false;
  }
  ChainEdit edits[TEMPLATE_MAX_EDITS];
  const int n = drive_edits(fault, edits);
  for (int side = CHAIN_TO_SOURCE; side <= CHAIN_BOTH; ++side) {
    if (!against_line(sum->n_looks++, circuit->chain, &tones, edits, n, DRIVE_JOINT_AMP,
                      (ChainSide)side, &meter, &sum->dc, &sum->ac)) {
      return false;
    }
  }
  return true;
}

int
main(void)
{
  if (system("command -v ngspice >/dev/null 2>&1") != 0) {
    printf("ngspice is not here: skipped\n1 passed, 0 failed\n");
    return 0;
  }
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  Error error = {0};
  const ListText list = {"drive.csv", drives_csv, sizeof(drives_csv) - 1};
  if (lists_build(&arena, &list, 1, 0, &plant, &error) != STATUS_OK) {
    printf("%s:%d: %s\n0 passed, 1 failed\n", error.file, error.line, error.text);
    return 1;
  }
  const char* const longer = getenv("LINEWALK_LONG");
  const bool is_long = longer && longer[0] == '1';
  Sum sum = {0};
  int n_unbuilt = 0;
  for (int drive = 0; drive < plant.n_drives; ++drive) {
    const DriveCircuit* circuit = NULL;
    const DriveFault* faults = NULL;
    int n = 0;
    if (drive_build(&arena, plant_own_meter(&plant), &plant.drives[drive], &circuit) != STATUS_OK ||
        drive_faults(&arena, &plant, drive, &faults, &n) != STATUS_OK) {
      ++n_unbuilt;
      continue;
    }
    for (int i = 0; i < n; ++i) { // Faults without a circuit are the good line, once
      ChainEdit edits[TEMPLATE_MAX_EDITS];
      const bool wanted = i == 0 || drive_edits(&faults[i], edits) > 0;
      if (wanted && (is_long || (i + drive) % 5 == 0) && !compare(circuit, &faults[i], &sum)) {
        ++n_unbuilt;
      }
    }
  }
  printf("figure: oracle_drive_looks %d looks\n", sum.n_looks);
  printf("figure: oracle_drive_volts %d compared\n", sum.dc.n_volts + sum.ac.n_volts);
  printf("figure: oracle_drive_worst_volt %.3g of itself\n",
         fmax(sum.dc.worst_volt, sum.ac.worst_volt));
  printf("figure: oracle_drive_beyond_bound %d values\n", sum.dc.n_failed + sum.ac.n_failed);
  printf("refused: %d direct, %d alternating of %d\n", sum.dc.n_refused, sum.ac.n_refused,
         sum.n_looks);
  const bool too_many = sum.dc.n_refused + sum.ac.n_refused > sum.n_looks / 4 || sum.n_looks == 0;
  const int n_bad = n_unbuilt + sum.dc.n_failed + sum.ac.n_failed + too_many;
  printf("%d passed, %d failed\n", 2 * sum.n_looks > n_bad ? 2 * sum.n_looks - n_bad : 0, n_bad);
  arena_deinit(&arena);
  return n_bad != 0;
}
