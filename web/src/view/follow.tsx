// SPDX-License-Identifier: GPL-3.0-or-later
//
// A way round that was taken changes what the desks must do. Each is told on whatever screen it has
// open, until it has said that it did; and whoever is on stage is told what is still to be given
// back before the next act.

import { Icon } from "../glyph";
import { href } from "../route";
import { log, may, me, pending, tell, useAnswer } from "../store";
import type { Moved, Ways } from "../wire";
import { words } from "../words";

/// Whether this desk said that it did, and the answer (`seq` of the log) does not have it yet.
const told = (line: number, step: string, at: string, seq: number): boolean =>
  pending.value.some((p) => p.fact.verb === "done" && p.fact["line"] === line && p.fact["step"] === step) ||
  log.value.some((t) => t.seq > seq && t.kind === "step_done" && !t.void && t.line === line && t.body["step"] === step && t.body["at"] === at);

/// At a desk: the ways round it has not followed yet.
export function Follow() {
  const place = me.value?.place ?? "";
  const desk = me.value?.desks?.some((d) => (typeof d === "string" ? d : d.desk) === place) ?? false;
  const { value: ways, seq } = useAnswer<Ways>(desk ? "around" : null);
  const moved = ways?.moved ?? [];
  const mine = moved.flatMap((m: Moved) => m.desks.filter((d) => d.desk === place && !d.done && !told(m.line, m.step, place, seq.value)).map((d) => ({ m, d })));
  const first = mine[0];
  if (!first) return null;
  const { m, d } = first;
  return (
    <div class="asks caution" role="status" aria-live="polite" data-follow={m.line}>
      <p>
        <a href={href.line(m.line)}>{words.follows(m.line, m.source, m.say)}</a> {d.do}
      </p>
      {may("done") && (
        <button type="button" data-followed={m.line} onClick={() => tell({ verb: "done", line: m.line, step: m.step, at: place }, true)}>
          <Icon name="seen" />
          {words.done}
        </button>
      )}
    </div>
  );
}

/// Of acts that are over: what must go back where it was.
export function GiveBack() {
  const back = useAnswer<Ways>("around").value?.give_back ?? [];
  if (back.length === 0) return null;
  return (
    <section class="giveback">
      <h2>{words.giveBack}</h2>
      <ul class="plainlist">
        {back.map((m) => (
          <li key={m.fact}>
            {m.back.caution && (
              <p class="caution">
                <Icon name="stop" />
                <span>{m.back.caution}</span>
              </p>
            )}
            <p class="say">{m.back.say}</p>
            {may("saw") && (
              <button type="button" class="wideb" data-back={m.line} onClick={() => tell({ verb: "saw", line: m.line, check: "move", reading: "back", act: m.act })}>
                {words.givenBack(m.line)}
              </button>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}
