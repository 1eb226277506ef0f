// SPDX-License-Identifier: GPL-3.0-or-later
import { isGate, newsOf, offerOf, personOf, seenOf, showOf, stepsNow, stepsOf, waitsFor } from "../../src/change";
import type { Change, ChangeStep } from "../../src/wire";
import { check, same } from "./check";

const step = (key: string, more: Partial<ChangeStep> = {}): ChangeStep => ({
  step: key, does: "plug", person: 1, who: "stage patch", at: "box B", desk: null, box: "B", socket: 3, line: 19, source: "bass", from: null,
  say: `do ${key}`, why: "", caution: "", seconds: 10, after: [], ready: true, done: false, done_by: null, heard_only: false, gone_on: null, taken: null, lines: [], channels: [],
  tick: { verb: "change", id: "t-" + key }, heard: null, anyway: null, ...more,
});
const change = (steps: ChangeStep[]): Change => ({
  act: "act3", from: "act2", plugs_moved: 1, kept: 0, steps, steps_done: 0, seconds: 10, deadline: null, fits: true, leave_out: [], left_s: 0, short: [], notes: [],
  people: [
    { person: 1, who: "stage patch", name: "stage patch", at: "split", desk: null, steps: ["B3", "B4"], done: 0, seconds: 20, offer: null },
    { person: 2, who: "engineer", name: "engineer", at: "tower", desk: "foh", steps: ["mute foh"], done: 0, seconds: 15, offer: null },
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
check("news: new and gone of one's own, what another hand has now; not what is done", () => {
  const seen = seenOf([step("B3"), step("B4"), step("B5"), step("C1", { person: 2 })]);
  const now = [step("B3", { done: true, say: "done so" }), step("B4", { person: 2 }), step("B3 again", { source: "keys" }), step("C9", { person: 2 })];
  const news = newsOf(seen, now, 1);
  same([news.fresh.map((s) => s.step), news.gone, news.went.map((s) => s.step)], [["B3 again"], ["do B5"], ["B4"]]);
  // Given to the other by a new plan it is new there; taken by a tap of their own it is not
  same(newsOf(seen, now, 2).fresh.map((s) => s.step), ["B4", "C9"]);
  const taken = { role: "", place: "", at_s: null, id: "t" };
  same(newsOf(seen, [step("B4", { person: 2, taken })], 2).fresh.length, 0);
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
check("a desk heard saying so opens the steps; going on anyway opens one and leaves the desk's word open", () => {
  const heard = { verb: "change", id: "h-1" };
  const anyway = { verb: "change", id: "a-1" };
  const c = change([mute({ heard }), step("B3", { after: ["mute foh"], ready: false, anyway }), step("B4", { after: ["mute foh"], ready: false })]);
  const open = (told: string[], gone: string[] = []) => stepsNow(c, new Set(told), new Set(gone)).map((s) => [s.done, s.ready]);
  same(open(["h-1"]), [[true, false], [false, true], [false, true]]);
  same(open(["a-1"]), [[false, true], [false, true], [false, false]]);
  same(open(["a-1"], ["a-1"]), [[false, true], [false, false], [false, false]]);
  same(stepsNow(c, new Set(["h-1"]), none)[0]?.heard_only, true);
  same(c.steps.map(isGate), [true, false, false]);
});
check("what others have not begun is offered, and taken it is one's own until it is given back", () => {
  const c = change([step("B3", { done: true }), step("C1", { person: 2 }), step("C2", { person: 2 })]);
  const [one, two] = c.people;
  if (!one || !two) throw new Error("two people");
  one.steps = ["B3"];
  one.offer = { steps: ["C1"], whose: "engineer", saves_s: 30, say: "take C1?", tick: { verb: "change", id: "o-1" } };
  two.steps = ["C1", "C2"];
  const of = (told: string[], gone: string[], person: number) => stepsOf(c, stepsNow(c, new Set(told), new Set(gone)), person).map((s) => s.step);
  same([of([], [], 1), of([], [], 2)], [["B3"], ["C1", "C2"]]);
  same([of(["o-1"], [], 1), of(["o-1"], [], 2)], [["B3", "C1"], ["C2"]]);
  same(of(["o-1"], ["o-1"], 1), ["B3"]);
  same([offerOf(c, stepsNow(c, none, none), 1)?.steps, offerOf(c, stepsNow(c, none, none), 2)], [["C1"], null]);
  same(offerOf(c, stepsNow(c, new Set(["t-C1"]), none), 1), null);
});
check("a step chosen by its row stands there though it waits", () => {
  same(showOf([step("B3"), step("B4", { ready: false })], "B3", "B4")?.step, "B4");
  same(showOf([step("B3")], "B3", "B4")?.step, "B3");
});
