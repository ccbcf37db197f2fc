// Defects of luminaires that the site file no longer has. Taking one out of the file must not take its failure out of
// the report on the time when it hung there.
import type { Defect } from '../house/defects/defect';
import { createDefects, type Defects } from '../house/defects/defects';
import type { Listed } from '../house/rows/listed';
import type { KeyRing } from '../keys';
import type { Entry } from '../logbook/logbook';
import type { Luminaire, Site } from '../site/model';
import type { ResultSeen } from './lamps';
import type { Period } from './period';

export class GoneDefects {
  /** By luminaire: the circuit that listed it last, and the UTC second until which it is known to have been there. */
  private readonly known = new Map<string, { circuit: string; until: number }>();
  private defects: Defects | undefined;

  constructor(
    private readonly site: Site,
    private readonly keys: KeyRing,
    private readonly listed: Listed,
    private readonly lampOf: (id: string) => Luminaire | undefined,
  ) {}

  /** The next list of a circuit's luminaires. @param at UTC second: those of the list before were there until then */
  list(circuit: string, ids: readonly string[], at: number): void {
    const gone = ids.filter((id) => !this.lampOf(id));
    const isNew = gone.some((id) => this.known.get(id)?.circuit !== circuit);
    for (const one of this.known.values())
      if (one.circuit === circuit && one.until === Number.POSITIVE_INFINITY) one.until = at;
    for (const id of gone) this.known.set(id, { circuit, until: Number.POSITIVE_INFINITY });
    if (isNew) this.defects = createDefects(this.goneSite(), this.keys, this.listed, this.defects?.state());
  }

  result({ circuit, record }: ResultSeen, entry: Entry): void {
    this.defects?.take(circuit, record, entry);
  }

  takeNote(entry: Entry): void {
    this.defects?.takeNote(entry);
  }

  openOf(luminaire: string): Defect[] {
    return this.defects?.openOf(luminaire) ?? [];
  }

  /** Those that no test has closed, of luminaires that were still there when a period began. */
  open({ fromSec }: Period): Defect[] {
    const all = this.defects?.open() ?? [];
    return all.filter(({ luminaire }) => this.known.get(luminaire)!.until >= fromSec);
  }

  /** The circuit in which a luminaire was that the site file no longer has; undefined if it has it. */
  circuitOf(luminaire: string): string | undefined {
    return this.known.get(luminaire)?.circuit;
  }

  /** The site as it would be with these luminaires only: their ids are all that matters here. */
  private goneSite(): Site {
    const names = new Set([...this.known.values()].map(({ circuit }) => circuit));
    const circuits = [...names].map((id) => {
      const like = this.site.circuits.find((one) => one.id === id) ?? this.site.circuits[0];
      const ids = [...this.known].filter(([, { circuit }]) => circuit === id).map(([lamp]) => lamp);
      return {
        ...like,
        id,
        luminaires: ids.map((lamp) => ({ ...like.luminaires[0], id: lamp, formerly: [] })),
      };
    });
    return { ...this.site, circuits };
  }
}
