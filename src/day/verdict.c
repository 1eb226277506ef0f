// SPDX-License-Identifier: GPL-3.0-or-later
#include "day/verdict.h"

#include "base/text.h"

#include <string.h>

static void
verdict_add(Verdict* w, const char* list[JUDGE_SAYINGS], int* n, const char* text)
{
  w->no_memory = w->no_memory || !text;
  if (*n < JUDGE_SAYINGS) {
    list[(*n)++] = text;
  }
}

void
verdict_find(Verdict* w, const char* text)
{
  verdict_add(w, w->out.found, &w->out.n_found, text);
}

void
verdict_cannot(Verdict* w, const char* text)
{
  verdict_add(w, w->out.cannot, &w->out.n_cannot, text);
}

void
verdict_todo(Verdict* w, const char* text)
{
  verdict_add(w, w->out.todo, &w->out.n_todo, text);
}

void
verdict_fault(Verdict* w, const char* name, const char* where, const char* say)
{
  w->no_memory = w->no_memory || !name || !say;
  if (w->out.n_faults < JUDGE_FAULTS) {
    w->out.faults[w->out.n_faults++] = (JudgeFault){name, where, say};
  }
}

const char*
verdict_contact(const Verdict* w, WiringPlace end, int contact)
{
  return connector_contact(w->in->connector, end, contact);
}

const char*
verdict_node(const Verdict* w, int node)
{
  const WiringPlace end = node < WIRING_CONTACTS ? WIRING_NEAR : WIRING_FAR;
  return verdict_contact(w, end, node - (int)end * WIRING_CONTACTS + 1);
}

// "1-2", or "1+/2+" where a stroke could be read as a pole.
const char*
verdict_stroke(const char* name)
{
  const size_t n = strlen(name);
  return n && (name[n - 1] == '+' || name[n - 1] == '-') ? "/" : "-";
}

const char*
verdict_wire(const Verdict* w, int wire)
{
  const WiringWire* const x = &w->wires[wire];
  return x->near ? verdict_contact(w, WIRING_NEAR, x->near)
                 : verdict_contact(w, WIRING_FAR, x->far);
}

int
verdict_wire_at(const Verdict* w, WiringPlace end, int contact)
{
  for (int i = 0; i < w->n_wires; ++i) {
    if ((end == WIRING_NEAR ? w->wires[i].near : w->wires[i].far) == contact) {
      return i;
    }
  }
  return 0;
}

const char*
verdict_join(const Verdict* w, const char* const names[], int n)
{
  TextOut out = {.arena = w->arena};
  for (int i = 0; i < n; ++i) {
    text_add(&out, "%s%s", i ? verdict_stroke(names[i - 1]) : "", names[i]);
  }
  return text_done(&out);
}
