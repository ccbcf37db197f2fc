// For what a timer or a socket calls: nobody stands above it to catch what it throws, and the process would end.

/** The same function, which tells what goes wrong in it instead of throwing; nor does telling it throw. */
export function guarded<T extends unknown[]>(
  work: (...given: T) => void,
  onProblem: (sentence: string) => void,
): (...given: T) => void {
  return (...given) => {
    try {
      work(...given);
    } catch (error) {
      try {
        onProblem((error as Error).message);
      } catch {
        // Nobody is left to be told.
      }
    }
  };
}
