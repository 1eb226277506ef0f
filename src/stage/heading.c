// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/heading.h"

#include "base/text.h"

#include <stdio.h>
#include <string.h>

/// NEED: no list of this sort without it. ANY: at least one of these. MAY: welcome.
typedef enum { MAY, ANY, NEED } Weight;

typedef struct {
  Field field;
  Weight weight;
  const char* names; ///< Plain names between bars; the first is said in messages
} Heading;

enum { MAX_HEADINGS = 32, PLAIN_BYTES = 48 };

static const struct {
  const char* word;
  const char* hints; ///< First words of file names
  const char* why;
  Heading headings[MAX_HEADINGS];
} sorts[] = {
  [LIST_UNKNOWN] = {"unknown", "", "no list is known by these columns", {{0}}},
  [LIST_BOXES] = {"boxes",
                  "boxes|box|stageboxes|",
                  "known by its columns box and sockets",
                  {{FIELD_BOX, NEED, "box|stagebox|subbox|subsnake|"},
                   {FIELD_SOCKETS, NEED, "sockets|ways|numberofsockets|nsockets|"},
                   {FIELD_NAME, MAY, "name|description|meaning|"},
                   {FIELD_PLACE, MAY, "place|position|where|location|"},
                   {FIELD_FIRST_LINE, MAY, "firstline|fromline|startline|"},
                   {FIELD_LAST_LINE, MAY, "lastline|toline|endline|"},
                   {FIELD_SPARES, MAY, "sparesockets|spares|spare|"},
                   {FIELD_KIND, MAY, "kind|boxkind|"},
                   {FIELD_OWNER, MAY, "owner|ownerdesk|gainowner|ownedby|"},
                   {FIELD_LEADS, MAY, "leads|networkleads|nleads|"},
                   {FIELD_CLOCK, MAY, "clock|clockfrom|sync|"},
                   {FIELD_POWER, MAY, "power|powerfrom|"},
                   {FIELD_TAIL_M, MAY, "tailm|taillength|taillengthm|"},
                   {FIELD_TAIL, MAY, "tail|tailtag|"},
                   {FIELD_JOINS, MAY, "joinsat|joins|goesto|"}}},
  [LIST_LINES] = {"lines",
                  "lines|line|multicore|",
                  "known by its columns line, box and socket",
                  {{FIELD_LINE, NEED, "line|lineno|linenumber|"},
                   {FIELD_BOX, ANY, "box|stagebox|subbox|subsnake|"},
                   {FIELD_PATCH, ANY, "boxsocket|patch|stagepatch|"},
                   {FIELD_SOCKET, MAY, "socket|socketno|way|"},
                   {FIELD_PAIR, MAY, "multicorepair|pair|"},
                   {FIELD_SPLIT_CHANNEL, MAY, "splitchannel|split|"},
                   {FIELD_FOH, MAY, "fohinput|foh|houseinput|house|"},
                   {FIELD_MON, MAY, "moninput|mon|monitorinput|monitors|monitor|"},
                   {FIELD_BROADCAST, MAY,
                    "broadcastinput|broadcast|recordinginput|recording|truckinput|truck|"},
                   {FIELD_SPARE, MAY, "spare|isspare|"}}},
  [LIST_INPUTS] = {"inputs",
                   "inputs|input|inputlist|channels|channellist|",
                   "known by its column source beside a pickup, phantom, channel, line or socket",
                   {{FIELD_SOURCE, NEED,
                     "source|instrument|sourcename|instrumentname|inputname|channelname|name|"
                     "whatplays|instrumentsource|sourceinstrument|what|description|item|quelle|"
                     "instrumento|input|"},
                    {FIELD_CHANNEL, ANY,
                     "channel|ch|chan|no|number|nr|num|channelno|channelnumber|chno|inputno|"
                     "inputnumber|inputch|inputchannel|inch|kanal|kan|canal|input|"},
                    {FIELD_KIND, ANY,
                     "pickup|mic|micdi|microphone|microphonedi|kind|micordi|midi|mics|mictype|"
                     "mictypedi|micline|micdiline|dimic|microphonetype|miccondi|micsuggested|"
                     "preferredmic|micpreference|micpreferred|microphoneordi|mikrofon|micro|"
                     "micdichoice|micchoice|"},
                    {FIELD_PHANTOM, ANY,
                     "phantom|48v|p48|48|phantompower|phantom48v|48vphantom|v48|phant|ph|48volt|"
                     "48volts|phantomspeisung|fantome|"},
                    {FIELD_BOX, ANY,
                     "box|stagebox|subbox|subsnake|boxname|stageboxname|sub|snake|sb|dropbox|"
                     "stageboxbox|"},
                    {FIELD_SOCKET, ANY,
                     "socket|socketno|way|socketnumber|boxchannel|boxch|boxno|boxinput|snakech|"
                     "snakechannel|subch|subchannel|stageboxsocket|stageboxno|stageboxch|"
                     "stageboxchannel|boxway|ch|no|nr|channel|number|input|"},
                    {FIELD_PATCH, ANY,
                     "boxsocket|patch|stagepatch|boxandsocket|boxpatch|inputpatch|patchpoint|"
                     "stageboxpatch|patchedto|"},
                    {FIELD_LINE, ANY, "line|lineno|linenumber|multicore|multicoreline|multi|"},
                    {FIELD_STAND, MAY,
                     "stand|mount|stands|standtype|micstand|boom|stativ|pied|standclip|clipstand|"},
                    {FIELD_POSITION, MAY,
                     "position|place|where|stageposition|location|pos|stagepos|posn|riser|"},
                    {FIELD_NOTE, MAY,
                     "note|notes|remark|remarks|comment|comments|info|bemerkung|bemerkungen|"
                     "remarque|remarques|misc|"},
                    {FIELD_TAG, MAY, "cable|cabletag|cableno|"},
                    {FIELD_THROUGH, MAY, "through|inline|between|"},
                    {FIELD_ACT, MAY, "act|band|artist|"}}},
  [LIST_KINDS] = {"kinds",
                  "kinds|sources|",
                  "known by its column kind beside what a kind is like",
                  {{FIELD_KIND, NEED, "kind|pickup|"},
                   {FIELD_NEEDS, ANY, "needsphantom|"},
                   {FIELD_HARMLESS, ANY, "phantomharmless|phantomsafe|"},
                   {FIELD_DRIVE, ANY, "drive|"},
                   {FIELD_R23_LOW, ANY, "r23ohmmin|"},
                   {FIELD_R23_HIGH, ANY, "r23ohmmax|"},
                   {FIELD_ALSO, MAY, "also|alsocalled|"},
                   {FIELD_MEANING, MAY, "meaning|description|"},
                   {FIELD_P48_LOW, MAY, "p48mamin|"},
                   {FIELD_P48_HIGH, MAY, "p48mamax|"},
                   {FIELD_ONE_LEG, MAY, "runsononeleg|"},
                   {FIELD_CAUTION, MAY, "caution|"},
                   {FIELD_SOURCE_OHM, MAY, "sourceohm|"},
                   {FIELD_SUPPLY_OHM, MAY, "supplyohm|"},
                   {FIELD_DRAW_MA, MAY, "drawma|"},
                   {FIELD_LEVEL_DBU, MAY, "leveldbu|"},
                   {FIELD_BATTERY, MAY, "hasbattery|battery|"},
                   {FIELD_SWITCH, MAY, "hasswitch|switch|"},
                   {FIELD_RADIO, MAY, "isradio|radio|"},
                   {FIELD_MICROPHONE, MAY, "ismicrophone|"},
                   {FIELD_RIBBON, MAY, "isribbon|ribbon|"},
                   {FIELD_FULL_V, MAY, "fullv|"},
                   {FIELD_LEAST_V, MAY, "leastv|"},
                   {FIELD_PAD_DB, MAY, "paddb|"},
                   {FIELD_LOW_LEVEL_DB, MAY, "lowleveldb|"},
                   {FIELD_LIFT, MAY, "haslift|lift|"},
                   {FIELD_JACK, MAY, "hasjack|jack|"},
                   {FIELD_AB, MAY, "needsab|ab|"},
                   {FIELD_FIGURES, MAY, "figures|"}}},
  [LIST_INLINE] = {"in-line things",
                   "inline|",
                   "known by its columns in-line and sort",
                   {{FIELD_INLINE, NEED, "inline|thing|adaptor|"},
                    {FIELD_INLINE_SORT, NEED, "sort|"},
                    {FIELD_ALSO, MAY, "also|alsocalled|"},
                    {FIELD_MEANING, MAY, "meaning|description|"},
                    {FIELD_SERIES_OHM, MAY, "seriesohm|"},
                    {FIELD_SHUNT_OHM, MAY, "shuntohm|"},
                    {FIELD_PRIMARY_OHM, MAY, "primaryohm|"},
                    {FIELD_SECONDARY_OHM, MAY, "secondaryohm|"},
                    {FIELD_PRIMARY_H, MAY, "primaryh|"},
                    {FIELD_RATIO, MAY, "ratio|"},
                    {FIELD_LIFTED, MAY, "contact1lifted|pin1lifted|lifted|"},
                    {FIELD_CAUTION, MAY, "caution|"},
                    {FIELD_FIGURES, MAY, "figures|source|"}}},
  [LIST_ITEMS] = {"items",
                  "cables|items|gear|stores|",
                  "known by its column cable or tag beside a kind or a length",
                  {{FIELD_TAG, NEED, "cable|tag|item|cabletag|cableno|"},
                   {FIELD_KIND, ANY, "kind|type|sort|"},
                   {FIELD_LENGTH_M, ANY, "lengthm|length|metres|"},
                   {FIELD_POLES, MAY, "poles|connector|"},
                   {FIELD_LAST_TEST, MAY, "lasttest|tested|"},
                   {FIELD_MATINGS, MAY, "matingcycles|matings|"},
                   {FIELD_STATE, MAY, "state|status|"},
                   {FIELD_HISTORY, MAY, "history|note|notes|remark|"}}},
  [LIST_DESK_PATCH] = {"desk patch",
                       "deskpatch|desk|desks|softpatch|patch|",
                       "known by its columns desk, desk channel and line",
                       {{FIELD_DESK, NEED, "desk|console|"},
                        {FIELD_CHANNEL, NEED, "deskchannel|channel|ch|chan|no|"},
                        {FIELD_LINE, NEED, "line|input|physicalinput|patch|deskinput|"},
                        {FIELD_ACT, MAY, "act|scene|band|"},
                        {FIELD_NAME, MAY, "nameondesk|name|label|source|"},
                        {FIELD_PHANTOM, MAY, "givesphantom|phantom|48v|p48|"},
                        {FIELD_PAD_DB, MAY, "paddb|pad|"},
                        {FIELD_GAIN_DB, MAY, "gaindb|gain|"},
                        {FIELD_MUTED, MAY, "muted|mute|"}}},
  [LIST_CREW] = {"crew",
                 "crew|people|",
                 "known by its column role",
                 {{FIELD_ROLE, NEED, "role|job|"},
                  {FIELD_PLACE, ANY, "place|where|position|"},
                  {FIELD_STARTS_AT, ANY, "startsat|"},
                  {FIELD_COUNT_OF, MAY, "count|number|howmany|"}}},
  [LIST_DAY] = {"day",
                "day|runningorder|",
                "known by its columns start and what",
                {{FIELD_START, NEED, "start|from|begin|time|"},
                 {FIELD_WHAT, NEED, "what|event|item|"},
                 {FIELD_END, MAY, "end|to|until|"},
                 {FIELD_WHO, MAY, "who|"},
                 {FIELD_DATE, MAY, "date|day|"}}},
  [LIST_SPLIT] = {"split",
                  "split|",
                  "known by its column split beside sides or windings",
                  {{FIELD_SPLIT, NEED, "split|"},
                   {FIELD_SIDES, ANY, "sides|"},
                   {FIELD_DIRECT, ANY, "directside|direct|"},
                   {FIELD_PRIMARY_OHM, ANY, "primaryohm|"},
                   {FIELD_SECONDARY_OHM, ANY, "secondaryohm|"},
                   {FIELD_PRIMARY_H, MAY, "primaryh|"},
                   {FIELD_BLOCKED, MAY, "blockedbycapacitors|blocked|"},
                   {FIELD_LIFTED, MAY, "contact1lifted|pin1lifted|lifted|"},
                   {FIELD_PARALLEL, MAY, "parallel|withouttransformers|"}}},
  [LIST_PLACES] = {"places",
                   "places|walking|",
                   "known by its columns from, to and seconds",
                   {{FIELD_FROM, NEED, "from|"},
                    {FIELD_TO, NEED, "to|"},
                    {FIELD_SECONDS, NEED, "seconds|s|walkingseconds|"}}},
  [LIST_TIMES] = {"times",
                  "times|",
                  "known by its columns step and usual_s",
                  {{FIELD_STEP, NEED, "step|"},
                   {FIELD_USUAL, NEED, "usuals|usual|"},
                   {FIELD_QUICK, MAY, "quicks|quick|"},
                   {FIELD_SLOW, MAY, "slows|slow|"},
                   {FIELD_SOURCE, MAY, "source|"}}},
  [LIST_ODDS] = {"odds",
                 "odds|",
                 "known by its columns where, fault and share",
                 {{FIELD_WHERE, NEED, "where|"},
                  {FIELD_FAULT, NEED, "fault|"},
                  {FIELD_SHARE, NEED, "share|"},
                  {FIELD_SOURCE, MAY, "source|"}}},
  [LIST_MISREAD] = {"misread",
                    "misread|",
                    "known by its columns check and probability",
                    {{FIELD_CHECK, NEED, "check|"},
                     {FIELD_PROB, NEED, "probability|prob|"},
                     {FIELD_SOURCE, MAY, "source|"}}},
  [LIST_TESTERS] = {"testers",
                    "testers|tester|",
                    "known by its columns tester, part, from, to and ohm",
                    {{FIELD_TESTER, NEED, "tester|"},
                     {FIELD_PART, NEED, "part|element|"},
                     {FIELD_FROM, NEED, "from|contacta|"},
                     {FIELD_TO, NEED, "to|contactb|"},
                     {FIELD_OHM, NEED, "ohm|ohms|resistor|"},
                     {FIELD_VOLTS, MAY, "volts|v|"},
                     {FIELD_GREEN_V, MAY, "greenv|green|"},
                     {FIELD_RED_V, MAY, "redv|red|"},
                     {FIELD_CONTACTS, MAY, "contacts|"},
                     {FIELD_CONNECTOR, MAY, "connector|"},
                     {FIELD_NOTE, MAY, "note|notes|remark|remarks|comment|comments|"},
                     {FIELD_FIGURES, MAY, "figures|source|"}}},
  [LIST_METERS] = {"meters",
                   "meters|meter|",
                   "known by its columns meter, volts and ohm",
                   {{FIELD_METER, NEED, "meter|"},
                    {FIELD_VOLTS, NEED, "volts|v|"},
                    {FIELD_OHM, NEED, "ohm|ohms|"},
                    {FIELD_NOTE, MAY, "note|notes|remark|remarks|comment|comments|"},
                    {FIELD_FIGURES, MAY, "figures|source|"}}},
  [LIST_KIT] = {"kit",
                "kit|",
                "known by its columns kit and count",
                {{FIELD_KIT, NEED, "kit|tool|"},
                 {FIELD_COUNT_OF, NEED, "count|number|howmany|"},
                 {FIELD_PLACE, MAY, "place|where|"}}},
  [LIST_VERSIONS] = {"list versions",
                     "listversions|versions|",
                     "known by its columns act and version",
                     {{FIELD_ACT, NEED, "act|band|"},
                      {FIELD_VERSION, NEED, "version|"},
                      {FIELD_FOH, MAY, "fohhas|househas|"},
                      {FIELD_MON, MAY, "monhas|monitorshas|"},
                      {FIELD_BROADCAST, MAY, "broadcasthas|truckhas|"},
                      {FIELD_STAGE, MAY, "stagehas|"}}},
  [LIST_DRIVES] = {"drive lines",
                   "drive|drives|drivelines|",
                   "known by its column drive_line beside a cable, a processor output or a level",
                   {{FIELD_DRIVE_LINE, NEED, "driveline|drive|drivelineno|"},
                    {FIELD_LENGTH_M, ANY, "cablem|lengthm|length|metres|"},
                    {FIELD_PROCESSOR_OUT, ANY, "processorout|processoroutput|"},
                    {FIELD_LEVEL_DBU, ANY, "levelatampdbu|levelatamplifierdbu|leveldbu|"},
                    {FIELD_DESK_OUTPUT, MAY, "deskoutput|"},
                    {FIELD_ZONE, MAY, "zone|"},
                    {FIELD_ZONE_NAME, MAY, "zonename|name|feeds|"},
                    {FIELD_DELAY_MS, MAY, "delayms|delay|"},
                    {FIELD_SOURCE_OHM, MAY, "outputohm|outputohmperleg|"},
                    {FIELD_AMP_OHM, MAY, "ampinputohm|amplifierinputohm|inputohm|"},
                    {FIELD_LIFTED, MAY, "contact1lifted|pin1lifted|lifted|"}}},
  [LIST_DESKS] = {"desks",
                  "",
                  "known by its column desk beside the ohms of its inputs",
                  {{FIELD_DESK, NEED, "desk|console|"},
                   {FIELD_BETWEEN_OHM, ANY, "inputbetweenohm|betweenohm|"},
                   {FIELD_EACH_OHM, ANY, "inputeachohm|eachohm|"}}},
  [LIST_MAPPING] = {"answers about lists",
                    "mapping|",
                    "known by its columns under, written and means",
                    {{FIELD_UNDER, NEED, "under|"},
                     {FIELD_WRITTEN, NEED, "written|"},
                     {FIELD_MEANS, NEED, "means|"}}},
  [LIST_OUTPUTS] = {"loudspeaker circuits",
                    "outputs|circuits|loudspeakers|",
                    "known by its column circuit beside an amplifier or its ohms",
                    {{FIELD_CIRCUIT, NEED, "circuit|circuitno|"},
                     {FIELD_AMP, ANY, "amp|amplifier|"},
                     {FIELD_PINS, MAY, "pins|poles|pair|pairsorchannel|"},
                     {FIELD_LENGTH_M, MAY, "cablem|lengthm|length|metres|"},
                     {FIELD_MM2, MAY, "cablemm2|mm2|section|sectionmm2|"},
                     {FIELD_AWG, MAY, "awg|gauge|"},
                     {FIELD_LINK_M, MAY, "linkm|linklength|"},
                     {FIELD_BOXES, MAY, "boxesparallel|boxes|numberofboxes|"},
                     {FIELD_DRIVERS, MAY, "driversperbox|drivers|"},
                     {FIELD_NOMINAL_OHM, ANY, "nominalohm|nominal|impedance|"},
                     {FIELD_LOAD_OHM, ANY, "loaddcrohm|loadohm|loaddcr|"},
                     {FIELD_CABLE_OHM, MAY, "cableohm|"},
                     {FIELD_EXPECT_OHM, MAY, "expectdcrohm|expectohm|expected|expectedohm|"},
                     {FIELD_AMP_MIN_OHM, MAY, "ampminohm|amplifierminohm|leastohm|"},
                     {FIELD_MODE, MAY, "mode|ampmode|"},
                     {FIELD_PRESET, MAY, "preset|"},
                     {FIELD_NOTE, MAY, "note|notes|remark|remarks|comment|"},
                     {FIELD_ZONE, MAY, "zone|"},
                     {FIELD_ZONE_NAME, MAY, "zonename|name|"},
                     {FIELD_BAND, MAY, "band|"},
                     {FIELD_AMP_CHANNEL, MAY, "ampchannel|amplifierchannel|channel|ch|"},
                     {FIELD_CABLE, MAY, "cable|cabletag|"},
                     {FIELD_MISSING_OHM, MAY, "dcrifoneboxmissing|oneboxmissingohm|"},
                     {FIELD_DRIVER_OHM, MAY, "dcrifonedriveropen|onedriveropenohm|"},
                     {FIELD_HIGH_OHM, MAY, "highohm|highdriverohm|"},
                     {FIELD_HIGH_UF, MAY, "highuf|capacitoruf|"},
                     {FIELD_AMP_W, MAY, "ampw|amplifierwatts|watts|"},
                     {FIELD_LINE_V, MAY, "linev|linevolts|"},
                     {FIELD_TAP_W, MAY, "tapw|tapwatts|tap|"},
                     {FIELD_PLACE, MAY, "place|ampplace|where|rack|"}}},
  [LIST_MONITORS] = {"monitor mixes",
                     "monitors|mixes|",
                     "known by its column mix beside what it feeds",
                     {{FIELD_MIX, NEED, "mix|mixno|"},
                      {FIELD_FEEDS, NEED, "feeds|amplifier|amp|"},
                      {FIELD_PINS, MAY, "pins|poles|pair|pairsorchannel|"},
                      {FIELD_LENGTH_M, MAY, "cablem|lengthm|length|metres|"},
                      {FIELD_MM2, MAY, "cablemm2|mm2|section|sectionmm2|"},
                      {FIELD_AWG, MAY, "awg|gauge|"},
                      {FIELD_LINK_M, MAY, "linkm|linklength|"},
                      {FIELD_BOXES, MAY, "boxesparallel|boxes|numberofboxes|"},
                      {FIELD_DRIVERS, MAY, "driversperbox|drivers|"},
                      {FIELD_NOMINAL_OHM, MAY, "nominalohm|nominal|impedance|"},
                      {FIELD_LOAD_OHM, MAY, "loaddcrohm|loadohm|loaddcr|"},
                      {FIELD_CABLE_OHM, MAY, "cableohm|"},
                      {FIELD_EXPECT_OHM, MAY, "expectdcrohm|expectohm|expected|expectedohm|"},
                      {FIELD_AMP_MIN_OHM, MAY, "ampminohm|amplifierminohm|leastohm|"},
                      {FIELD_MODE, MAY, "mode|ampmode|"},
                      {FIELD_PRESET, MAY, "preset|"},
                      {FIELD_NOTE, MAY, "note|notes|remark|remarks|comment|"},
                      {FIELD_NAME, MAY, "name|mixname|"},
                      {FIELD_DESK_OUTPUT, MAY, "deskoutput|"},
                      {FIELD_RETURN_PAIR, MAY, "returnpair|return|"},
                      {FIELD_CABLE, MAY, "cable|cabletag|"},
                      {FIELD_PLACE, MAY, "place|where|position|"}}},
};

void
heading_plain(const char* text, char* plain, size_t size)
{
  size_t n = 0;
  for (; *text && n + 1 < size; ++text) {
    const char c = *text;
    if (!strncmp(text, "\xEF\xB8\x8F", 3)) { // "As a picture", behind a tick
      text += 2;
      continue;
    }
    if (c >= 'A' && c <= 'Z') {
      plain[n++] = (char)(c - 'A' + 'a');
    } else if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9') || (unsigned char)c >= 0x80) {
      plain[n++] = c;
    }
  }
  plain[n] = '\0';
}

bool
heading_among(const char* names, const char* plain)
{
  const size_t n = strlen(plain);
  for (const char* p = names; n > 0 && *p; p = strchr(p, '|') + 1) {
    if (strncmp(p, plain, n) == 0 && p[n] == '|') {
      return true;
    }
  }
  return false;
}

static int
n_headings(ListSort sort)
{
  int n = 0;
  while (n < MAX_HEADINGS && sorts[sort].headings[n].names) {
    ++n;
  }
  return n;
}

typedef struct {
  char plain[TABLE_MAX_CELLS][PLAIN_BYTES];
  char also[TABLE_MAX_CELLS][PLAIN_BYTES]; ///< "" = goes by one name only
  bool is_taken[TABLE_MAX_CELLS];
  int n;
} PlainRow;

static bool
goes_by(const char* plain, const char* name, size_t n)
{
  return strncmp(plain, name, n) == 0 && plain[n] == '\0';
}

// The column that goes by one of the names, the first name first; -1 when none does.
static int
find_column(const PlainRow* row, const char* names)
{
  for (const char* p = names; *p; p = strchr(p, '|') + 1) {
    const size_t n = (size_t)(strchr(p, '|') - p);
    for (int c = 0; c < row->n; ++c) {
      if (!row->is_taken[c] &&
          (goes_by(row->plain[c], p, n) || (row->also[c][0] && goes_by(row->also[c], p, n)))) {
        return c;
      }
    }
  }
  return -1;
}

// A second "Ch" is the socket when there is a box: the one beside it. Without a box it is nothing.
static void
settle_socket(PlainRow* row, int at[FIELD_COUNT], int* n_claimed)
{
  const int socket = at[FIELD_SOCKET];
  if (socket < 0 || !heading_among("ch|no|nr|channel|number|input|", row->plain[socket])) {
    return;
  }
  if (at[FIELD_BOX] < 0) {
    at[FIELD_SOCKET] = -1;
    row->is_taken[socket] = false;
    --*n_claimed;
  } else if (at[FIELD_CHANNEL] == at[FIELD_BOX] + 1) {
    at[FIELD_SOCKET] = at[FIELD_CHANNEL];
    at[FIELD_CHANNEL] = socket;
  }
}

// Fills `at` and says how many headings the sort claims; 0 when it lacks a needed one.
static int
claim(PlainRow* row, ListSort sort, int at[FIELD_COUNT])
{
  for (int i = 0; i < FIELD_COUNT; ++i) {
    at[i] = -1;
  }
  memset(row->is_taken, 0, sizeof(row->is_taken));
  const Heading* const headings = sorts[sort].headings;
  const int n = n_headings(sort);
  int n_claimed = 0;
  for (int k = 0; k < n; ++k) {
    const int c = find_column(row, headings[k].names);
    at[headings[k].field] = c;
    if (c < 0 && headings[k].weight == NEED) {
      return 0;
    }
    if (c >= 0) {
      row->is_taken[c] = true;
      ++n_claimed;
    }
  }
  // "name" is what plays only on a list that is otherwise one of inputs: boxes have names too, and
  // much has a description
  const char* const by = sort == LIST_INPUTS && at[FIELD_SOURCE] >= 0 && at[FIELD_CHANNEL] < 0
                           ? row->plain[at[FIELD_SOURCE]]
                           : "";
  if (heading_among("what|description|item|", by) ||
      (heading_among("name|", by) && at[FIELD_KIND] < 0 && at[FIELD_PHANTOM] < 0)) {
    return 0;
  }
  if (sort == LIST_INPUTS) {
    settle_socket(row, at, &n_claimed);
  }
  bool any = false;
  bool wants_any = false;
  for (int k = 0; k < n; ++k) {
    const bool has = at[headings[k].field] >= 0;
    wants_any = wants_any || headings[k].weight == ANY;
    any = any || (headings[k].weight == ANY && has);
  }
  const bool bare_names = sort == LIST_INPUTS && row->n == 1; // One column of sources will do
  return !wants_any || any || bare_names ? n_claimed : 0;
}

// ---- Finding the row, or the two rows, of headings ----

static void
put_plain(const List* list, const char* text, char plain[PLAIN_BYTES])
{
  const char* const means = mapping_means(list->mapping, "heading", text);
  if (means && text_same(means, "kept")) {
    plain[0] = '\0';
    return;
  }
  heading_plain(means ? means : text, plain, PLAIN_BYTES);
  if (!plain[0] && (text_same(text, "#") || text_same(text, "\xE2\x84\x96"))) { // A numero sign
    memcpy(plain, "no", 3);
  }
}

static void
plain_row(const List* list, int r, PlainRow* row)
{
  row->n = list->table.rows[r].n_cells;
  for (int c = 0; c < row->n; ++c) {
    put_plain(list, list->table.rows[r].cells[c].text, row->plain[c]);
    row->also[c][0] = '\0';
  }
}

// Two rows as one: "Stage box" over "Socket" and nothing over the cells beside it. The lower word
// says what the column is, both together say it more exactly.
static void
plain_two(const List* list, int r, PlainRow* row)
{
  const TableRow* const upper = &list->table.rows[r];
  const TableRow* const lower = &list->table.rows[r + 1];
  const char* group = "";
  row->n = upper->n_cells > lower->n_cells ? upper->n_cells : lower->n_cells;
  for (int c = 0; c < row->n; ++c) {
    const char* const over = table_cell(upper, c)->text;
    const char* const under = table_cell(lower, c)->text;
    group = over[0] ? over : under[0] ? group : "";
    put_plain(list, under[0] ? under : over, row->also[c]);
    char both[2 * PLAIN_BYTES];
    (void)snprintf(both, sizeof(both), "%.*s %.*s", PLAIN_BYTES - 2, group, PLAIN_BYTES - 2,
                   under[0] ? under : "");
    put_plain(list, under[0] ? both : over, row->plain[c]);
  }
}

// Whether most cells of the lower row are headings that were claimed: else it is a row of the list.
static bool
lower_row_counts(const List* list, int r, const PlainRow* row)
{
  const TableRow* const lower = &list->table.rows[r + 1];
  int n = 0;
  int n_claimed = 0;
  for (int c = 0; c < lower->n_cells; ++c) {
    n += lower->cells[c].text[0] != '\0';
    n_claimed += lower->cells[c].text[0] && row->is_taken[c];
  }
  return 2 * n_claimed > n;
}

typedef struct {
  int score; ///< Twice the claims, and one for a single row
  int row;
  bool is_two;
  ListSort sort;
  int at[FIELD_COUNT];
} Found;

static void
try_rows(const List* list, int r, bool is_two, PlainRow* row, Found* found)
{
  if (is_two) {
    plain_two(list, r, row);
  } else {
    plain_row(list, r, row);
  }
  for (int s = LIST_UNKNOWN + 1; s <= LIST_MONITORS; ++s) {
    int at[FIELD_COUNT];
    const int n = claim(row, (ListSort)s, at);
    const int score = 2 * n + !is_two;
    // One word of a title that is also a heading is no heading row
    if (n > (r > 0 || is_two) && score > found->score &&
        (!is_two || lower_row_counts(list, r, row))) {
      *found = (Found){.score = score, .row = r, .is_two = is_two, .sort = (ListSort)s};
      memcpy(found->at, at, sizeof(at));
    }
  }
}

static Status
join_rows(Arena* arena, List* list, int r)
{
  const TableRow* const upper = &list->table.rows[r];
  TableRow* const lower = &list->table.rows[r + 1];
  const int n = upper->n_cells > lower->n_cells ? upper->n_cells : lower->n_cells;
  TableCell* const cells = arena_array(arena, (size_t)n, sizeof(*cells));
  if (!cells) {
    return STATUS_NO_MEMORY;
  }
  const char* group = "";
  for (int c = 0; c < n; ++c) {
    const TableCell* const over = table_cell(upper, c);
    const TableCell* const under = table_cell(lower, c);
    group = over->text[0] ? over->text : under->text[0] ? group : "";
    cells[c] = under->text[0] ? *under : *over;
    if (under->text[0] && group[0] && !text_same(group, under->text)) {
      cells[c].text = arena_format(arena, "%s %s", group, under->text);
    }
    if (!cells[c].text) {
      return STATUS_NO_MEMORY;
    }
  }
  *lower = (TableRow){cells, n, lower->line};
  return STATUS_OK;
}

// Call columns that have text and no heading by their number.
static Status
name_columns(Arena* arena, List* list)
{
  TableRow* const head = &list->table.rows[0];
  TableCell* cells = NULL;
  for (int c = 0; c < head->n_cells; ++c) {
    bool has_text = false;
    for (int r = 1; r < list->table.n_rows && !has_text && !head->cells[c].text[0]; ++r) {
      has_text = table_cell(&list->table.rows[r], c)->text[0] != '\0';
    }
    if (has_text) {
      cells = cells ? cells
                    : arena_grow(arena, head->cells, (size_t)head->n_cells, (size_t)head->n_cells,
                                 sizeof(*cells));
      const char* const name = cells ? arena_format(arena, "column %d", c + 1) : NULL;
      if (!name) {
        return STATUS_NO_MEMORY;
      }
      cells[c].text = name;
    }
  }
  head->cells = cells ? cells : head->cells;
  return STATUS_OK;
}

// A list that begins with its first row: a number in a cell, and more than one cell.
static bool
begins_at_once(const Table* table)
{
  const TableRow* const row = &table->rows[0];
  int n_full = 0;
  bool has_number = false;
  for (int c = 0; c < row->n_cells; ++c) {
    n_full += row->cells[c].text[0] != '\0';
    has_number = has_number || text_whole(row->cells[c].text, 1, 9999, &(int){0});
  }
  return has_number && n_full > 1;
}

// The same table under headings "column 1", "column 2" ...
static Status
put_headings(Arena* arena, List* list)
{
  const Table* const table = &list->table;
  TableRow* const rows = arena_array(arena, (size_t)table->n_rows + 1, sizeof(*rows));
  int n = 0;
  for (int r = 0; r < table->n_rows; ++r) {
    n = table->rows[r].n_cells > n ? table->rows[r].n_cells : n;
  }
  TableCell* const cells = arena_array(arena, (size_t)n, sizeof(*cells));
  if (!rows || !cells) {
    return STATUS_NO_MEMORY;
  }
  for (int c = 0; c < n; ++c) {
    cells[c] = (TableCell){arena_format(arena, "column %d", c + 1), 1, c + 1};
    if (!cells[c].text) {
      return STATUS_NO_MEMORY;
    }
  }
  rows[0] = (TableRow){cells, n, table->rows[0].line};
  memcpy(rows + 1, table->rows, (size_t)table->n_rows * sizeof(*rows));
  list->table.rows = rows;
  ++list->table.n_rows;
  list->has_no_headings = true;
  return STATUS_OK;
}

static Status
find_in(Arena* arena, List* list, PlainRow* row)
{
  Status st = STATUS_OK;
  Found found = {.sort = LIST_UNKNOWN};
  const int n_rows = list->table.n_rows;
  const int n_look = list->is_built_in || list->has_no_headings ? 1 : HEADING_MAX_TITLE + 1;
  // Headings do not stand far below a row that could be taken for them
  for (int r = 0; r < n_rows && r < n_look && (found.score == 0 || r <= found.row + 6); ++r) {
    try_rows(list, r, false, row, &found);
    if (r + 1 < n_rows && n_look > 1) {
      try_rows(list, r, true, row, &found);
    }
  }
  list->sort = found.sort;
  if (found.sort == LIST_UNKNOWN) {
    return STATUS_OK;
  }
  if (found.is_two) {
    TRY(st, join_rows(arena, list, found.row));
  }
  memcpy(list->at, found.at, sizeof(found.at));
  list->titles = list->table.rows;
  list->n_title = found.row;
  list->table.rows += found.row + found.is_two;
  list->table.n_rows -= found.row + found.is_two;
  return list->is_built_in ? STATUS_OK : name_columns(arena, list);
}

Status
heading_find(Arena* arena, List* list)
{
  Status st = STATUS_OK;
  list->sort = LIST_UNKNOWN;
  for (int i = 0; i < FIELD_COUNT; ++i) {
    list->at[i] = -1;
  }
  PlainRow* const row = arena_array(arena, 1, sizeof(*row));
  if (!row) {
    return STATUS_NO_MEMORY;
  }
  TRY(st, find_in(arena, list, row));
  if (list->sort == LIST_UNKNOWN && list->table.n_rows > 0 && !list->is_built_in &&
      begins_at_once(&list->table)) {
    TRY(st, put_headings(arena, list));
    return find_in(arena, list, row);
  }
  return STATUS_OK;
}

const char*
heading_why(ListSort sort)
{
  return sorts[sort].why;
}

ListSort
heading_hint(const char* file)
{
  // The longest of its first words that hints at something: "desk-patch-asfound" is a desk patch.
  ListSort hint = LIST_UNKNOWN;
  char plain[PLAIN_BYTES] = "";
  for (size_t n = 1; file[n - 1] && n < 40; ++n) {
    const char end = file[n];
    if (end == '\0' || end == '-' || end == '_' || end == ' ' || end == '.') {
      char start[PLAIN_BYTES];
      memcpy(start, file, n);
      start[n] = '\0';
      heading_plain(start, plain, sizeof(plain));
      for (int s = LIST_UNKNOWN + 1; s <= LIST_MONITORS; ++s) {
        hint = heading_among(sorts[s].hints, plain) ? (ListSort)s : hint;
      }
    }
  }
  return hint;
}

const char*
heading_missing(const Table* table, ListSort sort)
{
  const TableRow* const row = &table->rows[0];
  const char* any = NULL;
  bool has_any = false;
  for (int k = 0; k < n_headings(sort); ++k) {
    const Heading* const heading = &sorts[sort].headings[k];
    bool has = false;
    for (int c = 0; c < row->n_cells; ++c) {
      char plain[PLAIN_BYTES];
      heading_plain(row->cells[c].text, plain, sizeof(plain));
      has = has || heading_among(heading->names, plain);
    }
    if (heading->weight == NEED && !has) {
      return heading->names;
    }
    any = heading->weight == ANY && !any ? heading->names : any;
    has_any = has_any || (heading->weight == ANY && has);
  }
  return has_any ? NULL : any;
}

bool
heading_needs(ListSort sort, Field field)
{
  for (int k = 0; k < n_headings(sort); ++k) {
    if (sorts[sort].headings[k].field == field) {
      return sorts[sort].headings[k].weight == NEED;
    }
  }
  return false;
}

ListSort
lists_sort(Arena* arena, const Table* table)
{
  // The caller's rows stay as they are where two become one
  List list = {.table = *table};
  list.table.rows =
    arena_grow(arena, table->rows, (size_t)table->n_rows, (size_t)table->n_rows, sizeof(TableRow));
  if (!list.table.rows) {
    return LIST_UNKNOWN;
  }
  return heading_find(arena, &list) == STATUS_OK ? list.sort : LIST_UNKNOWN;
}

const char*
lists_word(ListSort sort)
{
  return sort >= LIST_UNKNOWN && sort <= LIST_MONITORS ? sorts[sort].word : "unknown";
}

// ---- What people can be asked ----

bool
heading_is_usual(const char* text)
{
  char plain[PLAIN_BYTES];
  heading_plain(text, plain, sizeof(plain));
  return heading_among("colour|color|col|insert|inserts|ins|group|groups|grp|mix|mixes|monitor|"
                       "monitors|monitormix|monmix|fx|effects|effect|comp|compressor|gate|"
                       "compgate|dynamics|gain|pad|eq|hpf|lowcut|dca|vca|bus|aux|own|ownmic|"
                       "providedby|provided|suppliedby|supplied|supply|bring|webring|qty|quantity|"
                       "count|standheight|standheightm|height|heightm|weight|check|checked|done|ok|"
                       "tested|page|alternative|alternatives|substitute|alternate|altmic|"
                       "secondchoice|second|or|who|whobrings|whobringsit|brings|alternativ|ersatz|"
                       "iem|wedge|house|foh|mon|mons|truck|broadcast|panning|"
                       "pan|player|musician|performer|",
                       plain);
}

const HeadingQuestion*
heading_questions(void)
{
  static const HeadingQuestion questions[] = {
    {FIELD_CHANNEL, 'c', "channel", "the channel number"},
    {FIELD_SOURCE, 's', "source", "what plays"},
    {FIELD_KIND, 'm', "pickup", "the microphone or DI"},
    {FIELD_PHANTOM, '4', "phantom", "phantom, 48 V"},
    {FIELD_BOX, 'b', "box", "the box"},
    {FIELD_SOCKET, 'k', "socket", "the socket on the box"},
    {FIELD_PATCH, 'x', "patch", "box and socket together"},
    {FIELD_LINE, 'l', "line", "the line's number"},
    {FIELD_STAND, 't', "stand", "the stand"},
    {FIELD_POSITION, 'p', "position", "the place on stage"},
    {FIELD_NOTE, 'n', "note", "a note"},
    {FIELD_COUNT, '\0', NULL, NULL},
  };
  return questions;
}

const HeadingQuestion*
heading_question(const char* word)
{
  for (const HeadingQuestion* q = heading_questions(); q->word; ++q) {
    if (text_same(q->word, word)) {
      return q;
    }
  }
  return NULL;
}

const char*
heading_say(ListSort sort, Field field, Arena* arena)
{
  for (const HeadingQuestion* q = heading_questions(); q->word && sort == LIST_INPUTS; ++q) {
    if (q->field == field) {
      return q->say;
    }
  }
  for (int k = 0; k < n_headings(sort); ++k) {
    const char* const names = sorts[sort].headings[k].names;
    if (sorts[sort].headings[k].field == field) {
      return arena_text(arena, names, strcspn(names, "|"));
    }
  }
  return "";
}
