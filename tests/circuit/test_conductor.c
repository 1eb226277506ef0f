// SPDX-License-Identifier: GPL-3.0-or-later
#include "circuit/conductor.h"

#include "support/check.h"

/*
  Published figures, each with how it is known: S seen in public text, M from memory, C computed
  from the stated formula.
*/

// S: IEC 60228 class 5 plain and tinned, ohm/km, and C: the row against 1000 / (58 mm2)
static const struct {
  double mm2, plain, tinned, pure, ratio;
} iec[] = {
  {0.5, 39.0, 40.1, 34.48, 1.131}, {0.75, 26.0, 26.7, 22.99, 1.131}, {1, 19.5, 20.0, 17.24, 1.131},
  {1.5, 13.3, 13.7, 11.49, 1.157}, {2.5, 7.98, 8.21, 6.897, 1.157},  {4, 4.95, 5.09, 4.310, 1.148},
  {6, 3.30, 3.39, 2.874, 1.148},   {10, 1.91, 1.95, 1.724, 1.108},   {16, 1.21, 1.24, 1.078, 1.123},
};

// C with 1/58, within 0.2 % of a public AWG table (S): diameter, section, ohm/km, solid
static const struct {
  int gauge;
  double mm, mm2, ohm_per_km;
} awg[] = {
  {10, 2.588, 5.261, 3.277}, {11, 2.305, 4.172, 4.132}, {12, 2.053, 3.309, 5.211},
  {13, 1.828, 2.624, 6.571}, {14, 1.628, 2.081, 8.286}, {15, 1.450, 1.650, 10.45},
  {16, 1.291, 1.309, 13.17}, {17, 1.150, 1.038, 16.61}, {18, 1.024, 0.823, 20.95},
  {19, 0.912, 0.653, 26.41}, {20, 0.812, 0.518, 33.31}, {21, 0.723, 0.410, 42.00},
  {22, 0.644, 0.326, 52.96}, {23, 0.573, 0.258, 66.79}, {24, 0.511, 0.205, 84.22},
  {25, 0.455, 0.162, 106.2}, {26, 0.405, 0.129, 133.9},
};

static void
test_sections(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(iec) / sizeof(iec[0]); ++i) {
    Conductor c;
    assert_int_equal(conductor_of_mm2(iec[i].mm2, &c), STATUS_OK);
    assert_false(c.is_estimate);
    CHECK_NEAR("plain", 1000 * c.max_ohm_per_m, iec[i].plain, 1e-9);
    CHECK_NEAR("tinned", conductor_iec60228_ohm_per_km(iec[i].mm2, true), iec[i].tinned, 1e-9);
    CHECK_NEAR("pure", 1000 * c.pure_ohm_per_m, iec[i].pure, 0.0006 * iec[i].pure);
    CHECK_NEAR("ratio", c.max_ohm_per_m / c.pure_ohm_per_m, iec[i].ratio, 0.0006);
  }
  // C: 0.22 mm2 is in no table; 78.4 solid, about 88.6 stranded
  Conductor thin;
  assert_int_equal(conductor_of_mm2(0.22, &thin), STATUS_OK);
  assert_true(thin.is_estimate);
  CHECK_NEAR("0.22 solid", 1000 * thin.pure_ohm_per_m, 78.4, 0.05);
  CHECK_NEAR("0.22 stranded", 1000 * thin.max_ohm_per_m, 88.6, 0.05);
  Conductor untouched = {.mm2 = -1};
  assert_int_equal(conductor_of_mm2(0.0, &untouched), STATUS_BAD_ARG);
  assert_int_equal(conductor_of_mm2(NAN, &untouched), STATUS_BAD_ARG);
  assert_int_equal(conductor_of_awg(-1, &untouched), STATUS_BAD_ARG);
  CHECK_NEAR("untouched", untouched.mm2, -1, 0);
}

static void
test_gauges(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(awg) / sizeof(awg[0]); ++i) {
    Conductor c;
    assert_int_equal(conductor_of_awg(awg[i].gauge, &c), STATUS_OK);
    assert_true(c.is_estimate);
    CHECK_NEAR("diameter", conductor_awg_mm(awg[i].gauge), awg[i].mm, 0.0006);
    CHECK_NEAR("section", c.mm2, awg[i].mm2, 0.0006);
    CHECK_NEAR("ohm/km", 1000 * c.pure_ohm_per_m, awg[i].ohm_per_km, 0.0006 * awg[i].ohm_per_km);
  }
  // S: step 92^(1/39) = 1.1229322
  CHECK_NEAR("step", conductor_awg_mm(23) / conductor_awg_mm(24), 1.1229322, 5e-8);
}

static void
test_temperature(void** state)
{
  (void)state;
  // S: the table's factors, given to three places
  const struct {
    double celsius, factor;
  } rows[] = {{5, 1.064}, {10, 1.042}, {20, 1.0}, {30, 0.962}, {40, 0.926}, {60, 0.862}};
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    CHECK_NEAR("table", conductor_table_factor(rows[i].celsius), rows[i].factor, 0.0005);
    const double exact = 1.0 / conductor_at_c(1.0, rows[i].celsius);
    CHECK_NEAR("0.004 is near 0.00393", conductor_table_factor(rows[i].celsius) / exact, 1.0,
               0.003);
  }
  CHECK_NEAR("40 C", 1.0 / conductor_at_c(1.0, 40), 0.92714, 5e-6); // C
  CHECK_NEAR("60 C", 1.0 / conductor_at_c(1.0, 60), 0.8642, 5e-5);  // C
  // C: 100 m pair of 2.5 mm2, 1.596 ohm of loop at 20 C, 1.847 at 60 C
  Conductor c;
  assert_int_equal(conductor_of_mm2(2.5, &c), STATUS_OK);
  CHECK_NEAR("20 C", 200 * c.max_ohm_per_m, 1.596, 5e-4);
  CHECK_NEAR("60 C", conductor_at_c(200 * c.max_ohm_per_m, 60), 1.847, 5e-4);
}

static void
test_limits(void** state)
{
  (void)state;
  Conductor thin;
  assert_int_equal(conductor_of_mm2(0.22, &thin), STATUS_OK);
  // C: 20 m of 0.22 mm2: 1.57 ohm a leg solid, 1.77 stranded; 4 contacts 0.04
  CHECK_NEAR("solid", 20 * thin.pure_ohm_per_m, 1.57, 0.005);
  const ConductorLimit copper = conductor_limit(CONDUCTOR_BY_COPPER, &thin, 20, 20, 4);
  CHECK_NEAR("stranded", copper.copper_ohm, 1.77, 0.005);
  CHECK_NEAR("with contacts", copper.ohm, 1.77 + 0.04, 0.005);
  // S, secondary: 1 ohm + conductor = 2.8 ohm for this cable
  const ConductorLimit by_620 = conductor_limit(CONDUCTOR_BY_620, &thin, 20, 20, 4);
  CHECK_NEAR("620", by_620.ohm, 2.77, 0.005);
  assert_false(by_620.is_flat);
  const ConductorLimit flat = conductor_limit(CONDUCTOR_BY_620, NULL, 0, 20, 4);
  CHECK_NEAR("620 flat", flat.ohm, 2.0, 0);
  assert_true(flat.is_flat);
  // The trap: from about 22 to 25 m on a flat 2 ohm rejects a good one
  CHECK_NEAR("reaches 2 ohm stranded", 2.0 / thin.max_ohm_per_m, 22.6, 0.1);
  CHECK_NEAR("reaches 2 ohm solid", 2.0 / thin.pure_ohm_per_m, 25.5, 0.1);
  assert_true(isnan(conductor_limit(CONDUCTOR_BY_COPPER, NULL, 20, 20, 2).ohm));
  assert_true(isnan(conductor_limit(CONDUCTOR_BY_COPPER, &thin, 0, 20, 2).ohm));
}

static void
test_rejection(void** state)
{
  (void)state;
  // C: exact bridge, 100 and 110 ohm
  const struct {
    double common_ohm, db;
  } ten[] = {{5e3, 54.34},  {6.8e3, 56.92}, {10e3, 60.18},
             {20e3, 66.11}, {1e6, 100.0},   {50e6, 134.0}};
  for (size_t i = 0; i < sizeof(ten) / sizeof(ten[0]); ++i) {
    CHECK_NEAR("10 ohm", conductor_rejection_db(100, 110, ten[i].common_ohm), ten[i].db, 0.05);
  }
  // C: at 10 kohm per leg
  const struct {
    double ohm, db;
  } at_10k[] = {{1, 80.2}, {10, 60.2}, {100, 40.3}, {1000, 21.0}};
  for (size_t i = 0; i < sizeof(at_10k) / sizeof(at_10k[0]); ++i) {
    CHECK_NEAR("10 k", conductor_rejection_db(100, 100 + at_10k[i].ohm, 10e3), at_10k[i].db, 0.06);
    CHECK_NEAR("either leg", conductor_rejection_db(100 + at_10k[i].ohm, 100, 10e3),
               conductor_rejection_db(100, 100 + at_10k[i].ohm, 10e3), 1e-9);
  }
  // The much quoted "5 ohm cost 40 dB" is wrong at 10 k: 66 dB stay (C)
  CHECK_NEAR("5 ohm", conductor_rejection_db(100, 105, 10e3), 66.2, 0.06);
  assert_true(isinf(conductor_rejection_db(100, 100, 10e3)));
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(test_sections),    cmocka_unit_test(test_gauges),
    cmocka_unit_test(test_temperature), cmocka_unit_test(test_limits),
    cmocka_unit_test(test_rejection),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
