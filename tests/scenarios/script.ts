// A scenario as its author writes it, line by line: what is given, what happens when, what is expected.
// Lines that begin with a bar are the log.

/** A scenario that cannot be read: file, line and what is wrong, in one sentence. */
export class ScenarioError extends Error {}

export const DAY_MS = 86_400_000;
const UNITS: Record<string, number> = { ms: 1, s: 1000, min: 60_000, h: 3_600_000, d: DAY_MS };

export interface Line {
  /** From 1. */
  no: number;
  text: string;
}

/** One `at` line with the lines of its author that follow it, and the log that was there. */
export interface Step {
  line: Line;
  when: When;
  /** What happens; '' when only time passes. */
  what: string;
  expects: { line: Line; words: string; isWanted: boolean }[];
  log: string[];
  /** All lines but the log, in order. */
  rest: Line[];
}

export type When =
  | { kind: 'at'; ms: number }
  | { kind: 'after'; ms: number }
  | { kind: 'phase'; phase: string; ms: number };

export interface Script {
  file: string;
  /** Lines before the first step. */
  head: Line[];
  givens: Line[];
  steps: Step[];
}

export function fail(file: string, line: Line, what: string): never {
  throw new ScenarioError(`${file}:${line.no}: "${line.text.trim()}" cannot be read: ${what}.`);
}

/** The same for a scenario that can be read but does not work out. */
export function report(file: string, line: Line, sentence: string): never {
  throw new ScenarioError(`${file}:${line.no}: ${sentence}`);
}

const SPAN = /^(\d+(?:\.\d+)?)(ms|s|min|h|d)$/;
const INSTANT = /^d(\d+) (\d\d):(\d\d)(?::(\d\d(?:\.\d+)?))?$/;

/** A length like "90s" or "24h" in ms; undefined for anything else. */
export function spanMs(text: string): number | undefined {
  const found = SPAN.exec(text);
  return found ? Math.round(Number(found[1]) * UNITS[found[2]]) : undefined;
}

/** An instant like "d2 01:00" in ms since the first day began; undefined for anything else. */
export function instantMs(text: string): number | undefined {
  const found = INSTANT.exec(text);
  if (!found) return undefined;
  const [, day, hour, minute, second] = found;
  return (
    (Number(day) - 1) * DAY_MS +
    Number(hour) * 3_600_000 +
    Number(minute) * 60_000 +
    Number(second ?? 0) * 1000
  );
}

/** An instant as "d2 01:00:30.25". */
export function instantText(ms: number): string {
  const day = Math.floor(ms / DAY_MS);
  const inDay = new Date(ms - day * DAY_MS).toISOString();
  return `d${day + 1} ${inDay.slice(11, 22)}`;
}

const AT = /^at (d\d+ \d\d:\d\d(?::\d\d(?:\.\d+)?)?|\+\S+|[a-z]+(?: \+\S+)?)(?:: (.*))?$/;

function whenOf(file: string, line: Line, text: string, phases: string[]): When {
  const at = instantMs(text);
  if (at !== undefined) return { kind: 'at', ms: at };
  const [word, by] = text.startsWith('+') ? ['', text] : text.split(' ');
  const ms = by === undefined ? 0 : spanMs(by.slice(1));
  if (ms === undefined) fail(file, line, `"${by}" is no length such as +30s or +5min`);
  if (word === '') return { kind: 'after', ms };
  if (!phases.includes(word)) fail(file, line, `"${word}" is no phase`);
  return { kind: 'phase', phase: word, ms };
}

function expectOf(line: Line): Step['expects'][number] {
  const words = line.text.slice('expect '.length).trim();
  const isWanted = !words.startsWith('no ');
  return { line, words: isWanted ? words : words.slice(3), isWanted };
}

/**
 * Reads a scenario.
 * @param phases words of the phases
 * @throws ScenarioError with file and line
 */
export function readScript(file: string, text: string, phases: string[]): Script {
  const script: Script = { file, head: [], givens: [], steps: [] };
  text
    .replace(/\n$/, '')
    .split('\n')
    .forEach((raw, i) => {
      const line = { no: i + 1, text: raw };
      const step = script.steps[script.steps.length - 1];
      if (raw.startsWith('|')) {
        if (!step) fail(file, line, 'a log line stands behind an "at" line');
        step.log.push(raw);
        return;
      }
      if (raw.startsWith('at ')) {
        const found = AT.exec(raw);
        if (!found)
          fail(file, line, 'an event is "at TIME: WHAT", with a time such as d2 01:00, +30s or brief +10s');
        const when = whenOf(file, line, found[1], phases);
        script.steps.push({ line, when, what: found[2] ?? '', expects: [], log: [], rest: [line] });
        return;
      }
      if (raw.startsWith('given ')) {
        if (step) fail(file, line, 'what is given stands before the first "at" line');
        script.givens.push(line);
      } else if (raw.startsWith('expect ')) {
        if (!step) fail(file, line, 'an expectation stands behind an "at" line');
        step.expects.push(expectOf(line));
      } else if (raw !== '' && !raw.startsWith('#'))
        fail(file, line, 'a line begins with "given", "at", "expect", "#" or "|"');
      if (step) step.rest.push(line);
      else script.head.push(line);
    });
  if (script.steps.length === 0)
    throw new ScenarioError(`${file}:1: The scenario has no "at" line, so nothing happens in it.`);
  return script;
}

/** The scenario with this log after every event, and every line of its author unchanged. */
export function rewritten(script: Script, logs: string[][]): string {
  const lines = script.head.map((line) => line.text);
  script.steps.forEach((step, i) => {
    const [first, ...rest] = step.rest;
    lines.push(first.text, ...logs[i], ...rest.map((line) => line.text));
  });
  return `${lines.join('\n')}\n`;
}
