// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/rng.h"
#include "base/text.h"
#include "stage/lists.h"
#include "support/check.h"
#include "support/folder.h"

#include <string.h>

#ifndef DEMO_DIR
#define DEMO_DIR "demo"
#endif

#define TEXT(name, bytes)                                                                          \
  {                                                                                                \
    name, bytes, sizeof(bytes) - 1                                                                 \
  }

static void
build_or_fail(Arena* arena, const char* name, const ListText* lists, int n, int n_bare,
              Plant* plant)
{
  Error error = {0};
  if (lists_build(arena, lists, n, n_bare, plant, &error) != STATUS_OK) {
    fail_msg("%s: %s:%d:%d: %s", name, error.file, error.line, error.column, error.text);
  }
}

static void
build_demo(Arena* arena, Plant* plant)
{
  ListText lists[FOLDER_MAX_LISTS];
  const int n = folder_read(arena, DEMO_DIR, lists);
  build_or_fail(arena, "demo", lists, n, 0, plant);
}

static bool
says(const char* const* sentences, int n, const char* part)
{
  for (int i = 0; i < n; ++i) {
    if (strstr(sentences[i], part)) {
      return true;
    }
  }
  return false;
}

// Everything a plant says, as text: two plants are the same when their texts are.
static const char*
written_out(Arena* arena, const Plant* p)
{
  TextOut out = {.arena = arena};
  for (int i = 0; i < p->n_kinds; ++i) {
    const Kind* const k = &p->kinds[i];
    text_add(&out, "kind %s|%s|%s|%d %g %g %g %g %g %g %d %d %d %d%d%d%d%d%d\n", k->name,
             k->meaning, k->caution, (int)k->drive, k->source_ohm, k->r23_low_ohm, k->r23_high_ohm,
             k->supply_ohm, k->draw_a, k->level_dbu, (int)k->needs_phantom,
             (int)k->phantom_harmless, (int)k->runs_on_one_leg, k->has_battery, k->has_switch,
             k->is_radio, k->is_microphone, k->is_ribbon, k->is_assumed);
  }
  for (int i = 0; i < p->n_boxes; ++i) {
    const Box* const b = &p->boxes[i];
    text_add(&out, "box %s|%s|%s|%d %d %g|%s|%d|%d %d %d|%s|%s\n", b->name, b->meaning,
             p->places[b->place], b->n_sockets, b->first_line, b->tail_m, b->tail_tag,
             b->is_assumed, b->is_digital, b->owner, b->n_leads, b->clock, b->power);
  }
  for (int i = 0; i < p->n_lines; ++i) {
    const Line* const l = &p->lines[i];
    text_add(&out, "line %d %s%d %d %d %d %d %d %d\n", l->number, p->boxes[l->box].name, l->socket,
             l->pair, l->split_channel, l->desk_input[0], l->desk_input[1], l->desk_input[2],
             l->is_spare);
  }
  for (int i = 0; i < p->n_desks; ++i) {
    text_add(&out, "desk %s %s %s %d\n", p->desks[i].name, p->desks[i].say,
             p->places[p->desks[i].place], p->desks[i].is_direct);
  }
  for (int i = 0; i < p->n_acts; ++i) {
    text_add(&out, "act %s|%s|%s|%s\n", p->acts[i].name, p->acts[i].start, p->acts[i].end,
             p->acts[i].date);
  }
  for (int i = 0; i < p->n_inputs; ++i) {
    const Input* const in = &p->inputs[i];
    text_add(&out, "input %d %d|%s|%s|%d|%s|%s|%s|%d|%s\n", in->act, in->channel, in->source,
             p->kinds[in->kind].name, (int)in->wants_phantom, in->stand, in->position, in->note,
             in->line, in->cable);
  }
  for (int i = 0; i < p->n_desk_rows; ++i) {
    const DeskRow* const r = &p->desk_rows[i];
    text_add(&out, "row %d %d %d %d|%s|%d %g %g %d\n", r->act, r->desk, r->channel, r->line,
             r->name, (int)r->gives_phantom, r->pad_db, r->gain_db, (int)r->is_muted);
  }
  for (int i = 0; i < p->n_items; ++i) {
    const Item* const it = &p->items[i];
    text_add(&out, "item %s|%s|%g|%s|%s|%d|%s|%s\n", it->tag, it->kind, it->length_m, it->poles,
             it->last_test, it->n_matings, it->state, it->history);
  }
  for (int i = 0; i < p->n_people; ++i) {
    text_add(&out, "person %s|%s|%s|%d\n", p->people[i].role, p->people[i].where,
             p->places[p->people[i].place], p->people[i].count);
  }
  for (int i = 0; i < p->n_places; ++i) {
    for (int k = 0; k < p->n_places; ++k) {
      text_add(&out, "walk %s %s %g\n", p->places[i], p->places[k], plant_walk_s(p, i, k));
    }
  }
  for (int i = 0; i < p->n_times; ++i) {
    text_add(&out, "time %s %g %g %g %s\n", p->times[i].step, p->times[i].quick_s,
             p->times[i].usual_s, p->times[i].slow_s, p->times[i].source);
  }
  for (int i = 0; i < p->n_odds; ++i) {
    text_add(&out, "odds %s|%s|%g|%s\n", p->odds[i].where, p->odds[i].fault, p->odds[i].share,
             p->odds[i].source);
  }
  for (int i = 0; i < p->n_misreads; ++i) {
    text_add(&out, "misread %s %g\n", p->misreads[i].check, p->misreads[i].prob);
  }
  for (int i = 0; i < p->n_needed; ++i) {
    text_add(&out, "needed %s|%s|%d %d %d|%s\n", p->needed[i].plays, p->needed[i].beside,
             p->needed[i].needed, p->needed[i].is_voice, p->needed[i].shares, p->needed[i].source);
  }
  for (int i = 0; i < p->n_testers; ++i) {
    const Tester* const t = &p->testers[i];
    text_add(&out, "tester %s|%s|%s|%d|%s|%d\n", t->name, t->connector, t->note, t->n_contacts,
             t->figures, t->is_own);
    for (int k = 0; k < t->n_parts; ++k) {
      const TesterPart* const part = &t->parts[k];
      text_add(&out, "part %d %d %d %g %g %g %g\n", (int)part->sort, part->from, part->to,
               part->ohm, part->volts, part->green_v, part->red_v);
    }
  }
  for (int i = 0; i < p->n_meters; ++i) {
    text_add(&out, "meter %s %g %g|%s|%s\n", p->meters[i].name, p->meters[i].emf_v,
             p->meters[i].ohm, p->meters[i].note, p->meters[i].figures);
  }
  for (int i = 0; i < p->n_kit; ++i) {
    text_add(&out, "kit %s %d %s\n", p->kit[i].name, p->kit[i].count, p->places[p->kit[i].place]);
  }
  for (int i = 0; i < p->n_versions; ++i) {
    text_add(&out, "version %s %s %s %s %s %s\n", p->versions[i].act, p->versions[i].version,
             p->versions[i].has[0], p->versions[i].has[1], p->versions[i].has[2],
             p->versions[i].has[3]);
  }
  text_add(&out, "split %s %g %g %g %d %d %d, %g m\n", p->split.name, p->split.primary_ohm,
           p->split.secondary_ohm, p->split.primary_h, p->split.is_blocked, p->split.is_lifted,
           p->split.is_assumed, p->multicore_m);
  const char* const text = text_done(&out);
  assert_non_null(text);
  return text;
}

// Says the first line that differs instead of two pages.
static void
assert_same_plant(const char* name, const char* got, const char* want)
{
  size_t at = 0;
  size_t line = 0;
  for (; got[at] && got[at] == want[at]; ++at) {
    line = got[at] == '\n' ? at + 1 : line;
  }
  if (got[at] != want[at]) {
    fail_msg("%s:\n got %.*s\nwant %.*s", name, (int)strcspn(got + line, "\n"), got + line,
             (int)strcspn(want + line, "\n"), want + line);
  }
}

// ---- The reference event ----

static void
the_demo_is_a_whole_plant(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  build_demo(&arena, &plant);
  static const int n_inputs[] = {16, 28, 20, 40};
  static const char* const starts[] = {"14:30", "15:35", "16:50", "18:15"};
  assert_int_equal(plant.n_lines, 48);
  assert_int_equal(plant.n_boxes, 4);
  assert_int_equal(plant.n_desks, 3);
  assert_int_equal(plant.n_acts, 4);
  assert_int_equal(plant.n_kinds, 20);
  assert_int_equal(plant.n_items, 194);
  assert_int_equal(plant.n_people, 7);
  assert_int_equal(plant.n_desk_rows, 48 + 3 * (16 + 28 + 20 + 40) - 2);
  assert_int_equal(plant.n_assumed, 0); // Everything is listed
  assert_int_equal(plant.n_outputs, 38 + 9);
  assert_false(says(plant.left_aside, plant.n_left_aside, "outputs.csv"));
  assert_false(says(plant.left_aside, plant.n_left_aside, "monitors.csv"));
  assert_false(says(plant.left_aside, plant.n_left_aside, "drive.csv"));
  assert_true(says(plant.left_aside, plant.n_left_aside, "colour_tens, colour_units"));
  for (int act = 0; act < 4; ++act) {
    int n = 0;
    for (int i = 0; i < plant.n_inputs; ++i) {
      const Input* const input = &plant.inputs[i];
      if (input->act != act) {
        continue;
      }
      ++n;
      assert_in_range(input->line, 0, plant.n_lines - 1);
      const Line* const line = &plant.lines[input->line];
      assert_int_equal(line->number, plant.boxes[line->box].first_line + line->socket - 1);
      assert_ptr_equal(plant_input(&plant, act, input->line), input);
      assert_int_equal(input->channel, n);
      assert_false(plant.kinds[input->kind].is_assumed);
      for (int desk = 0; desk < 3; ++desk) {
        const DeskRow* const row = plant_desk_row(&plant, act, desk, input->line);
        const bool forgotten = act == 3 && desk == 2 && n > 38; // Broadcast is on an older list
        assert_int_equal(!row, forgotten);
      }
    }
    assert_int_equal(n, n_inputs[act]);
    assert_string_equal(plant.acts[act].start, starts[act]);
    assert_string_equal(plant.acts[act].date, "");
  }
  assert_string_equal(plant.boxes[2].tail_tag, "X04"); // The only 12-way tail of 10 m
  CHECK_NEAR("multicore", plant.multicore_m, 75.0, 0.0);
  CHECK_NEAR("tail of B", plant.boxes[1].tail_m, 20.0, 0.0);
  assert_false(plant.split.is_blocked);
  assert_true(plant.split.is_lifted);
  assert_true(plant.desks[0].is_direct && !plant.desks[1].is_direct);
  arena_deinit(&arena);
}

// ---- Bad input ----

#define BOXES "box,sockets,first_line,joins_at\n"
#define TESTERS "tester,part,from,to,ohm,volts,green_v,red_v\n"
#define INPUTS "channel,source,pickup,phantom,box,socket\n"

static const struct {
  const char* name;
  const char* file;
  const char* bytes;
  Status want;
  int line, column;
  const char* part; ///< Of the sentence
} bad[] = {
  {"empty", "inputs.csv", "", STATUS_BAD_INPUT, 1, 1, "empty"},
  {"blank lines only", "inputs.csv", "\n\n , ,\n", STATUS_BAD_INPUT, 1, 1, "empty"},
  {"no source column", "inputs-act1.csv", "channel,pickup\n1,ribbon\n", STATUS_BAD_INPUT, 1, 1,
   "no column \"source\""},
  {"no sockets column", "boxes.csv", "box,name\nA,riser\n", STATUS_BAD_INPUT, 1, 1,
   "no column \"sockets\""},
  {"bars between cells", "inputs.csv", "channel|source|pickup\n1|kick|ribbon\n", STATUS_BAD_INPUT,
   1, 1, "set apart by \"|\""},
  {"two delimiters", "inputs.csv", "channel,source,pickup\n1;kick;ribbon\n", STATUS_BAD_INPUT, 2, 1,
   "one delimiter"},
  {"nothing known", "shopping.csv", "milk,eggs\n1,2\n", STATUS_BAD_INPUT, 1, 1,
   "channel and source"},
  {"open quote", "inputs.csv", INPUTS "1,\"kick\n", STATUS_BAD_INPUT, 2, 3, "never closed"},
  {"same socket", "inputs.csv", INPUTS "1,kick,dyn-kick,no,A,1\n2,snare,dyn-inst,no,A,1\n",
   STATUS_BAD_INPUT, 3, 6, "already taken by \"kick\" (line 2 of inputs.csv)"},
  {"unknown box", "inputs.csv", INPUTS "1,kick,dyn-kick,no,Q,1\n", STATUS_BAD_INPUT, 2, 5,
   "no box Q"},
  {"beyond the box", "inputs.csv", INPUTS "1,kick,dyn-kick,no,B,5\n", STATUS_BAD_INPUT, 2, 6,
   "4 sockets, so there is no socket 5"},
  {"too few cells", "inputs.csv", INPUTS "1,kick,dyn-kick\n", STATUS_BAD_INPUT, 2, 5,
   "3 cells and ends before \"box\" in column 5"},
  {"unquoted decimal comma", "cables.csv", "cable,kind,length_m\nM1,mic,2,5\n", STATUS_BAD_INPUT, 2,
   4, "decimal comma"},
  {"socket, no box", "inputs.csv", INPUTS "1,kick,dyn-kick,no,,1\n", STATUS_BAD_INPUT, 2, 5,
   "without its box"},
  {"box, no socket", "inputs.csv", INPUTS "1,kick,dyn-kick,no,A,\n", STATUS_BAD_INPUT, 2, 5,
   "no box and socket"},
  {"no source, but a pickup", "inputs.csv", INPUTS "1,,dyn-kick,no,A,1\n", STATUS_BAD_INPUT, 2, 2,
   "what plays here"},
  {"phantom in no words", "inputs.csv", INPUTS "1,kick,dyn-kick,blue,A,1\n", STATUS_BAD_INPUT, 2, 4,
   "yes, no or ask"},
  {"channel is a word", "inputs.csv", INPUTS "one,kick,dyn-kick,no,A,1\n", STATUS_BAD_INPUT, 2, 1,
   "whole number"},
  {"patch of no shape", "inputs.csv", "source,patch\nkick,upstage\n", STATUS_BAD_INPUT, 2, 2,
   "as in B7"},
  {"line and socket differ", "inputs.csv", "source,line,box,socket\nkick,2,A,1\n", STATUS_BAD_INPUT,
   2, 4, "is line 1, and this row says line 2"},
  {"no such line", "inputs.csv", "source,line\nkick,99\n", STATUS_BAD_INPUT, 2, 2, "no line 99"},
  {"channel beyond the lines", "inputs.csv", "channel,source\n9,kick\n", STATUS_BAD_INPUT, 2, 1,
   "no line 9"},
  {"cable plugged twice", "inputs.csv", "source,box,socket,cable\nkick,A,1,M1\nsnare,A,2,m1\n",
   STATUS_BAD_INPUT, 3, 4, "plugged twice"},
  {"-3 sockets", "boxes.csv", BOXES "A,-3,1,\n", STATUS_BAD_INPUT, 2, 2, "from 1 to 96"},
  {"a third of a socket", "boxes.csv", BOXES "A,0.3,1,\n", STATUS_BAD_INPUT, 2, 2, "whole number"},
  {"box twice", "boxes.csv", BOXES "A,4,1,\nbox a,4,5,\n", STATUS_BAD_INPUT, 3, 1, "listed twice"},
  {"boxes overlap", "boxes.csv", BOXES "A,4,1,\nB,4,4,\n", STATUS_BAD_INPUT, 3, 3,
   "cannot be in both"},
  {"last line is wrong", "boxes.csv", "box,sockets,first_line,last_line\nA,4,1,5\n",
   STATUS_BAD_INPUT, 2, 4, "ends at line 4"},
  {"box joins itself", "boxes.csv", BOXES "A,4,1,box A\n", STATUS_BAD_INPUT, 2, 4, "come back"},
  {"boxes in a ring", "boxes.csv", BOXES "A,4,1,split\nB,4,5,C\nC,4,9,box D\nD,4,13,b\n",
   STATUS_BAD_INPUT, 3, 4, "come back to box B"},
  {"one tail at two boxes", "boxes.csv", "box,sockets,tail\nA,4,X1\nB,4,x1\n", STATUS_BAD_INPUT, 3,
   3, "is plugged at box A and at box B"},
  {"line twice", "lines.csv", "line,box,socket\n1,A,1\n1,A,1\n", STATUS_BAD_INPUT, 3, 1,
   "listed twice"},
  {"two lines in a socket", "lines.csv", "line,box,socket\n1,C,1\n2,C,1\n", STATUS_BAD_INPUT, 2, 2,
   "no box C"},
  {"lines against boxes", "lines.csv", "line,box,socket\n2,A,1\n", STATUS_BAD_INPUT, 2, 1,
   "is line 1 by the boxes list"},
  {"two lines on a pair", "lines.csv", "line,box,socket,pair\n1,A,1,7\n2,A,2,7\n", STATUS_BAD_INPUT,
   3, 4, "already taken by line 1"},
  {"two lines on an input", "lines.csv", "line,box,socket,foh\n1,A,1,7\n2,A,2,7\n",
   STATUS_BAD_INPUT, 3, 4, "already taken by line 1"},
  {"5 km of cable", "cables.csv", "cable,kind,length_m\nM1,mic,5000\n", STATUS_BAD_INPUT, 2, 3,
   "from 0 to 1000"},
  {"5 km in words", "cables.csv", "cable,kind,length_m\nM1,mic,5 km\n", STATUS_BAD_INPUT, 2, 3,
   "from 0 to 1000"},
  {"item twice", "cables.csv", "cable,kind\nM1,mic\nM2,mic\nm1,mic\n", STATUS_BAD_INPUT, 4, 1,
   "listed twice (also line 2"},
  {"state of an item", "cables.csv", "cable,kind,state\nM1,mic,fine\n", STATUS_BAD_INPUT, 2, 3,
   "quarantine"},
  {"last test, when", "cables.csv", "cable,kind,last_test\nM1,mic,3/4/31\n", STATUS_BAD_INPUT, 2, 3,
   "2031-06-14"},
  {"negative time", "times.csv", "step,usual_s\nswap a cable,-5\n", STATUS_BAD_INPUT, 2, 2,
   "from 0 to"},
  {"quick is slower", "times.csv", "step,quick_s,usual_s\nswap a cable,50,30\n", STATUS_BAD_INPUT,
   2, 2, "from 0 to 30"},
  {"step twice", "times.csv", "step,usual_s\nswap,5\nSwap,6\n", STATUS_BAD_INPUT, 3, 1,
   "listed twice"},
  {"a share over one", "odds.csv", "where,fault,share\ncable,open,21\n", STATUS_BAD_INPUT, 2, 3,
   "from 0 to 1"},
  {"never misread", "misread.csv", "check,probability\nlamps,0\n", STATUS_BAD_INPUT, 2, 2,
   "from 0.0001"},
  {"a lamp to nowhere", "testers.csv", TESTERS "box,lamp,2,4,100,,1.9,1.6\n", STATUS_BAD_INPUT, 2,
   4, "\"4\" is no contact of tester box: write 1 to 3"},
  {"a lamp to earth", "testers.csv", TESTERS "box,lamp,2,earth,100,,1.9,1.6\n", STATUS_BAD_INPUT, 2,
   4, "is no contact"},
  {"a lamp in a ring", "testers.csv", TESTERS "box,lamp,2,2,100,,1.9,1.6\n", STATUS_BAD_INPUT, 2, 4,
   "begins and ends at contact 2"},
  {"a buzzer", "testers.csv", TESTERS "box,buzzer,2,1,100,,,\n", STATUS_BAD_INPUT, 2, 2,
   "write lamp, battery or sender"},
  {"no resistor", "testers.csv", TESTERS "box,lamp,2,1,0,,1.9,1.6\n", STATUS_BAD_INPUT, 2, 5,
   "from 0.1 to"},
  {"a lamp with a battery in it", "testers.csv", TESTERS "box,lamp,2,1,100,9,1.9,1.6\n",
   STATUS_BAD_INPUT, 2, 6, "no volts of its own"},
  {"a dark lamp", "testers.csv", TESTERS "box,lamp,2,1,100,,0,\n", STATUS_BAD_INPUT, 2, 7,
   "shows nothing either way"},
  {"millivolts", "testers.csv", TESTERS "box,lamp,2,1,100,,,0.16\n", STATUS_BAD_INPUT, 2, 8,
   "1 to 6 V"},
  {"a green sender", "testers.csv", TESTERS "box,sender,2,1,100,12,1.9,\n", STATUS_BAD_INPUT, 2, 7,
   "belong to a lamp"},
  {"no lamp at all", "testers.csv", TESTERS "box,sender,2,1,100,12,,\n", STATUS_BAD_INPUT, 2, 2,
   "has no lamp"},
  {"seven lamps", "testers.csv",
   TESTERS "box,lamp,2,1,9,,2,2\nbox,lamp,3,1,9,,2,2\nbox,lamp,2,3,9,,2,2\nbox,lamp,1,2,9,,2,2\n"
           "box,lamp,1,3,9,,2,2\nbox,lamp,3,2,9,,2,2\nbox,lamp,2,1,9,,2,2\n",
   STATUS_BAD_INPUT, 8, 2, "more than 6 lamps"},
  {"nine contacts", "testers.csv", "tester,part,from,to,ohm,green_v,contacts\nb,lamp,2,1,9,2,9\n",
   STATUS_BAD_INPUT, 2, 7, "from 2 to 8"},
  {"contacts said twice", "testers.csv",
   "tester,part,from,to,ohm,green_v,contacts\nb,lamp,2,1,9,2,3\nb,lamp,3,1,9,2,4\n",
   STATUS_BAD_INPUT, 3, 7, "3 contacts by an earlier row and 4"},
  {"connector nobody knows", "testers.csv",
   "tester,part,from,to,ohm,green_v,connector\nb,lamp,2,1,9,2,round\n", STATUS_BAD_INPUT, 2, 7,
   "3-pin, jack, 4-pole or 8-pole"},
  {"tester without ohms", "testers.csv", "tester,part,from,to\nbox,lamp,2,1\n", STATUS_BAD_INPUT, 1,
   1, "no column \"ohm\""},
  {"meter twice", "meters.csv", "meter,volts,ohm\nhand,9,1000\nHand,3,1000\n", STATUS_BAD_INPUT, 3,
   1, "listed twice"},
  {"meter without a battery", "meters.csv", "meter,volts,ohm\nhand,0,1000\n", STATUS_BAD_INPUT, 2,
   2, "from 0.01"},
  {"walk back in time", "places.csv", "from,to,seconds\na,b,-1\n", STATUS_BAD_INPUT, 2, 3,
   "from 0"},
  {"walk, how long", "places.csv", "from,to,seconds\na,b,\n", STATUS_BAD_INPUT, 2, 3, "is empty"},
  {"desk nobody knows", "desk-patch.csv", "desk,channel,line\nkitchen,1,1\n", STATUS_BAD_INPUT, 2,
   1, "foh, mon or broadcast"},
  {"desk takes no line", "desk-patch.csv", "desk,channel,line\nfoh,1,77\n", STATUS_BAD_INPUT, 2, 3,
   "no line 77"},
  {"channel twice", "desk-patch.csv", "desk,channel,line\nfoh,1,1\nhouse,1,2\n", STATUS_BAD_INPUT,
   3, 2, "listed twice"},
  {"hour of the day", "day.csv", "start,what\n25h,act 1 on\n", STATUS_BAD_INPUT, 2, 1, "18:15"},
  {"act twice", "day.csv", "start,what\n14:00,act 1 on\n15:00,Act 1 on\n", STATUS_BAD_INPUT, 3, 2,
   "on twice"},
  {"drive nobody knows", "kinds.csv", "kind,drive\nspoon,loud\n", STATUS_BAD_INPUT, 2, 2,
   "both legs"},
  {"more than P48 can give", "kinds.csv", "kind,needs_phantom,draw_ma\nspoon,yes,15\n",
   STATUS_BAD_INPUT, 2, 3, "from 0 to 14.1"},
  {"a crowd of kit", "kit.csv", "kit,count\nheadphones,-2\n", STATUS_BAD_INPUT, 2, 2,
   "whole number"},
  {"desk without an input", "desks.csv", "desk,input_between_ohm,input_each_ohm\nfoh,,\n",
   STATUS_BAD_INPUT, 2, 1, "what the inputs of foh are"},
  {"input of a kitchen", "desks.csv", "desk,input_each_ohm\nkitchen,1000\n", STATUS_BAD_INPUT, 2, 1,
   "foh, mon or broadcast"},
  {"input twice", "desks.csv", "desk,input_each_ohm\nfoh,1000\nhouse,1000\n", STATUS_BAD_INPUT, 3,
   1, "listed twice"},
  {"input of a wire", "desks.csv", "desk,input_each_ohm\nfoh,0\n", STATUS_BAD_INPUT, 2, 2,
   "from 100"},
  {"drive line twice", "drive.csv", "drive_line,cable_m\n5,70\n6,70\n5,60\n", STATUS_BAD_INPUT, 4,
   1, "Drive line 5 is listed twice"},
  {"drive line without a number", "drive.csv", "zone,drive_line,cable_m\n5,,70\n", STATUS_BAD_INPUT,
   2, 2, "is empty"},
  {"drive line of a name", "drive.csv", "drive_line,cable_m\nfive,70\n", STATUS_BAD_INPUT, 2, 1,
   "whole number"},
  {"drive line of 2 km", "drive.csv", "drive_line,cable_m\n5,2000\n", STATUS_BAD_INPUT, 2, 2,
   "from 0 to 1000"},
  {"level over any output", "drive.csv", "drive_line,level_at_amp_dbu\n5,44\n", STATUS_BAD_INPUT, 2,
   2, "from -80 to 30"},
  {"delay backwards", "drive.csv", "drive_line,cable_m,delay_ms\n5,70,-6\n", STATUS_BAD_INPUT, 2, 3,
   "from 0"},
  {"an input of nothing", "drive.csv", "drive_line,cable_m,amp_input_ohm\n5,70,0\n",
   STATUS_BAD_INPUT, 2, 3, "from 100"},
  {"drive list without numbers", "drive.csv", "zone,zone_name,cable_m\n5,front fill,70\n",
   STATUS_BAD_INPUT, 1, 1, "driveline"},
  {"direct side", "split.csv", "split,direct_side\nS1,left\n", STATUS_BAD_INPUT, 2, 2,
   "foh, mon or broadcast"},
};

static void
bad_input_names_file_line_column_and_a_way_out(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bad) / sizeof(bad[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const bool own_boxes = strcmp(bad[i].file, "boxes.csv") == 0;
    const ListText lists[] = {TEXT("stage.csv", BOXES "A,4,1,\nB,4,5,\n"),
                              {bad[i].file, bad[i].bytes, strlen(bad[i].bytes)}};
    const bool alone = own_boxes || strcmp(bad[i].name, "nothing known") == 0;
    Plant plant = {.n_lines = -7};
    Error error = {0};
    const Status st =
      lists_build(&arena, alone ? lists + 1 : lists, alone ? 1 : 2, 0, &plant, &error);
    if (st != bad[i].want || error.status != st || strcmp(error.file, bad[i].file) != 0 ||
        error.line != bad[i].line || error.column != bad[i].column ||
        !strstr(error.text, bad[i].part) || plant.n_lines != -7) {
      fail_msg("%s: got status %d at %s:%d:%d \"%s\", want %d at %s:%d:%d \"...%s...\"",
               bad[i].name, (int)st, error.file, error.line, error.column, error.text,
               (int)bad[i].want, bad[i].file, bad[i].line, bad[i].column, bad[i].part);
    }
    arena_deinit(&arena);
  }
}

// ---- What people write, read as they mean it ----

static const struct {
  const char* name;
  const char* bytes;
  const char* kind;
  Answer wants;
  int line; ///< Number, 0 = on none
} meant[] = {
  {"our own", INPUTS "1,kick,cond-bound,yes,B,2\n", "cond-bound", ANSWER_YES, 6},
  {"short headings", "Ch;Instrument;Mic/DI;48V;Box;Socket\n1;kick;cond-bound;x;b;2\n", "cond-bound",
   ANSWER_YES, 6},
  {"one column of sockets", "No.\tSource\tMic\tP48\tBox/Socket\n1\tkick\tribbon\toff\tB2\n",
   "ribbon", ANSWER_NO, 6},
  {"a dash between", "source,patch\nkick,B-2\n", "", ANSWER_ASK, 6},
  {"the word box", "source,patch\nkick,box B 2\n", "", ANSWER_ASK, 6},
  {"a line as patch", "source,patch\nkick,6\n", "", ANSWER_ASK, 6},
  {"both in the box column", "source,box\nkick,B2\n", "", ANSWER_ASK, 6},
  {"both in the socket column", "source,socket\nkick,B/2\n", "", ANSWER_ASK, 6},
  {"by line", "source,line,phantom\nkick,6,+48V\n", "", ANSWER_YES, 6},
  {"channel is line", "channel,source,phantom\n6,kick,no\n", "", ANSWER_NO, 6},
  {"on no line", INPUTS "1,kick,dyn-kick,no,,\n", "dyn-kick", ANSWER_NO, 0},
  {"names alone", "Source\nkick\n", "", ANSWER_ASK, 1},
  {"named by name", "Ch,Name,Mic\n6,kick,ribbon\n", "ribbon", ANSWER_ASK, 6},
  {"input is the name", "no,input,mic\n6,kick,dynamic\n", "dyn-inst", ANSWER_ASK, 6},
  {"input is the number", "input,source,mic\n6,kick,Active DI\n", "di-active", ANSWER_ASK, 6},
  {"title above", "Input list of act 1,,,,,\n,,,,,\n" INPUTS "1,kick,ribbon,no,B,2\n", "ribbon",
   ANSWER_NO, 6},
  {"unknown kind", INPUTS "1,kick,spoon on a string,?,B,2\n", "spoon on a string", ANSWER_ASK, 6},
  {"ask", INPUTS "1,kick,rx-line,ask,B,2\n", "rx-line", ANSWER_ASK, 6},
};

static void
usual_ways_of_writing_are_read_as_meant(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(meant) / sizeof(meant[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const ListText lists[] = {TEXT("boxes.csv", BOXES "A,4,1,\nB,4,5,\n"),
                              {"inputs.csv", meant[i].bytes, strlen(meant[i].bytes)}};
    Plant plant;
    build_or_fail(&arena, meant[i].name, lists, 2, 0, &plant);
    assert_int_equal(plant.n_inputs, 1);
    const Input* const in = &plant.inputs[0];
    const int line = in->line < 0 ? 0 : plant.lines[in->line].number;
    if (strcmp(in->source, "kick") != 0 || line != meant[i].line ||
        in->wants_phantom != meant[i].wants ||
        strcmp(plant.kinds[in->kind].name, meant[i].kind) != 0) {
      fail_msg("%s: got %s on line %d, kind %s, phantom %d", meant[i].name, in->source, line,
               plant.kinds[in->kind].name, (int)in->wants_phantom);
    }
    arena_deinit(&arena);
  }
}

static void
an_unknown_kind_is_kept_and_asked_for(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const ListText lists[] = {
    TEXT("inputs-act1.csv", INPUTS "1,kick,spoon,yes,A,1\n2,snare,spoon,no,A,2\n3,bell,,no,A,3\n")};
  Plant plant;
  build_or_fail(&arena, "unknown kind", lists, 1, 0, &plant);
  const Kind* const kind = &plant.kinds[plant.inputs[0].kind];
  assert_int_equal(plant.inputs[0].kind, plant.inputs[1].kind);
  assert_true(kind->is_assumed);
  assert_int_equal(kind->needs_phantom, ANSWER_ASK);
  assert_int_equal(kind->phantom_harmless, ANSWER_ASK);
  assert_true(says(plant.assumed, plant.n_assumed, "what a \"spoon\" is"));
  assert_true(says(plant.assumed, plant.n_assumed, "line 4: no microphone or DI"));
  arena_deinit(&arena);
}

static void
ticks_make_an_empty_cell_a_no(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const ListText lists[] = {
    TEXT("inputs-a.csv", "ch,source,48v\n1,kick,x\n2,snare,\n"),
    TEXT("inputs-b.csv", "ch,source,48v\n1,kick,yes\n2,snare,\n3,bell,no\n")};
  Plant plant;
  build_or_fail(&arena, "ticks", lists, 2, 0, &plant);
  assert_int_equal(plant.inputs[1].wants_phantom, ANSWER_NO);
  assert_int_equal(plant.inputs[3].wants_phantom, ANSWER_ASK); // Yes and no are written out there
  assert_true(says(plant.assumed, plant.n_assumed, "inputs-a.csv: an empty cell under \"48v\""));
  arena_deinit(&arena);
}

// ---- Drive lines ----

static void
drive_lines_are_read_and_found(void** state)
{
  (void)state;
  static const struct {
    const char* text;
    bool speaks;
    int number; ///< 0 = there is none
  } cases[] = {{"drive 5", true, 5},  {"Drive-5", true, 5},  {"drive line 8", true, 8},
               {"drive5", true, 5},   {"drive 6", true, 0},  {"drive", false, 0},
               {"drive x", false, 0}, {"5", false, 0},       {"drive 5 left", false, 0},
               {"", false, 0},        {"drives 5", false, 0}};
  Arena arena;
  arena_init(&arena, NULL);
  const ListText lists[] = {
    TEXT("feeds.csv", "Zone Name;Drive Line;Cable m;Processor Out;Level at amp dBu;delay ms;"
                      "output_ohm;amp input ohm;contact 1 lifted\n"
                      "front fill;5;70;5;-4;6;25;\"15000\";yes\n"
                      "delay tower;8;;8;-2,5;180;;;\n")};
  Plant plant;
  build_or_fail(&arena, "drives", lists, 1, 0, &plant);
  assert_int_equal(plant.n_drives, 2);
  const DriveLine* const fill = &plant.drives[0];
  assert_string_equal(fill->zone_name, "front fill");
  CHECK_NEAR("cable", fill->cable_m, 70.0, 0.0);
  CHECK_NEAR("level", fill->level_dbu, -4.0, 0.0);
  CHECK_NEAR("output", fill->output_ohm, 25.0, 0.0);
  CHECK_NEAR("input", fill->amp_ohm, 15000.0, 0.0);
  assert_true(fill->is_lifted && !fill->is_assumed);
  const DriveLine* const tower = &plant.drives[1];
  CHECK_NEAR("usual length", tower->cable_m, 50.0, 0.0);
  CHECK_NEAR("decimal comma", tower->level_dbu, -2.5, 0.0);
  assert_true(!tower->is_lifted && tower->is_assumed);
  assert_true(says(plant.assumed, plant.n_assumed, "drive line 8 is taken to be 50 m long"));
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    int at = -1;
    const bool speaks = plant_drive(&plant, cases[i].text, &at);
    if (speaks != cases[i].speaks || (at < 0 ? 0 : plant.drives[at].number) != cases[i].number) {
      fail_msg("\"%s\": got %d, drive at %d", cases[i].text, speaks, at);
    }
  }
  arena_deinit(&arena);
}

// ---- Inputs of desks ----

static void
inputs_of_desks_are_read_or_usual(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const ListText lists[] = {TEXT("lines.csv", "line,box,socket,foh,mon\n1,A,1,1,1\n2,A,2,2,2\n"),
                            TEXT("desks.csv", "Desk;Input each ohm;Input between ohm\n"
                                              "monitors;1000;\nbroadcast;;10000\n")};
  Plant plant;
  double between_ohm = 0.0;
  double each_ohm = 0.0;
  build_or_fail(&arena, "desks", lists, 2, 0, &plant);
  assert_int_equal(plant.n_desks, 2);
  assert_true(plant_desk_input(&plant.desks[0], &between_ohm, &each_ohm)); // Nobody said
  CHECK_NEAR("usual", between_ohm, 2000.0, 0.0);
  assert_true(isinf(each_ohm));
  assert_false(plant_desk_input(&plant.desks[1], &between_ohm, &each_ohm));
  assert_true(isinf(between_ohm));
  CHECK_NEAR("each", each_ohm, 1000.0, 0.0);
  assert_true(says(plant.left_aside, plant.n_left_aside, "inputs of desk broadcast are listed"));
  assert_false(says(plant.left_aside, plant.n_left_aside, "desk mon"));
  arena_deinit(&arena);
}

// ---- Little is enough ----

static void
a_count_of_lines_is_a_plant(void** state)
{
  (void)state;
  static const struct {
    int n_bare, n_lines, n_boxes, last_sockets;
  } cases[] = {{48, 48, 4, 12}, {0, 48, 4, 12}, {1, 1, 1, 1}, {20, 20, 2, 8}, {512, 512, 43, 8}};
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Plant plant;
    build_or_fail(&arena, "bare", NULL, 0, cases[i].n_bare, &plant);
    assert_int_equal(plant.n_lines, cases[i].n_lines);
    assert_int_equal(plant.n_boxes, cases[i].n_boxes);
    assert_int_equal(plant.boxes[plant.n_boxes - 1].n_sockets, cases[i].last_sockets);
    assert_true(plant.boxes[0].is_assumed && plant.split.is_assumed);
    assert_int_equal(plant.n_desks, 1);
    assert_int_equal(plant.lines[0].desk_input[0], 1);
    assert_true(plant.n_kinds == 20 && plant.n_times == 34 && plant.n_misreads == 20);
    assert_true(says(plant.assumed, plant.n_assumed, "No boxes and no lines list"));
    assert_true(says(plant.assumed, plant.n_assumed, "Walking times"));
    arena_deinit(&arena);
  }
  Error error;
  Plant plant;
  Arena arena;
  arena_init(&arena, NULL);
  assert_int_equal(lists_build(&arena, NULL, 0, 513, &plant, &error), STATUS_BAD_INPUT);
  assert_int_equal(lists_build(&arena, NULL, 0, -1, &plant, NULL), STATUS_BAD_INPUT);
  arena_deinit(&arena);
}

static void
one_input_list_is_a_plant(void** state)
{
  (void)state;
  for (int act = 1; act <= 4; ++act) {
    Arena arena;
    arena_init(&arena, NULL);
    char name[32];
    (void)snprintf(name, sizeof(name), "inputs-act%d.csv", act);
    const ListText list = folder_read_list(&arena, DEMO_DIR, name);
    Plant plant;
    build_or_fail(&arena, name, &list, 1, 0, &plant);
    assert_int_equal(plant.n_acts, 1);
    assert_memory_equal(plant.acts[0].name, name + strlen("inputs-"), strlen("act1"));
    for (int i = 0; i < plant.n_inputs; ++i) {
      assert_true(plant.inputs[i].line >= 0);
    }
    assert_true(says(plant.assumed, plant.n_assumed, "No boxes list"));
    arena_deinit(&arena);
  }
}

// ---- The same lists in other clothes ----

typedef struct {
  const char* ours;
  const char* theirs;
} Rename;

static const Rename renames[] = {{"channel", "Ch."},        {"source", "INSTRUMENT"},
                                 {"pickup", "Mic / DI"},    {"phantom", "+48 V"},
                                 {"desk_channel", "Chan"},  {"sockets", "Ways"},
                                 {"seconds", "s"},          {"cable", "Tag"},
                                 {"name_on_desk", "Label"}, {"first_line", "First Line"}};

// The list with its columns shuffled, its headings renamed and another delimiter.
static ListText
disguised(Arena* arena, const ListText* list, Rng* rng)
{
  Table table;
  Error error;
  assert_int_equal(table_read(arena, list->name, list->bytes, list->n_bytes, &table, &error),
                   STATUS_OK);
  const bool inputs = text_begins(list->name, "inputs");
  const char delimiter = ",;\t"[rng_below(rng, 3)];
  int order[64];
  const int n = table.rows[0].n_cells;
  for (int i = 0; i < n; ++i) {
    order[i] = i;
  }
  for (int i = n - 1; i > 0; --i) {
    const int k = rng_below(rng, i + 1);
    const int was = order[i];
    order[i] = order[k];
    order[k] = was;
  }
  TextOut out = {.arena = arena};
  for (int r = 0; r < table.n_rows; ++r) {
    for (int i = 0; i < n; ++i) {
      const char* text = table_cell(&table.rows[r], order[i])->text;
      // A source column of odds or times is no instrument, and "s" no word of a day
      for (size_t k = 0; r == 0 && k < sizeof(renames) / sizeof(renames[0]); ++k) {
        const bool fits = inputs || (k != 0 && k != 1 && k != 3);
        text = fits && strcmp(text, renames[k].ours) == 0 && rng_below(rng, 2) ? renames[k].theirs
                                                                               : text;
      }
      text_add(&out, "%s\"", i ? (char[]){delimiter, '\0'} : "");
      for (const char* p = text; *p; ++p) {
        text_add(&out, *p == '"' ? "\"\"" : "%c", *p);
      }
      text_add(&out, "\"");
    }
    text_add(&out, rng_below(rng, 2) ? "\r\n" : "\n");
  }
  const char* const bytes = text_done(&out);
  assert_non_null(bytes);
  return (ListText){list->name, bytes, strlen(bytes)};
}

static void
order_of_columns_lists_and_words_do_not_matter(void** state)
{
  (void)state;
  const uint64_t seed = 20310614;
  Rng rng;
  rng_init(&rng, seed);
  print_message("seed %llu\n", (unsigned long long)seed);
  for (int round = 0; round < 12; ++round) {
    Arena arena;
    arena_init(&arena, NULL);
    ListText lists[FOLDER_MAX_LISTS];
    const int n = folder_read(&arena, DEMO_DIR, lists);
    Plant plant;
    build_or_fail(&arena, "as it stands", lists, n, 0, &plant);
    const char* const want = written_out(&arena, &plant);
    for (int i = n - 1; i >= 0; --i) {
      const int k = rng_below(&rng, i + 1);
      const ListText was = lists[i];
      lists[i] = disguised(&arena, &lists[k], &rng);
      if (k != i) {
        lists[k] = was;
      }
    }
    build_or_fail(&arena, "disguised", lists, n, 0, &plant);
    assert_same_plant("disguised", written_out(&arena, &plant), want);
    arena_deinit(&arena);
  }
}

static void
encodings_and_delimiters_are_twins(void** state)
{
  (void)state;
  static const ListText twins[] = {
    TEXT("inputs-act1.csv", "channel,source,note\n1,Fl\xC3\xBCgelhorn,\"2,5 m\"\n"),
    TEXT("inputs-act1.csv", "\xEF\xBB\xBF"
                            "channel,source,note\n1,Fl\xC3\xBCgelhorn,\"2,5 m\"\n"),
    TEXT("inputs-act1.csv", "channel;source;note\r\n1;Fl\xFCgelhorn;2,5 m\r\n"),
    TEXT("inputs-act1.csv", "channel\tsource\tnote\r1\tFl\xFCgelhorn\t2,5 m\r"),
    TEXT("inputs-act1.csv", "note;channel;source\n2,5\x07m;1;\"Fl\xC3\xBCgelhorn\"\n"),
  };
  Arena arena;
  arena_init(&arena, NULL);
  const char* want = NULL;
  for (size_t i = 0; i < sizeof(twins) / sizeof(twins[0]); ++i) {
    Plant plant;
    build_or_fail(&arena, "twin", &twins[i], 1, 0, &plant);
    const char* const got = written_out(&arena, &plant);
    want = want ? want : got;
    assert_same_plant(twins[i].bytes, got, want);
  }
  arena_deinit(&arena);
}

// ---- Several lists ----

static void
the_morning_counts_and_the_rest_is_named(void** state)
{
  (void)state;
  const ListText lists[] = {
    TEXT("cables-morning.csv", "cable,kind,length_m,state\nM1,mic,\"2,5\",good\n"),
    TEXT("cables.csv", "cable,kind,length_m,state\nM1,mic,2.5,repair\n"),
    TEXT("faults.csv", "id,when,act,where,line,what_is_wrong\nF01,check,all,box A,6,open\n"),
    TEXT("cable-states.csv", "state,meaning,mark on the cable\ngood,passed,none\n"),
    TEXT("kit.csv", "kit,count,colour\nspare cable 5 m,6,black\nspare cable 10 m,4,red\n")};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  for (int turn = 0; turn < 2; ++turn) {
    const ListText turned[] = {lists[1], lists[0], lists[2], lists[3], lists[4]};
    build_or_fail(&arena, "morning", turn ? turned : lists, 5, 0, &plant);
    assert_int_equal(plant.n_items, 1);
    assert_string_equal(plant.items[0].state, "good");
    CHECK_NEAR("decimal comma", plant.items[0].length_m, 2.5, 0.0);
    assert_true(says(plant.left_aside, plant.n_left_aside, "cables.csv does not count"));
    assert_true(says(plant.left_aside, plant.n_left_aside, "faults.csv is left aside"));
    assert_true(says(plant.left_aside, plant.n_left_aside, "cable-states.csv is left aside"));
    assert_true(says(plant.left_aside, plant.n_left_aside, "columns not used: colour"));
    assert_int_equal(plant_kit(&plant, "spare cable"), 10);
  }
  arena_deinit(&arena);
}

static void
a_newer_list_takes_the_place_of_an_older(void** state)
{
  (void)state;
  const ListText lists[] = {TEXT("inputs-act2.csv", "channel,source\n1,old\n"),
                            TEXT("kinds.csv", "kind,needs_phantom\nribbon,ask\nspoon,yes\n"),
                            TEXT("times.csv", "step,usual_s\nswap a cable,12\n"),
                            TEXT("Act 2 input list v3.csv", "channel,source\n1,new\n")};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  build_or_fail(&arena, "newer", lists, 4, 0, &plant);
  assert_int_equal(plant.n_inputs, 1);
  assert_string_equal(plant.inputs[0].source, "new");
  assert_int_equal(plant.n_acts, 1);
  assert_string_equal(plant.acts[0].name, "act2");
  assert_true(says(plant.left_aside, plant.n_left_aside, "inputs-act2.csv does not count"));
  // A short kinds list overrides what it names and nothing else
  assert_int_equal(plant.n_kinds, 22); // 20 built in, the spoon, and the kind nobody named
  for (int i = 0; i < plant.n_kinds; ++i) {
    if (strcmp(plant.kinds[i].name, "ribbon") == 0) {
      assert_int_equal(plant.kinds[i].needs_phantom, ANSWER_ASK);
      assert_int_equal(plant.kinds[i].phantom_harmless, ANSWER_NO);
      assert_true(plant.kinds[i].is_ribbon);
    }
  }
  CHECK_NEAR("own time", plant_time_s(&plant, "swap a cable", 0.0), 12.0, 0.0);
  CHECK_NEAR("built-in time", plant_time_s(&plant, "swap a DI", 0.0), 40.0, 0.0);
  arena_deinit(&arena);
}

static void
lines_alone_and_two_desks(void** state)
{
  (void)state;
  const ListText lists[] = {
    TEXT("lines.csv", "line,patch,house,truck\n10,A1,1,\n11,A2,2,9\n12,B1,3,8\n"),
    TEXT("desk-patch.csv", "desk,channel,line,pad\ntruck,40,12,\"-20,5 dB\"\n")};
  Arena arena;
  arena_init(&arena, NULL);
  Plant plant;
  build_or_fail(&arena, "lines alone", lists, 2, 0, &plant);
  assert_int_equal(plant.n_boxes, 2);
  assert_int_equal(plant.boxes[0].first_line, 10);
  assert_int_equal(plant.n_desks, 2);
  assert_string_equal(plant.desks[1].name, "broadcast");
  assert_int_equal(plant.lines[2].desk_input[1], 8);
  assert_int_equal(plant.lines[0].desk_input[1], 0);
  const DeskRow* const row = plant_desk_row(&plant, -1, 1, plant_socket(&plant, "B1"));
  assert_non_null(row);
  CHECK_NEAR("pad", row->pad_db, 20.5, 0.0);
  assert_int_equal(row->channel, 40);
  arena_deinit(&arena);
}

// ---- Size and memory ----

static ListText
long_list(Arena* arena, const char* name, const char* heading, const char* format, int n_rows)
{
  TextOut out = {.arena = arena};
  text_add(&out, "%s", heading);
  for (int i = 1; i <= n_rows; ++i) {
    char row[128];
#pragma GCC diagnostic push
#pragma GCC diagnostic ignored "-Wformat-nonliteral"
    (void)snprintf(row, sizeof(row), format, i, i);
#pragma GCC diagnostic pop
    text_add(&out, "%s", row);
  }
  const char* const text = text_done(&out);
  assert_non_null(text);
  return (ListText){name, text, strlen(text)};
}

static void
long_lists_are_read_or_refused_kindly(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    const char* file;
    const char* heading;
    const char* format;
    int n_rows;
    Status want;
  } cases[] = {
    {"10,000 items", "cables.csv", "cable,kind\n", "M%d,kind %d\n", 10000, STATUS_OK},
    {"30,000 items", "cables.csv", "cable,kind\n", "M%d,mic\n", 30000, STATUS_LIMIT},
    {"10,000 inputs", "inputs.csv", "channel,source\n", "%d,s\n", 10000, STATUS_LIMIT},
    {"10,000 inputs in a socket", "inputs.csv", "source,patch\n", "s %d,A1\n", 10000, STATUS_LIMIT},
    {"10,000 channels", "desk-patch.csv", "desk,channel,line\n", "foh,%d,1\n", 9999, STATUS_OK},
    {"10,000 boxes", "boxes.csv", "box,sockets\n", "B%d,12\n", 10000, STATUS_LIMIT},
    {"10,000 places", "places.csv", "from,to,seconds\n", "p%d,q%d,5\n", 10000, STATUS_LIMIT},
    {"1,000 places", "places.csv", "from,to,seconds\n", "p%d,q%d,5\n", 1000, STATUS_LIMIT},
    {"600 kinds", "inputs.csv", "source,mic,act\n", "s,k%d,act%d\n", 600, STATUS_LIMIT},
    {"600 lines", "lines.csv", "line,box,socket\n", "%d,B%d,1\n", 600, STATUS_LIMIT},
  };
  for (size_t i = 0; i < sizeof(cases) / sizeof(cases[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    const ListText list =
      long_list(&arena, cases[i].file, cases[i].heading, cases[i].format, cases[i].n_rows);
    Plant plant;
    Error error = {0};
    const Status st = lists_build(&arena, &list, 1, 0, &plant, &error);
    if (st != cases[i].want || (st != STATUS_OK && !error.text[0])) {
      fail_msg("%s: got %d \"%s\"", cases[i].name, (int)st, error.text);
    }
    arena_deinit(&arena);
  }
}

static void
every_allocation_may_fail(void** state)
{
  (void)state;
  Arena shelf;
  arena_init(&shelf, NULL);
  ListText lists[FOLDER_MAX_LISTS];
  int n = folder_read(&shelf, DEMO_DIR, lists);
  lists[n++] = long_list(&shelf, "more.csv", "tag,kind\n", "N%d,\xFC%d\n", 3000);
  int n_failed = 0;
  int n_requests = 1;
  int step = 1;
  for (int fail_at = 0; fail_at <= n_requests; fail_at += step) { // First a good run, which counts
    FailingHeap heap = {.fail_at = fail_at};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Plant plant = {.n_lines = -7};
    Error error = {0};
    const Status st = lists_build(&arena, lists, n, 0, &plant, &error);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (fail_at == 0) {
      assert_int_equal(st, STATUS_OK);
      n_requests = heap.n_requests;
      step = failing_step(n_requests, 400);
      continue;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    assert_int_equal(error.status, STATUS_NO_MEMORY);
    assert_int_equal(plant.n_lines, -7);
    ++n_failed;
  }
  assert_true(n_failed > 10);
  arena_deinit(&shelf);
}

// ---- Testers and meters ----

static void
a_crews_own_tester_is_read_and_found(void** state)
{
  (void)state;
  static const struct {
    const char* name;
    const char* kit;
    const char* tester;
    const char* meter;
  } rows[] = {
    {"no kit list: the crew's own", NULL, "three", "needle meter"},
    {"kit names ours", "kit,count\nlamp tester usual,1\n", "usual", "needle meter"},
    {"kit names theirs, in capitals", "kit,count\nLamp Tester THREE,1\n", "three", "needle meter"},
    {"theirs has four contacts, not three", "kit,count\nlamp tester box,1\n", "three",
     "needle meter"},
    {"none of it is there", "kit,count\nlamp tester usual,0\n", "three", "needle meter"},
    {"a name nobody knows", "kit,count\nlamp tester no. 4,1\n", "three", "needle meter"},
    {"meter by name", "kit,count\nhand meter pocket meter,1\n", "three", "pocket meter"},
    {"meter, shorter", "kit,count\nmeter mine,1\n", "three", "mine"},
    {"a meter of no name", "kit,count\nhand meter,1\n", "three", "needle meter"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    ListText lists[3] = {TEXT("testers.csv",
                              "Part;Tester;To;From;Ohms;V;Red;Contacts;Connector;Colour\n"
                              "lamp;box;1-;1+;1000 ohm;;1.6;4;4-Pole;red\n"
                              "sender;box;earth;2+;100;9 V;;;;\n"
                              "lamp;three;1;2;330;;1.6;;;red\n"),
                         TEXT("meters.csv", "meter,volts,ohm\nmine,1.5,2000\n")};
    if (rows[i].kit) {
      lists[2] = (ListText){"kit.csv", rows[i].kit, strlen(rows[i].kit)};
    }
    Plant plant;
    build_or_fail(&arena, rows[i].name, lists, rows[i].kit ? 3 : 2, 4, &plant);
    const Tester* const box = plant_tester(&plant, "Box");
    assert_non_null(box);
    assert_true(box->is_own && box->n_contacts == 4 && box->n_parts == 2);
    assert_true(box->parts[0].from == 1 && box->parts[0].to == 2 && box->parts[1].from == 3 &&
                box->parts[1].to == 0);
    CHECK_NEAR("ohm", box->parts[0].ohm, 1000.0, 0.0);
    CHECK_NEAR("no green", box->parts[0].green_v, 0.0, 0.0);
    CHECK_NEAR("red", box->parts[0].red_v, 1.6, 0.0);
    CHECK_NEAR("volts", box->parts[1].volts, 9.0, 0.0);
    assert_string_equal(plant_own_tester(&plant, 3)->name, rows[i].tester);
    assert_ptr_equal(plant_own_tester(&plant, 4), box);
    assert_null(plant_own_tester(&plant, 5));
    assert_string_equal(plant_own_meter(&plant)->name, rows[i].meter);
    assert_true(says(plant.left_aside, plant.n_left_aside, "Colour"));
    arena_deinit(&arena);
  }
}

static void
a_tester_of_an_old_name_is_a_new_tester(void** state)
{
  (void)state;
  Arena arena;
  arena_init(&arena, NULL);
  const ListText lists[] = {TEXT("testers.csv", TESTERS "Usual,lamp,2,1,330,,1.9,1.6\n")};
  Plant plant;
  Plant ours;
  build_or_fail(&arena, "ours", NULL, 0, 4, &ours);
  build_or_fail(&arena, "theirs", lists, 1, 4, &plant);
  assert_int_equal(plant.n_testers, ours.n_testers);
  assert_int_equal(plant_own_tester(&ours, 3)->n_parts, 6);
  assert_string_equal(plant_own_tester(&ours, 3)->name, "usual");
  assert_int_equal(plant_own_tester(&plant, 3)->n_parts, 1);
  assert_true(plant_own_tester(&plant, 3)->is_own);
  arena_deinit(&arena);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(the_demo_is_a_whole_plant),
    cmocka_unit_test(bad_input_names_file_line_column_and_a_way_out),
    cmocka_unit_test(usual_ways_of_writing_are_read_as_meant),
    cmocka_unit_test(an_unknown_kind_is_kept_and_asked_for),
    cmocka_unit_test(ticks_make_an_empty_cell_a_no),
    cmocka_unit_test(drive_lines_are_read_and_found),
    cmocka_unit_test(inputs_of_desks_are_read_or_usual),
    cmocka_unit_test(a_count_of_lines_is_a_plant),
    cmocka_unit_test(one_input_list_is_a_plant),
    cmocka_unit_test(order_of_columns_lists_and_words_do_not_matter),
    cmocka_unit_test(encodings_and_delimiters_are_twins),
    cmocka_unit_test(the_morning_counts_and_the_rest_is_named),
    cmocka_unit_test(a_newer_list_takes_the_place_of_an_older),
    cmocka_unit_test(lines_alone_and_two_desks),
    cmocka_unit_test(long_lists_are_read_or_refused_kindly),
    cmocka_unit_test(a_crews_own_tester_is_read_and_found),
    cmocka_unit_test(a_tester_of_an_old_name_is_a_new_tester),
    cmocka_unit_test(every_allocation_may_fail),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
