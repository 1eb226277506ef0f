// SPDX-License-Identifier: GPL-3.0-or-later
//
// Where waiting facts are kept: IndexedDB, which plain HTTP has. A browser that refuses it (a
// private window) gets memory instead, and the page says that a reload would lose what waits.

import type { Kept, Shelf } from "./queue";

const NAME = "linewalk";
const STORE = "waiting";

function ask<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((good, bad) => {
    request.onsuccess = () => good(request.result);
    request.onerror = () => bad(request.error);
  });
}

function done(transaction: IDBTransaction): Promise<void> {
  return new Promise((good, bad) => {
    transaction.oncomplete = () => good();
    transaction.onabort = transaction.onerror = () => bad(transaction.error);
  });
}

class DiskShelf implements Shelf {
  constructor(private readonly db: IDBDatabase) {}

  async all(): Promise<Kept[]> {
    return (await ask(this.db.transaction(STORE).objectStore(STORE).getAll())) as Kept[];
  }

  async put(kept: Omit<Kept, "n">): Promise<Kept> {
    const t = this.db.transaction(STORE, "readwrite");
    const n = (await ask(t.objectStore(STORE).add(kept))) as number;
    await done(t);
    return { ...kept, n };
  }

  async drop(ids: string[]): Promise<void> {
    const t = this.db.transaction(STORE, "readwrite");
    const store = t.objectStore(STORE);
    for (const kept of (await ask(store.getAll())) as Kept[]) {
      if (ids.includes(kept.id)) store.delete(kept.n);
    }
    await done(t);
  }
}

export class MemoryShelf implements Shelf {
  private kept: Kept[] = [];
  private n = 0;
  async all(): Promise<Kept[]> {
    return this.kept.slice();
  }
  async put(kept: Omit<Kept, "n">): Promise<Kept> {
    const one = { ...kept, n: ++this.n };
    this.kept.push(one);
    return one;
  }
  async drop(ids: string[]): Promise<void> {
    this.kept = this.kept.filter((k) => !ids.includes(k.id));
  }
}

/// Opens the phone's shelf; `safe` says whether it outlives a reload.
export async function shelfOpen(): Promise<{ shelf: Shelf; safe: boolean }> {
  try {
    const request = indexedDB.open(NAME, 1);
    request.onupgradeneeded = () => {
      request.result.createObjectStore(STORE, { keyPath: "n", autoIncrement: true });
    };
    return { shelf: new DiskShelf(await ask(request)), safe: true };
  } catch {
    return { shelf: new MemoryShelf(), safe: false };
  }
}
