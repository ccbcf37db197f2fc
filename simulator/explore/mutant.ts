// A deliberate small break of the core.
import type { PlanName, WorldKind } from './small';

export interface Mutant {
  name: string;
  /** File under firmware/core. */
  file: string;
  find: string;
  replace: string;
  /** World in which it shows; the plain one by default. */
  world?: WorldKind;
  /** Plan of that world, both tests by default, and number of disturbances, one by default. */
  plan?: PlanName;
  disturbances?: number;
}
