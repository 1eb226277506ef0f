// SPDX-License-Identifier: GPL-3.0-or-later
#include "fault/card.h"

#include "base/text.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

/*
  A card is a table of small circuits. The far side (desk or sender) goes through 60 m of cable, the
  fault and 10 m of cable to become a port; the lamps are plugged onto it. Nothing of it depends on
  the plant: a crew can print the card of a tester before there is a show.

  Ohms a metre as in fault/template: 0.08 for a leg, 0.03 for a shield, 0.008 for a loudspeaker
  conductor of 2.5 mm2 (IEC 60228 class 5: 7.98 ohm/km). The feed resistors are 6.81 kohm, the value
  of the E96 series that 6.8 kohm of IEC 61938 is built with, and alike: a pair that differs by its
  allowed 0.4 % shows microamperes.

  Between any two contacts lies 1 gigohm, the insulation commonly quoted for such connectors (no
  source): 48 nA at the most. It also gives a contact that hangs on dark lamps alone a place to be;
  without it one random tester in a hundred does not settle.
*/

#define FAR_M 60.0
#define NEAR_M 10.0
#define LEG_OHM_PER_M 0.08
#define SHIELD_OHM_PER_M 0.03
#define POLE_OHM_PER_M 0.008
#define PHANTOM_V 48.0
#define FEED_OHM 6810.0
#define INSULATION_OHM 1e9
#define EARTH_OHM 0.01
#define SHORT_OHM 0.1
#define LEAK_OHM 10e3

// ---- Faults ----

static CardFault*
add(CardFault faults[], int* n, FaultMode mode, int a, int b, double ohm)
{
  CardFault* const f = &faults[(*n)++];
  *f = (CardFault){.mode = mode, .a = a, .b = b, .n_pairs = 1, .ohm = ohm};
  for (int i = 0; i < PORT_MAX; ++i) {
    f->map[i] = (uint8_t)i;
  }
  return f;
}

static void
swap(CardFault* f, int a, int b)
{
  const uint8_t was = f->map[a - 1];
  f->map[a - 1] = f->map[b - 1];
  f->map[b - 1] = was;
}

static bool
has_poles(const char* connector)
{
  return text_same(connector, "4-pole") || text_same(connector, "8-pole");
}

static void
name_fault(const char* connector, CardFault* f)
{
  static const char* const words[FAULT_MODE_COUNT] = {[FAULT_OPEN] = "open",
                                                      [FAULT_SHORT] = "short",
                                                      [FAULT_CROSSED] = "crossed",
                                                      [FAULT_HIGH] = "high",
                                                      [FAULT_LEAK] = "leak"};
  const char* const between = text_same(connector, "jack") || has_poles(connector) ? "/" : "-";
  char a[8];
  char b[8];
  tester_contact_name(connector, f->a, a);
  tester_contact_name(connector, f->b, b);
  if (f->mode == FAULT_NONE) {
    (void)snprintf(f->name, sizeof(f->name), "none");
  } else if (f->mode == FAULT_ROTATED) {
    (void)snprintf(f->name, sizeof(f->name), "rotated %d%d%d", f->map[0] + 1, f->map[1] + 1,
                   f->map[2] + 1);
  } else if (f->n_pairs == 2) {
    (void)snprintf(f->name, sizeof(f->name), "pairs crossed %d/%d", (f->a + 1) / 2, (f->b + 1) / 2);
  } else if (f->b == 0) {
    (void)snprintf(f->name, sizeof(f->name), "%s %s%s", words[f->mode], a,
                   f->mode == FAULT_OPEN ? ""
                   : f->ohm < 5e3        ? " 1k"
                                         : " 10k");
  } else {
    (void)snprintf(f->name, sizeof(f->name), "%s %s%s%s%s", words[f->mode], a, between, b,
                   f->mode == FAULT_LEAK ? " 10k" : "");
  }
}

int
card_faults(int n_contacts, const char* connector, CardFault faults[CARD_MAX_FAULTS])
{
  static const FaultMode across[] = {FAULT_SHORT, FAULT_CROSSED};
  const int most = n_contacts;
  int n = 0;
  (void)add(faults, &n, FAULT_NONE, 0, 0, 0.0);
  for (int a = 1; a <= most; ++a) {
    (void)add(faults, &n, FAULT_OPEN, a, 0, INFINITY);
  }
  for (int k = 0; k < 2; ++k) {
    for (int a = 1; a <= most; ++a) {
      for (int b = a + 1; b <= most; ++b) {
        CardFault* const f = add(faults, &n, across[k], a, b, SHORT_OHM);
        if (across[k] == FAULT_CROSSED) {
          swap(f, a, b);
        }
      }
    }
  }
  if (most == 3) {
    memcpy(add(faults, &n, FAULT_ROTATED, 0, 0, 0.0)->map, ((const uint8_t[]){1, 2, 0}), 3);
    memcpy(add(faults, &n, FAULT_ROTATED, 0, 0, 0.0)->map, ((const uint8_t[]){2, 0, 1}), 3);
  }
  for (int a = 1; a + 1 <= most && most >= 4; a += 2) {
    for (int b = a + 2; b + 1 <= most; b += 2) {
      CardFault* const f = add(faults, &n, FAULT_CROSSED, a, b, 0.0);
      f->n_pairs = 2;
      swap(f, a, b);
      swap(f, a + 1, b + 1);
    }
  }
  for (int k = 0; k < 2; ++k) {
    for (int a = 1; a <= most; ++a) {
      (void)add(faults, &n, FAULT_HIGH, a, 0, k == 0 ? 1e3 : 10e3);
    }
  }
  for (int a = 1; a <= most; ++a) {
    for (int b = a + 1; b <= most; ++b) {
      (void)add(faults, &n, FAULT_LEAK, a, b, LEAK_OHM);
    }
  }
  for (int i = 0; i < n; ++i) {
    name_fault(connector, &faults[i]);
  }
  return n;
}

// ---- Circuits ----

static bool
sender_has_volts(const Tester* tester)
{
  for (int i = 0; i < tester->n_parts; ++i) {
    if (tester->parts[i].sort == TESTER_SENDER && tester->parts[i].volts != 0.0) {
      return true;
    }
  }
  return false;
}

void
card_fault_say(const CardFault* fault, char text[CARD_NAME_BYTES])
{
  const char* const middle = strchr(fault->name, ' ');
  const char* const size = strrchr(fault->name, ' ');
  if ((fault->mode == FAULT_HIGH || fault->mode == FAULT_LEAK) && size > middle) {
    (void)snprintf(text, CARD_NAME_BYTES, "%s %s %.*s", size + 1,
                   fault->mode == FAULT_HIGH ? "in" : "across", (int)(size - middle - 1),
                   middle + 1);
  } else {
    (void)snprintf(text, CARD_NAME_BYTES, "%s", fault->name);
  }
}

bool
card_fits(const Tester* tester, CardSituation situation)
{
  const bool sends = tester_count(tester, TESTER_SENDER) > 0;
  const bool own = tester_count(tester, TESTER_BATTERY) > 0;
  switch (situation) {
    case CARD_PHANTOM:
      return tester->n_contacts == 3;
    case CARD_SENDER:
      return sends;
    case CARD_REVERSED:
      return sends && (own || sender_has_volts(tester));
    case CARD_ALONE:
      return own;
    default:
      return false;
  }
}

static void
cable(const Tester* tester, double length_m, Port* port)
{
  const int shield = text_same(tester->connector, "jack") ? 2 : 0;
  for (int i = 0; i < port->n; ++i) {
    const double ohm_per_m = has_poles(tester->connector) ? POLE_OHM_PER_M
                             : i == shield                ? SHIELD_OHM_PER_M
                                                          : LEG_OHM_PER_M;
    port_series(port, i, ohm_per_m * length_m);
  }
}

static void
put_in(const CardFault* fault, Port* port)
{
  switch (fault->mode) {
    case FAULT_OPEN:
      port_open(port, fault->a - 1);
      break;
    case FAULT_HIGH:
      port_series(port, fault->a - 1, fault->ohm);
      break;
    case FAULT_SHORT:
    case FAULT_LEAK:
      port_shunt(port, fault->a - 1, fault->b - 1, fault->ohm);
      break;
    case FAULT_CROSSED:
    case FAULT_ROTATED:
      port_permute(port, fault->map);
      break;
    default:
      break;
  }
}

static void
insulation(Port* port)
{
  for (int b = 1; b < port->n; ++b) {
    for (int a = 0; a < b; ++a) {
      port_shunt(port, a, b, INSULATION_OHM);
    }
  }
}

void
card_port(const Tester* tester, CardSituation situation, const CardFault* fault, Port* port)
{
  if (situation == CARD_SENDER || situation == CARD_REVERSED) {
    tester_sender(tester, situation == CARD_SENDER ? 1.0 : -1.0, port);
  } else {
    port_init(port, tester->n_contacts);
  }
  if (situation == CARD_PHANTOM) {
    port_earth(port, 0, EARTH_OHM);
    port_source_to_earth(port, 1, PHANTOM_V, FEED_OHM);
    port_source_to_earth(port, 2, PHANTOM_V, FEED_OHM);
  }
  cable(tester, FAR_M, port);
  put_in(fault, port);
  cable(tester, NEAR_M, port);
  insulation(port);
}

void
card_cable(const Tester* tester, const CardFault* fault, double cable_m, Port* port)
{
  tester_sender(tester, 1.0, port);
  put_in(fault, port);
  cable(tester, cable_m, port);
  insulation(port);
}

// ---- The card ----

// Lit and its colour: +1 green, -1 red, 0 neither.
static int
lit(const CardRow* row, int lamp)
{
  return row->picture[lamp] == 'G' ? 1 : row->picture[lamp] == 'R' ? -1 : 0;
}

bool
card_same(const Card* card, int one, int two)
{
  for (int k = 0; k < card->n_lamps; ++k) {
    if (lit(&card->rows[one], k) != lit(&card->rows[two], k)) {
      return false;
    }
  }
  return true;
}

double
card_ratio(const Card* card, int one, int two)
{
  const CardRow* const a = &card->rows[one];
  const CardRow* const b = &card->rows[two];
  double best = 1.0;
  for (int k = 0; k < card->n_lamps; ++k) {
    if (lit(a, k) != 0 && lit(a, k) == lit(b, k)) {
      const double ratio = a->lamp_a[k] / b->lamp_a[k];
      best = fmax(best, fmax(ratio, 1.0 / ratio));
    }
  }
  return best;
}

void
card_read(const CardRow* row, char text[LAMP_MAX + 1])
{
  int k = 0;
  for (; row->picture[k]; ++k) {
    text[k] = row->picture[k] == 'd' ? '.' : row->picture[k];
  }
  text[k] = '\0';
}

Status
card_build(Arena* arena, const Tester* tester, CardSituation situation, Card* card)
{
  if (tester->n_contacts < TESTER_MIN_CONTACTS || tester->n_contacts > TESTER_MAX_CONTACTS ||
      !card_fits(tester, situation)) {
    return STATUS_BAD_ARG;
  }
  Status st = STATUS_OK;
  LampTester lamps;
  TRY(st, tester_lamps(tester, &lamps));
  if (situation == CARD_REVERSED && !sender_has_volts(tester)) {
    for (int i = 0; i < lamps.n_batteries; ++i) {
      lamps.batteries[i].emf_v = -lamps.batteries[i].emf_v;
    }
  }
  CardFault faults[CARD_MAX_FAULTS];
  const int n = card_faults(tester->n_contacts, tester->connector, faults);
  CardRow* const rows = arena_array(arena, (size_t)n, sizeof(CardRow));
  if (!rows) {
    return STATUS_NO_MEMORY;
  }
  Card out = {tester, situation, lamps.n_lamps, rows, n};
  for (int i = 0; i < n; ++i) {
    Port port;
    rows[i].fault = faults[i];
    card_port(tester, situation, &faults[i], &port);
    TRY(st, lamp_solve(&lamps, &port, rows[i].lamp_a, NULL, NULL));
    lamp_picture(rows[i].lamp_a, lamps.n_lamps, rows[i].picture);
    rows[i].looks_as = i;
    for (int k = 0; k < i; ++k) {
      if (card_same(&out, k, i)) {
        rows[i].looks_as = k;
        break;
      }
    }
  }
  *card = out;
  return STATUS_OK;
}

int
card_showing(const Card* card, const char* picture, int rows[])
{
  int want[LAMP_MAX] = {0};
  if (strlen(picture) != (size_t)card->n_lamps) {
    return -1;
  }
  for (int k = 0; k < card->n_lamps; ++k) {
    const char* const at = strchr("GgRrDd.", picture[k]);
    if (!at) {
      return -1;
    }
    want[k] = strchr("Gg", *at) ? 1 : strchr("Rr", *at) ? -1 : 0;
  }
  int n = 0;
  for (int i = 0; i < card->n_rows; ++i) {
    bool fits = true;
    for (int k = 0; k < card->n_lamps; ++k) {
      fits = fits && lit(&card->rows[i], k) == want[k];
    }
    if (fits) {
      rows[n++] = i;
    }
  }
  return n;
}

void
card_lamp_name(const Tester* tester, int lamp, char name[16])
{
  int n = 0;
  for (int i = 0; i < tester->n_parts; ++i) {
    const TesterPart* const p = &tester->parts[i];
    if (p->sort == TESTER_LAMP && n++ == lamp) {
      char from[8];
      char to[8];
      const bool numbers = !text_same(tester->connector, "jack") && !has_poles(tester->connector);
      tester_contact_name(tester->connector, p->from, from);
      tester_contact_name(tester->connector, p->to, to);
      (void)snprintf(name, 16, "%s%s%s", from, numbers ? "-" : "/", to);
      return;
    }
  }
  name[0] = '\0';
}
