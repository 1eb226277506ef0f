// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/feed.h"

#include "base/table.h"
#include "base/text.h"
#include "stage/lists.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  Everything is one loop: supply, resistance, what is drawn. `loop_ohm` is the resistance the whole
  current meets: half a leg for phantom (both legs carry half each), two legs for A-B. What is drawn
  in line is drawn at the far end of the cable and so pays the same way.

      V = supply - drop - (draw + in line) * loop          constant current
      V = (supply - drop - in line * loop) * R / (R + loop)      resistor
*/

const ListText*
feed_built_in(int* n);

static double
number_or_nan(const char* text)
{
  double value = NAN;
  return text_number(text, 0.0, 1e6, &value) ? value : (double)NAN;
}

static Feed
feed_of_row(Arena* arena, const TableRow* row)
{
  const char* words[10];
  for (int i = 0; i < 10; ++i) {
    words[i] = table_cell(row, i)->text;
  }
  return (Feed){.name = arena_copy(arena, words[0]),
                .also = arena_copy(arena, words[1]),
                .supply_v = number_or_nan(words[2]),
                .tolerance_v = number_or_nan(words[3]),
                .leg_ohm = number_or_nan(words[4]),
                .leg_tolerance_ratio = 0.01 * number_or_nan(words[5]),
                .between_legs = text_same(words[6], "2 to 3"),
                .greatest_a = 1e-3 * number_or_nan(words[7]),
                .source = arena_copy(arena, words[8]),
                .mark = words[9][0]};
}

Status
feed_variants(Arena* arena, const Feed** feeds, int* n_feeds)
{
  int n_lists = 0;
  Table table;
  const ListText* const list = feed_built_in(&n_lists);
  Status st;
  TRY(st, table_read(arena, list->name, list->bytes, list->n_bytes, &table, NULL));
  const int n = table.n_rows - 1;
  Feed* const made = arena_array(arena, (size_t)n, sizeof(Feed));
  if (!made) {
    return STATUS_NO_MEMORY;
  }
  for (int i = 0; i < n; ++i) {
    made[i] = feed_of_row(arena, &table.rows[i + 1]);
    if (!made[i].name || !made[i].also || !made[i].source) {
      return STATUS_NO_MEMORY;
    }
  }
  *feeds = made;
  *n_feeds = n;
  return STATUS_OK;
}

static bool
is_among(const char* names, const char* name)
{
  while (*names) {
    const size_t n = strcspn(names, "|");
    char one[64];
    (void)snprintf(one, sizeof(one), "%.*s", (int)(n < 63 ? n : 63), names);
    if (text_same(one, name)) {
      return true;
    }
    names += n + (names[n] == '|');
  }
  return false;
}

const Feed*
feed_find(const Feed feeds[], int n_feeds, const char* name)
{
  for (int i = 0; i < n_feeds; ++i) {
    if (text_same(feeds[i].name, name) || is_among(feeds[i].also, name)) {
      return &feeds[i];
    }
  }
  return NULL;
}

const char*
feed_verdict_word(FeedVerdict verdict)
{
  static const char* const words[] = {"unknown", "runs", "does not run",
                                      "outside the standard's limit", "harmful"};
  return (unsigned)verdict < sizeof(words) / sizeof(words[0]) ? words[verdict] : "unknown";
}

/// 0 or more and finite; or NAN where that is allowed.
static bool
is_figure(double value, bool may_be_unknown)
{
  return isnan(value) ? may_be_unknown : value >= 0.0 && value < 1e12;
}

static bool
is_sound(const Feed* f, const FeedWay* w, const FeedMicrophone* m)
{
  return is_figure(f->supply_v, false) && f->supply_v > 0.0 && is_figure(f->tolerance_v, true) &&
         is_figure(f->leg_ohm, false) && is_figure(f->leg_tolerance_ratio, true) &&
         is_figure(f->common_ohm, false) && is_figure(f->greatest_a, true) &&
         is_figure(w->cable_leg_ohm, false) && is_figure(w->cable_shield_ohm, false) &&
         is_figure(w->inline_leg_ohm, false) && is_figure(w->inline_drop_v, false) &&
         is_figure(w->inline_draw_a, false) && is_figure(m->feed_least_v, true) &&
         is_figure(m->feed_greatest_v, true) && is_figure(m->contacts_least_v, true) &&
         is_figure(m->contacts_greatest_v, true) && is_figure(m->draw_a, true) &&
         is_figure(m->load_ohm, true) && is_figure(m->coil_ohm, true);
}

/// What the whole current meets on its way to the microphone and back.
static double
loop_ohm(const Feed* f, const FeedWay* w, double leg_ohm)
{
  const double legs = leg_ohm + w->cable_leg_ohm + w->inline_leg_ohm;
  return f->between_legs ? 2.0 * legs + f->common_ohm
                         : 0.5 * legs + f->common_ohm + w->cable_shield_ohm;
}

/// Volts at the microphone from `supply_v` over `loop`; 0 when it asks for more than there is.
static double
arriving_v(double supply_v, double loop, const FeedWay* w, const FeedMicrophone* m, double* draw_a)
{
  const double left_v = supply_v - w->inline_drop_v - w->inline_draw_a * loop;
  const double v = !isnan(m->draw_a)     ? left_v - m->draw_a * loop
                   : !isnan(m->load_ohm) ? left_v * m->load_ohm / (m->load_ohm + loop)
                                         : (double)NAN;
  *draw_a = !isnan(m->draw_a)                          ? m->draw_a
            : !isnan(m->load_ohm) && m->load_ohm > 0.0 ? fmax(v, 0.0) / m->load_ohm
                                                       : (double)NAN;
  return isnan(v) ? v : fmax(v, 0.0);
}

/// The first variant of this nominal voltage and sort: the one a paper that names volts means.
static const Feed*
variant_of(const Feed variants[], int n_variants, double supply_v, bool between_legs)
{
  for (int i = 0; i < n_variants; ++i) {
    if (variants[i].between_legs == between_legs && fabs(variants[i].supply_v - supply_v) < 0.01) {
      return &variants[i];
    }
  }
  return NULL;
}

/// Least volts at the microphone's contacts, as far as its paper tells.
static double
needed_v(const Feed variants[], int n_variants, const Feed* feed, const FeedMicrophone* m,
         double draw_a)
{
  if (!isnan(m->contacts_least_v) || isnan(m->feed_least_v)) {
    return m->contacts_least_v;
  }
  const Feed* const usual = variant_of(variants, n_variants, m->feed_least_v, feed->between_legs);
  if (!usual) {
    return m->feed_least_v;
  }
  const FeedWay none = {0};
  const double bottom_v = usual->supply_v - (isnan(usual->tolerance_v) ? 0.0 : usual->tolerance_v);
  return isnan(draw_a) ? (double)NAN
                       : fmax(bottom_v - draw_a * loop_ohm(usual, &none, usual->leg_ohm), 0.0);
}

/// Most that any microphone could have here.
static void
available(const Feed* feed, double left_v, double loop, FeedAnswer* a)
{
  const double matched_a = loop > 0.0 ? 0.5 * fmax(left_v, 0.0) / loop : (double)INFINITY;
  a->available_a = isnan(feed->greatest_a) ? matched_a : fmin(matched_a, feed->greatest_a);
  a->available_w = a->available_a * (left_v - a->available_a * loop);
  if (!isfinite(a->available_a)) {
    a->available_a = a->available_w = NAN;
  }
}

#define SAY(field, ...) (void)snprintf(field, sizeof(field), __VA_ARGS__)

/// A coil, ribbon or transformer: it needs nothing, and what matters is what flows through it.
static void
judge_passive(const Feed* feed, const FeedMicrophone* m, double left_v, double loop, FeedAnswer* a)
{
  const char* const what = m->sort == FEED_MIC_COIL     ? "A moving coil"
                           : m->sort == FEED_MIC_RIBBON ? "A ribbon"
                                                        : "A passive transformer";
  a->draw_a = a->power_w = 0.0;
  if (feed->between_legs) {
    a->coil_a = fmax(left_v, 0.0) / (loop + m->coil_ohm);
    a->coil_w = a->coil_a * a->coil_a * m->coil_ohm;
    a->between_v = a->coil_a * m->coil_ohm;
    a->verdict = FEED_HARMFUL;
    if (isnan(a->coil_a)) {
      SAY(a->reason, "%s needs no feed, and A-B drives direct current straight through it.", what);
    } else {
      SAY(a->reason,
          "%s needs no feed, and A-B drives %.2f mA of direct current straight through it (%.1f mW "
          "of heat).",
          what, 1e3 * a->coil_a, 1e3 * a->coil_w);
    }
    SAY(a->caution, "Do not plug it: switch this feed off first, and wait 5 s.");
  } else {
    a->leg_v = fmax(left_v, 0.0);
    a->between_v = a->coil_a = a->coil_w = 0.0;
    a->verdict = m->sort == FEED_MIC_RIBBON ? FEED_HARMFUL : FEED_RUNS;
    SAY(a->reason,
        "%s needs no feed; with both legs at the same %.1f V no direct current flows through it "
        "while the cable is sound.",
        what, a->leg_v);
    if (m->sort == FEED_MIC_RIBBON) {
      SAY(a->caution,
          "Never a feed on a passive ribbon: one bad contact or a leg joined to 1 sends "
          "milliamps through it. Feed off, wait 5 s, cable tested, then plug.");
    } else {
      // A leg joined to contact 1 at the microphone: the other leg's current goes through the coil
      SAY(a->caution,
          "A leg joined to contact 1 in the cable would send up to %.1f mA through it: test the "
          "cable first.",
          1e3 * left_v / fmax(feed->leg_ohm + (isnan(m->coil_ohm) ? 0.0 : m->coil_ohm), 1.0));
    }
  }
}

/// The wrong way of feeding: phantom electronics on A-B, or the other way round.
static void
judge_other_way(const FeedMicrophone* m, double left_v, FeedAnswer* a)
{
  a->draw_a = NAN;
  if (m->sort == FEED_MIC_AB) {
    a->leg_v = fmax(left_v, 0.0);
    a->between_v = 0.0;
    a->verdict = FEED_RUNS_NOT;
    SAY(a->reason, "It is fed between the legs, and a phantom feed puts no volts there.");
    SAY(a->caution, "Some A-B microphones join a leg to contact 1: keep phantom off.");
  } else {
    a->verdict = FEED_HARMFUL;
    SAY(a->reason, "It is fed from both legs against contact 1, and A-B puts its volts between the "
                   "legs.");
    SAY(a->caution, "Do not plug it: A-B drives direct current into its output. Switch this feed "
                    "off first.");
  }
}

static void
judge_volts(const Feed* feed, const FeedMicrophone* m, double v, double least_v, FeedAnswer* a)
{
  const char* const where = feed->between_legs ? "between 2 and 3" : "on each leg";
  if (!isnan(m->contacts_greatest_v) && v > m->contacts_greatest_v) {
    a->verdict = FEED_HARMFUL;
    SAY(a->reason, "%.1f V arrive %s and it stands no more than %.1f V.", v, where,
        m->contacts_greatest_v);
    SAY(a->caution, "Do not plug it: switch this feed off first.");
  } else if (v <= 0.0) {
    a->verdict = FEED_RUNS_NOT;
    SAY(a->reason, "It wants %.2f mA, more than this feed can push down the line.",
        1e3 * a->draw_a);
  } else if (isnan(a->needed_v)) {
    a->verdict = FEED_UNKNOWN;
    SAY(a->reason, "%.1f V arrive %s at %.2f mA; how few it runs on is not known.", v, where,
        1e3 * a->draw_a);
  } else if (v < a->needed_v) {
    a->verdict = FEED_RUNS_NOT;
    SAY(a->reason, "Only %.1f V arrive %s at %.2f mA; it needs %.1f V.", v, where, 1e3 * a->draw_a,
        a->needed_v);
  } else if (a->left_a < -1e-9) {
    a->verdict = FEED_OUTSIDE;
    SAY(a->reason,
        "%.1f V arrive %s, enough, but %.2f mA are drawn and the standard lets a microphone draw "
        "%.0f mA: another feed of the same name need not give it.",
        v, where, 1e3 * (feed->greatest_a - a->left_a), 1e3 * feed->greatest_a);
  } else if (!isnan(m->contacts_least_v) && least_v < a->needed_v) {
    a->verdict = FEED_UNKNOWN;
    SAY(
      a->reason,
      "%.1f V arrive %s and it needs %.1f V, but a feed at the bottom of its tolerance would leave "
      "only %.1f V: measure this one.",
      v, where, a->needed_v, least_v);
  } else {
    a->verdict = FEED_RUNS;
    SAY(a->reason, "%.1f V arrive %s at %.2f mA; it needs %.1f V.", v, where, 1e3 * a->draw_a,
        a->needed_v);
  }
}

/// Electronics whose current nobody knows: what the standard's own greatest current would leave, or
/// the trade's word that a microphone runs on the feeds its paper names.
static void
judge_unknown_draw(const Feed* feed, const Feed* usual, const FeedMicrophone* m, double left_v,
                   double loop, FeedAnswer* a)
{
  const double worst_v = left_v - feed->greatest_a * loop;
  const bool by_feed = isnan(m->contacts_least_v) && !isnan(m->feed_least_v);
  a->verdict = FEED_UNKNOWN;
  if (by_feed && feed->supply_v < m->feed_least_v - 0.01) {
    a->verdict = FEED_RUNS_NOT;
    SAY(a->reason, "This feed has %.0f V and its paper names feeds from %.0f V.", feed->supply_v,
        m->feed_least_v);
  } else if (by_feed && usual && feed->leg_ohm <= usual->leg_ohm) {
    a->verdict = FEED_RUNS;
    SAY(a->reason,
        "Its paper names feeds from %.0f V and this one has %.0f V (common practice; what it draws "
        "is not known).",
        m->feed_least_v, feed->supply_v);
  } else if (!isnan(m->contacts_least_v) && worst_v >= m->contacts_least_v) {
    a->verdict = FEED_RUNS;
    a->needed_v = m->contacts_least_v;
    SAY(a->reason,
        "What it draws is not known, but at the most the standard lets it draw (%.0f mA) %.1f V "
        "still arrive; it needs %.1f V.",
        1e3 * feed->greatest_a, worst_v, m->contacts_least_v);
  } else {
    SAY(a->reason, "What it draws is not known, so neither is what arrives.");
  }
}

Status
feed_judge(const Feed variants[], int n_variants, const Feed* feed, const FeedWay* way,
           const FeedMicrophone* microphone, FeedAnswer* answer)
{
  if (!is_sound(feed, way, microphone)) {
    return STATUS_BAD_ARG;
  }
  FeedAnswer a = {.leg_v = NAN,
                  .between_v = NAN,
                  .needed_v = NAN,
                  .draw_a = NAN,
                  .left_a = NAN,
                  .power_w = NAN,
                  .coil_a = NAN,
                  .coil_w = NAN};
  const double loop = loop_ohm(feed, way, feed->leg_ohm);
  const double left_v = feed->supply_v - way->inline_drop_v - way->inline_draw_a * loop;
  const FeedMicSort sort = microphone->sort;
  available(feed, left_v, loop, &a);
  a.left_a = feed->greatest_a - way->inline_draw_a;
  if (sort == FEED_MIC_UNKNOWN) {
    SAY(a.reason, "What this microphone is made of is not known, so neither is what a feed does to "
                  "it.");
    SAY(a.caution, "Feed off until it is known: a ribbon or an unbalanced output may be harmed.");
  } else if (way->inline_blocks) {
    a.leg_v = a.between_v = a.draw_a = a.power_w = a.coil_a = a.coil_w = 0.0;
    a.available_w = a.available_a = a.left_a = 0.0;
    a.verdict = sort <= FEED_MIC_AB ? FEED_RUNS_NOT : FEED_RUNS;
    SAY(a.reason, "The device in line uses the feed and passes none on%s.",
        sort <= FEED_MIC_AB ? "" : ", and this microphone needs none");
  } else if (sort >= FEED_MIC_COIL) {
    judge_passive(feed, microphone, left_v, loop, &a);
  } else if ((sort == FEED_MIC_AB) != feed->between_legs) {
    judge_other_way(microphone, left_v, &a);
  } else if (!isnan(microphone->feed_greatest_v) &&
             feed->supply_v > microphone->feed_greatest_v + 0.01) {
    a.verdict = FEED_HARMFUL;
    SAY(a.reason, "This feed has %.0f V and its paper names feeds up to %.0f V.", feed->supply_v,
        microphone->feed_greatest_v);
    SAY(a.caution, "Do not plug it: switch this feed off first.");
  } else {
    const double v = arriving_v(feed->supply_v, loop, way, microphone, &a.draw_a);
    const double low_loop = loop_ohm(
      feed, way,
      feed->leg_ohm * (1.0 + (isnan(feed->leg_tolerance_ratio) ? 0.0 : feed->leg_tolerance_ratio)));
    double low_draw_a;
    const double least_v =
      arriving_v(feed->supply_v - (isnan(feed->tolerance_v) ? 0.0 : feed->tolerance_v), low_loop,
                 way, microphone, &low_draw_a);
    a.leg_v = feed->between_legs ? (double)NAN : v;
    a.between_v = feed->between_legs ? v : 0.0;
    a.coil_a = a.coil_w = 0.0;
    if (isnan(v)) {
      judge_unknown_draw(feed, variant_of(variants, n_variants, feed->supply_v, feed->between_legs),
                         microphone, left_v, loop, &a);
    } else {
      a.needed_v = needed_v(variants, n_variants, feed, microphone, a.draw_a);
      a.power_w = v * a.draw_a;
      a.left_a -= a.draw_a;
      judge_volts(feed, microphone, v, least_v, &a);
    }
  }
  if (isnan(a.draw_a)) {
    a.left_a = NAN; // What is left of a current nobody knows
  }
  *answer = a;
  return STATUS_OK;
}
