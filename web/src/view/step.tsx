// SPDX-License-Identifier: GPL-3.0-or-later
//
// One step, as somebody with plugs in the ears reads it: what comes first (the caution), what to do,
// why, and a button for every reading it can give. Lamp pictures are drawn as lamps, with words.

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { may, me, note, tell } from "../store";
import type { Step } from "../wire";
import { words } from "../words";

export function isPicture(check: string | null, reading: string): boolean {
  return (check === "lamps" || check === "sent") && /^[GRgrd.]+$/.test(reading);
}

/// Lamps of a tester, left to right: a lit one is full, a weaker one half, a dim one a small dot.
export function Lamps({ picture }: { picture: string }) {
  return (
    <span class="lamps" role="img" aria-label={[...picture].map((l) => words.lamp[l] ?? l).join(", ")}>
      {[...picture].map((l, i) => (
        <span key={i} class={"lamp lamp-" + (l === "." ? "dark" : l)}>
          <i />
          <small>{words.lamp[l] ?? l}</small>
        </span>
      ))}
    </span>
  );
}

/// The readings a person may have just given, until the server knows: the button stays marked.
const chosen = signal("");

export function answerStep(step: Step, reading: string): void {
  if (step.check === null) return;
  chosen.value = stepKey(step) + reading;
  void tell({ verb: "saw", line: step.line, check: step.check, reading, at: step.at });
}

export function stepKey(step: Step): string {
  return `${step.line}|${step.at}|${step.check ?? step.say}|`;
}

/// A step as the log names it: the check, and the desk it is done at.
export function stepWord(step: Step): string {
  const what = step.check ?? step.does;
  return /^(foh|mon|broadcast)/.test(step.at) ? `${what} at ${step.at}` : what;
}

const about = (step: Step) => ({ line: step.line, step: stepWord(step), at: step.at, who: step.who });

/// Because: as words.because names them.
export function refuseStep(step: Step, why: "cannot" | "busy" | "somebody else did"): void {
  void tell({ verb: "refuse", ...about(step), why });
}

export function takeStep(step: Step): void {
  void tell({ verb: "take", ...about(step), seconds: Math.ceil(step.seconds) });
}

/// The hands are done; whether it helped is for a desk to hear, which is asked.
export function doneStep(step: Step, desk: string): void {
  void tell({ verb: "done", ...about(step) });
  if (desk && may("say")) void tell({ verb: "say", to: desk, text: words.doneAt(step.line, step.at), line: step.line });
  note("good", words.doneSaid);
}

export function Readings({ step, keys }: { step: Step; keys?: boolean }) {
  if (!may("saw")) return <p class="quiet">{words.lookOnly}</p>;
  return (
    <div class="answers" role="group" aria-label={words.whatSeen}>
      {step.readings.map((r, i) => {
        const says = step.reading_says[i] ?? r;
        const picture = isPicture(step.check, r);
        return (
          <button
            key={r}
            type="button"
            class={"answer" + (r === "better" ? " hope" : "")}
            data-reading={r}
            aria-pressed={chosen.value === stepKey(step) + r}
            onClick={() => answerStep(step, r)}
          >
            {picture && <Lamps picture={r} />}
            <span>{says}</span>
            {keys && i < 9 && <kbd aria-hidden="true">⇧{i + 1}</kbd>}
          </button>
        );
      })}
    </div>
  );
}

/// `mine` is false when the step is for somebody elsewhere: he is named, and can be answered for.
export function StepCard({ step, keys, mine, tag }: { step: Step; keys?: boolean; mine: boolean; tag?: string }) {
  return (
    <article class={"step" + (keys ? " first" : "")} data-check={step.check ?? ""} data-at={step.at}>
      <header>
        {tag && <h3>{tag}</h3>}
        <p class="for">
          <span class="vh">{words.stepFor} </span>
          <b>{step.who}</b>
          <span>{words.seconds(step.seconds)}</span>
        </p>
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
      {!mine && <p class="because">{words.askFor(step.who)}</p>}
      <p class="ask-what">{words.whatSeen}</p>
      <Readings step={step} keys={keys ?? false} />
      {may("refuse") && (
        <div class="refuse">
          <button type="button" onClick={() => refuseStep(step, "cannot")}>
            {words.cannot}
          </button>
          <button type="button" onClick={() => refuseStep(step, "somebody else did")}>
            {words.other}
          </button>
        </div>
      )}
    </article>
  );
}

export function myPlace(): string {
  return me.value?.place ?? "";
}
