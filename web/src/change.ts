// SPDX-License-Identifier: GPL-3.0-or-later
//
// A change from one act to the next, as this device shows it: the box's plan, with what was ticked
// here and on other phones since it was asked; and what a new plan has that the one before had not.

import type { Change, ChangeOffer, ChangeStep, Tick, ToldBy } from "./wire";

/// The steps with every tick that is known: `told` are the ids of facts that count (in the log, or
/// waiting here), `gone` those of facts taken back.
export function stepsNow(change: Change, told: ReadonlySet<string>, gone: ReadonlySet<string>): ChangeStep[] {
  const by = (fact: Tick | null): ToldBy | null => (fact && told.has(fact.id) && !gone.has(fact.id) ? { role: "", place: "", at_s: null, id: fact.id } : null);
  const gates = new Set(change.steps.filter(isGate).map((s) => s.step));
  const takes = change.people.flatMap((p) => (by(p.offer?.tick ?? null) ? (p.offer?.steps ?? []).map((step) => ({ step, person: p.person, taken: by(p.offer?.tick ?? null) })) : []));
  const now = change.steps.map((s) => {
    if (s.done) return s.done_by && gone.has(s.done_by.id) ? { ...s, done: false, done_by: null } : s;
    const [tick, heard, on, take] = [by(s.tick), by(s.heard), by(s.anyway), takes.find((t) => t.step === s.step)];
    const open = on ? { after: s.after.filter((a) => !gates.has(a)), gone_on: on, anyway: null } : {};
    return { ...s, ...open, ...(tick || heard ? { done: true, done_by: tick ?? heard, heard_only: !tick } : {}), ...(take ? { person: take.person, taken: take.taken } : {}) };
  });
  const done = new Set(now.filter((s) => s.done).map((s) => s.step));
  return now.map((s) => ({ ...s, ready: !s.done && s.after.every((a) => done.has(a)) }));
}

/// A desk's word that hands wait for.
export function isGate(step: ChangeStep): boolean {
  return !step.done && step.desk !== null && (step.does === "mute" || step.does === "phantom off");
}

/// What a step waits for, by its words: steps that must be done before and are not.
export function waitsFor(step: ChangeStep, steps: readonly ChangeStep[]): ChangeStep[] {
  return steps.filter((s) => step.after.includes(s.step) && !s.done);
}

/// The steps of one person in working order, what was just taken over at its end.
export function stepsOf(change: Change, steps: readonly ChangeStep[], person: number): ChangeStep[] {
  const p = change.people.find((one) => one.person === person);
  const order = new Set([...(p?.steps ?? []), ...(p?.offer?.steps ?? [])]);
  return [...order].map((key) => steps.find((s) => s.step === key)).filter((s): s is ChangeStep => s !== undefined && s.person === person);
}

/// What a person who is done could take from others, as long as nobody began it.
export function offerOf(change: Change, steps: readonly ChangeStep[], person: number): ChangeOffer | null {
  const offer = change.people.find((p) => p.person === person)?.offer ?? null;
  const open = (key: string): boolean => steps.some((s) => s.step === key && !s.done && s.person !== person);
  return offer && offer.steps.every(open) ? offer : null;
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

/// What of one person's work is there now and was not (of what another had: unless they took it
/// themselves), what is in nobody's any more, and what another hand has now. What is done is none.
export function newsOf(seen: Seen, steps: readonly ChangeStep[], person: number): { fresh: ChangeStep[]; gone: string[]; went: ChangeStep[] } {
  const hadBy = (s: ChangeStep): number => seen[workOf(s)]?.person ?? 0;
  const now = new Set(steps.flatMap((s) => [workOf(s), s.say]));
  const done = new Set(steps.filter((s) => s.done).map(keyOf));
  return {
    fresh: steps.filter((s) => s.person === person && !s.done && hadBy(s) !== person && !s.taken),
    went: steps.filter((s) => s.person !== person && !s.done && hadBy(s) === person),
    gone: Object.entries(seen)
      .filter(([work, was]) => was.person === person && !now.has(work) && !now.has(was.say) && !done.has(was.key))
      .map(([, was]) => was.say),
  };
}

/// The step to show large: the one that was chosen; else the one that stood there, as long as it can be done or nothing else can,
/// so that no other slips under a finger; else the first that waits for nobody.
export function showOf(todo: readonly ChangeStep[], held: string, chosen = ""): ChangeStep | undefined {
  const picked = todo.find((s) => s.step === chosen);
  if (picked) return picked;
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
