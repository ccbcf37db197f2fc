import { nowSec, systemClock } from '../clock';
import { readPast } from '../house/past';
import { makePlan } from '../planner/planner';
import { profileFor } from '../profiles/profile';
import { localDate, utcOf } from '../site/civil';
import { formatMistake, loadSite } from '../site/load';
import type { Circuit, Site } from '../site/model';
import { owedFullTests } from '../site/owed';
import { dayWord } from '../words/when';
import { alikeLines } from './alikeLines';
import { PROGRAM } from './arguments';
import { withLogbook } from './baseline';
import { conflictCount, linesOf } from './conflictLines';
import { furtherLines } from './furtherLines';

/** Most mistakes shown: a file that is no site file at all has one on every line. */
const SHOWN_MAX = 20;

function count(number: number, noun: string): string {
  return `${number} ${noun}${number === 1 ? '' : 's'}`;
}

/** How a circuit's lamps are read if that is not by the controller's converter, one line. */
function busLines({ id, luminaires, bus }: Circuit): string[] {
  if (!bus) return [];
  const places = luminaires.map((lamp) => `${lamp.id} ${lamp.module!.address}/${lamp.module!.register}`);
  return [
    `Circuit "${id}": ${count(luminaires.length, 'luminaire')} read by current modules on a bus, which needs a ` +
      `board with a bus; luminaire, module/register: ${places.join(', ')}`,
  ];
}

/** Luminaires judged by currents other than the file's, one line each. */
async function acceptedLines(site: Site, db: string): Promise<string> {
  const past = await withLogbook({ site, db }, (logbook, keys) => readPast(logbook, site, keys));
  const lines = site.circuits.flatMap((circuit) =>
    [...past.notes.of(circuit.id).accepted].map(([id, { battery, mains, who, at }]) => {
      const currents = `${battery} mA on battery${mains > 0 ? `, ${mains} mA on mains` : ''}`;
      return `${id}: in use ${currents}, accepted ${localDate(site.timeZone, at)} by ${who}\n`;
    }),
  );
  return lines.length > 0 ? lines.join('') : 'The lamp currents in use are those of the site file.\n';
}

/** How many luminaires have currents that the file calls expected, one line. */
function expectedLines({ circuits }: Site): string[] {
  const lamps = circuits.flatMap(({ luminaires }) => luminaires.filter(({ isExpected }) => isExpected));
  if (lamps.length === 0) return [];
  return [
    `The currents of ${count(lamps.length, 'luminaire')} are expected ones: not proven until somebody accepts what was ` +
      'measured there (docs/wiring.md, "Commissioning").',
  ];
}

/** Larger sites are not planned by a check; one of this size takes some seconds. */
const PLANNED_CIRCUITS = 1000;
const PLAN_DAYS = 365;

/** What a plan without test history cannot do: warnings, as the file itself has no mistakes. */
function planWarnings(site: Site): string[] {
  if (site.circuits.length > PLANNED_CIRCUITS)
    return [
      `No plan was made, because that takes long for ${count(site.circuits.length, 'circuit')}; \`plan\` makes one ` +
        'and says what it cannot do.',
    ];
  const today = nowSec(systemClock);
  const from = utcOf(site.timeZone, localDate(site.timeZone, today), 0, 'start');
  const made = makePlan(site, profileFor(site), from, PLAN_DAYS);
  const { conflicts } = made;
  const further = furtherLines(site, made);
  const lines = linesOf(conflicts, false);
  const told = `The plan for a year from ${dayWord(from, site.timeZone)} has ${conflictCount(conflicts)}`;
  return lines.length === 0
    ? [...further, `${told}: every test is in time.`]
    : [...further, `${told}.`, '', ...lines];
}

/**
 * Checks a site file: one sentence per mistake on stderr, or on stdout a summary and what a plan cannot do.
 * @param db log book to look up accepted lamp currents in
 * @returns the exit code, 0 or 1
 */
export async function checkCommand(file: string, db?: string): Promise<number> {
  const result = loadSite(file, (timeZone) => localDate(timeZone, nowSec(systemClock)));
  if ('mistakes' in result) {
    for (const mistake of result.mistakes.slice(0, SHOWN_MAX))
      process.stderr.write(`${formatMistake(mistake)}\n`);
    const more = result.mistakes.length - SHOWN_MAX;
    if (more > 0) process.stderr.write(`${file}: and ${count(more, 'more mistake')}; correct these first.\n`);
    return 1;
  }
  const { site } = result;
  const { circuits } = site;
  const luminaires = circuits.reduce((sum, circuit) => sum + circuit.luminaires.length, 0);
  process.stdout.write(
    `${file}: ${count(circuits.length, 'circuit')}, ${count(luminaires, 'luminaire')}: no mistakes\n`,
  );
  for (const line of circuits.flatMap((circuit) => [...busLines(circuit), ...alikeLines(circuit)]))
    process.stdout.write(`${line}\n`);
  for (const line of expectedLines(site)) process.stdout.write(`${line}\n`);
  for (const sentence of owedFullTests(site, profileFor(site))) process.stdout.write(`${sentence}\n`);
  if (db !== undefined) process.stdout.write(await acceptedLines(site, db));
  for (const line of planWarnings(site)) process.stdout.write(`${line}\n`);
  process.stdout.write(`Next: \`${PROGRAM} plan ${file}\` shows every test.\n`);
  return 0;
}
