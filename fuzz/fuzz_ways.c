// SPDX-License-Identifier: GPL-3.0-or-later

/*
  Any bytes as names of ways round. Text is rows "line|act|way", each told as moved; what begins
  with a bracket is facts from the network (saw, check move), of which the same is made. What must
  hold: a name that is refused leaves the result alone; one that is read names lines, desks and
  inputs there are, reads the same again, and can be said, laid over the lists and given back; and
  whatever was told, the ways round of every line are within the plant and never over a line that
  something runs on.
*/

#include "must.h"

#include "base/text.h"
#include "day/around.h"
#include "face/http_fact.h"
#include "stage/lists.h"

#include <string.h>

static const char boxes_csv[] = "box,sockets,first_line,kind,owner\nA,3,1,,\nD,2,4,digital,mon\n";
static const char lines_csv[] =
  "line,box,socket,pair,split,foh,mon,broadcast\n1,A,1,1,1,1,1,1\n2,A,2,2,2,2,2,\n"
  "3,A,3,3,3,3,,3\n4,D,1,,,4,4,4\n5,D,2,,,5,5,5\n";
static const char one_csv[] = "channel,source,pickup,phantom,box,socket\n1,vocal,dyn-vocal,no,A,1\n"
                              "2,vocal spare,dyn-vocal,no,D,1\n";
static const char two_csv[] =
  "channel,source,pickup,phantom,box,socket\n1,horn,cond-clip,yes,A,2\n";
static const char kit_csv[] = "kit,count\nspare microphone cable 10 m,2\nspare network lead,1\n";

enum { MAX_FACTS = 8 };

typedef struct {
  Arena arena;
  Plant plant;
  Fact facts[MAX_FACTS];
  size_t n_facts;
} Heard;

static void
try_name(Heard* t, int act, int line, const char* way)
{
  const Plant* const p = &t->plant;
  Loan loan = {.sort = WAY_COUNT};
  if (!loan_read(p, act, line, way, &loan)) {
    MUST(loan.sort == WAY_COUNT);
    return;
  }
  MUST(loan.sort > WAY_NONE && loan.sort < WAY_COUNT && loan.line == line && loan.act == act);
  MUST(loan.to >= 0 && loan.to < p->n_lines);
  MUST(loan.desk >= -1 && loan.desk < p->n_desks && loan.other >= -1 && loan.other < p->n_desks);
  MUST(loan.lender >= -1 && loan.lender < p->n_lines && loan.input >= 0);
  MUST((loan.to != line) == (loan.sort == WAY_SOCKET || loan.sort == WAY_SPARE));
  Loan again;
  MUST(loan_read(p, act, line, loan.way, &again) && again.sort == loan.sort &&
       again.to == loan.to && again.desk == loan.desk && again.other == loan.other);
  LoanBack back;
  MUST(loan_back(&t->arena, p, &loan, &back) == STATUS_OK);
  MUST(loan_say(&t->arena, p, &loan) && loan_step(&t->arena, &loan));
  for (int d = 0; d < p->n_desks; ++d) {
    const char* const say = loan_desk_say(&t->arena, p, &loan, d);
    MUST(say && (say[0] != '\0') == loan.concerns[d]);
  }
}

static void
tell(Heard* t, const char* line_word, const char* act, const char* way)
{
  int number = 0;
  Error error = {0};
  if (t->n_facts == MAX_FACTS || !text_whole(line_word, 1, FACT_LINE_MAX, &number)) {
    return;
  }
  const FactBody body = {.line = number, .way = way, .act = act};
  Fact* const fact = &t->facts[t->n_facts];
  const Status st =
    fact_make(&t->arena, FACT_MOVED, &body, "2031-06-14T15:22:00Z", "", "", fact, &error);
  MUST(st == STATUS_OK || st == STATUS_BAD_INPUT || st == STATUS_LIMIT);
  if (st == STATUS_OK) {
    fact->seq = (int64_t)++t->n_facts;
  }
  try_name(t, plant_act(&t->plant, act), plant_line(&t->plant, number), way);
}

static void
tell_rows(Heard* t, char* text)
{
  for (char* row = text; row && *row;) {
    char* const next = strchr(row, '\n');
    const char* cells[3] = {row, "", ""};
    if (next) {
      *next = '\0';
    }
    for (int i = 1; i < 3 && (row = strchr(row, '|')) != NULL; ++i) {
      *row++ = '\0';
      cells[i] = row;
    }
    tell(t, cells[0], cells[1], cells[2]);
    row = next ? next + 1 : NULL;
  }
}

static void
tell_network(Heard* t, const char* bytes, size_t n_bytes)
{
  Error error = {0};
  HttpFact* facts = NULL;
  int n = 0;
  if (http_fact_read(&t->arena, bytes, n_bytes, &facts, &n, &error) != STATUS_OK) {
    return;
  }
  for (int i = 0; i < n; ++i) {
    const Telling* const said = &facts[i].telling;
    if (!facts[i].no && said->sort == TELL_SAW && said->line && said->check && said->reading &&
        text_same(said->check, "move")) {
      tell(t, said->line, facts[i].act ? facts[i].act : "", said->reading);
    }
  }
}

static void
ways_of_all(Heard* t)
{
  const Plant* const p = &t->plant;
  Fold fold;
  const Loan* loans = NULL;
  int n_loans = 0;
  MUST(fold_make(&t->arena, t->facts, t->n_facts, &fold, NULL) == STATUS_OK);
  MUST(loan_list(&t->arena, p, &fold, &loans, &n_loans) == STATUS_OK);
  for (int act = -1; act < p->n_acts; ++act) {
    Plant laid;
    Situation* s = NULL;
    MUST(loan_lay(&t->arena, p, loans, n_loans, act, &laid) == STATUS_OK);
    MUST(situation_new(&t->arena, p, act, &fold, &s) == STATUS_OK);
    for (int l = 0; l < p->n_lines; ++l) {
      const AroundWay* ways = NULL;
      int n = 0;
      const int at = loan_plug_at(p, loans, n_loans, act, l);
      MUST(at >= 0 && at < p->n_lines);
      MUST(around_ways(s, &t->arena, l, &ways, &n) == STATUS_OK);
      for (int i = 0; i < n; ++i) {
        Loan as;
        MUST(ways[i].say[0] && loan_read(p, act, l, ways[i].way, &as));
        MUST(as.sort == ways[i].sort && ways[i].people > 0 && ways[i].seconds > 0.0);
        MUST(ways[i].helps_prob <= 1.0 + 1e-9 && ways[i].n_desks <= p->n_desks);
        for (int k = 0; k < n_loans && ways[i].sort == WAY_SOCKET; ++k) {
          MUST(!loan_occupies(&loans[k], ways[i].uses_line));
        }
      }
    }
  }
}

int
LLVMFuzzerTestOneInput(const uint8_t* bytes, size_t n_bytes)
{
  const ListText lists[] = {{"boxes.csv", boxes_csv, sizeof(boxes_csv) - 1},
                            {"lines.csv", lines_csv, sizeof(lines_csv) - 1},
                            {"inputs-one.csv", one_csv, sizeof(one_csv) - 1},
                            {"inputs-two.csv", two_csv, sizeof(two_csv) - 1},
                            {"kit.csv", kit_csv, sizeof(kit_csv) - 1}};
  Heard t = {.n_facts = 0};
  Error error = {0};
  arena_init(&t.arena, NULL);
  if (lists_build(&t.arena, lists, 5, 0, &t.plant, &error) != STATUS_OK) {
    (void)fprintf(stderr, "%s:%d: %s\n", error.file, error.line, error.text);
    abort();
  }
  if (n_bytes > 0 && (bytes[0] == '[' || bytes[0] == '{')) {
    tell_network(&t, (const char*)bytes, n_bytes);
  } else {
    char* const text = arena_text(&t.arena, (const char*)bytes, n_bytes);
    MUST(text);
    tell_rows(&t, text);
  }
  ways_of_all(&t);
  arena_deinit(&t.arena);
  return 0;
}
