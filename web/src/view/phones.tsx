// SPDX-License-Identifier: GPL-3.0-or-later
//
// At the box itself: the code to join with, and who has joined. A phone that was lost is put out.

import { post } from "../net";
import { note, refresh, useAnswer } from "../store";
import { words } from "../words_rest";

type Phone = { phone: number; role: string; address: string; joined_s: number; seen_s: number };

export function Phones() {
  const code = useAnswer<{ code: string; lan: boolean }>("code").value;
  const { value } = useAnswer<{ phones: Phone[] }>("phones");
  const change = (path: string, body: unknown): void => {
    post(path, body).then(() => refresh(), (e: unknown) => note("bad", e instanceof Error ? e.message : ""));
  };
  return (
    <section>
      <h2>{words.phones}</h2>
      {code && !code.lan && <p class="quiet">{words.phonesCodeOff}</p>}
      {code?.lan && (
        <>
          <p>{words.phonesCode}</p>
          <p class="joincode">{code.code}</p>
          <button type="button" onClick={() => change("code", {})}>
            {words.phonesNew}
          </button>
        </>
      )}
      {value && value.phones.length === 0 && <p class="quiet">{words.phonesNone}</p>}
      <ul class="phones">
        {value?.phones.map((p) => (
          <li key={p.phone}>
            <span>{words.phoneSays(words.roleName(p.role), p.address, words.ago(p.seen_s))}</span>
            <button type="button" onClick={() => change("phones", { out: p.phone })}>
              {words.phoneOut}
            </button>
          </li>
        ))}
      </ul>
    </section>
  );
}
