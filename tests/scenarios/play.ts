// Plays a scenario: makes everything happen that it describes, and compares the log with what its
// author expects.
import { readGiven } from './given';
import { DAY_MS, fail, report, type Script, type Step, spanMs } from './script';
import { Stage } from './stage';
import { KINDS, ORDERS } from './words';

/** A phase that has not come after this long will not come, ms. */
const PATIENCE_MS = 400 * DAY_MS;

type Does = (stage: Stage, found: RegExpExecArray) => boolean | undefined;

const onOff = (word: string): number => (word === 'on' ? 1 : 0);

/** Carries out an order. @returns false when the words name no order */
function order(stage: Stage, wish: string, who: string): boolean {
  const name = [...ORDERS.keys()].find((one) => wish === one || wish.startsWith(`${one} `));
  if (name === undefined) return false;
  const rest = wish.slice(name.length + 1);
  const arg = rest === '' ? 0 : (KINDS.get(rest) ?? (spanMs(rest) ?? Number.NaN) / 1000);
  if (Number.isNaN(arg)) return false;
  stage.order(ORDERS.get(name) as number, arg, who);
  return true;
}

function lampDoes(stage: Stage, no: string, what: string): boolean {
  const lamp = stage.lamps[Number(no) - 1];
  if (!lamp) return false;
  const current = /^gives (\d+)mA( on mains)?$/.exec(what);
  const starts = /^starts after (\S+)$/.exec(what);
  const lasts = /^lasts (\S+)$/.exec(what);
  const ms = spanMs((starts ?? lasts)?.[1] ?? '');
  if (what === 'dies') Object.assign(lamp, { battery: 0, mains: 0 });
  else if (current) lamp[current[2] ? 'mains' : 'battery'] = Number(current[1]);
  else if (ms === undefined) return false;
  else lamp[starts ? 'startsMs' : 'lastsMs'] = ms;
  return true;
}

/** What an event may say, and what it does; false: it makes no sense after all. */
const EVENTS: [form: string, pattern: RegExp, does: Does][] = [
  [
    'mains|key|stop|occupied on|off',
    /^(mains|key|stop|occupied) (on|off)$/,
    (s, [, name, state]) => {
      s.world[name as 'mains'] = onOff(state);
      return true;
    },
  ],
  [
    'relay follows|sticks open|sticks closed|held by a guard',
    /^relay (follows|sticks open|sticks closed|held by a guard)$/,
    (s, [, what]) => {
      s.world.contact = what.replace('sticks ', '') as 'follows';
      return true;
    },
  ],
  [
    'aux closed|open|right',
    /^aux (closed|open|right)$/,
    (s, [, what]) => {
      s.world.aux = { closed: 0, open: 1 }[what];
      return true;
    },
  ],
  [
    'charge current 40mA',
    /^charge current (\d+)mA$/,
    (s, [, mA]) => {
      s.world.charge = Number(mA);
      return true;
    },
  ],
  [
    'lamp 1 dies|gives 20mA|gives 20mA on mains|starts after 7s|lasts 40min',
    /^lamp (\d+) (.+)$/,
    (s, [, no, what]) => lampDoes(s, no, what),
  ],
  [
    'sensor 1 shows 0mA|is right',
    /^sensor (\d+) (?:shows (-?\d+)mA|is right)$/,
    (s, [, no, mA]) => {
      const lamp = s.lamps[Number(no) - 1];
      if (lamp) lamp.sensor = mA === undefined ? undefined : Number(mA);
      return lamp !== undefined;
    },
  ],
  ['order test brief by anna', /^order (.+) by (\S+)$/, (s, [, wish, who]) => order(s, wish, who)],
  [
    'host sends the time',
    /^host sends the time(?: (\S+) (early|late))?$/,
    (s, [, by, way]) => {
      const off = by === undefined ? 0 : spanMs(by);
      if (off === undefined) return false;
      s.tellTime(way === 'late' ? off : -off);
      s.isClockSet = true;
      return true;
    },
  ],
  [
    'log book away|back',
    /^log book (away|back)$/,
    (s, [, what]) => {
      s.isLogBookThere = what === 'back';
      return true;
    },
  ],
  [
    'flash refuses|takes',
    /^flash (refuses|takes)$/,
    (s, [, what]) => {
      s.flash.worn = what === 'refuses';
      return true;
    },
  ],
  [
    'restart',
    /^restart$/,
    (s) => {
      s.boot();
      return true;
    },
  ],
  [
    'mains dip 6 times',
    /^mains dip (\d+) times$/,
    (s, [, times]) => {
      for (let i = 0; i < Number(times); i++) {
        s.world.mains = 0;
        s.run(s.now + 250);
        s.world.mains = 1;
        s.run(s.now + 2000);
      }
      return true;
    },
  ],
];

function goTo(stage: Stage, script: Script, step: Step): void {
  const { when, line } = step;
  if (when.kind === 'phase') {
    stage.run(stage.now + PATIENCE_MS, () => stage.phase() === when.phase);
    if (stage.phase() !== when.phase) fail(script.file, line, `the phase "${when.phase}" does not come`);
  }
  const until = when.kind === 'at' ? when.ms : stage.now + when.ms;
  if (until < stage.now) fail(script.file, line, 'it lies before the event above it');
  stage.run(until);
}

function carryOut(stage: Stage, script: Script, step: Step): void {
  if (step.what === '') return;
  for (const [form, pattern, does] of EVENTS) {
    const found = pattern.exec(step.what);
    if (!found) continue;
    if (does(stage, found)) return;
    fail(script.file, step.line, `it is written "${form}"`);
  }
  fail(script.file, step.line, `what happens is one of: ${EVENTS.map(([form]) => form).join('; ')}`);
}

/** @returns the log of every step: what happened from its event up to the next one */
export function nightLogsOf(script: Script): string[][] {
  const stage = new Stage(readGiven(script));
  if (!stage.hasTakenGiven())
    report(
      script.file,
      script.givens[0],
      'The controller does not take what is given: a value is out of bounds.',
    );
  const logs = script.steps.map((): string[] => []);
  // What happens at the start belongs to the first event, and everything after an event to that event until
  // the next.
  script.steps.forEach((step, i) => {
    const lines = logs[Math.max(0, i - 1)];
    lines.push(...stage.lines.splice(0));
    stage.lines = lines;
    goTo(stage, script, step);
    stage.lines = logs[i];
    carryOut(stage, script, step);
  });
  const fault = stage.faultAtEnd();
  if (fault !== '') report(script.file, script.steps[script.steps.length - 1].line, fault);
  return logs;
}

/** The first thing that the author expects but that did not happen, as a sentence; '' when everything did. */
export function unmetExpectation(script: Script, logs: string[][]): string {
  for (const [i, step] of script.steps.entries())
    for (const { line, words, isWanted } of step.expects)
      if (logs[i].some((text) => text.includes(words)) !== isWanted)
        return `${script.file}:${line.no}: ${isWanted ? 'Not' : 'Still'} in the log above it: "${words}".`;
  return '';
}
