// SPDX-License-Identifier: GPL-3.0-or-later
//
// Before the first plug: what must be so, and who has said that it is.

import { ready, type Pass } from "../prove";
import { may } from "../store";
import type { ReadySay } from "../wire";
import { words } from "../words_work";

export function Before({ p, asks }: { p: Pass; asks: readonly ReadySay[] }) {
  return (
    <section class="before">
      <h2>{words.beforeFirst}</h2>
      <p class="quiet">{words.readySay}</p>
      <ul class="mutes">
        {asks.map((a) => {
          const yes = p.ready.includes(a.place);
          return (
            <li key={a.place} class="caution">
              <button type="button" class="tick wideb" data-ready={a.place} aria-pressed={yes} disabled={!may("ready")} onClick={() => ready(p, a.place, !yes)}>
                <i aria-hidden="true" />
                <span>{a.say}</span>
              </button>
            </li>
          );
        })}
      </ul>
    </section>
  );
}
