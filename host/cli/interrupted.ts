/** Resolves when somebody ends the program: by Ctrl-C, or as a service is ended. */
export function interrupted(): Promise<void> {
  return new Promise((resolve) => {
    process.once('SIGINT', () => resolve());
    process.once('SIGTERM', () => resolve());
  });
}
