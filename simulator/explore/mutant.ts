// A deliberate small break of the core.
import type { PlanName, WorldKind } from './small';

export interface Mutant {
  name: string;
  /** File under firmware/core. */
  file: string;
  find: string;
  replace: string;
  /** World in which it shows; the plain one unless told. */
  world?: WorldKind;
  /** Plan of that world, both tests unless told, and disturbances, one unless told. */
  plan?: PlanName;
  disturbances?: number;
}
