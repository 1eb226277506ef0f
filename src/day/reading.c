// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/reading.h"

#include "base/text.h"
#include "day/harm.h"

const char*
reading_say(const Situation* s, Arena* arena, int line, Check check, const char* reading)
{
  if (check.sort == CHECK_SWAP) {
    return text_same(reading, "better") ? "there is sound now" : "no change";
  }
  static const struct {
    CheckSort sort;
    const char *reading, *say;
  } plain[] = {
    {CHECK_LEVEL, "nothing", "nothing arrives"},
    {CHECK_LEVEL, "far down", "almost nothing, 20 to 40 dB down"},
    {CHECK_LEVEL, "low", "lower than it should be"},
    {CHECK_LEVEL, "normal", "it sounds right"},
    {CHECK_LEVEL, "over", "far too loud"},
    {CHECK_SEEN, "yes", "its own meter moves"},
    {CHECK_SEEN, "no", "no meter moves"},
    {CHECK_TONE, "full", "full, bass and all"},
    {CHECK_TONE, "thin", "thin, the bass is gone"},
    {CHECK_HUM, "none", "no hum"},
    {CHECK_HUM, "audible", "it hums"},
    {CHECK_HUM, "loud", "it hums loudly"},
    {CHECK_CRACKLE, "none", "it is clean"},
    {CHECK_CRACKLE, "some", "it crackles by itself"},
    {CHECK_CRACKLE, "on touch", "it crackles when touched"},
    {CHECK_POLARITY, "same", "the same as its neighbour"},
    {CHECK_POLARITY, "inverted", "the other way round"},
    {CHECK_LOOK, "fine", "all as the list says"},
    {CHECK_LOOK, "muted", "it is muted"},
    {CHECK_LOOK, "patch", "it is patched from the wrong input"},
    {CHECK_LOOK, "phantom", "phantom is off and should be on"},
    {CHECK_LOOK, "pad", "the pad is in and should not be"},
    {CHECK_LOOK, "gain", "the gain is far off"},
    {CHECK_LOOK, "owner", "another desk owns the gain of the box"},
    {CHECK_LOOK, "clock", "the box follows the wrong clock"},
    {CHECK_LOOK, "lost", "the desk does not see the box at all"},
    {CHECK_BOX, "fine", "all lamps as they should be"},
    {CHECK_BOX, "dark", "all dark: it has no power"},
    {CHECK_BOX, "no link", "power, but no network"},
    {CHECK_BOX, "one link", "one of its two network leads is out"},
    {CHECK_BOX, "clock", "the clock lamp blinks or is red"},
    {CHECK_VOLTS, "full", "both near 48 V"},
    {CHECK_VOLTS, "sagged", "both alike, lower than 44 V"},
    {CHECK_VOLTS, "none", "both near 0 V"},
    {CHECK_VOLTS, "2 low", "2 is lower than 3"},
    {CHECK_VOLTS, "3 low", "3 is lower than 2"},
    {CHECK_VOLTS, "reversed", "negative"},
    {CHECK_OHMS, "right", "as it should be for this source"},
    {CHECK_OHMS, "open", "open, no reading"},
    {CHECK_OHMS, "short", "close to 0 ohm"},
    {CHECK_OHMS, "odd", "some other value"},
    {CHECK_HUNT, "nothing", "it is not heard"},
    {CHECK_FLEX, "passes", "it stays whole"},
    {CHECK_FLEX, "breaks", "it breaks when bent"},
  };
  if (check.sort == CHECK_LOOK && text_same(reading, "phantom") && harm_is(s, line)) {
    return "phantom is on and must not be";
  }
  for (size_t i = 0; i < sizeof(plain) / sizeof(plain[0]); ++i) {
    if (plain[i].sort == check.sort && text_same(plain[i].reading, reading)) {
      return plain[i].say;
    }
  }
  if (check.sort == CHECK_SEEN) {
    return arena_format(arena, "the meter of input %s moves instead", reading + 3);
  }
  if (check.sort == CHECK_HUNT) {
    return "it is heard there";
  }
  if (check.sort == CHECK_LOOK && check.desk < 0) {
    return text_same(reading, "nothing") ? "nothing is plugged there"
                                         : arena_format(arena, "the cable of %s", reading);
  }
  return reading;
}
