// SPDX-License-Identifier: GPL-3.0-or-later
#include "reason/belief.h"

#include <assert.h>
#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <string.h>

/*
  All hypotheses lie in one pool, cut into blocks: block l is line l while nothing touches it, then
  come the groups, state by state. Every block keeps the sum of its weights, every state the
  product of the sums it is made of. A reading of a line changes only the blocks that have the line;
  all states are then multiplied anew, because a sum that has become 0 cannot be divided out.
*/

/// ratio * 2^power; ratio is 0 or in [0.5, 1).
typedef struct {
  double ratio;
  int power;
} Scaled;

typedef struct {
  int first, n; ///< Place in the pool
  int state, group;
} Block;

struct Belief {
  const BeliefModel* model;
  int n_blocks;
  Block* blocks;    ///< [n_blocks]
  Scaled* weight;   ///< The pool: prior times all likelihoods
  Scaled* sum;      ///< [n_blocks]
  Scaled* old_sum;  ///< [n_blocks] while a reading is tried
  Scaled* trial;    ///< [longest flat list]
  int* first_group; ///< [n_states + 1] first block of each state
  bool* touched;    ///< [n_states x n_lines]
  int* list;        ///< Blocks of each line, end to end
  int* list_column; ///< Where the line stands in each of them
  int* list_first;  ///< [n_lines + 1]
  Scaled* state;    ///< [n_states]
  Scaled total;
};

static Scaled
scaled_of(double ratio, int power)
{
  int e = 0;
  const double r = frexp(ratio, &e);
  return (Scaled){r, r > 0.0 ? power + e : 0};
}

static Scaled
scaled_times(Scaled a, Scaled b)
{
  return scaled_of(a.ratio * b.ratio, a.power + b.power);
}

static Scaled
scaled_sum(const Scaled* terms, int n)
{
  bool any = false;
  int top = 0;
  for (int i = 0; i < n; ++i) {
    if (terms[i].ratio > 0.0 && (!any || terms[i].power > top)) {
      top = terms[i].power;
      any = true;
    }
  }
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    sum += terms[i].power == top ? terms[i].ratio : ldexp(terms[i].ratio, terms[i].power - top);
  }
  return scaled_of(sum, top);
}

/// a / b as a plain number; 0 when both are.
static double
scaled_share(Scaled a, Scaled b)
{
  return a.ratio > 0.0 ? ldexp(a.ratio / b.ratio, a.power - b.power) : 0.0;
}

static bool
sums_to_one(const double* prob, int n)
{
  double sum = 0.0;
  for (int i = 0; i < n; ++i) {
    if (!(prob[i] >= 0.0)) {
      return false;
    }
    sum += prob[i];
  }
  return fabs(sum - 1.0) <= 1e-9;
}

static bool
group_is_sound(const BeliefModel* model, const BeliefGroup* group, bool* touched)
{
  if (group->n_lines < 1 || group->n_hyps < 1 || !sums_to_one(group->prob, group->n_hyps)) {
    return false;
  }
  for (int k = 0; k < group->n_lines; ++k) {
    const int line = group->lines[k];
    if (line < 0 || line >= model->n_lines || touched[line]) {
      return false;
    }
    touched[line] = true;
    for (int h = 0; h < group->n_hyps; ++h) {
      const int local = group->local[h * group->n_lines + k];
      if (local < 0 || local >= model->n_locals[line]) {
        return false;
      }
    }
  }
  return true;
}

/// Checks everything and fills `touched` on the way.
static bool
model_is_sound(const BeliefModel* model, bool* touched)
{
  double sum = 0.0;
  for (int line = 0; line < model->n_lines; ++line) {
    if (model->n_locals[line] < 1 || !sums_to_one(model->prob[line], model->n_locals[line])) {
      return false;
    }
  }
  for (int s = 0; s < model->n_states; ++s) {
    const BeliefState* const state = &model->states[s];
    if (!(state->prob >= 0.0) || state->n_groups < 0 || (s == 0 && state->n_groups > 0)) {
      return false;
    }
    sum += state->prob;
    for (int g = 0; g < state->n_groups; ++g) {
      if (!group_is_sound(model, &state->groups[g], touched + (size_t)s * model->n_lines)) {
        return false;
      }
    }
  }
  return fabs(sum - 1.0) <= 1e-9;
}

static const BeliefGroup*
group_of(const Belief* belief, const Block* block)
{
  return &belief->model->states[block->state].groups[block->group];
}

static void
multiply_states(Belief* belief)
{
  const BeliefModel* const model = belief->model;
  for (int s = 0; s < model->n_states; ++s) {
    const bool* const touched = belief->touched + (size_t)s * model->n_lines;
    Scaled product = scaled_of(model->states[s].prob, 0);
    for (int line = 0; line < model->n_lines; ++line) {
      if (!touched[line]) {
        product = scaled_times(product, belief->sum[line]);
      }
    }
    for (int b = belief->first_group[s]; b < belief->first_group[s + 1]; ++b) {
      product = scaled_times(product, belief->sum[b]);
    }
    belief->state[s] = product;
  }
  belief->total = scaled_sum(belief->state, model->n_states);
}

void
belief_reset(Belief* belief)
{
  for (int b = 0; b < belief->n_blocks; ++b) {
    const Block* const block = &belief->blocks[b];
    const double* const prob =
      block->group < 0 ? belief->model->prob[b] : group_of(belief, block)->prob;
    for (int i = 0; i < block->n; ++i) {
      belief->weight[block->first + i] = scaled_of(prob[i], 0);
    }
    belief->sum[b] = scaled_sum(belief->weight + block->first, block->n);
  }
  multiply_states(belief);
}

/// Cut the pool into blocks; returns its length, or -1 when it does not fit an int.
static long
lay_blocks(Belief* belief)
{
  const BeliefModel* const model = belief->model;
  long first = 0;
  int b = 0;
  for (; b < model->n_lines; ++b) {
    belief->blocks[b] = (Block){(int)first, model->n_locals[b], 0, -1};
    first += model->n_locals[b];
    if (first > INT32_MAX / 2) {
      return -1;
    }
  }
  for (int s = 0; s < model->n_states; ++s) {
    belief->first_group[s] = b;
    for (int g = 0; g < model->states[s].n_groups; ++g) {
      const int n = model->states[s].groups[g].n_hyps;
      belief->blocks[b++] = (Block){(int)first, n, s, g};
      first += n;
      if (first > INT32_MAX / 2) {
        return -1;
      }
    }
  }
  belief->first_group[model->n_states] = b;
  return first;
}

/// Write down for every line the blocks that have it; returns the longest flat list.
static int
lay_lists(Belief* belief)
{
  const BeliefModel* const model = belief->model;
  int n = 0;
  int longest = 0;
  for (int line = 0; line < model->n_lines; ++line) {
    belief->list_first[line] = n;
    int n_hyps = belief->blocks[line].n;
    belief->list[n++] = line;
    for (int s = 1; s < model->n_states; ++s) {
      if (!belief->touched[(size_t)s * model->n_lines + line]) {
        continue;
      }
      for (int b = belief->first_group[s]; b < belief->first_group[s + 1]; ++b) {
        const BeliefGroup* const group = group_of(belief, &belief->blocks[b]);
        for (int k = 0; k < group->n_lines; ++k) {
          if (group->lines[k] == line) {
            belief->list[n] = b;
            belief->list_column[n++] = k;
            n_hyps += group->n_hyps;
          }
        }
      }
    }
    longest = n_hyps > longest ? n_hyps : longest;
  }
  belief->list_first[model->n_lines] = n;
  return longest;
}

Status
belief_init(Arena* arena, const BeliefModel* model, Belief** belief)
{
  if (model->n_lines < 0 || model->n_states < 1) {
    return STATUS_BAD_ARG;
  }
  const size_t n_lines = (size_t)model->n_lines;
  const size_t n_states = (size_t)model->n_states;
  Belief* const b = arena_array(arena, 1, sizeof(Belief));
  bool* const touched = arena_array(arena, n_states * n_lines, sizeof(bool));
  if (!b || !touched) {
    return STATUS_NO_MEMORY;
  }
  if (!model_is_sound(model, touched)) {
    return STATUS_BAD_ARG;
  }
  size_t n_blocks = n_lines;
  size_t n_list = n_lines;
  for (int s = 0; s < model->n_states; ++s) {
    for (int g = 0; g < model->states[s].n_groups; ++g) {
      ++n_blocks;
      n_list += (size_t)model->states[s].groups[g].n_lines;
    }
  }
  *b = (Belief){
    .model = model,
    .n_blocks = (int)n_blocks,
    .blocks = arena_array(arena, n_blocks, sizeof(Block)),
    .sum = arena_array(arena, n_blocks, sizeof(Scaled)),
    .old_sum = arena_array(arena, n_blocks, sizeof(Scaled)),
    .first_group = arena_array(arena, n_states + 1, sizeof(int)),
    .touched = touched,
    .list = arena_array(arena, n_list, sizeof(int)),
    .list_column = arena_array(arena, n_list, sizeof(int)),
    .list_first = arena_array(arena, n_lines + 1, sizeof(int)),
    .state = arena_array(arena, n_states, sizeof(Scaled)),
  };
  if (!b->blocks || !b->sum || !b->old_sum || !b->first_group || !b->list || !b->list_column ||
      !b->list_first || !b->state) {
    return STATUS_NO_MEMORY;
  }
  const long n_pool = lay_blocks(b);
  if (n_pool < 0) {
    return STATUS_LIMIT;
  }
  b->weight = arena_array(arena, (size_t)n_pool, sizeof(Scaled));
  b->trial = arena_array(arena, (size_t)lay_lists(b), sizeof(Scaled));
  if (!b->weight || !b->trial) {
    return STATUS_NO_MEMORY;
  }
  belief_reset(b);
  *belief = b;
  return STATUS_OK;
}

int
belief_n_hyps(const Belief* belief, int line)
{
  assert(line >= 0 && line < belief->model->n_lines);
  int n = 0;
  for (int k = belief->list_first[line]; k < belief->list_first[line + 1]; ++k) {
    n += belief->blocks[belief->list[k]].n;
  }
  return n;
}

static int
local_in(const Belief* belief, int k, int i)
{
  const Block* const block = &belief->blocks[belief->list[k]];
  if (block->group < 0) {
    return i;
  }
  const BeliefGroup* const group = group_of(belief, block);
  return group->local[i * group->n_lines + belief->list_column[k]];
}

BeliefHyp
belief_hyp(const Belief* belief, int line, int index)
{
  assert(line >= 0 && line < belief->model->n_lines && index >= 0);
  int i = index;
  int k = belief->list_first[line];
  while (i >= belief->blocks[belief->list[k]].n) {
    i -= belief->blocks[belief->list[k]].n;
    ++k;
    assert(k < belief->list_first[line + 1]);
  }
  const Block* const block = &belief->blocks[belief->list[k]];
  return (BeliefHyp){block->state, block->group, i, local_in(belief, k, i)};
}

// The line's blocks with the reading in them: sums now, weights in `trial` until they are kept.
static Status
try_reading(Belief* belief, int line, const double* like)
{
  const int n_hyps = belief_n_hyps(belief, line);
  for (int i = 0; i < n_hyps; ++i) {
    if (!(like[i] >= 0.0) || !isfinite(like[i])) {
      return STATUS_BAD_ARG;
    }
  }
  Scaled* trial = belief->trial;
  for (int k = belief->list_first[line]; k < belief->list_first[line + 1]; ++k) {
    const Block* const block = &belief->blocks[belief->list[k]];
    for (int i = 0; i < block->n; ++i, ++like) {
      trial[i] = scaled_times(belief->weight[block->first + i], scaled_of(*like, 0));
    }
    belief->sum[belief->list[k]] = scaled_sum(trial, block->n);
    trial += block->n;
  }
  return STATUS_OK;
}

static void
keep_reading(Belief* belief, int line)
{
  const Scaled* trial = belief->trial;
  for (int k = belief->list_first[line]; k < belief->list_first[line + 1]; ++k) {
    const Block* const block = &belief->blocks[belief->list[k]];
    memcpy(belief->weight + block->first, trial, (size_t)block->n * sizeof(Scaled));
    trial += block->n;
  }
}

Status
belief_update(Belief* belief, int line, const double* like)
{
  Status st = STATUS_OK;
  const size_t n_sums = (size_t)belief->n_blocks * sizeof(Scaled);
  memcpy(belief->old_sum, belief->sum, n_sums);
  TRY(st, try_reading(belief, line, like));
  multiply_states(belief);
  if (!(belief->total.ratio > 0.0)) {
    memcpy(belief->sum, belief->old_sum, n_sums);
    multiply_states(belief);
    return STATUS_NO_SOLUTION;
  }
  keep_reading(belief, line);
  return STATUS_OK;
}

Status
belief_update_later(Belief* belief, int line, const double* like)
{
  Status st = STATUS_OK;
  TRY(st, try_reading(belief, line, like));
  keep_reading(belief, line);
  return STATUS_OK;
}

Status
belief_settle(Belief* belief)
{
  multiply_states(belief);
  return belief->total.ratio > 0.0 ? STATUS_OK : STATUS_NO_SOLUTION;
}

void
belief_states(const Belief* belief, double* prob)
{
  for (int s = 0; s < belief->model->n_states; ++s) {
    prob[s] = scaled_share(belief->state[s], belief->total);
  }
}

/// Probability that block number k of a line's list is the one in force.
static double
block_prob(const Belief* belief, int line, int k)
{
  const Block* const block = &belief->blocks[belief->list[k]];
  if (block->group >= 0) {
    return scaled_share(belief->state[block->state], belief->total);
  }
  double sum = 0.0;
  for (int s = 0; s < belief->model->n_states; ++s) {
    if (!belief->touched[(size_t)s * belief->model->n_lines + line]) {
      sum += scaled_share(belief->state[s], belief->total);
    }
  }
  return sum;
}

void
belief_hyps(const Belief* belief, int line, double* prob)
{
  assert(line >= 0 && line < belief->model->n_lines);
  for (int k = belief->list_first[line]; k < belief->list_first[line + 1]; ++k) {
    const Block* const block = &belief->blocks[belief->list[k]];
    const double in_force = block_prob(belief, line, k);
    for (int i = 0; i < block->n; ++i) {
      *prob++ =
        in_force * scaled_share(belief->weight[block->first + i], belief->sum[belief->list[k]]);
    }
  }
}

void
belief_locals(const Belief* belief, int line, double* prob)
{
  assert(line >= 0 && line < belief->model->n_lines);
  memset(prob, 0, (size_t)belief->model->n_locals[line] * sizeof(double));
  for (int k = belief->list_first[line]; k < belief->list_first[line + 1]; ++k) {
    const Block* const block = &belief->blocks[belief->list[k]];
    const double in_force = block_prob(belief, line, k);
    for (int i = 0; i < block->n; ++i) {
      prob[local_in(belief, k, i)] +=
        in_force * scaled_share(belief->weight[block->first + i], belief->sum[belief->list[k]]);
    }
  }
}

double
belief_evidence_log(const Belief* belief)
{
  return log(belief->total.ratio) + belief->total.power * log(2.0);
}

void
belief_keep_other(double* prob, int n, int other, double floor_prob)
{
  assert(other >= 0 && other < n && floor_prob >= 0.0 && floor_prob <= 1.0);
  if (prob[other] >= floor_prob) {
    return;
  }
  double rest = 0.0;
  for (int i = 0; i < n; ++i) {
    rest += i == other ? 0.0 : prob[i];
  }
  for (int i = 0; i < n; ++i) {
    prob[i] = i == other ? (rest > 0.0 ? floor_prob : 1.0)
                         : prob[i] * (rest > 0.0 ? (1.0 - floor_prob) / rest : 0.0);
  }
}
