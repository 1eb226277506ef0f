// SPDX-License-Identifier: GPL-3.0-or-later
//
// This device: where it stands, its light, its size of words, whether its screen stays awake, how
// old what it shows is, and the keys.

import { signal } from "@preact/signals";
import { awake, size, SIZES, theme, THEMES } from "../device";
import { href } from "../route";
import { age_s, fresh, join, me, note, onTheWay, slept, unanswered } from "../store";
import { words } from "../words_rest";
import { Roles } from "./join";
import { Phones } from "./phones";
import { Shell } from "./shell";

const changing = signal(false);
const SLEPT_S = 120;

export function MeScreen() {
  const m = me.value;
  const i = SIZES.indexOf(size.value as (typeof SIZES)[number]);
  return (
    <Shell title={words.me}>
      <div class="me">
        <h1>{words.me}</h1>
        <section>
          <h2>{words.meRole}</h2>
          <p>
            <b>{words.roleName(m?.role ?? "")}</b>
          </p>
          {changing.value ? (
            <Roles
              now={m?.role ?? ""}
              onPick={(r) => {
                changing.value = false;
                join("", r).catch((e: unknown) => note("bad", e instanceof Error ? e.message : ""));
              }}
            />
          ) : (
            <button type="button" onClick={() => (changing.value = true)}>
              {words.meChange}
            </button>
          )}
        </section>
        {m?.may.includes("phones") && <Phones />}
        <section>
          <h2>{words.theme}</h2>
          <div class="seg" role="group" aria-label={words.theme}>
            {THEMES.map((t) => (
              <button key={t} type="button" data-theme-pick={t} aria-pressed={theme.value === t} onClick={() => (theme.value = t)}>
                {words.themes[t]}
              </button>
            ))}
          </div>
        </section>
        <section>
          <h2>{words.size}</h2>
          <div class="seg" role="group" aria-label={words.size}>
            <button type="button" disabled={i <= 0} onClick={() => (size.value = SIZES[Math.max(0, i - 1)] ?? 100)}>
              {words.sizeLess}
            </button>
            <span class="is">{words.sizeIs(size.value)}</span>
            <button type="button" disabled={i >= SIZES.length - 1} onClick={() => (size.value = SIZES[Math.min(SIZES.length - 1, i + 1)] ?? 100)}>
              {words.sizeMore}
            </button>
          </div>
        </section>
        <section>
          <h2>{words.awake}</h2>
          <p>{words.awakeSays[awake.value]}</p>
          {slept.value > SLEPT_S && <p class="quiet">{words.slept(slept.value)}</p>}
        </section>
        <section>
          <h2>{onTheWay.value > 0 ? words.waiting(onTheWay.value) : fresh.value ? words.live : words.old(age_s.value)}</h2>
          <p>{onTheWay.value > 0 ? words.waitingMeans : fresh.value ? words.liveMeans : words.oldMeans}</p>
          <ol class="plainlist">
            {unanswered.value.map((p) => (
              <li key={p.id}>
                {p.fact["line"] ? `${words.line(Number(p.fact["line"]))}: ` : ""}
                {String(p.fact["text"] ?? p.fact["check"] ?? p.fact.verb)} {String(p.fact["reading"] ?? "")}
              </li>
            ))}
          </ol>
        </section>
        <section>
          <p>
            <a class="button" href={href.compare}>
              {words.compare}
            </a>{" "}
            <a class="button" href={href.outputs}>
              {words.outputs}
            </a>{" "}
            <a class="button" href={href.paper()}>
              {words.paper}
            </a>
          </p>
        </section>
        <section class="keys">
          <h2>{words.keys}</h2>
          <dl>
            {words.keyRows.map(([k, does]) => (
              <div key={k}>
                <dt>
                  <kbd>{k}</kbd>
                </dt>
                <dd>{does}</dd>
              </div>
            ))}
          </dl>
        </section>
        <p class="quiet small law">{words.noLaw}</p>
      </div>
    </Shell>
  );
}
