// The tests that judge the mutants of the core: those of the core itself, with fixed seeds.
import { defineConfig } from 'vitest/config';

export default defineConfig({
  test: {
    include: ['tests/firmware/core/**/*.test.ts', 'tests/scenarios/*.test.ts'],
    // Long random runs, which would be run for nearly every mutant: they find faults that nobody thought of.
    exclude: ['tests/firmware/core/claims.test.ts'],
    // The tests keep nothing outside themselves; one set of modules for all spares most of the time.
    isolate: false,
    testTimeout: 120000,
    setupFiles: ['tests/mutation/seed.ts'],
  },
});
