// The stage of a scenario: the real controller with its journal on a flash, and a board whose senses and
// lamps do what the script says. Time moves in turns of the board's loop; turns in which nothing is due are
// left out.

import { Ending, Phase, SelfTest } from '../../firmware/contract/codes';
import { Limit } from '../../firmware/contract/limits';
import { signingKey, signObject } from '../../firmware/contract/signature';
import type { DownKind } from '../../firmware/contract/topics';
import { type Controller, coreTurn, coreWakeAt, newController } from '../../firmware/controller';
import { brokenClaims } from '../../firmware/core/claims';
import { Read } from '../../firmware/core/inputs';
import { hasNews } from '../../firmware/core/senses';
import { acknowledge, nextToSend, sentRecord } from '../../firmware/journal/journal';
import { PLAN_FILE, receive, SETTINGS_FILE } from '../../firmware/link/inbox';
import type { BoardPort } from '../../firmware/ports';
import { phaseWord } from '../../host/words/codes';
import { sha256 } from '../../simulator/digest';
import { SimulatedFlash } from '../../simulator/flash';
import { DETECTOR_MS } from '../../simulator/plant/relay';
import type { World as BenchWorld } from '../firmware/core/bench';
import { type Given, START } from './given';
import { instantText } from './script';
import { reasonName, recordLines } from './words';

const ADDRESS = 'site/c1';
const SECRET = 'scenario secret';
const KEY = signingKey(SECRET, sha256);
/** A lamp that starts normally does so within this, ms. */
const STARTS_MS = 400;

export interface Lamp {
  battery: number;
  mains: number;
  startsMs: number;
  lastsMs: number;
  /** What the sensor shows whatever the lamp does; undefined: the true current. */
  sensor: number | undefined;
}

/** What surrounds the controller, its charging current included. */
export interface World extends BenchWorld {
  charge: number;
}

export class Stage {
  /** ms since the first day began. */
  now = 0;
  readonly world: World = {
    mains: 1,
    key: 0,
    stop: 0,
    occupied: 0,
    contact: 'follows',
    aux: undefined,
    charge: 0,
  };
  readonly lamps: Lamp[];
  readonly flash = new SimulatedFlash();
  /** Lines of the log since the last event. */
  lines: string[] = [];
  isClockSet: boolean;
  isLogBookThere: boolean;
  private c!: Controller;
  private bootAt = 0;
  private wish = { open: 0, until: 0, ending: Ending.All };
  /** When the coil was last released. */
  private releasedAt = 0;
  private darkAt = -1;
  private counter = 0;
  private intents = 0;
  private results = 0;
  private shownSeq = 0;
  private fault = '';
  private shown = { phase: '', waiting: 'none', drive: 0, red: 0 };

  constructor(private readonly given: Given) {
    this.isClockSet = given.isClockSet;
    this.isLogBookThere = given.isLogBookThere;
    this.lamps = given.luminaires.map((l) => ({
      ...{ battery: l.batteryMilliamps, mains: l.mainsMilliamps, startsMs: STARTS_MS },
      ...{ lastsMs: Number.POSITIVE_INFINITY, sensor: undefined },
    }));
    const save = (name: string, kind: DownKind, message: object | undefined): void => {
      if (message) this.flash.save(name, signObject(KEY, kind, ADDRESS, message));
    };
    save(SETTINGS_FILE, 'settings', given.settings);
    save(PLAN_FILE, 'plan', given.plan);
    this.boot();
  }

  private get uptime(): number {
    return this.now - this.bootAt;
  }

  private isOpen(): number {
    const { contact } = this.world;
    if (contact === 'open' || contact === 'closed') return contact === 'open' ? 1 : 0;
    const { open, until, ending } = this.wish;
    if (open || ending === Ending.All) return open && this.uptime < until ? 1 : 0;
    const isHeld = contact === 'held by a guard' ? this.uptime < until : this.isLingering(ending);
    return isHeld ? 1 : 0;
  }

  /** Without `enable` the pulse detector releases the coil. */
  private isLingering(ending: Ending): boolean {
    return ending !== Ending.Enable && this.now - this.releasedAt < DETECTOR_MS;
  }

  private follow(open: number, until: number, ending: Ending): void {
    if (this.wish.open && !open) this.releasedAt = this.now;
    this.wish = { open, until, ending };
  }

  private reading(lamp: Lamp): number {
    if (lamp.sensor !== undefined) return lamp.sensor;
    if (this.darkAt < 0) return lamp.mains;
    const ms = this.now - this.darkAt;
    return ms >= lamp.startsMs && ms < lamp.lastsMs ? lamp.battery : 0;
  }

  private board(): BoardPort {
    const { world } = this;
    return {
      now: () => this.uptime,
      linkNow: () => this.uptime,
      readInputs: (inputs) => {
        const isOpen = this.isOpen();
        const { mains, key, stop, occupied, charge } = world;
        const supplyB = mains && !isOpen && !key ? 1 : 0;
        Object.assign(inputs, {
          supplyA: mains,
          supplyB,
          aux: world.aux ?? isOpen,
          key,
          stop,
          occupied,
          charge,
        });
        if (supplyB) this.darkAt = -1;
        else if (this.darkAt < 0) this.darkAt = this.now;
      },
      readLamps: (inputs, count) => {
        for (let i = 0; i < count; i++) inputs.lamp[i] = this.reading(this.lamps[i]);
        return Read.All;
      },
      drive: (open, until, ending) => this.follow(open, until, ending),
      ...{ chipTime: () => -1, setChipTime: () => 0, selfTest: () => SelfTest.None },
      red: () => {},
      sha256,
      entropy: () => 1,
      bootCause: () => 0,
      flash: this.flash,
      net: { stops: 0, isReady: () => true, open: () => {}, write: () => {}, close: () => {} },
    };
  }

  /** Power on with empty memory; where the clock counts as set, the host answers with the time at once. */
  boot(): void {
    this.bootAt = this.now;
    this.wish = { open: 0, until: 0, ending: Ending.All };
    const link = { user: '', password: '', keepAliveSec: 0, heartbeatSec: 60, liveMs: 0, jitter: 0 };
    const { journalBytes } = this.given;
    this.c = newController(this.board(), { address: ADDRESS, secret: SECRET, journalBytes, link });
    if (this.isClockSet) this.tellTime(0);
    this.show();
  }

  /** The host answers with its time, which is off by this much, ms. */
  tellTime(off: number): void {
    const { boot } = this.c.core;
    this.give('time', { v: 1, boot, up: this.uptime, utc: START * 1000 + this.now + off });
  }

  private give(kind: DownKind, message: object): void {
    receive(this.c.inbox, kind, signObject(KEY, kind, ADDRESS, message), 0, this.uptime);
    const { drive, leaseUntil, ending } = this.c.core;
    this.follow(drive, leaseUntil, ending);
  }

  order(what: number, arg: number, who: string): void {
    const expires = START + Math.floor(this.now / 1000) + 300;
    this.give('order', { v: 1, counter: ++this.counter, expires, do: what, arg, who });
    const { inbox } = this.c;
    this.line(`reply ${inbox.replyReason === 0 ? 'ok' : `refused: ${reasonName(inbox.replyReason)}`}`);
    inbox.replyCounter = -1;
    inbox.replyReason = 0;
    this.show();
  }

  phase(): string {
    return phaseWord(this.c.core.phase);
  }

  /** Runs to an instant, or until `holds` is true after a turn. */
  run(until: number, holds: () => boolean = () => false): void {
    while (this.now < until) {
      this.turn();
      if (holds()) return;
      const loop = Limit.LoopMs;
      const { c } = this;
      c.board.readInputs(c.core.in);
      const isBusy = this.isOpen() !== c.core.drive || hasNews(c.core) || c.wrote;
      const due = this.bootAt + Math.ceil(coreWakeAt(c) / loop) * loop;
      this.now = Math.min(until, isBusy ? this.now + loop : Math.max(this.now + loop, due));
    }
  }

  private turn(): void {
    this.c.wrote = 0;
    coreTurn(this.c);
    const [broken] = brokenClaims(this.c.core, this.uptime);
    if (broken) this.fault ||= `At ${instantText(this.now)} this did not hold: ${broken}.`;
    this.show();
  }

  private line(text: string): void {
    this.lines.push(`| ${instantText(this.now)}  ${text}`);
  }

  /** Adds what is new to the log. */
  private show(): void {
    const { core, journal } = this.c;
    const { shown } = this;
    const isReasoned = core.phase === Phase.Held || core.phase === Phase.Fault;
    const phase = `${this.phase()}${isReasoned ? `: ${reasonName(core.reason)}` : ''}`;
    const waiting = reasonName(core.waiting);
    if (shown.drive !== core.drive) this.line(core.drive ? 'relay driven' : 'relay released');
    if (shown.phase !== phase) this.line(`phase ${phase}`);
    if (shown.waiting !== waiting) this.line(`waiting ${waiting}`);
    if (shown.red !== core.red) this.line(`red lamp ${core.red ? 'on' : 'off'}`);
    this.shown = { phase, waiting, drive: core.drive, red: core.red };
    for (let text = nextToSend(journal); text !== ''; text = nextToSend(journal)) {
      sentRecord(journal, text);
      const record = JSON.parse(text);
      // After a restart every unacknowledged record is sent again.
      if (record.seq <= this.shownSeq) continue;
      this.shownSeq = record.seq;
      for (const line of recordLines(record)) this.line(line);
      if (record.kind === 'intent') this.intents++;
      if (record.kind === 'result') this.results++;
    }
    if (this.isLogBookThere) acknowledge(journal, journal.id, journal.last);
  }

  /** Something that happened although it must never happen, as a sentence; '' for nothing. */
  faultAtEnd(): string {
    // I4: each opening has left exactly one result, except one still in progress.
    const underWay = this.c.core.kind !== 0 && this.intents > this.results ? 1 : 0;
    if (this.intents === this.results + underWay) return this.fault;
    return `${this.intents} openings have left ${this.results} results.`;
  }

  /** Whether the controller has accepted what it was given: settings and plan within bounds. */
  hasTakenGiven(): boolean {
    const { set, planRevision } = this.c.core;
    return (!this.given.settings || set.revision > 0) && (!this.given.plan || planRevision > 0);
  }
}
