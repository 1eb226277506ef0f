// SPDX-License-Identifier: GPL-3.0-or-later
#include "base/text.h"
#include "day/outputs.h"
#include "fault/catalogue.h"

/*
  Faults of outputs by name, as the wire has them, and where each sits.
*/

const char*
outputs_fault_text(const Outputs* o, Arena* arena, int circuit, const Wrong* w)
{
  static const char* const sorts[] = {
    [WRONG_NONE] = "none", [WRONG_NOT_MADE] = "pair not made", [WRONG_PRESET] = "wrong preset",
    [WRONG_OFF] = "off",   [WRONG_CHANNEL] = "muted",          [WRONG_ELSE] = "something else"};
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const char* const other = w->other >= 0 ? o->plant->outputs[w->other].name : "";
  switch (w->sort) {
    case WRONG_PART:
      break;
    case WRONG_DRIVE: {
      const DriveFault* const f = &w->drive->fault;
      const Fault as_line = {PART_ELSE, f->mode, f->a, f->b, -1, 1.0};
      char name[24];
      return arena_copy(arena, catalogue_name(&as_line, name));
    }
    case WRONG_DRIVE_OTHER:
      return arena_format(arena, "fed from %s", other);
    case WRONG_CONTENT:
      return arena_format(arena, "gets the content of %s", other);
    case WRONG_PLUGS:
      return arena_format(arena, "plugs swapped with %s", other);
    default:
      return sorts[w->sort];
  }
  switch (w->fail.mode) {
    case FAIL_OPEN:
      return w->fail.part == FAIL_AT_DRIVER ? "driver open"
             : w->fail.part == FAIL_AT_BOX  ? "box missing"
             : w->fail.part == FAIL_AT_LINK ? "link out"
             : c->n_poles ? arena_format(arena, "open %s", output_pole_text(c->poles[0]))
                          : "open";
    case FAIL_HIGH:
      return "high";
    case FAIL_SHORT:
      return w->fail.part == FAIL_AT_DRIVER ? "driver short" : "short";
    case FAIL_REVERSED:
      return "reversed";
    case FAIL_CROSSED:
      return "pairs crossed";
    case FAIL_TAP:
      return "tap too high";
    default:
      return "none";
  }
}

// Which end of a drive line, or the output before it.
static const char*
drive_part_text(const Outputs* o, Arena* arena, int circuit, DrivePart part)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const DriveLine* const line = &o->drives[o->drive_of[circuit]].line;
  const char* const from = c->mix ? arena_format(arena, "desk output %s", c->desk_output)
                           : line->processor_out
                             ? arena_format(arena, "processor output %d", line->processor_out)
                             : arena_format(arena, "processor output of zone %d", c->zone);
  const char* const whole = c->mix ? arena_format(arena, "return %s", c->return_pair)
                                   : arena_format(arena, "drive line of zone %d", c->zone);
  if (!from || !whole || part == DRIVE_OUTPUT) {
    return whole ? from : NULL;
  }
  return part == DRIVE_AT_OUTPUT
           ? arena_format(arena, "%s, its plug at %s", whole, from)
           : arena_format(arena, "%s, its plug at %s", whole,
                          c->transmitter[0] ? "the transmitter" : "the amplifier");
}

const char*
outputs_part_text(const Outputs* o, Arena* arena, int circuit, const Wrong* w)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  switch (w->sort) {
    case WRONG_PART:
      return w->fail.part == FAIL_AT_CABLE  ? "cable"
             : w->fail.part == FAIL_AT_LINK ? arena_format(arena, "link %d", w->fail.at)
                                            : arena_format(arena, "box %d", w->fail.at);
    case WRONG_NOT_MADE:
      return "cable";
    case WRONG_PRESET:
    case WRONG_OFF:
      return c->amp[0] ? arena_format(arena, "amplifier %s", c->amp) : "transmitter";
    case WRONG_CHANNEL:
      return c->amp[0] ? arena_format(arena, "amplifier %s channel %d", c->amp, c->amp_channel)
                       : "transmitter";
    case WRONG_DRIVE:
      return drive_part_text(o, arena, circuit, w->drive->fault.part);
    case WRONG_DRIVE_OTHER:
      return c->mix ? arena_format(arena, "return %s", c->return_pair)
                    : arena_format(arena, "drive line of zone %d", c->zone);
    case WRONG_CONTENT:
      return arena_format(arena, "desk output %s", c->desk_output);
    case WRONG_PLUGS:
      return "amplifier plugs";
    default:
      return w->sort == WRONG_NONE ? "none" : "somewhere else";
  }
}
