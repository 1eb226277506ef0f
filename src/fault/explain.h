// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "fault/net.h"

/*
  Which sets of faults explain what was seen of one group of contacts. Private to wiring.c.
*/

enum {
  EXPLAIN_CANDIDATES = 2560, ///< Single faults tried in one group
  EXPLAIN_FAULTS = 256,      ///< Most faults of a set
};

/**
   The sets of least cost that explain a cluster.
   @param v Its net and what is known.
   @param room [EXPLAIN_CANDIDATES] scratch.
   @param[out] group Lives in `arena`; untouched on error. @return STATUS_OK, STATUS_NO_MEMORY.
*/
Status
explain_group(Arena* arena, const NetModel* model, const NetCluster* cluster,
              const WiringVerdict* v, WiringFault* room, WiringGroup* group);
