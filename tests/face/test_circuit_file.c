// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The reader of circuits written by hand, and what they answer. The examples of demo/circuits are
  worked out here by hand; every mistake has to be shown where it stands; every allocation fails
  once, jansson's own included.
*/

#include "face/circuit_file.h"
#include "face/json_in.h"
#include "support/check.h"

#include <string.h>

/// One file of demo/circuits, or a text.
static Status
read_text(Arena* arena, const char* text, CircuitFile* file, Error* error)
{
  *error = (Error){0};
  return circuit_file_read(arena, "c.json", text, strlen(text), file, error);
}

static char*
example(Arena* arena, const char* name)
{
  char path[400];
  (void)snprintf(path, sizeof(path), "%s/%s.json", CIRCUITS, name);
  FILE* const in = fopen(path, "rb");
  assert_non_null(in);
  char* const text = arena_array(arena, 65536, 1);
  assert_non_null(text);
  const size_t n = fread(text, 1, 65535, in);
  assert_true(n > 0 && n < 65535);
  assert_int_equal(fclose(in), 0);
  return text;
}

static void
solved(Arena* arena, const char* name, CircuitFile* file, DrawnAnswer* answer)
{
  Error error;
  if (read_text(arena, example(arena, name), file, &error) != STATUS_OK) {
    fail_msg("%s: line %d column %d: %s", name, error.line, error.column, error.text);
  }
  assert_false(file->is_feed);
  assert_int_equal(drawn_solve(arena, &file->drawn, answer), STATUS_OK);
}

// A meter on a coil that hangs between two equal feeds: no current, the feed's own volts. Signal:
// 2000/(2000 + 200 + 2 x 70 m x 0.08), less 13.6 k of feeds across the legs.
static void
moving_coil(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "moving-coil", &file, &a);
  assert_int_equal(a.n_inside, 2);
  CHECK_NEAR("no current through it", a.inside[0].coil_a, 0.0, 1e-12);
  for (int joint = 0; joint < 3; ++joint) {
    CHECK_NEAR("2", a.seen[joint].contact_v[1], 48.0, 1e-6);
    CHECK_NEAR("3", a.seen[joint].contact_v[2], 48.0, 1e-6);
  }
  const double load_ohm = 1.0 / (1.0 / 2000 + 1.0 / 13600);
  CHECK_NEAR("100 Hz", a.ears[0].heard[0].dbv, 20.0 * log10(load_ohm / (load_ohm + 211.2)), 2e-3);
  assert_int_equal(a.ears[0].heard[1].sign, 1);
  assert_true(isnan(a.ears[0].heard[1].change_db));
  arena_deinit(&arena);
}

// One leg left: 48 V through 6800 + 4.8 ohm a leg, 0.8 the cable, into 10 k and back through 2.1 +
// 0.01 of contact 1. A lost leg of a source that drives both costs 18.5 dB.
static void
open_leg(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "open-leg", &file, &a);
  const double i_a = 48.0 / (6800 + 70 * 0.08 + 10000 + 70 * 0.03 + 0.01);
  CHECK_NEAR("beyond the box alone", a.seen[0].contact_v[1], 48.0, 1e-9);
  CHECK_NEAR("beyond the box alone", a.seen[0].contact_v[2], 48.0, 1e-9);
  CHECK_NEAR("leg 2 at the desk", a.seen[1].contact_v[1], 48.0 - i_a * 6800.01, 1e-6);
  CHECK_NEAR("leg 3 at the desk", a.seen[1].contact_v[2], 48.0 - i_a * 0.01, 1e-6);
  CHECK_NEAR("leg 2 carries it all", a.seen[1].near_a[1], i_a, 1e-9);
  CHECK_NEAR("and 1 back", a.seen[1].near_a[0], -i_a, 1e-9);
  CHECK_NEAR("what the condenser gets on 2", a.inside[0].contact_v[1], 10000 * i_a, 1e-6);
  CHECK_NEAR("on 3", a.inside[0].contact_v[2], 0.0, 1e-9);
  CHECK_NEAR("a lost leg", a.ears[0].heard[1].change_db, -18.5, 0.05);
  arena_deinit(&arena);
}

// The table of a first trial tester on phantom (470, 220, 100 ohm), short 1-2: 0.000, 1.432, -5.273
// mA, ".GR", worked out on a line of 60 + 10 m; here 60 m only.
static void
lamps(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "lamps", &file, &a);
  assert_string_equal(a.lit[1].picture, ".GR");
  CHECK_NEAR("2-1", a.lit[1].lamp_a[0], 0.0, 1e-6);
  CHECK_NEAR("3-1", a.lit[1].lamp_a[1], 1.432e-3, 1e-5);
  CHECK_NEAR("2-3", a.lit[1].lamp_a[2], -5.273e-3, 1e-5);
  assert_string_equal(a.lit[0].picture, ".GR");
  // Everything the two legs give comes back through contact 1, 1.8 + 0.01 ohm, which lowers both
  const double total_a =
    (96.0 - a.lit[0].contact_v[1] - a.lit[0].contact_v[2]) / (6804.8 + 2 * 1.81);
  const double leg3_a = (48.0 - a.lit[0].contact_v[2] - 1.81 * total_a) / 6804.8;
  CHECK_NEAR("Kirchhoff", a.lit[0].lamp_a[1] - a.lit[0].lamp_a[2], leg3_a, 1e-9);
  arena_deinit(&arena);
}

// Copper 30 m x 1/58 / 2.5 = 0.20690 ohm a conductor; the second box 0.01379 further each way.
static void
loudspeakers(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "loudspeakers", &file, &a);
  const double far_ohm = 2 * 2 / (58 * 2.5);
  const double near_ohm = 2 * 30 / (58 * 2.5);
  for (int way = 0; way < 2; ++way) {
    const double box_ohm = way ? 16.0 : 8.0;
    const double both_ohm = 1.0 / (1.0 / box_ohm + 1.0 / (box_ohm + far_ohm));
    const double i_a = 20.0 / (0.05 + near_ohm + both_ohm);
    const double upper_v = i_a * both_ohm;
    const double lower_v = upper_v * box_ohm / (box_ohm + far_ohm);
    // Ears: amplifier's two outputs with their earthed minus, then each box's two ways
    CHECK_NEAR("amplifier", a.ears[2 * way].heard[0].current_a, i_a, 1e-6);
    CHECK_NEAR("upper box", a.ears[4 + way].heard[0].dbv, 20.0 * log10(upper_v), 1e-6);
    CHECK_NEAR("upper box", a.ears[4 + way].heard[0].current_a, upper_v / box_ohm, 1e-6);
    if (way == 0) {
      // Seen from the rack with the amplifier away, direct and at 1 kHz alike
      CHECK_NEAR("ohms", a.seen[0].direct_ohm, near_ohm + both_ohm, 1e-9);
      CHECK_NEAR("ohms", a.seen[0].ohm[0], near_ohm + both_ohm, 1e-9);
    }
    CHECK_NEAR("lower box", a.ears[6 + way].heard[0].dbv, 20.0 * log10(lower_v), 1e-6);
  }
  arena_deinit(&arena);
}

// 10 k of input on 1 k and 10 uF; contact 3 joined to 1, so nothing of it is lost.
static void
jack(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "jack", &file, &a);
  assert_string_equal(file.drawn.joints[0].contacts[1], "tip");
  assert_string_equal(file.drawn.joints[1].contacts[1], "2");
  const DrawnEar* const desk = &a.ears[1];
  CHECK_NEAR("1 kHz", desk->heard[1].dbv, 20.0 * log10(10000.0 / 11001.0), 5e-3);
  CHECK_NEAR("its current", a.ears[0].heard[0].current_a, 1.0 / 11001.0, 2e-7);
  assert_int_equal(desk->heard[1].sign, 1);
  arena_deinit(&arena);
}

// A leg open towards one desk leaves the others a little up, and the condenser with one leg of DC.
static void
split(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "split", &file, &a);
  assert_int_equal(a.n_ears, 3);
  CHECK_NEAR("the house", a.ears[0].heard[1].change_db, -18.5, 0.05);
  for (int desk = 1; desk < 3; ++desk) {
    assert_true(a.ears[desk].heard[1].change_db > 0.2 && a.ears[desk].heard[1].change_db < 1.0);
    assert_int_equal(a.ears[desk].heard[1].sign, 1);
  }
  const double i_a = 48.0 / (6800 + 60 * 0.08 + 2200 + 60 * 0.03 + 0.01);
  CHECK_NEAR("the condenser's leg 3", a.inside[0].contact_v[2], 2200 * i_a, 1e-6);
  CHECK_NEAR("its leg 2", a.inside[0].contact_v[1], 0.0, 1e-9);
  assert_true(isnan(a.seen[1].contact_v[1])); // Behind the open leg, alone: in the air
  arena_deinit(&arena);
}

// 12/(180 + 180 + 200) = 21.43 mA; contact 3 stands at 180 times that.
static void
between_the_legs(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "a-b", &file, &a);
  CHECK_NEAR("coil", a.inside[0].coil_a, 12.0 / 560.0, 1e-7);
  CHECK_NEAR("contact 3", a.seen[0].contact_v[2], 180 * 12.0 / 560.0, 1e-5);
  CHECK_NEAR("signal", a.ears[0].heard[0].dbv, 20.0 * log10(360.0 / 560.0), 1e-4);
  arena_deinit(&arena);
}

// The usual tester with its sender: the table's row "cross12" has -5.731, -8.445, -2.284 mA, the
// cross 10 m before the lamps; here it is at the lamps.
static void
sender(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  DrawnAnswer a;
  solved(&arena, "sender", &file, &a);
  assert_string_equal(a.lit[0].picture, "RRR");
  CHECK_NEAR("2-1", a.lit[0].lamp_a[0], -5.731e-3, 1e-5);
  CHECK_NEAR("3-1", a.lit[0].lamp_a[1], -8.445e-3, 1e-5);
  CHECK_NEAR("2-3", a.lit[0].lamp_a[2], -2.284e-3, 1e-5);
  // Nothing is earthed, yet volts between contacts are known: 12 V on 2, the divider's half on 3
  CHECK_NEAR("2 open", a.seen[0].contact_v[1], 12.0, 1e-9);
  CHECK_NEAR("3 open", a.seen[0].contact_v[2], 6.0, 1e-9);
  CHECK_NEAR("crossed", a.seen[1].contact_v[1], -12.0, 1e-9);
  arena_deinit(&arena);
}

static void
feed(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  CircuitFile file;
  Error error;
  FeedAnswer a;
  assert_int_equal(read_text(&arena, example(&arena, "feed"), &file, &error), STATUS_OK);
  assert_true(file.is_feed);
  const FeedQuestion* const q = &file.feed;
  assert_int_equal(feed_judge(q->variants, q->n_variants, &q->feed, &q->way, &q->microphone, &a),
                   STATUS_OK);
  assert_int_equal(a.verdict, FEED_RUNS);
  // 12 - 3 mA x (340 + 1.5 x 50 m / (58 x 0.22))
  CHECK_NEAR("volts", a.leg_v, 12.0 - 3e-3 * (340 + 1.5 * 50 / (58 * 0.22)), 1e-9);
  CHECK_NEAR("left", a.left_a, 12e-3, 1e-12);
  arena_deinit(&arena);
}

// What a meter at the desk shows of P48 and 6800 ohm with a coil of 200 ohm or a condenser of 4 mA
// (17.2 k a leg), fault by fault: computed values, as tests/published has them for the bare
// circuit.
static void
signatures(void** state)
{
  (void)state;
  static const char text[] =
    "{\"elements\": [%s,"
    "{\"kind\": \"plug\", \"name\": \"plug\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 0},"
    "{\"kind\": \"desk\", \"at\": \"b\", \"feed\": \"P48\", \"earth_ohm\": 0}],"
    "\"faults\": [%s], \"questions\": [{\"at\": \"b\"}]}";
  static const char coil[] =
    "{\"kind\": \"source\", \"at\": \"a\", \"drive\": \"floating\", \"source_ohm\": 200}";
  static const char condenser[] = "{\"kind\": \"source\", \"at\": \"a\", \"drive\": \"both legs\", "
                                  "\"source_ohm\": 50, \"supply_ohm\": 17200}";
#define FAULT(words) "{\"element\": \"plug\", \"end\": \"far\", \"fault\": \"" words "\"}"
#define SHORT(pair)                                                                                \
  "{\"element\": \"plug\", \"end\": \"far\", \"fault\": \"short " pair "\", \"ohm\": 0}"
  static const struct {
    const char* source;
    const char* faults;
    double v2, v3, a2, a3, coil_a;
  } rows[] = {
    {coil, "", 48.0, 48.0, 0, 0, 0},
    {coil, SHORT("2-3"), 48.0, 48.0, 0, 0, 0},
    {coil, FAULT("crossed 2-3"), 48.0, 48.0, 0, 0, 0},
    {coil, SHORT("1-2"), 0.0, 1.371, 0, 6.857e-3, -6.857e-3},
    {coil, SHORT("1-2") "," SHORT("1-3"), 0.0, 0.0, 0, 0, 0},
    {condenser, "", 34.40, 34.40, 2e-3, 2e-3, NAN},
    {condenser, FAULT("open 1"), 48.0, 48.0, 0, 0, NAN},
    {condenser, FAULT("crossed 2-3"), 34.40, 34.40, 2e-3, 2e-3, NAN},
    // A leg lost: 48 x 17.2/24 on the one, nothing drawn from the other
    {condenser, FAULT("open 3"), 34.40, 48.0, 2e-3, 0, NAN},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char made[1200];
    Arena arena;
    Error error;
    CircuitFile file;
    DrawnAnswer a;
    arena_init(&arena, NULL);
    (void)snprintf(made, sizeof(made), text, rows[i].source, rows[i].faults);
    assert_int_equal(read_text(&arena, made, &file, &error), STATUS_OK);
    assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
    CHECK_NEAR("2-1", a.seen[0].contact_v[1], rows[i].v2, 5e-4);
    CHECK_NEAR("3-1", a.seen[0].contact_v[2], rows[i].v3, 5e-4);
    if (!strstr(rows[i].faults, "1-2")) { // With 2 on 1 the short itself is part of the near side
      CHECK_NEAR("leg 2", a.seen[0].near_a[1], rows[i].a2, 1e-6);
    }
    if (!strstr(rows[i].faults, "1-3")) {
      CHECK_NEAR("leg 3", a.seen[0].near_a[2], rows[i].a3, 1e-6);
    }
    if (isnan(rows[i].coil_a)) {
      assert_true(isnan(a.inside[0].coil_a));
    } else {
      CHECK_NEAR("through the coil", a.inside[0].coil_a, rows[i].coil_a, 1e-6);
    }
    arena_deinit(&arena);
  }
}

// Two contacts, an unbalanced lead; and eight, where a leak and an open lie on the highest ones.
static void
two_and_eight(void** state)
{
  (void)state;
  static const struct {
    const char* text;
    double want_v[2]; ///< Over the first and the last load, by hand
  } rows[] = {
    {"{\"contacts\": [\"sleeve\", \"tip\"], \"frequencies\": [1000], \"elements\": ["
     "{\"kind\": \"parts\", \"at\": \"a\", \"branches\": [{\"between\": [\"tip\", \"sleeve\"], "
     "\"ohm\": 600, \"emf_v\": 1}, {\"between\": [\"sleeve\", \"earth\"], \"ohm\": 0}]},"
     "{\"kind\": \"cable\", \"name\": \"lead\", \"from\": \"a\", \"to\": \"b\", \"ohm\": [1, 2]},"
     "{\"kind\": \"loudspeaker\", \"at\": \"b\", \"loads\": [{\"between\": [\"tip\", \"sleeve\"], "
     "\"ohm\": 1397}]}], \"faults\": [{\"element\": \"lead\", \"end\": \"near\", \"fault\": \"high "
     "tip\", \"ohm\": 2000}]}",
     {1397.0 / 4000.0, 1397.0 / 4000.0}},
    {"{\"contacts\": 8, \"frequencies\": [1000], \"elements\": ["
     "{\"kind\": \"amplifier\", \"at\": \"a\", \"outputs\": ["
     "{\"between\": [\"1\", \"2\"], \"ohm\": 1}, {\"between\": [\"3\", \"4\"], \"ohm\": 1},"
     "{\"between\": [\"5\", \"6\"], \"ohm\": 1}, {\"between\": [\"7\", \"8\"], \"ohm\": 1}]},"
     "{\"kind\": \"cable\", \"name\": \"c\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 0.5},"
     "{\"kind\": \"loudspeaker\", \"at\": \"b\", \"loads\": [{\"between\": [\"1\", \"2\"], "
     "\"ohm\": 8},"
     "{\"between\": [\"7\", \"8\"], \"ohm\": 8}]}], \"faults\": ["
     "{\"element\": \"c\", \"end\": \"far\", \"fault\": \"leak 7-8\", \"ohm\": 8},"
     "{\"element\": \"c\", \"end\": \"near\", \"fault\": \"open 5\"}]}",
     {8.0 / 10.0, 4.0 / 6.0}},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Error error;
    CircuitFile file;
    DrawnAnswer a;
    arena_init(&arena, NULL);
    if (read_text(&arena, rows[i].text, &file, &error) != STATUS_OK) {
      fail_msg("row %zu: %s", i, error.text);
    }
    assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
    const int last = a.n_ears - 1;
    const int first = i == 0 ? last : last - 1;
    CHECK_NEAR("first load", pow(10.0, a.ears[first].heard[0].dbv / 20.0), rows[i].want_v[0], 1e-7);
    CHECK_NEAR("last load", pow(10.0, a.ears[last].heard[0].dbv / 20.0), rows[i].want_v[1], 1e-7);
    arena_deinit(&arena);
  }
}

// Nothing here is earthed: 2 to 3 go by way of 1, and 4 hangs in the air.
static void
ohms_by_way_of_another(void** state)
{
  (void)state;
  Arena arena;
  Error error;
  CircuitFile file;
  DrawnAnswer a;
  arena_init(&arena, NULL);
  assert_int_equal(
    read_text(&arena,
              "{\"contacts\": 4, \"elements\": [{\"kind\": \"parts\", \"at\": \"a\", \"branches\": "
              "[{\"between\": [\"2\", \"1\"], \"ohm\": 100, \"battery_v\": 9},"
              " {\"between\": [\"3\", \"1\"], \"ohm\": 200, \"emf_v\": 1}]}],"
              "\"questions\": [{\"at\": \"a\", \"between\": [\"2\", \"3\"]},"
              " {\"at\": \"a\", \"between\": [\"4\", \"1\"]}]}",
              &file, &error),
    STATUS_OK);
  assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
  CHECK_NEAR("direct", a.seen[0].direct_ohm, 300.0, 1e-9);
  CHECK_NEAR("signal", a.seen[0].ohm[0], 300.0, 1e-9);
  assert_true(isinf(a.seen[1].direct_ohm) && isinf(a.seen[1].ohm[2]));
  CHECK_NEAR("2 against 1", a.seen[0].contact_v[1], 9.0, 1e-9);
  CHECK_NEAR("3 against 1", a.seen[0].contact_v[2], 0.0, 1e-9);
  assert_true(isnan(a.seen[0].contact_v[3]));
  arena_deinit(&arena);
}

// Sixteen frequencies ride in four chains: each must answer as it does alone; ohms of a capacitor,
// of an open pair and of one behind a cable.
static void
many_frequencies(void** state)
{
  (void)state;
  static const char text[] =
    "{\"frequencies\": [%s], \"elements\": ["
    "{\"kind\": \"source\", \"at\": \"a\", \"drive\": \"floating\", \"source_ohm\": 600},"
    "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 0,"
    " \"capacitances\": [{\"between\": [\"2\", \"3\"], \"pf\": 20000}]},"
    "{\"kind\": \"desk\", \"at\": \"b\"}],"
    "\"questions\": [{\"at\": \"b\", \"between\": [\"2\", \"3\"]},"
    " {\"at\": \"b\", \"looks\": \"far\", \"between\": [\"2\", \"3\"]}]}";
  char list[400] = "";
  double hz[DRAWN_TONES];
  for (int i = 0; i < DRAWN_TONES; ++i) {
    hz[i] = 100.0 * pow(1.4, i);
    (void)snprintf(list + strlen(list), sizeof(list) - strlen(list), "%s%.17g", i ? "," : "",
                   hz[i]);
  }
  char made[2000];
  Arena arena;
  Error error;
  CircuitFile file;
  DrawnAnswer a;
  arena_init(&arena, NULL);
  (void)snprintf(made, sizeof(made), text, list);
  assert_int_equal(read_text(&arena, made, &file, &error), STATUS_OK);
  assert_int_equal(file.drawn.n_tones, DRAWN_TONES);
  assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
  for (int i = 0; i < DRAWN_TONES; ++i) {
    const double x = 2.0 * 3.14159265358979 * hz[i] * 20e-9 * 600.0;
    CHECK_NEAR("600 ohm and 20 nF", a.ears[0].heard[i].dbv, -10.0 * log10(1.0 + x * x), 1e-9);
    CHECK_NEAR("its size", a.seen[0].ohm[i], 600.0 / sqrt(1.0 + x * x), 1e-6);
    assert_true(isinf(a.seen[1].ohm[i]));
  }
  CHECK_NEAR("direct", a.seen[0].direct_ohm, 600.0, 1e-9);
  assert_true(isinf(a.seen[1].direct_ohm));
  arena_deinit(&arena);
}

// A sender at the first end: its own source is in the near side, so the current through the joint
// is what the load takes, 12 V/(110 + 890), and comes from there.
static void
current_from_the_first_end(void** state)
{
  (void)state;
  Arena arena;
  Error error;
  CircuitFile file;
  DrawnAnswer a;
  arena_init(&arena, NULL);
  assert_int_equal(read_text(&arena,
                             "{\"elements\": [{\"kind\": \"sender\", \"at\": \"a\", \"outputs\": "
                             "[{\"between\": [\"2\", \"1\"], \"v\": 12, \"ohm\": 110}]},"
                             "{\"kind\": \"parts\", \"at\": \"a\", \"branches\": "
                             "[{\"name\": \"load\", \"between\": [\"2\", \"1\"], \"ohm\": 890}]}],"
                             "\"questions\": [{\"at\": \"a\", \"between\": [\"1\", \"2\"]}]}",
                             &file, &error),
                   STATUS_OK);
  assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
  CHECK_NEAR("out of the sender on 2", a.seen[0].near_a[1], -12e-3, 1e-12);
  CHECK_NEAR("back on 1", a.seen[0].near_a[0], 12e-3, 1e-12);
  CHECK_NEAR("3 has none", a.seen[0].near_a[2], 0.0, 1e-15);
  CHECK_NEAR("in the load", a.ears[1].through_a, 12e-3, 1e-12);
  CHECK_NEAR("out of the sender", a.ears[0].through_a, -12e-3, 1e-12);
  CHECK_NEAR("both, its battery dead", a.seen[0].direct_ohm, 110.0 * 890.0 / 1000.0, 1e-9);
  arena_deinit(&arena);
}

/// Two ends and a cable, to be spoiled.
#define LINE(first, way, end, more) "{\"elements\": [\n" first ",\n" way ",\n" end "\n]" more "}"
#define COIL "{\"kind\": \"source\", \"at\": \"a\", \"drive\": \"floating\", \"source_ohm\": 200}"
#define WAY "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 1}"
#define DESK "{\"kind\": \"desk\", \"at\": \"b\", \"feed\": \"P48\", \"input_ohm\": 2000}"

static void
mistakes(void** state)
{
  (void)state;
  static const struct {
    const char* text;
    int line, column; ///< Column 0: whatever
    const char* says;
  } rows[] = {
    {"", 1, 0, "not JSON"},
    {"[]", 1, 1, "A circuit is an object"},
    {"{}", 1, 1, "neither"},
    {"{\"elements\": [], \"feed\": \"P48\"}", 1, 1, "both"},
    {"{\"elements\": []}", 1, 14, "0 entries"},
    {"{\"elements\": 3}", 1, 14, "a list"},
    {"{\"elements\": [1]}", 1, 15, "an object"},
    {"{\"elements\": [],\n \"elements\": []}", 2, 0, "duplicate"},
    {"{\"elements\": [{\"kind\": \"cabel\"}]}", 1, 24, "did you mean \"cable\""},
    {"{\"elements\": [{\"kind\": \"xylophone\"}]}", 1, 24, "there are source"},
    {"{\"elements\": [{\"kin\": \"desk\"}]}", 1, 15, "\"kind\" is missing"},
    {"{\"elemints\": [], \"elements\": []}", 1, 2, "did you mean \"elements\""},
    {"{\"contacts\": 9, \"elements\": []}", 1, 14, "from 2 to 8"},
    {"{\"contacts\": 2.5, \"elements\": []}", 1, 14, "whole number"},
    {"{\"contacts\": [\"a\", \"a\"], \"elements\": []}", 1, 20, "two contacts \"a\""},
    {"{\"contacts\": [\"a\", \"earth\"], \"elements\": []}", 1, 20, "no contact"},
    {LINE(WAY, WAY, DESK, ""), 2, 1, "The first element is an end"},
    {LINE(COIL, WAY, WAY, ""), 4, 0, "ends at \"b\" already"},
    {LINE(COIL, WAY, COIL, ""), 4, 1, "" /* two sources: allowed, so not here */},
    {LINE(COIL, "{\"kind\": \"cable\", \"from\": \"c\", \"to\": \"b\", \"ohm\": 1}", DESK, ""), 3,
     27, "No element written so far ends at a joint \"c\""},
    {LINE(COIL, "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\", \"ohms\": 1}", DESK, ""), 3,
     43, "did you mean \"ohm\""},
    {LINE(COIL, "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\"}", DESK, ""), 3, 1,
     "here are 0 of them"},
    {LINE(COIL,
          "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 1, \"section_mm2\": 1, "
          "\"length_m\": 1}",
          DESK, ""),
     3, 1, "here are 2 of them"},
    {LINE(COIL, "{\"kind\": \"cable\", \"from\": \"a\", \"to\": \"b\", \"section_mm2\": 1}", DESK,
          ""),
     3, 1, "\"length_m\" is missing"},
    {LINE(COIL, "{\"kind\": \"plug\", \"from\": \"a\", \"to\": \"b\", \"ohm\": [1, 2]}", DESK, ""),
     3, 49, "2 entries; it takes 3 to 3"},
    {LINE(COIL, "{\"kind\": \"plug\", \"from\": \"a\", \"to\": \"b\", \"ohm\": [1, -2, 1]}", DESK,
          ""),
     3, 53, "from 0 to"},
    {LINE(COIL, "{\"kind\": \"transformer\", \"from\": \"a\", \"to\": \"b\", \"primary_ohm\": 60}",
          DESK, ""),
     3, 1, "\"secondary_ohm\" is missing"},
    {LINE(COIL, "{\"kind\": \"adaptor\", \"from\": \"a\", \"to\": \"b\"}", DESK, ""), 3, 1,
     "\"leads\""},
    {LINE(COIL,
          "{\"kind\": \"adaptor\", \"from\": \"a\", \"to\": \"b\", \"leads\": {\"1\": \"1\", "
          "\"2\": \"1\"}}",
          DESK, ""),
     3, 0, "leads to two far ones"},
    {LINE(COIL,
          "{\"kind\": \"adaptor\", \"from\": \"a\", \"to\": \"b\", \"leads\": {\"tip\": \"1\"}}",
          DESK, ""),
     3, 0, "no contact \"tip\" at the far side"},
    {LINE(COIL, WAY, "{\"kind\": \"desk\", \"at\": \"b\", \"feed\": \"P47\"}", ""), 4, 37,
     "did you mean \"P48\""},
    {LINE(COIL, WAY, "{\"kind\": \"desk\", \"at\": \"b\", \"feed\": {\"supply_v\": 9}}", ""), 4, 37,
     "\"leg_ohm\" is missing"},
    {LINE(COIL, WAY, "{\"kind\": \"parts\", \"at\": \"b\", \"branches\": [{\"ohm\": 1}]}", ""), 4,
     43, "\"between\" is missing"},
    {LINE(COIL, WAY,
          "{\"kind\": \"parts\", \"at\": \"b\", \"branches\": [{\"ohm\": 1, \"between\": [\"1\", "
          "\"1\"]}]}",
          ""),
     4, 0, "two different contacts"},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"desk 3\", \"fault\": \"opne 2\"}]"), 5,
     0, "no fault \"opne 2\""},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"desk 3\", \"fault\": \"open 4\"}]"), 5,
     0, "followed by a contact"},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"desk 3\", \"fault\": \"short 2\"}]"), 5,
     0, "followed by two contacts"},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"desk 3\", \"fault\": \"high 2\"}]"), 5,
     0, "\"ohm\" is missing"},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"cable 2\", \"fault\": \"open 2\"}]"), 5,
     0, "\"end\" is missing"},
    {LINE(COIL, WAY, DESK,
          ", \"faults\": [{\"element\": \"desk 3\", \"end\": \"far\", \"fault\": \"open 2\"}]"),
     5, 0, "near end only"},
    {LINE(COIL, WAY, DESK, ", \"faults\": [{\"element\": \"cabel 2\", \"fault\": \"open 2\"}]"), 5,
     27, "did you mean \"cable 2\""},
    {LINE(
       COIL, WAY, DESK,
       ", \"faults\": [{\"element\": \"desk 3\", \"fault\": \"rotated\", \"order\": [\"2\", \"2\", "
       "\"1\"]}]"),
     5, 0, "stands twice"},
    {LINE(COIL, WAY, DESK,
          ", \"testers\": [{\"at\": \"b\", \"looks\": \"far\", \"tester\": \"usal\"}]"),
     5, 0, "did you mean \"usual\""},
    {LINE(COIL, WAY, DESK,
          ", \"testers\": [{\"at\": \"b\", \"looks\": \"far\", \"tester\": {\"lamps\": []}}]"),
     5, 0, "0 entries"},
    {LINE(COIL, WAY, DESK, ", \"frequencies\": [0]"), 5, 20, "a frequency"},
    {LINE(COIL, WAY, DESK, ", \"questions\": [{\"at\": \"z\"}]"), 5, 0, "joint \"z\""},
    {"{\"feed\": \"P48\"}", 1, 1, "no \"microphone\""},
    {"{\"microphone\": {}}", 1, 1, "no \"feed\""},
    {"{\"feed\": \"P48\", \"microphone\": {\"kind\": \"condensr\"}}", 1, 40,
     "did you mean \"condenser\""},
    {"{\"feed\": \"P48\", \"microphone\": {\"kind\": \"condenser\", \"draw_ma\": -1}}", 1, 64,
     "\"draw_ma\" should be a number"},
    {"{\"feed\": \"P48\", \"microphone\": {\"kind\": \"condenser\", \"draw_ma\": 1, \"load_ohm\": "
     "1}}",
     1, 31, "one of them"},
    {"{\"feed\": \"P48\", \"cable\": {\"length_m\": 5}, \"microphone\": {\"kind\": \"ribbon\"}}", 1,
     26, "A cable is"},
    {"{\"feed\": {\"supply_v\": 18, \"leg_ohm\": [1, 2]}, \"microphone\": {\"kind\": \"ribbon\"}}",
     1, 10, "both legs have one resistance"},
    {"{\"title\": \"a\\u0007b\", \"elements\": []}", 1, 11, "control character"},
  };
  int n_checked = 0;
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    Error error;
    CircuitFile file = {.title = "untouched"};
    arena_init(&arena, NULL);
    const Status st = read_text(&arena, rows[i].text, &file, &error);
    arena_deinit(&arena);
    if (!rows[i].says[0]) {
      assert_int_equal(st, STATUS_OK);
      continue;
    }
    if (st != STATUS_BAD_INPUT || error.line != rows[i].line ||
        (rows[i].column && error.column != rows[i].column) || !strstr(error.text, rows[i].says)) {
      fail_msg("row %zu: status %d at %d:%d, want %d:%d \"%s\": %s", i, (int)st, error.line,
               error.column, rows[i].line, rows[i].column, rows[i].says, error.text);
    }
    assert_string_equal(file.title, "untouched");
    assert_string_equal(error.file, "c.json");
    ++n_checked;
  }
  assert_true(n_checked > 45);
}

static void
limits(void** state)
{
  (void)state;
  Arena arena;
  Error error = {0};
  CircuitFile file;
  arena_init(&arena, NULL);
  char* const big = arena_array(&arena, JSON_IN_MAX_BYTES + 2, 1);
  memset(big, ' ', JSON_IN_MAX_BYTES + 1);
  assert_int_equal(circuit_file_read(&arena, "c", big, JSON_IN_MAX_BYTES + 1, &file, &error),
                   STATUS_LIMIT);
  memset(big, '[', 5000);
  assert_int_equal(circuit_file_read(&arena, "c", big, 5000, &file, &error), STATUS_LIMIT);
  assert_int_equal(circuit_file_read(&arena, "c", "{}", 2, &file, NULL), STATUS_BAD_INPUT);
  arena_deinit(&arena);
}

// Names with a dash in them, orders, and a circuit that floats from earth.
static void
four_poles(void** state)
{
  (void)state;
  static const char text[] =
    "{\"contacts\": [\"1+\", \"1-\", \"2+\", \"2-\"], \"frequencies\": [1000], \"elements\": ["
    "{\"kind\": \"amplifier\", \"at\": \"a\", \"outputs\": ["
    "  {\"between\": [\"1+\", \"1-\"], \"ohm\": 0.1, \"emf_v\": 10},"
    "  {\"between\": [\"2+\", \"2-\"], \"ohm\": 0.1, \"emf_v\": 4, \"bridged\": true}]},"
    "{\"kind\": \"plug\", \"name\": \"plug\", \"from\": \"a\", \"to\": \"b\", \"ohm\": 0.01},"
    "{\"kind\": \"loudspeaker\", \"at\": \"b\", \"loads\": ["
    "  {\"between\": [\"1+\", \"1-\"], \"ohm\": 8}, {\"between\": [\"2+\", \"2-\"], \"ohm\": 8}]}],"
    "\"faults\": [{\"element\": \"plug\", \"end\": \"far\", \"fault\": \"%s\"%s}]}";
  static const struct {
    const char* fault;
    const char* order;
    double first_v, second_v; ///< Over the two loads; 0 = less than a microvolt
  } rows[] = {
    // By hand: 10 x 8/8.12 and 4 x 8/8.12; crossed turns the sign; pairs exchanged
    {"crossed 1+-1-", "", -9.852217, 3.940887},
    {"crossed 2--2+", "", 9.852217, -3.940887},
    {"open 2-", "", 9.852217, 0.0},
    {"rotated", ", \"order\": [\"2+\", \"2-\", \"1+\", \"1-\"]", 3.940887, 9.852217},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    char made[1200];
    Arena arena;
    Error error;
    CircuitFile file;
    DrawnAnswer a;
    arena_init(&arena, NULL);
    (void)snprintf(made, sizeof(made), text, rows[i].fault, rows[i].order);
    if (read_text(&arena, made, &file, &error) != STATUS_OK) {
      fail_msg("%s: %s", rows[i].fault, error.text);
    }
    assert_int_equal(drawn_solve(&arena, &file.drawn, &a), STATUS_OK);
    for (int load = 0; load < 2; ++load) {
      const DrawnHeard* const h = &a.ears[4 + load].heard[0];
      const double v = h->sign * pow(10.0, h->dbv / 20.0);
      CHECK_NEAR(rows[i].fault, v, load ? rows[i].second_v : rows[i].first_v, 2e-6);
    }
    arena_deinit(&arena);
  }
}

/// For jansson, which takes its memory from functions of the process: fails request `fail_at`.
static FailingHeap* json_heap;

static void*
json_get(size_t n_bytes)
{
  return failing_get(json_heap, n_bytes);
}

static void
json_put(void* block)
{
  if (block) {
    failing_put(json_heap, block);
  }
}

// Our own requests (arena) and jansson's, apart: when jansson runs out while reading it may take
// the text for no JSON, and then all that can be asked is an error, nothing leaked, nothing
// written.
static void
every_allocation_fails_once(void** state)
{
  (void)state;
  static const char* const names[] = {"split", "jack", "lamps", "sender", "loudspeakers", "feed"};
  for (size_t which = 0; which < 2 * sizeof(names) / sizeof(names[0]); ++which) {
    const char* const name = names[which / 2];
    const bool is_json = which % 2;
    Arena kept;
    arena_init(&kept, NULL);
    const char* const text = example(&kept, name);
    CircuitFile whole;
    Error none;
    assert_int_equal(read_text(&kept, text, &whole, &none), STATUS_OK);
    for (int fail_at = 1;; ++fail_at) {
      FailingHeap own = {.fail_at = is_json ? 0 : fail_at};
      FailingHeap other = {.fail_at = is_json ? fail_at : 0};
      const Allocator from = failing_allocator(&own);
      Arena arena;
      Error error;
      CircuitFile file = {.title = "untouched"};
      DrawnAnswer answer = {.n_ears = -7};
      json_heap = &other;
      json_set_alloc_funcs(json_get, json_put);
      arena_init(&arena, &from);
      Status st = read_text(&arena, text, &file, &error);
      const bool read_it = st == STATUS_OK;
      if (read_it && !file.is_feed) {
        st = drawn_solve(&arena, &file.drawn, &answer);
      }
      const bool untouched = read_it ? answer.n_ears == -7 : !strcmp(file.title, "untouched");
      arena_deinit(&arena);
      json_set_alloc_funcs(malloc, free);
      assert_int_equal(own.n_live + other.n_live, 0);
      if ((is_json ? other : own).n_requests < fail_at) {
        assert_int_equal(st, STATUS_OK);
        assert_true(fail_at > (is_json ? 10 : 1));
        break;
      }
      if (is_json && st == STATUS_OK) {
        // jansson did without: nothing may be missing
        assert_true(file.drawn.n_elements == whole.drawn.n_elements && file.title &&
                    file.drawn.n_edits == whole.drawn.n_edits &&
                    file.drawn.n_testers == whole.drawn.n_testers &&
                    file.drawn.n_looks == whole.drawn.n_looks &&
                    file.feed.microphone.sort == whole.feed.microphone.sort);
        continue;
      }
      if (is_json ? st != STATUS_NO_MEMORY && st != STATUS_BAD_INPUT : st != STATUS_NO_MEMORY) {
        fail_msg("%s, request %d: status %d, %s", name, fail_at, (int)st, error.text);
      }
      assert_true(untouched);
    }
    arena_deinit(&kept);
  }
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(moving_coil),
    cmocka_unit_test(open_leg),
    cmocka_unit_test(lamps),
    cmocka_unit_test(loudspeakers),
    cmocka_unit_test(jack),
    cmocka_unit_test(split),
    cmocka_unit_test(between_the_legs),
    cmocka_unit_test(sender),
    cmocka_unit_test(feed),
    cmocka_unit_test(mistakes),
    cmocka_unit_test(many_frequencies),
    cmocka_unit_test(ohms_by_way_of_another),
    cmocka_unit_test(two_and_eight),
    cmocka_unit_test(signatures),
    cmocka_unit_test(current_from_the_first_end),
    cmocka_unit_test(limits),
    cmocka_unit_test(four_poles),
    cmocka_unit_test(every_allocation_fails_once),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
