// SPDX-License-Identifier: GPL-3.0-or-later
//
// The day's paper: which sheets there are, a look at each page as it will be printed (drawn by the
// same code), and the PDF itself. Nothing is printed from here by itself: the PDF opens, and the
// printer is the browser's own.

import { signal } from "@preact/signals";
import { href } from "../route";
import { useAnswer } from "../store";
import type { Now, SheetAbout, Sheets } from "../wire";
import { words } from "../words_rest";
import { Shell } from "./shell";

const paper = signal("a4");
const tape = signal("");
const act = signal("");
const page = signal(1);

/// Where phones find this page, for the codes on labels; loopback is no place for a phone to go.
function pageAddress(): string {
  return /^(localhost|127\.|\[::1\])/.test(location.host) ? "" : location.origin;
}

/// The question for a sheet, as every link and picture here asks it.
export function sheetAsk(what: string, takesTape: boolean, more: Record<string, string>): string {
  const ask = new URLSearchParams({ what });
  if (act.value) ask.set("act", act.value);
  if (paper.value !== "a4") ask.set("paper", paper.value);
  if (takesTape && tape.value) ask.set("tape", tape.value);
  const address = pageAddress();
  if (address) ask.set("page-address", address);
  for (const [k, v] of Object.entries(more)) ask.set(k, v);
  return "sheet?" + ask.toString();
}

function Choice({ name, all, is, say, pick }: { name: string; all: readonly string[]; is: string; say: (one: string) => string; pick: (one: string) => void }) {
  return (
    <div class="answers" role="group" aria-label={name}>
      {all.map((one) => (
        <button key={one} type="button" class="answer" aria-pressed={is === one} data-pick={one} onClick={() => pick(one)}>
          {say(one)}
        </button>
      ))}
    </div>
  );
}

function Look({ what, takesTape }: { what: string; takesTape: boolean }) {
  const { value, error } = useAnswer<SheetAbout>(sheetAsk(what, takesTape, { about: "1" }));
  const n = value?.pages ?? 0;
  const at = Math.min(page.value, Math.max(1, n));
  if (!value) return <p class="quiet">{error || words.loading}</p>;
  return (
    <>
      {value.notes.length > 0 && (
        <ul class={"plainlist" + (value.complete ? "" : " caution")}>
          {value.notes.map((note) => (
            <li key={note}>{note}</li>
          ))}
        </ul>
      )}
      <p class="turn">
        <button type="button" disabled={at <= 1} onClick={() => (page.value = at - 1)}>
          {words.paperBack}
        </button>
        <b>{words.paperPage(at, n)}</b>
        <button type="button" disabled={at >= n} onClick={() => (page.value = at + 1)}>
          {words.paperOn}
        </button>
      </p>
      <img class="sheet" src={"/api/1/" + sheetAsk(what, takesTape, { picture: String(at) })} alt={words.paperAlt(value.title, at)} />
    </>
  );
}

export function PaperScreen({ what }: { what: string }) {
  const { value, error } = useAnswer<Sheets>("sheet");
  const now = useAnswer<Now>("now").value;
  const one = value?.sheets.find((s) => s.what === what);
  return (
    <Shell title={one ? one.title : words.paper}>
      <div class="paper">
        <h1>{one ? one.title : words.paper}</h1>
        {!value && <p class="quiet">{error || words.loading}</p>}
        {value && !one && (
          <ul class="plainlist sheets">
            {value.sheets.map((s) => (
              <li key={s.what}>
                <a class="button wideb" href={href.paper(s.what)} data-sheet={s.what}>
                  {s.title}
                </a>
                <p class="quiet">{s.does}</p>
              </li>
            ))}
          </ul>
        )}
        {one && (
          <>
            <p>
              <a class="button" href={href.paper()}>
                {words.paperAll}
              </a>{" "}
              <a class="button go" href={"/api/1/" + sheetAsk(one.what, one.tape, {})} target="_blank" rel="noopener" data-open>
                {words.paperOpen}
              </a>
            </p>
            {one.of !== "day" && now?.acts && (
              <Choice name={words.paperAct} all={["", ...now.acts.map((a) => a.act)]} is={act.value} say={(a) => (a ? words.act(a) : words.paperNow)} pick={(a) => (act.value = a)} />
            )}
            <Choice name={words.paperSize} all={["a4", "letter"]} is={paper.value} say={(p) => words.paperSizes[p] ?? p} pick={(p) => (paper.value = p)} />
            {one.tape && <Choice name={words.paperTape} all={["", "9", "12", "24"]} is={tape.value} say={(t) => (t ? words.paperTapeIs(t) : words.paperNoTape)} pick={(t) => (tape.value = t)} />}
            <Look key={sheetAsk(one.what, one.tape, {})} what={one.what} takesTape={one.tape} />
          </>
        )}
      </div>
    </Shell>
  );
}
