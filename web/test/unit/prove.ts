// SPDX-License-Identifier: GPL-3.0-or-later
import { countOf, crossedOf, gapsBefore, nextOf, pace_s, type Entry, type Mark } from "../../src/pass";
import { marksAt, ofLog, ofWaiting, passOf, timesOf, type Pass, type Word } from "../../src/prove";
import type { Fact, Logged, ProveLine } from "../../src/wire";
import { check, same } from "./check";

const ORDER = [1, 2, 3, 4, 5, 6, 7, 8];
const marks = (all: Record<number, Mark | [Mark, string]>): Map<number, Entry> =>
  new Map(Object.entries(all).map(([l, m]): [number, Entry] => [Number(l), { line: Number(l), mark: Array.isArray(m) ? m[0] : m, word: Array.isArray(m) ? m[1] : "" }]));

// By hand: what has an answer, where one comes from, where one goes to
const NEXT: readonly [string, Record<number, Mark>, number, number][] = [
  ["nothing answered: the first", {}, 0, 1],
  ["one after the other", { 1: "good", 2: "good" }, 2, 3],
  ["what a second phone answered is passed over", { 1: "good", 2: "good", 3: "good" }, 1, 4],
  ["jumped ahead: on from there", { 1: "good", 6: "good" }, 6, 7],
  ["at the end: back to what was left out", { 1: "good", 6: "good", 7: "good", 8: "bad" }, 8, 2],
  ["put off is not gone to by itself", { 1: "good", 2: "later", 3: "good", 4: "good", 5: "good", 6: "good", 7: "good", 8: "good" }, 8, 0],
  ["a line of another box says nothing", { 1: "good" }, 99, 2],
];
for (const [name, answered, from, want] of NEXT) check("next: " + name, () => same(nextOf(ORDER, marks(answered), from), want));

check("gaps: what lies open before, not what was put off", () => {
  same(gapsBefore(ORDER, marks({ 1: "good", 3: "later", 4: "bad" }), 7), [2, 5, 6]);
  same(gapsBefore(ORDER, marks({ 1: "good" }), 2), []);
  same(gapsBefore(ORDER, marks({}), 99), []);
});
check("two lines seen on each other, each pair once", () => {
  same(crossedOf(marks({ 7: ["bad", "on 8"], 8: ["bad", "on 7"], 1: ["bad", "on 2"], 2: "good", 3: ["bad", "on 3"] })), [[7, 8]]);
});
check("counts", () => {
  same(countOf(ORDER, marks({ 1: "good", 2: "bad", 3: "later", 4: "good" })), { good: 2, bad: [2], later: [3], open: 4 });
});
check("pace: the middle step, a talk in between left away; nothing from too little", () => {
  same(pace_s([0, 1, 2, 62, 63]), 1);
  same(pace_s([0, 3, 8]), null);
  same(pace_s([5, 5, 5, 5, 5]), null);
});

let nth = 0;
const logged = (kind: string, body: Record<string, unknown>, line = 0): Word =>
  ofLog({ seq: ++nth, id: "l" + nth, at_s: 100 + nth, role: "stage", place: "stage", kind, line, say: "", void: false, body } as Logged);
const waits = (fact: Fact): Word => ofWaiting("w" + ++nth, fact);
const row = (line: number, check: string, reading: string, more: Partial<ProveLine> = {}): ProveLine => ({ line, box: "A", socket: line, source: "", spare: false, is: "left", found: "", fact: null, good: { verb: "saw", line, check, reading, at: "socket" }, ...more });
const LAMPS = [1, 2, 3, 4, 5, 6].map((l) => row(l, "lamps", "GG."));
const EAR = [1, 2, 3, 4, 5, 6].map((l) => row(l, "level", "normal"));
const begun = (how: string, act = ""): Word => logged("pass_begun", { how, act });
const reading = (line: number, check: string, word: string, at: string, act = ""): Word => logged("reading", { line, check, reading: word, at, act }, line);
const all = (m: Map<number, Entry>): [number, Mark][] => [...m.values()].map((e): [number, Mark] => [e.line, e.mark]).sort((a, b) => a[0] - b[0]);

check("a pass: from the newest beginning on, what waits counts as told", () => {
  const p = passOf([
    begun("microphone"),
    reading(1, "level", "normal", "foh"),
    begun("lamp"),
    logged("ready", { desk: "foh" }),
    reading(1, "lamps", "GG.", "socket"),
    reading(2, "lamps", "...", "socket"),
    waits({ verb: "saw", line: 3, check: "lamps", reading: "GG.", at: "socket", act: "bare lines" }),
    waits({ verb: "ready", at: "mon", act: "bare lines" }),
    waits({ verb: "skip", line: 4, act: "bare lines" }),
  ]) as Pass;
  same([p.how, p.act, p.ready], ["lamp", "bare lines", ["foh", "mon"]]);
  same(all(marksAt(p, "socket", LAMPS)), [[1, "good"], [2, "bad"], [3, "good"], [4, "later"]]);
});
check("a pass begun on this phone without radio is a pass", () => {
  same(passOf([waits({ verb: "pass", what: "volts", act: "bare lines" })])?.how, "volts");
  same(passOf([]), null);
  same(passOf([begun("by a way of tomorrow")]), null);
});
check("each desk hears for itself; another act, another check and no hum say nothing", () => {
  const p = passOf([
    begun("heard", "act2"),
    reading(1, "level", "normal", "foh", "act2"),
    reading(2, "level", "normal", "mon", "act2"),
    reading(3, "level", "normal", "foh", "act3"),
    reading(4, "hum", "none", "foh", "act2"),
    reading(5, "lamps", "GG.", "socket", "act2"),
    reading(6, "hum", "loud", "foh", "act2"),
  ]) as Pass;
  same(all(marksAt(p, "foh", EAR)), [[1, "good"], [6, "bad"]]);
  same(all(marksAt(p, "mon", EAR)), [[2, "good"]]);
});
check("the last word counts; put off gives way to any other word", () => {
  const p = passOf([begun("lamp"), logged("skipped", { line: 1 }, 1), reading(1, "lamps", "...", "socket"), reading(1, "lamps", "GG.", "socket"), reading(2, "lamps", "GG.", "socket"), logged("skipped", { line: 2 }, 2)]) as Pass;
  same(all(marksAt(p, "socket", LAMPS)), [[1, "good"], [2, "good"]]);
  same(timesOf(p).length, 3);
});
check("good is what a line in order shows there", () => {
  const p = passOf([begun("lamp"), reading(1, "lamps", "GG.", "socket"), reading(2, "lamps", "GGG", "socket")]) as Pass;
  same(all(marksAt(p, "socket", [row(1, "lamps", "GG."), row(2, "lamps", "GGG")])), [[1, "good"], [2, "good"]]);
});
check("what the box had counts too, but not what was taken back or is of the pass before", () => {
  const p = passOf([begun("lamp"), reading(3, "lamps", "...", "socket")]) as Pass;
  const lines = [
    row(1, "lamps", "GG.", { is: "good", fact: "beyond the log" }),
    row(2, "lamps", "GG.", { is: "bad", fact: "before", found: "contact 3 open" }),
    row(3, "lamps", "GG.", { is: "bad", fact: p.words[0]?.id ?? "", found: "no phantom" }),
    row(4, "lamps", "GG.", { is: "skipped", fact: "beyond the log too" }),
  ];
  const m = marksAt(p, "socket", lines, new Set(["before", p.words[0]?.id ?? ""]));
  same(all(m), [[1, "good"], [3, "bad"], [4, "later"]]);
  same(m.get(3)?.found, "no phantom");
});
check("copper is written down as bare whatever act the pass is of", () => {
  const p = passOf([begun("lamp", "act2"), logged("ready", { desk: "foh", act: "act2" }), reading(1, "lamps", "GG.", "socket")]) as Pass;
  same([p.ready, all(marksAt(p, "socket", LAMPS))], [["foh"], [[1, "good"]]]);
});
