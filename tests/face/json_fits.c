// SPDX-License-Identifier: GPL-3.0-or-later
#include <jansson.h>
#include <stdio.h>
#include <string.h>

/*
  json_fits SCHEMA: hold each line of standard input to a schema of docs/schema. Knows the words
  those use (type, required, properties, additionalProperties as a schema, items, enum, minimum,
  maximum) and, stricter than they say, refuses a key that the schema does not name: an answer may
  not carry what nobody documented.
*/

static int
has_type(const json_t* value, const char* type)
{
  switch (json_typeof(value)) {
    case JSON_OBJECT:
      return !strcmp(type, "object");
    case JSON_ARRAY:
      return !strcmp(type, "array");
    case JSON_STRING:
      return !strcmp(type, "string");
    case JSON_INTEGER:
      return !strcmp(type, "integer") || !strcmp(type, "number");
    case JSON_REAL:
      return !strcmp(type, "number");
    case JSON_NULL:
      return !strcmp(type, "null");
    default:
      return !strcmp(type, "boolean");
  }
}

static int
wrong(const char* at, const char* what)
{
  (void)fprintf(stderr, "json_fits: %s: %s\n", at, what);
  return 0;
}

static int
fits_simple(const json_t* value, const json_t* schema, const char* at)
{
  const json_t* const type = json_object_get(schema, "type");
  int good = !type || (json_is_string(type) && has_type(value, json_string_value(type)));
  for (size_t i = 0; i < json_array_size(type); ++i) {
    good = good || has_type(value, json_string_value(json_array_get(type, i)));
  }
  const json_t* const words = json_object_get(schema, "enum");
  int is_word = !words;
  for (size_t i = 0; i < json_array_size(words); ++i) {
    is_word = is_word || json_equal(value, json_array_get(words, i));
  }
  const json_t* const low = json_object_get(schema, "minimum");
  const json_t* const high = json_object_get(schema, "maximum");
  const int in_range = (!low || json_number_value(value) >= json_number_value(low)) &&
                       (!high || json_number_value(value) <= json_number_value(high));
  return !good      ? wrong(at, "another type")
         : !is_word ? wrong(at, "not one of its words")
                    : in_range || wrong(at, "out of range");
}

static int
fits(const json_t* value, const json_t* schema, const char* at)
{
  if (!fits_simple(value, schema, at)) {
    return 0;
  }
  const json_t* const required = json_object_get(schema, "required");
  for (size_t i = 0; json_is_object(value) && i < json_array_size(required); ++i) {
    const char* const key = json_string_value(json_array_get(required, i));
    if (!json_object_get(value, key)) {
      return wrong(key, "missing");
    }
  }
  const char* key;
  json_t* part;
  json_object_foreach((json_t*)value, key, part)
  {
    const json_t* const named = json_object_get(json_object_get(schema, "properties"), key);
    const json_t* const known = named ? named : json_object_get(schema, "additionalProperties");
    if (!known) {
      return wrong(key, "not in the schema");
    }
    if (!fits(part, known, key)) {
      return 0;
    }
  }
  const json_t* const items = json_object_get(schema, "items");
  for (size_t i = 0; items && i < json_array_size(value); ++i) {
    if (!fits(json_array_get(value, i), items, at)) {
      return 0;
    }
  }
  return 1;
}

int
main(int argc, char** argv)
{
  json_t* const schema = argc == 2 ? json_load_file(argv[1], JSON_REJECT_DUPLICATES, NULL) : NULL;
  if (!schema) {
    return !wrong(argc == 2 ? argv[1] : "schema", "cannot be read");
  }
  int n = 0;
  int good = 1;
  for (json_t* answer; good && (answer = json_loadf(stdin, JSON_DISABLE_EOF_CHECK, NULL)); ++n) {
    good = fits(answer, schema, "answer");
    json_decref(answer);
  }
  json_decref(schema);
  return !(good && n > 0);
}
