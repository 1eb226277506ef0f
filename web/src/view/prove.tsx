// SPDX-License-Identifier: GPL-3.0-or-later
//
// Proving the lines before doors: how it is done, what must be so before the first plug, and the
// boxes with what is proven of each, large enough to be read from across the room.

import { query } from "../net";
import { countOf, type Entry } from "../pass";
import { BARE, begin, HOWS, looksAt, marksNow, pass, provesBare, type How, type Pass } from "../prove";
import { go, href } from "../route";
import { fresh, may, me, onTheWay, useAnswer } from "../store";
import { placeOfBox } from "../walk";
import type { Now, Prove, ProveLine } from "../wire";
import { words } from "../words_work";
import { desksOf } from "./all_lines";
import { Before } from "./before";
import { breath, Entry as BoxEntry } from "./entry";
import { HeardAt, heardAt } from "./heard";
import { Shell } from "./shell";

const ask = (act: string, more: Record<string, string> = {}): string => "prove" + query({ act, ...more });

function Start({ act }: { act: string }) {
  const bare = useAnswer<Prove>(ask(BARE)).value;
  const own = useAnswer<Prove>(act && act !== BARE ? ask(act) : null).value;
  // The lines bare, or with what the act plugs into them; with no act in force only what needs none
  const actOf = (how: How): string => (provesBare(how) || (how !== "heard" && (!act || act === BARE)) ? BARE : act);
  const ways = HOWS.map((how) => ({ how, says: (actOf(how) === BARE ? bare : own)?.ways.find((w) => w.way === how) })).filter((w) => w.says);
  return (
    <section class="howto">
      <h2>{words.proveHow}</h2>
      {!bare && <p class="quiet">{words.loading}</p>}
      <div class="hows">
        {ways.map(({ how, says }) => (
          <button
            key={how}
            type="button"
            class="pickhow"
            data-how={how}
            disabled={!says?.may || !may("pass")}
            onClick={() => {
              begin(how, actOf(how));
              go(href.prove());
            }}
          >
            <b>{words.how[how]}</b>
            <small>{words.howMeans[how]}</small>
            <small>{says?.may ? words.aLine(says.seconds) : words.refusedWay(says?.why_not ?? "")}</small>
          </button>
        ))}
      </div>
    </section>
  );
}

/// The box's own words where they have all of it in them, else what this page can count.
function Breath({ pr, lines, marks }: { pr: Prove; lines: readonly ProveLine[]; marks: ReadonlyMap<number, Entry> }) {
  // Between a tap and the next answer the box's words lack it
  const whole = fresh.value && onTheWay.value === 0 && lines.every((l) => (marks.get(l.line)?.mark ?? "left") === (l.is === "skipped" ? "later" : l.is));
  return <p class="say breath">{whole ? pr.summary : breath(lines, marks, countOf(lines.map((l) => l.line), marks))}</p>;
}

function Board({ lines, marks, boxes, p, pr }: { lines: readonly ProveLine[]; marks: ReadonlyMap<number, Entry>; boxes: readonly string[]; p: Pass; pr: Prove }) {
  const all = countOf(lines.map((l) => l.line), marks);
  const desks = desksOf([]);
  return (
    <>
      {looksAt(p.how) === "desk" && <HeardAt desks={desks} />}
      <section class="tally" aria-label={words.progress}>
        <p class="hand">
          <b data-answered={lines.length - all.open}>
            {lines.length - all.open}
            <small> {words.ofAll(lines.length)}</small>
          </b>
          <span>{looksAt(p.how) === "desk" ? words.howAt(words.how[p.how], words.deskName(heardAt(desks))) : words.how[p.how]}</span>
        </p>
        {all.open + all.later.length > 0 && (
          <p class="hand">
            <b>{words.minutes(pr.left_s)}</b>
            <span>{pr.pace_s === null ? words.leftUsual : words.leftPace(pr.pace_s)}</span>
          </p>
        )}
      </section>
      <Breath pr={pr} lines={lines} marks={marks} />
      {pr.order_mistake && <p class="warn">{pr.order_mistake}</p>}
      <ol class="boxes">
        {boxes.map((b) => {
          const own = lines.filter((l) => l.box === b);
          const count = countOf(own.map((l) => l.line), marks);
          const says = me.value?.boxes?.find((x) => x.box === b);
          return (
            <li key={b}>
              <a href={href.prove(b)} data-box={b} class={count.open === 0 ? "all" : ""}>
                <span class="letter">{b}</span>
                <span class="boxsays">
                  {says?.name ?? words.box(b)}
                  <small>{placeOfBox(b, says?.place)}</small>
                </span>
                <b>
                  {own.length - count.open}
                  <small> {words.ofAll(own.length)}</small>
                </b>
                <span class="strip" role="img" aria-label={breath(own, marks, count)}>
                  {own.map((l) => (
                    <i key={l.line} class={"m-" + (marks.get(l.line)?.mark ?? "open")} />
                  ))}
                </span>
              </a>
            </li>
          );
        })}
      </ol>
    </>
  );
}

export function ProveScreen({ box }: { box: string }) {
  const now = useAnswer<Now>("now").value;
  const p = pass.value;
  const desks = desksOf([]);
  const from = p && looksAt(p.how) === "desk" ? heardAt(desks) : "";
  const pr = useAnswer<Prove>(p ? ask(p.act, from ? { way: p.how, from } : { way: p.how }) : null).value;
  if (!p || !pr) {
    return (
      <Shell title={words.prove}>
        <div class="prove">
          <h1>{words.prove}</h1>
          {p ? <p class="quiet">{words.loading}</p> : <Start act={now?.act ?? ""} />}
        </div>
      </Shell>
    );
  }
  const at = from || (looksAt(p.how) === "input" ? pr.desk : "socket");
  const lines = pr.lines.filter((l) => l.is !== "unused");
  const boxes = [...new Set(lines.map((l) => l.box))];
  const marks = marksNow(p, at, lines);
  const isOpen = (b: string): boolean => lines.some((l) => l.box === b && !marks.has(l.line));
  const after = [...boxes.slice(boxes.indexOf(box) + 1), ...boxes.slice(0, Math.max(0, boxes.indexOf(box)))];
  const inBox = lines.filter((l) => l.box === box);
  const all = pr.ready.every((r) => p.ready.includes(r.place));
  return (
    <Shell title={words.prove}>
      {all && inBox.length > 0 ? (
        <>
          <h1 class="vh">{words.proveBox(box)}</h1>
          <BoxEntry box={box} lines={inBox} marks={marks} next={after.find(isOpen) ?? ""} p={p} at={at} desk={pr.desk} caution={pr.at} />
        </>
      ) : (
        <div class="prove">
          <h1>{words.prove}</h1>
          {all ? <Board lines={lines} marks={marks} boxes={boxes} p={p} pr={pr} /> : <Before p={p} asks={pr.ready} />}
          <p class="under">
            <a class="button" href={href.pass}>
              {words.otherWay}
            </a>
            <a class="button" href={href.hunt()}>
              {words.hunt}
            </a>
          </p>
        </div>
      )}
    </Shell>
  );
}

/// Another pass, whatever is under way.
export function PassScreen() {
  const now = useAnswer<Now>("now").value;
  return (
    <Shell title={words.prove}>
      <div class="prove">
        <h1>{words.prove}</h1>
        {now ? <Start act={now.act} /> : <p class="quiet">{words.loading}</p>}
      </div>
    </Shell>
  );
}
