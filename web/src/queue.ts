// SPDX-License-Identifier: GPL-3.0-or-later
//
// Facts on their way to the server.
//
//   tell() ──> kept on the phone ──> sent in order ──> answered ──> forgotten here
//                     ^                    │
//                     └── no radio: wait <─┘
//
// A fact gets its id here and is on the phone's disk before anything else happens, so that a
// reload, an empty battery or a dead radio loses nothing. It goes out in the order it was told, one
// batch at a time; what was answered, or was known already, is forgotten. The id makes a second
// sending harmless. What the server refuses leaves the queue too, or it would dam up what comes
// after, and is handed to the caller to show.
//
// How long ago it happened goes along, never what time it was: a phone with a wrong clock does no
// harm. Within one visit the age comes from a clock that only runs forward; over a reload only
// from the phone's own clock against itself.

import type { Answer, Answers, Fact, Sent } from "./wire";

export type Kept = {
  n: number; ///< Order it was told in
  fact: Fact;
  id: string;
  visit: string; ///< The visit (page load) that told it
  at_ms: number; ///< Forward clock of that visit
  wall_ms: number; ///< The phone's clock
};

/// Where facts are kept: IndexedDB on a phone, an array in tests. All of it in order of `n`.
export interface Shelf {
  all(): Promise<Kept[]>;
  put(kept: Omit<Kept, "n">): Promise<Kept>;
  drop(ids: string[]): Promise<void>;
}

export interface Clock {
  visit: string;
  forward_ms(): number;
  wall_ms(): number;
  /// Milliseconds of this visit that the forward clock may have slept through.
  slept_ms(): number;
}

/// Sends a batch. Rejects when nobody answered; a status that is no answer (401, 503) rejects too.
export type Send = (facts: Sent[]) => Promise<Answers>;

const BATCH = 32;
const LONGEST_S = 24 * 3600; // Older than a show: the phone's clock was set meanwhile

export function ageOf(kept: Kept, clock: Clock): number {
  const wall_s = (clock.wall_ms() - kept.wall_ms) / 1000;
  if (kept.visit === clock.visit) {
    return Math.max(0, (clock.forward_ms() - kept.at_ms + clock.slept_ms()) / 1000);
  }
  return wall_s >= 0 && wall_s <= LONGEST_S ? wall_s : 0;
}

export class Queue {
  /// Told when the number of waiting facts changes.
  onWaiting: (n: number) => void = () => {};
  onAnswer: (answer: Answer, fact: Fact) => void = () => {};
  onSeq: (seq: number) => void = () => {};
  onReach: (reached: boolean) => void = () => {};

  private sending = false;
  private again = false;

  constructor(
    private readonly shelf: Shelf,
    private readonly clock: Clock,
    private readonly send: Send,
    private readonly id: () => string,
  ) {}

  /// Keeps a fact and tries to send it. Resolves with its id as soon as it is kept. Facts are kept
  /// in the order of the calls, also when the next is told before this resolves.
  async tell(fact: Fact, id = this.id()): Promise<string> {
    await this.shelf.put({
      fact,
      id,
      visit: this.clock.visit,
      at_ms: this.clock.forward_ms(),
      wall_ms: this.clock.wall_ms(),
    });
    this.onWaiting((await this.shelf.all()).length);
    void this.pump();
    return id;
  }

  async waiting(): Promise<number> {
    return (await this.shelf.all()).length;
  }

  /// Sends what is waiting, in order. True when nothing waits any more.
  async pump(): Promise<boolean> {
    if (this.sending) {
      this.again = true;
      return false;
    }
    this.sending = true;
    let empty = false;
    try {
      for (;;) {
        this.again = false;
        const kept = await this.shelf.all();
        this.onWaiting(kept.length);
        if (kept.length === 0) {
          empty = true;
          if (!this.again) break;
          continue;
        }
        const batch = kept.slice(0, BATCH);
        const facts = batch.map((k) => ({ ...k.fact, id: k.id, age_s: round(ageOf(k, this.clock)) }) as Sent);
        const answers = await this.send(facts);
        this.onReach(true);
        const answered = answers.facts.filter((a) => batch.some((k) => k.id === a.id));
        if (answered.length === 0) break; // Nothing was taken: do not ask for ever
        await this.shelf.drop(answered.map((a) => a.id));
        this.onSeq(answers.seq);
        for (const a of answered) {
          const fact = batch.find((k) => k.id === a.id)?.fact;
          if (fact) this.onAnswer(a, fact);
        }
      }
    } catch {
      this.onReach(false);
    } finally {
      this.sending = false;
    }
    return empty;
  }
}

function round(s: number): number {
  return Math.round(s * 10) / 10;
}
