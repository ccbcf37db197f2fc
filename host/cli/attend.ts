// `attend`: enters, or calls off, a window in which somebody is at work on a circuit.
import { createWanted } from '../building/wanted';
import { nowSec, systemClock } from '../clock';
import { attendedRefusal, attendedWindow, windowWords, writeAttended } from '../people/attended';
import { utcOfLocal } from '../site/civil';
import { localTime } from '../site/fields';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { circuitOf, nameOf, withLogbook } from './baseline';

export interface AttendOptions {
  site: Site;
  db: string;
  circuit: string;
  who: string;
  /** Local time of the site, YYYY-MM-DDTHH:MM. */
  from?: string;
  to?: string;
  cancel: boolean;
}

function utcFrom(site: Site, name: string, text: string | undefined): number {
  if (text === undefined) throw new Error(`Give the window with --from and --to; ${name} is missing.`);
  const parsed = localTime(`the time of ${name}`).safeParse(text);
  if (!parsed.success) throw new Error(`${name} ${parsed.error.issues[0].message}, but is "${text}".`);
  return utcOfLocal(site.timeZone, parsed.data);
}

/**
 * Writes the window into the log book; a running host takes it up from there.
 * @returns the exit code: 1 when the rules are against it. @throws Error with one sentence for a mistake.
 */
export function attendCommand(o: AttendOptions): number {
  const { site } = o;
  const circuit = circuitOf(site, o.circuit);
  const who = nameOf(o.who);
  const now = nowSec(systemClock);
  const window = o.cancel
    ? { from: 0, to: 0 }
    : { from: utcFrom(site, '--from', o.from), to: utcFrom(site, '--to', o.to) };
  const address = `${site.id}/${circuit.id}`;
  const refusal = withLogbook(o.db, (logbook, keys) => {
    const plan = createWanted({ site, memory: logbook.memory }).plan()?.plan;
    if (!plan) return 'The log book holds no plan yet; start the host with this site first.';
    const present = attendedWindow(logbook, keys, address);
    if (o.cancel && !(present && present.to > now)) return 'There is no such window to call off.';
    const against = o.cancel ? '' : attendedRefusal(site, plan, circuit.id, window, now);
    if (against === '') writeAttended(logbook, keys, { address, at: now, who, ...window });
    return against;
  });
  if (refusal !== '') {
    process.stderr.write(`${refusal}\n`);
    return 1;
  }
  const what = o.cancel
    ? `${who} called off the window for work on circuit ${circuit.id}.`
    : `${who} is at work on circuit ${circuit.id} from ${windowWords(window, site.timeZone)}; in that time tests may ` +
      'be started by order.';
  process.stdout.write(`${what}\nA running host tells the controller within a minute or two.\n${CAUTION}\n`);
  return 0;
}
