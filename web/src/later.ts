// SPDX-License-Identifier: GPL-3.0-or-later
//
// What opens first is small; the rest of the page comes in parts.
//
//   page ──> first screen is shown ──> work ──> rest      quietly, one after the other
//              └─ a screen of a part is opened ──> that part at once
//
// A part that came is there for good, so that the radio may go. While one is not there, its screens
// say so and it is asked for again. Each part is a file of its own (build.mjs), named in index.html.

import { signal, type Signal } from "@preact/signals";

const AGAIN_MS = 2000;

export class Part<T> {
  readonly here: Signal<T | null> = signal(null);
  readonly fails = signal(false);
  private asks: Promise<void> | null = null;
  private times = 0;

  /// `load` fetches the part, for the first time (0) or again.
  constructor(
    private readonly load: (nth: number) => Promise<T>,
    private readonly again_ms = AGAIN_MS,
  ) {}

  /// Comes when the part is there; asks until it is.
  get(): Promise<void> {
    this.asks ??= this.ask();
    return this.asks;
  }

  private async ask(): Promise<void> {
    while (this.here.value === null) {
      try {
        this.here.value = await this.load(this.times++);
        this.fails.value = false;
      } catch {
        this.fails.value = true;
        await new Promise((done) => setTimeout(done, this.again_ms));
      }
    }
  }
}

// A browser remembers that a file did not come: each time it is asked for it has another name
const file = (name: string) => (nth: number) => import(`${document.body.dataset[name] ?? ""}${nth ? "?" + nth : ""}`);

export const work = new Part<typeof import("./part_work")>(file("work"));
export const rest = new Part<typeof import("./part_rest")>(file("rest"));
