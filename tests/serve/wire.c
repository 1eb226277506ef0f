// SPDX-License-Identifier: GPL-3.0-or-later

/*
  wire PORT [MS]: send standard input as it is, a byte every MS milliseconds if given, and print the
  first line that comes back, or "cut" when the connection is ended without a word.
*/

#include "client.h"

int
main(int argc, char** argv)
{
  static char bytes[4 << 20];
  char line[400] = "";
  if (argc < 2) {
    (void)fprintf(stderr, "wire PORT [MS]\n");
    return 2;
  }
  const double step_ms = argc > 2 ? atof(argv[2]) : 0;
  const size_t n = fread(bytes, 1, sizeof(bytes), stdin);
  const int to = client_connect(atoi(argv[1]));
  if (to < 0) {
    puts("refused");
    return 1;
  }
  bool is_open = true;
  for (size_t i = 0; is_open && step_ms > 0 && i < n; ++i) {
    is_open = client_send(to, bytes + i, 1);
    wait_ms(step_ms);
  }
  if (step_ms == 0) {
    (void)client_send(to, bytes, n);
  }
  const ssize_t got = recv(to, line, sizeof(line) - 1, 0);
  line[strcspn(line, "\r\n")] = '\0';
  puts(got > 0 ? line : "cut");
  return 0;
}
