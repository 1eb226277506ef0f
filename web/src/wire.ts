// SPDX-License-Identifier: GPL-3.0-or-later
//
// What goes over the wire, as docs/api.md and docs/schema say it. Types alone: nothing here runs.

export type State = "proven" | "unproven" | "suspect" | "bad" | "moved" | "unused";
export const STATES: readonly State[] = ["bad", "suspect", "unproven", "moved", "proven", "unused"];

export type Odds = { fault: string; prob: number; say?: string };
export type Part = { part: string; state: State; is?: string; desk?: string; prob?: number; odds?: Odds[] };

export type LineRow = {
  line: number;
  source: string;
  box: string;
  socket: number;
  spare: boolean;
  state: State;
  at: Record<string, State>;
  not_seen: string[];
  say: string;
  runs_on?: number;
  parts?: Part[];
};
export type Lines = { act: string; lines: LineRow[]; assumed: string[]; left_aside: string[] };
export type LineOne = LineRow & { act: string; parts: Part[]; likely: string; usual_practice: boolean; left_aside: string };

export type Step = {
  line: number;
  who: string;
  at: string;
  does: string;
  check: string | null;
  say: string;
  why: string;
  caution: string;
  seconds: number;
  expected_s: number;
  chance: number;
  readings: string[];
  reading_says: string[];
  mute: boolean;
  unplug: string[];
  lines: number[];
  when: string;
  listens: string | null;
};
export type Busy = { who: string; line: number; at?: string; say?: string; since_s?: number };
export type Next = {
  act: string;
  steps: Step[];
  busy: Busy[];
  odds: (Odds & { line: number; part: string })[];
  seconds: number | null;
  chance: number | null;
  deadline: string | null;
  usual_practice: boolean;
};

export type Way = {
  say: string;
  way: string;
  seconds: number;
  people: number;
  uses: string;
  caution: string;
  desks: { desk: string; do: string }[];
};
export type Around = { act: string; line: number; ways: Way[]; taken: number | null; usual_practice: boolean };

/// A way round that was taken: what each desk does because of it, and how it is given back.
export type Moved = {
  line: number;
  source: string;
  act: string;
  runs_on: number;
  say: string;
  step: string; ///< What `done` takes when a desk follows
  fact: string;
  desks: { desk: string; do: string; done: boolean }[];
  back: { say: string; caution: string; desks: { desk: string; do: string }[] };
};
export type Ways = { moved: Moved[]; give_back: Moved[] };

export type Act = { act: string; start: string; end: string };
export type Now = { act: string; said: boolean; acts: Act[] };

export type Difference = {
  what: string;
  act: string;
  desk: string | null;
  line: number | null;
  say: string;
  do: string;
  sure: "certain" | "likely" | "ask";
  harm: boolean;
  caution: string;
};
export type HeldList = { act: string; list: string; held: { place: string; holds: string; is: "same" | "other" | "not said" }[] };
export type DeskRow = { line: number; channel: number; name: string; input: number; phantom: "yes" | "no" | "ask"; pad: "in" | "out"; read: boolean };
export type Compare = { disagreements: Difference[]; not_compared: string[]; lists?: HeldList[]; rows?: DeskRow[]; left?: number };

/// A fact ready to be told, as `prove` gives it.
export type ReadyFact = { verb: string; line?: number; check?: string; reading?: string; at?: string; what?: string; act?: string };
export type ProveLine = {
  line: number;
  box: string;
  socket: number;
  source: string;
  spare: boolean;
  is: "unused" | "left" | "good" | "bad" | "skipped";
  found: string; ///< What is the matter, in words
  fact: string | null; ///< Id of the newest fact of the pass about it
  good: ReadyFact | null; ///< What tells it good
};
export type ReadySay = { place: string; say: string; is_ready: boolean; fact: ReadyFact };
export type Prove = {
  act: string;
  ways: { way: string; say: string; seconds: number; may: boolean; why_not: string | null }[];
  way: string | null;
  desk: string;
  ready: ReadySay[];
  lines: ProveLine[];
  at: { line: number; caution: string } | null;
  order_mistake: string;
  pace_s: number | null;
  left_s: number;
  summary: string;
};
export type Hunt = { hunt: number; say: string; caution: string; begin: ReadyFact | null; ready: ReadySay[]; sockets: { line: number; socket: string; found: ReadyFact }[] };

/// A sheet that can be printed, and how one would come out (`sheet`).
export type Sheet = { what: string; title: string; does: string; of: "day" | "act" | "desk"; tape: boolean };
export type Sheets = { act: string; sheets: Sheet[] };
export type SheetAbout = { what: string; title: string; pages: number; complete: boolean; notes: string[] };

/// A circuit or mix as `outputs` has it.
export type OutputRow = {
  circuit: string;
  zone: number | null;
  mix: number | null;
  name: string;
  band: string;
  amp: string;
  channel: number;
  transmitter: string;
  pins: string;
  boxes: number;
  at: string;
  hangs: boolean;
  state: "proven" | "unproven" | "suspect" | "bad";
  say: string;
  unplugged: boolean;
  ohm: number | string | null;
  expect_ohm: number | null;
  now_ohm: number | null;
  twins: number;
  off_percent: number | null;
  off: boolean;
};
export type OutputStep = {
  circuit: string;
  tell: string;
  does: "check" | "repair" | "ask";
  check: string;
  at: string;
  for: string;
  say: string;
  why: string;
  caution: string;
  seconds: number;
  readings: string[];
};
export type OutputOne = OutputRow & { odds: { part: string; fault: string; prob: number; reads_ohm: number | string | null; plays: string }[] };
/// A zone's drive line or a mix's return.
export type OutputDrive = {
  drive: string;
  tell: string;
  zone: number | null;
  mix: number | null;
  name: string;
  desk_output: string;
  level_dbu: number | null;
  state: "proven" | "unproven" | "suspect" | "bad";
  say: string;
  presets: { right: number; wrong: number; not_read: number };
  odds: { part: string; fault: string; prob: number }[];
  caution: string;
};
export type OutputStop = { at: string; check: string; circuit: string; seconds: number; done: boolean };
export type Outputs = { circuits: OutputRow[]; drives: OutputDrive[]; steps: OutputStep[]; round: OutputStop[]; circuit?: OutputOne };

export type ForecastBox = { box: string; needed: number; ready: number; bad: number };
export type ForecastPoint = { seq: number; at: string; at_s: number; chance: number | null; ready_by: string[]; low_s: number; high_s: number; ready: number };
export type Forecast = {
  act: string;
  chance: number | null;
  ready_by: string[] | null;
  helps_most: string;
  say: string;
  rests_on: string;
  ready: boolean;
  by: string | null;
  by_why: "none" | "another day" | "said" | "doors" | "act";
  by_undated: boolean;
  by_s: number | null;
  now: string;
  now_s: number;
  low_s: number | null;
  high_s: number | null;
  lines: { needed: number; ready: number; moved: number; bad: number; heard: number };
  boxes: ForecastBox[];
  pace: { seconds_a_line: number; low_s: number; high_s: number; usual_s: number; lines: number; pauses: number; hands: number };
  helps: { what: string; say: string; minutes_sooner: number; chance: number | null }[];
  history: ForecastPoint[];
};

export type BoxSays = { box: string; name: string; place: string; sockets: number };
export type Me = {
  show: string | null;
  role: string | null;
  place: string | null;
  may: string[];
  needs_code: boolean;
  joined: boolean;
  seq: number;
  clock_s: number;
  empty: boolean;
  boxes?: BoxSays[];
  desks?: (string | { desk: string; say: string })[];
  doors?: string | null;
  show_id?: string | null; ///< Stays while it is the same show
  here?: boolean; ///< Sits at the box that serves the page
};

/// A fact as the log tells it.
export type Logged = {
  seq: number;
  id: string;
  at_s: number | null; ///< When it happened, by the server's clock
  role: string;
  place: string;
  kind: string;
  line: number | null;
  say: string;
  void: boolean;
  body: Record<string, unknown>;
};
export type Facts = { seq: number; facts: Logged[] };

/// A fact on its way to the log: a verb of the command line and its words.
export type Fact = { verb: string } & Record<string, string | number | boolean | undefined>;
export type Sent = { id: string; age_s: number } & Fact;
export type Answer = { id: string; seq: number | null; is: "new" | "known" | "refused"; say: string };
export type Answers = { seq: number; facts: Answer[] };

/// A step of a change that is done: told as it stands; its id is the same on every phone.
export type Tick = Fact & { id: string };
export type ChangeChannel = { channel: number; line: number; input: number; name: string; was: string; phantom: "yes" | "no" | "ask"; pad: "in" | "out"; changes: string[] };
export type ToldBy = { role: string; place: string; at_s: number | null; id: string };
export type ChangeStep = {
  step: string; ///< Short, and the same as long as the step is: "B3", "mute foh"
  does: string; ///< mute, phantom off, strike, move, plug, hold, patch, phantom on, cable
  person: number;
  who: string;
  at: string;
  desk: string | null;
  box: string | null;
  socket: number | null;
  line: number | null;
  source: string | null;
  from: string | null;
  say: string;
  why: string;
  caution: string;
  seconds: number;
  after: string[]; ///< Steps that come before
  ready: boolean;
  done: boolean;
  done_by: ToldBy | null;
  heard_only: boolean; ///< Somebody heard the desk say so
  gone_on: ToldBy | null; ///< Gone on with before every desk had muted
  taken: ToldBy | null; ///< Taken over from another hand
  lines: number[];
  channels: ChangeChannel[];
  tick: Tick | null;
  heard: Tick | null; ///< To tell that the desk was heard saying so
  anyway: Tick | null; ///< To tell that it does not wait for desks
};
export type ChangeOffer = { steps: string[]; whose: string; saves_s: number; say: string; tick: Tick };
export type ChangePerson = { person: number; who: string; name: string; at: string; desk: string | null; steps: string[]; done: number; seconds: number; offer: ChangeOffer | null };
export type Change = {
  act: string;
  from: string;
  plugs_moved: number;
  kept: number;
  people: ChangePerson[];
  steps: ChangeStep[];
  steps_done: number;
  seconds: number;
  deadline: { seconds: number; by: string; say: string } | null;
  fits: boolean;
  leave_out: { source: string; socket: string | null; saves_s: number; why: string }[];
  left_s: number;
  short: { source: string; say: string }[];
  notes: string[];
};
