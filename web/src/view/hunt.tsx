// SPDX-License-Identifier: GPL-3.0-or-later
//
// The hunt for one line: phantom on its channel alone, the lamp walked along the sockets; the socket
// where it lights is touched, and with that the line has its name and the patch is put right.

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { BARE, begin, pass } from "../prove";
import { go, href } from "../route";
import { may, note, tell, useAnswer } from "../store";
import type { Hunt, ReadyFact } from "../wire";
import { words } from "../words_work";
import { Before } from "./before";
import { Shell } from "./shell";

const found = signal("");

export function HuntScreen({ number }: { number: number }) {
  const p = pass.value;
  const act = p?.how === "lamp" ? p.act : BARE;
  const { value: hunt, error } = useAnswer<Hunt>(number ? `prove?hunt=${number}&act=${encodeURIComponent(act)}` : null);
  const on = p?.how === "lamp" ? p : null;
  const ready = on && hunt?.ready.every((r) => on.ready.includes(r.place));
  const lights = (socket: string, fact: ReadyFact): void => {
    tell(fact as { verb: string }, true);
    note("good", words.huntFound(number, socket));
    found.value = `${number} ${socket}`;
  };
  return (
    <Shell title={words.hunt}>
      <div class="prove hunt">
        <h1>{words.hunt}</h1>
        <form
          class="field row"
          onSubmit={(e) => {
            e.preventDefault();
            const n = Number(new FormData(e.currentTarget).get("line"));
            if (n) go(href.hunt(n));
          }}
        >
          <label>
            <span>{words.huntWhich}</span>
            <input name="line" inputMode="numeric" pattern="[0-9]+" required class="code" defaultValue={number ? String(number) : ""} />
          </label>
          <button class="go">{words.huntGo}</button>
        </form>
        {error && <p class="warn">{error}</p>}
        {hunt && !on && (
          <button type="button" class="wideb go" data-hunt="begin" disabled={!may("pass")} onClick={() => begin("lamp", BARE)}>
            {words.huntBegin}
          </button>
        )}
        {hunt && on && !ready && <Before p={on} asks={hunt.ready} />}
        {hunt && ready && (
          <>
            <p class="say">{hunt.say}</p>
            <p class="caution">
              <Icon name="stop" />
              <span>{hunt.caution}</span>
            </p>
            <p class="ask-what">{words.huntWhere}</p>
            <ol class="tiles wide">
              {hunt.sockets.map((s) => (
                <li key={s.socket}>
                  <button type="button" class={"tile" + (found.value === `${number} ${s.socket}` ? " m-good" : "")} data-socket={s.socket} disabled={!may("saw")} onClick={() => lights(s.socket, s.found)}>
                    <b>{s.socket}</b>
                    <i aria-hidden="true" />
                  </button>
                </li>
              ))}
            </ol>
          </>
        )}
        <p class="under">
          <a class="button" href={href.prove()}>
            <Icon name="back" />
            {words.prove}
          </a>
        </p>
      </div>
    </Shell>
  );
}
