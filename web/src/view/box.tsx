// SPDX-License-Identifier: GPL-3.0-or-later
//
// A box as one stands before it: its sockets as they lie on the panel, good or bad in one tap each.

import { Glyph, Icon } from "../glyph";
import { href } from "../route";
import { may, me, pending, tell } from "../store";
import { placeOfBox } from "../walk";
import type { LineRow } from "../wire";
import { words } from "../words";
import { desksOf } from "./all_lines";
import { HeardAt, heardAt } from "./heard";
import { Shell, useLines } from "./shell";

function Socket({ line, at }: { line: LineRow; at: string }) {
  const s = `${line.box}${line.socket}`;
  const waits = pending.value.some((p) => p.fact["line"] === line.line);
  const state = line.at[at] ?? line.state;
  const say = (reading: string): void => void tell({ verb: "saw", line: line.line, check: "level", reading, at });
  return (
    <li class={"socket s-" + state} data-line={line.line} data-state={state}>
      <a href={href.line(line.line)} class="face">
        <span class="sock-n">{line.socket}</span>
        <span class="sock-line">
          {line.line}
          <Glyph state={state} />
        </span>
        <b>{line.source || (line.spare ? words.spare : words.nothingPlugged)}</b>
        <small>{waits ? words.queued : words.state[state]}</small>
      </a>
      {line.source && may("saw") && (
        <div class="gb">
          <button type="button" class="isgood" aria-label={words.goodMeans(line.line, s)} onClick={() => say("normal")}>
            {words.good}
          </button>
          <button type="button" class="isbad" aria-label={words.badMeans(line.line, s)} onClick={() => say("nothing")}>
            {words.badWord}
          </button>
        </div>
      )}
    </li>
  );
}

export function BoxPanel({ box }: { box: string }) {
  const all = useLines()?.lines ?? [];
  const desks = desksOf(all);
  const lines = all.filter((l) => l.box === box).sort((a, b) => a.socket - b.socket);
  const boxes = [...new Set(all.map((l) => l.box))];
  const says = me.value?.boxes?.find((b) => b.box === box);
  return (
    <Shell title={words.box(box)}>
      <div class="panel-screen">
        <header class="panel-head">
          <h1>
            <span class="letter">{box}</span>
            <span>
              {says?.name ?? words.box(box)}
              <small>{placeOfBox(box, says?.place)}</small>
            </span>
          </h1>
          <nav class="boxtabs" aria-label={words.boxes}>
            {boxes
              .filter((b) => b !== box)
              .map((b) => (
                <a key={b} class="button" href={href.box(b)}>
                  {b}
                </a>
              ))}
          </nav>
        </header>
        <p class="quiet">{words.boxSay}</p>
        <HeardAt desks={desks} />
        {lines.length === 0 && <p class="quiet">{all.length ? words.notThere : words.loading}</p>}
        <ol class="panel">
          {lines.map((l) => (
            <Socket key={l.line} line={l} at={heardAt(desks)} />
          ))}
        </ol>
        <p class="under">
          <a class="button" href={href.steps}>
            <Icon name="back" />
            {words.steps}
          </a>
        </p>
      </div>
    </Shell>
  );
}
