// What the log book shows of each luminaire's long tests, oldest first.
import { TestKind, type Verdict } from '../../firmware/contract/codes';
import type { AnyRecord } from '../../firmware/contract/messages';
import { allIdsOf, type Listed } from '../house/rows/listed';
import { lampResults, resultAt } from '../records/result';
import type { Site } from '../site/model';

/** One luminaire's part in a test longer than brief. */
export interface Seen {
  /** UTC second the discharge began. */
  at: number;
  kind: TestKind;
  verdict: Verdict;
  reason: number;
  litSec: number;
  /** Current at the end as a share of that at 60 s; 0 if it was not lit at both. */
  endShare: number;
}

export interface Sightings {
  /** A record of a circuit in log book order; `at` is the UTC second it is filed under. */
  take(circuit: string, record: AnyRecord, at: number): void;
  of(luminaire: string): readonly Seen[];
  /** UTC second of the first result on record; infinite if there is none. */
  since(): number;
}

class Collected implements Sightings {
  private readonly seen = new Map<string, Seen[]>();
  /** Today's id by every id a luminaire has or had. */
  private readonly ids: ReadonlyMap<string, string>;
  private first = Number.POSITIVE_INFINITY;

  constructor(
    site: Site,
    private readonly listed: Listed,
  ) {
    const lamps = site.circuits.flatMap(({ luminaires }) => luminaires);
    this.ids = new Map(lamps.flatMap((lamp) => allIdsOf(lamp).map((id) => [id, lamp.id])));
  }

  take(circuit: string, record: AnyRecord, filedAt: number): void {
    if (record.kind !== 'result') return;
    const at = resultAt(record, filedAt);
    this.first = Math.min(this.first, at);
    if (record.type === TestKind.Brief) return;
    const ids = this.listed(circuit, record.settings) ?? [];
    lampResults(record).forEach(({ verdict, reason, litSec, milliampsAt60, milliampsEnd }, row) => {
      const endShare = milliampsAt60 > 0 ? Math.max(0, milliampsEnd) / milliampsAt60 : 0;
      this.add(ids[row], { at, kind: record.type, verdict, reason, litSec, endShare });
    });
  }

  of(luminaire: string): readonly Seen[] {
    return (this.seen.get(luminaire) ?? []).toSorted((a, b) => a.at - b.at);
  }

  since(): number {
    return this.first;
  }

  private add(id: string | undefined, one: Seen): void {
    const luminaire = id === undefined ? undefined : this.ids.get(id);
    if (luminaire === undefined) return;
    const list = this.seen.get(luminaire);
    if (list) list.push(one);
    else this.seen.set(luminaire, [one]);
  }
}

/** The sightings of a site before the first record. */
export function createSightings(site: Site, listed: Listed): Sightings {
  return new Collected(site, listed);
}
