// The name of a kind of test. A limited test says everywhere that it is not the full duration.
import type { LampStatus } from '../../api/views';

const NAMES: Record<LampStatus['kind'], string> = {
  '': '',
  brief: 'function test',
  full: 'duration test',
  limited: 'limited duration test (2/3, not the full duration)',
  commissioning: 'commissioning test',
};

/** "function test", "limited duration test (2/3, not the full duration)"; '' for none. */
export function kindName(kind: LampStatus['kind']): string {
  return NAMES[kind];
}
