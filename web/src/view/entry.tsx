// SPDX-License-Identifier: GPL-3.0-or-later
//
// One box, socket by socket: the sockets as they lie on the panel, the one to go to, and a key for
// good that is as large as the screen has room. Whatever is not good is one tap more. A tap counts
// at once and the next socket stands there; nothing waits for the radio.

import { signal } from "@preact/signals";
import { useEffect, useRef } from "preact/hooks";
import { Icon } from "../glyph";
import { countOf, crossedOf, gapsBefore, nextOf, type Count, type Entry } from "../pass";
import { answer, last, looksAt, takeBack, type Pass } from "../prove";
import { href } from "../route";
import { may, tell } from "../store";
import type { ProveLine } from "../wire";
import { words } from "../words_work";
import { useAnswersOf, type Answer } from "./answers";
import { Lamps, myPlace } from "./step";

/// What the keys are for: good, what else it was, or which socket it was seen on.
const asks = signal<"good" | "else" | "where" | "lamps">("good");
const LIT = ".GRgrd";
const SLIP_MS = 350; // Quicker than that nobody has read what stands there now
/// A socket somebody stepped to by hand, answered or not; and where each box is gone on from.
const picked = signal(0);
const from = new Map<string, number>();

export const nameOf = (l: ProveLine | undefined): string => (l ? `${l.box}${l.socket}` : "");
const namesOf = (lines: readonly ProveLine[], some: readonly number[]): string => some.map((n) => nameOf(lines.find((l) => l.line === n))).join(", ");
const goodOf = (l: ProveLine): { line: number; check: string; reading: string } => ({ line: l.line, check: l.good?.check ?? "level", reading: l.good?.reading ?? "normal" });
/// "A4 to A6", or each by name where they do not follow each other.
function spanOf(lines: readonly ProveLine[], some: readonly number[]): string {
  const at = some.map((n) => lines.findIndex((l) => l.line === n));
  const runs = at.length > 2 && at.every((i, k) => k === 0 || i === (at[k - 1] ?? 0) + 1);
  return runs ? words.span(nameOf(lines[at[0] ?? 0]), nameOf(lines[at[at.length - 1] ?? 0])) : namesOf(lines, some);
}

type TilesProps = { lines: readonly ProveLine[]; marks: ReadonlyMap<number, Entry>; here: number; onPick: (line: number) => void };
function Tiles({ lines, marks, here, onPick }: TilesProps) {
  return (
    <ol class="tiles">
      {lines.map((l) => {
        const mark = marks.get(l.line)?.mark ?? "open";
        return (
          <li key={l.line}>
            <button type="button" class={"tile m-" + mark} data-line={l.line} data-mark={mark} aria-current={l.line === here ? "step" : undefined} onClick={() => onPick(l.line)}>
              <b aria-hidden="true">{l.socket}</b>
              <span class="vh">{words.tile(nameOf(l), l.line, words.mark[mark])}</span>
              <i aria-hidden="true" />
            </button>
          </li>
        );
      })}
    </ol>
  );
}

/// A picture nobody foretold: each lamp is touched until it looks as it does.
const seen = signal("");
function LampsSeen({ n, onTell, onBack }: { n: number; onTell: (picture: string) => void; onBack: () => void }) {
  const picture = seen.value.length === n ? seen.value : ".".repeat(n);
  const turn = (i: number): string => picture.slice(0, i) + LIT[(LIT.indexOf(picture[i] ?? ".") + 1) % LIT.length] + picture.slice(i + 1);
  return (
    <div class="elses">
      <p class="wide">{words.lampsAre}</p>
      <div class="lampset wide">
        {[...picture].map((l, i) => (
          <button key={i} type="button" data-lamp={i} onClick={() => (seen.value = turn(i))}>
            <Lamps picture={l} />
          </button>
        ))}
      </div>
      <button type="button" class="go" data-lamps="tell" onClick={() => onTell(picture)}>
        {words.lampsTell}
      </button>
      <button type="button" onClick={onBack}>
        {words.close}
      </button>
    </div>
  );
}

/// A box done: what came of it in one breath, and what is still to be gone to.
function BoxDone({ box, order, lines, marks, count, next, onPick }: { box: string; order: readonly number[]; lines: readonly ProveLine[]; marks: ReadonlyMap<number, Entry>; count: Count; next: string; onPick: (line: number) => void }) {
  return (
    <section class="boxdone" data-done={box}>
      <p class="say">{breath(lines, marks, count)}</p>
      {order.filter((l) => count.later.includes(l) || count.bad.includes(l)).map((l) => (
        <button key={l} type="button" class="wideb" data-back={l} onClick={() => onPick(l)}>
          {words.backTo(nameOf(lines.find((x) => x.line === l)))}
        </button>
      ))}
      <a class={"button wideb go"} href={next ? href.prove(next) : href.prove()} data-next={next}>
        {next ? words.onToBox(next) : words.allBoxes}
        <Icon name="fore" />
      </a>
    </section>
  );
}

/// "14 good, A6 no sound, 1 put off".
export function breath(lines: readonly ProveLine[], marks: ReadonlyMap<number, Entry>, count: Count): string {
  const bad = count.bad.map((l) => words.badOne(nameOf(lines.find((x) => x.line === l)), marks.get(l)?.found || words.saidAs(marks.get(l)?.word ?? "")));
  const rest = [count.later.length ? words.laterSome(namesOf(lines, count.later)) : "", count.open ? words.openSome(count.open) : ""];
  return words.breath([words.goodSome(count.good), ...bad, ...rest].filter(Boolean));
}

export function Entry({ box, lines, marks, next, p, at, desk, caution }: { box: string; lines: readonly ProveLine[]; marks: ReadonlyMap<number, Entry>; next: string; p: Pass; at: string; desk: string; caution: { line: number; caution: string } | null }) {
  const order = lines.map((l) => l.line);
  const count = countOf(order, marks);
  const here = order.includes(picked.value) ? picked.value : nextOf(order, marks, from.get(box) ?? 0);
  const line = lines.find((l) => l.line === here);
  const answers = useAnswersOf(p.how, line ?? lines[0], p.act);
  const good = answers[0];
  const gaps = here ? gapsBefore(order, marks, here) : [];
  const crossed = crossedOf(marks).filter(([a, b]) => order.includes(a) || order.includes(b));
  const said = last.value;

  // Another phone's word may move this one on just as a finger comes down: that tap is for neither
  const movedAt = useRef({ here: 0, own: 0, at: -SLIP_MS });
  if (movedAt.current.here !== here) movedAt.current = { here, own: movedAt.current.own, at: movedAt.current.here === 0 || movedAt.current.own === here ? -SLIP_MS : performance.now() };
  useEffect(() => {
    asks.value = "good";
    picked.value = 0;
  }, [box]);

  const on = (l: number): void => {
    movedAt.current.own = l;
    picked.value = l;
    asks.value = "good";
  };
  const moved = (l: number): void => {
    movedAt.current.own = nextOf(order, new Map([...marks, [l, { line: l, mark: "good", word: "" }]]), l);
    from.set(box, l);
    picked.value = 0;
    asks.value = "good";
  };
  const say = (a: Answer): void => {
    if (!here || performance.now() - movedAt.current.at < SLIP_MS) return;
    if (a.key === "wrong") asks.value = "where";
    else if (a.key === "lamps") asks.value = "lamps";
    else if (a.key === "stop") tell({ verb: "say", to: "all", text: words.saidStop, urgent: true });
    else if (a.key === "again") tell({ verb: "say", to: myPlace() === at ? "stage" : at, text: words.saidAgain(here), line: here });
    else if (a.mark) {
      answer(p, at, a.mark, [{ line: here, check: a.check, reading: a.reading }]);
      moved(here);
    }
    if (a.mark === null && a.key !== "wrong") asks.value = "good";
  };
  const seenOn = (l: number): void => {
    if (!here || !l) return;
    answer(p, desk, "bad", [{ line: here, check: "seen", reading: l === here ? "yes" : `on ${l}` }]);
    moved(here);
  };

  const now = line && (
    <p class="nowat" aria-live="polite">
      <b>{nameOf(line)}</b>
      <span>
        {words.line(line.line)}
        <small>{line.source || (line.spare ? words.spare : "")}</small>
      </span>
    </p>
  );

  return (
    <div class="entry" data-box={box} data-here={here}>
      <header class="panel-head">
        <a class="boxname" href={href.prove()} aria-label={words.allBoxes}>
          <Icon name="back" />
          <span class="letter">{box}</span>
        </a>
        <p class="count">
          <b>{order.length - count.open}</b> {words.ofSockets(order.length)}
        </p>
        {said && (
          <button type="button" class="undo" data-undo={said.line} onClick={() => on(takeBack())}>
            <Icon name="undo" />
            <span>{words.undoLast(namesOf(lines, [said.line]) || String(said.line), words.mark[said.mark])}</span>
          </button>
        )}
      </header>
      {crossed.map(([a, b]) => (
        <p key={a} class="warn">
          {words.crossed(namesOf(lines, [a]) || String(a), namesOf(lines, [b]) || String(b))}
        </p>
      ))}
      {asks.value === "where" ? <h2>{words.onWhich}</h2> : null}
      {asks.value !== "else" && <Tiles lines={lines} marks={marks} here={here} onPick={asks.value === "where" ? seenOn : on} />}
      {!line && count.open === 0 && <BoxDone box={box} order={order} lines={lines} marks={marks} count={count} next={next} onPick={on} />}
      {(asks.value !== "good" || !may("saw")) && now}
      {caution?.caution && caution.line === here && (
        <p class="caution">
          <Icon name="stop" />
          <span>
            <b>{words.caution}:</b> {caution.caution}
          </span>
        </p>
      )}
      {line && !may("saw") && <p class="quiet">{words.lookOnly}</p>}
      {line && may("saw") && asks.value === "good" && (
        <div class={"keys-good" + (gaps.length ? " gappy" : "")}>
          {now}
          {gaps.length > 0 && (
            <div class="gaps" role="status">
              <p>{words.leftOut(spanOf(lines, gaps))}</p>
              <button type="button" data-gaps="good" onClick={() => answer(p, at, "good", lines.filter((l) => gaps.includes(l.line)).map(goodOf))}>
                {words.goodToo(gaps.length)}
              </button>
              <button type="button" data-gaps="back" onClick={() => on(gaps[0] ?? 0)}>
                {words.backTo(nameOf(lines.find((l) => l.line === gaps[0])))}
              </button>
            </div>
          )}
          <button type="button" class="answer isgood" disabled={!good?.reading} onClick={() => good && say(good)}>
            <span>{words.good}</span>
            {good?.picture && good.reading && <Lamps picture={good.reading} />}
            {good && !good.picture && <small>{good.means || good.says}</small>}
          </button>
          <button type="button" class="notgood" onClick={() => (asks.value = "else")}>
            {words.notGood}
          </button>
          <button type="button" class="put-off" onClick={() => say({ key: "skip", says: "", means: "", check: "", reading: "", mark: "later" })}>
            {words.putOff}
          </button>
          {looksAt(p.how) === "desk" && myPlace() !== at && may("say") && (
            <button type="button" class="call" onClick={() => tell({ verb: "say", to: "all", text: words.saidHere(line.line, line.source), line: line.line })}>
              {words.announce}
            </button>
          )}
        </div>
      )}
      {line && asks.value === "else" && (
        <div class="elses" role="group" aria-label={words.notGood}>
          {answers.slice(1).map((a) => (
            <button key={a.key} type="button" class={"answer t-" + a.key} data-else={a.key} onClick={() => say(a)}>
              {a.picture ? <Lamps picture={a.reading} /> : <b>{a.says}</b>}
              {a.means && <small>{a.means}</small>}
            </button>
          ))}
          <button type="button" class="back" onClick={() => (asks.value = "good")}>
            <Icon name="back" />
            {words.backToGood}
          </button>
        </div>
      )}
      {line && asks.value === "lamps" && <LampsSeen n={good?.reading.length || 3} onTell={(reading) => say({ key: "", says: "", means: "", check: "lamps", reading, mark: reading === good?.reading ? "good" : "bad" })} onBack={() => (asks.value = "else")} />}
      {line && asks.value === "where" && (
        <form
          class="field row"
          onSubmit={(e) => {
            e.preventDefault();
            seenOn(Number(new FormData(e.currentTarget).get("on")));
          }}
        >
          <label>
            <span>{words.orLine}</span>
            <input name="on" inputMode="numeric" pattern="[0-9]+" class="code" />
          </label>
          <button class="go">{words.talkSend}</button>
          <button type="button" onClick={() => (asks.value = "good")}>
            {words.close}
          </button>
        </form>
      )}
    </div>
  );
}
