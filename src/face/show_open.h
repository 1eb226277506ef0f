// SPDX-License-Identifier: GPL-3.0-or-later
#pragma once

#include "base/arena.h"
#include "day/situation.h"
#include "face/args.h"
#include "face/screen.h"
#include "show/fold.h"
#include "show/store.h"
#include "stage/lists.h"

/*
  A show, loaded: the store, its facts, what they fold to, the lists among them, the plant the lists
  make, and where things stand.

    store --facts--> fold --lists--> plant --act--> situation

  Every verb walks this road as far as it needs. After a new fact, show_refold walks it again from
  the facts; the plant is built anew only when a list came in or went.
*/

typedef struct OpenShow OpenShow;

/// What every verb gets. Answers go to `screen->out`, never to another stream.
typedef struct {
  Arena* arena;
  const Args* args;
  const Screen* screen;
  Error* error;
  const OpenShow* kept; ///< A show that is loaded already, for verbs that only look; NULL = load it
} Face;

struct OpenShow {
  const char* path;
  Store* store;
  Fold fold;
  size_t fold_room[FOLD_SETS]; ///< As fold_add left it
  const ListText* lists;       ///< [n_lists] in the order they were taken in
  int n_lists;
  int n_bare_lines;
  Plant plant;                ///< With what was read back from desks over what lists say of them
  const DeskRow* listed_rows; ///< [n_listed_rows] rows of desks as the lists have them
  int n_listed_rows;
  int act;              ///< Index of the act that answers; -1 = bare lines; set by show_situate
  const char* act_word; ///< Its name, "bare lines" for -1
  Situation* situation; ///< NULL until show_situate
  Arena* held;          ///< Of a conversation (face/converse.h); else NULL
};

/// Name of the fact that keeps "this many lines were assumed" (its version is the number).
#define SHOW_ASSUMED_LINES "lines assumed"

/// The role of the facts a show begins with; undo stops before them.
#define SHOW_BEGINS "new show"

/// Open, read, fold and build. `show` must be closed with show_close on every path after success.
/// With `face->kept` nothing is opened: `show` borrows what is loaded, has no store, and only
/// looks.
Status
show_open(const Face* face, const char* path, StoreMode mode, OpenShow* show);

/// Read the facts again into `face->arena` and fold them; rebuild the plant if `rebuild`.
Status
show_refold(const Face* face, OpenShow* show, bool rebuild);

/**
   Take in what the log has got since, fact by fact, without folding anew: the same as show_refold
   without `rebuild`, for the cost of the new facts alone.

   @param held Holds the fold and must outlive `show`'s use of it; face->arena may go before.
   @return STATUS_NO when a new fact is one that changes what was before it or the plant (something
   taken back, a list, the kit): nothing is changed then, and show_refold is needed. On another
   error the show stands at an earlier fact, whole.
*/
Status
show_follow(const Face* face, OpenShow* show, Arena* held);

/// The same for a conversation, whose `show->held` keeps the fold from turn to turn: show_follow,
/// or all facts folded anew where it cannot.
Status
show_again(const Face* face, OpenShow* show);

/// Local date "2031-06-14" and time "15:22"; both "" when the system has none.
void
show_clock_now(char today[16], char clock[8]);

/// Settle which act answers (--act, the one in force, or the first that uses `line`; -1 = no line)
/// without working out odds.
Status
show_act(const Face* face, OpenShow* show, int line);

/// The same, and where things stand in it.
Status
show_situate(const Face* face, OpenShow* show, int line);

/// A line as people call it: its number, its socket, or its source in the act (show_act first, or
/// all acts are looked through). @return STATUS_BAD_INPUT with what there is.
Status
show_line(const Face* face, const OpenShow* show, const char* text, int* line);

/// Find the line, settle the act that uses it, and work out where things stand.
Status
show_find(const Face* face, OpenShow* show, const char* text, int* line);

/// Append one fact: time from the clock, place and role from the options, id from --id or new.
/// @param[out] is_new false when a fact of this id was there. @param[out] id may be NULL.
Status
show_tell(const Face* face, OpenShow* show, FactKind kind, const FactBody* body, bool* is_new,
          const char** id);

/// Back to the question answered last: what was told there counts no more ("read again").
/// @param[in,out] ids [>= *at] ids of the answers so far, NULL where none was given; the one that
/// is taken back becomes NULL. @param[in,out] at The question asked now, then that one; as it was
/// when nothing was told before it.
Status
show_back(const Face* face, const OpenShow* show, const char** ids, int* at);

/// The plant with the ways round of the act that answers laid over it; in `face->arena`.
Status
show_as_moved(const Face* face, const OpenShow* show, const Plant** plant);

/// The mark of the list of the act that answers, "" when it has none; in `face->arena`.
const char*
show_mark(const Face* face, const OpenShow* show);

/// NULL-safe in its store.
Status
show_close(const Face* face, OpenShow* show);

/// A whole file. @return STATUS_IO with its name and why; STATUS_LIMIT over `max_bytes`.
Status
show_read_file(const Face* face, const char* path, size_t max_bytes, char** bytes, size_t* n_bytes);

/// The part of a path after its last slash.
const char*
show_base_name(const char* path);

/// A list as UTF-8 in a list_imported body. `as` is its name in the show.
Status
show_list_body(const Face* face, const ListText* list, const char* version, const char* file,
               FactBody* body);

/// "Act in force: act2, 15:35 to 16:35, list QLR 2.", who holds another list, and what was left
/// aside; the first lines of every answer.
void
show_say_act(const Face* face, const OpenShow* show);
