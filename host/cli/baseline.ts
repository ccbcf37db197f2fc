// `baseline`: the commissioned lamp currents, and their acceptance by a named person.
import { nowSec, systemClock } from '../clock';
import {
  type Accepted,
  type Currents,
  currentsOf,
  decideAcceptance,
  type Measured,
  type Measurement,
  measurement,
  rowWords,
} from '../house/notes/baseline';
import { writeNote } from '../house/notes/notes';
import { type Past, readPast } from '../house/past';
import { type KeyRing, presentKeys } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { profileFor } from '../profiles/profile';
import { expectOwn } from '../proof/owner';
import { localDate } from '../site/civil';
import type { Circuit, Luminaire, Site } from '../site/model';
import { CAUTION } from '../words/caution';
import { isWho, NAME_RULE } from '../words/person';
import { withLogbook as openedLogbook } from './checkpoint';
import { circuitOf, named } from './named';

const BASELINE_CAUTION =
  'Caution: from now on these luminaires are judged against these currents. Accept them only after checking that each ' +
  'luminaire is bright, clean and undamaged. Once a weak lamp is accepted, it is never reported.';

export interface BaselineAcceptOptions {
  site: Site;
  db: string;
  circuit: string;
  luminaire?: string[];
  who: string;
}

/** Runs `work` on the existing log book of a site and its keys. @throws Error with one sentence. */
export async function withLogbook<T>(
  { site, db }: { site: Pick<Site, 'id'>; db: string },
  work: (logbook: Logbook, keys: KeyRing) => Promise<T>,
): Promise<T> {
  return openedLogbook(db, async (logbook) => {
    await expectOwn(logbook, site, db);
    return work(logbook, presentKeys(db));
  });
}

/** The name in a form the log book accepts. @throws Error with one sentence. */
export function nameOf(who: string): string {
  if (isWho(who)) return who;
  throw new Error(`Give your name with --who: ${NAME_RULE}.`);
}

function pair({ battery, mains }: Currents): string {
  return mains > 0 ? `${battery} / ${mains}` : `${battery}`;
}

function measuredPair({ battery, mains, seenOnMains }: Measured): string {
  return mains > 0 ? `${battery} / ${seenOnMains ? mains : '-'}` : `${battery}`;
}

function difference(now: Measured, then: Currents): string {
  const part = (a: number, b: number) => {
    const percent = Math.round((a / b - 1) * 100);
    return `${percent > 0 ? '+' : ''}${percent} %`;
  };
  const battery = part(now.battery, then.battery);
  if (then.mains === 0) return battery;
  return `${battery} / ${now.seenOnMains ? part(now.mains, then.mains) : '-'}`;
}

function row(lamp: Luminaire, found: Measurement | undefined, accepted: Accepted | undefined, zone: string) {
  const site = currentsOf(lamp);
  const measured = found?.lamps.find((one) => one.luminaire === lamp.id);
  const source = accepted ? `accepted ${localDate(zone, accepted.at)} by ${accepted.who}` : 'site file';
  return [
    lamp.id,
    pair(site),
    measured && measured.battery > 0 ? measuredPair(measured) : '-',
    measured && measured.battery > 0 ? difference(measured, site) : '-',
    `${pair(accepted ?? site)} (${source})`,
    measured?.refusal ?? '',
  ];
}

function table(rows: string[][]): string {
  const widths = rows[0].map((_, column) => Math.max(...rows.map((cells) => cells[column].length)));
  const line = (cells: string[]) =>
    cells
      .map((cell, i) => cell.padEnd(widths[i]))
      .join('  ')
      .trimEnd();
  return rows.map((cells) => `  ${line(cells)}`).join('\n');
}

function circuitLines(site: Site, circuit: Circuit, past: Past): string {
  const { complete } = past.history.of(circuit.id);
  const found = measurement(circuit, complete, profileFor(site).floorPercent.value);
  const { accepted } = past.notes.of(circuit.id);
  const head = found
    ? `${circuit.id} ${circuit.name}, measured ${localDate(site.timeZone, found.at)}, entry ${found.entry}`
    : `${circuit.id} ${circuit.name}, no complete test on record`;
  const titles = ['luminaire', 'site file', 'measured', 'difference', 'in use', 'not acceptable because'];
  const rows = circuit.luminaires.map((lamp) => row(lamp, found, accepted.get(lamp.id), site.timeZone));
  return `${head}\n${table([titles, ...rows])}\n`;
}

/**
 * Prints for every luminaire the current in the site file, what the newest complete test measured, and which
 * applies. @returns the exit code. @throws Error with one sentence if there is no log book.
 */
export async function baselineListCommand(site: Site, db: string): Promise<number> {
  const past = await withLogbook({ site, db }, (logbook, keys) => readPast(logbook, site, keys));
  const text = site.circuits.map((circuit) => circuitLines(site, circuit, past)).join('\n');
  process.stdout.write(`Currents in mA, on battery / on mains.\n\n${text}`);
  return 0;
}

/**
 * Accepts the measured currents of a circuit, or of some of its luminaires, and writes that into the log
 * book.
 * @returns the exit code: 1 if a value is implausible. @throws Error with one sentence for a mistake.
 */
export async function baselineAcceptCommand(o: BaselineAcceptOptions): Promise<number> {
  const { site } = o;
  const circuit = circuitOf(site, o.circuit);
  const who = nameOf(o.who);
  const decision = await withLogbook(o, async (logbook, keys) => {
    const past = await readPast(logbook, site, keys);
    const decided = decideAcceptance({
      ...{ address: `${site.id}/${circuit.id}`, circuit, who, at: nowSec(systemClock) },
      ...{
        luminaires: (o.luminaire ?? []).map((id) => named(circuit.luminaires, id)?.id ?? id),
        floorPercent: profileFor(site).floorPercent.value,
      },
      inForce: past.notes.of(circuit.id).inForce,
      complete: past.history.of(circuit.id).complete,
    });
    if ('note' in decided) await writeNote(logbook, keys, decided.note);
    return decided;
  });
  if ('refusals' in decision) {
    for (const refusal of decision.refusals) process.stderr.write(`${refusal}\n`);
    process.stderr.write(
      decision.refusals.length < circuit.luminaires.length
        ? 'Nothing was accepted; give the others one by one with --luminaire.\n'
        : 'Nothing was accepted.\n',
    );
    return 1;
  }
  for (const row of decision.note.fields.lamps)
    process.stdout.write(`Accepted by ${who}: ${rowWords(row)}\n`);
  process.stdout.write(
    `A running host sends them to the controller within a minute or two.\n${BASELINE_CAUTION}\n${CAUTION}\n`,
  );
  return 0;
}
