// SPDX-License-Identifier: GPL-3.0-or-later
//
// Where lists and desks disagree, desk by desk, before anybody touches a cable.

import { href } from "../route";
import { useAnswer } from "../store";
import type { Compare, Difference } from "../wire";
import { words } from "../words";
import { Shell } from "./shell";

export function CompareScreen() {
  const { value, error } = useAnswer<Compare>("compare");
  const by = new Map<string, Difference[]>();
  for (const d of value?.disagreements ?? []) by.set(d.desk, [...(by.get(d.desk) ?? []), d]);
  return (
    <Shell title={words.compare}>
      <div class="compare">
        <h1>{words.compare}</h1>
        {!value && <p class="quiet">{error ? words.compareMissing : words.loading}</p>}
        {value && by.size === 0 && <p>{words.compareNone}</p>}
        {[...by].map(([desk, list]) => (
          <section key={desk}>
            <h2>{desk ? words.deskName(desk) : words.lists}</h2>
            <ul class="plainlist">
              {list.map((d, i) => (
                <li key={i}>
                  <a href={d.line ? href.line(d.line) : href.lines()}>
                    <b>{d.line || "·"}</b> {d.say}
                  </a>
                </li>
              ))}
            </ul>
          </section>
        ))}
        {value && value.not_compared.length > 0 && (
          <section>
            <h2>{words.compareNot}</h2>
            <ul class="plainlist">
              {value.not_compared.map((n) => (
                <li key={n} class="quiet">
                  {n}
                </li>
              ))}
            </ul>
          </section>
        )}
      </div>
    </Shell>
  );
}
