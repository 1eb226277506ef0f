// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"

/*
  Everything the product says about steps, reasons, cautions and ways round, as whole sentences in
  one place, so that a practitioner can read it through and correct it, and another language can
  have its own table. A sentence has named gaps, {socket}; nothing is ever glued from pieces of
  sentences.
*/

#define WORDS_LIST(X)                                                                              \
  /* Checks: what to do */                                                                         \
  X(WORDS_LEVEL, "At the {desk}, listen to channel {input} while {source} plays or speaks: how "   \
                 "does it arrive?")                                                                \
  X(WORDS_TONE, "At the {desk}, listen to channel {input}: is {source} full, or thin and without " \
                "bass?")                                                                           \
  X(WORDS_HUM, "At the {desk}, listen to channel {input} with {source} quiet: does it hum?")       \
  X(WORDS_CRACKLE,                                                                                 \
    "Move the cable at {socket} and at {source} while the {desk} listens to channel "              \
    "{input}: does it crackle?")                                                                   \
  X(WORDS_POLARITY,                                                                                \
    "At the {desk}, compare the polarity of channel {input} with a good neighbour: the "           \
    "same, or the other way round?")                                                               \
  X(WORDS_SEEN,                                                                                    \
    "At the {desk}, watch the input meters of {input} and its neighbours while {source} "          \
    "plays or speaks: which one moves?")                                                           \
  X(WORDS_LOOK_DESK,                                                                               \
    "At the {desk}, look at channel {input}: are mute, patch, phantom, pad and gain as "           \
    "the list says?")                                                                              \
  X(WORDS_LOOK_DIGITAL,                                                                            \
    "At the {desk}, look at channel {input} (mute, patch, phantom, pad, gain) and at box "         \
    "{box}: is it there, who owns its gain, which clock does it follow?")                          \
  X(WORDS_BOX_LAMPS,                                                                               \
    "At box {box}, look at the lamps for power, network and clock: what do they show?")            \
  X(WORDS_LOOK_SOCKET,                                                                             \
    "At box {box}, follow the cable in {socket} back to where it comes from: whose is it?")        \
  X(WORDS_VOLTS,                                                                                   \
    "At box {box}, with phantom on for line {line}, read the volts in line at {socket}: "          \
    "contacts 2 and 3, each against 1.")                                                           \
  X(WORDS_LAMPS,                                                                                   \
    "At box {box}, unplug {socket} and put the lamp tester in; with phantom on for line "          \
    "{line} read the lamps {lamps}, a small letter for one clearly weaker than usual.")            \
  X(WORDS_OHMS,                                                                                    \
    "At box {box}, unplug {socket} and measure across contacts 2 and 3 of the cable that "         \
    "came out.")                                                                                   \
  X(WORDS_FLEX,                                                                                    \
    "Take the cable of {socket} out at both ends, put it on the lamp tester and bend both "        \
    "ends for 60 s: does it break?")                                                               \
  X(WORDS_SENT,                                                                                    \
    "Take the cable of {socket} out at both ends, put the sender on its microphone end and the "   \
    "lamp tester on the other, nothing else on it, and read the lamps {lamps}.")                   \
  X(WORDS_HUNT, "At box {box}, plug the known-good microphone into {socket} and speak: does the "  \
                "{desk} hear it on channel {input}?")                                              \
  /* Repairs: what to do */                                                                        \
  X(WORDS_SWITCH, "At {source}, look at its switch and its battery, and put them right.")          \
  X(WORDS_SWITCH_RADIO,                                                                            \
    "At the receiver of {source}, see that receiver and transmitter are on and not muted, "        \
    "the batteries good and the output level as the list says.")                                   \
  X(WORDS_SWITCH_BOX,                                                                              \
    "At the box of {source}, see that the jack is pushed home, the pad out, and level "            \
    "switch and battery as they should be.")                                                       \
  X(WORDS_LIFT,                                                                                    \
    "At {source}, move the lift switch of its box: it lifts contact 1 of this line alone. "        \
    "Never lift a mains earth.")                                                                   \
  X(WORDS_INLINE, "Between {source} and {socket}, look at what stands in line: by the list it is " \
                  "{item}. Put that in, take anything else out, and change one that looks bad.")   \
  X(WORDS_PANEL,                                                                                   \
    "At the stage patch panel, every plug looks one hole off: put them right, {source} to "        \
    "{socket} first.")                                                                             \
  X(WORDS_SWAP_SOURCE, "Swap {source} for a spare of the same sort.")                              \
  X(WORDS_SWAP_CABLE, "Swap the cable between {source} and {socket}, and tape off the old one.")   \
  X(WORDS_PLUG,                                                                                    \
    "At box {box}, take the cable that comes from {source} and plug it into {socket}.")            \
  X(WORDS_PLUG_FROM, "At box {box}, {source} is in {found}: move its plug to {socket}.")           \
  X(WORDS_PLUG_SWAP, "At box {box}, exchange the plugs in {socket} and {found}.")                  \
  X(WORDS_DESK,                                                                                    \
    "At the {desk}, put channel {input} right: unmuted, patched from input {input}, pad "          \
    "and gain as the list says.")                                                                  \
  X(WORDS_DESK_PHANTOM,                                                                            \
    "At the {desk}, put channel {input} right: unmuted, patched from input {input}, "              \
    "phantom on, pad and gain as the list says.")                                                  \
  X(WORDS_DESK_NO_PHANTOM,                                                                         \
    "At the {desk}, put channel {input} right: unmuted, patched from input {input}, "              \
    "phantom off and 5 s gone by, pad and gain as the list says.")                                 \
  X(WORDS_PHANTOM, "At the {desk}, switch phantom on for channel {input}.")                        \
  X(WORDS_TAIL, "At the split, unlock the tail of box {box}, look at its pins, and lock it home.") \
  X(WORDS_INPUT, "At the {desk}, patch line {line} to a spare input.")                             \
  X(WORDS_SIDE, "Feed line {line} to the {desk} from the house desk instead of the split.")        \
  X(WORDS_SOCKET, "Move the plug from {socket} to the spare socket {way}.")                        \
  X(WORDS_DESK_GUEST,                                                                              \
    "At the {desk}, put channel {input} right: unmuted, patched from input {input}.")              \
  X(WORDS_PHANTOM_BOX,                                                                             \
    "At the {desk}, switch phantom on for channel {input}: no other desk can set it on "           \
    "box {box}.")                                                                                  \
  X(WORDS_LEAD, "At box {box}, push the network lead home and lock it, at both its ends.")         \
  X(WORDS_LEAD_SPARE,                                                                              \
    "At box {box}, push the network lead home and lock it, at both its ends; if the "              \
    "network lamp stays dark, put the spare lead in its place.")                                   \
  X(WORDS_POWER, "At box {box}, find where its power is lost ({item}), and give it power again.")  \
  X(WORDS_CLOCK, "At the {desk}, set the clock of box {box} to follow the {item}.")                \
  X(WORDS_OWNER,                                                                                   \
    "At the {desk}, ask the desk that has the gain of box {box} now, then take it back.")          \
  /* Reasons */                                                                                    \
  X(WORDS_WHY_SPLIT, "It tells two things apart: {first}, or {second}; {near}.")                   \
  X(WORDS_WHY_HALF, "It splits what is left in two: {first}, or {second}; {near}.")                \
  X(WORDS_WHY_SPLIT_PART, "It tells two things apart: {item}, {first} or {second}; {near}.")       \
  X(WORDS_WHY_HALF_PART, "It splits what is left in two: {item}, {first} or {second}; {near}.")    \
  X(WORDS_WHY_ONE, "It settles one thing: {first}; {near}.")                                       \
  X(WORDS_WHY_REPAIR, "The chance that this mends it is {odds}, most likely: {first}; {near}.")    \
  X(WORDS_WHY_HEARD, "The {desk} hears it: source, cable and box are most likely fine.")           \
  X(WORDS_WHY_FIRST, "Nothing has been read on this line yet.")                                    \
  X(WORDS_WHY_HELD, "{who} took this step and has not answered yet.")                              \
  X(WORDS_WHY_ROUND_BET,                                                                           \
    "Going round brings the sound back soonest now; the cause can be found later.")                \
  X(WORDS_WHY_ROUND, "The cause is not known after a minute: go round it now and find it later.")  \
  /* Cautions */                                                                                   \
  X(WORDS_MUTE, "Mute line {line} at every desk that has it, sends to in-ears too, and turn "      \
                "headphones down.")                                                                \
  X(WORDS_MUTE_LISTEN,                                                                             \
    "Mute line {line} at every desk that has it, sends to in-ears too; the {desk} listens by its " \
    "headphones alone, turned down first.")                                                        \
  X(WORDS_MUTE_PHANTOM,                                                                            \
    "Mute line {line} at every desk that has it, sends to in-ears too, and turn "                  \
    "headphones down before phantom goes on or off.")                                              \
  X(WORDS_MUTE_TWO,                                                                                \
    "Mute {socket} and {found} at every desk that has them, sends to in-ears too, and "            \
    "turn headphones down.")                                                                       \
  X(WORDS_UNPLUG,                                                                                  \
    "Mute line {line} and {unplug} at every desk that has them, sends to in-ears too, and turn "   \
    "headphones down. Unplug {unplug} first: phantom must not get there.")                         \
  X(WORDS_RIBBON,                                                                                  \
    "Ribbon: phantom off for line {line}, mute it at every desk that has it, sends to in-ears "    \
    "too, headphones down, and wait 5 s before you plug.")                                         \
  X(WORDS_NO_PHANTOM,                                                                              \
    "Phantom stays off on line {line}: {source} must not get it. Mute it at every desk "           \
    "that has it, sends to in-ears too, and turn headphones down.")                                \
  X(WORDS_NO_PHANTOM_TWO,                                                                          \
    "Phantom off on {socket} and {found}, then wait 5 s before a plug is touched: {unplug} must "  \
    "not get it. Mute both at every desk that has them, sends to in-ears too, headphones down.")   \
  X(WORDS_NO_PHANTOM_BOX,                                                                          \
    "Phantom off on every line of box {box}, then wait 5 s before a plug is touched: {source} "    \
    "must not get it. Mute them all at every desk, sends to in-ears too, headphones down.")        \
  X(WORDS_BOX_CAUTION,                                                                             \
    "Mute all lines of box {box} at every desk, sends to in-ears too, and turn headphones "        \
    "down.")                                                                                       \
  X(WORDS_BOX_LEAD,                                                                                \
    "Mute all lines of box {box} at every desk, sends to in-ears too, and turn headphones "        \
    "down. Before it goes in, the {desk} sees that phantom is set off for {unplug}.")              \
  X(WORDS_BOX_LEAD_ALL,                                                                            \
    "Mute all lines of box {box} at every desk, sends to in-ears too, and turn headphones "        \
    "down. Before it goes in, the {desk} sees that phantom is set off for every source "           \
    "of the box that must not get it.")                                                            \
  X(WORDS_BOX_UNPLUG,                                                                              \
    "Mute all lines of box {box} at every desk, sends to in-ears too, and turn headphones "        \
    "down. Unplug {unplug} too: phantom may come on and must not get there.")                      \
  X(WORDS_BOX_UNPLUG_ALL,                                                                          \
    "Mute all lines of box {box} at every desk, sends to in-ears too, and turn headphones "        \
    "down. Unplug every source of box {box}: phantom may come on, and many of them must "          \
    "not get it.")                                                                                 \
  /* Ways round */                                                                                 \
  X(WORDS_AROUND_SPARE, "Use {spare} on line {way}: it is plugged and ready.")                     \
  X(WORDS_AROUND_SPARE_DESK, "{spare} up on channel {input}, {source} down.")                      \
  X(WORDS_AROUND_SOCKET, "Move the plug of {source} from {socket} to the spare socket {way}.")     \
  X(WORDS_AROUND_DESK, "Patch input {input} to the channel of {source}.")                          \
  X(WORDS_AROUND_OWNER,                                                                            \
    "Patch input {input} to the channel of {source}, and set its gain there: this desk owns the "  \
    "box.")                                                                                        \
  X(WORDS_AROUND_OWNER_FED,                                                                        \
    "Patch input {input} to the channel of {source}; set its gain, and its phantom once the plug " \
    "is in and still muted: this desk owns the box.")                                              \
  X(WORDS_AROUND_LEAD, "Box {box}: put the spare network lead in the place of the one it has.")    \
  X(WORDS_AROUND_BARE,                                                                             \
    "Use {way} in the place of {socket}, from the bare lines on and in every act.")                \
  X(WORDS_AROUND_LONGER, "Move the plug of {source} from {socket} to the spare socket {way}, "     \
                         "with a spare cable of {item} m put between.")                            \
  X(WORDS_AROUND_FREE, "Move the plug of {source} from {socket} to {way}, which is free now.")     \
  X(WORDS_AROUND_FREE_LONGER, "Move the plug of {source} from {socket} to {way}, which is free "   \
                              "now, with a spare cable of {item} m put between.")                  \
  X(WORDS_AROUND_INPUT,                                                                            \
    "At the {desk}, move the plug of line {line} from input {input} to the free input {way}.")     \
  X(WORDS_AROUND_INPUT_DESK,                                                                       \
    "Patch input {way} to the channel of {source}, once line {line} is in it.")                    \
  X(WORDS_AROUND_FEED, "Feed {source} to the {desk} from the {found}, which hears it.")            \
  X(WORDS_AROUND_FEED_FROM, "Send {source} alone, from before the fader, to the {found}.")         \
  X(WORDS_AROUND_FEED_TO, "Patch the feed from the {found} to the channel of {source}.")           \
  X(WORDS_AROUND_SIDE,                                                                             \
    "At the split, exchange the plugs of line {line} for the {desk} and the {found}.")             \
  X(WORDS_AROUND_SIDE_DESK,                                                                        \
    "Nothing to patch: {source} comes on the same input, from the other side.")                    \
  X(WORDS_AROUND_WITHOUT, "Do without {source}: mute its channel.")                                \
  X(WORDS_AROUND_COST_LATER, "{who} needs {way}: give it back before.")                            \
  X(WORDS_AROUND_COST_GAIN,                                                                        \
    "The gain is the {found}'s for both, and its fader must not be in it.")                        \
  X(WORDS_AROUND_COST_SIDE,                                                                        \
    "The {found} is without {source} then, unless the bad side is mended.")                        \
  X(WORDS_AROUND_COST_DIRECT, "The {found} is without {source} then, and only the direct side "    \
                              "gives phantom: none comes from the {desk} any more.")               \
  X(WORDS_AROUND_COST_SHORT, "The {desk} does not have {way}: it is without {source} then.")       \
  X(WORDS_AROUND_COST_INPUT, "Line {line} is not at the {desk} then.")                             \
  /* Giving a way round back */                                                                    \
  X(WORDS_BACK_SOCKET, "Move the plug of {source} from {way} back to {socket}, or take it out "    \
                       "where {source} is done; prove {socket} before it is counted on.")          \
  X(WORDS_BACK_SPARE, "Use {source} on line {line} again, instead of {spare}, once it is proven.") \
  X(WORDS_BACK_SPARE_DESK, "{source} up on channel {input}, {spare} down.")                        \
  X(WORDS_BACK_INPUT, "At the {desk}, move the plug of line {line} back to input {input}.")        \
  X(WORDS_BACK_INPUT_DESK,                                                                         \
    "Patch input {input} to the channel of {source} again, once line {line} is in it.")            \
  X(WORDS_BACK_FEED, "Take the feed of {source} from the {found} off the {desk}.")                 \
  X(WORDS_BACK_FEED_FROM, "Stop sending {source} to the {found}.")                                 \
  X(WORDS_BACK_SIDE,                                                                               \
    "At the split, exchange the plugs of line {line} for the {desk} and the {found} once more.")   \
  X(WORDS_BACK_SIDE_DESK, "Listen to {source} again: it comes from its own side of the split.")    \
  X(WORDS_BACK_LEAD,                                                                               \
    "Box {box} runs on the spare network lead: leave it so, and lay another spare.")               \
  X(WORDS_BACK_DESK, "Patch input {input} to the channel of {source} again.")                      \
  /* Lists against desks: what is the matter, then what to do */                                   \
  X(WORDS_PAPER_HARM, "Phantom is on for {source}, and it must not be: {item}.")                   \
  X(WORDS_PAPER_HARM_DO,                                                                           \
    "At the {desk}: phantom off on channel {input}, muted; wait 5 s. Only then may {source} go "   \
    "into {socket}.")                                                                              \
  X(WORDS_PAPER_SILENT, "{source} needs phantom and has none: {item}. It will be silent.")         \
  X(WORDS_PAPER_BATTERY,                                                                           \
    "{source} needs phantom and has none: {item}. It will be silent, or run on its battery until " \
    "that is flat.")                                                                               \
  X(WORDS_PAPER_SILENT_DO, "At the {desk}: once {source} is plugged, phantom on for channel "      \
                           "{input}, still muted.")                                                \
  X(WORDS_PAPER_NEEDLESS, "Phantom is on for {source}, and the list says no. It does no harm to "  \
                          "{item}.")                                                               \
  X(WORDS_PAPER_NEEDLESS_DO, "At the {desk}: phantom off on channel {input}, muted.")              \
  X(WORDS_PAPER_BEHIND,                                                                            \
    "Phantom is on for {source} and gets nowhere: the {desk} is on an isolated side of the "       \
    "split, the {found} gives it for all.")                                                        \
  X(WORDS_PAPER_BEHIND_BOX,                                                                        \
    "Phantom is on for {source} and gets nowhere: the {found} owns box {box}, not the {desk}.")    \
  X(WORDS_PAPER_BEHIND_DO, "At the {desk}: phantom off on channel {input}, so that nobody counts " \
                           "on it; if it is needed, ask the {found}.")                             \
  X(WORDS_PAPER_LIST_NEEDS, "The list says no phantom for {source}, but it needs it: {item}.")     \
  X(WORDS_PAPER_LIST_HARM, "The list says phantom for {source}, but it must not get it: {item}.")  \
  X(WORDS_PAPER_LIST_DO, "Ask whoever wrote the list, and have it put right there; until then go " \
                         "by the kind of source.")                                                 \
  X(WORDS_PAPER_NO_CHANNEL, "{source} has no channel.")                                            \
  X(WORDS_PAPER_NO_CHANNEL_DO, "At the {desk}: give {source} a channel that takes input {way}.")   \
  X(WORDS_PAPER_NO_INPUT,                                                                          \
    "Channel {input}, called {found}, takes no input; it should take {way}.")                      \
  X(WORDS_PAPER_PATCH, "Channel {input}, called {found}, takes input {first}, which is {second}; " \
                       "{source} is on input {way}.")                                              \
  X(WORDS_PAPER_PATCH_FREE, "Channel {input}, called {found}, takes input {first}, where nothing " \
                            "plays; {source} is on input {way}.")                                  \
  X(WORDS_PAPER_PATCH_DO, "At the {desk}: patch channel {input} to input {way}, muted.")           \
  X(WORDS_PAPER_NAME, "Channel {input} is called {found}, but what plays there is {source}.")      \
  X(WORDS_PAPER_NAME_DO, "At the {desk}: call channel {input} {source}.")                          \
  X(WORDS_PAPER_STRANGE, "Channel {input} is called {found}; the list has {source} there.")        \
  X(WORDS_PAPER_STRANGE_DO, "Ask the {desk} whether it means the same.")                           \
  X(WORDS_PAPER_EXTRA, "Channel {input} has {found} here; by the list of this act nothing plays "  \
                       "on this line.")                                                            \
  X(WORDS_PAPER_EXTRA_DO, "Ask the {desk} where it has that from; it may hold another list.")      \
  X(WORDS_PAPER_VERSION, "Holds {found} of the list; {first} is in force.")                        \
  X(WORDS_PAPER_VERSION_DO, "Give the {desk} {first}, and read it back where it differs.")         \
  X(WORDS_PAPER_PAD_IN, "The pad is in ({first} dB) and {source} does not want it: that much too " \
                        "low.")                                                                    \
  X(WORDS_PAPER_PAD_IN_DO, "At the {desk}: pad out on channel {input}, muted.")                    \
  X(WORDS_PAPER_PAD_OUT, "The pad is out and {source} comes at line level: too loud for it.")      \
  X(WORDS_PAPER_PAD_OUT_DO, "At the {desk}: pad in on channel {input}, muted.")                    \
  X(WORDS_PAPER_GAIN_LOW, "The gain is at {first} dB, some {second} dB below what {source} "       \
                          "usually wants.")                                                        \
  X(WORDS_PAPER_GAIN_HIGH, "The gain is at {first} dB, some {second} dB above what {source} "      \
                           "usually wants.")                                                       \
  X(WORDS_PAPER_GAIN_DO, "At the {desk}: set channel {input} to about {way} dB, muted, and go on " \
                         "by ear.")                                                                \
  X(WORDS_PAPER_MUTE, "{source} is not muted.")                                                    \
  X(WORDS_PAPER_MUTE_DO, "At the {desk}: mute channel {input}, sends to in-ears too, before "      \
                         "anything is plugged.")                                                   \
  X(WORDS_PAPER_NO_LINE, "{source} is on no line: the list gives it no socket.")                   \
  X(WORDS_PAPER_NO_LINE_DO, "Ask which socket it goes to, and write it into the list.")            \
  X(WORDS_PAPER_TWICE, "{socket} is given twice: to {source} and to {found}.")                     \
  X(WORDS_PAPER_TWICE_DO, "Give one of them another socket, and write it into the list.")          \
  X(WORDS_PAPER_INPUT_TWICE, "Input {input} is given twice: to this line and to line {way}.")      \
  X(WORDS_PAPER_INPUT_TWICE_DO, "Look at the back of the {desk} which of the two is there, and "   \
                                "put the lines list right.")                                       \
  X(WORDS_PAPER_PLUGGED, "{found} was said to be in {socket}; the list has {source} there.")       \
  X(WORDS_PAPER_PLUGGED_DO, "Look into {socket}. Muted, move the plug or write the move into the " \
                            "list; if a ribbon is near, phantom off first, then wait 5 s.")        \
  X(WORDS_PAPER_MOVED,                                                                             \
    "{source} runs on a way round, {way}; the {desk} has not said that it follows.")               \
  X(WORDS_PAPER_MOVED_BACK,                                                                        \
    "{source} is back on line {line}; the {desk} has not said that it follows.")                   \
  X(WORDS_PAPER_SPARE, "{source} is on a spare: it is no way round any more in this act.")         \
  X(WORDS_PAPER_SPARE_DO, "Say so to everybody, or give it a line that is no spare.")              \
  X(WORDS_PAPER_SPARE_DESK, "Channel {input}, called {found}, takes a spare; the list has it "     \
                            "free.")                                                               \
  /* Proving */                                                                                    \
  X(WORDS_PROVE_MUTE,                                                                              \
    "{desk}: mute every line that is proven now, sends to in-ears too, and turn "                  \
    "headphones down: a solo is not muted by mute.")                                               \
  X(WORDS_PROVE_UNPLUG,                                                                            \
    "Stage: unplug {unplug} and leave them out: phantom is on while lines are proven, and must "   \
    "not get there. Afterwards phantom off, wait 5 s, only then plug them in again.")              \
  X(WORDS_PROVE_UNPLUG_BARE,                                                                       \
    "Stage: nothing may be plugged yet. See above all that {unplug} are empty: what the lists "    \
    "plug there must not get phantom.")                                                            \
  X(WORDS_PROVE_EMPTY,                                                                             \
    "Stage: nothing may be plugged yet, a ribbon or an unbalanced source least of all: phantom "   \
    "is on while lines are proven.")                                                               \
  X(WORDS_PROVE_HEARD, "{socket}, {source}: let it play or speak; the {desk} listens to channel "  \
                       "{input}.")                                                                 \
  X(WORDS_PROVE_MICROPHONE, "Known-good microphone into {socket}, speak; the {desk} listens to "   \
                            "channel {input}.")                                                    \
  X(WORDS_PROVE_LAMP, "Lamp tester into {socket}: a good line shows {lamps}.")                     \
  X(WORDS_PROVE_LAMP_OUT, "{source} out of {socket}, lamp tester in: a good line shows {lamps}.")  \
  X(WORDS_PROVE_VOLTS,                                                                             \
    "Meter and known-good microphone into {socket}: volts of contacts 2 and 3, "                   \
    "each against 1.")                                                                             \
  X(WORDS_PROVE_STAYS,                                                                             \
    "Stage: everything stays plugged as the list has it, and nobody plugs or unplugs until this "  \
    "is over.")                                                                                    \
  X(WORDS_PROVE_REST, "All else stays plugged as the list has it, and nobody plugs or unplugs "    \
                      "until this is over.")                                                       \
  X(WORDS_PROVE_DESK_VOLTS,                                                                        \
    "{socket}, {source}: meter between the line's plug and input {input} of the {desk}; phantom "  \
    "on for this channel, off at every other desk. Volts of 2 and 3, each against 1: a good line " \
    "shows {found}.")                                                                              \
  X(WORDS_PROVE_HUNT,                                                                              \
    "Phantom on for {input} at the {desk} alone, off everywhere else; walk the lamp tester along " \
    "the sockets until it lights.")                                                                \
  X(WORDS_PROVE_AHEAD,                                                                             \
    "{socket} was seen on input {found}, that of {way}, which is not proven yet: most likely the " \
    "hand is one socket ahead. If so, undo and go to {socket}.")                                   \
  X(WORDS_PROVE_BEHIND,                                                                            \
    "{socket} was seen on input {found}, that of {way}, proven just before: most likely the hand " \
    "is still there. If so, undo and go to {socket}.")                                             \
  X(WORDS_PROVE_OFF,                                                                               \
    "{socket} was seen on input {found} and the one before it one off as well: more likely the "   \
    "plugs or the tail of box {box} are one off than the hand.")                                   \
  /* Rehearsals */                                                                                 \
  X(WORDS_SAYS_NOTHING, "The {desk} says: nothing from {source} on channel {input}.")              \
  X(WORDS_SAYS_FAR_DOWN, "The {desk} says: next to nothing from {source} on channel {input}.")     \
  X(WORDS_SAYS_LOW, "The {desk} says: {source} on channel {input} is too low.")                    \
  X(WORDS_SAYS_OVER, "The {desk} says: {source} on channel {input} is far too loud.")              \
  X(WORDS_SAYS_HUM, "The {desk} says: {source} on channel {input} hums.")                          \
  X(WORDS_SAYS_HUM_LOUD, "The {desk} says: {source} on channel {input} hums loudly.")              \
  X(WORDS_SAYS_CRACKLE, "The {desk} says: {source} on channel {input} crackles.")                  \
  X(WORDS_SAYS_TOUCH, "The {desk} says: {source} on channel {input} crackles when touched.")       \
  X(WORDS_SAYS_OTHERS, "By now there are complaints of other lines too: {line}.")                  \
  X(WORDS_PLACE_DESK, "To the {desk}.")                                                            \
  X(WORDS_PLACE_BOX_MEND, "To box {box}, to change something.")                                    \
  X(WORDS_PLACE_BOX, "To box {box}, to look and measure.")                                         \
  X(WORDS_PLACE_SOURCE, "To {source}.")                                                            \
  X(WORDS_PLACE_SPLIT, "To the split.")                                                            \
  X(WORDS_NEW_LINE, "Run a new line across the stage, past everything.")                           \
  X(WORDS_ODDS_MOVED, "{first}: {found} before, {odds} now.")                                      \
  X(WORDS_ODDS_STILL, "{first}: still {odds}.")                                                    \
  X(WORDS_AFTER_CABLE,                                                                             \
    "Tape over both ends of each cable that came out and write on the tape what it did. Only a "   \
    "flex check of 60 s with counted breaks clears it, on stage or at the bench.")                 \
  X(WORDS_AFTER_SOURCE,                                                                            \
    "Tape what came out, write on the tape what it did, and lay it aside: it is tried again at "   \
    "the bench, not in the next changeover.")                                                      \
  X(WORDS_AFTER_SWITCH,                                                                            \
    "Nothing to tape off. Write down what was found at {source}, and look at the others of its "   \
    "sort before they are needed.")                                                                \
  X(WORDS_AFTER_PLUG,                                                                              \
    "Nothing to tape off: no part is bad. Where one plug sat wrong its neighbour may too; watch "  \
    "the meters beside it.")                                                                       \
  X(WORDS_AFTER_DESK,                                                                              \
    "Nothing to tape off: it was the desk. Store the scene as it is now, or the next recall "      \
    "brings it back.")                                                                             \
  X(WORDS_AFTER_BANK,                                                                              \
    "Nothing to tape off: it was the desk. Phantom on, still muted and one by one, for the other " \
    "sources of the bank that need it; then store the scene, or the next recall brings it back.")  \
  X(WORDS_AFTER_TAIL,                                                                              \
    "Nothing to tape off while it holds. Every line of box {box} is unproven until it has been "   \
    "heard again. If it goes once more, tape the tail off and lay another.")                       \
  X(WORDS_AFTER_INPUT,                                                                             \
    "Tape over input {input} of the {desk}, and write on the patch sheet where line {line} goes "  \
    "now. The input is looked at after the show.")                                                 \
  X(WORDS_AFTER_SIDE,                                                                              \
    "Mark line {line} at the split: its side to the {desk} is bad. What the {desk} has now is a "  \
    "loan; mend the side after the show and give it back.")                                        \
  X(WORDS_AFTER_SOCKET,                                                                            \
    "Tape over socket {socket}, tell every desk where {source} is now, and write it on the patch " \
    "sheet.")                                                                                      \
  X(WORDS_AFTER_LIFT,                                                                              \
    "Leave the lift switch of {source} where it is now and tape over it. Mains earths stay as "    \
    "they are.")                                                                                   \
  X(WORDS_AFTER_INLINE,                                                                            \
    "Tape what came out from between {source} and {socket}, write on the tape what it did, and "   \
    "lay it aside for the bench.")                                                                 \
  X(WORDS_AFTER_BOX,                                                                               \
    "Tape a lead that came out, at both ends. Every line of box {box} is unproven until it has "   \
    "been heard again.")                                                                           \
  X(WORDS_AFTER_ROUND,                                                                             \
    "The fault is still there. Put tape with a question mark on {socket} and on what is in it; "   \
    "find it after the act, when nobody waits.")                                                   \
  X(WORDS_TRUTH, "It was this: {first}.")                                                          \
  /* Between acts */                                                                               \
  X(WORDS_CHANGE_STRIKE, "At box {box}, pull {source} out of {socket}.")                           \
  X(WORDS_CHANGE_PLUG, "At box {box}, plug {source} into {socket}.")                               \
  X(WORDS_CHANGE_OVER, "At box {box}, pull {found} out of {socket} and plug {source} in.")         \
  X(WORDS_CHANGE_MOVE, "At box {box}, move {source} from {way} to {socket}.")                      \
  X(WORDS_CHANGE_MOVE_OVER, "At box {box}, pull {found} out of {socket} and move {source} there "  \
                            "from {way}.")                                                         \
  X(WORDS_CHANGE_HOLD, "At box {box}, pull {source} out of {socket} and take it along: it goes "   \
                       "into {way}.")                                                              \
  X(WORDS_CHANGE_IN, "At box {box}, plug {source}, which came out of {way}, into {socket}.")       \
  X(WORDS_CHANGE_IN_OVER, "At box {box}, pull {found} out of {socket} and plug {source} in, "      \
                          "which came out of {way}.")                                              \
  X(WORDS_CHANGE_KEEP, "{socket}: {source} stays as it is.")                                       \
  X(WORDS_CHANGE_KEEP_AS, "{socket}: {found} stays plugged and is {source} now.")                  \
  X(WORDS_CHANGE_WHY_STRIKE, "{source} does not play in {item}.")                                  \
  X(WORDS_CHANGE_WHY_LISTED, "The list of {item} has {source} on {socket}, line {line}.")          \
  X(WORDS_CHANGE_WHY_CHOSEN, "{socket}, line {line}, was chosen for {source} in {item}.")          \
  X(WORDS_CHANGE_WHY_INSTEAD, "{found} is taped off, so {source} goes on {socket}, line {line}, "  \
                              "in {item}.")                                                        \
  X(WORDS_CHANGE_WHY_HOLD, "{source} moves to {way}, which is not free or not here.")              \
  X(WORDS_CHANGE_CAUTION, "Not before every desk that has line {line} has said it is muted.")      \
  X(WORDS_CHANGE_CAUTION_OFF, "Not before every desk that has line {line} has said it is muted, "  \
                              "and the {desk} that phantom is off.")                               \
  X(WORDS_CHANGE_CAUTION_HARM,                                                                     \
    "{unplug} must never get phantom: not before every desk that has line {line} has said it is "  \
    "muted and the {desk} has looked that phantom is off; then wait 5 s.")                         \
  X(WORDS_CHANGE_CAUTION_RIBBON,                                                                   \
    "{unplug} is a ribbon: not before every desk that has line {line} has said it is muted and "   \
    "the {desk} has looked that phantom is off; wait 5 s. Test the cable before, without the "     \
    "ribbon on it.")                                                                               \
  X(WORDS_CHANGE_MUTE, "At the {desk}, mute {input}, sends to in-ears included, and turn the "     \
                       "headphones down. Then say so to the stage.")                               \
  X(WORDS_CHANGE_WHY_MUTE, "Plugs on these lines are pulled and put in. A solo is not muted by "   \
                           "mute.")                                                                \
  X(WORDS_CHANGE_OFF,                                                                              \
    "At the {desk}, still muted, phantom off for {input}. Wait 5 s, then say so "                  \
    "to the stage.")                                                                               \
  X(WORDS_CHANGE_OFF_LOOK, "At the {desk}, look that phantom is off for {input}, and say so to "   \
                           "the stage.")                                                           \
  X(WORDS_CHANGE_WHY_OFF, "A plug that is pulled under phantom is loud and can harm what comes "   \
                          "next.")                                                                 \
  X(WORDS_CHANGE_WHY_LOOK, "{unplug} goes there and must never get phantom.")                      \
  X(WORDS_CHANGE_PATCH, "At the {desk}, still muted, set {input} for {item}.")                     \
  X(WORDS_CHANGE_WHY_PATCH, "Name, input, pad and phantom of a channel are not the same in both "  \
                            "acts.")                                                               \
  X(WORDS_CHANGE_ON, "At the {desk}, still muted, phantom on for {input}: everything is plugged "  \
                     "at box {box}.")                                                              \
  X(WORDS_CHANGE_WHY_ON, "{source} needs it.")                                                     \
  X(WORDS_CHANGE_CAUTION_SCENE,                                                                    \
    "Still muted at every desk, headphones down. Recall no scene before the last plug is in: it "  \
    "brings its own mutes and phantom.")                                                           \
  X(WORDS_CHANGE_CAUTION_MUTED, "Still muted at every desk, headphones down.")                     \
  X(WORDS_CHANGE_SHORT, "There is no socket left for {source}.")                                   \
  X(WORDS_CHANGE_SHORT_SHARE, "There is no socket left for {source}; it could share a line with "  \
                              "{first}, or stay out.")                                             \
  X(WORDS_CHANGE_ROW_OUT, "Out: {source}.")                                                        \
  X(WORDS_CHANGE_ROW_HOLD, "Out: {source}, take it along to {way}.")                               \
  X(WORDS_CHANGE_ROW_IN, "In: {source}.")                                                          \
  X(WORDS_CHANGE_ROW_OVER, "Out: {found}. In: {source}.")                                          \
  X(WORDS_CHANGE_ROW_FROM, "In: {source}, from {way}.")                                            \
  X(WORDS_CHANGE_ROW_FROM_OVER, "Out: {found}. In: {source}, from {way}.")                         \
  X(WORDS_CHANGE_ROW_CAME, "From {way}.")                                                          \
  X(WORDS_CHANGE_ROW_KEEP, "Stays.")                                                               \
  X(WORDS_CHANGE_ROW_KEEP_AS, "Stays: {found}.")                                                   \
  X(WORDS_CHANGE_LEAVE, "{source} is missed less than a voice.")                                   \
  X(WORDS_CHANGE_LEAVE_PAIR, "{source} goes beside {first}, which is enough for a start.")         \
  X(WORDS_CHANGE_BENT_SPARE, "{source} goes on {socket}, which is kept as a spare: it is no way "  \
                             "round any more in this act.")                                        \
  X(WORDS_CHANGE_BENT_VOCAL, "{source} is not on the line it has in the other acts, but on "       \
                             "{socket}: every desk must look for it there.")                       \
  X(WORDS_CHANGE_BENT_DI, "{source} goes on {socket}, away from box {box} where its player is: "   \
                          "its DI stays with the player, the cable behind it gets longer.")        \
  X(WORDS_CHANGE_BENT_CABLE,                                                                       \
    "{source} goes on {socket}: the good cables of {item} m and more are "                         \
    "taken.")                                                                                      \
  X(WORDS_CHANGE_FEW_CABLES, "{input} plugs need a cable of {item} m or more each, and the lists " \
                             "have {found} good ones: count them before it begins.")               \
  X(WORDS_CHANGE_SHORT_CABLE, "{source} would need a cable of {item} m or more, and no good one "  \
                              "is left; no socket nearer is free.")                                \
  X(WORDS_CHANGE_ANYWAY,                                                                           \
    "{socket} was gone on with ({who}), and this is still open: {desk}. Mute "                     \
    "it now, and look before it is opened.")                                                       \
  X(WORDS_CHANGE_CABLE, "At box {box}, pull {source} out of {socket}, take its cable away and "    \
                        "plug it in again with another one.")                                      \
  X(WORDS_CHANGE_WHY_CABLE, "{item} is taped off. If another one is in already, say it is done.")  \
  X(WORDS_CHANGE_ROW_CABLE, "Another cable: {source}.")                                            \
  X(WORDS_CHANGE_OTHER_CABLE, "{first} Not with {item}: it is taped off.")                         \
  X(WORDS_CHANGE_LONG_CABLE, "{first} It takes a cable of {item} m.")                              \
  X(WORDS_CHANGE_OFFER, "You are done: take {socket} from {who}? All is ready {odds} earlier.")    \
  /* Odds */                                                                                       \
  X(WORDS_LIKELY, "Most likely: {first}, {odds}; perhaps {fault}.")                                \
  X(WORDS_LIKELY_SHARED, "Most likely: {first}, {odds}.")                                          \
  X(WORDS_LIKELY_OR, "Most likely: {first}, {odds}; or else: {second}, {found}.")                  \
  X(WORDS_OPEN, "No cause stands out yet. First in line: {first}, {odds}; perhaps {fault}.")       \
  X(WORDS_OPEN_SHARED, "No cause stands out yet. First in line: {first}, {odds}.")                 \
  X(WORDS_IT_IS,                                                                                   \
    "There is sound again. Most likely it was {first}, {odds}; perhaps {fault}. Test what you "    \
    "took out before anyone says so for certain.")                                                 \
  X(WORDS_IT_IS_SET, "There is sound again. Most likely it was {first}, {odds}; perhaps {fault}.") \
  X(WORDS_IT_IS_OPEN,                                                                              \
    "There is sound again. What it was does not stand out; first in line: {first}, "               \
    "{odds}. Test what you took out.")                                                             \
  X(WORDS_IT_IS_SHOWN,                                                                             \
    "There is sound again. It is {first}: {fault}, as the cable that was taken out shows.")        \
  X(WORDS_IT_IS_HIDDEN,                                                                            \
    "There is sound again, but the cable that was taken out tests sound: a plug that was not "     \
    "home, or a break that comes and goes. Keep an ear on line {line}.")                           \
  X(WORDS_IT_IS_SHARED, "There is sound again. Most likely it was this: {first}, {odds}.")         \
  X(WORDS_WAIT, "Everybody has their hands full: wait for an answer, or go round it.")             \
  X(WORDS_SOUND, "Nothing speaks against line {line}.")                                            \
  X(WORDS_STUCK,                                                                                   \
    "Nothing is left to try with the kit at hand: go round, and find it after the act.")

typedef enum {
#define WORDS_ENUM(name, text) name,
  WORDS_LIST(WORDS_ENUM)
#undef WORDS_ENUM
    WORDS_COUNT
} Sentence;

/// What fills the gaps; NULL gaps must not be in the sentence used (they show as "?").
typedef struct {
  const char *desk, *input, *source, *socket, *box, *line, *way, *found, *first, *second, *odds,
    *fault, *unplug, *spare, *item, *lamps, *near, *who;
} WordsFill;

/// A filled sentence in `arena`; NULL when there is no memory.
const char*
words_say(Arena* arena, Sentence sentence, const WordsFill* fill);

/// The sentence as written, for a read-through.
const char*
words_raw(Sentence sentence);

/// A chance of being in time, in tenths at most: the model deserves no finer figure.
const char*
words_chance(Arena* arena, double prob);

/// A probability as people say odds: "about 9 in 10", "about 1 in 20", "less than 1 in 100".
const char*
words_odds(Arena* arena, double prob);
