// The tests on the real interpreter, kept apart from the others: they need an interpreter, and take minutes.
import { defineConfig } from 'vitest/config';

const MINUTE_MS = 60_000;

export default defineConfig({
  test: {
    include: ['tests/engine/**/*.engine.ts'],
    // A test that starts an interpreter of its own cannot run on a board.
    exclude: process.env.ESPRUINO_BIN ? [] : ['tests/engine/**/*.process.engine.ts'],
    fileParallelism: false,
    testTimeout: 60 * MINUTE_MS,
    hookTimeout: 10 * MINUTE_MS,
    disableConsoleIntercept: true,
  },
});
