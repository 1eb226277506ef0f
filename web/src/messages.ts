// SPDX-License-Identifier: GPL-3.0-or-later
//
// Messages are facts of the log: one to a place, and one more for each place that read it.

import type { Told } from "./told";

export type Message = {
  id: string;
  seq: number;
  told: Told;
  from: string;
  to: string;
  text: string;
  line: number;
  urgent: boolean;
  seenBy: string[];
  seenHere: boolean;
};

const text = (v: unknown): string => (typeof v === "string" ? v : "");

/// All messages, oldest first; `seenHere` as `place` sees them (its own count as seen).
export function messagesOf(log: readonly Told[], place: string): Message[] {
  const seen = new Map<string, string[]>();
  for (const t of log) {
    if (t.kind === "message_seen" && !t.void) {
      const of = text(t.body["id"]);
      seen.set(of, [...(seen.get(of) ?? []), t.place]);
    }
  }
  return log
    .filter((t) => t.kind === "message" && !t.void)
    .map((t) => {
      const by = seen.get(t.id) ?? [];
      return {
        id: t.id,
        seq: t.seq,
        told: t,
        from: t.place,
        to: text(t.body["to"]) || "all",
        text: text(t.body["text"]),
        line: t.line,
        urgent: (t.body["urgent"] === true || t.body["urgent"] === 1),
        seenBy: by,
        seenHere: t.place === place || by.includes(place),
      };
    });
}

/// Those meant for `place`.
export function messagesFor(log: readonly Told[], place: string): Message[] {
  return messagesOf(log, place).filter((m) => m.from !== place && (m.to === "all" || m.to === place));
}
