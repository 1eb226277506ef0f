// SPDX-License-Identifier: GPL-3.0-or-later
//
// Where the page is: the part of the address after #, so that a screen can be bookmarked, gone back
// from, and put behind a code on a label (#/line/45, or #45).

import { signal } from "@preact/signals";

export type Place =
  | { at: "lines"; box: string }
  | { at: "line"; line: number }
  | { at: "steps" }
  | { at: "prove"; box: string }
  | { at: "pass" }
  | { at: "change"; from: string; to: string }
  | { at: "hunt"; line: number }
  | { at: "sign"; line: number }
  | { at: "talk" }
  | { at: "clock" }
  | { at: "forecast" }
  | { at: "compare" }
  | { at: "outputs"; name: string }
  | { at: "paper"; what: string }
  | { at: "me" };

export function placeOf(hash: string): Place {
  const [at, word, more] = hash.replace(/^#?\/?/, "").split("/").map(decodeURIComponent);
  switch (at) {
    case "line":
      return /^\d+$/.test(word ?? "") ? { at, line: Number(word) } : { at: "lines", box: "" };
    case "change":
      return { at, from: word ?? "", to: more ?? "" };
    case "hunt":
    case "sign":
      return { at, line: Number(word) || 0 };
    case "prove":
      return { at, box: word ?? "" };
    case "outputs":
      return { at, name: word ?? "" };
    case "paper":
      return { at, what: word ?? "" };
    case "pass":
    case "steps":
    case "talk":
    case "clock":
    case "forecast":
    case "compare":
    case "me":
      return { at };
    default:
      if (/^\d+$/.test(at ?? "")) return { at: "line", line: Number(at) }; // #45: as short as a label needs it
      return { at: "lines", box: at === "lines" ? (word ?? "") : "" };
  }
}

export const href = {
  lines: (box = ""): string => (box ? "#/lines/" + encodeURIComponent(box) : "#/lines"),
  line: (line: number): string => "#/line/" + line,
  steps: "#/steps",
  prove: (box = ""): string => (box ? "#/prove/" + encodeURIComponent(box) : "#/prove"),
  pass: "#/pass",
  change: (from = "", to = ""): string => (from ? `#/change/${encodeURIComponent(from)}/${encodeURIComponent(to)}` : "#/change"),
  hunt: (line = 0): string => (line ? "#/hunt/" + line : "#/hunt"),
  sign: (line = 0): string => (line ? "#/sign/" + line : "#/sign"),
  talk: "#/talk",
  clock: "#/clock",
  forecast: "#/forecast",
  compare: "#/compare",
  outputs: "#/outputs",
  output: (name: string): string => "#/outputs/" + encodeURIComponent(name),
  paper: (what = ""): string => (what ? "#/paper/" + encodeURIComponent(what) : "#/paper"),
  me: "#/me",
};

export const route = signal<Place>(placeOf(typeof location === "undefined" ? "" : location.hash));

export function go(to: string): void {
  if (location.hash === to) return;
  location.hash = to;
}

export function routeStart(): void {
  addEventListener("hashchange", () => {
    route.value = placeOf(location.hash);
    scrollTo(0, 0);
    document.getElementById("main")?.focus({ preventScroll: true });
  });
}
