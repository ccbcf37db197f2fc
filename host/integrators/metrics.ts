// The state of the building as numbers for Prometheus, on a port of its own: it is for this machine, and asks for no
// sign-in. For other machines the page has them too, for who signs in or has an access token. The package is loaded only where they are wanted.
import { createServer } from 'node:http';
import type { Gauge, Registry } from 'prom-client';
import { listening } from '../network/listening';
import type { Site } from '../site/model';
import { buildingStatus, type CircuitMessages } from './status';
import type { StatusListener } from './statusBoard';

const HOST = '127.0.0.1';

export interface Metrics {
  port: number;
  /** Takes in the numbers of one more building, which has its id as label. */
  of(building: MetricsBuilding): MetricsListener;
  /** Whether one of several buildings is served; undefined for one that is no longer called so. */
  served(site: string, isServed: boolean | undefined): void;
  /** What is served, and its media type. */
  text(): Promise<{ text: string; type: string }>;
  close(): Promise<void>;
}

export interface MetricsBuilding {
  site: Site;
  simulated: boolean;
  /** UTC second. */
  now(): number;
}

export interface MetricsListener extends Required<Pick<StatusListener, 'all'>> {
  /** Takes its numbers out. */
  leave(): void;
}

/** Name, help and labels of each; times are UTC seconds. */
const GAUGES = {
  nightproof_luminaires: ['Luminaires by verdict: pass, fail, not proven', ['verdict']],
  nightproof_controllers: ['Controllers by contact: reporting, late, silent, never heard', ['contact']],
  nightproof_circuits_in_trouble: ['Circuits with a trouble that lasts', ['trouble']],
  nightproof_circuits_testing: ['Circuits on battery for a test now', []],
  nightproof_open_defects: ['Defects of luminaires that are not closed', []],
  nightproof_luminaire_failed: ['1 for each luminaire that has failed', ['luminaire', 'circuit', 'area']],
  nightproof_next_test_timestamp_seconds: ['The next planned test, 0 if there is none', []],
  nightproof_building_served: ['1 while a building of several is served, 0 while it is not', []],
  nightproof_counted_timestamp_seconds: ['When all this was counted', []],
} as const satisfies Record<string, readonly [string, readonly string[]]>;

type Name = keyof typeof GAUGES;
type Gauges = Record<Name, Gauge>;

type Labels = Record<string, string>;

/** A number of a building: which, what it is of, and how much. */
type Counted = [name: Name, labels: Labels, value: number];

function countedOf({ site, simulated, now }: MetricsBuilding, all: CircuitMessages[]): Counted[] {
  const building = buildingStatus(site, simulated, all);
  const { luminaires, circuits, troubles, nextTestAt } = building;
  const by = (name: Name, label: string, counts: Record<string, number>): Counted[] =>
    Object.entries(counts).map(([word, value]) => [name, { [label]: word }, value]);
  const { neverHeard, ...heard } = circuits;
  // One series for each failed luminaire only: 20,000 that are in order would be no use.
  const failed = all.flatMap((one) => one.luminaires).filter(({ verdict }) => verdict === 'fail');
  return [
    ...by('nightproof_luminaires', 'verdict', {
      ...{ pass: luminaires.pass, fail: luminaires.fail, 'not proven': luminaires.notProven },
    }),
    ...by('nightproof_controllers', 'contact', { ...heard, 'never heard': neverHeard }),
    ...by('nightproof_circuits_in_trouble', 'trouble', troubles),
    ['nightproof_circuits_testing', {}, building.testing],
    ['nightproof_open_defects', {}, building.openDefects],
    ...failed.map(({ luminaire, circuit, area }): Counted => {
      return ['nightproof_luminaire_failed', { luminaire, circuit, area: area.id }, 1];
    }),
    ['nightproof_next_test_timestamp_seconds', {}, nextTestAt === null ? 0 : Date.parse(nextTestAt) / 1000],
    ['nightproof_counted_timestamp_seconds', {}, now()],
  ];
}

async function serveOn(port: number, registry: Registry): Promise<Pick<Metrics, 'port' | 'close'>> {
  const server = createServer((request, answer) => {
    const isWanted = request.method === 'GET' && request.url?.split('?')[0] === '/metrics';
    if (!isWanted) {
      answer.writeHead(404).end('There is only /metrics here.\n');
      return;
    }
    registry.metrics().then(
      (text) => answer.writeHead(200, { 'content-type': registry.contentType }).end(text),
      () => answer.writeHead(500).end(),
    );
  });
  const bound = await listening(server, { port, host: HOST }, (error) => {
    const why = error.code === 'EADDRINUSE' ? 'another program is using it' : error.message;
    return `The metrics cannot be served on ${HOST} port ${port}: ${why}; choose another.`;
  });
  return {
    port: bound,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

/** The numbers of one building among those of others. */
function listenerOf(gauges: Gauges, building: MetricsBuilding): MetricsListener {
  let told: Counted[] = [];
  const leave = (): void => {
    for (const [name, labels] of told) gauges[name].remove(labels);
    told = [];
  };
  return {
    all(messages) {
      leave();
      const site = { site: building.site.id };
      told = countedOf(building, messages).map(([name, labels, value]) => [
        name,
        { ...labels, ...site },
        value,
      ]);
      for (const [name, labels, value] of told) gauges[name].set(labels, value);
    },
    leave,
  };
}

/**
 * Serves /metrics on this machine.
 * @param port 0 for any free one
 * @throws Error with one sentence if the port is taken
 */
export async function startMetrics(port: number): Promise<Metrics> {
  const { Gauge, Registry } = await import('prom-client');
  const registry = new Registry();
  const made = Object.entries(GAUGES).map(([name, [help, labels]]) => [
    name,
    new Gauge({ name, help, labelNames: [...labels, 'site'], registers: [registry] }),
  ]);
  const gauges = Object.fromEntries(made) as Gauges;
  const served = await serveOn(port, registry);
  return {
    ...served,
    of: (building) => listenerOf(gauges, building),
    served(site, isServed) {
      const one = gauges.nightproof_building_served;
      if (isServed === undefined) one.remove({ site });
      else one.set({ site }, isServed ? 1 : 0);
    },
    text: async () => ({ text: await registry.metrics(), type: registry.contentType }),
  };
}
