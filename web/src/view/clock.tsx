// SPDX-License-Identifier: GPL-3.0-or-later
//
// The clock: how long to doors and to the next act, what is open, what is at risk, who does what.

import { Glyph } from "../glyph";
import { href } from "../route";
import { may, me, now_s, tell, useAnswer } from "../store";
import { left, minuteOf } from "../time";
import type { LineRow, Next, Now, State } from "../wire";
import { words } from "../words";
import { Risk, riskOf } from "./risk";
import { Shell, useLines } from "./shell";

function Hand({ minutes, says }: { minutes: number; says: string }) {
  return (
    <p class="hand">
      <b>{left(minutes)}</b>
      <span>{says}</span>
    </p>
  );
}

export function ClockScreen() {
  const now = useAnswer<Now>("now").value;
  const next = useAnswer<Next>("next").value;
  const known = useLines()?.lines;
  const lines = known ?? [];
  const at = new Date(now_s() * 1000);
  const minute = at.getHours() * 60 + at.getMinutes() + at.getSeconds() / 60;
  const acts = (now?.acts ?? []).map((a) => ({ ...a, from: minuteOf(a.start), to: minuteOf(a.end) }));
  const on = acts.find((a) => a.from !== null && a.to !== null && a.from <= minute && minute < a.to);
  const coming = acts.find((a) => a.from !== null && a.from > minute);
  const doors = minuteOf(me.value?.doors);
  const risk = riskOf(lines);
  const open = lines.filter((l) => l.state === "unproven");
  return (
    <Shell title={words.clock}>
      <div class="clock">
        <h1 class="vh">{words.clock}</h1>
        <section class="hands" aria-label={words.clock}>
          <p class="hand time">
            <b>{`${at.getHours()}:${String(at.getMinutes()).padStart(2, "0")}`}</b>
            <span>{words.boxClock}</span>
          </p>
          {doors !== null && doors > minute && <Hand minutes={doors - minute} says={words.toDoors} />}
          {doors !== null && doors <= minute && !on && (
            <p class="hand">
              <b>{words.doorsOpen}</b>
            </p>
          )}
          {on && on.to !== null && <Hand minutes={on.to - minute} says={words.onNow(words.act(on.act))} />}
          {coming && coming.from !== null && <Hand minutes={coming.from - minute} says={words.toAct(words.act(coming.act))} />}
          {!on && !coming && acts.length > 0 && (
            <p class="hand">
              <span>{words.dayOver}</span>
            </p>
          )}
        </section>
        <section>
          <p>
            <a class="button" href={href.forecast}>
              {words.forecast}
            </a>
          </p>
        </section>
        <section>
          <h2>{words.atRisk}</h2>
          {!known && <p class="quiet">{words.loading}</p>}
          {known && risk.length === 0 && <p class="quiet">{words.riskNone}</p>}
          <Risk lines={lines} />
        </section>
        <section>
          <h2>{words.busyNow}</h2>
          <ul class="plainlist">
            {(next?.busy ?? []).map((b, i) => (
              <li key={"b" + i}>
                <a href={href.line(b.line)}>
                  <b>{b.line}</b> {b.who} {b.say ?? ""}
                </a>
              </li>
            ))}
            {(next?.steps ?? [])
              .filter((s) => s.when !== "instead")
              .map((s, i) => (
                <li key={i}>
                  <a href={href.line(s.line)}>
                    <b>{s.line}</b> <span>{s.who}:</span> {s.say}
                  </a>
                </li>
              ))}
            {next && next.steps.length + next.busy.length === 0 && <li class="quiet">{words.stepsNone}</li>}
          </ul>
        </section>
        <section>
          <h2>{words.openWork}</h2>
          {!known && <p class="quiet">{words.loading}</p>}
          {known && open.length === 0 && <p class="quiet">{words.openNone}</p>}
          <Dots lines={open} state="unproven" />
        </section>
        <section>
          <h2>{words.running}</h2>
          <ol class="acts">
            {acts.map((a) => (
              <li key={a.act} aria-current={a.act === now?.act ? "true" : undefined}>
                <span class="time">
                  {a.start}–{a.end}
                </span>
                <b>{words.act(a.act)}</b>
                {a.act === now?.act ? (
                  <span>{words.inForce}</span>
                ) : (
                  may("now") && (
                    <button type="button" onClick={() => void tell({ verb: "now", act: a.act })} aria-label={words.putInForce(words.act(a.act))}>
                      {words.putInForce(words.act(a.act))}
                    </button>
                  )
                )}
              </li>
            ))}
          </ol>
        </section>
      </div>
    </Shell>
  );
}

function Dots({ lines, state }: { lines: readonly LineRow[]; state: State }) {
  return (
    <ul class="dots">
      {lines.map((l) => (
        <li key={l.line}>
          <a href={href.line(l.line)} class={"s-" + state} title={l.source}>
            <Glyph state={state} />
            <b>{l.line}</b>
            <span class="vh">{l.source}</span>
          </a>
        </li>
      ))}
    </ul>
  );
}
