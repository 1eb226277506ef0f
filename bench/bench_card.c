// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Cards and the search of better testers: cases a second of a card of three and of eight contacts
  (each case one fault with its lamps), and the seconds and margins of the searches that `card
  --design` makes for the project's own testers.
*/

#include "fault/design.h"
#include "measure.h"

#include <stdio.h>

static int
time_card(const Plant* plant, const char* name)
{
  const Tester* const tester = plant_tester(plant, name);
  long n_cases = 0;
  int n_cards = 0;
  double checksum = 0.0;
  const double start_s = measure_s();
  double spent_s = 0.0;
  while (tester && spent_s < 0.5) {
    Arena arena;
    Card card;
    arena_init(&arena, NULL);
    if (card_build(&arena, tester, CARD_SENDER, &card) != STATUS_OK) {
      arena_deinit(&arena);
      return 1;
    }
    n_cases += card.n_rows;
    ++n_cards;
    checksum = card.rows[card.n_rows - 1].lamp_a[0];
    arena_deinit(&arena);
    spent_s = measure_s() - start_s;
  }
  if (!n_cards) {
    return 1;
  }
  printf("figure: card_%s_cases_per_second %.4g 1/s\n", name, (double)n_cases / spent_s);
  printf("figure: card_%s_milliseconds %.4g ms\n", name, 1e3 * spent_s / n_cards);
  printf("%s: last lamp %.12g A\n", name, checksum);
  return 0;
}

static int
time_search(const Plant* plant, const char* name, bool phantom, bool sender)
{
  Arena arena;
  Design design;
  const DesignTask task = {
    .like = plant_tester(plant, name), .phantom = phantom, .sender = sender, .most_a = 30e-3};
  const char* const supply = phantom && sender ? "both" : phantom ? "phantom" : "sender";
  arena_init(&arena, NULL);
  const double start_s = measure_s();
  const Status st = task.like ? design_search(&arena, &task, &design) : STATUS_NOT_FOUND;
  const double spent_s = measure_s() - start_s;
  if (st == STATUS_OK) {
    printf("figure: design_%s_%s_seconds %.3g s\n", name, supply, spent_s);
    printf("figure: design_%s_%s_margin %.4g 1\n", name, supply, design.margin);
    printf("%s, %s: %ld settings, %d pairs still alike, %d never told\n", name, supply,
           design.n_tried, design.n_untold, design.n_never);
  }
  arena_deinit(&arena);
  return st != STATUS_OK;
}

int
main(void)
{
  Arena arena;
  Plant plant;
  Error error = {0};
  arena_init(&arena, NULL);
  if (lists_build(&arena, NULL, 0, 1, &plant, &error) != STATUS_OK) {
    (void)fprintf(stderr, "%s\n", error.text);
    return 1;
  }
  int wrong =
    time_card(&plant, "usual") + time_card(&plant, "four-pole") + time_card(&plant, "eight-pole");
  wrong += time_search(&plant, "usual", true, false) + time_search(&plant, "usual", false, true) +
           time_search(&plant, "usual", true, true) +
           time_search(&plant, "four-pole", false, true) +
           time_search(&plant, "eight-pole", false, true);
  arena_deinit(&arena);
  return wrong != 0;
}
