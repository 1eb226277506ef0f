// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Trade fact (common practice, no source): loudspeaker cables of 4 and 8 poles are checked with
  their ends far apart by the same theory as 3-pin ones. Here: a sender at one end puts 12 V on one
  contact after the other, everything else on its 0 V; lamps between contacts at the other end, 100
  m away. The row of pictures over the steps is different for every open, every short and every
  crossing, on 3, 4 and 8 contacts alike, and a fault lies the same at either end.
*/

#include "circuit/chain.h"
#include "circuit/lamp.h"
#include "support/check.h"

#include <string.h>

enum { ROWS_MAX = 1 + PORT_MAX + 2 * PORT_PAIRS, PICTURE_BYTES = PORT_MAX * (LAMP_MAX + 1) };

typedef struct {
  int n; ///< Contacts
  int n_lamps;
  int lamps[LAMP_MAX][2];
} Rig;

static const Rig rigs[] = {
  {3, 3, {{1, 0}, {2, 0}, {1, 2}}},
  {4, 4, {{0, 1}, {2, 3}, {1, 2}, {0, 3}}},
  // Six lamps on eight contacts: each pair, and the pairs tied two and two
  {8, 6, {{0, 1}, {2, 3}, {4, 5}, {6, 7}, {1, 2}, {5, 6}}},
};

typedef struct {
  char name[24];
  ChainEdit edit;
  int n_edits;
  char pictures[2][PICTURE_BYTES]; ///< [fault at the near, at the far end]
} Row;

static Row
row_of(ChainChange change, int a, int b, double ohm)
{
  Row row = {
    .edit =
      {.element = 1, .change = change, .a = a, .b = b, .ohm = ohm, .map = {0, 1, 2, 3, 4, 5, 6, 7}},
    .n_edits = 1};
  row.edit.map[a] = (uint8_t)b;
  row.edit.map[b] = (uint8_t)a;
  (void)snprintf(row.name, sizeof(row.name),
                 change == CHAIN_SERIES  ? "open %d"
                 : change == CHAIN_SHUNT ? "short %d-%d"
                                         : "crossed %d-%d",
                 a + 1, b + 1);
  return row;
}

static int
all_rows(int n, Row rows[ROWS_MAX])
{
  int n_rows = 1;
  rows[0] = (Row){.name = "none"};
  for (int a = 0; a < n; ++a) {
    rows[n_rows++] = row_of(CHAIN_SERIES, a, a, INFINITY);
  }
  for (int b = 0; b < n; ++b) {
    for (int a = 0; a < b; ++a) {
      rows[n_rows++] = row_of(CHAIN_SHUNT, a, b, 0.1);
      rows[n_rows++] = row_of(CHAIN_PERMUTE, a, b, 0.0);
    }
  }
  return n_rows;
}

/// The line with the sender at step `driven`: 110 ohm to each contact, 12 V behind one of them.
static const Chain*
line_of(Arena* arena, const Rig* rig, double ohm, int driven)
{
  ChainBranch branches[PORT_MAX];
  Section cable = {.n = rig->n};
  for (int i = 0; i < rig->n; ++i) {
    branches[i] =
      (ChainBranch){i, CHAIN_EARTH, 110.0, INFINITY, 0.0, i == driven ? 12.0 : 0.0, false};
    cable.series_ohm[i] = ohm;
  }
  const ChainElement e[] = {
    {.kind = CHAIN_PARTS, .near = -1, .far = 0, .as.parts = {branches, rig->n}},
    {.kind = CHAIN_SECTION, .near = 0, .far = 1, .as.section = cable}};
  const Chain* chain = NULL;
  assert_int_equal(chain_build(arena, rig->n, e, 2, NULL, &chain), STATUS_OK);
  return chain;
}

static void
fill_pictures(const Rig* rig, double ohm, Row rows[], int n_rows)
{
  Arena arena;
  arena_init(&arena, NULL);
  LampTester tester = {.n_lamps = rig->n_lamps};
  for (int i = 0; i < rig->n_lamps; ++i) {
    tester.lamps[i] = (Lamp){rig->lamps[i][0], rig->lamps[i][1], 1000.0, lamp_green(), lamp_red()};
  }
  assert_int_equal(lamp_ready(&tester, rig->n), STATUS_OK);
  for (int driven = 0; driven < rig->n; ++driven) {
    const Chain* const chain = line_of(&arena, rig, ohm, driven);
    for (int i = 0; i < n_rows; ++i) {
      for (int end = 0; end < 2; ++end) {
        Port port;
        double lamp_a[LAMP_MAX];
        ChainEdit edit = rows[i].edit;
        edit.end = end ? CHAIN_FAR : CHAIN_NEAR;
        chain_look(chain, 1, CHAIN_TO_SOURCE, &edit, rows[i].n_edits, &port);
        assert_int_equal(lamp_solve(&tester, &port, lamp_a, NULL, NULL), STATUS_OK);
        lamp_picture(lamp_a, rig->n_lamps, rows[i].pictures[end] + driven * (LAMP_MAX + 1));
      }
    }
  }
  arena_deinit(&arena);
}

static void
separate_alike(void** state)
{
  (void)state;
  // 100 m of 0.22, 1.5 and 2.5 mm2: 1/58 ohm mm2/m
  static const double ohms[] = {100 / (58 * 0.22), 100 / (58 * 1.5), 100 / (58 * 2.5)};
  for (size_t r = 0; r < sizeof(rigs) / sizeof(rigs[0]); ++r) {
    for (size_t c = 0; c < sizeof(ohms) / sizeof(ohms[0]); ++c) {
      static Row rows[ROWS_MAX];
      const int n_rows = all_rows(rigs[r].n, rows);
      assert_int_equal(n_rows, 1 + rigs[r].n + rigs[r].n * (rigs[r].n - 1));
      fill_pictures(&rigs[r], ohms[c], rows, n_rows);
      for (int i = 0; i < n_rows; ++i) {
        assert_memory_equal(rows[i].pictures[0], rows[i].pictures[1], PICTURE_BYTES);
        for (int k = 0; k < i; ++k) {
          if (!memcmp(rows[i].pictures[0], rows[k].pictures[0], PICTURE_BYTES)) {
            fail_msg("%d contacts: \"%s\" looks like \"%s\"", rigs[r].n, rows[i].name,
                     rows[k].name);
          }
        }
      }
    }
  }
}

// What makes it the same theory: a step drives one contact against all others, so that the picture
// of a crossing is the healthy picture of the other contact's step, whatever the number of
// contacts.
static void
crossing_is_the_other_step(void** state)
{
  (void)state;
  for (size_t r = 0; r < sizeof(rigs) / sizeof(rigs[0]); ++r) {
    static Row rows[ROWS_MAX];
    const int n_rows = all_rows(rigs[r].n, rows);
    fill_pictures(&rigs[r], 4.0, rows, n_rows);
    int n_seen = 0;
    for (int i = 1; i < n_rows; ++i) {
      if (rows[i].edit.change != CHAIN_PERMUTE) {
        continue;
      }
      const int a = rows[i].edit.a * (LAMP_MAX + 1);
      const int b = rows[i].edit.b * (LAMP_MAX + 1);
      assert_string_equal(rows[i].pictures[0] + a, rows[0].pictures[0] + b);
      assert_string_equal(rows[i].pictures[0] + b, rows[0].pictures[0] + a);
      ++n_seen;
    }
    assert_int_equal(n_seen, rigs[r].n * (rigs[r].n - 1) / 2);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(separate_alike),
    cmocka_unit_test(crossing_is_the_other_step),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
