// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/step.h"

void
step_touch(Step* step)
{
  const CheckSort sort = step->check.sort;
  step->ear_desk = -1;
  if (step->does == STEP_CHECK) {
    const bool looks = sort == CHECK_LOOK || sort == CHECK_BOX;
    step->ear_desk = sort == CHECK_HUNT || sort == CHECK_CRACKLE ? step->check.desk : -1;
    step->brings_phantom = sort == CHECK_VOLTS || sort == CHECK_LAMPS;
    step->moves_plug = step->ear_desk >= 0 || (step->check.desk < 0 && !looks);
    return;
  }
  // A box that comes back, or obeys another desk, has settings nobody has seen here.
  step->brings_phantom = step->repair == REPAIR_DESK || step->repair == REPAIR_LEAD ||
                         step->repair == REPAIR_POWER || step->repair == REPAIR_OWNER;
  step->moves_plug = step->repair != REPAIR_DESK && step->repair != REPAIR_INPUT &&
                     step->repair != REPAIR_SIDE && step->repair != REPAIR_CLOCK &&
                     step->repair != REPAIR_OWNER;
}

const char*
step_word(Arena* arena, const Plant* plant, const Step* step)
{
  const char* const at = step->desk >= 0 ? plant->desks[step->desk].name : NULL;
  return step->does == STEP_CHECK
           ? arena_format(arena, "%s at %s", predict_check_word(step->check.sort),
                          at ? at : "socket")
           : arena_format(arena, "swap %s%s%s", repair_word(step->repair), at ? " at " : "",
                          at ? at : "");
}
