// SPDX-License-Identifier: GPL-3.0-or-later
//
// The columns of the picture of all lines: which sort of part stands in which column, from source
// to desk, so that what many lines share comes to lie under itself.

import type { LineRow, Part, State } from "./wire";

export type Sort = "source" | "in-line" | "cable" | "plug" | "socket" | "preamp" | "lead" | "tail" | "split" | "pair" | "desk" | "else";
export type Column = { key: string; sort: Sort; desk?: string };

const ORDER: readonly Sort[] = ["source", "in-line", "cable", "plug", "socket", "preamp", "lead", "tail", "split", "pair", "desk"];
// As the server calls a part when it sends no sort of its own; network, power, clock and owner of a
// digital box are all the box's link to the desks.
const BEGINS: readonly [RegExp, Sort][] = [
  [/^the source|^known-good/, "source"],
  [/^the cable/, "cable"],
  [/^the plug/, "plug"],
  [/^socket /, "socket"],
  [/^preamplifier/, "preamp"],
  [/^the (network lead|second network lead|power|clock|gain|owner)/, "lead"],
  [/^something left in line|^the .* of /, "in-line"],
  [/^tail /, "tail"],
  [/^split /, "split"],
  [/^multicore pair/, "pair"],
  [/ desk input | desk/, "desk"],
];
const WEIGHT: Record<State, number> = { bad: 5, suspect: 4, moved: 3, unproven: 2, proven: 1, unused: 0 };

export function worse(a: State, b: State): State {
  return WEIGHT[b] > WEIGHT[a] ? b : a;
}

export function sortOf(part: Part): Sort {
  if (part.is && (ORDER as readonly string[]).includes(part.is)) return part.is as Sort;
  if (part.is === "power" || part.is === "clock" || part.is === "owner") return "lead";
  for (const [begins, sort] of BEGINS) if (begins.test(part.part)) return sort;
  return "else";
}

/// The desk a part belongs to, where it is one desk's; `desks` are the desks of the show in order.
export function deskOf(part: Part, desks: readonly string[], nth: number): string | undefined {
  return part.desk ?? desks[nth];
}

/// The columns that any of these lines has, in order from source to desk.
export function columnsOf(lines: readonly LineRow[], desks: readonly string[]): Column[] {
  const have = new Set<string>();
  for (const line of lines) for (const p of line.parts ?? []) have.add(sortOf(p));
  const columns: Column[] = [];
  for (const sort of ORDER) {
    if (sort === "desk") for (const desk of desks) columns.push({ key: "desk " + desk, sort, desk });
    else if (have.has(sort)) columns.push({ key: sort, sort });
  }
  return columns;
}

/// A line's state in each column; null where it has no such part.
export function cellsOf(line: LineRow, columns: readonly Column[], desks: readonly string[]): (State | null)[] {
  const worst = new Map<string, State>();
  const has = Object.keys(line.at);
  let nth = 0;
  for (const p of line.parts ?? []) {
    const sort = sortOf(p);
    let key: string = sort;
    if (sort === "desk") {
      const mine = desks.filter((d) => has.includes(d));
      key = "desk " + (deskOf(p, mine, nth++) ?? "");
    }
    worst.set(key, worse(worst.get(key) ?? "unused", p.state));
  }
  // What a desk hears is the desk's own column: silence there is bad there, wherever the cause sits
  for (const desk of has) {
    const at = line.at[desk];
    if (at && WEIGHT[at] > WEIGHT[worst.get("desk " + desk) ?? "unused"]) worst.set("desk " + desk, at);
  }
  return columns.map((c) => worst.get(c.key) ?? null);
}
