// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/tester.h"

#include "base/text.h"

#include <stdio.h>

int
tester_count(const Tester* tester, TesterPartSort sort)
{
  int n = 0;
  for (int i = 0; i < tester->n_parts; ++i) {
    n += tester->parts[i].sort == sort;
  }
  return n;
}

void
tester_contact_name(const char* connector, int contact, char name[8])
{
  static const char* const jack[] = {"tip", "ring", "sleeve"};
  if (contact == 0) {
    (void)snprintf(name, 8, "earth");
  } else if (text_same(connector, "jack") && contact >= 1 && contact <= 3) {
    (void)snprintf(name, 8, "%s", jack[contact - 1]);
  } else if (text_same(connector, "4-pole") || text_same(connector, "8-pole")) {
    (void)snprintf(name, 8, "%d%c", ((contact + 1) / 2) % 10, contact % 2 ? '+' : '-');
  } else {
    (void)snprintf(name, 8, "%d", contact % 1000);
  }
}

int
tester_contact_of(const char* connector, const char* text)
{
  int number = 0;
  if (text_whole(text, 0, TESTER_MAX_CONTACTS, &number)) {
    return number;
  }
  for (int contact = 0; contact <= TESTER_MAX_CONTACTS; ++contact) {
    char name[8];
    tester_contact_name(connector, contact, name);
    if (text_same(text, name)) {
      return contact;
    }
  }
  return -1;
}
