// What controllers recorded beside results: tester faults, holds, overdue tests, charging and clocks as deviations;
// mains failures and orders as remarks.
import { ClockTrust, Reason } from '../../firmware/contract/codes';
import type { AnyRecord } from '../../firmware/contract/messages';
import { madeUpBy, overdueKind } from '../house/history/overdue';
import { recordText } from '../house/view/recordView';
import { isDone } from '../records/result';
import type { Deviation, DeviationKind, Remark } from './findings';
import { isWithin, type Period } from './period';

export interface RecordSeen {
  record: AnyRecord;
  circuit: string;
  entry: number;
  /** UTC second. */
  at: number;
}

/** Smallest correction of a clock that is worth reading, s. */
const CLOCK_SEC = 60;

/** What opens a deviation, and stays open until something ends it. */
const LASTING: Partial<Record<AnyRecord['kind'], DeviationKind>> = {
  fault: 'tester fault',
  held: 'hold',
};
const ENDS: Partial<Record<AnyRecord['kind'], DeviationKind>> = { cleared: 'tester fault', released: 'hold' };

const noList = (): undefined => undefined;

function isDoubtful(record: AnyRecord): boolean {
  if (record.kind === 'chip') return record.reason !== Reason.None;
  return record.kind === 'clock' && Math.abs(record.arg) >= CLOCK_SEC;
}

export class Troubles {
  readonly deviations: Deviation[] = [];
  readonly remarks: Remark[] = [];
  private readonly lasting = new Map<string, Deviation>();
  private readonly journals = new Map<string, string>();

  constructor(private readonly period: Period) {}

  take(seen: RecordSeen): void {
    const { record } = seen;
    const opens = LASTING[record.kind];
    if (record.kind === 'overdue') this.open('test overdue', seen, overdueKind(record));
    else if (opens) this.open(opens, seen);
    const ends = ENDS[record.kind];
    if (ends) this.close(ends, seen);
    if (record.kind === 'charge') this.charge(seen);
    if (record.kind === 'start') this.start(seen, record.journal);
    if (record.kind === 'result') this.result(seen);
    if (isDoubtful(record)) this.once('clock', seen);
    this.remark(seen);
  }

  /** Those that concern the period. */
  ofPeriod(): Deviation[] {
    const { fromSec, toSec } = this.period;
    return this.deviations.filter(
      ({ at, closedAt }) => at < toSec && (closedAt === 0 || closedAt >= fromSec || at >= fromSec),
    );
  }

  /** @param which tells those of a circuit apart that last beside each other */
  private open(what: DeviationKind, seen: RecordSeen, which = ''): void {
    const name = `${what} ${seen.circuit} ${which}`;
    // A trouble recorded again, as a fault is after a restart, has lasted since its first record.
    if (this.lasting.has(name)) return;
    const deviation = this.once(what, seen);
    deviation.closedAt = 0;
    this.lasting.set(name, deviation);
  }

  private close(what: DeviationKind, { circuit, at }: RecordSeen, which = ''): void {
    const name = `${what} ${circuit} ${which}`;
    const deviation = this.lasting.get(name);
    if (deviation) deviation.closedAt = at;
    this.lasting.delete(name);
  }

  /** One that is over as soon as it is recorded. */
  private once(
    what: DeviationKind,
    { circuit, at, entry, record }: RecordSeen,
    text = recordText(record, noList),
  ): Deviation {
    const deviation: Deviation = { what, circuit, luminaires: [], at, closedAt: at, entry, text };
    this.deviations.push(deviation);
    return deviation;
  }

  private charge(seen: RecordSeen): void {
    const { record } = seen;
    if (record.kind !== 'charge') return;
    if (record.reason === Reason.None) this.close('charging', seen);
    else this.open('charging', seen);
  }

  /** An erased controller never records the end of what it was in the middle of. */
  private start(seen: RecordSeen, journal: string): void {
    const known = this.journals.get(seen.circuit);
    this.journals.set(seen.circuit, journal);
    if (known === undefined || known === journal) return;
    this.close('tester fault', seen);
    this.close('hold', seen);
    const text =
      'The controller began anew with an empty memory, or was replaced: records it had not passed on are lost.';
    this.once('records', seen, text);
  }

  private result(seen: RecordSeen): void {
    const { record } = seen;
    if (record.kind !== 'result') return;
    if (isDone(record)) for (const kind of madeUpBy(record.type)) this.close('test overdue', seen, kind);
    if (record.clock === ClockTrust.NeverSet)
      this.once(
        'clock',
        seen,
        'The controller did not know the time: the date of this test is the one on which its record arrived.',
      );
  }

  private remark({ record, circuit, entry, at }: RecordSeen): void {
    const isRemark = record.kind === 'outage' || record.kind === 'supply' || isOrder(record);
    if (isRemark && isWithin(this.period, at))
      this.remarks.push({ entry, at, circuit, text: recordText(record, noList) });
  }
}

/** Orders that were obeyed; refused ones changed nothing. */
function isOrder(record: AnyRecord): boolean {
  return record.kind === 'order' && record.reason === Reason.None;
}
