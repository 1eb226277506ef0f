// SPDX-License-Identifier: GPL-3.0-or-later
//
// Words: short messages to a place, each with who has seen it.

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { messagesOf } from "../messages";
import { log, may, me, pending, tell, toldAge_s } from "../store";
import { words } from "../words";
import { Shell } from "./shell";

const PLACES = ["foh", "mon", "broadcast", "stage", "amps", "all"];
const to = signal("");
const draft = signal("");

export function Talk() {
  const place = me.value?.place ?? "";
  const said = messagesOf(log.value, place).reverse();
  const waits = pending.value.filter((p) => p.fact.verb === "say").reverse();
  const places = PLACES.filter((p) => p !== place);
  const dest = places.includes(to.value) ? to.value : place === "stage" ? "foh" : "stage";
  const say = (text: string, urgent = false): void => {
    if (text.trim()) void tell(urgent ? { verb: "say", to: dest, text: text.trim(), urgent } : { verb: "say", to: dest, text: text.trim() });
  };
  return (
    <Shell title={words.talk}>
      <div class="talk">
        <h1>{words.talk}</h1>
        {may("say") ? (
          <section class="compose" aria-label={words.talkWrite}>
            <div class="seg wrap" role="group" aria-label={words.talkTo}>
              <span>{words.talkTo}</span>
              {places.map((p) => (
                <button key={p} type="button" aria-pressed={dest === p} data-to={p} onClick={() => (to.value = p)}>
                  {words.placeName(p)}
                </button>
              ))}
            </div>
            <button type="button" class="go wideb" data-say="intercom" onClick={() => say(words.intercomSay, true)}>
              <Icon name="stop" />
              {words.intercom}
            </button>
            <div class="quick" role="group" aria-label={words.talkSay}>
              {words.talkQuick.map((q) => (
                <button key={q} type="button" onClick={() => say(q)}>
                  {q}
                </button>
              ))}
            </div>
            <form
              class="field row"
              onSubmit={(e) => {
                e.preventDefault();
                say(draft.value);
                draft.value = "";
              }}
            >
              <label>
                <span>{words.talkWrite}</span>
                <input value={draft.value} maxLength={160} onInput={(e) => (draft.value = e.currentTarget.value)} enterkeyhint="send" />
              </label>
              <button class="go">{words.talkSend}</button>
            </form>
          </section>
        ) : (
          <p class="quiet">{words.lookOnly}</p>
        )}
        <ol class="said">
          {said.length + waits.length === 0 && <li class="quiet">{words.talkNone}</li>}
          {waits.map((p) => (
            <li key={p.id} class="waits mine">
              <small>{words.fromTo(words.placeName(place), words.placeName(String(p.fact["to"] ?? "all")))}</small>
              <p>{String(p.fact["text"] ?? "")}</p>
              <small>{p.seq === null ? words.queued : words.toldGood}</small>
            </li>
          ))}
          {said.map((m) => (
            <li key={m.id} class={(m.from === place ? "mine" : "") + (m.urgent ? " urgent" : "")}>
              <small>
                {words.fromTo(words.placeName(m.from), words.placeName(m.to))} · {words.ago(toldAge_s(m.told))}
              </small>
              <p>{m.text}</p>
              <small class="seenby">
                {m.seenBy.length > 0 ? (
                  <>
                    <Icon name="seen" />
                    {words.seenBy(m.seenBy.map(words.placeName).join(", "))}
                  </>
                ) : (
                  words.notSeenBy
                )}
              </small>
              {m.from !== place && !m.seenHere && may("seen") && (m.to === place || m.to === "all") && (
                <button type="button" class="go" onClick={() => void tell({ verb: "seen", of: m.id })}>
                  <Icon name="seen" />
                  {words.seen}
                </button>
              )}
            </li>
          ))}
        </ol>
      </div>
    </Shell>
  );
}
