// SPDX-License-Identifier: GPL-3.0-or-later
//
// Everything at a desk by keyboard: a line number typed anywhere goes to that line, a letter to a
// screen, Shift and a digit gives the first to ninth answer of the step on the screen. Nothing of
// this while somebody types into a field.

import { signal } from "@preact/signals";
import { go, href, route } from "./route";
import { besideLine } from "./view/all_lines";
import type { LineRow } from "./wire";
import { words } from "./words";

const typed = signal("");
const SETTLE_MS = 900;
let timer: ReturnType<typeof setTimeout> | undefined;
let lines: () => readonly LineRow[] = () => [];

function settle(): void {
  clearTimeout(timer);
  const n = Number(typed.value);
  typed.value = "";
  if (n > 0) go(href.line(n));
}

const LETTERS: Record<string, string> = { l: href.lines(), s: href.steps, g: href.sign(), w: href.talk, c: href.clock, p: href.prove(), o: href.change() };

function onKey(e: KeyboardEvent): void {
  const at = e.target as HTMLElement | null;
  if (e.ctrlKey || e.metaKey || e.altKey || at?.matches("input, textarea, select")) return;
  const digit = /^(?:Digit|Numpad)(\d)$/.exec(e.code)?.[1];
  if (e.shiftKey && digit) {
    const nth = document.querySelectorAll<HTMLButtonElement>(".step.first .answer, .step.mine .answer, .entry .answer")[Number(digit) - 1];
    if (nth) {
      e.preventDefault();
      // A step that has just come takes no key before it was seen, as it takes no tap (line.css)
      if (getComputedStyle(nth).pointerEvents !== "none") nth.click();
    }
    return;
  }
  if (/^\d$/.test(e.key)) {
    e.preventDefault();
    typed.value = (typed.value + e.key).replace(/^0+/, "").slice(0, 4);
    clearTimeout(timer);
    timer = setTimeout(settle, SETTLE_MS);
    return;
  }
  if (typed.value) {
    if (e.key === "Enter") {
      e.preventDefault();
      settle();
    } else if (e.key === "Escape" || e.key === "Backspace") {
      e.preventDefault();
      clearTimeout(timer);
      typed.value = "";
    }
    return;
  }
  const to = LETTERS[e.key.toLowerCase()];
  if (to) {
    e.preventDefault();
    go(to);
  } else if (e.key === "Escape" && route.value.at !== "lines" && route.value.at !== "sign") {
    go(href.lines());
  } else if (["ArrowLeft", "ArrowRight"].includes(e.key) && route.value.at === "line") {
    const beside = besideLine(lines(), e.key === "ArrowLeft" ? -1 : 1);
    if (beside) go(href.line(beside));
  } else if (["ArrowUp", "ArrowDown", "j", "k"].includes(e.key) && route.value.at === "lines") {
    const rows = [...document.querySelectorAll<HTMLElement>(".row")];
    const now = rows.indexOf(document.activeElement as HTMLElement);
    const to = rows[now < 0 ? 0 : now + (e.key === "ArrowUp" || e.key === "k" ? -1 : 1)];
    if (to) {
      e.preventDefault();
      to.focus();
    }
  }
}

export function keysStart(known: () => readonly LineRow[]): void {
  lines = known;
  addEventListener("keydown", onKey);
}

export function Typed() {
  if (!typed.value) return null;
  const source = lines().find((l) => l.line === Number(typed.value));
  return (
    <div class="typed" role="status" aria-live="assertive">
      <small>{words.typed}</small>
      <b>{typed.value}</b>
      <span>{source ? source.source : words.noSuchLine(typed.value)}</span>
      <small>{words.typedHint}</small>
    </div>
  );
}
