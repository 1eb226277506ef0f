// SPDX-License-Identifier: GPL-3.0-or-later
//
// Between two acts: each person's own steps in working order, one tap a tick, the ticks of the
// others as they come; a desk has its channels. When something dies on the way the plan is another
// one, and the screen says what of one's own work is new and what is gone.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { left_s, newsOf, personOf, seenOf, showOf, stepsNow, stepsOf, waitsFor, type Seen } from "../change";
import { Icon } from "../glyph";
import { keptSignal } from "../kept";
import { query } from "../net";
import { go, href } from "../route";
import { goneIds, may, me, tell, toldIds, useAnswer } from "../store";
import type { Change, ChangeStep, Now } from "../wire";
import { words } from "../words_work";
import { Shell } from "./shell";

const own = keptSignal<{ person: number; of: string; seen: Seen }>("change", { person: 0, of: "", seen: {} }, (k) => typeof k.person === "number" && typeof k.seen === "object");

function tick(step: ChangeStep): void {
  if (step.done) {
    if (step.done_by) tell({ verb: "undo", fact: step.done_by.id }, true);
  } else if (step.tick) tell(step.tick, true);
}
const canTick = (s: ChangeStep): boolean => may("change") && (s.done ? s.done_by !== null : s.tick !== null && !goneIds.value.has(s.tick.id));

const whereOf = (s: ChangeStep): string => (s.desk ? words.deskWord(s.desk) : s.socket ? `${s.box}${s.socket}` : s.box ? words.box(s.box) : s.at);

function Channels({ step }: { step: ChangeStep }) {
  return (
    <table class="channels">
      <thead>
        <tr>
          <th>{words.chChannel}</th>
          <th>{words.chInput}</th>
          <th>{words.chName}</th>
          <th>{words.chPhantom}</th>
          <th>{words.chPad}</th>
        </tr>
      </thead>
      <tbody>
        {step.channels.map((c) => {
          const is = (what: string): string | undefined => (c.changes.includes(what) ? "is-new" : undefined);
          return (
            <tr key={c.channel}>
              <th>{c.channel}</th>
              <td class={is("input")}>{c.input}</td>
              <td class={is("name")}>{c.name}</td>
              <td class={is("phantom")}>{words.rbPhantomIs[c.phantom]}</td>
              <td class={is("pad")}>{words.rbPadIs[c.pad]}</td>
            </tr>
          );
        })}
      </tbody>
    </table>
  );
}

/// What may have died at a step: taped off, and everybody's plan is worked out anew.
const broken = signal("");
function Broken({ step }: { step: ChangeStep }) {
  const at = whereOf(step);
  if (broken.value !== step.step) {
    return (
      <button type="button" class="brk" onClick={() => (broken.value = step.step)}>
        <Icon name="tape" />
        {words.broken}
      </button>
    );
  }
  const tape = (item: string): void => {
    tell({ verb: "tape", item, why: words.diedAt(at) });
    broken.value = "";
  };
  return (
    <div class="elses">
      <p class="wide">{words.whatBroken}</p>
      {[`cable ${at}`, at, `tail ${step.box}`].map((item, i) => (
        <button key={item} type="button" data-tape={item} onClick={() => tape(item)}>
          <b>{words.brokenIs[i]?.(at, step.box ?? "")}</b>
        </button>
      ))}
      <button type="button" class="back" onClick={() => (broken.value = "")}>
        {words.close}
      </button>
    </div>
  );
}

function Big({ step, steps }: { step: ChangeStep; steps: readonly ChangeStep[] }) {
  const waits = waitsFor(step, steps);
  return (
    <article class="bigstep chstep" data-step={step.step} data-does={step.does}>
      <header>
        <p class="where">
          <small>{words.changeDoes[step.does] ?? step.does}</small>
          <b>{whereOf(step)}</b>
        </p>
        {step.source && (
          <p class="where line">
            <small>{step.line ? words.line(step.line) : ""}</small>
            <b class="src">{step.source}</b>
            {step.from && <span>{words.fromSocket(step.from)}</span>}
          </p>
        )}
      </header>
      {step.caution && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {step.caution}
          </span>
        </p>
      )}
      {waits.length > 0 && (
        <p class="warn waits-for">
          <b>{words.waitFirst}</b> {waits.map((w) => words.waitsOn(w.who, w.desk ? (words.changeDoes[w.does] ?? w.does) : `${words.changeDoes[w.does] ?? w.does} ${whereOf(w)}`)).join("; ")}
        </p>
      )}
      <p class="say">{step.say}</p>
      {step.channels.length > 0 && <Channels step={step} />}
      {may("change") ? (
        <button type="button" class={"tickbig" + (waits.length ? " early" : "")} data-tick={step.step} disabled={!canTick(step)} onClick={() => tick(step)}>
          {words.tickDone}
        </button>
      ) : (
        <p class="quiet">{words.lookOnly}</p>
      )}
      {step.why && <p class="because">{step.why}</p>}
      {step.socket && may("tape") && <Broken step={step} />}
    </article>
  );
}

function Row({ step, fresh }: { step: ChangeStep; fresh: boolean }) {
  return (
    <li class={(step.done ? "is-done" : "") + (fresh ? " is-fresh" : "")} data-step={step.step}>
      <button type="button" class="tick" aria-pressed={step.done} data-tick={step.step} disabled={!canTick(step)} onClick={() => tick(step)}>
        <i aria-hidden="true" />
        <b>{step.desk ? (words.changeDoes[step.does] ?? step.does) : whereOf(step)}</b>
        <span>
          {fresh && <em>{words.isNew} </em>}
          {step.say}
        </span>
      </button>
    </li>
  );
}

/// The plan of this change as it was seen is what later ones are measured by.
function useNews(of: string, steps: readonly ChangeStep[], person: number): { fresh: ChangeStep[]; gone: string[] } {
  const known = own.value.of === of;
  useEffect(() => {
    if (person && !known) own.value = { ...own.value, of, seen: seenOf(steps) };
  });
  return person && known ? newsOf(own.value.seen, steps, person) : { fresh: [], gone: [] };
}

function News({ fresh, gone, onSeen }: { fresh: ChangeStep[]; gone: string[]; onSeen: () => void }) {
  if (fresh.length + gone.length === 0) return null;
  return (
    <section class="news" role="status" aria-live="polite" data-new={fresh.length} data-gone={gone.length}>
      <p class="say">{words.planNew(fresh.length, gone.length)}</p>
      <ul>
        {fresh.slice(0, 6).map((s) => (
          <li key={s.step}>
            <b>{words.isNew}</b> {s.say}
          </li>
        ))}
        {gone.slice(0, 6).map((say) => (
          <li key={say}>
            <b>{words.isGone}</b> <s>{say}</s>
          </li>
        ))}
      </ul>
      <button type="button" class="go" data-news="seen" onClick={onSeen}>
        <Icon name="seen" />
        {words.seen}
      </button>
    </section>
  );
}

function Pick({ from, to, acts }: { from: string; to: string; acts: readonly string[] }) {
  const pick = (label: string, value: string, on: (act: string) => void) => (
    <label class="pick">
      <span>{label}</span>
      <select value={value} onChange={(e) => on(e.currentTarget.value)}>
        {acts.map((a) => (
          <option key={a} value={a}>
            {words.act(a)}
          </option>
        ))}
      </select>
    </label>
  );
  return (
    <p class="seg acts-pick">
      {pick(words.changeFrom, from, (a) => go(href.change(a, to)))}
      {pick(words.changeTo, to, (a) => go(href.change(from, a)))}
    </p>
  );
}

/// Whether acts and people are shown on a phone, which has no room for them beside a step.
const choosing = signal(false);
const held = signal("");

export function ChangeScreen({ from: askedFrom, to: askedTo }: { from: string; to: string }) {
  const now = useAnswer<Now>("now").value;
  const acts = now?.acts.map((a) => a.act) ?? [];
  const from = askedFrom || (now?.act ?? "");
  const to = askedTo || (acts[acts.indexOf(from) + 1] ?? acts[0] ?? "");
  const { value: change, error } = useAnswer<Change>(from && to && from !== to ? "change" + query({ from, to }) : null);
  const steps = change ? stepsNow(change, toldIds.value, goneIds.value) : [];
  const person = change ? personOf(change, me.value?.place ?? "", own.value.person) : 0;
  const mine = change && person ? stepsOf(change, steps, person) : null;
  const news = useNews(`${from} ${to} ${person}`, steps, person);
  const todo = mine?.filter((s) => !s.done) ?? [];
  const first = showOf(todo, held.value);
  useEffect(() => {
    held.value = first?.step ?? "";
  }, [first?.step]);
  const done = steps.filter((s) => s.done).length;
  const open = choosing.value || !person;
  return (
    <Shell title={words.change}>
      <div class="change">
        <h1 class="vh">{words.change}</h1>
        {error && <p class="warn">{error}</p>}
        {!change && !error && <p class="quiet">{from === to ? words.changeSame : words.loading}</p>}
        <button type="button" class="who-picks" aria-expanded={open} onClick={() => (choosing.value = !open)}>
          <b>{words.changeOf(words.act(from), words.act(to))}</b>
          <span>{change?.people.find((p) => p.person === person)?.name ?? words.whoAreYou}</span>
        </button>
        <div class={"who" + (open ? "" : " folded")}>
          {now && <Pick from={from} to={to} acts={acts} />}
          {change && (
            <div class="people" role="group" aria-label={words.whoAreYou}>
              {change.people.map((p) => {
                const his = stepsOf(change, steps, p.person);
                const n = his.filter((s) => s.done).length;
                return (
                  <button
                    key={p.person}
                    type="button"
                    data-person={p.person}
                    aria-pressed={p.person === person}
                    onClick={() => {
                      own.value = { person: p.person, of: "", seen: {} };
                      choosing.value = false;
                    }}
                  >
                    <b>{p.name}</b>
                    <small>{n === his.length ? words.allDone : words.doneOf(n, his.length, left_s(his))}</small>
                  </button>
                );
              })}
            </div>
          )}
        </div>
        {change && (
          <>
            <p class="tallyline" data-left={steps.length - done}>
              <b>{done}</b> {words.ofSteps(steps.length)} · <b>{words.minutes(change.seconds)}</b> {words.leftOf}
            </p>
            {change.deadline && <p class={change.fits ? "quiet" : "warn"}>{change.deadline.say}</p>}
            <News {...news} onSeen={() => (own.value = { ...own.value, seen: seenOf(steps) })} />
            {first && <Big key={first.step} step={first} steps={steps} />}
            {mine && !first && (
              <div class="rest" data-change="done">
                <p class="say">{steps.length === done ? words.changeDone : words.mineDone}</p>
                {steps.length === done && may("now") && now?.act !== to && (
                  <button type="button" class="go wideb" data-now={to} onClick={() => tell({ verb: "now", act: to })}>
                    {words.putInForce(words.act(to))}
                  </button>
                )}
              </div>
            )}
            {mine && (
              <ol class="chlist">
                {mine.map((s) => (
                  <Row key={s.step} step={s} fresh={news.fresh.includes(s)} />
                ))}
              </ol>
            )}
            {change.short.length > 0 && (
              <section>
                <h2>{words.noSocket}</h2>
                <ul class="plainlist">
                  {change.short.map((s) => (
                    <li key={s.source}>{s.say}</li>
                  ))}
                </ul>
              </section>
            )}
            {change.leave_out.length > 0 && (
              <section>
                <h2>{words.leaveFirst(change.left_s)}</h2>
                <ol class="plainlist">
                  {change.leave_out.map((l) => (
                    <li key={l.source}>{l.why}</li>
                  ))}
                </ol>
              </section>
            )}
            {change.notes.map((n) => (
              <p key={n} class="quiet">
                {n}
              </p>
            ))}
            <p class="quiet small">{words.usualLong}</p>
          </>
        )}
      </div>
    </Shell>
  );
}
