// SPDX-License-Identifier: GPL-3.0-or-later
//
// A pass: lines gone through socket by socket, an answer each. Which comes next, what was left out
// on the way, which two were found in each other's place. Nothing here waits for the server: an
// answer counts from the tap on, and is the same answer when the log brings it back.
//
//   socket   1  2  3  4  5  6  7  8
//   answer   o  o  x  .  .  o  -  ^        o good   x not good   . left out   - later   ^ here

export type Mark = "good" | "bad" | "later";
/// `word` is what was said ("on 8", "nothing"), `found` what that means where the box has told it.
export type Entry = { line: number; mark: Mark; word: string; found?: string };

/// The line to go to after `from`: the next in this order without an answer, then whatever was left
/// out before it; 0 when every line has one. What was put off till later is not gone to by itself.
export function nextOf(order: readonly number[], marks: ReadonlyMap<number, Entry>, from: number): number {
  const i = order.indexOf(from);
  return [...order.slice(i + 1), ...order.slice(0, i + 1)].find((l) => !marks.has(l)) ?? 0;
}

/// What lies without an answer before `at`.
export function gapsBefore(order: readonly number[], marks: ReadonlyMap<number, Entry>, at: number): number[] {
  const i = order.indexOf(at);
  return i < 0 ? [] : order.slice(0, i).filter((l) => !marks.has(l));
}

/// Lines seen on each other: 7 on 8 and 8 on 7. Each pair once, the smaller first.
export function crossedOf(marks: ReadonlyMap<number, Entry>): [number, number][] {
  const on = (l: number): number => Number(/^on (\d+)$/.exec(marks.get(l)?.word ?? "")?.[1] ?? 0);
  const pairs: [number, number][] = [];
  for (const l of marks.keys()) if (l < on(l) && on(on(l)) === l) pairs.push([l, on(l)]);
  return pairs.sort((a, b) => a[0] - b[0]);
}

export type Count = { good: number; bad: number[]; later: number[]; open: number };
export function countOf(order: readonly number[], marks: ReadonlyMap<number, Entry>): Count {
  const count: Count = { good: 0, bad: [], later: [], open: 0 };
  for (const l of order) {
    const mark = marks.get(l)?.mark;
    if (mark === "good") ++count.good;
    else if (mark === "bad") count.bad.push(l);
    else if (mark === "later") count.later.push(l);
    else ++count.open;
  }
  return count;
}

/// Seconds a line from the times of answers, in order: the middle of the steps between them, so that
/// one talk in between does not count; null before there are four.
export function pace_s(times_s: readonly number[]): number | null {
  const steps = times_s.slice(1).map((t, i) => t - (times_s[i] ?? t)).filter((s) => s > 0);
  if (steps.length < 3) return null;
  steps.sort((a, b) => a - b);
  return steps[steps.length >> 1] ?? null;
}
