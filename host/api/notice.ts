// What everyone in the building may know without an account. GET /api/notice (NoticeView).
import type { RiskNotice } from './views';

export interface NoticeView {
  /** Name of the building. */
  name: string;
  timeZone: string;
  /** True if the controllers are simulated. */
  simulated: boolean;
  responsible: string;
  /** Names of areas with failed luminaires. */
  failed: string[];
  notice: RiskNotice;
}
