// How the tests run: what is held in memory shares its modules in threads, what starts programs or opens ports
// has a process of its own. Limits are generous: a slow machine must not fail a test.
import { readdirSync, readFileSync } from 'node:fs';
import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { depth, isShared } from './support/depth.ts';
import { longFirst } from './support/longFirst.ts';

const MINUTE_MS = 60_000;
const ALL = 'tests/**/*.test.ts';
/** Starts programs, opens ports, stubs what modules read when they are loaded, or takes long. */
const SYSTEM = [
  'tests/system/**/*.test.ts',
  'tests/docs/references.test.ts',
  'tests/docs/sbom.test.ts',
  'tests/engine/bundle.test.ts',
  'tests/engine/quick/*.test.ts',
  'tests/engine/storage.test.ts',
  'tests/firmware/board/**/*.test.ts',
  'tests/firmware/build/*.test.ts',
  'tests/firmware/link/mqttBrokers.test.ts',
  'tests/host/broker/*.test.ts',
  'tests/host/checkpoints/*.test.ts',
  'tests/host/cli/*.test.ts',
  'tests/host/ingest/kill.test.ts',
  'tests/host/ingest/pushBack.test.ts',
  'tests/host/ingest/rabbitRights.test.ts',
  'tests/host/ingest/rounds.test.ts',
  'tests/host/ingest/worker.test.ts',
  'tests/host/ingest/workerCommit.test.ts',
  'tests/host/integrators/alerts.test.ts',
  'tests/host/integrators/discovery.test.ts',
  'tests/host/integrators/example.test.ts',
  'tests/host/integrators/flow.test.ts',
  'tests/host/integrators/knx/knx.test.ts',
  'tests/host/integrators/metrics.test.ts',
  'tests/host/integrators/modbus/*.test.ts',
  'tests/host/integrators/onBroker.test.ts',
  'tests/host/integrators/openApi.test.ts',
  'tests/host/integrators/receivers.test.ts',
  'tests/host/integrators/sparkplug/*.test.ts',
  'tests/host/logbook/file.test.ts',
  'tests/host/logbook/postgres.test.ts',
  'tests/host/logbook/postgresCommands.test.ts',
  'tests/host/logbook/unreadable.test.ts',
  'tests/host/outlook/survivalPackage.test.ts',
  'tests/host/planner/exact.test.ts',
  'tests/host/profiles/command.test.ts',
  'tests/host/rehearse/realHost/*.test.ts',
  'tests/host/serve/*.test.ts',
  'tests/host/server/*.test.ts',
  'tests/host/tls/*.test.ts',
  'tests/host/witness/service.test.ts',
  'tests/published/falseFails.test.ts',
  'tests/requirements/board.test.ts',
  'tests/simulator/campaign/campaign.test.ts',
  'tests/simulator/guards/*.test.ts',
  'tests/simulator/links.test.ts',
];

/** The deep run repeats only what has sizes of its own; where the two runs share the work, the usual one leaves that. */
function leftOut(): string[] {
  if (depth !== 'deep' && !isShared) return [];
  const tests = readdirSync('tests', { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith('.test.ts'))
    .map((name) => `tests/${name}`);
  const hasSizes = (file: string) => /\/support\/depth'/.test(readFileSync(file, 'utf8'));
  return tests.filter((file) => hasSizes(file) !== (depth === 'deep'));
}

export default defineConfig({
  test: {
    // Tests that start programs start the prebuilt ones, as people do.
    globalSetup: ['.ci/build.mjs'],
    // One more than cores: many a test waits for a program, a browser or a second to pass.
    maxWorkers: availableParallelism() + 1,
    testTimeout: (depth === 'deep' ? 30 : 10) * MINUTE_MS,
    hookTimeout: 10 * MINUTE_MS,
    expect: { poll: { timeout: 2 * MINUTE_MS } },
    sequence: { sequencer: longFirst(({ project }) => project.name === 'system') },
    projects: [
      {
        extends: true,
        test: {
          name: 'pure',
          include: [ALL],
          exclude: [...SYSTEM, ...leftOut()],
          setupFiles: ['tests/support/properties.ts'],
          pool: 'threads',
          isolate: false,
        },
      },
      { extends: true, test: { name: 'system', include: SYSTEM, exclude: leftOut(), pool: 'forks' } },
    ],
  },
});
