// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/args.h"

#include "base/text.h"
#include "stage/plant.h"

#include <getopt.h>
#include <stddef.h>
#include <stdio.h>
#include <string.h>

/*
  getopt_long does the reading; what it cannot know (which verb takes which option, what a value may
  be) is checked here. Its own messages are off, because ours name the verb.
*/

// The field of Args an option fills, its type, and what its value may be.
#define FLAG(field) ARGS_FLAG, offsetof(Args, field), 0, 0, NULL
#define TEXT(field) ARGS_TEXT, offsetof(Args, field), 0, 0, NULL
#define MANY(field) ARGS_MANY, offsetof(Args, field), 0, 0, NULL
#define CHOICE(field, words) ARGS_CHOICE, offsetof(Args, field), 0, 0, words
#define WHOLE(field, low, high) ARGS_WHOLE, offsetof(Args, field), low, high, NULL
#define NUMBER(field, low, high) ARGS_NUMBER, offsetof(Args, field), low, high, NULL

static const ArgsOption options[] = {
  {"json", NULL, "answer in JSON, one object on one line", FLAG(json)},
  {"pretty", NULL, "with --json: indented, over several lines", FLAG(pretty)},
  {"act", "ACT", "answer for this act instead of the one in force (\"bare lines\" is one)",
   TEXT(act)},
  {"help", NULL, "this page", FLAG(wants_help)},
  {"parts", NULL, "each line part by part", FLAG(parts)},
  {"yes", NULL, "take it without asking", FLAG(yes)},
  {"force", NULL, "write over what is there", FLAG(force)},
  {"lines", "N", "with no list of boxes or lines: assume N lines (1 to 512)",
   WHOLE(n_lines, 1, PLANT_MAX_LINES)},
  {"at", "PLACE", "where it was seen: A6, foh, mon, broadcast, foh 33, socket", TEXT(at)},
  {"seconds", "N", "how long the flex check lasted", WHOLE(seconds, 0, 86400)},
  {"breaks", "N", "how many breaks the flex check counted (usual: 0)", WHOLE(breaks, 0, 100000)},
  {"minutes", "M", "sound must be back in M minutes", NUMBER(minutes, 0.05, 1440)},
  {"take", "N", "take way round number N and write it down", WHOLE(take, 1, 99)},
  {"anew", NULL, "sockets that the lists give may change too", FLAG(anew)},
  {"voices-move", NULL, "a voice need not keep one line all day", FLAG(voices_move)},
  {"back", NULL, "write down that the line is back on its own way", FLAG(back)},
  {"follows", "DESK", "this desk has done what the way round asks of it", TEXT(follows)},
  {"nobody-answers", NULL, "the other end does not answer: only what can be done unasked",
   FLAG(nobody_answers)},
  {"give", NULL, "write the steps down as taken by those they go to", FLAG(give)},
  {"from", "DESK", "the desk you stand at: foh, mon or broadcast (usual: the direct one)",
   TEXT(from)},
  {"id", "ID", "id of the fact, 8 to 64 letters and digits; told twice it counts once", TEXT(id)},
  {"role", "ROLE", "who says so, as in \"monitor engineer\"", TEXT(role)},
  {"why", "TEXT", "a reason to keep with it", TEXT(why)},
  {"man", NULL, "all pages as one manual page, for man", FLAG(man)},
  {"completion", NULL, "completion of verbs and options, for bash", FLAG(completion)},
  {"show", "SHOW", "this show: its testers are known too, and judge writes into it", TEXT(show)},
  {"under", "WHAT", "phantom, sender, reversed or alone; for --design phantom, sender or both",
   TEXT(under)},
  {"lamps", "PICTURE", "the lamps as they are lit, one letter each: G, R, . dark (G.R)",
   TEXT(lamps)},
  {"design", NULL, "search the resistors that tell most faults apart", FLAG(design)},
  {"contacts", "N", "the connector: 2 to 8 contacts (usual: 3)", WHOLE(contacts, 2, 8)},
  {"lamp-volts", "G,R", "what the lamps drop at 1 mA, green and red; 0 = not there",
   TEXT(lamp_volts)},
  {"most-ma", "N", "the most current a lamp may get, 1 to 100 mA (usual: 30)",
   NUMBER(most_ma, 1.0, 100.0)},
  {"by", "WHAT",
   "brightness (usual), or lit: only lit, dark and colour count; of forecast a time, as in 18:00",
   TEXT(by)},
  {"clock", "TIME", "as if the clock on the wall said TIME, as in 13:00", TEXT(clock)},
  {"hands", "N",
   "people on stage who work on it (usual: who told something; change: the crew list)",
   WHOLE(n_hands, 1, 8)},
  {"sheet", "NAME", "which sheet of a workbook (usual: the first that is a list)", TEXT(sheet)},
  {"means", "ANSWER", "an answer about a list, as in \"phantom:own=no\"; may be given again",
   MANY(means)},
  {"ask", NULL, "ask in a pipe too, one answer a line", FLAG(ask)},
  {"as", "NAME", "the list of the show that this one replaces", TEXT(as)},
  {"wired", "TEXT", "what is wired to what, as in \"1-1 2-3 3 open\"", TEXT(wired)},
  {"near", "TEXT", "what is joined within the near end, as in \"1-2\", or none", TEXT(near_end)},
  {"far", "TEXT", "what is joined within the far end", TEXT(far_end)},
  {"ohms", "TEXT", "ohms end to end by contact, as in \"1=0.4 2=1.6\"", TEXT(ohms)},
  {"length", "M", "length of the cable in metres", NUMBER(length_m, 0.05, 2000)},
  {"section", "MM2", "section of one conductor in mm2, as in 0.22", NUMBER(section_mm2, 0.03, 50)},
  {"awg", "N", "gauge of one conductor instead of a section", WHOLE(awg, 0, 40)},
  {"celsius", "T", "temperature of the cable (usual: 20)", NUMBER(celsius, -40, 90)},
  {"limit", "RULE", "\"copper\" (length and section) or \"620\" (IPC/WHMA-A-620 default)",
   CHOICE(limit, "copper 620")},
  {"insulation", "MOHM", "lowest megohms between any two contacts",
   NUMBER(insulation_mohm, 0, 1e9)},
  {"flex", "N", "breaks counted while it was flexed; --seconds says how long",
   WHOLE(flex, 0, 100000)},
  {"tester", "NAME", "which lamp tester (usual: the built-in one)", TEXT(tester)},
  {"plan", "TEXT", "what should be wired to what, if not as usual", TEXT(plan)},
  {"tag", "ITEM", "the cable's tag, as in M041", TEXT(tag)},
  {"line", "LINE", "the line this cable was taken out of", TEXT(line)},
  {"heap", NULL, "one cable after another: tag, one key, next", FLAG(heap)},
  {"auto", "N", "rules against each other on N hidden faults (1 to 100000)",
   WHOLE(n_runs, 1, 100000)},
  {"seed", "N", "the same again: N as it was said (usual: from the clock)",
   WHOLE(seed, 0, 999999999)},
  {"people", "N", "1 or 2 people who can be asked", WHOLE(n_people, 1, 2)},
  {"ways-round", NULL, "a search may end with the way round", FLAG(ways_round)},
  {"asked", NULL, "steps for somebody else cost asking them over the intercom", FLAG(asked)},
  {"hide", "FAULT", "hide this fault, as in \"cable: open 3\"; needs LINE", TEXT(hide)},
  {"watch", NULL, "the advice plays, and says why", FLAG(watch)},
  {"tell", NULL, "the advice plays, told as Markdown with what else it would have taken",
   FLAG(tell)},
  {"way", "WAY", "how lines are proven: heard, microphone, lamp, volts or desk-volts",
   CHOICE(way, "heard microphone lamp volts desk-volts")},
  {"meter", "WHERE", "where the meter stands for the volts: socket (usual) or desk",
   CHOICE(meter, "socket desk")},
  {"hunt", "LINE", "find the socket of this line: phantom on it alone, the lamp walked",
   TEXT(hunt)},
  {"go", "LINE", "go on at this line", TEXT(go)},
  {"port", "N", "listen at this port (usual: 8017; 0 = any that is free)", WHOLE(port, 0, 65535)},
  {"lan", NULL, "open it to the network; phones join with a code", FLAG(lan)},
  {"limits", "TEXT", "what may be asked of it at most, as in \"address=200 streams=600\"",
   TEXT(limits)},
  {"stop-after", "S", "stop by itself after S seconds (1 to 604800)",
   WHOLE(stop_after_s, 1, 604800)},
  {"paper", "SIZE", "a4 (usual) or letter", CHOICE(paper, "a4 letter")},
  {"tape", "MM", "labels on tape 9, 12 or 24 mm wide instead of paper", CHOICE(tape, "9 12 24")},
  {"date", "DAY", "print this date on each sheet, or \"today\" (usual: none)", TEXT(date)},
  {"page-address", "ADDRESS",
   "where the crew page is, for QR codes, or none (usual: this box in its network, port 8017)",
   TEXT(page_address)},
  {"owner", "TEXT", "whose cables they are, for their labels", TEXT(owner)},
  {"picture", "N", "page N as an SVG picture, to a pipe", WHOLE(picture, 1, 9999)},
  {"about", NULL, "only how many pages it has, and what is to be said of it", FLAG(about)},
  {"read", "DESK", "read this desk back: Enter where it is as the list says, else what differs",
   TEXT(read)},
  {"rows", "DESK", "only show what is to be read at this desk, and what has been", TEXT(rows)},
  {"order", "ORDER", "its channels are in the order of lines (usual) or of the list",
   CHOICE(order, "lines list")},
  {"holds", "\"PLACE VERSION\"", "which list a desk or the stage holds, as in \"mon QLR 2\"",
   TEXT(holds)},
  {"choose", NULL, "sockets may be chosen anew, except those of vocals", FLAG(choose)},
  {"done", "STEP", "this step is done, as in B3 or \"mute foh\"", TEXT(done)},
  {"anyway", NULL, "with --done: a desk has not said that it is muted, and it is done all the same",
   FLAG(anyway)},
  {"takes", "NAME", "this hand takes over what it is offered, as in \"stage patch\"", TEXT(takes)},
  {"begin", NULL, "the change begins anew: what was told of it before does not count", FLAG(begin)},
  {"enter", NULL, "one reading of ohms after the other, in walking order", FLAG(enter)},
  {"card", NULL, "the loudspeaker card, to be filled in by hand", FLAG(card)},
  {"loss", "DB", "what the cable may take (usual: 0.5 dB)", NUMBER(loss_db, 0.05, 12.0)},
  {"hz", "F", "frequency the power is worked out at, or a band such as 100-4000", TEXT(hz)},
  {"volts", "V", "volts rms the power is worked out for (usual: 20)", NUMBER(volts, 0.1, 200.0)},
  {"csv", "FILE", "with --heap: where the verdicts go (usual: heap.csv)", TEXT(csv)},
};
enum { N_OPTIONS = sizeof(options) / sizeof(options[0]), FIRST_VAL = 256 };

const ArgsOption*
args_option(const char* name)
{
  for (int i = 0; i < N_OPTIONS; ++i) {
    if (!strcmp(options[i].name, name)) {
      return &options[i];
    }
  }
  return NULL;
}

const ArgsOption*
args_next(const char** names)
{
  *names += strspn(*names, " ");
  const size_t n = strcspn(*names, " ");
  for (int i = 0; n > 0 && i < N_OPTIONS; ++i) {
    if (strlen(options[i].name) == n && !memcmp(options[i].name, *names, n)) {
      *names += n;
      return &options[i];
    }
  }
  return NULL;
}

// Whether a blank-separated list has this word.
static bool
has_word(const char* list, const char* word)
{
  const size_t n = strlen(word);
  for (list += strspn(list, " "); *list; list += strspn(list, " ")) {
    const size_t length = strcspn(list, " ");
    if (length == n && !memcmp(list, word, n)) {
      return true;
    }
    list += length;
  }
  return false;
}

static Status
refuse(const ArgsVerb* verb, Error* error, const char* what, const char* value)
{
  return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                   "%s %s: see \"linewalk help %s\" for what it takes.", what, value, verb->name);
}

static Status
take_option(const ArgsVerb* verb, const ArgsOption* option, const char* value, Args* args,
            Error* error)
{
  bool good = true;
  void* const field = (char*)args + option->field;
  switch (option->type) {
    case ARGS_FLAG:
      *(bool*)field = true;
      break;
    case ARGS_TEXT:
      *(const char**)field = value;
      break;
    case ARGS_CHOICE:
      *(const char**)field = value;
      good = has_word(option->choice, value);
      break;
    case ARGS_WHOLE:
      good = text_whole(value, (int)option->low, (int)option->high, (int*)field);
      break;
    case ARGS_NUMBER:
      good = text_number(value, option->low, option->high, (double*)field);
      break;
    case ARGS_MANY:
      good = ((ArgsMany*)field)->n < ARGS_MANY_MAX;
      if (good) {
        ((ArgsMany*)field)->text[((ArgsMany*)field)->n++] = value;
      }
      break;
  }
  if (!good) {
    return error_set(error, STATUS_BAD_ARG, NULL, 0, 0,
                     "--%s takes %s (%s), not \"%.40s\": see \"linewalk help %s\".", option->name,
                     option->value, option->does, value, verb->name);
  }
  return STATUS_OK;
}

Status
args_read(const ArgsVerb* verb, int argc, char** argv, Args* args, Error* error)
{
  struct option known[N_OPTIONS + 1];
  memset(known, 0, sizeof(known));
  for (int i = 0; i < N_OPTIONS; ++i) {
    known[i].name = options[i].name;
    known[i].has_arg = options[i].value ? required_argument : no_argument;
    known[i].val = FIRST_VAL + i;
  }
  Args read = {.seconds = -1,
               .celsius = 20,
               .insulation_mohm = -1,
               .awg = -1,
               .flex = -1,
               .seed = -1,
               .port = -1};
  opterr = 0;
  optind = 1;
  for (;;) {
    const int at = optind;
    const int found = getopt_long(argc, argv, ":h", known, NULL);
    if (found == -1) {
      break;
    }
    const char* const said = argv[at < argc ? optind - 1 : argc - 1];
    if (found == ':') {
      return refuse(verb, error, "A value is missing behind", said);
    }
    const ArgsOption* const option = found == 'h'         ? args_option("help")
                                     : found >= FIRST_VAL ? &options[found - FIRST_VAL]
                                                          : NULL;
    if (!option ||
        (!has_word(ARGS_COMMON, option->name) && !has_word(verb->options, option->name))) {
      return refuse(verb, error, "No such option here:", said);
    }
    Status st;
    TRY(st, take_option(verb, option, optarg ? optarg : "", &read, error));
  }
  read.json = read.json || read.pretty;
  read.words = argv + optind;
  read.n_words = argc - optind;
  if (!read.wants_help && (read.n_words < verb->low_words || read.n_words > verb->high_words)) {
    return refuse(verb, error,
                  read.n_words < verb->low_words ? "Too few words for" : "Too many words for",
                  verb->name);
  }
  *args = read;
  return STATUS_OK;
}
