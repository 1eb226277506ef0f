// SPDX-License-Identifier: GPL-3.0-or-later
//
// Ids made on the phone, so that a fact sent twice counts once. Plain HTTP on a stage network is no
// secure context: there is no randomUUID, but there is getRandomValues.

export function newId(): string {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return Array.from(bytes, (b) => b.toString(16).padStart(2, "0")).join("");
}
