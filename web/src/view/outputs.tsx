// SPDX-License-Identifier: GPL-3.0-or-later
//
// Loudspeaker circuits and monitor mixes: all zones as the audience sees them (house left on the
// left), the step to take now with its caution, and a field for one number a circuit. What is read
// goes to the log by the same checks as on the command line: ohms only where the amplifier is told
// to be unplugged.

import { useRef, useState } from "preact/hooks";
import { Glyph, Icon } from "../glyph";
import { go, href } from "../route";
import { log, may, pending, tell, useAnswer, type Behind } from "../store";
import type { OutputDrive, OutputRow, Outputs, OutputStep } from "../wire";
import { words } from "../words_rest";
import { Shell } from "./shell";
import { Asks } from "./step";

/// A figure as people say it: two places, or the word.
function ohms(value: number | string | null): string {
  return value === null ? "–" : typeof value === "number" ? value.toFixed(2) : value;
}

type Zone = { key: string; title: string; side: "left" | "middle" | "right" | "mixes"; rows: OutputRow[] };

/// Zones in the order of the lists, and on which side of the audience each stands.
function zonesOf(rows: readonly OutputRow[]): Zone[] {
  const zones: Zone[] = [];
  for (const row of rows) {
    const key = row.mix !== null ? "mixes" : String(row.zone ?? row.name);
    let zone = zones.find((z) => z.key === key);
    if (!zone) {
      const side = row.mix !== null ? "mixes" : /house left/i.test(row.name) ? "left" : /house right/i.test(row.name) ? "right" : "middle";
      zone = { key, side, title: row.mix !== null ? words.outMixes : words.outZone(row.zone, row.name), rows: [] };
      zones.push(zone);
    }
    zone.rows.push(row);
  }
  return zones;
}

function Circuit({ row }: { row: OutputRow }) {
  return (
    <li>
      <a class={"circuit s-" + row.state} href={href.output(row.circuit)} data-circuit={row.circuit} data-state={row.state}>
        <b class="n">{row.circuit}</b>
        <Glyph state={row.state} />
        <span class="is">{words.state[row.state]}</span>
        <span class="ohm">
          {ohms(row.ohm)}
          {row.now_ohm !== null && <small> / {ohms(row.now_ohm)}</small>}
        </span>
      </a>
    </li>
  );
}

/// What feeds a zone or a mix: one row, which opens for what is read at its far end.
function Drive({ drive }: { drive: OutputDrive }) {
  const [open, setOpen] = useState(false);
  const say = (check: "tone" | "hum", reading: string): void => {
    void tell({ verb: "output", circuit: drive.tell, check, reading });
  };
  const answers = (check: "tone" | "hum", label: string, readings: readonly string[]) => (
    <>
      <p class="quiet">{label}</p>
      <div class="answers" role="group" aria-label={label}>
        {readings.map((r) => (
          <button key={r} type="button" class="answer" data-reading={check + "=" + r} onClick={() => say(check, r)}>
            {words.outReading[check + "=" + r] ?? r}
          </button>
        ))}
      </div>
    </>
  );
  const presets = words.outPresets(drive.presets.right, drive.presets.wrong, drive.presets.not_read);
  return (
    <details class="drive" data-drive={drive.drive} data-state={drive.state} onToggle={(e) => setOpen(e.currentTarget.open)}>
      <summary class={"circuit s-" + drive.state}>
        <b class="name">{drive.drive}</b>
        <Glyph state={drive.state} />
        <span class="is">{words.state[drive.state]}</span>
        <small>{drive.say}</small>
      </summary>
      {open && (
        <>
          <p class="quiet">{[words.outFrom(drive.desk_output, drive.level_dbu), presets].filter(Boolean).join(". ")}</p>
          {(drive.state === "bad" || drive.state === "suspect") && (
            <ul class="plainlist">
              {drive.odds.map((o) => (
                <li key={o.part + o.fault}>{words.outOdd(o.fault, o.part, o.prob, "")}</li>
              ))}
            </ul>
          )}
          {may("output") && (
            <>
              <p class="caution">
                <Icon name="stop" />
                <span>
                  <b>{words.caution}:</b> {drive.caution}
                </span>
              </p>
              {answers("tone", words.outTone, ["normal", "low", "nothing"])}
              {answers("hum", words.outHum, ["none", "audible", "loud"])}
            </>
          )}
        </>
      )}
    </details>
  );
}

function Zones({ rows, drives }: { rows: readonly OutputRow[]; drives: readonly OutputDrive[] }) {
  const zones = zonesOf(rows);
  return (
    <div class="zones" aria-label={words.outZonesSay}>
      {(["left", "middle", "right", "mixes"] as const).map((side) => (
        <div key={side} class={"side side-" + side}>
          {zones
            .filter((z) => z.side === side)
            .map((z) => (
              <section key={z.key} aria-label={z.title}>
                <h2>{z.title}</h2>
                {drives
                  .filter((d) => (d.mix !== null ? z.side === "mixes" : String(d.zone) === z.key))
                  .map((d) => (
                    <Drive key={d.drive} drive={d} />
                  ))}
                <ul class="circuits">
                  {z.rows.map((r) => (
                    <Circuit key={r.circuit} row={r} />
                  ))}
                </ul>
              </section>
            ))}
        </div>
      ))}
    </div>
  );
}

/// One number and Enter; the field stays where it is, so that the thumb does. A number belongs to the
/// circuit that stood there when it was begun, also where another's reading moves the screen on.
function Ohms({ say }: { say: (reading: string) => void }) {
  const field = useRef<HTMLInputElement>(null);
  const begun = useRef<((reading: string) => void) | null>(null);
  return (
    <form
      class="field row ohms"
      onSubmit={(e) => {
        e.preventDefault();
        const typed = field.current?.value.trim().replace(",", ".") ?? "";
        if (!typed || !Number.isFinite(Number(typed))) return;
        (begun.current ?? say)(typed);
        begun.current = null;
        if (field.current) {
          field.current.value = "";
          field.current.focus();
        }
      }}
    >
      <label>
        <span>{words.outOhms}</span>
        <input ref={field} name="ohms" inputMode="decimal" autocomplete="off" onInput={(e) => (begun.current = e.currentTarget.value ? (begun.current ?? say) : null)} />
      </label>
      <button class="go" data-ohms="tell">
        {words.outTell}
      </button>
      <button type="button" data-ohms="open" onClick={() => say("open")}>
        {words.outOpen}
      </button>
      <button type="button" data-ohms="short" onClick={() => say("short")}>
        {words.outShort}
      </button>
    </form>
  );
}

function Step({ step, behind }: { step: OutputStep; behind: Behind }) {
  const say = (reading: string): void => {
    void tell({ verb: "output", circuit: step.tell, check: step.check, reading, ...(step.at ? { at: step.at } : {}) });
  };
  return (
    <section class="step first" aria-labelledby="out-next" aria-busy={behind} data-check={step.check} data-tell={step.tell}>
      <p class="caution">
        <Icon name="stop" />
        <span>
          <b>{words.caution}:</b> {step.caution}
        </span>
      </p>
      <h2 id="out-next">{step.say}</h2>
      {may("output") && <Asks text={words.outSeen} />}
      {may("output") && step.readings.length === 0 && <Ohms say={say} />}
      {may("output") && step.readings.length > 0 && (
        <div class="answers" role="group" aria-label={words.outSeen}>
          {step.readings.map((r) => (
            <button key={r} type="button" class="answer" data-reading={r} onClick={() => say(r)}>
              {words.outReading[step.check + "=" + r] ?? words.outReading[r] ?? r}
            </button>
          ))}
        </div>
      )}
      <p class="because">{step.why}</p>
    </section>
  );
}

function Counts({ rows }: { rows: readonly OutputRow[] }) {
  const n = (state: string): number => rows.filter((r) => r.state === state).length;
  return <p>{words.outCounts(rows.length, n("proven"), n("suspect"), n("bad"))}</p>;
}

/// What is told of one circuit, whatever the round would have next.
function Tell({ row }: { row: OutputRow }) {
  if (!may("output") || row.transmitter) return null;
  const name = row.circuit;
  const mark = row.amp || name;
  return (
    <section aria-labelledby="out-tell">
      <h2 id="out-tell">{words.outTellAny}</h2>
      <div class="answers">
        <button
          type="button"
          class="answer"
          data-plug={row.unplugged ? "plugged" : "unplugged"}
          onClick={() => void tell({ verb: "output", circuit: mark, check: "amplifier", reading: row.unplugged ? "plugged" : "unplugged" })}
        >
          {row.unplugged ? words.outPlugged(mark) : words.outUnplugged(mark)}
        </button>
        {!row.unplugged &&
          (["right", "nothing", "quiet", "dull"] as const).map((r) => (
            <button key={r} type="button" class="answer" onClick={() => void tell({ verb: "output", circuit: name, check: "plays", reading: r })}>
              {words.outReading["plays=" + r] ?? r}
            </button>
          ))}
        {!row.unplugged &&
          (["same", "inverted"] as const).map((r) => (
            <button key={r} type="button" class="answer" onClick={() => void tell({ verb: "output", circuit: name, check: "pulse", reading: r })}>
              {words.outReading["pulse=" + r] ?? r}
            </button>
          ))}
      </div>
      {row.unplugged && <Ohms say={(reading) => void tell({ verb: "output", circuit: name, check: "ohms", reading })} />}
      {!row.unplugged && <p class="quiet">{words.outLive(mark)}</p>}
    </section>
  );
}

function One({ name }: { name: string }) {
  const { value, error, behind } = useAnswer<Outputs>("outputs?circuit=" + encodeURIComponent(name));
  const row = value?.circuit;
  const step = value?.steps[0];
  if (!row) return <p class="quiet">{error || words.loading}</p>;
  return (
    <>
      <p class="out-head">
        <b class="n">{row.circuit}</b>
        <Glyph state={row.state} />
        <b>{words.state[row.state]}</b>
        <span>{row.say}</span>
      </p>
      <p class="quiet">{[row.name, row.band, row.amp ? words.outAmp(row.amp, row.channel) : row.transmitter, row.pins].filter(Boolean).join(", ")}</p>
      <dl class="rb-list">
        <div>
          <dt>{words.outRead}</dt>
          <dd>{ohms(row.ohm)}</dd>
        </div>
        <div>
          <dt>{words.outShould}</dt>
          <dd>{ohms(row.now_ohm)}</dd>
        </div>
        <div>
          <dt>{words.outTwins(row.twins)}</dt>
          <dd>{row.off_percent === null || row.ohm === null ? "–" : (row.off_percent > 0 ? "+" : "") + row.off_percent.toFixed(1) + " %"}</dd>
        </div>
      </dl>
      {step && <Step key={stepOf(step)} step={step} behind={behind} />}
      <Tell row={row} />
      <section aria-labelledby="out-odds">
        <h2 id="out-odds">{words.outMay}</h2>
        <ul class="plainlist">
          {row.odds
            .filter((o) => o.prob >= 0.005)
            .slice(0, 8)
            .map((o) => (
              <li key={o.part + o.fault}>
                {words.outOdd(o.fault === "none" ? words.outGood : o.fault, o.fault === "none" ? "" : o.part, o.prob, ohms(o.reads_ohm))}
              </li>
            ))}
        </ul>
        <p class="quiet small">{words.outUsual}</p>
      </section>
    </>
  );
}

const stepOf = (step: OutputStep): string => `${step.tell}|${step.check}|${step.at}`;

/// The walk with the meter: the next circuit nobody has read, one field. It goes on with each number
/// told, whatever the radio does.
function Walk({ value, seq }: { value: Outputs; seq: number }) {
  // Read already, though the answer (`seq` of the log) does not have it yet
  const told = [
    ...pending.value.filter((p) => p.fact.verb === "output" && p.fact["check"] === "ohms").map((p) => p.fact["circuit"]),
    ...log.value.filter((t) => t.seq > seq && t.kind === "output_reading" && !t.void && t.body["check"] === "ohms").map((t) => t.body["circuit"]),
  ];
  const left = value.round.filter((s) => s.check === "ohms" && !told.includes(s.circuit) && value.circuits.some((c) => c.circuit === s.circuit && c.ohm === null));
  const row = value.circuits.find((c) => c.circuit === left[0]?.circuit);
  if (!row || !may("output")) return null;
  const mark = row.amp || row.circuit;
  return (
    <section class="step metering" aria-labelledby="out-walk" data-walk={row.circuit}>
      <h2 id="out-walk">{words.outWalk}</h2>
      <p class="caution">
        <Icon name="stop" />
        <span>
          <b>{words.caution}:</b> {words.outWalkSay}
        </span>
      </p>
      <p class="rb-channel">
        <b>{row.circuit}</b>
        <span>{words.outAt(words.outAmp(row.amp, row.channel), row.pins, ohms(row.now_ohm))}</span>
      </p>
      {row.unplugged ? (
        <Ohms say={(reading) => void tell({ verb: "output", circuit: row.circuit, check: "ohms", reading })} />
      ) : (
        <button
          type="button"
          class="go wideb"
          data-plug="unplugged"
          onClick={() => void tell({ verb: "output", circuit: mark, check: "amplifier", reading: "unplugged" })}
        >
          {words.outUnplugged(mark)}
        </button>
      )}
      <p class="quiet">{words.outWalkLeft(left.length)}</p>
    </section>
  );
}

export function OutputsScreen({ name }: { name: string }) {
  const { value, error, behind, seq } = useAnswer<Outputs>("outputs");
  const step = value?.steps[0];
  return (
    <Shell title={words.outputs}>
      <div class="outputs">
        <h1>{words.outputs}</h1>
        {name ? (
          <>
            <p>
              <button type="button" onClick={() => go(href.outputs)}>
                {words.outAll}
              </button>
            </p>
            <One key={name} name={name} />
          </>
        ) : (
          <>
            {!value && <p class="quiet">{error ? words.outMissing : words.loading}</p>}
            {value && <Counts rows={value.circuits} />}
            {step && <Step key={stepOf(step)} step={step} behind={behind} />}
            {value && <Walk value={value} seq={seq.value} />}
            {value && <Zones rows={value.circuits} drives={value.drives} />}
          </>
        )}
        <p class="quiet small law">{words.noLaw}</p>
      </div>
    </Shell>
  );
}
