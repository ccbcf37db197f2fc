// The scenario that every engine must play alike: one circuit of eight luminaires of all modes, a brief and a
// full test, one dead lamp and one aged battery, with settings, plan, time and acknowledgements coming over
// the wire. The simulator plays it first and records the trace.
import { OrderKind, Phase } from '../../firmware/contract/codes';
import { lampsText, type Mode } from '../../firmware/contract/lamps';
import { Limit } from '../../firmware/contract/limits';
import { type PlanSlot, slotsText } from '../../firmware/contract/plan';
import { signingKey, signObject, toHex } from '../../firmware/contract/signature';
import type { DownKind } from '../../firmware/contract/topics';
import { sha256 } from '../../simulator/digest';
import { Fleet } from '../../simulator/fleet';
import { Trace } from '../../simulator/trace';
import { noRules } from '../support/rules';

export const START_MS = Date.UTC(2026, 0, 5, 12);
const ADDRESS = 'bench/one';
const SECRET = 'a secret of the bench';
const HOUR = 3600;
const utc = START_MS / 1000;
const key = signingKey(SECRET, sha256);

export interface Scenario {
  trace: Trace;
  /** Text of np.cfg for a board that is the simulated controller's twin. */
  config: string;
  /** The value that the random generator must return. */
  entropy: number;
  /** Records as the simulator's controller published them. */
  records: string[];
}

/** Size of the circuit and length of the run. */
export interface Extent {
  luminaires: number;
  hours: number;
  /** Rated duration of the batteries and length of the full test, s. */
  ratedSec: number;
  briefSec: number;
  /** Recharge before the first test, s; 24 h by default. */
  rechargeSec?: number;
  /** Size of both journals together; 64 kB by default. */
  journalBytes?: number;
  planHours: number;
  slots: string;
  /**
   * Hour after the start from which the host has a second plan with the same slots beside the one in force.
   */
  replanHour?: number;
  /** Lamps whose batteries give out together after two thirds of the rated duration. */
  endTogether?: number;
  /** An order ends the first brief test at its second live message; it is made up for the next night. */
  isOrdered?: boolean;
  /** A trace of the first test is ordered while the batteries are still full. */
  isTraced?: boolean;
}

/**
 * The same without the order to trace: where a test departs from the trace, its records would wait for
 * answers.
 */
export const untraced = (): Extent => ({ ...TWO_TESTS, isTraced: false });

/** A slot of five hours that begins `hour` hours after the start. */
function slot(test: number, kind: number, hour: number): PlanSlot {
  return { test, kind, start: utc + hour * HOUR, end: utc + (hour + 5) * HOUR };
}

/** One brief and one full test on eight luminaires. */
const TWO_TESTS: Extent = {
  ...{ luminaires: 8, hours: 88, ratedSec: 10800, briefSec: 90, planHours: 480 },
  slots: slotsText([slot(1, 1, 36), slot(2, 2, 84)]),
  isTraced: true,
};

/** A function test as soon as settings may ask for it, for what has to be reached again and again. */
export const soonTested = (): Extent => ({
  ...untraced(),
  ...{ hours: 4, rechargeSec: HOUR, journalBytes: 12_288, slots: slotsText([slot(1, 1, 1.2)]) },
});

/**
 * The most a board may be asked to hold: 16 luminaires and 72 slots, three nights for each of 24 tests. The
 * plan is sent again after 12 hours; a brief test comes after 36 hours, the full test at `fullHour`, then a
 * brief one every 28 days.
 */
export function fullExtent(days: number, ratedSec: number, fullHour = 108): Extent {
  const nights: { test: number; hour: number }[] = [];
  for (let test = 1; test <= 24; test++) {
    const hour = test === 1 ? 36 : test === 2 ? fullHour : 36 + 28 * 24 * (test - 2);
    for (let night = 0; night < 3; night++) nights.push({ test, hour: hour + night * 24 });
  }
  nights.sort((a, b) => a.hour - b.hour);
  const slots = slotsText(nights.map(({ test, hour }) => slot(test, test === 2 ? 2 : 1, hour)));
  const briefSec = Math.min(90, ratedSec / 4);
  return { luminaires: 16, hours: days * 24, ratedSec, briefSec, planHours: 17000, slots, replanHour: 12 };
}

function lampSpec(i: number, extent: Extent) {
  return {
    id: `L${i}`,
    mode: (i % 4) as Mode,
    ratedSec: extent.ratedSec,
    batteryMilliamps: 200 + i,
    mainsMilliamps: i % 4 === 1 || i % 4 === 2 ? 350 : 0,
    chemistry: 'NiCd' as const,
    margin: 1.4,
  };
}

function settingsOf(extent: Extent, lamps: ReturnType<typeof lampSpec>[]) {
  return {
    v: 1,
    revision: 1,
    briefSec: extent.briefSec,
    rechargeSec: extent.rechargeSec ?? 24 * HOUR,
    briefRechargeSec: HOUR,
    earlyPercent: 50,
    floorPercent: 70,
    shared: 0,
    emptySec: 0,
    fitted: 13,
    cycle: 1,
    residue: 0,
    noon: 43200,
    fallbackFrom: 0,
    fallbackSec: 18000,
    briefDays: 28,
    fullDays: 365,
    lamps: lampsText(lamps),
  };
}

function boardConfig(journalBytes = 65_536): string {
  return JSON.stringify({
    address: ADDRESS,
    secret: toHex(SECRET),
    journalBytes,
    resetRegister: 0,
    pins: {
      ...{
        relay: 'relay',
        enable: 'enable',
        red: 'red',
        before: 'before',
        after: 'after',
        aux: 'aux',
        occupied: 'occupied',
      },
      ...{ stop: 'stop', key: 'key', zero: 0.5, spanMilliamps: 4096 },
    },
    adc: { driver: 'internal', select: ['s3', 's2', 's1', 's0'], lamp: 'lamp' },
    net: { kind: 'host', broker: '127.0.0.1', port: 1883 },
    link: { user: '', password: '', keepAliveSec: 3600, heartbeatSec: 21600, liveMs: 30000, jitter: 0.5 },
  });
}

/** A message to the controller of the scenario, signed by its host. */
export const signed = (kind: DownKind, message: object): { topic: string; payload: string } => ({
  topic: `nightproof/${ADDRESS}/${kind}`,
  payload: signObject(key, kind, ADDRESS, message),
});

/** Runs the scenario on the simulator. */
export function playOnSimulator(extent: Extent = TWO_TESTS): Scenario {
  const lamps = Array.from({ length: extent.luminaires }, (_, i) => lampSpec(i, extent));
  const settings = settingsOf(extent, lamps);
  const until = utc + extent.planHours * HOUR;
  const trace = new Trace();
  const records: string[] = [];
  let lives = 0;
  let isTraceOwed = extent.isTraced === true;
  let orders = 0;
  const order = (what: OrderKind, arg: number) =>
    send('order', {
      ...{ v: 1, counter: ++orders, expires: Math.floor(fleet.utcMs() / 1000) + 600 },
      ...{ do: what, arg, who: 'bench' },
    });
  const send = (kind: DownKind, message: object) => {
    const { topic, payload } = signed(kind, message);
    fleet.publish(topic, payload);
  };
  const answer = (topic: string, payload: string) => {
    const kind = topic.split('/')[3];
    if (kind === 'live' && extent.isOrdered && ++lives === 2) order(OrderKind.Restore, 0);
    if (kind !== 'state' && kind !== 'record') return;
    const m = JSON.parse(payload);
    if (kind === 'record' && m.seq === records.length + 1) records.push(payload);
    if (kind === 'record') send('ack', { v: 1, journal: m.journal, through: records.length });
    else {
      // One after the other, like the host.
      const hour = (fleet.utcMs() / 1000 - utc) / HOUR;
      const revision = extent.replanHour !== undefined && hour >= extent.replanHour ? 2 : 1;
      if (m.settings !== 1) send('settings', settings);
      else if (m.plan !== revision) send('plan', { v: 1, revision, until, slots: extent.slots });
      send('time', { v: 1, boot: m.boot, up: m.up, utc: fleet.utcMs() });
      if (isTraceOwed && m.phase === Phase.Charged) {
        isTraceOwed = false;
        order(OrderKind.Trace, Limit.TraceCharsMax);
      }
    }
  };
  const controller = {
    address: ADDRESS,
    circuit: 'one',
    secret: SECRET,
    lamps,
    faults: [
      { kind: 'dead lamp' as const, luminaire: 'L0', at: 0 },
      { kind: 'aged battery' as const, luminaire: 'L5', at: 0, lastsMs: 40 * 60000 },
      ...Array.from({ length: extent.endTogether ?? 0 }, (_, i) => ({
        ...{ kind: 'aged battery' as const, luminaire: `L${i + 6}`, at: 0 },
        lastsMs: extent.ratedSec * 667,
      })),
    ],
    visits: [],
    outages: [],
    neighbours: [],
    rules: noRules(),
  };
  const link = { keepAliveSec: 3600, heartbeatSec: 21600, liveMs: 30000 };
  const spec = { seed: 1, startUtcMs: START_MS, noise: false, link, controllers: [controller] };
  const fleet = new Fleet(spec, answer, [], trace);
  fleet.run(extent.hours * HOUR * 1000);
  const id = fleet.nodes[0].controller?.journal.id ?? '';
  return { trace, config: boardConfig(extent.journalBytes), entropy: Number.parseInt(id, 16) | 0, records };
}
