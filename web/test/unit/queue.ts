// SPDX-License-Identifier: GPL-3.0-or-later
import { newId } from "../../src/ids";
import { ageOf, Queue, type Clock, type Send } from "../../src/queue";
import { MemoryShelf } from "../../src/shelf";
import type { Answer, Sent } from "../../src/wire";
import { check, same } from "./check";

/// A server that keeps what it was told, once, and can be out of reach.
class Box {
  log: Sent[] = [];
  batches: number[] = [];
  reach = true;
  loseAnswer = 0; ///< Takes the batch, but the answer gets lost this many times
  refuse = (_: Sent): boolean => false;
  send: Send = async (facts) => {
    if (!this.reach) throw new Error("no radio");
    this.batches.push(facts.length);
    const answers: Answer[] = facts.map((f) => {
      if (this.refuse(f)) return { id: f.id, seq: null, is: "refused", say: "no such line" };
      const known = this.log.findIndex((k) => k.id === f.id);
      if (known >= 0) return { id: f.id, seq: known, is: "known", say: "" };
      this.log.push(f);
      return { id: f.id, seq: this.log.length - 1, is: "new", say: "" };
    });
    if (this.loseAnswer > 0) {
      --this.loseAnswer;
      throw new Error("answer lost");
    }
    return { seq: this.log.length, facts: answers };
  };
}

class Hands implements Clock {
  visit = "v1";
  forward = 1000;
  wall = 1_700_000_000_000;
  slept = 0;
  forward_ms = (): number => this.forward;
  wall_ms = (): number => this.wall;
  slept_ms = (): number => this.slept;
}

let n = 0;
const id = (): string => "id" + ++n;
const fact = (line: number): { verb: string; line: number } => ({ verb: "saw", line });
const settle = async (): Promise<void> => {
  for (let i = 0; i < 50; ++i) await Promise.resolve();
};

check("told facts arrive in order", async () => {
  const box = new Box();
  const q = new Queue(new MemoryShelf(), new Hands(), box.send, id);
  for (let i = 1; i <= 5; ++i) await q.tell(fact(i));
  await settle();
  await q.pump();
  same(box.log.map((f) => f["line"]), [1, 2, 3, 4, 5]);
  same(await q.waiting(), 0);
});

check("20 facts without radio, a reload between, arrive once each in order", async () => {
  const box = new Box();
  box.reach = false;
  const shelf = new MemoryShelf();
  const hands = new Hands();
  const before = new Queue(shelf, hands, box.send, id);
  for (let i = 1; i <= 12; ++i) await before.tell(fact(i));
  await settle();
  hands.visit = "v2";
  hands.forward = 5;
  const after = new Queue(shelf, hands, box.send, id);
  for (let i = 13; i <= 20; ++i) await after.tell(fact(i));
  await settle();
  same(await after.waiting(), 20);
  box.reach = true;
  same(await after.pump(), true);
  same(box.log.map((f) => f["line"]), Array.from({ length: 20 }, (_, i) => i + 1));
});

check("an answer that got lost: sent again, counted once", async () => {
  const box = new Box();
  box.loseAnswer = 2;
  const q = new Queue(new MemoryShelf(), new Hands(), box.send, id);
  const answers: string[] = [];
  q.onAnswer = (a) => answers.push(a.is);
  await q.tell(fact(1));
  await settle();
  await q.pump();
  await q.pump();
  same(box.log.length, 1);
  same(answers, ["known"]);
  same(await q.waiting(), 0);
});

check("a refused fact leaves the queue and does not dam up the next", async () => {
  const box = new Box();
  box.refuse = (f) => f["line"] === 99;
  const q = new Queue(new MemoryShelf(), new Hands(), box.send, id);
  const refused: string[] = [];
  q.onAnswer = (a) => a.is === "refused" && refused.push(a.say);
  await q.tell(fact(99));
  await q.tell(fact(1));
  await settle();
  await q.pump();
  same(box.log.map((f) => f["line"]), [1]);
  same(refused, ["no such line"]);
});

check("more than a batch goes out in batches, in order", async () => {
  const box = new Box();
  box.reach = false;
  const q = new Queue(new MemoryShelf(), new Hands(), box.send, id);
  for (let i = 1; i <= 70; ++i) await q.tell(fact(i));
  await settle();
  box.reach = true;
  await q.pump();
  same(box.log.map((f) => f["line"]), Array.from({ length: 70 }, (_, i) => i + 1));
  same(box.batches, [32, 32, 6]);
});

check("a server that answers nothing is not asked for ever", async () => {
  let asked = 0;
  const q = new Queue(new MemoryShelf(), new Hands(), async () => (++asked, { seq: 0, facts: [] }), id);
  await q.tell(fact(1));
  await settle();
  same(asked, 1);
  same(await q.waiting(), 1);
});

check("two pumps at once send once", async () => {
  const box = new Box();
  const q = new Queue(new MemoryShelf(), new Hands(), box.send, id);
  await q.tell(fact(1));
  await Promise.all([q.pump(), q.pump(), q.pump()]);
  await settle();
  same(box.log.length, 1);
  same(box.batches, [1]);
});

// By hand: ages in seconds
const AGES: readonly [string, (h: Hands) => void, number][] = [
  ["just told", () => {}, 0],
  ["7 s later", (h) => ((h.forward += 7000), (h.wall += 7000)), 7],
  ["phone clock set 3 h on meanwhile", (h) => ((h.forward += 7000), (h.wall += 3 * 3600e3)), 7],
  ["phone clock set a day back meanwhile", (h) => ((h.forward += 7000), (h.wall -= 86400e3)), 7],
  ["forward clock stood for 60 s of sleep", (h) => ((h.forward += 7000), (h.slept += 60000)), 67],
  ["reloaded, 30 s by the phone's clock", (h) => ((h.visit = "v2"), (h.forward = 10), (h.wall += 30000)), 30],
  ["reloaded, phone clock set back", (h) => ((h.visit = "v2"), (h.forward = 10), (h.wall -= 30000)), 0],
  ["reloaded, phone clock set a year on", (h) => ((h.visit = "v2"), (h.wall += 365 * 86400e3)), 0],
];
for (const [name, pass, want] of AGES) {
  check("age: " + name, () => {
    const h = new Hands();
    const kept = { n: 1, fact: fact(1), id: "x", visit: h.visit, at_ms: h.forward, wall_ms: h.wall };
    pass(h);
    same(ageOf(kept, h), want);
  });
}

check("ids: 32 hex digits, none twice in 2000", () => {
  const seen = new Set<string>();
  for (let i = 0; i < 2000; ++i) {
    const one = newId();
    if (!/^[0-9a-f]{32}$/.test(one)) throw new Error(one);
    seen.add(one);
  }
  same(seen.size, 2000);
});
