// SPDX-License-Identifier: GPL-3.0-or-later
//
// One step, as somebody with plugs in the ears reads it: what comes first (the caution), what to do,
// why, and a button for every reading it can give. Lamp pictures are drawn as lamps, with words.

import { signal, useSignalEffect } from "@preact/signals";
import { Icon } from "../glyph";
import { may, me, note, pending, tell, type Behind } from "../store";
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

/// The reading a person has just given, until the server's next step is there: the button stays marked.
const chosen = signal({ answer: "", id: "" });

export function answerStep(step: Step, reading: string): void {
  if (step.check === null) return;
  const id = tell({ verb: "saw", line: step.line, check: step.check, reading, at: step.at });
  chosen.value = { answer: stepKey(step) + reading, id };
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

/// What is asked; in its place, while the next step is being worked out, that it is. Both take the
/// same room, so that nothing moves under a finger. A tap still counts then: what was seen stays
/// true whichever step comes next.
export function Asks({ text, quiet }: { text: string; quiet?: boolean }) {
  return (
    <p class={"asks-now " + (quiet ? "quiet" : "ask-what")}>
      <span>{text}</span>
      <span class="working">{words.working}</span>
    </p>
  );
}

export function Readings({ step, keys, behind }: { step: Step; keys?: boolean; behind: Behind }) {
  useSignalEffect(() => {
    const { id } = chosen.value;
    if (id && !behind.value && !pending.value.some((p) => p.id === id)) chosen.value = { answer: "", id: "" };
  });
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
            aria-pressed={chosen.value.answer === stepKey(step) + r}
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
export function StepCard({ step, keys, mine, tag, behind }: { step: Step; keys?: boolean; mine: boolean; tag?: string; behind: Behind }) {
  return (
    <article class={"step" + (keys ? " first" : "")} aria-busy={behind} data-check={step.check ?? ""} data-at={step.at}>
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
      <Asks text={words.whatSeen} />
      <Readings step={step} keys={keys ?? false} behind={behind} />
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
