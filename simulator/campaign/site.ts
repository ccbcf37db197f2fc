// A random site of a campaign: circuits with their luminaires, settings, neighbours and plans, all drawn from
// seed and run number. Each circuit has its own generator, so that dropping one changes no other.
import { Fitted } from '../../firmware/contract/codes';
import { allModes, lampsText, ON_MAINS, OnMains } from '../../firmware/contract/lamps';
import type { SettingsMessage } from '../../firmware/contract/messages';
import { chargeMilliamps } from '../plant/battery';
import { type LuminaireSpec, newLuminaire } from '../plant/luminaire';
import { fork, nextUnit, type Random } from '../random';
import { type ControllerSpec, rulesIn } from '../spec';
import { chance, pick, whole } from './draw';
import { type NightShare, type PlannedTest, type PlanVersion, planCircuit, type SharedShare } from './plans';
import { CAMPAIGN_RULES, type CampaignRules, QUICKEST_RULES } from './rules';

export const DAY_MS = 86_400_000;
/** UTC ms at which every simulated site starts: the first second of a year. */
export const START_UTC_MS = Date.UTC(2026, 0, 1);

/** The full definition of a run. */
export interface RunNumber {
  seed: number;
  run: number;
}

export interface CampaignCircuit {
  spec: ControllerSpec;
  settings: SettingsMessage;
  plans: PlanVersion[];
  /** What is planned and when, so that faults can be aimed. */
  tests: PlannedTest[];
}

export interface CampaignSite extends RunNumber {
  /** Seed of the plant and of everything else random during the run. */
  plantSeed: number;
  days: number;
  heartbeatSec: number;
  /** Skip hours in which nothing can happen: most sites do, some are run hour by hour. */
  isSparing: boolean;
  circuits: CampaignCircuit[];
}

const RATED_SEC = [3600, 3600, 5400, 7200, 10_800];
/** Controller-years are expensive: small sites and short runs are drawn more often. */
const CIRCUITS = [1, 1, 1, 1, 1, 1, 2, 2, 3, 4];
const YEARS = [...[1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2], ...[2, 2, 3, 4, 5, 6, 7, 8, 9, 10]];
const YEARLY_DAYS = YEARS.map((years) => 365 * years);
/** Days of a run with a real host, which is slower, and in which more happens per day. */
export const REAL_DAYS = [90, 120, 180, 365];
const LUMINAIRES = [1, 2, 2, 3, 3, 4, 4, 5, 6, 8, 10, 12, 16];
const LETTERS = 'abcdefghijklmnop';

function luminaires(r: Random, rules: CampaignRules): LuminaireSpec[] {
  const rated = rules.commissionSec > 0 ? 5400 : pick(r, RATED_SEC);
  const isMixed = rules.commissionSec === 0 && rated > 3600 && chance(r, 0.15);
  return Array.from({ length: pick(r, LUMINAIRES) }, (_, i): LuminaireSpec => {
    const mode = pick(r, allModes());
    return {
      id: `l${LETTERS[i]}`,
      mode,
      ratedSec: isMixed && i > 0 && chance(r, 0.5) ? 3600 : rated,
      batteryMilliamps: 10 * whole(r, 12, 45),
      mainsMilliamps: ON_MAINS[mode] === OnMains.Dark ? 0 : 10 * whole(r, 12, 60),
      chemistry: pick(r, ['NiCd', 'NiMH', 'LiFePO4'] as const),
      margin: 1.25 + 0.35 * nextUnit(r),
    };
  });
}

/** Charging current of a circuit right after a full test, whole mA. */
function fullCharge(lamps: LuminaireSpec[]): number {
  const empty = lamps.map((lamp) => ({ ...newLuminaire(lamp).battery, charge: 0 }));
  return Math.round(empty.reduce((sum, battery) => sum + chargeMilliamps(battery, 0), 0));
}

/**
 * Days after which a circuit on its own tests again, so that it uses the last own night that is still in
 * time.
 */
function fallbackDays(cycle: number, days: number): number {
  return Math.max(1, Math.floor(days / cycle) * cycle - 1);
}

/** The numbers of shared nights. */
function hoursOf({ noon, shared }: NightShare): Partial<SettingsMessage> {
  return shared
    ? {
        ...{ sharedCycle: shared.cycle, sharedResidue: shared.residue },
        ...{ hoursFrom: (noon + shared.from) % 86_400, hoursSec: shared.to - shared.from },
      }
    : {};
}

function settingsOf(
  r: Random,
  rules: CampaignRules,
  lamps: LuminaireSpec[],
  share: NightShare,
): SettingsMessage {
  const shared = chance(r, 0.2) ? 1 : 0;
  const hasCharge = chance(r, 0.3);
  const cap = Math.floor(Math.min(...lamps.map((lamp) => lamp.ratedSec)) / 4);
  const fitted =
    (chance(r, 0.7) ? Fitted.Aux : 0) |
    (shared ? Fitted.Occupancy : 0) |
    (Fitted.Stop | Fitted.Key) |
    (hasCharge ? Fitted.Charge : 0);
  return {
    v: 1,
    revision: 1,
    briefSec: Math.min(rules.briefSec, cap),
    rechargeSec: rules.rechargeSec,
    briefRechargeSec: rules.briefRechargeSec,
    firstChargeSec: rules.firstChargeSec,
    commissionSec: rules.commissionSec,
    limited: rules.commissionSec === 0 && chance(r, 0.15) ? 1 : 0,
    earlyPercent: 50,
    floorPercent: 70,
    shared,
    emptySec: shared ? 600 : 0,
    fitted,
    cycle: share.cycle,
    residue: share.residue,
    noon: share.noon,
    ...hoursOf(share),
    fallbackFrom: (share.noon + share.from) % 86_400,
    fallbackSec: share.to - share.from,
    briefDays: fallbackDays(Math.min(share.cycle, share.shared?.cycle ?? share.cycle), rules.briefDays),
    fullDays: fallbackDays(share.cycle, rules.fullDays),
    chargeMilliamps: hasCharge ? fullCharge(lamps) : 0,
    lamps: lampsText(lamps),
  };
}

function circuitOf(at: RunNumber, index: number, rules: CampaignRules, share: NightShare, days: number) {
  const circuit = `c${index + 1}`;
  const r = fork(mix(at), `circuit ${circuit}`);
  const lamps = luminaires(r, rules);
  const settings = settingsOf(r, rules, lamps, share);
  const ratedSec = Math.max(...lamps.map((lamp) => lamp.ratedSec));
  const planned = planCircuit(r, rules, settings, share, days, START_UTC_MS / 1000);
  const spec: ControllerSpec = {
    address: `campaign/${circuit}`,
    circuit,
    secret: `secret of ${circuit}`,
    lamps,
    faults: [],
    visits: [],
    outages: [],
    neighbours: [],
    rules: {
      ...rulesIn(settings),
      slots: planned.windows,
      planUntil: 0,
      ratedSec,
      firstChargeSec: rules.firstChargeSec,
      commissionSec: rules.commissionSec,
      extensionSec: Math.floor(Math.min(...lamps.map((l) => l.ratedSec)) / 4) - settings.briefSec,
    },
  };
  // Slow ones more often: they are the harder case.
  if (chance(r, 0.25)) spec.bus = { baud: pick(r, [9600, 9600, 19_200, 115_200]) };
  return { spec, settings, plans: planned.plans, tests: planned.tests };
}

/** One number from seed and run, for generators. */
export function mix(at: RunNumber): number {
  return (Math.imul(at.seed ^ 0x5bd1e995, 0x85ebca6b) ^ Math.imul(at.run + 1, 0xc2b2ae35)) >>> 0;
}

/** Which circuits are neighbours, and a colour for each that differs from its neighbours'. */
function neighbourhood(r: Random, count: number): { near: number[][]; colour: number[] } {
  const near = Array.from({ length: count }, (): number[] => []);
  for (let a = 0; a < count; a++)
    for (let b = a + 1; b < count; b++)
      if (chance(r, 0.6)) {
        near[a].push(b);
        near[b].push(a);
      }
  const colour: number[] = [];
  for (let a = 0; a < count; a++) {
    const taken = near[a].filter((b) => b < a).map((b) => colour[b]);
    colour.push([0, 1, 2, 3].find((c) => !taken.includes(c)) as number);
  }
  return { near, colour };
}

/** Shared nights by colour, in three sites of ten whose recharge leaves room for hours of each; else none. */
function drawHours(at: RunNumber, rules: CampaignRules, colours: number, cycle: number): SharedShare[] {
  const r = fork(mix(at), 'shared nights');
  const isShared = chance(r, 0.3);
  const partSec = rules.briefSec + rules.briefRechargeSec + 1800 * whole(r, 2, 5);
  const first = 1800 * whole(r, 2, 8);
  if (!isShared || first + colours * partSec > 86_400) return [];
  return Array.from({ length: colours }, (_, colour) => ({
    // The last night of the cycle, after the recharge from the last own night.
    ...{ cycle, residue: cycle - 1 },
    ...{ from: first + colour * partSec, to: first + (colour + 1) * partSec },
  }));
}

/**
 * The site of a run: the same numbers give the same site on every machine.
 * @param lengths days that a run may have
 */
export function drawSite(at: RunNumber, lengths: readonly number[] = YEARLY_DAYS): CampaignSite {
  const r = fork(mix(at), 'site');
  const count = pick(r, CIRCUITS);
  const days = pick(r, lengths);
  const rules = chance(r, 0.2) ? QUICKEST_RULES : pick(r, CAMPAIGN_RULES);
  const { near, colour } = neighbourhood(r, count);
  const colours = Math.max(...colour) + 1;
  // A discharge and its recharge reach into the following night, so every other night is left free.
  const without = colours === 1 ? whole(r, 1, 2) : 2 * colours;
  const hours = drawHours(at, rules, colours, 2 * colours + 1);
  const cycle = hours[0]?.cycle ?? without;
  const noon = 3600 * whole(r, 0, 23);
  const from = 3600 * whole(r, 9, 13);
  const windowSec = 1800 * whole(r, 8, 12);
  const circuits = near.map((_, i) => {
    const own = { cycle, residue: (2 * colour[i]) % cycle };
    const share = { ...own, noon, from, to: from + windowSec, shared: hours[colour[i]] };
    return circuitOf(at, i, rules, share, days);
  });
  circuits.forEach((circuit, i) => {
    circuit.spec.neighbours = near[i].map((b) => circuits[b].spec.circuit);
  });
  const heartbeatSec = pick(r, [21_600, 43_200, 86_400]);
  return { ...at, plantSeed: mix(at), days, heartbeatSec, isSparing: chance(r, 0.9), circuits };
}
