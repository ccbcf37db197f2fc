// What happened to one circuit, noted during the simulation: when its luminaires were without supply, what
// was tested, and what was reported. Who took the supply away makes no difference here.
import { type Reason, TestKind, Verdict } from '../../firmware/contract/codes';
import { ResultColumn } from '../../firmware/contract/lamps';
import { isTesterFault } from '../../firmware/contract/limits';
import type { EventRecord, ResultRecord } from '../../firmware/contract/messages';
import type { CircuitPlant } from '../plant/circuit';
import type { Span } from '../plant/spans';
import { type CallOut, ISOLATED_MS } from './callOut';
import { type AilmentFault, type Failure, isAilment, Repairs } from './repairs';

/** Times without supply, simulated ms, and how long each was meant to last, for a test or a repair; 0 ms when nobody meant it. */
export interface Off extends Span {
  kind: TestKind;
  meantMs: number;
}

/** One test as it was judged. */
export interface TestNote {
  /** Start of the discharge, simulated ms. */
  at: number;
  kind: TestKind;
  end: Reason;
  /** Numbers of the luminaires that failed, and of those with nothing proven. */
  failed: number[];
  voided: number[];
  /** Discharge curves of the luminaires (contract/curve.ts) and seconds between their readings; none by hand. */
  curves?: string[];
  gridSec?: number;
}

/** Part of the story: what is new since the part before, and the state at its end. */
export interface Chapter {
  offs: Off[];
  /** An outage still going on at its end. */
  still?: Off;
  tests: TestNote[];
  /** All failures so far: those found, and those still unknown at the end of this part. */
  failures: Failure[];
  soundReported: number;
  /** Known past and future faults of each luminaire. */
  ailments: AilmentFault[][];
}

/** Why the supply has just gone. */
export interface Cause {
  kind: TestKind;
  meantMs: number;
}

const NOBODY: Cause = { kind: TestKind.None, meantMs: 0 };
const ELECTRICIAN: Cause = { kind: TestKind.None, meantMs: ISOLATED_MS };

export class Chronicle {
  readonly repairs: Repairs | undefined;
  /** When someone comes to clear a tester fault; infinite while there is none. */
  clearAt = Number.POSITIVE_INFINITY;
  private offs: Off[] = [];
  private tests: TestNote[] = [];
  private offSince: Off | undefined;

  /**
   * @param causeNow who has just taken the supply away, and for how long; undefined: nobody
   * @param callOut when what is reported is repaired; missing: nothing ever is
   */
  constructor(
    private readonly plant: CircuitPlant,
    private readonly startUtcMs: number,
    private readonly causeNow: () => Cause | undefined,
    callOut?: CallOut,
  ) {
    this.repairs = callOut && new Repairs(plant, callOut);
    plant.onSupply = (supplied, now) => this.followSupply(supplied, now);
  }

  private followSupply(supplied: boolean, now: number): void {
    if (!supplied) {
      const cause = this.causeNow() ?? (this.repairs?.isIsolated(now) ? ELECTRICIAN : NOBODY);
      this.offSince = { ...cause, from: now, to: Number.POSITIVE_INFINITY };
      return;
    }
    if (this.offSince) this.offs.push({ ...this.offSince, to: now });
    this.offSince = undefined;
  }

  /** Someone has tested, and reports the luminaires that failed. */
  tested(note: TestNote, toldAt: number): void {
    this.tests.push(note);
    for (const place of note.failed) this.repairs?.report(place, toldAt, note.at);
  }

  /** A record arrived at `now`. */
  filed(text: string, now: number): void {
    const record = JSON.parse(text) as ResultRecord | EventRecord;
    if (record.kind === 'result') {
      this.tested(this.noteOf(record), now);
      record.lamps.forEach((row, place) => {
        if (isTesterFault(row[ResultColumn.Reason])) this.repairs?.reportSensor(place, now);
      });
    } else if (record.kind === 'fault' && this.repairs && isTesterFault(record.reason)) {
      this.repairs.reportAll(now);
      this.clearAt = Math.min(this.clearAt, this.repairs.visitAfter(now));
    }
  }

  private noteOf(record: ResultRecord): TestNote {
    const places = (verdict: Verdict) =>
      record.lamps.flatMap((row, place) => (row[ResultColumn.Verdict] === verdict ? [place] : []));
    const startedSec = record.started > 0 ? record.started : record.utc;
    return {
      at: startedSec * 1000 - this.startUtcMs,
      kind: record.type,
      end: record.end,
      failed: places(Verdict.Fail),
      voided: places(Verdict.Void),
      ...(record.grid !== undefined && { gridSec: record.grid, curves: record.curves ?? [] }),
    };
  }

  /** What is new since the last call, up to `now`. */
  chapter(now: number): Chapter {
    return {
      offs: this.offs.splice(0),
      ...(this.offSince && { still: { ...this.offSince, to: now } }),
      tests: this.tests.splice(0),
      failures: this.repairs ? [...this.repairs.known, ...this.repairs.unknown(now)] : [],
      soundReported: this.repairs?.soundReported ?? 0,
      ailments: this.plant.luminaires.map((l) => l.faults.filter(isAilment)),
    };
  }
}
