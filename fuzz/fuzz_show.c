// SPDX-License-Identifier: GPL-3.0-or-later

/*
  A show file that something happened to. Random bytes never get past SQLite's first page, so an
  input is read in one of two ways, by its first byte:

    even   the rest is the file
    odd    the rest is injuries to a small good show, three bytes each: a place (two bytes, in
           steps that span the file) and what stands there now; a place of 0xFFFF cuts the file to
           the share value/256

  What must hold: opening either works or says in words why not; looking does not change the file;
  a show that opened can be read and, every eighth time, written, each with an honest status.
*/

#include "must.h"

#include "show/store.h"

#include <string.h>
#include <unistd.h>

enum { SHOW_MAX_BYTES = 1 << 18 };

static size_t
read_file(const char* path, uint8_t* bytes)
{
  FILE* const file = fopen(path, "rb");
  MUST(file != NULL);
  const size_t n_bytes = fread(bytes, 1, SHOW_MAX_BYTES, file);
  (void)fclose(file);
  return n_bytes;
}

static void
write_file(const char* path, const uint8_t* bytes, size_t n_bytes)
{
  FILE* const file = fopen(path, "wb");
  MUST(file && fwrite(bytes, 1, n_bytes, file) == n_bytes && fclose(file) == 0);
}

static void
remove_show(const char* path)
{
  static const char* const tails[] = {"", "-wal", "-shm", "-journal"};
  for (size_t i = 0; i < sizeof(tails) / sizeof(tails[0]); ++i) {
    char name[160];
    (void)snprintf(name, sizeof(name), "%s%s", path, tails[i]);
    (void)unlink(name);
  }
}

static const Fact fact_later = {.id = "fuzz-fact-later",
                                .time = "2031-06-14T15:30:00Z",
                                .place = "stage",
                                .role = "stage",
                                .kind = FACT_TAPED_OFF,
                                .body = "{\"item\":\"M041\"}",
                                .n_body = 15};

/// The bytes of a small good show, the same every time.
static size_t
make_show(const char* path, uint8_t* bytes)
{
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  Error error = {0};
  remove_show(path);
  MUST(store_create(&arena, path, &store, &error) == STATUS_OK);
  for (int i = 0; i < 40; ++i) {
    char id[32];
    char body[96];
    (void)snprintf(id, sizeof(id), "fuzz-fact-%04d", i);
    const int n_body =
      snprintf(body, sizeof(body), "{\"check\":\"level\",\"line\":%d,\"reading\":\"low\"}", i + 1);
    const Fact fact = {.id = id,
                       .time = "2031-06-14T15:22:07Z",
                       .place = "foh",
                       .role = "desk",
                       .kind = FACT_READING,
                       .body = body,
                       .n_body = (size_t)n_body};
    MUST(store_append(store, &fact, 1, NULL, &error) == STATUS_OK);
  }
  MUST(store_close(store, &error) == STATUS_OK);
  arena_deinit(&arena);
  return read_file(path, bytes);
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  static uint8_t good[SHOW_MAX_BYTES];
  static uint8_t show[SHOW_MAX_BYTES];
  static uint8_t after[SHOW_MAX_BYTES];
  static size_t n_good;
  if (n_bytes == 0) {
    return 0;
  }
  char path[64];
  (void)snprintf(path, sizeof(path), "/tmp/linewalk-fuzz-%ld.show", (long)getpid());
  if (!n_good) {
    n_good = make_show(path, good);
  }
  size_t n_show = n_bytes - 1 < SHOW_MAX_BYTES ? n_bytes - 1 : SHOW_MAX_BYTES;
  if (bytes[0] % 2 == 0) {
    memcpy(show, bytes + 1, n_show);
  } else {
    memcpy(show, good, n_good);
    n_show = n_good;
    for (size_t i = 1; i + 3 <= n_bytes; i += 3) {
      const size_t place = (size_t)bytes[i] << 8 | bytes[i + 1];
      if (place == 0xFFFF) {
        n_show = n_show * bytes[i + 2] / 256;
      } else {
        show[place * n_good / 0xFFFF] = bytes[i + 2];
      }
    }
  }
  remove_show(path);
  write_file(path, show, n_show);

  const bool writes = bytes[0] / 2 % 8 == 1;
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  Error error = {0};
  const Status opened = store_open(&arena, path, writes ? STORE_WRITE : STORE_READ, &store, &error);
  if (opened != STATUS_OK) {
    MUST(store == NULL && error.text[0]);
  } else {
    Fact* facts = NULL;
    size_t n_facts = 0;
    if (store_facts(store, &arena, 0, &facts, &n_facts, &error) == STATUS_OK) {
      for (size_t i = 0; i < n_facts; ++i) {
        MUST(facts[i].id && facts[i].time && facts[i].place && facts[i].role && facts[i].body);
        MUST(facts[i].kind < FACT_KIND_COUNT && facts[i].body[facts[i].n_body] == '\0');
      }
    }
    if (writes) {
      (void)store_append(store, &fact_later, 1, NULL, &error);
    }
    (void)store_close(store, &error);
  }
  if (!writes) {
    MUST(read_file(path, after) == n_show && memcmp(show, after, n_show) == 0);
  }
  arena_deinit(&arena);
  remove_show(path);
  return 0;
}
