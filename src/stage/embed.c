// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Build tool: embed OUT.c FUNCTION FILE... writes each file's bytes into a C source as a ListText,
  handed out by FUNCTION, so that the program carries its own lists and needs no folder beside it.
*/

#include <stdio.h>
#include <string.h>

static int
write_bytes(FILE* out, const char* path, int number)
{
  FILE* const in = fopen(path, "rb");
  if (!in) {
    (void)fprintf(stderr, "embed: cannot read %s\n", path);
    return 0;
  }
  (void)fprintf(out, "static const char bytes_%d[] = {", number);
  for (int c = fgetc(in), n = 0; c != EOF; c = fgetc(in), ++n) {
    (void)fprintf(out, "%s%d,", n % 24 ? "" : "\n  ", c < 128 ? c : c - 256);
  }
  (void)fprintf(out, "\n  0};\n\n");
  return fclose(in) == 0;
}

int
main(int argc, char** argv)
{
  FILE* const out = argc > 3 ? fopen(argv[1], "w") : NULL;
  if (!out) {
    (void)fprintf(stderr, "embed: OUT.c FUNCTION FILE...\n");
    return 1;
  }
  (void)fprintf(out, "// Made by embed.c; do not edit.\n#include \"stage/lists.h\"\n\n");
  int good = 1;
  for (int i = 3; i < argc; ++i) {
    good = write_bytes(out, argv[i], i) && good;
  }
  (void)fprintf(out, "static const ListText built_in[] = {\n");
  for (int i = 3; i < argc; ++i) {
    const char* const slash = strrchr(argv[i], '/');
    (void)fprintf(out, "  {\"%s\", bytes_%d, sizeof(bytes_%d) - 1},\n", slash ? slash + 1 : argv[i],
                  i, i);
  }
  (void)fprintf(out,
                "};\n\nconst ListText*\n%s(int* n);\n\nconst ListText*\n%s(int* n)\n{\n"
                "  *n = (int)(sizeof(built_in) / sizeof(built_in[0]));\n"
                "  return built_in;\n}\n",
                argv[2], argv[2]);
  good = fclose(out) == 0 && good;
  return good ? 0 : 1;
}
