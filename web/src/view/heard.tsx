// SPDX-License-Identifier: GPL-3.0-or-later
//
// Whose ears count: a desk tells what it hears itself; somebody on stage passes on what a desk
// shows or calls, and says which desk that was.

import { signal } from "@preact/signals";
import { words } from "../words_work";
import { myPlace } from "./step";

const picked = signal("");

export function heardAt(desks: readonly string[]): string {
  if (desks.includes(myPlace())) return myPlace();
  return desks.includes(picked.value) ? picked.value : (desks[0] ?? "");
}

export function HeardAt({ desks }: { desks: readonly string[] }) {
  const at = heardAt(desks);
  if (desks.includes(myPlace())) return null;
  return (
    <div class="seg" role="group" aria-label={words.boxHeard}>
      <span>{words.boxHeard}</span>
      {desks.map((d) => (
        <button key={d} type="button" aria-pressed={d === at} onClick={() => (picked.value = d)}>
          {words.deskWord(d)}
        </button>
      ))}
    </div>
  );
}
