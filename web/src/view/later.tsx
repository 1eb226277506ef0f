// SPDX-License-Identifier: GPL-3.0-or-later
//
// A screen of a part of the page; while the part is not there, that it is not.

import type { VNode } from "preact";
import { useEffect } from "preact/hooks";
import type { Part } from "../later";
import { words } from "../words";
import { Shell } from "./shell";

export function Later<T>({ part, draw }: { part: Part<T>; draw: (there: T) => VNode }) {
  useEffect(() => void part.get(), [part]);
  const there = part.here.value;
  if (there) return draw(there);
  return (
    <Shell title={words.loading}>
      <p class="quiet" role="status" data-later={part.fails.value ? "fails" : "comes"}>
        {part.fails.value ? words.laterFails : words.loading}
      </p>
    </Shell>
  );
}
