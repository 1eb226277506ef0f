// SPDX-License-Identifier: GPL-3.0-or-later
/*
  Published diagnosis examples that have nothing to do with sound: polybox, inverter chain and full
  adder. Belief holds one line whose locals are all candidates; the oracle says what each predicts.

  Polybox: circuit and observation as printed in textbooks after de Kleer and Williams, Artificial
  Intelligence 32 (1987); the numbers are computed for prior 0.01 a part, likelihood 1 for every
  consistent candidate, an unpredicted value being one more outcome. The inverter chain is the
  cascade of the same paper; its numbers are computed. Reiter, AIJ 32 (1987): hitting sets and the
  full adder, inputs recalled, results computed.
*/
#include "device.h"
#include "reason/belief.h"
#include "support/check.h"

enum { M1 = 1, M2 = 2, M3 = 4, A1 = 8, A2 = 16 };
enum { QX, QY, QZ, QF, QG };

/// What a quantity can be: one value, or several.
typedef struct {
  int low, high;
} Range;

static int
range_answer(Range r)
{
  return r.low > r.high ? DEVICE_INCONSISTENT : r.low < r.high ? DEVICE_UNPREDICTED : r.low;
}

static void
range_add(Range* r, int low, int high)
{
  r->low = low < r->low ? low : r->low;
  r->high = high > r->high ? high : r->high;
}

/// X = 3*2, Y = 2*3, Z = 2*3; F = X + Y, G = Y + Z. Free values are tried from -8 to 24.
static int
polybox_predict(unsigned faulty, const int* observed, int quantity)
{
  Range answer = {100000, -100000};
  Range in[3];
  for (int k = 0; k < 3; ++k) {
    in[k] = faulty & (1u << k) ? (Range){-8, 24} : (Range){6, 6};
    if (observed[k] != DEVICE_UNSEEN) {
      in[k].low = in[k].low > observed[k] ? in[k].low : observed[k];
      in[k].high = in[k].high < observed[k] ? in[k].high : observed[k];
    }
  }
  for (int x = in[0].low; x <= in[0].high; ++x) {
    for (int y = in[1].low; y <= in[1].high; ++y) {
      for (int z = in[2].low; z <= in[2].high; ++z) {
        Range out[5] = {{x, x}, {y, y}, {z, z}, {x + y, x + y}, {y + z, y + z}};
        bool fits = true;
        for (int k = QF; k <= QG; ++k) {
          if (faulty & (k == QF ? A1 : A2)) {
            out[k] = (Range){-500, 500};
          }
          if (observed[k] != DEVICE_UNSEEN) {
            fits = fits && observed[k] >= out[k].low && observed[k] <= out[k].high;
            out[k] = (Range){observed[k], observed[k]};
          }
        }
        if (fits) {
          range_add(&answer, out[quantity].low, out[quantity].high);
        }
      }
    }
  }
  return range_answer(answer);
}

/// Parts X1 X2 A1 A2 O1 for inputs 1, 0 and carry 1; quantities x1, sum, a1, a2, carry.
static int
adder_predict(unsigned faulty, const int* observed, int quantity)
{
  Range answer = {100000, -100000};
  for (unsigned bits = 0; bits < 32; ++bits) {
    int v[5];
    for (int k = 0; k < 5; ++k) {
      v[k] = bits >> k & 1;
    }
    const int good[5] = {1 ^ 0, v[0] ^ 1, 1 & 0, v[0] & 1, v[2] | v[3]};
    bool fits = true;
    for (int k = 0; k < 5; ++k) {
      fits = fits && ((faulty >> k & 1) || v[k] == good[k]) &&
             (observed[k] == DEVICE_UNSEEN || observed[k] == v[k]);
    }
    if (fits) {
      range_add(&answer, v[quantity], v[quantity]);
    }
  }
  return range_answer(answer);
}

/// Four inverters in a row, a faulty one passes its input; quantities after each, 1 = wrong.
static int
chain_predict(unsigned faulty, const int* observed, int quantity)
{
  int wrong = 0;
  int answer = 0;
  for (int k = 0; k < 4; ++k) {
    wrong ^= faulty >> k & 1;
    if (observed[k] != DEVICE_UNSEEN && observed[k] != wrong) {
      return DEVICE_INCONSISTENT;
    }
    answer = k == quantity ? wrong : answer;
  }
  return answer;
}

static const Device polybox = {5, 5, polybox_predict};
static const Device adder = {5, 5, adder_predict};
static const Device chain = {4, 4, chain_predict};

/// Odds of all candidates, kept by a belief of one line.
typedef struct {
  const Device* device;
  int observed[8];
  double prior[32];
  int n_locals;
  const double* priors[1];
  BeliefState none;
  BeliefModel model;
  Belief* belief;
  double prob[32];
} Bench;

/// With `single` only single faults, in proportion to `part_prob`.
static void
bench_init(Bench* b, Arena* arena, const Device* device, const double* part_prob, bool single)
{
  b->device = device;
  b->n_locals = 1 << device->n_parts;
  double sum = 0.0;
  for (int c = 0; c < b->n_locals; ++c) {
    b->prior[c] = single && (c == 0 || (c & (c - 1))) ? 0.0 : 1.0;
    for (int k = 0; k < device->n_parts; ++k) {
      b->prior[c] *= c >> k & 1 ? part_prob[k] : single ? 1.0 : 1.0 - part_prob[k];
    }
    sum += b->prior[c];
  }
  for (int c = 0; c < b->n_locals; ++c) {
    b->prior[c] /= sum;
  }
  for (int k = 0; k < 8; ++k) {
    b->observed[k] = DEVICE_UNSEEN;
  }
  b->priors[0] = b->prior;
  b->none = (BeliefState){1.0, 0, NULL};
  b->model = (BeliefModel){1, &b->n_locals, b->priors, 1, &b->none};
  assert_int_equal(belief_init(arena, &b->model, &b->belief), STATUS_OK);
}

static void
bench_observe(Bench* b, int quantity, int value)
{
  double like[32];
  b->observed[quantity] = value;
  for (int c = 0; c < b->n_locals; ++c) {
    like[c] = device_consistent(b->device, (unsigned)c, b->observed);
  }
  assert_int_equal(belief_update(b->belief, 0, like), STATUS_OK);
  belief_hyps(b->belief, 0, b->prob);
}

static double
entropy_bits(const double* prob, int n)
{
  double sum = 0.0;
  double h = 0.0;
  for (int i = 0; i < n; ++i) {
    sum += prob[i];
    h -= prob[i] > 0.0 ? prob[i] * log2(prob[i]) : 0.0;
  }
  return sum > 0.0 ? h / sum + log2(sum) : 0.0;
}

/// What each candidate that is left predicts for a quantity; 9999 for the others.
static void
bench_predict(const Bench* b, int quantity, int* predicted)
{
  for (int c = 0; c < b->n_locals; ++c) {
    predicted[c] = b->prob[c] > 0.0 ? b->device->predict((unsigned)c, b->observed, quantity) : 9999;
  }
}

/// Mass of the candidates that predict `value`; their masses go to `part`.
static double
bench_outcome(const Bench* b, const int* predicted, int value, double* part)
{
  double mass = 0.0;
  for (int c = 0; c < b->n_locals; ++c) {
    part[c] = predicted[c] == value ? b->prob[c] : 0.0;
    mass += part[c];
  }
  return mass;
}

static double
bench_expected_bits(const Bench* b, int quantity)
{
  double sum = 0.0;
  double part[32];
  int predicted[32];
  bench_predict(b, quantity, predicted);
  for (int value = -600; value <= DEVICE_UNPREDICTED; ++value) {
    if (value <= 60 || value == DEVICE_UNPREDICTED) {
      const double mass = bench_outcome(b, predicted, value, part);
      sum += mass > 0.0 ? mass * entropy_bits(part, b->n_locals) : 0.0;
    }
  }
  return sum;
}

static double
bench_part_prob(const Bench* b, int part)
{
  double sum = 0.0;
  for (int c = 0; c < b->n_locals; ++c) {
    sum += c >> part & 1 ? b->prob[c] : 0.0;
  }
  return sum;
}

static int
bench_n_left(const Bench* b)
{
  int n = 0;
  for (int c = 0; c < b->n_locals; ++c) {
    n += b->prob[c] > 0.0;
  }
  return n;
}

static void
check_sets(const char* name, const unsigned* got, int n_got, const unsigned* want, int n_want)
{
  if (n_got != n_want) {
    fail_msg("%s: %d sets, want %d", name, n_got, n_want);
  }
  for (int i = 0; i < n_want; ++i) {
    bool found = false;
    for (int k = 0; k < n_got; ++k) {
      found = found || got[k] == want[i];
    }
    if (!found) {
      fail_msg("%s: set %#x is missing", name, want[i]);
    }
  }
}

static void
polybox_sets(void** state)
{
  (void)state;
  unsigned conflicts[256];
  unsigned diagnoses[256];
  unsigned hitting[256];
  int seen[5] = {DEVICE_UNSEEN, DEVICE_UNSEEN, DEVICE_UNSEEN, 10, DEVICE_UNSEEN};
  int n = device_minimal(&polybox, seen, true, conflicts);
  check_sets("conflicts after F", conflicts, n, (unsigned[]){M1 | M2 | A1}, 1);
  n = device_minimal(&polybox, seen, false, diagnoses);
  check_sets("diagnoses after F", diagnoses, n, (unsigned[]){M1, M2, A1}, 3);
  seen[QG] = 12;
  n = device_minimal(&polybox, seen, true, conflicts);
  check_sets("conflicts after F, G", conflicts, n, (unsigned[]){M1 | M2 | A1, M1 | M3 | A1 | A2},
             2);
  const int n_hitting = sets_hitting(conflicts, n, 5, hitting);
  n = device_minimal(&polybox, seen, false, diagnoses);
  check_sets("diagnoses after F, G", diagnoses, n, (unsigned[]){M1, A1, M2 | M3, M2 | A2}, 4);
  check_sets("hitting sets are diagnoses", hitting, n_hitting, diagnoses, n);
}

static void
polybox_odds(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Bench b;
  double part[32];
  bench_init(&b, &arena, &polybox, (double[]){.01, .01, .01, .01, .01}, false);
  bench_observe(&b, QF, 10);
  assert_int_equal(bench_n_left(&b), 28);
  CHECK_NEAR("M1 | F", b.prob[M1], 0.32342, 5e-6);
  CHECK_NEAR("M2 | F", b.prob[M2], 0.32342, 5e-6);
  CHECK_NEAR("A1 | F", b.prob[A1], 0.32342, 5e-6);
  CHECK_NEAR("H | F", entropy_bits(b.prob, 32), 1.8278, 5e-5);
  CHECK_NEAR("He(G) | F", bench_expected_bits(&b, QG), 0.7586, 5e-5);
  CHECK_NEAR("He(X) | F", bench_expected_bits(&b, QX), 0.8588, 5e-5);
  CHECK_NEAR("He(Y) | F", bench_expected_bits(&b, QY), 0.8588, 5e-5);
  CHECK_NEAR("He(Z) | F", bench_expected_bits(&b, QZ), 1.7470, 5e-5);
  bench_observe(&b, QG, 12);
  assert_int_equal(bench_n_left(&b), 27);
  CHECK_NEAR("M1 | F, G", b.prob[M1], 0.47803, 5e-6);
  CHECK_NEAR("A1 | F, G", b.prob[A1], 0.47803, 5e-6);
  CHECK_NEAR("M2 M3 | F, G", b.prob[M2 | M3], 0.00483, 5e-6);
  CHECK_NEAR("M2 A2 | F, G", b.prob[M2 | A2], 0.00483, 5e-6);
  CHECK_NEAR("H | F, G", entropy_bits(b.prob, 32), 1.3594, 5e-5);
  const double parts[5] = {0.49764, 0.01961, 0.01478, 0.49764, 0.01478};
  for (int k = 0; k < 5; ++k) {
    CHECK_NEAR("part | F, G", bench_part_prob(&b, k), parts[k], 5e-6);
  }
  CHECK_NEAR("He(X) | F, G", bench_expected_bits(&b, QX), 0.3186, 5e-5);
  CHECK_NEAR("He(Y) | F, G", bench_expected_bits(&b, QY), 1.2779, 5e-5);
  CHECK_NEAR("He(Z) | F, G", bench_expected_bits(&b, QZ), 1.3120, 5e-5);
  int predicted[32];
  bench_predict(&b, QX, predicted);
  CHECK_NEAR("P(X = 4)", bench_outcome(&b, predicted, 4, part), 0.49256, 5e-6);
  CHECK_NEAR("P(X = 6)", bench_outcome(&b, predicted, 6, part), 0.50236, 5e-6);
  CHECK_NEAR("P(X unpredicted)", bench_outcome(&b, predicted, DEVICE_UNPREDICTED, part), 0.00507,
             5e-6);

  bench_init(&b, &arena, &polybox, (double[]){.01, .01, .01, .001, .001}, false);
  bench_observe(&b, QF, 10);
  bench_observe(&b, QG, 12);
  CHECK_NEAR("good adders: M1", b.prob[M1], 0.88131, 5e-6);
  CHECK_NEAR("good adders: A1", b.prob[A1], 0.08734, 5e-6);
  CHECK_NEAR("good adders: He(X)", bench_expected_bits(&b, QX), 0.2208, 5e-5);
  CHECK_NEAR("good adders: He(Y)", bench_expected_bits(&b, QY), 0.6168, 5e-5);
  CHECK_NEAR("good adders: He(Z)", bench_expected_bits(&b, QZ), 0.6227, 5e-5);
  arena_deinit(&arena);
}

static void
inverter_chain(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    double prior[4];
    double h, he[3], he_single[3];
  } rows[] = {
    {"equal", {.01, .01, .01, .01}, 2.0015, {1.1901, 1.0015, 1.1901}, {1.1887, 1.0000, 1.1887}},
    {"last one worse",
     {.01, .01, .01, .025},
     1.8557,
     {1.1743, 0.9121, 0.8607},
     {1.1745, 0.9129, 0.8645}},
  };
  Arena arena;
  arena_init(&arena, NULL);
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    for (int single = 0; single < 2; ++single) {
      Bench b;
      bench_init(&b, &arena, &chain, rows[i].prior, single);
      bench_observe(&b, 3, 1);
      if (!single) {
        CHECK_NEAR(rows[i].name, entropy_bits(b.prob, 16), rows[i].h, 5e-5);
      }
      for (int k = 0; k < 3; ++k) {
        CHECK_NEAR(rows[i].name, bench_expected_bits(&b, k),
                   single ? rows[i].he_single[k] : rows[i].he[k], 5.1e-5);
      }
    }
  }
  arena_deinit(&arena);
}

static void
reiter_hitting_sets(void** state)
{
  (void)state;
  // Elements 1 to 6 as bits 0 to 5
  static const unsigned sets[] = {0x1A, 0x07, 0x15, 0x2A, 0x0A, 0x16, 0x21};
  static const unsigned want[] = {0x03, 0x0D, 0x19, 0x26, 0x32, 0x2C};
  unsigned got[256];
  check_sets("Reiter", got, sets_hitting(sets, 7, 6, got), want, 6);
}

static void
full_adder(void** state)
{
  (void)state;
  enum { X1 = 1, X2 = 2, AND1 = 4, AND2 = 8, O1 = 16 };
  static const int seen[5] = {DEVICE_UNSEEN, 1, DEVICE_UNSEEN, DEVICE_UNSEEN, 0};
  unsigned conflicts[256];
  unsigned diagnoses[256];
  unsigned hitting[256];
  const int n_conflicts = device_minimal(&adder, seen, true, conflicts);
  check_sets("conflicts", conflicts, n_conflicts, (unsigned[]){X1 | X2, X1 | AND2 | O1}, 2);
  const int n = device_minimal(&adder, seen, false, diagnoses);
  check_sets("diagnoses", diagnoses, n, (unsigned[]){X1, X2 | AND2, X2 | O1}, 3);
  check_sets("hitting sets", hitting, sets_hitting(conflicts, n_conflicts, 5, hitting), diagnoses,
             n);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(polybox_sets),   cmocka_unit_test(polybox_odds),
    cmocka_unit_test(inverter_chain), cmocka_unit_test(reiter_hitting_sets),
    cmocka_unit_test(full_adder),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
