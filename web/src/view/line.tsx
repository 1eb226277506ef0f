// SPDX-License-Identifier: GPL-3.0-or-later
//
// One line, big: how it stands at each desk, the next step with its answers, its parts from source
// to desk, the ways round, and what was told about it, each of which can be taken back.

import { signal } from "@preact/signals";
import { Glyph, Icon, StateMark } from "../glyph";
import { sortOf } from "../parts";
import { href } from "../route";
import { log, may, me, pending, tell, toldAge_s, useAnswer, type Behind } from "../store";
import { toldSay } from "../told";
import { isMine } from "../walk";
import type { Around, LineOne, Next, Part, State, Way } from "../wire";
import { words } from "../words";
import { besideLine, desksOf } from "./all_lines";
import { Shell, useLines } from "./shell";
import { Asks, myPlace, StepCard, stepKey } from "./step";

const openPart = signal("");

function PartOdds({ part }: { part: Part }) {
  const odds = (part.odds ?? []).filter((o) => o.prob > 0.0005).slice(0, 6);
  return (
    <ul class="odds">
      {odds.map((o) => (
        <li key={o.fault + (o.say ?? "")}>
          <span>{o.say ?? o.fault}</span>
          <span>{words.chance(o.prob)}</span>
          <meter min={0} max={1} value={o.prob} aria-hidden="true" />
        </li>
      ))}
    </ul>
  );
}

function probOf(part: Part): number {
  return part.prob ?? (part.odds ?? []).reduce((sum, o) => sum + o.prob, 0);
}

/// The line's own drawing: the parts as beads on a wire, the likeliest widest.
function Chain({ line }: { line: LineOne }) {
  const parts = line.parts.filter((p) => sortOf(p) !== "else");
  const rest = line.parts.filter((p) => sortOf(p) === "else");
  return (
    <section class="chain" aria-labelledby="chain-h">
      <h2 id="chain-h">{words.parts}</h2>
      <p class="likely">{line.likely}</p>
      <ol>
        {[...parts, ...rest].map((p) => {
          const prob = probOf(p);
          const open = openPart.value === p.part;
          return (
            <li key={p.part} class={"part s-" + p.state} data-state={p.state}>
              <button type="button" aria-expanded={open} onClick={() => (openPart.value = open ? "" : p.part)}>
                <Glyph state={p.state} />
                <span class="p-name">{p.part}</span>
                <span class="p-state">{words.state[p.state]}</span>
                <span class="p-prob">{line.state === "unused" ? "" : words.chance(prob)}</span>
                <span class="p-bar" aria-hidden="true">
                  <i style={{ width: Math.max(1, Math.round(prob * 100)) + "%" }} />
                </span>
              </button>
              {open && <PartOdds part={p} />}
            </li>
          );
        })}
      </ol>
    </section>
  );
}

function OneWay({ w, nth, line, taken }: { w: Way; nth: number; line: number; taken: boolean }) {
  return (
    <li class="way">
      {w.caution && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {w.caution}
          </span>
        </p>
      )}
      <p class="say">{w.say}</p>
      <p class="for">
        <b>{words.seconds(w.seconds)}</b>
        <span>{words.wayPeople(w.people)}</span>
        <span>{w.uses}</span>
      </p>
      <details open={nth === 0}>
        <summary>{words.wayDesks}</summary>
        <dl>
          {w.desks.map((d) => (
            <div key={d.desk}>
              <dt>{words.deskName(d.desk)}</dt>
              <dd>{d.do}</dd>
            </div>
          ))}
        </dl>
      </details>
      {taken ? (
        <p class="quiet">{words.wayTaken}</p>
      ) : (
        may("saw") && (
          <button type="button" class="go" data-way={w.way} onClick={() => void tell({ verb: "saw", line, check: "move", reading: w.way, at: "socket" })}>
            {words.wayTake}
          </button>
        )
      )}
    </li>
  );
}

function Ways({ line, around, behind }: { line: LineOne; around: Around | null; behind: Behind }) {
  if (!around) return null;
  return (
    <section class="ways" aria-labelledby="ways-h" aria-busy={behind}>
      <h2 id="ways-h">{words.ways}</h2>
      {around.ways.length === 0 && <p class="quiet">{words.waysNone}</p>}
      <ol>
        {around.ways.slice(0, 1).map((w, i) => (
          <OneWay key={w.way} w={w} nth={i} line={line.line} taken={around.taken === i + 1} />
        ))}
      </ol>
      {around.ways.length > 1 && (
        <details>
          <summary>{words.waysMore(around.ways.length - 1)}</summary>
          <ol>
            {around.ways.slice(1, 6).map((w, i) => (
              <OneWay key={w.way} w={w} nth={i + 1} line={line.line} taken={around.taken === i + 2} />
            ))}
          </ol>
        </details>
      )}
    </section>
  );
}

function History({ line }: { line: number }) {
  const told = log.value.filter((t) => t.line === line && t.kind !== "voided").reverse();
  const waits = pending.value.filter((p) => p.fact["line"] === line).reverse();
  return (
    <section class="history" aria-labelledby="history-h">
      <h2 id="history-h">{words.history}</h2>
      {told.length + waits.length === 0 && <p class="quiet">{words.historyNone}</p>}
      <ol>
        {waits.map((p) => (
          <li key={p.id} class="waits">
            <span class="h-say">
              {String(p.fact["check"] ?? p.fact.verb)}
              {p.fact["reading"] !== undefined ? `=${String(p.fact["reading"])}` : ""}
            </span>
            <small>{p.seq === null ? words.queued : words.toldGood}</small>
          </li>
        ))}
        {told.slice(0, 20).map((t) => (
          <li key={t.id} class={t.void ? "void" : ""}>
            <span class="h-say">{toldSay(t)}</span>
            <small>
              {words.ago(toldAge_s(t))}
              {t.role ? ` · ${words.by(words.roleName(t.role))}` : ""}
              {t.void ? ` · ${words.taken}` : ""}
            </small>
            {!t.void && may("undo") && (
              <button type="button" onClick={() => void tell({ verb: "undo", fact: t.id })} aria-label={`${words.undo}: ${toldSay(t)}`}>
                <Icon name="undo" />
                <span>{words.undo}</span>
              </button>
            )}
          </li>
        ))}
      </ol>
    </section>
  );
}

const LISTEN: readonly [string, readonly string[]][] = [
  ["level", ["normal", "low", "far down", "nothing", "over"]],
  ["hum", ["none", "audible", "loud"]],
  ["crackle", ["none", "some", "on touch"]],
  ["polarity", ["same", "inverted"]],
  ["look", ["fine", "muted", "patch", "phantom", "pad", "gain"]],
];
const tellAt = signal("");

/// What a desk hears without having been asked.
function TellOther({ line, desks }: { line: LineOne; desks: readonly string[] }) {
  const here = desks.filter((d) => line.at[d] !== undefined);
  const at = tellAt.value && here.includes(tellAt.value) ? tellAt.value : here.includes(myPlace()) ? myPlace() : (here[0] ?? "");
  return (
    <section class="tell" aria-labelledby="tell-h">
      <h2 id="tell-h">{words.tellOther}</h2>
      <div class="seg" role="group" aria-label={words.tellAt}>
        {here.map((d) => (
          <button key={d} type="button" aria-pressed={at === d} onClick={() => (tellAt.value = d)}>
            {words.deskName(d)}
          </button>
        ))}
      </div>
      {LISTEN.map(([check, readings]) => (
        <div key={check} class="check" role="group" aria-label={words.check[check] ?? check}>
          <h3>{words.check[check] ?? check}</h3>
          {readings.map((r) => (
            <button key={r} type="button" data-check={check} data-reading={r} onClick={() => void tell({ verb: "saw", line: line.line, check, reading: r, at })}>
              {words.reading[`${check} ${r}`] ?? r}
            </button>
          ))}
        </div>
      ))}
    </section>
  );
}

export function LineScreen({ number }: { number: number }) {
  const { value: line, error, behind: lineBehind } = useAnswer<LineOne>("line?line=" + number);
  const works = line !== null && line.state !== "unused";
  const { value: next, behind: nextBehind } = useAnswer<Next>(works ? "next?line=" + number : null);
  const { value: around, behind: aroundBehind } = useAnswer<Around>(works ? "around?line=" + number : null);
  const all = useLines()?.lines ?? [];
  const desks = desksOf(all);
  const before = besideLine(all, -1);
  const after = besideLine(all, 1);
  const steps = next?.steps.filter((s) => s.line === number || s.lines.includes(number)) ?? [];
  const first = steps.find((s) => s.when === "now") ?? steps[0];
  const mine = (at: string): boolean => isMine(at, myPlace(), desks);

  return (
    <Shell title={words.line(number)}>
      {!line && <p class="quiet">{error || words.loading}</p>}
      {line && (
        <div class="one">
          <header class={"plate s-" + line.state} aria-busy={lineBehind}>
            <nav aria-label={words.line(number)}>
              <a class="round" href={before ? href.line(before) : href.lines()} aria-label={words.prev}>
                <Icon name="back" />
              </a>
              <a class="round" href={after ? href.line(after) : href.lines()} aria-label={words.next}>
                <Icon name="fore" />
              </a>
            </nav>
            <h1>
              <span class="vh">{words.line(number)}</span>
              <span class="big-n" aria-hidden="true">
                {number}
              </span>
              <span class="src">
                {line.source || (line.spare ? words.spare : words.nothingPlugged)}
                <small>
                  {line.box}
                  {line.socket}
                </small>
              </span>
            </h1>
            <p class="how">
              <StateMark state={line.state} big />
            </p>
            <ul class="desks">
              {desks
                .filter((d) => line.at[d])
                .map((d) => (
                  <li key={d} class={"s-" + (line.at[d] as State)}>
                    <span>{words.deskName(d)}</span>
                    <StateMark state={line.at[d] as State} />
                  </li>
                ))}
            </ul>
            {line.runs_on !== undefined && (
              <p>
                <a class="button" href={href.line(line.runs_on)}>
                  {words.runsOn(line.runs_on)}
                </a>
              </p>
            )}
          </header>

          <div class="col">
          <section class="todo" aria-labelledby="todo-h">
            <h2 id="todo-h">{words.stepNow}</h2>
            {first && line.state !== "proven" && <StepCard key={stepKey(first)} step={first} keys mine={mine(first.at)} behind={nextBehind} />}
            {line.state === "proven" && <p class="quiet">{words.stepProven}</p>}
            {!first && next && line.state !== "proven" && (
              <div class="none" aria-busy={nextBehind}>
                <Asks quiet text={line.state === "bad" || line.state === "suspect" ? words.stepNoneBad : words.stepNone} />
              </div>
            )}
            {(steps.length > 1 || (first && line.state === "proven")) && (
              <details class="others">
                <summary>{line.state === "proven" ? words.allTheSame : words.instead}</summary>
                {steps
                  .filter((s) => s !== first || line.state === "proven")
                  .slice(0, 6)
                  .map((s, i) => (
                    <StepCard key={stepKey(s) + i} step={s} mine={mine(s.at)} behind={nextBehind} tag={s.when === "meanwhile" ? words.meanwhile : words.instead} />
                  ))}
              </details>
            )}
            {line.usual_practice && <p class="quiet small">{words.usualLong}</p>}
          </section>

          {works && <Ways line={line} around={around} behind={aroundBehind} />}
          {works && may("saw") && <TellOther line={line} desks={desks} />}
          </div>
          <div class="col">
          <Chain line={line} />
          {line.say && (
            <section class="unsaid">
              <h2>{words.notSeen}</h2>
              <p>{line.say}</p>
              {line.left_aside && <p class="quiet">{line.left_aside}</p>}
            </section>
          )}
          <History line={number} />
          </div>
          <p class="under">
            <a class="button" href={href.sign(number)}>
              <Icon name="sign" />
              {words.toSign}
            </a>
            <a class="button" href={href.lines(line.box)}>
              {words.box(line.box)}
            </a>
          </p>
          <p class="quiet small law">{words.noLaw}</p>
        </div>
      )}
      {me.value === null && <span />}
    </Shell>
  );
}
