// SPDX-License-Identifier: GPL-3.0-or-later
//
// A state is a shape first, a word second, a colour third. The shapes differ in outline, so that
// they are told apart in grey, at arm's length and upside down:
//
//   proven    full disc with a tick        unproven  broken ring
//   suspect   triangle with a bar          bad       full square with a cross
//   moved     arrow stepping aside         unused    short stroke
//
// `Glyph` is the shape, `StateMark` shape and word together.

import type { JSX } from "preact";
import type { State } from "./wire";
import { words } from "./words";

const SHAPES: Record<State, () => JSX.Element> = {
  proven: () => (
    <>
      <circle cx="10" cy="10" r="9" fill="currentColor" />
      <path d="M5.4 10.4l3.2 3.3 6-7" class="cut" />
    </>
  ),
  unproven: () => <circle cx="10" cy="10" r="7.8" fill="none" stroke="currentColor" stroke-width="2.2" stroke-dasharray="4.1 2.03" />,
  suspect: () => (
    <>
      <path d="M10 2.2L18.4 17.4H1.6z" fill="none" stroke="currentColor" stroke-width="2.4" stroke-linejoin="round" />
      <path d="M10 7.4v4.6M10 13.9v1.6" stroke="currentColor" stroke-width="2.2" />
    </>
  ),
  bad: () => (
    <>
      <path d="M1.5 1.5h17v17h-17z" fill="currentColor" />
      <path d="M5.6 5.6l8.8 8.8M14.4 5.6l-8.8 8.8" class="cut" />
    </>
  ),
  moved: () => <path d="M2 15.5h5.5v-9H16M12 2.4l4.4 4.1L12 10.6" fill="none" stroke="currentColor" stroke-width="2.6" stroke-linejoin="round" />,
  unused: () => <path d="M5 10h10" stroke="currentColor" stroke-width="2.6" />,
};

export function Glyph({ state }: { state: State }) {
  return (
    <svg class={"glyph s-" + state} viewBox="0 0 20 20" aria-hidden="true" focusable="false">
      {SHAPES[state]()}
    </svg>
  );
}

export function StateMark({ state, big }: { state: State; big?: boolean }) {
  return (
    <span class={"mark s-" + state + (big ? " big" : "")} data-state={state}>
      <Glyph state={state} />
      <span>{words.state[state]}</span>
    </span>
  );
}

/// Plain outlines for buttons and signs.
const ICONS = {
  lines: "M3 5h14M3 10h14M3 15h14M6 3.2v3.6M13 8.2v3.6M8.5 13.2v3.6",
  steps: "M4 16c0-4 5-3 5-6.5S4.6 7 6.5 4M15.5 4.5v4M15.5 11.5v1M12 15.5h5",
  sign: "M3 3.5h14v9H3zM10 12.5v5M6.5 17.5h7",
  talk: "M3 4h14v9H9.5L6 16.5V13H3z",
  clock: "M10 2.5a7.5 7.5 0 1 0 .01 0zM10 6v4.3l3 2",
  more: "M4 10h.01M10 10h.01M16 10h.01",
  compare: "M4 5h7M4 9h5M9 12h7M11 16h5M14 4l-8 13",
  back: "M12.5 4l-6 6 6 6",
  fore: "M7.5 4l6 6-6 6",
  stop: "M6.5 2.5h7l4 4v7l-4 4h-7l-4-4v-7zM10 6v5M10 13.4v1",
  undo: "M4 8h8.5a4 4 0 0 1 0 8H8M7.5 4.5L4 8l3.5 3.5",
  seen: "M3.5 10.5l3.6 3.7L12 8M9.4 13.2l1 1L17 7",
  tape: "M4 7l9-4 3 6-9 4zM7 13l2.5 4.5M16 9l1.5 3.5",
} as const;
export type IconName = keyof typeof ICONS;
export function Icon({ name }: { name: IconName }) {
  return (
    <svg class="icon" viewBox="0 0 20 20" aria-hidden="true" focusable="false">
      <path d={ICONS[name]} />
    </svg>
  );
}
