// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include <stdbool.h>

/*
  Under which addresses other boxes reach this one.
*/

enum { HTTP_LAN_MAX = 8 };

typedef struct {
  char name[32];    ///< As the system calls it: "wlan0"
  char address[48]; ///< As a number: "192.168.1.5"
  bool is_wireless; ///< By its name
} HttpLan;

/// The interfaces that are up and have an address, loopback left out; wireless ones first.
/// @return how many, at most HTTP_LAN_MAX.
int
http_lan_list(HttpLan lans[HTTP_LAN_MAX]);
