// `defects`: lists what is defective, and enters who sees to a defect, by when, and what protects people until then.
import type { DefectView } from '../api/defects';
import { nowSec, systemClock } from '../clock';
import { scopesOfLuminaires } from '../duties/due';
import { planInForce } from '../house/desired/desired';
import { careWords, decideCare } from '../house/notes/care';
import type { Finding } from '../house/notes/inspections';
import { writeNote } from '../house/notes/notes';
import { type Past, readPast } from '../house/past';
import { closedDefects, type DefectSources, defectCounts, openDefects } from '../house/view/defects';
import type { KeyRing } from '../keys';
import type { Logbook } from '../logbook/logbook';
import { isSimulated, SIMULATED } from '../logbook/simulated';
import type { Site } from '../site/model';
import { counted } from '../words/counted';
import { dayWord } from '../words/when';
import { Mistake } from './arguments';
import { withLogbook } from './baseline';
import { everyName, insteadOf, luminaireNamed, named } from './named';

export interface DefectsOptions {
  site: Site;
  db: string;
  /** Id of a luminaire or a circuit; all by default. */
  of?: string;
  /** What to enter; without any of it the defects are listed. */
  owner?: string;
  due?: string;
  interim?: string;
  words?: string;
  who?: string;
  closed: boolean;
  json: boolean;
}

interface Meant {
  circuit: string;
  /** '' if the whole circuit is meant. */
  luminaire: string;
}

/** @throws Mistake that names something like it */
function meantBy(site: Site, id: string): Meant {
  const circuit = named(site.circuits, id);
  const lamp = luminaireNamed(site, id);
  if (lamp && (lamp.id === id || !circuit)) return { circuit: lamp.circuit.id, luminaire: lamp.luminaire.id };
  if (circuit && (circuit.id === id || !lamp)) return { circuit: circuit.id, luminaire: '' };
  const all = [...site.circuits, ...everyName(site)].map((one) => one.id);
  throw new Mistake(
    `The site has no luminaire or circuit "${id}"; ${insteadOf(id, all, 'give an id from the site file.')}`,
  );
}

function openWords({ state, since, days }: DefectView): string {
  if (since === 0) return 'Not known since when.';
  const length = counted(days, 'day');
  if (state === 'not proven') return `Not proven for ${length}.`;
  return state === 'closed' ? `Was open for ${length}.` : `Open for ${length}.`;
}

function defectLines(one: DefectView, zone: string): string {
  const { luminaire, circuit, place, cause, evidence, reopened, care, repairs, closed } = one;
  const head =
    luminaire === '' ? `Circuit ${circuit}, ${place}` : `${luminaire}, ${place} (circuit ${circuit})`;
  const back =
    reopened > 0 ? ` Came back ${reopened === 1 ? 'once' : `${reopened} times`} after it was closed.` : '';
  const late =
    one.overdueDays > 0 ? ` OVERDUE by ${one.overdueDays} day${one.overdueDays === 1 ? '' : 's'}.` : '';
  const repair = repairs[repairs.length - 1];
  return [
    head,
    `  ${cause} ${evidence}`.trimEnd(),
    `  ${openWords(one)}${back}${late}`,
    care
      ? `  ${care.who} ${careWords({ ...care, luminaire })}`
      : '  No owner, no due date, no interim measure entered.',
    ...(repair
      ? [
          `  Last repair ${dayWord(repair.at, zone)} by ${repair.who}: ${repair.what || 'not said what'} (entry ${repair.entry}).`,
        ]
      : []),
    closed ? `  Closed by entry ${closed.entry}, ${dayWord(closed.at, zone)}.` : `  Next: ${one.next}`,
  ].join('\n');
}

const isOf = (meant: Meant | undefined) => (one: DefectView) =>
  !meant || (one.circuit === meant.circuit && (meant.luminaire === '' || one.luminaire === meant.luminaire));

interface Known extends DefectSources {
  /** What people found and nobody has seen in order since. */
  findings: Finding[];
  simulated: boolean;
}

async function sourcesOf(site: Site, past: Past, logbook: Logbook): Promise<Known> {
  const plan = planInForce(await logbook.memory.all())?.plan;
  const { defects, history, notes, inspections } = past;
  const simulated = await isSimulated(logbook);
  return { site, defects, history, notes, plan, findings: inspections.findings(), simulated };
}

/** What people found is no defect until a test says so, but it is listed with them. */
function findingsLine({ length }: readonly Finding[]): string {
  if (length === 0) return 'Nothing that people found is open.';
  return `${counted(length, 'finding')} of people open: \`nightproof duties\` lists them.`;
}

/** Those of the luminaires meant; where none was named, or it is gone, those of every part that contains one. */
function findingsOf({ site, findings }: Known, meant: Meant | undefined): Finding[] {
  if (!meant) return findings;
  const circuit = site.circuits.find(({ id }) => id === meant.circuit)!;
  const ids = meant.luminaire === '' ? circuit.luminaires.map(({ id }) => id) : [meant.luminaire];
  const scopes = scopesOfLuminaires(site);
  const around = new Set(ids.flatMap((id) => scopes.get(id)!));
  return findings.filter(({ luminaire, scope }) =>
    scopes.has(luminaire) ? ids.includes(luminaire) : around.has(scope),
  );
}

function listText(o: DefectsOptions, from: Known, meant: Meant | undefined, now: number): string {
  const open = openDefects(from, now).filter(isOf(meant));
  const closed = o.closed ? closedDefects(from, now).filter(isOf(meant)) : [];
  const findings = findingsOf(from, meant);
  if (o.json) return JSON.stringify({ simulated: from.simulated, open, closed, findings });
  const lines = [...open, ...closed].map((one) => defectLines(one, o.site.timeZone));
  const silent = 'Which controllers are silent, only the page of a running host shows.';
  const caution = from.simulated ? [SIMULATED] : [];
  return [...caution, `${defectCounts(open)}.`, ...lines, findingsLine(findings), silent].join('\n\n');
}

/** What was left out stays as it was entered before. @returns the line to show. @throws Mistake */
async function entered(o: DefectsOptions, meant: Meant, from: DefectSources, write: Write): Promise<string> {
  const now = nowSec(systemClock);
  const { site, owner, due, interim, words } = o;
  const present = openDefects(from, now).find(
    (one) => one.circuit === meant.circuit && one.luminaire === meant.luminaire,
  );
  const old = present?.care ?? { owner: '', due: '', interim: '', words: '' };
  const decision = decideCare({
    ...{ ...meant, site, now, who: o.who ?? '', hasDefect: present !== undefined },
    ...{ owner: owner ?? old.owner, due: due ?? old.due, before: present?.care ?? null },
    ...{ interim: interim ?? old.interim, words: words ?? old.words },
  });
  if ('refusals' in decision) throw new Mistake(decision.refusals.join(' '));
  await write(decision.note);
  return `${decision.note.who} ${careWords(decision.note.fields)}`;
}

type Write = (note: Parameters<typeof writeNote>[2]) => Promise<unknown>;

/** @returns the exit code. @throws Error with one sentence for a mistake. */
export async function defectsCommand(o: DefectsOptions): Promise<number> {
  const { site, db } = o;
  const meant = o.of === undefined ? undefined : meantBy(site, o.of);
  const isEntry = [o.owner, o.due, o.interim, o.words].some((text) => text !== undefined);
  if (isEntry && !meant) throw new Mistake('Name the luminaire, or the circuit, after the site file.');
  if (isEntry && o.who === undefined)
    throw new Mistake('Give your name with --who: the log book records it.');
  if (o.who !== undefined && !isEntry)
    throw new Mistake('Nothing to enter was given: add --owner, --due, --interim or --words.');
  const text = await withLogbook({ site, db }, async (logbook: Logbook, keys: KeyRing) => {
    const from = await sourcesOf(site, await readPast(logbook, site, keys), logbook);
    if (!meant || !isEntry) return listText(o, from, meant, nowSec(systemClock));
    return entered(o, meant, from, (note) => writeNote(logbook, keys, note));
  });
  process.stdout.write(`${text}\n`);
  return 0;
}
