// SPDX-License-Identifier: GPL-3.0-or-later
//
// Paper before cable: where lists and desks disagree, before anybody touches a plug; the mark of
// each act's list, to be compared aloud; and the read-back of this desk, one channel at a time, with
// one tap when all is as it should be.

import { signal } from "@preact/signals";
import { Glyph, Icon } from "../glyph";
import { href } from "../route";
import { may, tell, useAnswer } from "../store";
import type { Compare, DeskRow, Difference, Now } from "../wire";
import { words } from "../words_rest";
import { desksOf } from "./all_lines";
import { Shell, useLines } from "./shell";
import { myPlace } from "./step";

const everyAct = signal(false);
const skipped = signal<number[]>([]);
const differs = signal<string[]>([]);

function One({ d }: { d: Difference }) {
  return (
    <li class={"differ s-" + (d.harm ? "bad" : d.sure === "ask" ? "unproven" : "suspect")}>
      {d.caution && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {d.caution}
          </span>
        </p>
      )}
      <p class="d-head">
        <Glyph state={d.harm ? "bad" : d.sure === "ask" ? "unproven" : "suspect"} />
        <b>{words.compareSure[d.sure] ?? d.sure}</b>
        <span>{d.act ? words.act(d.act) : ""}</span>
        <span>{d.desk ? words.placeName(d.desk) : words.lists}</span>
      </p>
      <p class="d-say">
        {d.line ? (
          <a href={href.line(d.line)}>
            <b class="n">{d.line}</b>
          </a>
        ) : null}
        <span>{d.say}</span>
      </p>
      {d.do && <p class="because">{d.do}</p>}
    </li>
  );
}

/// What a row may differ in, as `read` takes it.
function choices(row: DeskRow): string[] {
  return [row.phantom === "yes" ? "48 off" : "48 on", row.pad === "in" ? "pad out" : "pad in", "muted", "none"];
}

function ReadBack({ desk }: { desk: string }) {
  const { value, error } = useAnswer<Compare>("compare?rows=" + encodeURIComponent(desk));
  const rows = value?.rows ?? [];
  const open = rows.filter((r) => !r.read);
  const row = open.find((r) => !skipped.value.includes(r.line)) ?? open[0];
  const say = (reading: string): void => {
    if (!row) return;
    void tell(reading ? { verb: "read", line: row.line, at: desk, reading } : { verb: "read", line: row.line, at: desk });
    skipped.value = [...skipped.value.filter((l) => l !== row.line), row.line];
    differs.value = [];
  };
  if (!value) return <p class="quiet">{error || words.loading}</p>;
  return (
    <section class="readback" aria-labelledby="rb-h">
      <h2 id="rb-h">{words.readBack(words.deskName(desk))}</h2>
      <p class="quiet">{words.readBackSay}</p>
      <p>
        <b>{words.readOf(rows.length - open.length, rows.length)}</b>
      </p>
      {!row && rows.length > 0 && <p>{words.readDone}</p>}
      {row && (
        <div class="step" data-line={row.line}>
          <p class="rb-channel">
            <small>{words.channel}</small>
            <b>{row.channel}</b>
            <span>{row.name}</span>
          </p>
          <dl class="rb-list">
            <div>
              <dt>{words.rbInput}</dt>
              <dd>{row.input}</dd>
            </div>
            <div>
              <dt>{words.rbPhantom}</dt>
              <dd>{words.rbPhantomIs[row.phantom] ?? row.phantom}</dd>
            </div>
            <div>
              <dt>{words.rbPad}</dt>
              <dd>{words.rbPadIs[row.pad] ?? row.pad}</dd>
            </div>
          </dl>
          <button type="button" class="go wideb" data-read="same" disabled={differs.value.length > 0} onClick={() => say("")}>
            {words.rbSame}
          </button>
          <p class="ask-what">{words.rbDiffers}</p>
          <div class="answers" role="group" aria-label={words.rbDiffers}>
            {choices(row).map((c) => (
              <button
                key={c}
                type="button"
                class="answer"
                data-differs={c}
                aria-pressed={differs.value.includes(c)}
                onClick={() => (differs.value = differs.value.includes(c) ? differs.value.filter((x) => x !== c) : [...differs.value, c])}
              >
                {words.rbWord[c] ?? c}
              </button>
            ))}
          </div>
          <form
            class="field row"
            onSubmit={(e) => {
              e.preventDefault();
              const typed = String(new FormData(e.currentTarget).get("other") ?? "").trim();
              e.currentTarget.reset();
              const all = [...differs.value, ...(typed ? [typed] : [])];
              if (all.length) say(all.join(", "));
            }}
          >
            <label>
              <span>{words.rbOther}</span>
              <input name="other" placeholder="in 4, ch 12" autocomplete="off" />
            </label>
            <button class={differs.value.length ? "go" : ""} data-read="differs">
              {words.rbTell}
            </button>
          </form>
          <button type="button" onClick={() => (skipped.value = [...skipped.value.filter((l) => l !== row.line), row.line])}>
            {words.rbSkip}
          </button>
        </div>
      )}
    </section>
  );
}

function Marks({ value }: { value: Compare }) {
  const place = myPlace();
  return (
    <section aria-labelledby="marks-h">
      <h2 id="marks-h">{words.marks}</h2>
      <p class="quiet">{words.marksSay}</p>
      <ul class="marks">
        {(value.lists ?? []).map((l) => (
          <li key={l.act}>
            <p>
              <small>{words.act(l.act)}</small>
              <b class="markword">{l.list}</b>
            </p>
            <ul class="held">
              {l.held.map((h) => (
                <li key={h.place} class={"s-" + (h.is === "same" ? "proven" : h.is === "other" ? "bad" : "unproven")}>
                  <Glyph state={h.is === "same" ? "proven" : h.is === "other" ? "bad" : "unproven"} />
                  <span>{words.held(words.placeName(h.place), h.is === "not said" ? words.heldNot : h.holds)}</span>
                </li>
              ))}
            </ul>
            {may("holds") && l.held.some((h) => h.place === place && h.is !== "same") && (
              <button type="button" onClick={() => void tell({ verb: "holds", act: l.act, at: place, what: l.list })}>
                {words.iHold(l.list)}
              </button>
            )}
          </li>
        ))}
      </ul>
    </section>
  );
}

export function CompareScreen() {
  const now = useAnswer<Now>("now").value;
  const all = useLines()?.lines ?? [];
  const act = everyAct.value || !now || now.act === "bare lines" ? "" : now.act;
  const { value, error } = useAnswer<Compare>(now ? "compare" + (act ? "?act=" + encodeURIComponent(act) : "") : null);
  const list = value?.disagreements ?? [];
  const desks = desksOf(all);
  const place = myPlace();
  return (
    <Shell title={words.compare}>
      <div class="compare">
        <h1>{words.compare}</h1>
        <div class="seg" role="group" aria-label={words.filterAct}>
          <button type="button" aria-pressed={!everyAct.value} onClick={() => (everyAct.value = false)}>
            {now ? words.act(now.act) : words.filterAct}
          </button>
          <button type="button" aria-pressed={everyAct.value} onClick={() => (everyAct.value = true)}>
            {words.everyAct}
          </button>
        </div>
        {!value && <p class="quiet">{error ? words.compareMissing : words.loading}</p>}
        {value && (
          <section aria-labelledby="dis-h">
            <h2 id="dis-h">{words.disagree(list.length)}</h2>
            {list.length === 0 && <p>{words.compareNone}</p>}
            <ul class="differs">
              {list.map((d, i) => (
                <One key={i} d={d} />
              ))}
            </ul>
          </section>
        )}
        {value && desks.includes(place) && may("read") && <ReadBack desk={place} />}
        {value?.lists && <Marks value={value} />}
        {value && value.not_compared.length > 0 && (
          <section aria-labelledby="not-h">
            <h2 id="not-h">{words.compareNot}</h2>
            <ul class="plainlist">
              {value.not_compared.map((n) => (
                <li key={n} class="quiet">
                  {n}
                </li>
              ))}
            </ul>
          </section>
        )}
      </div>
    </Shell>
  );
}
