// The page of a running host: opened as soon as there is a certificate for it, and kept up with its certificate, with the
// machine's addresses and with what is on the disk. What is wrong with it is the page's trouble only: broker, ingest and
// alarms go on.
import { guarded } from '../guarded';
import { urlOf } from '../server/listen';
import type { PageServer } from '../server/server';
import { hasEnded, isVouchedFor, type Tls } from '../tls/kept';
import { News } from './news';
import { isSecure, makeTls, type PageDoor, type PageWish } from './pageDoor';
import { tell } from './tell';

export interface PageKeeperOptions extends PageWish {
  /** TCP port; 0 for any free one. */
  port: number;
  door: PageDoor;
  /** Serves the page. @throws Error with one sentence */
  open(door: PageDoor): Promise<PageServer>;
  /** Civil time, UTC ms. */
  nowMs(): number;
}

/** Time between two looks, ms. */
const LOOK_MS = 60_000;

/** What the people at the host are told of the page; '' for what does not apply. */
export interface PageWords {
  /** Its best address. */
  place: string;
  /** At which addresses it is besides, in lines. */
  also: string;
  /** How devices come to trust it. */
  trust: string;
}

/** In pairs, as most devices show it, and in two lines. */
function trustWords(url: string, tls: Tls | undefined): string {
  if (!tls?.authority) return '';
  const pairs = tls.authority.fingerprint.split(':');
  const lines = [pairs.slice(0, 16), pairs.slice(16)].map((line) => `  ${line.join(':')}\n`);
  return `On each phone or computer open ${url}/trust first. Compare the SHA-256 that the device itself shows of the downloaded certificate with this one:\n${lines.join('')}`;
}

/** The lines of what people do one after the other, numbered where there are several. */
export function stepsOf(steps: readonly string[]): string {
  const told = steps.filter((step) => step !== '');
  return told.map((step, i) => (told.length > 1 ? `${i + 1}. ${step}` : step)).join('');
}

export class PageKeeper {
  private server: PageServer | undefined;
  private timer: NodeJS.Timeout | undefined;
  private looking: Promise<void> | undefined;
  private isOver = false;
  private readonly news = new News(tell);
  private present: Tls | undefined;

  constructor(private readonly o: PageKeeperOptions) {
    this.present = o.door.tls;
  }

  /** @throws Error with one sentence if the port is taken */
  async start(): Promise<void> {
    const { door, open } = this.o;
    if (this.present || !isSecure(this.o)) this.server = await open(door);
    this.news.say(door.trouble === '' ? (this.present?.cautions ?? []) : [this.troubleWords(door.trouble)]);
    if (!isSecure(this.o)) return;
    const look = guarded(() => void this.look(), tell);
    this.timer = setInterval(look, LOOK_MS);
  }

  /** Address of the page for people, also where it is not served yet. */
  url(): string {
    const { door } = this.o;
    return this.urlAt(door.names.present()[0] ?? door.host);
  }

  private urlAt(name: string): string {
    const { port } = this.o;
    const secure = isSecure(this.o) ? { cert: '', key: '' } : undefined;
    return urlOf({ host: name, port: this.server?.port ?? port, ...(secure && { secure }) });
  }

  /** What it is served with. */
  tls(): Tls | undefined {
    return this.present;
  }

  /** Where it is, for the people at the host. */
  words(): PageWords {
    if (!this.server) return { place: 'not served yet', also: '', trust: '' };
    return { place: this.url(), also: this.alsoWords(), trust: trustWords(this.url(), this.present) };
  }

  private alsoWords(): string {
    const { present } = this;
    const urls = (names: string[]): string => names.map((name) => this.urlAt(name)).join(', ');
    const others = this.o.door.names.present().slice(1);
    const covered = others.filter((name) => !present?.authority || isVouchedFor(present, name));
    const strange = others.filter((name) => !covered.includes(name));
    return [
      covered.length > 0 ? `The page is also at ${urls(covered)}.\n` : '',
      strange.length > 0
        ? `Devices warn at ${urls(strange)}, for which the authority may not vouch; use another address there.\n`
        : '',
    ].join('');
  }

  /** Looks whether certificate and addresses are still right, and opens the page if it could not be opened before. */
  look(): Promise<void> {
    this.looking ??= this.lookOnce().finally(() => {
      this.looking = undefined;
    });
    return this.looking;
  }

  private async lookOnce(): Promise<void> {
    const { door, nowMs } = this.o;
    const before = this.url();
    try {
      const next = await makeTls(this.o, door.names.askedAgain(), nowMs());
      if (this.isOver) return;
      // By a wrong clock both have ended: then whoever changed the files is right.
      const isWorse =
        this.server && this.present && !hasEnded(this.present, nowMs()) && hasEnded(next, nowMs());
      if (isWorse) throw new Error(next.cautions.join(' '));
      await this.use(next);
      this.news.say(next.cautions);
      if (this.url() !== before) tell(`The page is at ${this.url()} now.`);
    } catch (error) {
      this.news.say([this.troubleWords((error as Error).message)]);
    }
  }

  private async use(next: Tls): Promise<void> {
    const { present } = this;
    const isOpen = this.server !== undefined;
    if (isOpen && next.cert === present?.cert) return;
    if (this.server) this.server.renew(next);
    else this.server = await this.o.open({ ...this.o.door, tls: next });
    this.present = next;
    if (!isOpen) tell(`The page is served now: ${this.url()}.`);
    if (!isOpen || next.authority?.fingerprint !== present?.authority?.fingerprint)
      process.stdout.write(trustWords(this.url(), next));
  }

  private troubleWords(why: string): string {
    return this.server
      ? `${why} Until then the page goes on with the certificate it has.`
      : `The page is not served: ${why} Broker and log book go on, and the page follows once that is mended.`;
  }

  async close(): Promise<void> {
    this.isOver = true;
    clearInterval(this.timer);
    await this.looking;
    await this.server?.close();
  }
}
