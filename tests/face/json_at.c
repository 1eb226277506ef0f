// SPDX-License-Identifier: GPL-3.0-or-later
#include <jansson.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/*
  json_at [PATH...]: read one JSON object on one line from standard input and print the value at
  each path (keys and indices joined by dots; "#" is how many), one a line. Exit 1 when the input is
  not exactly that, does not say "format": 1, or has nothing at a path: the judge of the program's
  answers that is not the program.
*/

static int
print_at(const json_t* value, char* path)
{
  for (char* step = path[0] ? strtok(path, ".") : NULL; step && value; step = strtok(NULL, ".")) {
    if (!strcmp(step, "#")) {
      return printf("%zu\n",
                    json_is_array(value) ? json_array_size(value) : json_object_size(value));
    }
    value = json_is_array(value) ? json_array_get(value, (size_t)strtoul(step, NULL, 10))
                                 : json_object_get(value, step);
  }
  if (!value) {
    return -1;
  }
  char* const text = json_is_string(value)
                       ? NULL
                       : json_dumps(value, JSON_ENCODE_ANY | JSON_COMPACT | JSON_PRESERVE_ORDER);
  (void)printf("%s\n", text ? text : json_string_value(value));
  free(text);
  return 0;
}

int
main(int argc, char** argv)
{
  static char line[1 << 22];
  if (!fgets(line, sizeof(line), stdin) || fgetc(stdin) != EOF) {
    (void)fprintf(stderr, "json_at: not one line\n");
    return 1;
  }
  json_error_t error;
  json_t* const object = json_loads(line, JSON_REJECT_DUPLICATES, &error);
  int bad = !object || json_integer_value(json_object_get(object, "format")) != 1;
  if (bad) {
    (void)fprintf(stderr, "json_at: %s\n", object ? "no format 1" : error.text);
  }
  for (int i = 1; !bad && i < argc; ++i) {
    char path[200];
    (void)snprintf(path, sizeof(path), "%s", argv[i]);
    if (print_at(object, path) < 0) {
      (void)fprintf(stderr, "json_at: nothing at %s\n", argv[i]);
      bad = 1;
    }
  }
  json_decref(object);
  return bad;
}
