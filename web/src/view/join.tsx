// SPDX-License-Identifier: GPL-3.0-or-later
//
// Joining: a code, and where one stands. The code may come with the address (#join=...).

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { Refused } from "../net";
import { join, me } from "../store";
import { words } from "../words";

const code = signal("");
const error = signal("");
const busy = signal(false);
export const ROLES = ["house", "monitors", "broadcast", "stage", "amplifiers", "look"] as const;

export function codeFromAddress(): void {
  const found = /[#&?]join=([A-Za-z0-9]+)/.exec(location.hash + location.search);
  if (found?.[1]) {
    code.value = found[1];
    history.replaceState(null, "", location.pathname + "#/lines");
  }
}

async function go(role: string): Promise<void> {
  if (busy.value) return;
  busy.value = true;
  error.value = "";
  try {
    await join(code.value.trim(), role);
    location.hash = role === "stage" || role === "amplifiers" ? "#/steps" : "#/lines";
  } catch (e) {
    error.value = e instanceof Refused ? (e.status === 429 ? words.joinSlow : e.say || words.joinBad) : words.oldMeans;
  } finally {
    busy.value = false;
  }
}

export function Roles({ now, onPick }: { now: string; onPick: (role: string) => void }) {
  return (
    <div class="roles" role="group" aria-label={words.joinRole}>
      {ROLES.map((r) => (
        <button key={r} type="button" class="role-pick" data-role={r} aria-pressed={now === r} onClick={() => onPick(r)}>
          <b>{words.roleName(r)}</b>
          <small>{words.roleDoes[r]}</small>
        </button>
      ))}
    </div>
  );
}

export function Join() {
  const ready = code.value.trim().length >= 4;
  return (
    <main id="main" class="alone" tabIndex={-1}>
      <p class="brand">
        <span class="wire" aria-hidden="true" />
        {words.name}
      </p>
      <h1>{words.join}</h1>
      <label class="field">
        <span>{words.joinCode}</span>
        <input
          value={code.value}
          onInput={(e) => (code.value = e.currentTarget.value)}
          autocomplete="off"
          autocapitalize="characters"
          spellcheck={false}
          maxLength={12}
          class="code"
          aria-describedby="code-say"
        />
      </label>
      <p id="code-say" class="quiet">
        {words.joinCodeSay}
      </p>
      {error.value && (
        <p class="caution" role="alert">
          <Icon name="stop" />
          <span>{error.value}</span>
        </p>
      )}
      <h2>{words.joinRole}</h2>
      <fieldset disabled={!ready || busy.value} class="plain">
        <legend class="vh">{words.joinRole}</legend>
        <Roles now={me.value?.role ?? ""} onPick={(r) => void go(r)} />
      </fieldset>
      <p class="quiet small law">{words.noLaw}</p>
    </main>
  );
}
