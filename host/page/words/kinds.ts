// The name of a kind of test. A limited test says everywhere that it is not the full duration.
import type { LampStatus } from '../../api/views';
import { t } from '../tongues/tongue';

/** "function test", "limited duration test (2/3, not the full duration)"; '' for none. */
export function kindName(kind: LampStatus['kind']): string {
  return t.kinds[kind];
}
