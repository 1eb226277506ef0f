// SPDX-License-Identifier: GPL-3.0-or-later
#include "stage/heading_table.h"

#include "base/text.h"

#include <string.h>

/*
  One row a sort of list: its word, what file names hint at it, and its columns with the names
  people give them (usual practice, no source). A new name of a column is one more word between
  bars.
*/

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
                    {FIELD_MUST, MAY, "must|musthave|"},
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
  [LIST_NEEDED] = {"needed",
                   "needed|",
                   "known by its columns plays and needed",
                   {{FIELD_PLAYS, NEED, "plays|"},
                    {FIELD_NEEDED, NEED, "needed|"},
                    {FIELD_BESIDE, MAY, "beside|"},
                    {FIELD_VOICE, MAY, "voice|"},
                    {FIELD_SHARE, MAY, "oneline|shares|"},
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
                     {FIELD_COIL_MH, MAY, "coilmh|voicecoilmh|lemh|"},
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

const Heading*
heading_of(ListSort sort, int* n)
{
  const Heading* const headings = &sorts[sort].headings[0];
  *n = 0;
  while (*n < MAX_HEADINGS && headings[*n].names) {
    ++*n;
  }
  return headings;
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
  int n = 0;
  const Heading* const headings = heading_of(sort, &n);
  for (int k = 0; k < n; ++k) {
    const Heading* const heading = &headings[k];
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
  int n = 0;
  const Heading* const headings = heading_of(sort, &n);
  for (int k = 0; k < n; ++k) {
    if (headings[k].field == field) {
      return headings[k].weight == NEED;
    }
  }
  return false;
}

const char*
lists_word(ListSort sort)
{
  return sort >= LIST_UNKNOWN && sort <= LIST_MONITORS ? sorts[sort].word : "unknown";
}
