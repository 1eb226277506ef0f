// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as a list of a show. The first byte chooses the list's name (which is a hint, not more),
  the second whether boxes and lines are listed beside it. What must hold: a plant that was built
  points only at things it has; one that was not leaves the plant alone, and the sentence that says
  why is UTF-8 and not empty.
*/

#include "base/text.h"
#include "fault/card.h"
#include "stage/lists.h"

#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void
must(int holds)
{
  if (!holds) {
    abort();
  }
}

static void
check_text(const char* text)
{
  must(text && text_is_utf8(text, strlen(text)));
}

static void
check_plant(const Plant* plant)
{
  must(plant->n_lines > 0 && plant->n_desks > 0 && plant->n_kinds > 0);
  for (int i = 0; i < plant->n_boxes; ++i) {
    const Box* const box = &plant->boxes[i];
    must(box->place >= 0 && box->place < plant->n_places && box->n_sockets > 0);
    must(!box->is_digital || (box->owner >= 0 && box->owner < plant->n_desks &&
                              box->tail_m == 0.0 && box->n_leads >= 1 && box->n_leads <= 2));
    check_text(box->name);
    check_text(box->clock);
    check_text(box->power);
  }
  for (int i = 0; i < plant->n_lines; ++i) {
    const Line* const line = &plant->lines[i];
    must(line->box >= 0 && line->box < plant->n_boxes);
    must(line->socket > 0 && line->socket <= plant->boxes[line->box].n_sockets);
    must(i == 0 || plant->lines[i - 1].number < line->number);
    must(!plant->boxes[line->box].is_digital || (line->pair == 0 && line->split_channel == 0));
  }
  for (int i = 0; i < plant->n_drives; ++i) {
    const DriveLine* const drive = &plant->drives[i];
    int found = -1;
    char name[32];
    (void)snprintf(name, sizeof(name), "drive %d", drive->number);
    must(plant_drive(plant, name, &found) && found == i);
    must(drive->cable_m >= 0.0 && drive->output_ohm > 0.0 && drive->amp_ohm > 0.0);
    check_text(drive->zone_name);
    check_text(drive->desk_output);
  }
  for (int i = 0; i < plant->n_outputs; ++i) {
    const OutputCircuit* const c = &plant->outputs[i];
    must(plant_output(plant, c->name) >= 0 && c->n_boxes >= 1 && c->n_boxes <= OUTPUT_MAX_BOXES);
    must(c->n_drivers >= 0 && c->n_drivers <= OUTPUT_MAX_DRIVERS && c->n_poles % 2 == 0);
    must(c->place >= -1 && c->place < plant->n_places && c->load_ohm >= 0.0);
    check_text(c->name);
    check_text(c->amp);
  }
  for (int i = 0; i < plant->n_inputs; ++i) {
    const Input* const input = &plant->inputs[i];
    must(input->act >= 0 && input->act < plant->n_acts);
    must(i == 0 || plant->inputs[i - 1].act <= input->act);
    must(input->kind >= 0 && input->kind < plant->n_kinds);
    must(input->line >= -1 && input->line < plant->n_lines);
    must(input->line < 0 || plant_input(plant, input->act, input->line) == input);
    check_text(input->source);
    must(input->n_through >= 0 && input->n_through <= INPUT_MAX_THROUGH);
    for (int k = 0; k < input->n_through; ++k) {
      must(input->through[k] >= 0 && input->through[k] < plant->n_inlines);
    }
    must(input->y_kind >= 0 && input->y_kind <= plant->n_kinds);
    must(input->y_line == 0 || plant_line(plant, input->y_line) >= 0);
  }
  for (int i = 0; i < plant->n_desk_rows; ++i) {
    const DeskRow* const row = &plant->desk_rows[i];
    must(row->act >= -1 && row->act < plant->n_acts);
    must(row->desk >= 0 && row->desk < plant->n_desks);
    must(row->line == 0 || plant_line(plant, row->line) >= 0);
  }
  for (int i = 0; i < plant->n_people; ++i) {
    must(plant->people[i].place >= 0 && plant->people[i].place < plant->n_places);
  }
  for (int i = 0; i < plant->n_kit; ++i) {
    must(plant->kit[i].place >= 0 && plant->kit[i].place < plant->n_places);
  }
  for (int i = 0; i < plant->n_places * plant->n_places; ++i) {
    must(plant->walk_s[i] >= 0.0);
  }
  for (int i = 0; i < plant->n_assumed; ++i) {
    check_text(plant->assumed[i]);
  }
  for (int i = 0; i < plant->n_left_aside; ++i) {
    check_text(plant->left_aside[i]);
  }
}

// Whatever tester a list describes has its cards, every lamp with a current.
static void
check_testers(Arena* arena, const Plant* plant)
{
  must(plant->n_testers > 0 && plant->n_meters > 0);
  for (int i = 0; i < plant->n_meters; ++i) {
    must(plant->meters[i].emf_v > 0.0 && plant->meters[i].ohm > 0.0);
  }
  for (int i = 0; i < plant->n_testers; ++i) {
    const Tester* const tester = &plant->testers[i];
    check_text(tester->name);
    for (int s = 0; s < CARD_SITUATIONS && tester->is_own; ++s) {
      Card card;
      if (card_fits(tester, (CardSituation)s)) {
        must(card_build(arena, tester, (CardSituation)s, &card) == STATUS_OK);
        for (int r = 0; r < card.n_rows; ++r) {
          for (int k = 0; k < card.n_lamps; ++k) {
            must(card.rows[r].lamp_a[k] > -1e3 && card.rows[r].lamp_a[k] < 1e3);
          }
        }
      }
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes);

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  static const char* const names[] = {
    "inputs-act1.csv", "boxes.csv", "lines.csv",    "kinds.csv",  "cables.csv", "desk-patch.csv",
    "crew.csv",        "day.csv",   "split.csv",    "places.csv", "times.csv",  "odds.csv",
    "misread.csv",     "kit.csv",   "versions.csv", "list.csv"};
  static const char* const later[] = {"testers.csv", "meters.csv", "inline.csv", "drive.csv"};
  static const char boxes[] = "box,sockets\nA,4\nB,4\n";
  static const char lines[] = "line,box,socket,foh,mon\n1,A,1,1,1\n2,A,2,2,2\n5,B,1,3,3\n";
  if (n_bytes < 2) {
    return 0;
  }
  // The names that came later have the last sixteen values, so that old seeds keep theirs
  const char* const name = bytes[0] >= 0xF0 ? later[(bytes[0] - 0xF0) % 4] : names[bytes[0] % 16];
  const ListText lists[] = {{name, (const char*)bytes + 2, n_bytes - 2},
                            {"stage.csv", boxes, sizeof(boxes) - 1},
                            {"copper.csv", lines, sizeof(lines) - 1}};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant = {.n_lines = -1};
  Error error = {0};
  const Status status = lists_build(&arena, lists, bytes[1] % 2 ? 3 : 1, 0, &plant, &error);
  if (status == STATUS_OK) {
    check_plant(&plant);
    check_testers(&arena, &plant);
  } else {
    must(plant.n_lines == -1 && error.status == status && error.text[0]);
    check_text(error.text);
  }
  arena_deinit(&arena);
  return 0;
}
