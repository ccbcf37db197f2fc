// What a controller's state means, the same to everybody who is told of it.
import type { ControllerStatus } from './views';

/** While a test cuts the supply, runs, or restores the supply. */
export const TESTING_PHASES: readonly string[] = ['opening', 'brief', 'full', 'restoring'];

/** True if the controller's last report still counts as current. */
export function isHeard({ contact }: Pick<ControllerStatus, 'contact'>): boolean {
  return contact === 'reporting' || contact === 'late';
}

/** True if its luminaires were on battery when it was last heard: the relay open, or no supply seen behind it. */
export function wasOff({ relayOpen, supplyAfter }: ControllerStatus): boolean {
  return relayOpen === true || supplyAfter === false;
}
