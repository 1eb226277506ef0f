// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "face/show_open.h"

/// `rehearse --auto`: rules against each other, as tables or in JSON. The show is open and its act
/// settled where `--act` names one.
Status
rehearse_view(const Face* face, const OpenShow* show);
