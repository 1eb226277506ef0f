// SPDX-License-Identifier: GPL-3.0-or-later
//
// Ready by doors? Two things large enough for a tablet across the room: the chance, and between
// which times the last line is proven. Then what helps most, how far each box is, the pace, and how
// all this was foretold earlier: a band that should close, under or over the line of the doors.

import { Glyph } from "../glyph";
import { useAnswer } from "../store";
import type { Forecast, ForecastPoint, State } from "../wire";
import { words } from "../words_rest";
import { Shell } from "./shell";

/// Shape and word of a forecast, as of a line: ready, likely, at risk, not likely.
export function stateOf(f: Pick<Forecast, "ready" | "chance">): State {
  if (f.ready) return "proven";
  if (f.chance === null) return "unused";
  return f.chance >= 0.8 ? "unproven" : f.chance >= 0.5 ? "suspect" : "bad";
}

/// Tenths as people say them, the words of the command line: "better than 9", "about 7".
export function tenths(chance: number): { before: string; n: number } {
  if (chance > 0.95) return { before: words.fcMore, n: 9 };
  if (chance < 0.05) return { before: words.fcLess, n: 1 };
  return { before: "", n: Math.min(9, Math.max(1, Math.round(chance * 10))) };
}

/// Where the points of a drawing lie: times of the day across and up, in a box of 0 to 100.
export function drawn(points: readonly Pick<ForecastPoint, "at_s" | "low_s" | "high_s">[], by_s: number | null) {
  const first = points[0];
  const last = points[points.length - 1];
  if (!first || !last) return null;
  const from = first.at_s;
  const to = Math.max(last.at_s, from + 60);
  // A time far off does not press the band flat: it then lies at the edge, and the caption says so
  const lows = Math.min(...points.map((p) => p.low_s));
  const highs = Math.max(...points.map((p) => p.high_s));
  const span = Math.max(highs - lows, 120);
  const near = by_s !== null && by_s > lows - span && by_s < highs + span;
  const bottom = Math.min(lows, near ? by_s : lows) - span * 0.06;
  const top = Math.max(highs, near ? by_s : highs) + span * 0.06;
  const x = (s: number) => (100 * (s - from)) / (to - from);
  const y = (s: number) => 100 - (100 * (s - bottom)) / (top - bottom);
  return {
    low: points.map((p) => [x(p.at_s), y(p.low_s)] as const),
    high: points.map((p) => [x(p.at_s), y(p.high_s)] as const),
    by: by_s === null ? null : near ? y(by_s) : by_s >= highs ? 0 : 100,
    isOff: by_s !== null && !near,
  };
}

const WIDE = 640;
const TALL = 240;
const path = (points: readonly (readonly [number, number])[]): string =>
  points.map(([x, y], i) => `${i ? "L" : "M"}${((x * WIDE) / 100).toFixed(1)} ${((y * TALL) / 100).toFixed(1)}`).join("");

function Past({ f }: { f: Forecast }) {
  const now: ForecastPoint[] =
    f.ready_by && f.low_s !== null && f.high_s !== null
      ? [{ seq: 0, at: f.now, at_s: f.now_s, chance: f.chance, ready_by: f.ready_by, low_s: f.low_s, high_s: f.high_s, ready: f.lines.ready }]
      : [];
  const points = f.history.length ? [...f.history, ...now] : [];
  const first = points[0];
  const last = points[points.length - 1];
  const at = drawn(points, f.by_s);
  if (!at || !first || !last) return <p class="quiet">{words.fcPastNone}</p>;
  const says = words.fcPastImage(first.at, first.ready_by[0] ?? "", first.ready_by[1] ?? "", last.at, last.ready_by[0] ?? "", last.ready_by[1] ?? "");
  return (
    <>
      <figure class="fc-past">
        <svg viewBox={`0 0 ${WIDE} ${TALL}`} role="img" aria-label={says} preserveAspectRatio="none">
          <path class="fc-band" d={path([...at.high, ...at.low.slice().reverse()]) + "Z"} />
          <path class="fc-edge" d={path(at.high)} />
          <path class="fc-edge" d={path(at.low)} />
          {at.by !== null && <path class="fc-by" d={path([[0, at.by], [100, at.by]])} />}
        </svg>
        <figcaption>
          <span>{first.at}</span>
          {f.by && <span class="fc-byline">{at.isOff ? words.fcDoorsOff(f.by) : words.fcDoors(f.by)}</span>}
          <span>{last.at}</span>
        </figcaption>
      </figure>
      <details>
        <summary>{words.fcList}</summary>
        <ol class="plainlist">
          {points
            .slice()
            .reverse()
            .map((p) => (
              <li key={p.seq}>
                {words.fcPastSays(p.at, p.ready_by[0] ?? "", p.ready_by[1] ?? "")}
                {p.chance !== null && <> · {`${tenths(p.chance).before} ${tenths(p.chance).n} ${words.fcOf}`}</>}
              </li>
            ))}
        </ol>
      </details>
    </>
  );
}

function Large({ f }: { f: Forecast }) {
  const state = stateOf(f);
  const isPast = f.by_s !== null && f.by_s <= f.now_s;
  const word = f.ready ? words.fcIs["proven"] : f.chance === null ? words.fcNoTime : isPast ? words.fcIsPast : words.fcIs[state];
  const t = f.chance === null || f.ready || isPast ? null : tenths(f.chance);
  return (
    <section class={"fc-large s-" + state} aria-label={words.forecast}>
      <p class="fc-word mark big" data-forecast={state}>
        <Glyph state={state} />
        <b>{word}</b>
      </p>
      {t && (
        <p class="fc-big">
          <small>{words.fcChance}</small>
          <span>
            {t.before && <em>{t.before}</em>} <b>{t.n}</b> <i>{words.fcOf}</i>
          </span>
          <small>{words.fcBy(f.by_why, f.by ?? "")}</small>
        </p>
      )}
      {f.ready_by && (
        <p class="fc-big">
          <small>{words.fcReady}</small>
          <span>
            <b>{f.ready_by[0]}</b> <i>–</i> <b>{f.ready_by[1]}</b>
          </span>
          <small>{words.fcEight}</small>
        </p>
      )}
    </section>
  );
}

function Boxes({ f }: { f: Forecast }) {
  return (
    <ul class="fc-boxes">
      {f.boxes.map((b) => (
        <li key={b.box} class={"s-" + (b.bad ? "bad" : b.ready === b.needed ? "proven" : "unproven")}>
          <Glyph state={b.bad ? "bad" : b.ready === b.needed ? "proven" : "unproven"} />
          <b>{words.fcBox(b.box)}</b>
          <span class="fc-bar" aria-hidden="true">
            <span style={{ width: `${(100 * b.ready) / Math.max(1, b.needed)}%` }} />
          </span>
          <span>{words.fcCount(b.ready, b.needed, b.bad)}</span>
        </li>
      ))}
    </ul>
  );
}

export function ForecastScreen() {
  const { value: f, error } = useAnswer<Forecast>("forecast");
  return (
    <Shell title={words.forecast}>
      <div class="forecast">
        <h1 class="vh">{words.forecast}</h1>
        {!f && <p class="quiet">{error || words.loading}</p>}
        {f && (
          <>
            <Large f={f} />
            <p class="fc-say">{f.say}</p>
            {f.by_undated && <p class="quiet">{words.fcUndated}</p>}
            {f.lines.heard > 0 && <p class="fc-say">{words.fcHeard(f.lines.heard)}</p>}
            {!f.ready && (
              <section aria-labelledby="fc-helps">
                <h2 id="fc-helps">{words.fcHelps}</h2>
                {f.helps.length === 0 && <p class="quiet">{words.fcNoHelp}</p>}
                {f.helps_most && <p class="fc-most">{f.helps_most}</p>}
                <ul class="plainlist">
                  {f.helps.slice(1).map((h) => (
                    <li key={h.say}>
                      <b>{words.fcOr}:</b> {h.say}
                    </li>
                  ))}
                </ul>
              </section>
            )}
            <section aria-labelledby="fc-boxes">
              <h2 id="fc-boxes">{words.fcBoxes}</h2>
              <Boxes f={f} />
            </section>
            {!f.ready && (
              <section aria-labelledby="fc-pace">
                <h2 id="fc-pace">{words.fcPace}</h2>
                <p class="fc-pace">
                  <b>{words.fcPaceIs(Math.round(f.pace.seconds_a_line), Math.round(f.pace.low_s), Math.round(f.pace.high_s))}</b>
                  <span>{words.fcUsual(Math.round(f.pace.usual_s))}</span>
                  <span>{words.fcHands(f.pace.hands)}</span>
                </p>
                <p class="quiet">{f.rests_on}</p>
              </section>
            )}
            <section aria-labelledby="fc-past">
              <h2 id="fc-past">{words.fcPast}</h2>
              <Past f={f} />
            </section>
          </>
        )}
      </div>
    </Shell>
  );
}
