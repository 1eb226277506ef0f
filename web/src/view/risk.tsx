// SPDX-License-Identifier: GPL-3.0-or-later
//
// What needs somebody now: the bad lines, then the suspect ones, wherever their boxes stand.

import { StateMark } from "../glyph";
import { href } from "../route";
import type { LineRow } from "../wire";

export function riskOf(lines: readonly LineRow[]): LineRow[] {
  return [...lines.filter((l) => l.state === "bad"), ...lines.filter((l) => l.state === "suspect")];
}

/// At most `most` of them; with a whole box down the picture of the lines says it better than a list.
export function Risk({ lines, most = 200 }: { lines: readonly LineRow[]; most?: number }) {
  return (
    <ul class="risk">
      {riskOf(lines).slice(0, most).map((l) => (
        <li key={l.line}>
          <a href={href.line(l.line)} class={"s-" + l.state}>
            <b class="n">{l.line}</b>
            <span>{l.source}</span>
            <StateMark state={l.state} />
          </a>
        </li>
      ))}
    </ul>
  );
}
