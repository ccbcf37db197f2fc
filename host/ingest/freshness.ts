// Whether a state message is newer than the last one: an old one, recorded and sent again by someone, must
// not make the page show an outdated state.
import type { StateMessage } from '../../firmware/contract/messages';

export interface Freshness {
  /** True, and stored, if `state` is new from this controller. */
  isNews(address: string, state: StateMessage): boolean;
}

export function newFreshness(): Freshness {
  const last = new Map<string, Pick<StateMessage, 'journal' | 'boot' | 'up' | 'utc'>>();
  return {
    isNews(address, state) {
      const before = last.get(address);
      if (before) {
        const sameJournal = before.journal === state.journal;
        const older = state.boot < before.boot || (state.boot === before.boot && state.up < before.up);
        if (sameJournal && older) return false;
        // A new journal means a new or wiped controller, whose boots are counted from the start; its clock is
        // not.
        if (!sameJournal && state.utc !== 0 && state.utc < before.utc) return false;
      }
      last.set(address, { journal: state.journal, boot: state.boot, up: state.up, utc: state.utc });
      return true;
    },
  };
}
