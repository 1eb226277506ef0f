// SPDX-License-Identifier: GPL-3.0-or-later
#include "support/check.h"

#include "face/http_door.h"
#include "face/http_fact.h"
#include "face/http_guard.h"
#include "face/http_pack.h"
#include "face/http_query.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <zlib.h>

/* Addresses */

static const struct {
  const char* raw;
  Status want;
  const char* says; ///< Path and words, or a piece of the error
} addresses[] = {
  {"/", STATUS_OK, "/"},
  {"/api/1/line?line=45", STATUS_OK, "/api/1/line line=45"},
  {"/a%20b?x=1%262&y=a+b%2B", STATUS_OK, "/a b x=1&2 y=a b+"},
  {"/a+b?flag", STATUS_OK, "/a+b flag="},
  {"/?&&a=b&", STATUS_OK, "/ a=b"},
  {"/%2e%2e/%2e%2e/etc", STATUS_OK, "/../../etc"},
  {"/?a=1&a=2", STATUS_BAD_INPUT, "twice"},
  {"/?a=1&%61=2", STATUS_BAD_INPUT, "twice"},
  {"/%", STATUS_BAD_INPUT, "percent"},
  {"/%4", STATUS_BAD_INPUT, "percent"},
  {"/%zz", STATUS_BAD_INPUT, "percent"},
  {"/%00", STATUS_BAD_INPUT, "control"},
  {"/?a=%0d%0aSet-Cookie", STATUS_BAD_INPUT, "control"},
  {"/?a=%ff", STATUS_BAD_INPUT, "UTF-8"},
  {"/?a=%c0%af", STATUS_BAD_INPUT, "UTF-8"},
};

static void
addresses_are_read_or_refused(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(addresses) / sizeof(addresses[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Error error = {0};
    HttpQuery query = {.path = "untouched", .n_words = -1};
    const Status st = http_query_read(&arena, addresses[i].raw, &query, &error);
    char got[400];
    (void)snprintf(got, sizeof(got), "%s", st == STATUS_OK ? query.path : error.text);
    for (int k = 0; st == STATUS_OK && k < query.n_words; ++k) {
      (void)snprintf(got + strlen(got), sizeof(got) - strlen(got), " %s=%s", query.words[k].name,
                     query.words[k].value);
    }
    if (st != addresses[i].want ||
        (st == STATUS_OK ? strcmp(got, addresses[i].says) != 0 : !strstr(got, addresses[i].says))) {
      fail_msg("%s: got %d \"%s\", want %d \"%s\"", addresses[i].raw, (int)st, got,
               (int)addresses[i].want, addresses[i].says);
    }
    assert_true(st == STATUS_OK || query.n_words == -1);
    arena_deinit(&arena);
  }
}

static void
an_address_that_is_too_long_is_refused(void** state)
{
  (void)state;
  char raw[HTTP_QUERY_MAX_BYTES + 2];
  Arena arena;
  Error error = {0};
  HttpQuery query;
  arena_init(&arena, NULL);
  memset(raw, 'a', sizeof(raw));
  raw[0] = '/';
  raw[HTTP_QUERY_MAX_BYTES] = '\0';
  assert_int_equal(http_query_read(&arena, raw, &query, &error), STATUS_OK);
  raw[HTTP_QUERY_MAX_BYTES] = 'a';
  raw[HTTP_QUERY_MAX_BYTES + 1] = '\0';
  assert_int_equal(http_query_read(&arena, raw, &query, &error), STATUS_LIMIT);
  (void)snprintf(raw, sizeof(raw), "/?");
  for (int i = 0; i <= HTTP_QUERY_MAX_WORDS; ++i) {
    (void)snprintf(raw + strlen(raw), sizeof(raw) - strlen(raw), "w%d&", i);
  }
  assert_int_equal(http_query_read(&arena, raw, &query, &error), STATUS_LIMIT);
  arena_deinit(&arena);
}

/* Hosts and origins */

static const struct {
  const char* host;
  bool good;
} hosts[] = {
  {"127.0.0.1", true},
  {"127.0.0.1:8017", true},
  {"192.168.1.5:80", true},
  {"[::1]:8017", true},
  {"[fe80::1]", true},
  {"localhost:8017", true},
  {"box", true},
  {"BOX.local:8017", true},
  {"box.local", true},
  {"evil.example.com", false},
  {"127.0.0.1.evil.com", false},
  {"box.local.evil.com", false},
  {"", false},
  {":8017", false},
  {"[::1", false},
  {"[::1]evil", false},
  {"127.0.0.1:80a", false},
  {"a b", false},
  {"user@127.0.0.1", false},
  {"127.0.0.1/", false},
  {"box.localx", false},
};

static void
only_names_nobody_can_own_are_hosts(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(hosts) / sizeof(hosts[0]); ++i) {
    if (http_guard_host_is_good(hosts[i].host) != hosts[i].good) {
      fail_msg("Host \"%s\": want %s", hosts[i].host, hosts[i].good ? "taken" : "refused");
    }
  }
  assert_true(http_guard_origin_is_good("http://192.168.1.5:8017", "192.168.1.5:8017"));
  assert_true(http_guard_origin_is_good("http://LOCALHOST:8017", "localhost:8017"));
  assert_false(http_guard_origin_is_good("http://192.168.1.5", "192.168.1.5:8017"));
  assert_false(http_guard_origin_is_good("https://192.168.1.5:8017", "192.168.1.5:8017"));
  assert_false(http_guard_origin_is_good("null", "null"));
  assert_false(http_guard_origin_is_good("http://evil.example.com", "192.168.1.5:8017"));
  assert_true(http_guard_is_loopback("127.0.0.1") && http_guard_is_loopback("::1"));
  assert_false(http_guard_is_loopback("127.0.0.2") || http_guard_is_loopback("127.0.0.11"));
  assert_false(http_guard_is_loopback("192.168.1.5") || http_guard_is_loopback(""));
}

/* The door */

static Status
join(HttpDoor* door, const char* code, const char* address, int64_t now_s, int* wait_s)
{
  char token[HTTP_TOKEN_BYTES + 1];
  return http_door_join(door, code, HTTP_STAGE, false, address, now_s, token, wait_s);
}

static void
the_code_lets_in_and_wrong_ones_wait(void** state)
{
  (void)state;
  HttpDoor* const door = http_door_new();
  char code[HTTP_CODE_LETTERS + 1];
  char spelt[20];
  char wrong[HTTP_CODE_LETTERS + 1];
  int wait_s = 0;
  assert_non_null(door);
  http_door_code(door, code);
  assert_int_equal(strspn(code, "23456789ABCDEFGHJKMNPQRSTUVWXYZ"), HTTP_CODE_LETTERS);
  (void)snprintf(spelt, sizeof(spelt), "%.3s-%.3s", code, code + 3);
  for (char* c = spelt; *c; ++c) {
    *c = (char)(*c >= 'A' && *c <= 'Z' ? *c + 32 : *c);
  }
  assert_int_equal(join(door, spelt, "10.0.0.1", 100, &wait_s), STATUS_OK);
  memcpy(wrong, code, sizeof(wrong));
  wrong[5] = wrong[5] == 'A' ? 'B' : 'A';
  const char* const wrongs[] = {wrong, "", NULL, "ABC", "ABCDEFG", "0O1IL0"};
  for (int i = 0; i < HTTP_TRIES_A_MINUTE; ++i) {
    assert_int_equal(join(door, wrongs[i], "10.0.0.2", 100 + i, &wait_s), STATUS_NO);
  }
  // Now even the right one waits, from this address; another address does not
  assert_int_equal(join(door, code, "10.0.0.2", 110, &wait_s), STATUS_LIMIT);
  assert_int_equal(wait_s, 50);
  assert_int_equal(join(door, code, "10.0.0.3", 110, &wait_s), STATUS_OK);
  assert_int_equal(join(door, code, "10.0.0.2", 160, &wait_s), STATUS_OK);
  // From everywhere together 60 a minute
  for (int i = 0; i < HTTP_TRIES_IN_ALL; ++i) {
    char address[32];
    (void)snprintf(address, sizeof(address), "10.1.0.%d", i);
    assert_int_equal(join(door, wrong, address, 200, &wait_s), STATUS_NO);
  }
  assert_int_equal(join(door, wrong, "10.2.0.1", 210, &wait_s), STATUS_LIMIT);
  // A new code puts the old one out of use
  assert_int_equal(http_door_renew(door), STATUS_OK);
  assert_int_equal(join(door, code, "10.3.0.1", 300, &wait_s), STATUS_NO);
  http_door_free(door);
}

static void
a_token_is_a_role_until_it_is_put_out(void** state)
{
  (void)state;
  HttpDoor* const door = http_door_new();
  char code[HTTP_CODE_LETTERS + 1];
  char one[HTTP_TOKEN_BYTES + 1];
  char two[HTTP_TOKEN_BYTES + 1];
  int wait_s = 0;
  HttpGuest guest;
  HttpJoined joined[4];
  http_door_code(door, code);
  assert_int_equal(http_door_join(door, code, HTTP_STAGE, false, "10.0.0.1", 5, one, &wait_s), 0);
  assert_int_equal(http_door_join(door, code, HTTP_MONITORS, false, "10.0.0.2", 6, two, &wait_s),
                   0);
  assert_string_not_equal(one, two);
  assert_true(http_door_guest(door, one, false, 9, &guest));
  assert_int_equal(guest.role, HTTP_STAGE);
  assert_int_equal(http_door_list(door, joined, 4), 2);
  assert_int_equal(joined[0].seen_s, 9);
  http_door_change(door, guest.session, HTTP_LOOK);
  assert_true(http_door_guest(door, one, false, 9, &guest));
  assert_int_equal(guest.role, HTTP_LOOK);
  assert_true(http_door_out(door, guest.session));
  assert_false(http_door_out(door, guest.session));
  assert_false(http_door_guest(door, one, false, 10, &guest));
  assert_true(http_door_guest(door, two, false, 10, &guest));
  // Nothing, a piece of one, or one that was never given
  one[0] = one[0] == 'a' ? 'b' : 'a';
  const char* const none[] = {NULL, "", "ab", one};
  for (int i = 0; i < 4; ++i) {
    assert_false(http_door_guest(door, none[i], false, 10, &guest));
    assert_true(http_door_guest(door, none[i], true, 10, &guest)); // At the box itself
    assert_int_equal(guest.role, HTTP_HOUSE);
  }
  http_door_free(door);
}

static void
a_door_is_the_same_after_a_restart(void** state)
{
  (void)state;
  static const char path[] = "/tmp/linewalk-test-door-kept";
  char name[80];
  char code[HTTP_CODE_LETTERS + 1];
  char again[HTTP_CODE_LETTERS + 1];
  char token[HTTP_TOKEN_BYTES + 1];
  int wait_s = 0;
  HttpGuest guest;
  (void)snprintf(name, sizeof(name), "%s-%ld", path, (long)getpid());
  HttpDoor* door = http_door_new();
  http_door_keep(door, name, 1);
  http_door_code(door, code);
  assert_int_equal(http_door_join(door, code, HTTP_MONITORS, false, "10.0.0.1", 5, token, &wait_s),
                   STATUS_OK);
  http_door_free(door);
  door = http_door_new();
  http_door_keep(door, name, 2);
  http_door_code(door, again);
  assert_string_equal(again, code);
  assert_true(http_door_guest(door, token, false, 9, &guest));
  assert_int_equal(guest.role, HTTP_MONITORS);
  assert_true(http_door_out(door, guest.session));
  http_door_free(door);
  // Lines that are none of ours are passed over; who was put out stays out
  FILE* const out = fopen(name, "a");
  assert_non_null(out);
  (void)fprintf(out, "code abc\nphone 0 house x y\nphone 7 king %s -\nphone -1\n\n%0500d\n", token,
                7);
  (void)fclose(out);
  door = http_door_new();
  http_door_keep(door, name, 3);
  http_door_code(door, again);
  assert_string_equal(again, code);
  assert_false(http_door_guest(door, token, false, 9, &guest));
  http_door_free(door);
  (void)unlink(name);
}

static void
who_is_full_makes_room_for_the_newest(void** state)
{
  (void)state;
  HttpDoor* const door = http_door_new();
  char code[HTTP_CODE_LETTERS + 1];
  char first[HTTP_TOKEN_BYTES + 1] = "";
  char token[HTTP_TOKEN_BYTES + 1];
  int wait_s = 0;
  HttpGuest guest;
  http_door_code(door, code);
  for (int i = 0; i <= HTTP_MAX_SESSIONS; ++i) {
    assert_int_equal(http_door_join(door, code, HTTP_STAGE, false, "10.0.0.1", i, token, &wait_s),
                     STATUS_OK);
    if (i == 0) {
      memcpy(first, token, sizeof(first));
    }
  }
  assert_false(http_door_guest(door, first, false, 9999, &guest)); // Was not seen for longest
  assert_true(http_door_guest(door, token, false, 9999, &guest));
  http_door_free(door);
}

static void
roles_may_what_their_place_may(void** state)
{
  (void)state;
  const unsigned stage = http_role_may(HTTP_STAGE);
  assert_true(stage & 1U << TELL_SAW && stage & 1U << TELL_TAPE && stage & 1U << TELL_TAKE);
  assert_false(stage & 1U << TELL_PLUG || stage & 1U << TELL_NOW || stage & HTTP_MAY_IMPORT);
  assert_true(http_role_may(HTTP_MONITORS) & 1U << TELL_PLUG);
  assert_true(http_role_may(HTTP_HOUSE) & HTTP_MAY_IMPORT);
  assert_int_equal(http_role_may(HTTP_LOOK), 0);
  assert_int_equal(http_role_may((HttpRole)99), 0);
}

/* Facts */

#define ONE(words) "{\"facts\":[{\"id\":\"abcdefgh-1\"," words "}]}"

static const struct {
  const char* name;
  const char* body;
  Status want;
  const char* says; ///< A piece of the error, or of why the one fact is refused; NULL = it is read
} bodies[] = {
  {"a reading", ONE("\"verb\":\"saw\",\"line\":45,\"check\":\"level\",\"reading\":\"low\""),
   STATUS_OK, NULL},
  {"a line by its source", ONE("\"verb\":\"saw\",\"line\":\"vocal lead\""), STATUS_OK, NULL},
  {"an age", ONE("\"verb\":\"saw\",\"age_s\":1e11"), STATUS_OK, NULL},
  {"an age below nought", ONE("\"verb\":\"saw\",\"age_s\":-1"), STATUS_OK, "age_s"},
  {"no such verb", ONE("\"verb\":\"sow\""), STATUS_OK, "saw"},
  {"no such word", ONE("\"verb\":\"saw\",\"lime\":45"), STATUS_OK, "lime"},
  {"no verb", ONE("\"line\":1"), STATUS_OK, "verb"},
  {"a line that is none", ONE("\"verb\":\"saw\",\"line\":0"), STATUS_OK, "1 to 99999"},
  {"a line break in a word", ONE("\"verb\":\"tape\",\"item\":\"a\\nb\""), STATUS_OK, "control"},
  {"a count that is a text", ONE("\"verb\":\"kit\",\"count\":\"2\""), STATUS_OK, "count"},
  {"no list", "{}", STATUS_BAD_INPUT, "list"},
  {"an empty list", "{\"facts\":[]}", STATUS_BAD_INPUT, "1"},
  {"a fact that is none", "{\"facts\":[5]}", STATUS_OK, ""},
  {"another key", "{\"facts\":[{}],\"more\":1}", STATUS_BAD_INPUT, "more"},
  {"a key twice", "{\"facts\":[{\"id\":\"a\",\"id\":\"b\"}]}", STATUS_BAD_INPUT, "duplicate"},
  {"cut short", "{\"facts\":[{\"id\":\"a", STATUS_BAD_INPUT, "JSON"},
  {"nothing", "", STATUS_BAD_INPUT, "JSON"},
};

static void
facts_are_read_one_by_one(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(bodies) / sizeof(bodies[0]); ++i) {
    Arena arena;
    arena_init(&arena, NULL);
    Error error = {0};
    HttpFact* facts = NULL;
    int n = -1;
    const Status st =
      http_fact_read(&arena, bodies[i].body, strlen(bodies[i].body), &facts, &n, &error);
    const char* const no = st == STATUS_OK ? facts[0].no : error.text;
    if (st != bodies[i].want || (bodies[i].says != NULL) != (no != NULL) ||
        (no && !strstr(no, bodies[i].says))) {
      fail_msg("%s: got %d \"%s\"", bodies[i].name, (int)st, no ? no : "read");
    }
    assert_true(st == STATUS_OK || n == -1);
    if (st == STATUS_OK && !no) {
      assert_true(facts[0].age_s <= HTTP_AGE_MAX_S);
    }
    arena_deinit(&arena);
  }
}

static void
deep_and_many_are_refused(void** state)
{
  (void)state;
  enum { DEEP = 10000 };
  static char text[HTTP_FACTS_BYTES + 2];
  Arena arena;
  Error error = {0};
  HttpFact* facts = NULL;
  int n = -1;
  arena_init(&arena, NULL);
  memset(text, '[', DEEP);
  memset(text + DEEP, ']', DEEP);
  assert_int_equal(http_fact_read(&arena, text, (size_t)DEEP * 2, &facts, &n, &error),
                   STATUS_LIMIT);
  memset(text, ' ', sizeof(text));
  assert_int_equal(http_fact_read(&arena, text, HTTP_FACTS_BYTES + 1, &facts, &n, &error),
                   STATUS_LIMIT);
  (void)snprintf(text, sizeof(text), "{\"facts\":[0");
  for (int i = 1; i <= HTTP_FACTS_MAX; ++i) {
    (void)strcat(text, ",0");
  }
  (void)strcat(text, "]}");
  assert_int_equal(http_fact_read(&arena, text, strlen(text), &facts, &n, &error),
                   STATUS_BAD_INPUT);
  assert_null(facts);
  arena_deinit(&arena);
}

static void
facts_survive_every_failed_allocation(void** state)
{
  (void)state;
  static const char body[] = "{\"facts\":[{\"id\":\"abcdefgh-1\",\"verb\":\"saw\",\"line\":45,"
                             "\"check\":\"level\",\"reading\":\"low\"},{\"id\":\"x\"}]}";
  FailingHeap count = {0};
  const Allocator counting = failing_allocator(&count);
  Arena arena;
  HttpFact* facts = NULL;
  HttpQuery query;
  int n = 0;
  arena_init(&arena, &counting);
  assert_int_equal(http_fact_read(&arena, body, strlen(body), &facts, &n, NULL), STATUS_OK);
  assert_int_equal(http_query_read(&arena, "/a?b=c&d=e", &query, NULL), STATUS_OK);
  arena_deinit(&arena);
  assert_true(count.n_requests > 8);
  for (int k = 1; k <= count.n_requests; ++k) {
    FailingHeap heap = {.fail_at = k};
    const Allocator failing = failing_allocator(&heap);
    arena_init(&arena, &failing);
    const Status first = http_fact_read(&arena, body, strlen(body), &facts, &n, NULL);
    const Status second = http_query_read(&arena, "/a?b=c&d=e", &query, NULL);
    assert_true(first == STATUS_NO_MEMORY || second == STATUS_NO_MEMORY);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
  }
}

/* Packing */

// RFC 9110, 12.5.3: what a weight of 0 means, and what "*" stands for; the rows are our own
static const struct {
  const char* codings;
  bool want;
} codings[] = {
  {NULL, false},
  {"", false},
  {"gzip", true},
  {"GZip", true},
  {"br, gzip", true},
  {"br;q=1.0, gzip;q=0.8, *;q=0.1", true},
  {"gzip;q=0.5", true},
  {"gzip;q=0", false},
  {"gzip; q=0.000", false},
  {"gzip ;q=0.001", true},
  {"identity", false},
  {"x-gzip-like, deflate", false},
  {"*", true},
  {"*;q=0", false},
  {"*, gzip;q=0", false},
  {"gzip;q=0, *", false},
  {",,  ,", false},
};

static void
who_takes_gzip_is_read_from_the_header(void** state)
{
  (void)state;
  for (size_t i = 0; i < sizeof(codings) / sizeof(codings[0]); ++i) {
    if (http_pack_takes(codings[i].codings) != codings[i].want) {
      fail_msg("\"%s\": want %d", codings[i].codings ? codings[i].codings : "none",
               (int)codings[i].want);
    }
  }
}

static void
what_is_packed_comes_back_and_what_is_no_smaller_is_left(void** state)
{
  (void)state;
  char text[20000] = "";
  for (size_t n = 0; n + 60 < sizeof(text);) {
    n += (size_t)snprintf(text + n, sizeof(text) - n, "{\"line\":%zu,\"state\":\"proven\"},", n);
  }
  const size_t n_text = strlen(text);
  char* packed = NULL;
  size_t n_packed = 0;
  assert_true(http_pack_gzip(text, n_text, &packed, &n_packed));
  assert_true(n_packed * 4 < n_text);
  assert_memory_equal(packed, "\x1f\x8b\x08\0\0\0\0\0", 8); // RFC 1952: deflate, no name, no time
  char back[sizeof(text)] = "";
  z_stream z = {.next_in = (z_const Bytef*)packed,
                .avail_in = (uInt)n_packed,
                .next_out = (Bytef*)back,
                .avail_out = sizeof(back)};
  assert_int_equal(inflateInit2(&z, 15 + 16), Z_OK);
  assert_int_equal(inflate(&z, Z_FINISH), Z_STREAM_END);
  assert_int_equal(z.total_out, n_text);
  (void)inflateEnd(&z);
  assert_memory_equal(back, text, n_text);
  free(packed);

  packed = (char*)text;
  n_packed = 77;
  assert_false(http_pack_gzip("\x01\x92\xe7", 3, &packed, &n_packed));
  assert_false(http_pack_gzip("", 0, &packed, &n_packed));
  assert_ptr_equal(packed, text);
  assert_int_equal(n_packed, 77);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(who_takes_gzip_is_read_from_the_header),
    cmocka_unit_test(what_is_packed_comes_back_and_what_is_no_smaller_is_left),
    cmocka_unit_test(addresses_are_read_or_refused),
    cmocka_unit_test(an_address_that_is_too_long_is_refused),
    cmocka_unit_test(only_names_nobody_can_own_are_hosts),
    cmocka_unit_test(the_code_lets_in_and_wrong_ones_wait),
    cmocka_unit_test(a_token_is_a_role_until_it_is_put_out),
    cmocka_unit_test(a_door_is_the_same_after_a_restart),
    cmocka_unit_test(who_is_full_makes_room_for_the_newest),
    cmocka_unit_test(roles_may_what_their_place_may),
    cmocka_unit_test(facts_are_read_one_by_one),
    cmocka_unit_test(deep_and_many_are_refused),
    cmocka_unit_test(facts_survive_every_failed_allocation),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
