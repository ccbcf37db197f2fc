// The battery outlook of a building, kept up with its log book: results are read once, and the model is fitted
// anew only after a new one or a day.
import { setImmediate as nextTurn } from 'node:timers/promises';
import type { Logbook } from '../logbook/logbook';
import { type LampOutlook, outlookOf, type TypeOutlook } from '../outlook/outlook';
import { createSightings } from '../outlook/seen';
import { lampSentence } from '../outlook/words';
import { readRecord } from '../records/schema';
import type { Site } from '../site/model';
import { replay } from './past';
import type { Listed } from './rows/listed';

export interface BatteryOutlook {
  /** The outlook at a UTC second, with chances up to another. */
  types(now: number, by: number): Promise<TypeOutlook[]>;
  /** What is said of a luminaire's battery at a UTC second, '' if nothing. */
  sentence(luminaire: string, now: number): Promise<string>;
}

const DAY_SEC = 86400;
/** Results read in one turn of the event loop: some milliseconds. */
const SLICE = 200;

/** Everything else that waits goes on between two slices: there may be years of results to read. */
async function turn(): Promise<boolean> {
  await nextTurn();
  return true;
}

type Latest = Map<string, { type: TypeOutlook; lamp: LampOutlook }>;

class Kept implements BatteryOutlook {
  private readonly sightings: ReturnType<typeof createSightings>;
  private readonly circuits: ReadonlyMap<string, string>;
  /** The last result read; reads follow one another. */
  private entry = 0;
  private reading: Promise<void> = Promise.resolve();
  private latest: { entry: number; day: number; lamps: Latest } | undefined;

  constructor(
    private readonly site: Site,
    private readonly logbook: Pick<Logbook, 'after'>,
    listed: Listed,
  ) {
    this.sightings = createSightings(site, listed);
    this.circuits = new Map(site.circuits.map(({ id }) => [`${site.id}/${id}`, id]));
  }

  async types(now: number, by: number): Promise<TypeOutlook[]> {
    await this.keepUp();
    return outlookOf(this.site, this.sightings, now, by);
  }

  async sentence(luminaire: string, now: number): Promise<string> {
    await this.keepUp();
    const day = Math.floor(now / DAY_SEC);
    if (this.latest?.entry !== this.entry || this.latest.day !== day)
      this.latest = { entry: this.entry, day, lamps: this.calculate(now) };
    const found = this.latest.lamps.get(luminaire);
    return found ? lampSentence(this.site.timeZone, found.type, found.lamp, now) : '';
  }

  private calculate(now: number): Latest {
    const types = outlookOf(this.site, this.sightings, now, now);
    return new Map(types.flatMap((type) => type.lamps.map((lamp) => [lamp.luminaire.id, { type, lamp }])));
  }

  private keepUp(): Promise<void> {
    const read = () => this.readOn();
    this.reading = this.reading.then(read, read);
    return this.reading;
  }

  private readOn(): Promise<void> {
    return replay(
      this.logbook,
      this.entry,
      (entry) => {
        this.entry = entry.entry;
        const circuit = this.circuits.get(entry.address);
        const record = circuit === undefined ? undefined : readRecord(entry.body);
        if (circuit !== undefined && record) this.sightings.take(circuit, record, entry.at);
      },
      { kind: 'result', slice: SLICE, turn },
    );
  }
}

/** The outlook of a site; nothing is read before it is asked for. */
export function createBatteryOutlook(
  site: Site,
  logbook: Pick<Logbook, 'after'>,
  listed: Listed,
): BatteryOutlook {
  return new Kept(site, logbook, listed);
}
