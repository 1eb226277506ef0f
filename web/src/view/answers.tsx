// SPDX-License-Identifier: GPL-3.0-or-later
//
// The answers of each way of proving: the good one, and the others one tap further. Of a lamp they
// are the pictures the faults of this line would show, as the box works them out.

import { useMemo } from "preact/hooks";
import type { Mark } from "../pass";
import type { How } from "../prove";
import { useAnswer } from "../store";
import type { ProveLine } from "../wire";
import { words } from "../words_work";

/// `mark` is null for a word to the other end, which proves nothing.
export type Answer = { key: string; says: string; means: string; check: string; reading: string; mark: Mark | null; picture?: boolean };

const ear = (key: keyof typeof words.ten, check: string, reading: string, mark: Mark | null): Answer => ({ key, says: words.ten[key], means: words.tenMeans[key], check, reading, mark });
export const EARS: readonly Answer[] = [
  ear("yes", "level", "normal", "good"),
  ear("no", "level", "nothing", "bad"),
  ear("wrong", "seen", "", "bad"),
  ear("crackle", "crackle", "some", "bad"),
  ear("hum", "hum", "audible", "bad"),
  ear("low", "level", "low", "bad"),
  ear("phantom", "look", "phantom", "bad"),
  ear("again", "", "", null),
  ear("stop", "", "", null),
];
const also = (keys: readonly string[]): Answer[] => EARS.filter((a) => keys.includes(a.key));
const VOLTS = ["full", "sagged", "2 low", "3 low", "reversed", "none"] as const;

type Predicted = { rows: { fault: string; shows: string; sees: boolean }[] };

/// The answers for a line; the first is the good one.
export function useAnswersOf(how: How, line: ProveLine | undefined, act: string): readonly Answer[] {
  const n = line?.line;
  const right = line?.good?.reading ?? "";
  const predicted = useAnswer<Predicted>(how === "lamp" && n ? `predict?line=${n}&check=lamps&act=${encodeURIComponent(act)}` : null).value;
  return useMemo(() => {
    if (how === "heard") return EARS;
    if (how === "microphone") return EARS.filter((a) => a.key !== "phantom");
    const byMeter = how === "volts" || how === "desk-volts";
    const good: Answer = { key: "yes", says: words.good, means: byMeter ? (words.volts as Record<string, string>)[right] ?? "" : "", check: byMeter ? "volts" : "lamps", reading: right, mark: "good", picture: how === "lamp" };
    if (byMeter) return [good, ...VOLTS.filter((v) => v !== right).map((v): Answer => ({ key: v, says: words.volts[v], means: "", check: "volts", reading: v, mark: "bad" })), ...also(how === "volts" ? ["wrong", "stop"] : ["stop"])];
    const by = new Map<string, string[]>();
    for (const r of predicted?.rows ?? []) if (r.sees && r.shows !== right && /^[GRgrd.]+$/.test(r.shows)) by.set(r.shows, [...new Set([...(by.get(r.shows) ?? []), r.fault])]);
    const dark = right.replace(/./g, ".");
    if (dark && !by.has(dark)) by.set(dark, []);
    const shown = [...by].sort((a, b) => b[1].length - a[1].length).slice(0, 7);
    const bad = shown.map(([p, faults]): Answer => ({ key: p, says: "", means: words.faults(faults), check: "lamps", reading: p, mark: "bad", picture: true }));
    return [good, ...bad, { key: "lamps", says: words.otherLamps, means: "", check: "lamps", reading: "", mark: "bad" }, ...also(["wrong", "stop"])];
  }, [predicted, how, right]);
}
