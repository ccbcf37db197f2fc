// All tests on the real interpreter: those of tests/engine/quick, which npm test runs too, and the long ones.
import { availableParallelism } from 'node:os';
import { defineConfig } from 'vitest/config';
import { longFirst } from '../support/longFirst.ts';

const MINUTE_MS = 60_000;
const LONG = /(mcu\.test|(parity|bus|machineOff)\.engine)\.ts$/;

export default defineConfig({
  test: {
    include: ['tests/engine/quick/*.test.ts', 'tests/engine/**/*.engine.ts'],
    // A test that starts an interpreter of its own cannot run on a board.
    exclude: process.env.ESPRUINO_PORT ? ['tests/engine/**/*.process.engine.ts'] : [],
    // There is one board.
    maxWorkers: process.env.ESPRUINO_PORT ? 1 : availableParallelism(),
    testTimeout: 60 * MINUTE_MS,
    hookTimeout: 10 * MINUTE_MS,
    expect: { poll: { timeout: 2 * MINUTE_MS } },
    disableConsoleIntercept: true,
    sequence: { sequencer: longFirst(({ moduleId }) => LONG.test(moduleId)) },
  },
});
