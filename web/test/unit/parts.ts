// SPDX-License-Identifier: GPL-3.0-or-later
import { messagesFor, messagesOf } from "../../src/messages";
import { cellsOf, columnsOf, sortOf } from "../../src/parts";
import { placeOf } from "../../src/route";
import { left, minuteOf } from "../../src/time";
import { isMine, walkOrder, boxOf } from "../../src/walk";
import { logWith, toldSay } from "../../src/told";
import { drawn, stateOf, tenths } from "../../src/view/forecast";
import type { LineRow, Logged, Step } from "../../src/wire";
import { check, same } from "./check";

const SORTS: readonly [string, string][] = [
  ["the source (vocal lead)", "source"],
  ["the pad of bass DI", "in-line"],
  ["something left in line between kick in and A1", "in-line"],
  ["the cable in D5", "cable"],
  ["the plug meant for D5", "plug"],
  ["socket D5", "socket"],
  ["preamplifier E7", "preamp"],
  ["the network lead of box E", "lead"],
  ["tail D", "tail"],
  ["split 45, mon side", "split"],
  ["multicore pair 45", "pair"],
  ["house desk input 45", "desk"],
  ["somewhere else", "else"],
];
for (const [part, want] of SORTS) check("sort of " + part, () => same(sortOf({ part, state: "proven" }), want));

const row = (more: Partial<LineRow>): LineRow => ({ line: 1, source: "x", box: "A", socket: 1, spare: false, state: "unproven", at: {}, not_seen: [], say: "", ...more });

check("columns go from source to desk; two sides of a split are one column; the worst counts", () => {
  const line = row({
    at: { foh: "bad", mon: "unproven" },
    parts: [
      { part: "house desk input 1", state: "unproven" },
      { part: "monitor desk input 1", state: "suspect" },
      { part: "split 1, foh side", state: "unproven" },
      { part: "split 1, mon side", state: "suspect" },
      { part: "the source (x)", state: "proven" },
    ],
  });
  const desks = ["foh", "mon"];
  const columns = columnsOf([line], desks);
  same(columns.map((c) => c.key), ["source", "split", "desk foh", "desk mon"]);
  same(cellsOf(line, columns, desks), ["proven", "suspect", "bad", "suspect"]);
});

check("a line without a part leaves its column empty", () => {
  const a = row({ parts: [{ part: "tail A", state: "unproven" }] });
  const b = row({ line: 2, parts: [{ part: "socket A2", state: "unproven" }] });
  const columns = columnsOf([a, b], []);
  same(cellsOf(a, columns, []), [null, "unproven"]);
});

const step = (at: string, when = "now", line = 1): Step => ({ line, who: "", at, does: "check", check: "look", say: at, why: "", caution: "", seconds: 1, expected_s: 1, chance: 0, readings: [], reading_says: [], mute: false, unplug: [], lines: [line], when, listens: null });
const BOXES = ["A", "B", "C", "D"];

check("walking order: from where I stand, box by box, socket by socket; instead last", () => {
  const steps = [step("A6"), step("C10"), step("C2"), step("B1"), step("D1", "instead"), step("tail D")];
  same(walkOrder(steps, BOXES, "C").map((s) => s.at), ["C2", "C10", "tail D", "A6", "B1", "D1"]);
});
check("box of a place", () => {
  same(["A6", "A6/mic", "tail C", "box D", "foh", "foh 33", "pair 22"].map((p) => boxOf(p, BOXES)), ["A", "A", "C", "D", "", "", ""]);
});
check("whose step is whose", () => {
  const desks = ["foh", "mon"];
  same(isMine("foh", "foh", desks), true);
  same(isMine("foh 33", "foh", desks), true);
  same(isMine("foh", "stage", desks), false);
  same(isMine("A6", "stage", desks), true);
  same(isMine("A6", "foh", desks), false);
  same(isMine("A6", "", desks), false);
});

check("addresses", () => {
  same(placeOf("#/line/45"), { at: "line", line: 45 });
  same(placeOf("#/line/x"), { at: "lines", box: "" });
  same(placeOf("#/lines/D"), { at: "lines", box: "D" });
  same(placeOf(""), { at: "lines", box: "" });
  same(placeOf("#/prove/A%2FB"), { at: "prove", box: "A/B" });
});

let nth = 0;
const told = (more: Partial<Logged>): Logged => ({ seq: ++nth, id: String(nth), at_s: 0, role: "house desk", place: "foh", kind: "message", line: null, say: "", void: false, body: {}, ...more });
check("messages: for my place and for all, not my own; seen by me is seen", () => {
  const log = logWith(
    [],
    [
      told({ id: "1", body: { to: "stage", text: "one" } }),
      told({ id: "2", place: "stage", body: { to: "foh", text: "two" } }),
      told({ id: "3", body: { to: "all", text: "three" } }),
      told({ id: "4", kind: "message_seen", place: "stage", body: { id: "1" } }),
      told({ id: "5", body: { to: "mon", text: "five" } }),
      told({ id: "6", body: { to: "stage", text: "six" } }),
      told({ id: "7", kind: "voided", body: { id: "6" } }),
    ],
    99,
  );
  same(messagesFor(log, "stage").map((m) => [m.text, m.seenHere]), [["one", true], ["three", false]]);
  same(messagesOf(log, "foh").find((m) => m.id === "1")?.seenBy, ["stage"]);
});

check("the log: in order, each once, the newest kept, what was taken back marked", () => {
  const a = told({ id: "a", seq: 10, kind: "reading", line: 45, body: { check: "level", reading: "nothing", at: "foh" } });
  const b = told({ id: "b", seq: 11, kind: "reading", line: 45, body: { check: "hum", reading: "none", at: "foh" } });
  const undo = told({ id: "c", seq: 12, kind: "voided", body: { id: "a" } });
  let log = logWith([], [b, a], 99);
  same(log.map((t) => [t.id, t.void, t.line]), [["a", false, 45], ["b", false, 45]]);
  log = logWith(log, [undo, a], 99);
  same(log.map((t) => [t.id, t.void]), [["a", true], ["b", false], ["c", false]]);
  same(logWith(log, [], 2).map((t) => t.id), ["b", "c"]);
  same(toldSay(logWith([], [a], 9)[0]!), "nothing arrives (house desk)");
});

check("times of the day", () => {
  same([minuteOf("15:35"), minuteOf("9:05"), minuteOf(""), minuteOf(null)], [935, 545, null, null]);
  same([left(9.9), left(61), left(0)], ["9 min", "1:01 h", "0 min"]);
});

check("a forecast is said in tenths and has a shape", () => {
  same([0.01, 0.05, 0.5, 0.74, 0.95, 0.96, 1].map((c) => `${tenths(c).before} ${tenths(c).n}`.trim()), ["less than 1", "1", "5", "7", "9", "better than 9", "better than 9"]);
  same([0.9, 0.8, 0.6, 0.3].map((chance) => stateOf({ ready: false, chance })), ["unproven", "unproven", "suspect", "bad"]);
  same([stateOf({ ready: true, chance: null }), stateOf({ ready: false, chance: null })], ["proven", "unused"]);
});

check("a band is drawn from its first moment to its last, the doors where they are", () => {
  const points = [
    { at_s: 0, low_s: 1000, high_s: 2000 },
    { at_s: 600, low_s: 1200, high_s: 1400 },
  ];
  // By hand: 1000 to 2000 and 6 in 100 of the span on both sides: 940 to 2060; 1500 is half way up
  const at = drawn(points, 1500);
  same(at?.low.map(([x]) => x), [0, 100]);
  same(at?.by, 50);
  same(at?.high[0]?.[1].toFixed(3), (100 - (100 * 1060) / 1120).toFixed(3));
  same([drawn(points, 90000)?.by, drawn(points, 90000)?.isOff, drawn(points, -9000)?.by, drawn(points, null)?.by, drawn([], 1)], [0, true, 100, null, null]);
});
