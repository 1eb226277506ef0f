// SPDX-License-Identifier: GPL-3.0-or-later
//
// A change from one act to the next, as this device shows it: the box's plan, with what was ticked
// here and on other phones since it was asked; and what a new plan has that the one before had not.

import type { Change, ChangeStep } from "./wire";

/// The steps with every tick that is known: `told` are the ids of facts that count (in the log, or
/// waiting here), `gone` those of facts taken back.
export function stepsNow(change: Change, told: ReadonlySet<string>, gone: ReadonlySet<string>): ChangeStep[] {
  const now = change.steps.map((s) => {
    if (s.done) return s.done_by && gone.has(s.done_by.id) ? { ...s, done: false, done_by: null } : s;
    return s.tick && told.has(s.tick.id) && !gone.has(s.tick.id) ? { ...s, done: true, done_by: { role: "", place: "", at_s: null, id: s.tick.id } } : s;
  });
  const done = new Set(now.filter((s) => s.done).map((s) => s.step));
  return now.map((s) => ({ ...s, ready: !s.done && s.after.every((a) => done.has(a)) }));
}

/// What a step waits for, by its words: steps that must be done before and are not.
export function waitsFor(step: ChangeStep, steps: readonly ChangeStep[]): ChangeStep[] {
  return steps.filter((s) => step.after.includes(s.step) && !s.done);
}

/// The steps of one person in working order.
export function stepsOf(change: Change, steps: readonly ChangeStep[], person: number): ChangeStep[] {
  const order = change.people.find((p) => p.person === person)?.steps ?? [];
  return order.map((key) => steps.find((s) => s.step === key)).filter((s): s is ChangeStep => s !== undefined);
}

/// What a step is about, so that a step with the same name and other work is another one.
export function workOf(s: ChangeStep): string {
  const channels = s.channels.map((c) => `${c.channel}:${c.input}:${c.name}:${c.phantom}:${c.pad}`).join(",");
  return [s.step, s.does, s.source ?? "", s.from ?? "", s.lines.join("."), channels].join("|");
}

/// A plan as somebody has seen it: each step, its words, whose it was.
export type Seen = Record<string, { say: string; person: number; key: string }>;
/// What a desk says is one thing, however many times more lines come to it.
const keyOf = (s: ChangeStep): string => (s.desk ? `${s.does} ${s.desk}` : s.step);
export function seenOf(steps: readonly ChangeStep[]): Seen {
  return Object.fromEntries(steps.map((s) => [workOf(s), { say: s.say, person: s.person, key: keyOf(s) }]));
}

/// What of one person's work is there now and was in nobody's, and what is in nobody's any more.
/// What only went to another hand is no news, and what is done neither.
export function newsOf(seen: Seen, steps: readonly ChangeStep[], person: number): { fresh: ChangeStep[]; gone: string[] } {
  const now = new Set(steps.flatMap((s) => [workOf(s), s.say]));
  const done = new Set(steps.filter((s) => s.done).map(keyOf));
  return {
    fresh: steps.filter((s) => s.person === person && !s.done && !(workOf(s) in seen)),
    gone: Object.entries(seen)
      .filter(([work, was]) => was.person === person && !now.has(work) && !now.has(was.say) && !done.has(was.key))
      .map(([, was]) => was.say),
  };
}

/// The step to show large: the one that stood there, as long as it can be done or nothing else can,
/// so that no other slips under a finger; else the first that waits for nobody.
export function showOf(todo: readonly ChangeStep[], held: string): ChangeStep | undefined {
  const same = todo.find((s) => s.step === held);
  return same?.ready ? same : (todo.find((s) => s.ready) ?? same ?? todo[0]);
}

/// Seconds of what is left of some steps.
export function left_s(steps: readonly ChangeStep[]): number {
  return steps.reduce((s, x) => s + (x.done ? 0 : x.seconds), 0);
}

/// Whose work this device shows: the desk's it stands at, else the one that was picked.
export function personOf(change: Change, place: string, picked: number): number {
  const desk = change.people.find((p) => p.desk === place);
  if (desk && !picked) return desk.person;
  return change.people.some((p) => p.person === picked) ? picked : 0;
}
