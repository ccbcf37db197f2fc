// The state of a house while the host runs: one object to which events are applied. Its parts depend on each
// other in one direction: what was entered and recorded (past) and what controllers report, then the plan and
// settings they should have (desired), then what is shown (view). Nothing here reads a clock, a file or a
// socket.
import type { AnyRecord, LiveMessage, StateMessage } from '../../firmware/contract/messages';
import type { KeyRing } from '../keys';
import type { Entry } from '../logbook/logbook';
import type { Memory } from '../logbook/memory';
import { rechargeSecOf } from '../planner/placing/circuitWork';
import { profileFor } from '../profiles/profile';
import type { Site } from '../site/model';
import { testSecOf } from '../site/settings';
import { createDesired, type DesiredState, type Numbered } from './desired/desired';
import { doneTests } from './history/history';
import { createPast, type Past, type PastState } from './past';
import { createReported, type Reported } from './reported/reported';
import { createView, type View } from './view/view';

export type HouseEvent =
  /** A log book entry, in order, with its record if already read. */
  | { kind: 'entry'; entry: Entry; record?: AnyRecord }
  /** A signed state, received at this UTC second, and when by a clock that nobody sets, s. */
  | { kind: 'state'; circuit: string; state: StateMessage; heardAt: number; heardUp: number }
  | { kind: 'presence'; circuit: string; online: boolean }
  | { kind: 'live'; circuit: string; live: LiveMessage }
  /** The time, UTC second: plan and settings are checked. */
  | { kind: 'time'; now: number };

export interface House {
  readonly past: Past;
  readonly reported: Reported;
  readonly desired: DesiredState;
  readonly view: View;
  /**
   * Applies what has happened; false if it changes nothing: an entry applied before, a reading that does not
   * fit.
   */
  apply(event: HouseEvent): boolean;
}

export interface HouseOptions {
  site: Site;
  keys: KeyRing;
  /** What an earlier run stored; changes are stored there too. */
  memory: Memory;
  /** Interval at which controllers report when nothing happens, s. */
  heartbeatSec: number;
  /** Further delay that does not indicate trouble, s. */
  slackSec: () => number;
  /** Seconds by a clock that nobody sets: silence is measured by it. */
  upSec: () => number;
  simulated: boolean;
  /** The past as stored by an earlier run; by default it is read from the first entry on. */
  past?: PastState;
  /** A plan made elsewhere, used instead of our own first one. */
  given?: Numbered;
  /** Receives sentences about what a new plan changes. */
  onProblem?: (sentence: string) => void;
}

function createDesiredFor(o: HouseOptions, past: Past, reported: Reported): DesiredState {
  const { site, memory, given, onProblem } = o;
  const { notes, history } = past;
  return createDesired({
    ...{ site, memory },
    ...(given && { given }),
    ...(onProblem && { onProblem }),
    inForce: (circuit) => notes.of(circuit.id).inForce,
    attended: (circuit) => notes.of(circuit).attended,
    history: (circuit) => history.of(circuit).last,
    done: (circuit, revision) => doneTests(history.of(circuit).ends, revision),
    owed: (circuit) => past.owed(circuit),
    fullAt: (circuit) => Math.max(reported.of(circuit).state?.charged ?? 0, ...past.repairsCharged(circuit)),
  });
}

function createViewOf(o: HouseOptions, past: Past, reported: Reported, desired: DesiredState): View {
  const { site, heartbeatSec, slackSec, upSec, simulated } = o;
  const profile = profileFor(site);
  return createView(
    {
      ...{ site, notes: past.notes, history: past.history, defects: past.defects },
      withdrawals: past.withdrawals,
      ...{ reported, plan: () => desired.plan(), entry: () => past.entry() },
    },
    {
      testSec: (circuit, kind) => testSecOf(circuit, kind, profile),
      rechargeSec: (kind) => rechargeSecOf(profile, kind),
      fullDays: profile.full.latestDays.value,
      ...{ heartbeatSec, slackSec, upSec, simulated },
    },
  );
}

/** A house of which only its site and what was stored are known; see `House`. */
export function createHouse(o: HouseOptions): House {
  const past = createPast(o.site, o.keys, o.past);
  const reported = createReported(o.site);
  const desired = createDesiredFor(o, past, reported);
  const view = createViewOf(o, past, reported, desired);
  return {
    ...{ past, reported, desired, view },
    apply(event) {
      switch (event.kind) {
        case 'entry': {
          if (!past.take(event.entry, event.record)) return false;
          const [site, circuit] = event.entry.address.split('/');
          if (event.entry.kind === 'result' && site === o.site.id) reported.ended(circuit);
          return true;
        }
        case 'state':
          reported.state(event.circuit, event.state, event.heardAt, event.heardUp);
          desired.outbid(event.circuit, event.state);
          return true;
        case 'presence':
          reported.presence(event.circuit, event.online);
          return true;
        case 'live':
          return reported.live(event.circuit, event.live);
        case 'time':
          return desired.refresh(event.now);
      }
    },
  };
}
