// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/status.h"
#include "face/tell.h"

#include <stdbool.h>
#include <stdint.h>

/*
  Who may come in, and as what.

  There are no accounts. Whoever has the join code gets a random token in a cookie; on this box
  itself no code is needed. A token stands for a role with a place, and the log knows those two and
  no person. Six letters of 31 are 887 million codes (31^6); with five wrong tries a minute from one
  address somebody who guesses for twelve hours has a chance of 4 in a million.

  Times are seconds of any clock that only goes forward; the caller has it. Any thread.
*/

enum {
  HTTP_CODE_LETTERS = 6,
  HTTP_TOKEN_BYTES = 64,   ///< Hex digits of 32 random bytes
  HTTP_TRIES_A_MINUTE = 5, ///< Wrong codes from one address
  HTTP_TRIES_IN_ALL = 60,  ///< Wrong codes a minute from everywhere together
  HTTP_MAX_SESSIONS = 1024,
  HTTP_ADDRESS_ROOM = 48,
};

typedef enum {
  HTTP_HOUSE,
  HTTP_MONITORS,
  HTTP_BROADCAST,
  HTTP_STAGE,
  HTTP_AMPLIFIERS,
  HTTP_LOOK,
  HTTP_ROLE_COUNT
} HttpRole;

/// May do beside telling: bits above those of TellSort.
enum { HTTP_MAY_MANAGE = 1 << 30, HTTP_MAY_IMPORT = 1 << 29 };

/// Who asks. Plain data.
typedef struct {
  int session; ///< 0 = none: on this box without a cookie
  HttpRole role;
  bool is_here; ///< Asks from this box itself
} HttpGuest;

/// One that has joined, for a list of them.
typedef struct {
  int session;
  HttpRole role;
  int64_t joined_s;
  int64_t seen_s;
  char address[HTTP_ADDRESS_ROOM];
} HttpJoined;

typedef struct HttpDoor HttpDoor;

/// @return NULL: no memory, or the system has no chance to give.
HttpDoor*
http_door_new(void);

void
http_door_free(HttpDoor* door);

/**
   Keep code and tokens in a file from now on, and take in what is there: a server that is started
   again in the middle of a show is the same door, and no phone has to join anew. Written whole,
   under another name and renamed, for its owner's eyes only. A file that cannot be read or
   understood is left aside; one that cannot be written is not missed before the next start.
*/
void
http_door_keep(HttpDoor* door, const char* path, int64_t now_s);

/// "house": on the wire; never NULL.
const char*
http_role_word(HttpRole role);

/// "house desk": for people and in the log; never NULL.
const char*
http_role_say(HttpRole role);

/// "foh", "stage", ...: the place a fact of this role is told from; "" for look only.
const char*
http_role_place(HttpRole role);

/// False: no such role, `role` untouched.
bool
http_role_of(const char* word, HttpRole* role);

/// What a role may: a bit for each TellSort and HTTP_MAY_*.
unsigned
http_role_may(HttpRole role);

/// The code of now.
void
http_door_code(HttpDoor* door, char code[HTTP_CODE_LETTERS + 1]);

/// Another code: whoever is in stays in. @return STATUS_IO: the old one stays.
Status
http_door_renew(HttpDoor* door);

/**
   Ask to come in.

   @param code Letters in any case, blanks and dashes left aside; not looked at when `is_here`.
   @param[out] token Zero-ended.
   @param[out] wait_s With STATUS_LIMIT: when to try again.
   @return STATUS_NO: that is not the code; STATUS_LIMIT: too many wrong ones; STATUS_IO.
*/
Status
http_door_join(HttpDoor* door, const char* code, HttpRole role, bool is_here, const char* address,
               int64_t now_s, char token[HTTP_TOKEN_BYTES + 1], int* wait_s);

/// Whose token it is. `token` may be NULL. False: nobody may come in like that; on this box itself
/// it is always true.
bool
http_door_guest(HttpDoor* door, const char* token, bool is_here, int64_t now_s, HttpGuest* guest);

/// Another role for a session.
void
http_door_change(HttpDoor* door, int session, HttpRole role);

/// Put one out. False: there is no such session.
bool
http_door_out(HttpDoor* door, int session);

/// Everybody who has joined, newest last, at most `n_room`. @return how many.
int
http_door_list(HttpDoor* door, HttpJoined* joined, int n_room);
