// SPDX-License-Identifier: GPL-3.0-or-later
//
// Asking the server. An answer that did not change costs a few bytes (ETag, 304); nobody waits
// longer than a few seconds for a radio that is gone.

export class NoRadio extends Error {}
export class Refused extends Error {
  constructor(
    readonly status: number,
    readonly say: string,
    readonly body: unknown = null,
  ) {
    super(say);
  }
}

const PATIENCE_MS = 6000;

async function ask(path: string, init: RequestInit): Promise<Response> {
  const stop = new AbortController();
  const timer = setTimeout(() => stop.abort(), PATIENCE_MS);
  try {
    return await fetch("/api/1/" + path, { credentials: "same-origin", cache: "no-store", ...init, signal: stop.signal });
  } catch {
    throw new NoRadio();
  } finally {
    clearTimeout(timer);
  }
}

async function refused(response: Response): Promise<Refused> {
  try {
    const body = (await response.json()) as { error?: string };
    return new Refused(response.status, body.error ?? response.statusText, body);
  } catch {
    return new Refused(response.status, response.statusText);
  }
}

/// `seq`: how much of the log is in it.
export type Got<T> = { body: T | null; tag: string | null; seq: number };

/// The answer, or null when it is still the one with this tag.
export async function get<T>(path: string, tag?: string | null): Promise<Got<T>> {
  const response = await ask(path, tag ? { headers: { "If-None-Match": tag } } : {});
  const seq = Number(response.headers.get("Linewalk-Seq") ?? 0);
  if (response.status === 304) return { body: null, tag: tag ?? null, seq };
  if (!response.ok) throw await refused(response);
  return { body: (await response.json()) as T, tag: response.headers.get("ETag"), seq };
}

export async function post<T>(path: string, body: unknown): Promise<T> {
  const response = await ask(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  if (!response.ok) throw await refused(response);
  return (await response.json()) as T;
}

export function query(words: Record<string, string | number | boolean | undefined | null>): string {
  const parts = Object.entries(words)
    .filter(([, v]) => v !== undefined && v !== null && v !== "" && v !== false)
    .map(([k, v]) => `${k}=${encodeURIComponent(v === true ? "1" : String(v))}`);
  return parts.length ? "?" + parts.join("&") : "";
}
