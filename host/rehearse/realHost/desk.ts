// A real host at the desk of a campaign: a process with the real ingest and a log book in a file on a disk that fails.
// Time in the run stands still while it works. It is killed, loses its power or its log book, and is started again;
// each time it has ended, its log book is compared with what it had acknowledged.
import { intField, textField } from '../../../firmware/contract/fields';
import { type DownKind, readTopic, type TopicParts, type UpKind } from '../../../firmware/contract/topics';
import type { Desk } from '../../../simulator/campaign/desk';
import type { CampaignHost, Served } from '../../../simulator/campaign/host';
import type { Incident, OrderWish } from '../../../simulator/campaign/incidents';
import type { Misfortune, MisfortuneKind } from '../../../simulator/campaign/misfortunes';
import type { HostOutcome } from '../../../simulator/campaign/run';
import type { Span } from '../../../simulator/plant/spans';
import { nextUnit, type Random } from '../../../simulator/random';
import type { Desired } from '../../ingest/answers';
import { cutPower, type DiskFault, failedCalls, faultWords, onDisk } from '../disk/faultyDisk';
import { Account, type Contents, gapsIn } from './account';
import type { Books } from './books';
import { type End, Life } from './life';
import { CANNOT_START, type Heard } from './words';

const NEVER = Number.POSITIVE_INFINITY;
/** A host that cannot start is started again after this long, ms, then each time after so many times as long. */
const AGAIN_MS = 60_000;
const LONGER = 4;
const AGAIN_MAX_MS = 6 * 3_600_000;

/** What each misfortune does to the disk. */
const ON_DISK: { [kind in MisfortuneKind]?: DiskFault } = {
  killed: 'killed',
  'power cut': 'killed',
  'torn write': 'torn',
  'disk full': 'full',
  'writes refused': 'refused',
  'reads refused': 'unreadable',
  'syncs refused': 'unsynced',
};

export interface RealDeskOptions {
  books: Books;
  site: string;
  /** Script of the host's process, and the disk compiled. */
  program: string;
  disk: string;
  random: Random;
}

export class RealDesk implements Desk {
  readonly takesAhead = true;
  readonly absences: Span[] = [];
  readonly outcome: HostOutcome = {
    ...{ misfortunes: {}, starts: 0, gaveUp: 0, callsFailed: 0, sectorsLost: 0 },
    ...{ acknowledged: 0, newerThanBackup: 0, neverAgain: 0 },
  };
  lost = 0;
  private readonly account: Account;
  private life: Life | undefined;
  /** When it is started, simulated ms. */
  private startAt = 0;
  private failedStarts = 0;
  /** What the disk does, and until when, simulated ms. */
  private trouble: { incident: Incident; until: number } | undefined;
  /** Acknowledgements after which it is killed. */
  private answersLeft = NEVER;
  private heard: Heard[] = [];
  private desired: { [address: string]: Desired } = {};
  /** The last work that was begun. */
  private turn: Promise<void> = Promise.resolve();

  constructor(
    private readonly host: CampaignHost,
    private readonly o: RealDeskOptions,
  ) {
    this.account = new Account((address) => host.at(address).ledger);
    this.look();
  }

  /** Waits until it has answered everything. */
  async settled(): Promise<void> {
    for (let seen: Promise<void> | undefined; seen !== this.turn; ) {
      seen = this.turn;
      await seen;
    }
  }

  private inTurn(work: () => Promise<void>): void {
    this.turn = this.turn.then(work);
  }

  take(s: Served, kind: UpKind, topic: string, payload: string): void {
    if (this.heard.length === 0) this.inTurn(() => this.handOver());
    this.heard.push({
      topic,
      payload,
      utcMs: this.host.utcMs() + (this.host.fleet ? (this.host.clockOffMs(s) ?? 0) : 0),
    });
    if (kind === 'state') this.desired[s.circuit.spec.address] = this.host.wanted(s, payload);
    this.host.fleet?.pause();
  }

  private async handOver(): Promise<void> {
    const { heard, desired } = this;
    this.heard = [];
    await this.ask({ do: 'take', heard, desired });
  }

  order(s: Served, { do: what, arg }: OrderWish): void {
    const { address } = s.circuit.spec;
    const wish = { do: what, arg, who: 'campaign' };
    this.inTurn(() => this.ask({ do: 'order', address, wish, utcMs: this.host.utcMs() }));
  }

  /** Gives the host a job, if there is one. */
  private async ask(job: DistributiveOmit<Parameters<Life['ask']>[0], 'now'>): Promise<void> {
    const { life } = this;
    if (!life) return;
    if (!(await life.ask({ ...job, now: this.host.now() }))) await this.ended(await life.over);
  }

  look(): number {
    const now = this.host.now();
    if (this.trouble && this.trouble.until <= now) this.passOver(this.trouble);
    if (this.startAt <= now) {
      this.startAt = NEVER;
      this.inTurn(() => this.start());
    }
    const next = Math.min(this.startAt, this.trouble?.until ?? NEVER);
    return next > now ? next : NEVER;
  }

  /** A misfortune that has struck is over; any other waits on. */
  private passOver(trouble: { incident: Incident; until: number }): void {
    const { kind, offMs } = trouble.incident.misfortune as Misfortune;
    const hasStruck = failedCalls(this.o.books.undo) > this.outcome.callsFailed;
    if (hasStruck || kind === 'reads refused') this.inTurn(() => this.mend());
    else trouble.until = this.host.now() + Math.max(offMs, AGAIN_MAX_MS);
  }

  private async mend(): Promise<void> {
    this.forget();
    await this.ask({ do: 'disk', words: faultWords(this.fault()) });
  }

  /** The misfortune is over; it counts if it struck. */
  private forget(): void {
    const misfortune = this.trouble?.incident.misfortune;
    const failed = failedCalls(this.o.books.undo);
    if (misfortune && failed > this.outcome.callsFailed) this.count(misfortune.kind);
    this.outcome.callsFailed = failed;
    this.trouble = undefined;
    this.answersLeft = NEVER;
  }

  private count(kind: MisfortuneKind): void {
    this.outcome.misfortunes[kind] = (this.outcome.misfortunes[kind] ?? 0) + 1;
  }

  private fault(): { fault: DiskFault; after: number; calls: number } {
    const misfortune = this.trouble?.incident.misfortune;
    const fault = misfortune && ON_DISK[misfortune.kind];
    return fault ? { ...misfortune, fault } : { fault: 'none', after: 0, calls: 0 };
  }

  private async start(): Promise<void> {
    const { books, site, program, disk } = this.o;
    this.outcome.starts++;
    const life = new Life({
      program,
      place: { db: books.db, site },
      env: onDisk({ ...this.fault(), undo: books.undo }, disk),
      onMessage: (topic, payload) => this.send(topic, payload),
      onProblem: () => {},
    });
    this.life = life;
    if (!(await life.up())) {
      await this.ended(await life.over);
      return;
    }
    this.failedStarts = 0;
    const absence = this.absences.at(-1);
    if (absence) absence.to = this.host.now();
  }

  /** A message of the host to a controller. */
  private send(topic: string, payload: string): void {
    const { address, kind } = readTopic(topic) as TopicParts;
    if (kind === 'ack') {
      const journal = textField(payload, 'journal');
      const broken = this.account.acknowledged(address, journal, intField(payload, 'through', 0));
      if (broken) this.host.breach('', broken);
    }
    this.host.pass(this.host.at(address), kind as DownKind, payload);
    if (kind === 'ack' && this.answersLeft-- <= 0) void this.life?.kill();
  }

  suffer(incident: Incident): void {
    const misfortune = incident.misfortune as Misfortune;
    const { kind, after, offMs } = misfortune;
    if (kind === 'backup') this.inTurn(() => this.backUp());
    else if (kind === 'restored') this.inTurn(() => this.restore(misfortune));
    else
      this.inTurn(async () => {
        this.forget();
        this.answersLeft = kind === 'killed answering' ? after : NEVER;
        this.trouble = { incident, until: isDeadly(kind) ? NEVER : this.host.now() + offMs };
        // What is in memory is not read again, so a disk that cannot be read matters to a host that starts.
        if (kind === 'reads refused') await this.end(AGAIN_MS);
        else await this.ask({ do: 'disk', words: faultWords(this.fault(), incident.number) });
      });
  }

  /** Ends the process at once. @param offMs until it is started again */
  private async end(offMs: number): Promise<void> {
    this.startAt = this.host.now() + offMs;
    if (!this.life) return;
    await this.life.kill();
    this.gone();
  }

  private gone(): void {
    this.life = undefined;
    if (this.absences.at(-1)?.to !== NEVER) this.absences.push({ from: this.host.now(), to: NEVER });
  }

  /** The process has come to an end: killed, or because it could not open its log book. */
  private async ended({ code, signal, said }: End): Promise<void> {
    const { books, random } = this.o;
    const now = this.host.now();
    const misfortune = this.trouble?.incident.misfortune;
    if (signal === 'SIGKILL') {
      if (misfortune?.kind === 'power cut' || misfortune?.kind === 'torn write')
        this.outcome.sectorsLost += cutPower(books.undo, () => nextUnit(random));
      if (misfortune?.kind === 'killed answering') this.count(misfortune.kind);
      this.forget();
      this.startAt = now + (misfortune?.offMs ?? AGAIN_MS);
    } else if (code === CANNOT_START) {
      this.outcome.gaveUp++;
      this.startAt = now + Math.min(AGAIN_MAX_MS, AGAIN_MS * LONGER ** this.failedStarts++);
    } else this.host.breach('', `I4 the host came to an end by itself (${signal ?? code}): ${said}`);
    this.gone();
    this.check();
  }

  /** Compares the log book with what was acknowledged. @returns what is in it */
  private check(): Contents | undefined {
    try {
      const contents = this.o.books.contents();
      const { wrong, lost } = this.account.check(contents);
      this.lost += lost;
      for (const sentence of wrong) this.host.breach('', sentence);
      return contents;
    } catch (error) {
      this.host.breach('', `I4 the log book cannot be read any more: ${(error as Error).message}`);
      return undefined;
    }
  }

  private async backUp(): Promise<void> {
    if (!this.o.books.isThere()) return;
    const { code, said } = await this.o.books.backup();
    if (code === 0) this.count('backup');
    else this.host.breach('', `I4 no backup could be made: ${said}`);
  }

  private async restore({ offMs }: Misfortune): Promise<void> {
    this.forget();
    await this.end(offMs);
    const told = await this.o.books.restore();
    if (!told) return;
    if (told.code !== 0) return this.host.breach('', `I4 the backup could not be restored: ${told.said}`);
    this.count('restored');
    this.account.restored(this.o.books.contents());
  }

  /**
   * Ends the host, in good order or not, and has the log book verified.
   * @param written by controller and journal, the newest record that must have been acknowledged by now
   * @param kept the same, the number before the oldest record that the controller keeps; empty if the run was cut short
   */
  async finish(written: ReadonlyMap<string, number>, kept: ReadonlyMap<string, number>): Promise<void> {
    await this.settled();
    const { life } = this;
    this.forget();
    if (life && nextUnit(this.o.random) < 0.5) await life.ask({ do: 'close', now: this.host.now() });
    await life?.kill();
    this.life = undefined;
    this.outcome.acknowledged = this.account.acknowledgedRecords();
    this.outcome.newerThanBackup = this.account.newerThanBackup();
    const contents = this.check();
    if (!contents) return;
    const { wrong, neverAgain } = this.account.settle(contents, written, kept);
    this.outcome.neverAgain = neverAgain;
    for (const sentence of wrong) this.host.breach('', sentence);
    await this.verify(gapsIn(contents.held));
  }

  /** `logbook verify` must name what an older backup lacks, and find nothing else. */
  private async verify(gaps: string[]): Promise<void> {
    const { code, out, said } = await this.o.books.verify();
    const found = code < 0 || out === '' ? undefined : JSON.parse(out);
    if (!found) return this.host.breach('', `I4 verify gave no report (${code}): ${said}`);
    const sentences = (found.faults as { why: string }[]).map(({ why }) => why);
    const unnamed = gaps.filter((gap) => !sentences.some((why) => why.startsWith(gap)));
    const others = sentences.filter((why) => !gaps.some((gap) => why.startsWith(gap)));
    if (unnamed.length > 0) this.host.breach('', `I4 verify does not say: ${unnamed[0]}`);
    if (others.length > 0) this.host.breach('', `I4 verify says: ${others[0]}`);
    if (code !== (gaps.length > 0 ? 1 : 0) || found.unchecked.length > 0 || !found.signatures)
      this.host.breach('', `I4 verify ended with ${code}: ${found.unchecked.join(' ')}`);
  }

  /** Ends the host, whatever it does. */
  async stop(): Promise<void> {
    await this.life?.kill();
  }
}

type DistributiveOmit<T, K extends PropertyKey> = T extends unknown ? Omit<T, K> : never;

function isDeadly(kind: MisfortuneKind): boolean {
  return kind === 'killed' || kind === 'power cut' || kind === 'torn write';
}
