// SPDX-License-Identifier: GPL-3.0-or-later
import { words } from "./words";

/// Minutes since midnight of "15:35"; null when it is no time.
export function minuteOf(text: string | null | undefined): number | null {
  const found = /^(\d{1,2}):(\d{2})$/.exec(text ?? "");
  return found ? Number(found[1]) * 60 + Number(found[2]) : null;
}

export function left(minutes: number): string {
  const m = Math.floor(Math.abs(minutes));
  return m < 60 ? words.min(m) : `${Math.floor(m / 60)}:${String(m % 60).padStart(2, "0")} h`;
}
