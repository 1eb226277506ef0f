// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/mend.h"

MendKind
mend_kind_of_fault(const Fault* fault)
{
  switch (fault->part) {
    case PART_SOURCE:
    case PART_THROUGH:
      return MEND_SOURCE;
    case PART_CABLE:
      return MEND_CABLE;
    case PART_PLUG:
      return MEND_PLUG;
    case PART_SOCKET:
    case PART_PREAMP:
      return MEND_SOCKET;
    case PART_OWNER:
    case PART_CLOCK:
      return MEND_DESK;
    case PART_DESK: // A dead input is no setting
      return fault->mode == FAULT_DEAD || fault->mode == FAULT_NOISY ? MEND_DEEP : MEND_DESK;
    default:
      return MEND_DEEP;
  }
}

MendKind
mend_kind_of_state(const SharedState* state)
{
  if (shared_moves_plugs(state->sort)) {
    return MEND_PLUG;
  }
  switch (state->sort) {
    case SHARED_DESK:
    case SHARED_BANK:
    case SHARED_CLOCK:
    case SHARED_OWNER:
    case SHARED_PHANTOM:
      return MEND_DESK;
    case SHARED_Y:
      return MEND_SOURCE;
    default:
      return MEND_DEEP;
  }
}

void
mend_times(const Plant* plant, double seconds[MEND_KINDS])
{
  const double tell_s = plant_time_s(plant, "see which channel is silent", 5.0) +
                        plant_time_s(plant, "ask over the intercom and be answered", 20.0);
  const double plug_s = plant_time_s(plant, "move a plug at a box", 30.0);
  const double patch_s = plant_time_s(plant, "soft patch one input at one desk", 15.0);
  const double own_s[MEND_KINDS] = {
    [MEND_DESK] = plant_time_s(plant, "look at one channel at a desk", 10.0),
    [MEND_PLUG] = plug_s,
    [MEND_CABLE] = plant_time_s(plant, "swap a cable", 30.0),
    [MEND_SOURCE] = plant_time_s(plant, "swap a vocal microphone", 15.0),
    [MEND_SOCKET] = plug_s + patch_s * plant->n_desks,
    [MEND_DEEP] = plant_time_s(plant, "unlock, look at and lock a multipin", 45.0)};
  double sum_s = tell_s;
  for (int k = 0; k < MEND_KINDS; ++k) {
    sum_s += own_s[k];
    seconds[k] = sum_s;
  }
}
