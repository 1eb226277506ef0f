// SPDX-License-Identifier: GPL-3.0-or-later

/*
  qr TEXT: what the terminal shows of it, for a camera to try.
*/

#include "face/qr_view.h"

int
main(int argc, char** argv)
{
  Screen screen;
  screen_init(&screen, stdout);
  if (argc != 2) {
    return 2;
  }
  if (!qr_view_say(&screen, argv[1])) {
    (void)puts("no room");
  }
  return 0;
}
