// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/http_door.h"

#include <ctype.h>
#include <errno.h>
#include <fcntl.h>
#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/random.h>
#include <unistd.h>

enum { N_ADDRESSES = 256, HTTP_DOOR_PATH_ROOM = 1000 };

static const char letters[] = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"; // No 0 O 1 I L: 31 of them

typedef struct {
  int session; ///< 0 = free
  HttpRole role;
  char token[HTTP_TOKEN_BYTES + 1];
  int64_t joined_s;
  int64_t seen_s;
  char address[HTTP_ADDRESS_ROOM];
} Session;

// Wrong tries of one address within the minute that began at since_s.
typedef struct {
  char address[HTTP_ADDRESS_ROOM];
  int64_t since_s;
  int n_wrong;
} Tries;

struct HttpDoor {
  pthread_mutex_t lock;
  char code[HTTP_CODE_LETTERS + 1];
  Session sessions[HTTP_MAX_SESSIONS];
  int last_session;
  Tries tries[N_ADDRESSES];
  Tries all;
  char path[HTTP_DOOR_PATH_ROOM]; ///< Where it is kept; "" = nowhere
};

typedef struct {
  const char* word;
  const char* say;
  const char* place;
} Role;

static const Role roles[HTTP_ROLE_COUNT] = {
  [HTTP_HOUSE] = {"house", "house desk", "foh"},
  [HTTP_MONITORS] = {"monitors", "monitor desk", "mon"},
  [HTTP_BROADCAST] = {"broadcast", "broadcast desk", "broadcast"},
  [HTTP_STAGE] = {"stage", "stage", "stage"},
  [HTTP_AMPLIFIERS] = {"amplifiers", "amplifiers", "amps"},
  [HTTP_LOOK] = {"look", "look only", ""},
};

const char*
http_role_word(HttpRole role)
{
  return (unsigned)role < HTTP_ROLE_COUNT ? roles[role].word : "unknown";
}

const char*
http_role_say(HttpRole role)
{
  return (unsigned)role < HTTP_ROLE_COUNT ? roles[role].say : "unknown";
}

const char*
http_role_place(HttpRole role)
{
  return (unsigned)role < HTTP_ROLE_COUNT ? roles[role].place : "";
}

bool
http_role_of(const char* word, HttpRole* role)
{
  for (int i = 0; word && i < HTTP_ROLE_COUNT; ++i) {
    if (!strcmp(word, roles[i].word)) {
      *role = (HttpRole)i;
      return true;
    }
  }
  return false;
}

unsigned
http_role_may(HttpRole role)
{
  const unsigned told = (1U << TELL_COUNT) - 1;
  // What is plugged where, what a desk has, the kit and the act in force are the desks' to say
  const unsigned patch = 1U << TELL_PLUG | 1U << TELL_NOW | 1U << TELL_KIT | 1U << TELL_READ;
  switch (role) {
    case HTTP_HOUSE:
      return told | HTTP_MAY_MANAGE | HTTP_MAY_IMPORT;
    case HTTP_MONITORS:
    case HTTP_BROADCAST:
      return told;
    case HTTP_STAGE:
    case HTTP_AMPLIFIERS:
      return told & ~patch;
    case HTTP_LOOK:
    case HTTP_ROLE_COUNT:
      break;
  }
  return 0;
}

// ---- Chance ----

static Status
random_bytes(unsigned char* bytes, size_t n)
{
  ssize_t got = -1;
  do {
    got = getrandom(bytes, n, 0);
  } while (got < 0 && errno == EINTR);
  return got == (ssize_t)n ? STATUS_OK : STATUS_IO;
}

// Each letter as likely as any other: bytes from 248 (8 * 31) up are thrown again.
static Status
new_code(char code[HTTP_CODE_LETTERS + 1])
{
  const int n_letters = (int)sizeof(letters) - 1;
  for (int i = 0; i < HTTP_CODE_LETTERS;) {
    unsigned char byte = 0;
    Status st;
    TRY(st, random_bytes(&byte, 1));
    if (byte < 256 / n_letters * n_letters) {
      code[i++] = letters[byte % n_letters];
    }
  }
  code[HTTP_CODE_LETTERS] = '\0';
  return STATUS_OK;
}

// Takes as long whatever differs.
static bool
is_equal(const char* a, const char* b, size_t n)
{
  unsigned differs = 0;
  for (size_t i = 0; i < n; ++i) {
    differs |= (unsigned)(unsigned char)a[i] ^ (unsigned)(unsigned char)b[i];
  }
  return differs == 0;
}

// ---- Kept over a restart ----

// With the lock held.
static void
save(const HttpDoor* door)
{
  char part[HTTP_DOOR_PATH_ROOM + 8];
  if (!door->path[0]) {
    return;
  }
  (void)snprintf(part, sizeof(part), "%s.part", door->path);
  (void)unlink(part); // Made anew, so that nobody else has it open or may read it
  const int file = open(part, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0600);
  FILE* const out = file >= 0 ? fdopen(file, "w") : NULL;
  if (!out) {
    if (file >= 0) {
      (void)close(file);
    }
    return;
  }
  bool good = fprintf(out, "code %s\n", door->code) > 0;
  for (int i = 0; i < HTTP_MAX_SESSIONS; ++i) {
    const Session* const s = &door->sessions[i];
    if (s->session) {
      good = good && fprintf(out, "phone %d %s %s %s\n", s->session, http_role_word(s->role),
                             s->token, s->address[0] ? s->address : "-") > 0;
    }
  }
  good = fclose(out) == 0 && good;
  if (!good || rename(part, door->path) != 0) {
    (void)unlink(part);
  }
}

static bool
is_token(const char* text)
{
  return strlen(text) == HTTP_TOKEN_BYTES && strspn(text, "0123456789abcdef") == HTTP_TOKEN_BYTES;
}

// One line of the file; what is no such line is passed over.
static void
take_line(HttpDoor* door, const char* line, int* n, int64_t now_s)
{
  char code[16] = "";
  char role[16] = "";
  char token[HTTP_TOKEN_BYTES + 2] = "";
  char address[HTTP_ADDRESS_ROOM] = "";
  int session = 0;
  Session s = {.joined_s = now_s, .seen_s = now_s};
  if (sscanf(line, "code %15s", code) == 1 && strlen(code) == HTTP_CODE_LETTERS &&
      strspn(code, letters) == HTTP_CODE_LETTERS) {
    memcpy(door->code, code, sizeof(door->code));
  } else if (sscanf(line, "phone %9d %15s %65s %47s", &session, role, token, address) == 4 &&
             session > 0 && *n < HTTP_MAX_SESSIONS && is_token(token) &&
             http_role_of(role, &s.role)) {
    s.session = session;
    memcpy(s.token, token, sizeof(s.token));
    (void)snprintf(s.address, sizeof(s.address), "%s", strcmp(address, "-") ? address : "");
    door->sessions[(*n)++] = s;
    door->last_session = session > door->last_session ? session : door->last_session;
  }
}

void
http_door_keep(HttpDoor* door, const char* path, int64_t now_s)
{
  char line[300];
  int n = 0;
  (void)pthread_mutex_lock(&door->lock);
  if (strlen(path) < sizeof(door->path)) {
    (void)snprintf(door->path, sizeof(door->path), "%s", path);
    FILE* const in = fopen(path, "re");
    while (in && fgets(line, sizeof(line), in)) {
      take_line(door, line, &n, now_s);
    }
    if (in) {
      (void)fclose(in);
    }
    save(door);
  }
  (void)pthread_mutex_unlock(&door->lock);
}

HttpDoor*
http_door_new(void)
{
  HttpDoor* const door = calloc(1, sizeof(*door));
  if (door && (new_code(door->code) != STATUS_OK || pthread_mutex_init(&door->lock, NULL) != 0)) {
    free(door);
    return NULL;
  }
  return door;
}

void
http_door_free(HttpDoor* door)
{
  if (door) {
    (void)pthread_mutex_destroy(&door->lock);
    free(door);
  }
}

void
http_door_code(HttpDoor* door, char code[HTTP_CODE_LETTERS + 1])
{
  (void)pthread_mutex_lock(&door->lock);
  memcpy(code, door->code, sizeof(door->code));
  (void)pthread_mutex_unlock(&door->lock);
}

Status
http_door_renew(HttpDoor* door)
{
  char code[HTTP_CODE_LETTERS + 1];
  Status st;
  TRY(st, new_code(code));
  (void)pthread_mutex_lock(&door->lock);
  memcpy(door->code, code, sizeof(door->code));
  save(door);
  (void)pthread_mutex_unlock(&door->lock);
  return STATUS_OK;
}

// ---- Tries ----

// Seconds to wait, 0 = may try.
static int
wait_of(Tries* tries, int most, int64_t now_s)
{
  if (now_s - tries->since_s >= 60) {
    tries->since_s = now_s;
    tries->n_wrong = 0;
  }
  return tries->n_wrong >= most ? (int)(60 - (now_s - tries->since_s)) : 0;
}

// The entry of an address, or the oldest one, which it gets.
static Tries*
tries_of(HttpDoor* door, const char* address, int64_t now_s)
{
  Tries* oldest = &door->tries[0];
  for (int i = 0; i < N_ADDRESSES; ++i) {
    if (!strcmp(door->tries[i].address, address)) {
      return &door->tries[i];
    }
    oldest = door->tries[i].since_s < oldest->since_s ? &door->tries[i] : oldest;
  }
  *oldest = (Tries){.since_s = now_s};
  (void)snprintf(oldest->address, sizeof(oldest->address), "%s", address);
  return oldest;
}

static bool
is_code(const HttpDoor* door, const char* said)
{
  char told[HTTP_CODE_LETTERS + 1] = "";
  size_t n = 0;
  for (; said && *said; ++said) {
    if (*said == ' ' || *said == '-') {
      continue;
    }
    if (n == HTTP_CODE_LETTERS) {
      return false;
    }
    told[n++] = (char)toupper((unsigned char)*said);
  }
  return n == HTTP_CODE_LETTERS && is_equal(told, door->code, HTTP_CODE_LETTERS);
}

// ---- Sessions ----

static Session*
session_of(HttpDoor* door, int session)
{
  for (int i = 0; session > 0 && i < HTTP_MAX_SESSIONS; ++i) {
    if (door->sessions[i].session == session) {
      return &door->sessions[i];
    }
  }
  return NULL;
}

// A free place, or that of whoever was not seen for longest.
static Session*
free_place(HttpDoor* door)
{
  Session* place = &door->sessions[0];
  for (int i = 0; i < HTTP_MAX_SESSIONS && place->session; ++i) {
    Session* const s = &door->sessions[i];
    place = !s->session || s->seen_s < place->seen_s ? s : place;
  }
  return place;
}

static Status
let_in(HttpDoor* door, HttpRole role, const char* address, int64_t now_s,
       char token[HTTP_TOKEN_BYTES + 1])
{
  unsigned char bits[HTTP_TOKEN_BYTES / 2];
  Status st;
  TRY(st, random_bytes(bits, sizeof(bits)));
  Session* const s = free_place(door);
  *s = (Session){++door->last_session, role, "", now_s, now_s, ""};
  for (size_t i = 0; i < sizeof(bits); ++i) {
    (void)snprintf(s->token + 2 * i, 3, "%02x", bits[i]);
  }
  (void)snprintf(s->address, sizeof(s->address), "%s", address);
  memcpy(token, s->token, sizeof(s->token));
  return STATUS_OK;
}

Status
http_door_join(HttpDoor* door, const char* code, HttpRole role, bool is_here, const char* address,
               int64_t now_s, char token[HTTP_TOKEN_BYTES + 1], int* wait_s)
{
  Status st = STATUS_OK;
  (void)pthread_mutex_lock(&door->lock);
  if (!is_here) {
    Tries* const own = tries_of(door, address, now_s);
    const int own_s = wait_of(own, HTTP_TRIES_A_MINUTE, now_s);
    const int all_s = wait_of(&door->all, HTTP_TRIES_IN_ALL, now_s);
    if (own_s > 0 || all_s > 0) {
      *wait_s = own_s > all_s ? own_s : all_s;
      st = STATUS_LIMIT;
    } else if (!is_code(door, code)) {
      ++own->n_wrong;
      ++door->all.n_wrong;
      st = STATUS_NO;
    }
  }
  if (st == STATUS_OK) {
    st = let_in(door, role, address, now_s, token);
    save(door);
  }
  (void)pthread_mutex_unlock(&door->lock);
  return st;
}

bool
http_door_guest(HttpDoor* door, const char* token, bool is_here, int64_t now_s, HttpGuest* guest)
{
  *guest = (HttpGuest){0, HTTP_HOUSE, is_here};
  bool is_in = is_here;
  if (!token || strnlen(token, HTTP_TOKEN_BYTES + 1) != HTTP_TOKEN_BYTES) {
    return is_in;
  }
  (void)pthread_mutex_lock(&door->lock);
  for (int i = 0; i < HTTP_MAX_SESSIONS; ++i) {
    Session* const s = &door->sessions[i];
    if (s->session && is_equal(s->token, token, HTTP_TOKEN_BYTES)) {
      s->seen_s = now_s;
      guest->session = s->session;
      guest->role = s->role;
      is_in = true;
    }
  }
  (void)pthread_mutex_unlock(&door->lock);
  return is_in;
}

void
http_door_change(HttpDoor* door, int session, HttpRole role)
{
  (void)pthread_mutex_lock(&door->lock);
  Session* const s = session_of(door, session);
  if (s) {
    s->role = role;
    save(door);
  }
  (void)pthread_mutex_unlock(&door->lock);
}

bool
http_door_out(HttpDoor* door, int session)
{
  (void)pthread_mutex_lock(&door->lock);
  Session* const s = session_of(door, session);
  if (s) {
    memset(s, 0, sizeof(*s));
    save(door);
  }
  (void)pthread_mutex_unlock(&door->lock);
  return s != NULL;
}

static int
by_session(const void* a_, const void* b_)
{
  const HttpJoined* const a = a_;
  const HttpJoined* const b = b_;
  return (a->session > b->session) - (a->session < b->session);
}

int
http_door_list(HttpDoor* door, HttpJoined* joined, int n_room)
{
  int n = 0;
  (void)pthread_mutex_lock(&door->lock);
  for (int i = 0; i < HTTP_MAX_SESSIONS && n < n_room; ++i) {
    const Session* const s = &door->sessions[i];
    if (s->session) {
      joined[n] = (HttpJoined){s->session, s->role, s->joined_s, s->seen_s, ""};
      memcpy(joined[n++].address, s->address, sizeof(s->address));
    }
  }
  (void)pthread_mutex_unlock(&door->lock);
  qsort(joined, (size_t)n, sizeof(*joined), by_session);
  return n;
}
