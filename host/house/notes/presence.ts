// When each luminaire was part of a site and of which circuit, from the lists of the log book: what was looked at while
// it was not there says nothing about it.
import type { Scope } from '../../duties/due';
import type { Site } from '../../site/model';
import { allIdsOf } from '../rows/listed';

/** A circuit, and the UTC second of the first list that had the luminaire there. */
type Stay = [circuit: string, from: number];

/**
 * UTC second of the first list of a site, by luminaire its stays in circuits, the oldest first, and that of its newest
 * change of area. Lists have no areas: what an entry says of a change of the site file tells.
 */
export interface PresenceState {
  first: number;
  lamps: [string, Stay[]][];
  areas: [string, number][];
}

/** The first lists of a site are written one by one at its first start: they are its beginning. */
const BEGINNING_SEC = 86_400;

export class Presence {
  private first: number;
  /** By the luminaire's id of today, or by its last one if it is gone. */
  private readonly lamps: Map<string, Stay[]>;
  private readonly areas: Map<string, number>;
  private readonly ids = new Map<string, string>();

  constructor(site: Site, from: PresenceState) {
    for (const lamp of site.circuits.flatMap(({ luminaires }) => luminaires))
      for (const id of allIdsOf(lamp)) this.ids.set(id, lamp.id);
    this.first = from.first;
    this.areas = new Map(from.areas);
    this.lamps = new Map(from.lamps.map(([id, stays]) => [id, [...stays]]));
  }

  /** A list of a circuit's luminaires, noted at a UTC second by the host's clock. */
  list(circuit: string, luminaires: readonly string[], at: number): void {
    this.first ||= at;
    for (const listed of luminaires) {
      const id = this.idOf(listed);
      const stays = this.lamps.get(id) ?? [];
      if (stays.at(-1)?.[0] !== circuit) this.lamps.set(id, [...stays, [circuit, at]]);
    }
  }

  /** A luminaire was given another area, at a UTC second by the host's clock. */
  changeArea(luminaire: string, at: number): void {
    this.areas.set(this.idOf(luminaire), at);
  }

  /** Its id of today; the same if the site no longer has it. */
  idOf(luminaire: string): string {
    return this.ids.get(luminaire) ?? luminaire;
  }

  /** The circuits that ever had it. */
  circuitsOf(luminaire: string): string[] {
    return this.staysOf(this.idOf(luminaire)).map(([circuit]) => circuit);
  }

  /**
   * UTC second from which a look at a part of the site saw the luminaire: 0 from the beginning, infinity if no list has
   * it. What looked at the luminaire by itself saw it in any case.
   */
  since(luminaire: string, scope: Scope): number {
    const [kind, id] = scope.split(' ');
    const inArea = kind === 'area' ? (this.areas.get(luminaire) ?? 0) : 0;
    if (this.first === 0 || kind === 'luminaire') return inArea;
    const stays = this.staysOf(luminaire);
    const stay = kind === 'circuit' ? stays.findLast(([circuit]) => circuit === id) : stays[0];
    return Math.max(inArea, stay?.[1] ?? Number.POSITIVE_INFINITY);
  }

  /** True if a look at a part of the site that has or had the luminaire, done at a UTC second, saw it there. */
  saw(luminaire: string, scope: Scope, done: number): boolean {
    const [kind, id] = scope.split(' ');
    if (this.first === 0 || kind !== 'circuit') return done >= this.since(luminaire, scope);
    return this.staysOf(luminaire).findLast(([, from]) => from <= done)?.[0] === id;
  }

  /** Its stays, the first from 0 if it was there from the beginning. */
  private staysOf(luminaire: string): readonly Stay[] {
    const stays = this.lamps.get(luminaire) ?? [];
    return stays.map(([circuit, from], i) => [
      circuit,
      i === 0 && from < this.first + BEGINNING_SEC ? 0 : from,
    ]);
  }

  state(): PresenceState {
    return { first: this.first, lamps: [...this.lamps], areas: [...this.areas] };
  }
}
