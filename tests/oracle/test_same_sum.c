// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Builds a program with several compilers and levels and compares what it prints: circuit_sum.c (one
  number for everything the circuit room computes) with gcc and clang at -O0 and -O3 (the other two
  of the four with LINEWALK_LONG), advice_sum.c (the advice on the demo event, in words and bits) as
  this build made it and with clang. A compiler that is not installed is left out and said so. Says
  "N passed, N failed".
*/

#include "support/check.h"

#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>

typedef struct {
  const char* name;
  const char* sources;
  const char* libraries;
  const char* made;      ///< A program that is built already; NULL = none
  const char* builds[4]; ///< Compiler and level, the last two with LINEWALK_LONG; NULL = none
} Program;

static const Program programs[] = {
  {"circuits",
   "tests/oracle/circuit_sum.c src/circuit/*.c src/base/*.c",
   "-lm",
   NULL,
   {"gcc -O3", "clang -O0", "gcc -O0", "clang -O3"}},
  {"advice",
   "tests/oracle/advice_sum.c tests/day/planted.c src/base/*.c src/circuit/*.c src/reason/*.c "
   "$(ls src/stage/*.c | grep -v /embed.c) src/fault/*.c src/speaker/*.c src/show/*.c "
   "src/day/*.c " BUILT_IN_C,
   "-lcmocka -ljansson -lsqlite3 -lzip -lexpat -lglpk -lm",
   ADVICE_SUM,
   {"clang -O0", NULL, "clang -O2"}},
};

/// What a shell says to a command; its exit code.
static int
shell(const char* command)
{
  const int said = system(command);
  return said != -1 && WIFEXITED(said) ? WEXITSTATUS(said) : 127;
}

/// Builds and runs one (-1: the one that is built already); FOLDER/said-NAME-B gets what it
/// printed. 0, or what failed.
static int
build(const Program* program, int b, const char* folder)
{
  char command[2400];
  if (b < 0) {
    (void)snprintf(command, sizeof(command), "cd '" SOURCE_DIR "' && '%s' >%s/said-%s-%d",
                   program->made, folder, program->name, b);
    return shell(command);
  }
  (void)snprintf(command, sizeof(command),
                 "cd '" SOURCE_DIR "' && %s -std=c17 -D_POSIX_C_SOURCE=200809L -ffp-contract=off "
                 "-Isrc -Itests -o %s/%s-%d %s %s >&2 && %s/%s-%d >%s/said-%s-%d",
                 program->builds[b], folder, program->name, b, program->sources, program->libraries,
                 folder, program->name, b, folder, program->name, b);
  return shell(command);
}

int
main(void)
{
  char folder[] = "/tmp/linewalk-same-XXXXXX";
  char command[400];
  int n_same = 0;
  int n_other = 0;
  const int n_builds = check_count(2, 4);
  if (!mkdtemp(folder)) {
    return 1;
  }
  for (size_t p = 0; p < sizeof(programs) / sizeof(programs[0]); ++p) {
    const Program* const program = &programs[p];
    int first = -2;
    for (int b = program->made ? -1 : 0; b < n_builds; ++b) {
      const char* const how = b < 0 ? "this build" : program->builds[b];
      if (!how) {
        continue;
      }
      (void)snprintf(command, sizeof(command), "command -v %.*s >/dev/null 2>&1",
                     (int)strcspn(how, " "), how);
      if (b >= 0 && shell(command) != 0) {
        printf("%s: %s is not here: left out\n", program->name, how);
        continue;
      }
      if (build(program, b, folder) != 0) {
        printf("FAIL: %s with %s could not be built or did not end well\n", program->name, how);
        ++n_other;
        continue;
      }
      first = first < -1 ? b : first;
      (void)snprintf(command, sizeof(command),
                     "cd %s && test -s said-%s-%d && cmp said-%s-%d said-%s-%d >&2", folder,
                     program->name, b, program->name, first, program->name, b);
      const bool is_same = shell(command) == 0;
      *(is_same ? &n_same : &n_other) += 1;
      printf("%s%s: %s says %s\n", is_same ? "" : "FAIL: ", program->name, how,
             b == first ? "what the others must"
             : is_same  ? "the same"
                        : "something else");
    }
  }
  (void)snprintf(command, sizeof(command), "rm -r '%s'", folder);
  n_other += shell(command) != 0;
  printf("%d passed, %d failed\n", n_same, n_other);
  return n_other != 0 || n_same < 3;
}
