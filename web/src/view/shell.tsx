// SPDX-License-Identifier: GPL-3.0-or-later
//
// What stands around every screen: where one is, which act is in force, how old what is shown is,
// the newest message nobody here has seen, and what became of what was just told.

import type { ComponentChildren } from "preact";
import { useComputed } from "@preact/signals";
import { useMemo } from "preact/hooks";
import { Glyph, Icon, type IconName } from "../glyph";
import { messagesFor, type Message } from "../messages";
import { href, route } from "../route";
import { age_s, dropNote, fresh, log, me, notes, onTheWay, safeShelf, tell, useAnswer } from "../store";
import type { Lines, Now } from "../wire";
import { words } from "../words";
import { Follow } from "./follow";
import { AskReady } from "./ready";

const TABS: readonly { at: string; to: string; icon: IconName; word: string }[] = [
  { at: "lines", to: href.lines(), icon: "lines", word: words.linesShort },
  { at: "steps", to: href.steps, icon: "steps", word: words.stepsShort },
  { at: "sign", to: href.sign(), icon: "sign", word: words.sign },
  { at: "talk", to: href.talk, icon: "talk", word: words.talk },
  { at: "clock", to: href.clock, icon: "clock", word: words.clock },
  { at: "me", to: href.me, icon: "more", word: words.more },
];
const UNDER: Record<string, string> = { line: "lines", prove: "steps", pass: "steps", hunt: "steps", change: "steps", compare: "me", outputs: "me", forecast: "clock", paper: "me" };

export function useLines(act = ""): Lines | null {
  const answer = useAnswer<Lines>("lines?parts=1" + (act ? "&act=" + encodeURIComponent(act) : "")).value;
  return useMemo(() => answer && { ...answer, lines: answer.lines.slice().sort((a, b) => a.line - b.line) }, [answer]);
}

function Age() {
  const n = onTheWay.value;
  const kind = n > 0 ? "waits" : fresh.value ? "live" : "old";
  const word = n > 0 ? words.waiting(n) : fresh.value ? words.live : words.old(age_s.value);
  const means = n > 0 ? words.waitingMeans : fresh.value ? words.liveMeans : words.oldMeans;
  return (
    <a class={"age age-" + kind} href={href.me} title={means} data-age={kind}>
      <svg class="icon" viewBox="0 0 20 20" aria-hidden="true">
        {kind === "live" && <circle cx="10" cy="10" r="5.5" fill="currentColor" stroke="none" />}
        {kind === "old" && <path d="M5 3h10M5 17h10M6 3c0 4 8 8 8 14M14 3c0 4-8 8-8 14" />}
        {kind === "waits" && <path d="M10 17V4M5 9l5-5 5 5" />}
      </svg>
      <span>{word}</span>
      {n > 0 && !fresh.value && <span class="wide">· {words.old(age_s.value)}</span>}
    </a>
  );
}

function Unseen() {
  const place = me.value?.place ?? "";
  const unseen = useComputed(() => messagesFor(log.value, place).filter((m) => !m.seenHere));
  const last: Message | undefined = unseen.value[unseen.value.length - 1];
  if (!last) return null;
  return (
    <div class={"unseen" + (last.urgent ? " urgent" : "")} role="status" aria-live="polite">
      <Icon name={last.urgent ? "stop" : "talk"} />
      <p>
        <b>{words.placeName(last.from)}</b> {last.text}
      </p>
      <button type="button" class="go" onClick={() => void tell({ verb: "seen", of: last.id })}>
        <Icon name="seen" />
        {words.seen}
      </button>
    </div>
  );
}

function Notes() {
  return (
    <div class="notes" role="status" aria-live="polite">
      {notes.value.map((n) => (
        <div key={n.key} class={"note note-" + n.kind}>
          <Glyph state={n.kind === "good" ? "proven" : n.kind === "bad" ? "bad" : "unproven"} />
          <p>{n.text}</p>
          {n.undo && (
            <button
              type="button"
              onClick={() => {
                void tell({ verb: "undo", fact: n.undo });
                dropNote(n.key);
              }}
            >
              <Icon name="undo" />
              {words.undo}
            </button>
          )}
          {n.kind === "bad" && (
            <button type="button" onClick={() => dropNote(n.key)}>
              {words.close}
            </button>
          )}
        </div>
      ))}
    </div>
  );
}

export function Shell({ title, children, bare }: { title: string; children: ComponentChildren; bare?: boolean }) {
  const at = route.value.at;
  const now = useAnswer<Now>("now").value;
  const role = me.value?.role ?? "";
  return (
    <div class={"shell" + (bare ? " bare" : "")}>
      <a class="skip" href="#main" onClick={(e) => (e.preventDefault(), document.getElementById("main")?.focus())}>
        {words.skip}
      </a>
      <header class="top">
        <a class="name" href={href.lines()} aria-label={`${words.name}: ${words.lines}`}>
          <span class="wire" aria-hidden="true" />
          <b>{words.name}</b>
        </a>
        <p class="act">
          {now && (
            <>
              <span class="vh">{words.actInForce}: </span>
              {words.act(now.act)}
            </>
          )}
        </p>
        {role && <p class="role">{words.roleName(role)}</p>}
        <Age />
      </header>
      <Unseen />
      <div class="askrow">
        <AskReady />
        <Follow />
      </div>
      <nav class="tabs" aria-label={words.more}>
        {TABS.map((t) => (
          <a key={t.at} href={t.to} aria-current={(UNDER[at] ?? at) === t.at ? "page" : undefined}>
            <Icon name={t.icon} />
            <span>{t.word}</span>
          </a>
        ))}
      </nav>
      <main id="main" tabIndex={-1} aria-label={title}>
        {!safeShelf.value && onTheWay.value > 0 && <p class="warn">{words.unsafe}</p>}
        {children}
      </main>
      <Notes />
    </div>
  );
}
