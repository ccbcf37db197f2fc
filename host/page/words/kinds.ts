// The name of a kind of test. A limited test says itself, everywhere, that it is no full test.
import type { LampStatus } from '../../api/views';

/** "brief test", "limited test (2/3), not a full test"; '' for none. */
export function kindName(kind: LampStatus['kind']): string {
  if (kind === '') return '';
  return kind === 'limited' ? 'limited test (2/3), not a full test' : `${kind} test`;
}
