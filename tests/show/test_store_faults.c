// SPDX-License-Identifier: GPL-3.0-or-later

/*
  The show file when things go wrong under it: a disk that fills up at any write, memory that runs
  out at any request, a program killed in the middle, a file cut short or overwritten.
*/

#include "show/fold.h"
#include "show/store.h"
#include "support/check.h"

#include "facts.h"
#include "places.h"

#include <signal.h>
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <time.h>

enum { N_BASE = 6 };

/* A disk that fills up: SQLite's own files, with the n-th write refused and all after it */

typedef struct {
  sqlite3_vfs shim;
  sqlite3_vfs* real;
  int n_writes;
  int full_at;   ///< 1-based; 0 = never
  bool for_good; ///< From that write on, not only at it
} FullDisk;

typedef struct {
  sqlite3_file head;
  FullDisk* disk;
  sqlite3_file* real; ///< Right behind this struct
} FullFile;

static sqlite3_file*
under(sqlite3_file* file)
{
  return ((FullFile*)file)->real;
}

static bool
is_full(FullDisk* disk)
{
  ++disk->n_writes;
  return disk->full_at &&
         (disk->for_good ? disk->n_writes >= disk->full_at : disk->n_writes == disk->full_at);
}

static int
full_close(sqlite3_file* f)
{
  return under(f)->pMethods->xClose(under(f));
}

static int
full_read(sqlite3_file* f, void* to, int n, sqlite3_int64 at)
{
  return under(f)->pMethods->xRead(under(f), to, n, at);
}

static int
full_write(sqlite3_file* f, const void* from, int n, sqlite3_int64 at)
{
  if (is_full(((FullFile*)f)->disk)) {
    // A real full disk often takes the first part
    (void)under(f)->pMethods->xWrite(under(f), from, n / 2, at);
    return SQLITE_FULL;
  }
  return under(f)->pMethods->xWrite(under(f), from, n, at);
}

static int
full_truncate(sqlite3_file* f, sqlite3_int64 n)
{
  return under(f)->pMethods->xTruncate(under(f), n);
}

static int
full_sync(sqlite3_file* f, int flags)
{
  return under(f)->pMethods->xSync(under(f), flags);
}

static int
full_size(sqlite3_file* f, sqlite3_int64* n)
{
  return under(f)->pMethods->xFileSize(under(f), n);
}

static int
full_lock(sqlite3_file* f, int level)
{
  return under(f)->pMethods->xLock(under(f), level);
}

static int
full_unlock(sqlite3_file* f, int level)
{
  return under(f)->pMethods->xUnlock(under(f), level);
}

static int
full_reserved(sqlite3_file* f, int* out)
{
  return under(f)->pMethods->xCheckReservedLock(under(f), out);
}

static int
full_control(sqlite3_file* f, int op, void* arg)
{
  return under(f)->pMethods->xFileControl(under(f), op, arg);
}

static int
full_sector(sqlite3_file* f)
{
  return under(f)->pMethods->xSectorSize(under(f));
}

static int
full_traits(sqlite3_file* f)
{
  return under(f)->pMethods->xDeviceCharacteristics(under(f));
}

static int
full_shm_map(sqlite3_file* f, int page, int n, int extend, void volatile** at)
{
  return under(f)->pMethods->xShmMap(under(f), page, n, extend, at);
}

static int
full_shm_lock(sqlite3_file* f, int offset, int n, int flags)
{
  return under(f)->pMethods->xShmLock(under(f), offset, n, flags);
}

static void
full_shm_barrier(sqlite3_file* f)
{
  under(f)->pMethods->xShmBarrier(under(f));
}

static int
full_shm_unmap(sqlite3_file* f, int delete_it)
{
  return under(f)->pMethods->xShmUnmap(under(f), delete_it);
}

static const sqlite3_io_methods full_methods = {
  2,           full_close,   full_read,     full_write,       full_truncate,  full_sync,
  full_size,   full_lock,    full_unlock,   full_reserved,    full_control,   full_sector,
  full_traits, full_shm_map, full_shm_lock, full_shm_barrier, full_shm_unmap, NULL,
  NULL};

static int
full_open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags)
{
  FullFile* const f = (FullFile*)file;
  FullDisk* const disk = vfs->pAppData;
  f->disk = disk;
  f->real = (sqlite3_file*)(f + 1);
  const int rc = disk->real->xOpen(disk->real, name, f->real, flags, out_flags);
  f->head.pMethods = f->real->pMethods ? &full_methods : NULL;
  return rc;
}

static void
full_disk_start(FullDisk* disk)
{
  memset(disk, 0, sizeof(*disk));
  disk->real = sqlite3_vfs_find(NULL);
  disk->shim = *disk->real;
  disk->shim.zName = "full";
  disk->shim.pAppData = disk;
  disk->shim.pNext = NULL;
  disk->shim.szOsFile = (int)sizeof(FullFile) + disk->real->szOsFile;
  disk->shim.xOpen = full_open;
  assert_int_equal(sqlite3_vfs_register(&disk->shim, 1), SQLITE_OK);
}

static void
full_disk_end(FullDisk* disk)
{
  assert_int_equal(sqlite3_vfs_unregister(&disk->shim), SQLITE_OK);
  assert_int_equal(sqlite3_vfs_register(disk->real, 1), SQLITE_OK);
}

/* What is done while it happens */

static const StoreMigration migrations[] = {
  {MAKE, "ALTER TABLE fact ADD COLUMN heard TEXT; CREATE INDEX fact_kind ON fact (kind);"}};
static const StoreSchema next_make = {MAKE + 1, "", migrations, 1};

static void
fill_facts(Arena* arena, const char* start, Fact* facts, int n)
{
  for (int i = 0; i < n; ++i) {
    const char* const body = arena_format(arena, "{\"text\":\"%03000d\"}", i);
    facts[i] = (Fact){arena_format(arena, "%s-%04d", start, i),
                      0,
                      FACTS_TIME,
                      "",
                      "",
                      FACT_NOTE,
                      body,
                      strlen(body)};
  }
}

typedef enum { WORK_CREATE, WORK_APPEND, WORK_BACKUP, WORK_MIGRATE, WORK_COUNT } Work;

typedef struct {
  const char* path;
  const char* copy;
  Fact facts[3];
} Scene;

// One piece of work on a fresh copy of the same show; what came of it goes into `did`.
static Status
work_run(Arena* arena, const Scene* scene, Work work, Status* closed)
{
  Store* store = NULL;
  Error error = {0};
  Status st = STATUS_OK;
  *closed = STATUS_OK;
  switch (work) {
    case WORK_CREATE:
      st = store_create(arena, scene->path, &store, &error);
      break;
    case WORK_MIGRATE:
      st = store_open_as(arena, scene->path, STORE_WRITE, &next_make, &store, &error);
      break;
    default:
      st = store_open(arena, scene->path, STORE_WRITE, &store, &error);
  }
  if (st == STATUS_OK && work == WORK_APPEND) {
    st = store_append(store, scene->facts, 3, NULL, &error);
  }
  if (st == STATUS_OK && work == WORK_BACKUP) {
    st = store_backup(store, scene->copy, false, &error);
  }
  if (st == STATUS_FULL && !strstr(error.text, "disk is full")) {
    fail_msg("says \"%s\"", error.text);
  }
  *closed = store_close(store, &error);
  return st;
}

static size_t
show_facts(const char* path, const StoreSchema* schema)
{
  Arena arena;
  arena_init(&arena, NULL);
  Error error = {0};
  Store* store = NULL;
  Fact* facts = NULL;
  size_t n = 0;
  const Status st = schema ? store_open_as(&arena, path, STORE_WRITE, schema, &store, &error)
                           : store_open(&arena, path, STORE_WRITE, &store, &error);
  if (st != STATUS_OK || store_facts(store, &arena, 0, &facts, &n, &error) != STATUS_OK) {
    fail_msg("%s does not open: %s", path, error.text);
  }
  Fact want[N_BASE];
  fill_facts(&arena, "base", want, N_BASE);
  for (size_t i = 0; i < n && i < N_BASE; ++i) {
    assert_string_equal(facts[i].id, want[i].id);
    assert_true(fact_same(&facts[i], &want[i]));
  }
  assert_int_equal(store_close(store, &error), STATUS_OK);
  arena_deinit(&arena);
  return n;
}

static unsigned char*
base_show(Place* place, size_t* n_bytes)
{
  const char* const path = place_path(place, "base.show");
  Store* store = NULL;
  Fact facts[N_BASE];
  fill_facts(&place->arena, "base", facts, N_BASE);
  assert_int_equal(store_create(&place->arena, path, &store, NULL), STATUS_OK);
  assert_int_equal(store_append(store, facts, N_BASE, NULL, NULL), STATUS_OK);
  assert_int_equal(store_close(store, NULL), STATUS_OK);
  unsigned char* const bytes = file_bytes(&place->arena, path, n_bytes);
  assert_int_equal(unlink(path), 0);
  return bytes;
}

// The show must be as it was, or as asked for if that was acknowledged.
static void
work_check(Place* place, const Scene* scene, Work work, Status st, const char* when)
{
  struct stat about;
  if (work == WORK_CREATE) {
    if (st != STATUS_OK && place_files(place, false) != 0) {
      fail_msg("%s: something is left of a show that could not be made", when);
    }
    assert_int_equal(st == STATUS_OK ? show_facts(scene->path, NULL) : 0, 0);
    return;
  }
  const size_t want = N_BASE + (work == WORK_APPEND && st == STATUS_OK ? 3 : 0);
  // Refused after the migration was on the disk, the show is of the third make already.
  const size_t n = show_facts(scene->path, work == WORK_MIGRATE ? &next_make : NULL);
  if (n != want) {
    fail_msg("%s: %zu facts, want %zu", when, n, want);
  }
  if (work == WORK_BACKUP) {
    if (st == STATUS_OK) {
      assert_int_equal(show_facts(scene->copy, NULL), N_BASE);
    } else if (stat(scene->copy, &about) == 0 || place_files(place, false) != 1) {
      fail_msg("%s: something is left of a copy that could not be made", when);
    }
  }
}

static void
scene_set(Place* place, Scene* scene, Work work, const unsigned char* base, size_t n_base)
{
  (void)place_files(place, true);
  scene->path = place_path(place, "day.show");
  scene->copy = place_path(place, "copy.show");
  fill_facts(&place->arena, "late", scene->facts, 3);
  if (work != WORK_CREATE) {
    file_write(scene->path, base, n_base);
  }
}

static void
a_full_disk_leaves_the_show_as_it_was(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  size_t n_base = 0;
  const unsigned char* const base = base_show(&place, &n_base);
  int n_full[WORK_COUNT] = {0};
  for (int work = 0; work < WORK_COUNT; ++work) {
    for (int for_good = 0; for_good < 2; ++for_good) {
      for (int at = 1;; ++at) {
        Scene scene;
        char when[60];
        (void)snprintf(when, sizeof(when), "work %d, write %d, for good %d", work, at, for_good);
        scene_set(&place, &scene, (Work)work, base, n_base);
        FullDisk disk;
        full_disk_start(&disk);
        disk.full_at = at;
        disk.for_good = for_good;
        Arena arena;
        arena_init(&arena, NULL);
        Status closed = STATUS_OK;
        const Status st = work_run(&arena, &scene, (Work)work, &closed);
        arena_deinit(&arena);
        full_disk_end(&disk);
        if ((st != STATUS_OK && st != STATUS_FULL) ||
            (closed != STATUS_OK && closed != STATUS_FULL)) {
          fail_msg("%s: status %d, closing %d", when, (int)st, (int)closed);
        }
        n_full[work] += st == STATUS_FULL;
        work_check(&place, &scene, (Work)work, st, when);
        if (disk.n_writes < at) {
          break;
        }
      }
    }
  }
  printf("disk full at %d writes of create, %d of append, %d of backup, %d of migration\n",
         n_full[0], n_full[1], n_full[2], n_full[3]);
  for (int work = 0; work < WORK_COUNT; ++work) {
    assert_true(n_full[work] >= 4);
  }
  place_close(&place);
}

/* Memory that runs out inside SQLite */

static sqlite3_mem_methods real_memory;
static FailingHeap sqlite_heap;

static void*
thin_get(int n)
{
  return ++sqlite_heap.n_requests == sqlite_heap.fail_at ? NULL : real_memory.xMalloc(n);
}

static void*
thin_regrow(void* block, int n)
{
  return ++sqlite_heap.n_requests == sqlite_heap.fail_at ? NULL : real_memory.xRealloc(block, n);
}

static void
memory_may_run_out_anywhere(void** state)
{
  (void)state;
  const bool every_one = getenv("LINEWALK_LONG") != NULL;
  Place place;
  place_open(&place);
  size_t n_base = 0;
  const unsigned char* const base = base_show(&place, &n_base);
  assert_int_equal(sqlite3_shutdown(), SQLITE_OK);
  assert_int_equal(sqlite3_config(SQLITE_CONFIG_GETMALLOC, &real_memory), SQLITE_OK);
  sqlite3_mem_methods thin = real_memory;
  thin.xMalloc = thin_get;
  thin.xRealloc = thin_regrow;
  assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &thin), SQLITE_OK);
  int n_failed = 0;
  int n_tried = 0;
  for (int work = 0; work < WORK_COUNT; ++work) {
    for (int at = 1;; at += every_one || at < 40 ? 1 : 11) {
      Scene scene;
      char when[60];
      (void)snprintf(when, sizeof(when), "work %d, request %d", work, at);
      scene_set(&place, &scene, (Work)work, base, n_base);
      Arena arena;
      arena_init(&arena, NULL);
      assert_int_equal(sqlite3_initialize(), SQLITE_OK);
      sqlite_heap = (FailingHeap){0, at, 0};
      Status closed = STATUS_OK;
      const Status st = work_run(&arena, &scene, (Work)work, &closed);
      const bool through = sqlite_heap.n_requests < at;
      sqlite_heap = (FailingHeap){0, 0, 0};
      arena_deinit(&arena);
      if (st != STATUS_OK && st != STATUS_NO_MEMORY) {
        fail_msg("%s: status %d", when, (int)st);
      }
      n_failed += st == STATUS_NO_MEMORY;
      ++n_tried;
      work_check(&place, &scene, (Work)work, st, when);
      if (sqlite3_memory_used() != 0) {
        fail_msg("%s: SQLite still holds %lld bytes", when, (long long)sqlite3_memory_used());
      }
      if (through) {
        break;
      }
    }
  }
  assert_int_equal(sqlite3_shutdown(), SQLITE_OK);
  assert_int_equal(sqlite3_config(SQLITE_CONFIG_MALLOC, &real_memory), SQLITE_OK);
  printf("%d requests refused, %d pieces of work ended by it\n", n_tried, n_failed);
  assert_true(n_failed > 40);
  place_close(&place);
}

static void
our_own_memory_may_run_out(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  size_t n_base = 0;
  const unsigned char* const base = base_show(&place, &n_base);
  int n_failed = 0;
  for (int at = 1;; ++at) {
    Scene scene;
    scene_set(&place, &scene, WORK_APPEND, base, n_base);
    FailingHeap heap = {0, at, 0};
    const Allocator from = failing_allocator(&heap);
    Arena arena;
    arena_init(&arena, &from);
    Store* store = NULL;
    Fact* facts = NULL;
    size_t n = 77;
    Status st = store_open(&arena, scene.path, STORE_WRITE, &store, NULL);
    for (int i = 0; st == STATUS_OK && i < 8; ++i) {
      st = store_facts(store, &arena, 0, &facts, &n, NULL);
      assert_int_equal(n, st == STATUS_OK || i ? N_BASE : 77);
    }
    assert_int_equal(store_close(store, NULL), STATUS_OK);
    arena_deinit(&arena);
    assert_int_equal(heap.n_live, 0);
    if (st == STATUS_OK) {
      break;
    }
    assert_int_equal(st, STATUS_NO_MEMORY);
    ++n_failed;
  }
  assert_true(n_failed >= 3);
  place_close(&place);
}

/* Files cut short and overwritten */

// Whatever the file holds: open it, read it, fold it, add to it. Only a crash is wrong.
static Status
try_everything(const char* path, size_t* n_read)
{
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  Error error = {0};
  Fact* facts = NULL;
  size_t n = 0;
  Fold fold;
  const Fact more = {"one-more-fact", 0, FACTS_TIME, "", "", FACT_NOTE, "{\"text\":\"x\"}", 12};
  Status st = store_open(&arena, path, STORE_WRITE, &store, &error);
  if (st == STATUS_OK) {
    st = store_facts(store, &arena, 0, &facts, &n, &error);
    *n_read = n;
    if (st == STATUS_OK) {
      (void)fold_make(&arena, facts, n, &fold, &error);
    }
    (void)store_append(store, &more, 1, NULL, &error);
    (void)store_close(store, &error);
  }
  if (st != STATUS_OK && !error.text[0]) {
    fail_msg("status %d without a word", (int)st);
  }
  arena_deinit(&arena);
  return st;
}

static void
a_show_cut_short_is_refused(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  size_t n_base = 0;
  const unsigned char* const base = base_show(&place, &n_base);
  const char* const path = place_path(&place, "day.show");
  int n_tried = 0;
  for (size_t n = 0; n < n_base; n += n < 200 ? 1 : 509) {
    (void)place_files(&place, true);
    file_write(path, base, n);
    size_t n_read = 0;
    const Status st = try_everything(path, &n_read);
    if (st != STATUS_DAMAGED && st != STATUS_NOT_OURS) {
      fail_msg("cut at %zu of %zu: status %d", n, n_base, (int)st);
    }
    ++n_tried;
  }
  printf("%d lengths of %zu bytes\n", n_tried, n_base);
  place_close(&place);
}

// A log cut short is what a computer that lost power leaves: whole transactions, from the front.
static void
a_log_cut_short_loses_only_its_end(void** state)
{
  (void)state;
  Place place;
  place_open(&place);
  size_t n_base = 0;
  const unsigned char* const base = base_show(&place, &n_base);
  Scene scene;
  scene_set(&place, &scene, WORK_APPEND, base, n_base);
  Store* store = NULL;
  assert_int_equal(store_open(&place.arena, scene.path, STORE_WRITE, &store, NULL), STATUS_OK);
  for (int i = 0; i < 3; ++i) {
    assert_int_equal(store_append(store, &scene.facts[i], 1, NULL, NULL), STATUS_OK);
  }
  size_t n_db = 0;
  size_t n_wal = 0;
  const unsigned char* const db = file_bytes(&place.arena, scene.path, &n_db);
  const char* const wal_path = place_path(&place, "day.show-wal");
  const unsigned char* const wal = file_bytes(&place.arena, wal_path, &n_wal);
  assert_int_equal(store_close(store, NULL), STATUS_OK);
  size_t n_last = N_BASE;
  for (size_t n = 0; n <= n_wal; n = n < n_wal && n + 811 > n_wal ? n_wal : n + 811) {
    (void)place_files(&place, true);
    file_write(scene.path, db, n_db);
    file_write(wal_path, wal, n);
    size_t n_read = 0;
    assert_int_equal(try_everything(scene.path, &n_read), STATUS_OK);
    assert_true(n_read >= n_last && n_read <= N_BASE + 3);
    n_last = n_read;
  }
  assert_int_equal(n_last, N_BASE + 3);
  place_close(&place);
}

static void
overwritten_bytes_never_crash(void** state)
{
  (void)state;
  const uint64_t seed = 1200;
  const int n_rounds = getenv("LINEWALK_LONG") ? 5000 : 400;
  Rng rng;
  rng_init(&rng, seed);
  Place place;
  place_open(&place);
  size_t n_base = 0;
  unsigned char* const base = base_show(&place, &n_base);
  const char* const path = place_path(&place, "day.show");
  int n_refused = 0;
  for (int round = 0; round < n_rounds; ++round) {
    unsigned char was[4];
    size_t at[4];
    const int n = 1 + rng_below(&rng, 4);
    for (int i = 0; i < n; ++i) {
      // Every other flip goes where the structure lies: the heads of the pages
      at[i] = (size_t)rng_below(&rng, (int)n_base);
      at[i] = rng_below(&rng, 2) ? at[i] : at[i] - at[i] % 4096 + at[i] % 64;
      was[i] = base[at[i]];
      base[at[i]] ^= (unsigned char)(1 + rng_below(&rng, 255));
    }
    (void)place_files(&place, true);
    file_write(path, base, n_base);
    size_t n_read = 0;
    n_refused += try_everything(path, &n_read) != STATUS_OK;
    for (int i = n; i-- > 0;) {
      base[at[i]] = was[i];
    }
  }
  printf("seed %llu: %d files, %d refused\n", (unsigned long long)seed, n_rounds, n_refused);
  assert_true(n_refused > n_rounds / 4);
  place_close(&place);
}

/* Killed in the middle */

// Appends batches of 1 to 3 facts for ever; after each acknowledgement its number goes down the
// pipe.
static void
append_for_ever(const char* path, int pipe_end)
{
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  if (store_open(&arena, path, STORE_WRITE, &store, NULL) != STATUS_OK) {
    _exit(1);
  }
  for (int batch = 0;; ++batch) {
    Arena scratch;
    arena_init(&scratch, NULL);
    Fact facts[3];
    fill_facts(&scratch, arena_format(&scratch, "batch-%06d", batch), facts, 1 + batch % 3);
    if (store_append(store, facts, 1 + (size_t)batch % 3, NULL, NULL) != STATUS_OK ||
        write(pipe_end, &batch, sizeof(batch)) != (ssize_t)sizeof(batch)) {
      _exit(2);
    }
    arena_deinit(&scratch);
  }
}

// How many whole batches the show holds; fails on half a batch or one out of its place.
static int
whole_batches(const char* path)
{
  Arena arena;
  arena_init(&arena, NULL);
  Store* store = NULL;
  Fact* facts = NULL;
  size_t n = 0;
  Error error = {0};
  if (store_open(&arena, path, STORE_WRITE, &store, &error) != STATUS_OK ||
      store_facts(store, &arena, 0, &facts, &n, &error) != STATUS_OK) {
    fail_msg("after the kill: %s", error.text);
  }
  size_t at = 0;
  int batch = 0;
  for (; at < n; ++batch) {
    for (int i = 0; i < 1 + batch % 3; ++i, ++at) {
      assert_true(at < n);
      assert_string_equal(facts[at].id, arena_format(&arena, "batch-%06d-%04d", batch, i));
    }
  }
  assert_int_equal(store_close(store, &error), STATUS_OK);
  arena_deinit(&arena);
  return batch;
}

static void
a_kill_loses_nothing_acknowledged(void** state)
{
  (void)state;
  const uint64_t seed = 9;
  const int n_kills = getenv("LINEWALK_LONG") ? 200 : 10;
  Rng rng;
  rng_init(&rng, seed);
  int n_acknowledged = 0;
  for (int kill_no = 0; kill_no < n_kills; ++kill_no) {
    Place place;
    place_open(&place);
    const char* const path = place_path(&place, "day.show");
    Store* store = NULL;
    assert_int_equal(store_create(&place.arena, path, &store, NULL), STATUS_OK);
    assert_int_equal(store_close(store, NULL), STATUS_OK);
    int ends[2];
    assert_int_equal(pipe(ends), 0);
    const pid_t child = fork();
    if (child == 0) {
      (void)close(ends[0]);
      append_for_ever(path, ends[1]);
    }
    (void)close(ends[1]);
    int last = -1;
    int got = -1;
    assert_int_equal(read(ends[0], &got, sizeof(got)), sizeof(got)); // It is under way
    last = got;
    const struct timespec wait = {0, 1000 * (500 + rng_below(&rng, 60000))};
    (void)nanosleep(&wait, NULL);
    assert_int_equal(kill(child, SIGKILL), 0);
    int how = 0;
    assert_int_equal(waitpid(child, &how, 0), child);
    assert_true(WIFSIGNALED(how) && WTERMSIG(how) == SIGKILL);
    while (read(ends[0], &got, sizeof(got)) == (ssize_t)sizeof(got)) {
      last = got;
    }
    (void)close(ends[0]);
    const int n_whole = whole_batches(path);
    if (n_whole < last + 1 || n_whole > last + 2) {
      fail_msg("seed %llu kill %d: %d batches acknowledged, %d there", (unsigned long long)seed,
               kill_no, last + 1, n_whole);
    }
    n_acknowledged += last + 1;
    place_close(&place);
  }
  printf("%d kills, %d appends acknowledged, all there\n", n_kills, n_acknowledged);
}

int
main(void)
{
  const struct CMUnitTest tests[] = {
    cmocka_unit_test(a_full_disk_leaves_the_show_as_it_was),
    cmocka_unit_test(memory_may_run_out_anywhere),
    cmocka_unit_test(our_own_memory_may_run_out),
    cmocka_unit_test(a_show_cut_short_is_refused),
    cmocka_unit_test(a_log_cut_short_loses_only_its_end),
    cmocka_unit_test(overwritten_bytes_never_crash),
    cmocka_unit_test(a_kill_loses_nothing_acknowledged),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
