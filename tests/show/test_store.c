// SPDX-License-Identifier: GPL-3.0-or-later
#include "show/fold.h"
#include "show/store.h"
#include "support/check.h"

#include "facts.h"
#include "places.h"

#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>

#define GOOD(call)                                                                                 \
  do {                                                                                             \
    const Status st_ = (call);                                                                     \
    if (st_ != STATUS_OK) {                                                                        \
      fail_msg("%s: status %d, %s", #call, (int)st_, error.text);                                  \
    }                                                                                              \
  } while (0)

static Fact
note(const char* id, const char* body)
{
  return (Fact){id, 0, FACTS_TIME, "split", "stage", FACT_NOTE, body, strlen(body)};
}

/* Store and model */

enum { N_MODEL_MAX = 400 };

typedef struct {
  Fact facts[N_MODEL_MAX];
  size_t n;
} Model;

static void
store_is_model(Store* store, const Model* model, const char* when)
{
  Arena arena;
  arena_init(&arena, NULL);
  Error error = {0};
  Fact* facts = NULL;
  size_t n = 0;
  size_t n_counted = 0;
  int64_t last = -1;
  const size_t after = model->n / 2;
  GOOD(store_count(store, &n_counted, &last, &error));
  GOOD(store_facts(store, &arena, 0, &facts, &n, &error));
  if (n != model->n || n_counted != n || last != (int64_t)n) {
    fail_msg("%s: %zu facts, counted %zu, last %lld, want %zu", when, n, n_counted, (long long)last,
             model->n);
  }
  for (size_t i = 0; i < n; ++i) {
    const Fact* const f = &facts[i];
    if (f->seq != (int64_t)i + 1 || strcmp(f->id, model->facts[i].id) != 0 ||
        strcmp(f->time, model->facts[i].time) != 0 || !fact_same(f, &model->facts[i])) {
      fail_msg("%s: fact %zu is %s %s", when, i, f->id, f->body);
    }
  }
  GOOD(store_facts(store, &arena, (int64_t)after, &facts, &n, &error));
  assert_int_equal(n, model->n - after);
  arena_deinit(&arena);
}

static void
random_operations_agree_with_a_model(void** state)
{
  (void)state;
  const uint64_t seed = 41;
  Rng rng;
  rng_init(&rng, seed);
  for (int round = 0; round < 4; ++round) {
    Place place;
    place_open(&place);
    Error error = {0};
    Model model = {.n = 0};
    Store* store = NULL;
    const char* const path = place_path(&place, "day.show");
    GOOD(store_create(&place.arena, path, &store, &error));
    for (int turn = 0; turn < 60; ++turn) {
      char when[80];
      (void)snprintf(when, sizeof(when), "seed %llu round %d turn %d", (unsigned long long)seed,
                     round, turn);
      const int what = rng_below(&rng, 10);
      if (what < 7) { // Append some, known ones among them, sometimes with one that is refused
        Fact batch[5];
        size_t n_batch = 0;
        size_t n_new = 0;
        size_t n_told = 99;
        Status want = STATUS_OK;
        int bad_at = 0;
        const size_t n_before = model.n;
        for (int i = rng_below(&rng, 5); i >= 0; --i) {
          Fact* const f = &batch[n_batch++];
          const int sort = rng_below(&rng, 12);
          if (sort < 3 && model.n) {
            *f = model.facts[rng_below(&rng, (int)model.n)];
            f->time = "2031-06-14T23:59:59Z"; // Stamped anew on the way
          } else {
            *f = facts_random(&place.arena, &rng, model.facts, model.n);
            model.facts[model.n++] = *f;
            ++n_new;
          }
          if (want == STATUS_OK && sort == 11) {
            want = STATUS_NOT_FOUND;
            bad_at = (int)n_batch;
            f->kind = FACT_VOIDED;
            f->body = "{\"id\":\"never-told\"}";
            f->n_body = strlen(f->body);
          } else if (want == STATUS_OK && sort == 0 && n_before && f->seq <= (int64_t)n_before) {
            want = STATUS_EXISTS;
            bad_at = (int)n_batch;
            f->role = "somebody else";
          }
        }
        const Status st = store_append(store, batch, n_batch, &n_told, &error);
        if (st != want || (st == STATUS_OK && n_told != n_new) ||
            (st != STATUS_OK && (n_told != 99 || error.line != bad_at))) {
          fail_msg("%s: append gave %d (%s), want %d", when, (int)st, error.text, (int)want);
        }
        model.n = st == STATUS_OK ? model.n : n_before;
      } else if (what == 7) {
        GOOD(store_close(store, &error));
        assert_int_equal(place_files(&place, false), 1);
        GOOD(store_open(&place.arena, path, STORE_WRITE, &store, &error));
      } else if (what == 8) {
        const char* const copy = place_path(&place, "copy.show");
        GOOD(store_backup(store, copy, false, &error));
        Store* second = NULL;
        GOOD(store_open(&place.arena, copy, STORE_READ, &second, &error));
        store_is_model(second, &model, when);
        GOOD(store_close(second, &error));
        assert_int_equal(unlink(copy), 0);
      } else if (model.n) {
        char made[FACT_ID_ROOM];
        const char* const id = model.facts[rng_below(&rng, (int)model.n)].id;
        GOOD(store_void(store, id, "slip", FACTS_TIME, "split", "stage", made, &error));
        Fact* const f = &model.facts[model.n++];
        const char* const body = arena_format(&place.arena, "{\"id\":\"%s\",\"why\":\"slip\"}", id);
        *f = note(arena_copy(&place.arena, made), body);
        f->kind = FACT_VOIDED;
      }
      store_is_model(store, &model, when);
    }
    GOOD(store_close(store, &error));
    place_close(&place);
  }
}

static void
two_programs_take_turns(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* stores[2] = {NULL, NULL};
  const char* const path = place_path(&place, "day.show");
  GOOD(store_create(&place.arena, path, &stores[0], &error));
  GOOD(store_open(&place.arena, path, STORE_WRITE, &stores[1], &error));
  for (int i = 0; i < 10; ++i) {
    const Fact fact = note(arena_format(&place.arena, "fact-%04d", i / 2), "{\"text\":\"x\"}");
    size_t n_new = 9;
    size_t n = 0;
    GOOD(store_append(stores[i % 2], &fact, 1, &n_new, &error));
    assert_int_equal(n_new, i % 2 == 0); // The second program tells the same fact again
    GOOD(store_count(stores[(i + 1) % 2], &n, NULL, &error));
    assert_int_equal(n, i / 2 + 1);
  }
  GOOD(store_close(stores[0], &error));
  GOOD(store_close(stores[1], &error));
  GOOD(store_close(NULL, &error));
  place_close(&place);
}

/* What is refused */

static void
sql(const char* path, const char* text)
{
  sqlite3* db = NULL;
  assert_int_equal(sqlite3_open(path, &db), SQLITE_OK);
  if (sqlite3_exec(db, text, NULL, NULL, NULL) != SQLITE_OK) {
    fail_msg("%s: %s", text, sqlite3_errmsg(db));
  }
  assert_int_equal(sqlite3_close(db), SQLITE_OK);
}

static void
make_show(Place* place, const char* path, int n_facts)
{
  Error error = {0};
  Store* store = NULL;
  GOOD(store_create(&place->arena, path, &store, &error));
  for (int i = 0; i < n_facts; ++i) {
    const Fact fact = note(arena_format(&place->arena, "fact-%04d", i),
                           arena_format(&place->arena, "{\"text\":\"%0200d\"}", i));
    GOOD(store_append(store, &fact, 1, NULL, &error));
  }
  GOOD(store_close(store, &error));
}

static void
files_that_are_no_show(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  const char* const names[] = {"text", "empty", "other", "newer", "magic only", "schema"};
  const char* paths[6];
  for (int i = 0; i < 6; ++i) {
    paths[i] = place_path(&place, names[i]);
  }
  static const char prose[] = "line,box,socket\n1,A,1\n";
  file_write(paths[0], prose, strlen(prose));
  file_write(paths[1], "", 0);
  sql(paths[2], "CREATE TABLE cats (name TEXT)");
  make_show(&place, paths[3], 2);
  sql(paths[3], "PRAGMA user_version = 99");
  file_write(paths[4], "SQLite format 3", 16);
  make_show(&place, paths[5], 2);
  sql(paths[5], "ALTER TABLE fact RENAME TO facts");
  const struct {
    const char* path;
    Status want;
    const char* says;
  } rows[] = {
    {place_path(&place, "nothing"), STATUS_NOT_FOUND, "no such show"},
    {place_path(&place, "text/below"), STATUS_NOT_FOUND, "no such show"},
    {place.folder, STATUS_NOT_OURS, "not a Linewalk show"},
    {paths[0], STATUS_NOT_OURS, "not a Linewalk show"},
    {paths[1], STATUS_NOT_OURS, "not a Linewalk show"},
    {paths[2], STATUS_NOT_OURS, "not a Linewalk show"},
    {paths[3], STATUS_NEWER, "version 99"},
    {paths[4], STATUS_DAMAGED, "damaged"},
    {paths[5], STATUS_DAMAGED, "damaged"},
  };
  for (size_t i = 0; i < sizeof(rows) / sizeof(rows[0]); ++i) {
    Error error = {0};
    Store* store = (Store*)&error; // Sentinel: must survive
    size_t n_before = 0;
    size_t n_after = 0;
    const bool is_file = rows[i].want != STATUS_NOT_FOUND && i != 2;
    const unsigned char* const before =
      is_file ? file_bytes(&place.arena, rows[i].path, &n_before) : NULL;
    const Status st = store_open(&place.arena, rows[i].path, STORE_WRITE, &store, &error);
    if (st != rows[i].want || !strstr(error.text, rows[i].says) ||
        strcmp(error.file, rows[i].path) != 0 || store != (Store*)&error) {
      fail_msg("%s: status %d, \"%s\"", rows[i].path, (int)st, error.text);
    }
    if (is_file) {
      const unsigned char* const after = file_bytes(&place.arena, rows[i].path, &n_after);
      assert_int_equal(n_after, n_before);
      assert_memory_equal(after, before, n_before);
    }
    // Nothing that is there is made anew over it.
    if (rows[i].want != STATUS_NOT_FOUND) {
      assert_int_equal(store_create(&place.arena, rows[i].path, &store, &error), STATUS_EXISTS);
      assert_ptr_equal(store, &error);
    }
  }
  Store* store = NULL;
  Error error = {0};
  assert_int_equal(store_create(&place.arena, rows[1].path, &store, &error), STATUS_IO);
  assert_int_equal(place_files(&place, false), 6);
  place_close(&place);
}

static void
a_show_another_program_holds(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  const char* const path = place_path(&place, "day.show");
  make_show(&place, path, 3);
  sqlite3* other = NULL;
  assert_int_equal(sqlite3_open(path, &other), SQLITE_OK);
  assert_int_equal(sqlite3_exec(other, "PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE; COMMIT;",
                                NULL, NULL, NULL),
                   SQLITE_OK);
  assert_int_equal(store_open(&place.arena, path, STORE_WRITE, &store, &error), STATUS_LOCKED);
  assert_non_null(strstr(error.text, "Another program"));
  assert_int_equal(sqlite3_close(other), SQLITE_OK);

  GOOD(store_open(&place.arena, path, STORE_WRITE, &store, &error));
  assert_int_equal(sqlite3_open(path, &other), SQLITE_OK);
  assert_int_equal(sqlite3_exec(other, "BEGIN IMMEDIATE", NULL, NULL, NULL), SQLITE_OK);
  const Fact fact = note("fact-held", "{\"text\":\"x\"}");
  size_t n = 0;
  assert_int_equal(store_append(store, &fact, 1, NULL, &error), STATUS_LOCKED);
  GOOD(store_count(store, &n, NULL, &error)); // Reading goes on
  assert_int_equal(n, 3);
  assert_int_equal(sqlite3_exec(other, "COMMIT", NULL, NULL, NULL), SQLITE_OK);
  GOOD(store_append(store, &fact, 1, NULL, &error));
  assert_int_equal(sqlite3_close(other), SQLITE_OK);
  GOOD(store_close(store, &error));
  place_close(&place);
}

// In a child without the right to write; its exit code is the number of the check that failed.
static int
look_without_rights(const char* path)
{
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  Error error = {0};
  size_t n = 0;
  if (geteuid() == 0 && setuid(65534) != 0) {
    return 1;
  }
  if (store_open(&arena, path, STORE_WRITE, &store, &error) != STATUS_IO) {
    return 2;
  }
  if (store_open(&arena, path, STORE_READ, &store, &error) != STATUS_OK) {
    return 3;
  }
  if (store_count(store, &n, NULL, &error) != STATUS_OK || n != 3) {
    return 4;
  }
  const Fact fact = note("fact-look", "{\"text\":\"x\"}");
  if (store_append(store, &fact, 1, NULL, &error) != STATUS_IO) {
    return 5;
  }
  if (store_close(store, &error) != STATUS_OK) {
    return 6;
  }
  arena_deinit(&arena);
  return 0;
}

static void
a_show_that_may_only_be_read(void** state)
{
  (void)state;
  static const mode_t folder_rights[] = {0777, 0555};
  for (int i = 0; i < 2; ++i) {
    Place place;
    place_open(&place);
    const char* const path = place_path(&place, "100%? day#1.show");
    make_show(&place, path, 3);
    assert_int_equal(chmod(path, 0444), 0);
    assert_int_equal(chmod(place.folder, folder_rights[i]), 0);
    const pid_t child = fork();
    if (child == 0) {
      _exit(look_without_rights(path));
    }
    int how = 0;
    assert_int_equal(waitpid(child, &how, 0), child);
    if (!WIFEXITED(how) || WEXITSTATUS(how) != 0) {
      fail_msg("folder %o: check %d failed", (unsigned)folder_rights[i], WEXITSTATUS(how));
    }
    assert_int_equal(chmod(place.folder, 0755), 0);
    place_close(&place);
  }
}

/* Older makes */

static const StoreMigration migrations[] = {
  {MAKE, "ALTER TABLE fact ADD COLUMN heard TEXT;"},
  {MAKE + 1, "CREATE INDEX fact_kind ON fact (kind); CREATE TABLE extra (word TEXT) STRICT;"},
};

static const StoreMigration migrations_bad[] = {
  {MAKE, "ALTER TABLE fact ADD COLUMN heard TEXT;"},
  {MAKE + 1, "CREATE TABLE extra (word TEXT) STRICT; DROP TABLE not_there;"},
};

static void
an_older_show_is_copied_and_brought_up_to_date(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  size_t n = 0;
  const StoreSchema newer = {MAKE + 2, "", migrations, 2};
  const StoreSchema bad = {MAKE + 2, "", migrations_bad, 2};
  const StoreSchema gap = {MAKE + 2, "", migrations, 1};
  const char* const path = place_path(&place, "day.show");
  const char* const copy =
    place_path(&place, arena_format(&place.arena, "day.show.before-version-%d", MAKE + 2));
  make_show(&place, path, 5);

  // A step that fails leaves the old make whole, with its copy beside it.
  assert_int_equal(store_open_as(&place.arena, path, STORE_WRITE, &bad, &store, &error),
                   STATUS_DAMAGED);
  assert_non_null(strstr(error.text, "not_there"));
  assert_int_equal(unlink(copy), 0);
  assert_int_equal(store_open_as(&place.arena, path, STORE_WRITE, &gap, &store, &error),
                   STATUS_BAD_ARG);
  assert_int_equal(store_open_as(&place.arena, path, STORE_READ, &newer, &store, &error),
                   STATUS_IO);
  GOOD(store_open(&place.arena, path, STORE_WRITE, &store, &error));
  GOOD(store_close(store, &error));
  assert_int_equal(place_files(&place, false), 1);

  file_write(copy, "keep", 4); // A name that is taken is passed over
  GOOD(store_open_as(&place.arena, path, STORE_WRITE, &newer, &store, &error));
  const Fact fact = note("fact-new", "{\"text\":\"after\"}");
  GOOD(store_append(store, &fact, 1, NULL, &error));
  GOOD(store_count(store, &n, NULL, &error));
  assert_int_equal(n, 6);
  GOOD(store_close(store, &error));
  size_t n_bytes = 0;
  (void)file_bytes(&place.arena, copy, &n_bytes);
  assert_int_equal(n_bytes, 4);
  assert_int_equal(place_files(&place, false), 3);
  GOOD(store_open_as(&place.arena, path, STORE_WRITE, &newer, &store, &error));
  GOOD(store_close(store, &error));
  assert_int_equal(place_files(&place, false), 3);

  assert_int_equal(store_open(&place.arena, path, STORE_WRITE, &store, &error), STATUS_NEWER);
  const char* const old =
    place_path(&place, arena_format(&place.arena, "day.show.before-version-%d-2", MAKE + 2));
  GOOD(store_open(&place.arena, old, STORE_READ, &store, &error));
  GOOD(store_count(store, &n, NULL, &error));
  assert_int_equal(n, 5);
  GOOD(store_close(store, &error));
  place_close(&place);
}

static void
a_show_from_before_words_and_read_backs_opens(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  size_t n = 0;
  const char* const path = place_path(&place, "day.show");
  make_show(&place, path, 5);
  for (int older = 1; older <= 2; ++older) { // 2 knows no passes
    sql(path, older == 1 ? "PRAGMA user_version = 1" : "PRAGMA user_version = 2");
    GOOD(store_open(&place.arena, path, STORE_WRITE, &store, &error));
    GOOD(store_count(store, &n, NULL, &error));
    assert_int_equal(n, 5);
    GOOD(store_close(store, &error));
    GOOD(store_open(&place.arena, path, STORE_READ, &store, &error));
    GOOD(store_close(store, &error));
    assert_int_equal(place_files(&place, false), 1 + older); // And its copies
  }
  place_close(&place);
}

static void
a_backup_never_harms_what_is_there(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  const char* const path = place_path(&place, "day.show");
  const char* const copy = place_path(&place, "copy.show");
  make_show(&place, path, 5);
  file_write(copy, "keep", 4);
  GOOD(store_open(&place.arena, path, STORE_WRITE, &store, &error));
  assert_int_equal(store_backup(store, copy, false, &error), STATUS_EXISTS);
  assert_int_equal(store_backup(store, place_path(&place, "no/where"), false, &error), STATUS_IO);
  assert_int_equal(store_backup(store, place_path(&place, "no/where"), true, &error), STATUS_IO);
  size_t n_bytes = 0;
  (void)file_bytes(&place.arena, copy, &n_bytes);
  assert_int_equal(n_bytes, 4);
  GOOD(store_backup(store, copy, true, &error));
  GOOD(store_close(store, &error));
  assert_int_equal(place_files(&place, false), 2);
  GOOD(store_open(&place.arena, copy, STORE_WRITE, &store, &error));
  GOOD(store_close(store, &error));
  place_close(&place);
}

/* The sqlite3 shell as oracle */

static const char*
shell(Place* place, const char* path, const char* query)
{
  FILE* const out =
    popen(arena_format(&place->arena, "sqlite3 '%s' \"%s\" 2>&1", path, query), "r");
  assert_non_null(out);
  char* const text = arena_array(&place->arena, 4096, 1);
  const size_t n = fread(text, 1, 4095, out);
  text[n] = '\0';
  if (n && text[n - 1] == '\n') {
    text[n - 1] = '\0';
  }
  (void)pclose(out);
  return text;
}

static void
the_shell_reads_what_was_written(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  const char* const path = place_path(&place, "day.show");
  GOOD(store_create(&place.arena, path, &store, &error));
  Fact fact;
  const FactBody body = {.line = 41, .check = "lamps", .reading = "G.R"};
  for (int i = 0; i < 3; ++i) {
    GOOD(fact_make(&place.arena, FACT_READING, &body, FACTS_TIME, "split", "stage", &fact, &error));
    GOOD(store_append(store, &fact, 1, NULL, &error));
  }
  GOOD(store_void(store, fact.id, NULL, FACTS_TIME, "", "", NULL, &error));
  // While we hold it open, and after.
  for (int i = 0; i < 2; ++i) {
    assert_string_equal(shell(&place, path, "select count(*), max(seq) from fact"), "4|4");
    assert_string_equal(
      shell(&place, path,
            "select sum(json_extract(body, '$.line')), body ->> 'reading' from fact "
            "where kind = 'reading'"),
      "123|G.R");
    assert_string_equal(shell(&place, path, "select voids from fact where kind = 'voided'"),
                        fact.id);
    assert_string_equal(shell(&place, path, "pragma integrity_check"), "ok");
    assert_string_equal(shell(&place, path, "pragma foreign_key_check"), "");
    assert_string_equal(shell(&place, path, "pragma journal_mode"), "wal");
    assert_string_equal(shell(&place, path, "pragma user_version"), "3");
    assert_string_equal(shell(&place, path, "pragma application_id"), "1280789331");
    assert_non_null(strstr(shell(&place, path, "update fact set place = 'x'"), "never edited"));
    assert_non_null(strstr(shell(&place, path, "delete from fact"), "never removed"));
    assert_non_null(strstr(shell(&place, path,
                                 "insert into fact (id, time, place, role, kind, body) values "
                                 "('12345678', '', '', '', 'note', 'no json')"),
                           "CHECK"));
    if (i == 0) {
      GOOD(store_close(store, &error));
    }
  }
  place_close(&place);
}

static void
everything_goes_out_as_csv_and_json(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* store = NULL;
  const char* const path = place_path(&place, "day.show");
  make_show(&place, path, 4);
  GOOD(store_open(&place.arena, path, STORE_READ, &store, &error));
  static const char* const first[] = {"seq,id,", "{\"seq\":1,"};
  static const int n_lines[] = {5, 4};
  for (int format = STORE_CSV; format <= STORE_JSON_LINES; ++format) {
    char got[4000] = "";
    FILE* const out = fmemopen(got, sizeof(got), "w");
    GOOD(store_export(store, (StoreExport)format, out, &error));
    (void)fclose(out);
    assert_int_equal(strncmp(got, first[format], strlen(first[format])), 0);
    int n = 0;
    for (const char* p = got; *p; ++p) {
      n += *p == '\n';
    }
    assert_int_equal(n, n_lines[format]);
    FILE* const full = fopen("/dev/full", "w");
    assert_int_equal(store_export(store, (StoreExport)format, full, &error), STATUS_FULL);
    (void)fclose(full);
  }
  GOOD(store_close(store, &error));
  place_close(&place);
}

// Another program that opens and closes the show must leave the log of ours where it is.
static void
a_second_look_keeps_the_locks_of_the_first(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  Error error = {0};
  Store* writes = NULL;
  Store* looks = NULL;
  size_t n = 0;
  const char* const path = place_path(&place, "day.show");
  const char* const log = place_path(&place, "day.show-wal");
  make_show(&place, path, 5);
  GOOD(store_open(&place.arena, path, STORE_WRITE, &writes, &error));
  const Fact first = note("fact-first", "{\"text\":\"first\"}");
  GOOD(store_append(writes, &first, 1, NULL, &error));
  GOOD(store_open(&place.arena, path, STORE_READ_AGAIN, &looks, &error));
  GOOD(store_count(looks, &n, NULL, &error));
  assert_int_equal(n, 6);
  // The shell is the last one only if our lock is gone
  assert_string_equal(shell(&place, path, "select count(*) from fact"), "6");
  assert_int_equal(access(log, F_OK), 0);
  const Fact second = note("fact-second", "{\"text\":\"second\"}");
  GOOD(store_append(writes, &second, 1, NULL, &error));
  assert_string_equal(shell(&place, path, "select count(*) from fact"), "7");
  GOOD(store_close(looks, &error));
  GOOD(store_close(writes, &error));
  assert_string_equal(shell(&place, path, "select count(*) from fact"), "7");
  place_close(&place);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(random_operations_agree_with_a_model),
    cmocka_unit_test(two_programs_take_turns),
    cmocka_unit_test(files_that_are_no_show),
    cmocka_unit_test(a_show_another_program_holds),
    cmocka_unit_test(a_show_that_may_only_be_read),
    cmocka_unit_test(a_second_look_keeps_the_locks_of_the_first),
    cmocka_unit_test(an_older_show_is_copied_and_brought_up_to_date),
    cmocka_unit_test(a_show_from_before_words_and_read_backs_opens),
    cmocka_unit_test(a_backup_never_harms_what_is_there),
    cmocka_unit_test(the_shell_reads_what_was_written),
    cmocka_unit_test(everything_goes_out_as_csv_and_json),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
