// SPDX-License-Identifier: GPL-3.0-or-later
//
// Between two acts: each person's own steps in working order, one tap a tick, the ticks of the
// others as they come; a desk has its channels. When something dies on the way the plan is another
// one, and the screen says what of one's own work is new and what is gone.

import { signal } from "@preact/signals";
import { useEffect } from "preact/hooks";
import { isGate, left_s, newsOf, offerOf, personOf, seenOf, showOf, stepsNow, stepsOf, waitsFor, type Seen } from "../change";
import { Icon } from "../glyph";
import { keptSignal } from "../kept";
import { query } from "../net";
import { go, href } from "../route";
import { goneIds, may, me, tell, toldIds, useAnswer } from "../store";
import type { Change, ChangeOffer, ChangeStep, Now } from "../wire";
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

/// A hand's step waits for desks: each is said with one tap when it was heard, and going on without
/// them is possible and written down.
function Gates({ step, gates }: { step: ChangeStep; gates: readonly ChangeStep[] }) {
  const open = (fact: ChangeStep["heard"]): boolean => fact !== null && !goneIds.value.has(fact.id);
  return (
    <div class="gates warn">
      <p class="waits-for">
        <b>{words.waitFirst}</b> {words.waitWhy}
      </p>
      {gates.map((g) => (
        <p key={g.step} class="gate">
          <span>{words.waitsOn(words.deskWord(g.desk ?? ""), words.changeDoes[g.does] ?? g.does)}</span>
          {may("change") && (
            <button type="button" data-heard={g.step} disabled={!open(g.heard)} onClick={() => g.heard && tell(g.heard, true)}>
              {words.heardIs[g.does] ?? words.tickDone}
            </button>
          )}
        </p>
      ))}
      {may("change") && step.anyway && (
        <button type="button" class="brk" data-anyway={step.step} disabled={!open(step.anyway)} onClick={() => step.anyway && tell(step.anyway, true)}>
          {words.goAnyway}
        </button>
      )}
    </div>
  );
}

function Big({ step, steps }: { step: ChangeStep; steps: readonly ChangeStep[] }) {
  const all = waitsFor(step, steps);
  const gates = step.desk ? [] : all.filter(isGate);
  const waits = all.filter((w) => !gates.includes(w));
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
      {gates.length > 0 && <Gates step={step} gates={gates} />}
      {step.caution && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {step.caution}
          </span>
        </p>
      )}
      {step.gone_on && <p class="warn">{words.goneAnyway}</p>}
      {step.taken && (
        <p class="quiet taken">
          {words.takenOver}{" "}
          <button type="button" data-giveback={step.step} onClick={() => step.taken && tell({ verb: "undo", fact: step.taken.id }, true)}>
            {words.giveBackIt}
          </button>
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
        <button type="button" class={"tickbig" + (waits.length ? " early" : "")} data-tick={step.step} disabled={gates.length > 0 || !canTick(step)} onClick={() => tick(step)}>
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

/// A row ticks its step; one that waits for a desk shows it instead, with what it waits for.
function Row({ step, fresh, shut, onShow }: { step: ChangeStep; fresh: boolean; shut: boolean; onShow: () => void }) {
  return (
    <li class={(step.done ? "is-done" : "") + (fresh ? " is-fresh" : "") + (shut ? " is-shut" : "")} data-step={step.step}>
      <button type="button" class="tick" aria-pressed={step.done} data-tick={step.step} disabled={!shut && !canTick(step)} onClick={() => (shut ? onShow() : tick(step))}>
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
function useNews(of: string, steps: readonly ChangeStep[], person: number): ReturnType<typeof newsOf> {
  const known = own.value.of === of;
  useEffect(() => {
    if (person && !known) own.value = { ...own.value, of, seen: seenOf(steps) };
  });
  return person && known ? newsOf(own.value.seen, steps, person) : { fresh: [], gone: [], went: [] };
}

type NewsShown = ReturnType<typeof newsOf> & { nameOf: (person: number) => string; onSeen: () => void };
function News({ fresh, gone, went, nameOf, onSeen }: NewsShown) {
  if (fresh.length + gone.length + went.length === 0) return null;
  return (
    <section class="news" role="status" aria-live="polite" data-new={fresh.length} data-gone={gone.length} data-went={went.length}>
      <p class="say">{words.planNew(fresh.length, gone.length, went.length)}</p>
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
        {went.slice(0, 6).map((s) => (
          <li key={s.step}>
            <b>{words.isOther}</b> {words.wentTo(whereOf(s), nameOf(s.person))}
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

/// Nothing left of one's own: what others have not begun, with one tap.
function Offer({ offer }: { offer: ChangeOffer }) {
  return (
    <div class="offer" data-offer={offer.steps.join(" ")}>
      <p class="say">{offer.say}</p>
      <button type="button" class="go wideb" data-take disabled={goneIds.value.has(offer.tick.id)} onClick={() => tell(offer.tick, true)}>
        <Icon name="seen" />
        {words.takeOver}
      </button>
    </div>
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
/// The step that was chosen by its row, until it is done.
const chosen = signal("");

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
  const first = showOf(todo, held.value, chosen.value);
  useEffect(() => {
    held.value = first?.step ?? "";
  }, [first?.step]);
  const done = steps.filter((s) => s.done).length;
  const offer = change && person ? offerOf(change, steps, person) : null;
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
            <News {...news} nameOf={(n) => change.people.find((p) => p.person === n)?.name ?? ""} onSeen={() => (own.value = { ...own.value, seen: seenOf(steps) })} />
            {first && <Big key={first.step} step={first} steps={steps} />}
            {mine && !first && (
              <div class="rest" data-change="done">
                {!offer && <p class="say">{steps.length === done ? words.changeDone : words.mineDone}</p>}
                {offer && may("change") && <Offer offer={offer} />}
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
                  <Row key={s.step} step={s} fresh={news.fresh.includes(s)} shut={!s.done && !s.desk && waitsFor(s, steps).some(isGate)} onShow={() => (chosen.value = s.step)} />
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
