// SPDX-License-Identifier: GPL-3.0-or-later
#include "speaker/twin.h"

#include <assert.h>
#include <math.h>

// Copper reads (234.5 + t) / 254.5 of its 20 C figure (IEC 60228 annex, from memory).
#define COPPER_ZERO_C 234.5
#define COPPER_REF_C 254.5
#define LEAST_C (-20.0)
#define MOST_C 80.0

enum { HANG_NEEDS = 3 }; // Readings from which a hang's temperature is inferred

double
twin_median(double values[], int n)
{
  assert(n > 0);
  for (int i = 1; i < n; ++i) { // Few; insertion keeps it plain
    const double v = values[i];
    int k = i;
    for (; k > 0 && values[k - 1] > v; --k) {
      values[k] = values[k - 1];
    }
    values[k] = v;
  }
  return n % 2 ? values[n / 2] : 0.5 * (values[n / 2 - 1] + values[n / 2]);
}

static double
scale_of_c(double celsius)
{
  return log((COPPER_ZERO_C + celsius) / COPPER_REF_C);
}

static double
c_of_scale(double scale)
{
  return COPPER_REF_C * exp(scale) - COPPER_ZERO_C;
}

static double
held(double scale)
{
  return fmin(fmax(scale, scale_of_c(LEAST_C)), scale_of_c(MOST_C));
}

static bool
is_read(const TwinReading* r)
{
  return r->ohm > 0.0 && !isinf(r->ohm) && r->expect_ohm > 0.0;
}

static double
against_list(const TwinReading* r)
{
  return log(r->ohm / r->expect_ohm);
}

// Median of what is read against the list, over one hang (or over all, `hang` -1).
static bool
hang_scale(const TwinReading readings[], int n, int hang, double* scale)
{
  double y[TWIN_MAX];
  int m = 0;
  for (int i = 0; i < n; ++i) {
    if (is_read(&readings[i]) && (hang < 0 || readings[i].hang == hang)) {
      y[m++] = against_list(&readings[i]);
    }
  }
  if (m < HANG_NEEDS) {
    return false;
  }
  *scale = held(twin_median(y, m));
  return true;
}

static bool
scale_of(const TwinReading readings[], int n, int at, double* scale, bool* is_given)
{
  *is_given = !isnan(readings[at].celsius);
  if (*is_given) {
    *scale = scale_of_c(readings[at].celsius);
    return true;
  }
  return hang_scale(readings, n, readings[at].hang, scale) || hang_scale(readings, n, -1, scale);
}

// What all circuits changed by since their last readings: the day grew warmer.
static double
common_change(const TwinReading readings[], int n)
{
  double c[TWIN_MAX];
  int m = 0;
  for (int i = 0; i < n; ++i) {
    if (is_read(&readings[i]) && readings[i].last_ohm > 0.0) {
      c[m++] = log(readings[i].ohm / readings[i].last_ohm);
    }
  }
  return m < HANG_NEEDS ? 0.0 : held(twin_median(c, m));
}

// Against all others of its like.
static void
judge_like(const TwinReading readings[], const double d[], const bool scaled[], int n, int at,
           double scale, TwinVerdict* v)
{
  double like[TWIN_MAX];
  int m = 0;
  int other = -1;
  for (int i = 0; i < n; ++i) {
    if (i != at && readings[i].like == readings[at].like && is_read(&readings[i]) && scaled[i]) {
      like[m++] = d[i];
      other = i;
    }
  }
  v->n_like = m;
  if (m == 0) {
    return;
  }
  const double middle = twin_median(like, m);
  const double off = d[at] - middle;
  v->off_ratio = exp(off) - 1.0;
  v->should_ohm = readings[at].expect_ohm * exp(scale + middle);
  if (m >= 3) {
    for (int i = 0; i < m; ++i) {
      like[i] = fabs(like[i] - middle);
    }
    v->spread_ratio = exp(twin_median(like, m)) - 1.0;
  }
  const bool blames_other = m == 1 && fabs(d[other]) > fabs(d[at]);
  v->is_off = fabs(v->off_ratio) > TWIN_OFF_RATIO && !blames_other;
}

void
twin_judge(const TwinReading readings[], int n, TwinVerdict verdicts[])
{
  double d[TWIN_MAX] = {0};
  double scale[TWIN_MAX] = {0};
  bool scaled[TWIN_MAX] = {false};
  assert(n <= TWIN_MAX);
  const double change = common_change(readings, n);
  for (int i = 0; i < n; ++i) {
    TwinVerdict* const v = &verdicts[i];
    *v = (TwinVerdict){.celsius = NAN, .should_ohm = NAN, .own_ratio = NAN};
    v->is_read = is_read(&readings[i]);
    v->has_scale = scale_of(readings, n, i, &scale[i], &v->scale_is_given);
    v->celsius = v->has_scale ? c_of_scale(scale[i]) : (double)NAN;
    if (v->is_read) {
      d[i] = against_list(&readings[i]) - (v->has_scale ? scale[i] : 0.0);
      scaled[i] = true;
    }
  }
  for (int i = 0; i < n; ++i) {
    TwinVerdict* const v = &verdicts[i];
    if (!v->is_read) {
      continue;
    }
    judge_like(readings, d, scaled, n, i, v->has_scale ? scale[i] : 0.0, v);
    if (readings[i].last_ohm > 0.0) {
      v->own_ratio = exp(log(readings[i].ohm / readings[i].last_ohm) - change) - 1.0;
      v->off_by_own = fabs(v->own_ratio) > TWIN_OFF_RATIO;
      v->is_off = v->is_off || v->off_by_own;
    }
  }
}
