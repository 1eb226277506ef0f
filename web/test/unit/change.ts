// SPDX-License-Identifier: GPL-3.0-or-later
import { newsOf, personOf, seenOf, showOf, stepsNow, stepsOf, waitsFor } from "../../src/change";
import type { Change, ChangeStep } from "../../src/wire";
import { check, same } from "./check";

const step = (key: string, more: Partial<ChangeStep> = {}): ChangeStep => ({
  step: key, does: "plug", person: 1, who: "stage patch", at: "box B", desk: null, box: "B", socket: 3, line: 19, source: "bass", from: null,
  say: `do ${key}`, why: "", caution: "", seconds: 10, after: [], ready: true, done: false, done_by: null, lines: [], channels: [], tick: { verb: "change", id: "t-" + key }, ...more,
});
const change = (steps: ChangeStep[]): Change => ({
  act: "act3", from: "act2", plugs_moved: 1, kept: 0, steps, steps_done: 0, seconds: 10, deadline: null, fits: true, leave_out: [], left_s: 0, short: [], notes: [],
  people: [
    { person: 1, who: "stage patch", name: "stage patch", at: "split", desk: null, steps: ["B3", "B4"], done: 0, seconds: 20 },
    { person: 2, who: "engineer", name: "engineer", at: "tower", desk: "foh", steps: ["mute foh"], done: 0, seconds: 15 },
  ],
});
const none = new Set<string>();
const mute = (more: Partial<ChangeStep> = {}): ChangeStep => step("mute foh", { person: 2, desk: "foh", does: "mute", source: null, ...more });

check("a tick counts from the tap on, and what waited for it is ready", () => {
  const c = change([mute(), step("B3", { after: ["mute foh"], ready: false }), step("B4")]);
  same(stepsNow(c, none, none).map((s) => [s.done, s.ready]), [[false, true], [false, false], [false, true]]);
  same(stepsNow(c, new Set(["t-mute foh"]), none).map((s) => [s.done, s.ready]), [[true, false], [false, true], [false, true]]);
});
check("a tick taken back is none, the box's own too", () => {
  const c = change([step("B3"), step("B4", { done: true, done_by: { role: "", place: "stage", at_s: 1, id: "x" }, tick: null })]);
  same(stepsNow(c, new Set(["t-B3"]), new Set(["t-B3", "x"])).map((s) => s.done), [false, false]);
});
check("what a step waits for", () => {
  const steps = [mute(), step("B4", { done: true }), step("B3", { after: ["mute foh", "B4"] })];
  same(waitsFor(steps[2] as ChangeStep, steps).map((s) => s.step), ["mute foh"]);
});
check("one person's steps, in working order; a desk's device shows the desk's", () => {
  const c = change([step("B4"), mute(), step("B3")]);
  same(stepsOf(c, c.steps, 1).map((s) => s.step), ["B3", "B4"]);
  same([personOf(c, "foh", 0), personOf(c, "stage", 0), personOf(c, "stage", 1), personOf(c, "foh", 1), personOf(c, "stage", 7)], [2, 0, 1, 1, 0]);
});
check("news: new and gone of one's own; not what is done, nor what went to another hand", () => {
  const seen = seenOf([step("B3"), step("B4"), step("B5"), step("C1", { person: 2 })]);
  const now = [step("B3", { done: true, say: "done so" }), step("B4", { person: 2 }), step("B3 again", { source: "keys" }), step("C9", { person: 2 })];
  const news = newsOf(seen, now, 1);
  same([news.fresh.map((s) => s.step), news.gone], [["B3 again"], ["do B5"]]);
});
check("news: the same socket for another source is other work", () => {
  const news = newsOf(seenOf([step("B3")]), [step("B3", { source: "keys", say: "plug keys" })], 1);
  same([news.fresh.length, news.gone], [1, ["do B3"]]);
});
check("the step that stands there stays, unless it cannot be done and another can", () => {
  const [a, b] = [step("B3", { ready: false }), step("B4")];
  same([showOf([a, b], "B4"), showOf([a, b], "B3"), showOf([a, b], ""), showOf([a], ""), showOf([], "B3")].map((s) => s?.step), ["B4", "B4", "B4", "B3", undefined]);
  same(showOf([step("B3"), step("B4")], "B4")?.step, "B4");
});
check("news: more lines to a word a desk has given are no loss", () => {
  const seen = seenOf([mute({ step: "mute foh 2", lines: [41], say: "mute 41" })]);
  same(newsOf(seen, [mute({ done: true, lines: [1, 41], say: "mute 1 and 41" })], 2).gone, []);
});
