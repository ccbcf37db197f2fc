// What each controller last reported of itself: its state and when it was heard, the broker's report of its
// connection, and the readings of a running test.
import { Phase } from '../../../firmware/contract/codes';
import type { LiveMessage, StateMessage } from '../../../firmware/contract/messages';
import type { LiveReading } from '../../api/views';
import type { Site } from '../../site/model';
import { testKindWord, verdictWord } from '../../words/codes';

export interface CircuitReport {
  /** Undefined until the controller is first heard. */
  state: StateMessage | undefined;
  /** UTC second, 0 if never. */
  heardAt: number;
  /** The same instant by a clock that nobody sets, s. */
  heardUp: number;
  online: boolean;
  live: LiveReading | null;
}

export interface Reported {
  /** A signed state, received at this UTC second, and when by a clock that nobody sets, s. */
  state(circuit: string, state: StateMessage, heardAt: number, heardUp: number): void;
  /** The broker's hint that a controller is connected or not. */
  presence(circuit: string, online: boolean): void;
  /**
   * Readings are not signed, so only a signed state makes them count. False if the newest does not say that this very
   * test runs, or they do not fit the circuit.
   */
  live(circuit: string, live: LiveMessage): boolean;
  /** The result of a test has arrived: its live readings end. */
  ended(circuit: string): void;
  /** @throws Error if the site has no such circuit */
  of(circuit: string): Readonly<CircuitReport>;
}

export function isTesting(state: StateMessage | undefined): boolean {
  return state !== undefined && state.phase >= Phase.Opening && state.phase <= Phase.Restoring;
}

/** The controllers of a site before any has been heard; see `Reported`. */
export function createReported(site: Site): Reported {
  const reports = new Map(
    site.circuits.map(({ id }): [string, CircuitReport] => [
      id,
      { state: undefined, heardAt: 0, heardUp: 0, online: true, live: null },
    ]),
  );
  const counts = new Map(site.circuits.map(({ id, luminaires }) => [id, luminaires.length]));
  return {
    state(circuit, state, heardAt, heardUp) {
      const report = reports.get(circuit);
      if (!report) return;
      const isSameTest = isTesting(state) && report.live?.test === state.test;
      const live = isSameTest ? report.live : null;
      Object.assign(report, { state, heardAt, heardUp, online: true, live });
    },
    presence(circuit, online) {
      const report = reports.get(circuit);
      if (report) report.online = online;
    },
    live(circuit, { test, type, t, ma, verdict }) {
      const report = reports.get(circuit);
      const count = counts.get(circuit);
      if (!report || ma.length !== count || verdict.length !== count) return false;
      const { state } = report;
      if (!isTesting(state) || state?.test !== test || state.type !== type) return false;
      const kind = testKindWord(type);
      report.live = { circuit, test, kind, t, ma, verdict: verdict.map(verdictWord) };
      return true;
    },
    ended(circuit) {
      const report = reports.get(circuit);
      if (report) report.live = null;
    },
    of(circuit) {
      const report = reports.get(circuit);
      if (!report) throw new Error(`The site has no circuit ${circuit}.`);
      return report;
    },
  };
}
