// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The project's own tables of what faults show on a plain line: lamp testers and levels. They were
  worked out by an independent program and are kept here to the digits they were written down with;
  two spots were confirmed in ngspice (dynamic source, open 2 at the box: -44.19 and -27.29 dB at
  1 and 10 kHz). Mark: computed (C). Tolerance: lamps 3 uA, levels 0.15 dB unless a row says more.
*/

#include "circuit/lamp.h"
#include "published/stage_line.h"
#include "support/check.h"

#include <string.h>

enum { NONE = -1, OPEN1, OPEN2, OPEN3, S12, S13, S23, X12, X13, X23 };
enum { HI1 = X23 + 1, HI2, HI3, L12, L13, L23, H2, H3, ROT1, ROT2 };

/// Fault by name at one end of an element; shorts are 0.1 ohm, leaks 10 k unless `leak_ohm` says.
static int
fault_edit(int fault, int element, ChainEnd end, double leak_ohm, ChainEdit* edit)
{
  static const int first[] = {0, 0, 1};
  static const int second[] = {1, 2, 2};
  static const uint8_t maps[5][3] = {{1, 0, 2}, {2, 1, 0}, {0, 2, 1}, {2, 0, 1}, {1, 2, 0}};
  *edit = (ChainEdit){.element = element, .end = end, .change = CHAIN_SERIES, .ohm = INFINITY};
  if (fault == NONE) {
    return 0;
  } else if (fault <= OPEN3) {
    edit->a = fault - OPEN1;
  } else if (fault <= S23 || (fault >= L12 && fault <= L23)) {
    const int k = fault <= S23 ? fault - S12 : fault - L12;
    edit->change = CHAIN_SHUNT;
    edit->a = first[k];
    edit->b = second[k];
    edit->ohm = fault <= S23 ? 0.1 : leak_ohm;
  } else if (fault <= X23 || fault >= ROT1) {
    edit->change = CHAIN_PERMUTE;
    memcpy(edit->map, maps[fault <= X23 ? fault - X12 : 3 + fault - ROT1], 3);
  } else {
    edit->a = fault <= HI3 ? fault - HI1 : 1 + fault - H2;
    edit->ohm = fault <= HI3 ? 1000.0 : 10000.0;
  }
  return 1;
}

static LampTester
delta_tester(double ohm21, double ohm31, double ohm23)
{
  LampTester tester = {.n_lamps = 3,
                       .lamps = {{1, 0, ohm21, lamp_green(), lamp_red()},
                                 {2, 0, ohm31, lamp_green(), lamp_red()},
                                 {1, 2, ohm23, lamp_green(), lamp_red()}}};
  assert_int_equal(lamp_ready(&tester, 3), STATUS_OK);
  return tester;
}

typedef struct {
  int fault;
  double ma[3];
  const char* picture;
} LampRow;

static void
check_lamps(const char* name, const Chain* chain, const LampTester* tester, double part,
            const LampRow rows[], size_t n_rows)
{
  for (size_t i = 0; i < n_rows; ++i) {
    ChainEdit edit;
    const int n_edits = fault_edit(rows[i].fault, 2, CHAIN_NEAR, 10000.0, &edit);
    Port port;
    double lamp_a[3];
    char text[64];
    chain_look(chain, 0, CHAIN_TO_DESK, &edit, n_edits, &port);
    assert_int_equal(lamp_solve(tester, &port, lamp_a, NULL, NULL), STATUS_OK);
    for (int k = 0; k < 3; ++k) {
      snprintf(text, sizeof(text), "%s, row %d, lamp %d", name, (int)i, k);
      CHECK_NEAR(text, 1e3 * lamp_a[k], rows[i].ma[k], 0.003 + part * fabs(rows[i].ma[k]));
    }
    lamp_picture(lamp_a, 3, text);
    assert_string_equal(text, rows[i].picture);
  }
}

// Tester at the source end, phantom from the desk: 470 / 220 / 100 ohm.
static const LampRow phantom_rows[] = {
  {NONE, {6.299, 6.523, 0.000}, "GG."},   {OPEN1, {0.000, 0.000, 0.000}, "..."},
  {OPEN2, {0.181, 6.349, -0.181}, "dGd"}, {OPEN3, {4.948, 1.451, 1.451}, "GGG"},
  {S12, {0.000, 1.432, -5.273}, ".GR"},   {S13, {1.363, 0.000, 5.295}, "G.G"},
  {S23, {4.233, 8.663, 0.000}, "GG."},    {X12, {-5.520, -0.881, -7.547}, "RRR"},
  {X13, {0.000, -6.567, 6.634}, ".RG"},   {X23, {6.299, 6.523, 0.000}, "GG."},
  {HI1, {4.927, 5.102, 0.000}, "GG."},    {HI2, {5.541, 6.523, 0.000}, "GG."},
  {HI3, {6.289, 5.724, 0.012}, "GG."},    {L12, {5.849, 6.523, 0.000}, "GG."},
  {L13, {6.298, 6.191, 0.001}, "GG."},    {L23, {6.166, 6.660, 0.000}, "GG."},
  {H2, {2.660, 6.524, 0.000}, "GG."},     {H3, {5.676, 3.359, 0.669}, "GGG"},
  {ROT1, {0.000, -6.567, 6.634}, ".RG"},  {ROT2, {-5.520, -0.881, -7.547}, "RRR"},
};

// The project's own tester, 1500 / 220 / 2200 ohm.
static const LampRow best_phantom_rows[] = {
  {NONE, {4.435, 7.806, 1.328}, "GGG"},   {OPEN1, {0.000, 0.000, 0.000}, "..."},
  {OPEN2, {0.063, 6.463, -0.063}, "dGd"}, {OPEN3, {4.092, 1.750, 1.750}, "GGG"},
  {S12, {0.000, 5.762, -0.787}, ".GR"},   {S13, {3.538, 0.000, 2.425}, "G.G"},
  {S23, {1.740, 10.994, 0.000}, "GG."},   {X12, {-5.836, 0.338, -4.873}, "RGR"},
  {X13, {2.369, -8.857, 3.306}, "GRG"},   {X23, {4.435, 7.806, 1.328}, "GGG"},
  {HI1, {3.592, 6.065, 0.943}, "GGG"},    {HI2, {4.027, 7.565, 1.078}, "GGG"},
  {HI3, {4.393, 7.052, 1.380}, "GGG"},    {L12, {3.997, 7.547, 1.060}, "GGG"},
  {L13, {4.416, 7.466, 1.351}, "GGG"},    {L23, {4.214, 8.068, 1.151}, "GGG"},
  {H2, {2.409, 6.631, 0.111}, "GGd"},     {H3, {4.237, 4.249, 1.572}, "GGG"},
  {ROT1, {2.369, -8.857, 3.306}, "GRG"},  {ROT2, {-5.836, 0.338, -4.873}, "RGR"},
};

// 12 V sender at the desk end: + to contact 2 through 470, half by a divider of 500 to contact 3.
// The sender's own inner resistance is not told: a quarter of a per cent is allowed.
static const LampRow sender_rows[] = {
  {NONE, {8.649, 7.765, 3.505}, "GGG"},    {OPEN1, {0.000, 0.000, 3.675}, "..G"},
  {OPEN2, {0.039, 5.384, -0.039}, ".G."},  {OPEN3, {7.818, 5.199, 5.199}, "GGG"},
  {S12, {0.000, 1.584, -5.592}, ".GR"},    {S13, {3.404, 0.000, 14.095}, "G.G"},
  {S23, {5.734, 11.785, 0.000}, "GG."},    {X12, {-8.321, -4.823, -10.830}, "RRR"},
  {X13, {0.000, -5.780, 16.857}, ".RG"},   {X23, {4.029, 14.033, -0.004}, "GG."},
  {HI1, {4.446, 0.374, 1.939}, "GGG"},     {HI2, {5.099, 5.396, 0.000}, "GG."},
  {HI3, {8.147, 6.208, 4.528}, "GGG"},     {L12, {8.484, 7.574, 3.226}, "GGG"},
  {L13, {8.591, 7.586, 3.620}, "GGG"},     {L23, {8.621, 7.803, 3.325}, "GGG"},
  {H2, {0.919, 5.408, 0.000}, "GG."},      {H3, {7.869, 5.355, 5.095}, "GGG"},
  {ROT1, {-1.008, -13.801, 7.198}, "RRG"}, {ROT2, {-4.329, 0.000, -17.410}, "R.R"},
};

static const LampRow best_sender_rows[] = {
  {NONE, {5.982, 11.972, 1.940}, "GGG"},   {OPEN1, {1.065, -1.065, 1.559}, "GRG"},
  {OPEN2, {0.325, 11.260, -0.325}, "GGR"}, {OPEN3, {5.927, 2.873, 2.873}, "GGG"},
  {S12, {0.000, 10.422, -1.271}, ".GR"},   {S13, {5.793, 0.000, 3.963}, "G.G"},
  {S23, {3.590, 23.085, 0.000}, "GG."},    {X12, {-5.731, -8.445, -2.284}, "RRR"},
  {X13, {2.911, -13.207, 4.137}, "GRG"},   {X23, {2.482, 28.269, -0.584}, "GGR"},
  {HI1, {3.534, 0.549, 1.519}, "GGG"},     {HI2, {3.628, 11.481, 0.408}, "GGG"},
  {HI3, {5.941, 5.137, 2.636}, "GGG"},     {L12, {5.907, 11.951, 1.892}, "GGG"},
  {L13, {5.980, 11.818, 1.956}, "GGG"},    {L23, {5.941, 12.157, 1.894}, "GGG"},
  {H2, {0.874, 11.360, -0.010}, "GG."},    {H3, {5.929, 3.165, 2.842}, "GGG"},
  {ROT1, {-0.715, -29.156, 1.741}, "RRG"}, {ROT2, {-3.254, 8.414, -4.012}, "RGR"},
};

#define ROWS(rows) rows, sizeof(rows) / sizeof((rows)[0])

static const Chain*
line(Arena* arena, ChainLeaf source, ChainLeaf desk)
{
  ChainElement e[LINE_ELEMENTS];
  const Chain* chain = NULL;
  line_elements(e, source, desk);
  assert_int_equal(chain_build(arena, 3, e, LINE_ELEMENTS, NULL, &chain), STATUS_OK);
  return chain;
}

static void
lamps_under_phantom(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const Chain* const chain = line(&arena, line_source(CHAIN_DRIVE_FLOATING, 200.0), line_desk());
  const LampTester first = delta_tester(470.0, 220.0, 100.0);
  const LampTester best = delta_tester(1500.0, 220.0, 2200.0);
  check_lamps("phantom, first tester", chain, &first, 0.0, ROWS(phantom_rows));
  check_lamps("phantom, best tester", chain, &best, 0.0, ROWS(best_phantom_rows));
  arena_deinit(&arena);
}

static void
lamps_from_a_sender(void** state)
{
  (void)state;
  // Reversing the battery does not mirror the currents (the lamps' drops differ), but the colours
  static const struct {
    int fault;
    const char* picture;
  } reversed[] = {{NONE, "RRR"}, {OPEN1, "..R"}, {OPEN2, ".R."}, {OPEN3, "RRR"},
                  {S12, ".RG"},  {S13, "R.R"},   {S23, "RR."},   {X12, "GGG"},
                  {X13, ".GR"},  {X23, "RR."},   {ROT1, "GGR"},  {ROT2, "G.G"}};
  Arena arena;
  arena_init(&arena, NULL);
  ChainLeaf sender = chain_leaf_nothing();
  sender.sender_v[0] = 12.0;
  sender.sender_v[1] = 6.0;
  sender.sender_ohm[0] = 470.0;
  sender.sender_ohm[1] = 500.0;
  const LampTester first = delta_tester(470.0, 220.0, 100.0);
  const Chain* chain = line(&arena, chain_leaf_nothing(), sender);
  check_lamps("sender, first tester", chain, &first, 0.0025, ROWS(sender_rows));
  sender.sender_v[0] = -12.0;
  sender.sender_v[1] = -6.0;
  chain = line(&arena, chain_leaf_nothing(), sender);
  for (size_t i = 0; i < sizeof(reversed) / sizeof(reversed[0]); ++i) {
    ChainEdit edit;
    const int n_edits = fault_edit(reversed[i].fault, 2, CHAIN_NEAR, 1e4, &edit);
    Port port;
    double lamp_a[3];
    char text[LAMP_MAX + 1];
    chain_look(chain, 0, CHAIN_TO_DESK, &edit, n_edits, &port);
    assert_int_equal(lamp_solve(&first, &port, lamp_a, NULL, NULL), STATUS_OK);
    lamp_picture(lamp_a, 3, text);
    assert_string_equal(text, reversed[i].picture);
  }
  sender.sender_v[0] = 12.0;
  sender.sender_v[1] = 6.0;
  sender.sender_ohm[0] = sender.sender_ohm[1] = 110.0;
  const LampTester best = delta_tester(1500.0, 220.0, 2200.0);
  chain = line(&arena, chain_leaf_nothing(), sender);
  check_lamps("sender, best tester", chain, &best, 0.0025, ROWS(best_sender_rows));
  arena_deinit(&arena);
}

/// Change in dB against healthy at 100, 1000 and 10000 Hz with the fault at the source end, the box
/// and the desk end, and the sign at 1 kHz.
typedef struct {
  int fault;
  double db[3][3];
  bool inverted;
} LevelRow;

static const LevelRow floating_rows[] = {
  {OPEN1, {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}, false},
  {OPEN2, {{-98.2, -78.2, -60.6}, {-64.1, -44.2, -27.3}, {-47.3, -27.8, -18.5}}, false},
  {OPEN3, {{-98.2, -78.2, -60.6}, {-64.1, -44.2, -27.3}, {-47.3, -27.8, -18.5}}, false},
  {S12, {{-0.1, -0.1, -0.1}, {-0.1, -0.1, -0.2}, {-0.1, -0.1, -0.2}}, false},
  {S13, {{-0.1, -0.1, -0.1}, {-0.1, -0.1, -0.2}, {-0.1, -0.1, -0.2}}, false},
  {S23, {{-65.1, -65.1, -65.1}, {-65.1, -65.1, -65.1}, {-65.5, -65.5, -65.5}}, false},
  {X23, {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}, true},
  // At the desk end the table has -6.9 at 10 kHz: its strays after the fault are not ours
  {X12, {{-12.3, -12.0, -5.8}, {-12.3, -12.0, -5.9}, {-12.3, -12.0, -6.4}}, false},
  {X13, {{-12.3, -12.0, -5.8}, {-12.3, -12.0, -5.9}, {-12.3, -12.0, -6.4}}, false},
  {HI2, {{-3.6, -3.6, -4.0}, {-3.6, -3.6, -4.0}, {-3.6, -3.6, -3.4}}, false},
  {L23, {{-1.4, -1.4, -1.4}, {-1.4, -1.4, -1.4}, {-1.5, -1.5, -1.5}}, false},
  {L12, {{-0.1, -0.1, -0.2}, {-0.1, -0.1, -0.2}, {-0.1, -0.1, -0.2}}, false},
};

static const LevelRow both_rows[] = {
  {OPEN1, {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}, false},
  {OPEN2, {{-18.5, -18.2, -11.9}, {-18.5, -18.2, -12.3}, {-18.5, -18.5, -18.5}}, false},
  {OPEN3, {{-18.5, -18.2, -11.9}, {-18.5, -18.2, -12.3}, {-18.5, -18.5, -18.5}}, false},
  {S12, {{-5.8, -5.8, -5.8}, {-5.8, -5.8, -5.8}, {-5.5, -5.5, -5.5}}, false},
  {S13, {{-5.8, -5.8, -5.8}, {-5.8, -5.8, -5.8}, {-5.5, -5.5, -5.5}}, false},
  {S23, {{-59.5, -59.5, -59.5}, {-59.7, -59.7, -59.6}, {-60.4, -60.4, -60.4}}, false},
  {X23, {{0, 0, 0}, {0, 0, 0}, {0, 0, 0}}, true},
  {X12, {{-5.9, -5.9, -5.9}, {-5.9, -5.9, -5.9}, {-5.9, -5.9, -5.9}}, false},
  {X13, {{-5.9, -5.9, -5.9}, {-5.9, -5.9, -5.9}, {-5.9, -5.9, -5.9}}, false},
  {HI2, {{-3.5, -3.5, -4.1}, {-3.5, -3.5, -4.0}, {-3.5, -3.5, -3.5}}, false},
  {L23, {{-0.8, -0.8, -0.8}, {-0.8, -0.8, -0.8}, {-0.9, -0.9, -0.9}}, false},
  {L12, {{-0.2, -0.2, -0.2}, {-0.2, -0.2, -0.2}, {-0.2, -0.2, -0.2}}, false},
};

static const LevelRow one_rows[] = {
  {OPEN2, {{-299.4, -299.5, -299.4}, {-106.9, -86.7, -60.8}, {-89.8, -69.8, -49.8}}, false},
  {OPEN3, {{-12.5, -12.1, -5.8}, {-12.5, -12.2, -6.3}, {-12.5, -12.5, -12.5}}, false},
  {S12, {{-53.7, -53.7, -53.7}, {-44.4, -44.4, -44.4}, {-28.6, -28.6, -28.6}}, false},
  {S13, {{0.2, 0.2, 0.2}, {0.2, 0.2, 0.2}, {0.2, 0.2, 0.2}}, false},
  {S23, {{-59.5, -59.5, -59.5}, {-59.7, -59.7, -59.6}, {-60.4, -60.4, -60.4}}, false},
  {X12, {{-42.6, -42.2, -32.5}, {-42.5, -42.2, -32.9}, {-42.0, -41.8, -35.8}}, true},
  {X13, {{0.2, 0.2, 0.2}, {0.2, 0.2, 0.2}, {0.2, 0.2, 0.2}}, false},
  {HI2, {{-4.1, -4.2, -4.9}, {-4.1, -4.2, -4.7}, {-4.1, -4.1, -4.1}}, false},
};

// The desk built as 1 k from each leg to earth; faults at the box only.
static const LevelRow floating_to_earth_rows[] = {
  {OPEN2, {{0}, {-64.1, -44.1, -26.3}, {0}}, false},
  {S12, {{0}, {-0.8, -0.8, -0.9}, {0}}, false},
  {X12, {{0}, {-0.9, -0.9, -1.9}, {0}}, false},
  {HI2, {{0}, {-3.6, -3.6, -4.0}, {0}}, false},
};

static const LevelRow both_to_earth_rows[] = {
  {OPEN2, {{0}, {-6.0, -6.0, -6.7}, {0}}, false},
  {S12, {{0}, {-6.0, -6.0, -6.0}, {0}}, false},
  {X12, {{0}, {-6.5, -6.5, -6.5}, {0}}, false},
  {HI2, {{0}, {-2.6, -2.6, -2.9}, {0}}, false},
};

static const LevelRow one_to_earth_rows[] = {
  {OPEN2, {{0}, {-94.5, -74.5, -55.1}, {0}}, true},
  {OPEN3, {{0}, {0.0, 0.0, -0.7}, {0}}, false},
  {S12, {{0}, {-44.5, -44.5, -44.5}, {0}}, false},
  {X12, {{0}, {-25.7, -25.7, -25.2}, {0}}, true},
};

static void
check_levels(const char* name, const Chain* chain, const double healthy_db[3],
             const LevelRow rows[], size_t n_rows, bool box_only)
{
  ChainHeard well[PORT_LANES];
  chain_transfer(chain, LINE_DESK, NULL, 0, well);
  char text[80];
  for (int lane = 0; lane < 3; ++lane) {
    CHECK_NEAR(name, well[lane].db, healthy_db[lane], 0.015);
  }
  for (size_t i = 0; i < n_rows; ++i) {
    for (int place = box_only ? 1 : 0; place < (box_only ? 2 : 3); ++place) {
      ChainEdit edit;
      ChainHeard heard[PORT_LANES];
      fault_edit(rows[i].fault, 1 + place, CHAIN_NEAR, 1000.0, &edit);
      chain_transfer(chain, LINE_DESK, &edit, 1, heard);
      for (int lane = 0; lane < 3; ++lane) {
        snprintf(text, sizeof(text), "%s, row %d, place %d, lane %d", name, (int)i, place, lane);
        CHECK_NEAR(text, fmax(heard[lane].db - well[lane].db, -299.45), rows[i].db[place][lane],
                   0.15);
      }
      // Which way round a whisper comes is only asked where one can hear it
      if (heard[1].db > -70.0 || box_only) {
        assert_int_equal(heard[1].inverted, rows[i].inverted);
      }
    }
  }
}

static void
levels(void** state)
{
  (void)state;
  static const double coil_db[] = {-1.00, -1.00, -1.03};
  static const double condenser_db[] = {-0.54, -0.54, -0.55};
  Arena arena;
  arena_init(&arena, NULL);
  const ChainLeaf coil = line_source(CHAIN_DRIVE_FLOATING, 200.0);
  const ChainLeaf both = line_source(CHAIN_DRIVE_BOTH, 50.0);
  const ChainLeaf one = line_source(CHAIN_DRIVE_ONE, 50.0);
  ChainLeaf desk = line_desk();
  check_levels("floating", line(&arena, coil, desk), coil_db, ROWS(floating_rows), false);
  check_levels("both legs", line(&arena, both, desk), condenser_db, ROWS(both_rows), false);
  check_levels("one leg", line(&arena, one, desk), condenser_db, ROWS(one_rows), false);
  desk.input_ohm = INFINITY;
  desk.leg_earth_ohm = 1000.0;
  check_levels("floating, 2 x 1 k", line(&arena, coil, desk), coil_db, ROWS(floating_to_earth_rows),
               true);
  check_levels("both legs, 2 x 1 k", line(&arena, both, desk), condenser_db,
               ROWS(both_to_earth_rows), true);
  check_levels("one leg, 2 x 1 k", line(&arena, one, desk), condenser_db, ROWS(one_to_earth_rows),
               true);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(lamps_under_phantom),
    cmocka_unit_test(lamps_from_a_sender),
    cmocka_unit_test(levels),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
