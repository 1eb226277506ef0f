// SPDX-License-Identifier: GPL-3.0-or-later
//
// One person's steps in walking order: what is at the place where he stands comes first, then box
// by box; and whose place is whose.

import type { Step } from "./wire";

/// The box of a place: "A" of "A6", "A6/mic" and "tail A"; "" at a desk.
export function boxOf(place: string, boxes: readonly string[]): string {
  const at = place.replace(/^(tail|box) /, "").split("/")[0] ?? "";
  const letters = /^(.*?)(\d*)$/.exec(at)?.[1] ?? "";
  return boxes.includes(letters) ? letters : "";
}

/// Whether a step at `place` is for somebody who stands at `mine` (a desk, "stage", "amps").
export function isMine(place: string, mine: string, desks: readonly string[]): boolean {
  const desk = desks.find((d) => place === d || place.startsWith(d + " "));
  if (desk) return mine === desk;
  return mine === "stage" || mine === "amps";
}

/// Steps in the order to walk them: the urgent before the rest, box by box from `from` on, and in a
/// box by socket. Keeps the server's order where places say nothing.
export function walkOrder(steps: readonly Step[], boxes: readonly string[], from: string): Step[] {
  const first = Math.max(0, boxes.indexOf(from));
  const far = (s: Step): number => {
    const at = boxes.indexOf(boxOf(s.at, boxes));
    return at < 0 ? boxes.length : (at - first + boxes.length) % boxes.length;
  };
  const socket = (s: Step): number => Number(/(\d+)/.exec(s.at)?.[1] ?? 0);
  const when = (s: Step): number => (s.when === "instead" ? 1 : 0);
  return steps
    .map((s, i) => ({ s, i }))
    .sort((a, b) => when(a.s) - when(b.s) || far(a.s) - far(b.s) || socket(a.s) - socket(b.s) || a.i - b.i)
    .map((x) => x.s);
}

/// Where a box stands, when that says more than its letter.
export function placeOfBox(box: string, place: string | undefined): string {
  return !place || place === `box ${box}` ? "" : place;
}
