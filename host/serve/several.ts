// A host for several buildings: one broker or connection to one, one page, one file of accounts; a log book and a secret for
// each building. A building that cannot be served is shown with the reason, and the others go on.
import { existsSync, mkdirSync } from 'node:fs';
import { resolve } from 'node:path';
import { type Account, booksFor, type Change } from '../accounts/account';
import { accountsFileOf } from '../accounts/store';
import { brokerFor, withoutPassword } from '../broker/address';
import { nowSec, systemClock } from '../clock';
import type { AlertSettings } from '../integrators/alerts/settings';
import { startMetrics } from '../integrators/metrics';
import { type ServedBuildings, startSeveral } from '../server/several';
import { tlsFileOf } from '../tls/kept';
import { type DoorOptions, openSharedDoors } from './doors';
import { type Ending, newEnding } from './ending';
import { expectPorts } from './freePorts';
import type { DeskBooks } from './frontDesk';
import { openPage } from './openPage';
import { type BrokerWish, openOwnBroker } from './ownBroker';
import { expectSafePage, pageDoor } from './pageDoor';
import type { PageKeeper } from './pageKeeper';
import { bookIn, sharedIn } from './places';
import { expectDistinct } from './siteFiles';
import { type Shared, Slot } from './slot';
import { takeOverAccounts } from './takenAccounts';
import { outliveLostLines, tell } from './tell';
import { watchUnserved } from './unserved';

export interface SeveralOptions extends BrokerWish, DoorOptions {
  /** Site files. */
  files: readonly string[];
  /** Folder of log books, secrets and accounts; it is made if it is not there. */
  folder: string;
  /** As those of a host for one building. */
  broker?: string;
  port: number;
  host?: string;
  names?: readonly string[];
  tlsCert?: string;
  tlsKey?: string;
  addresses?: () => string[];
  alerts?: AlertSettings;
  discovery?: string;
  metrics?: number;
  quiet?: boolean;
  /** Time between tries to start what could not be, ms. */
  againMs?: number;
}

export interface ServedSeveral {
  /** Address of the overview. */
  url: string;
  brokerUrl: string;
  /** Every building, in the order of the files. */
  slots: readonly Slot[];
  /** Resolves once each was tried; rejects with all reasons if none can be served, and all is stopped then. */
  readonly started: Promise<void>;
  stop(): Promise<void>;
}

const AGAIN_MS = 60_000;

/** One thing after the other, whatever becomes of each. */
function newTurns(): Shared['inTurn'] {
  let last: Promise<void> = Promise.resolve();
  return (work) => {
    last = last.then(work).catch((error: Error) => tell(error.message));
    return last;
  };
}

/** Stands for a building whose site file could never be read. */
const UNREAD = '?';

/** Log books that a change is owed to and that nobody can name yet. */
function unreadFor(change: Change, account: Account | undefined, known: readonly string[]): boolean {
  if (!('token' in change) && change.buildings?.some((id) => !known.includes(id))) return true;
  return booksFor(change, account, [...known, UNREAD]).includes(UNREAD);
}

/** A change waits for the log book of a building that is not open. */
function booksOf(slots: readonly Slot[]): DeskBooks {
  const buildings = (): string[] => slots.map((slot) => slot.id()).filter((id) => id !== '');
  return {
    buildings,
    open: () => slots.flatMap((slot) => slot.book() ?? []),
    of(change, account) {
      const own = booksFor(change, account, buildings());
      const asked = slots.filter((slot) => own.includes(slot.id()));
      const away = asked.filter((slot) => !slot.present()).map((slot) => slot.id());
      const unread = slots.filter((slot) => slot.id() === '').map((slot) => slot.file);
      if (unread.length > 0 && unreadFor(change, account, buildings())) away.push(...unread);
      const waits = away.length === 0 ? '' : `The log book of ${away.join(', ')} is not open.`;
      return { books: asked.flatMap((slot) => slot.book() ?? []), waits };
    },
  };
}

function buildingsOf(slots: readonly Slot[]): ServedBuildings {
  const slotOf = (id: string): Slot | undefined => slots.find((slot) => id !== '' && slot.id() === id);
  return {
    lines: () => slots.map((slot) => slot.overview()),
    parts: (id) => slotOf(id)?.present()?.building.parts,
    has: (id) => slotOf(id) !== undefined,
  };
}

/** Opens the page. */
async function startPage(
  o: SeveralOptions,
  slots: readonly Slot[],
  { metrics, made }: Shared,
  ending: Ending,
): Promise<Pick<PageKeeper, 'url'> & { deliver(): void }> {
  const base = sharedIn(o.folder);
  const wish = { ...o, site: { id: 'buildings' }, db: base };
  const isFirst = !existsSync(tlsFileOf(base));
  const front = await pageDoor(wish, systemClock.nowMs(), isFirst);
  takeOverAccounts(o.folder);
  const buildings = buildingsOf(slots);
  const { kept, desk, words, steps } = await openPage(
    {
      ...{ wish, front, metrics },
      desk: {
        ...{ file: accountsFileOf(base), mark: resolve(base), books: booksOf(slots), madeBefore: made },
        isTesting: () => slots.some((slot) => slot.present()?.building.isTesting()),
      },
      serve: (frame) => startSeveral({ ...frame, buildings }),
    },
    ending,
  );
  if (!o.quiet) process.stdout.write(`All buildings: page ${words.place}\n${steps}`);
  return { url: () => kept.url(), deliver: () => void desk.deliver() };
}

/** Starts every building, one after the other. @throws Error with all reasons if none can be served */
async function startAll(
  slots: readonly Slot[],
  { inTurn, brokerUrl }: Shared,
  isQuiet: boolean,
): Promise<void> {
  for (const slot of slots)
    await inTurn(async () => {
      await slot.start();
      if (!isQuiet) tellPlace(slot, brokerUrl);
    });
  if (slots.every((slot) => !slot.present()))
    throw new Error(`No building can be served.\n${slots.map((slot) => slot.trouble()).join('\n')}`);
}

/** Says which unit of Modbus is which building. */
function tellUnits({ modbus, quiet }: SeveralOptions, slots: readonly Slot[]): void {
  if (modbus === undefined || quiet) return;
  const lines = slots.map((slot, i) => `  unit ${i + 1}: ${slot.title()}\n`);
  process.stdout.write(`Registers by Modbus TCP on port ${modbus.port}:\n${lines.join('')}`);
}

/** Says where a building is. */
function tellPlace(slot: Slot, brokerUrl: string): void {
  const { opened } = slot.present() ?? {};
  if (!opened) return;
  const { site, db } = opened.o;
  const broker = withoutPassword(brokerFor(site.id, brokerUrl));
  process.stdout.write(`${site.name} (${slot.file}): page ${slot.url()}, MQTT ${broker}, log book ${db}\n`);
}

async function share(o: SeveralOptions, ending: Ending, url: () => string): Promise<Shared> {
  const broker = o.broker === undefined ? await openOwnBroker(o) : undefined;
  if (broker) ending.add(() => broker.close());
  const metrics = o.metrics === undefined ? undefined : await startMetrics(o.metrics);
  if (metrics) ending.add(() => metrics.close());
  return {
    ...{ broker, brokerUrl: broker?.url ?? o.broker ?? '', wish: o, metrics, alerts: o.alerts, url },
    discovery: o.discovery,
    doors: await openSharedDoors(o, o.files.length, ending),
    ...{ made: new Set<string>(), bookOf: (site) => bookIn(o.folder, site), inTurn: newTurns() },
  };
}

/** Starts one building after the other, and tries those again that could not be. @returns as `ServedSeveral.started` */
function startInTurn(
  o: SeveralOptions,
  { shared, slots, ending }: { shared: Shared; slots: readonly Slot[]; ending: Ending },
): Promise<void> {
  let isOver = false;
  const again = (): void => {
    for (const slot of slots)
      if (slot.isDue()) void shared.inTurn(async () => (slot.isDue() ? slot.start() : undefined));
  };
  if (o.alerts)
    ending.add(
      watchUnserved({
        ...{ settings: o.alerts, now: () => nowSec(systemClock), onProblem: tell },
        buildings: () => slots.map((slot) => slot.watched()),
      }),
    );
  const timer = setInterval(again, o.againMs ?? AGAIN_MS);
  ending.add(() => {
    isOver = true;
    clearInterval(timer);
  });
  return startAll(slots, shared, o.quiet === true).catch(async (error: Error) => {
    if (isOver) return;
    await ending.run();
    throw error;
  });
}

function newSlots(o: SeveralOptions, shared: Shared): Slot[] {
  const slots: Slot[] = [];
  const isTaken = (slot: Slot, site: string) => slots.some((one) => one !== slot && one.id() === site);
  for (const [index, file] of o.files.entries())
    slots.push(new Slot(file, index, shared, isTaken, o.againMs ?? AGAIN_MS));
  for (const slot of slots) slot.read();
  expectDistinct(slots.map((slot) => ({ id: slot.id(), file: slot.file })));
  return slots;
}

/**
 * Starts the host of several buildings: its page is open, and one building after the other is being started. Whoever has to
 * restore a supply waits for no building but his.
 * @throws Error with one sentence if a port is taken or two buildings have one id
 */
export async function serveSeveral(o: SeveralOptions): Promise<ServedSeveral> {
  outliveLostLines();
  await expectSafePage({ ...o, site: { id: '' }, db: sharedIn(o.folder) });
  mkdirSync(o.folder, { recursive: true, mode: 0o700 });
  const ending = newEnding();
  try {
    await expectPorts(o);
    let url = (): string => '';
    const shared = await share(o, ending, () => url());
    const slots = newSlots(o, shared);
    ending.add(async () => {
      await shared.inTurn(async () => {
        for (const slot of slots) await slot.stop();
      });
    });
    tellUnits(o, slots);
    const page = await startPage(o, slots, shared, ending);
    url = page.url;
    const started = startInTurn(o, { shared, slots, ending }).then(page.deliver);
    // Whoever waits for it hears of it.
    started.catch(() => {});
    return { url: url(), brokerUrl: shared.brokerUrl, slots, started, stop: () => ending.run() };
  } catch (error) {
    await ending.run();
    throw error;
  }
}
