// `trace` and `replay`: the events a controller received around a test, requested from a running host, saved
// from its log book, and run again.
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import type { TraceRecord } from '../../firmware/contract/messages';
import { type Decision, type Replayed, replay } from '../../simulator/replay/replay';
import { readTrace, type Trace, TraceError } from '../../simulator/replay/trace';
import type { OrderOutcome } from '../api/views';
import { recordText } from '../house/view/recordView';
import type { Entry, Logbook } from '../logbook/logbook';
import { readRecord } from '../records/schema';
import type { Site } from '../site/model';
import { phaseName, reasonSentence } from '../words/codes';
import { Mistake } from './arguments';
import { nameOf } from './baseline';
import { withLogbook } from './checkpoint';
import { circuitOf } from './named';

/** Entries read per batch, and traces searched for one with events. */
const PAGE = 500;

export interface TraceOrderOptions {
  site: Site;
  circuit: string;
  who: string;
  /** Address of the running host's page. */
  page: string;
  /** File that holds an access token for traces, where the page asks who is there. */
  tokenFile?: string;
}

const NO_TOKEN =
  ' Have an access token made with "accounts token make" and --scope trace, write it to a file that only you can read, ' +
  'and give that with --token-file.';

function tokenIn(file: string): string {
  let token: string;
  try {
    token = readFileSync(file, 'utf8').trim();
  } catch {
    throw new Mistake(`The access token cannot be read: there is no file ${file}.`);
  }
  if (!/^[\w-]{1,200}$/.test(token)) throw new Mistake(`${file} holds no access token alone on one line.`);
  return token;
}

/** Requests a trace of the next test from the host that runs at `page`. @returns the exit code */
export async function traceOrderCommand(o: TraceOrderOptions): Promise<number> {
  const circuit = circuitOf(o.site, o.circuit);
  const who = nameOf(o.who);
  const token = o.tokenFile === undefined ? '' : tokenIn(o.tokenFile);
  let outcome: OrderOutcome;
  try {
    const answer = await fetch(new URL(`/api/circuits/${circuit.id}/traces`, o.page), {
      method: 'POST',
      redirect: 'error',
      headers: {
        'Content-Type': 'application/json',
        ...(token !== '' && { Authorization: `Bearer ${token}` }),
      },
      body: JSON.stringify({ who }),
    });
    outcome = (await answer.json()) as OrderOutcome;
    if (answer.status === 401 && token === '') outcome.answer += NO_TOKEN;
  } catch {
    throw new Mistake(
      `No host answers at ${o.page}; start it with "serve" or give the address of its page with --page.`,
    );
  }
  (outcome.ok ? process.stdout : process.stderr).write(`${outcome.answer}\n`);
  return outcome.ok ? 0 : 1;
}

function partOf(entry: Entry): TraceRecord | undefined {
  const record = readRecord(entry.body);
  return record?.kind === 'trace' ? record : undefined;
}

/** The controller's records from the start of its newest trace to the trace's end, oldest first. */
async function tracedRecords(logbook: Logbook, address: string): Promise<Entry[]> {
  const parts = await logbook.page({ address, kind: 'trace', limit: PAGE });
  const first = parts.findIndex((entry) => partOf(entry)?.text.startsWith('='));
  const begin = parts.find((entry, i) => i > first && partOf(entry)?.text.startsWith('!'));
  if (first < 0 || !begin)
    throw new Mistake(
      `The log book holds no trace of a test of ${address}; order one with "trace order" and wait for the next test.`,
    );
  const found: Entry[] = [];
  const end = parts[0].entry;
  for (let after = begin.entry - 1; after < end; ) {
    const page = await logbook.after(after, PAGE);
    found.push(...page.filter((e) => e.address === address && e.journal === begin.journal && e.entry <= end));
    after = page.length > 0 ? page[page.length - 1].entry : end;
  }
  return found;
}

export interface TraceSaveOptions {
  site: Site;
  circuit: string;
  db: string;
  out: string;
}

/** Saves the newest trace of a circuit's controller as lines of its signed records. @returns the exit code */
export async function traceSaveCommand(o: TraceSaveOptions): Promise<number> {
  const circuit = circuitOf(o.site, o.circuit);
  const address = `${o.site.id}/${circuit.id}`;
  const entries = await withLogbook(o.db, (logbook) => tracedRecords(logbook, address));
  const trace = readTrace(entries.map((entry) => entry.body));
  if (existsSync(o.out)) throw new Mistake(`${o.out} already exists; give another file with --out.`);
  writeFileSync(o.out, entries.map((entry) => `${entry.body}\n`).join(''));
  const whole = trace.isWhole ? '' : ' The trace is not finished yet; save it again later to get the rest.';
  process.stdout.write(`${o.out}: ${entries.length} records, ${trace.given.length} events.${whole}\n`);
  return 0;
}

function readLines(file: string): string[] {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch {
    throw new Mistake(`There is no trace ${file}; save one with "trace save".`);
  }
  const lines = text.split('\n').filter((line) => line !== '');
  const wrong = lines.findIndex((line) => readRecord(line) === undefined);
  if (wrong >= 0)
    throw new Mistake(`${file}, line ${wrong + 1} is not a controller record; save the trace again.`);
  return lines;
}

function decisionText({ what }: Decision): string {
  if (what.kind === 'phase') return `Phase: ${phaseName(what.phase)}.`;
  if (what.kind === 'relay')
    return what.open ? 'The relay is driven open: the supply is cut.' : 'The relay is released.';
  if (what.kind === 'waiting') return `A test cannot start. ${reasonSentence(what.reason)}`;
  // Number, chain and signature belong to the journal, not to the decision.
  const record = readRecord(`{"v":1,"journal":"replay","seq":1,${what.body},"prev":"","mac":""}`);
  return record ? `Record: ${recordText(record, () => [])}` : `Record: ${what.body}`;
}

function timeOf({ utc, ms }: { utc: number; ms: number }): string {
  const clock =
    utc > 0 ? new Date(utc * 1000).toISOString().replace('T', ' ').slice(0, 19) : 'clock not set      ';
  return `${clock} UTC  +${(ms / 1000).toFixed(2).padStart(9)} s`;
}

function outcomeText(trace: Trace, { difference, same }: Replayed): string {
  if (difference)
    return (
      `The first difference, at ${timeOf(difference)}:\n` +
      `  recorded: ${difference.then}\n  now:  ${difference.now}\n`
    );
  const end = trace.isWhole ? '' : ' The trace is incomplete: what came after it was not compared.';
  return `Same: all ${same} records match what the controller wrote, byte for byte.${end}\n`;
}

/**
 * Runs a trace again and prints what the core decides, then "Same" or the first difference.
 * @returns the exit code: 0 if it is the same
 */
export function replayCommand(file: string, json: boolean): number {
  let trace: Trace;
  try {
    trace = readTrace(readLines(file));
  } catch (error) {
    if (error instanceof TraceError) throw new Mistake(`${file}: ${error.message}`);
    throw error;
  }
  const replayed = replay(trace);
  if (json) process.stdout.write(`${JSON.stringify({ isWhole: trace.isWhole, ...replayed })}\n`);
  else {
    // The parts of the trace itself say nothing about the test.
    const told = replayed.decisions.filter(
      ({ what }) => what.kind !== 'record' || !what.body.includes('"kind":"trace"'),
    );
    for (const decision of told) process.stdout.write(`${timeOf(decision)}  ${decisionText(decision)}\n`);
    process.stdout.write(outcomeText(trace, replayed));
  }
  return replayed.difference ? 1 : 0;
}
