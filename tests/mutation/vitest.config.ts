// The tests that judge the mutants of the core: those of the core itself, with fixed seeds.
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/firmware/core/**/*.test.ts', 'tests/scenarios/*.test.ts'],
    // Long random runs, which would run for nearly every mutant; they are meant to find faults that nobody
    // thought of.
    exclude: ['tests/firmware/core/claims.test.ts'],
    // The tests keep no state outside themselves; sharing one set of modules saves most of the time.
    isolate: false,
    testTimeout: 120000,
    setupFiles: ['tests/mutation/seed.ts'],
  },
});
