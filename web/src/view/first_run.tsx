// SPDX-License-Identifier: GPL-3.0-or-later
//
// First run: no show yet. Lists are dropped in, what was understood is shown, what was not is mended
// in place; or a number of lines, or the demo.

import { signal } from "@preact/signals";
import { Icon } from "../glyph";
import { post, Refused } from "../net";
import { wake } from "../store";
import { words } from "../words_rest";

type ListFile = { name: string; base64?: string; text?: string };
type Trouble = { file: string; line: number; column: number; say: string };
type List = { name: string; is: string | null; rows: number; text?: string };
type Understood = { lists: List[]; lines: number; boxes: number; acts: string[]; assumed: string[]; left_aside: string[]; error?: string; file?: string; line?: number; column?: number };

const files = signal<ListFile[]>([]);
const got = signal<Understood | null>(null);
const error = signal("");
const busy = signal(false);
const count = signal("48");
const over = signal(false);

async function read(file: File): Promise<ListFile> {
  const bytes = new Uint8Array(await file.arrayBuffer());
  try {
    return { name: file.name, text: new TextDecoder("utf-8", { fatal: true }).decode(bytes) };
  } catch {
    let binary = "";
    for (const b of bytes) binary += String.fromCharCode(b);
    return { name: file.name, base64: btoa(binary) };
  }
}

async function ask(body: Record<string, unknown>): Promise<Understood | null> {
  busy.value = true;
  error.value = "";
  try {
    return await post<Understood>("new", body);
  } catch (e) {
    const found = e instanceof Refused ? (e.body as Understood | null) : null;
    if (found?.lists) return found; // Not understood, and where
    error.value = e instanceof Refused ? e.say : words.oldMeans;
    return null;
  } finally {
    busy.value = false;
  }
}

async function look(): Promise<void> {
  got.value = await ask({ files: files.value, try: true });
  // What came in another writing is text now, and can be mended
  const read = new Map(got.value?.lists?.map((l) => [l.name, l.text]) ?? []);
  files.value = files.value.map((f) => {
    const text = f.text ?? read.get(f.name);
    return text === undefined ? f : { name: f.name, text };
  });
}

async function add(list: FileList | null): Promise<void> {
  const more = await Promise.all([...(list ?? [])].map(read));
  files.value = [...files.value.filter((f) => !more.some((m) => m.name === f.name)), ...more];
  await look();
}

async function begin(body: Record<string, unknown>): Promise<void> {
  const made = await ask(body);
  if (made?.error) got.value = made;
  else if (made) await wake();
}

/// A list with the place of its trouble, to be mended as text.
function Mend({ trouble }: { trouble: Trouble }) {
  const file = files.value.find((f) => f.name === trouble.file);
  if (file?.text === undefined) return null;
  return (
    <div class="mend">
      <label class="field">
        <span>
          {words.firstMend}: {words.at2(trouble.file, trouble.line, trouble.column)}
        </span>
        <textarea
          rows={8}
          spellcheck={false}
          value={file.text}
          onInput={(e) => (files.value = files.value.map((f) => (f.name === trouble.file ? { name: f.name, text: e.currentTarget.value } : f)))}
        />
      </label>
      <button type="button" class="go" onClick={() => void look()}>
        {words.firstTry}
      </button>
    </div>
  );
}

export function FirstRun() {
  const u = got.value;
  const bad: Trouble | null = u?.error ? { file: u.file ?? "", line: u.line ?? 0, column: u.column ?? 0, say: u.error } : null;
  return (
    <main id="main" class="alone first" tabIndex={-1}>
      <p class="brand">
        <span class="wire" aria-hidden="true" />
        {words.name}
      </p>
      <h1>{words.firstRun}</h1>
      <p class="quiet">{words.firstRunSay}</p>
      <label
        class={"drop" + (over.value ? " over" : "")}
        onDragOver={(e) => {
          e.preventDefault();
          over.value = true;
        }}
        onDragLeave={() => (over.value = false)}
        onDrop={(e) => {
          e.preventDefault();
          over.value = false;
          void add(e.dataTransfer?.files ?? null);
        }}
      >
        <b>{words.firstDrop}</b>
        <small>{words.firstDropSay}</small>
        <input type="file" multiple accept=".csv,.tsv,.txt,.xlsx,text/csv,text/plain" onChange={(e) => void add(e.currentTarget.files)} />
      </label>
      {error.value && (
        <p class="caution" role="alert">
          <Icon name="stop" />
          <span>{error.value}</span>
        </p>
      )}
      {files.value.length > 0 && (
        <section aria-labelledby="got-h">
          <h2 id="got-h">{words.firstUnderstood}</h2>
          <ul class="plainlist lists">
            {(u?.lists ?? []).map((l) => (
              <li key={l.name}>
                <b>{l.name}</b> <span>{l.is ? words.firstIs(l.is, l.rows) : words.firstIsNot}</span>
              </li>
            ))}
          </ul>
          {bad && (
            <>
              <p class="caution" role="alert">
                <Icon name="stop" />
                <span>{bad.say}</span>
              </p>
              <Mend trouble={bad} />
            </>
          )}
          {u && !bad && (
            <>
              <p class="say">{words.firstCounts(u.lines, u.boxes, u.acts.length)}</p>
              {[
                [words.firstAssumed, u.assumed],
                [words.firstAside, u.left_aside],
              ].map(([title, list]) =>
                (list as string[]).length ? (
                  <details key={title as string}>
                    <summary>{title as string}</summary>
                    <ul class="plainlist">
                      {(list as string[]).map((t) => (
                        <li key={t}>{t}</li>
                      ))}
                    </ul>
                  </details>
                ) : null,
              )}
              <button type="button" class="go wideb" disabled={busy.value} onClick={() => void begin({ files: files.value })}>
                {words.firstTake}
              </button>
            </>
          )}
        </section>
      )}
      <section class="begin">
        <label class="field">
          <span>{words.firstLines}</span>
          <input class="code" inputMode="numeric" value={count.value} onInput={(e) => (count.value = e.currentTarget.value.replace(/\D/g, ""))} />
        </label>
        <button type="button" class="wideb" disabled={busy.value || !Number(count.value)} onClick={() => void begin({ lines: Number(count.value) })}>
          {words.firstLinesGo}
        </button>
        <button type="button" class="wideb" disabled={busy.value} data-first="demo" onClick={() => void begin({ demo: true })}>
          {words.firstDemo}
        </button>
      </section>
      <p class="quiet small law">{words.noLaw}</p>
    </main>
  );
}
