// SPDX-License-Identifier: GPL-3.0-or-later
//
// The pass everybody is on, as the log has it and, before the log has it, as this device told it.
//
//   log      pass lamp . ready foh . ready mon . 1 GG. . 2 GG. . skip 3 . 4 ...
//   waiting                                                           5 GG. . undo 4
//                                                                     \__ counts from the tap on
//
// A pass begins with a fact; desks say that they have muted with facts; every word on a line is one.
// So two phones are on the same pass without knowing of each other, and a phone that was loaded anew
// goes on where it was, radio or not. The device itself keeps only what it may take back.

import { computed } from "@preact/signals";
import { keptSignal } from "./kept";
import type { Entry, Mark } from "./pass";
import { goneIds, log, pending, tell } from "./store";
import type { Fact, Logged, ProveLine } from "./wire";

export const HOWS = ["lamp", "microphone", "volts", "desk-volts", "heard"] as const;
export type How = (typeof HOWS)[number];
export const BARE = "bare lines";
const CHECKS: Record<How, readonly string[]> = {
  lamp: ["lamps", "seen"],
  microphone: ["level", "seen", "hum", "crackle"],
  volts: ["volts", "seen"],
  "desk-volts": ["volts"],
  heard: ["level", "seen", "hum", "crackle", "look"],
};
/// At a desk by ear, at a desk's input by the meter, or at the socket.
export function looksAt(how: How): "socket" | "desk" | "input" {
  return how === "microphone" || how === "heard" ? "desk" : how === "desk-volts" ? "input" : "socket";
}

/// Of a fact what a pass needs, the same from the log and from what still waits. `act` "" = bare.
export type Word = { id: string; kind: string; line: number; check: string; reading: string; at: string; how: string; act: string; place: string; at_s: number | null };
const text = (v: unknown): string => (typeof v === "string" ? v : "");
const bare = (act: string): string => (act === BARE ? "" : act);

export function ofLog(l: Logged): Word {
  const b = l.body;
  return { id: l.id, kind: l.kind, line: l.line ?? 0, check: text(b["check"]), reading: text(b["reading"]), at: text(b["at"]) || text(b["desk"]), how: text(b["how"]), act: bare(text(b["act"])), place: l.place, at_s: l.at_s };
}
const KIND: Record<string, string> = { saw: "reading", pass: "pass_begun", ready: "ready", skip: "skipped" };
export function ofWaiting(id: string, f: Fact): Word {
  return { id, kind: KIND[f.verb] ?? "", line: Number(f["line"] ?? 0), check: text(f["check"]), reading: text(f["reading"]), at: text(f["at"]), how: f.verb === "pass" ? text(f["what"]) : "", act: bare(text(f["act"])), place: "", at_s: null };
}

/// Everything that counts, in order: the log, then what waits; without what was taken back.
const all = computed<Word[]>(() => {
  const known = new Set(log.value.map((t) => t.id));
  const words = log.value.filter((t) => !t.void).map(ofLog);
  for (const p of pending.value) if (!known.has(p.id)) words.push(ofWaiting(p.id, p.fact));
  return words.filter((w) => w.kind && !goneIds.value.has(w.id));
});

export type Pass = { id: string; at_s: number | null; how: How; act: string; words: Word[]; ready: string[] };

export const provesBare = (how: How): boolean => how !== "heard" && how !== "desk-volts";

/// The newest pass in these words, with what was said in it; null when none was begun. What proves
/// bare copper is written down for the bare lines, whatever act the pass belongs to.
export function passOf(all: readonly Word[]): Pass | null {
  let i = all.length - 1;
  while (i >= 0 && !(all[i]?.kind === "pass_begun" && HOWS.includes(all[i]?.how as How))) --i;
  const begun = all[i];
  if (!begun) return null;
  const how = begun.how as How;
  const act = (w: Word): string => (w.kind === "reading" && provesBare(how) ? "" : begun.act);
  const words = all.slice(i + 1).filter((w) => w.act === act(w));
  return { id: begun.id, at_s: begun.at_s, how, act: begun.act || BARE, words, ready: [...new Set(words.filter((w) => w.kind === "ready").map((w) => w.at))] };
}
export const pass = computed(() => passOf(all.value));

/// The last word on each line of this pass at this place ("socket" or a desk): as the box had it
/// when it was last asked, then as the log and this device have it. What was put off counts only
/// while nothing else was said of the line.
export function marksAt(p: Pass, at: string, lines: readonly ProveLine[], old: ReadonlySet<string> = new Set()): Map<number, Entry> {
  const marks = new Map<number, Entry>();
  const later: Entry[] = [];
  const by = new Map(lines.map((l) => [l.line, l]));
  const mine = new Set(p.words.map((w) => w.id));
  for (const l of lines) {
    // A fact the log has, but not this pass, was taken back or is of the pass before
    if (l.fact === null || (old.has(l.fact) && !mine.has(l.fact))) continue;
    if (l.is === "skipped") later.push({ line: l.line, mark: "later", word: "" });
    else if (l.is === "good" || l.is === "bad") marks.set(l.line, { line: l.line, mark: l.is, word: "", found: l.found });
  }
  for (const w of p.words) {
    const l = by.get(w.line);
    if (w.kind === "skipped") later.push({ line: w.line, mark: "later", word: "" });
    if (w.kind !== "reading" || !l || !CHECKS[p.how].includes(w.check)) continue;
    if (looksAt(p.how) !== "socket" && w.at !== at) continue;
    if (p.how === "volts" && w.check === "volts" && w.at !== "socket") continue; // At a desk's input
    if (w.reading === "none" && w.check !== "volts") continue; // No hum says nothing of sound
    const good = l.good?.check === w.check && l.good.reading === w.reading;
    const e: Entry = { line: w.line, mark: good ? "good" : "bad", word: w.reading };
    marks.set(w.line, l.fact === w.id && l.found ? { ...e, found: l.found } : e);
  }
  for (const e of later) if (!marks.has(e.line)) marks.set(e.line, e);
  return marks;
}
/// The same of everything this page knows.
export function marksNow(p: Pass, at: string, lines: readonly ProveLine[]): Map<number, Entry> {
  return marksAt(p, at, lines, new Set([...log.value.map((t) => t.id), ...goneIds.value]));
}

/// When the words on lines came, in order: what a pace is made of.
export function timesOf(p: Pass): number[] {
  return p.words.filter((w) => w.kind === "reading" && w.at_s !== null).map((w) => w.at_s ?? 0);
}

// ---- What this device told, and may take back ----

type Own = { ids: string[]; line: number; mark: Mark };
const MOST = 60;
const own = keptSignal<Own[]>("said", [], Array.isArray);

export function begin(how: How, act: string): void {
  own.value = [];
  tell({ verb: "pass", what: how, act }, true);
}
export function ready(p: Pass, at: string, yes: boolean): void {
  if (yes) tell({ verb: "ready", at, act: p.act }, true);
  else for (const w of p.words) if (w.kind === "ready" && w.at === at) tell({ verb: "undo", fact: w.id }, true);
}

/// A word on some lines, taken back together. `at` is "socket" or the desk it shows at.
export function answer(p: Pass, at: string, mark: Mark, said: readonly { line: number; check: string; reading: string }[]): void {
  const ids = said.map(({ line, check, reading }) => {
    if (mark === "later") return tell({ verb: "skip", line, act: p.act, ...(at === "socket" ? {} : { at }) }, true);
    return tell({ verb: "saw", line, check, reading, at, act: provesBare(p.how) ? BARE : p.act }, true);
  });
  own.value = [...own.value.slice(1 - MOST), { ids, line: said[said.length - 1]?.line ?? 0, mark }];
}

export const last = computed<Own | null>(() => own.value[own.value.length - 1] ?? null);

/// Takes the last word back, with all it was told of; gives its line.
export function takeBack(): number {
  const gone = last.value;
  if (!gone) return 0;
  own.value = own.value.slice(0, -1);
  for (const id of gone.ids) tell({ verb: "undo", fact: id }, true);
  return gone.line;
}
