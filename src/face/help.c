// SPDX-License-Identifier: GPL-3.0-or-later
#include "face/help.h"

#include "base/text.h"
#include "face/json.h"

#include <stdio.h>
#include <string.h>

typedef struct {
  const char* verb;
  const char* words;   ///< Behind the verb
  const char* phrase;  ///< For the list of verbs
  const char* does;    ///< The page
  const char* no;      ///< When the exit code is 1; "" = never
  const char* example; ///< Runs as it stands
} Page;

static const Page pages[] = {
  {"new", "SHOW [LISTS... or DIR] [--lines N] [--sheet NAME] [--means ANSWER]... [--ask]",
   "make a show from the lists you have",
   "Makes the show file SHOW from lists: files, or every .csv, .tsv, .txt and .xlsx of a folder. A "
   "list is known by its headings, in any order of columns; an act's input list takes the act from "
   "its file name (inputs-act2.csv). Of a workbook the first sheet that is a list is read; --sheet "
   "names another. One input list alone is enough, or none with --lines. Of an input list that is "
   "not understood as it stands it is shown what was understood and asked what was not, as import "
   "does. What had to be assumed and what was left aside is shown. If a list cannot be understood "
   "nothing is made.",
   "", "linewalk new day.show demo"},
  {"import", "SHOW LIST [--yes] [--as NAME] [--sheet NAME] [--act ACT] [--means ANSWER]... [--ask]",
   "take a newer list, after showing what it changes",
   "Shows how the list is understood, column by column, which rows are titles, sections and notes, "
   "and in words what it changes; then takes it: with --yes, or when you say yes on a terminal. "
   "What it does not know it asks there, one key an answer, and keeps the answers in the show "
   "(mapping.csv), so that the next list with the same words needs none. Without a terminal it "
   "prints each question with the option that answers it: --means UNDER:WRITTEN=MEANS, as in "
   "--means phantom:own=no; --ask takes one answer a line from a pipe. A list replaces the one "
   "with "
   "the same file name; --as names another. --act says whose input list it is. Of a workbook the "
   "first sheet that is a list is read; --sheet names another.",
   "the list was not taken", "linewalk import day.show demo/inputs-act2.csv"},
  {"export", "SHOW DIR [--force]", "hand everything out as CSV and JSON",
   "Writes facts.csv, facts.jsonl and every list as it was imported (as UTF-8) into DIR. A folder "
   "that is not empty is refused without --force.",
   "", "linewalk export day.show day-export"},
  {"backup", "SHOW FILE [--force]", "copy the show safely while it is in use",
   "Copies the show into one file, checked before it gets its name.", "",
   "linewalk backup day.show day-backup.show"},
  {"now", "SHOW [ACT]", "which act is in force, or put one in force",
   "Without ACT says which act is in force. With ACT puts it in force for everybody; \"bare "
   "lines\" is "
   "no act: the known-good microphone is walked from socket to socket.",
   "", "linewalk now day.show act2"},
  {"kit", "SHOW [ITEM COUNT]", "which testers and spares are at hand",
   "Lists the kit at hand, or says how many of ITEM there are. What needs kit that is not there is "
   "never advised.",
   "", "linewalk kit day.show \"lamp tester\" 2"},
  {"lines", "SHOW [--parts]", "all lines with their state",
   "One row a line, in the order of the numbers: number, socket, state, source, and what is "
   "missing. "
   "The states: proven (every part read since it was last touched, less than 1 in 50 left), "
   "unproven "
   "(nothing against it, readings missing), suspect (a fault above 1 in 5), bad (a reading says so "
   "now), moved (runs on a way round), unused (no source in this act). With --parts each line has "
   "its parts below it, from source to desk: what several lines share and what is suspect in all "
   "of them shows at once.",
   "", "linewalk lines day.show"},
  {"line", "SHOW LINE", "one line, part by part, with odds and proof",
   "LINE is a number (45), a socket (D5) or a source as the list spells it (\"vocal lead\").", "",
   "linewalk line day.show 45"},
  {"saw", "SHOW LINE CHECK=READING [--at PLACE]", "write down what was seen or heard",
   "Checks and their readings: level nothing, far down, low, normal, over; tone full, thin; hum "
   "none, "
   "audible, loud; crackle none, some, on touch; polarity same, inverted; seen yes, no, on N; look "
   "(at a desk) fine, muted, patch, phantom, pad, gain, and of a digital box owner, clock, lost, "
   "or "
   "(at a socket) the source plugged there "
   "or "
   "nothing; volts V2,V3; lamps such as G.R; ohms N or open; flex passes, breaks; box (lamps of a "
   "digital "
   "box) fine, dark, no link, one link, clock; hunt here, "
   "nothing; swap ITEM better, same (ITEM: source, battery, switch, cable, plug, desk, tail, "
   "input, side, socket, lift, in-line, of a digital box lead, power, clock, owner, or a cable's "
   "tag). "
   "Without --at a desk check is taken as read at the direct desk. With --id the same fact told "
   "twice "
   "counts once.",
   "", "linewalk saw day.show 45 level=nothing --at foh"},
  {"plug", "SHOW PLACE WHAT", "write down what is plugged where",
   "PLACE is a box socket; WHAT is the source, or \"nothing\". What was read on that line before "
   "speaks of the old plug and counts no more.",
   "", "linewalk plug day.show D6 nothing"},
  {"tape", "SHOW ITEM [--why TEXT]", "tape an item off: not to be used",
   "ITEM is a tag (M041) or a place (A6). A taped-off item is never advised until it is cleared.",
   "", "linewalk tape day.show M041 --why \"crackles at the plug\""},
  {"clear", "SHOW ITEM --seconds N [--breaks N]", "clear a taped-off item after a flex check",
   "Only a flex check of at least 60 s with no counted break clears an item.",
   "the item stays taped off, or was not taped off", "linewalk clear day.show M041 --seconds 60"},
  {"undo", "SHOW", "take back the newest fact",
   "Takes back the newest fact that is still in force; again for the one before. The lists a show "
   "began with stay.",
   "there is nothing left to take back", "linewalk undo day.show"},
  {"compare", "SHOW [--act ACT] [--read DESK] [--rows DESK] [--holds \"PLACE VERSION\"]",
   "where lists and desks disagree, before a cable is touched",
   "Holds the acts' lists and the kinds of their sources against what each desk has: patch, name, "
   "phantom, pad, gain, mute; and which version of the list everybody holds. Each disagreement "
   "with what to do, what could hurt a source first. What nobody read stands under not compared. "
   "What a desk has comes from a desk patch list, or from --read: the desk's channels one by one, "
   "Enter where one is as it should be, else only what differs (48, 48 off, pad, pad 10, open, in "
   "4, ch 12, name snare btm, none; ? not read, b back, q leave). It can be left at any row and "
   "taken up again; in a pipe one answer a line. A desk may have its channels in any order.",
   "something disagrees", "linewalk compare day.show --act act1"},
  {"change", "SHOW ACT ACT [--minutes M] [--hands N] [--choose] [--done STEP [--anyway]]",
   "what stays, moves, comes out and goes in between two acts, and who does it",
   "From the first ACT to the second: what stays in its socket, what moves, what comes out, what "
   "goes "
   "in, for each hand of the stage in working order, and what each desk mutes, feeds and sets, "
   "with "
   "the cautions first. Where the list of the next act names a socket that is the one; where it "
   "names "
   "none, or the socket is taped off, or with --choose, the sockets are chosen so that the fewest "
   "plugs "
   "move: vocals on their lines, DIs at the box of their player, spare sockets kept. --done STEP "
   "writes "
   "down that a step is done; the plan is then worked out from how things stand, and so it is "
   "after "
   "tape. A row that waits for a desk to mute is not done before it says so; with --anyway it is, "
   "and "
   "that is written down. --takes NAME gives a hand who is done what it is offered of the others. "
   "--minutes M says what to leave out first when it does not fit. --begin forgets what was "
   "told "
   "of the same change before, at a rehearsal. \"bare lines\" as an ACT means nothing is plugged.",
   "a source of the next act has no socket, or it does not fit in the time",
   "linewalk change day.show act2 act3"},
  {"outputs", "SHOW [NAME [CHECK=READING]] [--at PLACE] [--enter] [--card]",
   "loudspeaker circuits and monitor mixes: what each should read, what it read, what to do",
   "NAME is a circuit (1.2H), a mix (\"mix 3\"), an amplifier (AL1) or a zone (\"zone 3\"). "
   "Without "
   "one all circuits by zone and the next step; with one what it should read and why, how far from "
   "its like it is, load, cable and power, and what each fault would read. CHECK=READING writes it "
   "down: ohms 1.62, open, short (--at amp, cable, \"link 1\"); preset its name; tone normal, low, "
   "nothing or decibels (zone); hum none, audible, loud; light fine, protects, dark; name yes, "
   "nothing, on OTHER; plays right, nothing, quiet, dull, on OTHER (--at \"box 2\"); pulse same, "
   "inverted, nothing; sum louder, weaker; \"swap link 1\" better, same; amplifier unplugged, "
   "plugged; meter leads=0.12; air celsius=31. Ohms are taken only where the amplifier is told to "
   "be unplugged. --enter walks a meter through all of them, one number and Enter each. --card is "
   "the card to fill in by hand. impedance 8.2@1000, or several with semicolons, for who has such "
   "a "
   "meter; --hz F or a band for the power.",
   "a circuit asked about is suspect or bad", "linewalk outputs day.show 1.2H"},
  {"sheet", "SHOW [WHAT|all] [FILE.pdf|DIR] [--paper letter] [--tape MM] [--act ACT]",
   "print sheets, labels and cards, or the whole day's paper",
   "Prints one sheet into a PDF, or with \"all\" every one into a folder: input lists, patch "
   "sheets, "
   "the matrix of the day, labels for boxes, cables and desks, spares, fault tags, tester, "
   "loudspeaker and monitor cards, the stage plot and the proof sheet. Black only; each says which "
   "act and which list it is of. Without WHAT it says which sheets there are; without FILE the PDF "
   "goes to a pipe, or one page of it as a picture. One sheet is of the act in force (or --act), "
   "\"all\" is of every act unless one is named. The same show prints the same bytes; a date "
   "stands "
   "on it only with --date. Files are written whole or not at all, over an older PDF without "
   "asking, over anything else only with --force.",
   "it was printed, but some letters are in no font here and stand as \"?\"; which package has "
   "them "
   "is said",
   "linewalk sheet day.show patch patch.pdf --act act2"},
  {"next", "SHOW [LINE] [--minutes M] [--give]", "the step to take now, for each free person",
   "Says the next step for LINE, or for the worst lines and everybody who is free, with its "
   "caution first, why, how long, and which readings it can give. Lines that one thing took down "
   "together get one step. With --minutes it seeks the best chance of sound by then. With --give "
   "it writes down who took which step: they are busy until something is told with their --role, "
   "and after twice the time of the step the plan goes on without them.",
   "there is no step to take", "linewalk next day.show 45"},
  {"prove", "SHOW [BOX] [--way WAY] [--meter WHERE] [--from DESK] [--go LINE] [--hunt LINE]",
   "prove line after line, one key each",
   "Goes through the sockets, of BOX or of all boxes, in one of five ways: heard (what plays, at a "
   "desk), microphone (a known-good one walked along the bare lines), lamp (phantom and the lamp "
   "tester), volts (phantom, by a meter in each socket) and desk-volts (the meter at the desk's "
   "own "
   "input, which --meter desk means too: what is plugged draws it down). First every desk mutes "
   "and stage unplugs what phantom "
   "must not reach; nothing goes on before that is said. Then one key a socket: yes, or what is "
   "wrong; skip, undo, all good to a socket. It says which sockets were passed over, and when the "
   "hand seems one socket on. What was found is written down as saw does it, and counts until a "
   "part is touched, moved or taped off. It can be left at any line and taken up again; in a pipe "
   "one answer a line. Of the heard way and the microphone each desk tells its own: --from. --hunt "
   "finds the socket of one line by phantom on it alone.",
   "left before the end, or a line is bad", "linewalk prove day.show A --way lamp"},
  {"rescue", "SHOW LINE [--minutes M] [--nobody-answers] [--from DESK]",
   "be talked through a dead line until there is sound",
   "One step at a time, shared out as by next. Answer with a key: a number for what was seen, w "
   "for "
   "the way round, c cannot do that, e somebody else did, m answer for the other one, u take the "
   "last answer back, q leave. In a pipe the same with one answer a line.",
   "left before there was sound", "echo q | linewalk rescue day.show 45"},
  {"patch", "SHOW [families | order | fewest] [--anew] [--voices-move] [--yes]",
   "sockets for the whole day, where the acts' lists leave them open",
   "Three ways to give every source of every act its socket: families (each family of sources has "
   "sockets of its own, the same all day), order (each act in the order of its own list) and "
   "fewest "
   "(as few plugs moved over the day as can be), each with what it costs in plugs at every "
   "changeover. Sockets that a list gives stay, unless --anew is given; in each way, order too, a "
   "voice keeps one line all day, unless --voices-move is given; boxes stand near their player, "
   "spares are kept, what needs phantom stays on the direct side, and what is taped off is left "
   "alone. Where sockets run short, what is missed least is left out (usual practice; a column "
   "must in an act's list, or a list with the columns plays and needed, says otherwise). With a "
   "way it shows what would be written; with --yes each list becomes a newer version, and one undo "
   "takes all of it back.",
   "a source has no socket", "linewalk patch day.show fewest --anew"},
  {"around", "SHOW [LINE] [--take N | --follows DESK | --back]",
   "ways round a fault, quickest first",
   "Spare sources, spare sockets, lines of other boxes with a longer cable, and where one desk "
   "alone "
   "hears nothing another input, a feed or another side of the split; never what this act or the "
   "next one needs, what is taped off, taken or suspect. --take N writes down that the line runs "
   "on "
   "way N now: the list gets a newer mark, and each desk it concerns says with --follows DESK that "
   "it did its part. Before the next act it is given back, with --back. Without LINE: the ways "
   "round "
   "there are.",
   "there is no way round", "linewalk around day.show 45"},
  {"forecast", "SHOW [--by TIME] [--hands N] [--clock TIME]",
   "whether every line will be proven by doors",
   "The chance that every line the act needs is proven when doors open by the running order, or by "
   "the time you name, and between which times the last one will be, 8 times in 10. Worked out by "
   "playing the rest of the check a thousand times: from the pace the readings show (pauses left "
   "out), the odds of faults, how long mending takes, and the people on stage. Then what would "
   "help "
   "most, tried on the same thousand. Until some ten lines are told it rests on usual practice, "
   "and "
   "says so.",
   "it is less likely than not that all is proven in time",
   "linewalk forecast day.show --clock 13:00"},
  {"rehearse", "SHOW [LINE] [--seed N] or --auto N", "practise on a hidden fault",
   "Hides a fault of the act, drawn by the odds of the show, tells what somebody complains of, and "
   "lets you find it: choose a place, then what to do there, one key each. The world answers as "
   "that "
   "fault would, and people misread it as often as the list says. The clock counts the story's own "
   "seconds: walks and handling times of the show. w takes the way round, ? asks what the advice "
   "would do, q leaves. A fault that takes more lines down is complained of line by line. At the "
   "end: what it was, what to do with the part, your seconds, and what the advice, somebody who "
   "knows the cause and somebody who goes by habit take on the same fault. With LINE it is a fault "
   "of that line, with --hide the one you name. Nothing is written into the show. --watch lets the "
   "advice play; --tell does too, with the crew of the show unless --people counts them, and tells "
   "it as Markdown (docs/rescues.md has ten of these). --auto N sets rules against each other on N "
   "faults: "
   "ours (the advice), one-step, odds-over-cost, half-split, habit, and floor, who knows the "
   "fault; "
   "every setting of --people, --asked, --ways-round and --minutes, or the one you ask for.",
   "left before there was sound", "linewalk rehearse day.show --seed 7 --watch"},
  {"predict", "SHOW LINE CHECK [--at PLACE]", "what each fault would show",
   "What a good line shows, then reading by reading which faults would most likely give it, and "
   "last what looks like a good line all the same. CHECK is a word of \"saw\". LINE may be a "
   "drive line, \"drive 5\": then the check is made at its amplifier.",
   "this check can see no fault here", "linewalk predict day.show 45 lamps"},
  {"solve", "FILE", "what a circuit written down by hand shows",
   "FILE is JSON, described in docs/circuits.md (\"-\" is standard input). A line of elements "
   "with its faults: volts at every joint, currents, lamps, level and sign at each desk or "
   "loudspeaker. Or a feed and a microphone: whether the one runs the other, the volts that "
   "arrive, the current that is left.",
   "the feed will not run this microphone, or must not be put on it",
   "linewalk solve demo/circuits/feed.json"},
  {"card", "[TESTER [NAME]] [--show SHOW] [--under WHAT] [--lamps PICTURE] [--design]",
   "what each fault shows on a lamp tester, or which resistors make a good one",
   "The card for the lid of a tester: each picture of its lamps, the faults that show it and what "
   "to "
   "do then, under phantom, with its sender, with the sender's battery the wrong way round; and "
   "what "
   "these lamps cannot see. TESTER is a name (usual, equal, four-pole, eight-pole), or a list of "
   "testers, NAME one of several in it. Without TESTER it is the crew's own of --show, else ours. "
   "--lamps shows only what fits a picture. --design searches E24 resistors for the same lamps and "
   "sender: --under phantom, sender or both, --contacts, --lamp-volts, --most-ma, --by.",
   "no fault shows this picture", "linewalk card usual"},
  {"judge", "CONNECTOR [--wired TEXT] [--ohms TEXT] [--flex N --seconds S] ... or --heap",
   "judge a cable from its contacts, or a heap of them",
   "One cable that is unplugged at both ends. CONNECTOR is 3-pin, jack, jack stereo, 4-pole, "
   "8-pole, "
   "multipin 37, jack to 3-pin and others (a wrong one lists them). --wired says what is joined to "
   "what, near to far: \"1-1 2-3 3-2\", \"2-2,3\" for two, \"3 open\", \"1..24 right\", \"rest "
   "right\", \"2-2?\" when the others were not tried; --near and --far what is joined within one "
   "end. Give whatever you have: the verdict says what is wired to what, which fault, at which end "
   "if "
   "that can be told, against which limit, what these readings cannot tell, and what to do. With "
   "--show and --tag a faulty cable is taped off there and one that stood 60 s of flexing is "
   "cleared; with --line the line it came out of learns what it was. --heap goes through a heap: a "
   "tag, one key, the next; when the same new fault comes again and again it asks for the "
   "known-good "
   "cable before another one is taped off.",
   "the cable is not sound, not cleared or not proven; with --heap: not every cable is good",
   "linewalk judge 3-pin --wired \"1-1 2-2 3-3\" --ohms \"1=0.4 2=1.6 3=1.6\" --length 20 "
   "--section "
   "0.22"},
  {"serve", "[SHOW] [--port N] [--lan]", "the crew page: every phone knows its next step",
   "Serves the crew page and its API until Ctrl-C: on this box alone, or with --lan to every phone "
   "on the network, which then joins with the code on the screen. What is told there goes into the "
   "show as if it were typed here, and each fact is on the disk before it is answered. Without "
   "SHOW "
   "the page makes one first: from your lists, a number of lines, or the demo.",
   "", "linewalk serve day.show --port 0 --stop-after 1"},
  {"help", "[VERB] [--man] [--completion]", "these pages",
   "Lists the verbs, or shows the page of one.", "", "linewalk help saw"},
};
enum { N_PAGES = sizeof(pages) / sizeof(pages[0]) };

static const Page*
page_of(const char* verb)
{
  for (int i = 0; i < N_PAGES; ++i) {
    if (!strcmp(pages[i].verb, verb)) {
      return &pages[i];
    }
  }
  return &pages[N_PAGES - 1];
}

void
help_all(const Screen* screen)
{
  screen_say(screen, PAINT_STRONG, "linewalk VERB SHOW ...");
  screen_say(screen, PAINT_PLAIN,
             "Knows every line of the stage from the crew's lists, and says which check or swap to "
             "make next when one is dead.");
  screen_gap(screen);
  for (int i = 0; i < N_PAGES; ++i) {
    char lead[24];
    (void)snprintf(lead, sizeof(lead), "  %-9s", pages[i].verb);
    screen_item(screen, PAINT_PLAIN, lead, pages[i].phrase);
  }
  screen_gap(screen);
  screen_say(
    screen, PAINT_PLAIN,
    "Every verb knows --json, --pretty, --act ACT and --help. \"linewalk help VERB\" shows an "
    "example that runs.");
  screen_say(screen, PAINT_PLAIN,
             "Exit codes: 0 done, 1 the answer is no, 2 wrong use, 3 bad input, 4 could not.");
  screen_say(
    screen, PAINT_PLAIN,
    "Nothing here replaces local electrical codes, the venue's rules or a licensed person.");
}

static void
say_options(const Screen* screen, const char* names)
{
  for (const ArgsOption* option; (option = args_next(&names));) {
    char lead[40];
    (void)snprintf(lead, sizeof(lead), "  --%s%s%s  ", option->name, option->value ? " " : "",
                   option->value ? option->value : "");
    screen_item(screen, PAINT_PLAIN, lead, option->does);
  }
}

void
help_verb(const Screen* screen, const Verb* verb)
{
  const Page* const page = page_of(verb->args.name);
  char lead[40];
  (void)snprintf(lead, sizeof(lead), "linewalk %s ", page->verb);
  screen_item(screen, PAINT_STRONG, lead, page->words);
  screen_gap(screen);
  screen_say(screen, PAINT_PLAIN, "%s", page->does);
  screen_gap(screen);
  say_options(screen, verb->args.options);
  say_options(screen, ARGS_COMMON);
  if (page->no[0]) {
    screen_gap(screen);
    screen_say(screen, PAINT_PLAIN, "Exit code 1: %s.", page->no);
  }
  screen_gap(screen);
  screen_say(screen, PAINT_PLAIN, "Example:");
  // Never wrapped: it is there to be copied
  (void)fprintf(screen->out, "  $ %s\n", page->example);
}

// Text for man: a hyphen that is typed, a backslash that is shown, no point at a line's start.
static void
man_text(FILE* out, const char* text)
{
  if (*text == '.' || *text == '\'') {
    (void)fputs("\\&", out);
  }
  for (; *text; ++text) {
    (void)fputs(*text == '-' || *text == '\\' ? "\\" : "", out);
    (void)fputc(*text == '\\' ? 'e' : *text, out);
  }
}

static void
man_options(FILE* out, const char* names)
{
  for (const ArgsOption* option; (option = args_next(&names));) {
    (void)fprintf(out, ".TP\n.B \\-\\-");
    man_text(out, option->name);
    (void)fprintf(out, "%s%s\n", option->value ? " " : "", option->value ? option->value : "");
    man_text(out, option->does);
    (void)fputs("\n", out);
  }
}

static void
help_man(FILE* out)
{
  (void)fprintf(
    out,
    ".TH LINEWALK 1 \"\" \"linewalk %s\"\n.SH NAME\nlinewalk \\- know every line of a "
    "stage, and what to check next when one is dead\n.SH SYNOPSIS\n.B linewalk\nVERB SHOW "
    "...\n.SH VERBS\n",
    LINEWALK_VERSION);
  for (int i = 0; i < N_PAGES; ++i) {
    (void)fprintf(out, ".SS \"");
    man_text(out, pages[i].verb);
    (void)fputs(" ", out);
    man_text(out, pages[i].words);
    (void)fputs("\"\n", out);
    man_text(out, pages[i].does);
    (void)fputs("\n", out);
    man_options(out, verb_find(pages[i].verb)->args.options);
    (void)fputs(".PP\n.EX\n", out);
    man_text(out, pages[i].example);
    (void)fputs("\n.EE\n", out);
    if (pages[i].no[0]) {
      (void)fputs(".PP\nExit code 1: ", out);
      man_text(out, pages[i].no);
      (void)fputs(".\n", out);
    }
  }
  (void)fputs(".SH OPTIONS OF EVERY VERB\n", out);
  man_options(out, ARGS_COMMON);
  (void)fputs(
    ".SH EXIT STATUS\n0 done, 1 the answer is no, 2 wrong use, 3 bad input, 4 could not.\n"
    ".SH CAUTION\nNothing here replaces local electrical codes, the venue's rules or a "
    "licensed person.\n",
    out);
}

static void
completion_options(FILE* out, const char* names)
{
  for (const ArgsOption* option; (option = args_next(&names));) {
    (void)fprintf(out, " --%s", option->name);
  }
}

static void
help_completion(FILE* out)
{
  (void)fputs("_linewalk() {\n  local now=${COMP_WORDS[COMP_CWORD]} words=\n"
              "  if [ \"$COMP_CWORD\" -eq 1 ]; then\n    words='",
              out);
  for (int i = 0; i < N_PAGES; ++i) {
    (void)fprintf(out, "%s%s", i ? " " : "", pages[i].verb);
  }
  (void)fputs("'\n  elif [ \"${now#-}\" != \"$now\" ]; then\n    case ${COMP_WORDS[1]} in\n", out);
  for (int i = 0; i < N_PAGES; ++i) {
    (void)fprintf(out, "    %s) words='", pages[i].verb);
    completion_options(out, ARGS_COMMON);
    completion_options(out, verb_find(pages[i].verb)->args.options);
    (void)fputs("' ;;\n", out);
  }
  (void)fputs("    esac\n  fi\n  COMPREPLY=($(compgen -W \"$words\" -- \"$now\"))\n}\n"
              "complete -o default -F _linewalk linewalk\n",
              out);
}

static Status
help_json(const Face* face, const Verb* only)
{
  json_t* const answer = json_answer(NULL);
  json_t* const verbs = json_array();
  for (int i = 0; i < N_PAGES; ++i) {
    if (only && strcmp(only->args.name, pages[i].verb) != 0) {
      continue;
    }
    json_t* const verb = json_object();
    json_object_set_new(verb, "verb", json_words(pages[i].verb));
    json_object_set_new(verb, "words", json_words(pages[i].words));
    json_object_set_new(verb, "phrase", json_words(pages[i].phrase));
    json_object_set_new(verb, "does", json_words(pages[i].does));
    json_object_set_new(verb, "no", json_words(pages[i].no));
    json_object_set_new(verb, "example", json_words(pages[i].example));
    json_array_append_new(verbs, verb);
  }
  json_object_set_new(answer, "verbs", verbs);
  return json_answer_print(answer, face->args, face->screen->out, face->error);
}

Status
verb_help(const Face* face)
{
  const char* const name = face->args->n_words > 0 ? face->args->words[0] : NULL;
  const Verb* const verb = name ? verb_find(name) : NULL;
  if (name && !verb) {
    return error_set(face->error, STATUS_BAD_ARG, NULL, 0, 0,
                     "There is no verb \"%.60s\": \"linewalk help\" lists them.", name);
  }
  if (face->args->json) {
    return help_json(face, verb);
  }
  if (face->args->man || face->args->completion) {
    (face->args->man ? help_man : help_completion)(stdout);
    return STATUS_OK;
  }
  if (verb) {
    help_verb(face->screen, verb);
  } else {
    help_all(face->screen);
  }
  return STATUS_OK;
}
