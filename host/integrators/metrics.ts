// The state of the building as numbers for Prometheus, on a port of its own: it is for this machine, and asks for no
// sign-in. The package is loaded only where they are wanted.
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import type { Gauge, Registry } from 'prom-client';
import type { Site } from '../site/model';
import { buildingStatus, type CircuitMessages } from './status';
import type { StatusListener } from './statusBoard';

const HOST = '127.0.0.1';

export interface Metrics extends Required<Pick<StatusListener, 'all'>> {
  port: number;
  close(): Promise<void>;
}

export interface MetricsOptions {
  site: Site;
  simulated: boolean;
  /** 0 for any free one. */
  port: number;
  /** UTC second. */
  now(): number;
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
  nightproof_counted_timestamp_seconds: ['When all this was counted', []],
} as const satisfies Record<string, readonly [string, readonly string[]]>;

type Name = keyof typeof GAUGES;
type Gauges = Record<Name, Gauge>;

function fill(gauges: Gauges, site: Site, simulated: boolean, all: CircuitMessages[]): void {
  const building = buildingStatus(site, simulated, all);
  const { luminaires, circuits, troubles } = building;
  const by = (name: Name, label: string, counts: Record<string, number>) => {
    for (const [word, value] of Object.entries(counts)) gauges[name].set({ [label]: word }, value);
  };
  by('nightproof_luminaires', 'verdict', {
    ...{ pass: luminaires.pass, fail: luminaires.fail, 'not proven': luminaires.notProven },
  });
  const { neverHeard, ...heard } = circuits;
  by('nightproof_controllers', 'contact', { ...heard, 'never heard': neverHeard });
  by('nightproof_circuits_in_trouble', 'trouble', troubles);
  gauges.nightproof_circuits_testing.set(building.testing);
  gauges.nightproof_open_defects.set(building.openDefects);
  // One series for each failed luminaire only: 20,000 that are in order would be no use.
  gauges.nightproof_luminaire_failed.reset();
  for (const { luminaire, circuit, area, verdict } of all.flatMap((one) => one.luminaires))
    if (verdict === 'fail') gauges.nightproof_luminaire_failed.set({ luminaire, circuit, area: area.id }, 1);
  const { nextTestAt } = building;
  gauges.nightproof_next_test_timestamp_seconds.set(nextTestAt === null ? 0 : Date.parse(nextTestAt) / 1000);
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
  await new Promise<void>((resolve, reject) => {
    server.once('error', (error: NodeJS.ErrnoException) => {
      const why = error.code === 'EADDRINUSE' ? 'another program is using it' : error.message;
      reject(new Error(`The metrics cannot be served on ${HOST} port ${port}: ${why}; choose another.`));
    });
    server.listen(port, HOST, () => resolve());
  });
  return {
    port: (server.address() as AddressInfo).port,
    close: () =>
      new Promise((resolve) => {
        server.close(() => resolve());
        server.closeAllConnections();
      }),
  };
}

/** Serves /metrics on this machine. @throws Error with one sentence if the port is taken */
export async function startMetrics({ site, simulated, port, now }: MetricsOptions): Promise<Metrics> {
  const { Gauge, Registry } = await import('prom-client');
  const registry = new Registry();
  registry.setDefaultLabels({ site: site.id });
  const made = Object.entries(GAUGES).map(([name, [help, labelNames]]) => [
    name,
    new Gauge({ name, help, labelNames: [...labelNames], registers: [registry] }),
  ]);
  const gauges = Object.fromEntries(made) as Gauges;
  const served = await serveOn(port, registry);
  return {
    ...served,
    all(messages) {
      fill(gauges, site, simulated, messages);
      gauges.nightproof_counted_timestamp_seconds.set(now());
    },
  };
}
