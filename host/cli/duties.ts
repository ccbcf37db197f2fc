// `duties`: what people must look at, and by when.
import { nowSec, systemClock } from '../clock';
import { type DueDuty, dueDuties, dueWords } from '../duties/due';
import { dutiesOf, intervalWords } from '../duties/duties';
import { scopeWords } from '../house/notes/inspected';
import type { Finding } from '../house/notes/inspections';
import { readPast } from '../house/past';
import { isSimulated, SIMULATED } from '../logbook/simulated';
import type { Site } from '../site/model';
import { dayWord } from '../words/when';
import { withLogbook } from './baseline';

/** Most luminaires named in one line. */
const NAMED = 12;

function names(ids: readonly string[]): string {
  const more = ids.length > NAMED ? ` and ${ids.length - NAMED} more` : '';
  return `${ids.slice(0, NAMED).join(', ')}${more}`;
}

function dutyLines({ duty, state, days, last, left }: DueDuty, zone: string): string {
  const before = last
    ? `last on ${dayWord(last.done, zone)} by ${last.who} (entry ${last.entry})`
    : 'never entered';
  const rest = left.length > 0 ? `\n    Still to see: ${names(left)}.` : '';
  const points = duty.points.map(({ id, words }) => `\n    ${id}: ${words}`).join('');
  return (
    `${dueWords({ state, days })}: ${duty.id}\n    ${duty.title}, by ${duty.by}, ${intervalWords(duty.interval)}; ` +
    `${before}.${rest}${points}`
  );
}

function findingLine({ who, asked, luminaire, scope, words, since, entry }: Finding, zone: string): string {
  const where = luminaire === '' ? scopeWords(scope) : luminaire;
  const more = words === '' ? '' : `: ${words}`;
  return `${where}${more} (not so: ${asked} Found by ${who}, since ${dayWord(since, zone)}, entry ${entry}.)`;
}

/**
 * Prints what is due, the most overdue first, and what was found and has not been seen in order since.
 * @param json one JSON object and nothing else on stdout
 * @returns the exit code: 1 if something is overdue. @throws Error with one sentence if there is no log book.
 */
export async function dutiesCommand(site: Site, db: string, json: boolean): Promise<number> {
  const { inspections, simulated } = await withLogbook({ site, db }, async (logbook, keys) => {
    const past = await readPast(logbook, site, keys);
    return { inspections: past.inspections, simulated: await isSimulated(logbook) };
  });
  const due = dueDuties(dutiesOf(site), site, inspections, nowSec(systemClock));
  const findings = inspections.findings();
  if (json) process.stdout.write(`${JSON.stringify({ simulated, due, findings })}\n`);
  else {
    const zone = site.timeZone;
    const found = findings.map((one) => findingLine(one, zone));
    const parts = [
      ...due.map((one) => dutyLines(one, zone)),
      found.length > 0
        ? `Found, and not seen in order since:\n${found.join('\n')}`
        : 'Nothing found is open.',
      'Enter one with `nightproof inspected --duty NAME --who NAME`, and withdraw a wrong entry with `nightproof withdraw`; ' +
        'sources are in docs/duties.md.',
    ];
    process.stdout.write(`${[...(simulated ? [SIMULATED] : []), ...parts].join('\n\n')}\n`);
  }
  return due.some(({ state }) => state === 'overdue') ? 1 : 0;
}
