// What a long run notes about each circuit, collected as it happens.
import { type CircuitStory, storyOf } from '../../simulator/compare/measures';
import type { Chapter } from '../../simulator/people/chronicle';
import type { LuminaireSpec } from '../../simulator/plant/luminaire';
import type { Standing } from '../../simulator/run/lone';
import type { FleetSpec } from '../../simulator/spec';
import type { Site } from '../site/model';

export class Gathered {
  private readonly chapters: Chapter[][];
  private lamps: LuminaireSpec[][] = [];

  /** @param fromMs anything that ended before this is dropped, simulated ms */
  constructor(
    private readonly site: Site,
    private readonly fromMs: number,
  ) {
    this.chapters = site.circuits.map(() => []);
  }

  /** The fleet with a recorder for what happens. */
  prepare(fleet: FleetSpec): FleetSpec {
    this.lamps = fleet.controllers.map(({ lamps }) => lamps);
    return { ...fleet, chronicle: fleet.chronicle ?? {} };
  }

  take(standings: Standing[]): void {
    standings.forEach(({ chapter }, i) => {
      if (!chapter) return;
      const offs = chapter.offs.filter(({ to }) => to >= this.fromMs);
      const tests = chapter.tests.filter(({ at }) => at >= this.fromMs);
      this.chapters[i].push({ ...chapter, offs, tests });
    });
  }

  /** One for each circuit; throws if a circuit recorded nothing. */
  stories(): CircuitStory[] {
    return this.site.circuits.map(({ id }, i) => storyOf(id, this.lamps[i], this.chapters[i]));
  }
}
