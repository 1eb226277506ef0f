// SPDX-License-Identifier: GPL-3.0-or-later
//
// What the page knows, and how fresh it is.
//
//   stream ──"now"──┐
//   own fact ───────┼──> refresh: every answer some screen shows is asked again, with its tag
//   wakes up ───────┘
//
// The page decides nothing: it keeps the server's last answers and says how old they are. An answer
// stays on the screen while the radio is gone. The stream is closed while the page is hidden (a
// browser has about six connections a host) and opened again when it is seen.

import { batch, computed, signal, type ReadonlySignal, type Signal } from "@preact/signals";
import { useEffect, useMemo } from "preact/hooks";
import { newId } from "./ids";
import { get, NoRadio, post, Refused } from "./net";
import { Queue, type Clock } from "./queue";
import { shelfOpen } from "./shelf";
import { logWith, type Told } from "./told";
import type { Answer, Answers, Fact, Logged, Me } from "./wire";

// ---- Clocks ----

const visit = newId();
let sleptMs = 0;
export const phone: Clock = {
  visit,
  forward_ms: () => performance.now(),
  wall_ms: () => Date.now(),
  slept_ms: () => sleptMs,
};

/// Ticks once a second while the page is seen; what shows a time reads it.
export const tick = signal(0);

// ---- Freshness ----

export const me = signal<Me | null>(null);
export const needsJoin = signal(false);
export const seq = signal(0);
export const waiting = signal(0);
export const safeShelf = signal(true);
/// Forward clock when the server was last heard.
const heard = signal(performance.now());
const reached = signal(false);
let clockAhead_s = 0; // Server's clock minus this device's

export const age_s = computed(() => {
  tick.value;
  return Math.max(0, Math.round((performance.now() - heard.value) / 1000));
});
export const fresh = computed(() => reached.value && age_s.value < FRESH_S);
/// The server's clock, in seconds since 1970.
export function now_s(): number {
  tick.value;
  return Date.now() / 1000 + clockAhead_s;
}

const FRESH_S = 25; // Two heartbeats and a little
const ASK_AFTER_MS = 10_000; // Nothing heard for this long: ask, since a dead radio says nothing

function hear(): void {
  heard.value = performance.now();
  reached.value = true;
}

// ---- Answers some screen shows ----

type Held = { value: Signal<unknown>; error: Signal<string>; behind: Behind; tag: string | null; seq: Signal<number>; users: number; at: number; busy: boolean; again: boolean };
const held = new Map<string, Held>();

/// "true" while an answer does not hold yet what this device knows: facts came, or own ones are on
/// their way to a server that can be reached. Never while the radio is gone: then what is shown is
/// all there is, and its age is said. As aria-busy takes it.
export type Behind = ReadonlySignal<"true" | undefined>;

function holdNew(): Held {
  const value = signal<unknown>(null);
  const error = signal("");
  const seq = signal(0);
  const behind = computed(() => {
    const late = seq.value < newest.value || ownOnTheWay.value;
    return fresh.value && late && value.value !== null && !error.value ? "true" : undefined;
  });
  return { value, error, behind, tag: null, seq, users: 0, at: 0, busy: false, again: false };
}

async function renew(path: string, h: Held): Promise<void> {
  if (h.busy) {
    h.again = true;
    return;
  }
  h.busy = true;
  let known = 0;
  try {
    do {
      h.again = false;
      known = newest.value;
      const got = await get<unknown>(path, h.tag);
      const { body } = got;
      hear();
      h.tag = got.tag;
      batch(() => {
        h.seq.value = got.seq;
        h.error.value = "";
        if (body !== null) h.value.value = body;
      });
    } while (h.again && h.users > 0);
  } catch (e) {
    if (e instanceof NoRadio) reached.value = false;
    else if (e instanceof Refused) {
      hear();
      if (e.status === 401) needsJoin.value = true;
      h.error.value = e.say || String(e.status);
      if (e.status !== 401 && e.status < 500) h.seq.value = known; // The answer to this is no, until more is told
    } else throw e;
  } finally {
    h.busy = false;
  }
}

const current: Behind = signal(undefined);
const nothing: ReadonlySignal<number> = signal(0);

/// The server's answer to `path`, kept current while some screen uses it; null until it came. `seq`:
/// how much of the log is in it.
export function useAnswer<T>(path: string | null): { value: T | null; error: string; behind: Behind; seq: ReadonlySignal<number> } {
  const h = useMemo(() => {
    if (path === null) return null;
    let one = held.get(path);
    if (!one) {
      one = holdNew();
      held.set(path, one);
    }
    return one;
  }, [path]);
  useEffect(() => {
    if (!h || path === null) return;
    ++h.users;
    void renew(path, h);
    return () => {
      --h.users;
      h.at = performance.now();
      trim();
    };
  }, [h, path]);
  return { value: (h?.value.value as T | null) ?? null, error: h?.error.value ?? "", behind: h?.behind ?? current, seq: h?.seq ?? nothing };
}

// What no screen uses any more is kept a while: going back to a screen shows it at once.
const KEEP = 24;
function trim(): void {
  const idle = [...held].filter(([, h]) => h.users === 0).sort((a, b) => a[1].at - b[1].at);
  for (const [path] of idle.slice(0, Math.max(0, idle.length - KEEP))) held.delete(path);
}

// An answer that has all of the log in it is not asked again before the minute is over: what stands
// on a clock may have changed then.
let all = false;
let refreshTimer: ReturnType<typeof setTimeout> | undefined;
let refreshed = 0;
const SHOWN_MS = 40;
const CALM_MS = 250; // At most four times a second, however many facts come
export function refresh(every = true): void {
  all ||= every;
  if (refreshTimer !== undefined) return;
  const since = performance.now() - refreshed;
  // What came is shown first, then what follows from it is asked
  refreshTimer = setTimeout(
    () => {
      refreshTimer = undefined;
      refreshed = performance.now();
      for (const [path, h] of held) if (h.users > 0 && (all || h.seq.value < seq.value)) void renew(path, h);
      all = false;
    },
    Math.max(SHOWN_MS, CALM_MS - since),
  );
}

// ---- The log, as far as this device needs it ----

const LOG_LAST = 800; // A pass of 192 lines at three desks, and what is said meanwhile
export const log = signal<Told[]>([]);

// Facts come one by one; the log is put in order once for all of a burst
let came: Logged[] = [];
let sorting = false;
function take(l: Logged): void {
  came.push(l);
  if (sorting) return;
  sorting = true;
  setTimeout(() => {
    sorting = false;
    batch(() => {
      const ids = new Set(came.map((l) => l.id));
      log.value = logWith(log.value, came, LOG_LAST);
      if (pending.value.length) pending.value = pending.value.filter((p) => !ids.has(p.id) && (p.seq === null || p.seq > logged.value));
    });
    came = [];
  }, 0);
}

/// Seconds since a fact happened, by the server's clock.
export function toldAge_s(t: Told): number {
  return Math.max(0, now_s() - (t.at_s ?? now_s()));
}

// ---- Telling ----

export type Note = { key: number; kind: "good" | "bad" | "wait"; text: string; undo?: string };
export const notes = signal<Note[]>([]);
let noteKey = 0;
export function note(kind: Note["kind"], text: string, undo?: string): void {
  const key = ++noteKey;
  // One good word at a time: what was told before stands in the history
  const kept = notes.value.filter((n) => n.kind === "bad" || n.kind !== kind).slice(-2);
  notes.value = [...kept, undo === undefined ? { key, kind, text } : { key, kind, text, undo }];
  if (kind !== "bad") setTimeout(() => dropNote(key), undo === undefined ? 3000 : 6000);
}
export function dropNote(key: number): void {
  notes.value = notes.value.filter((n) => n.key !== key);
}

let queue: Queue | null = null;
const early: { id: string; fact: Fact }[] = [];
/// Facts whose screen shows by itself what became of them: no note, unless they are refused.
const quiet = new Set<string>();
/// Facts of this device that the log here does not have yet, in order; `seq` once the server has
/// them. Whoever counts the log and these misses no fact and counts none twice.
export const pending = signal<readonly { id: string; fact: Fact; seq: number | null }[]>([]);
/// Those no answer came for.
export const unanswered = computed(() => pending.value.filter((p) => p.seq === null));
/// How many no answer came for, from the tap on: on the disk, or on their way to it.
export const onTheWay = computed(() => waiting.value || unanswered.value.length);
const ownOnTheWay = computed(() => unanswered.value.some((p) => p.fact.verb !== "say" && p.fact.verb !== "seen"));
const logged = computed(() => log.value[log.value.length - 1]?.seq ?? 0);
/// How much of the log this device has heard of.
const newest = computed(() => Math.max(seq.value, logged.value));

/// What a fact that was written down says to the person who told it.
export type Said = { toldGood: string; toldWaits: string; refused: string };
let said: Said = { toldGood: "", toldWaits: "", refused: "" };

/// Tells a fact; what it is called is known at once, and it stands in `pending` until an answer comes.
/// A fact that brings its id (a tick, the same on every phone) keeps it.
export function tell(fact: Fact, quietly = false): string {
  const id = typeof fact["id"] === "string" ? fact["id"] : newId();
  if (quietly) quiet.add(id);
  pending.value = [...pending.value, { id, fact, seq: null }];
  if (queue) void queue.tell(fact, id);
  else early.push({ id, fact });
  if (!reached.value && !quietly) note("wait", said.toldWaits);
  return id;
}

/// Facts of this visit that the server would not take.
export const refusedIds = signal<readonly string[]>([]);

/// Ids of facts that count, in the log or on their way; and of those that do not any more.
export const toldIds = computed(() => new Set([...log.value.filter((t) => !t.void).map((t) => t.id), ...pending.value.map((p) => p.id)]));
export const goneIds = computed(() => {
  const undone = pending.value.filter((p) => p.fact.verb === "undo").map((p) => String(p.fact["fact"] ?? ""));
  return new Set([...refusedIds.value, ...undone, ...log.value.filter((t) => t.void).map((t) => t.id)]);
});

function answered(a: Answer, fact: Fact): void {
  const comes = a.is !== "refused" && a.seq !== null && a.seq > logged.value;
  pending.value = comes ? pending.value.map((p) => (p.id === a.id ? { ...p, seq: a.seq } : p)) : pending.value.filter((p) => p.id !== a.id);
  const silent = quiet.delete(a.id);
  if (a.is === "refused") {
    note("bad", a.say ? `${said.refused}: ${a.say}` : said.refused);
    refusedIds.value = [...refusedIds.value, a.id];
  } else if (silent) return;
  else if (!["say", "seen", "take", "done", "undo"].includes(fact.verb)) note("good", a.say || said.toldGood, a.id);
  else if (fact.verb === "undo") note("good", a.say);
}

// ---- The stream ----

let stream: EventSource | null = null;
let streamRetry: ReturnType<typeof setTimeout> | undefined;

function streamOpen(): void {
  if (stream || document.hidden || needsJoin.value) return;
  // The newest facts come again: they are the history this page shows
  const known = log.value[log.value.length - 1]?.seq ?? Math.max(0, seq.value - LOG_LAST);
  const s = new EventSource("/api/1/stream?after=" + known);
  stream = s;
  s.onopen = () => {
    hear();
    void queue?.pump();
  };
  s.addEventListener("hb", hear);
  s.addEventListener("fact", (e) => {
    hear();
    performance.mark("fact-came"); // make bench measures from here to the frame that shows it
    take(JSON.parse((e as MessageEvent<string>).data) as Logged);
  });
  s.addEventListener("now", (e) => {
    hear();
    seq.value = Math.max(seq.value, (JSON.parse((e as MessageEvent<string>).data) as { seq: number }).seq);
    refresh(false);
  });
  s.onerror = () => {
    if (s.readyState !== EventSource.CLOSED) return; // It tries again by itself
    streamClose();
    streamRetry = setTimeout(() => void wake(), 3000);
  };
}

function streamClose(): void {
  clearTimeout(streamRetry);
  stream?.close();
  stream = null;
}

/// Another show is served now: nothing of the one before counts.
function forget(): void {
  seq.value = 0;
  log.value = [];
  pending.value = unanswered.value;
  streamClose();
  for (const h of held.values()) {
    h.tag = null;
    h.seq.value = 0;
    h.value.value = null;
  }
}

/// Asks who this device is; with that, everything a screen shows.
export async function wake(): Promise<void> {
  try {
    const { body } = await get<Me>("me");
    hear();
    if (body) {
      if (me.value && me.value.show_id !== body.show_id) forget();
      me.value = body;
      seq.value = Math.max(seq.value, body.seq);
      if (body.clock_s) clockAhead_s = body.clock_s - Date.now() / 1000;
      needsJoin.value = body.needs_code && !body.joined;
    }
    if (!needsJoin.value) {
      refresh(false);
      streamOpen();
      void queue?.pump();
    }
  } catch (e) {
    if (e instanceof Refused && e.status === 401) needsJoin.value = true;
    else reached.value = false;
    clearTimeout(streamRetry);
    streamRetry = setTimeout(() => void wake(), 3000);
  }
}

export async function join(code: string, role: string): Promise<void> {
  await post("join", code ? { code, role } : { role });
  needsJoin.value = false;
  streamClose();
  await wake();
}

/// Seconds this device slept, when it just woke.
export const slept = signal(0);
let hiddenAt = 0;
let hiddenWall = 0;

function onVisible(): void {
  if (document.hidden) {
    hiddenAt = performance.now();
    hiddenWall = Date.now();
    streamClose();
  } else {
    const forward = performance.now() - hiddenAt;
    const wall = Date.now() - hiddenWall;
    // A forward clock may stand while the device sleeps; a wall clock that went back says nothing
    if (hiddenAt && wall > forward && wall < 24 * 3600e3) sleptMs += wall - forward;
    slept.value = hiddenAt ? Math.max(wall, forward) / 1000 : 0;
    reached.value = false;
    void wake();
  }
}

export async function storeStart(texts: Said): Promise<void> {
  said = texts;
  setInterval(() => {
    if (document.hidden) return;
    ++tick.value;
    if (performance.now() - heard.value > ASK_AFTER_MS && tick.value % 5 === 0) void wake();
    if (tick.value % 60 === 0) refresh();
    else if (tick.value % 3 === 0 && reached.value) refresh(false); // An answer may have been lost on its way
    if (waiting.value > 0 && tick.value % 4 === 0) void queue?.pump();
  }, 1000);
  document.addEventListener("visibilitychange", onVisible);
  addEventListener("online", () => void wake());
  addEventListener("pageshow", (e) => {
    if (e.persisted) void wake();
  });

  const { shelf, safe } = await shelfOpen();
  safeShelf.value = safe;
  const q = new Queue(shelf, phone, (facts) => post<Answers>("facts", { facts }), newId);
  q.onWaiting = (n) => (waiting.value = n);
  q.onAnswer = answered;
  q.onReach = (yes) => {
    reached.value = yes;
    if (yes) hear();
  };
  q.onSeq = (s) => {
    seq.value = Math.max(seq.value, s);
    refresh(false);
  };
  const kept = (await shelf.all()).map((k) => ({ id: k.id, fact: k.fact, seq: null }));
  pending.value = [...kept, ...early.map((e) => ({ ...e, seq: null }))];
  queue = q;
  waiting.value = kept.length;
  for (const { id, fact } of early.splice(0)) void q.tell(fact, id);
  await wake();
}

/// Whether this device may tell this sort of fact.
export function may(verb: string): boolean {
  const m = me.value;
  return m !== null && m.may.includes(verb);
}
