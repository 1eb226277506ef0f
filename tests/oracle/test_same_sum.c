// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Builds circuit_sum.c with gcc and clang, -O0 and -O3, and compares what they print. A compiler
  that is not installed is left out and said so. Says "N passed, N failed".
*/

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int
main(void)
{
  static const char* const compilers[] = {"gcc", "clang"};
  static const char* const levels[] = {"-O0", "-O3"};
  char folder[] = "/tmp/linewalk-sum-XXXXXX";
  char first[64] = "";
  int n_same = 0;
  int n_other = 0;
  if (!mkdtemp(folder)) {
    return 1;
  }
  for (int c = 0; c < 2; ++c) {
    char command[2000];
    snprintf(command, sizeof(command), "command -v %s >/dev/null 2>&1", compilers[c]);
    if (system(command) != 0) {
      printf("%s is not here: left out\n", compilers[c]);
      continue;
    }
    for (int level = 0; level < 2; ++level) {
      snprintf(
        command, sizeof(command),
        "cd '" SOURCE_DIR "' && %s -std=c17 -D_POSIX_C_SOURCE=200809L %s -ffp-contract=off "
        "-Isrc -Itests -o %s/sum tests/oracle/circuit_sum.c src/circuit/*.c src/base/*.c -lm "
        ">&2 && %s/sum",
        compilers[c], levels[level], folder, folder);
      char sum[64] = "none\n";
      FILE* const out = popen(command, "r");
      if (out) {
        if (!fgets(sum, sizeof(sum), out)) {
          strcpy(sum, "nothing\n");
        }
        pclose(out);
      }
      printf("%s %s %s", compilers[c], levels[level], sum);
      if (first[0] == '\0' && strlen(sum) == 17) {
        strcpy(first, sum);
      }
      *(strcmp(sum, first) == 0 ? &n_same : &n_other) += 1;
    }
  }
  char clean[100];
  snprintf(clean, sizeof(clean), "rm -r '%s'", folder);
  if (system(clean) != 0) {
    ++n_other;
  }
  printf("%d passed, %d failed\n", n_same, n_other);
  return n_other != 0 || n_same < 2;
}
