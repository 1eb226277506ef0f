// SPDX-License-Identifier: GPL-3.0-or-later
// getifaddrs is older than POSIX and not in it; every system this runs on has it.
#define _DEFAULT_SOURCE
#include "face/http_lan.h"

#include <arpa/inet.h>
#include <ifaddrs.h>
#include <net/if.h>
#include <netinet/in.h>
#include <stdio.h>
#include <string.h>

int
http_lan_list(HttpLan lans[HTTP_LAN_MAX])
{
  struct ifaddrs* all = NULL;
  int n = 0;
  if (getifaddrs(&all) != 0) {
    return 0;
  }
  for (int wireless = 1; wireless >= 0; --wireless) {
    for (const struct ifaddrs* i = all; i && n < HTTP_LAN_MAX; i = i->ifa_next) {
      const bool is_wireless = !strncmp(i->ifa_name, "wl", 2);
      const bool is_up = (i->ifa_flags & IFF_UP) && !(i->ifa_flags & IFF_LOOPBACK);
      if (!i->ifa_addr || i->ifa_addr->sa_family != AF_INET || !is_up ||
          is_wireless != (wireless == 1)) {
        continue;
      }
      const struct sockaddr_in* const in = (const struct sockaddr_in*)(const void*)i->ifa_addr;
      HttpLan* const lan = &lans[n];
      lan->is_wireless = is_wireless;
      (void)snprintf(lan->name, sizeof(lan->name), "%s", i->ifa_name);
      n += inet_ntop(AF_INET, &in->sin_addr, lan->address, sizeof(lan->address)) != NULL;
    }
  }
  freeifaddrs(all);
  return n;
}
