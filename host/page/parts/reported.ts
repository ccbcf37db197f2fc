import type { ControllerStatus } from '../../api/views';
import type { Circuit } from '../../site/model';

/** A circuit with what its controller reports. */
export interface Reported {
  circuit: Circuit;
  status: ControllerStatus;
}
