// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/outputs_say.h"

/*
  Steps of outputs in words: one sentence each, and the caution each of them needs. A caution
  follows from what is done and what it is done to, never from the odds.
*/

const char*
outputs_caution(const OutputCircuit* c, OutputDoes does, OutputCheck check, OutputFix fix)
{
  static const char ohms[] =
    "Only with the plug out of the amplifier and nothing else in that hang or stack playing: an "
    "amplifier's outputs can exceed 50 V rms (312.5 W into 8 ohm), and bridged ones have no "
    "earthed "
    "side. A meter on a live output breaks, and so may you. Local electrical codes and licensed "
    "people decide, not this sheet.";
  static const char bridged[] =
    "This channel is bridged: neither of its poles is earth, so nothing earthed may touch either. "
    "Plug out of the amplifier first, nothing else in that hang playing; outputs can exceed 50 V "
    "rms. Local electrical codes and licensed people decide, not this sheet.";
  static const char loud[] =
    "Warn people near the loudspeakers and keep ears away from them; begin at -40 dB, ramp, -30 dB "
    "at "
    "most. Never sweep or pulse a high driver below its crossover. Hearing: 85 dB(A) over 8 h, 100 "
    "dB(A) reaches that in 15 min (EU 2003/10/EC).";
  static const char drive[] = "All amplifier channels down before anything is plugged or a tone "
                              "goes out, not only this one's: "
                              "a swapped line plays elsewhere. Tone from -40 dBu, not above the "
                              "list's level; warn people near "
                              "the loudspeakers.";
  static const char plug[] =
    "Amplifier channel muted and down before the plug moves; its outputs can exceed 50 V rms. "
    "Nobody "
    "under or on a moving hang. Local electrical codes and licensed people decide, not this sheet.";
  static const char hang[] =
    "Nobody works under or on a moving hang, and none is lowered over people: the riggers decide. "
    "Until then note it and live with it, or turn its twin down 3 dB. Amplifier muted and its plug "
    "out before any loudspeaker plug moves (outputs can exceed 50 V rms).";
  static const char rack[] = "Look only: nothing inside a rack is touched, its outputs can exceed "
                             "50 V rms; amplifier mains is "
                             "for licensed people.";
  static const char ears[] = "In-ears out, or their volume down, while a name or a tone is sent; "
                             "the performer is told first. "
                             "Speak at a low level and raise it.";
  static const char start[] =
    "Channel muted and down while it is switched or loaded, then raised from -40 dB; warn people "
    "near "
    "the loudspeakers. Crossed pairs put lows into a high driver: ohms per pair before level.";
  if (c->transmitter[0]) {
    return ears;
  }
  if (does == OUTPUT_DOES_CHECK) {
    switch (check) {
      case OUT_OHMS:
      case OUT_IMPEDANCE:
        return c->mode == OUTPUT_BRIDGED ? bridged : ohms;
      case OUT_TONE:
      case OUT_HUM:
        return drive;
      case OUT_PRESET:
      case OUT_LIGHT:
        return rack;
      default:
        return loud;
    }
  }
  if (does == OUTPUT_DOES_ASK) {
    return c->mode == OUTPUT_BRIDGED ? bridged : plug;
  }
  switch (fix) {
    case FIX_PRESET:
    case FIX_SWITCH:
    case FIX_UNMUTE:
    case FIX_CONTENT:
      return start;
    case FIX_DRIVE:
    case FIX_PATCH:
    case FIX_OUTPUT:
      return drive;
    default:
      return outputs_hangs(c) && fix != FIX_PLUG ? hang : plug;
  }
}

const char*
outputs_say_check(const Outputs* o, Arena* arena, int circuit, OutputCheck check, int at)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const OutputStanding* const s = &o->standing[circuit];
  const char* const amp = c->amp[0] ? c->amp : c->transmitter;
  switch (check) {
    case OUT_PRESET:
      return arena_format(arena,
                          "%s channel %d: read the name of its preset, before any cable is "
                          "touched. It should be \"%s\".",
                          amp, c->amp_channel, c->preset);
    case OUT_LIGHT:
      return arena_format(arena, "%s: look at its lights: on, protecting, or dark?", amp);
    case OUT_TONE:
      return c->mix
               ? arena_format(arena, "Tone on %s, read at the input of %s channel %d.",
                              c->desk_output, amp, c->amp_channel)
               : arena_format(
                   arena,
                   "Tone out of the processor for zone %d (%s), read at the input of %s: as the "
                   "sheet says, 6 dB low, or nothing?",
                   c->zone, c->zone_name, amp);
    case OUT_HUM:
      return arena_format(arena, "Without a tone: does it hum at the input of %s?", amp);
    case OUT_NAME:
      return c->mix
               ? arena_format(
                   arena,
                   "Have the desk speak the name \"mix %d, %s\" into %s: which name arrives at %s?",
                   c->mix, c->zone_name, c->desk_output, amp)
               : arena_format(
                   arena,
                   "Have the desk speak the name \"%s\" into that zone: which name arrives at %s?",
                   c->zone_name, amp);
    case OUT_OHMS:
      if (at == OUT_AT_CABLE) {
        return arena_format(arena,
                            "%s: pull the cable out of the first box and read ohms into its plug, "
                            "the other end still "
                            "out of the amplifier. A good cable reads open.",
                            c->name);
      }
      if (at > 0) {
        return arena_format(arena, "%s: pull link %d out of box %d and read ohms into the link.",
                            c->name, at, at);
      }
      return s->now_ohm > 0.0
               ? arena_format(
                   arena,
                   "%s: read ohms across %s of the plug of %s channel %d, leads taken off. %.2f "
                   "ohm %s.",
                   c->name, c->pins[0] ? c->pins : "the pair", amp, c->amp_channel, s->now_ohm,
                   s->twin.n_like > 0 ? "is what its like read" : "by the list")
               : arena_format(arena, "%s: read ohms across %s of the plug of %s: open or not?",
                              c->name, c->pins[0] ? c->pins : "the pair", amp);
    case OUT_PLAYS:
      return at > 0 ? arena_format(
                        arena,
                        "%s: noise at -30 dB on this circuit alone, stand at box %d: does it play?",
                        c->name, at)
                    : arena_format(
                        arena,
                        "%s: noise at -30 dB on this circuit alone, walk to its boxes: right box, "
                        "right band, each as loud as the other?",
                        c->name);
    case OUT_PULSE:
      return at > 0 ? arena_format(arena, "%s: polarity pulse at box %d, low level.", c->name, at)
                    : arena_format(arena, "%s: polarity pulse, box by box, low level.", c->name);
    case OUT_IMPEDANCE: {
      static const Wrong none = {.sort = WRONG_NONE, .other = -1};
      const double ohm = outputs_impedance(o, circuit, &none);
      return arena_format(arena,
                          "%s: read its impedance at 1 kHz across %s of the plug of %s with the "
                          "impedance meter, about %.3g ohm.",
                          c->name, c->pins[0] ? c->pins : "the pair", amp, ohm);
    }
    case OUT_SUM:
      return arena_format(
        arena, "%s: play it with its neighbour at low level: louder together, or weaker?", c->name);
    default:
      return NULL;
  }
}

const char*
outputs_say_fix(const Outputs* o, Arena* arena, int circuit, OutputFix fix, int at)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const char* const amp = c->amp[0] ? c->amp : c->transmitter;
  switch (fix) {
    case FIX_PRESET:
      return arena_format(arena, "%s: load the preset \"%s\" of the list, channels muted.", amp,
                          c->preset);
    case FIX_SWITCH:
      return arena_format(arena, "%s: switch it on, unmute channel %d, level as on the sheet.", amp,
                          c->amp_channel);
    case FIX_DRIVE:
      return arena_format(arena, "%s: use the spare drive pair to %s.",
                          c->mix ? c->name : c->zone_name, amp);
    case FIX_PATCH:
      return c->mix
               ? arena_format(arena, "%s: move the plug at the return panel so that %s gets %s.",
                              c->name, amp, c->desk_output)
               : arena_format(
                   arena,
                   "Zone %d: move the plug at the processor so that %s gets its own drive line.",
                   c->zone, amp);
    case FIX_UNMUTE:
      return c->mix
               ? arena_format(arena, "%s: unmute %s at the desk and raise it to where it was.",
                              c->name, c->desk_output)
               : arena_format(arena,
                              "Zone %d: unmute its output of the processor and raise it to what "
                              "the sheet says.",
                              c->zone);
    case FIX_OUTPUT:
      return c->mix
               ? arena_format(arena, "%s: feed return %s from another output of the desk.", c->name,
                              c->return_pair)
               : arena_format(arena,
                              "Zone %d: move its drive line to another output of the processor, "
                              "with the same setting.",
                              c->zone);
    case FIX_CONTENT:
      return arena_format(arena, "%s: at the desk, give %s its own mix again.", c->name,
                          c->desk_output);
    case FIX_PLUG:
      return arena_format(
        arena, "%s: plugs home and turned until they lock, at %s channel %d and at the box.",
        c->name, amp, c->amp_channel);
    case FIX_CABLE:
      return arena_format(arena, "%s: swap the cable from %s to the first box.", c->name, amp);
    case FIX_LINK:
      return arena_format(arena, "%s: swap the link between box %d and box %d.", c->name, at,
                          at + 1);
    default:
      return arena_format(arena, "%s: take box %d out of the circuit or put another in its place.",
                          c->name, at);
  }
}

const char*
outputs_say_ask(const Outputs* o, Arena* arena, int circuit, bool unplug)
{
  const OutputCircuit* const c = &o->plant->outputs[circuit];
  const char* const amp = c->amp[0] ? c->amp : c->name;
  return unplug
           ? arena_format(
               arena,
               "%s: mute it, pull its loudspeaker plug, and say so (%s amplifier=unplugged). "
               "Then ohms can be read.",
               amp, amp)
           : arena_format(
               arena,
               "%s: its loudspeaker plug is out. Plug it, locked, channels down, and say so (%s "
               "amplifier=plugged).",
               amp, amp);
}
