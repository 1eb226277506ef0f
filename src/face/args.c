// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/args.h"

#include "base/text.h"
#include "stage/plant.h"

#include <getopt.h>
#include <stdio.h>
#include <string.h>

/*
  getopt_long does the reading; what it cannot know (which verb takes which option, what a value may
  be) is checked here. Its own messages are off, because ours name the verb.
*/

static const ArgsOption options[] = {
  {'j', "json", NULL, "answer in JSON, one object on one line"},
  {'p', "pretty", NULL, "with --json: indented, over several lines"},
  {'a', "act", "ACT", "answer for this act instead of the one in force (\"bare lines\" is one)"},
  {'h', "help", NULL, "this page"},
  {'7', "parts", NULL, "each line part by part"},
  {'y', "yes", NULL, "take it without asking"},
  {'f', "force", NULL, "write over what is there"},
  {'L', "lines", "N", "with no list of boxes or lines: assume N lines (1 to 512)"},
  {'t', "at", "PLACE", "where it was seen: A6, foh, mon, broadcast, foh 33, socket"},
  {'s', "seconds", "N", "how long the flex check lasted"},
  {'b', "breaks", "N", "how many breaks the flex check counted (usual: 0)"},
  {'m', "minutes", "M", "sound must be back in M minutes"},
  {'T', "take", "N", "take way round number N and write it down"},
  {'n', "nobody-answers", NULL, "the other end does not answer: only what can be done unasked"},
  {'o', "give", NULL, "write the steps down as taken by those they go to"},
  {'F', "from", "DESK", "the desk you stand at: foh, mon or broadcast (usual: the direct one)"},
  {'i', "id", "ID", "id of the fact, 8 to 64 letters and digits; told twice it counts once"},
  {'r', "role", "ROLE", "who says so, as in \"monitor engineer\""},
  {'w', "why", "TEXT", "a reason to keep with it"},
  {'M', "man", NULL, "all pages as one manual page, for man"},
  {'C', "completion", NULL, "completion of verbs and options, for bash"},
  {'S', "show", "SHOW", "this show: its testers are known too, and judge writes into it"},
  {'u', "under", "WHAT",
   "phantom, sender, reversed or alone; for --design phantom, sender or both"},
  {'l', "lamps", "PICTURE", "the lamps as they are lit, one letter each: G, R, . dark (G.R)"},
  {'D', "design", NULL, "search the resistors that tell most faults apart"},
  {'c', "contacts", "N", "the connector: 2 to 8 contacts (usual: 3)"},
  {'v', "lamp-volts", "G,R", "what the lamps drop at 1 mA, green and red; 0 = not there"},
  {'x', "most-ma", "N", "the most current a lamp may get, 1 to 100 mA (usual: 30)"},
  {'B', "by", "HOW", "brightness (usual), or lit: only lit, dark and colour count"},
  {'1', "sheet", "NAME", "which sheet of a workbook (usual: the first that is a list)"},
  {'3', "means", "ANSWER", "an answer about a list, as in \"phantom:own=no\"; may be given again"},
  {'0', "ask", NULL, "ask in a pipe too, one answer a line"},
  {'A', "as", "NAME", "the list of the show that this one replaces"},
  {'W', "wired", "TEXT", "what is wired to what, as in \"1-1 2-3 3 open\""},
  {'N', "near", "TEXT", "what is joined within the near end, as in \"1-2\", or none"},
  {'E', "far", "TEXT", "what is joined within the far end"},
  {'O', "ohms", "TEXT", "ohms end to end by contact, as in \"1=0.4 2=1.6\""},
  {'5', "length", "M", "length of the cable in metres"},
  {'2', "section", "MM2", "section of one conductor in mm2, as in 0.22"},
  {'g', "awg", "N", "gauge of one conductor instead of a section"},
  {'6', "celsius", "T", "temperature of the cable (usual: 20)"},
  {'R', "limit", "RULE", "\"copper\" (length and section) or \"620\" (IPC/WHMA-A-620 default)"},
  {'I', "insulation", "MOHM", "lowest megohms between any two contacts"},
  {'k', "flex", "N", "breaks counted while it was flexed; --seconds says how long"},
  {'X', "tester", "NAME", "which lamp tester (usual: the built-in one)"},
  {'Q', "plan", "TEXT", "what should be wired to what, if not as usual"},
  {'G', "tag", "ITEM", "the cable's tag, as in M041"},
  {'4', "line", "LINE", "the line this cable was taken out of"},
  {'H', "heap", NULL, "one cable after another: tag, one key, next"},
  {'U', "auto", "N", "rules against each other on N hidden faults (1 to 100000)"},
  {'d', "seed", "N", "the same again: N as it was said (usual: from the clock)"},
  {'P', "people", "N", "1 or 2 people who can be asked"},
  {'K', "ways-round", NULL, "a search may end with the way round"},
  {'z', "asked", NULL, "steps for somebody else cost asking them over the intercom"},
  {'V', "hide", "FAULT", "hide this fault, as in \"cable: open 3\"; needs LINE"},
  {'q', "watch", NULL, "the advice plays, and says why"},
  {'Y', "tell", NULL, "the advice plays, told as Markdown with what else it would have taken"},
  {'e', "port", "N", "listen at this port (usual: 8017; 0 = any that is free)"},
  {'J', "lan", NULL, "open it to the network; phones join with a code"},
  {'9', "limits", "TEXT", "what may be asked of it at most, as in \"address=200 streams=600\""},
  {'8', "stop-after", "S", "stop by itself after S seconds (1 to 604800)"},
  {'%', "read", "DESK",
   "read this desk back: Enter where it is as the list says, else what differs"},
  {'#', "rows", "DESK", "only show what is to be read at this desk, and what has been"},
  {'~', "order", "ORDER", "its channels are in the order of lines (usual) or of the list"},
  {'+', "holds", "\"PLACE VERSION\"", "which list a desk or the stage holds, as in \"mon QLR 2\""},
  {'Z', "csv", "FILE", "with --heap: where the verdicts go (usual: heap.csv)"},
};
enum { N_OPTIONS = sizeof(options) / sizeof(options[0]) };

const ArgsOption*
args_option(char letter)
{
  for (int i = 0; i < N_OPTIONS; ++i) {
    if (options[i].letter == letter) {
      return &options[i];
    }
  }
  return NULL;
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
  switch (option->letter) {
    case 'j':
      args->json = true;
      break;
    case 'p':
      args->pretty = args->json = true;
      break;
    case 'h':
      args->wants_help = true;
      break;
    case 'y':
      args->yes = true;
      break;
    case 'f':
      args->force = true;
      break;
    case 'n':
      args->nobody_answers = true;
      break;
    case 'M':
      args->man = true;
      break;
    case 'C':
      args->completion = true;
      break;
    case 'a':
      args->act = value;
      break;
    case 't':
      args->at = value;
      break;
    case 'F':
      args->from = value;
      break;
    case 'i':
      args->id = value;
      break;
    case 'r':
      args->role = value;
      break;
    case 'w':
      args->why = value;
      break;
    case 'A':
      args->as = value;
      break;
    case '3':
      good = args->n_means < ARGS_MAX_MEANS;
      if (good) {
        args->means[args->n_means++] = value;
      }
      break;
    case '0':
      args->ask = true;
      break;
    case '1':
      args->sheet = value;
      break;
    case 'S':
      args->show = value;
      break;
    case 'u':
      args->under = value;
      break;
    case 'l':
      args->lamps = value;
      break;
    case 'D':
      args->design = true;
      break;
    case 'o':
      args->give = true;
      break;
    case '7':
      args->parts = true;
      break;
    case 'c':
      good = text_whole(value, 2, 8, &args->contacts);
      break;
    case 'v':
      args->lamp_volts = value;
      break;
    case 'x':
      good = text_number(value, 1.0, 100.0, &args->most_ma);
      break;
    case 'B':
      args->by = value;
      break;
    case 'W':
      args->wired = value;
      break;
    case 'N':
      args->near_end = value;
      break;
    case 'E':
      args->far_end = value;
      break;
    case 'O':
      args->ohms = value;
      break;
    case 'R':
      args->limit = value;
      good = text_same(value, "copper") || text_same(value, "620");
      break;
    case 'X':
      args->tester = value;
      break;
    case 'Q':
      args->plan = value;
      break;
    case 'G':
      args->tag = value;
      break;
    case '4':
      args->line = value;
      break;
    case 'Y':
      args->tell = true;
      break;
    case 'Z':
      args->csv = value;
      break;
    case 'H':
      args->heap = true;
      break;
    case '5':
      good = text_number(value, 0.05, 2000, &args->length_m);
      break;
    case '2':
      good = text_number(value, 0.03, 50, &args->section_mm2);
      break;
    case '6':
      good = text_number(value, -40, 90, &args->celsius);
      break;
    case 'I':
      good = text_number(value, 0, 1e9, &args->insulation_mohm);
      break;
    case 'g':
      good = text_whole(value, 0, 40, &args->awg);
      break;
    case 'k':
      good = text_whole(value, 0, 100000, &args->flex);
      break;
    case 'U':
      good = text_whole(value, 1, 100000, &args->n_runs);
      break;
    case 'd':
      good = text_whole(value, 0, 999999999, &args->seed);
      break;
    case 'P':
      good = text_whole(value, 1, 2, &args->n_people);
      break;
    case 'K':
      args->ways_round = true;
      break;
    case 'z':
      args->asked = true;
      break;
    case 'V':
      args->hide = value;
      break;
    case 'q':
      args->watch = true;
      break;
    case 'e':
      good = text_whole(value, 0, 65535, &args->port);
      break;
    case '9':
      args->limits = value;
      break;
    case 'J':
      args->lan = true;
      break;
    case '%':
      args->read = value;
      break;
    case '#':
      args->rows = value;
      break;
    case '~':
      args->order = value;
      good = text_same(value, "lines") || text_same(value, "list");
      break;
    case '+':
      args->holds = value;
      break;
    case '8':
      good = text_whole(value, 1, 604800, &args->stop_after_s);
      break;
    case 'L':
      good = text_whole(value, 1, PLANT_MAX_LINES, &args->n_lines);
      break;
    case 's':
      good = text_whole(value, 0, 86400, &args->seconds);
      break;
    case 'b':
      good = text_whole(value, 0, 100000, &args->breaks);
      break;
    case 'T':
      good = text_whole(value, 1, 99, &args->take);
      break;
    case 'm':
      good = text_number(value, 0.05, 1440, &args->minutes);
      break;
    default:
      good = false;
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
    known[i].val = options[i].letter;
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
    const int letter = getopt_long(argc, argv, ":h", known, NULL);
    if (letter == -1) {
      break;
    }
    const char* const said = argv[at < argc ? optind - 1 : argc - 1];
    if (letter == ':') {
      return refuse(verb, error, "A value is missing behind", said);
    }
    const ArgsOption* const option = letter == '?' ? NULL : args_option((char)letter);
    if (!option || (!strchr(ARGS_COMMON, letter) && !strchr(verb->options, letter))) {
      return refuse(verb, error, "No such option here:", said);
    }
    Status st;
    TRY(st, take_option(verb, option, optarg ? optarg : "", &read, error));
  }
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
