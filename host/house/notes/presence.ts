// Since when each luminaire has been part of a site and of its circuits, from the lists of the log book: what was
// looked at before that says nothing about it.
import type { Scope } from '../../duties/due';
import type { Site } from '../../site/model';
import { allIdsOf } from '../rows/listed';

/** UTC second of the first list of a site, and by luminaire and circuit that of the first list with both. */
export interface PresenceState {
  first: number;
  lamps: [string, [string, number][]][];
}

/** The first lists of a site are written one by one at its first start: they are its beginning. */
const BEGINNING_SEC = 86_400;

export class Presence {
  private first: number;
  /** By the luminaire's id of today, or by its last one if it is gone. */
  private readonly lamps: Map<string, Map<string, number>>;
  private readonly ids = new Map<string, string>();

  constructor(site: Site, from: PresenceState) {
    for (const lamp of site.circuits.flatMap(({ luminaires }) => luminaires))
      for (const id of allIdsOf(lamp)) this.ids.set(id, lamp.id);
    this.first = from.first;
    this.lamps = new Map(from.lamps.map(([id, circuits]) => [id, new Map(circuits)]));
  }

  /** A list of a circuit's luminaires, noted at a UTC second by the host's clock. */
  list(circuit: string, luminaires: readonly string[], at: number): void {
    this.first ||= at;
    for (const listed of luminaires) {
      const id = this.idOf(listed);
      const circuits = this.lamps.get(id);
      if (!circuits) this.lamps.set(id, new Map([[circuit, at]]));
      else if (!circuits.has(circuit)) circuits.set(circuit, at);
    }
  }

  /** Its id of today; the same if the site no longer has it. */
  idOf(luminaire: string): string {
    return this.ids.get(luminaire) ?? luminaire;
  }

  /** The circuits that ever had it. */
  circuitsOf(luminaire: string): string[] {
    return [...(this.lamps.get(this.idOf(luminaire))?.keys() ?? [])];
  }

  /**
   * UTC second from which a look at a part of the site saw the luminaire: 0 from the beginning, infinity if no list has
   * it. What looked at the luminaire by itself saw it in any case.
   */
  since(luminaire: string, scope: Scope): number {
    if (this.first === 0 || scope.startsWith('luminaire ')) return 0;
    const circuits = this.lamps.get(luminaire) ?? new Map<string, number>();
    const [kind, id] = scope.split(' ');
    const times = kind === 'circuit' ? [circuits.get(id)] : [...circuits.values()];
    const since = Math.min(...times.map((time) => time ?? Number.POSITIVE_INFINITY));
    return since < this.first + BEGINNING_SEC ? 0 : since;
  }

  state(): PresenceState {
    return { first: this.first, lamps: [...this.lamps].map(([id, circuits]) => [id, [...circuits]]) };
  }
}
