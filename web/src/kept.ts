// SPDX-License-Identifier: GPL-3.0-or-later
//
// What a device remembers by itself. In a private window, or outside a browser, it holds for this
// visit.

import { effect, signal, type Signal } from "@preact/signals";

export function kept(key: string): string | null {
  try {
    return localStorage.getItem("linewalk." + key);
  } catch {
    return null;
  }
}
export function keep(key: string, value: string): void {
  try {
    localStorage.setItem("linewalk." + key, value);
  } catch {
    // It holds for this visit
  }
}

/// A signal that is as it was left; `sound` says whether what was kept can be used.
export function keptSignal<T>(key: string, begins: T, sound: (v: T) => boolean): Signal<T> {
  let value = begins;
  try {
    const v = JSON.parse(kept(key) ?? "null") as T | null;
    if (v !== null && sound(v)) value = v;
  } catch {
    // Not what this page wrote
  }
  const s = signal(value);
  effect(() => keep(key, JSON.stringify(s.value)));
  return s;
}
