import { tell } from './tell';

export interface Ending {
  add(end: () => void | Promise<void>): void;
  run(): Promise<void>;
}

/** Ends things in reverse order of their start; one that fails to end does not stop the rest. */
export function newEnding(): Ending {
  const ends: (() => void | Promise<void>)[] = [];
  return {
    add: (end) => ends.push(end),
    async run() {
      for (let end = ends.pop(); end; end = ends.pop()) {
        try {
          await end();
        } catch (error) {
          tell((error as Error).message);
        }
      }
    },
  };
}
