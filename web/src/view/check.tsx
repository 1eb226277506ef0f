// SPDX-License-Identifier: GPL-3.0-or-later
//
// The line check: line after line in socket order, and the ten answers it takes. A desk tells what
// it hears; stage sees what every desk has said, and that it can go on.

import { signal } from "@preact/signals";
import { Glyph, Icon } from "../glyph";
import { go, href } from "../route";
import { may, tell } from "../store";
import { words } from "../words";
import { desksOf } from "./all_lines";
import { HeardAt, heardAt } from "./heard";
import { Shell, useLines } from "./shell";
import { myPlace } from "./step";

const asking = signal(false);
const TEN: readonly (keyof typeof words.ten)[] = ["yes", "no", "again", "wrong", "crackle", "hum", "low", "phantom", "skip", "stop"];
const READS: Partial<Record<keyof typeof words.ten, [string, string]>> = {
  yes: ["level", "normal"],
  no: ["level", "nothing"],
  crackle: ["crackle", "some"],
  hum: ["hum", "audible"],
  low: ["level", "low"],
  phantom: ["look", "phantom"],
};

export function LineCheck({ number }: { number: number }) {
  const all = useLines()?.lines ?? [];
  const desks = desksOf(all);
  const used = all.filter((l) => l.source);
  const line = used.find((l) => l.line === number) ?? used.find((l) => l.state === "unproven") ?? used[0];
  const at = heardAt(desks);
  const stage = !desks.includes(myPlace());
  const beside = (by: number): number => used[used.findIndex((l) => l === line) + by]?.line ?? 0;
  const on = (n: number): void => {
    if (n) go(href.check(n));
  };
  const answer = (word: keyof typeof words.ten): void => {
    if (!line) return;
    const reads = READS[word];
    if (word === "wrong") {
      asking.value = !asking.value;
      return;
    }
    if (reads) void tell({ verb: "saw", line: line.line, check: reads[0], reading: reads[1], at });
    else if (word === "stop") void tell({ verb: "say", to: "all", text: words.saidStop, urgent: true });
    else void tell({ verb: "say", to: stage ? at : "stage", text: word === "again" ? words.saidAgain(line.line) : words.saidSkip(line.line), line: line.line });
    if (word === "yes" || word === "skip") on(beside(1));
  };
  return (
    <Shell title={words.lineCheck}>
      <div class="linecheck">
        <h1>{words.lineCheck}</h1>
        <p class="quiet">{words.lineCheckSay}</p>
        <HeardAt desks={desks} />
        {!line && <p class="quiet">{words.loading}</p>}
        {line && (
          <>
            <div class="walk">
              <button type="button" class="round" aria-label={words.prev} disabled={!beside(-1)} onClick={() => on(beside(-1))}>
                <Icon name="back" />
              </button>
              <p class="nowline" aria-live="polite">
                <span class="big-n">{line.line}</span>
                <b>{line.source}</b>
                <small>
                  {line.box}
                  {line.socket}
                </small>
              </p>
              <button type="button" class="round" aria-label={words.next} disabled={!beside(1)} onClick={() => on(beside(1))}>
                <Icon name="fore" />
              </button>
            </div>
            <ul class="heard">
              {desks
                .filter((d) => line.at[d])
                .map((d) => (
                  <li key={d} class={"s-" + line.at[d]}>
                    <Glyph state={line.at[d] ?? "unused"} />
                    <b>{words.deskWord(d)}</b>
                    <span>{words.state[line.at[d] ?? "unused"]}</span>
                  </li>
                ))}
            </ul>
            {stage && may("say") && (
              <button type="button" class="go wideb" onClick={() => void tell({ verb: "say", to: "all", text: words.saidHere(line.line, line.source), line: line.line })}>
                {words.announce}
              </button>
            )}
            <div class="ten" role="group" aria-label={`${words.lineCheckFor} ${words.deskName(at)}`}>
              {TEN.map((t) => (
                <button key={t} type="button" class={"t-" + t} data-ten={t} aria-expanded={t === "wrong" ? asking.value : undefined} onClick={() => answer(t)}>
                  <b>{words.ten[t]}</b>
                  <small>{words.tenMeans[t]}</small>
                </button>
              ))}
            </div>
            {asking.value && (
              <form
                class="field"
                onSubmit={(e) => {
                  e.preventDefault();
                  const n = new FormData(e.currentTarget).get("on");
                  if (n) void tell({ verb: "saw", line: line.line, check: "seen", reading: `on ${String(n)}`, at });
                  asking.value = false;
                }}
              >
                <label>
                  <span>{words.onWhich}</span>
                  <input name="on" inputMode="numeric" pattern="[0-9]+" required class="code" />
                </label>
                <button class="go">{words.talkSend}</button>
              </form>
            )}
            <p class="under">
              <a class="button" href={href.line(line.line)}>
                {words.line(line.line)}
              </a>
            </p>
          </>
        )}
      </div>
    </Shell>
  );
}
