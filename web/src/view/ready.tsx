// SPDX-License-Identifier: GPL-3.0-or-later
//
// Whoever proves lines waits for every desk to have muted. A desk is asked on whatever screen it
// has open, and one tap answers: nobody has to be called.

import { Icon } from "../glyph";
import { pass, ready } from "../prove";
import { route } from "../route";
import { may, me, now_s } from "../store";
import { words } from "../words";

const FORGOTTEN_S = 1800; // A pass nobody got ready for is asked about no longer

export function AskReady() {
  const p = pass.value;
  const place = me.value?.place ?? "";
  const desk = me.value?.desks?.some((d) => (typeof d === "string" ? d : d.desk) === place) ?? false;
  if (!p || !desk || ["prove", "hunt"].includes(route.value.at) || p.ready.includes(place) || !may("ready") || now_s() - (p.at_s ?? now_s()) > FORGOTTEN_S) return null;
  return (
    <div class="asks caution" role="status" aria-live="polite">
      <p>{words.passBegins(words.how[p.how])}</p>
      <button type="button" data-ready={place} onClick={() => ready(p, place, true)}>
        <Icon name="seen" />
        {words.allMuted}
      </button>
    </div>
  );
}
