// What the house knows, as other systems get it: one message per luminaire, per circuit and for the building. Pure.
// No message holds an age or anything else that changes while nothing happens.
import type { DefectView } from '../api/defects';
import { TESTING_PHASES } from '../api/phases';
import type { ControllerStatus, LampStatus, TroubleTimes } from '../api/views';
import type { House } from '../house/house';
import { acceptsLimited } from '../house/view/fullDue';
import { nextTest } from '../house/view/nextTest';
import { profileFor } from '../profiles/profile';
import { isoLocal } from '../site/civil';
import type { Circuit, Luminaire, Site } from '../site/model';
import { reasonCode } from '../words/codes';
import { momentWord } from '../words/when';
import {
  type BuildingStatus,
  type CircuitStatus,
  type LuminaireStatus,
  STATUS_VERSION,
  type TestKindWord,
} from './schema';

type Verdict = LuminaireStatus['verdict'];

export interface CircuitMessages {
  circuit: CircuitStatus;
  luminaires: LuminaireStatus[];
  /** Defects of its luminaires that are not closed. */
  openDefects: number;
}

const KINDS: TestKindWord[] = ['brief', 'full', 'limited', 'commissioning'];
const TROUBLES = ['fault', 'outage', 'held', 'overdue'] as const satisfies (keyof TroubleTimes)[];

/** True while a test runs. */
export function isInTest({ phase }: Pick<ControllerStatus, 'phase'>): boolean {
  return TESTING_PHASES.includes(phase);
}

interface Named {
  areas: ReadonlyMap<string, string>;
  circuits: ReadonlyMap<string, Circuit>;
}

/** By id, per site: all of a large one is told every minute. */
const namedIn = new WeakMap<Site, Named>();

function namesOf(site: Site): Named {
  let named = namedIn.get(site);
  if (!named) {
    const areas = new Map(site.areas.map(({ id, name }) => [id, name]));
    named = { areas, circuits: new Map(site.circuits.map((one) => [one.id, one])) };
    namedIn.set(site, named);
  }
  return named;
}

/** What an instant of 0 means nothing for is null. */
function instant(site: Site, utcSec: number): string | null {
  return utcSec > 0 ? isoLocal(site.timeZone, utcSec) : null;
}

function byKind(site: Site, at: (kind: TestKindWord) => number | undefined): CircuitStatus['nextTestAt'] {
  const times = KINDS.map((kind) => [kind, instant(site, at(kind) ?? 0)]);
  return Object.fromEntries(times) as CircuitStatus['nextTestAt'];
}

interface LampSources {
  site: Site;
  circuit: Circuit;
  luminaire: Luminaire;
  lamp: LampStatus;
  /** What the book says is not closed, of the whole circuit. */
  open: DefectView[];
  /** Why its passes prove too little; '' if they prove enough. */
  gap: string;
  passedAt: Partial<Record<TestKindWord, number>>;
}

function isOpen({ state }: DefectView): boolean {
  return state === 'open' || state === 'repaired';
}

/** What the book says of it that is not good: its own entries, or one about its whole circuit. */
function against({ open, luminaire }: LampSources): DefectView[] {
  const own = open.filter((one) => one.luminaire === luminaire.id);
  return own.length > 0 ? own : open.filter((one) => one.luminaire === '');
}

function verdictOf(from: LampSources): Verdict {
  const { failedSince, failedKind, proven } = from.lamp;
  const said = against(from);
  if (said.some(isOpen) || failedSince > 0 || failedKind !== '' || proven?.verdict === 'fail') return 'fail';
  return said.length > 0 || from.gap !== '' || proven?.verdict !== 'pass' ? 'not proven' : 'pass';
}

function reasonOf(from: LampSources, verdict: Verdict): LuminaireStatus['reason'] {
  if (verdict === 'pass') return null;
  const { lamp } = from;
  const words = against(from).map(({ cause }) => cause);
  const code = reasonCode((verdict === 'fail' ? lamp.proven : lamp.attempt)?.reason ?? '') || null;
  return {
    code,
    words: words.join(' ') || lamp.reason || from.gap || 'No test has shown yet that it works.',
  };
}

function sinceOf(from: LampSources, verdict: Verdict): number {
  if (verdict === 'pass') return 0;
  if (verdict === 'not proven') return from.lamp.judgedAt;
  const known = against(from)
    .filter(isOpen)
    .map(({ since }) => since);
  return from.lamp.failedSince || Math.min(...known, Number.POSITIVE_INFINITY) || 0;
}

function defectOf(site: Site, one: DefectView, code: number): LuminaireStatus['defects'][number] {
  return {
    ...{ state: one.state === 'repaired' ? 'repaired' : 'open', code, words: one.cause },
    since: isoLocal(site.timeZone, one.since),
    ...{ fails: one.fails, dueDate: one.care?.due || null, retestAt: instant(site, one.retestAt) },
  };
}

function luminaireStatus(from: LampSources, codes: Map<number, number>): LuminaireStatus {
  const { site, circuit, luminaire, lamp, passedAt } = from;
  const verdict = verdictOf(from);
  const since = sinceOf(from, verdict);
  return {
    ...{ v: STATUS_VERSION, luminaire: luminaire.id, circuit: circuit.id, place: luminaire.place },
    area: { id: luminaire.area, name: namesOf(site).areas.get(luminaire.area) ?? luminaire.area },
    ...{ mode: luminaire.mode, ratedSeconds: luminaire.ratedSec },
    ...{ verdict, reason: reasonOf(from, verdict) },
    since: Number.isFinite(since) ? instant(site, since) : null,
    judgedAt: instant(site, lamp.judgedAt),
    lastPassAt: byKind(site, (kind) => passedAt[kind]),
    defects: against(from)
      .filter(isOpen)
      .map((one) => defectOf(site, one, codes.get(one.entry) ?? 0)),
  };
}

/** A silent controller's age would change every minute. */
function wordsOf(site: Site, status: ControllerStatus): string {
  if (status.contact !== 'silent') return status.sentence;
  return `Nothing heard since ${momentWord(status.heardAt, site.timeZone)}.`;
}

function countVerdicts(list: LuminaireStatus[]): CircuitStatus['verdicts'] {
  const of = (verdict: Verdict) => list.filter((one) => one.verdict === verdict).length;
  return { pass: of('pass'), fail: of('fail'), notProven: of('not proven') };
}

/** Phases this host has no name for are unknown to a reader too. */
function stateOf({ phase }: ControllerStatus): CircuitStatus['state'] {
  return phase.startsWith('unknown') ? 'unknown' : (phase as CircuitStatus['state']);
}

/** What its tests leave open, although all of them passed: a repair since, or how long it lasts. */
function gapOf(
  { site, house }: Pick<CircuitSources, 'site' | 'house'>,
  circuit: Circuit,
  luminaire: Luminaire,
  { fullAt }: LampStatus,
): string {
  const repair = house.past.unproven(circuit, luminaire.id);
  if (repair !== '') return `No test has shown yet that a repair helped: ${repair}`;
  const isLasting = fullAt > 0 || acceptsLimited(circuit, profileFor(site));
  return isLasting ? '' : 'No duration test has shown yet how long it lasts.';
}

interface CircuitSources {
  site: Site;
  house: Pick<House, 'past' | 'desired'>;
  status: ControllerStatus;
  open: DefectView[];
  now: number;
}

function circuitStatus(from: CircuitSources, circuit: Circuit, luminaires: LuminaireStatus[]): CircuitStatus {
  const { site, house, status, open, now } = from;
  const { last } = house.past.history.of(circuit.id);
  const plan = house.desired.plan()?.plan;
  const lastOf = { brief: last.lastBrief, full: last.lastFull, limited: last.lastLimited };
  const lasting = TROUBLES.filter((trouble) => status.troubleAt[trouble] > 0);
  return {
    ...{ v: STATUS_VERSION, circuit: circuit.id, name: circuit.name, contact: status.contact },
    silentSince: status.contact === 'silent' ? instant(site, status.heardAt) : null,
    ...{ state: stateOf(status), words: wordsOf(site, status), waiting: status.waiting || null },
    supply: { beforeRelay: status.supplyBefore, behindRelay: status.supplyAfter },
    relayOpen: status.relayOpen,
    chargedAt: instant(site, status.charged),
    troubles: lasting.map((trouble) => ({
      trouble,
      since: isoLocal(site.timeZone, status.troubleAt[trouble]),
    })),
    verdicts: countVerdicts(luminaires),
    notProven: open.find(({ luminaire }) => luminaire === '')?.cause ?? null,
    nextTestAt: byKind(site, (kind) => nextTest(plan, circuit.id, last, kind, now)),
    lastTestAt: byKind(site, (kind) => (kind === 'commissioning' ? 0 : lastOf[kind])),
  };
}

/**
 * Everything said of one circuit.
 * @param now UTC second
 * @throws Error if the site has no such circuit
 */
export function circuitMessages(
  site: Site,
  house: Pick<House, 'past' | 'desired' | 'view'>,
  id: string,
  now: number,
): CircuitMessages {
  const status = house.view.controller(id, now);
  const open = house.view.defectsOf(id, now);
  const { defects } = house.past;
  const circuit = namesOf(site).circuits.get(id)!;
  const luminaires = circuit.luminaires.map((luminaire, i) => {
    const codes = new Map(
      defects.openOf(luminaire.id).map(({ opened, last }) => [opened.entry, last.reason]),
    );
    const passedAt = defects.passedAt(luminaire.id);
    const lamp = status.lamps[i];
    const gap = gapOf({ site, house }, circuit, luminaire, lamp);
    return luminaireStatus({ site, circuit, luminaire, lamp, open, gap, passedAt }, codes);
  });
  return {
    circuit: circuitStatus({ site, house, status, open, now }, circuit, luminaires),
    luminaires,
    openDefects: open.filter(isOpen).length,
  };
}

function worst({ fail, notProven }: BuildingStatus['luminaires']): Verdict {
  if (fail > 0) return 'fail';
  return notProven > 0 ? 'not proven' : 'pass';
}

/** The building counted from what was said of each of its circuits. */
export function buildingStatus(site: Site, simulated: boolean, all: CircuitMessages[]): BuildingStatus {
  const sum = (of: (one: CircuitMessages) => number) => all.reduce((total, one) => total + of(one), 0);
  const inContact = (contact: CircuitStatus['contact']) =>
    sum(({ circuit }) => (circuit.contact === contact ? 1 : 0));
  const troubled = (name: (typeof TROUBLES)[number]) =>
    sum(({ circuit }) => (circuit.troubles.some(({ trouble }) => trouble === name) ? 1 : 0));
  const luminaires = {
    pass: sum(({ circuit }) => circuit.verdicts.pass),
    fail: sum(({ circuit }) => circuit.verdicts.fail),
    notProven: sum(({ circuit }) => circuit.verdicts.notProven),
  };
  const next = all.flatMap(({ circuit }) => Object.values(circuit.nextTestAt)).filter((at) => at !== null);
  return {
    ...{ v: STATUS_VERSION, building: site.id, name: site.name, simulated },
    ...{ verdict: worst(luminaires), luminaires },
    circuits: {
      ...{ reporting: inContact('reporting'), late: inContact('late'), silent: inContact('silent') },
      neverHeard: inContact('never heard'),
    },
    troubles: {
      ...{ fault: troubled('fault'), outage: troubled('outage') },
      ...{ held: troubled('held'), overdue: troubled('overdue') },
    },
    openDefects: sum((one) => one.openDefects),
    testing: sum(({ circuit }) => (TESTING_PHASES.includes(circuit.state) ? 1 : 0)),
    nextTestAt: next.reduce<string | null>(
      (first, at) => (first === null || Date.parse(at) < Date.parse(first) ? at : first),
      null,
    ),
  };
}
