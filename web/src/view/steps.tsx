// SPDX-License-Identifier: GPL-3.0-or-later
//
// My steps: for the phone on stage. One step at a time, in walking order, large; what was seen is
// one tap.

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { box } from "../device";
import { href } from "../route";
import { log, may, pending, useAnswer, type Behind } from "../store";
import { isMine, walkOrder } from "../walk";
import type { Next, Step } from "../wire";
import { words } from "../words";
import { desksOf } from "./all_lines";
import { GiveBack } from "./follow";
import { Shell, useLines } from "./shell";
import { Asks, doneStep, myPlace, Readings, refuseStep, stepKey, stepWord, takeStep } from "./step";

const nth = signal(0);

function BigStep({ step, behind }: { step: Step; behind: Behind }) {
  const line = useLines()?.lines.find((l) => l.line === step.line);
  const desk = step.at in words.desk;
  const taken =
    pending.value.some((p) => p.fact.verb === "take" && p.fact["line"] === step.line && p.fact["step"] === stepWord(step)) ||
    log.value.some((t) => t.kind === "step_taken" && !t.void && t.line === step.line && t.body["step"] === stepWord(step) && t.place === myPlace());
  // Whoever hears nothing there is asked when the hands are done
  const deaf = Object.keys(line?.at ?? {}).find((d) => line?.at[d] === "bad") ?? "foh";
  // A look is answered by what was seen; hands say first that they are at it, or done
  const moves = may("take") && (
    <div class="moves">
      {!taken && (
        <button type="button" class="go" data-move="take" onClick={() => takeStep(step)}>
          {words.take}
        </button>
      )}
      {(step.does === "repair" || step.does === "move") && (
        <button type="button" class="go" data-move="done" onClick={() => doneStep(step, deaf)}>
          {words.done}
        </button>
      )}
      <button type="button" data-move="cannot" onClick={() => refuseStep(step, "cannot")}>
        {words.cannot}
      </button>
      <button type="button" data-move="busy" onClick={() => refuseStep(step, "busy")}>
        {words.busy}
      </button>
      <button type="button" data-move="other" onClick={() => refuseStep(step, "somebody else did")}>
        {words.other}
      </button>
    </div>
  );
  const readings = (
    <>
      <Asks text={words.readWhat} />
      <Readings step={step} keys behind={behind} />
    </>
  );
  return (
    <article class="bigstep step mine" aria-busy={behind} data-check={step.check ?? ""} data-at={step.at}>
      <header>
        <p class="where">
          <small>{words.at}</small>
          <b>{desk ? words.deskWord(step.at) : step.at === "socket" && line ? `${line.box}${line.socket}` : step.at}</b>
        </p>
        <a class="where line" href={href.line(step.line)}>
          <small>{words.typed}</small>
          <b>{step.line}</b>
          <span>{line?.source}</span>
        </a>
      </header>
      {step.caution && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {step.caution}
          </span>
        </p>
      )}
      <p class="say">{step.say}</p>
      {step.why && <p class="because">{step.why}</p>}
      <p class="because">{words.takes(step.seconds)}</p>
      {step.does === "check" ? readings : moves}
      {step.does === "check" ? moves : readings}
    </article>
  );
}

export function MySteps() {
  const { value: next, error, behind } = useAnswer<Next>("next");
  const all = useLines()?.lines ?? [];
  const desks = desksOf(all);
  const boxes = [...new Set(all.map((l) => l.box))];
  const place = myPlace();
  const socketOf = (s: Step): Step => {
    const l = all.find((x) => x.line === s.line);
    return s.at === "socket" && l ? { ...s, at: `${l.box}${l.socket}` } : s;
  };
  const mine = (next?.steps ?? []).filter((s) => isMine(s.at, place, desks));
  const walk = walkOrder(mine.map(socketOf), boxes, box.value).map((s) => mine.find((m) => stepKey(socketOf(m)) === stepKey(s)) ?? s);
  const i = Math.min(nth.value, Math.max(0, walk.length - 1));
  const step = walk[i];
  const others = (next?.steps ?? []).filter((s) => !mine.includes(s));

  return (
    <Shell title={words.steps}>
      <div class="mysteps">
        <h1 class="vh">{words.steps}</h1>
        {!next && <p class="quiet">{error || words.loading}</p>}
        {step && (
          <>
            {walk.length > 1 && (
              <nav class="walk" aria-label={words.steps}>
                <button type="button" class="round" aria-label={words.stepBefore} disabled={i === 0} onClick={() => (nth.value = i - 1)}>
                  <Icon name="back" />
                </button>
                <b>{words.stepOf(i + 1, walk.length)}</b>
                <button type="button" class="round" aria-label={words.stepAfter} disabled={i >= walk.length - 1} onClick={() => (nth.value = i + 1)}>
                  <Icon name="fore" />
                </button>
              </nav>
            )}
            <BigStep key={stepKey(step)} step={step} behind={behind} />
          </>
        )}
        {next && !step && (
          <div class="rest" aria-busy={behind}>
            <p class="say">{words.stepsNone}</p>
            <Asks quiet text={words.stepsNoneMore} />
          </div>
        )}
        {others.length > 0 && (
          <section>
            <h2>{words.busyNow}</h2>
            <ul class="plainlist">
              {others.map((s) => (
                <li key={stepKey(s)}>
                  <a href={href.line(s.line)}>
                    <b>{s.line}</b> <span>{s.who}:</span> {s.say}
                  </a>
                </li>
              ))}
            </ul>
          </section>
        )}
        <GiveBack />
        <nav class="works" aria-label={words.works}>
          <a class="button wideb" href={href.prove()}>
            <Icon name="seen" />
            {words.prove}
          </a>
          <a class="button wideb" href={href.change()}>
            <Icon name="compare" />
            {words.change}
          </a>
        </nav>
      </div>
    </Shell>
  );
}
