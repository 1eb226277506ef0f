// SPDX-License-Identifier: GPL-3.0-or-later
//
// All lines: a row per line, a column per part, grouped by box.
//
//        number  source        source cable plug socket tail split multicore H M B
//          41    vocal 1       ──o─────o────o─────o───▒▒▒▒───o───────o─────o─o─o
//          42    vocal 2       ──o─────o────o─────o───▒▒▒▒───o───────o─────o─o─o
//
// The cells of a column touch from row to row: what several lines share and what is suspect in all
// of them grows together to a stripe, a fault of one line stays a point. A cell is drawn by its
// style alone, so that 96 lines scroll freely; its words are in the row's label.

import { Component } from "preact";
import { signal } from "@preact/signals";
import { Glyph, StateMark } from "../glyph";
import { cellsOf, columnsOf, type Column } from "../parts";
import { href, route } from "../route";
import { me, useAnswer } from "../store";
import { placeOfBox } from "../walk";
import { STATES, type BoxSays, type LineRow, type Now, type State } from "../wire";
import { words } from "../words";
import { Risk } from "./risk";
import { Shell, useLines } from "./shell";

const only = signal<State | "">("");
const act = signal("");

function chainWords(columns: readonly Column[], cells: readonly (State | null)[]): string {
  const said = columns.map((c, i) => ({ c, s: cells[i] })).filter((x): x is { c: Column; s: State } => !!x.s);
  const count = new Map<State, number>();
  for (const x of said) count.set(x.s, (count.get(x.s) ?? 0) + 1);
  const most = [...count].sort((a, b) => b[1] - a[1])[0]?.[0];
  if (!most) return "";
  const odd = said.filter((x) => x.s !== most).map((x) => words.pair2(x.c.desk ? words.deskName(x.c.desk) : words.colTitle(x.c.sort), words.state[x.s]));
  return words.chain(odd.length ? words.chainRest(odd.join(", "), words.state[most]) : words.chainSame(words.state[most]));
}

// Written as text: a thousand of them made one by one are what a slow phone waits for. Only words of
// our own go into it.
const cell = (s: State | null): string => (s && STATES.includes(s) ? `<i class="c-${s}"></i>` : '<i class="c-none"></i>');

type RowProps = { line: LineRow; columns: readonly Column[]; cells: string; desks: readonly string[] };
// Every answer brings new objects; a row is drawn again only when something in it differs
const sameRow = (a: RowProps, b: RowProps): boolean =>
  a.cells === b.cells &&
  a.columns === b.columns &&
  a.line.line === b.line.line &&
  a.line.state === b.line.state &&
  a.line.source === b.line.source &&
  a.line.socket === b.line.socket &&
  a.desks.every((d) => a.line.at[d] === b.line.at[d]);

class Row extends Component<RowProps> {
  override shouldComponentUpdate(next: RowProps): boolean {
    return !sameRow(this.props, next);
  }
  override render({ line, columns, cells, desks }: RowProps) {
    const states = cells.split(" ").map((s) => (s === "-" ? null : (s as State)));
    return (
      <a class={"row s-" + line.state} href={href.line(line.line)} data-line={line.line} data-state={line.state}>
        <span class="n">{line.line}</span>
        <Glyph state={line.state} />
        <span class="what">
          <b>{line.source || (line.spare ? words.spare : words.nothingPlugged)}</b>
          <small>
            {line.box}
            {line.socket} · {words.state[line.state]}
          </small>
        </span>
        <span class="cells" role="img" aria-label={chainWords(columns, states)} dangerouslySetInnerHTML={{ __html: states.map(cell).join("") }} />
        <span class="vh">
          {desks.filter((d) => line.at[d]).map((d) => words.pair2(words.deskName(d), words.state[line.at[d] ?? "unused"])).join(", ")}
        </span>
      </a>
    );
  }
}

function Head({ columns }: { columns: readonly Column[] }) {
  return (
    <div class="colheads" aria-hidden="true">
      <span class="cells">
        {columns.map((c) => (
          <i key={c.key}>
            <span>{c.desk ? words.deskWord(c.desk) : words.colTitle(c.sort)}</span>
          </i>
        ))}
      </span>
    </div>
  );
}

export function AllLines({ box }: { box: string }) {
  const answer = useLines(act.value);
  const now = useAnswer<Now>("now").value;
  const boxSays = new Map((me.value?.boxes ?? []).map((b: BoxSays) => [b.box, b]));
  const all = answer?.lines ?? [];
  const desks = desksOf(all);
  const columns = steady(columnsOf(all, desks));
  const inBox = box ? all.filter((l) => l.box === box) : all;
  const count = (s: State): number => inBox.filter((l) => l.state === s).length;
  const shown = only.value ? inBox.filter((l) => l.state === only.value) : inBox;
  const boxes = [...new Set(all.map((l) => l.box))];
  const groups = boxes.map((b) => ({ b, lines: shown.filter((l) => l.box === b) })).filter((g) => g.lines.length > 0);

  return (
    <Shell title={words.lines}>
      <div class={"all" + (box ? " zoomed" : "")}>
        <h1 class="vh">{words.lines}</h1>
        <div class="filters">
          <div class="chips" role="group" aria-label={words.filterState}>
            {STATES.filter((s) => count(s) > 0 || only.value === s).map((s) => (
              <button
                key={s}
                type="button"
                class={"chip s-" + s}
                aria-pressed={only.value === s}
                title={words.stateMeans[s]}
                onClick={() => (only.value = only.value === s ? "" : s)}
              >
                <b>{count(s)}</b>
                <Glyph state={s} />
                <span>{words.state[s]}</span>
              </button>
            ))}
          </div>
          <label class="pick">
            <span>{words.filterAct}</span>
            <select value={act.value || (now?.act ?? "")} onChange={(e) => (act.value = e.currentTarget.value === now?.act ? "" : e.currentTarget.value)}>
              {[...(now?.acts.map((a) => a.act) ?? []), "bare lines"].map((a) => (
                <option key={a} value={a}>
                  {words.act(a)}
                  {a === now?.act ? ` (${words.inForce})` : ""}
                </option>
              ))}
            </select>
          </label>
        </div>
        {!only.value && !box && <Risk lines={all} most={4} />}
        {!answer && <p class="quiet">{words.loading}</p>}
        {answer && groups.length === 0 && <p class="quiet">{words.noLines}</p>}
        <div class="groups">
          {groups.map((g) => (
            <section key={g.b} class="group" style={{ "--cols": columns.length }} aria-labelledby={"box-" + g.b}>
              <header>
                <h2 id={"box-" + g.b}>
                  <a href={box ? href.lines() : href.lines(g.b)}>
                    <span class="letter">{g.b}</span>
                    <span>
                      <span class="vh">{words.box(g.b)}, </span>
                      {boxSays.get(g.b)?.name ?? words.box(g.b)}
                      <small>{placeOfBox(g.b, boxSays.get(g.b)?.place)}</small>
                    </span>
                  </a>
                </h2>
                <Head columns={columns} />
              </header>
              <div class="rows">
                {g.lines.map((l) => (
                  <Row key={l.line} line={l} columns={columns} desks={desks} cells={cellsOf(l, columns, desks).map((s) => s ?? "-").join(" ")} />
                ))}
              </div>
              {box && (
                <p class="under">
                  <a class="button" href={href.lines()}>
                    {words.everyBox}
                  </a>
                  <a class="button" href={href.prove(g.b)}>
                    {words.prove}
                  </a>
                </p>
              )}
            </section>
          ))}
        </div>
        <p class="legend quiet">
          {STATES.map((s) => (
            <span key={s} title={words.stateMeans[s]}>
              <StateMark state={s} /> {words.stateMeans[s]}
            </span>
          ))}
        </p>
      </div>
    </Shell>
  );
}

let lastColumns: Column[] = [];
function steady(columns: Column[]): Column[] {
  if (columns.map((c) => c.key).join() !== lastColumns.map((c) => c.key).join()) lastColumns = columns;
  return lastColumns;
}

let known: string[] = [];
/// The desks of the show, in the server's order.
export function desksOf(lines: readonly LineRow[]): string[] {
  const seen = me.value?.desks?.map((d) => (typeof d === "string" ? d : d.desk)) ?? [...new Set(lines.flatMap((l) => Object.keys(l.at)))];
  if (seen.join() !== known.join()) known = seen;
  return known;
}

/// The line before or after in the list, for keys.
export function besideLine(lines: readonly LineRow[], by: number): number | null {
  const r = route.value;
  if (r.at !== "line") return null;
  const i = lines.findIndex((l) => l.line === r.line);
  return lines[i + by]?.line ?? null;
}
