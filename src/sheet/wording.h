// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

/*
  Every sentence that stands on paper as it is, in one place, to be read through and corrected.
  Whole sentences; what changes from sheet to sheet has a place of its own in the drawing.
*/

#define WORDING_MARK "another mark, another list"
#define WORDING_TODAY "Not as the list has it. "

// Cautions: job of the sheet first, then what could hurt
#define WORDING_PLUG                                                                               \
  "Before you plug or unplug: muted at every desk that has the line, in-ear sends too, "           \
  "headphones "                                                                                    \
  "down (solo is not muted by mute). Phantom off where it says off or NEVER; after phantom off "   \
  "wait 5 s."
#define WORDING_RIBBON                                                                             \
  "NEVER: phantom or a tester can hurt this source. Phantom off, wait 5 s, try the cable without " \
  "it, then plug."
#define WORDING_PHANTOM_DESK                                                                       \
  "Phantom on or off only while the channel is muted at every desk, in-ear sends too."
#define WORDING_TESTER                                                                             \
  "Never with a ribbon or a source marked NEVER anywhere on the line. Under phantom: muted at "    \
  "every desk, headphones down. With the sender: nothing but the cable on it."
#define WORDING_SPEAKER                                                                            \
  "Measure only with the circuit unplugged from its amplifier and nothing else in that hang "      \
  "playing: amplifier outputs can exceed 50 V, and bridged ones have no earthed side. No work "    \
  "under or on a moving hang."
#define WORDING_MONITOR                                                                            \
  "Start low and come up slowly; warn whoever stands near. Nobody wears the in-ears while a line " \
  "is plugged or a feed is tried. Measure a wedge circuit only when unplugged from its amplifier."
#define WORDING_TAG                                                                                \
  "Do not plug. Only a flex check of 60 s with counted breaks clears it, on stage or at the "      \
  "bench."
#define WORDING_SPARE "Plug a spare only when it is muted at every desk, in-ear sends too."

// What a sheet is
#define WORDING_BOXES                                                                              \
  "Cut out; the letter is read from 8 m, a socket from 1.5 m. The code opens the line on the "     \
  "crew "                                                                                          \
  "page."
#define WORDING_BOXES_BARE "Cut out; the letter is read from 8 m, a socket from 1.5 m."
#define WORDING_CABLES                                                                             \
  "Two a cable, one for each end, 25 to 75 mm from the connector, folded at the dashes, clear "    \
  "heat-shrink over it."
#define WORDING_NO_CABLES "No list names a cable: bring one with the columns cable, kind, length_m."
#define WORDING_STRIPS                                                                             \
  "Fields are 25 mm wide, one a fader. Lift the strip with its act and put the next one down."
#define WORDING_TAGS "Tape over both ends, then the tag. What is not filled in is not known."
#define WORDING_SPARES                                                                             \
  "Free in this act and in the next: a way round that need not be given back in the changeover."
#define WORDING_LAMPS "Filled mark: red. Hollow mark: green. No mark: dark or only a glimmer."
#define WORDING_LAMPS_PHANTOM                                                                      \
  "Under phantom: source unplugged, lamps in its place. The fault lies between the lamps and the " \
  "desk; go one joint on and read again. Past an isolating transformer nothing lights."
#define WORDING_LAMPS_SENDER                                                                       \
  "With the sender: the cable unplugged at both ends, sender at one, lamps at the other. All "     \
  "dark "                                                                                          \
  "on a known-good cable too: the tester's battery or plug."
#define WORDING_LAMPS_ALONE                                                                        \
  "By its own battery: the cable unplugged at both ends, lamps at one, nothing at the other."
#define WORDING_OUTPUTS                                                                            \
  "Ohms are cold, at the amplifier's end, leads nulled; warm copper reads 4 % more for each 10 "   \
  "K: "                                                                                            \
  "hold it against its twin."
#define WORDING_NO_OUTPUTS                                                                         \
  "No list names a loudspeaker circuit: bring one with the columns circuit, amp, pins and ohms."
#define WORDING_NO_MIXES                                                                           \
  "No list names a monitor mix: bring one with the columns mix, name and feeds."
#define WORDING_NO_TESTER "The kit has no tester with three contacts."
#define WORDING_INPUTS                                                                             \
  "Tick what arrives: house, monitors, broadcast. off = it needs none, NEVER = it may be hurt."
#define WORDING_PATCH "One block a box: cut along the dashes and tape it to the box."
#define WORDING_PLOT "Seen from above, audience at the bottom. SR and SL are the performer's."
#define WORDING_BANDS                                                                              \
  "Colours as IEC 60062: tens first, nearest the connector. Shops differ: agree on it first."
#define WORDING_PROOF                                                                              \
  "Proven: readings since it was last touched leave less than 1 in 50 for every fault the act "    \
  "would notice, and one was taken at that desk. What was not seen is not known."
#define WORDING_NOT_PLACED "Without a place on the lists:"
#define WORDING_NOTHING_BEFORE "Nothing was on this stage before: everything is new."
