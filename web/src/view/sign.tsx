// SPDX-License-Identifier: GPL-3.0-or-later
//
// The sign: a number, a word and a shape that fill the screen and carry across a stage. It is never
// lit before somebody has said that it does not look at the audience. Slow flash: one a second,
// well under the three a second that can harm people.

import { signal } from "@preact/signals";
import { useEffect, useLayoutEffect, useRef } from "preact/hooks";
import { Icon } from "../glyph";
import { words } from "../words_work";
import { Shell } from "./shell";

type Shape = "tick" | "cross" | "arrow" | "hand" | "ring" | "bars";
const SHAPE: Record<string, Shape> = {
  BAD: "cross",
  GOOD: "tick",
  NEXT: "arrow",
  AGAIN: "ring",
  MUTE: "bars",
  WAIT: "bars",
  STOP: "hand",
  COME: "arrow",
  YES: "tick",
  NO: "cross",
};
const PATHS: Record<Shape, string> = {
  tick: "M12 54l26 26 50-60",
  cross: "M16 16l68 68M84 16L16 84",
  arrow: "M10 50h74M56 20l30 30-30 30",
  hand: "M32 8h36l24 24v36L68 92H32L8 68V32zM50 28v28M50 68v6",
  ring: "M84 50a34 34 0 1 1-10-24M76 6v22H54",
  bars: "M32 14v72M68 14v72",
};

const number = signal("");
const word = signal(words.signWords[0] ?? "");
const flash = signal<"steady" | "slow">("steady");
const phase = signal<"make" | "ask" | "lit">("make");

function Lit() {
  const ref = useRef<HTMLDivElement>(null);
  useEffect(() => {
    const el = ref.current;
    el?.focus();
    // Filling the screen is a wish: a browser may refuse, and the sign still fills the window
    el?.requestFullscreen?.({ navigationUI: "hide" }).catch(() => {});
    return () => {
      if (document.fullscreenElement) void document.exitFullscreen().catch(() => {});
    };
  }, []);
  const shape = SHAPE[word.value] ?? "ring";
  const close = (): void => {
    phase.value = "make";
  };
  return (
    <div
      ref={ref}
      class={"lit lit-" + shape + (flash.value === "slow" ? " slow" : "")}
      role="dialog"
      aria-modal="true"
      aria-label={`${number.value} ${word.value}`}
      tabIndex={0}
      onClick={close}
      onKeyDown={(e) => {
        if (["Escape", "Enter", " "].includes(e.key)) {
          e.preventDefault();
          e.stopPropagation();
          close();
        }
      }}
    >
      <svg viewBox="0 0 100 100" aria-hidden="true">
        <path d={PATHS[shape]} />
      </svg>
      {number.value && <b class={"len" + number.value.length}>{number.value}</b>}
      <span>{word.value}</span>
      <small>{words.signClose}</small>
    </div>
  );
}

export function SignScreen({ number: given }: { number: number }) {
  useLayoutEffect(() => {
    if (given) number.value = String(given);
    phase.value = "make";
  }, [given]);
  if (phase.value === "lit") return <Lit />;
  return (
    <Shell title={words.sign}>
      <div class="sign-make">
        <h1>{words.sign}</h1>
        {phase.value === "ask" ? (
          <section class="ask" aria-labelledby="ask-h">
            <h2 id="ask-h">{words.signWhere}</h2>
            <p>{words.signWhereSay}</p>
            <button type="button" class="go wideb" data-sign="stage" onClick={() => (phase.value = "lit")}>
              {words.signStage}
            </button>
            <button type="button" class="wideb" data-sign="audience" onClick={() => (phase.value = "make")}>
              {words.signAudience}
            </button>
          </section>
        ) : (
          <>
            <label class="field">
              <span>{words.signLine}</span>
              <input class="code" inputMode="numeric" maxLength={3} value={number.value} onInput={(e) => (number.value = e.currentTarget.value.replace(/\D/g, ""))} />
            </label>
            <div class="pickwords" role="group" aria-label={words.signWord}>
              {words.signWords.map((w) => (
                <button key={w} type="button" aria-pressed={word.value === w} onClick={() => (word.value = w)}>
                  <svg class="icon" viewBox="0 0 100 100" aria-hidden="true">
                    <path d={PATHS[SHAPE[w] ?? "ring"]} stroke-width="12" />
                  </svg>
                  {w}
                </button>
              ))}
            </div>
            <div class="seg" role="group" aria-label={words.signFlash}>
              <span>{words.signFlash}</span>
              <button type="button" aria-pressed={flash.value === "steady"} onClick={() => (flash.value = "steady")}>
                {words.signSteady}
              </button>
              <button type="button" aria-pressed={flash.value === "slow"} onClick={() => (flash.value = "slow")}>
                {words.signSlow}
              </button>
            </div>
            <button type="button" class="go wideb" data-sign="show" onClick={() => (phase.value = "ask")}>
              <Icon name="sign" />
              {words.signShow}
            </button>
            <h2>{words.signAnswer}</h2>
            <div class="pickwords" role="group" aria-label={words.signAnswer}>
              {words.signAnswers.map((w) => (
                <button
                  key={w}
                  type="button"
                  data-answer={w}
                  onClick={() => {
                    word.value = w;
                    phase.value = "ask";
                  }}
                >
                  <svg class="icon" viewBox="0 0 100 100" aria-hidden="true">
                    <path d={PATHS[SHAPE[w] ?? "ring"]} stroke-width="12" />
                  </svg>
                  {w}
                </button>
              ))}
            </div>
            <p class="quiet small">{words.signNoFull}</p>
          </>
        )}
      </div>
    </Shell>
  );
}
