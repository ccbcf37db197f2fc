// `attend`: enters or cancels a window in which someone is working on a circuit.
import { nowSec, systemClock } from '../clock';
import { planInForce } from '../house/desired/desired';
import { decideAttended, windowWords } from '../house/notes/attended';
import { writeNote } from '../house/notes/notes';
import { readPast } from '../house/past';
import { utcOfLocal } from '../site/civil';
import { localTime } from '../site/fields';
import type { Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { nameOf, withLogbook } from './baseline';
import { circuitOf } from './named';

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
  if (text === undefined)
    throw new Error(`Give the time of the work with --from and --to; ${name} is missing.`);
  const parsed = localTime(`the time of ${name}`).safeParse(text);
  if (!parsed.success) throw new Error(`${name} ${parsed.error.issues[0].message}, but is "${text}".`);
  return utcOfLocal(site.timeZone, parsed.data);
}

/**
 * Writes the window into the log book, where a running host picks it up.
 * @returns the exit code: 1 if the rules forbid it. @throws Error with one sentence for a mistake.
 */
export async function attendCommand(o: AttendOptions): Promise<number> {
  const { site } = o;
  const circuit = circuitOf(site, o.circuit);
  const who = nameOf(o.who);
  const now = nowSec(systemClock);
  const window = o.cancel
    ? { from: 0, to: 0 }
    : { from: utcFrom(site, '--from', o.from), to: utcFrom(site, '--to', o.to) };
  const decision = await withLogbook(o, async (logbook, keys) => {
    const past = await readPast(logbook, site, keys);
    const decided = decideAttended({
      ...{ site, circuit: circuit.id, who, now, ...window },
      present: past.notes.of(circuit.id).attended,
      plan: planInForce(await logbook.memory.all())?.plan,
    });
    if ('note' in decided) await writeNote(logbook, keys, decided.note);
    return decided;
  });
  if ('refusals' in decision) {
    process.stderr.write(`${decision.refusals.join(' ')}\n`);
    return 1;
  }
  const what = o.cancel
    ? `${who} cancelled the work on circuit ${circuit.id}.`
    : `${who} is working on circuit ${circuit.id} from ${windowWords(window, site.timeZone)}; in that time tests can ` +
      'be started on demand.';
  process.stdout.write(
    `${what}\nA running host passes this to the controller within a minute or two.\n${CAUTION}\n`,
  );
  return 0;
}
