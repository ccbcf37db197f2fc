// Phases of a controller that mean the same to everybody who is told of them.

/** While a test cuts the supply, runs, or restores the supply. */
export const TESTING_PHASES: readonly string[] = ['opening', 'brief', 'full', 'restoring'];
