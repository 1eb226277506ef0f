// SPDX-License-Identifier: GPL-3.0-or-later
//
// The log as people read it: what each fact says in words, and which were taken back. A fact is
// never changed; one that voids it comes after it, or before it when the radio mixed them up.

import type { Logged } from "./wire";
import { words } from "./words";

export type Told = Logged & { line: number };

const text = (v: unknown): string => (typeof v === "string" ? v : typeof v === "number" ? String(v) : "");

/// One log from what was there and what came, in order, the newest `last` of it.
export function logWith(log: readonly Told[], came: readonly Logged[], last: number): Told[] {
  const by = new Map<string, Told>(log.map((t) => [t.id, t]));
  for (const l of came) by.set(l.id, { ...l, body: l.body ?? {}, line: l.line ?? 0 });
  const all = [...by.values()].sort((a, b) => a.seq - b.seq).slice(-last);
  const voids = new Set(all.filter((t) => t.kind === "voided").map((t) => text(t.body["id"])));
  return all.map((t) => (!t.void && voids.has(t.id) ? { ...t, void: true } : t));
}

/// What it says, in one sentence.
export function toldSay(t: Told): string {
  const b = t.body;
  const at = text(b["at"]);
  switch (t.kind) {
    case "reading":
      return words.told.reading(text(b["check"]), text(b["reading"]), at && at !== "socket" ? words.placeName(at) : "");
    case "plugged":
      return words.told.plugged(text(b["place"]), text(b["what"]));
    case "taped_off":
      return words.told.taped(text(b["item"]), text(b["why"]));
    case "cleared":
      return words.told.cleared(text(b["item"]));
    case "moved":
      return words.told.moved(text(b["way"]));
    case "step_taken":
      return words.told.taken(text(b["step"]));
    case "step_done":
      return words.told.done(text(b["step"]));
    case "step_refused":
      return words.told.refused(text(b["step"]), text(b["why"]));
    case "act_in_force":
      return words.told.act(words.act(text(b["act"]) || "bare lines"));
    default:
      return text(b["text"]) || t.say;
  }
}
