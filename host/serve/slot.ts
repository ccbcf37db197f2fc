// One of several buildings of a host: started, started again with a changed site, and tried again while it cannot be served.
// What is wrong with it is its own trouble only.
import { statSync } from 'node:fs';
import { basename } from 'node:path';
import type { BuildingLine } from '../api/buildings';
import { brokerFor } from '../broker/address';
import type { Broker } from '../broker/broker';
import { nowSec } from '../clock';
import type { AlertSettings } from '../integrators/alerts/settings';
import type { Metrics } from '../integrators/metrics';
import { lockLogbook } from '../logbook/engines/open';
import { lineOf, unservedLine } from '../server/overview';
import { formatMistake, loadSite } from '../site/load';
import type { Site } from '../site/model';
import { type Building, startBuilding, startHeads } from './building';
import type { SharedDoors } from './doors';
import { type Ending, newEnding } from './ending';
import { type DeskBook, madeIn } from './frontDesk';
import { type OpenBuilding, openBuilding } from './openBuilding';
import { type BrokerWish, brokerSite } from './ownBroker';
import { Retries } from './retries';
import { LOOK_MS, type ReadySite } from './takingOver';
import { tell } from './tell';
import type { Watched } from './unserved';

/** What all buildings of a host share. */
export interface Shared {
  /** Its own broker; undefined with an external one. */
  broker: Broker | undefined;
  brokerUrl: string;
  wish: BrokerWish;
  metrics: Metrics | undefined;
  alerts: AlertSettings | undefined;
  /** First level of the topics of discovery messages. */
  discovery: string | undefined;
  doors: SharedDoors;
  /** Ids of the accounts that log books say were made: gets those of each before it is served. */
  made: Set<string>;
  /** Log book of a site. */
  bookOf(site: string): string;
  /** Address of the page. */
  url(): string;
  /** Does one thing after the other, for all buildings. */
  inTurn(work: () => Promise<void>): Promise<void>;
}

interface Running {
  lock: Awaited<ReturnType<typeof lockLogbook>>;
  opened: OpenBuilding;
  building: Building;
  ending: Ending;
}

/** Between two countings for the overview, ms: a large building takes a tenth of a second. */
const LINE_MS = 5000;

/** Mistakes of a site file that are told; `check` lists them all. */
const MISTAKES_MAX = 3;

/** @throws Error with the first mistakes in the file, a line each */
function readSite(file: string): Site {
  const loaded = loadSite(file);
  if ('site' in loaded) return loaded.site;
  const lines = loaded.mistakes.slice(0, MISTAKES_MAX).map(formatMistake);
  const more = loaded.mistakes.length - lines.length;
  throw new Error(
    [...lines, ...(more > 0 ? [`${file}: and ${more} more; "check" lists them all.`] : [])].join('\n'),
  );
}

export class Slot {
  private site: Site | undefined;
  private running: Running | undefined;
  /** Why it is not served; '' if it is. */
  private why = 'It is being started.';
  private told = '';
  private line: BuildingLine | undefined;
  private lineMs = 0;
  private isOver = false;
  private readonly retries: Retries;
  /** What the numbers call it. */
  private label = '';
  private timer: NodeJS.Timeout | undefined;

  constructor(
    readonly file: string,
    /** Of its site file among all, from 0. */
    private readonly index: number,
    private readonly shared: Shared,
    /** The building of a site is another file's. */
    private readonly isTaken: (slot: Slot, site: string) => boolean,
    /** Between the first tries to start it, ms. */
    againMs: number,
  ) {
    this.retries = new Retries(againMs);
  }

  /** Reads the site file, without which it has no id. */
  read(): void {
    try {
      this.site = readSite(this.file);
    } catch (error) {
      this.why = (error as Error).message;
    }
    this.count();
  }

  /** Has the numbers say whether it is served. */
  private count(): void {
    const label = this.id() || basename(this.file);
    const { metrics } = this.shared;
    if (label !== this.label && this.label !== '') metrics?.served(this.label, undefined);
    this.label = label;
    metrics?.served(label, this.running !== undefined);
  }

  /** Id of its site; '' while its file could never be read. */
  id(): string {
    return this.site?.id ?? '';
  }

  /** Whether to try again to start it. */
  isDue(): boolean {
    return !this.running && !this.isOver && this.retries.isDue(performance.now(), this.mark());
  }

  /** Other text in its file has another mark; '' while it cannot be looked at, also for other reasons than that it is gone. */
  private mark(): string {
    try {
      const { ino, size, mtimeMs } = statSync(this.file);
      return `${ino} ${size} ${mtimeMs}`;
    } catch {
      return '';
    }
  }

  present(): Running | undefined {
    return this.running;
  }

  trouble(): string {
    return this.running ? '' : this.why;
  }

  /** As it is watched: whether it is served. */
  watched(): Watched {
    const { id, name, timeZone } = this.site ?? { id: '', name: basename(this.file), timeZone: 'UTC' };
    return { key: this.file, site: { id, name, timeZone }, trouble: this.trouble() };
  }

  /** Its log book for changes of accounts. */
  book(): DeskBook | undefined {
    if (!this.running) return undefined;
    const { opened, building } = this.running;
    const { logbook, keys, o } = opened;
    return { site: o.site, logbook, keys, now: building.parts.now, take: building.follower.take };
  }

  /** Starts it, unless it runs. It never rejects. */
  async start(next?: ReadySite): Promise<void> {
    if (this.running || this.isOver) return;
    const ending = newEnding();
    const mark = this.mark();
    this.retries.begun();
    try {
      const site = next?.site ?? readSite(this.file);
      if (this.isTaken(this, site.id))
        throw new Error(`${this.file} has the id "${site.id}" of another building; give it another.`);
      this.site = site;
      this.running = await this.bringUp(site, next, ending);
      [this.why, this.told] = ['', ''];
      this.announce();
    } catch (error) {
      await ending.run();
      this.why = (error as Error).message;
      this.retries.failed(performance.now(), mark);
      if (this.why !== this.told) tell(`${this.name()} is not served, and the others go on: ${this.why}`);
      this.told = this.why;
    }
    this.line = undefined;
    this.count();
  }

  private async bringUp(site: Site, next: ReadySite | undefined, ending: Ending): Promise<Running> {
    const { broker, brokerUrl, wish, metrics, alerts, discovery, doors, bookOf } = this.shared;
    const db = bookOf(site.id);
    const lock = await lockLogbook(db);
    ending.add(() => lock.release());
    const takeOver = (changed: ReadySite): void => void this.shared.inTurn(() => this.restart(changed));
    const { hindrance: _asked, ...ready } = next ?? {};
    const o = {
      ...ready,
      site,
      siteFile: this.file,
      db,
      takeOver,
      ...(alerts && { alerts }),
      ...(discovery !== undefined && { discovery }),
    };
    this.retries.opening();
    const opened = await openBuilding(o, ending);
    for (const id of await madeIn(opened)) this.shared.made.add(id);
    const keeper = await startHeads(opened, ending);
    if (broker) ending.add(broker.admit(await brokerSite(wish, opened)));
    const { simulated } = opened.house.view.building();
    const numbers = metrics?.of({ site, simulated, now: () => nowSec(opened.clock) });
    if (numbers) ending.add(() => numbers.leave());
    const connections = {
      ...{ brokerUrl: brokerFor(site.id, brokerUrl), isOwn: broker !== undefined },
      listeners: [...(numbers ? [numbers] : []), ...(await doors.of(this.index, opened, ending))],
    };
    const building = await startBuilding(opened, connections, keeper, ending);
    ending.add(() => opened.hub.close());
    return { lock, opened, building, ending };
  }

  /** It for whoever names it by a number. */
  title(): string {
    return this.site ? `${this.site.id} (${this.site.name})` : basename(this.file);
  }

  /** Address of its page; '' before there is a page. */
  url(): string {
    const url = this.shared.url();
    return url === '' ? '' : `${url}/b/${this.id()}/`;
  }

  /** Says beside the log book who has it, once there is a page. */
  announce(): void {
    if (this.url() !== '') this.running?.lock.tell(this.url());
  }

  /** With a changed site. Its controllers are autonomous and keep their plan meanwhile. */
  private async restart(next: ReadySite): Promise<void> {
    if (!this.running || this.isOver) return;
    // A test or a fault may have begun while other buildings had their turns.
    if (next.hindrance && next.hindrance() !== '') {
      this.timer = setTimeout(() => void this.shared.inTurn(() => this.restart(next)), LOOK_MS);
      return;
    }
    await this.leave('It works with the changed site in a moment.');
    await this.start(next);
  }

  private async leave(why: string): Promise<void> {
    const { running } = this;
    [this.running, this.why, this.line] = [undefined, why, undefined];
    this.count();
    await running?.ending.run();
  }

  async stop(): Promise<void> {
    this.isOver = true;
    clearTimeout(this.timer);
    await this.leave('The host stops.');
  }

  private name(): string {
    return this.site ? `${this.site.name} (${this.file})` : this.file;
  }

  /** It in one line, as it was a few seconds ago at most. */
  overview(): BuildingLine {
    if (!this.running) return unservedLine(this.id(), this.site?.name ?? basename(this.file), this.why);
    const now = performance.now();
    if (this.line && now - this.lineMs < LINE_MS) return this.line;
    const { opened, building } = this.running;
    const alarms = building.parts.checkpoint()?.alarms ?? [];
    const { house, o, clock } = opened;
    this.line = lineOf({ site: o.site, house, alarms, now: nowSec(clock) });
    this.lineMs = now;
    return this.line;
  }
}
